//! The front door: every chart by its own call, and what is refused.
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use moulder::months::{days, unwatched};
use moulder::{
    Bed, Crop, Forecast, ForecastOptions, Reading, TopUpRequest, Units, date, forecast_all, top_ups,
};
use moulder_chart::internals::kind::of_forecast;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::subject::Subject;
use moulder_chart::{
    Chart, ChartError, ChartOptions, comparison_svg, fit_svg, sensitivity_svg, svg, topups_svg,
};

fn forecast(bed: &Bed) -> Forecast {
    bed.forecast().months(6).ensemble_size(10).run().unwrap()
}

#[test]
fn a_chart_of_a_forecast_is_that_of_its_subject() {
    let bed = Bed::example();
    let (forecast, days) = (forecast(&bed), days(&bed).unwrap());
    let options = ChartOptions::default().width_px(640).days(days.clone());
    let subject = Subject {
        bed: &bed,
        forecast: &forecast,
        readings: &[],
        days: &days,
        feeding: None,
    };
    let mut count = 0;
    for chart in Chart::ALL {
        let drawn = of_forecast(*chart, &subject, &Look::new(640, chart.as_str()));
        match svg(*chart, &bed, &forecast, &options) {
            Ok(svg) => assert_eq!(svg.file(), drawn.unwrap().file(), "{chart}"),
            Err(error) => {
                assert_eq!(error, ChartError::NotOfAForecast { chart: *chart });
                assert!(drawn.is_none());
                count += 1;
            }
        }
    }
    assert_eq!(count, 4);
}

#[test]
fn each_other_answer_has_its_chart() {
    let bed = Bed::example();
    let options = ChartOptions::default();
    let request = TopUpRequest::new("loamy topsoil")
        .months(14)
        .ensemble_size(0);
    let topups = &top_ups(std::slice::from_ref(&bed), &request).unwrap()[0];
    let found = bed.forecast().months(1).sensitivity(8).unwrap();
    let read = bed.with_reading(Reading::below_rim_m(date(2026, 4, 14), 0.10));
    let read = read.unwrap();
    let fit = read.forecast().months(2).ensemble_size(100).fit().unwrap();
    for (chart, svg) in [
        (Chart::TopUps, topups_svg(topups, &options)),
        (Chart::Sensitivity, sensitivity_svg(&found, &options)),
        (Chart::Fit, fit_svg(&read, &fit, &options)),
    ] {
        let id = format!("id=\"m{chart}-title\"");
        assert!(svg.unwrap().file().contains(&id), "{chart}");
    }
}

#[test]
fn what_cannot_be_drawn_is_refused() {
    let bed = Bed::example();
    let forecast = forecast(&bed);
    let options = ChartOptions::default();
    let refused = |options: &ChartOptions| {
        let drawn = svg(Chart::Section, &bed, &forecast, options);
        drawn.map(|svg| svg.file()).unwrap_err()
    };
    assert_eq!(
        refused(&options.clone().width_px(300)),
        ChartError::Width { width_px: 300 }
    );
    assert_eq!(
        refused(&options.clone().months(&[0, 12])),
        ChartError::NoSuchMonth { month: 12, last: 6 }
    );
    assert_eq!(
        refused(&options.clone().months(&[0; 13])),
        ChartError::TooManyMonths { count: 13 }
    );
    let other = Bed::builder(bed.shape(), date(2026, 3, 15)).rim_m(0.5);
    let other = other
        .climate("Cambridge UK")
        .layer(moulder::Layer::of(
            "loamy topsoil",
            moulder::Amount::ThicknessM(0.3),
        ))
        .build()
        .unwrap();
    let drawn = svg(Chart::Height, &other, &forecast, &options);
    assert!(matches!(drawn, Err(ChartError::OtherBed)));
    let one = std::slice::from_ref(&bed);
    let drawn = comparison_svg(one, std::slice::from_ref(&forecast), &[], &options);
    assert!(matches!(
        drawn,
        Err(ChartError::Beds {
            beds: 1,
            forecasts: 1
        })
    ));
}

#[test]
fn beds_are_compared_with_their_days() {
    let beds = [
        Bed::example(),
        Bed::example().with_crop(Crop::None).with_units(Units::Us),
    ];
    let asked = ForecastOptions::default().months(3).ensemble_size(0);
    let forecasts = forecast_all(&beds, &asked, &unwatched).unwrap();
    let options = ChartOptions::default();
    let plain = comparison_svg(&beds, &forecasts, &[], &options).unwrap();
    let days = beds.iter().map(|bed| days(bed).unwrap()).collect();
    let paced = comparison_svg(&beds, &forecasts, &[], &options.days_of_beds(days)).unwrap();
    assert_ne!(plain.file(), paced.file());
}

//! The charts, checked and drawn.

use core::str::FromStr;

use moulder::{Bed, Fit, Forecast, Interval, Sensitivity, TopUps};

use crate::chart::comparison::{self, BEDS_LIMIT, Comparison};
use crate::chart::{fit, topups, unknowns};
use crate::error::ChartError;
use crate::kind::{Chart, of_forecast};
use crate::options::ChartOptions;
use crate::plot::reading::Reading;
use crate::section;
use crate::subject::Subject;
use crate::svg::document::Svg;

/// From its word.
impl FromStr for Chart {
    type Err = ChartError;

    fn from_str(word: &str) -> Result<Self, ChartError> {
        let found = Self::ALL.iter().find(|chart| chart.as_str() == word);
        found.copied().ok_or_else(|| ChartError::UnknownChart {
            word: word.to_owned(),
        })
    }
}

/// A chart of a bed's forecast.
///
/// # Errors
///
/// A chart of another answer ([`Chart::TopUps`], [`Chart::Sensitivity`], [`Chart::Fit`],
/// [`Chart::Comparison`]), a forecast of another bed, a width or months out of range.
///
/// ```
/// use moulder::Bed;
/// use moulder_chart::{Chart, ChartOptions, svg};
///
/// let bed = Bed::example();
/// let forecast = bed.forecast().months(6).ensemble_size(0).run()?;
/// let svg = svg(Chart::Section, &bed, &forecast, &ChartOptions::default())?;
/// assert!(svg.file().starts_with("<?xml"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn svg(
    chart: Chart,
    bed: &Bed,
    forecast: &Forecast,
    options: &ChartOptions,
) -> Result<Svg, ChartError> {
    let look = options.look(chart)?;
    if !is_of(forecast, bed) {
        return Err(ChartError::OtherBed);
    }
    let last = forecast.months.last().map_or(0, |row| row.month);
    let mut readings = Reading::all_of(bed);
    readings.retain(|reading| reading.month <= f64::from(last));
    let subject = Subject {
        bed,
        forecast,
        readings: &readings,
        days: options.days_of(0),
        feeding: options.feeding.as_ref(),
    };
    if chart == Chart::Section && !options.months.is_empty() {
        check_months(&options.months, last)?;
        return Ok(section::svg_at(&subject, &look, &options.months));
    }
    of_forecast(chart, &subject, &look).ok_or(ChartError::NotOfAForecast { chart })
}

/// [`Chart::TopUps`]: the top-ups of a bed with their dates, packs and cost.
///
/// # Errors
///
/// A width out of range.
pub fn topups_svg(topups: &TopUps, options: &ChartOptions) -> Result<Svg, ChartError> {
    Ok(topups::svg(topups, &options.look(Chart::TopUps)?))
}

/// [`Chart::Sensitivity`]: how much narrower the range would be if each uncertain thing were known.
///
/// # Errors
///
/// A width out of range.
pub fn sensitivity_svg(found: &Sensitivity, options: &ChartOptions) -> Result<Svg, ChartError> {
    Ok(unknowns::svg(found, &options.look(Chart::Sensitivity)?))
}

/// [`Chart::Fit`]: the height before and after a fit to the readings of a bed.
///
/// # Errors
///
/// A width out of range.
pub fn fit_svg(bed: &Bed, found: &Fit, options: &ChartOptions) -> Result<Svg, ChartError> {
    Ok(fit::svg(bed, found, &options.look(Chart::Fit)?))
}

/// [`Chart::Comparison`]: the heights of two to four beds and how much higher each after the
/// first stands than the first.
///
/// `forecasts` has one forecast for each bed, over the same months;
/// `differences_m` the intervals of the differences
/// ([`height_differences`](moulder::ensembles::height_differences)), empty without.
///
/// # Errors
///
/// Too few or too many beds, not one forecast for each, a width out of range.
///
/// ```
/// use moulder::{Bed, Crop, ForecastOptions, forecast_all, months::unwatched};
/// use moulder_chart::{ChartOptions, comparison_svg};
///
/// let beds = [Bed::example(), Bed::example().with_crop(Crop::None)];
/// let options = ForecastOptions::default().months(2).ensemble_size(0);
/// let forecasts = forecast_all(&beds, &options, &unwatched)?;
/// let svg = comparison_svg(&beds, &forecasts, &[], &ChartOptions::default())?;
/// assert!(svg.file().starts_with("<?xml"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn comparison_svg(
    beds: &[Bed],
    forecasts: &[Forecast],
    differences_m: &[Vec<Interval>],
    options: &ChartOptions,
) -> Result<Svg, ChartError> {
    let look = options.look(Chart::Comparison)?;
    if beds.len() != forecasts.len() || !(2..=BEDS_LIMIT).contains(&beds.len()) {
        return Err(ChartError::Beds {
            beds: beds.len(),
            forecasts: forecasts.len(),
        });
    }
    let pairs = || beds.iter().zip(forecasts);
    if !pairs().all(|(bed, forecast)| is_of(forecast, bed)) {
        return Err(ChartError::OtherBed);
    }
    let subject = |(at, (bed, forecast))| Subject {
        bed,
        forecast,
        readings: &[],
        days: options.days_of(at),
        feeding: None,
    };
    let subjects: Vec<Subject<'_>> = pairs().enumerate().map(subject).collect();
    let comparison = Comparison {
        beds: &subjects,
        differences: differences_m,
    };
    Ok(comparison::svg(&comparison, &look))
}

/// Whether a forecast can be of that bed.
fn is_of(forecast: &Forecast, bed: &Bed) -> bool {
    forecast.filled == bed.filled()
        && forecast.name == bed.name()
        && forecast.layers.len() >= bed.layers().len()
}

fn check_months(months: &[u32], last: u32) -> Result<(), ChartError> {
    if months.len() > section::PICTURES_LIMIT {
        let count = months.len();
        return Err(ChartError::TooManyMonths { count });
    }
    let beyond = months.iter().find(|month| **month > last);
    match beyond {
        Some(month) => Err(ChartError::NoSuchMonth {
            month: *month,
            last,
        }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use crate::error::ChartError;
    use crate::kind::Chart;

    #[test]
    fn a_word_leads_to_its_chart() {
        for chart in Chart::ALL {
            assert_eq!(chart.as_str().parse(), Ok(*chart));
        }
        let word = "pie".to_owned();
        assert_eq!(
            "pie".parse::<Chart>(),
            Err(ChartError::UnknownChart { word })
        );
    }
}

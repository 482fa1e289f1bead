//! Reference evapotranspiration.

use moulder::internals::library::Library;
use moulder::internals::model::weather::WeatherSource;
use moulder_core::law::evapotranspiration::MM_PER_MJ;
use moulder_core::law::evapotranspiration::hargreaves::evapotranspiration_mm;
use moulder_core::law::evapotranspiration::penman_monteith::{Lawn, wind_at_2_m};
use moulder_core::law::evapotranspiration::radiation::{
    SWING_INLAND, Sky, by_sunshine_mj, by_swing_mj, clear_sky_mj, ground_heat_between_mj,
    ground_heat_since_mj, net_shortwave_mj,
};
use moulder_core::law::evapotranspiration::sun::Sun;
use moulder_core::law::evapotranspiration::thornthwaite::{Warmth, mean_daylight_h};
use moulder_core::law::evapotranspiration::vapour::{
    day_saturation_kpa, day_vapour_kpa, pressure_kpa, psychrometric_kpa_per_c, saturation_kpa,
    saturation_slope_kpa_per_c,
};
use moulder_core::weather::EtoMethod;

use crate::check::{point, range};
use crate::source::{Source, memory, own, read};
use crate::subject::Subject;

/// Days of the months of a common year.
const MONTH_DAYS: [u16; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// The figures of FAO-56 are also in the tests of the files in
/// `moulder_core::law::evapotranspiration`.
pub(crate) fn subject() -> Subject {
    let mut sources = vec![example_8_and_9(), example_10(), example_13_and_14()];
    sources.push(example_17());
    sources.extend(example_18());
    sources.extend(example_20());
    sources.push(aberdeen());
    sources.extend(eastern_england());
    sources.push(year_of_days());
    Subject {
        title: "Reference evapotranspiration",
        sources,
    }
}

fn example_8_and_9() -> Source {
    let sun = Sun::over(-20.0, 246);
    let above_mj = sun.extraterrestrial_mj();
    read(
        "FAO-56, Examples 8 and 9: 20 degrees south, 3 September (a transcription)",
        vec![
            point("nearness of the sun", "0.985", sun.nearness),
            point("declination, rad", "0.120", sun.declination_rad),
            point("hour angle of sunset, rad", "1.527", sun.sunset_rad),
            point("sun above the air, MJ/m2", "32.2", above_mj),
            point("the same as water, mm", "13.1", above_mj * MM_PER_MJ),
            point("daylight, h", "11.7", sun.daylight_h()),
        ],
    )
}

fn example_10() -> Source {
    let sun = Sun::over(-22.9, 135);
    let above_mj = sun.extraterrestrial_mj();
    let solar_mj = by_sunshine_mj(above_mj, 220.0 / 31.0, sun.daylight_h());
    read(
        "FAO-56, Example 10: Rio de Janeiro in May (a transcription)",
        vec![
            point("sun above the air, MJ/m2", "25.1", above_mj),
            point("daylight, h", "10.9", sun.daylight_h()),
            point("sunlight by 220 h a month, MJ/m2", "14.5", solar_mj),
            point("the same as water, mm", "5.9", solar_mj * MM_PER_MJ),
            point(
                "under a clear sky, MJ/m2",
                "18.8",
                clear_sky_mj(above_mj, 0.0),
            ),
        ],
    )
}

fn example_13_and_14() -> Source {
    read(
        "FAO-56, Examples 13 and 14: ground heat of April, wind 3.2 m/s at 10 m (a \
         transcription)",
        vec![
            point(
                "ground heat, months about, MJ/m2",
                "0.33",
                ground_heat_between_mj(14.1, 18.8),
            ),
            point(
                "ground heat, month before, MJ/m2",
                "0.28",
                ground_heat_since_mj(14.1, 16.1),
            ),
            point("wind at 2 m, m/s", "2.4", wind_at_2_m(3.2, 10.0)),
        ],
    )
}

fn example_17() -> Source {
    let sun = Sun::over(13.73, 105);
    let above_mj = sun.extraterrestrial_mj();
    let solar_mj = by_sunshine_mj(above_mj, 8.5, sun.daylight_h());
    let sky = Sky {
        high_c: 34.8,
        low_c: 25.6,
        vapour_kpa: 2.85,
        solar_mj,
        clear_sky_mj: clear_sky_mj(above_mj, 2.0),
    };
    let lawn = Lawn {
        mean_c: 30.2,
        saturation_kpa: day_saturation_kpa(34.8, 25.6),
        vapour_kpa: 2.85,
        wind_m_per_s: 2.0,
        net_radiation_mj: sky.net_mj(),
        ground_heat_mj: ground_heat_since_mj(29.2, 30.2),
        psychrometric_kpa_per_c: psychrometric_kpa_per_c(pressure_kpa(2.0)),
    };
    let deficit_kpa = lawn.saturation_kpa - lawn.vapour_kpa;
    read(
        "FAO-56, Example 17: Bangkok in April (a transcription)",
        vec![
            point("pressure, kPa", "101.3", pressure_kpa(2.0)),
            point(
                "psychrometric constant, kPa/degC",
                "0.0674",
                // The paper continues with the rounded pressure.
                psychrometric_kpa_per_c(101.3),
            ),
            point("full air at the high, kPa", "5.56", saturation_kpa(34.8)),
            point("full air at the low, kPa", "3.28", saturation_kpa(25.6)),
            point("full air of the day, kPa", "4.42", lawn.saturation_kpa),
            point(
                "slope of full air, kPa/degC",
                "0.246",
                saturation_slope_kpa_per_c(30.2),
            ),
            point("vapour lacking, kPa", "1.57", deficit_kpa),
            point("sun above the air, MJ/m2", "38.06", above_mj),
            point("daylight, h", "12.31", sun.daylight_h()),
            point("sunlight, MJ/m2", "22.65", solar_mj),
            point("under a clear sky, MJ/m2", "28.54", sky.clear_sky_mj),
            point("sunlight kept, MJ/m2", "17.44", net_shortwave_mj(solar_mj)),
            point("lost to the sky, MJ/m2", "3.11", sky.net_longwave_mj()),
            point("kept of all, MJ/m2", "14.33", sky.net_mj()),
            point("into the ground, MJ/m2", "0.14", lawn.ground_heat_mj),
            point(
                "given off by radiation, mm/d",
                "3.97",
                lawn.by_radiation_mm(),
            ),
            point("given off by wind, mm/d", "1.75", lawn.by_wind_mm()),
            point("given off, mm/d", "5.72", lawn.evapotranspiration_mm()),
        ],
    )
}

fn example_18() -> [Source; 2] {
    let sun = Sun::over(50.8, 187);
    let solar_mj = by_sunshine_mj(sun.extraterrestrial_mj(), 9.25, sun.daylight_h());
    let vapour_kpa = day_vapour_kpa(21.5, 12.3, 0.84, 0.63);
    let wind_m_per_s = wind_at_2_m(10.0 / 3.6, 10.0);
    let sky = Sky {
        high_c: 21.5,
        low_c: 12.3,
        vapour_kpa,
        solar_mj,
        clear_sky_mj: clear_sky_mj(sun.extraterrestrial_mj(), 100.0),
    };
    let lawn = Lawn {
        mean_c: 16.9,
        saturation_kpa: day_saturation_kpa(21.5, 12.3),
        vapour_kpa,
        wind_m_per_s,
        net_radiation_mj: sky.net_mj(),
        ground_heat_mj: 0.0,
        psychrometric_kpa_per_c: psychrometric_kpa_per_c(pressure_kpa(100.0)),
    };
    [
        read(
            "FAO-56, Example 18: Brussels on 6 July (a transcription; its 9.25 h of sunshine \
             recalled)",
            vec![
                point("sunlight, MJ/m2", "22.07", solar_mj),
                point("wind at 2 m, m/s", "2.08", wind_m_per_s),
                point("kept of all, MJ/m2", "13.28", lawn.net_radiation_mj),
            ],
        ),
        memory(
            "FAO-56, Example 18",
            vec![
                point("full air of the day, kPa", "2.00", lawn.saturation_kpa),
                point("vapour of the day, kPa", "1.41", vapour_kpa),
                point("given off, mm/d", "3.9", lawn.evapotranspiration_mm()),
            ],
        ),
    ]
}

fn example_20() -> [Source; 2] {
    let sun = Sun::over(45.72, 196);
    let above_mj = sun.extraterrestrial_mj();
    let solar_mj = by_swing_mj(above_mj, 26.6 - 14.8, SWING_INLAND.best);
    let sky = Sky {
        high_c: 26.6,
        low_c: 14.8,
        vapour_kpa: saturation_kpa(14.8),
        solar_mj,
        clear_sky_mj: clear_sky_mj(above_mj, 200.0),
    };
    let lawn = Lawn {
        mean_c: 20.7,
        saturation_kpa: day_saturation_kpa(26.6, 14.8),
        vapour_kpa: sky.vapour_kpa,
        wind_m_per_s: 2.0,
        net_radiation_mj: sky.net_mj(),
        ground_heat_mj: 0.0,
        psychrometric_kpa_per_c: psychrometric_kpa_per_c(pressure_kpa(200.0)),
    };
    let hargreaves_mm = evapotranspiration_mm(20.7, 11.8, above_mj);
    [
        read(
            "FAO-56, Example 20: Lyon in July by high and low alone (a transcription)",
            vec![
                point("pressure, kPa", "98.96", pressure_kpa(200.0)),
                point("sunlight, MJ/m2", "22.29", solar_mj),
            ],
        ),
        memory(
            "FAO-56, Example 20",
            vec![
                point("sun above the air, MJ/m2", "40.55", above_mj),
                point(
                    "Penman-Monteith, mm/d",
                    "4.56",
                    lawn.evapotranspiration_mm(),
                ),
                point("Hargreaves, mm/d", "5.0", hargreaves_mm),
            ],
        ),
    ]
}

/// The figures are also in the test of `moulder_core`'s `thornthwaite.rs`.
fn aberdeen() -> Source {
    let means_c = [
        3.1, 3.5, 5.0, 6.7, 9.3, 12.1, 14.3, 14.1, 11.8, 8.9, 5.5, 3.8,
    ];
    let daylight_h = [
        "7.183", "9.135", "11.523", "14.035", "16.277", "17.505", "16.891", "14.862", "12.394",
        "9.885", "7.658", "6.490",
    ];
    let printed_mm = [
        "11.046", "14.226", "27.803", "43.179", "70.477", "93.994", "109.699", "95.245", "64.995",
        "41.064", "19.562", "12.090",
    ];
    let warmth = Warmth::from_months(&means_c);
    let mut checks = vec![
        point("heat index", "27.5874", warmth.index),
        point("exponent", "0.94225", warmth.exponent),
    ];
    let mut first = 1;
    for (month, days) in MONTH_DAYS.into_iter().enumerate() {
        let hours = mean_daylight_h(57.1526, first, first + days - 1);
        let mm = warmth.month_mm(means_c[month], hours, f64::from(days));
        let number = month + 1;
        checks.push(point(
            format!("month {number}: daylight, h"),
            daylight_h[month],
            hours,
        ));
        checks.push(point(
            format!("month {number}: given off, mm"),
            printed_mm[month],
            mm,
        ));
        first += days;
    }
    read(
        "Thornthwaite's method, Aberdeen in 2014: output of a public library as its \
         documentation prints it (a transcription; not a publication)",
        checks,
    )
}

/// Annual evapotranspiration, from the daily weather of a bed; mm.
fn year_mm(station: &str, eto_by: EtoMethod) -> f64 {
    let library = Library::built_in();
    library.find_station(station).map_or(f64::NAN, |station| {
        let source = WeatherSource {
            eto_by,
            ..WeatherSource::of(&station.climate)
        };
        let weather = source.lay_out(jiff::civil::date(2026, 1, 1), 365, 1);
        weather.days().iter().map(|day| day.eto_mm).sum()
    })
}

/// The same bounds are in the tests of `moulder`'s `model/weather.rs`.
fn eastern_england() -> [Source; 2] {
    let library = Library::built_in();
    let thornthwaite_mm = library
        .find_station("Cambridge UK")
        .map_or(f64::NAN, |station| {
            let climate = &station.climate;
            let means_c = std::array::from_fn(|month| {
                f64::midpoint(climate.high_c[month], climate.low_c[month])
            });
            let warmth = Warmth::from_months(&means_c);
            let mut first = 1;
            let months = MONTH_DAYS.iter().zip(means_c).map(|(days, mean_c)| {
                let hours = mean_daylight_h(climate.latitude_deg, first, first + days - 1);
                first += days;
                warmth.month_mm(mean_c, hours, f64::from(*days))
            });
            months.sum()
        });
    [
        memory(
            "What eastern England loses in a year",
            vec![range("Thornthwaite, mm/yr", "600", "680", thornthwaite_mm)],
        ),
        memory(
            "The same; Hargreaves is known to be too high in damp climates (8.5 % in \
             Mississippi, Fisher & Pringle 2013, abstract, read): a tenth to a quarter above \
             its middle of 640",
            vec![
                range(
                    "Hargreaves, mm/yr",
                    "704",
                    "800",
                    year_mm("Cambridge UK", EtoMethod::Hargreaves),
                ),
                range(
                    "FAO-56 of temperatures alone, mm/yr",
                    "672",
                    "720",
                    year_mm("Cambridge UK", EtoMethod::PenmanMonteith),
                ),
            ],
        ),
    ]
}

/// The same figures are in the tests of `moulder`'s `model/weather.rs`.
fn year_of_days() -> Source {
    let of_a_script = [
        ("Cambridge UK", "751.7", "696"),
        ("Lebanon NH US", "985.3", "948"),
        ("Hobart AU", "930.5", "854"),
    ];
    let methods = [
        ("Hargreaves", EtoMethod::Hargreaves),
        ("FAO-56", EtoMethod::PenmanMonteith),
    ];
    let checks = of_a_script.into_iter().flat_map(|(name, hargreaves, fao)| {
        let pairs = methods.into_iter().zip([hargreaves, fao]);
        pairs.map(move |((law, eto_by), script_mm)| {
            point(
                format!("{law}, {name}, mm/yr"),
                script_mm,
                year_mm(name, eto_by),
            )
            .wider(9.8, "days in mid-month stand for all days: 1 %")
        })
    });
    own(
        "An independent script, from the same normals, of days in mid-month; FAO-56 of temperatures \
         alone",
        checks.collect(),
    )
}

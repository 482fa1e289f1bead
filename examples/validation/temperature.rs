//! Temperature dependence of decay, and ground temperature.

use moulder_core::law::season::Season;
use moulder_core::law::temperature::{
    arrhenius_rise, cardinal, kirschbaum, lloyd_taylor_rise, wood_factor,
};
use moulder_core::math::elementary::{exp, ln};

use crate::check::{at_least, at_most, point};
use crate::source::{Source, memory, own, read};
use crate::subject::Subject;

/// All but the wave are also in the test of `moulder_core`'s `temperature.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Temperature",
        sources: vec![
            kirschbaum_1995(),
            lloyd_taylor_1994(),
            rosso_1993(),
            wood_handbook(),
            arrhenius(),
            hillel(),
            damped_wave(),
        ],
    }
}

/// Q10 of a law, by its slope at one temperature.
fn local_q10(law: impl Fn(f64) -> f64, at_c: f64) -> f64 {
    let h = 1e-4;
    exp(10.0 * (ln(law(at_c + h)) - ln(law(at_c - h))) / (2.0 * h))
}

fn kirschbaum_1995() -> Source {
    let q10 = |at_c| local_q10(kirschbaum, at_c);
    read(
        "Kirschbaum 1995, Soil Biol. Biochem. 27:753-760, abstract: almost 8 at 0 degC, about \
         4.5 at 10, 2.5 at 20",
        vec![
            point("Q10 at 0 degC", "8", q10(0.0)),
            point("Q10 at 10 degC", "4.5", q10(10.0)).wider(0.1, "it says about"),
            point("Q10 at 20 degC", "2.5", q10(20.0)).wider(0.1, "its neighbours say about"),
        ],
    )
}

fn lloyd_taylor_1994() -> Source {
    let points = [
        (-10.0, "0.0470"),
        (0.0, "0.3021"),
        (5.0, "0.5829"),
        (15.0, "1.5704"),
        (20.0, "2.3032"),
        (25.0, "3.2006"),
        (30.0, "4.2593"),
        (35.0, "5.4717"),
    ];
    let checks = points.map(|(temperature_c, printed)| {
        point(
            format!("rate at {temperature_c:.0} over that at 10 degC"),
            printed,
            lloyd_taylor_rise(temperature_c),
        )
    });
    own(
        "Lloyd & Taylor 1994, eq. 11 (form read in a documentation, constants from memory), \
         points by an independent script",
        checks.to_vec(),
    )
}

fn rosso_1993() -> Source {
    read(
        "Rosso et al. 1993, an example in the documentation of a library that carries the \
         equation (4, 20 and 37 degC, 0.037 at the best)",
        vec![point(
            "rate at 10 degC",
            "0.02443",
            0.037 * cardinal(4.0, 20.0, 37.0, 10.0),
        )],
    )
}

fn wood_handbook() -> Source {
    let factor = |temperature_c| wood_factor(2.53, temperature_c);
    let best = (0..400)
        .map(|i| factor(f64::from(i) * 0.1))
        .fold(0.0_f64, f64::max);
    read(
        "Wood Handbook (FPL-GTR-190), ch. 14: decay is slow below 10 and above 35 degC and all \
         but ceases at 2 and at 38; the shares are ours",
        vec![
            at_most("rate at 2 degC over the best", "0.15", factor(2.0) / best),
            at_most("rate at 10 degC over the best", "0.5", factor(10.0) / best),
            at_least("rate at 28 degC over the best", "0.85", factor(28.0) / best),
            at_most("rate at 40 degC over the best", "0.15", factor(40.0) / best),
            at_most("rate at 38 degC over the best", "0.15", factor(38.0) / best)
                .known_off("the heat limit of wood is a smooth closure of ours, two degrees late"),
        ],
    )
}

fn arrhenius() -> Source {
    own(
        "Arithmetic: 47.835 kJ/mol doubles a rate from 10 to 20 degC",
        vec![point(
            "rate at 20 over that at 10 degC",
            "2.000",
            arrhenius_rise(47.835, 20.0),
        )],
    )
}

/// A daily wave by the law of the annual one: its noon is our first day, its midnight our
/// mid-year.
fn hillel() -> Source {
    let day = Season {
        mean: 25.0,
        waves: [[15.0, 0.0], [0.0; 2]],
    };
    let table = [
        (0.05, "32.98", "17.02"),
        (0.10, "27.98", "22.02"),
        (0.20, "24.16", "25.84"),
    ];
    let mut checks = Vec::new();
    for (depth_m, at_noon, at_midnight) in table {
        for (when, at, printed) in [
            ("noon", 0.0, at_noon),
            ("midnight", 0.5 * moulder_core::DAYS_PER_YEAR, at_midnight),
        ] {
            let cm = 100.0 * depth_m;
            checks.push(point(
                format!("{cm:.0} cm deep at {when}, degC"),
                printed,
                day.damped(at, depth_m / 0.10),
            ));
        }
    }
    memory(
        "Hillel, Introduction to Environmental Soil Physics, sample problem: 10 to 40 degC at the \
         surface, damped over 10 cm",
        checks,
    )
}

/// The points are also in the test of `moulder_core`'s `ground.rs`.
fn damped_wave() -> Source {
    // Coldest on its day 0, which is the table's day 20.
    let season = Season {
        mean: 10.0,
        waves: [[-8.0, 0.0], [0.0; 2]],
    };
    let table = [
        (0.0, ["2.030", "9.141", "17.950", "10.791"]),
        (0.3, ["4.218", "7.774", "15.726", "12.176"]),
        (0.6, ["6.125", "7.202", "13.803", "12.765"]),
        (1.0, ["8.092", "7.226", "11.837", "12.758"]),
    ];
    let mut checks = Vec::new();
    for (depth_m, row) in table {
        for (day, printed) in [15.0, 105.0, 196.0, 288.0].into_iter().zip(row) {
            let in_our_year = (day - 20.0) * moulder_core::DAYS_PER_YEAR / 365.0;
            let got = season.damped(in_our_year, depth_m / 1.142);
            checks.push(
                point(format!("{depth_m} m deep on day {day}, degC"), printed, got)
                    .wider(0.01, "the script's year has 365 days"),
            );
        }
    }
    own(
        "The damped wave of van Wijk & de Vries 1963 in moist peat, by an independent script",
        checks,
    )
}

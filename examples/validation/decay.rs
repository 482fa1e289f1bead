//! Decay: curves of mass and volume, and the rates of the library.

use moulder::internals::library::Library;
use moulder::internals::library::calibration::Calibration;
use moulder::internals::library::material::{Class, Site};
use moulder::internals::model::figures::Figures;
use moulder::internals::model::site_rate::{single_rate_per_year, site_factor};
use moulder_core::law::decay::{Fate, HumusStep, Pool, two_stage_left};
use moulder_core::law::envelope::volume_left;
use moulder_core::math::elementary::sqrt;
use moulder_core::value::{Spread, Status, Value};

use crate::check::{at_least, at_most, point};
use crate::source::{Source, memory, read};
use crate::subject::Subject;

/// The figures are also in the tests of `moulder_core`'s `decay.rs` and `envelope.rs`, and of
/// `moulder`'s `site_rate.rs` and `materials.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Rot",
        sources: vec![
            jenkinson_1977(),
            grass_of_the_shelf(),
            yatskov_2003(),
            russell_2014(),
            sydney(),
            sydney_mass(),
            fraver_2013(),
        ],
    }
}

/// Carbon left of one pool without humification.
fn left(carbon: f64, rate_per_year: f64, years: f64) -> f64 {
    let pool = Pool {
        fate: Fate::Decayed,
        rate_per_day: rate_per_year,
        humification_coefficient: 0.0,
        kept: 0.0,
    };
    let mut left = carbon;
    HumusStep::begin(0.0, years).feed(&mut left, &pool, years);
    left
}

fn jenkinson_1977() -> Source {
    let half = |years: f64| core::f64::consts::LN_2 / years;
    let grass = |years| left(0.7, half(0.25), years) + left(0.3, half(8.0), years);
    read(
        "Jenkinson 1977, J. Soil Sci. 28:424-434, abstract: ryegrass in soil, 70 % of half-life \
         0.25 yr and 30 % of 8 yr; about a third after a year, an eighth after ten",
        vec![
            point("carbon left after 1 year", "0.333", grass(1.0))
                .wider(0.02, "about a third, it says"),
            point("carbon left after 10 years", "0.125", grass(10.0))
                .wider(0.005, "about an eighth, it says"),
        ],
    )
}

fn grass_of_the_shelf() -> Source {
    let library = Library::calibrated(&Calibration::none());
    let kept = |years: f64| {
        library
            .find_material("grass clippings")
            .map_or(f64::NAN, |grass| {
                let pools = grass.pools.iter();
                pools
                    .map(|pool| left(pool.share.best, pool.rates[0].rate.best, years))
                    .sum()
            })
    };
    read(
        "The same, for grass clippings of the shelf before its calibration",
        vec![
            point("carbon left after 1 year", "0.333", kept(1.0))
                .wider(0.02, "about a third, it says"),
            point("carbon left after 10 years", "0.125", kept(10.0))
                .wider(0.005, "about an eighth, it says"),
        ],
    )
}

fn yatskov_2003() -> Source {
    read(
        "Yatskov, Harmon & Krankina 2003, regression table: birch logs near St Petersburg, \
         0.054 a year",
        vec![
            point("% left after 10 years", "58.3", left(100.0, 0.054, 10.0)),
            point("% left after 20 years", "34.0", left(100.0, 0.054, 20.0)),
        ],
    )
}

fn assumed(best: f64, unit: &'static str) -> Value {
    Value::new(
        best,
        Spread::new(best, best),
        unit,
        "assumed",
        Status::Judgement,
    )
}

fn russell_2014() -> Source {
    let library = Library::built_in();
    let rate = |name: &str, mean_c: f64| {
        let site = Site {
            place: "eastern United States".to_owned(),
            mean_c,
            source: "assumed".to_owned(),
            half_range_c: assumed(12.0, "K"),
            moisture_factor: assumed(0.8, "1"),
        };
        library.find_material(name).map_or(f64::NAN, |material| {
            single_rate_per_year(&material.pools[0], material, 0.25, Figures::nominal(), 2.53)
                * site_factor(&site, Class::Wood, 2.53)
        })
    };
    read(
        "Russell et al. 2014, Ecosystems 17:765-777, abstract: 0.043-0.064 a year for hardwood \
         logs and 0.024-0.040 for conifers in the eastern United States, here taken as 6-14 \
         degC: ours must overlap",
        vec![
            at_most(
                "hardwood log at 6 degC, 1/yr",
                "0.064",
                rate("hardwood log", 6.0),
            ),
            at_least(
                "hardwood log at 14 degC, 1/yr",
                "0.043",
                rate("hardwood log", 14.0),
            ),
            at_most(
                "softwood log at 6 degC, 1/yr",
                "0.040",
                rate("softwood log", 6.0),
            ),
            at_least(
                "softwood log at 14 degC, 1/yr",
                "0.024",
                rate("softwood log", 14.0),
            ),
        ],
    )
}

fn sydney() -> Source {
    let bounds = [
        (0.933, "0.96"),
        (0.841, "1.02"),
        (0.628, "0.84"),
        (0.465, "0.70"),
        (0.240, "0.45"),
    ];
    let checks = bounds.map(|(mass, most)| {
        at_most(
            format!("volume left at {mass} of the mass"),
            most,
            volume_left(mass, 2.0),
        )
        .wider(
            0.05,
            "our own allowance; ours is above the bound at three of the five",
        )
    });
    read(
        "Branches near Sydney, means of an open survey (Zanne-Lab/communityVchemistry); an upper \
         bound, since density was taken on pieces still whole",
        checks.to_vec(),
    )
}

/// Months of the survey, and the mass left then of branches and of logs.
const SURVEY: [(f64, f64, f64); 5] = [
    (7.0, 0.933, 0.961),
    (13.0, 0.841, 0.915),
    (25.0, 0.628, 0.718),
    (37.0, 0.465, 0.557),
    (59.0, 0.240, 0.368),
];

/// Root mean square of what the form misses, at the rate that misses least.
fn least_miss(seen: impl Fn(&(f64, f64, f64)) -> f64, ratio: f64) -> f64 {
    let miss = |rate: f64| -> f64 {
        let off = SURVEY.iter().map(|point| {
            let off = two_stage_left(rate * point.0 / 12.0, ratio) - seen(point);
            off * off
        });
        sqrt(off.sum::<f64>() / 5.0)
    };
    (1..2000_u32)
        .map(|step| miss(f64::from(step) * 1e-3))
        .fold(f64::INFINITY, f64::min)
}

fn sydney_mass() -> Source {
    read(
        "Branches of 1.5 cm and logs of 7 cm near Sydney, the same survey: mass left over five \
         years against two stages, colonised 3.5 times as fast as they decay, with one free rate \
         each",
        vec![
            at_most(
                "root mean square, branches",
                "0.03",
                least_miss(|point| point.1, 3.5),
            ),
            at_most(
                "root mean square, logs",
                "0.03",
                least_miss(|point| point.2, 3.5),
            ),
        ],
    )
}

fn fraver_2013() -> Source {
    let volume = |mass| volume_left(mass, 3.0);
    memory(
        "Fraver et al. 2013, decay classes of logs: I to III keep their volume, IV has 0.80 and \
         V 0.412 of it; densities of Waddell 2002",
        vec![
            point("volume left in class II", "1.0", volume(0.78)),
            at_least("volume left in class III", "0.80", volume(0.45)),
            point("volume left in class IV", "0.80", volume(0.80 * 0.42)).wider(
                0.12,
                "the power form is our own closure between the classes",
            ),
            point("volume left in class V", "0.412", volume(0.412 * 0.42)).wider(
                0.08,
                "the power form is our own closure between the classes",
            ),
        ],
    )
}

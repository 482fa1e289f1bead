//! Probabilities: quantiles of distributions, and intervals from realisations.

use moulder::internals::numeric::normal::{below, quantile};
use moulder::internals::numeric::prior::{FARTHEST_Z, TENTH_Z, value_at};
use moulder::internals::numeric::quantile::of_sorted;
use moulder_core::math::elementary::exp;
use moulder_core::value::{Spread, Status, Value};

use crate::check::point;
use crate::source::{Source, memory, own};
use crate::subject::Subject;

/// The figures are also in the tests of `moulder`'s `normal.rs`, `quantile.rs` and `sample.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Chances",
        sources: vec![normal(), manuals(), uncertain_rate()],
    }
}

fn normal() -> Source {
    let points = [
        (0.75, "0.67449"),
        (0.9, "1.28155"),
        (0.95, "1.64485"),
        (0.975, "1.95996"),
        (0.995, "2.57583"),
    ];
    let checks = points.map(|(share, printed)| {
        point(
            format!("normal distribution, {share}"),
            printed,
            quantile(share),
        )
    });
    memory("Any table of percentage points", checks.to_vec())
}

fn manuals() -> Source {
    memory(
        "Examples of the manuals of two programs that define a percentile as we do",
        vec![
            point(
                "0.3 of 1 2 3 4",
                "1.9",
                of_sorted(&[1.0, 2.0, 3.0, 4.0], 0.3),
            ),
            point(
                "half of 1 2 3 4 7 10",
                "3.5",
                of_sorted(&[1.0, 2.0, 3.0, 4.0, 7.0, 10.0], 0.5),
            ),
            point("half of 4 7 10", "7.0", of_sorted(&[4.0, 7.0, 10.0], 0.5)),
        ],
    )
}

/// A pool with a lognormal rate, after five years.
fn uncertain_rate() -> Source {
    const YEARS: f64 = 5.0;
    const SD: f64 = 0.7;
    let width = exp(SD * TENTH_Z);
    let spread = Spread::new(0.06 / width, 0.06 * width);
    let rate = Value::new(0.06, spread, "1/yr", "made up", Status::Judgement);
    let count = 4096;
    let mut left: Vec<f64> = (0..count)
        .map(|i| (f64::from(i) + 0.5) / f64::from(count))
        .map(|share| exp(-YEARS * value_at(&rate, quantile(share))))
        .collect();
    left.sort_by(f64::total_cmp);
    let mean = left.iter().sum::<f64>() / f64::from(count);
    let (mut exact, mut z) = (0.0, -8.0_f64);
    while z < 8.0 {
        let at = (z + 0.0005).clamp(-FARTHEST_Z, FARTHEST_Z);
        exact += (below(z + 0.001) - below(z)) * exp(-YEARS * 0.06 * exp(SD * at));
        z += 0.001;
    }
    let tenth = of_sorted(&left, 0.1) / exp(-YEARS * 0.06 * width);
    let nine_tenths = of_sorted(&left, 0.9) / exp(-YEARS * 0.06 / width);
    own(
        "A pool of lognormal rate, five years on: a fine quadrature, and the closed form \
         exp(-k t) at the ends of the rate's range",
        vec![
            point("mean left over the quadrature's", "1.0000", mean / exact)
                .wider(1e-4, "4096 even draws"),
            point("tenth over the closed form", "1.000", tenth).wider(1e-3, "4096 even draws"),
            point("nine tenths over it", "1.000", nine_tenths).wider(1e-3, "4096 even draws"),
        ],
    )
}

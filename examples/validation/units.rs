//! Units in common use.

use moulder::internals::quantity::unit::unit;

use crate::check::{Check, point};
use crate::source::memory;
use crate::subject::Subject;

/// The figures are also in the test of `moulder`'s `unit.rs`, to the last bit.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Units",
        sources: vec![memory(
            "NIST SP 811 (2008), appendix B, and NIST Handbook 44, appendix C; exact, here to seven digits",
            vec![
                worth("in", 1e3, "25.4"),
                worth("yd", 1.0, "0.9144"),
                worth("cu ft", 1e3, "28.31685"),
                worth("cu yd", 1e3, "764.5549"),
                worth("us gal", 1e3, "3.78541"),
                worth("uk gal", 1e3, "4.54609"),
                worth("lb", 1.0, "0.453592"),
                worth("us ton", 1.0, "907.1847"),
                worth("uk ton", 1.0, "1016.0469"),
            ],
        )],
    }
}

/// A unit in millimetres, metres, litres or kilograms.
fn worth(name: &str, per_si: f64, printed: &'static str) -> Check {
    let si = unit(name).map_or(f64::NAN, |unit| unit.convert(1.0));
    point(name, printed, per_si * si)
}

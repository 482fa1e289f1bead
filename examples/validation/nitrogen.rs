//! Nitrogen mineralised and immobilised by decay.

use moulder_core::law::nitrogen::{immobilised_at_once, supply};

use crate::check::{at_least, at_most, point};
use crate::source::{Source, memory};
use crate::subject::Subject;

/// The forms are also in the test of `moulder_core`'s `nitrogen.rs`; McKenzie's ceiling in
/// `tests/nitrogen.rs` and in `beds.rs` here.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Nitrogen",
        sources: vec![manzoni_porporato(), critical()],
    }
}

/// Net mineralisation per carbon lost, with mineral nitrogen in excess and decomposers of a C:N
/// ratio of ten.
fn net(carbon_to_nitrogen: f64, kept: f64, humification_coefficient: f64) -> f64 {
    let (lost, decomposers) = (1.0, 10.0);
    let gross = lost / (1.0 - kept);
    let mineralised = gross / carbon_to_nitrogen;
    let wanted = (kept * gross + humification_coefficient * lost) / decomposers;
    let own = immobilised_at_once(mineralised, wanted);
    mineralised - own - (wanted - own) * supply(1e9, 1.0)
}

fn manzoni_porporato() -> Source {
    // 1/CN - g/10 for the humified part, and (1/CN - e/10)/(1 - e) for the part kept.
    memory(
        "Manzoni & Porporato 2009, Soil Biol. Biochem. 41:1355: net nitrogen per carbon lost, 1/CN - g/10 where a share g \
         humifies, (1/CN - e/10)/(1 - e) where e is kept; worked out at 0.25",
        vec![
            point("humified, CN 20", "0.02500", net(20.0, 0.0, 0.25)),
            point("humified, CN 80", "-0.01250", net(80.0, 0.0, 0.25)),
            point("humified, CN 400", "-0.02250", net(400.0, 0.0, 0.25)),
            point("kept, CN 20", "0.03333", net(20.0, 0.25, 0.0)),
            point("kept, CN 80", "-0.01667", net(80.0, 0.25, 0.0)),
            point("kept, CN 400", "-0.03000", net(400.0, 0.25, 0.0)),
        ],
    )
}

fn critical() -> Source {
    memory(
        "The same: nothing is freed above a ratio of 10/0.25",
        vec![
            point("net at 40", "0.0000", net(40.0, 0.0, 0.25)),
            at_least("net at 36", "0.0001", net(36.0, 0.0, 0.25)),
            at_most("net at 44", "-0.0001", net(44.0, 0.0, 0.25)),
        ],
    )
}

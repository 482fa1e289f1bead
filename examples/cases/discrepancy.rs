//! How far the laws are taken to be off, case by case.

use moulder::internals::uncertainty::discrepancy_prior::{DiscrepancyPrior, classes};

use crate::files::CaseBed;
use crate::observed::Case;

/// Prints the model discrepancy that the forecasts of each scored case had: of its central bed, as
/// a share of the settlement, with the classes of its layers from the ground up.
pub(crate) fn print(cases: &[Case], beds: &[CaseBed]) {
    for case in cases.iter().filter(|case| case.not_scored.is_none()) {
        let Some(CaseBed { bed, .. }) = beds.iter().find(|bed| bed.id == case.id) else {
            continue;
        };
        let mut names: Vec<&str> = classes(bed).iter().map(|(of, _)| of.name()).collect();
        names.dedup();
        let off = 100.0 * DiscrepancyPrior::of(bed).sd();
        println!("{:22}{off:>4.0} %  {}", case.id, names.join(", "));
    }
}

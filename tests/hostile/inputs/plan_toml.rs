//! A plan file in TOML. What it is for, working out fills, is not run: that takes seconds.

use moulder::internals::read::read_plan_toml;

use super::SHELF;
use super::told::told;

pub(super) fn read(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    match read_plan_toml(text, &SHELF) {
        Ok(plan) => {
            assert!(!plan.stock().is_empty());
            assert!(plan.height_m().is_finite() && plan.height_m() > 0.0);
            assert!((1..=120).contains(&plan.after_months()));
        }
        Err(faults) => told(&faults, text),
    }
}

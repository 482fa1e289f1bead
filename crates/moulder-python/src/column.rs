//! The columns of months: one figure each, with its interval.

use moulder::months::MonthIntervals;
use moulder::{Interval, Month};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

/// A figure of a month.
#[derive(Clone, Copy)]
pub(crate) struct Column {
    pub(crate) name: &'static str,
    /// Not a number where the bed has none, as a mound has no rim.
    pub(crate) of: fn(&Month) -> f64,
    pub(crate) band: fn(&MonthIntervals) -> Option<Interval>,
}

/// Declares the columns: the interval's name, and the figure in a row.
macro_rules! columns {
    ($($name:ident, $of:expr;)+) => {
        /// All there are, but for `below_rim_m`.
        const FIGURES: &[Column] = &[$(Column {
            name: stringify!($name),
            of: $of,
            band: |bands| Some(bands.$name),
        },)+];
    };
}

const BELOW_RIM: Column = Column {
    name: "below_rim_m",
    of: |row| row.below_rim_m.unwrap_or(f64::NAN),
    band: |bands| bands.below_rim_m,
};

columns! {
    height_m, |row| row.height_m;
    settlement_m, |row| row.settlement_m;
    added_m, |row| row.added_m;
    lowered_m, |row| row.settlement_m - row.added_m;
    mechanical_m, |row| row.parts.mechanical_m;
    fines_migration_m, |row| row.parts.fines_migration_m;
    nonwoody_decay_m, |row| row.parts.nonwoody_decay_m;
    wood_decay_m, |row| row.parts.wood_decay_m;
    carbon_kg, |row| row.carbon_kg;
    carbon_left, |row| row.carbon_left;
    carbon_released_kg, |row| row.carbon_released_kg;
    total_mass_kg, |row| row.total_mass_kg;
    vertical_stress_kpa, |row| row.vertical_stress_kpa;
    water_l, |row| row.water_l;
    water_in_wood, |row| row.water_in_wood;
    root_zone_c, |row| row.root_zone_c;
    root_zone_lift_c, |row| row.root_zone_lift_c;
    warm_days, |row| row.warm_days;
    warm_days_open_ground, |row| row.warm_days_open_ground;
    nitrogen_organic_kg, |row| row.nitrogen.organic_kg;
    nitrogen_mineral_kg, |row| row.nitrogen.mineral_kg;
    nitrogen_root_zone_g_m2, |row| row.nitrogen.root_zone_g_m2;
    nitrogen_mineralised_g_m2, |row| row.nitrogen.mineralised_g_m2;
    crop_nitrogen_demand_g_m2, |row| row.nitrogen.crop_demand_g_m2;
    crop_nitrogen_uptake_g_m2, |row| row.nitrogen.crop_uptake_g_m2;
    nitrogen_leached_g_m2, |row| row.nitrogen.leached_g_m2;
}

/// All columns, in the order in which they are told.
pub(crate) fn all() -> impl Iterator<Item = &'static Column> {
    let (height, rest) = FIGURES.split_at(1);
    height.iter().chain([&BELOW_RIM]).chain(rest)
}

/// The names of the columns that months have, units in each.
#[pyfunction]
pub(crate) fn columns() -> Vec<&'static str> {
    all().map(|column| column.name).collect()
}

/// The column of a name.
pub(crate) fn named(name: &str) -> PyResult<Column> {
    let found = all().find(|column| column.name == name);
    found.copied().ok_or_else(|| {
        let name: String = name.chars().take(40).collect();
        let known = columns().join(", ");
        PyValueError::new_err(format!("no column is called {name:?}; there are {known}"))
    })
}

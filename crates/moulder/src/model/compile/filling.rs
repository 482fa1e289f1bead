//! What a layer felt while the bed was filled.

use moulder_core::law::filling::{
    FILLING_KPA, FIRMED_KPA, LOAD_AT_FILLING, WETTED_AT_FILLING, filled_kpa,
};

use crate::bed::{Firmness, Layer, Placement};
use crate::model::compile::recipe::trodden_kpa;
use crate::model::figures::Figures;

/// State of a layer at the end of filling.
#[derive(Debug, Clone, Copy)]
pub(super) struct Filling {
    /// Stress by what was done to it; kPa.
    pub(super) felt_kpa: f64,
    /// Largest effective stress so far; kPa.
    pub(super) stress_kpa: f64,
    /// Share of the first wetting that was left, which filling has taken.
    pub(super) wetted: f64,
}

impl Filling {
    /// That of a layer on which `load_kpa` came.
    pub(super) fn of(layer: &Layer, load_kpa: f64, figures: &Figures) -> Self {
        let is_measured_trodden = layer
            .put
            .iter()
            .any(|ingredient| ingredient.placement == Placement::Compacted);
        let felt_kpa = match layer.firmness {
            Firmness::Compacted => trodden_kpa(figures),
            _ if is_measured_trodden => trodden_kpa(figures),
            Firmness::Unknown => figures.of(&FILLING_KPA).min(trodden_kpa(figures)),
            Firmness::Firmed => figures.of(&FIRMED_KPA).min(trodden_kpa(figures)),
            Firmness::Loose => 0.0,
        };
        Self {
            felt_kpa,
            stress_kpa: filled_kpa(felt_kpa, figures.of(&LOAD_AT_FILLING), load_kpa),
            wetted: match layer.firmness {
                Firmness::Unknown if !layer.watered => figures.of(&WETTED_AT_FILLING),
                _ => 0.0,
            },
        }
    }
}

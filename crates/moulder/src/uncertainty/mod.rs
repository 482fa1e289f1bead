//! Uncertain parameters of a bed, realisations of it, and statistics of ensembles.

pub mod default_width;
pub mod discrepancy;
pub mod discrepancy_prior;
pub(crate) mod drawn;
pub mod ensemble;
pub mod ensemble_forecast;
pub mod ensemble_part;
pub mod group;
pub mod parameter;
mod part;
pub mod realisation;
pub mod sample;
pub mod sensitivity;
pub mod sobol;

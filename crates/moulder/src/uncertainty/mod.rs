//! Uncertain parameters of a bed, realisations of it, and statistics of ensembles.

pub mod banded;
pub mod default_width;
pub mod discrepancy;
pub mod draws;
pub mod group;
pub mod parameter;
pub mod prior;
pub mod realisation;
pub mod sample;
pub mod sensitivity;
pub mod sobol;

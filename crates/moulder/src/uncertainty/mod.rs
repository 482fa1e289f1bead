//! What is not known of a bed, realisations of it, and what comes of many.

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

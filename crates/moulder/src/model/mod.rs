//! Compiling a checked bed: parameter values, layers, slices, weather.

pub mod compile;
pub mod figures;
pub mod mixture;
pub mod site_rate;
pub mod weather;

//! From a checked bed to numbers that run: figures of the laws, layers, slices, weather.

pub mod compile;
pub mod figures;
pub mod mixture;
pub mod site_rate;
pub mod weather;

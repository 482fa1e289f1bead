//! Forecasts how a filled garden bed sinks.

pub mod bed;
pub mod catalogue;
pub mod fault;
pub mod material;
pub mod notice;
pub mod station;

//! Forecasts how a filled garden bed sinks.

pub mod bed;
pub mod catalogue;
pub mod fault;
pub mod limit;
pub mod material;
mod nearest;
pub mod notice;
pub mod quantity;
pub mod station;
pub mod text;
pub mod unit;

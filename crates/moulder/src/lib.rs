//! Forecasts how a filled garden bed sinks.

pub mod bed;
pub mod catalogue;
pub mod document;
pub mod fault;
pub mod field;
pub mod limit;
pub mod material;
pub mod measure;
mod nearest;
pub mod notice;
pub mod quantity;
pub mod read;
pub mod station;
#[cfg(test)]
mod support;
pub mod text;
mod tree;
pub mod unit;

//! Forecasts how a filled garden bed sinks.

pub mod bed;
pub mod catalogue;
pub mod compile;
pub mod document;
pub mod draw;
pub mod fault;
pub mod field;
pub mod forecast;
mod inspect;
pub mod limit;
pub mod material;
pub mod measure;
pub mod nearby;
mod nearest;
pub mod notice;
pub mod quantity;
pub mod rate;
pub mod read;
pub mod sentence;
pub mod station;
#[cfg(test)]
mod support;
pub mod tape;
pub mod text;
mod tree;
pub mod unit;
pub mod watcher;
pub mod weather;

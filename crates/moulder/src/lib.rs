//! Forecasts how a filled garden bed sinks.

pub mod bed;
pub mod catalogue;
pub mod compile;
pub mod draw;
pub mod fault;
pub mod forecast;
mod inspect;
pub mod material;
mod nearest;
pub mod notice;
pub mod rate;
pub mod sentence;
pub mod station;
pub mod tape;
pub mod watcher;

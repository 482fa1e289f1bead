//! Rates of change: the laws applied to the slices of a stack.

pub mod exchange;
pub mod flow;
pub mod rate_modifiers;
pub mod rates;
pub mod store;
pub mod turnover;
pub mod warmth;

//! How a bed changes: the laws put together, slice by slice.

pub mod exchange;
pub mod flow;
pub(crate) mod nominal;
pub mod rate_modifiers;
pub mod rates;
pub mod store;
pub mod turnover;
pub mod warmth;

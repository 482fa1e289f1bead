//! Plans fills from the size of a bed and the stock, ranked by aim.
//!
//! The amounts are a linear programme (`optimum`) whose coefficients, the share of its loose
//! volume that each material retains, come from a forecast of that material alone
//! (`retention`). Each fill is then checked by the forecast of the whole bed, where layers are
//! mixed, loaded and exchange fines; the coefficients of each layer are corrected and the
//! programme is solved again (`search`) until the forecast meets the requirement. The mean of an
//! ensemble lies off that nominal forecast: the search goes on for the requirement less the
//! difference, until the mean meets it (`expected`).
//!
//! The rules of layering ([`role`]) are common practice and have no source: coarse wood at the
//! bottom, brush mixed with non-woody material over it, then card or turf, soil on top.

pub mod aim;
pub mod answer;
#[cfg(feature = "optimise")]
mod expected;
#[cfg(feature = "optimise")]
mod optimum;
#[cfg(feature = "optimise")]
mod report;
#[cfg(feature = "optimise")]
mod retention;
pub mod role;
#[cfg(feature = "optimise")]
mod search;
#[cfg(feature = "optimise")]
mod trial;
#[cfg(feature = "optimise")]
mod tried;

pub use answer::{Fill, Plan};
#[cfg(feature = "optimise")]
pub use search::plan;

//! General numerical methods: small matrices, distributions, quantiles.

pub(crate) mod cholesky;
pub(crate) mod eigen;
pub mod interval;
pub mod normal;
pub mod prior;
pub mod quantile;
pub(crate) mod scale_mixture;
pub mod student;
pub(crate) mod sums;
pub(crate) mod tally;
pub(crate) mod uniform;
pub mod weights;

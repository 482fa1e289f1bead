//! Bit-reproducible elementary functions, smooth switches, small solvers.

pub mod elementary;
pub mod smooth;
pub mod threshold;
pub mod tridiagonal;

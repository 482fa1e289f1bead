//! Bit-reproducible elementary functions, smooth switches, small solvers.

pub mod elementary;
pub mod smooth;
pub mod sphere;
pub mod threshold;
pub mod tridiagonal;

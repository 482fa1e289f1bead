//! Nodes and weights of Gauss-Legendre quadrature.

/// Nodes and weights for the mean over 0..1.
pub(crate) struct Quadrature {
    /// Pairs of node, within 0..1, and weight; weights sum to 1.
    pub(crate) points: Vec<(f64, f64)>,
}

impl Quadrature {
    /// The rule of `count` points, exact for polynomials of degree `2 count - 1`.
    pub(crate) fn gauss(count: u32) -> Self {
        let n = f64::from(count);
        let points = (0..count)
            .map(|i| {
                let mut x = libm::cos(core::f64::consts::PI * (f64::from(i) + 0.75) / (n + 0.5));
                let mut slope = 1.0;
                for _ in 0..20 {
                    let (value, by) = legendre(count, x);
                    x -= value / by;
                    slope = by;
                }
                (0.5 * (1.0 + x), 1.0 / ((1.0 - x * x) * slope * slope))
            })
            .collect();
        Self { points }
    }
}

/// Legendre polynomial and its derivative.
fn legendre(degree: u32, x: f64) -> (f64, f64) {
    let (mut before, mut value) = (1.0, x);
    for k in 2..=degree {
        let k = f64::from(k);
        (before, value) = (
            value,
            ((2.0 * k - 1.0) * x * value - (k - 1.0) * before) / k,
        );
    }
    let n = f64::from(degree);
    (value, n * (x * value - before) / (x * x - 1.0))
}

//! Pools fitted to litter bags.
//!
//! Least squares by Levenberg-Marquardt. Fitted are logarithms of rates and the log odds of the
//! share, so that no bounds are needed; each has a weak prior as one further residual, for what
//! few points cannot determine.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use moulder_core::math::elementary::exp;
use nalgebra::{DMatrix, DVector, Dyn, Owned};

/// Standard deviation of a bag from its curve; points of mass left. Our own judgement: it only
/// weighs points against the prior.
const POINT_SPREAD: f64 = 10.0;

/// Limit of residual evaluations per fitted parameter; litter that follows no curve takes more
/// than the usual 100.
const PATIENCE: usize = 2000;

/// Share of the fast pool, and the rates of both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Curve {
    /// 1 for a single pool.
    pub(crate) fast_share: f64,
    /// Years are those at 10 degC where temperature is used, else calendar years.
    pub(crate) fast_per_year: f64,
    pub(crate) slow_per_year: f64,
}

impl Curve {
    pub(crate) fn left_percent(&self, years: f64) -> f64 {
        let fast = self.fast_share * exp(-self.fast_per_year * years);
        let slow = (1.0 - self.fast_share) * exp(-self.slow_per_year * years);
        100.0 * (fast + slow)
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Pools {
    One,
    Two,
}

/// Fitted parameters: the log of the fast rate, and with two pools the log of the slow rate and
/// the log odds of the fast share.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Sought(DVector<f64>);

impl Sought {
    /// Half of the litter at 1/yr and half at 0.14/yr, or all at 0.37/yr: start of the search,
    /// of the order of litter at 10 degC.
    pub(crate) fn start(pools: Pools) -> Self {
        Self(match pools {
            Pools::One => DVector::from_vec(vec![-1.0]),
            Pools::Two => DVector::from_vec(vec![0.0, -2.0, 0.0]),
        })
    }

    pub(crate) fn curve(&self) -> Curve {
        let fast_per_year = exp(self.0[0]);
        if self.0.len() == 1 {
            return Curve {
                fast_share: 1.0,
                fast_per_year,
                slow_per_year: fast_per_year,
            };
        }
        Curve {
            fast_share: 1.0 / (1.0 + exp(-self.0[2])),
            fast_per_year,
            slow_per_year: exp(self.0[1]),
        }
    }
}

/// Prior mean and standard deviation of the fitted parameters.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Middle {
    pub(crate) at: Sought,
    /// Of each parameter, on its logarithmic scale.
    pub(crate) spread: [f64; 3],
}

impl Middle {
    /// About the start, and so wide that it only keeps a search from diverging.
    pub(crate) fn wide(pools: Pools) -> Self {
        Self {
            at: Sought::start(pools),
            spread: [10.0; 3],
        }
    }

    /// About all litter of a part: rates within a factor of two, odds within one of three. Our
    /// own judgement; a third or twice of it moves the errors by 0.1 points.
    pub(crate) fn of_all(at: Sought) -> Self {
        Self {
            at,
            spread: [0.7, 0.7, 1.0],
        }
    }
}

/// Years at 10 degC or of the calendar, and mass left; %.
pub(crate) type Bag = (f64, f64);

struct Problem<'a> {
    bags: &'a [Bag],
    middle: &'a Middle,
    sought: Sought,
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, sought: &DVector<f64>) {
        self.sought.0.copy_from(sought);
    }

    fn params(&self) -> DVector<f64> {
        self.sought.0.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let curve = self.sought.curve();
        let off = self.bags.iter().map(|(years, left)| {
            let predicted = curve.left_percent(*years);
            (predicted - left) / POINT_SPREAD
        });
        let drawn = (self.sought.0.iter().zip(self.middle.at.0.iter()))
            .zip(self.middle.spread)
            .map(|((sought, at), spread)| (sought - at) / spread);
        Some(DVector::from_vec(off.chain(drawn).collect()))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let curve = self.sought.curve();
        let unknowns = self.sought.0.len();
        let share = curve.fast_share;
        let mut slopes = DMatrix::zeros(self.bags.len() + unknowns, unknowns);
        for (row, (years, _)) in self.bags.iter().enumerate() {
            let (fast, slow) = (curve.fast_per_year * years, curve.slow_per_year * years);
            let each = [
                -share * fast * exp(-fast),
                -(1.0 - share) * slow * exp(-slow),
                share * (1.0 - share) * (exp(-fast) - exp(-slow)),
            ];
            for (column, slope) in each.into_iter().take(unknowns).enumerate() {
                slopes[(row, column)] = 100.0 * slope / POINT_SPREAD;
            }
        }
        for column in 0..unknowns {
            slopes[(self.bags.len() + column, column)] = 1.0 / self.middle.spread[column];
        }
        Some(slopes)
    }
}

/// The best fit, and half the residual sum of squares.
///
/// # Errors Where the search does not converge.
pub(crate) fn fit(bags: &[Bag], middle: &Middle) -> Result<(Sought, f64), String> {
    let problem = Problem {
        bags,
        middle,
        sought: middle.at.clone(),
    };
    let (found, report) = LevenbergMarquardt::new()
        .with_patience(PATIENCE)
        .minimize(problem);
    if !report.termination.was_successful() {
        return Err(format!("no fit was found: {:?}", report.termination));
    }
    Ok((found.sought, report.objective_function))
}

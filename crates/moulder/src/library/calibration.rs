//! What open series say of figures on the shelf: the posterior of what families of figures have
//! in common.
//!
//! The files of materials hold priors. A calibration moves and narrows what a family
//! (`family.rs`) has in common, b in `z_j = sqrt(c) b + sqrt(1 - c) e_j`: from a standard
//! normal deviation to one of some mean and covariance. A figure keeps what it has of its own.
//! `examples/posterior` repeats the calibration that ships; families that no series informs are
//! not in it and keep their prior.

use std::sync::{Arc, LazyLock};

use moulder_core::math::elementary::sqrt;
use moulder_core::value::{Spread, Value};
use serde::{Deserialize, Serialize};

use crate::library::family::{COMMON_SHARE, Kin};
use crate::library::figure::figures_of;
use crate::library::material::Material;
use crate::numeric::prior::{TENTH_Z, value_at};

/// A posterior of what families of figures have in common.
///
/// ```
/// # use moulder::internals::library::calibration::Calibration;
/// let kept = Calibration::kept();
/// assert!(kept.families().all(|family| family.sd < 1.0));
/// ```
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(try_from = "Lists")]
pub struct Calibration {
    /// Sources of the series that it was made with.
    sources: Vec<String>,
    /// What is calibrated, in the order of the rest.
    of: Vec<Calibrated>,
    /// Mean of each deviation, in standard deviations of its prior.
    mean: Vec<f64>,
    /// Lower triangular factor of their covariance, row by row up to the diagonal.
    cholesky: Vec<Vec<f64>>,
}

/// A calibration as it is read.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Lists {
    sources: Vec<String>,
    of: Vec<Calibrated>,
    mean: Vec<f64>,
    cholesky: Vec<Vec<f64>>,
}

impl TryFrom<Lists> for Calibration {
    type Error = String;

    fn try_from(lists: Lists) -> Result<Self, String> {
        Self::new(lists.sources, lists.of, lists.mean, lists.cholesky)
    }
}

/// What a family of figures has in common.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calibrated {
    /// What the figures are ("creep").
    pub figure: String,
    /// Key of the family ("fibrous matter").
    pub family: String,
}

impl Calibrated {
    /// What the figures of that name have in common in a family.
    #[must_use]
    pub fn new(figure: &str, family: &str) -> Self {
        Self {
            figure: figure.to_owned(),
            family: family.to_owned(),
        }
    }
}

/// The posterior of one deviation, in standard deviations of its prior.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Posterior {
    /// Its place among the calibrated ones.
    pub place: usize,
    /// Its mean; 0 before calibration.
    pub mean: f64,
    /// Its standard deviation; 1 before calibration.
    pub sd: f64,
}

static KEPT: LazyLock<Arc<Calibration>> = LazyLock::new(|| {
    let kept = serde_json::from_str(include_str!("../../data/calibration.json"));
    Arc::new(kept.expect("the file is part of the program and read by a test"))
});

impl Calibration {
    /// The one that ships with the shelf.
    ///
    /// # Panics
    ///
    /// Never: its file is part of the program, and a test reads it.
    #[must_use]
    pub fn kept() -> &'static Arc<Self> {
        &KEPT
    }

    /// None: the shelf is its priors.
    #[must_use]
    pub fn none() -> Self {
        Self::default()
    }

    /// A calibration with the series of these sources: the mean of the deviations and the lower triangular factor
    /// of their covariance, row by row.
    ///
    /// # Errors
    ///
    /// Lists that differ in length, rows that are no triangle with a positive diagonal, or a
    /// number that is not finite.
    pub fn new(
        sources: Vec<String>,
        of: Vec<Calibrated>,
        mean: Vec<f64>,
        cholesky: Vec<Vec<f64>>,
    ) -> Result<Self, String> {
        let made = Self {
            sources,
            of,
            mean,
            cholesky,
        };
        made.fault().map_or(Ok(made), Err)
    }

    /// Sources of the series that it was made with.
    #[must_use]
    pub fn sources(&self) -> &[String] {
        &self.sources
    }

    fn fault(&self) -> Option<String> {
        let count = self.of.len();
        let is_triangle = self.cholesky.iter().enumerate().all(|(at, row)| {
            row.len() == at + 1 && row[at] > 0.0 && row.iter().all(|entry| entry.is_finite())
        });
        if self.mean.len() != count || self.cholesky.len() != count {
            Some(format!("of, mean and cholesky must each have {count} rows"))
        } else if !is_triangle || !self.mean.iter().all(|mean| mean.is_finite()) {
            Some("cholesky must be lower triangular with a positive diagonal".to_owned())
        } else {
            None
        }
    }

    /// The deviations that it calibrates, each with its posterior.
    pub fn families(&self) -> impl Iterator<Item = Posterior> {
        (0..self.of.len()).map(|place| self.posterior(place))
    }

    /// What it calibrates, in order.
    #[must_use]
    pub fn calibrated(&self) -> &[Calibrated] {
        &self.of
    }

    /// The posterior of what the figures of that name have in common in a family; none where
    /// they keep their prior.
    #[must_use]
    pub fn of_family(&self, figure: &str, family: &str) -> Option<Posterior> {
        let mut all = self.of.iter();
        let place = all.position(|of| of.figure == figure && of.family == family)?;
        Some(self.posterior(place))
    }

    /// Correlation of two deviations by their places.
    #[must_use]
    pub fn correlation(&self, one: usize, other: usize) -> f64 {
        self.covariance(one, other)
            / sqrt(self.covariance(one, one) * self.covariance(other, other))
    }

    fn covariance(&self, one: usize, other: usize) -> f64 {
        let rows = self.cholesky[one].iter().zip(&self.cholesky[other]);
        rows.map(|(one, other)| one * other).sum()
    }

    fn posterior(&self, place: usize) -> Posterior {
        Posterior {
            place,
            mean: self.mean[place],
            sd: sqrt(self.covariance(place, place)),
        }
    }

    /// A material with its calibrated figures at the median and spread of their posterior; the
    /// source says from where they were moved.
    pub(crate) fn apply(&self, mut material: Material) -> Material {
        let kin = Kin::of(&material);
        for figure in figures_of(&mut material) {
            let family = kin.family(figure.of, figure.value);
            if let Some(posterior) = family.and_then(|key| self.of_family(figure.of, key)) {
                *figure.value = posterior.of_figure(figure.value);
            }
        }
        material
    }
}

impl Posterior {
    /// The posterior of a figure of the family from its prior.
    fn of_figure(self, prior: &Value) -> Value {
        let mean = sqrt(COMMON_SHARE.best) * self.mean;
        let tenth = TENTH_Z * sqrt(COMMON_SHARE.best * self.sd * self.sd + 1.0 - COMMON_SHARE.best);
        let Spread { low, high } = prior.spread;
        let at = |z: f64| rounded(value_at(prior, z));
        Value {
            best: at(mean),
            spread: Spread::new(at(mean - tenth), at(mean + tenth)),
            source: format!(
                "{}; calibrated on open series, before that {} ({low} to {high})",
                prior.source, prior.best
            )
            .into(),
            ..prior.clone()
        }
    }
}

/// Three significant digits: more would claim what no series says.
fn rounded(figure: f64) -> f64 {
    format!("{figure:.2e}").parse().unwrap_or(figure)
}

#[cfg(test)]
mod tests {
    use super::{Calibrated, Calibration, Posterior};
    use crate::library::Library;
    use crate::library::materials::Catalogue;
    use crate::numeric::prior::TENTH_Z;
    use moulder_core::math::elementary::ln;
    use moulder_core::value::{Spread, Status, Value};

    fn two() -> Calibration {
        let of = ["creep", "rate"].map(|figure| Calibrated::new(figure, "soft matter"));
        let cholesky = vec![vec![0.8], vec![-0.3, 0.4]];
        Calibration::new(
            vec!["a series".into()],
            of.into(),
            vec![1.0, -0.5],
            cholesky,
        )
        .unwrap()
    }

    #[test]
    fn the_kept_one_is_read_and_narrows() {
        let kept = Calibration::kept();
        assert!(kept.families().count() > 0 && !kept.sources().is_empty());
        let shelf = Library::built_in();
        let moved = Catalogue::built_in()
            .iter()
            .filter(|prior| shelf.find_material(&prior.name) != Some(*prior))
            .count();
        assert!(moved > 0);
    }

    #[test]
    fn without_a_calibration_the_shelf_is_its_priors() {
        let priors: Vec<_> = Catalogue::built_in().iter().cloned().collect();
        let shelf = Library::calibrated(&Calibration::none());
        assert_eq!(shelf.materials().cloned().collect::<Vec<_>>(), priors);
    }

    #[test]
    fn correlations_are_those_of_the_factor() {
        let two = two();
        let posterior = two.of_family("rate", "soft matter").unwrap();
        assert!((posterior.sd - 0.5).abs() < 1e-12 && posterior.place == 1);
        assert!((two.correlation(0, 1) + 0.6).abs() < 1e-12);
        assert!((two.correlation(1, 1) - 1.0).abs() < 1e-12);
        assert_eq!(two.of_family("rate", "wood"), None);
    }

    /// A lognormal figure of prior median 10 and 80 % interval 5 to 20, half of whose variance is
    /// in common: with b of mean 1 and sd 0.5 its logarithm, in standard deviations, has mean
    /// sqrt(0.5) and variance 0.125 + 0.5 (closed form).
    #[test]
    fn a_figure_has_the_posterior_of_its_closed_form() {
        let prior = Value::new(
            10.0,
            Spread::new(5.0, 20.0),
            "d",
            "a test",
            Status::Judgement,
        );
        let posterior = Posterior {
            place: 0,
            mean: 1.0,
            sd: 0.5,
        };
        let figure = posterior.of_figure(&prior);
        let sd = ln(2.0) / TENTH_Z;
        let near = |got: f64, z: f64| {
            let off = ln(got / 10.0) - sd * z;
            assert!(off.abs() < 5e-3, "{got}");
        };
        near(figure.best, 0.5_f64.sqrt());
        near(
            figure.spread.low,
            0.5_f64.sqrt() - TENTH_Z * 0.625_f64.sqrt(),
        );
        near(
            figure.spread.high,
            0.5_f64.sqrt() + TENTH_Z * 0.625_f64.sqrt(),
        );
        assert!(
            figure.source.ends_with("before that 10 (5 to 20)"),
            "{}",
            figure.source
        );
    }

    #[test]
    fn what_is_no_calibration_is_refused() {
        let of = || vec![Calibrated::new("creep", "soft matter")];
        for (mean, cholesky) in [
            (vec![], vec![vec![1.0]]),
            (vec![0.0], vec![vec![1.0, 0.0]]),
            (vec![0.0], vec![vec![-1.0]]),
            (vec![f64::NAN], vec![vec![1.0]]),
        ] {
            assert!(Calibration::new(vec![], of(), mean, cholesky).is_err());
        }
        let text = r#"{ "sources": [], "of": [], "mean": [1.0], "cholesky": [] }"#;
        assert!(serde_json::from_str::<Calibration>(text).is_err());
    }
}

//! What an owner asks of top-ups, and the answer for all beds.

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::progress::{Progress, unwatched};
use crate::library::Library;
use crate::topup::{Package, TopUpRule, TopUpTrigger, TopUps, top_ups_of_all};
use crate::uncertainty::ensemble::Realisations;

/// What is asked of top-ups: with what, when, how it is sold, and what must not be exceeded.
///
/// Up to the rim in the month before spring planting, out of bags of 40 L, for a year with 64
/// realisations, when nothing else is said.
///
/// ```
/// use moulder::{Package, TopUpRequest, TopUpTrigger};
///
/// let request = TopUpRequest::new("garden compost")
///     .in_packs(&Package::new("bag", 0.04).price(4.5))
///     .trigger(TopUpTrigger::BelowRimM(0.05))
///     .yearly_budget(60.0)
///     .months(36);
/// ```
#[derive(Debug, Clone, PartialEq)]
#[must_use]
pub struct TopUpRequest {
    material: String,
    library: Library,
    trigger: Option<TopUpTrigger>,
    package: Package,
    most_m: Option<f64>,
    yearly_budget: Option<f64>,
    months: u32,
    ensemble: Realisations,
}

impl TopUpRequest {
    /// Top-ups with that material.
    pub fn new(material: impl Into<String>) -> Self {
        Self {
            material: material.into(),
            library: Library::built_in(),
            trigger: None,
            package: Package::new("bag", 0.04),
            most_m: None,
            yearly_budget: None,
            months: 12,
            ensemble: Realisations::default(),
        }
    }

    /// The library that the material is looked up in; the built-in one when not given.
    pub fn library(mut self, library: &Library) -> Self {
        self.library = library.clone();
        self
    }

    /// When to top up.
    pub fn trigger(mut self, trigger: TopUpTrigger) -> Self {
        self.trigger = Some(trigger);
        self
    }

    /// How the material is sold.
    pub fn in_packs(mut self, package: &Package) -> Self {
        self.package = package.clone();
        self
    }

    /// No more than this at once, so that crowns stand; m.
    pub fn at_most_m(mut self, thickness_m: f64) -> Self {
        self.most_m = Some(thickness_m);
        self
    }

    /// No more than this spent from one January to the next, in the owner's money.
    pub fn yearly_budget(mut self, money: f64) -> Self {
        self.yearly_budget = Some(money);
        self
    }

    /// For so many months from the day of filling.
    pub fn months(mut self, months: u32) -> Self {
        self.months = months;
        self
    }

    /// With so many realisations; 0 for the nominal run alone.
    pub fn ensemble_size(mut self, ensemble_size: u32) -> Self {
        self.ensemble.ensemble_size = ensemble_size;
        self
    }

    /// With realisations of that seed.
    pub fn seed(mut self, seed: u64) -> Self {
        self.ensemble.seed = seed;
        self
    }

    /// The rule that it comes to for a bed.
    fn rule(&self, bed: &Bed) -> Result<TopUpRule, Error> {
        let usual = TopUpRule::usual(bed, self.library.material(&self.material)?, self.months);
        let rule = TopUpRule {
            trigger: self.trigger.clone().unwrap_or(usual.trigger),
            package: self.package.clone(),
            most_m: self.most_m,
            yearly_budget: self.yearly_budget,
            ..usual
        };
        rule.check()?;
        Ok(rule)
    }
}

/// When to top beds up, with how much, and what to buy: beds that are planned together, their
/// totals are in `intervals.together`.
///
/// A bed with tape measure readings is planned from the posterior, and nothing before its last
/// reading. Readings do not count in the nominal run.
///
/// # Errors
///
/// A material that the library does not hold, figures that cannot be, soil depth kept by what
/// is no soil, too many months or realisations.
///
/// ```
/// use moulder::{Bed, TopUpRequest, top_ups};
///
/// let request = TopUpRequest::new("loamy topsoil").months(14).ensemble_size(20);
/// let plans = top_ups(&[Bed::example()], &request)?;
/// assert_eq!(plans[0].top_ups.len(), 1);
/// # Ok::<(), moulder::Error>(())
/// ```
pub fn top_ups(beds: &[Bed], request: &TopUpRequest) -> Result<Vec<TopUps>, Error> {
    top_ups_watched(beds, request, &unwatched)
}

/// [`top_ups`], watched by a function that may stop it.
///
/// # Errors
///
/// As [`top_ups`], and [`Error::Stopped`].
pub fn top_ups_watched(
    beds: &[Bed],
    request: &TopUpRequest,
    progress: &Progress<'_>,
) -> Result<Vec<TopUps>, Error> {
    let rules = beds.iter().map(|bed| request.rule(bed));
    let rules = rules.collect::<Result<Vec<TopUpRule>, Error>>()?;
    top_ups_of_all(beds, &rules, request.ensemble, progress)
}

//! One split: fits one half, predicts the other, and keeps the errors.

use moulder_core::law::temperature::{soft_factor, year_mean};

use crate::fit::{Bag, Curve, Middle, Pools, Sought, fit};
use crate::season::Swing;
use crate::series::{Part, Point, Series, count_series};
use crate::split::is_fitted;

/// A kind of litter is predicted where at least so many of its series were fitted.
const FEWEST_SERIES: usize = 3;

/// A form's information about a site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Told {
    /// None: the curve is that of the litter, at any site.
    Nothing,
    /// The annual mean, with the stations' amplitude times this factor; 0 is a year without
    /// seasons.
    Mean(f64),
    /// The same, with the factor that fits the fitted half best.
    MeanAndFit,
}

/// A way to predict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Form {
    pub(crate) name: &'static str,
    pub(crate) pools: Pools,
    pub(crate) told: Told,
}

const fn form(name: &'static str, pools: Pools, told: Told) -> Form {
    Form { name, pools, told }
}

/// Ours first; then those it has to beat; then two that show the effect of seasons.
pub(crate) const FORMS: [Form; 6] = [
    form("two pools, temperature", Pools::Two, Told::Mean(1.0)),
    form("two pools, no temperature", Pools::Two, Told::Nothing),
    form("one pool, temperature", Pools::One, Told::Mean(1.0)),
    form("one pool, seasons fitted", Pools::One, Told::MeanAndFit),
    form("two pools, seasons fitted", Pools::Two, Told::MeanAndFit),
    form("two pools, no seasons", Pools::Two, Told::Mean(0.0)),
];
/// Which of [`FORMS`] ours has to beat.
pub(crate) const RIVALS: core::ops::Range<usize> = 1..4;

/// Candidate factors of [`Told::MeanAndFit`].
const STRETCHES: [f64; 13] = [
    0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0,
];

/// A point of the predicted half.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Miss {
    pub(crate) point: Point,
    /// Observed mass left less the prediction of each of [`FORMS`]; points of mass.
    pub(crate) off: [f64; FORMS.len()],
}

/// The result of a split.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Trial {
    pub(crate) fitted_series: usize,
    pub(crate) misses: Vec<Miss>,
}

impl Trial {
    /// The median error of a form over the selected points.
    pub(crate) fn median_error(
        &self,
        form: usize,
        is_asked: impl Fn(&Point) -> bool,
    ) -> Option<f64> {
        let asked = self.misses.iter().filter(|miss| is_asked(&miss.point));
        median(asked.map(|miss| miss.off[form].abs()).collect())
    }
}

/// Fits every form to the seed's half of the sites and predicts the rest.
///
/// # Errors Where a fit is not found.
pub(crate) fn run(series: &Series, swing: Swing, seed: u32) -> Result<Trial, String> {
    let is_fitted = is_fitted(series.sites.len(), seed);
    let (fitted, rest): (Vec<Point>, Vec<Point>) =
        (series.points.iter()).partition(|point| is_fitted[point.site]);
    let is_known = |litter: usize| {
        count_series(fitted.iter().filter(|point| point.litter == litter)) >= FEWEST_SERIES
    };
    let known: Vec<bool> = (0..series.litters.len()).map(is_known).collect();
    let mut misses: Vec<Miss> = (rest.into_iter())
        .filter(|point| known[point.litter])
        .map(|point| Miss {
            point,
            off: [f64::NAN; FORMS.len()],
        })
        .collect();
    for (index, form) in FORMS.iter().enumerate() {
        let model = Model::fit(series, &fitted, swing, *form)?;
        for miss in &mut misses {
            miss.off[index] = miss.point.left_percent - model.left_percent(&miss.point);
        }
    }
    Ok(Trial {
        fitted_series: count_series(fitted.iter()),
        misses,
    })
}

/// A form with its parameters.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Model {
    clock: Clock,
    /// One for each of [`Series::litters`].
    pub(crate) curves: Vec<Curve>,
}

impl Model {
    /// Fits all litter of a part together first; this is the prior for each litter by itself.
    pub(crate) fn fit(
        series: &Series,
        points: &[Point],
        swing: Swing,
        form: Form,
    ) -> Result<Self, String> {
        let stretches: &[f64] = match form.told {
            Told::Nothing => &[0.0],
            Told::Mean(stretch) => &[stretch],
            Told::MeanAndFit => &STRETCHES,
        };
        let mut best: Option<(f64, Clock, [Sought; 2])> = None;
        for stretch in stretches {
            let clock = match form.told {
                Told::Nothing => Clock::calendar(series),
                Told::Mean(_) | Told::MeanAndFit => Clock::warm(series, swing, *stretch),
            };
            let (leaf, leaf_left) = fit_part(series, points, &clock, form.pools, Part::Leaf)?;
            let (root, root_left) = fit_part(series, points, &clock, form.pools, Part::Root)?;
            let left = leaf_left + root_left;
            if best.as_ref().is_none_or(|(least, ..)| left < *least) {
                best = Some((left, clock, [leaf, root]));
            }
        }
        let (_, clock, parts) = best.ok_or("there is nothing to choose from")?;
        let mut curves = Vec::with_capacity(series.litters.len());
        for (index, litter) in series.litters.iter().enumerate() {
            let bags = clock.bags(points.iter().filter(|p| p.litter == index));
            let middle = Middle::of_all(parts[litter.part as usize].clone());
            curves.push(fit(&bags, &middle)?.0.curve());
        }
        Ok(Self { clock, curves })
    }

    fn left_percent(&self, point: &Point) -> f64 {
        self.curves[point.litter].left_percent(self.clock.years(point))
    }
}

fn fit_part(
    series: &Series,
    points: &[Point],
    clock: &Clock,
    pools: Pools,
    part: Part,
) -> Result<(Sought, f64), String> {
    let of_part = (points.iter()).filter(|point| series.litters[point.litter].part == part);
    fit(&clock.bags(of_part), &Middle::wide(pools))
}

/// Rate of decay time at each of [`Series::sites`], relative to the calendar.
#[derive(Debug, Clone, PartialEq)]
struct Clock(Vec<f64>);

impl Clock {
    /// The same everywhere.
    fn calendar(series: &Series) -> Self {
        Self(vec![1.0; series.sites.len()])
    }

    /// By the temperature law of non-woody material, 1 at 10 degC, with `stretch` times the
    /// stations' amplitude.
    fn warm(series: &Series, swing: Swing, stretch: f64) -> Self {
        let pace = series.sites.iter().map(|site| {
            let half_range_c = stretch * swing.half_range_c(site.mean_c);
            year_mean(site.mean_c, half_range_c, soft_factor)
        });
        Self(pace.collect())
    }

    fn years(&self, point: &Point) -> f64 {
        point.years * self.0[point.site]
    }

    fn bags<'a>(&self, points: impl Iterator<Item = &'a Point>) -> Vec<Bag> {
        points
            .map(|point| (self.years(point), point.left_percent))
            .collect()
    }
}

/// For an even number, the upper of the middle two.
pub(crate) fn median(mut of: Vec<f64>) -> Option<f64> {
    of.sort_by(f64::total_cmp);
    of.get(of.len() / 2).copied()
}

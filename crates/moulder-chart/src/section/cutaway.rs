//! A cross-section of a bed on several days: what lies where, in metres.
//!
//! The pieces of a layer are placed once, on the day it was put in, and carried along from day
//! to day: the same log stays in its place, is pressed, shrinks and disappears.

use moulder::Bed;
use moulder::Shape;
use moulder::filled::Layer;
use moulder::months::LayerMonth;
use moulder::{Forecast, Month};
use moulder_words::mixture::loose_m3;

use crate::plot::stratum::{self, Stratum};
use crate::section::brush::{self, Stick, distance, strewn};
use crate::section::chance::Chance;
use crate::section::packing::{Bounds, Circle, SIZES, packed, settled};
use crate::section::pressed_discs::pressed;
use crate::section::profile::{Belly, Lie, filled_half_m, spread_half_m};
use crate::svg::polygon::{Line, Point, area, cut};

/// A thinner layer is not drawn; m.
const NOTHING_M: f64 = 1e-6;

/// How often logs are pushed apart again as their layer settles.
const ROUNDS: usize = 30;

/// Places where a crumb may lie; most are taken by logs or not needed.
const PLACES: usize = 6000;

/// A bed with its pieces placed.
#[derive(Debug)]
pub struct Cutaway {
    layers: Vec<LaidOut>,
    shape: Shape,
    trench_m: f64,
    /// How far right of the middle it is drawn; m.
    cut_m: f64,
}

/// A layer as it was put in.
#[derive(Debug)]
struct LaidOut {
    stratum: Stratum,
    first: LayerMonth,
    lie: Lie,
    logs: Vec<Circle>,
    /// Whether they are drawn as large as they are.
    has_true_logs: bool,
    sticks: Vec<Stick>,
    seed: u64,
}

/// A layer on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Which layer, from the ground up.
    pub layer: usize,
    /// What it is drawn as.
    pub stratum: Stratum,
    /// How it lies.
    pub lie: Lie,
    /// Its outline, as far as it is drawn.
    pub outline: Vec<Point>,
    /// Its logs; empty for one that has gone. In the same order on every day.
    pub logs: Vec<Vec<Point>>,
    /// Whether its logs are drawn as large as they are: not those of a layer that is thinner than
    /// they, or holds more of them than are drawn.
    pub has_true_logs: bool,
    /// Share of the carbon of its wood that is left.
    pub sound: f64,
    /// Its sticks.
    pub sticks: Vec<Vec<Point>>,
    /// Share of its area that is migrated fines or crumbled pieces.
    pub crumbs: f64,
    /// Seed of what is placed at random in it.
    pub seed: u64,
}

impl Cutaway {
    /// Places the pieces of a bed; drawn as far as `cut_m` right of its middle.
    #[must_use]
    pub fn new(bed: &Bed, forecast: &Forecast, cut_m: f64) -> Self {
        let layers = stratum::layers(bed, forecast.layers.len());
        let strata = strata(bed, &layers);
        let mut cutaway = Self {
            layers: Vec::new(),
            shape: bed.shape(),
            trench_m: bed.trench_m(),
            cut_m,
        };
        for (index, stratum) in strata.into_iter().enumerate() {
            let is_there = |row: &&Month| thickness_m(row, index) > NOTHING_M;
            // A layer that never has a thickness has no position.
            let row = forecast.months.iter().find(is_there);
            let first = row.map_or_else(LayerMonth::default, |row| row.layers[index]);
            let bottom_m: f64 = row.map_or(0.0, |row| {
                (0..index).map(|below| thickness_m(row, below)).sum()
            });
            let lie = cutaway.lie_when_laid(index, bottom_m, &first);
            let laid = cutaway.lay_out(stratum, first, lie, index);
            cutaway.layers.push(laid);
        }
        cutaway
    }

    /// The layers that are there on a day, from the ground up.
    #[must_use]
    pub fn on(&self, row: &Month) -> Vec<Cut> {
        let mut bottom_m = -self.trench_m;
        let top_m: f64 = row.layers.iter().map(|layer| layer.thickness_m).sum();
        let mut cuts = Vec::new();
        for (index, laid) in self.layers.iter().enumerate() {
            let thick_m = thickness_m(row, index);
            if thick_m <= NOTHING_M {
                continue;
            }
            let now = row.layers[index];
            let mut lie = Lie {
                bottom_m,
                top_m: bottom_m + thick_m,
                ..laid.lie
            };
            if let Shape::Bag {
                width_m, length_m, ..
            } = self.shape
            {
                let wider = (now.volume_m3() / thick_m / (width_m * length_m)).sqrt();
                let over_ground_m = top_m - self.trench_m;
                let belly = Belly::of(self.trench_m, over_ground_m, wider);
                let mean = belly.map_or(1.0, |belly| belly.mean(self.trench_m));
                let half_m = filled_half_m(&self.shape, 0.0) * wider / mean;
                (lie.foot_half_m, lie.head_half_m) = (half_m, half_m);
                lie.belly = belly;
            }
            if let Shape::Mound {
                width_m, length_m, ..
            } = self.shape
            {
                let area_m2 =
                    |layer: &LayerMonth| layer.volume_m3() / layer.thickness_m.max(NOTHING_M);
                let spread = area_m2(&now) / area_m2(&laid.first).max(f64::MIN_POSITIVE);
                let ridge_m = (length_m - width_m).abs();
                if lie.upright > 0.0 {
                    // What stands in the trench is held by it, and holds what stands on it.
                    let head_m = spread_half_m(lie.head_half_m, ridge_m, spread);
                    lie.head_half_m = head_m.min(lie.foot_half_m);
                } else {
                    for half_m in [&mut lie.foot_half_m, &mut lie.head_half_m] {
                        *half_m = spread_half_m(*half_m, ridge_m, spread);
                    }
                }
            }
            cuts.push(self.cut(index, laid, &now, lie));
            bottom_m += thick_m;
        }
        cuts
    }

    /// The position of a layer on the day it is put in, that high over the foot of the bed.
    fn lie_when_laid(&self, index: usize, bottom_m: f64, first: &LayerMonth) -> Lie {
        let top_m = bottom_m + first.thickness_m;
        // What is added to a mound that has settled reaches no further than what it lies on.
        let below_m = index
            .checked_sub(1)
            .and_then(|below| self.layers.get(below))
            .map_or(f64::INFINITY, |below| below.lie.head_half_m);
        let upright_m = self.shape.upright_m().unwrap_or(0.0) - bottom_m;
        let upright = (upright_m / first.thickness_m.max(NOTHING_M)).clamp(0.0, 1.0);
        // What is laid into the trench fills it.
        let below_m = if upright > 0.0 {
            f64::INFINITY
        } else {
            below_m
        };
        let foot_half_m = filled_half_m(&self.shape, bottom_m).min(below_m);
        Lie {
            bottom_m: bottom_m - self.trench_m,
            top_m: top_m - self.trench_m,
            foot_half_m,
            head_half_m: filled_half_m(&self.shape, top_m).min(foot_half_m),
            belly: None,
            upright,
        }
    }

    fn lay_out(&self, stratum: Stratum, first: LayerMonth, lie: Lie, index: usize) -> LaidOut {
        let bounds = self.bounds(&lie);
        let whole_m2 = bounds.area();
        let wood_m2 = whole_m2 * share(first.wood_m3, &first);
        let seed = 1000 * (index as u64 + 1);
        let logs = stratum.logs.map_or_else(Vec::new, |logs| {
            packed(&bounds, logs.across_m, wood_m2 * logs.share, seed)
        });
        let sticks = stratum.sticks.map_or_else(Vec::new, |sticks| {
            strewn(&bounds, sticks.across_m, wood_m2 * sticks.share, seed + 1)
        });
        let has_true_logs = stratum
            .logs
            .is_none_or(|put| are_true(&logs, wood_m2 * put.share, put.across_m));
        LaidOut {
            stratum,
            first,
            lie,
            logs,
            has_true_logs,
            sticks,
            seed,
        }
    }

    /// The layer with its foot at 0, as far as it is drawn.
    fn bounds(&self, lie: &Lie) -> Bounds {
        let ends = |half_m: f64| (-half_m, half_m.min(self.cut_m));
        Bounds {
            height: lie.thickness_m(),
            foot: ends(lie.foot_half_m),
            head: ends(lie.head_half_m),
            upright: lie.upright,
        }
    }

    fn cut(&self, layer: usize, laid: &LaidOut, now: &LayerMonth, lie: Lie) -> Cut {
        let right = Line {
            across: 1.0,
            up: 0.0,
            at: self.cut_m,
        };
        let outline = cut(&lie.outline(), right);
        let convex = cut(&lie.convex_part(), right);
        let whole_m2 = area(&outline);
        let wood_m2 = whole_m2 * share(now.wood_m3, now);
        let wood_left = now.wood_m3 / laid.first.wood_m3.max(f64::MIN_POSITIVE);
        let carried = Carried {
            from: self.bounds(&laid.lie),
            to: self.bounds(&lie),
            lie,
        };
        let log_share = laid.stratum.logs.map_or(0.0, |logs| logs.share);
        let logs = carried.circles(&laid.logs, wood_left.sqrt());
        let logs = pressed(&logs, &convex, wood_m2 * log_share);
        let stick_share = laid.stratum.sticks.map_or(0.0, |sticks| sticks.share);
        Cut {
            layer,
            stratum: laid.stratum,
            lie,
            logs,
            has_true_logs: laid.has_true_logs,
            sound: now.wood_carbon_kg / laid.first.wood_carbon_kg.max(f64::MIN_POSITIVE),
            sticks: carried.sticks(&laid.sticks, wood_m2 * stick_share, right),
            crumbs: crumbs(laid, now),
            outline,
            seed: laid.seed,
        }
    }
}

/// Carries the pieces of a layer from the day it was put in to another.
struct Carried {
    from: Bounds,
    to: Bounds,
    lie: Lie,
}

impl Carried {
    /// A place over the foot of the layer.
    fn moved(&self, (x, y): Point) -> Point {
        let up = y / self.from.height.max(f64::MIN_POSITIVE);
        let half = |bounds: &Bounds| -bounds.ends(up * bounds.height).0;
        let wider = half(&self.to) / half(&self.from).max(f64::MIN_POSITIVE);
        (x * wider, up * self.to.height)
    }

    /// A place over the foot of the layer, as one over the ground, out with the bulge.
    fn placed(&self, (x, y): Point) -> Point {
        let up = y / self.to.height.max(f64::MIN_POSITIVE);
        let straight = -self.to.ends(y).0;
        let bulged = self.lie.half_m(up) / straight.max(f64::MIN_POSITIVE);
        (x * bulged, y + self.lie.bottom_m)
    }

    fn circles(&self, circles: &[Circle], size: f64) -> Vec<Circle> {
        let moved: Vec<Circle> = circles
            .iter()
            .map(|circle| Circle {
                at: self.moved(circle.at),
                radius: circle.radius * size,
            })
            .collect();
        let settled = settled(&moved, &self.to, ROUNDS);
        let placed = settled.into_iter().map(|circle| Circle {
            at: self.placed(circle.at),
            ..circle
        });
        placed.collect()
    }

    /// Sticks, thicker or thinner alike, so that they cover that area.
    fn sticks(&self, sticks: &[Stick], area_m2: f64, right: Line) -> Vec<Vec<Point>> {
        let placed = |place: Point| self.placed(self.moved(place));
        let lines: Vec<(Point, Point, f64)> = sticks
            .iter()
            .map(|stick| (placed(stick.from), placed(stick.to), stick.thick_m))
            .collect();
        let area_of = |(from, to, thick_m): &(Point, Point, f64)| thick_m * distance(*from, *to);
        let covered_m2: f64 = lines.iter().map(area_of).sum();
        let size = area_m2 / covered_m2.max(f64::MIN_POSITIVE);
        lines
            .into_iter()
            .map(|(from, to, thick_m)| cut(&brush::area_of(from, to, size * thick_m), right))
            .collect()
    }
}

/// Where crumbs lie that cover so much of a layer, each covering `each_m2`: clear of logs.
#[must_use]
pub fn crumbs_in(cut: &Cut, each_m2: f64) -> Vec<Point> {
    let wanted = cut.crumbs * area(&cut.outline) / each_m2;
    let right_m = cut
        .outline
        .iter()
        .map(|(x, _)| *x)
        .fold(f64::NEG_INFINITY, f64::max);
    let half_m = cut.lie.half_m(0.0).max(cut.lie.half_m(0.5));
    let most = (right_m / half_m.max(f64::MIN_POSITIVE)).min(1.0);
    let mut chance = Chance::new(cut.seed + 3);
    let mut places = Vec::new();
    for _ in 0..PLACES {
        #[allow(clippy::cast_precision_loss, reason = "a few thousand")]
        if places.len() as f64 + 0.5 > wanted {
            break;
        }
        let (across, up) = (chance.between(-1.0, most), chance.share());
        let place = cut.lie.place(across, up);
        // Left of its middle a bed that bulges is cut at a larger share where it is narrower.
        if place.0 <= right_m && !cut.logs.iter().any(|log| holds(log, place)) {
            places.push(place);
        }
    }
    places
}

/// Whether a point lies in a convex area with counter-clockwise corners.
fn holds(points: &[Point], place: Point) -> bool {
    points.len() > 2
        && crate::svg::polygon::edges(points)
            .all(|(from, to)| Line::through(from, to).beyond(place) < 0.0)
}

/// Whether so many circles, drawn to cover that area, are about as wide as they should be.
fn are_true(circles: &[Circle], area_m2: f64, across_m: f64) -> bool {
    #[allow(clippy::cast_precision_loss, reason = "a few hundred")]
    let each_m2 = area_m2 / circles.len() as f64;
    let drawn_m = (each_m2 / core::f64::consts::FRAC_PI_4).sqrt();
    circles.is_empty() || (SIZES.0 * across_m..=SIZES.1 * across_m).contains(&drawn_m)
}

fn strata(bed: &Bed, layers: &[Layer]) -> Vec<Stratum> {
    let loose = loose_m3(bed);
    layers
        .iter()
        .enumerate()
        .map(|(index, layer)| {
            Stratum::of(layer, |put| {
                // What is added later is of one material.
                let volume_m3 = loose.get(index).and_then(|layer| layer.get(put));
                volume_m3.copied().unwrap_or(1.0)
            })
        })
        .collect()
}

fn thickness_m(row: &Month, layer: usize) -> f64 {
    row.layers.get(layer).map_or(0.0, |layer| layer.thickness_m)
}

/// A volume as a share of the layer.
fn share(part_m3: f64, row: &LayerMonth) -> f64 {
    (part_m3 / row.volume_m3().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0)
}

/// Share of a layer that has migrated in or crumbled since it was put in.
fn crumbs(laid: &LaidOut, now: &LayerMonth) -> f64 {
    if laid.stratum.has_fines {
        return 0.0;
    }
    let more = share(now.fines_m3, now) - share(laid.first.fines_m3, &laid.first);
    more.max(0.0)
}

//! A bed on a day, and how its layers are drawn.

use moulder::Month;

use crate::plot::pane::Pane;
use crate::section::cutaway::{Cut, crumbs_in};
use crate::section::end_grain;
use crate::svg::document::{Room, Svg};
use crate::svg::ink::Ink;
use crate::svg::polygon::{area, disc};

/// What a crumb covers, as it is drawn; px2.
const CRUMB_PX2: f64 = 0.9 * core::f64::consts::PI;

/// A layer drawn thinner has no line to the next; px.
const SEAM_PX: f64 = 2.5;

/// A bed on a day.
pub(super) struct Picture<'a> {
    pub(super) row: &'a Month,
    pub(super) cuts: Vec<Cut>,
}

impl Picture<'_> {
    /// Its surface over the ground; m.
    pub(super) fn top_m(&self, trench_m: f64) -> f64 {
        self.cuts.last().map_or(-trench_m, |cut| cut.lie.top_m)
    }

    /// Half of its width where it is widest; m.
    pub(super) fn half_m(&self) -> f64 {
        let halves = |cut: &Cut| cut.lie.half_m(0.0).max(cut.lie.half_m(0.5));
        self.cuts.iter().map(halves).fold(0.0, f64::max)
    }

    /// Half the width of its foot; m.
    pub(super) fn foot_half_m(&self) -> f64 {
        self.cuts.first().map_or(0.0, |cut| cut.lie.foot_half_m)
    }

    /// The thickest layers, at most so many, and the others; both from the ground up.
    pub(super) fn told(&self, most: usize) -> (Vec<&Cut>, Vec<&Cut>) {
        let mut by_thickness: Vec<&Cut> = self.cuts.iter().collect();
        by_thickness.sort_by(|one, other| {
            let (one, other) = (one.lie.thickness_m(), other.lie.thickness_m());
            other.total_cmp(&one)
        });
        let told: Vec<usize> = by_thickness
            .iter()
            .take(most)
            .map(|cut| cut.layer)
            .collect();
        self.cuts.iter().partition(|cut| told.contains(&cut.layer))
    }
}

/// Draws a sample of what a layer is drawn as: what lies between, a stick, logs.
pub(super) fn sample(svg: &mut Svg, room: Room, cut: &Cut) {
    let Room {
        left,
        top,
        right,
        bottom,
    } = room;
    let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
    match cut.stratum.between {
        Some(hatch) => svg.hatched(hatch, &corners),
        None => svg.all(Ink::Seam, &[corners.to_vec()], true),
    }
    if cut.stratum.sticks.is_some() {
        let stick = [(4.0, -4.0), (22.0, -11.0), (23.0, -9.0), (5.0, -2.0)];
        let stick = stick.map(|(x, y)| (left + x, bottom + y));
        svg.all(Ink::Stick, &[stick.to_vec()], true);
    }
    if cut.stratum.logs.is_some() {
        let radius = 0.5 * room.height() - 1.0;
        for (seed, share) in (cut.seed..).zip([0.28, 0.72]) {
            let middle = (left + share * room.width(), 0.5 * (top + bottom));
            end_grain::draw(svg, &disc(middle, radius), cut.sound, seed);
        }
    }
}

/// Draws a layer.
pub(super) fn layer(svg: &mut Svg, pane: &Pane, cut: &Cut) {
    let outline = pane.all(&cut.outline);
    svg.open("layer", None);
    match cut.stratum.between {
        Some(hatch) => svg.hatched_bare(hatch, &outline),
        None => svg.area(Ink::Paper, &outline),
    }
    let sticks: Vec<_> = cut.sticks.iter().map(|stick| pane.all(stick)).collect();
    svg.all(Ink::Stick, &sticks, true);
    let each_m2 = CRUMB_PX2 / (pane.scale() * pane.scale());
    svg.dots(Ink::Crumb, &pane.all(&crumbs_in(cut, each_m2)));
    for (seed, log) in (cut.seed..).zip(&cut.logs) {
        end_grain::draw(svg, &pane.all(log), cut.sound, seed);
    }
    if cut.lie.thickness_m() * pane.scale() > SEAM_PX && area(&cut.outline) > 0.0 {
        let top = outline
            .iter()
            .map(|(_, y)| *y)
            .fold(f64::INFINITY, f64::min);
        let ends = outline.iter().filter(|(_, y)| *y - top < 1e-6);
        let (left, right) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(left, right), end| {
            (left.min(end.0), right.max(end.0))
        });
        svg.line(Ink::Seam, &[(left, top), (right, top)]);
    }
    svg.close();
}

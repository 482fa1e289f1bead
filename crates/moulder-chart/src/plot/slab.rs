//! Slabs of a stack over time: hatched, one on the other, each with a label at its end.

use crate::plot::frame::Frame;
use crate::plot::label::Label;
use crate::svg::hatch::Hatch;
use crate::svg::ink::Ink;

/// A slab.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Slab {
    /// Its hatch; none for air.
    pub hatch: Option<Hatch>,
    /// The text of its label.
    pub label: String,
    /// Its lower and upper edge, as (month, value).
    pub low: Vec<(f64, f64)>,
    /// The same months in the same order.
    pub high: Vec<(f64, f64)>,
}

impl Slab {
    /// How thick it is in the end.
    #[must_use]
    pub(crate) fn end(&self) -> f64 {
        let (low, high) = (self.low.last(), self.high.last());
        low.zip(high).map_or(0.0, |(low, high)| high.1 - low.1)
    }

    /// The middle of its end.
    fn middle(&self) -> f64 {
        self.low.last().map_or(0.0, |low| low.1) + 0.5 * self.end()
    }

    /// Whether it has any thickness at any time.
    fn is_there(&self) -> bool {
        let mut pairs = self.low.iter().zip(&self.high);
        pairs.any(|(low, high)| (high.1 - low.1).abs() > 1e-9)
    }
}

/// What a slab is made from: hatch, label, thickness at each of the months.
pub(crate) type Part = (Option<Hatch>, String, Vec<f64>);

/// Slabs one on the other from `foot` up.
#[must_use]
pub(crate) fn stacked(foot: f64, months: &[f64], parts: Vec<Part>) -> Vec<Slab> {
    let mut edge: Vec<(f64, f64)> = months.iter().map(|month| (*month, foot)).collect();
    let mut slabs = Vec::new();
    for (hatch, label, thick) in parts {
        let low = edge.clone();
        for (place, thick) in edge.iter_mut().zip(thick) {
            place.1 += thick;
        }
        slabs.push(Slab {
            hatch,
            label,
            low,
            high: edge.clone(),
        });
    }
    slabs
}

/// A thinner slab has no outline, which would hide its hatch; px.
const THIN: f64 = 6.0;

/// Draws them.
pub(crate) fn draw(frame: &Frame, slabs: &[Slab]) {
    for slab in slabs.iter().filter(|slab| slab.is_there()) {
        let mut edges = slab.low.iter().zip(&slab.high);
        let is_thin = edges.all(|(low, high)| frame.y(low.1) - frame.y(high.1) < THIN);
        let around = slab.low.iter().chain(slab.high.iter().rev());
        let around: Vec<_> = around
            .map(|(month, value)| (frame.x(*month), frame.y(*value)))
            .collect();
        let mut svg = frame.svg();
        svg.open("slab", Some(&slab.label));
        match slab.hatch {
            Some(hatch) if is_thin => svg.hatched_bare(hatch, &around),
            Some(hatch) => svg.hatched(hatch, &around),
            None => svg.line(Ink::Axis, &around),
        }
        svg.close();
    }
}

/// Half the width of the ends of a bar; px.
const END: f64 = 3.0;

/// A bar right of the last month: the 80 % interval.
pub(crate) fn range(frame: &Frame, [low, high]: [f64; 2]) {
    let x = frame.months_end() + 2.0 + END;
    let (top, bottom) = (frame.y(high), frame.y(low));
    let mut svg = frame.svg();
    svg.open("range", Some("Where 8 in 10 such beds end"));
    svg.line(Ink::First, &[(x, top), (x, bottom)]);
    for y in [top, bottom] {
        svg.line(Ink::First, &[(x - END, y), (x + END, y)]);
    }
    svg.close();
}

/// More labels than this would stand far from their slabs.
const LABELS_LIMIT: usize = 10;

/// Labels of the thickest slabs in the end, at most so many, and how many slabs go without.
#[must_use]
pub(crate) fn labels(slabs: &[Slab], most: usize) -> (Vec<Label>, usize) {
    let mut left: Vec<&Slab> = slabs.iter().filter(|slab| slab.is_there()).collect();
    let all = left.len();
    let most = most.min(LABELS_LIMIT);
    left.sort_by(|one, other| other.end().abs().total_cmp(&one.end().abs()));
    left.truncate(most);
    let labels = left
        .iter()
        .map(|slab| Label::new(slab.middle(), slab.label.clone()));
    (labels.collect(), all.saturating_sub(most))
}

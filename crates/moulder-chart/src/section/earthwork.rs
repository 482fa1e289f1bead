//! What a bed stands in: the ground, a trench, boards or a bag.

use moulder::Shape;

use crate::plot::pane::Pane;
use crate::section::chance::Chance;
use crate::section::profile::{Belly, bag_side};
use crate::svg::document::{Room, Svg};
use crate::svg::ink::Ink;

/// Thickness of boards; m (common practice, no source).
pub(crate) const BOARD_M: f64 = 0.025;

/// Height of one board; m (common practice, no source).
const PLANK_M: f64 = 0.15;

/// Boards are drawn no thinner than that; px.
const LEAST_PX: f64 = 4.0;

/// From one stroke in the ground to the next; px.
const STROKES: f64 = 9.0;

/// Draws the ground of a picture, down to `bottom`, px, as if no bed were there.
pub(crate) fn ground(svg: &mut Svg, pane: &Pane, (left, right): (f64, f64), bottom: f64) {
    let top = pane.y(0.0);
    svg.open("earth-below", None);
    svg.rectangle(
        Ink::Earth,
        Room {
            left,
            top,
            right,
            bottom,
        },
    );
    let mut chance = Chance::new(5);
    let mut strokes = Vec::new();
    let mut x = left + 7.0;
    while x < right - 2.0 {
        let y = top + chance.between(4.0, 7.0);
        strokes.push(vec![(x, y), (x - 4.0, y + 5.0)]);
        x += STROKES;
    }
    svg.all(Ink::EarthStroke, &strokes, false);
    svg.close();
}

/// Draws the line of the ground on both sides of the bed, from `left` to `right`, px.
pub(crate) fn ground_line(svg: &mut Svg, pane: &Pane, ends: (f64, f64), bed: (f64, f64)) {
    let y = pane.y(0.0);
    for (from, to) in [(ends.0, bed.0), (bed.1, ends.1)] {
        if from < to {
            svg.line(Ink::Ground, &[(from, y), (to, y)]);
        }
    }
}

/// Draws the air in a bag whose fill, to `top_m`, lies deeper than the ground; sides in px.
pub(crate) fn air_in_bag(svg: &mut Svg, pane: &Pane, (left, right): (f64, f64), top_m: f64) {
    if top_m < 0.0 {
        let room = Room {
            left,
            top: pane.y(0.0),
            right,
            bottom: pane.y(top_m),
        };
        svg.rectangle(Ink::Paper, room);
    }
}

/// Draws what holds the bed: `half_m` is half its width, filled to `top_m`; the right side
/// is left out where the picture is cut before it.
pub(crate) fn walls(svg: &mut Svg, pane: &Pane, shape: &Shape, rim_m: f64, fill: Fill) {
    svg.open("walls", None);
    match shape {
        Shape::Box { .. } | Shape::Round { .. } => {
            let thick = (BOARD_M * pane.scale()).max(LEAST_PX);
            let left = pane.x(-fill.half_m);
            boards(svg, pane, rim_m, (left - thick, left));
            if !fill.is_cut {
                let right = pane.x(fill.half_m);
                boards(svg, pane, rim_m, (right, right + thick));
            }
        }
        Shape::Bag { .. } => {
            let side = bag_side(fill.half_m, fill.top_m, rim_m, fill.belly);
            for way in [-1.0, 1.0] {
                if way < 0.0 || !fill.is_cut {
                    let line: Vec<_> = side
                        .iter()
                        .map(|(half_m, height_m)| {
                            (pane.x(way * half_m) + 1.5 * way, pane.y(*height_m))
                        })
                        .collect();
                    svg.line(Ink::Cloth, &line);
                }
            }
        }
        Shape::Mound { .. } => {}
    }
    svg.close();
}

/// How far a bed is filled, and how wide it is there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fill {
    /// Half its width at its foot; m.
    pub half_m: f64,
    /// How it bulges, if it is a bag that does.
    pub belly: Option<Belly>,
    /// Height of its surface over the ground; m.
    pub top_m: f64,
    /// Whether the picture ends before its right side.
    pub is_cut: bool,
}

fn boards(svg: &mut Svg, pane: &Pane, rim_m: f64, (left, right): (f64, f64)) {
    let count = (rim_m / PLANK_M).round().max(1.0);
    let mut board = 0.0;
    while board < count {
        svg.rectangle(
            Ink::Board,
            Room {
                left,
                top: pane.y(rim_m * (board + 1.0) / count),
                right,
                bottom: pane.y(rim_m * board / count),
            },
        );
        board += 1.0;
    }
}

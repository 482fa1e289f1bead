//! End grain of a log: bark, rings, a crack. The rings go as far round as the share of carbon
//! left in the wood.

use crate::section::chance::Chance;
use crate::svg::document::Svg;
use crate::svg::ink::Ink;
use crate::svg::polygon::{Point, area, middle};

/// From one ring to the next; px.
const APART: f64 = 3.4;

/// A smaller log has no rings; px.
const LEAST_RADIUS: f64 = 3.0;

/// From here on a log has a crack; px.
const CRACKED: f64 = 9.0;

/// Draws a log of that outline, px, with the share `sound` of its carbon left.
pub(crate) fn draw(svg: &mut Svg, outline: &[Point], sound: f64, seed: u64) {
    if outline.len() < 3 {
        return;
    }
    svg.area(Ink::Log, outline);
    let radius = (area(outline) / core::f64::consts::PI).sqrt();
    if radius < LEAST_RADIUS {
        return;
    }
    let mut chance = Chance::new(seed);
    let (x, y) = middle(outline);
    // A tree is never quite concentric.
    let pith = (
        x + 0.14 * radius * chance.between(-1.0, 1.0),
        y + 0.14 * radius * chance.between(-1.0, 1.0),
    );
    let mut lines = Vec::new();
    let mut left = radius - APART;
    while left > 0.35 * APART {
        let share = left / radius;
        lines.push(arc(outline, pith, share, sound, chance.share()));
        left -= APART * chance.between(0.8, 1.15);
    }
    if radius > CRACKED {
        let towards = corner(outline, chance.share());
        let at = |share: f64| on_the_way(pith, towards, share);
        lines.push(vec![at(0.1), at(chance.between(0.6, 0.92))]);
    }
    svg.all(Ink::Ring, &lines, false);
}

/// Part of a ring: the outline drawn in towards the pith, from a corner on.
fn arc(outline: &[Point], pith: Point, share: f64, part: f64, from: f64) -> Vec<Point> {
    // Every second corner will do for a small ring.
    let step = if share < 0.6 { 2 } else { 1 };
    #[allow(clippy::cast_precision_loss, reason = "a log has a few corners")]
    let count = outline.len() as f64;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "shares of the corners"
    )]
    let (first, corners) = (
        (from * count) as usize,
        (part.clamp(0.0, 1.0) * count + 0.5) as usize,
    );
    if corners == 0 {
        return Vec::new();
    }
    (0..=corners)
        .step_by(step)
        .map(|corner| on_the_way(pith, outline[(first + corner) % outline.len()], share))
        .collect()
}

fn corner(outline: &[Point], share: f64) -> Point {
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a log has a few corners"
    )]
    let at = (share * outline.len() as f64) as usize;
    outline[at.min(outline.len() - 1)]
}

fn on_the_way(from: Point, to: Point, share: f64) -> Point {
    (
        from.0 + (to.0 - from.0) * share,
        from.1 + (to.1 - from.1) * share,
    )
}

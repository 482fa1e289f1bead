//! Labels beside the ends of lines, kept apart.

use crate::plot::frame::Frame;
use crate::plot::look::Look;
use crate::svg::document::{Svg, TextSize, Words};
use crate::svg::ink::Ink;

/// From one label to the next; px.
const APART: f64 = 16.0;

/// Between the end of a line and its label; px.
pub(crate) const AWAY: f64 = 14.0;

/// A label of a line's end.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Label {
    /// The value at which the line ends.
    pub value: f64,
    /// Its text.
    pub text: String,
    /// Whether it is in the quiet colour.
    pub quiet: bool,
    /// What its line is drawn with, of which a stroke stands before the words where lines
    /// cross.
    pub ink: Option<Ink>,
}

/// Length of a stroke before words; px.
const STROKE: f64 = 22.0;

/// The same with the gap after it; px.
pub(crate) const STROKE_ROOM: f64 = STROKE + 5.0;

impl Label {
    /// A label in the usual colour, without a stroke.
    pub(crate) const fn new(value: f64, text: String) -> Self {
        Self {
            value,
            text,
            quiet: false,
            ink: None,
        }
    }

    /// The same in the quiet colour.
    pub(crate) const fn quiet(value: f64, text: String) -> Self {
        let mut label = Self::new(value, text);
        label.quiet = true;
        label
    }

    /// Room before its words; px.
    fn stroke_px(&self) -> f64 {
        self.ink.map_or(0.0, |_| STROKE_ROOM)
    }
}

/// A stroke of that ink before words, at their middle; where the words begin, from the left.
pub(crate) fn stroke(svg: &mut Svg, ink: Ink, x: f64, y: f64) -> f64 {
    svg.line(ink, &[(x, y), (x + STROKE, y)]);
    x + STROKE_ROOM
}

/// Room that labels need right of the last month; px.
#[must_use]
pub(crate) fn gutter(labels: &[Label]) -> f64 {
    let font = crate::svg::font::Font::shipped();
    let width = |label: &Label| label.stroke_px() + font.width(&label.text, TextSize::Body.px());
    AWAY + labels.iter().map(width).fold(0.0, f64::max) + 8.0
}

/// Most of a chart's width that labels may take.
const SHARE: f64 = 0.4;

/// A name and a figure, the name cut so that labels leave most of the chart to its lines.
#[must_use]
pub(crate) fn fitted(name: &str, said: &str, look: &Look) -> String {
    let font = crate::svg::font::Font::shipped();
    let size = TextSize::Body.px();
    let most = SHARE * look.width_px() - AWAY - 8.0 - font.width(&format!(" {said}"), size);
    let name = font.fitted(name, size, most.max(0.0));
    format!("{name} {said}").trim().to_owned()
}

/// How many labels find room beside a plot.
#[must_use]
pub(crate) fn most(look: &Look) -> usize {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a plot is some hundred pixels high"
    )]
    let most = (look.plot_height_px() / APART) as usize;
    most
}

/// Writes the labels in the gutter, each as near its line as the others let it.
pub(crate) fn write(frame: &Frame, labels: &[Label]) {
    let mut labels: Vec<&Label> = labels.iter().collect();
    labels.sort_by(|one, other| other.value.total_cmp(&one.value));
    let wanted: Vec<f64> = labels.iter().map(|label| frame.y(label.value)).collect();
    let plot = frame.plot();
    let places = spread(&wanted, APART, plot.top, frame.floor());
    frame.svg().open("labels", None);
    for ((label, wanted), y) in labels.iter().zip(wanted).zip(places) {
        let x = frame.months_end();
        let mut svg = frame.svg();
        let words = x + AWAY;
        if (y - wanted).abs() > 2.0 {
            svg.line(Ink::Leader, &[(x + 2.0, wanted), (x + AWAY - 3.0, y)]);
        }
        let words = match label.ink {
            Some(ink) => stroke(&mut svg, ink, words, y),
            None => words,
        };
        svg.write(
            &Words::body(&label.text, words, y + 4.5).quiet(label.quiet),
            true,
        );
    }
    frame.svg().close();
}

/// Positions in order from the top, each at least `apart` from the next and as near the
/// desired one as possible; within `top` and `bottom` if there is room.
#[must_use]
pub(crate) fn spread(wanted: &[f64], apart: f64, top: f64, bottom: f64) -> Vec<f64> {
    // Groups of labels that touch: position of the first, and how many there are. A group
    // stands where the mean deviation of its labels is least.
    let mut heaps: Vec<(f64, Vec<f64>)> = Vec::new();
    for (at, place) in wanted.iter().enumerate() {
        // Less their own distances, labels that touch have the same desired position.
        #[allow(clippy::cast_precision_loss, reason = "a chart has a few labels")]
        let own = place - apart * at as f64;
        let mut heap = vec![own];
        while let Some((above, _)) = heaps.last()
            && *above > mean(&heap)
        {
            let (_, mut joined) = heaps.pop().unwrap_or_default();
            joined.append(&mut heap);
            heap = joined;
        }
        heaps.push((mean(&heap), heap));
    }
    let own = heaps
        .iter()
        .flat_map(|(place, heap)| std::iter::repeat_n(*place, heap.len()));
    #[allow(clippy::cast_precision_loss, reason = "a chart has a few labels")]
    let last = wanted.len().saturating_sub(1) as f64;
    let lowest = (bottom - apart * last).max(top);
    #[allow(clippy::cast_precision_loss, reason = "a chart has a few labels")]
    own.enumerate()
        .map(|(at, own)| own.clamp(top, lowest) + apart * at as f64)
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "a chart has a few labels")]
    let count = values.len().max(1) as f64;
    values.iter().sum::<f64>() / count
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn labels_stay_apart_and_near() {
        assert_eq!(spread(&[10.0, 50.0], 16.0, 0.0, 100.0), [10.0, 50.0]);
        assert_eq!(spread(&[50.0, 50.0], 16.0, 0.0, 100.0), [42.0, 58.0]);
        assert_eq!(spread(&[99.0, 100.0], 16.0, 0.0, 100.0), [84.0, 100.0]);
        let many = spread(&[40.0, 41.0, 60.0, 61.0, 62.0], 16.0, 0.0, 100.0);
        assert!(
            many.windows(2).all(|pair| pair[1] - pair[0] >= 16.0 - 1e-9),
            "{many:?}"
        );
        assert!(many[0] >= 0.0 && many[4] <= 100.0);
    }
}

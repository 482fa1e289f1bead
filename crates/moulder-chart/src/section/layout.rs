//! Where the pictures of a cross-section go.

use super::picture::Picture;
use super::words::{below, layer_text};
use crate::plot::head::{EDGE, LINE};
use crate::plot::look::Look;
use crate::section::cutaway::Cut;
use crate::section::earthwork::BOARD_M;
use crate::subject::Subject;
use crate::svg::document::TextSize;
use crate::svg::font::Font;

/// Most room for the names of layers left of the first picture, as a share of the chart,
/// and px that they have in any case.
const NAMES_SHARE: f64 = 0.2;
const NAMES: f64 = 210.0;

/// Of that, for the leader; px.
pub(super) const LEADER: f64 = 26.0;

/// A narrower chart has its names below; px.
const NAMES_FROM: f64 = 640.0;

/// Room for depths right of the last picture; px.
const DEPTHS: f64 = 34.0;

/// Between pictures; px.
const GAP: f64 = 10.0;

/// The same of a drawing for a sheet, whose words are printed larger, and the most that its tallest
/// picture is high; px.
const NAMES_SHARE_OF_A_SHEET: f64 = 0.33;
const NAMES_FROM_OF_A_SHEET: f64 = 500.0;
const HIGH_ON_A_SHEET: f64 = 78.0;

/// A row of pictures is broken in two where one would be narrower; px.
const NARROW: f64 = 170.0;

/// And those again; px.
const NARROWEST: f64 = 100.0;

/// Ground drawn beside a bed, and below it or its trench, at least; px.
const BESIDE: f64 = 10.0;
const BELOW: f64 = 16.0;

/// Air above the highest of all; px.
pub(super) const ABOVE: f64 = 8.0;

/// Room for the text over a picture, and below it; px.
pub(super) const OVER: f64 = 2.0 * LINE + 8.0;

/// What a drawing is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Use {
    /// A chart, which breaks a row before its pictures get small.
    Chart,
    /// A sheet with a row of pictures.
    Sheet,
}

/// Where the pictures go; px.
pub(super) struct Layout {
    pub(super) columns: usize,
    pub(super) cell: f64,
    pub(super) scale: f64,
    /// The left edge of the first picture.
    pub(super) left: f64,
    /// From the top of a picture to the ground, and on down.
    pub(super) high: f64,
    pub(super) deep: f64,
    /// The middle of the bed in a cell.
    pub(super) middle: f64,
    pub(super) has_names: bool,
    /// Lines of text below each picture.
    pub(super) lines: usize,
    pub(super) for_use: Use,
}

impl Layout {
    /// Finds room for pictures, of at most `most` px a metre.
    pub(super) fn new(
        subject: &Subject<'_>,
        look: &Look,
        pictures: &[Picture<'_>],
        cut_m: f64,
        most: f64,
        for_use: Use,
    ) -> Self {
        let bed = subject.bed;
        let wide = look.width_px();
        let (names_from, most_names, narrow, most_high) = match for_use {
            Use::Chart => (
                NAMES_FROM,
                NAMES.max(NAMES_SHARE * wide),
                NARROW,
                look.plot_height_px(),
            ),
            Use::Sheet => (
                NAMES_FROM_OF_A_SHEET,
                NAMES_SHARE_OF_A_SHEET * wide,
                NARROWEST,
                HIGH_ON_A_SHEET,
            ),
        };
        let has_names = wide >= names_from;
        let left = EDGE
            + if has_names {
                names_room(subject, pictures, for_use).min(most_names)
            } else {
                0.0
            };
        let room = look.width_px() - left - EDGE - DEPTHS;
        let cell_of = |columns: usize| {
            #[allow(clippy::cast_precision_loss, reason = "a few pictures")]
            let columns = columns as f64;
            (room + GAP) / columns - GAP
        };
        let count = pictures.len().max(1);
        let half = count.div_ceil(2);
        let columns = [(count, narrow), (half.min(4), narrow), (2, NARROWEST)]
            .into_iter()
            .find(|(columns, least)| cell_of(*columns) >= *least)
            .map_or(1, |(columns, _)| columns.min(count));
        let cell = cell_of(columns);
        let half_m = pictures.iter().map(Picture::half_m).fold(0.01, f64::max);
        let right_m = half_m.min(cut_m);
        let tops = pictures.iter().map(|picture| picture.top_m(bed.trench_m()));
        let top_m = tops.fold(bed.rim_m().unwrap_or(0.0), f64::max).max(0.01);
        let width_m = half_m + right_m + 2.0 * BOARD_M;
        let by_width = (cell - 2.0 * BESIDE - 8.0) / width_m;
        let by_height = most_high / (top_m + bed.trench_m());
        let scale = by_width.min(by_height).min(most);
        let spare = cell - 2.0 * BESIDE - scale * (half_m + right_m);
        Self {
            columns,
            cell,
            scale,
            left,
            high: scale * top_m + ABOVE,
            deep: (scale * bed.trench_m() + BESIDE).max(BELOW),
            middle: BESIDE + 0.5 * spare + scale * half_m,
            has_names,
            lines: 0,
            for_use,
        }
        .with_lines(subject, pictures)
    }

    fn with_lines(mut self, subject: &Subject<'_>, pictures: &[Picture<'_>]) -> Self {
        let lines = pictures
            .iter()
            .map(|picture| below(subject, picture.row, self.cell, self.for_use).len());
        self.lines = lines.max().unwrap_or(0);
        self
    }

    /// The height of a row of pictures with its texts; px.
    pub(super) fn row(&self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "a few lines")]
        let lines = self.lines as f64;
        OVER + self.high + self.deep + LINE * lines + 14.0
    }

    /// The left edge of a picture, and the top of its row below the first.
    #[allow(clippy::cast_precision_loss, reason = "a few pictures")]
    pub(super) fn place(&self, index: usize) -> (f64, f64) {
        let (row, column) = (index / self.columns, index % self.columns);
        (
            self.left + (self.cell + GAP) * column as f64,
            self.row() * row as f64,
        )
    }
}

/// Room that the names of layers take left of the pictures; px.
fn names_room(subject: &Subject<'_>, pictures: &[Picture<'_>], for_use: Use) -> f64 {
    let font = Font::shipped();
    let cuts = pictures.iter().flat_map(|picture| &picture.cuts);
    let width = |cut: &Cut| {
        let text = layer_text(subject, cut, f64::INFINITY, for_use);
        font.width(&text, TextSize::Small.px())
    };
    cuts.map(width).fold(110.0, f64::max) + LEADER
}

//! The bed cut across at several dates, side by side and to one scale.

pub(crate) mod brush;
pub(crate) mod chance;
pub mod cutaway;
pub(crate) mod earthwork;
pub(crate) mod end_grain;
pub(crate) mod packing;
pub(crate) mod pressed_discs;
pub mod profile;

mod layout;
mod picture;
mod words;

use moulder::Bed;
use moulder::Shape;
use moulder::Units;
use moulder::{Forecast, Month};
use moulder_words::figure::height::{in_unit, reading};
use moulder_words::forecast::spoken_date;

use crate::plot::head::{EDGE, Head, LINE};
use crate::plot::label::spread;
use crate::plot::look::Look;
use crate::plot::pane::Pane;
use crate::plot::scale::{Counting, Scale};
use crate::section::cutaway::{Cut, Cutaway};
use crate::section::earthwork::Fill;
use crate::section::layout::{ABOVE, LEADER, Layout, OVER, Use};
use crate::section::picture::{Picture, layer, sample};
use crate::section::words::{TOLD, about, after, below, gathered, how_to_read, layer_text};
use crate::subject::Subject;
use crate::svg::document::{Anchor, Room, Svg, TextSize, Words};
use crate::svg::escape::named;
use crate::svg::ink::Ink;

/// Most characters of a bed's name in a chart's title.
const NAME_LIMIT: usize = 120;

/// The default months since filling, beside the last.
const USUAL: [u32; 3] = [0, 6, 12];

/// Most pictures in one chart.
pub const PICTURES_LIMIT: usize = 12;

/// Least distance of two figures of the scale of heights; px.
const FIGURES_APART: f64 = 14.0;
/// From one name to the next; px.
const APART: f64 = 17.0;

/// A bed wider than so many times its height is drawn in part, so many times as wide.
const WIDE: (f64, f64) = (2.8, 2.2);

/// Draws the chart at the usual dates.
#[must_use]
pub fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    svg_at(subject, look, &usual_months(subject.forecast))
}

/// The default months: filling, half a year, one year, and the last.
#[must_use]
pub fn usual_months(forecast: &Forecast) -> Vec<u32> {
    let last = forecast.months.last().map_or(0, |row| row.month);
    let mut months: Vec<u32> = USUAL.into_iter().filter(|month| *month <= last).collect();
    if !months.contains(&last) {
        months.push(last);
    }
    months
}

/// Draws the chart at so many months since filling each; what the forecast does not reach
/// is left out, and what is beyond [`PICTURES_LIMIT`].
#[must_use]
pub fn svg_at(subject: &Subject<'_>, look: &Look, months: &[u32]) -> Svg {
    Drawing::new(subject, look, months).done()
}

/// A bed on a day, under a heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// The heading.
    pub heading: String,
    /// The bed on that day, as a row of its forecast.
    pub row: Month,
}

/// Draws the bed on those days without the head of a chart, for a page that says what it is; where
/// there is no room for the names of layers beside it, with a list of them below or without. What is
/// beyond [`PICTURES_LIMIT`] is left out.
#[must_use]
pub fn svg_of(subject: &Subject<'_>, look: &Look, moments: &[Moment], has_key: bool) -> Svg {
    let rows = moments.iter().take(PICTURES_LIMIT);
    let (pictures, cut_m) = drawn(subject, rows.map(|moment| &moment.row).collect());
    let headings = moments.iter().map(|moment| moment.heading.clone());
    Drawing {
        subject,
        look,
        layout: Layout::new(subject, look, &pictures, cut_m, f64::INFINITY, Use::Sheet),
        pictures,
        cut_m,
        headings: Some(headings.collect()),
        has_key,
    }
    .done()
}

/// Draws a chart for each of several beds at those months, all of them to the scale at
/// which the largest finds room. Ids in each begin with that of the look and its number.
#[must_use]
pub fn svgs_to_one_scale(subjects: &[Subject<'_>], look: &Look, months: &[u32]) -> Vec<Svg> {
    let looks: Vec<Look> = (1..=subjects.len())
        .map(|number| look.numbered(number))
        .collect();
    let mut drawings: Vec<Drawing<'_>> = subjects
        .iter()
        .zip(&looks)
        .map(|(subject, look)| Drawing::new(subject, look, months))
        .collect();
    let scales = drawings.iter().map(|drawing| drawing.layout.scale);
    let least = scales.fold(f64::INFINITY, f64::min);
    for drawing in &mut drawings {
        drawing.hold_to(least);
    }
    drawings.iter().map(Drawing::done).collect()
}

/// The pictures of a bed in those months, and where a bed too wide is cut off.
fn pictures<'a>(subject: &Subject<'a>, months: &[u32]) -> (Vec<Picture<'a>>, f64) {
    let forecast = subject.forecast;
    let rows: Vec<&Month> = months
        .iter()
        .filter_map(|month| forecast.months.iter().find(|row| row.month == *month))
        .take(PICTURES_LIMIT)
        .collect();
    drawn(subject, rows)
}

/// Pictures of a bed from its rows, and where a bed too wide is cut off.
fn drawn<'a>(subject: &Subject<'_>, rows: Vec<&'a Month>) -> (Vec<Picture<'a>>, f64) {
    let cut_m = cut_m(subject.bed, &rows);
    let cutaway = Cutaway::new(subject.bed, subject.forecast, cut_m);
    let pictures = rows.into_iter().map(|row| Picture {
        row,
        cuts: cutaway.on(row),
    });
    (pictures.collect(), cut_m)
}

/// Where a bed that is too wide for its height is cut off; m right of its centre.
fn cut_m(bed: &Bed, rows: &[&Month]) -> f64 {
    let (width_m, length_m) = bed.shape().section_m(0.0);
    let across_m = width_m.min(length_m);
    let highest = rows.iter().map(|row| row.height_m + bed.trench_m());
    let high_m = highest.fold(bed.rim_m().unwrap_or(0.0), f64::max).max(0.2);
    if across_m <= WIDE.0 * high_m {
        return f64::INFINITY;
    }
    // A slope is shown whole, up to the middle.
    let part_m = match bed.shape() {
        Shape::Mound { .. } => (WIDE.1 * high_m).max(0.5 * across_m),
        _ => WIDE.1 * high_m,
    };
    part_m - 0.5 * across_m
}

/// A chart in the making.
struct Drawing<'a> {
    subject: &'a Subject<'a>,
    look: &'a Look,
    layout: Layout,
    pictures: Vec<Picture<'a>>,
    cut_m: f64,
    /// Headings of the pictures, where the drawing has no head of its own.
    headings: Option<Vec<String>>,
    /// Whether layers are listed below it.
    has_key: bool,
}

impl<'a> Drawing<'a> {
    fn new(subject: &'a Subject<'a>, look: &'a Look, months: &[u32]) -> Self {
        let (pictures, cut_m) = pictures(subject, months);
        Self {
            subject,
            look,
            layout: Layout::new(subject, look, &pictures, cut_m, f64::INFINITY, Use::Chart),
            pictures,
            cut_m,
            headings: None,
            has_key: true,
        }
    }

    /// Draws it no larger than to that scale; px a metre.
    fn hold_to(&mut self, scale: f64) {
        let (subject, look) = (self.subject, self.look);
        self.layout = Layout::new(subject, look, &self.pictures, self.cut_m, scale, Use::Chart);
    }

    fn done(&self) -> Svg {
        let forecast = self.subject.forecast;
        let name = named(&forecast.name, NAME_LIMIT);
        let head = Head::new(
            self.look,
            &name,
            &how_to_read(self.subject, &self.pictures, self.cut_m),
        );
        let top = if self.headings.is_some() {
            0.0
        } else {
            head.bottom() + 10.0
        };
        let rows = self.pictures.len().div_ceil(self.layout.columns);
        #[allow(clippy::cast_precision_loss, reason = "a few rows")]
        let foot = top + self.layout.row() * rows as f64;
        let key = self.key();
        let has_bar = self.layout.for_use == Use::Chart;
        let (bar, edge) = if has_bar { (30.0, EDGE) } else { (0.0, 2.0) };
        #[allow(clippy::cast_precision_loss, reason = "a few lines")]
        let bottom = foot + bar + (LINE + 3.0) * key.len() as f64 + edge;
        let mut svg = Svg::new(
            self.look.id(),
            self.look.width_px(),
            bottom,
            &format!("{name}: the bed cut across"),
            &about(self.subject, &self.pictures),
        );
        if self.headings.is_none() {
            head.write(&mut svg);
        }
        for row in 0..rows {
            self.across(&mut svg, top, row);
        }
        for index in 0..self.pictures.len() {
            self.picture(&mut svg, top, index);
        }
        if has_bar {
            self.scale_bar(&mut svg, foot + 14.0);
        }
        write_key(&mut svg, foot + bar + 14.0, &key);
        svg
    }

    fn pane(&self, top: f64, index: usize) -> Pane {
        let (left, row_top) = self.layout.place(index);
        Pane::new(
            left + self.layout.middle,
            top + row_top + OVER + self.layout.high,
            self.layout.scale,
        )
    }

    /// What runs across a row: depths, the rim.
    fn across(&self, svg: &mut Svg, top: f64, row: usize) {
        let layout = &self.layout;
        let first = row * layout.columns;
        let last = (first + layout.columns).min(self.pictures.len()) - 1;
        let pane = self.pane(top, first);
        let (left, right) = (layout.place(first).0, layout.place(last).0 + layout.cell);
        let (units, bed) = (self.subject.forecast.units, self.subject.bed);
        let rim = bed.rim_m().map(|rim_m| in_unit(rim_m, units));
        let metre = in_unit(1.0, units);
        let (high, deep) = (
            in_unit((layout.high - ABOVE) / layout.scale, units),
            in_unit(bed.trench_m(), units),
        );
        let counting = match units {
            Units::Metric => Counting::Tens,
            Units::Us | Units::UkGarden => Counting::Inches,
        };
        // Depths are counted down from the rim, heights up from the ground.
        let (low, high) = rim.map_or((-deep, high), |rim| (rim - high, rim + deep));
        let most = (layout.high + layout.deep) / 30.0;
        let depths = Scale::around(low, high, most, counting);
        svg.open("depths", None);
        let mut written_y = f64::INFINITY;
        for depth in depths.ticks() {
            if depth < low - 1e-9 || depth > high + 1e-9 {
                continue;
            }
            let height = rim.map_or(depth, |rim| rim - depth);
            let y = pane.y(height / metre);
            svg.line(Ink::Grid, &[(left, y), (right + 4.0, y)]);
            // A bed far wider than high is drawn so flat that its figures would meet.
            if (y - written_y).abs() < FIGURES_APART {
                continue;
            }
            written_y = y;
            let text = if rim.is_some() && depth.abs() < 1e-9 {
                "rim".to_owned()
            } else {
                depths.written(depth)
            };
            svg.write(
                &Words::small(&text, right + 7.0, y + 4.0).quiet(true),
                false,
            );
        }
        svg.close();
        if let Some(rim_m) = bed.rim_m() {
            let y = pane.y(rim_m);
            svg.open("rim-line", Some("The rim"));
            svg.line(Ink::Rim, &[(left, y), (right + 4.0, y)]);
            svg.close();
        }
    }

    fn picture(&self, svg: &mut Svg, top: f64, index: usize) {
        let layout = &self.layout;
        let Some(picture) = self.pictures.get(index) else {
            return;
        };
        let pane = self.pane(top, index);
        let (left, row_top) = layout.place(index);
        let ends = (left, left + layout.cell);
        let middle = left + 0.5 * layout.cell;
        let own = self.headings.as_ref().and_then(|all| all.get(index));
        let heading = own.map_or_else(|| after(picture.row.month), Clone::clone);
        let date = spoken_date(picture.row.date);
        svg.open("picture", Some(&format!("{date}, {heading}")));
        let mut words =
            Words::body(&heading, middle, top + row_top + LINE).anchored(Anchor::Middle);
        svg.write(&words, false);
        words.text = &date;
        words.y += LINE;
        words.size = TextSize::Small;
        words.quiet = true;
        svg.write(&words, false);
        let bottom = pane.y(0.0) + layout.deep;
        earthwork::ground(svg, &pane, ends, bottom);
        for cut in &picture.cuts {
            layer(svg, &pane, cut);
        }
        self.surface(svg, &pane, picture, ends);
        let lines = below(self.subject, picture.row, layout.cell, layout.for_use);
        words.y = bottom + 4.0;
        for (at, line) in lines.iter().enumerate() {
            words.text = line;
            words.y += LINE;
            words.size = if at == 0 {
                TextSize::Body
            } else {
                TextSize::Small
            };
            words.quiet = at > 0;
            svg.write(&words, false);
        }
        if layout.has_names && index.is_multiple_of(layout.columns) {
            self.names(svg, &pane, picture);
        }
        svg.close();
    }

    /// The surface, the ground beside the bed, and what holds it.
    fn surface(&self, svg: &mut Svg, pane: &Pane, picture: &Picture<'_>, ends: (f64, f64)) {
        let bed = self.subject.bed;
        let top_m = picture.top_m(bed.trench_m());
        let at_ground = picture
            .cuts
            .iter()
            .find(|cut| cut.lie.top_m >= 0.0)
            .or(picture.cuts.last());
        let half_m = at_ground.map_or(0.0, |cut| {
            let up = -cut.lie.bottom_m / cut.lie.thickness_m();
            cut.lie.half_m(up.clamp(0.0, 1.0))
        });
        let is_cut = half_m > self.cut_m;
        let sides = (pane.x(-half_m), pane.x(half_m.min(self.cut_m)));
        if matches!(bed.shape(), Shape::Bag { .. }) {
            earthwork::air_in_bag(svg, pane, sides, top_m);
        }
        earthwork::ground_line(svg, pane, ends, sides);
        if is_cut {
            // A broken edge says that the bed goes on.
            let from = pane.y(top_m) - 6.0;
            let to = pane.y(-bed.trench_m()) + 4.0;
            let mut y = from;
            let mut broken = Vec::new();
            let mut way = 1.0;
            while y < to {
                broken.push((sides.1 + 1.5 * way, y));
                way = -way;
                y += 5.0;
            }
            svg.line(Ink::Seam, &broken);
        }
        if let Some(rim_m) = bed.rim_m() {
            let fill = Fill {
                half_m: picture.foot_half_m().max(0.01),
                belly: picture.cuts.first().and_then(|cut| cut.lie.belly),
                top_m,
                is_cut,
            };
            earthwork::walls(svg, pane, &bed.shape(), rim_m, fill);
        }
        if let Some(cut) = picture.cuts.last() {
            let head_m = cut.lie.half_m(1.0);
            let y = pane.y(top_m);
            let right = pane.x(head_m.min(self.cut_m));
            svg.open("surface-line", Some("The surface"));
            svg.line(Ink::Surface, &[(pane.x(-head_m), y), (right, y)]);
            svg.close();
        }
        if matches!(bed.shape(), Shape::Mound { .. }) {
            // The side that is seen: above the ground.
            let side = |cut: &Cut| {
                let ground = (-cut.lie.bottom_m / cut.lie.thickness_m()).max(0.0);
                let shoulder = cut.lie.shoulder().filter(|up| *up > ground);
                let ups = [Some(ground), shoulder, Some(1.0)].into_iter().flatten();
                let places = ups
                    .filter(|up| *up <= 1.0)
                    .map(|up| cut.lie.place(-1.0, up));
                places.collect::<Vec<_>>()
            };
            let seen = picture.cuts.iter().filter(|cut| cut.lie.top_m > 0.0);
            let slope: Vec<_> = seen.flat_map(side).collect();
            if !slope.is_empty() {
                svg.line(Ink::Surface, &pane.all(&slope));
            }
            if !is_cut && !slope.is_empty() {
                let slope: Vec<_> = slope.iter().map(|(x, y)| (-x, *y)).collect();
                svg.line(Ink::Surface, &pane.all(&slope));
            }
        }
    }

    /// The names of the layers, left of the picture, the thinnest gathered.
    fn names(&self, svg: &mut Svg, pane: &Pane, picture: &Picture<'_>) {
        let (layout, units) = (&self.layout, self.subject.forecast.units);
        let (top, bottom) = (pane.y(0.0) - layout.high + 8.0, pane.y(0.0) + layout.deep);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a height in lines"
        )]
        let room = (((bottom - top) / APART) as usize).max(2);
        let (named, thin) = picture.told(if picture.cuts.len() > room {
            room - 1
        } else {
            room
        });
        let middles: Vec<f64> = named
            .iter()
            .rev()
            .map(|cut| pane.y(0.5 * (cut.lie.bottom_m + cut.lie.top_m)))
            .collect();
        let last = if thin.is_empty() {
            bottom
        } else {
            bottom - APART
        };
        let places = spread(&middles, APART, top, last);
        let width = layout.left - EDGE - LEADER;
        svg.open("names", None);
        for ((cut, at), y) in named.iter().rev().zip(&middles).zip(places) {
            let text = layer_text(self.subject, cut, width, layout.for_use);
            let words = Words::small(&text, EDGE, y + 4.5);
            let end = words.room(svg.font()).right + 4.0;
            let side = pane.x(-cut.lie.half_m(0.5)) + 7.0;
            svg.line(
                Ink::Leader,
                &[(end, y), (layout.left - 4.0, y), (side, *at)],
            );
            svg.circle(Ink::Leader, (side, *at), 1.6);
            svg.write(&words, false);
        }
        if !thin.is_empty() {
            svg.write(
                &Words::small(&gathered(&thin, units), EDGE, bottom + 4.5).quiet(true),
                false,
            );
        }
        svg.close();
    }

    fn scale_bar(&self, svg: &mut Svg, y: f64) {
        let units = self.subject.forecast.units;
        let metre = in_unit(1.0, units);
        let lengths: [f64; 6] = match units {
            Units::Metric => [100.0, 50.0, 20.0, 10.0, 5.0, 2.0],
            Units::Us | Units::UkGarden => [36.0, 24.0, 12.0, 6.0, 2.0, 1.0],
        };
        let room = 0.3 * self.look.width_px();
        let px = |length: f64| length / metre * self.layout.scale;
        let fits = |length: &f64| px(*length) <= room;
        let length = lengths.into_iter().find(fits).unwrap_or(lengths[5]);
        let (left, right) = (self.layout.left, self.layout.left + px(length));
        svg.open("scale-bar", Some("The scale"));
        svg.line(
            Ink::Ground,
            &[(left, y - 4.0), (left, y), (right, y), (right, y - 4.0)],
        );
        let text = format!("{}, all to one scale", reading(length / metre, units));
        svg.write(
            &Words::small(&text, right + 8.0, y + 2.0).quiet(true),
            false,
        );
        svg.close();
    }

    /// Where there is no room for names beside the pictures: a list of the layers of the
    /// first picture.
    fn key(&self) -> Vec<(Option<&Cut>, String)> {
        let units = self.subject.forecast.units;
        let is_wanted = self.has_key && !self.layout.has_names;
        let Some(first) = self.pictures.first().filter(|_| is_wanted) else {
            return Vec::new();
        };
        let (told, thin) = first.told(TOLD);
        let width = self.look.width_px() - 2.0 * EDGE - 40.0;
        let lines = told.into_iter().rev();
        let lines = lines.map(|cut| (Some(cut), layer_text(self.subject, cut, width, Use::Chart)));
        let mut lines: Vec<(Option<&Cut>, String)> = lines.collect();
        if !thin.is_empty() {
            lines.push((None, gathered(&thin, units)));
        }
        lines
    }
}

/// Writes the list of layers below the pictures.
fn write_key(svg: &mut Svg, top: f64, key: &[(Option<&Cut>, String)]) {
    if key.is_empty() {
        return;
    }
    svg.open("key", None);
    let mut y = top;
    for (cut, text) in key {
        if let Some(cut) = cut {
            let room = Room {
                left: EDGE,
                top: y - 10.0,
                right: EDGE + 28.0,
                bottom: y + 3.0,
            };
            sample(svg, room, cut);
        }
        svg.write(
            &Words::small(text, EDGE + 36.0, y).quiet(cut.is_none()),
            false,
        );
        y += LINE + 3.0;
    }
    svg.close();
}

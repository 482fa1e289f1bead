//! The bed cut across at several dates, side by side and to one scale.

use moulder::bed::{Bed, Units};
use moulder::forecast::{Forecast, MonthRow};
use moulder::sentence::spoken_date;
use moulder::tape::{in_unit, reading};
use moulder_core::shape::Shape;

use crate::cutaway::{Cut, Cutaway, crumbs_in};
use crate::earthwork::{self, BOARD_M, Fill};
use crate::end_grain;
use crate::escape::named;
use crate::font::Font;
use crate::head::{EDGE, Head, LINE};
use crate::ink::Ink;
use crate::kind::Subject;
use crate::label::spread;
use crate::look::Look;
use crate::pane::Pane;
use crate::polygon::area;
use crate::scale::{Counting, Scale};
use crate::svg::{Anchor, Svg, TextSize, Words};

/// Most characters of a bed's name in a chart's title.
const NAME_LIMIT: usize = 120;

/// Most characters of a layer's name.
const LAYER_LIMIT: usize = 60;

/// The dates that are drawn when none are asked for: months since filling.
const USUAL: [u32; 4] = [0, 6, 12, 60];

/// Most pictures in one chart.
pub const PICTURES_LIMIT: usize = 12;

/// Most layers told by name, for those who do not see the chart.
const TOLD: usize = 8;

/// Most room for the names of layers left of the first picture; px.
const NAMES: f64 = 210.0;

/// Of that, for the leader; px.
const LEADER: f64 = 26.0;

/// A narrower chart has its names below; px.
const NAMES_FROM: f64 = 640.0;

/// Room for depths right of the last picture; px.
const DEPTHS: f64 = 34.0;

/// Between pictures; px.
const GAP: f64 = 10.0;

/// A row of pictures is broken in two where one would be narrower; px.
const NARROW: f64 = 170.0;

/// And those again; px.
const NARROWEST: f64 = 100.0;

/// Ground drawn beside a bed, and below it or its trench, at least; px.
const BESIDE: f64 = 10.0;
const BELOW: f64 = 16.0;

/// Air above the highest of all; px.
const ABOVE: f64 = 8.0;

/// From one name to the next; px.
const APART: f64 = 17.0;

/// A bed wider than so many times its height is drawn in part, so many times as wide.
const WIDE: (f64, f64) = (2.8, 2.2);

/// What a crumb covers, as it is drawn; px2.
const CRUMB_PX2: f64 = 0.9 * core::f64::consts::PI;

/// A layer drawn thinner has no line to the next; px.
const SEAM_PX: f64 = 2.5;

/// Room for the text over a picture, and below it; px.
const OVER: f64 = 2.0 * LINE + 8.0;

/// Draws the chart at the usual dates.
#[must_use]
pub fn draw(subject: &Subject<'_>, look: &Look) -> Svg {
    draw_at(subject, look, &usual_months(subject.forecast))
}

/// The dates that are drawn when none are asked for: filled, half a year, one year, five
/// years; the end of a forecast that is shorter.
#[must_use]
pub fn usual_months(forecast: &Forecast) -> Vec<u32> {
    let last = forecast.months.last().map_or(0, |row| row.month);
    let mut months: Vec<u32> = USUAL.into_iter().filter(|month| *month <= last).collect();
    if last < USUAL[3] && !months.contains(&last) {
        months.push(last);
    }
    months
}

/// Draws the chart at so many months since filling each; what the forecast does not reach
/// is left out, and what is beyond [`PICTURES_LIMIT`].
#[must_use]
pub fn draw_at(subject: &Subject<'_>, look: &Look, months: &[u32]) -> Svg {
    let forecast = subject.forecast;
    let rows: Vec<&MonthRow> = months
        .iter()
        .filter_map(|month| forecast.months.iter().find(|row| row.month == *month))
        .take(PICTURES_LIMIT)
        .collect();
    let cut_m = cut_m(subject.bed, &rows);
    let cutaway = Cutaway::new(subject.bed, forecast, cut_m);
    let pictures: Vec<Picture<'_>> = rows
        .into_iter()
        .map(|row| Picture {
            row,
            cuts: cutaway.on(row),
        })
        .collect();
    let drawing = Drawing {
        subject,
        look,
        layout: Layout::new(subject, look, &pictures, cut_m),
        pictures,
        cut_m,
    };
    drawing.done()
}

/// A bed on a day.
struct Picture<'a> {
    row: &'a MonthRow,
    cuts: Vec<Cut>,
}

impl Picture<'_> {
    /// Its surface over the ground; m.
    fn top_m(&self, trench_m: f64) -> f64 {
        self.cuts.last().map_or(-trench_m, |cut| cut.lie.top_m)
    }

    /// Half of its width where it is widest; m.
    fn half_m(&self) -> f64 {
        let halves = |cut: &Cut| cut.lie.half_m(0.0).max(cut.lie.half_m(0.5));
        self.cuts.iter().map(halves).fold(0.0, f64::max)
    }

    /// What was the width of its fill on average, for the sides of a bag; m.
    fn straight_m(&self) -> f64 {
        self.cuts.first().map_or(0.0, |cut| cut.lie.foot_half_m)
    }
}

/// Where a bed that is too wide for its height is cut off; m right of its middle.
fn cut_m(bed: &Bed, rows: &[&MonthRow]) -> f64 {
    let (width_m, length_m) = bed.shape.section_m(0.0);
    let across_m = width_m.min(length_m);
    let highest = rows.iter().map(|row| row.height_m + bed.trench_m);
    let high_m = highest.fold(bed.rim_m.unwrap_or(0.0), f64::max).max(0.2);
    if across_m <= WIDE.0 * high_m {
        return f64::INFINITY;
    }
    // A slope is shown whole, up to the middle.
    let part_m = match bed.shape {
        Shape::Mound { .. } => (WIDE.1 * high_m).max(0.5 * across_m),
        _ => WIDE.1 * high_m,
    };
    part_m - 0.5 * across_m
}

/// Where the pictures go; px.
struct Layout {
    columns: usize,
    cell: f64,
    scale: f64,
    /// The left edge of the first picture.
    left: f64,
    /// From the top of a picture to the ground, and on down.
    high: f64,
    deep: f64,
    /// The middle of the bed in a cell.
    middle: f64,
    has_names: bool,
    /// Lines of text below each picture.
    lines: usize,
}

impl Layout {
    fn new(subject: &Subject<'_>, look: &Look, pictures: &[Picture<'_>], cut_m: f64) -> Self {
        let bed = subject.bed;
        let has_names = look.width_px() >= NAMES_FROM;
        let left = EDGE
            + if has_names {
                names_room(subject, pictures)
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
        let columns = [(count, NARROW), (half.min(4), NARROW), (2, NARROWEST)]
            .into_iter()
            .find(|(columns, least)| cell_of(*columns) >= *least)
            .map_or(1, |(columns, _)| columns.min(count));
        let cell = cell_of(columns);
        let half_m = pictures.iter().map(Picture::half_m).fold(0.01, f64::max);
        let right_m = half_m.min(cut_m);
        let tops = pictures.iter().map(|picture| picture.top_m(bed.trench_m));
        let top_m = tops.fold(bed.rim_m.unwrap_or(0.0), f64::max).max(0.01);
        let width_m = half_m + right_m + 2.0 * BOARD_M;
        let by_width = (cell - 2.0 * BESIDE - 8.0) / width_m;
        let by_height = look.plot_height_px() / (top_m + bed.trench_m);
        let scale = by_width.min(by_height);
        let spare = cell - 2.0 * BESIDE - scale * (half_m + right_m);
        Self {
            columns,
            cell,
            scale,
            left,
            high: scale * top_m + ABOVE,
            deep: (scale * bed.trench_m + BESIDE).max(BELOW),
            middle: BESIDE + 0.5 * spare + scale * half_m,
            has_names,
            lines: 0,
        }
        .with_lines(subject, pictures)
    }

    fn with_lines(mut self, subject: &Subject<'_>, pictures: &[Picture<'_>]) -> Self {
        let lines = pictures
            .iter()
            .map(|picture| below(subject, picture.row, self.cell).len());
        self.lines = lines.max().unwrap_or(0);
        self
    }

    /// The height of a row of pictures with its texts; px.
    fn row(&self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "a few lines")]
        let lines = self.lines as f64;
        OVER + self.high + self.deep + LINE * lines + 14.0
    }

    /// The left edge of a picture, and the top of its row below the first.
    #[allow(clippy::cast_precision_loss, reason = "a few pictures")]
    fn place(&self, index: usize) -> (f64, f64) {
        let (row, column) = (index / self.columns, index % self.columns);
        (
            self.left + (self.cell + GAP) * column as f64,
            self.row() * row as f64,
        )
    }
}

/// Room that the names of layers take left of the pictures; px.
fn names_room(subject: &Subject<'_>, pictures: &[Picture<'_>]) -> f64 {
    let font = Font::shipped();
    let units = subject.forecast.units;
    let cuts = pictures.iter().flat_map(|picture| &picture.cuts);
    let width = |cut: &Cut| {
        let text = layer_text(subject.forecast, cut, units, f64::INFINITY);
        font.width(&text, TextSize::Small.px())
    };
    (cuts.map(width).fold(110.0, f64::max) + LEADER).min(NAMES)
}

/// A layer's name, cut to a width, with its thickness.
fn layer_text(forecast: &Forecast, cut: &Cut, units: Units, width: f64) -> String {
    let font = Font::shipped();
    let thick = reading(cut.lie.thickness_m(), units);
    let own = width - font.width(&format!(", {thick}"), TextSize::Small.px());
    let name = layer_name(forecast, cut.layer);
    format!("{}, {thick}", font.fitted(&name, TextSize::Small.px(), own))
}

fn layer_name(forecast: &Forecast, layer: usize) -> String {
    let name = forecast.layers.get(layer).map_or("", String::as_str);
    named(name, LAYER_LIMIT)
}

/// What is written below a picture.
fn below(subject: &Subject<'_>, row: &MonthRow, width: f64) -> Vec<String> {
    let units = subject.forecast.units;
    let high = format!("{} high", reading(row.height_m, units));
    let second = match row.below_rim_m {
        Some(below_m) if below_m < 0.0 => format!("{} above the rim", reading(-below_m, units)),
        Some(below_m) => format!("{} below the rim", reading(below_m, units)),
        None => String::new(),
    };
    let font = Font::shipped();
    let mut lines = font.wrapped(&high, TextSize::Body.px(), width);
    if !second.is_empty() {
        lines.extend(font.wrapped(&second, TextSize::Small.px(), width));
    }
    lines
}

/// How long after filling, in words.
fn after(month: u32) -> String {
    match (month, month / 12, month % 12) {
        (0, ..) => "when filled".to_owned(),
        (1, ..) => "after 1 month".to_owned(),
        (_, 1, 0) => "after 1 year".to_owned(),
        (_, years, 0) => format!("after {years} years"),
        (months, ..) => format!("after {months} months"),
    }
}

/// A chart in the making.
struct Drawing<'a> {
    subject: &'a Subject<'a>,
    look: &'a Look,
    layout: Layout,
    pictures: Vec<Picture<'a>>,
    cut_m: f64,
}

impl Drawing<'_> {
    fn done(&self) -> Svg {
        let forecast = self.subject.forecast;
        let name = named(&forecast.name, NAME_LIMIT);
        let head = Head::new(self.look, &name, &self.how_to_read());
        let top = head.bottom() + 10.0;
        let rows = self.pictures.len().div_ceil(self.layout.columns);
        #[allow(clippy::cast_precision_loss, reason = "a few rows")]
        let foot = top + self.layout.row() * rows as f64;
        let key = self.key();
        #[allow(clippy::cast_precision_loss, reason = "a few lines")]
        let bottom = foot + 30.0 + (LINE + 3.0) * key.len() as f64 + EDGE;
        let mut svg = Svg::new(
            self.look.id(),
            self.look.width_px(),
            bottom,
            &format!("{name}: the bed cut across"),
            &self.about(),
        );
        head.write(&mut svg);
        for row in 0..rows {
            self.across(&mut svg, top, row);
        }
        for index in 0..self.pictures.len() {
            self.picture(&mut svg, top, index);
        }
        self.scale_bar(&mut svg, foot + 14.0);
        self.write_key(&mut svg, foot + 44.0, &key);
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
        let rim = bed.rim_m.map(|rim_m| in_unit(rim_m, units));
        let metre = in_unit(1.0, units);
        let (high, deep) = (
            in_unit((layout.high - ABOVE) / layout.scale, units),
            in_unit(bed.trench_m, units),
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
        for depth in depths.ticks() {
            if depth < low - 1e-9 || depth > high + 1e-9 {
                continue;
            }
            let height = rim.map_or(depth, |rim| rim - depth);
            let y = pane.y(height / metre);
            svg.line(Ink::Grid, &[(left, y), (right + 4.0, y)]);
            let words = Words {
                text: &if rim.is_some() && depth.abs() < 1e-9 {
                    "rim".to_owned()
                } else {
                    depths.written(depth)
                },
                x: right + 7.0,
                y: y + 4.0,
                size: TextSize::Small,
                anchor: Anchor::Start,
                quiet: true,
            };
            svg.write(&words, false);
        }
        svg.close();
        if let Some(rim_m) = bed.rim_m {
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
        let heading = after(picture.row.month);
        let date = spoken_date(&picture.row.date);
        svg.open("picture", Some(&format!("{date}, {heading}")));
        let mut words = Words {
            text: &heading,
            x: middle,
            y: top + row_top + LINE,
            size: TextSize::Body,
            anchor: Anchor::Middle,
            quiet: false,
        };
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
        let lines = below(self.subject, picture.row, layout.cell);
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
        if layout.has_names && index % layout.columns == 0 {
            self.names(svg, &pane, picture);
        }
        svg.close();
    }

    /// The surface, the ground beside the bed, and what holds it.
    fn surface(&self, svg: &mut Svg, pane: &Pane, picture: &Picture<'_>, ends: (f64, f64)) {
        let bed = self.subject.bed;
        let top_m = picture.top_m(bed.trench_m);
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
        earthwork::ground_line(svg, pane, ends, sides);
        if is_cut {
            // A broken edge says that the bed goes on.
            let from = pane.y(top_m) - 6.0;
            let to = pane.y(-bed.trench_m) + 4.0;
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
        if let Some(rim_m) = bed.rim_m {
            let fill = Fill {
                half_m: picture.straight_m().max(0.01),
                top_m,
                is_cut,
            };
            earthwork::walls(svg, pane, &bed.shape, rim_m, fill);
        }
        if let Some(cut) = picture.cuts.last() {
            let head_m = cut.lie.half_m(1.0);
            let y = pane.y(top_m);
            let right = pane.x(head_m.min(self.cut_m));
            svg.open("surface-line", Some("The surface"));
            svg.line(Ink::Surface, &[(pane.x(-head_m), y), (right, y)]);
            svg.close();
        }
        if matches!(bed.shape, Shape::Mound { .. }) {
            let up = |cut: &Cut| [cut.lie.place(-1.0, 0.0), cut.lie.place(-1.0, 1.0)];
            let slope: Vec<_> = picture.cuts.iter().flat_map(up).collect();
            svg.line(Ink::Surface, &pane.all(&slope));
            if !is_cut {
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
            let text = layer_text(self.subject.forecast, cut, units, width);
            let words = Words {
                text: &text,
                x: EDGE,
                y: y + 4.5,
                size: TextSize::Small,
                anchor: Anchor::Start,
                quiet: false,
            };
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
            let words = Words {
                text: &gathered(&thin, units),
                x: EDGE,
                y: bottom + 4.5,
                size: TextSize::Small,
                anchor: Anchor::Start,
                quiet: true,
            };
            svg.write(&words, false);
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
        let words = Words {
            text: &text,
            x: right + 8.0,
            y: y + 2.0,
            size: TextSize::Small,
            anchor: Anchor::Start,
            quiet: true,
        };
        svg.write(&words, false);
        svg.close();
    }

    /// Where there is no room for names beside the pictures: a list of the layers of the
    /// first picture.
    fn key(&self) -> Vec<(Option<Cut>, String)> {
        let units = self.subject.forecast.units;
        let Some(first) = self.pictures.first().filter(|_| !self.layout.has_names) else {
            return Vec::new();
        };
        let (told, thin) = first.told(TOLD);
        let width = self.look.width_px() - 2.0 * EDGE - 40.0;
        let lines = told.into_iter().rev();
        let mut lines: Vec<(Option<Cut>, String)> = lines
            .map(|cut| {
                (
                    Some(cut.clone()),
                    layer_text(self.subject.forecast, cut, units, width),
                )
            })
            .collect();
        if !thin.is_empty() {
            lines.push((None, gathered(&thin, units)));
        }
        lines
    }

    fn write_key(&self, svg: &mut Svg, top: f64, key: &[(Option<Cut>, String)]) {
        if key.is_empty() {
            return;
        }
        svg.open("key", None);
        let mut y = top;
        for (cut, text) in key {
            if let Some(cut) = cut {
                let corners = [
                    (EDGE, y - 10.0),
                    (EDGE + 28.0, y - 10.0),
                    (EDGE + 28.0, y + 3.0),
                    (EDGE, y + 3.0),
                ];
                svg.hatched(cut.stratum.hatch(), &corners);
            }
            let words = Words {
                text,
                x: EDGE + 36.0,
                y,
                size: TextSize::Small,
                anchor: Anchor::Start,
                quiet: cut.is_none(),
            };
            svg.write(&words, false);
            y += LINE + 3.0;
        }
        svg.close();
    }

    /// How to read the chart, in a line or two.
    fn how_to_read(&self) -> String {
        let (bed, units) = (self.subject.bed, self.subject.forecast.units);
        let (width_m, length_m) = bed.shape.section_m(0.0);
        let across = reading(width_m.min(length_m), units);
        let mut text = match bed.shape {
            Shape::Round { .. } => format!("The bed cut through its middle, {across} across."),
            _ => format!("The bed cut across its shorter side, {across} wide."),
        };
        if self.cut_m.is_finite() {
            let drawn_m = 0.5 * width_m.min(length_m) + self.cut_m;
            text.push_str(&format!(
                " Only its first {} are drawn.",
                reading(drawn_m, units)
            ));
        }
        let has = |of: fn(&Cut) -> bool| {
            let mut cuts = self.pictures.iter().flat_map(|picture| &picture.cuts);
            cuts.any(of)
        };
        if has(|cut| !cut.logs.is_empty()) {
            text.push_str(" Logs are as thick as they are; their rings break up as they rot.");
        }
        if has(|cut| !cut.logs.is_empty() || !cut.sticks.is_empty() || !cut.pockets.is_empty()) {
            text.push_str(" White is air.");
        }
        if has(|cut| cut.crumbs > 0.0) {
            text.push_str(" Dots: what sifted in or crumbled.");
        }
        text.push_str(match bed.rim_m {
            Some(_) => " On the right: depth below the rim",
            None => " On the right: height above the ground",
        });
        text.push_str(match units {
            Units::Metric => " in cm.",
            Units::Us | Units::UkGarden => " in inches.",
        });
        text
    }

    /// What the chart shows, for those who do not see it.
    fn about(&self) -> String {
        let units = self.subject.forecast.units;
        let mut said = vec![
            "The bed cut across, drawn at several dates side by side, to one scale.".to_owned(),
        ];
        for picture in &self.pictures {
            let row = picture.row;
            let rim = match row.below_rim_m {
                Some(below_m) if below_m < 0.0 => {
                    format!(", {} above the rim", reading(-below_m, units))
                }
                Some(below_m) => format!(", {} below the rim", reading(below_m, units)),
                None => String::new(),
            };
            let (told, thin) = picture.told(TOLD);
            let mut layers: Vec<String> = told
                .iter()
                .map(|cut| {
                    let thick = reading(cut.lie.thickness_m(), units);
                    format!("{} {thick}", layer_name(self.subject.forecast, cut.layer))
                })
                .collect();
            if !thin.is_empty() {
                layers.push(gathered(&thin, units));
            }
            said.push(format!(
                "On {}, {}, {} high{rim}; from the ground up: {}.",
                spoken_date(&row.date),
                after(row.month),
                reading(row.height_m, units),
                layers.join(", ")
            ));
        }
        said.join(" ")
    }
}

impl Picture<'_> {
    /// The thickest layers, at most so many, and the others; both from the ground up.
    fn told(&self, most: usize) -> (Vec<&Cut>, Vec<&Cut>) {
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

/// Layers too thin to be told one by one.
fn gathered(thin: &[&Cut], units: Units) -> String {
    let sum_m: f64 = thin.iter().map(|cut| cut.lie.thickness_m()).sum();
    let thick = reading(sum_m, units);
    match thin.len() {
        1 => format!("1 thinner layer, {thick}"),
        count => format!("{count} thinner layers, {thick}"),
    }
}

/// Draws a layer.
fn layer(svg: &mut Svg, pane: &Pane, cut: &Cut) {
    let outline = pane.all(&cut.outline);
    svg.open("layer", None);
    match cut.stratum.between {
        Some(hatch) => svg.hatched_bare(hatch, &outline),
        None => svg.area(Ink::Paper, &outline),
    }
    let pockets: Vec<_> = cut.pockets.iter().map(|pocket| pane.all(pocket)).collect();
    svg.all(Ink::Paper, &pockets, true);
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

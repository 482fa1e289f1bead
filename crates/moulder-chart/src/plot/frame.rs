//! The frame of a chart over time: heading, value axes, calendar.

use core::cell::{RefCell, RefMut};

use plotters::coord::Shift;
use plotters::coord::cartesian::Cartesian2d;
use plotters::coord::types::RangedCoordf64;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{PathElement, Polygon};

use crate::plot::backend::{Backend, dots, style};
use crate::plot::calendar::{Calendar, Season, Stretch};
use crate::plot::head::{EDGE, Head, LINE};
use crate::plot::look::{Look, Margins};
use crate::plot::scale::Scale;
use crate::svg::document::{Anchor, Room, Svg, TextSize, Words};
use crate::svg::ink::Ink;

/// Room under the plot for months, seasons and years; px.
const CALENDAR: f64 = 3.0 * LINE + EDGE;

/// Why plotters can always draw.
const NEVER: &str = "our backend never fails, and nobody else draws meanwhile";

/// What a frame is made from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plan<'a> {
    /// What the document is called, for those who do not see it.
    pub title: &'a str,
    /// What it shows, for them.
    pub about: &'a str,
    /// The heading.
    pub heading: &'a str,
    /// Below it: which line is which, where names are too long to stand beside lines.
    pub key: &'a [(Ink, String)],
    /// Below that: what is drawn and how to read it.
    pub below: &'a str,
    /// What the left axis counts, over its figures.
    pub left: &'a str,
    /// What the right axis counts, over its figures; empty without one.
    pub right: &'a str,
    /// The last month since filling.
    pub last: f64,
    /// The values.
    pub scale: Scale,
    /// Room around the plot.
    pub margins: Margins,
    /// Room for rows of months at the foot of the plot, below all values; px.
    pub foot_px: f64,
}

/// A frame over months since filling.
#[derive(Debug)]
pub(crate) struct Frame {
    svg: RefCell<Svg>,
    plot: Room,
    /// Where the least value stands; px.
    floor: f64,
    months_end: f64,
    last: f64,
    scale: Scale,
}

type Plotted<'a> = DrawingArea<Backend<'a>, Cartesian2d<RangedCoordf64, RangedCoordf64>>;

impl Frame {
    /// A frame with its heading written.
    #[must_use]
    pub(crate) fn new(look: &Look, plan: &Plan<'_>) -> Self {
        let head = Head::with_key(look, plan.heading, plan.key, plan.below);
        let axes = head.bottom() + LINE + 10.0;
        let (mut plot, months_end) = plan.margins.plot(look, axes + 10.0);
        let floor = plot.bottom;
        plot.bottom += plan.foot_px;
        let mut svg = Svg::new(
            look.id(),
            look.width_px(),
            plot.bottom + CALENDAR,
            plan.title,
            plan.about,
        );
        head.write(&mut svg);
        let right_edge = look.width_px() - EDGE;
        let sides = [
            (plan.left, EDGE, Anchor::Start),
            (plan.right, right_edge, Anchor::End),
        ];
        for (text, x, anchor) in sides {
            if !text.is_empty() {
                svg.write(
                    &Words::small(text, x, axes).anchored(anchor).quiet(true),
                    false,
                );
            }
        }
        Self {
            svg: RefCell::new(svg),
            plot,
            floor,
            months_end,
            // A forecast of day zero alone still has a width.
            last: plan.last.max(1.0),
            scale: plan.scale,
        }
    }

    /// The drawing, to draw on by hand. Give it back before the next call of the frame.
    pub(crate) fn svg(&self) -> RefMut<'_, Svg> {
        self.svg.borrow_mut()
    }

    /// The plot.
    #[must_use]
    pub(crate) const fn plot(&self) -> Room {
        self.plot
    }

    /// Where the least value stands, from the top; px. Rows of months lie below it.
    #[must_use]
    pub(crate) const fn floor(&self) -> f64 {
        self.floor
    }

    /// Where the last month stands, from the left; px. Labels may stand right of it.
    #[must_use]
    pub(crate) const fn months_end(&self) -> f64 {
        self.months_end
    }

    /// Where a month since filling stands, from the left; px.
    #[must_use]
    pub(crate) fn x(&self, month: f64) -> f64 {
        self.plot.left + (self.months_end - self.plot.left) * month / self.last
    }

    /// Where a value stands, from the top; px.
    #[must_use]
    pub(crate) fn y(&self, value: f64) -> f64 {
        let share = (value - self.scale.low) / (self.scale.high - self.scale.low);
        self.floor - (self.floor - self.plot.top) * share
    }

    /// A line through (month, value).
    ///
    /// # Panics
    /// While the drawing is held that [`svg`](Self::svg) lends.
    pub(crate) fn line(&self, ink: Ink, points: &[(f64, f64)]) {
        let element = PathElement::new(points.to_vec(), style(ink));
        self.plotted().draw(&element).expect(NEVER);
    }

    /// A line through (month, value) in a group of its own.
    pub(crate) fn named_line(&self, class: &str, name: &str, ink: Ink, points: &[(f64, f64)]) {
        self.svg().open(class, Some(name));
        self.line(ink, points);
        self.svg().close();
    }

    /// A line across all months at one value.
    pub(crate) fn across(&self, ink: Ink, value: f64) {
        let y = self.y(value);
        self.svg()
            .line(ink, &[(self.plot.left, y), (self.months_end, y)]);
    }

    /// The area between a lower and an upper line of (month, value).
    ///
    /// # Panics
    /// While the drawing is held that [`svg`](Self::svg) lends.
    pub(crate) fn between(&self, ink: Ink, low: &[(f64, f64)], high: &[(f64, f64)]) {
        let around: Vec<_> = low.iter().chain(high.iter().rev()).copied().collect();
        let element = Polygon::new(around, style(ink));
        self.plotted().draw(&element).expect(NEVER);
    }

    /// The values on the left, each with a faint line across.
    pub(crate) fn left_axis(&self) {
        self.left_axis_as(&|tick| self.scale.written(tick));
    }

    /// The same with figures that grow downwards, as a depth does.
    pub(crate) fn left_axis_down(&self) {
        self.left_axis_as(&|tick| self.scale.written(-tick));
    }

    fn left_axis_as(&self, written: &dyn Fn(f64) -> String) {
        self.svg().open("values", None);
        for tick in self.scale.ticks() {
            let y = self.y(tick);
            let (left, right) = (self.plot.left, self.months_end);
            let mut svg = self.svg();
            svg.line(Ink::Grid, &[(left, y), (right, y)]);
            svg.write(
                &Words::small(&written(tick), left - 6.0, y + 4.0)
                    .anchored(Anchor::End)
                    .quiet(true),
                false,
            );
        }
        self.svg().close();
    }

    /// Figures on the right, each at a value of the left, along a line of their own.
    pub(crate) fn right_axis(&self, ticks: &[(f64, String)]) {
        self.svg().open("values-right", None);
        let ends = ticks
            .iter()
            .map(|(value, _)| (self.plot.right, self.y(*value)));
        let ends: Vec<_> = ends.collect();
        self.svg().line(Ink::Axis, &ends);
        for (value, text) in ticks {
            let (x, y) = (self.plot.right, self.y(*value));
            let words = Words::small(text, x + 9.0, y + 4.0).quiet(true);
            let mut svg = self.svg();
            if svg.has_room(&words.room(svg.font())) {
                svg.line(Ink::Axis, &[(x, y), (x + 5.0, y)]);
                svg.write(&words, false);
            }
        }
        self.svg().close();
    }

    /// Months, seasons and years below the plot, as far as they fit.
    pub(crate) fn calendar(&self, calendar: &Calendar) {
        let bottom = self.plot.bottom;
        self.svg().open("calendar", None);
        let ends = [(self.plot.left, bottom), (self.months_end, bottom)];
        self.svg().line(Ink::Axis, &ends);
        let mut row = 0;
        row += usize::from(self.months(&calendar.month_starts(self.last)));
        row += usize::from(self.seasons(row, &calendar.seasons(self.last)));
        self.years(row, &calendar.years(self.last));
        self.svg().close();
    }

    /// A row of the calendar, of three: the line its letters stand on; px.
    fn row(&self, row: usize) -> f64 {
        let lines = [0.85, 1.8, 2.8];
        self.plot.bottom + 4.0 + LINE * lines.get(row).unwrap_or(&lines[2])
    }

    fn tick(&self, month: f64, length: f64) {
        let (x, y) = (self.x(month), self.plot.bottom);
        self.svg().line(Ink::Axis, &[(x, y), (x, y + length)]);
    }

    /// Writes small words in the calendar where there is room; whether there was.
    fn note(&self, text: &str, x: f64, row: usize, anchor: Anchor) -> bool {
        let words = Words::small(text, x, self.row(row))
            .anchored(anchor)
            .quiet(true);
        let mut svg = self.svg();
        svg.write_in_room(&words, false)
    }

    /// The names of months: all, or those in which seasons begin; whether any fit.
    fn months(&self, starts: &[(f64, &'static str)]) -> bool {
        /// Room that the name of a month needs, with a margin; px.
        const ROOM: f64 = 32.0;
        /// Room for names of two months a year, which would be many on a long axis; px.
        const ROOM_FOR_HALVES: f64 = 40.0;
        let month = self.x(1.0) - self.x(0.0);
        let named: &[&str] = if month >= ROOM {
            &[]
        } else if 3.0 * month >= ROOM {
            &["Mar", "Jun", "Sep", "Dec"]
        } else if 6.0 * month >= ROOM_FOR_HALVES {
            &["Mar", "Sep"]
        } else {
            return false;
        };
        for (at, name) in starts {
            if (named.is_empty() || named.contains(name))
                && self.note(name, self.x(*at), 0, Anchor::Middle)
            {
                self.tick(*at, 5.0);
            }
        }
        true
    }

    /// The names of seasons; where they do not fit, the winters as strokes. Whether either
    /// fits.
    fn seasons(&self, row: usize, seasons: &[Stretch<Season>]) -> bool {
        /// The longest of their names needs this much, with a margin; px.
        const ROOM: f64 = 56.0;
        /// The shortest stroke that is seen; px.
        const STROKE: f64 = 3.0;
        let quarter = self.x(3.0) - self.x(0.0);
        if seasons.is_empty() || quarter < STROKE {
            return false;
        }
        if quarter >= ROOM {
            for season in seasons {
                let (from, to) = (self.x(season.from), self.x(season.to));
                let name = season.what.name();
                let width = self.svg().font().width(name, TextSize::Small.px());
                if to - from >= width + 2.0 {
                    self.note(name, 0.5 * (from + to), row, Anchor::Middle);
                }
            }
            return true;
        }
        let y = self.row(row) - 4.0;
        for winter in seasons {
            if winter.what == Season::Winter {
                let ends = [(self.x(winter.from), y), (self.x(winter.to), y)];
                self.svg().line(Ink::Winter, &ends);
            }
        }
        self.note("winters", self.months_end + 8.0, row, Anchor::Start);
        true
    }

    /// The years, at the first of January or on the day of filling.
    fn years(&self, row: usize, years: &[Stretch<i16>]) {
        /// Room that a year needs, with a margin; px.
        const ROOM: f64 = 44.0;
        let year = self.x(12.0) - self.x(0.0);
        let every = [1_i16, 2, 5, 10, 20, 50]
            .into_iter()
            .find(|every| year * f64::from(*every) >= ROOM)
            .unwrap_or(100);
        let (above, below) = (self.row(row) - 14.0, self.row(row) + 2.0);
        for stretch in years {
            let x = self.x(stretch.from);
            let text = stretch.what.to_string();
            if every == 1 {
                let width = self.svg().font().width(&text, TextSize::Small.px());
                let fits = self.x(stretch.to) - x >= width + 4.0;
                if fits && self.note(&text, x + 4.0, row, Anchor::Start) && stretch.from > 0.0 {
                    self.svg().line(Ink::Axis, &[(x, above), (x, below)]);
                }
            } else if stretch.what % every == 0
                && stretch.from > 0.0
                && self.note(&text, x, row, Anchor::Middle)
            {
                self.tick(stretch.from, 5.0);
            }
        }
    }

    /// The finished drawing.
    #[must_use]
    pub(crate) fn done(self) -> Svg {
        self.svg.into_inner()
    }

    /// The plot as plotters sees it.
    fn plotted(&self) -> Plotted<'_> {
        let area: DrawingArea<_, Shift> = Backend::on(&self.svg).into_drawing_area();
        let across = dots(self.plot.left)..dots(self.months_end);
        let up = dots(self.floor)..dots(self.plot.top);
        area.apply_coord_spec(Cartesian2d::new(
            0.0..self.last,
            self.scale.low..self.scale.high,
            (across, up),
        ))
    }
}

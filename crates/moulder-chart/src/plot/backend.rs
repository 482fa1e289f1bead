//! The backend that lets plotters draw onto an [`Svg`].
//!
//! Plotters counts in whole dots: here a dot is a hundredth of a pixel, so that lines are
//! smooth and places are the same on every machine. Its colours are [`Ink`]s.

use core::cell::RefCell;
use core::convert::Infallible;

use plotters::style::{Color, ShapeStyle};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
    text_anchor::HPos,
};

use crate::svg::document::{Anchor, Room, Svg, TextSize, Words};
use crate::svg::ink::{Ink, Pen};

/// Dots of plotters to a pixel.
const DOTS: f64 = 100.0;

/// Draws what plotters asks for.
#[derive(Debug)]
pub(crate) struct Backend<'a> {
    svg: &'a RefCell<Svg>,
}

impl<'a> Backend<'a> {
    /// Onto that drawing.
    pub(crate) const fn on(svg: &'a RefCell<Svg>) -> Self {
        Self { svg }
    }
}

/// An ink as plotters hands colours on to its backend: the red channel is its number.
struct Marked(Ink);

impl Color for Marked {
    fn to_backend_color(&self) -> BackendColor {
        #[allow(
            clippy::cast_possible_truncation,
            reason = "there are fewer than 256 inks"
        )]
        let number = self.0 as u8;
        BackendColor {
            alpha: 1.0,
            rgb: (number, 0, 0),
        }
    }
}

/// An ink as a style of plotters: an area is filled.
pub(crate) fn style(ink: Ink) -> ShapeStyle {
    match ink.pen() {
        Pen::Area | Pen::Edged(..) | Pen::Hatched(_) => Marked(ink).filled(),
        Pen::Line(..) | Pen::Dots(_) => ShapeStyle::from(Marked(ink)),
    }
}

/// The ink that came as that colour.
fn ink_of(colour: BackendColor) -> Ink {
    let number = usize::from(colour.rgb.0);
    Ink::ALL.get(number).copied().unwrap_or(Ink::Axis)
}

/// A length in dots.
#[allow(
    clippy::cast_possible_truncation,
    reason = "a drawing is at most some thousand pixels wide"
)]
pub(crate) fn dots(px: f64) -> i32 {
    (px * DOTS).round() as i32
}

fn px((x, y): BackendCoord) -> (f64, f64) {
    (f64::from(x) / DOTS, f64::from(y) / DOTS)
}

type Done = Result<(), DrawingErrorKind<Infallible>>;

impl DrawingBackend for Backend<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        let room = self.svg.borrow().room();
        (
            dots(room.width()).unsigned_abs(),
            dots(room.height()).unsigned_abs(),
        )
    }

    fn ensure_prepared(&mut self) -> Done {
        Ok(())
    }

    fn present(&mut self) -> Done {
        Ok(())
    }

    fn draw_pixel(&mut self, point: BackendCoord, color: BackendColor) -> Done {
        self.svg.borrow_mut().circle(ink_of(color), px(point), 0.5);
        Ok(())
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Done {
        let ink = ink_of(style.color());
        self.svg.borrow_mut().line(ink, &[px(from), px(to)]);
        Ok(())
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        upper_left: BackendCoord,
        bottom_right: BackendCoord,
        style: &S,
        _fill: bool,
    ) -> Done {
        let ((left, top), (right, bottom)) = (px(upper_left), px(bottom_right));
        let room = Room {
            left,
            top,
            right,
            bottom,
        };
        self.svg.borrow_mut().rectangle(ink_of(style.color()), room);
        Ok(())
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Done {
        let points: Vec<_> = path.into_iter().map(px).collect();
        self.svg.borrow_mut().line(ink_of(style.color()), &points);
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        center: BackendCoord,
        radius: u32,
        style: &S,
        _fill: bool,
    ) -> Done {
        let radius = f64::from(radius) / DOTS;
        self.svg
            .borrow_mut()
            .circle(ink_of(style.color()), px(center), radius);
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        vert: I,
        style: &S,
    ) -> Done {
        let points: Vec<_> = vert.into_iter().map(px).collect();
        self.svg.borrow_mut().area(ink_of(style.color()), &points);
        Ok(())
    }

    /// In the small size whatever is asked: sizes are those of the style sheet.
    fn draw_text<T: BackendTextStyle>(&mut self, text: &str, style: &T, pos: BackendCoord) -> Done {
        let (x, y) = px(pos);
        let anchor = match style.anchor().h_pos {
            HPos::Left => Anchor::Start,
            HPos::Center => Anchor::Middle,
            HPos::Right => Anchor::End,
        };
        self.svg
            .borrow_mut()
            .write(&Words::small(text, x, y).anchored(anchor), false);
        Ok(())
    }

    fn estimate_text_size<T: BackendTextStyle>(
        &self,
        text: &str,
        _style: &T,
    ) -> Result<(u32, u32), DrawingErrorKind<Self::ErrorType>> {
        let size = TextSize::Small.px();
        let width = self.svg.borrow().font().width(text, size);
        Ok((dots(width).unsigned_abs(), dots(size).unsigned_abs()))
    }
}

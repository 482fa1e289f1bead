//! A drawing in dots: PNG from the same SVG, with the shipped font alone.

use std::sync::Arc;

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};

use crate::error::ChartError;
use crate::svg::DOTS_LIMIT;
use crate::svg::document::Svg;
use crate::svg::font::{FAMILY, FONT};

/// The drawing as the bytes of a PNG, with `scale` dots to a pixel.
///
/// The same bytes on every run and on every processor that a program was built for: which
/// of a processor's wide instructions are used is settled when it is built, and nothing here
/// is drawn with one whose answer is approximate (these serve blends that no chart has);
/// checksums alone go by the processor that runs, and are whole numbers. A build for another
/// architecture, or for one certain processor (`target-cpu`), may round a dot's last bit
/// another way.
///
/// # Errors
///
/// [`ChartError::PictureSize`].
pub fn png(svg: &Svg, scale: f64) -> Result<Vec<u8>, ChartError> {
    let room = svg.room();
    let (across, down) = (room.width() * scale, room.height() * scale);
    let fits = |dots: f64| dots.ceil() >= 1.0 && dots.ceil() <= f64::from(DOTS_LIMIT);
    if !(fits(across) && fits(down)) {
        return Err(ChartError::PictureSize { across, down });
    }
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(FONT.to_vec());
    let options = Options {
        fontdb: Arc::new(fonts),
        font_family: FAMILY.to_owned(),
        ..Options::default()
    };
    let fault = |why: String| ChartError::Drawing(why);
    let tree = Tree::from_str(&svg.file(), &options).map_err(|error| fault(error.to_string()))?;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held to the limit above"
    )]
    let mut picture = Pixmap::new(across.ceil() as u32, down.ceil() as u32)
        .ok_or_else(|| fault("no memory".to_owned()))?;
    #[allow(clippy::cast_possible_truncation, reason = "a scale is a small number")]
    let scale = scale as f32;
    resvg::render(
        &tree,
        Transform::from_scale(scale, scale),
        &mut picture.as_mut(),
    );
    picture
        .encode_png()
        .map_err(|error| fault(error.to_string()))
}

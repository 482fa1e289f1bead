//! The style sheet of all charts: one class an ink, light and dark.

use core::fmt::Write as _;

use crate::svg::document::TextSize;
use crate::svg::font::FAMILY;
use crate::svg::hatch::Hatch;
use crate::svg::ink::{Ink, Pen};
use crate::svg::palette::{Colour, HATCHED, PAPER, QUIET, TEXT, Tone};

/// The class that every chart carries, and every rule of the sheet names first.
pub const ROOT: &str = "moulder-chart";

/// The style sheet: a page that holds several charts carries it once.
///
/// The colours for a dark screen apply where the reader prefers them, never in print.
#[must_use]
pub fn style_sheet() -> String {
    let mut sheet = format!(".{ROOT} text{{font-family:\"{FAMILY}\",system-ui,sans-serif}}\n");
    for size in TextSize::ALL {
        line(
            &mut sheet,
            &format!(".{ROOT} .{}{{font-size:{}px}}", size.class(), size.px()),
        );
    }
    for ink in Ink::ALL {
        let class = ink.class();
        match ink.pen() {
            Pen::Area => {}
            Pen::Hatched(_) => line(
                &mut sheet,
                &format!(".{ROOT} .{class}{{fill:none;stroke-width:0.8}}"),
            ),
            Pen::Edged(width, _) => line(
                &mut sheet,
                &format!(".{ROOT} .{class}{{stroke-width:{width};stroke-linejoin:round}}"),
            ),
            Pen::Dots(width) => line(
                &mut sheet,
                &format!(".{ROOT} .{class}{{fill:none;stroke-width:{width};stroke-linecap:round}}"),
            ),
            Pen::Line(width, dashes) => {
                let dashes = if dashes.is_empty() {
                    String::new()
                } else {
                    format!(";stroke-dasharray:{dashes}")
                };
                line(
                    &mut sheet,
                    &format!(
                        ".{ROOT} .{class}{{fill:none;stroke-width:{width};\
                     stroke-linejoin:round{dashes}}}"
                    ),
                );
            }
        }
    }
    line(
        &mut sheet,
        &format!(".{ROOT} .halo{{stroke-width:3.5;stroke-linejoin:round;paint-order:stroke}}"),
    );
    line(
        &mut sheet,
        &format!(".{ROOT} .hatch-edge{{stroke-width:1.2}}"),
    );
    colours(&mut sheet, |tone| tone.light);
    sheet.push_str("@media screen and (prefers-color-scheme:dark){\n");
    colours(&mut sheet, |tone| tone.dark);
    sheet.push_str("}\n");
    sheet
}

/// The rules that differ between the schemes.
fn colours(sheet: &mut String, of: fn(Tone) -> Colour) {
    for ink in Ink::ALL {
        let what = match ink.pen() {
            Pen::Line(..) | Pen::Dots(_) | Pen::Hatched(_) => "stroke",
            Pen::Area | Pen::Edged(..) => "fill",
        };
        let edge = match ink.pen() {
            Pen::Edged(_, edge) => format!(";stroke:{}", of(edge)),
            _ => String::new(),
        };
        let rule = format!(
            ".{ROOT} .{}{{{what}:{}{edge}}}",
            ink.class(),
            of(ink.tone())
        );
        line(sheet, &rule);
    }
    let (text, quiet, paper) = (of(TEXT), of(QUIET), of(PAPER));
    line(sheet, &format!(".{ROOT} text{{fill:{text}}}"));
    line(sheet, &format!(".{ROOT} .quiet{{fill:{quiet}}}"));
    line(sheet, &format!(".{ROOT} .halo{{stroke:{paper}}}"));
    line(sheet, &format!(".{ROOT} .hatch-edge{{stroke:{text}}}"));
    line(sheet, &format!(".{ROOT} .hatched{{fill:{}}}", of(HATCHED)));
    for hatch in Hatch::ALL {
        let rule = format!(".{ROOT} .on-{}{{fill:{}}}", hatch.name(), of(hatch.tone()));
        line(sheet, &rule);
    }
    line(
        sheet,
        &format!(".{ROOT} .hatch-line{{fill:none;stroke:{text};stroke-linecap:round}}"),
    );
    line(sheet, &format!(".{ROOT} .hatch-dot{{fill:{text}}}"));
}

fn line(sheet: &mut String, rule: &str) {
    writeln!(sheet, "{rule}").expect("a string takes what is written");
}

//! The style sheet of the page: ours, then that of the charts.

use core::fmt::Write as _;

use moulder_chart::internals::svg::palette::{
    ACCENTS, Colour, GRID, HATCHED, PAPER, QUIET, TEXT, Tone,
};
use moulder_chart::style_sheet;

use crate::paper::Paper;

/// What does not depend on colours.
const RULES: &str = include_str!("../templates/page.css");

/// Colours by the names under which the rules know them.
const COLOURS: [(&str, Tone); 6] = [
    ("paper", PAPER),
    ("text", TEXT),
    ("quiet", QUIET),
    ("rule", GRID),
    ("ground", HATCHED),
    ("link", ACCENTS[0]),
];

/// The whole of it, for that paper; for that in the printer where none is told.
pub(crate) fn style(paper: Option<Paper>) -> String {
    let light = colours(|tone| tone.light);
    let dark = colours(|tone| tone.dark);
    format!(
        ":root{{{light}}}\n\
         @media screen and (prefers-color-scheme:dark){{:root{{color-scheme:dark;{dark}}}}}\n\
         {RULES}{}{}",
        sheets_of(paper),
        style_sheet()
    )
}

/// The rule that asks for sheets of that size.
fn sheets_of(paper: Option<Paper>) -> String {
    match paper {
        Some(paper) => {
            let margin_mm = if paper == Paper::A5 { 9 } else { 13 };
            format!("@page{{size:{};margin:{margin_mm}mm}}\n", paper.name())
        }
        None => "@page{margin:14mm}\n".to_owned(),
    }
}

fn colours(of: fn(Tone) -> Colour) -> String {
    let mut rules = String::new();
    for (name, tone) in COLOURS {
        write!(rules, "--{name}:{};", of(tone)).expect("a string takes what is written");
    }
    rules
}

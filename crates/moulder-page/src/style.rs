//! The style sheet of the page: ours, then that of the charts.

use core::fmt::Write as _;

use moulder_chart::internals::svg::palette::{
    ACCENTS, Colour, GRID, HATCHED, PAPER, QUIET, TEXT, Tone,
};
use moulder_chart::style_sheet;

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

/// The whole of it.
pub(crate) fn style() -> String {
    let light = colours(|tone| tone.light);
    let dark = colours(|tone| tone.dark);
    format!(
        ":root{{{light}}}\n\
         @media screen and (prefers-color-scheme:dark){{:root{{color-scheme:dark;{dark}}}}}\n\
         {RULES}{}",
        style_sheet()
    )
}

fn colours(of: fn(Tone) -> Colour) -> String {
    let mut rules = String::new();
    for (name, tone) in COLOURS {
        write!(rules, "--{name}:{};", of(tone)).expect("a string takes what is written");
    }
    rules
}

//! The charts, each for a wide screen or paper and for a telephone.

use moulder_chart::kind::{Kind, Subject, draw};
use moulder_chart::look::Look;

use crate::name::sentence_case;

/// Charts that lead, by their words; the others follow further down.
const FIRST: [&str; 2] = ["height", "section"];

/// Width of the chart that is shown on a wide screen and printed; px.
const WIDE: u32 = Look::USUAL;
/// Width of the chart that is shown on a telephone: a screen of 360 less its edges; px.
const NARROW: u32 = 328;

/// A chart.
pub(crate) struct Picture {
    /// The word of its kind, for an id.
    pub(crate) word: &'static str,
    /// What it shows.
    pub(crate) caption: String,
    /// The wide drawing, whole.
    pub(crate) wide: String,
    /// The narrow one.
    pub(crate) narrow: String,
}

/// Those that lead, and the others.
pub(crate) fn pictures(subject: &Subject<'_>) -> (Vec<Picture>, Vec<Picture>) {
    let all = Kind::ALL.iter().map(|kind| picture(*kind, subject));
    all.partition(|picture| FIRST.contains(&picture.word))
}

fn picture(kind: Kind, subject: &Subject<'_>) -> Picture {
    let word = kind.word();
    let drawn = |width, name| {
        let look = Look::new(width, &format!("{word}-{name}"));
        draw(kind, subject, &look).inline()
    };
    Picture {
        word,
        caption: format!("{}.", sentence_case(kind.about())),
        wide: drawn(WIDE, "wide"),
        narrow: drawn(NARROW, "narrow"),
    }
}

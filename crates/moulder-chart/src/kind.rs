//! The kinds of charts there are of one bed.

use crate::chart::carbon;
use crate::chart::causes;
use crate::chart::height;
use crate::chart::layers;
use crate::chart::nitrogen;
use crate::chart::warmth;
use crate::chart::water;
use crate::chart::weight;
use crate::plot::look::Look;
use crate::section;
use crate::subject::Subject;
use crate::svg::document::Svg;

/// Declares the kinds: name in the program, word people type, what it shows, what draws it.
macro_rules! kinds {
    ($($name:ident, $word:literal, $about:literal, $draw:path;)+) => {
        /// A kind of chart.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[non_exhaustive]
        pub enum Kind {
            $(#[doc = $about] $name,)+
        }

        impl Kind {
            /// All there are.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// The word it is asked for by.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$name => $word,)+ }
            }

            /// What it shows, in a few words.
            #[must_use]
            pub const fn about(self) -> &'static str {
                match self { $(Self::$name => $about,)+ }
            }
        }

        /// Draws a chart of that kind.
        #[must_use]
        pub fn draw(kind: Kind, subject: &Subject<'_>, look: &Look) -> Svg {
            match kind { $(Kind::$name => $draw(subject, look),)+ }
        }
    };
}

kinds! {
    Height, "height", "how high the surface stands over time", height::draw;
    Section, "section", "the bed cut across at several dates, to scale", section::draw;
    Layers, "layers", "how thick each layer is over time", layers::draw;
    Causes, "causes", "what the sink is made of over time", causes::draw;
    Carbon, "carbon", "the carbon left in each layer, and what is given off", carbon::draw;
    Nitrogen, "nitrogen", "nitrogen that rot frees or binds, and what the crop wants", nitrogen::draw;
    Warmth, "warmth", "how much warmer the roots are than in open ground", warmth::draw;
    Water, "water", "the water in the bed, and how much of it wood holds", water::draw;
    Weight, "weight", "what the bed weighs with its water", weight::draw;
}

impl Kind {
    /// The kind of that word.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.as_str() == word)
    }
}

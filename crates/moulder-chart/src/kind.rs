//! The charts there are.

use core::fmt;

use crate::chart::{carbon, causes, height, layers, nitrogen, warmth, water, weight};
use crate::plot::look::Look;
use crate::section;
use crate::subject::Subject;
use crate::svg::document::Svg;

/// Declares the charts: name in the program, the word people type, what it shows.
macro_rules! charts {
    ($($(#[$doc:meta])+ $name:ident, $word:literal, $about:literal;)+) => {
        /// A chart. All but the last four are drawn from a forecast by [`svg`](crate::svg).
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        #[non_exhaustive]
        pub enum Chart {
            $($(#[$doc])+ $name,)+
        }

        impl Chart {
            /// All there are.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// Those that are drawn from a forecast, by [`svg`](crate::svg).
            pub const OF_A_FORECAST: &'static [Self] = Self::ALL.split_at(9).0;

            /// Its stable word, such as "height".
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
    };
}

charts! {
    /// Height of the surface: nominal run, 80 % interval, rim, additions, readings.
    Height, "height", "how high the surface stands over time";
    /// Cross-sections of the bed at several months, to scale.
    Section, "section", "the bed cut across at several dates, to scale";
    /// Thickness of each layer.
    Layers, "layers", "how thick each layer is over time";
    /// Parts of the settlement: mechanical, fines migration, decay.
    Causes, "causes", "what the sink is made of over time";
    /// Carbon in each layer and carbon released.
    Carbon, "carbon", "the carbon left in each layer, and what is given off";
    /// Nitrogen for the crop over twelve months: enough, short, or how much to feed.
    Nitrogen, "nitrogen", "month by month, whether the crop finds enough nitrogen, and what to feed";
    /// Temperature of the root zone against open ground, and days warm enough to sow.
    Warmth, "warmth", "how much warmer the roots are than in open ground";
    /// Water in the bed and in its wood.
    Water, "water", "the water in the bed, and how much of it wood holds";
    /// Mass of the fill with its water.
    Weight, "weight", "what the bed weighs with its water";
    /// List of top-ups, with packs and cost: [`topups_svg`](crate::topups_svg).
    TopUps, "topups", "when to lay on how much, what to buy and what it costs";
    /// Sensitivity indices of uncertain parameters: [`sensitivity_svg`](crate::sensitivity_svg).
    Sensitivity, "unknowns", "what makes the range wide, and what measuring it would gain";
    /// Height before and after a fit to readings: [`fit_svg`](crate::fit_svg).
    Fit, "fit", "where the height may lie before and after tape readings are taken in";
    /// Heights of two to four beds: [`comparison_svg`](crate::comparison_svg).
    Comparison, "comparison", "the heights of two to four beds, and how they differ";
}

impl fmt::Display for Chart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A chart of a forecast; none of the charts that other answers are drawn by.
#[must_use]
pub fn of_forecast(chart: Chart, subject: &Subject<'_>, look: &Look) -> Option<Svg> {
    Some(match chart {
        Chart::Height => height::svg(subject, look),
        Chart::Section => section::svg(subject, look),
        Chart::Layers => layers::svg(subject, look),
        Chart::Causes => causes::svg(subject, look),
        Chart::Carbon => carbon::svg(subject, look),
        Chart::Nitrogen => nitrogen::svg(subject, look),
        Chart::Warmth => warmth::svg(subject, look),
        Chart::Water => water::svg(subject, look),
        Chart::Weight => weight::svg(subject, look),
        Chart::TopUps | Chart::Sensitivity | Chart::Fit | Chart::Comparison => return None,
    })
}

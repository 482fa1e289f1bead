//! What `moulder chart` takes.

use std::path::PathBuf;

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use moulder_chart::plot::look::Look as ChartLook;

use super::bed::BedArguments;
use super::destination::Destination;
use super::look::Look;
use super::measure::height;
use super::number::{draws, months, within};
use super::pack::PackArguments;
use crate::chart_kind::ChartKind;

#[derive(Debug, Args)]
pub(crate) struct ChartArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// What to draw
    #[arg(long, value_name = "KIND", default_value = ChartKind::USUAL.as_str(), value_parser = kinds())]
    pub(crate) kind: ChartKind,

    /// For the comparison: a bed to set beside it; may be given three times
    #[arg(long, value_name = "OTHER")]
    pub(crate) beside: Vec<PathBuf>,

    /// For top-ups: lay on as soon as the soil lies this far below the rim, as in "5 cm"; in
    /// the month before spring if nothing is said
    #[arg(long, value_name = "HEIGHT", value_parser = height)]
    pub(crate) below: Option<f64>,

    #[command(flatten)]
    pub(crate) packs: PackArguments,

    /// How many months to look ahead, at most 1200 (a hundred years); 24 when nothing is
    /// said, 60 for the cross-section and a comparison, 36 for top-ups, 6 for unknowns, and
    /// for a fit a year beyond the last reading
    #[arg(long, value_name = "N", value_parser = months)]
    pub(crate) months: Option<u32>,

    /// For the cross-section: the months since filling that are drawn, such as 0,12,36
    #[arg(long, value_name = "MONTHS", value_delimiter = ',', value_parser = months)]
    pub(crate) at: Vec<u32>,

    /// How many draws the range rests on; 0 for the middle line alone, which is quick; 100
    /// when nothing is said, 40 for top-ups and a comparison, 64 and at least 8 for unknowns,
    /// 500 and at least 100 for a fit
    #[arg(long, value_name = "N", value_parser = draws)]
    pub(crate) draws: Option<u32>,

    /// Seed of the draws: the same seed gives the same range
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Width of the picture, from 320 (a telephone) to 4000; a PNG has twice as many dots
    #[arg(long, value_name = "PIXELS", default_value = "800", value_parser = width)]
    pub(crate) width: u32,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

/// The kinds of charts, with what each shows.
fn kinds() -> impl TypedValueParser<Value = ChartKind> {
    let listed = ChartKind::all().map(|kind| PossibleValue::new(kind.as_str()).help(kind.about()));
    PossibleValuesParser::new(listed)
        .map(|word| ChartKind::named(&word).expect("the parser lets only listed kinds through"))
}

fn width(text: &str) -> Result<u32, String> {
    within(text, ChartLook::NARROWEST, ChartLook::WIDEST)
}

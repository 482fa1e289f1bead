//! What `moulder check` takes.

use clap::Args;

use super::bed::BedArguments;
use super::look::Look;

#[derive(Debug, Args)]
pub(crate) struct CheckArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// Give the source of every value that was assumed, and how wide it makes the sink by
    /// month 6; takes two forecasts each
    #[arg(long)]
    pub(crate) defaults: bool,

    /// End with 3 when a warning or a danger stands that the bed file does not acknowledge
    #[arg(long)]
    pub(crate) strict: bool,

    /// Answer in JSON, for programs: the bed as understood, or a list of what is wrong with it
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

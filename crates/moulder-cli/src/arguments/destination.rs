//! Where an answer goes.

use std::path::PathBuf;

use clap::Args;

/// Where an answer goes.
#[derive(Debug, Args)]
pub(crate) struct Destination {
    /// Write to this file instead of the screen; the file appears whole or not at all
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,

    /// Replace the file if there is one already
    #[arg(long, requires = "output")]
    pub(crate) force: bool,
}

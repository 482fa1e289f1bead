//! Materials of one's own.

use std::path::PathBuf;

use clap::Args;

/// Materials of one's own.
#[derive(Debug, Clone, Args)]
pub(crate) struct ShelfArguments {
    /// A TOML file of your own materials, laid over ours; may be given again for more
    #[arg(long, value_name = "FILE")]
    pub(crate) shelf: Vec<PathBuf>,
}

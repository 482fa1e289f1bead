//! What `moulder materials` takes.

use clap::Args;

use super::look::Look;
use super::shelf::ShelfArguments;

#[derive(Debug, Args)]
pub(crate) struct MaterialsArguments {
    /// One material, to see all its numbers; without it, the list of all
    #[arg(num_args = 0..)]
    pub(crate) name: Vec<String>,

    #[command(flatten)]
    pub(crate) shelf: ShelfArguments,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

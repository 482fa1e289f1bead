//! What `moulder codes` takes.

use clap::Args;

#[derive(Debug, Args)]
pub(crate) struct CodesArguments {
    /// One code, to see its cause, its cure and an example; without it, the list of all
    pub(crate) code: Option<String>,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,
}

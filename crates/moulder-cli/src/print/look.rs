//! How tables are drawn.

use clap::Args;

/// How tables are drawn.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct Look {
    /// Rule tables with plain hyphens, for screens and screen readers that stumble over lines
    #[arg(long)]
    pub(crate) plain: bool,
}

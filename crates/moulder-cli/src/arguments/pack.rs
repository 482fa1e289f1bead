//! What beds are topped up with, and what it is sold in.

use clap::Args;
use moulder::internals::text::sign::first_hidden;

use super::measure::{money, volume};

/// What beds are topped up with, and how it is sold.
#[derive(Debug, Clone, Args)]
pub(crate) struct PackArguments {
    /// What to top up with; loamy topsoil if nothing is said
    #[arg(long, value_name = "MATERIAL")]
    pub(crate) with: Option<String>,

    /// What it is sold in; "40 L" if nothing is said
    #[arg(long, value_name = "VOLUME", value_parser = volume)]
    pub(crate) sold_in: Option<f64>,

    /// What one of these is called; bag if nothing is said
    #[arg(long, value_name = "NAME", value_parser = pack_name)]
    pub(crate) called: Option<String>,

    /// What one of these costs, in your money
    #[arg(long, value_name = "MONEY", value_parser = money)]
    pub(crate) price: Option<f64>,
}

/// What a pack is called.
fn pack_name(text: &str) -> Result<String, String> {
    let name = text.trim();
    let is_name = name
        .chars()
        .all(|c| c.is_alphanumeric() || c == ' ' || c == '-')
        // Some letters are not seen.
        && first_hidden(name).is_none();
    if name.is_empty() || !is_name || name.chars().count() > 20 {
        return Err("it must be a short name of letters, as in bag".to_owned());
    }
    Ok(name.to_owned())
}

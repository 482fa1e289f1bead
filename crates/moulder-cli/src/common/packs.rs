//! What beds are topped up with, and how it is sold.

use clap::Args;
use moulder::internals::library::material::Material;
use moulder::internals::text::sign::first_hidden;
use moulder::internals::topup::{Package, TopUpRule, TopUpTrigger};

use crate::common::number::{money, volume};
use crate::common::shelf::ShelfArguments;
use crate::trouble::Trouble;

/// What beds are topped up with, and how it is sold.
#[derive(Debug, Clone, Default, Args)]
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

/// Default material of top-ups.
pub(crate) const USUAL_MATERIAL: &str = "loamy topsoil";
/// Default package, by its name and volume; m3.
const USUAL_PACK: (&str, f64) = ("bag", 0.04);

impl PackArguments {
    /// Whether any of it was given.
    pub(crate) const fn is_told(&self) -> bool {
        self.with.is_some()
            || self.sold_in.is_some()
            || self.called.is_some()
            || self.price.is_some()
    }

    /// The material.
    pub(crate) fn material(&self, own: &ShelfArguments) -> Result<Material, Trouble> {
        own.material(self.with.as_deref().unwrap_or(USUAL_MATERIAL))
    }

    /// What one pack is called.
    pub(crate) fn called(&self) -> &str {
        self.called.as_deref().unwrap_or(USUAL_PACK.0)
    }

    /// The rule that tops up with it: as much as it takes, fetched at no cost and at once.
    pub(crate) fn rule(
        &self,
        material: &Material,
        trigger: TopUpTrigger,
        months: u32,
    ) -> TopUpRule {
        TopUpRule {
            trigger,
            material: material.clone(),
            package: Package {
                name: self.called().to_owned(),
                volume_m3: self.sold_in.unwrap_or(USUAL_PACK.1),
                price: self.price,
                delivery: 0.0,
                lead_days: 0,
            },
            most_m: None,
            yearly_budget: None,
            months,
            from: None,
        }
    }
}

//! What beds are topped up with, and how it is sold.

use clap::Args;
use moulder::internals::library::material::Material;
use moulder::internals::text::sign::first_hidden;
use moulder::internals::topup::{Buying, Package, TopUpRule, TopUpTrigger};
use moulder_bridge::buying::{USUAL_MATERIAL, USUAL_PACK_M3, usual_name};

use crate::common::number::{self, height, money, volume, within};
use crate::common::shelf::ShelfArguments;
use crate::trouble::Trouble;

/// What beds are topped up with, and how it is sold.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct PackArguments {
    /// What to top up with; loamy topsoil if nothing is said
    #[arg(long, value_name = "MATERIAL")]
    pub(crate) with: Option<String>,

    /// What it is sold in, as in "40 L", "40 L at 5.98" or "1 m3 at 45 plus 30, 2 to 8": 45 each
    /// plus 30 for a delivery of 2 to 8; "40 L" if nothing is said
    #[arg(long, value_name = "PACK", value_parser = sold)]
    pub(crate) sold_in: Vec<Sold>,

    /// What one of these is called; bag if nothing is said, and load from half a cubic metre on
    #[arg(long, value_name = "NAME", value_parser = pack_name)]
    pub(crate) called: Option<String>,

    /// What one of these costs, in your money, where --sold-in does not say
    #[arg(long, value_name = "MONEY", value_parser = money)]
    pub(crate) price: Option<f64>,
}

/// What beds are topped up with, and what limits and costs an order.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct OrderArguments {
    #[command(flatten)]
    pub(crate) packs: PackArguments,

    /// What each delivery costs on top, where --sold-in does not say
    #[arg(long, value_name = "MONEY", value_parser = number::money)]
    pub(crate) delivery: Option<f64>,

    /// How many days before it is needed an order must be made
    #[arg(long, value_name = "N", default_value = "0", value_parser = lead,
          hide_default_value = true)]
    pub(crate) lead_days: u32,

    /// Spend no more than this in a calendar year, on all beds together
    #[arg(long, value_name = "MONEY", value_parser = number::money)]
    pub(crate) budget: Option<f64>,

    /// Lay on no more than this at once, so that no plant is buried, as in "5 cm"
    #[arg(long, value_name = "HEIGHT", value_parser = height)]
    pub(crate) at_most: Option<f64>,
}

fn lead(text: &str) -> Result<u32, String> {
    within(text, 0, 730)
}

impl OrderArguments {
    /// How it is bought.
    pub(crate) fn buying(&self) -> Result<Buying, Trouble> {
        let mut ways = self.packs.ways(self.delivery.unwrap_or(0.0));
        let needs = [
            ("--delivery", self.delivery.is_some()),
            ("--budget", self.budget.is_some()),
            ("--sold-in", ways.len() > 1),
        ];
        let needs = needs.into_iter().find(|(_, is_told)| *is_told);
        if let Some((option, _)) = needs.filter(|_| !self.packs.has_price()) {
            let said = "It takes the price of each pack: --sold-in \"40 L at 5.98\", or --price.";
            return Err(Trouble::bad_option(option, said.to_owned()));
        }
        for way in &mut ways {
            way.lead_days = self.lead_days;
        }
        Ok(Buying {
            yearly_budget: self.budget,
            ..Buying::in_one_of(ways)
        })
    }

    /// The first way to buy it.
    pub(crate) fn package(&self) -> Package {
        let first = self.packs.ways(self.delivery.unwrap_or(0.0)).swap_remove(0);
        first.lead_days(self.lead_days)
    }

    /// The rule that tops a bed up with it; a budget of its own only where it shares no orders.
    pub(crate) fn rule(
        &self,
        material: &Material,
        trigger: TopUpTrigger,
        months: u32,
        shares: bool,
    ) -> TopUpRule {
        let mut rule = self.packs.rule(material, trigger, months);
        rule.package = self.package();
        rule.most_m = self.at_most;
        rule.yearly_budget = self.budget.filter(|_| !shares);
        rule
    }
}

/// A way to buy, as it is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sold {
    volume_m3: f64,
    price: Option<f64>,
    delivery: Option<f64>,
    /// Fewest and most at once.
    at_once: (u32, Option<u32>),
}

/// "40 L", "40 L at 5.98", "1 m3 at 45 plus 30, 2 to 8".
fn sold(text: &str) -> Result<Sold, String> {
    let said = "it must be a volume from 1 L to 100 m3, and may go on with a price, a delivery and \
                how many at once, as in \"40 L\", \"40 L at 5.98\" or \"1 m3 at 45 plus 30, 2 to 8\"";
    let (text, at_once) = match text.split_once(',') {
        Some((text, at_once)) => (text, Some(at_once)),
        None => (text, None),
    };
    let (size, price) = match text.split_once(" at ") {
        Some((size, price)) => (size, Some(price)),
        None => (text, None),
    };
    let (price, delivery) = match price.map(|price| price.split_once(" plus ")) {
        Some(Some((price, delivery))) => (Some(price), Some(delivery)),
        _ => (price, None),
    };
    let of_money = |text: Option<&str>| match text.map(str::trim).map(money) {
        Some(Err(_)) => Err(said.to_owned()),
        Some(Ok(money)) => Ok(Some(money)),
        None => Ok(None),
    };
    let count = |text: &str| -> Result<u32, String> {
        let count = text.trim().parse().ok();
        count
            .filter(|count| *count > 0)
            .ok_or_else(|| said.to_owned())
    };
    let at_once = match at_once.map(|at_once| at_once.split_once(" to ")) {
        None => (1, None),
        Some(Some((least, most))) => (count(least)?, Some(count(most)?)),
        Some(None) => return Err(said.to_owned()),
    };
    if at_once.1.is_some_and(|most| most < at_once.0) {
        return Err(said.to_owned());
    }
    Ok(Sold {
        volume_m3: volume(size.trim()).map_err(|_| said.to_owned())?,
        price: of_money(price)?,
        delivery: of_money(delivery)?,
        at_once,
    })
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

impl PackArguments {
    /// Whether any of it was given.
    pub(crate) const fn is_told(&self) -> bool {
        self.with.is_some()
            || !self.sold_in.is_empty()
            || self.called.is_some()
            || self.price.is_some()
    }

    /// The material.
    pub(crate) fn material(&self, own: &ShelfArguments) -> Result<Material, Trouble> {
        own.material(self.with.as_deref().unwrap_or(USUAL_MATERIAL))
    }

    /// The ways to buy it, at least one; a delivery costs that much where none is told.
    pub(crate) fn ways(&self, delivery: f64) -> Vec<Package> {
        let usual = Sold {
            volume_m3: USUAL_PACK_M3,
            price: None,
            delivery: None,
            at_once: (1, None),
        };
        let usual = self.sold_in.is_empty().then_some(&usual);
        let each = self.sold_in.iter().chain(usual);
        let ways = each.enumerate().map(|(index, sold)| {
            let called = self.called.as_deref().filter(|_| index == 0);
            let usual = usual_name(sold.volume_m3);
            Package {
                price: sold.price.or(self.price),
                delivery: sold.delivery.unwrap_or(delivery),
                least: sold.at_once.0,
                most: sold.at_once.1,
                ..Package::new(called.unwrap_or(usual), sold.volume_m3)
            }
        });
        ways.collect()
    }

    /// The way to buy where there is but one, and the first of several.
    pub(crate) fn package(&self) -> Package {
        self.ways(0.0).swap_remove(0)
    }

    /// Whether every price is known.
    pub(crate) fn has_price(&self) -> bool {
        self.ways(0.0).iter().all(|way| way.price.is_some())
    }

    /// Refuses several ways where only one counts.
    pub(crate) fn only_one(&self) -> Result<(), Trouble> {
        if self.sold_in.len() < 2 {
            return Ok(());
        }
        Err(Trouble::bad_option(
            "--sold-in",
            "Only moulder topup and moulder answer choose between ways to buy. Say --sold-in once."
                .to_owned(),
        ))
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
            package: self.package(),
            most_m: None,
            yearly_budget: None,
            months,
            from: None,
        }
    }
}

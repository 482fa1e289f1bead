//! Reading plan files, by the same walk as bed files.

use super::given::{Fields, Given};
use super::outline::Outline;
use super::walk::{FORM, Walk};
use super::{fits, is_written, settle};
use crate::bed::builder::climate_document;
use crate::bed::document::{ClimateDocument, OutlineDocument};
use crate::bed::plan_request::Overrides as Said;
use crate::bed::plan_request::{PlanRequest, Price, Reported, StockItem, Supply, USUAL_ENSEMBLE};
use crate::bed::{Amount, Ingredient, Placement};
use crate::fault::{FaultCode, Faults};
use crate::library::Library;
use crate::library::climates::Climate;
use crate::quantity::unit::Dimension;
use crate::read::field::plan::{AFTER_MONTHS, HAND, PLAN, SOIL_M, WANTED};
use crate::read::field::{MASS, VOLUME};
use crate::tree::{self, Node, Places, Tree, Value, without_mark};

/// Greatest sum of the user's shares, with room for rounding.
const WHOLE: f64 = 1.0 + 1e-9;

/// Reads a plan file in TOML.
///
/// # Errors
///
/// Every fault, placed by line and column.
pub fn read_plan_toml(text: &str, library: &Library) -> Result<PlanRequest, Faults> {
    let text = without_mark(text);
    fits(text)?;
    is_written(
        text,
        "the file is empty; a plan file says what bed it is for and what is at hand",
    )?;
    check_plan(&tree::read_toml(text), library)
}

/// Reads a plan file in JSON.
///
/// # Errors
///
/// Every fault, placed by JSON Pointer; a text that is not JSON gives one fault, placed by line
/// and column.
pub fn read_plan_json(text: &str, library: &Library) -> Result<PlanRequest, Faults> {
    let text = without_mark(text);
    fits(text)?;
    match tree::read_json(text) {
        Ok(tree) => check_plan(&tree, library),
        Err(found) => Err(Faults::one(Places::lines(text).placed(*found))),
    }
}

fn check_plan(tree: &Tree<'_>, library: &Library) -> Result<PlanRequest, Faults> {
    let mut walk = Walk::new(library);
    let plan = walk.plan_file(&tree.root);
    let (mut plan, defaults, _) = settle(tree, walk, plan, &PLAN)?;
    plan.site.defaults = defaults;
    Ok(plan)
}

/// The target of a plan.
struct Wanted {
    height_m: Option<f64>,
    after_months: u32,
    soil_m: f64,
}

impl Walk<'_> {
    /// The whole file.
    fn plan_file(&mut self, root: &Node) -> Option<PlanRequest> {
        let fields = self.open(&PLAN, root, "")?;
        let site = self.site(&fields);
        let money = fields
            .get("money")
            .map_or_else(|| Some(String::new()), |given| self.text(&given));
        let wanted = self.wanted(&fields, site.outline.as_ref());
        let hands = fields.get("hand").and_then(|given| self.hands(&given));
        let (site, wanted) = (site.whole()?, wanted?);
        Some(PlanRequest {
            climate_given: climate_given(fields.get("climate")?.node, &site.climate),
            outline: outline_given(fields.get("bed")?.node),
            site,
            height_m: wanted.height_m?,
            after_months: wanted.after_months,
            soil_m: wanted.soil_m,
            money: money?,
            stock: hands?,
            ensemble_size: USUAL_ENSEMBLE,
            seed: 1,
        })
    }

    /// The target; its height is that of the rim by default.
    fn wanted(&mut self, fields: &Fields<'_>, outline: Option<&Outline>) -> Option<Wanted> {
        let wanted = match fields.get("wanted") {
            Some(given) => Some(self.open(&WANTED, given.node, &given.path)?),
            None => None,
        };
        let get = |name: &str| wanted.as_ref().and_then(|wanted| wanted.get(name));
        let path = |name: &str| tree::step("/wanted", name);
        let height_m = if let Some(given) = get("height") {
            let height_m = self.quantity(&given)?;
            let peak_m = outline.and_then(|outline| Some((outline.shape.peak_m()?, outline)));
            if let Some((peak_m, outline)) = peak_m
                && height_m + outline.trench_m >= peak_m
            {
                self.fault(
                    FaultCode::DoesNotFit,
                    &given,
                    "a height that this mound cannot have".to_owned(),
                    format!(
                        "its sides meet {:.0} cm above the ground",
                        (peak_m - outline.trench_m) * 100.0
                    ),
                );
                return None;
            }
            Some(height_m)
        } else {
            let rim_m = outline.and_then(|outline| outline.rim_m);
            if rim_m.is_some() {
                self.assume(path("height"), "the rim", FORM);
            } else if outline.is_some() {
                self.found(
                    FaultCode::MissingField,
                    wanted.as_ref().map_or(fields.at, |wanted| wanted.at),
                    &path("height"),
                    WANTED.in_words.to_owned(),
                    "height",
                    vec!["height = \"60 cm\"".to_owned()],
                );
            }
            rim_m
        };
        let after_months = if let Some(given) = get("after") {
            self.whole_months(&given)
        } else {
            self.assume(path("after"), AFTER_MONTHS.1, FORM);
            Some(AFTER_MONTHS.0)
        };
        let soil_m = if let Some(given) = get("soil") {
            self.quantity(&given)
        } else {
            self.assume(path("soil"), SOIL_M.1, FORM);
            Some(SOIL_M.0)
        };
        let soil_m = soil_m?;
        let deepest_m = height_m
            .zip(outline)
            .map(|(m, outline)| m + outline.trench_m);
        if let Some(deepest_m) = deepest_m
            && soil_m > deepest_m
        {
            let at = wanted.as_ref().map_or(fields.at, |wanted| wanted.at);
            self.found(
                FaultCode::DoesNotFit,
                get("soil").map_or(at, |given| given.node.at),
                &path("soil"),
                format!("{:.0} cm of growing soil", soil_m * 100.0),
                &format!(
                    "at most the {:.0} cm that the bed is deep",
                    deepest_m * 100.0
                ),
                vec!["10 cm".to_owned()],
            );
            return None;
        }
        Some(Wanted {
            height_m,
            after_months: after_months?,
            soil_m,
        })
    }

    fn whole_months(&mut self, given: &Given<'_>) -> Option<u32> {
        let months = self.number(given)?;
        if months.fract() == 0.0 {
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a whole number from 1 to 120"
            )]
            return Some(months as u32);
        }
        let expected = "a whole number of months";
        self.fault(FaultCode::OutOfRange, given, months.to_string(), expected);
        None
    }

    /// The stock.
    fn hands(&mut self, given: &Given<'_>) -> Option<Vec<StockItem>> {
        let nodes = self.list(given);
        let read: Vec<Option<StockItem>> = nodes
            .iter()
            .map(|(node, path)| self.hand(node, path))
            .collect();
        let hands: Vec<StockItem> = read.into_iter().collect::<Option<_>>()?;
        let least: f64 = hands.iter().map(|hand| hand.least).sum();
        if least > WHOLE {
            self.fault(
                FaultCode::DoesNotFit,
                given,
                format!("least shares of {:.0} % together", least * 100.0),
                "at most 100 % together",
            );
            return None;
        }
        (!hands.is_empty()).then_some(hands)
    }

    /// One item of stock. Every field is checked even where another is faulty.
    fn hand(&mut self, node: &Node, path: &str) -> Option<StockItem> {
        let fields = self.open(&HAND, node, path)?;
        let material = fields
            .get("material")
            .and_then(|given| self.material(&given));
        let amount = fields.get("amount").and_then(|given| self.supply(&given));
        let price = self.price(&fields);
        let least = fields
            .get("least")
            .map_or(Some(0.0), |given| self.quantity(&given));
        let most = fields
            .get("most")
            .map_or(Some(1.0), |given| self.quantity(&given));
        if let (Some(least), Some(most), Some(given)) = (least, most, fields.get("least"))
            && least > most
        {
            let found = format!("least {:.0} %, most {:.0} %", least * 100.0, most * 100.0);
            let expected = "the least share must not be above the largest";
            self.fault(FaultCode::DoesNotFit, &given, found, expected);
            return None;
        }
        let state = self.arrival_state(&fields);
        let material = material?;
        let (particle_size_m, moisture_wet, rotten) = self.arrived(&fields, state, &material)?;
        let (supply, reported) = amount?;
        let price = price?;
        let reported = match (&reported, &price) {
            (Reported::Volume, Some((_, per))) if supply == Supply::Plenty => per.clone(),
            _ => reported,
        };
        Some(StockItem {
            sample: Ingredient {
                material,
                amount: Amount::VolumeM3(1.0),
                placement: Placement::Loose,
                particle_size_m,
                moisture_wet,
                rotten,
            },
            supply,
            reported,
            price: price.map(|(price, _)| price),
            least: least?,
            most: most?,
            overrides: Said {
                across: text_of(&fields, "across"),
                moisture: text_of(&fields, "moisture"),
                arrived: text_of(&fields, "arrived"),
            },
        })
    }

    /// The supply, and the unit it was given in.
    fn supply(&mut self, given: &Given<'_>) -> Option<(Supply, Reported)> {
        if matches!(&given.node.value, Value::Text(text) if text.trim() == "plenty") {
            return Some((Supply::Plenty, Reported::Volume));
        }
        let (amount, reported) = self.volume_or_mass(given)?;
        Some((Supply::Of(amount), reported))
    }

    /// A volume or a mass.
    fn volume_or_mass(&mut self, given: &Given<'_>) -> Option<(Amount, Reported)> {
        let quantity = self.quantity_of(given, &[Dimension::Volume, Dimension::Mass])?;
        let value = quantity.value;
        if quantity.dimension == Dimension::Volume {
            let reported = match quantity.measure {
                Some(name) => {
                    let held = self.measures.find(&name).map(|(_, m3)| m3)?;
                    Reported::Measure(name, held)
                }
                None => Reported::Volume,
            };
            let volume = self.in_range(given, value, VOLUME)?;
            return Some((Amount::VolumeM3(volume), reported));
        }
        let mass = self.in_range(given, value, MASS)?;
        let amount = if quantity.dry {
            Amount::DryMassKg(mass)
        } else {
            Amount::WetMassKg(mass)
        };
        Some((amount, Reported::Weight))
    }

    /// The price of a pack; none inside where it is free.
    #[allow(
        clippy::option_option,
        reason = "outside: whether it could be read; inside: whether it has a price"
    )]
    fn price(&mut self, fields: &Fields<'_>) -> Option<Option<(Price, Reported)>> {
        let money = fields.get("price").map(|given| self.number(&given));
        let per = fields.get("per").map(|given| self.volume_or_mass(&given));
        match (money, per, fields.get("per")) {
            (None, None, _) => Some(None),
            (Some(money), Some(per), Some(given)) => {
                let (per, reported) = per?;
                let per_text = match &given.node.value {
                    Value::Text(text) => text.trim().to_owned(),
                    other => other.in_words(),
                };
                let price = Price {
                    money: money?,
                    per,
                    per_text,
                };
                Some(Some((price, reported)))
            }
            (Some(_), _, _) => {
                self.needs(fields, "per");
                None
            }
            (None, _, _) => {
                self.needs(fields, "price");
                None
            }
        }
    }

    /// Reports a field required by another.
    fn needs(&mut self, fields: &Fields<'_>, name: &str) {
        if let Some(field) = HAND.field(name) {
            self.missing(fields, field);
        }
    }
}

/// A text as given in the file.
fn text_of(fields: &Fields<'_>, name: &str) -> Option<String> {
    match &fields.get(name)?.node.value {
        Value::Text(text) => Some(text.clone()),
        _ => None,
    }
}

/// The outline as given in the file.
fn outline_given(node: &Node) -> OutlineDocument {
    let Value::Table(entries) = &node.value else {
        return OutlineDocument::default();
    };
    let fields = entries.iter().filter_map(|entry| {
        let value = match &entry.node.value {
            Value::Text(text) => text.clone().into(),
            Value::Bool(truth) => (*truth).into(),
            _ => return None,
        };
        Some((entry.key.clone(), value))
    });
    // A checked outline has these fields and no others.
    let fields: serde_json::Map<String, serde_json::Value> = fields.collect();
    serde_json::from_value(fields.into()).unwrap_or_default()
}

/// The climate as given in the file.
fn climate_given(node: &Node, climate: &Climate) -> ClimateDocument {
    match &node.value {
        Value::Text(name) => ClimateDocument::Place(name.clone()),
        _ => climate_document(climate),
    }
}

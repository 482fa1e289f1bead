//! How material is packed and sold.

use jiff::ToSpan as _;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::fault::error::Error;
use crate::fault::{Fault, FaultCode, Faults, Place};

/// How material is packed and sold.
///
/// ```
/// use moulder::Package;
///
/// let bag = Package::new("bag", 0.04).price(4.5).delivery(10.0).lead_days(3);
/// assert_eq!(bag.price, Some(4.5));
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Package {
    /// Name ("bag").
    pub name: String,
    /// Loose volume; m3.
    pub volume_m3: f64,
    /// Price, in the owner's money; none where it is not known.
    pub price: Option<f64>,
    /// Cost of each delivery.
    pub delivery: f64,
    /// Days from order to delivery; d.
    pub lead_days: u32,
    /// Fewest that are sold at once.
    #[serde(default = "one")]
    pub least: u32,
    /// Most that one delivery brings; none for no limit.
    #[serde(default)]
    pub most: Option<u32>,
}

const fn one() -> u32 {
    1
}

impl Package {
    /// A package of that loose volume, m3; of unknown price, delivered free at once.
    #[must_use]
    pub fn new(name: impl Into<String>, volume_m3: f64) -> Self {
        Self {
            name: name.into(),
            volume_m3,
            price: None,
            delivery: 0.0,
            lead_days: 0,
            least: 1,
            most: None,
        }
    }

    /// Sets the price, in the owner's money.
    #[must_use]
    pub fn price(mut self, price: f64) -> Self {
        self.price = Some(price);
        self
    }

    /// Sets the cost of each delivery, in the owner's money.
    #[must_use]
    pub fn delivery(mut self, delivery: f64) -> Self {
        self.delivery = delivery;
        self
    }

    /// Its figures by their place: what they are, whether they are in range, and what would be.
    pub(super) fn figures(&self, pointer: &str) -> Vec<(String, String, bool, &'static str)> {
        let told = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
        let most = self.most.map_or_else(String::new, |most| most.to_string());
        let figures = [
            (
                "volume_m3",
                self.volume_m3.to_string(),
                is_above_zero(self.volume_m3),
                "a volume above 0 m3",
            ),
            (
                "price",
                told(self.price),
                self.price.is_none_or(is_money),
                MONEY,
            ),
            (
                "delivery",
                self.delivery.to_string(),
                is_money(self.delivery),
                MONEY,
            ),
            (
                "least",
                self.least.to_string(),
                self.least > 0,
                "1 or more at once",
            ),
            (
                "most",
                most,
                self.most.is_none_or(|most| most >= self.least),
                "no fewer in a delivery than are sold at once",
            ),
        ];
        let placed = figures.map(|(field, found, is_right, expected)| {
            (format!("{pointer}/{field}"), found, is_right, expected)
        });
        placed.to_vec()
    }

    /// The day to order on for what is needed on that day.
    #[must_use]
    pub(crate) fn order_by(&self, needed: Date) -> Date {
        needed.saturating_sub(i64::from(self.lead_days).days())
    }

    /// Days from order to delivery; d.
    #[must_use]
    pub fn lead_days(mut self, lead_days: u32) -> Self {
        self.lead_days = lead_days;
        self
    }
}

/// What money is.
pub(super) const MONEY: &str = "money, 0 or more";

pub(super) fn is_money(value: f64) -> bool {
    value >= 0.0 && value.is_finite()
}

pub(super) fn is_above_zero(value: f64) -> bool {
    value > 0.0 && value.is_finite()
}

/// Refuses figures that are out of range: their place, what was found, whether that will do, and
/// what would.
pub(super) fn refuse(
    figures: impl IntoIterator<Item = (String, String, bool, &'static str)>,
) -> Result<(), Error> {
    let wrong = figures.into_iter().filter(|(_, _, is_right, _)| !is_right);
    let faults = wrong.map(|(pointer, found, _, expected)| Fault {
        code: FaultCode::OutOfRange,
        place: Place::Pointer {
            pointer: pointer.clone(),
        },
        path: pointer,
        found,
        expected: expected.to_owned(),
        help: Vec::new(),
    });
    match Faults::of(faults.collect(), 0) {
        Some(faults) => Err(faults.into()),
        None => Ok(()),
    }
}

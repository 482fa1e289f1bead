//! A number that says where it comes from and how far it may be off.

use alloc::borrow::Cow;

/// A sourced number: best value, spread, unit, source, and how the source was met.
///
/// Every constant of the laws and every figure of the catalogue is one of these,
/// so that a forecast can list what it assumed and a later draw can vary it.
///
/// ```
/// use moulder_core::value::{Spread, Status, Value};
///
/// const DAMPING: Value = Value::new(0.10, Spread::new(0.08, 0.12), "m", "van Wijk & de Vries 1963", Status::Memory);
/// assert!(DAMPING.spread.low < DAMPING.best && DAMPING.best < DAMPING.spread.high);
/// ```
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct Value {
    /// The middle value, in `unit`.
    pub best: f64,
    /// Where four in five true values are held to lie, in `unit`.
    pub spread: Spread,
    /// The unit, in words of the trade ("kg/m3", "1/yr", "kg/kg dry").
    pub unit: Cow<'static, str>,
    /// Author, year and place in the work, or "our own closure".
    pub source: Cow<'static, str>,
    /// Whether the source was read, recalled, or is our judgement.
    pub status: Status,
}

impl Value {
    /// A value with a source known when the program is built.
    #[must_use]
    pub const fn new(
        best: f64,
        spread: Spread,
        unit: &'static str,
        source: &'static str,
        status: Status,
    ) -> Self {
        Self {
            best,
            spread,
            unit: Cow::Borrowed(unit),
            source: Cow::Borrowed(source),
            status,
        }
    }

    /// The same figure as somebody measured it: its best value, where four in five of its true
    /// values are held to lie, and who measured it how. In the same unit.
    #[must_use]
    pub fn measured(
        &self,
        best: f64,
        spread: core::ops::RangeInclusive<f64>,
        source: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self {
            best,
            spread: Spread::new(*spread.start(), *spread.end()),
            unit: self.unit.clone(),
            source: source.into(),
            status: Status::Read,
        }
    }
}

/// The 10 % and 90 % points of what the true value may be.
///
/// In a file it is written as a pair, `[low, high]`.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(from = "[f64; 2]", into = "[f64; 2]"))]
pub struct Spread {
    /// One true value in ten is held to lie below this.
    pub low: f64,
    /// One true value in ten is held to lie above this.
    pub high: f64,
}

impl Spread {
    /// A spread from its lower and upper tenth.
    #[must_use]
    pub const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }
}

impl From<[f64; 2]> for Spread {
    fn from([low, high]: [f64; 2]) -> Self {
        Self { low, high }
    }
}

impl From<Spread> for [f64; 2] {
    fn from(spread: Spread) -> Self {
        [spread.low, spread.high]
    }
}

/// How a value's source was met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
pub enum Status {
    /// Read in the source, or computed from figures read there.
    Read,
    /// Recalled from the literature, not read again.
    Memory,
    /// Our judgement or our own closure: no source gives it.
    Judgement,
}

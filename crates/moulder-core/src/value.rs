//! A number with its spread, unit and source.

use alloc::borrow::Cow;

/// A sourced number: best value, spread, unit, source and status.
///
/// Every constant of the laws and every figure of the library is one, so that a projection can
/// list its assumptions and an ensemble can vary them.
///
/// ```
/// use moulder_core::value::{Spread, Status, Value};
///
/// const DAMPING: Value = Value::new(0.10, Spread::new(0.08, 0.12), "m", "van Wijk & de Vries 1963", Status::Memory);
/// assert!(DAMPING.spread.low < DAMPING.best && DAMPING.best < DAMPING.spread.high);
/// ```
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct Value {
    /// Best (central) value, in `unit`.
    pub best: f64,
    /// 80 % interval of the true value, in `unit`.
    pub spread: Spread,
    /// Unit, as text ("kg/m3", "1/yr", "kg/kg dry").
    pub unit: Cow<'static, str>,
    /// Author, year and place in the work, or "our own closure".
    pub source: Cow<'static, str>,
    /// Whether the source was read, recalled, or is our judgement.
    pub status: Status,
    /// Key of the family of figures that it is wrong together with; none where the kind of figure
    /// decides.
    #[cfg_attr(
        feature = "serde",
        serde(
            default,
            rename(serialize = "shared_by", deserialize = "shared-by"),
            skip_serializing_if = "Option::is_none"
        )
    )]
    pub shared_by: Option<Cow<'static, str>>,
}

impl Value {
    /// A value whose source is known at compile time.
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
            shared_by: None,
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
            shared_by: None,
        }
    }
}

/// The 10 % and 90 % quantiles of a value; in a file, the pair `[low, high]`.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "serde", serde(from = "[f64; 2]", into = "[f64; 2]"))]
pub struct Spread {
    /// 10 % quantile.
    pub low: f64,
    /// 90 % quantile.
    pub high: f64,
}

impl Spread {
    /// A spread from its 10 % and 90 % quantiles.
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

/// How a value was obtained from its source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
pub enum Status {
    /// Read in the source, or computed from figures read there.
    Read,
    /// Recalled from the literature, not read again.
    Memory,
    /// Our judgement or our own closure: no source gives it.
    Judgement,
}

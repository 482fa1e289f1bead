//! What was observed: the cases of `open.json`.

use serde_json::Value;

use crate::range::Range;

/// A bed, mound, heap, stack or layer whose settlement was observed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Case {
    pub(crate) id: String,
    /// Its class.
    pub(crate) class: String,
    /// Height on the day of filling, where the case gives it; cm.
    pub(crate) height_cm: Option<Range>,
    pub(crate) readings: Vec<Reading>,
}

/// Its settlement after a number of months.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reading {
    pub(crate) months: Range,
    pub(crate) sink: Range,
    pub(crate) unit: Unit,
}

/// Unit of a settlement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unit {
    /// Centimetres.
    Cm,
    /// Per cent of the height on the day of filling.
    Percent,
}

impl Unit {
    pub(crate) fn sign(self) -> &'static str {
        match self {
            Self::Cm => "cm",
            Self::Percent => "%",
        }
    }
}

/// Reads the cases.
///
/// # Errors
///
/// What cannot be read, and where.
pub(crate) fn cases(text: &str) -> Result<Vec<Case>, String> {
    let file: Value = serde_json::from_str(text).map_err(|error| error.to_string())?;
    let list = file["cases"].as_array().ok_or("no list of cases")?;
    let cases: Vec<Case> = list.iter().map(case).collect::<Result<_, _>>()?;
    if file["count"].as_u64() != u64::try_from(cases.len()).ok() {
        return Err(format!(
            "it says {} cases and holds {}",
            file["count"],
            cases.len()
        ));
    }
    Ok(cases)
}

fn case(value: &Value) -> Result<Case, String> {
    let text = |name: &str| {
        let text = value[name].as_str();
        text.map(str::to_owned)
            .ok_or_else(|| format!("{name} of a case is missing: {value}"))
    };
    let id = text("id")?;
    let readings = match value["points"].as_array() {
        Some(points) => points.iter().map(reading).collect::<Option<_>>(),
        None => reading(value).map(|reading| vec![reading]),
    };
    Ok(Case {
        class: text("cls")?,
        height_cm: range(&value["initial_height_cm"]),
        readings: readings.ok_or_else(|| format!("{id}: months or sink cannot be read"))?,
        id,
    })
}

/// A reading: in cm where given so, else in per cent.
fn reading(value: &Value) -> Option<Reading> {
    let (sink, unit) = match range(&value["sink_cm"]) {
        Some(sink) => (sink, Unit::Cm),
        None => (range(&value["sink_percent"])?, Unit::Percent),
    };
    let months = range(&value["months"])?;
    Some(Reading { months, sink, unit })
}

/// A range, or a single figure; none where there is null.
fn range(value: &Value) -> Option<Range> {
    let one = value.as_f64();
    Some(Range {
        low: one.or_else(|| value["low"].as_f64())?,
        high: one.or_else(|| value["high"].as_f64())?,
    })
}

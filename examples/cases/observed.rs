//! What was observed: the cases of `open.json`, and the series of `examples/series`.

use serde_json::Value;

use crate::range::Range;

/// A bed, mound, heap, stack or layer whose settlement was observed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Case {
    pub(crate) id: String,
    /// Its class.
    pub(crate) class: String,
    /// Its source: readings of one source are wrong together.
    pub(crate) group: String,
    /// Measured, reported or a rule of thumb.
    pub(crate) quality: String,
    /// Height on the day of filling, where the case gives it; cm.
    pub(crate) height_cm: Option<Range>,
    /// Whether the thickness of the top layer was read, and not the height.
    pub(crate) is_top_layer_read: bool,
    /// Whether it was read against its loose state, which has a bed file of its own.
    pub(crate) starts_loose: bool,
    /// Why it has no bed.
    pub(crate) not_scored: Option<String>,
    /// Which figures or laws were made with it, so that it is no check of them.
    pub(crate) used: Option<String>,
    pub(crate) readings: Vec<Reading>,
}

/// Its settlement between two ages.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reading {
    /// The earlier age, 0 for the day of filling; months.
    pub(crate) from_months: Range,
    /// The later age; months.
    pub(crate) months: Range,
    pub(crate) sink: Range,
    pub(crate) unit: Unit,
    pub(crate) quantity: Quantity,
    pub(crate) side: Side,
}

/// Unit of a settlement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unit {
    /// Centimetres.
    Cm,
    /// Per cent of the height, or of the mass, at the earlier age.
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

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quantity {
    /// The height: its loss.
    Height,
    /// Dry mass in the volume: the loss of height that would give the same density.
    Density,
    /// Dry mass: its loss.
    DryMass,
}

/// Which side of the figures is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Both,
    AtLeast,
    AtMost,
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
    for (index, case) in cases.iter().enumerate() {
        if cases[..index].iter().any(|other| other.id == case.id) {
            return Err(format!("{}: twice", case.id));
        }
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
    let readings: Option<Vec<Reading>> = match value["points"].as_array() {
        Some(points) => points.iter().map(reading).collect(),
        None => reading(value).map(|reading| vec![reading]),
    };
    let readings = readings.ok_or_else(|| format!("{id}: months or sink cannot be read"))?;
    let used = value["used"].as_str().map(str::to_owned);
    let not_scored = value["not_scored"].as_str().map(str::to_owned);
    if readings.is_empty() && not_scored.is_none() {
        return Err(format!("{id}: no reading, and no reason for none"));
    }
    if let Some(wrong) = readings.iter().find(|reading| !reading.is_in_order()) {
        return Err(format!("{id}: low above high, or no time: {wrong:?}"));
    }
    Ok(Case {
        class: text("cls")?,
        group: text("group")?,
        quality: text("quality")?,
        height_cm: range(&value["initial_height_cm"]),
        is_top_layer_read: value["reads"] == "top layer",
        starts_loose: value["starts"] == "loose",
        not_scored,
        used,
        readings,
        id,
    })
}

impl Reading {
    /// Whether all ranges run upwards, within less than the whole, and time passes.
    fn is_in_order(&self) -> bool {
        let upwards = |range: Range| range.low <= range.high;
        let most = match self.unit {
            Unit::Cm => f64::INFINITY,
            Unit::Percent => 100.0,
        };
        upwards(self.sink)
            && self.sink.high <= most
            && upwards(self.from_months)
            && upwards(self.months)
            && 0.0 <= self.from_months.low
            && self.from_months.high < self.months.low
    }
}

/// A reading: in cm where given so, else in per cent.
fn reading(value: &Value) -> Option<Reading> {
    let (sink, unit, quantity) = sink(value)?;
    let day_of_filling = Range {
        low: 0.0,
        high: 0.0,
    };
    Some(Reading {
        from_months: match &value["from_months"] {
            Value::Null => day_of_filling,
            from => range(from)?,
        },
        months: range(&value["months"])?,
        sink,
        unit,
        quantity,
        side: match &value["side"] {
            Value::Null => Side::Both,
            side if side == "at least" => Side::AtLeast,
            side if side == "at most" => Side::AtMost,
            _ => return None,
        },
    })
}

fn sink(value: &Value) -> Option<(Range, Unit, Quantity)> {
    if let Some(cm) = range(&value["sink_cm"]) {
        return Some((cm, Unit::Cm, Quantity::Height));
    }
    if let Some(percent) = range(&value["sink_percent"]) {
        return Some((percent, Unit::Percent, Quantity::Height));
    }
    if let Some(left) = range(&value["mass_left"]) {
        let lost = Range {
            low: 100.0 * (1.0 - left.high),
            high: 100.0 * (1.0 - left.low),
        };
        return Some((lost, Unit::Percent, Quantity::DryMass));
    }
    let before = range(&value["density"]["before"])?;
    let after = range(&value["density"]["after"])?;
    let sunk = Range {
        low: 100.0 * (1.0 - before.high / after.low),
        high: 100.0 * (1.0 - before.low / after.high),
    };
    Some((sunk, Unit::Percent, Quantity::Density))
}

/// A range, or a single figure; none where there is null.
fn range(value: &Value) -> Option<Range> {
    let one = value.as_f64();
    Some(Range {
        low: one.or_else(|| value["low"].as_f64())?,
        high: one.or_else(|| value["high"].as_f64())?,
    })
}

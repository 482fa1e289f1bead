//! The carbon ledger of a bed: carbon left, by pool, and carbon released.

pub mod saving;

mod intervals;

use std::borrow::Cow;

use jiff::civil::Date;
use moulder_core::bed::carbon::CarbonKinds;
use serde::{Deserialize, Serialize};

use crate::bed::{Bed, Layer};
use crate::fault::error::Error;
use crate::fault::notice::{DefaultUsed, Notice};
use crate::fit::run::Run;
use crate::forecast::ENGINE;
use crate::forecast::calendar::{days_to_month, month_day};
use crate::forecast::danger::dangers;
use crate::forecast::progress::Progress;
use crate::forecast::trajectory::{self, AddedLayer, MonthEnd, Observer};
use crate::library::gas::{Burning, GasScreen, co2_kg};
use crate::library::material::Class;
use crate::model::compile::{Arrival, arrivals};
use crate::model::figures::Figures;
use crate::model::weather::over_a_bed;
use crate::numeric::sums::summed;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;

pub use intervals::{BurningIntervals, LedgerIntervals, LedgerRowIntervals, ledger_with_intervals};

/// Version of the JSON form of a ledger.
pub const SCHEMA_VERSION: u32 = 2;

/// Months from one row to the next.
const ROW_MONTHS: u32 = 12;

/// The carbon of a bed year by year.
///
/// ```
/// let ledger = moulder::Bed::example().forecast().months(12).ensemble_size(20).ledger()?;
/// let left_share = ledger.intervals.map(|intervals| intervals.rows[1].left_share);
/// assert!(left_share.is_some_and(|share| 0.0 < share.lower && share.upper < 1.0));
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Ledger {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of the JSON form.
    pub schema: u32,
    /// Name of the bed.
    pub name: String,
    /// Dangers, listed before all else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dangers: Vec<Notice>,
    /// Day of filling.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub filled: Date,
    /// Name of the climate.
    pub climate: String,
    /// Display units of the bed; figures here are SI whatever they are.
    pub units: Units,
    /// Names of the layers, from the ground up.
    pub layers: Vec<String>,
    /// Emissions had its wood been burnt on the day of filling. None without wood.
    pub burning: Option<Burning>,
    /// Upper screen for methane and nitrous oxide, no forecast. None without non-woody
    /// material.
    pub screen: Option<GasScreen>,
    /// Rows, means over the realisations: day zero, each whole year after it, and the last month
    /// asked for.
    pub rows: Vec<LedgerRow>,
    /// Defaults used where the document gives nothing.
    pub defaults: Vec<DefaultUsed>,
    /// 80 % intervals; none for the nominal run alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub intervals: Option<LedgerIntervals>,
}

/// The carbon of a bed on one day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct LedgerRow {
    /// Months since filling.
    pub month: u32,
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Carbon left in the whole bed, by pool.
    pub left: CarbonLeft,
    /// Carbon put in so far, additions included; kg.
    pub put_in_kg: f64,
    /// Share of it that is left.
    pub left_share: f64,
    /// Share of the carbon of all wood put in so far that is still in the wood; humus is not
    /// counted, since the ledger keeps no record of its source. None without wood.
    pub wood_share: Option<f64>,
    /// Carbon released since filling; kg.
    pub released_kg: f64,
    /// The same as carbon dioxide; kg.
    pub released_co2_kg: f64,
    /// Carbon left, layer by layer from the ground up. Migrated fines count where they lie.
    pub layers: Vec<CarbonLeft>,
}

/// Carbon left, by pool; kg.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CarbonLeft {
    /// In wood of any size; kg.
    pub wood_kg: f64,
    /// In leaves, grass, card, the mat of turf and the like; kg.
    pub soft_kg: f64,
    /// In soil and compost that came with the fill, the soil of turf included; kg.
    pub soil_kg: f64,
    /// In humus formed in the bed since filling; kg.
    pub humus_kg: f64,
    /// All of it; kg.
    pub all_kg: f64,
}

summed!(CarbonLeft: wood_kg, soft_kg, soil_kg, humus_kg, all_kg);
summed!(
    LedgerRow: put_in_kg, left_share, released_kg, released_co2_kg
    | month, date, left, wood_share, layers
);

impl Simulated {
    /// Adds another realisation of the same bed.
    fn plus(&mut self, other: &Self) {
        self.burnt.dry_kg += other.burnt.dry_kg;
        self.burnt.carbon_kg += other.burnt.carbon_kg;
        self.soft_wet_kg += other.soft_wet_kg;
        for (sum, row) in self.rows.iter_mut().zip(&other.rows) {
            sum.add(row);
            sum.left.add(&row.left);
            sum.wood_share = sum.wood_share.zip(row.wood_share).map(|(a, b)| a + b);
            for (sum, layer) in sum.layers.iter_mut().zip(&row.layers) {
                sum.add(layer);
            }
        }
    }

    /// The mean of so many added up.
    fn over(mut self, count: f64) -> Self {
        self.burnt.dry_kg /= count;
        self.burnt.carbon_kg /= count;
        self.soft_wet_kg /= count;
        for row in &mut self.rows {
            row.divide(count);
            row.left.divide(count);
            row.wood_share = row.wood_share.map(|share| share / count);
            for layer in &mut row.layers {
                layer.divide(count);
            }
        }
        self
    }
}

impl From<CarbonKinds> for CarbonLeft {
    fn from(kinds: CarbonKinds) -> Self {
        Self {
            wood_kg: kinds.wood_kg,
            soft_kg: kinds.soft_kg,
            soil_kg: kinds.soil_kg,
            humus_kg: kinds.humus_kg,
            all_kg: kinds.sum_kg(),
        }
    }
}

impl Run<'_> {
    /// The carbon of the bed year by year: left, by pool, and released.
    ///
    /// # Errors
    ///
    /// As [`run`](Self::run).
    ///
    /// ```
    /// let ledger = moulder::Bed::example().forecast().months(24).ensemble_size(0).ledger()?;
    /// assert!(ledger.rows[2].left.wood_kg < ledger.rows[0].left.wood_kg);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn ledger(self) -> Result<Ledger, Error> {
        let (months, ensemble) = (self.options.months, self.options.into());
        ledger_with_intervals(self.bed, months, ensemble, self.progress)
    }
}

/// The ledger of a bed over `months` months, nominal run.
///
/// The same simulation run as that of [`forecast`](crate::forecast::forecast). For uncertainty
/// see [`ledger_with_intervals`].
///
/// # Errors
///
/// Too many months, a mound without room for its layers, or [`Error::Stopped`].
pub fn ledger(bed: &Bed, months: u32, progress: &Progress<'_>) -> Result<Ledger, Error> {
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    let run = simulate(bed, Figures::nominal(), months, progress)?;
    ledger_of_rows(bed, run)
}

/// The ledger that those rows are.
fn ledger_of_rows(bed: &Bed, run: Simulated) -> Result<Ledger, Error> {
    let Simulated {
        burnt,
        soft_wet_kg,
        layers,
        rows,
    } = run;
    Ok(Ledger {
        engine: ENGINE,
        schema: SCHEMA_VERSION,
        name: bed.name.clone(),
        dangers: dangers(bed)?,
        filled: bed.filled,
        climate: bed.climate.name.clone(),
        units: bed.units,
        layers,
        burning: (burnt.carbon_kg > 0.0).then(|| Burning::of(burnt.dry_kg, burnt.carbon_kg)),
        screen: (soft_wet_kg > 0.0).then(|| GasScreen::of(soft_wet_kg)),
        rows,
        defaults: bed.defaults.clone(),
        intervals: None,
    })
}

/// Results of a run.
#[derive(Clone)]
struct Simulated {
    burnt: Wood,
    /// Non-woody material on the day of filling; kg.
    soft_wet_kg: f64,
    layers: Vec<String>,
    rows: Vec<LedgerRow>,
}

/// The wood on the day of filling; kg.
#[derive(Clone, Copy, Default)]
struct Wood {
    dry_kg: f64,
    carbon_kg: f64,
}

/// Simulates a bed with those parameters.
fn simulate(
    bed: &Bed,
    figures: &Figures,
    months: u32,
    progress: &Progress<'_>,
) -> Result<Simulated, Error> {
    let weather = over_a_bed(bed, days_to_month(bed.filled, months), figures);
    let put = arrivals(bed, figures)?.concat();
    let mut observer = LedgerObserver {
        bed,
        asked: months,
        filled: None,
        layers: bed.layers.iter().map(|layer| layer.name.clone()).collect(),
        rows: Vec::new(),
        progress,
    };
    trajectory::run(
        bed,
        weather,
        figures,
        months,
        figures.schedule(),
        &mut observer,
    )?;
    let LedgerObserver {
        layers, mut rows, ..
    } = observer;
    for row in &mut rows {
        // Later additions are not there yet.
        row.layers.resize(layers.len(), CarbonLeft::default());
    }
    let mut burnt = Wood::default();
    for wood in of_class(&put, Class::Wood) {
        burnt.dry_kg += wood.pieces_dry_kg;
        burnt.carbon_kg += wood.carbon_kg;
    }
    Ok(Simulated {
        burnt,
        soft_wet_kg: of_class(&put, Class::Plant)
            .map(Arrival::pieces_wet_kg)
            .sum(),
        layers,
        rows,
    })
}

/// Collects the rows of a ledger.
struct LedgerObserver<'a> {
    bed: &'a Bed,
    asked: u32,
    /// Carbon on the day of filling.
    filled: Option<CarbonKinds>,
    layers: Vec<String>,
    rows: Vec<LedgerRow>,
    progress: &'a Progress<'a>,
}

impl Observer for LedgerObserver<'_> {
    fn layer_added(&mut self, _on: Date, layer: &Layer, _added: &AddedLayer) {
        self.layers.push(layer.name.clone());
    }

    fn month_ended(&mut self, month_end: MonthEnd) -> Result<(), Error> {
        let month = month_end.month;
        let now = month_end.now.carbon_kinds();
        let filled = *self
            .filled
            .get_or_insert_with(|| now.less(&month_end.added_carbon));
        if month.is_multiple_of(ROW_MONTHS) || month == self.asked {
            self.rows.push(row(self.bed, &filled, &month_end));
        }
        if month > 0 && (self.progress)(month, self.asked).is_break() {
            return Err(Error::Stopped);
        }
        Ok(())
    }
}

fn row(bed: &Bed, filled: &CarbonKinds, month_end: &MonthEnd) -> LedgerRow {
    let (month, now) = (month_end.month, &month_end.now);
    let put = filled.plus(&month_end.added_carbon);
    let left = now.carbon_kinds();
    LedgerRow {
        month,
        date: month_day(bed.filled, month),
        left: left.into(),
        put_in_kg: put.sum_kg(),
        left_share: left.sum_kg() / put.sum_kg(),
        wood_share: (put.wood_kg > 0.0).then(|| left.wood_kg / put.wood_kg),
        released_kg: now.released_kg,
        released_co2_kg: co2_kg(now.released_kg),
        layers: now
            .layers
            .iter()
            .map(|layer| layer.carbon_kinds.into())
            .collect(),
    }
}

fn of_class<'a>(put: &'a [Arrival<'a>], class: Class) -> impl Iterator<Item = &'a Arrival<'a>> {
    put.iter()
        .filter(move |arrival| arrival.ingredient.material.class == class)
}

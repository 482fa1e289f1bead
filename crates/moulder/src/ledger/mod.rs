//! The carbon of a bed as a ledger: what is left, in what, and what was given off.

pub mod saving;

mod intervals;

use std::borrow::Cow;

use jiff::civil::Date;
use moulder_core::bed::carbon::CarbonKinds;
use schemars::JsonSchema;
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
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;

pub use intervals::{BurningIntervals, LedgerIntervals, LedgerRowIntervals, ledger_with_bands};

/// Version of the form in which a ledger is written as JSON.
pub const SCHEMA_VERSION: u32 = 2;

/// Months from one row to the next.
const ROW_MONTHS: u32 = 12;

/// The carbon of a bed year by year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct Ledger {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of this form.
    pub schema: u32,
    /// What the owner calls the bed.
    pub name: String,
    /// What may hurt someone or something, before all else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dangers: Vec<Notice>,
    /// Day zero, year-month-day.
    #[schemars(with = "String")]
    pub filled: Date,
    /// The climate it stands in.
    pub climate: String,
    /// The units the owner thinks in; figures here are SI whatever they are.
    pub units: Units,
    /// Names of the layers, from the ground up.
    pub layers: Vec<String>,
    /// What burning its wood on the day of filling would have given off. None without wood.
    pub burning: Option<Burning>,
    /// An upper screen for methane and nitrous oxide, which is no forecast. None without
    /// soft stuff.
    pub screen: Option<GasScreen>,
    /// Rows: day zero, each whole year after it, and the last month asked for.
    pub rows: Vec<LedgerRow>,
    /// What was assumed where the document is silent.
    pub defaults: Vec<DefaultUsed>,
    /// Where four in five draws lie; none for the middle line alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub intervals: Option<LedgerIntervals>,
}

/// The carbon of a bed on one day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct LedgerRow {
    /// Months since filling.
    pub month: u32,
    /// The day, year-month-day.
    #[schemars(with = "String")]
    pub date: Date,
    /// Carbon left in the whole bed, by what it lies in.
    pub left: CarbonLeft,
    /// Carbon put in so far, what was laid on later included; kg.
    pub put_in_kg: f64,
    /// Share of it that is left.
    pub left_share: f64,
    /// Share of the carbon of all wood put in so far that is still in the wood. Humus that came of
    /// it is not counted: the ledger keeps humus as one, whatever it was made of. None
    /// without wood.
    pub wood_share: Option<f64>,
    /// Carbon given off since filling; kg.
    pub released_kg: f64,
    /// The same as carbon dioxide; kg.
    pub released_co2_kg: f64,
    /// Carbon left, layer by layer from the ground up. What trickles into another layer is
    /// counted where it lies.
    pub layers: Vec<CarbonLeft>,
}

/// Carbon left, by what it lies in; kg.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct CarbonLeft {
    /// In wood of any size; kg.
    pub wood_kg: f64,
    /// In leaves, grass, card, the mat of turf and the like; kg.
    pub soft_kg: f64,
    /// In soil and compost that came with the fill, the soil of turf included; kg.
    pub soil_kg: f64,
    /// In humus made in the bed since filling; kg.
    pub humus_kg: f64,
    /// All of it; kg.
    pub all_kg: f64,
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
    /// The carbon of the bed year by year: what is left, in what, and what was given off.
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
        ledger_with_bands(self.bed, months, ensemble, self.progress)
    }
}

/// Keeps the ledger of a bed for `months` months.
///
/// The bed is marched month by month as [`forecast`](crate::forecast::forecast) does, so
/// that both tell of the same carbon. The figures are a middle line: [`ledger_with_bands`]
/// says how far off they may be.
///
/// # Errors
///
/// Too many months, a mound without room for its layers, or a progress that stops it.
pub fn ledger(bed: &Bed, months: u32, progress: &Progress<'_>) -> Result<Ledger, Error> {
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    let Simulated {
        burning,
        screen,
        layers,
        mut rows,
    } = simulate(bed, Figures::nominal(), months, progress)?;
    for row in &mut rows {
        // What is laid on later is not there yet.
        row.layers.resize(layers.len(), CarbonLeft::default());
    }
    Ok(Ledger {
        engine: ENGINE,
        schema: SCHEMA_VERSION,
        name: bed.name.clone(),
        dangers: dangers(bed)?,
        filled: bed.filled,
        climate: bed.climate.name.clone(),
        units: bed.units,
        layers,
        burning,
        screen,
        rows,
        defaults: bed.defaults.clone(),
        intervals: None,
    })
}

/// What is kept of a bed.
struct Simulated {
    burning: Option<Burning>,
    screen: Option<GasScreen>,
    layers: Vec<String>,
    rows: Vec<LedgerRow>,
}

/// Keeps the book of a bed with a draw's numbers.
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
    Ok(Simulated {
        burning: burning(&put),
        screen: screen(&put),
        layers: observer.layers,
        rows: observer.rows,
    })
}

/// The rows of a ledger as they come in.
struct LedgerObserver<'a> {
    bed: &'a Bed,
    asked: u32,
    /// What it was filled with.
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

/// Of the wood in the bed as it was filled.
fn burning(put: &[Arrival<'_>]) -> Option<Burning> {
    let (mut dry_kg, mut carbon_kg) = (0.0, 0.0);
    for wood in of_class(put, Class::Wood) {
        dry_kg += wood.pieces_dry_kg;
        carbon_kg += wood.carbon_kg;
    }
    (carbon_kg > 0.0).then(|| Burning::of(dry_kg, carbon_kg))
}

fn screen(put: &[Arrival<'_>]) -> Option<GasScreen> {
    let total_mass_kg: f64 = of_class(put, Class::Plant)
        .map(Arrival::pieces_wet_kg)
        .sum();
    (total_mass_kg > 0.0).then(|| GasScreen::of(total_mass_kg))
}

fn of_class<'a>(put: &'a [Arrival<'a>], class: Class) -> impl Iterator<Item = &'a Arrival<'a>> {
    put.iter()
        .filter(move |arrival| arrival.ingredient.material.class == class)
}

//! `moulder topup`: when to top beds up, with how much, and what to buy.

pub(crate) mod calendar;
mod nominal;
mod ranges;
mod shared;

use std::path::PathBuf;

use clap::Args;
use moulder::Date;
use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::quantity::amount::volume;
use moulder::internals::quantity::units::Units;
use moulder::internals::text::month::MONTHS;
use moulder::internals::topup::{Buying, TopUpTrigger, TopUps};
use moulder_bridge::recipe::topups::{PlannedBeds, Told, Wanted};
use moulder_words::topup::{
    allowance_in_words, hold_back_in_words, is_short_of, overfill_in_words, plural,
    policy_with_ways, refill_in_words, restored_in_words, saving_in_words, sum_in_words,
};
use moulder_words::topup_range::{
    draws_in_words, overfill_in_ranges, sum_in_ranges, years_in_words,
};

use crate::common::assumed;
use crate::common::bed_file::{BedArguments, read_all, told_first};
use crate::common::bed_paths::bed_paths;
use crate::common::clock::ClockArguments;
use crate::common::number::{self, SeedArguments, draws, height, realisations, within};
use crate::common::output::OutputArguments;
use crate::common::packs::OrderArguments;
use crate::print::lines::{apart, plain, title};
use crate::print::notices;
use crate::print::progress::Progress;
use crate::print::screen::pretty;
use crate::print::spreadsheet::{SheetArguments, SheetUnits};
use crate::trouble::Trouble;

#[derive(Debug, Args)]
pub(crate) struct TopupArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// More bed files; a folder stands for all bed files in it
    #[arg(value_name = "MORE")]
    pub(crate) more: Vec<PathBuf>,

    /// How many years to look ahead from today, at most 20; with --as-filled from filling
    #[arg(long, value_name = "N", default_value = "3", value_parser = topup_years)]
    pub(crate) years: u32,

    /// Top up in these months of each year, as in 3,10; the month before spring planting
    /// (March, or September in the south) if nothing is said
    #[arg(long = "in", value_name = "MONTHS", value_parser = month_list,
          conflicts_with_all = ["below", "soil"])]
    pub(crate) months: Option<MonthList>,

    /// Top up as soon as the soil lies this far below the rim, as in "5 cm"
    #[arg(long, value_name = "HEIGHT", value_parser = height, conflicts_with = "soil")]
    pub(crate) below: Option<f64>,

    /// Top up as soon as the growing soil is thinner than this, as in "15 cm"
    #[arg(long, value_name = "HEIGHT", value_parser = height)]
    pub(crate) soil: Option<f64>,

    #[command(flatten)]
    pub(crate) order: OrderArguments,

    /// The days of the year on which it is delivered, and no others, as in "15 Mar, 1 Oct"
    #[arg(long, value_name = "DAYS", value_parser = day_list, conflicts_with = "each")]
    pub(crate) deliver_on: Option<DayList>,

    /// The most that there is room for at once, as in "3 m3"; what does not fit comes again
    #[arg(long, value_name = "VOLUME", value_parser = number::volume, conflicts_with = "each")]
    pub(crate) room: Option<f64>,

    /// Let each bed buy for itself, with a budget each; else several beds share each order
    #[arg(long)]
    pub(crate) each: bool,

    /// Also say how high to heap the bed at the start to be level after N months
    #[arg(long, value_name = "N", value_parser = overfill_months)]
    pub(crate) overfill: Option<u32>,

    /// How many beds like it the ranges are reckoned from; 0 for one run with the best
    /// figures, no range, which is quick. Where
    /// the bed file holds readings, up to 25 times as many are weighed by them, which takes 4
    /// at least
    #[arg(long, value_name = "N", default_value = "64", value_parser = draws)]
    pub(crate) draws: u32,

    #[command(flatten)]
    pub(crate) seed: SeedArguments,

    #[command(flatten)]
    pub(crate) clock: ClockArguments,

    /// Write all of it as JSON, for programs: a bed each, in metres and kilograms
    #[arg(long, conflicts_with = "csv")]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) sheet: SheetArguments,

    /// Write when to measure, to order and to top up to this file instead, as a calendar (.ics) for
    /// your phone or computer
    #[arg(long, value_name = "FILE", group = "written", conflicts_with_all = ["json", "csv"])]
    pub(crate) calendar: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// Months of the year, 1 to 12.
#[derive(Debug, Clone)]
pub(crate) struct MonthList(pub(crate) Vec<u8>);

/// Months by number, comma between.
fn month_list(text: &str) -> Result<MonthList, String> {
    let months: Option<Vec<u8>> = text
        .split(',')
        .map(|month| {
            let month: u8 = month.trim().parse().ok()?;
            (1..=12).contains(&month).then_some(month)
        })
        .collect();
    let mut months = months.ok_or_else(|| {
        "write months as numbers from 1 to 12 with commas between, as in 3,10".to_owned()
    })?;
    months.sort_unstable();
    months.dedup();
    Ok(MonthList(months))
}

/// Days of the year, month first.
#[derive(Debug, Clone)]
pub(crate) struct DayList(pub(crate) Vec<(i8, i8)>);

/// Days with the names of their months, comma between.
fn day_list(text: &str) -> Result<DayList, String> {
    let said = || {
        "write days with the names of their months and commas between, as in \"15 Mar, 1 Oct\""
            .to_owned()
    };
    let each = text.split(',').map(|day| {
        let (number, month) = day.trim().split_once(' ')?;
        let month = month.trim().to_lowercase();
        let at = MONTHS.iter().position(|name| {
            let name = name.to_lowercase();
            month.len() >= 3 && name.starts_with(&month)
        })?;
        let month = i8::try_from(at + 1).ok()?;
        let day: i8 = number.parse().ok()?;
        // A leap year has every day.
        Date::new(2024, month, day).ok()?;
        Some((month, day))
    });
    let days: Option<Vec<(i8, i8)>> = each.collect();
    let mut days = days.ok_or_else(said)?;
    days.sort_unstable();
    days.dedup();
    Ok(DayList(days))
}

fn topup_years(text: &str) -> Result<u32, String> {
    within(text, 1, 20)
}

fn overfill_months(text: &str) -> Result<u32, String> {
    within(text, 1, 60)
}

/// Shown with a nominal run, which has no interval.
const NO_BAND: &str = "One run with the best figures, no range: take them as the middle of a \
                       wide one, and order again by the tape.";

/// What holds a top-up back.
const HELD_BACK: &str = "more was wanted than the budget, --at-most or the largest load allowed.";

/// The answer to what was asked.
pub(crate) fn answer(asked: &TopupArguments) -> Result<String, Trouble> {
    let (beds, files) = read_all(&asked.bed, &bed_paths(&asked.bed, &asked.more)?)?;
    let material = asked.order.packs.material(&asked.bed.shelf)?;
    let buying = buying(asked)?;
    let chooses = buying.ways.len() > 1 || asked.deliver_on.is_some() || asked.room.is_some();
    let are_several = beds.len() > 1 || beds.iter().any(|bed| bed.count() > 1);
    let shares = chooses || !asked.each && are_several;
    let first = files.first().map_or("", |file| file.name.as_str());
    let refused = |error: Error| Trouble::of_error(first, &error);
    let draws = realisations(asked.draws, asked.seed.seed);
    let wanted = Wanted {
        trigger: asked.trigger(),
        package: asked.order.package(),
        most_m: asked.order.at_most,
        years: asked.years,
        today: (!asked.bed.as_filled).then(|| asked.clock.today()),
        shares,
        overfill_months: asked.overfill,
        draws,
        material,
        buying,
    };
    let progress = Progress::of(asked.output.look);
    let PlannedBeds {
        days,
        rules,
        beds: planned,
        orders,
        buying,
    } = wanted.plan(&beds, &progress.watch()).map_err(refused)?;
    let dangers = planned.iter().map(|planned| planned.topups.dangers.clone());
    let danger = told_first(&beds, &dangers.collect::<Vec<_>>());
    if asked.sheet.csv || asked.calendar.is_some() {
        notices::aside(&danger);
    }
    if asked.calendar.is_some() {
        let plans: Vec<TopUps> = planned.into_iter().map(|planned| planned.topups).collect();
        let shared = orders.as_deref().map(|orders| (orders, &buying));
        let beds: Vec<(&Bed, Date)> = beds.iter().zip(days).collect();
        return calendar::written(
            &beds,
            &plans,
            &wanted.material,
            shared,
            draws,
            &progress.watch(),
        )
        .map_err(refused);
    }
    let mut told = Vec::new();
    for (((bed, rule), file), planned) in beds.iter().zip(&rules).zip(&files).zip(planned) {
        let of_bed = wanted.told(bed, rule, planned, &progress.watch());
        told.push((
            bed,
            of_bed.map_err(|error| Trouble::of_error(&file.name, &error))?,
        ));
    }
    if asked.json {
        let all: Vec<&Told> = told.iter().map(|(_, told)| told).collect();
        return Ok(match all.as_slice() {
            [only] => pretty(only),
            all => pretty(&all),
        });
    }
    if asked.sheet.csv {
        let all: Vec<&TopUps> = told.iter().map(|(_, told)| &told.topups).collect();
        if let Some(orders) = &orders {
            return Ok(shared::csv(&all, orders, &buying, asked.sheet));
        }
        return Ok(if asked.draws > 0 {
            ranges::csv(&all, asked.sheet)
        } else {
            nominal::csv(&all, asked.sheet)
        });
    }
    let mut said = danger;
    for (index, (bed, told)) in told.iter().enumerate() {
        if index > 0 {
            said.push('\n');
        }
        said += &in_words(asked, bed, told, (shares, &buying));
    }
    if let Some(orders) = &orders {
        let all: Vec<&TopUps> = told.iter().map(|(_, told)| &told.topups).collect();
        said += &shared::orders(asked, &all, orders, &buying);
    } else if told.len() > 1 || told.iter().any(|(_, told)| told.topups.beds > 1) {
        let all: Vec<&TopUps> = told.iter().map(|(_, told)| &told.topups).collect();
        let ranges = ranges::totals(asked, &all);
        said.push_str(&ranges.unwrap_or_else(|| nominal::totals(asked, &told)));
    }
    said.push('\n');
    let sure = told
        .first()
        .and_then(|(_, told)| draws_in_words(&told.topups));
    said += &plain(sure.as_deref().unwrap_or(NO_BAND));
    if let [(bed, _)] = told.as_slice() {
        said += &assumed::in_short(bed);
    }
    Ok(said)
}

/// How it is bought.
fn buying(asked: &TopupArguments) -> Result<Buying, Trouble> {
    let mut buying = asked.order.buying()?;
    if asked.each && buying.ways.len() > 1 {
        let said = "Beds that buy each for itself buy in one way. Leave out --each, or say \
                    --sold-in once.";
        return Err(Trouble::bad_option("--each", said.to_owned()));
    }
    for way in &mut buying.ways {
        if let Some(room_m3) = asked.room {
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "volumes of 1 L to 100 m3"
            )]
            let fits = (room_m3 / way.volume_m3 + 1e-9) as u32;
            if fits < way.least {
                let said = format!(
                    "There is no room for {} {} of {}. Make more room, or leave that way to buy out.",
                    way.least,
                    plural(&way.name, way.least),
                    volume(way.volume_m3, Units::Metric)
                );
                return Err(Trouble::bad_option("--room", said));
            }
            way.most = Some(way.most.map_or(fits, |most| most.min(fits)));
        }
    }
    let days = asked.deliver_on.iter().flat_map(|days| days.0.clone());
    buying.deliver_on = days.collect();
    Ok(buying)
}

impl TopupArguments {
    /// When to top up, where that was asked for.
    fn trigger(&self) -> Option<TopUpTrigger> {
        match (self.below, self.soil, &self.months) {
            (Some(below_m), _, _) => Some(TopUpTrigger::BelowRimM(below_m)),
            (_, Some(soil_m), _) => Some(TopUpTrigger::SoilDepthM(soil_m)),
            (_, _, Some(months)) => Some(TopUpTrigger::Months(months.0.clone())),
            _ => None,
        }
    }
}

/// One bed, for people.
fn in_words(
    asked: &TopupArguments,
    bed: &Bed,
    told: &Told,
    (shares, buying): (bool, &Buying),
) -> String {
    let topups = &told.topups;
    let units = topups.units;
    let mut said = title(&topups.name, topups.filled, &bed.climate().name);
    said += &plain(&policy_with_ways(topups, &buying.ways));
    said.push('\n');
    let sum = sum_in_ranges(topups, shares).unwrap_or_else(|| sum_in_words(topups, shares));
    said += &plain(&sum);
    if let Some(bands) = &topups.intervals {
        said += &ranges::list(asked, topups, bands, shares);
    } else if !topups.top_ups.is_empty() {
        said.push('\n');
        said += &nominal::list(asked, topups, shares);
        if topups.top_ups.iter().any(|topup| topup.is_held_back) {
            said += &plain(&format!("* held back: {HELD_BACK}"));
        }
    }
    let months = topups.months;
    let heap = told
        .overfill
        .as_ref()
        .map(|overfill| match &told.overfill_intervals {
            Some(bands) => overfill_in_ranges(overfill, bands, units),
            None => overfill_in_words(overfill, units),
        });
    let paragraphs = [
        years_in_words(topups).filter(|_| !shares),
        hold_back_in_words(topups),
        restored_in_words(topups).filter(|_| !(shares && is_short_of(topups))),
        refill_in_words(topups),
        heap,
        asked
            .overfill
            .filter(|_| told.overfill.is_none())
            .map(|_| "It needs no heaping: it is not below a rim by then.".to_owned()),
        Some(allowance_in_words(&told.allowance, months, units)),
        (told.saving.kept_m3 > 0.0).then(|| saving_in_words(&told.saving, months, units)),
    ];
    for paragraph in paragraphs.into_iter().flatten() {
        said += &apart(&paragraph);
    }
    said
}

/// The units of a spreadsheet of beds: those of the first, which is told where others have others.
fn sheet_units(all: &[&TopUps], asked: SheetArguments) -> SheetUnits {
    let units = all.first().map_or(Units::Metric, |topups| topups.units);
    if !asked.si && all.iter().any(|topups| topups.units != units) {
        notices::aside(&plain(
            "The beds have different units: the table is in those of the first. --units chooses \
             others, --si metres and kilograms.",
        ));
    }
    asked.units(units)
}

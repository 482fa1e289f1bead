//! `moulder topup`: when to top beds up, with how much, and what to buy.

mod ranges;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use moulder::internals::bed::Bed;
use moulder::internals::bed::EditBed as _;
use moulder::internals::fault::FaultCode;
use moulder::internals::forecast::forecast as forecast_of;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::ledger::ledger as ledger_of;
use moulder::internals::ledger::saving::{Saving, saving};
use moulder::internals::library::material::Material;
use moulder::internals::quantity::amount::{
    volume, volume_figure, volume_unit, weight_figure, weight_unit,
};
use moulder::internals::quantity::height::{figure, unit};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::overfill::{
    Allowance, Overfill, OverfillIntervals, allowance, overfill, overfill_intervals,
};
use moulder::internals::topup::{
    Package, TopUpRule, TopUpTrigger, TopUps, months_measured, top_ups_of_all,
};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_words::topup::{
    allowance_in_words, money, overfill_in_words, plural, policy_in_words, refill_in_words,
    restored_in_words, saving_in_words, sum_in_words,
};
use moulder_words::topup_range::{
    draws_in_words, overfill_in_ranges, sum_in_ranges, years_in_words,
};
use serde::Serialize;

use crate::arguments::TopupArguments;
use crate::bed_file::read_all;
use crate::lines::{TextWidth, wrapped};
use crate::output::{file_name, pretty};
use crate::progress::Progress;
use crate::refusal::Refusal;
use crate::spreadsheet::{self, Cell, places};
use crate::table::{Column, Stand, table};
use crate::trouble::Trouble;
use crate::{assumed, forecast, notices};

/// Most beds at once.
const MOST_BEDS: usize = 500;
/// Months in a year.
const YEAR: u32 = 12;
/// What to say of a middle line that has no band.
const NO_BAND: &str = "No band: take these figures as the middle of a wide range, and order \
                       again by the tape.";

/// All that is told of a bed.
#[derive(Serialize)]
struct Told {
    #[serde(flatten)]
    topups: TopUps,
    overfill: Option<Overfill>,
    #[serde(skip_serializing_if = "Option::is_none")]
    overfill_intervals: Option<OverfillIntervals>,
    allowance: Allowance,
    saving: Saving,
}

impl TopupArguments {
    /// The files that are read, as they were typed.
    pub(crate) fn paths(&self) -> Vec<&Path> {
        let more = self.more.iter().map(AsRef::as_ref);
        self.bed.paths().into_iter().chain(more).collect()
    }
}

/// The answer to what was asked.
pub(crate) fn answer(asked: &TopupArguments) -> Result<String, Trouble> {
    let read = read_all(&asked.bed, bed_paths(asked)?)?;
    let read = read.into_iter().map(|(bed, file)| (bed, file.name));
    let (beds, names): (Vec<Bed>, Vec<String>) = read.unzip();
    let material = asked.packs.material(&asked.bed.shelf)?;
    let rules: Vec<TopUpRule> = beds.iter().map(|bed| rule(asked, bed, &material)).collect();
    let first = names.first().map_or("", String::as_str);
    let danger = notices::first_of(beds.iter().zip(names.iter().map(String::as_str)))?;
    if asked.csv {
        notices::aside(&danger);
    }
    let progress = Progress::of(asked.look);
    let planned = top_ups_of_all(&beds, &rules, draws(asked), &progress.watch())
        .map_err(|error| forecast::refused(first, error))?;
    let mut told = Vec::new();
    for (((bed, rule), name), topups) in beds.iter().zip(&rules).zip(&names).zip(planned) {
        told.push((bed, of_bed(asked, bed, rule, topups, name)?));
    }
    if asked.json {
        let all: Vec<&Told> = told.iter().map(|(_, told)| told).collect();
        return Ok(match all.as_slice() {
            [only] => pretty(only),
            all => pretty(&all),
        });
    }
    if asked.csv {
        return if asked.draws > 0 {
            ranges::csv(told.iter().map(|(_, told)| &told.topups))
        } else {
            csv(&told)
        };
    }
    let mut said = danger;
    for (index, (bed, told)) in told.iter().enumerate() {
        if index > 0 {
            said.push('\n');
        }
        said.push_str(&in_words(asked, bed, told));
    }
    if told.len() > 1 || told.iter().any(|(_, told)| told.topups.beds > 1) {
        let ranges = told
            .first()
            .and_then(|(_, told)| ranges::totals(asked, &told.topups));
        said.push_str(&ranges.unwrap_or_else(|| totals(asked, &told)));
    }
    said.push('\n');
    let sure = told
        .first()
        .and_then(|(_, told)| draws_in_words(&told.topups));
    said.push_str(&wrapped(
        sure.as_deref().unwrap_or(NO_BAND),
        TextWidth::PLAIN,
    ));
    if let [(bed, _)] = told.as_slice() {
        said.push_str(&assumed::in_short(bed));
    }
    Ok(said)
}

/// Every bed file that was asked for, those of folders by name.
fn bed_paths(asked: &TopupArguments) -> Result<Vec<PathBuf>, Trouble> {
    let mut paths = Vec::new();
    for path in std::iter::once(&asked.bed.bed).chain(&asked.more) {
        if !path.is_dir() {
            paths.push(path.clone());
            continue;
        }
        let shown = file_name(path);
        let unread = |error: std::io::Error| {
            let said = format!("The folder {shown} cannot be read: {error}.");
            Trouble::cannot(Refusal::new(FaultCode::Unreadable, said).file(&shown))
        };
        let mut found = Vec::new();
        for entry in fs::read_dir(path).map_err(unread)? {
            let file = entry.map_err(unread)?.path();
            let ending = file.extension().map(|e| e.to_string_lossy().to_lowercase());
            if matches!(ending.as_deref(), Some("toml" | "json")) {
                found.push(file);
            }
        }
        if found.is_empty() {
            let said = format!("There is no bed file (.toml or .json) in the folder {shown}.");
            let refusal = Refusal::new(FaultCode::TooFew, said).file(&shown);
            return Err(Trouble::bad_input(refusal.option("<BED>")));
        }
        found.sort();
        are_plain(&found)?;
        paths.extend(found);
    }
    if paths.len() > MOST_BEDS {
        let said = format!(
            "{} bed files are more than the {MOST_BEDS} that are planned at once.",
            paths.len()
        );
        let refusal = Refusal::new(FaultCode::TooMany, said).option("<BED>");
        return Err(Trouble::bad_input(refusal));
    }
    Ok(paths)
}

/// Refuses what cannot be read as a file is: nobody asked for it by its name, and a pipe
/// without a writer would be waited for without end.
fn are_plain(found: &[PathBuf]) -> Result<(), Trouble> {
    let other = found
        .iter()
        .find(|path| fs::metadata(path).is_ok_and(|there| !there.is_file()));
    other.map_or(Ok(()), |other| {
        let name = file_name(other);
        let said = format!(
            "{name} cannot be read: it is no plain file. Of a folder only plain files are read: \
             move it out, or give it another ending."
        );
        Err(Trouble::cannot(
            Refusal::new(FaultCode::Unreadable, said).file(&name),
        ))
    })
}

/// The draws that were asked for.
fn draws(asked: &TopupArguments) -> Realisations {
    Realisations {
        ensemble_size: asked.draws,
        seed: asked.seed,
        ..Realisations::default()
    }
}

/// What is wished for a bed.
fn rule(asked: &TopupArguments, bed: &Bed, material: &Material) -> TopUpRule {
    let policy = match (asked.below, asked.soil, &asked.months) {
        (Some(below_m), _, _) => TopUpTrigger::BelowRimM(below_m),
        (_, Some(soil_m), _) => TopUpTrigger::SoilDepthM(soil_m),
        (_, _, Some(months)) => TopUpTrigger::Months(months.0.clone()),
        _ => TopUpTrigger::before_spring(bed.climate().latitude_deg),
    };
    TopUpRule {
        trigger: policy,
        material: material.clone(),
        package: Package {
            delivery: asked.delivery.unwrap_or(0.0),
            lead_days: asked.lead_days,
            ..asked.packs.sold()
        },
        most_m: asked.at_most,
        yearly_budget: asked.budget,
        // From now on: a bed was last seen when it was measured.
        months: (months_measured(bed) + asked.years * YEAR).min(MONTHS_LIMIT),
    }
}

fn of_bed(
    asked: &TopupArguments,
    bed: &Bed,
    rule: &TopUpRule,
    topups: TopUps,
    name: &str,
) -> Result<Told, Trouble> {
    let months = rule.months;
    let refused = |error| forecast::refused(name, error);
    let mut untouched = bed.clone();
    untouched.edit().additions.clear();
    let as_filled = forecast_of(&untouched, months, &unwatched).map_err(refused)?;
    let ledger = ledger_of(bed, months, &unwatched).map_err(refused)?;
    let overfill = match asked.overfill {
        Some(months) => overfill(bed, &rule.material, months).map_err(refused)?,
        None => None,
    };
    let overfill_intervals = match &overfill {
        Some(middle) => {
            let progress = Progress::of(asked.look);
            overfill_intervals(bed, &rule.material, middle, draws(asked), &progress.watch())
                .map_err(refused)?
        }
        None => None,
    };
    Ok(Told {
        overfill,
        overfill_intervals,
        allowance: allowance(bed, &as_filled),
        saving: saving(bed, &as_filled, &ledger, &topups)
            .map_err(|no_room| refused(no_room.into()))?,
        topups,
    })
}

/// One bed, for people.
fn in_words(asked: &TopupArguments, bed: &Bed, told: &Told) -> String {
    let topups = &told.topups;
    let units = topups.units;
    let mut said = wrapped(
        &format!(
            "{}, filled {}, {}",
            topups.name,
            topups.filled,
            bed.climate().name
        ),
        TextWidth::PLAIN,
    );
    said.push_str(&wrapped(&policy_in_words(topups), TextWidth::PLAIN));
    said.push('\n');
    let sum = sum_in_ranges(topups).unwrap_or_else(|| sum_in_words(topups));
    said.push_str(&wrapped(&sum, TextWidth::PLAIN));
    if let Some(bands) = &topups.intervals {
        said.push_str(&ranges::list(asked, topups, bands));
    } else if !topups.top_ups.is_empty() {
        said.push('\n');
        said.push_str(&list(asked, topups));
        if topups.top_ups.iter().any(|topup| topup.is_held_back) {
            said.push_str(&wrapped(
                "* held back: more was wanted than the budget or --at-most allowed.",
                TextWidth::PLAIN,
            ));
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
        years_in_words(topups),
        restored_in_words(topups),
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
        said.push('\n');
        said.push_str(&wrapped(&paragraph, TextWidth::PLAIN));
    }
    said
}

/// The shopping list of one bed.
fn list(asked: &TopupArguments, topups: &TopUps) -> String {
    let units = topups.units;
    let has_lead = topups.package.lead_days > 0;
    let has_price = topups.package.price.is_some();
    let mut columns = vec![Column::new("date", Stand::Left)];
    if has_lead {
        columns.push(Column::new("order by", Stand::Left));
    }
    columns.extend([
        Column::new(format!("below\n{}", unit(units)), Stand::Right),
        Column::new(format!("after\n{}", unit(units)), Stand::Right),
        Column::new(format!("lay on\n{}", volume_unit(units)), Stand::Right),
        Column::new(format!("weight\n{}", weight_unit(units)), Stand::Right),
        Column::new(
            format!("buy\n{}", plural(&topups.package.name, 2)),
            Stand::Right,
        ),
        Column::new(format!("left over\n{}", volume_unit(units)), Stand::Right),
    ]);
    if has_price {
        columns.push(Column::new("cost", Stand::Right));
    }
    let rows = topups
        .top_ups
        .iter()
        .map(|topup| {
            let mark = if topup.is_held_back { "*" } else { "" };
            let mut cells = vec![format!("{}{mark}", topup.date)];
            if has_lead {
                cells.push(
                    topup
                        .order_by
                        .map_or_else(|| "-".to_owned(), |on| on.to_string()),
                );
            }
            cells.extend([
                figure(topup.below_before_m, units),
                figure(topup.below_after_m, units),
                volume_figure(topup.laid_m3, units),
                weight_figure(topup.laid_kg, units),
                topup.bought.to_string(),
                volume_figure(topup.left_over_m3, units),
            ]);
            if has_price {
                cells.push(topup.cost.map_or_else(|| "-".to_owned(), money));
            }
            cells
        })
        .collect();
    table(&columns, rows, asked.look)
}

/// What all beds come to, by month of order and material.
fn totals(asked: &TopupArguments, told: &[(&Bed, Told)]) -> String {
    #[derive(Default)]
    struct Total {
        orders: u32,
        bought: u64,
        laid_m3: f64,
        cost: Option<f64>,
    }
    let mut by_order: BTreeMap<(String, String), Total> = BTreeMap::new();
    for (_, told) in told {
        let topups = &told.topups;
        for topup in topups.top_ups.iter().filter(|topup| topup.bought > 0) {
            let day = topup.order_by.unwrap_or(topup.date);
            let month = format!("{:04}-{:02}", day.year(), day.month());
            let total = by_order
                .entry((month, topups.material.clone()))
                .or_default();
            total.orders += topups.beds;
            total.bought += u64::from(topup.bought) * u64::from(topups.beds);
            total.laid_m3 += topup.laid_m3 * f64::from(topups.beds);
            if let Some(cost) = topup.cost {
                *total.cost.get_or_insert(0.0) += cost * f64::from(topups.beds);
            }
        }
    }
    let units = told
        .first()
        .map_or(Units::Metric, |(_, told)| told.topups.units);
    let beds: u32 = told.iter().map(|(_, told)| told.topups.beds).sum();
    let mut columns = vec![
        Column::new("order in", Stand::Left),
        Column::new("material", Stand::Left),
        Column::new("orders", Stand::Right),
        Column::new(plural(asked.packs.called(), 2), Stand::Right),
        Column::new("lay on", Stand::Right),
    ];
    if asked.packs.price.is_some() {
        columns.push(Column::new("cost", Stand::Right));
    }
    let rows = by_order
        .iter()
        .map(|((month, material), total)| {
            let mut cells = vec![
                month.clone(),
                material.clone(),
                total.orders.to_string(),
                total.bought.to_string(),
                volume(total.laid_m3, units),
            ];
            if asked.packs.price.is_some() {
                cells.push(total.cost.map_or_else(|| "-".to_owned(), money));
            }
            cells
        })
        .collect();
    format!(
        "\nAll {beds} beds together, each buying for itself\n{}",
        table(&columns, rows, asked.look)
    )
}

/// The lists of all beds for a spreadsheet.
fn csv(told: &[(&Bed, Told)]) -> Result<String, Trouble> {
    let heading = [
        "bed",
        "beds",
        "date",
        "order_by",
        "material",
        "below_before_m",
        "below_after_m",
        "laid_m3",
        "laid_kg",
        "sold_in",
        "bought",
        "bought_for_all_beds",
        "left_over_m3",
        "cost",
        "cost_of_all_beds",
        "held_back",
    ]
    .map(str::to_owned);
    let rows = told.iter().flat_map(|(_, told)| {
        let topups = &told.topups;
        topups.top_ups.iter().map(move |topup| {
            let beds = f64::from(topups.beds);
            let cost = |times: f64| {
                topup
                    .cost
                    .map_or(Cell::EMPTY, |cost| Cell::Number(money(cost * times)))
            };
            vec![
                Cell::text(&topups.name),
                Cell::whole(topups.beds),
                Cell::date(topup.date),
                topup.order_by.map_or(Cell::EMPTY, Cell::date),
                Cell::text(&topups.material),
                places(topup.below_before_m),
                places(topup.below_after_m),
                places(topup.laid_m3),
                places(topup.laid_kg),
                Cell::text(&topups.package.name),
                Cell::whole(topup.bought),
                Cell::whole(u64::from(topup.bought) * u64::from(topups.beds)),
                places(topup.left_over_m3),
                cost(1.0),
                cost(beds),
                Cell::text(if topup.is_held_back { "yes" } else { "no" }),
            ]
        })
    });
    spreadsheet::csv(&heading, rows)
}

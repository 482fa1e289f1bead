//! `moulder compare`: designs side by side.

use std::iter;
use std::path::PathBuf;

use clap::Args;
use moulder::internals::bed::Bed;
use moulder::internals::compare::{
    Compared, ComparedTopUps, Comparison, compare_with_top_ups, height_differences,
};
use moulder::internals::fit::current::current_forecast;
use moulder::internals::forecast::day::days;
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{
    volume_figure, volume_unit, weight_figure_to_a_tenth, weight_unit,
};
use moulder::internals::quantity::height::{figure, spelt, unit};
use moulder::internals::quantity::unit::unit as unit_of;
use moulder::internals::quantity::units::Units;
use moulder::internals::text::rounding::rounded;
use moulder::internals::topup::{TopUpRule, TopUpTrigger};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_page::comparison::{Contents, DESIGNS_LIMIT, Design, page};
use moulder_words::comparison::{against_the_first, draws_in_words, topped_up_in_words};
use moulder_words::topup::{money, plural};

use crate::common::bed_file::{BedArguments, dangers, read_all};
use crate::common::number::{SeedArguments, months, realisations, some_draws};
use crate::common::output::OutputArguments;
use crate::common::packs::PackArguments;
use crate::common::text_file::TextFile;
use crate::print::lines::{hanging, plain};
use crate::print::progress::Progress;
use crate::print::screen::pretty;
use crate::print::table::Table;
use crate::trouble::Trouble;

#[derive(Debug, Args)]
pub(crate) struct CompareArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// The beds to compare it with
    #[arg(value_name = "OTHER", required = true)]
    pub(crate) others: Vec<PathBuf>,

    /// How many months after filling they are compared
    #[arg(long, value_name = "N", default_value = "60", value_parser = months)]
    pub(crate) months: u32,

    /// How many times each bed is run, with other weather, fill and rates, for the ranges
    #[arg(long, value_name = "N", default_value = "32", value_parser = some_draws)]
    pub(crate) draws: u32,

    #[command(flatten)]
    pub(crate) seed: SeedArguments,

    #[command(flatten)]
    pub(crate) packs: PackArguments,

    /// Write all of it as JSON, for programs: in metres and kilograms
    #[arg(long, conflicts_with = "page")]
    pub(crate) json: bool,

    /// Write one page to keep or print, with charts, cautions and sources, as moulder report
    /// does of one bed: an HTML file that fetches nothing; at most four beds
    #[arg(long)]
    pub(crate) page: bool,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// The answer to what was asked.
pub(crate) fn answer(asked: &CompareArguments) -> Result<String, Trouble> {
    let paths = iter::once(&asked.bed.bed).chain(&asked.others);
    let (beds, files) = read_all(&asked.bed, paths)?;
    let first = files.first().map_or("", |file| file.name.as_str());
    let draws = realisations(asked.draws, asked.seed.seed);
    if asked.page && beds.len() > DESIGNS_LIMIT {
        let said = format!(
            "A page sets at most {DESIGNS_LIMIT} beds side by side, and {} were asked for. Leave \
             some out.",
            beds.len()
        );
        return Err(Trouble::bad_option("--page", said));
    }
    // The default of `moulder topup`: in the month before spring.
    asked.packs.only_one()?;
    let material = asked.packs.material(&asked.bed.shelf)?;
    let rules = beds.iter().map(|bed| {
        let trigger = TopUpTrigger::before_spring(bed.climate().latitude_deg);
        asked.packs.rule(&material, trigger, asked.months)
    });
    let rules: Vec<TopUpRule> = rules.collect();
    let danger = dangers(&beds, &files, false)?;
    let progress = Progress::of(asked.output.look);
    let comparison = compare_with_top_ups(&beds, asked.months, &rules, draws, &progress.watch())
        .map_err(|error| Trouble::of_error(first, &error))?;
    if asked.json {
        return Ok(pretty(&comparison));
    }
    if asked.page {
        return page_of(&comparison, &beds, &files, draws, &progress);
    }
    Ok(danger + &in_words(asked, &comparison))
}

/// The answer as one page.
fn page_of(
    comparison: &Comparison,
    beds: &[Bed],
    files: &[TextFile],
    draws: Realisations,
    progress: &Progress,
) -> Result<String, Trouble> {
    let months = comparison.months;
    let mut told = Vec::new();
    for (bed, file) in beds.iter().zip(files) {
        let refused = |error| Trouble::of_error(&file.name, &error);
        let forecast = current_forecast(bed, months, draws, &progress.watch()).map_err(refused)?;
        told.push((forecast, days(bed).map_err(refused)?));
    }
    let first = files.first().map_or("", |file| file.name.as_str());
    let height_differences = height_differences(beds, &draws.for_months(months), &progress.watch())
        .map_err(|error| Trouble::of_error(first, &error))?;
    let designs: Vec<Design<'_>> = beds
        .iter()
        .zip(files)
        .zip(&told)
        .map(|((bed, file), (forecast, days))| Design {
            bed,
            forecast,
            days,
            file_text: &file.text,
        })
        .collect();
    Ok(page(&Contents {
        designs: &designs,
        comparison,
        height_differences: &height_differences,
    }))
}

fn in_words(asked: &CompareArguments, comparison: &Comparison) -> String {
    let units = comparison.units;
    let mut said = String::new();
    for design in &comparison.designs {
        if let Some(told) = against_the_first(comparison, design) {
            said += &plain(&told);
        }
    }
    said += &plain(&draws_in_words(comparison));
    said.push('\n');
    let heading = format!(
        "Sunk, in {}, and carbon left, in {}, {} months after filling; months of the first \
         year in which a crop is short of nitrogen.",
        spelt(units),
        weight_unit(units),
        comparison.months
    );
    said += &plain(&heading);
    for (number, design) in (1..).zip(&comparison.designs) {
        let line = format!(
            "{number}. {}, {} {} high at first",
            design.name,
            figure(design.height_m, units),
            unit(units)
        );
        said += &hanging(2, 5, &line);
    }
    said.push('\n');
    let heights = |band: &Interval| points(band).map(|m| figure(m, units));
    let weights = |band: &Interval| points(band).map(|kg| weight_figure_to_a_tenth(kg, units));
    let rows = compared(comparison);
    let mut table = Table::of(&rows);
    table
        .left("design", |(name, _)| name.clone())
        .interval("sunk", |row| {
            told_interval(row, &rows, |is| heights(&is.settlement_m))
        })
        .interval("carbon", |row| {
            told_interval(row, &rows, |is| weights(&is.carbon_kg))
        })
        .right("months\nshort", |row| {
            told(row, &rows, |is| format!("{:.0}", is.short_months.mean))
        });
    said += &table.drawn(asked.output.look);
    said += &topups(asked, comparison);
    said
}

/// Each design by its number, and what it has less than the first.
fn compared(comparison: &Comparison) -> Vec<(String, &Compared)> {
    let designs = (1..).zip(&comparison.designs);
    designs
        .flat_map(|(number, design)| {
            let less = design.less_the_first.iter();
            let less = less.map(move |less| (format!("{number} less 1"), less));
            iter::once((number.to_string(), &design.is)).chain(less)
        })
        .collect()
}

/// What a cell tells of a row. Of a difference it is that of the figures told, so that the table
/// adds up.
fn told<T>(row: &(String, T), rows: &[(String, T)], cell: impl Fn(&T) -> String) -> String {
    let (name, is) = row;
    let text = cell(is);
    let figure = |name: &str| -> Option<f64> {
        let (_, is) = rows.iter().find(|(of, _)| of == name)?;
        cell(is).parse().ok()
    };
    let places = text.split_once('.').map_or(0, |(_, places)| places.len());
    let both = name.split_once(" less ");
    let both = both.and_then(|(one, other)| figure(one).zip(figure(other)));
    both.map_or(text, |(one, other)| rounded(one - other, places))
}

/// The same of an interval, by its mean.
fn told_interval<T>(
    row: &(String, T),
    rows: &[(String, T)],
    cells: impl Fn(&T) -> [String; 3],
) -> [String; 3] {
    let [low, _, high] = cells(&row.1);
    let mean = told(row, rows, |is| {
        let [_, mean, _] = cells(is);
        mean
    });
    [low, mean, high]
}

const fn points(band: &Interval) -> [f64; 3] {
    [band.lower, band.mean, band.upper]
}

/// The table of top-ups under its heading.
fn topups(asked: &CompareArguments, comparison: &Comparison) -> String {
    let units = comparison.units;
    let Some(heading) = topped_up_in_words(comparison) else {
        return String::new();
    };
    let rows = compared(comparison).into_iter();
    let rows: Vec<(String, ComparedTopUps)> = rows
        .filter_map(|(name, compared)| Some((name, compared.topups?)))
        .collect();
    let mut table = Table::of(&rows);
    table
        .left("design", |(name, _)| name.clone())
        .interval(volume_unit(units), |row| {
            told_interval(row, &rows, |taken| {
                points(&taken.laid_m3).map(|m3| signed_volume(m3, units))
            })
        })
        .interval(&plural(&asked.packs.package().name, 2), |row| {
            told_interval(row, &rows, |taken| {
                points(&taken.bought).map(|count| format!("{:.0}", count + 0.0))
            })
        });
    if asked.packs.has_price() {
        table.interval("cost", |row| {
            told_interval(row, &rows, |taken| {
                let cost = taken.cost.as_ref().map(|cost| points(cost).map(money));
                cost.unwrap_or_default()
            })
        });
    }
    format!("\n{}\n{}", plain(&heading), table.drawn(asked.output.look))
}

/// A difference of volumes; a rounded zero has no sign.
fn signed_volume(m3: f64, units: Units) -> String {
    /// What is nearer to zero than this is shown as zero, in the unit of volumes.
    const HALF_A_TENTH: f64 = 0.05;
    let zero =
        unit_of(&volume_unit(units).to_lowercase()).map_or(0.0, |unit| unit.convert(HALF_A_TENTH));
    let sign = if m3 < 0.0 && -m3 >= zero { "-" } else { "" };
    format!("{sign}{}", volume_figure(m3.abs(), units))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rounded_zero_has_no_sign() {
        for (litres, shown) in [(-0.04, "0"), (-0.06, "-0.1"), (-20.0, "-20"), (0.0, "0")] {
            assert_eq!(signed_volume(litres / 1000.0, Units::Metric), shown);
        }
        assert_eq!(signed_volume(-0.001, Units::Us), "0");
        assert_eq!(signed_volume(-0.002, Units::Us), "-0.1");
    }
}

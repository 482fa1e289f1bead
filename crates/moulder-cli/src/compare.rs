//! `moulder compare`: designs side by side.

use std::path::Path;

use moulder::internals::bed::Bed;
use moulder::internals::compare::{Comparison, compare_with_top_ups, height_differences};
use moulder::internals::forecast::day::days;
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{
    volume_figure, volume_unit, weight_figure_to_a_tenth, weight_unit,
};
use moulder::internals::quantity::height::{figure, unit};
use moulder::internals::topup::{TopUpRule, TopUpTrigger};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder_page::comparison::{Contents, DESIGNS_LIMIT, Design, page};
use moulder_words::comparison::{against_the_first, draws_in_words, topped_up_in_words};
use moulder_words::topup::{money, plural};

use crate::arguments::CompareArguments;
use crate::bed_file::read_all;
use crate::lines::{TextWidth, wrapped};
use crate::output::pretty;
use crate::progress::Progress;
use crate::table::{Column, Stand, table};
use crate::text_file::TextFile;
use crate::trouble::Trouble;
use crate::{forecast, notices};

impl CompareArguments {
    /// The files that are read.
    pub(crate) fn paths(&self) -> Vec<&Path> {
        let others = self.others.iter().map(AsRef::as_ref);
        self.bed.paths().into_iter().chain(others).collect()
    }
}

/// The answer to what was asked.
pub(crate) fn answer(asked: &CompareArguments) -> Result<String, Trouble> {
    let paths = std::iter::once(&asked.bed.bed).chain(&asked.others);
    let read = read_all(&asked.bed, paths.cloned())?;
    let (beds, files): (Vec<Bed>, Vec<TextFile>) = read.into_iter().unzip();
    let first = files.first().map_or("", |file| file.name.as_str());
    let draws = Realisations {
        ensemble_size: asked.draws,
        seed: asked.seed,
        ..Realisations::default()
    };
    if asked.page && beds.len() > DESIGNS_LIMIT {
        let said = format!(
            "A page sets at most {DESIGNS_LIMIT} beds side by side, and {} were asked for. Leave \
             some out.",
            beds.len()
        );
        return Err(Trouble::bad_option("--page", said));
    }
    let rules = rules(asked, &beds)?;
    let danger = notices::first_of(beds.iter().zip(files.iter().map(|file| &*file.name)))?;
    let progress = Progress::of(asked.look);
    let comparison = compare_with_top_ups(&beds, asked.months, &rules, draws, &progress.watch())
        .map_err(|error| forecast::refused(first, error))?;
    if asked.json {
        return Ok(pretty(&comparison));
    }
    if asked.page {
        return page_of(&comparison, &beds, &files, draws, &progress);
    }
    Ok(danger + &in_words(asked, &comparison))
}

/// What each bed is topped up with: in the month before spring, up to the rim.
fn rules(asked: &CompareArguments, beds: &[Bed]) -> Result<Vec<TopUpRule>, Trouble> {
    let material = asked.packs.material(&asked.bed.shelf)?;
    let rules = beds.iter().map(|bed| TopUpRule {
        trigger: TopUpTrigger::before_spring(bed.climate().latitude_deg),
        material: material.clone(),
        package: asked.packs.sold(),
        most_m: None,
        yearly_budget: None,
        months: asked.months,
    });
    Ok(rules.collect())
}

/// As one page.
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
        let refused = |error| forecast::refused(&file.name, error);
        let forecast =
            forecast_with_intervals(bed, months, draws, &progress.watch()).map_err(refused)?;
        told.push((forecast, days(bed).map_err(refused)?));
    }
    let first = files.first().map_or("", |file| file.name.as_str());
    let height_differences = height_differences(beds, months, draws, &progress.watch())
        .map_err(|error| forecast::refused(first, error))?;
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
            said.push_str(&wrapped(&told, TextWidth::PLAIN));
        }
    }
    said.push_str(&wrapped(&draws_in_words(comparison), TextWidth::PLAIN));
    said.push('\n');
    let heading = format!(
        "Sunk, in {}, and carbon left, in {}, {} months after filling; months of the first \
         year in which a crop is short of nitrogen.",
        unit(units),
        weight_unit(units),
        comparison.months
    );
    said.push_str(&wrapped(&heading, TextWidth::PLAIN));
    for (number, design) in (1..).zip(&comparison.designs) {
        let line = format!(
            "{number}. {}, {} {} high at first",
            design.name,
            figure(design.height_m, units),
            unit(units)
        );
        said.push_str(&wrapped(&line, TextWidth::hanging(2, 5)));
    }
    said.push('\n');
    let columns = [
        Column::new("design", Stand::Left),
        Column::new("sunk\nlow", Stand::Right),
        Column::new("\nmiddle", Stand::Right),
        Column::new("\nhigh", Stand::Right),
        Column::new("carbon\nlow", Stand::Right),
        Column::new("\nmiddle", Stand::Right),
        Column::new("\nhigh", Stand::Right),
        Column::new("months\nshort", Stand::Right),
    ];
    let heights = |band: &Interval| [band.lower, band.median, band.upper].map(|m| figure(m, units));
    let weights = |band: &Interval| {
        [band.lower, band.median, band.upper].map(|kg| weight_figure_to_a_tenth(kg, units))
    };
    let mut rows = Vec::new();
    for (number, design) in (1..).zip(&comparison.designs) {
        let less = design.less_the_first.as_ref();
        let own = (number.to_string(), &design.is);
        let less = less.map(|less| (format!("{number} less 1"), less));
        for (name, compared) in std::iter::once(own).chain(less) {
            let mut cells = vec![name];
            cells.extend(heights(&compared.settlement_m));
            cells.extend(weights(&compared.carbon_kg));
            cells.push(format!("{:.0}", compared.short_months.median));
            rows.push(cells);
        }
    }
    said.push_str(&table(&columns, rows, asked.look));
    said.push_str(&topups(asked, comparison));
    said
}

/// The table of top-ups under its heading.
fn topups(asked: &CompareArguments, comparison: &Comparison) -> String {
    let units = comparison.units;
    let Some(heading) = topped_up_in_words(comparison) else {
        return String::new();
    };
    let mut columns = vec![
        Column::new("design", Stand::Left),
        Column::new(format!("{}\nlow", volume_unit(units)), Stand::Right),
        Column::new("\nmiddle", Stand::Right),
        Column::new("\nhigh", Stand::Right),
        Column::new(
            format!("{}\nlow", plural(asked.packs.called(), 2)),
            Stand::Right,
        ),
        Column::new("\nmiddle", Stand::Right),
        Column::new("\nhigh", Stand::Right),
    ];
    if asked.packs.price.is_some() {
        let ends = ["cost\nlow", "\nmiddle", "\nhigh"];
        columns.extend(ends.map(|end| Column::new(end, Stand::Right)));
    }
    let points = |band: &Interval| [band.lower, band.median, band.upper];
    let signed = |m3: f64| {
        let figure = volume_figure(m3.abs(), units);
        if m3 < 0.0 && figure != "0" {
            format!("-{figure}")
        } else {
            figure
        }
    };
    let mut rows = Vec::new();
    for (number, design) in (1..).zip(&comparison.designs) {
        let less = design.less_the_first.as_ref();
        let own = (number.to_string(), design.is);
        let less = less.map(|less| (format!("{number} less 1"), *less));
        for (name, compared) in std::iter::once(own).chain(less) {
            let Some(taken) = compared.topups else {
                continue;
            };
            let mut cells = vec![name];
            cells.extend(points(&taken.laid_m3).map(signed));
            cells.extend(points(&taken.bought).map(|count| format!("{:.0}", count + 0.0)));
            cells.extend(taken.cost.iter().flat_map(points).map(money));
            rows.push(cells);
        }
    }
    format!(
        "\n{}\n{}",
        wrapped(&heading, TextWidth::PLAIN),
        table(&columns, rows, asked.look)
    )
}

//! `moulder plan`: how much of what to fill a bed with.

use std::path::Path;

use moulder::internals::bed::plan_request::PlanRequest;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::fault::notice::Notice;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::plan::answer::{Fill, Plan};
use moulder::internals::plan::plan;
use moulder::internals::quantity::amount::weight;
use moulder::internals::quantity::height::{figure, unit};
use moulder::internals::read::{read_plan_json, read_plan_toml};
use moulder_words::plan as plan_words;

use crate::arguments::{Look, PlanArguments};
use crate::bed_file::BedFile;
use crate::complaint::Complaint;
use crate::lines::{TextWidth, counted, wrapped};
use crate::output::pretty;
use crate::refusal::Refusal;
use crate::table::{Column, Stand, table};
use crate::trouble::Trouble;
use crate::{forecast, notices, shelf};

/// What to say of a middle line that has no band.
const NO_BAND: &str = "No band yet: take the heights as the middle of a wide range.";

impl PlanArguments {
    /// The files that are read.
    pub(crate) fn paths(&self) -> Vec<&Path> {
        let others = self.shelf.shelf.iter();
        std::iter::once(&self.plan)
            .chain(others)
            .map(AsRef::as_ref)
            .collect()
    }
}

/// The answer to what was asked.
pub(crate) fn answer(asked: &PlanArguments) -> Result<String, Trouble> {
    let file = BedFile::open(&asked.plan)?;
    let wanted = read(&file, asked)?;
    let name = &file.file.name;
    let answer = plan(&wanted, &unwatched).map_err(|error| match error {
        // A plan has no layers of its own that could be pointed at.
        Error::NoRoom(_) | Error::Unsolved => {
            Trouble::bad_input(beyond(name, &format!("{error}.")))
        }
        other => forecast::refused(name, other),
    })?;
    if let Some(number) = asked.write_bed {
        return bed_text(name, &answer, number);
    }
    if asked.json {
        return Ok(pretty(&answer));
    }
    Ok(in_words(&answer, asked))
}

/// The plan that the file holds; what is wrong with any of the files is told together.
fn read(file: &BedFile, asked: &PlanArguments) -> Result<PlanRequest, Trouble> {
    let (shelf, mut complaints) = shelf::with_own(&asked.shelf)?;
    // Without a whole shelf a plan's materials cannot be told from slips.
    if complaints.is_empty() {
        let read = if file.is_json() {
            read_plan_json
        } else {
            read_plan_toml
        };
        match read(&file.file.text, &shelf) {
            Ok(plan) => {
                return Ok(match asked.units {
                    Some(units) => plan.with_units(units.into()),
                    None => plan,
                });
            }
            Err(faults) => complaints.push(Complaint::of_text(&file.file, &faults)),
        }
    }
    Err(Trouble::BadInput(complaints))
}

/// Figures of the plan that do not go together.
fn beyond(name: &str, said: &str) -> Refusal {
    Refusal::new(FaultCode::DoesNotFit, format!("{name}: {said}")).file(name)
}

fn in_words(answer: &Plan, asked: &PlanArguments) -> String {
    let mut said = dangers(answer);
    said.push_str(&wrapped(
        &format!(
            "{}, filled {}, {}",
            answer.name, answer.filled, answer.climate
        ),
        TextWidth::PLAIN,
    ));
    said.push_str(&wrapped(&plan_words::wanted(answer), TextWidth::PLAIN));
    if let Some(short) = &answer.shortfall {
        said.push('\n');
        said.push_str(&wrapped(
            &plan_words::short(answer, short),
            TextWidth::PLAIN,
        ));
    } else {
        said.push_str(&wrapped(NO_BAND, TextWidth::PLAIN));
        said.push('\n');
        said.push_str(&overview(answer, asked.look));
        for (index, fill) in answer.fills.iter().enumerate() {
            said.push_str(&one_fill(answer, index, fill, asked.look));
        }
        let first = answer.fills.iter().take(1).flat_map(|fill| &fill.notices);
        let common = first.filter(|notice| is_common(answer, notice));
        let common: Vec<Notice> = common.cloned().collect();
        let common = notices::in_short(&common, &[]);
        if !common.is_empty() {
            said.push_str("\nOf every fill:\n");
            said.push_str(common.trim_start_matches('\n'));
        }
        said.push('\n');
        said.push_str(&wrapped(plan_words::grounds(), TextWidth::PLAIN));
        said.push_str(&wrapped(
            "--write-bed N -o FILE keeps fill N as a bed file, which moulder check and \
             moulder forecast read.",
            TextWidth::PLAIN,
        ));
    }
    said.push_str(&assumed(answer, asked.defaults));
    said
}

/// The fills side by side.
fn overview(answer: &Plan, look: Look) -> String {
    let units = answer.units;
    let height = unit(units);
    let columns = [
        Column::new("fill", Stand::Right),
        Column::new("the best at", Stand::Left),
        Column::new(format!("tipped\n{height}"), Stand::Right),
        Column::new(format!("settled\n{height}"), Stand::Right),
        Column::new(format!("soil\n{height}"), Stand::Right),
        Column::new("weight\nwet", Stand::Right),
        Column::new("cost", Stand::Right),
    ];
    let rows = answer.fills.iter().enumerate().map(|(index, fill)| {
        vec![
            (index + 1).to_string(),
            plan_words::aims(&fill.aims),
            figure(fill.tipped_m, units),
            figure(fill.stands_m, units),
            figure(fill.soil_stands_m, units),
            weight(fill.total_mass_kg, units),
            plan_words::money(fill.cost, &answer.money),
        ]
    });
    table(&columns, rows.collect(), look)
}

/// One fill, from the ground up, and all that is to be said of it.
fn one_fill(answer: &Plan, index: usize, fill: &Fill, look: Look) -> String {
    let units = answer.units;
    let mut head = format!("Fill {}: {}.", index + 1, plan_words::aims(&fill.aims));
    if let Some(trade_off) = plan_words::trade_off(answer, index) {
        head.push(' ');
        head.push_str(&trade_off);
    }
    let height = unit(units);
    let columns = [
        Column::new("from the ground up", Stand::Left),
        Column::new(format!("tipped\n{height}"), Stand::Right),
        Column::new(format!("settled\n{height}"), Stand::Right),
        Column::new("put in", Stand::Wrapped),
    ];
    let mut rows = Vec::new();
    for layer in &fill.layers {
        for (number, put) in layer.put.iter().enumerate() {
            let first = |text: String| if number == 0 { text } else { String::new() };
            rows.push(vec![
                first(layer.role.layer_name().to_owned()),
                first(figure(layer.tipped_m, units)),
                first(figure(layer.stands_m, units)),
                plan_words::put(put),
            ]);
        }
    }
    let mut said = format!(
        "\n{}\n{}",
        wrapped(&head, TextWidth::PLAIN),
        table(&columns, rows, look)
    );
    said.push('\n');
    for paragraph in plan_words::about(answer, fill) {
        said.push_str(&wrapped(&paragraph, TextWidth::hanging(0, 2)));
    }
    let own = fill
        .notices
        .iter()
        .filter(|notice| !is_common(answer, notice));
    let own: Vec<Notice> = own.cloned().collect();
    said.push_str(&notices::in_short(&own, &layers(fill)));
    said
}

/// What is dangerous about the fills: once where it is the same of all of them.
fn dangers(answer: &Plan) -> String {
    let of = |(number, fill): (usize, &Fill)| {
        let whom = if number > 0 {
            format!("fill {number}")
        } else {
            String::new()
        };
        notices::first(&whom, &fill.notices, &layers(fill))
    };
    let unnamed: Vec<String> = answer.fills.iter().map(|fill| of((0, fill))).collect();
    match unnamed.first() {
        Some(first) if unnamed.iter().all(|other| other == first) => first.clone(),
        _ => (1..).zip(&answer.fills).map(of).collect(),
    }
}

/// What the layers of a fill are called.
fn layers(fill: &Fill) -> Vec<String> {
    let names = fill.layers.iter().map(|layer| layer.role.layer_name());
    names.map(str::to_owned).collect()
}

/// Whether a notice is raised by every fill, of no layer.
fn is_common(answer: &Plan, notice: &Notice) -> bool {
    let mut fills = answer.fills.iter();
    notice.layer.is_none() && fills.all(|fill| fill.notices.contains(notice))
}

/// What was assumed where the plan file is silent.
fn assumed(answer: &Plan, listed: bool) -> String {
    if !listed {
        let count = counted(answer.defaults.len(), "value was", "values were");
        let text = format!("{count} assumed where the plan file is silent; --defaults lists them.");
        return format!("\n{}", wrapped(&text, TextWidth::PLAIN));
    }
    let mut said = String::from("\nAssumed where the plan file is silent:\n");
    for assumed in &answer.defaults {
        let steps: Vec<&str> = assumed.path.split('/').skip(1).collect();
        let place = match steps.as_slice() {
            ["hand", index, field] => index
                .parse::<usize>()
                .ok()
                .and_then(|index| answer.materials.get(index))
                .map_or_else(
                    || (*field).to_owned(),
                    |alone| format!("{}: {field}", alone.material),
                ),
            steps => steps.join(" "),
        };
        let text = format!("{place} = {}, from: {}", assumed.value, assumed.source);
        said.push_str(&wrapped(&text, TextWidth::hanging(2, 6)));
    }
    said
}

/// A fill as a bed file.
fn bed_text(name: &str, answer: &Plan, number: usize) -> Result<String, Trouble> {
    if let Some(short) = &answer.shortfall {
        let said = plan_words::short(answer, short);
        return Err(Trouble::bad_input(beyond(name, &said)));
    }
    let fill = number
        .checked_sub(1)
        .and_then(|index| answer.fills.get(index))
        .ok_or_else(|| {
            let count = answer.fills.len();
            let said = format!(
                "There is no fill {number}: the answer has {}, numbered from 1.",
                counted(count, "fill", "fills")
            );
            Trouble::bad_option("--write-bed", said)
        })?;
    notices::aside(&notices::first("", &fill.notices, &layers(fill)));
    let bed = toml::to_string(&fill.bed).map_err(|error| {
        let said = format!("The bed file cannot be written: {error}.");
        Trouble::cannot(Refusal::new(FaultCode::Unfinished, said))
    })?;
    Ok(format!(
        "# Fill {number} of a plan: {}. Amounts are loose, as tipped.\n{bed}",
        plan_words::aims(&fill.aims)
    ))
}

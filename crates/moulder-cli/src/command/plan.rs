//! `moulder plan`: how much of what to fill a bed with.

use std::path::PathBuf;

use clap::Args;
use moulder::internals::bed::plan_request::PlanRequest;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::fault::notice::{AIRLESS_LAYER, Notice, Topic, topic};
use moulder::internals::numeric::interval::Interval;
use moulder::internals::plan::answer::{Fill, FillIntervals, FillLayer, Plan, Put};
use moulder::internals::plan::plan;
use moulder::internals::plan::role::Role;
use moulder::internals::quantity::amount::weight;
use moulder::internals::quantity::height::{figure, rough_figure, unit};
use moulder::internals::quantity::units::Units;
use moulder::internals::read::{read_plan_json, read_plan_toml};
use moulder_words::plan as plan_words;
use moulder_words::range::from_to;

use crate::common::bed_file::BedFile;
use crate::common::number::{SeedArguments, draws};
use crate::common::output::OutputArguments;
use crate::common::shelf::ShelfArguments;
use crate::common::units::UnitsName;
use crate::print::lines::{apart, counted, hanging, plain, title};
use crate::print::look::Look;
use crate::print::notices;
use crate::print::progress::Progress;
use crate::print::screen::pretty;
use crate::print::table::Table;
use crate::trouble::Trouble;
use crate::trouble::complaint::Complaint;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct PlanArguments {
    /// The plan file: TOML, or JSON if it ends in .json; "-" reads what is piped in
    pub(crate) plan: PathBuf,

    #[command(flatten)]
    pub(crate) shelf: ShelfArguments,

    /// The units of the answer, whatever the plan file says
    #[arg(
        long,
        value_enum,
        value_name = "UNITS",
        hide_possible_values = true,
        help = "The units of the answer, whatever the plan file says: metric, us or uk-garden"
    )]
    pub(crate) units: Option<UnitsName>,

    /// Write fill number N as a bed file, which forecast and check read
    #[arg(long, value_name = "N", conflicts_with = "json")]
    pub(crate) write_bed: Option<usize>,

    /// How many beds like it the ranges of each fill are reckoned from; 0 for one run with the
    /// best figures, no range
    #[arg(long, value_name = "N", default_value = "32", value_parser = draws)]
    pub(crate) draws: u32,

    #[command(flatten)]
    pub(crate) seed: SeedArguments,

    /// List every value that was assumed because the plan file is silent, with its source
    #[arg(long)]
    pub(crate) defaults: bool,

    /// Write the whole answer as JSON, for programs: in metres and kilograms
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// What to do with a fill that is written as a bed file.
pub(crate) const BED_HINT: &str =
    "Look at it with moulder check, or ask moulder forecast how it sinks.";

/// The answer to what was asked.
pub(crate) fn answer(asked: &PlanArguments) -> Result<String, Trouble> {
    let file = BedFile::open(&asked.plan)?;
    let wanted = read(&file, asked)?;
    let name = &file.file.name;
    let wanted = wanted.ensemble_size(asked.draws).seed(asked.seed.seed);
    let progress = Progress::of(asked.output.look);
    let answer = plan(&wanted, &progress.watch()).map_err(|error| match error {
        // A plan has no layers of its own that could be pointed at.
        Error::NoRoom(_) | Error::Unsolved => {
            Trouble::bad_input(beyond(name, &format!("{error}.")))
        }
        other => Trouble::of_error(name, &other),
    })?;
    drop(progress);
    if let Some(number) = asked.write_bed {
        return bed_text(name, &answer, number);
    }
    if asked.json {
        return Ok(pretty(&answer));
    }
    Ok(in_words(&answer, asked))
}

/// The plan of the file; the faults of all the files are reported together.
fn read(file: &BedFile, asked: &PlanArguments) -> Result<PlanRequest, Trouble> {
    let (shelf, mut complaints) = asked.shelf.library()?;
    // Without the whole library, unknown materials cannot be told from misspelt ones.
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

/// Figures of the plan that contradict each other.
fn beyond(name: &str, said: &str) -> Refusal {
    Refusal::new(FaultCode::DoesNotFit, format!("{name}: {said}")).file(name)
}

fn in_words(answer: &Plan, asked: &PlanArguments) -> String {
    let mut said = dangers_of(answer);
    said += &title(&answer.name, answer.filled, &answer.climate);
    said += &plain(&plan_words::wanted(answer));
    if let Some(short) = &answer.shortfall {
        said += &apart(&plan_words::short(answer, short));
    } else {
        said += &plain(&plan_words::how_sure(answer));
        said.push('\n');
        said += &overview(answer, asked.output.look);
        let common = common(answer);
        for (index, fill) in answer.fills.iter().enumerate() {
            said += &one_fill(answer, index, fill, asked.output.look);
            let own = fill.notices.iter().filter(|notice| {
                let notice = of_role(fill, notice);
                common.iter().all(|common| !is_shared(common, &notice))
            });
            let own: Vec<Notice> = own.cloned().collect();
            said += &notices::in_short(&own, &layers(fill));
        }
        let roles = Role::ALL.map(|role| role.layer_name().to_owned());
        let common = notices::in_short_by_name(&common, &roles);
        if !common.is_empty() {
            said.push_str("\nOf every fill:\n");
            said.push_str(common.trim_start_matches('\n'));
        }
        said += &apart(plan_words::grounds());
        said += &plain(
            "--write-bed N -o FILE keeps fill N as a bed file, which moulder check and \
             moulder forecast read.",
        );
    }
    said += &assumed(answer, asked.defaults);
    said
}

/// The fills side by side.
fn overview(answer: &Plan, look: Look) -> String {
    let units = answer.units;
    let height = unit(units);
    let fills: Vec<(usize, &Fill)> = (1..).zip(&answer.fills).collect();
    let range = |of: fn(&FillIntervals) -> Interval| {
        move |(_, fill): &(usize, &Fill)| {
            let range = fill.intervals.as_ref().map(of);
            range.map_or_else(String::new, |m| {
                let ends = m.ends().map(|m| rough_figure(m, units));
                let range = from_to(&ends[0], &ends[1]);
                // Half inches need two lines.
                match units {
                    Units::Metric => range,
                    Units::Us | Units::UkGarden => range.replace(" to ", " to\n"),
                }
            })
        }
    };
    let mut table = Table::of(&fills);
    table
        .right("fill", |(number, _)| number.to_string())
        .left("the best at", |(_, fill)| {
            plan_words::aims(&fill.aims).replace(", ", ",\n")
        })
        .right(format!("tipped\n{height}"), |(_, fill)| {
            figure(fill.tipped_m, units)
        })
        .spare(1)
        .right(format!("settled\n{height}"), |(_, fill)| {
            figure(fill.stands_m, units)
        });
    if answer.ensemble_size > 0 {
        table.right("8 in 10", range(|of| of.height_m));
    }
    table.right(format!("soil\n{height}"), |(_, fill)| {
        figure(fill.soil_stands_m, units)
    });
    if answer.ensemble_size > 0 {
        table.right("8 in 10", range(|of| of.soil_m));
    }
    if answer.fills.iter().any(plan_words::is_short) {
        table.right(format!("short\n{height}"), |(_, fill)| {
            plan_words::shorts(fill, units)
        });
    }
    table
        .right("weight\nwet", |(_, fill)| weight(fill.total_mass_kg, units))
        .spare(2)
        .right("cost", |(_, fill)| {
            plan_words::money(fill.cost, &answer.money)
        })
        .fit();
    table.drawn(look)
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
    // A layer is named beside the first of what is put into it.
    let rows: Vec<(Option<&FillLayer>, &Put)> = fill
        .layers
        .iter()
        .flat_map(|layer| {
            let put = layer.put.iter().enumerate();
            put.map(move |(index, put)| ((index == 0).then_some(layer), put))
        })
        .collect();
    let tipped = |layer: &FillLayer| figure(layer.tipped_m, units);
    let settled = |layer: &FillLayer| figure(layer.stands_m, units);
    let mut table = Table::of(&rows);
    table
        .left("from the ground up", |(layer, _)| {
            layer.map_or("", |layer| layer.role.layer_name()).to_owned()
        })
        .right(format!("tipped\n{height}"), |(layer, _)| {
            layer.map_or_else(String::new, tipped)
        })
        .right(format!("settled\n{height}"), |(layer, _)| {
            layer.map_or_else(String::new, settled)
        })
        .wrapped("put in", |(_, put)| plan_words::put(put));
    let mut said = format!("\n{}\n{}", plain(&head), table.drawn(look));
    said.push('\n');
    for paragraph in plan_words::about(answer, fill) {
        said += &hanging(0, 2, &paragraph);
    }
    said
}

/// The dangers of the fills: once where all have the same.
fn dangers_of(answer: &Plan) -> String {
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

/// A notice of a fill, whose layer is counted among all that a fill may have.
fn of_role(fill: &Fill, notice: &Notice) -> Notice {
    let mut notice = notice.clone();
    let layer = notice.layer.and_then(|index| fill.layers.get(index));
    notice.layer = layer.map(|layer| layer.role as usize);
    notice
}

/// Whether two notices of that form are told as one. Of the cautions only their words are told.
fn is_shared(one: &Notice, other: &Notice) -> bool {
    let tells_figures = topic(&one.code) == Topic::Course && one.code != AIRLESS_LAYER;
    one.code == other.code
        && one.layer == other.layer
        && (one.values == other.values || !tells_figures)
}

/// The notices that every fill raises, in that form.
fn common(answer: &Plan) -> Vec<Notice> {
    let fills = answer.fills.iter();
    let fills = fills.map(|fill| {
        fill.notices
            .iter()
            .map(|notice| of_role(fill, notice))
            .collect()
    });
    let fills: Vec<Vec<Notice>> = fills.collect();
    let Some((first, others)) = fills.split_first() else {
        return Vec::new();
    };
    let mut common = Vec::new();
    for notice in first {
        let same = others
            .iter()
            .map(|fill| fill.iter().find(|other| is_shared(notice, other)));
        if let Some(same) = same.collect::<Option<Vec<&Notice>>>() {
            common.push(notice.clone());
            if notice.code == AIRLESS_LAYER {
                common.extend(same.into_iter().cloned());
            }
        }
    }
    common
}

/// The defaults that the plan file leaves to the program.
fn assumed(answer: &Plan, listed: bool) -> String {
    if !listed {
        let count = counted(answer.defaults.len(), "value was", "values were");
        let text = format!("{count} assumed where the plan file is silent; --defaults lists them.");
        return format!("\n{}", plain(&text));
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
        said += &hanging(2, 6, &text);
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

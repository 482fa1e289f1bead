//! What can be asked: a table of tasks, each with its fields and its answer.

use moulder::internals::compare::{Comparison, compare_with_top_ups};
use moulder::internals::fault::notice::Notice;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::fit::{Fit, Fitting, fit};
use moulder::internals::forecast::Forecast;
use moulder::internals::forecast::progress::Progress;
use moulder::internals::ledger::{Ledger, ledger_with_intervals};
use moulder::internals::library::climates::{Climate, Station};
use moulder::internals::library::material::Material;
use moulder::internals::plan::answer::Plan;
use moulder::internals::plan::plan;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::{TopUpTrigger, months_measured};
use moulder::internals::uncertainty::default_width::defaults_with_widths;
use moulder::internals::uncertainty::ensemble_part::{EnsemblePart, merged, part_of_ensemble};
use moulder::internals::uncertainty::sensitivity::{Sensitivity, USUAL_ROWS, sensitivity};
use moulder::materials::Town;
use moulder::{Bed, Error, FaultCode};
use moulder_words::notice::sentence;
use serde::Serialize;
use serde_json::Value;

use crate::asked::{Asked, refuse};
use crate::buying::{material, packages, rule, wanted};
use crate::field::{
    AS_FILLED, AT, AT_MOST, BED, BEDS_GIVEN, BEGINS, BELOW, BUDGET, CHART, DEEPER_THAN, DEFAULTS,
    DELIVER_ON, DESIGNS, DRAWS, DRAWS_SOME, EACH, FEED, FROM, FULL, HEIGHT_ABOVE_SEA, IN_MONTHS,
    MATERIALS, MONTHS, MONTHS_ON, MOST_TOWNS, NAME_OF, NEAR, ONE_SHEET, OVERFILL, PAPER, PARTS,
    PICTURES, PLAN, ROWS, SEED, SOIL, TO, TODAY, UNITS, Use, WAYS, WEATHER, WIDTH, WITH, YEARS,
    may, must,
};
use crate::recipe::ahead::short_answer;
use crate::recipe::chart::{Drawing, NoDrawing, usual_draws};
use crate::recipe::check::{Answer, Checked};
use crate::recipe::report::Report;
use crate::recipe::topups::Told;
use crate::refused::Refused;

/// Realisations where nothing is said: 64, and fewer where each counts more than once.
const DRAWN: u32 = 64;
const DRAWN_OFTEN: u32 = 32;
/// Least weighted by readings.
const WEIGHED: u32 = 128;
/// Month of the widths of defaults in a check.
const WIDTH_MONTH: u32 = 6;
/// Months in a year.
const YEAR: u32 = 12;

/// The answer as text.
type Answered = Result<String, Refused>;

/// A task: its word, what it is about, its fields, and the two ways to its answer.
pub(crate) struct Task {
    pub(crate) word: &'static str,
    #[cfg_attr(
        not(feature = "schema"),
        allow(dead_code, reason = "the schema tells it")
    )]
    pub(crate) about: &'static str,
    pub(crate) fields: &'static [Use],
    /// None for the table itself, as schemas.
    pub(crate) answer: Option<fn(Asked<'_>, &Progress<'_>) -> Answered>,
    #[cfg_attr(
        not(feature = "schema"),
        allow(dead_code, reason = "nothing asks for it")
    )]
    pub(crate) schema: fn(&mut Schemas) -> Value,
}

/// Fields of every question about one bed.
macro_rules! of_bed {
    ($($more:expr),* $(,)?) => {
        &[must(&BED), may(&MATERIALS), may(&WEATHER), may(&UNITS), may(&AS_FILLED), $($more),*]
    };
}

/// Fields of every question about several.
macro_rules! of_beds {
    ($beds:expr, $($more:expr),* $(,)?) => {
        &[must($beds), may(&MATERIALS), may(&WEATHER), may(&UNITS), may(&AS_FILLED), $($more),*]
    };
}

/// All that can be asked.
pub(crate) static TASKS: &[Task] = &[
    Task {
        word: "check",
        about: "The bed as it is understood: layers, heights, masses, notices and defaults.",
        fields: of_bed![may(&DEFAULTS)],
        answer: Some(check),
        schema: schema::<Answer<'static>>,
    },
    Task {
        word: "forecast",
        about: "The bed month by month, from its tape readings on.",
        fields: of_bed![
            may(&MONTHS),
            may(&DRAWS),
            may(&SEED),
            may(&DEEPER_THAN),
            may(&DEFAULTS)
        ],
        answer: Some(forecast),
        schema: schema::<Forecast>,
    },
    Task {
        word: "notices",
        about: "The notices of a forecast with the best figures, in words: dangers, warnings and \
                notes.",
        fields: of_bed![may(&MONTHS)],
        answer: Some(notices),
        schema: schema::<Vec<Worded>>,
    },
    Task {
        word: "realisations",
        about: "A part of the ensemble of a forecast, so that it can be run piece by piece and in \
                many places.",
        fields: of_bed![may(&MONTHS), may(&SEED), must(&FROM), must(&TO)],
        answer: Some(realisations),
        schema: schema::<EnsemblePart>,
    },
    Task {
        word: "merge",
        about: "The forecast of such parts: of the first few, or of all to the same bytes as in \
                one piece.",
        fields: of_bed![may(&MONTHS), may(&SEED), may(&DEEPER_THAN), must(&PARTS)],
        answer: Some(merge),
        schema: schema::<Forecast>,
    },
    Task {
        word: "fit",
        about: "How tape readings narrow the forecast, and what they teach.",
        fields: of_bed![may(&MONTHS), may(&DRAWS), may(&SEED)],
        answer: Some(fitted),
        schema: schema::<Fit>,
    },
    Task {
        word: "answer",
        about: "The bed today, in a title and lines of a word and what it is about.",
        fields: of_bed![
            must(&TODAY),
            may(&WITH),
            may(&WAYS),
            may(&FEED),
            may(&DRAWS_SOME),
            may(&SEED),
        ],
        answer: Some(answer),
        schema: schema::<Short>,
    },
    Task {
        word: "top_ups",
        about: "When to top beds up, with how much, and what to buy: a list with an entry a bed.",
        fields: of_beds![
            &BEDS_GIVEN,
            may(&YEARS),
            may(&TODAY),
            may(&IN_MONTHS),
            may(&BELOW),
            may(&SOIL),
            may(&WITH),
            may(&WAYS),
            may(&AT_MOST),
            may(&BUDGET),
            may(&EACH),
            may(&DELIVER_ON),
            may(&OVERFILL),
            may(&DRAWS),
            may(&SEED),
        ],
        answer: Some(top_ups),
        schema: schema::<Vec<Told>>,
    },
    Task {
        word: "compare",
        about: "Designs side by side, in the same weather.",
        fields: of_beds![
            &DESIGNS,
            may(&MONTHS),
            may(&WITH),
            may(&WAYS),
            may(&DRAWS_SOME),
            may(&SEED),
        ],
        answer: Some(compare),
        schema: schema::<Comparison>,
    },
    Task {
        word: "plan",
        about: "How much of what to fill a bed with, so that it stands right once it has settled.",
        fields: &[
            must(&PLAN),
            may(&MATERIALS),
            may(&UNITS),
            may(&DRAWS),
            may(&SEED),
        ],
        answer: Some(planned),
        schema: schema::<Plan>,
    },
    Task {
        word: "ledger",
        about: "Where the carbon goes, set against burning the wood.",
        fields: of_bed![may(&MONTHS), may(&DRAWS), may(&SEED)],
        answer: Some(ledger),
        schema: schema::<Ledger>,
    },
    Task {
        word: "unknowns",
        about: "What makes the interval of the settlement wide.",
        fields: of_bed![may(&AT), may(&ROWS), may(&SEED)],
        answer: Some(unknowns),
        schema: schema::<Sensitivity>,
    },
    Task {
        word: "chart",
        about: "A drawing, as SVG; of several beds for a comparison.",
        fields: &[
            may(&BED),
            may(&BEDS_GIVEN),
            may(&MATERIALS),
            may(&WEATHER),
            may(&UNITS),
            may(&AS_FILLED),
            must(&CHART),
            may(&WIDTH),
            may(&MONTHS),
            may(&PICTURES),
            may(&TODAY),
            may(&BELOW),
            may(&WITH),
            may(&WAYS),
            may(&DRAWS),
            may(&SEED),
        ],
        answer: Some(chart),
        schema: schema::<Drawn>,
    },
    Task {
        word: "report",
        about: "A page to keep or print, as one HTML file.",
        fields: of_beds![
            &BEDS_GIVEN,
            must(&TODAY),
            may(&MONTHS_ON),
            may(&PAPER),
            may(&ONE_SHEET),
            may(&FULL),
            may(&WITH),
            may(&WAYS),
            may(&AT_MOST),
            may(&BUDGET),
            may(&FEED),
            may(&DRAWS),
            may(&SEED),
        ],
        answer: Some(report),
        schema: schema::<Page>,
    },
    Task {
        word: "materials",
        about: "The materials a bed may hold, or one of them: every figure with its source.",
        fields: &[may(&NAME_OF), may(&MATERIALS)],
        answer: Some(materials),
        schema: schema::<Vec<Material>>,
    },
    Task {
        word: "climates",
        about: "The stations on the list; the climate of a town by its name, or of a place by its \
                degrees.",
        fields: &[may(&NAME_OF), may(&NEAR), may(&HEIGHT_ABOVE_SEA)],
        answer: Some(climates),
        schema: schema::<Climates<'static>>,
    },
    Task {
        word: "towns",
        about: "Towns whose name begins so, the largest first: a label does for the climate of a \
                bed where no other town has it, and degrees always do.",
        fields: &[must(&BEGINS), may(&MOST_TOWNS)],
        answer: Some(towns),
        schema: schema::<Vec<Town>>,
    },
    #[cfg(feature = "schema")]
    Task {
        word: "schema",
        about: "JSON Schemas of all questions and answers.",
        fields: &[],
        answer: None,
        schema: schema::<Value>,
    },
];

/// Where schemas are collected.
#[cfg(feature = "schema")]
type Schemas = schemars::SchemaGenerator;
#[cfg(not(feature = "schema"))]
type Schemas = ();

/// The schema of an answer.
#[cfg(feature = "schema")]
fn schema<T: schemars::JsonSchema>(schemas: &mut Schemas) -> Value {
    schemas.subschema_for::<T>().to_value()
}
#[cfg(not(feature = "schema"))]
#[allow(
    clippy::extra_unused_type_parameters,
    reason = "the table names the type of each answer"
)]
fn schema<T>((): &mut Schemas) -> Value {
    Value::Null
}

/// A value as text.
fn text<T: Serialize>(value: &T) -> Answered {
    serde_json::to_string(value)
        .map_err(|error| Refused::plain(FaultCode::Unfinished, error.to_string()))
}

fn check(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let bed = asked.bed()?;
    let checked = Checked::of(&bed).map_err(|error| Refused::of(&error, "/bed"))?;
    let defaults = if asked.flag(&DEFAULTS) {
        defaults_with_widths(&bed, WIDTH_MONTH, progress)?
    } else {
        bed.defaults().to_vec()
    };
    text(&checked.answer(&bed, &asked.amounts(), &defaults))
}

/// Months to the end of a year after filling, or after the last reading.
fn a_year_on(bed: &Bed) -> u32 {
    (months_measured(bed) + YEAR).min(MONTHS_LIMIT)
}

fn forecast(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let bed = asked.bed()?;
    let months = asked.whole(&MONTHS).unwrap_or_else(|| a_year_on(&bed));
    let mut forecast = current_forecast(&bed, months, asked.ensemble(DRAWN), progress)?;
    if asked.flag(&DEFAULTS) && months > 0 {
        forecast.defaults = defaults_with_widths(&bed, months, progress)?;
    }
    text(&forecast)
}

/// A notice in words.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Worded {
    /// The notice.
    #[serde(flatten)]
    notice: Notice,
    /// The same as a sentence or two.
    message: String,
}

fn notices(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let bed = asked.bed()?;
    let months = asked.whole(&MONTHS).unwrap_or_else(|| a_year_on(&bed));
    let forecast = current_forecast(&bed, months, asked.ensemble(0), progress)?;
    let notices = forecast.notices.into_iter().map(|notice| Worded {
        message: sentence(&notice),
        notice,
    });
    text(&notices.collect::<Vec<_>>())
}

/// A bed that is run in parts.
fn bed_in_parts(asked: Asked<'_>) -> Result<(Bed, u32), Refused> {
    let bed = asked.bed()?;
    if !bed.readings().is_empty() {
        let found =
            "tape readings weigh all realisations at once, so the bed cannot be run in parts";
        let expected = "as_filled leaves them out";
        return Err(refuse(
            FaultCode::DoesNotFit,
            "/bed/reading",
            found,
            expected,
        ));
    }
    let months = asked.whole(&MONTHS).unwrap_or(YEAR);
    Ok((bed, months))
}

fn realisations(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let (bed, months) = bed_in_parts(asked)?;
    let (from, to) = (asked.whole(&FROM), asked.whole(&TO));
    let numbers = from.unwrap_or(0)..to.unwrap_or(0);
    if numbers.is_empty() {
        let expected = "a number above that of \"from\"";
        return Err(refuse(
            FaultCode::OutOfRange,
            "/to",
            &numbers.end.to_string(),
            expected,
        ));
    }
    let ensemble = asked.ensemble(0);
    text(&part_of_ensemble(
        &bed,
        months,
        ensemble.seed,
        numbers,
        progress,
    )?)
}

fn merge(asked: Asked<'_>, _progress: &Progress<'_>) -> Answered {
    let (bed, months) = bed_in_parts(asked)?;
    let mut parts = Vec::new();
    for (at, part) in asked.parts.iter().enumerate() {
        let part: Result<EnsemblePart, _> = serde_json::from_str(part.get());
        parts.push(part.map_err(|_| {
            let path = format!("/parts/{at}");
            refuse(
                FaultCode::WrongKind,
                &path,
                "something else",
                "an answer to \"realisations\"",
            )
        })?);
    }
    text(&merged(&bed, months, asked.ensemble(0), parts)?)
}

fn fitted(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let draws = asked.ensemble(WEIGHED);
    let fitting = Fitting {
        months: asked.whole(&MONTHS),
        ensemble_size: draws.ensemble_size,
        seed: draws.seed,
    };
    text(&fit(&asked.bed()?, fitting, progress)?)
}

/// A short answer.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Short {
    /// The bed and what is known of it.
    title: String,
    /// A word, and the sentence to it.
    lines: Vec<(&'static str, String)>,
}

fn answer(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let bed = asked.bed()?;
    let material = material(asked)?;
    let package = packages(asked)?.swap_remove(0);
    let rule = |trigger, months| rule((&material, &package), trigger, months);
    let today = asked.today(bed.filled());
    let draws = asked.ensemble(DRAWN);
    let feed = asked.number(&FEED);
    let (told, _) = short_answer(&bed, &rule, feed, draws, today, progress)?;
    text(&Short {
        title: told.title,
        lines: told.lines,
    })
}

fn top_ups(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let beds = asked.beds()?;
    let wanted = wanted(asked, &beds, DRAWN)?;
    let planned = wanted.plan(&beds, progress)?;
    let each = beds.iter().zip(&planned.rules).zip(planned.beds);
    let told = each.map(|((bed, rule), planned)| wanted.told(bed, rule, planned, progress));
    text(&told.collect::<Result<Vec<Told>, Error>>()?)
}

fn compare(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    const MONTHS_COMPARED: u32 = 60;
    let beds = asked.beds()?;
    let months = asked.whole(&MONTHS).unwrap_or(MONTHS_COMPARED);
    let material = material(asked)?;
    let package = packages(asked)?.swap_remove(0);
    let rules = beds.iter().map(|bed| {
        let trigger = TopUpTrigger::before_spring(bed.climate().latitude_deg);
        rule((&material, &package), trigger, months)
    });
    let rules: Vec<_> = rules.collect();
    let draws = asked.ensemble(DRAWN_OFTEN);
    text(&compare_with_top_ups(
        &beds, months, &rules, draws, progress,
    )?)
}

fn planned(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let draws = asked.ensemble(DRAWN_OFTEN);
    let wanted = asked.plan()?;
    let wanted = wanted.ensemble_size(draws.ensemble_size).seed(draws.seed);
    text(&plan(&wanted, progress)?)
}

fn ledger(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    const TEN_YEARS: u32 = 10 * YEAR;
    let months = asked.whole(&MONTHS).unwrap_or(TEN_YEARS);
    let draws = asked.ensemble(DRAWN_OFTEN);
    text(&ledger_with_intervals(
        &asked.bed()?,
        months,
        draws,
        progress,
    )?)
}

fn unknowns(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let at = asked.whole(&AT).unwrap_or(WIDTH_MONTH);
    let draws = asked.ensemble(USUAL_ROWS);
    let found = sensitivity(&asked.bed()?, at, draws.ensemble_size, draws.seed, progress)?;
    text(&found)
}

/// A drawing.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Drawn {
    /// A whole SVG file.
    svg: String,
}

fn chart(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    let beds = match asked.list(&BEDS_GIVEN) {
        [] if asked.has(&BED) => vec![asked.bed()?],
        [] => {
            let expected = "bed, or beds for a comparison";
            return Err(refuse(
                FaultCode::MissingField,
                "",
                "this question",
                expected,
            ));
        }
        _ => asked.beds()?,
    };
    let word = asked.text(&CHART).unwrap_or_default();
    let chart: moulder_chart::Chart = word.parse().map_err(|error| undrawn(&error))?;
    let material = material(asked)?;
    let package = packages(asked)?.swap_remove(0);
    let rule = |bed: &Bed, months| {
        let before_spring = || TopUpTrigger::before_spring(bed.climate().latitude_deg);
        let below = asked.number(&BELOW).map(TopUpTrigger::BelowRimM);
        rule(
            (&material, &package),
            below.unwrap_or_else(before_spring),
            months,
        )
    };
    let pictures = asked.wholes(&PICTURES);
    let mut options = moulder_chart::ChartOptions::default().months(&pictures);
    if let Some(width_px) = asked.whole(&WIDTH) {
        options = options.width_px(width_px);
    }
    let filled = beds.first().map_or_else(Default::default, Bed::filled);
    let drawing = Drawing {
        chart,
        months: asked.whole(&MONTHS),
        draws: asked.ensemble(usual_draws(chart)),
        today: asked.today(filled),
        rule: &rule,
        options,
        last_month: pictures.iter().max().copied(),
        progress,
    };
    match drawing.of(&beds) {
        Ok(svg) => text(&Drawn { svg: svg.file() }),
        Err(NoDrawing::Unanswered(error)) => Err(error.into()),
        Err(NoDrawing::Undrawn(error)) => Err(undrawn(&error)),
    }
}

fn undrawn(error: &moulder_chart::ChartError) -> Refused {
    Refused::plain(FaultCode::BadOption, error.to_string())
}

/// A page.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Page {
    /// A whole HTML file.
    html: String,
}

fn report(asked: Asked<'_>, progress: &Progress<'_>) -> Answered {
    const MONTHS_TOLD: u32 = 24;
    let beds = asked.beds()?;
    let wanted = wanted(asked, &beds, DRAWN)?;
    let usual = moulder::internals::uncertainty::ensemble::Realisations::usual_count;
    let rule = |trigger, months| moulder::internals::topup::TopUpRule {
        most_m: wanted.most_m,
        yearly_budget: wanted.buying.yearly_budget.filter(|_| !wanted.shares),
        ..rule((&wanted.material, &wanted.package), trigger, months)
    };
    let filled = beds.first().map_or_else(Default::default, Bed::filled);
    let report = Report {
        today: asked.today(filled),
        months: asked.whole(&MONTHS_ON).unwrap_or(MONTHS_TOLD),
        is_full: asked.flag(&FULL),
        paper: asked.text(&PAPER).map(|word| match word {
            "letter" => moulder_page::Paper::Letter,
            "a5" => moulder_page::Paper::A5,
            _ => moulder_page::Paper::A4,
        }),
        draws: &|bed| asked.ensemble(usual(bed)),
        feed_share: asked.number(&FEED),
        rule: &rule,
        buying: wanted.shares.then_some(&wanted.buying),
        progress,
    };
    let document = asked.document_text(&BEDS_GIVEN);
    let document = document.filter(|_| !asked.flag(&ONE_SHEET));
    let html = report.page(&beds, document.as_deref())?;
    text(&Page { html })
}

fn materials(asked: Asked<'_>, _progress: &Progress<'_>) -> Answered {
    let library = asked.library()?;
    match asked.text(&NAME_OF) {
        None => text(&library.materials().collect::<Vec<_>>()),
        Some(name) => {
            let material = library.material(name);
            text(&[material.map_err(|error| Refused::of(&error, "/name"))?])
        }
    }
}

/// Climates that were asked for.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged)]
enum Climates<'l> {
    /// Those on the list.
    Stations(Vec<&'l Station>),
    /// That of a town or place.
    Place(Box<Climate>),
}

fn climates(asked: Asked<'_>, _progress: &Progress<'_>) -> Answered {
    let library = asked.library()?;
    if let [latitude, longitude] = asked.list(&NEAR) {
        let at = [latitude, longitude].map(|degrees| degrees.as_f64().unwrap_or_default());
        let climate = library.spot(at, asked.number(&HEIGHT_ABOVE_SEA));
        let climate = climate.map_err(|error| Refused::of(&error, "/near"))?;
        return text(&Climates::Place(Box::new(climate)));
    }
    let Some(name) = asked.text(&NAME_OF) else {
        return text(&Climates::Stations(library.stations().collect()));
    };
    if let Some(station) = library.find_station(name) {
        return text(&Climates::Stations(vec![station]));
    }
    let climate = library.place(name);
    let climate = climate.map_err(|error| Refused::of(&error, "/name"))?;
    text(&Climates::Place(Box::new(climate)))
}

fn towns(asked: Asked<'_>, _progress: &Progress<'_>) -> Answered {
    /// Where nothing is said.
    const TOWNS: u32 = 8;
    let most = asked.whole(&MOST_TOWNS).unwrap_or(TOWNS);
    let begins = asked.text(&BEGINS).unwrap_or_default();
    text(&asked.library()?.towns(begins, most as usize))
}

//! One run of the program: what was typed in, an answer and an exit code out.

use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{CommandFactory, Parser};

use crate::arguments::{Arguments, Command};
use crate::output::{self, Output};
use crate::starter::starter;
use crate::trouble::Trouble;
use crate::{
    chart, check, climates, codes, compare, fit, forecast, ledger, materials, plan, report, topup,
    unknowns, usage,
};

/// What `moulder` alone says.
const FIRST_STEPS: &str = "\
moulder forecasts how a deep bed filled with logs and green waste sinks.
Get a bed file to make your own:  moulder new box -o bed.toml
Then ask how far it will sink:    moulder forecast bed.toml
";

/// What to do with a page.
const PAGE_HINT: &str = "Open it in any browser, or print it.";

/// Runs the program.
pub(crate) fn run() -> ExitCode {
    let done = match Arguments::try_parse() {
        Ok(arguments) => answer(arguments.command),
        Err(refusal) => refused(&refusal),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            let code = trouble.exit_code();
            trouble.tell(asks_json());
            ExitCode::from(code)
        }
    }
}

/// Whether a program asked: the words alone say so, whatever became of them.
fn asks_json() -> bool {
    let words = std::env::args_os().skip(1);
    let mut options = words.take_while(|word| word != "--");
    options.any(|word| word == "--json")
}

fn answer(command: Option<Command>) -> Result<(), Trouble> {
    match command {
        None => output::screen(FIRST_STEPS),
        Some(Command::Forecast(asked)) => {
            let output = Output::open(&asked.destination, &asked.bed.paths())?;
            output.put(&forecast::answer(&asked)?, "")
        }
        Some(Command::Ledger(asked)) => {
            let output = Output::open(&asked.destination, &asked.bed.paths())?;
            output.put(&ledger::answer(&asked)?, "")
        }
        Some(Command::Chart(asked)) => chart::answer(&asked),
        Some(Command::Report(asked)) => {
            let output = Output::open(&asked.destination, &asked.bed.paths())?;
            output.put(&report::answer(&asked)?, PAGE_HINT)
        }
        Some(Command::Compare(asked)) => {
            let output = Output::open(&asked.destination, &asked.paths())?;
            let hint = if asked.page { PAGE_HINT } else { "" };
            output.put(&compare::answer(&asked)?, hint)
        }
        Some(Command::Fit(asked)) => {
            let output = Output::open(&asked.destination, &asked.bed.paths())?;
            output.put(&fit::answer(&asked)?, "")
        }
        Some(Command::Unknowns(asked)) => {
            let output = Output::open(&asked.destination, &asked.bed.paths())?;
            output.put(&unknowns::answer(&asked)?, "")
        }
        Some(Command::Topup(asked)) => {
            let output = Output::open(&asked.destination, &asked.paths())?;
            output.put(&topup::answer(&asked)?, "")
        }
        Some(Command::Plan(asked)) => {
            let output = Output::open(&asked.destination, &asked.paths())?;
            let hint = if asked.write_bed.is_some() {
                "Look at it with moulder check, or ask moulder forecast how it sinks."
            } else {
                ""
            };
            output.put(&plan::answer(&asked)?, hint)
        }
        Some(Command::Check(asked)) => output::screen(&check::answer(&asked)?),
        Some(Command::Materials(asked)) => output::screen(&materials::answer(&asked)?),
        Some(Command::Climates(asked)) => output::screen(&climates::answer(&asked)?),
        Some(Command::Codes(asked)) => output::screen(&codes::answer(&asked)?),
        Some(Command::New(asked)) => {
            let output = Output::open(&asked.destination, &[])?;
            let file = output.name().unwrap_or_else(|| "bed.toml".to_owned());
            output.put(
                &starter(asked.shape, asked.units, asked.hemisphere, &file),
                "Make it your own in any text editor, then look at it with moulder check.",
            )
        }
        Some(Command::Schema) => {
            output::screen(&output::pretty(&moulder::internals::bed::document::schema()))
        }
    }
}

/// Help and version are answers, and so is "moulder help"; anything else that does not
/// parse is bad input.
fn refused(refusal: &clap::Error) -> Result<(), Trouble> {
    let asks_help = refusal.get(ContextKind::InvalidSubcommand)
        == Some(&ContextValue::String("help".to_owned()));
    let text = match refusal.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => refusal.render().to_string(),
        _ if asks_help => Arguments::command().render_help().to_string(),
        _ => return Err(Trouble::BadInput(vec![usage::complaint(refusal)])),
    };
    // A list that is asked for by a value comes with the heading of a refusal.
    let text = text.strip_prefix("error: ").unwrap_or(&text);
    // The parser leaves blanks where it leaves a line empty.
    let lines = text.lines().map(|line| line.trim_end().to_owned() + "\n");
    output::screen(&lines.collect::<String>())
}

//! One run of the program: what was typed in, an answer and an exit code out.

use std::ffi::OsString;
use std::path::Path;
use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{CommandFactory, Parser};

use crate::command::Arguments;
use crate::trouble::{Trouble, screen, usage};

/// Runs the program.
pub(crate) fn run() -> ExitCode {
    let done = match Arguments::try_parse_from(with_answer(std::env::args_os().collect())) {
        Ok(arguments) => arguments.answer(),
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

/// The words with the command `answer` before a bed that stands first: a name that ends as bed files
/// do or holds a path separator, a folder that exists, or "-". Commands win.
fn with_answer(mut words: Vec<OsString>) -> Vec<OsString> {
    let is_bed = words.get(1).is_some_and(|word| {
        let path = Path::new(word);
        let ending = path
            .extension()
            .map(|ending| ending.to_string_lossy().to_lowercase());
        let is_command = Arguments::command()
            .get_subcommands()
            .any(|command| word == command.get_name());
        let is_option = word.to_string_lossy().starts_with('-') && word != "-";
        !is_command
            && !is_option
            && (word == "-"
                || matches!(ending.as_deref(), Some("toml" | "json"))
                || path.components().count() > 1
                || path.is_dir())
    });
    if is_bed {
        words.insert(1, "answer".into());
    }
    words
}

/// Whether a program asked: the words alone say so, whatever became of them.
fn asks_json() -> bool {
    let words = std::env::args_os().skip(1);
    let mut options = words.take_while(|word| word != "--");
    options.any(|word| word == "--json")
}

/// The help of the command after "help", as --help gives it; that of all where there is none.
fn help() -> String {
    let mut all = Arguments::command();
    all.build();
    let of = std::env::args().nth(2).unwrap_or_default();
    match all.find_subcommand_mut(&of) {
        Some(command) => command.render_long_help().to_string(),
        None => all.render_help().to_string(),
    }
}

/// Help and version are answers, and so is "moulder help"; anything else that does not
/// parse is bad input.
fn refused(refusal: &clap::Error) -> Result<(), Trouble> {
    let asks_help = refusal.get(ContextKind::InvalidSubcommand)
        == Some(&ContextValue::String("help".to_owned()));
    let text = match refusal.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => refusal.render().to_string(),
        _ if asks_help => help(),
        _ => return Err(Trouble::BadInput(vec![usage::complaint(refusal)])),
    };
    // A list that is asked for by a value comes with the heading of a refusal.
    let text = text.strip_prefix("error: ").unwrap_or(&text);
    // The parser leaves blanks where it leaves a line empty.
    let lines = text.lines().map(|line| line.trim_end().to_owned() + "\n");
    screen(&lines.collect::<String>())
}

//! One run of the program: what was typed in, an answer and an exit code out.

use std::ffi::OsString;
use std::path::Path;
use std::process::ExitCode;

use clap::error::ErrorKind;
use clap::{CommandFactory, Parser};

use crate::command::Arguments;
use crate::trouble::{Trouble, screen, usage};

/// Runs the program.
pub(crate) fn run() -> ExitCode {
    let done = match Arguments::try_parse_from(in_full(std::env::args_os().collect())) {
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

/// The words as they are understood: "help forecast" is "forecast --help", and `answer` is put before
/// a bed that stands first: a name that ends as bed files do or holds a path separator, a folder that
/// exists, or "-". Commands win.
fn in_full(mut words: Vec<OsString>) -> Vec<OsString> {
    if words.get(1).is_some_and(|word| word == "help") {
        words.remove(1);
        words.push("--help".into());
    }
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

/// Help and version are answers; anything else that does not parse is bad input.
fn refused(refusal: &clap::Error) -> Result<(), Trouble> {
    let text = match refusal.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => refusal.render().to_string(),
        _ => return Err(Trouble::BadInput(vec![usage::complaint(refusal)])),
    };
    // A list that is asked for by a value comes with the heading of a refusal.
    let text = text.strip_prefix("error: ").unwrap_or(&text);
    // The parser leaves blanks where it leaves a line empty.
    let lines = text.lines().map(|line| line.trim_end().to_owned() + "\n");
    screen(&lines.collect::<String>())
}

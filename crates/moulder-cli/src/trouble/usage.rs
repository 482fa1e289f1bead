//! Errors of the command line in plain words.

use clap::error::{ContextKind, ContextValue, ErrorKind};
use moulder::internals::fault::FaultCode;

use crate::trouble::complaint::Complaint;
use crate::trouble::refusal::{Refusal, did_you_mean};

/// The refusal of a command line that does not parse.
pub(crate) fn complaint(refusal: &clap::Error) -> Complaint {
    let code = match refusal.kind() {
        ErrorKind::MissingRequiredArgument | ErrorKind::MissingSubcommand => {
            FaultCode::MissingOption
        }
        _ => FaultCode::BadOption,
    };
    let of = |kind| told(refusal, kind);
    let option = of(ContextKind::InvalidArg) + &of(ContextKind::InvalidSubcommand);
    let option = group(&option)
        .and_then(|options| options.first().cloned())
        .unwrap_or(option);
    Complaint::of(
        Refusal::new(code, in_words(refusal))
            .option(option.split(' ').next().unwrap_or_default())
            .found(&of(ContextKind::InvalidValue), &[""; 0]),
    )
}

fn told(refusal: &clap::Error, kind: ContextKind) -> String {
    refusal.get(kind).map(words).unwrap_or_default()
}

/// The message for a command line that does not parse.
fn in_words(refusal: &clap::Error) -> String {
    let told = |kind| told(refusal, kind);
    let what = told(ContextKind::InvalidArg);
    let value = told(ContextKind::InvalidValue);
    match refusal.kind() {
        ErrorKind::MissingRequiredArgument => missing(&what),
        ErrorKind::InvalidSubcommand => {
            // The parser names the likeliest last.
            let near = told(ContextKind::SuggestedSubcommand);
            let hint = did_you_mean(near.rsplit(", ").next().unwrap_or_default());
            format!(
                "There is no command {}.{hint} \"moulder --help\" lists the commands.",
                told(ContextKind::InvalidSubcommand)
            )
        }
        ErrorKind::InvalidValue if value.is_empty() => {
            format!("{} needs a value after it.", bare(&what))
        }
        ErrorKind::InvalidValue => {
            let near = told(ContextKind::SuggestedValue);
            // What was meant is about as long as what was typed.
            let is_meant = near.len().abs_diff(value.len()) <= 2;
            let hint = did_you_mean(if is_meant { &near } else { "" });
            format!(
                "{} cannot be \"{value}\".{hint} It can be {}.",
                bare(&what),
                told(ContextKind::ValidValue)
            )
        }
        ErrorKind::ValueValidation => {
            let why = std::error::Error::source(refusal).map(ToString::to_string);
            format!(
                "{} cannot be \"{value}\": {}.",
                bare(&what),
                why.unwrap_or_else(|| "it is not a number it can take".to_owned())
            )
        }
        ErrorKind::UnknownArgument => {
            let hint = did_you_mean(&told(ContextKind::SuggestedArg));
            let is_number = |text: &str| text.starts_with(|sign: char| sign.is_ascii_digit());
            let is_minus = what.strip_prefix('-').is_some_and(is_number);
            let usage = told(ContextKind::Usage);
            for (command, said) in MINUS {
                if is_minus && usage.contains(command) {
                    return (*said).to_owned();
                }
            }
            format!(
                "\"{what}\" is not understood here.{hint} Add --help to see what can be \
                 typed; a number after an option cannot be negative."
            )
        }
        ErrorKind::ArgumentConflict => format!(
            "{} and {} do not go together: leave one out.",
            bare(&what),
            bare(&told(ContextKind::PriorArg))
        ),
        _ => refusal.render().to_string().replace("error: ", ""),
    }
}

/// Commands that take a figure without a minus, and what to write instead.
const MINUS: &[(&str, &str)] = &[
    (
        "moulder tape",
        "Where the soil stands above the rim say so instead of a minus, as in \"3 cm above\".",
    ),
    (
        "moulder added",
        "What was laid on is more than nothing: write it without a minus, as in \"3 barrow\". What \
         was written down by mistake is taken out again with --undo.",
    ),
    (
        "moulder fed",
        "What was fed is more than nothing: write it without a minus, as in \"55 g\". What was \
         written down by mistake is taken out again with --undo.",
    ),
];

/// What is missing, with how it would be typed.
fn missing(what: &str) -> String {
    if what.contains("<BED>") {
        "Put the bed file after it, as in: moulder forecast my-bed.toml. \"moulder new box -o \
         my-bed.toml\" writes one to start from."
            .to_owned()
    } else if what.contains("<WHAT>") {
        "Say what to start from, as in: moulder new box. It can be box, round, bag, mound or plan."
            .to_owned()
    } else if what.contains("<PLAN>") {
        "Put the plan file after it, as in: moulder plan my-plan.toml. \"moulder new plan -o \
         my-plan.toml\" writes one to start from."
            .to_owned()
    } else if what.contains("<OTHER>") {
        "Put two bed files or more after it, as in: moulder compare my-bed.toml \
         my-other-bed.toml. They are compared with the first."
            .to_owned()
    } else if what.contains("<DEPTH>") {
        "Say how far the soil lies below the rim, as in: moulder tape my-bed.toml \"31 cm\"."
            .to_owned()
    } else if what.contains("<AMOUNT>") || what.contains("--with <MATERIAL>") {
        "Say how much of what was laid on it, as in: moulder added my-bed.toml \"3 barrow\" --with \
         \"garden compost\"."
            .to_owned()
    } else if what.contains("<WEIGHT>") || what.contains("--feed <LABEL>") {
        "Say how much of what feed was given, as in: moulder fed my-bed.toml \"55 g\" --feed \
         \"13 % N\"."
            .to_owned()
    } else {
        format!("{} is missing.", bare(what))
    }
}

/// The options of a group of which one is needed: `<--output <FILE>|--calendar <FILE>>`.
fn group(argument: &str) -> Option<Vec<String>> {
    let options = argument.strip_prefix('<')?.strip_suffix('>')?;
    let options = options.starts_with("--").then_some(options)?;
    Some(options.split('|').map(bare).collect())
}

/// An argument without the marks of its placeholder: `--months <N>` is "--months".
fn bare(argument: &str) -> String {
    match argument {
        "<BED>" => "The bed file".to_owned(),
        other => match group(other) {
            Some(options) => options.join(" or "),
            None => other.split(' ').next().unwrap_or(other).to_owned(),
        },
    }
}

fn words(value: &ContextValue) -> String {
    match value {
        ContextValue::String(text) => text.clone(),
        ContextValue::Strings(texts) => texts.join(", "),
        other => other.to_string(),
    }
}

//! Why a command gave no answer, or could not say so, and with which code it ends.

use crate::lines::{TextWidth, wrapped};

/// Why a command gave no answer.
#[derive(Debug)]
pub(crate) enum Trouble {
    /// It could not be done: a file that cannot be read or written. Ends with 1.
    CannotDo(String),
    /// What was typed or what the bed file says will not do. Ends with 2.
    BadInput(String),
    /// As `BadInput`, but a program asked, and its answer is what is wrong. Ends with 2.
    BadInputAnswered(String),
    /// The answer, where `--strict` was asked for and a warning stands. Ends with 3.
    NoticesStand(String),
    /// The answer stands whole in its file, and only that could not be printed. Ends with 4.
    Written(String),
}

impl Trouble {
    /// It could not be done, in a sentence.
    pub(crate) fn cannot(said: &str) -> Self {
        Self::CannotDo(wrapped(said, TextWidth::PLAIN))
    }

    /// The input will not do, in a sentence.
    pub(crate) fn bad_input(said: &str) -> Self {
        Self::BadInput(wrapped(said, TextWidth::PLAIN))
    }

    /// The file is there and whole; what could not be said of it, in a sentence.
    pub(crate) fn written(said: &str) -> Self {
        Self::Written(wrapped(said, TextWidth::PLAIN))
    }

    /// The code the program ends with.
    pub(crate) const fn exit_code(&self) -> u8 {
        match self {
            Self::CannotDo(_) => 1,
            Self::BadInput(_) | Self::BadInputAnswered(_) => 2,
            Self::NoticesStand(_) => 3,
            Self::Written(_) => 4,
        }
    }
}

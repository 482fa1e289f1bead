//! Why a command gave no answer, and its exit code.

pub(crate) mod complaint;
pub(crate) mod refusal;
pub(crate) mod usage;

use std::io;

use moulder::internals::fault::error::Error;
use moulder::internals::fault::{FaultCode, Place};

use crate::print::lines::plain;
use crate::print::screen::{complain, pretty, print, reason};
use complaint::Complaint;
use refusal::Refusal;

/// Why a command gave no answer.
#[derive(Debug)]
pub(crate) enum Trouble {
    /// It could not be done: a file that cannot be read or written. Ends with 1.
    CannotDo(Complaint),
    /// What was typed or what the files say will not do. Ends with 2.
    BadInput(Vec<Complaint>),
    /// The answer, where `--strict` was asked for and a warning stands. Ends with 3.
    NoticesStand(String),
    /// The answer stands whole in its file, and only that could not be printed. Ends with 4.
    Written(String),
}

impl Trouble {
    /// It could not be done.
    pub(crate) fn cannot(refusal: Refusal) -> Self {
        Self::CannotDo(Complaint::of(refusal))
    }

    /// The input will not do.
    pub(crate) fn bad_input(refusal: Refusal) -> Self {
        Self::BadInput(vec![Complaint::of(refusal)])
    }

    /// An option will not do with the rest of what was asked.
    pub(crate) fn bad_option(option: &str, said: impl Into<String>) -> Self {
        Self::bad_input(Refusal::new(FaultCode::BadOption, said).option(option))
    }

    /// Of an error about the bed in the file of that name.
    pub(crate) fn of_error(name: &str, error: &Error) -> Self {
        let refused = |code| Refusal::new(code, format!("{name}: {error}.")).file(name);
        let option = |option| Self::bad_input(refused(FaultCode::BadOption).option(option));
        match error {
            Error::Stopped => Self::cannot(refused(FaultCode::Stopped)),
            // The layers of a valid file fit: it is a later addition that does not.
            Error::NoRoom(_) => {
                let pointer = "/added".to_owned();
                let refusal = refused(FaultCode::NoRoom).path(&pointer);
                Self::bad_input(refusal.at(Place::Pointer { pointer }))
            }
            Error::NoReading => Self::bad_input(refused(FaultCode::MissingField).path("/reading")),
            Error::NoSoil => option("--with"),
            Error::TooManyDraws { .. }
            | Error::TooFewDraws { .. }
            | Error::TooMuchToHold { .. } => option("--draws"),
            _ => option("--months"),
        }
    }

    /// The file is written, but that could not be printed.
    pub(crate) fn written(said: &str) -> Self {
        Self::Written(plain(said))
    }

    /// The code the program ends with.
    pub(crate) const fn exit_code(&self) -> u8 {
        match self {
            Self::CannotDo(_) => 1,
            Self::BadInput(_) => 2,
            Self::NoticesStand(_) => 3,
            Self::Written(_) => 4,
        }
    }

    /// Reports it: to people on standard error, to programs in place of the answer.
    pub(crate) fn tell(self, for_programs: bool) {
        let complaints = match self {
            // The exit code says it all when even this cannot be printed.
            Self::NoticesStand(answer) => return screen(&answer).unwrap_or(()),
            Self::Written(said) => return complain(&said),
            Self::CannotDo(complaint) => vec![complaint],
            Self::BadInput(complaints) => complaints,
        };
        let refusals = Complaint::refusals(&complaints);
        // Where answers cannot be printed, that is the trouble.
        if !for_programs || screen(&pretty(&refusals)).is_err() {
            complain(&Complaint::words(&complaints));
        }
    }
}

/// Prints an answer.
pub(crate) fn screen(text: &str) -> Result<(), Trouble> {
    print(text).map_err(|error| unprinted(&error))
}

/// An answer that cannot be printed.
pub(crate) fn unprinted(error: &io::Error) -> Trouble {
    let said = format!("The answer cannot be printed: {}.", reason(error));
    Trouble::cannot(Refusal::new(FaultCode::Unwritable, said))
}

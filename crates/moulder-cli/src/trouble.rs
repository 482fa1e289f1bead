//! Why a command gave no answer, or could not say so, and with which code it ends.

use moulder::internals::fault::FaultCode;

use crate::complaint::Complaint;
use crate::lines::{TextWidth, wrapped};
use crate::output::{complain, pretty, screen};
use crate::refusal::Refusal;

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

    /// The file is there and whole; what could not be said of it, in a sentence.
    pub(crate) fn written(said: &str) -> Self {
        Self::Written(wrapped(said, TextWidth::PLAIN))
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

    /// Tells it: to people where complaints go, to programs where the answer would be.
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

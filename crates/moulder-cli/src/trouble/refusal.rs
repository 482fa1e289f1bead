//! One fault that prevents an answer, in one form whatever it is.

use moulder::internals::fault::library_fault::LibraryFault;
use moulder::internals::fault::{Fault, FaultCode, Place, sentence};
use moulder::internals::text::phrase::joined;
use serde::Serialize;

/// One fault that prevents an answer, as reported to programs.
#[derive(Debug, Serialize)]
pub(crate) struct Refusal {
    /// What kind it is; `moulder codes` has them all.
    code: FaultCode,
    /// Where it stands in its file, where it stands in one.
    place: Option<Place>,
    /// The field it speaks of, as a JSON Pointer; empty where it is none.
    path: String,
    found: String,
    expected: String,
    help: Vec<String>,
    file: Option<String>,
    /// What was typed that it speaks of ("--latitude"; "<BED>" where a file is missing).
    option: Option<String>,
    material: Option<String>,
    /// The whole of it in a sentence, without its place.
    said: String,
}

impl Refusal {
    /// A refusal of that kind, in a sentence.
    pub(crate) fn new(code: FaultCode, said: impl Into<String>) -> Self {
        Self {
            code,
            place: None,
            path: String::new(),
            found: String::new(),
            expected: String::new(),
            help: Vec::new(),
            file: None,
            option: None,
            material: None,
            said: said.into(),
        }
    }

    /// A name that is not known: what is nearest to it stands between the two sentences.
    pub(crate) fn unknown(
        code: FaultCode,
        said: &str,
        more: &str,
        name: &str,
        nearest: &[impl AsRef<str>],
    ) -> Self {
        let meant: Vec<String> = nearest
            .iter()
            .map(|near| format!("\"{}\"", near.as_ref()))
            .collect();
        let meant = did_you_mean(&joined(&meant, "or"));
        Self::new(code, format!("{said}{meant} {more}")).found(name, nearest)
    }

    /// Of a fault of a bed, a plan or weather.
    pub(crate) fn of_fault(fault: &Fault) -> Self {
        Self {
            place: Some(fault.place.clone()),
            path: fault.path.clone(),
            found: fault.found.clone(),
            expected: fault.expected.clone(),
            help: fault.help.clone(),
            ..Self::new(fault.code, sentence::sentence(fault) + more(fault.code))
        }
    }

    /// Of a fault in what was typed and would have become a part of a file.
    pub(crate) fn of_typed(fault: &Fault, option: &str, said: String) -> Self {
        Self {
            place: None,
            option: Some(option.to_owned()),
            said,
            ..Self::of_fault(fault)
        }
    }

    /// Of a fault of a file of materials.
    pub(crate) fn of_shelf(fault: &LibraryFault) -> Self {
        let material = Some(fault.material.clone()).filter(|name| !name.is_empty());
        Self {
            place: Some(fault.place.clone()),
            material,
            ..Self::new(fault.code, fault.said.clone())
        }
    }

    /// The file it speaks of.
    pub(crate) fn file(self, name: &str) -> Self {
        let file = Some(name.to_owned());
        Self { file, ..self }
    }

    /// The option or argument it speaks of.
    pub(crate) fn option(self, name: &str) -> Self {
        let option = Some(name.to_owned()).filter(|name| !name.is_empty());
        Self { option, ..self }
    }

    /// Where it stands in its file.
    pub(crate) fn at(self, place: Place) -> Self {
        let place = Some(place);
        Self { place, ..self }
    }

    /// The field it speaks of.
    pub(crate) fn path(self, path: &str) -> Self {
        let path = path.to_owned();
        Self { path, ..self }
    }

    /// What was found, and what would do.
    pub(crate) fn found(self, found: &str, help: &[impl AsRef<str>]) -> Self {
        Self {
            found: found.to_owned(),
            help: help.iter().map(|text| text.as_ref().to_owned()).collect(),
            ..self
        }
    }

    /// The whole of it in a sentence.
    pub(crate) fn said(&self) -> &str {
        &self.said
    }
}

/// The command that says more of such a fault, after its sentence; most have none.
pub(crate) const fn more(code: FaultCode) -> &'static str {
    match code {
        FaultCode::UnknownClimate => " moulder climates lists them all.",
        _ => "",
    }
}

/// A question after what may have been meant; empty where nothing is near.
pub(crate) fn did_you_mean(near: &str) -> String {
    if near.is_empty() {
        String::new()
    } else {
        format!(" Did you mean {near}?")
    }
}

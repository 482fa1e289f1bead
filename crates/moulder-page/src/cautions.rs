//! Notices, in the order in which they matter.

use moulder::filled::{Topic, topic};
use moulder::{Notice, Severity};
use moulder_words::guide;
use moulder_words::notice::{Once, layers, once as once_for_all_layers, sentence};

use crate::name::in_a_line;

/// A notice in words.
#[derive(Clone)]
pub(crate) struct Caution {
    /// How much it matters, in a word or two.
    pub(crate) weight: &'static str,
    /// Its class in the style sheet.
    pub(crate) class: &'static str,
    /// The layer it speaks of; empty where it is the whole bed.
    pub(crate) layer: String,
    /// The sentence.
    pub(crate) text: String,
}

/// The source of a notice.
pub(crate) struct Backing {
    /// What it is about.
    pub(crate) cause: &'static str,
    /// The source.
    pub(crate) source: &'static str,
}

/// The notices of a bed.
pub(crate) struct Cautions {
    /// What may hurt someone, which stands at the top of the page.
    pub(crate) dangers: Vec<Caution>,
    /// What may hurt someone or spoil something: dangers, then warnings.
    pub(crate) warnings: Vec<Caution>,
    /// What is good to know.
    pub(crate) notes: Vec<Caution>,
    /// What to check before filling, which the file cannot know.
    pub(crate) before: Vec<Caution>,
    /// Codes that the file acknowledges.
    pub(crate) seen: String,
    /// Where all of them come from, each once.
    pub(crate) backing: Vec<Backing>,
}

impl Cautions {
    /// Those notices, of a bed with layers of these names.
    pub(crate) fn of(notices: &[Notice], layers: &[String]) -> Self {
        let (seen, open): (Vec<&Notice>, Vec<&Notice>) =
            notices.iter().partition(|notice| notice.acknowledged);
        let told = |wanted: &dyn Fn(&Notice) -> bool| -> Vec<Caution> {
            let wanted = open.iter().copied().filter(|notice| wanted(notice));
            let wanted = once_for_all_layers(wanted);
            wanted.iter().map(|said| caution(said, layers)).collect()
        };
        let is_note = |notice: &Notice| notice.severity == Severity::Note;
        let is_before = |notice: &Notice| topic(&notice.code) == Topic::BeforeFilling;
        let is_danger = |notice: &Notice| notice.severity == Severity::Danger;
        let mut warnings = told(&is_danger);
        warnings.extend(told(&|notice| notice.severity == Severity::Warning));
        Self {
            dangers: told(&is_danger),
            warnings,
            notes: told(&|notice| is_note(notice) && !is_before(notice)),
            before: told(&|notice| is_note(notice) && is_before(notice)),
            seen: once(&seen).join(", "),
            backing: once(&open).into_iter().filter_map(backing).collect(),
        }
    }
}

fn caution(said: &Once, names: &[String]) -> Caution {
    let notice = &said.notice;
    let (weight, class) = match notice.severity {
        Severity::Danger => ("Danger", "danger"),
        Severity::Warning => ("Take care", "warning"),
        Severity::Note => ("", "note"),
    };
    let named = said.layers.iter().filter_map(|index| {
        let name = names.get(*index)?;
        Some((index + 1, in_a_line(name)))
    });
    let layer = layers(&named.collect::<Vec<_>>());
    Caution {
        weight,
        class,
        layer,
        text: in_a_line(&sentence(notice)),
    }
}

fn backing(code: &str) -> Option<Backing> {
    let entry = guide::find(code)?;
    Some(Backing {
        cause: entry.cause,
        source: entry.source?,
    })
}

/// The codes, each once, in the order in which they come.
fn once<'a>(notices: &[&'a Notice]) -> Vec<&'a str> {
    let mut codes = Vec::new();
    for notice in notices {
        if !codes.contains(&&*notice.code) {
            codes.push(&*notice.code);
        }
    }
    codes
}

//! Notices in words. Dangers stand before anything else that is said of a bed; warnings come
//! in their place, then what is good to know.

use moulder::internals::fault::notice::{Notice, Severity, Topic, topic};
use moulder::internals::fault::sentence;
use moulder::internals::text::phrase::joined;

use crate::print::lines::{apart, counted, hanging, listed, plain};
use crate::print::screen::complain;

/// Where the texts of a list begin; characters.
const TEXT: usize = 19;

/// The dangers among the notices of one bed, or of what `whom` names.
pub(crate) fn first(whom: &str, notices: &[Notice], layers: &[String]) -> String {
    let (_, open) = parted(notices);
    let dangers = of(&open, Severity::Danger);
    let told = dangers.map(|notice| format!("{}\n", paragraph(whom, notice, layers)));
    told.collect()
}

/// The same, where the answer itself is no words: on the side, before it.
pub(crate) fn aside(first: &str) {
    if !first.is_empty() {
        complain(first);
    }
}

/// All other notices: those that warn in a paragraph each, the rest in lists. Nothing when
/// there are none.
pub(crate) fn told(notices: &[Notice], layers: &[String]) -> String {
    let (seen, open) = parted(notices);
    let mut said = String::new();
    let warnings = of(&open, Severity::Warning);
    for notice in warnings.chain(notes(&open, Topic::Course)) {
        said.push('\n');
        said += &paragraph("", notice, layers);
    }
    let lists = [
        (Topic::Bed, "Good to know:"),
        (
            Topic::BeforeFilling,
            "Before you fill, where it applies; local codes and experts have the last word:",
        ),
    ];
    for (topic, heading) in lists {
        let mut rows = notes(&open, topic).peekable();
        if rows.peek().is_some() {
            said += &apart(heading);
            for notice in rows {
                said += &listed(&notice.code, &row(notice), TEXT);
            }
        }
    }
    let mut last = acknowledged(&seen);
    let mut cautions = open
        .iter()
        .filter(|notice| topic(&notice.code) != Topic::Course);
    if let Some(least) = cautions.next_back() {
        let more = format!(
            "Why, and who says so: moulder codes WORD. Seen to it? Put its word into the file, \
             above [bed], as in seen = [\"{}\"].",
            least.code
        );
        last += &plain(&more);
    }
    if !last.is_empty() {
        said.push('\n');
        said.push_str(&last);
    }
    said
}

/// What a forecast says of them: its own notices in full, the cautions of the bed by their
/// words.
pub(crate) fn in_short(notices: &[Notice], layers: &[String]) -> String {
    let (seen, mut open) = parted(notices);
    open.retain(|notice| notice.severity != Severity::Danger);
    let (in_full, rest): (Vec<&Notice>, Vec<&Notice>) = open
        .into_iter()
        .partition(|notice| topic(&notice.code) == Topic::Course);
    let mut said = String::new();
    let warnings = of(&in_full, Severity::Warning);
    for notice in warnings.chain(of(&in_full, Severity::Note)) {
        said.push('\n');
        said += &paragraph("", notice, layers);
    }
    if !rest.is_empty() {
        said.push('\n');
        let words = words(of(&rest, Severity::Warning));
        let notes = of(&rest, Severity::Note).count();
        let notes = (notes > 0).then(|| counted(notes, "note", "notes"));
        let more = "moulder check says what to do";
        let text = match (words.is_empty(), notes) {
            (true, notes) => format!("{} on the fill: {more}.", notes.unwrap_or_default()),
            (false, notes) => {
                let all: Vec<String> = words.into_iter().chain(notes).collect();
                format!("Take care, on the fill: {}; {more}.", joined(&all, "and"))
            }
        };
        said += &hanging(0, 2, &text);
    }
    if !seen.is_empty() {
        said.push('\n');
    }
    said += &acknowledged(&seen);
    said
}

/// A paragraph for each, whatever it speaks of.
pub(crate) fn in_full(notices: &[Notice], layers: &[String]) -> String {
    let told: Vec<String> = notices
        .iter()
        .map(|notice| paragraph("", notice, layers))
        .collect();
    told.join("\n")
}

/// Which notices keep a strict check from passing.
pub(crate) fn standing(notices: &[Notice]) -> String {
    let standing = notices.iter().filter(|notice| notice.stands());
    let text = match words(standing) {
        words if words.is_empty() => "Strict: nothing stands in the way.".to_owned(),
        words => format!(
            "Strict: {} must be mended, or acknowledged in the file under seen.",
            joined(&words, "and")
        ),
    };
    format!("\n{}", plain(&text))
}

/// Those that are acknowledged, and those that are not.
fn parted(notices: &[Notice]) -> (Vec<&Notice>, Vec<&Notice>) {
    notices.iter().partition(|notice| notice.acknowledged)
}

/// Notes on that topic.
fn notes<'a>(notices: &'a [&'a Notice], on: Topic) -> impl Iterator<Item = &'a Notice> {
    of(notices, Severity::Note).filter(move |notice| topic(&notice.code) == on)
}

fn of<'a>(notices: &'a [&'a Notice], severity: Severity) -> impl Iterator<Item = &'a Notice> {
    let all = notices.iter().copied();
    all.filter(move |notice| notice.severity == severity)
}

/// Their words, each once.
fn words<'a>(notices: impl Iterator<Item = &'a Notice>) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for notice in notices {
        if words.iter().all(|word| *word != notice.code) {
            words.push(notice.code.to_string());
        }
    }
    words
}

/// Those that the file acknowledges, in a line.
fn acknowledged(seen: &[&Notice]) -> String {
    let words = words(seen.iter().copied());
    if words.is_empty() {
        return String::new();
    }
    let text = format!("Acknowledged in the file: {}.", words.join(", "));
    hanging(0, 2, &text)
}

/// A notice, with what it is about where `whom` names that.
fn paragraph(whom: &str, notice: &Notice, layers: &[String]) -> String {
    let weight = match notice.severity {
        Severity::Note => "Note",
        Severity::Warning => "Take care",
        Severity::Danger => "Danger",
    };
    let whom = if whom.is_empty() {
        String::new()
    } else {
        format!(", {whom}")
    };
    let layer = notice
        .layer
        .and_then(|index| Some((index + 1, layers.get(index)?)))
        .map_or_else(String::new, |(number, name)| {
            format!(", layer {number} ({name})")
        });
    let text = format!(
        "{weight}{whom}{layer}: {} ({})",
        sentence::notice(notice),
        notice.code
    );
    hanging(0, 2, &text)
}

/// A text for a list, with the number of its layer.
fn row(notice: &Notice) -> String {
    let text = sentence::notice(notice);
    match notice.layer {
        Some(index) => format!("Layer {}: {text}", index + 1),
        None => text,
    }
}

//! Notices in words, each once for all layers that raise it alike. Dangers stand before anything
//! else that is said of a bed; warnings come in their place, then what is good to know.

use moulder::internals::fault::notice::{Notice, Severity, Topic, topic};
use moulder::internals::fault::once::{Once, once};
use moulder::internals::fault::sentence;
use moulder::internals::text::phrase::{self, joined};

use crate::print::lines::{apart, counted, hanging, listed, plain};
use crate::print::screen::complain;

/// Where the texts of a list begin; characters.
const TEXT: usize = 19;

/// The dangers among the notices of one bed, or of what `whom` names.
pub(crate) fn first(whom: &str, notices: &[Notice], layers: &[String]) -> String {
    let (_, open) = parted(notices);
    let dangers = once(of(&open, Severity::Danger));
    let told = dangers.iter();
    let told = told.map(|said| {
        let layers = numbered(&said.layers, layers);
        format!("{}\n", paragraph(whom, said, &layers))
    });
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
    for notice in once(warnings.chain(notes(&open, Topic::Course))) {
        said.push('\n');
        said += &paragraph("", &notice, &numbered(&notice.layers, layers));
    }
    let lists = [
        (Topic::Bed, "Good to know:"),
        (
            Topic::BeforeFilling,
            "Before you fill, where it applies; local codes and experts have the last word:",
        ),
    ];
    for (topic, heading) in lists {
        let rows = once(notes(&open, topic));
        if !rows.is_empty() {
            said += &apart(heading);
            for notice in rows {
                said += &listed(&notice.notice.code, &row(&notice), TEXT);
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
    in_short_of(notices, &|of| numbered(of, layers))
}

/// The same of several beds at once, whose layers have names but no common numbers.
pub(crate) fn in_short_by_name(notices: &[Notice], layers: &[String]) -> String {
    in_short_of(notices, &|of| {
        let named: Vec<&String> = of.iter().filter_map(|index| layers.get(*index)).collect();
        joined(&named, "and")
    })
}

fn in_short_of(notices: &[Notice], name: &dyn Fn(&[usize]) -> String) -> String {
    let (seen, mut open) = parted(notices);
    open.retain(|notice| notice.severity != Severity::Danger);
    let (in_full, rest): (Vec<&Notice>, Vec<&Notice>) = open
        .into_iter()
        .partition(|notice| topic(&notice.code) == Topic::Course);
    let mut said = String::new();
    let warnings = of(&in_full, Severity::Warning);
    for notice in once(warnings.chain(of(&in_full, Severity::Note))) {
        said.push('\n');
        said += &paragraph("", &notice, &name(&notice.layers));
    }
    if !rest.is_empty() {
        said.push('\n');
        let words = words(of(&rest, Severity::Warning));
        let notes = once(of(&rest, Severity::Note)).len();
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
    let told: Vec<String> = once(notices)
        .iter()
        .map(|said| paragraph("", said, &numbered(&said.layers, layers)))
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

/// Layers of a bed by number and name.
fn numbered(of: &[usize], names: &[String]) -> String {
    let named = of.iter();
    let named = named.filter_map(|index| Some((index + 1, names.get(*index)?)));
    phrase::layers(&named.collect::<Vec<_>>())
}

/// A notice, with what it is about where `whom` and `layers` name that.
fn paragraph(whom: &str, said: &Once, layers: &str) -> String {
    let notice = &said.notice;
    let weight = match notice.severity {
        Severity::Note => "Note",
        Severity::Warning => "Take care",
        Severity::Danger => "Danger",
    };
    let about = [whom, layers].map(|about| match about {
        "" => String::new(),
        about => format!(", {about}"),
    });
    let text = format!(
        "{weight}{}: {} ({})",
        about.concat(),
        sentence::notice(notice),
        notice.code
    );
    hanging(0, 2, &text)
}

/// A text for a list, with the numbers of its layers.
fn row(said: &Once) -> String {
    let text = sentence::notice(&said.notice);
    let numbers: Vec<String> = said.layers.iter().map(|at| (at + 1).to_string()).collect();
    match numbers.as_slice() {
        [] => text,
        [one] => format!("Layer {one}: {text}"),
        many => format!("Layers {}: {text}", joined(many, "and")),
    }
}

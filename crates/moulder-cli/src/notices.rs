//! Notices in words.

use moulder::notice::{Notice, Severity};
use moulder::text;

use crate::lines::{TextWidth, wrapped};

/// All notices, a paragraph each; nothing when there are none.
pub(crate) fn told(notices: &[Notice], layers: &[String]) -> String {
    let mut said = String::new();
    for notice in notices {
        let weight = match notice.severity {
            Severity::Note => "Note",
            Severity::Warning => "Take care",
            Severity::Danger => "Danger",
        };
        let layer = notice
            .layer
            .and_then(|index| Some((index + 1, layers.get(index)?)))
            .map_or_else(String::new, |(number, name)| {
                format!(", layer {number} ({name})")
            });
        let text = format!("{weight}{layer}: {}", text::notice(notice));
        said.push('\n');
        said.push_str(&wrapped(&text, TextWidth::hanging(0, 2)));
    }
    said
}

//! Entries of a list in the text of a bed file: one more of them, or one less.
//!
//! In TOML the text is cut and joined: what is around an entry stays as it is to the byte,
//! with its comments, blanks and line ends, and taking an entry out again undoes it. JSON is
//! written anew, its fields in the order in which they stood.

use std::ops::Range;

use jiff::civil::Date;
use serde::Serialize;
use serde_json::ser::{PrettyFormatter, Serializer};
use serde_json::{Map, Value};
use toml_edit::{Array, ArrayOfTables, Document, Item, Table};

/// What some editors put before a text.
const MARK: char = '\u{feff}';
/// What stands around a text without being part of it.
const BLANKS: [char; 4] = [' ', '\t', '\r', '\n'];

/// An entry as it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Entry {
    /// Its day, which stands first.
    pub(crate) on: Date,
    /// Its other fields by name.
    pub(crate) fields: Vec<(&'static str, String)>,
    /// What stands after the last field, where the form has comments; no field.
    pub(crate) remark: Option<String>,
}

/// A bed file as text.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Text<'t> {
    /// What it says.
    pub(crate) text: &'t str,
    /// Whether it is JSON; else it is TOML.
    pub(crate) json: bool,
}

impl Text<'_> {
    /// The text with one more entry at the end of that list; none where the list is none.
    pub(crate) fn with(self, list: &str, entry: &Entry) -> Option<String> {
        if self.json {
            return self.json_with(list, |entries| {
                entries.push(entry.value());
                Some(())
            });
        }
        let body = Body::of(self.text);
        let document = Document::parse(body.text).ok()?;
        match document.get(list) {
            None => {
                let end = body.text.trim_end_matches(BLANKS).len();
                Some(body.spliced(end..end, &entry.block(list, body.line_end())))
            }
            Some(Item::ArrayOfTables(tables)) => {
                let last = body.table(tables, tables.len().checked_sub(1)?)?;
                let at = last.end;
                Some(body.spliced(at..at, &entry.block(list, body.line_end())))
            }
            Some(item) => body.with_inline(item.as_array()?, entry),
        }
    }

    /// The text without the entry of that number in the list; none where there is none.
    pub(crate) fn without(self, list: &str, number: usize) -> Option<String> {
        if self.json {
            return self.json_with(list, |entries| {
                (number < entries.len()).then(|| entries.remove(number))?;
                Some(())
            });
        }
        let body = Body::of(self.text);
        let document = Document::parse(body.text).ok()?;
        let taken = match document.get(list)? {
            Item::ArrayOfTables(tables) => body.block(body.table(tables, number)?),
            item => inline(item.as_array()?, number)?,
        };
        Some(body.spliced(taken, ""))
    }

    /// The JSON with a changed list; an empty one is left out.
    fn json_with(
        self,
        list: &str,
        change: impl FnOnce(&mut Vec<Value>) -> Option<()>,
    ) -> Option<String> {
        let body = Body::of(self.text);
        let mut fields: Map<String, Value> = serde_json::from_str(body.text).ok()?;
        let entries = fields
            .entry(list)
            .or_insert_with(|| Value::Array(Vec::new()));
        let Value::Array(entries) = entries else {
            return None;
        };
        change(entries)?;
        if entries.is_empty() {
            fields.shift_remove(list);
        }
        let mut written = Vec::new();
        let indent = body.indent();
        let formatter = PrettyFormatter::with_indent(indent.as_bytes());
        let mut writer = Serializer::with_formatter(&mut written, formatter);
        fields.serialize(&mut writer).ok()?;
        let written = String::from_utf8(written).ok()?;
        let written = written.replace('\n', body.line_end());
        let end = body.text.trim_end_matches(BLANKS).len();
        Some(body.spliced(0..end, &written))
    }
}

impl Entry {
    /// Its fields as TOML, each with its name.
    fn written(&self) -> Vec<(&'static str, String)> {
        let quoted = |text: &String| toml_edit::Value::from(text.as_str()).to_string();
        let others = self.fields.iter();
        [("on", self.on.to_string())]
            .into_iter()
            .chain(others.map(|(name, text)| (*name, quoted(text))))
            .collect()
    }

    /// A table of its own in TOML, which comes after the end of a line and before its line
    /// end.
    fn block(&self, list: &str, line_end: &str) -> String {
        let fields = self.written();
        let wide = fields.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
        let lines = fields
            .into_iter()
            .map(|(name, text)| format!("{line_end}{name:wide$} = {text}"));
        let lines: String = lines.collect();
        let remark = self.remark.iter().map(|remark| format!(" # {remark}"));
        let remark: String = remark.collect();
        format!("{line_end}{line_end}[[{list}]]{lines}{remark}")
    }

    /// An entry of a list on one line.
    fn on_a_line(&self) -> String {
        let fields = self.written().into_iter();
        let fields: Vec<String> = fields
            .map(|(name, text)| format!("{name} = {text}"))
            .collect();
        format!("{{ {} }}", fields.join(", "))
    }

    /// As JSON.
    fn value(&self) -> Value {
        let others = self.fields.iter();
        let fields = [("on", self.on.to_string())]
            .into_iter()
            .chain(others.map(|(name, text)| (*name, text.clone())));
        let fields = fields.map(|(name, text)| (name.to_owned(), Value::String(text)));
        Value::Object(fields.collect())
    }
}

/// A text without the mark before it.
struct Body<'t> {
    mark: &'static str,
    text: &'t str,
}

impl<'t> Body<'t> {
    fn of(text: &'t str) -> Self {
        match text.strip_prefix(MARK) {
            Some(text) => Self {
                mark: "\u{feff}",
                text,
            },
            None => Self { mark: "", text },
        }
    }

    /// The whole text with that in place of a part.
    fn spliced(&self, part: Range<usize>, with: &str) -> String {
        let (before, after) = (&self.text[..part.start], &self.text[part.end..]);
        [self.mark, before, with, after].concat()
    }

    /// How its first line ends.
    fn line_end(&self) -> &'static str {
        match self.text.split_once('\n') {
            Some((first, _)) if first.ends_with('\r') => "\r\n",
            _ => "\n",
        }
    }

    /// What its first indented line begins with.
    fn indent(&self) -> String {
        let indents = self.text.lines().map(|line| {
            let blank = line.len() - line.trim_start_matches([' ', '\t']).len();
            &line[..blank]
        });
        let mut indents = indents.filter(|indent| !indent.is_empty());
        indents.next().unwrap_or("  ").to_owned()
    }

    /// Where the line of a place begins.
    fn line_start(&self, at: usize) -> usize {
        self.text[..at].rfind('\n').map_or(0, |end| end + 1)
    }

    /// Where the line of a place ends, before its line end.
    fn line_stop(&self, at: usize) -> usize {
        let stop = self.text[at..]
            .find('\n')
            .map_or(self.text.len(), |end| at + end);
        if stop > at && self.text[..stop].ends_with('\r') {
            stop - 1
        } else {
            stop
        }
    }

    /// Where the line before one that begins there ends, before its line end; none before the
    /// first.
    fn line_before(&self, start: usize) -> Option<usize> {
        let text = self.text[..start].strip_suffix('\n')?;
        Some(text.strip_suffix('\r').unwrap_or(text).len())
    }

    /// The lines of a table in such a list, without the last line end.
    fn table(&self, tables: &ArrayOfTables, number: usize) -> Option<Range<usize>> {
        let table = tables.get(number)?;
        let head = table.span()?;
        let stop = last_value(table).unwrap_or(head.end).max(head.end);
        Some(self.line_start(head.start)..self.line_stop(stop))
    }

    /// The lines of a table, with what parts them from what is before: the line end, and an
    /// empty line.
    fn block(&self, lines: Range<usize>) -> Range<usize> {
        let Some(before) = self.line_before(lines.start) else {
            return lines;
        };
        let line = &self.text[self.line_start(before)..before];
        let start = if line.trim_matches(BLANKS).is_empty() {
            let start = self.line_start(before);
            self.line_before(start).unwrap_or(start)
        } else {
            before
        };
        start..lines.end
    }

    /// The text with one more entry in a list between brackets.
    fn with_inline(&self, array: &Array, entry: &Entry) -> Option<String> {
        let entry = entry.on_a_line();
        let Some(last) = array.iter().last() else {
            let at = array.span()?.start + 1;
            return Some(self.spliced(at..at, &entry));
        };
        let last = last.span()?;
        let start = self.line_start(last.start);
        let lead = &self.text[start..last.start];
        // Each entry on a line of its own, or all on one.
        let gap = if lead.trim_matches(BLANKS).is_empty() {
            format!(",{}{lead}", self.line_end())
        } else {
            ", ".to_owned()
        };
        Some(self.spliced(last.end..last.end, &(gap + &entry)))
    }
}

/// Where the last value of a table ends.
fn last_value(table: &Table) -> Option<usize> {
    let spans = table.iter().filter_map(|(_, item)| item.span());
    spans.map(|span| span.end).max()
}

/// An entry of a list between brackets, with what parts it from the others.
fn inline(array: &Array, number: usize) -> Option<Range<usize>> {
    let span = |number: usize| array.get(number)?.span();
    let this = span(number)?;
    if let Some(before) = number.checked_sub(1) {
        return Some(span(before)?.end..this.end);
    }
    match span(1) {
        Some(next) => Some(this.start..next.start),
        None => Some(this.start..array.span()?.end - 1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry() -> Entry {
        Entry {
            on: moulder::date(2026, 9, 14),
            fields: vec![
                ("below-rim", "31 cm".to_owned()),
                ("note", "by \"the\" shed".to_owned()),
            ],
            remark: None,
        }
    }

    const BLOCK: &str =
        "[[reading]]\non        = 2026-09-14\nbelow-rim = \"31 cm\"\nnote      = 'by \"the\" shed'";

    fn toml(text: &str) -> Text<'_> {
        Text { text, json: false }
    }

    /// One more entry and one less is the text as it was, and between the two all else is.
    fn there_and_back(text: &str, number: usize, with: &str) {
        let written = toml(text).with("reading", &entry()).unwrap();
        assert_eq!(written, with);
        assert_eq!(toml(&written).without("reading", number).unwrap(), text);
    }

    #[test]
    fn a_first_entry_stands_at_the_end() {
        for end in ["", "\n", "\n\n\n", "  \n# remember the hose\n"] {
            let text = format!("a = 1 # one\n[bed]\nrim = \"9 cm\"{end}");
            let kept = text.trim_end();
            let with = format!("{kept}\n\n{BLOCK}{}", &text[kept.len()..]);
            there_and_back(&text, 0, &with);
        }
    }

    #[test]
    fn line_ends_and_the_mark_of_an_editor_are_kept() {
        let text = "\u{feff}a = 1\r\n\r\n[bed]\r\nrim = \"9 cm\"\r\n";
        let block = BLOCK.replace('\n', "\r\n");
        let with = format!("{}\r\n\r\n{block}\r\n", text.trim_end());
        there_and_back(text, 0, &with);
        assert!(!with.replace("\r\n", "").contains('\n'));
    }

    #[test]
    fn one_more_entry_stands_after_the_last() {
        let text = "# What the tape said.\n[[reading]]\non = 2026-06-01\nbelow-rim = \"2 cm\" # wet\n\
                    # the last\n\n[[added]]\non = 2026-07-01\n";
        let (before, after) = text.split_once("\n# the last").unwrap();
        let with = format!("{before}\n\n{BLOCK}\n# the last{after}");
        there_and_back(text, 1, &with);
        // An older one goes with its lines, and what is above it stays.
        let without = toml(text).without("reading", 0).unwrap();
        assert_eq!(
            without,
            "# What the tape said.\n# the last\n\n[[added]]\non = 2026-07-01\n"
        );
        assert_eq!(toml(text).without("reading", 1), None);
        assert_eq!(toml(text).without("fed", 0), None);
    }

    #[test]
    fn lists_between_brackets_stay_such() {
        let line = "{ on = 2026-09-14, below-rim = \"31 cm\", note = 'by \"the\" shed' }";
        let one = "reading = [{ on = 2026-06-01, height = \"2 cm\" }]\n[bed]\n";
        there_and_back(one, 1, &one.replace("}]", &format!("}}, {line}]")));
        let lines = "reading = [\n  { on = 2026-06-01, height = \"2 cm\" }, # wet\n]\n";
        let with = lines.replace("}, #", &format!("}},\n  {line}, #"));
        there_and_back(lines, 1, &with);
        there_and_back("reading = []\n", 0, &format!("reading = [{line}]\n"));
        assert_eq!(
            toml(lines).without("reading", 0).unwrap(),
            "reading = [\n  ]\n"
        );
        let second = toml(&with).without("reading", 0).unwrap();
        assert_eq!(second, format!("reading = [\n  {line}, # wet\n]\n"));
    }

    /// In every bed file of the demos and the tests, whatever it holds.
    #[test]
    fn all_else_stays_in_every_bed_file() {
        let mut count = 0;
        for folder in ["../../examples/beds", "tests/beds"] {
            for file in std::fs::read_dir(folder).unwrap() {
                let path = file.unwrap().path();
                let Ok(text) = std::fs::read_to_string(&path) else {
                    continue;
                };
                let json = path.extension().is_some_and(|ending| ending == "json");
                if json || Document::parse(text.as_str()).is_err() {
                    continue;
                }
                for list in ["reading", "added", "fed"] {
                    let heading = format!("[[{list}]]");
                    let number = text.lines().filter(|line| **line == heading).count();
                    let written = toml(&text).with(list, &entry()).unwrap();
                    let block = BLOCK.replace("[[reading]]", &format!("[[{list}]]"));
                    assert!(written.contains(&block), "{written}");
                    assert_eq!(written.len(), text.len() + block.len() + 2);
                    assert_eq!(toml(&written).without(list, number).unwrap(), text);
                    count += 1;
                }
            }
        }
        assert!(count > 20);
    }

    #[test]
    fn json_keeps_the_order_of_its_fields_and_its_indent() {
        for (indent, line_end) in [("  ", "\n"), ("\t", "\r\n"), ("    ", "\n")] {
            let laid = |lines: &[&str]| {
                let lines: Vec<String> =
                    lines.iter().map(|line| line.replace('>', indent)).collect();
                lines.join(line_end)
            };
            let text = laid(&["{", ">\"name\": \"B\",", ">\"a\": 0.1", "}", ""]);
            let json = |text| Text { text, json: true };
            let written = json(&text).with("reading", &entry()).unwrap();
            let want = laid(&[
                "{",
                ">\"name\": \"B\",",
                ">\"a\": 0.1,",
                ">\"reading\": [",
                ">>{",
                ">>>\"on\": \"2026-09-14\",",
                ">>>\"below-rim\": \"31 cm\",",
                ">>>\"note\": \"by \\\"the\\\" shed\"",
                ">>}",
                ">]",
                "}",
                "",
            ]);
            assert_eq!(written, want);
            assert_eq!(json(&written).without("reading", 0).unwrap(), text);
        }
        let no_list = Text {
            text: "{\"reading\": 3}",
            json: true,
        };
        assert_eq!(no_list.with("reading", &entry()), None);
    }

    #[test]
    fn a_remark_stands_after_the_last_field() {
        let fed = Entry {
            on: moulder::date(2026, 5, 10),
            fields: vec![("nitrogen", "7.2 g".to_owned())],
            remark: Some("55 g of a feed with 13 % N".to_owned()),
        };
        let written = toml("a = 1\n").with("fed", &fed).unwrap();
        assert!(written.ends_with("\"7.2 g\" # 55 g of a feed with 13 % N\n"));
        assert_eq!(toml(&written).without("fed", 0).unwrap(), "a = 1\n");
    }
}

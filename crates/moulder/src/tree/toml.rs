//! TOML documents. The parser recovers from faults, so that one pass finds them all.

use std::ops::Range;

use jiff::civil::Date;
use toml::de::{DeTable, DeValue};
use toml_parser::lexer::TokenKind;

use super::{Entry, Node, Places, Tree, Unplaced, Value};
use crate::fault::FaultCode;
use crate::text::limit;
use crate::text::work;

/// Longest excerpt in one fault; bytes. A line may hold thousands of faults, each of which
/// extends to its end.
const EXCERPT: usize = 1024;

/// How often the parser is restarted after a line that it cannot recover from.
const RESTARTS: usize = 32;

/// Reads TOML. What cannot be read is reported and left out of the tree.
pub(crate) fn read_toml(text: &str) -> Tree<'_> {
    let places = Places::lines(text);
    if let Some(at) = long_key(text) {
        return Tree {
            root: broken(at),
            faults: vec![syntax(FaultCode::TooDeep, at, "", "", None)],
            places,
        };
    }
    let unseen = forbidden_controls(text);
    let blanked = |c| {
        if is_forbidden_control(c) { ' ' } else { c }
    };
    let mut readable: String = text.chars().map(blanked).collect();
    let mut faults = Vec::new();
    for _ in 0..RESTARTS {
        let Some(line) = unrecoverable_line(&readable, &mut faults) else {
            break;
        };
        readable.replace_range(line.clone(), &" ".repeat(line.len()));
    }
    let (root, errors) = DeTable::parse_recoverable(&readable);
    let mut errors: Vec<(Range<usize>, &str)> = errors
        .iter()
        .map(|error| (error.span().unwrap_or_default(), error.message()))
        .collect();
    errors.sort_by_key(|(span, _)| span.start);
    let trusted = trusted_until(&errors);
    let mut reported: Vec<Range<usize>> = unseen.iter().map(|at| *at..at + 1).collect();
    for (span, message) in errors {
        if span.start > trusted {
            break;
        }
        reported.push(span.clone());
        faults.push(fault(&readable, &span, message));
    }
    // Other messages on such a line come from the space put in place of the character.
    faults.retain(|fault| {
        fault.code != FaultCode::BadSyntax || !any_in_line(text, &unseen, fault.at)
    });
    let unseen = first_in_lines(text, &unseen);
    faults.extend(unseen.iter().map(|at| forbidden_control(text, *at)));
    faults.sort_by_key(|fault| fault.at);
    // One fault a line: one mistake causes several messages.
    faults.dedup_by(|later, earlier| {
        later.code == FaultCode::BadSyntax
            && earlier.code == FaultCode::BadSyntax
            && places.line(later.at) == places.line(earlier.at)
    });
    let converter = Converter {
        reported: with_furthest_ends(reported),
        trusted,
        text: &readable,
    };
    let root = converter.table(0, root.get_ref());
    Tree {
        root,
        faults,
        places,
    }
}

fn broken(at: usize) -> Node {
    Node {
        at,
        value: Value::Broken,
    }
}

fn syntax(code: FaultCode, at: usize, found: &str, expected: &str, help: Option<&str>) -> Unplaced {
    Unplaced {
        code,
        at,
        path: String::new(),
        found: found.to_owned(),
        expected: expected.to_owned(),
        help: help.map(str::to_owned).into_iter().collect(),
    }
}

/// Where a key of too many dotted names begins.
///
/// The parser limits each key alone, so that keys in tables within tables still nest thousands
/// deep, and dropping such a tree overflows the stack. The parser's own lexer is used, as it
/// alone agrees with the parser on what is a string.
fn long_key(text: &str) -> Option<usize> {
    let mut dots = 0;
    for token in toml_parser::Source::new(text).lex() {
        match token.kind() {
            TokenKind::Dot => {
                dots += 1;
                if dots >= limit::DOTTED_NAMES {
                    return Some(token.span().start());
                }
            }
            TokenKind::Equals
            | TokenKind::Comma
            | TokenKind::LeftSquareBracket
            | TokenKind::RightSquareBracket
            | TokenKind::LeftCurlyBracket
            | TokenKind::RightCurlyBracket
            | TokenKind::Newline => dots = 0,
            _ => {}
        }
    }
    None
}

/// Control characters that TOML forbids everywhere; each is one byte.
///
/// The parser ends a string at one and then misses its quote, so it is reported here and the
/// parser is given a space instead.
const fn is_forbidden_control(c: char) -> bool {
    c.is_ascii_control() && !matches!(c, '\t' | '\n' | '\r')
}

fn forbidden_controls(text: &str) -> Vec<usize> {
    let chars = text.char_indices();
    chars
        .filter_map(|(at, c)| is_forbidden_control(c).then_some(at))
        .collect()
}

/// The first of those offsets in each line.
fn first_in_lines(text: &str, places: &[usize]) -> Vec<usize> {
    let mut first = Vec::new();
    let mut line_end = 0;
    for at in places.iter().copied().filter(|at| *at < text.len()) {
        if first.is_empty() || at > line_end {
            first.push(at);
            line_end = text[at..]
                .find('\n')
                .map_or(text.len(), |length| at + length);
        }
    }
    first
}

fn forbidden_control(text: &str, at: usize) -> Unplaced {
    let found = text.get(at..=at).unwrap_or_default();
    let code = found.bytes().next().unwrap_or_default();
    let name = if code == 0 {
        "a NUL byte"
    } else {
        "a control sign"
    };
    let expected = format!("{name} (U+{code:04X}) stands here, which is no text; take it out");
    syntax(FaultCode::BadSyntax, at, found, &expected, None)
}

/// Whether any of those offsets, in file order, is in the line of `at`.
fn any_in_line(text: &str, places: &[usize], at: usize) -> bool {
    let at = text.floor_char_boundary(at);
    let start = text[..at].rfind('\n').map_or(0, |newline| newline + 1);
    let end = text[at..]
        .find('\n')
        .map_or(text.len(), |length| at + length);
    let first = places.partition_point(|place| *place < start);
    places.get(first).is_some_and(|place| *place < end)
}

/// Ranges in file order, each start with the furthest end up to it.
fn with_furthest_ends(mut places: Vec<Range<usize>>) -> Vec<(usize, usize)> {
    places.sort_by_key(|place| place.start);
    let mut furthest = 0;
    let ends = places.into_iter().map(|place| {
        furthest = place.end.max(furthest);
        (place.start, furthest)
    });
    ends.collect()
}

/// The first line that the parser cannot recover from, a name without `=`, which is reported.
///
/// The parser drops everything after it, so the line is blanked and the rest parsed again.
fn unrecoverable_line(readable: &str, faults: &mut Vec<Unplaced>) -> Option<Range<usize>> {
    let (_, errors) = DeTable::parse_recoverable(readable);
    let at = errors
        .iter()
        .filter(|error| error.message().starts_with("key with no value"))
        .filter_map(toml::de::Error::span)
        .map(|span| readable.floor_char_boundary(span.start))
        .min()?;
    let start = readable[..at].rfind('\n').map_or(0, |newline| newline + 1);
    let end = readable[at..]
        .find('\n')
        .map_or(readable.len(), |newline| at + newline);
    let line = readable[start..end].trim_end();
    if line.is_empty() {
        return None;
    }
    let indent = line.len() - line.trim_start().len();
    faults.push(no_value(start + indent, line.trim_start()));
    // The line end, which may be two bytes, stays.
    Some(start..start + line.len())
}

fn no_value(at: usize, line: &str) -> Unplaced {
    if line.starts_with("//") || line.starts_with("--") || line.starts_with(';') {
        let expected = "a remark begins with #";
        return syntax(FaultCode::BadSyntax, at, line, expected, None);
    }
    match line.split_once('=') {
        Some((name, value)) if !name.trim().contains(['"', '\'']) => {
            let help = format!("\"{}\" ={value}", name.trim());
            syntax(
                FaultCode::BadSyntax,
                at,
                line,
                "a name with blanks in it must stand in quotes",
                Some(&help),
            )
        }
        _ => syntax(
            FaultCode::BadSyntax,
            at,
            line,
            "a name needs = and a value after it",
            None,
        ),
    }
}

/// Up to which byte the tree is reliable: an unclosed list or table swallows what follows it, and
/// the first missing comma shows where.
fn trusted_until(errors: &[(Range<usize>, &str)]) -> usize {
    // A header without its brackets ("unclosed array table") affects one line only.
    let unclosed = |message: &str| {
        (message.starts_with("unclosed array") && !message.starts_with("unclosed array table"))
            || message.starts_with("unclosed inline table")
    };
    if !errors.iter().any(|(_, message)| unclosed(message)) {
        return usize::MAX;
    }
    errors
        .iter()
        .find(|(_, message)| STRUCTURE.iter().any(|begin| message.starts_with(begin)))
        .map_or(usize::MAX, |(span, _)| span.start)
}

/// Messages caused by a missing or an extra bracket or comma.
const STRUCTURE: &[&str] = &[
    "missing comma",
    "missing key for inline",
    "missing array opening",
    "missing inline table opening",
    "missing assignment",
    "invalid inline table element",
    "unexpected `=` in array",
    "extra comma",
    "unclosed",
];

/// How a message of the parser begins, with our wording.
const WORDS: &[(&str, &str)] = &[
    (
        "string values must be quoted",
        "a text must stand in quotes",
    ),
    (
        "invalid basic string",
        "a text must end with a quote on the same line",
    ),
    (
        "invalid literal string",
        "a text must end with a quote on the same line",
    ),
    (
        "invalid multi-line",
        "a text of several lines must end with three quotes",
    ),
    (
        "unexpected key or value",
        "only one value may stand after =",
    ),
    ("missing value", "a value is missing after ="),
    ("extra `=`", "one = is enough"),
    ("unquoted keys cannot be empty", "a name is missing"),
    (
        "invalid unquoted key",
        "a name may hold letters without accents, digits, - and _; others must stand in quotes",
    ),
    (
        "invalid inline table element",
        "a comma or a closing } is missing before this place",
    ),
    ("invalid mantissa", "a number must begin with a digit"),
    (
        "missing key for inline",
        "a name is missing; a list stands between [ and ]",
    ),
    (
        "missing comma",
        "a comma or a closing bracket is missing before this place",
    ),
    ("extra comma", "one comma is enough"),
    ("unclosed array table", "]] is missing"),
    ("unclosed table", "] is missing"),
    ("unclosed array", "] is missing"),
    ("unclosed inline table", "} is missing"),
    (
        "unexpected `=` in array",
        "a list holds values without names; a { may be missing",
    ),
    ("missing inline table opening", "{ is missing"),
    ("missing array opening", "[ is missing"),
    ("missing table open", "[ is missing"),
    ("missing key", "a name is missing"),
    (
        "missing assignment",
        "= is missing between a name and its value",
    ),
    (
        "invalid boolean",
        "true and false are written in small letters, in full",
    ),
    (
        "unexpected leading zero",
        "a number may not begin with a zero",
    ),
    (
        "invalid integer",
        "this is not a number; a text must stand in quotes",
    ),
    (
        "invalid float",
        "this is not a number; a text must stand in quotes",
    ),
    (
        "cannot extend value",
        "this name already has a value, and cannot be a table as well",
    ),
    (
        "carriage return",
        "this line ends in a sign that cannot be read",
    ),
    (
        "invalid comment character",
        "a remark may not hold control signs",
    ),
    (
        "missing escaped value",
        "a backslash in a text must be written twice",
    ),
];

/// A message of the parser as a fault.
fn fault(text: &str, span: &Range<usize>, message: &str) -> Unplaced {
    let start = text.floor_char_boundary(span.start);
    let end = span.end.min(start + EXCERPT);
    let end = text.ceil_char_boundary(end).max(start);
    work::count(end - start);
    let found = &text[start..end];
    if message == "duplicate key" {
        return syntax(FaultCode::RepeatedKey, start, found, "", None);
    }
    if message.starts_with("cannot recurse") {
        return syntax(FaultCode::TooDeep, start, "", "", None);
    }
    let scalar = around(text, start);
    if message.starts_with("invalid date") || looks_like_a_date(scalar) {
        return syntax(FaultCode::NotADate, start, scalar, "", None);
    }
    if let Some((whole, decimals)) = scalar.split_once(',')
        && are_digits(whole)
        && are_digits(decimals)
        && message.starts_with("unexpected key or value")
    {
        let help = format!("{whole}.{decimals}");
        return syntax(FaultCode::DecimalComma, start, scalar, "", Some(&help));
    }
    let words = WORDS.iter().find(|(begin, _)| message.starts_with(begin));
    let expected = words.map_or(
        "this does not follow the form of such a file",
        |(_, wording)| wording,
    );
    // Typographic quotes come from word processors, and are not quotes in TOML.
    let bare = found.trim().trim_matches(['“', '”', '„', '‘', '’', '"']);
    let unquoted = message.starts_with("string values must be quoted");
    if unquoted && is_a_date_in_words(bare) {
        return syntax(FaultCode::NotADate, start, bare, "", None);
    }
    if unquoted && let Some(truth) = truth(bare) {
        let expected = "yes and no are written as true and false";
        return syntax(FaultCode::BadSyntax, start, found, expected, Some(truth));
    }
    let help = (unquoted && !bare.is_empty()).then(|| format!("\"{bare}\""));
    syntax(
        FaultCode::BadSyntax,
        start,
        found,
        expected,
        help.as_deref(),
    )
}

/// The run of letters, digits and the characters of numbers and dates around an offset, no longer
/// than a date needs.
fn around(text: &str, at: usize) -> &str {
    const REACH: usize = 24;
    let part = |c: &char| c.is_alphanumeric() || "-./:,".contains(*c);
    let (before, after) = text.split_at(at);
    let length = |chars: &mut dyn Iterator<Item = char>| -> usize {
        chars.take(REACH).take_while(part).map(char::len_utf8).sum()
    };
    let start = at - length(&mut before.chars().rev());
    let end = at + length(&mut after.chars());
    &text[start..end]
}

fn are_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// Three numbers, one of four digits, separated by the same hyphen, point or slash.
fn looks_like_a_date(scalar: &str) -> bool {
    ['-', '.', '/'].into_iter().any(|c| {
        let parts: Vec<&str> = scalar.split(c).collect();
        parts.len() == 3
            && parts.iter().all(|part| are_digits(part))
            && parts.iter().any(|part| part.len() == 4)
    })
}

/// Words for true and false.
fn truth(bare: &str) -> Option<&'static str> {
    match bare.to_lowercase().as_str() {
        "yes" | "y" | "on" | "true" => Some("true"),
        "no" | "n" | "off" | "false" => Some("false"),
        _ => None,
    }
}

/// A few words, among them a month and a year: "4 April 2026", "12 Sept 2026".
fn is_a_date_in_words(bare: &str) -> bool {
    const MONTHS: [&str; 12] = [
        "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
    ];
    let words: Vec<String> = bare
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let month = |word: &String| MONTHS.iter().any(|month| word.starts_with(month));
    (2..=4).contains(&words.len())
        && words.iter().any(month)
        && words.iter().any(|word| word.len() == 4 && are_digits(word))
}

/// Converts the parser's tree, in file order, without what is already reported.
struct Converter<'a> {
    /// Where faults begin, in file order, each with the furthest end up to it.
    reported: Vec<(usize, usize)>,
    trusted: usize,
    text: &'a str,
}

impl Converter<'_> {
    fn table(&self, at: usize, table: &DeTable<'_>) -> Node {
        let mut entries: Vec<Entry> = table
            .iter()
            .filter(|(key, _)| key.span().start < self.trusted)
            .map(|(key, value)| Entry {
                key: key.get_ref().to_string(),
                at: key.span().start,
                node: self.node(value.span(), value.get_ref()),
            })
            .collect();
        entries.sort_by_key(|entry| entry.at);
        Node {
            at,
            value: Value::Table(entries),
        }
    }

    fn node(&self, span: Range<usize>, value: &DeValue<'_>) -> Node {
        let at = span.start;
        let value = match value {
            DeValue::Table(table) => return self.table(at, table),
            DeValue::Array(list) => Value::List(
                list.iter()
                    .filter(|item| item.span().start < self.trusted)
                    .map(|item| self.node(item.span(), item.get_ref()))
                    .collect(),
            ),
            _ if self.is_reported(&span) => Value::Broken,
            DeValue::String(text) => Value::Text(text.to_string()),
            DeValue::Boolean(truth) => Value::Bool(*truth),
            DeValue::Integer(number) => {
                match i64::from_str_radix(number.as_str(), number.radix()) {
                    Ok(whole) => Value::Whole(whole),
                    Err(_) => Value::Number(number.as_str().parse().unwrap_or(f64::INFINITY)),
                }
            }
            DeValue::Float(number) => Value::Number(number.as_str().parse().unwrap_or(f64::NAN)),
            DeValue::Datetime(when) => {
                let written = self.text.get(span).unwrap_or_default().to_owned();
                match (when.date, when.time, when.offset) {
                    (Some(date), None, None) => day(date).map_or(Value::Time(written), Value::Date),
                    _ => Value::Time(written),
                }
            }
        };
        Node { at, value }
    }

    /// Whether a fault lies in or next to a value, or the parser made the value up.
    fn is_reported(&self, span: &Range<usize>) -> bool {
        let before = self
            .reported
            .partition_point(|(start, _)| *start <= span.end);
        let furthest = before.checked_sub(1).map(|last| self.reported[last].1);
        span.is_empty() || furthest.is_some_and(|end| end >= span.start)
    }
}

fn day(date: toml::value::Date) -> Option<Date> {
    let year = i16::try_from(date.year).ok()?;
    let month = i8::try_from(date.month).ok()?;
    let day = i8::try_from(date.day).ok()?;
    Date::new(year, month, day).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(text: &str) -> Vec<(FaultCode, usize)> {
        let tree = read_toml(text);
        tree.faults
            .iter()
            .map(|fault| (fault.code, fault.at))
            .collect()
    }

    fn keys(text: &str) -> Vec<String> {
        match read_toml(text).root.value {
            Value::Table(entries) => entries.into_iter().map(|entry| entry.key).collect(),
            _ => Vec::new(),
        }
    }

    #[test]
    fn entries_come_in_file_order() {
        assert_eq!(keys("b = 1\na = 2\n[d]\n[c]\n"), ["b", "a", "d", "c"]);
    }

    #[test]
    fn the_rest_is_read_after_a_line_without_a_value() {
        let text = "a = 1\r\nbulk bag = \"3 L\"\r\nb = 2\r\nwidth \"9\"\r\nc = 3\r\n";
        assert_eq!(keys(text), ["a", "b", "c"]);
        let faults = read_toml(text).faults;
        assert_eq!(faults.len(), 2);
        assert_eq!(faults[0].help, ["\"bulk bag\" = \"3 L\""]);
        assert_eq!(faults[0].at, 7);
    }

    #[test]
    fn syntax_faults_are_found_together() {
        let text = "a = Bag 3\nb = 2026-13-45\nc = \"x\nd = 1\nd = 2\n";
        assert_eq!(
            codes(text),
            [
                (FaultCode::BadSyntax, 4),
                (FaultCode::NotADate, 14),
                (FaultCode::BadSyntax, 31),
                (FaultCode::RepeatedKey, 38),
            ]
        );
        assert_eq!(keys(text), ["a", "b", "c", "d"]);
    }

    #[test]
    fn an_unclosed_list_is_one_fault() {
        let text = "a = 1\nb = [1, 2\nc = 2\n[d]\ne = 3\n";
        assert_eq!(codes(text), [(FaultCode::BadSyntax, 16)]);
        assert_eq!(keys(text), ["a", "b"]);
    }

    #[test]
    fn long_keys_are_refused_and_texts_are_not() {
        for deep in [
            format!("{}a = 1", "a.".repeat(100_000)),
            format!("{}a = 1", "\"=\" . ".repeat(20_000)),
            // A string that ends late, to hide the key behind it.
            format!(
                "b = \"\"\" \\\"\"\" ''' \"\"\"\nc = {{ {}a = 1 }}",
                "a.".repeat(50)
            ),
            format!("x={}1", format!("{{{}a=", "a.".repeat(78)).repeat(79)),
        ] {
            let found = codes(&deep);
            assert_eq!(found.len(), 1, "{deep:.60}");
            assert_eq!(found[0].0, FaultCode::TooDeep, "{deep:.60}");
        }
        let text = "# ..............\na = \"..............\"\nb = '..............'\nc = \"\"\"\n............\"\"\"\nd = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]\n";
        assert_eq!(codes(text), []);
        assert_eq!(keys(text), ["a", "b", "c", "d"]);
    }

    /// In a string, a name, a comment or a bare value: only the character is reported, once a
    /// line, and the rest is read.
    #[test]
    fn control_characters_are_named() {
        let text = "a = \"\u{0}x\"\nb\u{7} = 1\n# \u{1b}[1m\u{1b}\nc = \u{0}2\nd = Bag 3\ne = 4\n";
        let tree = read_toml(text);
        let at = |c: char| text.find(c).unwrap_or_default();
        let places: Vec<usize> = tree.faults.iter().map(|fault| fault.at).collect();
        let bare = text.find("Bag").unwrap_or_default();
        let last = text.rfind('\u{0}').unwrap_or_default();
        assert_eq!(places, [at('\u{0}'), at('\u{7}'), at('\u{1b}'), last, bare]);
        assert!(tree.faults[0].expected.starts_with("a NUL byte (U+0000)"));
        assert!(
            tree.faults[2]
                .expected
                .starts_with("a control sign (U+001B)")
        );
        assert_eq!(tree.faults[0].found, "\u{0}");
        assert_eq!(keys(text), ["a", "b", "c", "d", "e"]);
        let one_line = "\u{0}".repeat(limit::FILE_BYTES);
        assert_eq!(read_toml(&one_line).faults.len(), 1);
        let lines = "\u{0}\n".repeat(limit::FILE_BYTES / 2);
        assert_eq!(read_toml(&lines).faults.len(), limit::FILE_BYTES / 2);
    }

    #[test]
    fn nested_brackets_do_not_overflow_the_stack() {
        for text in [
            "[".repeat(limit::FILE_BYTES),
            format!("a={}", "[".repeat(limit::FILE_BYTES - 2)),
            "a={b=".repeat(limit::FILE_BYTES / 5),
            "a=[".repeat(limit::FILE_BYTES / 3),
        ] {
            assert!(!read_toml(&text).faults.is_empty());
        }
    }

    #[test]
    fn numbers_out_of_bounds_are_numbers() {
        let tree = read_toml("a = 99999999999999999999999\nb = 1e999\nc = nan\nd = 0x1F\n");
        assert!(tree.faults.is_empty());
        let Value::Table(entries) = tree.root.value else {
            unreachable!("a file is a table")
        };
        assert_eq!(entries[0].node.value, Value::Number(1e23));
        assert_eq!(entries[1].node.value, Value::Number(f64::INFINITY));
        assert_eq!(entries[3].node.value, Value::Whole(31));
    }
}

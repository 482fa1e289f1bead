//! Values other than quantities: texts, words, dates, booleans, plain numbers.

use jiff::civil::Date;

use super::given::Given;
use super::walk::Walk;
use crate::fault::FaultCode;
use crate::read::field::{DONE_SYNONYMS, Kind, Range};
use crate::text::limit;
use crate::text::sign;
use crate::text::suggestion::suggested_entries;
use crate::tree::Value;

/// Permitted years of filling.
const YEARS: std::ops::RangeInclusive<i16> = 1900..=2200;

impl Walk<'_> {
    /// A whole number of the field's range.
    pub(super) fn whole_number(&mut self, given: &Given<'_>) -> Option<u32> {
        let number = self.number(given)?;
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "what is cut off is found by comparing"
        )]
        let whole = number as u32;
        if (f64::from(whole) - number).abs() < 1e-9 {
            return Some(whole);
        }
        if let Kind::Number(range) = &given.field.kind {
            self.fault(
                FaultCode::OutOfRange,
                given,
                number.to_string(),
                range.in_words,
            );
        }
        None
    }

    /// A text.
    pub(super) fn text(&mut self, given: &Given<'_>) -> Option<String> {
        let Kind::Text(most) = given.field.kind else {
            return None;
        };
        let Value::Text(text) = &given.node.value else {
            self.wrong_kind(given, "a text");
            return None;
        };
        self.plain(given, text, most)
    }

    /// A text without hidden characters and not too long.
    pub(super) fn plain(&mut self, given: &Given<'_>, text: &str, most: usize) -> Option<String> {
        let length = text.chars().count();
        if length > most {
            self.fault(
                FaultCode::TooLong,
                given,
                format!("{length} characters"),
                format!("at most {most} characters"),
            );
            return None;
        }
        // A note may have several lines; a name may not.
        let lines = most > limit::NAME_CHARACTERS;
        let mut chars = sign::marked(text);
        let hidden =
            chars.find(|(c, hidden)| *hidden && !(lines && matches!(c, '\n' | '\r' | '\t')));
        if let Some(expected) = to_read(text, hidden.map(|(c, _)| c)) {
            self.fault(FaultCode::BadText, given, text.to_owned(), expected);
            return None;
        }
        Some(text.trim().to_owned())
    }

    /// One of a few words.
    pub(super) fn word(&mut self, given: &Given<'_>) -> Option<&'static str> {
        let Kind::Word(words) = given.field.kind else {
            return None;
        };
        let Value::Text(text) = &given.node.value else {
            self.wrong_kind(given, &one_of(words));
            return None;
        };
        let known = words.iter().copied().find(|word| *word == text.as_str());
        if known.is_none() {
            self.unknown_word(given, given.node.at, text, words);
        }
        known
    }

    /// A list of words of the field.
    pub(super) fn words(&mut self, given: &Given<'_>) -> Vec<&'static str> {
        let Kind::Words(words) = given.field.kind else {
            return Vec::new();
        };
        self.words_of(given, words, &one_of(words))
    }

    /// A list of those words, with their description.
    pub(super) fn words_of(
        &mut self,
        given: &Given<'_>,
        words: &'static [&'static str],
        described: &str,
    ) -> Vec<&'static str> {
        let expected = format!("a list of {described}");
        let Value::List(nodes) = &given.node.value else {
            self.wrong_kind(given, &expected);
            return Vec::new();
        };
        let mut known = Vec::new();
        for node in nodes {
            match &node.value {
                Value::Text(text) => {
                    match words.iter().copied().find(|word| *word == text.as_str()) {
                        Some(word) if known.contains(&word) => self.found(
                            FaultCode::RepeatedKey,
                            node.at,
                            &given.path,
                            word.to_owned(),
                            "",
                            Vec::new(),
                        ),
                        Some(word) => known.push(word),
                        None => self.unlisted_word(given, node.at, text, words, described),
                    }
                }
                Value::Broken => {}
                other => self.found(
                    FaultCode::WrongKind,
                    node.at,
                    &given.path,
                    other.in_words(),
                    &expected,
                    vec![given.field.example.to_owned()],
                ),
            }
        }
        known
    }

    /// Reports a word that is not one of those.
    pub(super) fn unknown_word(
        &mut self,
        given: &Given<'_>,
        at: usize,
        text: &str,
        words: &[&str],
    ) {
        self.unlisted_word(given, at, text, words, &one_of(words));
    }

    /// Reports a word that is not one of those, with their description.
    fn unlisted_word(
        &mut self,
        given: &Given<'_>,
        at: usize,
        text: &str,
        words: &[&str],
        described: &str,
    ) {
        let help = if self.is_full() {
            Vec::new()
        } else {
            meant(text, words)
        };
        self.found(
            FaultCode::UnknownWord,
            at,
            &given.path,
            text.to_owned(),
            described,
            help,
        );
    }

    /// True or false.
    pub(super) fn boolean(&mut self, given: &Given<'_>) -> Option<bool> {
        if let Value::Bool(truth) = given.node.value {
            return Some(truth);
        }
        self.wrong_kind(given, "true or false");
        None
    }

    /// A date.
    pub(super) fn date(&mut self, given: &Given<'_>) -> Option<Date> {
        let (date, written) = match &given.node.value {
            Value::Date(date) => (Some(*date), date.to_string()),
            Value::Text(text) => (plain_date(text), text.clone()),
            Value::Time(text) => (None, text.clone()),
            _ => {
                self.wrong_kind(given, "a date");
                return None;
            }
        };
        match date {
            None => {
                self.fault(FaultCode::NotADate, given, written, "");
                None
            }
            Some(date) if !YEARS.contains(&date.year()) => {
                let expected = "a date from 1900 to 2200";
                self.fault(FaultCode::OutOfRange, given, written, expected);
                None
            }
            date => date,
        }
    }

    /// A plain number in the field's range.
    pub(super) fn number(&mut self, given: &Given<'_>) -> Option<f64> {
        let Kind::Number(range) = given.field.kind else {
            return None;
        };
        self.number_in(given, range)
    }

    /// A plain number in a range.
    pub(super) fn number_in(&mut self, given: &Given<'_>, range: Range) -> Option<f64> {
        #[expect(
            clippy::cast_precision_loss,
            reason = "a number that large is out of every range"
        )]
        let number = match &given.node.value {
            Value::Whole(number) => *number as f64,
            Value::Number(number) => *number,
            _ => {
                self.wrong_kind(given, range.in_words);
                return None;
            }
        };
        if range.holds(number) {
            return Some(number);
        }
        self.fault(
            FaultCode::OutOfRange,
            given,
            number.to_string(),
            range.in_words,
        );
        None
    }
}

/// What is expected of a text with that hidden character, or of a blank one; none where it is
/// valid.
pub(crate) fn to_read(text: &str, hidden: Option<char>) -> Option<String> {
    if let Some(hidden) = hidden {
        let hidden = sign::in_words(hidden);
        return Some(format!(
            "a text without the sign {hidden}, which is not seen"
        ));
    }
    let blank = text.trim().is_empty();
    blank.then(|| "a text with something to read in it, and no control signs".to_owned())
}

/// The words in quotes, with "or" before the last.
pub(super) fn one_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => format!("\"{one}\""),
        [first @ .., last] => format!("\"{}\" or \"{last}\"", first.join("\", \"")),
    }
}

/// Year, month and day with hyphens, and nothing else.
fn plain_date(text: &str) -> Option<Date> {
    let mut parts = text.split('-');
    let mut part = |digits: usize| {
        parts
            .next()
            .filter(|part| part.len() == digits && part.bytes().all(|byte| byte.is_ascii_digit()))
    };
    let (year, month, day) = (part(4)?, part(2)?, part(2)?);
    if parts.next().is_some() {
        return None;
    }
    Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok()
}
/// The words that may be meant by another: the one it is a synonym of, or else those spelt nearly
/// like it or like a synonym.
fn meant(text: &str, words: &[&str]) -> Vec<String> {
    let synonyms = |word: &str| -> &'static [&'static str] {
        let mut known = DONE_SYNONYMS.iter();
        known
            .find(|(known, _)| *known == word)
            .map_or(&[], |(_, synonyms)| synonyms)
    };
    let wanted = text.trim().to_lowercase();
    let is_synonym = |word: &&&str| synonyms(word).contains(&wanted.as_str());
    if let Some(word) = words.iter().find(is_synonym) {
        return vec![(*word).to_owned()];
    }
    let entries = words.iter().map(|word| (*word, synonyms(word)));
    let similar = suggested_entries(text, entries).into_iter();
    similar.map(str::to_owned).collect()
}

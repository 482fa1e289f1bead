//! What prevents an answer, in words for people and in one form for programs.

use crate::print::lines::plain;
use crate::trouble::refusal::Refusal;

/// What prevents an answer: all faults of one file, or a single refusal.
#[derive(Debug)]
pub(crate) struct Complaint {
    /// For people.
    words: String,
    /// For programs.
    refusals: Vec<Refusal>,
}

impl Complaint {
    /// Of all that is refused of one file, laid out in words.
    pub(crate) fn of_all(words: String, refusals: Vec<Refusal>) -> Self {
        Self { words, refusals }
    }

    /// Of a single refusal.
    pub(crate) fn of(refusal: Refusal) -> Self {
        let words = plain(refusal.said());
        Self::laid_out(words, refusal)
    }

    /// Of a single refusal with a longer text for people.
    pub(crate) fn laid_out(words: String, refusal: Refusal) -> Self {
        Self {
            words,
            refusals: vec![refusal],
        }
    }

    /// All complaints in words, one after the other.
    pub(crate) fn words(complaints: &[Self]) -> String {
        let words: Vec<&str> = complaints
            .iter()
            .map(|complaint| complaint.words.as_str())
            .collect();
        words.join("\n")
    }

    /// All that is refused, one after the other.
    pub(crate) fn refusals(complaints: &[Self]) -> Vec<&Refusal> {
        complaints
            .iter()
            .flat_map(|complaint| &complaint.refusals)
            .collect()
    }
}

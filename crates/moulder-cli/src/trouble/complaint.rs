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
    /// Of a single refusal.
    pub(crate) fn of(refusal: Refusal) -> Self {
        Self::laid_out(plain(refusal.said()), vec![refusal])
    }

    /// Of refusals that people read in other words.
    pub(crate) fn laid_out(words: String, refusals: Vec<Refusal>) -> Self {
        Self { words, refusals }
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

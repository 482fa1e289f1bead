//! Suggestions for a misspelt name.

use strsim::{normalized_damerau_levenshtein, osa_distance};

use crate::text::work;

/// Least similarity of a suggestion.
const LEAST_SIMILARITY: f64 = 0.5;

/// Factor on the similarity of one word of a name against the whole name.
const WORD: f64 = 0.9;

/// Similarity of a name that the input contains ("wheelbarrows", "barrow").
const CONTAINED: f64 = 0.6;

/// Most suggestions.
const MOST: usize = 3;

/// Longer inputs get no suggestion; comparing costs too much; characters.
const MAX_CHARACTERS: usize = 60;

/// Up to three of the candidates most similar to `wanted`, best first.
pub fn suggestions<'a>(wanted: &str, candidates: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let none: &[&str] = &[];
    suggested_entries(wanted, candidates.into_iter().map(|name| (name, none)))
        .into_iter()
        .map(str::to_owned)
        .collect()
}

/// Up to three names most similar to `wanted`, best first.
///
/// Each entry is a name with its synonyms, suggested once by its name. Ties keep the order given.
pub(crate) fn suggested_entries<'a, I, S>(wanted: &str, entries: I) -> Vec<&'a str>
where
    I: IntoIterator<Item = (&'a str, &'a [S])>,
    S: AsRef<str> + 'a,
{
    let wanted = wanted.trim().to_lowercase();
    if wanted.is_empty() || wanted.chars().count() > MAX_CHARACTERS {
        return Vec::new();
    }
    let mut similar: Vec<(f64, &str)> = entries
        .into_iter()
        .map(|(name, also)| {
            let others = also.iter().map(AsRef::as_ref);
            let best = core::iter::once(name)
                .chain(others)
                .map(|candidate| similarity(&wanted, &candidate.to_lowercase()))
                .fold(0.0, f64::max);
            (best, name)
        })
        .filter(|(similarity, _)| *similarity >= LEAST_SIMILARITY)
        .collect();
    similar.sort_by(|a, b| b.0.total_cmp(&a.0));
    similar
        .into_iter()
        .take(MOST)
        .map(|(_, name)| name)
        .collect()
}

/// Similarity from 0 to 1 of two names in lower case.
fn similarity(wanted: &str, candidate: &str) -> f64 {
    work::count(wanted.len() + candidate.len());
    let word = candidate
        .split_whitespace()
        // Short words ("UK", "log") match too much by chance, unless they are equal.
        .filter(|word| {
            *word == wanted
                || (word.chars().count() > 3
                    && min_edits(wanted, word) <= 2
                    && osa_distance(wanted, word) <= 2)
        })
        .map(|word| WORD * name_similarity(wanted, word))
        .fold(0.0, f64::max);
    // Short names are contained by chance, unless they stand as a word.
    let a_word = wanted.split_whitespace().any(|word| word == candidate);
    let contained = if a_word || (candidate.chars().count() > 4 && wanted.contains(candidate)) {
        CONTAINED
    } else {
        0.0
    };
    name_similarity(wanted, candidate).max(word).max(contained)
}

/// Similarity where it reaches [`LEAST_SIMILARITY`], else possibly 0: letter counts rule out most pairs
/// without the full comparison.
fn name_similarity(one: &str, other: &str) -> f64 {
    let longest = one.chars().count().max(other.chars().count());
    let most = u32::try_from(longest).unwrap_or(u32::MAX);
    if f64::from(min_edits(one, other)) > (1.0 - LEAST_SIMILARITY) * f64::from(most) {
        return 0.0;
    }
    normalized_damerau_levenshtein(one, other)
}

/// Lower bound of the edit distance, from letter counts: one edit adds or removes one letter, or
/// both.
fn min_edits(one: &str, other: &str) -> u32 {
    // Letters that share a bin only lower the bound.
    let mut counts = [0_i32; 64];
    let place = |c: char| (u32::from(c) % 64) as usize;
    for c in one.chars() {
        counts[place(c)] += 1;
    }
    for c in other.chars() {
        counts[place(c)] -= 1;
    }
    let sum = |counts: &mut dyn Iterator<Item = i32>| counts.map(i32::unsigned_abs).sum::<u32>();
    let more = sum(&mut counts.iter().copied().filter(|count| *count > 0));
    let less = sum(&mut counts.iter().copied().filter(|count| *count < 0));
    more.max(less)
}

#[cfg(test)]
mod tests {
    use super::{LEAST_SIMILARITY, name_similarity, suggested_entries, suggestions};
    use strsim::normalized_damerau_levenshtein;

    fn entries() -> Vec<(&'static str, Vec<String>)> {
        vec![
            ("beech log", vec!["Fagus log".into(), "beech".into()]),
            ("birch log", vec!["birch".into()]),
            ("turf", vec!["sods".into()]),
            ("garden compost", vec!["compost".into()]),
        ]
    }

    fn offered(wanted: &str) -> Vec<&'static str> {
        let entries = entries();
        let lent: Vec<(&'static str, &[String])> = entries
            .iter()
            .map(|(name, also)| (*name, also.as_slice()))
            .collect();
        // The names outlive the list of synonyms.
        let found = suggested_entries(wanted, lent);
        found
            .into_iter()
            .map(|name| entries.iter().find(|entry| entry.0 == name).unwrap().0)
            .collect()
    }

    /// Ruling pairs out by letter counts loses no similarity that is enough.
    #[test]
    fn letter_counts_lose_no_suggestion() {
        let library = crate::library::Library::built_in();
        let names: Vec<String> = library
            .materials()
            .flat_map(|material| {
                [material.name.clone()]
                    .into_iter()
                    .chain(material.also.clone())
            })
            .map(|name| name.to_lowercase())
            .collect();
        let mut similar_pairs = 0;
        for one in &names {
            for other in &names {
                let true_similarity = normalized_damerau_levenshtein(one, other);
                let found = name_similarity(one, other);
                let as_found = if true_similarity >= LEAST_SIMILARITY {
                    true_similarity
                } else {
                    found
                };
                assert!((found - as_found).abs() < 1e-15, "{one}, {other}");
                assert!(found == 0.0 || (found - true_similarity).abs() < 1e-15);
                similar_pairs += usize::from(found >= LEAST_SIMILARITY && one != other);
            }
        }
        assert!(similar_pairs > 100, "{similar_pairs}");
    }

    #[test]
    fn a_misspelt_name_comes_first() {
        assert_eq!(offered("beach log")[0], "beech log");
        assert_eq!(offered(" TRUF ")[0], "turf");
        assert_eq!(offered("compst")[0], "garden compost");
    }

    #[test]
    fn entries_are_suggested_once_and_at_most_three() {
        let found = offered("beech");
        assert_eq!(found[0], "beech log");
        assert_eq!(
            found.iter().filter(|name| **name == "beech log").count(),
            1,
            "{found:?}"
        );
        assert!(found.len() <= 3);
    }

    #[test]
    fn unrelated_input_gets_no_suggestion() {
        assert_eq!(offered("polystyrene"), Vec::<&str>::new());
        assert_eq!(offered(""), Vec::<&str>::new());
    }

    #[test]
    fn input_that_contains_a_name_finds_it() {
        assert_eq!(
            suggestions("wheelbarrows", ["barrow", "bucket"]),
            ["barrow"]
        );
        assert_eq!(suggestions("bulk bag", ["box", "bag"]), ["bag"]);
        // "Sods" is too short to be more than chance.
        assert_eq!(suggestions("sodsworthy", ["sods"]), Vec::<String>::new());
    }

    #[test]
    fn one_word_finds_the_names_that_contain_it() {
        let library = ["grass clippings", "birch log", "beech log"];
        assert_eq!(suggestions("log", library), ["birch log", "beech log"]);
        assert_eq!(suggestions("grass cliping", library), ["grass clippings"]);
        assert!(suggestions(&"log".repeat(100), library).is_empty());
    }
}

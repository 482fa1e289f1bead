//! Names near a mistyped one.

use strsim::{normalized_damerau_levenshtein, osa_distance};

/// Names less alike than this are not offered.
const ALIKE: f64 = 0.5;

/// How much a match of one word of a name counts against a match of all of it.
const WORD: f64 = 0.9;

/// Likeness of a name that is held whole by what was written ("wheelbarrows", "barrow").
const HELD: f64 = 0.6;

/// How many names are offered.
const OFFERED: usize = 3;

/// Beyond this many characters nothing is near, and comparing costs too much.
const LONGEST: usize = 60;

/// Up to three of the candidates most like `wanted`, best first.
pub(crate) fn nearest<'a>(
    wanted: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Vec<String> {
    nearest_entries(wanted, candidates.into_iter().map(|name| (name, &[][..])))
        .into_iter()
        .map(str::to_owned)
        .collect()
}

/// Up to three names most like `wanted`, best first.
///
/// Each entry is a name and its other names; an entry is offered once, by its
/// name, however many of its names are alike. Ties keep the order given.
pub(crate) fn nearest_entries<'a, I>(wanted: &str, entries: I) -> Vec<&'a str>
where
    I: IntoIterator<Item = (&'a str, &'a [String])>,
{
    let wanted = wanted.trim().to_lowercase();
    if wanted.is_empty() || wanted.chars().count() > LONGEST {
        return Vec::new();
    }
    let mut alike: Vec<(f64, &str)> = entries
        .into_iter()
        .map(|(name, also)| {
            let others = also.iter().map(String::as_str);
            let best = core::iter::once(name)
                .chain(others)
                .map(|candidate| likeness(&wanted, &candidate.to_lowercase()))
                .fold(0.0, f64::max);
            (best, name)
        })
        .filter(|(likeness, _)| *likeness >= ALIKE)
        .collect();
    alike.sort_by(|a, b| b.0.total_cmp(&a.0));
    alike
        .into_iter()
        .take(OFFERED)
        .map(|(_, name)| name)
        .collect()
}

/// Likeness from 0 to 1 of a wanted name and a candidate, both in lower case.
fn likeness(wanted: &str, candidate: &str) -> f64 {
    let word = candidate
        .split_whitespace()
        // Short words ("UK", "log") are like too much by chance, unless they are meant.
        .filter(|word| {
            *word == wanted || (word.chars().count() > 3 && osa_distance(wanted, word) <= 2)
        })
        .map(|word| WORD * normalized_damerau_levenshtein(wanted, word))
        .fold(0.0, f64::max);
    // Short names are held by chance, unless they stand as a word of their own.
    let a_word = wanted.split_whitespace().any(|word| word == candidate);
    let held = if a_word || (candidate.chars().count() > 4 && wanted.contains(candidate)) {
        HELD
    } else {
        0.0
    };
    normalized_damerau_levenshtein(wanted, candidate)
        .max(word)
        .max(held)
}

#[cfg(test)]
mod tests {
    use super::{nearest, nearest_entries};

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
        // The names outlive the list of other names.
        let found = nearest_entries(wanted, lent);
        found
            .into_iter()
            .map(|name| entries.iter().find(|entry| entry.0 == name).unwrap().0)
            .collect()
    }

    #[test]
    fn a_slip_finds_its_name_first() {
        assert_eq!(offered("beach log")[0], "beech log");
        assert_eq!(offered(" TRUF ")[0], "turf");
        assert_eq!(offered("compst")[0], "garden compost");
    }

    #[test]
    fn an_entry_is_offered_once_and_no_more_than_three() {
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
    fn nothing_is_offered_for_something_else() {
        assert_eq!(offered("polystyrene"), Vec::<&str>::new());
        assert_eq!(offered(""), Vec::<&str>::new());
    }

    #[test]
    fn a_longer_word_finds_the_name_it_holds() {
        assert_eq!(nearest("wheelbarrows", ["barrow", "bucket"]), ["barrow"]);
        assert_eq!(nearest("bulk bag", ["box", "bag"]), ["bag"]);
        // "Sods" is too short to be more than chance.
        assert_eq!(nearest("sodsworthy", ["sods"]), Vec::<String>::new());
    }

    #[test]
    fn one_word_finds_the_names_that_hold_it() {
        let shelf = ["grass clippings", "birch log", "beech log"];
        assert_eq!(nearest("log", shelf), ["birch log", "beech log"]);
        assert_eq!(nearest("grass cliping", shelf), ["grass clippings"]);
        assert!(nearest(&"log".repeat(100), shelf).is_empty());
    }
}

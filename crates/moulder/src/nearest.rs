//! The nearest known names to a misspelt one.

/// How many names are worth showing.
const SHOWN: usize = 3;
/// Beyond this many characters nothing is near, and comparing costs too much.
const LONGEST: usize = 60;

/// Up to three candidates near `wanted`, the nearest first.
///
/// Near means: a third of the letters or fewer differ, or one name holds the other.
pub(crate) fn nearest<'a>(
    wanted: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Vec<String> {
    let wanted = wanted.trim().to_lowercase();
    let length = wanted.chars().count();
    if length == 0 || length > LONGEST {
        return Vec::new();
    }
    let mut near: Vec<(usize, &str)> = Vec::new();
    for candidate in candidates {
        let plain = candidate.to_lowercase();
        let apart = strsim::damerau_levenshtein(&wanted, &plain);
        let allowed = (length.max(plain.chars().count()) / 3).max(1);
        if apart <= allowed {
            near.push((apart, candidate));
        } else if holds(&plain, &wanted) || holds(&wanted, &plain) {
            near.push((allowed + apart, candidate));
        }
    }
    near.sort_by_key(|&(apart, _)| apart);
    let mut shown: Vec<String> = Vec::new();
    for (_, candidate) in near {
        if shown.len() < SHOWN && !shown.iter().any(|name| name == candidate) {
            shown.push(candidate.to_owned());
        }
    }
    shown
}

/// Whether a name holds another as one of its words, or anywhere when it is long enough to tell.
fn holds(name: &str, other: &str) -> bool {
    let length = other.chars().count();
    (length > 2 && name.split([' ', '-']).any(|word| word == other))
        || (length > 4 && name.contains(other))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHELF: [&str; 4] = ["grass clippings", "birch log", "beech log", "turf"];

    #[test]
    fn a_slip_of_the_pen_finds_its_word() {
        assert_eq!(nearest("grass cliping", SHELF), ["grass clippings"]);
        assert_eq!(nearest("Birch  log", SHELF)[0], "birch log");
    }

    #[test]
    fn one_word_finds_names_that_hold_it() {
        assert_eq!(nearest("log", SHELF), ["birch log", "beech log"]);
        assert_eq!(nearest("clippings", SHELF), ["grass clippings"]);
        assert_eq!(nearest("wheelbarrows", ["barrow", "bucket"]), ["barrow"]);
    }

    #[test]
    fn nothing_is_near_to_nonsense() {
        assert!(nearest("concrete", SHELF).is_empty());
        assert!(nearest("", SHELF).is_empty());
        assert!(nearest(&"log".repeat(100), SHELF).is_empty());
    }
}

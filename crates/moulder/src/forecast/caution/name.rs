//! Names of materials and layers, searched for words.

/// Whether one of those words or groups of words stands in a name, whole, whatever the case;
/// the last word may be in the plural. "treated" is not in "untreated".
pub(super) fn bears(name: &str, words: &[&str]) -> bool {
    let small = name.to_lowercase();
    let parts: Vec<&str> = small
        .split(|sign: char| !sign.is_alphanumeric())
        .filter(|part| !part.is_empty())
        .collect();
    words.iter().any(|wanted| {
        let wanted: Vec<&str> = wanted.split(' ').collect();
        parts
            .windows(wanted.len())
            .any(|part| is_same(part, &wanted))
    })
}

fn is_same(part: &[&str], wanted: &[&str]) -> bool {
    let (Some((last, first)), Some((wanted_last, wanted_first))) =
        (part.split_last(), wanted.split_last())
    else {
        return false;
    };
    first == wanted_first && (last == wanted_last || last.strip_suffix('s') == Some(wanted_last))
}

#[cfg(test)]
mod tests {
    use super::bears;

    #[test]
    fn whole_words_count() {
        assert!(bears("Walnut logs, two years old", &["walnut"]));
        assert!(bears("tree of heaven log", &["tree of heaven"]));
        assert!(bears("old sleepers", &["sleeper"]));
        assert!(!bears("untreated boards", &["treated"]));
        assert!(!bears("heaven", &["tree of heaven"]));
        assert!(!bears("", &["walnut"]));
    }
}

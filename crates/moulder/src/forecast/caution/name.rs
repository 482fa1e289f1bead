//! Words in names of materials and layers.

/// Whether a name has one of those words or phrases, as whole words in either case, the last
/// one also in the plural. "treated" is not in "untreated".
pub(super) fn has_word(name: &str, words: &[&str]) -> bool {
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
    use super::has_word;

    #[test]
    fn whole_words_count() {
        assert!(has_word("Walnut logs, two years old", &["walnut"]));
        assert!(has_word("tree of heaven log", &["tree of heaven"]));
        assert!(has_word("old sleepers", &["sleeper"]));
        assert!(!has_word("untreated boards", &["treated"]));
        assert!(!has_word("heaven", &["tree of heaven"]));
        assert!(!has_word("", &["walnut"]));
    }
}

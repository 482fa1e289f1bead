//! Words in names of materials and layers.

/// Whether a name has one of those words or phrases, as whole words in either case, the last
/// one also in the plural. "treated" is not in "untreated".
pub(super) fn has_word(name: &str, words: &[&str]) -> bool {
    let small = name.to_lowercase();
    let parts: Vec<&str> = small
        .split(|sign: char| !sign.is_alphanumeric())
        .filter(|part| !part.is_empty())
        .collect();
    words.iter().any(|word| {
        let word: Vec<&str> = word.split(' ').collect();
        parts.windows(word.len()).any(|part| is_same(part, &word))
    })
}

fn is_same(part: &[&str], word: &[&str]) -> bool {
    let (Some((last, first)), Some((word_last, word_first))) =
        (part.split_last(), word.split_last())
    else {
        return false;
    };
    first == word_first && (last == word_last || last.strip_suffix('s') == Some(word_last))
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

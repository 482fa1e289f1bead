//! Names as people type them: without case, accents, commas and hyphens.

use crate::{Region, Town};

/// Other names of towns: the other one, the name in the set, the country.
const ALSO: &str = include_str!("../data/also.csv");

/// Letters of Latin script with marks, by the letter without.
const MARKED: &[(char, &str)] = &[
    ('a', "àáâãäåāăąǎǟǡǻȁȃȧḁạảấầẩẫậắằẳẵặ"),
    ('b', "ḃḅḇ"),
    ('c', "çćĉċčḉ"),
    ('d', "ďḋḍḏḑḓ"),
    ('e', "èéêëēĕėęěȅȇȩḕḗḙḛḝẹẻẽếềểễệ"),
    ('f', "ḟ"),
    ('g', "ĝğġģǧǵḡ"),
    ('h', "ĥȟḣḥḧḩḫẖ"),
    ('i', "ìíîïĩīĭįǐȉȋḭḯỉị"),
    ('j', "ĵǰ"),
    ('k', "ķǩḱḳḵ"),
    ('l', "ĺļľḷḹḻḽ"),
    ('m', "ḿṁṃ"),
    ('n', "ñńņňǹṅṇṉṋ"),
    ('o', "òóôõöōŏőơǒǫǭȍȏȫȭȯȱṍṏṑṓọỏốồổỗộớờởỡợ"),
    ('p', "ṕṗ"),
    ('r', "ŕŗřȑȓṙṛṝṟ"),
    ('s', "śŝşšſșṡṣṥṧṩẛ"),
    ('t', "ţťțṫṭṯṱẗ"),
    ('u', "ùúûüũūŭůűųưǔǖǘǚǜȕȗṳṵṷṹṻụủứừửữự"),
    ('v', "ṽṿ"),
    ('w', "ŵẁẃẅẇẉẘ"),
    ('x', "ẋẍ"),
    ('y', "ýÿŷȳẏẙỳỵỷỹ"),
    ('z', "źżžẑẓẕ"),
];

/// Letters that are no letter with a mark.
const LETTERS: &[(char, &str)] = &[
    ('ß', "ss"),
    ('æ', "ae"),
    ('ð', "d"),
    ('ø', "o"),
    ('đ', "d"),
    ('ħ', "h"),
    ('ı', "i"),
    ('ł', "l"),
    ('œ', "oe"),
    ('ǝ', "a"),
    ('ə', "a"),
    ('þ', "th"),
];

/// Letters that some write as two.
const TWO: &[(char, &str)] = &[
    ('ä', "ae"),
    ('ö', "oe"),
    ('ü', "ue"),
    ('ø', "oe"),
    ('å', "aa"),
];

/// Words that are often cut.
const CUT: &[(&str, &str)] = &[
    ("saint", "st"),
    ("sainte", "ste"),
    ("mount", "mt"),
    ("fort", "ft"),
];

/// Words of a name: lower case, no marks, single blanks.
pub(crate) fn folded(name: &str) -> String {
    folded_with(name, &[])
}

/// The same, with some letters written so.
fn folded_with(name: &str, first: &[(char, &str)]) -> String {
    let mut plain = String::with_capacity(name.len());
    for sign in name.chars().flat_map(char::to_lowercase) {
        let known = first.iter().chain(LETTERS);
        if let Some((_, letters)) = known.into_iter().find(|(known, _)| *known == sign) {
            plain.push_str(letters);
        } else if sign.is_ascii_alphanumeric() {
            plain.push(sign);
        } else if let Some((letter, _)) = MARKED
            .iter()
            .find(|(_, marked)| !sign.is_ascii() && marked.contains(sign))
        {
            plain.push(*letter);
        } else if sign.is_whitespace() || ['-', '\u{2013}', ',', '/', '(', ')'].contains(&sign) {
            plain.push(' ');
        } else if sign.is_alphanumeric() {
            plain.push(sign);
        }
    }
    let words = plain.split_whitespace().map(|word| {
        let cut = CUT.iter().find(|(whole, _)| *whole == word);
        cut.map_or(word, |(_, cut)| cut)
    });
    words.collect::<Vec<&str>>().join(" ")
}

/// Folded names of towns in order, each with its place: their names, those with two letters for
/// one, and the others that they are known by.
pub(crate) fn index(towns: &[Town], regions: &[Region]) -> Vec<(String, usize)> {
    let mut names: Vec<(String, usize)> = Vec::with_capacity(towns.len() + towns.len() / 8);
    for (at, town) in towns.iter().enumerate() {
        names.push((folded(&town.name), at));
        if !town.name.is_ascii() {
            names.push((folded_with(&town.name, TWO), at));
        }
    }
    names.sort_unstable();
    names.dedup();
    let mut others = Vec::new();
    for line in ALSO.lines() {
        let mut parts = line.split(';');
        let (Some(other), Some(name), Some(country)) = (parts.next(), parts.next(), parts.next())
        else {
            continue;
        };
        let name = folded(name);
        let from = names.partition_point(|(known, _)| *known < name);
        let of_name = names[from..].iter().take_while(|(known, _)| *known == name);
        let largest = of_name
            .map(|(_, at)| *at)
            .filter(|at| regions[towns[*at].region].country == country)
            .max_by_key(|at| towns[*at].size);
        others.extend(largest.map(|at| (folded(other), at)));
    }
    names.extend(others);
    names.sort_unstable();
    names.dedup();
    names
}

/// What was typed, as a name and the country or regions it may lie in: each part between commas
/// may be the name, and without a comma some words at either end may be the country.
pub(crate) fn readings(asked: &str) -> Vec<(String, Vec<String>)> {
    let parts: Vec<String> = asked
        .split(',')
        .map(folded)
        .filter(|part| !part.is_empty())
        .collect();
    let mut found = Vec::new();
    if let [whole] = parts.as_slice() {
        found.push((whole.clone(), Vec::new()));
        for (at, _) in whole.match_indices(' ') {
            let (one, two) = (whole[..at].to_owned(), whole[at + 1..].to_owned());
            found.push((one.clone(), vec![two.clone()]));
            found.push((two, vec![one]));
        }
        return found;
    }
    for (at, name) in parts.iter().enumerate() {
        let others = parts.iter().enumerate();
        let others = others.filter(|(other, _)| *other != at);
        found.push((name.clone(), others.map(|(_, part)| part.clone()).collect()));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{TWO, folded, folded_with, readings};

    #[test]
    fn names_are_compared_without_marks() {
        for (name, plain) in [
            ("  Zürich ", "zurich"),
            ("SÃO PAULO", "sao paulo"),
            ("Saint-Étienne", "st etienne"),
            ("St. Louis", "st louis"),
            ("Łódź", "lodz"),
            ("İzmir", "izmir"),
            ("L'Aquila", "laquila"),
            ("Đà Nẵng", "da nang"),
            ("東京", "東京"),
            ("-,-", ""),
        ] {
            assert_eq!(folded(name), plain, "{name}");
        }
        assert_eq!(folded_with("Köln", TWO), "koeln");
    }

    #[test]
    fn a_name_may_have_its_country_on_either_side() {
        let whole = readings("Boston MA");
        let of = |name: &str, others: &[&str]| {
            let others = others.iter().map(|other| (*other).to_owned()).collect();
            (name.to_owned(), others)
        };
        assert_eq!(
            whole,
            [
                of("boston ma", &[]),
                of("boston", &["ma"]),
                of("ma", &["boston"])
            ]
        );
        assert_eq!(
            readings("France, Lyon,"),
            [of("france", &["lyon"]), of("lyon", &["france"])]
        );
        assert!(readings(" , ").is_empty());
    }
}

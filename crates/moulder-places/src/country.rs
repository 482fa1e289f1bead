//! Countries by their two letters of ISO 3166.

/// A part of a country.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Region {
    /// Country, two letters of ISO 3166.
    pub country: String,
    /// Its name; empty where it has none.
    pub name: String,
    /// A short form in common use ("MA"); empty where there is none.
    pub short: String,
}

/// A line each: two letters, the name, other names.
const COUNTRIES: &str = include_str!("../data/countries.csv");

/// The names of a country, the one that is shown first.
pub(crate) fn names(letters: &str) -> impl Iterator<Item = &'static str> {
    let found = COUNTRIES
        .lines()
        .find_map(|line| line.strip_prefix(letters)?.strip_prefix(';'));
    found.into_iter().flat_map(|names| names.split(';'))
}

/// The name of a country by its two letters of ISO 3166; the letters themselves where it has
/// none.
///
/// ```
/// assert_eq!(moulder_places::country("FR"), "France");
/// assert_eq!(moulder_places::country("XX"), "XX");
/// ```
#[must_use]
pub fn country(letters: &str) -> &str {
    names(letters).next().unwrap_or(letters)
}

#[cfg(test)]
mod tests {
    use super::{COUNTRIES, names};

    #[test]
    fn every_line_is_a_country() {
        let letters: Vec<&str> = COUNTRIES.lines().map(|line| &line[..2]).collect();
        assert!(letters.is_sorted_by(|one, other| one < other));
        for line in COUNTRIES.lines() {
            assert!(names(&line[..2]).all(|name| name.len() > 1), "{line}");
        }
        assert!(names("GB").any(|name| name == "UK"));
        assert_eq!(names("").count(), 0);
    }
}

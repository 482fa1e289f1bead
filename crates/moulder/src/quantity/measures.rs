//! The user's own measures, and the two that need no definition.

use std::collections::BTreeMap;

use crate::fault::FaultCode;
use crate::quantity::parse::Refusal;
use crate::quantity::unit;
use crate::text::sign;

/// A wheelbarrow; m3 (common practice, no source).
pub const BARROW_M3: f64 = 0.08;
/// Measures that a file may use without a definition; m3.
pub const USUAL_MEASURES: &[(&str, f64)] = &[("barrow", BARROW_M3), ("bulk-bag", 0.73)];
/// The source of [`USUAL_MEASURES`].
pub const USUAL_MEASURES_SOURCE: &str = "common practice, no source";

/// Volumes of the user's own measures.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Measures {
    /// By [`Measures::key`]: the name as given, and its volume in m3.
    own: BTreeMap<String, (String, f64)>,
}

impl Measures {
    /// Adds a measure of the given volume in m3. Names are compared in lower case, with a hyphen
    /// equal to a space.
    ///
    /// # Errors
    ///
    /// A name that is a unit, ends in "dry", or cannot be part of a quantity.
    pub fn add(&mut self, name: &str, volume_m3: f64) -> Result<(), Refusal> {
        let phrase = one_spaced(name);
        let readable = phrase
            .chars()
            .all(|c| c.is_alphanumeric() || c == ' ' || c == '-' || c == '_')
            && phrase
                .split(' ')
                .all(|word| word.chars().next().is_some_and(char::is_alphabetic))
            && phrase.split(' ').next_back() != Some("dry")
            // Some letters are invisible.
            && sign::first_hidden(&phrase).is_none();
        if !readable {
            return Err(Refusal {
                code: FaultCode::BadText,
                found: name.to_owned(),
                expected: "a name of letters, digits and hyphens that begins with a letter and does not end in \"dry\"".into(),
                help: Vec::new(),
            });
        }
        if unit::unit(&phrase).is_some() || unit::meanings(&phrase).is_some() {
            return Err(Refusal {
                code: FaultCode::DoesNotFit,
                found: format!("\"{name}\" is the name of a unit"),
                expected: "a measure needs a name of its own".into(),
                help: Vec::new(),
            });
        }
        let entry = (name.trim().to_owned(), volume_m3);
        self.own.insert(Self::key(name), entry);
        Ok(())
    }

    fn key(name: &str) -> String {
        one_spaced(&name.replace('-', " "))
    }

    /// The measure of that name or plural, with its volume in m3.
    pub(crate) fn find(&self, phrase: &str) -> Option<(&str, f64)> {
        let key = Self::key(phrase);
        let named = |wanted: &str| {
            let own = self.own.get(wanted);
            own.map(|(name, held)| (name.as_str(), *held))
                .or_else(|| usual(wanted))
        };
        named(&key)
            .or_else(|| key.strip_suffix('s').and_then(named))
            .or_else(|| key.strip_suffix("es").and_then(named))
    }

    /// Whether the file defines this measure.
    pub(crate) fn holds(&self, name: &str) -> bool {
        self.own.contains_key(&Self::key(name))
    }

    /// Volume of a usual measure that the file does not define; m3.
    pub(crate) fn usual(&self, name: &str) -> Option<f64> {
        if self.holds(name) {
            return None;
        }
        usual(&Self::key(name)).map(|(_, held)| held)
    }

    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        let usual = USUAL_MEASURES.iter().map(|(name, _)| *name);
        let own = self.own.values().map(|(name, _)| name.as_str());
        own.chain(usual)
    }
}

/// The usual measure of that key.
fn usual(key: &str) -> Option<(&'static str, f64)> {
    let mut usual = USUAL_MEASURES.iter().copied();
    usual.find(|(name, _)| Measures::key(name) == key)
}

/// Lower case, single spaces, none at the ends.
pub(crate) fn one_spaced(phrase: &str) -> String {
    let words: Vec<String> = phrase.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_need_names_of_their_own() {
        let mut measures = Measures::default();
        assert_eq!(
            measures.add("litre", 1.0).unwrap_err().code,
            FaultCode::DoesNotFit
        );
        for name in ["", "3 bags", "bag,big", "sack dry", "a\"b", "ba\u{3164}g"] {
            let refusal = measures.add(name, 1.0).expect_err(name);
            assert_eq!(refusal.code, FaultCode::BadText, "{name}");
        }
        measures.add("sack", 0.05).unwrap();
    }
}

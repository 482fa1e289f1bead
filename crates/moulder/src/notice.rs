//! What a reader should know: notices, and defaults used. Numbers and codes here, words elsewhere.

use serde::Serialize;

/// Declares the codes once, each with the word that programs may rely on.
macro_rules! notice_codes {
    ($($(#[doc = $doc:literal])+ $name:ident = $word:literal,)+) => {
        $($(#[doc = $doc])+ pub const $name: &str = $word;)+

        /// Every code of a notice, in the order of the documentation.
        pub const CODES: &[&str] = &[$($name,)+];
    };
}

notice_codes! {
    /// The file holds tape readings, which are checked and not used yet.
    READINGS_NOT_USED_YET = "readings-not-used-yet",
    /// The file holds later additions, which are checked and not used yet.
    ADDED_NOT_USED_YET = "added-not-used-yet",
    /// Soil lies under wood and wood on top: the list may be upside down.
    LAYERS_UPSIDE_DOWN = "layers-upside-down",
    /// The layer that roots live in runs thin.
    GROWING_SOIL_RUNS_THIN = "growing-soil-runs-thin",
    /// The fill would stand over the rim, steeper than loose stuff lies.
    HEAP_WILL_NOT_STAY = "heap-will-not-stay",
    /// A layer is without air for weeks.
    AIRLESS_LAYER = "airless-layer",
}

/// Something a reader should know about a bed or a forecast.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct Notice {
    /// Stable word code, one of [`CODES`], and the key of its text ("layers-upside-down").
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// The layer it speaks of, counted from the ground, 0 first.
    pub layer: Option<usize>,
    /// The figures that its text shows, by name.
    pub values: Vec<(&'static str, String)>,
}

/// How much a notice matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Good to know.
    Note,
    /// May spoil the result.
    Warning,
    /// May hurt someone or something.
    Danger,
}

/// A value assumed because the document is silent.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct DefaultUsed {
    /// Where it would stand in the document (a JSON Pointer).
    pub path: String,
    /// The value, as it would be written.
    pub value: String,
    /// The source, or "our own closure".
    pub source: String,
    /// Half-width it adds to the forecast, m; not known until bands are drawn.
    pub width_it_adds_m: Option<f64>,
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::Path;

    use super::CODES;

    /// Every text after `code: ` in a file of the library.
    fn codes_in(folder: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                codes_in(&path, found);
                continue;
            }
            let source = fs::read_to_string(&path).unwrap();
            let code = source.split("#[cfg(test)]").next().unwrap_or_default();
            let after = code.split("code: \"").skip(1);
            found.extend(after.map(|rest| rest.split('"').next().unwrap_or_default().to_owned()));
        }
    }

    /// A notice that is raised by its word alone must be on the list as well; the test of
    /// the code book then asks for its cause and its cure.
    #[test]
    fn every_word_that_is_used_is_on_the_list() {
        let mut found = Vec::new();
        codes_in(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join("src"),
            &mut found,
        );
        let strangers: Vec<&String> = found
            .iter()
            .filter(|word| {
                let known = crate::fault::FaultCode::ALL
                    .iter()
                    .any(|code| code.word() == *word);
                !known && !CODES.contains(&word.as_str())
            })
            .collect();
        assert_eq!(strangers, Vec::<&String>::new());
    }
}

//! What is asked for.

/// Default number of realisations of a case.
const DRAWS: u32 = 200;

/// The same of a small run.
const SMALL_DRAWS: u32 = 8;

/// Longest case of a small run; months.
pub(crate) const SMALL_MONTHS: f64 = 6.5;

/// The words after the program's name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Options {
    /// Realisations of a case, spread over its beds.
    pub(crate) draws: u32,
    /// Few draws of the short cases alone.
    pub(crate) is_small: bool,
    /// File for the scores of this run.
    pub(crate) save: Option<String>,
    /// File with those of an earlier one.
    pub(crate) against: Option<String>,
}

impl Options {
    pub(crate) fn given() -> Result<Self, Vec<String>> {
        Self::read(std::env::args().skip(1))
    }

    /// # Errors
    ///
    /// A word that is not known, and a word without what belongs to it.
    pub(crate) fn read(words: impl Iterator<Item = String>) -> Result<Self, Vec<String>> {
        let mut words = words;
        let (mut draws, mut is_small, mut save, mut against) = (None, false, None, None);
        while let Some(word) = words.next() {
            let mut value = || {
                let value = words.next();
                value.ok_or_else(|| vec![format!("{word}: what follows it is missing")])
            };
            match word.as_str() {
                "--draws" => {
                    let count = value()?;
                    let number = count.parse().ok().filter(|count| *count > 1);
                    let number = number.ok_or_else(|| {
                        vec![format!(
                            "--draws {count}: a whole number from 2, as in --draws 200"
                        )]
                    })?;
                    draws = Some(number);
                }
                "--small" => is_small = true,
                "--save" => save = Some(value()?),
                "--against" => against = Some(value()?),
                _ => {
                    let known = "--draws 200, --small, --save FILE, --against FILE";
                    return Err(vec![format!("{word}: not known; known are {known}")]);
                }
            }
        }
        Ok(Self {
            draws: draws.unwrap_or(if is_small { SMALL_DRAWS } else { DRAWS }),
            is_small,
            save,
            against,
        })
    }
}

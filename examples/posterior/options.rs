//! What is asked for.

/// Realisations of a case, and of a small run.
const DRAWS: [u32; 2] = [1024, 256];

/// Steps of the walk, and of a small run.
const STEPS: [u32; 2] = [200_000, 20_000];

/// Realisations of a case under the result.
const CHECKED: u32 = 128;

/// The words after the program's name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Options {
    pub(crate) draws: u32,
    pub(crate) steps: u32,
    /// Whether the files are written.
    pub(crate) is_written: bool,
}

impl Options {
    /// # Errors
    ///
    /// Other words than these.
    pub(crate) fn given() -> Result<Self, String> {
        let words: Vec<String> = std::env::args().skip(1).collect();
        let (is_small, is_written) = match words.iter().map(String::as_str).collect::<Vec<_>>()[..]
        {
            [] => (false, false),
            ["--small"] => (true, false),
            ["--write"] => (false, true),
            _ => return Err("asked for with nothing, --small or --write".to_owned()),
        };
        let size = usize::from(is_small);
        Ok(Self {
            draws: DRAWS[size],
            steps: STEPS[size],
            is_written,
        })
    }

    /// Those of the check.
    pub(crate) fn for_check(self) -> Self {
        Self {
            draws: self.draws.min(CHECKED),
            ..self
        }
    }
}

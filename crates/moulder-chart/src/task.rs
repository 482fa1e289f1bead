//! The kinds of charts of what other tasks find: each is drawn by its own function, from
//! that task's answer.

/// Declares the kinds: name in the program, word people type, what it shows.
macro_rules! tasks {
    ($($name:ident, $word:literal, $about:literal;)+) => {
        /// A kind of chart that a forecast alone cannot fill.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[non_exhaustive]
        pub enum Task {
            $(#[doc = $about] $name,)+
        }

        impl Task {
            /// All there are.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// The word it is asked for by.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$name => $word,)+ }
            }

            /// What it shows, in a few words.
            #[must_use]
            pub const fn about(self) -> &'static str {
                match self { $(Self::$name => $about,)+ }
            }
        }
    };
}

tasks! {
    Topups, "topups", "a calendar of when to lay on how much";
    Sensitivity, "unknowns", "what makes the range wide, and so what to measure";
    Fit, "fit", "where the height may lie before and after tape readings are taken in";
    Comparison, "comparison", "the heights of two to four beds, and how they differ";
}

impl Task {
    /// The kind of that word.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|task| task.as_str() == word)
    }
}

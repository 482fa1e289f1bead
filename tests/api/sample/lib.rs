//! A crate to test the listing on; nothing builds it.

use other::Kind;
use renamed::deep as below;
use unseen::Nothing;

mod inner;
pub mod nested {
    //! In braces.
    pub use super::inner::Seen;
    /// A number.
    pub const DEEP: f64 = 1.0;
    pub(crate) const HIDDEN_IN_CRATE: f64 = 2.0;
}

/// A function.
#[must_use]
pub fn seen_function<T: Clone>(of: &T) -> T {
    let hidden = of.clone();
    hidden
}

/// Names three libraries.
pub fn names(_: Kind, _: &below::Thing) -> Result<whole::path::To, std::fmt::Error> {
    Nothing
}

fn hidden_function() {}

macro_rules! makes {
    ($($(#[doc = $doc:literal])+ $name:ident,)+) => {
        /// A choice.
        #[non_exhaustive]
        pub enum Choice {
            $($(#[doc = $doc])+ $name,)+
        }

        impl Choice {
            /// How many.
            pub const fn made_by_macro(self) -> usize {
                hidden_function()
            }
            pub(crate) fn hidden_in_macro(self) {}
        }
    };
}

makes! {
    /// One way.
    ThisWay,
    /// The other.
    ThatWay,
}

#[cfg(test)]
mod hidden_tests {}

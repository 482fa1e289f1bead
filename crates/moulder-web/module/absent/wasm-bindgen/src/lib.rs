//! Casts between things of a browser that is not there.

/// What can be cast.
pub trait JsCast: Sized {
    /// As another kind of thing.
    ///
    /// # Errors
    ///
    /// Never.
    fn dyn_into<T: From<Self>>(self) -> Result<T, core::convert::Infallible> {
        Ok(self.into())
    }
}

impl<T> JsCast for T {}

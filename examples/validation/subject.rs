//! What belongs together in the table.

use crate::source::Source;

/// A part of the model, and every source that it is held to.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Subject {
    pub(crate) title: &'static str,
    pub(crate) sources: Vec<Source>,
}

//! A subject of the table.

use crate::source::Source;

/// A part of the model, and all its sources.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Subject {
    pub(crate) title: &'static str,
    pub(crate) sources: Vec<Source>,
}

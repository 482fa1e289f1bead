//! A reading and what its forecasts are worth.

use crate::marks::Marks;
use crate::subject::Subject;
use crate::thumb::RULES;

/// A reading with its forecasts' marks.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row<'a> {
    pub(crate) subject: &'a Subject<'a>,
    pub(crate) ours: Marks,
    /// Those of the rules of thumb, in their order.
    pub(crate) rules: [Option<Marks>; RULES.len()],
}

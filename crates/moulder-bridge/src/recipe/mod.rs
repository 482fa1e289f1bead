//! Answers that are made from several tasks: the same for the command line and for questions.

pub mod ahead;
pub mod chart;
pub mod check;
pub mod feed;
pub mod report;
pub mod topups;

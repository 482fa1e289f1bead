//! What is printed: lines, tables, spreadsheets, notices, progress.

pub(crate) mod abreast;
pub(crate) mod columns;
pub(crate) mod lines;
pub(crate) mod look;
pub(crate) mod notices;
pub(crate) mod progress;
pub(crate) mod screen;
pub(crate) mod spreadsheet;
pub(crate) mod table;

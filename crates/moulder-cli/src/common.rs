//! What several commands take and do: their shared arguments, files in and files out.

pub(crate) mod after_writing;
pub(crate) mod assumed;
pub(crate) mod bed_file;
pub(crate) mod bed_paths;
pub(crate) mod clock;
mod draft;
pub(crate) mod entries;
mod faults;
pub(crate) mod feed;
mod file_line;
pub(crate) mod forecast;
pub(crate) mod number;
pub(crate) mod output;
pub(crate) mod packs;
pub(crate) mod record;
pub(crate) mod shelf;
pub(crate) mod short_answer;
pub(crate) mod text_file;
pub(crate) mod units;

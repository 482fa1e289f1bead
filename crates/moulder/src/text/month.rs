//! The months by name.

/// Names of the months, January first.
///
/// ```
/// assert_eq!(moulder::internals::text::month::MONTHS[2], "March");
/// ```
pub const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

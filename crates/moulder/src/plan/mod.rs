//! From the size of a bed and what is at hand to fills, ranked, each with what it trades.
//!
//! What is linear: the share of its loose volume that each material keeps until the day
//! asked for, taken from a forecast of that material alone (`keeping`); with these, the
//! amounts are a linear programme (`optimum`). What is checked: every fill is a bed, and
//! the whole forecast of that bed, with its layers mixed, loaded and sifting into each
//! other, says how high it stands. Where the two differ, each layer's share is corrected
//! and the amounts are sought again (`search`), until the forecast lies within 1 cm of
//! what is wanted.
//!
//! The rules of layering ([`role`]) are common practice and have no source: coarse wood at
//! the bottom, brush and soft stuff mixed over it, card or turf over that, soil on top.

pub mod answer;
mod optimum;
mod retention;
pub mod role;
mod search;
mod trial;

pub use answer::{Fill, Plan};
pub use search::plan;

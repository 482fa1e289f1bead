//! Forecasts how a deep garden bed filled with logs, prunings, green waste, card,
//! turf and topsoil sinks as it settles and rots.
//!
//! ```
//! use moulder::library::Library;
//! use moulder::forecast::forecast;
//! use moulder::read::read_toml;
//! use moulder::forecast::progress::unwatched;
//!
//! let text = r#"
//! format = 1
//! filled = 2026-03-14
//! climate = "Cambridge UK"
//! [bed]
//! shape = "round"
//! across = "1.2 m"
//! rim = "50 cm"
//! [[layer]]
//! put = [{ material = "woody prunings", amount = "300 L" }]
//! [[layer]]
//! put = [{ material = "loamy topsoil", amount = "25 cm" }]
//! "#;
//! let bed = read_toml(text, &Library::built_in())?;
//! let forecast = forecast(&bed, 24, &unwatched)?;
//! assert!(forecast.months[24].height_m < forecast.months[0].height_m);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # The folders, in the order of the data
//!
//! Each uses only those before it; the words of answers are a crate of their own,
//! `moulder-words`.
//!
//! | folder | what is in it |
//! | --- | --- |
//! | [`numeric`] | small matrices, distributions, quantiles, intervals |
//! | [`text`] | how much text is taken, names near a mistyped one, phrases |
//! | [`fault`] | codes of faults and notices, their sentences, and what each means |
//! | [`quantity`] | units, quantities as written, heights and amounts as told |
//! | [`library`] | materials, climates, crops, gases: ours, or your own |
//! | [`bed`] | a checked [`bed::Bed`], and the [`bed::document::BedDocument`] it comes from |
//! | [`model`] | figures of the laws, layers and slices, weather day by day |
//! | [`read`] | from text to a bed, or to [`fault::Faults`]: all of them |
//! | [`forecast`] | [`forecast::forecast`], the nominal run month by month; [`forecast::danger`] |
//! | [`uncertainty`] | [`uncertainty::banded::forecast_with_bands`]: many realisations, and the intervals that four in five lie in; what makes them wide |
//! | [`fit`] | [`fit::fit`]: an ensemble weighed by tape readings |
//! | [`plan`] | [`plan::plan`]: from what is at hand to fills, ranked |
//! | [`topup`] | [`topup::plan_topups`]: when to top a bed up, and what to buy |
//! | [`ledger`] | [`ledger::ledger`]: carbon year by year, against burning its wood |
//! | [`compare`] | [`compare::compare`]: designs side by side under the same draws |
//!
//! An answer is plain data: numbers in SI, notices and defaults by code. A
//! [`forecast::progress::Progress`] sees how far a task is and may stop it.
//!
//! # Units
//!
//! SI with the unit in every name. Documents hold quantities as text with a unit.
//!
//! # What it does not do
//!
//! It reads no file, clock or environment. By how much its laws are off is a belief of our
//! own ([`uncertainty::discrepancy`]), for want of beds that were measured.
//!
//! # Features
//!
//! - `parallel`: draws of a band side by side, in the threads of the rayon pool that
//!   calls; the same bytes as without.
//! - `reference`: the tight-tolerance path by which the fast one is judged; slow,
//!   meant for tests.

pub mod bed;
pub mod compare;
pub mod fault;
pub mod fit;
pub mod forecast;
pub mod ledger;
pub mod library;
pub mod model;
pub mod numeric;
pub mod plan;
pub mod quantity;
pub mod read;
#[cfg(test)]
mod support;
pub mod text;
pub mod topup;
mod tree;
pub mod uncertainty;

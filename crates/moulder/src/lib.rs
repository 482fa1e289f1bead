//! Forecasts how a deep garden bed filled with logs, prunings, green waste, card,
//! turf and topsoil sinks as it settles and rots.
//!
//! ```
//! use moulder::{catalogue::Catalogue, forecast::forecast, read::read_toml};
//! use moulder::{station::Stations, watcher::Unwatched};
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
//! let bed = read_toml(text, &Catalogue::built_in(), &Stations::built_in())?;
//! let forecast = forecast(&bed, 24, &mut Unwatched)?;
//! assert!(forecast.months[24].height_m < forecast.months[0].height_m);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # The ideas, in the order met
//!
//! - A document is text, or a [`document::BedDocument`] that a program built. Reading
//!   it ([`read`]) gives a checked [`bed::Bed`], or [`fault::Faults`]: all of them.
//! - Materials come from a [`catalogue::Catalogue`], climates from
//!   [`station::Stations`]; both ship with the crate and can be your own.
//! - [`forecast::forecast`] compiles the bed ([`compile`]) and marches it month by
//!   month. The result is plain data: numbers in SI, notices and defaults by code.
//!   [`day`] looks at the middle line between the turns of months.
//! - [`uncertain::forecast_with_bands`] does so for many a [`sample`] of all that is not
//!   known ([`unknowns`], [`prior`]), and tells the [`bands`] that four in five lie in.
//! - [`fit::fit`] holds a tape to these draws: an [`ensemble`] weighed by readings that may
//!   be off ([`reading_error`]), and what they taught ([`learnt`]).
//! - [`influence::influences`] puts the unknowns into groups ([`unknown_group`]) and says
//!   which make the range wide ([`sensitivity`]); [`default_width`] does so default by
//!   default.
//! - [`ledger::ledger`] keeps a bed's carbon year by year, against burning its wood and with
//!   a screen for other [`gases`]; [`mixture`] says what materials come to together.
//! - [`topup::plan_topups`] says when to top a bed up and what to buy for it,
//!   [`compare::compare`] puts designs side by side; [`range_text`] and
//!   [`topup_range_text`] put their bands in words.
//! - [`plan::plan`] goes from what is at hand to fills, ranked; it reads a plan file.
//! - [`sky`] turns a climate, or a daily series, into weather day by day.
//! - Words live apart: [`sentence`], [`warmth_text`], [`water_text`], [`nitrogen_text`],
//!   [`text`], [`tape`], [`amount_text`], [`compare_text`], [`fit_text`], [`ledger_text`],
//!   [`mixture_text`], [`plan_text`], [`topup_text`], [`influence_text`], [`default_text`],
//!   [`material_text`].
//! - What a code means and what to do about it stands in the [`code_book`]; the pages of
//!   the [`manual`] are made from it and from the table of fields.
//! - A [`watcher::Watcher`] sees how far a task is and may stop it.
//!
//! # Units
//!
//! SI with the unit in every name. Documents hold quantities as text with a unit.
//!
//! # What it does not do
//!
//! It reads no file, clock or environment. By how much its laws are off is a belief of our
//! own ([`discrepancy`]), for want of beds that were measured.
//!
//! # Features
//!
//! - `parallel`: draws of a band side by side, in the threads of the rayon pool that
//!   calls; the same bytes as without.
//! - `reference`: the tight-tolerance path by which the fast one is judged; slow,
//!   meant for tests.

pub mod amount_text;
pub mod bands;
pub mod bed;
mod blocks;
pub mod catalogue;
mod caution;
mod caution_text;
mod cholesky;
pub mod code_book;
pub mod compare;
pub mod compare_text;
pub mod compile;
pub mod contradiction;
mod course;
pub mod crop;
pub mod danger;
pub mod day;
pub mod default_text;
pub mod default_width;
pub mod discrepancy;
pub mod document;
pub mod draw;
mod eigen;
pub mod ensemble;
pub mod fault;
pub mod field;
pub mod fit;
pub mod fit_text;
pub mod forecast;
mod forecast_notice;
pub mod gases;
pub mod influence;
pub mod influence_text;
mod inspect;
pub mod learnt;
pub mod ledger;
pub mod ledger_text;
pub mod limit;
pub mod manual;
pub mod material;
pub mod material_text;
pub mod measure;
pub mod mixture;
pub mod mixture_text;
pub mod month;
pub mod nearby;
mod nearest;
pub mod nitrogen;
pub mod nitrogen_text;
pub mod normal;
pub mod notice;
pub mod overfill;
pub mod plan;
pub mod plan_text;
pub mod posterior;
pub mod prior;
pub mod quantile;
pub mod quantity;
pub mod range;
pub mod range_text;
pub mod rate;
pub mod read;
pub mod reading_error;
pub mod sample;
pub mod saving;
pub mod sensitivity;
pub mod sentence;
pub mod shelf_fault;
mod shelf_form;
pub mod sign;
pub mod sky;
pub mod station;
#[cfg(test)]
mod support;
mod tally;
pub mod tape;
pub mod text;
pub mod topup;
pub mod topup_range_text;
pub mod topup_text;
mod tree;
pub mod uncertain;
pub mod unit;
pub mod unknown_group;
pub mod unknowns;
pub mod warmth_text;
pub mod watcher;
pub mod water_text;
pub mod weather;
pub mod weights;
mod work;

//! What charts share: heads, axes, calendars, labels, lines and slabs.

pub(crate) mod backend;
pub(crate) mod calendar;
pub(crate) mod course;
pub(crate) mod frame;
pub(crate) mod head;
pub(crate) mod label;
pub mod look;
pub(crate) mod material_hatch;
pub(crate) mod month_bar;
pub mod pace;
pub(crate) mod pane;
pub mod reading;
pub(crate) mod scale;
pub(crate) mod slab;
pub mod stratum;

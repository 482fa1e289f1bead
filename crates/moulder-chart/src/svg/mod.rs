//! The drawing as text: elements, style, hatches, the shipped font, and dots made of it.

pub mod document;
pub mod escape;
pub mod font;
pub mod hatch;
pub mod ink;
pub mod palette;
pub mod polygon;
pub mod sheet;

/// Most dots of a picture, either way.
pub const DOTS_LIMIT: u32 = 16_000;

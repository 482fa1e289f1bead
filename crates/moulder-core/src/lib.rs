//! Nouns and laws of a sinking garden bed.
#![no_std]

extern crate alloc;

pub mod shape;
pub mod value;

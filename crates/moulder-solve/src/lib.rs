//! Marches a compiled bed through time.
#![no_std]

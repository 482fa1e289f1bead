//! Benchmarks live beside this file.

//! How far does a bed sink?

fn main() {}

//! Targets for bytes of any kind: run by libFuzzer in `tests/fuzz`, and on the kept cases by
//! `cargo test`. Invariants are asserted.

#[path = "../../support/accounts.rs"]
mod accounts;
mod any_bed;
mod bed_json;
mod bed_toml;
mod forecast;
mod plan_toml;
mod quantity;
mod shelf_toml;
mod told;
mod weather_csv;

use std::sync::LazyLock;

use moulder::internals::library::Library;

/// A reader of bytes from outside.
#[derive(Debug, Clone, Copy)]
pub struct Target {
    /// Name of its folders in `corpus` and `found`.
    pub name: &'static str,
    /// Reads the bytes and panics where an invariant is broken.
    pub read: fn(&[u8]),
    /// Time limit for 64 KiB or less, in builds for finding faults: 100 ms of processor time
    /// per read.
    pub most_ms: u32,
}

/// A quantity.
pub const QUANTITY: Target = target("quantity", quantity::read, 100);
/// A bed file in TOML.
pub const BED_TOML: Target = target("bed-toml", bed_toml::read, 200);
/// A bed file in JSON.
pub const BED_JSON: Target = target("bed-json", bed_json::read, 500);
/// A weather file.
pub const WEATHER_CSV: Target = target("weather-csv", weather_csv::read, 200);
/// A plan file.
pub const PLAN_TOML: Target = target("plan-toml", plan_toml::read, 100);
/// A materials file.
pub const SHELF_TOML: Target = target("shelf-toml", shelf_toml::read, 100);
/// A valid bed with anything in it, and its forecast of a few months.
pub const FORECAST: Target = target("forecast", forecast::run, 10_000);

/// All of them.
pub const ALL: &[Target] = &[
    QUANTITY,
    BED_TOML,
    BED_JSON,
    WEATHER_CSV,
    PLAN_TOML,
    SHELF_TOML,
    FORECAST,
];

const fn target(name: &'static str, read: fn(&[u8]), most_ms: u32) -> Target {
    Target {
        name,
        read,
        most_ms,
    }
}

static SHELF: LazyLock<Library> = LazyLock::new(Library::built_in);
static STATIONS: LazyLock<Library> = LazyLock::new(Library::built_in);

//! What is done with bytes of any kind: by libFuzzer in `tests/fuzz`, and with the kept
//! cases by `cargo test`. What must be so is asserted.

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

/// Something that reads bytes from outside.
#[derive(Debug, Clone, Copy)]
pub struct Target {
    /// What its folders in `corpus` and `found` are called.
    pub name: &'static str,
    /// Reads the bytes and panics where something is not as it must be.
    pub read: fn(&[u8]),
    /// How long it may take for 64 KiB or less, made for finding faults: 100 ms of the
    /// processor for each time that it is read.
    pub most_ms: u32,
}

/// A quantity.
pub const QUANTITY: Target = target("quantity", quantity::read, 100);
/// A bed file in TOML.
pub const BED_TOML: Target = target("bed-toml", bed_toml::read, 200);
/// A bed file in JSON.
pub const BED_JSON: Target = target("bed-json", bed_json::read, 500);
/// A file of weather.
pub const WEATHER_CSV: Target = target("weather-csv", weather_csv::read, 200);
/// A plan file.
pub const PLAN_TOML: Target = target("plan-toml", plan_toml::read, 100);
/// A file of materials.
pub const SHELF_TOML: Target = target("shelf-toml", shelf_toml::read, 100);
/// A bed that is valid, with anything in it, and its forecast of a few months.
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

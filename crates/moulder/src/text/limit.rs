//! Upper limits on input, so that no document can stall a program or exhaust its memory.

/// Size of a document; bytes.
pub const FILE_BYTES: usize = 256 * 1024;
/// Size of a user's file of materials; bytes.
pub const SHELF_BYTES: usize = 1024 * 1024;
/// Materials in a user's file of materials.
pub const SHELF_MATERIALS: usize = 500;
/// Layers in a bed.
pub const LAYERS: usize = 40;
/// Materials in one layer.
pub const MATERIALS_A_LAYER: usize = 20;
/// Tape measure readings.
pub const READINGS: usize = 100;
/// Later additions.
pub const ADDED: usize = 100;
/// A user's own measures.
pub const MEASURES: usize = 50;
/// Length of a name; characters.
pub const NAME_CHARACTERS: usize = 200;
/// Length of a note; characters.
pub const NOTE_CHARACTERS: usize = 2000;
/// Length of a quantity; characters.
pub const QUANTITY_CHARACTERS: usize = 60;
/// Names joined by dots in one key of a TOML file; a bed file needs two.
pub const DOTTED_NAMES: usize = 8;
/// Faults listed; more are only counted.
pub const FAULTS_LISTED: usize = 200;
/// Size of a weather file; bytes.
pub const WEATHER_BYTES: usize = 4 * 1024 * 1024;
/// Rows of a weather file: a century of days.
pub const WEATHER_ROWS: usize = 40_000;
/// Greatest thickness of all layers together, and of all later additions; m.
pub const HEAP_M: f64 = 10.0;
/// Least thickness of a layer or an addition, by whatever measure; m. A sheet of newspaper.
pub const SHEET_M: f64 = 1e-4;
/// Longest forecast: a hundred years.
pub const MONTHS_LIMIT: u32 = 1200;
/// Most realisations under one seed: the length of the sequence behind them.
pub const SAMPLES_LIMIT: u32 = 65_536;
/// Default number of realisations: a power of two, at which Sobol points are spread best.
pub(crate) const USUAL_SAMPLES: u32 = 64;

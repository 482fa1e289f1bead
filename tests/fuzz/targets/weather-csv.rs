#![no_main]

use libfuzzer_sys::fuzz_target;
use moulder_fuzz::{inputs, within_limits};

fuzz_target!(|bytes: &[u8]| within_limits(&inputs::WEATHER_CSV, bytes));

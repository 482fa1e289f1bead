//! A bed file in TOML.

use moulder::internals::read::read_toml;

use super::told::told;
use super::{SHELF, any_bed};

pub(super) fn read(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    match read_toml(text, &SHELF) {
        Ok(bed) => {
            any_bed::sound(&bed);
            // Line endings of another system change nothing; within a text they are part of it.
            let is_plain = !text.contains(['\r', '\u{feff}'])
                && !text.contains("\"\"\"")
                && !text.contains("'''");
            if is_plain {
                let other = format!("\u{feff}{}", text.replace('\n', "\r\n"));
                let again = read_toml(&other, &SHELF);
                assert!(
                    other.len() > moulder::internals::text::limit::FILE_BYTES
                        || again.as_ref() == Ok(&bed)
                );
            }
        }
        Err(faults) => told(&faults, text),
    }
}

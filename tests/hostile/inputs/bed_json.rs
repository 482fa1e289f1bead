//! A bed file in JSON, and the same as a value built by a program.

use moulder::internals::bed::document::BedDocument;
use moulder::internals::read::{read_json, read_toml};

use super::told::told;
use super::{SHELF, any_bed};

pub(super) fn read(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let read = read_json(text, &SHELF);
    match &read {
        Ok(bed) => any_bed::sound(bed),
        Err(faults) => told(faults, text),
    }
    let Ok(document) = serde_json::from_str::<BedDocument>(text) else {
        return;
    };
    if let Ok(bed) = &read {
        assert_eq!(document.check(&SHELF).as_ref(), Ok(bed));
    }
    printed(&document);
}

/// What is written reads back the same.
pub(super) fn printed(document: &BedDocument) {
    let Ok(json) = serde_json::to_string(document) else {
        panic!("texts, numbers and lists always make JSON");
    };
    let again = serde_json::from_str::<BedDocument>(&json);
    assert_eq!(again.ok().as_ref(), Some(document));
    let checked = document.check(&SHELF);
    if json.len() > moulder::internals::text::limit::FILE_BYTES {
        return;
    }
    assert_eq!(read_json(&json, &SHELF), checked);
    if let (Ok(bed), Ok(toml)) = (checked, toml::to_string(document)) {
        let again = read_toml(&toml, &SHELF);
        assert!(
            toml.len() > moulder::internals::text::limit::FILE_BYTES || again.as_ref() == Ok(&bed)
        );
    }
}

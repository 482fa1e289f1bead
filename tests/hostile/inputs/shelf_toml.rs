//! A user's own materials file.

use moulder::internals::library::materials::Catalogue;

use super::SHELF;
use super::told::within;

pub(super) fn read(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    match Catalogue::from_toml(text) {
        Ok(own) => {
            assert_eq!(own.faults(), Vec::<String>::new());
            let names: Vec<String> = own.iter().map(|material| material.name.clone()).collect();
            let all = SHELF.with_toml(text);
            for name in names {
                let found = all
                    .as_ref()
                    .is_ok_and(|all| all.find_material(&name).is_some());
                assert!(found, "{name}");
            }
        }
        Err(faults) => {
            assert!(!faults.as_slice().is_empty());
            for fault in faults.as_slice() {
                within(&fault.place, text);
                assert!(!fault.said.is_empty());
            }
            assert!(!faults.to_string().is_empty());
        }
    }
}

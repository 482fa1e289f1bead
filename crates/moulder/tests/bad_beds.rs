//! Faulty bed files and the message for each: one snapshot.
//!
//! Renew it with `INSTA_UPDATE=always cargo test -p moulder --test bad_beds`, and read the
//! difference.

#![cfg(feature = "places")]
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;
use std::path::Path;

use moulder::internals::fault::FaultCode;
use moulder::internals::fault::notice::{Topic, topic};
use moulder::internals::fault::sentence;
use moulder::internals::forecast::forecast;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;

/// Every file with its name, sorted by name.
fn files() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/bad-beds");
    let mut files: Vec<(String, String)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, fs::read_to_string(path).unwrap())
        })
        .collect();
    files.sort();
    files
}

#[test]
fn what_is_said_of_bad_beds() {
    let library = Library::built_in();
    let files = files();
    assert!(files.len() >= 30, "{}", files.len());
    let mut said = String::new();
    // Of a text that is no bed file, or of arguments.
    let mut raised = BTreeSet::from([
        FaultCode::TooBig,
        FaultCode::NotText,
        FaultCode::Unreadable,
        FaultCode::Unwritable,
        FaultCode::MissingOption,
        FaultCode::BadOption,
        FaultCode::Unfinished,
        FaultCode::Stopped,
    ]);
    for (name, text) in files {
        let about = text.lines().next().unwrap();
        writeln!(said, "{name}: {}", about.trim_start_matches("# ")).unwrap();
        match read_toml(&text, &library) {
            Ok(bed) => {
                // Notices that apply to most beds are listed without values.
                let mut before = Vec::new();
                for notice in forecast(&bed, 0, &unwatched).unwrap().notices {
                    if topic(&notice.code) == Topic::BeforeFilling {
                        before.push(notice.code);
                    } else {
                        let (weight, text) = (notice.severity, sentence::notice(&notice));
                        writeln!(said, "  {weight:?}: {text}").unwrap();
                    }
                }
                if !before.is_empty() {
                    writeln!(said, "  before filling: {}", before.join(", ")).unwrap();
                }
            }
            Err(faults) => {
                raised.extend(faults.iter().map(|fault| fault.code));
                for fault in &faults {
                    writeln!(said, "  {fault}").unwrap();
                }
            }
        }
        said.push('\n');
    }
    for sign in ["-->", "error", "E0", "^"] {
        assert!(!said.contains(sign), "{sign}");
    }
    assert_eq!(raised, FaultCode::ALL.iter().copied().collect());
    insta::assert_snapshot!(said);
}

//! What is written into a bed file stands there with all else as it was: its comments, blanks,
//! line ends and permissions; and the file is the old one or the new, never half.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use moulder::{Bed, Library};
use serde_json::Value;
use tempfile::TempDir;

const BAG: &str = "tests/cmd/tape.in/bag.toml";
const READ: &str = "../../examples/beds/measured-bag.toml";
const JSON: &str = "tests/beds/one-layer.json";
const FAULTY: &str = "tests/beds/five-faults.toml";

/// What can be written, each with what was typed and the list it stands in.
const WRITERS: [(&str, &[&str], &str); 3] = [
    ("tape", &["20 cm"], "reading"),
    ("added", &["40 L", "--with", "garden compost"], "added"),
    ("fed", &["55 g", "--feed", "13 % N"], "fed"),
];

fn moulder(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(words)
        .args(["--draws", "4"])
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

/// The answer to what must be done.
fn done(words: &[&str]) -> String {
    let output = moulder(words);
    let complaint = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(0), "{words:?}: {complaint}");
    String::from_utf8(output.stdout).unwrap()
}

/// A file of that text in a folder of its own.
fn file(name: &str, text: &str) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(name);
    fs::write(&path, text).unwrap();
    (folder, path)
}

/// Writes an entry into a file on a day.
fn write(command: &str, path: &Path, typed: &[&str]) -> String {
    let path = path.to_str().unwrap();
    let day = ["--on", "2026-11-01", "--today", "2026-11-02"];
    done(&[&[command, path], typed, &day].concat())
}

fn undo(command: &str, path: &Path) -> String {
    done(&[command, path.to_str().unwrap(), "--undo"])
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).unwrap()
}

/// Beds with and without readings, of all shapes.
const BEDS: [&str; 4] = [
    BAG,
    READ,
    "../../examples/beds/log-box.toml",
    "tests/refused/mound.toml",
];

/// All lines that were there are there, in their order; taking the entry out again gives the
/// same bytes. With either line end, with and without one at the end of the file, and after the
/// mark that some editors put before a text.
#[test]
fn all_else_stays_to_the_byte() {
    for (number, bed) in BEDS.into_iter().enumerate() {
        let bed = fs::read_to_string(bed).unwrap();
        let (command, typed, list) = WRITERS[number % WRITERS.len()];
        let shape = Bed::from_toml(&bed, &Library::built_in()).unwrap();
        let height: &[&str] = if command == "tape" && shape.rim_m().is_none() {
            &["--height"]
        } else {
            &[]
        };
        let text_of = match number % 4 {
            0 => bed,
            1 => bed.replace('\n', "\r\n"),
            2 => bed.trim_end().to_owned(),
            _ => format!("\u{feff}{bed}\n\n# the end\n"),
        };
        let (folder, path) = file("bed.toml", &text_of);
        let said = write(command, &path, &[typed, height].concat());
        assert!(said.contains("Wrote to "), "{said}");
        let written = text(&path);
        let mut left = written.lines();
        for line in text_of.lines() {
            assert!(
                left.any(|other| other == line),
                "{line} is lost:\n{written}"
            );
        }
        let heading = format!("[[{list}]]");
        let count = |text: &str| text.lines().filter(|line| *line == heading).count();
        assert_eq!(count(&written), count(&text_of) + 1, "{written}");
        let others = written.replace("\r\n", "");
        let is_other = if text_of.contains("\r\n") { '\n' } else { '\r' };
        assert!(!others.contains(is_other), "{written}");
        undo(command, &path);
        assert_eq!(text(&path), text_of);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}

/// What is written reads back as the bed with that reading, and with nothing else.
#[test]
fn it_reads_back_as_what_was_measured() {
    let (_folder, path) = file("bed.toml", &fs::read_to_string(READ).unwrap());
    let before = Bed::from_toml(&text(&path), &Library::built_in()).unwrap();
    write(
        "tape",
        &path,
        &["12 1/2 in", "--note", "by \"the\" \\ shed"],
    );
    let after = Bed::from_toml(&text(&path), &Library::built_in()).unwrap();
    assert_eq!(after.layers(), before.layers());
    let (last, older) = after.readings().split_last().unwrap();
    assert_eq!(older, before.readings());
    assert_eq!(last.on, moulder::date(2026, 11, 1));
    assert!((last.height_m - (0.9 - 0.3175)).abs() < 1e-12);
    assert_eq!(last.give_or_take_m, None);
    assert_eq!(last.note.as_deref(), Some("by \"the\" \\ shed"));
}

#[test]
fn json_stays_json_with_its_fields_in_order() {
    let (_folder, path) = file("bed.json", &fs::read_to_string(JSON).unwrap());
    let before: Value = serde_json::from_str(&text(&path)).unwrap();
    for (command, typed, _) in WRITERS {
        write(command, &path, typed);
    }
    let after: Value = serde_json::from_str(&text(&path)).unwrap();
    let names = |value: &Value| -> Vec<String> {
        let fields = value.as_object().unwrap();
        fields.keys().cloned().collect()
    };
    let lists = WRITERS.map(|(_, _, list)| list.to_owned());
    assert_eq!(names(&after), [names(&before), lists.to_vec()].concat());
    assert_eq!(after["reading"][0]["below-rim"], "20 cm");
    assert_eq!(after["added"][0]["material"], "garden compost");
    assert_eq!(after["fed"][0]["nitrogen"], "7.15 g");
    Bed::from_json(&text(&path), &Library::built_in()).unwrap();
    for (command, _, _) in WRITERS {
        undo(command, &path);
    }
    assert_eq!(
        text(&path),
        serde_json::to_string_pretty(&before).unwrap() + "\n"
    );
    // From then on one more and one less is no change.
    let laid_out = text(&path);
    write("tape", &path, &["20 cm"]);
    undo("tape", &path);
    assert_eq!(text(&path), laid_out);
}

/// Nothing is written where anything is wrong, and nothing else is left behind.
#[test]
fn what_is_refused_leaves_the_file_as_it_is() {
    let beds: [(&str, &str); 3] = [
        ("bag.toml", BAG),
        ("mound.toml", "tests/refused/mound.toml"),
        ("faulty.toml", FAULTY),
    ];
    let on = ["--today", "2026-11-02"];
    for (name, words) in [
        ("bag.toml", &["tape", "31"][..]),
        ("bag.toml", &["tape", "31 L"]),
        ("bag.toml", &["tape", "91 cm"]),
        ("bag.toml", &["tape", "20 cm", "30"]),
        ("bag.toml", &["tape", "20 cm", "--on", "2026-11-03"]),
        ("bag.toml", &["tape", "20 cm", "--on", "2026-03-13"]),
        ("bag.toml", &["tape", "20 cm", "--give-or-take", "60 cm"]),
        ("bag.toml", &["tape", "20 cm", "--note", ""]),
        ("bag.toml", &["added", "3", "--with", "garden compost"]),
        ("bag.toml", &["added", "3 m3", "--with", "concrete"]),
        ("bag.toml", &["added", "900 m3", "--with", "garden compost"]),
        ("bag.toml", &["fed", "55 L", "--feed", "13 % N"]),
        ("bag.toml", &["fed", "0.1 g", "--feed", "1 % N"]),
        ("mound.toml", &["tape", "20 cm"]),
        ("faulty.toml", &["tape", "20 cm"]),
        ("faulty.toml", &["fed", "55 g", "--feed", "13 % N"]),
    ] {
        let bed = beds.iter().find(|(bed, _)| *bed == name).unwrap().1;
        let (folder, path) = file(name, &fs::read_to_string(bed).unwrap());
        let before = fs::read(&path).unwrap();
        let (command, typed) = words.split_first().unwrap();
        let output = moulder(&[&[*command, path.to_str().unwrap()], typed, &on].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{words:?}: {said}");
        assert!(output.stdout.is_empty() && !said.is_empty(), "{words:?}");
        assert_eq!(fs::read(&path).unwrap(), before, "{words:?}");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        if name == "faulty.toml" {
            assert!(said.contains("has 5 faults"), "{said}");
        }
    }
}

/// A list between brackets is as good as one with headings.
#[test]
fn a_list_between_brackets_is_written_into() {
    let bag = fs::read_to_string(BAG).unwrap();
    let lists = "reading = [\n  { on = 2026-06-01, below-rim = \"17 cm\" }, # wet\n]\nfed = []\n";
    let bag = bag.replace("[bed]\n", &format!("{lists}\n[bed]\n"));
    let (_folder, path) = file("bed.toml", &bag);
    for (command, typed, _) in WRITERS {
        write(command, &path, typed);
    }
    let bed = Bed::from_toml(&text(&path), &Library::built_in()).unwrap();
    assert_eq!((bed.readings().len(), bed.fed().len()), (2, 1));
    for (command, _, _) in WRITERS {
        undo(command, &path);
    }
    assert_eq!(text(&path), bag);
}

/// As the file was, with its permissions and the link that leads to it; one that is protected
/// stays.
#[cfg(unix)]
#[test]
fn permissions_and_links_are_kept() {
    use std::fs::Permissions;
    use std::os::unix::fs::{PermissionsExt, symlink};
    let (folder, path) = file("bed.toml", &fs::read_to_string(BAG).unwrap());
    let link = folder.path().join("link.toml");
    symlink("bed.toml", &link).unwrap();
    for mode in [0o666, 0o640, 0o600] {
        fs::set_permissions(&path, Permissions::from_mode(mode)).unwrap();
        write("tape", &link, &["20 cm", "--replace"]);
        let kept = fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(kept & 0o777, mode);
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    }
    let before = text(&path);
    assert!(before.contains("[[reading]]"));
    fs::set_permissions(&path, Permissions::from_mode(0o444)).unwrap();
    let output = moulder(&["tape", link.to_str().unwrap(), "--undo"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("protected"), "{said}");
    assert_eq!(text(&path), before);
}

/// On a disk on which nothing more can be written, and by a program that is killed as it
/// writes, nothing is lost.
#[cfg(unix)]
#[test]
fn a_write_that_fails_leaves_the_old_file() {
    for before in ["trap '' XFSZ; ulimit -f 0", "ulimit -f 0"] {
        let (folder, path) = file("bed.toml", &fs::read_to_string(BAG).unwrap());
        let old = text(&path);
        let output = Command::new("sh")
            .args(["-c", &format!("{before}\nexec \"$@\""), "sh"])
            .args([env!("CARGO_BIN_EXE_moulder"), "tape"])
            .arg(&path)
            .args([
                "20 cm",
                "--on",
                "2026-11-01",
                "--today",
                "2026-11-02",
                "--draws",
                "4",
            ])
            .output()
            .unwrap();
        assert!(!output.status.success());
        assert!(output.stdout.is_empty());
        assert_eq!(text(&path), old);
        if output.status.code().is_some() {
            let said = String::from_utf8(output.stderr).unwrap();
            assert!(said.contains("cannot be written"), "{said}");
            assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        }
    }
}

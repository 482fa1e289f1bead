//! A file that is written appears whole, or the old one stays as it was: whatever command
//! writes it, and whether the write fails or the program is stopped in the middle. What a
//! stopped program leaves is swept away by the next.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::fs::{self, File};
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::{Command, Output};

const BED: &str = "../../examples/beds/bulk-bag.toml";
const READ: &str = "../../examples/beds/measured-bag.toml";
const OTHER: &str = "../../examples/beds/log-box.toml";
const PLAN: &str = "../../examples/plans/long-box.toml";

/// What was there before.
const OLD: &str = "an owner's own notes\n";

/// The signal that a system sends to who writes more than is allowed.
const TOO_MUCH: i32 = 25;

/// Every command that writes a file, and what the file is called.
const WRITERS: &[(&str, &[&str])] = &[
    ("bed.toml", &["new", "bag"]),
    (
        "bed.csv",
        &["forecast", BED, "--draws", "0", "--months", "2"],
    ),
    (
        "bed.json",
        &["forecast", BED, "--draws", "4", "--months", "2", "--json"],
    ),
    ("carbon.csv", &["ledger", BED, "--draws", "0"]),
    (
        "bed.svg",
        &["chart", BED, "--kind", "height", "--draws", "0"],
    ),
    (
        "bed.png",
        &["chart", BED, "--kind", "section", "--draws", "0"],
    ),
    ("bed.html", &["report", BED, "--draws", "0"]),
    (
        "designs.txt",
        &["compare", BED, OTHER, "--draws", "2", "--months", "2"],
    ),
    ("read.txt", &["fit", READ, "--draws", "100"]),
    ("unknowns.txt", &["unknowns", BED, "--draws", "16"]),
    ("topup.csv", &["topup", BED, "--draws", "0"]),
    ("bed.ics", &["topup", BED, "--draws", "0", "--calendar"]),
    ("fill.toml", &["plan", PLAN, "--write-bed", "1"]),
];

/// Runs the program under a shell that first does `before`, and lets it write over `file`.
fn writes(before: &str, words: &[&str], file: &Path) -> Output {
    let script = format!("{before}\nexec \"$@\"");
    Command::new("sh")
        .args(["-c", &script, "sh", env!("CARGO_BIN_EXE_moulder")])
        .args(&words[..1])
        .arg("--force")
        .args(&words[1..])
        .args((words.last() != Some(&"--calendar")).then_some("-o"))
        .arg(file)
        .output()
        .unwrap()
}

/// A disk on which nothing more can be written: the old file stays, nothing else is left
/// behind, and the program says so.
#[test]
fn a_write_that_fails_leaves_the_old_file() {
    for (name, words) in WRITERS {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(name);
        fs::write(&file, OLD).unwrap();
        // Without the signal the write itself fails.
        let output = writes("trap '' XFSZ; ulimit -f 0", words, &file);
        // Programs are told where the answer would be.
        let told = if words.contains(&"--json") {
            output.stdout
        } else {
            output.stderr
        };
        let said = String::from_utf8(told).unwrap();
        assert_eq!(output.status.code(), Some(1), "{words:?}: {said}");
        assert!(said.contains("cannot be written"), "{words:?}: {said}");
        assert_eq!(fs::read_to_string(&file).unwrap(), OLD, "{words:?}");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "{words:?}");
    }
}

/// Killed as it writes its first bytes.
#[test]
fn a_program_that_is_killed_leaves_the_old_file() {
    for (name, words) in WRITERS {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(name);
        fs::write(&file, OLD).unwrap();
        let output = writes("ulimit -f 0", words, &file);
        assert_eq!(output.status.signal(), Some(TOO_MUCH), "{words:?}");
        assert_eq!(fs::read_to_string(&file).unwrap(), OLD, "{words:?}");
        let left = names(folder.path());
        assert_eq!(left.len(), 2, "{left:?}");
        assert!(left[0].starts_with(".moulder-"), "{left:?}");
    }
}

/// What is in a folder, in order.
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// The next write sweeps away what a killed one left; not what somebody writes just now, and
/// nothing that is not ours.
#[test]
fn what_a_killed_program_left_is_swept_away() {
    let folder = tempfile::tempdir().unwrap();
    let inside = |name: &str| folder.path().join(name);
    let file = inside("bed.toml");
    writes("ulimit -f 0", &["new", "bag"], &file);
    assert_eq!(names(folder.path()).len(), 1);
    let held = File::create(inside(".moulder-held00.part")).unwrap();
    held.lock().unwrap();
    let others = [
        ".moulder-notes",
        ".moulder-abc12.part",
        "moulder-abc123.part",
    ];
    for other in others {
        fs::write(inside(other), OLD).unwrap();
    }
    fs::create_dir(inside(".moulder-folder.part")).unwrap();
    std::os::unix::fs::symlink("kept", inside(".moulder-linked.part")).unwrap();
    let kept = [
        ".moulder-abc12.part",
        ".moulder-folder.part",
        ".moulder-linked.part",
        ".moulder-notes",
        "bed.toml",
        "moulder-abc123.part",
    ];
    assert_eq!(
        writes("true", &["new", "bag"], &file).status.code(),
        Some(0)
    );
    let mut with_held = kept.to_vec();
    with_held.insert(2, ".moulder-held00.part");
    assert_eq!(names(folder.path()), with_held);
    // Whoever wrote it is gone.
    drop(held);
    assert_eq!(
        writes("true", &["new", "bag"], &file).status.code(),
        Some(0)
    );
    assert_eq!(names(folder.path()), kept);
}

/// The file is the answer: where only the word of it cannot be printed, that is said, with a
/// code of its own.
#[test]
fn a_file_that_is_written_is_told_from_one_that_is_not() {
    for (name, words) in WRITERS {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(name);
        let output = writes("exec >/dev/full", words, &file);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(4), "{words:?}: {said}");
        let said = said.replace('\n', " ");
        assert!(
            said.contains("is written and whole, but that could not be printed"),
            "{said}"
        );
        assert!(said.contains("the disk is full"), "{said}");
        let written = fs::read(&file).unwrap();
        assert_eq!(writes("true", words, &file).status.code(), Some(0));
        assert_eq!(fs::read(&file).unwrap(), written, "{words:?}");
    }
}

/// Links that lead in a circle lead to no file, whoever asks.
#[test]
fn a_circle_of_links_stays_one() {
    let folder = tempfile::tempdir().unwrap();
    let inside = |name: &str| folder.path().join(name);
    for (link, leads_to) in [("one", "two"), ("two", "three"), ("three", "one")] {
        std::os::unix::fs::symlink(leads_to, inside(link)).unwrap();
    }
    let output = writes("true", &["new", "bag"], &inside("one"));
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stderr).unwrap().replace('\n', " ");
    assert!(said.contains("links in a circle"), "{said}");
    assert_eq!(names(folder.path()), ["one", "three", "two"]);
    for link in ["one", "two", "three"] {
        assert!(fs::symlink_metadata(inside(link)).unwrap().is_symlink());
    }
}

/// A pipe that nobody writes to would be waited for without end.
#[test]
fn of_a_folder_only_plain_files_are_read() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(BED, folder.path().join("bag.toml")).unwrap();
    let pipe = folder.path().join("pipe.toml");
    let made = Command::new("mkfifo").arg(&pipe).status().unwrap();
    assert!(made.success());
    let topup = || {
        Command::new(env!("CARGO_BIN_EXE_moulder"))
            .args(["topup", "--draws", "0", "--years", "1"])
            .arg(folder.path())
            .output()
            .unwrap()
    };
    let output = topup();
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let said = String::from_utf8(output.stderr).unwrap().replace('\n', " ");
    assert!(
        said.contains("pipe.toml cannot be read: it is no plain file"),
        "{said}"
    );
    assert!(output.stdout.is_empty());
    // A link to a file is as good as the file; one that leads nowhere is told as such.
    fs::remove_file(&pipe).unwrap();
    std::os::unix::fs::symlink("bag.toml", &pipe).unwrap();
    assert_eq!(topup().status.code(), Some(0));
    fs::remove_file(&pipe).unwrap();
    std::os::unix::fs::symlink("nowhere.toml", &pipe).unwrap();
    let said = String::from_utf8(topup().stderr)
        .unwrap()
        .replace('\n', " ");
    assert!(said.contains("there is no such file"), "{said}");
}

/// Nobody can make a file there, whoever asks.
#[test]
fn where_nothing_can_be_written_it_is_said() {
    for folder in ["/proc", "/no/such/folder"] {
        let output = writes("true", &["new", "bag"], &Path::new(folder).join("bed.toml"));
        assert_eq!(output.status.code(), Some(1), "{folder}");
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.contains("cannot be written"), "{folder}: {said}");
    }
    let output = writes("true", &["new", "bag"], Path::new("/dev/full"));
    assert_eq!(output.status.code(), Some(1));
    let full = writes("exec >/dev/full", &["new", "bag"], Path::new("-"));
    assert_eq!(full.status.code(), Some(1));
    let said = String::from_utf8(full.stderr).unwrap();
    assert!(said.contains("the disk is full"), "{said}");
    // Programs as well, where they cannot be told otherwise.
    let full = Command::new("sh")
        .args(["-c", "exec \"$0\" codes --json >/dev/full"])
        .arg(env!("CARGO_BIN_EXE_moulder"))
        .output()
        .unwrap();
    assert_eq!(full.status.code(), Some(1));
    let said = String::from_utf8(full.stderr).unwrap();
    assert!(said.contains("the disk is full"), "{said}");
}

/// A link goes on leading to the file, which is the one that is replaced.
#[test]
fn a_link_stays_a_link() {
    let folder = tempfile::tempdir().unwrap();
    let (file, link) = (
        folder.path().join("kept.toml"),
        folder.path().join("bed.toml"),
    );
    fs::create_dir(folder.path().join("other")).unwrap();
    std::os::unix::fs::symlink("kept.toml", &link).unwrap();
    for old in [Some(OLD), None] {
        let _ = fs::remove_file(&file);
        if let Some(old) = old {
            fs::write(&file, old).unwrap();
            let unasked = Command::new(env!("CARGO_BIN_EXE_moulder"))
                .args(["new", "bag", "-o"])
                .arg(&link)
                .output()
                .unwrap();
            assert_eq!(unasked.status.code(), Some(1));
            assert_eq!(fs::read_to_string(&file).unwrap(), OLD);
        }
        let output = writes("true", &["new", "bag"], &link);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert!(fs::read_to_string(&file).unwrap().starts_with("# "));
    }
}

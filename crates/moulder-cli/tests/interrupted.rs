//! Ctrl-C in the middle of a long task leaves a clean terminal.

// Only there does `script` lend a terminal in these words.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::io::{Read, Write};
use std::process::{Command, Stdio};

/// What Ctrl-C sends down the line.
const CTRL_C: &[u8] = b"\x03";

/// What is left on the line that a terminal writes to last.
fn last_line(shown: &str) -> String {
    let last = shown.rsplit('\n').next().unwrap_or_default();
    // What clears a line, or sets out at its beginning.
    let mut line = String::new();
    let mut signs = last.chars();
    while let Some(sign) = signs.next() {
        match sign {
            '\r' => line.clear(),
            '\u{1b}' => {
                let code: String = signs
                    .by_ref()
                    .take_while(|sign| !sign.is_ascii_alphabetic())
                    .collect();
                assert!(code.starts_with('['), "{shown:?}");
            }
            sign => line.push(sign),
        }
    }
    line
}

#[test]
fn the_bar_is_gone_after_ctrl_c() {
    let long = format!(
        "{} forecast ../../examples/beds/bulk-bag.toml --draws 60000 >/dev/null",
        env!("CARGO_BIN_EXE_moulder")
    );
    let mut script = Command::new("script")
        .args([
            "--quiet",
            "--flush",
            "--return",
            "--command",
            &long,
            "/dev/null",
        ])
        .env("TERM", "xterm")
        .env_remove("NO_COLOR")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("a terminal from script, of util-linux");
    let mut keys = script.stdin.take().unwrap();
    let mut screen = script.stdout.take().unwrap();
    let mut shown = Vec::new();
    let mut piece = [0; 4096];
    while !String::from_utf8_lossy(&shown).contains("runs") {
        let length = screen.read(&mut piece).unwrap();
        assert!(length > 0, "no bar: {:?}", String::from_utf8_lossy(&shown));
        shown.extend(&piece[..length]);
    }
    keys.write_all(CTRL_C).unwrap();
    keys.flush().unwrap();
    screen.read_to_end(&mut shown).unwrap();
    assert_eq!(script.wait().unwrap().code(), Some(130));
    let shown = String::from_utf8_lossy(&shown).into_owned();
    assert_eq!(last_line(&shown).trim(), "", "{shown:?}");
    // Nothing hides the cursor, or it is shown again.
    let [hidden, back] = ["\u{1b}[?25l", "\u{1b}[?25h"].map(|code| shown.rfind(code));
    assert!(hidden <= back, "{shown:?}");
}

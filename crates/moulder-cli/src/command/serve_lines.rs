//! `moulder serve-lines`: questions of other programs, a line in, a line out.

use std::collections::BTreeMap;
use std::io::{self, BufRead, ErrorKind, Read as _, Write as _};
use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::sync_channel;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use moulder_bridge::{MOST_BYTES, answer_line};
use serde_json::{Value, json};

use crate::trouble::{Trouble, unprinted};

/// Questions that are read before the first of them is answered.
const AHEAD: usize = 64;
/// Longest line that may ask for a stop; bytes.
const STOP_BYTES: usize = 1024;

/// The questions that are not answered yet, by their `id` as JSON, and whether each is stopped.
#[derive(Debug, Clone, Default)]
struct Waiting {
    stopped: Arc<Mutex<BTreeMap<String, bool>>>,
}

impl Waiting {
    fn with<T>(&self, change: impl FnOnce(&mut BTreeMap<String, bool>) -> T) -> T {
        change(&mut self.stopped.lock().unwrap_or_else(PoisonError::into_inner))
    }

    fn add(&self, id: &str) {
        self.with(|all| all.insert(id.to_owned(), false));
    }

    fn stop(&self, id: &str) {
        self.with(|all| all.get_mut(id).map(|is_stopped| *is_stopped = true));
    }

    fn is_stopped(&self, id: &str) -> bool {
        self.with(|all| all.get(id).copied().unwrap_or_default())
    }

    fn remove(&self, id: &str) {
        self.with(|all| all.remove(id));
    }
}

/// A line that was read.
struct Line {
    text: String,
    /// Its `id` as JSON; empty without.
    id: String,
    /// Whether its progress is told.
    is_watched: bool,
}

/// Answers every line that is piped in, until there are no more.
pub(crate) fn answer() -> Result<(), Trouble> {
    let waiting = Waiting::default();
    let (sender, lines) = sync_channel(AHEAD);
    let read = {
        let waiting = waiting.clone();
        move || {
            let mut input = io::stdin().lock();
            while let Some(text) = next_line(&mut input) {
                let line = Line::of(text);
                if line.text.len() <= STOP_BYTES
                    && let Some(id) = stop_of(&line.text)
                {
                    waiting.stop(&id);
                    continue;
                }
                waiting.add(&line.id);
                if sender.send(line).is_err() {
                    return;
                }
            }
        }
    };
    // It ends with the input, or with the program.
    thread::spawn(read);
    for line in lines {
        let said = answered(&line, &waiting);
        waiting.remove(&line.id);
        match put(&(said + "\n")) {
            Ok(()) => {}
            // Nobody reads on.
            Err(error) if error.kind() == ErrorKind::BrokenPipe => return Ok(()),
            Err(error) => return Err(unprinted(&error)),
        }
    }
    Ok(())
}

impl Line {
    fn of(text: String) -> Self {
        // Whether it can be read is found out when it is answered.
        let question: Value = serde_json::from_str(&text).unwrap_or_default();
        Self {
            id: question
                .get("id")
                .map_or_else(String::new, Value::to_string),
            is_watched: question.get("progress") == Some(&Value::Bool(true)),
            text,
        }
    }
}

/// The answer to a line. Even a fault of the program itself is one.
fn answered(line: &Line, waiting: &Waiting) -> String {
    let told = Mutex::new(0);
    let progress = |done: u32, of: u32| {
        if line.is_watched && tell(&line.id, (done, of), &told).is_err() {
            return ControlFlow::Break(());
        }
        if !line.id.is_empty() && waiting.is_stopped(&line.id) {
            return ControlFlow::Break(());
        }
        ControlFlow::Continue(())
    };
    let done = catch_unwind(AssertUnwindSafe(|| answer_line(&line.text, &progress)));
    done.unwrap_or_else(|_| {
        let id = serde_json::from_str::<Value>(&line.id).unwrap_or_default();
        let message = "this question met a fault of the program; please report it";
        json!({"id": id, "refused": {"code": "unfinished", "message": message, "faults": []}})
            .to_string()
    })
}

/// Prints how far a question is, at each hundredth of it.
fn tell(id: &str, (done, of): (u32, u32), told: &Mutex<u32>) -> io::Result<()> {
    let hundredth = u64::from(done) * 100 / u64::from(of.max(1));
    let hundredth = u32::try_from(hundredth).unwrap_or(100);
    let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
    // A task may be of several runs, each of which begins anew.
    if done > 0 && *told == hundredth {
        return Ok(());
    }
    *told = hundredth;
    let id = if id.is_empty() { "null" } else { id };
    put(&format!(
        "{{\"id\":{id},\"progress\":{{\"done\":{done},\"of\":{of}}}}}\n"
    ))
}

/// Prints a line at once.
fn put(line: &str) -> io::Result<()> {
    let mut screen = io::stdout().lock();
    screen.write_all(line.as_bytes())?;
    screen.flush()
}

/// The `id` of the question that a line stops: `{"stop": 7}`.
fn stop_of(text: &str) -> Option<String> {
    let line: Value = serde_json::from_str(text).ok()?;
    let stop = line.as_object().filter(|line| line.len() == 1)?;
    Some(stop.get("stop")?.to_string())
}

/// The next line that holds anything; none at the end. Of a line that is too long, as much is
/// kept as shows it; what is no text is shown by a sign.
fn next_line(input: &mut impl BufRead) -> Option<String> {
    loop {
        let mut line = Vec::new();
        let most = u64::try_from(MOST_BYTES).unwrap_or(u64::MAX);
        let read = input.by_ref().take(most + 2).read_until(b'\n', &mut line);
        if !read.is_ok_and(|count| count > 0) {
            return None;
        }
        if line.len() > MOST_BYTES && !line.ends_with(b"\n") {
            skip_line(input);
        }
        let text = String::from_utf8_lossy(&line).trim().to_owned();
        if !text.is_empty() {
            return Some(text);
        }
    }
}

/// Reads on to the end of the line.
fn skip_line(input: &mut impl BufRead) {
    while let Ok(held) = input.fill_buf() {
        let end = held.iter().position(|byte| *byte == b'\n');
        let count = end.map_or(held.len(), |end| end + 1);
        if count == 0 {
            return;
        }
        input.consume(count);
        if end.is_some() {
            return;
        }
    }
}

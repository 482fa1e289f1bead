//! Questions in lines: the figures of the commands, and nothing that ends it but its input.
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

use serde_json::{Value, json};

const BEDS: [&str; 2] = [
    "../../examples/beds/bulk-bag.toml",
    "../../examples/beds/log-box.toml",
];
const PLAN: &str = "../../examples/plans/long-box.toml";

fn program() -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_moulder"));
    program.stdin(Stdio::piped()).stdout(Stdio::piped());
    program
}

/// The lines that come back for that input.
fn answered(input: &[u8]) -> Vec<Value> {
    let mut child = program().arg("serve-lines").spawn().unwrap();
    let mut pipe = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || pipe.write_all(&input));
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap().unwrap();
    assert!(output.status.success());
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// A line for each question.
fn lines<'q>(questions: impl IntoIterator<Item = &'q Value>) -> String {
    let questions: Vec<String> = questions.into_iter().map(Value::to_string).collect();
    questions.join("\n")
}

/// The bytes of a command's `--json`.
fn told(words: &[&str]) -> String {
    let output = program().args(words).arg("--json").output().unwrap();
    assert!(output.status.success(), "{words:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// Every answer is that of the command, to the byte once it is laid out alike.
#[test]
fn answers_are_those_of_the_commands() {
    let mut pairs: Vec<(Vec<&str>, Value)> = Vec::new();
    for path in BEDS {
        let bed = std::fs::read_to_string(path).unwrap();
        let today = "2027-01-10";
        pairs.extend([
            (vec!["check", path], json!({"ask": "check", "bed": bed})),
            (
                vec![
                    "forecast", path, "--months", "12", "--draws", "8", "--seed", "3",
                ],
                json!({"ask": "forecast", "bed": bed, "months": 12, "draws": 8, "seed": 3}),
            ),
            (
                vec!["forecast", path, "--draws", "0", "--units", "us"],
                json!({"ask": "forecast", "bed": bed, "draws": 0, "units": "us"}),
            ),
            (
                vec!["ledger", path, "--months", "12", "--draws", "4"],
                json!({"ask": "ledger", "bed": bed, "months": 12, "draws": 4}),
            ),
            (
                vec!["unknowns", path, "--at", "3", "--draws", "8"],
                json!({"ask": "unknowns", "bed": bed, "at": 3, "draws": 8}),
            ),
            (
                vec!["compare", path, BEDS[0], "--months", "12", "--draws", "4"],
                json!({
                    "ask": "compare", "months": 12, "draws": 4,
                    "beds": [bed, std::fs::read_to_string(BEDS[0]).unwrap()],
                }),
            ),
            (
                vec![
                    "topup",
                    path,
                    BEDS[0],
                    "--today",
                    today,
                    "--draws",
                    "4",
                    "--sold-in",
                    "40 L at 5.98",
                    "--overfill",
                    "6",
                ],
                json!({
                    "ask": "top_ups", "today": today, "draws": 4, "overfill_months": 6,
                    "beds": [bed, std::fs::read_to_string(BEDS[0]).unwrap()],
                    "ways": [{"volume_m3": 0.04, "price": 5.98}],
                }),
            ),
        ]);
    }
    let plan = std::fs::read_to_string(PLAN).unwrap();
    pairs.push((
        vec!["plan", PLAN, "--draws", "2"],
        json!({"ask": "plan", "plan": plan, "draws": 2}),
    ));
    pairs.push((vec!["materials"], json!({"ask": "materials"})));
    pairs.push((vec!["climates"], json!({"ask": "climates"})));
    pairs.push((
        vec!["climates", "Lyon, France"],
        json!({"ask": "climates", "name": "Lyon, France"}),
    ));
    let input = lines(pairs.iter().map(|(_, question)| question));
    let answers = answered(input.as_bytes());
    assert_eq!(answers.len(), pairs.len());
    for ((words, _), answer) in pairs.iter().zip(answers) {
        let laid_out = serde_json::to_string_pretty(&answer["answer"]).unwrap() + "\n";
        assert!(laid_out == told(words), "{words:?}");
    }
}

/// The words of a short answer, a drawing and a page are those of the commands.
#[test]
fn words_drawings_and_pages_are_those_of_the_commands() {
    let [path, _] = BEDS;
    let bed = std::fs::read_to_string(path).unwrap();
    let today = "2027-01-10";
    let questions = [
        json!({"ask": "chart", "bed": bed, "kind": "section"}),
        json!({"ask": "chart", "bed": bed, "kind": "height", "draws": 4, "width": 360}),
        json!({"ask": "report", "beds": [bed], "today": today, "draws": 4, "one_sheet": true}),
        json!({"ask": "answer", "bed": bed, "today": today, "draws": 4}),
    ];
    let input = lines(&questions);
    let answers = answered(input.as_bytes());
    let said = |words: &[&str]| {
        let output = program().args(words).output().unwrap();
        assert!(output.status.success(), "{words:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    let text = |at: usize, name: &str| answers[at]["answer"][name].as_str().unwrap();
    assert!(text(0, "svg").trim() == said(&["chart", path, "--kind", "section"]).trim());
    let height = [
        "chart", path, "--kind", "height", "--draws", "4", "--width", "360",
    ];
    assert!(text(1, "svg").trim() == said(&height).trim());
    let sheet = [
        "report",
        path,
        "--today",
        today,
        "--draws",
        "4",
        "--one-sheet",
    ];
    assert!(text(2, "html").trim() == said(&sheet).trim());
    let spoken = said(&["answer", path, "--today", today, "--draws", "4"]);
    let spoken: String = spoken.split_whitespace().collect();
    for line in answers[3]["answer"]["lines"].as_array().unwrap() {
        let about: String = line[1].as_str().unwrap().split_whitespace().collect();
        assert!(spoken.contains(&about), "{about}");
    }
}

/// Whatever comes in, each line has one answer, and the next question is answered.
#[test]
fn no_line_ends_it() {
    let good = b"{\"id\": 1, \"ask\": \"climates\", \"name\": \"Cambridge UK\"}\n";
    let lines: [&[u8]; 7] = [
        b"\n  \n\r\n",
        b"nonsense\n",
        b"\xff\xfe\x00\n",
        b"{\"ask\": \"forecast\", \"bed\": \"format = 1\"}\n",
        b"{\"stop\": 99}\n",
        b"{\"stop\": 99, \"ask\": \"climates\"}\n",
        b"[[[[[[[[[[[[[[[[\n",
    ];
    let mut input = Vec::new();
    for line in lines {
        input.extend_from_slice(line);
        input.extend_from_slice(good);
    }
    // Too long to be read, and half a line at the end.
    input.extend(std::iter::repeat_n(b'[', moulder_bridge::MOST_BYTES + 10));
    input.push(b'\n');
    input.extend_from_slice(good);
    input.extend_from_slice(b"{\"ask\": ");
    let answers = answered(&input);
    let codes: Vec<&str> = answers
        .iter()
        .filter_map(|answer| answer["refused"]["code"].as_str())
        .collect();
    assert_eq!(
        codes,
        [
            "bad-syntax",
            "bad-syntax",
            "missing-field",
            "unknown-field",
            "bad-syntax",
            "too-big",
            "bad-syntax",
        ]
    );
    let good = answers.iter().filter(|answer| answer["id"] == 1);
    assert_eq!(good.count(), lines.len() + 1);
}

/// A long question tells how far it is, can be stopped, and the next is answered.
#[test]
fn a_long_question_can_be_stopped() {
    let bed = std::fs::read_to_string(BEDS[0]).unwrap();
    let mut child = program().arg("serve-lines").spawn().unwrap();
    let mut input = child.stdin.take().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut next = || -> Value { serde_json::from_str(&lines.next().unwrap().unwrap()).unwrap() };
    let long = json!({
        "id": "long", "ask": "forecast", "bed": bed, "months": 120, "draws": 60_000,
        "progress": true,
    });
    writeln!(input, "{long}").unwrap();
    writeln!(input, "{}", json!({"id": 2, "ask": "check", "bed": bed})).unwrap();
    let first = next();
    assert_eq!(first["id"], "long");
    assert_eq!(first["progress"]["of"], 60_000);
    writeln!(input, "{{\"stop\": \"long\"}}").unwrap();
    let mut last = next();
    while last.get("progress").is_some() {
        last = next();
    }
    assert_eq!(
        (&last["id"], &last["refused"]["code"]),
        (&json!("long"), &json!("stopped"))
    );
    assert_eq!(next()["id"], 2);
    drop(input);
    assert!(child.wait().unwrap().success());
}

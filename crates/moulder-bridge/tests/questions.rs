//! Questions and answers: what is asked is checked whole, what is answered follows its schema.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::ops::ControlFlow;

use moulder::months::unwatched;
use moulder_bridge::{answer_line, ask, schema};
use serde_json::{Value, json};

const BAG: &str = include_str!("../../../examples/beds/bulk-bag.toml");
const BOX: &str = include_str!("../../../examples/beds/hardwood-base.toml");
const PLAN: &str = include_str!("../../../examples/plans/long-box.toml");

fn value(question: &Value) -> Value {
    let answer = ask(question, &unwatched).unwrap_or_else(|refused| panic!("{refused:?}"));
    serde_json::from_str(&answer).unwrap()
}

fn bed() -> Value {
    json!({
        "format": 1, "filled": "2026-03-14", "climate": "Cambridge UK",
        "bed": {"shape": "box", "width": "1 m", "length": "2 m", "rim": "60 cm", "near-wall": false},
        "layer": [
            {"put": [{"material": "birch log", "amount": "30 cm"}]},
            {"put": [{"material": "loamy topsoil", "amount": "25 cm"}]}
        ]
    })
}

/// A question of every task.
fn one_of_each() -> Vec<Value> {
    let few = |mut question: Value| {
        question["draws"] = json!(4);
        question["seed"] = json!(7);
        question
    };
    let day = "2027-01-10";
    let parts = [(0, 3), (3, 4)].map(|(from, to)| {
        value(&json!({"ask": "realisations", "bed": BAG, "months": 3, "from": from, "to": to}))
    });
    let measured = BAG.to_owned() + "\n[[reading]]\non = 2026-09-14\nbelow-rim = \"24 cm\"\n";
    vec![
        json!({"ask": "check", "bed": BAG, "defaults": true}),
        few(json!({"ask": "forecast", "bed": bed(), "months": 6, "deeper_than_m": 0.1})),
        few(json!({"ask": "forecast", "bed": measured, "months": 9, "defaults": true})),
        json!({"ask": "notices", "bed": BAG}),
        json!({"ask": "realisations", "bed": BAG, "months": 3, "from": 2, "to": 4}),
        json!({"ask": "merge", "bed": BAG, "months": 3, "parts": parts}),
        json!({"ask": "fit", "bed": measured, "draws": 100, "months": 9}),
        few(json!({"ask": "answer", "bed": BAG, "today": day, "feed_nitrogen": 0.13})),
        few(json!({
            "ask": "top_ups", "beds": [BAG, BOX], "today": day, "years": 1, "overfill_months": 6,
            "ways": [{"volume_m3": 0.04, "price": 5.98}, {"volume_m3": 1.0, "price": 45, "delivery": 30}],
            "deliver_on": [{"month": 3, "day": 1}],
        })),
        few(json!({"ask": "compare", "beds": [BAG, BOX], "months": 12})),
        few(json!({"ask": "plan", "plan": PLAN})),
        few(json!({"ask": "ledger", "bed": BAG, "months": 12})),
        json!({"ask": "unknowns", "bed": BAG, "at": 2, "draws": 8}),
        few(json!({"ask": "chart", "bed": BAG, "kind": "nitrogen", "months": 6, "today": day})),
        few(json!({"ask": "chart", "beds": [BAG, BOX], "kind": "comparison", "months": 6})),
        few(json!({"ask": "report", "beds": [BAG], "today": day, "months": 6, "paper": "a5"})),
        json!({"ask": "materials", "name": "birch log"}),
        json!({"ask": "materials"}),
        json!({"ask": "climates"}),
        json!({"ask": "climates", "name": "Lyon, France"}),
        json!({"ask": "climates", "near": [52.2, 0.1], "height_m": 20}),
        json!({"ask": "towns", "begins": "lyo", "at_most": 3}),
        json!({"ask": "schema"}),
    ]
}

/// The part of the schemas that is of questions, or of an answer.
fn validator(of: &[&str]) -> jsonschema::Validator {
    let mut all = schema();
    let pointer = format!("/{}", of.join("/"));
    let mut wanted = json!({"allOf": [all.pointer(&pointer).unwrap()]});
    wanted["$defs"] = all["$defs"].take();
    wanted["$schema"] = all["$schema"].take();
    jsonschema::validator_for(&wanted).unwrap()
}

#[test]
fn questions_and_answers_follow_their_schemas() {
    let question = validator(&["question"]);
    let mut asked = Vec::new();
    for each in one_of_each() {
        if let Err(error) = question.validate(&each) {
            panic!("{error}: {each}");
        }
        let word = each["ask"].as_str().unwrap();
        asked.push(word.to_owned());
        let answer = value(&each);
        if let Err(error) = validator(&["answers", word]).validate(&answer) {
            panic!("{word}: {error} at {}", error.instance_path());
        }
    }
    let schema = schema();
    for word in schema["answers"].as_object().unwrap().keys() {
        assert!(
            asked.contains(word),
            "no question of the test asks for {word}"
        );
    }
    for wrong in [
        json!({"ask": "forecast"}),
        json!({"ask": "forecast", "bed": BAG, "months": -1}),
        json!({"ask": "forecast", "bed": BAG, "moths": 1}),
        json!({"ask": "nothing"}),
    ] {
        assert!(!question.is_valid(&wrong), "{wrong}");
        assert!(ask(&wrong, &unwatched).is_err());
    }
}

/// An ensemble in parts, through JSON and back, is the ensemble in one piece; and what there is so
/// far is a forecast of so many.
#[test]
fn parts_merge_to_the_same_bytes() {
    for (bed, months) in [(json!(BAG), 12), (json!(BOX), 12), (bed(), 3)] {
        let part = |from: u32, to: u32| -> Value {
            value(
                &json!({"ask": "realisations", "bed": bed, "months": months, "seed": 3, "from": from, "to": to}),
            )
        };
        let whole = |draws: u32| {
            let question = json!({"ask": "forecast", "bed": bed, "months": months, "seed": 3,
                "draws": draws, "deeper_than_m": 0.2});
            ask(&question, &unwatched).unwrap()
        };
        let merged = |parts: &[Value]| {
            let question = json!({"ask": "merge", "bed": bed, "months": months, "seed": 3,
                "deeper_than_m": 0.2, "parts": parts});
            ask(&question, &unwatched).unwrap()
        };
        let parts = [part(0, 1), part(1, 18), part(18, 20)];
        assert_eq!(merged(&parts[..2]), whole(18));
        assert_eq!(merged(&parts), whole(20));
    }
}

#[test]
fn parts_that_make_no_ensemble_are_refused() {
    let part = |seed: u32, from: u32, to: u32| {
        value(
            &json!({"ask": "realisations", "bed": BAG, "months": 2, "seed": seed, "from": from, "to": to}),
        )
    };
    let paths = |parts: Value| -> Vec<String> {
        let question = json!({"ask": "merge", "bed": BAG, "months": 2, "seed": 1, "parts": parts});
        let refused = ask(&question, &unwatched).unwrap_err();
        let faults = refused.faults.iter();
        faults
            .map(|fault| fault["path"].as_str().unwrap().to_owned())
            .collect()
    };
    let mut of_another = part(1, 0, 1);
    of_another["bed"] = json!("0123456789abcdef");
    let mut old = part(1, 0, 1);
    old["engine"] = json!("0.0.9");
    let mut cut = part(1, 0, 2);
    cut["realisations"].as_array_mut().unwrap().pop();
    let mut short = part(1, 0, 1);
    short["realisations"][0]["months"]
        .as_array_mut()
        .unwrap()
        .pop();
    for (parts, expected) in [
        (json!([]), vec!["/parts"]),
        (json!([part(1, 1, 2)]), vec!["/parts/0/from"]),
        (
            json!([part(1, 0, 1), part(2, 2, 3)]),
            vec!["/parts/1/seed", "/parts/1/from"],
        ),
        (json!([of_another]), vec!["/parts/0/bed"]),
        (json!([old]), vec!["/parts/0/engine"]),
        (json!([cut]), vec!["/parts/0/realisations"]),
        (json!([short]), vec!["/parts/0/realisations"]),
        (json!([{"from": 0}]), vec!["/parts/0"]),
        (json!([7]), vec!["/parts/0"]),
    ] {
        assert_eq!(paths(parts), expected);
    }
    let measured = BAG.to_owned() + "\n[[reading]]\non = 2026-09-14\nbelow-rim = \"24 cm\"\n";
    let mut question =
        json!({"ask": "realisations", "bed": measured, "months": 2, "from": 0, "to": 1});
    assert_eq!(
        ask(&question, &unwatched).unwrap_err().faults[0]["path"],
        "/bed/reading"
    );
    question["as_filled"] = json!(true);
    assert!(ask(&question, &unwatched).is_ok());
}

/// All faults of a question are told at once, each where it stands; so are those of all beds.
#[test]
fn all_faults_are_told_at_once() {
    let mut odd = bed();
    odd["layer"][0]["put"][0]["material"] = json!("brich log");
    odd["bed"]["rim"] = json!("60 kg");
    odd["measures"] = json!({"my_pot": "3 l", "half": "2"});
    let question = json!({"ask": "compare", "beds": [bed(), odd, {"format": 2}], "months": 12});
    let refused = ask(&question, &unwatched).unwrap_err();
    let paths: Vec<&str> = refused
        .faults
        .iter()
        .map(|f| f["path"].as_str().unwrap())
        .collect();
    for path in [
        "/beds/1/layer/0/put/0/material",
        "/beds/1/bed/rim",
        "/beds/1/measures/half",
    ] {
        assert!(paths.contains(&path), "{paths:?}");
    }
    assert!(
        paths.iter().any(|path| path.starts_with("/beds/2")),
        "{paths:?}"
    );
    let question = json!({
        "ask": "top_ups", "beds": [], "today": "2026-02-30", "below_m": -1, "each": 1,
        "ways": [{"volume_m3": 0, "prise": 3}], "deliver_on": [{"month": 13}, 4], "with": 3,
    });
    let refused = ask(&question, &unwatched).unwrap_err();
    let paths: Vec<&str> = refused
        .faults
        .iter()
        .map(|f| f["path"].as_str().unwrap())
        .collect();
    assert_eq!(
        paths,
        [
            "/beds",
            "/today",
            "/below_m",
            "/with",
            "/ways/0/volume_m3",
            "/ways/0/prise",
            "/each",
            "/deliver_on/0/month",
            "/deliver_on/0",
            "/deliver_on/1",
        ]
    );
    let question = json!({"ask": "forecast", "moths": 3, "bed": "format = 1"});
    let refused = ask(&question, &unwatched).unwrap_err();
    assert!(refused.faults.len() > 3, "{refused:?}");
    assert_eq!(refused.faults[0]["path"], "/moths");
    let question = json!({"ask": "chart", "kind": "height"});
    assert_eq!(
        ask(&question, &unwatched).unwrap_err().code.as_str(),
        "missing-field"
    );
    let question = json!({"ask": "compare", "beds": ["format = 1", "filled = 3"]});
    let message = ask(&question, &unwatched).unwrap_err().message;
    assert!(message.contains("in /beds/0, line 1") && message.contains("in /beds/1, line 1"));
    let ways = json!([{"volume_m3": 0.04}, {"volume_m3": 1}]);
    let question = json!({"ask": "top_ups", "beds": [BAG], "ways": ways, "draws": 0});
    assert!(
        ask(&question, &unwatched)
            .unwrap_err()
            .message
            .contains("price")
    );
}

/// Whatever the line, the answer is one line of JSON.
#[test]
fn every_line_has_an_answer() {
    let deep = "[".repeat(10_000);
    let many = format!("[{}]", vec!["{}"; 100_000].join(","));
    let long = format!("{{\"ask\": \"{}\"}}", "x".repeat(1_000_000));
    for (line, code) in [
        ("", "bad-syntax"),
        ("{", "bad-syntax"),
        ("\u{0}", "bad-syntax"),
        ("NaN", "bad-syntax"),
        ("{\"ask\": \"forecast\", \"draws\": NaN}", "bad-syntax"),
        ("{\"ask\": \"forecast\", \"draws\": 1e999}", "bad-syntax"),
        ("null", "wrong-kind"),
        ("[]", "wrong-kind"),
        ("{}", "missing-field"),
        ("{\"ask\": 3}", "wrong-kind"),
        ("{\"ask\": null}", "wrong-kind"),
        (deep.as_str(), "bad-syntax"),
        (many.as_str(), "wrong-kind"),
        (long.as_str(), "unknown-word"),
    ] {
        let answer = answer_line(line, &unwatched);
        let start: String = line.chars().take(40).collect();
        assert!(!answer.contains('\n') && answer.len() < 5_000, "{start}");
        let answer: Value = serde_json::from_str(&answer).unwrap();
        assert_eq!(answer["refused"]["code"], code, "{start}");
    }
}

#[test]
fn the_id_comes_back() {
    for id in ["7", "\"a \\\" b\"", "null", "[1,{\"b\":2}]", "1e300"] {
        let id: Value = serde_json::from_str(id).unwrap();
        for ask in ["climates", "nothing"] {
            let line = json!({"ask": ask, "id": id, "name": "Cambridge UK"}).to_string();
            let answer: Value = serde_json::from_str(&answer_line(&line, &unwatched)).unwrap();
            assert_eq!(answer["id"], id);
        }
    }
}

#[test]
fn a_stop_is_a_refusal() {
    let question = json!({"ask": "forecast", "bed": BAG, "months": 24, "draws": 64});
    let stop = |done: u32, _of: u32| {
        if done > 3 {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    };
    let refused = ask(&question, &stop).unwrap_err();
    assert_eq!(refused.code.as_str(), "stopped");
    assert!(ask(&json!({"ask": "check", "bed": BAG}), &unwatched).is_ok());
}

/// Documents may name their fields with hyphens or underscores, and bring weather along.
#[test]
fn documents_come_as_programs_write_them() {
    let days: Vec<String> = (1..=28)
        .map(|day| format!("2026-04-{day:02},14.0,5.0,1.2"))
        .collect();
    let csv = format!("date,high_c,low_c,rain_mm\n{}\n", days.join("\n"));
    let mut underscored = bed();
    underscored["weather"] = json!({"file": "dip.csv"});
    underscored["reading"] = json!([{"on": "2026-08-01", "below_rim": "20 cm"}]);
    let text = serde_json::to_string(&underscored).unwrap();
    let hyphened: Value = serde_json::from_str(&text.replace('_', "-")).unwrap();
    let underscored: Value = serde_json::from_str(&text.replace("near-wall", "near_wall")).unwrap();
    let of = |bed: &Value| {
        value(&json!({"ask": "forecast", "bed": bed, "weather": csv, "draws": 0, "months": 6}))
    };
    let answer = of(&underscored);
    assert_eq!(answer, of(&hyphened));
    assert_eq!(answer["weather_until"], "2026-04-28");
    let answer = value(&json!({
        "ask": "forecast", "bed": BAG, "weather": csv, "draws": 0, "months": 6, "as_filled": true
    }));
    assert_eq!(answer["weather_until"], "2026-04-28");
    let own = "[[material]]\nname = \"x\"\n";
    let refused = ask(
        &json!({"ask": "check", "bed": BAG, "materials": own}),
        &unwatched,
    );
    let refused = refused.unwrap_err();
    let said = &refused.message;
    assert!(said.starts_with("in /materials, line "), "{said}");
    let mut faults = refused.faults.iter();
    assert!(faults.all(|fault| fault["path"] == "/materials"));
    // Null is nothing; a name in both ways is a fault.
    let mut nulls = bed();
    nulls["name"] = Value::Null;
    nulls["crop"] = Value::Null;
    let check = |bed: &Value| ask(&json!({"ask": "check", "bed": bed}), &unwatched);
    assert!(check(&nulls).is_ok());
    nulls["bed"]["near_wall"] = json!(true);
    let refused = check(&nulls).unwrap_err();
    assert_eq!(refused.code.as_str(), "unknown-field");
    // The text of a file in JSON, and a whole number with a point.
    let asked = |bed: Value| json!({"ask": "forecast", "bed": bed, "draws": 0, "months": 3.0});
    let text = bed().to_string();
    assert_eq!(value(&asked(json!(text))), value(&asked(bed())));
}

//! What is told adds up: causes to what has sunk, layers to the fill, designs to their difference,
//! orders to their total; and no two commands tell two figures of one bed.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::process::Command;

const BAG: &str = "../../examples/beds/bulk-bag.toml";
const BOX: &str = "../../examples/beds/log-box.toml";
const MEASURED: &str = "../../examples/beds/measured-bag.toml";
const SCHOOL: &str = "../../examples/beds/school";

fn moulder(words: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(words)
        .output()
        .unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{words:?}: {complaint}");
    String::from_utf8(output.stdout).unwrap()
}

/// The lines of the first table after a heading: those whose first word is what `is_row` takes.
fn rows(text: &str, after: &str, is_row: impl Fn(&str) -> bool) -> Vec<Vec<f64>> {
    let from = text
        .find(after)
        .unwrap_or_else(|| panic!("no {after:?} in {text}"));
    let lines = text[from..]
        .lines()
        .skip_while(|line| !line.starts_with('\u{2500}'));
    let lines = lines.skip(1).take_while(|line| !line.trim().is_empty());
    lines
        .filter(|line| line.split_whitespace().next().is_some_and(&is_row))
        .map(|line| {
            let words = line.split_whitespace();
            words
                .filter_map(|word| word.trim_end_matches('*').parse().ok())
                .collect()
        })
        .collect()
}

fn is_number(word: &str) -> bool {
    word.parse::<f64>().is_ok()
}

fn alike(one: f64, other: f64) {
    assert!((one - other).abs() < 1e-6, "{one} and {other}");
}

#[test]
fn causes_add_up_to_the_sink_and_layers_to_the_height() {
    for (bed, units) in [
        (BAG, "metric"),
        (BAG, "us"),
        (BOX, "metric"),
        (MEASURED, "metric"),
    ] {
        let text = moulder(&[
            "forecast", bed, "--units", units, "--draws", "4", "--layers",
        ]);
        let months = rows(&text, "Heights in", is_number);
        assert!(months.len() > 12, "{text}");
        for row in &months {
            // Month, height, sunk, below the rim, low, high, and four causes; the date is no number.
            let [_, _, sunk, _, _, _, causes @ ..] = row.as_slice() else {
                panic!("{row:?}");
            };
            assert_eq!(causes.len(), 4, "{row:?}");
            alike(*sunk, causes.iter().sum());
        }
        let layers = rows(&text, "Thickness of the layers", is_number);
        for (month, layers) in months.iter().zip(&layers) {
            alike(month[1], layers[1..].iter().sum());
        }
        // Causes in words, whole: "It has sunk 33 cm by then: 21 cm is settling, 8 cm ...".
        let said = text.replace('\n', " ");
        let said = said.split_once("It has sunk ").unwrap().1;
        let said = said
            .split_once(". ")
            .unwrap()
            .0
            .replace("1/2", ".5")
            .replace(" .5", ".5");
        let figures: Vec<f64> = said
            .split([' ', ',', ':'])
            .filter_map(|word| word.parse().ok())
            .collect();
        alike(figures[0], figures[1..].iter().sum());
    }
}

#[test]
fn designs_add_up_to_their_difference() {
    let text = moulder(&[
        "compare", BAG, BOX, "--months", "12", "--draws", "8", "--price", "5.98",
    ]);
    for heading in ["Sunk, in", "Top-ups over"] {
        let table = rows(&text, heading, is_number);
        let [first, second, less] = table.as_slice() else {
            panic!("{text}");
        };
        // "2 less 1" begins with two numbers.
        let less = &less[2..];
        let means =
            (1..first.len()).filter(|at| at % 3 == 2 || (heading == "Sunk, in" && *at == 7));
        for at in means {
            alike(second[at] - first[at], less[at - 1]);
        }
    }
}

#[test]
fn orders_add_up_to_their_total() {
    let text = moulder(&[
        "topup",
        SCHOOL,
        "--years",
        "3",
        "--draws",
        "8",
        "--price",
        "5.98",
        "--delivery",
        "30",
        "--today",
        "2026-02-20",
    ]);
    let said = text
        .split_once("ONE ORDER for all ")
        .unwrap()
        .1
        .replace('\n', " ");
    let words: Vec<&str> = said.split_whitespace().collect();
    // "30 beds each time: 223 bags of 40 L, or 8896 L loose, 1393.54 in all".
    let told = |after: &str| -> f64 {
        let at = words.iter().position(|word| *word == after).unwrap();
        words[at - 1].parse().unwrap()
    };
    let orders = rows(&text, "ONE ORDER", |word| word.starts_with("20"));
    assert!(orders.len() > 1);
    let sum = |at: usize| orders.iter().map(|row| row[at]).sum::<f64>();
    alike(told("bags"), sum(1));
    let all = said.split_once(" in all").unwrap().0;
    alike(all.rsplit(' ').next().unwrap().parse().unwrap(), sum(3));
    // The price of what is bought, and a delivery each time.
    let deliveries = f64::from(u32::try_from(orders.len()).unwrap());
    alike(sum(3), 5.98 * sum(1) + 30.0 * deliveries);
}

/// What a budget leaves of what beds want: their tables tell what the orders bring, and their
/// sentences where that leaves them.
#[test]
fn beds_are_told_what_orders_bring() {
    let of = |budget: &[&str]| {
        let words = [
            "topup", SCHOOL, "--years", "2", "--draws", "8", "--price", "5",
        ];
        let said = moulder(&[&words[..], &["--today", "2026-02-20"], budget].concat());
        let words: Vec<&str> = said.split_whitespace().collect();
        (said.clone(), words.join(" "))
    };
    let (text, said) = of(&["--budget", "200"]);
    let orders = rows(&text, "ONE ORDER", |word| word.starts_with("20"));
    let beds = ["Form beds", "Herb rings"].map(|name| {
        let of_bed = rows(&text, name, |word| word.starts_with("20"));
        // The last column is what is laid on.
        of_bed.iter().map(|row| row[row.len() - 1]).sum::<f64>()
    });
    let laid: f64 = orders.iter().map(|row| row[0]).sum();
    let told = 24.0 * beds[0] + 6.0 * beds[1];
    assert!((told - laid).abs() <= 2.0 * 15.0, "{told} {laid}: {text}");
    let ends = |said: &str, before: &str, after: &str| -> f64 {
        let end = said
            .split_once(before)
            .unwrap()
            .1
            .split_once(after)
            .unwrap()
            .0;
        end.parse().unwrap()
    };
    let poor = ends(
        &said,
        "With that it stands about ",
        " cm below the rim in the end",
    );
    let (_, unlimited) = of(&[]);
    assert!(!unlimited.contains("the orders below bring"), "{unlimited}");
    let rich = ends(
        &unlimited,
        "In the end it stands about ",
        " cm below the rim",
    );
    let none = ends(
        &said,
        "without any it would stand about ",
        " cm below the rim",
    );
    assert!(
        rich + 3.0 < poor && poor + 1.0 < none,
        "{rich} {poor} {none}"
    );
}

/// Of one bed on one day: forecast, short answer, fit, and what the file's own comparison says.
#[test]
fn commands_tell_the_same_depth() {
    let below = |text: &str| -> f64 {
        let text = text.replace('\n', " ");
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let at = text
            .find(" cm below the rim by 21 Sep 2027")
            .or(text.find(" cm below the rim (8 in 10"));
        let before = &text[..at.unwrap_or_else(|| panic!("{text}"))];
        before.rsplit(' ').next().unwrap().parse().unwrap()
    };
    let forecast = moulder(&["forecast", MEASURED, "--every", "18"]);
    let told = rows(&forecast, "Heights in", |word| word == "18")[0][3];
    let fit = moulder(&["fit", MEASURED, "--every", "18"]);
    let now = fit.replace('\n', " ");
    let now = now.split_once("Now expect it").unwrap().1.to_owned();
    assert!((below(&now) - told).abs() <= 0.6, "{told} {now}");
    let answer = moulder(&["answer", MEASURED, "--today", "2026-09-21"]);
    assert!((below(&answer) - told).abs() <= 0.6, "{told} {answer}");
}

/// The words of a page, without its head and what is drawn.
fn words_of(page: &str) -> String {
    let mut said = String::new();
    let body = page.split_once("<body").unwrap().1;
    let mut is_drawn = false;
    for part in body.split('<') {
        let (tag, text) = part.split_once('>').unwrap_or(("", part));
        is_drawn = (is_drawn || tag.starts_with("svg")) && !tag.starts_with("/svg");
        if !is_drawn {
            said.push_str(text);
            said.push(' ');
        }
    }
    let said: Vec<&str> = said.split_whitespace().collect();
    said.join(" ").to_lowercase()
}

/// The parts of each line of a short answer that name a figure.
fn parts_of(answer: &str) -> Vec<String> {
    let words: Vec<&str> = answer.split_whitespace().collect();
    let said = words.join(" ").to_lowercase();
    let said = said.split(" sinks ").nth(1).unwrap();
    let said = said.split(" more moulder ").next().unwrap();
    let said = said.replace(" buy ", "; ").replace(" feed ", "; ");
    let said = said.replace(" mind ", "; ").replace(". measure first", "");
    // On the sheet the month stands over the packs.
    let said = said
        .replace(" in early ", "; early ")
        .replace(" in mid-", "; mid-")
        .replace(" in late ", "; late ");
    let said = said.replace(" and 1 more: moulder check tells", "");
    let parts = said.split("; ");
    let parts = parts.filter(|part| part.contains(|c: char| c.is_ascii_digit()));
    parts.map(str::to_owned).collect()
}

/// A first sheet and the short answer: of one bed on one day, bought in one way.
#[test]
fn the_sheet_tells_what_the_short_answer_tells() {
    for (bed, today) in [
        (BAG, "2026-03-14"),
        (BOX, "2026-03-14"),
        (MEASURED, "2026-09-21"),
    ] {
        let same = [
            bed,
            "--today",
            today,
            "--draws",
            "8",
            "--sold-in",
            "40 L at 5.98",
            "--feed",
            "9 % N",
        ];
        let answer = moulder(&[&["answer"], &same[..]].concat());
        let sheet = words_of(&moulder(&[&["report", "--one-sheet"], &same[..]].concat()));
        let parts = parts_of(&answer);
        assert!(parts.len() >= 3, "{answer}");
        for part in parts {
            assert!(sheet.contains(&part), "{part:?} is not in {sheet}");
        }
        // Twelve months come to what is fed in all.
        if let Some((all, _)) = sheet.split_once(" g of your 9 % feed") {
            let all: f64 = all.rsplit(' ').next().unwrap().parse().unwrap();
            let months = sheet.split_once(" feed about ").unwrap().1;
            let each = months.split(" feed ").skip(1);
            let each = each.filter_map(|said| said.split(' ').next()?.parse::<f64>().ok());
            alike(all, each.sum());
        }
    }
}

/// What to feed a bed as of a day is told alike by all that tell it, in the sentence and by month.
#[test]
fn one_bed_has_one_advice_what_to_feed() {
    let hardwood = "../../examples/beds/hardwood-base.toml";
    // Two with the draws that each command takes unasked, which are those of a chart with 64.
    let few = ["--draws", "8"];
    for (bed, today, draws) in [
        (BAG, "2026-03-20", &[][..]),
        (BOX, "2026-05-20", &few),
        (hardwood, "2026-03-14", &few),
        (MEASURED, "2026-09-21", &[]),
    ] {
        let same = [&[bed, "--today", today], draws].concat();
        let told = |words: &[&str]| -> String {
            let said = moulder(&[words, &same[..]].concat());
            let said = if said.starts_with('<') {
                words_of(&said)
            } else {
                said
            };
            let words: Vec<&str> = said.split_whitespace().collect();
            words.join(" ").to_lowercase()
        };
        let short = told(&["answer"]);
        let after = |said: &str, before: &str, until: &str| -> String {
            let said = said
                .split_once(before)
                .unwrap_or_else(|| panic!("{said}"))
                .1;
            format!("{}{until}", said.split_once(until).unwrap().0)
        };
        let advice = after(&short, " feed ", "watch the leaves");
        let sheet = told(&["report", "--one-sheet"]);
        assert!(sheet.contains(&advice), "{advice}: {sheet}");
        let usual: &[&str] = if draws.is_empty() {
            &["--draws", "64"]
        } else {
            &[]
        };
        let drawn = moulder(&[&["chart", "--kind", "nitrogen"], usual, &same[..]].concat());
        assert!(drawn.to_lowercase().contains(&advice), "{advice}: {drawn}");
        let months = after(&drawn.to_lowercase(), "month by month: ", ".");
        let is_short = months.contains(" short");
        // A month that is short is named, and the year is none of nothing more.
        assert!(
            !is_short || advice.contains("may run"),
            "{advice}: {months}"
        );
        for month in months.trim_end_matches('.').split(", ") {
            assert!(sheet.contains(month), "{month:?}: {sheet}");
        }
        let forecast = told(&["forecast", "--every", "12"]);
        if months.contains(" feed ") || is_short {
            assert!(forecast.contains(&advice), "{advice}: {forecast}");
            for month in months.trim_end_matches('.').split(", ") {
                assert!(forecast.contains(month), "{month:?}: {forecast}");
            }
        } else {
            assert!(!forecast.contains("to feed from"), "{forecast}");
        }
    }
}

#[test]
fn the_sheets_of_a_folder_have_its_one_order_once() {
    let same = [
        SCHOOL,
        "--today",
        "2026-03-14",
        "--draws",
        "8",
        "--price",
        "5.98",
    ];
    let answer = moulder(&[&["answer"], &same[..]].concat());
    let answer: Vec<&str> = answer.split_whitespace().collect();
    let answer = answer.join(" ");
    let order = answer.split_once("ONE ORDER: ").unwrap().1.to_lowercase();
    let page = moulder(&[&["report"], &same[..]].concat());
    let said = words_of(&page);
    assert_eq!(
        said.matches(order.trim_end_matches('.')).count(),
        1,
        "{order}: {said}"
    );
    let beds = std::fs::read_dir(SCHOOL).unwrap().count();
    assert_eq!(page.matches("class=\"sheet\"").count(), beds);
}

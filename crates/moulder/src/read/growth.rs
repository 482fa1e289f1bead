//! The work of a reader is proportional to its input: no faulty file, however large, stalls it.

use std::fmt::Write;

use super::{read_json, read_plan_json, read_plan_toml, read_toml};
use crate::library::Library;
use crate::library::materials::Catalogue;
use crate::read::climate_csv::read_csv;
use crate::support::library;
use crate::text::limit;
use crate::text::work;

/// Entries of the small input.
const FEW: usize = 1_000;
/// Ratio of the large input to the small one.
const TIMES: usize = 4;
/// Permitted growth of the work over that of the input, in tenths: for sorting and binary search.
const SLACK_TENTHS: usize = 13;
/// Most characters and names read for a byte of input; scanning the file from its start for each
/// listed fault would be up to [`limit::FAULTS_LISTED`].
const STEPS_A_BYTE: usize = 60;

/// A text made of numbered parts.
fn each(count: usize, part: impl Fn(usize) -> String) -> String {
    (0..count).map(part).collect()
}

/// A kind of input, made with that many entries.
type Kind = (&'static str, Box<dyn Fn(usize) -> String>);

fn kind(name: &'static str, make: impl Fn(usize) -> String + 'static) -> Kind {
    (name, Box::new(make))
}

/// Checks that the work of a reader is proportional to its input.
fn is_proportional(kinds: Vec<Kind>, read: impl Fn(&str)) {
    let mut failures = String::new();
    for (name, make) in kinds {
        let texts = [FEW, FEW * TIMES].map(make);
        let steps = [0, 1].map(|i| work::of(|| read(&texts[i])));
        let sizes = [0, 1].map(|i| texts[i].len());
        assert!(
            sizes[1] > 3 * sizes[0] && steps[0] > 0,
            "{name}: {sizes:?}, {steps:?}"
        );
        // In tenths, for whole numbers.
        let too_much = 10 * steps[1] * sizes[0] > SLACK_TENTHS * steps[0] * sizes[1];
        if too_much || steps[1] > STEPS_A_BYTE * sizes[1] {
            writeln!(failures, "{name}: {steps:?} steps for {sizes:?} bytes").unwrap();
        }
    }
    assert_eq!(failures, "");
}

#[test]
fn beds_in_toml() {
    let library = library();
    let kinds = vec![
        kind("unknown fields", |n| each(n, |i| format!("field{i} = 1\n"))),
        kind("unknown fields of a layer", |n| {
            format!("[[layer]]\n{}", each(n, |i| format!("putt{i} = 1\n")))
        }),
        kind("a name given twice", |n| each(n, |_| "name = 'a'\n".into())),
        kind("slips in as many lines", |n| {
            each(n, |i| format!("name{i} = logs\n"))
        }),
        kind("slips in one line", |n| {
            format!("a = [{}]\n", each(n, |_| "logs, ".into()))
        }),
        kind("slips and unknown fields", |n| {
            each(n, |i| format!("a{i} = logs\nb{i} = 1\n"))
        }),
        kind("slips in one line of unknown fields", |n| {
            format!("a = {{ {} }}\n", each(n, |i| format!("b{i} = logs, ")))
        }),
        kind("words that are none", |n| {
            format!("seen = [{}]\n", each(n, |i| format!("'lift{i}', ")))
        }),
        kind("measures", |n| {
            format!("[measures]\n{}", each(n, |i| format!("m{i} = '1 x'\n")))
        }),
        kind("lines that hold no value", |n| each(n, |_| "logs\n".into())),
    ];
    is_proportional(kinds, |text| {
        assert!(read_toml(text, &library).is_err());
        assert!(read_plan_toml(text, &library).is_err());
    });
}

#[test]
fn beds_in_json() {
    let library = library();
    let kinds = vec![
        kind("unknown fields", |n| {
            format!("{{{}\"z\": 1}}", each(n, |i| format!("\"field{i}\": 1, ")))
        }),
        kind("a name given twice", |n| {
            format!("{{{}\"z\": 1}}", each(n, |_| "\"name\": \"a\", ".into()))
        }),
        kind("words that are none", |n| {
            let words = each(n, |i| format!("\"lift{i}\", "));
            format!("{{\"seen\": [{words}\"z\"]}}")
        }),
        kind("a slip at the end", |n| {
            format!("{{{}\"z\" 1}}", each(n, |i| format!("\"field{i}\": 1, ")))
        }),
    ];
    is_proportional(kinds, |text| {
        assert!(read_json(text, &library).is_err());
        assert!(read_plan_json(text, &library).is_err());
    });
}

#[test]
fn files_of_materials() {
    let kinds = vec![
        kind("unknown fields", |n| each(n, |i| format!("field{i} = 1\n"))),
        kind("unknown fields of a material", |n| {
            let fields = each(n, |i| format!("field{i} = 1\n"));
            format!("[[material]]\nname = 'straw'\n{fields}")
        }),
        kind("unknown fields in one line", |n| {
            let fields = each(n, |i| format!("field{i} = 1, "));
            format!("material = [{{ {fields}}}]\n")
        }),
        kind("names that are none", |n| {
            format!("[[material]]\nalso = [{}]\n", each(n, |_| "'', ".into()))
        }),
        kind("slips in as many lines", |n| {
            each(n, |i| format!("name{i} = logs\n"))
        }),
        kind("slips in one line", |n| {
            format!("a = [{}]\n", each(n, |_| "logs, ".into()))
        }),
    ];
    is_proportional(kinds, |text| {
        assert!(Library::built_in().with_toml(text).is_err());
    });
}

#[test]
fn weather() {
    let rows =
        |row: &dyn Fn(usize) -> String, n| format!("date,high_c,low_c,rain_mm\n{}", each(n, row));
    let kinds = vec![
        kind("unknown columns", |n| {
            format!("month{}\n", each(n, |i| format!(",column{i}")))
        }),
        kind("a column given twice", |n| {
            format!("month{}\n", each(n, |_| ",rain_mm".into()))
        }),
        kind("a column in two units", |n| {
            format!("month,rain_in{}\n", each(n, |_| ",rain_mm".into()))
        }),
        kind("figures that are none", move |n| {
            rows(&|_| "2026-03-14,warm,cold,wet\n".into(), n)
        }),
        kind("days that are none", move |n| {
            rows(&|i| format!("day {i},1,1,1\n"), n)
        }),
        kind("rows that are too long", move |n| {
            rows(&|_| "2026-03-14,1,1,1,1,1\n".into(), n)
        }),
        kind("a row that is too long", |n| {
            format!("month,rain_mm\n1{}\n", each(n, |_| ",1".into()))
        }),
        kind("notes and empty lines", |n| {
            format!("{}date\n", each(n, |i| format!("# note {i}\n\n")))
        }),
    ];
    is_proportional(kinds, |text| {
        assert!(read_csv(text, "here", 50.0).is_err());
    });
}

/// Every material of a bed is looked up among all names of the library.
#[test]
fn a_full_bed_with_a_full_library() {
    let put = "{ material = \"turf\", amount = \"1 cm\" },".repeat(limit::MATERIALS_A_LAYER);
    let layers = format!("[[layer]]\nput = [{put}]\n").repeat(limit::LAYERS);
    let library_of = |names: usize| {
        let mut own = Library::built_in().material("turf").unwrap().clone();
        own.name = "own".to_owned();
        own.also = (0..names).map(|i| format!("own {i}")).collect();
        Library::built_in().overlaid(Catalogue::new(vec![own]))
    };
    let steps = [FEW, FEW * TIMES].map(|names| {
        let library = library_of(names);
        work::of(|| assert!(read_toml(&layers, &library).is_err()))
    });
    assert!(steps[0] > 0 && steps[1] < 2 * steps[0], "{steps:?}");
}

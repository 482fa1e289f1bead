//! Every caution is raised by its example in the guide, and not by its near miss.

use crate::fault::guide::find;
use crate::fault::notice::{CODES, Notice, Severity, Topic, severity, topic};
use crate::fault::sentence;
use crate::forecast::forecast;
use crate::forecast::progress::unwatched;
use crate::library::Library;
use crate::read::read_toml;

/// The notices of a bed after so many months.
fn notices(text: &str, months: u32) -> Vec<Notice> {
    let bed = read_toml(text, &Library::built_in());
    let bed = bed.unwrap_or_else(|faults| panic!("{faults}\n{text}"));
    forecast(&bed, months, &unwatched).unwrap().notices
}

fn is_raised(text: &str, code: &str) -> bool {
    notices(text, 0).iter().any(|notice| notice.code == code)
}

/// The example of a code.
fn example(code: &str) -> &'static str {
    find(code).unwrap().example.unwrap().text
}

/// A code, what its example has, and a replacement that just does not raise it.
const NEAR_MISSES: &[(&str, &str, &str)] = &[
    ("wet-weight", "\"deck\"", "\"paving\""),
    ("buried-services", "trench = \"20 cm\"", "trench = \"0 cm\""),
    ("treated-timber", "\"tarred\"", "\"untreated\""),
    ("wall-contact", "near-wall = true", "near-wall = false"),
    ("steep-mound", "60 deg", "45 deg"),
    (
        "taller-than-wide",
        "rim    = \"90 cm\"",
        "rim    = \"80 cm\"",
    ),
    ("long-boards", "300 cm", "200 cm"),
    ("long-boards", "rim ", "boards = \"none\"\nrim "),
    ("long-boards", "60 cm", "35 cm"),
    (
        "live-wood",
        "amount = \"20 cm\"",
        "amount = \"20 cm\", moisture = \"dry\"",
    ),
    (
        "growth-stopping-wood",
        "walnut logs",
        "wall of nut-brown logs",
    ),
    ("poisonous-plant", "\"yew log\"", "\"larch log\""),
    (
        "honey-fungus",
        "apple stump, dug out",
        "apple, stumped by it",
    ),
    (
        "weedkiller-carry-over",
        "material = \"hay\"",
        "material = \"needles\"",
    ),
    (
        "kitchen-waste",
        "kitchen vegetable waste",
        "grass clippings",
    ),
    ("glossy-card", "glossy boxes", "boxes without gloss"),
    ("blocked-base", "carpet, instead of card", "card"),
    (
        "too-much-green",
        "amount = \"20 cm\" }]\nthen = [\"watered\"]\n\n[[layer]]\nname = \"soil\"",
        "amount = \"9 cm\" }]\nthen = [\"watered\"]\n\n[[layer]]\nname = \"soil\"",
    ),
    (
        "heats-up",
        "\"horse manure\", amount = \"10 cm\"",
        "\"horse manure\", amount = \"10 cm\", arrived = \"half-rotten\"",
    ),
    ("no-nitrogen", "amount = \"25 cm\"", "amount = \"30 cm\""),
    ("no-nitrogen", "\"wood chips\"", "\"birch log\""),
    ("no-nitrogen", "[bed]", "crop = \"none\"\n[bed]"),
    (
        "no-nitrogen",
        "[bed]",
        "fed = [{ on = 2027-04-10, nitrogen = \"10 g\" }]\n[bed]",
    ),
    ("heavy-feed", "\"40 g\"", "\"14 g\""),
    (
        "no-nitrogen",
        "amount = \"20 cm\" }",
        "amount = \"20 cm\" }, { material = \"horse manure\", amount = \"10 cm\" }",
    ),
    (
        "dry-fill",
        "amount = \"15 cm\" }]",
        "amount = \"15 cm\" }]\nthen = [\"watered\"]",
    ),
    (
        "sheds-water",
        "amount = \"1 cm\" }]",
        "amount = \"1 cm\" }]\nthen = [\"watered\"]",
    ),
    ("thin-soil", "8 cm", "15 cm"),
    ("sticks-out", "woody prunings", "wood chips"),
    (
        "hollow-spots",
        "{ material = \"birch log\", amount = \"20 cm\" }",
        "{ material = \"birch log\", amount = \"20 cm\" }, { material = \"deciduous leaves\", amount = \"30 L\" }",
    ),
    (
        "thinner-than-logs",
        "across = \"20 cm\"",
        "across = \"10 cm\"",
    ),
    (
        "thinner-than-logs",
        "\"10 cm\", across",
        "\"100 L\", across",
    ),
    (
        "thinner-than-logs",
        "amount = \"10 cm\", across = \"20 cm\"",
        "amount = \"5 cm\"",
    ),
    (
        "thinner-than-logs",
        "across = \"20 cm\" }",
        "across = \"20 cm\" }, { material = \"wood chips\", amount = \"10 cm\" }",
    ),
    (
        "all-compost",
        "amount = \"50 cm\"",
        "amount = \"25 cm\" }, { material = \"loamy topsoil\", amount = \"25 cm\"",
    ),
    (
        "rot-proof-wood",
        "{ material = \"oak log\", amount = \"20 cm\" }",
        "{ material = \"oak log\", amount = \"8 cm\" }, { material = \"birch log\", amount = \"12 cm\" }",
    ),
    (
        "too-much-conifer",
        "{ material = \"spruce log\", amount = \"20 cm\" }",
        "{ material = \"spruce log\", amount = \"8 cm\" }, { material = \"birch log\", amount = \"12 cm\" }",
    ),
    ("plant-too-soon", "birch log", "straw"),
    ("spring-fill", "2026-04-04", "2026-02-28"),
    (
        "loose-measure",
        "amount = \"20 cm\" }]",
        "amount = \"20 cm\", as = \"trodden\" }]",
    ),
    (
        "where-it-stands",
        "rim ",
        "near-wall = false\nstands-on = \"ground\"\nrim ",
    ),
    ("which-boards", "rim ", "boards = \"none\"\nrim "),
    ("which-wood", "birch log", "straw"),
    ("plain-card", "brown card", "turf"),
    (
        "lawn-weedkiller",
        "\"grass clippings\", ",
        "\"garden compost\",  ",
    ),
    ("old-soil", "loamy topsoil", "raised-bed mix"),
    ("gloves-and-mask", "loamy topsoil", "wood chips"),
    (
        "lifting",
        "width  = \"80 cm\"\nlength = \"160 cm\"",
        "width  = \"20 cm\"\nlength = \"20 cm\"",
    ),
];

#[test]
fn each_is_raised_by_its_example_and_not_by_its_near_miss() {
    for (code, found, near) in NEAR_MISSES {
        let text = example(code);
        assert!(text.contains(found), "{code}: {found}");
        assert!(is_raised(text, code), "{code} is not raised");
        let text = text.replace(found, near);
        // The litres of the example would overfill a bed as small as a bucket.
        let text = if *code == "lifting" {
            text.replace("60 L", "1 L")
        } else {
            text
        };
        assert!(!is_raised(&text, code), "{code} is raised by {near}");
    }
}

/// Later additions are checked like ingredients, long before their day; harmless ones raise
/// nothing.
#[test]
fn later_additions_are_checked() {
    let bed = example("thin-soil");
    let with = |material: &str| {
        let added =
            format!("\n[[added]]\non = 2029-04-01\nmaterial = \"{material}\"\namount = \"2 cm\"\n");
        notices(&(bed.to_owned() + &added), 0)
    };
    for (material, code) in [
        ("horse manure", "weedkiller-carry-over"),
        ("kitchen vegetable waste", "kitchen-waste"),
        ("yew log", "poisonous-plant"),
    ] {
        assert!(!is_raised(bed, code), "{code}");
        let raised = with(material);
        let raised = raised.iter().find(|notice| notice.code == code);
        let raised = raised.unwrap_or_else(|| panic!("{code} is not raised"));
        assert_eq!(raised.layer, None);
        assert_eq!(
            raised.value("what"),
            format!("{material}, added 2029-04-01")
        );
    }
    let harmless = with("loamy topsoil");
    for code in ["weedkiller-carry-over", "kitchen-waste", "poisonous-plant"] {
        assert!(harmless.iter().all(|notice| notice.code != code), "{code}");
    }
}

#[test]
fn no_caution_goes_without_a_near_miss() {
    for code in CODES.iter().filter(|code| topic(code) != Topic::Course) {
        let mut known = NEAR_MISSES.iter();
        assert!(known.any(|(known, ..)| known == code), "{code}");
    }
}

#[test]
fn the_day_of_filling_is_no_forecast() {
    let text = example("not-a-promise");
    assert!(!is_raised(text, "not-a-promise"));
    let month = notices(text, 1);
    assert!(month.iter().any(|notice| notice.code == "not-a-promise"));
}

/// Only what the document leaves open is asked; what is below, only for a heavy bed.
#[test]
fn only_what_the_document_leaves_open_is_asked() {
    let unsaid = |said: &str, soil: &str| {
        let text = example("where-it-stands").replace("rim ", &format!("{said}\nrim "));
        let raised = notices(&text.replace("25 cm", soil), 0);
        let place = raised
            .iter()
            .find(|notice| notice.code == "where-it-stands");
        place.map(|notice| notice.value("unsaid").to_owned())
    };
    let none = String::new;
    let beside = "near-wall = true";
    let below = "stands-on = \"paving\"";
    assert_eq!(unsaid("", "25 cm").unwrap_or_else(none), "both");
    assert_eq!(unsaid(beside, "25 cm").unwrap_or_else(none), "stands-on");
    assert_eq!(unsaid(below, "25 cm").unwrap_or_else(none), "near-wall");
    assert_eq!(unsaid("", "2 cm").unwrap_or_else(none), "near-wall");
    assert_eq!(unsaid(beside, "2 cm"), None);
}

/// Greens alone heat a layer as well; where they mat, only that is raised.
#[test]
fn greens_heat_or_mat_and_raise_one_caution() {
    let green = |litres: &str| {
        let text = example("too-much-green").replace(
            "{ material = \"grass clippings\", amount = \"20 cm\" }",
            &format!(
                "{{ material = \"grass clippings\", amount = \"{litres}\" }}, \
                 {{ material = \"woody prunings\", amount = \"25 cm\" }}"
            ),
        );
        let raised = notices(&text, 0);
        let codes = raised.into_iter().map(|notice| notice.code);
        let codes = codes.filter(|code| ["heats-up", "too-much-green"].contains(&&**code));
        codes.collect::<Vec<_>>()
    };
    assert!(green("10 L").is_empty());
    assert_eq!(green("100 L"), ["heats-up"]);
    assert_eq!(green("400 L"), ["too-much-green"]);
}

/// All names of a library material count.
#[test]
fn other_names_of_a_material_count() {
    for (code, found, named) in [
        ("live-wood", "willow log", "aspen"),
        ("poisonous-plant", "yew log", "cherry laurel leaves"),
        ("weedkiller-carry-over", "\"hay\"", "\"horse muck\""),
        ("treated-timber", "leaves and grass", "railway sleepers"),
    ] {
        let text = example(code).replacen(found, named, 1);
        let text = text.replace("cherry laurel leaves", "laurel leaves");
        assert!(is_raised(&text, code), "{code}: {named}");
    }
}

#[test]
fn acknowledged_notices_are_marked() {
    let text = example("wet-weight").replacen("[bed]", "seen = [\"wet-weight\"]\n[bed]", 1);
    let raised = notices(&text, 0);
    let weight = raised.iter().find(|notice| notice.code == "wet-weight");
    let weight = weight.unwrap();
    assert!(weight.acknowledged && !weight.stands());
    assert_eq!(weight.severity, Severity::Danger);
    let others = raised.iter().filter(|notice| notice.code != "wet-weight");
    assert!(others.clone().count() > 3);
    assert!(others.clone().all(|notice| !notice.acknowledged));
    // Notices of the reader can be acknowledged as well.
    let text = example("layers-upside-down");
    let text = text.replacen("[bed]", "seen = [\"layers-upside-down\"]\n[bed]", 1);
    assert!(notices(&text, 0)[0].acknowledged);
}

/// The remedy of a danger refers to those who know.
#[test]
fn remedies_of_dangers_refer_to_those_who_know() {
    for code in CODES
        .iter()
        .filter(|code| severity(code) == Severity::Danger)
    {
        let cure = find(code).unwrap().cure;
        let defers = ["engineer", "ocal rules", "authority"];
        assert!(
            defers.iter().any(|word| cure.contains(word)),
            "{code}: {cure}"
        );
    }
}

/// A short list is read to its end.
#[test]
fn the_list_before_filling_holds_eight_lines_at_most() {
    let before = CODES
        .iter()
        .filter(|code| topic(code) == Topic::BeforeFilling);
    assert!(before.clone().count() <= 8);
    assert!(before.clone().all(|code| severity(code) == Severity::Note));
}

/// Short enough to be read: a note is one line of its list, a warning two or three.
#[test]
fn cautions_are_short() {
    for (code, ..) in NEAR_MISSES {
        let raised = notices(example(code), 0);
        let notice = raised.iter().find(|notice| notice.code == *code).unwrap();
        let said = sentence::notice(notice);
        let most = match (notice.severity, notice.layer) {
            (Severity::Note, None) => 61,
            (Severity::Note, Some(_)) => 61 - "Layer 1: ".len(),
            _ => 190,
        };
        assert!(said.chars().count() <= most, "{code}: {said}");
        assert!(said.ends_with('.'), "{said}");
        assert!(!said.contains(": ,") && !said.contains("  "), "{said}");
    }
}

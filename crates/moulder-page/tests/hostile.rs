//! Names that would be more than names: the page they stand in has the elements and
//! attributes of any other.
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::collections::BTreeSet;

use moulder::bed::Bed;
use moulder::catalogue::Catalogue;
use moulder::day::days;
use moulder::forecast::forecast;
use moulder::read::read_toml;
use moulder::station::Stations;
use moulder::topup::{Wish, plan_topups};
use moulder::watcher::Unwatched;
use moulder_page::page::{Contents, page};
use scraper::{Html, Node, Selector};

/// The longest name there may be.
const LONGEST: usize = moulder::limit::NAME_CHARACTERS;

const HOSTILE: [&str; 6] = [
    "</title></style><script>alert(1)</script>",
    "\" onload=alert(1) x='</pre><img src=x onerror=alert(1)>",
    "</svg></figure></main><!-- ]]> {{ 7 * 7 }} {% raw %}",
    "&lt;b&gt; &#60;b&#62; &amp;",
    "\u{5e2}\u{5e8}\u{5d5}\u{5d2}\u{5d4}",
    "\u{1f33f}\u{1f469}\u{200d}\u{1f33e}",
];

/// A bed whose name, layer and place are called so.
fn bed_called(name: &str) -> String {
    let name = name.replace('"', "\\\"");
    format!(
        r#"# {comment}
format = 1
name = "{name}"
filled = 2026-03-14
[climate]
name = "{name}"
latitude = 52.2
high = [7, 8, 11, 14, 17, 20, 23, 22, 19, 15, 10, 7]
low = [1, 1, 3, 4, 7, 10, 12, 12, 10, 7, 4, 2]
rain = [48, 36, 35, 40, 45, 52, 50, 58, 52, 58, 54, 50]
[bed]
shape = "box"
width = "1.2 m"
length = "2.4 m"
rim = "60 cm"
[[layer]]
name = "logs"
put = [{{ material = "birch log", amount = "20 cm" }}]
[[layer]]
name = "{name}"
put = [{{ material = "grass clippings", amount = "30 cm" }}]
[[layer]]
grows = true
put = [{{ material = "loamy topsoil", amount = "10 cm" }}]
"#,
        comment = name.repeat(10_000 / name.len() + 1)
    )
}

fn page_of(text: &str) -> String {
    let bed = read_toml(text, &Catalogue::built_in(), &Stations::built_in()).unwrap();
    page_about(&bed, text)
}

fn page_about(bed: &Bed, text: &str) -> String {
    let shelf = Catalogue::built_in();
    let soil = shelf.find("loamy topsoil").unwrap();
    page(&Contents {
        bed,
        forecast: &forecast(bed, 6, &mut Unwatched).unwrap(),
        topups: &plan_topups(bed, &Wish::usual(bed, soil, 12), &mut Unwatched).unwrap(),
        days: &days(bed).unwrap(),
        file_text: text,
    })
}

/// Every element outside drawings with the names of its attributes, in order; and each
/// kind of element and attribute within drawings.
fn outline(html: &str) -> (Vec<String>, BTreeSet<String>) {
    let document = Html::parse_document(html);
    assert!(document.errors.is_empty(), "{:?}", document.errors);
    let mut outside = Vec::new();
    let mut inside = BTreeSet::new();
    for node in document.tree.nodes() {
        match node.value() {
            Node::Element(element) => {
                let attributes: Vec<&str> = element.attrs().map(|(name, _)| name).collect();
                let shape = format!("{} {}", element.name(), attributes.join(" "));
                let is_drawn = node.ancestors().any(|above| {
                    above
                        .value()
                        .as_element()
                        .is_some_and(|e| e.name() == "svg")
                });
                if is_drawn {
                    inside.insert(shape);
                } else {
                    outside.push(shape);
                }
            }
            Node::Comment(comment) => panic!("a comment: {:?}", comment.comment),
            _ => {}
        }
    }
    (outside, inside)
}

#[test]
fn a_name_is_only_ever_words() {
    let (plain, drawn) = outline(&page_of(&bed_called("Brickyard Lane")));
    assert!(plain.len() > 100 && drawn.len() > 5);
    for name in HOSTILE {
        let (outside, inside) = outline(&page_of(&bed_called(name)));
        assert_eq!(outside, plain, "{name}");
        let strange: Vec<&String> = inside.difference(&drawn).collect();
        assert!(strange.is_empty(), "{name}: {strange:?}");
    }
}

#[test]
fn a_name_is_told_as_it_is() {
    let name = "<b>\"Logs\" & 'moss'</b>";
    let html = page_of(&bed_called(name));
    let document = Html::parse_document(&html);
    let heading = document
        .select(&Selector::parse("h1").unwrap())
        .next()
        .unwrap();
    assert_eq!(heading.text().collect::<String>(), name);
    let file = document
        .select(&Selector::parse("pre").unwrap())
        .next()
        .unwrap();
    assert_eq!(file.text().collect::<String>(), bed_called(name));
}

#[test]
fn a_name_may_be_as_long_as_the_reader_lets_it() {
    let long = "W".repeat(LONGEST);
    assert!(page_of(&bed_called(&long)).contains(&long));
}

/// A reader refuses such signs; a program may put them into a bed all the same.
#[test]
fn signs_that_turn_writing_around_are_left_out_or_written_out() {
    let text = bed_called("Brickyard Lane");
    let mut bed = read_toml(&text, &Catalogue::built_in(), &Stations::built_in()).unwrap();
    bed.name = format!("a\u{202e}b{}", "W".repeat(10_000));
    bed.layers[0].name.clone_from(&bed.name);
    let html = page_about(&bed, &format!("# \u{202e} \u{0}\n{text}"));
    assert!(!html.contains(['\u{202e}', '\u{0}']));
    assert!(html.contains("# \\u{202e} \\u{0}\n"));
    assert!(html.contains("<bdi>abWWW") && !html.contains(&"W".repeat(5_000)));
}

#[test]
fn the_same_values_give_the_same_bytes() {
    let text = bed_called("Brickyard Lane");
    assert_eq!(page_of(&text), page_of(&text));
}

#[test]
fn nothing_is_fetched_and_nothing_runs() {
    let html = page_of(&bed_called("Brickyard Lane"));
    let document = Html::parse_document(&html);
    let refuse = "script, img, iframe, object, embed, form, link, base, video, audio, [src]";
    assert_eq!(
        document.select(&Selector::parse(refuse).unwrap()).count(),
        0
    );
    for link in document.select(&Selector::parse("[href]").unwrap()) {
        let to = link.attr("href").unwrap().strip_prefix('#').unwrap();
        let there = Selector::parse(&format!("[id=\"{to}\"]")).unwrap();
        assert_eq!(document.select(&there).count(), 1, "{to}");
    }
    assert!(!html.contains("@import"));
    // What a drawing refers to stands in the page.
    for reference in html.split("url(").skip(1) {
        assert!(reference.starts_with('#'));
    }
}

#[test]
fn headings_come_in_order() {
    let html = page_of(&bed_called("Brickyard Lane"));
    let document = Html::parse_document(&html);
    let headings = Selector::parse("h1, h2, h3, h4").unwrap();
    let mut above = 0;
    for heading in document.select(&headings) {
        let level = heading.value().name()[1..].parse::<u32>().unwrap();
        assert!(level <= above + 1, "{}", heading.text().collect::<String>());
        above = level;
    }
}

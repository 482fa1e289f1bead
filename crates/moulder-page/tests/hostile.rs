//! Names that would be more than names: the page they stand in has the elements and
//! attributes of any other.
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::collections::BTreeSet;

use moulder::internals::bed::Bed;
use moulder::internals::bed::EditBed as _;
use moulder::internals::compare::{compare, height_differences};
use moulder::internals::forecast::day::days;
use moulder::internals::forecast::forecast;
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;
use moulder::internals::topup::{TopUpRule, nominal_top_ups};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder::months::unwatched;
use moulder::{Forecast, ForecastOptions, TopUps};
use moulder_page::comparison::{self, Design};
use moulder_page::page::{Contents, More, page};
use moulder_page::sheet::FirstSheet;
use scraper::{Html, Node, Selector};

/// The longest name there may be.
const LONGEST: usize = moulder::internals::text::limit::NAME_CHARACTERS;

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
[[reading]]
on = 2026-05-02
below-rim = "12 cm"
note = "{name}"
"#,
        comment = name.repeat(10_000 / name.len() + 1)
    )
}

fn page_of(text: &str) -> String {
    let bed = read_toml(text, &Library::built_in()).unwrap();
    page_about(&bed, text)
}

fn page_about(bed: &Bed, text: &str) -> String {
    let library = Library::built_in();
    let soil = library.find_material("loamy topsoil").unwrap();
    let topups = nominal_top_ups(bed, &TopUpRule::usual(bed, soil, 13), &unwatched).unwrap();
    page_with(bed, text, &forecast(bed, 13, &unwatched).unwrap(), &topups)
}

/// A page in full.
fn page_with(bed: &Bed, text: &str, forecast: &Forecast, topups: &TopUps) -> String {
    let first = FirstSheet {
        bed,
        forecast,
        topups,
        feeding: None,
        as_of: bed.filled(),
    };
    page(&Contents {
        sheets: &[first],
        more: Some(More {
            forecast,
            widths_month: 6,
            topups,
            days: &days(bed).unwrap(),
            file_text: text,
            is_full: true,
        }),
        ..Contents::default()
    })
}

/// The page of several beds called so.
fn comparison_of(names: &[&str]) -> String {
    let texts: Vec<String> = names.iter().map(|name| bed_called(name)).collect();
    let read = |text: &String| read_toml(text, &Library::built_in()).unwrap();
    let mut beds: Vec<Bed> = texts.iter().map(read).collect();
    // One of them holds more than the first.
    if let Some(last) = beds.last_mut() {
        last.edit().layers.remove(0);
    }
    let draws = Realisations {
        ensemble_size: 4,
        ..Realisations::default()
    };
    let forecasts: Vec<_> = beds
        .iter()
        .map(|bed| forecast_with_intervals(bed, 3, draws, &unwatched).unwrap())
        .collect();
    let days: Vec<_> = beds.iter().map(|bed| days(bed).unwrap()).collect();
    let designs: Vec<Design<'_>> = (0..beds.len())
        .map(|at| Design {
            bed: &beds[at],
            forecast: &forecasts[at],
            days: &days[at],
            file_text: &texts[at],
        })
        .collect();
    comparison::page(&comparison::Contents {
        designs: &designs,
        comparison: &compare(
            &beds,
            &ForecastOptions::default().months(3).ensemble_size(4),
            &unwatched,
        )
        .unwrap(),
        height_differences: &height_differences(&beds, &draws.for_months(3), &unwatched).unwrap(),
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
fn a_name_in_a_comparison_is_only_ever_words() {
    let (plain, drawn) = outline(&comparison_of(&["Brickyard Lane", "Quarry Field"]));
    assert!(plain.len() > 100 && drawn.len() > 5);
    for name in HOSTILE {
        let (outside, inside) = outline(&comparison_of(&[name, "Quarry Field"]));
        assert_eq!(outside, plain, "{name}");
        let strange: Vec<&String> = inside.difference(&drawn).collect();
        assert!(strange.is_empty(), "{name}: {strange:?}");
    }
}

/// The parts of a page of designs about each of them and their differences.
#[test]
fn designs_stand_side_by_side_with_their_differences() {
    let html = comparison_of(&["Brickyard Lane", "Quarry Field", "Long Acre"]);
    let document = Html::parse_document(&html);
    let select = |wanted: &str| {
        document
            .select(&Selector::parse(wanted).unwrap())
            .map(|node| node.text().collect::<String>())
            .collect::<Vec<_>>()
    };
    // A sentence for each but the first, which they are held against.
    assert_eq!(select(".lead").len(), 2);
    assert!(
        select(".lead")
            .iter()
            .all(|said| said.contains("Brickyard Lane"))
    );
    let columns = select(".sides thead th");
    assert_eq!(columns[1], "1. Brickyard Lane");
    assert_eq!(columns[4..], ["2 less 1", "3 less 1"]);
    // Three beds and two differences in each row, all but the first row with intervals.
    let cells = select(".sides tbody td");
    assert_eq!(cells.len() % 5, 0);
    assert!(cells[5..].iter().any(|cell| cell.contains(" to ")));
    // Their heights in one chart, and each cut across.
    let figure = Selector::parse("figure").unwrap();
    let figures = document.select(&figure);
    let figures: Vec<&str> = figures.map(|figure| figure.attr("id").unwrap()).collect();
    let sections = ["chart-section-1", "chart-section-2", "chart-section-3"];
    assert_eq!(figures[0], "chart-comparison");
    assert_eq!(figures[1..], sections);
    assert_eq!(select(".assumed").len(), 3);
    assert_eq!(select("#care h3").len(), 4);
    let files = select("#file pre");
    assert!(files.len() == 3 && files[2].contains("name = \"Long Acre\""));
    assert!(select("footer p")[0].contains("4 runs of each from seed 1"));
}

/// A metre is as long in the drawing of one bed as in that of the next.
#[test]
fn beds_side_by_side_are_cut_to_one_scale() {
    let html = comparison_of(&["Brickyard Lane", "Quarry Field"]);
    let document = Html::parse_document(&html);
    let wide = Selector::parse("[id^=chart-section] .wide .scale-bar path").unwrap();
    let length = |path: &str| {
        let xs = path.split(['M', 'L']).filter(|place| !place.is_empty());
        let xs = xs.map(|place| place.split_once(' ').unwrap().0.parse::<f64>().unwrap());
        xs.clone().fold(f64::MIN, f64::max) - xs.fold(f64::MAX, f64::min)
    };
    let bars: Vec<f64> = document
        .select(&wide)
        .map(|path| length(path.attr("d").unwrap()))
        .collect();
    assert_eq!(bars.len(), 2);
    assert!((bars[0] - bars[1]).abs() < 0.02, "{bars:?}");
}

#[test]
fn readings_stand_beside_what_the_forecast_says() {
    let text = bed_called("Brickyard Lane");
    let bed = read_toml(&text, &Library::built_in()).unwrap();
    let cells = |html: &str| {
        let document = Html::parse_document(html);
        let cells = Selector::parse(".tape tbody > tr > *").unwrap();
        document
            .select(&cells)
            .map(|cell| cell.text().collect::<String>())
            .collect::<Vec<_>>()
    };
    let told = cells(&page_about(&bed, &text));
    let day = days(&bed).unwrap();
    let day = day
        .iter()
        .find(|day| day.on == bed.readings()[0].on)
        .unwrap();
    let forecast = forecast(&bed, 13, &unwatched).unwrap();
    let expected_m = day.height_m(&forecast).unwrap();
    let forecast = format!("{:.0}", (0.6 - expected_m) * 100.0);
    assert_eq!(told, ["2 May 2026", "12", "1", &forecast, "Brickyard Lane"]);
    // It is drawn as well.
    let html = page_about(&bed, &text);
    assert!(html.contains("<title>Measured with a tape</title>"));
    // Beyond the months of the forecast it is listed all the same.
    let mut late = bed.clone();
    late.edit().readings[0].on = "2027-05-02".parse().unwrap();
    assert_eq!(cells(&page_about(&late, &text))[3], "beyond its months");
    late.edit().readings.clear();
    assert!(cells(&page_about(&late, &text)).is_empty());
}

#[test]
fn defaults_say_how_far_they_move_the_surface() {
    let text = bed_called("Brickyard Lane");
    let bed = read_toml(&text, &Library::built_in()).unwrap();
    let widths = |widths: &[Option<f64>]| {
        let mut forecast = forecast(&bed, 2, &unwatched).unwrap();
        for (default, width_m) in forecast.defaults.iter_mut().zip(widths) {
            default.width_it_adds_m = *width_m;
        }
        let library = Library::built_in();
        let soil = library.find_material("loamy topsoil").unwrap();
        let rule = TopUpRule::usual(&bed, soil, 12);
        let topups = nominal_top_ups(&bed, &rule, &unwatched).unwrap();
        let html = page_with(&bed, &text, &forecast, &topups);
        let document = Html::parse_document(&html);
        let cells = Selector::parse(".assumed td:nth-child(4)").unwrap();
        document
            .select(&cells)
            .map(|cell| cell.text().collect::<String>())
            .collect::<Vec<_>>()
    };
    let told = widths(&[Some(0.003), None, Some(0.021)]);
    assert_eq!(told[..3], ["2.1", "0.3", "-"]);
    // Without widths the column is of sources.
    assert!(widths(&[]).iter().all(|cell| cell.len() > 4));
}

/// What was left out of a page for the size of its bed is mentioned on it.
#[test]
fn what_is_left_out_is_said() {
    let put = "{ material = \"twigs\", amount = \"1 L\" }, ".repeat(20);
    let mut text = bed_called("Brickyard Lane");
    text.push_str(&format!("[[layer]]\nput = [{put}]\n").repeat(12));
    let bed = read_toml(&text, &Library::built_in()).unwrap();
    let library = Library::built_in();
    let soil = library.find_material("loamy topsoil").unwrap();
    let mut forecast = forecast(&bed, 1, &unwatched).unwrap();
    let topups = nominal_top_ups(&bed, &TopUpRule::usual(&bed, soil, 1), &unwatched).unwrap();
    let mut told = |left_out: usize, draws: u32| {
        forecast.ensemble_size = draws;
        for (place, default) in forecast.defaults.iter_mut().enumerate() {
            default.width_it_adds_m = (place == 0).then_some(0.01);
            default.is_width_left_out = (1..=left_out).contains(&place);
        }
        let html = page_with(&bed, &text, &forecast, &topups);
        let document = Html::parse_document(&html);
        let cells = Selector::parse(".assumed td:nth-child(4)").unwrap();
        let cells = document.select(&cells).map(|cell| cell.text().collect());
        let body = document.root_element().text().collect::<String>();
        (cells.collect::<Vec<String>>(), body)
    };
    // 243 ingredients: 52 realisations, and as many figures as its work allows.
    let (cells, body) = told(2, Realisations::usual_count(&bed));
    assert_eq!(cells[..4], ["1.0", "?", "?", "-"]);
    assert!(body.contains("left out, 2 times") && body.contains("52 beds in place of 64"));
    let (_, body) = told(0, 64);
    assert!(!body.contains("left out") && !body.contains("in place of 64"));
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
    assert!(comparison_of(&[&long, "Quarry Field"]).contains(&long));
}

/// A reader refuses such characters; a program may put them into a bed all the same.
#[test]
fn signs_that_turn_writing_around_are_left_out_or_written_out() {
    let text = bed_called("Brickyard Lane");
    let mut bed = read_toml(&text, &Library::built_in()).unwrap();
    *bed.edit().name = format!("a\u{202e}b{}", "W".repeat(10_000));
    let name = bed.name().to_owned();
    bed.edit().layers[0].name = name;
    let html = page_about(&bed, &format!("# \u{202e} \u{0}\n{text}"));
    assert!(!html.contains(['\u{202e}', '\u{0}']));
    assert!(html.contains("# \\u{202e} \\u{0}\n"));
    assert!(html.contains("<bdi>abWWW") && !html.contains(&"W".repeat(5_000)));
}

#[test]
fn the_same_values_give_the_same_bytes() {
    let text = bed_called("Brickyard Lane");
    assert_eq!(page_of(&text), page_of(&text));
    let names = ["Brickyard Lane", "Quarry Field"];
    assert_eq!(comparison_of(&names), comparison_of(&names));
}

#[test]
fn nothing_is_fetched_and_nothing_runs() {
    let of_one = page_of(&bed_called("Brickyard Lane"));
    let of_two = comparison_of(&["Brickyard Lane", "Quarry Field"]);
    for html in [of_one, of_two] {
        asks_for_nothing(&html);
    }
}

fn asks_for_nothing(html: &str) {
    let document = Html::parse_document(html);
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
    are_in_order(&page_of(&bed_called("Brickyard Lane")));
    are_in_order(&comparison_of(&["Brickyard Lane", "Quarry Field"]));
}

fn are_in_order(html: &str) {
    let document = Html::parse_document(html);
    let headings = Selector::parse("h1, h2, h3, h4").unwrap();
    let mut above = 0;
    for heading in document.select(&headings) {
        let level = heading.value().name()[1..].parse::<u32>().unwrap();
        assert!(level <= above + 1, "{}", heading.text().collect::<String>());
        above = level;
    }
}

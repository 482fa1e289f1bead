//! The cross-section: demo beds, and extreme beds.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod support;

use moulder::internals::bed::Bed;
use moulder::internals::forecast::Forecast;
use moulder_chart::Chart;
use moulder_chart::Svg;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::section::cutaway::{Cut, Cutaway, crumbs_in};
use moulder_chart::internals::section::{PICTURES_LIMIT, svg_at, usual_months};
use moulder_chart::internals::subject::Subject;
use moulder_chart::internals::svg::polygon::{Line, area, edges, middle};
use roxmltree::{Document, Node};
use support::{BAG, LOG_BOX, bed, draw, forecast, small, sound};

const HARDWOOD: &str = include_str!("../../../examples/beds/hardwood-base.toml");
const HERB_RINGS: &str = include_str!("../../../examples/beds/school/herb-rings.toml");

/// A mound over a trench, with a bit of everything.
const MOUND: &str = r#"
format = 1
name = "Mound, Brickyard Lane"
filled = 2026-03-14
climate = "Cambridge UK"
[bed]
shape = "mound"
width = "2 m"
length = "4 m"
slope = "40 deg"
trench = "25 cm"
[[layer]]
name = "beech logs"
put = [{ material = "beech log", amount = "900 L", across = "14 cm" }]
[[layer]]
name = "prunings and leaves"
put = [
  { material = "woody prunings", amount = "500 L" },
  { material = "deciduous leaves", amount = "300 L" },
]
[[layer]]
name = "topsoil"
grows = true
put = [{ material = "loamy topsoil", amount = "350 L" }]
[[added]]
on = 2026-11-20
material = "garden compost"
amount = "5 cm"
"#;

fn subject<'a>(bed: &'a Bed, forecast: &'a Forecast) -> Subject<'a> {
    Subject {
        bed,
        forecast,
        readings: &[],
        days: &[],
        feeding: None,
    }
}

fn drawn(bed: &Bed, forecast: &Forecast, width: u32) -> Svg {
    let look = Look::new(width, "section");
    let svg = draw(Chart::Section, &subject(bed, forecast), &look);
    sound(&svg);
    svg
}

fn at_all_widths(bed: &Bed, forecast: &Forecast) {
    for width in [320, 360, 500, 800, 1280, 4000] {
        drawn(bed, forecast, width);
    }
}

/// A box of that many alternating layers, of the given width.
fn layers(count: usize, width: &str) -> String {
    let materials = [
        "deciduous leaves",
        "loamy topsoil",
        "woody prunings",
        "garden compost",
        "wood chips",
        "ash log",
    ];
    let mut text = format!(
        "format = 1\nname = \"Many\"\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\nunits = \
         \"us\"\n[bed]\nshape = \"box\"\nwidth = \"{width}\"\nlength = \"8 m\"\nrim = \"36 in\"\n"
    );
    for layer in 0..count {
        let material = materials[layer % materials.len()];
        let layer = format!(
            "[[layer]]\nname = \"{material} {layer}\"\ngrows = true\nput = [{{ material = \
             \"{material}\", amount = \"2 cm\" }}]\n"
        );
        text.push_str(&layer);
    }
    text
}

/// The cuts of a bed at the usual dates.
fn cuts(bed: &Bed, forecast: &Forecast) -> Vec<(usize, Vec<Cut>)> {
    let cutaway = Cutaway::new(bed, forecast, f64::INFINITY);
    usual_months(forecast)
        .into_iter()
        .map(|month| {
            let month = usize::try_from(month).unwrap();
            (month, cutaway.on(&forecast.months[month]))
        })
        .collect()
}

#[test]
fn the_demo_beds_look_as_they_did() {
    for (name, text) in [("bag", BAG), ("log-box", LOG_BOX)] {
        let bed = bed(text);
        let forecast = forecast(&bed, 60, 0);
        at_all_widths(&bed, &forecast);
        let svg = drawn(&bed, &forecast, 800);
        assert_eq!(svg.file(), drawn(&bed, &forecast, 800).file());
        // The words alone: the drawing has thousands of figures, held by the tests below.
        let text = svg.inline();
        let document = Document::parse(&text).unwrap();
        let words = document.descendants().filter(Node::is_text);
        let words: Vec<_> = words
            .filter_map(|node| node.text())
            .filter(|text| !text.trim().is_empty())
            .collect();
        insta::assert_snapshot!(name, words.join("\n"));
    }
}

#[test]
fn layers_lie_on_each_other_and_reach_the_height() {
    for text in [BAG, LOG_BOX, HARDWOOD, HERB_RINGS, MOUND] {
        let bed = bed(text);
        let forecast = forecast(&bed, 60, 0);
        for (month, cuts) in cuts(&bed, &forecast) {
            let row = &forecast.months[month];
            let mut top_m = -bed.trench_m();
            for cut in &cuts {
                assert!((cut.lie.bottom_m - top_m).abs() < 1e-12);
                let thick_m = row.layers[cut.layer].thickness_m;
                assert!((cut.lie.thickness_m() - thick_m).abs() < 1e-12);
                top_m = cut.lie.top_m;
            }
            assert!((top_m - row.height_m).abs() < 1e-9, "{top_m}");
        }
    }
}

/// As filled, a mound stands upright in its trench, as wide as at its foot, and tapers above the
/// ground alone; and the parts drawn are those of the outline.
#[test]
fn a_mound_is_drawn_upright_in_its_trench() {
    let bed = bed(MOUND);
    let forecast = forecast(&bed, 60, 0);
    let (month, filled) = cuts(&bed, &forecast).swap_remove(0);
    assert_eq!(month, 0);
    let (width_m, length_m) = bed.shape().section_m(0.0);
    let half_m = 0.5 * width_m.min(length_m);
    let mut across = 0;
    for cut in &filled {
        for (x, y) in &cut.outline {
            if *y <= 1e-9 {
                assert!((x.abs() - half_m).abs() < 1e-9, "{x} {y}");
            } else {
                assert!(x.abs() < half_m, "{x} {y}");
            }
            let over_foot_m = y + bed.trench_m();
            let (width_m, length_m) = bed.shape().section_m(over_foot_m);
            assert!(
                (x.abs() - 0.5 * width_m.min(length_m)).abs() < 1e-9,
                "{x} {y}"
            );
        }
        across += usize::from(cut.lie.bottom_m < -1e-9 && cut.lie.top_m > 1e-9);
    }
    assert!(across <= 1);
    // Nor is it ever wider in the trench than that.
    for (_, cuts) in cuts(&bed, &forecast) {
        for cut in &cuts {
            if cut.lie.upright > 0.0 {
                assert!(cut.outline.iter().all(|(x, _)| x.abs() < half_m + 1e-9));
            }
        }
    }
}

/// Only logs that are drawn as large as they are have their true size in words.
#[test]
fn no_log_drawn_smaller_or_larger_is_called_true() {
    let true_size = |text: &str| {
        let bed = bed(text);
        let forecast = forecast(&bed, 60, 0);
        let says = drawn(&bed, &forecast, 800).inline();
        // A line may end anywhere in the sentence.
        let mut words = String::new();
        for part in says.split('<') {
            words += part.split_once('>').map_or(part, |(_, text)| text);
            words.push(' ');
        }
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let [take, have] = ["Logs take", "Logs have"].map(|said| words.contains(said));
        assert!(take != have, "{text}");
        have
    };
    for text in [BAG, LOG_BOX, HARDWOOD] {
        assert!(true_size(text), "{text}");
    }
    // 900 L of logs of 14 cm lie 11 cm deep in a trench of 8 m2.
    assert!(!true_size(MOUND));
    let logs = |thick: u32, across: u32| {
        let put = format!(
            "{{ material = \"birch log\", amount = \"{thick} cm\", across = \"{across} cm\" }}"
        );
        small(
            "box",
            "Cambridge UK",
            &format!("[[layer]]\nput = [{put}]\n"),
        )
    };
    assert!(true_size(&logs(40, 20)));
    assert!(true_size(&logs(20, 20)));
    assert!(!true_size(&logs(10, 20)));
    assert!(!true_size(&logs(90, 5)));
}

#[test]
fn what_a_layer_is_made_of_adds_up() {
    for text in [BAG, LOG_BOX, HERB_RINGS, MOUND] {
        let bed = bed(text);
        for row in &forecast(&bed, 60, 0).months {
            for layer in &row.layers {
                let parts = [
                    layer.wood_m3,
                    layer.soft_m3,
                    layer.fines_m3,
                    layer.migrated_m3,
                    layer.open_m3,
                ];
                assert!(parts.iter().all(|part| *part >= -1e-12), "{layer:?}");
                assert!(layer.migrated_m3 <= layer.fines_m3 + 1e-12);
                let by_area = layer.volume_m3() / layer.thickness_m.max(1e-12);
                // A bag bulges by at most 27 % (its girth made round).
                let foot_m2 = bed.shape().area_m2();
                assert!(by_area <= 1.28 * foot_m2, "{by_area} {foot_m2}");
            }
        }
    }
}

#[test]
fn wood_and_crumbs_are_drawn_as_there_is_of_them() {
    for text in [BAG, LOG_BOX, HARDWOOD, HERB_RINGS, MOUND] {
        let bed = bed(text);
        let forecast = forecast(&bed, 60, 0);
        let mut logs = 0;
        for (month, cuts) in cuts(&bed, &forecast) {
            for cut in &cuts {
                let row = forecast.months[month].layers[cut.layer];
                let whole_m2 = area(&cut.outline);
                let covered = |parts: &[Vec<(f64, f64)>]| -> f64 {
                    let parts = parts.iter().map(|part| area(part));
                    parts.sum::<f64>() / whole_m2
                };
                let wood = row.wood_m3 / row.volume_m3();
                let want = |of: Option<moulder_chart::internals::plot::stratum::Wood>| {
                    of.map_or(0.0, |of| of.share) * wood
                };
                let (log, stick) = (covered(&cut.logs), covered(&cut.sticks));
                assert!((log - want(cut.stratum.logs)).abs() < 0.005, "{log}");
                assert!((stick - want(cut.stratum.sticks)).abs() < 0.005, "{stick}");
                logs += cut.logs.len();
                let each_m2 = 1e-4;
                #[allow(clippy::cast_precision_loss, reason = "a few thousand")]
                let crumbs = crumbs_in(cut, each_m2).len() as f64 * each_m2;
                assert!((crumbs - cut.crumbs * whole_m2).abs() <= 0.5 * each_m2 + 1e-9);
            }
        }
        assert!(logs > 20, "{logs}");
    }
}

#[test]
fn logs_lie_in_their_layer_clear_of_each_other_and_stay() {
    for text in [BAG, LOG_BOX, HARDWOOD, HERB_RINGS, MOUND] {
        let bed = bed(text);
        let forecast = forecast(&bed, 60, 0);
        let days = cuts(&bed, &forecast);
        for (_, cuts) in &days {
            for cut in cuts {
                for (at, one) in cut.logs.iter().enumerate() {
                    for point in one {
                        let outside = edges(&cut.outline)
                            .any(|(from, to)| Line::through(from, to).beyond(*point) > 1e-9);
                        assert!(!outside, "{point:?}");
                    }
                    for other in &cut.logs[..at] {
                        assert!(are_apart(one, other));
                    }
                }
            }
        }
        for pair in days.windows(2) {
            for (before, after) in pair[0].1.iter().zip(&pair[1].1) {
                let across_m = before.stratum.logs.map_or(0.0, |logs| logs.across_m);
                assert_eq!(before.logs.len(), after.logs.len());
                for (one, other) in before.logs.iter().zip(&after.logs) {
                    let ((from, _), (to, _)) = (middle(one), middle(other));
                    assert!((from - to).abs() < across_m, "{from} {to}");
                }
            }
        }
    }
}

/// Whether an edge of one of two convex areas has the whole of the other beyond it, but for
/// rounding.
fn are_apart(one: &[(f64, f64)], other: &[(f64, f64)]) -> bool {
    let parts = |edge_of: &[(f64, f64)], points: &[(f64, f64)]| {
        edges(edge_of).any(|(from, to)| {
            let line = Line::through(from, to);
            points.iter().all(|point| line.beyond(*point) > -1e-9)
        })
    };
    one.is_empty() || other.is_empty() || parts(one, other) || parts(other, one)
}

/// Where the first point of the first path of a class lies, from the top.
fn first_y(node: &Node<'_, '_>, class: &str) -> f64 {
    let of = |node: &Node<'_, '_>| node.attribute("class") == Some(class);
    let path = node.descendants().find(of).unwrap();
    let data = path.attribute("d").unwrap();
    let point = data.trim_start_matches('M').split('L').next().unwrap();
    point.split(' ').nth(1).unwrap().parse().unwrap()
}

#[test]
fn all_pictures_are_to_one_scale() {
    for text in [BAG, LOG_BOX, HERB_RINGS, MOUND] {
        let bed = bed(text);
        let forecast = forecast(&bed, 60, 0);
        for width in [360, 800, 1280] {
            let svg = drawn(&bed, &forecast, width).inline();
            let document = Document::parse(&svg).unwrap();
            let of = |node: &Node<'_, '_>| node.attribute("class") == Some("picture");
            let pictures: Vec<_> = document.descendants().filter(of).collect();
            let months = usual_months(&forecast);
            assert_eq!(pictures.len(), months.len());
            let mut heights = pictures.iter().zip(&months).map(|(picture, month)| {
                let row = &forecast.months[usize::try_from(*month).unwrap()];
                let px = first_y(picture, "ground") - first_y(picture, "surface");
                (px, row.height_m)
            });
            let (first_px, first_m) = heights.next().unwrap();
            let scale = first_px / first_m;
            assert!(scale > 20.0, "{scale}");
            for (px, height_m) in heights {
                // Written in hundredths of a pixel.
                assert!((px - scale * height_m).abs() < 0.05, "{px} {height_m}");
            }
        }
    }
}

/// How much wider a bag is drawn at half its height than at its foot, when filled and later.
fn bellies(bed: &Bed) -> Vec<f64> {
    let forecast = forecast(bed, 12, 0);
    let cuts = cuts(bed, &forecast).into_iter();
    let belly = |cuts: Vec<Cut>| {
        let wide_m = cuts.iter().map(|cut| cut.lie.half_m(0.5));
        wide_m.fold(0.0, f64::max) / cuts[0].lie.half_m(0.0)
    };
    cuts.map(|(_, cuts)| belly(cuts)).collect()
}

#[test]
fn a_bag_bulges_as_far_as_is_told_and_then_on() {
    let straight = bellies(&bed(BAG));
    assert!((straight[0] - 1.0).abs() < 1e-12);
    assert!(
        straight.iter().skip(1).all(|belly| *belly > 1.01),
        "{straight:?}"
    );
    let bulged = BAG.replace("[bed]\n", "[bed]\nbulged = \"40 %\"\n");
    let bulged = bellies(&bed(&bulged));
    assert!(bulged[0] > 1.03, "{bulged:?}");
}

#[test]
fn an_unnamed_layer_bears_the_names_of_its_materials() {
    let more = "[[layer]]\nname = \"layer 1\"\nput = [{ material = \"woody prunings\", amount = \
                \"10 L\" }]\n[[layer]]\nput = [{ material = \"birch log\", amount = \"9 L\" }, { \
                material = \"grass clippings\", amount = \"9 L\" }]\n";
    let bed = bed(&small("box", "Cambridge UK", more));
    let forecast = forecast(&bed, 1, 0);
    let names = [0, 1, 2, 3].map(|layer| subject(&bed, &forecast).layer_name(layer));
    let told = [
        "loamy topsoil",
        "layer 1",
        "birch log and grass clippings",
        "",
    ];
    assert_eq!(names, told);
    assert!(
        drawn(&bed, &forecast, 360)
            .inline()
            .contains(">loamy topsoil, ")
    );
}

#[test]
fn dates_are_those_asked_for_and_those_there_are() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let mut forecast = forecast(&bed, 120, 0);
    assert_eq!(usual_months(&forecast), [0, 6, 12, 120]);
    let look = Look::new(1280, "section");
    let asked: Vec<u32> = (0..200).collect();
    let svg = svg_at(&subject(&bed, &forecast), &look, &asked);
    sound(&svg);
    let pictures = svg.inline().matches("class=\"picture\"").count();
    assert_eq!(pictures, PICTURES_LIMIT);
    let svg = svg_at(&subject(&bed, &forecast), &look, &[24, 500]);
    sound(&svg);
    assert!(svg.inline().contains("after 2 years") && !svg.inline().contains("when filled"));
    sound(&svg_at(&subject(&bed, &forecast), &look, &[]));
    for (months, usual) in [
        (60, vec![0, 6, 12, 60]),
        (36, vec![0, 6, 12, 36]),
        (12, vec![0, 6, 12]),
        (8, vec![0, 6, 8]),
        (1, vec![0, 1]),
        (0, vec![0]),
    ] {
        forecast.months.truncate(months + 1);
        assert_eq!(usual_months(&forecast), usual);
        at_all_widths(&bed, &forecast);
    }
}

#[test]
fn a_hundred_years_and_a_bed_that_does_not_sink_are_drawn() {
    let bed = bed(HARDWOOD);
    let mut long = forecast(&bed, 1200, 0);
    let look = Look::new(800, "section");
    let svg = svg_at(&subject(&bed, &long), &look, &[0, 120, 600, 1200]);
    sound(&svg);
    assert!(svg.inline().contains("after 100 years"));
    let first = long.months[0].clone();
    long.months.truncate(61);
    for row in &mut long.months {
        row.layers.clone_from(&first.layers);
        row.height_m = first.height_m;
        row.below_rim_m = first.below_rim_m;
    }
    at_all_widths(&bed, &long);
    let days = cuts(&bed, &long);
    // Where nothing changes, nothing moves.
    for pair in days.windows(2) {
        for (before, after) in pair[0].1.iter().zip(&pair[1].1) {
            assert_eq!(before.logs.len(), after.logs.len());
            for (one, other) in before.logs.iter().zip(&after.logs) {
                let ((x, y), (to_x, to_y)) = (middle(one), middle(other));
                assert!((x - to_x).abs() < 1e-9 && (y - to_y).abs() < 1e-9);
            }
        }
    }
}

#[test]
fn one_layer_forty_and_a_wide_bed_have_room() {
    for text in [
        small("box", "Cambridge UK", ""),
        small("mound", "Cambridge UK", ""),
        layers(40, "36 in"),
        layers(12, "3 m"),
        layers(3, "6 m"),
    ] {
        let bed = bed(&text);
        let forecast = forecast(&bed, 12, 0);
        for width in [320, 800, 2000] {
            drawn(&bed, &forecast, width);
        }
    }
    let forty = bed(&layers(40, "36 in"));
    let forecast = forecast(&forty, 12, 0);
    let svg = drawn(&forty, &forecast, 1280).inline();
    assert!(svg.contains("more layers, "));
    assert!(svg.len() < 1_500_000, "{}", svg.len());
}

#[test]
fn a_bed_drawn_in_part_says_so() {
    let wide = bed(&layers(3, "6 m"));
    let svg = drawn(&wide, &forecast(&wide, 12, 0), 800).inline();
    assert!(svg.contains("are drawn."), "{svg}");
    let usual = bed(LOG_BOX);
    let svg = drawn(&usual, &forecast(&usual, 12, 0), 800).inline();
    assert!(!svg.contains("are drawn."));
}

#[test]
fn a_bed_without_layers_left_is_drawn() {
    let bed = bed(&small("mound", "Cambridge UK", ""));
    let mut flat = forecast(&bed, 3, 0);
    for row in &mut flat.months {
        row.height_m = 0.0;
        for layer in &mut row.layers {
            layer.thickness_m = 0.0;
        }
    }
    at_all_widths(&bed, &flat);
}

#[test]
fn names_do_no_harm() {
    let bed = bed(LOG_BOX);
    let mut forecast = forecast(&bed, 12, 0);
    let names = [
        "</title><script>alert(1)</script>".to_owned(),
        "\" onload=\"alert(1)' & <b> &amp; ]]>".to_owned(),
        "\u{202e}\u{2066}\u{0}\u{1b}[31m\u{fffe} box\n\n\tof mine".to_owned(),
        "\u{5d2}\u{5d9}\u{5e0}\u{5d4} \u{2069}\u{62d}\u{62f}\u{64a}\u{642}\u{629}".to_owned(),
        "\u{1f954}\u{1f469}\u{200d}\u{1f33e}".repeat(100),
        "w".repeat(10_000),
        String::new(),
    ];
    for name in names {
        forecast.name.clone_from(&name);
        for layer in &mut forecast.layers {
            layer.clone_from(&name);
        }
        at_all_widths(&bed, &forecast);
        let text = drawn(&bed, &forecast, 800).file();
        for lost in ['\u{202e}', '\u{2066}', '\u{0}', '\u{1b}', '\u{fffe}'] {
            assert!(!text.contains(lost));
        }
        assert!(!text.contains("<script"));
    }
}

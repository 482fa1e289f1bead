//! The first sheet of a bed stands alone, and what follows is short.
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use moulder::feed::feeding;
use moulder::internals::topup::{TopUpRule, forecast_and_top_ups};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::months::{days, unwatched};
use moulder::{Bed, Date, Library, date};
use moulder_page::{Contents, FirstSheet, More, Paper, page};
use moulder_words::answer::ShortAnswer;
use scraper::{ElementRef, Html, Node, Selector};

const BAG: &str = include_str!("../../../examples/beds/bulk-bag.toml");
const MEASURED: &str = include_str!("../../../examples/beds/measured-bag.toml");
const DECK: &str = include_str!("../../moulder-cli/tests/beds/deck-box.toml");
const BALCONY: &str = include_str!("../../moulder-cli/tests/beds/balcony-box.toml");

/// Most words of the page of the bulk bag, drawings apart.
const MOST_WORDS: usize = 2900;

/// What is shown of a bed on a day.
#[derive(Clone, Copy)]
struct Shown {
    text: &'static str,
    as_of: Date,
    paper: Paper,
    has_more: bool,
    is_full: bool,
}

impl Shown {
    fn of(text: &'static str) -> Self {
        Self {
            text,
            as_of: date(2026, 3, 14),
            paper: Paper::A4,
            has_more: false,
            is_full: false,
        }
    }

    /// The page, and the short answer from the same figures.
    fn page(self) -> (String, ShortAnswer) {
        let library = Library::built_in();
        let bed = Bed::from_toml(self.text, &library).unwrap();
        let as_of = self.as_of.max(bed.filled());
        let soil = library.find_material("loamy topsoil").unwrap();
        let months = moulder::internals::forecast::calendar::months_to(bed.filled(), as_of);
        let mut rule = TopUpRule::usual(&bed, soil, months.unwrap() + 14);
        rule.from = Some(as_of);
        let draws = Realisations {
            ensemble_size: 8,
            ..Realisations::default()
        };
        let (forecast, topups) = forecast_and_top_ups(&bed, &rule, draws, &unwatched).unwrap();
        let feeding = feeding(&bed, as_of, 8, 1, &unwatched).unwrap();
        let html = page(&Contents {
            sheets: &[FirstSheet {
                bed: &bed,
                forecast: &forecast,
                topups: &topups,
                feeding: Some(&feeding),
                as_of,
            }],
            more: self.has_more.then_some(More {
                forecast: &forecast,
                widths_month: 12,
                topups: &topups,
                days: &days(&bed).unwrap(),
                file_text: self.text,
                is_full: self.is_full,
            }),
            paper: self.paper,
            ..Contents::default()
        });
        let answer = ShortAnswer::new(&bed, &forecast, &topups, &feeding, as_of);
        (html, answer)
    }
}

/// The words of an element, drawings apart.
fn words(element: ElementRef<'_>) -> String {
    let mut said = String::new();
    for child in element.children() {
        match child.value() {
            Node::Text(text) => {
                said.push_str(text);
                said.push(' ');
            }
            Node::Element(inner) if inner.name() != "svg" => {
                said.push_str(&words(ElementRef::wrap(child).unwrap()));
                said.push(' ');
            }
            _ => {}
        }
    }
    let said: Vec<&str> = said.split_whitespace().collect();
    said.join(" ").replace(" :", ":").replace(" .", ".")
}

/// The words of all that is selected.
fn said(html: &str, wanted: &str) -> Vec<String> {
    let document = Html::parse_document(html);
    let wanted = Selector::parse(wanted).unwrap();
    document.select(&wanted).map(words).collect()
}

#[test]
fn the_page_of_the_bulk_bag_has_few_words() {
    let shown = Shown {
        has_more: true,
        ..Shown::of(BAG)
    };
    let count = |shown: Shown| {
        let (html, _) = shown.page();
        said(&html, "body")[0].split_whitespace().count()
    };
    let short = count(shown);
    assert!((1000..=MOST_WORDS).contains(&short), "{short} words");
    let full = count(Shown {
        is_full: true,
        ..shown
    });
    assert!(full > 2 * short, "{full} words in full, {short} else");
}

#[test]
fn what_few_read_is_there_in_full_alone() {
    let ids = |is_full| {
        let shown = Shown {
            has_more: true,
            is_full,
            ..Shown::of(BAG)
        };
        let html = shown.page().0;
        assert!(!html.contains("<script"));
        // Folded without one.
        assert_eq!(said(&html, "#sources details summary").len(), 1);
        let document = Html::parse_document(&html);
        let figures = Selector::parse("figure").unwrap();
        let figures = document.select(&figures);
        let ids = figures.map(|figure| figure.attr("id").unwrap().to_owned());
        (
            ids.collect::<Vec<_>>(),
            said(&html, "#sources .figures").len(),
        )
    };
    let (short, no_figures) = ids(false);
    let (full, figures) = ids(true);
    assert_eq!(short[0], "chart-first");
    for chart in ["chart-carbon", "chart-warmth", "chart-weight"] {
        assert!(!short.contains(&chart.to_owned()), "{short:?}");
        assert!(full.contains(&chart.to_owned()), "{full:?}");
    }
    assert_eq!(no_figures, 0);
    assert!(figures > 2);
}

/// Who holds the sheet alone knows how deep, what to buy and when, whether to feed, and what to be
/// careful of; in the words of the short answer.
#[test]
fn the_sheet_answers_what_the_short_answer_does() {
    for text in [BAG, MEASURED] {
        for as_of in [date(2026, 3, 14), date(2026, 11, 30)] {
            let shown = Shown {
                as_of,
                ..Shown::of(text)
            };
            let (html, answer) = shown.page();
            let sheet = said(&html, ".sheet")[0].to_lowercase();
            for (word, line) in &answer.lines {
                // On the sheet the parts of a line stand apart.
                let line = line.replace(" And 1 more: moulder check tells", "");
                let line = line
                    .replace(". Measure first", "")
                    .replace(" in mid-", "; mid-");
                let line = line.replace(" in late ", "; late ").to_lowercase();
                for part in line.split("; ") {
                    assert!(sheet.contains(part), "{word}: {part:?} is not in {sheet}");
                }
            }
            assert_eq!(said(&html, ".sheet").len(), 1);
            assert_eq!(said(&html, ".twelve li").len(), 12);
            assert!(said(&html, ".board tbody tr:not(.blank)").len() >= 2);
            assert_eq!(said(&html, ".board .blank").len(), 3);
            assert!(said(&html, "#why").is_empty());
        }
    }
}

#[test]
fn dangers_come_first_and_all_of_them_with_their_weight() {
    for paper in [Paper::A4, Paper::A5] {
        let shown = Shown {
            paper,
            ..Shown::of(DECK)
        };
        let sheet = said(&shown.page().0, ".sheet").swap_remove(0);
        let danger = sheet.find("Danger: On a deck").unwrap();
        assert!(danger < sheet.find("Filled").unwrap(), "{sheet}");
        assert!(sheet.contains("top-ups of this plan up to"), "{sheet}");
    }
}

/// A sheet is printed in letters that can be read: what has no room is left out, the least important
/// first.
#[test]
fn what_has_no_room_is_left_out_by_rule() {
    let parts = |text, paper| {
        let shown = Shown {
            paper,
            ..Shown::of(text)
        };
        let html = shown.page().0;
        let count = |wanted| said(&html, wanted).len();
        let drawn = count(".sheet figure") - count(".sheet .spare figure");
        (drawn, count(".sheet .danger"), count(".sheet .mind li"))
    };
    // Three dangers and nine warnings: no picture, and as many warnings as there is room for.
    assert_eq!(parts(BALCONY, Paper::A4), (0, 3, 3));
    assert_eq!(parts(BALCONY, Paper::A5), (0, 3, 0));
    let page = Shown::of(BALCONY).page().0;
    assert!(said(&page, ".mind")[0].ends_with("6 more warnings: moulder check lists them."));
    // On A5 the words of the bag leave no room for it.
    for paper in [Paper::A4, Paper::Letter] {
        assert_eq!(parts(BAG, paper).0, 1, "{paper:?}");
    }
}

#[test]
fn the_paper_is_that_which_was_asked_for() {
    for (paper, size) in [
        (Paper::A4, "@page{size:A4;"),
        (Paper::Letter, "@page{size:letter;"),
        (Paper::A5, "@page{size:A5;"),
    ] {
        let shown = Shown {
            paper,
            ..Shown::of(BAG)
        };
        assert!(shown.page().0.contains(size), "{size}");
    }
}

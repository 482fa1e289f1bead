//! The first sheet of a bed, complete in itself: what one hangs beside the bed.

use moulder::feed::Feeding;
use moulder::{Bed, Date, Forecast, Notice, TopUps};
use moulder_words::answer::{Purchase, purchase, standings};
use moulder_words::board::{Mark, marks};
use moulder_words::feeding::{doses_in_words, month_name, twelve_months};
use moulder_words::forecast::{plural_of, spoken_date};
use moulder_words::notice::WET_WEIGHT;
use moulder_words::notice::sentence;
use moulder_words::surprise::in_a_forecast;

use crate::cautions::{Caution, Cautions};
use crate::name::{in_a_line, sentence_case};
use crate::paper::Paper;
use crate::pictures::{Picture, at_a_glance};

/// Most warnings on the sheet, where there is room; dangers are all there.
const WARNINGS: usize = 3;

/// What a first sheet is made from.
#[derive(Debug, Clone, Copy)]
pub struct FirstSheet<'a> {
    /// The bed.
    pub bed: &'a Bed,
    /// Its forecast, which should reach a year and a month beyond `as_of`.
    pub forecast: &'a Forecast,
    /// Its top-ups from that day on, over the same months.
    pub topups: &'a TopUps,
    /// What to feed it from that day on; none where that was not reckoned.
    pub feeding: Option<&'a Feeding>,
    /// The day of which it tells: that of its filling, or later.
    pub as_of: Date,
}

/// A first sheet as the template takes it.
pub(crate) struct Sheet {
    /// What ids end in; empty for the first.
    pub(crate) nth: String,
    pub(crate) name: String,
    /// When it was filled, where it stands, and of which day this tells.
    pub(crate) under: String,
    pub(crate) dangers: Vec<Caution>,
    /// Where it stands and is expected next, a phrase each with its range.
    pub(crate) lead: Vec<Phrase>,
    /// Where it is expected in a year.
    pub(crate) then: Option<Phrase>,
    /// Readings that are a surprise.
    pub(crate) odd: Option<String>,
    pub(crate) picture: Option<Picture>,
    /// Whether the paper has no room for it.
    pub(crate) is_picture_spare: bool,
    pub(crate) buy: Buy,
    /// " for each of 6", where it is one of several beds like it.
    pub(crate) each: String,
    /// What is measured, for the note under the board.
    pub(crate) measured: &'static str,
    pub(crate) marks: Vec<Line>,
    /// Lines left blank.
    pub(crate) blank: usize,
    pub(crate) feed: String,
    pub(crate) months: Vec<MonthFed>,
    pub(crate) warnings: Vec<Caution>,
    /// How many warnings are left out.
    pub(crate) more_warnings: usize,
    /// The weight of a bed on a deck, balcony or roof whose danger was acknowledged.
    pub(crate) weight: Option<String>,
    pub(crate) made: String,
    /// What is ordered for all beds like it at once.
    pub(crate) one_order: Option<String>,
    /// Where the other warnings are told.
    pub(crate) elsewhere: &'static str,
    /// Where the rest is found, in words.
    pub(crate) rest: &'static str,
}

/// A phrase and the range to it, which may be empty.
pub(crate) struct Phrase {
    pub(crate) text: String,
    pub(crate) range: String,
}

/// What to buy first.
pub(crate) struct Buy {
    /// When; empty where nothing is bought.
    pub(crate) when: String,
    pub(crate) what: String,
    pub(crate) loose: String,
    /// The day to order on; empty where it is the same.
    pub(crate) order_by: String,
}

/// A day on the board.
pub(crate) struct Line {
    pub(crate) on: String,
    pub(crate) expect: String,
    pub(crate) is_before_an_order: bool,
    pub(crate) is_quarter: bool,
}

/// A month with a word, which is its class as well.
pub(crate) struct MonthFed {
    pub(crate) name: &'static str,
    pub(crate) word: String,
    pub(crate) class: &'static str,
}

/// The notices of a forecast; dangers as the top-ups tell them, which know what is laid on.
pub(crate) fn notices(forecast: &Forecast, topups: &TopUps) -> Vec<Notice> {
    let told = |notice: &Notice| {
        let mut dangers = topups.dangers.iter();
        let danger = dangers.find(|danger| danger.code == notice.code);
        danger.unwrap_or(notice).clone()
    };
    forecast.notices.iter().map(told).collect()
}

impl Sheet {
    /// That of a bed, the `number`th from 1, on such paper.
    pub(crate) fn of(number: usize, of: &FirstSheet<'_>, paper: Paper) -> Self {
        let FirstSheet {
            bed,
            forecast,
            topups,
            feeding,
            as_of,
        } = *of;
        let as_of = as_of.max(forecast.filled);
        let nth = match number {
            1 => String::new(),
            number => format!("-{number}"),
        };
        let notices = notices(forecast, topups);
        let cautions = Cautions::of(&notices, &forecast.layers);
        let (warnings, more_warnings) = few(&cautions);
        let mut standings = standings(forecast, as_of);
        let then = (standings.len() > 1).then(|| standings.pop()).flatten();
        let months = feeding.map(|feeding| twelve_months(forecast, Some(feeding)));
        let seen = notices.iter().filter(|notice| notice.acknowledged);
        let weight = seen
            .into_iter()
            .find(|notice| notice.code == WET_WEIGHT)
            .map(|notice| in_a_line(&sentence(notice)));
        Self {
            name: in_a_line(&forecast.name),
            under: in_a_line(&under(bed, forecast, as_of)),
            dangers: cautions.dangers,
            lead: standings.iter().map(|said| phrase(said)).collect(),
            then: then.map(|said| phrase(&said)),
            odd: forecast.given.as_ref().and_then(in_a_forecast),
            picture: at_a_glance(bed, forecast, as_of, paper, &nth),
            is_picture_spare: false,
            buy: buy(topups),
            each: match bed.count() {
                1 => String::new(),
                beds => format!(" for each of {beds}"),
            },
            measured: if topups.has_rim {
                "Below the rim"
            } else {
                "Above the ground"
            },
            marks: marks(forecast, topups, as_of)
                .into_iter()
                .map(line)
                .collect(),
            blank: paper.extent().blank,
            feed: feeding.map_or_else(
                || "Not reckoned: it takes a range.".to_owned(),
                |feeding| sentence_case(&ended(&doses_in_words(forecast, feeding))),
            ),
            months: months.into_iter().flatten().map(month).collect(),
            warnings,
            more_warnings,
            weight,
            made: made(forecast),
            one_order: None,
            elsewhere: "moulder check lists them",
            rest: "More in the whole report.",
            nth,
        }
    }
}

impl Sheet {
    /// What stands in the blank lines: nothing, which keeps them as high as others.
    pub(crate) fn blank_lines(&self) -> impl Iterator<Item = char> {
        core::iter::repeat_n('\u{a0}', self.blank)
    }

    /// Whether a month is short of nitrogen, which is explained.
    pub(crate) fn has_short(&self) -> bool {
        self.months.iter().any(|month| month.class == "short")
    }

    /// What it takes of an order for several beds: "about 340 L loose for each of 24, for mid-March".
    pub(crate) fn share(&self) -> String {
        let Buy { loose, when, .. } = &self.buy;
        let loose = loose.replacen("About", "about", 1);
        format!("{loose}{}, {}", self.each, when.replacen("For", "for", 1))
    }

    /// Whether no month is fed.
    pub(crate) fn feeds_nothing(&self) -> bool {
        self.months.iter().all(|month| month.class != "fed")
    }

    /// Whether a reading comes before an order.
    pub(crate) fn measures_before_an_order(&self) -> bool {
        self.marks.iter().any(|line| line.is_before_an_order)
    }
}

/// When it was filled and measured, where it stands, and of which day this tells.
fn under(bed: &Bed, forecast: &Forecast, as_of: Date) -> String {
    let mut said = vec![format!("Filled {}", spoken_date(forecast.filled))];
    if let Some(given) = &forecast.given {
        said.push(format!("measured {}", spoken_date(given.last_on)));
    }
    said.push(forecast.climate.clone());
    if bed.count() > 1 {
        said.push(format!("each of {} beds", bed.count()));
    }
    said.push(format!("as of {}", spoken_date(as_of)));
    said.join(" \u{b7} ")
}

/// Parts a range in brackets from the phrase before it.
fn phrase(said: &str) -> Phrase {
    let (text, range) = match said.split_once(" (") {
        Some((text, range)) => (text, format!("({range}")),
        None => (said, String::new()),
    };
    Phrase {
        text: sentence_case(text),
        range,
    }
}

fn buy(topups: &TopUps) -> Buy {
    match purchase(topups) {
        Purchase::Order {
            what,
            when,
            loose,
            order_by,
        } => Buy {
            when: format!("For {}", when.trim_start_matches("in ")),
            what: in_a_line(&what),
            loose: sentence_case(&loose),
            order_by: order_by.unwrap_or_default(),
        },
        Purchase::Nothing(said) => Buy {
            when: String::new(),
            what: sentence_case(&ended(&said)),
            loose: String::new(),
            order_by: String::new(),
        },
        _ => Buy {
            when: String::new(),
            what: String::new(),
            loose: String::new(),
            order_by: String::new(),
        },
    }
}

fn line(mark: Mark) -> Line {
    Line {
        on: spoken_date(mark.on),
        expect: mark.expect,
        is_before_an_order: mark.is_before_an_order,
        is_quarter: mark.is_quarter,
    }
}

fn month((begins, word): (Date, String)) -> MonthFed {
    let name = month_name(begins);
    let class = match word.as_str() {
        "enough" => "enough",
        "short" => "short",
        _ => "fed",
    };
    MonthFed { name, word, class }
}

/// The first warnings, and how many there are besides.
fn few(cautions: &Cautions) -> (Vec<Caution>, usize) {
    let all = cautions.warnings.iter();
    let mut all = all.filter(|caution| caution.class == "warning");
    let told = all.by_ref().take(WARNINGS).cloned().collect();
    (told, all.count())
}

/// With a full stop.
fn ended(said: &str) -> String {
    format!("{said}.")
}

/// With what it was made.
fn made(forecast: &Forecast) -> String {
    let reckoned = match forecast.ensemble_size {
        0 => "one run with the best figures, no range".to_owned(),
        size => format!("reckoned from {size} {} like it", plural_of(forecast)),
    };
    format!("Made by moulder {}, {reckoned}.", forecast.engine)
}

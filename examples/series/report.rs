//! The printed report, at most 100 columns wide: each reading.

use crate::marks::{Scores, width_eta};
use crate::observed::{Case, Reading, Side};
use crate::options::Options;
use crate::part::classes;
use crate::range::Range;
use crate::row::Row;
use crate::subject::{Set, Subject};

/// Prints each reading.
pub(crate) fn print(rows: &[Row<'_>], options: &Options) {
    print_legend(options);
    let classes = classes(rows);
    for (set, what) in [
        (Set::Series, "Published series"),
        (
            Set::Used,
            "Published series that figures or laws were made with: no check of them",
        ),
        (
            Set::Seen,
            "Open cases, seen: laws were chosen by their misses",
        ),
    ] {
        println!();
        println!("{what}");
        println!(
            "{:17}{:>2}{:>10}{:>3}{:>9}{:>6}{:>6}{:>6}{:>3}{:>3}{:>5}{:>5}{:>6}{:>6}{:>6}{:>6}",
            "",
            "",
            "months",
            "",
            "seen",
            "low",
            "mid",
            "high",
            "ov",
            "in",
            "told",
            "open",
            "IS cm",
            "IS",
            "CR cm",
            "CR"
        );
        for class in &classes {
            let of_class =
                |row: &&Row<'_>| row.subject.set == set && row.subject.case.class == *class;
            let of_class: Vec<&Row<'_>> = rows.iter().filter(of_class).collect();
            if !of_class.is_empty() {
                println!("{class}");
                of_class.into_iter().for_each(print_row);
            }
        }
    }
}

/// Prints what is listed and not scored.
pub(crate) fn print_not_scored(cases: &[Case]) {
    println!();
    println!("Series that are listed and not scored:");
    for case in cases {
        if let Some(reason) = &case.not_scored {
            println!("{:22}{reason}", case.id);
        }
    }
}

fn print_legend(options: &Options) {
    println!(
        "Forecasts of published series and of the open cases. A report: nothing passes or fails."
    );
    println!("Sources are in examples/series/series.json and examples/cases/open.json.");
    if options.is_small {
        println!("Small run: the cases of half a year, few draws; its figures are no evidence.");
    }
    println!();
    println!("m, r, t     measured, reported, rule of thumb");
    println!("months      since filling; from one age to another where both stand (36:44-48)");
    println!(
        "seen        settlement in cm or per cent; of dry mass, its loss; >= and <= are bounds"
    );
    println!(
        "low ... high  the band that four in five of {} draws lie in and their middle, over all",
        options.draws
    );
    println!(
        "            that is uncertain, the variants of the bed, and heights and months left open"
    );
    println!(
        "ov, in      the band meets what was seen; the middle of what was seen lies in the band"
    );
    println!(
        "told, open  width of the band in eta: one bed, month and height; all that is left open"
    );
    println!("IS, CR      interval score (alpha 0.2) and CRPS, in cm and in eta; less is better");
    println!("            (Gneiting & Raftery 2007); against the middle of what was seen");
    println!("eta         -ln(1 - share sunk): 0.1 is 10 %, 0.4 is 33 %, 1.2 is 70 %");
}

fn print_row(row: &Row<'_>) {
    let Row { subject, ours, .. } = row;
    let Subject { case, reading, .. } = subject;
    let kind = match case.quality.as_str() {
        "measured" => "m",
        "reported" => "r",
        _ => "t",
    };
    let band = subject.open.band();
    let cm = |of: fn(&Scores) -> f64| ours.cm.map_or("-".to_owned(), |scores| short(of(&scores)));
    println!(
        "{:17}{kind:>2}{:>10}{:>3}{:>9}{:>6}{:>6}{:>6}{:>3}{:>3}{:>5.2}{:>5.2}{:>6}{:>6}{:>6}{:>6}",
        case.id,
        ages(reading),
        reading.unit.sign(),
        seen(reading),
        short(band.low),
        short(subject.open.median()),
        short(band.high),
        sign(ours.overlaps),
        ours.is_inside.map_or("-", sign),
        width_eta(subject, &subject.members_told()),
        width_eta(subject, &subject.members()),
        cm(|scores| scores.interval),
        short(ours.eta.interval),
        cm(|scores| scores.crps),
        fine(ours.eta.crps),
    );
}

/// Months, with the earlier age before a colon where it is not the day of filling.
fn ages(reading: &Reading) -> String {
    if reading.from_months.high > 0.0 {
        format!("{}:{}", reading.from_months, reading.months)
    } else {
        reading.months.to_string()
    }
}

fn seen(reading: &Reading) -> String {
    let Range { low, high } = reading.sink;
    match reading.side {
        Side::AtLeast => format!(">={low:.0}"),
        Side::AtMost => format!("<={high:.0}"),
        Side::Both if high - low < 0.5 => format!("{low:.0}"),
        Side::Both => format!("{low:.0}-{high:.0}"),
    }
}

/// A figure of three digits.
pub(crate) fn short(figure: f64) -> String {
    let digits = match figure.abs() {
        size if size < 9.995 => 2,
        size if size < 99.95 => 1,
        _ => 0,
    };
    format!("{figure:.digits$}")
}

/// A score in eta.
pub(crate) fn fine(score: f64) -> String {
    let digits = if score < 9.9995 { 3 } else { 2 };
    format!("{score:.digits$}")
}

fn sign(yes: bool) -> &'static str {
    if yes { "y" } else { "n" }
}

//! What a cross-section says.

use moulder::Month;
use moulder::Shape;
use moulder::Units;
use moulder_words::figure::height::reading;
use moulder_words::forecast::spoken_date;

use super::layout::Use;
use super::picture::Picture;
use crate::section::cutaway::Cut;
use crate::subject::Subject;
use crate::svg::document::TextSize;
use crate::svg::escape::named;
use crate::svg::font::Font;

/// Most characters of a layer's name.
const LAYER_LIMIT: usize = 60;

/// Most layers named in the description.
pub(super) const TOLD: usize = 8;

/// What is written below a picture: on a sheet, which tells depths below the rim, these alone.
pub(super) fn below(subject: &Subject<'_>, row: &Month, width: f64, for_use: Use) -> Vec<String> {
    let units = subject.forecast.units;
    let font = Font::shipped();
    if let (Use::Sheet, Some(below_m)) = (for_use, row.below_rim_m) {
        let said = from_rim(below_m, units);
        return vec![said.replace(" with the rim", "").replace(" the rim", "")];
    }
    let mut lines = font.wrapped(&high(row, units), TextSize::Body.px(), width);
    if let Some(below_m) = row.below_rim_m {
        lines.extend(font.wrapped(&from_rim(below_m, units), TextSize::Small.px(), width));
    }
    lines
}

/// How high the surface stands.
fn high(row: &Month, units: Units) -> String {
    if reads_below_nothing(row.height_m, units) {
        format!("{} below the ground", reading(-row.height_m, units))
    } else {
        format!("{} high", reading(row.height_m, units))
    }
}

/// Where the surface lies against the rim.
fn from_rim(below_m: f64, units: Units) -> String {
    if reads_as_nothing(below_m, units) {
        "level with the rim".to_owned()
    } else if below_m < 0.0 {
        format!("{} above the rim", reading(-below_m, units))
    } else {
        format!("{} below the rim", reading(below_m, units))
    }
}

fn reads_as_nothing(height_m: f64, units: Units) -> bool {
    let text = reading(height_m, units);
    text.starts_with("0 ") || text.starts_with("-0 ")
}

fn reads_below_nothing(height_m: f64, units: Units) -> bool {
    height_m < 0.0 && !reads_as_nothing(height_m, units)
}

/// A thickness; "less than" the step of a tape measure for what is thinner.
fn thickness(thick_m: f64, units: Units) -> String {
    match (reads_as_nothing(thick_m, units), units) {
        (false, _) => reading(thick_m, units),
        (true, Units::Metric) => "under 1 cm".to_owned(),
        (true, Units::Us | Units::UkGarden) => "under 1/2 in".to_owned(),
    }
}

/// How long after filling, in words.
pub(super) fn after(month: u32) -> String {
    match (month, month / 12, month % 12) {
        (0, ..) => "when filled".to_owned(),
        (1, ..) => "after 1 month".to_owned(),
        (_, 1, 0) => "after 1 year".to_owned(),
        (_, years, 0) => format!("after {years} years"),
        (months, ..) => format!("after {months} months"),
    }
}

/// A layer's name, cut to a width, in a chart with its thickness.
pub(super) fn layer_text(subject: &Subject<'_>, cut: &Cut, width: f64, for_use: Use) -> String {
    let (font, units) = (Font::shipped(), subject.forecast.units);
    if for_use == Use::Sheet {
        let name = layer_name(subject, cut.layer);
        return font.fitted(&name, TextSize::Small.px(), width);
    }
    let thick = thickness(cut.lie.thickness_m(), units);
    let own = width - font.width(&format!(", {thick}"), TextSize::Small.px());
    let name = layer_name(subject, cut.layer);
    format!("{}, {thick}", font.fitted(&name, TextSize::Small.px(), own))
}

pub(super) fn layer_name(subject: &Subject<'_>, layer: usize) -> String {
    named(&subject.layer_name(layer), LAYER_LIMIT)
}

/// Layers too thin to be named one by one.
pub(super) fn gathered(thin: &[&Cut], units: Units) -> String {
    let sum_m: f64 = thin.iter().map(|cut| cut.lie.thickness_m()).sum();
    let thick = thickness(sum_m, units);
    match thin.len() {
        1 => format!("1 more layer, {thick}"),
        count => format!("{count} more layers, {thick}"),
    }
}

/// How to read the chart, in a line or two.
pub(super) fn how_to_read(subject: &Subject<'_>, pictures: &[Picture<'_>], cut_m: f64) -> String {
    let (bed, units) = (subject.bed, subject.forecast.units);
    let (width_m, length_m) = bed.shape().section_m(0.0);
    let across = reading(width_m.min(length_m), units);
    let mut text = match bed.shape() {
        Shape::Round { .. } => format!("Cut through the middle, {across} across."),
        _ => format!("Cut across the shorter side, {across} wide."),
    };
    if cut_m.is_finite() {
        let drawn_m = 0.5 * width_m.min(length_m) + cut_m;
        let drawn = reading(drawn_m, units);
        text.extend([" Only its first ", drawn.as_str(), " are drawn."]);
    }
    let has = |of: fn(&Cut) -> bool| {
        let mut cuts = pictures.iter().flat_map(|picture| &picture.cuts);
        cuts.any(of)
    };
    if has(|cut| !cut.logs.is_empty()) {
        let size = if has(|cut| !cut.logs.is_empty() && !cut.has_true_logs) {
            "Logs take as much room as they have, not all at their true size"
        } else {
            "Logs have their true size"
        };
        text.extend([" ", size, "; their rings break up as they rot."]);
    }
    if has(|cut| cut.stratum.between.is_none()) {
        text.push_str(" Left blank: air.");
    }
    if has(|cut| cut.crumbs > 0.0) {
        text.push_str(" Dots: what sifted in or crumbled.");
    }
    let unit = match units {
        Units::Metric => "cm",
        Units::Us | Units::UkGarden => "inches",
    };
    let from = match bed.rim_m() {
        Some(_) => "below the rim",
        None => "above the ground",
    };
    text.extend([" On the right: ", unit, " ", from, "."]);
    text
}

/// What the chart shows, for those who do not see it.
pub(super) fn about(subject: &Subject<'_>, pictures: &[Picture<'_>]) -> String {
    let units = subject.forecast.units;
    let mut said =
        vec!["The bed cut across, drawn at several dates side by side, to one scale.".to_owned()];
    for picture in pictures {
        let row = picture.row;
        let rim = row.below_rim_m.map_or_else(String::new, |below_m| {
            format!(", {}", from_rim(below_m, units))
        });
        let (told, thin) = picture.told(TOLD);
        let mut layers: Vec<String> = told
            .iter()
            .map(|cut| {
                let thick = thickness(cut.lie.thickness_m(), units);
                format!("{} {thick}", layer_name(subject, cut.layer))
            })
            .collect();
        if !thin.is_empty() {
            layers.push(gathered(&thin, units));
        }
        said.push(format!(
            "On {}, {}, {}{rim}; from the ground up: {}.",
            spoken_date(row.date),
            after(row.month),
            high(row, units),
            layers.join(", ")
        ));
    }
    said.join(" ")
}

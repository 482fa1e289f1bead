//! The page of designs side by side.

use askama::Template;
use moulder::Bed;
use moulder::Comparison;
use moulder::Forecast;
use moulder::Interval;
use moulder::Units;
use moulder::ensembles::Compared;
use moulder::months::Day;
use moulder_chart::internals::chart::comparison::{BEDS_LIMIT, Comparison as Drawn};
use moulder_chart::internals::subject::Subject;
use moulder_words::comparison::{
    against_the_first, draws_in_words, told_apart, topped_up_in_words,
};
use moulder_words::figure::amount::{volume_figure, volume_unit, weight_figure, weight_unit};
use moulder_words::figure::height::{rough_figure, unit};
use moulder_words::figure::unsigned_zero;
use moulder_words::forecast::spoken_date;
use moulder_words::range::from_to;
use moulder_words::sources::counted;
use moulder_words::topup::{money, plural};

use crate::cautions::{Backing, Caution, Cautions};
use crate::name::{as_written, in_a_line};
use crate::pictures::{Picture, beside};
use crate::sources::{Sourced, sources};
use crate::style::style;
use crate::table::{Row, Table};
use crate::{assumed, climate, months};

/// Most designs of a page: as many as a chart can distinguish.
pub const DESIGNS_LIMIT: usize = BEDS_LIMIT;

/// A design.
#[derive(Debug, Clone, Copy)]
pub struct Design<'a> {
    /// The bed.
    pub bed: &'a Bed,
    /// Its forecast, over the months that are compared.
    pub forecast: &'a Forecast,
    /// Heights on days within the months ([`moulder::months::days`]), or none.
    pub days: &'a [Day],
    /// The bed file as it was written.
    pub file_text: &'a str,
}

/// What a page is made from.
#[derive(Debug, Clone, Copy)]
pub struct Contents<'a> {
    /// The designs, in the order in which they were compared; of more than
    /// [`DESIGNS_LIMIT`] the first.
    pub designs: &'a [Design<'a>],
    /// How they compare.
    pub comparison: &'a Comparison,
    /// How much higher each stands than the first, by month
    /// ([`moulder::ensembles::height_differences`]); m.
    pub height_differences: &'a [Vec<Interval>],
}

/// The page as HTML.
///
/// # Panics
///
/// Never: the template is checked when the library is built, and a string takes all that
/// is written.
///
/// ```
/// use moulder::ensembles::height_differences;
/// use moulder::months::unwatched;
/// use moulder::{Bed, Crop, ForecastOptions, compare, forecast_all};
/// use moulder_page::{ComparisonContents, Design, comparison_page};
///
/// let beds = [Bed::example(), Bed::example().with_crop(Crop::None)];
/// let options = ForecastOptions::default().months(2).ensemble_size(8);
/// let forecasts = forecast_all(&beds, &options, &unwatched)?;
/// let design = |at: usize| Design {
///     bed: &beds[at],
///     forecast: &forecasts[at],
///     days: &[],
///     file_text: "",
/// };
/// let html = comparison_page(&ComparisonContents {
///     designs: &[design(0), design(1)],
///     comparison: &compare(&beds, &options, &unwatched)?,
///     height_differences: &height_differences(&beds, &options, &unwatched)?,
/// });
/// assert!(html.contains("<bdi>example bed</bdi> beside <bdi>example bed (2)</bdi>"));
/// # Ok::<(), moulder::Error>(())
/// ```
#[must_use]
pub fn page(contents: &Contents<'_>) -> String {
    let Contents {
        designs,
        comparison,
        height_differences,
    } = *contents;
    let designs = &designs[..designs.len().min(DESIGNS_LIMIT)];
    let subjects: Vec<Subject<'_>> = designs
        .iter()
        .map(|design| Subject {
            bed: design.bed,
            forecast: design.forecast,
            readings: &[],
            days: design.days,
            feeding: None,
        })
        .collect();
    let beds: Vec<&Bed> = designs.iter().map(|design| design.bed).collect();
    let sentences = comparison.designs.iter().take(designs.len());
    let sentences = sentences.filter_map(|design| against_the_first(comparison, design));
    let names = names(designs);
    let told = (1..).zip(designs.iter().zip(&names)).map(told);
    let mut told: Vec<Told> = told.collect();
    let mut before: Vec<Caution> = Vec::new();
    let mut backing: Vec<Backing> = Vec::new();
    for told in &mut told {
        for caution in told.cautions.before.drain(..) {
            if before.iter().all(|known| known.text != caution.text) {
                before.push(caution);
            }
        }
        for one in told.cautions.backing.drain(..) {
            if backing.iter().all(|known| known.cause != one.cause) {
                backing.push(one);
            }
        }
    }
    let page = Page {
        style: style(None),
        designs: told,
        sentences: sentences.map(|said| in_a_line(&said)).collect(),
        sides: sides(comparison, designs.len()),
        topped_up: topped_up_in_words(comparison).map(|said| in_a_line(&said)),
        sure: draws_in_words(comparison),
        pictures: beside(&Drawn {
            beds: &subjects,
            differences: height_differences,
        }),
        before,
        months: by_month(designs, height_differences, comparison.units),
        materials: sources(&beds),
        backing,
        counted: counted(),
        climates: climate::sources(&beds),
        made: made(comparison),
    };
    page.render()
        .expect("the template is checked when it is built, and a string takes all")
}

/// The parts of the page about one design.
struct Told {
    name: String,
    filled: String,
    climate_name: String,
    cautions: Cautions,
    assumed: Option<Table>,
    file_text: String,
}

/// What the designs are called; those of one name are told apart.
fn names(designs: &[Design<'_>]) -> Vec<String> {
    let names = designs.iter().map(|design| design.forecast.name.as_str());
    told_apart(names)
}

fn told((number, (design, name)): (usize, (&Design<'_>, &String))) -> Told {
    let Design {
        bed,
        forecast,
        file_text,
        ..
    } = *design;
    let name = in_a_line(name);
    let mut assumed = assumed::table(bed, forecast, (None, true), &format!("assumed-{number}"));
    if let Some(table) = &mut assumed {
        // Each table is a place on the page, and no two places have one name.
        table.caption = format!("{number}. {name}. {}", table.caption);
    }
    Told {
        name,
        filled: spoken_date(forecast.filled),
        climate_name: in_a_line(&forecast.climate),
        cautions: Cautions::of(&forecast.notices, &forecast.layers),
        assumed,
        file_text: as_written(file_text),
    }
}

/// "1. Hardwood base", and so on, then "2 less 1".
fn headings(first: &str, names: &[String]) -> Vec<String> {
    let own = (1..)
        .zip(names)
        .map(|(number, name)| in_a_line(&format!("{number}. {name}")));
    let less = (2..=names.len()).map(|number| format!("{number} less 1"));
    std::iter::once(first.to_owned())
        .chain(own)
        .chain(less)
        .collect()
}

/// A figure that a row shows of each design.
struct Shown<'a> {
    head: String,
    band: &'a dyn Fn(&Compared) -> Option<Interval>,
    figure: &'a dyn Fn(f64) -> String,
}

/// The designs side by side, and what each is less the first.
fn sides(comparison: &Comparison, count: usize) -> Table {
    let units = comparison.units;
    let all = &comparison.designs[..comparison.designs.len().min(count)];
    let names: Vec<String> = all.iter().map(|design| design.name.clone()).collect();
    let first_m = all.first().map_or(0.0, |design| design.height_m);
    let heights = all.iter().map(|design| design.height_m);
    let higher = all.iter().skip(1).map(|design| design.height_m - first_m);
    let height = Row {
        head: format!("Height when filled, {}", unit(units)),
        cells: heights
            .chain(higher)
            .map(|height_m| unsigned_zero(rough_figure(height_m, units)))
            .collect(),
    };
    let sold = comparison.topped_up_with.as_ref().map(|with| &with.package);
    let packs = sold.map_or_else(String::new, |sold| in_a_line(&plural(&sold.name, 2)));
    let shown = [
        Shown {
            head: format!("Sunk after {} months, {}", comparison.months, unit(units)),
            band: &|is| Some(is.settlement_m),
            figure: &|height_m| rough_figure(height_m, units),
        },
        Shown {
            head: format!("Carbon left by then, {}", weight_unit(units)),
            band: &|is| Some(is.carbon_kg),
            figure: &|kg| of_sign(kg, &|kg| weight_figure(kg, units)),
        },
        Shown {
            head: "Months of the first year in which a crop is short of nitrogen".to_owned(),
            band: &|is| Some(is.short_months),
            figure: &|months| format!("{months:.0}"),
        },
        Shown {
            head: format!("Topping up takes, {}", volume_unit(units)),
            band: &|is| is.topups.map(|topups| topups.laid_m3),
            figure: &|m3| of_sign(m3, &|m3| volume_figure(m3, units)),
        },
        Shown {
            head: format!("That is, {packs}"),
            band: &|is| is.topups.map(|topups| topups.bought),
            figure: &|count| format!("{count:.0}"),
        },
        Shown {
            head: "And costs".to_owned(),
            band: &|is| is.topups.and_then(|topups| topups.cost),
            figure: &|cost| of_sign(cost, &money),
        },
    ];
    let own = || all.iter().map(|design| design.is);
    let less = || all.iter().filter_map(|design| design.less_the_first);
    let row = |shown: Shown<'_>| {
        let bands: Option<Vec<Interval>> =
            own().chain(less()).map(|is| (shown.band)(&is)).collect();
        Some(Row {
            head: shown.head,
            cells: bands?
                .iter()
                .map(|band| ranged(band.mean, Some(band), shown.figure))
                .collect(),
        })
    };
    Table {
        id: "sides".to_owned(),
        class: "sides",
        caption: format!(
            "What to expect, and in brackets where 8 in 10 of {} beds like it lie.",
            comparison.ensemble_size
        ),
        headings: headings("What", &names),
        rows: std::iter::once(height)
            .chain(shown.into_iter().filter_map(row))
            .collect(),
    }
}

/// The heights month by month, and how much higher each stands than the first.
fn by_month(designs: &[Design<'_>], differences: &[Vec<Interval>], units: Units) -> Table {
    let forecasts: Vec<&Forecast> = designs.iter().map(|design| design.forecast).collect();
    let names = names(designs);
    let last = forecasts
        .first()
        .and_then(|first| first.months.last())
        .map_or(0, |row| row.month);
    let step = months::step(last);
    let figure = |height_m: f64| rough_figure(height_m, units);
    let height_m = |forecast: &Forecast, at: usize| {
        let row = forecast.months.get(at);
        row.map_or(0.0, |row| row.height_m)
    };
    let row = |month: u32| {
        let at = usize::try_from(month).unwrap_or(usize::MAX);
        let own = forecasts.iter().map(|forecast| {
            let band = forecast.intervals.get(at).map(|bands| bands.height_m);
            ranged(height_m(forecast, at), band.as_ref(), &figure)
        });
        let first_m = forecasts.first().map_or(0.0, |first| height_m(first, at));
        let others = forecasts.iter().skip(1).enumerate();
        let less = others.map(|(other, forecast)| {
            let band = differences.get(other).and_then(|bands| bands.get(at));
            let expected_m = height_m(forecast, at) - first_m;
            let mean_m = band.map_or(expected_m, |band| band.mean);
            ranged(mean_m, band, &figure)
        });
        Row {
            head: month.to_string(),
            cells: own.chain(less).collect(),
        }
    };
    let shown = (0..=last).filter(|month| month % step == 0 || *month == last);
    Table {
        id: "months".to_owned(),
        class: "months",
        caption: format!(
            "Heights above the ground in {}, so many months after filling: what to expect, \
             and in brackets where 8 in 10 such beds lie.",
            unit(units)
        ),
        headings: headings("Month", &names),
        rows: shown.map(row).collect(),
    }
}

/// "31 (26 to 38)"; the figure alone where there is no interval, or none that shows.
fn ranged(middle: f64, band: Option<&Interval>, figure: &dyn Fn(f64) -> String) -> String {
    let figure = |value: f64| unsigned_zero(figure(value));
    let told = figure(middle);
    let Some(band) = band else {
        return told;
    };
    let range = from_to(&figure(band.lower), &figure(band.upper));
    if range == told {
        told
    } else {
        format!("{told} ({range})")
    }
}

/// A formatter of positive figures, for either sign.
fn of_sign(value: f64, figure: &dyn Fn(f64) -> String) -> String {
    if value < 0.0 {
        format!("-{}", figure(-value))
    } else {
        figure(value)
    }
}

/// With what it was made.
fn made(comparison: &Comparison) -> String {
    format!(
        "moulder {}, form {} of its comparisons, {} months, {} runs of each from seed {}. The same bed \
         files and the same version make the same page to the letter.",
        comparison.engine,
        comparison.schema,
        comparison.months,
        comparison.ensemble_size,
        comparison.seed
    )
}

/// All that the template needs.
#[derive(Template)]
#[template(path = "comparison.html")]
struct Page {
    style: String,
    designs: Vec<Told>,
    sentences: Vec<String>,
    sides: Table,
    topped_up: Option<String>,
    sure: String,
    pictures: Vec<Picture>,
    before: Vec<Caution>,
    months: Table,
    materials: Vec<Sourced>,
    backing: Vec<Backing>,
    counted: String,
    climates: Vec<String>,
    made: String,
}

#[cfg(test)]
mod tests {
    use super::{ranged, unsigned_zero};
    use moulder::Interval;

    #[test]
    fn a_range_stands_behind_its_figure() {
        let band = |low, high| Interval {
            lower: low,
            upper: high,
            ..Interval::known(0.0)
        };
        let figure = |value: f64| format!("{value:.0}");
        assert_eq!(
            ranged(-3.0, Some(&band(-5.2, 0.9)), &figure),
            "-3 (-5 to 1)"
        );
        assert_eq!(ranged(2.0, Some(&band(1.9, 2.1)), &figure), "2");
        assert_eq!(ranged(-0.2, None, &figure), "0");
        assert_eq!(unsigned_zero("-0.5".to_owned()), "-0.5");
    }
}

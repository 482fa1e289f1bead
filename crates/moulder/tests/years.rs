//! Year-to-year variability: the regressions behind it, recomputed from the station records,
//! and sampled years compared with those records.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "the stations' test uses the rest of the records; a test fails by panicking"
)]

mod records;

use jiff::ToSpan as _;
use jiff::civil::{Date, date};
use moulder::internals::library::Library;
use moulder::internals::model::weather::{
    MONTH_RAIN, MONTH_WARMTH, RAIN_BY_DRYNESS, WARMTH_BY_RANGE, WARMTH_BY_SEASON, WARMTH_MEMORY,
    WeatherSource, lay_out,
};
use moulder::internals::read::read_toml;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::sample::Sample;
use records::{Record, YEARLY, mean_of};

/// A record with this many figures of its poorest month has enough years for the standard
/// deviation of whole years.
const LONG: usize = 25;

/// A figure for each of some months, by number since the year 0.
type Months = Vec<(i32, f64)>;

/// Monthly figures of a place, observed or sampled.
struct Place {
    name: &'static str,
    mean_c: Months,
    rain_mm: Months,
}

/// Every record by years and months, all of its years.
fn records() -> Vec<(Place, usize)> {
    let read = |(name, text, _, poorest): &(&'static str, &str, _, usize)| {
        let record = Record::read(text);
        let [year, month, high, low, rain] =
            ["year", "month", "high_c", "low_c", "rain_mm"].map(|name| record.column(name));
        let (mut mean_c, mut rain_mm) = (Vec::new(), Vec::new());
        for row in &record.rows {
            let number = 12.0 * row[year].unwrap() + row[month].unwrap() - 1.0;
            let number = whole(number);
            if let Some((high, low)) = row[high].zip(row[low]) {
                mean_c.push((number, f64::midpoint(high, low)));
            }
            rain_mm.extend(row[rain].map(|mm| (number, mm)));
        }
        let place = Place {
            name,
            mean_c,
            rain_mm,
        };
        (place, *poorest)
    };
    YEARLY.iter().map(read).collect()
}

#[allow(clippy::cast_possible_truncation, reason = "a whole number of months")]
fn whole(number: f64) -> i32 {
    number.round() as i32
}

fn long_records() -> Vec<Place> {
    let long = records()
        .into_iter()
        .filter(|(_, poorest)| *poorest >= LONG);
    long.map(|(place, _)| place).collect()
}

/// The figures of one month of the year, 0 for January.
fn of_month(months: &Months, month: i32) -> Vec<f64> {
    let of = months.iter().filter(|(number, _)| number % 12 == month);
    of.map(|(_, figure)| *figure).collect()
}

fn means(months: &Months) -> [f64; 12] {
    core::array::from_fn(|month| mean_of(&of_month(months, i32::try_from(month).unwrap())))
}

/// Sample variance.
fn variance(figures: &[f64]) -> f64 {
    let mean = mean_of(figures);
    let squares: f64 = figures.iter().map(|x| (x - mean) * (x - mean)).sum();
    squares / (count(figures) - 1.0)
}

fn count(figures: &[f64]) -> f64 {
    f64::from(u32::try_from(figures.len()).unwrap())
}

fn variances(months: &Months) -> [f64; 12] {
    core::array::from_fn(|month| variance(&of_month(months, i32::try_from(month).unwrap())))
}

/// Standard deviation over some months of the year.
fn stray(months: &Months, of: &[usize]) -> f64 {
    let all = variances(months);
    mean_of(&of.iter().map(|month| all[*month]).collect::<Vec<_>>()).sqrt()
}

/// The same of rain, relative to the mean.
fn rain_stray(months: &Months) -> f64 {
    let squares = means(months).iter().map(|mean| mean * mean).sum::<f64>();
    (variances(months).iter().sum::<f64>() / squares).sqrt()
}

/// Correlation of deviations with those of the month before.
fn from_month_to_month(months: &Months) -> f64 {
    let means = means(months);
    let strayed = |(number, figure): &(i32, f64)| {
        let month = usize::try_from(number % 12).unwrap();
        figure - means[month]
    };
    let squares: Vec<f64> = months.iter().map(|at| strayed(at) * strayed(at)).collect();
    let pairs = months.windows(2).filter(|pair| pair[1].0 == pair[0].0 + 1);
    let products: Vec<f64> = pairs
        .map(|pair| strayed(&pair[0]) * strayed(&pair[1]))
        .collect();
    mean_of_many(&products) / mean_of_many(&squares)
}

fn mean_of_many(figures: &[f64]) -> f64 {
    figures.iter().sum::<f64>() / count(figures)
}

/// Means of whole years.
fn years(months: &Months) -> Vec<f64> {
    let mut means = Vec::new();
    for year in months.chunk_by(|a, b| a.0 / 12 == b.0 / 12) {
        let figures: Vec<f64> = year.iter().map(|(_, figure)| *figure).collect();
        if figures.len() == 12 {
            means.push(mean_of(&figures));
        }
    }
    means
}

/// Weighted least squares: the coefficients of some columns.
fn line<const N: usize>(rows: &[([f64; N], f64, f64)]) -> [f64; N] {
    let mut sums = [[0.0; N]; N];
    let mut right = [0.0; N];
    for (columns, figure, weight) in rows {
        for i in 0..N {
            for j in 0..N {
                sums[i][j] += weight * columns[i] * columns[j];
            }
            right[i] += weight * columns[i] * figure;
        }
    }
    // Gauss-Jordan; the columns are few and well conditioned.
    for i in 0..N {
        let pivot = sums[i][i];
        sums[i].iter_mut().for_each(|x| *x /= pivot);
        right[i] /= pivot;
        let (row, at) = (sums[i], right[i]);
        for k in (0..N).filter(|k| *k != i) {
            let factor = sums[k][i];
            for (x, own) in sums[k].iter_mut().zip(row) {
                *x -= factor * own;
            }
            right[k] -= factor * at;
        }
    }
    right
}

fn range(means: &[f64; 12]) -> f64 {
    let warmest = means.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    warmest - means.iter().copied().fold(f64::INFINITY, f64::min)
}

#[track_caller]
fn near(found: f64, stated: f64, within: f64) {
    assert!((found - stated).abs() <= within, "{found}, {stated} stated");
}

/// The regression of temperature: standard deviation of each station's months on its annual
/// range and on how warm the month is for the year, weighted by the station's number of
/// figures.
#[test]
fn the_line_of_warmth_comes_from_the_records() {
    let mut rows = Vec::new();
    for (place, _) in records() {
        let (means, variances) = (means(&place.mean_c), variances(&place.mean_c));
        let (range, year) = (range(&means), mean_of(&means));
        let weight = f64::from(u32::try_from(place.mean_c.len()).unwrap());
        for (mean, variance) in means.into_iter().zip(variances) {
            rows.push(([1.0, range, mean - year], variance.sqrt(), weight));
        }
    }
    assert_eq!(rows.len(), 17 * 12);
    let [least, by_range, by_season] = line(&rows);
    near(least, MONTH_WARMTH.best, 0.005);
    near(by_range, WARMTH_BY_RANGE.best, 0.0005);
    near(-by_season, WARMTH_BY_SEASON.best, 0.0005);
}

/// The regression of rain: standard deviation on the annual mean in degC over metres of rain.
#[test]
fn the_line_of_rain_comes_from_the_records() {
    let mut rows = Vec::new();
    for (place, _) in records() {
        let rain_m = means(&place.rain_mm).iter().sum::<f64>() / 1000.0;
        let dryness = mean_of(&means(&place.mean_c)) / rain_m;
        let weight = f64::from(u32::try_from(place.mean_c.len()).unwrap());
        rows.push(([1.0, dryness], rain_stray(&place.rain_mm), weight));
    }
    let [least, by_dryness] = line(&rows);
    near(least, MONTH_RAIN.best, 0.005);
    near(by_dryness, RAIN_BY_DRYNESS.best, 0.00005);
}

/// The share of earlier months that gives the records' correlation, weighted by their months;
/// rain has almost none.
#[test]
fn the_memory_comes_from_the_records() {
    let (mut warmth, mut rain, mut weights) = (0.0, 0.0, 0.0);
    for (place, _) in records() {
        let weight = f64::from(u32::try_from(place.mean_c.len()).unwrap());
        warmth += weight * from_month_to_month(&place.mean_c);
        rain += weight * from_month_to_month(&place.rain_mm);
        weights += weight;
    }
    let share = WARMTH_MEMORY.best;
    let (mut products, mut squares) = (share, 1.0);
    for ago in 1..=12 {
        let ago = f64::from(ago);
        squares += share * share / (ago * ago);
        if ago < 12.0 {
            products += share * share / (ago * (ago + 1.0));
        }
    }
    near(warmth / weights, products / squares, 0.002);
    assert!((rain / weights).abs() < 0.08, "{}", rain / weights);
}

/// Sampled years of a place: deviations of months from those of the nominal run, added to its
/// means.
fn drawn(name: &'static str) -> Place {
    let text = format!(
        "format = 1\nfilled = 2001-01-01\nclimate = \"{name}\"\n[bed]\nshape = \"round\"\n\
         across = \"1 m\"\nrim = \"50 cm\"\n[[layer]]\n\
         put = [{{ material = \"loamy topsoil\", amount = \"45 cm\" }}]\n"
    );
    let bed = read_toml(&text, &Library::built_in()).unwrap();
    let (uncertain, first) = (UncertainParameters::new(&bed), date(2001, 1, 1));
    let days = 20 * 365 + 5;
    let normal = lay_out(bed.climate(), first, days, 1);
    let (mut mean_c, mut rain_mm) = (Vec::new(), Vec::new());
    for number in 0..40_u16 {
        let sample = Sample::new(&bed, &uncertain, 1, u32::from(number));
        let weather = WeatherSource::of(bed.climate()).lay_out_years(first, days, sample.figures());
        // Samples follow one another with a year between them.
        let from = 12 * 100 * i32::from(number);
        let mut on: Date = first;
        let mut days = weather.days().iter().zip(normal.days());
        for month in from..from + 240 {
            let length = usize::from(on.days_in_month().unsigned_abs());
            let of: Vec<_> = days.by_ref().take(length).collect();
            let warmer: Vec<f64> = of
                .iter()
                .map(|(day, usual)| day.mean_c - usual.mean_c)
                .collect();
            let at = usize::from(on.month().unsigned_abs()) - 1;
            let normal_c = f64::midpoint(bed.climate().high_c[at], bed.climate().low_c[at]);
            mean_c.push((month, normal_c + mean_of(&warmer)));
            rain_mm.push((month, of.iter().map(|(day, _)| day.rain_mm).sum::<f64>()));
            on = on.saturating_add(1.month());
        }
    }
    Place {
        name,
        mean_c,
        rain_mm,
    }
}

/// Standard deviations of a place: months in winter, summer and over the year, whole years; K,
/// then months and whole years of rain relative to the mean.
fn measures(place: &Place) -> [f64; 6] {
    let rain = years(&place.rain_mm);
    [
        stray(&place.mean_c, &[11, 0, 1]),
        stray(&place.mean_c, &[5, 6, 7]),
        stray(&place.mean_c, &[0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]),
        variance(&years(&place.mean_c)).sqrt(),
        rain_stray(&place.rain_mm),
        variance(&rain).sqrt() / mean_of_many(&rain),
    ]
}

/// Sampled years against the eight records of 25 years and more, by season, month and year, of
/// temperature and rain. A standard deviation of thirty years is itself uncertain by 13 %, and
/// no regression fits every place. The whole years of the records include the warming of their
/// time.
#[test]
fn drawn_years_stray_as_those_of_the_records() {
    let mut ratios: [Vec<f64>; 6] = Default::default();
    for seen in long_records() {
        let told = measures(&drawn(seen.name));
        let seen_measures = measures(&seen);
        println!("{:16} seen {seen_measures:.2?} drawn {told:.2?}", seen.name);
        for ((ratios, told), seen) in ratios.iter_mut().zip(told).zip(seen_measures) {
            ratios.push(told / seen);
        }
    }
    for ratios in &mut ratios {
        assert_eq!(ratios.len(), 8);
        ratios.sort_by(f64::total_cmp);
        println!("{ratios:.2?}");
        let middle = f64::midpoint(ratios[3], ratios[4]);
        assert!((0.88..1.13).contains(&middle), "{ratios:?}");
        assert!(ratios[0] > 0.6 && ratios[7] < 1.5, "{ratios:?}");
    }
}

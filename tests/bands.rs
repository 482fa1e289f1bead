//! Prediction intervals: realisations of the uncertain parameters, and their quantiles.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::ops::ControlFlow;
use std::sync::Mutex;

use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Forecast, Month, forecast};
use moulder::internals::library::Library;
use moulder::internals::library::calibration::Calibration;
use moulder::internals::numeric::quantile::of_sorted;
use moulder::internals::read::read_toml;
use moulder::internals::text::limit::SAMPLES_LIMIT;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::realisation::months_of_realisation;
use moulder::internals::uncertainty::realisation::months_of_sample;
use moulder::internals::uncertainty::sample::Sample;
use moulder_core::value::Spread;
use support::{demo_bag, demo_box, read};

/// A bed that is quick to run.
fn small_bed() -> Bed {
    read(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n\
         [bed]\nshape = \"round\"\nacross = \"1.2 m\"\nrim = \"50 cm\"\n\
         [[layer]]\nput = [{ material = \"deciduous leaves\", amount = \"300 L\" }]\n\
         [[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"20 cm\" }]\n",
    )
}

fn ensemble_forecast(bed: &Bed, months: u32, count: u32, seed: u64) -> Forecast {
    let draws = Realisations {
        ensemble_size: count,
        seed,
        deeper_than_m: None,
    };
    forecast_with_intervals(bed, months, draws, &unwatched).unwrap()
}

fn truth(
    bed: &Bed,
    uncertain: &UncertainParameters,
    months: u32,
    seed: u64,
    number: u32,
) -> Vec<Month> {
    months_of_sample(&Sample::new(bed, uncertain, seed, number), months).unwrap()
}

/// Realisations from the same prior under other seeds lie within the 80 % interval four times
/// in five: 160 of 200, with standard deviations of 5.7 (binomial) and 5.3 for the ends of an
/// interval of 256 realisations; three of both together are 23.
#[test]
fn four_truths_in_five_lie_within_the_band() {
    const MONTHS: u32 = 3;
    let bed = small_bed();
    let bands = &ensemble_forecast(&bed, MONTHS, 256, 7).intervals[MONTHS as usize];
    let uncertain = UncertainParameters::new(&bed);
    let (mut heights, mut carbon, mut water) = (0, 0, 0);
    for seed in 1000..1200 {
        let months = months_of_realisation(&bed, &uncertain, seed, 0, MONTHS).unwrap();
        let row = &months[MONTHS as usize];
        let is_in = |band: moulder::internals::numeric::interval::Interval, figure: f64| {
            i32::from(band.lower <= figure && figure <= band.upper)
        };
        heights += is_in(bands.height_m, row.height_m);
        carbon += is_in(bands.carbon_kg, row.carbon_kg);
        water += is_in(bands.water_l, row.water_l);
    }
    println!("within the band, of 200: {heights} heights, {carbon} carbon, {water} water");
    for within in [heights, carbon, water] {
        assert!((137..=183).contains(&within), "{within}");
    }
}

/// Quantiles of the usual 64 realisations equal those of 1024 within 8 mm for this bed of half a
/// metre, root mean square over ten seeds: one seed alone would be chance. It is 6 mm.
#[test]
fn the_usual_draws_come_near_a_thousand() {
    const SEEDS: u8 = 10;
    let bed = small_bed();
    let points = |count, seed| {
        let band = ensemble_forecast(&bed, 2, count, seed).intervals[2].height_m;
        [band.lower, band.median, band.upper]
    };
    let many_m = points(1024, 102);
    let mut squares = [0.0; 3];
    for seed in 1..=SEEDS {
        let few_m = points(64, seed.into());
        for ((sum, few_m), many_m) in squares.iter_mut().zip(few_m).zip(many_m) {
            *sum += (few_m - many_m) * (few_m - many_m);
        }
    }
    let off_m = squares.map(|sum: f64| (sum / f64::from(SEEDS)).sqrt());
    println!("64 draws are off by {off_m:?}, 1024 draws {many_m:?}");
    assert!(off_m.iter().all(|off_m| *off_m < 0.008), "{off_m:?}");
    assert!(many_m[2] - many_m[0] > 0.02, "{many_m:?}");
}

/// Intervals of more than two thousand values are counted in bins of a tenth of a
/// millimetre; the quantiles equal the exact ones within a bin, whatever the realisations.
#[test]
fn bins_tell_what_all_figures_tell() {
    const COUNT: u32 = 2100;
    let bed = small_bed();
    let uncertain = UncertainParameters::new(&bed);
    let mut parts_m: Vec<f64> = (0..COUNT)
        .map(|number| {
            let months = months_of_realisation(&bed, &uncertain, 1, number, 1).unwrap();
            months[1].parts.mechanical_m
        })
        .collect();
    parts_m.sort_by(f64::total_cmp);
    let bins = ensemble_forecast(&bed, 1, COUNT, 1).intervals[1].mechanical_m;
    for (share, bins_m) in [(0.1, bins.lower), (0.5, bins.median), (0.9, bins.upper)] {
        let exact_m = of_sorted(&parts_m, share);
        assert!((exact_m - bins_m).abs() < 1e-4, "{exact_m} {bins_m}");
        // Bins give whole tenths of a millimetre, or a fraction of the way between two.
        assert!((exact_m - bins_m).abs() > 0.0, "{exact_m}");
    }
}

/// On the demo beds the nominal run lies within the interval of heights in every month, and
/// every interval has its median between its ends.
#[test]
fn bands_hold_their_middle() {
    for bed in [demo_bag(), demo_box()] {
        let told = ensemble_forecast(&bed, 12, 32, 1);
        assert_eq!((told.ensemble_size, told.seed), (32, Some(1)));
        assert_eq!(told.intervals.len(), told.months.len());
        let json = serde_json::to_value(&told).unwrap();
        let mut seen = 0;
        for month in json["intervals"].as_array().unwrap() {
            for (name, band) in month.as_object().unwrap() {
                let end = |end: &str| band[end].as_f64();
                if let Some(low) = end("lower") {
                    let (middle, high) = (end("median").unwrap(), end("upper").unwrap());
                    assert!(low <= middle && middle <= high, "{name}: {band}");
                    seen += 1;
                }
            }
        }
        assert_eq!(seen, 13 * 27);
        for (row, bands) in told.months.iter().zip(&told.intervals) {
            assert_eq!((row.month, &row.date), (bands.month, &bands.date));
            let band = bands.height_m;
            assert!(
                band.lower < row.height_m && row.height_m < band.upper,
                "{} month {}: {} {band:?}",
                bed.name(),
                row.month,
                row.height_m
            );
        }
        // The initial height matches the given amounts, within some centimetres.
        let start = told.intervals[0].height_m;
        assert!(start.upper - start.lower < 0.1, "{start:?}");
        let schema = serde_json::to_value(schemars::schema_for!(Forecast)).unwrap();
        let validator = jsonschema::validator_for(&schema).unwrap();
        assert!(validator.is_valid(&json));
    }
}

/// The same bytes in one thread and in two, and on every machine: a fixed digest of the bits of
/// the heights. It was taken on x86-64; renew it only when a law, a number or a realisation
/// changes.
#[test]
fn same_draws_same_bytes() {
    const DIGEST: u64 = 0x079e_0a11_3e88_22de;
    let bed = small_bed();
    let in_threads = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let told = pool
            .build()
            .unwrap()
            .install(|| ensemble_forecast(&bed, 3, 40, 5));
        serde_json::to_string(&told).unwrap()
    };
    assert_eq!(in_threads(1), in_threads(2));
    let told = ensemble_forecast(&bed, 3, 40, 5);
    assert_ne!(told.intervals, ensemble_forecast(&bed, 3, 40, 6).intervals);
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for month in &told.intervals {
        let band = month.height_m;
        for byte in [band.lower, band.median, band.upper]
            .map(f64::to_le_bytes)
            .concat()
        {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
    assert_eq!(hash, DIGEST, "{hash:#x}");
}

/// Without realisations there is the nominal run alone; with them rows are the means.
#[test]
fn no_draws_no_bands() {
    let bed = demo_bag();
    let alone = forecast(&bed, 6, &unwatched).unwrap();
    assert_eq!(ensemble_forecast(&bed, 6, 0, 9), alone);
    assert!(alone.intervals.is_empty() && alone.seed.is_none() && alone.ensemble_size == 0);
    let four = ensemble_forecast(&bed, 6, 4, 9);
    for (row, bands) in four.months.iter().zip(&four.intervals) {
        assert!((row.height_m - bands.height_m.mean).abs() < 1e-12);
        assert!((row.carbon_kg - bands.carbon_kg.mean).abs() < 1e-9);
        assert!((row.parts.sum_m() - row.settlement_m).abs() < 1e-9);
    }
}

/// In every realisation a bed only loses carbon, its figures are finite, and its causes add up.
#[test]
fn every_draw_keeps_the_laws() {
    for bed in [demo_bag(), demo_box()] {
        let uncertain = UncertainParameters::new(&bed);
        for number in 0..40 {
            let months = truth(&bed, &uncertain, 12, 3, number);
            let first = &months[0];
            let mut before = first;
            for row in &months {
                assert!(row.height_m.is_finite() && row.height_m > 0.0, "{row:?}");
                assert!(
                    row.water_l > 0.0 && row.nitrogen.mineral_kg >= 0.0,
                    "{row:?}"
                );
                let kept = (row.carbon_kg + row.carbon_released_kg) / first.carbon_kg;
                assert!((kept - 1.0).abs() < 1e-9, "{number}: {kept}");
                assert!(
                    (row.parts.sum_m() - row.settlement_m).abs() < 1e-9,
                    "{number}"
                );
                assert!(row.carbon_released_kg >= before.carbon_released_kg - 1e-9);
                before = row;
            }
        }
    }
}

/// Wood and weather: the uncertainty common to all woods moves two woods together, and each
/// realisation has its own years.
#[test]
fn woods_stray_together_and_years_apart() {
    let bed = read(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n\
         [bed]\nshape = \"box\"\nwidth = \"1 m\"\nlength = \"1 m\"\nrim = \"60 cm\"\n\
         [[layer]]\nput = [{ material = \"beech log\", amount = \"30 cm\" }]\n\
         [[layer]]\nput = [{ material = \"spruce log\", amount = \"30 cm\" }]\n",
    );
    let uncertain = UncertainParameters::new(&bed);
    let rate = |number: u32, layer: usize| {
        let sample = Sample::new(&bed, &uncertain, 11, number);
        let material = &sample.bed().layers()[layer].put[0].material;
        moulder_core::math::elementary::ln(material.pools[0].rates[0].rate.best)
    };
    let pairs: Vec<(f64, f64)> = (0..512).map(|n| (rate(n, 0), rate(n, 1))).collect();
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / 512.0;
    let (beech, spruce) = (mean(&|pair| pair.0), mean(&|pair| pair.1));
    let both = mean(&|pair| (pair.0 - beech) * (pair.1 - spruce));
    let beech_sd = mean(&|pair| (pair.0 - beech) * (pair.0 - beech)).sqrt();
    let spruce_sd = mean(&|pair| (pair.1 - spruce) * (pair.1 - spruce)).sqrt();
    // Priors of the library: 0.45 for a named hardwood, 0.60 for a named softwood, half of the
    // variance in common, which the calibration narrows. The standard error of a correlation at
    // 512 realisations is 0.04.
    let kept = Calibration::kept().of_family("rate", "wood").unwrap();
    let common = 0.5 * kept.sd * kept.sd;
    let narrower = (common + 0.5).sqrt();
    assert!(narrower < 0.95, "{narrower}");
    let off = beech_sd / (0.45 * narrower) - 1.0;
    assert!(off.abs() < 0.1, "{beech_sd}");
    let off = spruce_sd / (0.60 * narrower) - 1.0;
    assert!(off.abs() < 0.1, "{spruce_sd}");
    let correlation = both / (beech_sd * spruce_sd);
    let expected = common / (common + 0.5);
    assert!((correlation - expected).abs() < 0.1, "{correlation}");
    let warmth = |number| truth(&bed, &uncertain, 1, 11, number)[1].root_zone_c;
    assert!((warmth(0) - warmth(1)).abs() > 1e-3);
}

/// A mound that is nearly full has intervals as well: what exceeds its capacity was not put in.
#[test]
fn a_full_mound_has_bands() {
    let mound = read(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n\
         [bed]\nshape = \"mound\"\nwidth = \"1.2 m\"\nlength = \"2 m\"\nslope = \"45 deg\"\n\
         [[layer]]\nput = [{ material = \"birch log\", amount = \"30 cm\" }]\n\
         [[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"29 cm\" }]\n",
    );
    let told = ensemble_forecast(&mound, 2, 24, 1);
    let bands = &told.intervals[2];
    assert!(bands.below_rim_m.is_none() && bands.chance_deeper.is_none());
    assert!(bands.height_m.lower < bands.height_m.upper);
}

#[test]
fn progress_is_reported_every_realisation_and_may_stop_the_ensemble() {
    let draws = Realisations {
        ensemble_size: 40,
        ..Realisations::default()
    };
    let seen = Mutex::new(Vec::new());
    let stops = |done: u32, of: u32| {
        seen.lock().unwrap().push((done, of));
        if done >= 3 {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    };
    let error = forecast_with_intervals(&small_bed(), 1, draws, &stops).unwrap_err();
    assert_eq!(error, Error::Stopped);
    let seen = seen.into_inner().unwrap();
    assert_eq!(seen[0], (0, 40));
    // Once per realisation, and at most one more in each thread after the stop.
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    assert!((4..=4 + threads).contains(&seen.len()), "{seen:?}");
    let asked = SAMPLES_LIMIT + 1;
    let many = Realisations {
        ensemble_size: asked,
        ..Realisations::default()
    };
    let error = forecast_with_intervals(&small_bed(), 1, many, &unwatched).unwrap_err();
    assert_eq!(error, Error::TooManyDraws { asked });
}

/// The probability of a depth is the share of realisations below it: near zero far above the
/// interval, near one far below it, and about a half at its median.
#[test]
fn the_chance_of_a_depth() {
    let bed = small_bed();
    let middle_m = ensemble_forecast(&bed, 2, 50, 1).intervals[2]
        .below_rim_m
        .unwrap()
        .median;
    let chance = |deeper_than_m: f64| {
        let draws = Realisations {
            ensemble_size: 50,
            seed: 1,
            deeper_than_m: Some(deeper_than_m),
        };
        let told = forecast_with_intervals(&bed, 2, draws, &unwatched).unwrap();
        told.intervals[2].chance_deeper.unwrap()
    };
    assert!((chance(middle_m) - 0.5).abs() < 1e-12);
    assert!(chance(middle_m - 0.5) > 0.99 && chance(middle_m + 0.5) < 0.01);
}

/// Branches of 1.5 cm and logs of 7 cm of 22 species on the ground near Sydney, means of an open
/// survey (repository Zanne-Lab/communityVchemistry; read): share of the mass left after 7, 13,
/// 25, 37 and 59 months. No rate is fitted to it. The branches were cut to length, without the
/// leafy tips of prunings; the bed stands for the forest floor. Where the middle lies is printed.
#[test]
fn the_survey_of_sydney_lies_in_the_bands() {
    const MONTHS: [usize; 5] = [7, 13, 25, 37, 59];
    let library = Library::built_in();
    let prunings = library.find_material("woody prunings").unwrap();
    let mut branch = prunings.derived("bare branch", "woody prunings without leafy tips");
    branch.pools.retain(|pool| pool.name == "wood");
    branch.pools[0].share.best = 1.0;
    branch.pools[0].share.spread = Spread::new(1.0, 1.0);
    let library = library.with(branch).unwrap();
    for (material, across, seen) in [
        ("bare branch", "1.5 cm", [0.933, 0.841, 0.628, 0.465, 0.240]),
        ("hardwood log", "7 cm", [0.961, 0.915, 0.718, 0.557, 0.368]),
    ] {
        let text = format!(
            "format = 1\nfilled = 2026-08-01\nclimate = \"Sydney AU\"\n[bed]\nshape = \"box\"\n\
             width = \"2 m\"\nlength = \"2 m\"\nrim = \"30 cm\"\n[[layer]]\nput = [{{ material = \
             \"{material}\", amount = \"20 cm\", across = \"{across}\" }}]\n"
        );
        let bed = read_toml(&text, &library).unwrap();
        let uncertain = UncertainParameters::new(&bed);
        let left: Vec<Vec<f64>> = (0..100)
            .map(|number| {
                let rows = months_of_realisation(&bed, &uncertain, 1, number, 59).unwrap();
                let wood_kg = |month: usize| rows[month].layers[0].wood_carbon_kg;
                MONTHS.map(|month| wood_kg(month) / wood_kg(0)).to_vec()
            })
            .collect();
        for (place, (month, seen)) in MONTHS.iter().zip(seen).enumerate() {
            let mut all: Vec<f64> = left.iter().map(|left| left[place]).collect();
            all.sort_by(f64::total_cmp);
            let (low, middle, high) = (all[9], 0.5 * (all[49] + all[50]), all[90]);
            println!("{material}, month {month}: {low:.3} {middle:.3} {high:.3}, seen {seen}");
            assert!((low..=high).contains(&seen), "{material}, month {month}");
        }
    }
}

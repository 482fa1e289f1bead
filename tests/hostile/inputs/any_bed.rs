//! Valid beds made of bytes: every figure somewhere in its range, often at an end.

use std::fmt::Display;
use std::sync::LazyLock;

use arbitrary::{Arbitrary, Result, Unstructured};
use moulder::internals::bed::document::{
    AddedDocument, BedDocument, ClimateDocument, Cover, Evapotranspiration, FedDocument,
    LayerDocument, OutlineDocument, OwnClimateDocument, PutDocument, ReadingDocument, ShapeName,
    Then, WaterDocument, WeatherDocument,
};
use moulder::internals::bed::{Amount, Bed, Boards, Placement, StandsOn};
use moulder::internals::library::crop::Crop;
use moulder::internals::quantity::units::Units;
use moulder_core::math::elementary::pow;

use super::{SHELF, STATIONS};

static MATERIALS: LazyLock<Vec<&str>> = LazyLock::new(|| {
    SHELF
        .materials()
        .map(|material| material.name.as_str())
        .collect()
});
static PLACES: LazyLock<Vec<&str>> = LazyLock::new(|| {
    let stations = STATIONS.stations();
    stations
        .map(|station| station.climate.name.as_str())
        .collect()
});

/// A bed as a program would build it.
#[derive(Debug)]
pub(super) struct AnyBed(pub(super) BedDocument);

impl<'a> Arbitrary<'a> for AnyBed {
    fn arbitrary(bytes: &mut Unstructured<'a>) -> Result<Self> {
        document(bytes).map(Self)
    }
}

/// A checked bed has every figure within its range.
pub(super) fn sound(bed: &Bed) {
    assert!((1..=moulder::internals::text::limit::LAYERS).contains(&bed.layers().len()));
    assert!((1..=10_000).contains(&bed.count()));
    assert!((1900..=2200).contains(&bed.filled().year()));
    let area_m2 = bed.shape().area_m2();
    assert!(area_m2.is_finite() && area_m2 > 0.0);
    let put = bed.layers().iter().flat_map(|layer| &layer.put);
    let added = bed.additions().iter().map(|added| &added.ingredient);
    for ingredient in put.chain(added) {
        let (Amount::VolumeM3(amount)
        | Amount::ThicknessM(amount)
        | Amount::WetMassKg(amount)
        | Amount::DryMassKg(amount)) = ingredient.amount;
        let share = 0.0..1.0;
        assert!(amount.is_finite() && amount > 0.0);
        assert!(share.contains(&ingredient.moisture_wet) && share.contains(&ingredient.rotten));
        assert!(ingredient.particle_size_m.is_finite() && ingredient.particle_size_m > 0.0);
    }
    let days = bed.additions().iter().map(|added| added.on);
    assert!(days.is_sorted() && bed.readings().is_sorted_by_key(|reading| reading.on));
}

/// A number from `low` to `high`: one in four at either end, else anywhere, by its logarithm if
/// it is positive. To four places.
fn between(bytes: &mut Unstructured<'_>, low: f64, high: f64) -> Result<f64> {
    let kind: u8 = bytes.arbitrary()?;
    let share = f64::from(bytes.arbitrary::<u16>()?) / f64::from(u16::MAX);
    let value = match kind % 8 {
        0 => low,
        1 => high,
        2 => low + share * (high - low),
        _ if low > 0.0 => low * pow(high / low, share),
        _ => low + share * (high - low),
    };
    Ok(((value * 1e4).round() / 1e4).clamp(low, high))
}

fn quantity(bytes: &mut Unstructured<'_>, low: f64, high: f64, unit: &str) -> Result<String> {
    between(bytes, low, high).map(|value| format!("{value} {unit}"))
}

/// Nothing, or a value made of the bytes.
fn maybe<'a, T>(
    bytes: &mut Unstructured<'a>,
    make: impl FnOnce(&mut Unstructured<'a>) -> Result<T>,
) -> Result<Option<T>> {
    if bytes.ratio(1_u8, 4)? {
        make(bytes).map(Some)
    } else {
        Ok(None)
    }
}

/// A count, mostly small.
fn several<'a, T>(
    bytes: &mut Unstructured<'a>,
    least: usize,
    most: usize,
    make: impl Fn(&mut Unstructured<'a>) -> Result<T>,
) -> Result<Vec<T>> {
    let few = most.min(least + 1);
    let most = if bytes.ratio(1_u8, 32)? { most } else { few };
    let count = bytes.int_in_range(least..=most)?;
    (0..count).map(|_| make(bytes)).collect()
}

fn shown(value: impl Display) -> String {
    value.to_string()
}

fn document(bytes: &mut Unstructured<'_>) -> Result<BedDocument> {
    let year = *bytes.choose(&[1900, 1999, 2024, 2026, 2200])?;
    let filled = (
        year,
        bytes.int_in_range(1..=12)?,
        bytes.int_in_range(1..=28)?,
    );
    // Days after it are given by months and days of later years.
    let day = |(year, month, day): (i32, u8, u8)| format!("{year}-{month:02}-{day:02}");
    let later = move |bytes: &mut Unstructured<'_>| -> Result<String> {
        let (year, month, date) = filled;
        Ok(match bytes.int_in_range(0..=3_u8)? {
            0 => day(filled),
            1 => day((year, month, bytes.int_in_range(date..=28)?)),
            2 if month < 12 => day((year, month + 1, bytes.int_in_range(1..=28)?)),
            _ => day(((year + 1).min(2200), 12, 28)),
        })
    };
    let shape = *bytes.choose(&[
        ShapeName::Box,
        ShapeName::Round,
        ShapeName::Bag,
        ShapeName::Mound,
    ])?;
    let bed = outline(bytes, shape)?;
    let is_mound = shape == ShapeName::Mound;
    Ok(BedDocument {
        format: 1,
        name: None,
        filled: day(filled),
        climate: climate(bytes)?,
        units: maybe(bytes, |bytes| {
            bytes
                .choose(&[Units::Metric, Units::Us, Units::UkGarden])
                .copied()
        })?,
        count: maybe(bytes, |bytes| bytes.int_in_range(1..=10_000))?,
        bed,
        measures: [("bucket".to_owned(), "14 L".to_owned())].into(),
        layer: several(bytes, 1, 40, layer)?,
        weather: maybe(bytes, |bytes| {
            let laws = [Evapotranspiration::Fao56, Evapotranspiration::Hargreaves];
            Ok(WeatherDocument {
                file: None,
                evapotranspiration: maybe(bytes, |bytes| bytes.choose(&laws).copied())?,
            })
        })?,
        water: maybe(bytes, water)?,
        crop: maybe(bytes, |bytes| {
            bytes
                .choose(&[Crop::Hungry, Crop::Modest, Crop::None])
                .copied()
        })?,
        fed: several(bytes, 0, 4, |bytes| {
            Ok(FedDocument {
                on: later(bytes)?,
                nitrogen: quantity(bytes, 0.1, 1e5, "g")?,
                feed: Some(quantity(bytes, 1e-3, 100.0, "%")?),
            })
        })?,
        seen: Vec::new(),
        reading: several(bytes, 0, 4, |bytes| {
            let height = quantity(bytes, 0.0, 7.0, "m")?;
            let is_below = !is_mound && bytes.arbitrary()?;
            Ok(ReadingDocument {
                on: later(bytes)?,
                below_rim: is_below.then(|| "1 cm".to_owned()),
                height: (!is_below).then_some(height),
                give_or_take: maybe(bytes, |bytes| quantity(bytes, 0.0, 0.5, "m"))?,
                note: None,
            })
        })?,
        added: several(bytes, 0, 4, |bytes| {
            let put = put(bytes)?;
            Ok(AddedDocument {
                on: later(bytes)?,
                material: put.material,
                amount: put.amount,
                measured: put.measured,
                across: put.across,
                moisture: put.moisture,
                arrived: put.arrived,
                note: None,
            })
        })?,
    })
}

fn outline(bytes: &mut Unstructured<'_>, shape: ShapeName) -> Result<OutlineDocument> {
    let is_round = shape == ShapeName::Round;
    let is_mound = shape == ShapeName::Mound;
    let is_boarded = matches!(shape, ShapeName::Box | ShapeName::Round);
    let across = quantity(bytes, 0.1, 50.0, "m")?;
    let length = quantity(bytes, 0.1, 200.0, "m")?;
    let rim = quantity(bytes, 0.05, 5.0, "m")?;
    Ok(OutlineDocument {
        shape,
        width: (!is_round).then(|| across.clone()),
        length: (!is_round).then_some(length),
        across: is_round.then_some(across),
        rim: (!is_mound).then_some(rim),
        trench: maybe(bytes, |bytes| quantity(bytes, 0.0, 2.0, "m"))?,
        bulged: if shape == ShapeName::Bag {
            maybe(bytes, |bytes| quantity(bytes, 0.0, 100.0, "%"))?
        } else {
            None
        },
        slope: if is_mound {
            maybe(bytes, |bytes| quantity(bytes, 10.0, 80.0, "deg"))?
        } else {
            None
        },
        stands_on: maybe(bytes, |bytes| {
            let all = [StandsOn::Ground, StandsOn::Deck, StandsOn::Roof];
            bytes.choose(&all).copied()
        })?,
        near_wall: maybe(bytes, Unstructured::arbitrary)?,
        boards: if is_boarded {
            maybe(bytes, |bytes| {
                bytes
                    .choose(&[Boards::Treated, Boards::Tarred, Boards::None])
                    .copied()
            })?
        } else {
            None
        },
    })
}

fn climate(bytes: &mut Unstructured<'_>) -> Result<ClimateDocument> {
    if bytes.ratio(1_u8, 2)? {
        let place = bytes.choose(&PLACES)?;
        return Ok(ClimateDocument::Place(shown(place)));
    }
    let latitude = between(bytes, -90.0, 90.0)?;
    let is_even = bytes.arbitrary()?;
    let (mut high, mut low, mut rain) = (Vec::new(), Vec::new(), Vec::new());
    for month in 0..12 {
        if is_even && month > 0 {
            high.push(high[0]);
            low.push(low[0]);
            rain.push(rain[0]);
            continue;
        }
        let pair = [between(bytes, -60.0, 60.0)?, between(bytes, -60.0, 60.0)?];
        high.push(pair[0].max(pair[1]));
        low.push(pair[0].min(pair[1]));
        rain.push(between(bytes, 0.0, 3000.0)?);
    }
    Ok(ClimateDocument::Own(OwnClimateDocument {
        name: None,
        latitude,
        high,
        low,
        rain,
    }))
}

fn layer(bytes: &mut Unstructured<'_>) -> Result<LayerDocument> {
    let mut then = Vec::new();
    for done in [Then::Compacted, Then::Wetted] {
        then.extend(maybe(bytes, |_| Ok(done))?);
    }
    Ok(LayerDocument {
        name: None,
        grows: maybe(bytes, Unstructured::arbitrary)?,
        put: several(bytes, 1, 20, put)?,
        then,
    })
}

fn put(bytes: &mut Unstructured<'_>) -> Result<PutDocument> {
    let material = shown(bytes.choose(&MATERIALS)?);
    let (amount, is_weight) = match bytes.int_in_range(0..=9_u8)? {
        0 => (quantity(bytes, 1e-4, 5e6, "L")?, false),
        1 => (quantity(bytes, 1e-4, 5e6, "kg")?, true),
        2 => (quantity(bytes, 1e-4, 5e6, "kg dry")?, true),
        3 => (quantity(bytes, 0.01, 40.0, "buckets")?, false),
        4 => (quantity(bytes, 1e-3, 3.0, "m")?, false),
        // Mostly thin, for speed.
        _ => (quantity(bytes, 1.0, 12.0, "cm")?, false),
    };
    let states = [Placement::Loose, Placement::Compacted, Placement::Wetted];
    Ok(PutDocument {
        material,
        amount,
        measured: if is_weight {
            None
        } else {
            maybe(bytes, |bytes| bytes.choose(&states).copied())?
        },
        across: maybe(bytes, |bytes| quantity(bytes, 0.5, 2000.0, "mm"))?,
        moisture: maybe(bytes, |bytes| {
            if bytes.arbitrary()? {
                return quantity(bytes, 0.0, 95.0, "%");
            }
            bytes.choose(&["fresh", "dry", "wet"]).map(shown)
        })?,
        arrived: maybe(bytes, |bytes| quantity(bytes, 0.0, 90.0, "% rotten"))?,
    })
}

fn water(bytes: &mut Unstructured<'_>) -> Result<WaterDocument> {
    Ok(WaterDocument {
        irrigation: maybe(bytes, |bytes| quantity(bytes, 0.0, 1e4, "L"))?,
        from: maybe(bytes, |bytes| bytes.int_in_range(1..=12))?,
        to: maybe(bytes, |bytes| bytes.int_in_range(1..=12))?,
        cover: maybe(bytes, |bytes| {
            bytes
                .choose(&[Cover::Open, Cover::Fleece, Cover::Sheet])
                .copied()
        })?,
    })
}

//! A bed file read back: the bed as it is understood.

use moulder::Date;
use moulder::internals::bed::{
    Amount, Bed, Boards, EditBed as _, Firmness, Irrigation, Layer, Placement, StandsOn,
};
use moulder::internals::fault::error::Error;
use moulder::internals::fault::notice::{DefaultUsed, Notice};
use moulder::internals::forecast::calendar::month_day;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Forecast, Month, forecast};
use moulder::internals::library::climates::Climate;
use moulder::internals::library::crop::Crop;
use moulder::internals::model::mixture::{Mixture, Mixtures};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder_core::bed::shape::Shape;
use serde::Serialize;

/// A bed on the day of its filling.
#[derive(Debug)]
pub struct Checked {
    /// The bed on that day, without what is laid on later.
    pub forecast: Forecast,
    /// Water and nitrogen of what is mixed.
    pub mixtures: Mixtures,
}

impl Checked {
    /// That of a bed.
    ///
    /// # Errors
    ///
    /// A mound without room for what is laid on it later.
    pub fn of(bed: &Bed) -> Result<Self, Error> {
        // Additions on the day of filling are listed apart; only the cautions take them into
        // account.
        let mut as_filled = bed.clone();
        let next_day = bed.filled().tomorrow().unwrap_or(bed.filled());
        for added in as_filled.edit().additions {
            added.on = added.on.max(next_day);
        }
        let forecast = forecast(&as_filled, 0, &unwatched)?;
        finds_room(bed)?;
        let mixtures = Mixtures::of(bed)?;
        Ok(Self { forecast, mixtures })
    }

    /// The bed on the day of its filling.
    ///
    /// # Panics
    ///
    /// Never: a forecast has its first day.
    #[must_use]
    pub fn filled(&self) -> &Month {
        self.forecast
            .months
            .first()
            .expect("a forecast has its first day")
    }

    /// The answer for programs, with the amounts in the words of the document.
    #[must_use]
    pub fn answer<'a>(
        &'a self,
        bed: &'a Bed,
        amounts: &'a [Vec<String>],
        defaults: &'a [DefaultUsed],
    ) -> Answer<'a> {
        Answer {
            bed: Understood::of(bed, self.filled(), &self.mixtures, amounts),
            notices: &self.forecast.notices,
            defaults,
        }
    }
}

/// Refuses a mound whose sides would meet under a later addition. Between walls there is
/// always space.
fn finds_room(bed: &Bed) -> Result<(), Error> {
    let Some(last) = bed.additions().iter().map(|added| added.on).max() else {
        return Ok(());
    };
    if matches!(bed.shape(), Shape::Mound { .. }) {
        // Additions after the last possible month cannot be checked.
        let month = (0..MONTHS_LIMIT).find(|month| month_day(bed.filled(), *month) >= last);
        forecast(bed, month.unwrap_or(MONTHS_LIMIT), &unwatched)?;
    }
    Ok(())
}

/// What a bed is understood to be.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Answer<'a> {
    bed: Understood<'a>,
    notices: &'a [Notice],
    defaults: &'a [DefaultUsed],
}

/// The bed as understood, in metres and kilograms.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Understood<'a> {
    name: &'a str,
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    filled: Date,
    climate: &'a Climate,
    units: Units,
    #[serde(with = "Outline")]
    shape: Shape,
    area_m2: f64,
    rim_m: Option<f64>,
    trench_m: f64,
    stands_on: Option<StandsOn>,
    near_wall: Option<bool>,
    boards: Option<Boards>,
    watering: Option<Irrigation>,
    height_m: f64,
    below_rim_m: Option<f64>,
    total_mass_kg: f64,
    wet_kg_per_m2: f64,
    mixture: &'a Mixture,
    layers: Vec<UnderstoodLayer<'a>>,
    count: u32,
    crop: Crop,
    added: Vec<Added<'a>>,
    fed: Vec<Fed>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Added<'a> {
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    on: Date,
    material: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Fed {
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    on: Date,
    nitrogen_kg: f64,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(remote = "Shape", tag = "shape", rename_all = "lowercase")]
enum Outline {
    Box {
        width_m: f64,
        length_m: f64,
    },
    Round {
        diameter_m: f64,
    },
    Bag {
        width_m: f64,
        length_m: f64,
        bulged: f64,
    },
    Mound {
        width_m: f64,
        length_m: f64,
        slope_deg: f64,
        // The depth of the trench, which stands beside the outline.
        #[serde(skip)]
        upright_m: f64,
    },
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct UnderstoodLayer<'a> {
    name: &'a str,
    grows: bool,
    firmness: Firmness,
    watered: bool,
    thickness_m: f64,
    volume_m3: f64,
    total_mass_kg: f64,
    mixture: Option<&'a Mixture>,
    put: Vec<Put<'a>>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Put<'a> {
    material: &'a str,
    written: Option<&'a String>,
    #[serde(with = "Measured")]
    amount: Amount,
    #[serde(rename = "as")]
    placement: Placement,
    particle_size_m: f64,
    moisture_wet: f64,
    rotten: f64,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(remote = "Amount", rename_all = "snake_case")]
enum Measured {
    VolumeM3(f64),
    ThicknessM(f64),
    #[serde(rename = "total_mass_kg")]
    WetMassKg(f64),
    #[serde(rename = "dry_kg")]
    DryMassKg(f64),
}

impl<'a> Understood<'a> {
    fn of(
        bed: &'a Bed,
        filled: &Month,
        mixtures: &'a Mixtures,
        amounts: &'a [Vec<String>],
    ) -> Self {
        let mut top_m = 0.0;
        let layers = bed.layers().iter().zip(&filled.layers).enumerate();
        let layers = layers.map(|(index, (layer, row))| {
            let bottom_m = top_m;
            top_m += row.thickness_m;
            UnderstoodLayer {
                name: &layer.name,
                grows: layer.grows,
                firmness: layer.firmness,
                watered: layer.watered,
                thickness_m: row.thickness_m,
                volume_m3: bed.shape().volume_m3(bottom_m, top_m),
                total_mass_kg: row.total_mass_kg,
                mixture: mixtures.layers.get(index),
                put: Put::all_of(layer, amounts.get(index).map_or(&[], Vec::as_slice)),
            }
        });
        let layers = layers.collect();
        let added = bed.additions().iter().map(|added| Added {
            on: added.on,
            material: &added.ingredient.material.name,
        });
        let fed = bed.fed().iter().map(|feed| Fed {
            on: feed.on,
            nitrogen_kg: feed.nitrogen_kg,
        });
        Self {
            name: bed.name(),
            filled: bed.filled(),
            climate: bed.climate(),
            units: bed.units(),
            shape: bed.shape(),
            area_m2: bed.shape().area_m2(),
            rim_m: bed.rim_m(),
            trench_m: bed.trench_m(),
            stands_on: bed.stands_on(),
            near_wall: bed.near_wall(),
            boards: bed.boards(),
            watering: bed.irrigation(),
            height_m: filled.height_m,
            below_rim_m: filled.below_rim_m,
            total_mass_kg: filled.total_mass_kg,
            wet_kg_per_m2: filled.total_mass_kg / bed.shape().area_m2(),
            mixture: &mixtures.fill,
            layers,
            count: bed.count(),
            crop: bed.crop(),
            added: added.collect(),
            fed: fed.collect(),
        }
    }
}

impl<'a> Put<'a> {
    /// What was put into a layer, with each amount in the words of the file.
    fn all_of(layer: &'a Layer, written: &'a [String]) -> Vec<Self> {
        let put = layer.put.iter().enumerate();
        put.map(|(index, put)| Self {
            material: &put.material.name,
            written: written.get(index),
            amount: put.amount,
            placement: put.placement,
            particle_size_m: put.particle_size_m,
            moisture_wet: put.moisture_wet,
            rotten: put.rotten,
        })
        .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::finds_room;
    use moulder::internals::bed::Bed;
    use moulder::internals::library::Library;
    use moulder::internals::read::read_toml;

    /// A mound 90 cm high at most, with 40 cm in it and so much added the year after.
    fn mound(added: &str) -> Bed {
        let text = format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
             shape = \"mound\"\nwidth = \"1.8 m\"\nlength = \"4 m\"\nslope = \"45 deg\"\n\
             [[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"40 cm\" }}]\n\
             [[added]]\non = 2027-03-01\nmaterial = \"loamy topsoil\"\namount = \"{added}\"\n"
        );
        let bed = read_toml(&text, &Library::built_in());
        bed.expect("a lawful bed")
    }

    #[test]
    fn what_is_laid_on_a_mound_must_find_room() {
        assert!(finds_room(&mound("10 cm")).is_ok());
        assert!(finds_room(&mound("80 cm")).is_err());
    }
}

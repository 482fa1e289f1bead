//! A bed from a builder, a document or its text, and a checked bed with something more.

use std::sync::Arc;

use jiff::civil::Date;
use moulder_core::bed::shape::Shape;
use serde::Serialize;
use serde_json::Value;

#[cfg(feature = "weather-csv")]
use super::climate_csv::{read_csv, read_record};
use super::field::FILE;
use super::given::Fields;
use super::walk::Walk;
use super::water::SEASONS;
use super::{read_json, read_plan_json, read_plan_toml, read_toml, settle_bed};
use crate::bed::Bed;
use crate::bed::builder::climate_document;
use crate::bed::builder::{Addition, BedBuilder, Irrigation, Reading};
use crate::bed::document::BedDocument;
use crate::bed::plan_request::PlanRequest;
use crate::fault::error::Error;
use crate::fault::{Fault, FaultCode, Faults, Place};
use crate::library::Library;
use crate::library::climates::Climate;
use crate::library::crop::Crop;
use crate::library::weather_record::WeatherRecord;
use crate::quantity::units::Units;
use crate::tree;

impl BedBuilder {
    /// Checks the description and makes a bed of it.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`]: everything that is wrong with it, each fault placed by JSON Pointer in
    /// the [document](Self::document) that it comes to.
    pub fn build(&self) -> Result<Bed, Error> {
        Ok(self.document.check(&self.library)?)
    }
}

impl PlanRequest {
    /// Reads a plan file in TOML.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`], placed by line and column.
    ///
    /// ```
    /// use moulder::{Library, PlanRequest, plan};
    ///
    /// let text = r#"
    ///     format = 1
    ///     filled = 2026-03-14
    ///     climate = "Cambridge UK"
    ///     [bed]
    ///     shape = "round"
    ///     across = "1.2 m"
    ///     rim = "40 cm"
    ///     [wanted]
    ///     after = 6
    ///     [[hand]]
    ///     material = "birch log"
    ///     amount = "200 L"
    ///     [[hand]]
    ///     material = "loamy topsoil"
    ///     amount = "plenty"
    /// "#;
    /// let request = PlanRequest::from_toml(text, &Library::built_in())?;
    /// let plan = plan(&request, &moulder::months::unwatched)?;
    /// assert!((plan.fills[0].stands_m - 0.40).abs() < 0.01);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn from_toml(text: &str, library: &Library) -> Result<Self, Error> {
        Ok(read_plan_toml(text, library)?)
    }

    /// Reads a plan file in JSON.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`], placed by JSON Pointer.
    pub fn from_json(text: &str, library: &Library) -> Result<Self, Error> {
        Ok(read_plan_json(text, library)?)
    }
}

#[cfg(feature = "weather-csv")]
impl Climate {
    /// Reads a climate from a CSV file of months or days: normals of the highs and lows of the
    /// day and of the rain.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`], placed by line and column.
    ///
    /// ```
    /// use moulder::Climate;
    ///
    /// let mut text = "month,high_c,low_c,rain_mm\n".to_owned();
    /// for month in 1..=12 {
    ///     text.push_str(&format!("{month},14,6,50\n"));
    /// }
    /// let climate = Climate::from_csv(&text, "our valley", 52.2)?;
    /// assert_eq!(climate.rain_mm[6], 50.0);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn from_csv(text: &str, name: &str, latitude_deg: f64) -> Result<Self, Error> {
        Ok(read_csv(text, name, latitude_deg)?)
    }
}

#[cfg(feature = "weather-csv")]
impl WeatherRecord {
    /// Reads days from a CSV file, in any order and with gaps: `date,high_c,low_c,rain_mm`, or
    /// `high_f`, `low_f`, `rain_in`.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`], placed by line and column.
    ///
    /// ```
    /// use moulder::{date, filled::WeatherRecord};
    ///
    /// let days = "date,high_c,low_c,rain_mm\n2026-03-14,11.2,3.0,0.4\n2026-03-16,9.0,NA,\n";
    /// let record = WeatherRecord::from_csv(days)?;
    /// assert_eq!(record.last(), date(2026, 3, 16));
    /// assert_eq!(record.on(date(2026, 3, 15)).rain_mm, None);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn from_csv(text: &str) -> Result<Self, Error> {
        Ok(read_record(text)?)
    }
}

impl Bed {
    /// Describes a bed of that outline, filled on that day.
    pub fn builder(shape: Shape, filled: Date) -> BedBuilder {
        BedBuilder::new(shape, filled)
    }

    /// Reads a bed file in TOML.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`]: everything that is wrong with it, placed by line and column.
    ///
    /// ```
    /// use moulder::{Bed, Library};
    ///
    /// let text = r#"
    ///     format = 1
    ///     filled = 2026-03-14
    ///     climate = "Cambridge UK"
    ///     [bed]
    ///     shape = "round"
    ///     across = "1.2 m"
    ///     rim = "50 cm"
    ///     [[layer]]
    ///     put = [{ material = "loamy topsoil", amount = "45 cm" }]
    /// "#;
    /// let bed = Bed::from_toml(text, &Library::built_in())?;
    /// assert_eq!(bed.rim_m(), Some(0.5));
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn from_toml(text: &str, library: &Library) -> Result<Self, Error> {
        Ok(read_toml(text, library)?)
    }

    /// Reads a bed file in JSON.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`], placed by JSON Pointer; a text that is no JSON gives one fault, placed
    /// by line and column.
    pub fn from_json(text: &str, library: &Library) -> Result<Self, Error> {
        Ok(read_json(text, library)?)
    }

    /// Checks a document and makes a bed of it.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`], placed by JSON Pointer.
    pub fn from_document(document: &BedDocument, library: &Library) -> Result<Self, Error> {
        Ok(document.check(library)?)
    }

    /// A small bed for examples and tests: a round bed of woody prunings, leaves and topsoil in
    /// Cambridge, filled in March 2026.
    ///
    /// ```
    /// let bed = moulder::Bed::example();
    /// assert_eq!(bed.layers().len(), 3);
    /// ```
    ///
    /// # Panics
    ///
    /// Never: a test builds it.
    #[must_use]
    pub fn example() -> Self {
        use crate::bed::Amount::ThicknessM;
        use crate::bed::builder::Layer;

        let round = Shape::Round { diameter_m: 1.2 };
        Self::builder(round, jiff::civil::date(2026, 3, 14))
            .name("example bed")
            .rim_m(0.5)
            .climate("Cambridge UK")
            .layer(Layer::of("woody prunings", ThicknessM(0.15)))
            .layer(Layer::of("deciduous leaves", ThicknessM(0.10)))
            .layer(Layer::of("loamy topsoil", ThicknessM(0.20)))
            .build()
            .expect("its materials and its climate are built in")
    }

    /// The bed with another tape measure reading.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`] where it comes before the filling, lies deeper than the bed or cannot
    /// be.
    ///
    /// ```
    /// use moulder::{Bed, Reading, date};
    ///
    /// let bed = Bed::example();
    /// let read = bed.with_reading(Reading::below_rim_m(date(2026, 9, 14), 0.12))?;
    /// assert_eq!(read.readings().len(), 1);
    /// let early = Reading::below_rim_m(date(2025, 9, 14), 0.12);
    /// assert_eq!(bed.with_reading(early).unwrap_err().code().as_str(), "before-filling");
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn with_reading(&self, reading: Reading) -> Result<Self, Error> {
        let mound = matches!(self.shape, Shape::Mound { .. });
        self.amended("reading", to_value([reading.0]), |walk, fields, bed| {
            let heights_m = (bed.rim_m, bed.trench_m);
            let more = walk.readings(fields, Some(bed.filled), heights_m, mound)?;
            bed.readings.extend(more);
            bed.readings.sort_by_key(|reading| reading.on);
            Some(())
        })
    }

    /// The bed with material added on a later day.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`] where it comes before the filling, is of no material of the
    /// library, or has an amount that cannot be.
    ///
    /// ```
    /// use moulder::{Addition, Amount, Bed, Library, date};
    ///
    /// let compost = Addition::new(date(2027, 3, 1), "garden compost", Amount::VolumeM3(0.05));
    /// let bed = Bed::example().with_addition(compost, &Library::built_in())?;
    /// assert_eq!(bed.additions().len(), 1);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn with_addition(&self, addition: Addition, library: &Library) -> Result<Self, Error> {
        let added = to_value([addition.0]);
        self.amended_from(library, "added", added, |walk, fields, bed| {
            let more = walk.additions(fields, Some(bed.filled))?;
            bed.additions.extend(more);
            bed.additions.sort_by_key(|added| added.on);
            Some(())
        })
    }

    /// The bed with this irrigation and cover in place of its own.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`] where the amount or the months cannot be.
    pub fn with_irrigation(&self, irrigation: Irrigation) -> Result<Self, Error> {
        self.amended("water", to_value(irrigation.0), |walk, fields, bed| {
            let given = fields.get("water")?;
            bed.irrigation = Some(walk.watering(&given, Some(bed.climate.latitude_deg))?);
            bed.site
                .defaults
                .retain(|default| !default.path.starts_with("/water"));
            Some(())
        })
    }

    /// The bed with that growing on it.
    #[must_use]
    pub fn with_crop(mut self, crop: Crop) -> Self {
        self.crop = crop;
        self.site.defaults.retain(|default| default.path != "/crop");
        self
    }

    /// The bed in another climate. Where its season of irrigation was assumed, it becomes that of
    /// the new latitude.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`] where a figure of the climate cannot be.
    ///
    /// ```
    /// use moulder::{Bed, Library};
    ///
    /// let library = Library::built_in();
    /// let bed = Bed::example().with_climate(library.climate("Hobart AU")?)?;
    /// assert!(bed.climate().latitude_deg < 0.0);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn with_climate(&self, climate: &Climate) -> Result<Self, Error> {
        // Its months are checked as an owner's own; how it was estimated is not in them.
        let months = Climate {
            estimate: None,
            ..climate.clone()
        };
        let document = climate_document(&months);
        self.amended("climate", to_value(document), |walk, fields, bed| {
            bed.site.climate = walk.climate(&fields.get("climate")?)?;
            bed.site.climate.estimate.clone_from(&climate.estimate);
            let season = SEASONS[usize::from(bed.climate.latitude_deg < 0.0)];
            let is_assumed = |path: &str| bed.site.defaults.iter().any(|one| one.path == path);
            if let Some(irrigation) = &mut bed.irrigation {
                for (path, month, assumed) in [
                    ("/water/from", &mut irrigation.from, season.0),
                    ("/water/to", &mut irrigation.to, season.1),
                ] {
                    if is_assumed(path) {
                        *month = assumed;
                    }
                }
            }
            Some(())
        })
    }

    /// The bed under weather that was measured, from the day it was filled on; what is missing,
    /// and what comes after, is drawn about its climate.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`] where it contradicts the climate, as days in Fahrenheit do.
    ///
    /// ```
    /// # #[cfg(feature = "weather-csv")] {
    /// use moulder::{Bed, filled::WeatherRecord};
    ///
    /// let days = "date,high_c,low_c,rain_mm\n2026-03-14,11.2,3.0,0.4\n";
    /// let bed = Bed::example().with_weather(WeatherRecord::from_csv(days)?)?;
    /// assert!(bed.weather_record().is_some());
    /// # }
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn with_weather(mut self, record: WeatherRecord) -> Result<Self, Error> {
        if let Some((found, expected)) = record.contradicts(&self.climate) {
            let pointer = "/weather/file".to_owned();
            let fault = Fault {
                code: FaultCode::DoesNotFit,
                path: pointer.clone(),
                place: Place::Pointer { pointer },
                found,
                expected: expected.to_owned(),
                help: Vec::new(),
            };
            return Err(Faults::one(fault).into());
        }
        self.weather.record = Some(Arc::new(record));
        Ok(self)
    }

    /// The bed with its owner thinking in those units.
    #[must_use]
    pub const fn with_units(mut self, units: Units) -> Self {
        self.site.units = units;
        self
    }

    /// The bed with one section of its document read anew. Faults of what the section does not
    /// hold do not count.
    fn amended(
        &self,
        section: &str,
        value: Value,
        take: impl FnOnce(&mut Walk<'_>, &Fields<'_>, &mut Self) -> Option<()>,
    ) -> Result<Self, Error> {
        self.amended_from(&Library::built_in(), section, value, take)
    }

    /// The same, with names looked up in that library.
    fn amended_from(
        &self,
        library: &Library,
        section: &str,
        value: Value,
        take: impl FnOnce(&mut Walk<'_>, &Fields<'_>, &mut Self) -> Option<()>,
    ) -> Result<Self, Error> {
        let mut root = serde_json::Map::new();
        root.insert(section.to_owned(), value);
        let root = Value::Object(root);
        let tree = tree::read_value(&root);
        let mut walk = Walk::new(library);
        walk.units = self.units;
        let mut bed = self.clone();
        let taken = walk.open(&FILE, &tree.root, "").and_then(|fields| {
            walk.faults.clear();
            take(&mut walk, &fields, &mut bed)
        });
        Ok(settle_bed(&tree, walk, taken.map(|()| bed))?)
    }
}

/// A section of a document as a value: text, numbers and lists under text keys always make one.
fn to_value(section: impl Serialize) -> Value {
    serde_json::to_value(section).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;
    use crate::bed::Amount;
    use crate::bed::builder::{Ingredient, Layer};
    use crate::fault::FaultCode;

    fn builder() -> BedBuilder {
        let shape = Shape::Box {
            width_m: 1.2,
            length_m: 2.4,
        };
        Bed::builder(shape, date(2026, 3, 14))
            .rim_m(0.6)
            .climate("Cambridge UK")
    }

    /// A number computed by a program comes through to its last bit.
    #[test]
    fn computed_numbers_are_taken_to_their_last_bit() {
        let thickness_m = 0.1 + 0.2;
        assert_eq!(format!("{thickness_m}"), "0.30000000000000004");
        let bed = builder()
            .layer(Layer::of("birch log", Amount::ThicknessM(thickness_m)))
            .layer(Layer::of("loamy topsoil", Amount::VolumeM3(2.0_f64 / 7.0)))
            .build()
            .unwrap();
        let amount = |layer: usize| bed.layers()[layer].put[0].amount;
        assert_eq!(amount(0), Amount::ThicknessM(thickness_m));
        assert_eq!(amount(1), Amount::VolumeM3(2.0 / 7.0));
    }

    #[test]
    fn what_cannot_be_is_refused_whole() {
        for amount in [f64::NAN, f64::INFINITY, -0.3, 0.0, 300.0, 1e300] {
            let bed = builder().layer(Layer::of("birch log", Amount::ThicknessM(amount)));
            let error = bed.build().unwrap_err();
            assert_eq!(error.faults().len(), 1, "{amount}: {error}");
        }
        assert_eq!(builder().build().unwrap_err().faults().len(), 1);
        let none = Shape::Round {
            diameter_m: f64::NAN,
        };
        let error = Bed::builder(none, date(2026, 3, 14))
            .rim_m(-3.0)
            .layer(Layer::mixed([Ingredient::new(
                "brich log",
                Amount::WetMassKg(3.0),
            )]))
            .build()
            .unwrap_err();
        let codes: Vec<FaultCode> = error.faults().iter().map(|fault| fault.code).collect();
        // The climate, the diameter, the rim and the material.
        assert_eq!(codes.len(), 4, "{error}");
        assert!(codes.contains(&FaultCode::UnknownMaterial), "{error}");
    }

    #[test]
    fn an_amended_bed_is_the_bed_that_was_read_whole() {
        let base = || {
            builder()
                .layer(Layer::of("birch log", Amount::ThicknessM(0.3)))
                .layer(Layer::of("loamy topsoil", Amount::ThicknessM(0.3)))
        };
        let reading = || Reading::below_rim_m(date(2026, 9, 14), 0.1).give_or_take_m(0.01);
        let addition = || Addition::new(date(2027, 3, 1), "garden compost", Amount::VolumeM3(0.1));
        let water = || Irrigation::litres_per_week(20.0).months(5, 9);
        let whole = base()
            .reading(reading())
            .addition(addition())
            .irrigation(water())
            .build()
            .unwrap();
        let amended = base()
            .build()
            .unwrap()
            .with_reading(reading())
            .and_then(|bed| bed.with_addition(addition(), &Library::built_in()))
            .and_then(|bed| bed.with_irrigation(water()))
            .unwrap();
        assert_eq!(amended.readings, whole.readings);
        assert_eq!(amended.additions, whole.additions);
        assert_eq!(amended.irrigation, whole.irrigation);
        assert_eq!(amended.notices, whole.notices);
        let sorted = |bed: &Bed| {
            let mut paths: Vec<String> = bed.defaults.iter().map(|one| one.path.clone()).collect();
            paths.sort();
            paths
        };
        assert_eq!(sorted(&amended), sorted(&whole));
        let mound = Shape::Mound {
            width_m: 1.2,
            length_m: 2.0,
            slope_deg: 35.0,
            upright_m: 0.0,
        };
        let mound = Bed::builder(mound, date(2026, 3, 14))
            .climate("Cambridge UK")
            .layer(Layer::of("loamy topsoil", Amount::ThicknessM(0.2)))
            .build()
            .unwrap();
        let error = mound.with_reading(reading()).unwrap_err();
        assert_eq!(error.code(), FaultCode::DoesNotFit, "{error}");
        assert_eq!(error.faults().len(), 1);
    }
}

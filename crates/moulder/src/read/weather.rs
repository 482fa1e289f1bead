//! The `[weather]` section.

use moulder_core::weather::EtoMethod;

use super::given::Given;
use super::walk::{FORM, Walk};
use crate::bed::BedWeather;
use crate::fault::FaultCode;
use crate::library::climates::Climate;
use crate::read::field::WEATHER;

impl Walk<'_> {
    /// Weather that was measured, and the method of evapotranspiration; none after a fault.
    pub(super) fn weather(
        &mut self,
        given: &Given<'_>,
        climate: Option<&Climate>,
    ) -> Option<BedWeather> {
        let fields = self.open(&WEATHER, given.node, &given.path)?;
        let record = match fields.get("file") {
            None => Some(None),
            Some(given) => {
                let name = self.text(&given)?;
                let record = self.library.weather_record(&name).cloned();
                if record.is_none() {
                    let found = format!("no weather of \"{name}\" was given");
                    let expected = "the name of a file that lies where the bed file lies";
                    self.fault(FaultCode::MissingField, &given, found, expected);
                }
                let record = record?;
                if let Some((found, expected)) =
                    climate.and_then(|climate| record.contradicts(climate))
                {
                    self.fault(FaultCode::DoesNotFit, &given, found, expected);
                }
                Some(Some(record))
            }
        };
        let eto_by = if let Some(given) = fields.get("evapotranspiration") {
            self.word(&given).map(|word| match word {
                "hargreaves" => EtoMethod::Hargreaves,
                _ => EtoMethod::PenmanMonteith,
            })
        } else {
            self.assume(fields.path_of("evapotranspiration"), "fao-56", FORM);
            Some(EtoMethod::PenmanMonteith)
        };
        Some(BedWeather {
            record: record?,
            eto_by: eto_by?,
        })
    }
}

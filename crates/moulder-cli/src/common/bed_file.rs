//! A bed file with the files that go with it: found, read whole, and checked.

use std::path::{Path, PathBuf};
use std::slice;

use clap::Args;
use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::fault::notice::Notice;
use moulder::internals::fault::{FaultCode, Faults};
use moulder::internals::forecast::danger;
use moulder::internals::forecast::progress::Progress as Watch;
use moulder::internals::library::Library;
use moulder::internals::read::climate_csv::{holds_days, read_csv, read_record};
use moulder::internals::read::{read_json, read_toml};
use moulder::internals::text::limit::{FILE_BYTES, WEATHER_BYTES};
use serde_json::Value;

use crate::common::number::latitude;
use crate::common::shelf::ShelfArguments;
use crate::common::text_file::TextFile;
use crate::common::units::UnitsName;
use crate::print::look::Look;
use crate::print::notices;
use crate::print::progress::Progress;
use crate::print::screen::safe_stem;
use crate::trouble::Trouble;
use crate::trouble::complaint::Complaint;
use crate::trouble::refusal::Refusal;

/// A bed, with what lies in other files.
#[derive(Debug, Clone, Args)]
pub(crate) struct BedArguments {
    /// The bed file: TOML, or JSON if it ends in .json; "-" reads what is piped in
    pub(crate) bed: PathBuf,

    #[command(flatten)]
    pub(crate) shelf: ShelfArguments,

    /// A CSV file of your own weather: days, used as they were, with drawn ones after the last;
    /// or twelve months, instead of the bed's climate
    #[arg(long, value_name = "FILE")]
    pub(crate) weather: Option<PathBuf>,

    /// Where that weather was measured, in degrees, south negative: months need it unless the
    /// bed file holds a climate of its own; means of days then replace the bed's climate too
    #[arg(long, value_name = "DEGREES", requires = "weather", allow_negative_numbers = true,
          value_parser = latitude)]
    pub(crate) latitude: Option<f64>,

    /// Leave the tape readings of the bed file out: the bed as it was filled
    #[arg(long)]
    pub(crate) as_filled: bool,

    /// The units of the answer, whatever the bed file says
    #[arg(
        long,
        value_enum,
        value_name = "UNITS",
        hide_possible_values = true,
        help = "The units of the answer, whatever the bed file says: metric, us or uk-garden"
    )]
    pub(crate) units: Option<UnitsName>,
}

impl BedArguments {
    /// The files that are read.
    pub(crate) fn paths(&self) -> Vec<&Path> {
        self.paths_with(&[])
    }

    /// The files that are read, and others.
    pub(crate) fn paths_with<'p>(&'p self, others: &'p [PathBuf]) -> Vec<&'p Path> {
        let mut paths = self.shelf.paths_with(&self.bed);
        paths.extend(self.weather.iter().chain(others).map(PathBuf::as_path));
        paths
    }

    /// The bed, as it is described in its file.
    pub(crate) fn read(&self) -> Result<ReadBed, Trouble> {
        let file = BedFile::open(&self.bed)?;
        let bed = file.read(self)?;
        Ok(ReadBed { bed, file })
    }
}

/// A bed with the file that it was read from.
pub(crate) struct ReadBed {
    pub(crate) bed: Bed,
    pub(crate) file: BedFile,
}

impl ReadBed {
    /// What the file is called.
    pub(crate) fn name(&self) -> &str {
        &self.file.file.name
    }

    /// An error about it (see [`Trouble::of_error`]).
    pub(crate) fn refused(&self, error: &Error) -> Trouble {
        Trouble::of_error(self.name(), error)
    }

    /// Its dangers (see [`dangers`]).
    pub(crate) fn dangers(&self, are_aside: bool) -> Result<String, Trouble> {
        let (beds, files) = (slice::from_ref(&self.bed), slice::from_ref(&self.file.file));
        dangers(beds, files, are_aside)
    }

    /// The result of a task about it, with a bar while it runs.
    pub(crate) fn run<T>(
        &self,
        look: Look,
        task: impl FnOnce(&Bed, &Watch<'_>) -> Result<T, Error>,
    ) -> Result<T, Trouble> {
        let done = task(&self.bed, &Progress::of(look).watch());
        done.map_err(|error| self.refused(&error))
    }
}

/// A bed file as text.
#[derive(Debug)]
pub(crate) struct BedFile {
    /// Its name and what it says.
    pub(crate) file: TextFile,
    /// Whether it is JSON; else it is TOML.
    json: bool,
}

impl BedFile {
    /// Reads a file, or what is piped in for "-".
    pub(crate) fn open(path: &Path) -> Result<Self, Trouble> {
        let file = if path.as_os_str() == "-" {
            TextFile::piped(FILE_BYTES)?
        } else {
            TextFile::open(path, FILE_BYTES)?
        };
        let ending = path
            .extension()
            .map(|ending| ending.to_string_lossy().to_lowercase());
        let json = match ending.as_deref() {
            Some("toml") => false,
            Some("json") => true,
            _ => file
                .text
                .trim_start_matches(['\u{feff}', ' ', '\t', '\r', '\n'])
                .starts_with('{'),
        };
        Ok(Self { file, json })
    }

    /// Whether it is JSON.
    pub(crate) const fn is_json(&self) -> bool {
        self.json
    }

    /// The same file with another text.
    pub(crate) fn with_text(&self, text: String) -> Self {
        let name = self.file.name.clone();
        Self {
            file: TextFile { name, text },
            json: self.json,
        }
    }

    /// The bed as the file alone has it, of materials of that library.
    pub(crate) fn check(&self, library: &Library) -> Result<Bed, Faults> {
        let read = if self.json { read_json } else { read_toml };
        read(&self.file.text, library)
    }

    /// Validates the bed of the file, with the user's materials and weather. The faults of all
    /// the files are reported together.
    pub(crate) fn read(&self, asked: &BedArguments) -> Result<Bed, Trouble> {
        let (shelf, mut complaints) = asked.shelf.library()?;
        let given = match &asked.weather {
            Some(path) => Some((safe_stem(path), TextFile::open(path, WEATHER_BYTES)?)),
            None => None,
        };
        let shelf = match self.with_its_weather(&asked.bed, &shelf) {
            Ok(shelf) => shelf,
            Err(Trouble::BadInput(more)) => {
                complaints.extend(more);
                shelf
            }
            Err(trouble) => return Err(trouble),
        };
        // Without the whole library, unknown materials cannot be told from misspelt ones.
        let bed = if complaints.is_empty() {
            match self.check(&shelf) {
                Ok(bed) => Some(bed),
                Err(faults) => {
                    complaints.push(Complaint::of_text(&self.file, &faults));
                    None
                }
            }
        } else {
            None
        };
        let (climate, record) = match &given {
            Some((name, file)) => {
                let own = bed.as_ref().filter(|_| self.has_own_climate());
                let own_latitude = own.map(|bed| bed.climate().latitude_deg);
                let days = holds_days(&file.text);
                let latitude = asked.latitude.or(own_latitude.filter(|_| !days));
                if latitude.is_none() && !days && bed.is_some() {
                    return Err(Trouble::bad_input(without_latitude(&file.name)));
                }
                // Its slips are the same wherever it was measured.
                let wanted = (!days || latitude.is_some()).then_some(latitude.unwrap_or(0.0));
                let climate = wanted.map(|at| read_csv(&file.text, name, at)).transpose();
                let record = days.then(|| read_record(&file.text)).transpose();
                match climate.and_then(|climate| Ok((climate, record?))) {
                    Ok(read) => read,
                    Err(faults) => {
                        complaints.push(Complaint::of_text(file, &faults));
                        (None, None)
                    }
                }
            }
            None => (None, None),
        };
        let Some(mut bed) = bed.filter(|_| complaints.is_empty()) else {
            return Err(Trouble::BadInput(complaints));
        };
        if let Some(climate) = climate {
            bed = bed
                .with_climate(&climate)
                .map_err(|error| Trouble::of_error(&self.file.name, &error))?;
        }
        if let Some(record) = record {
            let name = given.map_or_else(String::new, |(_, file)| file.name);
            bed = bed
                .with_weather(record)
                .map_err(|error| contradicting(&name, &error))?;
        }
        if let Some(units) = asked.units {
            bed = bed.with_units(units.into());
        }
        if asked.as_filled {
            bed = bed.as_filled();
        }
        Ok(bed)
    }

    /// The library with the weather that the bed file names: of a file beside it, or where an
    /// absolute path leads to.
    pub(crate) fn with_its_weather(
        &self,
        bed: &Path,
        library: &Library,
    ) -> Result<Library, Trouble> {
        let value = self.value();
        let file = |value: &'_ Value| {
            value
                .get("weather")?
                .get("file")?
                .as_str()
                .map(str::to_owned)
        };
        let Some(name) = value
            .as_ref()
            .and_then(file)
            .filter(|name| !name.trim().is_empty())
        else {
            return Ok(library.clone());
        };
        let path = bed.parent().unwrap_or(Path::new("")).join(&name);
        let file = TextFile::open(&path, WEATHER_BYTES)?;
        match read_record(&file.text) {
            Ok(record) => Ok(library.with_weather(&name, record)),
            Err(faults) => Err(Trouble::BadInput(vec![Complaint::of_text(&file, &faults)])),
        }
    }

    /// The file as a value, where it is one.
    pub(crate) fn value(&self) -> Option<Value> {
        let text = self.file.text.trim_start_matches('\u{feff}');
        if self.json {
            serde_json::from_str(text).ok()
        } else {
            toml::from_str(text).ok()
        }
    }

    /// Whether the bed brings months of its own, and so says where it lies.
    fn has_own_climate(&self) -> bool {
        self.value()
            .is_some_and(|file| file.get("climate").is_some_and(Value::is_object))
    }

    /// The amounts in the words of the file, by layer and material; empty where they
    /// cannot be found.
    pub(crate) fn amounts(&self) -> Vec<Vec<String>> {
        let file = self.value();
        let list =
            |value: Option<&Value>| value.and_then(Value::as_array).cloned().unwrap_or_default();
        list(file.as_ref().and_then(|file| file.get("layer")))
            .iter()
            .map(|layer| {
                list(layer.get("put"))
                    .iter()
                    .map(|put| put.get("amount").and_then(|amount| amount.as_str()))
                    .map(|amount| amount.unwrap_or_default().to_owned())
                    .collect()
            })
            .collect()
    }
}

/// A weather file contradicts the climate of the bed.
fn contradicting(weather: &str, error: &Error) -> Trouble {
    let said = error.faults().iter().map(|fault| {
        let (found, expected) = (&fault.found, &fault.expected);
        format!("{weather} does not fit: {found}. Give {expected}.")
    });
    let refusal = Refusal::new(FaultCode::DoesNotFit, said.collect::<String>()).file(weather);
    Trouble::bad_input(refusal.option("--weather"))
}

/// A weather file does not give the latitude.
fn without_latitude(weather: &str) -> Refusal {
    let said = format!(
        "{weather} says what the weather is, not where: add --latitude, as in --latitude 52.6 \
         (south is negative)."
    );
    let refusal = Refusal::new(FaultCode::MissingOption, said).file(weather);
    refusal.option("--latitude")
}

/// Several beds and the file of each, under the same library, weather and units. The faults
/// of all of them are reported together.
pub(crate) fn read_all<'p>(
    asked: &BedArguments,
    paths: impl IntoIterator<Item = &'p PathBuf>,
) -> Result<(Vec<Bed>, Vec<TextFile>), Trouble> {
    let mut read = (Vec::new(), Vec::new());
    let mut refused = Vec::new();
    for path in paths {
        let own = BedArguments {
            bed: path.clone(),
            ..asked.clone()
        };
        match own.read() {
            Ok(ReadBed { bed, file }) => read.extend([(bed, file.file)]),
            Err(Trouble::BadInput(complaints)) => refused.extend(complaints),
            Err(trouble) => return Err(trouble),
        }
    }
    if refused.is_empty() {
        Ok(read)
    } else {
        Err(Trouble::BadInput(refused))
    }
}

/// The dangers of beds, each read from a file: how every answer about them begins, or what is
/// told on the side before it where the answer itself is no words. A paragraph each, and a line
/// left empty; nothing where there is none, or where the file acknowledges it.
pub(crate) fn dangers(
    beds: &[Bed],
    files: &[TextFile],
    are_aside: bool,
) -> Result<String, Trouble> {
    let found = beds.iter().zip(files).map(|(bed, file)| {
        danger::dangers(bed).map_err(|error| Trouble::of_error(&file.name, &error))
    });
    let said = told_first(beds, &found.collect::<Result<Vec<_>, Trouble>>()?);
    if are_aside {
        notices::aside(&said);
    }
    Ok(said)
}

/// The dangers of each bed, as an answer begins with them.
pub(crate) fn told_first(beds: &[Bed], dangers: &[Vec<Notice>]) -> String {
    let each = (1..).zip(beds.iter().zip(dangers));
    let told = each.map(|(number, (bed, found))| {
        let whom = if beds.len() > 1 {
            format!("bed {number} ({})", bed.name())
        } else {
            String::new()
        };
        notices::first(&whom, found, &layer_names(bed))
    });
    told.collect()
}

/// What the layers of a bed are called.
pub(crate) fn layer_names(bed: &Bed) -> Vec<String> {
    let layers = bed.layers().iter();
    layers.map(|layer| layer.name.clone()).collect()
}

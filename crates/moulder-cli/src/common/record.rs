//! What happened to a bed, written into its file: opened, held to what can be, put in its
//! place, and taken out again.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::fs;

use clap::Args;
use moulder::Date;
use moulder::internals::bed::Bed;
use moulder::internals::fault::notice::Severity;
use moulder::internals::fault::{FaultCode, Faults, sentence};
use moulder::internals::forecast::forecast;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::library::Library;
use moulder::internals::quantity::units::Units;
use moulder_words::forecast::spoken_date;
use moulder_words::notice::sentence as notice_sentence;
use serde_json::Value;

use crate::common::after_writing::after_writing;
use crate::common::bed_file::{BedArguments, BedFile, ReadBed};
use crate::common::clock::{ClockArguments, day};
use crate::common::entries::{Entry, Text};
use crate::common::number::some_draws;
use crate::common::output::{replace, tell};
use crate::print::lines::{plain, safe};
use crate::print::look::Look;
use crate::print::screen::file_name;
use crate::print::table::Table;
use crate::trouble::complaint::Complaint;
use crate::trouble::refusal::Refusal;
use crate::trouble::{Trouble, screen};

/// When it happened, and what can be done beside writing it down.
#[derive(Debug, Args)]
pub(crate) struct RecordArguments {
    /// The day, year first, as in 2026-09-14; today if nothing is said
    #[arg(long, value_name = "DATE", value_parser = day, conflicts_with_all = ["undo", "list"])]
    pub(crate) on: Option<Date>,

    /// Take out again what was written last: the last of its kind in the file
    #[arg(long, conflicts_with = "list")]
    pub(crate) undo: bool,

    /// List what the file holds of it
    #[arg(long)]
    pub(crate) list: bool,

    #[command(flatten)]
    pub(crate) clock: ClockArguments,

    #[command(flatten)]
    pub(crate) look: Look,

    /// How many beds like it the ranges of the answer are reckoned from
    #[arg(long, value_name = "N", default_value = "64", value_parser = some_draws)]
    pub(crate) draws: u32,
}

/// The fields of an entry in the words of the file.
pub(crate) type Fields = BTreeMap<String, String>;

/// Something of an entry in words.
pub(crate) type Cell = fn(&Fields, Units) -> String;

/// A field of an entry; empty where it is not given.
pub(crate) fn of<'f>(fields: &'f Fields, name: &str) -> &'f str {
    fields.get(name).map_or("", String::as_str)
}

/// A text with one blank between words.
pub(crate) fn one_spaced(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ")
}

/// A list in a bed file that something is written into.
#[derive(Debug)]
pub(crate) struct List {
    /// What it is called in the file.
    pub(crate) name: &'static str,
    /// What one entry is called.
    pub(crate) one: &'static str,
    /// How one is written, for who has none.
    pub(crate) example: &'static str,
    /// An entry in words, without its day.
    pub(crate) in_words: Cell,
}

impl List {
    /// An entry in words: "14 Sep 2026, 31 cm below the rim".
    pub(crate) fn told(&self, fields: &Fields, units: Units) -> String {
        format!("{}, {}", day_of(fields), (self.in_words)(fields, units))
    }
}

/// The day of an entry, as it is spoken.
pub(crate) fn day_of(fields: &Fields) -> String {
    let on = of(fields, "on");
    day(on).map_or_else(|_| on.to_owned(), spoken_date)
}

/// A bed file that something is written into.
pub(crate) struct Record<'a> {
    asked: &'a BedArguments,
    list: &'static List,
    library: Library,
    file: BedFile,
    /// The bed as the file alone has it.
    pub(crate) bed: Bed,
    /// The entries of the list, in the order of the file.
    pub(crate) entries: Vec<Fields>,
}

impl<'a> Record<'a> {
    /// Opens a bed file without a fault.
    pub(crate) fn open(asked: &'a BedArguments, list: &'static List) -> Result<Self, Trouble> {
        let path = &asked.bed;
        if path.as_os_str() == "-" {
            let said = format!(
                "What is piped in cannot be written to, and a {} belongs into a file: name the bed \
                 file instead of \"-\", as in: {}.",
                list.one, list.example
            );
            return Err(Trouble::bad_option("<BED>", said));
        }
        if fs::metadata(path).is_ok_and(|there| !there.is_file() && !there.is_dir()) {
            let name = file_name(path);
            let said = format!("{name} is no plain file and cannot be written to.");
            let refusal = Refusal::new(FaultCode::Unwritable, said).file(&name);
            return Err(Trouble::cannot(refusal.option("<BED>")));
        }
        let library = asked.shelf.faultless()?;
        let file = BedFile::open(path)?;
        // With the weather, whose faults are told as well.
        file.read(asked)?;
        let library = file.with_its_weather(path, &library)?;
        let bed = file
            .check(&library)
            .map_err(|faults| Trouble::BadInput(vec![Complaint::of_text(&file.file, &faults)]))?;
        let entries = entries_of(&file, list.name);
        Ok(Self {
            asked,
            list,
            library,
            file,
            bed,
            entries,
        })
    }

    /// What the file is called.
    pub(crate) fn name(&self) -> &str {
        &self.file.file.name
    }

    /// The day of what is written: not to come, and not before the bed was filled.
    pub(crate) fn day(&self, asked: &RecordArguments) -> Result<Date, Trouble> {
        let today = asked.clock.today();
        let on = asked.on.unwrap_or(today);
        let filled = self.bed.filled();
        let refused = |code, said| {
            let refusal = Refusal::new(code, said).file(self.name()).option("--on");
            Trouble::bad_input(refusal.found(&on.to_string(), &[""; 0]))
        };
        if on > today {
            let said = format!(
                "{} is still to come: today is {}. Write down on the day or later; if the clock of \
                 this computer is wrong, add --today DATE.",
                spoken_date(on),
                spoken_date(today)
            );
            return Err(refused(FaultCode::BadOption, said));
        }
        if on < filled {
            let said = format!(
                "{} is before the bed was filled, on {}. Give the day with --on, as in --on {}, or \
                 mend \"filled\" in {}.",
                spoken_date(on),
                spoken_date(filled),
                filled,
                self.name()
            );
            return Err(refused(FaultCode::BeforeFilling, said));
        }
        Ok(on)
    }

    /// The numbers of the entries of that day.
    pub(crate) fn of_day(&self, on: Date) -> Vec<usize> {
        let on = on.to_string();
        let numbered = self.entries.iter().enumerate();
        let of_day = numbered.filter(|(_, fields)| fields.get("on") == Some(&on));
        of_day.map(|(number, _)| number).collect()
    }

    /// Writes an entry in place of others, and tells what to expect now. `more` is told after
    /// the entry; `option` is what was typed.
    pub(crate) fn write(
        &self,
        entry: &Entry,
        replaced: &[usize],
        option: &str,
        more: &str,
        asked: &RecordArguments,
    ) -> Result<(), Trouble> {
        let list = self.list.name;
        let mut text = self.without(replaced)?;
        text = self
            .text(&text)
            .with(list, entry)
            .ok_or_else(|| self.cannot_be_written())?;
        let file = self.file.with_text(text);
        let bed = file
            .check(&self.library)
            .map_err(|faults| self.refused(&faults, option))?;
        let written = entries_of(&file, list);
        let more_entries = self.entries.len() + 1 - replaced.len();
        let Some(last) = written.last().filter(|_| written.len() == more_entries) else {
            return Err(self.cannot_be_written());
        };
        let mut said = format!(
            "Wrote to {}: {}.",
            self.name(),
            self.list.told(last, bed.units())
        );
        if !replaced.is_empty() {
            let _ = write!(said, " It replaces {}.", self.told(replaced));
        }
        if !more.is_empty() {
            said.push(' ');
            said += more;
        }
        self.put(file, &bed, &said, asked)
    }

    /// Takes the last entry out again.
    pub(crate) fn undo(&self, asked: &RecordArguments) -> Result<(), Trouble> {
        let Some(last) = self.entries.len().checked_sub(1) else {
            let said = format!(
                "{} holds no {} that could be taken out.",
                self.name(),
                self.list.one
            );
            let refusal = Refusal::new(FaultCode::MissingField, said).file(self.name());
            let refusal = refusal.path(&format!("/{}", self.list.name));
            return Err(Trouble::bad_input(refusal.option("--undo")));
        };
        let file = self.file.with_text(self.without(&[last])?);
        let bed = file
            .check(&self.library)
            .map_err(|faults| self.refused(&faults, "--undo"))?;
        let said = format!("Took out of {}: {}.", self.name(), self.told(&[last]));
        self.put(file, &bed, &said, asked)
    }

    /// Prints the entries, by columns of a heading and a cell each.
    pub(crate) fn tell_list(&self, columns: &[(&str, Cell)], look: Look) -> Result<(), Trouble> {
        if self.entries.is_empty() {
            let said = format!(
                "{} holds no {} yet. Write one down as in: {}.",
                self.name(),
                self.list.one,
                self.list.example
            );
            return screen(&plain(&said));
        }
        let units = self.bed.units();
        let mut table = Table::of(&self.entries);
        table.left("date", |fields| of(fields, "on").to_owned());
        for (heading, cell) in columns {
            if *heading == "note" {
                table.wrapped(heading, |fields| safe(&cell(fields, units)));
            } else {
                table.left(*heading, |fields| safe(&cell(fields, units)));
            }
        }
        screen(&table.drawn(look))
    }

    /// Entries in words.
    pub(crate) fn told(&self, numbers: &[usize]) -> String {
        let told = numbers.iter().filter_map(|number| {
            let fields = self.entries.get(*number)?;
            Some(self.list.told(fields, self.bed.units()))
        });
        told.collect::<Vec<String>>().join("; ")
    }

    fn text<'t>(&self, text: &'t str) -> Text<'t> {
        let json = self.file.is_json();
        Text { text, json }
    }

    /// The text of the file without some entries.
    fn without(&self, numbers: &[usize]) -> Result<String, Trouble> {
        let mut text = self.file.file.text.clone();
        for number in numbers.iter().rev() {
            let taken = self.text(&text).without(self.list.name, *number);
            text = taken.ok_or_else(|| self.cannot_be_written())?;
        }
        Ok(text)
    }

    /// Puts a changed file in place of the old one once all that is told of it is known.
    fn put(
        &self,
        file: BedFile,
        bed: &Bed,
        said: &str,
        asked: &RecordArguments,
    ) -> Result<(), Trouble> {
        if !are_alike(&self.bed, bed, self.list.name) {
            return Err(self.cannot_be_written());
        }
        let read = ReadBed {
            bed: file.read(self.asked)?,
            file,
        };
        let dangers = read.dangers(false)?;
        let today = asked.clock.today();
        let after = after_writing(&read, &self.asked.shelf, today, asked.draws, asked.look)?;
        let cautions = self.raised_by(&read, &after)?;
        let answer = format!("{dangers}{}{cautions}\n{after}", plain(said));
        let path = &self.asked.bed;
        replace(path, &self.file.file.text, &read.file.file.text)?;
        tell(path, &answer)
    }

    /// The warnings that what was written raises, without what the answer tells.
    fn raised_by(&self, read: &ReadBed, answer: &str) -> Result<String, Trouble> {
        let of = |bed: &Bed| {
            let filled = forecast(bed, 0, &unwatched).map_err(|error| read.refused(&error));
            filled.map(|filled| filled.notices)
        };
        let before = of(&self.bed)?;
        let after = of(&read.bed)?;
        let new = after.iter().filter(|notice| !before.contains(notice));
        let new = new.filter(|notice| notice.severity == Severity::Warning);
        let told = new
            .map(notice_sentence)
            .filter(|said| !one_spaced(answer).contains(said));
        Ok(told
            .map(|said| plain(&format!("Take care: {said}")))
            .collect())
    }

    /// What was typed would be a fault of the file.
    fn refused(&self, faults: &Faults, option: &str) -> Trouble {
        let name = self.name();
        let refusals = faults.iter().map(|fault| {
            let said = format!("{name} stays as it is: {}", sentence::sentence(fault));
            Refusal::of_typed(fault, option, said).file(name)
        });
        Trouble::BadInput(refusals.map(Complaint::of).collect())
    }

    /// The file is laid out in a way that cannot be written into without changing the rest.
    fn cannot_be_written(&self) -> Trouble {
        let name = self.name();
        let said = format!(
            "{name} stays as it is: its \"{}\" is laid out so that nothing can be put there \
             without changing the rest. Write it by hand.",
            self.list.name
        );
        let refusal = Refusal::new(FaultCode::Unwritable, said).file(name);
        Trouble::cannot(refusal.path(&format!("/{}", self.list.name)))
    }
}

/// The entries of a list in the words of the file.
fn entries_of(file: &BedFile, list: &str) -> Vec<Fields> {
    let value = file.value();
    let entries = value.as_ref().and_then(|file| file.get(list)?.as_array());
    let entries = entries.into_iter().flatten().filter_map(Value::as_object);
    entries
        .map(|entry| {
            let fields = entry.iter().filter_map(|(name, value)| {
                // A day of TOML comes as a table that holds its text.
                let text = value
                    .as_str()
                    .or_else(|| value.as_object()?.values().next()?.as_str());
                Some((name.clone(), text?.to_owned()))
            });
            fields.collect()
        })
        .collect()
}

/// Whether two beds are the same but for that list.
fn are_alike(one: &Bed, other: &Bed, list: &str) -> bool {
    let is_same = |name: &str, same: bool| name == list || same;
    is_same("reading", one.readings() == other.readings())
        && is_same("added", one.additions() == other.additions())
        && is_same("fed", one.fed() == other.fed())
        && one.layers() == other.layers()
        && one.name() == other.name()
        && one.filled() == other.filled()
        && one.count() == other.count()
        && one.climate() == other.climate()
        && one.units() == other.units()
        && one.shape() == other.shape()
        && one.rim_m() == other.rim_m()
        && one.trench_m().to_bits() == other.trench_m().to_bits()
        && one.irrigation() == other.irrigation()
        && one.crop() == other.crop()
}

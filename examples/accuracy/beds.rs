//! The beds: random ones from a seed, and the demo beds.

use moulder::internals::bed::Bed;
use moulder::internals::bed::EditBed as _;
use moulder::internals::library::Library;
use moulder::internals::model::compile::compile;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder::internals::read::read_toml;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng as _;

use crate::Asked;

/// The generator's default stream, as given by its authors.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf96;

const DEMO: [(&str, &str); 2] = [
    ("bulk bag", include_str!("../beds/bulk-bag.toml")),
    ("log box", include_str!("../beds/log-box.toml")),
];

/// The demo beds, by name.
pub(crate) fn demo_beds() -> Vec<(&'static str, Bed)> {
    let library = Library::built_in();
    let read = DEMO.map(|(name, text)| read_toml(text, &library).map(|bed| (name, bed)));
    read.into_iter().flatten().collect()
}

/// Number of random beds for the second judge, and months of each.
const JUDGED_BEDS: u32 = 10;
const JUDGED_MONTHS: u32 = 2;

/// A bed to compare.
pub(crate) struct Case {
    pub(crate) number: usize,
    pub(crate) name: String,
    pub(crate) text: String,
    pub(crate) bed: Bed,
    pub(crate) months: u32,
    /// Months for the second judge.
    pub(crate) judged_months: u32,
    /// Whether every month is printed.
    pub(crate) is_shown: bool,
}

impl Case {
    fn new(name: String, text: String, bed: Bed, months: u32) -> Self {
        Self {
            number: 0,
            name,
            text,
            bed,
            months,
            judged_months: 0,
            is_shown: false,
        }
    }

    /// Numbers a case by its position in the list.
    pub(crate) fn numbered((number, case): (usize, Self)) -> Self {
        Self {
            name: format!("{number} {}", case.name),
            number,
            ..case
        }
    }
}

/// All cases: demo beds first, so that each bed keeps its number.
pub(crate) fn cases(asked: &Asked) -> Vec<Case> {
    let library = Library::built_in();
    let mut cases = Vec::new();
    for (name, text) in DEMO {
        let Ok(own) = read_toml(text, &library) else {
            continue;
        };
        for (index, station) in library.stations().enumerate() {
            let is_own = station.climate.name == own.climate().name;
            if asked.is_sample && !is_own && index != 1 {
                continue;
            }
            let mut bed = own.clone();
            *bed.edit().climate = station.climate.clone();
            let months = if is_own { 120 } else { 12 * asked.years };
            let name = format!("{name}, {}", station.climate.name);
            cases.push(Case::new(name, text.to_owned(), bed, months));
        }
    }
    for seed in 0..asked.beds {
        let mut case = random(seed, &library, 12 * asked.years);
        if seed < JUDGED_BEDS {
            case.judged_months = JUDGED_MONTHS;
        }
        cases.push(case);
    }
    cases
}

/// The first bed of a seed's sequence that can be read and built.
fn random(seed: u32, library: &Library, months: u32) -> Case {
    let mut dice = Dice(Pcg64::new(u128::from(seed), STREAM));
    loop {
        let text = dice.bed(library);
        let Ok(bed) = read_toml(&text, library) else {
            continue;
        };
        if compile(&bed, weather_for(&bed, 1.0), Figures::nominal()).is_ok() {
            let name = format!("random, {}", bed.climate().name);
            return Case::new(name, text, bed, months);
        }
    }
}

struct Dice(Pcg64);

impl Dice {
    /// From `least` up to, not including, `end`.
    fn number(&mut self, least: u32, end: u32) -> u32 {
        // The modulo bias, one in four thousand million, matters to no bed.
        least + self.0.next_u32() % (end - least)
    }

    fn one_of<'a, T: ?Sized>(&mut self, of: &[&'a T]) -> &'a T {
        let count = u32::try_from(of.len()).unwrap_or(u32::MAX);
        of[self.number(0, count) as usize]
    }

    fn bed(&mut self, library: &Library) -> String {
        let climates: Vec<&str> = library
            .stations()
            .map(|s| s.climate.name.as_str())
            .collect();
        let materials: Vec<&str> = library.materials().map(|m| m.name.as_str()).collect();
        let climate = self.one_of(&climates);
        let month = self.number(1, 13);
        let shape = self.one_of(&[
            "shape = \"box\"\nwidth = \"1 m\"\nlength = \"2 m\"\nrim = \"80 cm\"",
            "shape = \"round\"\nacross = \"1.5 m\"\nrim = \"60 cm\"",
            "shape = \"bag\"\nwidth = \"90 cm\"\nlength = \"90 cm\"\nrim = \"90 cm\"\nbulged = \"30 %\"",
            "shape = \"mound\"\nwidth = \"9 m\"\nlength = \"12 m\"\nslope = \"35 deg\"",
        ]);
        let layers: String = (0..self.number(1, 6))
            .map(|_| self.layer(&materials))
            .collect();
        format!(
            "format = 1\nfilled = 2026-{month:02}-14\nclimate = \"{climate}\"\n[bed]\n{shape}\n{layers}"
        )
    }

    fn layer(&mut self, materials: &[&str]) -> String {
        let put: Vec<String> = (0..self.number(1, 4))
            .map(|_| {
                let material = self.one_of(materials);
                let cm = self.number(3, 31);
                let measured = self.one_of(&["tipped", "trodden", "watered"]);
                let arrived = self.one_of(&["sound", "half-rotten", "20 % rotten"]);
                format!(
                    "{{ material = \"{material}\", amount = \"{cm} cm\", as = \"{measured}\", arrived = \"{arrived}\" }}"
                )
            })
            .collect();
        let done = self.one_of(&["", "\"trodden\"", "\"watered\"", "\"trodden\", \"watered\""]);
        format!("[[layer]]\nput = [{}]\nthen = [{done}]\n", put.join(", "))
    }
}

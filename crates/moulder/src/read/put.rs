//! Ingredients.

use super::given::{Fields, Given};
use super::plain::one_of;
use super::walk::{FORM, Walk};
use crate::bed::{Amount, Ingredient, Placement};
use crate::fault::FaultCode;
use crate::library::material::{Class, Material, wet_share};
use crate::quantity::unit::Dimension;
use crate::read::field::{Kind, MASS, PUT, THICKNESS, VOLUME};
use crate::tree::{Node, Value};

/// Source of the meaning of words such as "dry".
const WORDS_SOURCE: &str = "common practice, no source";
/// Water content of air-dry wood, share of the wet mass; common practice, no source.
const AIR_DRY_WOOD: f64 = 0.15;
/// Water content of any other air-dry material, share of the wet mass; common practice, no
/// source.
const AIR_DRY_REST: f64 = 0.12;
/// Factor of "wet" on the fresh water content, and its limit; our own closure.
const WETTER: f64 = 1.25;
const WETTEST: f64 = 0.9;
/// Share of the carbon decayed in "half-rotten": the word itself.
const HALF: f64 = 0.5;

impl Walk<'_> {
    /// One ingredient of a layer; a thickness was measured so if it does not say how.
    pub(super) fn ingredient(
        &mut self,
        node: &Node,
        path: &str,
        thickness: Placement,
    ) -> Option<Ingredient> {
        let fields = self.open(&PUT, node, path)?;
        self.ingredient_of(&fields, thickness)
    }

    /// The ingredient given by the fields of a section; of `thickness` as [`Self::ingredient`].
    pub(super) fn ingredient_of(
        &mut self,
        fields: &Fields<'_>,
        thickness: Placement,
    ) -> Option<Ingredient> {
        let material = fields
            .get("material")
            .and_then(|given| self.material(&given));
        let amount = fields.get("amount").and_then(|given| self.amount(&given));
        let measured = self.measured(fields, amount, thickness);
        let state = self.arrival_state(fields);
        // Without the material its default size and water content are unknown.
        let material = material?;
        let (particle_size_m, moisture_wet, rotten) = self.arrived(fields, state, &material)?;
        Some(Ingredient {
            amount: amount?,
            placement: measured?,
            particle_size_m,
            moisture_wet,
            rotten,
            material,
        })
    }

    /// The state on arrival as given, whatever the material.
    pub(super) fn arrival_state(&mut self, fields: &Fields<'_>) -> ArrivalState {
        ArrivalState {
            across: fields.get("across").map(|given| self.quantity(&given)),
            moisture: fields.get("moisture").map(|given| self.moisture(&given)),
            rotten: if let Some(given) = fields.get("arrived") {
                self.arrival(&given)
            } else {
                self.assume(fields.path_of("arrived"), "sound", FORM);
                Some(0.0)
            },
        }
    }

    /// Particle size in m, water content as a share of the wet mass and share of the carbon
    /// decayed.
    pub(super) fn arrived(
        &mut self,
        fields: &Fields<'_>,
        state: ArrivalState,
        material: &Material,
    ) -> Option<(f64, f64, f64)> {
        let particle_size_m = if let Some(read) = state.across {
            read?
        } else {
            let default = &material.particle_size;
            let path = fields.path_of("across");
            self.assume(path, in_cm_or_mm(default.best), &default.source);
            default.best
        };
        let moisture_wet = match state.moisture {
            Some(read) => self.water(fields, read?, material),
            None => self.water(fields, Water::NotGiven, material),
        };
        Some((particle_size_m, moisture_wet, state.rotten?))
    }

    /// A volume, a thickness, or a weight.
    pub(super) fn amount(&mut self, given: &Given<'_>) -> Option<Amount> {
        let wanted = [Dimension::Length, Dimension::Volume, Dimension::Mass];
        let quantity = self.quantity_of(given, &wanted)?;
        let value = quantity.value;
        match quantity.dimension {
            Dimension::Length if self.is_in_yards(given, value) => None,
            Dimension::Length => self
                .in_range(given, value, THICKNESS)
                .map(Amount::ThicknessM),
            Dimension::Volume => self.in_range(given, value, VOLUME).map(Amount::VolumeM3),
            _ if quantity.dry => self.in_range(given, value, MASS).map(Amount::DryMassKg),
            _ => self.in_range(given, value, MASS).map(Amount::WetMassKg),
        }
    }

    /// "2 yards of soil" means cubic yards, but would be a thickness as a length: refused.
    fn is_in_yards(&mut self, given: &Given<'_>, metres: f64) -> bool {
        let Value::Text(text) = &given.node.value else {
            return false;
        };
        let small = text.trim().to_lowercase();
        let Some(unit) = ["yards", "yard", "yd"]
            .into_iter()
            .find(|unit| small.ends_with(unit))
        else {
            return false;
        };
        let number = small.trim_end_matches(unit).trim_end().to_owned();
        // Twelve inches a foot, 0.3048 m a foot: exact.
        let feet = metres / 0.3048;
        let help = vec![format!("{number} cu yd"), format!("{feet} ft")];
        self.fault_with(
            FaultCode::AmbiguousUnit,
            given,
            unit.to_owned(),
            "cubic yards or a thickness",
            help,
        );
        true
    }

    /// The state in which a volume or thickness was measured; a mass has none.
    fn measured(
        &mut self,
        fields: &Fields<'_>,
        amount: Option<Amount>,
        thickness: Placement,
    ) -> Option<Placement> {
        let weighed = matches!(amount, Some(Amount::WetMassKg(_) | Amount::DryMassKg(_)));
        let Some(given) = fields.get("as") else {
            let placement = match amount {
                Some(Amount::ThicknessM(_)) => thickness,
                _ => Placement::Loose,
            };
            if !weighed {
                let word = match placement {
                    Placement::InPlace => "in-place",
                    _ => "tipped",
                };
                self.assume(fields.path_of("as"), word, FORM);
            }
            return Some(placement);
        };
        let word = self.word(&given)?;
        if weighed {
            self.fault(
                FaultCode::DoesNotFit,
                &given,
                format!("\"as\" says \"{word}\" of a weight"),
                "a weight is the same in every state; leave \"as\" out",
            );
            return None;
        }
        Some(match word {
            "trodden" => Placement::Compacted,
            "watered" => Placement::Wetted,
            "in-place" => Placement::InPlace,
            _ => Placement::Loose,
        })
    }

    /// Water content on arrival as given.
    fn moisture(&mut self, given: &Given<'_>) -> Option<Water> {
        self.word_or_share(given).map(|value| match value {
            WordOrShare::Word("dry") => Water::Dry,
            WordOrShare::Word("wet") => Water::Wet,
            WordOrShare::Word(_) => Water::Fresh,
            WordOrShare::Share(share) => Water::Share(share),
        })
    }

    /// Share of the carbon decayed on arrival.
    fn arrival(&mut self, given: &Given<'_>) -> Option<f64> {
        match self.word_or_share(given)? {
            WordOrShare::Word("half-rotten") => {
                self.assume(given.path.clone(), "50 % rotten", WORDS_SOURCE);
                Some(HALF)
            }
            WordOrShare::Word(_) => Some(0.0),
            WordOrShare::Share(share) => Some(share),
        }
    }

    /// A word of the field, or a share in its range.
    fn word_or_share(&mut self, given: &Given<'_>) -> Option<WordOrShare> {
        let Kind::WordOrShare(words, range, after) = given.field.kind else {
            return None;
        };
        let text = match &given.node.value {
            Value::Text(text) => text.trim(),
            Value::Whole(_) | Value::Number(_) => {
                // Only for the fault: a bare number has no percent sign.
                self.quantity_of(given, &[Dimension::Share])?;
                return None;
            }
            _ => {
                self.wrong_kind(given, &format!("{} or a percentage", one_of(words)));
                return None;
            }
        };
        if let Some(word) = words.iter().copied().find(|word| *word == text) {
            return Some(WordOrShare::Word(word));
        }
        if text.starts_with(|c: char| c.is_ascii_digit() || "-−".contains(c)) {
            let share = match after.and_then(|after| text.strip_suffix(after)) {
                Some(share) => share.trim_end(),
                None if after.is_some() => {
                    self.fault(
                        FaultCode::UnknownWord,
                        given,
                        text.to_owned(),
                        format!("{} or a share such as \"30 % rotten\"", one_of(words)),
                    );
                    return None;
                }
                None => text,
            };
            let quantity = self.quantity_from(given, share, &[Dimension::Share])?;
            return self
                .in_range(given, quantity.value, range)
                .map(WordOrShare::Share);
        }
        self.unknown_word(given, given.node.at, text, words);
        None
    }

    /// Water content on arrival, share of the wet mass; the meaning of a word is recorded as a
    /// default.
    fn water(&mut self, fields: &Fields<'_>, given: Water, material: &Material) -> f64 {
        let fresh = wet_share(&material.moisture);
        let path = fields.path_of("moisture");
        match given {
            Water::Share(share) => share,
            Water::Fresh => fresh,
            Water::NotGiven => {
                self.assume(path, "fresh", &material.moisture.source);
                fresh
            }
            Water::Dry => {
                let dry = match material.class {
                    Class::Wood => AIR_DRY_WOOD,
                    Class::Plant | Class::Soil => AIR_DRY_REST,
                };
                self.assume(path, percent(dry), WORDS_SOURCE);
                dry
            }
            Water::Wet => {
                let wet = (fresh * WETTER).min(WETTEST);
                self.assume(path, percent(wet), "our own closure");
                wet
            }
        }
    }
}

/// The value of a field of words or a share.
enum WordOrShare {
    Word(&'static str),
    Share(f64),
}

/// The state on arrival as given; inside, none after a fault.
#[allow(
    clippy::option_option,
    reason = "outside: whether it is given; inside: whether it could be read"
)]
#[derive(Clone, Copy)]
pub(super) struct ArrivalState {
    across: Option<Option<f64>>,
    moisture: Option<Option<Water>>,
    rotten: Option<f64>,
}

/// Water content on arrival as given.
#[derive(Clone, Copy)]
enum Water {
    NotGiven,
    Fresh,
    Dry,
    Wet,
    Share(f64),
}

/// A share as written in a file.
fn percent(share: f64) -> String {
    // Rounded to a tenth: 0.15 * 100 is not quite 15 in binary.
    format!("{} %", (share * 1000.0).round() / 10.0)
}

/// A length as written in a file.
fn in_cm_or_mm(metres: f64) -> String {
    if metres >= 0.01 {
        format!("{} cm", (metres * 1e4).round() / 1e2)
    } else {
        format!("{} mm", (metres * 1e5).round() / 1e2)
    }
}

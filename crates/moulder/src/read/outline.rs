//! The `[bed]` section.

use moulder_core::bed::shape::Shape;

use super::given::{Fields, Given};
use super::walk::{FORM, Walk};
use crate::bed::{Boards, StandsOn};
use crate::fault::FaultCode;
use crate::read::field::BED;

/// The outline of a bed.
pub(super) struct Outline {
    pub(super) shape: Shape,
    pub(super) rim_m: Option<f64>,
    pub(super) trench_m: f64,
    pub(super) stands_on: Option<StandsOn>,
    pub(super) near_wall: Option<bool>,
    pub(super) boards: Option<Boards>,
}

/// Fields of certain shapes: shapes in words, their names, and whether they require the field.
const BELONGS: &[(&str, &str, &[&str], bool)] = &[
    (
        "width",
        "a box, a bag or a mound",
        &["box", "bag", "mound"],
        true,
    ),
    (
        "length",
        "a box, a bag or a mound",
        &["box", "bag", "mound"],
        true,
    ),
    ("across", "a round bed", &["round"], true),
    (
        "rim",
        "a box, a bag or a round bed",
        &["box", "bag", "round"],
        true,
    ),
    ("bulged", "a bag", &["bag"], false),
    ("slope", "a mound", &["mound"], false),
    ("boards", "a box or a round bed", &["box", "round"], false),
];

/// Our own closure: between the slope of loose earth and the 45 degrees beyond which sides slide.
const SLOPE_DEG: f64 = 40.0;

impl Walk<'_> {
    /// The outline of the bed.
    pub(super) fn outline(&mut self, given: &Given<'_>) -> Option<Outline> {
        let fields = self.open(&BED, given.node, &given.path)?;
        let shape = fields.get("shape").and_then(|given| self.word(&given));
        if let Some(shape) = shape {
            self.belonging(&fields, shape);
        }
        // Each is checked even where the shape is unknown or does not use it.
        let width = self.given_quantity(&fields, "width");
        let length = self.given_quantity(&fields, "length");
        let across = self.given_quantity(&fields, "across");
        let rim_m = self.given_quantity(&fields, "rim");
        let bulged = self.given_quantity(&fields, "bulged");
        let slope = self.given_quantity(&fields, "slope");
        let trench = self.given_quantity(&fields, "trench");
        let stands_on = fields.get("stands-on").and_then(|given| self.stand(&given));
        let near_wall = fields
            .get("near-wall")
            .and_then(|given| self.boolean(&given));
        let boards = fields.get("boards").and_then(|given| self.boards(&given));
        let trench_m = self.or_assumed(&fields, "trench", trench, (0.0, "0 cm"), FORM)?;
        let shape = match shape? {
            "box" => Shape::Box {
                width_m: width?,
                length_m: length?,
            },
            "round" => Shape::Round {
                diameter_m: across?,
            },
            "bag" => Shape::Bag {
                width_m: width?,
                length_m: length?,
                bulged: self.or_assumed(&fields, "bulged", bulged, (0.0, "0 %"), FORM)?,
            },
            _ => Shape::Mound {
                width_m: width?,
                length_m: length?,
                slope_deg: self.or_assumed(
                    &fields,
                    "slope",
                    slope,
                    (SLOPE_DEG, "40 deg"),
                    "our own closure",
                )?,
                upright_m: trench_m,
            },
        };
        Some(Outline {
            shape,
            rim_m,
            trench_m,
            stands_on,
            near_wall,
            boards,
        })
    }

    /// What the bed stands on.
    fn stand(&mut self, given: &Given<'_>) -> Option<StandsOn> {
        self.word(given).map(|word| match word {
            "paving" => StandsOn::Paving,
            "deck" => StandsOn::Deck,
            "balcony" => StandsOn::Balcony,
            "roof" => StandsOn::Roof,
            _ => StandsOn::Ground,
        })
    }

    /// Material of the boards.
    fn boards(&mut self, given: &Given<'_>) -> Option<Boards> {
        self.word(given).map(|word| match word {
            "treated" => Boards::Treated,
            "painted" => Boards::Painted,
            "tarred" => Boards::Tarred,
            "none" => Boards::None,
            _ => Boards::Untreated,
        })
    }

    /// Reports fields that the shape requires, and fields that it does not use.
    fn belonging(&mut self, fields: &Fields<'_>, shape: &str) {
        for (name, in_words, shapes, needed) in BELONGS {
            let belongs = shapes.contains(&shape);
            match fields.get(name) {
                Some(given) if !belongs => {
                    self.fault(FaultCode::OtherShape, &given, (*name).to_owned(), in_words);
                }
                None if belongs && *needed => {
                    if let Some(field) = BED.field(name) {
                        self.missing(fields, field);
                    }
                }
                _ => {}
            }
        }
    }

    fn given_quantity(&mut self, fields: &Fields<'_>, name: &str) -> Option<f64> {
        fields.get(name).and_then(|given| self.quantity(&given))
    }

    /// The value read, or the default where none is given; none after a fault.
    fn or_assumed(
        &mut self,
        fields: &Fields<'_>,
        name: &str,
        read: Option<f64>,
        (value, written): (f64, &str),
        source: &str,
    ) -> Option<f64> {
        if fields.has(name) {
            return read;
        }
        self.assume(fields.path_of(name), written, source);
        Some(value)
    }
}

//! What is at hand, or can be bought.

use crate::bed::{Amount, Ingredient};

/// One thing at hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Hand {
    /// A cubic metre of it, loose as tipped.
    pub sample: Ingredient,
    /// How much there is.
    pub supply: Supply,
    /// In which words its amounts are told.
    pub told: Told,
    /// What it costs; none where it lies about.
    pub price: Option<Price>,
    /// Least share of the whole fill by loose volume; 0 to 1.
    pub least: f64,
    /// Largest share of the whole fill by loose volume; 0 to 1.
    pub most: f64,
    /// Its size, water and rot in the words of the file, where it gives them.
    pub given: Given,
}

/// How much there is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Supply {
    /// As much as it takes.
    Plenty,
    /// So much: a volume loose as tipped, or a mass.
    Of(Amount),
}

/// In which words an amount is told, besides litres or cubic feet.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    /// By volume alone.
    Volume,
    /// By weight.
    Weight,
    /// In a measure that holds so many m3.
    Measure(String, f64),
}

/// What a pack costs and holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Money for one pack.
    pub money: f64,
    /// What is in a pack: a volume, or a mass.
    pub per: Amount,
    /// The same, in the words of the file.
    pub per_text: String,
}

/// What a plan file says of the state of a material, word by word.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Given {
    /// Size of a piece.
    pub across: Option<String>,
    /// Water on arrival.
    pub moisture: Option<String>,
    /// How far it has rotted.
    pub arrived: Option<String>,
}

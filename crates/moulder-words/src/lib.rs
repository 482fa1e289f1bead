//! What a bed comes to in plain sentences and phrases, in the owner's units.

pub mod comparison;
pub mod default_value;
pub mod fit;
pub mod forecast;
pub mod ledger;
pub mod material;
pub mod mixture;
pub mod nitrogen;
pub mod plan;
pub mod range;
pub mod sensitivity;
pub mod topup;
pub mod topup_range;
pub mod warmth;
pub mod water;

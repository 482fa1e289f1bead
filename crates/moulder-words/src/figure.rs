//! Single figures in words, in the owner's units.
//!
//! ```
//! use moulder::Units;
//! use moulder_words::figure::{amount, height};
//!
//! assert_eq!(height::span(0.261, 0.384, Units::Metric), "26 to 38 cm");
//! assert_eq!(amount::weight(121.4, Units::Us), "268 lb");
//! ```

#[doc(inline)]
pub use moulder::internals::text::rounding::unsigned_zero;

/// Heights and particle sizes; given in m.
pub mod height {
    #[doc(inline)]
    pub use moulder::internals::quantity::height::{
        figure, in_unit, reading, rough_figure, size, span, spelt, unit,
    };
}

/// Volumes in m3, water in L, mass in kg and load in kg/m2.
pub mod amount {
    #[doc(inline)]
    pub use moulder::internals::library::gas::co2_kg;
    #[doc(inline)]
    pub use moulder::internals::quantity::amount::{
        light_weight, load, small_weight_in_unit, small_weight_unit, volume, volume_beside,
        volume_figure, volume_unit, water, water_figure, water_in_unit, water_unit, weight,
        weight_figure, weight_figure_to_a_tenth, weight_in_unit, weight_unit,
    };
}

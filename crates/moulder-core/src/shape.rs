//! The outline of a bed: what area a layer has, and how high a volume stands.

/// The outline of a bed, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Upright walls on a rectangle; the area never changes.
    Box {
        /// Inside width, m.
        width_m: f64,
        /// Inside length, m.
        length_m: f64,
    },
    /// Upright walls on a circle; the area never changes.
    Round {
        /// Inside diameter, m.
        across_m: f64,
    },
    /// A cloth bag whose rectangle bulges towards a circle of the same girth.
    Bag {
        /// Width before bulging, m.
        width_m: f64,
        /// Length before bulging, m.
        length_m: f64,
        /// How far it had bulged when the heights were taken: 0 square, 1 round.
        bulged: f64,
    },
    /// A heap with sloping sides on a rectangle.
    Mound {
        /// Width at the foot, m.
        width_m: f64,
        /// Length at the foot, m.
        length_m: f64,
        /// Slope of the sides, degrees from level.
        slope_deg: f64,
    },
}

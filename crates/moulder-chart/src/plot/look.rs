//! Width and ids of a chart.

use crate::svg::document::Room;

/// Width and ids of a chart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// Its width; px, within [`Look::NARROWEST`] and [`Look::WIDEST`].
    width_px: u32,
    /// What ids in it begin with.
    id: String,
}

impl Look {
    /// The narrowest chart whose labels find room: a telephone's screen; px.
    pub const NARROWEST: u32 = 320;
    /// The widest; px.
    pub const WIDEST: u32 = 4000;
    /// The default width: an A4 page or half a screen; px.
    pub const USUAL: u32 = 800;

    /// Of that width, px, clamped to the range. Several charts in one page need an id each.
    #[must_use]
    pub fn new(width_px: u32, id: &str) -> Self {
        Self {
            width_px: width_px.clamp(Self::NARROWEST, Self::WIDEST),
            id: id.to_owned(),
        }
    }

    /// The same for one of several charts of a kind.
    #[must_use]
    pub fn numbered(&self, number: usize) -> Self {
        Self::new(self.width_px, &format!("{}-{number}", self.id))
    }

    /// Whether the seasonal cycle of a figure would be too narrow in a chart of so many months.
    #[must_use]
    pub fn is_crowded(&self, months: u32) -> bool {
        /// A month needs this much of the chart's width; px.
        const MONTH: f64 = 3.0;
        MONTH * f64::from(months) > self.width_px()
    }

    /// Its width; px.
    #[must_use]
    pub fn width_px(&self) -> f64 {
        f64::from(self.width_px)
    }

    /// What ids in it begin with.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The height of a plot of that width in which slopes are easy to judge; px. On a
    /// narrow screen it is higher for its width.
    #[must_use]
    pub fn plot_height_px(&self) -> f64 {
        (0.42 * self.width_px()).clamp(230.0, 900.0)
    }
}

impl Default for Look {
    fn default() -> Self {
        Self::new(Self::USUAL, "chart")
    }
}

/// Room kept free around a plot; px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margins {
    /// For figures on the left.
    pub left: f64,
    /// For figures on the right.
    pub right: f64,
    /// Within the plot after its last month, for labels of lines.
    pub gutter: f64,
}

impl Margins {
    /// The plot itself, below so much heading, and the part of it that has months.
    #[must_use]
    pub fn plot(&self, look: &Look, top: f64) -> (Room, f64) {
        let room = Room {
            left: self.left,
            top,
            right: look.width_px() - self.right,
            bottom: top + look.plot_height_px(),
        };
        (room, room.right - self.gutter)
    }
}

//! A bed ready to run: a stack of slices, bottom first, with their laws' numbers
//! and the slots of their quantities in the [`State`].
//!
//! A slice of soil by hand; the crate `moulder` makes such stacks from bed files.
//!
//! ```
//! use moulder_core::law::decay::Pool;
//! use moulder_core::bed::parameters::Parameters;
//! use moulder_core::law::season::Season;
//! use moulder_core::bed::stack::{Fine, FineFill, Gap, Sides, SliceFill, Stack};
//! use moulder_core::weather::{Day, EtoMethod, Weather};
//!
//! let gap = Gap {
//!     min_void_ratio: [0.5],
//!     load_exponent: [0.5],
//!     reference_kpa: [2.0],
//!     collapse: [0.3],
//!     creep_exponent: [0.05],
//! };
//! let soil = Fine {
//!     organic_density_kg_m3: [1400.0],
//!     organic_per_carbon: [1.72],
//!     field_capacity: [0.3],
//!     void_closure: [1.0],
//!     particle_size_m: [0.004],
//!     gap: gap.clone(),
//!     pools: vec![Pool { rate_per_day: [1e-4], humification_coefficient: [0.0], kept: [0.4] }],
//! };
//! let fill = SliceFill {
//!     layer: 0,
//!     area_m2: [1.0],
//!     sides: Sides {
//!         perimeter_m: [4.0],
//!         share: [1.0],
//!         wall_m: [0.02],
//!         open: [1.0],
//!         quarter_width_m: [0.25],
//!     },
//!     drinking_days: [200.0],
//!     wetting_days: [2.0],
//!     water_kg: [30.0],
//!     wood_water_kg: [0.0],
//!     temperature_c: [10.0],
//!     gap,
//!     mineral_nitrogen_kg: [0.004],
//!     pieces: Vec::new(),
//!     fines: vec![FineFill {
//!         kind: 0,
//!         mineral_kg: [200.0],
//!         carbon_kg: vec![[4.0]],
//!         nitrogen_kg: [0.36],
//!         loose: [0.4],
//!         held_by: None,
//!     }],
//!     excess_gap_m3: [0.0],
//!     excess_fine_gap_m3: [0.03],
//!     stress_kpa: [0.0],
//!     wetted: [0.0],
//! };
//! let day = Day {
//!     mean_c: 10.0,
//!     half_swing_c: 4.0,
//!     rain_mm: 2.0,
//!     eto_mm: 1.5,
//!     nitrogen_kg_m2: 0.0,
//! };
//! let weather = Weather::new(vec![day], EtoMethod::Hargreaves).ok_or("no weather")?;
//! let (stack, state) = Stack::assemble(
//!     vec![fill],
//!     vec![soil],
//!     Parameters::middle(),
//!     weather,
//!     Season::sinusoid(10.0, 7.0),
//!     90.0,
//! );
//! assert_eq!(state.rows.len(), stack.quantities);
//! assert!((stack.carbon_kg(&state, 0) - 4.0).abs() < 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::parameters::Parameters;
use crate::bed::state::State;
use crate::law::decay::Pool;
use crate::law::moisture::Matter;
use crate::law::season::Season;
use crate::weather::Weather;

/// The row that counts the carbon given off; kg.
pub const RELEASED: usize = 0;
/// The row that counts the water that came to the bed since filling; kg.
pub const WATERED: usize = 1;
/// The row that counts the water that left it downwards; kg.
pub const DRAINED: usize = 2;
/// The row that counts the water that left it upwards; kg.
pub const EVAPORATED: usize = 3;
/// The row that counts the nitrogen that rain and feeding brought; kg.
pub const FED: usize = 4;
/// The row that counts the nitrogen that left it with draining water; kg.
pub const LEACHED: usize = 5;
/// The row that counts the nitrogen that the crop took; kg.
pub const CROPPED: usize = 6;
/// How many accounts stand before the slices.
pub(crate) const ACCOUNTS: usize = 7;

/// A bed ready to run.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack<const L: usize> {
    /// Slices, bottom first.
    pub slices: Vec<Slice<L>>,
    /// Kinds of fines.
    pub fines: Vec<Fine<L>>,
    /// What holds for the whole bed.
    pub parameters: Parameters<L>,
    /// The weather above it, from the day of filling.
    pub weather: Weather,
    /// The year's course of temperature in the open ground beside it; degC.
    pub ground: Season,
    /// Days from the start of the civil year to the filling.
    pub filled_on_day: f64,
    /// How many quantities its state has.
    pub quantities: usize,
}

/// What the sink is booked to when a piece rots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rot {
    /// Soft stuff: leaves, grass, card, turf, compost.
    Soft,
    /// Wood of any size.
    Wood,
}

/// One ingredient of a slice's frame: pieces that stay where they are.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece<const L: usize> {
    /// What its rotting is booked to.
    pub rot: Rot,
    /// Which laws of temperature and moisture it rots by.
    pub matter: Matter,
    /// Carbon it had when it was sound; kg.
    pub fresh_carbon_kg: [f64; L],
    /// Envelope of its organic part when it was sound; m3.
    pub fresh_envelope_m3: [f64; L],
    /// Mineral matter, which stays; kg.
    pub mineral_kg: [f64; L],
    /// Dry organic mass per carbon; kg/kg.
    pub organic_per_carbon: [f64; L],
    /// Water it holds against drainage; kg per kg dry. Not used for wood.
    pub field_capacity: [f64; L],
    /// Exponent by which volume trails mass.
    pub lag: [f64; L],
    /// Exponent by which gaps follow its volume.
    pub void_closure: [f64; L],
    /// Size across the shorter way; m.
    pub particle_size_m: [f64; L],
    /// 1 for rods, 0 for lumps.
    pub rod_share: f64,
    /// How many whole sheets it amounts to, and the share of the area one covers.
    pub sheets: [f64; L],
    /// Share of the area that a whole sheet covers.
    pub cover: [f64; L],
    /// Its carbon pools.
    pub pools: Vec<Pool<L>>,
    /// Slot of its first pool.
    pub first_pool: usize,
    /// Slot of its nitrogen.
    pub nitrogen: usize,
}

/// A kind of fines: grains that trickle, wherever they now lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Fine<const L: usize> {
    /// Dry organic mass per volume of organic grains; kg/m3.
    pub organic_density_kg_m3: [f64; L],
    /// Dry organic mass per carbon; kg/kg.
    pub organic_per_carbon: [f64; L],
    /// Water it holds against drainage; kg per kg dry.
    pub field_capacity: [f64; L],
    /// Exponent by which gaps follow its volume.
    pub void_closure: [f64; L],
    /// Size of its crumbs; m.
    pub particle_size_m: [f64; L],
    /// How its own gaps close.
    pub gap: Gap<L>,
    /// Its carbon pools.
    pub pools: Vec<Pool<L>>,
}

/// How gaps close; see [`crate::law::settlement`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap<const L: usize> {
    /// Void ratio that nothing closes.
    pub min_void_ratio: [f64; L],
    /// Exponent b of load.
    pub load_exponent: [f64; L],
    /// Stress at which the law of load bends; kPa.
    pub reference_kpa: [f64; L],
    /// Exponent of first wetting.
    pub collapse: [f64; L],
    /// Exponent of creep.
    pub creep_exponent: [f64; L],
}

/// The sides of a slice: how it meets the air around the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sides<const L: usize> {
    /// Outer boundary; m.
    pub perimeter_m: [f64; L],
    /// Share of it that stands above the ground.
    pub share: [f64; L],
    /// Thickness of the wall; m, 0 for cloth or none.
    pub wall_m: [f64; L],
    /// Whether it lets air through: 1 cloth or open, 0 boards.
    pub open: [f64; L],
    /// A quarter of the width: the way of heat and air to the side; m.
    pub quarter_width_m: [f64; L],
}

/// A slice of a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice<const L: usize> {
    /// The layer it was cut from, counted from the ground.
    pub layer: usize,
    /// The day it was laid; days after filling.
    pub laid_days: f64,
    /// Plan area before any bulging; m2.
    pub area_m2: [f64; L],
    /// How it meets the air around the bed.
    pub sides: Sides<L>,
    /// Time in which its wood drinks; d.
    pub drinking_days: [f64; L],
    /// Time in which first wetting goes on; d.
    pub wetting_days: [f64; L],
    /// How the frame's gaps close.
    pub gap: Gap<L>,
    /// The frame; empty in a layer of soil.
    pub pieces: Vec<Piece<L>>,
    /// Mineral matter of each kind of fines that cohesion and roots hold here, in the order
    /// of their slots; kg.
    pub cohesive_kg: Vec<[f64; L]>,
    /// Where its quantities stand in the state.
    pub slots: Slots,
}

/// Where a slice's quantities stand in the state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slots {
    /// Carbon in humus; kg.
    pub humus: usize,
    /// Excess gap of the frame; m3.
    pub gap: usize,
    /// Excess gap of the fines; m3.
    pub fine_gap: usize,
    /// Largest effective stress felt; kPa.
    pub stress: usize,
    /// Share wetted for the first time.
    pub wetted: usize,
    /// Water in soft matter, soil and films; kg.
    pub water: usize,
    /// Water in wood; kg.
    pub wood_water: usize,
    /// Temperature; degC.
    pub temperature: usize,
    /// Nitrogen in humus; kg.
    pub humus_nitrogen: usize,
    /// Mineral nitrogen; kg.
    pub mineral_nitrogen: usize,
    /// One entry a kind of fines that may lie in the slice, in the order of kinds: those it
    /// was filled with and, where its frame takes any, those of the slices above it.
    pub fines: Vec<FineSlots>,
}

/// Where a kind of fines stands in a slice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FineSlots {
    /// The kind, by its place in [`Stack::fines`].
    pub kind: usize,
    /// Mineral matter; kg.
    pub mineral: usize,
    /// First carbon pool; kg.
    pub first_pool: usize,
    /// Nitrogen, which follows the pools; kg.
    pub nitrogen: usize,
    /// Whether it was filled in here: what has trickled in from above has come to rest.
    pub at_home: bool,
    /// The piece of this slice whose mat holds these fines until it rots.
    pub held_by: Option<usize>,
}

/// What a slice is filled with, before it is given its slots.
#[derive(Debug, Clone, PartialEq)]
pub struct SliceFill<const L: usize> {
    /// The layer it was cut from.
    pub layer: usize,
    /// Plan area; m2.
    pub area_m2: [f64; L],
    /// How it meets the air around the bed.
    pub sides: Sides<L>,
    /// Time in which its wood drinks; d.
    pub drinking_days: [f64; L],
    /// Time in which first wetting goes on; d.
    pub wetting_days: [f64; L],
    /// Water in soft matter and soil; kg.
    pub water_kg: [f64; L],
    /// Water in wood; kg.
    pub wood_water_kg: [f64; L],
    /// Temperature; degC.
    pub temperature_c: [f64; L],
    /// How the frame's gaps close.
    pub gap: Gap<L>,
    /// Mineral nitrogen; kg.
    pub mineral_nitrogen_kg: [f64; L],
    /// The frame's pieces.
    pub pieces: Vec<PieceFill<L>>,
    /// The fines it starts with.
    pub fines: Vec<FineFill<L>>,
    /// Excess gap of the frame; m3.
    pub excess_gap_m3: [f64; L],
    /// Excess gap of the fines; m3.
    pub excess_fine_gap_m3: [f64; L],
    /// Stress felt already (treading); kPa.
    pub stress_kpa: [f64; L],
    /// Share wetted already.
    pub wetted: [f64; L],
}

/// A piece that a slice starts with.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceFill<const L: usize> {
    /// The piece, not yet given its slots.
    pub piece: Piece<L>,
    /// Carbon in each pool; kg.
    pub carbon_kg: Vec<[f64; L]>,
    /// Nitrogen; kg.
    pub nitrogen_kg: [f64; L],
}

/// Fines that a slice starts with.
#[derive(Debug, Clone, PartialEq)]
pub struct FineFill<const L: usize> {
    /// Which kind, by its place in [`Stack::fines`].
    pub kind: usize,
    /// Mineral matter; kg.
    pub mineral_kg: [f64; L],
    /// Carbon in each pool; kg.
    pub carbon_kg: Vec<[f64; L]>,
    /// Nitrogen, apart from what is mineral; kg.
    pub nitrogen_kg: [f64; L],
    /// Share that may trickle on; the rest is held by cohesion and roots.
    pub loose: [f64; L],
    /// The piece whose mat holds them.
    pub held_by: Option<usize>,
}

impl<const L: usize> Stack<L> {
    /// How much the area has grown `days` after filling, as a factor.
    ///
    /// A bag bulges as the fill settles, with the time constant of effective stress.
    #[inline]
    #[must_use]
    pub fn swelling(&self, days: f64, lane: usize) -> f64 {
        let parameters = &self.parameters;
        1.0 + parameters.swell[lane]
            * (1.0 - crate::math::elementary::exp(-days / parameters.stress_days[lane]))
    }

    /// The kinds of fines that may lie in a slice, each with where it stands there.
    pub fn fines_in<'a>(
        &'a self,
        slice: &'a Slice<L>,
    ) -> impl Iterator<Item = (&'a Fine<L>, &'a FineSlots)> {
        let slots = slice.slots.fines.iter();
        slots.map(|slots| (&self.fines[slots.kind], slots))
    }

    /// All carbon of a state, what was given off included; kg.
    #[must_use]
    pub fn carbon_kg(&self, state: &State<L>, lane: usize) -> f64 {
        let mut sum = state.rows[RELEASED][lane];
        for slice in &self.slices {
            sum += self.slice_carbon_kg(slice, state, lane);
        }
        sum
    }

    /// The carbon in a slice; kg.
    #[must_use]
    pub fn slice_carbon_kg(&self, slice: &Slice<L>, state: &State<L>, lane: usize) -> f64 {
        let mut sum = state.rows[slice.slots.humus][lane];
        for piece in &slice.pieces {
            for pool in 0..piece.pools.len() {
                sum += state.rows[piece.first_pool + pool][lane];
            }
        }
        for (fine, slots) in self.fines_in(slice) {
            for pool in 0..fine.pools.len() {
                sum += state.rows[slots.first_pool + pool][lane];
            }
        }
        sum
    }

    /// All water of a state, less what came and plus what left; kg. It never changes.
    #[must_use]
    pub fn water_kg(&self, state: &State<L>, lane: usize) -> f64 {
        let rows = &state.rows;
        let mut sum = rows[DRAINED][lane] + rows[EVAPORATED][lane] - rows[WATERED][lane];
        for slice in &self.slices {
            sum += rows[slice.slots.water][lane] + rows[slice.slots.wood_water][lane];
        }
        sum
    }

    /// All nitrogen of a state, less what came and plus what left; kg. It never changes.
    #[must_use]
    pub fn nitrogen_kg(&self, state: &State<L>, lane: usize) -> f64 {
        let rows = &state.rows;
        let mut sum = rows[LEACHED][lane] + rows[CROPPED][lane] - rows[FED][lane];
        for slice in &self.slices {
            sum += self.organic_nitrogen_kg(slice, state, lane)
                + rows[slice.slots.mineral_nitrogen][lane];
        }
        sum
    }

    /// The nitrogen in the organic matter of a slice; kg.
    #[must_use]
    pub fn organic_nitrogen_kg(&self, slice: &Slice<L>, state: &State<L>, lane: usize) -> f64 {
        let pieces = slice.pieces.iter().map(|piece| piece.nitrogen);
        let fines = slice.slots.fines.iter().map(|slots| slots.nitrogen);
        pieces
            .chain(fines)
            .chain([slice.slots.humus_nitrogen])
            .map(|row| state.rows[row][lane])
            .sum()
    }

    /// All mineral matter of a state; kg.
    #[must_use]
    pub fn mineral_kg(&self, state: &State<L>, lane: usize) -> f64 {
        let mut sum = 0.0;
        for slice in &self.slices {
            for piece in &slice.pieces {
                sum += piece.mineral_kg[lane];
            }
            for slots in &slice.slots.fines {
                sum += state.rows[slots.mineral][lane];
            }
        }
        sum
    }
}

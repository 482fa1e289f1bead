//! A bed as a stack of slices, bottom first, with parameters and the row indices of its variables
//! in the [`State`].
//!
//! The crate `moulder` builds stacks from bed files; a slice of soil by hand:
//!
//! ```
//! use moulder_core::law::decay::{Fate, Pool};
//! use moulder_core::bed::parameters::Parameters;
//! use moulder_core::law::season::Season;
//! use moulder_core::bed::stack::{Fine, FineFill, Gap, Sides, SliceFill, Stack};
//! use moulder_core::weather::{Day, EtoMethod, Weather};
//!
//! let gap = Gap {
//!     min_void_ratio: 0.5,
//!     load_exponent: 0.5,
//!     reference_kpa: 2.0,
//!     collapse: 0.3,
//!     creep_exponent: 0.05,
//! };
//! let soil = Fine {
//!     organic_density_kg_m3: 1400.0,
//!     organic_per_carbon: 1.72,
//!     field_capacity: 0.3,
//!     void_closure: 1.0,
//!     particle_size_m: 0.004,
//!     gap,
//!     pools: vec![Pool { fate: Fate::Decayed, rate_per_day: 1e-4, humification_coefficient: 0.0, kept: 0.4 }],
//! };
//! let fill = SliceFill {
//!     layer: 0,
//!     area_m2: 1.0,
//!     sides: Sides {
//!         perimeter_m: 4.0,
//!         share: 1.0,
//!         wall_m: 0.02,
//!         open: 1.0,
//!         quarter_width_m: 0.25,
//!     },
//!     drinking_days: 200.0,
//!     wetting_days: 2.0,
//!     water_kg: 30.0,
//!     wood_water_kg: 0.0,
//!     temperature_c: 10.0,
//!     gap,
//!     mineral_nitrogen_kg: 0.004,
//!     pieces: Vec::new(),
//!     fines: vec![FineFill {
//!         kind: 0,
//!         mineral_kg: 200.0,
//!         carbon_kg: vec![4.0],
//!         nitrogen_kg: 0.36,
//!         loose: 0.4,
//!         held_by: None,
//!     }],
//!     excess_gap_m3: 0.0,
//!     excess_fine_gap_m3: 0.03,
//!     stress_kpa: 0.0,
//!     wetted: 0.0,
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
//! assert!((stack.carbon_kg(&state) - 4.0).abs() < 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::measure::SliceMeasure;
use crate::bed::parameters::Parameters;
use crate::bed::slopes::Slopes;
use crate::bed::state::State;
use crate::law::decay::Pool;
use crate::law::moisture::Matter;
use crate::law::season::Season;
use crate::weather::Weather;

/// Row of the released carbon; kg.
pub const RELEASED: usize = 0;
/// Row of the water received since filling; kg.
pub const WATERED: usize = 1;
/// Row of the drained water; kg.
pub const DRAINED: usize = 2;
/// Row of the evaporated water; kg.
pub const EVAPORATED: usize = 3;
/// Row of the nitrogen received with rain and fertiliser; kg.
pub const FED: usize = 4;
/// Row of the leached nitrogen; kg.
pub const LEACHED: usize = 5;
/// Row of the crop's nitrogen uptake; kg.
pub const CROPPED: usize = 6;
/// Number of account rows before those of the slices.
pub(crate) const ACCOUNTS: usize = 7;

/// A bed of slices, with parameters and weather.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// Slices, bottom first.
    pub slices: Vec<Slice>,
    /// Kinds of fines.
    pub fines: Vec<Fine>,
    /// Parameters common to all slices.
    pub parameters: Parameters,
    /// Weather from the day of filling.
    pub weather: Weather,
    /// Annual course of the surface temperature of the surrounding ground; degC.
    pub ground: Season,
    /// Day of filling, from the start of the civil year.
    pub filled_on_day: f64,
    /// Number of rows of its state.
    pub quantities: usize,
    /// The sides of a mound; none for walls.
    pub slopes: Option<Slopes>,
}

/// Settlement component to which a piece's decay counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rot {
    /// Non-woody material: leaves, grass, card, turf, compost.
    Soft,
    /// Wood of any size.
    Wood,
}

/// One ingredient of a slice's skeleton: pieces that do not migrate.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Settlement component of its decay.
    pub rot: Rot,
    /// Class of material that selects the temperature and moisture laws.
    pub matter: Matter,
    /// Initial carbon, undecayed; kg.
    pub fresh_carbon_kg: f64,
    /// Initial envelope volume of the organic part, undecayed; m3.
    pub fresh_envelope_m3: f64,
    /// Mineral matter, constant; kg.
    pub mineral_kg: f64,
    /// Dry organic mass per carbon; kg/kg.
    pub organic_per_carbon: f64,
    /// Field capacity; kg per kg dry. Unused for wood.
    pub field_capacity: f64,
    /// Lag exponent of volume behind mass loss.
    pub lag: f64,
    /// Exponent of void closure with decay.
    pub void_closure: f64,
    /// Particle size (shorter dimension); m.
    pub particle_size_m: f64,
    /// 1 for rods, 0 for grains.
    pub rod_share: f64,
    /// Number of whole sheets, for sheet materials.
    pub sheets: f64,
    /// Area share that one whole sheet covers.
    pub cover: f64,
    /// Carbon pools.
    pub pools: Vec<Pool>,
    /// Row of its first pool.
    pub first_pool: usize,
    /// Row of its nitrogen.
    pub nitrogen: usize,
}

/// A kind of fines: particles that migrate.
#[derive(Debug, Clone, PartialEq)]
pub struct Fine {
    /// Particle density of organic matter, dry; kg/m3.
    pub organic_density_kg_m3: f64,
    /// Dry organic mass per carbon; kg/kg.
    pub organic_per_carbon: f64,
    /// Field capacity; kg per kg dry.
    pub field_capacity: f64,
    /// Exponent of void closure with decay.
    pub void_closure: f64,
    /// Particle size; m.
    pub particle_size_m: f64,
    /// Compression of its own gaps.
    pub gap: Gap,
    /// Carbon pools.
    pub pools: Vec<Pool>,
}

/// Compression of gaps; see [`crate::law::settlement`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Minimum void ratio.
    pub min_void_ratio: f64,
    /// Exponent b of load.
    pub load_exponent: f64,
    /// Reference stress `sigma_c`; kPa.
    pub reference_kpa: f64,
    /// Exponent of first wetting.
    pub collapse: f64,
    /// Exponent of creep.
    pub creep_exponent: f64,
}

/// Exposure of a slice's sides to the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sides {
    /// Outer perimeter; m.
    pub perimeter_m: f64,
    /// Share of the side above ground.
    pub share: f64,
    /// Wall thickness; m, 0 for fabric or none.
    pub wall_m: f64,
    /// Air permeability: 1 fabric or open, 0 boards.
    pub open: f64,
    /// A quarter of the width: lateral path of heat and oxygen; m.
    pub quarter_width_m: f64,
}

impl Sides {
    /// Area of the sides above the ground; m2.
    #[inline]
    #[must_use]
    pub fn area_m2(&self, measure: &SliceMeasure) -> f64 {
        self.perimeter_m * measure.widening * measure.thickness_m * self.share
    }
}

/// A slice of a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// Index of its layer, from the ground up.
    pub layer: usize,
    /// Day it was added; days after filling.
    pub laid_days: f64,
    /// Plan area before bulging; m2.
    pub area_m2: f64,
    /// Exposure of its sides.
    pub sides: Sides,
    /// Time constant of water exchange of its wood; d.
    pub drinking_days: f64,
    /// Time constant of first wetting; d.
    pub wetting_days: f64,
    /// Compression of the skeleton's gaps.
    pub gap: Gap,
    /// The skeleton; empty in a layer of soil.
    pub pieces: Vec<Piece>,
    /// Mineral matter held by cohesion and roots, for each kind of fines in the order of their
    /// slots; kg.
    pub cohesive_kg: Vec<f64>,
    /// Row indices of its variables.
    pub slots: Slots,
}

/// Row indices of a slice's variables.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slots {
    /// Carbon in humus; kg.
    pub humus: usize,
    /// Excess gap of the skeleton; m3.
    pub gap: usize,
    /// Excess gap of the fines; m3.
    pub fine_gap: usize,
    /// Maximum effective stress so far; kPa.
    pub stress: usize,
    /// Share that has undergone first wetting.
    pub wetted: usize,
    /// Water in non-woody material, soil and films; kg.
    pub water: usize,
    /// Water in wood; kg.
    pub wood_water: usize,
    /// Temperature; degC.
    pub temperature: usize,
    /// Nitrogen in humus; kg.
    pub humus_nitrogen: usize,
    /// Mineral nitrogen; kg.
    pub mineral_nitrogen: usize,
    /// The kinds of fines that may occur here, in order of kind: those filled in and, if the
    /// slice has a skeleton, those of the slices above and of the one below.
    pub fines: Vec<FineSlots>,
}

/// Row indices of one kind of fines in a slice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FineSlots {
    /// Index of the kind in [`Stack::fines`].
    pub kind: usize,
    /// Mineral matter; kg.
    pub mineral: usize,
    /// First carbon pool; kg.
    pub first_pool: usize,
    /// Nitrogen, in the row after the pools; kg.
    pub nitrogen: usize,
    /// Whether it was filled in here, rather than only migrating in.
    pub at_home: bool,
    /// Index of the turf mat in this slice that holds these fines until it decays.
    pub held_by: Option<usize>,
}

/// Contents of a slice before its rows are assigned.
#[derive(Debug, Clone, PartialEq)]
pub struct SliceFill {
    /// Index of its layer.
    pub layer: usize,
    /// Plan area; m2.
    pub area_m2: f64,
    /// Exposure of its sides.
    pub sides: Sides,
    /// Time constant of water exchange of its wood; d.
    pub drinking_days: f64,
    /// Time constant of first wetting; d.
    pub wetting_days: f64,
    /// Water in non-woody material and soil; kg.
    pub water_kg: f64,
    /// Water in wood; kg.
    pub wood_water_kg: f64,
    /// Temperature; degC.
    pub temperature_c: f64,
    /// Compression of the skeleton's gaps.
    pub gap: Gap,
    /// Mineral nitrogen; kg.
    pub mineral_nitrogen_kg: f64,
    /// Pieces of the skeleton.
    pub pieces: Vec<PieceFill>,
    /// Initial fines.
    pub fines: Vec<FineFill>,
    /// Excess gap of the skeleton; m3.
    pub excess_gap_m3: f64,
    /// Excess gap of the fines; m3.
    pub excess_fine_gap_m3: f64,
    /// Initial effective stress, from treading; kPa.
    pub stress_kpa: f64,
    /// Share already wetted.
    pub wetted: f64,
}

/// Initial contents of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceFill {
    /// The piece, before its rows are assigned.
    pub piece: Piece,
    /// Carbon in each pool; kg.
    pub carbon_kg: Vec<f64>,
    /// Nitrogen; kg.
    pub nitrogen_kg: f64,
}

/// Initial contents of a kind of fines.
#[derive(Debug, Clone, PartialEq)]
pub struct FineFill {
    /// Index of the kind in [`Stack::fines`].
    pub kind: usize,
    /// Mineral matter; kg.
    pub mineral_kg: f64,
    /// Carbon in each pool; kg.
    pub carbon_kg: Vec<f64>,
    /// Organic nitrogen; kg.
    pub nitrogen_kg: f64,
    /// Mobile share; the rest is held by cohesion and roots.
    pub loose: f64,
    /// Index of the turf mat that holds them.
    pub held_by: Option<usize>,
}

impl Stack {
    /// Growth of the area `days` after filling, as a factor.
    ///
    /// A bag bulges with the time constant of effective stress.
    #[inline]
    #[must_use]
    pub fn swelling(&self, days: f64) -> f64 {
        let parameters = &self.parameters;
        1.0 + parameters.swell
            * (1.0 - crate::math::elementary::exp(-days / parameters.stress_days))
    }

    /// The kinds of fines that may occur in a slice, with their row indices.
    pub fn fines_in<'a>(
        &'a self,
        slice: &'a Slice,
    ) -> impl Iterator<Item = (&'a Fine, &'a FineSlots)> {
        let slots = slice.slots.fines.iter();
        slots.map(|slots| (&self.fines[slots.kind], slots))
    }

    /// Total carbon of a state, released carbon included; kg. Conserved.
    #[must_use]
    pub fn carbon_kg(&self, state: &State) -> f64 {
        let mut sum = state.rows[RELEASED];
        for slice in &self.slices {
            sum += self.slice_carbon_kg(slice, state);
        }
        sum
    }

    /// Carbon in a slice; kg.
    #[must_use]
    pub fn slice_carbon_kg(&self, slice: &Slice, state: &State) -> f64 {
        let mut sum = state.rows[slice.slots.humus];
        for piece in &slice.pieces {
            for pool in 0..piece.pools.len() {
                sum += state.rows[piece.first_pool + pool];
            }
        }
        for (fine, slots) in self.fines_in(slice) {
            for pool in 0..fine.pools.len() {
                sum += state.rows[slots.first_pool + pool];
            }
        }
        sum
    }

    /// Water of a state less inflow plus outflow; kg. Conserved.
    #[must_use]
    pub fn water_kg(&self, state: &State) -> f64 {
        let rows = &state.rows;
        let mut sum = rows[DRAINED] + rows[EVAPORATED] - rows[WATERED];
        for slice in &self.slices {
            sum += rows[slice.slots.water] + rows[slice.slots.wood_water];
        }
        sum
    }

    /// Nitrogen of a state less inflow plus outflow; kg. Conserved.
    #[must_use]
    pub fn nitrogen_kg(&self, state: &State) -> f64 {
        let rows = &state.rows;
        let mut sum = rows[LEACHED] + rows[CROPPED] - rows[FED];
        for slice in &self.slices {
            sum += self.organic_nitrogen_kg(slice, state) + rows[slice.slots.mineral_nitrogen];
        }
        sum
    }

    /// Organic nitrogen in a slice; kg.
    #[must_use]
    pub fn organic_nitrogen_kg(&self, slice: &Slice, state: &State) -> f64 {
        let pieces = slice.pieces.iter().map(|piece| piece.nitrogen);
        let fines = slice.slots.fines.iter().map(|slots| slots.nitrogen);
        pieces
            .chain(fines)
            .chain([slice.slots.humus_nitrogen])
            .map(|row| state.rows[row])
            .sum()
    }

    /// Mineral matter of a state; kg. Conserved.
    #[must_use]
    pub fn mineral_kg(&self, state: &State) -> f64 {
        let mut sum = 0.0;
        for slice in &self.slices {
            for piece in &slice.pieces {
                sum += piece.mineral_kg;
            }
            for slots in &slice.slots.fines {
                sum += state.rows[slots.mineral];
            }
        }
        sum
    }
}

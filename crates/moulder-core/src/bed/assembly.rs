//! Assembling a stack from slices: at filling and for later additions.

use alloc::vec::Vec;

use crate::bed::parameters::Parameters;
use crate::bed::stack::{ACCOUNTS, Fine, FineFill, FineSlots, Slice, SliceFill, Slots, Stack};
use crate::bed::state::State;
use crate::law::season::Season;
use crate::weather::Weather;

/// Rows of a state, allocated in order.
struct Rows(Vec<f64>);

impl Rows {
    /// Allocates a row with the initial value `value`.
    fn slot(&mut self, value: f64) -> usize {
        self.0.push(value);
        self.0.len() - 1
    }

    /// Rows for a kind of fines in a slice, initialised from `held`.
    fn fine_slots(&mut self, kind: usize, fine: &Fine, held: Option<&FineFill>) -> FineSlots {
        let mineral = self.slot(held.map_or(0.0, |fill| fill.mineral_kg));
        for pool in 0..fine.pools.len() {
            self.slot(held.map_or(0.0, |fill| fill.carbon_kg[pool]));
        }
        let nitrogen = self.slot(held.map_or(0.0, |fill| fill.nitrogen_kg));
        FineSlots {
            kind,
            mineral,
            first_pool: mineral + 1,
            nitrogen,
            at_home: held.is_some(),
            held_by: held.and_then(|fill| fill.held_by),
        }
    }

    /// A slice added at `laid_days`, with rows for all it holds and may receive.
    fn slice(
        &mut self,
        fill: SliceFill,
        fines: &[Fine],
        receives: impl Fn(usize) -> bool,
        laid_days: f64,
    ) -> Slice {
        let mut pieces = Vec::with_capacity(fill.pieces.len());
        for given in fill.pieces {
            let mut piece = given.piece;
            for (i, carbon) in given.carbon_kg.into_iter().enumerate() {
                let at = self.slot(carbon);
                if i == 0 {
                    piece.first_pool = at;
                }
            }
            piece.nitrogen = self.slot(given.nitrogen_kg);
            pieces.push(piece);
        }
        let mut fine_slots = Vec::new();
        let mut cohesive_kg = Vec::new();
        for (kind, fine) in fines.iter().enumerate() {
            let held = fill.fines.iter().find(|fill| fill.kind == kind);
            if held.is_none() && !receives(kind) {
                continue;
            }
            cohesive_kg.push(held.map_or(0.0, |fill| fill.mineral_kg * (1.0 - fill.loose)));
            fine_slots.push(self.fine_slots(kind, fine, held));
        }
        Slice {
            layer: fill.layer,
            laid_days,
            area_m2: fill.area_m2,
            sides: fill.sides,
            drinking_days: fill.drinking_days,
            wetting_days: fill.wetting_days,
            gap: fill.gap,
            pieces,
            cohesive_kg,
            slots: Slots {
                humus: self.slot(0.0),
                gap: self.slot(fill.excess_gap_m3),
                fine_gap: self.slot(fill.excess_fine_gap_m3),
                stress: self.slot(fill.stress_kpa),
                wetted: self.slot(fill.wetted),
                water: self.slot(fill.water_kg),
                wood_water: self.slot(fill.wood_water_kg),
                temperature: self.slot(fill.temperature_c),
                humus_nitrogen: self.slot(0.0),
                mineral_nitrogen: self.slot(fill.mineral_nitrogen_kg),
                fines: fine_slots,
            },
        }
    }
}

/// Slices from the bottom up, on top of `below`, with rows for all they hold. Fines migrate into
/// slices with a skeleton: downwards from any height, upwards from the slice below.
fn slices(
    fills: Vec<SliceFill>,
    fines: &[Fine],
    laid_days: f64,
    below: Option<&Slice>,
    rows: &mut Rows,
) -> Vec<Slice> {
    let mut highest = alloc::vec![0; fines.len()];
    for (index, fill) in fills.iter().enumerate() {
        for held in &fill.fines {
            highest[held.kind] = index;
        }
    }
    let mut laid: Vec<Slice> = Vec::with_capacity(fills.len());
    for (index, fill) in fills.into_iter().enumerate() {
        let has_skeleton = !fill.pieces.is_empty();
        let under = laid
            .last()
            .or(below)
            .map_or(&[][..], |slice| &slice.slots.fines);
        let receives = |kind: usize| {
            let rises = || under.iter().any(|slots| slots.kind == kind);
            has_skeleton && (highest[kind] > index || rises())
        };
        let slice = rows.slice(fill, fines, receives, laid_days);
        laid.push(slice);
    }
    laid
}

impl Stack {
    /// Assembles slices, bottom first, into a stack and its initial state.
    #[must_use]
    pub fn assemble(
        fills: Vec<SliceFill>,
        fines: Vec<Fine>,
        parameters: Parameters,
        weather: Weather,
        ground: Season,
        filled_on_day: f64,
    ) -> (Self, State) {
        let mut rows = Rows(alloc::vec![0.0; ACCOUNTS]);
        let slices = slices(fills, &fines, 0.0, None, &mut rows);
        let stack = Self {
            slices,
            fines,
            parameters,
            weather,
            ground,
            filled_on_day,
            quantities: rows.0.len(),
            slopes: None,
        };
        (stack, State { rows: rows.0 })
    }

    /// The bed with slices added `days` after filling, bottom first, and its state.
    ///
    /// Existing rows keep their indices; new rows follow. `fines` are additional kinds, which the
    /// fills number on from the existing ones.
    #[must_use]
    pub fn with_laid_on(
        &self,
        state: &State,
        fills: Vec<SliceFill>,
        fines: Vec<Fine>,
        days: f64,
    ) -> (Self, State) {
        let mut stack = self.clone();
        stack.rebuild_slopes(state, days);
        let mut rows = Rows(state.rows.clone());
        // New fines may migrate into old slices.
        let with_skeletons = stack.slices.iter_mut();
        for slice in with_skeletons.filter(|slice| !slice.pieces.is_empty()) {
            for (kind, fine) in (self.fines.len()..).zip(&fines) {
                slice.slots.fines.push(rows.fine_slots(kind, fine, None));
                slice.cohesive_kg.push(0.0);
            }
        }
        stack.fines.extend(fines);
        let laid = slices(fills, &stack.fines, days, stack.slices.last(), &mut rows);
        stack.slices.extend(laid);
        stack.quantities = rows.0.len();
        (stack, State { rows: rows.0 })
    }
}

//! Combining beds of one structure as lanes.

use alloc::vec::Vec;

use crate::bed::parameters::Parameters;
use crate::bed::slopes::Slopes;
use crate::bed::stack::{Fine, Gap, Piece, Sides, Slice, Stack};
use crate::bed::state::State;
use crate::law::decay::Pool;

impl<const L: usize> Stack<L> {
    /// Combines `L` beds of one structure, with their states, as lanes of one stack.
    ///
    /// `None` if they differ in structure (slices, pieces, pools, kinds of fines), weather,
    /// ground temperature or day of filling; other numbers may differ.
    ///
    /// ```
    /// use moulder_core::bed::stack::Stack;
    /// # use moulder_core::bed::parameters::Parameters;
    /// # use moulder_core::law::season::Season;
    /// # use moulder_core::weather::{Day, EtoMethod, Weather};
    /// # let day =
    /// #     Day { mean_c: 10.0, half_swing_c: 4.0, rain_mm: 2.0, eto_mm: 2.0, nitrogen_kg_m2: 0.0 };
    /// # let weather = Weather::new(vec![day], EtoMethod::Hargreaves).ok_or("a day")?;
    /// # let ground = Season::from_months(&[10.0; 12]);
    /// # let (bed, state) =
    /// #     Stack::assemble(vec![], vec![], Parameters::middle(), weather, ground, 0.0);
    /// let woven = Stack::<4>::weave([&bed; 4], [&state; 4]);
    /// assert!(woven.is_some());
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn weave(beds: [&Stack<1>; L], states: [&State<1>; L]) -> Option<(Self, State<L>)> {
        let first = *beds.first()?;
        let same = beds
            .iter()
            .zip(&states)
            .all(|(bed, state)| same_structure(first, bed) && state.rows.len() == first.quantities);
        if !same {
            return None;
        }
        let slices = (0..first.slices.len())
            .map(|i| slice(&beds.map(|bed| &bed.slices[i])))
            .collect();
        let fines = (0..first.fines.len())
            .map(|i| fine(&beds.map(|bed| &bed.fines[i])))
            .collect();
        let rows = (0..first.quantities)
            .map(|row| states.map(|state| state.rows[row][0]))
            .collect();
        let stack = Self {
            slices,
            fines,
            parameters: Parameters::from_lanes(&beds.map(|bed| &bed.parameters)),
            weather: first.weather.clone(),
            ground: first.ground,
            filled_on_day: first.filled_on_day,
            quantities: first.quantities,
            slopes: slopes(&beds.map(|bed| bed.slopes.as_ref())),
        };
        Some((stack, State { rows }))
    }
}

fn same_structure(a: &Stack<1>, b: &Stack<1>) -> bool {
    let same_pools = |a: &[Pool<1>], b: &[Pool<1>]| {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.fate == b.fate)
    };
    a.weather == b.weather
        && a.ground == b.ground
        && a.filled_on_day.to_bits() == b.filled_on_day.to_bits()
        && a.quantities == b.quantities
        && a.slopes.as_ref().map(|slopes| slopes.run) == b.slopes.as_ref().map(|slopes| slopes.run)
        && a.fines.len() == b.fines.len()
        && a.slices.len() == b.slices.len()
        && a.fines
            .iter()
            .zip(&b.fines)
            .all(|(a, b)| same_pools(&a.pools, &b.pools))
        && a.slices.iter().zip(&b.slices).all(|(a, b)| {
            a.layer == b.layer
                && a.laid_days.to_bits() == b.laid_days.to_bits()
                && a.slots == b.slots
                && a.pieces.len() == b.pieces.len()
                && a.pieces.iter().zip(&b.pieces).all(|(a, b)| {
                    a.rot == b.rot
                        && a.matter == b.matter
                        && a.rod_share.to_bits() == b.rod_share.to_bits()
                        && a.first_pool == b.first_pool
                        && a.nitrogen == b.nitrogen
                        && same_pools(&a.pools, &b.pools)
                })
        })
}

fn each<T, const L: usize>(beds: &[&T; L], number: impl Fn(&T) -> [f64; 1]) -> [f64; L] {
    beds.map(|bed| number(bed)[0])
}

fn slice<const L: usize>(beds: &[&Slice<1>; L]) -> Slice<L> {
    Slice {
        layer: beds[0].layer,
        laid_days: beds[0].laid_days,
        area_m2: each(beds, |bed| bed.area_m2),
        sides: sides(&beds.map(|bed| &bed.sides)),
        drinking_days: each(beds, |bed| bed.drinking_days),
        wetting_days: each(beds, |bed| bed.wetting_days),
        gap: gap(&beds.map(|bed| &bed.gap)),
        pieces: (0..beds[0].pieces.len())
            .map(|i| piece(&beds.map(|bed| &bed.pieces[i])))
            .collect(),
        cohesive_kg: (0..beds[0].cohesive_kg.len())
            .map(|kind| each(beds, |bed| bed.cohesive_kg[kind]))
            .collect(),
        slots: beds[0].slots.clone(),
    }
}

fn piece<const L: usize>(beds: &[&Piece<1>; L]) -> Piece<L> {
    Piece {
        rot: beds[0].rot,
        matter: beds[0].matter,
        fresh_carbon_kg: each(beds, |bed| bed.fresh_carbon_kg),
        fresh_envelope_m3: each(beds, |bed| bed.fresh_envelope_m3),
        mineral_kg: each(beds, |bed| bed.mineral_kg),
        organic_per_carbon: each(beds, |bed| bed.organic_per_carbon),
        field_capacity: each(beds, |bed| bed.field_capacity),
        lag: each(beds, |bed| bed.lag),
        void_closure: each(beds, |bed| bed.void_closure),
        particle_size_m: each(beds, |bed| bed.particle_size_m),
        rod_share: beds[0].rod_share,
        sheets: each(beds, |bed| bed.sheets),
        cover: each(beds, |bed| bed.cover),
        pools: pools(&beds.map(|bed| bed.pools.as_slice())),
        first_pool: beds[0].first_pool,
        nitrogen: beds[0].nitrogen,
    }
}

fn fine<const L: usize>(beds: &[&Fine<1>; L]) -> Fine<L> {
    Fine {
        organic_density_kg_m3: each(beds, |bed| bed.organic_density_kg_m3),
        organic_per_carbon: each(beds, |bed| bed.organic_per_carbon),
        field_capacity: each(beds, |bed| bed.field_capacity),
        void_closure: each(beds, |bed| bed.void_closure),
        particle_size_m: each(beds, |bed| bed.particle_size_m),
        gap: gap(&beds.map(|bed| &bed.gap)),
        pools: pools(&beds.map(|bed| bed.pools.as_slice())),
    }
}

fn pools<const L: usize>(beds: &[&[Pool<1>]; L]) -> Vec<Pool<L>> {
    (0..beds[0].len())
        .map(|i| {
            let lanes = beds.map(|pools| &pools[i]);
            Pool {
                fate: lanes[0].fate,
                rate_per_day: each(&lanes, |bed| bed.rate_per_day),
                humification_coefficient: each(&lanes, |bed| bed.humification_coefficient),
                kept: each(&lanes, |bed| bed.kept),
            }
        })
        .collect()
}

fn sides<const L: usize>(beds: &[&Sides<1>; L]) -> Sides<L> {
    Sides {
        perimeter_m: each(beds, |bed| bed.perimeter_m),
        share: each(beds, |bed| bed.share),
        wall_m: each(beds, |bed| bed.wall_m),
        open: each(beds, |bed| bed.open),
        quarter_width_m: each(beds, |bed| bed.quarter_width_m),
    }
}

/// The sides of mounds of one structure; none for walls.
fn slopes<const L: usize>(beds: &[Option<&Slopes<1>>; L]) -> Option<Slopes<L>> {
    let first = (*beds.first()?)?;
    let of = |number: &dyn Fn(&Slopes<1>) -> f64| beds.map(|bed| bed.map_or(0.0, number));
    Some(Slopes {
        run: first.run,
        built_run_m: of(&|slopes| slopes.built_run_m[0]),
        ridge_m: of(&|slopes| slopes.ridge_m[0]),
        rest_run: (0..first.rest_run.len())
            .map(|i| of(&|slopes| slopes.rest_run[i][0]))
            .collect(),
    })
}

fn gap<const L: usize>(beds: &[&Gap<1>; L]) -> Gap<L> {
    Gap {
        min_void_ratio: each(beds, |bed| bed.min_void_ratio),
        load_exponent: each(beds, |bed| bed.load_exponent),
        reference_kpa: each(beds, |bed| bed.reference_kpa),
        collapse: each(beds, |bed| bed.collapse),
        creep_exponent: each(beds, |bed| bed.creep_exponent),
    }
}

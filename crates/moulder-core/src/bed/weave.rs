//! Several beds of one structure woven into lanes.

use alloc::vec::Vec;

use crate::bed::parameters::Parameters;
use crate::bed::stack::{Fine, Gap, Piece, Sides, Slice, Stack};
use crate::bed::state::State;
use crate::law::decay::Pool;

impl<const L: usize> Stack<L> {
    /// Weaves `L` beds of one structure, one a lane, with their states.
    ///
    /// Nothing when they differ in what they are made of (slices, pieces, pools,
    /// kinds of fines) or in air or day of filling; numbers may differ as they like.
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
        let alike = beds
            .iter()
            .zip(&states)
            .all(|(bed, state)| is_alike(first, bed) && state.rows.len() == first.quantities);
        if !alike {
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
            parameters: parameters(&beds.map(|bed| &bed.parameters)),
            weather: first.weather.clone(),
            ground: first.ground,
            filled_on_day: first.filled_on_day,
            quantities: first.quantities,
        };
        Some((stack, State { rows }))
    }
}

fn is_alike(a: &Stack<1>, b: &Stack<1>) -> bool {
    let same_pools = |a: &[Pool<1>], b: &[Pool<1>]| a.len() == b.len();
    a.weather == b.weather
        && a.ground == b.ground
        && a.filled_on_day.to_bits() == b.filled_on_day.to_bits()
        && a.quantities == b.quantities
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

fn each<T, const L: usize>(of: &[&T; L], number: impl Fn(&T) -> [f64; 1]) -> [f64; L] {
    of.map(|one| number(one)[0])
}

fn slice<const L: usize>(of: &[&Slice<1>; L]) -> Slice<L> {
    Slice {
        layer: of[0].layer,
        laid_days: of[0].laid_days,
        area_m2: each(of, |one| one.area_m2),
        sides: sides(&of.map(|one| &one.sides)),
        drinking_days: each(of, |one| one.drinking_days),
        wetting_days: each(of, |one| one.wetting_days),
        gap: gap(&of.map(|one| &one.gap)),
        pieces: (0..of[0].pieces.len())
            .map(|i| piece(&of.map(|one| &one.pieces[i])))
            .collect(),
        cohesive_kg: (0..of[0].cohesive_kg.len())
            .map(|kind| each(of, |one| one.cohesive_kg[kind]))
            .collect(),
        slots: of[0].slots.clone(),
    }
}

fn piece<const L: usize>(of: &[&Piece<1>; L]) -> Piece<L> {
    Piece {
        rot: of[0].rot,
        matter: of[0].matter,
        fresh_carbon_kg: each(of, |one| one.fresh_carbon_kg),
        fresh_envelope_m3: each(of, |one| one.fresh_envelope_m3),
        mineral_kg: each(of, |one| one.mineral_kg),
        organic_per_carbon: each(of, |one| one.organic_per_carbon),
        field_capacity: each(of, |one| one.field_capacity),
        lag: each(of, |one| one.lag),
        void_closure: each(of, |one| one.void_closure),
        particle_size_m: each(of, |one| one.particle_size_m),
        rod_share: of[0].rod_share,
        sheets: each(of, |one| one.sheets),
        cover: each(of, |one| one.cover),
        pools: pools(&of.map(|one| one.pools.as_slice())),
        first_pool: of[0].first_pool,
        nitrogen: of[0].nitrogen,
    }
}

fn fine<const L: usize>(of: &[&Fine<1>; L]) -> Fine<L> {
    Fine {
        organic_density_kg_m3: each(of, |one| one.organic_density_kg_m3),
        organic_per_carbon: each(of, |one| one.organic_per_carbon),
        field_capacity: each(of, |one| one.field_capacity),
        void_closure: each(of, |one| one.void_closure),
        particle_size_m: each(of, |one| one.particle_size_m),
        gap: gap(&of.map(|one| &one.gap)),
        pools: pools(&of.map(|one| one.pools.as_slice())),
    }
}

fn pools<const L: usize>(of: &[&[Pool<1>]; L]) -> Vec<Pool<L>> {
    (0..of[0].len())
        .map(|i| {
            let lanes = of.map(|pools| &pools[i]);
            Pool {
                rate_per_day: each(&lanes, |one| one.rate_per_day),
                humification_coefficient: each(&lanes, |one| one.humification_coefficient),
                kept: each(&lanes, |one| one.kept),
            }
        })
        .collect()
}

fn sides<const L: usize>(of: &[&Sides<1>; L]) -> Sides<L> {
    Sides {
        perimeter_m: each(of, |one| one.perimeter_m),
        share: each(of, |one| one.share),
        wall_m: each(of, |one| one.wall_m),
        open: each(of, |one| one.open),
        quarter_width_m: each(of, |one| one.quarter_width_m),
    }
}

fn gap<const L: usize>(of: &[&Gap<1>; L]) -> Gap<L> {
    Gap {
        min_void_ratio: each(of, |one| one.min_void_ratio),
        load_exponent: each(of, |one| one.load_exponent),
        reference_kpa: each(of, |one| one.reference_kpa),
        collapse: each(of, |one| one.collapse),
        creep_exponent: each(of, |one| one.creep_exponent),
    }
}

fn parameters<const L: usize>(of: &[&Parameters<1>; L]) -> Parameters<L> {
    Parameters {
        q10_wood: each(of, |one| one.q10_wood),
        yearly_damping_m: each(of, |one| one.yearly_damping_m),
        daily_damping_m: each(of, |one| one.daily_damping_m),
        humus_rate_per_day: each(of, |one| one.humus_rate_per_day),
        humus_void_ratio: each(of, |one| one.humus_void_ratio),
        stress_days: each(of, |one| one.stress_days),
        creep_start_days: each(of, |one| one.creep_start_days),
        fines_migration_days: each(of, |one| one.fines_migration_days),
        swell: each(of, |one| one.swell),
        crop_factor: each(of, |one| one.crop_factor),
        side_factor: each(of, |one| one.side_factor),
        rooting_m: each(of, |one| one.rooting_m),
        drainage_days: each(of, |one| one.drainage_days),
        least_share: each(of, |one| one.least_share),
        wetting_share: each(of, |one| one.wetting_share),
        wood_held: each(of, |one| one.wood_held),
        wood_shrinkage: each(of, |one| one.wood_shrinkage),
        latent_share: each(of, |one| one.latent_share),
        channel_share: each(of, |one| one.channel_share),
        decomposer_ratio: each(of, |one| one.decomposer_ratio),
        half_supply_kg_m3: each(of, |one| one.half_supply_kg_m3),
        crop_half_supply_kg_m3: each(of, |one| one.crop_half_supply_kg_m3),
        leached_share: each(of, |one| one.leached_share),
        nitrate_m2_per_day: each(of, |one| one.nitrate_m2_per_day),
        crop_kg_m2_per_k_day: each(of, |one| one.crop_kg_m2_per_k_day),
        bioturbation_m2_per_day: each(of, |one| one.bioturbation_m2_per_day),
        catch_m2: each(of, |one| one.catch_m2),
    }
}

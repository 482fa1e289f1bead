//! Hand-built test beds: one with decay only and an exact solution by matrix exponential, and one
//! with all processes.

use alloc::vec::Vec;

use moulder_core::DAYS_PER_YEAR;
use moulder_core::bed::parameters::Parameters;
use moulder_core::bed::stack::{
    Fine, FineFill, Gap, Piece, PieceFill, RELEASED, Rot, Sides, SliceFill, Stack,
};
use moulder_core::bed::state::State;
use moulder_core::law::decay::{Fate, Pool};
use moulder_core::law::moisture::Matter;
use moulder_core::law::season::Season;
use moulder_core::rate::rate_modifiers::RateModifiers;
use moulder_core::weather::{Day, EtoMethod, Weather};
use nalgebra::{DMatrix, DVector};

/// Ends of equal months, days after filling.
pub(crate) fn month_ends(months: u32) -> Vec<f64> {
    (1..=months)
        .map(|month| f64::from(month) * DAYS_PER_YEAR / 12.0)
        .collect()
}

/// Seeded uniform random numbers from 0 to 1 (Knuth's 64-bit linear congruential generator).
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        let mut random = Self(seed);
        random.uniform();
        random
    }

    pub(crate) fn uniform(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let top = u32::try_from(self.0 >> 32).expect("32 bits are left");
        f64::from(top) / f64::from(u32::MAX)
    }

    /// Log-uniform between two positive numbers.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low * libm::pow(high / low, self.uniform())
    }
}

/// A single slice at a constant 10 degC, flooded without drainage and with traces of carbon, so
/// that neither heat nor a shortage of water or oxygen arises: its carbon obeys a linear system.
pub(crate) struct DecayingBed {
    pub(crate) stack: Stack,
    pub(crate) start: State,
    carbon_rows: Vec<usize>,
    /// Rate matrix of all rows; 1/d. Rows without carbon are constant.
    matrix: DMatrix<f64>,
    /// Rate modifiers of the piece, the fines and the humus.
    factors: [f64; 3],
}

/// A negligible mass; kg.
const TRACE_KG: f64 = 1e-12;

impl DecayingBed {
    /// Random pools in a piece and in fines, with time constants from days to centuries.
    pub(crate) fn random(seed: u64) -> Self {
        let mut random = Random::new(seed);
        let mut pools = |count: u32| -> (Vec<Pool>, Vec<f64>) {
            (0..count)
                .map(|_| {
                    let pool = Pool {
                        fate: Fate::Decayed,
                        rate_per_day: random.between(2e-6, 0.1),
                        humification_coefficient: 0.6 * random.uniform(),
                        kept: 0.0,
                    };
                    (pool, TRACE_KG * random.between(0.01, 50.0))
                })
                .unzip()
        };
        let (mut piece_pools, piece_carbon) = pools(4);
        // Sound wood, colonised faster than it decays.
        piece_pools[1].fate = Fate::Colonised;
        let slower = 1.0 / (1.0 + f64::from(u32::try_from(seed % 20).unwrap_or(0)));
        piece_pools[2].rate_per_day = piece_pools[1].rate_per_day * slower;
        let (fine_pools, fine_carbon) = pools(2);
        let mut parameters = Parameters::middle();
        parameters.humus_rate_per_day = random.between(1e-6, 1e-2);
        parameters.drainage_days = 1e30;

        let mut fill = bare_slice(0);
        fill.water_kg = 1e6;
        fill.sides.quarter_width_m = 1e-9;
        fill.pieces.push(piece_fill(
            piece(piece_pools, &piece_carbon),
            piece_carbon,
            40.0,
        ));
        fill.fines.push(FineFill {
            kind: 0,
            mineral_kg: 20.0,
            carbon_kg: fine_carbon,
            nitrogen_kg: 0.0,
            loose: 1.0,
            held_by: None,
        });
        let (mut stack, start) = Stack::assemble(
            alloc::vec![fill],
            alloc::vec![fine(fine_pools)],
            parameters,
            steady_weather(),
            Season::sinusoid(10.0, 0.0),
            0.0,
        );
        // Rates are raised to compensate for flooding.
        let mut measures = Vec::new();
        stack.measure(&start, 0.0, &mut measures);
        let mut rate_modifiers = RateModifiers::default();
        let day = *stack.weather.day(0.0);
        stack.rate_modifiers(&start, &measures, &day, &mut rate_modifiers);
        let factors = [0, 1, 2].map(|at| rate_modifiers.factors[at]);
        for pool in &mut stack.slices[0].pieces[0].pools {
            pool.rate_per_day /= factors[0];
        }
        for pool in &mut stack.fines[0].pools {
            pool.rate_per_day /= factors[1];
        }
        stack.parameters.humus_rate_per_day /= factors[2];
        Self::with_factors(stack, start, factors)
    }

    fn with_factors(stack: Stack, start: State, factors: [f64; 3]) -> Self {
        let slice = &stack.slices[0];
        let humus = slice.slots.humus;
        let mut matrix = DMatrix::zeros(stack.quantities, stack.quantities);
        let mut carbon_rows = alloc::vec![RELEASED, humus];
        let humus_rate = stack.parameters.humus_rate_per_day * factors[2];
        matrix[(humus, humus)] = -humus_rate;
        matrix[(RELEASED, humus)] = humus_rate;
        for (pools, first, factor) in [
            (
                &slice.pieces[0].pools,
                slice.pieces[0].first_pool,
                factors[0],
            ),
            (
                &stack.fines[0].pools,
                slice.slots.fines[0].first_pool,
                factors[1],
            ),
        ] {
            for (row, pool) in (first..).zip(pools) {
                let rate = pool.rate_per_day * factor;
                matrix[(row, row)] = -rate;
                carbon_rows.push(row);
                if pool.fate == Fate::Colonised {
                    matrix[(row + 1, row)] = rate;
                    continue;
                }
                matrix[(humus, row)] = pool.humification_coefficient * rate;
                matrix[(RELEASED, row)] = (1.0 - pool.humification_coefficient) * rate;
            }
        }
        Self {
            stack,
            start,
            carbon_rows,
            matrix,
            factors,
        }
    }

    /// Largest deviation of a state's carbon from the exact solution after `days`, as a share of
    /// all carbon.
    pub(crate) fn carbon_error(&self, state: &State, days: f64) -> f64 {
        let start = DVector::from_iterator(
            self.stack.quantities,
            self.start.rows.iter().map(|row| row / TRACE_KG),
        );
        let exact = (&self.matrix * days).exp() * start * TRACE_KG;
        self.carbon_rows
            .iter()
            .map(|&row| (state.rows[row] - exact[row]).abs())
            .fold(0.0, f64::max)
            / self.stack.carbon_kg(&self.start)
    }
}

fn steady_weather() -> Weather {
    let day = Day {
        mean_c: 10.0,
        half_swing_c: 0.0,
        rain_mm: 0.0,
        eto_mm: 0.0,
        nitrogen_kg_m2: 0.0,
    };
    Weather::new(alloc::vec![day], EtoMethod::Hargreaves).expect("one day is weather")
}

/// Two years with seasons and every third day wet.
fn seasonal_weather() -> Weather {
    let days = (0..800_u32)
        .map(|day| {
            let year = core::f64::consts::TAU * (f64::from(day) + 90.0) / DAYS_PER_YEAR;
            Day {
                mean_c: 10.0 - 7.0 * libm::cos(year),
                half_swing_c: 4.5 - libm::cos(year),
                rain_mm: if day % 3 == 0 { 5.0 } else { 0.0 },
                eto_mm: 2.0 - 1.5 * libm::cos(year),
                nitrogen_kg_m2: if day % 3 == 0 { 5e-6 } else { 0.0 },
            }
        })
        .collect();
    Weather::new(days, EtoMethod::Hargreaves).expect("800 days are weather")
}

/// Logs, green waste and soil: all processes active.
pub(crate) fn settling_bed() -> (Stack, State) {
    let logs = alloc::vec![20.0];
    let mut bottom = bare_slice(0);
    bottom.wood_water_kg = 20.0;
    bottom.excess_gap_m3 = 0.08;
    bottom.pieces.push(piece_fill(
        Piece {
            rot: Rot::Wood,
            matter: Matter::Wood,
            fresh_envelope_m3: 0.1,
            lag: 3.0,
            particle_size_m: 0.12,
            rod_share: 1.0,
            ..piece(alloc::vec![pool(2e-4, 0.1)], &logs)
        },
        logs,
        300.0,
    ));
    let green = alloc::vec![6.0, 3.0];
    let mut middle = bare_slice(1);
    middle.water_kg = 25.0;
    middle.wetting_days = 2.0;
    middle.excess_gap_m3 = 0.15;
    let green_pools = alloc::vec![pool(0.02, 0.2), pool(1e-3, 0.2)];
    middle
        .pieces
        .push(piece_fill(piece(green_pools, &green), green, 20.0));
    let mut top = bare_slice(2);
    top.water_kg = 30.0;
    top.excess_fine_gap_m3 = 0.03;
    top.fines.push(FineFill {
        kind: 0,
        mineral_kg: 200.0,
        carbon_kg: alloc::vec![4.0],
        nitrogen_kg: 0.36,
        loose: 0.4,
        held_by: None,
    });
    top.mineral_nitrogen_kg = 0.004;
    let soil = fine(alloc::vec![Pool {
        fate: Fate::Decayed,
        kept: 0.4,
        ..pool(1e-4, 0.0)
    }]);
    let mut parameters = Parameters::middle();
    parameters.crop_kg_m2_per_k_day = 1e-5;
    Stack::assemble(
        alloc::vec![bottom, middle, top],
        alloc::vec![soil],
        parameters,
        seasonal_weather(),
        Season::sinusoid(10.0, 7.0),
        90.0,
    )
}

fn pool(rate_per_day: f64, humification_coefficient: f64) -> Pool {
    Pool {
        fate: Fate::Decayed,
        rate_per_day,
        humification_coefficient,
        kept: 0.0,
    }
}

fn gap() -> Gap {
    Gap {
        min_void_ratio: 0.5,
        load_exponent: 0.5,
        reference_kpa: 2.0,
        collapse: 0.3,
        creep_exponent: 0.05,
    }
}

/// A piece with a given C/N ratio.
fn piece_fill(piece: Piece, carbon_kg: Vec<f64>, ratio: f64) -> PieceFill {
    let carbon: f64 = carbon_kg.iter().sum();
    PieceFill {
        piece,
        carbon_kg,
        nitrogen_kg: carbon / ratio,
    }
}

fn piece(pools: Vec<Pool>, carbon_kg: &[f64]) -> Piece {
    Piece {
        rot: Rot::Soft,
        matter: Matter::Plant,
        fresh_carbon_kg: carbon_kg.iter().sum(),
        fresh_envelope_m3: 0.05,
        mineral_kg: 0.5,
        organic_per_carbon: 2.0,
        field_capacity: 1.5,
        lag: 1.0,
        void_closure: 1.0,
        particle_size_m: 0.02,
        rod_share: 0.0,
        sheets: 0.0,
        cover: 0.0,
        pools,
        first_pool: 0,
        nitrogen: 0,
    }
}

fn fine(pools: Vec<Pool>) -> Fine {
    Fine {
        organic_density_kg_m3: 1400.0,
        organic_per_carbon: 1.72,
        field_capacity: 0.3,
        void_closure: 1.0,
        particle_size_m: 0.004,
        gap: gap(),
        pools,
    }
}

fn bare_slice(layer: usize) -> SliceFill {
    SliceFill {
        layer,
        area_m2: 1.0,
        sides: Sides {
            perimeter_m: 4.0,
            share: 1.0,
            wall_m: 0.02,
            open: 1.0,
            quarter_width_m: 0.25,
        },
        drinking_days: 200.0,
        wetting_days: f64::INFINITY,
        water_kg: 0.0,
        wood_water_kg: 0.0,
        temperature_c: 10.0,
        mineral_nitrogen_kg: 0.0,
        gap: gap(),
        pieces: Vec::new(),
        fines: Vec::new(),
        excess_gap_m3: 0.0,
        excess_fine_gap_m3: 0.0,
        stress_kpa: 0.0,
        wetted: 0.0,
    }
}

/// One step of [`moulder_core::law::decay::HumusStep`] is exact at any length.
#[test]
fn one_step_of_humus_is_the_matrix_exponential() {
    use moulder_core::law::decay::HumusStep;

    for seed in 0..50 {
        let bed = DecayingBed::random(seed);
        for days in [0.5, 30.4, 365.0, 7305.0] {
            let mut state = bed.start.clone();
            let slice = &bed.stack.slices[0];
            let by = bed.factors.map(|factor| days * factor);
            let mut step = HumusStep::begin(bed.stack.parameters.humus_rate_per_day, by[2]);
            for (pools, first, days) in [
                (&slice.pieces[0].pools, slice.pieces[0].first_pool, by[0]),
                (
                    &bed.stack.fines[0].pools,
                    slice.slots.fines[0].first_pool,
                    by[1],
                ),
            ] {
                let rows = first..first + pools.len();
                step.feed_all(&mut state.rows[rows], pools, days);
            }
            let mut released = state.rows[RELEASED];
            step.finish(&mut state.rows[slice.slots.humus], &mut released);
            state.rows[RELEASED] = released;
            let off = bed.carbon_error(&state, days);
            assert!(off < 1e-9, "seed {seed}, {days} d: {off:e}");
        }
    }
}

//! Water in wood and soil, air-filled porosity, and the heat transport of wet fill.

use moulder_core::law::air::{diffusivity_m2_per_day, penetration_m};
use moulder_core::law::heat::conductivity_w_m_k;
use moulder_core::law::moisture::{
    SOFT_FLOOR, aired_factor, plant_dry_factor, soil_dry_factor, soil_wet_side, wood_saturation,
};
use moulder_core::law::water::{DRINKING_DAYS, drinking_days};

use crate::check::{at_most, point, range};
use crate::source::{Source, own, read};
use crate::subject::Subject;

/// The figures are also in the tests of `moulder_core`'s `moisture.rs`, `water.rs` and
/// `air.rs`, and in the example of `heat.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Water, air and heat in the fill",
        sources: vec![
            wood_handbook(),
            linn_doran_1984(),
            richard_trautmann(),
            peck_1957(),
            ahn_2009(),
            moene_van_dam_2014(),
            haug_1993(),
            oxygen(),
        ],
    }
}

fn wood_handbook() -> Source {
    read(
        "Wood Handbook (FPL-GTR-190), ch. 4: wood of specific gravity 0.50 holds at most 135 % \
         of its dry mass",
        vec![point(
            "most water, share of dry mass",
            "1.35",
            wood_saturation(0.50),
        )],
    )
}

fn linn_doran_1984() -> Source {
    let at_field_capacity = 0.55;
    let activity = |filled: f64| {
        let wet = aired_factor(soil_wet_side(filled), 1e6, SOFT_FLOOR);
        soil_dry_factor(filled / at_field_capacity) * wet
    };
    let best = (1..100)
        .map(|i| f64::from(i) / 100.0)
        .max_by(|a, b| activity(*a).total_cmp(&activity(*b)));
    read(
        "Linn & Doran 1984, Soil Sci. Soc. Am. J. 48:1267-1272: soil lives most where 60 % of \
         its pores are filled",
        vec![
            point(
                "best share of filled pores",
                "0.60",
                best.unwrap_or(f64::NAN),
            )
            .wider(
                0.10,
                "ours is best at field capacity, taken as 0.55 of the pores",
            ),
        ],
    )
}

fn richard_trautmann() -> Source {
    read(
        "Richard & Trautmann, Cornell composting pages: compost is much slower below 35-40 % \
         water and all but stops below 30 %; the bounds are ours",
        vec![
            at_most(
                "rate at 35 % over that at 60 %",
                "0.5",
                plant_dry_factor(0.35),
            ),
            at_most(
                "rate at 30 % over that at 60 %",
                "0.16",
                plant_dry_factor(0.30),
            ),
        ],
    )
}

fn peck_1957() -> Source {
    // From 65 % green (from memory) towards 15 % in the air, down to 20 % is 2.3 time
    // constants; a square rod dries from four faces, half the time of a board as thick.
    let rod_days = |board_days: f64| board_days / 2.3 * 0.5 * (0.10 / 0.0254) * (0.10 / 0.0254);
    let ours = drinking_days(0.10, DRINKING_DAYS.best);
    read(
        "Peck 1957, FPL Report 2086: maple boards an inch thick dry in 40 to 205 days, 90 in the \
         mean; carried to a rod of 10 cm by diffusion (no printed figure for rods)",
        vec![range(
            "days of a rod over those of boards",
            "40",
            "90",
            90.0 * ours / rod_days(90.0),
        )],
    )
}

fn ahn_2009() -> Source {
    read(
        "Ahn et al. 2009: moist organic matter carries 0.03 to 0.81 W/(m K)",
        vec![
            range("dry, W/(m K)", "0.03", "0.81", conductivity_w_m_k(0.0, 0.0)),
            range(
                "45 % water by volume, W/(m K)",
                "0.03",
                "0.81",
                conductivity_w_m_k(0.45, 0.0),
            ),
        ],
    )
}

fn moene_van_dam_2014() -> Source {
    read(
        "Moene & van Dam 2014, Table 2.2: clay soil carries 0.15 to 1.4 W/(m K)",
        vec![range(
            "clay with a fifth of water, W/(m K)",
            "0.15",
            "1.4",
            conductivity_w_m_k(0.20, 0.50),
        )],
    )
}

fn haug_1993() -> Source {
    // The law is scaled to 1 at 60 %, where Haug's own form has 0.9720.
    let points = [
        (0.20, "0.0286"),
        (0.30, "0.1472"),
        (0.40, "0.5028"),
        (0.50, "0.8557"),
    ];
    let checks = points.map(|(moisture, worked_out)| {
        point(
            format!("rate at {:.0} % water", 100.0 * moisture),
            worked_out,
            0.9720 * plant_dry_factor(moisture),
        )
        .wider(1e-4, "0.9720 is rounded")
    });
    own(
        "Haug 1993 (formula from memory), points worked out by an independent script",
        checks.to_vec(),
    )
}

fn oxygen() -> Source {
    let diffusivity_m2_s = diffusivity_m2_per_day(0.30, 0.80) / 86_400.0;
    let reach_m = |loss_kg_m3_year: f64| {
        let demand = loss_kg_m3_year * 1.185 / (365.0 * 86_400.0);
        penetration_m(diffusivity_m2_s, 0.2787, demand)
    };
    own(
        "Closed form of diffusion with a steady demand, by hand",
        vec![
            point("diffusivity, 1e-7 m2/s", "5.648", 1e7 * diffusivity_m2_s),
            point("reach at 20 kg/m3 a year, m", "0.647", reach_m(20.0)),
            point("reach at 100 kg/m3 a year, m", "0.289", reach_m(100.0)),
            point("reach at 300 kg/m3 a year, m", "0.167", reach_m(300.0)),
        ],
    )
}

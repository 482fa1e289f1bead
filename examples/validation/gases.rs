//! Carbon dioxide, methane and nitrous oxide.

use moulder::internals::library::gas::{
    BURNING_METHANE, BURNING_NITROUS_OXIDE, Burning, COMPOSTING_METHANE, COMPOSTING_NITROUS_OXIDE,
    GasScreen, METHANE_WARMING, NITROUS_OXIDE_WARMING, co2_kg,
};

use crate::check::{point, range};
use crate::source::{Source, own, read};
use crate::subject::Subject;

/// The figures are also in the tests of `moulder`'s `gas.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Gases",
        sources: vec![carbon_dioxide(), composting(), smoke()],
    }
}

fn carbon_dioxide() -> Source {
    own(
        "Molar masses, 44/12; a tonne of dry wood, half of it carbon",
        vec![
            point("carbon dioxide per carbon", "3.667", co2_kg(1.0)),
            point("burnt, kg", "1833", Burning::of(1000.0, 500.0).co2_kg),
        ],
    )
}

fn composting() -> Source {
    // With the warming potentials of the previous report (AR5, table 8.7; memory): 28 and 265.
    let ar5 = (COMPOSTING_METHANE.best * 28.0 + COMPOSTING_NITROUS_OXIDE.best * 265.0) / 1000.0;
    own(
        "Sums over factors of the IPCC (2006, vol. 5 ch. 4) and their warming in AR6 and AR5 \
         (from memory); no printed example was found",
        vec![
            point(
                "composting by AR6, kg CO2e/kg wet",
                "0.174",
                GasScreen::of(1.0).co2e_kg.best,
            ),
            point("composting by AR5, kg CO2e/kg wet", "0.176", ar5),
        ],
    )
}

fn smoke() -> Source {
    let of = |methane_g: f64, nitrous_oxide_g: f64| {
        (methane_g * METHANE_WARMING.best + nitrous_oxide_g * NITROUS_OXIDE_WARMING.best) / 1000.0
    };
    let (methane, nitrous_oxide) = (&BURNING_METHANE.spread, &BURNING_NITROUS_OXIDE.spread);
    read(
        "Akagi et al. 2011 as used in GFED4: forest and farm waste, factors read, their sums \
         worked out by hand",
        vec![
            point(
                "smoke of forest, kg CO2e/kg dry",
                "0.134",
                of(methane.low, nitrous_oxide.high),
            ),
            point(
                "smoke of straw, kg CO2e/kg dry",
                "0.184",
                of(methane.high, nitrous_oxide.low),
            ),
            range(
                "smoke as we take it",
                "0.134",
                "0.184",
                Burning::of(1.0, 0.5).smoke_co2e_kg,
            ),
        ],
    )
}

//! Whole beds and heaps.

use moulder::internals::forecast::nitrogen::{NitrogenYear, Suits};

use crate::check::{at_least, at_most, point, range};
use crate::source::{Source, practice, read};
use crate::subject::Subject;
use crate::support::trial;

/// The trials are those of `tests/heaps.rs`, `tests/nitrogen.rs`, `tests/topup.rs` and
/// `tests/practice.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Whole beds and heaps",
        sources: vec![
            english_heaps(),
            thai_bins(),
            mckenzie_1958(),
            dutch_peat(),
            bulking(),
            bag(),
            framed_box(),
            chips(),
            schools(),
            firewood(),
        ],
    }
}

fn english_heaps() -> Source {
    let lift = |what: &str, side: &str, height: &str| {
        range(what, "0.5", "10", trial::garden_waste_lift_c(side, height))
    };
    read(
        "A trial of an English garden society, at second hand: garden waste of 0.3 to 0.75 m3 \
         in autumn never was more than a few degrees above the air; 10 is our reading of a few",
        vec![
            lift("0.30 m3, most above the air, degC", "67 cm", "67 cm"),
            lift("0.75 m3, most above the air, degC", "90 cm", "93 cm"),
        ],
    )
}

fn thai_bins() -> Source {
    read(
        "Karnchanawong & Suriyanon 2011, Resour. Conserv. Recycl. 55:548-553, abstract: aired \
         bins of 200 L with food waste and dry leaves in Thailand were at 24-57 degC",
        vec![range(
            "hottest in forty days, degC",
            "32",
            "57",
            trial::kitchen_waste_hottest_c(),
        )],
    )
}

fn mckenzie_1958() -> Source {
    read(
        "McKenzie 1958, Aust. J. Agric. Res. 9:664-679, at second hand: with nitrogen to spare \
         wood bound at most 16, 14 and 10 kg a tonne (radiata pine the 10)",
        vec![at_most(
            "bound by softwood chips, kg/t",
            "16",
            trial::nitrogen_bound_by_chips_kg_per_t(),
        )],
    )
}

fn dutch_peat() -> Source {
    read(
        "Wageningen Environmental Research report 3420 (2025), at second hand: Dutch peat \
         grassland sinks 0.2-1.7 cm a year by rot; a bed of mineral soil must sink slower",
        vec![range(
            "topsoil after its fifth year, cm/yr",
            "0.0",
            "0.2",
            trial::topsoil_sinks_cm_per_year(),
        )],
    )
}

fn bulking() -> Source {
    read(
        "UFC 3-220-20, a transcription: soil that is dug up grows by so much that settling again \
         takes 9-29 % of its loose volume",
        vec![range(
            "loose topsoil settles in a year, %",
            "9",
            "29",
            100.0 * trial::loose_topsoil_settles(),
        )],
    )
}

fn bag() -> Source {
    practice(
        "A fabric bag of 0.9 m, filled loosely with logs, brush, green waste, turf and soil, \
         loses a third to a half of its height in six months",
        vec![
            range(
                "demo bag, share lost in six months",
                "0.33",
                "0.50",
                trial::demo_bag_sinks_in_six_months(),
            )
            .wider(0.02, "said in thirds and halves"),
        ],
    )
}

fn framed_box() -> Source {
    practice(
        "A framed box, a third of it logs, sinks 10-20 cm in its first year",
        vec![range(
            "demo box, first year, cm",
            "10",
            "20",
            trial::demo_box_sinks_in_a_year_cm(),
        )],
    )
}

fn chips() -> Source {
    let [plain, below, mixed] = trial::crop_finds_beside_chips_g_m2();
    practice(
        "Chips dug into the soil rob the crop in its first year, chips below it hardly do; the \
         shares are ours",
        vec![
            at_most(
                "finds with chips dug in, over without",
                "0.75",
                mixed / plain,
            ),
            at_least("finds over chips, over without", "0.85", below / plain),
        ],
    )
}

fn schools() -> Source {
    let [green, woody] = trial::years_of_greens_and_of_wood();
    let suits_hungry = |year: &NitrogenYear| f64::from(u8::from(year.suits == Suits::Hungry));
    practice(
        "A bed full of greens feeds hungry crops first (the German-speaking trade), one that is \
         mostly wood suits modest ones (American advice)",
        vec![
            point(
                "greens feed hungry crops (1 is yes)",
                "1",
                suits_hungry(&green),
            ),
            point(
                "wood feeds hungry crops (1 is yes)",
                "0",
                suits_hungry(&woody),
            ),
        ],
    )
}

/// The same bounds are in `tests/laws.rs`, which asks for more of such a stack.
fn firewood() -> Source {
    let (driest, wettest) = trial::roofed_oak_moisture();
    practice(
        "Oak stacked green in the open under a roof dries to 12-20 % in two to three years",
        vec![
            range(
                "driest part after three years, %",
                "12",
                "20",
                100.0 * driest,
            ),
            range(
                "wettest part after three years, %",
                "12",
                "20",
                100.0 * wettest,
            ),
        ],
    )
}

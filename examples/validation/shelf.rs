//! The materials of the library.

use moulder::internals::library::Library;
use moulder::internals::library::material::{Class, Material};
use moulder_core::value::Status;

use crate::check::{Check, point, range};
use crate::printed::{
    CARBON_SHARES, CARBON_TO_NITROGEN, DRY_CHIPS, LITTER_WATER, LOG_RATES, LOOSE_WEIGHTS, Printed,
    WOOD_CARBON, WOOD_DENSITIES, WOOD_DENSITY_OFF, carbon_of_dry, loose_as_received, start_rate,
    trodden_dry,
};
use crate::source::{Source, memory, own, read};
use crate::subject::Subject;

/// The printed figures are those of `crates/moulder/tests/shelf.rs`.
pub(crate) fn subject() -> Subject {
    let mut sources = vec![densities()];
    sources.extend(carbon_to_nitrogen());
    sources.push(wood_carbon());
    sources.push(memory(
        "Typical proximate analyses, five in a hundred either way; card and food waste by IPCC \
         2006, vol. 5 ch. 2 table 2.4",
        ranges("carbon", CARBON_SHARES, Status::Memory, carbon_of_dry),
    ));
    sources.extend(loose_weights());
    sources.push(chips());
    sources.push(read(
        "Zagyvai-Kiss et al. 2019, Agric. For. Meteorol. 278:107656, abstract, and preprint \
         authorea 584393: water that litter holds, kg/kg",
        ranges("water", LITTER_WATER, Status::Read, |material| {
            material
                .field_capacity
                .as_ref()
                .map_or(f64::NAN, |field_capacity| field_capacity.best)
        }),
    ));
    sources.push(logs());
    Subject {
        title: "Materials of the shelf",
        sources,
    }
}

/// The figure of a material; NaN where the library has none of that name.
fn figure_of(name: &str, figure: impl Fn(&Material) -> f64) -> f64 {
    Library::built_in()
        .find_material(name)
        .map_or(f64::NAN, figure)
}

/// The rows of one status.
fn ranges(
    what: &str,
    printed: &[Printed],
    status: Status,
    figure: impl Fn(&Material) -> f64 + Copy,
) -> Vec<Check> {
    (printed.iter())
        .filter(|row| row.3 == status)
        .map(|(name, low, high, _)| {
            range(
                format!("{name}: {what}"),
                low.to_string(),
                high.to_string(),
                figure_of(name, figure),
            )
        })
        .collect()
}

fn densities() -> Source {
    let checks = WOOD_DENSITIES.iter().map(|(name, printed)| {
        point(
            format!("{name}: density, kg/m3"),
            printed.to_string(),
            figure_of(name, |material| material.organic_density.best),
        )
        .wider(WOOD_DENSITY_OFF * printed, "American kin: 15 %")
    });
    memory(
        "Wood Handbook (FPL-GTR-190), table 5-3; the shelf's are from another source",
        checks.collect(),
    )
}

fn carbon_to_nitrogen() -> [Source; 2] {
    let checks = |status| {
        ranges("C to N", CARBON_TO_NITROGEN, status, |material| {
            material.carbon_to_nitrogen.best
        })
    };
    [
        read(
            "Cornell's factsheet (leaves, grass), Bioresource Technology 96 (2005), abstract \
             (green waste), Herrmann & Bauhus 2018 (spruce)",
            checks(Status::Read),
        ),
        memory(
            "On-Farm Composting Handbook NRAES-54 (Rynk 1992), table A.1",
            checks(Status::Memory),
        ),
    ]
}

fn wood_carbon() -> Source {
    let library = Library::built_in();
    let shares: Vec<f64> = (library.materials())
        .filter(|material| material.class == Class::Wood)
        .map(carbon_of_dry)
        .collect();
    let (low, high) = (WOOD_CARBON.0.to_string(), WOOD_CARBON.1.to_string());
    let least = shares.iter().copied().reduce(f64::min);
    let most = shares.iter().copied().reduce(f64::max);
    read(
        "Harmon et al. 2013, abstract: carbon in dead wood; the least and the most of all woods \
         of the shelf",
        vec![
            range(
                "least carbon of a wood",
                low.clone(),
                high.clone(),
                least.unwrap_or(f64::NAN),
            ),
            range("most carbon of a wood", low, high, most.unwrap_or(f64::NAN)),
        ],
    )
}

fn loose_weights() -> [Source; 2] {
    let checks = |status| ranges("kg/m3", LOOSE_WEIGHTS, status, loose_as_received);
    [
        read(
            "Weight loosely tipped: Oregon DEQ 2005, US EPA 530-K-92-004, Massachusetts DEP, a \
             household and a seller (weak); yard debris 148-380, a tenth below allowed",
            checks(Status::Read),
        ),
        memory(
            "The same: NRAES-54 and general literature",
            checks(Status::Memory),
        ),
    ]
}

fn chips() -> Source {
    read(
        "Christianson et al. 2023, abstract: chips when new, placed by machine; ours trodden",
        vec![range(
            "wood chips, dry, kg/m3",
            DRY_CHIPS.0.to_string(),
            DRY_CHIPS.1.to_string(),
            figure_of("wood chips", trodden_dry),
        )],
    )
}

fn logs() -> Source {
    let checks = LOG_RATES.iter().map(|(name, low, high)| {
        range(
            format!("{name}: rate, 1/yr"),
            low.to_string(),
            high.to_string(),
            figure_of(name, |material| start_rate(material, 0.20)),
        )
    });
    own(
        "Bounds judged by us from all rates read, before any was carried to 10 degC: logs of 20 \
         cm in moist soil",
        checks.collect(),
    )
}

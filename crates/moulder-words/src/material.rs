//! The figures of a material by name, for those who read.
//!
//! ```
//! use moulder::Library;
//! use moulder_words::material::made_of;
//!
//! let library = Library::built_in();
//! let soil = library.material("loamy topsoil")?;
//! assert!(made_of(soil).iter().all(|(_, value)| !value.source.is_empty()));
//! # Ok::<(), moulder::Error>(())
//! ```

use moulder::Sourced;

use moulder::Material;
use moulder::materials::Sheet;

/// What it is made of.
#[must_use]
pub fn made_of(material: &Material) -> Vec<(&'static str, &Sourced)> {
    let mut made_of = vec![
        ("mineral share of the dry weight", &material.mineral_share),
        ("carbon in the part that can rot", &material.carbon_share),
        ("carbon to nitrogen", &material.carbon_to_nitrogen),
        ("water on arrival", &material.moisture),
        (
            "dry weight of the pieces, less minerals",
            &material.organic_density,
        ),
        ("size of a piece, across", &material.particle_size),
    ];
    let holds = material.field_capacity.as_ref();
    made_of.extend(holds.map(|value| ("water it holds against drainage", value)));
    made_of
}

/// How it lies and settles.
#[must_use]
pub fn lies(material: &Material) -> Vec<(&'static str, &Sourced)> {
    let mut lies = vec![
        ("gaps per solid, as tipped", &material.void_ratio),
        ("gaps per solid, at the least", &material.min_void_ratio),
        ("settling per tenfold load", &material.compression),
        ("load at which settling begins", &material.reference_stress),
        (
            "settling per tenfold time, over that per tenfold load",
            &material.creep,
        ),
        (
            "settling on first watering, tipped",
            &material.collapse_tipped,
        ),
        (
            "settling on first watering, trodden",
            &material.collapse_trodden,
        ),
        (
            "how far gaps close as pieces rot (1: in step)",
            &material.void_closure,
        ),
        (
            "how far volume lags behind weight (1: no lag)",
            &material.lag,
        ),
        (
            "how rotting goes with size (0: not)",
            &material.size_exponent,
        ),
    ];
    let loose = material.loose.as_ref();
    lies.extend(loose.map(|value| ("share of its grains that trickles into gaps", value)));
    lies
}

/// What it is as a sheet.
#[must_use]
pub fn sheet_of(sheet: &Sheet) -> [(&'static str, &Sourced); 2] {
    if sheet.mat {
        [
            ("area that the mat covers", &sheet.cover),
            (
                "thickness of a loose layer that covers so much",
                &sheet.thickness,
            ),
        ]
    } else {
        [
            ("area that one sheet covers", &sheet.cover),
            ("thickness of a sheet", &sheet.thickness),
        ]
    }
}

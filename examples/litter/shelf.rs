//! The fitted rates beside those of the library: a note, not a test of either.

use moulder::internals::library::Library;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::site_rate::pool_rate_per_year;
use moulder_core::law::temperature::Q10_WOOD;
use moulder_core::math::elementary::exp;

use crate::season::Swing;
use crate::series::{Part, Series};
use crate::trial::{FORMS, Model, median};

/// Similar litters, and the most similar material of the library. The species behind the codes
/// are from memory.
struct Group {
    name: &'static str,
    part: Part,
    /// None stands for all.
    codes: Option<&'static [&'static str]>,
    material: Option<&'static str>,
}

const GROUPS: [Group; 5] = [
    Group {
        name: "deciduous leaves",
        part: Part::Leaf,
        codes: Some(&[
            "ACSA", "BELU", "CONU", "FAGR", "LITU", "POTR", "QUPR", "ROPS",
        ]),
        material: Some("deciduous leaves"),
    },
    Group {
        name: "evergreen leaves",
        part: Part::Leaf,
        codes: Some(&["CEGR", "DRGL", "LATR", "MYCE", "RHMA"]),
        material: Some("evergreen leaves"),
    },
    Group {
        name: "needles",
        part: Part::Leaf,
        codes: Some(&["ABCO", "ABLA", "PIEL", "PIRE", "PIST", "PSME", "THPL"]),
        material: Some("needles"),
    },
    Group {
        name: "all leaves",
        part: Part::Leaf,
        codes: None,
        material: None,
    },
    Group {
        name: "fine roots",
        part: Part::Root,
        codes: None,
        material: None,
    },
];

/// Years at 10 degC at which both are compared.
const YEARS: [f64; 3] = [1.0, 3.0, 10.0];

/// Prints the median of each group, fitted to all sites, and its material.
pub(crate) fn print(series: &Series, swing: Swing) -> Result<(), String> {
    let model = Model::fit(series, &series.points, swing, FORMS[0])?;
    println!("\nRates at 10 degC, fitted to all sites, and those of the catalogue");
    println!(
        "{:28} {:>6} {:>7} {:>7}  % left in {} years",
        "",
        "fast",
        "fast",
        "slow",
        YEARS.map(|years| years.to_string()).join(", ")
    );
    println!("{:28} {:>6} {:>7} {:>7}", "", "share", "1/yr", "1/yr");
    for group in &GROUPS {
        let curves: Vec<_> = (series.litters.iter().zip(&model.curves))
            .filter(|(litter, _)| {
                let is_named = |codes: &[&str]| codes.contains(&litter.code.as_str());
                litter.part == group.part && group.codes.is_none_or(is_named)
            })
            .map(|(_, curve)| *curve)
            .collect();
        let middle = |of: &dyn Fn(&crate::fit::Curve) -> f64| {
            median(curves.iter().map(of).collect()).unwrap_or(f64::NAN)
        };
        println!(
            "{:28} {:6.2} {:7.2} {:7.3}  {:.0}, {:.0}, {:.0}",
            format!("{} ({} kinds)", group.name, curves.len()),
            middle(&|curve| curve.fast_share),
            middle(&|curve| curve.fast_per_year),
            middle(&|curve| curve.slow_per_year),
            middle(&|curve| curve.left_percent(YEARS[0])),
            middle(&|curve| curve.left_percent(YEARS[1])),
            middle(&|curve| curve.left_percent(YEARS[2])),
        );
        if let Some(name) = group.material {
            print_material(name)?;
        }
    }
    println!(
        "The middle of each column stands by itself. Fitted rates hold the drought of\n\
         their sites inside; the catalogue's are for moist and aired matter."
    );
    Ok(())
}

fn print_material(name: &str) -> Result<(), String> {
    let library = Library::built_in();
    let material = (library.find_material(name)).ok_or(format!("the catalogue has no {name:?}"))?;
    let pools: Vec<(f64, f64)> = (material.pools.iter())
        .map(|pool| {
            let particle_size_m = material.particle_size.best;
            let rate = pool_rate_per_year(
                pool,
                material,
                particle_size_m,
                Figures::nominal(),
                Q10_WOOD.best,
            );
            (pool.share.best, rate)
        })
        .collect();
    let left = YEARS.map(|years| {
        let each = pools.iter().map(|(share, rate)| share * exp(-rate * years));
        format!("{:.0}", 100.0 * each.sum::<f64>())
    });
    let rates = match pools.as_slice() {
        [(share, fast), (_, slow)] => format!("{share:6.2} {fast:7.2} {slow:7.3}"),
        [(_, rate)] => format!("{:>6} {:>7} {rate:7.3}", "", "one"),
        _ => return Err(format!("{name:?} has neither one pool nor two")),
    };
    println!("{:28} {rates}  {}", "  in the catalogue", left.join(", "));
    Ok(())
}

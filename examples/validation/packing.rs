//! Packing of fines in the gaps of coarser pieces.

use moulder_core::law::packing::{
    Component, ENTRANCE_RATIO, filled_volume, mixed_volume_m3, usable_share, vanishing_share,
};

use crate::check::point;
use crate::source::{Source, own, read};
use crate::subject::Subject;

/// The figures are also in the test of `moulder_core`'s `packing.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Packing and sifting",
        sources: vec![yu_zou_standish(), furnas_1931(), logs(), spheres()],
    }
}

fn yu_zou_standish() -> Source {
    let table = [
        (0.01, "0.9946", "0.9840"),
        (0.05, "0.9662", "0.9190"),
        (0.10, "0.9170", "0.8371"),
        (0.154, "0.8504", "0.7489"),
        (0.20, "0.7854", "0.6750"),
        (0.50, "0.3170", "0.2654"),
    ];
    let mut checks = Vec::new();
    for (ratio, vanishing, usable) in table {
        checks.push(point(
            format!("f at a ratio of {ratio}"),
            vanishing,
            vanishing_share(ratio),
        ));
        checks.push(point(
            format!("g at a ratio of {ratio}"),
            usable,
            usable_share(ratio),
        ));
    }
    read(
        "Yu, Zou & Standish 1996, Ind. Eng. Chem. Res. 35:3730: coefficients read in two \
         independent public codes, points worked out from them by a script",
        checks,
    )
}

fn furnas_1931() -> Source {
    let porosity = 0.36;
    let component = |envelope_m3, particle_size_m| Component {
        envelope_m3,
        void_ratio: porosity / (1.0 - porosity),
        particle_size_m,
        rod_share: 0.0,
    };
    let solid_share = |coarse: f64| {
        1.0 / mixed_volume_m3(&[component(coarse, 1.0), component(1.0 - coarse, 1e-7)])
    };
    let densest = (1..1000)
        .map(|i| f64::from(i) / 1000.0)
        .map(|coarse| (solid_share(coarse), coarse))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let (share, at) = densest.unwrap_or((f64::NAN, f64::NAN));
    own(
        "Furnas 1931: two very unequal sizes of porosity 0.36; the limit is derived",
        vec![
            point("densest solid share", "0.8704", share)
                .wider(0.013, "the maximum of two volumes is smoothed"),
            point("coarse share there", "0.735", at)
                .wider(0.02, "the maximum of two volumes is smoothed"),
        ],
    )
}

fn logs() -> Source {
    let (envelope, gap, ratio) = (0.40 * 0.60, 0.40 * 0.40, 0.05);
    let full = gap * usable_share(ratio) / vanishing_share(ratio);
    let drop_m = 0.40 + full - filled_volume(envelope, gap, full, ratio);
    own(
        "Derived from the same laws: 0.40 m of logs, three fifths solid, filled by fines",
        vec![
            point("drop of the surface, m", "0.147", drop_m)
                .wider(0.002, "the maximum of two volumes is smoothed"),
        ],
    )
}

fn spheres() -> Source {
    own(
        "School geometry: the largest sphere that passes three touching ones",
        vec![
            point("its size over theirs", "0.1547", ENTRANCE_RATIO)
                .wider(0.001, "the law has the printed 0.154 of Yu & Standish 1991"),
        ],
    )
}

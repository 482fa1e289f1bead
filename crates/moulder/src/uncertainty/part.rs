//! The parts of the deviation of a figure of a material.

use moulder_core::math::elementary::sqrt;

use crate::library::calibration::Calibration;
use crate::library::family::{COMMON_SHARE, Kin};
use crate::library::figure::Figure;
use crate::uncertainty::parameter::UncertainParameter;

/// A part of a figure's deviation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Part {
    /// The parameter behind it.
    pub(crate) parameter: UncertainParameter,
    /// What it counts.
    pub(crate) weight: f64,
}

/// The parts of a figure's deviation under a calibration: in common first, its own last.
///
/// What is in common and calibrated counts as much less as its posterior is narrower than its
/// prior.
pub(crate) fn parts(kin: &Kin, figure: &Figure<'_>, calibration: &Calibration) -> Vec<Part> {
    let own = |weight| Part {
        parameter: UncertainParameter::Own {
            material: kin.material.clone(),
            of: figure.of,
            nth: figure.nth,
        },
        weight,
    };
    let Some(key) = kin.family(figure.of, figure.value) else {
        return vec![own(1.0)];
    };
    let sd = calibration
        .of_family(figure.of, key)
        .map_or(1.0, |is| is.sd);
    let common_variance = COMMON_SHARE.best * sd * sd;
    let variance = common_variance + 1.0 - COMMON_SHARE.best;
    let common = Part {
        parameter: UncertainParameter::Common {
            of: figure.of,
            key: key.to_owned(),
        },
        weight: sqrt(common_variance / variance),
    };
    vec![common, own(sqrt((1.0 - COMMON_SHARE.best) / variance))]
}

#[cfg(test)]
mod tests {
    use super::Part;
    use crate::library::Library;
    use crate::library::calibration::Calibration;
    use crate::library::family::Kin;
    use crate::library::figure::figures_of;
    use crate::uncertainty::parameter::UncertainParameter;

    fn parts(material: &str, of: &str) -> Vec<Part> {
        let mut material = Library::built_in().find_material(material).unwrap().clone();
        let kin = Kin::of(&material);
        let figures = figures_of(&mut material);
        let figure = figures.iter().find(|figure| figure.of == of).unwrap();
        super::parts(&kin, figure, Calibration::kept())
    }

    /// The parts of a figure make a standard normal deviation.
    #[test]
    fn weights_are_a_unit_vector() {
        for material in Library::built_in().materials() {
            let mut material = material.clone();
            let kin = Kin::of(&material);
            for figure in figures_of(&mut material) {
                let parts = super::parts(&kin, &figure, Calibration::kept());
                let sum: f64 = parts.iter().map(|part| part.weight * part.weight).sum();
                assert!((sum - 1.0).abs() < 1e-12, "{}", figure.of);
                let own = &parts.last().unwrap().parameter;
                assert!(matches!(own, UncertainParameter::Own { .. }));
            }
        }
    }

    #[test]
    fn families_are_those_of_the_key_the_rate_and_the_kind() {
        let common = |material: &str, of: &str| {
            let parts = parts(material, of);
            (parts.len() == 2).then(|| parts[0].parameter.clone())
        };
        let of = "collapse, tipped";
        assert_eq!(common("straw", of), common("hay", of));
        assert_ne!(common("straw", of), common("loamy topsoil", of));
        assert_ne!(common("oak log", of), common("twigs", of));
        assert_eq!(common("oak log", "rate"), common("twigs", "rate"));
        assert_ne!(common("straw", of), common("straw", "compression"));
        // Read, not judged.
        assert_eq!(common("oak log", "organic density"), None);
        assert_eq!(common("straw", "share of a pool"), None);
        let mut mine = Library::built_in().find_material("hay").unwrap().clone();
        mine.collapse_tipped.shared_by = Some("my meadow".into());
        let kin = Kin::of(&mine);
        let figures = figures_of(&mut mine);
        let key = match &super::parts(&kin, &figures[1], Calibration::kept())[0].parameter {
            UncertainParameter::Common { key, .. } => key.clone(),
            _ => String::new(),
        };
        assert_eq!(key, "my meadow");
    }
}

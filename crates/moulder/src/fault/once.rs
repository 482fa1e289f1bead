//! Notices said once for all layers that raise them.

use super::notice::{AIRLESS_LAYER, Notice};

/// A notice, and the layers that raise it, from the ground up; none where it speaks of no layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Once {
    /// The notice, with figures that hold for all of its layers.
    pub notice: Notice,
    /// Indices of the layers.
    pub layers: Vec<usize>,
}

/// Notices in their order, those that say the same of several layers once.
#[must_use]
pub fn once<'n>(notices: impl IntoIterator<Item = &'n Notice>) -> Vec<Once> {
    let mut all: Vec<Once> = Vec::new();
    for notice in notices {
        match all.iter_mut().find(|known| is_same(&known.notice, notice)) {
            Some(known) => {
                join(&mut known.notice, notice);
                known.layers.extend(notice.layer);
            }
            None => all.push(Once {
                notice: notice.clone(),
                layers: notice.layer.into_iter().collect(),
            }),
        }
    }
    for known in &mut all {
        known.layers.sort_unstable();
        known.layers.dedup();
    }
    all
}

/// Whether both say the same, of whatever layer.
fn is_same(one: &Notice, other: &Notice) -> bool {
    let is_alike = one.values == other.values || (one.code == AIRLESS_LAYER && one.layer.is_some());
    one.code == other.code
        && one.acknowledged == other.acknowledged
        && one.layer.is_some() == other.layer.is_some()
        && is_alike
}

/// Most months of several layers, where they differ.
const UP_TO: &str = "up to ";

/// Has a notice speak of another's layer as well: layers are airless from the first month of any
/// on, and in no more months than one of them.
fn join(known: &mut Notice, other: &Notice) {
    if known.values == other.values {
        return;
    }
    for ((name, value), (_, more)) in known.values.iter_mut().zip(&other.values) {
        let number = |text: &str| text.trim_start_matches(UP_TO).parse::<u32>().ok();
        if let (Some(here), Some(there)) = (number(value), number(more)) {
            match &**name {
                "first" => *value = here.min(there).to_string(),
                "months" if here != there => *value = format!("{UP_TO}{}", here.max(there)),
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::once;
    use crate::fault::notice::{AIRLESS_LAYER, Notice, THIN_SOIL, TOO_MUCH_GREEN};

    fn airless(layer: usize, first: u32, months: u32) -> Notice {
        let values = [("first", first), ("months", months), ("of", 12)];
        let values = values.map(|(name, value)| (name, value.to_string()));
        Notice::new(AIRLESS_LAYER, Some(layer), values.to_vec())
    }

    #[test]
    fn what_is_the_same_of_several_layers_is_said_once() {
        let green = |layer| Notice::new(TOO_MUCH_GREEN, Some(layer), Vec::new());
        let thin = |cm: &str| Notice::new(THIN_SOIL, Some(3), vec![("thickness", cm.to_owned())]);
        let mut seen = green(4);
        seen.acknowledged = true;
        let notices = [
            green(2),
            airless(1, 3, 2),
            green(0),
            airless(2, 1, 6),
            thin("1 cm"),
            thin("2 cm"),
            seen,
            airless(0, 2, 6),
        ];
        let said = once(&notices);
        let layers: Vec<&[usize]> = said.iter().map(|once| once.layers.as_slice()).collect();
        assert_eq!(layers, [&[0, 2][..], &[0, 1, 2], &[3], &[3], &[4]]);
        assert_eq!(said[1].notice.value("first"), "1");
        assert_eq!(said[1].notice.value("months"), "up to 6");
        assert_eq!(once(&notices[1..2])[0].notice, notices[1]);
    }
}

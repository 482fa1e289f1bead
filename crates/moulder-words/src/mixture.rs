//! Mixtures in words: always a range, never a verdict.

use moulder::Bed;
use moulder::internals::model::compile::{Arrival, arrivals};
use moulder::internals::model::figures::Figures;
use moulder::internals::model::mixture::{Mixture, Mixtures};
use moulder::internals::quantity::range::Range;

use crate::range::with_ends;

/// The mixture of a layer, as a phrase.
///
/// ```
/// use moulder::Bed;
/// use moulder::internals::model::mixture::Mixtures;
/// use moulder_words::mixture::in_a_phrase;
///
/// let phrase = in_a_phrase(&Mixtures::of(&Bed::example())?.layers[0]);
/// assert!(phrase.starts_with("carbon to nitrogen about "), "{phrase}");
/// # Ok::<(), moulder::materials::NoRoom>(())
/// ```
#[must_use]
pub fn in_a_phrase(mixture: &Mixture) -> String {
    format!(
        "carbon to nitrogen {}; arrives {} water",
        about(&mixture.carbon_to_nitrogen),
        percent(mixture.moisture_wet)
    )
}

/// The mixture of the whole fill and of the layers in which roots live, in a sentence or two.
/// None for a bed of one layer, for which [`in_a_phrase`] is enough.
#[must_use]
pub fn fill_in_sentences(bed: &Bed, mixtures: &Mixtures) -> Option<String> {
    if mixtures.layers.len() < 2 {
        return None;
    }
    let layers = bed.layers().iter().zip(&mixtures.layers);
    let rooted: Vec<String> = layers
        .filter(|(layer, _)| layer.grows)
        .map(|(_, mixture)| about(&mixture.carbon_to_nitrogen))
        .collect();
    let roots = match rooted.as_slice() {
        [] => String::new(),
        [only] => format!("; where roots live it is {only}"),
        [rest @ .., top] => format!(
            "; where roots live it is, from the ground up, {} and {top}",
            rest.join(", ")
        ),
    };
    Some(format!(
        "The carbon to nitrogen of the whole fill is {}{roots}. The fill arrives {} water. The \
         ranges (8 in 10 lie within) come of the materials' nitrogen; the amounts are \
         taken as given.",
        about(&mixtures.fill.carbon_to_nitrogen),
        percent(mixtures.fill.moisture_wet)
    ))
}

/// "about 31 (24 to 40)".
fn about(ratio: &Range) -> String {
    let [told, low, high] = [ratio.best, ratio.low, ratio.high].map(figure);
    format!("about {}", with_ends(&told, &low, &high))
}

/// Two significant figures: whole numbers, from a hundred on tens.
fn figure(ratio: f64) -> String {
    if ratio < 99.5 {
        format!("{ratio:.0}")
    } else {
        format!("{:.0}", (ratio / 10.0).round() * 10.0)
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// Volume of each ingredient by itself, loose as tipped, layer by layer from the ground up; m3.
/// Empty for a mound without room for its layers.
///
/// ```
/// use moulder_words::mixture::loose_m3;
///
/// assert_eq!(loose_m3(&moulder::Bed::example()).len(), 3);
/// ```
#[must_use]
pub fn loose_m3(bed: &Bed) -> Vec<Vec<f64>> {
    let arrived = arrivals(bed, Figures::nominal()).unwrap_or_default();
    let of = |arrival: &Arrival<'_>| arrival.loose_m3;
    arrived
        .iter()
        .map(|layer| layer.iter().map(of).collect())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{Range, about};

    #[test]
    fn a_ratio_is_said_with_its_range() {
        let ratio = |best, low, high| about(&Range { best, low, high });
        assert_eq!(ratio(31.2, 24.4, 39.6), "about 31 (24 to 40)");
        assert_eq!(ratio(560.0, 451.0, 819.0), "about 560 (450 to 820)");
        assert_eq!(ratio(99.6, 9.7, 104.9), "about 100 (10 to 100)");
    }
}

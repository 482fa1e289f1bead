//! A quantity: the first byte gives the accepted dimensions, the rest is the text.

use std::sync::LazyLock;

use moulder::internals::quantity::measures::Measures;
use moulder::internals::quantity::parse::parse;
use moulder::internals::quantity::unit::Dimension;

const DIMENSIONS: [Dimension; 5] = [
    Dimension::Length,
    Dimension::Volume,
    Dimension::Mass,
    Dimension::Share,
    Dimension::Angle,
];

static MEASURES: LazyLock<Measures> = LazyLock::new(|| {
    let mut measures = Measures::default();
    for (name, volume_m3) in [("bucket", 0.014), ("Trailer Load", 1.2)] {
        if let Err(refusal) = measures.add(name, volume_m3) {
            panic!("{refusal:?}");
        }
    }
    measures
});

pub(super) fn read(bytes: &[u8]) {
    let Some((mask, text)) = bytes.split_first() else {
        return;
    };
    let Ok(text) = std::str::from_utf8(text) else {
        return;
    };
    let bits = DIMENSIONS.into_iter().enumerate();
    let wanted: Vec<Dimension> = bits
        .filter(|(bit, _)| mask >> bit & 1 == 1)
        .map(|(_, dimension)| dimension)
        .collect();
    match parse(text, &wanted, &MEASURES) {
        Ok(quantity) => {
            assert!(quantity.value.is_finite() && quantity.value >= 0.0);
            assert!(wanted.contains(&quantity.dimension));
            assert!(!quantity.dry || quantity.dimension == Dimension::Mass);
            assert!(quantity.measure.is_none() || quantity.dimension == Dimension::Volume);
            // Surrounding blanks and capitals change nothing.
            let spaced = parse(&format!(" {} ", text.trim()), &wanted, &MEASURES);
            assert!(text.chars().count() > 58 || spaced.as_ref() == Ok(&quantity));
        }
        Err(refusal) => {
            assert!(wanted.is_empty() || !refusal.expected.is_empty());
            assert!(refusal.help.iter().all(|help| help.trim() != text.trim()));
        }
    }
}

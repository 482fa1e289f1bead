//! Readings that are a surprise, in words.

use moulder::Fit;
use moulder::internals::text::phrase::joined;
use moulder::months::{Doubted, GivenReadings};

use crate::forecast::spoken_date;

/// What is said of readings that hardly any such bed would give; none where they are no surprise.
///
/// ```
/// use moulder::{Bed, Reading, date};
/// use moulder_words::surprise::in_a_forecast;
///
/// let bed = Bed::example().with_reading(Reading::below_rim_m(date(2026, 5, 14), 0.10))?;
/// let given = bed.forecast().months(3).run()?.given.unwrap();
/// assert_eq!(in_a_forecast(&given), None);
/// # Ok::<(), moulder::Error>(())
/// ```
#[must_use]
pub fn in_a_forecast(given: &GivenReadings) -> Option<String> {
    let of_all = given.doubted.len() == given.count as usize;
    given
        .is_surprising
        .then(|| surprise(&given.doubted, of_all))
}

/// The same of a fit.
#[must_use]
pub fn in_a_fit(fit: &Fit) -> Option<String> {
    let agreement = &fit.agreement;
    let doubted = agreement.at_fault.iter().filter_map(|at| {
        let slip = agreement.slips.iter().find(|slip| slip.reading == *at);
        Some(Doubted::new(
            fit.readings.get(*at)?.on,
            slip.map(|slip| (slip.figure, slip.in_inches)),
        ))
    });
    let doubted: Vec<Doubted> = doubted.collect();
    let of_all = doubted.len() == fit.readings.len();
    agreement.is_surprising.then(|| surprise(&doubted, of_all))
}

/// Which readings, how they are taken, and the usual reasons.
fn surprise(doubted: &[Doubted], of_all: bool) -> String {
    let days: Vec<String> = doubted.iter().map(|one| spoken_date(one.on)).collect();
    let which = match days.as_slice() {
        [one] => format!("The reading of {one} is a surprise"),
        _ if of_all => "The readings together are a surprise".to_owned(),
        days => format!(
            "One of the readings of {} is a surprise",
            joined(days, "or")
        ),
    };
    let slips: Vec<String> = doubted
        .iter()
        .filter_map(|one| {
            let (figure, in_inches) = one.would_fit?;
            let unit = if in_inches { "in" } else { "cm" };
            Some(format!("{figure:.0} {unit} would fit"))
        })
        .collect();
    let counts = if of_all {
        "The forecast goes on from what was measured all the same."
    } else {
        "It counts like the others, and the forecast lies between them."
    };
    let mut slips = slips;
    slips.dedup();
    let unit = if slips.is_empty() {
        "another unit".to_owned()
    } else {
        format!("another unit ({})", joined(&slips, "and"))
    };
    format!(
        "{which}: fewer than one in a hundred such beds would be read so far off. {counts} The \
         range of it is no wider for that: trust it less until you have measured again. The usual reasons: {unit}, \
         another edge than the rim, a bed filled firmer or less full than told, something laid on \
         that the file does not have, a hollow that caved in."
    )
}

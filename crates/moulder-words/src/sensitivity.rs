//! What to measure, in words.
//!
//! ```
//! use moulder::ensembles::ParameterGroup;
//! use moulder_words::sensitivity::{how_to_measure, what};
//!
//! for group in ParameterGroup::ALL {
//!     assert!(!what(group).is_empty() && !how_to_measure(group).is_empty());
//! }
//! ```

use crate::figure::height::{reading, span};
use crate::forecast::spoken_date;
use moulder::Sensitivity;
use moulder::ensembles::ParameterGroup;
use moulder::ensembles::ParameterSensitivity;

/// What a group of uncertain parameters is, in a few words that follow "knowing".
#[must_use]
pub const fn what(group: ParameterGroup) -> &'static str {
    match group {
        ParameterGroup::StartHeight => "how high it stood at the start",
        ParameterGroup::Amounts => "how much of each thing went in",
        ParameterGroup::Filling => "how firmly it was filled",
        ParameterGroup::LooseLogs => "how loosely the logs lay",
        ParameterGroup::LooseBrush => "how loosely the brush went in",
        ParameterGroup::LooseSoft => "how loosely the soft stuff went in",
        ParameterGroup::LooseSoil => "how loosely the soil went in",
        ParameterGroup::Giving => "how far it goes down under load and water",
        ParameterGroup::Moisture => "how wet it was when it went in",
        ParameterGroup::Wood => "how thick and how rotten the wood was",
        ParameterGroup::Lumps => "how coarse the soft stuff and the soil were",
        ParameterGroup::Bulge => "how far the bag bulges",
        ParameterGroup::NonwoodyDecay => "how fast soft stuff rots",
        ParameterGroup::WoodDecay => "how fast wood rots",
        ParameterGroup::Makeup => "what it is made of: its weight, ash and nitrogen",
        ParameterGroup::SettlingLaws => "how it creeps, sifts and shrinks",
        ParameterGroup::WaterLaws => "how water, air and warmth go through it",
        ParameterGroup::Weather => "the years' weather",
        ParameterGroup::Laws => "whether the laws hold",
    }
}

/// How to measure a group, or why nobody can (our own judgement, and common practice).
#[must_use]
pub const fn how_to_measure(group: ParameterGroup) -> &'static str {
    match group {
        ParameterGroup::StartHeight => "tape from the rim, at five spots, on the day of filling",
        ParameterGroup::Amounts => "count the loads, and weigh one of each",
        ParameterGroup::Filling => "say what was done to each layer (then)",
        ParameterGroup::LooseLogs => "weigh a stacked crate of them",
        ParameterGroup::LooseBrush | ParameterGroup::LooseSoft => {
            "fill a tub the same way and weigh it"
        }
        ParameterGroup::LooseSoil => "fill a bucket the same way and weigh it",
        ParameterGroup::Giving => "fill a tub, soak it, load it, tape how far it goes down",
        ParameterGroup::Moisture => "weigh a bagful, dry it, weigh it again",
        ParameterGroup::Wood => "measure twenty pieces; see how deep a nail goes in by hand",
        ParameterGroup::Lumps => "measure twenty lumps of each, and state it (across)",
        ParameterGroup::Bulge => "a string around its middle, now and in a month",
        ParameterGroup::NonwoodyDecay | ParameterGroup::WoodDecay => {
            "not beforehand: a tape in the bed shows it in time"
        }
        ParameterGroup::Makeup => "only in a laboratory",
        ParameterGroup::SettlingLaws | ParameterGroup::WaterLaws => "nobody can, in a garden",
        ParameterGroup::Weather => "nobody can know it beforehand",
        ParameterGroup::Laws => "nobody can; fit takes it into account",
    }
}

/// The width of the interval, and what contributes most to it; to be read aloud.
#[must_use]
pub fn most_in_a_sentence(found: &Sensitivity) -> String {
    let units = found.units;
    let (by, width_m) = (spoken_date(found.by), found.width_m());
    let sunk = span(
        found.settlement_m.lower.max(0.0),
        found.settlement_m.upper.max(0.0),
        units,
    );
    let range = format!("By {by} 8 in 10 such beds will have sunk {sunk}");
    let width = reading(width_m, units);
    let Some(most) = found.most() else {
        return format!("{range}, and nothing that is uncertain makes a difference.");
    };
    if width.starts_with("0 ") {
        return format!("{range}: closer than a tape reads, so there is nothing to measure.");
    }
    let narrowed = |one: &ParameterSensitivity| {
        let left = reading(one.width_if_known_m, units);
        (left != width).then(|| format!("from {width} to about {left}"))
    };
    let to_measure = found.to_measure();
    let best = to_measure.first().copied();
    let best = best.and_then(|best| Some((best, narrowed(best)?)));
    let told = match &best {
        Some((best, narrowed)) if best.group == most.group => format!(
            "Measuring {} would narrow that range most: {narrowed}.",
            what(best.group)
        ),
        Some((best, narrowed)) if most.measurable => format!(
            "What moves it most, together with the rest, is {}; but measuring {} alone would \
             narrow the range most: {narrowed}.",
            what(most.group),
            what(best.group)
        ),
        Some((best, narrowed)) => format!(
            "What moves it most is {}, which nobody can measure as the bed is filled. Of what \
             can be measured, {} would narrow the range most: {narrowed}.",
            what(most.group),
            what(best.group)
        ),
        None => format!(
            "What moves it most is {}. No one thing that can be measured as the bed is filled \
             would narrow the range by as much as a tape reads.",
            what(most.group)
        ),
    };
    let doubt = match to_measure.as_slice() {
        [one, other, ..] if best.is_some() && !is_told_apart(one, other) => {
            format!(" By these runs, {} may do as much.", what(other.group))
        }
        _ => String::new(),
    };
    format!("{range}. {told}{doubt}")
}

/// Whether a share is larger than another by more than the standard error of the two.
fn is_told_apart(one: &ParameterSensitivity, other: &ParameterSensitivity) -> bool {
    let (a, b) = (one.first_order, other.first_order);
    let error = libm::hypot(a.standard_error, b.standard_error);
    a.share - b.share > error
}

/// What the figures rest on.
#[must_use]
pub fn rows_in_words(found: &Sensitivity) -> String {
    format!(
        "From {} forecasts. Each row is one thing that is not known. Alone: the part of the doubt \
         about how far it sinks that would go if you knew that one thing and nothing else. In \
         all: what it brings in together with other things as well, so that these add up to more \
         than 100 %. Doubt is counted as variance, the square of a range. Give or take: how far \
         a share may be off for want of more forecasts; --draws {} would halve it.",
        found.forecasts,
        found.rows.saturating_mul(4)
    )
}

#[cfg(test)]
mod tests {
    use super::{how_to_measure, most_in_a_sentence, what};
    use moulder::Interval;
    use moulder::Sensitivity;
    use moulder::Units;
    use moulder::ensembles::Estimate;
    use moulder::ensembles::ParameterGroup;
    use moulder::ensembles::ParameterSensitivity;

    fn one(
        group: ParameterGroup,
        first_order: f64,
        total: f64,
        width_if_known_m: f64,
    ) -> ParameterSensitivity {
        let estimate = |share: f64| Estimate {
            share,
            standard_error: 0.05,
        };
        ParameterSensitivity {
            group,
            measurable: group.is_measurable(),
            parameters: 1,
            first_order: estimate(first_order),
            total: estimate(total),
            width_if_known_m,
        }
    }

    fn said(groups: Vec<ParameterSensitivity>, high_m: f64) -> String {
        most_in_a_sentence(&Sensitivity {
            engine: "test".into(),
            schema: 1,
            name: "bed".to_owned(),
            dangers: Vec::new(),
            units: Units::Metric,
            month: 6,
            by: moulder::date(2026, 9, 14),
            seed: 1,
            rows: 64,
            forecasts: 640,
            settlement_m: Interval {
                lower: 0.26,
                upper: high_m,
                ..Interval::known(0.31)
            },
            standard_deviation_m: 0.05,
            groups,
        })
    }

    #[test]
    fn what_matters_most_is_what_to_measure() {
        let brush = one(ParameterGroup::LooseBrush, 0.5, 0.6, 0.08);
        let start = one(ParameterGroup::StartHeight, 0.1, 0.1, 0.11);
        assert_eq!(
            said(vec![brush, start], 0.38),
            "By 14 Sep 2026 8 in 10 such beds will have sunk 26 to 38 cm. Measuring how \
             loosely the brush went in would narrow that range most: from 12 cm to about 8 cm."
        );
    }

    #[test]
    fn what_matters_most_cannot_be_measured() {
        let rot = one(ParameterGroup::WoodDecay, 0.5, 0.6, 0.08);
        let logs = one(ParameterGroup::LooseLogs, 0.2, 0.22, 0.105);
        let amounts = one(ParameterGroup::Amounts, 0.18, 0.2, 0.11);
        assert_eq!(
            said(vec![rot, logs, amounts], 0.38),
            "By 14 Sep 2026 8 in 10 such beds will have sunk 26 to 38 cm. What moves it \
             most is how fast wood rots, which nobody can measure as the bed is filled. Of \
             what can be measured, how loosely the logs lay would narrow the range most: from \
             12 cm to about 11 cm. By these runs, how much of each thing went in may do as \
             much."
        );
    }

    #[test]
    fn company_and_nothing_to_measure() {
        let pieces = one(ParameterGroup::Wood, 0.05, 0.4, 0.117);
        let giving = one(ParameterGroup::Giving, 0.3, 0.32, 0.1);
        let told = said(vec![pieces, giving], 0.38);
        assert!(
            told.contains("together with the rest, is how thick"),
            "{told}"
        );
        assert!(told.contains("under load and water alone would"), "{told}");
        let little = one(ParameterGroup::Giving, 0.01, 0.02, 0.119);
        let weather = one(ParameterGroup::Weather, 0.9, 0.95, 0.04);
        let told = said(vec![weather, little], 0.38);
        assert!(told.ends_with("by as much as a tape reads."), "{told}");
        let still = one(ParameterGroup::Giving, 0.0, 0.0, 0.0);
        assert!(said(vec![still], 0.38).ends_with("makes a difference."));
        assert!(said(vec![giving], 0.263).ends_with("nothing to measure."));
    }

    /// Each has words of its own.
    #[test]
    fn every_group_has_words() {
        let mut words: Vec<&str> = ParameterGroup::ALL.into_iter().map(what).collect();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), ParameterGroup::ALL.len());
        for group in ParameterGroup::ALL {
            let how = how_to_measure(group);
            let cannot = ["not beforehand", "only in", "nobody can"];
            let cannot = cannot.iter().any(|start| how.starts_with(start));
            assert_ne!(cannot, group.is_measurable(), "{how}");
        }
    }
}

//! The owner's feed.

use clap::Args;
use moulder::Date;
use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::feeding::Feeding;
use moulder::internals::forecast::progress::Progress;
use moulder::internals::read::field::FEED_NITROGEN;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_bridge::recipe::feed::doses;

/// The feed that doses are told in.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct FeedArguments {
    /// Tell how much to feed in your own feed, by what its label says of nitrogen, as in "13 % N";
    /// if nothing is said, in the feed of the bed file's last [[fed]], or in one of 13 %
    #[arg(long, value_name = "LABEL", value_parser = label)]
    pub(crate) feed: Option<Label>,
}

impl FeedArguments {
    /// The doses for the year from a day on, to be told in that feed: for every answer about a bed
    /// the same.
    pub(crate) fn doses(
        &self,
        bed: &Bed,
        from: Date,
        draws: Realisations,
        progress: &Progress<'_>,
    ) -> Result<Feeding, Error> {
        doses(bed, from, draws, self.share(), progress)
    }

    /// The share of nitrogen that was typed.
    pub(crate) fn share(&self) -> Option<f64> {
        self.feed.as_ref().map(|label| label.share)
    }
}

/// What the label of a feed says of nitrogen.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Label {
    /// Per cent of its weight, as it was typed.
    pub(crate) percent: String,
    /// Share of its weight.
    pub(crate) share: f64,
}

/// Reads a label as it is printed.
pub(crate) fn label(text: &str) -> Result<Label, String> {
    let lower = text.trim().to_lowercase();
    let bare = lower
        .trim_start_matches("npk")
        .trim_end_matches("nitrogen")
        .trim_end_matches('n')
        .trim();
    let mut parts = bare.split('-');
    let percent = match (parts.next(), parts.next(), parts.next(), parts.next()) {
        (Some(first), Some(_), Some(_), None) => Some(first.trim().to_owned()),
        _ => bare
            .strip_suffix('%')
            .map(|number| number.trim().to_owned()),
    };
    // Digits and a point alone, as a label has them and a bed file takes them.
    let is_plain = |percent: &String| percent.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let label = percent.filter(is_plain).and_then(|percent| {
        let share = percent.parse::<f64>().ok()? / 100.0;
        FEED_NITROGEN
            .holds(share)
            .then_some(Label { percent, share })
    });
    label.ok_or_else(|| {
        "write what the label says of nitrogen, as in \"13 % N\", or its three numbers, as in 7-5-6"
            .to_owned()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_read_as_it_is_printed() {
        for (text, percent) in [
            ("13 % N", "13"),
            ("13%N", "13"),
            ("13 %", "13"),
            ("4.5 % nitrogen", "4.5"),
            ("100 % N", "100"),
            ("7-5-6", "7"),
            ("NPK 7-5-6", "7"),
        ] {
            assert_eq!(label(text).unwrap().percent, percent, "{text}");
        }
        for text in [
            "13",
            "0.13",
            "N",
            "",
            "0 % N",
            "-1 % N",
            "100.1 % N",
            "130 % N",
            "nan % N",
            "1e1 %",
            "4,5 %",
            "7-5",
            "many % N",
            "-3 % N",
        ] {
            assert!(label(text).is_err(), "{text}");
        }
    }
}

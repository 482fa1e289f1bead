//! The list `seen` of acknowledged notices.

use super::given::Given;
use super::walk::Walk;
use crate::fault::notice::CODES;

impl Walk<'_> {
    /// Codes of notices.
    pub(super) fn seen(&mut self, given: &Given<'_>) -> Vec<&'static str> {
        let described = "\"lifting\" or any other notice that \"moulder codes\" lists";
        self.words_of(given, CODES, described)
    }
}

#[cfg(test)]
mod tests {
    use crate::bed::document::{BedDocument, schema};
    use crate::fault::FaultCode;
    use crate::read::read_toml;
    use crate::support::library;

    const BED: &str = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\nSEEN\n\
        [bed]\nshape = \"mound\"\nwidth = \"1 m\"\nlength = \"2 m\"\nMORE\n\
        [[layer]]\nput = [{ material = \"turf\", amount = \"5 cm\" }]\n";

    fn codes(seen: &str, more: &str) -> Vec<(FaultCode, Vec<String>)> {
        let text = BED.replace("SEEN", seen).replace("MORE", more);
        let faults = read_toml(&text, &library());
        let faults = faults.err().into_iter().flat_map(|faults| {
            let all: Vec<_> = faults.iter().cloned().collect();
            all
        });
        faults.map(|fault| (fault.code, fault.help)).collect()
    }

    #[test]
    fn codes_of_notices_are_read_and_others_refused_with_the_nearest() {
        let text = BED.replace("SEEN", "seen = [\"lifting\", \"wet-weight\"]");
        let bed = read_toml(&text.replace("MORE", ""), &library()).unwrap();
        assert_eq!(bed.seen, ["lifting", "wet-weight"]);
        let faults = codes("seen = [\"wet-wait\", \"decimal-comma\"]", "");
        assert_eq!(faults.len(), 2);
        assert_eq!(faults[0].0, FaultCode::UnknownWord);
        assert_eq!(faults[0].1[0], "wet-weight");
        // A fault is not a notice that can be acknowledged.
        assert_eq!(faults[1].0, FaultCode::UnknownWord);
        assert_eq!(codes("seen = \"lifting\"", "")[0].0, FaultCode::WrongKind);
        let twice = codes("seen = [\"lifting\", \"lifting\"]", "");
        assert_eq!(twice[0].0, FaultCode::RepeatedKey);
    }

    #[test]
    fn a_mound_has_no_boards_and_places_are_few() {
        let boards = codes("", "boards = \"untreated\"");
        assert_eq!(boards[0].0, FaultCode::OtherShape);
        let roof = codes("", "stands-on = \"rooff\"\nnear-wall = \"yes\"");
        assert_eq!(roof[0], (FaultCode::UnknownWord, vec!["roof".to_owned()]));
        assert_eq!(roof[1].0, FaultCode::WrongKind);
    }

    /// The schema shows what the manual shows.
    #[test]
    fn documents_hold_codes_as_texts() {
        let seen = &schema().to_value()["properties"]["seen"];
        assert_eq!(seen["items"]["type"], "string");
        let text = BED
            .replace("SEEN", "seen = [\"lifting\"]")
            .replace("MORE", "");
        let filled = text.replace("2026-03-14", "\"2026-03-14\"");
        let document: BedDocument = toml::from_str(&filled).unwrap();
        assert_eq!(document.seen, ["lifting"]);
    }
}

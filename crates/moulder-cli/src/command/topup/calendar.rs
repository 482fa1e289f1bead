//! When to measure, order and top up, as a calendar (RFC 5545; read).

use icalendar::{Calendar, Component as _, Event, Parameter, Property};
use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::forecast::progress::Progress;
use moulder::internals::library::material::Material;
use moulder::internals::topup::{Buying, PooledOrder, TopUps};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::{Date, Forecast};
use moulder_words::calendar::{Entry, of_a_bed, own_orders, shared_orders};

use crate::common::record::one_spaced;
use crate::print::lines::safe;

/// What to do with the file.
pub(crate) const HINT: &str = "Open it with your calendar. After a reading, write it again with \
                               --force and open it again.";
/// Who made it (section 3.7.3).
const MADE_BY: &str = "-//moulder//top-ups//EN";
/// The longest line; octets without its end (section 3.1).
const LINE_OCTETS: usize = 75;

/// An entry with what tells it from all others.
struct Named<'e> {
    entry: &'e Entry,
    /// The bed, or the beds that share an order.
    whom: &'e str,
    /// Its number among beds of that name.
    number: usize,
    /// The day that its words rest on: that of the last reading, or of filling.
    known_on: Date,
}

/// The calendar of beds, each from a day on, and their top-ups, with that material; `orders` are
/// those that the beds share and how they are bought, none where each buys for itself.
pub(super) fn written(
    dated: &[(&Bed, Date)],
    plans: &[TopUps],
    material: &Material,
    orders: Option<(&[PooledOrder], &Buying)>,
    draws: Realisations,
    progress: &Progress<'_>,
) -> Result<String, Error> {
    let beds: Vec<&Bed> = dated.iter().map(|(bed, _)| *bed).collect();
    let pooled = orders.map_or(&[][..], |(orders, _)| orders);
    let shared = orders.map_or_else(Vec::new, |(pooled, buying)| {
        shared_orders(plans, pooled, buying)
    });
    let known_on = |bed: &Bed| bed.readings().last().map_or(bed.filled(), |last| last.on);
    let mut own: Vec<Vec<Entry>> = Vec::new();
    for (place, (&(bed, day), plan)) in dated.iter().zip(plans).enumerate() {
        let topped_up = plan.laid_on(bed, material);
        let forecast: Forecast = current_forecast(&topped_up, plan.months, draws, progress)?;
        let has_part = |order: &&Entry| {
            let mut parts = pooled
                .iter()
                .filter(|pooled| pooled.order_by == Some(order.on));
            parts.any(|pooled| pooled.beds.iter().any(|(bed, _)| *bed == place))
        };
        let ordered = if orders.is_some() {
            shared.iter().filter(has_part).cloned().collect()
        } else {
            own_orders(plan)
        };
        let mut entries = of_a_bed(bed, plan, &forecast, &ordered, day);
        if orders.is_none() {
            entries.extend(ordered);
        }
        own.push(entries);
    }
    let all = beds
        .iter()
        .map(|bed| bed.name())
        .collect::<Vec<_>>()
        .join("; ");
    let latest = beds
        .iter()
        .map(|bed| known_on(bed))
        .max()
        .unwrap_or_default();
    let of_all = shared.iter().map(|entry| Named {
        entry,
        whom: &all,
        number: 0,
        known_on: latest,
    });
    let of_each = beds.iter().enumerate().flat_map(|(place, bed)| {
        let number = beds[..place]
            .iter()
            .filter(|other| other.name() == bed.name())
            .count();
        own[place].iter().map(move |entry| Named {
            entry,
            whom: bed.name(),
            number,
            known_on: known_on(bed),
        })
    });
    let mut named: Vec<Named<'_>> = of_all.chain(of_each).collect();
    named.sort_by_key(|named| (named.entry.on, named.entry.kind));
    Ok(calendar(&named))
}

/// The entries as text. It is made of nothing but them: the library would read the clock for a
/// stamp and draw a name where none is given.
fn calendar(entries: &[Named<'_>]) -> String {
    let mut calendar = Calendar::empty();
    for (name, value) in [
        ("VERSION", "2.0"),
        ("PRODID", MADE_BY),
        ("CALSCALE", "GREGORIAN"),
    ] {
        calendar.append_property(Property::new(name, value));
    }
    for named in entries {
        let entry = named.entry;
        let text: Vec<String> = entry.text.lines().map(in_a_line).collect();
        let day = Property::new("DTSTART", figures(entry.on))
            .append_parameter(Parameter::new("VALUE", "DATE"))
            .done();
        let event = Event::new()
            .uid(&named.uid())
            .add_property("DTSTAMP", format!("{}T000000Z", figures(named.known_on)))
            // A day without an end is that day, and nobody is busy all through it.
            .append_property(day)
            .add_property("TRANSP", "TRANSPARENT")
            .summary(&in_a_line(&entry.title))
            .description(&text.join("\n"))
            .done();
        calendar.push(event);
    }
    folded(&calendar.to_string())
}

impl Named<'_> {
    /// The same for the same bed, day and deed, whatever is said of it.
    fn uid(&self) -> String {
        let entry = self.entry;
        let word = entry.kind.word();
        let whom = fingerprint(self.whom);
        let number = self.number;
        format!("{}-{word}-{whom:016x}-{number}@moulder", figures(entry.on))
    }
}

/// A number for a name: FNV-1a of 64 bits (memory: Fowler, Noll and Vo).
fn fingerprint(name: &str) -> u64 {
    const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    let hashed = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(PRIME);
    name.bytes().fold(BASIS, hashed)
}

/// A day in figures.
fn figures(day: Date) -> String {
    format!("{:04}{:02}{:02}", day.year(), day.month(), day.day())
}

/// A text in one line, without signs that are not seen.
fn in_a_line(text: &str) -> String {
    one_spaced(&safe(text))
}

/// The text with no line longer than [`LINE_OCTETS`]: the library's last piece of a folded line may
/// be one octet longer.
fn folded(text: &str) -> String {
    let mut done = String::with_capacity(text.len());
    for line in text.split_terminator("\r\n") {
        let mut rest = line;
        while rest.len() > LINE_OCTETS {
            let at = rest.floor_char_boundary(LINE_OCTETS);
            done.push_str(&rest[..at]);
            done.push_str("\r\n ");
            rest = &rest[at..];
        }
        done.push_str(rest);
        done.push_str("\r\n");
    }
    done
}

#[cfg(test)]
mod tests {
    use super::*;
    use moulder::date;
    use moulder_words::calendar::Kind;

    fn entry(title: &str, text: &str) -> Entry {
        Entry {
            on: date(2027, 3, 14),
            kind: Kind::Order,
            title: title.to_owned(),
            text: text.to_owned(),
        }
    }

    fn written(entry: &Entry, whom: &str) -> String {
        calendar(&[Named {
            entry,
            whom,
            number: 0,
            known_on: date(2026, 3, 14),
        }])
    }

    /// Whatever the length, no line is longer than 75 octets, and none is lost.
    #[test]
    fn long_lines_are_folded() {
        for letter in ["x", "ö", "学", "💧", "x ö"] {
            for length in (1..200).chain([1000]) {
                let title = letter.repeat(length);
                let text = written(&entry(&title, ""), "bed");
                for line in text.split("\r\n") {
                    assert!(line.len() <= LINE_OCTETS, "{} {line}", line.len());
                }
                let unfolded = text.replace("\r\n ", "");
                assert!(
                    unfolded.contains(&format!("\r\nSUMMARY:{title}\r\n")),
                    "{text}"
                );
            }
        }
    }

    #[test]
    fn line_ends_of_a_name_begin_no_line() {
        let name = "a\r\nEND:VEVENT\nb\rc\u{85}d\u{2028}e\u{0}f, g; h\\n";
        let text = written(&entry(name, &format!("{name}\nmore")), name);
        let unfolded = text.replace("\r\n ", "");
        assert!(
            unfolded.contains("SUMMARY:a END:VEVENT b c d e f\\, g\\; h\\\\n\r\n"),
            "{unfolded}"
        );
        assert_eq!(
            unfolded
                .lines()
                .filter(|line| *line == "END:VEVENT")
                .count(),
            1
        );
        assert!(unfolded.contains("\\nmore"), "{unfolded}");
        assert!(!text.replace("\r\n", "").contains(['\r', '\n']));
    }

    #[test]
    fn an_entry_is_named_by_bed_day_and_deed() {
        let uid = |text: &str| {
            let line = text.lines().find(|line| line.starts_with("UID:"));
            line.unwrap().to_owned()
        };
        let one = uid(&written(&entry("a", "b"), "bed"));
        assert_eq!(one, uid(&written(&entry("other", "words"), "bed")));
        assert_ne!(one, uid(&written(&entry("a", "b"), "another bed")));
        assert!(one.starts_with("UID:20270314-order-"), "{one}");
        // The test vectors of the draft of FNV (memory).
        assert_eq!(fingerprint(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fingerprint("a"), 0xaf63_dc4c_8601_ec8c);
    }
}

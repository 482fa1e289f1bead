//! Lines of text, none wider than the screen.

use moulder::Date;
use moulder::internals::text::sign::marked;

/// Width of the screen that everything is written for; characters.
pub(crate) const WIDTH: usize = 80;

/// A paragraph from edge to edge.
pub(crate) fn plain(text: &str) -> String {
    hanging(0, 0, text)
}

/// The line over the tables of a bed.
pub(crate) fn title(name: &str, filled: Date, climate: &str) -> String {
    plain(&format!("{name}, filled {filled}, {climate}"))
}

/// A paragraph from edge to edge, after an empty line.
pub(crate) fn apart(text: &str) -> String {
    format!("\n{}", plain(text))
}

/// A paragraph broken into lines of at most [`WIDTH`] characters, each with its line end; with
/// so many blanks before the first line and before the rest. A word longer than a line is
/// broken where the line ends.
pub(crate) fn hanging(first: usize, rest: usize, text: &str) -> String {
    let mut done = String::new();
    let mut line = " ".repeat(first);
    let mut width = first;
    let mut bare = true;
    for word in unbroken(text) {
        let mut left: Vec<char> = word.chars().collect();
        if !bare && width + 1 + left.len() > WIDTH {
            end(&mut done, &mut line, &mut width, rest);
            bare = true;
        }
        if !bare {
            line.push(' ');
            width += 1;
        }
        while width + left.len() > WIDTH {
            let over = left.split_off(WIDTH - width);
            line.extend(left);
            left = over;
            end(&mut done, &mut line, &mut width, rest);
        }
        width += left.len();
        line.extend(left);
        bare = false;
    }
    end(&mut done, &mut line, &mut width, rest);
    done
}

/// A name and what is said of it, which begins at that column; a name that does not fit
/// before it has lines of its own.
pub(crate) fn listed(name: &str, about: &str, column: usize) -> String {
    let about = hanging(column, column, about);
    let name = hanging(2, 4, name);
    let first = name.trim_end();
    if first.lines().count() == 1 && first.chars().count() + 2 <= column {
        format!("{first:column$}{}", about.trim_start())
    } else {
        name + &about
    }
}

/// The words of a text; a number and its unit count as one.
fn unbroken(text: &str) -> Vec<String> {
    const UNITS: [&str; 10] = ["cm", "mm", "m", "m3", "in", "kg", "lb", "L", "cu", "%"];
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let is_unit = UNITS.contains(&word.trim_end_matches([',', '.', ';', ':', ')']));
        let is_part = word.as_bytes().get(1) == Some(&b'/') && word.len() == 3;
        match words.last_mut() {
            Some(last)
                if (is_unit || is_part) && last.ends_with(|end: char| end.is_ascii_digit()) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

fn end(done: &mut String, line: &mut String, width: &mut usize, rest: usize) {
    done.push_str(line.trim_end());
    done.push('\n');
    *line = " ".repeat(rest);
    *width = rest;
}

/// With one line end at the end.
pub(crate) fn ended(mut text: String) -> String {
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

/// The text with a blank for every sign that is not seen, so that each character keeps its
/// place.
pub(crate) fn safe(text: &str) -> String {
    marked(text)
        .map(|(sign, hidden)| if hidden { ' ' } else { sign })
        .collect()
}

/// "1 fault", "3 faults".
pub(crate) fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_the_screen() {
        let text = format!("{} {} end", "leaf ".repeat(40), "x".repeat(300));
        let set = hanging(2, 6, &text);
        assert!(
            set.lines().all(|line| line.chars().count() <= WIDTH),
            "{set}"
        );
        assert!(set.starts_with("  leaf"));
        assert!(set.lines().skip(1).all(|line| line.starts_with("      ")));
        let kept: String = set.split_whitespace().collect();
        let given: String = text.split_whitespace().collect();
        assert_eq!(kept, given);
    }

    #[test]
    fn a_line_may_be_full_to_the_last_place() {
        let text = format!("{} {}", "a".repeat(39), "b".repeat(40));
        assert_eq!(plain(&text), format!("{text}\n"));
        let text = format!("{text}b");
        assert_eq!(plain(&text).lines().count(), 2);
    }

    #[test]
    fn a_long_name_has_a_line_of_its_own() {
        assert_eq!(listed("turf", "sods", 10), "  turf    sods\n");
        assert_eq!(
            listed("old turf", "sods", 10),
            "  old turf\n          sods\n"
        );
        let name = "turf from the far meadow ".repeat(5);
        let lines = listed(&name, "sods", 10);
        assert!(lines.lines().all(|line| line.chars().count() <= WIDTH));
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        let set = plain(&format!("{} 12 1/2 in, deep", "x".repeat(71)));
        assert!(set.ends_with("x\n12 1/2 in, deep\n"), "{set}");
    }

    #[test]
    fn a_sign_that_steers_keeps_its_place() {
        assert_eq!(safe("a\u{1b}[1m\u{202e}b"), "a [1m b");
        assert_eq!(safe("a\u{61c}\u{e0041}\u{200b}b"), "a   b");
    }
}

//! What a first sheet has room for: the most important parts first.

use crate::cautions::Caution;
use crate::paper::{Extent, Paper};
use crate::sheet::Sheet;

/// Letters of the note under the board.
const NOTE: usize = 52;
/// Letters that a box and its edge take of a line.
const EDGE: usize = 6;

/// Which of its parts a sheet may do without are kept, and how many of each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Kept {
    warnings: usize,
    pictures: usize,
    /// Days that only begin a quarter.
    quarters: usize,
    /// Lines left blank.
    blank: usize,
}

/// A part, and how many of it at most.
type Part = (fn(&mut Kept) -> &mut usize, usize);

/// What is added as long as there is room, the most important first.
const PARTS: [Part; 5] = [
    (|kept| &mut kept.warnings, 1),
    (|kept| &mut kept.pictures, 1),
    (|kept| &mut kept.warnings, usize::MAX),
    (|kept| &mut kept.quarters, usize::MAX),
    (|kept| &mut kept.blank, usize::MAX),
];

impl Sheet {
    /// The same with what such paper has room for. Dangers, depths, what to buy and what to feed are
    /// there in any case. A picture that is not printed is still shown on a screen.
    pub(crate) fn fitted(mut self, paper: Paper) -> Self {
        let extent = paper.extent();
        let mut whole = Kept {
            warnings: self.warnings.len(),
            pictures: usize::from(self.picture.is_some()),
            quarters: self.marks.iter().filter(|line| line.is_quarter).count(),
            blank: extent.blank,
        };
        let mut kept = Kept::default();
        for (of, most) in PARTS {
            while *of(&mut kept) < most.min(*of(&mut whole)) {
                *of(&mut kept) += 1;
                if self.lines(&extent, kept) > extent.lines {
                    *of(&mut kept) -= 1;
                    break;
                }
            }
        }
        self.warnings.truncate(kept.warnings);
        self.more_warnings += whole.warnings - kept.warnings;
        self.is_picture_spare = kept.pictures == 0;
        let mut quarters = 0..kept.quarters;
        self.marks
            .retain(|line| !line.is_quarter || quarters.next().is_some());
        self.blank = kept.blank;
        self
    }

    /// Lines of text that it takes with so much of it.
    fn lines(&self, extent: &Extent, kept: Kept) -> f64 {
        let across = |said: &str| wrapped(said.len(), extent.letters);
        let all = |list: &[Caution], gap: f64| -> f64 {
            let each = list.iter().map(|caution| boxed(caution, extent) + gap);
            each.sum()
        };
        let lead = self.lead.iter().map(|said| {
            let large = extent.letters * 3 / 4;
            1.2 * wrapped(said.text.len() + said.range.len() * 4 / 5, large)
        });
        let then = self.then.iter();
        let then = then.map(|said| across(&said.text) + 0.3);
        let picture = self.picture.iter().take(kept.pictures);
        let picture = picture.map(|drawn| drawn.share * extent.wide + 0.4);
        let feed = across(&self.feed) + f64::from(u8::from(self.has_short()));
        let twelve = if self.months.is_empty() { 0.0 } else { 4.1 };
        let warnings = &self.warnings[..kept.warnings];
        let more = self.more_warnings + self.warnings.len() - kept.warnings;
        let more = f64::from(u8::from(more > 0));
        1.5 * wrapped(self.name.len(), extent.letters * 5 / 8).min(2.0)
            + all(&self.dangers, 0.9)
            + across(&self.under)
            + 0.4
            + lead.sum::<f64>()
            + then.sum::<f64>()
            + self.odd.as_deref().map_or(0.0, across)
            + picture.sum::<f64>()
            + extent.heading
            + self.bought(extent).max(self.board(extent, kept))
            + extent.heading
            + feed
            + twelve
            + extent.heading
            + all(warnings, 0.3).max(1.0 - more)
            + more
            + self.weight.as_deref().map_or(0.0, across)
            + across(self.rest)
            + across(&self.made)
            + 0.5
    }

    /// Lines that the left of two columns takes.
    fn bought(&self, extent: &Extent) -> f64 {
        let beside = |said: &str| match said.len() {
            0 => 0.0,
            letters => wrapped(letters, extent.letters * 3 / 8) + 0.15,
        };
        let buy = &self.buy;
        let order = match &self.one_order {
            Some(said) => beside(said) + 0.5 + beside(&buy.loose) + 0.5,
            None => beside(&buy.what) + beside(&buy.loose),
        };
        1.3 + order + beside(&buy.order_by) + 1.2
    }

    /// Lines that the right of them takes.
    fn board(&self, extent: &Extent, kept: Kept) -> f64 {
        let days = self.marks.iter().filter(|line| !line.is_quarter).count();
        #[allow(clippy::cast_precision_loss, reason = "a few rows")]
        let rows = (1 + days + kept.quarters + kept.blank) as f64;
        rows * extent.row + wrapped(NOTE, extent.letters * 5 / 8)
    }
}

/// Lines that a caution takes.
fn boxed(caution: &Caution, extent: &Extent) -> f64 {
    let letters = caution.weight.len() + caution.layer.len() + caution.text.len() + 4;
    wrapped(letters, extent.letters - EDGE)
}

/// Lines of so many letters.
fn wrapped(letters: usize, wide: usize) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "a few lines")]
    let lines = letters.div_ceil(wide).max(1) as f64;
    lines
}

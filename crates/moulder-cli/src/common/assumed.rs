//! The defaults that a bed file leaves to the program.

use moulder::internals::bed::Bed;
use moulder::internals::fault::notice::DefaultUsed;
use moulder::internals::quantity::height::{figure, spelt};
use moulder::internals::uncertainty::default_width::defaults_with_widths;
use moulder_words::default_value::{field, in_order, no_width, widths_left_out};

use crate::common::bed_file::ReadBed;
use crate::print::lines::{counted, hanging, plain};
use crate::print::look::Look;
use crate::trouble::Trouble;

/// Where the text of a listing with widths begins.
const COLUMN: usize = 9;

/// The number of defaults, and how to list them.
pub(crate) fn in_short(bed: &Bed) -> String {
    let said = match bed.defaults().len() {
        0 => "Nothing was assumed: the bed file says it all.".to_owned(),
        count => format!(
            "{} assumed where the bed file is silent; --defaults lists them.",
            counted(count, "value was", "values were")
        ),
    };
    format!("\n{}", plain(&said))
}

/// Every default, place by place, from the ground up.
pub(crate) fn listed(bed: &Bed, with_sources: bool) -> String {
    if bed.defaults().is_empty() {
        return in_short(bed);
    }
    let mut said = String::from("\nAssumed where the bed file is silent:\n");
    for (place, here) in by_place(bed) {
        if with_sources {
            said.push('\n');
            said += &hanging(2, 6, &place);
            for assumed in here {
                let (field, value) = (field(&assumed.path), &assumed.value);
                let text = format!("{field} = {value}, from: {}", assumed.source);
                said += &hanging(4, 8, &text);
            }
        } else {
            let values: Vec<String> = here
                .iter()
                .map(|assumed| format!("{} {}", field(&assumed.path), assumed.value))
                .collect();
            let text = format!("{place}: {}", values.join(", "));
            said += &hanging(2, 6, &text);
        }
    }
    said
}

/// The defaults of a bed, with the width each adds to the settlement by that month.
pub(crate) fn widths(read: &ReadBed, month: u32, look: Look) -> Result<Vec<DefaultUsed>, Trouble> {
    read.run(look, |bed, watch| defaults_with_widths(bed, month, watch))
}

/// Every default with its source, the widest effect on the settlement by that month first;
/// those without a width last, from the ground up.
pub(crate) fn by_width(bed: &Bed, defaults: &[DefaultUsed], month: u32) -> String {
    if defaults.is_empty() {
        return in_short(bed);
    }
    let heading = format!(
        "Assumed where the bed file is silent, what moves the surface most first. Each number \
         says, in {}, by how much the sink after {} differs between the low and the high end \
         of what is believed of it, all else at its middle.",
        spelt(bed.units()),
        counted(
            usize::try_from(month).unwrap_or(usize::MAX),
            "month",
            "months"
        )
    );
    let mut said = format!("\n{}\n", plain(&heading));
    for (name, assumed) in in_order(bed, defaults, true) {
        let width = assumed.width_it_adds_m;
        let none = || no_width(assumed).to_owned();
        let width = width.map_or_else(none, |width_m| figure(width_m, bed.units()));
        let (field, value) = (field(&assumed.path), &assumed.value);
        let text = format!("{name}: {field} = {value}, from: {}", assumed.source);
        let text = hanging(COLUMN, COLUMN + 2, &text);
        // The number stands before the first line.
        said.extend([format!("{width:>7}  ").as_str(), text.trim_start()]);
    }
    if defaults
        .iter()
        .any(|assumed| assumed.width_it_adds_m.is_none() && !assumed.is_width_left_out)
    {
        let foot = "A hyphen: no width, since it is a word, a choice or a size of which no \
                    range is believed.";
        said += &plain(foot);
    }
    if let Some(foot) = widths_left_out(bed, defaults) {
        said += &plain(&foot);
    }
    said
}

/// The values of each place together, in the order of the file.
fn by_place(bed: &Bed) -> Vec<(String, Vec<&DefaultUsed>)> {
    let mut places: Vec<(String, Vec<&DefaultUsed>)> = Vec::new();
    for (name, assumed) in in_order(bed, bed.defaults(), false) {
        match places.iter_mut().find(|(known, _)| *known == name) {
            Some((_, here)) => here.push(assumed),
            None => places.push((name, vec![assumed])),
        }
    }
    places
}

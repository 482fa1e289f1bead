//! The reference of codes: the meaning of each, the remedy, and a file that raises it.

use crate::text::suggestion;

/// A code of a fault or a notice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Entry {
    /// The stable code ("decimal-comma").
    pub code: &'static str,
    /// What causes it.
    pub cause: &'static str,
    /// What to do.
    pub cure: &'static str,
    /// Source of a notice; none for a fault.
    pub source: Option<&'static str>,
    /// A bed file that raises it; none where it would have to be very large, and for faults of
    /// other files or of the command line.
    pub example: Option<Example>,
}

/// A bed file that raises a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Example {
    /// File name.
    pub name: &'static str,
    /// Contents.
    pub text: &'static str,
}

/// The example of that code: the file of that name among the bad beds.
macro_rules! example {
    ($code:literal) => {
        Some(Example {
            name: concat!($code, ".toml"),
            text: include_str!(concat!("../../data/bad-beds/", $code, ".toml")),
        })
    };
}

/// An entry with an example, and with a source if given.
macro_rules! entry {
    ($code:literal, $cause:literal, $cure:literal) => {
        entry!(@ $code, $cause, $cure, None)
    };
    ($code:literal, $cause:literal, $cure:literal, $source:literal) => {
        entry!(@ $code, $cause, $cure, Some($source))
    };
    (@ $code:literal, $cause:literal, $cure:literal, $source:expr) => {
        Entry {
            code: $code,
            cause: $cause,
            cure: $cure,
            source: $source,
            example: example!($code),
        }
    };
}

/// An entry without an example.
macro_rules! outside {
    ($code:literal, $cause:literal, $cure:literal) => {
        Entry {
            code: $code,
            cause: $cause,
            cure: $cure,
            source: None,
            example: None,
        }
    };
}

/// The codes of faults, in the order of [`crate::fault::FaultCode::ALL`].
pub static FAULTS: &[Entry] = &[
    entry!(
        "bad-syntax",
        "The line does not follow the rules by which a file is written (TOML or JSON): a quote, a comma or a bracket is missing or one too many.",
        "Put texts and quantities in double quotes, close every bracket, and compare the line with one that works."
    ),
    entry!(
        "too-deep",
        "Tables or lists lie in one another deeper than any bed needs, often because a heading holds too many dots.",
        "Take headings and lists as a new bed file has them: [bed], [measures], [[layer]] and no deeper."
    ),
    // Its example would hold more than 256 kB.
    outside!(
        "too-big",
        "The file is larger than any bed or any weather needs; perhaps it is another kind of file.",
        "Check that it is the right file, and take out what does not belong to it."
    ),
    entry!(
        "repeated-key",
        "One name stands twice in the same part of the file, so that it is not clear which one counts.",
        "Keep one of them. A second layer begins with a heading [[layer]] of its own."
    ),
    entry!(
        "unknown-field",
        "A name that this part of the file does not use: misspelt, or in the wrong part.",
        "Spell it as the list of fields does, or move it to the part it belongs to."
    ),
    entry!(
        "other-shape",
        "A field that belongs to another shape of bed, such as the slope of a mound given for a box.",
        "Leave the field out, or change the shape."
    ),
    entry!(
        "missing-field",
        "Something that must be given is not.",
        "Add the line that is shown, with your own figures."
    ),
    entry!(
        "unknown-format",
        "The file says a form number that this version does not know.",
        "Write format = 1; or, if the file is for a later version, use that version."
    ),
    entry!(
        "wrong-kind",
        "A number stands where a text must stand, a table where a list must stand, or the like.",
        "Write it as the example that is shown: quantities in quotes, layers under [[layer]] in double brackets."
    ),
    entry!(
        "unknown-word",
        "Only a few words can stand here, and this is not one of them.",
        "Choose one of the words that are shown, in small letters."
    ),
    entry!(
        "bad-text",
        "A name is empty, or holds signs that cannot be shown, such as blanks without width.",
        "Write something that can be read, on one line. Typing the name anew leaves hidden signs behind."
    ),
    entry!(
        "too-long",
        "A text is longer than can be read.",
        "Shorten it; a longer note belongs in a comment after a #."
    ),
    entry!(
        "bad-quantity",
        "A quantity is not a number followed by a unit.",
        "Write digits, then the unit: \"25 cm\", \"2 1/2 ft\", \"3 barrow\", \"40 kg\"."
    ),
    entry!(
        "missing-unit",
        "A number has no unit, so that it might be centimetres or inches.",
        "Add the unit, inside the quotes."
    ),
    entry!(
        "unknown-unit",
        "The unit is not on the list, nor among the measures of the file.",
        "Use a unit of the list, or say under [measures] what your own measure holds."
    ),
    entry!(
        "ambiguous-unit",
        "The unit means different things to different people: gallons, tons, yards of soil, marks for feet and inches.",
        "Write the clear one that is shown."
    ),
    entry!(
        "wrong-measure",
        "A weight stands where a length must stand, or the like.",
        "Measure what the field asks for."
    ),
    entry!(
        "decimal-comma",
        "A comma stands where a decimal point must stand.",
        "Write a point: \"1.6 m\"."
    ),
    entry!(
        "thousands-separator",
        "The thousands of a number are set apart by a comma, a blank or a mark.",
        "Write the digits together: \"1200 L\"."
    ),
    entry!(
        "out-of-range",
        "The value is beyond what can be believed of a garden bed; most often the unit is not the one that was meant.",
        "Check the figure and its unit against the range that is shown."
    ),
    entry!(
        "wrong-length",
        "A row of months does not hold twelve values.",
        "Give twelve, January first."
    ),
    entry!(
        "unknown-material",
        "No material on the shelf has this name.",
        "Take the name that is shown, look at the list of materials, or describe your own in a file (--shelf)."
    ),
    entry!(
        "unknown-climate",
        "No place on the list of climates and no town of more than about 20,000 people has this name.",
        "Take the name that is shown or a larger town nearby, say where it lies: climate = { at = [45.76, 4.84] }, or give twelve months of your own under [climate]."
    ),
    entry!(
        "ambiguous-place",
        "Several towns have this name.",
        "Write the country after it, or its region and country, as shown; or say where it lies: climate = { at = [45.76, 4.84] }."
    ),
    entry!(
        "no-climate-there",
        "The degrees lie at sea, on ice or beyond the map.",
        "Check them: north and east are positive, latitude comes first. For a small island give twelve months of its own under [climate]."
    ),
    entry!(
        "too-many",
        "There are more entries than can be read.",
        "Put like layers together, or leave out what matters least."
    ),
    entry!(
        "too-few",
        "A list that needs an entry has none.",
        "Add one, or take away the heading over it."
    ),
    entry!(
        "not-a-date",
        "No day of the calendar is written so.",
        "Write year, month and day: 2026-03-14, without quotes."
    ),
    entry!(
        "before-filling",
        "A reading or an addition bears a date from before the bed was filled.",
        "Check both dates."
    ),
    entry!(
        "does-not-fit",
        "Two things that are said contradict each other.",
        "Keep the one that is right."
    ),
    entry!(
        "no-room",
        "A mound gets narrower as it grows, and its sides meet before all layers are in.",
        "Put less in, or make the foot wider or the sides steeper."
    ),
    outside!(
        "not-text",
        "The file is no plain text in UTF-8: saved in an older coding, or another kind of file altogether.",
        "Save it as text in UTF-8; most editors ask for the coding when they save under a new name."
    ),
    outside!(
        "unreadable",
        "A file or a folder is not there, or may not be read.",
        "Check the name and the folder it is in, and who may read it."
    ),
    outside!(
        "unwritable",
        "The answer cannot be put into that file: it is there already, it is read for the answer, or its folder cannot be written to.",
        "Give another name after --output, or add --force to replace a file that is there."
    ),
    outside!(
        "missing-option",
        "Something that must be typed is not, such as the bed file, or where your own weather was measured.",
        "Add the option that is named; --help shows how it is written."
    ),
    outside!(
        "bad-option",
        "An option is not known, has a value that it cannot take, or does not go with the rest of what was typed.",
        "Change the option that is named, or leave it out; --help shows what it takes."
    ),
    outside!(
        "unfinished",
        "The task was begun and could not be ended.",
        "Try again; if it comes back, report it with the files that led to it."
    ),
    outside!(
        "stopped",
        "The program that asked for it stopped the task.",
        "Ask again, and let it run to its end."
    ),
];

/// The codes of notices, in the order of [`crate::fault::notice::CODES`].
pub static NOTICES: &[Entry] = &[
    entry!(
        "layers-upside-down",
        "Soil lies under wood and wood lies on top, as if the list ran from the top down.",
        "Write the layers in the order they were tipped in, the lowest first.",
        "our own closure"
    ),
    entry!(
        "height-off",
        "The height given for the climate lies more than 300 m above or below every town, station and stretch of land that is known within 60 km.",
        "Check the height and its unit, and the degrees: a hundred metres make it 0.65 degrees Celsius colder.",
        "our own closure"
    ),
    entry!(
        "growing-soil-runs-thin",
        "The layer that roots live in gets thinner than plants can do with, most often because fine soil trickles into the gaps below.",
        "Keep soil back for topping up, or lay turf grass side down or whole card under the soil.",
        "common practice, no source; worked out by the forecast"
    ),
    entry!(
        "thin-soil-later",
        "Soil and turf over the highest layer with wood are 15 cm deep at first, and less within the forecast: soil settles and trickles into the gaps below.",
        "Put on as much more as is missing, or top up before then.",
        "a rule of thumb in a forum: six inches at least (permies.com thread 278128); worked out by the forecast"
    ),
    entry!(
        "heap-will-not-stay",
        "All that is tipped in would stand so far over the rim that loose stuff slides off.",
        "Check the amounts and their units, or fill in two goes and let the first one settle.",
        "general literature: soil rests at 30 to 45 degrees"
    ),
    entry!(
        "heavy-feed",
        "More than about 10 g of nitrogen were fed on a square metre in one day: roots may scorch, and rain washes out what they do not find. Perhaps the figure is that of the feed and not of the nitrogen in it.",
        "Check the figure and its unit. Water it in well, and give as much in several doses some weeks apart another time.",
        "common practice, no source"
    ),
    entry!(
        "airless-layer",
        "A layer rots faster than air can get in, or stands so wet that none gets in, for weeks on end.",
        "Mix in twigs or other coarse stuff, lay greens thinner, keep rain off while it rots, or let the bed drain better.",
        "worked out by the forecast"
    ),
    entry!(
        "not-a-promise",
        "A forecast is worked out from averages of materials and weather; few whole beds were ever measured through the years, and printed advice differs threefold.",
        "Mark the height inside the bed, and read it every few months.",
        "our own closure: we found no record of a whole bed"
    ),
    entry!(
        "wet-weight",
        "The bed stands on a deck, a balcony or a roof, which may not bear it. Wet soil weighs 1600 to 2000 kg a cubic metre; decks are often planned for about 200 to 300 kg on each square metre.",
        "Have a structural engineer look at it before you fill, follow the local building code, and mind that rain adds weight.",
        "ASCE 7 as quoted by engineers and the University of Delaware (60 lb a square foot for a deck); a British balcony at 5 kN/m2; both second hand"
    ),
    entry!(
        "buried-services",
        "The bed starts in a trench, and electric cables, gas and water pipes may lie there.",
        "Get plans from those who own the cables and pipes, have them located, dig by hand with care; in the United States call 811 first. Local rules come first.",
        "HSE, HSG47, Avoiding danger from underground services (2014); 811 from memory"
    ),
    entry!(
        "treated-timber",
        "The boards, or something in the fill, were treated, painted or tarred. Old preservatives hold arsenic or creosote, old paint lead.",
        "Use clean, bare timber; never bury, mulch or burn the other; ask your waste authority where it goes.",
        "US EPA, consumer information on CCA-treated wood, and an OSWER memorandum of 2004, both second hand"
    ),
    entry!(
        "wall-contact",
        "The bed stands against the wall of a building: its damp gets past the damp-proof course.",
        "Leave a gap, keep the soil below the damp-proof course, and give the bed a back of its own; ask a builder if in doubt.",
        "house builders and owners in forums (finehomebuilding.com): gaps of 20 to 60 cm"
    ),
    entry!(
        "steep-mound",
        "The sides of a mound are steeper than 45 degrees; loose soil rests at 30 to 45.",
        "Make the foot wider or the mound lower, or hold its foot with logs or stones.",
        "general literature for the slope; slides reported in forums (permies.com threads 50120, 181288)"
    ),
    entry!(
        "taller-than-wide",
        "The rim stands higher than the bed is wide, so that wet fill may push it out or over.",
        "Brace or tie it, fill it lower, or set several beside one another. Where a fall could hurt someone, ask a builder.",
        "common practice, no source"
    ),
    entry!(
        "long-boards",
        "Boards of more than 2 m are not tied as far as the file says, and wet fill pushes them out.",
        "Tie them across the bed, or set stakes, every 1.5 m. For walls of stone or brick say boards = \"none\".",
        "owners' reports in print online (schoerverth.de, tavlor.de): boards of 3 m bowed, walls over 1.5 to 2 m want a tie"
    ),
    entry!(
        "live-wood",
        "Fresh willow, poplar, aspen or cottonwood strikes root from a log.",
        "Let it lie until it is dead and dry (then say moisture = \"dry\"), or put it lowest and bury it deep.",
        "reported in a forum (permies.com thread 187462)"
    ),
    entry!(
        "growth-stopping-wood",
        "Walnut, butternut, tree of heaven, black cherry and eucalyptus hold substances that hold other plants back. Opinions differ on how much: one review found no harm from chips laid as a mulch.",
        "Leave it out; or let leaves lie 2 to 4 weeks and chips or bark half a year, and try tomato seedlings in it.",
        "Funt and Martin, Ohio State University (second hand); against it Chalker-Scott, Washington State University"
    ),
    entry!(
        "poisonous-plant",
        "Yew, cherry laurel, rhododendron, laburnum, oleander or monkshood may be in it.",
        "Wear gloves, bury all of it, keep animals and children from it, and see a doctor or a vet if any is eaten.",
        "list of the RHS and the HTA, second hand"
    ),
    entry!(
        "honey-fungus",
        "Stumps and roots may carry honey fungus. Its black strands run through the top 15 to 45 cm of soil, a metre a year, and reach trees 30 m away.",
        "Bury none that shows white growth under the bark or black strands; burn it or have it taken away.",
        "Royal Horticultural Society, page on honey fungus"
    ),
    entry!(
        "weedkiller-carry-over",
        "Hay, straw and manure may carry aminopyralid, clopyralid or picloram, which outlast a gut and a compost heap and cripple peas, beans and tomatoes for months or years.",
        "Ask where it grew. Sow peas or beans in a pot of it, beside a pot without, and wait 2 to 3 weeks before you use it.",
        "Washington State University Whatcom 2011; University of Florida IFAS AG416; North Carolina State University"
    ),
    entry!(
        "kitchen-waste",
        "There is kitchen waste in the bed, which draws rats and mice.",
        "Put in no meat, fish, dairy, bread, cooked food or droppings of cats and dogs; bury the rest deep; lay mesh with holes of 15 mm or less below.",
        "Test Valley Borough Council, advice on composting"
    ),
    entry!(
        "glossy-card",
        "A name says that card is glossy, coated, waxed or printed all over.",
        "Use plain brown corrugated card, without tape, staples and labels.",
        "common practice; a waste agency's page, weak"
    ),
    entry!(
        "blocked-base",
        "A name says that plastic, lino, carpet or foil lies in the bed, which water cannot pass.",
        "Take it out, or use card, which lets water through once it is wet.",
        "a garden technology site (growfood.tech)"
    ),
    entry!(
        "too-much-green",
        "Wet greens are more than half of a layer of 10 cm or more. They mat, keep air out, heat up and fall together.",
        "Mix them with twigs or dry leaves, or lay them thin between other stuff.",
        "common practice; the limits are our own closure"
    ),
    entry!(
        "heats-up",
        "Manure, or greens for more than a quarter of a layer, warm the bed by rotting.",
        "Water it, wait until it is no warmer than the ground beside it, and then sow.",
        "common practice; the limits are our own closure"
    ),
    entry!(
        "no-nitrogen",
        "Soft stuff and wood thinner than 5 cm hold more than 40 of carbon to 1 of nitrogen, with hardly any greens or manure, and lie under less than 30 cm of soil, so that rot takes nitrogen from where roots are. Growers report both failed crops and no shortage.",
        "Add grass, manure or kitchen greens to those layers, keep chips away from the roots, or feed in the first two years; test the soil.",
        "Manzoni and Porporato 2009, Soil Biology and Biochemistry 41:1355, equation from memory"
    ),
    entry!(
        "dry-fill",
        "Wood, leaves or straw go in dry, and neither the layer nor the bed is watered.",
        "Soak each layer as you fill; then say then = [\"watered\"].",
        "reported in forums (permies.com thread 207759)"
    ),
    entry!(
        "sheds-water",
        "A layer of card lies dry in the bed, and water runs off it to the sides.",
        "Soak it as you lay it; then say then = [\"watered\"].",
        "common practice, no source"
    ),
    entry!(
        "thin-soil",
        "Less than 15 cm of soil or turf lies over the highest layer with wood.",
        "Put on more; six inches is the least that gardeners ask for.",
        "a rule of thumb in a forum: six inches at least (permies.com thread 278128)"
    ),
    entry!(
        "sticks-out",
        "Branches or logs are in the top layer, and draw water out of the bed like a wick.",
        "Cover them with 15 cm of soil or more. Chips as a mulch are another matter.",
        "reported in a forum (permies.com thread 278128)"
    ),
    entry!(
        "hollow-spots",
        "A layer is of logs alone: hollows stay between them, house animals, and fall in later.",
        "Shake soil, leaves or chips into the gaps, tread each layer, and do not stand on the bed.",
        "reported in forums (permies.com threads 278128, 175694)"
    ),
    entry!(
        "thinner-than-logs",
        "A layer with logs is told by its thickness, which is less than the logs are across. The forecast takes the volume of that thickness; logs that lie apart may come to it, but then nobody measured a thickness.",
        "Give the volume of the logs, or correct their size or the thickness.",
        "geometry"
    ),
    entry!(
        "all-compost",
        "More than half of the depth is compost or leaf mould.",
        "Mix it with soil: compost alone sinks, and its salts are too much for many plants.",
        "a rule of thumb: half at most (compostguide.com)"
    ),
    entry!(
        "rot-proof-wood",
        "More than half of the wood is oak, chestnut, robinia, cedar, cypress, juniper, redwood or yew.",
        "Nothing, if it is to last; for a bed that feeds, use birch, poplar, beech or fruit wood.",
        "a garden guide and a forum (wildyards.com, permies.com thread 212487)"
    ),
    entry!(
        "too-much-conifer",
        "More than half of the wood is of conifers, which is slow and resinous when fresh. Opinions differ: some leave it out, some find it fine once it has been dead for years.",
        "Use old wood, or mix it with broadleaved wood.",
        "guides that disagree (greenpacks.org, sufficientself.com); the limit is a rule of thumb"
    ),
    entry!(
        "plant-too-soon",
        "There is wood in the bed, which sinks most in its first year: crowns are left bare, and trees tilt.",
        "Grow annuals first; set shrubs, trees and perennials a year on, or beside the bed.",
        "reported in a forum and by a farm (permies.com thread 278128, merribeeorganicfarm.net.au)"
    ),
    entry!(
        "spring-fill",
        "It is filled in spring, and settles just when plants stand on it.",
        "Fill it high, water it well and wait some weeks; or fill in autumn.",
        "a gardening wiki (nl.green-wiki.org)"
    ),
    entry!(
        "loose-measure",
        "A layer was trodden, and its thickness does not say whether it was taken before or after.",
        "Write as = \"tipped\" or as = \"trodden\" beside the amount.",
        "our own closure: treading takes a part of the height before day zero"
    ),
    entry!(
        "where-it-stands",
        "The file does not say what is below the bed, or whether a wall is beside it.",
        "Write stands-on and near-wall under [bed]. On a deck, a balcony or a roof a structural engineer and the local code decide.",
        "as wet-weight and wall-contact"
    ),
    entry!(
        "which-boards",
        "The file does not say what the boards are.",
        "Write boards under [bed]: untreated, treated, painted, tarred or none.",
        "as treated-timber"
    ),
    entry!(
        "which-wood",
        "No file can say whether wood is sound.",
        "Leave out treated and painted timber, walnut, and wood or roots with honey fungus.",
        "as treated-timber, growth-stopping-wood and honey-fungus"
    ),
    entry!(
        "plain-card",
        "There is card in the bed.",
        "Use plain brown corrugated card; take off tape, staples and labels.",
        "common practice; a waste agency's page, weak"
    ),
    entry!(
        "lawn-weedkiller",
        "There is grass, green waste or turf in the bed, which carries what was sprayed on the lawn.",
        "Use none from a lawn treated this year; where in doubt, sow beans or peas in a pot of it first.",
        "as weedkiller-carry-over"
    ),
    entry!(
        "old-soil",
        "There is dug soil or turf in the bed. Beside old paint, roads and works it may hold lead.",
        "Have it tested by a laboratory; above 400 parts in a million grow no vegetables, or what your authority says.",
        "University of Maryland Extension: 400 ppm"
    ),
    entry!(
        "gloves-and-mask",
        "Soil, compost or manure is handled: its dust may carry Legionella, and soil tetanus.",
        "Wear gloves, open bags away from your face, damp what is dusty or wear a mask, cover cuts, wash your hands, keep tetanus jabs up to date; see a doctor for fever or cough.",
        "WorkSafe Queensland and the RHS on Legionella (who call the risk in Britain very low); CDC on tetanus, second hand"
    ),
    entry!(
        "lifting",
        "There is more to carry than one lift.",
        "Lift 25 kg at most and 16 kg if you are slight, close to the body and at waist height; share or cart the rest.",
        "HSE leaflet INDG143; figures from memory"
    ),
];

/// Every entry: faults, then notices.
pub fn entries() -> impl Iterator<Item = &'static Entry> {
    FAULTS.iter().chain(NOTICES)
}

/// The entry of that code, ignoring case.
#[must_use]
pub fn find(code: &str) -> Option<&'static Entry> {
    let wanted = code.trim().to_lowercase();
    entries().find(|entry| entry.code == wanted)
}

/// Up to three codes most similar to a misspelt one, best first.
#[must_use]
pub fn nearest(code: &str) -> Vec<String> {
    suggestion::suggestions(code, entries().map(|entry| entry.code))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bed::Bed;
    use crate::fault::notice;
    use crate::fault::{FaultCode, Faults};
    use crate::forecast::forecast;
    use crate::forecast::progress::unwatched;
    use crate::library::Library;
    use crate::read::read_toml;

    fn read(example: &Example) -> Result<Bed, Faults> {
        read_toml(example.text, &Library::built_in())
    }

    #[test]
    fn every_fault_code_has_an_entry_whose_example_raises_it() {
        let codes: Vec<&str> = FAULTS.iter().map(|entry| entry.code).collect();
        let words: Vec<&str> = FaultCode::ALL.iter().map(|code| code.as_str()).collect();
        assert_eq!(codes, words);
        // Faults of other files or of the command line.
        let outside = [
            FaultCode::TooBig,
            FaultCode::NotText,
            FaultCode::Unreadable,
            FaultCode::Unwritable,
            FaultCode::MissingOption,
            FaultCode::BadOption,
            FaultCode::Unfinished,
            FaultCode::Stopped,
        ]
        .map(FaultCode::as_str);
        for entry in FAULTS {
            let Some(example) = &entry.example else {
                assert!(outside.contains(&entry.code), "{}", entry.code);
                continue;
            };
            let faults = read(example).expect_err(entry.code);
            let raised: Vec<&str> = faults.iter().map(|fault| fault.code.as_str()).collect();
            assert_eq!(raised, [entry.code]);
        }
    }

    #[test]
    fn every_notice_code_has_an_entry_whose_example_raises_it() {
        let codes: Vec<&str> = NOTICES.iter().map(|entry| entry.code).collect();
        assert_eq!(codes, notice::CODES);
        for entry in NOTICES {
            let example = entry.example.as_ref().expect(entry.code);
            let bed = read(example).unwrap();
            let year = forecast(&bed, 12, &unwatched).unwrap();
            let raised = year.notices.iter().any(|notice| notice.code == entry.code);
            assert!(raised, "{}: {:?}", entry.code, year.notices);
        }
    }

    #[test]
    fn entries_are_plain_sentences() {
        for entry in entries() {
            for text in [entry.cause, entry.cure] {
                assert!(text.ends_with('.') && text.len() > 15, "{}", entry.code);
                assert!(!text.contains("error") && !text.contains("-->"), "{text}");
            }
        }
    }

    #[test]
    fn a_misspelt_code_finds_the_right_one() {
        assert!(find("no-such-code").is_none());
        assert_eq!(find("Decimal-Comma").unwrap().code, "decimal-comma");
        assert_eq!(nearest("decimal-coma")[0], "decimal-comma");
    }
}

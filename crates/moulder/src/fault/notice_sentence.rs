//! Cautions as text: what is so and what to do, short enough to be read.

use crate::fault::notice::{self, Notice};

/// A caution as text; nothing for other notices.
pub(crate) fn caution(notice: &Notice) -> Option<String> {
    let said = match &*notice.code {
        notice::WET_WEIGHT
        | notice::BURIED_SERVICES
        | notice::TREATED_TIMBER
        | notice::WALL_CONTACT
        | notice::STEEP_MOUND
        | notice::TALLER_THAN_WIDE
        | notice::LONG_BOARDS => outside(notice),
        notice::WHERE_IT_STANDS
        | notice::WHICH_BOARDS
        | notice::WHICH_WOOD
        | notice::PLAIN_CARD
        | notice::LAWN_WEEDKILLER
        | notice::OLD_SOIL
        | notice::GLOVES_AND_MASK
        | notice::LIFTING => before(notice),
        _ => inside(notice)?,
    };
    Some(said)
}

/// Cautions about what holds and carries the bed.
fn outside(notice: &Notice) -> String {
    let value = |name| notice.value(name);
    match &*notice.code {
        notice::WET_WEIGHT => format!(
            "On a {} the bed weighs {} as filled, and more after rain{}. Have a structural \
             engineer look at it before you fill; local building codes rule.",
            value("below"),
            value("load"),
            match value("topped-up") {
                "" => String::new(),
                load => format!("; wet and with all top-ups of this plan up to {load}"),
            }
        ),
        notice::BURIED_SERVICES => format!(
            "Cables and pipes may lie where the trench of {} goes. Ask those who own them and \
             have them located before you dig; local rules come first.",
            value("trench")
        ),
        notice::TREATED_TIMBER => format!(
            "{}: what keeps timber from rotting may poison soil and crops. Use clean, bare \
             timber, and never burn the other.",
            sentence_case(value("what"))
        ),
        notice::WALL_CONTACT => format!(
            "A bed against a house wall makes it damp. Leave a gap of {} to {}, and keep the \
             soil below the damp-proof course.",
            value("from"),
            value("to")
        ),
        notice::STEEP_MOUND => format!(
            "Sides at {} degrees are steeper than soil lies: they slide. Lay them at 40 or \
             less, or hold the foot with logs.",
            value("slope")
        ),
        notice::TALLER_THAN_WIDE => format!(
            "The rim, {} high, stands higher than the bed is wide ({}): it may bow or tip. \
             Brace it, or fill it lower.",
            value("rim"),
            value("width")
        ),
        _ => format!(
            "Sides of {} bow out: tie them across, or stake them.",
            value("length")
        ),
    }
}

/// Cautions about what is in the bed.
fn inside(notice: &Notice) -> Option<String> {
    let value = |name| notice.value(name);
    Some(match &*notice.code {
        notice::LIVE_WOOD => {
            "Fresh willow or poplar may strike root and grow. Let it die and dry first, or put \
             it lowest and bury it deep."
                .to_owned()
        }
        notice::GROWTH_STOPPING_WOOD => format!(
            "{}: it can hold other plants back. Leave it out, or let it lie half a year and \
             try tomato seedlings in it first.",
            sentence_case(value("what"))
        ),
        notice::POISONOUS_PLANT => format!(
            "{}: it is, or may be, poisonous. Wear gloves, bury all of it, and keep animals \
             and children from it.",
            sentence_case(value("what"))
        ),
        notice::HONEY_FUNGUS => format!(
            "{}: dead roots may carry honey fungus, which kills trees up to 30 m away. Use \
             none that shows it; burn it or take it away.",
            sentence_case(value("what"))
        ),
        notice::WEEDKILLER_CARRY_OVER => format!(
            "{} may carry weedkiller that outlasts compost. Sow beans or peas in a pot of it, \
             and wait 2 to 3 weeks, before you use it.",
            sentence_case(value("what"))
        ),
        notice::KITCHEN_WASTE => {
            "Kitchen waste draws rats. No meat, fish, dairy, bread or cooked food; bury the \
             rest deep, and lay mesh of 15 mm or finer under the bed."
                .to_owned()
        }
        notice::GLOSSY_CARD => format!(
            "{}: gloss, wax and coats do not rot, and may do harm. Use plain brown card.",
            sentence_case(value("what"))
        ),
        notice::BLOCKED_BASE => format!(
            "{}: water cannot get through, and roots stand in the wet. Take it out, or use \
             card.",
            sentence_case(value("what"))
        ),
        notice::TOO_MUCH_GREEN => {
            "Wet greens this thick turn to slime, heat, and slump at once. Mix them with twigs \
             or dry leaves, or lay them thin."
                .to_owned()
        }
        notice::HEATS_UP => "Greens and manure heat up: wait till cool, then sow.".to_owned(),
        notice::NO_NITROGEN => format!(
            "Soft stuff and small wood near the roots hold {} of carbon to 1 of nitrogen; above \
             {} they rob crops of it. Add greens or manure, or feed.",
            value("ratio"),
            value("most")
        ),
        notice::HEAVY_FEED => format!(
            "On {} it was fed about {} times the nitrogen that a bed takes at once: roots may scorch, \
             and rain washes it out. Water it in well; another time give it in several doses.",
            value("on"),
            value("times")
        ),
        notice::DRY_FILL => format!(
            "{} goes in dry: it sheds water, does not rot, and draws ants and mice. Soak each \
             layer as you fill.",
            sentence_case(value("what"))
        ),
        notice::SHEDS_WATER => "Dry card sheds water: soak it as you lay it.".to_owned(),
        notice::THIN_SOIL => format!(
            "Only {} of soil or turf lies over the wood: it dries out, and plants starve. Give \
             it {} or more.",
            value("thickness"),
            value("least")
        ),
        notice::STICKS_OUT => format!(
            "Wood in the top layer dries the bed like a wick. Cover it with {} of soil or more.",
            value("least")
        ),
        notice::HOLLOW_SPOTS => "Fill the gaps between logs; do not stand on the bed.".to_owned(),
        notice::THINNER_THAN_LOGS => format!(
            "Told as {} thick, and its logs as {} across: they cannot lie in it. Give their \
             volume, as they lie apart, or correct one of the two.",
            value("thickness"),
            value("across")
        ),
        notice::ALL_COMPOST => "More than half is compost: it sinks fast. Mix in soil.".to_owned(),
        notice::ROT_PROOF_WOOD => format!(
            "{} % of the wood hardly rots: it sinks and feeds little.",
            value("share")
        ),
        notice::TOO_MUCH_CONIFER => format!(
            "{} % of the wood is conifer: slow, and resinous if fresh.",
            value("share")
        ),
        _ => return filled(notice),
    })
}

/// Cautions about the filling and the time after it.
fn filled(notice: &Notice) -> Option<String> {
    Some(match &*notice.code {
        notice::PLANT_TOO_SOON => {
            "Plant shrubs, trees, perennials a year on: most is sunk then.".to_owned()
        }
        notice::SPRING_FILL => {
            "Filled in spring, it sinks as plants grow: fill high, water.".to_owned()
        }
        notice::LOOSE_MEASURE => "If measured once trodden, write as = \"trodden\".".to_owned(),
        notice::NOT_A_PROMISE => {
            "A forecast, not a promise: few whole beds were ever measured. Mark the height \
             inside the bed and look again."
                .to_owned()
        }
        _ => return None,
    })
}

/// One-line cautions about what the file leaves open.
fn before(notice: &Notice) -> String {
    match &*notice.code {
        notice::WHERE_IT_STANDS => match notice.value("unsaid") {
            "stands-on" => {
                "On a deck, balcony or roof? Ask a structural engineer first.".to_owned()
            }
            "near-wall" => "Keep it off house walls, below their damp-proof course.".to_owned(),
            _ => "Deck, roof? Ask a structural engineer. Keep off house walls.".to_owned(),
        },
        notice::WHICH_BOARDS => {
            "Use no treated, painted or tarred boards and no old sleepers.".to_owned()
        }
        notice::WHICH_WOOD => {
            "Use no treated timber, walnut, or wood with honey fungus.".to_owned()
        }
        notice::PLAIN_CARD => {
            "Plain brown card only; take off tape, staples and labels.".to_owned()
        }
        notice::LAWN_WEEDKILLER => {
            "Use grass and turf only from lawns without weedkiller.".to_owned()
        }
        notice::OLD_SOIL => {
            "Soil from beside old paint or roads? Have it tested for lead.".to_owned()
        }
        notice::GLOVES_AND_MASK => {
            "Wear gloves, and a mask in dust; cover cuts, wash your hands.".to_owned()
        }
        _ => format!(
            "Lift {} at most, {} if slight, close to the body.",
            notice.value("most"),
            notice.value("less")
        ),
    }
}

/// With a capital at the start.
fn sentence_case(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(signs).collect()
    })
}

//! Notices and defaults used: numbers and codes here, text elsewhere.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

/// Declares the codes once, each with the word that programs may rely on.
macro_rules! notice_codes {
    ($($(#[doc = $doc:literal])+ $name:ident = $word:literal, $severity:ident, $topic:ident;)+) => {
        $($(#[doc = $doc])+ pub const $name: &str = $word;)+

        /// Every code of a notice, in the order of the documentation.
        pub const CODES: &[&str] = &[$($name,)+];

        /// How much each matters and what it speaks of, in the same order.
        const KINDS: &[(Severity, Topic)] = &[$((Severity::$severity, Topic::$topic),)+];
    };
}

notice_codes! {
    /// Soil lies under wood and wood on top: the list may be upside down.
    LAYERS_UPSIDE_DOWN = "layers-upside-down", Warning, Course;
    /// The height given for the climate is unlike all that is known around.
    HEIGHT_OFF = "height-off", Warning, Course;
    /// The layer that roots live in runs thin.
    GROWING_SOIL_RUNS_THIN = "growing-soil-runs-thin", Warning, Course;
    /// Soil that is deep enough over wood at first is not in the end.
    THIN_SOIL_LATER = "thin-soil-later", Warning, Course;
    /// The fill would stand above the rim, steeper than loose material stays.
    HEAP_WILL_NOT_STAY = "heap-will-not-stay", Warning, Course;
    /// More nitrogen was fed at once than a bed takes.
    HEAVY_FEED = "heavy-feed", Warning, Course;
    /// A layer is without air for weeks.
    AIRLESS_LAYER = "airless-layer", Note, Course;
    /// A forecast is no promise.
    NOT_A_PROMISE = "not-a-promise", Note, Course;
    /// The bed stands on a deck, a balcony or a roof.
    WET_WEIGHT = "wet-weight", Danger, Bed;
    /// A trench is dug, where cables and pipes may lie.
    BURIED_SERVICES = "buried-services", Danger, Bed;
    /// Boards or fill were treated, painted or tarred.
    TREATED_TIMBER = "treated-timber", Danger, Bed;
    /// The bed stands against a house wall.
    WALL_CONTACT = "wall-contact", Warning, Bed;
    /// A mound's sides are steeper than soil lies.
    STEEP_MOUND = "steep-mound", Warning, Bed;
    /// The rim stands higher than the bed is wide.
    TALLER_THAN_WIDE = "taller-than-wide", Warning, Bed;
    /// Boards are so long that they bow out.
    LONG_BOARDS = "long-boards", Note, Bed;
    /// Fresh willow or poplar, which strikes root.
    LIVE_WOOD = "live-wood", Warning, Bed;
    /// Walnut or its like, which holds other plants back.
    GROWTH_STOPPING_WOOD = "growth-stopping-wood", Warning, Bed;
    /// Yew, laurel or their like, which are poisonous.
    POISONOUS_PLANT = "poisonous-plant", Warning, Bed;
    /// Stumps or roots, which may carry honey fungus.
    HONEY_FUNGUS = "honey-fungus", Warning, Bed;
    /// Hay, straw or manure, which may carry lasting weedkiller.
    WEEDKILLER_CARRY_OVER = "weedkiller-carry-over", Warning, Bed;
    /// Kitchen waste, which draws rats.
    KITCHEN_WASTE = "kitchen-waste", Warning, Bed;
    /// Glossy, coated or waxed card.
    GLOSSY_CARD = "glossy-card", Warning, Bed;
    /// A sheet in the bed that water cannot pass.
    BLOCKED_BASE = "blocked-base", Warning, Bed;
    /// A thick layer of wet greens.
    TOO_MUCH_GREEN = "too-much-green", Warning, Bed;
    /// Manure or much green stuff, which heats up.
    HEATS_UP = "heats-up", Note, Bed;
    /// The non-woody material and small wood hold little nitrogen.
    NO_NITROGEN = "no-nitrogen", Warning, Bed;
    /// Dry wood or leaves that nobody waters.
    DRY_FILL = "dry-fill", Warning, Bed;
    /// Sheets of card that are not watered.
    SHEDS_WATER = "sheds-water", Note, Bed;
    /// Little soil over the wood.
    THIN_SOIL = "thin-soil", Warning, Bed;
    /// Wood in the top layer.
    STICKS_OUT = "sticks-out", Warning, Bed;
    /// Logs without fine material between them.
    HOLLOW_SPOTS = "hollow-spots", Note, Bed;
    /// A layer is told as thinner than the logs in it.
    THINNER_THAN_LOGS = "thinner-than-logs", Warning, Bed;
    /// More than half of the bed is compost.
    ALL_COMPOST = "all-compost", Note, Bed;
    /// More than half of the wood resists decay.
    ROT_PROOF_WOOD = "rot-proof-wood", Note, Bed;
    /// More than half of the wood is of conifers.
    TOO_MUCH_CONIFER = "too-much-conifer", Note, Bed;
    /// A bed with wood settles most in its first year.
    PLANT_TOO_SOON = "plant-too-soon", Note, Bed;
    /// Filled in spring, just before planting.
    SPRING_FILL = "spring-fill", Note, Bed;
    /// The thickness of a trodden layer, measured who knows when.
    LOOSE_MEASURE = "loose-measure", Note, Bed;
    /// The file does not say where the bed stands.
    WHERE_IT_STANDS = "where-it-stands", Note, BeforeFilling;
    /// The file does not say what the boards are.
    WHICH_BOARDS = "which-boards", Note, BeforeFilling;
    /// Wood to leave out, of which the file cannot tell.
    WHICH_WOOD = "which-wood", Note, BeforeFilling;
    /// Card, of which only plain will do.
    PLAIN_CARD = "plain-card", Note, BeforeFilling;
    /// Grass or turf, perhaps from a lawn with weedkiller.
    LAWN_WEEDKILLER = "lawn-weedkiller", Note, BeforeFilling;
    /// Dug soil, which may hold lead.
    OLD_SOIL = "old-soil", Note, BeforeFilling;
    /// Soil, compost or manure, which is handled.
    GLOVES_AND_MASK = "gloves-and-mask", Note, BeforeFilling;
    /// More weight than one person lifts at once.
    LIFTING = "lifting", Note, BeforeFilling;
}

/// How much a notice of that code matters; a word that is no code is a note.
#[must_use]
pub fn severity(code: &str) -> Severity {
    kind(code).0
}

/// What a notice of that code speaks of.
#[must_use]
pub fn topic(code: &str) -> Topic {
    kind(code).1
}

fn kind(code: &str) -> (Severity, Topic) {
    let mut known = CODES.iter().zip(KINDS);
    known
        .find(|(known, _)| **known == code)
        .map_or((Severity::Note, Topic::Course), |(_, kind)| *kind)
}

/// Something a reader should know about a bed or a forecast.
///
/// ```
/// let forecast = moulder::Bed::example().forecast().months(1).ensemble_size(0).run()?;
/// assert!(forecast.notices.iter().any(|notice| notice.code == "where-it-stands"));
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Notice {
    /// Stable word code, one of [`CODES`], and the key of its text ("layers-upside-down").
    pub code: Cow<'static, str>,
    /// How much it matters.
    pub severity: Severity,
    /// The layer it speaks of, counted from the ground, 0 first.
    pub layer: Option<usize>,
    /// The figures that its text shows, by name.
    pub values: Vec<(Cow<'static, str>, String)>,
    /// Whether the bed file says that the owner has seen to it.
    pub acknowledged: bool,
}

impl Notice {
    /// A notice of one of [`CODES`], not acknowledged.
    #[must_use]
    pub fn new(
        code: &'static str,
        layer: Option<usize>,
        values: Vec<(&'static str, String)>,
    ) -> Self {
        Self {
            code: Cow::Borrowed(code),
            severity: severity(code),
            layer,
            values: values
                .into_iter()
                .map(|(name, value)| (Cow::Borrowed(name), value))
                .collect(),
            acknowledged: false,
        }
    }

    /// With another figure.
    #[must_use]
    pub(crate) fn with(mut self, name: &'static str, value: String) -> Self {
        self.values.push((Cow::Borrowed(name), value));
        self
    }

    /// A figure of that name, as it is shown; empty when there is none.
    #[must_use]
    pub fn value(&self, name: &str) -> &str {
        let found = self.values.iter().find(|(key, _)| *key == name);
        found.map_or("", |(_, value)| value.as_str())
    }

    /// The same, acknowledged when its code is among those.
    #[must_use]
    pub(crate) fn unless_seen(mut self, seen: &[&str]) -> Self {
        self.acknowledged = seen.contains(&&*self.code);
        self
    }

    /// Whether it may spoil something or hurt someone, and nobody has acknowledged it.
    #[must_use]
    pub fn stands(&self) -> bool {
        self.severity >= Severity::Warning && !self.acknowledged
    }
}

/// What a notice speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Topic {
    /// What the file says, and what becomes of the bed.
    Course,
    /// A caution that this bed calls for as it is filled.
    Bed,
    /// What to look to before filling, of which the file is silent or cannot tell.
    BeforeFilling,
}

/// How much a notice matters.
///
/// ```
/// use moulder::Severity;
///
/// assert!(Severity::Danger > Severity::Warning && Severity::Warning > Severity::Note);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Good to know.
    Note,
    /// May spoil the result.
    Warning,
    /// May hurt someone or something.
    Danger,
}

/// A value assumed because the document is silent.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct DefaultUsed {
    /// Where it would stand in the document (a JSON Pointer).
    pub path: String,
    /// The value, as it would be written.
    pub value: String,
    /// The source, or "our own closure".
    pub source: String,
    /// Difference in settlement between the low and the high end of the prior of this parameter,
    /// all others at their median; m. None where it was not asked for or where it is no uncertain
    /// parameter.
    pub width_it_adds_m: Option<f64>,
    /// Whether its width was left out, because the bed holds too much to compute all of them:
    /// little of the settlement depends on it.
    #[serde(default, skip_serializing_if = "core::ops::Not::not")]
    pub is_width_left_out: bool,
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::Path;

    use super::CODES;

    /// Every text after `code: ` in a file of the library.
    fn codes_in(folder: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                codes_in(&path, found);
                continue;
            }
            let source = fs::read_to_string(&path).unwrap();
            let code = source.split("#[cfg(test)]").next().unwrap_or_default();
            let after = code.split("code: \"").skip(1);
            found.extend(after.map(|rest| rest.split('"').next().unwrap_or_default().to_owned()));
        }
    }

    /// A notice that is raised by its word alone must be on the list as well; the test of
    /// the code book then asks for its cause and its cure.
    #[test]
    fn every_word_that_is_used_is_on_the_list() {
        let mut found = Vec::new();
        codes_in(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join("src"),
            &mut found,
        );
        let strangers: Vec<&String> = found
            .iter()
            .filter(|word| {
                let known = crate::fault::FaultCode::ALL
                    .iter()
                    .any(|code| code.as_str() == *word);
                !known && !CODES.contains(&word.as_str())
            })
            .collect();
        assert_eq!(strangers, Vec::<&String>::new());
    }
}

//! How what beds are topped up with is bought, from the fields of a question.

use moulder::internals::library::material::Material;
use moulder::internals::topup::{Buying, Package, TopUpRule, TopUpTrigger};
use moulder::{Bed, FaultCode};

use crate::asked::{Asked, refuse};
use crate::field::{
    AT_MOST, BELOW, BUDGET, DAY_OF_MONTH, DELIVER_ON, EACH, IN_MONTHS, MONTH_OF_YEAR, OVERFILL,
    SOIL, TODAY, WAY_DELIVERY, WAY_LEAD, WAY_LEAST, WAY_MOST, WAY_NAME, WAY_PRICE, WAY_VOLUME,
    WAYS, WITH, YEARS,
};
use crate::recipe::topups::Wanted;
use crate::refused::Refused;

/// Default material of top-ups.
pub const USUAL_MATERIAL: &str = "loamy topsoil";
/// Default package; m3.
pub const USUAL_PACK_M3: f64 = 0.04;
/// Volume from which a package is called a load; m3.
const LOAD_M3: f64 = 0.5;
/// Years looked ahead where nothing is said.
const YEARS_AHEAD: u32 = 3;

/// What a package of that volume is called where its owner has no name for it.
#[must_use]
pub const fn usual_name(volume_m3: f64) -> &'static str {
    if volume_m3 >= LOAD_M3 { "load" } else { "bag" }
}

/// The material to top up with.
pub(crate) fn material(asked: Asked<'_>) -> Result<Material, Refused> {
    let name = asked.text(&WITH).unwrap_or(USUAL_MATERIAL);
    let library = asked.library()?;
    let material = library.material(name).cloned();
    material.map_err(|error| Refused::of(&error, "/with"))
}

/// The ways to buy it, at least one.
pub(crate) fn packages(asked: Asked<'_>) -> Result<Vec<Package>, Refused> {
    let mut ways = Vec::new();
    for (at, way) in asked.objects(&WAYS).enumerate() {
        let volume_m3 = way.number(&WAY_VOLUME).unwrap_or(USUAL_PACK_M3);
        let name = way.text(&WAY_NAME).unwrap_or(usual_name(volume_m3));
        let least = way.whole(&WAY_LEAST).unwrap_or(1);
        let most = way.whole(&WAY_MOST);
        if let Some(most) = most.filter(|most| *most < least) {
            let path = format!("/ways/{at}/most");
            let expected = format!("{least} or more, which are sold at once");
            return Err(refuse(
                FaultCode::OutOfRange,
                &path,
                &most.to_string(),
                &expected,
            ));
        }
        ways.push(Package {
            price: way.number(&WAY_PRICE),
            delivery: way.number(&WAY_DELIVERY).unwrap_or_default(),
            lead_days: way.whole(&WAY_LEAD).unwrap_or_default(),
            least,
            most,
            ..Package::new(name, volume_m3)
        });
    }
    if ways.is_empty() {
        ways.push(Package::new(usual_name(USUAL_PACK_M3), USUAL_PACK_M3));
    }
    Ok(ways)
}

/// The rule that tops up with a material in a package: as much as it takes.
pub(crate) fn rule(
    (material, package): (&Material, &Package),
    trigger: TopUpTrigger,
    months: u32,
) -> TopUpRule {
    TopUpRule {
        trigger,
        material: material.clone(),
        package: package.clone(),
        most_m: None,
        yearly_budget: None,
        months,
        from: None,
    }
}

/// What is asked of top-ups.
pub(crate) fn wanted(asked: Asked<'_>, beds: &[Bed], usual: u32) -> Result<Wanted, Refused> {
    let ways = packages(asked)?;
    let given = [
        asked.number(&BELOW).map(TopUpTrigger::BelowRimM),
        asked.number(&SOIL).map(TopUpTrigger::SoilDepthM),
        in_months(asked),
    ];
    let mut given = given.into_iter().flatten();
    let trigger = given.next();
    if given.next().is_some() {
        let expected = "give one of in_months, below_m and soil_m";
        return Err(refuse(
            FaultCode::DoesNotFit,
            "",
            "there are several ways to tell when to top up",
            expected,
        ));
    }
    let days = asked.objects(&DELIVER_ON).map(|day| {
        let small = |field| day.whole(field).and_then(|n| i8::try_from(n).ok());
        (
            small(&MONTH_OF_YEAR).unwrap_or(1),
            small(&DAY_OF_MONTH).unwrap_or(1),
        )
    });
    let deliver_on: Vec<(i8, i8)> = days.collect();
    let chooses = ways.len() > 1 || !deliver_on.is_empty();
    if asked.flag(&EACH) && chooses {
        let expected = "leave ways but one and deliver_on out, or each";
        return Err(refuse(
            FaultCode::DoesNotFit,
            "/each",
            "beds that buy each for itself cannot choose",
            expected,
        ));
    }
    let are_several = beds.len() > 1 || beds.iter().any(|bed| bed.count() > 1);
    let package = ways.first().cloned();
    Ok(Wanted {
        trigger,
        material: material(asked)?,
        package: package.unwrap_or_else(|| Package::new("bag", USUAL_PACK_M3)),
        buying: Buying {
            deliver_on,
            yearly_budget: asked.number(&BUDGET),
            ..Buying::in_one_of(ways)
        },
        most_m: asked.number(&AT_MOST),
        years: asked.whole(&YEARS).unwrap_or(YEARS_AHEAD),
        today: asked.text(&TODAY).and_then(|text| text.parse().ok()),
        shares: chooses || !asked.flag(&EACH) && are_several,
        overfill_months: asked.whole(&OVERFILL),
        draws: asked.ensemble(usual),
    })
}

fn in_months(asked: Asked<'_>) -> Option<TopUpTrigger> {
    let months = asked.wholes(&IN_MONTHS).into_iter();
    let mut months: Vec<u8> = months
        .filter_map(|month| u8::try_from(month).ok())
        .collect();
    months.sort_unstable();
    months.dedup();
    (!months.is_empty()).then_some(TopUpTrigger::Months(months))
}

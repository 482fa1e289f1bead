//! What orders that beds share leave of the plans of each.

use super::TopUps;
use super::pooled::PooledOrder;
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::current::current_forecast;
use crate::forecast::calendar::month_day;
use crate::forecast::progress::Progress;
use crate::library::material::Material;
use crate::uncertainty::ensemble::Realisations;

/// What is less is told as the same; m3.
const LEAST_M3: f64 = 1e-6;

/// What shared orders bring to beds: their plans with that in place of what each wants
/// ([`TopUp::laid_m3`](super::TopUp::laid_m3) beside what it needs), and where beds for which it
/// is less or later then stand in the end, by a forecast of each with exactly that laid on.
/// Intervals of volumes and the balance remain those of what is wanted.
///
/// # Errors
///
/// As [`current_forecast`].
pub fn brought_by(
    orders: &[PooledOrder],
    beds: &[Bed],
    plans: &[TopUps],
    material: &Material,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Vec<TopUps>, Error> {
    let each = beds.iter().zip(plans).enumerate();
    let each = each.map(|(place, (bed, plan))| {
        let mut plan = plan.clone();
        let parts = orders.iter().flat_map(|order| {
            let of_bed = order.beds.iter().filter(|(bed, _)| *bed == place);
            of_bed.map(|(_, laid_m3)| (order.date, *laid_m3))
        });
        let mut differs = false;
        // The top-ups that an order is for stand in it by date.
        for (topup, (delivered, laid_m3)) in plan.top_ups.iter_mut().zip(parts) {
            let kg_per_m3 = topup.laid_kg / topup.laid_m3.max(f64::MIN_POSITIVE);
            differs |= (laid_m3 - topup.needed_m3).abs() > LEAST_M3 || delivered > topup.date;
            topup.is_held_back |= laid_m3 < topup.needed_m3 - LEAST_M3;
            topup.date = topup.date.max(delivered);
            topup.laid_kg = laid_m3 * kg_per_m3;
            topup.laid_m3 = laid_m3;
        }
        if differs {
            let topped_up = plan.laid_on(bed, material);
            let forecast = current_forecast(&topped_up, plan.months, ensemble, progress)?;
            let end = forecast.expected_on(month_day(plan.filled, plan.months));
            if let Some(end) = end {
                let below_m = end.below_rim_m.unwrap_or(end.lowered_m);
                plan.below_at_end_m = below_m.mean;
                if let Some(bands) = &mut plan.intervals {
                    bands.below_at_end_m = below_m;
                }
            }
        }
        Ok(plan)
    });
    each.collect()
}

//! What the bed was fed.

use crate::fault::notice::{HEAVY_FEED, Notice};
use crate::forecast::caution::fill::Fill;
use crate::forecast::nitrogen::MOST_AT_ONCE_G_M2;
use crate::text::month::MONTHS;

/// A dose as advised is rounded up by a kitchen scale, by a tenth at most.
const ROUNDED_UP: f64 = 1.1;
/// Grams in a kilogram.
const GRAMS: f64 = 1000.0;

/// The day with the most nitrogen, where that is more than a bed takes at once.
pub(super) fn cautions(fill: &Fill<'_>) -> Vec<Notice> {
    let days = fill.bed.fed.chunk_by(|one, next| one.on == next.on);
    let given = days.filter_map(|day| {
        let kg: f64 = day.iter().map(|feed| feed.nitrogen_kg).sum();
        Some((day.first()?.on, GRAMS * kg / fill.bed.shape.area_m2()))
    });
    let most = given.max_by(|(_, one), (_, other)| one.total_cmp(other));
    let heavy = most.filter(|(_, g_m2)| *g_m2 > ROUNDED_UP * MOST_AT_ONCE_G_M2);
    let told = heavy.map(|(on, g_m2)| {
        let number = usize::from(on.month().unsigned_abs()).saturating_sub(1);
        let month = MONTHS.get(number).copied().unwrap_or_default();
        let values = vec![
            ("on", format!("{} {month} {}", on.day(), on.year())),
            ("times", format!("{:.1}", g_m2 / MOST_AT_ONCE_G_M2)),
        ];
        Notice::new(HEAVY_FEED, None, values)
    });
    told.into_iter().collect()
}

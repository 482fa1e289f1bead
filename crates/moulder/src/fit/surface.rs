//! The surface of a realisation, month by month.

use crate::forecast::row::Month;

/// The surface at the end of a month, without model discrepancy.
#[derive(Debug, Clone, Copy)]
#[allow(
    clippy::struct_field_names,
    reason = "a name says its unit, and all are heights"
)]
pub(crate) struct Surface {
    pub(crate) height_m: f64,
    pub(crate) settlement_m: f64,
    pub(crate) added_m: f64,
    pub(crate) thickness_m: f64,
}

impl Surface {
    pub(crate) fn from_month(row: &Month) -> Self {
        Self {
            height_m: row.height_m,
            settlement_m: row.settlement_m,
            added_m: row.added_m,
            thickness_m: row.thickness_m(),
        }
    }
}

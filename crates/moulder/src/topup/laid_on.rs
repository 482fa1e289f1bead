//! A bed with the top-ups that are planned for it.

use super::TopUps;
use super::planner::top_up_layer;
use crate::bed::{Addition, Bed};
use crate::library::material::Material;

impl TopUps {
    /// The bed with these top-ups of that material as additions of its own: what a forecast of the
    /// bed takes in.
    ///
    /// ```
    /// use moulder::{Bed, Library, TopUpRequest, top_ups};
    ///
    /// let bed = Bed::example();
    /// let request = TopUpRequest::new("loamy topsoil").months(14).ensemble_size(0);
    /// let plans = top_ups(&[bed.clone()], &request)?;
    /// let soil = Library::built_in().material("loamy topsoil")?.clone();
    /// let topped_up = plans[0].laid_on(&bed, &soil);
    /// assert_eq!(topped_up.additions().len(), bed.additions().len() + plans[0].top_ups.len());
    /// # Ok::<(), moulder::Error>(())
    /// ```
    #[must_use]
    pub fn laid_on(&self, bed: &Bed, material: &Material) -> Bed {
        let mut topped_up = bed.clone();
        let laid = self.top_ups.iter().filter(|topup| topup.laid_m3 > 0.0);
        topped_up.additions.extend(laid.flat_map(|topup| {
            let put = top_up_layer(material, topup.laid_m3).put;
            put.into_iter().map(|ingredient| Addition {
                on: topup.date,
                ingredient,
            })
        }));
        topped_up.additions.sort_by_key(|added| added.on);
        topped_up
    }
}

//! Towns: by name, and near a place.

use crate::name::{folded, readings};
use crate::{Places, Region, Spot, country};

/// A town.
#[derive(Debug, Clone, PartialEq)]
pub struct Town {
    /// Its name.
    pub name: String,
    /// Number of its region in the set.
    pub region: usize,
    /// Where it lies.
    pub spot: Spot,
    /// Height above the sea; m.
    pub height_m: f64,
    /// How many live there: twice the logarithm to the base of two, rounded down.
    pub size: u8,
}

impl Places {
    /// The region of a town.
    #[must_use]
    pub fn region(&self, town: &Town) -> &Region {
        // A set is read whole or not at all.
        &self.regions[town.region]
    }

    /// Every town that may be meant, the largest first: by its name, with the country or the
    /// region before or after it, whatever the case, the accents and the commas.
    ///
    /// ```
    /// # #[cfg(feature = "full")] {
    /// let places = moulder_places::Places::full();
    /// assert_eq!(places.named("boston ma").len(), 1);
    /// assert!(places.named("Boston").len() > 1);
    /// assert_eq!(places.named("zurich"), places.named("Zürich, Switzerland"));
    /// assert!(places.named("Nowhere").is_empty());
    /// # }
    /// ```
    #[must_use]
    pub fn named(&self, asked: &str) -> Vec<&Town> {
        let mut found: Vec<usize> = Vec::new();
        for (name, others) in readings(asked) {
            let from = self.names.partition_point(|(known, _)| *known < name);
            let of_name = self.names[from..].iter();
            let of_name = of_name.take_while(|(known, _)| *known == name);
            found.extend(
                of_name
                    .map(|(_, at)| *at)
                    .filter(|at| self.lies_in(&self.towns[*at], &others)),
            );
        }
        found.sort_unstable();
        found.dedup();
        let mut towns: Vec<&Town> = found.into_iter().map(|at| &self.towns[at]).collect();
        towns.sort_by_key(|town| core::cmp::Reverse(town.size));
        towns
    }

    /// Towns whose name, or another that they are known by, begins with what was typed, whatever
    /// the case and the accents: so many at most, the largest first.
    ///
    /// ```
    /// # #[cfg(feature = "full")] {
    /// let places = moulder_places::Places::full();
    /// let found = places.beginning_with("lyo", 3);
    /// assert_eq!(places.label(found[0]), "Lyon, France");
    /// assert!(places.beginning_with("", 3).is_empty());
    /// # }
    /// ```
    #[must_use]
    pub fn beginning_with(&self, typed: &str, most: usize) -> Vec<&Town> {
        let typed = folded(typed);
        if typed.is_empty() {
            return Vec::new();
        }
        let from = self.names.partition_point(|(known, _)| *known < typed);
        let found = self.names[from..].iter();
        let found = found.take_while(|(known, _)| known.starts_with(&typed));
        let mut found: Vec<usize> = found.map(|(_, at)| *at).collect();
        found.sort_unstable_by_key(|at| (core::cmp::Reverse(self.towns[*at].size), *at));
        found.dedup();
        found.truncate(most);
        found.into_iter().map(|at| &self.towns[at]).collect()
    }

    /// Whether each of those names is of its country, its region, or both together.
    fn lies_in(&self, town: &Town, others: &[String]) -> bool {
        if others.is_empty() {
            return true;
        }
        let region = self.region(town);
        let mut countries = vec![folded(&region.country)];
        countries.extend(country::names(&region.country).map(folded));
        let regions: Vec<String> = [&region.name, &region.short]
            .into_iter()
            .map(|name| folded(name))
            .filter(|name| !name.is_empty())
            .collect();
        others.iter().all(|other| {
            countries.contains(other)
                || regions.contains(other)
                || other.match_indices(' ').any(|(at, _)| {
                    let (one, two) = (other[..at].to_owned(), other[at + 1..].to_owned());
                    (regions.contains(&one) && countries.contains(&two))
                        || (countries.contains(&one) && regions.contains(&two))
                })
        })
    }

    /// The town with its country, and with its region where the country has several of its name.
    /// Two of one name in one region cannot be told apart so.
    #[must_use]
    pub fn label(&self, town: &Town) -> String {
        let region = self.region(town);
        let (name, country) = (&town.name, country(&region.country));
        let short = format!("{name}, {country}");
        if region.name.is_empty() || self.named(&short).len() < 2 {
            return short;
        }
        format!("{name}, {}, {country}", region.name)
    }

    /// So many towns with their distance in km, the nearest first.
    #[must_use]
    pub fn towns_near(&self, spot: Spot, count: usize) -> Vec<(f64, &Town)> {
        let towns = self.towns.iter();
        let towns = towns.map(|town| (spot.km_to(town.spot), town));
        nearest(towns.collect(), count)
    }
}

/// The first of those by distance.
pub(crate) fn nearest<T>(mut all: Vec<(f64, T)>, count: usize) -> Vec<(f64, T)> {
    all.sort_by(|one, other| one.0.total_cmp(&other.0));
    all.truncate(count);
    all
}

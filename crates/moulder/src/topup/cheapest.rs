//! The cheapest purchase that covers a volume, in one or several ways to buy.
//!
//! An exact search: one way of those used costs least by volume, and of each dearer way no more is
//! worth buying than it takes to save a last package of that one.

use super::package::Package;

/// Packages by way, and what they come to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Basket {
    /// Packages of each way, in their order.
    pub(super) packs: Vec<u32>,
    pub(super) volume_m3: f64,
    /// With deliveries; 0 where the price is not known.
    pub(super) cost: f64,
}

impl Basket {
    fn of(ways: &[Package], packs: Vec<u32>) -> Self {
        let each = || ways.iter().zip(&packs);
        Self {
            volume_m3: each()
                .map(|(way, count)| f64::from(*count) * way.volume_m3)
                .sum(),
            cost: each().map(|(way, count)| cost(way, *count)).sum(),
            packs,
        }
    }

    fn count(&self) -> u64 {
        self.packs.iter().map(|count| u64::from(*count)).sum()
    }
}

/// The basket that holds that volume at the least cost, of equals that with the least material and
/// the fewest packages; within a budget that does not reach, the one with the most of it.
pub(super) fn cheapest(ways: &[Package], missing_m3: f64, budget: Option<f64>) -> Basket {
    let nothing = Basket::of(ways, vec![0; ways.len()]);
    let mut best = nothing;
    if missing_m3 <= 0.0 {
        return best;
    }
    let mut try_it = |packs: Vec<u32>| {
        let found = Basket::of(ways, packs);
        let fits = budget.is_none_or(|budget| found.cost <= budget + 1e-9);
        let held = |basket: &Basket| missing_m3.min(basket.volume_m3 + 1e-9);
        let is_better = held(&found) > held(&best) + 1e-12
            || held(&found) >= held(&best)
                && (found.cost, found.volume_m3, found.count())
                    < (best.cost, best.volume_m3, best.count());
        if fits && is_better {
            best = found;
        }
    };
    for filler in 0..ways.len() {
        let others: Vec<usize> = (0..ways.len())
            .filter(|other| is_dearer(ways, *other, filler))
            .collect();
        let mut packs = vec![0; ways.len()];
        fill(
            ways,
            filler,
            &others,
            missing_m3,
            budget,
            &mut packs,
            &mut try_it,
        );
    }
    best
}

/// Tries every count of the others, each with what of the filler covers the rest.
fn fill(
    ways: &[Package],
    filler: usize,
    others: &[usize],
    rest_m3: f64,
    budget: Option<f64>,
    packs: &mut Vec<u32>,
    try_it: &mut dyn FnMut(Vec<u32>),
) {
    let Some((other, others)) = others.split_first() else {
        let wanted = at_least(&ways[filler], needed(&ways[filler], rest_m3));
        packs[filler] = match budget {
            None => wanted,
            Some(budget) => {
                let spent = Basket::of(ways, packs.clone()).cost;
                affordable(&ways[filler], wanted, budget - spent)
            }
        };
        try_it(packs.clone());
        packs[filler] = 0;
        return;
    };
    let way = &ways[*other];
    let most = worth_buying(way, &ways[filler], rest_m3);
    for count in (0..=most).filter(|count| *count == 0 || *count >= way.least) {
        packs[*other] = count;
        let rest_m3 = rest_m3 - f64::from(count) * way.volume_m3;
        fill(ways, filler, others, rest_m3, budget, packs, try_it);
    }
    packs[*other] = 0;
}

/// Price of a litre, as it were, without delivery.
fn by_volume(way: &Package) -> f64 {
    way.price.unwrap_or(0.0) / way.volume_m3
}

fn is_dearer(ways: &[Package], one: usize, than: usize) -> bool {
    match by_volume(&ways[one]).total_cmp(&by_volume(&ways[than])) {
        core::cmp::Ordering::Equal => one > than,
        order => order.is_gt(),
    }
}

/// Most packages of a dearer way beside the cheapest: more of them are dearer than one more of that
/// with its delivery.
fn worth_buying(way: &Package, filler: &Package, rest_m3: f64) -> u32 {
    let all = at_least(way, needed(way, rest_m3));
    let dearer_by = way.price.unwrap_or(0.0) - by_volume(filler) * way.volume_m3;
    let deliveries = filler.most.map_or(0.0, |most| {
        filler.delivery * way.volume_m3 / (f64::from(most.max(1)) * filler.volume_m3)
    });
    let one_more = filler.price.unwrap_or(0.0) + filler.delivery;
    if dearer_by <= deliveries {
        all
    } else {
        all.min(
            way.least
                .saturating_add(whole((one_more / (dearer_by - deliveries)).ceil())),
        )
    }
}

/// Cost of so many packages with their deliveries.
pub(super) fn cost(way: &Package, count: u32) -> f64 {
    let deliveries = way
        .most
        .map_or(u32::from(count > 0), |most| count.div_ceil(most.max(1)));
    f64::from(count) * way.price.unwrap_or(0.0) + f64::from(deliveries) * way.delivery
}

/// Least whole number of packages that holds a volume, with a tolerance for rounding.
fn needed(way: &Package, volume_m3: f64) -> u32 {
    whole((volume_m3 / way.volume_m3 - 1e-9).ceil())
}

/// No less than is sold at once, where any is wanted.
fn at_least(way: &Package, wanted: u32) -> u32 {
    if wanted == 0 {
        0
    } else {
        wanted.max(way.least)
    }
}

/// As many of the wanted packages as that money buys.
fn affordable(way: &Package, wanted: u32, money: f64) -> u32 {
    let (mut low, mut high) = (0, wanted);
    while low < high {
        let middle = low + (high - low).div_ceil(2);
        if cost(way, middle) <= money + 1e-9 {
            low = middle;
        } else {
            high = middle - 1;
        }
    }
    if low < way.least { 0 } else { low }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held to the range"
)]
fn whole(units: f64) -> u32 {
    units.clamp(0.0, f64::from(u32::MAX)) as u32
}

#[cfg(test)]
mod tests {
    use super::{Basket, cheapest, cost};
    use crate::numeric::uniform::part;
    use crate::topup::Package;
    use rand_pcg::Pcg64;

    fn bag() -> Package {
        Package::new("bag", 0.04).price(5.98)
    }

    fn load() -> Package {
        Package::new("load", 1.0).price(45.0).delivery(30.0)
    }

    /// 100 L are cheaper in bags, 800 L in bulk; 1.1 m3 in bulk and bags: 75 + 3 x 5.98.
    #[test]
    fn bulk_or_bags_or_both() {
        let packs = |m3| cheapest(&[bag(), load()], m3, None).packs;
        assert_eq!(packs(0.0), [0, 0]);
        assert_eq!(packs(0.1), [3, 0]);
        assert_eq!(packs(0.8), [0, 1]);
        assert_eq!(packs(1.1), [3, 1]);
        // 500 L: 13 bags are 77.74, a load is 75.
        assert_eq!(packs(0.5), [0, 1]);
    }

    /// A lorry takes 8 m3, and less than 2 are not brought.
    #[test]
    fn loads_have_their_size() {
        let lorry = Package {
            least: 2,
            most: Some(8),
            ..load()
        };
        let packs = |m3| cheapest(&[bag(), lorry.clone()], m3, None).packs;
        // 20 bags are 119.60, two loads 120.00.
        assert_eq!(packs(0.8), [20, 0]);
        assert_eq!(packs(0.9), [0, 2]);
        assert_eq!(packs(0.4), [10, 0]);
        assert_eq!(packs(8.0), [0, 8]);
        // A second lorry for 40 L costs more than a bag.
        assert_eq!(packs(8.04), [1, 8]);
        assert!((cost(&lorry, 9) - (9.0 * 45.0 + 60.0)).abs() < 1e-9);
    }

    #[test]
    fn a_budget_buys_what_it_can() {
        let within = |money| cheapest(&[bag(), load()], 1.5, Some(money));
        assert_eq!(within(5.0).packs, [0, 0]);
        assert_eq!(within(20.0).packs, [3, 0]);
        assert_eq!(within(80.0).packs, [0, 1]);
        assert_eq!(within(1000.0).packs, [0, 2]);
    }

    /// No basket of up to 40 packages of each of three ways is cheaper.
    #[test]
    fn it_is_the_cheapest_of_all() {
        let mut numbers = Pcg64::new(7, 8);
        for _ in 0..60 {
            let mut one = |name: &str, most_m3: f64| {
                let volume_m3 = most_m3 * (0.2 + 0.8 * part(&mut numbers));
                let way = Package::new(name, volume_m3)
                    .price(100.0 * volume_m3 * (0.3 + part(&mut numbers)))
                    .delivery(40.0 * part(&mut numbers));
                Package {
                    least: 1 + u32::from(part(&mut numbers) < 0.3),
                    most: (part(&mut numbers) < 0.3).then_some(3),
                    ..way
                }
            };
            let ways = [one("bag", 0.1), one("sack", 0.3), one("load", 1.0)];
            let missing_m3 = 1.5 * part(&mut numbers);
            let found = cheapest(&ways, missing_m3, None);
            assert!(found.volume_m3 >= missing_m3 - 1e-9);
            let counts = |way: &Package| {
                let least = way.least;
                (0..=40).filter(move |count| *count == 0 || *count >= least)
            };
            for a in counts(&ways[0]) {
                for b in counts(&ways[1]) {
                    for c in counts(&ways[2]) {
                        let other = Basket::of(&ways, vec![a, b, c]);
                        let is_enough = other.volume_m3 >= missing_m3;
                        assert!(
                            !is_enough || other.cost >= found.cost - 1e-9,
                            "{other:?} {found:?}"
                        );
                    }
                }
            }
        }
    }
}

//! The amounts as a linear programme, solved by a library.
//!
//! With x the loose depth of each material over the whole bed and s the share of it left on the
//! settled day,
//!
//! ```text
//! sum(s x) = height                      it ends where it is wanted
//! sum(s x of the soils) >= soil          deep enough for roots
//! 0 <= x <= what there is
//! least sum(x) <= x <= most sum(x)       the user's own shares
//! ```
//!
//! and the rules of good practice ([`Rule`]), which are relaxed one by one, the last first,
//! where there is no other solution. None of these has a published source.

use super::aim::{Aim, Rule};
use super::role::Role;
use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};

/// Most coarse wood, as a share of the loose fill (a base of half the depth is the most that
/// school-garden and gardeners' recipes print: common practice, no source).
const COARSE_MOST: f64 = 0.5;
/// Most compost, as a share of the growing soil: more settles further and may be too rich
/// (common practice, no source).
const COMPOST_MOST: f64 = 0.5;
/// Carbon to nitrogen below which a mixture turns slimy and loses ammonia (common practice of
/// composting, no source).
const GREENEST: f64 = 20.0;
/// Carbon to nitrogen from which decay immobilises nitrogen rather than mineralising it (common
/// practice of composting, no source).
const NEUTRAL: f64 = 30.0;
/// Most card, a few sheets; m (common practice, no source).
const CARD_MOST_M: f64 = 0.02;
/// Least card or turf, where there is any, to delay fines migration from the soil; m (common
/// practice, no source).
const COVER_LEAST_M: f64 = 0.01;
/// Most growing soil, as a multiple of the required depth, so that a fill is not soil alone:
/// our own choice.
const SOIL_MOST: f64 = 1.5;
/// Weight of a tie-break.
const TIE: f64 = 1e-3;

/// One material of the programme; depths are loose ones over the base of the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Part {
    pub(super) role: Role,
    /// Whether it is compost rather than soil.
    pub(super) compost: bool,
    /// Share of its loose depth left on the settled day.
    pub(super) left_share: f64,
    /// Stock; m.
    pub(super) most_m: f64,
    /// Least and largest share of the whole fill.
    pub(super) shares: (f64, f64),
    /// Price of a metre; none where it is free.
    pub(super) price_per_m: Option<f64>,
    /// Carbon and nitrogen in a metre of it; kg/m2.
    pub(super) carbon_kg: f64,
    pub(super) nitrogen_kg: f64,
}

impl Part {
    /// Net mineralisation of a metre of it, in the mixed layer; negative where it immobilises;
    /// kg/m2.
    pub(super) fn gives_kg(&self) -> f64 {
        if self.role == Role::Mixed {
            self.nitrogen_kg - self.carbon_kg / NEUTRAL
        } else {
            0.0
        }
    }
}

/// Requirements on the bed; m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Goal {
    /// Height above the floor of the bed.
    pub(super) height_m: f64,
    /// Depth of the growing soil.
    pub(super) soil_m: f64,
}

/// Depths that meet the requirements.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Optimum {
    /// Loose depth of each part; m.
    pub(super) depths_m: Vec<f64>,
    /// Rules that are broken.
    pub(super) bent: Vec<Rule>,
}

/// What is lacking where no depths meet the requirements; m as on the settled day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lack {
    /// Growing soil.
    pub(super) soil_m: f64,
    /// Anything else.
    pub(super) fill_m: f64,
}

/// The best depths for an aim; none where nothing meets the requirements even without the
/// rules.
pub(super) fn best(parts: &[Part], goal: Goal, aim: Aim) -> Option<Optimum> {
    (0..=Rule::ALL.len()).find_map(|bent| {
        let (kept, bent) = Rule::ALL.split_at(Rule::ALL.len() - bent);
        let depths_m = solve(parts, goal, aim, kept)?;
        // A relaxed rule may hold all the same.
        let bent = bent.iter().copied();
        let bent = bent
            .filter(|rule| breaks(parts, goal, &depths_m, *rule))
            .collect();
        Some(Optimum { depths_m, bent })
    })
}

/// The depths of the same materials that meet the requirements and are nearest to others, by the sum
/// of the changes; they keep the rules that those keep.
pub(super) fn near(parts: &[Part], goal: Goal, others: &Optimum) -> Option<Optimum> {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let vars: Vec<Variable> = parts
        .iter()
        .zip(&others.depths_m)
        .map(|(part, other_m)| {
            let most_m = if *other_m > 0.0 { part.most_m } else { 0.0 };
            problem.add_var(0.0, (0.0, most_m))
        })
        .collect();
    for (var, other_m) in vars.iter().zip(&others.depths_m) {
        let change = problem.add_var(1.0, (0.0, f64::INFINITY));
        let up = [(*var, 1.0), (change, -1.0)];
        let down = [(*var, 1.0), (change, 1.0)];
        problem.add_constraint(&up[..], ComparisonOp::Le, *other_m);
        problem.add_constraint(&down[..], ComparisonOp::Ge, *other_m);
    }
    let rules = Rule::ALL
        .into_iter()
        .filter(|rule| !others.bent.contains(rule));
    require(&mut problem, &vars, parts, goal, rules);
    Some(Optimum {
        depths_m: solved(&problem, &vars)?,
        bent: others.bent.clone(),
    })
}

/// A rule as a linear form in the depths and its upper limit.
fn rule_row(parts: &[Part], goal: Goal, rule: Rule) -> Option<(Vec<f64>, f64)> {
    let each = |of: &dyn Fn(&Part) -> f64| parts.iter().map(of).collect::<Vec<f64>>();
    let share = |is: bool, most: f64| if is { 1.0 - most } else { -most };
    Some(match rule {
        Rule::CoarseWoodAtMostHalf => (
            each(&|part| share(part.role == Role::CoarseWood, COARSE_MOST)),
            0.0,
        ),
        Rule::CardInAFewSheets => (
            each(&|part| f64::from(u8::from(part.role == Role::Card))),
            CARD_MOST_M,
        ),
        Rule::CoveredUnderTheSoil => {
            let covers = |part: &Part| matches!(part.role, Role::Card | Role::Turf);
            let there = parts.iter().filter(|part| covers(part));
            let there_m: f64 = there.map(|part| part.most_m).sum();
            (
                each(&|part| -f64::from(u8::from(covers(part)))),
                -there_m.min(COVER_LEAST_M),
            )
        }
        Rule::NotTooGreen => (
            each(&|part| {
                if part.role == Role::Mixed {
                    GREENEST * part.nitrogen_kg - part.carbon_kg
                } else {
                    0.0
                }
            }),
            0.0,
        ),
        Rule::CompostAtMostHalf => {
            let soil = |part: &Part| part.role == Role::Soil;
            if !parts.iter().any(|part| soil(part) && !part.compost) {
                return None;
            }
            let row = each(&|part| {
                if soil(part) {
                    share(part.compost, COMPOST_MOST)
                } else {
                    0.0
                }
            });
            (row, 0.0)
        }
        Rule::SoilNotMuchDeeper => (
            each(&|part| left_share_of_soil(part)),
            SOIL_MOST * goal.soil_m,
        ),
    })
}

fn breaks(parts: &[Part], goal: Goal, depths_m: &[f64], rule: Rule) -> bool {
    rule_row(parts, goal, rule).is_some_and(|(row, most)| {
        let sum: f64 = row.iter().zip(depths_m).map(|(a, x)| a * x).sum();
        sum > most + 1e-6
    })
}

fn left_share_of_soil(part: &Part) -> f64 {
    if part.role == Role::Soil {
        part.left_share
    } else {
        0.0
    }
}

/// Objective coefficient of a part for an aim.
fn weight(parts: &[Part], part: &Part, aim: Aim) -> f64 {
    let dearest = parts
        .iter()
        .filter_map(|part| part.price_per_m)
        .fold(0.0, f64::max);
    let cost = if dearest > 0.0 {
        part.price_per_m.unwrap_or(0.0) / dearest
    } else {
        0.0
    };
    let gives = |part: &Part| part.gives_kg();
    let richest = parts.iter().map(|part| gives(part).abs());
    let richest = richest.fold(f64::MIN_POSITIVE, f64::max);
    match aim {
        Aim::Cheapest => cost + TIE,
        Aim::SinksLeast => 1.0 + TIE * cost,
        Aim::FeedsBest => -gives(part) / richest + TIE * (cost + 1.0),
        Aim::UsesMost if part.price_per_m.is_none() => -1.0,
        Aim::UsesMost => TIE * cost,
    }
}

fn solve(parts: &[Part], goal: Goal, aim: Aim, rules: &[Rule]) -> Option<Vec<f64>> {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let vars: Vec<Variable> = parts
        .iter()
        .map(|part| problem.add_var(weight(parts, part, aim), (0.0, part.most_m)))
        .collect();
    require(&mut problem, &vars, parts, goal, rules.iter().copied());
    solved(&problem, &vars)
}

/// Adds the requirements on the bed, the shares of the user and these rules.
fn require(
    problem: &mut Problem,
    vars: &[Variable],
    parts: &[Part],
    goal: Goal,
    rules: impl Iterator<Item = Rule>,
) {
    let height: Vec<f64> = parts.iter().map(|part| part.left_share).collect();
    add(problem, vars, &height, ComparisonOp::Eq, goal.height_m);
    let soil: Vec<f64> = parts.iter().map(left_share_of_soil).collect();
    add(problem, vars, &soil, ComparisonOp::Ge, goal.soil_m);
    add_shares(problem, vars, parts);
    for rule in rules {
        if let Some((row, most)) = rule_row(parts, goal, rule) {
            add(problem, vars, &row, ComparisonOp::Le, most);
        }
    }
}

/// The least of the problem, where there is one.
fn solved(problem: &Problem, vars: &[Variable]) -> Option<Vec<f64>> {
    let solution = problem.solve().ok()?.into_solution().ok()?;
    let depths = vars.iter().map(|var| solution.var_value(*var).max(0.0));
    Some(depths.collect())
}

/// The least that is lacking, without the rules of good practice.
pub(super) fn lack(parts: &[Part], goal: Goal) -> Option<Lack> {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let vars: Vec<Variable> = parts
        .iter()
        .map(|part| problem.add_var(0.0, (0.0, part.most_m)))
        .collect();
    // Soil costs a little more, so that anything else is preferred.
    let soil = problem.add_var(1.0 + TIE, (0.0, f64::INFINITY));
    let fill = problem.add_var(1.0, (0.0, f64::INFINITY));
    let mut height: Vec<(Variable, f64)> = vars
        .iter()
        .zip(parts)
        .map(|(var, part)| (*var, part.left_share))
        .collect();
    height.extend([(soil, 1.0), (fill, 1.0)]);
    problem.add_constraint(&height[..], ComparisonOp::Eq, goal.height_m);
    let mut deep: Vec<(Variable, f64)> = vars
        .iter()
        .zip(parts)
        .map(|(var, part)| (*var, left_share_of_soil(part)))
        .collect();
    deep.push((soil, 1.0));
    problem.add_constraint(&deep[..], ComparisonOp::Ge, goal.soil_m);
    add_shares(&mut problem, &vars, parts);
    let solution = problem.solve().ok()?.into_solution().ok()?;
    Some(Lack {
        soil_m: solution.var_value(soil).max(0.0),
        fill_m: solution.var_value(fill).max(0.0),
    })
}

fn add_shares(problem: &mut Problem, vars: &[Variable], parts: &[Part]) {
    for (index, part) in parts.iter().enumerate() {
        let (least, most) = part.shares;
        let row = |share: f64| -> Vec<f64> {
            (0..parts.len())
                .map(|other| f64::from(u8::from(other == index)) - share)
                .collect()
        };
        if least > 0.0 {
            add(problem, vars, &row(least), ComparisonOp::Ge, 0.0);
        }
        if most < 1.0 {
            add(problem, vars, &row(most), ComparisonOp::Le, 0.0);
        }
    }
}

fn add(problem: &mut Problem, vars: &[Variable], row: &[f64], op: ComparisonOp, side: f64) {
    let terms: Vec<(Variable, f64)> = vars.iter().copied().zip(row.iter().copied()).collect();
    problem.add_constraint(&terms[..], op, side);
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOAL: Goal = Goal {
        height_m: 0.6,
        soil_m: 0.2,
    };
    /// Step of the exhaustive search; m.
    const STEP_M: f64 = 0.005;

    fn part(role: Role, left_share: f64, most_m: f64, price_per_m: Option<f64>) -> Part {
        Part {
            role,
            compost: false,
            left_share,
            most_m,
            shares: (0.0, 1.0),
            price_per_m,
            carbon_kg: 20.0,
            nitrogen_kg: 0.5,
        }
    }

    /// Logs, brush and bought soil.
    fn three() -> Vec<Part> {
        vec![
            part(Role::CoarseWood, 0.95, 0.4, None),
            part(Role::Mixed, 0.5, 0.5, None),
            part(Role::Soil, 0.9, 2.0, Some(120.0)),
        ]
    }

    /// Every rule and bound written out by hand rather than by rows.
    fn meets(parts: &[Part], x: &[f64]) -> bool {
        let sum = |is: &dyn Fn(&Part) -> bool, of: &dyn Fn(&Part) -> f64| -> f64 {
            let both = parts.iter().zip(x).filter(|(part, _)| is(part));
            both.map(|(part, x)| of(part) * x).sum()
        };
        let all = |_: &Part| true;
        let loose_m = sum(&all, &|_| 1.0);
        let is = |role: Role| move |part: &Part| part.role == role;
        let soil_m = sum(&is(Role::Soil), &|part| part.left_share);
        let slack = 1e-6;
        let mixed = is(Role::Mixed);
        parts.iter().zip(x).all(|(part, x)| {
            let shares = (part.shares.0 * loose_m, part.shares.1 * loose_m);
            (-slack..=part.most_m + slack).contains(x)
                && (shares.0 - slack..=shares.1 + slack).contains(x)
        }) && soil_m >= GOAL.soil_m - slack
            && soil_m <= 1.5 * GOAL.soil_m + slack
            && sum(&is(Role::CoarseWood), &|_| 1.0) <= 0.5 * loose_m + slack
            && sum(&mixed, &|part| part.carbon_kg)
                >= 20.0 * sum(&mixed, &|part| part.nitrogen_kg) - slack
            && (sum(&all, &|part| part.left_share) - GOAL.height_m).abs() < slack
    }

    fn worth(parts: &[Part], x: &[f64], aim: Aim) -> f64 {
        let each = parts.iter().zip(x);
        each.map(|(part, x)| weight(parts, part, aim) * x).sum()
    }

    /// The least objective of all fills on a grid; the last part makes up the height.
    fn by_exhaustion(parts: &[Part], aim: Aim) -> f64 {
        let (last, others) = parts.split_last().unwrap();
        let mut least = f64::INFINITY;
        let mut x = vec![0.0; others.len()];
        loop {
            let left_share: f64 = others
                .iter()
                .zip(&x)
                .map(|(part, x)| part.left_share * x)
                .sum();
            let mut whole = x.clone();
            whole.push((GOAL.height_m - left_share) / last.left_share);
            if meets(parts, &whole) {
                least = least.min(worth(parts, &whole, aim));
            }
            let Some(next) = x
                .iter()
                .zip(others)
                .position(|(x, part)| x + STEP_M <= part.most_m)
            else {
                return least;
            };
            x[next] += STEP_M;
            x[..next].fill(0.0);
        }
    }

    /// The solver is at least as good as every fill of the grid, and better by no more than one
    /// step.
    fn is_best(parts: &[Part]) {
        for aim in Aim::ALL {
            let found = best(parts, GOAL, aim).unwrap();
            assert_eq!(found.bent, [], "{aim:?}");
            assert!(meets(parts, &found.depths_m), "{aim:?} {found:?}");
            let (solved, tried) = (
                worth(parts, &found.depths_m, aim),
                by_exhaustion(parts, aim),
            );
            assert!(solved <= tried + 1e-6, "{aim:?}: {solved} {tried}");
            let last = parts.last().unwrap();
            let step: f64 = parts
                .iter()
                .map(|part| {
                    let swap = weight(parts, last, aim) * part.left_share / last.left_share;
                    STEP_M * (weight(parts, part, aim).abs() + swap.abs())
                })
                .sum();
            assert!(solved >= tried - 2.0 * step, "{aim:?}: {solved} {tried}");
        }
    }

    #[test]
    fn solutions_agree_with_an_exhaustive_search() {
        is_best(&[
            part(Role::Mixed, 0.5, 1.5, None),
            part(Role::Soil, 0.9, 2.0, Some(120.0)),
        ]);
        is_best(&three());
        let mut greens = three();
        greens[1].nitrogen_kg = 0.9;
        greens[1].shares = (0.1, 0.3);
        is_best(&greens);
        let mut bought = three();
        bought[0].price_per_m = Some(30.0);
        bought[1].most_m = 0.7;
        is_best(&bought);
    }

    /// 2 cm more take no other materials, and no more of them than they must.
    #[test]
    fn the_nearest_depths_change_least() {
        let parts = three();
        let first = best(&parts, GOAL, Aim::Cheapest).unwrap();
        let higher = Goal {
            height_m: GOAL.height_m + 0.02,
            ..GOAL
        };
        let next = near(&parts, higher, &first).unwrap();
        let changes = next.depths_m.iter().zip(&first.depths_m);
        let changed_m: f64 = changes.clone().map(|(new, old)| (new - old).abs()).sum();
        // As much as if soil alone made it up, or less; logs keep most.
        assert!(changed_m <= 0.02 / 0.9 + 1e-6, "{next:?} {first:?}");
        assert!(changed_m >= 0.02 / 0.95 - 1e-6, "{next:?} {first:?}");
        let breaks = |rule: Rule| breaks(&parts, higher, &next.depths_m, rule);
        assert!(!Rule::ALL.into_iter().any(breaks), "{next:?}");
        let mut only = first.clone();
        only.depths_m[1] = 0.0;
        let without = near(&parts, GOAL, &only).unwrap();
        assert!(without.depths_m[1].abs() < 1e-9, "{without:?}");
    }

    #[test]
    fn rules_are_relaxed_one_by_one() {
        // Nothing but soil: it must be deeper than the rule allows.
        let only = [part(Role::Soil, 0.9, 2.0, None)];
        let found = best(&only, GOAL, Aim::SinksLeast).unwrap();
        assert_eq!(found.bent, [Rule::SoilNotMuchDeeper]);
        assert!((found.depths_m[0] * 0.9 - 0.6).abs() < 1e-6);
        // Card is used where there is some, though it settles.
        let mut parts = three();
        parts.push(part(Role::Card, 0.4, 0.05, None));
        let found = best(&parts, GOAL, Aim::SinksLeast).unwrap();
        assert!((found.depths_m[3] - 0.01).abs() < 1e-6, "{found:?}");
    }

    #[test]
    fn what_is_lacking_would_be_enough() {
        let mut parts = three();
        parts[2].most_m = 0.1;
        assert_eq!(best(&parts, GOAL, Aim::Cheapest), None);
        let lack = lack(&parts, GOAL).unwrap();
        // 0.09 of 0.2 m of soil; 0.38 m of logs and 0.25 m of brush exceed the rest.
        assert!((lack.soil_m - 0.11).abs() < 1e-6, "{lack:?}");
        assert!(lack.fill_m < 1e-6, "{lack:?}");
        parts[2].most_m += lack.soil_m / parts[2].left_share + 1e-6;
        assert!(best(&parts, GOAL, Aim::Cheapest).is_some());
    }
}

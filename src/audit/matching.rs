//! Rows to drawn parts, as groups: the units of a row are interchangeable, and
//! the assignment over a cabinet that needs the fewest changes to the list wins.

use super::bench::{Bench, Case};
use super::fit::{Customs, Fit, fit, misses_when_swapped};
use super::together;
use crate::assign::{FORBIDDEN, assign};
use crate::cabinet::DrawnPart;
use crate::cutlist::{Hand, Per, Row};
use crate::plain::in_parallel;
use crate::trade::{Axis, Dimension, Role};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A unit or a part without a partner. Twice this is dearer than any match, so
/// rows stay unmatched only when no part is left for them.
const ALONE: i64 = 100_000;
/// Taking a part of a near role: dearer than the worst match of the role's own.
pub(super) const NEAR: i64 = 70_000;
/// A bare "shelf" may be either kind, and only a pull or a hinge tells the front of
/// a wide drawer from a low door.
const SHELF: i64 = 5_000;
/// A size of the row that its part is not seen along.
const UNSEEN: i64 = 1_500;
/// Left for right.
const HAND: i64 = 40;
/// A cost as high as this means that a size misses.
const MISSED: i64 = 10_000;
/// Rows of more units than this are left as they were assigned.
const MOST_TOGETHER: usize = 48;
/// Above this many pairs exact fits are settled first.
const MANY_PAIRS: usize = 60_000;
/// Cells of the table of costs, above which units take the best part left, one
/// after the other.
const LARGEST_TABLE: usize = 1_000_000;

/// A drawn part: its cabinet and its place among [`Case::parts`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct PartAt {
    pub case: usize,
    pub part: usize,
}

/// Who stands for whom.
#[derive(Clone, Debug, Default)]
pub(super) struct Matching {
    /// Row, part: one entry for each unit matched, sorted.
    pub pairs: Vec<(usize, PartAt)>,
    /// Parts without a row.
    pub lone: Vec<PartAt>,
    /// How each row lies in each of its cabinets.
    pub fits: BTreeMap<(usize, usize), Fit>,
    pub customs: Customs,
}

impl Matching {
    /// Parts of this cabinet a row stands for.
    pub fn parts_of(&self, row: usize, case: usize) -> impl Iterator<Item = PartAt> + '_ {
        let from = self.pairs.partition_point(|(r, _)| *r < row);
        self.pairs
            .iter()
            .skip(from)
            .take_while(move |(r, _)| *r == row)
            .map(|(_, at)| *at)
            .filter(move |at| at.case == case)
    }
}

/// Units of a row that are looked for in the same cabinets.
struct Supply {
    row: usize,
    cases: Vec<usize>,
    count: u32,
}

/// Matches all rows whose part was understood.
pub(super) fn match_rows(bench: &Bench<'_>) -> Matching {
    let mut matching = Matching::default();
    let supplies = supplies(bench);
    let matched = in_parallel(&scopes(bench, supplies), |(scope, supplies)| {
        let mut matching = Matching::default();
        match_scope(bench, supplies, scope, &mut matching);
        (matching.pairs, matching.lone)
    });
    for (pairs, lone) in matched {
        matching.pairs.extend(pairs);
        matching.lone.extend(lone);
    }
    matching.pairs.sort_unstable();
    part_stocks(bench, &mut matching);
    matching.lone.sort_unstable();
    turn_rows(bench, &mut matching);
    matching
}

fn supplies(bench: &Bench<'_>) -> Vec<Supply> {
    let mut out = Vec::new();
    for (index, row) in bench.rows.iter().enumerate() {
        if row.role().is_none() {
            continue;
        }
        let cases = usable(bench, index);
        let count = row.quantity.count;
        if cases.is_empty() {
            continue;
        }
        match row.quantity.per {
            Per::Cabinet if !row.cabinets.is_empty() || cases.len() == 1 => {
                out.extend(cases.into_iter().map(|case| Supply {
                    row: index,
                    cases: vec![case],
                    count,
                }));
            }
            _ => out.push(Supply {
                row: index,
                cases,
                count,
            }),
        }
    }
    out
}

/// The cabinets a row can be held against: those it names, or all of them.
pub(super) fn usable(bench: &Bench<'_>, row: usize) -> Vec<usize> {
    let named = bench.named.get(row).map_or(&[][..], Vec::as_slice);
    let names_none = bench
        .rows
        .get(row)
        .is_some_and(|row| row.cabinets.is_empty());
    let all: Vec<usize> = if named.is_empty() && names_none {
        (0..bench.cases.len()).collect()
    } else {
        named.to_vec()
    };
    all.into_iter()
        .filter(|case| bench.cases.get(*case).is_some_and(|case| !case.doubtful))
        .collect()
}

/// Cabinets tied together by rows that float between them, with their rows.
fn scopes(bench: &Bench<'_>, supplies: Vec<Supply>) -> Vec<(Vec<usize>, Vec<Supply>)> {
    let mut root: Vec<usize> = (0..bench.cases.len()).collect();
    fn find(root: &mut [usize], mut at: usize) -> usize {
        while root[at] != at {
            root[at] = root[root[at]];
            at = root[at];
        }
        at
    }
    for supply in &supplies {
        for pair in supply.cases.windows(2) {
            let (a, b) = (find(&mut root, pair[0]), find(&mut root, pair[1]));
            root[a.max(b)] = a.min(b);
        }
    }
    let mut groups: BTreeMap<usize, (Vec<usize>, Vec<Supply>)> = BTreeMap::new();
    for case in 0..root.len() {
        let top = find(&mut root, case);
        groups.entry(top).or_default().0.push(case);
    }
    for supply in supplies {
        let Some(&first) = supply.cases.first() else {
            continue;
        };
        let top = find(&mut root, first);
        groups.entry(top).or_default().1.push(supply);
    }
    groups.into_values().collect()
}

fn match_scope(bench: &Bench<'_>, supplies: &[Supply], scope: &[usize], out: &mut Matching) {
    let supplies: Vec<&Supply> = supplies.iter().collect();
    let parts: Vec<PartAt> = scope
        .iter()
        .flat_map(|&case| {
            let parts = bench.cases.get(case).map_or(0, |c| c.parts.len());
            (0..parts).map(move |part| PartAt { case, part })
        })
        .collect();
    let customs = Customs::default();
    // Identical parts of one cabinet cost the same; fits are worked out once a pair.
    let costs: Vec<Vec<i64>> = supplies
        .iter()
        .map(|supply| {
            parts
                .iter()
                .map(|at| pair_cost(bench, &customs, supply, *at))
                .collect()
        })
        .collect();
    let mut left: Vec<u32> = supplies.iter().map(|supply| supply.count).collect();
    let mut free: Vec<bool> = vec![true; parts.len()];
    let units: usize = left.iter().map(|n| (*n as usize).min(parts.len())).sum();
    if units.saturating_mul(parts.len()) > MANY_PAIRS {
        settle(&supplies, &parts, &costs, &mut left, &mut free, out, 500);
    }
    let mut rest = remaining(&supplies, &costs, &left, &free);
    let table = rest.len().saturating_mul(parts.len() + rest.len());
    if rest.len().saturating_mul(parts.len()) > 4 * MANY_PAIRS || table > LARGEST_TABLE {
        settle(
            &supplies, &parts, &costs, &mut left, &mut free, out, FORBIDDEN,
        );
        rest = remaining(&supplies, &costs, &left, &free);
    }
    let columns: Vec<usize> = (0..parts.len()).filter(|p| free[*p]).collect();
    let table: Vec<Vec<i64>> = rest
        .iter()
        .enumerate()
        .map(|(unit, &supply)| {
            let mut line: Vec<i64> = columns
                .iter()
                .map(|&part| match costs[supply][part] {
                    FORBIDDEN => FORBIDDEN,
                    cost => cost - ALONE,
                })
                .collect();
            // One place of its own to stay alone in.
            line.extend((0..rest.len()).map(|own| if own == unit { ALONE } else { FORBIDDEN }));
            line
        })
        .collect();
    let mut given: Vec<(usize, usize)> = Vec::new();
    for (unit, column) in assign(&table, columns.len() + rest.len())
        .into_iter()
        .enumerate()
    {
        let Some(&part) = columns.get(column) else {
            continue;
        };
        let supply = rest[unit];
        if costs[supply][part] < FORBIDDEN {
            given.push((supply, part));
            left[supply] -= 1;
            free[part] = false;
        }
    }
    keep_rows_together(bench, &parts, &costs, &mut given, &mut free);
    out.pairs.extend(
        given
            .into_iter()
            .map(|(supply, part)| (supplies[supply].row, parts[part])),
    );
    out.lone.extend(
        parts
            .iter()
            .zip(free)
            .filter(|(_, free)| *free)
            .map(|(at, _)| *at),
    );
}

/// Among assignments that cost the same, the one that needs the fewest changes to the
/// list: rows that miss stand for as few sorts of parts as they can. Parts that no row
/// stands for are exchanged like those of a row.
fn keep_rows_together(
    bench: &Bench<'_>,
    parts: &[PartAt],
    costs: &[Vec<i64>],
    given: &mut [(usize, usize)],
    free: &mut [bool],
) {
    let drawn = |part: usize| {
        let at = parts.get(part)?;
        bench.cases.get(at.case)?.parts.get(at.part).copied()
    };
    let same = |a: usize, b: usize| match (drawn(a), drawn(b)) {
        (Some(a), Some(b)) => {
            a.role == b.role && super::quantity::alike(a, b, bench.tolerance(Some(a.role)))
        }
        _ => false,
    };
    let mut units: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (supply, part) in given.iter() {
        units.entry(*supply).or_default().push(*part);
    }
    let mixed: Vec<usize> = units
        .into_iter()
        .filter(|(_, all)| (2..=MOST_TOGETHER).contains(&all.len()))
        .filter(|(supply, all)| all.iter().any(|part| costs[*supply][*part] >= MISSED))
        .filter(|(_, all)| all.iter().any(|part| !same(all[0], *part)))
        .map(|(supply, _)| supply)
        .collect();
    if mixed.is_empty() {
        return;
    }
    let takes = |part: usize| mixed.iter().any(|row| costs[*row][part] < FORBIDDEN);
    let rows = costs.len();
    let mut all: Vec<(usize, usize)> = given.to_vec();
    let lone = (0..parts.len()).filter(|part| free[*part] && takes(*part));
    all.extend(lone.take(MOST_TOGETHER).map(|part| (rows, part)));
    let mut sorts: Vec<usize> = Vec::new();
    let mut sort_of = vec![0; parts.len()];
    for &(_, part) in &all {
        let known = sorts.iter().position(|first| same(*first, part));
        sort_of[part] = known.unwrap_or(sorts.len());
        if known.is_none() {
            sorts.push(part);
        }
    }
    let cost = |row: usize, part: usize| costs.get(row).map_or(0, |line| line[part]);
    let sort = |part: usize| sort_of[part];
    let (cost, sort) = (&cost, &sort);
    together::gather(&together::Table { cost, sort }, &mixed, &mut all);
    for (now, then) in given.iter_mut().zip(&all) {
        *now = *then;
    }
    for (row, part) in all {
        free[part] = row == rows;
    }
}

/// Where a cabinet has parts of a row's role that are as thick as the row says,
/// parts of another thickness are not its. Where it has none, the row's thickness
/// may be the mistake.
fn part_stocks(bench: &Bench<'_>, matching: &mut Matching) {
    let customs = Customs::default();
    let fit_at = |row: usize, at: PartAt| {
        let (row, case) = (bench.rows.get(row)?, bench.cases.get(at.case)?);
        Some(fit(
            bench,
            &customs,
            case,
            row,
            &[*case.parts.get(at.part)?],
        ))
    };
    let pairs = std::mem::take(&mut matching.pairs);
    let strange = in_parallel(&pairs, |&(row, at)| {
        let Some(own) = fit_at(row, at).filter(|own| own.other_stock) else {
            return false;
        };
        let role = bench.rows.get(row).and_then(|row| row.role());
        let parts = bench.cases.get(at.case).map_or(&[][..], |case| &case.parts);
        parts.iter().enumerate().any(|(part, drawn)| {
            Some(drawn.role) == role
                && fit_at(row, PartAt { part, ..at })
                    .is_some_and(|fit| !fit.other_stock && fit.misses <= own.misses)
        })
    });
    for ((row, at), strange) in pairs.into_iter().zip(strange) {
        if strange {
            matching.lone.push(at);
        } else {
            matching.pairs.push((row, at));
        }
    }
}

/// One entry for each unit still to be placed; no more of one row than parts
/// it could take, for the rest are spare whatever happens.
fn remaining(supplies: &[&Supply], costs: &[Vec<i64>], left: &[u32], free: &[bool]) -> Vec<usize> {
    let mut rest = Vec::new();
    for supply in 0..supplies.len() {
        let possible = costs[supply]
            .iter()
            .zip(free)
            .filter(|(cost, free)| **free && **cost < FORBIDDEN)
            .count();
        let units = (left[supply] as usize).min(possible);
        rest.extend(std::iter::repeat_n(supply, units));
    }
    rest
}

/// Places units cheapest first, up to a cost. With costs that behave like
/// distances, settling exact fits first loses nothing.
fn settle(
    supplies: &[&Supply],
    parts: &[PartAt],
    costs: &[Vec<i64>],
    left: &mut [u32],
    free: &mut [bool],
    out: &mut Matching,
    below: i64,
) {
    let mut order: Vec<(i64, usize, usize)> = costs
        .iter()
        .enumerate()
        .flat_map(|(supply, line)| {
            line.iter()
                .enumerate()
                .filter(|(_, cost)| **cost < below)
                .map(move |(part, cost)| (*cost, supply, part))
        })
        .collect();
    order.sort_unstable();
    for (_, supply, part) in order {
        if left[supply] > 0 && free[part] {
            left[supply] -= 1;
            free[part] = false;
            out.pairs.push((supplies[supply].row, parts[part]));
        }
    }
}

fn pair_cost(bench: &Bench<'_>, customs: &Customs, supply: &Supply, at: PartAt) -> i64 {
    if !supply.cases.contains(&at.case) {
        return FORBIDDEN;
    }
    let (Some(row), Some(case)) = (bench.rows.get(supply.row), bench.cases.get(at.case)) else {
        return FORBIDDEN;
    };
    let (Some(part), Some(role)) = (case.parts.get(at.part), row.role()) else {
        return FORBIDDEN;
    };
    let Some(distance) = role_distance(role, part.role) else {
        return FORBIDDEN;
    };
    let fit = fit(bench, customs, case, row, &[part]);
    // Another role's part is taken only when it really looks like the row, or is in
    // every size like one of the row's own role.
    let looks_like_it = fit.misses <= 1 && fit.hits > 0 && !fit.other_stock;
    if distance >= NEAR && !looks_like_it && !has_a_twin_of(bench, case, part, role) {
        return FORBIDDEN;
    }
    // Of two parts the row misses in one size, the one seen whole is the likelier.
    distance + fit.cost + fit.unseen as i64 * UNSEEN + hand_cost(row, &part.name)
}

/// True when a part of this role, or one hardly told from it, is drawn in the same
/// cabinet with the same sizes, two of them at least: any board is as thick.
pub(super) fn has_a_twin_of(
    bench: &Bench<'_>,
    case: &Case<'_>,
    part: &DrawnPart,
    role: Role,
) -> bool {
    let tolerance = bench.tolerance(Some(part.role));
    let thin = |role: Role| role.lie().map(|lie| lie[2]);
    let both_seen = |other: &DrawnPart| {
        let axes = Axis::ALL.iter();
        axes.filter(|axis| part.span(**axis).is_some() && other.span(**axis).is_some())
            .count()
    };
    thin(part.role) == thin(role)
        && case.parts.iter().any(|other| {
            role_distance(role, other.role).is_some_and(|far| far <= SHELF)
                && both_seen(other) >= 2
                && super::quantity::alike(part, other, tolerance)
        })
}

fn hand_cost(row: &Row, name: &str) -> i64 {
    let says = |word: &str| name.split_whitespace().any(|w| w == word);
    match row.hand {
        Some(Hand::Left) if says("right") => HAND,
        Some(Hand::Right) if says("left") => HAND,
        _ => 0,
    }
}

/// How far apart two roles are; `None` when one is never called the other.
pub(super) fn role_distance(listed: Role, drawn: Role) -> Option<i64> {
    use Role as R;
    if listed == drawn {
        return Some(0);
    }
    let pair = if listed < drawn {
        (listed, drawn)
    } else {
        (drawn, listed)
    };
    match pair {
        (R::FixedShelf, R::AdjustableShelf) | (R::Door, R::DrawerFront) => Some(SHELF),
        (R::Stile, R::MidStile)
        | (R::Rail, R::MidStile)
        | (R::ToeKick, R::BaseRail)
        | (R::BaseRail, R::BaseEnd)
        | (R::Top, R::Stretcher)
        | (R::Top, R::Countertop)
        | (R::Stretcher, R::Cleat)
        | (R::Bottom, R::FixedShelf)
        | (R::Top, R::FixedShelf)
        | (R::Side, R::Divider)
        | (R::Side, R::EndPanel)
        | (R::Stile, R::Filler)
        | (R::Door, R::AccessPanel)
        | (R::DrawerFront, R::AccessPanel)
        | (R::Stile, R::Post)
        | (R::Back, R::Cleat)
        // "Shelf, 4" may be the bottom, the top and two between.
        | (R::Bottom, R::AdjustableShelf)
        | (R::Top, R::AdjustableShelf)
        | (R::Stretcher, R::Rail)
        | (R::ToeKick, R::Rail)
        // "Apron" and "rail" are said of those along the front and of those at the ends.
        | (R::SideRail, R::EndRail)
        | (R::Rail, R::SideRail)
        | (R::Rail, R::EndRail)
        | (R::Stretcher, R::SideRail)
        | (R::Stretcher, R::EndRail)
        | (R::Door, R::FrontPanel)
        | (R::DrawerFront, R::FrontPanel)
        | (R::AccessPanel, R::FrontPanel)
        | (R::Back, R::Upstand) => Some(NEAR),
        _ => None,
    }
}

/// Lays every row in each of its cabinets, first by the sizes alone, then with
/// what that shows of the list's own customs.
fn turn_rows(bench: &Bench<'_>, matching: &mut Matching) {
    let mut keys: Vec<(usize, usize)> = matching
        .pairs
        .iter()
        .map(|(row, at)| (*row, at.case))
        .collect();
    // Rows without a drawn part are held against rules.
    for (index, _) in bench.rows.iter().enumerate() {
        for case in bench.named.get(index).into_iter().flatten() {
            keys.push((index, *case));
        }
    }
    keys.sort_unstable();
    keys.dedup();
    let plain = Customs::default();
    let votes = in_parallel(&keys, |&(row, case)| {
        vote(bench, &plain, matching, row, case)
    });
    let votes: Vec<_> = votes.into_iter().flatten().collect();
    matching.customs = Customs::learn(&votes);
    let fits = in_parallel(&keys, |&(row, case)| {
        fit_row(bench, &matching.customs, matching, row, case)
    });
    matching.fits = keys.into_iter().zip(fits).collect();
}

fn fit_row(
    bench: &Bench<'_>,
    customs: &Customs,
    matching: &Matching,
    row: usize,
    case: usize,
) -> Fit {
    let at = &bench.cases[case];
    let parts: Vec<_> = matching
        .parts_of(row, case)
        .filter_map(|p| at.parts.get(p.part).copied())
        .collect();
    fit(bench, customs, at, bench.rows[row], &parts)
}

/// What a row shows of the order its list writes sizes in: only a row that fits
/// one way and not the other shows anything.
fn vote(
    bench: &Bench<'_>,
    customs: &Customs,
    matching: &Matching,
    row: usize,
    case: usize,
) -> Option<(Arc<str>, Role, Axis)> {
    let found = fit_row(bench, customs, matching, row, case);
    if found.misses > 0 || found.hits < 2 {
        return None;
    }
    let listed = bench.rows.get(row)?;
    let role = listed.role()?;
    let at: &Case<'_> = bench.cases.get(case)?;
    let parts: Vec<_> = matching
        .parts_of(row, case)
        .filter_map(|p| at.parts.get(p.part).copied())
        .collect();
    if misses_when_swapped(bench, at, listed, &parts, &found.turn)? == 0 {
        return None;
    }
    let length = listed
        .sizes
        .iter()
        .position(|cell| cell.dimension == Dimension::Length)?;
    Some((listed.source.file.clone(), role, found.turn.axis(length)?))
}

//! One mistake, one finding: sizes that miss for one reason stand together.
//!
//! Every size that misses votes for the mistakes that would explain it ("the
//! case is taken 3 1/2 in too low"). The mistake that explains most sizes is
//! taken first, then the one that explains most of the rest: the least number of
//! changes that makes the list agree, as near as a greedy choice comes to it.

use super::bench::Bench;
use super::checks::{Check, State};
use super::fit::cell_at;
use super::knowns::{Knowns, KnownsByCase, Offset};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A mistake several sizes may share.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Root {
    /// Length and width of a row stand for one another.
    Swap { row: usize },
    /// A row is in another unit: index into [`UNITS`].
    RowUnit { row: usize, unit: usize },
    /// Many rows of a file are in another unit.
    ListUnit { file: Arc<str>, unit: usize },
    /// One size of the cabinet was taken wrong by as much.
    Measure {
        case: usize,
        axis: Axis,
        off: Length,
    },
    /// The toe kick was taken too high by as much.
    Toe { case: usize, off: Length },
    /// The figures of one cabinet stand under another.
    Copied { to: usize, from: usize },
    /// The figures of two cabinets stand under one another.
    Exchanged { a: usize, b: usize },
    /// Stock was taken by its name instead of its true thickness.
    Nominal { off: Length },
    /// A joint depth left out or counted too often, by so many depths.
    Joint { depth: Length, times: i64 },
    /// An overlay, gap or clearance left out or counted too often.
    Front { allowance: Length, times: i64 },
    /// Nothing but itself.
    Alone { check: usize },
}

/// Listed over wanted, as a ratio, and what it means.
pub(super) const UNITS: [(i64, i64, &str); 8] = [
    (
        254,
        10,
        "25.4 times as much: turned from inches into millimetres",
    ),
    (
        10,
        254,
        "25.4 times too little: turned from millimetres into inches",
    ),
    (
        10,
        1,
        "10 times as much: a decimal place, or millimetres for centimetres",
    ),
    (
        1,
        10,
        "10 times too little: a decimal place, or centimetres for millimetres",
    ),
    (12, 1, "12 times as much: inches for feet"),
    (1, 12, "12 times too little: feet for inches"),
    (1000, 1, "1000 times as much: millimetres for metres"),
    (1, 1000, "1000 times too little: metres for millimetres"),
];

/// Row sizes that miss for one reason.
#[derive(Clone, Debug)]
pub(super) struct Group {
    pub root: Root,
    /// Indices of checks, one for each row size, principal first.
    pub members: Vec<usize>,
}

/// Row sizes that miss, each with its checks, one for each cabinet it misses in.
/// A row for several cabinets, or for two parts, is wrong once.
pub(super) fn figures(
    bench: &Bench<'_>,
    checks: &[Check<'_>],
) -> BTreeMap<(usize, usize), Vec<usize>> {
    let mut out: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
    for (index, check) in checks.iter().enumerate() {
        if check.state == State::Fails {
            out.entry((bench.written_as(check.row), check.size))
                .or_default()
                .push(index);
        }
    }
    out
}

pub(super) fn group(
    bench: &Bench<'_>,
    checks: &[Check<'_>],
    knowns: &KnownsByCase<'_>,
) -> Vec<Group> {
    let figures = figures(bench, checks);
    // Every check that misses, with the first check of its row size.
    let faults: Vec<Fault> = figures
        .values()
        .flat_map(|all| all.iter().map(|index| (*index, all[0])))
        .collect();
    let mut candidates = candidates(bench, checks, knowns, &faults);
    exchanged(&mut candidates);
    let firsts: BTreeSet<usize> = figures.values().map(|all| all[0]).collect();
    let mut groups = choose(candidates, firsts);
    for group in &mut groups {
        put_principal_first(bench, checks, group);
    }
    groups
}

/// A check that misses, and the first check of its row size.
type Fault = (usize, usize);

type Candidates = BTreeMap<Root, BTreeSet<usize>>;

fn candidates(
    bench: &Bench<'_>,
    checks: &[Check<'_>],
    knowns: &KnownsByCase<'_>,
    faults: &[Fault],
) -> Candidates {
    let mut out = Candidates::new();
    let mut offs: BTreeMap<OffKey, Vec<(Length, usize)>> = BTreeMap::new();
    let sizes = sizes_elsewhere(bench, checks);
    for &(fault, index) in faults {
        let check = &checks[fault];
        let slack = slack(bench, check);
        units(bench, check, index, &mut out);
        if check.want.is_none() {
            continue;
        }
        measures(check, index, &mut offs);
        if let Some(known) = check.case.and_then(|case| knowns.get(case)) {
            offsets(check, known, slack, index, &mut out);
        }
        copied(check, &sizes, slack, index, &mut out);
    }
    swaps(bench, checks, faults, &mut out);
    for (key, list) in offs {
        cluster(key, list, bench, checks, &mut out);
    }
    out
}

/// How far two figures of one origin may differ by rounding.
fn slack(bench: &Bench<'_>, check: &Check<'_>) -> Length {
    bench.half_step(check.row, check.size).min(check.tolerance)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum OffKey {
    Measure(usize, Axis),
    Toe(usize),
}

/// Parts that reach as far as the case does, so that a wrong case makes them wrong.
pub(super) fn reaches(role: Role, axis: Axis) -> bool {
    use Role as R;
    match axis {
        Axis::Across => matches!(
            role,
            R::Bottom
                | R::Top
                | R::Stretcher
                | R::Back
                | R::FixedShelf
                | R::AdjustableShelf
                | R::ToeKick
                | R::BaseRail
                | R::Rail
                | R::Countertop
                | R::BuildUpStrip
                | R::Door
                | R::DoorRail
                | R::DoorPanel
                | R::DrawerFront
                | R::DrawerBox
                | R::BoxFront
                | R::BoxBack
                | R::BoxBottom
                | R::Cleat
                | R::SideRail
                | R::AccessPanel
        ),
        Axis::Deep => matches!(
            role,
            R::Side
                | R::Bottom
                | R::Top
                | R::FixedShelf
                | R::AdjustableShelf
                | R::Divider
                | R::EndPanel
                | R::Countertop
                | R::DrawerBox
                | R::BoxSide
                | R::BoxBottom
                | R::BaseEnd
                | R::EndRail
        ),
        Axis::High => matches!(
            role,
            R::Side
                | R::Back
                | R::Divider
                | R::Stile
                | R::MidStile
                | R::Door
                | R::DoorStile
                | R::DoorPanel
                | R::DrawerFront
                | R::EndPanel
                | R::Filler
                | R::Post
                | R::AccessPanel
        ),
    }
}

fn measures(check: &Check<'_>, index: usize, offs: &mut BTreeMap<OffKey, Vec<(Length, usize)>>) {
    let (Some(case), Some(axis), Some(role)) = (check.case, check.axis, check.role) else {
        return;
    };
    let off = check.difference();
    if reaches(role, axis) {
        let list = offs.entry(OffKey::Measure(case, axis)).or_default();
        list.push((off, index));
        // One of two doors side by side takes half of what the case is off.
        if axis == Axis::Across && matches!(role, Role::Door | Role::DoorPanel | Role::DoorRail) {
            list.push((off * 2, index));
        }
    }
    if axis == Axis::High {
        let list = offs.entry(OffKey::Toe(case)).or_default();
        match role {
            Role::ToeKick | Role::BaseRail | Role::BaseEnd => list.push((off, index)),
            Role::Stile | Role::Back | Role::Door | Role::MidStile => list.push((-off, index)),
            _ => {}
        }
    }
}

/// Sizes off by the same amount within rounding share a mistake.
fn cluster(
    key: OffKey,
    mut list: Vec<(Length, usize)>,
    bench: &Bench<'_>,
    checks: &[Check<'_>],
    out: &mut Candidates,
) {
    list.sort_unstable();
    let slack_at = |index: usize| slack(bench, &checks[index]);
    let mut start = 0;
    while let Some(&(first, lead)) = list.get(start) {
        let end = list
            .iter()
            .skip(start)
            .position(|(off, _)| *off - first > slack_at(lead))
            .map_or(list.len(), |n| start + n);
        let members: BTreeSet<usize> = list[start..end].iter().map(|(_, index)| *index).collect();
        let root = match key {
            OffKey::Measure(case, axis) => Root::Measure {
                case,
                axis,
                off: first,
            },
            OffKey::Toe(case) => Root::Toe { case, off: first },
        };
        out.insert(root, members);
        start = end;
    }
}

fn units(bench: &Bench<'_>, check: &Check<'_>, index: usize, out: &mut Candidates) {
    let Some(want) = check.want else { return };
    let band = band_of(bench, check);
    for unit in units_of(check.listed - band, want.value - band, slack(bench, check)) {
        out.entry(Root::RowUnit {
            row: check.row,
            unit,
        })
        .or_default()
        .insert(index);
        if let Some(row) = bench.rows.get(check.row) {
            out.entry(Root::ListUnit {
                file: row.source.file.clone(),
                unit,
            })
            .or_default()
            .insert(index);
        }
    }
}

/// What is put on a size as written before it is compared: edge band.
pub(super) fn band_of(bench: &Bench<'_>, check: &Check<'_>) -> Length {
    bench
        .rows
        .get(check.row)
        .and_then(|row| cell_at(row, check.size))
        .map_or(Length::ZERO, |cell| check.listed - cell.value)
}

/// Which wrong units make this of that, within rounding.
pub(super) fn units_of(
    listed: Length,
    wanted: Length,
    slack: Length,
) -> impl Iterator<Item = usize> {
    UNITS
        .into_iter()
        .enumerate()
        .filter(move |(_, (over, under, _))| {
            let (listed, wanted) = (i128::from(listed.ticks()), i128::from(wanted.ticks()));
            let (over, under) = (i128::from(*over), i128::from(*under));
            // The rounding of the smaller of the two figures grows with the ratio.
            let off = (listed * under - wanted * over).abs();
            wanted > 0 && off <= i128::from(slack.ticks()) * over.max(under)
        })
        .map(|(index, _)| index)
}

/// Rows whose two sizes would fit the other way round.
fn swaps(bench: &Bench<'_>, checks: &[Check<'_>], faults: &[(usize, usize)], out: &mut Candidates) {
    let mut by_row: BTreeMap<(usize, Option<usize>), Vec<Fault>> = BTreeMap::new();
    for &fault in faults {
        let check = &checks[fault.0];
        let thickness = bench
            .rows
            .get(check.row)
            .and_then(|row| cell_at(row, check.size))
            .is_none_or(|cell| cell.dimension == Dimension::Thickness);
        if !thickness {
            by_row
                .entry((check.row, check.case))
                .or_default()
                .push(fault);
        }
    }
    for ((row, _), list) in by_row {
        let [a, b] = list.as_slice() else { continue };
        let (first, second) = (&checks[a.0], &checks[b.0]);
        let (Some(want_first), Some(want_second)) = (first.want, second.want) else {
            continue;
        };
        // Edge band stays on the edges it is on when the figures change places.
        let moved = band_of(bench, second) - band_of(bench, first);
        if (first.listed + moved - want_second.value).abs() <= first.tolerance
            && (second.listed - moved - want_first.value).abs() <= second.tolerance
        {
            out.entry(Root::Swap { row })
                .or_default()
                .extend([a.1, b.1]);
        }
    }
}

fn offsets(check: &Check<'_>, known: &Knowns, slack: Length, index: usize, out: &mut Candidates) {
    let (Some(role), Some(axis)) = (check.role, check.axis) else {
        return;
    };
    let off = check.difference();
    let near = |value: Length| (off - value).abs() <= slack;
    for offset in &known.nominal {
        for times in [-2, -1, 1, 2] {
            if near(offset.value * times) && takes_stock(role, axis) {
                out.entry(Root::Nominal { off: offset.value })
                    .or_default()
                    .insert(index);
            }
        }
    }
    if takes_joints(role) {
        for offset in known.joints.iter().filter(|o| o.fits(role, axis)) {
            for times in [-2, -1, 1, 2] {
                if near(offset.value * times) {
                    out.entry(Root::Joint {
                        depth: offset.value,
                        times,
                    })
                    .or_default()
                    .insert(index);
                }
            }
        }
    }
    for offset in known.fronts.iter().filter(|o| front_takes(role, o)) {
        for times in [-2, -1, 1, 2] {
            if near(offset.value * times) {
                out.entry(Root::Front {
                    allowance: offset.value,
                    times,
                })
                .or_default()
                .insert(index);
            }
        }
    }
}

/// Parts whose sizes are a case size less stock thicknesses.
pub(super) fn takes_stock(role: Role, axis: Axis) -> bool {
    axis != Axis::Deep
        && matches!(
            role,
            Role::Bottom
                | Role::Top
                | Role::Stretcher
                | Role::FixedShelf
                | Role::AdjustableShelf
                | Role::Back
                | Role::Divider
                | Role::BoxFront
                | Role::BoxBack
                | Role::BoxBottom
                | Role::Cleat
        )
}

/// Parts that run into a groove, rabbet or mortise.
pub(super) fn takes_joints(role: Role) -> bool {
    matches!(
        role,
        Role::Bottom
            | Role::Top
            | Role::FixedShelf
            | Role::Divider
            | Role::Back
            | Role::Stretcher
            | Role::Rail
            | Role::MidStile
            | Role::DoorRail
            | Role::DoorPanel
            | Role::BoxBottom
            | Role::BoxBack
            | Role::BoxFront
            | Role::SideRail
            | Role::EndRail
            | Role::EndPanel
    )
}

/// Doors and fronts take overlays and gaps; shelves and drawer boxes clearances.
pub(super) fn front_takes(role: Role, offset: &Offset) -> bool {
    let clearance = offset.name.contains("clearance");
    match role {
        Role::Door | Role::DrawerFront | Role::AccessPanel => !clearance,
        Role::AdjustableShelf | Role::DrawerBox | Role::BoxFront | Role::BoxBack => clearance,
        _ => false,
    }
}

/// Wanted sizes by role and axis: size and cabinet, sorted.
type Elsewhere = BTreeMap<(Role, Axis), Vec<(Length, usize)>>;

fn sizes_elsewhere(bench: &Bench<'_>, checks: &[Check<'_>]) -> Elsewhere {
    let mut out = Elsewhere::new();
    for (index, case) in bench.cases.iter().enumerate() {
        for part in &case.parts {
            for axis in Axis::ALL {
                if let Some(span) = part.span(axis)
                    && !span.is_lower_bound()
                {
                    out.entry((part.role, axis))
                        .or_default()
                        .push((span.length(), index));
                }
            }
        }
    }
    for check in checks {
        if let (Some(role), Some(axis), Some(case), Some(want)) =
            (check.role, check.axis, check.case, check.want)
            && want.span.is_none()
        {
            out.entry((role, axis))
                .or_default()
                .push((want.value, case));
        }
    }
    for list in out.values_mut() {
        list.sort_unstable();
        list.dedup();
    }
    out
}

/// No more cabinets than this are kept as where a figure may have come from.
const MOST_SOURCES: usize = 24;

fn copied(check: &Check<'_>, sizes: &Elsewhere, slack: Length, index: usize, out: &mut Candidates) {
    let (Some(role), Some(axis), Some(to)) = (check.role, check.axis, check.case) else {
        return;
    };
    let Some(list) = sizes.get(&(role, axis)) else {
        return;
    };
    let from = list.partition_point(|(value, _)| *value < check.listed - slack);
    let sources: BTreeSet<usize> = list
        .iter()
        .skip(from)
        .take_while(|(value, _)| *value <= check.listed + slack)
        .map(|(_, case)| *case)
        .filter(|case| *case != to)
        .take(MOST_SOURCES)
        .collect();
    for from in sources {
        out.entry(Root::Copied { to, from })
            .or_default()
            .insert(index);
    }
}

/// Two cabinets that carry one another's figures are one mistake.
fn exchanged(candidates: &mut Candidates) {
    let pairs: Vec<(usize, usize)> = candidates
        .keys()
        .filter_map(|root| match root {
            Root::Copied { to, from } if to < from => Some((*to, *from)),
            _ => None,
        })
        .collect();
    for (a, b) in pairs {
        let there = candidates.get(&Root::Copied { to: a, from: b });
        let back = candidates.get(&Root::Copied { to: b, from: a });
        if let (Some(there), Some(back)) = (there, back)
            && there.len() >= 2
            && back.len() >= 2
        {
            let both = there.union(back).copied().collect();
            candidates.insert(Root::Exchanged { a, b }, both);
        }
    }
}

impl Root {
    /// Among roots that explain as many sizes, the plainer one comes first.
    fn plainness(&self) -> u8 {
        match self {
            Root::Swap { .. } => 1,
            Root::ListUnit { .. } => 2,
            Root::RowUnit { .. } => 3,
            Root::Measure { .. } => 4,
            Root::Toe { .. } => 5,
            Root::Nominal { .. } => 6,
            Root::Joint { .. } => 7,
            Root::Front { .. } => 8,
            Root::Exchanged { .. } => 9,
            Root::Copied { .. } => 10,
            Root::Alone { .. } => 11,
        }
    }
}

/// Takes the root that explains most of what is left, again and again.
fn choose(candidates: Candidates, mut left: BTreeSet<usize>) -> Vec<Group> {
    let mut members: Vec<(Root, BTreeSet<usize>)> = candidates
        .into_iter()
        .filter(|(_, members)| members.len() > 1)
        .collect();
    // Most members first, then plainness, then the root's own order.
    let mut queue: BTreeSet<(std::cmp::Reverse<usize>, u8, usize)> = members
        .iter()
        .enumerate()
        .map(|(at, (root, members))| (std::cmp::Reverse(members.len()), root.plainness(), at))
        .collect();
    let mut groups = Vec::new();
    while let Some((std::cmp::Reverse(count), plain, at)) = queue.pop_first() {
        let (root, set) = &mut members[at];
        set.retain(|index| left.contains(index));
        if set.len() < 2 {
            continue;
        }
        if set.len() < count {
            queue.insert((std::cmp::Reverse(set.len()), plain, at));
            continue;
        }
        for index in set.iter() {
            left.remove(index);
        }
        groups.push(Group {
            root: root.clone(),
            members: set.iter().copied().collect(),
        });
    }
    groups.extend(left.into_iter().map(|check| Group {
        root: Root::Alone { check },
        members: vec![check],
    }));
    groups
}

/// The row that says the mistake most directly comes first: the one whose right
/// size is nearest to the case's own, then in the order of parts and rows.
fn put_principal_first(bench: &Bench<'_>, checks: &[Check<'_>], group: &mut Group) {
    group.members.sort_by_cached_key(|&index| {
        let check = &checks[index];
        let own = match (&group.root, check.case, check.axis, check.want) {
            (Root::Measure { .. }, Some(case), Some(axis), Some(want)) => bench
                .cases
                .get(case)
                .and_then(|case| case.overall(axis))
                .map(|overall| (overall.length() - want.value).abs()),
            (Root::Toe { .. }, ..) => (check.role != Some(Role::ToeKick)).then_some(Length::ZERO),
            _ => None,
        };
        // A member's own row comes before its neighbours'; without a measure, list order.
        (own, check.role.filter(|_| own.is_some()), index)
    });
}

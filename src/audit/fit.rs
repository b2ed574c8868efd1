//! How well a row fits a drawn part: which of its sizes runs along which axis,
//! and how badly it misses. Shops write length and width in either order, so
//! every order is tried; what the trade or the rest of the list does only
//! breaks ties.

use super::bench::{Bench, Case};
use super::group::{reaches, units_of};
use super::knowns::THICKEST_STOCK_MM;
use super::nominal;
use super::wants::{Place, Want, want};
use crate::cabinet::DrawnPart;
use crate::construction::Rules;
use crate::cutlist::{Row, SizeCell, SizeKind};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use smallvec::{SmallVec, smallvec};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A size that misses at all counts this much, however little it misses: the
/// fewest changes to the list come first.
const MISS: i64 = 10_000;
/// Added for how far it misses, one for each 0.01 mm, no more than this: one
/// wild figure must not break the match of a row whose other sizes fit.
const FAR: i64 = 4_000;
/// A thickness that misses tells most: a part of another stock is another part.
const STOCK: i64 = MISS + MISS / 2;
/// A size nothing is known of, so that parts seen whole come first.
const UNSEEN: i64 = 300;
/// Added for how far such a size is from the case's own, one for each 0.1 mm, no
/// more than this.
const SHORT: i64 = 800;
/// A column's word (height, depth) against the fit.
const WORD: i64 = 900;
/// The order of length and width against the list's own custom.
const CUSTOM: i64 = 500;
/// A place for another number of parts than the row lists.
const COUNT: i64 = 2_500;
/// The order of length and width against the trade's.
const LIE: i64 = 100;

/// Which way each size of a row runs, parallel to `Row::sizes`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Turn(pub SmallVec<[Option<Axis>; 4]>);

impl Turn {
    pub fn axis(&self, size: usize) -> Option<Axis> {
        self.0.get(size).copied().flatten()
    }
}

/// Which axis the lists write first, for each role and file.
#[derive(Clone, Debug, Default)]
pub(super) struct Customs {
    first: BTreeMap<Role, BTreeMap<Arc<str>, Axis>>,
}

/// Every size cell of a row: its sizes, then the cut sizes beside them. A size's
/// index counts through both.
pub(super) fn cells(row: &Row) -> impl Iterator<Item = &SizeCell> {
    row.sizes.iter().chain(&row.cut_sizes)
}

pub(super) fn cell_at(row: &Row, size: usize) -> Option<&SizeCell> {
    cells(row).nth(size)
}

/// The size of the row whose turn this size follows: its own, or for a cut size
/// the finished size of the same dimension.
pub(super) fn turned_as(row: &Row, size: usize, cell: &SizeCell) -> Option<usize> {
    if size < row.sizes.len() {
        Some(size)
    } else {
        position(row, cell.dimension)
    }
}

/// A size as it is compared: cut sizes have their edge band put on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Compared {
    pub value: Length,
    /// Edge band put on, or saw-out taken off.
    pub band: Length,
    /// A band of unknown thickness is still to come: at most this much.
    pub unknown_band: Length,
}

/// Thickest edge band a shop puts on, for rows that name banded edges without a
/// thickness. Common practice, no source.
const THICKEST_BAND: Length = Length::from_ticks(3 * Length::TICKS_PER_MM);

/// The size that is held against the drawing, which shows finished parts.
pub(super) fn compared(
    rules: &Rules,
    case: &Case<'_>,
    row: &Row,
    cell: &SizeCell,
    axis: Option<Axis>,
) -> Compared {
    let plain = Compared {
        value: cell.value,
        band: Length::ZERO,
        unknown_band: Length::ZERO,
    };
    let beside = row.cut_sizes.iter().any(|cut| std::ptr::eq(cut, cell));
    let add = |extra: Length| Compared {
        value: cell.value + extra,
        band: extra,
        unknown_band: Length::ZERO,
    };
    let is_cut = row.size_kind == SizeKind::Cut || beside;
    let edges = i64::from(banded_edges(row, cell));
    if edges == 0 || !is_cut {
        return axis
            .and_then(|axis| rules.allowance(case.cabinet, row, cell.dimension, axis))
            .map_or(plain, |allowance| add(allowance.add));
    }
    match row.band.and_then(|band| band.thickness) {
        Some(thickness) => add(thickness * edges),
        None => Compared {
            unknown_band: THICKEST_BAND * edges,
            ..plain
        },
    }
}

/// How many banded edges add to this size: edges along the length add to the
/// width and the other way round.
pub(super) fn banded_edges(row: &Row, cell: &SizeCell) -> u8 {
    let Some(band) = row.band else { return 0 };
    let face = |dimension: Dimension| {
        row.sizes
            .iter()
            .filter(move |c| c.dimension != Dimension::Thickness && c.dimension != dimension)
            .map(|c| c.value)
            .max()
    };
    let is_length = match cell.dimension {
        Dimension::Length => true,
        Dimension::Thickness | Dimension::Quantity => return 0,
        Dimension::Width if row.size(Dimension::Length).is_some() => false,
        // No length column: the longer of the two is the length.
        other => face(other).is_none_or(|rest| cell.value >= rest),
    };
    if is_length {
        band.along_width
    } else {
        band.along_length
    }
}

/// A row turned to fit a part.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Fit {
    pub cost: i64,
    /// Sizes, thickness apart, that miss by more than the tolerance.
    pub misses: usize,
    /// Sizes, thickness apart, that were held against something and do not miss.
    pub hits: usize,
    /// Sizes nothing is known of.
    pub unseen: usize,
    pub turn: Turn,
    /// The thickness is that of another stock.
    pub other_stock: bool,
    /// For a row without a drawn part.
    pub place: Place,
}

/// The best turn of a row against the parts (usually one) it stands for; for a
/// row without a drawn part, in the place its sizes fit best.
pub(super) fn fit(
    bench: &Bench<'_>,
    customs: &Customs,
    case: &Case<'_>,
    row: &Row,
    parts: &[&DrawnPart],
) -> Fit {
    let all = Against::all(bench, case, row, parts);
    let mut best: Option<Fit> = None;
    for against in &all {
        let lean = |turn: Turn| (leaning(row, against, customs, &turn), turn);
        let mut ways: SmallVec<[(i64, Turn); 6]> = turns(row).map(lean).collect();
        ways.sort_unstable_by_key(|(leaning, _)| *leaning);
        for (leaning, turn) in ways {
            // No score is below nought.
            if best.as_ref().is_some_and(|best| best.cost < leaning) {
                break;
            }
            let mut found = against.score(&bench.job.rules, case, row, turn);
            found.cost += leaning;
            if best.as_ref().is_none_or(|best| found < *best) {
                best = Some(found);
            }
        }
    }
    best.unwrap_or_else(|| Fit {
        turn: Turn(smallvec![None; row.sizes.len()]),
        ..Fit::default()
    })
}

/// How a row fits when it is laid this way.
pub(super) fn fit_turned(
    bench: &Bench<'_>,
    case: &Case<'_>,
    row: &Row,
    parts: &[&DrawnPart],
    turn: &Turn,
) -> Option<Fit> {
    Against::all(bench, case, row, parts)
        .iter()
        .map(|against| against.score(&bench.job.rules, case, row, turn.clone()))
        .min()
}

/// How many sizes would miss with length and width the other way round; `None`
/// when the row does not have both.
pub(super) fn misses_when_swapped(
    bench: &Bench<'_>,
    case: &Case<'_>,
    row: &Row,
    parts: &[&DrawnPart],
    turn: &Turn,
) -> Option<usize> {
    let length = position(row, Dimension::Length)?;
    let width = position(row, Dimension::Width)?;
    let mut swapped = turn.clone();
    swapped.0.swap(length, width);
    fit_turned(bench, case, row, parts, &swapped).map(|fit| fit.misses)
}

/// What a row is held against.
struct Against<'a> {
    role: Role,
    place: Place,
    wants: Vec<[Option<Want<'a>>; 3]>,
    thin: Option<Axis>,
    flat: bool,
}

impl<'a> Against<'a> {
    /// The parts together, or each place a part that is not drawn may have.
    fn all(bench: &Bench<'_>, case: &'a Case<'_>, row: &Row, parts: &[&'a DrawnPart]) -> Vec<Self> {
        let Some(role) = parts.first().map(|part| part.role).or(row.role()) else {
            return Vec::new();
        };
        let rules = &bench.job.rules;
        let wants = |part: Option<&'a DrawnPart>, place: Place| {
            Axis::ALL.map(|axis| want(rules, case, role, part, place, axis))
        };
        if parts.is_empty() {
            let mut all: Vec<Self> = Place::possible(case, role)
                .into_iter()
                .map(|place| Against {
                    role,
                    place,
                    wants: vec![wants(None, place)],
                    thin: thin_axis(role, None),
                    flat: false,
                })
                .collect();
            // A place of which less is known is no better fit for that.
            let known = |against: &Self| against.wants.iter().flatten().flatten().count();
            let most = all.iter().map(known).max().unwrap_or(0);
            all.retain(|against| known(against) == most);
            return all;
        }
        vec![Against {
            role,
            place: Place::default(),
            wants: parts
                .iter()
                .map(|part| wants(Some(part), Place::default()))
                .collect(),
            thin: thin_axis(role, parts.first().copied()),
            flat: parts.iter().any(|part| part.flat),
        }]
    }

    fn score(&self, rules: &Rules, case: &Case<'_>, row: &Row, turn: Turn) -> Fit {
        let mut found = Fit {
            cost: 0,
            misses: 0,
            hits: 0,
            unseen: 0,
            turn,
            other_stock: false,
            place: self.place,
        };
        for wants in &self.wants {
            // Units that would make all sizes right.
            let mut units: Option<BTreeSet<usize>> = None;
            let misses_before = found.misses;
            for (index, cell) in row.sizes.iter().enumerate() {
                let Some(axis) = found.turn.axis(index) else {
                    continue;
                };
                let Some(want) = wants.get(axis as usize).and_then(Option::as_ref) else {
                    found.unseen += 1;
                    found.cost += UNSEEN + short_of_case(case, self.role, axis, cell.value);
                    continue;
                };
                let thickness = cell.dimension == Dimension::Thickness;
                let listed = compared(rules, case, row, cell, Some(axis));
                let hundredths = |length: Length| length.ticks() / (Length::TICKS_PER_MM / 100);
                let near = (listed.value - want.value).abs();
                if thickness {
                    let tolerance = want.tolerance.max(nominal::STOCK_TOLERANCE);
                    let named = nominal::is_name_of(listed.value, want.value);
                    let other = want.miss(listed.value) > tolerance && !named;
                    found.other_stock |= other;
                    found.cost += if other {
                        STOCK
                    } else {
                        hundredths(near).min(99) / 4
                    };
                    continue;
                }
                let missed = miss(listed, want);
                if missed > Length::ZERO {
                    found.misses += 1;
                    found.cost += MISS + hundredths(missed).min(FAR);
                    let these = units_of(
                        listed.value - listed.band,
                        want.value - listed.band,
                        want.tolerance,
                    )
                    .collect();
                    units = Some(match units {
                        Some(held) => &held & &these,
                        None => these,
                    });
                } else {
                    found.hits += 1;
                    // Within tolerance the nearer one still wins.
                    found.cost += hundredths(near).min(99);
                }
            }
            if found.misses > misses_before && units.is_some_and(|units| !units.is_empty()) {
                found.cost -= FAR * 3 / 2;
            }
        }
        found
    }
}

/// What speaks against a size along an axis its part is not seen along: boards of
/// the case reach from one side to the other, less what they are set in.
fn short_of_case(case: &Case<'_>, role: Role, axis: Axis, listed: Length) -> i64 {
    use Role as R;
    let board = matches!(
        role,
        R::Side
            | R::Bottom
            | R::Top
            | R::Back
            | R::Stretcher
            | R::FixedShelf
            | R::AdjustableShelf
            | R::Divider
            | R::ToeKick
    );
    match case.overall(axis) {
        Some(overall) if board && reaches(role, axis) => {
            let off = (listed - overall.length()).abs();
            (off.ticks() / (Length::TICKS_PER_MM / 10)).min(SHORT)
        }
        _ => 0,
    }
}

/// By how much a cell misses beyond its tolerance; zero when it does not.
fn miss(compared: Compared, want: &Want<'_>) -> Length {
    let tolerance = want.tolerance;
    let missed = want.miss(compared.value);
    if missed <= tolerance {
        return Length::ZERO;
    }
    let with_band = want.miss(compared.value + compared.unknown_band);
    if compared.unknown_band > Length::ZERO
        && compared.value < want.value
        && compared.value + compared.unknown_band >= want.value - tolerance
    {
        return Length::ZERO;
    }
    missed.min(with_band)
}

/// The axis a part of this role is thin along: the trade's, unless the drawn
/// sizes show otherwise (a stretcher on edge).
fn thin_axis(role: Role, part: Option<&DrawnPart>) -> Option<Axis> {
    let lie = role.lie().map(|lie| lie[2]);
    let Some(part) = part else {
        return lie;
    };
    if part.flat {
        return None;
    }
    let known: Vec<(Axis, f64)> = Axis::ALL
        .into_iter()
        .filter_map(|axis| Some((axis, part.span(axis)?)))
        // What is seen of a hidden part is no thickness.
        .filter(|(_, span)| !span.is_lower_bound())
        .map(|(axis, span)| (axis, span.mm()))
        .collect();
    let Some(thinnest) = known.iter().min_by(|a, b| a.1.total_cmp(&b.1)) else {
        return lie;
    };
    let too_thick = |axis: Axis| {
        known
            .iter()
            .any(|(other, mm)| *other == axis && *mm > THICKEST_STOCK_MM)
    };
    // With one axis unseen, the thinnest of the others may be a member's face.
    if known.len() == 3 || (lie.is_some_and(too_thick) && thinnest.1 <= THICKEST_STOCK_MM) {
        Some(thinnest.0)
    } else {
        lie
    }
}

/// What speaks against a turn besides the sizes.
fn leaning(row: &Row, against: &Against<'_>, customs: &Customs, turn: &Turn) -> i64 {
    let (role, thin, flat) = (against.role, against.thin, against.flat);
    let mut cost = 0;
    let has_thickness = row.size(Dimension::Thickness).is_some();
    let three_faces = row
        .sizes
        .iter()
        .filter(|cell| cell.dimension != Dimension::Thickness)
        .count()
        >= 3;
    for (index, cell) in row.sizes.iter().enumerate() {
        let axis = turn.axis(index);
        let thinnest = axis.is_some() && axis == thin;
        cost += match cell.dimension {
            Dimension::Thickness if thin.is_some() && !thinnest => 4 * MISS,
            Dimension::Thickness if flat && axis != Some(Axis::Deep) => 4 * MISS,
            Dimension::Thickness | Dimension::Quantity => 0,
            _ if thinnest && (has_thickness || !three_faces) => 4 * MISS,
            _ if flat && axis == Some(Axis::Deep) => 4 * MISS,
            Dimension::Height if !flat && axis != Some(Axis::High) => WORD,
            Dimension::Depth if !flat && axis != Some(Axis::Deep) => WORD,
            _ => 0,
        };
    }
    // Two doors listed are rather a pair than two alone. How many fronts share an
    // opening says nothing of the parts of a drawer box.
    if role == Role::Door
        && against
            .place
            .count
            .is_some_and(|count| count != row.quantity.count)
    {
        cost += COUNT;
    }
    let (Some(length), Some(width)) = (
        position(row, Dimension::Length),
        position(row, Dimension::Width),
    ) else {
        return cost;
    };
    let (length, width) = (turn.axis(length), turn.axis(width));
    let own = customs.first.get(&role);
    if let Some(first) = own.and_then(|files| files.get(&row.source.file)) {
        if length != Some(*first) {
            cost += CUSTOM;
        }
    } else if let Some(lie) = role.lie()
        && (length != Some(lie[0]) || width != Some(lie[1]))
    {
        cost += LIE;
    }
    cost
}

fn position(row: &Row, dimension: Dimension) -> Option<usize> {
    row.sizes
        .iter()
        .position(|cell| cell.dimension == dimension)
}

/// Every way to lay the sizes of a row along the three axes; sizes past the
/// third stay without an axis.
fn turns(row: &Row) -> impl Iterator<Item = Turn> {
    const ORDERS: [[Axis; 3]; 6] = [
        [Axis::Across, Axis::Deep, Axis::High],
        [Axis::Across, Axis::High, Axis::Deep],
        [Axis::Deep, Axis::Across, Axis::High],
        [Axis::Deep, Axis::High, Axis::Across],
        [Axis::High, Axis::Across, Axis::Deep],
        [Axis::High, Axis::Deep, Axis::Across],
    ];
    let sizes = row.sizes.len();
    ORDERS
        .into_iter()
        .map(move |order| Turn((0..sizes).map(|index| order.get(index).copied()).collect()))
}

impl Customs {
    /// The axis a file's rows of a role write as their length, where rows that
    /// fit in one order only agree on it.
    pub fn learn(votes: &[(Arc<str>, Role, Axis)]) -> Self {
        let mut tally: BTreeMap<(Arc<str>, Role), BTreeMap<Axis, usize>> = BTreeMap::new();
        for (file, role, axis) in votes {
            *tally
                .entry((file.clone(), *role))
                .or_default()
                .entry(*axis)
                .or_default() += 1;
        }
        let mut customs = Customs::default();
        for ((file, role), axes) in tally {
            let total: usize = axes.values().sum();
            let usual = axes.into_iter().find(|(_, votes)| votes * 2 > total);
            if let Some((axis, _)) = usual {
                customs.first.entry(role).or_default().insert(file, axis);
            }
        }
        customs
    }
}

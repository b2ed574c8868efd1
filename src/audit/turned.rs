//! Rows whose sizes are right as a pair but turned: a height under width, or a
//! part whose grain would run the wrong way. Length and width stand in either
//! order in good lists, so only a word (height, depth) or a stated grain that
//! the list's other rows follow makes a turned row wrong.

use super::bench::Bench;
use super::fit::{Fit, Turn};
use super::matching::Matching;
use crate::cutlist::{Grain, Row};
use crate::trade::{Axis, Dimension, Role};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Lays turned rows the way their words or their grain say, so that both sizes
/// miss and stand together as swapped.
pub(super) fn straighten(bench: &Bench<'_>, matching: &mut Matching) {
    let votes = votes(bench, matching);
    let mut changed: Vec<((usize, usize), Turn)> = Vec::new();
    for (&(row, case), fit) in &matching.fits {
        let Some(listed) = bench.rows.get(row) else {
            continue;
        };
        if fit.misses > 0
            && let Some(turn) = exchanged(bench, matching, &votes, row, case)
        {
            changed.push(((row, case), turn));
            continue;
        }
        if fit.misses > 0 || fit.hits < 2 {
            continue;
        }
        let turned = claims(listed).into_iter().find_map(|claim| {
            let now = fit.turn.axis(claim.size)?;
            let right = right_axis(&votes, listed, claim, now)?;
            let other = fit.turn.0.iter().position(|axis| *axis == Some(right))?;
            let mut turn = fit.turn.clone();
            turn.0.swap(claim.size, other);
            is_telling(bench, matching, row, case, &turn).then_some(turn)
        });
        if let Some(turn) = turned {
            changed.push(((row, case), turn));
        }
    }
    for (key, turn) in changed {
        if let Some(fit) = matching.fits.get_mut(&key) {
            fit.turn = turn;
        }
    }
}

/// The way a row should lie whose figures agree once they change places: with edge
/// band on some of its edges it fits neither way as it stands.
fn exchanged(
    bench: &Bench<'_>,
    matching: &Matching,
    votes: &Votes,
    row: usize,
    case: usize,
) -> Option<Turn> {
    let (listed, at) = (bench.rows.get(row)?, bench.cases.get(case)?);
    let fit = matching.fits.get(&(row, case))?;
    listed.band?;
    let parts: Vec<_> = matching
        .parts_of(row, case)
        .filter_map(|p| at.parts.get(p.part).copied())
        .collect();
    claims(listed).into_iter().find_map(|claim| {
        let now = fit.turn.axis(claim.size)?;
        let right = right_axis(votes, listed, claim, now)?;
        let other = fit.turn.0.iter().position(|axis| *axis == Some(right))?;
        let mut turn = fit.turn.clone();
        turn.0.swap(claim.size, other);
        let mut row = (*listed).clone();
        let value = row.sizes.get(claim.size)?.value;
        row.sizes.get_mut(claim.size)?.value = row.sizes.get(other)?.value;
        row.sizes.get_mut(other)?.value = value;
        let found = super::fit::fit_turned(bench, at, &row, &parts, &turn)?;
        (found.misses == 0 && found.hits >= 2).then_some(turn)
    })
}

/// A size whose axis the row itself claims.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Claim {
    size: usize,
    by: By,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum By {
    Height,
    Depth,
    /// The size along the grain.
    Grain,
}

fn claims(row: &Row) -> Vec<Claim> {
    let mut out = Vec::new();
    for (size, cell) in row.sizes.iter().enumerate() {
        let by = match (cell.dimension, row.grain) {
            (Dimension::Height, _) => By::Height,
            (Dimension::Depth, _) => By::Depth,
            (Dimension::Length, Grain::AlongLength) | (Dimension::Width, Grain::AlongWidth) => {
                By::Grain
            }
            _ => continue,
        };
        out.push(Claim { size, by });
    }
    out
}

type Votes = BTreeMap<(Arc<str>, Role, By), BTreeMap<Axis, usize>>;

/// Which axis each file's rows of a role mean by a word or a grain.
fn votes(bench: &Bench<'_>, matching: &Matching) -> Votes {
    let mut votes = Votes::new();
    for (&(row, _), fit) in &matching.fits {
        let Some(listed) = bench.rows.get(row) else {
            continue;
        };
        let Some(role) = listed.role() else { continue };
        if fit.misses > 0 || fit.hits < 2 {
            continue;
        }
        for claim in claims(listed) {
            if let Some(axis) = fit.turn.axis(claim.size) {
                *votes
                    .entry((listed.source.file.clone(), role, claim.by))
                    .or_default()
                    .entry(axis)
                    .or_default() += 1;
            }
        }
    }
    votes
}

/// The axis a claim should stand for, when that is not the one it fits. The list's
/// own use of the word for such parts counts before the trade's.
fn right_axis(votes: &Votes, row: &Row, claim: Claim, now: Axis) -> Option<Axis> {
    let role = row.role()?;
    let key = (row.source.file.clone(), role, claim.by);
    let none = BTreeMap::new();
    let tally = votes.get(&key).unwrap_or(&none);
    let own = tally.get(&now).copied().unwrap_or(0);
    let most = tally
        .iter()
        .filter(|(axis, _)| **axis != now)
        .max_by_key(|(axis, count)| (**count, std::cmp::Reverse(**axis)));
    if let Some((axis, count)) = most
        && *count > own
    {
        return Some(*axis);
    }
    let trade = trade_axis(role, claim.by)?;
    // Several rows that all say so are a custom of the list.
    (trade != now && own < 2).then_some(trade)
}

/// What the trade means by a word, or which way it lets the grain run, where it
/// is of one mind: upright on what stands up, along on what lies. Common
/// practice, no source; "length always means along the grain" (I. S. Griffith,
/// Instructions for Making Bill of Material, 1910s).
fn trade_axis(role: Role, by: By) -> Option<Axis> {
    let lie = role.lie()?;
    let faces = [lie[0], lie[1]];
    match by {
        By::Height => faces.contains(&Axis::High).then_some(Axis::High),
        By::Depth => faces.contains(&Axis::Deep).then_some(Axis::Deep),
        By::Grain => match role {
            Role::Side
            | Role::Divider
            | Role::EndPanel
            | Role::Door
            | Role::DoorStile
            | Role::DoorPanel
            | Role::Stile
            | Role::MidStile
            | Role::Post
            | Role::Rail
            | Role::DoorRail
            | Role::ToeKick
            | Role::Stretcher => Some(lie[0]),
            _ => None,
        },
    }
}

/// True when turning the row makes a difference that can be seen.
fn is_telling(
    bench: &Bench<'_>,
    matching: &Matching,
    row: usize,
    case: usize,
    turn: &Turn,
) -> bool {
    let (Some(listed), Some(at)) = (bench.rows.get(row), bench.cases.get(case)) else {
        return false;
    };
    let parts: Vec<_> = matching
        .parts_of(row, case)
        .filter_map(|p| at.parts.get(p.part).copied())
        .collect();
    let fit: Option<Fit> = super::fit::fit_turned(bench, at, listed, &parts, turn);
    !parts.is_empty() && fit.is_some_and(|fit| fit.misses >= 2)
}

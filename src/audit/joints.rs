//! Joints the drawing may hide without saying so: a view without any hidden edge
//! shows a part that runs into a groove as if it were butted. A size that is
//! longer than drawn by a plausible joint, as its fellows are, or by the joint the
//! list gives other cabinets, is then not checked rather than called wrong.

use super::bench::Bench;
use super::checks::{Check, State};
use super::group::takes_joints;
use super::wants::Certainty;
use super::words;
use crate::cabinet::{Edge, Span};
use crate::cutlist::Row;
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use std::collections::{BTreeMap, BTreeSet};

/// Joint depths that are cut, for one end: 1/8 to 3/8 in. Common practice, no source.
const SHALLOWEST_MM: f64 = 3.175;
const DEEPEST_MM: f64 = 9.525;
/// Edges this near lie on one another (0.01 in).
const SAME_MM: f64 = 0.254;

/// Sets sizes that a hidden joint may explain to unchecked.
pub(super) fn excuse(bench: &Bench<'_>, checks: &mut [Check<'_>]) {
    let longer = checks.iter().enumerate();
    let longer = longer.filter_map(|(index, check)| Some((index, hidden_joint(bench, check)?)));
    let longer: Vec<(usize, Length)> = longer.collect();
    if longer.is_empty() {
        return;
    }
    // A part of the same kind whose size is just as drawn shows that nothing is
    // hidden there.
    let butted: BTreeSet<(Role, Axis)> = checks
        .iter()
        .filter(|check| check.state == State::Agrees && is_face(bench, check))
        .filter_map(|check| {
            let span = check.span()?;
            (abutting_ends(bench, check, span) > 0).then_some((check.role?, check.axis?))
        })
        .collect();
    let mut fellows: BTreeMap<Length, BTreeSet<usize>> = BTreeMap::new();
    let mut may_hide: Vec<(usize, Length)> = Vec::new();
    for (index, over) in longer {
        let check = &checks[index];
        if let (Some(role), Some(axis)) = (check.role, check.axis)
            && !butted.contains(&(role, axis))
        {
            fellows.entry(over).or_default().insert(check.row);
            may_hide.push((index, over));
        }
    }
    for (index, over) in may_hide {
        let rows = fellows.get(&over).map_or(0, BTreeSet::len);
        let check = &mut checks[index];
        let like = match rows.saturating_sub(1) {
            0 => match listed_elsewhere(bench, check, over) {
                Some(pair) => pair,
                None => continue,
            },
            1 => "as 1 other row is".to_owned(),
            n => format!("as {} are", words::count(n, "other row")),
        };
        check.state = State::Unchecked;
        check.by = format!(
            "{} longer than drawn, {like}; the view shows no hidden edges, so a joint may be \
             hidden there; state groove.depth in the job file or draw hidden edges",
            bench.show.size(over),
        );
    }
}

/// Boards of another cabinet that cross it from side to side, one of which the list
/// makes as much longer than the other: the depth of the joints this shop cuts.
fn listed_elsewhere(bench: &Bench<'_>, check: &Check<'_>, over: Length) -> Option<String> {
    let own = &bench.cases.get(check.case?)?.name;
    let crosses = |role: Role| matches!(role, Role::Bottom | Role::Top | Role::FixedShelf);
    if check.axis != Some(Axis::Across) || !check.role.is_some_and(crosses) {
        return None;
    }
    let boards: Vec<(&Row, Length)> = bench
        .rows
        .iter()
        .filter(|row| row.role().is_some_and(crosses) && !row.cabinets.contains(own))
        .filter_map(|row| Some((*row, row.size(Dimension::Length)?.value)))
        .collect();
    boards.iter().find_map(|(long, length)| {
        let (short, _) = boards.iter().find(|(row, other)| {
            row.role() != long.role() && row.cabinets == long.cabinets && *length - *other == over
        })?;
        Some(format!(
            "as '{}' in line {} is listed longer than '{}' in line {}",
            long.part, long.source.line, short.part, short.source.line
        ))
    })
}

fn is_face(bench: &Bench<'_>, check: &Check<'_>) -> bool {
    bench
        .rows
        .get(check.row)
        .and_then(|row| super::fit::cell_at(row, check.size))
        .is_some_and(|cell| cell.dimension != Dimension::Thickness)
}

/// By how much a failing size is over, when a joint in a view without hidden
/// edges could be the reason.
fn hidden_joint(bench: &Bench<'_>, check: &Check<'_>) -> Option<Length> {
    let want = check.want?;
    let span = want.span?;
    if check.state != State::Fails
        || want.certainty != Certainty::Exact
        || span.length() != want.value
        || !check.role.is_some_and(takes_joints)
        || !is_face(bench, check)
    {
        return None;
    }
    let shows_hidden = bench
        .job
        .views
        .views
        .get(span.view)
        .is_none_or(|view| view.shows_hidden);
    if shows_hidden {
        return None;
    }
    let ends = abutting_ends(bench, check, span);
    let over = check.listed - want.value;
    let per_end = over.mm() / f64::from(ends.max(1));
    (ends > 0 && (SHALLOWEST_MM - SAME_MM..=DEEPEST_MM + SAME_MM).contains(&per_end))
        .then_some(over)
}

/// Ends of a span that lie against another part.
fn abutting_ends(bench: &Bench<'_>, check: &Check<'_>, span: &Span) -> u32 {
    let Some(case) = check.case.and_then(|case| bench.cases.get(case)) else {
        return 0;
    };
    let against = |edge: &Edge, upper: bool| {
        case.parts.iter().any(|other| {
            check
                .part
                .is_none_or(|own| !std::ptr::eq::<crate::cabinet::DrawnPart>(own, *other))
                && other.span(span.axis).is_some_and(|face| {
                    let face = if upper { face.lo.at } else { face.hi.at };
                    (face - edge.at).abs() <= SAME_MM
                })
        })
    };
    u32::from(against(&span.lo, false)) + u32::from(against(&span.hi, true))
}

//! Backs made of boards side by side: "12 boards 4 in wide" stand for one back that
//! is drawn as a piece. Their width and their number can't be read off the drawing,
//! so they are not checked; the size they share with the back is.

use super::bench::Bench;
use super::checks::{Check, State};
use super::fit::cell_at;
use super::quantity::Counts;
use crate::length::Length;
use crate::trade::{Dimension, Role};
use std::collections::BTreeMap;

/// What each board's tongue or rabbet takes of its width at the most: 1/2 in.
/// Common practice, no source.
const DEEPEST_TONGUE: Length = Length::from_ticks(Length::TICKS_PER_INCH / 2);

/// Sets width and number of such boards to unchecked.
pub(super) fn excuse(bench: &Bench<'_>, checks: &mut [Check<'_>], counts: &mut Counts) {
    let mut failing: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, check) in checks.iter().enumerate() {
        if check.state == State::Fails && check.role == Some(Role::Back) {
            failing.entry(check.row).or_default().push(index);
        }
    }
    for (row, indices) in failing {
        let Some(count) = counts.rows.get_mut(&bench.written_as(row)) else {
            continue;
        };
        let mut boards = indices
            .into_iter()
            .filter_map(|index| Some((index, together(bench, &checks[index], count.listed)?)));
        let (Some((index, number)), None) = (boards.next(), boards.next()) else {
            continue;
        };
        let check = &mut checks[index];
        let Some(want) = check.want else { continue };
        if count.state != State::Fails || count.drawn != 1 {
            continue;
        }
        let reason = format!(
            "{number} boards of {} side by side cover the {} that is drawn in one piece; draw the \
             boards, or list the back as one piece, to have their width and number checked",
            bench.show.size(check.listed),
            bench.show.size(want.value),
        );
        check.state = State::Unchecked;
        check.by.clone_from(&reason);
        count.state = State::Unchecked;
        count.by = reason;
    }
}

/// How many boards stand side by side, when together they are as wide as the back,
/// with or without their tongues.
fn together(bench: &Bench<'_>, check: &Check<'_>, listed: u32) -> Option<String> {
    let cell = cell_at(bench.rows.get(check.row)?, check.size)?;
    let want = check.want?;
    if listed < 2 || cell.dimension == Dimension::Thickness {
        return None;
    }
    let all = check.listed * i64::from(listed);
    let most = want.value + DEEPEST_TONGUE * i64::from(listed);
    (all >= want.value - check.tolerance && all <= most).then(|| listed.to_string())
}

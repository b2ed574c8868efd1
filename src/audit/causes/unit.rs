//! One figure in another unit than the rest of its list.

use super::super::group::{UNITS, units_of};
use super::{Figure, Found, Ground};
use crate::audit::types::CauseKind;
use crate::length::Length;

pub(super) fn test(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    if figure.check.is_none() {
        return;
    }
    let imperial = figure.is_imperial(ground.bench);
    let show = ground.bench.show;
    let (listed, wanted) = figure.written();
    let found = units_of(listed, wanted, figure.slack).find_map(|unit| {
        let (over, under, meaning) = UNITS.get(unit)?;
        // Inches and millimetres are mixed up daily; feet hardly; a decimal place
        // slips where there are decimals.
        let prior = match (over.max(under), imperial) {
            (254, _) => 4.0,
            (10 | 1000, false) => 3.0,
            (10 | 1000, true) => -3.0,
            _ => -1.0,
        };
        Some((prior, *meaning))
    });
    let Some((prior, meaning)) = found else {
        return;
    };
    out.push(
        Found::new(
            CauseKind::Unit,
            prior,
            figure.chance(UNITS.len()),
            format!(
                "the figure {} is in another unit than it should be, {meaning}.",
                figure_only(&show.size(listed))
            ),
        )
        .because(format!(
            "{} for {}",
            figure_only(&show.size(listed)),
            show.size(wanted)
        )),
    );
    debug_assert!(figure.off() != Length::ZERO);
}

/// The figure without the unit it was read in.
fn figure_only(size: &str) -> &str {
    size.trim_end_matches(|c: char| c.is_alphabetic())
        .trim_end()
}

//! Causes that only a whole row or a group of rows can show: units, swapped
//! sizes, cabinets that carry one another's figures, and quantities.

use super::super::group::{Group, Root, UNITS};
use super::super::quantity::{Count, names};
use super::super::words;
use super::{Found, Ground};
use crate::audit::types::{Cause, CauseKind};
use crate::cutlist::Per;

/// Sure evidence: no chance match comes near it.
const SURE: f64 = 1e-4;

pub(super) fn test(ground: &Ground<'_>, group: &Group) -> Vec<Found> {
    let bench = ground.bench;
    let show = bench.show;
    let Some(check) = group.members.first().and_then(|i| ground.checks.get(*i)) else {
        return Vec::new();
    };
    let Some(want) = check.want else {
        return Vec::new();
    };
    let Some(row) = bench.rows.get(check.row) else {
        return Vec::new();
    };
    let example = format!("{} for {}", show.size(check.listed), show.size(want.value));
    match &group.root {
        Root::Swap { .. } => vec![
            Found::new(
                CauseKind::Swapped,
                4.0,
                SURE,
                format!("length and width of '{}' are swapped.", row.part),
            )
            .because("both sizes are right the other way round".to_owned()),
        ],
        Root::ListUnit { unit, .. } | Root::RowUnit { unit, .. } => {
            let meaning = UNITS.get(*unit).map_or("", |(_, _, meaning)| *meaning);
            vec![
                Found::new(
                    CauseKind::Unit,
                    4.0,
                    SURE,
                    format!(
                        "{} in another unit: {meaning}.",
                        words::count(group.members.len(), "size")
                    ),
                )
                .because(example),
            ]
        }
        Root::Exchanged { a, b } => {
            let pair = names(bench, &[*a, *b]);
            vec![
                Found::new(
                    CauseKind::OtherCabinet,
                    4.0,
                    SURE,
                    format!("the rows of {} are swapped.", words::join(&pair)),
                )
                .because(format!(
                    "{} agree once they change places",
                    words::count(group.members.len(), "size")
                )),
            ]
        }
        Root::Copied { from, .. } => {
            let name = names(bench, &[*from]).join("");
            vec![
                Found::new(
                    CauseKind::OtherCabinet,
                    4.0,
                    SURE,
                    format!("these are the figures of {name}."),
                )
                .because(format!(
                    "{} are as {name} is drawn",
                    words::count(group.members.len(), "size")
                )),
            ]
        }
        Root::Toe { off, .. } => vec![
            Found::new(
                CauseKind::ToeKick,
                3.0,
                0.02,
                format!(
                    "the toe kick was taken {} {}.",
                    show.size(off.abs()),
                    if off.ticks() < 0 {
                        "too low"
                    } else {
                        "too high"
                    }
                ),
            )
            .because(format!(
                "{} are off by it",
                words::count(group.members.len(), "size")
            )),
        ],
        Root::Measure { .. }
        | Root::Nominal { .. }
        | Root::Joint { .. }
        | Root::Front { .. }
        | Root::Alone { .. } => Vec::new(),
    }
}

/// Why a quantity is wrong: counted for the job where it should be for one
/// cabinet, or the other way round.
pub(in crate::audit) fn quantity(ground: &Ground<'_>, count: &Count) -> Vec<Cause> {
    let bench = ground.bench;
    let Some(row) = bench.rows.get(count.row) else {
        return Vec::new();
    };
    let named = row.cabinets.len() as u32;
    let (drawn, listed) = (count.drawn, count.listed);
    if drawn == 0 || listed == 0 || named < 2 {
        return Vec::new();
    }
    let cause = |sentence: String, evidence: String| {
        vec![Cause {
            kind: CauseKind::QuantityBasis,
            sentence,
            evidence: vec![evidence],
            explains: 1,
            taken: None,
        }]
    };
    match row.quantity.per {
        Per::Cabinet if drawn.checked_mul(named) == Some(listed) => cause(
            format!("{listed} is the quantity for {named} cabinets together, listed for each."),
            format!("{named} × {drawn} = {listed}"),
        ),
        Per::Job if listed.checked_mul(named) == Some(drawn) => cause(
            format!("{listed} is the quantity for one cabinet, listed for {named} together."),
            format!("{named} × {listed} = {drawn}"),
        ),
        _ => Vec::new(),
    }
}

//! Off by something small that has a name: a stock thickness, a joint depth, the
//! toe kick, a nominal thickness, edge band, an overlay, an inch.

use super::super::fit::{banded_edges, cell_at};
use super::super::group::{front_takes, takes_joints, takes_stock};
use super::super::knowns::Offset;
use super::{Figure, Found, Ground};
use crate::audit::types::CauseKind;
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};

pub(super) fn test(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let Some(known) = ground.knowns.get(figure.case) else {
        return;
    };
    let (role, axis) = (figure.role, figure.axis);
    let along = |list: &[Offset]| -> Vec<Offset> {
        list.iter()
            .filter(|offset| match role {
                Some(role) => offset.fits(role, axis),
                None => offset.role.is_none() && offset.axis.is_none_or(|own| own == axis),
            })
            .cloned()
            .collect()
    };
    // Nobody works a thickness out: it is that of a stock, under its name or not.
    let is_stock = figure
        .check
        .and_then(|check| cell_at(ground.bench.rows.get(check.row)?, check.size))
        .is_some_and(|cell| cell.dimension == Dimension::Thickness);
    if is_stock {
        tell(
            ground,
            figure,
            CauseKind::NominalThickness,
            &along(&known.nominal),
            &[1],
            3.0,
            out,
        );
        return;
    }
    let is_door = matches!(role, Some(Role::Door | Role::DrawerFront));
    let mut tell = |kind, offsets: &[Offset], times: &[i64], prior| {
        tell(ground, figure, kind, offsets, times, prior, out);
    };
    if role.is_none_or(|role| takes_stock(role, axis) || !is_door) {
        tell(
            CauseKind::StockThickness,
            &along(&known.thicknesses),
            &[1, 2],
            2.0,
        );
        tell(
            CauseKind::NominalThickness,
            &along(&known.nominal),
            &[1, 2],
            3.0,
        );
    }
    if role.is_some_and(takes_joints) {
        // Left out at both ends is the classic; put on, or at one end, is rarer.
        let both_left_out = figure.off() < Length::ZERO;
        let joints = along(&known.joints);
        tell(
            CauseKind::JointDepth,
            &joints,
            &[2],
            if both_left_out { 4.5 } else { 3.0 },
        );
        tell(CauseKind::JointDepth, &joints, &[1], 2.5);
    }
    if axis == Axis::High && role != Some(Role::ToeKick) {
        tell(CauseKind::ToeKick, &known.toe_height, &[1], 3.0);
    }
    if axis == Axis::Deep {
        tell(CauseKind::ToeKick, &known.toe_depth, &[1], 2.0);
    }
    if let Some(role) = role {
        let fronts: Vec<Offset> = known
            .fronts
            .iter()
            .filter(|offset| front_takes(role, offset))
            .cloned()
            .collect();
        tell(CauseKind::FrontAllowance, &fronts, &[1, 2], 3.5);
    }
    edge_band(ground, figure, out);
    allowances(ground, figure, out);
    inch_mark(ground, figure, out);
}

/// How a number of times is said.
fn times_word(times: i64) -> &'static str {
    if times == 1 { "" } else { "twice " }
}

fn tell(
    ground: &Ground<'_>,
    figure: &Figure<'_>,
    kind: CauseKind,
    offsets: &[Offset],
    times: &[i64],
    prior: f64,
    out: &mut Vec<Found>,
) {
    let off = figure.off();
    let mut candidates: Vec<Length> = Vec::new();
    let mut hit: Option<(&Offset, i64)> = None;
    for offset in offsets {
        for &n in times {
            let value = offset.value * n;
            if value <= figure.slack || value > off.abs() * 2 {
                continue;
            }
            if !candidates
                .iter()
                .any(|held| (*held - value).abs() <= figure.slack)
            {
                candidates.push(value);
            }
            if (off.abs() - value).abs() <= figure.slack
                && hit.is_none_or(|(held, m)| {
                    (off.abs() - held.value * m).abs() > (off.abs() - value).abs()
                })
            {
                hit = Some((offset, n));
            }
        }
    }
    let Some((offset, n)) = hit else { return };
    let meant = offset.value * n;
    let meant = figure.wanted + if off < Length::ZERO { -meant } else { meant };
    let prior = prior - figure.blur(meant);
    // Both signs compete.
    let chance = figure.chance(candidates.len() * 2);
    let show = ground.bench.show;
    let short = off < Length::ZERO;
    let sentence = sentence(kind, figure, offset, n, short);
    let evidence = if n == 1 {
        format!(
            "the difference, {}, is {}",
            show.size(off.abs()),
            offset.name
        )
    } else {
        format!(
            "the difference, {}, is {n} × {}: {}",
            show.size(off.abs()),
            show.size(offset.value),
            offset.name
        )
    };
    out.push(Found::new(kind, prior, chance, sentence).because(evidence));
}

fn sentence(kind: CauseKind, figure: &Figure<'_>, offset: &Offset, n: i64, short: bool) -> String {
    let amount = format!("{}{}", times_word(n), offset.name);
    let what = &figure.what;
    match (kind, short) {
        (CauseKind::JointDepth, true) => {
            format!("{what} is short by {amount}: the depth of the joint was left out.")
        }
        (CauseKind::JointDepth, false) => {
            format!("{what} is over by {amount}: the depth of the joint was counted too often.")
        }
        (CauseKind::ToeKick, true) => format!("{what} is short by {amount}: taken without it."),
        (CauseKind::ToeKick, false) => format!("{what} is over by {amount}: taken with it."),
        (CauseKind::NominalThickness, _) => format!(
            "{what} is off by {amount}: the stock was taken by its name, not as thick as it is."
        ),
        (CauseKind::FrontAllowance, true) => {
            format!("{what} is short by {amount}: left out or taken off twice.")
        }
        (CauseKind::FrontAllowance, false) => {
            format!("{what} is over by {amount}: put on twice or not taken off.")
        }
        (_, true) => format!("{what} is short by {amount}: taken off once too often."),
        (_, false) => format!("{what} is over by {amount}: not taken off."),
    }
}

/// Band left out of a cut size, or taken off a finished one.
fn edge_band(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let Some(check) = figure.check else { return };
    let Some(row) = ground.bench.rows.get(check.row) else {
        return;
    };
    let Some(cell) = cell_at(row, check.size) else {
        return;
    };
    let Some(thickness) = row.band.and_then(|band| band.thickness) else {
        return;
    };
    let edges = i64::from(banded_edges(row, cell));
    if edges == 0 {
        return;
    }
    let all = thickness * edges;
    let off = figure.off();
    let mut candidates = vec![all];
    if edges > 1 {
        candidates.push(thickness);
    }
    let Some(value) = candidates
        .iter()
        .copied()
        .find(|value| (off.abs() - *value).abs() <= figure.slack)
    else {
        return;
    };
    let show = ground.bench.show;
    let sentence = if off > Length::ZERO {
        format!(
            "{} is over by {} of edge band: a finished size listed as a cut size.",
            figure.what,
            show.size(value)
        )
    } else {
        format!(
            "{} is short by {} of edge band: taken off once too often.",
            figure.what,
            show.size(value)
        )
    };
    out.push(
        Found::new(
            CauseKind::EdgeBand,
            3.0,
            figure.chance(candidates.len() * 2),
            sentence,
        )
        .because(format!(
            "{edges} banded edge(s) of {} on this size",
            show.size(thickness)
        )),
    );
}

/// Scribe, saw-out, band, overhang or kerf of the shop left out or taken twice.
fn allowances(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let (Some(check), Some(case)) = (figure.check, ground.bench.cases.get(figure.case)) else {
        return;
    };
    let Some(row) = ground.bench.rows.get(check.row) else {
        return;
    };
    let Some(cell) = cell_at(row, check.size) else {
        return;
    };
    let rules = &ground.bench.job.rules;
    let show = ground.bench.show;
    let mut known: Vec<(CauseKind, Length, String)> = Vec::new();
    if let Some(allowance) = rules.allowance(case.cabinet, row, cell.dimension, figure.axis) {
        let kind = if allowance.by.starts_with("edge band") {
            CauseKind::EdgeBand
        } else {
            CauseKind::Allowance
        };
        known.push((kind, allowance.add.abs(), allowance.by));
    }
    let mut named = |names: &[&str], word: &str| {
        let values: Option<Vec<Length>> = names
            .iter()
            .map(|name| Some(rules.size(case.cabinet, name)?.0))
            .collect();
        if let Some(values) = values {
            let value: Length = values.into_iter().sum();
            known.push((
                CauseKind::Allowance,
                value,
                format!("{} of {word}", show.size(value)),
            ));
        }
    };
    named(&["saw.kerf"], "saw kerf");
    if figure.role == Some(Role::Countertop) {
        match figure.axis {
            Axis::Across => {
                named(&["countertop.overhang-left"], "overhang at the left");
                named(&["countertop.overhang-right"], "overhang at the right");
                named(
                    &["countertop.overhang-left", "countertop.overhang-right"],
                    "overhang at both ends",
                );
            }
            Axis::Deep => {
                named(&["countertop.overhang-front"], "overhang at the front");
                named(&["countertop.overhang-back"], "overhang at the back");
            }
            Axis::High => {}
        }
    }
    let off = figure.off();
    known.retain(|(_, value, _)| *value > figure.slack);
    let hit = known
        .iter()
        .find(|(_, value, _)| (off.abs() - *value).abs() <= figure.slack);
    let Some((kind, value, by)) = hit else {
        return;
    };
    let way = if off > Length::ZERO {
        "over by"
    } else {
        "short by"
    };
    out.push(
        Found::new(
            *kind,
            3.0 - figure.blur(figure.wanted + if off > Length::ZERO { *value } else { -*value }),
            figure.chance(known.len() * 2),
            format!(
                "{} is {way} {by}: {}.",
                figure.what,
                if by.ends_with("saw kerf") {
                    "what the saw takes changes no part"
                } else {
                    "left out or taken twice"
                }
            ),
        )
        .because(format!("the job file states {by}")),
    );
}

/// Exactly an inch: read from the tape's 1-in mark instead of its hook.
fn inch_mark(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    if !figure.is_imperial(ground.bench) {
        return;
    }
    let off = figure.off();
    let inch = Length::from_ticks(Length::TICKS_PER_INCH);
    if (off.abs() - inch).abs() > figure.slack {
        return;
    }
    let short = if off < Length::ZERO { "under" } else { "over" };
    out.push(
        Found::new(
            CauseKind::InchMark,
            0.0,
            figure.chance(2),
            format!(
                "{} is 1 in {short}: perhaps read from the tape's 1-in mark.",
                figure.what
            ),
        )
        .because("the difference is 1 in".to_owned()),
    );
}

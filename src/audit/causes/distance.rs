//! Another distance of this cabinet was taken.

use super::super::knowns::{Distance, Rank, axis_noun, edge_distances};
use super::{Figure, Found, Ground};
use crate::audit::types::CauseKind;
use crate::length::Length;

/// What a name is worth before any arithmetic: people take sizes they can name.
fn prior(distance: &Distance, figure: &Figure<'_>) -> f64 {
    let named = match distance.rank {
        Rank::Measure => 2.5,
        Rank::Part => 1.5,
        Rank::Edges => -0.5,
        Rank::Loose => -1.5,
    };
    if distance.axis == figure.axis {
        named
    } else {
        named - 2.0
    }
}

pub(super) fn test(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let (Some(case), Some(known)) = (
        ground.bench.cases.get(figure.case),
        ground.knowns.get(figure.case),
    ) else {
        return;
    };
    // As it is drawn, though something else is wanted: no other distance was taken.
    let own = figure.span.filter(|span| !span.is_lower_bound());
    if own.is_some_and(|span| figure.matches(span.length())) {
        return;
    }
    // All named distances of the figure's axis compete, others only among themselves.
    let same_axis = |distance: &&Distance| distance.axis == figure.axis;
    let mut best: Option<(f64, Found)> = None;
    for rank in [Rank::Measure, Rank::Part] {
        for axis_wanted in [true, false] {
            let pool: Vec<&Distance> = known
                .distances
                .iter()
                .filter(|distance| distance.rank <= rank && same_axis(distance) == axis_wanted)
                .collect();
            let chance = figure.chance(competing(figure, &pool));
            for distance in pool.iter().filter(|distance| distance.rank == rank) {
                keep(ground, figure, distance, chance, 0.0, &mut best);
            }
        }
    }
    // Any two edges: so many that a match must beat long odds to mean anything.
    let near = edge_distances(case, figure.axis, figure.wanted, figure.off().abs() * 2);
    let loose: Vec<&Distance> = near.iter().collect();
    let named: Vec<&Distance> = near
        .iter()
        .filter(|distance| distance.rank == Rank::Edges)
        .collect();
    // People hook the tape on the right edge and read the wrong one.
    let from_same_end: Vec<&Distance> = near
        .iter()
        .filter(|distance| shares_an_end(figure, distance))
        .collect();
    for (pool, rank, hooked) in [
        (named, Rank::Edges, false),
        (loose, Rank::Loose, false),
        (from_same_end, Rank::Loose, true),
    ] {
        let chance = figure.chance(competing(figure, &pool));
        for distance in pool.iter().filter(|d| hooked || d.rank == rank) {
            let bonus = if hooked { 2.0 } else { 0.0 };
            keep(ground, figure, distance, chance, bonus, &mut best);
        }
    }
    if let Some((_, found)) = best {
        out.push(found);
    } else {
        other_base(ground, figure, out);
    }
}

/// True when one end is an end of the right distance.
fn shares_an_end(figure: &Figure<'_>, distance: &Distance) -> bool {
    figure.span.is_some_and(|span| {
        (distance.ends[0] - span.lo.at).abs() <= SAME_EDGE_MM
            || (distance.ends[1] - span.hi.at).abs() <= SAME_EDGE_MM
    })
}

/// Edges this near are one edge (0.01 in: corners of drawings miss by as much).
const SAME_EDGE_MM: f64 = 0.254;

/// Distinct candidates as near to the right size as the wrong one is.
fn competing(figure: &Figure<'_>, pool: &[&Distance]) -> usize {
    let mut values: Vec<Length> = pool
        .iter()
        .map(|distance| distance.value)
        .filter(|value| figure.competes(*value))
        .collect();
    values.sort_unstable();
    values.dedup_by(|a, b| (*a - *b).abs() <= figure.slack);
    values.len()
}

fn keep(
    ground: &Ground<'_>,
    figure: &Figure<'_>,
    distance: &Distance,
    chance: f64,
    bonus: f64,
    best: &mut Option<(f64, Found)>,
) {
    if !figure.matches(distance.value) || !figure.competes(distance.value) {
        return;
    }
    let show = ground.bench.show;
    let name = match distance.rank {
        Rank::Measure | Rank::Part => distance.name.clone(),
        Rank::Edges | Rank::Loose => format!("the distance from {}", distance.name),
    };
    let sentence = format!(
        "{} is {name}, not {}.",
        show.size(figure.listed),
        figure.what
    );
    let mut found = Found::new(
        CauseKind::OtherDistance,
        prior(distance, figure) + bonus - figure.blur(distance.value),
        chance,
        sentence,
    )
    .because(format!(
        "drawn {} from {}",
        show.size(distance.value),
        distance.between.sentence
    ));
    found.taken = Some(distance.between.clone());
    let bits = found.bits;
    if best.as_ref().is_none_or(|(held, _)| bits > *held) {
        *best = Some((bits, found));
    }
}

/// Worked from another size than it should have been: off by the difference of
/// two named sizes along the same axis (frame width for case width).
fn other_base(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let Some(known) = ground.knowns.get(figure.case) else {
        return;
    };
    let Some(case) = ground.bench.cases.get(figure.case) else {
        return;
    };
    let outer: Vec<&Distance> = known
        .distances
        .iter()
        .filter(|distance| distance.rank == Rank::Measure && distance.axis == figure.axis)
        .filter(|distance| {
            // Sizes of the whole cabinet: openings are no base for parts of the case.
            case.overall(figure.axis)
                .is_some_and(|overall| distance.value * 2 > overall.length())
        })
        .collect();
    let mut offs: Vec<(Length, &Distance, &Distance)> = Vec::new();
    for right in &outer {
        for wrong in &outer {
            let off = wrong.value - right.value;
            if off.abs() > figure.slack
                && !offs
                    .iter()
                    .any(|(o, _, _)| (*o - off).abs() <= figure.slack)
            {
                offs.push((off, right, wrong));
            }
        }
    }
    let competing = offs
        .iter()
        .filter(|(off, _, _)| off.abs() <= figure.off().abs() * 2)
        .count();
    let show = ground.bench.show;
    for (off, right, wrong) in offs {
        if (figure.off() - off).abs() > figure.slack {
            continue;
        }
        let sentence = format!(
            "{} follows from {} ({}) where {} ({}) should be taken.",
            show.size(figure.listed),
            wrong.name,
            show.size(wrong.value),
            right.name,
            show.size(right.value)
        );
        let mut found = Found::new(
            CauseKind::OtherDistance,
            0.5,
            figure.chance(competing),
            sentence,
        )
        .because(format!(
            "the two {}s differ by {}, and so does the listed size",
            axis_noun(figure.axis),
            show.size(off.abs())
        ));
        found.taken = Some(wrong.between.clone());
        out.push(found);
        return;
    }
}

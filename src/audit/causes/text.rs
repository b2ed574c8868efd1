//! A typed dimension text was followed instead of the geometry.
//!
//! Only a text that stands on the very distance can have misled anybody, or one
//! on a size of the cabinet that this figure follows from. Where another view
//! draws what the text says, the views disagree, which is no matter of texts.

use super::super::bench::Case;
use super::super::texts::{Lie, lies};
use super::{Figure, Found, Ground};
use crate::audit::types::CauseKind;
use crate::length::Length;

/// On the very distance, and on one this figure follows from.
const ON_IT: f64 = 6.0;
const FOLLOWS: f64 = 1.0;

pub(super) fn test(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let Some(case) = ground.bench.cases.get(figure.case) else {
        return;
    };
    let mut views = case.cabinet.views.clone();
    views.sort_unstable();
    let lies: Vec<Lie> = views
        .into_iter()
        .flat_map(|view| lies(ground.bench, view))
        .filter(|lie| lie.axis.is_none_or(|axis| axis == figure.axis))
        .filter(|lie| !another_view_draws_it(case, lie, figure))
        .collect();
    let on_it = |lie: &&Lie| (lie.drawn - figure.wanted).abs() <= figure.slack;
    let hit = lies
        .iter()
        .filter(on_it)
        .filter(|lie| figure.matches(lie.typed))
        .min_by_key(|lie| (lie.typed, lie.view));
    if let Some(lie) = hit {
        tell(ground, figure, lie, ON_IT, lies.len(), out);
        return;
    }
    let follows = lies
        .iter()
        .filter(|lie| lie.axis == Some(figure.axis) && lie.drawn > figure.wanted)
        .filter(|lie| (lie.typed - lie.drawn - figure.off()).abs() <= figure.slack)
        .min_by_key(|lie| (lie.typed, lie.view));
    if let Some(lie) = follows {
        tell(ground, figure, lie, FOLLOWS, lies.len(), out);
    }
}

fn another_view_draws_it(case: &Case<'_>, lie: &Lie, figure: &Figure<'_>) -> bool {
    case.cabinet.conflicts.iter().any(|conflict| {
        conflict.axis.is_none_or(|axis| axis == figure.axis)
            && conflict
                .distances_mm
                .iter()
                .filter_map(|mm| Length::from_mm(*mm))
                .any(|drawn| (drawn - lie.typed).abs() <= figure.slack)
    })
}

fn tell(
    ground: &Ground<'_>,
    figure: &Figure<'_>,
    lie: &Lie,
    prior: f64,
    competing: usize,
    out: &mut Vec<Found>,
) {
    let show = ground.bench.show;
    let mut found = Found::new(
        CauseKind::TypedText,
        prior,
        figure.chance(competing),
        format!(
            "the typed text '{}' was followed; the drawing itself measures {}.",
            lie.text,
            show.size(lie.drawn)
        ),
    )
    .because(format!(
        "a dimension is written '{}' where {} is drawn",
        lie.text,
        show.size(lie.drawn)
    ));
    found.taken = Some(lie.between.clone());
    out.push(found);
}

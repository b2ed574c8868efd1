//! A typed dimension text was followed instead of the geometry.

use super::super::texts::{Lie, lies};
use super::{Figure, Found, Ground};
use crate::audit::types::CauseKind;

pub(super) fn test(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let Some(case) = ground.bench.cases.get(figure.case) else {
        return;
    };
    let mut views = case.cabinet.views.clone();
    views.sort_unstable();
    let lies: Vec<Lie> = views
        .into_iter()
        .flat_map(|view| lies(ground.bench, view))
        .collect();
    // A text on the very distance comes before a text of the same figure elsewhere.
    let hit = lies
        .iter()
        .filter(|lie| figure.matches(lie.typed))
        .min_by_key(|lie| ((lie.drawn - figure.wanted).abs(), lie.typed, lie.view));
    let Some(lie) = hit else { return };
    let show = ground.bench.show;
    let same_distance = (lie.drawn - figure.wanted).abs() <= figure.slack;
    let mut found = Found::new(
        CauseKind::TypedText,
        if same_distance { 6.0 } else { 2.0 },
        figure.chance(lies.len()),
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

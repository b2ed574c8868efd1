//! A typed dimension text was followed instead of the geometry.

use super::{Figure, Found, Ground};
use crate::audit::types::{CauseKind, MeasuredBetween};
use crate::length::{Length, parse};

pub(super) fn test(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let Some(case) = ground.bench.cases.get(figure.case) else {
        return;
    };
    let show = ground.bench.show;
    let mut told: Vec<(Length, Length, MeasuredBetween, String)> = Vec::new();
    for conflict in &case.cabinet.conflicts {
        let [drawn, typed] = conflict.distances_mm.map(Length::from_mm);
        if let (Some(drawn), Some(typed)) = (drawn, typed) {
            told.push((
                drawn,
                typed,
                MeasuredBetween {
                    view: conflict.view,
                    lines: conflict.lines.clone(),
                    sentence: conflict.sentence.clone(),
                },
                conflict.sentence.clone(),
            ));
        }
    }
    let mut views = case.cabinet.views.clone();
    views.sort_unstable();
    for view in views {
        let Some(shown) = ground.bench.job.views.views.get(view) else {
            continue;
        };
        for dimension in &shown.dimensions {
            let Some(text) = &dimension.text else {
                continue;
            };
            let (Ok(typed), Some(drawn)) = (
                parse(text.trim(), ground.bench.show.unit),
                Length::from_mm(dimension.measured_mm),
            ) else {
                continue;
            };
            told.push((
                drawn,
                typed.length,
                MeasuredBetween {
                    view,
                    lines: Vec::new(),
                    sentence: format!("the dimension written '{}'", text.trim()),
                },
                format!(
                    "a dimension says '{}' where {} is drawn",
                    text.trim(),
                    show.size(drawn)
                ),
            ));
        }
    }
    let lies: Vec<_> = told
        .into_iter()
        .filter(|(drawn, typed, _, _)| (*drawn - *typed).abs() > figure.slack)
        .collect();
    let mut hits: Vec<_> = lies
        .iter()
        .filter(|(_, typed, _, _)| figure.matches(*typed))
        .collect();
    // A text on the very distance comes before a text of the same figure elsewhere.
    hits.sort_by_key(|(drawn, typed, _, sentence)| {
        ((*drawn - figure.wanted).abs(), *typed, sentence.clone())
    });
    let Some((drawn, typed, taken, sentence)) = hits.first() else {
        return;
    };
    let same_distance = (*drawn - figure.wanted).abs() <= figure.slack;
    let mut found = Found::new(
        CauseKind::TypedText,
        if same_distance { 6.0 } else { 2.0 },
        figure.chance(lies.len()),
        format!(
            "the typed text {} was followed; the drawing itself measures {}.",
            show.size(*typed),
            show.size(*drawn)
        ),
    )
    .because(sentence.clone());
    found.taken = Some(taken.clone());
    out.push(found);
}

//! Access panels and openings in the toe space.

use super::{Check, Desk, Topic, Verdict, of_cell};
use crate::trade::{Axis, Dimension, Role};

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for (name, cabinet) in facts.named() {
        let toe = facts.size(cabinet, "toe.height");
        for part in cabinet.parts.iter().filter(|p| p.role == Role::AccessPanel) {
            let (Some((toe, origin)), Some(high)) = (&toe, part.span(Axis::High)) else {
                continue;
            };
            // Panels higher up are not in the toe space.
            if high.lo.at >= toe.mm() {
                continue;
            }
            let tolerance = facts.tolerance(*toe);
            let inside = high.hi.at <= (*toe + tolerance).mm();
            let mut check = Check::new(
                Topic::ToeSpace,
                Verdict::of(inside),
                format!(
                    "{name}: the {} {} the toe space, which is {} high",
                    part.name,
                    if inside { "stays in" } else { "reaches out of" },
                    facts.show(*toe)
                ),
            )
            .of([name])
            .resting_on(origin.clone());
            check.drawn = vec![high.clone()];
            found.push(check);
        }
        for row in facts.rows_of(name, Role::AccessPanel) {
            // Only a panel that says where it goes is held against the toe space.
            let said = |text: &str| text.to_lowercase().contains("toe");
            if !said(&row.part) && !row.note.as_deref().is_some_and(said) {
                continue;
            }
            let cell = row
                .size(Dimension::Height)
                .or_else(|| row.size(Dimension::Width));
            let Some(cell) = cell else { continue };
            let Some((toe, origin)) = &toe else {
                found.push(
                    Check::new(
                        Topic::ToeSpace,
                        Verdict::Unchecked,
                        format!(
                            "{name}: the toe space was not measured, so whether '{}' fits it is not \
                             known; state `toe.height` under [sizes] or add an end elevation",
                            row.part
                        ),
                    )
                    .of([name])
                    .at_rows([of_cell(row, cell)]),
                );
                continue;
            };
            let tolerance = facts.tolerance(*toe);
            let fits = cell.value <= *toe + tolerance;
            found.push(
                Check::new(
                    Topic::ToeSpace,
                    Verdict::of(fits),
                    format!(
                        "{name}: '{}' is {} high and the toe space {}",
                        row.part,
                        facts.show(cell.value),
                        facts.show(*toe)
                    ),
                )
                .of([name])
                .resting_on(origin.clone())
                .at_rows([of_cell(row, cell)])
                .sizes(*toe, cell.value, tolerance),
            );
        }
    }
}

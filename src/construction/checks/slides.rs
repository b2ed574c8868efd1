//! Drawer slides and boxes against the depth they go into.

use super::{Check, Desk, Topic, Verdict, of_cell};
use crate::cabinet::Style;
use crate::cutlist::Row;
use crate::length::Length;
use crate::trade::{Dimension, Role};

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for (name, cabinet) in facts.named() {
        let rows: Vec<(&Row, Length, Dimension)> = [Role::DrawerBox, Role::BoxSide, Role::Slide]
            .into_iter()
            .flat_map(|role| facts.rows_of(name, role).map(move |row| (role, row)))
            .filter_map(|(role, row)| {
                let cell = match role {
                    Role::DrawerBox => row
                        .size(Dimension::Depth)
                        .or_else(|| row.size(Dimension::Length)),
                    _ => row.size(Dimension::Length),
                }?;
                Some((row, cell.value, cell.dimension))
            })
            .collect();
        let stated = facts.size(cabinet, "slide.length");
        if rows.is_empty() && stated.is_none() {
            continue;
        }
        // Boxes go in from the front of the frame; slides end at the back.
        let Some((interior, origin)) = facts.size(cabinet, "interior.depth") else {
            if !rows.is_empty() {
                found.push(
                    Check::new(
                        Topic::Slides,
                        Verdict::Unchecked,
                        format!(
                            "{name}: the interior depth was not measured, so whether its drawers go in \
                             is not known; add an end elevation, section or plan with the back"
                        ),
                    )
                    .of([name]),
                );
            }
            continue;
        };
        let frame = if facts.rules.style(cabinet) == Style::FaceFrame {
            match facts.size(cabinet, "frame.thickness") {
                Some((thickness, _)) => thickness,
                None => continue,
            }
        } else {
            Length::ZERO
        };
        let room = interior + frame;
        let mut judge = |what: &str, length: Length, row: Option<(&Row, Dimension)>| {
            let tolerance = facts.tolerance(length);
            let fits = length <= room + tolerance;
            let sentence = format!(
                "{name}: {what} {} long {} {} from the front of the {} to the back",
                facts.show(length),
                if fits { "goes into" } else { "is too long for" },
                facts.show(room),
                if frame > Length::ZERO {
                    "frame"
                } else {
                    "case"
                },
            );
            let verdict = Verdict::of(fits);
            let rows =
                row.and_then(|(row, dimension)| row.size(dimension).map(|cell| of_cell(row, cell)));
            found.push(
                Check::new(Topic::Slides, verdict, sentence)
                    .of([name])
                    .resting_on(origin.clone())
                    .at_rows(rows)
                    .sizes(room, length, tolerance),
            );
        };
        for (row, length, dimension) in rows {
            judge(&format!("a {}", row.part), length, Some((row, dimension)));
        }
        if let Some((length, _)) = stated {
            judge("a slide", length, None);
        }
    }
}

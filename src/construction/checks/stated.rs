//! Sizes the job file states against what the drawing shows of them.

use super::{Check, Desk, Topic, Verdict};
use crate::construction::Origin;
use crate::length::Length;
use std::collections::BTreeSet;

/// Board thicknesses are stated because drawings show nominal board: up to this much
/// they differ on purpose (1/16 in).
const NOMINAL: Length = Length::from_ticks(Length::TICKS_PER_INCH / 16);

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for cabinet in facts.cabinets {
        let names: BTreeSet<&str> = facts
            .rules
            .settings(cabinet)
            .flat_map(|settings| settings.parameters.keys())
            .map(String::as_str)
            .collect();
        for name in names {
            let Some(stated) = facts.rules.stated(cabinet, name) else {
                continue;
            };
            let scope = facts.scope(cabinet);
            let (Ok(known), Ok(drawn)) = (scope.look_up(name), scope.drawn(name)) else {
                continue;
            };
            let (Some(says), Some(shows)) =
                (known.value.value.to_length(), drawn.value.value.to_length())
            else {
                continue;
            };
            let tolerance = facts.tolerance(says);
            let difference = (says - shows).abs();
            let board = name.ends_with(".thickness");
            if difference <= tolerance || (board && difference <= NOMINAL) {
                continue;
            }
            let Origin::JobFile { line } = stated.origin else {
                continue;
            };
            found.push(
                Check::new(
                    Topic::StatedSize,
                    Verdict::Disagrees,
                    format!(
                        "{}: the job file (line {line}) states {} as {}, and the drawing shows {}",
                        cabinet.id,
                        crate::construction::expression::spoken(name),
                        facts.show(says),
                        facts.show(shows)
                    ),
                )
                .of([cabinet.id.as_str()])
                .resting_on(stated.origin.clone())
                .sizes(shows, says, tolerance),
            );
        }
    }
}

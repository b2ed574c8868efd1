//! Openings in the toe space, and the panels and heaters listed for it.

use super::{Check, Desk, Topic, Verdict, at, of_cell, per_cabinet};
use crate::cabinet::{DrawnPart, MeasuredCabinet, Span};
use crate::construction::{Origin, cabinet_key};
use crate::cutlist::{Row, SizeCell};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for (name, cabinet) in facts.named() {
        let toe = Toe::of(facts, name, cabinet);
        for part in &toe.openings {
            toe.drawn(facts, part, found);
        }
        for row in facts.rows_of(name, Role::AccessPanel) {
            // Only a panel that says where it goes is held against the toe space.
            if says(row, "toe") || !toe.openings.is_empty() {
                toe.listed(facts, row, found);
            }
        }
        let of_no_part = facts.rows.of_no_part(&cabinet_key(name));
        for row in of_no_part.iter().filter(|row| is_heater(row)) {
            toe.heater(facts, row, found);
        }
    }
}

/// The toe space of a cabinet.
struct Toe<'a> {
    name: &'a str,
    height: Option<(Length, Origin)>,
    /// How long what stands in it may be.
    length: Option<(Length, Origin)>,
    /// Between the sides, or from end to end of the board that closes it.
    clear: Option<&'a Span>,
    openings: Vec<&'a DrawnPart>,
}

impl<'a> Toe<'a> {
    fn of(facts: &Desk<'_>, name: &'a str, cabinet: &'a MeasuredCabinet) -> Self {
        let height = facts.size(cabinet, "toe.height");
        // Panels higher up are not in the toe space.
        let low = |part: &&DrawnPart| {
            let toe = height.as_ref().map(|(toe, _)| toe.mm());
            let begins = part.span(Axis::High).map(|high| high.lo.at);
            begins.zip(toe).is_some_and(|(low, toe)| low < toe)
        };
        let openings = cabinet
            .parts
            .iter()
            .filter(|part| part.role == Role::AccessPanel && !part.flat)
            .filter(low)
            .collect();
        let board = cabinet.parts.iter().find(|part| part.role == Role::ToeKick);
        let inner = cabinet.interior.width.known().map(|width| &width.span);
        let board = board.and_then(|board| board.across.as_ref());
        Toe {
            name,
            length: facts.size(cabinet, "case.width"),
            height,
            clear: inner.or(board),
            openings,
        }
    }

    /// A drawn opening, against the space it is in.
    fn drawn(&self, facts: &Desk<'_>, part: &DrawnPart, found: &mut Vec<Check>) {
        let (Some((toe, origin)), Some(high)) = (&self.height, part.span(Axis::High)) else {
            return;
        };
        let tolerance = facts.tolerance(*toe);
        let inside = high.hi.at <= (*toe + tolerance).mm();
        let beside = self
            .clear
            .zip(part.span(Axis::Across))
            .filter(|(clear, own)| {
                let off = tolerance.mm();
                own.lo.at < clear.lo.at - off || own.hi.at > clear.hi.at + off
            });
        let (verdict, sentence, drawn) = match beside {
            Some((clear, own)) if inside => (
                Verdict::Disagrees,
                format!(
                    "{}: the {} reaches past the inner face of a side; the toe space is {} wide between them",
                    self.name,
                    part.name,
                    facts.show(clear.length())
                ),
                own,
            ),
            _ => (
                Verdict::of(inside),
                format!(
                    "{}: the {} {} the toe space, which is {} high",
                    self.name,
                    part.name,
                    if inside { "stays in" } else { "reaches out of" },
                    facts.show(*toe)
                ),
                high,
            ),
        };
        let mut check = Check::new(Topic::ToeSpace, verdict, sentence)
            .of([self.name])
            .resting_on(origin.clone());
        check.drawn = vec![drawn.clone()];
        found.push(check);
    }

    /// A listed panel against the toe space.
    fn listed(&self, facts: &Desk<'_>, row: &Row, found: &mut Vec<Check>) {
        let Some((high, long)) = faces(row) else {
            return;
        };
        let Some((toe, origin)) = &self.height else {
            found.push(self.not_measured(row, high));
            return;
        };
        found.push(self.fits(facts, row, high, (*toe, origin), ("high", "the toe space")));
        // That it is no longer than the case says little of how long it should be.
        if let (Some(long), Some((width, origin))) = (long, &self.length)
            && long.value > *width + facts.tolerance(*width)
        {
            found.push(self.fits(
                facts,
                row,
                long,
                (*width, origin),
                ("long", "the toe space"),
            ));
        }
    }

    /// A heater by its listed sizes: in the opening drawn for it, and in the toe space.
    /// What room it needs its maker says.
    fn heater(&self, facts: &Desk<'_>, row: &Row, found: &mut Vec<Check>) {
        let Some((high, long)) = faces(row) else {
            return;
        };
        let Some((toe, origin)) = &self.height else {
            found.push(self.not_measured(row, high));
            return;
        };
        let sizes = |part: &DrawnPart| {
            let size = |axis| part.span(axis).map(Span::length);
            size(Axis::High).zip(size(Axis::Across))
        };
        // Panels take up openings of their own.
        let mut free: Vec<(Length, Length)> =
            self.openings.iter().filter_map(|p| sizes(p)).collect();
        for panel in facts.rows_of(self.name, Role::AccessPanel) {
            let own = faces(panel).map(|(high, long)| (high.value, long.map(|long| long.value)));
            if let Some(at) = free.iter().position(|(h, w)| own == Some((*h, Some(*w)))) {
                free.remove(at);
            }
        }
        let drawn = Origin::Drawn;
        if let [(h, w)] = free.as_slice() {
            let words = ("high", "the opening drawn for it");
            // What is higher than the toe space is higher than what is drawn in it.
            let room = if high.value > *toe + facts.tolerance(*toe) {
                found.push(self.fits(facts, row, high, (*toe, origin), ("high", "the toe space")));
                None
            } else {
                Some(*h)
            };
            found.extend(room.map(|h| self.fits(facts, row, high, (h, &drawn), words)));
            let words = ("long", "the opening drawn for it");
            found.extend(long.map(|long| self.fits(facts, row, long, (*w, &drawn), words)));
            if per_cabinet(row) == Some(1) {
                let sentence = format!("{}: one opening is drawn for the {}", self.name, row.part);
                found.push(
                    Check::new(Topic::ToeSpace, Verdict::Agrees, sentence)
                        .of([self.name])
                        .at_rows([at(row, Dimension::Quantity)]),
                );
            }
            return;
        }
        found.push(self.fits(facts, row, high, (*toe, origin), ("high", "the toe space")));
        if let (Some(long), Some(clear)) = (long, self.clear) {
            let words = ("long", "the toe space");
            found.push(self.fits(facts, row, long, (clear.length(), &drawn), words));
        }
    }

    /// A listed figure against the room there is.
    fn fits(
        &self,
        facts: &Desk<'_>,
        row: &Row,
        cell: &SizeCell,
        (room, origin): (Length, &Origin),
        (how, place): (&str, &str),
    ) -> Check {
        let tolerance = facts.tolerance(room);
        Check::new(
            Topic::ToeSpace,
            Verdict::of(cell.value <= room + tolerance),
            format!(
                "{}: '{}' is {} {how} and {place} {}",
                self.name,
                row.part,
                facts.show(cell.value),
                facts.show(room)
            ),
        )
        .of([self.name])
        .resting_on(origin.clone())
        .at_rows([of_cell(row, cell)])
        .sizes(room, cell.value, tolerance)
    }

    fn not_measured(&self, row: &Row, high: &SizeCell) -> Check {
        Check::new(
            Topic::ToeSpace,
            Verdict::Unchecked,
            format!(
                "{}: the toe space was not measured, so whether '{}' fits it is not \
                 known; state `toe.height` under [sizes] or add an end elevation",
                self.name, row.part
            ),
        )
        .of([self.name])
        .at_rows([of_cell(row, high)])
    }
}

/// True when a row's part or note has the word.
fn says(row: &Row, word: &str) -> bool {
    let has = |text: &str| text.to_lowercase().contains(word);
    has(&row.part) || row.note.as_deref().is_some_and(has)
}

/// Whether a row without a role is a heater for a toe space, which is bought and no part
/// of a case.
fn is_heater(row: &Row) -> bool {
    row.part.to_lowercase().contains("heater")
        && (says(row, "toe") || says(row, "kick") || says(row, "plinth"))
}

/// A panel's height and length: as they are called, else the smaller and the larger of
/// its faces, for a panel in the toe space lies along it.
fn faces(row: &Row) -> Option<(&SizeCell, Option<&SizeCell>)> {
    let size = |dimension| row.size(dimension);
    let (length, width) = (size(Dimension::Length), size(Dimension::Width));
    if let Some(high) = size(Dimension::Height) {
        return Some((high, length.or(width)));
    }
    match (length, width) {
        (Some(a), Some(b)) if a.value < b.value => Some((a, Some(b))),
        (long, Some(high)) => Some((high, long)),
        (Some(only), None) => Some((only, None)),
        (None, None) => None,
    }
}

//! Doors drawn with their hinge bores, held against each other: bores of doors of one
//! size at the same heights, all as far from the edge, those of a pair mirrored, and
//! clear of what the door closes on.

use super::bores::Door;
use super::{Check, Desk, Verdict};
use crate::length::Length;
use crate::trade::{Axis, Role};

/// Door sizes nearer than this are one size, millimetres.
const SAME_SIZE_MM: f64 = 0.5;

pub(super) fn check(facts: &Desk<'_>, doors: &[Door<'_>], found: &mut Vec<Check>) {
    alike(facts, doors, found);
    from_edge(facts, doors, found);
    mirrored(doors, found);
    for door in doors {
        clear(facts, door, found);
    }
}

/// The doors that are not like most of their kind, each with one that is; all but the
/// first where there is no majority.
fn odd_ones<'a, 'b>(
    doors: &[&'b Door<'a>],
    same: impl Fn(&Door<'a>, &Door<'a>) -> bool,
) -> Vec<(&'b Door<'a>, &'b Door<'a>)> {
    let votes = |door: &Door<'a>| doors.iter().filter(|other| same(door, other)).count();
    // The first of those with most votes.
    let mut usual: Option<(&Door<'a>, usize)> = None;
    for &door in doors {
        let own = votes(door);
        if usual.is_none_or(|(_, most)| own > most) {
            usual = Some((door, own));
        }
    }
    let Some((usual, _)) = usual else {
        return Vec::new();
    };
    let odd = doors.iter().filter(|door| !same(usual, door));
    odd.map(|&door| (door, usual)).collect()
}

/// Doors of one size are bored at the same heights. A drawing of a door alone does not
/// say which end is up.
fn alike(facts: &Desk<'_>, doors: &[Door<'_>], found: &mut Vec<Check>) {
    let tolerance = facts.rules.tolerance(Some(Role::Door)).mm();
    let same = |a: &Door<'_>, b: &Door<'_>| {
        let near = |turned: bool| {
            let mut own: Vec<f64> = b.heights();
            if turned {
                own = own.iter().rev().map(|y| b.height - y).collect();
            }
            let pairs = a.heights();
            pairs.len() == own.len()
                && pairs
                    .iter()
                    .zip(&own)
                    .all(|(a, b)| (a - b).abs() <= tolerance)
        };
        near(false) || near(true)
    };
    let mut sizes: Vec<Vec<&Door<'_>>> = Vec::new();
    for door in doors {
        let of_size = sizes.iter_mut().find(|group| {
            group.first().is_some_and(|first| {
                (first.width - door.width).abs() < SAME_SIZE_MM
                    && (first.height - door.height).abs() < SAME_SIZE_MM
            })
        });
        match of_size {
            Some(group) => group.push(door),
            None => sizes.push(vec![door]),
        }
    }
    for group in sizes {
        for (odd, usual) in odd_ones(&group, same) {
            let marks = |door: &Door<'_>| -> String {
                let marks: Vec<String> = door
                    .heights()
                    .iter()
                    .map(|y| door.show(facts, *y))
                    .collect();
                marks.join(", ")
            };
            let sentence = format!(
                "{}: the bores of the {} are drawn {} above its lower edge, those of the {} of {}, \
                 a door of the same size, {}",
                odd.name,
                odd.part.name,
                marks(odd),
                usual.part.name,
                usual.name,
                marks(usual)
            );
            found.push(odd.check(Verdict::Disagrees, sentence));
        }
    }
}

/// All doors are bored as far from their hinge edge.
fn from_edge(facts: &Desk<'_>, doors: &[Door<'_>], found: &mut Vec<Check>) {
    let tolerance = facts.rules.tolerance(Some(Role::Door));
    let distance = |door: &Door<'_>| {
        let first = door.holes.first()?;
        Length::from_mm(door.to_edge(*first))
    };
    let all: Vec<&Door<'_>> = doors.iter().filter(|door| !door.edge_stated).collect();
    let same = |a: &Door<'_>, b: &Door<'_>| match (distance(a), distance(b)) {
        (Some(a), Some(b)) => (a - b).abs() <= tolerance,
        _ => true,
    };
    for (odd, usual) in odd_ones(&all, same) {
        let (Some(own), Some(wanted)) = (distance(odd), distance(usual)) else {
            continue;
        };
        let sentence = format!(
            "{}: the bores of the {} are drawn {} from the edge, those of the {} of {} {}",
            odd.name,
            odd.part.name,
            facts.show(own),
            usual.part.name,
            usual.name,
            facts.show(wanted)
        );
        let check = odd.check(Verdict::Disagrees, sentence);
        found.push(check.sizes(wanted, own, tolerance));
    }
}

/// The doors of a pair carry their hinges at opposite edges, from whichever face they
/// are drawn.
fn mirrored(doors: &[Door<'_>], found: &mut Vec<Check>) {
    for left in doors.iter().filter(|door| door.says("left")) {
        let partner = doors
            .iter()
            .find(|door| door.name == left.name && door.says("right"));
        let Some(right) = partner else { continue };
        let (Some(a), Some(b)) = (left.at_left_edge(), right.at_left_edge()) else {
            continue;
        };
        if a != b {
            continue;
        }
        let sentence = format!(
            "{}: both doors of its pair, the {} and the {}, are drawn with their bores at the {} \
             edge; one hinges at the left and one at the right",
            left.name,
            left.part.name,
            right.part.name,
            if a { "left" } else { "right" }
        );
        found.push(right.check(Verdict::Disagrees, sentence));
    }
}

/// Bores do not meet fixed shelves, stretchers and rails of the case, whichever end of
/// the drawing is up.
fn clear(facts: &Desk<'_>, door: &Door<'_>, found: &mut Vec<Check>) {
    let Some(cabinet) = facts.cabinet(door.name) else {
        return;
    };
    let height = Length::from_mm(door.height);
    let Some(low) = super::hinges::lower_end(cabinet, height) else {
        return;
    };
    let meets = |turned: bool| {
        let marks = door
            .heights()
            .into_iter()
            .map(move |y| if turned { door.height - y } else { y });
        marks.into_iter().find_map(|mark| {
            let part = super::hinges::met(cabinet, low + mark, door.bore)?;
            Some((mark, part))
        })
    };
    let (Some((mark, part)), Some(_)) = (meets(false), meets(true)) else {
        return;
    };
    let sentence = format!(
        "{}: the bore of the {} drawn {} above its lower edge meets the {}",
        door.name,
        door.part.name,
        door.show(facts, mark),
        part.name
    );
    let mut check = door.check(Verdict::Disagrees, sentence);
    check.drawn = part.span(Axis::High).cloned().into_iter().collect();
    found.push(check);
}

impl Door<'_> {
    /// Bore centres above the lower edge of the drawing, rising.
    fn heights(&self) -> Vec<f64> {
        self.holes.iter().map(|hole| hole.y).collect()
    }

    /// Whether all bores are nearer to the left edge of the drawing, or all to the right.
    fn at_left_edge(&self) -> Option<bool> {
        let left = |x: f64| x < self.width / 2.0;
        let first = left(self.holes.first()?.x);
        self.holes
            .iter()
            .all(|hole| left(hole.x) == first)
            .then_some(first)
    }

    /// Whether the drawing's title has this word.
    fn says(&self, word: &str) -> bool {
        let title = self.title.to_lowercase();
        title
            .split(|c: char| !c.is_alphabetic())
            .any(|own| own == word)
    }
}

//! Parts seen in several views become one part with up to three spans.

use super::placed::Placed;
use super::reading::{Place, ViewPart, same_range};
use super::{DrawnPart, Span};
use super::{complete, names};
use crate::trade::{Axis, Role};

/// A part being put together: one view part a view.
pub(super) struct Joined<'a> {
    pub role: Role,
    pub place: Place,
    pub seen: Vec<(&'a Placed, &'a ViewPart)>,
}

fn parts_of(placed: &Placed) -> &[ViewPart] {
    use super::placed::Reading;
    match &placed.reading {
        Reading::Front(r) => &r.parts,
        Reading::Side(r) => &r.parts,
        Reading::Plan(r) => &r.parts,
        Reading::Posts(r) => &r.parts,
    }
}

/// The part's range along an axis of the cabinet, in its own frame.
pub(super) fn range(placed: &Placed, part: &ViewPart, axis: Axis) -> Option<(f64, f64)> {
    if axis == placed.axes.0 {
        part.h
            .map(|r| (r.0 - placed.origin.0, r.1 - placed.origin.0))
    } else if axis == placed.axes.1 {
        part.v
            .map(|r| (r.0 - placed.origin.1, r.1 - placed.origin.1))
    } else {
        None
    }
}

/// Kinds of part that are the same thing seen from different ways.
fn family(role: Role) -> Role {
    match role {
        Role::FixedShelf => Role::AdjustableShelf,
        Role::DrawerFront => Role::Door,
        other => other,
    }
}

fn same(joined: &Joined, placed: &Placed, part: &ViewPart) -> bool {
    if family(joined.role) != family(part.role) {
        return false;
    }
    let unplaced = joined.place == Place::Only || part.place == Place::Only;
    if !unplaced && joined.place != part.place {
        return false;
    }
    // Whatever both show along one axis must be the same; at least one axis shared.
    let mut shared = false;
    for axis in Axis::ALL {
        let Some(own) = range(placed, part, axis) else {
            continue;
        };
        for (other, seen) in &joined.seen {
            if other.id == placed.id {
                return false;
            }
            let Some(there) = range(other, seen, axis) else {
                continue;
            };
            shared = true;
            if !same_range(own, there) {
                return false;
            }
        }
    }
    shared
}

/// Joins the parts of all views. A part of an end or a section that several
/// parts of the front share (shelves in two bays) is given to each of them.
pub(super) fn parts(views: &[Placed]) -> Vec<DrawnPart> {
    let mut joined: Vec<Joined> = Vec::new();
    // The front tells parts apart best; then plans, then ends.
    let order = |p: &&Placed| match &p.reading {
        super::placed::Reading::Front(_) => 0,
        super::placed::Reading::Plan(_) | super::placed::Reading::Posts(_) => 1,
        super::placed::Reading::Side(_) => 2,
    };
    let mut sorted: Vec<&Placed> = views.iter().collect();
    sorted.sort_by_key(order);
    for placed in sorted {
        for part in parts_of(placed) {
            let mut taken = false;
            for known in joined.iter_mut().filter(|known| same(known, placed, part)) {
                if known.place == Place::Only {
                    known.place = part.place;
                }
                known.seen.push((placed, part));
                taken = true;
            }
            if !taken {
                joined.push(Joined {
                    role: part.role,
                    place: part.place,
                    seen: vec![(placed, part)],
                });
            }
        }
    }
    let mut parts = finish(&mut joined);
    complete::parts(views, &joined, &mut parts);
    parts
}

fn finish(joined: &mut [Joined]) -> Vec<DrawnPart> {
    let at = |j: &Joined, axis: Axis| {
        j.seen
            .iter()
            .find_map(|(placed, part)| range(placed, part, axis))
            .map_or(0.0, |r| r.0)
    };
    joined.sort_by(|a, b| {
        (a.role, a.place)
            .cmp(&(b.role, b.place))
            .then(at(a, Axis::High).total_cmp(&at(b, Axis::High)))
            .then(at(a, Axis::Across).total_cmp(&at(b, Axis::Across)))
            .then(at(a, Axis::Deep).total_cmp(&at(b, Axis::Deep)))
    });
    let mut out = Vec::with_capacity(joined.len());
    for (index, part) in joined.iter().enumerate() {
        let alike = |other: &&Joined| other.role == part.role && other.place == part.place;
        let count = joined.iter().filter(alike).count();
        let before = joined.iter().take(index).filter(alike).count();
        let name = names::part(part.role, part.place, before, count);
        out.push(drawn(part, name));
    }
    out
}

/// What the views show of a part along one axis.
pub(super) fn spans(part: &Joined, name: &str, axis: Axis) -> Option<Span> {
    // A view that shows both ends is better than one that hides one.
    let mut best: Option<Span> = None;
    for (placed, seen) in &part.seen {
        let (range, covered) = if axis == placed.axes.0 {
            (seen.h, [seen.covered[0], seen.covered[1]])
        } else if axis == placed.axes.1 {
            (seen.v, [seen.covered[2], seen.covered[3]])
        } else {
            continue;
        };
        let Some(range) = range else { continue };
        let ends = names::ends(part.role, part.place, name, axis);
        let span = placed.span(axis, range, ends, covered);
        if best
            .as_ref()
            .is_none_or(|b| b.is_lower_bound() && !span.is_lower_bound())
        {
            best = Some(span);
        }
    }
    best
}

fn drawn(part: &Joined, name: String) -> DrawnPart {
    let mut evidence: Vec<&str> = part.seen.iter().map(|(_, seen)| seen.why).collect();
    evidence.dedup();
    DrawnPart {
        role: part.role,
        across: spans(part, &name, Axis::Across),
        deep: spans(part, &name, Axis::Deep),
        high: spans(part, &name, Axis::High),
        evidence: evidence.join("; "),
        opening: None,
        flat: false,
        name,
    }
}

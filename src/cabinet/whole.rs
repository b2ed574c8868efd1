//! Parts of a case that front, end and plan show together: the sizes no single view
//! gives, and boards that only all three tell apart from room between others.

use super::grid::{Dir, GAP, Grid};
use super::placed::Placed;
use super::reading::{Place, Range, near};
use super::solids::{self, Ranges, Solid, Trio};
use super::{DrawnPart, names};
use crate::trade::{Axis, Role};

/// A direction that is no thickness is at least so long.
const SHORTEST: f64 = 30.0;
/// Thinnest and thickest board.
const BOARD: Range = (2.4, 46.0);
/// Thinnest and thickest rail or upstand.
const RAIL: Range = (9.0, 30.0);
const LONG: Range = (SHORTEST, f64::INFINITY);
/// Lowest and highest rail under a bottom, and board above a top.
const HIGH: Range = (20.0, 250.0);

/// The three views of a case, once for each way its plan may lie.
struct Views<'a> {
    front: &'a Placed,
    side: &'a Placed,
    trios: Vec<Trio>,
}

/// Completes and adds parts.
pub(super) fn complete(placed: &[Placed], plans: &[Grid], parts: &mut Vec<DrawnPart>) {
    let (Some(front), Some(side)) = (
        placed.iter().find(|p| p.front().is_some()),
        placed.iter().find(|p| p.side().is_some()),
    ) else {
        return;
    };
    let trios: Vec<Trio> = plans
        .iter()
        .flat_map(|plan| Trio::of_case(front, side, plan))
        .collect();
    let known = |part: &DrawnPart| -> Option<Ranges> {
        let whole = |axis: Axis| {
            let span = part.span(axis).filter(|span| !span.is_lower_bound())?;
            Some((span.lo.at, span.hi.at))
        };
        Some([whole(Axis::Across)?, whole(Axis::Deep)?, whole(Axis::High)?])
    };
    // The way the plan lies is the one in which more of the known parts fit.
    let boxes: Vec<Ranges> = parts.iter().filter(|p| !p.flat).filter_map(known).collect();
    let fit = |trio: &Trio| {
        let drawn = |ranges: &&Ranges| trio.solid(**ranges).is_some_and(|s| s.is_whole());
        boxes.iter().filter(drawn).count()
    };
    let fits: Vec<usize> = trios.iter().map(fit).collect();
    let most = fits.iter().max();
    let trios = trios.into_iter().zip(&fits);
    let trios = trios.filter(|(_, fit)| Some(*fit) == most);
    let trios: Vec<Trio> = trios.map(|(trio, _)| trio).collect();
    if trios.is_empty() {
        return;
    }
    let views = Views { front, side, trios };
    views.upstand(parts);
    for part in parts.iter_mut().filter(|part| !part.flat) {
        views.sizes(part);
    }
    views.closed_front(parts);
    views.rail_below(parts);
}

impl Views<'_> {
    /// The plainest box of all ways the plan may lie.
    fn only(&self, known: [Option<Range>; 3], sizes: [Range; 3]) -> Option<Solid> {
        self.agreed(|trio| trio.only(known, sizes))
    }

    fn agreed(&self, find: impl Fn(&Trio) -> Option<Solid>) -> Option<Solid> {
        solids::plainest(self.trios.iter().filter_map(find).collect())
    }

    /// Sizes of a part that no single view gave.
    fn sizes(&self, part: &mut DrawnPart) {
        let known = Axis::ALL.map(|axis| {
            part.span(axis)
                .filter(|span| !span.is_lower_bound())
                .map(|span| (span.lo.at, span.hi.at))
        });
        let missing = Axis::ALL
            .into_iter()
            .filter(|axis| part.span(*axis).is_none());
        let missing: Vec<Axis> = missing.collect();
        let count = known.iter().flatten().count();
        let thin = part.role.lie().map(|lie| lie[2]);
        let sizes = Axis::ALL.map(|axis| if Some(axis) == thin { BOARD } else { LONG });
        let found = if part.role == Role::Side && !missing.is_empty() {
            self.side_face(known)
        } else if missing.is_empty() || count < 2 {
            None
        } else {
            self.only(known, sizes)
        };
        let Some(solid) = found else {
            return;
        };
        for axis in missing {
            let ends = names::ends(part.role, Place::Only, &part.name, axis);
            *part.span_mut(axis) = Some(self.span(axis, solid.range(axis), ends));
        }
    }

    /// A side from the front edge of the case and its foot on, both of which the end
    /// shows, with the notch for the toe space where there is one.
    fn side_face(&self, known: [Option<Range>; 3]) -> Option<Solid> {
        let side = self.side.side()?;
        let x = known[0]?;
        if known[1].is_none() {
            side.faces.front()?;
        }
        let (front, floor) = (
            side.faces.case_front - self.side.origin.0,
            side.floor - self.side.origin.1,
        );
        let notched = match side.toe.map(|toe| toe.base) {
            None => false,
            Some(Some(false)) => true,
            Some(_) => return None,
        };
        self.agreed(|trio| {
            let trio = if notched {
                trio.notched()
            } else {
                trio.clone()
            };
            let beyond = |axis: Axis, from: f64| -> Vec<f64> {
                let lines = trio.lines(axis).into_iter();
                lines.filter(|at| *at > from + SHORTEST).collect()
            };
            let heights = match known[2] {
                Some(z) => vec![z],
                None => {
                    let ends = beyond(Axis::High, floor).into_iter();
                    ends.map(|top| (floor, top)).collect()
                }
            };
            let mut found = Vec::new();
            let depths = match known[1] {
                Some(y) => vec![y],
                None => {
                    let ends = beyond(Axis::Deep, front).into_iter();
                    ends.map(|rear| (front, rear)).collect()
                }
            };
            for y in depths {
                let boxes = heights.iter().map(|z| [x, y, *z]);
                found.extend(boxes.filter_map(|ranges| trio.solid(ranges)));
            }
            solids::plainest(found)
        })
    }

    fn span(&self, axis: Axis, range: Range, ends: [String; 2]) -> super::Span {
        let view = if axis == Axis::Deep {
            self.side
        } else {
            self.front
        };
        let origin = if view.axes.0 == axis {
            view.origin.0
        } else {
            view.origin.1
        };
        view.span(axis, (range.0 + origin, range.1 + origin), ends, [false; 2])
    }

    fn add(&self, role: Role, solid: &Solid, why: &str, parts: &mut Vec<DrawnPart>) {
        let name = names::part(role, Place::Only, 0, 1);
        let span = |axis: Axis| {
            let ends = names::ends(role, Place::Only, &name, axis);
            Some(self.span(axis, solid.range(axis), ends))
        };
        parts.push(DrawnPart {
            role,
            across: span(Axis::Across),
            deep: span(Axis::Deep),
            high: span(Axis::High),
            evidence: why.to_owned(),
            opening: None,
            flat: false,
            name,
        });
    }

    /// Left and right, lower and upper end of the case in its own frame.
    fn outline(&self) -> Option<(Range, Range)> {
        let front = self.front.front()?;
        let (x, z) = self.front.origin;
        Some((
            (front.left - x, front.right - x),
            (front.floor - z, front.top - z),
        ))
    }

    /// One board over the whole front: in the front nothing but its outline is seen.
    fn closed_front(&self, parts: &mut Vec<DrawnPart>) {
        let covered = |part: &DrawnPart| {
            matches!(
                part.role,
                Role::Door | Role::DrawerFront | Role::Stile | Role::Rail
            )
        };
        if parts.iter().any(covered) || !self.front.grid.cue {
            return;
        }
        let Some((x, z)) = self.outline() else {
            return;
        };
        let grid = &self.front.grid;
        let inside = |dir: Dir, at: Range, origin: f64| {
            grid.range(dir, at.0 + origin + 1.0, at.1 + origin - 1.0)
                .any(|index| grid.tracks(dir)[index].drawn_seen() > 20.0)
        };
        let (ox, oz) = self.front.origin;
        if inside(Dir::Upright, x, ox) || inside(Dir::Level, z, oz) {
            return;
        }
        let back: Vec<Range> = parts
            .iter()
            .filter(|part| part.role == Role::Back)
            .filter_map(|part| part.deep.as_ref())
            .map(|span| (span.lo.at, span.hi.at))
            .collect();
        let found = self.agreed(|trio| {
            let thick = trio.lines(Axis::Deep);
            let mut thin = Vec::new();
            for (n, lo) in thick.iter().enumerate() {
                for hi in thick.iter().skip(n + 1) {
                    let is_back = back.iter().any(|b| b.0 < hi - GAP && b.1 > lo + GAP);
                    if (RAIL.0..=RAIL.1).contains(&(hi - lo)) && !is_back {
                        thin.extend(trio.solid([x, (*lo, *hi), z]).filter(|s| s.short == 0));
                    }
                }
            }
            match thin.as_slice() {
                [one] => Some(*one),
                _ => None,
            }
        });
        if let Some(solid) = found {
            let why = "covers the whole front: nothing else is seen in it";
            self.add(Role::FrontPanel, &solid, why, parts);
        }
    }

    /// A board on edge under the bottom, between the sides.
    fn rail_below(&self, parts: &mut Vec<DrawnPart>) {
        let taken = |part: &DrawnPart| {
            matches!(
                part.role,
                Role::ToeKick | Role::Rail | Role::Stile | Role::BaseRail
            )
        };
        let bottom = parts
            .iter()
            .find(|part| part.role == Role::Bottom && !part.flat)
            .and_then(|part| part.high.as_ref())
            .map(|span| span.lo.at);
        let (Some(under), Some(front), Some(side)) = (bottom, self.front.front(), self.side.side())
        else {
            return;
        };
        let Ok((l, r)) = &front.sides else { return };
        if parts.iter().any(taken) || !(HIGH.0..=HIGH.1).contains(&under) {
            return;
        }
        let x = (l.1 - self.front.origin.0, r.0 - self.front.origin.0);
        let middle = (side.faces.case_front + side.faces.rear) / 2.0 - self.side.origin.0;
        let case = side.faces.case_front - self.side.origin.0;
        let found = self
            .only([Some(x), None, Some((0.0, under))], [LONG, RAIL, LONG])
            .filter(|solid| {
                let y = solid.range(Axis::Deep);
                y.1 < middle && solid.short == 0
            });
        // One that runs over the feet of the sides shows the same box between them.
        let over = |solid: &Solid| {
            let Some((x, _)) = self.outline() else {
                return true;
            };
            let ranges = [x, solid.range(Axis::Deep), solid.range(Axis::High)];
            let whole = |trio: &Trio| trio.solid(ranges).is_some_and(|solid| solid.is_whole());
            self.trios.iter().any(whole)
        };
        if let Some(solid) = found.filter(|solid| !over(solid)) {
            // Level with the front it is a rail, standing back a toe kick.
            let role = if solid.range(Axis::Deep).0 <= case + 3.0 {
                Role::Rail
            } else {
                Role::ToeKick
            };
            let why = "stands under the bottom, between the sides";
            self.add(role, &solid, why, parts);
        }
    }

    /// A board on edge on top of everything, at the rear.
    fn upstand(&self, parts: &mut Vec<DrawnPart>) {
        let Some((x, z)) = self.outline() else {
            return;
        };
        let slab = parts
            .iter()
            .find(|part| part.role == Role::Countertop)
            .and_then(|part| part.high.as_ref());
        let top = slab.map_or(z.1, |span| span.hi.at);
        let Some(side) = self.side.side() else { return };
        let middle = (side.faces.case_front + side.faces.rear) / 2.0 - self.side.origin.0;
        let found = self.agreed(|trio| {
            let heights = trio.lines(Axis::High);
            let last = heights.last().copied()?;
            let high = (top, last);
            if !(HIGH.0..=HIGH.1).contains(&(high.1 - high.0)) {
                return None;
            }
            let solid = trio.only([None, None, Some(high)], [LONG, RAIL, LONG])?;
            let (w, y) = (solid.range(Axis::Across), solid.range(Axis::Deep));
            let fits = near(w.0 + w.1, x.0 + x.1) && y.0 > middle && solid.short == 0;
            fits.then_some(solid)
        });
        if let Some(solid) = found {
            // In a plan it hides where the sides end.
            let face = solid.range(Axis::Deep).0;
            for part in parts.iter_mut().filter(|part| part.role == Role::Side) {
                if part
                    .deep
                    .as_ref()
                    .is_some_and(|span| near(span.hi.at, face))
                {
                    part.deep = None;
                }
            }
            let why = "stands on the top along the rear";
            self.add(Role::Upstand, &solid, why, parts);
        }
    }
}

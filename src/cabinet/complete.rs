//! Completes parts that one view gave only two directions of: the third is
//! looked for in every other view that shows it, as a rectangle that shares the
//! known range. What two rectangles could be stays unknown.

use super::grid::{Dir, GAP, Grid, Track};
use super::placed::{Placed, Turned};
use super::plan::SIDE;
use super::reading::{Range, near, same_range};
use super::{DrawnPart, Span, names};
use crate::cabinet::join::{Joined, range, spans};
use crate::linework::SNAP_MM;
use crate::trade::{Axis, Role};

/// A part narrower than this along its missing direction is not looked for.
const SHORTEST: f64 = 30.0;

/// Fills in the missing directions of every part.
pub(super) fn parts(views: &[Placed], joined: &[Joined], parts: &mut [DrawnPart]) {
    for (part, own) in parts.iter_mut().zip(joined) {
        for axis in Axis::ALL {
            if part.span(axis).is_some() {
                continue;
            }
            let found =
                shared(joined, own, axis).or_else(|| drawn(views, joined, own, &part.name, axis));
            if let Some(span) = found {
                *part.span_mut(axis) = Some(span);
            }
        }
    }
}

/// A like part at the same place in the other directions that shows this one:
/// two stretchers, one behind the other, are one strip in a front.
fn shared(joined: &[Joined], own: &Joined, axis: Axis) -> Option<Span> {
    let mut found: Option<Span> = None;
    for other in joined {
        if std::ptr::eq(other, own) || other.role != own.role {
            continue;
        }
        let alike = other.seen.iter().any(|(there, seen)| {
            own.seen.iter().any(|(here, mine)| {
                Axis::ALL.into_iter().any(|shared| {
                    match (range(there, seen, shared), range(here, mine, shared)) {
                        (Some(a), Some(b)) => {
                            range(there, seen, axis).is_some() && same_range(a, b)
                        }
                        _ => false,
                    }
                })
            })
        });
        if !alike {
            continue;
        }
        let name = names::part(own.role, own.place, 0, 1);
        let Some(span) = spans(other, &name, axis) else {
            continue;
        };
        match &found {
            Some(known) if !same_range((known.lo.at, known.hi.at), (span.lo.at, span.hi.at)) => {
                return None;
            }
            _ => found = Some(span),
        }
    }
    found
}

/// Looks for the rectangle in the views' lines.
fn drawn(
    views: &[Placed],
    joined: &[Joined],
    own: &Joined,
    name: &str,
    axis: Axis,
) -> Option<Span> {
    if own.role == Role::Divider && axis == Axis::Deep {
        return divider(views, own, name);
    }
    // Boards between the sides are read with the sides, which say where they end.
    if !matches!(own.role, Role::Back | Role::ToeKick | Role::Stretcher) {
        return None;
    }
    let mut found: Option<Span> = None;
    for placed in views.iter().filter(|p| p.turned == Turned::Sure) {
        for known in Axis::ALL {
            if known == axis || !placed.shows(axis) || !placed.shows(known) {
                continue;
            }
            let Some(along) = own
                .seen
                .iter()
                .filter(|(there, _)| there.id != placed.id)
                .find_map(|(there, seen)| range(there, seen, known))
            else {
                continue;
            };
            let hit = if own.role == Role::Back {
                back(
                    placed,
                    whole_back(joined, placed, known).unwrap_or(along),
                    axis,
                )
            } else {
                rectangle(placed, own.role, along, axis)
            };
            let Some(hit) = hit else { continue };
            let ends = names::ends(own.role, own.place, name, axis);
            let span = placed.span(axis, hit, ends, [false; 2]);
            match &found {
                // Views that tell different stories tell nothing.
                Some(other)
                    if !same_range((other.lo.at, other.hi.at), (span.lo.at, span.hi.at)) =>
                {
                    return None;
                }
                Some(_) => {}
                None => found = Some(span),
            }
        }
    }
    found
}

/// A divider from front to rear, in a plan: both its faces are drawn over one
/// stretch, seen or hidden.
fn divider(views: &[Placed], own: &Joined, name: &str) -> Option<Span> {
    let plans = views
        .iter()
        .filter(|p| p.turned == Turned::Sure && p.plan().is_some());
    for placed in plans {
        let across = own
            .seen
            .iter()
            .filter(|(there, _)| there.id != placed.id)
            .find_map(|(there, seen)| range(there, seen, Axis::Across))?;
        let grid = placed.under.as_ref()?;
        let faces = placed.faces()?;
        let room = grid.window((faces.case_front, faces.rear), (f64::MIN, f64::MAX));
        let only = |x: f64| -> Option<Range> {
            let index = room.at(Dir::Level, x + placed.origin.1)?;
            match room.lv[index].runs.as_slice() {
                [run] => Some((run.lo, run.hi)),
                _ => None,
            }
        };
        let (a, b) = (only(across.0)?, only(across.1)?);
        // Seen from above, something may lie over a part of it: then its ends are
        // its own only at the faces of the case or as lines no longer than it.
        let wall = placed.plan().and_then(|plan| plan.back);
        let ends_at = |p: f64| {
            let face = near(p, faces.case_front) || wall.is_some_and(|back| near(p, back.t0));
            let x = (across.0 + placed.origin.1, across.1 + placed.origin.1);
            face || grid.at(Dir::Upright, p).is_some_and(|index| {
                let mut runs = grid.up[index].runs.iter();
                runs.any(|run| near(run.lo, x.0) && near(run.hi, x.1))
            })
        };
        let whole = grid.cue || (ends_at(a.0) && ends_at(a.1));
        if whole && same_range(a, b) && a.1 - a.0 >= SHORTEST {
            let ends = names::ends(own.role, own.place, name, Axis::Deep);
            let mut span = placed.span(Axis::Deep, a, ends, [false; 2]);
            for edge in [&mut span.lo, &mut span.hi] {
                let at = grid.at(Dir::Upright, edge.at + placed.origin.0);
                if let Some(index) = at {
                    edge.line = grid.up[index].longest();
                }
            }
            return Some(span);
        }
    }
    None
}

/// How far all boards of a back reach together: their ends are drawn in one line.
fn whole_back(joined: &[Joined], placed: &Placed, axis: Axis) -> Option<Range> {
    joined
        .iter()
        .filter(|part| part.role == Role::Back)
        .flat_map(|part| &part.seen)
        .filter(|(there, _)| there.id != placed.id)
        .filter_map(|(there, seen)| range(there, seen, axis))
        .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

/// Most play of a back in its grooves.
const PLAY: f64 = 2.5;

/// The back across, in a front that shows hidden edges: its ends are long lines
/// inside the sides. A back that ends level with a face of the sides shows no
/// line of its own and stays unknown.
fn back(placed: &Placed, along: Range, axis: Axis) -> Option<Range> {
    let front = placed.front().filter(|front| front.seen_through)?;
    let (left, right) = front.sides.as_ref().ok()?;
    if axis != Axis::Across {
        return None;
    }
    let along = (along.0 + placed.origin.1, along.1 + placed.origin.1);
    let inside = |zone: Range| -> Vec<f64> {
        placed
            .grid
            .range(Dir::Upright, zone.0 + GAP, zone.1 - GAP)
            .map(|index| &placed.grid.up[index])
            .filter(|track| {
                track
                    .runs
                    .iter()
                    .any(|run| near(run.lo, along.0) && near(run.hi, along.1))
            })
            .map(|track| track.at)
            .collect()
    };
    // The bottom of a groove lies a little outside of the back's own end.
    let (low, high) = (inside(*left), inside(*right));
    let (a, b) = (*low.last()?, *high.first()?);
    let one = a - low.first()? <= PLAY && high.last()? - b <= PLAY;
    let alike = ((left.1 - a) - (b - right.0)).abs() <= SNAP_MM;
    (one && alike).then_some((a, b))
}

/// The one rectangle in a view that runs over `along` in the known direction:
/// its range in the other direction, in view coordinates.
fn rectangle(placed: &Placed, role: Role, along: Range, axis: Axis) -> Option<Range> {
    // Lines at the ends of the wanted range run in the known direction.
    let (dir, origin) = if axis == placed.axes.0 {
        (Dir::Upright, placed.origin.1)
    } else {
        (Dir::Level, placed.origin.0)
    };
    let along = (along.0 + origin, along.1 + origin);
    let grid = &placed.grid;
    let ends: Vec<&Track> = grid
        .tracks(dir)
        .iter()
        .filter(|track| track.covers(along.0, along.1))
        .collect();
    let (first, last) = (ends.first()?.at, ends.last()?.at);
    if last - first < SHORTEST {
        return None;
    }
    if role == Role::ToeKick && axis == Axis::Across {
        return toe_kick(grid, &ends, along);
    }
    let middle = (first + last) / 2.0;
    let low = best(
        grid,
        dir,
        along,
        ends.iter().copied().filter(|t| t.at < middle),
    )?;
    let high = best(
        grid,
        dir,
        along,
        ends.iter().copied().filter(|t| t.at > middle),
    )?;
    let closed = [along.0, along.1]
        .iter()
        .all(|p| grid.drawn(dir.other(), *p, low, high));
    (closed && high - low >= SHORTEST).then_some((low, high))
}

/// The line with the most corners of its own at both ends of the range; `None`
/// when two have the same, or none has two.
fn best<'a>(
    grid: &Grid,
    dir: Dir,
    along: Range,
    tracks: impl Iterator<Item = &'a Track>,
) -> Option<f64> {
    let mut best: Option<(u32, f64)> = None;
    let mut tie = false;
    for track in tracks {
        let mut marks = 0;
        for p in [along.0, along.1] {
            marks += u32::from(track.ends_at(p));
            marks += u32::from(
                grid.at(dir.other(), p)
                    .and_then(|index| grid.tracks(dir.other()).get(index))
                    .is_some_and(|closing| closing.ends_at(track.at)),
            );
        }
        match best {
            Some((most, _)) if most > marks => {}
            Some((most, _)) if most == marks => tie = true,
            _ => {
                tie = false;
                best = Some((marks, track.at));
            }
        }
    }
    best.filter(|(marks, _)| *marks >= 2 && !tie)
        .map(|(_, at)| at)
}

/// A toe kick runs over the feet of the sides, or between them: in the second
/// case the inner edges of the feet are seen.
fn toe_kick(grid: &Grid, ends: &[&Track], along: Range) -> Option<Range> {
    let feet: Vec<&&Track> = ends
        .iter()
        .filter(|track| track.covers_seen(along.0, along.1))
        .collect();
    // Hidden edges are told apart, or none are drawn.
    let apart = grid.cue || !grid.is_crossed(6);
    let range = match feet.as_slice() {
        [a, b] => (a.at, b.at),
        [a, b, c, d] if apart && near(b.at - a.at, d.at - c.at) && b.at - a.at <= SIDE.1 => {
            (b.at, c.at)
        }
        _ => return None,
    };
    // Without hidden edges told apart, lines behind the board may be taken for seen ones.
    let sure = apart || ends.len() == 2;
    let closed = along.1 - along.0 > GAP
        && [along.0, along.1]
            .iter()
            .all(|p| grid.drawn(Dir::Level, *p, range.0, range.1));
    (sure && closed).then_some(range)
}

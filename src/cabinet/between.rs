//! What stands between the posts of a piece of furniture: rails and braces, panels
//! and backs, boards, cleats and doors, each taken only where its edges are drawn in
//! front, end and plan.

use super::grid::{Dir, GAP};
use super::members;
use super::placed::Placed;
use super::posts::Posts;
use super::reading::{Place, Range, near, same_range};
use super::solids::{Solid, Trio};
use super::{DrawnPart, names};
use crate::trade::{Axis, Role};

/// Thinnest and thickest rail.
const RAIL: Range = (9.0, 41.0);
/// Narrowest rail.
const NARROWEST: f64 = 24.0;
/// A rail is lower, a panel higher than this share of the posts.
const LOW: f64 = 0.4;
/// Thinnest and thickest panel or back.
const PANEL: Range = (2.4, 20.0);
/// Thinnest and thickest board lying between posts, and what is no board for sure.
const BOARD: Range = (5.5, 23.0);
const VOID: f64 = 29.0;
/// Thinnest and thickest cleat.
const CLEAT: Range = (10.0, 46.0);
/// Most play of a board between rails or posts, and of a door in its opening.
const PLAY: f64 = 5.0;
/// Smallest opening that a door stands in.
const OPENING: f64 = 100.0;
/// A board's back may stand so far before the rear posts.
const REAR: f64 = 20.0;
/// What may speak against a part at most: where several parts end in one line,
/// corners are crossings.
const MOST: u32 = 4;
const MOST_BOARD: u32 = 8;

const WHY: &str = "between the posts, drawn in front, end and plan";

/// The posts in the furniture's own frame.
struct Frame {
    left: Range,
    right: Range,
    front: Range,
    rear: Range,
    high: f64,
}

impl Frame {
    fn size(&self, axis: Axis) -> f64 {
        match axis {
            Axis::Across => self.right.1,
            Axis::Deep => self.rear.1,
            Axis::High => self.high,
        }
    }

    /// The posts at both ends along a level axis.
    fn ends(&self, axis: Axis) -> [Range; 2] {
        match axis {
            Axis::Deep => [self.front, self.rear],
            _ => [self.left, self.right],
        }
    }

    /// True for a range that begins in or at one post and ends alike in the other.
    fn spans(&self, axis: Axis, range: Range) -> bool {
        let [first, last] = self.ends(axis);
        let whole = first.0 + last.1;
        range.0 >= first.0 - GAP
            && range.0 <= first.1 + GAP
            && near(range.0 + range.1, whole)
            && range.1 > last.0 - GAP
    }

    /// The end at which a range lies within the thickness of the posts.
    fn within(&self, axis: Axis, range: Range) -> Option<usize> {
        self.ends(axis)
            .iter()
            .position(|post| range.0 >= post.0 - GAP && range.1 <= post.1 + GAP)
    }
}

/// A part found, by its place in space.
struct Found {
    role: Role,
    place: Place,
    ranges: [Option<Range>; 3],
    why: &'static str,
}

impl Found {
    /// True for the same place in space, whichever way the view was turned for it.
    fn is_at(&self, other: &Found) -> bool {
        let same = |(a, b): (&Option<Range>, &Option<Range>)| match (a, b) {
            (Some(a), Some(b)) => near(a.0, b.0) && near(a.1, b.1),
            (a, b) => a.is_none() && b.is_none(),
        };
        self.ranges.iter().zip(&other.ranges).all(same)
    }

    fn new(role: Role, solid: &Solid) -> Found {
        Found {
            role,
            place: Place::Only,
            ranges: solid.ranges.map(Some),
            why: WHY,
        }
    }
}

/// All parts between the posts.
pub(super) fn parts(placed: &[Placed], posts: &Posts) -> Vec<DrawnPart> {
    let front = placed
        .iter()
        .find(|p| p.shows(Axis::Across) && p.shows(Axis::High));
    let Some((front, high)) = front.and_then(|p| {
        let own = p.posts()?;
        Some((p, own.v.1 - own.v.0))
    }) else {
        return Vec::new();
    };
    if posts.unclear {
        return Vec::new();
    }
    let lift = |r: Range, by: f64| (r.0 - by, r.1 - by);
    let frame = Frame {
        left: lift(posts.left, posts.left.0),
        right: lift(posts.right, posts.left.0),
        front: lift(posts.front, posts.front.0),
        rear: lift(posts.rear, posts.front.0),
        high,
    };
    // Which way the end looks is told by how much of it then fits the plan.
    let mut readings: Vec<Vec<Found>> = Trio::of_posts(placed, posts.depth())
        .iter()
        .map(|trio| read(trio, &frame, front))
        .collect();
    readings.sort_by_key(|found| std::cmp::Reverse(found.len()));
    let alike = match readings.as_slice() {
        [] => return Vec::new(),
        [one] => one.len(),
        [first, second, ..] if first.len() > second.len() => first.len(),
        // As much fits either way: what differs is not known.
        [first, second, ..] => first
            .iter()
            .take_while(|found| second.iter().any(|other| other.is_at(found)))
            .count(),
    };
    let Some(mut found) = readings.into_iter().next() else {
        return Vec::new();
    };
    found.truncate(alike);
    found.sort_by(|a, b| {
        let at = |f: &Found, n: usize| f.ranges[n].map_or(0.0, |r| r.0);
        (a.role, a.place)
            .cmp(&(b.role, b.place))
            .then(at(a, 2).total_cmp(&at(b, 2)))
            .then(at(a, 0).total_cmp(&at(b, 0)))
            .then(at(a, 1).total_cmp(&at(b, 1)))
    });
    let mut out = Vec::with_capacity(found.len());
    for (n, part) in found.iter().enumerate() {
        let like = |other: &&Found| other.role == part.role && other.place == part.place;
        let count = found.iter().filter(like).count();
        let before = found.iter().take(n).filter(like).count();
        let name = named(&found, n, (before, count));
        let span = |axis: Axis, n: usize| {
            let range = part.ranges[n]?;
            let view = placed.iter().find(|p| p.shows(axis))?;
            let ends = names::ends(part.role, part.place, &name, axis);
            let origin = if view.axes.0 == axis {
                view.origin.0
            } else {
                view.origin.1
            };
            let range = (range.0 + origin, range.1 + origin);
            Some(view.span(axis, range, ends, [false; 2]))
        };
        out.push(DrawnPart {
            role: part.role,
            across: span(Axis::Across, 0),
            deep: span(Axis::Deep, 1),
            high: span(Axis::High, 2),
            evidence: part.why.to_owned(),
            opening: None,
            flat: false,
            name,
        });
    }
    out
}

/// "side rail 2 from the bottom", "back 3 of 5".
fn named(found: &[Found], n: usize, (before, count): (usize, usize)) -> String {
    let part = &found[n];
    // Beside each other they are counted from the left.
    let beside = found
        .iter()
        .filter(|other| other.role == part.role && other.ranges[2] == part.ranges[2])
        .count();
    if count > 1 && beside == count {
        return format!("{} {} of {count}", part.role.word(), before + 1);
    }
    names::part(part.role, part.place, before, count)
}

fn read(trio: &Trio, frame: &Frame, front: &Placed) -> Vec<Found> {
    let mut found = Vec::new();
    let standing = trio.all(Axis::Deep, RAIL);
    let braced = trio.all(Axis::Across, RAIL);
    let rails = rails(frame, &standing, Axis::Deep);
    let braces = self::rails(frame, &braced, Axis::Across);
    found.extend(rails.iter().map(|solid| Found::new(Role::SideRail, solid)));
    found.extend(braces.iter().map(|solid| Found::new(Role::EndRail, solid)));
    found.extend(panels(frame, &trio.all(Axis::Across, PANEL), Axis::Across));
    found.extend(backs(frame, &trio.all(Axis::Deep, PANEL)));
    let (boards, lying) = boards(trio, frame);
    for board in &boards {
        let role = board_role(board, &rails, frame);
        found.push(Found::new(role, board));
    }
    found.extend(cleats(&boards, &lying));
    found.extend(doors(trio, frame, front, &rails));
    found
}

/// The cheapest of boxes that overlap, the others left out; where two are as good,
/// neither is taken.
fn best(mut solids: Vec<Solid>, most: u32) -> Vec<Solid> {
    solids.retain(|solid| solid.cost() <= most);
    solids.sort_by_key(Solid::cost);
    solids.dedup();
    let mut out: Vec<Solid> = Vec::new();
    let mut gone: Vec<Solid> = Vec::new();
    for (n, solid) in solids.iter().enumerate() {
        if out.iter().chain(&gone).any(|other| other.overlaps(solid)) {
            continue;
        }
        let rival = solids
            .iter()
            .skip(n + 1)
            .find(|other| other.overlaps(solid) && other.cost() <= solid.cost());
        match rival {
            Some(_) => gone.push(*solid),
            None => out.push(*solid),
        }
    }
    out
}

/// Rails from post to post along the front and the rear (`thin` deep), or along the
/// ends (`thin` across).
fn rails(frame: &Frame, solids: &[Solid], thin: Axis) -> Vec<Solid> {
    let along = other(thin);
    let fits = |solid: &&Solid| {
        let high = solid.size(Axis::High);
        frame.within(thin, solid.range(thin)).is_some()
            && frame.spans(along, solid.range(along))
            && high >= NARROWEST
            && high <= LOW * frame.high
    };
    let found = best(solids.iter().filter(fits).copied().collect(), MOST);
    // Rails are all joined alike: beside tenoned ones, what only touches the posts is
    // something else, such as the rails of a pair of doors.
    let tenoned = |solid: &Solid| solid.range(along).0 < frame.ends(along)[0].1 - GAP;
    let any = found.iter().any(tenoned);
    found
        .into_iter()
        .filter(|solid| !any || tenoned(solid))
        .collect()
}

const fn other(axis: Axis) -> Axis {
    match axis {
        Axis::Deep => Axis::Across,
        _ => Axis::Deep,
    }
}

/// Panels between the posts of an end.
fn panels(frame: &Frame, solids: &[Solid], thin: Axis) -> Vec<Found> {
    let fits = |solid: &&Solid| {
        frame.within(thin, solid.range(thin)).is_some()
            && frame.spans(other(thin), solid.range(other(thin)))
            && solid.size(Axis::High) > LOW * frame.high
    };
    best(solids.iter().filter(fits).copied().collect(), MOST)
        .iter()
        .map(|solid| Found::new(Role::EndPanel, solid))
        .collect()
}

/// The back between the rear posts: one panel, or boards side by side.
fn backs(frame: &Frame, solids: &[Solid]) -> Vec<Found> {
    let lies = |solid: &&Solid| {
        frame.within(Axis::Deep, solid.range(Axis::Deep)) == Some(1)
            && solid.size(Axis::High) > LOW * frame.high
    };
    let all: Vec<Solid> = solids.iter().filter(lies).copied().collect();
    // It reaches into the posts: a box between them may be room between rails.
    let spanning = |solid: &&Solid| {
        let x = solid.range(Axis::Across);
        frame.spans(Axis::Across, x) && x.0 < frame.left.1 - 1.0
    };
    let whole = best(all.iter().filter(spanning).copied().collect(), MOST);
    let [whole] = whole.as_slice() else {
        return Vec::new();
    };
    // Boards of the same thickness and height beside each other: their joints run
    // through all of it.
    let post = |x: f64| near(x, frame.left.1) || near(x, frame.right.0);
    let ends = whole.range(Axis::Across);
    let mut joints: Vec<f64> = all
        .iter()
        .filter(|solid| {
            same_range(solid.range(Axis::Deep), whole.range(Axis::Deep))
                && same_range(solid.range(Axis::High), whole.range(Axis::High))
        })
        .flat_map(|solid| [solid.range(Axis::Across).0, solid.range(Axis::Across).1])
        .filter(|x| *x > ends.0 + GAP && *x < ends.1 - GAP && !post(*x))
        .collect();
    joints.sort_by(f64::total_cmp);
    joints.dedup_by(|a, b| near(*a, *b));
    if joints.is_empty() {
        return vec![Found::new(Role::Back, whole)];
    }
    let mut edges = vec![ends.0];
    edges.extend(&joints);
    edges.push(ends.1);
    let wide: Vec<f64> = edges.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let inner = wide.get(1..wide.len() - 1).unwrap_or_default();
    let like = inner.first().copied().unwrap_or(wide[0]);
    let alike = inner.iter().all(|w| near(*w, like))
        && [wide.first(), wide.last()]
            .iter()
            .flatten()
            .all(|w| **w <= like + GAP);
    if !alike {
        // Joints, or edges of something behind: how wide the boards are is not known.
        let mut part = Found::new(Role::Back, whole);
        part.ranges[0] = None;
        return vec![part];
    }
    edges
        .windows(2)
        .map(|pair| {
            let mut part = Found::new(Role::Back, whole);
            part.ranges[0] = Some((pair[0], pair[1]));
            part
        })
        .collect()
}

/// Boards that lie between the posts, and every box that lies flat.
fn boards(trio: &Trio, frame: &Frame) -> (Vec<Solid>, Vec<Solid>) {
    let lying = trio.all(Axis::High, CLEAT);
    let thin = trio.all(Axis::High, (BOARD.0, CLEAT.1));
    let fits = |solid: &&Solid| {
        let (x, y) = (solid.range(Axis::Across), solid.range(Axis::Deep));
        near(x.0 + x.1, frame.size(Axis::Across))
            && x.0 >= -GAP
            && x.0 <= frame.left.1 + PLAY
            && y.0 >= -GAP
            && y.0 <= frame.front.1 + PLAY
            && y.1 >= frame.rear.0 - REAR
            && y.1 <= frame.rear.1 + GAP
    };
    let all: Vec<Solid> = thin.iter().filter(fits).copied().collect();
    let plain = all
        .iter()
        .filter(|solid| solid.size(Axis::High) <= BOARD.1)
        .copied()
        .collect();
    let found = best(plain, MOST_BOARD);
    // Between rails the room over or under a board looks like a board as well. What
    // is too thick for one is that room.
    let doubtful = |solid: &Solid| {
        all.iter().any(|other| {
            let above = near(other.range(Axis::High).0, solid.range(Axis::High).1);
            let below = near(other.range(Axis::High).1, solid.range(Axis::High).0);
            let same = same_range(other.range(Axis::Across), solid.range(Axis::Across))
                && same_range(other.range(Axis::Deep), solid.range(Axis::Deep));
            (above || below) && same && other.size(Axis::High) <= VOID
        })
    };
    let sure = found.into_iter().filter(|solid| !doubtful(solid)).collect();
    (sure, lying)
}

/// A board as high as the lowest or the highest rails closes the case.
fn board_role(board: &Solid, rails: &[Solid], frame: &Frame) -> Role {
    let z = board.range(Axis::High);
    let beside = |rail: &&Solid| {
        let r = rail.range(Axis::High);
        z.0 < r.1 + GAP && z.1 > r.0 - GAP
    };
    let middle = 0.5 * frame.high;
    let at = |low: bool| {
        rails
            .iter()
            .filter(beside)
            .any(|rail| (rail.range(Axis::High).0 < middle) == low)
    };
    match (at(true), at(false)) {
        (true, false) if z.0 < 0.3 * frame.high => Role::Bottom,
        (false, true) if z.1 > 0.7 * frame.high => Role::Top,
        _ => Role::AdjustableShelf,
    }
}

/// Square strips right under a board.
fn cleats(boards: &[Solid], lying: &[Solid]) -> Vec<Found> {
    let fits = |solid: &&Solid| {
        let (a, b) = (solid.size(Axis::Across), solid.size(Axis::Deep));
        let (thick, long) = (a.min(b), a.max(b));
        let under = boards.iter().any(|board| {
            let over = |axis: Axis| {
                let (r, own) = (board.range(axis), solid.range(axis));
                own.0 >= r.0 - CLEAT.1 && own.1 <= r.1 + CLEAT.1
            };
            near(board.range(Axis::High).0, solid.range(Axis::High).1)
                && over(Axis::Across)
                && over(Axis::Deep)
                && 1.3 * long >= board.size(Axis::Across).min(board.size(Axis::Deep))
        });
        (CLEAT.0..=CLEAT.1).contains(&thick)
            && solid.size(Axis::High) <= 2.0 * thick
            && long >= 6.0 * thick
            && under
    };
    best(lying.iter().filter(fits).copied().collect(), MOST)
        .iter()
        .map(|solid| Found::new(Role::Cleat, solid))
        .collect()
}

/// Doors between the front posts and the rails above and below: their members where
/// they are framed, else the leaf itself.
fn doors(trio: &Trio, frame: &Frame, front: &Placed, rails: &[Solid]) -> Vec<Found> {
    let mut levels: Vec<Range> = rails
        .iter()
        .filter(|rail| frame.within(Axis::Deep, rail.range(Axis::Deep)) == Some(0))
        .map(|rail| rail.range(Axis::High))
        .collect();
    levels.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out = Vec::new();
    for pair in levels.windows(2) {
        let room = (pair[0].1, pair[1].0);
        if room.1 - room.0 < OPENING {
            continue;
        }
        for leaf in leaves(front, frame, room) {
            let (h, v) = leaf;
            let known = [Some(h), None, Some(v)];
            let Some(solid) = trio
                .only(known, [RAIL; 3])
                .filter(|solid| solid.range(Axis::Deep).1 <= frame.front.1 + GAP)
            else {
                continue;
            };
            out.extend(leaf_parts(trio, front, &solid));
        }
    }
    out
}

/// The leaves in the opening of a front, across and in height in the cabinet's frame.
fn leaves(front: &Placed, frame: &Frame, room: Range) -> Vec<(Range, Range)> {
    let (x, z) = front.origin;
    let clear = (frame.left.1 + x, frame.right.0 + x);
    let high = (room.0 + z, room.1 + z);
    let grid = &front.grid;
    let seen = |dir: Dir, at: Range, along: Range| -> Vec<f64> {
        grid.range(dir, at.0, at.1)
            .map(|index| &grid.tracks(dir)[index])
            .filter(|track| track.covers_seen(along.0 + PLAY, along.1 - PLAY))
            .map(|track| track.at)
            .collect()
    };
    // Of two lines at an edge of the opening the inner one is the door's.
    let edges = |dir: Dir, r: Range, along: Range| -> Option<Range> {
        let lo = seen(dir, (r.0 - GAP, r.0 + PLAY), along).last().copied()?;
        let hi = seen(dir, (r.1 - PLAY, r.1 + GAP), along).first().copied()?;
        near(lo - r.0, r.1 - hi).then_some((lo, hi))
    };
    let (Some(h), Some(v)) = (
        edges(Dir::Upright, clear, high),
        edges(Dir::Level, high, clear),
    ) else {
        return Vec::new();
    };
    let middle = (h.0 + h.1) / 2.0;
    let own = |h: Range| ((h.0 - x, h.1 - x), (v.0 - z, v.1 - z));
    match seen(Dir::Upright, (middle - PLAY, middle + PLAY), v).as_slice() {
        [] => vec![own(h)],
        [one] if near(*one, middle) => vec![own((h.0, *one)), own((*one, h.1))],
        [a, b] if near(a + b, 2.0 * middle) => vec![own((h.0, *a)), own((*b, h.1))],
        _ => Vec::new(),
    }
}

/// The members of a framed leaf, or the leaf.
fn leaf_parts(trio: &Trio, front: &Placed, leaf: &Solid) -> Vec<Found> {
    let (x, z) = front.origin;
    let (h, v) = (leaf.range(Axis::Across), leaf.range(Axis::High));
    let deep = leaf.range(Axis::Deep);
    let drawn = ((h.0 + x, h.1 + x), (v.0 + z, v.1 + z));
    let stile = |strip: Range| {
        let own = (strip.0 - x, strip.1 - x);
        trio.solid([own, deep, v]).is_some()
    };
    let edge = |at: f64| trio.shows_level(at - z, deep);
    let own = members::Own {
        stile: &stile,
        edge: &edge,
    };
    let Some(framed) = members::framed(&front.grid, drawn.0, drawn.1, &own) else {
        // Lines within its face make it more than a slab.
        let within = |dir: Dir, at: Range, along: Range| {
            front
                .grid
                .range(dir, at.0 + 1.0, at.1 - 1.0)
                .any(|index| front.grid.tracks(dir)[index].seen_share(along.0, along.1) > 0.02)
        };
        if within(Dir::Upright, drawn.0, drawn.1) || within(Dir::Level, drawn.1, drawn.0) {
            return Vec::new();
        }
        let mut part = Found::new(Role::Door, leaf);
        part.why = "stands in the opening between the posts";
        return vec![part];
    };
    let mut out = Vec::new();
    for part in members::faces(&front.grid, front.grid.cue, &framed, &[]) {
        if part.role == Role::DoorPanel {
            continue;
        }
        let (Some(a), Some(b)) = (part.h, part.v) else {
            continue;
        };
        let own = (a.0 - x, a.1 - x);
        let level = (b.0 - z, b.1 - z);
        // Halved into the stiles, a rail is as long as the leaf is wide.
        let across = if part.role == Role::DoorRail && lapped(trio, leaf, own, level) {
            Some(h)
        } else {
            (!part.covered[0]).then_some(own)
        };
        out.push(Found {
            role: part.role,
            place: Place::Only,
            ranges: [across, Some(deep), Some(level)],
            why: part.why,
        });
    }
    out.extend(field(trio, leaf, &framed, (x, z)));
    out
}

/// True when a rail runs over the stiles with a part of its thickness.
fn lapped(trio: &Trio, leaf: &Solid, clear: Range, level: Range) -> bool {
    let deep = leaf.range(Axis::Deep);
    let whole = leaf.range(Axis::Across);
    trio.solid([whole, deep, level])
        .is_some_and(|solid| solid.short == 0)
        && trio
            .lines(Axis::Deep)
            .into_iter()
            .filter(|y| *y > deep.0 + 2.0 && *y < deep.1 - 2.0)
            .any(|y| {
                let stile = (whole.0, clear.0);
                trio.solid([stile, (deep.0, y), level]).is_some()
                    && trio.solid([stile, (y, deep.1), level]).is_some()
            })
}

/// The panel of a leaf, in its grooves.
fn field(trio: &Trio, leaf: &Solid, framed: &members::Framed, (x, z): (f64, f64)) -> Vec<Found> {
    let deep = leaf.range(Axis::Deep);
    let across = (framed.stiles[0].1 - x, framed.stiles[1].0 - x);
    let mut out = Vec::new();
    let thin: Vec<Solid> = trio
        .all(Axis::Deep, PANEL)
        .into_iter()
        .filter(|solid| {
            let y = solid.range(Axis::Deep);
            y.0 >= deep.0 - GAP && y.1 <= deep.1 + GAP && y.1 - y.0 < deep.1 - deep.0 - GAP
        })
        .collect();
    for pair in framed.rails.windows(2) {
        let high = (pair[0].1 - z, pair[1].0 - z);
        let around = |r: Range, clear: Range| {
            r.0 <= clear.0 + GAP
                && r.1 >= clear.1 - GAP
                && r.0 >= clear.0 - members::GROOVE
                && r.1 <= clear.1 + members::GROOVE
                && near(clear.0 - r.0, r.1 - clear.1)
        };
        let fits = |solid: &&Solid| {
            around(solid.range(Axis::Across), across) && around(solid.range(Axis::High), high)
        };
        let found = best(thin.iter().filter(fits).copied().collect(), MOST);
        // Before and behind the panel there is room of the field's own size.
        let plain = match found.as_slice() {
            [one] => Some(one),
            [one, next, ..] if next.cost() > one.cost() => Some(one),
            _ => None,
        };
        if let Some(panel) = plain {
            let mut part = Found::new(Role::DoorPanel, panel);
            part.why = "panel in the grooves of a framed door";
            out.push(part);
        }
    }
    out
}

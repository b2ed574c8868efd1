//! Furniture on posts: four of them at the corners, seen from above as equal
//! rectangles, with rails, panels and doors between that stand back from their
//! outer faces. Such a piece has no sides, so it is read by its posts.

mod under_top;

use super::grid::{Dir, GAP, Grid, Track};
use super::reading::{Range, ViewPart, near};
use crate::trade::Role;

/// Thinnest and thickest post.
const POST: Range = (22.0, 130.0);

/// The posts as a plan shows them: where those at the left and the right stand
/// across, those at the front and the rear in depth.
#[derive(Clone, Copy, Debug)]
pub(super) struct Posts {
    pub left: Range,
    pub right: Range,
    pub front: Range,
    pub rear: Range,
    /// Several lines could be the posts' inner faces: how wide they are is not known.
    pub unclear: bool,
    /// Seen by hidden edges alone: other views have to show them as well.
    pub covered: bool,
}

/// What one view shows of furniture on posts.
#[derive(Clone, Debug)]
pub(super) struct PostReading {
    /// From post to post, outer faces.
    pub h: Range,
    /// Height, or depth in a plan.
    pub v: Range,
    pub parts: Vec<ViewPart>,
}

impl Posts {
    /// The posts of a plan, if four equal ones stand at its corners and what is
    /// between them at both ends stands back; or four equal ones that a top covers.
    pub(super) fn find(grid: &Grid) -> Option<Posts> {
        Self::open(&grid.seen_only()).or_else(|| under_top::find(grid))
    }

    fn open(grid: &Grid) -> Option<Posts> {
        let long = |track: &&Track| track.runs.iter().any(|run| run.len() >= POST.0);
        let (x0, x1) = (
            grid.up.iter().find(long)?.at,
            grid.up.iter().rfind(long)?.at,
        );
        let (y0, y1) = (
            grid.lv.iter().find(long)?.at,
            grid.lv.iter().rfind(long)?.at,
        );
        let deep = outer_run(grid, x0, y0)?;
        let (wide, unclear) = across(grid, (x0, y0), deep)?;
        let posts = Posts {
            left: (x0, x0 + wide),
            right: (x1 - wide, x1),
            front: (y0, y0 + deep),
            rear: (y1 - deep, y1),
            unclear,
            covered: false,
        };
        let apart =
            posts.right.0 - posts.left.1 >= POST.0 && posts.rear.0 - posts.front.1 >= POST.0;
        let all = [posts.left, posts.right].iter().all(|x| {
            [posts.front, posts.rear]
                .iter()
                .all(|y| rectangle(grid, *x, *y))
        });
        // Both ends stand back from the posts' faces.
        let back = [x0, x1].iter().all(|x| {
            grid.at(Dir::Upright, *x).is_some_and(|index| {
                let runs = &grid.up[index].runs;
                runs.len() == 2 && near(runs[0].hi, posts.front.1) && near(runs[1].lo, posts.rear.0)
            })
        });
        (apart && all && back).then_some(posts)
    }

    pub(super) fn width(&self) -> f64 {
        self.right.1 - self.left.0
    }

    pub(super) fn depth(&self) -> f64 {
        self.rear.1 - self.front.0
    }

    /// The plan itself, across and deep.
    pub(super) fn plan(&self) -> PostReading {
        let mut parts = Vec::new();
        let shown = if self.unclear {
            &[][..]
        } else {
            &[self.left, self.right]
        };
        for x in shown.iter().copied() {
            for y in [self.front, self.rear] {
                parts.push(ViewPart::new(Role::Post, x, y, WHY));
            }
        }
        PostReading {
            h: (self.left.0, self.right.1),
            v: (self.front.0, self.rear.1),
            parts,
        }
    }

    /// A front (`deep` false), or an end or a section: two posts from the floor
    /// up, as thick and as far apart as the plan shows them.
    pub(super) fn upright(&self, grid: &Grid, deep: bool) -> Option<PostReading> {
        let (size, thick) = if deep {
            (self.depth(), self.front.1 - self.front.0)
        } else {
            (self.width(), self.left.1 - self.left.0)
        };
        let tall = 0.42 * grid.height().map(|(lo, hi)| hi - lo)?;
        let seen: Vec<&Track> = grid
            .up
            .iter()
            .filter(|track| track.drawn_seen() >= tall)
            .collect();
        let at = |x: f64| seen.iter().find(|track| near(track.at, x));
        for first in &seen {
            let (Some(last), Some(a), Some(b)) = (
                at(first.at + size),
                grid.at(Dir::Upright, first.at + thick),
                grid.at(Dir::Upright, first.at + size - thick),
            ) else {
                continue;
            };
            let (low, high) = (first.seen.first()?.lo, first.seen.last()?.hi);
            // The ends of a top flush with the posts are drawn in one line with them.
            let inner = [&grid.up[a], &grid.up[b]];
            let high =
                under_top::underside(grid, (first.at, last.at), inner, (low, high)).unwrap_or(high);
            let whole = |track: &Track| track.covers(low, high);
            if !whole(&grid.up[a]) || !whole(&grid.up[b]) || !whole(first) || !whole(last) {
                continue;
            }
            let posts = [(first.at, first.at + thick), (last.at - thick, last.at)];
            let closed = posts.iter().all(|post| {
                grid.drawn(Dir::Level, low, post.0, post.1)
                    && grid.drawn(Dir::Level, high, post.0, post.1)
            });
            if closed {
                return Some(PostReading {
                    h: (first.at, last.at),
                    v: (low, high),
                    parts: posts
                        .iter()
                        .filter(|_| !self.unclear)
                        .map(|post| ViewPart::new(Role::Post, *post, (low, high), WHY))
                        .collect(),
                });
            }
        }
        None
    }
}

const WHY: &str = "stands at a corner from the floor up, with what is between set back";

/// How far a line at the edge of the plan runs from its corner.
fn outer_run(grid: &Grid, x: f64, y: f64) -> Option<f64> {
    let run = grid.up[grid.at(Dir::Upright, x)?].run_at(y)?;
    let size = run.hi - y;
    (near(run.lo, y) && size >= POST.0 && size <= POST.1).then_some(size)
}

/// How wide the post at a corner is: its inner face is the line as long as the post
/// is deep; and whether there is more than one such line.
fn across(grid: &Grid, corner: (f64, f64), deep: f64) -> Option<(f64, bool)> {
    let y = (corner.1, corner.1 + deep);
    let mut faces = grid
        .range(Dir::Upright, corner.0 + POST.0, corner.0 + POST.1)
        .map(|index| grid.up[index].at)
        .filter(|x| rectangle(grid, (corner.0, *x), y));
    let first = faces.next()?;
    Some((first - corner.0, faces.next().is_some()))
}

/// The top of a post. Joints open at the top break its edges, and a back let into a
/// corner takes it away: of each edge a part has to be seen that ends at a corner, and
/// of the eight ends all but one.
fn rectangle(grid: &Grid, x: Range, y: Range) -> bool {
    let ends = |dir: Dir, at: f64, along: Range| -> Option<usize> {
        let track = &grid.tracks(dir)[grid.at(dir, at)?];
        let corners = [(along.0, along.0 + 1.0), (along.1 - 1.0, along.1)];
        let seen = corners
            .iter()
            .filter(|r| track.covers_seen(r.0, r.1))
            .count();
        (track.seen_share(along.0, along.1) >= 0.2 && seen > 0).then_some(seen)
    };
    let all = [
        ends(Dir::Upright, x.0, y),
        ends(Dir::Upright, x.1, y),
        ends(Dir::Level, y.0, x),
        ends(Dir::Level, y.1, x),
    ];
    x.1 - x.0 > GAP && all.iter().all(Option::is_some) && all.iter().flatten().sum::<usize>() >= 7
}

//! Posts under a top that covers them: a plan shows them by their hidden edges, within
//! the outline of the top or flush with it.

use super::super::grid::{Dir, GAP, Grid, Track};
use super::super::reading::{Range, near};
use super::{POST, Posts};

/// Thinnest and thickest top.
const TOP: Range = (9.0, 60.0);
/// More lines than this are no plan of a table.
const LINES: usize = 80;

/// The four equal posts farthest out of a plan in which nothing but the top's outline is
/// seen. Where hidden edges look like seen ones nothing is told by them.
pub(super) fn find(grid: &Grid) -> Option<Posts> {
    if !grid.cue || grid.up.len() > LINES || grid.lv.len() > LINES {
        return None;
    }
    let seen = grid.seen_only();
    if seen.up.len() != 2 || seen.lv.len() != 2 {
        return None;
    }
    let rectangles = rectangles(grid);
    let has = |x: Range, y: Range| {
        rectangles
            .iter()
            .any(|(a, b)| near(a.0, x.0) && near(a.1, x.1) && near(b.0, y.0) && near(b.1, y.1))
    };
    let mut best: Vec<Posts> = Vec::new();
    for (left, front) in &rectangles {
        for (right, rear) in &rectangles {
            let alike = near(left.1 - left.0, right.1 - right.0)
                && near(front.1 - front.0, rear.1 - rear.0);
            let apart = right.0 - left.1 >= POST.0 && rear.0 - front.1 >= POST.0;
            if !alike || !apart || !has(*left, *rear) || !has(*right, *front) {
                continue;
            }
            let posts = Posts {
                left: *left,
                right: *right,
                front: *front,
                rear: *rear,
                unclear: false,
                covered: true,
            };
            let size = |posts: &Posts| posts.width() + posts.depth();
            match best.first() {
                Some(first) if size(first) > size(&posts) + GAP => {}
                Some(first) if near(size(first), size(&posts)) => best.push(posts),
                _ => best = vec![posts],
            }
        }
    }
    let first = best.first().copied()?;
    let one = best
        .iter()
        .all(|posts| near(posts.left.1, first.left.1) && near(posts.front.1, first.front.1));
    let same_faces = best
        .iter()
        .all(|posts| near(posts.left.0, first.left.0) && near(posts.front.0, first.front.0));
    same_faces.then_some(Posts {
        unclear: !one,
        ..first
    })
}

/// Rectangles closed on all four sides, as large as posts are: across and deep.
fn rectangles(grid: &Grid) -> Vec<(Range, Range)> {
    let pairs = |tracks: &[Track]| -> Vec<Range> {
        let mut out = Vec::new();
        for (n, a) in tracks.iter().enumerate() {
            let thick = |b: &&Track| (POST.0..=POST.1).contains(&(b.at - a.at));
            let others = tracks.iter().skip(n + 1).filter(thick);
            out.extend(others.map(|b| (a.at, b.at)));
        }
        out
    };
    let levels = pairs(&grid.lv);
    let mut out = Vec::new();
    for x in pairs(&grid.up) {
        for y in &levels {
            let closed = [x.0, x.1]
                .iter()
                .all(|at| grid.drawn(Dir::Upright, *at, y.0, y.1))
                && [y.0, y.1]
                    .iter()
                    .all(|at| grid.drawn(Dir::Level, *at, x.0, x.1));
            if closed {
                out.push((x, *y));
            }
        }
    }
    out
}

/// The underside of a top whose ends are in one line with the outer faces of the posts:
/// the inner faces end there, and it is drawn from end to end as the top's upper face is.
pub(super) fn underside(
    grid: &Grid,
    across: Range,
    inner: [&Track; 2],
    (low, high): Range,
) -> Option<f64> {
    let ends: Vec<f64> = inner
        .iter()
        .filter_map(|track| track.run_at(low + 1.0))
        .map(|run| run.hi)
        .collect();
    let [a, b] = ends.as_slice() else {
        return None;
    };
    let whole = |z: f64| grid.drawn(Dir::Level, z, across.0, across.1);
    let top = high - a;
    (near(*a, *b) && (TOP.0..=TOP.1).contains(&top) && whole(*a) && whole(high)).then_some(*a)
}

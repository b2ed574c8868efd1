//! The walls a run stands between, drawn as upright lines from the floor past the top of
//! everything else, with or without a ceiling line: they would widen the views they meet.

use super::flatten::{Stroke, unite};
use super::frame::{Groups, Reason, Reasons, bounds};
use geo::Rect;

/// Two ends nearer than this meet, as a share of the view.
const MEET: f64 = 1e-3;
/// What stands between walls is no higher than this share of them: where it touches
/// them, and where a gap on either side tells walls from the sides of a case.
const LOWER: f64 = 0.8;
const LOWER_APART: f64 = 0.97;
/// Least room between a wall and what reaches the ceiling, as a share of its height.
const ROOM: f64 = 0.008;
/// A top reaches past the cabinets it lies between by no more than this share of them.
const OUT: f64 = 0.08;
/// A wall drawn as a rectangle is so many times as high as thick.
const SLENDER: f64 = 6.0;

/// Two walls with something between them: where their inner faces stand, and how high
/// they reach, in the sheet's flat units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Faces {
    pub left: f64,
    pub right: f64,
    pub low: f64,
    pub high: f64,
}

impl Faces {
    /// True for what stands, or hangs, between the walls.
    pub fn hold(&self, r: Rect<f64>) -> bool {
        let near = MEET * (self.right - self.left);
        r.min().x >= self.left - near
            && r.max().x <= self.right + near
            && r.min().y >= self.low - near
            && r.max().y <= self.high + near
    }
}

/// Marks walls and ceilings, and ends floor lines where what stands on them ends.
/// Gives the groups of what is left, and the walls with something between them.
pub(super) fn mark(
    strokes: &mut [Stroke],
    groups: Groups,
    reasons: &mut Reasons,
) -> (Groups, Vec<Faces>) {
    let found = groups.in_parallel(|part| one_group(strokes, part));
    let mut marked = false;
    let mut faces = Vec::new();
    for found in found.into_iter().flatten() {
        for (i, kept) in &found.ends {
            let i = *i as usize;
            match kept {
                Some(r) => (strokes[i].a, strokes[i].b) = (r.min(), r.max()),
                None => reasons[i] = Some(Reason::Wall),
            }
        }
        marked = true;
        faces.extend(found.both());
    }
    let apart = beside(strokes, &groups);
    for (which, between) in apart {
        for &i in which.into_iter().flatten() {
            reasons[i as usize] = Some(Reason::Wall);
        }
        marked = true;
        faces.push(between);
    }
    let groups = if marked {
        Groups::of(strokes, reasons)
    } else {
        groups
    };
    (groups, faces)
}

/// Two walls drawn as bare upright lines or rectangles, hatched or not, with something
/// lower between them.
fn beside<'a>(strokes: &[Stroke], groups: &'a Groups) -> Vec<([&'a [u32]; 2], Faces)> {
    let bounds = groups.in_parallel(|part| bounds(strokes, part));
    let groups: Vec<&[u32]> = groups.iter().collect();
    let mut found = Vec::new();
    let bare = |part: &[u32], r: &Rect<f64>| {
        if r.height() < SLENDER * r.width() {
            return false;
        }
        let near = MEET * r.height();
        let (plain, hatching): (Vec<u32>, Vec<u32>) = part
            .iter()
            .partition(|&&i| !slanted(&strokes[i as usize].bounds()));
        let on = |i: &u32| {
            let s = strokes[*i as usize].bounds();
            let (c, edges) = (s.center(), (r.min(), r.max()));
            (upright(&s) && ((c.x - edges.0.x).abs() <= near || (c.x - edges.1.x).abs() <= near))
                || (level(&s)
                    && ((c.y - edges.0.y).abs() <= near || (c.y - edges.1.y).abs() <= near))
        };
        // Hatching goes one way: crossed lines are the swing of a door.
        let rising = hatching
            .iter()
            .filter(|&&i| {
                let s = &strokes[i as usize];
                (s.b.x > s.a.x) == (s.b.y > s.a.y)
            })
            .count();
        plain.len() <= 8 && plain.iter().all(on) && (rising == 0 || rising == hatching.len())
    };
    let walls: Vec<(usize, Rect<f64>)> = bounds
        .iter()
        .enumerate()
        .filter_map(|(n, r)| r.filter(|r| bare(groups[n], r)).map(|r| (n, r)))
        .collect();
    for (n, a) in &walls {
        for (m, b) in walls.iter().filter(|(m, _)| m != n) {
            let near = MEET * a.height();
            let alike =
                (a.min().y - b.min().y).abs() <= near && (a.max().y - b.max().y).abs() <= near;
            if !alike || b.min().x <= a.max().x {
                continue;
            }
            // A run may be drawn in several pieces, with room for an appliance.
            let standing = groups.iter().zip(&bounds).filter_map(|(part, r)| {
                r.filter(|r| {
                    part.len() >= 12
                        && (r.min().y - a.min().y).abs() <= near
                        && r.min().x > a.max().x
                        && r.max().x < b.min().x
                })
            });
            let close = standing.reduce(unite).is_some_and(|r| {
                let gaps = [r.min().x - a.max().x, b.min().x - r.max().x];
                r.height() <= LOWER_APART * a.height()
                    && gaps.iter().all(|gap| *gap <= 0.3 * r.width())
            });
            if close {
                let between = Faces {
                    left: a.max().x,
                    right: b.min().x,
                    low: a.min().y,
                    high: a.max().y,
                };
                found.push(([groups[*n], groups[*m]], between));
            }
        }
    }
    found
}

/// What stands from the floor to the ceiling between two walls: the walls as single lines
/// closed by floor and ceiling, and what they hold with edges of its own all round and
/// room on either side. A case and what is in it may look the same: whoever asks knows
/// that more than one cabinet is drawn there. Gives the lines of the walls apart.
pub(super) fn within(strokes: &[Stroke]) -> Option<(Vec<Stroke>, Vec<Stroke>, Faces)> {
    let whole = strokes.iter().map(Stroke::bounds).reduce(unite)?;
    let (low, high) = (whole.min(), whole.max());
    let tall = high.y - low.y;
    let meet = MEET * whole.width().max(tall);
    let is = |a: f64, b: f64| (a - b).abs() <= meet;
    let outer = |r: &Rect<f64>| {
        let side = upright(r) && (is(r.center().x, low.x) || is(r.center().x, high.x));
        let end = level(r) && (is(r.center().y, low.y) || is(r.center().y, high.y));
        (side && r.height() >= tall - meet) || (end && r.width() >= whole.width() - meet)
    };
    let (walls, rest): (Vec<Stroke>, Vec<Stroke>) =
        strokes.iter().partition(|stroke| outer(&stroke.bounds()));
    let inner = rest.iter().map(Stroke::bounds).reduce(unite)?;
    let (a, b) = (inner.min(), inner.max());
    let room = ROOM * tall;
    let apart = a.x - low.x >= room && high.x - b.x >= room;
    let reaches = is(a.y, low.y) && is(b.y, high.y);
    let drawn = |on: &dyn Fn(&Rect<f64>) -> bool, long: fn(&Rect<f64>) -> f64| -> f64 {
        rest.iter()
            .map(Stroke::bounds)
            .filter(|r| on(r))
            .map(|r| long(&r))
            .sum()
    };
    let ends = [a.y, b.y].iter().all(|y| {
        let on = |r: &Rect<f64>| level(r) && is(r.center().y, *y);
        drawn(&on, |r| r.width()) >= (1.0 - 2.0 * OUT) * inner.width()
    });
    let sides = [a.x, b.x].iter().all(|x| {
        let on = |r: &Rect<f64>| upright(r) && (r.center().x - x).abs() <= OUT * inner.width();
        drawn(&on, |r| r.height()) >= 0.9 * tall
    });
    (walls.len() == 4 && apart && reaches && ends && sides).then_some((
        rest,
        walls,
        Faces {
            left: low.x,
            right: high.x,
            low: low.y,
            high: high.y,
        },
    ))
}

fn slanted(r: &Rect<f64>) -> bool {
    !level(r) && !upright(r)
}

fn level(r: &Rect<f64>) -> bool {
    r.height() <= 1e-3 * r.width()
}

fn upright(r: &Rect<f64>) -> bool {
    r.width() <= 1e-3 * r.height()
}

/// The walls of one group of lines: a wall on one side alone has no other face.
struct Found {
    left: Option<f64>,
    right: Option<f64>,
    low: f64,
    high: f64,
    /// Lines that are walls, and what is left of those that go on past them.
    ends: Vec<(u32, Option<Rect<f64>>)>,
}

impl Found {
    fn both(&self) -> Option<Faces> {
        Some(Faces {
            left: self.left?,
            right: self.right?,
            low: self.low,
            high: self.high,
        })
    }
}

/// The walls of a group, and the lines to mark or to end there.
fn one_group(strokes: &[Stroke], part: &[u32]) -> Option<Found> {
    if part.len() < 12 {
        return None;
    }
    let whole = bounds(strokes, part)?;
    let meet = MEET * whole.width().max(whole.height());
    let (low, top) = (whole.min().y, whole.max().y);
    let is = |a: f64, b: f64| (a - b).abs() <= meet;
    let bounds = |i: u32| strokes[i as usize].bounds();
    let tall =
        |r: &Rect<f64>| upright(r) && is(r.max().y, top) && r.min().y - low <= 0.1 * (top - low);
    let (walls, others): (Vec<u32>, Vec<u32>) = part.iter().partition(|&&i| tall(&bounds(i)));
    let mut places: Vec<f64> = walls.iter().map(|&i| bounds(i).center().x).collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| is(*a, *b));
    // Two walls, each drawn by one or by both of its faces.
    if places.is_empty() || places.len() > 4 {
        return None;
    }
    let at_wall = |r: &Rect<f64>| {
        walls.iter().any(|&i| {
            let x = bounds(i).center().x;
            is(r.min().x, x) || is(r.max().x, x)
        })
    };
    let ceiling = |r: &Rect<f64>| level(r) && is(r.center().y, top) && at_wall(r);
    let floor = |r: &Rect<f64>| level(r) && is(r.center().y, low) && at_wall(r);
    // Between the two faces of one wall.
    let hatching = |r: &Rect<f64>| {
        slanted(r)
            && places.windows(2).any(|pair| {
                let thick = pair[1] - pair[0];
                thick * SLENDER <= top - low
                    && r.min().x >= pair[0] - meet
                    && r.max().x <= pair[1] + meet
            })
    };
    let rest: Vec<u32> = others
        .iter()
        .copied()
        .filter(|&i| !ceiling(&bounds(i)) && !floor(&bounds(i)) && !hatching(&bounds(i)))
        .collect();
    let inner = rest.iter().map(|&i| bounds(i)).reduce(unite)?;
    let outside = |x: f64| x <= inner.min().x + meet || x >= inner.max().x - meet;
    let left = places.iter().copied().rfind(|x| *x <= inner.min().x + meet);
    let right = places.iter().copied().find(|x| *x >= inner.max().x - meet);
    let apart =
        |x: Option<f64>| x.is_none_or(|x| x < inner.min().x - meet || x > inner.max().x + meet);
    // What stands on the floor; the outline of a frame goes round its openings.
    let stands = is(inner.min().y, low);
    let share = if stands && apart(left) && apart(right) {
        LOWER_APART
    } else {
        LOWER
    };
    let lower = inner.max().y - low <= share * (top - low);
    // A case behind its frame, seen from above: its sides begin where the frame ends.
    let behind = walls.iter().all(|&i| is(bounds(i).min().y, inner.max().y));
    let outer = walls.iter().all(|&i| outside(bounds(i).center().x));
    if rest.len() < 8 || !lower || behind || !outer {
        return None;
    }
    // The edge of what stands against the wall is drawn in one line with it.
    let edge = |x: f64| -> Option<(f64, f64)> {
        let touching = rest
            .iter()
            .map(|&i| bounds(i))
            .filter(|r| level(r) && (is(r.min().x, x) || is(r.max().x, x)));
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for r in touching {
            least = least.min(r.center().y);
            most = most.max(r.center().y);
        }
        (most - least > meet).then_some((least, most))
    };
    let mut ends: Vec<(u32, Option<Rect<f64>>)> = Vec::new();
    for &i in &walls {
        let x = bounds(i).center().x;
        let kept = edge(x).map(|(least, most)| Rect::new((x, least), (x, most)));
        ends.push((i, kept));
    }
    for &i in &others {
        let r = bounds(i);
        if ceiling(&r) || hatching(&r) {
            ends.push((i, None));
        } else if floor(&r) {
            let (a, b) = (r.min().x.max(inner.min().x), r.max().x.min(inner.max().x));
            let y = r.center().y;
            ends.push((i, (b - a > meet).then(|| Rect::new((a, y), (b, y)))));
        }
    }
    Some(Found {
        left,
        right,
        low,
        high: top,
        ends,
    })
}

#[cfg(test)]
mod tests {
    use crate::drawing::Sheet;
    use crate::view::sample::Draft;
    use crate::view::{Hints, Reading, ViewKind, find};

    /// Two cases side by side, 30 and 36 wide and 34 high, on the floor at 0.
    fn run() -> Draft {
        Draft::new("run.dxf")
            .units(1)
            .case(0.0, 0.0, 30.0, 34.0, 0.75)
            .case(30.0, 0.0, 36.0, 34.0, 0.75)
            .line(0.75, 4.0, 29.25, 4.0)
            .line(30.75, 4.0, 65.25, 4.0)
            .text("B1", 14.0, 16.0, 1.5)
            .text("B2", 46.0, 16.0, 1.5)
            .text("FRONT", 20.0, -6.0, 1.5)
    }

    fn read(sheet: &Sheet) -> Reading {
        let hints = Hints {
            names: vec!["B1".to_owned(), "B2".to_owned()],
            ..Hints::default()
        };
        find(&mut [sheet.clone()], &hints)
    }

    /// Distance of the walls in inches with the cabinets between them, and whether the
    /// views are as wide as the cases.
    fn found(draft: Draft) -> Vec<(f64, Vec<String>)> {
        let reading = read(&draft.sheet());
        let fronts = reading.views.iter().filter(|v| v.kind == ViewKind::Front);
        for (view, wide) in fronts.zip([30.0, 36.0]) {
            assert!(
                (view.extents.width() / 25.4 - wide).abs() < 1e-6,
                "{:?}",
                view.extents
            );
        }
        let walls = reading.walls.iter().map(|walls| {
            let names = walls
                .views
                .iter()
                .flat_map(|v| reading.views[*v].cabinets.clone());
            ((walls.mm / 25.4 * 1e6).round() / 1e6, names.collect())
        });
        walls.collect()
    }

    fn both() -> Vec<String> {
        vec!["B1".to_owned(), "B2".to_owned()]
    }

    #[test]
    fn lines_that_meet_nothing_are_walls() {
        let draft = run()
            .line(-3.0, 0.0, -3.0, 96.0)
            .line(69.0, 0.0, 69.0, 96.0);
        assert_eq!(found(draft), [(72.0, both())]);
    }

    #[test]
    fn floor_and_ceiling_lines_join_walls_to_the_run() {
        for high in [96.0, 36.0] {
            let draft = run()
                .line(-3.0, 0.0, -3.0, high)
                .line(69.0, 0.0, 69.0, high)
                .line(-3.0, 0.0, 69.0, 0.0)
                .line(-3.0, high, 69.0, high);
            assert_eq!(found(draft), [(72.0, both())], "{high}");
        }
    }

    #[test]
    fn walls_against_the_run_end_its_sides() {
        let draft = run().line(0.0, 0.0, 0.0, 96.0).line(66.0, 0.0, 66.0, 96.0);
        assert_eq!(found(draft), [(66.0, both())]);
    }

    #[test]
    fn hatched_walls_are_measured_between_their_inner_faces() {
        let mut draft = run().rect(-8.0, 0.0, 5.0, 96.0).rect(69.5, 0.0, 5.0, 96.0);
        for step in 0..20 {
            let y = 1.0 + 4.5 * f64::from(step);
            draft = draft
                .line(-8.0, y, -3.0, y + 5.0)
                .line(69.5, y, 74.5, y + 5.0);
        }
        assert_eq!(found(draft), [(72.5, both())]);
    }

    #[test]
    fn what_is_no_pair_of_walls_has_no_distance() {
        // One wall alone.
        let one = run().line(-3.0, 0.0, -3.0, 96.0);
        // Walls of two heights.
        let uneven = run()
            .line(-3.0, 0.0, -3.0, 96.0)
            .line(69.0, 0.0, 69.0, 84.0);
        // A room much wider than the run: nothing says that the run fills it.
        let wide = run()
            .line(-60.0, 0.0, -60.0, 96.0)
            .line(120.0, 0.0, 120.0, 96.0);
        for draft in [one, uneven, wide] {
            assert!(read(&draft.sheet()).walls.is_empty());
        }
    }

    #[test]
    fn the_sides_behind_a_frame_seen_from_above_are_no_walls() {
        let mut plan = Draft::new("plan.dxf")
            .units(4)
            .text("B1 PLAN", 400.0, -40.0, 20.0);
        for (left, right) in [(0.0, 45.0), (45.0, 778.0), (778.0, 823.0)] {
            plan = plan
                .line(left, 0.0, right, 0.0)
                .line(left, 19.0, right, 19.0)
                .line(left, 0.0, left, 19.0)
                .line(right, 0.0, right, 19.0);
        }
        let plan = plan
            .line(0.0, 19.0, 0.0, 330.0)
            .line(823.0, 19.0, 823.0, 330.0)
            .line(0.0, 330.0, 823.0, 330.0);
        let reading = read(&plan.sheet());
        assert!(reading.left_out.is_empty(), "{:?}", reading.left_out);
        assert!((reading.views[0].extents.height() - 330.0).abs() < 1e-6);
    }

    #[test]
    fn cabinets_on_the_floor_and_above_are_rows_of_their_own() {
        let draft = Draft::new("run.dxf")
            .units(1)
            .case(0.0, 0.0, 66.0, 34.0, 0.75)
            .case(0.75, 0.75, 64.5, 16.0, 0.75)
            .text("B1", 30.0, 16.0, 1.5)
            .case(-1.0, 54.0, 68.0, 30.0, 0.75)
            .text("B2", 30.0, 70.0, 1.5)
            .text("FRONT", 20.0, -6.0, 1.5)
            .line(-3.0, 0.0, -3.0, 96.0)
            .line(69.0, 0.0, 69.0, 96.0);
        let reading = read(&draft.sheet());
        let rows: Vec<Vec<String>> = reading
            .walls
            .iter()
            .map(|walls| {
                let names = walls
                    .views
                    .iter()
                    .flat_map(|v| reading.views[*v].cabinets.clone());
                names.collect()
            })
            .collect();
        assert_eq!(rows, [["B1".to_owned()], ["B2".to_owned()]]);
    }
}

//! Furniture on posts, made from a hat: drawn in three views, measured, and every
//! part that is given held against what was drawn.

use super::model::{self, Part, Range, project};
use super::random::Hat;
use super::truth::{Hidden, drawn};
use crate::cabinet::{DrawnPart, MeasuredCabinet, measure};
use crate::linework::RawSegment;
use crate::trade::{Axis, Role};
use crate::view::{View, ViewKind};
use geo::Coord;

/// How the back is made.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Back {
    None,
    Panel,
    Boards(usize),
}

/// How the door's corners are made.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Door {
    None,
    Slab,
    Mitred,
    Halved,
}

#[derive(Clone, Debug)]
struct Stand {
    size: [f64; 3],
    /// Posts across and deep.
    post: [f64; 2],
    /// Thickness and height of the rails, how far they stand in from the posts'
    /// faces, how long their tenons are; no tenons are cut where that is 0.
    rail: [f64; 2],
    inset: f64,
    tenon: f64,
    /// Where the rails begin above the floor.
    levels: Vec<f64>,
    panels: bool,
    back: Back,
    /// Heights of boards, and their thickness.
    boards: Vec<f64>,
    board: f64,
    cleats: bool,
    door: Door,
    pair: bool,
}

fn span(from: f64, size: f64) -> Range {
    [from, from + size]
}

impl Stand {
    fn from(hat: &mut Hat) -> Stand {
        let unit = hat.one(&[25.4 / 8.0, 5.0]);
        let mut step = |lo: f64, hi: f64| hat.step((lo / unit).ceil() * unit, hi, unit);
        let post = step(32.0, 64.0);
        let thick = step(15.0, 26.0);
        let size = [step(380.0, 1100.0), step(280.0, 560.0), step(620.0, 1500.0)];
        let high = step(50.0, 90.0);
        let low = step(60.0, 160.0);
        let top = size[2] - high - step(0.0, 30.0);
        let board = step(12.0, 20.0);
        let tenon = step(10.0, 14.0);
        let inset = step(3.0, 8.0);
        let gap = top - (low + high);
        Stand {
            size,
            post: [post, if hat.chance(70) { post } else { post + 10.0 }],
            rail: [thick, high],
            inset,
            tenon,
            levels: vec![low, top],
            panels: hat.chance(50),
            back: hat.one(&[Back::None, Back::Panel, Back::Boards(3), Back::Boards(5)]),
            boards: if hat.chance(60) {
                vec![low + high + 0.4 * gap]
            } else {
                Vec::new()
            },
            board,
            cleats: hat.chance(50),
            door: hat.one(&[Door::None, Door::Slab, Door::Mitred, Door::Halved]),
            pair: hat.chance(50),
        }
    }

    fn build(&self) -> (Vec<Part>, Vec<[Coord<f64>; 2]>) {
        let [w, d, h] = self.size;
        let [px, py] = self.post;
        let [thick, high] = self.rail;
        let mut posts: Vec<Part> = Vec::new();
        for x in [span(0.0, px), span(w - px, px)] {
            for y in [span(0.0, py), span(d - py, py)] {
                posts.push(Part::new(Role::Post, x, y, [0.0, h]));
            }
        }
        let mut parts: Vec<Part> = Vec::new();
        let mut slants = Vec::new();
        let rail_y = [span(self.inset, thick), span(d - self.inset - thick, thick)];
        let rail_x = [span(self.inset, thick), span(w - self.inset - thick, thick)];
        // Tenons of rails and braces would meet in a slender post.
        let long = self.tenon.min(px - self.inset - thick - 1.0).max(0.0);
        let deep = self.tenon.min(py - self.inset - thick - 1.0).max(0.0);
        for &z in &self.levels {
            let z = span(z, high);
            for y in rail_y {
                parts.push(Part::new(Role::SideRail, [px - long, w - px + long], y, z));
            }
            for x in rail_x {
                parts.push(Part::new(Role::EndRail, x, [py - deep, d - py + deep], z));
            }
        }
        let (low, top) = (self.levels[0] + high, self.levels[1]);
        let groove = 6.0;
        let field = [low - groove, top + groove];
        if self.panels {
            for x in [
                span(self.inset + 5.0, 6.0),
                span(w - self.inset - 11.0, 6.0),
            ] {
                parts.push(Part::new(
                    Role::EndPanel,
                    x,
                    [py - groove, d - py + groove],
                    field,
                ));
            }
        }
        let back_y = span(d - self.inset - thick + 4.0, 7.0);
        match self.back {
            Back::None => {}
            Back::Panel => {
                parts.push(Part::new(
                    Role::Back,
                    [px - groove, w - px + groove],
                    back_y,
                    field,
                ));
            }
            Back::Boards(n) => {
                let wide = (w - 2.0 * px + 2.0 * groove) / n as f64;
                for board in 0..n {
                    let x = span(px - groove + wide * board as f64, wide);
                    parts.push(Part::new(Role::Back, x, back_y, field));
                }
            }
        }
        for &z in &self.boards {
            let y = [self.inset + thick + 3.0, d - self.inset - thick - 3.0];
            let x = [px + 1.0, w - px - 1.0];
            parts.push(Part::new(Role::AdjustableShelf, x, y, span(z, self.board)));
            if self.cleats {
                let under = [z - 19.0, z];
                let y = [y[0] + 20.0, y[1] - 20.0];
                for x in [span(x[0] + 4.0, 19.0), span(x[1] - 23.0, 19.0)] {
                    parts.push(Part::new(Role::Cleat, x, y, under));
                }
            }
        }
        let edges = if self.pair {
            vec![[px, w / 2.0], [w / 2.0, w - px]]
        } else {
            vec![[px, w - px]]
        };
        for leaf in edges {
            self.leaf(leaf, rail_y[0], [low, top], &mut parts, &mut slants);
        }
        let wood = parts.clone();
        for post in &mut posts {
            for part in wood.iter().flat_map(|part| &part.boxes) {
                post.cut(part.x, part.y, part.z);
            }
        }
        // Rails give way to panels, backs and boards.
        let thin: Vec<Part> = wood
            .iter()
            .filter(|part| matches!(part.role, Role::EndPanel | Role::Back))
            .cloned()
            .collect();
        for rail in &mut parts {
            if matches!(rail.role, Role::SideRail | Role::EndRail) {
                for hole in thin.iter().flat_map(|part| &part.boxes) {
                    rail.cut(hole.x, hole.y, hole.z);
                }
            }
        }
        posts.extend(parts);
        (posts, slants)
    }

    fn leaf(
        &self,
        x: Range,
        y: Range,
        z: Range,
        parts: &mut Vec<Part>,
        slants: &mut Vec<[Coord<f64>; 2]>,
    ) {
        let wide = 45.0;
        let inner = ([x[0] + wide, x[1] - wide], [z[0] + wide, z[1] - wide]);
        let middle = (y[0] + y[1]) / 2.0;
        match self.door {
            Door::None => {}
            Door::Slab => parts.push(Part::new(Role::Door, x, y, z)),
            Door::Halved => {
                for x in [[x[0], inner.0[0]], [inner.0[1], x[1]]] {
                    let mut stile = Part::new(Role::DoorStile, x, y, z);
                    stile.cut(x, [y[0], middle], [z[0], inner.1[0]]);
                    stile.cut(x, [y[0], middle], [inner.1[1], z[1]]);
                    parts.push(stile);
                }
                for z in [[z[0], inner.1[0]], [inner.1[1], z[1]]] {
                    let mut rail = Part::new(Role::DoorRail, x, y, z);
                    rail.cut([x[0], inner.0[0]], [middle, y[1]], z);
                    rail.cut([inner.0[1], x[1]], [middle, y[1]], z);
                    parts.push(rail);
                }
            }
            Door::Mitred => {
                // Drawn as one ring with mitres at its corners; the members are told
                // by them. The ring stands for the four members in the projection.
                let mut ring = Part::new(Role::Door, x, y, z);
                ring.cut(inner.0, y, inner.1);
                parts.push(ring);
                for (a, b) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                    slants.push([
                        Coord { x: x[a], y: z[b] },
                        Coord {
                            x: inner.0[a],
                            y: inner.1[b],
                        },
                    ]);
                }
            }
        }
    }

    /// The parts as a person would list them: sizes across, deep, high.
    fn listed(&self, parts: &[Part]) -> Vec<(Role, [f64; 3])> {
        let mut out = Vec::new();
        for part in parts {
            let size = [0, 1, 2].map(|axis| {
                let r = part.range(axis);
                r[1] - r[0]
            });
            if part.role == Role::Door && self.door == Door::Mitred {
                for _ in 0..2 {
                    out.push((Role::DoorStile, [45.0, size[1], size[2]]));
                    out.push((Role::DoorRail, [size[0], size[1], 45.0]));
                }
            } else {
                out.push((part.role, size));
            }
        }
        out
    }
}

fn views(stand: &Stand, hidden: Hidden) -> (Vec<View>, Vec<Part>) {
    let (parts, slants) = stand.build();
    let all = [
        (&model::FRONT, "front"),
        (&model::RIGHT_END, "right end"),
        (&model::PLAN, "plan"),
    ]
    .into_iter()
    .map(|(look, title)| {
        let mut edges = project(&parts, look);
        if look.kind == ViewKind::Front {
            edges.extend(slants.iter().map(|[a, b]| RawSegment {
                a: *a,
                b: *b,
                hidden: false,
                source: 0,
            }));
        }
        drawn(edges, look.kind, hidden, title)
    })
    .collect();
    (all, parts)
}

fn measured(stand: &Stand, hidden: Hidden) -> (MeasuredCabinet, Vec<Part>) {
    let (views, parts) = views(stand, hidden);
    let found = measure(&views);
    assert_eq!(found.len(), 1);
    (found.into_iter().next().unwrap(), parts)
}

/// What is given wrong, and what was drawn and is not given.
fn compare(stand: &Stand, hidden: Hidden) -> (Vec<String>, Vec<(Role, [f64; 3])>) {
    let (found, parts) = measured(stand, hidden);
    let mut left = stand.listed(&parts);
    let mut wrong = Vec::new();
    let mut given: Vec<&DrawnPart> = found.parts.iter().collect();
    // Whole parts first, so that a part of which less is known takes what is left.
    let known = |part: &DrawnPart| {
        Axis::ALL
            .iter()
            .filter(|a| part.span(**a).is_some())
            .count()
    };
    given.sort_by_key(|part| std::cmp::Reverse(known(part)));
    for part in given {
        let fits = |(role, size): &(Role, [f64; 3])| {
            let same = Axis::ALL.iter().enumerate().all(|(n, axis)| {
                part.span(*axis).is_none_or(|span| {
                    (span.mm() - size[n]).abs() <= 0.05
                        || (span.is_lower_bound() && span.mm() < size[n])
                })
            });
            *role == part.role && same
        };
        match left.iter().position(fits) {
            Some(index) => {
                left.remove(index);
            }
            None => wrong.push(format!(
                "{}: {:?}",
                part.name,
                Axis::ALL.map(|axis| part.span(axis).map(|s| (s.lo.at, s.hi.at)))
            )),
        }
    }
    (wrong, left)
}

#[test]
fn parts_between_posts_are_right_or_not_given() {
    let mut hat = Hat::new(1909);
    let (mut given, mut all) = (0, 0);
    for round in 0..24 {
        let stand = Stand::from(&mut hat);
        let (wrong, left) = compare(&stand, Hidden::Marked);
        assert!(wrong.is_empty(), "{round}: {wrong:#?}\n{stand:#?}");
        let total = stand.listed(&stand.build().0).len();
        println!("{round}: {} of {total} {:?}", total - left.len(), left);
        given += total - left.len();
        all += total;
    }
    println!("{given} of {all} parts given");
    assert!(given * 100 >= all * 90, "{given} of {all} parts are given");
}

#[test]
fn without_hidden_edges_nothing_between_posts_is_given_wrong() {
    for hidden in [Hidden::Unmarked, Hidden::Dropped] {
        let mut hat = Hat::new(1912);
        for round in 0..12 {
            let stand = Stand::from(&mut hat);
            let (wrong, _) = compare(&stand, hidden);
            assert!(
                wrong.is_empty(),
                "{hidden:?} {round}: {wrong:#?}\n{stand:#?}"
            );
        }
    }
}

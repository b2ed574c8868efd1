//! Plain cases of boards, made from a hat: closed fronts, applied backs, rabbeted
//! corners, rails under the bottom and boards on top, as front, end and plan show them.

use super::model::{self, Part, Range, project};
use super::random::Hat;
use super::truth::{Hidden, drawn};
use crate::cabinet::measure;
use crate::trade::{Axis, Role};

/// A case without doors, and what hangs on it.
#[derive(Clone, Debug)]
struct Case {
    size: [f64; 3],
    board: f64,
    /// How far bottom and top are let into the sides.
    joint: f64,
    /// A board over the whole front.
    front: bool,
    /// Thickness of a back on the rear edges.
    back: Option<f64>,
    /// Height of a rail under the bottom, and how far it stands back.
    below: Option<[f64; 2]>,
    /// A countertop with a board on edge on it, at the rear.
    upstand: bool,
}

impl Case {
    fn from(hat: &mut Hat) -> Case {
        let board = hat.one(&[12.7, 15.875, 18.0, 19.05]);
        let below = hat.chance(40);
        Case {
            size: [
                hat.step(400.0, 1000.0, 12.5),
                hat.step(160.0, 600.0, 12.5),
                hat.step(400.0, 1400.0, 12.5),
            ],
            board,
            joint: hat.one(&[0.0, 0.0, board / 2.0, 6.0]),
            front: !below && hat.chance(30),
            back: hat.one(&[None, Some(3.0), Some(6.35), Some(12.0), Some(18.0)]),
            below: below.then(|| [hat.step(40.0, 110.0, 5.0), hat.one(&[0.0, 50.0])]),
            upstand: hat.chance(30),
        }
        .sound()
    }

    fn sound(self) -> Case {
        Case {
            // A closed front does not stand under a countertop that hangs over it.
            upstand: self.upstand && !self.front,
            ..self
        }
    }

    fn build(&self) -> Vec<Part> {
        let [w, d, h] = self.size;
        let t = self.board;
        let foot = self.below.map_or(0.0, |below| below[0]);
        let boards: Vec<Range> = vec![[foot, foot + t], [h - t, h]];
        let mut parts = Vec::new();
        for x in [[0.0, t], [w - t, w]] {
            let mut side = Part::new(Role::Side, x, [0.0, d], [0.0, h]);
            for z in &boards {
                side.cut([t - self.joint, w - t + self.joint], [0.0, d], *z);
            }
            parts.push(side);
        }
        let x = [t - self.joint, w - t + self.joint];
        parts.push(Part::new(Role::Bottom, x, [0.0, d], boards[0]));
        parts.push(Part::new(Role::Top, x, [0.0, d], boards[1]));
        if self.front {
            parts.push(Part::new(Role::FrontPanel, [0.0, w], [-t, 0.0], [0.0, h]));
        }
        if let Some(thick) = self.back {
            parts.push(Part::new(Role::Back, [0.0, w], [d, d + thick], [0.0, h]));
        }
        if let Some([high, set]) = self.below {
            let role = if set > 0.0 { Role::ToeKick } else { Role::Rail };
            parts.push(Part::new(role, [t, w - t], [set, set + t], [0.0, high]));
        }
        if self.upstand {
            let rear = d + self.back.unwrap_or(0.0);
            let (x, y) = ([-12.0, w + 12.0], [-15.0, rear]);
            parts.push(Part::new(Role::Countertop, x, y, [h, h + t]));
            let high = [h + t, h + t + 90.0];
            parts.push(Part::new(Role::Upstand, [0.0, w], [rear - t, rear], high));
        }
        parts
    }
}

/// What is given wrong, how much is given, how much there is.
fn compare(case: &Case, hidden: Hidden) -> (Vec<String>, usize, usize) {
    let parts = case.build();
    let views: Vec<_> = [
        (&model::FRONT, "front"),
        (&model::RIGHT_END, "right end"),
        (&model::PLAN, "plan"),
    ]
    .into_iter()
    .map(|(look, title)| drawn(project(&parts, look), look.kind, hidden, title))
    .collect();
    let found = measure(&views).into_iter().next().unwrap();
    let size = |part: &Part| {
        [0, 1, 2].map(|axis| {
            let r = part.range(axis);
            r[1] - r[0]
        })
    };
    let mut wrong = Vec::new();
    let mut given = 0;
    for part in &found.parts {
        let like = |role: Role| role == part.role;
        let fits = parts.iter().filter(|own| like(own.role)).any(|own| {
            let size = size(own);
            Axis::ALL.iter().enumerate().all(|(n, axis)| {
                part.span(*axis).is_none_or(|span| {
                    (span.mm() - size[n]).abs() <= 0.05
                        || (span.is_lower_bound() && span.mm() < size[n])
                })
            })
        });
        if fits {
            given += Axis::ALL
                .iter()
                .filter(|axis| part.span(**axis).is_some())
                .count();
        } else {
            wrong.push(format!(
                "{}: {:?}",
                part.name,
                Axis::ALL.map(|axis| part.span(axis).map(|s| (s.lo.at, s.hi.at)))
            ));
        }
    }
    (wrong, given, 3 * parts.len())
}

#[test]
fn boards_of_plain_cases_are_right_or_not_given() {
    let mut hat = Hat::new(1911);
    let (mut given, mut all) = (0, 0);
    for round in 0..120 {
        let case = Case::from(&mut hat);
        let (wrong, own, total) = compare(&case, Hidden::Marked);
        assert!(wrong.is_empty(), "{round}: {wrong:#?}\n{case:#?}");
        println!("{round}: {own} of {total}");
        given += own;
        all += total;
    }
    println!("{given} of {all} sizes given");
    assert!(given * 100 >= all * 95, "{given} of {all} sizes are given");
}

#[test]
fn without_marked_hidden_edges_no_board_is_given_wrong() {
    for hidden in [Hidden::Unmarked, Hidden::Dropped] {
        let mut hat = Hat::new(1913);
        for round in 0..60 {
            let mut case = Case::from(&mut hat);
            // Without hidden edges told apart a back behind a board on the top, and a toe
            // kick under a closed top, are still taken for other parts.
            case.upstand = false;
            if hidden == Hidden::Unmarked {
                case.below = None;
            }
            let (wrong, ..) = compare(&case, hidden);
            assert!(
                wrong.is_empty(),
                "{hidden:?} {round}: {wrong:#?}\n{case:#?}"
            );
        }
    }
}

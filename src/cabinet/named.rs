//! Further named sizes, under the names relations use.

use super::placed::{Placed, Turned};
use super::reading::Range;
use super::{DrawnPart, Measure, NamedSize, Span};
use crate::linework::SNAP_MM;
use crate::trade::{Axis, Role};

struct Names<'a> {
    out: Vec<NamedSize>,
    views: &'a [Placed],
}

impl Names<'_> {
    fn push(&mut self, name: &str, span: Span, note: Option<&str>) {
        // The same size from a second view adds nothing when it agrees.
        let again = self
            .out
            .iter()
            .any(|size| size.name == name && (size.measure.span.mm() - span.mm()).abs() <= SNAP_MM);
        if span.mm() > 0.0 && !again {
            self.out.push(NamedSize {
                name: name.to_owned(),
                measure: Measure {
                    span,
                    note: note.map(str::to_owned),
                },
            });
        }
    }

    fn between(&mut self, name: &str, placed: &Placed, axis: Axis, range: Range, ends: [&str; 2]) {
        let ends = ends.map(str::to_owned);
        let span = placed.span(axis, range, ends, [false; 2]);
        self.push(name, span, None);
    }
}

/// All named sizes of a cabinet, sorted by name.
pub(super) fn find(views: &[Placed], parts: &[DrawnPart]) -> Vec<NamedSize> {
    let mut names = Names {
        out: Vec::new(),
        views,
    };
    case(&mut names);
    frame(&mut names);
    stock(&mut names, parts);
    joints(&mut names, parts);
    names.out.sort_by(|a, b| a.name.cmp(&b.name));
    names.out
}

fn case(names: &mut Names) {
    for placed in names.views {
        if let Some(Ok((l, r))) = placed.front().map(|front| &front.sides) {
            let ends = [
                "outer face of the left side",
                "outer face of the right side",
            ];
            names.between("case.width", placed, Axis::Across, (l.0, r.1), ends);
            let ends = [
                "inner face of the left side",
                "inner face of the right side",
            ];
            names.between("interior.width", placed, Axis::Across, (l.1, r.0), ends);
        }
        if let (Some(side), Turned::Sure) = (placed.side(), placed.turned) {
            let case = (side.faces.case_front, side.faces.rear);
            if side.faces.front().is_some() {
                names.between(
                    "case.depth",
                    placed,
                    Axis::Deep,
                    case,
                    ["front edge of the case", "rear of the case"],
                );
            }
            let based = side.toe.and_then(|toe| toe.base);
            if side.toe.is_none() || based == Some(false) {
                let high = (side.floor, side.top);
                names.between(
                    "case.height",
                    placed,
                    Axis::High,
                    high,
                    ["lower end of the sides", "top of the case"],
                );
            } else if based == Some(true) {
                let high = (side.low, side.top);
                names.between(
                    "case.height",
                    placed,
                    Axis::High,
                    high,
                    ["underside of the case", "top of the case"],
                );
                let high = (side.floor, side.low);
                names.between(
                    "base.height",
                    placed,
                    Axis::High,
                    high,
                    ["floor", "underside of the case"],
                );
            }
            if let Some(toe) = side.toe {
                let high = (side.floor, toe.top);
                names.between(
                    "toe.height",
                    placed,
                    Axis::High,
                    high,
                    ["floor", "upper edge of the toe space"],
                );
                if let (Some(front), Some(foot)) = (side.faces.front(), toe.foot) {
                    let ends = ["front of the cabinet", "front edge of the sides below"];
                    names.between("toe.depth", placed, Axis::Deep, (front, foot), ends);
                    let ends = ["front edge of the case", "front edge of the sides below"];
                    names.between(
                        "toe.setback",
                        placed,
                        Axis::Deep,
                        (side.faces.case_front, foot),
                        ends,
                    );
                }
            }
            if let Some(back) = side.back {
                names.between(
                    "back.thickness",
                    placed,
                    Axis::Deep,
                    (back.t0, back.t1),
                    ["front face of the back", "rear face of the back"],
                );
                let ends = ["rear face of the back", "rear of the case"];
                names.between(
                    "back.inset",
                    placed,
                    Axis::Deep,
                    (back.t1, side.faces.rear),
                    ends,
                );
            }
        }
        if let (Some(plan), Turned::Sure) = (placed.plan(), placed.turned) {
            let ends = [
                "outer face of the left side",
                "outer face of the right side",
            ];
            names.between("case.width", placed, Axis::Across, plan.case, ends);
            if plan.faces.front().is_some() {
                let case = (plan.faces.case_front, plan.faces.rear);
                names.between(
                    "case.depth",
                    placed,
                    Axis::Deep,
                    case,
                    ["front edge of the case", "rear of the case"],
                );
            }
        }
    }
}

fn frame(names: &mut Names) {
    for placed in names.views {
        let faces = match (placed.side(), placed.plan()) {
            (Some(side), _) => Some(&side.faces),
            (_, Some(plan)) => Some(&plan.faces),
            _ => None,
        };
        if let Some(faces) = faces {
            use super::faces::Face;
            if let (Face::Frame | Face::FrameAndFronts, Some(front), Turned::Sure) =
                (faces.face, faces.frame_front, placed.turned)
            {
                let range = (front, faces.case_front);
                names.between(
                    "frame.thickness",
                    placed,
                    Axis::Deep,
                    range,
                    ["front of the face frame", "rear of the face frame"],
                );
            }
        }
        let Some(front) = placed.front() else {
            continue;
        };
        let Some(lattice) = &front.lattice else {
            continue;
        };
        let ends = [
            "left edge of the face frame",
            "right edge of the face frame",
        ];
        names.between(
            "frame.width",
            placed,
            Axis::Across,
            (front.left, front.right),
            ends,
        );
        let ends = [
            "lower edge of the face frame",
            "upper edge of the face frame",
        ];
        names.between(
            "frame.height",
            placed,
            Axis::High,
            (front.low, front.top),
            ends,
        );
        if let Ok((l, r)) = front.sides {
            let ends = ["left edge of the face frame", "outer face of the left side"];
            names.between(
                "frame.overhang",
                placed,
                Axis::Across,
                (lattice.left.0, l.0),
                ends,
            );
            let ends = [
                "outer face of the right side",
                "right edge of the face frame",
            ];
            names.between(
                "frame.overhang",
                placed,
                Axis::Across,
                (r.1, lattice.right.1),
                ends,
            );
        }
        for stile in [lattice.left, lattice.right] {
            names.between(
                "stile.width",
                placed,
                Axis::Across,
                stile,
                ["one edge of a stile", "other edge of the stile"],
            );
        }
        for rail in &lattice.rails {
            names.between(
                "rail.width",
                placed,
                Axis::High,
                *rail,
                ["lower edge of a rail", "upper edge of the rail"],
            );
        }
        for (h, _) in &lattice.mids {
            names.between(
                "mid-stile.width",
                placed,
                Axis::Across,
                *h,
                ["left edge of a mid-stile", "right edge of the mid-stile"],
            );
        }
    }
}

/// Thicknesses of the boards that are drawn edge-on.
fn stock(names: &mut Names, parts: &[DrawnPart]) {
    for part in parts.iter().filter(|part| !part.flat) {
        let (name, axis) = match part.role {
            Role::Side => ("side.thickness", Axis::Across),
            Role::Divider => ("divider.thickness", Axis::Across),
            Role::Bottom => ("bottom.thickness", Axis::High),
            Role::Top => ("top.thickness", Axis::High),
            Role::FixedShelf | Role::AdjustableShelf => ("shelf.thickness", Axis::High),
            Role::Countertop => ("countertop.built-up", Axis::High),
            _ => continue,
        };
        if let Some(span) = part.span(axis).filter(|span| !span.is_lower_bound()) {
            names.push(name, span.clone(), None);
        }
    }
}

/// How far boards reach into the sides.
fn joints(names: &mut Names, parts: &[DrawnPart]) {
    let side = parts
        .iter()
        .find(|part| part.role == Role::Side && part.name.starts_with("left"))
        .and_then(|part| part.across.as_ref());
    let Some(side) = side else { return };
    for part in parts {
        let name = match part.role {
            Role::Bottom | Role::Top | Role::FixedShelf => "groove.depth",
            Role::Back => "rabbet.width",
            _ => continue,
        };
        let Some(across) = part
            .across
            .as_ref()
            .filter(|span| !span.lo.occluded && span.view == side.view)
        else {
            continue;
        };
        let deep = side.hi.at - across.lo.at;
        if deep > SNAP_MM && across.lo.at > side.lo.at + SNAP_MM {
            let span = Span {
                axis: Axis::Across,
                lo: across.lo.clone(),
                hi: side.hi.clone(),
                view: side.view,
            };
            names.push(name, span, None);
        }
    }
}

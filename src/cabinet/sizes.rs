//! Overall and interior sizes, each from the view that shows it best, held
//! against every other view that shows it.

use super::faces::Face;
use super::grid::Dir;
use super::placed::{Placed, Turned};
use super::reading::Range;
use super::{Conflict, Measure, Measured, Sizes, Span, Style};
use crate::length::Length;
use crate::linework::SNAP_MM;
use crate::trade::{Axis, Role};

/// A size as one view shows it.
pub(super) struct Candidate {
    pub word: &'static str,
    pub measure: Measure,
}

fn names(lo: &str, hi: &str) -> [String; 2] {
    [lo.to_owned(), hi.to_owned()]
}

fn candidate(
    placed: &Placed,
    axis: Axis,
    range: Range,
    ends: [String; 2],
    note: Option<String>,
) -> Option<Candidate> {
    placed.bounded(axis, range).then(|| Candidate {
        word: placed.word,
        measure: Measure {
            span: placed.span(axis, range, ends, [false; 2]),
            note,
        },
    })
}

/// Takes the size most views show, and reports those that disagree with it. Views
/// that contradict each other evenly settle nothing.
pub(super) fn settle(
    id: &str,
    what: &str,
    candidates: Vec<Candidate>,
    missing: String,
    conflicts: &mut Vec<Conflict>,
) -> Measured {
    let agree =
        |a: &Candidate, b: &Candidate| (a.measure.span.mm() - b.measure.span.mm()).abs() <= SNAP_MM;
    let backing: Vec<usize> = candidates
        .iter()
        .map(|own| candidates.iter().filter(|other| agree(own, other)).count())
        .collect();
    let most = backing.iter().copied().max().unwrap_or_default();
    let Some(index) = backing.iter().position(|&count| count == most) else {
        return Measured::Unknown { reason: missing };
    };
    let first = &candidates[index];
    let mut rival = None;
    for (other, count) in candidates.iter().zip(&backing) {
        if !agree(first, other) {
            conflicts.push(disagreement(id, what, first, other));
            rival = rival.or((*count == most).then_some(other));
        }
    }
    match rival {
        None => Measured::Known(first.measure.clone()),
        Some(other) => Measured::Unknown {
            reason: format!(
                "it is {} in its {} and {} in its {}; correct the drawing, or say in the job file which view to leave out",
                shown(&first.measure.span),
                first.word,
                shown(&other.measure.span),
                other.word
            ),
        },
    }
}

fn disagreement(id: &str, what: &str, a: &Candidate, b: &Candidate) -> Conflict {
    let (p, q) = (&a.measure.span, &b.measure.span);
    Conflict {
        sentence: format!(
            "the {what} of {id} is {} in its {} and {} in its {}",
            shown(p),
            a.word,
            shown(q),
            b.word
        ),
        axis: Some(p.axis),
        view: p.view,
        distances_mm: [p.mm(), q.mm()],
        lines: vec![p.lo.line, p.hi.line],
    }
}

/// A distance for a sentence, in both units: the cabinet room knows no job.
pub(super) fn shown(span: &Span) -> String {
    show_mm(span.mm())
}

pub(super) fn show_mm(mm: f64) -> String {
    let length = Length::from_mm(mm).unwrap_or_default();
    format!("{:.1} mm ({:.3} in)", length.mm(), length.inches())
}

/// Overall width, height and depth.
pub(super) fn overall(
    id: &str,
    views: &[Placed],
    framed: Style,
    conflicts: &mut Vec<Conflict>,
) -> Sizes {
    let face = |word: &str| match framed {
        Style::FaceFrame => format!("{word} of the face frame"),
        _ => format!("{word} of the case"),
    };
    let (mut width, mut height, mut depth) = (Vec::new(), Vec::new(), Vec::new());
    let mut wrong_way = false;
    for placed in views {
        if let Some(front) = placed.front() {
            let ends = [face("left edge"), face("right edge")];
            width.extend(candidate(
                placed,
                Axis::Across,
                (front.left, front.right),
                ends,
                None,
            ));
            let note = toe_note(front.low - front.floor);
            let ends = names("underside of the cabinet", "top of the case");
            height.extend(candidate(
                placed,
                Axis::High,
                (front.floor, front.top),
                ends,
                note,
            ));
        }
        if let Some(side) = placed.side() {
            let note = toe_note(side.low - side.floor);
            let ends = names("underside of the cabinet", "top of the case");
            height.extend(candidate(
                placed,
                Axis::High,
                (side.floor, side.top),
                ends,
                note,
            ));
        }
        if let Some(posts) = placed.posts() {
            for (axis, range) in [(placed.axes.0, posts.h), (placed.axes.1, posts.v)] {
                let (list, ends) = match axis {
                    Axis::Across => (
                        &mut width,
                        names("left face of the posts", "right face of the posts"),
                    ),
                    Axis::Deep => (&mut depth, names("front of the posts", "rear of the posts")),
                    Axis::High => (
                        &mut height,
                        names("lower end of the posts", "upper end of the posts"),
                    ),
                };
                list.extend(candidate(placed, axis, range, ends, None));
            }
        }
        if let Some(plan) = placed.plan() {
            let ends = [face("left edge"), face("right edge")];
            width.extend(candidate(placed, Axis::Across, plan.outline, ends, None));
        }
        if let Some(faces) = placed.faces() {
            match (faces.front(), placed.turned) {
                (Some(front), Turned::Sure) => {
                    let ends = [face("front"), "rear of the case".to_owned()];
                    depth.extend(candidate(
                        placed,
                        Axis::Deep,
                        (front, faces.rear),
                        ends,
                        None,
                    ));
                }
                (Some(front), Turned::Unsure)
                    if faces.face == Face::Bare && !may_end_in_fronts(placed) =>
                {
                    let ends = names("one edge of the case", "other edge of the case");
                    depth.extend(candidate(
                        placed,
                        Axis::Deep,
                        (front, faces.rear),
                        ends,
                        None,
                    ));
                }
                _ => wrong_way = true,
            }
        }
    }
    let no_depth = if wrong_way {
        "the strip at the front of the end may be a face frame or a door without reveal; a front or a plan would tell"
    } else {
        "no end, section or plan of it could be measured"
    };
    Sizes {
        width: settle(
            id,
            "width",
            width,
            "no front or plan of it could be measured".to_owned(),
            conflicts,
        ),
        height: settle(
            id,
            "height",
            height,
            "no front, end or section of it could be measured".to_owned(),
            conflicts,
        ),
        depth: settle(id, "depth", depth, no_depth.to_owned(), conflicts),
    }
}

/// Width and height of a front.
fn of_front(placed: &Placed) -> Option<[f64; 2]> {
    let front = placed.front()?;
    Some([front.right - front.left, front.top - front.floor])
}

/// True when two fronts of one cabinet are not of one size.
pub(super) fn fronts_differ(views: &[Placed]) -> bool {
    let sizes: Vec<[f64; 2]> = views.iter().filter_map(of_front).collect();
    let alike = |a: &[f64; 2], b: &[f64; 2]| a.iter().zip(b).all(|(a, b)| (a - b).abs() <= SNAP_MM);
    sizes.windows(2).any(|pair| !alike(&pair[0], &pair[1]))
}

/// False for a front that is not as wide and as high as most views of its cabinet; where
/// there is no telling, for every front.
pub(super) fn agrees(placed: &Placed, overall: &Sizes) -> bool {
    let same = |size: &Measured, own: f64| {
        size.known()
            .is_some_and(|known| (known.span.mm() - own).abs() <= SNAP_MM)
    };
    of_front(placed)
        .is_none_or(|[wide, high]| same(&overall.width, wide) && same(&overall.height, high))
}

/// Thinnest front.
const FRONT: f64 = 14.0;

/// True where what was taken for the back is as thick as a front and shorter than the case:
/// seen the wrong way round it is a door before it.
fn may_end_in_fronts(placed: &Placed) -> bool {
    placed.side().is_some_and(|side| {
        side.back.is_some_and(|back| {
            let whole = back.a <= side.low + SNAP_MM && back.b >= side.top - SNAP_MM;
            back.t1 - back.t0 >= FRONT && !whole
        })
    })
}

fn toe_note(high: f64) -> Option<String> {
    (high > 20.0).then(|| format!("includes the toe kick, {} high", show_mm(high)))
}

/// Interior width, height and depth.
pub(super) fn interior(id: &str, views: &[Placed], conflicts: &mut Vec<Conflict>) -> Sizes {
    let (mut width, mut height, mut depth) = (Vec::new(), Vec::new(), Vec::new());
    let (mut no_width, mut no_depth) = (None, None);
    let on_posts = views.iter().any(|placed| placed.posts().is_some());
    let missing = |otherwise: &str| {
        let posts = "it stands on posts and has no sides to measure between";
        if on_posts { posts } else { otherwise }.to_owned()
    };
    for placed in views {
        let inner = names(
            "inner face of the left side",
            "inner face of the right side",
        );
        if let Some(front) = placed.front() {
            match &front.sides {
                Ok((l, r)) => width.extend(candidate(
                    placed,
                    Axis::Across,
                    (l.1, r.0),
                    inner.clone(),
                    None,
                )),
                Err(reason) => no_width = Some(reason.clone()),
            }
        }
        if let Some((l, r)) = placed.plan().and_then(|plan| plan.sides) {
            width.extend(candidate(placed, Axis::Across, (l.1, r.0), inner, None));
        }
        if placed.shows(Axis::High) {
            height.extend(clear_height(placed));
        }
        let back = placed
            .side()
            .map_or_else(
                || placed.plan().and_then(|plan| plan.back),
                |side| side.back,
            )
            .zip(placed.faces().filter(|faces| faces.front().is_some()))
            .map(|(back, faces)| (faces.case_front, back.t0));
        if set_back(placed) {
            no_depth = Some("bottom and top begin behind what was taken for the front edge of the case, and a frame may stand there; a front that shows the frame, or a plan, would tell".to_owned());
        } else if let (Some(range), Turned::Sure) = (back, placed.turned) {
            let ends = names("front edge of the case", "front face of the back");
            depth.extend(candidate(placed, Axis::Deep, range, ends, None));
        }
    }
    Sizes {
        width: settle(
            id,
            "interior width",
            width,
            no_width.unwrap_or_else(|| missing("no front or plan of it could be measured")),
            conflicts,
        ),
        height: settle(
            id,
            "interior height",
            height,
            missing(
                "bottom and top (or stretcher) are not both drawn edge-on; draw hidden edges or a section",
            ),
            conflicts,
        ),
        depth: settle(
            id,
            "interior depth",
            depth,
            no_depth.unwrap_or_else(|| {
                missing("the back is not drawn edge-on; draw hidden edges, a section or a plan")
            }),
            conflicts,
        ),
    }
}

/// How far a frame takes the boards of the case back.
const FRAME: Range = (9.0, 32.0);
/// Share of the height that the rear face of a frame is drawn over, at least.
const DRAWN: f64 = 0.6;

/// True when bottom and top begin at one place a frame's thickness behind the front
/// edge of the case, and an upright line stands there.
fn set_back(placed: &Placed) -> bool {
    let Some(side) = placed.side() else {
        return false;
    };
    let begin = |role: Role| {
        let mut parts = side.parts.iter().filter(|part| part.role == role);
        parts.next().and_then(|part| part.h).map(|h| h.0)
    };
    let (Some(bottom), Some(top)) = (begin(Role::Bottom), begin(Role::Top)) else {
        return false;
    };
    let back = bottom - side.faces.case_front;
    (bottom - top).abs() <= SNAP_MM
        && (FRAME.0..=FRAME.1).contains(&back)
        && placed
            .grid
            .drawn_at(Dir::Upright, bottom)
            .is_some_and(|index| placed.grid.up[index].seen_share(side.low, side.top) >= DRAWN)
}

/// Top of the bottom to the underside of the top or stretcher, in one view.
fn clear_height(placed: &Placed) -> Option<Candidate> {
    let parts = match (placed.front(), placed.side()) {
        (Some(front), _) => &front.parts,
        (_, Some(side)) => &side.parts,
        _ => return None,
    };
    let of = |role: Role| {
        parts
            .iter()
            .filter(move |p| p.role == role)
            .filter_map(|p| p.v)
    };
    let bottom = of(Role::Bottom).next()?;
    let top = of(Role::Top).next();
    let stretcher = of(Role::Stretcher).map(|v| v.0).reduce(f64::min);
    let unnamed = placed
        .front()
        .and_then(|front| front.head)
        .map(|(_, z)| z.0);
    let (ceiling, note, word) = match (top, stretcher) {
        (Some(top), _) => (top.0, None, "top"),
        (None, None) if unnamed.is_some() => (unnamed.unwrap_or(0.0), None, "top or stretcher"),
        (None, Some(z)) => (
            z,
            Some("to the underside of the stretcher".to_owned()),
            "stretcher",
        ),
        _ => return None,
    };
    let ends = [
        "upper face of the bottom".to_owned(),
        format!("underside of the {word}"),
    ];
    if ceiling <= bottom.1 {
        return None;
    }
    candidate(placed, Axis::High, (bottom.1, ceiling), ends, note)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cabinet::Edge;

    fn shows(word: &'static str, mm: f64) -> Candidate {
        let edge = |at: f64| Edge {
            at,
            line: crate::cabinet::grid::empty_line(),
            name: String::new(),
            occluded: false,
        };
        Candidate {
            word,
            measure: Measure {
                span: Span {
                    axis: Axis::High,
                    lo: edge(0.0),
                    hi: edge(mm),
                    view: 0,
                },
                note: None,
            },
        }
    }

    #[test]
    fn views_that_contradict_each_other_settle_no_size() {
        let mut conflicts = Vec::new();
        let shown = vec![shows("front", 876.3), shows("end", 863.6)];
        let size = settle("B2", "height", shown, String::new(), &mut conflicts);
        let Measured::Unknown { reason } = size else {
            panic!("{size:?}");
        };
        assert!(reason.contains("34.500 in) in its front"), "{reason}");
        assert!(reason.contains("34.000 in) in its end"), "{reason}");
        assert_eq!(conflicts.len(), 1);
    }

    #[test]
    fn the_size_that_most_views_show_counts_and_the_odd_one_is_told() {
        let mut conflicts = Vec::new();
        let shown = vec![
            shows("front", 863.6),
            shows("end", 876.3),
            shows("section", 876.3),
        ];
        let size = settle("B2", "height", shown, String::new(), &mut conflicts);
        let known = size.known().map(|measure| measure.span.mm());
        assert_eq!(known, Some(876.3));
        assert_eq!(conflicts.len(), 1);
        let agree = vec![shows("front", 876.3), shows("end", 876.3)];
        settle("B2", "height", agree, String::new(), &mut conflicts);
        assert_eq!(conflicts.len(), 1, "views that agree say nothing");
    }
}

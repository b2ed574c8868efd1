//! Random cabinets, drawn in random ways, measured, and held against what was
//! drawn: a size is right to 0.05 mm or unknown with a reason, never another.

use super::model::{self, Look, project};
use super::shop::{Back, Cabinet, Frame, Fronts, Head, Toe, Truth};
use crate::cabinet::{Measured, MeasuredCabinet, measure};
use crate::linework::{RawSegment, SNAP_MM, clean};
use crate::view::{Scale, View, ViewKind};
use geo::{AffineTransform, Coord, Rect};

/// How hidden edges are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hidden {
    Marked,
    Unmarked,
    Dropped,
}

pub fn view(truth: &Truth, look: &Look, hidden: Hidden, title: &str) -> View {
    drawn(project(&truth.parts, look), look.kind, hidden, title)
}

/// A view of edges that were drawn with hidden ones marked.
pub fn drawn(mut segments: Vec<RawSegment>, kind: ViewKind, hidden: Hidden, title: &str) -> View {
    match hidden {
        Hidden::Marked => {}
        Hidden::Unmarked => segments.iter_mut().for_each(|s| s.hidden = false),
        Hidden::Dropped => segments.retain(|s| !s.hidden),
    }
    let (mut x, mut y) = (f64::INFINITY, f64::INFINITY);
    for s in &segments {
        x = x.min(s.a.x).min(s.b.x);
        y = y.min(s.a.y).min(s.b.y);
    }
    let mut to = Coord { x: 0.0, y: 0.0 };
    for s in &mut segments {
        for p in [&mut s.a, &mut s.b] {
            p.x -= x;
            p.y -= y;
            to.x = f64::max(to.x, p.x);
            to.y = f64::max(to.y, p.y);
        }
    }
    View {
        sheet: 0,
        kind,
        kind_evidence: "test".to_owned(),
        title: Some(crate::view::Title {
            text: title.to_owned(),
            origin: "test".to_owned(),
        }),
        cabinets: vec!["B1".to_owned()],
        scale: Scale::Known {
            mm_per_unit: 1.0,
            evidence: Vec::new(),
        },
        linework: clean(&segments, SNAP_MM),
        texts: Vec::new(),
        arcs: Vec::new(),
        dimensions: Vec::new(),
        strips: Vec::new(),
        extents: Rect::new(Coord { x: 0.0, y: 0.0 }, to),
        to_drawing: AffineTransform::identity(),
        plane: crate::view::Plane::Xy,
        shows_hidden: hidden == Hidden::Marked,
    }
}

pub fn c1() -> Cabinet {
    let inch = 25.4;
    Cabinet {
        w: 36.0 * inch,
        h: 34.5 * inch,
        d: 24.0 * inch,
        t: 0.75 * inch,
        frame: Some(Frame {
            thick: 0.75 * inch,
            stile: 1.5 * inch,
            rail: 1.5 * inch,
            overhang: 0.25 * inch,
        }),
        toe: Toe::Notch(4.0 * inch, 2.25 * inch),
        toe_board: Some(0.25 * inch),
        joint: 0.25 * inch,
        head: Head::Flat,
        stretcher: 4.0 * inch,
        back: Back::Rabbet(0.375 * inch),
        back_t: 0.25 * inch,
        shelves: vec![0.45],
        shelf_play: 1.6,
        shelf_setback: 12.7,
        divider: false,
        drawers: vec![5.0 * inch],
        fronts: Fronts::None,
        front_t: 0.75 * inch,
        overlay: 0.5 * inch,
        reveal: 1.5,
        gap: 3.0,
        cut: false,
        counter: None,
    }
}

pub fn c2() -> Cabinet {
    Cabinet {
        w: 600.0,
        h: 720.0,
        d: 320.0,
        t: 18.0,
        frame: None,
        toe: Toe::None,
        toe_board: None,
        joint: 0.0,
        head: Head::Top,
        stretcher: 100.0,
        back: Back::Groove(8.0, 20.0, 1.0),
        back_t: 8.0,
        shelves: vec![0.3, 0.6],
        shelf_play: 1.0,
        shelf_setback: 12.0,
        divider: false,
        drawers: vec![],
        fronts: Fronts::None,
        front_t: 18.0,
        overlay: 0.0,
        reveal: 1.5,
        gap: 3.0,
        cut: false,
        counter: None,
    }
}

/// Sizes that came out wrong, and those that stayed unknown.
pub fn compare(truth: &Truth, cabinet: &MeasuredCabinet, near: f64) -> (Vec<String>, Vec<String>) {
    let (mut wrong, mut unknown) = (Vec::new(), Vec::new());
    let mut check = |name: &str, want: Option<f64>, got: &Measured| match (want, got) {
        (Some(want), Measured::Known(m)) if (m.span.mm() - want).abs() <= near => {}
        (want, Measured::Known(m)) => {
            wrong.push(format!("{name}: {:.3} for {want:?}", m.span.mm()))
        }
        (Some(_), Measured::Unknown { reason }) => unknown.push(format!("{name}: {reason}")),
        (None, Measured::Unknown { .. }) => {}
    };
    let o = &cabinet.overall;
    check("width", Some(truth.overall[0]), &o.width);
    check("height", Some(truth.overall[1]), &o.height);
    check("depth", Some(truth.overall[2]), &o.depth);
    let i = &cabinet.interior;
    check("interior width", truth.interior[0], &i.width);
    check("interior height", truth.interior[1], &i.height);
    check("interior depth", truth.interior[2], &i.depth);
    for part in &cabinet.parts {
        let placed = cabinet.overall.depth.known().is_some();
        if let Some(slip) = slip(truth, part, placed) {
            wrong.push(slip);
        }
    }
    for opening in cabinet.openings.iter().filter(|o| o.in_frame) {
        let size = |s: &Option<crate::cabinet::Span>| s.as_ref().map_or(0.0, |s| s.mm());
        let (w, h) = (size(&opening.across), size(&opening.high));
        if !truth
            .openings
            .iter()
            .any(|o| (o.0 - w).abs() <= near && (o.1 - h).abs() <= near)
        {
            wrong.push(format!("opening {w:.2} x {h:.2} for {:?}", truth.openings));
        }
    }
    for conflict in &cabinet.conflicts {
        wrong.push(format!("conflict: {}", conflict.sentence));
    }
    (wrong, unknown)
}

/// Lines of different parts that lie within the snap of each other are drawn as
/// one: the ends of loose parts may be off by that much.
const SLACK: f64 = SNAP_MM + 0.01;

/// A drawn part must be one that was built: where an end is not covered it is
/// right, where it is covered the part goes on.
fn slip(truth: &Truth, part: &crate::cabinet::DrawnPart, placed: bool) -> Option<String> {
    use crate::trade::{Axis, Role};
    let family = |role: Role| match role {
        Role::FixedShelf => Role::AdjustableShelf,
        Role::DrawerFront => Role::Door,
        other => other,
    };
    let fits = |built: &model::Part| {
        Axis::ALL.into_iter().enumerate().all(|(n, axis)| {
            let Some(span) = part.span(axis) else {
                return true;
            };
            let range = built.range(n);
            if axis == Axis::Deep && !placed {
                // Where the front is unknown, so is how far in things lie.
                let own = range[1] - range[0];
                return (span.mm() - own).abs() <= SLACK
                    || (span.is_lower_bound() && span.mm() <= own);
            }
            let (lo, hi) = (range[0] - truth.origin[n], range[1] - truth.origin[n]);
            let low = if span.lo.occluded {
                lo <= span.lo.at + SLACK
            } else {
                (lo - span.lo.at).abs() <= SLACK
            };
            let high = if span.hi.occluded {
                hi >= span.hi.at - SLACK
            } else {
                (hi - span.hi.at).abs() <= SLACK
            };
            low && high
        })
    };
    let built = truth
        .parts
        .iter()
        .filter(|p| family(p.role) == family(part.role));
    if built.clone().any(fits) {
        return None;
    }
    let show = |s: &Option<crate::cabinet::Span>| {
        s.as_ref().map_or("-".to_owned(), |s| {
            format!("{:.2}..{:.2}", s.lo.at, s.hi.at)
        })
    };
    let origin = truth.origin;
    let built: Vec<String> = built
        .map(|p| {
            let r = |n: usize| {
                format!(
                    "{:.2}..{:.2}",
                    p.range(n)[0] - origin[n],
                    p.range(n)[1] - origin[n]
                )
            };
            format!("{} {} {}", r(0), r(1), r(2))
        })
        .collect();
    Some(format!(
        "{} at {} {} {} for {built:?}",
        part.name,
        show(&part.across),
        show(&part.deep),
        show(&part.high)
    ))
}

fn looks(truth: &Truth) -> Vec<(Look, &'static str)> {
    vec![
        (model::FRONT, "B1 FRONT"),
        (model::RIGHT_END, "B1 RIGHT END"),
        (model::PLAN, "B1 PLAN"),
        (model::section_at(truth.overall[0] * 0.4), "B1 SECTION"),
        (model::LEFT_END, "B1 LEFT END"),
    ]
}

/// The sets of views drawn.
const SETS: [&[usize]; 10] = [
    &[0, 4],
    &[0],
    &[1],
    &[2],
    &[3],
    &[0, 1],
    &[0, 3],
    &[0, 2],
    &[0, 1, 2],
    &[0, 2, 3],
];

#[derive(Default)]
struct Tally {
    drawn: usize,
    wrong: Vec<String>,
    unknown: std::collections::BTreeMap<String, usize>,
}

fn try_all(
    tally: &mut std::collections::BTreeMap<String, Tally>,
    name: &str,
    cabinet: &Cabinet,
    near: f64,
) {
    let truth = cabinet.build();
    let all = looks(&truth);
    for hidden in [Hidden::Marked, Hidden::Unmarked, Hidden::Dropped] {
        for set in SETS {
            let views: Vec<View> = set
                .iter()
                .map(|i| view(&truth, &all[*i].0, hidden, all[*i].1))
                .collect();
            let measured = measure(&views);
            let (wrong, unknown) = compare(&truth, &measured[0], near);
            let kinds: Vec<ViewKind> = views.iter().map(|v| v.kind).collect();
            let entry = tally.entry(format!("{hidden:?} {kinds:?}")).or_default();
            entry.drawn += 1;
            for w in wrong {
                entry.wrong.push(format!("{name}: {w}"));
            }
            for u in unknown {
                let what = u.split(':').next().unwrap_or("").to_owned();
                *entry.unknown.entry(what).or_default() += 1;
            }
        }
    }
}

fn print(tally: &std::collections::BTreeMap<String, Tally>) -> usize {
    let mut wrong = 0;
    for (key, t) in tally {
        let distinct: std::collections::BTreeSet<&str> = t
            .wrong
            .iter()
            .map(|w| w.split(": ").next().unwrap_or(""))
            .collect();
        eprintln!(
            "{key}: {} drawn, {} wrong in {}, unknown {:?}",
            t.drawn,
            t.wrong.len(),
            distinct.len(),
            t.unknown
        );
        let most = std::env::var("SHOW")
            .ok()
            .and_then(|v| v.parse().ok())
            .unwrap_or(4);
        for w in t.wrong.iter().take(most) {
            eprintln!("    {w}");
        }
        wrong += t.wrong.len();
    }
    wrong
}

#[test]
fn the_worked_examples_measure_right() {
    let mut tally = std::collections::BTreeMap::new();
    for (name, cabinet) in [("C1", c1()), ("C2", c2())] {
        for (fronts, cut) in [
            (Fronts::None, false),
            (Fronts::Doors(2), false),
            (Fronts::None, true),
            (Fronts::Doors(2), true),
        ] {
            try_all(
                &mut tally,
                name,
                &Cabinet {
                    fronts,
                    cut,
                    ..cabinet.clone()
                },
                0.05,
            );
        }
    }
    assert_eq!(print(&tally), 0);
}

#[test]
fn random_cabinets_measure_right_or_not_at_all() {
    let mut tally = std::collections::BTreeMap::new();
    for seed in (1..=many(60)).chain(ONCE_WRONG) {
        let mut hat = super::random::Hat::new(seed);
        let cabinet = super::random::cabinet(&mut hat);
        if overfull(&cabinet) {
            continue;
        }
        try_all(&mut tally, &format!("seed {seed}"), &cabinet, SLACK);
    }
    assert_eq!(print(&tally), 0);
}

/// Cabinets that were measured wrong once: joints deeper than a thin side's half, a
/// countertop or a toe board in an unmarked plan, a low case on a high toe space, a back
/// over stretchers of its height.
const ONCE_WRONG: [u64; 7] = [192, 393, 627, 653, 807, 855, 868];
const ONCE_WRONG_STRAIGHT: [u64; 9] = [114, 174, 192, 493, 737, 761, 826, 933, 972];

/// Whose sides stand on the floor without a notch, behind a frame or not.
#[test]
fn random_cabinets_on_their_sides_measure_right_or_not_at_all() {
    let mut tally = std::collections::BTreeMap::new();
    for seed in (1..=many(40)).chain(ONCE_WRONG_STRAIGHT) {
        let cabinet = super::random::cabinet(&mut super::random::Hat::new(seed));
        let cabinet = Cabinet {
            toe: straight(seed),
            ..cabinet
        };
        if overfull(&cabinet) {
            continue;
        }
        try_all(&mut tally, &format!("seed {seed}"), &cabinet, SLACK);
    }
    assert_eq!(print(&tally), 0);
}

/// Drawers too many for the room that is left above the toe space: nobody builds rails
/// through each other.
fn overfull(cabinet: &Cabinet) -> bool {
    let openings = cabinet.build().openings;
    openings.iter().any(|opening| opening.1 < 50.0)
}

fn straight(seed: u64) -> Toe {
    Toe::Straight(60.0 + 7.0 * (seed % 13) as f64, 30.0 + (seed % 40) as f64)
}

/// How many cabinets to try.
fn many(usual: u64) -> u64 {
    std::env::var("CABINETS")
        .ok()
        .and_then(|v| v.parse().ok())
        .unwrap_or(usual)
}

/// Prints one cabinet of the random run: `SEED=5 cargo test --lib one_seed -- --nocapture --ignored`.
#[test]
#[ignore = "for looking at one cabinet"]
fn one_seed() {
    let seed: u64 = std::env::var("SEED")
        .ok()
        .and_then(|v| v.parse().ok())
        .unwrap_or(1);
    let mut cabinet = super::random::cabinet(&mut super::random::Hat::new(seed));
    if std::env::var("STRAIGHT").is_ok() {
        cabinet.toe = straight(seed);
    }
    let truth = cabinet.build();
    eprintln!("{cabinet:#?}");
    for part in &truth.parts {
        eprintln!(
            "{:?} x {:?} y {:?} z {:?}",
            part.role,
            part.range(0),
            part.range(1),
            part.range(2)
        );
    }
    let mut tally = std::collections::BTreeMap::new();
    try_all(&mut tally, "one", &cabinet, 0.05);
    print(&tally);
}

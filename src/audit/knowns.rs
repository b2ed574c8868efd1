//! What is known of a cabinet besides its parts' sizes: named distances, stock
//! thicknesses, joint depths, allowances. The material that causes are made of.

use super::bench::{Bench, Case};
use super::nominal;
use super::types::MeasuredBetween;
use crate::cabinet::Span;
use crate::length::Length;
use crate::trade::{Axis, Role};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A drawn distance somebody could have taken.
#[derive(Clone, Debug)]
pub(super) struct Distance {
    pub value: Length,
    pub axis: Axis,
    /// "the interior width", "the upper left opening, bottom rail to top rail".
    pub name: String,
    pub rank: Rank,
    /// Where it begins and ends along its axis, millimetres.
    pub ends: [f64; 2],
    pub between: MeasuredBetween,
}

/// How telling a distance's name is, most first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rank {
    /// Overall, interior, named sizes and openings.
    Measure,
    /// A part's own size.
    Part,
    /// Between two edges that have names.
    Edges,
    /// Between any two parallel edges.
    Loose,
}

/// A small size that may have been put on, left out or taken twice.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Offset {
    pub value: Length,
    /// The part it belongs to, when it is one part's own.
    pub role: Option<Role>,
    /// The axis it lies along, when it lies along one.
    pub axis: Option<Axis>,
    /// "the thickness of the side".
    pub name: String,
}

impl Offset {
    /// Whether it can have to do with a size of this part along this axis.
    pub fn fits(&self, role: Role, axis: Axis) -> bool {
        self.role.is_none_or(|own| own == role) && self.axis.is_none_or(|own| own == axis)
    }
}

#[derive(Clone, Debug, Default)]
pub(super) struct Knowns {
    /// Named distances, best names first.
    pub distances: Vec<Distance>,
    pub thicknesses: Vec<Offset>,
    /// Name of a stock less its true thickness.
    pub nominal: Vec<Offset>,
    pub joints: Vec<Offset>,
    pub toe_height: Vec<Offset>,
    pub toe_depth: Vec<Offset>,
    pub fronts: Vec<Offset>,
}

/// What is known of each cabinet, worked out when first asked for: only those with
/// something wrong are.
pub(super) struct KnownsByCase<'a> {
    bench: &'a Bench<'a>,
    knowns: Vec<OnceLock<Knowns>>,
}

impl<'a> KnownsByCase<'a> {
    pub fn new(bench: &'a Bench<'a>) -> Self {
        KnownsByCase {
            bench,
            knowns: bench.cases.iter().map(|_| OnceLock::new()).collect(),
        }
    }

    pub fn get(&self, case: usize) -> Option<&Knowns> {
        let (known, case) = (self.knowns.get(case)?, self.bench.cases.get(case)?);
        Some(known.get_or_init(|| knowns(self.bench, case)))
    }
}

fn knowns(bench: &Bench<'_>, case: &Case<'_>) -> Knowns {
    let mut out = Knowns {
        distances: distances(case),
        ..Knowns::default()
    };
    stocks(bench, case, &mut out);
    boards(bench, case, &mut out);
    named_offsets(case, &mut out);
    joints(case, &mut out);
    fronts(case, &mut out);
    let thickest = Length::from_mm(THICKEST_STOCK_MM).unwrap_or_default();
    out.thicknesses.retain(|stock| stock.value <= thickest);
    for list in [
        &mut out.thicknesses,
        &mut out.nominal,
        &mut out.joints,
        &mut out.toe_height,
        &mut out.toe_depth,
        &mut out.fronts,
    ] {
        tidy(list);
    }
    out
}

/// One offset for each part and size (to 0.1 mm), under the first of its names.
fn tidy(list: &mut Vec<Offset>) {
    list.retain(|offset| offset.value > Length::from_ticks(Length::TICKS_PER_MM / 5));
    list.sort_by(|a, b| {
        (a.axis, a.role, a.value, &a.name).cmp(&(b.axis, b.role, b.value, &b.name))
    });
    list.dedup_by(|a, b| {
        (a.axis, a.role) == (b.axis, b.role)
            && (a.value - b.value).abs().ticks() <= Length::TICKS_PER_MM / 10
    });
}

pub(super) fn between(span: &Span) -> MeasuredBetween {
    MeasuredBetween {
        view: span.view,
        lines: vec![span.lo.line, span.hi.line],
        sentence: ends(span),
    }
}

/// "left face of the left side to right face of the right side".
pub(super) fn ends(span: &Span) -> String {
    match (plain(&span.lo.name), plain(&span.hi.name)) {
        ("", "") => "between two unnamed edges".to_owned(),
        (lo, "") => format!("{lo} to an unnamed edge"),
        ("", hi) => format!("an unnamed edge to {hi}"),
        (lo, hi) => format!("{lo} to {hi}"),
    }
}

/// The first name of an edge that several parts share.
fn plain(name: &str) -> &str {
    name.split(", ").next().unwrap_or(name)
}

fn measure(name: String, rank: Rank, span: &Span) -> Distance {
    Distance {
        value: span.length(),
        axis: span.axis,
        name,
        rank,
        ends: [span.lo.at, span.hi.at],
        between: between(span),
    }
}

pub(super) fn axis_noun(axis: Axis) -> &'static str {
    match axis {
        Axis::Across => "width",
        Axis::Deep => "depth",
        Axis::High => "height",
    }
}

fn distances(case: &Case<'_>) -> Vec<Distance> {
    let mut out = Vec::new();
    for axis in Axis::ALL {
        if let Some(span) = case.overall(axis) {
            let name = format!("the overall {}", axis_noun(axis));
            out.push(measure(name, Rank::Measure, span));
        }
        if let Some(span) = case.interior(axis) {
            let name = format!("the interior {}", axis_noun(axis));
            out.push(measure(name, Rank::Measure, span));
        }
    }
    for size in &case.cabinet.named {
        let name = format!("the {}", spoken(&size.name));
        out.push(measure(name, Rank::Measure, &size.measure.span));
    }
    for opening in &case.cabinet.openings {
        for span in [&opening.across, &opening.high].into_iter().flatten() {
            let name = format!("the clear {} of the {}", axis_noun(span.axis), opening.name);
            out.push(measure(name, Rank::Measure, span));
        }
    }
    for part in &case.parts {
        for axis in Axis::ALL {
            if let Some(span) = part.span(axis) {
                let name = format!("the {} of the {}", axis_noun(axis), part.name);
                out.push(measure(name, Rank::Part, span));
            }
        }
    }
    out.sort_by(|a, b| (a.rank, a.axis, a.value, &a.name).cmp(&(b.rank, b.axis, b.value, &b.name)));
    out
}

/// "case.width" as a person says it.
pub(super) fn spoken(name: &str) -> String {
    match name.rsplit_once('.') {
        Some((thing, size)) => format!("{size} of the {}", thing.replace(['.', '-'], " ")),
        None => name.replace('-', " "),
    }
}

/// Thicker than this is no stock but a member seen on edge: 1 3/4 in, 8/4 lumber
/// surfaced on two sides (hardwood grading thicknesses).
pub(super) const THICKEST_STOCK_MM: f64 = 44.45;

fn stocks(bench: &Bench<'_>, case: &Case<'_>, out: &mut Knowns) {
    // Parts come in the order of their roles: 3/4 in is the side's before the shelf's.
    let mut found: BTreeMap<(Axis, Length), String> = BTreeMap::new();
    for part in &case.parts {
        let Some([_, _, thin]) = part.role.lie() else {
            continue;
        };
        // A member's face width is no stock thickness, so the least of its sizes.
        let least = Axis::ALL
            .iter()
            .filter_map(|&axis| part.span(axis))
            .map(Span::length)
            .min();
        if let Some(span) = part.span(thin)
            && Some(span.length()) == least
            && span.mm() <= THICKEST_STOCK_MM
            && !span.is_lower_bound()
        {
            let name = format!("the thickness of the {}", part.role.word());
            found.entry((thin, span.length())).or_insert(name);
        }
    }
    for ((axis, value), name) in &found {
        out.thicknesses.push(Offset {
            value: *value,
            role: None,
            axis: Some(*axis),
            name: name.clone(),
        });
        for nominal in nominal::names(*value) {
            out.nominal.push(Offset {
                value: nominal - *value,
                role: None,
                axis: Some(*axis),
                name: format!(
                    "{} ({} by name, {} drawn)",
                    name,
                    bench.show.size(nominal),
                    bench.show.size(*value)
                ),
            });
        }
    }
}

/// Boards on hand that are not as thick as drawn.
fn boards(bench: &Bench<'_>, case: &Case<'_>, out: &mut Knowns) {
    for (name, drawn, stated) in bench.job.rules.other_boards(case.cabinet) {
        let name = format!(
            "the {} ({} as drawn, {} by the job file)",
            spoken(name),
            bench.show.size(drawn),
            bench.show.size(stated)
        );
        out.nominal.push(Offset {
            value: (drawn - stated).abs(),
            role: None,
            axis: None,
            name,
        });
    }
}

/// Named sizes and the parameters of rules, by what they are.
fn named_offsets(case: &Case<'_>, out: &mut Knowns) {
    let drawn = case
        .cabinet
        .named
        .iter()
        .map(|size| (size.name.clone(), size.measure.span.length()));
    let stated = case
        .all_expected()
        .flat_map(|rule| rule.used())
        .map(|(name, value, _)| (name.to_owned(), value));
    for (name, value) in drawn.chain(stated) {
        let offset = Offset {
            value,
            role: None,
            axis: None,
            name: format!("the {}", spoken(&name)),
        };
        let takers = joint_takers(&name);
        if !takers.is_empty() {
            out.joints.extend(
                takers
                    .iter()
                    .filter(|(role, axis)| !is_butted(case, *role, *axis))
                    .map(|(role, axis)| Offset {
                        role: Some(*role),
                        axis: Some(*axis),
                        ..offset.clone()
                    }),
            );
        } else if name == "toe.height" {
            out.toe_height.push(offset);
        } else if name == "toe.depth" || name == "toe.setback" {
            out.toe_depth.push(offset);
        } else if name == "gap" {
            out.fronts.push(Offset {
                value: value / 2,
                name: "half the gap".to_owned(),
                ..offset.clone()
            });
            out.fronts.push(offset);
        } else if name.starts_with("overlay")
            || name.starts_with("reveal")
            || name.starts_with("cover.")
            || name.contains("clearance")
        {
            out.fronts.push(offset);
        } else if let Some(axis) = thickness_axis(&name) {
            out.thicknesses.push(Offset {
                axis: Some(axis),
                ..offset
            });
        }
    }
    for part in &case.parts {
        if part.role == Role::ToeKick
            && let Some(span) = part.span(Axis::High)
        {
            out.toe_height.push(Offset {
                value: span.length(),
                role: None,
                axis: None,
                name: "the height of the toe kick".to_owned(),
            });
        }
    }
}

/// True when every part of a role is drawn just as long as the case is wide (high)
/// inside: it runs into nothing, so no joint was forgotten or counted twice.
fn is_butted(case: &Case<'_>, role: Role, axis: Axis) -> bool {
    let Some(interior) = case.interior(axis) else {
        return false;
    };
    let mut spans = case
        .parts
        .iter()
        .filter(|part| part.role == role)
        .filter_map(|part| part.span(axis))
        .peekable();
    spans.peek().is_some()
        && spans.all(|span| !span.is_lower_bound() && (span.mm() - interior.mm()).abs() < BUTTED_MM)
}

/// Shorter than this is no joint (0.02 in).
const BUTTED_MM: f64 = 0.5;

/// The parts, and the axes, that a named joint depth makes longer.
fn joint_takers(name: &str) -> &'static [(Role, Axis)] {
    use Axis::{Across, Deep, High};
    match name {
        "groove.depth" => &[
            (Role::Bottom, Across),
            (Role::Top, Across),
            (Role::FixedShelf, Across),
            (Role::Stretcher, Across),
            (Role::Divider, High),
        ],
        "rabbet.width" | "back.groove" => &[(Role::Back, Across), (Role::Back, High)],
        "rail.tenon" => &[
            (Role::Rail, Across),
            (Role::SideRail, Across),
            (Role::EndRail, Deep),
        ],
        "tongue" => &[(Role::DoorRail, Across)],
        "panel.groove" => &[(Role::DoorPanel, Across), (Role::DoorPanel, High)],
        "box.groove" => &[(Role::BoxBottom, Across), (Role::BoxBottom, Deep)],
        "box.joint" => &[(Role::BoxFront, Across), (Role::BoxBack, Across)],
        _ => &[],
    }
}

/// The axis a named thickness lies along.
fn thickness_axis(name: &str) -> Option<Axis> {
    match name.strip_suffix(".thickness")? {
        "side" | "divider" | "board" => Some(Axis::Across),
        "bottom" | "top" | "stretcher" | "shelf" => Some(Axis::High),
        "back" | "frame" | "base" => Some(Axis::Deep),
        _ => None,
    }
}

/// Joint depths the drawing itself shows: how far a part goes past the inner
/// face of its neighbours, the same at both ends.
fn joints(case: &Case<'_>, out: &mut Knowns) {
    for axis in [Axis::Across, Axis::High] {
        let Some(interior) = case.interior(axis) else {
            continue;
        };
        for part in &case.parts {
            if !matches!(
                part.role,
                Role::Bottom | Role::Top | Role::FixedShelf | Role::Back | Role::Divider
            ) {
                continue;
            }
            let Some(span) = part.span(axis) else {
                continue;
            };
            if span.is_lower_bound() {
                continue;
            }
            for depth in [interior.lo.at - span.lo.at, span.hi.at - interior.hi.at] {
                if (1.0..=12.7).contains(&depth) {
                    out.joints.push(Offset {
                        value: Length::from_mm(depth).unwrap_or_default(),
                        role: Some(part.role),
                        axis: Some(axis),
                        name: format!("the joint of the {}", part.role.word()),
                    });
                }
            }
        }
    }
}

/// Overlays and gaps the drawing shows: fronts against their openings and
/// against each other.
fn fronts(case: &Case<'_>, out: &mut Knowns) {
    for front in &case.parts {
        if !matches!(front.role, Role::Door | Role::DrawerFront) {
            continue;
        }
        let opening = front
            .opening
            .and_then(|index| case.cabinet.openings.get(index));
        let pairs = [
            (&front.across, opening.and_then(|o| o.across.as_ref())),
            (&front.high, opening.and_then(|o| o.high.as_ref())),
        ];
        for (span, opening) in pairs {
            let (Some(span), Some(opening)) = (span, opening) else {
                continue;
            };
            for over in [opening.lo.at - span.lo.at, span.hi.at - opening.hi.at] {
                if (0.5..=40.0).contains(&over) {
                    out.fronts.push(Offset {
                        value: Length::from_mm(over).unwrap_or_default(),
                        role: None,
                        axis: None,
                        name: "the overlay".to_owned(),
                    });
                } else if (-6.0..=-0.5).contains(&over) {
                    out.fronts.push(Offset {
                        value: Length::from_mm(-over).unwrap_or_default(),
                        role: None,
                        axis: None,
                        name: "the gap around an inset front".to_owned(),
                    });
                }
            }
        }
        for other in &case.parts {
            if other.opening != front.opening || other.role != front.role {
                continue;
            }
            if let (Some(left), Some(right)) = (&front.across, &other.across) {
                let gap = right.lo.at - left.hi.at;
                if (0.5..=12.7).contains(&gap) {
                    let value = Length::from_mm(gap).unwrap_or_default();
                    out.fronts.push(Offset {
                        value,
                        role: None,
                        axis: None,
                        name: "the gap between the doors".to_owned(),
                    });
                    out.fronts.push(Offset {
                        value: value / 2,
                        role: None,
                        axis: None,
                        name: "half the gap between the doors".to_owned(),
                    });
                }
            }
        }
    }
}

/// Distances between any two parallel edges of one view that are near a value.
pub(super) fn edge_distances(
    case: &Case<'_>,
    axis: Axis,
    value: Length,
    within: Length,
) -> Vec<Distance> {
    let mut by_view: BTreeMap<usize, Vec<&crate::cabinet::Edge>> = BTreeMap::new();
    for (view, along, edge) in &case.cabinet.edges {
        if *along == axis {
            by_view.entry(*view).or_default().push(edge);
        }
    }
    let mut out = Vec::new();
    for (view, mut edges) in by_view {
        edges.sort_by(|a, b| {
            a.at.total_cmp(&b.at)
                .then_with(|| a.name.cmp(&b.name))
                .then_with(|| a.line.a.x.total_cmp(&b.line.a.x))
                .then_with(|| a.line.a.y.total_cmp(&b.line.a.y))
        });
        // Edges at one place count once, under the first name any of them has.
        edges.dedup_by(|next, kept| {
            let same = (next.at - kept.at).abs() < 0.05;
            if same && kept.name.is_empty() && !next.name.is_empty() {
                *kept = next;
            }
            same
        });
        let reach = within.mm();
        let wanted = value.mm();
        for (index, lo) in edges.iter().enumerate() {
            let from = edges.partition_point(|edge| edge.at < lo.at + wanted - reach);
            for hi in edges.iter().skip(from.max(index + 1)) {
                if hi.at > lo.at + wanted + reach {
                    break;
                }
                let span = Span {
                    axis,
                    lo: (*lo).clone(),
                    hi: (*hi).clone(),
                    view,
                };
                let named = !lo.name.is_empty() && !hi.name.is_empty();
                let rank = if named { Rank::Edges } else { Rank::Loose };
                out.push(measure(ends(&span), rank, &span));
            }
        }
    }
    out
}

//! How far the rows of a listed cabinet go with a drawn one, and whether two drawings
//! show the same.

use super::Rules;
use super::rows::sizes_along;
use crate::cabinet::{DrawnPart, MeasuredCabinet};
use crate::cutlist::Row;
use crate::length::Length;
use crate::trade::{Axis, Dimension, Family, Role};

/// Worth of a size that agrees in all rows that give it.
const SIZE: i64 = 1000;
/// Worth of all other rows together.
const OTHERS: i64 = 400;
/// Least share of the rows of a size that must agree for it to agree.
const MOST: i64 = SIZE / 2;

/// How a drawing and a listed cabinet go together.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fit {
    /// For width, depth and height, how many thousandths of the rows agree; `None`
    /// where nothing can be compared.
    sizes: [Option<i64>; 3],
    /// Whether some of its rows differ, however many agree.
    mixed: [bool; 3],
    others: i64,
}

impl Fit {
    pub fn agree(&self) -> impl Iterator<Item = Axis> + '_ {
        self.told(|share| share >= MOST)
    }

    pub fn differ(&self) -> impl Iterator<Item = Axis> + '_ {
        self.told(|share| share < MOST)
    }

    fn told(&self, is: fn(i64) -> bool) -> impl Iterator<Item = Axis> + '_ {
        [Axis::Across, Axis::High, Axis::Deep]
            .into_iter()
            .filter(move |axis| self.size(*axis).is_some_and(is))
    }

    fn size(&self, axis: Axis) -> Option<i64> {
        let at = Axis::ALL.iter().position(|other| *other == axis)?;
        self.sizes.get(at).copied().flatten()
    }

    /// Sizes that agree in some of their rows and differ in others.
    pub fn partly(&self) -> impl Iterator<Item = Axis> + '_ {
        self.agree().filter(|axis| {
            let at = Axis::ALL.iter().position(|other| other == axis);
            at.and_then(|at| self.mixed.get(at)) == Some(&true)
        })
    }

    pub fn worth(&self) -> i64 {
        self.sizes.iter().flatten().sum::<i64>() + self.others
    }

    /// Two sizes at least agree and none differs.
    pub fn is_full(&self) -> bool {
        self.agree().count() >= 2 && self.differ().count() == 0
    }

    /// The width agrees.
    pub fn is_wide(&self) -> bool {
        self.agree().any(|axis| axis == Axis::Across)
    }

    /// As [`Fit::is_full`], and the width is one of the sizes that agree: a front by
    /// itself goes with the list.
    pub fn is_front(&self) -> bool {
        self.is_full() && self.is_wide()
    }

    pub fn may_be(&self) -> bool {
        self.agree().count() >= 2
    }
}

/// Drawn sizes nearer than this are the same, millimetres.
const NEAR: f64 = 0.2;

/// True when two drawings show the same cabinet: every size and every part.
pub(super) fn drawn_same(a: &MeasuredCabinet, b: &MeasuredCabinet) -> bool {
    let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= NEAR,
        (None, None) => true,
        _ => false,
    };
    let sizes = |c: &MeasuredCabinet| {
        [&c.overall, &c.interior]
            .map(|s| [&s.width, &s.height, &s.depth].map(|m| m.known().map(|m| m.span.mm())))
    };
    let mm = |part: &DrawnPart| Axis::ALL.map(|axis| part.span(axis).map(|span| span.mm()));
    let pairs = |a: &[Option<f64>], b: &[Option<f64>]| a.iter().zip(b).all(|(a, b)| near(*a, *b));
    pairs(sizes(a).as_flattened(), sizes(b).as_flattened())
        && a.parts.len() == b.parts.len()
        && a.parts
            .iter()
            .zip(&b.parts)
            .all(|(a, b)| a.role == b.role && pairs(&mm(a), &mm(b)))
}

/// How the rows of a listed cabinet go with a drawn one. Views that contradict each other
/// may not belong together: of those nothing is compared.
pub(super) fn fit(cabinet: &MeasuredCabinet, listed: &[(Role, &Row)], rules: &Rules) -> Fit {
    if !cabinet.conflicts.is_empty() {
        return Fit::default();
    }
    let mut shares: [Vec<i64>; 3] = Default::default();
    let (mut rows, mut agree) = (0, 0);
    let beside = Beside::of(listed);
    // How far a frame stands past the case is not listed: where it is as wide as drawn, a
    // smaller case says nothing.
    let framed = beside.is_framed(listed, of(&cabinet.overall, Axis::Across), rules);
    if framed {
        let [across, ..] = &mut shares;
        across.push(SIZE);
    }
    for (role, row) in listed {
        if role.family() != Family::Case {
            rows += 1;
            agree += i64::from(drawn_as(cabinet, *role, row, rules));
            continue;
        }
        for (axis, shares) in Axis::ALL.into_iter().zip(&mut shares) {
            let told = share(cabinet, *role, row, axis, (&beside, rules));
            let smaller = |size: &Length| {
                let whole = of(&cabinet.overall, axis).map(|whole| (whole - *size).mm());
                whole.is_some_and(|more| (0.0..=room(axis)).contains(&more))
            };
            let behind = framed
                && axis == Axis::Across
                && told == Some(0)
                && sizes_along(row, *role, axis).first().is_some_and(smaller);
            shares.extend(told.filter(|_| !behind));
        }
    }
    Fit {
        mixed: shares.each_ref().map(|shares| shares.contains(&0)),
        sizes: shares.map(|shares| {
            let count = i64::try_from(shares.len())
                .ok()
                .filter(|count| *count > 0)?;
            Some(shares.iter().sum::<i64>() / count)
        }),
        others: if rows == 0 {
            OTHERS / 2
        } else {
            OTHERS * agree / rows
        },
    }
}

/// Whether parts of this kind make the size of the case, so that another size of
/// them speaks against it.
fn decides(role: Role, axis: Axis) -> bool {
    match role {
        Role::Side => axis != Axis::Across,
        Role::Bottom | Role::Top => axis != Axis::High,
        Role::Stretcher | Role::ToeKick | Role::BaseRail => axis == Axis::Across,
        _ => false,
    }
}

/// How much smaller than the cabinet a part that makes its size can be across, deep and
/// high, millimetres: a frame, an end panel or a base comes off.
const fn room(axis: Axis) -> f64 {
    match axis {
        Axis::Across => 110.0,
        Axis::Deep => 90.0,
        Axis::High => 260.0,
    }
}

/// How far a row's size along an axis agrees with the drawn cabinet, in thousandths;
/// `None` where it says nothing of it.
fn share(
    cabinet: &MeasuredCabinet,
    role: Role,
    row: &Row,
    axis: Axis,
    (beside, rules): (&Beside, &Rules),
) -> Option<i64> {
    // A shelf or a back as drawn speaks for a size, another one not against it.
    let speaks = match role {
        Role::Back => axis != Axis::Deep,
        Role::FixedShelf | Role::AdjustableShelf => axis != Axis::High,
        Role::Divider => axis != Axis::Across,
        _ => false,
    };
    if !speaks && !decides(role, axis) {
        return None;
    }
    let listed = sizes_along(row, role, axis);
    let near = rules.tolerance(Some(role));
    let (overall, interior) = (of(&cabinet.overall, axis), of(&cabinet.interior, axis));
    let spans = || {
        cabinet
            .parts
            .iter()
            .filter(|part| part.role == role && !part.flat)
    };
    let spans = || spans().filter_map(|part| part.span(axis));
    let seen = spans().any(|span| !span.is_lower_bound());
    // A part much smaller than the case does not make its size: it stands beside others.
    let most = |size: &Length| {
        !decides(role, axis)
            || overall.is_some_and(|overall| overall.mm() - size.mm() <= room(axis))
    };
    let mut drawn: Vec<Length> = spans().map(|span| span.length()).filter(most).collect();
    if decides(role, axis) {
        let case = ["case.width", "case.depth", "case.height"];
        let named = cabinet
            .named
            .iter()
            .filter(|size| case.contains(&&*size.name) && size.measure.span.axis == axis);
        drawn.extend(overall);
        drawn.extend(interior.filter(|_| axis == Axis::Across));
        drawn.extend(named.map(|size| size.measure.span.length()));
    }
    if listed.is_empty() || drawn.is_empty() {
        return None;
    }
    let hit = |size: &Length| drawn.iter().any(|at| (*at - *size).abs() <= near);
    // A part let into others is longer than it looks where its ends are not drawn.
    let within = |size: &Length| match (interior, overall) {
        (Some(interior), Some(overall)) => *size >= interior - near && *size <= overall + near,
        _ => false,
    };
    let more = beside.more(role, axis, interior.is_some());
    let makes = |size: &Length| {
        let whole = more.map(|more| *size + more);
        whole
            .zip(overall)
            .is_some_and(|(a, b)| (a - b).abs() <= near)
    };
    // Where the sides are not seen it may be let into them by what no one can tell.
    let let_in = |size: &Length| {
        axis == Axis::Across
            && more.zip(overall).is_some_and(|(more, overall)| {
                *size >= overall - more - near && *size <= overall + near
            })
    };
    if listed.iter().any(hit) || listed.iter().any(makes) {
        Some(SIZE)
    } else if listed.iter().any(let_in) {
        None
    } else if !seen && axis != Axis::High && listed.iter().any(within) {
        Some(SIZE * 3 / 5)
    } else {
        decides(role, axis).then_some(0)
    }
}

/// What of the other rows of a cabinet comes to a part's size to make that of the whole.
struct Beside {
    /// Stock of the sides.
    side: Option<Length>,
    /// Height of the base the sides stand on.
    base: Option<Length>,
    stile: Option<Length>,
}

impl Beside {
    fn of(listed: &[(Role, &Row)]) -> Self {
        let size = |wanted: Role, dimension: Dimension| {
            let mut rows = listed.iter().filter(|(role, _)| *role == wanted);
            rows.find_map(|(_, row)| Some(row.size(dimension)?.value))
        };
        Beside {
            side: size(Role::Side, Dimension::Thickness),
            base: size(Role::BaseRail, Dimension::Width),
            stile: size(Role::Stile, Dimension::Width),
        }
    }

    /// True where rails make a frame of this width with two stiles.
    fn is_framed(&self, listed: &[(Role, &Row)], width: Option<Length>, rules: &Rules) -> bool {
        let near = rules.tolerance(Some(Role::Rail));
        let mut rails = listed.iter().filter(|(role, _)| *role == Role::Rail);
        rails.any(|(_, rail)| {
            let length = rail.size(Dimension::Length).map(|cell| cell.value);
            let made = length
                .zip(self.stile)
                .map(|(length, stile)| length + stile + stile);
            made.zip(width)
                .is_some_and(|(made, width)| (made - width).abs() <= near)
        })
    }

    /// What a base adds to the sides that stand on it, and where the sides are not `seen`,
    /// what they add to the boards between them.
    fn more(&self, role: Role, axis: Axis, seen: bool) -> Option<Length> {
        match (role, axis) {
            (Role::Side, Axis::High) => self.base,
            (Role::Bottom | Role::Top | Role::Stretcher | Role::ToeKick, Axis::Across) if !seen => {
                self.side.map(|side| side + side)
            }
            _ => None,
        }
    }
}

fn of(sizes: &crate::cabinet::Sizes, axis: Axis) -> Option<Length> {
    let size = match axis {
        Axis::Across => &sizes.width,
        Axis::Deep => &sizes.depth,
        Axis::High => &sizes.height,
    };
    size.known().map(|measure| measure.span.length())
}

/// True when a part of this kind is drawn as large as the row says.
fn drawn_as(cabinet: &MeasuredCabinet, role: Role, row: &Row, rules: &Rules) -> bool {
    let near = rules.tolerance(Some(role));
    let Some([along, beside, _]) = role.lie() else {
        return false;
    };
    cabinet
        .parts
        .iter()
        .filter(|part| part.role == role)
        .any(|part| {
            [along, beside].into_iter().all(|axis| {
                let listed = sizes_along(row, role, axis);
                part.span(axis).is_none_or(|span| {
                    listed
                        .iter()
                        .any(|size| (span.length() - *size).abs() <= near)
                })
            })
        })
}

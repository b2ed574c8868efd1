//! Where cabinets stand side by side, told by the lines alone: at a seam both sides are
//! drawn, one on the other, and nothing of one cabinet is drawn across it to the next.

use super::build::{self, Label, Sketch};
use super::flatten::{Stroke, unite};
use super::parted;
use super::runs::{self, Division, Undivided, Upright};

/// Share of the lower neighbour's height an upright covers at least.
const COVER: f64 = 0.8;
/// Share of it that is drawn twice at least: once for each side.
pub(super) const DOUBLED: f64 = 0.5;
/// As [`COVER`] for a line drawn once.
const THROUGH: f64 = 0.95;
/// Nothing narrower than this share of its height is a cabinet: it is an end panel or
/// the edge of a side.
const PANEL: f64 = 0.1;
/// What is narrower than this and plain inside is a filler.
const FILLER: f64 = 0.35;

/// The seams of a view, left to right, drawing units: where sides are drawn one on the
/// other, or with `once`, where one line alone may stand for both.
pub(super) fn find(sketch: &Sketch, once: bool, hidden: &dyn Fn(u32) -> bool) -> Vec<f64> {
    let size = sketch.bounds.width().max(sketch.bounds.height());
    let near = runs::NEAR * size;
    let seen = sketch.seen(hidden);
    let levels = runs::levels(&seen);
    let (min, max) = (sketch.bounds.min(), sketch.bounds.max());
    let uprights = runs::uprights(&seen, near);
    // Lines too near each other for a cabinet between them.
    let mut groups: Vec<Vec<&Upright>> = Vec::new();
    for upright in &uprights {
        let x = upright.x;
        let Some(local) = runs::local_height(&levels, x, near) else {
            continue;
        };
        let twice = upright.doubled >= DOUBLED * upright.covered;
        let least = if twice { COVER } else { THROUGH };
        if upright.covered < least * local || !(twice || once) {
            continue;
        }
        // The floor alone goes on under both.
        let crossed = levels
            .iter()
            .any(|l| l.0 < x - 4.0 * near && l.1 > x + 4.0 * near && l.2 > min.y + near);
        if crossed || x - min.x < PANEL * local || max.x - x < PANEL * local {
            continue;
        }
        match groups.last_mut() {
            Some(group) if group.last().is_some_and(|u| x - u.x < PANEL * local) => {
                group.push(upright);
            }
            _ => groups.push(vec![upright]),
        }
    }
    let mut seams: Vec<f64> = Vec::new();
    for (index, group) in groups.iter().enumerate() {
        let from = seams.last().copied().unwrap_or(min.x);
        let next = groups.get(index + 1);
        let to: Vec<f64> = match next {
            Some(next) => next.iter().map(|u| u.x).collect(),
            None => vec![max.x],
        };
        seams.extend(one_of(group, from, &to, &uprights, near));
    }
    while let Some(filler) = filler(sketch, &seams, &levels, near) {
        seams.remove(filler);
    }
    seams
}

/// The seam among lines beside each other, when the cabinet before it begins at `from` and
/// the one after it ends at one of `to`: the edges of doors are shorter, and the inner faces
/// of the sides are as far from it as from the other end of their cabinet.
fn one_of(
    group: &[&Upright],
    from: f64,
    to: &[f64],
    uprights: &[Upright],
    near: f64,
) -> Option<f64> {
    let most = group.iter().map(|u| u.covered).fold(0.0, f64::max);
    let longest: Vec<f64> = group
        .iter()
        .filter(|u| u.covered >= most - 2.0 * near)
        .map(|u| u.x)
        .collect();
    let the_one = |fits: &dyn Fn(f64) -> bool| {
        let mut between = longest.iter().copied().filter(|x| fits(*x));
        between.next().filter(|_| between.next().is_none())
    };
    let midway = |a: f64, b: f64| the_one(&|x| ((x - a) - (b - x)).abs() <= 2.0 * near);
    // How near to there an inner face is drawn.
    let off = |x: f64| {
        let faces = uprights.iter().filter(|u| 2.0 * u.covered >= most);
        let off = faces.map(|u| (u.x - x).abs()).fold(f64::INFINITY, f64::min);
        (off <= near).then_some(off)
    };
    // Sides of two boards: each as thick as the one at the other end of its cabinet.
    let own_boards = |a: f64, b: f64| {
        the_one(&|x| {
            let (own, other) = (x - a, b - x);
            own > near
                && other > near
                && off(from + own).is_some()
                && to.iter().any(|to| off(to - other).is_some())
        })
    };
    match longest.as_slice() {
        // Between them stands, beside the seam, the case set back behind its frame.
        [a, .., b] if let Some(seam) = midway(*a, *b).or_else(|| own_boards(*a, *b)) => Some(seam),
        [a, .., b] => {
            let before = off(from + (b - a));
            let after = to.iter().filter_map(|to| off(to - (b - a)));
            let after = after.reduce(f64::min).unwrap_or(f64::INFINITY);
            let own = before.is_some_and(|before| before <= after + 0.5 * near);
            Some(if own { *b } else { *a })
        }
        one => one.first().copied(),
    }
}

/// The seam between a filler and the cabinet before it; the first one for a filler at the
/// left end.
fn filler(sketch: &Sketch, seams: &[f64], levels: &[(f64, f64, f64)], near: f64) -> Option<usize> {
    let (min, max) = (sketch.bounds.min(), sketch.bounds.max());
    let ends: Vec<f64> = [&[min.x], seams, &[max.x]].concat();
    let plain = |left: f64, right: f64| {
        let own: Vec<f64> = levels
            .iter()
            .filter(|l| l.0 >= left - near && l.1 <= right + near)
            .map(|l| l.2)
            .collect();
        let low = own.iter().copied().fold(f64::INFINITY, f64::min);
        let high = own.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        right - left < FILLER * (high - low).max(0.0)
            && !own.iter().any(|y| *y > low + near && *y < high - near)
    };
    let at = ends.windows(2).position(|pair| match pair {
        [left, right] => plain(*left, *right),
        _ => false,
    })?;
    (!seams.is_empty()).then(|| at.saturating_sub(1))
}

/// The pieces of a view between its seams, left to right.
pub(super) fn pieces(sketch: &Sketch, seams: &[f64]) -> Vec<Sketch> {
    let size = sketch.bounds.width().max(sketch.bounds.height());
    let mut pieces = Vec::new();
    let mut rest = sketch.clone();
    for &seam in seams {
        let (left, right) = parted::cut(&rest, seam);
        pieces.push(left);
        rest = right;
    }
    pieces.push(rest);
    for piece in &mut pieces {
        shorten(piece, seams, runs::NEAR * size);
        piece.bounds = build::bounds(&piece.strokes).unwrap_or(piece.bounds);
    }
    pieces
}

/// Share of its width that a board or the edge of a front covers.
const ACROSS: f64 = 0.5;

/// True where boards or fronts are drawn across a piece between its lowest and its
/// highest line: the side of a case shows none.
pub(super) fn has_boards(piece: &Sketch, hidden: &dyn Fn(u32) -> bool) -> bool {
    let seen = piece.seen(hidden);
    let b = piece.bounds;
    let near = runs::NEAR * b.width().max(b.height());
    runs::levels(&seen).iter().any(|l| {
        l.1 - l.0 >= ACROSS * b.width() && l.2 > b.min().y + near && l.2 < b.max().y - near
    })
}

/// Which piece of a view between its seams each label stands on, from the left.
pub(super) fn places<'a>(
    labels: &'a [Label],
    seams: &'a [f64],
) -> impl Iterator<Item = usize> + 'a {
    let place = |label: &Label| seams.partition_point(|seam| *seam <= label.at.x);
    labels.iter().map(place)
}

/// Divides a view at its seams, whatever names stand on it; each name goes to the piece it
/// stands on, and a piece with several is divided between them.
pub(super) fn divide(
    sketch: &Sketch,
    seams: &[f64],
    hidden: &dyn Fn(u32) -> bool,
) -> Result<Division, Undivided> {
    let mut all = seams.to_vec();
    let mut parts = Vec::new();
    for (index, mut piece) in pieces(sketch, seams).into_iter().enumerate() {
        let labels = sketch.labels.iter().zip(places(&sketch.labels, seams));
        let own = labels.filter(|(_, place)| *place == index);
        piece.labels = own.map(|(label, _)| label.clone()).collect();
        match runs::divide(&piece, hidden) {
            Some(Ok(division)) => {
                parts.extend(division.parts);
                all.extend(division.seams);
            }
            Some(Err(undivided)) => return Err(undivided),
            None => {
                let name = piece.labels.first().map(|label| label.name.clone());
                piece.told.cabinets = name.into_iter().collect();
                piece.told.title = piece.told.title.filter(|_| !piece.told.cabinets.is_empty());
                piece.labels.clear();
                parts.push(piece);
            }
        }
    }
    all.sort_by(f64::total_cmp);
    Ok(Division {
        parts,
        seams: all,
        evidence: "divided where two sides are drawn one on the other and nothing is drawn across"
            .to_owned(),
    })
}

/// Ends the lines on a seam where all else of the piece ends: past that they are those of
/// a higher neighbour.
fn shorten(piece: &mut Sketch, seams: &[f64], near: f64) {
    let on = |stroke: &Stroke| {
        let b = stroke.bounds();
        let at = |x: f64| (b.min().x - x).abs() <= near && (b.max().x - x).abs() <= near;
        seams.iter().any(|seam| at(*seam))
    };
    let others = piece.strokes.iter().filter(|stroke| !on(stroke));
    let Some(own) = others.map(Stroke::bounds).reduce(unite) else {
        return;
    };
    for seam in seams {
        parted::end_on_seam(&mut piece.strokes, *seam, near, (own.min().y, own.max().y));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::Coord;

    /// The seam at a group of lines 700 high, all drawn twice, of a run from 0 to 1000; the
    /// uprights at `others` are as high.
    fn seam(group: &[f64], others: &[f64]) -> Option<f64> {
        let stroke = |x: &f64| Stroke {
            a: Coord { x: *x, y: 0.0 },
            b: Coord { x: *x, y: 700.0 },
            source: 0,
            pieces: 1,
        };
        let of = |at: &[f64]| {
            let strokes: Vec<Stroke> = at.iter().map(stroke).collect();
            runs::uprights(&[strokes.clone(), strokes].concat(), 0.8)
        };
        let (group, others) = (of(group), of(others));
        one_of(
            &group.iter().collect::<Vec<_>>(),
            0.0,
            &[1000.0],
            &others,
            0.8,
        )
    }

    #[test]
    fn the_seam_stands_between_the_inner_faces_of_two_sides() {
        assert_eq!(seam(&[382.0, 400.0, 418.0], &[]), Some(400.0));
        // Beside it the case of one, set back behind its frame.
        assert_eq!(seam(&[382.0, 396.8, 400.0, 418.0], &[]), Some(400.0));
        // Of two boards, each as thick as that at the other end of its cabinet.
        assert_eq!(seam(&[382.0, 400.0, 416.0], &[18.0, 984.0]), Some(400.0));
        assert_eq!(seam(&[384.0, 400.0, 418.0], &[16.0, 982.0]), Some(400.0));
    }

    #[test]
    fn of_two_lines_the_inner_face_is_as_far_from_it_as_at_the_other_end() {
        // That of the cabinet before, or of the one after.
        assert_eq!(seam(&[382.0, 400.0], &[18.0]), Some(400.0));
        assert_eq!(seam(&[400.0, 418.3], &[981.7]), Some(400.0));
        // Both are drawn: the one that is as far to a hair.
        assert_eq!(seam(&[400.0, 418.3], &[19.05, 981.7]), Some(400.0));
        assert_eq!(seam(&[381.7, 400.0], &[18.3, 980.95]), Some(400.0));
    }
}

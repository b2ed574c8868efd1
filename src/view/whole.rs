//! Lines as they were meant: repeats of a line are one, and a line that was cut
//! in two where nothing else meets it is whole again. What is drawn in pieces
//! looks the same to a person, so it must to everything that counts lines or
//! looks for a long one. Edges cut where others meet them stay as they are.

use super::flatten::Stroke;
use crate::drawing::{EntityKind, Sheet, Source};
use geo::Coord;
use std::collections::HashMap;

/// Sine of the largest bend in a line cut in two: what is left of rounding.
const BEND: f64 = 1e-6;

/// What two pieces of one line have in common.
type Pen = (EntityKind, u32, u32, u32, bool, bool);
/// A point, bit for bit: pieces of a cut line meet exactly.
type Spot = [u64; 2];

fn pen(source: &Source) -> Pen {
    (
        source.kind,
        source.layer,
        source.block_path,
        source.linetype,
        source.hidden,
        source.centre,
    )
}

fn spot(c: Coord<f64>) -> Spot {
    // Adding nought makes one nought of two.
    [(c.x + 0.0).to_bits(), (c.y + 0.0).to_bits()]
}

/// Ends of strokes at one point.
#[derive(Clone, Copy, Default)]
struct Meeting {
    count: u32,
    first: usize,
    second: usize,
}

/// Puts pieces together; each stroke then says how many drawn ones it stands for.
/// Keeps the order of the first pieces.
pub(super) fn whole(sheet: &Sheet, strokes: Vec<Stroke>) -> Vec<Stroke> {
    let pens: Vec<Option<Pen>> = sheet
        .sources
        .iter()
        .map(|source| {
            // Fillings are no lines, though they come as such.
            let filled = matches!(source.kind, EntityKind::Solid | EntityKind::Hatch);
            (!filled).then(|| pen(source))
        })
        .collect();
    let pen = |stroke: &Stroke| pens.get(stroke.source as usize).copied().flatten();
    let single = without_repeats(strokes, pen);
    let mut meetings: HashMap<Spot, Meeting> = HashMap::with_capacity(2 * single.len());
    for (index, stroke) in single.iter().enumerate() {
        for end in [stroke.a, stroke.b] {
            let meeting = meetings.entry(spot(end)).or_default();
            match meeting.count {
                0 => meeting.first = index,
                _ => meeting.second = index,
            }
            meeting.count += 1;
        }
    }
    // The stroke that goes on where `index` ends, and where that ends.
    let next = |index: usize, from: Coord<f64>, end: Coord<f64>| {
        let meeting = meetings.get(&spot(end))?;
        if meeting.count != 2 || meeting.first == meeting.second {
            return None;
        }
        let other = if meeting.first == index {
            meeting.second
        } else {
            meeting.first
        };
        let (this, that) = (single.get(index)?, single.get(other)?);
        let far = if spot(that.a) == spot(end) {
            that.b
        } else {
            that.a
        };
        let alike = pen(this).is_some() && pen(this) == pen(that);
        (alike && goes_on(from, end, far)).then_some((other, far))
    };
    let mut taken = vec![false; single.len()];
    let mut out = Vec::with_capacity(single.len());
    for (index, stroke) in single.iter().enumerate() {
        if std::mem::replace(&mut taken[index], true) {
            continue;
        }
        let mut one = *stroke;
        let mut longest = length(stroke);
        for forwards in [true, false] {
            let (mut at, mut from, mut end) = if forwards {
                (index, stroke.a, stroke.b)
            } else {
                (index, stroke.b, stroke.a)
            };
            while let Some((other, far)) = next(at, from, end) {
                if std::mem::replace(&mut taken[other], true) {
                    break;
                }
                let piece = single[other];
                one.pieces += piece.pieces;
                // The longest piece is the one to point at.
                if length(&piece) > longest {
                    longest = length(&piece);
                    one.source = piece.source;
                }
                (at, from, end) = (other, end, far);
            }
            if forwards {
                one.b = end;
            } else {
                one.a = end;
            }
        }
        out.push(one);
    }
    out
}

/// Strokes between the same points are one, whichever way they run.
fn without_repeats(strokes: Vec<Stroke>, pen: impl Fn(&Stroke) -> Option<Pen>) -> Vec<Stroke> {
    let mut seen: HashMap<(Pen, Spot, Spot), usize> = HashMap::with_capacity(strokes.len());
    let mut out: Vec<Stroke> = Vec::with_capacity(strokes.len());
    for stroke in strokes {
        let Some(pen) = pen(&stroke) else {
            out.push(stroke);
            continue;
        };
        let (a, b) = (spot(stroke.a), spot(stroke.b));
        match seen.entry((pen, a.min(b), a.max(b))) {
            std::collections::hash_map::Entry::Occupied(first) => {
                out[*first.get()].pieces += stroke.pieces;
            }
            std::collections::hash_map::Entry::Vacant(none) => {
                none.insert(out.len());
                out.push(stroke);
            }
        }
    }
    out
}

fn length(stroke: &Stroke) -> f64 {
    (stroke.b.x - stroke.a.x).hypot(stroke.b.y - stroke.a.y)
}

/// True when the way from `end` to `far` goes straight on from that to `end`.
fn goes_on(from: Coord<f64>, end: Coord<f64>, far: Coord<f64>) -> bool {
    let (d, e) = (end - from, far - end);
    let (lengths, along) = (d.x.hypot(d.y) * e.x.hypot(e.y), d.x * e.x + d.y * e.y);
    along > 0.0 && (d.x * e.y - d.y * e.x).abs() <= BEND * lengths
}

#[cfg(test)]
mod tests {
    use super::*;

    fn put(lines: &[[f64; 4]], layers: &[u32]) -> Vec<Stroke> {
        let mut sheet = Sheet::default();
        let strokes = lines
            .iter()
            .zip(layers)
            .enumerate()
            .map(|(index, ([ax, ay, bx, by], layer))| {
                sheet.sources.push(Source {
                    kind: EntityKind::Line,
                    handle: 0,
                    layer: *layer,
                    block_path: 0,
                    linetype: 0,
                    hidden: false,
                    centre: false,
                    position: 0,
                });
                Stroke {
                    a: Coord { x: *ax, y: *ay },
                    b: Coord { x: *bx, y: *by },
                    source: index as u32,
                    pieces: 1,
                }
            })
            .collect();
        whole(&sheet, strokes)
    }

    fn spans(strokes: &[Stroke]) -> Vec<([f64; 4], u32, u32)> {
        strokes
            .iter()
            .map(|s| ([s.a.x, s.a.y, s.b.x, s.b.y], s.source, s.pieces))
            .collect()
    }

    #[test]
    fn a_line_cut_in_three_is_one_and_points_at_its_longest_piece() {
        let lines = [
            [4.0, 0.0, 3.0, 0.0],
            [0.0, 0.0, 3.0, 0.0],
            [4.0, 0.0, 5.0, 0.0],
        ];
        let found = put(&lines, &[0, 0, 0]);
        assert_eq!(spans(&found), [([5.0, 0.0, 0.0, 0.0], 1, 3)]);
    }

    #[test]
    fn repeats_count_as_one_whichever_way_they_run() {
        let lines = [
            [0.0, 0.0, 3.0, 1.0],
            [3.0, 1.0, 0.0, -0.0],
            [0.0, 0.0, 3.0, 1.0],
        ];
        let found = put(&lines, &[0, 0, 0]);
        assert_eq!(spans(&found), [([0.0, 0.0, 3.0, 1.0], 0, 3)]);
    }

    #[test]
    fn an_edge_stays_cut_where_another_line_meets_it_or_the_pen_changes() {
        let met = [
            [0.0, 0.0, 3.0, 0.0],
            [3.0, 0.0, 5.0, 0.0],
            [3.0, 0.0, 3.0, 9.0],
        ];
        assert_eq!(put(&met, &[0, 0, 0]).len(), 3);
        let pens = [[0.0, 0.0, 3.0, 0.0], [3.0, 0.0, 5.0, 0.0]];
        assert_eq!(put(&pens, &[0, 1]).len(), 2);
        assert_eq!(put(&pens, &[1, 1]).len(), 1);
    }

    #[test]
    fn corners_and_lines_that_come_back_are_no_cuts() {
        let corner = [[0.0, 0.0, 3.0, 0.0], [3.0, 0.0, 3.0, 2.0]];
        assert_eq!(put(&corner, &[0, 0]).len(), 2);
        let back = [[0.0, 0.0, 3.0, 0.0], [3.0, 0.0, 1.0, 0.0]];
        assert_eq!(put(&back, &[0, 0]).len(), 2);
    }
}

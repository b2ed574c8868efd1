//! Lines as they were meant: repeats of a line are one, and a line that was cut
//! in two where nothing else meets it is whole again. What is drawn in pieces
//! looks the same to a person, so it must to everything that counts lines or
//! looks for a long one. Edges cut where others meet them stay as they are.

use super::flatten::{Stroke, end_of, unite};
use crate::drawing::{EntityKind, Sheet, Source};
use foldhash::fast::FixedState;
use geo::Coord;
use rayon::prelude::*;
use smallvec::SmallVec;
use std::collections::BTreeMap;
use std::hash::BuildHasher;
use std::sync::atomic::{AtomicU32, Ordering::Relaxed};

/// Sine of the largest bend in a line cut in two: what is left of rounding.
const BEND: f64 = 1e-6;

/// What two pieces of one line have in common.
type Pen = (EntityKind, u32, u32, u32, bool, bool);
/// A point, bit for bit: pieces of a cut line meet exactly.
type Spot = [u64; 2];

/// No pen, or no end of a stroke.
const NONE: u32 = u32::MAX;

fn spot(c: Coord<f64>) -> Spot {
    // Adding nought makes one nought of two.
    [(c.x + 0.0).to_bits(), (c.y + 0.0).to_bits()]
}

/// The number of its pen for each source; [`NONE`] for fillings, which are no
/// lines though they come as such.
fn pens(sources: &[Source]) -> Vec<u32> {
    let mut numbers: BTreeMap<Pen, u32> = BTreeMap::new();
    let mut last: Option<(Pen, u32)> = None;
    sources
        .iter()
        .map(|source| {
            if matches!(source.kind, EntityKind::Solid | EntityKind::Hatch) {
                return NONE;
            }
            let pen = (
                source.kind,
                source.layer,
                source.block_path,
                source.linetype,
                source.hidden,
                source.centre,
            );
            // Neighbours in a file are drawn alike as a rule.
            if let Some((_, number)) = last.filter(|(same, _)| *same == pen) {
                return number;
            }
            let next = numbers.len() as u32;
            let number = *numbers.entry(pen).or_insert(next);
            last = Some((pen, number));
            number
        })
        .collect()
}

/// An end of a stroke, in one number that sorts those at one point together: from the
/// top, what is told by its point (64 bits: part of the sheet and hash, so that what is
/// drawn together stands together, near in memory to its strokes), hash of the pen and of
/// the other end (32), number of the end (32: 2i and 2i + 1 are those of stroke i).
#[derive(Clone, Copy)]
struct End(u128);

impl End {
    fn new(spot: u64, rest: u32, end: u32) -> Self {
        Self(u128::from(spot) << 64 | u128::from(rest) << 32 | u128::from(end))
    }

    fn spot(self) -> u64 {
        (self.0 >> 64) as u64
    }

    /// All but its number.
    fn stroke(self) -> u128 {
        self.0 >> 32
    }

    fn end(self) -> u32 {
        self.0 as u32
    }
}

/// Puts pieces together; each stroke then says how many drawn ones it stands for.
/// Keeps the order of the first pieces.
pub(super) fn whole(sheet: &Sheet, mut strokes: Vec<Stroke>) -> Vec<Stroke> {
    let pens = pens(&sheet.sources);
    let pen = |stroke: &Stroke| {
        let pen = pens.get(stroke.source as usize).copied();
        pen.filter(|&pen| pen != NONE)
    };
    let ends = ends(&strokes, pen);
    let repeats = take_repeats(&mut strokes, &ends, pen);
    let mates = mates(&strokes, &ends, repeats);
    drop(ends);
    // The end at the far side of the stroke that goes straight on at `end`.
    let next = |end: u32| {
        let mate = mates[end as usize];
        if mate == NONE {
            return None;
        }
        let far = mate ^ 1;
        let (this, that) = (&strokes[end as usize / 2], &strokes[mate as usize / 2]);
        let alike = pen(this).is_some() && pen(this) == pen(that);
        let at = |end| end_of(&strokes, end);
        // Hashes may be equal by chance.
        let meet = spot(at(end)) == spot(at(mate));
        (alike && meet && goes_on(at(end ^ 1), at(end), at(far))).then_some(far)
    };
    let numbers = (0..strokes.len()).into_par_iter();
    let cut: Vec<usize> = numbers
        .filter(|&index| [0, 1].map(|side| next(2 * index as u32 + side)) != [None; 2])
        .collect();
    let mut taken = vec![false; strokes.len()];
    let mut longer: Vec<(usize, Stroke)> = Vec::new();
    let mut absorbed: Vec<usize> = Vec::new();
    for index in cut {
        if std::mem::replace(&mut taken[index], true) {
            continue;
        }
        let stroke = &strokes[index];
        let mut one = *stroke;
        let mut longest = length(stroke);
        for side in [1, 0] {
            let mut end = 2 * index as u32 + side;
            while let Some(far) = next(end) {
                let other = far as usize / 2;
                if std::mem::replace(&mut taken[other], true) {
                    break;
                }
                absorbed.push(other);
                let piece = strokes[other];
                one.pieces += piece.pieces;
                // The longest piece is the one to point at.
                if length(&piece) > longest {
                    longest = length(&piece);
                    one.source = piece.source;
                }
                end = far;
            }
            if side == 1 {
                one.b = end_of(&strokes, end);
            } else {
                one.a = end_of(&strokes, end);
            }
        }
        if one.pieces > stroke.pieces {
            longer.push((index, one));
        }
    }
    for (index, one) in longer {
        strokes[index] = one;
    }
    for index in absorbed {
        strokes[index].pieces = 0;
    }
    strokes.retain(|stroke| stroke.pieces > 0);
    strokes
}

/// Bits for the part of the sheet across, and as many up.
const PART_BITS: u32 = 12;

/// A sheet in parts, 2^[`PART_BITS`] across and as many up.
struct Parts {
    corner: Coord<f64>,
    /// Parts in a unit across, and up.
    worth: Coord<f64>,
}

impl Parts {
    fn of(strokes: &[Stroke]) -> Self {
        let bounds = strokes.par_iter().map(Stroke::bounds).reduce_with(unite);
        let most = f64::from((1_u32 << PART_BITS) - 1);
        let worth = |side: f64| if side > 0.0 { most / side } else { 0.0 };
        Self {
            corner: bounds.map_or(Coord::default(), |b| b.min()),
            worth: bounds.map_or(Coord::default(), |b| Coord {
                x: worth(b.width()),
                y: worth(b.height()),
            }),
        }
    }

    /// Of the part a point lies in, in the highest bits; those of parts in one quarter of
    /// the sheet have their two highest in common, those in one of its quarters two more.
    fn number(&self, c: Coord<f64>) -> u64 {
        let at = c - self.corner;
        let across = apart((at.x * self.worth.x) as u32);
        let up = apart((at.y * self.worth.y) as u32);
        (across << 1 | up) << (64 - 2 * PART_BITS)
    }
}

/// The bits of a number below 2^16 with a nought before each.
fn apart(number: u32) -> u64 {
    let mut bits = u64::from(number);
    for (by, kept) in [
        (8, 0x00ff_00ff),
        (4, 0x0f0f_0f0f),
        (2, 0x3333_3333),
        (1, 0x5555_5555),
    ] {
        bits = (bits | bits << by) & kept;
    }
    bits
}

/// Ends in heaps by the part of the sheet, and each sorted, so that those at one point
/// stand together: less memory than a table, and all cores can work at it.
fn ends(strokes: &[Stroke], pen: impl Fn(&Stroke) -> Option<u32> + Sync) -> Vec<Vec<End>> {
    let hasher = FixedState::default();
    let parts = Parts::of(strokes);
    let bits = heap_bits(strokes.len());
    let count = 1 << bits;
    let into_heaps = |(first, share): (usize, &[Stroke])| {
        let mut heaps: Vec<Vec<End>> = vec![Vec::new(); count];
        for (index, stroke) in share.iter().enumerate() {
            let pen = pen(stroke).map_or(NONE, |pen| hasher.hash_one(pen) as u32);
            let [a, b] = [stroke.a, stroke.b].map(|end| hasher.hash_one(spot(end)));
            let number = 2 * (first + index) as u32;
            for (at, here, there, number) in
                [(stroke.a, a, b, number), (stroke.b, b, a, number + 1)]
            {
                let part = parts.number(at);
                let end = End::new(part | here >> (2 * PART_BITS), there as u32 ^ pen, number);
                heaps[(part >> (64 - bits)) as usize].push(end);
            }
        }
        heaps
    };
    let share = strokes
        .len()
        .div_ceil(4 * rayon::current_num_threads())
        .max(1);
    let shares: Vec<Vec<Vec<End>>> = strokes
        .par_chunks(share)
        .enumerate()
        .map(|(number, strokes)| into_heaps((number * share, strokes)))
        .collect();
    let mut heaps: Vec<Vec<Vec<End>>> = vec![Vec::with_capacity(shares.len()); count];
    for share in shares {
        for (heap, ends) in heaps.iter_mut().zip(share) {
            heap.push(ends);
        }
    }
    let sorted = heaps.into_par_iter().map(|heap| {
        let mut ends = heap.concat();
        ends.sort_unstable_by_key(|end| end.0);
        ends
    });
    sorted.collect()
}

/// Bits in the number of a heap: so many heaps that each stays near the core that sorts it.
fn heap_bits(strokes: usize) -> u32 {
    const MANY: usize = if cfg!(test) { 4 } else { 2048 };
    (strokes / MANY)
        .checked_ilog2()
        .unwrap_or(0)
        .clamp(1, PART_BITS)
}

/// Strokes between the same points are one, whichever way they run: repeats are left
/// without pieces. True when there are any.
fn take_repeats(
    strokes: &mut [Stroke],
    ends: &[Vec<End>],
    pen: impl Fn(&Stroke) -> Option<u32> + Sync,
) -> bool {
    let key = |end: u32| {
        let pen = pen(&strokes[end as usize / 2])?;
        let [here, there] = [end, end ^ 1].map(|end| spot(end_of(strokes, end)));
        // Once for each stroke, at the lesser of its ends.
        let lesser = here < there || (here == there && end.is_multiple_of(2));
        lesser.then_some((pen, here, there))
    };
    let pairs: Vec<(usize, usize)> = ends
        .par_iter()
        .flat_map_iter(|heap| heap.chunk_by(|p, q| p.stroke() == q.stroke()))
        .filter(|same| same.len() > 1)
        .flat_map_iter(|same| {
            let index = |end: u32| end as usize / 2;
            let ends = same.iter().map(|end| end.end());
            // Mostly of one key: others have an equal hash by chance.
            let mut same: SmallVec<[_; 4]> = ends
                .filter_map(|end| Some((key(end)?, index(end))))
                .collect();
            same.sort_unstable();
            let alike = same.chunk_by(|p, q| p.0 == q.0);
            let pairs = alike.flat_map(|alike| {
                let rest = alike.iter().skip(1);
                rest.map(|repeat| (alike[0].1, repeat.1))
            });
            pairs.collect::<SmallVec<[_; 4]>>()
        })
        .collect();
    for &(first, repeat) in &pairs {
        let pieces = std::mem::take(&mut strokes[repeat].pieces);
        strokes[first].pieces += pieces;
    }
    !pairs.is_empty()
}

/// Which other end each one meets, where just two meet.
fn mates(strokes: &[Stroke], ends: &[Vec<End>], repeats: bool) -> Vec<u32> {
    let nobody = |_| AtomicU32::new(NONE);
    let mates: Vec<AtomicU32> = (0..2 * strokes.len()).into_par_iter().map(nobody).collect();
    let meetings = ends
        .par_iter()
        .flat_map_iter(|heap| heap.chunk_by(|p, q| p.spot() == q.spot()));
    meetings.for_each(|meeting| {
        let drawn = |end: &&End| !repeats || strokes[end.end() as usize / 2].pieces > 0;
        let mut drawn = meeting.iter().filter(drawn).map(|end| end.end());
        if let (Some(one), Some(other), None) = (drawn.next(), drawn.next(), drawn.next())
            && one / 2 != other / 2
        {
            mates[one as usize].store(other, Relaxed);
            mates[other as usize].store(one, Relaxed);
        }
    });
    mates.into_iter().map(AtomicU32::into_inner).collect()
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

    /// Unordered ends and pieces of each, sorted: found by comparing each line with each.
    fn slow(lines: &[[f64; 4]], layers: &[u32]) -> Vec<([[u64; 2]; 2], u32)> {
        struct Line {
            ends: [Coord<f64>; 2],
            layer: u32,
            pieces: u32,
        }
        let sorted = |ends: [Coord<f64>; 2]| {
            let mut spots = ends.map(spot);
            spots.sort_unstable();
            spots
        };
        let mut kept: Vec<Line> = Vec::new();
        for (&[ax, ay, bx, by], &layer) in lines.iter().zip(layers) {
            let ends = [Coord { x: ax, y: ay }, Coord { x: bx, y: by }];
            let same = |k: &&mut Line| k.layer == layer && sorted(k.ends) == sorted(ends);
            match kept.iter_mut().find(same) {
                Some(line) => line.pieces += 1,
                None => kept.push(Line {
                    ends,
                    layer,
                    pieces: 1,
                }),
            }
        }
        // One meeting of two lines that go straight on, and of no other.
        let cut = |kept: &[Line]| {
            let ends = || (0..kept.len()).flat_map(|line| [(line, 0), (line, 1)]);
            ends().find_map(|(line, side)| {
                let at = kept[line].ends[side];
                let mut here = ends().filter(|&(l, s)| spot(kept[l].ends[s]) == spot(at));
                let ((p, i), (q, j), None) = (here.next()?, here.next()?, here.next()) else {
                    return None;
                };
                let [far, other] = [kept[p].ends[1 - i], kept[q].ends[1 - j]];
                let joined = p != q && kept[p].layer == kept[q].layer && goes_on(far, at, other);
                joined.then_some((p, q, [far, other]))
            })
        };
        while let Some((p, q, ends)) = cut(&kept) {
            let gone = kept.remove(p.max(q));
            let line = &mut kept[p.min(q)];
            (line.ends, line.pieces) = (ends, line.pieces + gone.pieces);
        }
        let mut found: Vec<_> = kept.iter().map(|l| (sorted(l.ends), l.pieces)).collect();
        found.sort_unstable();
        found
    }

    proptest::proptest! {
        #[test]
        fn heaps_find_what_comparing_all_lines_finds(
            drawn in proptest::collection::vec((0..9_u8, 0..9_u8, 0..4_u8, 1..3_u8, 0..2_u32), 1..70),
        ) {
            let lines: Vec<[f64; 4]> = drawn.iter().map(|&(x, y, way, long, _)| {
                let (x, y, long) = (f64::from(x), f64::from(y), f64::from(long));
                let (dx, dy) = [(1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (-1.0, 0.0)][usize::from(way)];
                [x, y, x + dx * long, y + dy * long]
            }).collect();
            let layers: Vec<u32> = drawn.iter().map(|line| line.4).collect();
            let spots = |s: &Stroke| {
                let mut spots = [spot(s.a), spot(s.b)];
                spots.sort_unstable();
                (spots, s.pieces)
            };
            let mut found: Vec<_> = put(&lines, &layers).iter().map(spots).collect();
            found.sort_unstable();
            proptest::prop_assert_eq!(found, slow(&lines, &layers));
        }
    }
}

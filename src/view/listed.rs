//! The worth of a drawing unit by the sizes of the list: where nothing in the drawing
//! tells its scale, most of the listed sizes are drawn at one usual worth and hardly any
//! at every other. The list only picks among the worths that drawings are made at; a
//! wrong size in it cannot shift the one picked.

use super::plausible::{Belief, Look};

/// Sizes shorter than this are thicknesses and the like, which any drawing has.
const SHORTEST_MM: f64 = 60.0;
/// A size is drawn where a distance is this near to it.
const NEAR_MM: f64 = 0.2;
/// So many sizes, and such a share of them, are drawn at the right worth.
const LEAST: usize = 6;
const SHARE: f64 = 0.6;
/// At any other worth no more than this share of those are met by chance.
const BY_CHANCE: f64 = 0.5;
/// Most sizes looked at.
const SIZES: usize = 200;

/// What the sizes of the list say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Listed {
    pub mm: f64,
    pub met: usize,
    pub of: usize,
    /// How many are met at the next best worth.
    pub next: usize,
}

/// The one of `worths` (millimetres for a drawing unit) at which the list's sizes are
/// drawn; `None` where no worth stands out.
pub(super) fn worth(
    look: &Look,
    sizes: &[f64],
    worths: impl Iterator<Item = f64>,
) -> Option<Listed> {
    let mut sizes: Vec<f64> = sizes
        .iter()
        .copied()
        .filter(|s| *s >= SHORTEST_MM)
        .collect();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup_by(|a, b| *a - *b <= NEAR_MM);
    sizes.truncate(SIZES);
    if sizes.len() < LEAST {
        return None;
    }
    let mut worths: Vec<f64> = worths
        .filter(|mm| look.belief(*mm) != Belief::Poor)
        .collect();
    worths.sort_by(f64::total_cmp);
    worths.dedup_by(|a, b| *a / *b - 1.0 < 1e-6);
    let spans = look.spans();
    let drawn = |size: f64, mm: f64| {
        let first = spans.partition_point(|span| span * mm < size - NEAR_MM);
        spans
            .get(first)
            .is_some_and(|span| span * mm <= size + NEAR_MM)
    };
    let met = |mm: f64| sizes.iter().filter(|size| drawn(**size, mm)).count();
    let mut found: Vec<(usize, f64)> = worths.into_iter().map(|mm| (met(mm), mm)).collect();
    found.sort_by(|p, q| q.0.cmp(&p.0).then(p.1.total_cmp(&q.1)));
    let (met, mm) = *found.first()?;
    let next = found.get(1).map_or(0, |other| other.0);
    let of = sizes.len();
    let enough = met >= LEAST && met as f64 >= SHARE * of as f64;
    (enough && next as f64 <= BY_CHANCE * met as f64).then_some(Listed { mm, met, of, next })
}

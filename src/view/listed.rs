//! The worth of a drawing unit by the sizes of the list: where nothing in the drawing
//! tells its scale, most of the listed sizes are drawn at one usual worth and hardly any
//! at every other. The list only picks among the worths that drawings are made at; a
//! wrong size in it cannot shift the one picked.
//!
//! A drawing of some of the list's cabinets has their sizes and no others, and the
//! drawings of a job that say the same of themselves show the sizes between them.

use super::ListedSize;
use super::plausible::{Belief, Look};
use super::witness::plain;

/// Sizes shorter than this are thicknesses and the like, which any drawing has.
const SHORTEST_MM: f64 = 60.0;
/// A size is drawn where a distance is this near to it.
const NEAR_MM: f64 = 0.2;
/// So many sizes, and such a share of them, are drawn at the right worth.
const LEAST: usize = 6;
const SHARE: f64 = 0.6;
/// At any other worth no more than this share of those are met by chance.
const BY_CHANCE: f64 = 0.5;
/// Where hardly any is missed at the right worth, chance may meet more of them in a
/// crowded drawing: so many are missed at any other, and so many times as often.
const MISSED: usize = 6;
const MORE_MISSED: usize = 6;
/// So many sizes each of several drawings shows for itself at the worth they have
/// together.
const OF_EACH: usize = 3;
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

impl Listed {
    /// The evidence in words.
    pub fn sentence(&self) -> String {
        format!(
            "{} of {} sizes of the list are drawn where a drawing unit is {} mm, at no other usual scale more than {}",
            self.met,
            self.of,
            plain(self.mm),
            self.next
        )
    }
}

/// The one of `worths` (millimetres for a drawing unit) at which the list's sizes are
/// drawn; `None` where no worth stands out. `cabinets` are those the drawings show, none
/// where they name none; each look is that of one drawing.
pub(super) fn worth(
    looks: &[&Look],
    listed: &[ListedSize],
    cabinets: &[String],
    worths: impl Iterator<Item = f64>,
) -> Option<Listed> {
    let mut worths: Vec<f64> = worths
        .filter(|mm| looks.iter().all(|look| look.belief(*mm) != Belief::Poor))
        .collect();
    worths.sort_by(f64::total_cmp);
    worths.dedup_by(|a, b| *a / *b - 1.0 < 1e-6);
    let spans: Vec<Vec<f64>> = looks.iter().map(|look| look.spans()).collect();
    let named = |size: &&ListedSize| size.cabinets.iter().any(|name| cabinets.contains(name));
    let own = distinct(listed.iter().filter(named));
    let all = distinct(listed.iter());
    let of_own = stands_out(&spans, &own, &worths);
    let of_all = stands_out(&spans, &all, &worths);
    let differ = |(own, all): (Listed, Listed)| own.mm != all.mm;
    (!of_own.zip(of_all).is_some_and(differ))
        .then_some(of_own.or(of_all))
        .flatten()
}

/// Sizes long enough, each once, from the shortest.
fn distinct<'a>(sizes: impl Iterator<Item = &'a ListedSize>) -> Vec<f64> {
    let long = |size: &&ListedSize| size.mm >= SHORTEST_MM;
    let mut sizes: Vec<f64> = sizes.filter(long).map(|size| size.mm).collect();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup_by(|a, b| *a - *b <= NEAR_MM);
    sizes.truncate(SIZES);
    sizes
}

/// True when a distance of a drawing, from the shortest, is as long as the size.
fn drawn(spans: &[f64], size: f64, mm: f64) -> bool {
    let first = spans.partition_point(|span| span * mm < size - NEAR_MM);
    spans
        .get(first)
        .is_some_and(|span| span * mm <= size + NEAR_MM)
}

/// The worth at which far more of the sizes are drawn than at any other.
fn stands_out(spans: &[Vec<f64>], sizes: &[f64], worths: &[f64]) -> Option<Listed> {
    let of = sizes.len();
    if of < LEAST {
        return None;
    }
    let count = |spans: &[Vec<f64>], mm: f64| {
        let any = |size: &&f64| spans.iter().any(|spans| drawn(spans, **size, mm));
        sizes.iter().filter(any).count()
    };
    let best = |spans: &[Vec<f64>]| {
        let mut found: Vec<(usize, f64)> =
            worths.iter().map(|&mm| (count(spans, mm), mm)).collect();
        found.sort_by(|p, q| q.0.cmp(&p.0).then(p.1.total_cmp(&q.1)));
        let next = found.get(1).map_or(0, |other| other.0);
        found.first().map(|&(met, mm)| (mm, met, next))
    };
    let (mm, met, next) = best(spans)?;
    let clear = next as f64 <= BY_CHANCE * met as f64
        || (of - next >= MISSED && of - next >= MORE_MISSED * (of - met));
    let each = spans.len() < 2
        || spans.iter().all(|own| {
            best(std::slice::from_ref(own)).is_some_and(|(own, met, next)| {
                own == mm && met >= OF_EACH && next as f64 <= BY_CHANCE * met as f64
            })
        });
    let enough = met >= LEAST && met as f64 >= SHARE * of as f64;
    (enough && clear && each).then_some(Listed { mm, met, of, next })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Sheet;
    use crate::view::sample::Draft;
    use crate::view::{Hints, Pages, Scale};
    use std::collections::BTreeMap;

    fn row(cabinet: &str, sizes: &[f64]) -> Vec<ListedSize> {
        let size = |mm: &f64| ListedSize {
            cabinets: vec![cabinet.to_owned()],
            mm: *mm,
        };
        sizes.iter().map(size).collect()
    }

    /// Millimetres for a unit in each view, as the list tells it.
    fn told(mut sheets: Vec<Sheet>, sizes: Vec<ListedSize>) -> Vec<Option<f64>> {
        let mut names: Vec<String> = sizes.iter().flat_map(|s| s.cabinets.clone()).collect();
        names.sort();
        names.dedup();
        let hints = Hints {
            names,
            sizes,
            ..Hints::default()
        };
        let (pages, hints) = Pages::of(&mut sheets, || hints);
        let views = pages.read(&sheets, &hints, &BTreeMap::new()).views;
        let mm = |scale: &Scale| match scale {
            Scale::Known { mm_per_unit, .. } => Some(*mm_per_unit),
            Scale::Unknown { .. } => None,
        };
        views.iter().map(|view| mm(&view.scale)).collect()
    }

    const OF_B1: [f64; 6] = [612.0, 803.0, 557.0, 590.0, 531.0, 781.0];
    const OF_B2: [f64; 6] = [433.0, 717.0, 487.0, 403.5, 459.0, 697.0];

    fn front(file: &str, title: &str) -> Draft {
        Draft::new(file)
            .text(title, 10.0, -6.0, 2.0)
            .case(0.0, 0.0, 61.2, 80.3, 1.1)
    }

    #[test]
    fn a_drawing_of_one_cabinet_is_held_against_its_rows_alone() {
        let sheet = || {
            let both = front("B1.dxf", "B1 FRONT").case(90.0, 0.0, 55.7, 80.3, 1.3);
            vec![both.text("B1 END", 95.0, -6.0, 2.0).sheet()]
        };
        let rows = |second: &str| [row("B1", &OF_B1), row(second, &OF_B2)].concat();
        // Half of the sizes of both cabinets are drawn, and all of one.
        assert_eq!(told(sheet(), rows("B2")), [Some(10.0); 2]);
        assert_eq!(told(sheet(), rows("B1")), [None; 2]);
    }

    #[test]
    fn drawings_of_one_cabinet_show_the_sizes_between_them() {
        let end = |wide: f64| {
            let end = Draft::new("B1 END.dxf").text("B1 END", 10.0, -6.0, 2.0);
            end.case(0.0, 0.0, wide, 80.3, 1.3).sheet()
        };
        let front = || front("B1 FRONT.dxf", "B1 FRONT").sheet();
        let listed = || row("B1", &OF_B1);
        assert_eq!(told(vec![front()], listed()), [None]);
        assert_eq!(told(vec![front(), end(55.7)], listed()), [Some(10.0); 2]);
        // One that shows two of them only may be drawn otherwise.
        assert_eq!(told(vec![front(), end(54.0)], listed()), [None; 2]);
    }

    #[test]
    fn figures_without_a_unit_bear_out_no_header_against_the_list() {
        // Centimetres, as the list tells, under a header of inches, feet or centimetres.
        let sheet = |code: i64, typed: &str| {
            let both = front("B1.dxf", "B1 FRONT").case(90.0, 0.0, 55.7, 80.3, 1.3);
            let both = both.dimension([0.0, 0.0], [61.2, 0.0], -9.0, Some(typed));
            both.text("B1 END", 95.0, -6.0, 2.0).units(code).sheet()
        };
        for code in [1, 2, 5] {
            let found = told(vec![sheet(code, "61.2")], row("B1", &OF_B1));
            assert_eq!(found, [Some(10.0); 2], "{code}");
        }
        // A figure with its unit does.
        let inches = told(vec![sheet(1, "61.2\"")], row("B1", &OF_B1));
        assert_eq!(inches, [Some(25.4); 2]);
    }

    #[test]
    fn a_crowded_drawing_meets_many_sizes_by_chance_and_misses_none_at_its_own_worth() {
        // Of some sizes the half is drawn as well: those are met at twice the worth too.
        let found = |halves: usize, wrong: usize| {
            let sizes: Vec<f64> = (0..14).map(|n| 300.0 + 41.0 * f64::from(n)).collect();
            let more = sizes.iter().take(halves).map(|mm| mm / 2.0);
            let mut spans: Vec<f64> = sizes.iter().skip(wrong).copied().chain(more).collect();
            spans.sort_by(f64::total_cmp);
            stands_out(&[spans], &sizes, &[0.5, 1.0, 2.0]).map(|found| found.mm)
        };
        assert_eq!(found(7, 0), Some(1.0));
        assert_eq!(found(8, 0), Some(1.0));
        assert_eq!(found(8, 1), Some(1.0));
        assert_eq!(found(8, 2), None);
        assert_eq!(found(9, 0), None);
    }
}

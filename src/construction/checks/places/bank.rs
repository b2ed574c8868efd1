//! Banks of drawer fronts over one undivided opening: whether they fill it, and which
//! of them is wrong where they do not.

use super::super::{Cell, Check, Topic, Verdict, at, of_cell, per_cabinet, some};
use super::{Drawers, Here, faces};
use crate::construction::{Expected, Origin, PartSize};
use crate::cutlist::{Row, SizeCell};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use std::collections::BTreeSet;

/// A row of fronts of a bank.
struct Front<'a> {
    row: &'a Row,
    /// Its height.
    cell: &'a SizeCell,
    count: u32,
}

impl<'a> Here<'a> {
    /// Drawer fronts that share one undivided opening: with the gaps between them they
    /// are as high as one front over all of it.
    pub(super) fn bank(&self, found: &mut Vec<Check>) -> Option<Drawers> {
        let facts = self.facts;
        let [opening] = self.cabinet.openings.as_slice() else {
            return None;
        };
        let (doors, _) = facts.listed(self.name, Role::Door)?;
        let (count, rows) = facts.listed(self.name, Role::DrawerFront)?;
        if doors > 0 || count == 0 || opening.high.is_none() {
            return None;
        }
        let drawers = Some(Drawers::Known {
            count,
            places: None,
            by: "listed",
        });
        let scope = facts.scope(self.cabinet).at_opening(0, Some(1));
        let size = |name: &str| {
            let known = scope.look_up(name).ok()?;
            (!matches!(known.origin, Origin::Inferred { .. })).then(|| {
                known
                    .value
                    .value
                    .to_length()
                    .map(|value| (value, known.origin))
            })?
        };
        let answer = facts.rules.answer(self.cabinet, "front");
        let edges = match answer.as_ref().map(|answer| answer.word) {
            Some("full-overlay") => size("cover.below")
                .zip(size("cover.above"))
                .map(|((below, a), (above, b))| (below + above, a.max(b))),
            Some("overlay") => size("overlay").map(|(over, origin)| (over * 2, origin)),
            Some("inset") => size("reveal").map(|(reveal, origin)| (-(reveal * 2), origin)),
            _ => None,
        };
        let (Some(answer), Some((edges, a)), Some((height, b)), Some((gap, c))) = (
            answer.filter(|answer| !matches!(answer.origin, Origin::Inferred { .. })),
            edges,
            size("opening.height"),
            if count > 1 {
                size("gap")
            } else {
                Some((Length::ZERO, Origin::Drawn))
            },
        ) else {
            return drawers;
        };
        let whole = height + edges;
        let across = facts.rules.expect(
            self.cabinet,
            PartSize {
                role: Role::DrawerFront,
                axis: Axis::Across,
            },
        );
        let mut total = gap * i64::from(count.saturating_sub(1));
        let mut fronts = Vec::new();
        for &row in &rows {
            let Some(cell) = self.height(row, &across) else {
                return drawers;
            };
            let count = per_cabinet(row)?;
            total += cell.value * i64::from(count);
            fronts.push(Front { row, cell, count });
        }
        // One tolerance for each front that is cut.
        let tolerance = facts
            .rules
            .tolerance_at(Some(Role::DrawerFront), whole)
            .value
            * i64::from(count);
        let same = (total - whole).abs() <= tolerance;
        let sentence = format!(
            "{}: {} listed with {} between them are {} high; together they should be {}",
            self.name,
            some(count, Role::DrawerFront),
            facts.show(gap),
            facts.show(total),
            facts.show(whole)
        );
        let heights = || fronts.iter().map(|front| of_cell(front.row, front.cell));
        let cells: Vec<Cell> = if same {
            let counted = fronts.iter().filter(|front| front.row.quantity.column > 0);
            let quantities = counted.map(|front| at(front.row, Dimension::Quantity));
            heights().chain(quantities).collect()
        } else {
            self.odd_one(&fronts, total - whole, gap, tolerance)
                .map_or_else(|| heights().collect(), |cell| vec![cell])
        };
        found.push(
            Check::new(Topic::Fronts, Verdict::of(same), sentence)
                .of([self.name])
                .resting_on(answer.origin.max(a).max(b).max(c))
                .at_rows(cells)
                .sizes(whole, total, tolerance),
        );
        drawers
    }

    /// The one figure that alone accounts for a bank too high by `over`: a count, or the
    /// height that would be that of other fronts if it was put right. `None` where there
    /// are several such, or none.
    fn odd_one(
        &self,
        fronts: &[Front<'_>],
        over: Length,
        gap: Length,
        tolerance: Length,
    ) -> Option<Cell> {
        let near = |a: Length, b: Length| (a - b).abs() <= tolerance;
        let counts: Vec<&Front<'_>> = fronts
            .iter()
            .filter(|front| front.row.quantity.column > 0)
            .filter(|front| {
                let each = front.cell.value + gap;
                let fewer = (1..i64::from(front.count)).any(|n| near(each * n, over));
                let more = (1..=i64::from(front.count)).any(|n| near(each * n, -over));
                fewer || more
            })
            .collect();
        let right = |front: &Front<'_>| {
            let ticks = over.ticks() / i64::from(front.count.max(1));
            front.cell.value - Length::from_ticks(ticks)
        };
        let heights_like = |values: &dyn Fn(&Front<'_>) -> Vec<Length>| -> Vec<&Front<'_>> {
            let like = |front: &&Front<'_>| {
                let right = right(front);
                right > Length::ZERO && values(front).iter().any(|value| near(*value, right))
            };
            fronts.iter().filter(like).collect()
        };
        let own = |odd: &Front<'_>| -> Vec<Length> {
            let others = fronts
                .iter()
                .filter(|front| front.row.source != odd.row.source);
            others.map(|front| front.cell.value).collect()
        };
        // Banks of one run have their fronts at the same heights.
        let mut elsewhere: BTreeSet<Length> = BTreeSet::new();
        for row in self.facts.rows() {
            let here = fronts.iter().any(|front| front.row.source == row.source);
            if row.role() == Some(Role::DrawerFront) && !here {
                elsewhere.extend(faces(row).iter().map(|cell| cell.value));
            }
        }
        let elsewhere = |_: &Front<'_>| elsewhere.iter().copied().collect::<Vec<_>>();
        let of_height = |front: &Front<'_>| of_cell(front.row, front.cell);
        let alike = heights_like(&own);
        match (counts.as_slice(), alike.as_slice()) {
            ([count], []) => return Some(at(count.row, Dimension::Quantity)),
            ([], [height]) => return Some(of_height(height)),
            ([], []) => {}
            _ => return None,
        }
        match (fronts, heights_like(&elsewhere).as_slice()) {
            ([only], _) => Some(of_height(only)),
            (_, [height]) => Some(of_height(height)),
            _ => None,
        }
    }

    /// The cell of a drawer front that is its height: the face that is not its width.
    fn height<'r>(&self, row: &'r Row, across: &[Expected]) -> Option<&'r SizeCell> {
        if let Some(cell) = row.size(Dimension::Height) {
            return Some(cell);
        }
        let faces = faces(row);
        let [a, b] = faces.as_slice() else {
            return None;
        };
        let wide = |cell: &SizeCell| {
            across.iter().any(|expected| {
                let tolerance = self
                    .facts
                    .rules
                    .tolerance_at(Some(Role::DrawerFront), expected.value);
                (cell.value - expected.value).abs() <= tolerance.value
            })
        };
        match (wide(a), wide(b)) {
            (true, false) => Some(b),
            (false, true) => Some(a),
            // Written the usual way: width first.
            _ => row.size(Dimension::Width),
        }
    }
}

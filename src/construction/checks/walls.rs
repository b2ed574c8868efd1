//! Runs and what they fill: the wall they are stated or drawn to stand against, and the
//! fillers and end panels between the cabinets and its ends.

use super::{Cell, Desk};
use crate::construction::cabinet_key;
use crate::cutlist::{Row, SizeCell};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use crate::view::ViewKind;
use std::collections::BTreeSet;

/// A dimension or wall longer than the cabinets by less than this is that of the
/// cabinets alone.
const MORE_MM: f64 = 1.0;

/// Cabinets between two drawn walls, from left to right.
pub(super) struct Standing {
    pub cabinets: Vec<String>,
    pub wall: Length,
    /// Room left open between neighbours.
    pub open: Length,
}

/// The cabinets drawn between walls.
pub(super) fn standing(facts: &Desk<'_>) -> Vec<Standing> {
    let between = facts.views.walls.iter().filter_map(|walls| {
        let mut cabinets = Vec::new();
        for &view in &walls.views {
            let view = facts.views.views.get(view)?;
            // One that is not named may be any.
            let [name] = view.cabinets.as_slice() else {
                return None;
            };
            cabinets.push(name.clone());
        }
        Some(Standing {
            cabinets,
            wall: Length::from_mm(walls.mm)?,
            open: Length::from_mm(walls.open_mm)?,
        })
    });
    between.collect()
}

pub(super) fn keys(cabinets: &[String]) -> BTreeSet<String> {
    cabinets.iter().map(|name| cabinet_key(name)).collect()
}

/// The longest level dimension drawn over a run of just these cabinets that is longer
/// than they are: from wall to wall.
pub(super) fn dimension_over(facts: &Desk<'_>, cabinets: &[String]) -> Option<Length> {
    let wanted = keys(cabinets);
    facts
        .views
        .runs
        .iter()
        .filter(|run| run.kind == ViewKind::Front)
        .filter(|run| {
            let shown: BTreeSet<String> = run
                .views
                .iter()
                .filter_map(|view| facts.views.views.get(*view))
                .flat_map(|view| &view.cabinets)
                .map(|name| cabinet_key(name))
                .collect();
            shown == wanted
        })
        .flat_map(|run| {
            let (left, right) = (run.extents.min().x, run.extents.max().x);
            run.dimensions.iter().filter(move |dimension| {
                let ends = [dimension.from.x, dimension.to.x];
                let low = ends.iter().copied().fold(f64::INFINITY, f64::min);
                let high = ends.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                low <= left + MORE_MM
                    && high >= right - MORE_MM
                    && dimension.measured_mm > right - left + MORE_MM
            })
        })
        .filter_map(|dimension| Length::from_mm(dimension.measured_mm))
        .max()
}

/// What stands between the cabinets of a run and its walls.
pub(super) struct Fill<'a> {
    pub total: Length,
    /// Listed widths that `total` is made of.
    rows: Vec<Listed<'a>>,
    /// Part of it is drawn, or listed.
    pub any: bool,
}

/// A row of fillers as it counts in a run.
struct Listed<'a> {
    row: &'a Row,
    cell: &'a SizeCell,
    /// One of them without what is scribed off.
    width: Length,
    count: u32,
}

impl<'a> Fill<'a> {
    /// The widths of fillers and the thicknesses of end panels of a run: as drawn
    /// beside its cabinets, else as listed for them or, where no other run could be
    /// meant, for none.
    pub fn of(facts: &Desk<'a>, cabinets: &[String], only_run: bool) -> Self {
        let wanted = keys(cabinets);
        let mut fill = Fill {
            total: Length::ZERO,
            rows: Vec::new(),
            any: false,
        };
        let mut drawn: BTreeSet<(Role, String)> = BTreeSet::new();
        for name in cabinets {
            let parts = facts.cabinet(name).map(|cabinet| &cabinet.parts);
            for part in parts.into_iter().flatten().filter(|part| !part.flat) {
                let beside = matches!(part.role, Role::Filler | Role::EndPanel);
                if let Some(span) = part.span(Axis::Across).filter(|_| beside) {
                    fill.total += span.length();
                    fill.any = true;
                    drawn.insert((part.role, cabinet_key(name)));
                }
            }
        }
        for row in facts.rows() {
            let (Some(role @ (Role::Filler | Role::EndPanel)), true) =
                (row.role(), row.quantity.count > 0)
            else {
                continue;
            };
            let here: Vec<String> = keys(&row.cabinets).intersection(&wanted).cloned().collect();
            let of_none = row.cabinets.is_empty() && only_run;
            let is_drawn = |name: &String| drawn.contains(&(role, name.clone()));
            let shown = if of_none {
                wanted.iter().any(is_drawn)
            } else {
                here.iter().all(is_drawn)
            };
            if shown {
                continue;
            }
            let each = match row.quantity.per {
                crate::cutlist::Per::Cabinet => u32::try_from(here.len()).unwrap_or(1).max(1),
                crate::cutlist::Per::Job => 1,
            };
            let Some(cell) = across(row, role) else {
                continue;
            };
            // What is scribed off does not stand between cabinet and wall.
            let scribe = facts
                .cabinets
                .first()
                .filter(|_| role == Role::Filler)
                .and_then(|cabinet| facts.size(cabinet, "filler.scribe"))
                .map_or(Length::ZERO, |(scribe, _)| scribe);
            let listed = Listed {
                row,
                cell,
                width: cell.value - scribe,
                count: row.quantity.count.saturating_mul(each),
            };
            fill.total += listed.width * i64::from(listed.count);
            fill.any = true;
            fill.rows.push(listed);
        }
        fill.rows
            .sort_by(|a, b| (&a.row.source, a.cell.column).cmp(&(&b.row.source, b.cell.column)));
        fill
    }

    /// The listed figures that account for a sum so much too large: counts where one
    /// row has as many fillers or panels too many, else all widths of fillers that could
    /// be; how thick a panel is, is that of its stock.
    pub fn rows(&self, too_large: Length, tolerance: Length) -> Vec<Cell> {
        let many: Vec<Cell> = self
            .rows
            .iter()
            .filter(|listed| {
                (1..i64::from(listed.count))
                    .any(|more| (too_large - listed.width * more).abs() <= tolerance)
            })
            .map(|listed| super::at(listed.row, Dimension::Quantity))
            .collect();
        if !many.is_empty() {
            return many;
        }
        self.rows
            .iter()
            .filter(|listed| listed.row.role() == Some(Role::Filler))
            .filter(|listed| listed.width * i64::from(listed.count) > too_large)
            .map(|listed| super::of_cell(listed.row, listed.cell))
            .collect()
    }
}

/// The figure that stands between cabinet and wall.
fn across(row: &Row, role: Role) -> Option<&SizeCell> {
    if role == Role::EndPanel {
        return row.size(Dimension::Thickness);
    }
    // A filler is higher than wide, whichever is called its length.
    let sizes = [Dimension::Width, Dimension::Length].map(|dimension| row.size(dimension));
    sizes.into_iter().flatten().min_by_key(|cell| cell.value)
}

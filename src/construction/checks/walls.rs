//! Runs and what they fill: the wall they are stated or drawn to stand against, and the
//! fillers and end panels between the cabinets and its ends.

use super::{Cell, Desk};
use crate::construction::cabinet_key;
use crate::cutlist::{Row, SizeCell};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use crate::view::{ViewDimension, ViewKind};
use std::collections::BTreeSet;

/// A dimension or wall longer than the cabinets by less than this is that of the
/// cabinets alone.
const MORE_MM: f64 = 1.0;

/// Cabinets between two drawn walls, from left to right.
#[derive(Clone, Debug)]
pub(super) struct Standing {
    pub cabinets: Vec<String>,
    pub wall: Length,
    /// Room between either wall and the cabinet beside it.
    pub ends: [Length; 2],
    /// Room left open between neighbours.
    pub open: Length,
}

/// The cabinets drawn between walls.
pub(super) fn standing(facts: &Desk<'_>) -> Vec<Standing> {
    let between = facts.views.walls.iter().filter_map(|walls| {
        Some(Standing {
            cabinets: names(facts, &walls.views)?,
            wall: Length::from_mm(walls.mm)?,
            ends: ends(walls.ends_mm)?,
            open: Length::from_mm(walls.open_mm)?,
        })
    });
    between.collect()
}

fn ends([left, right]: [f64; 2]) -> Option<[Length; 2]> {
    Some([Length::from_mm(left)?, Length::from_mm(right)?])
}

/// The cabinets these views show, each one cabinet.
fn names(facts: &Desk<'_>, views: &[usize]) -> Option<Vec<String>> {
    let mut cabinets = Vec::new();
    for &view in views {
        // One that is not named may be any.
        let [name] = facts.views.views.get(view)?.cabinets.as_slice() else {
            return None;
        };
        cabinets.push(name.clone());
    }
    Some(cabinets)
}

/// Cabinets under a dimension that reaches past both ends of what is drawn: from wall to
/// wall, where it is the only one; else each of them.
pub(super) struct Dimensioned {
    pub cabinets: Vec<String>,
    /// Different lengths, the shortest first.
    pub walls: Vec<Standing>,
}

/// Fronts with dimensions past both their ends.
pub(super) fn dimensioned(facts: &Desk<'_>) -> Vec<Dimensioned> {
    let runs = facts
        .views
        .runs
        .iter()
        .filter(|run| run.kind == ViewKind::Front)
        .filter_map(|run| {
            Some((
                names(facts, &run.views)?,
                run.extents,
                run.dimensions.as_slice(),
            ))
        });
    let in_runs: BTreeSet<usize> = facts
        .views
        .runs
        .iter()
        .flat_map(|run| run.views.iter().copied())
        .collect();
    let alone = facts
        .views
        .views
        .iter()
        .enumerate()
        .filter(|(id, view)| view.kind == ViewKind::Front && !in_runs.contains(id))
        .filter_map(|(id, view)| {
            let known = !matches!(view.scale, crate::view::Scale::Unknown { .. });
            let cabinets = names(facts, &[id]).filter(|_| known)?;
            Some((cabinets, view.extents, view.dimensions.as_slice()))
        });
    let mut out: Vec<Dimensioned> = runs
        .chain(alone)
        .filter_map(|(cabinets, extents, dimensions)| {
            let (left, right) = (extents.min().x, extents.max().x);
            let mut walls: Vec<Standing> = dimensions
                .iter()
                .filter(|dimension| dimension.level == Some(true))
                .filter_map(|dimension| {
                    let (low, high) = reach(dimension);
                    let past = low < left - MORE_MM && high > right + MORE_MM;
                    // What it measures is what it spans.
                    let honest = (high - low - dimension.measured_mm).abs() <= MORE_MM;
                    Some(Standing {
                        cabinets: cabinets.clone(),
                        wall: Length::from_mm(dimension.measured_mm).filter(|_| past && honest)?,
                        ends: ends([left - low, high - right])?,
                        open: Length::ZERO,
                    })
                })
                .collect();
            walls.sort_by_key(|standing| standing.wall);
            walls.dedup_by_key(|standing| standing.wall);
            (!walls.is_empty()).then_some(Dimensioned { cabinets, walls })
        })
        .collect();
    out.sort_by(|a, b| a.cabinets.cmp(&b.cabinets));
    out
}

/// Left and right end of a level dimension.
fn reach(dimension: &ViewDimension) -> (f64, f64) {
    let (a, b) = (dimension.from.x, dimension.to.x);
    (a.min(b), a.max(b))
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
                let (low, high) = reach(dimension);
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
    /// The room it stands in is drawn as wide.
    cleared: bool,
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
                cleared: false,
            };
            fill.total += listed.width * i64::from(listed.count);
            fill.any = true;
            fill.rows.push(listed);
        }
        fill.rows
            .sort_by(|a, b| (&a.row.source, a.cell.column).cmp(&(&b.row.source, b.cell.column)));
        fill
    }

    /// Every listed figure it is made of.
    pub fn cells(&self) -> Vec<Cell> {
        let cell = |listed: &Listed| super::of_cell(listed.row, listed.cell);
        self.rows.iter().map(cell).collect()
    }

    /// Takes the fillers and panels of a cabinet at an end that make up the room drawn
    /// there for right: what is wrong stands at the other end.
    pub fn clear(&mut self, standing: &Standing, tolerance: Length) {
        let (Some(first), Some(last)) = (standing.cabinets.first(), standing.cabinets.last())
        else {
            return;
        };
        if cabinet_key(first) == cabinet_key(last) {
            return;
        }
        for (name, room) in [first, last].into_iter().zip(standing.ends) {
            let key = cabinet_key(name);
            let own = |listed: &Listed| matches!(listed.row.cabinets.as_slice(), [one] if cabinet_key(one) == key);
            let sum = self
                .rows
                .iter()
                .filter(|listed| own(listed))
                .fold(Length::ZERO, |sum, listed| {
                    sum + listed.width * i64::from(listed.count)
                });
            let right = (sum - room).abs() <= tolerance;
            for listed in self.rows.iter_mut().filter(|listed| own(listed)) {
                listed.cleared |= right;
            }
        }
        // Both ends right and the sum wrong tells nothing.
        if self.rows.iter().all(|listed| listed.cleared) {
            for listed in &mut self.rows {
                listed.cleared = false;
            }
        }
    }

    /// The listed figures that account for a sum so much too large: counts where one
    /// row has as many fillers or panels too many, else all widths of fillers that could
    /// be; how thick a panel is, is that of its stock.
    pub fn rows(&self, too_large: Length, tolerance: Length) -> Vec<Cell> {
        let many: Vec<Cell> = self
            .rows
            .iter()
            .filter(|listed| !listed.cleared)
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
            .filter(|listed| !listed.cleared && listed.row.role() == Some(Role::Filler))
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

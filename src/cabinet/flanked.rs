//! The views of one cabinet without the fillers and end panels that stand beside its
//! case, and these as parts of their own.

use super::beside::{self, BOARD, Beside, Strip};
use super::faces::Face;
use super::front::{self, FrontReading};
use super::grid::{Dir, Grid};
use super::placed::{Placed, Reading};
use super::reading::{Place, Range, near};
use super::side::{self, SideReading};
use super::{DrawnPart, Edge, Measured, MeasuredCabinet, Span, names};
use crate::trade::{Axis, Role};
use crate::view::{StripName, ViewId};

/// What stands beside the case of one cabinet, by all its views.
#[derive(Default)]
pub(super) struct Flanks {
    /// The front (or the plan, without a front) that shows it, as it is drawn.
    shown: Option<(ViewId, Grid, Beside)>,
    /// What that view calls them.
    names: Vec<StripName>,
    /// The plans as they are drawn.
    plans: Vec<(ViewId, Grid)>,
    in_front: bool,
    /// How wide the front is with it.
    wide: f64,
    /// It cannot be told whether the strips at the ends are panels or sides.
    doubt: bool,
    /// The strips in doubt are higher than what lies between them.
    uneven: bool,
}

/// Takes what stands beside the case off the fronts and plans.
///
/// `names` gives what the drawing calls the strips of a view.
pub(super) fn take<'n>(
    fronts: &mut [(ViewId, Grid)],
    plans: &mut [(ViewId, Grid)],
    names: &dyn Fn(ViewId) -> &'n [StripName],
) -> Flanks {
    let mut flanks = Flanks {
        plans: plans.to_vec(),
        ..Flanks::default()
    };
    let by_plan: Vec<Beside> = plans
        .iter()
        .map(|(_, grid)| beside::in_plan(grid))
        .collect();
    if fronts.is_empty() {
        flanks.doubt = by_plan.iter().any(|plan| plan.doubt.is_some());
        for ((id, grid), found) in plans.iter_mut().zip(by_plan) {
            if !found.is_empty() {
                let whole = grid.clone();
                *grid = found.cut_from(grid);
                let (low, high) = beside::across_of(&whole.seen_only()).unwrap_or_default();
                flanks.wide = high - low;
                flanks.shown.get_or_insert((*id, whole, found));
            }
        }
        return flanks;
    }
    flanks.in_front = true;
    let plain = by_plan.iter().all(|plan| plan.doubt.is_none());
    for (id, grid) in fronts.iter_mut() {
        let mut found = beside::in_front(grid);
        let wide = front::width(grid).unwrap_or_default();
        let names = names(*id);
        found.settle_by(names);
        if found.is_empty() {
            let named = beside::by_name(grid, names);
            if !named.is_empty() {
                found = named;
            }
        }
        if found.is_empty() {
            // A plan may tell what the front alone does not.
            let told = by_plan.iter().find_map(|plan| plan.in_front_of(grid));
            match (told, found.doubt) {
                (Some(told), _) => found = told,
                (None, Some((l, r))) if !(plain && shows_sides(&flanks.plans, wide)) => {
                    flanks.doubt = true;
                    let whole = |z: f64| grid.drawn(Dir::Level, z, l.across.0, r.across.1);
                    flanks.uneven |= !whole(l.along.1);
                }
                _ => {}
            }
        }
        if found.is_empty() {
            continue;
        }
        let whole = grid.clone();
        *grid = found.cut_from(grid);
        if flanks.shown.is_none() {
            for (_, plan) in plans.iter_mut() {
                *plan = beside::cut_plan(plan, &found, wide);
            }
            flanks.shown = Some((*id, whole, found));
            flanks.names = names.to_vec();
            flanks.wide = wide;
        }
    }
    flanks
}

/// A section without the end panel that is seen beyond the cut and stands out before
/// the case, which is `depth` deep.
fn bared(placed: &Placed, depth: f64, frameless: bool) -> Option<(Grid, SideReading)> {
    let side = placed.side().filter(|_| placed.word == "section")?;
    let front = side.faces.rear - depth;
    let foremost = side.faces.chain.first().copied()?;
    let index = placed.grid.at(Dir::Upright, foremost)?;
    let (low, high) = placed.grid.up[index].extent();
    if foremost > front - 1.0 {
        return None;
    }
    let mut grid = placed.grid.transposed();
    for z in [low, high] {
        grid.shorten(z, (front, f64::INFINITY));
    }
    let mut grid = grid.transposed();
    let mut ends = grid.lv.iter().filter(|track| {
        let run = track.run_at(foremost + 5.0);
        run.is_some_and(|run| near(run.lo, foremost))
    });
    let first = ends.next().map_or(low, |track| track.at);
    let last = ends.next_back().map_or(first, |track| track.at);
    grid.shorten(foremost, (first, last));
    let reading = side::read(&grid, true, frameless).ok()?;
    Some((grid, reading))
}

/// True when a plan as wide as the front shows the sides, and no boards beside them.
fn shows_sides(plans: &[(ViewId, Grid)], wide: f64) -> bool {
    plans.iter().any(|(_, grid)| {
        super::orient::plan(grid, false).is_ok_and(|(_, _, plan, _)| {
            plan.sides.is_some() && near(plan.outline.1 - plan.outline.0, wide)
        })
    })
}

impl Flanks {
    fn strips(&self) -> impl Iterator<Item = &Strip> {
        self.shown.iter().flat_map(|shown| shown.2.strips())
    }

    /// Leaves out the ends and sections in which what stands beside the case may pass
    /// for a part of it: a panel covers it, or stands out before it.
    pub(super) fn sort_out(
        &self,
        placed: &mut Vec<Placed>,
        frameless: bool,
        front: impl FnOnce() -> Option<FrontReading>,
    ) {
        if self.strips().next().is_none() && !self.doubt {
            return;
        }
        let panel = self.doubt || self.strips().any(|strip| strip.width() <= BOARD);
        let front = front();
        let framed = front.as_ref().is_some_and(|front| front.lattice.is_some());
        let depth = placed.iter().find_map(|p| {
            let faces = &p.plan()?.faces;
            Some(faces.rear - faces.front()?)
        });
        let high = front.as_ref().map(|front| front.top - front.floor);
        placed.retain_mut(|p| {
            let Some(side) = p.side() else { return true };
            // A panel higher than the case closes its section above.
            let as_high = |side: &SideReading| match high {
                Some(high) => near(side.top - side.floor, high),
                None => !panel,
            };
            let Some(depth) = depth else {
                let before = side.faces.face;
                let fronts_only = matches!(before, Face::Fronts | Face::Bare);
                let told = if p.word == "end" {
                    !panel && (framed || before == Face::Fronts)
                } else {
                    // What it shows may be the panel beyond the cut, and that one's foot.
                    !panel && (fronts_only || framed) || before == Face::FrameAndFronts
                };
                return as_high(side) && told;
            };
            let as_deep = |side: &SideReading| {
                let front = side.faces.front();
                front.is_some_and(|front| near(side.faces.rear - front, depth))
            };
            if as_high(side) && as_deep(side) {
                return true;
            }
            match bared(p, depth, frameless) {
                Some((grid, side)) if as_high(&side) && as_deep(&side) => {
                    p.origin = (side.faces.case_front, side.floor);
                    p.grid = grid;
                    p.reading = Reading::Side(side);
                    true
                }
                _ => false,
            }
        });
    }

    /// Adds the strips as parts, and says what could not be told because of them.
    pub(super) fn add_to(&self, cabinet: &mut MeasuredCabinet, placed: &[Placed]) {
        if self.doubt {
            let reason = "the strips at its ends may be its sides or end panels beside it; a plan that shows both would tell";
            let unknown = || Measured::Unknown {
                reason: reason.to_owned(),
            };
            cabinet.overall.width = unknown();
            cabinet.interior.width = unknown();
            if self.uneven {
                cabinet.overall.height = unknown();
                cabinet
                    .named
                    .retain(|size| size.measure.span.axis != Axis::High);
            }
            cabinet
                .named
                .retain(|size| size.measure.span.axis != Axis::Across);
            cabinet.parts.retain(|part| part.role != Role::Side);
        }
        let Some((id, whole, found)) = &self.shown else {
            return;
        };
        if let Measured::Unknown { reason } = &mut cabinet.overall.depth {
            *reason = "what stands beside its case covers it or stands out before it in its ends; a plan or a section without it would tell".to_owned();
        }
        let Some(own) = placed.iter().find(|p| p.id == *id) else {
            return;
        };
        for (place, strips) in [(Place::Left, &found.left), (Place::Right, &found.right)] {
            for strip in strips {
                let deep = self.deep(placed, found, *strip, place);
                let range = deep.as_ref().map(|span| (span.lo.at, span.hi.at));
                let named = found.case().and_then(|case| strip.name(&self.names, case));
                // Where its own lines tell, they are the witness.
                let told = beside::role(strip.width(), range);
                let Some(role) = told.or(named.map(|name| name.role)) else {
                    continue;
                };
                let called = named.filter(|_| told.is_none());
                let name = names::part(role, place, 0, 1);
                let span = |axis: Axis, dir: Dir, range: Range, origin: f64| {
                    let ends = names::ends(role, place, &name, axis);
                    span_in(whole, *id, (axis, dir), range, origin, ends)
                };
                let high = self
                    .in_front
                    .then(|| span(Axis::High, Dir::Level, strip.along, own.origin.1));
                let left = if self.in_front {
                    own.origin.0
                } else {
                    own.origin.1
                };
                cabinet.parts.push(DrawnPart {
                    role,
                    across: Some(span(Axis::Across, Dir::Upright, strip.across, left)),
                    deep,
                    high,
                    evidence: match called {
                        Some(name) => format!("a strip beside the case, called '{}'", name.word),
                        None => "a bare strip beside the case, on which nothing of the case ends"
                            .to_owned(),
                    },
                    opening: None,
                    flat: false,
                    name,
                });
            }
        }
    }

    /// How far a strip goes from front to rear, by a plan that shows it.
    fn deep(&self, placed: &[Placed], found: &Beside, strip: Strip, place: Place) -> Option<Span> {
        self.plans.iter().find_map(|(id, plan)| {
            let own = placed.iter().find(|p| p.id == *id)?;
            let (low, high) = beside::across_of(&plan.seen_only())?;
            if !near(high - low, self.wide) {
                return None;
            }
            let outer = match place {
                Place::Left => low - found.left.first()?.across.0,
                _ => high - found.right.first()?.across.1,
            };
            let across = (strip.across.0 + outer, strip.across.1 + outer);
            let deep = beside::deep_in_plan(plan, across)?;
            // A plan is read lying on its side, its front at the left.
            let turned = own.grid.up.first()?.at < 0.0 && plan.lv.first()?.at >= 0.0;
            let sign = if turned { -1.0 } else { 1.0 };
            let ends = names::ends(Role::Filler, place, "part beside the case", Axis::Deep);
            let mut span = span_in(plan, *id, (Axis::Deep, Dir::Level), deep, 0.0, ends);
            for edge in [&mut span.lo, &mut span.hi] {
                edge.at = sign * edge.at - own.origin.0;
            }
            if turned {
                std::mem::swap(&mut span.lo, &mut span.hi);
            }
            Some(span)
        })
    }
}

fn span_in(
    grid: &Grid,
    view: ViewId,
    (axis, dir): (Axis, Dir),
    range: Range,
    origin: f64,
    [lo, hi]: [String; 2],
) -> Span {
    let edge = |at: f64, name: String| Edge {
        at: at - origin,
        line: grid
            .drawn_at(dir, at)
            .map_or_else(super::grid::empty_line, |index| {
                grid.tracks(dir)[index].longest()
            }),
        name,
        occluded: false,
    };
    Span {
        axis,
        lo: edge(range.0, lo),
        hi: edge(range.1, hi),
        view,
    }
}

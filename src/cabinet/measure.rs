//! Groups the views by cabinet and measures each cabinet.

use super::faces::Face;
use super::front;
use super::grid::Grid;
use super::placed::{Placed, Reading, Turned};
use super::posts::Posts;
use super::reading::same_range;
use super::{
    DrawnPart, MeasuredCabinet, Sizes, Style, Uncounted, base, between, boxes, confirm, edges,
    flank, flanked, flats, join, known, meets, members, named, openings, orient, sizes,
    toe_openings, tops, twins, unread, whole,
};
use crate::linework::SNAP_MM;
use crate::plain::in_parallel;
use crate::trade::{Axis, Role};
use crate::view::{Scale, View, ViewId, ViewKind};
use std::collections::{BTreeMap, BTreeSet};

/// Measures every cabinet the views show, in the order of their names.
pub(super) fn all(views: &[View]) -> Vec<MeasuredCabinet> {
    let mut by_name: BTreeMap<String, Vec<ViewId>> = BTreeMap::new();
    for (id, view) in views.iter().enumerate() {
        for name in &view.cabinets {
            let list = by_name.entry(name.clone()).or_default();
            if !list.contains(&id) {
                list.push(id);
            }
        }
    }
    // Fronts that can't be one cabinet's are cabinets of one name.
    let mut twice: Vec<(Vec<String>, Vec<ViewId>)> = Vec::new();
    by_name.retain(|name, ids| {
        let apart = twins::apart(ids, views);
        twice.extend(apart.iter().map(|ids| (vec![name.clone()], ids.clone())));
        apart.is_empty()
    });
    // Names drawn by the very same views are one cabinet drawn once.
    let mut drawn: Vec<(Vec<String>, Vec<ViewId>)> = Vec::new();
    let mut done: BTreeMap<Vec<ViewId>, usize> = BTreeMap::new();
    for (name, ids) in by_name {
        let next = drawn.len();
        let place = *done.entry(ids.clone()).or_insert(next);
        match drawn.get_mut(place) {
            Some((names, _)) => names.push(name),
            None => drawn.push((vec![name], ids)),
        }
    }
    drawn.extend(twice);
    in_parallel(&drawn, |(names, ids)| {
        let (first, others) = names.split_first()?;
        let mut cabinet = one(first, ids, views);
        cabinet.same_as.extend(others.iter().cloned());
        Some(cabinet)
    })
    .into_iter()
    .flatten()
    .collect()
}

/// Measures one cabinet from its views. Where a front shows that no frame stands before
/// the case, an end or a section read without knowing that is read again.
fn one(id: &str, ids: &[ViewId], views: &[View]) -> MeasuredCabinet {
    match read_all(id, ids, views, false) {
        (cabinet, false) => cabinet,
        (_, true) => read_all(id, ids, views, true).0,
    }
}

/// Reads the views of a cabinet and puts together what they show; true when a front
/// shows more of the frame than the others were read with.
fn read_all(id: &str, ids: &[ViewId], views: &[View], frameless: bool) -> (MeasuredCabinet, bool) {
    let mut placed: Vec<Placed> = Vec::new();
    let mut fronts: Vec<(ViewId, Grid)> = Vec::new();
    let mut plans: Vec<(ViewId, Grid)> = Vec::new();
    let mut flat = Vec::new();
    let (grids, bare) = grids(ids, views);
    for (view_id, view, grid) in grids {
        match view.kind {
            ViewKind::Front => fronts.push((view_id, grid)),
            ViewKind::End | ViewKind::Section => {
                if let Ok((grid, reading, turned)) = orient::side(view, &grid, frameless, bare) {
                    let word = if view.kind == ViewKind::End {
                        "end"
                    } else {
                        "section"
                    };
                    placed.push(side(view_id, word, grid, reading, turned));
                }
            }
            ViewKind::Plan => plans.push((view_id, grid)),
            ViewKind::FlatPart => flat.extend(flats::part(view_id, view)),
            ViewKind::Unknown => {}
        }
    }
    if let Some(posts) = on_posts(ids, views) {
        let mut cabinet = posts_only(id, ids, views, posts);
        cabinet.parts.extend(flat);
        return (cabinet, false);
    }
    let flanks = flanked::take(&mut fronts, &mut plans, &|id| {
        views.get(id).map_or(&[], |view| view.strips.as_slice())
    });
    placed.extend(plans.iter().filter_map(|(id, grid)| plan(*id, grid, bare)));
    placed.sort_by_key(|p| p.id);
    flanks.sort_out(&mut placed, frameless, || {
        let alone = |grid| front::read(grid, &front::Known::default()).ok();
        fronts.iter().find_map(|(_, grid)| alone(grid))
    });
    doubtful_plans(&mut placed, &fronts);
    confirm::plans(&mut placed, &fronts);
    let mut known = known::gather(&mut placed);
    if known.sides.is_none() && placed.iter().any(|p| p.side().is_some()) {
        let both = |front: &Grid| {
            plans
                .iter()
                .find_map(|(_, plan)| front::sides_with(front, plan))
        };
        known.sides = fronts.iter().find_map(|(_, front)| both(front));
    }
    for (view_id, grid) in fronts {
        if let Ok(reading) = front::read(&grid, &known) {
            if known.frame.is_none() && reading.lattice.is_some() {
                known.frame = Some(true);
                known::frame(&mut placed);
            }
            placed.push(Placed {
                id: view_id,
                word: "front",
                origin: (reading.left, reading.floor),
                grid,
                under: None,
                axes: (Axis::Across, Axis::High),
                reading: Reading::Front(reading),
                turned: Turned::Sure,
            });
        }
    }
    confirm_plans(&mut placed);
    show_feet(&mut placed);
    base::find(&mut placed);
    place_depth(&mut placed);
    boxes::find(&mut placed);
    members::find(&mut placed);
    toe_openings::find(&mut placed);
    tops::find(&mut placed);
    covered_plans(&mut placed);
    let open_face = |placed: &Placed| {
        placed
            .side()
            .is_some_and(|side| matches!(side.faces.face, Face::FrameOrFront | Face::Unclear))
    };
    let shows_sides = |placed: &Placed| {
        placed
            .front()
            .is_some_and(|front| front.shows_sides(&placed.grid))
    };
    let again = !frameless
        && placed.iter().any(open_face)
        && known.frame != Some(true)
        && (known.frame == Some(false) || placed.iter().any(shows_sides));
    let style = match known.frame {
        Some(true) => Style::FaceFrame,
        Some(false) => Style::Frameless,
        None => Style::Unknown,
    };
    let grids: Vec<Grid> = plans.into_iter().map(|(_, grid)| grid).collect();
    let mut cabinet = finish(id, ids, &mut placed, style, |placed, parts| {
        whole::complete(placed, &grids, parts);
        toe_openings::of_no_depth(parts);
    });
    if let Some(reason) = unread::reason(ids, views).filter(|_| placed.is_empty()) {
        cabinet.overall = Sizes::unknown(reason);
        cabinet.interior = Sizes::unknown(reason);
    }
    flanks.add_to(&mut cabinet, &placed);
    cabinet.parts.extend(flat);
    (cabinet, again)
}

/// A plan, lying on its side, where it can be read.
fn plan(id: ViewId, grid: &Grid, bare: bool) -> Option<Placed> {
    let (grid, under, reading, turned) = orient::plan(grid, bare).ok()?;
    Some(Placed {
        under: Some(under),
        id,
        word: "plan",
        origin: (reading.faces.case_front, reading.outline.0),
        grid,
        axes: (Axis::Deep, Axis::Across),
        reading: Reading::Plan(reading),
        turned,
    })
}

/// Puts together what the views of a cabinet show.
fn finish(
    id: &str,
    ids: &[ViewId],
    placed: &mut Vec<Placed>,
    style: Style,
    more: impl FnOnce(&[Placed], &mut Vec<DrawnPart>),
) -> MeasuredCabinet {
    placed.sort_by_key(|p| p.id);
    let mut conflicts = Vec::new();
    let overall = sizes::overall(id, placed, style, &mut conflicts);
    // What a front of another size shows has been told; it is no part twice.
    if sizes::fronts_differ(placed) {
        placed.retain(|p| sizes::agrees(p, &overall));
    }
    let placed: &[Placed] = placed;
    let interior = sizes::interior(id, placed, &mut conflicts);
    let mut parts = join::parts(placed);
    flank::complete(placed, style, &mut parts);
    more(placed, &mut parts);
    parts.sort_by_key(|part| (part.flat, part.role));
    conflicts.extend(meets::conflicts(id, placed, &parts));
    let openings = openings::find(placed, &parts, style);
    openings::assign(&mut parts, &openings);
    let named = named::find(placed, &parts);
    let uncounted = uncounted(placed, &parts);
    let edges = edges::pool(placed, &parts);
    MeasuredCabinet {
        id: id.to_owned(),
        same_as: Vec::new(),
        views: ids.to_vec(),
        style,
        overall,
        interior,
        named,
        parts,
        openings,
        edges,
        conflicts,
        uncounted,
    }
}

/// Roles whose parts could not be counted for certain, each with the reason.
fn uncounted(placed: &[Placed], parts: &[DrawnPart]) -> Vec<Uncounted> {
    let more = |role: Role, why: &str| Uncounted {
        role,
        why: why.to_owned(),
        or_fewer: false,
    };
    let mut out = Vec::new();
    let stretchers = parts.iter().filter(|part| part.role == Role::Stretcher);
    // A stretcher ends at the front of the case or at the back: where one of them was
    // not found, it may stand there.
    let open = |p: &Placed| {
        p.side().is_some_and(|side| {
            side.back.is_none() || matches!(side.faces.face, Face::FrameOrFront | Face::Unclear)
        })
    };
    if stretchers.count() == 1 && placed.iter().any(open) {
        let why = "the front edge of the case or its back could not be told, and another one may stand there; a section with marked hidden edges would show it";
        out.push(more(Role::Stretcher, why));
    }
    let crossed = |p: &Placed| p.front().is_some_and(|front| !front.crossed.is_empty());
    if placed.iter().any(crossed) {
        let why = "two are drawn over each other; the drawing has to be put right first";
        out.extend([Role::Door, Role::DrawerFront].map(|role| more(role, why)));
    }
    // A case has one side at each end: two are one that its views draw in different places.
    let mut ends: BTreeSet<&str> = BTreeSet::new();
    let mut sides = parts
        .iter()
        .filter(|part| part.role == Role::Side && !part.flat);
    if sides.any(|side| !ends.insert(&side.name)) {
        let why = "its views draw them in different places; the drawing has to be put right first";
        out.push(Uncounted {
            or_fewer: true,
            ..more(Role::Side, why)
        });
    }
    out
}

/// The views to be read, and whether a front of any scale shows the edges of the sides
/// with nothing before them.
fn grids<'a>(ids: &[ViewId], views: &'a [View]) -> (Vec<(ViewId, &'a View, Grid)>, bool) {
    let (mut grids, mut bare) = (Vec::new(), false);
    for &id in ids {
        let Some(view) = views.get(id) else {
            continue;
        };
        let known = !matches!(view.scale, Scale::Unknown { .. });
        let read = known && !lies_on_its_side(view, ids, views);
        let tells = view.kind == ViewKind::Front && view.shows_hidden && !bare;
        if read || tells {
            let grid = Grid::new(&view.linework, view.shows_hidden);
            bare |= tells && front::is_bare(&grid);
            if read {
                grids.push((id, view, grid));
            }
        }
    }
    (grids, bare)
}

/// The posts of a piece of furniture that a plan of it shows.
fn on_posts(ids: &[ViewId], views: &[View]) -> Option<Posts> {
    let known = |view: &&View| !matches!(view.scale, Scale::Unknown { .. });
    ids.iter()
        .filter_map(|id| views.get(*id))
        .filter(known)
        .filter(|view| view.kind == ViewKind::Plan)
        .find_map(|view| Posts::find(&Grid::new(&view.linework, view.shows_hidden)))
        .filter(|posts| !posts.covered || stand_upright(posts, ids, views))
}

/// Whether every front, end and section shows two of the posts from the floor up.
fn stand_upright(posts: &Posts, ids: &[ViewId], views: &[View]) -> bool {
    let mut upright = ids
        .iter()
        .filter_map(|id| views.get(*id))
        .filter_map(|view| {
            let deep = match view.kind {
                ViewKind::Front => false,
                ViewKind::End | ViewKind::Section => true,
                _ => return None,
            };
            let grid = Grid::new(&view.linework, view.shows_hidden);
            Some(posts.upright(&grid, deep).is_some())
        })
        .peekable();
    upright.peek().is_some() && upright.all(|stands| stands)
}

/// Measures furniture on posts: every view by the posts it shows.
fn posts_only(id: &str, ids: &[ViewId], views: &[View], posts: Posts) -> MeasuredCabinet {
    let mut placed: Vec<Placed> = Vec::new();
    for &view_id in ids {
        let Some(view) = views.get(view_id) else {
            continue;
        };
        if matches!(view.scale, Scale::Unknown { .. }) {
            continue;
        }
        let grid = Grid::new(&view.linework, view.shows_hidden);
        let (word, axes, reading) = match view.kind {
            ViewKind::Front => (
                "front",
                (Axis::Across, Axis::High),
                posts.upright(&grid, false),
            ),
            ViewKind::End => ("end", (Axis::Deep, Axis::High), posts.upright(&grid, true)),
            ViewKind::Section => (
                "section",
                (Axis::Deep, Axis::High),
                posts.upright(&grid, true),
            ),
            ViewKind::Plan => (
                "plan",
                (Axis::Across, Axis::Deep),
                Posts::find(&grid).map(|own| own.plan()),
            ),
            ViewKind::FlatPart | ViewKind::Unknown => continue,
        };
        if let Some(reading) = reading {
            placed.push(Placed {
                id: view_id,
                word,
                origin: (reading.h.0, reading.v.0),
                grid,
                under: None,
                axes,
                reading: Reading::Posts(reading),
                turned: Turned::Sure,
            });
        }
    }
    placed.sort_by_key(|p| p.id);
    tops::find(&mut placed);
    let between = between::parts(&placed, &posts);
    // A top flush with its posts is a board between them as well.
    let as_high = |part: &DrawnPart, other: &DrawnPart| match (&part.high, &other.high) {
        (Some(a), Some(b)) => same_range((a.lo.at, a.hi.at), (b.lo.at, b.hi.at)),
        _ => false,
    };
    finish(id, ids, &mut placed, Style::Unknown, |_, parts| {
        let again = |part: &DrawnPart| {
            let mut boards = between.iter().filter(|board| board.role == Role::Top);
            part.role == Role::Countertop && boards.any(|board| as_high(board, part))
        };
        parts.retain(|part| !again(part));
        parts.extend(between);
    })
}

/// A plan without any cue as to what is hidden can be misread. Where it disagrees
/// with a plainer view it is left out rather than called a contradiction.
fn doubtful_plans(placed: &mut Vec<Placed>, fronts: &[(ViewId, Grid)]) {
    let width = fronts.iter().find_map(|(_, grid)| front::width(grid));
    let case = placed
        .iter()
        .filter(|p| p.turned == Turned::Sure)
        .filter_map(Placed::side)
        .map(|side| side.faces.rear - side.faces.case_front)
        .next();
    let agrees = |a: Option<f64>, b: f64| a.is_none_or(|a| (a - b).abs() <= SNAP_MM);
    // A countertop covers the case: a plan as deep as the top shows the top's edges.
    let tops: Vec<f64> = placed.iter().filter_map(tops::depth).collect();
    let covered = |deep: f64| {
        tops.iter().any(|top| (top - deep).abs() <= SNAP_MM)
            && case.is_none_or(|case| (case - deep).abs() > SNAP_MM)
    };
    placed.retain(|p| match p.plan() {
        Some(plan) if covered(plan.faces.rear - plan.faces.case_front) => false,
        // What lies over the front of the sides may be a countertop.
        Some(plan) if !p.grid.cue && plan.hidden_ends[0] && case.is_none() => false,
        Some(plan) if !p.grid.cue && p.grid.is_crossed(0) => {
            agrees(width, plan.outline.1 - plan.outline.0)
                && agrees(case, plan.faces.rear - plan.faces.case_front)
        }
        _ => true,
    });
}

/// Under a countertop a plan's outer edges may be the top's: without an end or a
/// section nothing tells.
fn covered_plans(placed: &mut Vec<Placed>) {
    let topped = placed
        .iter()
        .filter_map(Placed::front)
        .any(|front| front.parts.iter().any(|p| p.role == Role::Countertop));
    let sided = placed.iter().any(|p| p.side().is_some());
    if topped && !sided {
        placed.retain(|p| p.plan().is_none());
    }
}

/// True for an end or a section that is as wide as the fronts of its cabinet are
/// high and not as high, and for a plan as high as they are wide: its sheet is turned.
/// So is a sheet on which they have their widths in common and not their heights, or
/// a plan its height with the fronts and not its width.
pub(super) fn lies_on_its_side(view: &View, ids: &[ViewId], views: &[View]) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= SNAP_MM;
    let (wide, high) = (view.extents.width(), view.extents.height());
    let of = |kinds: &[ViewKind]| -> Vec<(f64, f64)> {
        ids.iter()
            .filter_map(|&id| views.get(id))
            .filter(|v| kinds.contains(&v.kind) && matches!(v.scale, Scale::Known { .. }))
            .map(|v| (v.extents.width(), v.extents.height()))
            .collect()
    };
    let all = |others: &[(f64, f64)], is: &dyn Fn(&(f64, f64)) -> bool| {
        !others.is_empty() && others.iter().all(is)
    };
    let level = |o: &(f64, f64)| near(wide, o.0) && !near(high, o.1);
    let upright = |o: &(f64, f64)| near(high, o.1) && !near(wide, o.0);
    let fronts = of(&[ViewKind::Front]);
    match view.kind {
        ViewKind::Front => {
            all(&of(&[ViewKind::End, ViewKind::Section]), &level)
                || all(&of(&[ViewKind::Plan]), &upright)
        }
        ViewKind::End | ViewKind::Section => {
            all(&fronts, &|f| near(wide, f.1) && !near(high, f.1)) || all(&fronts, &level)
        }
        ViewKind::Plan => {
            all(&fronts, &|f| near(high, f.0) && !near(wide, f.0)) || all(&fronts, &upright)
        }
        _ => false,
    }
}

/// Feet of the sides that only the front shows tell an end or a section what
/// stands under the case.
fn show_feet(placed: &mut [Placed]) {
    let notched = |p: &Placed| p.front().is_some_and(|front| front.notched);
    let feet = |p: &Placed| p.front().is_some_and(|front| front.stands_on_feet(&p.grid));
    let tell = if placed.iter().any(notched) {
        super::side::notched
    } else if placed.iter().any(feet) {
        super::side::between_feet
    } else {
        return;
    };
    for placed in placed {
        if let Reading::Side(side) = &mut placed.reading {
            tell(&placed.grid, side);
        }
    }
}

/// A plan under a closed top shows strips at its ends that may be the sides or be
/// narrowed by a top let into them: the front tells, where it shows the sides.
fn confirm_plans(placed: &mut [Placed]) {
    let sides = placed.iter().filter_map(Placed::front).find_map(|front| {
        let (l, r) = front.sides.as_ref().ok()?;
        let off = |r: &(f64, f64)| (r.0 - front.left, r.1 - front.left);
        Some((off(l), off(r)))
    });
    let Some((l, r)) = sides else { return };
    for placed in placed {
        let super::placed::Reading::Plan(plan) = &mut placed.reading else {
            continue;
        };
        let off = |r: (f64, f64)| (r.0 - plan.outline.0, r.1 - plan.outline.0);
        let (p, q) = plan.strips;
        if same_range(off(p), l) && same_range(off(q), r) {
            plan.take_sides();
        }
    }
}

fn side(
    id: ViewId,
    word: &'static str,
    grid: Grid,
    reading: super::side::SideReading,
    turned: Turned,
) -> Placed {
    Placed {
        id,
        word,
        origin: (reading.faces.case_front, reading.floor),
        grid,
        under: None,
        axes: (Axis::Deep, Axis::High),
        reading: Reading::Side(reading),
        turned,
    }
}

/// Depths count from the foremost face of the case with its frame. A view that
/// leaves the frame off shows a case as deep as that of the view with it. Where a view
/// does not tell its front, the rear, which all of them show, lies as far behind it as
/// elsewhere.
fn place_depth(views: &mut [Placed]) {
    let framed: Vec<(f64, f64)> = views
        .iter()
        .filter_map(Placed::faces)
        .filter_map(|faces| {
            let thick = faces.case_front - faces.front()?;
            (thick > SNAP_MM).then_some((faces.rear - faces.case_front, thick))
        })
        .collect();
    let deep = views.iter().find_map(|placed| {
        let faces = placed.faces()?;
        Some(faces.rear - faces.front()?)
    });
    for placed in views {
        let Some(faces) = placed.faces() else {
            continue;
        };
        let (front, case_front) = (faces.front(), faces.case_front);
        let alike = |(deep, _): &&(f64, f64)| (faces.rear - case_front - deep).abs() <= SNAP_MM;
        let own = front.is_some_and(|front| case_front - front > SNAP_MM);
        let frame = framed.iter().find(alike).filter(|_| !own);
        let front = frame.map(|(_, thick)| case_front - thick).or(front);
        let behind = deep.map(|deep| faces.rear - deep);
        if let Some(front) = front.or(behind) {
            placed.origin.0 = front;
        }
    }
}

//! Several cabinets drawn under one name.

use super::grid::Grid;
use super::{beside, front};
use crate::view::{Scale, View, ViewId, ViewKind};

/// A front may leave off the countertop, the base or what stands beside the case:
/// what differs by more than these do is another cabinet, millimetres.
const ADDED: f64 = 130.0;
/// Fronts of two cabinets differ both ways, and one way at least by so much.
const STEP: f64 = 50.0;
/// Sizes nearer than this are the same.
const SAME: f64 = 1.0;

/// The views of one name, cabinet by cabinet, where its fronts show that there are
/// several; else empty. An end goes with the one front as high, a plan with the one as
/// wide; what goes with none is left out.
pub(super) fn apart(ids: &[ViewId], views: &[View]) -> Vec<Vec<ViewId>> {
    let fronts = ids.iter().filter_map(|id| views.get(*id)).filter(is_front);
    if fronts.count() < 2 {
        return Vec::new();
    }
    let mut groups: Vec<Alike> = Vec::new();
    let mut others = Vec::new();
    for &id in ids {
        let Some(view) = views.get(id) else { continue };
        let Some([whole, bare]) = sizes(view) else {
            others.push(id);
            continue;
        };
        let same = |group: &&mut Alike| {
            (group.whole.0 - whole.0).abs() <= SAME && (group.whole.1 - whole.1).abs() <= SAME
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.ids.push(id),
            None => groups.push(Alike {
                whole,
                bare,
                ids: vec![id],
            }),
        }
    }
    let other = |a: (f64, f64), b: (f64, f64)| {
        let (wide, high) = ((a.0 - b.0).abs(), (a.1 - b.1).abs());
        wide > ADDED || (wide.min(high) > SAME && wide.max(high) > STEP)
    };
    let differ = groups.iter().enumerate().any(|(n, a)| {
        // One front of a cabinet may show what stands beside it, another not.
        let pairs = |b: &Alike| [a.whole, a.bare].map(|a| other(a, b.whole) && other(a, b.bare));
        groups.iter().skip(n + 1).any(|b| pairs(b) == [true; 2])
    });
    if !differ {
        return Vec::new();
    }
    for id in others {
        let Some(view) = views.get(id) else { continue };
        let fits = |group: &&mut Alike| match view.kind {
            ViewKind::End | ViewKind::Section => {
                (view.extents.height() - group.whole.1).abs() <= SAME
            }
            ViewKind::Plan => (view.extents.width() - group.whole.0).abs() <= SAME,
            _ => false,
        };
        let mut fitting = groups.iter_mut().filter(fits);
        if let (Some(group), None) = (fitting.next(), fitting.next()) {
            group.ids.push(id);
        }
    }
    groups.into_iter().map(|group| group.ids).collect()
}

/// Fronts as wide and as high.
struct Alike {
    whole: (f64, f64),
    /// Without what stands beside the case.
    bare: (f64, f64),
    ids: Vec<ViewId>,
}

/// True for a front that can be measured.
fn is_front(view: &&View) -> bool {
    view.kind == ViewKind::Front && !matches!(view.scale, Scale::Unknown { .. })
}

/// Width and height of a front that can be measured: of all it shows, and without what
/// stands beside the case.
fn sizes(view: &View) -> Option<[(f64, f64); 2]> {
    if !is_front(&view) {
        return None;
    }
    let grid = Grid::new(&view.linework, view.shows_hidden);
    let whole = front::size(&grid)?;
    let beside = beside::in_front(&grid);
    let bare = if beside.is_empty() {
        whole
    } else {
        front::size(&beside.cut_from(&grid)).unwrap_or(whole)
    };
    Some([whole, bare])
}

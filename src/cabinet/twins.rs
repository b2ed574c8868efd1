//! Several cabinets drawn under one name.

use super::front;
use super::grid::Grid;
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
    let mut groups: Vec<(f64, f64, Vec<ViewId>)> = Vec::new();
    let mut others = Vec::new();
    for &id in ids {
        let Some(view) = views.get(id) else { continue };
        let Some((wide, high)) = size(view) else {
            others.push(id);
            continue;
        };
        let same = |group: &&mut (f64, f64, Vec<ViewId>)| {
            (group.0 - wide).abs() <= SAME && (group.1 - high).abs() <= SAME
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.2.push(id),
            None => groups.push((wide, high, vec![id])),
        }
    }
    let differ = groups.iter().enumerate().any(|(n, a)| {
        groups.iter().skip(n + 1).any(|b| {
            let (wide, high) = ((a.0 - b.0).abs(), (a.1 - b.1).abs());
            wide > ADDED || (wide.min(high) > SAME && wide.max(high) > STEP)
        })
    });
    if !differ {
        return Vec::new();
    }
    for id in others {
        let Some(view) = views.get(id) else { continue };
        let fits = |group: &&mut (f64, f64, Vec<ViewId>)| match view.kind {
            ViewKind::End | ViewKind::Section => (view.extents.height() - group.1).abs() <= SAME,
            ViewKind::Plan => (view.extents.width() - group.0).abs() <= SAME,
            _ => false,
        };
        let mut fitting = groups.iter_mut().filter(fits);
        if let (Some(group), None) = (fitting.next(), fitting.next()) {
            group.2.push(id);
        }
    }
    groups.into_iter().map(|group| group.2).collect()
}

/// Width and height of the outline of a front that can be measured.
fn size(view: &View) -> Option<(f64, f64)> {
    if view.kind != ViewKind::Front || matches!(view.scale, Scale::Unknown { .. }) {
        return None;
    }
    front::size(&Grid::new(&view.linework, view.shows_hidden))
}

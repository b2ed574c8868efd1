//! Why nothing of a cabinet was measured though views of it are drawn: the one cause that
//! all of them have in common, and what to do about it.

use super::measure::lies_on_its_side;
use crate::view::{Scale, View, ViewId, ViewKind};

const SCALE: &str = "the scale of its views is not known; dimension one distance in them, or give the scale in the job file";
const KIND: &str = "what its views show is not known; title them FRONT, END, SECTION or PLAN, or name them in the job file";
const LYING: &str = "its views lie on their side; turn the sheet so that the cabinet stands upright, or title the views with words that read from below";

/// The reason, when every view of the cabinet was left unread for the same one.
pub(super) fn reason(ids: &[ViewId], views: &[View]) -> Option<&'static str> {
    let own: Vec<&View> = ids
        .iter()
        .filter_map(|id| views.get(*id))
        .filter(|view| view.kind != ViewKind::FlatPart)
        .collect();
    let all = |of: &dyn Fn(&View) -> bool| !own.is_empty() && own.iter().all(|view| of(view));
    if all(&|view| view.kind == ViewKind::Unknown) {
        Some(KIND)
    } else if all(&|view| matches!(view.scale, Scale::Unknown { .. })) {
        Some(SCALE)
    } else if all(&|view| lies_on_its_side(view, ids, views)) {
        Some(LYING)
    } else {
        None
    }
}

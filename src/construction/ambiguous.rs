//! Words that mean one part in one construction and another part in another.
//! In a frameless case "rail" is the stretcher between the sides; in a case
//! with a face frame it is a member of the frame.

use super::cabinet_key;
use crate::cabinet::MeasuredCabinet;
use crate::cutlist::{CutList, Reading, Row};
use crate::trade::{Family, Role};
use std::collections::{BTreeMap, BTreeSet};

/// Reads rails as stretchers where neither drawing nor list knows a face frame
/// and the drawing shows stretchers.
pub fn settle(lists: &mut [CutList], cabinets: &[MeasuredCabinet]) {
    let drawn = drawn_without_frame(cabinets);
    let framed: BTreeSet<String> = lists
        .iter()
        .flat_map(|list| &list.rows)
        .filter(|row| matches!(row.role(), Some(Role::Stile | Role::MidStile)))
        .flat_map(|row| keys(row, cabinets))
        .collect();
    for row in lists.iter_mut().flat_map(|list| &mut list.rows) {
        let names = keys(row, cabinets);
        let all_frameless = !names.is_empty()
            && names
                .iter()
                .all(|name| drawn.get(name) == Some(&true) && !framed.contains(name));
        if all_frameless
            && let Reading::As {
                role: role @ Role::Rail,
                ..
            } = &mut row.reading
        {
            *role = Role::Stretcher;
        }
    }
}

/// The cabinets a row is for; of a job with one cabinet every row is.
fn keys(row: &Row, cabinets: &[MeasuredCabinet]) -> Vec<String> {
    match (row.cabinets.as_slice(), cabinets) {
        ([], [only]) => vec![cabinet_key(&only.id)],
        (names, _) => names.iter().map(|name| cabinet_key(name)).collect(),
    }
}

/// For each cabinet drawn: whether it shows stretchers and no member of a frame.
fn drawn_without_frame(cabinets: &[MeasuredCabinet]) -> BTreeMap<String, bool> {
    cabinets
        .iter()
        .flat_map(|cabinet| {
            let has = |test: &dyn Fn(Role) -> bool| cabinet.parts.iter().any(|p| test(p.role));
            let frameless = has(&|role| role == Role::Stretcher)
                && !has(&|role| role.family() == Family::FaceFrame);
            std::iter::once(&cabinet.id)
                .chain(&cabinet.same_as)
                .map(move |name| (cabinet_key(name), frameless))
        })
        .collect()
}

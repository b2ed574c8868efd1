//! Listed sizes by cabinet and part.

use super::cabinet_key;
use crate::cutlist::{CutList, Row};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use std::collections::{BTreeMap, BTreeSet};

/// Rows of the lists by cabinet and role; some, as of what is bought, have none.
pub(super) struct Rows<'a> {
    by_part: BTreeMap<(String, Option<Role>), Vec<&'a Row>>,
    /// Rows that name no cabinet.
    unnamed: BTreeMap<Role, Vec<&'a Row>>,
}

impl<'a> Rows<'a> {
    pub fn of(lists: &'a [CutList]) -> Self {
        let mut by_part: BTreeMap<(String, Option<Role>), Vec<&Row>> = BTreeMap::new();
        let mut unnamed: BTreeMap<Role, Vec<&Row>> = BTreeMap::new();
        for row in lists.iter().flat_map(|list| &list.rows) {
            let role = row.role();
            if let Some(role) = role.filter(|_| row.cabinets.is_empty()) {
                unnamed.entry(role).or_default().push(row);
            }
            // One that names its cabinet twice is one row for it.
            let keys: BTreeSet<String> =
                row.cabinets.iter().map(|name| cabinet_key(name)).collect();
            for key in keys {
                by_part.entry((key, role)).or_default().push(row);
            }
        }
        // Whatever the order of files and rows.
        for rows in by_part.values_mut().chain(unnamed.values_mut()) {
            rows.sort_by(|a, b| a.source.cmp(&b.source));
        }
        Rows { by_part, unnamed }
    }

    /// Rows for a part that name no cabinet.
    pub fn of_none(&self, role: Role) -> &[&'a Row] {
        self.unnamed.get(&role).map_or(&[], Vec::as_slice)
    }

    /// Rows for a part of a cabinet, by the cabinet's key.
    pub fn of_part(&self, key: &str, role: Role) -> &[&'a Row] {
        self.of_cabinet(key, Some(role))
    }

    /// Rows of a cabinet that are for no part of it, by the cabinet's key.
    pub fn of_no_part(&self, key: &str) -> &[&'a Row] {
        self.of_cabinet(key, None)
    }

    fn of_cabinet(&self, key: &str, role: Option<Role>) -> &[&'a Row] {
        self.by_part
            .get(&(key.to_owned(), role))
            .map_or(&[], Vec::as_slice)
    }
}

/// The listed sizes that may lie along an axis: the one its heading says, else the
/// usual way the part lies and the other way round.
pub(super) fn sizes_along(row: &Row, role: Role, axis: Axis) -> Vec<Length> {
    let by_heading = match axis {
        Axis::High => row.size(Dimension::Height),
        Axis::Deep => row.size(Dimension::Depth),
        Axis::Across => None,
    };
    if let Some(cell) = by_heading {
        return vec![cell.value];
    }
    let Some([along, beside, thick]) = role.lie() else {
        return Vec::new();
    };
    let length = row.size(Dimension::Length);
    let width = row.size(Dimension::Width);
    let cells = if axis == thick {
        [row.size(Dimension::Thickness), None]
    } else if axis == along {
        [length, width]
    } else if axis == beside {
        [width, length]
    } else {
        [None, None]
    };
    cells.into_iter().flatten().map(|cell| cell.value).collect()
}

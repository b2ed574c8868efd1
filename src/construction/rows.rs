//! Listed sizes by cabinet and part.

use super::cabinet_key;
use crate::cutlist::{CutList, Row};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use foldhash::{HashMap, HashMapExt};
use smallvec::SmallVec;
use std::collections::BTreeMap;

type ByRole<'a> = BTreeMap<Option<Role>, Vec<&'a Row>>;

/// Rows of the lists by cabinet and role; some, as of what is bought, have none.
pub(super) struct Rows<'a> {
    by_cabinet: HashMap<String, ByRole<'a>>,
    /// Rows that name no cabinet.
    unnamed: BTreeMap<Role, Vec<&'a Row>>,
}

impl<'a> Rows<'a> {
    pub fn of(lists: &'a [CutList]) -> Self {
        let mut by_cabinet: HashMap<String, ByRole<'a>> = HashMap::new();
        let mut unnamed: BTreeMap<Role, Vec<&Row>> = BTreeMap::new();
        for row in lists.iter().flat_map(|list| &list.rows) {
            let role = row.role();
            if let Some(role) = role.filter(|_| row.cabinets.is_empty()) {
                unnamed.entry(role).or_default().push(row);
            }
            // One that names its cabinet twice is one row for it.
            let keys = row.cabinets.iter().map(|name| cabinet_key(name));
            let mut keys: SmallVec<[String; 1]> = keys.collect();
            keys.sort_unstable();
            keys.dedup();
            for key in keys {
                let own = by_cabinet.entry(key).or_default();
                own.entry(role).or_default().push(row);
            }
        }
        // Whatever the order of files and rows.
        let all = by_cabinet.values_mut().flat_map(BTreeMap::values_mut);
        for rows in all.chain(unnamed.values_mut()) {
            rows.sort_by(|a, b| a.source.cmp(&b.source));
        }
        Rows {
            by_cabinet,
            unnamed,
        }
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
        self.by_cabinet
            .get(key)
            .and_then(|own| own.get(&role))
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

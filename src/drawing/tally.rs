//! What was read, what was left out and why, and what was damaged.

use std::collections::BTreeMap;

use super::limits::{MAX_SKIP_KINDS, MAX_WARNINGS};
use super::sheet::{EntityKind, Skipped};

#[derive(Debug, Default)]
pub struct Tally {
    read: BTreeMap<EntityKind, u64>,
    skipped: BTreeMap<Skipped, u64>,
    warnings: Vec<String>,
    more_warnings: u64,
    /// The last reason, so that a flood of one kind costs no look-up.
    last: Option<(Skipped, u64)>,
}

impl EntityKind {
    /// Type as DXF writes it.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Line => "LINE",
            Self::LwPolyline => "LWPOLYLINE",
            Self::Polyline => "POLYLINE",
            Self::Arc => "ARC",
            Self::Circle => "CIRCLE",
            Self::Ellipse => "ELLIPSE",
            Self::Spline => "SPLINE",
            Self::Solid => "SOLID",
            Self::Face3d => "3DFACE",
            Self::Hatch => "HATCH",
            Self::Text => "TEXT",
            Self::MText => "MTEXT",
            Self::Attrib => "ATTRIB",
            Self::Dimension => "DIMENSION",
            Self::Leader => "LEADER",
            Self::MultiLeader => "MULTILEADER",
            Self::Point => "POINT",
            Self::Insert => "INSERT",
            Self::Viewport => "VIEWPORT",
        }
    }
}

impl Tally {
    pub fn read(&mut self, kind: EntityKind) {
        *self.read.entry(kind).or_default() += 1;
    }

    /// `matters` as in [`Skipped::matters`].
    pub fn skip(&mut self, kind: &str, reason: &str, matters: bool, times: u64) {
        if let Some((last, count)) = &mut self.last
            && last.matters == matters
            && last.kind == kind
            && last.reason == reason
        {
            *count += times;
            return;
        }
        self.settle();
        let entry = Skipped {
            kind: kind.to_owned(),
            reason: reason.to_owned(),
            matters,
        };
        self.last = Some((entry, times));
    }

    fn settle(&mut self) {
        let Some((entry, count)) = self.last.take() else {
            return;
        };
        if let Some(slot) = self.skipped.get_mut(&entry) {
            *slot += count;
        } else if self.skipped.len() < MAX_SKIP_KINDS {
            self.skipped.insert(entry, count);
        } else {
            let other = Skipped {
                kind: "other".to_owned(),
                reason: format!("more than {MAX_SKIP_KINDS} different kinds and reasons"),
                matters: true,
            };
            *self.skipped.entry(other).or_default() += count;
        }
    }

    pub fn warn(&mut self, warning: impl FnOnce() -> String) {
        if self.warnings.len() < MAX_WARNINGS {
            let warning = warning();
            if !self.warnings.contains(&warning) {
                self.warnings.push(warning);
            }
        } else {
            self.more_warnings += 1;
        }
    }

    pub fn into_parts(mut self) -> (BTreeMap<String, u64>, BTreeMap<Skipped, u64>, Vec<String>) {
        self.settle();
        if self.more_warnings > 0 {
            self.warnings
                .push(format!("and {} more of this kind", self.more_warnings));
        }
        let read = self.read.into_iter();
        (
            read.map(|(kind, n)| (kind.as_str().to_owned(), n))
                .collect(),
            self.skipped,
            self.warnings,
        )
    }
}

//! What became of each row size, and which findings speak of it: for reports
//! that show the list itself.

use super::Report;
use crate::audit::{Bin, Covered, RowSize};
use crate::cutlist::RowSource;
use crate::trade::Dimension;
use std::collections::BTreeMap;

type Key<'a> = (&'a RowSource, Dimension);

/// Looks up what became of a row size.
#[derive(Clone, Debug, Default)]
pub struct Marks<'a> {
    covered: BTreeMap<Key<'a>, Vec<&'a Covered>>,
    /// Index of each finding, and whether the size is its own row or one of `also`.
    findings: BTreeMap<Key<'a>, Vec<usize>>,
}

impl<'a> Marks<'a> {
    pub fn of(report: &Report<'a>) -> Self {
        let mut marks = Marks::default();
        for covered in &report.audit.coverage {
            marks
                .covered
                .entry(key(&covered.size))
                .or_default()
                .push(covered);
        }
        for (index, finding) in report.audit.findings.iter().enumerate() {
            for size in finding.row.iter().chain(&finding.also) {
                let indices = marks.findings.entry(key(size)).or_default();
                if !indices.contains(&index) {
                    indices.push(index);
                }
            }
        }
        marks
    }

    /// Everything said of this size: one entry for each cabinet of the row.
    pub fn covered(&self, row: &'a RowSource, dimension: Dimension) -> &[&'a Covered] {
        self.covered
            .get(&(row, dimension))
            .map_or(&[], Vec::as_slice)
    }

    /// The worst that is said of this size; `None` when the audit has no word of it.
    pub fn bin(&self, row: &'a RowSource, dimension: Dimension) -> Option<Bin> {
        self.covered(row, dimension)
            .iter()
            .map(|covered| covered.bin)
            .max_by_key(|bin| match bin {
                Bin::Agrees => 0,
                Bin::Unchecked => 1,
                Bin::Disagrees => 2,
            })
    }

    /// Indices of the findings that name this size.
    pub fn findings(&self, row: &'a RowSource, dimension: Dimension) -> &[usize] {
        self.findings
            .get(&(row, dimension))
            .map_or(&[], Vec::as_slice)
    }
}

fn key(size: &RowSize) -> Key<'_> {
    (&size.row, size.dimension)
}

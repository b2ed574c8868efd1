//! What was not checked, by reason, so that a hundred rows open for one reason
//! are one line.

use super::Report;
use crate::audit::Bin;
use crate::cutlist::RowSource;
use std::collections::BTreeMap;

/// The rows of one file that are open for one reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Open<'a> {
    pub reason: &'a str,
    pub file: &'a str,
    pub rows: Vec<OpenRow<'a>>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct OpenRow<'a> {
    pub source: &'a RowSource,
    /// The words of the dimensions.
    pub sizes: Vec<&'static str>,
}

/// In the order of reasons and files, the rows in the order of the coverage.
pub fn by_reason<'a>(report: &Report<'a>) -> Vec<Open<'a>> {
    let mut reasons: BTreeMap<(&str, &str), Vec<OpenRow<'_>>> = BTreeMap::new();
    for covered in &report.audit.coverage {
        if covered.bin != Bin::Unchecked {
            continue;
        }
        let size = &covered.size;
        let rows = reasons.entry((&covered.by, &size.row.file)).or_default();
        let word = size.dimension.word();
        match rows.last_mut() {
            Some(row) if *row.source == size.row => {
                // Once, when the row is for several cabinets.
                if !row.sizes.contains(&word) {
                    row.sizes.push(word);
                }
            }
            _ => rows.push(OpenRow {
                source: &size.row,
                sizes: vec![word],
            }),
        }
    }
    reasons
        .into_iter()
        .map(|((reason, file), rows)| Open { reason, file, rows })
        .collect()
}

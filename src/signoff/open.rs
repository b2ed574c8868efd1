//! What was not checked, by reason, so that a hundred rows open for one reason
//! are one line.

use super::hash::hash;
use crate::audit::{Audit, Bin, RowSize};
use crate::cutlist::RowSource;
use crate::plain::file_name;
use std::collections::{BTreeMap, BTreeSet};

/// The rows of one file that are open for one reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Open<'a> {
    /// With all the cabinets it holds for: "no view of B1, B3 shows a back".
    pub reason: String,
    pub file: &'a str,
    pub rows: Vec<OpenRow<'a>>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct OpenRow<'a> {
    pub source: &'a RowSource,
    /// The words of the dimensions.
    pub sizes: Vec<&'static str>,
}

impl<'a> Open<'a> {
    /// Rows that are open for the same sizes, together: the rows and the sizes.
    pub fn by_sizes(&self) -> Vec<(Vec<&OpenRow<'a>>, &[&'static str])> {
        let mut groups: Vec<(Vec<&OpenRow<'a>>, &[&'static str])> = Vec::new();
        for row in &self.rows {
            match groups.iter_mut().find(|(_, sizes)| *sizes == row.sizes) {
                Some((rows, _)) => rows.push(row),
                None => groups.push((vec![row], &row.sizes)),
            }
        }
        groups
    }

    /// "cutlist.csv: length in lines 5, 15; width in line 7: no view shows it".
    pub fn text(&self) -> String {
        let lines: Vec<_> = self
            .by_sizes()
            .iter()
            .map(|(rows, sizes)| {
                let lines: Vec<_> = rows.iter().map(|row| row.source.line.to_string()).collect();
                let word = if lines.len() == 1 { "line" } else { "lines" };
                format!("{} in {word} {}", sizes.join(", "), lines.join(", "))
            })
            .collect();
        format!(
            "{}: {}: {}",
            file_name(self.file),
            lines.join("; "),
            self.reason
        )
    }
}

/// Something that was not checked, to be named on its own.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenItem<'a> {
    /// Made of what it says and where: the same from run to run.
    pub id: String,
    /// "cutlist.csv: length in line 6: the part is not known".
    pub text: String,
    /// The rows it leaves open; empty for a view or a cabinet.
    pub rows: Vec<&'a RowSize>,
}

/// Everything that was not checked: rows by reason, then views and cabinets.
pub fn items(audit: &Audit) -> Vec<OpenItem<'_>> {
    // Sizes by their row; a list has many rows and each is looked up once.
    let mut unchecked: BTreeMap<&RowSource, Vec<(usize, &RowSize)>> = BTreeMap::new();
    for (index, covered) in audit.coverage.iter().enumerate() {
        if covered.bin == Bin::Unchecked {
            let sizes = unchecked.entry(&covered.size.row).or_default();
            sizes.push((index, &covered.size));
        }
    }
    let of_rows = by_reason(audit).into_iter().map(|open| {
        // In the order of the coverage, each once.
        let rows: BTreeMap<usize, &RowSize> = open
            .rows
            .iter()
            .flat_map(|row| {
                let sizes = unchecked.get(row.source).into_iter().flatten();
                sizes.filter(|(_, size)| row.holds(size)).copied()
            })
            .collect();
        (open.text(), rows.into_values().collect())
    });
    let sentences = audit
        .unchecked
        .iter()
        .map(|sentence| (sentence.clone(), Vec::new()));
    of_rows
        .chain(sentences)
        .map(|(text, rows)| OpenItem {
            id: format!(
                "open-{}",
                hash(text.as_bytes()).get(..8).unwrap_or_default()
            ),
            text,
            rows,
        })
        .collect()
}

impl OpenRow<'_> {
    fn holds(&self, size: &RowSize) -> bool {
        *self.source == size.row && self.sizes.contains(&size.dimension.word())
    }
}

/// Stands for the cabinet's name while reasons are compared.
const CABINET: &str = "\u{0}";

/// In the order of reasons and files, the rows in the order of the coverage.
pub fn by_reason(audit: &Audit) -> Vec<Open<'_>> {
    type Group<'a> = (BTreeSet<&'a str>, Vec<OpenRow<'a>>);
    let mut reasons: BTreeMap<(String, &str), Group<'_>> = BTreeMap::new();
    for covered in &audit.coverage {
        if covered.bin != Bin::Unchecked {
            continue;
        }
        let size = &covered.size;
        let cabinet = covered.cabinet.as_deref().unwrap_or_default();
        let reason = without_name(&covered.by, cabinet);
        let named = reason.contains(CABINET);
        let (cabinets, rows) = reasons.entry((reason, &size.row.file)).or_default();
        if named {
            cabinets.insert(cabinet);
        }
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
        .map(|((reason, file), (cabinets, rows))| {
            let mut cabinets: Vec<&str> = cabinets.into_iter().collect();
            cabinets.sort_by(|a, b| crate::plain::natural(a, b));
            Open {
                reason: reason.replace(CABINET, &cabinets.join(", ")),
                file,
                rows,
            }
        })
        .collect()
}

/// The reason with the cabinet's name taken out where it stands as a word.
fn without_name(reason: &str, cabinet: &str) -> String {
    if cabinet.is_empty() {
        return reason.to_owned();
    }
    let in_word = |character: Option<char>| character.is_some_and(char::is_alphanumeric);
    let mut text = String::with_capacity(reason.len());
    let mut from = 0;
    for (at, _) in reason.match_indices(cabinet) {
        let end = at + cabinet.len();
        let before = reason.get(..at).and_then(|text| text.chars().next_back());
        let after = reason.get(end..).and_then(|text| text.chars().next());
        if at >= from && !in_word(before) && !in_word(after) {
            text.push_str(reason.get(from..at).unwrap_or_default());
            text.push_str(CABINET);
            from = end;
        }
    }
    text.push_str(reason.get(from..).unwrap_or_default());
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    #[test]
    fn one_reason_in_several_cabinets_is_said_once() {
        let mut audit = sample::audit();
        for (covered, cabinet) in audit.coverage.iter_mut().zip(["B10", "B2", "B1", "B2"]) {
            covered.bin = Bin::Unchecked;
            covered.cabinet = Some(cabinet.to_owned());
            covered.by = format!("no view of {cabinet} shows a back");
        }
        let open = by_reason(&audit);
        assert_eq!(open[0].reason, "no view of B1, B2, B10 shows a back");
    }

    #[test]
    fn only_whole_names_are_taken_out() {
        assert_eq!(
            without_name("B1 and B12, (B1)", "B1"),
            "\u{0} and B12, (\u{0})"
        );
    }
}

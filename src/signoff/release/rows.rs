//! Which row now is which row then. A row that only moved is the same row.

use super::snapshot::Row;
use crate::length::Length;
use crate::plain::natural;
use std::collections::BTreeMap;

/// A cell as written, and its size if it is one.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    pub text: String,
    pub length: Option<Length>,
}

/// One cell of a row that is not as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct CellChange {
    /// "length", "quantity", "part", "material".
    pub what: String,
    pub was: Option<Written>,
    pub now: Option<Written>,
}

/// A row that is not as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct RowChange {
    /// `None` for a new row.
    pub was: Option<Row>,
    /// `None` for a row that is gone.
    pub now: Option<Row>,
    /// For a row that is there then and now.
    pub cells: Vec<CellChange>,
}

impl RowChange {
    /// The row as it is now, or as it was when it is gone.
    pub fn row(&self) -> Option<&Row> {
        self.now.as_ref().or(self.was.as_ref())
    }
}

/// Rows of one cabinet and part beyond which the best fit is not looked for.
const FITTED: usize = 64;

/// What is not as it was, in the order of cabinets and lines.
pub fn changes(was: &[Row], now: &[Row]) -> Vec<RowChange> {
    let mut open = Open {
        was: was.iter().map(Some).collect(),
        now: now.iter().map(Some).collect(),
        pairs: Vec::new(),
    };
    open.pair_by(|row| {
        let cells: Vec<String> = cells(row)
            .iter()
            .map(|(what, written)| format!("{what}\u{1}{}\u{1}{:?}", written.text, written.length))
            .collect();
        cells.join("\u{2}")
    });
    // What is the same through and through is no change.
    open.pairs.clear();
    open.pair_by(|row| format!("{}\u{1}{}", row.cabinet.trim(), row.part.trim()));
    // The part or the cabinet was given another name.
    let sizes = |row: &Row| {
        let sizes: Vec<String> = row
            .sizes
            .iter()
            .map(|size| format!("{}\u{1}{:?}", size.what, Length::from_mm(size.mm)))
            .collect();
        format!("{}\u{1}{}", row.count, sizes.join("\u{2}"))
    };
    open.pair_by(|row| format!("{}\u{1}{}", row.cabinet.trim(), sizes(row)));
    open.pair_by(|row| format!("{}\u{1}{}", row.part.trim(), sizes(row)));

    let mut changes: Vec<RowChange> = open
        .pairs
        .iter()
        .map(|(was, now)| RowChange {
            was: Some((*was).clone()),
            now: Some((*now).clone()),
            cells: between(was, now),
        })
        .chain(open.was.iter().flatten().map(|row| RowChange {
            was: Some((*row).clone()),
            now: None,
            cells: Vec::new(),
        }))
        .chain(open.now.iter().flatten().map(|row| RowChange {
            was: None,
            now: Some((*row).clone()),
            cells: Vec::new(),
        }))
        .collect();
    changes.sort_by(|a, b| {
        let (Some(a_row), Some(b_row)) = (a.row(), b.row()) else {
            return std::cmp::Ordering::Equal;
        };
        natural(&a_row.cabinet, &b_row.cabinet)
            .then_with(|| {
                (&a_row.file, &a_row.sheet, a_row.line).cmp(&(
                    &b_row.file,
                    &b_row.sheet,
                    b_row.line,
                ))
            })
            .then_with(|| a.now.is_some().cmp(&b.now.is_some()))
    });
    changes
}

/// Rows that have no partner yet.
struct Open<'a> {
    was: Vec<Option<&'a Row>>,
    now: Vec<Option<&'a Row>>,
    pairs: Vec<(&'a Row, &'a Row)>,
}

impl<'a> Open<'a> {
    /// Pairs rows of one key: those that share most cells first.
    fn pair_by(&mut self, key: impl Fn(&Row) -> String) {
        let mut groups: BTreeMap<String, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for (index, row) in self.was.iter().enumerate() {
            if let Some(row) = row {
                groups.entry(key(row)).or_default().0.push(index);
            }
        }
        for (index, row) in self.now.iter().enumerate() {
            if let Some(row) = row
                && let Some((_, now)) = groups.get_mut(&key(row))
            {
                now.push(index);
            }
        }
        for (was, now) in groups.into_values() {
            for (old, new) in self.fit(&was, &now) {
                let pair = (
                    self.was.get_mut(old).and_then(Option::take),
                    self.now.get_mut(new).and_then(Option::take),
                );
                if let (Some(old), Some(new)) = pair {
                    self.pairs.push((old, new));
                }
            }
        }
    }

    fn fit(&self, was: &[usize], now: &[usize]) -> Vec<(usize, usize)> {
        let in_order = || was.iter().copied().zip(now.iter().copied()).collect();
        if was.len().max(now.len()) > FITTED || was.len().max(now.len()) == 1 {
            return in_order();
        }
        let mut ranked: Vec<(usize, usize, usize, usize, usize)> = Vec::new();
        for (old_place, &old) in was.iter().enumerate() {
            for (new_place, &new) in now.iter().enumerate() {
                if let (Some(Some(a)), Some(Some(b))) = (self.was.get(old), self.now.get(new)) {
                    let apart = old_place.abs_diff(new_place);
                    ranked.push((between(a, b).len(), apart, old_place, old, new));
                }
            }
        }
        ranked.sort_unstable();
        let mut pairs: Vec<(usize, usize)> = Vec::new();
        for (_, _, _, old, new) in ranked {
            if pairs.iter().all(|(a, b)| *a != old && *b != new) {
                pairs.push((old, new));
            }
        }
        pairs
    }
}

/// Everything that is read of a row, but for its place.
fn cells(row: &Row) -> Vec<(&str, Written)> {
    let text = |text: &str| Written {
        text: text.trim().to_owned(),
        length: None,
    };
    let mut cells = vec![
        ("cabinet", text(&row.cabinet)),
        ("part", text(&row.part)),
        ("quantity", text(&quantity(row))),
    ];
    cells.extend(row.sizes.iter().map(|size| {
        let written = Written {
            text: size.text.trim().to_owned(),
            length: Length::from_mm(size.mm),
        };
        (size.what.as_str(), written)
    }));
    cells.extend(
        row.cells
            .iter()
            .map(|cell| (cell.what.as_str(), text(&cell.text))),
    );
    cells
}

/// As written, with the count where that says more.
fn quantity(row: &Row) -> String {
    let count = row.count.to_string();
    match row.quantity.trim() {
        "" => count,
        text if text == count => count,
        text => format!("{text} ({count})"),
    }
}

/// The cells in which two rows differ.
fn between(was: &Row, now: &Row) -> Vec<CellChange> {
    let (was, now) = (cells(was), cells(now));
    let find = |cells: &[(&str, Written)], what: &str| {
        cells
            .iter()
            .find(|(name, _)| *name == what)
            .map(|(_, written)| written.clone())
    };
    let mut changes: Vec<CellChange> = was
        .iter()
        .map(|(what, written)| CellChange {
            what: (*what).to_owned(),
            was: Some(written.clone()),
            now: find(&now, what),
        })
        .filter(|change| change.was != change.now)
        .collect();
    changes.extend(
        now.iter()
            .filter(|(what, _)| find(&was, what).is_none())
            .map(|(what, written)| CellChange {
                what: (*what).to_owned(),
                was: None,
                now: Some(written.clone()),
            }),
    );
    changes
}

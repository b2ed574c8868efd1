//! The heading line of a list, and what its columns hold.

use super::heading::{self, Heading};
use super::normal::key;
use super::table::Line;
use super::types::{ListHints, SizeKind};
use super::units::Known;
use super::words::{Field, field};
use crate::length::{Unit, parse};
use crate::trade::Dimension;
use std::sync::Arc;

/// One column of a list.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    /// 0-based.
    pub(super) index: usize,
    /// As written.
    pub(super) heading: Arc<str>,
    pub(super) field: Field,
    pub(super) unit: Option<Unit>,
    pub(super) kind: SizeKind,
    pub(super) order: Vec<Dimension>,
    /// Why it is taken for what it is, when that is not plain.
    pub(super) because: Option<String>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Columns {
    pub(super) list: Vec<Column>,
}

impl Columns {
    pub(super) fn of(&self, field: Field) -> impl Iterator<Item = &Column> {
        self.list.iter().filter(move |column| column.field == field)
    }

    pub(super) fn first(&self, field: Field) -> Option<&Column> {
        self.of(field).next()
    }

    pub(super) fn has(&self, field: Field) -> bool {
        self.first(field).is_some()
    }

    /// The unit that the heading of each column says.
    pub(super) fn units(&self) -> Vec<Option<Known>> {
        let said = |column: &Column| {
            let by = format!("heading `{}`", column.heading);
            column.unit.map(|unit| (unit, by.into()))
        };
        self.list.iter().map(said).collect()
    }

    /// In plain words, one line a column that needs any.
    pub(super) fn words(&self) -> Vec<String> {
        let mut lines = Vec::new();
        let mut unused = Vec::new();
        for column in &self.list {
            let name = format!("{} `{}`", column.index + 1, column.heading);
            if let Some(because) = &column.because {
                let what = match column.field {
                    Field::Unused => "not used".to_owned(),
                    field => format!("read as {}", field.name()),
                };
                lines.push(format!("column {name} {what}: {because}"));
            } else if column.field == Field::CabinetCount {
                lines.push(format!("column {name} counts cabinets; that is not used"));
            } else if column.field == Field::Unused {
                unused.push(name);
            }
        }
        if !unused.is_empty() {
            lines.push(format!("columns not used: {}", unused.join(", ")));
        }
        lines
    }
}

/// Lines looked at for a heading line before giving up.
const SEARCHED: usize = 80;

/// How many cells are headings; for telling separators apart.
pub(super) fn known_headings(cells: &[String]) -> usize {
    cells.iter().filter(|cell| heading::is_known(cell)).count()
}

/// The first heading line: its 0-based place and its columns.
pub(super) fn find(lines: &[Line], hints: &ListHints) -> Option<(usize, Columns)> {
    let mut seen = 0;
    for (at, line) in lines.iter().enumerate() {
        if line.is_blank() {
            continue;
        }
        seen += 1;
        if seen > SEARCHED {
            return None;
        }
        let above = at.checked_sub(1).and_then(|at| lines.get(at));
        if let Some(columns) = columns(line, above, hints) {
            return Some((at, columns));
        }
    }
    None
}

/// The columns of a line, when it is a heading line.
pub(super) fn columns(line: &Line, above: Option<&Line>, hints: &ListHints) -> Option<Columns> {
    let filled = line.filled().count();
    if filled < 2 || line.filled().any(|(_, cell)| is_value(cell.trimmed())) {
        return None;
    }
    let groups = groups(above, line);
    let mut list: Vec<(Column, f64)> = Vec::new();
    let mut known = 0;
    for (index, cell) in line.filled() {
        let text = cell.trimmed();
        let group = groups.get(index).map_or("", String::as_str);
        let hinted = hinted(index, text, hints);
        let column = match (hinted, heading::read(text, group)) {
            (Some(field), read) => {
                known += 1;
                (
                    Column {
                        index,
                        heading: text.into(),
                        field,
                        unit: read.as_ref().and_then(|r| r.unit),
                        kind: read.as_ref().map_or(SizeKind::Unstated, |r| r.kind),
                        order: read.map(|r| r.order).unwrap_or_default(),
                        because: Some("as the job says".to_owned()),
                    },
                    2.0,
                )
            }
            (None, Some(read)) => {
                known += usize::from(read.field != Field::Unused);
                from_heading(index, text, read)
            }
            (None, None) => (
                Column {
                    index,
                    heading: text.into(),
                    field: Field::Unused,
                    unit: None,
                    kind: SizeKind::Unstated,
                    order: Vec::new(),
                    because: None,
                },
                0.0,
            ),
        };
        list.push(column);
    }
    let says_what = list.iter().any(|(column, _)| {
        column.field.is_size()
            || column.field.is_bore()
            || matches!(
                column.field,
                Field::Part | Field::Quantity | Field::QuantityPerCabinet | Field::QuantityTotal
            )
    });
    let enough = known >= 2 && (known * 2 >= filled || known >= 4);
    (says_what && enough).then(|| Columns {
        list: distinct(list),
    })
}

/// The columns when a second heading line stands right below the first: "L" and "W"
/// under "Finished size", or a line of units.
pub(super) fn below(known: &Columns, above: &Line, line: &Line) -> Option<Columns> {
    let filled: Vec<(usize, &str)> = line
        .filled()
        .map(|(index, cell)| (index, cell.trimmed()))
        .collect();
    if filled.is_empty() {
        return None;
    }
    let units: Option<Vec<(usize, Unit)>> = filled
        .iter()
        .map(|(index, text)| {
            let text = text.trim_matches(['(', ')', '[', ']']);
            Unit::from_word(text).map(|unit| (*index, unit))
        })
        .collect();
    let mut list = known.list.clone();
    if let Some(units) = units {
        for (index, unit) in units {
            if let Some(column) = list.iter_mut().find(|column| column.index == index) {
                column.unit = column.unit.or(Some(unit));
            }
        }
        return Some(Columns { list });
    }
    // A full line of headings starts a list of its own.
    let all_under = known
        .list
        .iter()
        .all(|column| filled.iter().any(|(index, _)| *index == column.index));
    if all_under {
        return None;
    }
    let groups = groups(Some(above), line);
    let mut read: Vec<(Column, f64)> = Vec::new();
    for (index, text) in filled {
        let heading = heading::read(text, groups.get(index).map_or("", String::as_str))?;
        read.push(from_heading(index, text, heading));
    }
    list.retain(|column| read.iter().all(|(sub, _)| sub.index != column.index));
    let mut list: Vec<(Column, f64)> = list.into_iter().map(|column| (column, 1.0)).collect();
    list.extend(read);
    list.sort_by_key(|(column, _)| column.index);
    Some(Columns {
        list: distinct(list),
    })
}

/// Columns without a heading line, by the numbers the job gives.
pub(super) fn by_number(hints: &ListHints) -> Option<Columns> {
    let mut list = Vec::new();
    for (name, place) in &hints.columns {
        let index = place.trim().parse::<usize>().ok()?.checked_sub(1)?;
        list.push((
            Column {
                index,
                heading: "".into(),
                field: field(name)?,
                unit: None,
                kind: SizeKind::Unstated,
                order: Vec::new(),
                because: Some("as the job says".to_owned()),
            },
            2.0,
        ));
    }
    list.sort_by_key(|(column, _)| column.index);
    (!list.is_empty()).then(|| Columns {
        list: distinct(list),
    })
}

fn from_heading(index: usize, text: &str, read: Heading) -> (Column, f64) {
    (
        Column {
            index,
            heading: text.into(),
            field: read.field,
            unit: read.unit,
            kind: read.kind,
            order: read.order,
            because: if read.rough {
                Some("a rough size is not the part's".to_owned())
            } else {
                (read.score < 0.95)
                    .then(|| format!("like `{}`, score {:.2}", read.synonym, read.score))
            },
        },
        read.score,
    )
}

fn hinted(index: usize, heading: &str, hints: &ListHints) -> Option<Field> {
    let here = key(heading);
    hints
        .columns
        .iter()
        .find(|(_, place)| {
            place.trim().parse::<usize>() == Ok(index + 1)
                || (!here.is_empty() && key(place) == here)
        })
        .and_then(|(name, _)| field(name))
}

/// Headings of groups from the line above, each carried to the right until the next.
fn groups(above: Option<&Line>, line: &Line) -> Vec<String> {
    let Some(above) = above else {
        return Vec::new();
    };
    let filled: Vec<usize> = above.filled().map(|(index, _)| index).collect();
    // A title stands alone, in the first column; groups stand over later ones.
    let grouped = filled.iter().any(|index| *index > 0)
        && !above.filled().any(|(_, cell)| is_value(cell.trimmed()));
    if !grouped {
        return Vec::new();
    }
    let mut current = String::new();
    (0..line.cells.len())
        .map(|index| {
            let own = above.at(index);
            if !own.is_empty() {
                own.clone_into(&mut current);
            }
            current.clone()
        })
        .collect()
}

/// Whether a cell holds a size or a count: no heading does.
fn is_value(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '½' | '¼' | '¾'))
        && parse(text, Unit::Millimetre).is_ok()
}

/// Of several columns for one thing, keeps the surest; sizes may stand twice,
/// finished and cut; notes and bores as often as they like.
fn distinct(list: Vec<(Column, f64)>) -> Vec<Column> {
    let mut kept: Vec<(Column, f64)> = Vec::new();
    for (mut column, score) in list {
        let many = matches!(
            column.field,
            Field::Note | Field::Unused | Field::Part | Field::Item
        ) || matches!(
            column.field,
            Field::Bore | Field::BoreFromTop | Field::BoreFromBottom
        );
        let twin = kept
            .iter_mut()
            .find(|(other, _)| other.field == column.field && other.kind == column.kind);
        if let Some((other, other_score)) = twin.filter(|_| !many) {
            let (loser, winner) = if score > *other_score {
                (other, &column.heading)
            } else {
                (&mut column, &other.heading)
            };
            let winner = winner.clone();
            loser.because = Some(format!("`{winner}` is taken for that"));
            loser.field = Field::Unused;
        }
        kept.push((column, score));
    }
    kept.into_iter().map(|(column, _)| column).collect()
}

//! The lines below a heading: which are rows, which are headings, totals and
//! notes, and which cabinet and section each row stands under.

use super::cabinets::{self, Named};
use super::columns::{self, Columns};
use super::contents;
use super::kinds::{is_note, is_ruled, is_total, section};
use super::roles::Parts;
use super::table::{Line, Table};
use super::types::{ListHints, PassedOver};
use super::words::{Field, Section, words};
use std::collections::BTreeSet;
use std::rc::Rc;

/// A line that is a row.
#[derive(Clone, Debug)]
pub(super) struct RawRow {
    /// Place in the table's lines.
    pub(super) line: usize,
    /// Place in [`Layout::columns`].
    pub(super) columns: usize,
    pub(super) cabinets: Vec<String>,
    pub(super) cabinet_text: String,
    /// Every cabinet of the list is meant.
    pub(super) all: bool,
    pub(super) section: Option<Section>,
    /// As written; empty without such a column.
    pub(super) part: String,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Layout {
    pub(super) columns: Vec<Rc<Columns>>,
    pub(super) rows: Vec<RawRow>,
    pub(super) passed_over: Vec<PassedOver>,
    pub(super) reading: Vec<String>,
}

/// What holds for the rows that follow.
#[derive(Clone, Debug, Default)]
struct State {
    cabinets: Vec<String>,
    cabinet_text: String,
    all: bool,
    section: Option<Section>,
}

struct Walk<'a> {
    table: &'a Table,
    hints: &'a ListHints,
    parts: &'a Parts,
    known: BTreeSet<String>,
    state: State,
    /// The cabinet cell read last, which the rows of a cabinet repeat.
    read_last: Option<(String, Named)>,
    layout: Layout,
    carried: usize,
    /// The last line of column headings.
    heading_at: Option<usize>,
}

/// Reads the lines after the heading line at `head`; everything with columns by
/// number has `head` none. `titled` is the cabinet a title names.
pub(super) fn walk(
    table: &Table,
    head: Option<usize>,
    first: Columns,
    hints: &ListHints,
    parts: &Parts,
    start: Option<Section>,
    titled: Option<(Vec<String>, String)>,
) -> Layout {
    let mut walk = Walk {
        table,
        hints,
        parts,
        known: known_names(table, &first),
        state: State::default(),
        read_last: None,
        layout: Layout::default(),
        carried: 0,
        heading_at: head,
    };
    if let Some((names, text)) = titled.filter(|_| !first.has(Field::Cabinet)) {
        walk.state.cabinets = names;
        walk.state.cabinet_text = text;
    }
    walk.add_columns(first, head.map_or(0, |at| at + 1));
    for at in head.map_or(0, |at| at + 1)..table.lines.len() {
        walk.line(at);
    }
    if walk.carried > 0 {
        walk.layout.reading.push(format!(
            "{} rows without a cabinet of their own take the one above them",
            walk.carried
        ));
    }
    name_by_prefix(&mut walk.layout, table);
    if let Some(start) = start.filter(|start| suits(*start, &walk.layout, parts)) {
        for row in &mut walk.layout.rows {
            row.section.get_or_insert(start);
        }
    }
    walk.layout
}

fn known_names(table: &Table, columns: &Columns) -> BTreeSet<String> {
    let Some(column) = columns.first(Field::Cabinet) else {
        return BTreeSet::new();
    };
    let mut cells: Vec<&str> = table.lines.iter().map(|l| l.at(column.index)).collect();
    cells.dedup();
    let names = cells.into_iter().flat_map(cabinets::plain_names);
    names.collect()
}

impl Walk<'_> {
    fn add_columns(&mut self, mut columns: Columns, from: usize) {
        let below: Vec<&Line> = self
            .table
            .lines
            .iter()
            .skip(from)
            .filter(|line| line.filled().count() > 1)
            .take(200)
            .collect();
        contents::settle(&mut columns, &below, self.parts);
        for words in columns.words() {
            if !self.layout.reading.contains(&words) {
                self.layout.reading.push(words);
            }
        }
        self.layout.columns.push(Rc::new(columns));
    }

    fn columns(&self) -> Option<&Rc<Columns>> {
        self.layout.columns.last()
    }

    fn pass(&mut self, line: &Line, reason: impl Into<String>) {
        self.layout.passed_over.push(PassedOver {
            source: line.source.clone(),
            text: line.raw.clone(),
            reason: reason.into(),
        });
    }

    fn line(&mut self, at: usize) {
        let table = self.table;
        let Some(line) = table.lines.get(at) else {
            return;
        };
        if line.is_blank() {
            return self.pass(line, "blank");
        }
        if is_ruled(line) {
            return self.pass(line, "a drawn line");
        }
        let above = at.checked_sub(1).and_then(|at| table.lines.get(at));
        if let (Some(heading), Some(known)) = (
            above.filter(|_| self.heading_at.is_some_and(|head| head + 1 == at)),
            self.layout.columns.last(),
        ) && let Some(columns) = columns::below(known, heading, line)
        {
            // What was said of the upper line alone no longer holds.
            let said = self.layout.columns.pop().map(|known| known.words());
            let said = said.unwrap_or_default();
            self.layout.reading.retain(|line| !said.contains(line));
            self.add_columns(columns, at + 1);
            return self.pass(line, "column headings");
        }
        if let Some(columns) = columns::columns(line, above, self.hints) {
            let same = self.columns().is_some_and(|known| {
                known.list.len() == columns.list.len()
                    && known
                        .list
                        .iter()
                        .zip(&columns.list)
                        .all(|(a, b)| a.heading == b.heading && a.index == b.index)
            });
            if !same {
                self.add_columns(columns, at + 1);
                self.heading_at = Some(at);
            }
            return self.pass(line, "column headings");
        }
        let Some(columns) = self.columns().cloned() else {
            return;
        };
        if is_total(line) {
            return self.pass(line, "a total");
        }
        if self.heading(at, line, &columns) {
            return;
        }
        self.row(at, line, &columns);
    }

    /// Headings of sections and cabinets, and notes; true when the line is one.
    fn heading(&mut self, at: usize, line: &Line, columns: &Columns) -> bool {
        let filled: Vec<(usize, &str)> =
            line.filled().map(|(i, cell)| (i, cell.trimmed())).collect();
        let sized = columns.list.iter().any(|c| {
            (c.field.is_size() || c.field.is_bore()) && !words().is_nothing(line.at(c.index))
        });
        if sized {
            return false;
        }
        let own_column = columns.first(Field::Cabinet).map(|c| c.index);
        if let [(index, text)] = filled.as_slice() {
            if Some(*index) == own_column && section(text).is_none() {
                if is_note(text) || !self.row_follows(at, columns) {
                    return self.note(line);
                }
                self.name(line, text);
                return true;
            }
            if let Some(section) = section(text) {
                self.state.section = (section != Section::Group).then_some(section);
                self.pass(line, "a heading");
                return true;
            }
            if own_column.is_none()
                && !is_note(text)
                && self.row_follows(at, columns)
                && !self.parts.knows(text)
            {
                return self.named_heading(line, text, true);
            }
            if own_column.is_none() && self.row_follows(at, columns) {
                // "Cabinet B2" may hold a word that is also a part's.
                return self.named_heading(line, text, false) || self.note(line);
            }
            return self.note(line);
        }
        // "Cabinet:" and "B2" in two cells; "B2" and "Sink base".
        let (Some((first_index, first)), Some((_, second))) = (filled.first(), filled.get(1))
        else {
            return false;
        };
        let labels = super::heading::read(first.trim_end_matches(':'), "")
            .is_some_and(|heading| heading.field == Field::Cabinet);
        if labels && filled.len() <= 3 && own_column != Some(*first_index) {
            return self.named_heading(line, second, true);
        }
        let part = columns.first(Field::Part).map_or("", |c| line.at(c.index));
        let counted = [
            Field::Quantity,
            Field::QuantityTotal,
            Field::QuantityPerCabinet,
        ]
        .iter()
        .filter_map(|field| columns.first(*field))
        .any(|c| !words().is_nothing(line.at(c.index)));
        if let Some(index) = own_column.filter(|index| !line.at(*index).is_empty()) {
            // The cabinet's own line: its name and what it is.
            let follows = self.row_follows(at, columns);
            if !self.parts.knows(part) && follows && !counted && !part.is_empty() {
                let text = line.at(index).to_owned();
                self.name(line, &text);
                return true;
            }
            return false;
        }
        if own_column.is_none() && !self.parts.knows(part) && self.row_follows(at, columns) {
            let text = if part.is_empty() { first } else { part };
            if is_note(text) {
                return self.note(line);
            }
            return self.named_heading(line, text, false);
        }
        false
    }

    /// Takes a text as the name of the cabinet that follows; `any` also without an id in it.
    fn named_heading(&mut self, line: &Line, text: &str, any: bool) -> bool {
        match cabinets::heading(text, &self.known) {
            Some((names, sure)) if sure || any => {
                self.state = State {
                    cabinets: names,
                    cabinet_text: text.to_owned(),
                    all: false,
                    section: None,
                };
                self.pass(line, "the cabinet of the rows below");
                true
            }
            _ => false,
        }
    }

    fn name(&mut self, line: &Line, text: &str) {
        self.set_cabinets(text);
        self.pass(line, "the cabinet of the rows below");
    }

    fn set_cabinets(&mut self, text: &str) {
        let again = self.read_last.take().filter(|last| last.0 == text);
        let (text, named) =
            again.unwrap_or_else(|| (text.to_owned(), cabinets::read(text, &self.known)));
        let (names, all) = match &named {
            Named::Cabinets(names) => (names.clone(), false),
            Named::All => (Vec::new(), true),
            Named::Nothing => (Vec::new(), false),
        };
        self.state.cabinets = names;
        self.state.all = all;
        self.state.cabinet_text.clone_from(&text);
        self.read_last = Some((text, named));
    }

    fn note(&mut self, line: &Line) -> bool {
        self.pass(line, "a note: no size stands in it");
        true
    }

    /// Whether the next line that holds anything has a size.
    fn row_follows(&self, at: usize, columns: &Columns) -> bool {
        self.table
            .lines
            .iter()
            .skip(at + 1)
            .filter(|line| !line.is_blank() && !is_ruled(line))
            .take(3)
            .any(|line| {
                columns.list.iter().any(|c| {
                    c.field.is_size()
                        && line
                            .at(c.index)
                            .starts_with(|c: char| c.is_ascii_digit() || "½¼¾⅛⅜⅝⅞.".contains(c))
                })
            })
    }

    fn row(&mut self, at: usize, line: &Line, columns: &Columns) {
        let mut part = columns.first(Field::Part).map_or("", |c| line.at(c.index));
        let above = self.layout.rows.last().map(|row| row.part.clone());
        if words().is_ditto(part)
            && let Some(above) = &above
        {
            part = above;
        }
        let sized = columns.list.iter().any(|c| {
            (c.field.is_size() || c.field.is_bore()) && !words().is_nothing(line.at(c.index))
        });
        if part.is_empty() && !sized {
            return self.pass(line, "no part and no size stand in it");
        }
        if let Some(column) = columns.first(Field::Cabinet) {
            let text = line.at(column.index);
            let said = !text.is_empty() && !words().is_ditto(text);
            if said {
                self.set_cabinets(text);
            } else if !self.state.cabinet_text.is_empty() {
                self.carried += 1;
            }
        }
        self.layout.rows.push(RawRow {
            line: at,
            columns: self.layout.columns.len().saturating_sub(1),
            cabinets: self.state.cabinets.clone(),
            cabinet_text: self.state.cabinet_text.clone(),
            all: self.state.all,
            section: self.state.section,
            part: part.to_owned(),
        });
    }
}

/// Where no column and no heading names cabinets, the parts' names or numbers
/// may: `B2 side`, `B2-03`.
fn name_by_prefix(layout: &mut Layout, table: &Table) {
    if layout.rows.is_empty() || layout.rows.iter().any(|row| !row.cabinet_text.is_empty()) {
        return;
    }
    let from = |row: &RawRow, field: Field| -> Option<String> {
        let columns = layout.columns.get(row.columns)?;
        let column = columns.first(field)?;
        let text = table.lines.get(row.line)?.at(column.index);
        let name = if field == Field::Part {
            cabinets::within(text)
        } else {
            cabinets::prefix(text)
        };
        name.map(str::to_owned)
    };
    for (field, what) in [
        (Field::Part, "part's name"),
        (Field::Number, "part's number"),
        (Field::Note, "note"),
    ] {
        let names: Vec<Option<String>> = layout.rows.iter().map(|row| from(row, field)).collect();
        let named = names.iter().flatten().count();
        if named * 10 < layout.rows.len() * 8 {
            continue;
        }
        layout.reading.push(format!(
            "no column has cabinets; the {what} names one in {named} of {} rows",
            layout.rows.len()
        ));
        for (row, name) in layout.rows.iter_mut().zip(names) {
            if let Some(name) = name {
                row.cabinet_text.clone_from(&name);
                row.cabinets = vec![name];
            }
        }
        return;
    }
    layout
        .reading
        .push("no row says which cabinet it is for".to_owned());
}

/// Whether a title, a sheet's or a file's name can tell what every row is: a file
/// named for its drawers may well list the whole cabinet.
fn suits(start: Section, layout: &Layout, parts: &Parts) -> bool {
    layout
        .rows
        .iter()
        .all(|row| row.part.is_empty() || row.section.is_some() || parts.belongs(&row.part, start))
}

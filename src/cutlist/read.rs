//! A file to a list: the steps in their order.

use super::columns::{self, Columns};
use super::heading;
use super::kinds;
use super::lines;
use super::propose;
use super::roles::Parts;
use super::rows;
use super::separated;
use super::table::{Line, Table};
use super::text::decode;
use super::typed;
use super::types::{CutList, ListError, ListHints, PassedOver, Problem, RowSource, SizeKind};
use super::units::{self, Known};
use super::words::{Field, Section, field};
use super::workbook;
use std::path::Path;
use std::sync::Arc;

/// Reads a CSV, XLSX or ODS list. `shown` is the path as the user gave it.
///
/// # Errors
/// When the file cannot be read or no row can be made of it; single cells that
/// cannot be understood are [`Problem`]s of the list instead.
pub fn read_file(path: &Path, shown: &str, hints: &ListHints) -> Result<CutList, ListError> {
    let bytes = std::fs::read(path).map_err(|error| ListError::Unreadable {
        file: shown.to_owned(),
        message: error.to_string(),
    })?;
    read_bytes(&bytes, shown, hints)
}

/// Reads the bytes of a list; `shown` is the name of the file, which may tell
/// what kind of list it is (`doors.csv`).
///
/// # Errors
/// As [`read_file`].
pub fn read_bytes(bytes: &[u8], shown: &str, hints: &ListHints) -> Result<CutList, ListError> {
    let unusable = |message: &str, advice: &str| ListError::Unusable {
        file: shown.to_owned(),
        message: message.to_owned(),
        advice: advice.to_owned(),
    };
    check_hints(shown, hints)?;
    let file: Arc<str> = shown.into();
    let mut list = CutList {
        file: Arc::clone(&file),
        ..CutList::default()
    };
    if bytes.starts_with(b"%PDF") {
        return Err(unusable(
            "this is a PDF, not a list",
            "save the list as CSV or XLSX",
        ));
    }
    let tables = if workbook::is_workbook(bytes) {
        let book = workbook::read(bytes, &file, hints.sheet.as_deref()).map_err(|message| {
            unusable(
                &format!("the workbook cannot be read: {message}"),
                "save it again as XLSX or CSV",
            )
        })?;
        if let (Some(wanted), true) = (&hints.sheet, book.tables.is_empty()) {
            return Err(unusable(
                &format!("it has no sheet `{wanted}`"),
                &format!("its sheets are {}", book.names.join(", ")),
            ));
        }
        list.passed_over.extend(book.passed_over);
        book.tables
    } else {
        let (text, encoding) = decode(bytes).ok_or_else(|| {
            unusable(
                "this is neither text nor a workbook",
                "save the list as CSV, XLSX or ODS",
            )
        })?;
        list.reading.push(format!("text in {encoding}"));
        vec![separated::split(&text, &file, &columns::known_headings)]
    };
    if tables
        .iter()
        .all(|table| table.lines.iter().all(Line::is_blank))
    {
        return Err(unusable("there is nothing in it", "save the list again"));
    }
    let mut parts = Parts::new(&hints.words);
    let several = tables.len() > 1;
    let mut headless: Vec<Table> = Vec::new();
    for table in tables {
        match columns_of(&table, hints) {
            Some((head, columns)) => one_table(&table, head, columns, hints, &mut parts, &mut list),
            None => headless.push(table),
        }
    }
    let read = !list.rows.is_empty() || !list.borings.is_empty();
    if !read && list.problems.is_empty() {
        return Err(no_rows(shown, &headless, hints, &parts, several));
    }
    for table in headless {
        list.passed_over.push(PassedOver {
            source: RowSource {
                file: Arc::clone(&file),
                sheet: table.sheet,
                line: 0,
            },
            text: String::new(),
            reason: "a sheet without column headings of a list".to_owned(),
        });
    }
    Ok(list)
}

/// Field names of the job are checked before anything is read.
fn check_hints(shown: &str, hints: &ListHints) -> Result<(), ListError> {
    for (name, _) in &hints.columns {
        if field(name).is_none() {
            let known: Vec<&str> = super::words::field_names().collect();
            return Err(ListError::Unusable {
                file: shown.to_owned(),
                message: format!("`{name}` is not something a column can hold"),
                advice: format!("use one of {}", known.join(", ")),
            });
        }
    }
    Ok(())
}

/// The heading line and columns: from the list, or by number from the job.
pub(super) fn columns_of(table: &Table, hints: &ListHints) -> Option<(Option<usize>, Columns)> {
    if let Some((head, columns)) = columns::find(&table.lines, hints) {
        return Some((Some(head), columns));
    }
    let columns = columns::by_number(hints)?;
    columns
        .list
        .iter()
        .any(|column| column.field.is_size() || column.field.is_bore())
        .then_some((None, columns))
}

fn no_rows(
    shown: &str,
    headless: &[Table],
    hints: &ListHints,
    parts: &Parts,
    several: bool,
) -> ListError {
    let error = |message: String, advice: String| ListError::Unusable {
        file: shown.to_owned(),
        message,
        advice,
    };
    let headed = |(_, place): &&(String, String)| place.trim().parse::<usize>().is_err();
    if let Some((name, place)) = hints.columns.iter().find(headed)
        && !headless.is_empty()
    {
        return error(
            format!("no line has a column headed `{place}` for {name}"),
            "use a heading of the list, or a column number, for every column".to_owned(),
        );
    }
    let Some(table) = headless.iter().max_by_key(|table| table.lines.len()) else {
        return error(
            "there are column headings but no row below them".to_owned(),
            "save the list again, with its rows".to_owned(),
        );
    };
    let mapping = propose::mapping(&table.lines, parts);
    if mapping.is_empty() {
        return error(
            "no line with column headings was found".to_owned(),
            "put a line such as `Cabinet,Part,Qty,Length,Width,Thickness` above the rows"
                .to_owned(),
        );
    }
    let first = table
        .lines
        .iter()
        .find(|line| line.filled().count() > 1)
        .map(|line| line.raw.clone())
        .unwrap_or_default();
    let sheet = match (&table.sheet, several) {
        (Some(name), true) => format!(" on sheet `{name}`"),
        _ => String::new(),
    };
    error(
        format!("no line with column headings was found{sheet}; its first row is `{first}`"),
        format!(
            "if these columns are right, put this into the job file, else correct it:\n{}",
            propose::text(&mapping)
        ),
    )
}

/// Reads one table into the list.
fn one_table(
    table: &Table,
    head: Option<usize>,
    columns: Columns,
    hints: &ListHints,
    parts: &mut Parts,
    list: &mut CutList,
) {
    let mut reading = table.reading.clone();
    reading.push(match head.and_then(|at| table.lines.get(at)) {
        Some(line) => format!("column headings in line {}", line.source.line),
        None => "columns as the job says; no heading line".to_owned(),
    });
    let titles = table.lines.get(..head.unwrap_or(0)).unwrap_or(&[]);
    let title = Title::of(titles, table, &list.file);
    for line in titles {
        let reason = if line.is_blank() { "blank" } else { "a title" };
        list.passed_over.push(passed(line, reason));
    }
    if let Some(line) = head.and_then(|at| table.lines.get(at)) {
        list.passed_over.push(passed(line, "column headings"));
    }
    let mut layout = lines::walk(
        table,
        head,
        columns,
        hints,
        parts,
        title.section,
        title.cabinet.clone(),
    );
    reading.extend(layout.reading.iter().cloned());
    if let Some((_, text)) = title
        .cabinet
        .as_ref()
        .filter(|(names, _)| layout.rows.iter().all(|row| row.cabinets == *names))
    {
        reading.push(format!("every row is for the cabinet of `{text}`"));
    }
    if let (Some(section), Some(by)) = (title.section, &title.section_by) {
        let used = layout.rows.iter().any(|row| row.section == Some(section));
        if used {
            reading.push(format!(
                "`{by}` tells that this is a list of {}",
                rows::section_word(Some(section))
            ));
        }
    }
    list.passed_over.append(&mut layout.passed_over);
    for line in &table.torn {
        list.problems.push(Problem {
            source: RowSource {
                file: Arc::clone(&list.file),
                sheet: table.sheet.clone(),
                line: *line,
            },
            column: None,
            text: String::new(),
            message: "its quotation marks do not pair".to_owned(),
            advice: "close the quotes, or leave them out".to_owned(),
            dimension: None,
        });
    }
    typed::rows(table, layout, &title, hints, parts, list, &mut reading);
    list.reading.extend(reading);
}

/// What stands above the list tells of it.
pub(super) struct Title {
    section: Option<Section>,
    section_by: Option<String>,
    cabinet: Option<(Vec<String>, String)>,
    pub(super) unit: Option<Known>,
    pub(super) kind: SizeKind,
}

impl Title {
    fn of(lines: &[Line], table: &Table, file: &str) -> Self {
        let mut title = Title {
            section: None,
            section_by: None,
            cabinet: None,
            unit: None,
            kind: SizeKind::Unstated,
        };
        for line in lines {
            let filled: Vec<&str> = line.filled().map(|(_, cell)| cell.trimmed()).collect();
            let text = filled.join(" ");
            if let Some(unit) = units::stated(&text) {
                title
                    .unit
                    .get_or_insert((unit, format!("title `{text}`").into()));
            }
            if title.kind == SizeKind::Unstated {
                title.kind = heading::stated_kind(&text);
            }
            if let Some(section) = kinds::titled_section(&text).filter(|_| title.section.is_none())
            {
                title.section = Some(section);
                title.section_by = Some(text.clone());
            }
            // "Cabinet B2"; "Cabinet:" and "B2" in two cells.
            let labelled = match filled.as_slice() {
                [label, name] => heading::read(label, "")
                    .is_some_and(|heading| heading.field == Field::Cabinet)
                    .then(|| (*name).to_owned()),
                _ => None,
            };
            let named = labelled.unwrap_or(text);
            if let Some((names, true)) = super::cabinets::heading(&named, &Default::default()) {
                title.cabinet = Some((names, named));
            }
        }
        if title.section.is_none() {
            let stem = Path::new(file)
                .file_stem()
                .map(|s| s.to_string_lossy().into_owned());
            for name in table.sheet.iter().cloned().chain(stem) {
                if let Some(section) = kinds::titled_section(&name) {
                    title.section = Some(section);
                    title.section_by = Some(name);
                    break;
                }
            }
        }
        if title.cabinet.is_none()
            && let Some(sheet) = &table.sheet
            && !sheet.to_lowercase().starts_with("sheet")
            && let Some((names, true)) = super::cabinets::heading(sheet, &Default::default())
        {
            title.cabinet = Some((names, sheet.clone()));
        }
        title
    }
}

fn passed(line: &Line, reason: &str) -> PassedOver {
    PassedOver {
        source: line.source.clone(),
        text: line.raw.clone(),
        reason: reason.to_owned(),
    }
}

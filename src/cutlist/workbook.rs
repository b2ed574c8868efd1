//! Workbooks (XLSX, ODS and kin) to lines of cells, by a reader of such files.

use super::table::{Cell, CellKind, Line, Table};
use super::types::{PassedOver, RowSource};
use calamine::{Data, DataRef, Reader, SheetType, SheetVisible, Sheets};
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;
use std::io::{BufReader, Cursor, Read as _};
use std::sync::Arc;

/// Cells further right than this are left out: lists are narrow, and a stray
/// cell at the far edge must not cost a million empty ones.
const WIDEST: u32 = 512;
/// Cells read from one sheet.
const MOST_CELLS: usize = 2_000_000;
/// Most bytes of unpacked content, as much as a list of a million rows has.
const LARGEST_CONTENT: u64 = 1 << 30;

/// The sheets of a workbook that can hold a list, and those passed over.
pub(super) struct Workbook {
    pub(super) tables: Vec<Table>,
    pub(super) passed_over: Vec<PassedOver>,
    /// Names of all sheets.
    pub(super) names: Vec<String>,
}

/// Whether the bytes are a workbook: a zip file, or an older compound file.
pub(super) fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(&[0xD0, 0xCF, 0x11, 0xE0])
}

/// Reads the sheets; only `wanted` when the job names one.
///
/// # Errors
/// What the reader says of a broken file.
pub(super) fn read(
    bytes: &[u8],
    file: &Arc<str>,
    wanted: Option<&str>,
) -> Result<Workbook, String> {
    sound(bytes)?;
    let mut sheets =
        calamine::open_workbook_auto_from_rs(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let metadata = sheets.sheets_metadata().to_vec();
    let mut book = Workbook {
        tables: Vec::new(),
        passed_over: Vec::new(),
        names: metadata.iter().map(|sheet| sheet.name.clone()).collect(),
    };
    for sheet in metadata {
        let pass = |reason: &str| PassedOver {
            source: RowSource {
                file: Arc::clone(file),
                sheet: Some(sheet.name.clone()),
                line: 0,
            },
            text: String::new(),
            reason: reason.to_owned(),
        };
        if let Some(wanted) = wanted {
            if !sheet.name.trim().eq_ignore_ascii_case(wanted.trim()) {
                book.passed_over.push(pass("another sheet is to be read"));
                continue;
            }
        } else if sheet.visible != SheetVisible::Visible {
            book.passed_over
                .push(pass("a hidden sheet; name it to have it read"));
            continue;
        }
        if sheet.typ != SheetType::WorkSheet {
            book.passed_over.push(pass("a sheet without cells"));
            continue;
        }
        let cells = cells(&mut sheets, &sheet.name)?;
        book.tables.push(table(cells, file, &sheet.name));
    }
    Ok(book)
}

/// Letters and figures of the last cell a sheet can have, XFD1048576 (ISO/IEC
/// 29500-1, 18.3.1.4 with the limits programs keep to).
const LAST_PLACE: (usize, usize) = (3, 7);

/// Whether the parts of the file that hold cells are whole XML, and the cells of
/// XLSX stand where a sheet has cells. The reader of workbooks counts on both: it
/// waits without end for elements that do not end, does not look at the names of
/// those that do, and takes a place too far for another one. Found by fuzzing.
///
/// # Errors
/// What does not fit, or the place that no sheet has.
fn sound(bytes: &[u8]) -> Result<(), String> {
    // No archive: the reader of workbooks says so itself.
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else {
        return Ok(());
    };
    for index in 0..archive.len() {
        let Ok(entry) = archive.by_index(index) else {
            continue;
        };
        let Ok(name) = entry.name() else {
            continue;
        };
        let has_places = name.starts_with("xl/") && !name.ends_with("sharedStrings.xml");
        if name == "content.xml" || has_places && name.ends_with(".xml") {
            sound_part(entry.take(LARGEST_CONTENT), has_places)?;
        }
    }
    Ok(())
}

fn sound_part(part: impl std::io::Read, has_places: bool) -> Result<(), String> {
    let damaged = |error: String| format!("its content is damaged: {error}");
    let mut reader = quick_xml::Reader::from_reader(BufReader::new(part));
    let (mut open, mut buffer) = (0_u64, Vec::new());
    loop {
        let event = reader.read_event_into(&mut buffer);
        match event.map_err(|error| damaged(error.to_string()))? {
            Event::Start(element) => {
                open += 1;
                if has_places {
                    sound_places(&element).map_err(damaged)?;
                }
            }
            Event::Empty(element) if has_places => sound_places(&element).map_err(damaged)?,
            Event::End(_) => open = open.saturating_sub(1),
            Event::Eof if open > 0 => return Err("its content breaks off".to_owned()),
            Event::Eof => return Ok(()),
            _ => {}
        }
        buffer.clear();
    }
}

/// Whether an element of a sheet stands at a place that sheets have.
///
/// # Errors
/// The place that no sheet has, or what is wrong with the attributes.
fn sound_places(element: &BytesStart<'_>) -> Result<(), String> {
    for attribute in element.attributes() {
        let attribute = attribute.map_err(|error| error.to_string())?;
        if !matches!(attribute.key.as_ref(), "r" | "ref") {
            continue;
        }
        let mut places = attribute.value.split(':');
        if let Some(place) = places.find(|place| !is_place(place)) {
            let place: String = place.chars().take(20).collect();
            return Err(format!(
                "a cell stands at `{place}`, where no sheet has one"
            ));
        }
    }
    Ok(())
}

/// False for letters or figures beyond the last cell there can be.
fn is_place(text: &str) -> bool {
    let letters = text.chars().take_while(char::is_ascii_alphabetic).count();
    let figures = text.chars().filter(char::is_ascii_digit).count();
    letters <= LAST_PLACE.0 && figures <= LAST_PLACE.1
}

type Cells = BTreeMap<u32, BTreeMap<u32, Cell>>;

fn cells(sheets: &mut Sheets<Cursor<&[u8]>>, name: &str) -> Result<Cells, String> {
    let mut cells = Cells::new();
    let mut count = 0;
    let mut add = |row: u32, column: u32, cell: Option<Cell>| {
        if let Some(cell) = cell.filter(|_| column < WIDEST && count < MOST_CELLS) {
            count += 1;
            cells.entry(row).or_default().insert(column, cell);
        }
    };
    if let Sheets::Xlsx(book) = sheets {
        // Cell by cell: one cell in the last corner must not make a billion.
        let mut reader = book
            .worksheet_cells_reader(name)
            .map_err(|e| e.to_string())?;
        while let Some(cell) = reader.next_cell().map_err(|e| e.to_string())? {
            let (row, column) = cell.get_position();
            add(row, column, of(&owned(cell.get_value())));
        }
    } else {
        let range = sheets.worksheet_range(name).map_err(|e| e.to_string())?;
        let (top, left) = range.start().unwrap_or((0, 0));
        for (row, column, value) in range.used_cells() {
            let row = u32::try_from(row).unwrap_or(u32::MAX).saturating_add(top);
            let column = u32::try_from(column)
                .unwrap_or(u32::MAX)
                .saturating_add(left);
            add(row, column, of(value));
        }
    }
    Ok(cells)
}

fn owned(value: &DataRef<'_>) -> Data {
    Data::from(value.clone())
}

/// A cell as text; `None` when it is empty.
fn of(value: &Data) -> Option<Cell> {
    let number = |text: String| {
        Some(Cell {
            text,
            kind: CellKind::Number,
        })
    };
    match value {
        Data::Int(value) => number(value.to_string()),
        Data::Float(value) => number(figure(*value)),
        Data::String(text) => (!text.trim().is_empty()).then(|| Cell::text(text.clone())),
        Data::Bool(value) => Some(Cell::text(if *value { "yes" } else { "no" })),
        Data::DateTime(date) if !date.is_duration() => {
            let (year, month, day, ..) = date.to_ymd_hms_milli();
            Some(Cell::text(format!("{year:04}-{month:02}-{day:02}")))
        }
        Data::DateTime(date) => number(figure(date.as_f64())),
        Data::DateTimeIso(text) | Data::DurationIso(text) => Some(Cell::text(text.clone())),
        Data::Error(error) => Some(Cell::text(error.to_string())),
        Data::Empty => None,
    }
}

/// A workbook's number without the dust of binary fractions.
fn figure(value: f64) -> String {
    if value.abs() < 1e9 {
        let rounded = (value * 1e9).round() / 1e9;
        format!("{rounded}")
    } else {
        format!("{value}")
    }
}

fn table(cells: Cells, file: &Arc<str>, sheet: &str) -> Table {
    let mut table = Table {
        sheet: Some(sheet.to_owned()),
        reading: vec![format!("sheet `{sheet}`")],
        ..Table::default()
    };
    for (row, filled) in cells {
        let width = filled.keys().next_back().map_or(0, |last| last + 1);
        let mut filled = filled;
        let cells: Vec<Cell> = (0..width)
            .map(|column| filled.remove(&column).unwrap_or_else(|| Cell::text("")))
            .collect();
        let raw: Vec<&str> = cells.iter().map(|cell| cell.text.as_str()).collect();
        let raw = raw.join(" | ");
        table.lines.push(Line {
            source: RowSource {
                file: Arc::clone(file),
                sheet: Some(sheet.to_owned()),
                line: row as usize + 1,
            },
            raw: raw.trim_end_matches([' ', '|']).to_owned(),
            cells,
        });
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_lose_their_dust() {
        assert_eq!(figure(34.5), "34.5");
        assert_eq!(figure(22.187_499_999_999_996), "22.1875");
        assert_eq!(figure(0.1 + 0.2), "0.3");
        assert_eq!(figure(36.0), "36");
    }

    #[test]
    fn an_open_document_whose_elements_do_not_end_is_refused() {
        use std::io::Write as _;
        let pack = |content: &str| {
            let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
            let stored = zip::write::SimpleFileOptions::default()
                .compression_method(zip::CompressionMethod::Stored);
            for (name, text) in [
                ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
                ("content.xml", content),
            ] {
                zip.start_file(name, stored).unwrap();
                zip.write_all(text.as_bytes()).unwrap();
            }
            zip.finish().unwrap().into_inner()
        };
        let head = "<d><office:spreadsheet><table:table table:name=\"List\"><table:table-row>";
        let wrong = format!("{head}</table:table-row></tafle:table></office:spreadsheet></d>");
        let error = read(&pack(&wrong), &"list.ods".into(), None).err().unwrap();
        assert!(error.contains("its content is damaged"), "{error}");
        let error = read(&pack(head), &"list.ods".into(), None).err().unwrap();
        assert!(error.contains("its content breaks off"), "{error}");
    }

    #[test]
    fn a_cell_beyond_every_sheet_is_refused() {
        use std::io::Write as _;
        let pack = |place: &str| {
            let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
            let stored = zip::write::SimpleFileOptions::default()
                .compression_method(zip::CompressionMethod::Stored);
            zip.start_file("xl/worksheets/sheet1.xml", stored).unwrap();
            let text = format!("<worksheet><c r=\"A1\"/><c r=\"{place}\"/></worksheet>");
            zip.write_all(text.as_bytes()).unwrap();
            zip.finish().unwrap().into_inner()
        };
        for place in ["XFD1048576", "A1:XFD1048576", "7"] {
            assert_eq!(sound(&pack(place)), Ok(()), "{place}");
        }
        for place in ["preadsheetml", "A42949672961", "A1:ABCD1"] {
            let said = read(&pack(place), &"list.xlsx".into(), None).err().unwrap();
            assert!(said.ends_with(", where no sheet has one"), "{said}");
        }
    }

    #[test]
    fn a_sheet_whose_elements_do_not_end_as_they_began_is_refused() {
        let sheet = "<worksheet><c r=\"A1\"><v>0</<v>6</v></c><c r=\"preadsheetml\"/></worksheet>";
        let said = sound_part(sheet.as_bytes(), true).unwrap_err();
        assert!(said.starts_with("its content is damaged: "), "{said}");
    }

    #[test]
    fn a_broken_workbook_is_refused() {
        assert!(read(b"PK\x03\x04rubbish", &"list.xlsx".into(), None).is_err());
    }
}

//! The right list of every fixture written in other ways, read from files by the
//! program itself: decimals, feet and inches, millimetres with a point or a comma, a
//! workbook; and rounded to 1/16 in or whole millimetres. None may raise a finding
//! that the list as it is does not have.

mod common;
mod mistakes;

use dryfit::audit::{Bin, audit};
use dryfit::cli::load::{Call, load};
use dryfit::length::{Length, Unit};
use dryfit::trade::Dimension;
use mistakes::{Fixture, folders, open};
use std::collections::BTreeSet;
use std::path::Path;

/// A way to write a size.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    Sixteenths,
    DecimalInches,
    FeetAndInches,
    Millimetres,
    WholeMillimetres,
    DecimalComma,
    Workbook,
}

const WAYS: [Way; 7] = [
    Way::Sixteenths,
    Way::DecimalInches,
    Way::FeetAndInches,
    Way::Millimetres,
    Way::WholeMillimetres,
    Way::DecimalComma,
    Way::Workbook,
];

impl Way {
    /// What stands behind the word of a size column.
    fn unit(self) -> &'static str {
        match self {
            Way::Sixteenths | Way::DecimalInches | Way::FeetAndInches => " (in)",
            _ => " (mm)",
        }
    }

    fn write(self, length: Length) -> String {
        match self {
            Way::Sixteenths => fraction(length, 16),
            Way::DecimalInches => trimmed(length.inches(), 4),
            Way::FeetAndInches => feet(length),
            Way::Millimetres | Way::Workbook => trimmed(length.mm(), 2),
            Way::WholeMillimetres => trimmed(length.mm(), 0),
            Way::DecimalComma => trimmed(length.mm(), 2).replace('.', ","),
        }
    }

    /// Rounding this coarse may take more than the tolerance from a thin stock or an
    /// odd size; then only what is written in it anyway is held to it.
    fn keeps(self, length: Length, dimension: Dimension) -> bool {
        let off = match self {
            Way::Sixteenths => off_step(length, Length::TICKS_PER_INCH / 16),
            Way::WholeMillimetres => off_step(length, Length::TICKS_PER_MM),
            _ => return true,
        };
        dimension != Dimension::Thickness || off.mm() < 0.2
    }
}

fn off_step(length: Length, step: i64) -> Length {
    let rest = length.ticks().rem_euclid(step);
    Length::from_ticks(rest.min(step - rest))
}

fn trimmed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// `34 1/2`, to the nearest of so many parts of an inch.
fn fraction(length: Length, parts: i64) -> String {
    let step = Length::TICKS_PER_INCH / parts;
    let steps = (length.ticks() + step / 2) / step;
    let (whole, mut over, mut under) = (steps / parts, steps % parts, parts);
    while over > 0 && over % 2 == 0 {
        (over, under) = (over / 2, under / 2);
    }
    match (whole, over) {
        (whole, 0) => whole.to_string(),
        (0, over) => format!("{over}/{under}"),
        (whole, over) => format!("{whole} {over}/{under}"),
    }
}

/// `2'-10 1/2"`; under a foot `10 1/2"`.
fn feet(length: Length) -> String {
    let inch = Length::TICKS_PER_INCH;
    let feet = length.ticks() / (12 * inch);
    let rest = Length::from_ticks(length.ticks() % (12 * inch));
    match feet {
        0 => format!("{}\"", fraction(rest, 64)),
        feet => format!("{feet}'-{}\"", fraction(rest, 64)),
    }
}

/// The fixture's list as cells, its sizes written another way; `None` where the list
/// is no plain one.
fn rewritten(folder: &Path, fixture: &Fixture, way: Way) -> Option<Vec<Vec<String>>> {
    let list = &fixture.job.lists[0];
    let text = std::fs::read_to_string(folder.join(Path::new(&*list.file).file_name()?)).ok()?;
    let semicolon = text.lines().next()?.contains(';');
    let delimiter = if semicolon { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let mut cells: Vec<Vec<String>> = reader
        .records()
        .map(|record| record.unwrap().iter().map(str::to_owned).collect())
        .collect();
    for row in &list.rows {
        let line = cells.get_mut(row.source.line - 1)?;
        for size in row.sizes.iter().chain(&row.cut_sizes) {
            let cell = line.get_mut(size.column - 1)?;
            if way.keeps(size.value, size.dimension) {
                *cell = way.write(size.value);
            } else {
                // Exact, and in the unit of the column.
                *cell = match way.unit() {
                    " (in)" => fraction(size.value, 64),
                    _ => trimmed(size.value.mm(), 2),
                };
            }
        }
    }
    for heading in &mut cells[0] {
        let word = heading.split(" (").next().unwrap_or_default().to_owned();
        let sizes = ["length", "width", "thickness", "height", "depth"];
        if sizes.contains(&word.to_lowercase().as_str()) {
            *heading = format!("{word}{}", way.unit());
        } else if heading.contains("(mm)") && way.unit() == " (in)" {
            // Band thickness and the like keep their unit and their figures.
        }
    }
    Some(cells)
}

fn as_text(cells: &[Vec<String>], delimiter: char) -> String {
    let quoted = |cell: &String| {
        if cell.contains([delimiter, '"', '\n']) {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            cell.clone()
        }
    };
    let line = |row: &Vec<String>| {
        let row: Vec<String> = row.iter().map(quoted).collect();
        format!("{}\n", row.join(&delimiter.to_string()))
    };
    cells.iter().map(line).collect()
}

/// A workbook of one sheet: numbers as numbers, the rest as text in the cells
/// (ECMA-376, Office Open XML, part 1: SpreadsheetML), in a ZIP file of stored
/// entries (APPNOTE.TXT, PKWARE).
fn workbook(cells: &[Vec<String>]) -> Vec<u8> {
    let escaped = |text: &str| {
        text.replace('&', "&amp;")
            .replace('<', "&lt;")
            .replace('>', "&gt;")
    };
    let mut rows = String::new();
    for (r, row) in cells.iter().enumerate() {
        rows.push_str(&format!("<row r=\"{}\">", r + 1));
        for (c, cell) in row.iter().enumerate() {
            let column = char::from(b'A' + u8::try_from(c).unwrap());
            let at = format!("{column}{}", r + 1);
            if cell.parse::<f64>().is_ok() {
                rows.push_str(&format!("<c r=\"{at}\"><v>{cell}</v></c>"));
            } else if !cell.is_empty() {
                rows.push_str(&format!(
                    "<c r=\"{at}\" t=\"inlineStr\"><is><t xml:space=\"preserve\">{}</t></is></c>",
                    escaped(cell)
                ));
            }
        }
        rows.push_str("</row>");
    }
    let head = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006";
    let kind = "application/vnd.openxmlformats-officedocument.spreadsheetml";
    let files = [
        (
            "[Content_Types].xml",
            format!(
                "{head}<Types xmlns=\"{package}/content-types\"><Default Extension=\"rels\" \
                 ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>\
                 <Default Extension=\"xml\" ContentType=\"application/xml\"/><Override \
                 PartName=\"/xl/workbook.xml\" ContentType=\"{kind}.sheet.main+xml\"/><Override \
                 PartName=\"/xl/worksheets/sheet1.xml\" ContentType=\"{kind}.worksheet+xml\"/></Types>"
            ),
        ),
        (
            "_rels/.rels",
            format!(
                "{head}<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"rId1\" \
                 Type=\"{office}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/workbook.xml",
            format!(
                "{head}<workbook xmlns=\"{main}\" xmlns:r=\"{office}\"><sheets><sheet \
                 name=\"Parts\" sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>"
            ),
        ),
        (
            "xl/_rels/workbook.xml.rels",
            format!(
                "{head}<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"rId1\" \
                 Type=\"{office}/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/worksheets/sheet1.xml",
            format!("{head}<worksheet xmlns=\"{main}\"><sheetData>{rows}</sheetData></worksheet>"),
        ),
    ];
    stored(&files)
}

fn stored(files: &[(&str, String)]) -> Vec<u8> {
    let mut out: Vec<u8> = Vec::new();
    let mut directory: Vec<u8> = Vec::new();
    for (name, text) in files {
        let at = u32::try_from(out.len()).unwrap();
        let size = u32::try_from(text.len()).unwrap();
        let length = u16::try_from(name.len()).unwrap();
        let mut common: Vec<u8> = Vec::new();
        // Version 2.0, no flags, stored, 1980-01-01.
        for half in [20u16, 0, 0, 0, 0x21] {
            common.extend(half.to_le_bytes());
        }
        for word in [crc(text.as_bytes()), size, size] {
            common.extend(word.to_le_bytes());
        }
        common.extend(length.to_le_bytes());
        common.extend(0u16.to_le_bytes());
        out.extend(b"PK\x03\x04");
        out.extend(&common);
        out.extend(name.bytes());
        out.extend(text.bytes());
        directory.extend(b"PK\x01\x02");
        directory.extend(20u16.to_le_bytes());
        directory.extend(&common);
        directory.extend([0u8; 10]);
        directory.extend(at.to_le_bytes());
        directory.extend(name.bytes());
    }
    let at = u32::try_from(out.len()).unwrap();
    let count = u16::try_from(files.len()).unwrap();
    let size = u32::try_from(directory.len()).unwrap();
    out.extend(directory);
    out.extend(b"PK\x05\x06\0\0\0\0");
    out.extend(count.to_le_bytes());
    out.extend(count.to_le_bytes());
    out.extend(size.to_le_bytes());
    out.extend(at.to_le_bytes());
    out.extend([0u8; 2]);
    out
}

/// CRC-32 as in ISO 3309 and APPNOTE.TXT.
fn crc(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            let carry = crc & 1;
            crc >>= 1;
            if carry == 1 {
                crc ^= 0xEDB8_8320;
            }
        }
    }
    !crc
}

/// Checks a fixture with its list written another way; what is wrong with that.
fn complaints(folder: &Path, fixture: &Fixture, way: Way) -> Vec<String> {
    let Some(cells) = rewritten(folder, fixture, way) else {
        return Vec::new();
    };
    let scratch = tempfile::tempdir().unwrap();
    for entry in std::fs::read_dir(folder).unwrap() {
        let from = entry.unwrap().path();
        let extension = from.extension().and_then(|e| e.to_str()).unwrap_or("");
        if matches!(extension, "dxf" | "toml") {
            std::fs::copy(&from, scratch.path().join(from.file_name().unwrap())).unwrap();
        }
    }
    let (name, bytes) = match way {
        Way::Workbook => ("list.xlsx", workbook(&cells)),
        Way::DecimalComma => ("list.csv", as_text(&cells, ';').into_bytes()),
        _ => ("list.csv", as_text(&cells, ',').into_bytes()),
    };
    std::fs::write(scratch.path().join(name), bytes).unwrap();
    let job = load(&Call {
        paths: vec![scratch.path().to_owned()],
        ..Call::default()
    })
    .unwrap();
    let found = audit(&job);
    // Messages quote figures, so kinds and places are compared.
    type Place = (String, Option<String>, Option<Dimension>);
    let place = |finding: &dryfit::audit::Finding| -> Place {
        (
            format!("{:?} {:?}", finding.kind, finding.cabinet),
            finding.part.clone(),
            finding.dimension,
        )
    };
    let known: BTreeSet<Place> = fixture.known.iter().map(place).collect();
    let mut out: Vec<String> = found
        .findings
        .iter()
        .filter(|finding| !known.contains(&place(finding)))
        .map(|finding| format!("{} {way:?}: {}", fixture.name, finding.message))
        .collect();
    let agree = found
        .coverage
        .iter()
        .filter(|entry| entry.bin == Bin::Agrees)
        .count();
    if agree < fixture.checked.len() {
        out.push(format!(
            "{} {way:?}: {agree} agree, {} do as it is",
            fixture.name,
            fixture.checked.len()
        ));
    }
    out
}

#[test]
fn right_lists_in_other_formats_are_silent() {
    let mut all = Vec::new();
    let mut tried = 0;
    for folder in folders() {
        let fixture = open(&folder);
        let metric = fixture.job.lists[0]
            .rows
            .iter()
            .flat_map(|row| &row.sizes)
            .any(|cell| cell.unit == Unit::Millimetre);
        for way in WAYS {
            // Odd millimetres come out as no fraction of an inch anybody writes.
            if metric && matches!(way, Way::Sixteenths | Way::FeetAndInches) {
                continue;
            }
            tried += 1;
            all.extend(complaints(&folder, &fixture, way));
        }
    }
    assert!(tried > 100, "the fixtures are missing");
    assert!(all.is_empty(), "{}", all.join("\n"));
}

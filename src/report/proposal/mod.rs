//! A corrected cut list as a proposal: the list as it is, byte for byte, but for
//! the cells that disagree, which say what they would have to say if the drawing
//! is right. The list itself is never touched.

mod rewrite;

use super::marks::Marks;
use super::{Report, findings_csv, words};
use crate::audit::{Bin, Covered};
use crate::cutlist::{CutList, Row, SizeCell};
use crate::length::{Length, Written};
use crate::trade::Dimension;
use rewrite::Edit;
pub use rewrite::RewriteError;

/// A cell and what it would have to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction<'a> {
    pub covered: &'a Covered,
    pub row: &'a Row,
    pub cell: &'a SizeCell,
    /// The size in the list's own way of writing.
    pub now: String,
    /// False when that way of writing can't say the size exactly.
    pub exact: bool,
    /// Index of the first finding that names the size.
    pub finding: Option<usize>,
}

/// All cells of a list that would change, in the order of the coverage.
pub fn corrections<'a>(report: &Report<'a>, list: &'a CutList) -> Vec<Correction<'a>> {
    let marks = Marks::of(report);
    let mut corrections = Vec::new();
    for covered in &report.audit.coverage {
        let size = &covered.size;
        let (Bin::Disagrees, Some(expected)) = (covered.bin, covered.expected) else {
            continue;
        };
        if size.row.file != list.file || size.dimension == Dimension::Quantity {
            continue;
        }
        let Some(row) = list.row_at(&size.row) else {
            continue;
        };
        let Some(cell) = row
            .sizes
            .iter()
            .find(|cell| cell.dimension == size.dimension && cell.column == size.column)
        else {
            continue;
        };
        let Some(way) = way_of_writing(list, cell) else {
            continue;
        };
        let (now, exact) = way.write(tidy(expected, cell.unit.is_imperial()));
        if now == cell.text.trim() {
            // Not to be told apart in this list's own way of writing.
            continue;
        }
        corrections.push(Correction {
            covered,
            row,
            cell,
            now,
            exact,
            finding: marks.findings(&size.row, size.dimension).first().copied(),
        });
    }
    corrections
}

/// A measured size without the dust of drawn coordinates: the nearest 1/64 in or
/// tenth of a millimetre where that is within what measuring promises (0.05 mm).
fn tidy(size: Length, imperial: bool) -> Length {
    const PROMISED: Length = Length::from_ticks(Length::TICKS_PER_MM / 20);
    let step = if imperial {
        Length::TICKS_PER_INCH / 64
    } else {
        Length::TICKS_PER_MM / 10
    };
    let near = Length::from_ticks((size.ticks() + step / 2).div_euclid(step) * step);
    if (near - size).abs() <= PROMISED {
        near
    } else {
        size
    }
}

/// How the cell is written. A whole number leaves open how this list writes
/// parts of one: then as the list's first cell that does, with the same unit
/// mark behind it.
fn way_of_writing<'a>(list: &'a CutList, cell: &'a SizeCell) -> Option<&'a Written> {
    let own = cell.detail.written.as_ref()?;
    if !own.is_whole() {
        return Some(own);
    }
    // What stands after the last digit.
    let mark = |text: &str| text.rsplit(char::is_numeric).next().map(str::to_owned);
    let alike = list
        .rows
        .iter()
        .flat_map(|row| &row.sizes)
        .filter(|other| other.unit == cell.unit && mark(&other.text) == mark(&cell.text))
        .filter_map(|other| other.detail.written.as_ref())
        .find(|way| !way.is_whole());
    Some(alike.unwrap_or(own))
}

/// The list with its corrections, in the encoding and form of the file.
///
/// # Errors
/// When the cells cannot be found in the file's text again.
pub fn rewrite(corrections: &[Correction<'_>], content: &[u8]) -> Result<Vec<u8>, RewriteError> {
    let edits: Vec<Edit<'_>> = corrections
        .iter()
        .map(|correction| {
            let cell = &correction.cell.detail.cell;
            Edit {
                line: correction.row.source.line,
                column: correction.cell.column,
                whole: if cell.is_empty() {
                    &correction.cell.text
                } else {
                    cell
                },
                was: &correction.cell.text,
                now: &correction.now,
            }
        })
        .collect();
    rewrite::rewrite(content, &edits)
}

/// The changed cells, one line each.
pub fn changes(report: &Report<'_>, corrections: &[Correction<'_>]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory does not fail.
    let _ = writer.write_record([
        "file",
        "sheet",
        "line",
        "column",
        "heading",
        "cabinet",
        "part",
        "dimension",
        "was",
        "now",
        "exact",
        "finding",
        "why",
    ]);
    for correction in corrections {
        let size = &correction.covered.size;
        let why = correction
            .finding
            .and_then(|index| report.audit.findings.get(index))
            .map_or(correction.covered.by.as_str(), |finding| &finding.message);
        let safe = findings_csv::safe;
        let _ = writer.write_record([
            safe(&size.row.file),
            safe(size.row.sheet.as_deref().unwrap_or_default()),
            size.row.line.to_string(),
            correction.cell.column.to_string(),
            safe(&correction.cell.heading),
            safe(&correction.row.cabinet_text),
            safe(&size.part),
            size.dimension.word().to_owned(),
            safe(&correction.cell.text),
            safe(&correction.now),
            if correction.exact { "yes" } else { "rounded" }.to_owned(),
            correction.finding.map(Report::id).unwrap_or_default(),
            safe(why),
        ]);
    }
    let bytes = writer.into_inner().unwrap_or_default();
    format!("\u{feff}{}", String::from_utf8(bytes).unwrap_or_default())
}

/// True for files whose text can be edited in place.
pub fn is_text(shown: &str) -> bool {
    let name = words::file_name(shown).to_ascii_lowercase();
    !(name.ends_with(".xlsx") || name.ends_with(".ods"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    const CONTENT: &str = "Cabinet,Part,Qty,Length,Width,Thick\r\n\
        B2,Side,2,31,23 1/4,3/4\r\nB2,Bottom,1,34 1/2,23 1/4,3/4\r\nB2,Back,1,35 1/4,26 1/4,1/4\r\n";

    #[test]
    fn changed_cells_and_nothing_else() {
        let (job, audit) = (sample::job(), sample::audit());
        let report = Report::new(&job, &audit);
        let corrections = corrections(&report, &job.lists[0]);
        let text = String::from_utf8(rewrite(&corrections, CONTENT.as_bytes()).unwrap()).unwrap();
        assert_eq!(
            text,
            CONTENT
                .replace(",31,", ",34 1/2,")
                .replace("26 1/4", "29 3/4")
        );
        insta::assert_snapshot!(changes(&report, &corrections));
    }

    #[test]
    fn a_whole_number_is_corrected_as_its_list_writes_parts() {
        let (mut job, audit) = (sample::job(), sample::audit());
        // The same list in decimals.
        for row in &mut job.lists[0].rows {
            for cell in &mut row.sizes {
                cell.text = cell.value.inches().to_string();
                cell.detail.cell = cell.text.clone();
                cell.detail.written = crate::length::parse(&cell.text, cell.unit)
                    .ok()
                    .map(|parsed| parsed.written);
            }
        }
        let report = Report::new(&job, &audit);
        assert_eq!(corrections(&report, &job.lists[0])[0].now, "34.50");
    }

    #[test]
    fn the_dust_of_coordinates_is_not_proposed() {
        let size = |mm: f64| Length::from_mm(mm).unwrap();
        assert_eq!(tidy(size(876.304), true), size(876.3));
        assert_eq!(tidy(size(720.003), false), size(720.0));
        assert_eq!(tidy(size(720.06), false), size(720.1));
        // No fraction is that near: it stays what was measured.
        assert_eq!(tidy(size(876.5), true), size(876.5));
    }
}

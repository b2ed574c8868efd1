//! A snapshot of a checked job.

use super::snapshot::{
    Acceptance, Cell, Figures, File, FileKind, PROGRAM, Row, RowSize, Size, Snapshot,
};
use crate::audit::{Audit, Job};
use crate::cabinet::{Measured, MeasuredCabinet, Span};
use crate::cutlist::{BoringRow, CutList, Grain, Hand, Per, SizeCell, SizeKind};
use crate::length::Length;
use crate::plain::{file_name, natural};
use crate::signoff::hash::hash_file;
use crate::signoff::settle::{Settled, State};
use crate::trade::{Axis, Role};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// A file that is to be bound, and where it is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub path: PathBuf,
    pub kind: FileKind,
}

/// Why a file could not be bound.
#[derive(Debug, thiserror::Error)]
#[error("{file}: cannot be read: {source}")]
pub struct FileError {
    pub file: String,
    pub source: std::io::Error,
}

/// The file as it is now.
///
/// # Errors
/// When it cannot be read.
pub fn file(place: &Place) -> Result<File, FileError> {
    let error = |source| FileError {
        file: place.path.display().to_string(),
        source,
    };
    let bytes = std::fs::metadata(&place.path).map_err(error)?.len();
    let sha256 = hash_file(&place.path).map_err(error)?;
    Ok(File {
        name: file_name(&place.path.to_string_lossy()).to_owned(),
        kind: place.kind,
        bytes,
        sha256,
    })
}

impl Snapshot {
    /// What the job is now. `files` are its files, hashed; `show` prints a length.
    pub fn of(
        job: &Job,
        audit: &Audit,
        settled: &Settled,
        mut files: Vec<File>,
        unit: Figures,
        show: &dyn Fn(Length) -> String,
    ) -> Snapshot {
        files.sort();
        let mut given: Vec<String> = audit
            .assumptions
            .iter()
            .map(|assumption| assumption.sentence.clone())
            .collect();
        given.extend(tolerances(job, show));
        given.sort();
        given.dedup();
        let mut accepted: Vec<Acceptance> = settled
            .entries
            .iter()
            .filter(|judged| judged.state == State::Holds)
            .map(|judged| Acceptance {
                item: judged.entry.item.clone(),
                says: judged.entry.says.clone(),
                reason: judged.entry.reason.clone(),
                by: judged.entry.by.clone(),
                date: judged.entry.date.clone(),
                until: judged.entry.until.clone(),
            })
            .collect();
        accepted.sort();
        Snapshot {
            job: job.name.clone(),
            program: PROGRAM.to_owned(),
            unit,
            files,
            given,
            accepted,
            drawn: drawn(job),
            builds: builds(audit),
            rows: job.lists.iter().flat_map(rows).collect(),
        }
    }
}

/// Largest differences that pass: one for all, or by kind of part.
fn tolerances(job: &Job, show: &dyn Fn(Length) -> String) -> Vec<String> {
    let each: Vec<(&str, Length)> = [
        ("case parts", Role::Side),
        ("face frame parts", Role::Stile),
        ("fronts", Role::Door),
        ("drawer boxes", Role::BoxSide),
        ("tops", Role::Countertop),
        ("trim", Role::Filler),
    ]
    .into_iter()
    .map(|(what, role)| (what, job.rules.tolerance(Some(role))))
    .collect();
    if let [(_, first), rest @ ..] = each.as_slice()
        && rest.iter().all(|(_, other)| other == first)
    {
        return vec![format!("The tolerance is {}.", show(*first))];
    }
    each.into_iter()
        .map(|(what, tolerance)| format!("The tolerance of {what} is {}.", show(tolerance)))
        .collect()
}

/// Every drawn size under every cabinet it is drawn for.
fn drawn(job: &Job) -> Vec<Size> {
    let mut cabinets: Vec<(&str, &MeasuredCabinet)> = job
        .cabinets
        .iter()
        .flat_map(|measured| {
            std::iter::once(&measured.id)
                .chain(&measured.same_as)
                .map(move |id| (id.as_str(), measured))
        })
        .collect();
    cabinets.sort_by(|(a, _), (b, _)| natural(a, b));
    let mut sizes = Vec::new();
    for (id, measured) in cabinets {
        let mut names = Names::default();
        for (place, three) in [
            ("overall", &measured.overall),
            ("interior", &measured.interior),
        ] {
            for (what, size) in [
                ("width", &three.width),
                ("height", &three.height),
                ("depth", &three.depth),
            ] {
                let what = names.next(format!("{place} {what}"));
                sizes.push(match size {
                    Measured::Known(measure) => of_span(id, what, &measure.span),
                    Measured::Unknown { reason } => Size {
                        cabinet: id.to_owned(),
                        what,
                        mm: None,
                        at_least: false,
                        why: Some(reason.clone()),
                    },
                });
            }
        }
        for named in &measured.named {
            sizes.push(of_span(
                id,
                names.next(named.name.clone()),
                &named.measure.span,
            ));
        }
        for part in &measured.parts {
            let name = names.next(part.name.clone());
            for axis in Axis::ALL {
                if let Some(span) = part.span(axis) {
                    sizes.push(of_span(id, format!("{name}, {}", axis.word()), span));
                }
            }
        }
        for opening in &measured.openings {
            let name = names.next(opening.name.clone());
            for (word, span) in [("wide", &opening.across), ("high", &opening.high)] {
                if let Some(span) = span {
                    sizes.push(of_span(id, format!("{name}, {word}"), span));
                }
            }
        }
    }
    sizes
}

/// Names within a cabinet, the second of a name with its number.
#[derive(Default)]
struct Names(BTreeMap<String, usize>);

impl Names {
    fn next(&mut self, name: String) -> String {
        let count = self.0.entry(name.clone()).or_default();
        *count += 1;
        if *count == 1 {
            name
        } else {
            format!("{name} ({count})")
        }
    }
}

fn of_span(cabinet: &str, what: String, span: &Span) -> Size {
    Size {
        cabinet: cabinet.to_owned(),
        what,
        mm: Some(span.length().mm()),
        at_least: span.is_lower_bound(),
        why: None,
    }
}

/// What the listed parts of each cabinet build.
fn builds(audit: &Audit) -> Vec<Size> {
    let mut sizes: Vec<Size> = audit
        .cabinets
        .iter()
        .flat_map(|cabinet| {
            cabinet.sizes.iter().map(|size| Size {
                cabinet: cabinet.id.clone(),
                what: size.name.to_owned(),
                mm: size.listed.map(Length::mm),
                at_least: false,
                why: size.listed.is_none().then(|| size.by.clone()),
            })
        })
        .collect();
    // Stable: the sizes of a cabinet stay in their order.
    sizes.sort_by(|a, b| natural(&a.cabinet, &b.cabinet));
    sizes
}

fn rows(list: &CutList) -> Vec<Row> {
    let mut rows: Vec<Row> = list
        .rows
        .iter()
        .map(|row| {
            let sizes = row
                .sizes
                .iter()
                .map(|cell| (cell.dimension.word().to_owned(), cell))
                .chain(
                    row.cut_sizes
                        .iter()
                        .map(|cell| (format!("cut {}", cell.dimension.word()), cell)),
                );
            let mut cells = Vec::new();
            let mut cell = |what: &str, text: Option<String>| {
                if let Some(text) = text {
                    cells.push(Cell {
                        what: what.to_owned(),
                        text,
                    });
                }
            };
            cell("hand", row.hand.map(hand));
            cell(
                "grain",
                match row.grain {
                    Grain::Unstated => None,
                    Grain::None => Some("none".to_owned()),
                    Grain::AlongLength => Some("along the length".to_owned()),
                    Grain::AlongWidth => Some("along the width".to_owned()),
                },
            );
            cell(
                "edge band",
                row.band.map(|band| {
                    let thickness = band.thickness.map_or(String::new(), |thickness| {
                        format!(", {} mm thick", thickness.mm())
                    });
                    format!(
                        "{} along the length, {} along the width{thickness}",
                        band.along_length, band.along_width
                    )
                }),
            );
            cell(
                "sizes are",
                match row.size_kind {
                    SizeKind::Unstated => None,
                    SizeKind::Finished => Some("finished".to_owned()),
                    SizeKind::Cut => Some("cut".to_owned()),
                },
            );
            cell(
                "quantity is for",
                (row.quantity.per == Per::Job).then(|| "the job".to_owned()),
            );
            cell("material", row.material.clone());
            cell("note", row.note.clone());
            Row {
                file: file_name(&row.source.file).to_owned(),
                sheet: row.source.sheet.clone(),
                line: row.source.line,
                cabinet: row.cabinet_text.clone(),
                part: row.part.clone(),
                quantity: row.quantity.text.clone(),
                count: row.quantity.count,
                sizes: sizes.map(|(what, cell)| of_cell(what, cell)).collect(),
                cells,
            }
        })
        .chain(list.borings.iter().map(boring))
        .collect();
    rows.sort_by(|a, b| (&a.file, &a.sheet, a.line).cmp(&(&b.file, &b.sheet, b.line)));
    rows
}

fn hand(hand: Hand) -> String {
    match hand {
        Hand::Left => "left".to_owned(),
        Hand::Right => "right".to_owned(),
    }
}

fn of_cell(what: String, cell: &SizeCell) -> RowSize {
    RowSize {
        what,
        text: cell.text.clone(),
        mm: cell.value.mm(),
    }
}

fn boring(row: &BoringRow) -> Row {
    let sizes = row
        .sizes
        .iter()
        .map(|cell| (cell.dimension.word().to_owned(), cell))
        .chain(
            row.marks
                .iter()
                .enumerate()
                .map(|(index, mark)| (format!("bore {}", index + 1), &mark.size)),
        )
        .chain(
            [
                ("bore centre from the edge", &row.centre_from_edge),
                ("bore rim from the edge", &row.rim_from_edge),
                ("bore diameter", &row.diameter),
            ]
            .into_iter()
            .filter_map(|(what, cell)| Some((what.to_owned(), cell.as_ref()?))),
        );
    let cells = [
        ("hinge side", row.hinge_side.map(hand)),
        ("note", row.note.clone()),
    ];
    Row {
        file: file_name(&row.source.file).to_owned(),
        sheet: row.source.sheet.clone(),
        line: row.source.line,
        cabinet: row.cabinet_text.clone(),
        part: row.part.clone(),
        quantity: row.quantity.text.clone(),
        count: row.quantity.count,
        sizes: sizes.map(|(what, cell)| of_cell(what, cell)).collect(),
        cells: cells
            .into_iter()
            .filter_map(|(what, text)| {
                Some(Cell {
                    what: what.to_owned(),
                    text: text?,
                })
            })
            .collect(),
    }
}

/// The files of a checked job: drawings, lists, what could not be read, and what
/// its folder says of the job.
pub fn places(job: &Job, job_file: Option<&Path>, accepted: Option<&Path>) -> Vec<Place> {
    let of = |file: &str, kind| Place {
        path: PathBuf::from(file),
        kind,
    };
    let drawings = job
        .sheets
        .iter()
        .map(|sheet| (sheet.file.as_str(), FileKind::Drawing));
    let lists = job.lists.iter().map(|list| (&*list.file, FileKind::List));
    let mut places: Vec<Place> = drawings
        .chain(lists)
        .map(|(file, kind)| of(file, kind))
        .collect();
    for problem in &job.unusable {
        let place = of(&problem.file, FileKind::Unread);
        if place.path.is_file() && places.iter().all(|other| other.path != place.path) {
            places.push(place);
        }
    }
    let beside = [
        (job_file, FileKind::JobFile),
        (accepted, FileKind::Accepted),
    ];
    for (path, kind) in beside {
        if let Some(path) = path.filter(|path| path.is_file()) {
            places.push(Place {
                path: path.to_owned(),
                kind,
            });
        }
    }
    places.sort();
    places.dedup();
    places
}

//! The job laid out for comparing: rows, cabinets and parts in an order that
//! does not depend on the order of files, rows or entities.

use super::fit::cell_at;
use super::rounding::Rounding;
use super::types::{Job, RowSize};
use super::words::{self, Show};
use crate::cabinet::{DrawnPart, MeasuredCabinet, Span};
use crate::construction::untitled::Untitled;
use crate::construction::{Expected, PartSize};
use crate::cutlist::{Row, RowSource, SizeCell};
use crate::length::Length;
use crate::plain::in_parallel;
use crate::trade::{Axis, Dimension, Role};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// A drawn cabinet under one of its names.
pub(super) struct Case<'a> {
    pub name: String,
    pub cabinet: &'a MeasuredCabinet,
    /// Parts seen in their place in the cabinet.
    pub parts: Vec<&'a DrawnPart>,
    /// Flat part drawings.
    pub flats: Vec<&'a DrawnPart>,
    /// Another cabinet has this name and other sizes: nothing can be held
    /// against either.
    pub doubtful: bool,
    expected: BTreeMap<PartSize, Vec<Expected<'a>>>,
}

pub(super) struct Bench<'a> {
    pub job: &'a Job,
    pub show: Show,
    pub rows: Vec<&'a Row>,
    pub cases: Vec<Case<'a>>,
    /// For each row, the cases it names; empty for a row without a cabinet.
    pub named: Vec<Vec<usize>>,
    /// For each row, names of cabinets that no drawing shows, as written.
    pub undrawn: Vec<Vec<String>>,
    /// For each row, the first row made of the same line ("Top and bottom" is two).
    pub written: Vec<usize>,
    /// Names two drawn cabinets share, and the drawings they are in.
    pub doubled: Vec<(String, Vec<usize>)>,
    /// Half the step sizes are written in, by file and whether in inches: how far
    /// honest rounding goes.
    half_steps: BTreeMap<(&'a str, bool), Length>,
    rounding: OnceLock<Rounding>,
}

impl<'a> Bench<'a> {
    pub fn new(job: &'a Job) -> Self {
        let mut rows: Vec<&Row> = job.lists.iter().flat_map(|list| &list.rows).collect();
        rows.sort_by(|a, b| row_order(a, b));
        let show = if job.rules.units.is_some() || job.rules.notation.is_some() {
            Show {
                unit: job.rules.notation().unit(),
            }
        } else {
            Show::for_units(
                rows.iter()
                    .flat_map(|row| row.sizes.iter().map(|cell| cell.unit)),
            )
        };
        let roles: BTreeSet<Role> = rows.iter().filter_map(|row| row.role()).collect();
        let (cases, doubled) = cases(job, &roles);
        let mut written: Vec<usize> = Vec::with_capacity(rows.len());
        for (index, row) in rows.iter().enumerate() {
            let before = index.checked_sub(1).filter(|before| {
                rows.get(*before)
                    .is_some_and(|other| other.source == row.source)
            });
            written.push(match before.and_then(|before| written.get(before)) {
                Some(first) => *first,
                None => index,
            });
        }
        let mut bench = Bench {
            written,
            half_steps: half_steps(&rows),
            rounding: OnceLock::new(),
            job,
            show,
            rows,
            cases,
            named: Vec::new(),
            undrawn: Vec::new(),
            doubled,
        };
        bench.name_rows();
        bench
    }

    fn name_rows(&mut self) {
        let mut exact: BTreeMap<String, usize> = BTreeMap::new();
        let mut loose: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (index, case) in self.cases.iter().enumerate() {
            exact
                .entry(case.name.trim().to_lowercase())
                .or_insert(index);
            loose
                .entry(words::same_name_key(&case.name))
                .or_default()
                .push(index);
        }
        for row in &self.rows {
            let mut named = BTreeSet::new();
            let mut undrawn = BTreeSet::new();
            for name in &row.cabinets {
                let found =
                    exact.get(&name.trim().to_lowercase()).copied().or_else(|| {
                        match loose.get(&words::same_name_key(name)).map(Vec::as_slice) {
                            Some([only]) => Some(*only),
                            _ => None,
                        }
                    });
                match found {
                    Some(case) => {
                        named.insert(case);
                    }
                    None => {
                        undrawn.insert(name.clone());
                    }
                }
            }
            let mut named: Vec<usize> = named.into_iter().collect();
            let mut undrawn: Vec<String> = undrawn.into_iter().collect();
            undrawn.sort_by(|a, b| words::natural(a, b));
            // One cabinet and a list that names none: they belong together.
            if row.cabinets.is_empty() && self.cases.len() == 1 {
                named.push(0);
            }
            self.named.push(named);
            self.undrawn.push(undrawn);
        }
    }

    /// The first row made of this line.
    pub fn row_at(&self, source: &RowSource) -> Option<&'a Row> {
        // Rows are in the order of their sources first of all.
        let at = self.rows.partition_point(|row| row.source < *source);
        self.rows
            .get(at)
            .copied()
            .filter(|row| row.source == *source)
    }

    /// What is known of the cabinet of views without a name that were taken for none.
    pub fn open(&self, cabinets: &[String]) -> Option<&'a Untitled> {
        let [name] = cabinets else { return None };
        let open = |of: &&Untitled| of.drawn == *name && of.cabinets.is_empty();
        self.job.untitled.iter().find(open)
    }

    /// The row a row is counted as: the first made of its line.
    pub fn written_as(&self, row: usize) -> usize {
        self.written.get(row).copied().unwrap_or(row)
    }

    /// Half a step of the list this size is in: a figure within it of a true
    /// size is that size, rounded.
    pub fn half_step(&self, row: usize, size: usize) -> Length {
        self.rows
            .get(row)
            .and_then(|row| {
                let cell = cell_at(row, size)?;
                self.half_steps
                    .get(&(&*row.source.file, cell.unit.is_imperial()))
            })
            .copied()
            .unwrap_or(Length::from_ticks(Length::TICKS_PER_INCH / 64))
    }

    pub fn row_size(&self, row: &Row, cell: &SizeCell) -> RowSize {
        RowSize {
            row: row.source.clone(),
            part: row.part.clone(),
            dimension: cell.dimension,
            column: cell.column,
            text: cell.text.clone(),
        }
    }

    pub fn row_quantity(&self, row: &Row) -> RowSize {
        RowSize {
            row: row.source.clone(),
            part: row.part.clone(),
            dimension: Dimension::Quantity,
            column: row.quantity.column,
            text: row.quantity.text.clone(),
        }
    }

    /// How typed figures are rounded, which few jobs ask for.
    pub fn rounding(&self) -> &Rounding {
        self.rounding
            .get_or_init(|| Rounding::of(&self.job.views.views, self.tolerance(None)))
    }

    /// Largest difference that passes, inclusive.
    pub fn tolerance(&self, role: Option<Role>) -> Length {
        self.job.rules.tolerance(role).abs()
    }
}

impl<'a> Case<'a> {
    /// What the shop's rules say of a size, strongest origin first.
    pub fn expected(&self, role: Role, axis: Axis) -> &[Expected<'a>] {
        self.expected
            .get(&PartSize { role, axis })
            .map_or(&[], Vec::as_slice)
    }

    /// Every rule that gave something for this cabinet.
    pub fn all_expected(&self) -> impl Iterator<Item = &Expected<'a>> {
        self.expected.values().flatten()
    }

    /// The overall size along an axis.
    pub fn overall(&self, axis: Axis) -> Option<&Span> {
        let sizes = &self.cabinet.overall;
        match axis {
            Axis::Across => sizes.width.known(),
            Axis::Deep => sizes.depth.known(),
            Axis::High => sizes.height.known(),
        }
        .map(|measure| &measure.span)
    }

    pub fn interior(&self, axis: Axis) -> Option<&Span> {
        let sizes = &self.cabinet.interior;
        match axis {
            Axis::Across => sizes.width.known(),
            Axis::Deep => sizes.depth.known(),
            Axis::High => sizes.height.known(),
        }
        .map(|measure| &measure.span)
    }
}

/// Rows by file, sheet and line; rows split from one line by their content.
fn row_order(a: &Row, b: &Row) -> Ordering {
    a.source
        .cmp(&b.source)
        .then_with(|| a.part.cmp(&b.part))
        .then_with(|| a.cabinets.cmp(&b.cabinets))
        .then_with(|| a.quantity.count.cmp(&b.quantity.count))
        .then_with(|| {
            let key = |row: &Row| -> Vec<(Dimension, Length, String)> {
                row.sizes
                    .iter()
                    .map(|cell| (cell.dimension, cell.value, cell.text.clone()))
                    .collect()
            };
            key(a).cmp(&key(b))
        })
}

fn cases<'a>(job: &'a Job, roles: &BTreeSet<Role>) -> (Vec<Case<'a>>, Vec<(String, Vec<usize>)>) {
    // A drawing that is none of the list's cabinets for sure can't be held against it.
    let open = |id: &str| {
        let mut untitled = job.untitled.iter();
        untitled.any(|of| of.drawn == id && of.cabinets.is_empty())
    };
    let cabinets = job.cabinets.iter().filter(|cabinet| !open(&cabinet.id));
    let cabinets: Vec<&'a MeasuredCabinet> = cabinets.collect();
    let cases = in_parallel(&cabinets, |&cabinet| -> Vec<Case<'a>> {
        let case = |name: &String| Case {
            name: name.clone(),
            cabinet,
            parts: sorted_parts(cabinet, false),
            flats: sorted_parts(cabinet, true),
            doubtful: false,
            expected: BTreeMap::new(),
        };
        std::iter::once(&cabinet.id)
            .chain(&cabinet.same_as)
            .map(case)
            .collect()
    });
    let mut cases: Vec<Case<'a>> = cases.into_iter().flatten().collect();
    cases.sort_by(|a, b| {
        words::natural(&a.name, &b.name).then_with(|| size_key(a).cmp(&size_key(b)))
    });
    let mut doubled: Vec<(String, Vec<usize>)> = Vec::new();
    let sheets = |case: &Case<'_>| -> Vec<usize> {
        let views = case.cabinet.views.iter();
        views
            .filter_map(|id| Some(job.views.views.get(*id)?.sheet))
            .collect()
    };
    let mut kept: Vec<Case<'a>> = Vec::new();
    for case in cases {
        match kept.last_mut() {
            Some(last) if last.name.to_lowercase() == case.name.to_lowercase() => {
                if !alike(last, &case) {
                    last.doubtful = true;
                }
                match doubled.last_mut() {
                    Some((name, known)) if *name == last.name => known.extend(sheets(&case)),
                    _ => {
                        let all = sheets(last).into_iter().chain(sheets(&case));
                        doubled.push((last.name.clone(), all.collect()));
                    }
                }
            }
            _ => kept.push(case),
        }
    }
    let expected = in_parallel(&kept, |case| {
        let sizes = roles
            .iter()
            .flat_map(|&role| Axis::ALL.map(|axis| PartSize { role, axis }));
        sizes
            .map(|size| (size, job.rules.expect(case.cabinet, size)))
            .filter(|(_, found)| !found.is_empty())
            .collect()
    });
    for (case, expected) in kept.iter_mut().zip(expected) {
        case.expected = expected;
    }
    (kept, doubled)
}

fn sorted_parts(cabinet: &MeasuredCabinet, flat: bool) -> Vec<&DrawnPart> {
    let mut parts: Vec<&DrawnPart> = cabinet.parts.iter().filter(|p| p.flat == flat).collect();
    parts.sort_by_cached_key(|part| {
        (
            part.role,
            Axis::ALL.map(|axis| part.span(axis).map(span_key)),
            part.name.clone(),
        )
    });
    parts
}

/// Ends of a span in ticks.
fn span_key(span: &Span) -> (i64, i64) {
    let ticks = |mm: f64| Length::from_mm(mm).unwrap_or_default().ticks();
    (ticks(span.lo.at), ticks(span.hi.at))
}

/// A part's role, then its width, depth and height.
type PartKey = (Role, [Option<Length>; 3]);

/// Sizes of a cabinet, for an order in which positions of views do not matter.
fn size_key(case: &Case<'_>) -> (Vec<Option<Length>>, Vec<PartKey>) {
    let sizes = Axis::ALL.iter().flat_map(|&axis| {
        let spans = [case.overall(axis), case.interior(axis)];
        spans.map(|span| span.map(Span::length))
    });
    let part = |part: &&DrawnPart| {
        let sizes = Axis::ALL.map(|axis| part.span(axis).map(Span::length));
        (part.role, sizes)
    };
    let mut parts: Vec<PartKey> = case.parts.iter().map(part).collect();
    parts.sort_unstable();
    (sizes.collect(), parts)
}

/// How far one size is off from drawing to drawing by the noise of drawing.
const NOISE_MM: f64 = 0.05;

/// Whether two cabinets of one name are drawn alike, wherever their views are.
fn alike(one: &Case<'_>, other: &Case<'_>) -> bool {
    let near = |one: Option<&Span>, other: Option<&Span>| match (one, other) {
        (Some(one), Some(other)) => (one.mm() - other.mm()).abs() <= NOISE_MM,
        (one, other) => one.is_none() && other.is_none(),
    };
    let sizes = Axis::ALL.iter().all(|&axis| {
        near(one.overall(axis), other.overall(axis))
            && near(one.interior(axis), other.interior(axis))
    });
    let mut rest = other.parts.clone();
    let mut has = |part: &&DrawnPart| {
        let place = rest.iter().position(|of| {
            of.role == part.role
                && Axis::ALL
                    .iter()
                    .all(|&axis| near(part.span(axis), of.span(axis)))
        });
        place.map(|place| rest.swap_remove(place)).is_some()
    };
    sizes && one.parts.len() == other.parts.len() && one.parts.iter().all(&mut has)
}

/// The step a list's sizes are written in, halved: the finest binary fraction of
/// an inch or decimal of a millimetre that nine in ten of a file's cells need.
fn half_steps<'a>(rows: &[&'a Row]) -> BTreeMap<(&'a str, bool), Length> {
    let mut steps: BTreeMap<(&str, bool), Vec<i64>> = BTreeMap::new();
    for row in rows {
        for cell in row.sizes.iter().chain(&row.cut_sizes) {
            // Stock is often written finer (23/32) than anything else.
            if cell.dimension != Dimension::Thickness {
                let needed = step_of(cell);
                steps
                    .entry((&*row.source.file, cell.unit.is_imperial()))
                    .or_default()
                    .push(needed);
            }
        }
    }
    steps
        .into_iter()
        .map(|(key, mut needed)| {
            needed.sort_unstable_by(|a, b| b.cmp(a));
            let step = needed
                .get((needed.len() * 9 / 10).min(needed.len() - 1))
                .copied()
                .unwrap_or_default();
            // Never under 0.05 mm: drawings are not measured finer.
            let half = (step / 2).max(Length::TICKS_PER_MM / 20);
            (key, Length::from_ticks(half))
        })
        .collect()
}

/// The coarsest usual step a cell's figure is a multiple of, in ticks.
fn step_of(cell: &SizeCell) -> i64 {
    let (ladder, last) = if cell.unit.is_imperial() {
        let inch = Length::TICKS_PER_INCH;
        ([inch / 16, inch / 32, inch / 64], inch / 100)
    } else {
        let mm = Length::TICKS_PER_MM;
        ([mm, mm / 2, mm / 10], mm / 10)
    };
    ladder
        .into_iter()
        .find(|step| cell.value.ticks() % step == 0)
        .unwrap_or(last)
}

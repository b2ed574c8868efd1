//! From one sheet to its views.

use super::build::{Label, Sketch, Told};
use super::doubts::{self, Open};
use super::flatten::{Flat, Stroke, flatten, unite};
use super::frame::{self, Groups, Reasons, contains};
use super::index::Grid;
use super::names::Dictionary;
use super::notes::{self, ScaleNote};
use super::plausible::Look;
use super::said::{Said, Statements};
use super::scale::{self, Facts};
use super::titles::{self, Placed};
use super::walls::Faces;
use super::witness::{Witness, agreements};
use super::{
    Doubt, Hints, LeftOut, Reading, Scale, Title, ViewKind, Way, aligned, annotation, build, cuts,
    fragments, kinds, past, runs, sets, stacked, strip_names,
};
use crate::drawing::Sheet;
use crate::linework::{self, RawSegment};
use crate::plain::in_parallel;
use geo::{AffineTransform, Coord, Rect};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// The sheets of a job before their runs are divided.
#[derive(Clone)]
pub(super) struct Pages {
    pages: Vec<Page>,
    /// What was left out and what contradicts itself so far.
    begun: Reading,
    pub doubts: Vec<Open>,
}

/// One sheet on the way to its views.
#[derive(Clone)]
pub(super) struct Page {
    pub flat: Flat,
    pub sketches: Vec<Sketch>,
    runs: Vec<Whole>,
    walls: Vec<Faces>,
}

/// A run before it was divided.
#[derive(Clone)]
struct Whole {
    bounds: Rect<f64>,
    seams: Vec<f64>,
    evidence: String,
    /// Dimensions over several of its cabinets.
    dimensions: Vec<usize>,
}

/// Takes the straight lines of the sheets.
pub(super) fn pages(sheets: &mut [Sheet], hints: &Hints, dictionary: &Dictionary) -> Pages {
    let mut begun = Reading::default();
    let mut statements = Statements::new(hints);
    let mut pages: Vec<Page> = sheets
        .iter_mut()
        .enumerate()
        .map(|(index, sheet)| {
            let flat = flatten(sheet);
            page(
                index,
                sheet,
                flat,
                hints,
                &mut statements,
                dictionary,
                &mut begun,
            )
        })
        .collect();
    let sheets = &*sheets;
    begun.conflicts.extend(statements.idle(sheets));
    if hints.scale.is_none() && hints.views.is_empty() {
        doubt_unequal_scales(sheets, &mut pages);
    }
    scales_by_equal_sizes(sheets, &mut pages);
    let doubts = doubts::find(sheets, &mut pages);
    Pages {
        pages,
        begun,
        doubts,
    }
}

/// The views of the sheets, doubtful ones in these ways.
pub(super) fn read(
    pages: Pages,
    sheets: &[Sheet],
    hints: &Hints,
    ways: &BTreeMap<usize, Way>,
) -> Reading {
    let Pages {
        mut pages,
        begun: mut reading,
        doubts,
    } = pages;
    reading.doubts = vec![Doubt::default(); doubts.len()];
    let open = doubts::Ways {
        doubts: &doubts,
        ways,
    };
    let named = pages
        .iter()
        .flat_map(|page| &page.sketches)
        .any(|sketch| !sketch.told.cabinets.is_empty());
    for (index, (sheet, page)) in sheets.iter().zip(&mut pages).enumerate() {
        divide(index, sheet, page, &open, &mut reading);
        divide_alike(index, page, &mut reading);
        let told: Vec<Told> = page.sketches.iter().map(|s| s.told.clone()).collect();
        let only = only_name(sheet, hints).filter(|_| !named);
        kinds::share_names(&mut page.sketches, only.as_deref());
        kinds::find_kinds(&page.flat, &mut page.sketches);
        if !named && hints.names.is_empty() {
            only_if_one(&mut page.sketches);
        }
        let titled = told.iter().any(|told| !told.cabinets.is_empty());
        if titled {
            regroup(page, &told, &mut reading);
        } else if !whole(&page.sketches) {
            apart(page, &told, &mut reading);
        }
        let open: Vec<bool> = told.iter().map(|t| t.kind == ViewKind::Unknown).collect();
        let hidden = |id: u32| sheet.sources.get(id as usize).is_some_and(|s| s.hidden);
        cuts::tell_sections(&mut page.sketches, &open, &hidden);
        finish(index, sheet, page, &mut reading);
    }
    reading
}

fn page(
    index: usize,
    sheet: &Sheet,
    mut flat: Flat,
    hints: &Hints,
    statements: &mut Statements<'_>,
    dictionary: &Dictionary,
    reading: &mut Reading,
) -> Page {
    for (reason, &primitives) in &flat.left_out {
        reading.left_out.push(LeftOut {
            sheet: index,
            reason: reason.clone(),
            primitives,
            extents: None,
        });
    }
    let (reasons, walls) = annotate(sheet, &mut flat, dictionary);
    let mut sketches = gather(leave_out(index, &mut flat, &reasons, reading));
    drop(reasons);
    let headings = headings(&flat, dictionary);
    let placed = titles::place(&headings, &boxes(&sketches));
    if let Some(numbers) = fragments::join(sheet, &flat, &sketches, &placed) {
        sketches = fragments::united(sketches, &numbers);
    }
    statements.part(sheet, &flat, &mut sketches);
    in_rows(&mut sketches, |s| s.bounds);
    leave_out_strays(index, &flat, &mut sketches, reading);
    hand_out(index, &flat, &mut sketches, reading);
    let placed = titles::place(&headings, &boxes(&sketches));
    let said: Vec<Option<Said>> = sketches
        .iter()
        .zip(&placed)
        .map(|(sketch, placed)| statements.of(sheet, &flat, sketch, placed))
        .collect();
    let conflicts = scales(sheet, &flat, hints, &mut sketches, &placed, &said);
    let conflicts = conflicts.into_iter().map(|conflict| (index, conflict));
    reading.conflicts.extend(conflicts);
    let alone = sketches.len() == 1;
    let both: Vec<(&Sketch, &Vec<Placed>)> = sketches.iter().zip(&placed).collect();
    let told = in_parallel(&both, |(sketch, placed)| {
        tell(sheet, sketch, placed, dictionary, alone)
    });
    for ((sketch, (told, labels)), said) in sketches.iter_mut().zip(told).zip(&said) {
        sketch.told = told;
        sketch.labels = labels;
        if let Some(said) = said {
            said.tell(sketch);
        }
    }
    Page {
        flat,
        sketches,
        runs: Vec::new(),
        walls,
    }
}

fn boxes(sketches: &[Sketch]) -> Vec<Rect<f64>> {
    sketches.iter().map(|s| s.bounds).collect()
}

/// The one cabinet a job is about, when there is only one: the name in the
/// list, or where no name is written anywhere, that of the file.
fn only_name(sheet: &Sheet, hints: &Hints) -> Option<String> {
    match hints.names.as_slice() {
        [one] => Some(one.clone()),
        [] => {
            let file = sheet.file.rsplit(['/', '\\']).next()?;
            let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
            Some(stem.to_owned()).filter(|stem| !stem.is_empty())
        }
        _ => None,
    }
}

/// True when all views of a sheet have a cabinet's name and are told.
fn whole(sketches: &[Sketch]) -> bool {
    sketches
        .iter()
        .all(|s| !s.told.cabinets.is_empty() && s.told.kind != ViewKind::Unknown)
}

/// Tells the cabinets of a sheet without names apart, from what was `told` of its
/// views before they were looked at as one cabinet's. Where that made sense, they are.
fn apart(page: &mut Page, told: &[Told], reading: &mut Reading) {
    if page.sketches.iter().all(|s| s.told.cabinets.is_empty()) && is_one(&page.sketches) {
        let name = sets::untitled(&mut page.sketches, reading.untitled.len());
        reading.untitled.push(name);
        return;
    }
    let together: Vec<Told> = page
        .sketches
        .iter_mut()
        .zip(told)
        .map(|(sketch, told)| std::mem::replace(&mut sketch.told, told.clone()))
        .collect();
    let names = sets::name(&page.flat, &mut page.sketches, reading.untitled.len());
    if names.is_empty() {
        for (sketch, told) in page.sketches.iter_mut().zip(together) {
            sketch.told = told;
        }
    }
    reading.untitled.extend(names);
}

/// How far the views of a sheet that have no name can be of the cabinet whose name alone
/// stands on it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shared {
    /// As far as it was given to them.
    Fitting,
    /// One makes no sense beside the others.
    Odd,
    /// They can't all be one cabinet's.
    Against,
}

fn shared(sketches: &[Sketch], told: &[Told]) -> Shared {
    let given = || {
        let pairs = told.iter().zip(sketches);
        let without = |(told, _): &(&Told, &Sketch)| told.cabinets.is_empty();
        pairs
            .filter(without)
            .map(|(_, sketch)| sketch)
            .filter(|sketch| !sketch.told.cabinets.is_empty())
    };
    let from = |kind: ViewKind| match kind {
        ViewKind::Section => ViewKind::End,
        other => other,
    };
    let against = |sketch: &Sketch| {
        let others = sketches.iter().filter(|other| {
            other.told.cabinets == sketch.told.cabinets
                && from(other.told.kind) == from(sketch.told.kind)
        });
        let unlike = |other: &Sketch| {
            let (a, b) = (&other.bounds, &sketch.bounds);
            !kinds::same(a.width(), b.width(), kinds::DEPTH)
                || !kinds::same(a.height(), b.height(), kinds::DEPTH)
        };
        match sketch.told.kind {
            ViewKind::Unknown => false,
            ViewKind::Front => others.count() > 1,
            _ => others.into_iter().any(unlike),
        }
    };
    let odd = |sketch: &Sketch| sketch.told.kind == ViewKind::Unknown;
    if given().any(against) {
        Shared::Against
    } else if given().any(odd) {
        Shared::Odd
    } else {
        Shared::Fitting
    }
}

/// Tells the cabinets of a sheet on which some views have a name and others have none
/// apart, from what was `told` of these.
fn regroup(page: &mut Page, told: &[Told], reading: &mut Reading) {
    let fit = shared(&page.sketches, told);
    let before: Vec<Told> = page.sketches.iter().map(|s| s.told.clone()).collect();
    let mut any = false;
    for (sketch, told) in page.sketches.iter_mut().zip(told) {
        if fit != Shared::Fitting || sketch.told.cabinets.is_empty() {
            sketch.told = told.clone();
            any = true;
        }
    }
    if !any {
        return;
    }
    let names = sets::name(&page.flat, &mut page.sketches, reading.untitled.len());
    let keep = names.is_empty() && fit != Shared::Against;
    for (sketch, (before, told)) in page.sketches.iter_mut().zip(before.into_iter().zip(told)) {
        if keep {
            sketch.told = before;
        } else if sketch.told.cabinets.is_empty() {
            // As it was, but for a name it should not have got.
            sketch.told = Told {
                cabinets: Vec::new(),
                title: told.title.clone(),
                ..before
            };
        }
    }
    reading.untitled.extend(names);
}

/// Takes back a name that was only the file's from a sheet that shows more than
/// one cabinet: two fronts or two plans, or a view that could not be told.
fn only_if_one(sketches: &mut [Sketch]) {
    if !at_most_one(sketches) {
        for sketch in sketches {
            sketch.told.cabinets.clear();
        }
    }
}

/// True when no kind of view is there twice and each is told.
fn at_most_one(sketches: &[Sketch]) -> bool {
    let count = |kind: ViewKind| sketches.iter().filter(|s| s.told.kind == kind).count();
    [
        ViewKind::Front,
        ViewKind::Plan,
        ViewKind::End,
        ViewKind::Section,
    ]
    .into_iter()
    .all(|kind| count(kind) <= 1)
        && count(ViewKind::Unknown) == 0
}

/// True when the views are a front and at most one of each other kind.
fn is_one(sketches: &[Sketch]) -> bool {
    at_most_one(sketches) && sketches.iter().any(|s| s.told.kind == ViewKind::Front)
}

/// Sheets without dimensions whose headers and scale notes say the same are drawn alike:
/// where their looks make different scales of that, none of them is sure.
fn doubt_unequal_scales(sheets: &[Sheet], pages: &mut [Page]) {
    let mut alike: BTreeMap<(Option<i64>, Vec<String>), Vec<usize>> = BTreeMap::new();
    for (index, (sheet, page)) in sheets.iter().zip(pages.iter()).enumerate() {
        if !page.flat.dimensions.is_empty() {
            continue;
        }
        let texts = page.flat.texts.iter();
        let mut notes: Vec<String> = texts
            .filter_map(|text| notes::scale_note(&text.text).map(|note| format!("{note:?}")))
            .collect();
        notes.sort();
        notes.dedup();
        if !notes.is_empty() {
            let key = (scale::header_code(sheet), notes);
            alike.entry(key).or_default().push(index);
        }
    }
    let worth = |page: &Page| -> Vec<f64> {
        let sketches = page.sketches.iter();
        sketches
            .filter_map(|sketch| match sketch.scale {
                Scale::Known { mm_per_unit, .. } => Some(mm_per_unit),
                Scale::Unknown { .. } => None,
            })
            .collect()
    };
    for group in alike.into_values() {
        let all: Vec<f64> = group.iter().flat_map(|&at| worth(&pages[at])).collect();
        if all
            .windows(2)
            .all(|pair| (pair[0] / pair[1] - 1.0).abs() < 1e-6)
        {
            continue;
        }
        for at in group {
            for sketch in &mut pages[at].sketches {
                sketch.scale = Scale::Unknown {
                    reason: "drawings of this job whose units and scale notes say the same look as if drawn at different scales; give the scale with --scale or in the job file".to_owned(),
                };
            }
        }
    }
}

/// A view of unknown scale takes that of another view of the same cabinet in
/// the job when one of its sides is as long there: same drawing, same units.
fn scales_by_equal_sizes(sheets: &[Sheet], pages: &mut [Page]) {
    struct Known {
        cabinets: Vec<String>,
        sides: [f64; 2],
        header: Option<i64>,
        mm: f64,
        what: String,
    }
    let mut known: BTreeMap<Vec<String>, Vec<Known>> = BTreeMap::new();
    for (sheet, page) in sheets.iter().zip(pages.iter()) {
        for sketch in &page.sketches {
            if let Scale::Known { mm_per_unit, .. } = sketch.scale
                && !sketch.told.cabinets.is_empty()
            {
                let file = sheet.file.rsplit(['/', '\\']).next().unwrap_or_default();
                known
                    .entry(sketch.told.cabinets.clone())
                    .or_default()
                    .push(Known {
                        cabinets: sketch.told.cabinets.clone(),
                        sides: [sketch.bounds.width(), sketch.bounds.height()],
                        header: scale::header_code(sheet),
                        mm: mm_per_unit,
                        what: file.to_owned(),
                    });
            }
        }
    }
    for (sheet, page) in sheets.iter().zip(pages) {
        let header = scale::header_code(sheet);
        for sketch in &mut page.sketches {
            if !matches!(sketch.scale, Scale::Unknown { .. }) {
                continue;
            }
            let sides = [sketch.bounds.width(), sketch.bounds.height()];
            let hits: Vec<&Known> = known
                .get(&sketch.told.cabinets)
                .into_iter()
                .flatten()
                .filter(|k| k.header == header)
                .filter(|k| {
                    sides
                        .iter()
                        .any(|a| k.sides.iter().any(|b| (a - b).abs() <= 2e-3 * a.max(*b)))
                })
                .collect();
            let agreed = hits.windows(2).all(|pair| pair[0].mm == pair[1].mm);
            if let Some(first) = hits.first().filter(|_| agreed) {
                sketch.scale = Scale::Known {
                    mm_per_unit: first.mm,
                    evidence: vec![format!(
                        "one side is as long as in another view of {} ({}), whose scale is known",
                        first.cabinets.join(", "),
                        first.what
                    )],
                };
            }
        }
    }
}

/// Divides the runs of a sheet.
fn divide(
    index: usize,
    sheet: &Sheet,
    page: &mut Page,
    open: &doubts::Ways<'_>,
    reading: &mut Reading,
) {
    let hidden = |id: u32| sheet.sources.get(id as usize).is_some_and(|s| s.hidden);
    for mut sketch in std::mem::take(&mut page.sketches) {
        let may_be_run = matches!(
            sketch.told.kind,
            ViewKind::Front | ViewKind::Plan | ViewKind::Unknown
        );
        if may_be_run && let Some((rest, walls, faces)) = stacked::to_the_ceiling(&sketch, &hidden)
        {
            reading.left_out.push(LeftOut {
                sheet: index,
                reason: super::walls::WALL.to_owned(),
                primitives: walls.len(),
                extents: Some(sketch.bounds),
            });
            page.walls.push(faces);
            sketch = rest;
        }
        match may_be_run
            .then(|| open.divide(&sketch, &hidden, reading))
            .flatten()
        {
            None => page.sketches.push(sketch),
            Some(Err(undivided)) => {
                sketch.told.kind = ViewKind::Unknown;
                sketch.told.kind_evidence = undivided.reason;
                sketch.told.settled = true;
                page.sketches.push(sketch);
            }
            Some(Ok(mut division)) => {
                leave_out_strays(index, &page.flat, &mut division.parts, reading);
                let dimensions = give_out(&page.flat, &mut division.parts, &sketch);
                let run = page.runs.len();
                for mut part in division.parts {
                    part.run = Some(run);
                    page.sketches.push(part);
                }
                page.runs.push(Whole {
                    bounds: sketch.bounds,
                    seams: division.seams,
                    evidence: division.evidence,
                    dimensions,
                });
            }
        }
    }
}

/// Divides views of a run on which no names stand like the one with the names.
fn divide_alike(index: usize, page: &mut Page, reading: &mut Reading) {
    let divided: Vec<aligned::Divided> = (0..page.runs.len())
        .filter_map(|run| {
            let parts = page.sketches.iter().filter(|s| s.run == Some(run));
            // One on another is not told by places across.
            if parts.clone().count() != page.runs[run].seams.len() + 1 {
                return None;
            }
            let scale = parts.clone().next()?.scale.clone();
            Some(aligned::Divided {
                bounds: page.runs[run].bounds,
                seams: page.runs[run].seams.clone(),
                names: parts.map(|s| s.told.cabinets.clone()).collect(),
                scale,
            })
        })
        .collect();
    if divided.is_empty() {
        return;
    }
    for sketch in std::mem::take(&mut page.sketches) {
        let Some((mut parts, seams)) = aligned::cut_like(&sketch, &divided) else {
            page.sketches.push(sketch);
            continue;
        };
        leave_out_strays(index, &page.flat, &mut parts, reading);
        let dimensions = give_out(&page.flat, &mut parts, &sketch);
        let run = page.runs.len();
        for mut part in parts {
            part.run = Some(run);
            page.sketches.push(part);
        }
        page.runs.push(Whole {
            bounds: sketch.bounds,
            seams,
            evidence:
                "divided like the run with the names: its ends and seams are at the same places"
                    .to_owned(),
            dimensions,
        });
    }
}

/// All parts of a run are seen the same way.
fn one_kind(page: &mut Page) {
    for run in 0..page.runs.len() {
        let mut kinds: Vec<(ViewKind, String)> = page
            .sketches
            .iter()
            .filter(|s| s.run == Some(run) && s.told.kind != ViewKind::Unknown)
            .map(|s| (s.told.kind, s.told.kind_evidence.clone()))
            .collect();
        kinds.sort();
        let same = kinds.windows(2).all(|pair| pair[0].0 == pair[1].0);
        let Some((kind, evidence)) = kinds.into_iter().next() else {
            continue;
        };
        for sketch in page.sketches.iter_mut().filter(|s| s.run == Some(run)) {
            if !same {
                sketch.told.kind = ViewKind::Unknown;
                sketch.told.kind_evidence =
                    "parts of one run seem to be seen in different ways; a word such as FRONT near it, or the job file, would tell".to_owned();
            } else if sketch.told.kind == ViewKind::Unknown {
                sketch.told.kind = kind;
                sketch.told.kind_evidence = format!("part of a run: {evidence}");
            }
        }
    }
}

/// What stands between the same two walls as a front is seen from the front.
fn one_elevation(page: &mut Page) {
    for faces in &page.walls {
        let front = page
            .sketches
            .iter()
            .any(|s| s.told.kind == ViewKind::Front && faces.hold(s.bounds));
        for sketch in &mut page.sketches {
            let told = &mut sketch.told;
            if front && told.kind == ViewKind::Unknown && faces.hold(sketch.bounds) {
                told.kind = ViewKind::Front;
                told.kind_evidence = "stands between the same walls as a front".to_owned();
            }
        }
    }
}

/// Builds the views and runs of one sheet.
fn finish(index: usize, sheet: &Sheet, page: &mut Page, reading: &mut Reading) {
    one_kind(page);
    one_elevation(page);
    let bare = page.sketches.iter_mut().filter(|sketch| {
        sketch.doubt.is_some()
            && sketch.told.cabinets.is_empty()
            && sketch.told.kind == ViewKind::Front
    });
    for sketch in bare {
        let name = sets::untitled([sketch], reading.untitled.len());
        reading.untitled.push(name);
    }
    let first = reading.views.len();
    let flat = &page.flat;
    let named = strip_names::texts(flat, &boxes(&page.sketches));
    let called = strip_names::Called::by(sheet);
    for (own, sketch) in page.sketches.iter().enumerate() {
        if let Some(doubt) = sketch.doubt.and_then(|n| reading.doubts.get_mut(n)) {
            doubt.views.push(first + own);
        }
    }
    let built = page.sketches.par_iter_mut().enumerate();
    reading.views.par_extend(built.map(|(own, sketch)| {
        let texts = named.get(&own).map_or(&[][..], Vec::as_slice);
        build::view(index, sheet, flat, sketch, texts, &called)
    }));
    let walls = page
        .walls
        .iter()
        .flat_map(|faces| between(index, faces, &page.sketches, first));
    reading.walls.extend(walls);
    let stacked = page
        .walls
        .iter()
        .flat_map(|faces| super::stacked::columns(index, faces, &page.sketches, first));
    reading.stacked.extend(stacked);
    for (run, whole) in page.runs.iter().enumerate() {
        let parts: Vec<usize> = (0..page.sketches.len())
            .filter(|&i| page.sketches[i].run == Some(run))
            .collect();
        let Some(sketch) = parts.first().map(|&i| &page.sketches[i]) else {
            continue;
        };
        let mm = match sketch.scale {
            Scale::Known { mm_per_unit, .. } => mm_per_unit,
            Scale::Unknown { .. } => 1.0,
        };
        let corner = sketch.bounds.min();
        let (low, high) = (whole.bounds.min() - corner, whole.bounds.max() - corner);
        reading.runs.push(super::Run {
            sheet: index,
            kind: sketch.told.kind,
            views: parts.iter().map(|i| first + i).collect(),
            extents: Rect::new(low * mm, high * mm),
            seams: whole.seams.iter().map(|x| (x - corner.x) * mm).collect(),
            evidence: whole.evidence.clone(),
            dimensions: whole
                .dimensions
                .iter()
                .filter_map(|&i| page.flat.dimensions.get(i))
                .filter(|d| d.linear)
                .map(|d| super::ViewDimension {
                    from: (d.from - corner) * mm,
                    to: (d.to - corner) * mm,
                    level: d.level,
                    measured_mm: d.measured * mm,
                    text: d.text.clone(),
                    source: d.source,
                })
                .collect(),
        });
    }
}

/// Room between neighbours wider than any filler.
const OPEN_MM: f64 = 156.0;

/// The front views between two walls, those on the floor and those hung above them each
/// as a row of their own; a tall one stands in both.
fn between(sheet: usize, faces: &Faces, sketches: &[Sketch], first: usize) -> Vec<super::Walls> {
    let near = 1e-3 * (faces.right - faces.left);
    let mut inside: Vec<usize> = (0..sketches.len())
        .filter(|&i| sketches[i].told.kind == ViewKind::Front && faces.hold(sketches[i].bounds))
        .collect();
    let range = |i: usize| (sketches[i].bounds.min(), sketches[i].bounds.max());
    inside.sort_by(|&i, &j| range(i).0.x.total_cmp(&range(j).0.x).then(i.cmp(&j)));
    let lowest = inside.iter().map(|&i| range(i).0.y).reduce(f64::min);
    let floor = lowest.unwrap_or(faces.low) + 0.05 * (faces.high - faces.low);
    let (standing, hung): (Vec<usize>, Vec<usize>) =
        inside.iter().partition(|&&i| range(i).0.y <= floor);
    let underside = hung.iter().map(|&i| range(i).0.y).reduce(f64::min);
    let above: Vec<usize> = match underside {
        Some(underside) => {
            let reaches = |i: usize| range(i).0.y > floor || range(i).1.y > underside;
            inside.into_iter().filter(|&i| reaches(i)).collect()
        }
        None => Vec::new(),
    };
    let as_row = |row: Vec<usize>| {
        let side_by_side = row
            .windows(2)
            .all(|pair| range(pair[1]).0.x >= range(pair[0]).1.x - near);
        let mut scales = row.iter().map(|&i| match sketches[i].scale {
            Scale::Known { mm_per_unit, .. } => Some(mm_per_unit),
            Scale::Unknown { .. } => None,
        });
        let scale = scales.next()??;
        let one_scale = scales.all(|other| other == Some(scale));
        let open: f64 = row
            .windows(2)
            .map(|pair| (range(pair[1]).0.x - range(pair[0]).1.x) * scale)
            .filter(|gap| *gap > OPEN_MM)
            .sum();
        if !side_by_side || !one_scale {
            return None;
        }
        Some(super::Walls {
            sheet,
            views: row.iter().map(|i| first + i).collect(),
            mm: (faces.right - faces.left) * scale,
            ends_mm: [
                (range(*row.first()?).0.x - faces.left) * scale,
                (faces.right - range(*row.last()?).1.x) * scale,
            ],
            open_mm: open,
        })
    };
    [standing, above].into_iter().filter_map(as_row).collect()
}

/// Arcs, texts and dimensions of a run to the parts they lie on. Gives the level
/// dimensions that span several of them.
fn give_out(flat: &Flat, parts: &mut [Sketch], sketch: &Sketch) -> Vec<usize> {
    let mut spanning = Vec::new();
    let boxes: Vec<Rect<f64>> = parts.iter().map(|p| p.bounds).collect();
    let grid = Grid::new(&boxes);
    for &i in &sketch.arcs {
        if let Some(&g) = flat
            .arcs
            .get(i)
            .and_then(|a| grid.near(a.bounds.center(), 0.0).first().copied())
            .as_ref()
        {
            parts[g].arcs.push(i);
        }
    }
    for &i in &sketch.texts {
        if let Some(g) = flat
            .texts
            .get(i)
            .and_then(|t| grid.near(t.at, 0.0).first().copied())
        {
            parts[g].texts.push(i);
        }
    }
    for &i in &sketch.dimensions {
        let Some(d) = flat.dimensions.get(i) else {
            continue;
        };
        let near = 0.02 * d.measured;
        let whole = boxes.iter().position(|b| match d.level {
            Some(true) => {
                d.from.x.min(d.to.x) >= b.min().x - near && d.from.x.max(d.to.x) <= b.max().x + near
            }
            _ => contains(*b, d.from) || contains(*b, d.to),
        });
        let home = whole.or_else(|| home_of_dimension(&grid, &boxes, d.from, d.to));
        // One that spans several cabinets belongs to the run, not to one of them.
        if let Some(g) = home.filter(|_| whole.is_some() || d.level != Some(true)) {
            parts[g].dimensions.push(i);
        } else if d.level == Some(true) {
            spanning.push(i);
        }
    }
    spanning
}

/// Marks everything that is no edge of a cabinet. Gives the walls found among it.
fn annotate(sheet: &Sheet, flat: &mut Flat, dictionary: &Dictionary) -> (Reasons, Vec<Faces>) {
    let mut reasons: Reasons = vec![None; flat.strokes.len()];
    annotation::mark_told(sheet, flat, &mut reasons);
    let exploded = annotation::exploded(flat, sheet, dictionary, &mut reasons);
    flat.dimensions.extend(exploded);
    annotation::loose_leaders(flat, &mut reasons);
    let say = |names: &[String]| -> Vec<bool> {
        names.iter().map(|name| frame::says_border(name)).collect()
    };
    let (layers, blocks) = (say(&sheet.layers), say(&sheet.block_paths));
    let said = |says: &[bool], at: u32| says.get(at as usize).copied().unwrap_or(false);
    let named = |s: &Stroke| {
        sheet
            .sources
            .get(s.source as usize)
            .is_some_and(|source| said(&layers, source.layer) || said(&blocks, source.block_path))
    };
    let groups = frame::mark(&flat.strokes, &flat.texts, named, &mut reasons);
    let (groups, walls) = super::walls::mark(&mut flat.strokes, groups, &mut reasons);
    past::mark(&mut flat.strokes, &groups, &mut reasons);
    (reasons, walls)
}

/// Takes the strokes of a sheet but for marked ones, with an account of those.
fn leave_out(
    index: usize,
    flat: &mut Flat,
    reasons: &Reasons,
    reading: &mut Reading,
) -> Vec<Stroke> {
    let mut gone: BTreeMap<&'static str, (usize, Rect<f64>)> = BTreeMap::new();
    for (stroke, reason) in flat.strokes.iter().zip(reasons) {
        let Some(reason) = reason else { continue };
        let bounds = stroke.bounds();
        gone.entry(reason)
            .and_modify(|(count, all)| {
                *count += stroke.pieces as usize;
                *all = unite(*all, bounds);
            })
            .or_insert((stroke.pieces as usize, bounds));
    }
    let mut kept = std::mem::take(&mut flat.strokes);
    let mut reason = reasons.iter();
    kept.retain(|_| reason.next().is_none_or(Option::is_none));
    if let Some(bounds) = flat.ellipses.iter().map(|e| e.0).reduce(unite) {
        gone.insert(
            "ellipses carry no measured edge",
            (flat.ellipses.len(), bounds),
        );
    }
    for (reason, (primitives, bounds)) in gone {
        reading.left_out.push(LeftOut {
            sheet: index,
            reason: reason.to_owned(),
            primitives,
            extents: Some(to_drawing(&flat.to_drawing, bounds)),
        });
    }
    kept
}

fn to_drawing(map: &AffineTransform<f64>, r: Rect<f64>) -> Rect<f64> {
    let corners = [
        r.min(),
        r.max(),
        Coord {
            x: r.min().x,
            y: r.max().y,
        },
        Coord {
            x: r.max().x,
            y: r.min().y,
        },
    ];
    corners
        .into_iter()
        .map(|c| {
            let c = map.apply(c);
            Rect::new(c, c)
        })
        .reduce(unite)
        .unwrap_or(r)
}

/// Groups strokes into views.
fn gather(strokes: Vec<Stroke>) -> Vec<Sketch> {
    let all = (0..strokes.len() as u32).collect();
    let groups = Groups::near(&strokes, all, |b| 0.01 * b.width().max(b.height()));
    let sketches = groups.in_parallel(|members| {
        let own: Vec<Stroke> = members.iter().map(|&i| strokes[i as usize]).collect();
        build::bounds(&own).map(|bounds| Sketch::new(own, bounds))
    });
    sketches.into_iter().flatten().collect()
}

/// Hands arcs, texts and dimensions to the views they belong to.
fn hand_out(index: usize, flat: &Flat, sketches: &mut [Sketch], reading: &mut Reading) {
    let boxes = boxes(sketches);
    let grid = Grid::new(&boxes);
    let mut loose: Vec<Rect<f64>> = Vec::new();
    for (i, arc) in flat.arcs.iter().enumerate() {
        let home = grid.near(arc.bounds.center(), 0.0).into_iter().find(|&g| {
            contains(boxes[g], arc.bounds.min()) && contains(boxes[g], arc.bounds.max())
        });
        match home {
            Some(g) => sketches[g].arcs.push(i),
            None => loose.push(arc.bounds),
        }
    }
    if let Some(bounds) = loose.iter().copied().reduce(unite) {
        reading.left_out.push(LeftOut {
            sheet: index,
            reason: "arcs and circles outside any view".to_owned(),
            primitives: loose.len(),
            extents: Some(to_drawing(&flat.to_drawing, bounds)),
        });
    }
    for (i, text) in flat.texts.iter().enumerate() {
        if let Some(g) = grid.near(text.at, 0.0).first() {
            sketches[*g].texts.push(i);
        }
    }
    for (i, dimension) in flat.dimensions.iter().enumerate() {
        if let Some(g) = home_of_dimension(&grid, &boxes, dimension.from, dimension.to) {
            sketches[g].dimensions.push(i);
        }
    }
}

/// The view whose edges a dimension measures: the nearest to both points.
fn home_of_dimension(
    grid: &Grid,
    boxes: &[Rect<f64>],
    from: Coord<f64>,
    to: Coord<f64>,
) -> Option<usize> {
    let away = |b: &Rect<f64>, c: Coord<f64>| {
        let dx = (b.min().x - c.x).max(c.x - b.max().x).max(0.0);
        let dy = (b.min().y - c.y).max(c.y - b.max().y).max(0.0);
        dx.hypot(dy)
    };
    let reach = 0.25 * grid.cell();
    let mut near = grid.near(from, reach);
    near.extend(grid.near(to, reach));
    near.into_iter()
        .map(|g| (away(&boxes[g], from) + away(&boxes[g], to), g))
        .min_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)))
        .map(|hit| hit.1)
}

/// Sorts into rows from the top, each from left to right.
fn in_rows<T>(items: &mut Vec<T>, bounds: impl Fn(&T) -> Rect<f64>) {
    items.sort_by(|p, q| {
        let (a, b) = (bounds(p), bounds(q));
        b.max()
            .y
            .total_cmp(&a.max().y)
            .then(a.min().x.total_cmp(&b.min().x))
            .then(a.min().y.total_cmp(&b.min().y))
            .then(a.max().x.total_cmp(&b.max().x))
    });
    let mut rows: Vec<Vec<T>> = Vec::new();
    let mut floor = f64::INFINITY;
    for item in items.drain(..) {
        let r = bounds(&item);
        match rows.last_mut() {
            // Same row: the middle stands above the floor of the row's first.
            Some(row) if f64::midpoint(r.min().y, r.max().y) >= floor => row.push(item),
            _ => {
                floor = r.min().y;
                rows.push(vec![item]);
            }
        }
    }
    for mut row in rows {
        row.sort_by(|p, q| {
            let (a, b) = (bounds(p), bounds(q));
            a.min()
                .x
                .total_cmp(&b.min().x)
                .then(b.max().y.total_cmp(&a.max().y))
        });
        items.extend(row);
    }
}

/// A group that encloses nothing is no view.
fn leave_out_strays(index: usize, flat: &Flat, sketches: &mut Vec<Sketch>, reading: &mut Reading) {
    let encloses = |s: &Sketch| {
        let (w, h) = (s.bounds.width(), s.bounds.height());
        let small = 1e-3 * w.max(h);
        let (mut xs, mut ys) = (Vec::new(), Vec::new());
        for stroke in &s.strokes {
            let b = stroke.bounds();
            if b.width() <= small && b.height() > small {
                xs.push(b.center().x);
            } else if b.height() <= small && b.width() > small {
                ys.push(b.center().y);
            }
        }
        let spread = |v: &[f64]| {
            let lo = v.iter().copied().fold(f64::INFINITY, f64::min);
            let hi = v.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            hi - lo > small
        };
        spread(&xs) && spread(&ys)
    };
    let mut strays = 0;
    let mut bounds: Option<Rect<f64>> = None;
    let mut kept = in_parallel(sketches, encloses).into_iter();
    sketches.retain(|s| {
        let keep = kept.next().unwrap_or(true);
        if !keep {
            strays += s.strokes.iter().map(|s| s.pieces as usize).sum::<usize>();
            bounds = Some(bounds.map_or(s.bounds, |b| unite(b, s.bounds)));
        }
        keep
    });
    if strays > 0 {
        reading.left_out.push(LeftOut {
            sheet: index,
            reason: "lines that enclose nothing".to_owned(),
            primitives: strays,
            extents: bounds.map(|b| to_drawing(&flat.to_drawing, b)),
        });
    }
}

fn headings(flat: &Flat, dictionary: &Dictionary) -> Vec<titles::Heading> {
    let read = in_parallel(&titles::blocks(&flat.texts), |t| {
        titles::heading(&t.text, [t.at, t.anchor], t.height, dictionary)
    });
    read.into_iter().flatten().collect()
}

/// Decides the worth of a unit for the sheet, and for views at another scale;
/// gives the contradictions met.
fn scales(
    sheet: &Sheet,
    flat: &Flat,
    hints: &Hints,
    sketches: &mut [Sketch],
    placed: &[Vec<Placed>],
    said: &[Option<Said>],
) -> Vec<String> {
    let look = Look::at(sketches.iter().map(|s| (s.strokes.as_slice(), s.bounds)));
    let all: Vec<Witness> = flat.dimensions.iter().filter_map(Witness::of).collect();
    let notes_of = |text: &str| notes::scale_note(text).map(|n| (n, text.trim().to_owned()));
    let unit_note = flat
        .texts
        .iter()
        .find_map(|t| notes::unit_note(&t.text).map(|u| (u, t.text.clone())));
    let judge = |hints: &Hints, witnesses, notes, look: &Look| {
        Facts {
            hints,
            header: scale::header_code(sheet),
            imperial_format: scale::imperial_format(sheet),
            witnesses,
            notes,
            unit_note: unit_note.clone(),
            silent: flat.texts.is_empty() && flat.dimensions.is_empty(),
            look,
        }
        .judge()
    };
    let facts = |witnesses: Vec<Witness>, notes: Vec<(ScaleNote, String)>, look: &Look| {
        judge(hints, witnesses, notes, look)
    };
    let sheet_notes = in_parallel(&flat.texts, |t| notes_of(&t.text));
    let sheet_notes: Vec<(ScaleNote, String)> = sheet_notes.into_iter().flatten().collect();
    let whole = facts(all.clone(), sheet_notes.clone(), &look);
    let mut conflicts = whole.conflicts;
    let common = agreements(&all).first().map(|a| a.ratio);
    for ((sketch, placed), said) in sketches.iter_mut().zip(placed).zip(said) {
        let own: Vec<Witness> = sketch
            .dimensions
            .iter()
            .filter_map(|&d| flat.dimensions.get(d))
            .filter_map(Witness::of)
            .collect();
        let own_notes: Vec<(ScaleNote, String)> = placed
            .iter()
            .filter_map(|p| notes_of(&p.heading.text))
            .collect();
        let ratio = agreements(&own)
            .first()
            .filter(|a| a.count >= 2)
            .map(|a| a.ratio);
        let differs = match (ratio, common) {
            (Some(own), Some(common)) => (own / common - 1.0).abs() > 0.01,
            _ => false,
        };
        let other_note = !own_notes.is_empty()
            && own.is_empty()
            && sheet_notes
                .iter()
                .any(|n| own_notes.iter().all(|o| o.0 != n.0));
        if let Some(hints) = said.as_ref().and_then(|said| said.hints(hints)) {
            let look = Look::at(std::iter::once((sketch.strokes.as_slice(), sketch.bounds)));
            let verdict = judge(&hints, own, own_notes, &look);
            sketch.scale = verdict.scale;
            conflicts.extend(verdict.conflicts);
        } else if differs || other_note {
            let look = Look::at(std::iter::once((sketch.strokes.as_slice(), sketch.bounds)));
            let verdict = facts(own, own_notes, &look);
            sketch.scale = verdict.scale;
            conflicts.extend(verdict.conflicts);
        } else {
            sketch.scale = whole.scale.clone();
        }
    }
    conflicts.dedup();
    conflicts
}

/// Title, kind and cabinets of a view from texts, block, layer and file name, and
/// the names that stand at it. `alone`: it is the only view of its sheet.
fn tell(
    sheet: &Sheet,
    sketch: &Sketch,
    placed: &[Placed],
    dictionary: &Dictionary,
    alone: bool,
) -> (Told, Vec<Label>) {
    let mut told = Told::default();
    let file = sheet.file.rsplit(['/', '\\']).next().unwrap_or_default();
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    for title in placed {
        let heading = &title.heading;
        if !told.settled
            && let Some(says) = heading.says
        {
            told.kind = titles::kind_of(says);
            told.kind_evidence = titles::evidence(title.origin, &heading.text, says);
            told.settled = true;
            if told.kind == ViewKind::End && titles::names_a_side(&heading.text) && bare(sketch) {
                told.kind = ViewKind::Unknown;
                told.kind_evidence = format!(
                    "'{}' may mean a view from the side or the side itself, and only an outline is drawn; a word such as ELEVATION in its title, or the job file, would tell",
                    heading.text
                );
            }
        }
        let as_title = || Title {
            text: heading.text.clone(),
            origin: title.origin.to_owned(),
        };
        if told.cabinets.is_empty() && !heading.names.is_empty() {
            told.cabinets = heading.names.iter().map(|f| f.name.clone()).collect();
            told.title = Some(as_title());
        }
        if told.title.is_none() && heading.says.is_some() {
            told.title = Some(as_title());
        }
    }
    let labels = labels(sheet, sketch, placed, dictionary);
    let mut sources = vec![
        (
            "block name",
            telling(sketch, dictionary, |id| build::block(sheet, id)),
        ),
        (
            "layer name",
            telling(sketch, dictionary, |id| build::layer(sheet, id)),
        ),
        ("file name", Some(stem)),
    ];
    if alone {
        // A file that holds one view is named after it; layers are for anything.
        sources.swap(1, 2);
    }
    for (origin, name) in sources {
        let Some(name) = name else { continue };
        let Some(heading) = titles::heading(name, [Coord::default(); 2], 0.0, dictionary) else {
            continue;
        };
        // A layer such as A-ELEV says what is on it only together with a name.
        let enough = origin != "layer name" || !heading.names.is_empty();
        let one_view = origin != "file name" || alone;
        if !told.settled
            && enough
            && one_view
            && let Some(says) = heading.says
        {
            told.kind = titles::kind_of(says);
            told.kind_evidence = titles::evidence(origin, name, says);
            told.settled = true;
        }
        if told.cabinets.is_empty() && !heading.names.is_empty() {
            told.cabinets = heading.names.iter().map(|f| f.name.clone()).collect();
            if told.title.is_none() {
                told.title = Some(Title {
                    text: name.to_owned(),
                    origin: origin.to_owned(),
                });
            }
        }
    }
    if labels.len() >= 2 {
        told.cabinets = labels.iter().map(|l| l.name.clone()).collect();
    }
    (told, labels)
}

/// Lines of an outline, with a notch in it.
const OUTLINE: usize = 6;

/// True when nothing is drawn but an outline.
fn bare(sketch: &Sketch) -> bool {
    let segments: Vec<RawSegment> = sketch
        .strokes
        .iter()
        .map(|s| RawSegment {
            a: s.a - sketch.bounds.min(),
            b: s.b - sketch.bounds.min(),
            hidden: false,
            source: 0,
        })
        .collect();
    let size = sketch.bounds.width().max(sketch.bounds.height());
    let work = linework::clean(&segments, 1e-4 * size);
    work.slanted.is_empty() && work.uprights.len() + work.levels.len() <= OUTLINE
}

/// The block or layer name that tells what a view is: the only one that names a
/// cabinet and a kind, or the one that all its strokes share.
fn telling<'a>(
    sketch: &Sketch,
    dictionary: &Dictionary,
    name: impl Fn(u32) -> &'a str,
) -> Option<&'a str> {
    let names = sketch.names(name);
    if let [one] = names.as_slice() {
        return Some(*one).filter(|n| !n.is_empty());
    }
    let full: Vec<&str> = names
        .into_iter()
        .filter(|n| {
            titles::heading(n, [Coord::default(); 2], 0.0, dictionary)
                .is_some_and(|h| h.says.is_some() && h.names.len() == 1 && h.rank >= 4)
        })
        .collect();
    match full.as_slice() {
        [one] => Some(one),
        _ => None,
    }
}

/// Single names that stand on a view or right below or above it, left to right;
/// else what several blocks or layers side by side are called.
fn labels(
    sheet: &Sheet,
    sketch: &Sketch,
    placed: &[Placed],
    dictionary: &Dictionary,
) -> Vec<Label> {
    let mut labels: Vec<Label> = placed
        .iter()
        .filter(|p| p.origin != "text beside the view")
        .filter_map(|p| match p.heading.names.as_slice() {
            [one] => Some(Label {
                name: one.name.clone(),
                at: p.heading.at,
            }),
            _ => None,
        })
        .collect();
    labels.sort_by(|p, q| {
        p.at.x
            .total_cmp(&q.at.x)
            .then(q.at.y.total_cmp(&p.at.y))
            .then(p.name.cmp(&q.name))
    });
    let mut seen = std::collections::BTreeSet::new();
    labels.retain(|l| seen.insert(l.name.clone()));
    if labels.len() >= 2 {
        return labels;
    }
    // CAD programs number blocks and layers: such a name counts as a cabinet's only
    // where the list has it or begins its own names so.
    let read = |text: &str| match dictionary.find_or_guess(text, true).as_slice() {
        [one] => Some(one.name.clone()),
        _ => None,
    };
    for by in [build::block as fn(&Sheet, u32) -> &str, build::layer] {
        let found = runs::labels_by(sketch, |id| by(sheet, id), read);
        if found.len() >= 2 {
            return found;
        }
    }
    labels
}

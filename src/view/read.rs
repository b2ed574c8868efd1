//! From one sheet to its views.

use super::build::{self, Sketch, Told};
use super::divide::{self, Whole};
use super::doubts::{self, Open};
use super::flatten::{Flat, Stroke, unite};
use super::frame::{self, Groups, Reasons};
use super::hand_out::hand_out;
use super::names::Dictionary;
use super::said::{Said, Statements};
use super::titles::{self, Placed};
use super::walls::Faces;
use super::{
    Doubt, Hints, LeftOut, Reading, Scale, ViewKind, Way, annotation, cuts, fragments, kinds, past,
    sets, strip_names, tell, unnamed, view_scales,
};
use crate::drawing::Sheet;
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
    pub runs: Vec<Whole>,
    pub walls: Vec<Faces>,
}

/// The pages of the sheets, which are laid flat already.
pub(super) fn pages(
    sheets: &[Sheet],
    flats: Vec<Flat>,
    hints: &Hints,
    dictionary: &Dictionary,
) -> Pages {
    let mut begun = Reading::default();
    let mut statements = Statements::new(hints);
    let mut pages: Vec<Page> = sheets
        .iter()
        .zip(flats)
        .enumerate()
        .map(|(index, (sheet, flat))| {
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
    begun.conflicts.extend(statements.idle(sheets));
    if hints.scale.is_none() && hints.views.is_empty() {
        view_scales::doubt_unequal_scales(sheets, &mut pages);
        if hints.units.is_none() {
            view_scales::doubt_headers(sheets, &mut pages);
        }
    }
    view_scales::scales_by_equal_sizes(sheets, &mut pages);
    if hints.scale.is_none() && hints.units.is_none() && hints.views.is_empty() {
        view_scales::scales_by_list(sheets, hints, &mut pages);
    }
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
        divide::divide(index, sheet, page, &open, &mut reading);
        divide::divide_alike(index, page, &mut reading);
        let told: Vec<Told> = page.sketches.iter().map(|s| s.told.clone()).collect();
        let only = unnamed::only_name(sheet, hints).filter(|_| !named);
        kinds::share_names(&mut page.sketches, only.as_deref());
        kinds::find_kinds(&page.flat, &mut page.sketches);
        if !named && hints.names.is_empty() {
            unnamed::only_if_one(&mut page.sketches);
        }
        let titled = told.iter().any(|told| !told.cabinets.is_empty());
        if titled {
            unnamed::regroup(page, &told, &mut reading);
        } else if !unnamed::whole(&page.sketches) {
            unnamed::apart(page, &told, &mut reading);
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
    let alone = sketches.len() == 1;
    let both: Vec<(&Sketch, &Vec<Placed>)> = sketches.iter().zip(&placed).collect();
    let told = in_parallel(&both, |(sketch, placed)| {
        tell::tell(sheet, sketch, placed, dictionary, alone)
    });
    for (sketch, (told, labels)) in sketches.iter_mut().zip(told) {
        sketch.told = told;
        sketch.labels = labels;
    }
    let conflicts = view_scales::scales(sheet, &flat, hints, &mut sketches, &placed, &said);
    let conflicts = conflicts.into_iter().map(|conflict| (index, conflict));
    reading.conflicts.extend(conflicts);
    for (sketch, said) in sketches.iter_mut().zip(&said) {
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

pub(super) fn boxes(sketches: &[Sketch]) -> Vec<Rect<f64>> {
    sketches.iter().map(|s| s.bounds).collect()
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
    divide::one_kind(page);
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
        gone.entry(reason.text())
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

pub(super) fn to_drawing(map: &AffineTransform<f64>, r: Rect<f64>) -> Rect<f64> {
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

/// Sorts into rows from the top, each from left to right.
fn in_rows<T>(items: &mut Vec<T>, bounds: impl Fn(&T) -> Rect<f64>) {
    // Boxes are moved about instead of what may be large.
    let boxes = items.iter().map(bounds).enumerate();
    let mut order: Vec<(usize, Rect<f64>)> = boxes.collect();
    order.sort_by(|(_, a), (_, b)| {
        b.max()
            .y
            .total_cmp(&a.max().y)
            .then(a.min().x.total_cmp(&b.min().x))
            .then(a.min().y.total_cmp(&b.min().y))
            .then(a.max().x.total_cmp(&b.max().x))
    });
    let mut floor = f64::INFINITY;
    let mut row = 0;
    for at in 0..=order.len() {
        // Same row: the middle stands above the floor of the row's first.
        let below = order.get(at).is_none_or(|(_, r)| {
            let stays = at > row && f64::midpoint(r.min().y, r.max().y) >= floor;
            !stays
        });
        if !below {
            continue;
        }
        order[row..at].sort_by(|(_, a), (_, b)| {
            a.min()
                .x
                .total_cmp(&b.min().x)
                .then(b.max().y.total_cmp(&a.max().y))
        });
        row = at;
        floor = order.get(at).map_or(floor, |(_, r)| r.min().y);
    }
    let mut taken: Vec<Option<T>> = items.drain(..).map(Some).collect();
    items.extend(order.iter().filter_map(|(i, _)| taken[*i].take()));
}

/// A group that encloses nothing is no view.
pub(super) fn leave_out_strays(
    index: usize,
    flat: &Flat,
    sketches: &mut Vec<Sketch>,
    reading: &mut Reading,
) {
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
    let mut kept = in_parallel(&*sketches, encloses).into_iter();
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

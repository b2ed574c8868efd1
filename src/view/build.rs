//! From one sheet to its views.

use super::flatten::{Flat, FlatText, Stroke, flatten, unite};
use super::frame::{self, contains};
use super::names::Dictionary;
use super::titles::{self, Placed};
use super::{
    Hints, LeftOut, Reading, Scale, Title, View, ViewArc, ViewDimension, ViewKind, ViewText, scale,
};
use crate::drawing::Sheet;
use crate::linework::{self, RawSegment, SNAP_MM};
use geo::{AffineTransform, Coord, Rect};
use std::collections::BTreeMap;

/// Lines that belong to one view, drawing units, upright.
struct Group {
    strokes: Vec<Stroke>,
    bounds: Rect<f64>,
}

pub(super) fn sheet(
    index: usize,
    sheet: &Sheet,
    hints: &Hints,
    dictionary: &Dictionary,
    reading: &mut Reading,
) {
    let flat = flatten(sheet);
    for (reason, &primitives) in &flat.left_out {
        reading.left_out.push(LeftOut {
            sheet: index,
            reason: reason.clone(),
            primitives,
            extents: None,
        });
    }
    let source = |id: u32| sheet.sources.get(id as usize);
    let layer = |id: u32| {
        source(id)
            .and_then(|s| sheet.layers.get(s.layer as usize))
            .map_or("", String::as_str)
    };
    let block = |id: u32| {
        source(id)
            .and_then(|s| sheet.block_paths.get(s.block_path as usize))
            .map_or("", String::as_str)
    };
    if !flat.ellipses.is_empty() {
        reading.left_out.push(LeftOut {
            sheet: index,
            reason: "ellipses carry no measured edge".to_owned(),
            primitives: flat.ellipses.len(),
            extents: flat
                .ellipses
                .iter()
                .map(|e| e.0)
                .reduce(unite)
                .map(|r| to_drawing(&flat.to_drawing, r)),
        });
    }
    let reasons = frame::mark(&flat.strokes, &flat.texts, |s| {
        frame::says_border(layer(s.source)) || frame::says_border(block(s.source))
    });
    let kept = leave_out(index, &flat, &reasons, reading);
    let groups = gather(&kept);
    let boxes: Vec<Rect<f64>> = groups.iter().map(|g| g.bounds).collect();
    let headings: Vec<titles::Heading> = titles::blocks(&flat.texts)
        .iter()
        .filter_map(|t| titles::heading(&t.text, t.at, t.height, dictionary))
        .collect();
    let placed = titles::place(&headings, &boxes);
    let scale = scale::of_sheet(sheet, hints);

    for (group, placed) in groups.iter().zip(&placed) {
        let told = tell(sheet, group, placed, dictionary, &layer, &block);
        reading
            .views
            .push(view(index, sheet, &flat, group, told, scale.clone()));
    }
}

/// Takes marked strokes out, with an account.
fn leave_out(
    index: usize,
    flat: &Flat,
    reasons: &[Option<&'static str>],
    reading: &mut Reading,
) -> Vec<Stroke> {
    let mut kept = Vec::new();
    let mut gone: BTreeMap<&'static str, (usize, Rect<f64>)> = BTreeMap::new();
    for (stroke, reason) in flat.strokes.iter().zip(reasons) {
        match reason {
            None => kept.push(*stroke),
            Some(reason) => {
                let bounds = stroke.bounds();
                gone.entry(reason)
                    .and_modify(|(count, all)| {
                        *count += 1;
                        *all = unite(*all, bounds);
                    })
                    .or_insert((1, bounds));
            }
        }
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

/// Groups strokes into views, ordered in rows from the top, left to right.
fn gather(strokes: &[Stroke]) -> Vec<Group> {
    let boxes: Vec<Rect<f64>> = strokes.iter().map(Stroke::bounds).collect();
    let numbers = super::cluster::group(&boxes, |b| 0.01 * b.width().max(b.height()));
    let count = numbers.iter().max().map_or(0, |m| m + 1);
    let mut groups: Vec<Option<Group>> = (0..count).map(|_| None).collect();
    for (stroke, number) in strokes.iter().zip(numbers) {
        let bounds = stroke.bounds();
        match &mut groups[number] {
            Some(group) => {
                group.strokes.push(*stroke);
                group.bounds = unite(group.bounds, bounds);
            }
            none => {
                *none = Some(Group {
                    strokes: vec![*stroke],
                    bounds,
                })
            }
        }
    }
    let mut groups: Vec<Group> = groups.into_iter().flatten().collect();
    in_rows(&mut groups, |g| g.bounds);
    groups
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

/// What is known of a view before it is measured.
struct Told {
    kind: ViewKind,
    kind_evidence: String,
    title: Option<Title>,
    cabinets: Vec<String>,
}

fn tell<'a>(
    sheet: &'a Sheet,
    group: &Group,
    placed: &[Placed],
    dictionary: &Dictionary,
    layer: &impl Fn(u32) -> &'a str,
    block: &impl Fn(u32) -> &'a str,
) -> Told {
    let mut told = Told {
        kind: ViewKind::Unknown,
        kind_evidence: "no title says what this shows".to_owned(),
        title: None,
        cabinets: Vec::new(),
    };
    for title in placed {
        if told.kind == ViewKind::Unknown
            && let Some(says) = title.heading.says
        {
            told.kind = titles::kind_of(says);
            told.kind_evidence = format!("{}: '{}'", title.origin, title.heading.text);
        }
        if told.cabinets.is_empty() && !title.heading.names.is_empty() {
            told.cabinets = title.heading.names.iter().map(|f| f.name.clone()).collect();
            told.title = Some(Title {
                text: title.heading.text.clone(),
                origin: title.origin.to_owned(),
            });
        }
        if told.title.is_none() && title.heading.says.is_some() {
            told.title = Some(Title {
                text: title.heading.text.clone(),
                origin: title.origin.to_owned(),
            });
        }
    }
    let file = sheet.file.rsplit(['/', '\\']).next().unwrap_or_default();
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    let sources = [
        ("block name", common(group, block)),
        ("layer name", common(group, layer)),
        ("file name", Some(stem)),
    ];
    for (origin, name) in sources {
        let Some(name) = name else { continue };
        let Some(heading) = titles::heading(name, Coord::default(), 0.0, dictionary) else {
            continue;
        };
        if told.kind == ViewKind::Unknown
            && let Some(says) = heading.says
        {
            told.kind = titles::kind_of(says);
            told.kind_evidence = format!("{origin}: '{name}'");
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
    told
}

/// The name all strokes of a group share.
fn common<'a>(group: &Group, name: &impl Fn(u32) -> &'a str) -> Option<&'a str> {
    let first = name(group.strokes.first()?.source);
    (!first.is_empty() && group.strokes.iter().all(|s| name(s.source) == first)).then_some(first)
}

fn view(index: usize, sheet: &Sheet, flat: &Flat, group: &Group, told: Told, scale: Scale) -> View {
    let mm = match &scale {
        Scale::Known { mm_per_unit, .. } => *mm_per_unit,
        Scale::Unknown { .. } => 1.0,
    };
    let corner = group.bounds.min();
    let place = |c: Coord<f64>| Coord {
        x: (c.x - corner.x) * mm,
        y: (c.y - corner.y) * mm,
    };
    let hidden = |id: u32| sheet.sources.get(id as usize).is_some_and(|s| s.hidden);
    let segments: Vec<RawSegment> = group
        .strokes
        .iter()
        .map(|s| RawSegment {
            a: place(s.a),
            b: place(s.b),
            hidden: hidden(s.source),
            source: s.source,
        })
        .collect();
    let snap = match &scale {
        Scale::Known { .. } => SNAP_MM,
        // Of unknown worth: a ten-thousandth of the view.
        Scale::Unknown { .. } => 1e-4 * group.bounds.width().max(group.bounds.height()),
    };
    let work = linework::clean(&segments, snap);
    let extents = work
        .extents()
        .unwrap_or_else(|| Rect::new(Coord::default(), Coord::default()));
    let shift = extents.min();
    let work = work.shifted(-shift);
    let extents = Rect::new(extents.min() - shift, extents.max() - shift);
    let place = |c: Coord<f64>| place(c) - shift;
    let mine = |r: &Rect<f64>| contains(group.bounds, r.min()) && contains(group.bounds, r.max());
    let arcs = flat
        .arcs
        .iter()
        .filter(|arc| mine(&arc.bounds))
        .map(|arc| ViewArc {
            centre: place(arc.centre),
            radius: arc.radius * mm,
            full: arc.full,
            hidden: hidden(arc.source),
            source: arc.source,
        })
        .collect();
    let texts: Vec<ViewText> = flat
        .texts
        .iter()
        .filter(|text| contains(group.bounds, text.at))
        .map(|text: &FlatText| ViewText {
            text: text.text.clone(),
            at: place(text.at),
            height_mm: text.height * mm,
            source: text.source,
        })
        .collect();
    let reach = 0.01 * group.bounds.width().max(group.bounds.height());
    let near = |c: Coord<f64>| {
        contains(
            Rect::new(
                group.bounds.min() - Coord { x: reach, y: reach },
                group.bounds.max() + Coord { x: reach, y: reach },
            ),
            c,
        )
    };
    let dimensions = flat
        .dimensions
        .iter()
        .filter(|d| d.linear && near(d.from) && near(d.to))
        .map(|d| ViewDimension {
            from: place(d.from),
            to: place(d.to),
            level: d.level,
            measured_mm: d.measured * mm,
            text: d.text.clone(),
            source: d.source,
        })
        .collect();
    // view → upright drawing units → drawing
    let back = 1.0 / mm;
    let to_flat = AffineTransform::new(
        back,
        0.0,
        corner.x + shift.x * back,
        0.0,
        back,
        corner.y + shift.y * back,
    );
    View {
        sheet: index,
        kind: told.kind,
        kind_evidence: match &flat.turned {
            Some(turned) => format!("{}; {turned}", told.kind_evidence),
            None => told.kind_evidence,
        },
        title: told.title,
        cabinets: told.cabinets,
        scale,
        shows_hidden: group.strokes.iter().any(|s| hidden(s.source)),
        linework: work,
        texts,
        arcs,
        dimensions,
        extents,
        to_drawing: to_flat.compose(&flat.to_drawing),
        plane: flat.plane,
    }
}

//! Every DXF fixture read by two readers of different descent: ours, and the
//! `dxf` crate, which loads whole files into a model of its own. Both must
//! find the same entities with the same numbers. Versions, blocks exploded and
//! extents are held against another library in `dxf_reference.rs`.

mod common;

use common::fixture;
use dryfit::drawing::{self, EntityKind, Point, Sheet};
use dxf::entities::{Entity, EntityType};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn drawings(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            drawings(&path, found);
        } else if path.extension().is_some_and(|e| e == "dxf") {
            found.push(path);
        }
    }
    found.sort();
}

/// What a top-level entity of model space is, in numbers both readers have.
/// Bits are compared, not rounded values.
type Bag = BTreeMap<(&'static str, Vec<u64>), i64>;

fn bits(numbers: &[f64]) -> Vec<u64> {
    // Minus zero is zero.
    numbers.iter().map(|n| (n + 0.0).to_bits()).collect()
}

fn point(p: &dxf::Point) -> [f64; 3] {
    [p.x, p.y, p.z]
}

fn both(a: Point, b: Point) -> Vec<u64> {
    bits(&[a, b].concat())
}

fn theirs(entity: &Entity) -> Option<(&'static str, Vec<u64>)> {
    Some(match &entity.specific {
        EntityType::Line(line) if line.p1 != line.p2 => {
            ("LINE", both(point(&line.p1), point(&line.p2)))
        }
        EntityType::Circle(circle) => ("CIRCLE", bits(&[circle.radius])),
        EntityType::RotatedDimension(d) => (
            "DIMENSION",
            both(point(&d.definition_point_2), point(&d.definition_point_3)),
        ),
        _ => return None,
    })
}

fn ours(sheet: &Sheet) -> Bag {
    let mut bag = Bag::new();
    let mut add = |source: u32, kind: EntityKind, name, numbers| {
        let source = &sheet.sources[source as usize];
        if source.kind == kind && source.block_path == 0 {
            *bag.entry((name, numbers)).or_default() += 1;
        }
    };
    for s in &sheet.segments {
        add(s.source, EntityKind::Line, "LINE", both(s.a, s.b));
    }
    for arc in sheet.arcs.iter().filter(|arc| arc.is_full()) {
        add(
            arc.source,
            EntityKind::Circle,
            "CIRCLE",
            bits(&[arc.radius]),
        );
    }
    use dryfit::drawing::DimensionKind::{Aligned, Linear};
    for d in sheet
        .dimensions
        .iter()
        .filter(|d| matches!(d.kind, Linear | Aligned))
    {
        add(
            d.source,
            EntityKind::Dimension,
            "DIMENSION",
            both(d.from, d.to),
        );
    }
    bag
}

fn name_of(entity: &Entity) -> Option<&'static str> {
    Some(match &entity.specific {
        EntityType::Line(_) => "LINE",
        EntityType::Arc(_) => "ARC",
        EntityType::Circle(_) => "CIRCLE",
        EntityType::Ellipse(_) => "ELLIPSE",
        EntityType::LwPolyline(_) => "LWPOLYLINE",
        EntityType::Polyline(_) => "POLYLINE",
        EntityType::Spline(_) => "SPLINE",
        EntityType::Face3D(_) => "3DFACE",
        EntityType::Text(_) => "TEXT",
        EntityType::MText(_) => "MTEXT",
        EntityType::Insert(_) => "INSERT",
        EntityType::XLine(_) => "XLINE",
        EntityType::Ray(_) => "RAY",
        EntityType::ModelPoint(_) => "POINT",
        _ => return None,
    })
}

type Counts = BTreeMap<String, u64>;

/// Every entity as often as blocks draw it.
fn count(drawing: &dxf::Drawing, entity: &Entity, times: u64, counts: &mut Counts) {
    let Some(name) = name_of(entity) else { return };
    *counts.entry(name.to_owned()).or_default() += times;
    if let EntityType::Insert(insert) = &entity.specific {
        let copies = |n: i16| u64::try_from(n.max(1)).unwrap();
        let times = times * copies(insert.row_count) * copies(insert.column_count);
        let block = drawing
            .blocks()
            .find(|b| b.name.eq_ignore_ascii_case(&insert.name));
        for inner in block.iter().flat_map(|block| &block.entities) {
            count(drawing, inner, times, counts);
        }
    }
}

fn compare(sheet: &Sheet, drawing: &dxf::Drawing) {
    // What neither space, layer nor visibility hides is the same in both; the
    // crate does not tell frozen layers, so ours may hold less.
    let mut bag = ours(sheet);
    let mut left = 0_u64;
    for entity in drawing.entities() {
        if entity.common.is_in_paper_space && sheet.space == drawing::Space::Model {
            continue;
        }
        let Some(key) = theirs(entity) else { continue };
        match bag.get_mut(&key) {
            Some(n) if *n > 0 => *n -= 1,
            _ => left += 1,
        }
    }
    // The crate tells dimensions by markers that Release 12 does not write.
    let old = sheet.version.as_str() <= "AC1009";
    bag.retain(|(kind, _), n| *n != 0 && !(old && *kind == "DIMENSION"));
    assert!(bag.is_empty(), "only we found {bag:?}");
    let unseen = sheet.skipped.iter().filter(|(s, _)| !s.matters);
    let unseen: u64 = unseen.map(|(_, n)| n).sum();
    assert!(
        left <= unseen,
        "they found {left} more, we left out {unseen}"
    );

    // Frozen INSERTs hide how much is in them.
    if sheet.skipped.keys().any(|s| s.kind == "INSERT") {
        return;
    }
    let mut counts = Counts::new();
    // Layouts other than the last one open are stored as blocks.
    let layouts = drawing
        .blocks()
        .filter(|block| block.name.starts_with("*Paper_Space"));
    for entity in drawing
        .entities()
        .chain(layouts.flat_map(|block| &block.entities))
    {
        count(drawing, entity, 1, &mut counts);
    }
    let mut mine: Counts = sheet.read.clone();
    for (skipped, n) in &sheet.skipped {
        *mine.entry(skipped.kind.clone()).or_default() += n;
    }
    mine.retain(|kind, _| counts.contains_key(kind) || kind == "LINE" || kind == "LWPOLYLINE");
    assert_eq!(mine, counts);
}

#[test]
fn two_readers_find_the_same() {
    let mut found = Vec::new();
    drawings(&fixture(""), &mut found);
    drawings(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/strangers"),
        &mut found,
    );
    let (mut compared, mut refused, mut bad) = (0, Vec::new(), Vec::new());
    for path in found {
        let sheet = drawing::read_file(&path, "x.dxf").unwrap();
        let Ok(drawing) = dxf::Drawing::load_file(&path) else {
            refused.push(path);
            continue;
        };
        if std::panic::catch_unwind(|| compare(&sheet, &drawing)).is_err() {
            bad.push(path);
        }
        compared += 1;
    }
    eprintln!("compared {compared}; the crate does not load {refused:#?}");
    assert!(compared > 50 && refused.len() < compared / 10);
    assert!(bad.is_empty(), "{bad:#?}");
}

//! A small checked job built by hand, for the tests of the renderers: base
//! cabinet B2, 36 in wide, 34 1/2 in high, 24 in deep, whose side is listed at
//! 31 in. Part names carry what hostile input would.

use crate::audit::{
    Assumption, Audit, AuditedCabinet, Bin, BuiltSize, Cause, CauseKind, Caution, Covered, Finding,
    FindingKind, InputProblem, Job, MeasuredBetween, Outcome, RowSize, SheetCoverage,
};
use crate::cabinet::{Edge, Measure, Measured, MeasuredCabinet, Sizes, Span, Style};
use crate::construction::Origin;
use crate::cutlist::{
    CutList, Grain, Per, Quantity, Reading, Row, RowSource, SizeCell, SizeDetail, SizeKind,
};
use crate::drawing::{EntityKind, Evidence, Sheet, Source};
use crate::length::{Length, Unit};
use crate::linework::{CleanLine, Linework};
use crate::trade::{Axis, Dimension, Role};
use crate::view::{Scale, Title, View, ViewKind};
use geo::{AffineTransform, Rect, coord};

pub const LIST: &str = "glaze-room/cutlist.csv";
pub const DRAWING: &str = "glaze-room/glaze-room.dxf";

/// Inches in 1/32.
pub fn inch(thirty_seconds: i64) -> Length {
    Length::from_ticks(thirty_seconds * Length::TICKS_PER_INCH / 32)
}

fn line(a: (f64, f64), b: (f64, f64), hidden: bool, source: u32) -> CleanLine {
    let at = |(x, y): (f64, f64)| coord! { x: x * 25.4, y: y * 25.4 };
    CleanLine {
        a: at(a),
        b: at(b),
        hidden,
        source,
    }
}

fn upright(x: f64, source: u32) -> CleanLine {
    line((x, 0.0), (x, 34.5), false, source)
}

fn level(y: f64, width: f64, source: u32) -> CleanLine {
    line((0.0, y), (width, y), false, source)
}

fn view(
    kind: ViewKind,
    title: &str,
    width: f64,
    uprights: Vec<CleanLine>,
    levels: Vec<CleanLine>,
) -> View {
    View {
        sheet: 0,
        kind,
        kind_evidence: "its title".to_owned(),
        title: Some(Title {
            text: title.to_owned(),
            origin: "text below the view".to_owned(),
        }),
        cabinets: vec!["B2".to_owned()],
        scale: Scale::Known {
            mm_per_unit: 25.4,
            evidence: vec!["header: drawing unit is the inch".to_owned()],
        },
        linework: Linework {
            uprights,
            levels,
            ..Linework::default()
        },
        texts: Vec::new(),
        arcs: Vec::new(),
        dimensions: Vec::new(),
        strips: Vec::new(),
        extents: Rect::new(
            coord! { x: 0.0, y: 0.0 },
            coord! { x: width * 25.4, y: 34.5 * 25.4 },
        ),
        to_drawing: AffineTransform::new(1.0 / 25.4, 0.0, 100.0, 0.0, 1.0 / 25.4, 50.0),
        plane: crate::view::Plane::Xy,
        shows_hidden: true,
    }
}

fn span(view: usize, axis: Axis, lo: (f64, CleanLine, &str), hi: (f64, CleanLine, &str)) -> Span {
    let edge = |(at, line, name): (f64, CleanLine, &str)| Edge {
        at: at * 25.4,
        line,
        name: name.to_owned(),
        occluded: false,
    };
    Span {
        axis,
        lo: edge(lo),
        hi: edge(hi),
        view,
    }
}

fn known(span: Span, note: Option<&str>) -> Measured {
    Measured::Known(Measure {
        span,
        note: note.map(str::to_owned),
    })
}

fn cabinet() -> MeasuredCabinet {
    let across = |lo: f64, hi: f64, a: &str, b: &str| {
        span(
            0,
            Axis::Across,
            (lo, upright(lo, 1), a),
            (hi, upright(hi, 2), b),
        )
    };
    let high = |lo: f64, hi: f64, a: &str, b: &str| {
        span(
            1,
            Axis::High,
            (lo, level(lo, 24.0, 5), a),
            (hi, level(hi, 24.0, 6), b),
        )
    };
    let deep = span(
        1,
        Axis::Deep,
        (0.0, upright(0.0, 7), "front of the face frame"),
        (24.0, upright(24.0, 8), "back edge of the side"),
    );
    MeasuredCabinet {
        id: "B2".to_owned(),
        same_as: vec!["B4".to_owned()],
        views: vec![0, 1],
        style: Style::FaceFrame,
        overall: Sizes {
            width: known(
                across(
                    0.0,
                    36.0,
                    "left face of the left side",
                    "right face of the right side",
                ),
                None,
            ),
            height: known(
                high(0.0, 34.5, "floor", "top edge of the side"),
                Some("includes a toe kick 4 in high"),
            ),
            depth: known(deep, None),
        },
        interior: Sizes {
            width: known(
                across(
                    0.75,
                    35.25,
                    "inner face of the left side",
                    "inner face of the right side",
                ),
                None,
            ),
            height: known(
                high(
                    4.75,
                    33.75,
                    "top of the bottom",
                    "underside of the stretcher",
                ),
                Some("to the underside of the stretcher"),
            ),
            depth: Measured::Unknown {
                reason: "no view shows the face of the back".to_owned(),
            },
        },
        named: Vec::new(),
        parts: Vec::new(),
        openings: Vec::new(),
        edges: Vec::new(),
        conflicts: Vec::new(),
        uncounted: Vec::new(),
    }
}

fn row(
    line: usize,
    part: &str,
    role: Option<Role>,
    quantity: &str,
    sizes: [&str; 3],
    values: [i64; 3],
) -> Row {
    let dimensions = [Dimension::Length, Dimension::Width, Dimension::Thickness];
    Row {
        source: source(line),
        cabinets: vec!["B2".to_owned()],
        cabinet_text: "B2".to_owned(),
        part: part.to_owned(),
        reading: role.map_or(
            Reading::Unknown {
                nearest: Vec::new(),
            },
            |role| Reading::As {
                role,
                synonym: part.to_owned(),
                score: 1.0,
            },
        ),
        hand: None,
        quantity: Quantity {
            count: quantity.parse().unwrap(),
            per: Per::Cabinet,
            text: quantity.to_owned(),
            column: 3,
        },
        sizes: (0..3)
            .map(|index| SizeCell {
                dimension: dimensions[index],
                text: sizes[index].to_owned(),
                column: 4 + index,
                heading: ["Length", "Width", "Thick"][index].into(),
                value: inch(values[index]),
                unit: Unit::Inch,
                unit_evidence: "heading".into(),
                detail: SizeDetail {
                    cell: sizes[index].to_owned(),
                    written: crate::length::parse(sizes[index], Unit::Inch)
                        .ok()
                        .map(|parsed| parsed.written),
                    exact: true,
                    ..SizeDetail::default()
                },
            })
            .collect(),
        cut_sizes: Vec::new(),
        grain: Grain::Unstated,
        band: None,
        size_kind: SizeKind::Unstated,
        material: None,
        note: None,
    }
}

fn source(line: usize) -> RowSource {
    RowSource {
        file: LIST.into(),
        sheet: None,
        line,
    }
}

pub fn size(line: usize, part: &str, dimension: Dimension, column: usize, text: &str) -> RowSize {
    RowSize {
        row: source(line),
        part: part.to_owned(),
        dimension,
        column,
        text: text.to_owned(),
    }
}

pub fn job() -> Job {
    let uprights = [0.0, 0.75, 35.25, 36.0];
    let front = view(
        ViewKind::Front,
        "B2 FRONT",
        36.0,
        (0..)
            .zip(uprights)
            .map(|(source, x)| upright(x, source))
            .collect(),
        vec![
            level(0.0, 36.0, 4),
            level(4.0, 36.0, 5),
            level(34.5, 36.0, 6),
        ],
    );
    let end = view(
        ViewKind::End,
        "B2 END",
        24.0,
        vec![upright(0.0, 7), upright(23.25, 7), upright(24.0, 8)],
        vec![
            level(0.0, 24.0, 9),
            line((0.0, 4.75), (24.0, 4.75), true, 10),
            level(33.75, 24.0, 10),
            level(34.5, 24.0, 11),
        ],
    );
    Job {
        name: "glaze-room".to_owned(),
        older: Vec::new(),
        untitled: Vec::new(),
        sheets: vec![Sheet {
            file: DRAWING.to_owned(),
            version: "AC1027".to_owned(),
            evidence: vec![Evidence::InsUnits(1)],
            sources: (0..12)
                .map(|index| Source {
                    kind: EntityKind::Line,
                    handle: 0x2A0 + index,
                    layer: 0,
                    block_path: 0,
                    linetype: 0,
                    centre: false,
                    hidden: index == 10,
                    position: 100 * index,
                })
                .collect(),
            layers: vec!["0".to_owned()],
            block_paths: vec![String::new()],
            ..Sheet::default()
        }],
        views: crate::view::Reading {
            views: vec![front, end],
            ..Default::default()
        },
        cabinets: vec![cabinet()],
        lists: vec![CutList {
            file: LIST.into(),
            rows: vec![
                row(
                    2,
                    "Side",
                    Some(Role::Side),
                    "2",
                    ["31", "23 1/4", "3/4"],
                    [992, 744, 24],
                ),
                row(
                    3,
                    "Bottom",
                    Some(Role::Bottom),
                    "1",
                    ["34 1/2", "23 1/4", "3/4"],
                    [1104, 744, 24],
                ),
                row(
                    4,
                    "Back",
                    Some(Role::Back),
                    "1",
                    ["35 1/4", "26 1/4", "1/4"],
                    [1128, 840, 8],
                ),
                row(
                    5,
                    "Toe kick",
                    Some(Role::ToeKick),
                    "2",
                    ["36", "4", "3/4"],
                    [1152, 128, 24],
                ),
                row(
                    6,
                    "=SUM(<script>alert(1)</script>)",
                    None,
                    "1",
                    ["20", "10", "3/4"],
                    [640, 320, 24],
                ),
            ],
            ..CutList::default()
        }],
        rules: Default::default(),
        unusable: vec![InputProblem {
            file: "glaze-room/plan.dwg".to_owned(),
            message: "a DWG drawing cannot be read; export it as DXF and add that".to_owned(),
        }],
        passed_over: vec![InputProblem {
            file: "glaze-room/notes.md".to_owned(),
            message: "neither a drawing nor a list".to_owned(),
        }],
    }
}

fn between(view: usize, lines: [CleanLine; 2], sentence: &str) -> MeasuredBetween {
    MeasuredBetween {
        view,
        lines: lines.to_vec(),
        sentence: sentence.to_owned(),
    }
}

fn finding(kind: FindingKind, message: &str) -> Finding {
    Finding {
        id: format!("sample-{}", message.len()),
        kind,
        cabinet: Some("B2".to_owned()),
        cabinets: vec!["B2".to_owned()],
        part: None,
        dimension: None,
        drawn: None,
        listed: None,
        counts: None,
        difference: None,
        tolerance: None,
        row: None,
        measured: None,
        relation: None,
        message: message.to_owned(),
        causes: Vec::new(),
        also: Vec::new(),
    }
}

fn side_finding() -> Finding {
    Finding {
        part: Some("Side".to_owned()),
        dimension: Some(Dimension::Length),
        drawn: Some(inch(1104)),
        listed: Some(inch(992)),
        difference: Some(inch(992 - 1104)),
        tolerance: Some(inch(1)),
        row: Some(size(2, "Side", Dimension::Length, 4, "31")),
        measured: Some(between(
            1,
            [level(0.0, 24.0, 9), level(34.5, 24.0, 11)],
            "floor to top edge of the side",
        )),
        relation: Some((
            "overall height: 34 1/2 in".to_owned(),
            Origin::Preset {
                name: "sides to the floor".to_owned(),
            },
        )),
        causes: vec![
            Cause {
                kind: CauseKind::OtherDistance,
                sentence: "31 in is the clear height of the opening, not the height of the side."
                    .to_owned(),
                evidence: vec![
                    "top of the toe kick to underside of the stretcher is drawn 31 in high"
                        .to_owned(),
                    "with 34 1/2 in, 2 sizes agree that do not now".to_owned(),
                ],
                explains: 2,
                taken: Some(between(
                    1,
                    [level(2.75, 24.0, 10), level(33.75, 24.0, 10)],
                    "top of the toe kick to underside of the stretcher",
                )),
            },
            Cause {
                kind: CauseKind::SlippedFraction,
                sentence: "31 in may be 34 1/2 in with a digit slipped.".to_owned(),
                evidence: vec!["the digits differ in one place".to_owned()],
                explains: 2,
                taken: None,
            },
        ],
        also: vec![size(4, "Back", Dimension::Width, 5, "26 1/4")],
        ..finding(
            FindingKind::Size,
            "The side of B2 is listed 31 in long; the drawing shows 34 1/2 in.",
        )
    }
}

fn covered(size: RowSize, bin: Bin, by: &str, margin: Option<i64>) -> Covered {
    Covered {
        size,
        cabinet: Some("B2".to_owned()),
        bin,
        by: by.to_owned(),
        margin: margin.map(inch),
        expected: None,
    }
}

fn coverage() -> Vec<Covered> {
    use Dimension::{Length, Quantity, Thickness, Width};
    vec![
        covered(
            size(2, "Side", Quantity, 3, "2"),
            Bin::Agrees,
            "two sides are drawn",
            None,
        ),
        Covered {
            expected: Some(inch(1104)),
            ..covered(
                size(2, "Side", Length, 4, "31"),
                Bin::Disagrees,
                "overall height",
                None,
            )
        },
        covered(
            size(2, "Side", Width, 5, "23 1/4"),
            Bin::Agrees,
            "case depth",
            Some(1),
        ),
        covered(
            size(2, "Side", Thickness, 6, "3/4"),
            Bin::Agrees,
            "drawn edge-on",
            Some(1),
        ),
        Covered {
            expected: Some(inch(952)),
            ..covered(
                size(4, "Back", Width, 5, "26 1/4"),
                Bin::Disagrees,
                "interior height + groove",
                None,
            )
        },
        covered(
            size(5, "Toe kick", Quantity, 3, "2"),
            Bin::Disagrees,
            "one toe kick is drawn",
            None,
        ),
        covered(
            size(6, "=SUM(<script>alert(1)</script>)", Length, 4, "20"),
            Bin::Unchecked,
            "the part is not known; nearest: side (0.31)",
            None,
        ),
        covered(
            size(6, "=SUM(<script>alert(1)</script>)", Width, 5, "10"),
            Bin::Unchecked,
            "the part is not known; nearest: side (0.31)",
            None,
        ),
    ]
}

pub fn audit() -> Audit {
    let built = |name, drawn: i64, listed: i64, by: &str| BuiltSize {
        name,
        drawn: Some(inch(drawn)),
        listed: Some(inch(listed)),
        by: by.to_owned(),
    };
    Audit {
        outcome: Outcome::Disagrees,
        cabinets: vec![AuditedCabinet {
            id: "B2".to_owned(),
            sizes: vec![
                built("width", 1152, 1152, "bottom + 2 × side thickness"),
                built("height", 1104, 992, "side length (line 2)"),
                BuiltSize {
                    name: "interior depth",
                    drawn: None,
                    listed: Some(inch(744)),
                    by: "bottom width (line 3)".to_owned(),
                },
            ],
        }],
        findings: vec![
            side_finding(),
            Finding {
                part: Some("Toe kick".to_owned()),
                dimension: Some(Dimension::Quantity),
                counts: Some((1, 2)),
                row: Some(size(5, "Toe kick", Dimension::Quantity, 3, "2")),
                ..finding(
                    FindingKind::Quantity,
                    "B2 has 1 toe kick drawn and 2 listed.",
                )
            },
            Finding {
                part: Some("mid-stile".to_owned()),
                counts: Some((1, 0)),
                ..finding(
                    FindingKind::MissingPart,
                    "B2 shows a mid-stile that no row lists.",
                )
            },
            Finding {
                measured: Some(between(
                    0,
                    [upright(0.0, 0), upright(36.0, 3)],
                    "left face of the left side to right face of the right side",
                )),
                ..finding(
                    FindingKind::Drawing,
                    "B2 FRONT says 35 1/2 between points 36 in apart.",
                )
            },
            Finding {
                cabinet: None,
                ..finding(
                    FindingKind::Input,
                    "glaze-room/plan.dwg: a DWG drawing cannot be read; export it as DXF and add that",
                )
            },
        ],
        coverage: coverage(),
        unchecked: vec![
            "interior depth of B2: no view shows the face of the back; a section would".to_owned(),
        ],
        views: crate::audit::ViewBins {
            read: 1,
            compared: 1,
            unchecked: 0,
        },
        sheets: vec![SheetCoverage {
            file: DRAWING.to_owned(),
            entities: 40,
            in_views: 28,
            left_out: vec![
                ("sheet border".to_owned(), 4),
                ("dimension lines".to_owned(), 8),
            ],
        }],
        assumptions: vec![Assumption {
            sentence: "Sides run to the floor.".to_owned(),
            origin: Origin::Preset {
                name: "sides to the floor".to_owned(),
            },
            decided: 2,
        }],
        cautions: vec![Caution {
            topic: "scope",
            text: "This report compares numbers. It is not a code, safety, structural or accessibility review. Verify on site before cutting.",
        }],
    }
}

/// The same job with nothing wrong.
pub fn clean_audit() -> Audit {
    let mut audit = audit();
    audit.outcome = Outcome::Agrees;
    audit.findings.clear();
    audit.unchecked.clear();
    audit.coverage.retain(|covered| covered.bin == Bin::Agrees);
    audit
}

/// The first finding and the first open item accepted; one entry for something
/// that is gone.
pub fn settled(job: &Job, audit: &Audit) -> crate::signoff::settle::Settled {
    use crate::signoff::accepted::{Accepted, Entry};
    use crate::signoff::settle::{Item, settle};
    let hash = |_: &str| Some("aa".to_owned());
    let open = crate::signoff::open::items(audit);
    let entry = |item: Item<'_>| Entry {
        item: item.id().to_owned(),
        says: item.says().to_owned(),
        reason: "as built".to_owned(),
        by: "Ada".to_owned(),
        date: "2026-01-01".to_owned(),
        until: Some("2026-06-30".to_owned()),
        on: item.evidence(job, &hash),
    };
    let mut gone = entry(Item::Open(&open[0]));
    gone.item = "b9-side-length".to_owned();
    let accepted = Accepted {
        accepted: vec![
            entry(Item::Finding(&audit.findings[0])),
            entry(Item::Open(&open[0])),
            gone,
        ],
    };
    let today = crate::signoff::date::Day::parse("2026-02-01").unwrap();
    settle(job, audit, &accepted, today, &hash)
}

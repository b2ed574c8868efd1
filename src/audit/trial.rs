//! Hand-built cabinets and lists for the tests of this room. Sizes are the
//! constructed worked examples: a face-frame base (inches), a frameless wall unit
//! (millimetres) and a bank of three drawers (inches); every figure is worked out
//! by hand from the given sizes, independent of the code under test.

use super::audit;
use super::types::{Audit, Finding, Job};
use crate::cabinet::{
    DrawnPart, Edge, Measure, Measured, MeasuredCabinet, NamedSize, Opening, Sizes, Span, Style,
};
use crate::cutlist::{
    Band, CutList, Grain, Per, Quantity, Reading, Row, RowSource, SizeCell, SizeDetail, SizeKind,
};
use crate::length::{Length, Unit, parse};
use crate::linework::CleanLine;
use crate::trade::{Axis, Dimension, Role};
use geo::Coord;

pub const IN: f64 = 25.4;

/// A cabinet under construction; sizes in `unit` millimetres each.
pub struct Maker {
    pub cabinet: MeasuredCabinet,
    unit: f64,
}

type Ends = (f64, f64);

impl Maker {
    pub fn new(id: &str, unit: f64, style: Style, overall: [f64; 3], interior: [Ends; 3]) -> Maker {
        let unknown = || Measured::Unknown {
            reason: "not made".to_owned(),
        };
        let sizes = || Sizes {
            width: unknown(),
            height: unknown(),
            depth: unknown(),
        };
        let mut maker = Maker {
            cabinet: MeasuredCabinet {
                id: id.to_owned(),
                same_as: Vec::new(),
                views: vec![0, 1],
                style,
                overall: sizes(),
                interior: sizes(),
                named: Vec::new(),
                parts: Vec::new(),
                openings: Vec::new(),
                edges: Vec::new(),
                conflicts: Vec::new(),
                uncounted: Vec::new(),
            },
            unit,
        };
        let measure = |maker: &Maker, axis: Axis, ends: Ends, names: [&str; 2]| {
            Measured::Known(Measure {
                span: maker.span(axis, ends, names),
                note: None,
            })
        };
        let [w, d, h] = overall;
        maker.cabinet.overall = Sizes {
            width: measure(&maker, Axis::Across, (0.0, w), ["left end", "right end"]),
            height: measure(&maker, Axis::High, (0.0, h), ["floor", "top of the case"]),
            depth: measure(&maker, Axis::Deep, (0.0, d), ["front", "rear"]),
        };
        let [x, y, z] = interior;
        maker.cabinet.interior = Sizes {
            width: measure(
                &maker,
                Axis::Across,
                x,
                [
                    "inner face of the left side",
                    "inner face of the right side",
                ],
            ),
            height: measure(
                &maker,
                Axis::High,
                z,
                ["top of the bottom", "underside of the top"],
            ),
            depth: measure(
                &maker,
                Axis::Deep,
                y,
                ["front of the case", "face of the back"],
            ),
        };
        maker
    }

    pub fn span(&self, axis: Axis, ends: Ends, names: [&str; 2]) -> Span {
        let edge = |at: f64, name: &str| {
            let at = at * self.unit;
            let (a, b) = match axis {
                Axis::High => (Coord { x: 0.0, y: at }, Coord { x: 100.0, y: at }),
                _ => (Coord { x: at, y: 0.0 }, Coord { x: at, y: 100.0 }),
            };
            Edge {
                at,
                line: CleanLine {
                    a,
                    b,
                    hidden: false,
                    source: 0,
                },
                name: name.to_owned(),
                occluded: false,
            }
        };
        Span {
            axis,
            lo: edge(ends.0, names[0]),
            hi: edge(ends.1, names[1]),
            view: usize::from(axis == Axis::Deep),
        }
    }

    pub fn part(&mut self, role: Role, name: &str, x: Ends, y: Ends, z: Ends) -> &mut DrawnPart {
        let near = |side: &str| format!("{side} of the {name}");
        let names = [
            [near("left edge"), near("right edge")],
            [near("front edge"), near("rear edge")],
            [near("lower edge"), near("upper edge")],
        ];
        let span = |axis: Axis, ends: Ends, names: &[String; 2]| {
            Some(self.span(axis, ends, [&names[0], &names[1]]))
        };
        let part = DrawnPart {
            role,
            name: name.to_owned(),
            across: span(Axis::Across, x, &names[0]),
            deep: span(Axis::Deep, y, &names[1]),
            high: span(Axis::High, z, &names[2]),
            evidence: "made by hand".to_owned(),
            opening: None,
            flat: false,
        };
        for axis in Axis::ALL {
            let span = part.span(axis).unwrap();
            for edge in [&span.lo, &span.hi] {
                self.cabinet.edges.push((span.view, axis, edge.clone()));
            }
        }
        self.cabinet.parts.push(part);
        self.cabinet.parts.last_mut().unwrap()
    }

    pub fn opening(&mut self, name: &str, x: Ends, z: Ends) -> usize {
        let across = self.span(Axis::Across, x, ["left stile", "right stile"]);
        let high = self.span(Axis::High, z, ["rail below", "rail above"]);
        self.cabinet.openings.push(Opening {
            name: name.to_owned(),
            in_frame: self.cabinet.style == Style::FaceFrame,
            across: Some(across),
            high: Some(high),
        });
        self.cabinet.openings.len() - 1
    }

    pub fn named(&mut self, name: &str, axis: Axis, ends: Ends) {
        let span = self.span(axis, ends, ["one end", "other end"]);
        self.cabinet.named.push(NamedSize {
            name: name.to_owned(),
            measure: Measure { span, note: None },
        });
    }
}

/// A face-frame base like the constructed 36-in example, for any frame width and
/// height: drawer over a pair of doors.
pub fn base(id: &str, width: f64, height: f64) -> MeasuredCabinet {
    let (depth, t, o) = (24.0, 0.75, 0.25);
    let (left, right) = (o + t, width - o - t);
    let case_front = 0.75;
    let mut m = Maker::new(
        id,
        IN,
        Style::FaceFrame,
        [width, depth, height],
        [(left, right), (case_front, depth - 0.25), (5.5, height - t)],
    );
    let y_case = (case_front, depth);
    m.part(Role::Side, "left side", (o, o + t), y_case, (0.0, height));
    m.part(
        Role::Side,
        "right side",
        (width - o - t, width - o),
        y_case,
        (0.0, height),
    );
    m.part(
        Role::Bottom,
        "bottom",
        (left - 0.25, right + 0.25),
        (case_front, depth - 0.25),
        (4.75, 5.5),
    );
    m.part(
        Role::Stretcher,
        "front stretcher",
        (left, right),
        (case_front, case_front + 4.0),
        (height - t, height),
    );
    m.part(
        Role::Stretcher,
        "back stretcher",
        (left, right),
        (depth - 0.25 - 4.0, depth - 0.25),
        (height - t, height),
    );
    m.part(
        Role::Back,
        "back",
        (left - 0.375, right + 0.375),
        (depth - 0.25, depth),
        (4.75, height),
    );
    m.part(
        Role::AdjustableShelf,
        "shelf",
        (left + 0.0625, right - 0.0625),
        (1.25, 23.75),
        (14.0, 14.75),
    );
    m.part(
        Role::ToeKick,
        "toe kick",
        (o, width - o),
        (3.0, 3.25),
        (0.0, 4.0),
    );
    let y_frame = (0.0, 0.75);
    m.part(
        Role::Stile,
        "left stile",
        (0.0, 1.5),
        y_frame,
        (4.0, height),
    );
    m.part(
        Role::Stile,
        "right stile",
        (width - 1.5, width),
        y_frame,
        (4.0, height),
    );
    let rail = (1.5, width - 1.5);
    let drawer = (height - 6.5, height - 1.5);
    let doors = (5.5, height - 8.0);
    m.part(
        Role::Rail,
        "top rail",
        rail,
        y_frame,
        (height - 1.5, height),
    );
    m.part(
        Role::Rail,
        "middle rail",
        rail,
        y_frame,
        (height - 8.0, height - 6.5),
    );
    m.part(Role::Rail, "bottom rail", rail, y_frame, (4.0, 5.5));
    let upper = m.opening("upper opening", rail, drawer);
    let lower = m.opening("lower opening", rail, doors);
    let y_front = (-0.75, 0.0);
    m.part(
        Role::DrawerFront,
        "drawer front",
        (1.0, width - 1.0),
        y_front,
        (drawer.0 - 0.5, drawer.1 + 0.5),
    )
    .opening = Some(upper);
    let each = (width - 2.0 - 0.125) / 2.0;
    let door_z = (doors.0 - 0.5, doors.1 + 0.5);
    m.part(Role::Door, "left door", (1.0, 1.0 + each), y_front, door_z)
        .opening = Some(lower);
    m.part(
        Role::Door,
        "right door",
        (width - 1.0 - each, width - 1.0),
        y_front,
        door_z,
    )
    .opening = Some(lower);
    m.named("toe.height", Axis::High, (0.0, 4.0));
    m.named("case.width", Axis::Across, (o, width - o));
    m.named("case.depth", Axis::Deep, y_case);
    m.named("frame.overhang", Axis::Across, (0.0, o));
    m.cabinet
}

/// The right list of [`base`] at 36 by 34 1/2 in.
pub const BASE_LIST: &str = "\
B36,Side,2,34 1/2,23 1/4,3/4
B36,Bottom,1,34 1/2,23,3/4
B36,Stretcher,2,34,4,3/4
B36,Back,1,29 3/4,34 3/4,1/4
B36,Shelf,1,33 7/8,22 1/2,3/4
B36,Toe kick,1,35 1/2,4,1/4
B36,Stile,2,30 1/2,1 1/2,3/4
B36,Rail,3,33,1 1/2,3/4
B36,Drawer front,1,34,6,3/4
B36,Door,2,22,16 15/16,3/4
";

/// The constructed frameless wall unit: 600 by 720 by 320, 18 mm board.
pub fn wall(id: &str) -> MeasuredCabinet {
    let mut m = Maker::new(
        id,
        1.0,
        Style::Frameless,
        [600.0, 320.0, 720.0],
        [(18.0, 582.0), (0.0, 292.0), (18.0, 702.0)],
    );
    let y = (0.0, 320.0);
    m.part(Role::Side, "left side", (0.0, 18.0), y, (0.0, 720.0));
    m.part(Role::Side, "right side", (582.0, 600.0), y, (0.0, 720.0));
    m.part(Role::Bottom, "bottom", (18.0, 582.0), y, (0.0, 18.0));
    m.part(Role::Top, "top", (18.0, 582.0), y, (702.0, 720.0));
    m.part(
        Role::Back,
        "back",
        (11.0, 589.0),
        (292.0, 300.0),
        (11.0, 709.0),
    );
    for (name, z) in [("shelf 1", 250.0), ("shelf 2", 480.0)] {
        m.part(
            Role::AdjustableShelf,
            name,
            (19.0, 581.0),
            (2.0, 282.0),
            (z, z + 18.0),
        );
    }
    let opening = m.opening("opening", (18.0, 582.0), (18.0, 702.0));
    for (name, x) in [("left door", 1.5), ("right door", 301.5)] {
        m.part(Role::Door, name, (x, x + 297.0), (-19.0, 0.0), (1.5, 718.5))
            .opening = Some(opening);
    }
    m.cabinet
}

pub const WALL_LIST: &str = "\
W60,Side,2,720,320,18
W60,Bottom,1,564,320,18
W60,Top,1,564,320,18
W60,Back,1,698,578,8
W60,Shelf,2,562,280,18
W60,Door,2,717,297,19
";

/// The constructed three-drawer bank: frame 18 by 30 1/2 on a toe space of 4.
pub fn drawers(id: &str) -> MeasuredCabinet {
    let (width, height, depth, t, o) = (18.0, 34.5, 24.0, 0.75, 0.25);
    let (left, right) = (o + t, width - o - t);
    let mut m = Maker::new(
        id,
        IN,
        Style::FaceFrame,
        [width, depth, height],
        [(left, right), (0.75, 23.75), (5.5, height - t)],
    );
    let y_case = (0.75, depth);
    m.part(Role::Side, "left side", (o, o + t), y_case, (0.0, height));
    m.part(
        Role::Side,
        "right side",
        (right, width - o),
        y_case,
        (0.0, height),
    );
    m.part(
        Role::Bottom,
        "bottom",
        (left - 0.25, right + 0.25),
        (0.75, 23.75),
        (4.75, 5.5),
    );
    for (name, y) in [("front stretcher", 0.75), ("back stretcher", 19.75)] {
        m.part(
            Role::Stretcher,
            name,
            (left, right),
            (y, y + 4.0),
            (height - t, height),
        );
    }
    m.part(
        Role::Back,
        "back",
        (left - 0.375, right + 0.375),
        (23.75, 24.0),
        (4.75, height),
    );
    m.part(
        Role::ToeKick,
        "toe kick",
        (o, width - o),
        (3.0, 3.25),
        (0.0, 4.0),
    );
    for (name, x) in [("left stile", 0.0), ("right stile", 16.5)] {
        m.part(Role::Stile, name, (x, x + 1.5), (0.0, 0.75), (4.0, height));
    }
    // Openings from the frame's bottom: 1 1/2 to 11 1/4, 12 3/4 to 22 1/2, 24 to 29.
    let from_floor = 4.0;
    for (name, z) in [
        ("bottom rail", 0.0),
        ("second rail", 11.25),
        ("third rail", 22.5),
        ("top rail", 29.0),
    ] {
        let z = z + from_floor;
        m.part(Role::Rail, name, (1.5, 16.5), (0.0, 0.75), (z, z + 1.5));
    }
    for (name, lo, hi) in [
        ("lower", 1.5, 11.25),
        ("middle", 12.75, 22.5),
        ("upper", 24.0, 29.0),
    ] {
        let (lo, hi) = (lo + from_floor, hi + from_floor);
        let opening = m.opening(&format!("{name} opening"), (1.5, 16.5), (lo, hi));
        m.part(
            Role::DrawerFront,
            &format!("{name} drawer front"),
            (1.0, 17.0),
            (-0.75, 0.0),
            (lo - 0.5, hi + 0.5),
        )
        .opening = Some(opening);
        for (side, x) in [("left", 2.0), ("right", 15.5)] {
            m.part(
                Role::BoxSide,
                &format!("{side} side of the {name} box"),
                (x, x + 0.5),
                (0.75, 21.75),
                (lo + 0.5, hi - 0.5),
            );
        }
    }
    m.named("toe.height", Axis::High, (0.0, 4.0));
    m.cabinet
}

pub const DRAWERS_LIST: &str = "\
D18,Side,2,34 1/2,23 1/4,3/4
D18,Bottom,1,16 1/2,23,3/4
D18,Stretcher,2,16,4,3/4
D18,Back,1,29 3/4,16 3/4,1/4
D18,Toe kick,1,17 1/2,4,1/4
D18,Stile,2,30 1/2,1 1/2,3/4
D18,Rail,4,15,1 1/2,3/4
D18,Drawer front,1,16,6,3/4
D18,Drawer front,2,16,10 3/4,3/4
D18,Drawer side,2,21,4,1/2
D18,Drawer side,4,21,8 3/4,1/2
";

/// The role a part's word stands for.
pub fn role(part: &str) -> Option<Role> {
    Some(match part {
        "Shelf" => Role::AdjustableShelf,
        "Drawer side" => Role::BoxSide,
        _ => *Role::ALL
            .iter()
            .find(|role| role.word().eq_ignore_ascii_case(part))?,
    })
}

/// Cabinets (separated by `+`), part, quantity, length, width, thickness, by comma;
/// lines count from 2 as under a heading.
pub fn list(file: &str, text: &str, unit: Unit) -> CutList {
    let rows = text
        .lines()
        .enumerate()
        .map(|(index, line)| row(file, index + 2, line, unit))
        .collect();
    CutList {
        file: file.into(),
        rows,
        ..CutList::default()
    }
}

fn row(file: &str, line: usize, text: &str, unit: Unit) -> Row {
    let cells: Vec<&str> = text.split(',').collect();
    let dimensions = [Dimension::Length, Dimension::Width, Dimension::Thickness];
    let sizes = dimensions
        .iter()
        .zip(cells.iter().skip(3))
        .enumerate()
        .filter(|(_, (_, cell))| !cell.is_empty())
        .map(|(index, (dimension, cell))| {
            let read = parse(cell, unit).unwrap();
            SizeCell {
                dimension: *dimension,
                text: (*cell).to_owned(),
                column: index + 4,
                heading: "".into(),
                value: read.length,
                unit: read.unit,
                unit_evidence: "".into(),
                detail: SizeDetail::default(),
            }
        })
        .collect();
    Row {
        source: RowSource {
            file: file.into(),
            sheet: None,
            line,
        },
        cabinets: cells[0]
            .split('+')
            .filter(|name| !name.is_empty())
            .map(str::to_owned)
            .collect(),
        cabinet_text: cells[0].to_owned(),
        part: cells[1].to_owned(),
        reading: match role(cells[1]) {
            Some(role) => Reading::As {
                role,
                synonym: cells[1].to_owned(),
                score: 1.0,
            },
            None => Reading::Unknown {
                nearest: Vec::new(),
            },
        },
        hand: None,
        quantity: Quantity {
            count: cells[2].parse().unwrap(),
            per: Per::Cabinet,
            text: cells[2].to_owned(),
            column: 3,
        },
        sizes,
        cut_sizes: Vec::new(),
        grain: Grain::Unstated,
        band: None,
        size_kind: SizeKind::Unstated,
        material: None,
        note: None,
    }
}

pub fn job(cabinets: Vec<MeasuredCabinet>, text: &str, unit: Unit) -> Job {
    Job {
        name: "trial".to_owned(),
        cabinets,
        lists: vec![list("list.csv", text, unit)],
        ..Job::default()
    }
}

pub fn base_job(text: &str) -> Job {
    job(vec![base("B36", 36.0, 34.5)], text, Unit::Inch)
}

pub fn wall_job(text: &str) -> Job {
    job(vec![wall("W60")], text, Unit::Millimetre)
}

pub fn drawers_job(text: &str) -> Job {
    job(vec![drawers("D18")], text, Unit::Inch)
}

/// Edge band on so many edges along the length and along the width, in millimetres.
pub fn band(along: (u8, u8), thickness: Option<f64>) -> Band {
    Band {
        along_length: along.0,
        along_width: along.1,
        thickness: thickness.map(|mm| Length::from_mm(mm).unwrap()),
    }
}

/// The wall unit with its doors, drawn 717 by 297, listed before 2 mm of band come on all
/// four edges: right is 713 by 293.
pub fn cut_door_job(length: &str, width: &str) -> Job {
    let mut job = wall_job(&with(&with(WALL_LIST, 5, 3, length), 5, 4, width));
    let row = &mut job.lists[0].rows[5];
    row.size_kind = SizeKind::Cut;
    row.band = Some(band((2, 2), Some(2.0)));
    job
}

/// The list with one cell (0-based column) of one line (0-based) replaced.
pub fn with(text: &str, line: usize, column: usize, cell: &str) -> String {
    text.lines()
        .enumerate()
        .map(|(at, row)| {
            let mut cells: Vec<&str> = row.split(',').collect();
            if at == line {
                cells[column] = cell;
            }
            format!("{}\n", cells.join(","))
        })
        .collect()
}

/// Audits, and shows the findings when a test fails.
pub fn run(job: &Job) -> Audit {
    let audit = audit(job);
    for finding in &audit.findings {
        println!("{}: {}", finding.id, finding.message);
        for cause in &finding.causes {
            println!(
                "    {:?} ({}): {} {:?}",
                cause.kind, cause.explains, cause.sentence, cause.evidence
            );
        }
    }
    audit
}

/// Line and dimension of a finding's row.
pub fn at(finding: &Finding) -> Option<(usize, Dimension)> {
    finding
        .row
        .as_ref()
        .map(|size| (size.row.line, size.dimension))
}

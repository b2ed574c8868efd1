//! What a heading says is done to a trial cabinet or its list, one deed after the other.

use crate::audit::trial::*;
use crate::audit::{Job, OlderCabinet};
use crate::cabinet::{Conflict, DrawnPart, MeasuredCabinet, Style, Uncounted};
use crate::construction::JobFile;
use crate::construction::untitled::Untitled;
use crate::cutlist::{Grain, Hand, Per, Problem, RowSource, SizeKind};
use crate::drawing::{Sheet, Skipped};
use crate::length::{Unit, parse};
use crate::trade::{Axis, Dimension, Role};
use crate::view::{LeftOut, Scale, View, ViewDimension, ViewKind};
use geo::Coord;

/// `base: line 2 length = 33 3/4; no shelf is drawn`: trial cabinets, and what is changed
/// of them and of their right list. Several stand as `B1 36, B2 24`: bases by name and width.
pub fn job_of(heading: &str) -> Job {
    let (start, deeds) = heading.split_once(": ").unwrap();
    let deeds: Vec<&str> = deeds.split("; ").collect();
    let (cabinets, text, unit) = match start {
        "base" => (
            vec![base("B36", 36.0, 34.5)],
            BASE_LIST.to_owned(),
            Unit::Inch,
        ),
        "wall" => (vec![wall("W60")], WALL_LIST.to_owned(), Unit::Millimetre),
        "drawers" => (vec![drawers("D18")], DRAWERS_LIST.to_owned(), Unit::Inch),
        several => bases(several),
    };
    let text = deeds.iter().fold(text, |text, deed| listed(text, deed));
    let left_out: Vec<usize> = deeds
        .iter()
        .filter_map(|deed| Some(line_of(deed.strip_suffix(" is left out")?).0))
        .collect();
    let mut job = job(cabinets, &text, unit);
    job.lists[0]
        .rows
        .retain(|row| !left_out.contains(&(row.source.line - 2)));
    let mut file = String::new();
    for deed in &deeds {
        if let Some(lines) = deed.strip_prefix("the job file says ") {
            file.push_str(&lines.replace(" / ", "\n"));
            file.push('\n');
        } else if let Some(line) = deed.strip_prefix("row ") {
            row(&mut job, line);
        } else if !["line ", "and ", "as it should be"]
            .iter()
            .any(|of| deed.starts_with(of))
        {
            drawn(&mut job, deed, unit);
        }
    }
    if !file.is_empty() {
        job.rules = JobFile::parse(&file, "dryfit.toml").unwrap().rules;
    }
    job.rules.print_in(unit);
    job
}

fn bases(several: &str) -> (Vec<MeasuredCabinet>, String, Unit) {
    let mut cabinets = Vec::new();
    let mut text = String::new();
    for one in several.split(", ") {
        let (name, width) = one.split_once(' ').unwrap();
        let width: f64 = width.parse().unwrap();
        cabinets.push(base(name, width, 34.5));
        text.push_str(&super::super::groups::list_for(name, width));
    }
    (cabinets, text, Unit::Inch)
}

/// `line 2 width`: the row's place in the list, and the rest.
fn line_of(words: &str) -> (usize, &str) {
    let words = words.strip_prefix("line ").unwrap();
    let (line, rest) = words.split_once(' ').unwrap_or((words, ""));
    (line.parse::<usize>().unwrap() - 2, rest)
}

/// What is changed of the list as it is written.
fn listed(text: String, deed: &str) -> String {
    if let Some(row) = deed.strip_prefix("and ") {
        return format!("{text}{row}\n");
    }
    let Some((place, cell)) = deed.split_once(" = ").filter(|_| deed.starts_with("line ")) else {
        return text;
    };
    let (line, column) = line_of(place);
    let columns = [
        "cabinet",
        "part",
        "quantity",
        "length",
        "width",
        "thickness",
    ];
    let column = columns.iter().position(|name| *name == column).unwrap();
    with(&text, line, column, cell)
}

/// What is said of a row besides its figures: `2 counts for the job`.
fn row(job: &mut Job, deed: &str) {
    let (line, deed) = deed.split_once(' ').unwrap();
    let line: usize = line.parse().unwrap();
    let mut rows = job.lists[0].rows.iter_mut();
    let row = rows.find(|row| row.source.line == line).unwrap();
    let words: Vec<&str> = deed.split(' ').collect();
    match words.as_slice() {
        ["counts", "for", "the", "job"] => row.quantity.per = Per::Job,
        // Made of one line: "top and bottom".
        ["stands", "in", "line", other] => row.source.line = other.parse().unwrap(),
        ["has", "no", "quantity"] => row.quantity.column = 0,
        ["is", "of", "no", "cabinet"] => row.cabinets.clear(),
        ["is", "left"] => row.hand = Some(Hand::Left),
        ["is", "right"] => row.hand = Some(Hand::Right),
        ["has", "its", "grain", "along", "length"] => row.grain = Grain::AlongLength,
        ["has", "its", "grain", "along", "width"] => row.grain = Grain::AlongWidth,
        ["calls", from, to] => {
            let word = |word: &str| match word {
                "length" => Dimension::Length,
                "width" => Dimension::Width,
                "height" => Dimension::Height,
                "depth" => Dimension::Depth,
                other => panic!("{other} is no dimension"),
            };
            let mut cells = row.sizes.iter_mut();
            let cell = cells.find(|cell| cell.dimension == word(from)).unwrap();
            cell.dimension = word(to);
        }
        [
            "is",
            kind,
            "with",
            along_length,
            along_width,
            "edges",
            "of",
            thickness,
        ] => {
            row.size_kind = match *kind {
                "cut" => SizeKind::Cut,
                "finished" => SizeKind::Finished,
                "either" => SizeKind::Unstated,
                other => panic!("{other} is no kind of size"),
            };
            let edges = (along_length.parse().unwrap(), along_width.parse().unwrap());
            row.band = Some(band(edges, thickness.parse().ok()));
        }
        other => panic!("{other:?} is said of no row"),
    }
}

fn parts<'a>(job: &'a mut Job, what: &'a str) -> impl Iterator<Item = &'a mut DrawnPart> {
    let role = role(what);
    let cabinets = job.cabinets.iter_mut();
    cabinets
        .flat_map(|cabinet| &mut cabinet.parts)
        .filter(move |part| part.name == what || Some(part.role) == role)
}

fn axis(word: &str) -> Axis {
    *Axis::ALL.iter().find(|axis| axis.word() == word).unwrap()
}

fn at(part: &mut DrawnPart, axis: Axis) -> &mut Option<crate::cabinet::Span> {
    match axis {
        Axis::Across => &mut part.across,
        Axis::Deep => &mut part.deep,
        Axis::High => &mut part.high,
    }
}

/// What is changed of the drawing. Parts are named, or all of a role are.
fn drawn(job: &mut Job, deed: &str, unit: Unit) {
    let mm = |text: &str| parse(text, unit).unwrap().length.mm();
    let ends = |text: &str| {
        let (lo, hi) = text.split_once(" to ").unwrap();
        (mm(lo), mm(hi))
    };
    if let Some(what) = deed
        .strip_prefix("no ")
        .and_then(|d| d.strip_suffix(" is drawn"))
    {
        for cabinet in &mut job.cabinets {
            cabinet
                .parts
                .retain(|part| part.name != what && Some(part.role) != role(what));
        }
    } else if let Some((what, along)) = deed.split_once(" is not seen ") {
        for part in parts(job, what) {
            *at(part, axis(along)) = None;
        }
    } else if let Some((what, rest)) = deed.split_once(" is hidden ") {
        let (along, between) = rest.split_once(" beyond ").unwrap();
        for part in parts(job, what) {
            let span = at(part, axis(along)).as_mut().unwrap();
            (span.lo.at, span.hi.at) = ends(between);
            (span.lo.occluded, span.hi.occluded) = (true, true);
        }
    } else if let Some((what, rest)) = deed.split_once(" is drawn ") {
        let (along, between) = rest.split_once(" from ").unwrap();
        for part in parts(job, what) {
            let span = at(part, axis(along)).as_mut().unwrap();
            (span.lo.at, span.hi.at) = ends(between);
        }
    } else if let Some((what, rest)) = deed.split_once(" again as ") {
        // `shelf again as second shelf, a divider`
        let (name, of) = rest.split_once(", a ").unwrap_or((rest, ""));
        let mut copy = parts(job, what).next().unwrap().clone();
        copy.name = name.to_owned();
        copy.role = role(of).unwrap_or(copy.role);
        job.cabinets[0].parts.push(copy);
    } else if let Some(rest) = deed.strip_prefix("the ")
        && let Some((name, rest)) = rest.split_once(" is open ")
    {
        // `the upper opening is open across from 1 to 2`
        let (along, between) = rest.split_once(" from ").unwrap();
        for opening in job.cabinets.iter_mut().flat_map(|of| &mut of.openings) {
            if opening.name == name {
                let span = match axis(along) {
                    Axis::High => &mut opening.high,
                    _ => &mut opening.across,
                };
                let span = span.as_mut().unwrap();
                (span.lo.at, span.hi.at) = ends(between);
            }
        }
    } else if let Some(rest) = deed.strip_prefix("a drawing of ") {
        // `a drawing of Lower bottom, a bottom, 34 by 23`
        let (name, rest) = rest.split_once(", a ").unwrap();
        let (of, by) = rest.split_once(", ").unwrap();
        let (length, width) = by.split_once(" by ").unwrap();
        let mut maker = Maker::new(
            "alone",
            1.0,
            Style::Frameless,
            [1.0; 3],
            [(0.0, 1.0), (0.0, 1.0), (0.0, 1.0)],
        );
        let sizes = [(0.0, mm(length)), (0.0, 1.0), (0.0, mm(width))];
        let part = maker.part(role(of).unwrap(), name, sizes[0], sizes[1], sizes[2]);
        (part.flat, part.deep) = (true, None);
        job.cabinets[0].parts.push(part.clone());
    } else if let Some((what, why)) = deed.split_once(" may be more: ") {
        uncounted(job, what, why, false);
    } else if let Some((what, why)) = deed.split_once(" may be more or fewer: ") {
        uncounted(job, what, why, true);
    } else if let Some((name, rest)) = deed.split_once(" is named over ") {
        // `toe.depth is named over 0 to 3 deep`
        let (between, along) = rest.rsplit_once(' ').unwrap();
        let mut size = job.cabinets[0].named[0].clone();
        let span = &mut size.measure.span;
        (span.lo.at, span.hi.at) = ends(between);
        span.axis = axis(along);
        size.name = name.to_owned();
        job.cabinets[0].named.push(size);
    } else if deed == "no view shows hidden edges" {
        job.views.views = vec![view(ViewKind::Front), view(ViewKind::End)];
        for view in &mut job.views.views {
            view.shows_hidden = false;
        }
    } else if let Some(written) = deed.strip_prefix("dimensions across ") {
        // `0 to 10 as 10, 10 to 22 as 12 and 0 to 22 as 23`: ends and texts, nothing known
        // of the scale.
        let mut of = view(ViewKind::Front);
        of.scale = Scale::Unknown {
            reason: "nothing tells it".to_owned(),
        };
        of.dimensions = dimensions(written, true, &ends);
        job.views.views = vec![view(ViewKind::Front), view(ViewKind::End), of];
    } else if let Some((place, rest)) = deed
        .strip_prefix("view ")
        .and_then(|rest| rest.split_once(" is typed "))
    {
        // `view 0 is typed high 0 to 10 as 10`
        let (along, written) = rest.split_once(' ').unwrap();
        if job.views.views.is_empty() {
            job.views.views = vec![view(ViewKind::Front), view(ViewKind::End)];
        }
        let level = axis(along) != Axis::High;
        let of = &mut job.views.views[place.parse::<usize>().unwrap()];
        of.dimensions.extend(dimensions(written, level, &ends));
    } else if let Some(what) = deed.strip_prefix("a view ") {
        if job.views.views.is_empty() {
            job.views.views = vec![view(ViewKind::Front), view(ViewKind::End)];
        }
        let mut of = view(ViewKind::Section);
        match what {
            "of no cabinet" => of.cabinets.clear(),
            "of no scale" => {
                of.scale = Scale::Unknown {
                    reason: "nothing tells it".to_owned(),
                }
            }
            "of no kind" => {
                of.kind = ViewKind::Unknown;
                of.kind_evidence = "nothing tells".to_owned();
            }
            "that is not measured" => {}
            "of a part" => of.kind = ViewKind::FlatPart,
            other => panic!("there is no view {other}"),
        }
        job.views.views.push(of);
    } else if let Some((along, between)) = deed
        .strip_prefix("two views differ ")
        .and_then(|rest| rest.split_once(" from "))
    {
        // `two views differ across from 36 to 36 1/2`
        let (one, other) = ends(between);
        job.cabinets[0].conflicts.push(Conflict {
            sentence: format!("two views differ: {between}"),
            axis: Some(axis(along)),
            view: 0,
            distances_mm: [one, other],
            lines: Vec::new(),
        });
    } else if deed == "what the job shows is inferred" {
        job.rules.infer(&job.cabinets, &job.lists);
    } else if let Some((drawn, rivals)) = deed.split_once(" has no name and may be ") {
        job.untitled.push(Untitled {
            drawn: drawn.to_owned(),
            cabinets: Vec::new(),
            rivals: rivals.split(" or ").map(str::to_owned).collect(),
            whole: true,
            sentence: format!("its size may be that of {rivals}"),
        });
    } else if let Some((drawn, named)) = deed.split_once(" has no name and is ") {
        job.untitled.push(Untitled {
            drawn: drawn.to_owned(),
            cabinets: vec![named.to_owned()],
            rivals: Vec::new(),
            whole: true,
            sentence: format!("{named} is known by its size"),
        });
    } else if let Some(line) = deed.strip_prefix("the quantity could not be read in line ") {
        unread(job, line.parse().unwrap(), Dimension::Quantity);
    } else if let Some(line) = deed.strip_prefix("a length could not be read in line ") {
        unread(job, line.parse().unwrap(), Dimension::Length);
    } else if deed == "a sheet of 9 lines, 4 of them in its border, and 2 hatches" {
        let hatch = Skipped {
            kind: "HATCH".to_owned(),
            reason: "no edge".to_owned(),
            matters: false,
        };
        job.sheets.push(Sheet {
            file: "front.dxf".to_owned(),
            read: [("LINE".to_owned(), 9)].into(),
            skipped: [(hatch, 2)].into(),
            ..Sheet::default()
        });
        job.views.left_out.push(LeftOut {
            sheet: 0,
            reason: "sheet border".to_owned(),
            primitives: 4,
            extents: None,
        });
    } else if let Some(height) = deed.strip_prefix("an older drawing is high ") {
        job.older.push(OlderCabinet {
            file: "first issue.dxf".to_owned(),
            cabinet: base("B36", 36.0, mm(height) / IN),
        });
    } else if let Some((text, rest)) = deed.split_once(" is written on ") {
        let (size, along) = rest.rsplit_once(' ').unwrap();
        let mut view = super::super::causes::lying_view(text, mm(size));
        view.dimensions[0].level = Some(axis(along) == Axis::Across);
        job.views.views.push(view);
    } else {
        panic!("nothing is done by '{deed}'");
    }
}

/// Dimensions by their ends and texts.
fn dimensions(written: &str, level: bool, ends: &dyn Fn(&str) -> (f64, f64)) -> Vec<ViewDimension> {
    let one = |one: &str| {
        let (between, text) = one.split_once(" as ").unwrap();
        let (from, to) = ends(between);
        let at = |along: f64| match level {
            true => Coord { x: along, y: 0.0 },
            false => Coord { x: 0.0, y: along },
        };
        ViewDimension {
            from: at(from),
            to: at(to),
            level: Some(level),
            measured_mm: (to - from).abs(),
            text: Some(text.to_owned()),
            source: 0,
        }
    };
    written.split(", ").map(one).collect()
}

/// A cell that the list's reader could make nothing of.
fn unread(job: &mut Job, line: usize, dimension: Dimension) {
    let column = if dimension == Dimension::Quantity {
        3
    } else {
        4
    };
    job.lists[0].problems.push(Problem {
        source: RowSource {
            file: "list.csv".into(),
            sheet: None,
            line,
        },
        column: Some(column),
        text: "?".to_owned(),
        message: "'?' is no figure".to_owned(),
        advice: "write one".to_owned(),
        dimension: Some(dimension),
    });
}

/// A view of the first cabinet with nothing in it.
fn view(kind: ViewKind) -> View {
    let mut view = super::super::causes::lying_view("", 0.0);
    view.kind = kind;
    view.dimensions.clear();
    view
}

fn uncounted(job: &mut Job, what: &str, why: &str, or_fewer: bool) {
    let role: Role = role(what).unwrap();
    let why = why.to_owned();
    let doubt = Uncounted {
        role,
        why,
        or_fewer,
    };
    job.cabinets[0].uncounted.push(doubt);
}

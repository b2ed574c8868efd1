//! Pictures of what was recognised: each view with its parts, the sizes
//! measured in it, and the lines nothing was made of. For trusting the
//! measuring, or for seeing where the job file has to help.

use super::size::Printer;
use super::svg::{Canvas, Ink, Mark, STYLE, escape};
use super::text::page::wrap;
use super::words;
use crate::audit::Job;
use crate::cabinet::{DrawnPart, Measured, MeasuredCabinet, Span};
use crate::linework::CleanLine;
use crate::trade::Axis;
use crate::view::{Scale, View, ViewId, ViewKind};
use geo::{Rect, coord};
use std::fmt::Write as _;

/// What a picture is written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// All views one below the other.
    Svg,
    /// A page with the parts of each view listed beside it.
    Html,
}

/// The picture of all views of a job.
pub fn render(job: &Job, format: Format) -> String {
    let sizes = Printer::of(job);
    match format {
        Format::Svg => svg(job, sizes),
        Format::Html => html(job, sizes),
    }
}

/// One view as an `<svg>` element for a page that holds [`STYLE`].
pub fn picture_of_view(job: &Job, id: ViewId) -> String {
    if id >= job.views.views.len() {
        return String::new();
    }
    paint(job, id, Printer::of(job)).element
}

/// One view, painted.
struct Painted {
    title: String,
    /// Why nothing was measured in it.
    unread: Option<String>,
    element: String,
    width: f64,
    height: f64,
    /// Number, name and sizes of the parts shown.
    parts: Vec<(usize, String)>,
    notes: Vec<String>,
}

fn paint_all(job: &Job, sizes: Printer) -> Vec<Painted> {
    (0..job.views.views.len())
        .map(|id| paint(job, id, sizes))
        .collect()
}

fn paint(job: &Job, id: ViewId, sizes: Printer) -> Painted {
    let view = &job.views.views[id];
    let mut canvas = Canvas::new(view.extents);
    let shown: Vec<&MeasuredCabinet> = job
        .cabinets
        .iter()
        .filter(|c| c.views.contains(&id))
        .collect();
    let mut parts = Vec::new();
    let mut areas: Vec<(Rect<f64>, usize)> = Vec::new();
    let mut number = 0;
    for cabinet in &shown {
        for part in &cabinet.parts {
            number += 1;
            if let Some(area) = area(cabinet, part, id) {
                canvas.area(
                    area,
                    Ink::Plain,
                    &format!("{number} {}: {}", part.name, part.evidence),
                );
                areas.push((area, number));
                parts.push((number, described(part, sizes)));
            }
        }
    }
    // The smallest has the least room for its number.
    let size = |area: &Rect<f64>| area.width() * area.height();
    areas.sort_by(|a, b| size(&a.0).total_cmp(&size(&b.0)).then(a.1.cmp(&b.1)));
    for (area, number) in areas {
        canvas.number_in(area, &number.to_string(), Ink::Plain);
    }
    let unread = unread(view, &shown, id);
    if unread.is_some() {
        // To be looked at all the same: nothing in it is fainter than the rest.
        canvas.linework(&view.linework);
    } else {
        lines(&mut canvas, view, &shown, id);
    }
    let mut notes = notes(view);
    for cabinet in &shown {
        measures(&mut canvas, cabinet, id, sizes);
        for conflict in cabinet.conflicts.iter().filter(|c| c.view == id) {
            notes.push(conflict.sentence.clone());
        }
    }
    let title = words::view(job, id);
    let names: Vec<&str> = parts.iter().map(|(_, text)| text.as_str()).collect();
    let element = canvas.element(&format!("v{id}"), &title, &names.join("; "));
    let (width, height) = extent(&element);
    Painted {
        title,
        unread,
        element,
        width,
        height,
        parts,
        notes,
    }
}

/// Lines of the view: those of recognised parts in full, others faint.
fn lines(canvas: &mut Canvas, view: &View, shown: &[&MeasuredCabinet], id: ViewId) {
    let known: Vec<&CleanLine> = shown
        .iter()
        .flat_map(|cabinet| &cabinet.parts)
        .flat_map(|part| [&part.across, &part.deep, &part.high])
        .flatten()
        .filter(|span| span.view == id)
        .flat_map(|span| [&span.lo.line, &span.hi.line])
        .collect();
    // Parts share positions: a line at a recognised position belongs to one.
    let at = |line: &CleanLine| -> Option<(bool, i64)> {
        let upright = (line.a.x - line.b.x).abs() < 1e-6;
        let level = (line.a.y - line.b.y).abs() < 1e-6;
        let key = |p: f64| (p * 100.0).round() as i64;
        match (upright, level) {
            (true, false) => Some((true, key(line.a.x))),
            (false, true) => Some((false, key(line.a.y))),
            _ => None,
        }
    };
    let positions: std::collections::BTreeSet<(bool, i64)> =
        known.into_iter().filter_map(at).collect();
    let all = view.linework.uprights.iter().chain(&view.linework.levels);
    for line in all {
        let ink = match at(line) {
            Some(position) if !positions.contains(&position) => Ink::Faint,
            _ if line.hidden => Ink::Hidden,
            _ => Ink::Edge,
        };
        canvas.line(line, ink);
    }
    for line in &view.linework.slanted {
        canvas.line(line, Ink::Faint);
    }
    for arc in &view.arcs {
        if arc.full {
            canvas.circle(arc.centre, arc.radius, Ink::Faint);
        }
    }
}

/// The part's rectangle in the view, when the view shows any of its sides.
fn area(cabinet: &MeasuredCabinet, part: &DrawnPart, id: ViewId) -> Option<Rect<f64>> {
    let own = |span: &Option<Span>| span.as_ref().is_some_and(|span| span.view == id);
    if !(own(&part.across) || own(&part.deep) || own(&part.high)) {
        return None;
    }
    let mut x: Option<(f64, f64)> = None;
    let mut y: Option<(f64, f64)> = None;
    for axis in Axis::ALL {
        let Some(span) = part.span(axis) else {
            continue;
        };
        let Some(place) = Place::of(cabinet, id, axis) else {
            continue;
        };
        let range = (place.at(span.lo.at), place.at(span.hi.at));
        let range = (range.0.min(range.1), range.0.max(range.1));
        if place.upright {
            x = Some(range)
        } else {
            y = Some(range)
        }
    }
    let (x, y) = (x?, y?);
    Some(Rect::new(
        coord! { x: x.0, y: y.0 },
        coord! { x: x.1, y: y.1 },
    ))
}

/// How positions along an axis of the cabinet lie in a view.
struct Place {
    /// Positions are x of upright lines, else y of level ones.
    upright: bool,
    sign: f64,
    offset: f64,
}

impl Place {
    fn of(cabinet: &MeasuredCabinet, id: ViewId, axis: Axis) -> Option<Place> {
        let coordinate = |line: &CleanLine| -> (bool, f64) {
            if (line.a.x - line.b.x).abs() < (line.a.y - line.b.y).abs() {
                (true, line.a.x)
            } else {
                (false, line.a.y)
            }
        };
        let mut edges = cabinet
            .edges
            .iter()
            .filter(|(view, along, _)| *view == id && *along == axis)
            .map(|(_, _, edge)| (edge.at, coordinate(&edge.line)));
        let first = edges.next()?;
        let last = edges.next_back()?;
        let sign = if (last.1.1 - first.1.1) * (last.0 - first.0) < 0.0 {
            -1.0
        } else {
            1.0
        };
        Some(Place {
            upright: first.1.0,
            sign,
            offset: first.1.1 - sign * first.0,
        })
    }

    fn at(&self, p: f64) -> f64 {
        self.sign * p + self.offset
    }
}

/// Overall and interior sizes measured in the view, dimensioned outside of it.
fn measures(canvas: &mut Canvas, cabinet: &MeasuredCabinet, id: ViewId, sizes: Printer) {
    let all = [
        (&cabinet.interior, "interior ", Ink::Plain),
        (&cabinet.overall, "", Ink::Drawn),
    ];
    for (three, word, ink) in all {
        for (what, measured) in [
            ("width", &three.width),
            ("height", &three.height),
            ("depth", &three.depth),
        ] {
            let Measured::Known(measure) = measured else {
                continue;
            };
            let span = &measure.span;
            if span.view != id {
                continue;
            }
            let label = format!("{} {word}{what} {}", cabinet.id, sizes.size(span.length()));
            if let Some(mark) = Mark::between(&span.lo.line, &span.hi.line, label, ink) {
                canvas.dimension(mark);
            }
        }
    }
}

fn described(part: &DrawnPart, sizes: Printer) -> String {
    let mut text = part.name.clone();
    for axis in Axis::ALL {
        if let Some(span) = part.span(axis) {
            let at_least = if span.is_lower_bound() {
                "at least "
            } else {
                ""
            };
            let _ = write!(
                text,
                ", {at_least}{} {}",
                sizes.size(span.length()),
                axis.word()
            );
        }
    }
    text
}

/// Why nothing was measured in a view, for the caption above it.
fn unread(view: &View, shown: &[&MeasuredCabinet], id: ViewId) -> Option<String> {
    let flat = |part: &DrawnPart| {
        part.flat
            && Axis::ALL
                .iter()
                .any(|a| part.span(*a).is_some_and(|s| s.view == id))
    };
    let read = |cabinet: &&MeasuredCabinet| {
        cabinet.edges.iter().any(|(view, _, _)| *view == id) || cabinet.parts.iter().any(flat)
    };
    if let Scale::Unknown { reason } = &view.scale {
        Some(format!("Not measured, its scale is not known: {reason}"))
    } else if view.kind == ViewKind::Unknown {
        Some(format!("Not measured: {}", view.kind_evidence))
    } else if view.cabinets.is_empty() {
        Some("Not measured: no cabinet's name stands with it".to_owned())
    } else if !shown.iter().any(read) {
        Some(format!(
            "Not measured: it could not be read as a view of {}",
            view.cabinets.join(", ")
        ))
    } else {
        None
    }
}

/// How the kind and the scale of a view are known.
fn notes(view: &View) -> Vec<String> {
    let mut notes = Vec::new();
    if view.kind != ViewKind::Unknown {
        notes.push(format!("kind: {}", view.kind_evidence));
    }
    if let Scale::Known { evidence, .. } = &view.scale {
        notes.extend(evidence.iter().map(|e| format!("scale: {e}")));
    }
    notes
}

/// Width and height the painter gave its element, pixels.
fn extent(element: &str) -> (f64, f64) {
    let head = element.split('>').next().unwrap_or_default();
    let value = |name: &str| -> f64 {
        head.split(&format!(" {name}=\""))
            .nth(1)
            .and_then(|rest| rest.split('"').next())
            .and_then(|text| text.parse().ok())
            .unwrap_or(0.0)
    };
    (value("width"), value("height"))
}

const GAP: f64 = 24.0;
const LINE: f64 = 16.0;

fn svg(job: &Job, sizes: Printer) -> String {
    let views = paint_all(job, sizes);
    let mut body = String::new();
    let (mut y, mut widest) = (GAP, 0.0_f64);
    for view in &views {
        let _ = write!(
            body,
            r#"<text x="{GAP}" y="{:.1}" class="title">{}</text>"#,
            y + LINE,
            escape(&view.title)
        );
        y += LINE + 8.0;
        for line in view.unread.iter().flat_map(|why| wrap(why, WIDE, WIDE)) {
            y += LINE;
            let _ = write!(
                body,
                r#"<text x="{GAP}" y="{y:.1}" class="unread">{}</text>"#,
                escape(&line)
            );
            widest = widest.max(GAP + CHARACTER * line.chars().count() as f64);
        }
        let placed = format!(r#"<svg x="{GAP}" y="{y:.1}" "#);
        body.push_str(&view.element.replacen("<svg ", &placed, 1));
        let beside = GAP + view.width + GAP;
        let parts = view
            .parts
            .iter()
            .map(|(number, text)| format!("{number} {text}"));
        let mut down = y + LINE;
        for text in parts.chain(view.notes.iter().cloned()) {
            down = listed(&mut body, beside, down, &text);
        }
        widest = widest.max(beside + CHARACTER * NARROW as f64);
        y = down.max(y + view.height) + GAP;
    }
    let left_out = left_out(job);
    if !left_out.is_empty() {
        let _ = write!(
            body,
            r#"<text x="{GAP}" y="{:.1}" class="title">Left out</text>"#,
            y + LINE
        );
        y += 2.5 * LINE;
        for text in left_out {
            y = listed(&mut body, GAP, y, &text);
        }
        y += GAP;
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {widest:.1} {y:.1}\" width=\"{widest:.1}\" height=\"{y:.1}\">\
         <style>{STYLE}{LIST}</style><rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>{body}</svg>\n"
    )
}

/// Writes a line of a list, broken where it gets long, and gives the place of the next.
fn listed(body: &mut String, x: f64, mut y: f64, text: &str) -> f64 {
    for (index, line) in wrap(text, NARROW, NARROW - 2).iter().enumerate() {
        let _ = write!(
            body,
            r#"<text x="{:.1}" y="{y:.1}" class="list">{}</text>"#,
            if index == 0 { x } else { x + 2.0 * CHARACTER },
            escape(line)
        );
        y += LINE;
    }
    y
}

/// Characters in a line beside a picture, and in one above it.
const NARROW: usize = 64;
const WIDE: usize = 110;
/// Rough width of a character of a list, pixels.
const CHARACTER: f64 = 6.5;

const LIST: &str = "text{font-family:system-ui,sans-serif;fill:#123}.title{font-size:15px;font-weight:600}.list{font-size:12px}.unread{font-size:12px;fill:#9a1c12}";

fn html(job: &Job, sizes: Printer) -> String {
    let mut body = String::new();
    for view in &paint_all(job, sizes) {
        let _ = write!(
            body,
            "<section><h2>{}</h2><div class=\"pair\"><figure>{}</figure><div>",
            escape(&view.title),
            view.element
        );
        if let Some(why) = &view.unread {
            let _ = write!(body, "<p class=\"unread\">{}</p>", escape(why));
        }
        if !view.parts.is_empty() {
            body.push_str("<dl>");
            for (number, text) in &view.parts {
                let _ = write!(body, "<dt>{number}</dt><dd>{}</dd>", escape(text));
            }
            body.push_str("</dl>");
        }
        body.push_str("<ul>");
        for note in &view.notes {
            let _ = write!(body, "<li>{}</li>", escape(note));
        }
        body.push_str("</ul></div></div></section>");
    }
    let left_out = left_out(job);
    if !left_out.is_empty() {
        body.push_str("<section><h2>Left out</h2><ul>");
        for text in left_out {
            let _ = write!(body, "<li>{}</li>", escape(&text));
        }
        body.push_str("</ul></section>");
    }
    format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\">\
         <title>What was measured: {0}</title><style>{STYLE}{PAGE}</style></head><body><h1>What was measured: {0}</h1>\
         <p>Lines that nothing was made of are faint; hidden edges are dashed.</p>{body}</body></html>\n",
        escape(&job.name)
    )
}

const PAGE: &str = "body{font:15px/1.4 system-ui,sans-serif;margin:1.5rem;color:#123}h1{font-size:1.4rem}h2{font-size:1.1rem}\
figure{margin:0;flex:none;max-width:100%}.pair{display:flex;flex-wrap:wrap;gap:1.5rem}.pair>div{flex:1 1 20rem;min-width:0}.unread{color:#9a1c12;margin:0 0 .5rem}dl{display:grid;grid-template-columns:auto 1fr;gap:.1rem .6rem;margin:0}\
dt{font-weight:600;text-align:right}dd{margin:0}section{break-inside:avoid;border-top:1px solid #ccd;padding-bottom:1rem}";

/// "sheet border in glaze.dxf, 4 lines".
pub fn left_out(job: &Job) -> Vec<String> {
    job.views
        .left_out
        .iter()
        .map(|group| {
            let file = job
                .sheets
                .get(group.sheet)
                .map_or("", |sheet| words::file_name(&sheet.file));
            format!(
                "{}: {} in {file}",
                group.reason,
                words::count(group.primitives, "line")
            )
        })
        .collect()
}

//! What was measured, as text and as JSON: views, cabinets, sizes, parts.

use super::picture::left_out;
use super::size::Printer;
use super::words;
use crate::audit::Job;
use crate::cabinet::{Measured, MeasuredCabinet, Opening, Sizes, Span, Style};
use crate::trade::Axis;
use crate::view::Scale;
use serde_json::{Value, json};
use std::fmt::Write as _;

/// The version of the JSON shape.
pub const SCHEMA: &str = "dryfit-measured/1";

fn style(style: Style) -> &'static str {
    match style {
        Style::FaceFrame => "face frame",
        Style::Frameless => "frameless",
        Style::Unknown => "frame not told",
    }
}

fn three(sizes: &Sizes) -> [(&'static str, &Measured); 3] {
    [
        ("width", &sizes.width),
        ("height", &sizes.height),
        ("depth", &sizes.depth),
    ]
}

/// For a terminal, 80 columns.
pub fn text(job: &Job) -> String {
    let sizes = Printer::of(job);
    let mut out = String::new();
    for (id, view) in job.views.views.iter().enumerate() {
        let _ = writeln!(
            out,
            "View {}: {}",
            id + 1,
            words::printable(&words::view(job, id))
        );
        line(&mut out, 2, &format!("kind: {}", view.kind_evidence));
        match &view.scale {
            Scale::Known { evidence, .. } => {
                for text in evidence {
                    line(&mut out, 2, &format!("scale: {text}"));
                }
            }
            Scale::Unknown { reason } => line(&mut out, 2, &format!("not measured: {reason}")),
        }
    }
    for cabinet in &job.cabinets {
        out.push('\n');
        cabinet_text(&mut out, job, cabinet, sizes);
    }
    if job.cabinets.is_empty() {
        out.push_str("\nNo cabinet was measured.\n");
    }
    let left: Vec<String> = left_out(job);
    if !left.is_empty() {
        out.push_str("\nLeft out\n");
        for text in left {
            line(&mut out, 2, &text);
        }
    }
    for (sheet, sentence) in &job.views.conflicts {
        let file = job
            .sheets
            .get(*sheet)
            .map_or("", |sheet| words::file_name(&sheet.file));
        line(&mut out, 0, &format!("{file}: {sentence}"));
    }
    for problem in &job.unusable {
        line(
            &mut out,
            0,
            &format!("{}: {}", problem.file, problem.message),
        );
    }
    out
}

fn cabinet_text(out: &mut String, job: &Job, cabinet: &MeasuredCabinet, sizes: Printer) {
    let also = if cabinet.same_as.is_empty() {
        String::new()
    } else {
        format!(", {}", cabinet.same_as.join(", "))
    };
    let _ = writeln!(
        out,
        "{}{also} ({})",
        words::printable(&cabinet.id),
        style(cabinet.style)
    );
    for (word, three_sizes) in [
        ("overall", &cabinet.overall),
        ("interior", &cabinet.interior),
    ] {
        for (what, measured) in three(three_sizes) {
            let label = format!("{word} {what}");
            match measured {
                Measured::Known(measure) => {
                    let note = measure
                        .note
                        .as_ref()
                        .map_or(String::new(), |note| format!(" ({note})"));
                    line(
                        out,
                        2,
                        &format!("{label}: {}{note}", sizes.size(measure.span.length())),
                    );
                    let between = words::between(job, &measure.span);
                    line(
                        out,
                        6,
                        &format!("{between}, in {}", words::view(job, measure.span.view)),
                    );
                }
                Measured::Unknown { reason } => {
                    line(out, 2, &format!("{label}: not measured: {reason}"))
                }
            }
        }
    }
    for named in &cabinet.named {
        line(
            out,
            2,
            &format!(
                "{}: {}",
                named.name,
                sizes.size(named.measure.span.length())
            ),
        );
    }
    for part in &cabinet.parts {
        let mut text = part.name.clone();
        for axis in Axis::ALL {
            if let Some(span) = part.span(axis) {
                let least = if span.is_lower_bound() {
                    "at least "
                } else {
                    ""
                };
                let _ = write!(
                    text,
                    ", {least}{} {}",
                    sizes.size(span.length()),
                    axis.word()
                );
            }
        }
        line(out, 2, &text);
    }
    for opening in &cabinet.openings {
        let size = |span: &Option<Span>| {
            span.as_ref()
                .map_or("?".to_owned(), |s| sizes.size(s.length()))
        };
        line(
            out,
            2,
            &format!(
                "{}: {} wide, {} high",
                opening.name,
                size(&opening.across),
                size(&opening.high)
            ),
        );
    }
    for conflict in &cabinet.conflicts {
        line(out, 2, &format!("contradiction: {}", conflict.sentence));
    }
}

/// One paragraph, wrapped at 80 columns with a hanging indent.
fn line(out: &mut String, indent: usize, text: &str) {
    const WIDTH: usize = 80;
    let text = words::printable(text);
    let mut column = 0;
    let mut first = true;
    for word in text.split(' ') {
        let length = word.chars().count();
        if first || column + 1 + length > WIDTH {
            if !first {
                out.push('\n');
            }
            let margin = if first { indent } else { indent + 4 };
            out.extend(std::iter::repeat_n(' ', margin));
            column = margin;
            first = false;
        } else {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out.push('\n');
}

/// For programs.
pub fn json(job: &Job) -> String {
    let views: Vec<Value> = job
        .views
        .views
        .iter()
        .enumerate()
        .map(|(id, view)| {
            let (mm, evidence, reason) = match &view.scale {
                Scale::Known {
                    mm_per_unit,
                    evidence,
                } => (Some(*mm_per_unit), evidence.clone(), None),
                Scale::Unknown { reason } => (None, Vec::new(), Some(reason)),
            };
            json!({
                "view": words::view(job, id),
                "kind": words::view_kind(view.kind),
                "kind_evidence": view.kind_evidence,
                "cabinets": view.cabinets,
                "mm_per_unit": mm,
                "scale_evidence": evidence,
                "reason": reason,
            })
        })
        .collect();
    let cabinets: Vec<Value> = job.cabinets.iter().map(|c| cabinet_json(job, c)).collect();
    let document = json!({
        "schema": SCHEMA,
        "program": concat!("dryfit ", env!("CARGO_PKG_VERSION")),
        "job": job.name,
        "views": views,
        "cabinets": cabinets,
        "left_out": left_out(job),
        "conflicts": job.views.conflicts.iter().map(|(_, sentence)| sentence).collect::<Vec<_>>(),
        "unusable": job.unusable.iter().map(|p| json!({"file": p.file, "message": p.message})).collect::<Vec<_>>(),
    });
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

fn span_json(job: &Job, span: &Span) -> Value {
    json!({
        "mm": rounded(span.mm()),
        "from_mm": rounded(span.lo.at),
        "to_mm": rounded(span.hi.at),
        "view": words::view(job, span.view),
        "source": words::between(job, span),
        "at_least": span.is_lower_bound(),
    })
}

/// To a thousandth of a micrometre: noise of sums beyond that says nothing.
fn rounded(mm: f64) -> f64 {
    (mm * 1e6).round() / 1e6
}

fn cabinet_json(job: &Job, cabinet: &MeasuredCabinet) -> Value {
    let sizes = |three_sizes: &Sizes| -> Value {
        let entries = three(three_sizes).map(|(what, measured)| {
            let value = match measured {
                Measured::Known(measure) => {
                    let mut value = span_json(job, &measure.span);
                    value["note"] = json!(measure.note);
                    value
                }
                Measured::Unknown { reason } => json!({"mm": null, "reason": reason}),
            };
            (what.to_owned(), value)
        });
        Value::Object(entries.into_iter().collect())
    };
    let optional = |span: &Option<Span>| span.as_ref().map_or(Value::Null, |s| span_json(job, s));
    json!({
        "id": cabinet.id,
        "same_as": cabinet.same_as,
        "style": style(cabinet.style),
        "overall": sizes(&cabinet.overall),
        "interior": sizes(&cabinet.interior),
        "named": cabinet.named.iter().map(|named| {
            let mut value = span_json(job, &named.measure.span);
            value["name"] = json!(named.name);
            value
        }).collect::<Vec<_>>(),
        "parts": cabinet.parts.iter().map(|part| json!({
            "name": part.name,
            "role": part.role.word(),
            "across": optional(&part.across),
            "deep": optional(&part.deep),
            "high": optional(&part.high),
            "evidence": part.evidence,
            "opening": part.opening,
            "flat": part.flat,
        })).collect::<Vec<_>>(),
        "openings": cabinet.openings.iter().map(|opening: &Opening| json!({
            "name": opening.name,
            "in_frame": opening.in_frame,
            "across": optional(&opening.across),
            "high": optional(&opening.high),
        })).collect::<Vec<_>>(),
        "conflicts": cabinet.conflicts.iter().map(|c| &c.sentence).collect::<Vec<_>>(),
    })
}

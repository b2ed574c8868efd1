//! TEXT, ATTRIB, MTEXT and the text of a MULTILEADER.

use crate::drawing::Point;
use crate::drawing::encoding::CodePage;
use crate::drawing::plain;
use crate::drawing::record::Record;
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{Shape, TextShape};
use crate::drawing::vector::{self, Affine};

/// Width of an average letter over cap height: plain drawing fonts lie between
/// 0.7 and 0.9 (from memory). Only used to find the middle of a text.
const LETTER: f64 = 0.8;

/// Line distance over cap height (DXF Reference, MTEXT group 44: 5/3 of it).
const LINE: f64 = 5.0 / 3.0;

fn blank(text: &str) -> Result<(), Refusal> {
    if text.trim().is_empty() {
        return Err(Refusal::Nothing("blank text"));
    }
    Ok(())
}

fn width_of(text: &str, height: f64) -> f64 {
    let longest = text.lines().map(|line| line.chars().count()).max();
    #[allow(clippy::cast_precision_loss)]
    let letters = longest.unwrap_or(0) as f64;
    letters * height * LETTER
}

pub fn text(record: &Record, page: &CodePage) -> Result<Shape, Refusal> {
    line_of_text(record, page, 73)
}

/// As TEXT, but the vertical alignment is group 74.
pub fn attribute(record: &Record, page: &CodePage) -> Result<Shape, Refusal> {
    if record.int_or(70, 0)? & 1 != 0 {
        return Err(Refusal::Nothing("invisible attribute"));
    }
    line_of_text(record, page, 74)
}

fn line_of_text(record: &Record, page: &CodePage, vertical: i32) -> Result<Shape, Refusal> {
    let raw = record.text(1).ok_or(Refusal::Missing(1))?;
    let text = plain::text(&page.decode(raw));
    blank(&text)?;
    let height = record.real_or(40, 0.0)?.abs();
    let factor = record.real_or(41, 1.0)?;
    let turn = record.real_or(50, 0.0)?.to_radians();
    let first = record.needed_point(10)?;
    let (across, up) = (record.int_or(72, 0)?, record.int_or(vertical, 0)?);
    let second = record.point(11)?;
    let (sin, cos) = turn.sin_cos();
    let mut along = [cos, sin, 0.0];
    let mut half = width_of(&text, height) * factor / 2.0;
    // Share of the box left of and below the alignment point (DXF Reference,
    // TEXT groups 72 and 73).
    let (anchor, left, below) = match (across, up, second) {
        (3 | 5, _, Some(second)) => {
            let between = vector::sub(second, first);
            along = vector::unit(between).unwrap_or(along);
            half = vector::length(between) / 2.0;
            (first, 0.0, 0.0)
        }
        (4, 0, Some(second)) => (second, 0.5, 0.5),
        (0, 0, _) | (_, _, None) => (first, 0.0, 0.0),
        (across, up, Some(second)) => {
            let left = match across {
                1 | 4 => 0.5,
                2 => 1.0,
                _ => 0.0,
            };
            let below = match up {
                2 => 0.5,
                3 => 1.0,
                _ => 0.0,
            };
            (second, left, below)
        }
    };
    let [ax, ay, _] = along;
    let over = [-ay, ax, 0.0];
    let middle = vector::add(
        anchor,
        vector::add(
            vector::scale(along, half * (1.0 - 2.0 * left)),
            vector::scale(over, height * (0.5 - below)),
        ),
    );
    let ocs = Affine::from_ocs(record.normal()?);
    Ok(Shape::Text(Box::new(TextShape {
        text,
        at: ocs.point(middle),
        anchor: ocs.point(anchor),
        along: ocs.vector(along),
        up: ocs.vector(vector::scale(over, height)),
    })))
}

/// Groups 3 hold the pieces before the last, group 1 the last.
fn joined(record: &Record, before: i32, last: i32, page: &CodePage) -> String {
    let mut bytes = Vec::new();
    for field in record.own() {
        if field.code == before || field.code == last {
            bytes.extend_from_slice(field.text().unwrap_or_default());
        }
    }
    plain::mtext(&page.decode(&bytes))
}

pub fn mtext(record: &Record, page: &CodePage) -> Result<Shape, Refusal> {
    let text = joined(record, 3, 1, page);
    blank(&text)?;
    let normal = record.normal()?;
    // Group 11 and group 50 both turn the text; the later one counts.
    let mut along = None;
    let mut vector_given = None;
    for field in record.own() {
        match field.code {
            11 => vector_given = record.point(11)?,
            50 => {
                let (sin, cos) = field.real()?.to_radians().sin_cos();
                along = Some(Affine::from_ocs(normal).vector([cos, sin, 0.0]));
                vector_given = None;
            }
            _ => {}
        }
    }
    let along = vector_given.or(along);
    placed(
        text,
        record.needed_point(10)?,
        record.real_or(40, 0.0)?.abs(),
        along,
        normal,
        record.int_or(71, 1)?,
        record.real_or(44, 1.0)?,
    )
}

/// Attachment points run 1 to 9 row by row from the top left.
fn placed(
    text: String,
    at: Point,
    height: f64,
    along: Option<Point>,
    normal: Point,
    attachment: i64,
    spacing: f64,
) -> Result<Shape, Refusal> {
    let ocs = Affine::from_ocs(normal);
    let along = along.and_then(vector::unit).unwrap_or(ocs.x);
    let over = vector::unit(vector::cross(ocs.z, along)).unwrap_or(ocs.y);
    #[allow(clippy::cast_precision_loss)]
    let more_lines = text.trim_end().lines().count().saturating_sub(1) as f64;
    let depth = height * (1.0 + more_lines * LINE * spacing.clamp(0.25, 4.0));
    let (right, down) = match attachment {
        2 => (0.0, 0.5),
        3 => (-0.5, 0.5),
        4 => (0.5, 0.0),
        5 => (0.0, 0.0),
        6 => (-0.5, 0.0),
        7 => (0.5, -0.5),
        8 => (0.0, -0.5),
        9 => (-0.5, -0.5),
        _ => (0.5, 0.5),
    };
    let width = width_of(&text, height);
    let middle = vector::add(
        at,
        vector::add(
            vector::scale(along, right * width),
            vector::scale(over, -down * depth),
        ),
    );
    Ok(Shape::Text(Box::new(TextShape {
        text,
        at: middle,
        anchor: at,
        along,
        up: vector::scale(over, height),
    })))
}

/// Text content of the leader's context data: 304 text, 12 place, 13
/// direction, 41 height (DXF Reference, MLEADER context data).
pub fn multileader(record: &Record, page: &CodePage) -> Result<Shape, Refusal> {
    let raw = record
        .own()
        .filter(|field| field.code == 304)
        .filter_map(|field| field.text())
        .find(|text| !text.trim_ascii().ends_with(b"{"))
        .ok_or(Refusal::Nothing("a leader without text"))?;
    let text = plain::mtext(&page.decode(raw));
    blank(&text)?;
    placed(
        text,
        record.needed_point(12)?,
        record.real_or(41, 0.0)?.abs(),
        record.point(13)?,
        record.point(11)?.unwrap_or(vector::Z),
        record.int_or(171, 1)?.clamp(1, 3),
        1.0,
    )
}

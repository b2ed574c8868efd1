//! DIMENSION: two points, a direction, and what is written at it.

use crate::drawing::definitions::Definitions;
use crate::drawing::plain;
use crate::drawing::record::Record;
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{DimensionShape, Shape};
use crate::drawing::sheet::DimensionKind;
use crate::drawing::vector::{self, Affine};

/// Low three bits of group 70 (DXF Reference, DIMENSION); +32, +64 and +128
/// say other things.
pub fn kind_of(flags: i64) -> Option<DimensionKind> {
    Some(match flags & 7 {
        0 => DimensionKind::Linear,
        1 => DimensionKind::Aligned,
        2 | 5 => DimensionKind::Angular,
        3 => DimensionKind::Diameter,
        4 => DimensionKind::Radius,
        6 => DimensionKind::Ordinate,
        _ => return None,
    })
}

/// What group 1 makes of the measurement.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wording {
    pub text: Option<String>,
    pub around: Option<String>,
    pub suppressed: bool,
}

/// Empty or `<>` shows the measurement, one blank shows nothing, `<>` within
/// stands for the measurement, all else is shown as it is (DXF Reference,
/// DIMENSION group 1).
pub fn wording(raw: &str) -> Wording {
    let mut wording = Wording::default();
    if raw == " " {
        wording.suppressed = true;
    } else if raw.contains("<>") {
        let around = plain::mtext(raw);
        if around.trim() != "<>" {
            wording.around = Some(around);
        }
    } else {
        let text = plain::mtext(raw);
        if !text.trim().is_empty() {
            wording.text = Some(text);
        }
    }
    wording
}

pub fn dimension(record: &Record, definitions: &mut Definitions) -> Result<Shape, Refusal> {
    let flags = record.int_or(70, 0)?;
    let kind = kind_of(flags).ok_or(Refusal::from("its kind is not known"))?;
    let line_at = record.needed_point(10)?;
    let ocs = Affine::from_ocs(record.normal()?);
    let mut opening = 0.0;
    let mut along = None;
    let (from, to) = match kind {
        DimensionKind::Linear | DimensionKind::Aligned => {
            let (from, to) = (record.needed_point(13)?, record.needed_point(14)?);
            if kind == DimensionKind::Linear {
                let (sin, cos) = record.real_or(50, 0.0)?.to_radians().sin_cos();
                along = Some(ocs.vector([cos, sin, 0.0]));
            }
            (from, to)
        }
        DimensionKind::Diameter | DimensionKind::Radius => (line_at, record.needed_point(15)?),
        DimensionKind::Ordinate => {
            // The direction of the axes is turned by minus group 51.
            let turn = -record.real_or(51, 0.0)?.to_radians();
            let (sin, cos) = turn.sin_cos();
            along = Some(ocs.vector(if flags & 64 != 0 {
                [cos, sin, 0.0]
            } else {
                [-sin, cos, 0.0]
            }));
            (line_at, record.needed_point(13)?)
        }
        DimensionKind::Angular => {
            let (a, b) = (record.needed_point(13)?, record.needed_point(14)?);
            opening = if flags & 7 == 5 {
                let vertex = record.needed_point(15)?;
                between(vector::sub(a, vertex), vector::sub(b, vertex))
            } else {
                let other = (record.needed_point(15)?, line_at);
                between(vector::sub(b, a), vector::sub(other.1, other.0))
            };
            (a, b)
        }
    };
    let raw = record.text(1).unwrap_or_default();
    let Wording {
        text,
        around,
        suppressed,
    } = wording(&definitions.page.decode(raw));
    Ok(Shape::Dimension(Box::new(DimensionShape {
        kind,
        from,
        to,
        line_at,
        along,
        opening,
        text,
        around,
        suppressed,
        stated: record.real(42)?.filter(|value| *value > 0.0),
        factor: override_of_factor(record)?,
        style: record
            .text(3)
            .map(|name| definitions.style_names.id(name, &definitions.page)),
        block: record
            .text(2)
            .map(|name| definitions.block_names.id(name, &definitions.page)),
    })))
}

fn between(a: crate::drawing::Point, b: crate::drawing::Point) -> f64 {
    let cross = vector::length(vector::cross(a, b));
    cross.atan2(vector::dot(a, b))
}

/// Overrides of the dimension style: extended data of `ACAD`, after `DSTYLE`
/// pairs of 1070 code and value (DXF Reference, "Dimension Style Overrides").
fn override_of_factor(record: &Record) -> Result<Option<f64>, Refusal> {
    let mut in_acad = false;
    let mut in_style = false;
    let mut code = None;
    for field in record.fields().filter(|field| field.code >= 1000) {
        match (field.code, code.take()) {
            (1001, _) => {
                in_acad = is(field.text(), "ACAD");
                in_style = false;
            }
            (1002, _) => in_style &= !is(field.text(), "}"),
            (1000, None) if in_acad && !in_style => in_style = is(field.text(), "DSTYLE"),
            (1070, None) if in_style => code = Some(field.int()?),
            (1040, Some(144)) => return field.real().map(Some),
            // The value of another override.
            _ => {}
        }
    }
    Ok(None)
}

fn is(text: Option<&[u8]>, word: &str) -> bool {
    text.is_some_and(|text| text.trim_ascii().eq_ignore_ascii_case(word.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// DXF Reference, DIMENSION group 70; sums decoded by hand.
    #[test]
    fn the_low_three_bits_tell_the_kind() {
        for (flags, kind) in [
            (0, DimensionKind::Linear),
            (32, DimensionKind::Linear),
            (33, DimensionKind::Aligned),
            (160, DimensionKind::Linear),
            (34, DimensionKind::Angular),
            (35, DimensionKind::Diameter),
            (36, DimensionKind::Radius),
            (37, DimensionKind::Angular),
            (102, DimensionKind::Ordinate),
            (38, DimensionKind::Ordinate),
        ] {
            assert_eq!(kind_of(flags), Some(kind), "{flags}");
        }
        assert_eq!(kind_of(39), None);
    }

    /// DXF Reference, DIMENSION group 1; the longer samples from public issue
    /// reports of DXF libraries.
    #[test]
    fn override_text() {
        assert_eq!(wording(""), Wording::default());
        assert_eq!(wording("<>"), Wording::default());
        assert_eq!(wording("{\\H2;<>}"), Wording::default());
        assert!(wording(" ").suppressed);
        assert_eq!(wording("<> TYP").around.as_deref(), Some("<> TYP"));
        assert_eq!(
            wording("<>\\Xmin. 320\\P").around.as_deref(),
            Some("<>\nmin. 320\n")
        );
        assert_eq!(wording("35 1/2").text.as_deref(), Some("35 1/2"));
        assert_eq!(wording("\\A1;35\\S1/2;").text.as_deref(), Some("35 1/2"));
    }
}

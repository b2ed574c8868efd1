//! What a drawing unit is worth, with the evidence.

use super::{Hints, Scale};
use crate::drawing::{Evidence, Sheet};
use crate::length::Unit;

/// Millimetres of a `$INSUNITS` code that a cabinet drawing can be in.
/// DXF Reference, header variables.
pub(super) fn header_unit(code: i64) -> Option<(f64, &'static str)> {
    Some(match code {
        1 => (25.4, "inches"),
        2 => (304.8, "feet"),
        4 => (1.0, "millimetres"),
        5 => (10.0, "centimetres"),
        6 => (1000.0, "metres"),
        10 => (914.4, "yards"),
        14 => (100.0, "decimetres"),
        _ => return None,
    })
}

pub(super) fn unit_word(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Foot => "feet",
        Unit::Millimetre => "millimetres",
        Unit::Centimetre => "centimetres",
        Unit::Metre => "metres",
    }
}

/// `$INSUNITS` of a sheet, when it has one.
pub(super) fn header_code(sheet: &Sheet) -> Option<i64> {
    sheet.evidence.iter().find_map(|e| match e {
        Evidence::InsUnits(code) => Some(*code),
        _ => None,
    })
}

/// The scale of a sheet as a whole.
pub(super) fn of_sheet(sheet: &Sheet, hints: &Hints) -> Scale {
    let mut evidence = Vec::new();
    let mm = match (&hints.units, header_code(sheet)) {
        (Some((unit, who)), _) => {
            evidence.push(format!("units: {}, from {who}", unit_word(*unit)));
            unit.mm()
        }
        (None, Some(code)) => match header_unit(code) {
            Some((mm, word)) => {
                evidence.push(format!(
                    "units: the file's header says {word} ($INSUNITS {code})"
                ));
                mm
            }
            None => {
                return Scale::Unknown {
                    reason: format!("the file's header names no usable unit ($INSUNITS {code})"),
                };
            }
        },
        (None, None) => {
            return Scale::Unknown {
                reason: "the file's header names no unit".to_owned(),
            };
        }
    };
    let factor = hints.scale.as_ref().map_or(1.0, |(factor, who)| {
        evidence.push(format!("scale: 1:{factor}, from {who}"));
        *factor
    });
    Scale::Known {
        mm_per_unit: mm * factor,
        evidence,
    }
}

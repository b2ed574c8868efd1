//! Whether a text typed over a distance is rounded as far as the way it is written lets
//! it. `34` may be 34 3/8 to the whole inch, but hardly beside `33 1/2` and `28 1/4`:
//! fractions are reduced, and whole inches are written without any, so the step of a
//! sheet is that of its finest figures. Common practice, no source.

use super::texts::written;
use crate::length::{Length, Parsed};
use crate::view::{Scale, View};
use std::collections::BTreeMap;

/// So many figures show that a sheet is written finer.
const WITNESSES: usize = 2;

/// The typed figures of all sheets whose scale is known.
#[derive(Debug, Default)]
pub(super) struct Rounding {
    sheets: BTreeMap<usize, Sheet>,
}

#[derive(Debug, Default)]
struct Sheet {
    /// What is right.
    right: Vec<Typed>,
    /// What is right only if it is rounded as far as it is written.
    rounded: Vec<Typed>,
}

#[derive(Clone, Copy, Debug)]
struct Typed {
    value: Length,
    drawn: Length,
    step: Length,
    imperial: bool,
}

impl Rounding {
    pub fn of(views: &[View], tolerance: Length) -> Self {
        let mut rounding = Rounding::default();
        for view in views {
            if !matches!(view.scale, Scale::Known { .. }) {
                continue;
            }
            let sheet = rounding.sheets.entry(view.sheet).or_default();
            for dimension in &view.dimensions {
                let drawn = Length::from_mm(dimension.measured_mm).filter(|mm| *mm > Length::ZERO);
                let (Some(drawn), Some(read)) = (drawn, written(dimension)) else {
                    continue;
                };
                let off = (read.length - drawn).abs();
                if off <= tolerance {
                    sheet.right.push(Typed::of(&read, drawn));
                } else if off <= read.step / 2 {
                    sheet.rounded.push(Typed::of(&read, drawn));
                }
            }
        }
        rounding
    }

    /// True for a figure that is off by more than the others of its sheet, and is alone
    /// with it: where several are, whole inches beside fractions are the sheet's way. What
    /// is written finer counts where it is at least half as long, for short pieces are
    /// often written finer than what they are parts of.
    pub fn is_slip(&self, sheet: usize, read: &Parsed, drawn: Length, tolerance: Length) -> bool {
        let Some(sheet) = self.sheets.get(&sheet) else {
            return false;
        };
        let own = Typed::of(read, drawn);
        let same = |other: &Typed| {
            other.value == own.value && (other.drawn - own.drawn).abs() <= tolerance
        };
        if !sheet.rounded.iter().all(same) {
            return false;
        }
        let off = (own.value - own.drawn).abs();
        let mut finer: Vec<Length> = sheet
            .right
            .iter()
            .filter(|other| other.imperial == own.imperial && other.drawn * 2 >= own.drawn)
            .filter(|other| other.step / 2 < off)
            .map(|other| other.value)
            .collect();
        finer.sort_unstable();
        finer.dedup();
        finer.len() >= WITNESSES
    }
}

impl Typed {
    fn of(read: &Parsed, drawn: Length) -> Self {
        Typed {
            value: read.length,
            drawn,
            step: read.step,
            imperial: read.unit.is_imperial(),
        }
    }
}

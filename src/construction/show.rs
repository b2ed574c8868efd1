//! Printing lengths in the job's unit.

use crate::length::{Length, Unit};

/// `34 1/2 in` for inches and feet, `876.3 mm` for metric units.
pub fn length(value: Length, unit: Unit) -> String {
    if unit.is_imperial() {
        inches(value)
    } else {
        let thousandths = value.ticks() / (Length::TICKS_PER_MM / 1000);
        let sign = if thousandths < 0 { "-" } else { "" };
        let (whole, part) = (thousandths.abs() / 1000, thousandths.abs() % 1000);
        let text = format!("{sign}{whole}.{part:03}");
        format!("{} mm", text.trim_end_matches('0').trim_end_matches('.'))
    }
}

fn inches(value: Length) -> String {
    let parts = 128;
    let per = Length::TICKS_PER_INCH / parts;
    let count = (value.ticks().saturating_mul(2) + per * value.ticks().signum()) / (per * 2);
    let left = (value - Length::from_ticks(count * per)).abs();
    if left > Length::from_ticks(400) {
        return format!("{:.4} in", value.inches());
    }
    let sign = if count < 0 { "-" } else { "" };
    let (whole, mut over, mut under) = (count.abs() / parts, count.abs() % parts, parts);
    while over != 0 && over % 2 == 0 {
        over /= 2;
        under /= 2;
    }
    match (whole, over) {
        (whole, 0) => format!("{sign}{whole} in"),
        (0, over) => format!("{sign}{over}/{under} in"),
        (whole, over) => format!("{sign}{whole} {over}/{under} in"),
    }
}

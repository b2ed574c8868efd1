//! Names and true thicknesses of sheet stock.

use crate::length::Length;

/// Largest difference in thickness that passes: 1/32 in, the tolerance of
/// unsanded plywood of 13/16 in and less (PS 1-19, thickness tolerances).
pub(super) const STOCK_TOLERANCE: Length = Length::from_ticks(Length::TICKS_PER_INCH / 32);

/// Name of a stock, and the thinnest and thickest sheet sold by it, in 1/1000 mm.
/// 3/4: 23/32 in and 18 mm for construction and imported panels, down to 45/64 in
/// by ANSI/HPVA HP-1 (+0 / -3/64 in); the others follow PS 1-19 performance
/// categories (15/32, 19/32) and metric sheets sold for them (12, 15, 5.2 mm),
/// which is common practice, no source.
const STOCKS: [(i64, i64, i64); 5] = [
    (19_050, 17_800, 19_100),
    (15_875, 15_000, 16_100),
    (12_700, 11_800, 12_800),
    (9_525, 8_900, 9_600),
    (6_350, 5_100, 6_450),
];

fn ticks(thousandths: i64) -> i64 {
    thousandths * Length::TICKS_PER_MM / 1000
}

/// True when a sheet of the true thickness is sold under the listed one.
pub(super) fn is_name_of(listed: Length, actual: Length) -> bool {
    names(actual).any(|name| (name - listed).abs().ticks() <= ticks(60))
}

/// Names a sheet of this true thickness may be sold by.
pub(super) fn names(actual: Length) -> impl Iterator<Item = Length> {
    STOCKS
        .into_iter()
        .filter(move |(_, thin, thick)| (ticks(*thin)..=ticks(*thick)).contains(&actual.ticks()))
        .map(|(name, _, _)| Length::from_ticks(ticks(name)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f64) -> Length {
        Length::from_mm(value).unwrap()
    }

    #[test]
    fn stock_is_listed_by_its_name() {
        assert!(is_name_of(mm(19.05), mm(18.25625)));
        assert!(is_name_of(mm(19.05), mm(18.0)));
        assert!(is_name_of(mm(6.35), mm(5.2)));
        assert!(!is_name_of(mm(19.05), mm(16.0)));
        assert!(!is_name_of(mm(18.0), mm(19.05)));
        // 3 5/8 listed for 5/8: a slip, not a name
        assert!(!is_name_of(mm(92.075), mm(15.875)));
    }
}

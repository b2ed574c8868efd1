//! Cells that are neither names nor sizes: counts, grain, edge band, hand.

use super::types::{Band, Grain, Hand};
use crate::length::{Length, Unit, parse};
use crate::trade::{Axis, Role};

/// Largest count believed.
const MOST: u32 = 100_000;

/// A count: `2`, `2 pcs`, `x2`, `(2)`, `2.0`, `1 pair`, `1L + 1R`. `None` when it is none.
pub(super) fn count(text: &str) -> Option<u32> {
    let lower = text.trim().to_lowercase();
    let mut total: u32 = 0;
    let mut numbers = 0;
    let mut pairs = false;
    for word in lower.split(|c: char| c.is_whitespace() || matches!(c, '+' | '&' | '(' | ')' | '/'))
    {
        let digits = word.trim_matches(|c: char| c.is_alphabetic() || c == '×');
        let letters: String = word
            .chars()
            .filter(|c| c.is_alphabetic() || *c == '×')
            .collect();
        match letters.as_str() {
            "" | "x" | "×" | "pc" | "pcs" | "piece" | "pieces" | "ea" | "each" | "off" | "no"
            | "nos" | "l" | "r" | "lh" | "rh" | "left" | "right" | "st" | "stk" | "and" | "of"
            | "qty" => {}
            "pr" | "prs" | "pair" | "pairs" => pairs = true,
            _ => return None,
        }
        if digits.is_empty() {
            continue;
        }
        let whole = match digits.split_once(['.', ',']) {
            Some((whole, zeros)) if zeros.bytes().all(|b| b == b'0') => whole,
            Some(_) => return None,
            None => digits,
        };
        total = total.checked_add(whole.parse().ok()?)?;
        numbers += 1;
    }
    // `2 L / 2 R` is a sum; `1/2` is no count.
    if lower.contains('/') && !has_hands(&lower) {
        return None;
    }
    let summed = lower.contains(['+', '&', '/']) || lower.contains(" and ");
    if numbers == 0 || total == 0 || total > MOST || (numbers > 1 && !summed && !has_hands(&lower))
    {
        return None;
    }
    if pairs {
        total.checked_mul(2)
    } else {
        Some(total)
    }
}

fn has_hands(lower: &str) -> bool {
    lower.contains('l') && lower.contains('r')
}

/// A count that stands in the part's name: `2 sides`, `Side (2)`, `Side x2`.
pub(super) fn count_in_part(part: &str) -> Option<u32> {
    let part = part.trim();
    let first = part.split_whitespace().next()?;
    let last = part.split_whitespace().last()?;
    if first == last {
        return None;
    }
    let marked = |word: &str| {
        let bare = word.trim_matches(['(', ')']);
        let digits = bare.trim_matches(['x', 'X', '×']);
        let is_marked = digits.len() < word.len();
        let is_count =
            !digits.is_empty() && digits.len() <= 3 && digits.bytes().all(|b| b.is_ascii_digit());
        (is_count && is_marked)
            .then(|| digits.parse().ok())
            .flatten()
    };
    let plain = (first.len() <= 3 && first.bytes().all(|b| b.is_ascii_digit()))
        .then(|| first.parse().ok())
        .flatten();
    plain
        .or_else(|| marked(first))
        .or_else(|| marked(last))
        .filter(|count: &u32| *count > 0)
}

/// A hand: `L`, `RH`, `left`. `None` for both or neither.
pub(super) fn hand(text: &str) -> Option<Hand> {
    match text.trim().to_lowercase().trim_end_matches('.') {
        "l" | "lh" | "left" | "l.h" | "left hand" | "lhs" => Some(Hand::Left),
        "r" | "rh" | "right" | "r.h" | "right hand" | "rhs" => Some(Hand::Right),
        _ => None,
    }
}

/// Whether a cell says that both hands, or neither, are meant.
pub(super) fn both_hands(text: &str) -> bool {
    matches!(
        text.trim().to_lowercase().as_str(),
        "both"
            | "pair"
            | "l/r"
            | "l&r"
            | "l & r"
            | "l+r"
            | "left/right"
            | "left and right"
            | "either"
            | "lr"
            | "l-r"
            | "neither"
            | "1l 1r"
            | "1l+1r"
    )
}

/// Grain as a list says it; `None` when the cell is not understood.
pub(super) fn grain(text: &str, role: Option<Role>) -> Option<Grain> {
    let word = text.trim().to_lowercase();
    let upright = role.and_then(Role::lie).map(|lie| lie[0] == Axis::High);
    Some(match word.as_str() {
        "" => Grain::Unstated,
        "-" | "none" | "no" | "n" | "0" | "any" | "n/a" | "not needed" | "free" => Grain::None,
        "l" | "len" | "length" | "long" | "along length" | "with length" | "lengthwise"
        | "lengthways" | "along" | "y" | "yes" | "x" | "1" | "with grain" | "|" | "↕" => {
            Grain::AlongLength
        }
        "w" | "width" | "along width" | "with width" | "across" | "widthwise" | "cross"
        | "short" => Grain::AlongWidth,
        "v" | "vert" | "vertical" | "up" => match upright? {
            true => Grain::AlongLength,
            false => Grain::AlongWidth,
        },
        "h" | "hor" | "horiz" | "horizontal" => match upright? {
            true => Grain::AlongWidth,
            false => Grain::AlongLength,
        },
        _ => return None,
    })
}

/// One edge's cell: whether it carries band, and how thick when it says.
/// `None` when the cell is not understood.
pub(super) fn edge(text: &str, unit: Unit) -> Option<(bool, Option<Length>)> {
    let word = text.trim().to_lowercase();
    Some(match word.as_str() {
        "" | "-" | "0" | "no" | "n" | "none" | "n/a" | "\u{2013}" | "\u{2014}" | "raw" => {
            (false, None)
        }
        "x" | "y" | "yes" | "1" | "✓" | "✔" | "true" | "*" | "eb" | "band" | "b" | "•" | "tape" => {
            (true, None)
        }
        _ => {
            let parsed = parse(&word, unit).ok()?;
            // An edge band is a few millimetres thick, solid edging an inch at most.
            let most = Length::from_ticks(Length::TICKS_PER_INCH);
            (parsed.length > Length::ZERO && parsed.length <= most)
                .then_some((true, Some(parsed.length)))?
        }
    })
}

/// A cell for all edges: `2L 1W`, `1L`, `LL W`, `all`, `4`, `front`, `none`.
/// `None` when the cell is not understood.
pub(super) fn band(text: &str, unit: Unit) -> Option<Option<Band>> {
    let lower = text.trim().to_lowercase();
    let some = |along_length: u8, along_width: u8, thickness: Option<Length>| {
        Some(Some(Band {
            along_length,
            along_width,
            thickness,
        }))
    };
    match lower.as_str() {
        "" | "-" | "none" | "no" | "n" | "0" | "n/a" | "raw" | "\u{2013}" | "\u{2014}" => {
            return Some(None);
        }
        "all" | "4" | "all edges" | "4 edges" | "all round" | "all 4" | "all four" | "4 sides"
        | "all sides" | "all around" => {
            return some(2, 2, None);
        }
        "front" | "front edge" | "f" | "one long" | "1 long" | "1 long edge" | "long edge"
        | "fe" => return some(1, 0, None),
        "both long" | "2 long" | "two long" | "long edges" | "both long edges" | "2 long edges"
        | "front and back" => {
            return some(2, 0, None);
        }
        "both short" | "2 short" | "short edges" | "ends" | "both ends" | "2 short edges" => {
            return some(0, 2, None);
        }
        "1 short" | "one short" | "short edge" | "1 end" | "1 short edge" => {
            return some(0, 1, None);
        }
        _ => {}
    }
    // `2L 1W 1mm`, `2L/2W`, `LLW`, `1L1W`.
    let mut along = [0_u8, 0];
    let mut thickness = None;
    for word in lower.split(|c: char| c.is_whitespace() || matches!(c, ',' | '/' | '+' | '&' | ';'))
    {
        if word.is_empty() {
            continue;
        }
        let mut times = 0_u8;
        let mut letters = 0;
        let mut fits = true;
        let mut here = [0_u8, 0];
        for c in word.chars() {
            match c {
                '0'..='9' => times = u8::try_from(c.to_digit(10)?).ok()?,
                'l' | 'w' | 's' => {
                    let slot = here.get_mut(usize::from(c != 'l'))?;
                    *slot = slot.checked_add(times.max(1))?;
                    times = 0;
                    letters += 1;
                }
                _ => fits = false,
            }
        }
        if fits && letters > 0 && times == 0 {
            along[0] = along[0].checked_add(here[0])?;
            along[1] = along[1].checked_add(here[1])?;
        } else {
            thickness = edge(word, unit)?.1.or(thickness);
            thickness?;
        }
    }
    if along == [0, 0] || along[0] > 2 || along[1] > 2 {
        return None;
    }
    some(along[0], along[1], thickness)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts() {
        for (text, expected) in [
            ("2", Some(2)),
            ("2 pcs", Some(2)),
            ("x2", Some(2)),
            ("2x", Some(2)),
            ("(4)", Some(4)),
            ("2.0", Some(2)),
            ("1 pair", Some(2)),
            ("2 pr", Some(4)),
            ("1L + 1R", Some(2)),
            ("1L 1R", Some(2)),
            ("1+1", Some(2)),
            ("12 ea", Some(12)),
            ("", None),
            ("0", None),
            ("two", None),
            ("1.5", None),
            ("-1", None),
            ("34 1/2", None),
            ("2 3", None),
            ("99999999999", None),
            ("as needed", None),
        ] {
            assert_eq!(count(text), expected, "{text}");
        }
        for (text, expected) in [
            ("2 sides", Some(2)),
            ("Side (2)", Some(2)),
            ("Side x2", Some(2)),
            ("Side", None),
            ("Drawer 2 front", None),
            ("Shelf 3", None),
        ] {
            assert_eq!(count_in_part(text), expected, "{text}");
        }
    }

    #[test]
    fn grain_words() {
        assert_eq!(grain("L", None), Some(Grain::AlongLength));
        assert_eq!(grain("none", None), Some(Grain::None));
        assert_eq!(
            grain("Vertical", Some(Role::Door)),
            Some(Grain::AlongLength)
        );
        assert_eq!(
            grain("Vertical", Some(Role::DrawerFront)),
            Some(Grain::AlongWidth)
        );
        assert_eq!(grain("Vertical", None), None);
        assert_eq!(grain("sideways-ish", None), None);
        assert_eq!(grain("", None), Some(Grain::Unstated));
    }

    #[test]
    fn edge_bands() {
        let band = |text: &str| super::band(text, Unit::Millimetre);
        let of = |l, w, t: Option<&str>| {
            Some(Some(Band {
                along_length: l,
                along_width: w,
                thickness: t.map(|t| parse(t, Unit::Millimetre).unwrap().length),
            }))
        };
        assert_eq!(band("2L 1W"), of(2, 1, None));
        assert_eq!(band("1L"), of(1, 0, None));
        assert_eq!(band("LLW"), of(2, 1, None));
        assert_eq!(band("2L2W"), of(2, 2, None));
        assert_eq!(band("2L/2W 1mm"), of(2, 2, Some("1 mm")));
        assert_eq!(band("all"), of(2, 2, None));
        assert_eq!(band("front"), of(1, 0, None));
        assert_eq!(band("none"), Some(None));
        assert_eq!(band("3L"), None);
        assert_eq!(band("see sketch"), None);
        assert_eq!(
            edge("0.5", Unit::Millimetre).unwrap().1,
            parse("0.5", Unit::Millimetre).ok().map(|p| p.length)
        );
        assert_eq!(edge("x", Unit::Millimetre), Some((true, None)));
        assert_eq!(edge("maybe", Unit::Millimetre), None);
        assert_eq!(edge("300", Unit::Millimetre), None);
    }
}

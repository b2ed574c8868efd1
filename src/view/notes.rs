//! What texts on a drawing say about sizes and scales.

use super::tokens::tokens;
use crate::length::{self, Unit, UnitSource};

/// A size as it is written beside a dimension line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shown {
    /// In the unit it is written in, whatever that is.
    pub number: f64,
    /// The unit, when the text tells: marks, or a fraction.
    pub unit: Option<Unit>,
    /// The rounding this way of writing implies, same unit.
    pub step: f64,
}

/// Words that may go with a size.
const WITH_SIZE: &[&str] = &[
    "TYP", "TYPICAL", "REF", "MIN", "MAX", "OA", "OVERALL", "CLR", "CLEAR", "VIF", "EQ", "HOLD",
];

/// A size, when the text is one and nothing else.
pub(super) fn shown(text: &str) -> Option<Shown> {
    let line = text.lines().next()?.trim();
    if line.len() > 40 || !line.chars().any(|c| c.is_ascii_digit()) {
        return None;
    }
    let mut bare = line.trim_matches(|c: char| {
        matches!(c, '(' | ')' | '[' | ']' | '<' | '>' | '±' | '~' | '*' | ' ')
    });
    // Words behind the size, but not unit words.
    while let Some(word) = bare.rsplit([' ', '.']).find(|w| !w.is_empty()) {
        let upper = word.to_uppercase();
        if word.len() == bare.len() || !WITH_SIZE.contains(&upper.as_str()) {
            break;
        }
        let at = bare.rfind(word)?;
        bare = bare.get(..at)?.trim_end_matches([' ', '.', '(', '-']);
    }
    if let Ok(number) = bare.parse::<f64>() {
        let digits = bare
            .split_once('.')
            .map_or(0, |(_, rest)| rest.len().min(9) as i32);
        return (number > 0.0 && number.is_finite()).then(|| Shown {
            number,
            unit: None,
            step: 10_f64.powi(-digits),
        });
    }
    let parsed = length::parse(bare, Unit::Millimetre).ok()?;
    let unit = parsed.unit;
    let number = parsed.length.mm() / unit.mm();
    let told = parsed.unit_source != UnitSource::Default;
    (number > 0.0).then_some(Shown {
        number,
        unit: told.then_some(unit),
        step: parsed.step.mm() / unit.mm(),
    })
}

/// What a scale note says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum ScaleNote {
    /// True length over drawn length.
    Ratio(f64),
    NotToScale,
}

const SCALE_WORDS: &[&str] = &[
    "SCALE", "SCALES", "SC", "MASSSTAB", "MAßSTAB", "MASSTAB", "M", "ECHELLE", "ÉCHELLE", "ECH",
    "ÉCH", "ESCALA", "ESC",
];

/// Reads a scale note: `SCALE 1:12`, `M 1:10`, `1 1/2" = 1'-0"`, `FULL SIZE`.
pub(super) fn scale_note(text: &str) -> Option<ScaleNote> {
    text.lines().find_map(scale_line)
}

fn scale_line(line: &str) -> Option<ScaleNote> {
    if line.chars().count() > 120 {
        return None;
    }
    let parts = tokens(line);
    let word = |w: &str| parts.iter().any(|t| t.text == w);
    let scaled = SCALE_WORDS.iter().any(|w| word(w));
    if word("NTS") || (word("NOT") && word("SCALE")) {
        return Some(ScaleNote::NotToScale);
    }
    if word("FULL") && (word("SCALE") || word("SIZE")) {
        return Some(ScaleNote::Ratio(1.0));
    }
    if word("HALF") && (word("SCALE") || word("SIZE")) {
        return Some(ScaleNote::Ratio(2.0));
    }
    if let Some((left, right)) = line.split_once('=') {
        let from = left.find(|c: char| c.is_ascii_digit())?;
        let paper = length::parse(left.get(from..)?.trim(), Unit::Inch).ok()?;
        let right = right.trim();
        let end = right
            .find(|c: char| c.is_alphabetic() || c == '(' || c == ',')
            .unwrap_or(right.len());
        let real = length::parse(right.get(..end)?.trim(), Unit::Inch).ok()?;
        let told =
            paper.unit_source != UnitSource::Default || real.unit_source != UnitSource::Default;
        return told
            .then(|| ratio(real.length.ticks() as f64, paper.length.ticks() as f64))
            .flatten();
    }
    for pair in parts.windows(2) {
        let [a, b] = pair else { continue };
        let between = b.before.trim();
        let colon = between == ":";
        let slash = between == "/" && scaled;
        if !(a.digits && b.digits && (colon || slash)) || a.before.ends_with(['.', ',', ':', '/']) {
            continue;
        }
        let (Ok(paper), Ok(real)) = (a.text.parse::<f64>(), b.text.parse::<f64>()) else {
            continue;
        };
        // 1:12 or 2:1; anything else is a clock or a slope.
        if (paper == 1.0 || real == 1.0) && (scaled || parts.len() <= 2) {
            return ratio(real, paper);
        }
        if scaled && (paper == 1.0 || real == 1.0) {
            return ratio(real, paper);
        }
    }
    None
}

fn ratio(real: f64, paper: f64) -> Option<ScaleNote> {
    let ratio = real / paper;
    (ratio.is_finite() && (0.01..=1000.0).contains(&ratio)).then_some(ScaleNote::Ratio(ratio))
}

const SIZE_WORDS: &[&str] = &[
    "DIMENSION",
    "DIMENSIONS",
    "DIMS",
    "SIZES",
    "MEASUREMENTS",
    "UNITS",
    "UNIT",
    "MASSE",
    "MAßE",
    "MAßANGABEN",
    "MASSANGABEN",
    "COTES",
    "COTAS",
    "MEDIDAS",
];

/// The unit a note gives for all sizes: `ALL DIMENSIONS IN MM`.
pub(super) fn unit_note(text: &str) -> Option<Unit> {
    text.lines().find_map(|line| {
        let parts = tokens(line);
        let at = parts
            .iter()
            .position(|t| SIZE_WORDS.contains(&t.text.as_str()))?;
        let linked = |t: &str| matches!(t, "IN" | "EN" | "ARE" | "ALLE" | "SONT" | "ALL");
        parts.iter().enumerate().skip(at + 1).find_map(|(i, t)| {
            // "IN" before a unit is the word, not inches.
            let last = i + 1 == parts.len();
            if t.digits || (linked(&t.text) && !last) {
                return None;
            }
            Unit::from_word(&t.text)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_as_written_on_drawings() {
        let read = |t: &str| shown(t).map(|s| (s.number, s.unit));
        assert_eq!(read("36"), Some((36.0, None)));
        assert_eq!(read("34 1/2"), Some((34.5, Some(Unit::Inch))));
        assert_eq!(read("34 1/2\""), Some((34.5, Some(Unit::Inch))));
        assert_eq!(read("2'-10 1/2\""), Some((34.5, Some(Unit::Inch))));
        assert_eq!(read("876.3 mm"), Some((876.3, Some(Unit::Millimetre))));
        assert_eq!(read("914,4"), Some((914.4, None)));
        assert_eq!(read("(24)"), Some((24.0, None)));
        assert_eq!(read("24 TYP."), Some((24.0, None)));
        assert_eq!(read("510\nmin. 320"), Some((510.0, None)));
        for text in ["B36", "1:12", "3/4 PLY", "SHELF", "", "2 ROWS"] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn scale_notes() {
        let read = |t: &str| match scale_note(t) {
            Some(ScaleNote::Ratio(r)) => Some(r),
            _ => None,
        };
        assert_eq!(read("SCALE 1:12"), Some(12.0));
        assert_eq!(read("SCALE: 1 : 10"), Some(10.0));
        assert_eq!(read("M 1:10"), Some(10.0));
        assert_eq!(read("M1:5"), Some(5.0));
        assert_eq!(read("1:20"), Some(20.0));
        assert_eq!(read("ECH. 1/10"), Some(10.0));
        assert_eq!(read("SCALE: 1 1/2\" = 1'-0\""), Some(8.0));
        assert_eq!(read("3/4\"=1'-0\""), Some(16.0));
        assert_eq!(read("1\" = 1'"), Some(12.0));
        assert_eq!(read("B2 FRONT\nSCALE 1:12"), Some(12.0));
        assert_eq!(read("FULL SIZE"), Some(1.0));
        assert_eq!(read("DETAIL SCALE 2:1"), Some(0.5));
        for text in ["B1", "12:30", "3/4", "RATIO 3:2", "SHEET 1/3", "A = B"] {
            assert_eq!(read(text), None, "{text}");
        }
        assert_eq!(scale_note("NTS"), Some(ScaleNote::NotToScale));
        assert_eq!(scale_note("NOT TO SCALE"), Some(ScaleNote::NotToScale));
    }

    #[test]
    fn unit_notes() {
        assert_eq!(unit_note("3. ALL DIMENSIONS IN INCHES"), Some(Unit::Inch));
        assert_eq!(
            unit_note("ALL DIMENSIONS ARE IN MM"),
            Some(Unit::Millimetre)
        );
        assert_eq!(unit_note("Alle Maße in mm"), Some(Unit::Millimetre));
        assert_eq!(unit_note("COTES EN CM"), Some(Unit::Centimetre));
        assert_eq!(unit_note("VERIFY ALL SIZES ON SITE"), None);
        assert_eq!(unit_note("ALL SIZES IN THE LIST"), None);
    }
}

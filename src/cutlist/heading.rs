//! One column heading to what the column holds.

use super::normal::{LONGEST_COMPARED, alike, key, words as split_words};
use super::types::SizeKind;
use super::words::{Field, Words, words};
use crate::length::Unit;
use crate::trade::Dimension;

/// What a heading says.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Heading {
    pub(super) field: Field,
    /// The word of the table it was read by, and how alike (1 = the same).
    pub(super) synonym: String,
    pub(super) score: f64,
    pub(super) unit: Option<Unit>,
    pub(super) kind: SizeKind,
    /// For a column of sizes: in which order they stand.
    pub(super) order: Vec<Dimension>,
    /// A size with allowance for machining still to come: not the part's.
    pub(super) rough: bool,
}

/// Likeness from which a misspelt heading is taken.
const SPELLING: f64 = 0.83;

/// Reads a heading; `None` when it is not a known one. `above` is the heading of
/// the group it stands in ("Finished size" over "L" and "W").
pub(super) fn read(text: &str, above: &str) -> Option<Heading> {
    let table = words();
    let text = text.trim().trim_end_matches([':', '.', '*']).trim();
    if text.is_empty() || text.chars().count() > 60 {
        return None;
    }
    let (bare, unit) = without_unit(text);
    let unit = unit.or_else(|| without_unit(above).1);
    let kind_above = kind(&split_words(above), table);
    let tokens = split_words(&bare);
    let own_kind = kind(&tokens, table);
    let kind = if own_kind == SizeKind::Unstated {
        kind_above
    } else {
        own_kind
    };
    let rough = tokens
        .iter()
        .chain(&split_words(above))
        .any(|token| table.rough.contains(token));
    if let Some(order) = order(&bare) {
        return Some(Heading {
            field: if rough { Field::Unused } else { Field::Size },
            synonym: bare.clone(),
            score: 1.0,
            unit,
            kind,
            order,
            rough,
        });
    }
    let found = |field: Field, synonym: &str, score: f64| {
        let rough = rough && field.is_size();
        Some(Heading {
            field: if rough { Field::Unused } else { field },
            synonym: synonym.to_owned(),
            score,
            unit,
            kind: if field.is_size() {
                kind
            } else {
                SizeKind::Unstated
            },
            order: Vec::new(),
            rough,
        })
    };
    if text == "#" {
        return found(Field::Item, "#", 1.0);
    }
    let whole = tokens.concat();
    if let Some((field, synonym)) = table.columns.get(&whole) {
        return found(*field, synonym, 1.0);
    }
    // "Bore 2", "2nd hinge from top": the number only tells columns of a kind apart.
    let unnumbered: Vec<String> = tokens.iter().filter(|t| !is_ordinal(t)).cloned().collect();
    if unnumbered.len() < tokens.len()
        && let Some((field, synonym)) = table.columns.get(&unnumbered.concat())
        && (field.is_bore() || *field == Field::HingeSide)
    {
        let field = if *field == Field::HingeSide {
            Field::Bore
        } else {
            *field
        };
        return found(field, synonym, 1.0);
    }
    let core: Vec<&String> = tokens
        .iter()
        .filter(|t| {
            !table.column_filler.contains(t)
                && !table.rough.contains(t)
                && !table.finished.contains(t)
                && !table.cut.contains(t)
        })
        .collect();
    let core: String = core.into_iter().map(String::as_str).collect();
    if core.is_empty() {
        // "Finished size", "Cut dimensions": nothing but such words.
        let says_size = tokens
            .iter()
            .any(|t| matches!(t.as_str(), "size" | "dimension" | "dim"));
        return if says_size {
            found(Field::Size, "size", 0.95)
        } else {
            None
        };
    }
    if let Some((field, synonym)) = table.columns.get(&core)
        && (field.is_size() || core.len() > 1)
    {
        return found(*field, synonym, 0.95);
    }
    if core.len() < 4 || core.len() > LONGEST_COMPARED {
        return None;
    }
    let mut best: Option<(f64, Field, &str)> = None;
    // Keys much longer or shorter cannot be that alike.
    let near = |text: &str, key: &str| {
        let (short, long) = (text.len().min(key.len()), text.len().max(key.len()));
        short as f64 >= SPELLING * long as f64
    };
    for (key, (field, synonym)) in table.columns.iter().filter(|(key, _)| key.len() >= 4) {
        for text in [&core, &whole] {
            if near(text, key) {
                let likeness = alike(text, key);
                if likeness >= SPELLING && best.is_none_or(|(score, ..)| likeness > score) {
                    best = Some((likeness, *field, synonym));
                }
            }
        }
    }
    let (score, field, synonym) = best?;
    found(field, synonym, (score * 100.0).round() / 100.0)
}

/// Whether a text is a heading as the table has it, without any slip; cheap enough to
/// ask for every cell of a file.
pub(super) fn is_known(text: &str) -> bool {
    let text = text.trim();
    text.len() <= 60
        && !text.starts_with(|c: char| c.is_ascii_digit())
        && words().columns.contains_key(&key(&without_unit(text).0))
}

impl Field {
    /// Whether its cells hold one size or several.
    pub(super) fn is_size(self) -> bool {
        self.dimension().is_some() || self == Field::Size
    }

    pub(super) fn is_bore(self) -> bool {
        matches!(
            self,
            Field::Bore
                | Field::BoreFromTop
                | Field::BoreFromBottom
                | Field::BoreCentre
                | Field::BoreRim
                | Field::BoreDiameter
        )
    }

    /// The dimension of a column of single sizes.
    pub(super) fn dimension(self) -> Option<Dimension> {
        Some(match self {
            Field::Length => Dimension::Length,
            Field::Width => Dimension::Width,
            Field::Thickness => Dimension::Thickness,
            Field::Height => Dimension::Height,
            Field::Depth => Dimension::Depth,
            _ => return None,
        })
    }
}

fn kind(tokens: &[String], table: &Words) -> SizeKind {
    let finished = tokens.iter().any(|t| table.finished.contains(t));
    let cut = tokens.iter().any(|t| table.cut.contains(t));
    match (finished, cut) {
        (true, false) => SizeKind::Finished,
        (false, true) => SizeKind::Cut,
        _ => SizeKind::Unstated,
    }
}

/// Whether a title says that all sizes are finished or cut sizes. "Cut list"
/// alone says neither.
pub(super) fn stated_kind(text: &str) -> SizeKind {
    let spoken = split_words(text);
    let of_sizes = spoken
        .iter()
        .any(|word| matches!(word.as_str(), "size" | "dimension" | "measurement"));
    if of_sizes {
        let spoken: Vec<String> = spoken
            .iter()
            .enumerate()
            .filter(|(at, _)| spoken.get(at + 1).is_none_or(|next| next != "list"))
            .map(|(_, word)| word.clone())
            .collect();
        kind(&spoken, words())
    } else {
        SizeKind::Unstated
    }
}

fn is_ordinal(token: &str) -> bool {
    let digits = token.trim_end_matches(|c: char| c.is_alphabetic());
    let rest = token.get(digits.len()..).unwrap_or("");
    !digits.is_empty()
        && digits.bytes().all(|b| b.is_ascii_digit())
        && matches!(rest, "" | "st" | "nd" | "rd" | "th")
}

/// Takes a unit out of a heading: `Length (mm)`, `Length [in]`, `Length in mm`,
/// `Length, mm`, `Length "`.
fn without_unit(text: &str) -> (String, Option<Unit>) {
    for (open, close) in [('(', ')'), ('[', ']'), ('{', '}')] {
        for (start, _) in text.match_indices(open) {
            let Some(length) = text.get(start..).and_then(|rest| rest.find(close)) else {
                continue;
            };
            let inside = text.get(start + 1..start + length).unwrap_or("");
            let inside = inside.trim().trim_start_matches("in ").trim();
            if let Some(unit) = Unit::from_word(inside) {
                let before = text.get(..start).unwrap_or("").trim_end();
                let after = text.get(start + length + 1..).unwrap_or("");
                return (format!("{before}{after}"), Some(unit));
            }
        }
    }
    let trimmed = text.trim_end_matches('.');
    let last = trimmed
        .rsplit([' ', ',', '/', '_', '-'])
        .next()
        .unwrap_or("");
    let head = trimmed
        .get(..trimmed.len() - last.len())
        .unwrap_or("")
        .trim_end();
    if !head.is_empty()
        && (last.len() > 1 || !last.chars().all(char::is_alphabetic))
        && let Some(unit) = Unit::from_word(last)
    {
        let head = head.trim_end_matches([',', '/', '_', '-']).trim_end();
        let head = head.strip_suffix(" in").unwrap_or(head);
        return (head.to_owned(), Some(unit));
    }
    for (mark, unit) in [('"', Unit::Inch), ('\u{2033}', Unit::Inch)] {
        if let Some(head) = text.strip_suffix(mark) {
            return (head.trim_end().to_owned(), Some(unit));
        }
    }
    (text.to_owned(), None)
}

/// `L x W x T`, `Size (W x H)`, `Length × Width`: the order of sizes in a cell.
fn order(text: &str) -> Option<Vec<Dimension>> {
    let lower = text.to_lowercase().replace(['×', '*', '✕'], "x");
    let inside = match lower.find(['(', '[']) {
        Some(start) => lower
            .get(start + 1..)?
            .trim_end_matches([')', ']'])
            .to_owned(),
        None => lower.clone(),
    };
    [inside, lower].iter().find_map(|text| {
        let text = text.replace(" by ", "x");
        // "sizes" and the like before the first letter.
        let text = text.trim();
        let text = [
            "finished size",
            "cut size",
            "sizes",
            "size",
            "dimensions",
            "dims",
        ]
        .iter()
        .find_map(|word| text.strip_prefix(word))
        .unwrap_or(text);
        let pieces: Vec<&str> = text.split('x').map(str::trim).collect();
        if !(2..=3).contains(&pieces.len()) {
            return None;
        }
        let order: Option<Vec<Dimension>> =
            pieces.iter().map(|piece| dimension_word(piece)).collect();
        let order = order?;
        let distinct = order
            .iter()
            .enumerate()
            .all(|(at, d)| !order.iter().skip(at + 1).any(|o| o == d));
        distinct.then_some(order)
    })
}

/// A dimension by its letter or word.
pub(super) fn dimension_word(word: &str) -> Option<Dimension> {
    let word = word
        .trim()
        .trim_matches(['.', ':', '=', '(', ')'])
        .to_lowercase();
    Some(match word.as_str() {
        "l" | "length" | "len" | "long" | "lg" => Dimension::Length,
        "w" | "width" | "wide" | "wid" => Dimension::Width,
        "t" | "th" | "thk" | "thickness" | "thick" => Dimension::Thickness,
        "h" | "height" | "high" | "ht" | "tall" => Dimension::Height,
        "d" | "depth" | "deep" => Dimension::Depth,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(text: &str) -> Option<Field> {
        read(text, "").map(|heading| heading.field)
    }

    #[test]
    fn headings_in_many_words() {
        for (text, expected) in [
            ("Cabinet", Field::Cabinet),
            ("CAB #", Field::Cabinet),
            ("Cab. No.", Field::Cabinet),
            ("Part", Field::Part),
            ("Part Name", Field::Part),
            ("Description", Field::Part),
            ("Qty", Field::Quantity),
            ("QTY.", Field::Quantity),
            ("Pcs", Field::Quantity),
            ("No. off", Field::Quantity),
            ("Pieces", Field::Item),
            ("Qty/Cab", Field::QuantityPerCabinet),
            ("Total Qty", Field::QuantityTotal),
            ("Length", Field::Length),
            ("LEN", Field::Length),
            ("L", Field::Length),
            ("W", Field::Width),
            ("Thk", Field::Thickness),
            ("T", Field::Thickness),
            ("H", Field::Height),
            ("Depth", Field::Depth),
            ("Finished Length", Field::Length),
            ("Cut Width", Field::Width),
            ("Length (mm)", Field::Length),
            ("Length in mm", Field::Length),
            ("Length, in.", Field::Length),
            ("Width \"", Field::Width),
            ("Thickness [in]", Field::Thickness),
            ("Size", Field::Size),
            ("L x W x T", Field::Size),
            ("Size (W×H)", Field::Size),
            ("Finished size", Field::Size),
            ("Material", Field::Material),
            ("Notes", Field::Note),
            ("Remarks:", Field::Note),
            ("Grain", Field::Grain),
            ("Edge band", Field::Band),
            ("Edge L1", Field::BandLength1),
            ("W2", Field::BandWidth2),
            ("Item", Field::Item),
            ("#", Field::Item),
            ("Lenght", Field::Length),
            ("Thicknes", Field::Thickness),
            ("Quantitiy", Field::Quantity),
            ("Materail", Field::Material),
            ("Hinge side", Field::HingeSide),
            ("Bore 1", Field::Bore),
            ("Hinge 2", Field::Bore),
            ("From top", Field::BoreFromTop),
            ("2nd bore from bottom", Field::BoreFromBottom),
            ("Part length", Field::Length),
            ("Length along grain", Field::Length),
        ] {
            assert_eq!(field(text), Some(expected), "{text}");
        }
        for text in ["", "Glaze", "34 1/2", "B2", "Side", "x", "Zebra stripes"] {
            assert_eq!(field(text), None, "{text}");
        }
    }

    #[test]
    fn units_kinds_and_orders() {
        let heading = read("Finished Length (mm)", "").unwrap();
        assert_eq!(
            (heading.unit, heading.kind),
            (Some(Unit::Millimetre), SizeKind::Finished)
        );
        let heading = read("L", "Cut size, in").unwrap();
        assert_eq!(
            (heading.unit, heading.kind),
            (Some(Unit::Inch), SizeKind::Cut)
        );
        let heading = read("T x W x L", "").unwrap();
        assert_eq!(
            heading.order,
            [Dimension::Thickness, Dimension::Width, Dimension::Length]
        );
        let heading = read("Size (W x H) (mm)", "").unwrap();
        assert_eq!(heading.unit, Some(Unit::Millimetre));
        assert_eq!(heading.order, [Dimension::Width, Dimension::Height]);
    }

    #[test]
    fn titles_state_the_kind_of_sizes() {
        assert_eq!(stated_kind("All sizes finished"), SizeKind::Finished);
        assert_eq!(stated_kind("Cut sizes, before banding"), SizeKind::Cut);
        assert_eq!(stated_kind("Glaze room cut list"), SizeKind::Unstated);
        assert_eq!(stated_kind("Cut list, finished sizes"), SizeKind::Finished);
    }

    #[test]
    fn a_rough_size_is_not_the_parts() {
        let heading = read("Rough length", "").unwrap();
        assert!(heading.rough);
        assert_eq!(heading.field, Field::Unused);
        assert_eq!(read("L", "Rough size").unwrap().field, Field::Unused);
    }

    #[test]
    fn a_misspelt_heading_has_a_score_below_one() {
        let heading = read("Lenght", "").unwrap();
        assert_eq!(heading.synonym, "length");
        assert!(heading.score < 1.0 && heading.score > 0.8);
    }
}

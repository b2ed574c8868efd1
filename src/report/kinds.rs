//! What each kind of finding and each kind of cause means: the one source of
//! `dryfit explain`, of the documentation and of the rules in SARIF.

use crate::audit::{CauseKind, FindingKind};

/// One kind, explained.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// The word in every report and on the command line.
    pub word: &'static str,
    /// One sentence.
    pub short: &'static str,
    /// How it is found, and what to do about it.
    pub long: &'static str,
}

/// Every kind of finding.
pub const FINDINGS: [FindingKind; 6] = [
    FindingKind::Size,
    FindingKind::Quantity,
    FindingKind::MissingPart,
    FindingKind::ExtraPart,
    FindingKind::Drawing,
    FindingKind::Input,
];

/// Every kind of cause.
pub const CAUSES: [CauseKind; 17] = [
    CauseKind::OtherDistance,
    CauseKind::OtherCabinet,
    CauseKind::Swapped,
    CauseKind::StockThickness,
    CauseKind::JointDepth,
    CauseKind::ToeKick,
    CauseKind::Unit,
    CauseKind::Transposed,
    CauseKind::SlippedFraction,
    CauseKind::NominalThickness,
    CauseKind::EdgeBand,
    CauseKind::TypedText,
    CauseKind::QuantityBasis,
    CauseKind::OlderDrawing,
    CauseKind::FrontAllowance,
    CauseKind::Allowance,
    CauseKind::InchMark,
];

pub const fn finding(kind: FindingKind) -> Kind {
    match kind {
        FindingKind::Size => Kind {
            word: "size",
            short: "A listed size is not what the drawing shows.",
            long: "The part was measured in the drawing, or its size follows from the drawn \
                   cabinet by the relation that is named, and the listed size differs by more than \
                   the tolerance. Check the drawn distance with a rule, then correct the row, or \
                   the drawing if that is wrong. Rows that are wrong for the same reason stand \
                   under it.",
        },
        FindingKind::Quantity => Kind {
            word: "quantity",
            short: "A listed count is not the number of parts drawn.",
            long: "The parts of this kind were counted in the views of the cabinet and the row \
                   lists another number. Look at whether the row counts for one cabinet or for \
                   the whole job; the job file can say which.",
        },
        FindingKind::MissingPart => Kind {
            word: "missing-part",
            short: "A part is drawn that no row lists.",
            long: "The drawing shows the part and no row of this cabinet can be it. Add a row, or \
                   tell the job file what the shop calls it.",
        },
        FindingKind::ExtraPart => Kind {
            word: "extra-part",
            short: "A row lists a part that is not drawn.",
            long: "The views of the cabinet would show the part and do not. Take the row out, or \
                   add the part to the drawing. Where no view could show it, the row is not \
                   checked instead.",
        },
        FindingKind::Drawing => Kind {
            word: "drawing",
            short: "The drawing disagrees with itself.",
            long: "Two views show one size differently, a typed dimension text is not the distance \
                   between its points, a chain of dimensions does not add up to its total, a board stops \
                   short of the side it stands against, doors are drawn over each other, or the \
                   evidence for unit or scale conflicts. Settle this first: a list can't agree with \
                   both.",
        },
        FindingKind::Input => Kind {
            word: "input",
            short: "A file, a row or a cell could not be understood.",
            long: "The message names the file and the line or entity, and what to do. The rest of \
                   the job was checked.",
        },
    }
}

pub const fn cause(kind: CauseKind) -> Kind {
    match kind {
        CauseKind::OtherDistance => Kind {
            word: "other-distance",
            short: "Another distance of this cabinet was taken.",
            long: "The listed size is the distance between two other drawn edges of the same \
                   cabinet, which are named.",
        },
        CauseKind::OtherCabinet => Kind {
            word: "other-cabinet",
            short: "The same size of another cabinet was taken.",
            long: "The listed size is what this part measures in the cabinet that is named.",
        },
        CauseKind::Swapped => Kind {
            word: "swapped",
            short: "Two sizes of the row stand in each other's column.",
            long: "Exchanged, both sizes agree with the drawing.",
        },
        CauseKind::StockThickness => Kind {
            word: "stock-thickness",
            short: "Off by a whole number of stock thicknesses.",
            long: "A panel's thickness was left out, or taken off once too often: inside was taken \
                   for outside, or between for over.",
        },
        CauseKind::JointDepth => Kind {
            word: "joint-depth",
            short: "A joint's depth was forgotten or taken twice.",
            long: "The difference is the depth of a groove or rabbet, or twice that.",
        },
        CauseKind::ToeKick => Kind {
            word: "toe-kick",
            short: "The toe kick was left out or counted in.",
            long: "The difference is the height or the depth of the toe kick as drawn.",
        },
        CauseKind::Unit => Kind {
            word: "unit",
            short: "The figure is in another unit.",
            long: "Listed over drawn is 25.4, 10, 12 or another ratio of two units of length.",
        },
        CauseKind::Transposed => Kind {
            word: "transposed-digits",
            short: "Two neighbouring digits stand in each other's place.",
            long: "With the two digits exchanged the size agrees.",
        },
        CauseKind::SlippedFraction => Kind {
            word: "slipped-fraction",
            short: "The fraction slipped.",
            long: "A fraction was halved or doubled, lost, or run together with the whole number.",
        },
        CauseKind::NominalThickness => Kind {
            word: "nominal-thickness",
            short: "Nominal thickness was used where the stock is thinner.",
            long: "The difference is that of nominal and drawn thickness, once or twice.",
        },
        CauseKind::EdgeBand => Kind {
            word: "edge-band",
            short: "The edge band was left out or taken twice.",
            long: "The difference is the thickness of the band on the edges that carry it.",
        },
        CauseKind::TypedText => Kind {
            word: "typed-text",
            short: "A typed dimension text was followed, not the drawn distance.",
            long: "The drawing carries a dimension whose typed text is the listed size, and whose \
                   points are another distance apart.",
        },
        CauseKind::QuantityBasis => Kind {
            word: "quantity-basis",
            short: "A count for the job was taken as for one cabinet, or the other way round.",
            long: "Multiplied or divided by the number of cabinets the row is for, the count agrees.",
        },
        CauseKind::OlderDrawing => Kind {
            word: "older-drawing",
            short: "The list follows an older drawing.",
            long: "The listed sizes agree with an earlier revision that was given as well.",
        },
        CauseKind::FrontAllowance => Kind {
            word: "front-allowance",
            short: "Overlay, reveal or gap was left out or taken twice.",
            long: "The difference is the overlay of a door or drawer front, or the gap round it.",
        },
        CauseKind::Allowance => Kind {
            word: "shop-allowance",
            short: "An allowance of the shop was left out or taken twice.",
            long: "The difference is what the job file states for scribing, sawing out, the saw's kerf \
                   or the overhang of a countertop.",
        },
        CauseKind::InchMark => Kind {
            word: "inch-mark",
            short: "Exactly an inch: the tape was read from its 1-in mark.",
            long: "Some hook a worn tape on its 1-in mark and forget to take the inch off. Any \
                   other cause named beside it may as well be the reason.",
        },
    }
}

/// The documentation of all kinds, in Markdown.
pub fn documentation() -> String {
    let mut text = String::from(
        "# Kinds of findings and causes\n\n\
         `dryfit explain WORD` prints the same.\n\n\
         ## Findings\n",
    );
    for kind in FINDINGS.map(finding) {
        text.push_str(&section(kind));
    }
    text.push_str(
        "\n## Causes\n\n\
         A cause is named only with its evidence. The likeliest stands first; rivals within reach\n\
         follow.\n",
    );
    for kind in CAUSES.map(cause) {
        text.push_str(&section(kind));
    }
    text
}

fn section(kind: Kind) -> String {
    format!("\n### {}\n\n{} {}\n", kind.word, kind.short, kind.long)
}

/// The kind a word names.
pub fn find(word: &str) -> Option<Kind> {
    FINDINGS
        .map(finding)
        .into_iter()
        .chain(CAUSES.map(cause))
        .find(|kind| kind.word == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_one_kind() {
        let mut words: Vec<_> = FINDINGS
            .map(|kind| finding(kind).word)
            .into_iter()
            .chain(CAUSES.map(|kind| cause(kind).word))
            .collect();
        for word in &words {
            assert_eq!(find(word).unwrap().word, *word);
        }
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), FINDINGS.len() + CAUSES.len());
        assert_eq!(find("nonsense"), None);
    }
}

//! Figures of the 2010 ADA Standards, only for cabinets the job file asks about. In
//! inches, because the metric figures printed there are rounded; never a certificate.

use super::{Check, Desk, Topic, Verdict};
use crate::cabinet::MeasuredCabinet;
use crate::construction::Origin;
use crate::length::{Length, Notation};

const fn inches(count: i64) -> Length {
    Length::from_ticks(count * Length::TICKS_PER_INCH)
}

/// What a drawing's own noise may add: the accuracy of measuring, 0.05 mm.
const NOISE: Length = Length::from_ticks(Length::TICKS_PER_MM / 20);

/// A height and the range it must lie in.
struct Height {
    key: &'static str,
    section: &'static str,
    what: &'static str,
    least: Option<Length>,
    most: Length,
}

const HEIGHTS: [Height; 4] = [
    Height {
        key: "work-surface",
        section: "804.3.2",
        what: "kitchen work surface",
        least: None,
        most: inches(34),
    },
    Height {
        key: "sink",
        section: "606.3",
        what: "sink or lavatory, at the higher of rim and counter",
        least: None,
        most: inches(34),
    },
    Height {
        key: "dining-surface",
        section: "902.3",
        what: "dining or work surface",
        least: Some(inches(28)),
        most: inches(34),
    },
    Height {
        key: "service-counter",
        section: "904.4",
        what: "service counter",
        least: None,
        most: inches(36),
    },
];

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for (key, cabinets, line) in &facts.rules.accessibility.asked {
        for name in cabinets {
            let origin = Origin::JobFile { line: *line };
            let Some(cabinet) = facts.cabinet(name) else {
                found.push(
                    Check::new(
                        Topic::Accessibility,
                        Verdict::Unchecked,
                        format!("no drawing shows {name}; add its drawing"),
                    )
                    .of([name.as_str()])
                    .resting_on(origin),
                );
                continue;
            };
            if *key == "knee-space" {
                knee_space(facts, name, cabinet, &origin, found);
            }
            for height in HEIGHTS.iter().filter(|height| height.key == *key) {
                surface(facts, name, cabinet, height, &origin, found);
            }
        }
    }
}

/// In inches whatever the job's unit, and the job's unit beside it.
fn show(facts: &Desk<'_>, length: Length) -> String {
    let inches = length.show(Notation::SIXTY_FOURTHS);
    let own = facts.show(length);
    if own == inches {
        inches
    } else {
        format!("{inches} ({own})")
    }
}

fn surface(
    facts: &Desk<'_>,
    name: &str,
    cabinet: &MeasuredCabinet,
    limit: &Height,
    origin: &Origin,
    found: &mut Vec<Check>,
) {
    let counter = facts
        .rules
        .accessibility
        .counter_thickness
        .as_ref()
        .and_then(|stated| facts.free(stated))
        .or_else(|| {
            facts
                .size(cabinet, "countertop.built-up")
                .map(|(size, _)| size)
        });
    let case = facts.size(cabinet, "overall.height").map(|(size, _)| size);
    let (Some(case), Some(counter)) = (case, counter) else {
        found.push(
            Check::new(
                Topic::Accessibility,
                Verdict::Unchecked,
                format!(
                    "{name}: {} ({}) needs the cabinet's height and what lies on it; state \
                     `counter-thickness` under [accessibility]",
                    limit.what, limit.section
                ),
            )
            .of([name])
            .resting_on(origin.clone()),
        );
        return;
    };
    let height = case + counter;
    // No construction tolerance: it is not for design (104.1.1 and its advisory).
    let low = limit.least.is_some_and(|least| height + NOISE < least);
    let high = height > limit.most + NOISE;
    let range = match limit.least {
        Some(least) => format!(
            "{} to {}",
            show(facts, least),
            limit.most.show(Notation::SIXTY_FOURTHS)
        ),
        None => format!("at most {}", limit.most.show(Notation::SIXTY_FOURTHS)),
    };
    let verdict = if low || high {
        Verdict::Disagrees
    } else {
        Verdict::Agrees
    };
    let mut check = Check::new(
        Topic::Accessibility,
        verdict,
        format!(
            "{name}: {} {} high; section {} of the 2010 ADA Standards asks {range}",
            limit.what,
            show(facts, height),
            limit.section
        ),
    )
    .of([name])
    .resting_on(origin.clone())
    .sizes(
        if low {
            limit.least.unwrap_or(limit.most)
        } else {
            limit.most
        },
        height,
        Length::ZERO,
    );
    check.drawn = cabinet
        .overall
        .height
        .known()
        .map(|measure| measure.span.clone())
        .into_iter()
        .collect();
    found.push(check);
}

/// Knee space between the sides of a cabinet: width and depth; its height is not
/// known before the doors and aprons are.
fn knee_space(
    facts: &Desk<'_>,
    name: &str,
    cabinet: &MeasuredCabinet,
    origin: &Origin,
    found: &mut Vec<Check>,
) {
    let limits = [
        ("interior.width", "wide", inches(30)),
        ("interior.height", "high", inches(27)),
        ("interior.depth", "deep", inches(11)),
    ];
    for (size, word, least) in limits {
        let check = match facts.size(cabinet, size) {
            None => Check::new(
                Topic::Accessibility,
                Verdict::Unchecked,
                format!("{name}: how {word} its knee space is was not measured (306.3)"),
            ),
            Some((value, _)) => Check::new(
                Topic::Accessibility,
                Verdict::of(value + NOISE >= least),
                format!(
                    "{name}: knee space {} {word}; section 306.3 of the 2010 ADA Standards asks at \
                     least {}",
                    show(facts, value),
                    least.show(Notation::SIXTY_FOURTHS)
                ),
            )
            .sizes(least, value, Length::ZERO),
        };
        found.push(check.of([name]).resting_on(origin.clone()));
    }
}

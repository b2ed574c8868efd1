//! The lines of the table of cabinets, the same in every report.

use super::Report;
use crate::audit::AuditedCabinet;
use crate::cabinet::{Measured, MeasuredCabinet, Sizes};
use crate::length::Length;
use std::collections::{BTreeMap, BTreeSet};

/// One line: width, height and depth of a cabinet.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeLine<'a> {
    pub cabinet: &'a str,
    /// "overall" or "interior".
    pub place: &'static str,
    /// "drawn" or "listed".
    pub from: &'static str,
    pub sizes: [Option<Length>; 3],
    /// Which listed sizes are not as drawn, beyond tolerance.
    pub differs: [bool; 3],
}

const NAMES: [(&str, [&str; 3]); 2] = [
    ("overall", ["width", "height", "depth"]),
    (
        "interior",
        ["interior width", "interior height", "interior depth"],
    ),
];

/// Every cabinet the drawing or the list names, in the order of the names.
pub fn cabinets<'a>(report: &Report<'a>) -> Vec<&'a str> {
    let drawn = report
        .job
        .cabinets
        .iter()
        .flat_map(|measured| std::iter::once(&measured.id).chain(&measured.same_as));
    let audited = report.audit.cabinets.iter().map(|audited| &audited.id);
    let ids: BTreeSet<&str> = drawn.chain(audited).map(String::as_str).collect();
    let mut ids: Vec<_> = ids.into_iter().collect();
    ids.sort_by(|a, b| super::words::natural(a, b));
    ids
}

/// The measured cabinet that shows this id.
pub fn measured<'a>(report: &Report<'a>, id: &str) -> Option<&'a MeasuredCabinet> {
    report
        .job
        .cabinets
        .iter()
        .find(|measured| measured.id == id || measured.same_as.iter().any(|other| other == id))
}

/// Measured and audited cabinets by their id, for looking up many.
pub struct ById<'a> {
    measured: BTreeMap<&'a str, &'a MeasuredCabinet>,
    audited: BTreeMap<&'a str, &'a AuditedCabinet>,
}

impl<'a> ById<'a> {
    pub fn of(report: &Report<'a>) -> Self {
        let mut this = ById {
            measured: BTreeMap::new(),
            audited: BTreeMap::new(),
        };
        for cabinet in &report.job.cabinets {
            for id in std::iter::once(&cabinet.id).chain(&cabinet.same_as) {
                this.measured.entry(id).or_insert(cabinet);
            }
        }
        for cabinet in &report.audit.cabinets {
            this.audited.entry(&cabinet.id).or_insert(cabinet);
        }
        this
    }

    /// The measured cabinet that shows this id.
    pub fn measured(&self, id: &str) -> Option<&'a MeasuredCabinet> {
        self.measured.get(id).copied()
    }

    /// What the audit made of this cabinet.
    pub fn audited(&self, id: &str) -> Option<&'a AuditedCabinet> {
        self.audited.get(id).copied()
    }
}

/// The lines of all cabinets; lines without any size are left out.
pub fn lines<'a>(report: &Report<'a>) -> Vec<SizeLine<'a>> {
    let mut lines = Vec::new();
    let by_id = ById::of(report);
    for cabinet in cabinets(report) {
        for (place, names) in NAMES {
            let drawn = by_id.measured(cabinet).map_or([None; 3], |measured| {
                three(if place == "overall" {
                    &measured.overall
                } else {
                    &measured.interior
                })
            });
            let listed = names.map(|name| {
                by_id
                    .audited(cabinet)
                    .and_then(|audited| audited.sizes.iter().find(|size| size.name == name))
                    .and_then(|size| size.listed)
            });
            let tolerance = report.job.rules.tolerance(None);
            let differs = [0, 1, 2].map(|index| {
                matches!(
                    (drawn[index], listed[index]),
                    (Some(drawn), Some(listed)) if (listed - drawn).abs() > tolerance
                )
            });
            for (from, sizes, differs) in
                [("drawn", drawn, [false; 3]), ("listed", listed, differs)]
            {
                if sizes.iter().any(Option::is_some) {
                    lines.push(SizeLine {
                        cabinet,
                        place,
                        from,
                        sizes,
                        differs,
                    });
                }
            }
        }
    }
    lines
}

fn three(sizes: &Sizes) -> [Option<Length>; 3] {
    [&sizes.width, &sizes.height, &sizes.depth]
        .map(|measured| measured.known().map(|measure| measure.span.length()))
}

/// Why sizes are missing, and what was noted of those that are there, each
/// once: "B2, B4 interior depth is not known: no view shows the face of the back".
pub fn notes(report: &Report<'_>) -> Vec<String> {
    let mut notes = Notes::default();
    for cabinet in &report.job.cabinets {
        let ids: Vec<&str> = std::iter::once(&cabinet.id)
            .chain(&cabinet.same_as)
            .map(String::as_str)
            .collect();
        for (place, sizes) in [("", &cabinet.overall), ("interior ", &cabinet.interior)] {
            for (name, measured) in [
                ("width", &sizes.width),
                ("height", &sizes.height),
                ("depth", &sizes.depth),
            ] {
                match measured {
                    Measured::Unknown { reason } => {
                        notes.add(format!("{place}{name} is not known: {reason}"), &ids);
                    }
                    Measured::Known(measure) => {
                        if let Some(text) = &measure.note {
                            notes.add(format!("{place}{name}: {text}"), &ids);
                        }
                    }
                }
            }
        }
    }
    notes
        .texts
        .into_iter()
        .map(|(text, ids)| format!("{} {text}", ids.join(", ")))
        .collect()
}

/// Notes in the order they came up, each with its cabinets.
#[derive(Default)]
struct Notes<'a> {
    texts: Vec<(String, Vec<&'a str>)>,
    places: BTreeMap<String, usize>,
}

impl<'a> Notes<'a> {
    fn add(&mut self, text: String, ids: &[&'a str]) {
        let next = self.texts.len();
        let place = *self.places.entry(text.clone()).or_insert(next);
        match self.texts.get_mut(place) {
            Some((_, cabinets)) => cabinets.extend(ids),
            None => self.texts.push((text, ids.to_vec())),
        }
    }
}

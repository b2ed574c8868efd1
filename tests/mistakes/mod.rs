//! The classic mistakes a person makes in a cut list, tried on jobs whose list is
//! right. What each would have written is worked out here from the drawing's
//! figures, apart from how the program looks for causes.

#![allow(dead_code)]

pub mod rivals;
pub mod tally;
pub mod wrong;

use dryfit::audit::{Bin, CauseKind, Finding, Job, audit};
use dryfit::cabinet::MeasuredCabinet;
use dryfit::cli::load::{Call, load};
use dryfit::cutlist::Row;
use dryfit::length::Length;
use dryfit::trade::{Axis, Dimension, Role};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Line and dimension of a row size.
pub type Entry = (usize, Dimension);

pub struct Fixture {
    pub name: String,
    pub job: Job,
    /// Sizes that were checked and agree: the ones a change must be seen in.
    pub checked: BTreeSet<Entry>,
    /// What is found in the list as it is.
    pub known: Vec<Finding>,
    /// How much of that the list's makers did not put there.
    pub false_alarms: usize,
}

pub fn entries(finding: &Finding) -> impl Iterator<Item = Entry> + '_ {
    finding
        .row
        .iter()
        .chain(&finding.also)
        .map(|size| (size.row.line, size.dimension))
}

/// Every fixture and worked example, largest first.
pub fn folders() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let mut folders: Vec<PathBuf> = std::fs::read_dir(root.join("worked"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    folders.sort();
    folders.insert(0, root.join("glaze-room-clean"));
    folders.insert(1, root.join("kiln-store"));
    folders
}

/// Row sizes that are wrong in the list on purpose, by its makers' word.
pub fn known_slips(folder: &Path) -> usize {
    let Ok(text) = std::fs::read_to_string(folder.join("truth.json")) else {
        return 0;
    };
    let truth: serde_json::Value = serde_json::from_str(&text).unwrap();
    truth["wrong"].as_array().map_or(0, Vec::len)
}

pub fn open(folder: &Path) -> Fixture {
    let job = load(&Call {
        paths: vec![folder.to_owned()],
        ..Call::default()
    })
    .unwrap();
    let found = audit(&job);
    let checked = found
        .coverage
        .iter()
        .filter(|entry| entry.bin == Bin::Agrees)
        .map(|entry| (entry.size.row.line, entry.size.dimension))
        .collect();
    Fixture {
        name: folder.file_name().unwrap().to_string_lossy().into_owned(),
        job,
        checked,
        false_alarms: found.findings.len().saturating_sub(known_slips(folder)),
        known: found.findings,
    }
}

/// What is changed in one row.
#[derive(Clone, Debug)]
pub enum Change {
    Size {
        size: usize,
        wrong: Length,
    },
    /// Length for width, in a row whose grain is stated.
    Swap,
    Count(u32),
    Leave,
    Repeat,
}

#[derive(Clone, Debug)]
pub struct Mistake {
    pub name: &'static str,
    /// What it should be called; `None` where only seeing it counts.
    pub cause: Option<CauseKind>,
    /// Further mistakes that write the same figure.
    pub rivals: BTreeSet<CauseKind>,
    pub row: usize,
    pub change: Change,
}

pub fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

/// Figures nearer than this are one figure.
pub fn same(a: Length, b: Length) -> bool {
    (a - b).abs().mm() < 0.4
}

pub fn cabinet_of<'a>(job: &'a Job, row: &Row) -> Option<&'a MeasuredCabinet> {
    match row.cabinets.first() {
        Some(name) => job.cabinets.iter().find(|cabinet| {
            cabinet.id.eq_ignore_ascii_case(name) || cabinet.same_as.contains(name)
        }),
        None => job.cabinets.first(),
    }
}

/// The axis a size runs along: where the part is drawn as long, or, when it agrees
/// by a relation alone, the one its part is not seen along.
pub fn axis_of(cabinet: &MeasuredCabinet, role: Role, value: Length) -> Option<Axis> {
    let parts = || cabinet.parts.iter().filter(move |part| part.role == role);
    let seen = Axis::ALL.into_iter().find(|&axis| {
        parts()
            .filter_map(|part| part.span(axis))
            .any(|span| (span.length() - value).abs().mm() < 0.8 && span.mm() > 30.0)
    });
    seen.or_else(|| {
        let thin = role.lie()?[2];
        let mut unseen = Axis::ALL
            .into_iter()
            .filter(|axis| *axis != thin && parts().all(|part| part.span(*axis).is_none()));
        match (unseen.next(), unseen.next(), parts().next()) {
            (Some(only), None, Some(_)) => Some(only),
            _ => None,
        }
    })
}

/// Every mistake in every checked size and quantity of a fixture.
pub fn mistakes(fixture: &Fixture) -> Vec<Mistake> {
    let mut out = Vec::new();
    let rows = &fixture.job.lists[0].rows;
    for (row, listed) in rows.iter().enumerate() {
        // A line made of two rows ("Top and bottom") is wrong in both or in none.
        if row > 0 && rows[row - 1].source == listed.source {
            continue;
        }
        let line = listed.source.line;
        for size in 0..listed.sizes.len() {
            if fixture
                .checked
                .contains(&(line, listed.sizes[size].dimension))
            {
                sizes(fixture, row, size, &mut out);
            }
        }
        let upright = matches!(listed.role(), Some(Role::Side | Role::Door | Role::Stile));
        let both = [Dimension::Length, Dimension::Width]
            .iter()
            .all(|dimension| fixture.checked.contains(&(line, *dimension)));
        if upright && both && wrong::is_telling_swap(&fixture.job, listed) {
            out.push(Mistake {
                name: "length and width swapped",
                cause: Some(CauseKind::Swapped),
                rivals: BTreeSet::new(),
                row,
                change: Change::Swap,
            });
        }
        if fixture.checked.contains(&(line, Dimension::Quantity)) {
            counts(fixture, row, &mut out);
        }
    }
    out
}

fn sizes(fixture: &Fixture, row: usize, size: usize, out: &mut Vec<Mistake>) {
    let job = &fixture.job;
    let listed = &job.lists[0].rows[row];
    let right = listed.sizes[size].value;
    let least = if listed.sizes[size].dimension == Dimension::Thickness {
        // Stock is sold under by up to 1/32 in, and passes under its name.
        1.7
    } else {
        1.6
    };
    let mut all = wrong::figures(job, listed, size);
    all.retain(|(_, _, wrong)| wrong.mm() > 1.0 && (*wrong - right).abs().mm() > least);
    let mut tried: Vec<(&str, Length)> = Vec::new();
    for (name, cause, wrong) in &all {
        if tried.iter().any(|(n, w)| n == name && same(*w, *wrong)) {
            continue;
        }
        tried.push((name, *wrong));
        // The same wrong figure may come of several mistakes; which of them it was
        // nobody can tell from the figure.
        let mut rivals: BTreeSet<CauseKind> = all
            .iter()
            .filter(|other| same(other.2, *wrong))
            .map(|other| other.1)
            .chain(rivals::of(job, listed, size, *wrong))
            .collect();
        rivals.remove(cause);
        out.push(Mistake {
            name,
            cause: Some(*cause),
            rivals,
            row,
            change: Change::Size {
                size,
                wrong: *wrong,
            },
        });
    }
}

fn counts(fixture: &Fixture, row: usize, out: &mut Vec<Mistake>) {
    let listed = &fixture.job.lists[0].rows[row];
    let mut push = |name, change| {
        out.push(Mistake {
            name,
            cause: None,
            rivals: BTreeSet::new(),
            row,
            change,
        });
    };
    let count = listed.quantity.count;
    for wrong in [count + 1, count.saturating_sub(1), count * 2] {
        if wrong != count && wrong > 0 {
            push("a wrong quantity", Change::Count(wrong));
        }
    }
    // Fronts and countertops are often ordered apart: a list without any misses none.
    let apart = |row: &Row| {
        matches!(
            row.role(),
            Some(Role::Door | Role::DrawerFront | Role::Countertop)
        )
    };
    let others = fixture.job.lists[0]
        .rows
        .iter()
        .enumerate()
        .any(|(at, other)| at != row && other.role() == listed.role());
    if !apart(listed) || others {
        push("a row left out", Change::Leave);
    }
    push("a row too many", Change::Repeat);
}

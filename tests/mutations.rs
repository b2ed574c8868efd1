//! Every size and quantity of every row of the fixtures changed by each classic
//! mistake: is it caught, is its cause named first, is anything else blamed? And
//! right lists written in other ways: are they silent?
//!
//! `DRYFIT_TABLE=docs/mistakes.md cargo test --test mutations` writes the table;
//! `DRYFIT_EVERY=1` tries every change instead of a sample.

mod common;

use dryfit::audit::{Bin, CauseKind, FindingKind, Job, audit};
use dryfit::cabinet::MeasuredCabinet;
use dryfit::cli::load::{Call, load};
use dryfit::cutlist::{Grain, Row};
use dryfit::length::{Length, Unit};
use dryfit::trade::{Axis, Dimension, Role};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::PathBuf;

/// Line and dimension of a row size.
type Entry = (usize, Dimension);

/// Changes tried in one fixture before only a sample of them is.
const MOST_CHANGES: usize = 400;

#[derive(Default)]
struct Tally {
    tried: usize,
    caught: usize,
    first: usize,
    named: usize,
    alarms: usize,
}

/// A fixture whose right list is silent.
struct Fixture {
    name: String,
    job: Job,
    /// Sizes that were checked and agree: the ones a change must be seen in.
    checked: BTreeSet<Entry>,
    /// Findings of the list as it is (known slips), which are no alarms.
    known: BTreeSet<Entry>,
}

fn folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = std::fs::read_dir(common::fixture("worked"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    folders.push(common::fixture("glaze-room-clean"));
    folders.push(common::fixture("kiln-store"));
    folders.sort();
    folders
}

fn entries(job: &Job) -> BTreeSet<Entry> {
    audit(job)
        .findings
        .iter()
        .flat_map(|finding| finding.row.iter().chain(&finding.also))
        .map(|size| (size.row.line, size.dimension))
        .collect()
}

/// Loads a fixture; `None` with a word when its right list is not silent.
fn open(folder: PathBuf) -> Option<Fixture> {
    let name = folder.file_name()?.to_string_lossy().into_owned();
    let job = load(&Call {
        paths: vec![folder],
        ..Call::default()
    })
    .unwrap();
    let found = audit(&job);
    let known = entries(&job);
    // Known slips are the only findings a fixture may have.
    let slips = [
        ("e06-as-printed", 1),
        ("e10-gap-on-each", 1),
        ("e16-tool-cabinet", 1),
    ];
    let allowed = slips
        .iter()
        .find(|(slip, _)| *slip == name)
        .map_or(0, |(_, n)| *n);
    if found.findings.len() > allowed {
        println!("{name}: left out, its right list is not silent");
        return None;
    }
    let checked = found
        .coverage
        .iter()
        .filter(|entry| entry.bin == Bin::Agrees)
        .map(|entry| (entry.size.row.line, entry.size.dimension))
        .collect();
    Some(Fixture {
        name,
        job,
        checked,
        known,
    })
}

/// What to change in one row, and what it should be called.
enum Change {
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

struct Mistake {
    name: &'static str,
    kinds: Vec<CauseKind>,
    row: usize,
    change: Change,
}

fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

fn cabinet_of<'a>(job: &'a Job, row: &Row) -> Option<&'a MeasuredCabinet> {
    let name = row.cabinets.first()?;
    job.cabinets
        .iter()
        .find(|cabinet| cabinet.id.eq_ignore_ascii_case(name) || cabinet.same_as.contains(name))
}

/// The axis a size runs along, where the part is drawn.
fn axis_of(cabinet: &MeasuredCabinet, role: Role, value: Length) -> Option<Axis> {
    Axis::ALL.into_iter().find(|&axis| {
        cabinet
            .parts
            .iter()
            .filter(|part| part.role == role)
            .filter_map(|part| part.span(axis))
            .any(|span| (span.length() - value).abs().mm() < 0.8 && span.mm() > 30.0)
    })
}

/// Wrong figures for a right one. Every mistake is one a person makes by hand.
fn wrong_sizes(job: &Job, row: &Row, size: usize) -> Vec<(&'static str, CauseKind, Length)> {
    let cell = &row.sizes[size];
    let (value, unit) = (cell.value, cell.unit);
    let mut out = vec![
        ("another unit", CauseKind::Unit, mm(value.mm() * 25.4)),
        ("another unit", CauseKind::Unit, mm(value.mm() / 25.4)),
    ];
    let whole = value.ticks() / unit.ticks();
    let rest = Length::from_ticks(value.ticks() % unit.ticks());
    let digits: Vec<u8> = whole.to_string().into_bytes();
    for at in 1..digits.len() {
        let mut turned = digits.clone();
        turned.swap(at - 1, at);
        let turned: i64 = String::from_utf8(turned).unwrap().parse().unwrap();
        let wrong = Length::from_ticks(turned * unit.ticks()) + rest;
        out.push(("digits transposed", CauseKind::Transposed, wrong));
    }
    if unit == Unit::Inch && rest > Length::ZERO {
        for wrong in [value - rest, value - rest / 2] {
            out.push(("a slipped fraction", CauseKind::SlippedFraction, wrong));
        }
    }
    let (Some(cabinet), Some(role)) = (cabinet_of(job, row), row.role()) else {
        return out;
    };
    let Some(axis) = axis_of(cabinet, role, value) else {
        return out;
    };
    let front = matches!(role, Role::Door | Role::DrawerFront);
    for sign in [1, -1] {
        for stock in thicknesses(cabinet, axis) {
            if !front && axis != Axis::Deep {
                let wrong = value + stock * sign;
                out.push(("a stock thickness", CauseKind::StockThickness, wrong));
            }
        }
        if let Some(toe) = named(cabinet, "toe.height")
            && axis == Axis::High
            && role != Role::ToeKick
        {
            out.push(("the toe kick", CauseKind::ToeKick, value + toe * sign));
        }
    }
    if let (Role::Bottom, Axis::Across, Some(joint)) = (role, axis, named(cabinet, "groove.depth"))
    {
        out.push(("a joint depth", CauseKind::JointDepth, value - joint * 2));
    }
    let spans = cabinet
        .named
        .iter()
        .map(|size| &size.measure.span)
        .chain(sizes(cabinet))
        .chain(
            cabinet
                .openings
                .iter()
                .flat_map(|opening| [&opening.across, &opening.high])
                .flatten(),
        )
        .chain(cabinet.parts.iter().filter_map(|part| part.span(axis)));
    for span in spans {
        if span.axis == axis && span.mm() > 60.0 && !span.is_lower_bound() {
            let wrong = span.length();
            out.push(("another distance", CauseKind::OtherDistance, wrong));
        }
    }
    for other in job.cabinets.iter().filter(|other| other.id != cabinet.id) {
        let twin = other.parts.iter().find(|part| part.role == role);
        if let Some(span) = twin.and_then(|part| part.span(axis)) {
            let wrong = span.length();
            out.push(("a neighbour's figure", CauseKind::OtherCabinet, wrong));
        }
    }
    out
}

fn sizes(cabinet: &MeasuredCabinet) -> impl Iterator<Item = &dryfit::cabinet::Span> {
    [&cabinet.overall, &cabinet.interior]
        .into_iter()
        .flat_map(|sizes| [&sizes.width, &sizes.height, &sizes.depth])
        .filter_map(|size| size.known())
        .map(|measure| &measure.span)
}

fn named(cabinet: &MeasuredCabinet, name: &str) -> Option<Length> {
    cabinet
        .named
        .iter()
        .find(|size| size.name == name)
        .map(|size| size.measure.span.length())
}

fn thicknesses(cabinet: &MeasuredCabinet, axis: Axis) -> Vec<Length> {
    let roles: &[Role] = match axis {
        Axis::Across => &[Role::Side],
        Axis::High => &[Role::Bottom],
        Axis::Deep => &[],
    };
    let mut out: Vec<Length> = cabinet
        .parts
        .iter()
        .filter(|part| roles.contains(&part.role))
        .filter_map(|part| part.span(axis))
        .map(|span| span.length())
        .collect();
    out.sort();
    out.dedup();
    out
}

/// Further mistakes that lead to the same wrong figure: worked out from the
/// drawing's figures alone.
fn as_well(job: &Job, row: &Row, right: Length, wrong: Length) -> Vec<CauseKind> {
    let mut out = Vec::new();
    let (Some(cabinet), Some(role)) = (cabinet_of(job, row), row.role()) else {
        return out;
    };
    let off = (wrong - right).abs();
    let is = |value: Length| (off - value).abs().mm() < 0.4;
    let once_or_twice = |value: Length| is(value) || is(value * 2);
    let axis = axis_of(cabinet, role, right);
    let joined = matches!(
        role,
        Role::Bottom | Role::Top | Role::FixedShelf | Role::Divider | Role::Back
    );
    if joined && axis != Some(Axis::Deep) {
        let depths = ["groove.depth", "rabbet.width", "back.groove"];
        let stated = depths.iter().filter_map(|name| named(cabinet, name));
        let drawn = joints(cabinet, role, axis);
        if stated.chain(drawn).any(once_or_twice) {
            out.push(CauseKind::JointDepth);
        }
    }
    let front = matches!(role, Role::Door | Role::DrawerFront);
    if let Some(axis) = axis {
        if !front && thicknesses(cabinet, axis).into_iter().any(once_or_twice) {
            out.push(CauseKind::StockThickness);
        }
        // A tape hooked on the right edge and read at a wrong one.
        let own = cabinet
            .parts
            .iter()
            .filter(|part| part.role == role)
            .filter_map(|part| part.span(axis))
            .filter(|span| (span.length() - right).abs().mm() < 0.8);
        for span in own {
            let from_same_end = cabinet
                .edges
                .iter()
                .filter(|(_, along, _)| *along == axis)
                .any(|(_, _, edge)| {
                    let from = [edge.at - span.lo.at, span.hi.at - edge.at];
                    from.iter().any(|mm| (mm - wrong.mm()).abs() < 0.4)
                });
            if from_same_end {
                out.push(CauseKind::OtherDistance);
                break;
            }
        }
    }
    // The overlays the fixtures are made with, 1/2 and 3/4 in, once and twice.
    if front && (is(mm(12.7)) || is(mm(25.4)) || is(mm(19.05)) || is(mm(38.1))) {
        out.push(CauseKind::FrontAllowance);
    }
    out
}

/// How far parts of a role reach past the inner faces of the case.
fn joints(cabinet: &MeasuredCabinet, role: Role, axis: Option<Axis>) -> Vec<Length> {
    let inner = match axis {
        Some(Axis::Across) => cabinet.interior.width.known(),
        Some(Axis::High) => cabinet.interior.height.known(),
        _ => None,
    };
    let (Some(inner), Some(axis)) = (inner, axis) else {
        return Vec::new();
    };
    cabinet
        .parts
        .iter()
        .filter(|part| part.role == role)
        .filter_map(|part| part.span(axis))
        .flat_map(|span| [inner.span.lo.at - span.lo.at, span.hi.at - inner.span.hi.at])
        .filter(|depth| (1.0..13.0).contains(depth))
        .map(mm)
        .collect()
}

fn mistakes(fixture: &Fixture) -> Vec<Mistake> {
    let job = &fixture.job;
    let mut out = Vec::new();
    for (row, listed) in job.lists[0].rows.iter().enumerate() {
        let line = listed.source.line;
        for size in 0..listed.sizes.len() {
            let cell = &listed.sizes[size];
            if cell.dimension == Dimension::Thickness
                || !fixture.checked.contains(&(line, cell.dimension))
            {
                continue;
            }
            let mut all = wrong_sizes(job, listed, size);
            all.retain(|(_, _, wrong)| wrong.mm() > 1.0 && (*wrong - cell.value).abs().mm() > 1.6);
            // The same wrong figure may come of several mistakes; which of them it was
            // nobody can tell, so any of their causes is right.
            for (name, _, wrong) in &all {
                let mut kinds: Vec<CauseKind> = all
                    .iter()
                    .filter(|other| (other.2 - *wrong).abs().mm() < 0.4)
                    .map(|other| other.1)
                    .collect();
                kinds.extend(as_well(job, listed, cell.value, *wrong));
                out.push(Mistake {
                    name,
                    kinds,
                    row,
                    change: Change::Size {
                        size,
                        wrong: *wrong,
                    },
                });
            }
        }
        let upright = matches!(listed.role(), Some(Role::Side | Role::Door | Role::Stile));
        let both = [Dimension::Length, Dimension::Width]
            .iter()
            .all(|dimension| fixture.checked.contains(&(line, *dimension)));
        if upright && both {
            out.push(Mistake {
                name: "length and width swapped",
                kinds: vec![CauseKind::Swapped],
                row,
                change: Change::Swap,
            });
        }
        if fixture.checked.contains(&(line, Dimension::Quantity)) {
            let count = listed.quantity.count;
            for wrong in [count + 1, count.saturating_sub(1), count * 2] {
                if wrong != count && wrong > 0 {
                    out.push(mistake("a quantity", row, Change::Count(wrong)));
                }
            }
            // Fronts are often ordered apart: a list without them misses none.
            if !matches!(listed.role(), Some(Role::Door | Role::DrawerFront)) {
                out.push(mistake("a row left out", row, Change::Leave));
            }
            out.push(mistake("a row twice", row, Change::Repeat));
        }
    }
    out
}

fn mistake(name: &'static str, row: usize, change: Change) -> Mistake {
    Mistake {
        name,
        kinds: Vec::new(),
        row,
        change,
    }
}

/// Makes the change, tells what is seen, and undoes it.
fn try_one(fixture: &mut Fixture, mistake: &Mistake, tally: &mut Tally) {
    let row = mistake.row;
    let rows = &mut fixture.job.lists[0].rows;
    let right = rows[row].clone();
    let line = right.source.line;
    let mut entry = (line, Dimension::Quantity);
    let mut label = format!("{} {}", right.cabinet_text, right.part);
    match &mistake.change {
        Change::Size { size, wrong } => {
            let cell = &mut rows[row].sizes[*size];
            let _ = write!(label, " {} for {}", wrong.mm(), cell.text);
            cell.value = *wrong;
            cell.detail.alternatives.clear();
            entry.1 = cell.dimension;
        }
        Change::Swap => {
            let of = |dimension| right.sizes.iter().position(|c| c.dimension == dimension);
            let (Some(length), Some(width)) = (of(Dimension::Length), of(Dimension::Width)) else {
                return;
            };
            if (right.sizes[length].value - right.sizes[width].value)
                .abs()
                .mm()
                < 2.0
            {
                return;
            }
            // Only where the right order, with the grain, is right.
            if axis_of_length(&fixture.job, &right) != Some(Axis::High) {
                return;
            }
            let rows = &mut fixture.job.lists[0].rows;
            rows[row].grain = Grain::AlongLength;
            rows[row].sizes[length].value = right.sizes[width].value;
            rows[row].sizes[width].value = right.sizes[length].value;
            entry.1 = Dimension::Length;
        }
        Change::Count(wrong) => rows[row].quantity.count = *wrong,
        Change::Leave => {
            rows.remove(row);
        }
        Change::Repeat => {
            let mut again = right.clone();
            again.source.line += 100_000;
            rows.push(again);
        }
    }
    let found = audit(&fixture.job);
    let rows = &mut fixture.job.lists[0].rows;
    match mistake.change {
        Change::Leave => rows.insert(row, right),
        Change::Repeat => {
            rows.pop();
        }
        _ => rows[row] = right,
    }
    tally.tried += 1;
    let is_it = |at: (usize, Dimension)| match mistake.change {
        Change::Repeat => (at.0 == line || at.0 == line + 100_000) && at.1 == Dimension::Quantity,
        _ => at == entry,
    };
    let hit = match mistake.change {
        Change::Leave => found
            .findings
            .iter()
            .find(|finding| finding.kind == FindingKind::MissingPart),
        _ => found.findings.iter().find(|finding| {
            finding
                .row
                .iter()
                .chain(&finding.also)
                .any(|size| is_it((size.row.line, size.dimension)))
        }),
    };
    let strays: BTreeSet<Entry> = found
        .findings
        .iter()
        .flat_map(|finding| finding.row.iter().chain(&finding.also))
        .map(|size| (size.row.line, size.dimension))
        .filter(|at| at.0 % 100_000 != line && !fixture.known.contains(at))
        .collect();
    if !strays.is_empty() {
        tally.alarms += 1;
        println!(
            "{}: {}: {label}: also {strays:?}",
            fixture.name, mistake.name
        );
    }
    // A part no row is left for may be said without being called missing.
    let said = matches!(mistake.change, Change::Leave)
        && found
            .unchecked
            .iter()
            .any(|note| note.contains("is in no row"));
    if hit.is_none() && said {
        tally.caught += 1;
        tally.first += 1;
        tally.named += 1;
        return;
    }
    let Some(hit) = hit else {
        println!("{}: {}: {label}: not seen", fixture.name, mistake.name);
        return;
    };
    tally.caught += 1;
    let named = |kind: CauseKind| mistake.kinds.is_empty() || mistake.kinds.contains(&kind);
    let first = mistake.kinds.is_empty() || hit.causes.first().is_some_and(|c| named(c.kind));
    let any = first || hit.causes.iter().any(|cause| named(cause.kind));
    tally.first += usize::from(first);
    tally.named += usize::from(any);
    if !first {
        let causes: Vec<_> = hit.causes.iter().map(|cause| cause.kind).collect();
        println!("{}: {}: {label}: {causes:?}", fixture.name, mistake.name);
    }
}

fn axis_of_length(job: &Job, row: &Row) -> Option<Axis> {
    let length = row.size(Dimension::Length)?;
    axis_of(cabinet_of(job, row)?, row.role()?, length.value)
}

fn table(tallies: &BTreeMap<&'static str, Tally>, fixtures: usize) -> String {
    let mut text = format!(
        "# Classic mistakes\n\nEvery checked size and quantity of {fixtures} fixtures changed by each \
         mistake a person makes\nby hand. *First*: the finding names the mistake as its likeliest \
         cause; *named*: among its likely\ncauses. Where two mistakes make the same wrong figure \
         either counts. *Alarms*: changes for which another\nrow was blamed as well. Written by\n`DRYFIT_EVERY=1 DRYFIT_TABLE=docs/mistakes.md cargo test \
         --test mutations`.\n\n| mistake | tried | caught | first | named | alarms |\n\
         |---|---:|---:|---:|---:|---:|\n"
    );
    let mut all = Tally::default();
    for (name, tally) in tallies {
        let _ = writeln!(
            text,
            "| {name} | {} | {} | {} | {} | {} |",
            tally.tried, tally.caught, tally.first, tally.named, tally.alarms
        );
        all.tried += tally.tried;
        all.caught += tally.caught;
        all.first += tally.first;
        all.named += tally.named;
        all.alarms += tally.alarms;
    }
    let _ = writeln!(
        text,
        "| **all** | {} | {} | {} | {} | {} |",
        all.tried, all.caught, all.first, all.named, all.alarms
    );
    text
}

#[test]
#[ignore = "not every mistake in a back or a row left out is caught yet"]
fn classic_mistakes_are_caught_and_their_causes_named() {
    let every = std::env::var_os("DRYFIT_EVERY").is_some();
    let mut tallies: BTreeMap<&'static str, Tally> = BTreeMap::new();
    let mut fixtures = 0;
    for folder in folders() {
        let Some(mut fixture) = open(folder) else {
            continue;
        };
        fixtures += 1;
        let all = mistakes(&fixture);
        let step = if every {
            1
        } else {
            all.len().div_ceil(MOST_CHANGES).max(1)
        };
        for mistake in all.iter().step_by(step) {
            let tally = tallies.entry(mistake.name).or_default();
            try_one(&mut fixture, mistake, tally);
        }
    }
    let table = table(&tallies, fixtures);
    println!("{table}");
    if let Some(path) = std::env::var_os("DRYFIT_TABLE") {
        std::fs::write(path, &table).unwrap();
    }
    assert!(fixtures > 0, "no fixture's right list is silent");
    let sum = |of: fn(&Tally) -> usize| tallies.values().map(of).sum::<usize>();
    let (tried, caught) = (sum(|t| t.tried), sum(|t| t.caught));
    assert_eq!(caught, tried, "a mistake in a checked size went unseen");
    assert_eq!(sum(|t| t.alarms), 0, "another row was blamed");
    assert!(
        sum(|t| t.first) * 100 >= tried * 95,
        "too few causes come first"
    );
}

/// Every size of the list written anew.
fn rewritten(job: &Job, write: impl Fn(Length) -> Length) -> Job {
    let mut job = job.clone();
    for row in &mut job.lists[0].rows {
        for cell in row.sizes.iter_mut().chain(&mut row.cut_sizes) {
            cell.value = write(cell.value);
        }
    }
    job
}

#[test]
fn right_lists_written_in_other_ways_are_silent() {
    let to = |step: i64| {
        move |length: Length| {
            let steps = (length.ticks() + step / 2) / step;
            Length::from_ticks(steps * step)
        }
    };
    for folder in folders() {
        let Some(fixture) = open(folder) else {
            continue;
        };
        for (way, step) in [
            ("sixteenths of an inch", Length::TICKS_PER_INCH / 16),
            ("hundredths of an inch", Length::TICKS_PER_INCH / 100),
            ("millimetres", Length::TICKS_PER_MM),
            ("tenths of a millimetre", Length::TICKS_PER_MM / 10),
        ] {
            let job = rewritten(&fixture.job, to(step));
            let alarms: Vec<Entry> = entries(&job).difference(&fixture.known).copied().collect();
            assert!(alarms.is_empty(), "{} in {way}: {alarms:?}", fixture.name);
        }
    }
}

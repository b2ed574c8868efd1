//! Every checked size and quantity of every row of the fixtures and worked examples
//! changed by each classic mistake: is it caught, does it lead the report, is its
//! cause named first, is anything else blamed?
//!
//! A sample of the changes is tried; `DRYFIT_EVERY=1` tries every one and holds the
//! table in README.md against what came of it (`DRYFIT_WRITE=1` writes it anew).

mod common;
mod mistakes;

use common::kept;
use dryfit::audit::{Audit, Bin, Finding, FindingKind, audit};
use dryfit::cutlist::{Grain, Row};
use dryfit::trade::Dimension;
use mistakes::tally::{Tallies, Tally, sum, table};
use mistakes::{Change, Entry, Fixture, Mistake, entries, folders, mistakes, open};
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Changes tried in one fixture when only a sample is.
const SAMPLE: usize = 40;
/// Added to the line of a row that is listed twice.
const AGAIN: usize = 100_000;

/// Makes the change in the list.
fn apply(rows: &mut Vec<Row>, mistake: &Mistake) {
    let row = mistake.row;
    match mistake.change {
        Change::Size { size, wrong } => {
            let cell = &mut rows[row].sizes[size];
            cell.value = wrong;
            cell.detail.alternatives.clear();
        }
        Change::Swap => {
            let of = |dimension| {
                let mut cells = rows[row].sizes.iter();
                cells.position(|cell| cell.dimension == dimension).unwrap()
            };
            let (length, width) = (of(Dimension::Length), of(Dimension::Width));
            let (a, b) = (rows[row].sizes[length].value, rows[row].sizes[width].value);
            rows[row].sizes[length].value = b;
            rows[row].sizes[width].value = a;
            rows[row].grain = Grain::AlongLength;
            let of = |dimension| {
                let mut cells = rows[row].cut_sizes.iter();
                cells.position(|cell| cell.dimension == dimension)
            };
            if let (Some(length), Some(width)) = (of(Dimension::Length), of(Dimension::Width)) {
                // Both pairs are swapped in a list that has both.
                let cut = &mut rows[row].cut_sizes;
                (cut[length].value, cut[width].value) = (cut[width].value, cut[length].value);
            }
        }
        Change::Count(wrong) => rows[row].quantity.count = wrong,
        Change::Leave => {
            rows.remove(row);
        }
        Change::Repeat => {
            let mut again = rows[row].clone();
            again.source.line += AGAIN;
            rows.push(again);
        }
    }
}

/// The sizes any of which the mistake may be seen in: the changed one, and the same
/// of a row that has become just like it.
fn where_it_shows(rows: &[Row], mistake: &Mistake, right: &Row) -> BTreeSet<Entry> {
    let line = right.source.line;
    let dimension = match mistake.change {
        Change::Size { size, .. } => right.sizes[size].dimension,
        Change::Swap => Dimension::Length,
        Change::Repeat => {
            return BTreeSet::from([
                (line, Dimension::Quantity),
                (line + AGAIN, Dimension::Quantity),
            ]);
        }
        Change::Count(_) | Change::Leave => Dimension::Quantity,
    };
    let mut out = BTreeSet::from([(line, dimension)]);
    if let Change::Size { .. } = mistake.change {
        let content = |row: &Row| -> Vec<_> {
            row.sizes
                .iter()
                .map(|cell| (cell.dimension, cell.value))
                .collect()
        };
        let changed = &rows[mistake.row];
        for other in rows {
            if other.cabinets == changed.cabinets
                && other.role() == changed.role()
                && content(other) == content(changed)
            {
                out.insert((other.source.line, dimension));
            }
        }
    }
    out
}

struct Seen {
    tally: Tally,
    said: Vec<String>,
}

fn try_one(fixture: &Fixture, mistake: &Mistake) -> Seen {
    let mut job = fixture.job.clone();
    let right = job.lists[0].rows[mistake.row].clone();
    apply(&mut job.lists[0].rows, mistake);
    let found = audit(&job);
    let places = where_it_shows(&job.lists[0].rows, mistake, &right);
    let known: BTreeSet<Entry> = fixture.known.iter().flat_map(entries).collect();
    let fresh: Vec<&Finding> = found
        .findings
        .iter()
        .filter(|finding| !fixture.known.iter().any(|known| is_same(known, finding)))
        .collect();
    let hit = fresh.iter().copied().find(|finding| match mistake.change {
        // Of boards that are alike the row that is left may be said to be too few.
        Change::Leave => {
            finding.kind == FindingKind::MissingPart
                || finding.counts.is_some_and(|(drawn, listed)| drawn > listed)
        }
        _ => entries(finding).any(|at| places.contains(&at)),
    });
    let label = format!(
        "{}: {}: line {} {} {:?}",
        fixture.name, mistake.name, right.source.line, right.part, mistake.change
    );
    let mut seen = Seen {
        tally: Tally {
            tried: 1,
            ..Tally::default()
        },
        said: Vec::new(),
    };
    let tally = &mut seen.tally;
    let others: Vec<&str> = fresh
        .iter()
        .filter(|finding| !hit.is_some_and(|hit| std::ptr::eq(hit, **finding)))
        .map(|finding| finding.message.as_str())
        .chain(strays(hit, &places, &known))
        .collect();
    if !others.is_empty() {
        tally.alarms = 1;
        seen.said.push(format!("{label}: also {others:?}"));
    }
    let Some(hit) = hit else {
        if is_left_open(&found, mistake, &places) {
            // A part no row is left for may be said without being called missing.
            let said = matches!(mistake.change, Change::Leave);
            tally.caught = usize::from(said);
            tally.leads = tally.caught;
            tally.open = usize::from(!said);
            seen.said.push(format!("{label}: left open"));
        } else {
            seen.said.push(format!("{label}: not seen"));
        }
        return seen;
    };
    tally.caught = 1;
    tally.leads = usize::from(
        matches!(mistake.change, Change::Leave)
            || hit.row.is_none()
            || hit
                .row
                .iter()
                .any(|size| places.contains(&(size.row.line, size.dimension))),
    );
    causes(mistake, hit, &label, &mut seen);
    seen
}

/// Says the same as in the list as it was.
fn is_same(a: &Finding, b: &Finding) -> bool {
    a.kind == b.kind && a.message == b.message
}

/// Rows under the finding that the mistake has nothing to do with. A slip the list
/// has anyway may be off by the same amount and stand with it.
fn strays<'a>(
    hit: Option<&'a Finding>,
    places: &BTreeSet<Entry>,
    known: &BTreeSet<Entry>,
) -> Vec<&'a str> {
    hit.into_iter()
        .flat_map(|hit| &hit.also)
        .filter(|size| !places.iter().any(|(line, _)| *line == size.row.line))
        .filter(|size| !known.contains(&(size.row.line, size.dimension)))
        .map(|size| size.part.as_str())
        .collect()
}

/// No longer agrees, and says why it is not checked either.
fn is_left_open(found: &Audit, mistake: &Mistake, places: &BTreeSet<Entry>) -> bool {
    if matches!(mistake.change, Change::Leave) {
        return found
            .unchecked
            .iter()
            .any(|note| note.contains("in no row"));
    }
    found.coverage.iter().any(|entry| {
        entry.bin == Bin::Unchecked
            && !entry.by.is_empty()
            && places.contains(&(entry.size.row.line, entry.size.dimension))
    })
}

fn causes(mistake: &Mistake, hit: &Finding, label: &str, seen: &mut Seen) {
    let Some(cause) = mistake.cause else { return };
    let kinds: Vec<_> = hit.causes.iter().map(|cause| cause.kind).collect();
    let first = kinds.first() == Some(&cause);
    let shown = kinds.contains(&cause);
    let tally = &mut seen.tally;
    if mistake.rivals.is_empty() {
        tally.clear = 1;
        tally.clear_first = usize::from(first);
    } else {
        tally.shared = 1;
        let either = first
            || kinds
                .first()
                .is_some_and(|kind| mistake.rivals.contains(kind));
        tally.shared_first = usize::from(either);
        tally.shared_shown = usize::from(shown);
        if either && shown {
            return;
        }
    }
    if !first {
        seen.said
            .push(format!("{label}: {kinds:?}, rivals {:?}", mistake.rivals));
    }
}

/// Tries a fixture's mistakes: every one, or some spread evenly over all.
fn try_all(fixture: &Fixture, every: bool) -> (Tallies, Vec<String>) {
    let all = mistakes(fixture);
    let step = if every {
        1
    } else {
        all.len().div_ceil(SAMPLE).max(1)
    };
    let mut tallies = Tallies::new();
    let mut said = Vec::new();
    for mistake in all.iter().step_by(step) {
        let seen = try_one(fixture, mistake);
        *tallies.entry(mistake.name).or_default() += seen.tally;
        said.extend(seen.said);
    }
    (tallies, said)
}

#[test]
fn classic_mistakes_are_caught_and_their_causes_named() {
    let every = std::env::var_os("DRYFIT_EVERY").is_some();
    let only = std::env::var("DRYFIT_ONLY").unwrap_or_default();
    let fixtures: Vec<Fixture> = folders()
        .iter()
        .filter(|folder| folder.to_string_lossy().contains(&only))
        .map(|folder| open(folder))
        .collect();
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        while let Some(fixture) = fixtures.get(next.fetch_add(1, Ordering::Relaxed)) {
            done.push((fixture.name.clone(), try_all(fixture, every)));
        }
        done
    };
    let mut done = std::thread::scope(|scope| {
        let helper = scope.spawn(work);
        let mut done = work();
        done.extend(helper.join().unwrap());
        done
    });
    done.sort_by(|a, b| a.0.cmp(&b.0));
    let mut tallies = Tallies::new();
    for (_, (found, said)) in &done {
        for line in said {
            println!("{line}");
        }
        for (name, tally) in found {
            *tallies.entry(name).or_default() += *tally;
        }
    }
    let table = published(&tallies, &fixtures);
    println!("{table}");
    let all = sum(&tallies);
    assert!(all.tried >= 500, "the fixtures are missing");
    if every {
        kept::assert_block(&kept::root("README.md"), "table of mistakes", &table);
    }
    // Where the right list is silent, the drawing was measured right.
    let mut sound = Tally::default();
    for (name, (found, _)) in &done {
        let silent = |fixture: &&Fixture| fixture.name == *name && fixture.false_alarms == 0;
        if fixtures.iter().any(|fixture| silent(&fixture)) {
            sound += sum(found);
        }
    }
    assert!(
        (sound.caught + sound.open) * 1000 >= sound.tried * 998,
        "mistakes went unseen"
    );
    assert!(
        sound.open * 1000 <= sound.tried * 8,
        "too many are left open"
    );
    assert!(
        sound.alarms * 1000 <= sound.tried * 5,
        "other rows are blamed"
    );
    assert!(
        sound.leads * 1000 >= sound.caught * 995,
        "another row leads the report"
    );
    assert!(all.caught * 1000 >= all.tried * 990, "too few are caught");
    assert!(
        all.clear_first * 100 >= all.clear * 95,
        "too few causes come first"
    );
    assert!(
        all.shared_first * 100 >= all.shared * 95,
        "something else comes before both causes"
    );
}

/// The table with what it says of the right lists.
fn published(tallies: &Tallies, fixtures: &[Fixture]) -> String {
    let silent = fixtures.iter().filter(|f| f.false_alarms == 0).count();
    let alarms: usize = fixtures.iter().map(|f| f.false_alarms).sum();
    let loud: Vec<String> = fixtures
        .iter()
        .filter(|f| f.false_alarms > 0)
        .map(|f| format!("{} ({})", f.name, f.false_alarms))
        .collect();
    let tail = match alarms {
        0 => "no false finding on a right list.".to_owned(),
        n => format!(
            "{n} false findings on the right lists of the others: {}.",
            loud.join(", ")
        ),
    };
    format!(
        "{}\n{silent} of {} fixtures are silent when their list is right; {tail}\n",
        table(tallies),
        fixtures.len()
    )
}

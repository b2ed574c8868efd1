//! What is left of an audit once accepted deviations are set aside.

use super::accepted::{Accepted, Entry, Evidence, FileHash};
use super::date::Day;
use super::open::{self, OpenItem};
use super::quote::quote;
use crate::audit::{Audit, Bin, Finding, FindingKind, Job, Outcome, RowSize};
use crate::length::Length;
use crate::plain::file_name;
use std::collections::BTreeSet;

/// Whether an entry still holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum State {
    Holds,
    /// It names something the job still has, on other evidence.
    Void {
        why: String,
    },
    /// The job has nothing of that id any more.
    MatchesNothing,
}

/// An entry and what became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judged {
    pub entry: Entry,
    pub state: State,
}

/// An audit with its accepted deviations.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// The outcome of what is not accepted.
    pub outcome: Outcome,
    pub entries: Vec<Judged>,
    /// For each finding, the entry that accepts it.
    pub findings: Vec<Option<usize>>,
    /// For each of [`open::items`], the entry that accepts it.
    pub open: Vec<Option<usize>>,
}

impl Settled {
    /// How many deviations are accepted and hold.
    pub fn held(&self) -> usize {
        let of = |list: &[Option<usize>]| list.iter().flatten().count();
        of(&self.findings) + of(&self.open)
    }
}

/// Something that can be accepted.
#[derive(Clone, Copy, Debug)]
pub enum Item<'a> {
    Finding(&'a Finding),
    Open(&'a OpenItem<'a>),
}

impl Item<'_> {
    pub fn id(&self) -> &str {
        match self {
            Item::Finding(finding) => &finding.id,
            Item::Open(open) => &open.id,
        }
    }

    pub fn says(&self) -> &str {
        match self {
            Item::Finding(finding) => &finding.message,
            Item::Open(open) => &open.text,
        }
    }

    /// What accepting it rests on. `hash` gives the hash of an input file by its
    /// shown path.
    pub fn evidence(&self, job: &Job, hash: &dyn Fn(&str) -> Option<String>) -> Evidence {
        let mm = |length: Option<Length>| length.map(|length| format!("{:.2} mm", length.mm()));
        let (drawn, listed, sizes, view) = match self {
            Item::Finding(finding) => (
                mm(finding.drawn).or(finding.counts.map(|(drawn, _)| drawn.to_string())),
                mm(finding.listed).or(finding.counts.map(|(_, listed)| listed.to_string())),
                finding
                    .row
                    .iter()
                    .chain(&finding.also)
                    .collect::<Vec<&RowSize>>(),
                finding.measured.as_ref().map(|measured| measured.view),
            ),
            Item::Open(open) => (None, None, open.rows.clone(), None),
        };
        let rows: BTreeSet<String> = sizes.into_iter().map(|size| quote(job, size)).collect();
        // The drawing it was measured in; without one, all of them.
        let sheet = view
            .and_then(|view| job.views.views.get(view))
            .map(|view| view.sheet);
        let drawings: BTreeSet<FileHash> = job
            .sheets
            .iter()
            .enumerate()
            .filter(|(index, _)| sheet.is_none_or(|sheet| sheet == *index))
            .map(|(_, sheet)| FileHash {
                file: file_name(&sheet.file).to_owned(),
                sha256: hash(&sheet.file).unwrap_or_default(),
            })
            .collect();
        Evidence {
            drawn,
            listed,
            rows: rows.into_iter().collect(),
            drawings: drawings.into_iter().collect(),
        }
    }
}

/// Sets accepted deviations aside, each only if it still rests on what it was
/// accepted on.
pub fn settle(
    job: &Job,
    audit: &Audit,
    accepted: &Accepted,
    today: Day,
    hash: &dyn Fn(&str) -> Option<String>,
) -> Settled {
    let open = open::items(audit);
    let mut settled = Settled {
        outcome: audit.outcome,
        entries: Vec::new(),
        findings: vec![None; audit.findings.len()],
        open: vec![None; open.len()],
    };
    for entry in &accepted.accepted {
        let index = settled.entries.len();
        let finding = audit
            .findings
            .iter()
            .position(|finding| finding.id == entry.item);
        let item = open.iter().position(|open| open.id == entry.item);
        let state = match (finding, item) {
            (Some(at), _) => {
                let state = audit
                    .findings
                    .get(at)
                    .map_or(State::MatchesNothing, |finding| {
                        judge(job, entry, Item::Finding(finding), today, hash)
                    });
                if state == State::Holds
                    && let Some(place) = settled.findings.get_mut(at)
                {
                    *place = Some(index);
                }
                state
            }
            (None, Some(at)) => {
                let state = open.get(at).map_or(State::MatchesNothing, |open| {
                    judge(job, entry, Item::Open(open), today, hash)
                });
                if state == State::Holds
                    && let Some(place) = settled.open.get_mut(at)
                {
                    *place = Some(index);
                }
                state
            }
            (None, None) => State::MatchesNothing,
        };
        settled.entries.push(Judged {
            entry: entry.clone(),
            state,
        });
    }
    settled.outcome = outcome(audit, &settled);
    settled
}

fn judge(
    job: &Job,
    entry: &Entry,
    item: Item<'_>,
    today: Day,
    hash: &dyn Fn(&str) -> Option<String>,
) -> State {
    let void = |why: String| State::Void { why };
    if let Some(until) = &entry.until
        && Day::parse(until).is_ok_and(|until| today > until)
    {
        return void(format!("it held until {until}"));
    }
    let (was, now) = (&entry.on, item.evidence(job, hash));
    let size = |size: &Option<String>| size.clone().unwrap_or_else(|| "nothing".to_owned());
    if was.drawn != now.drawn {
        return void(format!(
            "it was accepted on {} drawn; now it is {}",
            size(&was.drawn),
            size(&now.drawn)
        ));
    }
    if was.listed != now.listed {
        return void(format!(
            "it was accepted on {} listed; now it is {}",
            size(&was.listed),
            size(&now.listed)
        ));
    }
    if was.rows != now.rows {
        return void("its rows are not what they were".to_owned());
    }
    if was.drawings != now.drawings {
        return void("the drawing is not what it was".to_owned());
    }
    State::Holds
}

/// As the audit's own outcome, without what is accepted.
fn outcome(audit: &Audit, settled: &Settled) -> Outcome {
    if audit.outcome == Outcome::Unusable {
        return Outcome::Unusable;
    }
    let with = || audit.findings.iter().zip(&settled.findings);
    let of_accepted: BTreeSet<_> = with()
        .filter(|(_, entry)| entry.is_some())
        .flat_map(|(finding, _)| finding.row.iter().chain(&finding.also))
        .map(|size| (&size.row, size.dimension))
        .collect();
    let disagrees = with()
        .any(|(finding, entry)| entry.is_none() && finding.kind != FindingKind::Input)
        || audit.coverage.iter().any(|covered| {
            covered.bin == Bin::Disagrees
                && !of_accepted.contains(&(&covered.size.row, covered.size.dimension))
        });
    let unread =
        with().any(|(finding, entry)| entry.is_none() && finding.kind == FindingKind::Input);
    if disagrees {
        Outcome::Disagrees
    } else if unread || settled.open.iter().any(Option::is_none) {
        Outcome::Unchecked
    } else {
        Outcome::Agrees
    }
}

/// The finding or open item a person means: an id, `F3`, or `U2`.
pub fn find<'a>(audit: &'a Audit, open: &'a [OpenItem<'a>], asked: &str) -> Option<Item<'a>> {
    let numbered = |letter: char| {
        let number = asked.strip_prefix([letter, letter.to_ascii_lowercase()])?;
        number.parse::<usize>().ok()?.checked_sub(1)
    };
    let finding = audit
        .findings
        .iter()
        .find(|finding| finding.id == asked)
        .or_else(|| audit.findings.get(numbered('F')?));
    let item = || {
        open.iter()
            .find(|item| item.id == asked)
            .or_else(|| open.get(numbered('U')?))
    };
    finding
        .map(Item::Finding)
        .or_else(|| item().map(Item::Open))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    fn day(text: &str) -> Day {
        Day::parse(text).unwrap()
    }

    fn hash(_: &str) -> Option<String> {
        Some("aa".to_owned())
    }

    fn entry(job: &Job, item: Item<'_>) -> Entry {
        Entry {
            item: item.id().to_owned(),
            says: item.says().to_owned(),
            reason: "as built".to_owned(),
            by: "Ada".to_owned(),
            date: "2026-01-01".to_owned(),
            until: Some("2026-06-30".to_owned()),
            on: item.evidence(job, &hash),
        }
    }

    /// Everything of the sample accepted.
    fn all(job: &Job, audit: &Audit) -> Accepted {
        let open = open::items(audit);
        let findings = audit.findings.iter().map(Item::Finding);
        Accepted {
            accepted: findings
                .chain(open.iter().map(Item::Open))
                .map(|item| entry(job, item))
                .collect(),
        }
    }

    fn state(settled: &Settled, index: usize) -> &State {
        &settled.entries[index].state
    }

    #[test]
    fn with_everything_accepted_the_job_agrees() {
        let (job, audit) = (sample::job(), sample::audit());
        let accepted = all(&job, &audit);
        let settled = settle(&job, &audit, &accepted, day("2026-06-30"), &hash);
        assert!(
            settled
                .entries
                .iter()
                .all(|judged| judged.state == State::Holds)
        );
        assert_eq!(settled.outcome, Outcome::Agrees);
        // The last day is over.
        let settled = settle(&job, &audit, &accepted, day("2026-07-01"), &hash);
        assert_eq!(settled.outcome, Outcome::Disagrees);
        assert_eq!(settled.held(), 0);
    }

    #[test]
    fn one_thing_not_accepted_keeps_its_outcome() {
        let (job, audit) = (sample::job(), sample::audit());
        let accepted = all(&job, &audit);
        let today = day("2026-01-02");
        for (index, expected) in [
            (0, Outcome::Disagrees),
            // The drawing that could not be read.
            (4, Outcome::Unchecked),
            (accepted.accepted.len() - 1, Outcome::Unchecked),
        ] {
            let mut accepted = accepted.clone();
            accepted.accepted.remove(index);
            let settled = settle(&job, &audit, &accepted, today, &hash);
            assert_eq!(settled.outcome, expected, "{index}");
        }
    }

    #[test]
    fn a_changed_drawing_row_or_size_makes_it_void() {
        let (job, audit) = (sample::job(), sample::audit());
        let accepted = all(&job, &audit);
        let today = day("2026-01-02");
        let why = |job: &Job, audit: &Audit, hash: &dyn Fn(&str) -> Option<String>| match state(
            &settle(job, audit, &accepted, today, hash),
            0,
        ) {
            State::Void { why } => why.clone(),
            other => panic!("{other:?}"),
        };
        assert_eq!(
            why(&job, &audit, &|_| Some("bb".to_owned())),
            "the drawing is not what it was"
        );
        let mut other = job.clone();
        other.lists[0].rows[0].part = "Gable".to_owned();
        assert_eq!(
            why(&other, &audit, &hash),
            "its rows are not what they were"
        );
        let mut other = audit.clone();
        other.findings[0].drawn = Some(sample::inch(1103));
        assert_eq!(
            why(&job, &other, &hash),
            "it was accepted on 876.30 mm drawn; now it is 875.51 mm"
        );
        let mut other = audit.clone();
        other.findings[0].listed = None;
        assert_eq!(
            why(&job, &other, &hash),
            "it was accepted on 787.40 mm listed; now it is nothing"
        );
    }

    #[test]
    fn an_entry_for_something_that_is_gone_matches_nothing() {
        let (job, audit) = (sample::job(), sample::audit());
        let accepted = all(&job, &audit);
        let clean = sample::clean_audit();
        let settled = settle(&job, &clean, &accepted, day("2026-01-02"), &hash);
        assert_eq!(settled.outcome, Outcome::Agrees);
        assert_eq!(*state(&settled, 0), State::MatchesNothing);
    }

    #[test]
    fn people_name_things_by_number_or_id() {
        let audit = sample::audit();
        let open = open::items(&audit);
        let id = |asked| find(&audit, &open, asked).map(|item| item.id().to_owned());
        assert_eq!(id("F1"), Some(audit.findings[0].id.clone()));
        assert_eq!(
            id(&audit.findings[1].id),
            Some(audit.findings[1].id.clone())
        );
        assert_eq!(id("u1"), Some(open[0].id.clone()));
        assert_eq!(id("F99"), None);
        assert_eq!(id("U0"), None);
    }
}

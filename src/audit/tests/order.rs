//! The same result whatever the order of lists, rows, cabinets, parts and edges.

use crate::audit::trial::*;
use crate::audit::{Audit, Job, audit};
use crate::cabinet::DrawnPart;
use crate::length::Unit;
use crate::trade::Role;
use proptest::prelude::*;

fn shuffled<T>(list: &mut [T], mut seed: u64) {
    // A small generator of our own keeps the shuffle independent of the crate under test.
    for at in (1..list.len()).rev() {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        list.swap(at, (seed >> 33) as usize % (at + 1));
    }
}

fn shuffle(job: &mut Job, seed: u64) {
    shuffled(&mut job.lists, seed);
    for list in &mut job.lists {
        shuffled(&mut list.rows, seed ^ 1);
    }
    shuffled(&mut job.cabinets, seed ^ 2);
    for cabinet in &mut job.cabinets {
        shuffled(&mut cabinet.parts, seed ^ 3);
        shuffled(&mut cabinet.edges, seed ^ 4);
        shuffled(&mut cabinet.named, seed ^ 5);
    }
}

fn bytes(audit: &Audit) -> String {
    format!("{audit:#?}")
}

fn mistaken() -> Job {
    let text = format!(
        "{}{}",
        with(&with(BASE_LIST, 0, 3, "31"), 6, 3, "27"),
        with(&with(DRAWERS_LIST, 6, 2, "3"), 1, 3, "15 7/8"),
    );
    let mut job = job(
        vec![
            base("B36", 36.0, 34.5),
            drawers("D18"),
            base("B4", 30.0, 34.5),
        ],
        &text,
        Unit::Inch,
    );
    job.lists.push(list(
        "fronts.csv",
        "B4,Door,2,22,13 7/8,3/4\nB4,Drawer front,1,28,6,3/4\n",
        Unit::Inch,
    ));
    job
}

/// Nothing but its size tells one from another: cabinets of one name, parts called by
/// their kind alone, rows made of one line.
fn alike() -> Job {
    let text = with(&with(&with(BASE_LIST, 0, 3, "31"), 8, 4, "2"), 7, 3, "32");
    let mut small = base("B36", 30.0, 34.5);
    small.overall.width = small.overall.height.clone();
    let mut job = job(
        vec![
            base("B36", 36.0, 34.5),
            small,
            base("B4", 30.0, 34.5),
            base("B4", 30.0, 33.0),
            base("B5", 36.0, 34.5),
        ],
        &format!(
            "{text}{}B5,Rail,1,31,1 1/2,3/4\nB5,Rail,2,32,1 1/2,3/4\n",
            text.replace("B36", "B5")
        ),
        Unit::Inch,
    );
    for part in job.cabinets.iter_mut().flat_map(|of| &mut of.parts) {
        part.name = part.role.word().to_owned();
    }
    let shelf = |part: &&DrawnPart| part.role == Role::AdjustableShelf;
    let own = &mut job.cabinets[4].parts;
    let mut second = own.iter().find(shelf).unwrap().clone();
    let span = second.across.as_mut().unwrap();
    span.hi.at -= 3.0 * IN;
    own.push(second);
    let rows = &mut job.lists[0].rows;
    let last = rows.len() - 1;
    for row in &mut rows[last - 2..] {
        row.source.line = 40;
    }
    job
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn order_changes_nothing(seed in any::<u64>()) {
        for made in [mistaken, alike] {
            let plain = bytes(&audit(&made()));
            let mut job = made();
            shuffle(&mut job, seed);
            prop_assert_eq!(plain, bytes(&audit(&job)));
        }
    }
}

#[test]
fn ids_are_short_stable_and_each_once() {
    let found = run(&mistaken());
    let mut ids: Vec<_> = found.findings.iter().map(|f| f.id.clone()).collect();
    assert!(ids.contains(&"b36-side-length".to_owned()), "{ids:?}");
    let count = ids.len();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), count);
    assert!(ids.iter().all(|id| !id.is_empty() && id.len() < 60));
}

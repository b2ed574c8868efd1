//! The same result whatever the order of lists, rows, cabinets, parts and edges.

use crate::audit::trial::*;
use crate::audit::{Audit, Job, audit};
use crate::length::Unit;
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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn order_changes_nothing(seed in any::<u64>()) {
        let plain = bytes(&audit(&mistaken()));
        let mut job = mistaken();
        shuffle(&mut job, seed);
        prop_assert_eq!(plain, bytes(&audit(&job)));
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

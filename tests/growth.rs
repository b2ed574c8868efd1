//! What a large job costs, without a clock: memory asked for by the whole of a
//! check, from files to report, on two sizes of job, and how much more is held at
//! once for so much more drawing. Work that grows with the square of the job shows
//! in what it collects long before it shows in seconds.

#[path = "../benches/big/mod.rs"]
mod big;
#[allow(dead_code)] // Processor time is for the benches.
#[path = "../benches/costs/mod.rs"]
mod costs;

use dryfit::cli::load::{Call, load};
use dryfit::report::{Format, Report};
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, Stats, StatsAlloc};
use std::alloc::System;

#[global_allocator]
static COUNTED: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

const SMALL: usize = 40;
const LARGE: usize = 400;
/// Most bytes held at once for each byte that a drawing is larger.
const HELD: f64 = 3.0;

/// What a check of so many cabinets asked for, and megabytes of its drawing.
fn check(cabinets: usize) -> (Stats, f64) {
    let home = tempfile::tempdir().unwrap();
    let bytes = big::write(home.path(), "big", cabinets).unwrap();
    let counting = Region::new(COUNTED);
    let call = Call {
        paths: vec![home.path().to_owned()],
        ..Call::default()
    };
    let job = load(&call).unwrap();
    assert_eq!(job.cabinets.len(), cabinets);
    let audit = dryfit::audit::audit(&job);
    let text = Report::new(&job, &audit).render(Format::Text, false);
    assert!(text.contains(&format!("W{cabinets:04}")));
    (counting.change(), bytes as f64 / 1e6)
}

#[test]
fn work_grows_no_faster_than_n_log_n_and_memory_no_faster_than_the_drawing() {
    let (small, small_drawing) = check(SMALL);
    let small_peak = costs::peak();
    let (large, large_drawing) = check(LARGE);
    let large_peak = costs::peak();
    let (n, m) = (SMALL as f64, LARGE as f64);
    let allowed = m * m.ln() / (n * n.ln());
    for (what, small, large) in [
        ("allocations", small.allocations, large.allocations),
        ("bytes", small.bytes_allocated, large.bytes_allocated),
    ] {
        let grown = large as f64 / small as f64;
        println!("{what}: {small} and {large}, {grown:.2} of {allowed:.2} times");
        assert!(
            grown <= allowed,
            "{what}: {grown:.2} times as many for {LARGE} cabinets as for {SMALL}; n log n is {allowed:.2}"
        );
    }
    // Where the system tells.
    if let (Some(small), Some(large)) = (small_peak, large_peak) {
        let held = (large - small) / (large_drawing - small_drawing);
        println!("peaks: {small:.1} and {large:.1} MB, {held:.2} of {HELD} for each MB of drawing");
        assert!(
            held <= HELD,
            "{held:.2} MB held at once for each MB that the drawing is larger"
        );
    }
}

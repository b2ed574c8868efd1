//! What a large job costs: memory asked for by the whole of a check, from files to
//! report, on two sizes of job, how much more is held at once for so much more
//! drawing, and how much longer the processor works. Work that grows with the square
//! of the job shows in what it collects long before it shows in seconds; a loop that
//! collects nothing shows in the processor's time. That is held as a ratio of one run to
//! another, not in seconds, and what else a machine does can only add to it: one round
//! of several within bounds is enough.

#[path = "../benches/big/mod.rs"]
mod big;
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
/// Most bytes held at once for each byte that a drawing is larger: 1.9 to 2.0 were measured.
const HELD: f64 = 2.3;
/// Rounds the processor's time may be taken in.
const ROUNDS: usize = 5;

struct Cost {
    asked: Stats,
    /// Seconds of the processor, where the system tells.
    cpu: Option<f64>,
    /// Megabytes of drawing.
    drawing: f64,
}

/// What a check of so many cabinets costs.
fn check(cabinets: usize) -> Cost {
    let home = tempfile::tempdir().unwrap();
    let bytes = big::write(home.path(), "big", cabinets).unwrap();
    let counting = Region::new(COUNTED);
    let before = costs::cpu();
    let call = Call {
        paths: vec![home.path().to_owned()],
        ..Call::default()
    };
    let job = load(&call).unwrap();
    assert_eq!(job.cabinets.len(), cabinets);
    let audit = dryfit::audit::audit(&job);
    let text = Report::new(&job, &audit).render(Format::Text, false);
    assert!(text.contains(&format!("W{cabinets:04}")));
    Cost {
        asked: counting.change(),
        cpu: costs::cpu()
            .zip(before)
            .map(|(after, before)| after - before),
        drawing: bytes as f64 / 1e6,
    }
}

#[test]
fn work_grows_no_faster_than_n_log_n_and_memory_no_faster_than_the_drawing() {
    let small = check(SMALL);
    let small_peak = costs::peak();
    let large = check(LARGE);
    let large_peak = costs::peak();
    let (n, m) = (SMALL as f64, LARGE as f64);
    let allowed = m * m.ln() / (n * n.ln());
    for (what, small, large) in [
        (
            "allocations",
            small.asked.allocations,
            large.asked.allocations,
        ),
        (
            "bytes",
            small.asked.bytes_allocated,
            large.asked.bytes_allocated,
        ),
    ] {
        let grown = large as f64 / small as f64;
        println!("{what}: {small} and {large}, {grown:.2} of {allowed:.2} times");
        assert!(
            grown <= allowed,
            "{what}: {grown:.2} times as many for {LARGE} cabinets as for {SMALL}; n log n is {allowed:.2}"
        );
    }
    // Where the system tells.
    if let (Some(before), Some(after)) = (small_peak, large_peak) {
        let held = (after - before) / (large.drawing - small.drawing);
        println!(
            "peaks: {before:.1} and {after:.1} MB, {held:.2} of {HELD} for each MB of drawing"
        );
        assert!(
            held <= HELD,
            "{held:.2} MB held at once for each MB that the drawing is larger"
        );
    }
    if let (Some(mut less), Some(mut more)) = (small.cpu, large.cpu) {
        for round in 1.. {
            let grown = more / less;
            println!("processor: {less:.2} and {more:.2} s, {grown:.2} of {allowed:.2} times");
            if grown <= allowed {
                break;
            }
            assert!(
                round < ROUNDS,
                "{grown:.2} times as long for {LARGE} cabinets as for {SMALL}; n log n is {allowed:.2}"
            );
            less = less.min(check(SMALL).cpu.unwrap_or(less));
            more = more.min(check(LARGE).cpu.unwrap_or(more));
        }
    }
}

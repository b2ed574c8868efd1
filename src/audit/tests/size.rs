//! Time grows with the job, not with its square.

use crate::audit::trial::*;
use crate::length::Unit;
use std::time::{Duration, Instant};

/// A job of so many cabinets; every n-th has a wrong figure.
fn time(count: usize, wrong_every: usize) -> Duration {
    let cabinets = (0..count)
        .map(|at| base(&format!("B{at}"), 36.0, 34.5))
        .collect();
    let text: String = (0..count)
        .map(|at| {
            let list = BASE_LIST.replace("B36", &format!("B{at}"));
            if at % wrong_every == 0 {
                with(&list, at / wrong_every % 10, 3, "33 3/16")
            } else {
                list
            }
        })
        .collect();
    let job = job(cabinets, &text, Unit::Inch);
    let start = Instant::now();
    let audit = crate::audit::audit(&job);
    let time = start.elapsed();
    assert!(audit.findings.len() >= count / wrong_every);
    time
}

#[test]
fn ten_times_the_cabinets_take_about_ten_times_as_long() {
    // The least of three, for a busy machine; quadratic work would take a hundred times.
    let least = |count: usize| (0..3).map(|_| time(count, 20)).min().unwrap();
    let (few, many) = (least(40), least(400));
    assert!(many < few * 30, "{few:?} {many:?}");
}

#[test]
#[ignore = "prints times for a person"]
fn times() {
    for (count, wrong) in [
        (100, 1000),
        (1000, 1000),
        (3000, 3000),
        (3000, 3),
        (1000, 1),
    ] {
        println!(
            "{count} cabinets, every {wrong}th wrong: {:?}",
            time(count, wrong)
        );
    }
}

//! When files that are being saved are saved.

use std::time::Duration;

/// Nothing changed for so long: whoever saves is done.
const QUIET: Duration = Duration::from_millis(300);
/// So long when a file is gone or ends too early, for it may not be done.
const PATIENT: Duration = Duration::from_secs(3);
/// So long at most: a file may grow for ever.
const LONGEST: Duration = Duration::from_secs(120);

/// Looks until nothing changes any more. `look` waits a moment and gives what it
/// sees and the time since the start; `is_whole` says whether it looks finished.
pub fn settle<T: PartialEq>(
    mut look: impl FnMut() -> (T, Duration),
    is_whole: impl Fn(&T) -> bool,
) -> T {
    let (mut seen, mut changed) = look();
    loop {
        let (now, time) = look();
        if now != seen {
            seen = now;
            changed = time;
        }
        let quiet = time.saturating_sub(changed);
        let done = quiet >= PATIENT || (quiet >= QUIET && is_whole(&seen));
        if done || time >= LONGEST {
            return seen;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is seen at each time: from these milliseconds on, this number. Gives
    /// the number at the end and the milliseconds taken. Odd numbers are whole.
    fn run(story: &[(u64, u32)]) -> (u32, u64) {
        let mut time = 0;
        let at = |time: u64| {
            let past = story.iter().rev().find(|(from, _)| *from <= time);
            past.map_or(0, |(_, number)| *number)
        };
        let end = settle(
            || {
                time += 50;
                (at(time), Duration::from_millis(time))
            },
            |number| number % 2 == 1,
        );
        (end, time)
    }

    #[test]
    fn saving_in_one_go_is_seen_soon() {
        assert_eq!(run(&[(0, 1)]), (1, 350));
    }

    #[test]
    fn many_writes_are_one_change() {
        let story: Vec<(u64, u32)> = (0..20).map(|n| (u64::from(n) * 200, 2 * n + 1)).collect();
        let (end, time) = run(&story);
        assert_eq!((end, time), (39, 19 * 200 + 300));
    }

    #[test]
    fn half_a_file_is_waited_for() {
        // A pause in the middle, longer than the usual quiet.
        assert_eq!(run(&[(0, 2), (2_500, 3)]), (3, 2_800));
    }

    #[test]
    fn a_file_that_stays_half_is_taken_as_it_is() {
        assert_eq!(run(&[(0, 2)]), (2, 3_050));
    }

    #[test]
    fn a_file_that_never_stops_growing_is_looked_at_all_the_same() {
        let story: Vec<(u64, u32)> = (0..2_000).map(|n| (u64::from(n) * 100, n)).collect();
        let (_, time) = run(&story);
        assert_eq!(time, 120_000);
    }
}

//! A sheet whose figures are all rounded to one step is right, whatever the step.

use super::causes::lying_view;
use crate::audit::FindingKind;
use crate::audit::trial::{BASE_LIST, base_job, run};
use proptest::prelude::*;

/// Sixteenths of an inch as a rule shows them, reduced.
pub(super) fn written(sixteenths: i64) -> String {
    let (whole, mut over, mut under) = (sixteenths / 16, sixteenths % 16, 16);
    while over > 0 && over % 2 == 0 {
        (over, under) = (over / 2, under / 2);
    }
    match (whole, over) {
        (whole, 0) => whole.to_string(),
        (0, over) => format!("{over}/{under}"),
        (whole, over) => format!("{whole} {over}/{under}"),
    }
}

/// How many of the texts over distances (in 64ths of an inch) are told.
fn told(figures: &[(i64, String)]) -> usize {
    let mut job = base_job(BASE_LIST);
    job.views.views = figures
        .iter()
        .map(|(drawn, text)| lying_view(text, *drawn as f64 / 64.0 * 25.4))
        .collect();
    let findings = run(&job).findings;
    let drawing = findings.iter().filter(|f| f.kind == FindingKind::Drawing);
    drawing.count()
}

proptest! {
    #[test]
    fn figures_rounded_to_one_step_are_right(
        drawn in prop::collection::vec(64i64..6400, 1..12),
        step in prop::sample::select(vec![1i64, 2, 4, 8, 16]),
    ) {
        let figures: Vec<_> = drawn
            .into_iter()
            .map(|drawn| {
                let steps = (drawn + 2 * step) / (4 * step);
                (drawn, written(steps * step))
            })
            .collect();
        prop_assert_eq!(told(&figures), 0, "{:?}", figures);
    }

    /// The other way: one that is off by more than the others can be, each of which is
    /// exact, is told.
    #[test]
    fn a_whole_inch_among_sixteenths_is_exact(
        others in prop::collection::btree_set(20i64..40, 2..6),
        wrong in 20i64..40,
        off in 3i64..32,
    ) {
        let mut figures: Vec<_> = others
            .into_iter()
            .map(|inches| (inches * 64 + 4, written(inches * 16 + 1)))
            .collect();
        figures.push((wrong * 64 + off, written(wrong * 16)));
        prop_assert_eq!(told(&figures), 1, "{:?}", figures);
    }
}

//! Banks of drawer fronts that fill one undivided opening. Constructed: a case 450 × 720
//! with reveals of 1.5 at both ends and gaps of 3 between fronts, so that three equal
//! fronts are (720 − 3 − 6) / 3 = 237 high.

use super::inferred::{list, row};
use super::*;
use crate::cabinet::Style;
use crate::construction::checks::{Check, Facts, Topic, Verdict, all};
use crate::construction::job::JobFile;
use crate::cutlist::Row;
use crate::trade::{Dimension, Role};
use crate::view::Reading;

/// Heights and counts of the listed fronts to what is wrong: line and figure, or nothing.
fn judged(fronts: &[(&str, u32)]) -> Vec<(usize, Dimension)> {
    let rules = JobFile::parse(
        "[job]\nunits = \"mm\"\n[construction]\nfront = \"inset\"\n[sizes]\nreveal = 1.5\ngap = 3\n",
        "dryfit.toml",
    )
    .expect("a job file")
    .rules;
    let cabinet = Drawn::new(Style::Frameless, ["486 mm", "756 mm", "560 mm"])
        .opening("18 mm", "450 mm", "18 mm", "720 mm")
        .cabinet;
    let rows: Vec<Row> = fronts
        .iter()
        .enumerate()
        .map(|(line, (high, count))| {
            let high = format!("{high} mm");
            let mut row = row(line + 2, "B1", Role::DrawerFront, "447 mm", &high);
            row.quantity.count = *count;
            row.quantity.column = 3;
            row
        })
        .collect();
    let checks: Vec<Check> = all(&Facts {
        rules: &rules,
        cabinets: &[cabinet],
        lists: &[list(rows)],
        views: &Reading::default(),
    });
    checks
        .into_iter()
        .filter(|check| check.topic == Topic::Fronts && check.verdict == Verdict::Disagrees)
        .flat_map(|check| check.rows)
        .map(|cell| (cell.source.line, cell.dimension))
        .collect()
}

#[test]
fn fronts_and_gaps_fill_the_opening() {
    use Dimension::{Quantity, Width};
    /// Heights with their counts, and the cells that are blamed.
    type Judged<'a> = (&'a [(&'a str, u32)], &'a [(usize, Dimension)]);
    let table: [Judged<'_>; 7] = [
        (&[("237", 3)], &[]),
        (&[("140", 1), ("285", 1), ("286", 1)], &[]),
        // One row: its height; one count that makes all of the difference.
        (&[("247", 3)], &[(2, Width)]),
        (&[("237", 2)], &[(2, Quantity)]),
        (&[("237", 4)], &[(2, Quantity)]),
        // Put right, it would be as high as its neighbour.
        (
            &[("285", 1), ("285.5", 1), ("130.5", 1)],
            &[(2, Width), (3, Width), (4, Width)],
        ),
        (&[("141", 1), ("285", 1), ("275", 1)], &[(4, Width)]),
    ];
    for (fronts, expected) in table {
        assert_eq!(judged(fronts), expected, "{fronts:?}");
    }
}

//! Sizes before and after edge band. What a part measures when its band is on is arithmetic:
//! an edge along the length adds to the width and the other way round. That a shop's band is
//! no thicker than 3 mm is common practice, no source.

use crate::audit::Bin::{self, Agrees, Disagrees, Unchecked};
use crate::audit::trial::*;
use crate::cutlist::{
    Row,
    SizeKind::{self, Cut, Finished, Unstated},
};
use crate::trade::Dimension;

/// The door of the constructed wall unit, drawn 717 by 297, as the last row lists it.
fn door(listed: (f64, f64), change: impl Fn(&mut Row)) -> [Bin; 2] {
    let mut text = with(WALL_LIST, 5, 3, &listed.0.to_string());
    text = with(&text, 5, 4, &listed.1.to_string());
    let mut job = wall_job(&text);
    change(&mut job.lists[0].rows[5]);
    let audit = run(&job);
    let of = |column: usize| {
        let size = |covered: &&crate::audit::Covered| {
            (covered.size.row.line, covered.size.column) == (7, column)
        };
        audit.coverage.iter().find(size).unwrap().bin
    };
    [of(4), of(5)]
}

#[test]
fn sizes_are_held_against_the_drawing_with_their_band_on() {
    let round = (2, 2);
    type Case = (SizeKind, (u8, u8), Option<f64>, (f64, f64), [Bin; 2]);
    let cases: &[Case] = &[
        // 717 - 2 x 2 and 297 - 2 x 2.
        (Cut, round, Some(2.0), (713.0, 293.0), [Agrees, Agrees]),
        (
            Cut,
            round,
            Some(2.0),
            (717.0, 297.0),
            [Disagrees, Disagrees],
        ),
        (Cut, round, Some(2.0), (715.0, 293.0), [Disagrees, Agrees]),
        (Cut, (1, 0), Some(2.0), (717.0, 295.0), [Agrees, Agrees]),
        (Cut, (1, 0), Some(2.0), (717.0, 297.0), [Agrees, Disagrees]),
        (Cut, (0, 1), Some(2.0), (715.0, 297.0), [Agrees, Agrees]),
        (Cut, (0, 1), Some(2.0), (717.0, 297.0), [Disagrees, Agrees]),
        // A band of any thickness from 0 to 3 may come on each edge.
        (Cut, round, None, (713.0, 293.0), [Unchecked, Unchecked]),
        (Cut, round, None, (711.0, 291.0), [Unchecked, Unchecked]),
        (Cut, round, None, (708.0, 293.0), [Disagrees, Unchecked]),
        (Cut, round, None, (713.0, 288.0), [Unchecked, Disagrees]),
        (Cut, round, None, (719.0, 293.0), [Disagrees, Unchecked]),
        (Cut, (1, 0), None, (717.0, 294.0), [Agrees, Unchecked]),
        (Cut, (1, 0), None, (717.0, 292.0), [Agrees, Disagrees]),
        // As large as drawn before its band is on: too large by the band, however thick.
        (Cut, round, None, (717.0, 297.0), [Unchecked, Unchecked]),
        // Nothing says whether the sizes are cut, and they are off by the band.
        (
            Unstated,
            round,
            Some(2.0),
            (713.0, 293.0),
            [Unchecked, Unchecked],
        ),
        (Unstated, round, Some(2.0), (717.0, 297.0), [Agrees, Agrees]),
        (
            Unstated,
            round,
            Some(2.0),
            (715.0, 293.0),
            [Disagrees, Unchecked],
        ),
        (
            Unstated,
            round,
            Some(2.0),
            (709.0, 293.0),
            [Disagrees, Unchecked],
        ),
        (
            Unstated,
            (1, 0),
            Some(2.0),
            (713.0, 295.0),
            [Disagrees, Unchecked],
        ),
        (
            Unstated,
            (0, 0),
            Some(2.0),
            (713.0, 297.0),
            [Disagrees, Agrees],
        ),
        (Unstated, round, None, (713.0, 297.0), [Disagrees, Agrees]),
        (
            Finished,
            round,
            Some(2.0),
            (713.0, 297.0),
            [Disagrees, Agrees],
        ),
        (Finished, round, Some(2.0), (717.0, 297.0), [Agrees, Agrees]),
    ];
    for (kind, along, thickness, listed, bins) in cases {
        let found = door(*listed, |row| {
            row.size_kind = *kind;
            row.band = Some(band(*along, *thickness));
        });
        assert_eq!(found, *bins, "{kind:?} {along:?} {thickness:?} {listed:?}");
    }
}

/// Where no column is a length, the longer of the two is it.
#[test]
fn edges_run_along_the_longer_size_where_no_column_is_a_length() {
    for (along, listed) in [((2, 0), (717.0, 293.0)), ((0, 2), (713.0, 297.0))] {
        let found = door(listed, |row| {
            row.size_kind = Cut;
            row.band = Some(band(along, Some(2.0)));
            row.sizes[0].dimension = Dimension::Height;
        });
        assert_eq!(found, [Agrees, Agrees], "{along:?}");
    }
}

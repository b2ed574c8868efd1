use super::*;
use proptest::prelude::*;

fn seg(ax: f64, ay: f64, bx: f64, by: f64) -> RawSegment {
    RawSegment {
        a: Coord { x: ax, y: ay },
        b: Coord { x: bx, y: by },
        hidden: false,
        source: 0,
    }
}

fn hid(ax: f64, ay: f64, bx: f64, by: f64) -> RawSegment {
    RawSegment {
        hidden: true,
        ..seg(ax, ay, bx, by)
    }
}

fn rect(x: f64, y: f64, w: f64, h: f64) -> Vec<RawSegment> {
    vec![
        seg(x, y, x + w, y),
        seg(x + w, y, x + w, y + h),
        seg(x + w, y + h, x, y + h),
        seg(x, y + h, x, y),
    ]
}

fn balanced(work: &Linework) {
    assert!(
        work.account.imbalance() < 1e-6 * (1.0 + work.account.read),
        "{:?}",
        work.account
    );
    let lines: f64 = work
        .uprights
        .iter()
        .chain(&work.levels)
        .chain(&work.slanted)
        .map(CleanLine::length)
        .sum();
    let account = work.account;
    assert!(
        (lines - account.kept - account.closed).abs() < 1e-6 * (1.0 + account.read),
        "{lines} against {account:?}"
    );
}

#[test]
fn broken_and_doubled_edge_is_one_line() {
    let work = clean(
        &[
            seg(0.0, 0.0, 0.0, 300.0),
            seg(0.0, 876.3, 0.0, 300.0),
            seg(0.0, 100.0, 0.0, 500.0),
        ],
        SNAP_MM,
    );
    assert_eq!(work.uprights.len(), 1);
    assert_eq!(work.uprights[0].length(), 876.3);
    assert_eq!(work.account.repeated, 400.0);
    balanced(&work);
}

#[test]
fn hidden_copy_under_a_visible_line_vanishes_and_a_hidden_rest_is_told() {
    let work = clean(
        &[seg(0.0, 0.0, 500.0, 0.0), hid(0.0, 0.0, 500.0, 0.0)],
        SNAP_MM,
    );
    assert_eq!(work.levels.len(), 1);
    assert!(!work.levels[0].hidden);
    assert!(work.hidden_stretches.is_empty());
    let work = clean(
        &[seg(100.0, 0.0, 500.0, 0.0), hid(0.0, 0.0, 500.0, 0.0)],
        SNAP_MM,
    );
    assert_eq!(work.levels.len(), 1);
    assert_eq!(work.levels[0].length(), 500.0);
    assert_eq!(work.hidden_stretches.len(), 1);
    assert_eq!(work.hidden_stretches[0].length(), 100.0);
    let work = clean(&[hid(0.0, 0.0, 500.0, 0.0)], SNAP_MM);
    assert!(work.levels[0].hidden);
}

#[test]
fn a_sixty_fourth_and_half_a_millimetre_survive() {
    // 1/64 in and an edge band of 0.5 mm.
    for apart in [25.4 / 64.0, 0.5] {
        let mut lines = rect(0.0, 0.0, 600.0, 720.0);
        lines.extend(rect(apart, apart, 600.0 - 2.0 * apart, 720.0 - 2.0 * apart));
        let work = clean(&lines, SNAP_MM);
        let xs: Vec<f64> = work.uprights.iter().map(|l| l.a.x).collect();
        assert_eq!(xs, [0.0, apart, 600.0 - apart, 600.0]);
        balanced(&work);
    }
}

#[test]
fn near_misses_do_not_chain() {
    // Each line is within the snap of the next, but the ends are not one edge.
    let lines: Vec<RawSegment> = (0..20)
        .map(|i| seg(0.2 * f64::from(i), 0.0, 0.2 * f64::from(i), 500.0))
        .collect();
    let work = clean(&lines, SNAP_MM);
    assert!(work.uprights.len() >= 7, "{}", work.uprights.len());
    for line in &work.uprights {
        assert!(lines.iter().any(|l| l.a.x == line.a.x));
    }
    for line in &lines {
        assert!(
            work.uprights
                .iter()
                .any(|l| (l.a.x - line.a.x).abs() <= SNAP_MM)
        );
    }
    balanced(&work);
}

#[test]
fn small_exact_jog_between_separate_edges_stays() {
    // A door edge 0.2 mm beside the edge above it: no overlap, so two edges.
    let work = clean(
        &[seg(0.0, 0.0, 0.0, 300.0), seg(0.2, 303.0, 0.2, 600.0)],
        SNAP_MM,
    );
    assert_eq!(work.uprights.len(), 2);
    assert_eq!(work.uprights[1].a.x, 0.2);
    let work = clean(
        &[seg(0.0, 0.0, 0.0, 300.0), seg(0.2, 300.0, 0.2, 600.0)],
        SNAP_MM,
    );
    assert_eq!(work.uprights.len(), 2);
}

#[test]
fn corners_that_miss_are_closed_and_counted() {
    // Misses of 0.001 and 0.01 in.
    let work = clean(
        &[
            seg(0.254, 0.0, 599.9746, 0.0),
            seg(0.0, 0.254, 0.0, 720.0),
            seg(0.0, 720.0, 600.0, 720.0),
            seg(600.0, 719.746, 600.0, -0.0254),
        ],
        SNAP_MM,
    );
    for line in work.uprights.iter() {
        assert_eq!((line.a.y, line.b.y), (0.0, 720.0));
    }
    for line in work.levels.iter() {
        assert_eq!((line.a.x, line.b.x), (0.0, 600.0));
    }
    balanced(&work);
    // Further than the snap is a gap.
    let work = clean(
        &[seg(0.3, 0.0, 600.0, 0.0), seg(0.0, 0.0, 0.0, 720.0)],
        SNAP_MM,
    );
    assert_eq!(work.levels[0].a.x, 0.3);
}

#[test]
fn leaning_edge_is_straightened_and_a_slant_is_not() {
    let work = clean(&[seg(0.0, 0.0, 0.1, 900.0)], SNAP_MM);
    assert_eq!(work.uprights.len(), 1);
    assert!((work.uprights[0].a.x - 0.05).abs() < 1e-12);
    let work = clean(
        &[seg(0.0, 0.0, 300.0, 700.0), seg(150.0, 350.0, 300.0, 700.0)],
        SNAP_MM,
    );
    assert_eq!(work.slanted.len(), 1);
    assert!((work.slanted[0].length() - 300f64.hypot(700.0)).abs() < 1e-9);
    balanced(&work);
}

#[test]
fn exact_pieces_outweigh_a_leaning_copy() {
    let work = clean(
        &[seg(0.0, 0.0, 0.0, 400.0), seg(0.0, 0.0, 0.25, 900.0)],
        SNAP_MM,
    );
    assert_eq!(work.uprights.len(), 1);
    // The exact piece stands out only when it carries a third of the length.
    assert!(work.uprights[0].a.x.abs() < 0.13);
    let work = clean(
        &[seg(0.0, 0.0, 0.0, 800.0), seg(0.0, 0.0, 0.25, 900.0)],
        SNAP_MM,
    );
    assert_eq!(work.uprights[0].a.x, 0.0);
}

#[test]
fn points_and_nonsense_are_left_out() {
    let work = clean(
        &[
            seg(5.0, 5.0, 5.0, 5.0),
            seg(f64::NAN, 0.0, 1.0, 1.0),
            seg(0.0, 0.0, 0.1, 0.1),
        ],
        SNAP_MM,
    );
    assert!(work.uprights.is_empty() && work.levels.is_empty() && work.slanted.is_empty());
    assert!(work.account.left_out > 0.0);
    balanced(&work);
}

#[test]
fn direction_of_turned_linework_is_found() {
    for degrees in [0.0_f64, 7.0, -30.0, 44.0] {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let turned: Vec<_> = rect(1e6, 1e6, 600.0, 720.0)
            .into_iter()
            .map(|s| {
                let turn = |c: Coord<f64>| Coord {
                    x: c.x * cos - c.y * sin,
                    y: c.x * sin + c.y * cos,
                };
                (turn(s.a), turn(s.b))
            })
            .collect();
        let (angle, share) = dominant_direction(turned).unwrap();
        assert!((angle.to_degrees() - degrees).abs() < 1e-6, "{angle}");
        assert!(share > 0.99);
    }
    assert!(dominant_direction(Vec::new()).is_none());
}

#[test]
fn a_hundred_thousand_collinear_dashes_take_no_time() {
    let mut lines = Vec::new();
    for i in 0..100_000 {
        let x = f64::from(i);
        lines.push(seg(x, 0.0, x + 0.7, 0.0));
        lines.push(seg(x, 0.0, x, 5.0));
    }
    let start = std::time::Instant::now();
    let work = clean(&lines, SNAP_MM);
    assert_eq!(work.levels.len(), 100_000);
    assert!(start.elapsed().as_secs() < 20);
}

fn lines_of(work: &Linework) -> Vec<(i64, i64, i64, i64, bool)> {
    let round = |v: f64| (v * 1e5).round() as i64;
    let mut all: Vec<_> = work
        .uprights
        .iter()
        .chain(&work.levels)
        .map(|l| {
            (
                round(l.a.x),
                round(l.a.y),
                round(l.b.x),
                round(l.b.y),
                l.hidden,
            )
        })
        .collect();
    all.sort_unstable();
    all
}

proptest! {
    #[test]
    fn splitting_shuffling_and_doubling_change_nothing(
        rects in prop::collection::vec((0..40_i32, 0..40_i32, 1..30_i32, 1..30_i32), 1..8),
        cuts in prop::collection::vec(0.05..0.95_f64, 1..40),
        seed in any::<u64>(),
    ) {
        let mut lines = Vec::new();
        for (x, y, w, h) in rects {
            lines.extend(rect(f64::from(x) * 18.25625, f64::from(y) * 25.4, f64::from(w) * 19.05, f64::from(h) * 12.7));
        }
        let whole = clean(&lines, SNAP_MM);
        balanced(&whole);
        let mut broken = Vec::new();
        for (i, line) in lines.iter().enumerate() {
            let cut = cuts[i % cuts.len()];
            let middle = Coord {
                x: line.a.x + (line.b.x - line.a.x) * cut,
                y: line.a.y + (line.b.y - line.a.y) * cut,
            };
            broken.push(RawSegment { b: middle, ..*line });
            broken.push(RawSegment { a: line.b, b: middle, ..*line });
            if cut > 0.5 {
                broken.push(*line);
            }
        }
        // A cheap shuffle that depends on the seed.
        let mut state = seed;
        for i in (1..broken.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            broken.swap(i, (state >> 33) as usize % (i + 1));
        }
        let again = clean(&broken, SNAP_MM);
        balanced(&again);
        prop_assert_eq!(lines_of(&whole), lines_of(&again));
    }

    #[test]
    fn moving_the_drawing_moves_the_lines(dx in -1e3..1e3_f64, dy in -1e3..1e3_f64) {
        let mut lines = rect(0.0, 0.0, 914.4, 876.3);
        lines.extend(rect(38.1, 38.1, 838.2, 533.4));
        lines.push(seg(0.0, 0.0, 838.2, 533.4));
        let still = clean(&lines, SNAP_MM).shifted(Coord { x: dx, y: dy });
        let moved: Vec<RawSegment> = lines
            .iter()
            .map(|l| seg(l.a.x + dx, l.a.y + dy, l.b.x + dx, l.b.y + dy))
            .collect();
        let moved = clean(&moved, SNAP_MM);
        for (p, q) in still.uprights.iter().zip(&moved.uprights) {
            prop_assert!((p.a.x - q.a.x).abs() < 1e-6 && (p.b.y - q.b.y).abs() < 1e-6);
        }
        prop_assert_eq!(still.levels.len(), moved.levels.len());
        prop_assert_eq!(still.slanted.len(), moved.slanted.len());
    }
}

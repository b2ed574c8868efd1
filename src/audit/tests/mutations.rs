//! Every size and quantity of every row changed by each classic mistake: is it
//! caught, is its cause named first, and is anything else blamed?

use crate::audit::trial::*;
use crate::audit::{CauseKind, Job};
use crate::cabinet::MeasuredCabinet;
use crate::length::{Length, Unit};
use crate::trade::{Axis, Dimension, Role};
use std::collections::BTreeMap;

/// What came of the changes of one kind.
#[derive(Default, Debug)]
struct Tally {
    tried: usize,
    caught: usize,
    first: usize,
    among: usize,
    alarms: usize,
}

struct Shop {
    cabinets: fn() -> Vec<MeasuredCabinet>,
    text: String,
    unit: Unit,
}

fn inch_list() -> String {
    let narrow = "\
B24,Side,2,34 1/2,23 1/4,3/4
B24,Bottom,1,22 1/2,23,3/4
B24,Stretcher,2,22,4,3/4
B24,Back,1,29 3/4,22 3/4,1/4
B24,Shelf,1,21 7/8,22 1/2,3/4
B24,Toe kick,1,23 1/2,4,1/4
B24,Stile,2,30 1/2,1 1/2,3/4
B24,Rail,3,21,1 1/2,3/4
B24,Drawer front,1,22,6,3/4
B24,Door,2,22,10 15/16,3/4
";
    format!("{BASE_LIST}{narrow}{DRAWERS_LIST}")
}

fn shops() -> [Shop; 2] {
    [
        Shop {
            cabinets: || {
                vec![
                    base("B36", 36.0, 34.5),
                    base("B24", 24.0, 34.5),
                    drawers("D18"),
                ]
            },
            text: inch_list(),
            unit: Unit::Inch,
        },
        Shop {
            cabinets: || vec![wall("W60")],
            text: WALL_LIST.to_owned(),
            unit: Unit::Millimetre,
        },
    ]
}

impl Shop {
    fn job(&self) -> Job {
        job((self.cabinets)(), &self.text, self.unit)
    }
}

/// Wrong values for a size that is right, with the cause that led to them.
fn wrong_values(
    job: &Job,
    row: usize,
    size: usize,
    unit: Unit,
) -> Vec<(&'static str, CauseKind, Length)> {
    let listed = &job.lists[0].rows[row];
    let cell = &listed.sizes[size];
    let value = cell.value;
    let cabinet = job
        .cabinets
        .iter()
        .find(|cabinet| cabinet.id == listed.cabinets[0])
        .unwrap();
    let role = listed.role().unwrap();
    let part = cabinet.parts.iter().find(|part| part.role == role).unwrap();
    let axis = Axis::ALL
        .into_iter()
        .find(|&axis| (part.span(axis).unwrap().length() - value).abs().mm() < 0.1);
    let mut out = Vec::new();
    let mm = |mm: f64| Length::from_mm(mm).unwrap();
    let stock = mm(match (unit, role) {
        (Unit::Inch, Role::BoxSide) => 12.7,
        (Unit::Inch, _) => 19.05,
        _ => 18.0,
    });
    out.push(("other unit", CauseKind::Unit, mm(value.mm() * 25.4)));
    out.push(("other unit", CauseKind::Unit, mm(value.mm() / 25.4)));
    for wrong in [value + stock, value - stock] {
        let front = matches!(role, Role::Door | Role::DrawerFront);
        if !front && axis != Some(Axis::Deep) {
            out.push(("stock thickness", CauseKind::StockThickness, wrong));
        }
    }
    let joint = mm(if unit == Unit::Inch { 6.35 } else { 7.0 });
    if matches!(role, Role::Bottom) && axis == Some(Axis::Across) && unit == Unit::Inch {
        out.push(("joint depth", CauseKind::JointDepth, value - joint * 2));
        out.push(("joint depth", CauseKind::JointDepth, value + joint * 2));
    }
    if unit == Unit::Inch && axis == Some(Axis::High) && role != Role::ToeKick {
        out.push(("toe kick", CauseKind::ToeKick, value - mm(101.6)));
        out.push(("toe kick", CauseKind::ToeKick, value + mm(101.6)));
    }
    if matches!(role, Role::Door | Role::DrawerFront) && unit == Unit::Inch {
        out.push(("overlay", CauseKind::FrontAllowance, value + mm(25.4)));
        out.push(("overlay", CauseKind::FrontAllowance, value + mm(12.7)));
    }
    let whole = value.ticks() / unit.ticks();
    let rest = Length::from_ticks(value.ticks() % unit.ticks());
    if (10..100).contains(&whole) && whole / 10 != whole % 10 {
        let turned = (whole % 10) * 10 + whole / 10;
        let wrong = Length::from_ticks(turned * unit.ticks()) + rest;
        out.push(("digits", CauseKind::Transposed, wrong));
    }
    if unit == Unit::Inch && rest > Length::ZERO {
        out.push(("fraction", CauseKind::SlippedFraction, value - rest));
        out.push(("fraction", CauseKind::SlippedFraction, value - rest / 2));
    }
    if let Some(axis) = axis {
        for other in &job.cabinets {
            if other.id == cabinet.id {
                continue;
            }
            for twin in other.parts.iter().filter(|part| part.role == role).take(1) {
                let wrong = twin.span(axis).unwrap().length();
                out.push(("other cabinet", CauseKind::OtherCabinet, wrong));
            }
        }
        let sizes = [
            &cabinet.overall.width,
            &cabinet.overall.height,
            &cabinet.overall.depth,
            &cabinet.interior.width,
            &cabinet.interior.height,
            &cabinet.interior.depth,
        ];
        for size in sizes.into_iter().filter_map(|size| size.known()) {
            if size.span.axis == axis {
                out.push((
                    "other distance",
                    CauseKind::OtherDistance,
                    size.span.length(),
                ));
            }
        }
        for opening in &cabinet.openings {
            for span in [&opening.across, &opening.high].into_iter().flatten() {
                if span.axis == axis {
                    out.push(("other distance", CauseKind::OtherDistance, span.length()));
                }
            }
        }
    }
    if let Some(axis) = axis {
        for part in &cabinet.parts {
            let wrong = part.span(axis).unwrap().length();
            if wrong.mm() > 30.0 {
                out.push(("row above or below", CauseKind::OtherDistance, wrong));
            }
        }
    }
    let tolerance = mm(0.8);
    out.retain(|(_, _, wrong)| *wrong > Length::ZERO && (*wrong - value).abs() > tolerance * 2);
    out
}

fn judge(
    job: &Job,
    line: usize,
    dimension: Dimension,
    kinds: &[CauseKind],
    tally: &mut Tally,
    label: &str,
) {
    let audit = crate::audit::audit(job);
    tally.tried += 1;
    let hit = audit.findings.iter().find(|finding| {
        at(finding) == Some((line, dimension))
            || finding
                .also
                .iter()
                .any(|size| size.row.line == line && size.dimension == dimension)
    });
    let strays = audit
        .findings
        .iter()
        .flat_map(|finding| finding.row.iter().chain(&finding.also))
        .filter(|size| size.row.line != line)
        .count();
    tally.alarms += strays;
    if strays > 0 {
        println!("ALARM {label}");
        for finding in &audit.findings {
            println!("    {}", finding.message);
        }
    }
    let Some(hit) = hit else {
        println!("MISSED {label}");
        return;
    };
    tally.caught += 1;
    if kinds.is_empty() {
        tally.first += 1;
        return;
    }
    let named = |kind: CauseKind| kinds.contains(&kind);
    if hit.causes.first().is_some_and(|cause| named(cause.kind)) {
        tally.first += 1;
        tally.among += 1;
    } else if hit.causes.iter().any(|cause| named(cause.kind)) {
        tally.among += 1;
        println!("second {label}");
        for cause in &hit.causes {
            println!(
                "    {:?}: {} {:?}",
                cause.kind, cause.sentence, cause.evidence
            );
        }
    } else {
        println!("other {label}: {}", hit.message);
        for cause in &hit.causes {
            println!(
                "    {:?}: {} {:?}",
                cause.kind, cause.sentence, cause.evidence
            );
        }
    }
}

#[test]
fn classic_mistakes_are_caught_and_named() {
    let mut table: BTreeMap<&'static str, Tally> = BTreeMap::new();
    for shop in shops() {
        let right = shop.job();
        assert!(crate::audit::audit(&right).findings.is_empty());
        // One cabinet's rows; the others stand by with their figures.
        for row in 0..right.lists[0].rows.len().min(10) {
            let line = row + 2;
            for size in 0..2 {
                let dimension = right.lists[0].rows[row].sizes[size].dimension;
                let all = wrong_values(&right, row, size, shop.unit);
                for &(name, kind, wrong) in &all {
                    // The same wrong figure may come of two classic mistakes; which
                    // of them it was nobody can tell.
                    let kinds: Vec<CauseKind> = all
                        .iter()
                        .filter(|other| other.2 == wrong)
                        .map(|other| other.1)
                        .collect();
                    let _ = kind;
                    let mut job = shop.job();
                    let listed = &mut job.lists[0].rows[row];
                    let label = format!(
                        "{name}: {} {} {dimension:?} {} -> {:.3}",
                        listed.cabinets[0],
                        listed.part,
                        listed.sizes[size].text,
                        wrong.mm() / shop.unit.mm()
                    );
                    listed.sizes[size].value = wrong;
                    let tally = table.entry(name).or_default();
                    judge(&job, line, dimension, &kinds, tally, &label);
                }
            }
            let count = right.lists[0].rows[row].quantity.count;
            for wrong in [count + 1, count * 2, count.saturating_sub(1)] {
                let mut job = shop.job();
                job.lists[0].rows[row].quantity.count = wrong;
                let tally = table.entry("quantity").or_default();
                let label = format!("quantity of line {line}: {wrong}");
                judge(&job, line, Dimension::Quantity, &[], tally, &label);
            }
        }
    }
    println!(
        "{:16} {:>6} {:>6} {:>6} {:>6} {:>6}",
        "", "tried", "caught", "first", "among", "alarms"
    );
    let mut all = Tally::default();
    for (name, tally) in &table {
        println!(
            "{name:16} {:>6} {:>6} {:>6} {:>6} {:>6}",
            tally.tried, tally.caught, tally.first, tally.among, tally.alarms
        );
        all.tried += tally.tried;
        all.caught += tally.caught;
        all.first += tally.first;
        all.alarms += tally.alarms;
    }
    println!("{all:?}");
    assert_eq!(all.caught, all.tried);
    assert_eq!(all.alarms, 0);
}

//! Hinge bores, listed and drawn.

use super::inferred::list;
use super::*;
use crate::cabinet::{MeasuredCabinet, Style};
use crate::construction::checks::{Check, Facts, Topic, Verdict, all};
use crate::construction::job::JobFile;
use crate::cutlist::*;
use crate::trade::{Dimension, Role};
use crate::view::Reading;

const BORES: &str = "[job]\nunits = \"mm\"\n[sizes]\nhinge.edge = 5\nhinge.bore = 35\n";

/// Constructed: a wall cabinet 600 × 720 with doors 297 × 717, 1.5 mm above its lower
/// edge, hinge centres 100 mm from the case's top and bottom: 98.5 from the door's ends.
fn cabinet(id: &str) -> MeasuredCabinet {
    let mut cabinet = Drawn::new(Style::Frameless, ["600 mm", "720 mm", "320 mm"])
        .part(Role::Door, Axis::High, "1.5 mm", "718.5 mm")
        .cabinet;
    cabinet.id = id.to_owned();
    cabinet
}

pub(super) fn cell(dimension: Dimension, mm: &str) -> SizeCell {
    let mut row = super::inferred::row(1, "W1", Role::Door, "1", "1");
    let mut cell = row.sizes.remove(0);
    cell.dimension = dimension;
    cell.text = mm.to_owned();
    cell.value = size(&format!("{mm} mm"));
    cell
}

pub(super) fn bored(line: usize, cabinet: &str, marks: &[(FromEdge, &str)]) -> BoringRow {
    BoringRow {
        source: RowSource {
            file: "boring.csv".into(),
            sheet: None,
            line,
        },
        cabinets: vec![cabinet.to_owned()],
        cabinet_text: cabinet.to_owned(),
        part: "Door".to_owned(),
        reading: Reading_::As {
            role: Role::Door,
            synonym: "door".to_owned(),
            score: 1.0,
        },
        quantity: Quantity {
            count: 2,
            per: Per::Cabinet,
            text: "2".to_owned(),
            column: 3,
        },
        hinge_side: None,
        sizes: vec![
            cell(Dimension::Height, "717"),
            cell(Dimension::Width, "297"),
        ],
        marks: marks
            .iter()
            .map(|(from, mm)| BoringMark {
                from: *from,
                size: cell(Dimension::Height, mm),
            })
            .collect(),
        centre_from_edge: None,
        rim_from_edge: None,
        diameter: None,
        note: None,
    }
}

use crate::cutlist::Reading as Reading_;
use FromEdge::{Bottom, Top};

pub(super) fn run(keys: &str, cabinets: &[MeasuredCabinet], borings: Vec<BoringRow>) -> Vec<Check> {
    run_with(keys, BORES, cabinets, borings)
}

/// By another beginning of the job file.
pub(super) fn run_with(
    keys: &str,
    job: &str,
    cabinets: &[MeasuredCabinet],
    borings: Vec<BoringRow>,
) -> Vec<Check> {
    let rules = JobFile::parse(&format!("{job}{keys}"), "dryfit.toml")
        .unwrap_or_else(|error| panic!("{error}"))
        .rules;
    let mut list = list(Vec::new());
    list.borings = borings;
    all(&Facts {
        rules: &rules,
        cabinets,
        lists: &[list],
        views: &Reading::default(),
    })
    .into_iter()
    .filter(|check| check.topic == Topic::HingeBores)
    .collect()
}

pub(super) fn wrong(checks: &[Check]) -> Vec<&str> {
    checks
        .iter()
        .filter(|check| check.verdict == Verdict::Disagrees)
        .map(|check| check.sentence.as_str())
        .collect()
}

#[test]
fn bores_from_both_ends_alike_and_at_the_stated_distance() {
    let right = [(Top, "98.5"), (Bottom, "98.5")];
    let checks = run(
        "hinge.from-end = 98.5",
        &[cabinet("W1"), cabinet("W2")],
        vec![bored(2, "W1", &right), bored(3, "W2", &right)],
    );
    assert_eq!(wrong(&checks), [] as [&str; 0]);
    assert_eq!(checks.len(), 4, "each end of each door is said to agree");
    // The cabinet's figure taken for the door's: 100 from the door's end.
    let checks = run(
        "hinge.from-end = 98.5",
        &[cabinet("W1")],
        vec![bored(2, "W1", &[(Top, "100"), (Bottom, "98.5")])],
    );
    assert_eq!(
        wrong(&checks),
        ["W1 'Door': its upper bore is 100 mm from the end; the shop bores at 98.5 mm"]
    );
    // Not stated, an uneven door is pointed at among even ones, and only there.
    let uneven = [(Top, "100"), (Bottom, "98.5")];
    let alone = run("", &[cabinet("W1")], vec![bored(2, "W1", &uneven)]);
    assert_eq!(alone, []);
    let mut other = bored(3, "W2", &right);
    other.sizes[0] = cell(Dimension::Height, "716");
    let mut third = bored(4, "W3", &right);
    third.sizes[0] = cell(Dimension::Height, "715");
    let cabinets = [cabinet("W1"), cabinet("W2"), cabinet("W3")];
    let among = run("", &cabinets, vec![bored(2, "W1", &uneven), other, third]);
    assert_eq!(among.len(), 1);
    assert_eq!(among[0].verdict, Verdict::Unchecked);
    assert!(among[0].sentence.contains("state `hinge.from-end`"));
    // A single mark says only how far it is from its own edge.
    let one = run(
        "hinge.from-end = 98.5",
        &[cabinet("W1")],
        vec![bored(2, "W1", &[(Top, "98.5")])],
    );
    assert_eq!(wrong(&one), [] as [&str; 0]);
    assert_eq!(one.len(), 1);
}

#[test]
fn one_edge_and_the_same_places_on_doors_of_a_size() {
    let usual = [(Bottom, "98.5"), (Bottom, "618.5")];
    let cabinets = [cabinet("W1"), cabinet("W2"), cabinet("W3")];
    let borings = |third: &[(FromEdge, &str)]| {
        vec![
            bored(2, "W1", &usual),
            bored(3, "W2", &usual),
            bored(4, "W3", third),
        ]
    };
    assert_eq!(wrong(&run("", &cabinets, borings(&usual))), [] as [&str; 0]);
    // The same bores, but measured from the other end.
    let turned = run("", &cabinets, borings(&[(Top, "98.5"), (Top, "618.5")]));
    assert_eq!(
        wrong(&turned),
        [
            "W3 'Door': its bores are measured from the top, those of the other doors from the bottom"
        ]
    );
    // One bore elsewhere.
    let moved = run(
        "",
        &cabinets,
        borings(&[(Bottom, "98.5"), (Bottom, "608.5")]),
    );
    assert_eq!(
        wrong(&moved),
        [
            "W3 'Door': its bores are 98.5 mm, 608.5 mm above its lower end, those of other doors \
             of its size 98.5 mm, 618.5 mm"
        ]
    );
    let off = run("", &cabinets, borings(&[(Bottom, "98.5"), (Bottom, "720")]));
    assert!(
        wrong(&off).contains(&"W3 'Door': a bore 720 mm from the end is not on a door 717 mm high"),
        "{:?}",
        wrong(&off)
    );
}

/// Hinge cups are 35 mm across; their centre is the edge distance and 17.5 mm from the
/// door's edge (tables of hinge makers): 3, 4, 5, 6 give 20.5, 21.5, 22.5, 23.5.
#[test]
fn the_centre_is_edge_distance_and_half_the_bore_on_the_hinge_side() {
    for (rim, centre) in [("3", "20.5"), ("4", "21.5"), ("5", "22.5"), ("6", "23.5")] {
        let mut row = bored(2, "W1", &[(Bottom, "98.5")]);
        row.rim_from_edge = Some(cell(Dimension::Width, rim));
        row.centre_from_edge = Some(cell(Dimension::Width, centre));
        let checks = run("", &[cabinet("W1")], vec![row.clone()]);
        assert_eq!(wrong(&checks), [] as [&str; 0], "{rim}");
        // From the raw edge, before 2 mm of band.
        row.centre_from_edge = Some(cell(
            Dimension::Width,
            &format!("{}", centre.parse::<f64>().expect("a number") - 2.0),
        ));
        assert_eq!(
            wrong(&run("", &[cabinet("W1")], vec![row])).len(),
            1,
            "{rim}"
        );
    }
    // On the latch side: 297 - 22.5.
    let mut row = bored(2, "W1", &[(Bottom, "98.5")]);
    row.centre_from_edge = Some(cell(Dimension::Width, "274.5"));
    let checks = run("", &[cabinet("W1")], vec![row]);
    let wrong = wrong(&checks);
    assert_eq!(wrong.len(), 2);
    assert!(
        wrong
            .iter()
            .any(|sentence| sentence.contains("22.5 mm from it")),
        "{wrong:?}"
    );
}

#[test]
fn hinges_clear_of_fixed_shelves() {
    let with_shelf = |low: &str, high: &str| {
        let mut cabinet = cabinet("W1");
        cabinet.parts.extend(
            Drawn::new(Style::Frameless, ["1", "1", "1"])
                .part(Role::FixedShelf, Axis::High, low, high)
                .cabinet
                .parts,
        );
        let row = bored(2, "W1", &[(Bottom, "98.5"), (Bottom, "618.5")]);
        let checks = run("", &[cabinet], vec![row]);
        wrong(&checks).len()
    };
    // The lower bore stands from 82.5 to 117.5 above the case's lower edge.
    assert_eq!(with_shelf("300 mm", "318 mm"), 0);
    assert_eq!(with_shelf("110 mm", "128 mm"), 1);
    assert_eq!(with_shelf("117.5 mm", "135.5 mm"), 0);
}

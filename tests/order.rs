//! The same job gives the same bytes, whatever the order of files and entities; and
//! the same findings, whatever the order of rows.

mod common;

use common::fixture;
use serde_json::Value;
use std::path::Path;

/// A sequence that looks random and is the same every time (the multiplier of
/// D. H. Lehmer's generator as in Park and Miller, CACM 31, 1988).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        (self.0 % n as u64) as usize
    }

    fn shuffle<T>(&mut self, items: &mut [T]) {
        for at in (1..items.len()).rev() {
            items.swap(at, self.below(at + 1));
        }
    }
}

/// Group codes and values in pairs, the entities of the drawing in another order.
fn shuffled_entities(text: &str, dice: &mut Dice) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let pairs: Vec<[&str; 2]> = lines
        .chunks_exact(2)
        .map(|pair| [pair[0], pair[1]])
        .collect();
    let start = pairs
        .windows(2)
        .position(|two| two[0][1].trim() == "SECTION" && two[1][1].trim() == "ENTITIES")
        .unwrap()
        + 2;
    let end = start
        + pairs[start..]
            .iter()
            .position(|pair| pair[0].trim() == "0" && pair[1].trim() == "ENDSEC")
            .unwrap();
    let mut entities: Vec<Vec<[&str; 2]>> = Vec::new();
    for pair in &pairs[start..end] {
        let follows = ["VERTEX", "SEQEND", "ATTRIB"].contains(&pair[1].trim());
        if pair[0].trim() == "0" && !follows {
            entities.push(Vec::new());
        }
        entities.last_mut().unwrap().push(*pair);
    }
    assert!(entities.len() > 20, "hardly any entity to shuffle");
    dice.shuffle(&mut entities);
    let all = pairs[..start]
        .iter()
        .chain(entities.iter().flatten())
        .chain(&pairs[end..]);
    all.map(|[code, value]| format!("{code}\n{value}\n"))
        .collect()
}

/// `dryfit check ARGUMENTS --format json`, said in a folder.
fn check(folder: &Path, arguments: &[&str]) -> Vec<u8> {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .current_dir(folder)
        .arg("check")
        .args(arguments)
        .args(["--format", "json"])
        .output()
        .unwrap();
    assert!(!output.stdout.is_empty());
    output.stdout
}

/// Drawing, list, and a second list cut from the first.
fn job(fixture_name: &str) -> (String, String, String) {
    let folder = fixture(fixture_name);
    let name = "glaze-room";
    let drawing = std::fs::read_to_string(folder.join(format!("{name}.dxf"))).unwrap();
    let list = std::fs::read_to_string(folder.join(format!("{name}.csv"))).unwrap();
    let lines: Vec<&str> = list.lines().collect();
    let half = lines.len() / 2;
    let first = format!("{}\n", lines[..half].join("\n"));
    let second = format!("{}\n{}\n", lines[0], lines[half..].join("\n"));
    (drawing, first, second)
}

#[test]
fn files_and_entities_in_any_order_give_the_same_bytes() {
    let (drawing, first, second) = job("glaze-room");
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("a.dxf", &drawing);
    write("b.csv", &first);
    write("c.csv", &second);
    let right = check(folder.path(), &["a.dxf", "b.csv", "c.csv"]);
    for order in [
        ["c.csv", "b.csv", "a.dxf"],
        ["b.csv", "a.dxf", "c.csv"],
        ["c.csv", "a.dxf", "b.csv"],
    ] {
        assert!(check(folder.path(), &order) == right, "{order:?}");
    }
    let mut dice = Dice(20_240_229);
    for turn in 0..3 {
        write("a.dxf", &shuffled_entities(&drawing, &mut dice));
        let found = check(folder.path(), &["a.dxf", "b.csv", "c.csv"]);
        assert!(found == right, "entities in another order, turn {turn}");
    }
}

/// What a finding says apart from where its rows stand.
fn content(report: &[u8]) -> Vec<String> {
    let json: Value = serde_json::from_slice(report).unwrap();
    let mut out: Vec<String> = json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| {
            let mut also: Vec<String> = finding["also"]
                .as_array()
                .unwrap()
                .iter()
                .map(|row| format!("{} {} {}", row["part"], row["dimension"], row["text"]))
                .collect();
            also.sort();
            format!(
                "{} {} {} {} {} {} {:?} {also:?}",
                finding["kind"],
                finding["cabinet"],
                finding["part"],
                finding["dimension"],
                finding["drawn_mm"],
                finding["listed_mm"],
                finding["cause"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|cause| cause["sentence"].to_string())
                    .collect::<Vec<_>>(),
            )
        })
        .collect();
    out.sort();
    let totals = &json["coverage"]["totals"];
    out.push(totals.to_string());
    out
}

#[test]
fn rows_in_any_order_give_the_same_findings() {
    let (drawing, first, second) = job("glaze-room");
    let head = first.lines().next().unwrap().to_owned();
    // Two further mistakes, so that rows are fought over.
    let body: Vec<String> = first
        .lines()
        .skip(1)
        .chain(second.lines().skip(1))
        .map(|line| match line {
            _ if line.starts_with("B3,Drawer front,1,16,6") => {
                line.replacen("16,6", "16,10 3/4", 1)
            }
            _ if line.starts_with("T1,Door,2,28") => line.replacen("28", "27", 1),
            _ => line.to_owned(),
        })
        .collect();
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.dxf"), &drawing).unwrap();
    let run = |rows: &[String]| {
        let text = format!("{head}\n{}\n", rows.join("\n"));
        std::fs::write(folder.path().join("b.csv"), text).unwrap();
        content(&check(folder.path(), &["a.dxf", "b.csv"]))
    };
    let right = run(&body);
    assert_eq!(right.len(), 4, "three mistakes and the totals: {right:?}");
    let mut dice = Dice(7);
    for turn in 0..4 {
        let mut rows = body.clone();
        dice.shuffle(&mut rows);
        assert_eq!(run(&rows), right, "turn {turn}");
    }
}

/// The rows of two cabinets under one another's name: one finding that says so.
#[test]
fn swapped_cabinets_are_one_finding() {
    let (drawing, first, second) = job("glaze-room-clean");
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.dxf"), drawing).unwrap();
    let swap = |text: &str| {
        text.lines()
            .map(|line| match line.split_once(',') {
                Some(("B1", rest)) => format!("B4,{rest}\n"),
                Some(("B4", rest)) => format!("B1,{rest}\n"),
                _ => format!("{line}\n"),
            })
            .collect::<String>()
    };
    std::fs::write(folder.path().join("b.csv"), swap(&first)).unwrap();
    std::fs::write(folder.path().join("c.csv"), swap(&second)).unwrap();
    let json: Value =
        serde_json::from_slice(&check(folder.path(), &["a.dxf", "b.csv", "c.csv"])).unwrap();
    let findings = json["findings"].as_array().unwrap();
    let sentence = findings[0]["cause"][0]["sentence"].as_str().unwrap();
    assert!(sentence.contains("B1 and B4 are swapped"), "{sentence}");
    assert_eq!(findings.len(), 1, "{findings:?}");
}

/// Three cabinets with the same figure pulled wrong, and two more mistakes.
#[test]
fn mistakes_made_alike_in_several_cabinets_are_all_reported() {
    let folder = tempfile::tempdir().unwrap();
    let source = fixture("glaze-room-clean");
    std::fs::copy(source.join("glaze-room.dxf"), folder.path().join("a.dxf")).unwrap();
    let text = std::fs::read_to_string(source.join("glaze-room.csv")).unwrap();
    let mut wrong = Vec::new();
    let mut lines: Vec<String> = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let is = |name: &str, part: &str| line.starts_with(&format!("{name},{part},"));
        let changed = match line {
            _ if ["B1", "B2", "B3"].iter().any(|name| is(name, "Side")) => {
                line.replacen("34 1/2", "31", 1)
            }
            _ if is("W1", "Door") => line.replacen("28", "27 1/4", 1),
            _ => line.to_owned(),
        };
        if changed != line {
            wrong.push(at as u64 + 1);
        }
        lines.push(changed);
    }
    assert_eq!(wrong.len(), 4);
    std::fs::write(folder.path().join("b.csv"), lines.join("\n")).unwrap();
    let json: Value = serde_json::from_slice(&check(folder.path(), &["a.dxf", "b.csv"])).unwrap();
    let mut named: Vec<u64> = json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|finding| std::iter::once(finding).chain(finding["also"].as_array().unwrap()))
        .map(|row| row["line"].as_u64().unwrap())
        .collect();
    named.sort_unstable();
    assert_eq!(named, wrong);
}

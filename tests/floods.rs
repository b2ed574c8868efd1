//! Input that asks for too much, through the real `check`: every run ends by
//! itself, within bounds of processor time and memory, and says what is wrong.
//!
//! The bounds are a process's own (`ulimit`), so that a busy machine is no
//! reason to fail. They are far above what is needed and far below what a way
//! of working that grows with the square would take.
#![cfg(unix)]

mod common;

use std::fmt::Write as _;
use std::fs;
use std::process::Command;

/// Seconds of processor time for one check, of a build without optimisation.
const SECONDS: u32 = 60;
/// Address space for one check.
const KILOBYTES: u32 = 2 << 20;

/// As many as are asked for, or a fifth in a build without optimisation.
const fn many(count: usize) -> usize {
    if cfg!(debug_assertions) {
        count / 5
    } else {
        count
    }
}

const HEAD: &str = "Cabinet,Part,Qty,Length,Width,Thickness\n";
const LIST: &str = "Cabinet,Part,Qty,Length,Width,Thickness\nB1,Side,2,720,560,18\nB1,Bottom,1,564,560,18\nB1,Top,1,564,560,18\n";

fn drawing(blocks: &str, entities: &str) -> String {
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
}

fn line(a: [f64; 2], b: [f64; 2]) -> String {
    format!(
        "0\nLINE\n8\n0\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n",
        a[0], a[1], b[0], b[1]
    )
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> String {
    let corners = [
        [x, y],
        [x + width, y],
        [x + width, y + height],
        [x, y + height],
    ];
    (0..4)
        .map(|i| line(corners[i], corners[(i + 1) % 4]))
        .collect()
}

fn text(text: &str, x: f64, y: f64) -> String {
    format!("0\nTEXT\n8\n0\n10\n{x}\n20\n{y}\n40\n30\n1\n{text}\n")
}

fn insert(block: &str, more: &str) -> String {
    format!("0\nINSERT\n8\n0\n2\n{block}\n10\n0\n20\n0\n{more}")
}

fn block(name: &str, content: &str) -> String {
    format!("0\nBLOCK\n2\n{name}\n10\n0\n20\n0\n{content}0\nENDBLK\n")
}

/// A case 600 x 720 x 560 of 18 mm boards, from the front and cut from the side.
fn case(x: f64, y: f64, name: &str) -> String {
    let mut out = rectangle(x, y, 18.0, 720.0)
        + &rectangle(x + 582.0, y, 18.0, 720.0)
        + &rectangle(x + 18.0, y, 564.0, 18.0)
        + &rectangle(x + 18.0, y + 702.0, 564.0, 18.0)
        + &text(&format!("{name} FRONT"), x + 100.0, y - 80.0);
    let end = x + 1000.0;
    out += &rectangle(end, y, 560.0, 720.0);
    out += &rectangle(end, y, 560.0, 18.0);
    out += &rectangle(end, y + 702.0, 560.0, 18.0);
    out + &text(&format!("{name} SECTION"), end + 100.0, y - 80.0)
}

/// Exit status, standard output and standard error of a check within bounds.
struct Run {
    status: i32,
    out: String,
    err: String,
}

#[track_caller]
fn check(drawing: impl AsRef<[u8]>, list: impl AsRef<[u8]>) -> Run {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("job.dxf"), drawing).unwrap();
    fs::write(home.path().join("job.csv"), list).unwrap();
    let program = assert_cmd::cargo::cargo_bin("dryfit");
    let output = Command::new("sh")
        .arg("-c")
        .arg(format!(
            "ulimit -t {SECONDS}; ulimit -v {KILOBYTES}; exec \"$0\" check \"$1\" --out \"$1/out\""
        ))
        .arg(program)
        .arg(home.path())
        .output()
        .unwrap();
    let run = Run {
        status: output.status.code().unwrap_or(-1),
        out: String::from_utf8_lossy(&output.stdout).into_owned(),
        err: String::from_utf8_lossy(&output.stderr).into_owned(),
    };
    assert!(
        (0..=3).contains(&run.status),
        "status {:?}: {}",
        output.status,
        run.err.chars().take(2000).collect::<String>()
    );
    run
}

/// The report is one of a job whose one cabinet was measured all the same.
#[track_caller]
fn still_measured(run: &Run) {
    assert!(run.out.contains("B1"), "{}", run.out);
    let mut rows = run.out.lines().skip_while(|line| !line.contains("overall"));
    assert!(
        rows.next().is_some_and(|line| line.contains("720")),
        "{}",
        run.out
    );
}

fn times(count: usize, mut one: impl FnMut(usize) -> String) -> String {
    (0..count).fold(String::new(), |mut all, i| {
        let _ = write!(all, "{}", one(i));
        all
    })
}

#[test]
fn blocks_that_hold_themselves() {
    let blocks = block("A", &insert("B", "")) + &block("B", &insert("A", ""));
    let run = check(
        drawing(&blocks, &(case(0.0, 0.0, "B1") + &insert("A", ""))),
        LIST,
    );
    still_measured(&run);
    let said = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("it contains itself"), "{}", run.out);
    assert_eq!(run.status, 3);
}

#[test]
fn a_bomb_of_nested_blocks() {
    let one = line([0.0, 0.0], [1.0, 1.0]);
    let blocks = block("B0", &one)
        + &times(40, |i| {
            block(
                &format!("B{}", i + 1),
                &insert(&format!("B{i}"), "").repeat(10),
            )
        });
    let entities = case(0.0, 0.0, "B1") + &insert("B40", "");
    let run = check(drawing(&blocks, &entities), LIST);
    still_measured(&run);
    assert!(
        run.out.contains("exploding it would pass the limit"),
        "{}",
        run.out
    );
    assert_eq!(run.status, 3);
}

#[test]
fn an_array_of_a_thousand_million() {
    let blocks = block("A", &line([0.0, 0.0], [1.0, 1.0]));
    let entities = case(0.0, 0.0, "B1") + &insert("A", "70\n31622\n71\n31622\n44\n1\n45\n1\n");
    let run = check(drawing(&blocks, &entities), LIST);
    still_measured(&run);
    assert!(
        run.out.contains("exploding it would pass the limit"),
        "{}",
        run.out
    );
}

#[test]
fn numbers_beyond_all_bounds() {
    let far = line([f64::MAX, 0.0], [-f64::MAX, 5.0]) + &line([1e9, 0.0], [1e9, 700.0]);
    let odd = "0\nLINE\n10\nnan\n20\n0\n11\n5\n21\n5\n0\nLINE\n10\n1e308\n20\n1e308\n11\n0\n21\n-inf\n\
               0\nARC\n10\n0\n20\n0\n40\n1e308\n50\nnan\n51\n1e300\n0\nTEXT\n10\n0\n20\n0\n40\n1e308\n1\nB1\n";
    let run = check(drawing("", &(case(0.0, 0.0, "B1") + &far + odd)), LIST);
    still_measured(&run);
    assert!(run.out.contains("job.dxf"), "{}", run.out);
    assert_ne!(run.status, 0);
}

#[test]
fn a_binary_header_that_claims_gigabytes() {
    // Group 310 with a length byte, group 1 without an end, and a count of 2^32 - 1.
    let mut bytes = b"AutoCAD Binary DXF\r\n\x1a\0".to_vec();
    let put = |bytes: &mut Vec<u8>, code: i16, value: &[u8]| {
        bytes.extend(code.to_le_bytes());
        bytes.extend(value);
    };
    put(&mut bytes, 0, b"SECTION\0");
    put(&mut bytes, 2, b"ENTITIES\0");
    put(&mut bytes, 0, b"LWPOLYLINE\0");
    put(&mut bytes, 90, &u32::MAX.to_le_bytes());
    put(&mut bytes, 92, &u32::MAX.to_le_bytes());
    put(&mut bytes, 310, &[255, 1, 2, 3]);
    let run = check(&bytes, LIST);
    assert!(
        run.out.contains("job.dxf") || run.err.contains("job.dxf"),
        "{}{}",
        run.out,
        run.err
    );
    assert_eq!(run.status, 2, "{}{}", run.out, run.err);
}

#[test]
fn fifty_thousand_parallel_lines() {
    let across = times(many(50_000), |i| {
        let y = i as f64 * 0.0144;
        line([0.0, y], [600.0, y])
    });
    check(drawing("", &(case(0.0, 0.0, "B1") + &across)), LIST);
    let apart = times(many(50_000), |i| {
        let y = i as f64 * 10.0;
        line([5000.0, y], [9000.0, y])
    });
    let run = check(drawing("", &(case(0.0, 0.0, "B1") + &apart)), LIST);
    assert_ne!(run.status, 0);
}

#[test]
fn fifty_thousand_lines_over_one_another() {
    let same = line([0.0, 360.0], [600.0, 360.0]).repeat(many(25_000));
    let longer = times(many(25_000), |i| {
        line([0.0, 500.0], [(i + 1) as f64 * 0.024, 500.0])
    });
    let run = check(drawing("", &(case(0.0, 0.0, "B1") + &same + &longer)), LIST);
    still_measured(&run);
}

#[test]
fn a_hundred_thousand_tiny_rectangles() {
    let apart = times(many(100_000), |i| {
        let (x, y) = ((i % 316) as f64, (i / 316) as f64);
        rectangle(3000.0 + 10.0 * x, 10.0 * y, 4.0, 4.0)
    });
    let run = check(drawing("", &(case(0.0, 0.0, "B1") + &apart)), LIST);
    still_measured(&run);
    assert_eq!(run.status, 3);
}

#[test]
fn rectangles_in_rectangles() {
    let doubled = times(many(20_000), |i| {
        let (x, y) = (3000.0 + 100.0 * (i % 150) as f64, 100.0 * (i / 150) as f64);
        rectangle(x, y, 40.0, 40.0) + &rectangle(x + 1.0, y + 1.0, 38.0, 38.0)
    });
    check(drawing("", &(case(0.0, 0.0, "B1") + &doubled)), LIST);
    let nested = times(many(10_000), |i| {
        let by = i as f64 * 0.05;
        rectangle(3000.0 + by, by, 2000.0 - 2.0 * by, 2000.0 - 2.0 * by)
    });
    check(drawing("", &(case(0.0, 0.0, "B1") + &nested)), LIST);
}

#[test]
fn twenty_thousand_titles() {
    let beside = times(many(20_000), |i| {
        text(
            "B1 FRONT",
            (i % 150) as f64 * 50.0,
            -1000.0 - 50.0 * (i / 150) as f64,
        )
    });
    let run = check(drawing("", &(case(0.0, 0.0, "B1") + &beside)), LIST);
    assert!(run.out.contains("B1"));
    let in_place = text("B1 FRONT", 100.0, -80.0).repeat(many(20_000));
    check(drawing("", &(case(0.0, 0.0, "B1") + &in_place)), LIST);
    let column = times(many(20_000), |i| {
        text("B1", 100.0, -200.0 - 50.0 * i as f64)
    });
    check(drawing("", &(case(0.0, 0.0, "B1") + &column)), LIST);
}

#[test]
fn twenty_thousand_names() {
    let drawn = times(500, |i| {
        case(
            (i % 25) as f64 * 3000.0,
            (i / 25) as f64 * 2000.0,
            &format!("B{i}"),
        )
    });
    let list = HEAD.to_owned() + &times(many(20_000), |i| format!("B{i},Side,2,720,560,18\n"));
    let run = check(drawing("", &drawn), list);
    assert!(run.out.contains("B42"), "{}", run.out);
}

#[test]
fn a_list_of_a_hundred_thousand_rows() {
    let list = HEAD.to_owned()
        + &times(many(100_000), |i| {
            format!("B1,thing {i},1,{},{}/7,18\n", i % 900 + 1, i % 500)
        });
    let run = check(drawing("", &case(0.0, 0.0, "B1")), list);
    assert_ne!(run.status, 0);
}

#[test]
fn one_cabinet_with_five_thousand_parts() {
    let list = HEAD.to_owned()
        + &times(many(2500), |i| {
            format!("B1,Shelf,1,{},{},18\n", 564 - i % 50, 540 - i % 30)
        })
        + &times(many(2500), |i| {
            format!("B1,Side,2,{},560,18\n", 720 + i % 7)
        });
    let shelves = times(many(2500), |i| {
        rectangle(18.0, 18.0 + 0.27 * i as f64, 564.0, 0.2)
    });
    let run = check(drawing("", &(case(0.0, 0.0, "B1") + &shelves)), list);
    assert_ne!(run.status, 0);
    let drawn = rectangle(0.0, 0.0, 18.0, 720.0)
        + &rectangle(59_982.0, 0.0, 18.0, 720.0)
        + &rectangle(18.0, 0.0, 59_964.0, 18.0)
        + &rectangle(18.0, 702.0, 59_964.0, 18.0)
        + &times(many(5000), |i| {
            rectangle(18.0 + 11.0 * i as f64, 18.0, 9.0, 684.0)
        })
        + &text("B1 FRONT", 100.0, -80.0);
    let list = HEAD.to_owned() + &"B1,Divider,1,684,560,9\n".repeat(many(5000));
    check(drawing("", &drawn), list);
}

#[test]
fn rows_that_name_no_cabinet() {
    let drawn = times(400, |i| {
        case(
            (i % 20) as f64 * 3000.0,
            (i / 20) as f64 * 2000.0,
            &format!("B{i}"),
        )
    });
    let list =
        "Part,Qty,Length,Width,Thickness\n".to_owned() + &"Side,2,720,560,18\n".repeat(many(5000));
    let run = check(drawing("", &drawn), list);
    assert_ne!(run.status, 0);
}

#[test]
fn cells_without_end() {
    for list in [
        format!("{HEAD}B1,{},2,720,560,18\n", "x".repeat(many(3_000_000))),
        format!("{HEAD}B1,Side,2,720,560,18{}\n", ",".repeat(many(500_000))),
        format!("{HEAD}{}", "B1,\"Side,2,720,560,18\n".repeat(many(20_000))),
        format!(
            "{HEAD}\"{}\",Side,2,720,560,18\n",
            times(many(50_000), |i| format!("B{i}, "))
        ),
        format!("{HEAD}{}", "B1-B999999999,Side,2,720,560,18\n".repeat(100)),
        format!("{HEAD}{}", "B1-B5000,Side,2,720,560,18\n".repeat(20)),
        format!("{}\nB1,Side,2\n", "Length,".repeat(many(100_000))),
        "\n".repeat(many(2_000_000)) + LIST,
        format!("{HEAD}B1,Side,2,{},560,18\n", "1".repeat(many(1_000_000))),
    ] {
        let run = check(drawing("", &case(0.0, 0.0, "B1")), list);
        assert_ne!(run.status, 0, "{}", run.out);
    }
}

#[test]
fn layers_blocks_and_long_texts() {
    let layers = times(many(20_000), |i| {
        let x = f64::from(i as u32 % 600);
        line([x, 0.0], [x, 720.0]).replacen("8\n0\n", &format!("8\nB{i} FRONT\n"), 1)
    });
    check(drawing("", &(case(0.0, 0.0, "B1") + &layers)), LIST);
    let long = "B1 1 ".repeat(many(12_000));
    let texts = times(50, |i| text(&long, 100.0, -200.0 - 50.0 * i as f64));
    check(drawing("", &(case(0.0, 0.0, "B1") + &texts)), LIST);
}

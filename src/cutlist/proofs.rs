//! Properties of reading lists: nothing panics, nothing is lost, no order matters
//! that should not.

use super::*;
use crate::length::{Length, Notation};
use proptest::prelude::*;

fn read(bytes: &[u8]) -> Result<CutList, ListError> {
    read_bytes(bytes, "list.csv", &ListHints::default())
}

/// Lines a hurried person may leave in a list.
fn line() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("Cabinet,Part,Qty,Length,Width,Thickness".to_owned()),
        Just("B2,Side,2,34 1/2,23 1/4,3/4".to_owned()),
        Just("\"B2\",\"Side\",2,\"34 1/2\"\",\"23\"\"\",3/4".to_owned()),
        Just(",,,,,".to_owned()),
        Just("Cabinet B3".to_owned()),
        Just("Total,,14".to_owned()),
        Just("mm,mm,mm".to_owned()),
        "[A-Za-z0-9 ,;\"'/.x()½-]{0,40}",
        "\\PC{0,20}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = read(&bytes);
        let _ = read(&[b"PK\x03\x04".as_slice(), &bytes].concat());
    }

    /// Every line with something in it is a row, passed over with a reason, or
    /// named in a problem.
    #[test]
    fn no_line_is_lost(lines in proptest::collection::vec(line(), 0..25), end in 0_usize..3) {
        let end = ["\n", "\r\n", "\r"][end];
        let text = lines.join(end);
        let Ok(list) = read(text.as_bytes()) else { return Ok(()); };
        let known = |at: usize| {
            list.rows.iter().any(|row| row.source.line == at)
                || list.borings.iter().any(|row| row.source.line == at)
                || list.passed_over.iter().any(|line| line.source.line == at)
        };
        // A quoted cell may span lines; those belong to the record's first.
        if text.contains('"') || text.chars().any(|c| c.is_control() && !"\r\n".contains(c)) || text.to_lowercase().starts_with("sep=") {
            return Ok(());
        }
        for (at, line) in lines.iter().enumerate() {
            if !line.trim_matches(|c: char| c.is_whitespace() || ",;|\t".contains(c)).is_empty() {
                prop_assert!(known(at + 1), "line {} `{}` of {:?}", at + 1, line, text);
            }
        }
    }

    /// Sizes written in any notation of ours come back exactly.
    #[test]
    fn written_sizes_come_back(sixteenths in proptest::collection::vec(16_i64..1500, 2..20), style in 0_usize..3) {
        let notation = [Notation::SIXTEENTHS, Notation::DecimalInch, Notation::Millimetre][style];
        let lengths: Vec<Length> = sixteenths
            .iter()
            .map(|n| Length::from_ticks(n * Length::TICKS_PER_INCH / 16))
            .collect();
        let mut text = "Part;Qty;Length;Width\n".to_owned();
        for pair in lengths.chunks_exact(2) {
            text.push_str(&format!("Side;2;{};{}\n", pair[0].show(notation), pair[1].show(notation)));
        }
        let list = read(text.as_bytes()).unwrap();
        prop_assert!(list.problems.is_empty(), "{:?}", list.problems);
        for (row, pair) in list.rows.iter().zip(lengths.chunks_exact(2)) {
            for (cell, length) in row.sizes.iter().zip(pair) {
                // Three decimals of a millimetre are the finest printed.
                prop_assert!((cell.value - *length).abs() < Length::from_ticks(80), "{:?}", cell);
                prop_assert!(text.contains(&cell.text));
            }
        }
    }
}

#[test]
fn stray_quotes_cost_no_more_than_their_lines() {
    let mut text = "Cabinet,Part,Qty,Length\n".to_owned();
    for _ in 0..3000 {
        text.push_str("B2,\"Side,2,34 1/2\n");
    }
    let list = read(text.as_bytes()).unwrap();
    assert_eq!(list.rows.len(), 3000);
}

use super::{close, sheet};

#[test]
fn a_line() {
    let s = sheet("", "0 LINE\n5 2F\n8 CASE\n10 1\n20 2\n11 4\n21 6");
    assert_eq!(s.segments.len(), 1);
    assert_eq!(
        (s.segments[0].a, s.segments[0].b),
        ([1.0, 2.0, 0.0], [4.0, 6.0, 0.0])
    );
    let source = &s.sources[0];
    assert_eq!(
        (source.handle, s.layers[source.layer as usize].as_str()),
        (0x2f, "CASE")
    );
    assert_eq!(s.read.get("LINE"), Some(&1));
    assert!(
        s.skipped.is_empty() && s.warnings.is_empty(),
        "{:?}",
        s.warnings
    );
}

/// Block with base (1,1) and a line whose start is (3,2).
const BLOCK: &str = "0 BLOCK\n2 P\n10 1\n20 1\n0 LINE\n10 3\n20 2\n11 30\n21 20\n0 ENDBLK\n";

fn start(blocks: &str, insert: &str) -> [f64; 3] {
    sheet(blocks, insert).segments[0].a
}

/// DXF Reference, INSERT; order of operations and values also from ezdxf
/// `virtual_entities`: (2,1) → (4,3) → (−3,4) → (7,24).
#[test]
fn insert_takes_off_the_base_then_scales_turns_and_moves() {
    let at = "0 INSERT\n2 P\n10 10\n20 20\n";
    close(
        start(BLOCK, &format!("{at}41 2\n42 3\n50 90")),
        [7.0, 24.0, 0.0],
    );
    close(start(BLOCK, &format!("{at}41 -1")), [8.0, 21.0, 0.0]);
    close(start(BLOCK, &format!("{at}230 -1")), [-12.0, 21.0, 0.0]);
}

/// As above, nested; by hand and with ezdxf `recursive_decompose`.
#[test]
fn nested_insert() {
    let outer = "0 BLOCK\n2 C\n10 0\n20 0\n0 INSERT\n2 P\n10 5\n20 0\n50 90\n0 ENDBLK\n";
    let top = "0 INSERT\n2 C\n10 100\n20 0\n41 2\n42 2\n43 2\n50 90";
    close(start(&format!("{BLOCK}{outer}"), top), [96.0, 8.0, 0.0]);
    // The order of the definitions makes no difference.
    close(start(&format!("{outer}{BLOCK}"), top), [96.0, 8.0, 0.0]);
}

/// Rows and columns: steps turn with the INSERT and are not scaled (ezdxf
/// `multi_insert`; no second reader known to agree).
#[test]
fn arrayed_insert() {
    let block = "0 BLOCK\n2 P\n10 0\n20 0\n0 LINE\n10 0\n20 0\n11 1\n21 1\n0 ENDBLK\n";
    let insert = "0 INSERT\n2 P\n10 0\n20 0\n70 2\n71 2\n44 100\n45 50\n50 90\n41 2\n42 2";
    let mut starts: Vec<_> = sheet(block, insert).segments.iter().map(|s| s.a).collect();
    starts.sort_by(|a, b| a.partial_cmp(b).unwrap());
    for (got, want) in starts
        .iter()
        .zip([[-50.0, 0.0], [-50.0, 100.0], [0.0, 0.0], [0.0, 100.0]])
    {
        close(*got, [want[0], want[1], 0.0]);
    }
    assert_eq!(starts.len(), 4);
}

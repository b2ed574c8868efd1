use super::sheet;
use approx::assert_relative_eq;

fn text(entity: &str) -> crate::drawing::Text {
    sheet("", entity).texts[0].clone()
}

#[test]
fn the_middle_of_a_line_of_text() {
    let long = "0 TEXT\n10 0\n20 0\n40 2\n1 ABCDE\n";
    let t = text(long);
    assert_eq!(t.at[1], 1.0);
    assert!(t.at[0] > 2.0 && t.at[0] < 6.0);
    let t = text(&format!("{long}11 7\n21 3\n72 1\n73 2"));
    assert_eq!(t.at, [7.0, 3.0, 0.0]);
    let t = text(&format!("{long}11 7\n21 3\n72 4"));
    assert_eq!(t.at, [7.0, 3.0, 0.0]);
    let t = text(&format!("{long}11 10\n21 0\n72 5"));
    assert_eq!(t.at, [5.0, 1.0, 0.0]);
    let t = text(&format!("{long}50 90"));
    assert_relative_eq!(t.rotation, std::f64::consts::FRAC_PI_2);
    assert_relative_eq!(t.at[0], -1.0, max_relative = 1e-12);
}

#[test]
fn text_in_a_block_turns_and_grows_with_it() {
    let block = "0 BLOCK\n2 P\n10 0\n20 0\n0 TEXT\n10 1\n20 0\n40 2\n1 A\n72 1\n73 2\n11 1\n21 0\n0 ENDBLK\n";
    let s = sheet(block, "0 INSERT\n2 P\n10 10\n20 0\n41 3\n42 3\n50 90");
    let t = &s.texts[0];
    assert_relative_eq!(t.height, 6.0, max_relative = 1e-12);
    assert_relative_eq!(
        t.rotation,
        std::f64::consts::FRAC_PI_2,
        max_relative = 1e-12
    );
    super::close(t.at, [10.0, 3.0, 0.0]);
}

#[test]
fn mtext_is_put_together_and_stripped() {
    let t = text("0 MTEXT\n10 0\n20 0\n40 2\n71 5\n3 {\\fArial|b1;B2 \n1 FRONT}\\P34\\S1/2;");
    assert_eq!(t.text, "B2 FRONT\n34 1/2");
    assert_eq!(t.at, [0.0; 3]);
    // The embedded object of 2018 files repeats the codes of the text.
    let t = text(
        "0 MTEXT\n10 1\n20 2\n40 2\n71 5\n1 B2\n101 Embedded Object\n10 9\n20 9\n40 7\n1 other",
    );
    assert_eq!(
        (t.text.as_str(), t.at, t.height),
        ("B2", [1.0, 2.0, 0.0], 2.0)
    );
    let t = text("0 MTEXT\n10 0\n20 0\n40 2\n71 5\n11 0\n21 1\n1 up");
    assert_relative_eq!(t.rotation, std::f64::consts::FRAC_PI_2);
}

#[test]
fn multileader_gives_its_text() {
    let t = text(
        "0 MULTILEADER\n300 CONTEXT_DATA{\n40 1\n10 5\n20 5\n30 0\n41 2.5\n304 fix\\Pshelf\n11 0\n21 0\n31 1\n12 7\n22 8\n32 0\n13 1\n23 0\n33 0\n171 2\n302 LEADER{\n304 LEADER_LINE{\n305 }\n303 }\n301 }",
    );
    assert_eq!(t.text, "fix\nshelf");
    assert_relative_eq!(t.height, 2.5);
    assert_eq!(t.at[0], 7.0);
}

#[test]
fn blank_text_is_counted() {
    let s = sheet(
        "",
        "0 TEXT\n10 0\n20 0\n40 2\n1  \n0 MTEXT\n10 0\n20 0\n40 1\n1 {\\P}",
    );
    assert!(s.texts.is_empty());
    assert_eq!(s.skipped.values().sum::<u64>(), 2);
}

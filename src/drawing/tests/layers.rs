use super::{left_out, line, pairs, read, section};
use crate::drawing::{Evidence, Sheet, Space};

const TABLES: &str = "0 TABLE\n2 LTYPE\n0 LTYPE\n2 LT_7\n73 2\n49 3\n49 -1\n0 LTYPE\n2 LT_8\n73 4\n49 6\n49 -1\n49 1\n49 -1\n0 ENDTAB\n\
    0 TABLE\n2 LAYER\n0 LAYER\n2 OFF\n62 -7\n0 LAYER\n2 FROZEN\n70 1\n0 LAYER\n2 LOCKED\n70 4\n0 LAYER\n2 QUIET\n290 0\n\
    0 LAYER\n2 HAIR\n6 DASHED2\n0 LAYER\n2 AXES\n6 CENTER\n0 ENDTAB";

fn on(layer: &str, more: &str) -> String {
    format!("0 LINE\n8 {layer}\n10 0\n20 0\n11 9\n21 0\n{more}\n")
}

fn sheet(blocks: &str, entities: &str) -> Sheet {
    let body =
        section("TABLES", TABLES) + &section("BLOCKS", blocks) + &section("ENTITIES", entities);
    read(&pairs(&(body + "0 EOF")))
}

#[test]
fn what_does_not_show_is_left_out_and_counted() {
    let entities = on("OFF", "")
        + &on("frozen", "")
        + &on("LOCKED", "")
        + &on("QUIET", "")
        + &on("Defpoints", "")
        + &on("0", "60 1")
        + &on("0", "67 1");
    let s = sheet("", &entities);
    assert_eq!(s.segments.len(), 1);
    let reasons: Vec<String> = left_out(&s).into_iter().map(|(reason, _)| reason).collect();
    assert_eq!(
        reasons,
        [
            "LINE: in paper space",
            "LINE: invisible",
            "LINE: layer Defpoints never prints",
            "LINE: layer FROZEN is frozen",
            "LINE: layer OFF is switched off",
            "LINE: layer QUIET never prints",
        ]
    );
    assert!(s.skipped.keys().all(|skipped| !skipped.matters));
}

#[test]
fn hidden_edges_by_layer_style_and_pattern() {
    let cue = |layer: &str, more: &str| {
        let s = sheet("", &on(layer, more));
        let source = &s.sources[0];
        (
            source.hidden,
            source.centre,
            s.linetypes[source.linetype as usize].clone(),
        )
    };
    assert_eq!(cue("HAIR", ""), (true, false, "DASHED2".to_owned()));
    assert!(cue("HAIR", "6 ByLayer").0);
    assert_eq!(
        cue("HAIR", "6 CONTINUOUS"),
        (false, false, "Continuous".to_owned())
    );
    assert_eq!(cue("AXES", ""), (false, true, "CENTER".to_owned()));
    assert!(cue("0", "6 HIDDEN").0);
    assert!(cue("0", "6 LT_7").0);
    assert!(cue("0", "6 LT_8").1);
    assert!(cue("verdeckte Kanten", "").0);
    assert_eq!(cue("CASE", ""), (false, false, "Continuous".to_owned()));
}

/// Layer 0 and ByBlock take what the INSERT has; a frozen INSERT hides all it
/// holds, one switched off only what lies on its layer (from memory of CAD practice).
#[test]
fn blocks_inherit_layer_and_style() {
    let block = format!(
        "0 BLOCK\n2 M\n10 0\n20 0\n{}{}{}{}0 ENDBLK",
        on("0", ""),
        on("LOCKED", ""),
        on("OFF", ""),
        on("0", "6 BYBLOCK")
    );
    let insert = |layer: &str, more: &str| {
        let s = sheet(
            &block,
            &format!("0 INSERT\n2 M\n8 {layer}\n10 0\n20 0\n{more}"),
        );
        let hidden = s
            .segments
            .iter()
            .filter(|g| s.sources[g.source as usize].hidden)
            .count();
        (s.segments.len(), hidden)
    };
    assert_eq!(insert("CASE", ""), (3, 0));
    assert_eq!(insert("HAIR", ""), (3, 2));
    assert_eq!(insert("CASE", "6 HIDDEN"), (3, 1));
    assert_eq!(insert("OFF", ""), (1, 0));
    assert_eq!(insert("FROZEN", ""), (0, 0));
    assert_eq!(insert("CASE", "60 1"), (0, 0));
}

#[test]
fn header_values_as_written() {
    let header = section(
        "HEADER",
        "9 $ACADVER\n1 AC1032\n9 $INSUNITS\n70 4\n9 $MEASUREMENT\n70 1\n9 $LUNITS\n70 4\n9 $DIMLFAC\n40 25.4",
    );
    let s = read(&pairs(
        &(header + &section("ENTITIES", &line(0.0)) + "0 EOF"),
    ));
    assert_eq!(s.version, "AC1032");
    assert_eq!(
        s.evidence,
        [
            Evidence::InsUnits(4),
            Evidence::Measurement(1),
            Evidence::HeaderFactor(25.4),
            Evidence::LinearFormat(4),
        ]
    );
    let header = section("HEADER", "9 $INSUNITS\n70 inches");
    let s = read(&pairs(
        &(header + &section("ENTITIES", &line(0.0)) + "0 EOF"),
    ));
    assert!(s.evidence.is_empty());
    assert!(s.warnings[0].contains("$INSUNITS") && s.warnings[0].contains("is no number"));
}

#[test]
fn a_block_in_other_units_is_taken_as_drawn_and_said() {
    let text = section("HEADER", "9 $INSUNITS\n70 1")
        + &section(
            "TABLES",
            "0 TABLE\n2 BLOCK_RECORD\n0 BLOCK_RECORD\n2 M\n70 4\n0 ENDTAB",
        )
        + &section(
            "BLOCKS",
            &format!("0 BLOCK\n2 M\n10 0\n20 0\n{}0 ENDBLK", on("0", "")),
        )
        + &section("ENTITIES", "0 INSERT\n2 M\n10 0\n20 0");
    let s = read(&pairs(&(text + "0 EOF")));
    assert_eq!(s.segments[0].b, [9.0, 0.0, 0.0]);
    let block = "M".to_owned();
    assert_eq!(s.evidence[1], Evidence::BlockUnits { block, units: 4 });
}

#[test]
fn paper_space_is_read_when_model_space_is_empty() {
    let s = sheet(
        "",
        &(on("0", "67 1") + "0 TEXT\n67 1\n10 0\n20 0\n40 1\n1 B2\n"),
    );
    assert_eq!(
        (s.space, s.segments.len(), s.texts.len()),
        (Space::Paper, 1, 1)
    );
    assert!(s.warnings[0].contains("paper space was read instead"));
    let s = sheet(
        "",
        &(on("0", "") + "0 TEXT\n67 1\n10 0\n20 0\n40 1\n1 B2\n"),
    );
    assert_eq!(
        (s.space, s.texts.len(), s.paper_texts.len()),
        (Space::Model, 0, 1)
    );
}

#[test]
fn layouts_stored_as_blocks() {
    let block = |name: &str| format!("0 BLOCK\n2 {name}\n10 0\n20 0\n{}0 ENDBLK\n", on("0", ""));
    let s = sheet(
        &(block("*Model_Space") + &block("*Paper_Space1") + &block("$PAPER_SPACE")),
        "",
    );
    assert_eq!(s.segments.len(), 1);
    assert_eq!(left_out(&s), [("LINE: in paper space".to_owned(), 2)]);
}

/// 48 model units shown 4 high: 1:12. A model point and its place on the
/// paper by similar triangles.
#[test]
fn a_viewport_tells_the_scale() {
    let window = "0 VIEWPORT\n67 1\n10 5\n20 4\n40 6\n41 4\n69 2\n68 2\n12 112\n22 117\n45 48\n16 0\n26 0\n36 1\n17 0\n27 0\n37 0\n";
    let s = sheet(
        "",
        &(on("0", "") + window + "0 VIEWPORT\n67 1\n10 5\n20 4\n40 12\n41 9\n69 1\n"),
    );
    assert_eq!(s.viewports.len(), 1);
    let v = &s.viewports[0];
    assert_eq!(v.model_per_paper(), 12.0);
    assert_eq!(v.to_model([5.0, 4.0, 0.0]), Some([112.0, 117.0, 0.0]));
    assert_eq!(v.to_model([6.0, 3.5, 0.0]), Some([124.0, 111.0, 0.0]));
    // A window that looks at the front does not show world x and y.
    let s = sheet(
        "",
        &(on("0", "") + &window.replace("26 0\n36 1", "26 -1\n36 0")),
    );
    assert_eq!(s.viewports[0].to_model([5.0, 4.0, 0.0]), None);
}

/// Release 12 keeps the view in extended data.
#[test]
fn an_old_viewport() {
    let window = "0 VIEWPORT\n67 1\n10 5\n20 4\n40 6\n41 4\n68 1\n69 2\n1001 ACAD\n1000 MVIEW\n1002 {\n1070 16\n\
        1010 0\n1020 0\n1030 0\n1010 0\n1020 0\n1030 1\n1040 0\n1040 48\n1040 112\n1040 117\n1040 50\n1002 }\n";
    let s = sheet("", &(on("0", "") + window));
    assert_eq!(s.viewports[0].model_per_paper(), 12.0);
    assert_eq!(s.viewports[0].view_centre, [112.0, 117.0]);
}

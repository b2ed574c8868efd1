use super::*;
use crate::report::sample;

/// Release 12, no tables, no handles.
const R12: &str = "  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n  8\n0\n 10\n0.0\n 20\n0.0\n 11\n9.0\n 21\n0.0\n  0\nENDSEC\n  0\nEOF\n";

fn fixture() -> Vec<u8> {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/fixtures/glaze-room/glaze-room.dxf"
    );
    std::fs::read(path).unwrap()
}

fn marked(content: &[u8]) -> Vec<u8> {
    let (job, audit) = (sample::job(), sample::audit());
    copy(&Report::new(&job, &audit), 0, content).unwrap()
}

/// Every old byte is there in order: taking out what was added gives the old
/// file, but for the value of the handle seed.
fn assert_old_content_unchanged(old: &[u8], new: &[u8]) {
    let groups = |bytes: &[u8]| -> Vec<(i32, Vec<u8>)> {
        groups::Groups::new(bytes)
            .map(|group| (group.code, group.value.to_vec()))
            .collect()
    };
    let seed = |groups: &[(i32, Vec<u8>)]| {
        groups
            .iter()
            .position(|group| group.1 == b"$HANDSEED")
            .map(|at| at + 1)
    };
    let mut new = groups(new).into_iter();
    let old = groups(old);
    let seed = seed(&old);
    for (index, group) in old.iter().enumerate() {
        if Some(index) == seed {
            // Whatever it is now, it stands in the same place.
            assert_eq!(new.next().unwrap().0, 5);
            continue;
        }
        assert!(new.any(|other| other == *group), "lost {group:?}");
    }
}

fn load(bytes: &[u8]) -> dxf::Drawing {
    dxf::Drawing::load(&mut std::io::Cursor::new(bytes)).unwrap()
}

fn on_our_layers(drawing: &dxf::Drawing) -> usize {
    drawing
        .entities()
        .filter(|entity| entity.common.layer.starts_with("DRYFIT-"))
        .count()
}

#[test]
fn a_release_12_file_without_tables() {
    let new = marked(R12.as_bytes());
    assert_old_content_unchanged(R12.as_bytes(), &new);
    let text = String::from_utf8(new.clone()).unwrap();
    assert!(text.starts_with(&R12[..R12.find("  0\nENDSEC").unwrap()]));
    assert!(text.ends_with("  0\nENDSEC\n  0\nEOF\n"));
    // Nothing this version does not know.
    assert!(!text.contains("AcDb"));
    let drawing = load(&new);
    assert!(on_our_layers(&drawing) > 10);
    // 34 1/2 in above the floor, through the view's place in the drawing.
    assert!(text.contains(" 11\n124.0\n 21\n84.5\n"), "{text}");
    insta::assert_snapshot!(text);
}

#[test]
fn a_current_file_keeps_all_it_had() {
    let old = fixture();
    let new = marked(&old);
    assert_old_content_unchanged(&old, &new);
    let (before, after) = (load(&old), load(&new));
    let ours = on_our_layers(&after);
    assert!(ours > 10);
    assert_eq!(before.entities().count() + ours, after.entities().count());
    for (name, _) in LAYERS {
        assert!(after.layers().any(|layer| layer.name == name), "{name}");
    }
    // No handle twice.
    let plan = plan::plan(&new);
    assert!(plan.seed.unwrap().2 > plan.highest);
}

#[test]
fn a_binary_file() {
    let mut old = Vec::new();
    load(&fixture()).save_binary(&mut old).unwrap();
    let new = marked(&old);
    assert_old_content_unchanged(&old, &new);
    assert!(on_our_layers(&load(&new)) > 10);
}

#[test]
fn marking_a_marked_copy_adds_no_layer_twice() {
    let new = marked(&marked(&fixture()));
    let layers = plan::plan(&new).layer_names;
    assert_eq!(
        layers
            .iter()
            .filter(|name| *name == DRAWN.as_bytes())
            .count(),
        1
    );
}

#[test]
fn marks_stand_in_true_place_and_are_not_read_as_drawing() {
    // The view stands at (100, 50) in a drawing in inches: its top is at 84.5.
    let bytes = marked(R12.as_bytes());
    let place = |name: &str| {
        String::from_utf8(bytes.clone())
            .unwrap()
            .replace("DRYFIT-", name)
    };
    let renamed = crate::drawing::read_bytes(place("SHOP-").as_bytes(), "x.dxf").unwrap();
    assert!(
        renamed
            .texts
            .iter()
            .any(|text| text.text == "F1 drawn 34 1/2 in")
    );
    assert!(
        renamed
            .segments
            .iter()
            .any(|segment| segment.a == [100.0, 84.5, 0.0])
    );
    let sheet = crate::drawing::read_bytes(&bytes, "x.dxf").unwrap();
    let before = crate::drawing::read_bytes(R12.as_bytes(), "x.dxf").unwrap();
    assert_eq!(sheet.segments, before.segments);
    assert!(sheet.texts.is_empty());
    assert!(
        sheet
            .skipped
            .keys()
            .any(|skipped| skipped.reason == "marks of an earlier check")
    );
}

#[test]
fn refusals_say_why() {
    let (job, mut audit) = (sample::job(), sample::audit());
    let broken = "  0\nSECTION\n  2\nENTITIES\nnonsense\n";
    let report = Report::new(&job, &audit);
    assert_eq!(
        copy(&report, 0, broken.as_bytes()).unwrap_err().to_string(),
        "its groups cannot be followed past byte 25, so nothing can be put between them"
    );
    assert_eq!(
        copy(&report, 0, b"  0\nSECTION\n  2\nENTITIES\n")
            .unwrap_err()
            .to_string(),
        "its entities section does not end, so nothing can be added to it"
    );
    audit.findings.clear();
    assert_eq!(
        copy(&Report::new(&job, &audit), 0, R12.as_bytes())
            .unwrap_err()
            .to_string(),
        "nothing to mark in it"
    );
}

#[test]
fn text_is_plain_ascii() {
    assert_eq!(encoded("34½ ≈^%%u"), b"34\\U+00BD \\U+2248^ % %u");
    assert_eq!(encoded("𝟙"), b"\\U+D835\\U+DFD9");
}

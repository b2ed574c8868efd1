use super::constructed::face_frame_base;
use super::inferred::{list, row};
use super::*;
use crate::cabinet::Style;
use crate::construction::cautions::{CAUTIONS, applicable};
use crate::construction::job::Use;
use crate::trade::Role;
use crate::view::Reading;

fn topics(rules: &Rules, drawn: &[Drawn], rows: Vec<crate::cutlist::Row>) -> Vec<&'static str> {
    let cabinets: Vec<_> = drawn.iter().map(|drawn| drawn.cabinet.clone()).collect();
    applicable(rules, &cabinets, &[list(rows)], &Reading::default())
        .into_iter()
        .map(|caution| caution.topic)
        .collect()
}

#[test]
fn a_base_cabinet_gets_the_general_cautions_only() {
    let found = topics(
        &Rules::default(),
        &[face_frame_base("3/4")],
        vec![row(2, "B1", Role::Side, "34 1/2", "23 1/4")],
    );
    assert_eq!(found, ["scope", "saws and routers", "wood dust"]);
    // Nothing to cut.
    assert_eq!(topics(&Rules::default(), &[], Vec::new()), ["scope"]);
}

#[test]
fn each_caution_has_what_brings_it() {
    let none = Rules::default;
    let wall = Drawn::new(Style::Frameless, ["600 mm", "720 mm", "320 mm"]);
    assert!(topics(&none(), &[wall], Vec::new()).contains(&"wall-hung units"));
    // Stated to stand on another cabinet, it does not hang.
    let shelf = Drawn::new(Style::Frameless, ["600 mm", "720 mm", "320 mm"]);
    let mut told = none();
    told.uses.insert("B1".to_owned(), Use::Standing);
    let found = topics(&told, &[shelf], Vec::new());
    assert!(!found.contains(&"wall-hung units"));
    assert!(found.contains(&"tall and free-standing units"));
    let tall = Drawn::new(Style::FaceFrame, ["30", "84", "24"]);
    assert!(topics(&none(), &[tall], Vec::new()).contains(&"tall and free-standing units"));
    let just_under = Drawn::new(Style::FaceFrame, ["30", "59 15/16", "24"]);
    assert!(!topics(&none(), &[just_under], Vec::new()).contains(&"tall and free-standing units"));

    let panel = vec![row(2, "B1", Role::AccessPanel, "12", "3")];
    assert!(topics(&none(), &[], panel).contains(&"electricity in cabinets and toe spaces"));
    let mut heater = row(2, "B1", Role::ToeKick, "30", "4");
    heater.note = Some("cut out for heater".to_owned());
    let mut oven = row(3, "T1", Role::FixedShelf, "30", "23");
    oven.part = "Oven shelf".to_owned();
    let found = topics(&none(), &[], vec![heater, oven]);
    assert!(found.contains(&"electricity in cabinets and toe spaces"));
    assert!(found.contains(&"cooking appliances"));
    // Words inside other words are not meant.
    let mut lighter = row(2, "B1", Role::Side, "30", "4");
    lighter.note = Some("lightest face out, arrange grain".to_owned());
    let found = topics(&none(), &[], vec![lighter]);
    assert!(!found.contains(&"electricity in cabinets and toe spaces"));
    assert!(!found.contains(&"cooking appliances"));

    let mut asked = none();
    asked
        .accessibility
        .asked
        .push(("sink", vec!["B1".to_owned()], 3));
    assert!(topics(&asked, &[], Vec::new()).contains(&"accessibility"));
    let mut thick = row(2, "B1", Role::Side, "30", "4");
    thick.material = Some("3/4 birch plywood".to_owned());
    assert!(topics(&none(), &[], vec![thick]).contains(&"sheet thickness"));
}

#[test]
fn topics_are_single_and_texts_give_no_order_of_their_own() {
    for (index, caution) in CAUTIONS.iter().enumerate() {
        assert!(
            CAUTIONS[..index]
                .iter()
                .all(|other| other.topic != caution.topic)
        );
        assert!(caution.text.ends_with('.'));
        assert!(!caution.when.meaning().is_empty());
    }
}

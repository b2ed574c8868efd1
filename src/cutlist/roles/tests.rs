use super::*;

fn read(text: &str) -> (Option<Role>, f64, Option<Hand>) {
    read_in(text, None)
}

fn read_in(text: &str, section: Option<Section>) -> (Option<Role>, f64, Option<Hand>) {
    match Parts::new(&[]).read(text, section) {
        (Reading::As { role, score, .. }, hand) => (Some(role), score, hand),
        (Reading::Unknown { .. }, hand) => (None, 0.0, hand),
    }
}

#[test]
fn the_many_words_of_the_trade() {
    use Role::*;
    let table: &[(&str, Role)] = &[
        ("Gable", Side),
        ("Gables", Side),
        ("Deck", Bottom),
        ("Carcase side", Side),
        ("Nailer", Stretcher),
        ("Partition", Divider),
        ("Kick", ToeKick),
        ("Mullion", MidStile),
        ("Drawer head", DrawerFront),
        ("Plinth", ToeKick),
        ("Sides", Side),
        ("LEFT SIDE", Side),
        ("Side (L)", Side),
        ("Adj. shelf", AdjustableShelf),
        ("Shelves", AdjustableShelf),
        ("Fixed shelf", FixedShelf),
        ("Shelf, fixed", FixedShelf),
        ("Top rail", Rail),
        ("Rail - bottom", Rail),
        ("Mid-stile", MidStile),
        ("Face frame stile", Stile),
        ("FF rail", Rail),
        ("Door", Door),
        ("Upper doors", Door),
        ("Door stile", DoorStile),
        ("Drawer side", BoxSide),
        ("Drawer box front", BoxFront),
        ("Drawer bottom", BoxBottom),
        ("Side, drawer", BoxSide),
        ("Drawer front (top)", DrawerFront),
        ("False front", DrawerFront),
        ("Back panel", Back),
        ("Base cabinet side", Side),
        ("Wall end", Side),
        ("Toe kick", ToeKick),
        ("toe-kick", ToeKick),
        ("ToeKick", ToeKick),
        ("Front stretcher", Stretcher),
        ("End rails", EndRail),
        ("side rails", SideRail),
        ("Posts", Post),
        ("Cleat", Cleat),
        ("Build-up strip", BuildUpStrip),
        ("Heater panel", AccessPanel),
        ("Plinth front", BaseRail),
        ("Plinth end", BaseEnd),
        ("Finished end", EndPanel),
        ("Filler 3\"", Filler),
        ("Countertop", Countertop),
        ("B2 side", Side),
        ("2 sides", Side),
        ("Side x2", Side),
        ("Door panel", DoorPanel),
        ("Panel, door", DoorPanel),
        ("brace", Stretcher),
        ("Drawer 2 front", DrawerFront),
        ("Shelf of the glaze bay", AdjustableShelf),
        ("Ladder base - long rail", BaseRail),
        ("Shelf (fixed) maple", FixedShelf),
        ("Toe kick heater access panel", AccessPanel),
        ("Upper drawer front", DrawerFront),
        ("Top drawer box side", BoxSide),
    ];
    for (text, role) in table {
        assert_eq!(read(text).0, Some(*role), "{text}");
    }
}

#[test]
fn two_parts_in_one_row() {
    let pair = |text: &str, section| match Parts::new(&[]).pair(text, section) {
        Pair::Both((a, _), (b, _)) => vec![a, b],
        Pair::Half(a, _) => vec![a],
        Pair::No => Vec::new(),
    };
    assert_eq!(pair("Top and bottom", None), [Role::Top, Role::Bottom]);
    assert_eq!(pair("Top/Bottom", None), [Role::Top, Role::Bottom]);
    assert_eq!(
        pair("Drawer front & back", None),
        [Role::BoxFront, Role::BoxBack]
    );
    assert_eq!(
        pair("Front and back", Some(Section::DrawerBoxes)),
        [Role::BoxFront, Role::BoxBack]
    );
    assert_eq!(pair("Front and back", None), [Role::Back]);
    for one in [
        "Top and bottom rail",
        "Left and right side",
        "Side",
        "Sides L & R",
        "Upper and lower shelf",
    ] {
        assert!(pair(one, None).is_empty(), "{one}");
    }
}

#[test]
fn hands() {
    assert_eq!(read("Left side").2, Some(Hand::Left));
    assert_eq!(read("Side RH").2, Some(Hand::Right));
    assert_eq!(read("Side (R)").2, Some(Hand::Right));
    assert_eq!(read("Side L.H.").2, Some(Hand::Left));
    assert_eq!(read("Sides L & R").2, None);
}

#[test]
fn sections_narrow_a_word() {
    assert_eq!(
        read_in("Side", Some(Section::DrawerBoxes)).0,
        Some(Role::BoxSide)
    );
    assert_eq!(
        read_in("Rails", Some(Section::Doors)).0,
        Some(Role::DoorRail)
    );
    assert_eq!(
        read_in("Front", Some(Section::Base)).0,
        Some(Role::BaseRail)
    );
    assert_eq!(
        read_in("Top", Some(Section::Tops)).0,
        Some(Role::Countertop)
    );
    assert_eq!(
        read_in("Panel", Some(Section::Doors)).0,
        Some(Role::DoorPanel)
    );
}

#[test]
fn slips_of_the_hand_are_read_with_a_score() {
    let (role, score, _) = read("Strecther");
    assert_eq!(role, Some(Role::Stretcher));
    assert!((0.83..0.95).contains(&score), "{score}");
    assert_eq!(read("Drawer frnt").0, Some(Role::DrawerFront));
    assert_eq!(read("Partiton").0, Some(Role::Divider));
    assert_eq!(read("Toe kcik").0, Some(Role::ToeKick));
}

#[test]
fn furniture_and_fronts_have_words_of_their_own() {
    assert_eq!(read("Front").0, Some(Role::FrontPanel));
    assert_eq!(read("Front leg").0, Some(Role::Post));
    assert_eq!(read("Front apron").0, Some(Role::SideRail));
    assert_eq!(read("Skirt").0, Some(Role::SideRail));
    assert_eq!(read("End apron").0, Some(Role::EndRail));
    assert_eq!(read("Top back board").0, Some(Role::Upstand));
    assert_eq!(read("Gallery").0, Some(Role::Upstand));
    assert_eq!(read("Desk top").0, Some(Role::Countertop));
    assert_eq!(read("Tongue and groove back").0, Some(Role::Back));
    for text in [
        "Valance",
        "Modesty panel",
        "Dust panel",
        "Frieze",
        "Bun foot",
    ] {
        assert_eq!(read(text).0, None, "{text}");
    }
}

#[test]
fn what_is_no_part_is_not_forced_into_one() {
    for text in [
        "Light rail",
        "Backsplash",
        "Hinges",
        "Crown moulding",
        "Sink",
        "Widget",
        "Xyzzy",
        "Panel",
        "Door frames",
        "Hinge side plate",
    ] {
        assert_eq!(read(text).0, None, "{text}");
    }
    let nearest = |text: &str| match Parts::new(&[]).read(text, None).0 {
        Reading::Unknown { nearest } => nearest.into_iter().map(|(role, _, _)| role).collect(),
        Reading::As { .. } => Vec::new(),
    };
    assert!(nearest("Panel").contains(&Role::EndPanel));
    assert!(nearest("Sied").contains(&Role::Side));
    assert!(nearest("Door frames").contains(&Role::DoorStile));
}

#[test]
fn a_job_adds_its_own_words() {
    let mut parts = Parts::new(&[("Kiln cheek wing".to_owned(), Role::Divider)]);
    let (reading, _) = parts.read("Kiln cheek wings", None);
    assert!(matches!(reading, Reading::As { role: Role::Divider, score, .. } if score == 1.0));
    let mut parts = Parts::new(&[("Light rail".to_owned(), Role::Rail)]);
    assert!(matches!(
        parts.read("Light rail", None).0,
        Reading::As {
            role: Role::Rail,
            ..
        }
    ));
}

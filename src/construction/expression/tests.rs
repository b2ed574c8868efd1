use super::*;
use crate::length::Length;

/// Works an expression out in inches with a few named sizes.
fn inches(text: &str) -> Result<Worked, String> {
    let expr = parse(text).map_err(|error| format!("{}: {}", error.at, error.message))?;
    work_out(
        &expr,
        Some(Unit::Inch),
        &mut |name| {
            let ticks = match name {
                "interior.width" => 34 * Length::TICKS_PER_INCH,
                "groove.depth" => Length::TICKS_PER_INCH / 4,
                "opening.width" => 33 * Length::TICKS_PER_INCH,
                "overlay" => Length::TICKS_PER_INCH / 2,
                "gap" => Length::TICKS_PER_INCH / 8,
                _ => return Err("unknown"),
            };
            Ok(Value {
                value: Ratio::whole(i128::from(ticks)),
                is_length: true,
            })
        },
        &|value| {
            let inches = value
                .divided_by(Ratio::whole(i128::from(Length::TICKS_PER_INCH)))
                .expect("an inch is not zero");
            if inches.denominator() == 1 {
                format!("{} in", inches.numerator())
            } else {
                format!("{}/{} in", inches.numerator(), inches.denominator())
            }
        },
        true,
    )
    .map_err(|failure| match failure {
        Failure::Name { name, why } => format!("{name}: {why}"),
        Failure::Arithmetic(error) => format!("{}: {}", error.at, error.message),
    })
}

fn value(text: &str) -> (i128, i128) {
    let worked = inches(text).expect(text);
    let unit = if worked.is_length {
        Length::TICKS_PER_INCH
    } else {
        1
    };
    let value = worked
        .value
        .divided_by(Ratio::whole(i128::from(unit)))
        .expect("not zero");
    (value.numerator(), value.denominator())
}

#[test]
fn ordinary_precedence() {
    assert_eq!(value("1 + 2 * 3"), (7, 1));
    assert_eq!(value("(1 + 2) * 3"), (9, 1));
    assert_eq!(value("10 - 4 - 3"), (3, 1));
    assert_eq!(value("12 / 3 / 2"), (2, 1));
    assert_eq!(value("-2 * -3"), (6, 1));
    assert_eq!(value("2 × 3 − 1 ÷ 2"), (11, 2));
}

#[test]
fn numbers_as_the_trade_writes_them() {
    assert_eq!(value("1/4"), (1, 4));
    assert_eq!(value("34 1/2"), (69, 2));
    assert_eq!(value("34 1/2 in"), (69, 2));
    assert_eq!(value("34 1/2\""), (69, 2));
    assert_eq!(value("34.5in"), (69, 2));
    assert_eq!(value("25.4mm"), (1, 1));
    assert_eq!(value("2 ft"), (24, 1));
    assert_eq!(value(".5"), (1, 2));
    // 23/32 in is 18.25625 mm exactly: 1 in = 25.4 mm (1959 agreement).
    assert_eq!(value("23/32 in / 18.25625 mm"), (1, 1));
}

#[test]
fn relations_show_names_and_numbers() {
    let bottom = inches("interior.width + 2 * groove.depth").expect("worked");
    assert_eq!(bottom.relation, "interior width + 2 × groove depth");
    assert_eq!(bottom.numbers, "34 in + 2 × 1/4 in");
    let door = inches("(opening.width + 2*overlay - gap)/2").expect("worked");
    assert_eq!(door.relation, "(opening width + 2 × overlay − gap) / 2");
    assert_eq!(value("(opening.width + 2*overlay - gap)/2"), (271, 16));
    let shelf = inches("interior.width - 2 * 1/16 in").expect("worked");
    assert_eq!(shelf.numbers, "34 in − 2 × 1/16 in");
    let plain = inches("interior.width - 1/8").expect("worked");
    assert_eq!(plain.relation, "interior width − 1/8 in");
    let kept = inches("interior.width - (overlay + gap)").expect("worked");
    assert_eq!(kept.relation, "interior width − (overlay + gap)");
    let negative = inches("-(overlay + gap)").expect("worked");
    assert_eq!(negative.relation, "−(overlay + gap)");
}

#[test]
fn errors_say_where_and_what_to_do() {
    let cases = [
        ("", "0: a number or the name of a size is missing here"),
        ("1 +", "3: a number or the name of a size is missing here"),
        ("(1 + 2", "6: a `)` is missing here"),
        ("1 + 2)", "5: this `)` was never opened"),
        ("1 (2)", "2: a sign such as `+` or `*` is missing here"),
        (
            "a = b",
            "2: only one `=` can stand here, behind the first name",
        ),
        ("1 ? 2", "2: `?` means nothing here"),
        ("1/0", "0: a fraction over zero"),
        ("1 / 0", "2: this divides by zero"),
        (
            "overlay * gap",
            "8: a length times a length is not a length",
        ),
        ("1. + 2", "0: a decimal point needs digits behind it"),
        (
            "1 3/2",
            "0: the fraction of a mixed number must be below one",
        ),
        ("reach + 1", "reach: unknown"),
        (
            "1234567890123456789",
            "0: `1234567890123456789` has too many digits",
        ),
    ];
    for (text, message) in cases {
        assert_eq!(inches(text).expect_err(text), message, "{text}");
    }
    let starts = [
        ("2 overlay", "0: `overlay` after a number is not a unit"),
        (
            "31/2",
            "0: `31/2` may be a mixed number that lost its space",
        ),
        ("34-1/2", "0: a mixed number is written with a space"),
        ("18,5", "0: numbers here are written with a decimal point"),
        (
            "1 / 4 in",
            "2: a plain number cannot be divided by a length",
        ),
    ];
    for (text, message) in starts {
        let error = inches(text).expect_err(text);
        assert!(error.starts_with(message), "{text}: {error}");
    }
}

#[test]
fn a_plain_number_needs_a_unit_to_be_added_to_a_length() {
    let expr = parse("interior.width - 1/8").expect("an expression");
    let failure = work_out(
        &expr,
        None,
        &mut |_| {
            Ok::<_, ()>(Value {
                value: Ratio::ONE,
                is_length: true,
            })
        },
        &|_| String::new(),
        true,
    )
    .expect_err("no unit is stated");
    let Failure::Arithmetic(error) = failure else {
        panic!("{failure:?}");
    };
    assert!(error.message.contains("state `units` under [job]"));
}

#[test]
fn depth_length_and_size_are_bounded() {
    let deep = format!("{}1{}", "(".repeat(5_000), ")".repeat(5_000));
    assert!(
        parse(&deep)
            .expect_err("too long")
            .message
            .contains("longer")
    );
    let nested = format!("{}1{}", "(".repeat(60), ")".repeat(60));
    assert!(
        parse(&nested)
            .expect_err("too deep")
            .message
            .contains("deep")
    );
    let signs = "-".repeat(100) + "1";
    assert!(
        parse(&signs)
            .expect_err("too deep")
            .message
            .contains("deep")
    );
    let huge = ["999999999999999999"; 12].join(" * ");
    assert!(inches(&huge).expect_err("overflow").contains("too large"));
    let tiny = "1/999999999999999999 + 1/999999999999999998 + 1/999999999999999997";
    assert!(inches(tiny).expect_err("overflow").contains("too large"));
}

#[test]
fn left_sides() {
    let (name, expr) = parse_relation("bottom.across = interior.width").expect("a relation");
    assert_eq!(name, "bottom.across");
    assert_eq!(expr.names(), [("interior.width", 16)]);
    assert!(parse_relation("interior.width + 1").is_err());
    assert!(parse_relation("3 = 4").is_err());
}

proptest::proptest! {
    #[test]
    fn no_text_panics(text in "\\PC{0,60}") {
        let _ = inches(&text);
    }

    #[test]
    fn no_arithmetic_panics(text in "[0-9a-z .+*/()=-]{0,60}") {
        let _ = inches(&text);
    }
}

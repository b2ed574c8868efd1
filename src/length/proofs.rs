//! Tests of reading and printing against values from outside.

use super::*;
use proptest::prelude::*;

fn inches(text: &str) -> Length {
    read(text, Unit::Inch)
}

fn read(text: &str, unit: Unit) -> Length {
    match parse(text, unit) {
        Ok(parsed) => parsed.length,
        Err(error) => panic!("{text}: {error}"),
    }
}

fn fraction(whole: i64, n: i64, d: i64) -> Length {
    Length::inch_fraction(whole, n, d).unwrap()
}

fn readings(text: &str, unit: Unit) -> Vec<String> {
    match parse(text, unit) {
        Err(error) => error.readings().iter().map(|r| r.text.clone()).collect(),
        Ok(parsed) => panic!("{text} read as {:?}", parsed.length),
    }
}

/// The four ways a general CAD help page writes one length: decimal,
/// engineering, architectural, fractional.
#[test]
fn the_four_cad_notations_are_one_length() {
    for text in ["15.5", "1'-3.50\"", "1'-3 1/2\"", "15 1/2\""] {
        assert_eq!(inches(text), fraction(15, 1, 2), "{text}");
    }
}

/// Ways of writing 36 1/2 in common drafting practice, no source; the list of forms is ours.
#[test]
fn every_common_form_of_one_size_is_that_size() {
    let forms = [
        "36-1/2",
        "36 1/2",
        "36½",
        "36 ½",
        "36-½",
        "36 1⁄2",
        "36.5",
        "36,5",
        ".0 36",
        "36 1/2\"",
        "36 1/2″",
        "36 1/2”",
        "36 1/2 in",
        "36 1/2 in.",
        "36 1/2 inches",
        "36-1/2\"",
        "36 – 1/2",
        "3'-0 1/2\"",
        "3' 0-1/2\"",
        "3'0 1/2\"",
        "3′-0 1⁄2″",
        "3’ 0½”",
        "3 ft 0 1/2 in",
        "3ft-0.5in",
        "36 1 / 2",
        "36\u{a0}1/2",
        "36\u{202f}½\u{a0}in",
        "36¹⁄₂",
        "36 ¹/₂",
        "36⅟2",
        "36.50",
        "36 1/2''",
        "  36 1/2  ",
        "\u{feff}36 1/2",
        "36 8/16",
        "36 1/2IN",
    ];
    for text in forms.iter().filter(|t| !t.starts_with('.')) {
        assert_eq!(inches(text), fraction(36, 1, 2), "{text}");
    }
}

/// 1 in = 25.4 mm exactly: international yard and pound agreement, 1959.
#[test]
fn units_are_exact() {
    assert_eq!(
        read("36 in", Unit::Millimetre),
        read("914.4 mm", Unit::Inch)
    );
    assert_eq!(read("1 ft", Unit::Inch), read("304.8", Unit::Millimetre));
    assert_eq!(read("60 cm", Unit::Inch), read("600mm", Unit::Inch));
    assert_eq!(read("1.2 m", Unit::Inch), read("1200", Unit::Millimetre));
    // 23/32 in = 2921/160 mm, by rational arithmetic.
    assert_eq!(inches("23/32").ticks() * 160, 2921 * Length::TICKS_PER_MM);
}

/// Nothing read: lengths reckoned with as numbers of millimetres and inches.
#[test]
fn lengths_are_reckoned_with_like_numbers() {
    let (inch, foot) = (inches("1"), read("1 ft", Unit::Inch));
    assert_eq!((inch.mm(), inch.inches()), (25.4, 1.0));
    assert_eq!((foot.mm(), foot.inches()), (304.8, 12.0));
    assert_eq!(Length::from_mm(876.3), Some(inches("34 1/2")));
    assert_eq!(Length::from_mm(-25.4), Some(-inch));
    // A tick is 1/80 µm: half of one is rounded away from nought.
    assert_eq!(Length::from_mm(0.000_006_3).map(Length::ticks), Some(1));
    for none in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, 1.125e14] {
        assert_eq!(Length::from_mm(none), None, "{none}");
    }
    assert!(Length::from_mm(1.124e14).is_some());
    assert_eq!(foot + inch, inches("13"));
    assert_eq!(inch - foot, inches("11") * -1);
    assert_eq!((inch - foot).abs(), inches("11"));
    assert_eq!((foot / 2, inch / 0), (inches("6"), Length::ZERO));
    assert_eq!([foot, inch, inch].into_iter().sum::<Length>(), inches("14"));
    let mut run = foot;
    run += inch;
    assert_eq!(run, inches("13"));
    run -= foot;
    assert_eq!(run, inch);
    let most = Length::from_ticks(i64::MAX);
    assert_eq!((most + inch, most * 2), (most, most));
    let units = [
        Unit::Inch,
        Unit::Foot,
        Unit::Millimetre,
        Unit::Centimetre,
        Unit::Metre,
    ];
    assert_eq!(units.map(Unit::mm), [25.4, 304.8, 1.0, 10.0, 1000.0]);
    assert_eq!(
        units.map(|unit| unit.to_string()),
        ["in", "ft", "mm", "cm", "m"]
    );
    assert_eq!(
        units.map(Unit::is_imperial),
        [true, true, false, false, false]
    );
    let many = ["inches", "feet", "millimetres", "centimetres", "metres"];
    assert_eq!(units.map(Unit::plural), many);
    assert_eq!(many.map(Unit::from_word), units.map(Some));
}

/// Groups of thousands are of three digits each, the first of one to three.
#[test]
fn groups_of_thousands_are_of_three() {
    let read = |text: &str| parse(text, Unit::Millimetre).map(|parsed| parsed.length.mm());
    assert_eq!(read("1.234,5"), Ok(1234.5));
    assert_eq!(read("123.456,7"), Ok(123_456.7));
    for wrong in ["1234.567,8", "1.23,5", "0.123,5", ".123,5"] {
        assert!(read(wrong).is_err(), "{wrong}");
    }
}

/// Rough stock is sold by quarters of an inch (5/4, 8/4): common practice, no
/// source. Other fractions above one, or beside whole inches, are no such names.
#[test]
fn only_bare_quarters_name_rough_stock() {
    let reason = |text: &str| parse(text, Unit::Inch).unwrap_err().to_string();
    let (rough, lost) = (
        "quarters of an inch also name rough stock",
        "more than a whole",
    );
    assert!(reason("5/4").contains(rough), "{}", reason("5/4"));
    for text in ["2 5/4", "9/8", "31/2"] {
        let said = reason(text);
        assert!(said.contains(lost) && !said.contains(rough), "{said}");
    }
}

/// A default dimension style under a comma setting writes `914,4`.
#[test]
fn decimal_commas_and_thousands() {
    let mm = |text: &str| read(text, Unit::Millimetre);
    assert_eq!(mm("914,4"), mm("914.4"));
    assert_eq!(mm("1.234,5"), mm("1234.5"));
    assert_eq!(mm("1,234.5"), mm("1234.5"));
    assert_eq!(mm("1 234,5"), mm("1234.5"));
    assert_eq!(mm("1\u{202f}234,5 mm"), mm("1234.5"));
    assert_eq!(mm("0,750"), mm("0.75"));
    assert_eq!(mm("18,256"), mm("18.256"));
    assert_eq!(inches("1,125"), inches("1 1/8"));
    assert_eq!(inches("1.125"), inches("1 1/8"));
    assert_eq!(mm(",5"), mm("0.5"));
    assert_eq!(mm("34."), mm("34"));
}

#[test]
fn a_lone_separator_before_three_digits_is_asked_about_in_millimetres() {
    assert_eq!(readings("1,234", Unit::Millimetre), ["1234 mm", "1.234 mm"]);
    assert_eq!(readings("1.234", Unit::Millimetre), ["1234 mm", "1.234 mm"]);
    let with = |mark| Reader {
        unit: Unit::Millimetre,
        decimal_mark: Some(mark),
    };
    let comma = with(DecimalMark::Comma).read("1.234").unwrap();
    assert_eq!(comma.length, read("1234", Unit::Millimetre));
    let point = with(DecimalMark::Point).read("1,234").unwrap();
    assert_eq!(point.length, read("1234", Unit::Millimetre));
    let same = with(DecimalMark::Point).read("1.234").unwrap();
    assert_eq!(same.length, read("1234 mm", Unit::Inch) / 1000);
}

/// Flattened stacked fractions as read on public pages: a lumber size chart
/// prints `31/2`, `13/4`, `71/2`, `111/4`; a layout article `25716`; a lumber
/// reference `1-/34`.
#[test]
fn flattened_fractions_are_never_settled() {
    let first = |text: &str| readings(text, Unit::Inch).first().cloned();
    assert_eq!(readings("31/2", Unit::Inch), ["3 1/2 in", "15 1/2 in"]);
    assert_eq!(first("13/4").as_deref(), Some("1 3/4 in"));
    assert_eq!(first("71/2").as_deref(), Some("7 1/2 in"));
    assert_eq!(first("111/4").as_deref(), Some("11 1/4 in"));
    assert_eq!(first("25716").as_deref(), Some("25 7/16 in"));
    assert_eq!(first("1-/34").as_deref(), Some("1 3/4 in"));
    assert_eq!(first("34 12").as_deref(), Some("34 1/2 in"));
    assert_eq!(first("3412\"").as_deref(), Some("34 1/2 in"));
    assert_eq!(first("361⁄2").as_deref(), Some("36 1/2 in"));
    assert_eq!(first("5/4").as_deref(), Some("1 1/4 in"));
    assert_eq!(first("1/34").as_deref(), Some("1 3/4 in"));
    // Default unit mm does not make a flattened fraction safe.
    assert_eq!(
        readings("31/2", Unit::Millimetre),
        ["3 1/2 in", "15 1/2 in"]
    );
    assert!(parse("3 11/2", Unit::Inch).is_err());
    assert!(parse("4/4", Unit::Inch).is_err());
}

#[test]
fn a_sound_fraction_says_what_it_may_be_the_rest_of() {
    let parsed = parse("13/16", Unit::Inch).unwrap();
    assert_eq!(parsed.length, fraction(0, 13, 16));
    assert_eq!(parsed.alternatives.len(), 1);
    assert_eq!(parsed.alternatives[0].text, "1 3/16 in");
    assert_eq!(parsed.alternatives[0].length, fraction(1, 3, 16));
    for sound in ["3/4", "1/2", "3 13/16", "7/8", "36", "13⁄16\""] {
        let expected = usize::from(sound.starts_with("13"));
        assert_eq!(
            parse(sound, Unit::Inch).unwrap().alternatives.len(),
            expected,
            "{sound}"
        );
    }
    // Digits alone can be a fraction without its line.
    let parsed = parse("34", Unit::Inch).unwrap();
    assert_eq!(parsed.length, fraction(34, 0, 1));
    assert_eq!(parsed.alternatives[0].text, "3/4 in");
    assert!(parse("34 in", Unit::Inch).unwrap().alternatives.is_empty());
}

#[test]
fn spreadsheet_dates_are_named() {
    for text in [
        "3-Apr",
        "4-Mar",
        "03-Apr",
        "Apr-03",
        "2024-03-04",
        "3/4/2024",
        "2024-04-03 00:00:00",
    ] {
        let error = parse(text, Unit::Inch).unwrap_err();
        assert!(matches!(error, LengthError::Date { .. }), "{text}: {error}");
        assert_eq!(error.readings()[0].text, "3/4 in", "{text}");
    }
    assert_eq!(readings("Jan-16", Unit::Inch), ["1/16 in"]);
    assert_eq!(readings("1932-01-01", Unit::Inch), ["1/32 in"]);
    assert_eq!(inches("2000 1/2 in"), fraction(2000, 1, 2));
}

#[test]
fn values_between_ticks_are_rounded_and_say_so() {
    let third = parse("1/3", Unit::Inch).unwrap();
    assert!(!third.exact);
    assert_eq!(third.length.ticks(), 677_333);
    assert!(parse("23 127/128", Unit::Inch).unwrap().exact);
    assert!(parse("0.001", Unit::Inch).unwrap().exact);
    assert!(!parse("0.00001 mm", Unit::Inch).unwrap().exact);
    // Half a tick rounds away from zero: 1/160 µm.
    assert_eq!(read("0.00000625", Unit::Millimetre).ticks(), 1);
}

#[test]
fn the_way_of_writing_implies_a_rounding() {
    let step = |text: &str, unit| parse(text, unit).unwrap().step;
    assert_eq!(step("3 5/16", Unit::Inch), fraction(0, 1, 16));
    assert_eq!(step("36", Unit::Inch), fraction(1, 0, 1));
    assert_eq!(step("34.25", Unit::Inch), fraction(0, 1, 100));
    assert_eq!(step("876.3", Unit::Millimetre), read("0.1 mm", Unit::Inch));
    assert_eq!(step("3'-0 1/2\"", Unit::Inch), fraction(0, 1, 2));
    assert_eq!(step("2'", Unit::Inch), fraction(12, 0, 1));
}

#[test]
fn the_unit_and_its_source_are_kept() {
    let parsed = parse("3/4", Unit::Millimetre).unwrap();
    assert_eq!(
        (parsed.unit, parsed.unit_source),
        (Unit::Inch, UnitSource::Fraction)
    );
    let parsed = parse("18", Unit::Millimetre).unwrap();
    assert_eq!(
        (parsed.unit, parsed.unit_source),
        (Unit::Millimetre, UnitSource::Default)
    );
    let parsed = parse("18mm", Unit::Inch).unwrap();
    assert_eq!(
        (parsed.unit, parsed.unit_source),
        (Unit::Millimetre, UnitSource::Written)
    );
}

/// Every message with what makes it.
#[test]
fn refusals_say_why() {
    let message = |text: &str| parse(text, Unit::Inch).unwrap_err().to_string();
    assert_eq!(message(" "), "there is no size here");
    assert_eq!(message("-3 1/2"), "`-3 1/2` is negative");
    assert_eq!(message("\u{2212}3"), "`\u{2212}3` is negative");
    assert_eq!(message("3/0"), "`3/0` has a zero below the fraction line");
    assert_eq!(
        message("36 yd"),
        "`yd` in `36 yd` is not a unit of length known here"
    );
    assert_eq!(
        message("34 1/2 x 23"),
        "`34 1/2 x 23` is not a size: it holds more than one size"
    );
    assert_eq!(
        message("99999999999999999999"),
        "`99999999999999999999` is beyond any size that can be held"
    );
    assert_eq!(
        message("31/2"),
        "`31/2` can be read as 3 1/2 in or 15 1/2 in: the fraction is more than a whole, as when its space is lost"
    );
    assert_eq!(
        message("4-Mar"),
        "`4-Mar` is a date; a spreadsheet may have made it from 3/4 in"
    );
    assert_eq!(
        message("see note"),
        "`see note` is not a size: `see` stands where a number should"
    );
    assert_eq!(
        message("#REF!"),
        "`#REF!` is not a size: it does not start with a number"
    );
    assert_eq!(
        message("36.5 1/2"),
        "`36.5 1/2` is not a size: decimals and a fraction stand together"
    );
    assert_eq!(
        message("1,2,3"),
        "`1,2,3` is not a size: its points and commas fit neither decimals nor thousands"
    );
    assert_eq!(
        message("3/"),
        "`3/` is not a size: nothing stands below the fraction line"
    );
    assert_eq!(
        message("3 5/7"),
        "`3 5/7` is not a size: no rule is divided into 7 parts"
    );
    assert_eq!(
        message("3'-14\""),
        "`3'-14\"` is not a size: the inches after feet reach a foot or more"
    );
    assert_eq!(
        message("3.5' 2\""),
        "`3.5' 2\"` is not a size: feet before inches are a whole number"
    );
    assert_eq!(
        message("3' 2 mm"),
        "`3' 2 mm` is not a size: mm stands after feet"
    );
    assert_eq!(
        message("36 (finished)"),
        "`36 (finished)` is not a size: `(finished)` is left over"
    );
    assert_eq!(
        message("12 90"),
        "`12 90` is not a size: it holds two numbers with no fraction line"
    );
    assert_eq!(
        message("3²"),
        "`3²` is not a size: it holds two numbers with no fraction line"
    );
    assert_eq!(
        message("²"),
        "`²` is not a size: a raised or lowered number without a fraction line"
    );
    assert_eq!(
        message("1.5/2"),
        "`1.5/2` is not a size: a fraction is made of whole numbers"
    );
    assert_eq!(
        message("1 -/9"),
        "`1 -/9` is not a size: nothing stands above the fraction line"
    );
    assert!(message(&"1".repeat(300)).contains("far longer than any size"));
    for text in [
        " ",
        "-3",
        "3/0",
        "3 yd",
        "9999999999999999999999",
        "31/2",
        "4-Mar",
        "see",
    ] {
        assert!(
            !parse(text, Unit::Inch).unwrap_err().advice().is_empty(),
            "{text}"
        );
    }
}

#[test]
fn tolerances() {
    let tol = |text: &str| parse_tolerance(text, Unit::Millimetre);
    assert_eq!(tol("1/32").unwrap(), fraction(0, 1, 32));
    assert_eq!(tol("1/32 in").unwrap(), fraction(0, 1, 32));
    assert_eq!(tol("0.8mm").unwrap(), read("0.8", Unit::Millimetre));
    assert_eq!(tol("± 0,8").unwrap(), read("0.8", Unit::Millimetre));
    assert_eq!(tol("+/-1/16").unwrap(), fraction(0, 1, 16));
    assert_eq!(tol("0").unwrap(), Length::ZERO);
    assert_eq!(tol("1 in").unwrap(), fraction(1, 0, 1));
    assert_eq!(
        tol("32").unwrap_err().to_string(),
        "tolerance `32` is more than an inch and would pass any mistake"
    );
    assert_eq!(
        tol("wide").unwrap_err().to_string(),
        "tolerance `wide` is not a size: `wide` stands where a number should"
    );
}

#[test]
fn printing() {
    let sixteenths = Notation::SIXTEENTHS;
    assert_eq!(fraction(34, 1, 2).show(sixteenths), "34 1/2 in");
    assert_eq!(fraction(34, 1, 2).show(Notation::Millimetre), "876.3 mm");
    assert_eq!(fraction(34, 1, 2).show(Notation::DecimalInch), "34.5 in");
    assert_eq!(fraction(0, 3, 4).show(sixteenths), "3/4 in");
    assert_eq!(fraction(36, 0, 1).show(sixteenths), "36 in");
    assert_eq!(Length::ZERO.show(sixteenths), "0 in");
    assert_eq!((-fraction(0, 1, 8)).show(sixteenths), "-1/8 in");
    assert_eq!(
        (-fraction(1, 1, 8)).show(Notation::Millimetre),
        "-28.575 mm"
    );
    assert_eq!(fraction(0, 1, 8).show_signed(sixteenths), "+1/8 in");
    // 18 mm is 11/16 in less 0.5375 mm on a rule of sixteenths, and 45/64 in
    // less 0.140625 mm: rational arithmetic.
    let eighteen = read("18 mm", Unit::Inch);
    assert_eq!(eighteen.show(sixteenths), "≈11/16 in");
    assert_eq!(eighteen.show(Notation::SIXTY_FOURTHS), "≈45/64 in");
    assert_eq!(eighteen.show_bare(Notation::DecimalInch), "0.7087");
    // 564 mm: 22 3/16, 22 7/32, 22 13/64.
    let width = read("564 mm", Unit::Inch);
    assert_eq!(width.show(sixteenths), "≈22 3/16 in");
    assert_eq!(
        width.show(Notation::InchFraction { denominator: 32 }),
        "≈22 7/32 in"
    );
    assert_eq!(width.show(Notation::SIXTY_FOURTHS), "≈22 13/64 in");
    // The dust of a drawing's decimals is not a rounding worth a mark.
    assert_eq!(
        Length::from_mm(876.300_02).unwrap().show(sixteenths),
        "34 1/2 in"
    );
    assert_eq!(
        Length::from_mm(-0.0001).unwrap().show(Notation::Millimetre),
        "0 mm"
    );
}

#[test]
fn another_size_is_written_alike() {
    let cases = [
        ("34 1/2", fraction(31, 0, 1), "31"),
        ("34 1/2\"", fraction(31, 3, 8), "31 3/8\""),
        ("34-1/2", fraction(31, 3, 8), "31-3/8"),
        ("34½", fraction(31, 3, 8), "31⅜"),
        ("34½", fraction(31, 5, 16), "31 5/16"),
        ("34¹⁄₂", fraction(31, 5, 16), "31⁵⁄₁₆"),
        ("34 1⁄2 in", fraction(0, 5, 16), "5⁄16 in"),
        ("3'-0 1/2\"", fraction(34, 1, 4), "2'-10 1/4\""),
        ("1'-3.50\"", fraction(34, 1, 4), "2'-10.25\""),
        ("36", fraction(34, 1, 2), "34 1/2"),
        ("34.5", fraction(31, 1, 16), "31.0625"),
        ("34.50 in", fraction(31, 0, 1), "31.00 in"),
        ("34.5", Length::ZERO, "0.0"),
        ("1'-3-1/2\"", fraction(12, 1, 4), "1'-0-1/4\""),
        ("1'-3.50\"", fraction(12, 1, 2), "1'-0.50\""),
        ("3/4", fraction(1, 1, 8), "1 1/8"),
        ("¾", fraction(1, 1, 8), "1⅛"),
    ];
    for (written, length, expected) in cases {
        let parsed = parse(written, Unit::Inch).unwrap();
        assert_eq!(
            parsed.written.write(length),
            (expected.to_owned(), true),
            "{written}"
        );
        assert_eq!(parsed.written.write(parsed.length).0, written);
    }
    let mm = [
        ("914,4", "876.3", "876,3"),
        ("1.234,5", "2440.0", "2.440,0"),
        ("720", "564", "564"),
        ("60 cm", "564 mm", "56.4 cm"),
        ("720 mm", "564.25 mm", "564.25 mm"),
    ];
    for (written, length, expected) in mm {
        let parsed = parse(written, Unit::Millimetre).unwrap();
        let length = read(length, Unit::Millimetre);
        assert_eq!(
            parsed.written.write(length),
            (expected.to_owned(), true),
            "{written}"
        );
    }
    // 18 mm on a fraction rule is not exact, and says so.
    let parsed = parse("34 1/2", Unit::Inch).unwrap();
    assert_eq!(
        parsed.written.write(read("18 mm", Unit::Inch)),
        ("45/64".to_owned(), false)
    );
    // 18 / 25.4 = 0.708 661 417...: four decimals are as fine as anyone measures.
    let parsed = parse("34.5", Unit::Inch).unwrap();
    assert_eq!(
        parsed.written.write(read("18 mm", Unit::Inch)),
        ("0.7087".to_owned(), false)
    );
    // 609.59 mm = 23.999 61 in: nearer to two feet than to anything on a rule.
    let parsed = parse("1'-3 1/2\"", Unit::Inch).unwrap();
    assert_eq!(
        parsed.written.write(read("609.59 mm", Unit::Inch)),
        ("2'-0\"".to_owned(), false)
    );
    for (text, whole) in [("36", true), ("34.5", false), ("34 1/2", false)] {
        let parsed = parse(text, Unit::Inch).unwrap();
        assert_eq!(parsed.written.is_whole(), whole, "{text}");
    }
}

#[test]
fn unit_words() {
    for (word, unit) in [
        ("inches", Unit::Inch),
        ("MM", Unit::Millimetre),
        ("ft.", Unit::Foot),
        ("cm", Unit::Centimetre),
        ("Metres", Unit::Metre),
    ] {
        assert_eq!(Unit::from_word(word), Some(unit));
    }
    assert_eq!(Unit::from_word("yd"), None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Print → read is identity for every fraction of 1/128 in.
    #[test]
    fn fractions_survive_printing(count in -2_000_000_i64..2_000_000) {
        let length = Length::from_ticks(count * 15_875);
        let text = length.abs().show(Notation::InchFraction { denominator: 128 });
        prop_assert_eq!(parse(&text, Unit::Millimetre).unwrap().length, length.abs());
        let bare = length.abs().show_bare(Notation::InchFraction { denominator: 128 });
        // Whole inches without a unit may look like a fraction without its line.
        if bare.contains('/') {
            prop_assert_eq!(parse(&bare, Unit::Inch).unwrap().length, length.abs());
        }
    }

    /// And for every 0.001 mm, and every 0.001 in.
    #[test]
    fn decimals_survive_printing(count in 0_i64..20_000_000) {
        let length = Length::from_ticks(count * 80);
        let text = length.show(Notation::Millimetre);
        let reader = Reader { unit: Unit::Inch, decimal_mark: Some(DecimalMark::Point) };
        prop_assert_eq!(reader.read(&text).unwrap().length, length);
        let length = Length::from_ticks(count % 144_000 * 2_032);
        let text = length.show(Notation::DecimalInch);
        prop_assert_eq!(reader.read(&text).unwrap().length, length);
    }

    /// Writing a size the way it was written gives the same text's size back.
    #[test]
    fn writing_alike_reads_back(count in 0_i64..18_000, style in 0_usize..10, other in 0_i64..18_000) {
        let styles = ["34 1/2", "34-1/2\"", "34½", "3'-0 1/2\"", "34.5", "34.50 in", "34 ½ in", "34¹⁄₂", "34 1⁄2″", "3' 2"];
        let _ = other;
        let written = parse(styles[style], Unit::Inch).unwrap().written;
        let length = Length::from_ticks(count * 15_875);
        let (text, exact) = written.write(length);
        if let Ok(parsed) = parse(&text, Unit::Inch) {
            if exact {
                prop_assert_eq!(parsed.length, length, "{} {}", styles[style], text);
            } else {
                prop_assert!((parsed.length - length).abs() <= Length::from_ticks(15_875), "{}", text);
            }
        } else {
            // Only a bare whole number may be unreadable without its context.
            prop_assert!(text.bytes().take_while(|b| b.is_ascii_digit()).count() > 2, "{}", text);
        }
    }

    /// Feet and inches against whole-number arithmetic done here.
    #[test]
    fn feet_and_inches_add_up(feet in 0_i64..100, inch in 0_i64..12, n in 0_i64..16) {
        let text = format!("{feet}'-{inch} {n}/16\"");
        prop_assert_eq!(inches(&text).ticks(), (feet * 192 + inch * 16 + n) * 127_000);
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,40}", unit in 0_usize..5) {
        let unit = [Unit::Inch, Unit::Foot, Unit::Millimetre, Unit::Centimetre, Unit::Metre][unit];
        let _ = parse(&text, unit);
        let _ = parse_tolerance(&text, unit);
    }

    #[test]
    fn no_size_like_text_panics(text in "[-0-9 ./,'\"½⅟¹₂⁄mcinftx]{0,14}") {
        for mark in [None, Some(DecimalMark::Comma), Some(DecimalMark::Point)] {
            for unit in [Unit::Inch, Unit::Millimetre] {
                if let Ok(parsed) = (Reader { unit, decimal_mark: mark }).read(&text) {
                    prop_assert!(parsed.length >= Length::ZERO);
                    prop_assert!(parsed.step > Length::ZERO);
                    let _ = parsed.written.write(parsed.length);
                }
            }
        }
    }
}

/// Fractions of one character are their numbers: the Unicode Standard, Number
/// Forms (U+2150 on) and Latin-1 (U+00BC to U+00BE).
#[test]
fn fractions_of_one_character() {
    for (text, n, d) in [
        ("4¼", 1, 4),
        ("4½", 1, 2),
        ("4¾", 3, 4),
        ("4⅒", 1, 10),
        ("4⅓", 1, 3),
        ("4⅔", 2, 3),
        ("4⅕", 1, 5),
        ("4⅖", 2, 5),
        ("4⅗", 3, 5),
        ("4⅘", 4, 5),
        ("4⅙", 1, 6),
        ("4⅚", 5, 6),
        ("4⅛", 1, 8),
        ("4⅜", 3, 8),
        ("4⅝", 5, 8),
        ("4⅞", 7, 8),
    ] {
        assert_eq!(inches(text), fraction(4, n, d), "{text}");
    }
    for (text, parts) in [("4⅐", 7), ("4⅑", 9)] {
        let said = parse(text, Unit::Inch).unwrap_err().to_string();
        assert!(
            said.ends_with(&format!("no rule is divided into {parts} parts")),
            "{said}"
        );
    }
}

/// Groups of digits as the SI writes them (SI Brochure, 9th edition, 5.4.4).
#[test]
fn digits_in_groups_are_one_number_where_each_group_has_three() {
    for (text, mm) in [
        ("1 234 mm", 1_234.0),
        ("1 234 567 mm", 1_234_567.0),
        ("1 234 567,8 mm", 1_234_567.8),
    ] {
        assert_eq!(read(text, Unit::Millimetre).mm(), mm, "{text}");
    }
    for text in [
        "1 234 56 mm",
        "1 234,5 678 mm",
        "1 234 x",
        "1-234 mm",
        "1 \u{b2}\u{b3}\u{2074} mm",
        "0 234 mm",
        "1234 567 mm",
        "1.5 234 mm",
        "1 234,5,6 mm",
    ] {
        assert!(parse(text, Unit::Millimetre).is_err(), "{text}");
    }
}

#[test]
fn nobody_halves_a_fraction_that_could_be_halved() {
    assert_eq!(readings("3 58", Unit::Inch), ["3 5/8 in"]);
    assert!(readings("3 48", Unit::Inch).is_empty());
    // Nor does anyone write a nought before it.
    assert!(readings("3 0716", Unit::Inch).is_empty());
}

#[test]
fn what_follows_small_figures_is_kept() {
    for text in ["\u{b9}\u{b9}\u{2044}\u{2081}\u{2086} in", "11/16 in"] {
        let parsed = parse(text, Unit::Millimetre).unwrap();
        assert_eq!(parsed.length, fraction(0, 11, 16), "{text}");
        assert_eq!(parsed.written.suffix, " in", "{text}");
    }
}

#[test]
fn words_and_figures_that_look_like_a_date_are_none() {
    for text in ["2011-03-01", "2012-03-01"] {
        assert_eq!(readings(text, Unit::Inch), ["1/3 in"], "{text}");
    }
    assert!(readings("4-Apr", Unit::Inch).is_empty());
    for text in [
        "mar2-4",
        "marketplaces-4",
        "45-3-1",
        "3-4-1234",
        "3-4-203",
        "3-4-19ab",
    ] {
        let error = parse(text, Unit::Inch).unwrap_err();
        assert!(
            !matches!(error, LengthError::Date { .. }),
            "{text}: {error}"
        );
    }
}

#[test]
fn signs_and_words_round_a_size() {
    assert_eq!(readings("4/4", Unit::Inch), ["1 in"]);
    assert_eq!(inches("¾"), fraction(0, 3, 4));
    assert_eq!(inches(" ⅝\""), fraction(0, 5, 8));
    let negative = |text| matches!(parse(text, Unit::Inch), Err(LengthError::Negative { .. }));
    assert!(negative("- 34") && negative("-  34") && negative("-34"));
    let unknown = |text| {
        matches!(
            parse(text, Unit::Inch),
            Err(LengthError::UnknownUnit { .. })
        )
    };
    assert!(unknown("34 spans") && !unknown("34 in spans"));
    for text in ["3.5' 2\"", "3,5' 2\"", "1 1/2' 3\""] {
        assert!(parse(text, Unit::Inch).is_err(), "{text}");
    }
    let third = i64::MAX / 3 / Unit::Millimetre.ticks();
    let far = parse(&format!("{third} mm"), Unit::Inch);
    assert!(matches!(far, Err(LengthError::OutOfRange { .. })));
}

use super::*;
use UnitSystem::{InchDecimal, InchFraction, Millimetre};
use approx::assert_relative_eq;

/// Entry, units, mm.
const ACCEPTED: &[(&str, UnitSystem, f64)] = &[
    ("3 1/2", InchFraction, 88.9),
    ("3.5", InchFraction, 88.9),
    ("3.5", InchDecimal, 88.9),
    ("3.5", Millimetre, 3.5),
    ("3.5\"", Millimetre, 88.9),
    ("3-1/2", InchFraction, 88.9),
    ("3-1/2\"", Millimetre, 88.9),
    ("3 - 1/2", InchFraction, 63.5),
    ("3 -1/2", InchFraction, 63.5),
    ("3½", InchFraction, 88.9),
    ("3 ½", InchFraction, 88.9),
    ("⅞″", Millimetre, 22.225),
    ("88.9mm", InchFraction, 88.9),
    ("88,9", Millimetre, 88.9),
    ("0,065", InchDecimal, 1.651),
    (",5", InchDecimal, 12.7),
    ("7/8 in", Millimetre, 22.225),
    ("7⁄8 inch", Millimetre, 22.225),
    ("2'6", InchFraction, 762.0),
    ("2'6\"", Millimetre, 762.0),
    ("2'-6\"", InchFraction, 762.0),
    ("2' - 6\"", InchFraction, 457.2),
    ("2'-6mm", InchFraction, 603.6),
    ("2 ft 6 in", Millimetre, 762.0),
    ("5' 3 1/2\"", InchFraction, 1612.9),
    ("5′ 3½″", InchFraction, 1612.9),
    ("6''", Millimetre, 152.4),
    ("2 feet", Millimetre, 609.6),
    ("1 foot", Millimetre, 304.8),
    ("3 Inches", Millimetre, 76.2),
    ("3 in.", Millimetre, 76.2),
    ("2*(1+3/8)in", Millimetre, 69.85),
    ("2×(1+3/8)", InchFraction, 69.85),
    ("3 1/2\" + 2mm", InchFraction, 90.9),
    ("3 1/2\" − 2mm", InchFraction, 86.9),
    ("3\" - 1/8", InchFraction, 73.025),
    ("12 cm", InchFraction, 120.0),
    ("1.5m", InchFraction, 1500.0),
    ("-1/4", InchFraction, -6.35),
    ("-2'6\"", InchFraction, -762.0),
    ("+5", Millimetre, 5.0),
    ("2*-3", Millimetre, -6.0),
    ("10 / 4", InchFraction, 63.5),
    ("12/4/3/2", Millimetre, 0.5),
    ("88.9/2mm", InchFraction, 44.45),
    ("9.5/4-1/8", Millimetre, 2.25),
    ("1/4-1/8", InchFraction, 3.175),
    ("10-3-1/2", Millimetre, 6.5),
    ("(1+2)*3", Millimetre, 9.0),
    ("3in/4", Millimetre, 19.05),
    ("  3.5  ", Millimetre, 3.5),
    ("0", InchFraction, 0.0),
    ("1000000", Millimetre, 1e6),
];

#[test]
fn shop_entries_are_read() {
    for &(text, units, mm) in ACCEPTED {
        match parse_length(text, units) {
            Ok(got) => assert!((got - mm).abs() < 1e-9, "{text}: {got}, not {mm}"),
            Err(error) => panic!("{text}: {error}"),
        }
    }
}

#[test]
fn what_could_mean_two_things_or_none_is_refused_with_the_reason() {
    use EntryProblem as P;
    let piece = str::to_owned;
    for (text, problem) in [
        ("", P::Empty),
        ("   ", P::Empty),
        ("abc", P::Unknown(piece("abc"))),
        ("3 yards", P::Unknown(piece("yards"))),
        ("1e3", P::Unknown(piece("e"))),
        ("3 # 4", P::Unknown(piece("#"))),
        (".", P::Unknown(piece("."))),
        ("3 4", P::SideBySide(piece("4"))),
        ("3 4 1/2", P::SideBySide(piece("4"))),
        ("3.5 1/2", P::SideBySide(piece("1"))),
        ("3 1/2 1/2", P::SideBySide(piece("1"))),
        ("10/3 1/2", P::SideBySide(piece("1"))),
        ("2(3)", P::SideBySide(piece("("))),
        ("(2 3)", P::SideBySide(piece("3"))),
        ("2' 6mm", P::SideBySide(piece("6"))),
        ("3mm*2mm", P::UnitTimesUnit(piece("3mm*2mm"))),
        ("3mm/2/2mm", P::DividedByUnit(piece("3mm/2/2mm"))),
        ("3in/2in", P::DividedByUnit(piece("3in/2in"))),
        ("1/0", P::DividedByZero(piece("1/0"))),
        ("3 1/0", P::DividedByZero(piece("3 1/0"))),
        ("5/(1-1)", P::DividedByZero(piece("5/(1-1)"))),
        ("3 mm mm", P::TwoUnits(piece("mm"))),
        ("3mm\"", P::TwoUnits(piece("\""))),
        ("(3mm)in", P::TwoUnits(piece("in"))),
        ("30°", P::WrongUnit(piece("°"))),
        ("1,234.5", P::AmbiguousComma(piece("1,234.5"))),
        ("1.234,5", P::AmbiguousComma(piece("1.234,5"))),
        ("1,234", P::AmbiguousComma(piece("1,234"))),
        ("1.2.3", P::BrokenNumber(piece("1.2.3"))),
        ("3-9/8", P::AmbiguousHyphen(piece("3-9/8"))),
        ("2'-18\"", P::AmbiguousHyphen(piece("2'-18"))),
        ("--3", P::NumberNeeded(piece("-"))),
        ("--", P::NumberNeeded(piece("-"))),
        ("3 + * 2", P::NumberNeeded(piece("*"))),
        ("mm", P::NumberNeeded(piece("mm"))),
        ("()", P::NumberNeeded(piece(")"))),
        ("3 +", P::Unfinished(piece("+"))),
        ("-", P::Unfinished(piece("-"))),
        ("(3", P::NotClosed),
        ("3)", P::NotOpened),
        ("1000000.1 mm", P::TooLarge(piece("1000000.1 mm"))),
        ("2 km", P::Unknown(piece("km"))),
    ] {
        match parse_length(text, InchFraction) {
            Ok(mm) => panic!("{text:?} was read as {mm} mm"),
            Err(error) => assert_eq!(error.problem, problem, "{text:?}"),
        }
    }
}

#[test]
fn a_refusal_says_what_is_wrong_where_and_what_is_accepted() {
    let text = "3 4";
    let error = parse_length(text, InchFraction).unwrap_err();
    assert_eq!(
        error.to_string(),
        "“4” follows a number with nothing to say how they go together; a length is written like 3 1/2, 3.5\", \
         88.9mm, 2'6 or 2*(1+3/8)in."
    );
    assert_eq!(&text[error.at], "4");
    let error = parse_length("88.9mn", InchFraction).unwrap_err();
    assert!(error.to_string().starts_with("“mn” is not understood"), "{error}");
}

#[test]
fn absurd_input_is_refused_without_harm() {
    let open = "(".repeat(10_000);
    assert_eq!(parse_length(&open, Millimetre).unwrap_err().problem, EntryProblem::TooDeep);
    let digits = "9".repeat(400);
    assert!(matches!(parse_length(&digits, Millimetre).unwrap_err().problem, EntryProblem::TooLarge(_)));
    assert!(parse_length(&format!("1/{digits}0*{digits}"), Millimetre).is_err());
    let long = format!("{}1", "1+".repeat(5000));
    assert_relative_eq!(parse_length(&long, Millimetre).unwrap(), 5001.0);
    let nested = format!("{}7{}", "(".repeat(32), ")".repeat(32));
    assert_relative_eq!(parse_length(&nested, Millimetre).unwrap(), 7.0);
}

#[test]
fn angles_are_read_in_degrees() {
    for (text, deg) in [
        ("45", 45.0),
        ("22.5°", 22.5),
        ("22,5", 22.5),
        ("22 1/2°", 22.5),
        ("22½", 22.5),
        ("22°30'", 22.5),
        ("22°30", 22.5),
        ("22° 30' 15\"", 22.0 + 30.0 / 60.0 + 15.0 / 3600.0),
        ("22°30′15″", 22.0 + 30.0 / 60.0 + 15.0 / 3600.0),
        ("30'", 0.5),
        ("45 deg", 45.0),
        ("0.5rad", 0.5_f64.to_degrees()),
        ("90/4", 22.5),
        ("2*(7.5)", 15.0),
        ("90° - 22.5", 67.5),
        ("-15", -15.0),
        ("-22°30'", -22.5),
    ] {
        assert_relative_eq!(parse_angle_deg(text).unwrap(), deg, epsilon = 1e-12);
    }
}

#[test]
fn other_angles_are_refused() {
    for text in
        ["", "north", "45mm", "3\" in", "22°75'", "22° 45mm", "4000", "1rad*1rad", "pi", "45 30", "90°/0"]
    {
        assert!(parse_angle_deg(text).is_err(), "{text:?} was read");
    }
}

#[test]
fn counts_are_whole_and_numbers_have_no_unit() {
    assert_eq!(parse_count("4").unwrap(), 4);
    assert_eq!(parse_count("2*3").unwrap(), 6);
    assert_eq!(parse_count("0").unwrap(), 0);
    for text in ["", "-1", "2.5", "3-1/2", "4 mm", "four", "99999999999"] {
        assert!(parse_count(text).is_err(), "{text:?} was read");
    }
    assert_relative_eq!(parse_number("2,7").unwrap(), 2.7);
    assert_relative_eq!(parse_number("-3 1/2").unwrap(), -3.5);
    for text in ["", "2.7g", "2 in", "1/0", "1e400"] {
        assert!(parse_number(text).is_err(), "{text:?} was read");
    }
}

proptest::proptest! {
    #[test]
    fn no_text_breaks_the_reader(text in "[0-9 .,/*+()'\"½°a-z−-]{0,40}") {
        for units in [InchFraction, InchDecimal, Millimetre] {
            if let Ok(mm) = parse_length(&text, units) {
                proptest::prop_assert!(mm.is_finite() && mm.abs() <= LONGEST_MM);
            }
        }
        if let Err(error) = parse_angle_deg(&text) {
            proptest::prop_assert!(text.get(error.at).is_some());
        }
    }
}

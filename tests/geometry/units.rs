//! What is typed is what is meant, to the last digit.

use pipeloft_core::units::{MM_PER_INCH, UnitSystem, length_edit, parse_angle_deg, parse_length};

/// Lengths as a shop writes them and their millimetres.
///
/// The inch is 25.4 mm exactly: international yard and pound agreement of 1959, from memory.
const WRITTEN: [(&str, f64); 12] = [
    ("1\"", 25.4),
    ("1in", 25.4),
    ("3 1/2\"", 88.9),
    ("3.5\"", 88.9),
    ("1/32\"", 0.79375),
    ("2'6", 762.0),
    ("1'", 304.8),
    ("88.9mm", 88.9),
    ("76.2 mm", 76.2),
    ("8.89cm", 88.9),
    ("0.065\"", 1.651),
    ("2*(1+3/8)in", 69.85),
];

#[test]
fn an_inch_is_twenty_five_point_four_millimetres_exactly() {
    assert_eq!(MM_PER_INCH.to_bits(), 25.4_f64.to_bits());
    for units in [UnitSystem::InchFraction, UnitSystem::InchDecimal] {
        assert_eq!(parse_length("1", units).map(f64::to_bits), Ok(25.4_f64.to_bits()));
    }
    assert_eq!(parse_length("1", UnitSystem::Millimetre).map(f64::to_bits), Ok(1.0_f64.to_bits()));
}

#[test]
fn a_length_with_its_unit_means_the_same_in_every_shop() {
    for units in [UnitSystem::InchFraction, UnitSystem::InchDecimal, UnitSystem::Millimetre] {
        for (text, mm) in WRITTEN {
            let read = parse_length(text, units).unwrap();
            assert!((read - mm).abs() < 1e-12, "{text} is {read}, not {mm}");
        }
    }
}

#[test]
fn every_sixty_fourth_of_the_tape_survives_being_shown_and_typed_again() {
    for n in 0..=64 * 12 {
        let mm = f64::from(n) * MM_PER_INCH / 64.0;
        let shown = length_edit(mm, UnitSystem::InchFraction);
        let read = parse_length(&shown, UnitSystem::InchFraction).unwrap();
        assert!((read - mm).abs() <= 1e-12 * mm, "{n}/64 in is shown as {shown} and read as {read}");
    }
}

#[test]
fn degrees_take_fractions_minutes_and_divisions() {
    for (text, deg) in [("22.5", 22.5), ("22 1/2", 22.5), ("22°30'", 22.5), ("90/4", 22.5), ("7.5°", 7.5)] {
        let read = parse_angle_deg(text).unwrap();
        assert!((read - deg).abs() < 1e-13, "{text} is {read}, not {deg}");
    }
}

//! Lengths, angles and masses to text, for the screen, for paper and for edit fields.
//!
//! A value that is not finite prints as `—`; none prints a minus sign before zero.

use super::{KG_PER_POUND, LITRES_PER_CUBIC_INCH, MM_PER_INCH};
use crate::units::UnitSystem;

/// What stands for a value that is not a number.
const NO_VALUE: &str = "—";
/// Finest fraction of an inch on screen and paper.
const THIRTY_SECONDS: u32 = 32;
/// Finest fraction of an inch in an edit field.
const SIXTY_FOURTHS: u32 = 64;
/// A fraction that is off by more than this (in) is marked as rounded: a third of a 1/64 in scribe line.
const ROUNDED_IN: f64 = 0.005;
/// A tube this close (in) to a fraction carries its name: half of the last decimal shown.
const NAMED_IN: f64 = 0.0005;
/// An edit field shows a fraction when the value is this close to it, in.
const EDIT_IN: f64 = 1e-6;
/// Step of lengths on metric sheets, mm.
const PAPER_STEP_MM: f64 = 0.5;
/// Step of lengths on decimal inch sheets, in.
const PAPER_STEP_IN: f64 = 0.001;

/// Length on screen: `3 1/2"`, `3.500"` or `88.9 mm`.
///
/// A fraction (to 1/32) that is off by more than 0.005 in starts with `≈`.
pub fn length(mm: f64, units: UnitSystem) -> String {
    let inches = mm / MM_PER_INCH;
    match units {
        _ if !mm.is_finite() => NO_VALUE.to_owned(),
        UnitSystem::InchFraction if is_on(inches, THIRTY_SECONDS, ROUNDED_IN) => inch_fraction(inches),
        UnitSystem::InchFraction => format!("≈ {}", inch_fraction(inches)),
        UnitSystem::InchDecimal => format!("{}\"", fixed(inches, 3)),
        UnitSystem::Millimetre => format!("{} mm", fixed(mm, 1)),
    }
}

/// Length on the sheet: `3 1/2" (3.500)`, `3.500"` or `89.0 mm`.
///
/// Fractions go to 1/32 with their own decimal beside them, so that the two never disagree; millimetres go to 0.5.
pub fn length_paper(mm: f64, units: UnitSystem) -> String {
    let inches = mm / MM_PER_INCH;
    match units {
        _ if !mm.is_finite() => NO_VALUE.to_owned(),
        UnitSystem::InchFraction => {
            let decimal = fixed(rounded_for_paper_mm(mm, units) / MM_PER_INCH, 3);
            format!("{} ({decimal})", inch_fraction(inches))
        }
        UnitSystem::InchDecimal => format!("{}\"", fixed(inches, 3)),
        UnitSystem::Millimetre => format!("{} mm", fixed(rounded_for_paper_mm(mm, units), 1)),
    }
}

/// The length the sheet shows for `mm`, in mm: rounded to 1/32 in, 0.001 in or 0.5 mm, halves away from zero.
///
/// Of `3 1/2" (3.500)` this is both.
pub fn rounded_for_paper_mm(mm: f64, units: UnitSystem) -> f64 {
    let step_mm = paper_step_mm(units);
    (mm / step_mm).round() * step_mm
}

/// Steps of lengths on paper, mm: 1/32 in, 0.001 in or 0.5 mm.
pub fn paper_step_mm(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::InchFraction => MM_PER_INCH / f64::from(THIRTY_SECONDS),
        UnitSystem::InchDecimal => MM_PER_INCH * PAPER_STEP_IN,
        UnitSystem::Millimetre => PAPER_STEP_MM,
    }
}

/// Length for an edit field, as exact as it can be read: `3 1/2"`, `3.51234"` or `88.9 mm`.
///
/// Fractions are used on multiples of 1/64 in (within 1e-6 in), else decimals: up to 6 in inches, so that every
/// 1/64 in is exact, and up to 4 in mm. [`parse_length`](super::parse_length) reads it back to within 5e-5 mm,
/// and to within rounding of the arithmetic when the value has no more decimals than that.
pub fn length_edit(mm: f64, units: UnitSystem) -> String {
    let inches = mm / MM_PER_INCH;
    match units {
        _ if !mm.is_finite() => NO_VALUE.to_owned(),
        UnitSystem::InchFraction if is_on(inches, SIXTY_FOURTHS, EDIT_IN) => {
            format!("{}\"", fraction(inches, SIXTY_FOURTHS))
        }
        UnitSystem::InchFraction | UnitSystem::InchDecimal => format!("{}\"", plain_number(inches, 6)),
        UnitSystem::Millimetre => format!("{} mm", plain_number(mm, 4)),
    }
}

/// Length of tube or weld in all: `845 mm`, `1.84 m`, `72 1/2"` or `72.500"`.
///
/// Metres start at 1000 mm. Inches are written as every other length, so that one length reads the same wherever it
/// stands, but never with `≈`: no single cut is made of a sum.
pub fn long_length(mm: f64, units: UnitSystem) -> String {
    match units {
        _ if !mm.is_finite() => NO_VALUE.to_owned(),
        UnitSystem::Millimetre if mm.round().abs() < 1000.0 => format!("{} mm", fixed(mm, 0)),
        UnitSystem::Millimetre => format!("{} m", fixed(mm / 1000.0, 2)),
        UnitSystem::InchFraction => inch_fraction(mm / MM_PER_INCH),
        UnitSystem::InchDecimal => length(mm, units),
    }
}

/// Volume: `1.24 l` or `75.7 in³`.
pub fn volume(litres: f64, units: UnitSystem) -> String {
    match units {
        _ if !litres.is_finite() => NO_VALUE.to_owned(),
        UnitSystem::Millimetre => format!("{} l", plain_number(litres, 2)),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => {
            format!("{} in³", plain_number(litres / LITRES_PER_CUBIC_INCH, 1))
        }
    }
}

/// Diameter or bend radius of tube as the trade names it: `2 1/2"`, `2.500"` or `63.5 mm`.
///
/// One that is no multiple of 1/32 in is given in decimals: 76.1 mm is `2.996"`.
pub fn tube_size(mm: f64, units: UnitSystem) -> String {
    let inches = mm / MM_PER_INCH;
    match units {
        _ if !mm.is_finite() => NO_VALUE.to_owned(),
        UnitSystem::InchFraction if is_on(inches, THIRTY_SECONDS, NAMED_IN) => inch_fraction(inches),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => format!("{}\"", fixed(inches, 3)),
        UnitSystem::Millimetre => format!("{} mm", plain_number(mm, 2)),
    }
}

/// Wall thickness: `0.065"` or `1.65 mm`.
pub fn wall(mm: f64, units: UnitSystem) -> String {
    match units {
        _ if !mm.is_finite() => NO_VALUE.to_owned(),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => format!("{}\"", fixed(mm / MM_PER_INCH, 3)),
        UnitSystem::Millimetre => format!("{} mm", fixed(mm, 2)),
    }
}

/// A thread may be off its standard by this part and still be that one: rounding of what was typed.
const THREAD_SHARE: f64 = 0.003;

/// A thread as the trade names it, whatever the units of the job: `3/8-24` where diameter and threads per inch are
/// those of inches, else `M10 × 1.5` (the forms of ISO 261 and ASME B1.1, from memory).
pub fn thread(dia_mm: f64, pitch_mm: f64) -> String {
    let (inches, per_inch) = (dia_mm / MM_PER_INCH, MM_PER_INCH / pitch_mm);
    if !inches.is_finite() || !per_inch.is_finite() {
        return NO_VALUE.to_owned();
    }
    let is_inch = is_on(inches, 16, inches * THREAD_SHARE)
        && (per_inch - per_inch.round()).abs() < per_inch * THREAD_SHARE
        && !is_on(dia_mm, 1, 1e-6);
    if is_inch {
        format!("{}-{}", fraction(inches, 16), fixed(per_inch, 0))
    } else {
        format!("M{} × {}", plain_number(dia_mm, 2), plain_number(pitch_mm, 2))
    }
}

/// A small length in decimals, for misses and steps: `0.42 mm` or `0.026"`.
pub fn fine_length(mm: f64, units: UnitSystem) -> String {
    if !mm.is_finite() {
        return NO_VALUE.to_owned();
    }
    match units {
        UnitSystem::Millimetre => format!("{mm:.2} mm"),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => format!("{:.3}\"", mm / super::MM_PER_INCH),
    }
}

/// Up to here (mm) threads and fits are shown in hundredths: an engagement short by 0.4 mm is not short by nothing.
const FIT_UP_TO_MM: f64 = 50.0;

/// A length as threads and fits need it: short ones in hundredths of a mm or thousandths of an inch.
pub fn fit_length(mm: f64, units: UnitSystem) -> String {
    if mm.abs() < FIT_UP_TO_MM { fine_length(mm, units) } else { length(mm, units) }
}

/// Angle with as many decimals as asked for: `22.5°`.
pub fn angle(deg: f64, decimals: usize) -> String {
    if deg.is_finite() { format!("{}°", fixed(deg, decimals)) } else { NO_VALUE.to_owned() }
}

/// Number with at most `max_decimals` decimals and no zeros at their end: `3.25`, `90`.
pub fn plain_number(x: f64, max_decimals: usize) -> String {
    let text = fixed(x, max_decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Mass: `1.24 kg` or `2.73 lb`.
pub fn mass(kg: f64, units: UnitSystem) -> String {
    match units {
        _ if !kg.is_finite() => NO_VALUE.to_owned(),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => format!("{} lb", fixed(kg / KG_PER_POUND, 2)),
        UnitSystem::Millimetre => format!("{} kg", fixed(kg, 2)),
    }
}

/// Clock position and how far round the outside of a tube of `od_mm` that is: `212.5° (4 11/16")`.
///
/// The clock is brought into [0°, 360°) and rounded to 0.1°; the arc belongs to the clock as printed and is
/// rounded as on paper.
pub fn clock_and_arc(clock_deg: f64, od_mm: f64, units: UnitSystem) -> String {
    if !clock_deg.is_finite() || !od_mm.is_finite() {
        return NO_VALUE.to_owned();
    }
    let tenths = (clock_deg.rem_euclid(360.0) * 10.0).round() % 3600.0;
    let clock_deg = tenths / 10.0;
    let arc_mm = od_mm / 2.0 * clock_deg.to_radians();
    let arc = match units {
        UnitSystem::InchFraction => inch_fraction(arc_mm / MM_PER_INCH),
        UnitSystem::InchDecimal | UnitSystem::Millimetre => length_paper(arc_mm, units),
    };
    format!("{} ({arc})", angle(clock_deg, 1))
}

fn inch_fraction(inches: f64) -> String {
    format!("{}\"", fraction(inches, THIRTY_SECONDS))
}

/// Whether `x` is a multiple of `1/parts` to within `tolerance`.
fn is_on(x: f64, parts: u32, tolerance: f64) -> bool {
    let parts = f64::from(parts);
    (x - (x * parts).round() / parts).abs() <= tolerance
}

/// `x` rounded to a multiple of `1/parts` (a power of two), in lowest terms.
fn fraction(x: f64, parts: u32) -> String {
    let total = (x.abs() * f64::from(parts)).round() as u64;
    let sign = if x < 0.0 && total > 0 { "-" } else { "" };
    let (whole, over) = (total / u64::from(parts), (total % u64::from(parts)) as u32);
    if over == 0 {
        return format!("{sign}{whole}");
    }
    let shared = 1 << over.trailing_zeros();
    let (over, under) = (over / shared, parts / shared);
    if whole == 0 { format!("{sign}{over}/{under}") } else { format!("{sign}{whole} {over}/{under}") }
}

/// `x` with `decimals` decimals, never `-0.0`.
fn fixed(x: f64, decimals: usize) -> String {
    if !x.is_finite() {
        return NO_VALUE.to_owned();
    }
    let text = format!("{x:.decimals$}");
    match text.strip_prefix('-') {
        Some(zero) if zero.bytes().all(|b| matches!(b, b'0' | b'.')) => zero.to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::parse_length;
    use UnitSystem::{InchDecimal, InchFraction, Millimetre};
    use approx::assert_relative_eq;

    const ALL: [UnitSystem; 3] = [InchFraction, InchDecimal, Millimetre];

    #[test]
    fn an_inch_is_exactly_25_4_mm() {
        assert_eq!(length(25.4, InchFraction), "1\"");
        assert_eq!(length(25.4, InchDecimal), "1.000\"");
        assert_eq!(length(25.4, Millimetre), "25.4 mm");
    }

    #[test]
    fn lengths_on_screen_say_when_the_fraction_is_rounded() {
        let shown = |inches: f64| length(inches * 25.4, InchFraction);
        assert_eq!(shown(3.5), "3 1/2\"");
        assert_eq!(shown(-0.25), "-1/4\"");
        assert_eq!(shown(-3.75), "-3 3/4\"");
        assert_eq!(shown(0.0), "0\"");
        assert_eq!(shown(-0.001), "0\"");
        assert_eq!(shown(3.504), "3 1/2\"");
        assert_eq!(shown(3.506), "≈ 3 1/2\"");
        assert_eq!(shown(0.01), "≈ 0\"");
        assert_eq!(shown(15.0 / 16.0), "15/16\"");
        assert_eq!(shown(2.0 + 31.0 / 32.0), "2 31/32\"");
        assert_eq!(shown(2.999), "3\"");
        assert_eq!(length(-0.01, Millimetre), "0.0 mm");
        assert_eq!(length(-0.001, InchDecimal), "0.000\"");
    }

    #[test]
    fn the_sheet_shows_what_it_was_rounded_to() {
        assert_eq!(length_paper(88.9, InchFraction), "3 1/2\" (3.500)");
        assert_eq!(length_paper(3.512 * 25.4, InchFraction), "3 1/2\" (3.500)");
        assert_eq!(length_paper(88.9, InchDecimal), "3.500\"");
        assert_eq!(length_paper(88.9, Millimetre), "89.0 mm");
        assert_eq!(length_paper(-0.1, Millimetre), "0.0 mm");
        assert_relative_eq!(rounded_for_paper_mm(3.512 * 25.4, InchFraction), 88.9, epsilon = 1e-12);
        assert_relative_eq!(rounded_for_paper_mm(88.913, InchDecimal), 3.501 * 25.4, epsilon = 1e-12);
        assert_relative_eq!(rounded_for_paper_mm(88.9, Millimetre), 89.0);
    }

    #[test]
    fn an_edit_field_reads_back_what_it_shows() {
        assert_eq!(length_edit(88.9, InchFraction), "3 1/2\"");
        assert_eq!(length_edit(25.4 / 64.0, InchFraction), "1/64\"");
        assert_eq!(length_edit(25.4 * 3.51234, InchFraction), "3.51234\"");
        assert_eq!(length_edit(25.4 / 64.0, InchDecimal), "0.015625\"");
        assert_eq!(length_edit(88.9, Millimetre), "88.9 mm");
        assert_eq!(length_edit(100.0, Millimetre), "100 mm");
        for n in -2000..2000 {
            let n = f64::from(n);
            for (units, mm) in [
                (InchFraction, n * 25.4 / 64.0),
                (InchFraction, n * 0.0254),
                (InchDecimal, n * 25.4 / 64.0),
                (InchDecimal, n * 0.0254),
                (Millimetre, n * 25.4 / 8.0),
                (Millimetre, n * 0.5),
            ] {
                let back = parse_length(&length_edit(mm, units), units).unwrap();
                assert_relative_eq!(back, mm, max_relative = 1e-9);
            }
        }
    }

    proptest::proptest! {
        #[test]
        fn an_edit_field_never_moves_a_length_by_more_than_it_says(mm in -1e5..1e5_f64) {
            for units in ALL {
                let back = parse_length(&length_edit(mm, units), units).unwrap();
                proptest::prop_assert!((back - mm).abs() <= 5.0001e-5, "{mm} {units:?} {back}");
                let again = parse_length(&length_edit(back, units), units).unwrap();
                proptest::prop_assert!((again - back).abs() <= 1e-9 * back.abs().max(1.0));
            }
        }

        #[test]
        fn screen_forms_can_be_typed_back(mm in -1e5..1e5_f64) {
            for units in ALL {
                let text = length(mm, units);
                let back = parse_length(text.trim_start_matches("≈ "), units).unwrap();
                proptest::prop_assert!((back - mm).abs() <= 25.4 / 64.0 + 1e-9, "{text}");
            }
        }
    }

    #[test]
    fn sums_of_length_change_unit_where_people_do() {
        assert_eq!(long_length(845.4, Millimetre), "845 mm");
        assert_eq!(long_length(999.6, Millimetre), "1.00 m");
        assert_eq!(long_length(1843.0, Millimetre), "1.84 m");
        for inches in [36.5, 48.0, 72.5, -72.5, 48.0 + 5.0 / 8.0] {
            for units in [InchFraction, InchDecimal] {
                assert_eq!(long_length(inches * 25.4, units), length(inches * 25.4, units));
            }
        }
        assert_eq!(long_length((48.0 + 5.0 / 8.0) * 25.4, InchFraction), "48 5/8\"");
        assert_eq!(long_length(71.99 * 25.4, InchFraction), "72\"");
        // 2.54³ cm³ to the cubic inch: 1000 cm³ are 61.02
        assert_eq!(volume(1.0, InchFraction), "61 in³");
        assert_eq!(volume(25.4_f64.powi(3) / 1e6 * 12.5, InchDecimal), "12.5 in³");
        assert_eq!(volume(1.25, Millimetre), "1.25 l");
        assert_eq!(volume(f64::NAN, Millimetre), "—");
    }

    #[test]
    fn tube_is_named_as_the_trade_does() {
        assert_eq!(tube_size(63.5, InchFraction), "2 1/2\"");
        assert_eq!(tube_size(76.1, InchFraction), "2.996\"");
        assert_eq!(tube_size(63.5, InchDecimal), "2.500\"");
        assert_eq!(tube_size(63.5, Millimetre), "63.5 mm");
        assert_eq!(tube_size(44.45, Millimetre), "44.45 mm");
        assert_eq!(wall(1.651, InchFraction), "0.065\"");
        assert_eq!(wall(1.651, Millimetre), "1.65 mm");
    }

    #[test]
    fn threads_are_named_as_they_are_sold() {
        // 3/8-24 UNF and M10 × 1.5 coarse, sizes from memory
        assert_eq!(thread(9.525, 1.058), "3/8-24");
        assert_eq!(thread(10.0, 1.5), "M10 × 1.5");
        assert_eq!(thread(12.7, 1.27), "1/2-20");
        assert_eq!(thread(16.0, 2.0), "M16 × 2");
        assert_eq!(thread(f64::NAN, 1.0), "—");
    }

    #[test]
    fn angles_numbers_and_masses() {
        assert_eq!(angle(22.5, 1), "22.5°");
        assert_eq!(angle(22.5, 2), "22.50°");
        assert_eq!(angle(-0.04, 1), "0.0°");
        assert_eq!(plain_number(3.250, 3), "3.25");
        assert_eq!(plain_number(90.0, 2), "90");
        assert_eq!(plain_number(100.0, 0), "100");
        assert_eq!(plain_number(-0.001, 2), "0");
        assert_eq!(mass(1.2383, Millimetre), "1.24 kg");
        assert_eq!(mass(1.2383, InchDecimal), "2.73 lb");
    }

    #[test]
    fn clock_positions_come_with_the_arc() {
        assert_eq!(clock_and_arc(212.5, 63.5, InchFraction), "212.5° (4 5/8\")");
        assert_eq!(clock_and_arc(-147.5, 63.5, InchDecimal), "212.5° (4.636\")");
        assert_eq!(clock_and_arc(180.0, 63.5, Millimetre), "180.0° (99.5 mm)");
        assert_eq!(clock_and_arc(359.96, 63.5, Millimetre), "0.0° (0.0 mm)");
        assert_eq!(clock_and_arc(-1e-12, 63.5, InchFraction), "0.0° (0\")");
        assert_eq!(clock_and_arc(720.0, 63.5, InchFraction), "0.0° (0\")");
    }

    #[test]
    fn what_is_no_number_prints_a_dash() {
        for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for units in ALL {
                for text in [
                    length(x, units),
                    length_paper(x, units),
                    length_edit(x, units),
                    long_length(x, units),
                    tube_size(x, units),
                    wall(x, units),
                    mass(x, units),
                    clock_and_arc(x, 63.5, units),
                    clock_and_arc(0.0, x, units),
                ] {
                    assert_eq!(text, "—");
                }
            }
            assert_eq!(angle(x, 1), "—");
            assert_eq!(plain_number(x, 3), "—");
        }
    }
}

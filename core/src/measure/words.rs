//! How amounts and names read in the sentences of this module.

use crate::units::{UnitSystem, angle, fine_length, length};

/// Up to here (mm) an amount is shown in hundredths: a miss of 0.4 mm is not "0".
const FINE_UP_TO_MM: f64 = 5.0;

/// An amount by which something is off, without sign: hundredths of a millimetre where it is small.
pub fn amount(mm: f64, units: UnitSystem) -> String {
    let mm = mm.abs();
    if mm < FINE_UP_TO_MM { fine_length(mm, units) } else { length(mm, units) }
}

/// An angle in degrees to a tenth.
pub(super) fn degrees(rad: f64) -> String {
    angle(rad.to_degrees(), 1)
}

/// `A`, `A and B`, `A, B and C`, with the given word before the last.
pub(super) fn listed(names: &[String], last: &str) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., end] => format!("{} {last} {end}", first.join(", ")),
    }
}

/// The name as entered, or what the thing is and its number where none was entered.
pub(super) fn called(name: &str, what: &str, index: usize) -> String {
    let name = name.trim();
    if name.is_empty() { format!("{what} {}", index + 1) } else { name.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_listed_as_spoken() {
        let names: Vec<String> = ["A", "B", "C"].map(str::to_owned).to_vec();
        assert_eq!(listed(&names, "and"), "A, B and C");
        assert_eq!(listed(&names[..2], "or"), "A or B");
        assert_eq!(listed(&names[..1], "and"), "A");
        assert_eq!(listed(&[], "and"), "");
        assert_eq!(called("  ", "datum", 1), "datum 2");
    }

    #[test]
    fn small_amounts_keep_their_hundredths() {
        assert_eq!(amount(-0.42, UnitSystem::Millimetre), "0.42 mm");
        assert_eq!(amount(12.34, UnitSystem::Millimetre), "12.3 mm");
    }
}

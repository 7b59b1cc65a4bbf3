//! What length a number in a scan stands for.

use glam::DVec3;
use std::fmt;

/// A unit of length a scan may be in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScanUnit {
    /// 0.001 mm.
    Micron,
    /// 1 mm.
    Millimetre,
    /// 10 mm.
    Centimetre,
    /// 25.4 mm.
    Inch,
    /// 304.8 mm.
    Foot,
    /// 1000 mm.
    Metre,
}

impl ScanUnit {
    /// All units, smallest first.
    pub const ALL: [Self; 6] =
        [Self::Micron, Self::Millimetre, Self::Centimetre, Self::Inch, Self::Foot, Self::Metre];

    /// Millimetres to one of it.
    pub fn mm(self) -> f64 {
        match self {
            Self::Micron => 0.001,
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Inch => 25.4,
            Self::Foot => 304.8,
            Self::Metre => 1000.0,
        }
    }

    /// Many of it, in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Micron => "microns",
            Self::Millimetre => "millimetres",
            Self::Centimetre => "centimetres",
            Self::Inch => "inches",
            Self::Foot => "feet",
            Self::Metre => "metres",
        }
    }

    /// The unit a word means, in any case; `None` for any other word.
    pub(super) fn of_word(word: &str) -> Option<Self> {
        Some(match word.to_ascii_lowercase().as_str() {
            "micron" | "microns" | "micrometer" | "micrometre" | "um" => Self::Micron,
            "mm" | "millimeter" | "millimeters" | "millimetre" | "millimetres" => Self::Millimetre,
            "cm" | "centimeter" | "centimeters" | "centimetre" | "centimetres" => Self::Centimetre,
            "in" | "inch" | "inches" => Self::Inch,
            "ft" | "foot" | "feet" => Self::Foot,
            "m" | "meter" | "meters" | "metre" | "metres" => Self::Metre,
            _ => return None,
        })
    }
}

/// The unit of a scan, and how it is known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnitFound {
    /// The unit.
    pub unit: ScanUnit,
    /// Whether the file says so; else it is a guess from the size, and the person is to be asked.
    pub said: bool,
    /// Why, as a sentence.
    pub reason: String,
}

impl UnitFound {
    /// A unit that the file says.
    pub(super) fn said(unit: ScanUnit, by: &str) -> Self {
        Self { unit, said: true, reason: format!("{by} says {}.", unit.name()) }
    }

    /// A guess from the longest edge of the box round the scan, in the unit of the file.
    ///
    /// What is scanned here is a vehicle, an engine bay or a part of one: 0.3 m to 12 m. The bounds are common
    /// sense, no source.
    pub(super) fn guessed(size: DVec3) -> Self {
        let longest = size.max_element();
        let unit = if longest > 300.0 {
            ScanUnit::Millimetre
        } else if longest > 20.0 {
            ScanUnit::Inch
        } else {
            ScanUnit::Metre
        };
        let reason = format!(
            "The file names no unit. It is {} long: in {} that is {:.0} mm.",
            Short(longest),
            unit.name(),
            longest * unit.mm()
        );
        Self { unit, said: false, reason }
    }
}

/// A number with about four digits.
struct Short(f64);

impl fmt::Display for Short {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = if self.0 >= 100.0 {
            0
        } else if self.0 >= 1.0 {
            2
        } else {
            4
        };
        write!(f, "{:.digits$}", self.0)
    }
}

/// The unit that a comment or a name in a file says: the word "unit" or "units", and a unit right after it, with
/// no more than `:`, `=`, "in" or "are" between.
pub(super) fn unit_in_text(text: &str) -> Option<ScanUnit> {
    let words: Vec<&str> =
        text.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty()).collect();
    words.iter().enumerate().find_map(|(i, word)| {
        if !is_one_of(word, &["unit", "units"]) {
            return None;
        }
        let mut after = words[i + 1..].iter().skip_while(|word| is_one_of(word, &["is", "are"]));
        let (first, second) = (after.next()?, after.next());
        // "units in mm" names millimetres, "units: in" inches
        second
            .filter(|_| is_one_of(first, &["in"]))
            .and_then(|word| ScanUnit::of_word(word))
            .or_else(|| ScanUnit::of_word(first))
    })
}

fn is_one_of(word: &str, names: &[&str]) -> bool {
    names.iter().any(|name| word.eq_ignore_ascii_case(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comment_names_a_unit_only_after_the_word() {
        assert_eq!(unit_in_text("# File units = millimeters"), Some(ScanUnit::Millimetre));
        assert_eq!(unit_in_text("unit: in"), Some(ScanUnit::Inch));
        assert_eq!(unit_in_text("Units are in cm"), Some(ScanUnit::Centimetre));
        assert_eq!(unit_in_text("UNITS=m"), Some(ScanUnit::Metre));
        assert_eq!(unit_in_text("united metres of pipe in mm"), None);
        assert_eq!(unit_in_text("units"), None);
    }

    #[test]
    fn a_vehicle_sized_scan_is_guessed_by_its_length() {
        let of = |longest: f64| UnitFound::guessed(DVec3::new(longest, 0.4 * longest, 1.0)).unit;
        assert_eq!(of(4200.0), ScanUnit::Millimetre);
        assert_eq!(of(165.0), ScanUnit::Inch);
        assert_eq!(of(4.2), ScanUnit::Metre);
        let guess = UnitFound::guessed(DVec3::new(4.2, 1.8, 1.4));
        assert_eq!(guess.reason, "The file names no unit. It is 4.20 long: in metres that is 4200 mm.");
    }
}

//! What keeps a bar from being worked out: the facts, and one sentence that says what to do.

use crate::model::limits::MAX_COORDINATE_MM;
use crate::units::{UnitSystem, angle, length, plain_number};

/// Smallest and largest size of a part of a bar, mm: below it is nothing that can be measured in a shop, above it
/// lies beyond what a project may hold.
pub(super) const SIZE_MM: (f64, f64) = (0.1, MAX_COORDINATE_MM);

/// Range of what may also be left out, mm.
pub(super) const OR_NONE_MM: (f64, f64) = (0.0, MAX_COORDINATE_MM);

/// Why a bar, or something on it, cannot be worked out.
#[derive(Debug, Clone, PartialEq)]
pub enum BarError {
    /// An entry is no number.
    NotANumber {
        /// What was entered, as it begins a sentence.
        what: String,
    },
    /// A length is outside what it may be.
    Length {
        /// What was entered, as it begins a sentence.
        what: String,
        /// What it was, mm.
        mm: f64,
        /// Least it may be, mm.
        least_mm: f64,
        /// Most it may be, mm.
        most_mm: f64,
    },
    /// A plain number is outside what it may be.
    Number {
        /// What was entered, as it begins a sentence.
        what: String,
        /// What it was.
        value: f64,
        /// Least it may be.
        least: f64,
        /// Most it may be.
        most: f64,
        /// Unit as it follows the number, such as ` °C`; empty where it has none.
        unit: &'static str,
    },
    /// There are too few or too many of something.
    Count {
        /// What is counted, in the plural.
        what: &'static str,
        /// How many there are.
        have: usize,
        /// Fewest.
        least: usize,
        /// Most.
        most: usize,
    },
    /// Two points of the bar that follow each other are one.
    SamePoint {
        /// The first of them, counted from 1.
        first: usize,
    },
    /// A bend of more than 175°.
    TurnsBack {
        /// Which bend, counted from 1.
        bend: usize,
        /// Its angle, rad.
        angle_rad: f64,
    },
    /// The end of a coped bar does not land on the tube all round.
    NoSeat {
        /// Where round the bar it misses, rad.
        clock_rad: f64,
    },
}

impl BarError {
    /// The sentence: what is wrong, where, and what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::NotANumber { what } => format!("{what} is not a number: enter it again."),
            Self::Length { what, mm, least_mm, most_mm } => format!(
                "{what} is {}: enter a length from {} to {}.",
                exact(*mm, units),
                exact(*least_mm, units),
                exact(*most_mm, units)
            ),
            Self::Number { what, value, least, most, unit } => {
                let shown = |x: f64| format!("{}{unit}", plain_number(x, 4));
                format!("{what} is {}: enter one from {} to {}.", shown(*value), shown(*least), shown(*most))
            }
            Self::Count { what, have, least, most } if least == most => {
                format!("There are {have} {what}, and {least} are needed: enter one for each.")
            }
            Self::Count { what, have, least, .. } if have < least => {
                format!("There are {have} {what}, and at least {least} are needed: add more.")
            }
            Self::Count { what, have, most, .. } => {
                format!("There are {have} {what}, and at most {most} can be handled: take some away.")
            }
            Self::SamePoint { first } => format!(
                "Points {first} and {} of the bar are at the same place: move one of them, or take it away.",
                first + 1
            ),
            Self::TurnsBack { bend, angle_rad } => format!(
                "Bend {bend} turns back on itself ({}): spread it over two bends, each under 175°.",
                angle(angle_rad.to_degrees(), 1)
            ),
            Self::NoSeat { clock_rad } => format!(
                "The coped end misses the tube at {} round the bar: take a thinner bar, or move it nearer to the middle of the tube.",
                angle(clock_rad.to_degrees(), 0)
            ),
        }
    }
}

/// A length that must not be shown as zero or as its own limit when it is just past it.
fn exact(mm: f64, units: UnitSystem) -> String {
    let plain = |x: f64, unit: &str| format!("{}{unit}", plain_number(x, 4));
    match units {
        _ if mm.abs() >= 1000.0 => length(mm, units),
        UnitSystem::Millimetre => plain(mm, " mm"),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => plain(mm / crate::units::MM_PER_INCH, "\""),
    }
}

/// `mm` where it is a number within `range`.
pub(super) fn length_in(what: &str, mm: f64, range: (f64, f64)) -> Result<f64, BarError> {
    if !mm.is_finite() {
        return Err(BarError::NotANumber { what: what.to_owned() });
    }
    if mm < range.0 || mm > range.1 {
        let (least_mm, most_mm) = range;
        return Err(BarError::Length { what: what.to_owned(), mm, least_mm, most_mm });
    }
    Ok(mm)
}

/// `value` where it is a number within `range`; `unit` as it follows the number.
pub(super) fn number_in(
    what: &str,
    value: f64,
    range: (f64, f64),
    unit: &'static str,
) -> Result<f64, BarError> {
    if !value.is_finite() {
        return Err(BarError::NotANumber { what: what.to_owned() });
    }
    if value < range.0 || value > range.1 {
        let (least, most) = range;
        return Err(BarError::Number { what: what.to_owned(), value, least, most, unit });
    }
    Ok(value)
}

//! Entries that a bar cannot be worked out from, found by their ranges.

use crate::finding::BarError;
use crate::model::limits::MAX_COORDINATE_MM;

/// Smallest and largest size of a part of a bar, mm: below it is nothing that can be measured in a shop, above it
/// lies beyond what a project may hold.
pub(super) const SIZE_MM: (f64, f64) = (0.1, MAX_COORDINATE_MM);

/// Range of what may also be left out, mm.
pub(super) const OR_NONE_MM: (f64, f64) = (0.0, MAX_COORDINATE_MM);

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

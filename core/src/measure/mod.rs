//! Measuring the real space in: points from tapes and offsets, ports from their rims, directions from an angle gauge,
//! and one set of points laid over another.
//!
//! Lengths are mm, angles rad, axes X forward, Y left, Z up. Everything here is a pure function of what was read.
//! Knows no project: what comes out is put into one by the caller.
//!
//! What cannot be worked out is a [`MeasureError`] with its facts and one sentence; what can be carries its residuals
//! and a [`Trust`] that says how far to believe it. Rule for "good": a reading that stands for itself (an offset, a
//! gauge) is taken at its word; a point that is worked out, and could be checked by one more reading, is doubtful
//! until it is.
//!
//! Every standard deviation is first order: it says how far the answer strays when the readings stray by the given
//! `sigma`, and nothing about a wrong datum, a bent tape or a tape held to the wrong corner.

mod algebra;
mod error;
pub mod fit;
pub mod gauge;
pub mod offset;
pub mod rim;
pub mod side;
pub mod tapes;
mod trust;
mod words;

#[cfg(test)]
mod testing;

pub use error::{MeasureError, Needs, TapeMend};
pub use trust::{Doubt, Good, Level, ScaleGuess, Suspects, Trust};
pub use words::amount;

use glam::DVec3;

/// Farthest coordinate and longest tape, mm: the same as for the coordinates of a project.
pub const FARTHEST_MM: f64 = 50_000.0;

/// How far a tape held by hand strays, mm, one standard deviation (common practice, no source).
pub const TAPE_SIGMA_MM: f64 = 1.0;

/// How far each coordinate of a marked point strays, mm, one standard deviation (common practice, no source).
pub const POINT_SIGMA_MM: f64 = 0.5;

/// How far an angle gauge strays, rad (half a degree), one standard deviation (common practice, no source).
pub const GAUGE_SIGMA_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// Readings that stray by more than this many times what they should are doubtful: of good ones, about one set in
/// twenty does, where there is just one reading to spare.
const DISAGREE: f64 = 2.0;

/// Readings that stray by more than this many times what they should are bad: good ones do so once in ten thousand.
const DISAGREE_BADLY: f64 = 4.0;

/// Points whose second extent is below this part of the first lie in one line.
const IN_LINE: f64 = 1e-3;

/// How readings that miss each other by `spread` stand, where `sigma` was to be expected.
fn agreement(spread: f64, sigma: f64) -> Level {
    match spread / sigma {
        x if x <= DISAGREE => Level::Good,
        x if x <= DISAGREE_BADLY => Level::Doubtful,
        _ => Level::Bad,
    }
}

/// Refuses a length that is no number or out of reach; `what` begins the sentence.
fn check_length(what: &str, mm: f64) -> Result<(), MeasureError> {
    if !mm.is_finite() {
        Err(MeasureError::NotANumber { what: what.to_owned() })
    } else if mm.abs() > FARTHEST_MM {
        Err(MeasureError::TooFar { what: what.to_owned(), mm, most_mm: FARTHEST_MM })
    } else {
        Ok(())
    }
}

/// Refuses a length that is not above zero as well.
fn check_positive(what: &str, mm: f64) -> Result<(), MeasureError> {
    check_length(what, mm)?;
    if mm > 0.0 { Ok(()) } else { Err(MeasureError::NotPositive { what: what.to_owned(), mm }) }
}

/// Refuses a point with a coordinate that is no number or out of reach.
fn check_point(what: &str, at_mm: DVec3) -> Result<(), MeasureError> {
    for (axis, mm) in [("X", at_mm.x), ("Y", at_mm.y), ("Z", at_mm.z)] {
        check_length(&format!("{axis} of {what}"), mm)?;
    }
    Ok(())
}

/// Refuses an angle that is no number.
fn check_angle(what: &str, rad: f64) -> Result<(), MeasureError> {
    if rad.is_finite() { Ok(()) } else { Err(MeasureError::NotANumber { what: what.to_owned() }) }
}

/// Refuses fewer readings than are needed, or more than anyone takes.
fn check_count(needs: Needs, have: usize) -> Result<(), MeasureError> {
    let (least, most) = needs.range();
    if (least..=most).contains(&have) { Ok(()) } else { Err(MeasureError::Count { needs, have }) }
}

/// The direction `v` as a unit vector, refused where it has none.
fn check_direction(what: &str, v: DVec3) -> Result<DVec3, MeasureError> {
    crate::geom::vector::unit(v).ok_or_else(|| MeasureError::NoDirection { what: what.to_owned() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_measured_in_beyond_what_a_project_may_hold() {
        assert!((FARTHEST_MM - crate::model::limits::MAX_COORDINATE_MM).abs() < 1e-9);
    }

    #[test]
    fn lengths_points_and_counts_out_of_range_are_refused() {
        assert!(check_positive("The tape", 0.0).is_err());
        assert!(check_positive("The tape", f64::NAN).is_err());
        assert!(check_positive("The tape", 60_000.0).is_err());
        assert!(check_positive("The tape", 600.0).is_ok());
        assert!(check_point("A", DVec3::new(0.0, f64::INFINITY, 0.0)).is_err());
        assert!(check_count(Needs::Tapes, 2).is_err());
        assert!(check_count(Needs::Tapes, 3).is_ok());
    }
}

//! A tube that slides over a bar.
//!
//! Sizes are nominal. Tube is sold to tolerances that can close a small gap or open it: what is said of a fit says to try
//! the two before cutting.

use super::error::{OR_NONE_MM, SIZE_MM, length_in};
use crate::finding::{BarError, Fit, SleeveFit};
pub use crate::model::Sleeve;

/// A clearance may be off by this much (mm) and still be at its limit: noise of inch sizes turned into mm.
const SAME_MM: f64 = 1e-9;

/// Least and most clearance on the diameter of what should slide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Below this it is too tight, mm.
    pub least_mm: f64,
    /// Above this it is loose, mm.
    pub most_mm: f64,
}

impl Limits {
    /// Of a sleeve over a bar, 0.005 to 0.030 in (common practice, no source).
    pub const SLEEVE: Self = Self { least_mm: 0.127, most_mm: 0.762 };

    /// Of a pin in its hole, 0.05 to 0.5 mm (common practice, no source).
    pub const PIN: Self = Self { least_mm: 0.05, most_mm: 0.5 };

    /// Whether they can be worked with.
    pub fn check(&self) -> Result<(), BarError> {
        length_in("The least clearance", self.least_mm, OR_NONE_MM)?;
        length_in("The most clearance", self.most_mm, (self.least_mm, OR_NONE_MM.1))?;
        Ok(())
    }

    /// How a clearance of `clearance_mm` on the diameter stands; the limits themselves slide.
    pub fn fit(&self, clearance_mm: f64) -> Fit {
        if clearance_mm < self.least_mm - SAME_MM {
            Fit::TooTight
        } else if clearance_mm > self.most_mm + SAME_MM {
            Fit::Loose
        } else {
            Fit::Slides
        }
    }
}

impl Sleeve {
    /// Inside diameter, mm.
    pub fn id_mm(&self) -> f64 {
        self.od_mm - 2.0 * self.wall_mm
    }

    /// How it goes over a bar of `bar_od_mm`.
    pub fn over(&self, bar_od_mm: f64, limits: &Limits) -> Result<SleeveFit, BarError> {
        limits.check()?;
        length_in("The bar's outside diameter", bar_od_mm, SIZE_MM)?;
        length_in("The sleeve's outside diameter", self.od_mm, SIZE_MM)?;
        length_in("The sleeve's wall", self.wall_mm, (SIZE_MM.0, self.od_mm / 2.0))?;
        let clearance_mm = self.id_mm() - bar_od_mm;
        let slides_mm = (bar_od_mm + limits.least_mm, bar_od_mm + limits.most_mm);
        Ok(SleeveFit { sleeve: *self, clearance_mm, fit: limits.fit(clearance_mm), slides_mm })
    }
}

/// The closest of `sizes` that slides over a bar of `bar_od_mm`, by its place in the list: the one with the least
/// clearance, of equals the lighter, then the first. None where none slides.
///
/// An entry of the list that is no tube is an error, so that it is not passed over in silence.
pub fn closest_that_slides(
    bar_od_mm: f64,
    sizes: &[Sleeve],
    limits: &Limits,
) -> Result<Option<usize>, BarError> {
    let fits = sizes.iter().map(|s| s.over(bar_od_mm, limits)).collect::<Result<Vec<_>, _>>()?;
    let sliding = fits.iter().enumerate().filter(|(_, f)| f.fit == Fit::Slides);
    let closest = sliding.min_by(|(_, a), (_, b)| {
        if (a.clearance_mm - b.clearance_mm).abs() <= SAME_MM {
            a.sleeve.wall_mm.total_cmp(&b.sleeve.wall_mm)
        } else {
            a.clearance_mm.total_cmp(&b.clearance_mm)
        }
    });
    Ok(closest.map(|(i, _)| i))
}

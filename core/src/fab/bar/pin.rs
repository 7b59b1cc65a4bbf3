//! Removable pins: a head, a shank through both cheeks of a fork, a washer, and a groove for the clip.

use super::error::{OR_NONE_MM, SIZE_MM, length_in};
use super::sleeve::Limits;
use crate::finding::{BarError, Fit, PinFit};
pub use crate::model::Pin;

/// Least and most play of a clipped pin along its axis, mm (common practice, no source).
pub const USUAL_PLAY_MM: (f64, f64) = (0.2, 2.0);

/// Play may be off by this much (mm) and still be at its limit: noise of inch sizes turned into mm.
const SAME_MM: f64 = 1e-9;

/// What a pin has to go through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PinJob {
    /// Smallest of the holes, mm.
    pub hole_mm: f64,
    /// Over the outsides of both cheeks, mm.
    pub over_cheeks_mm: f64,
    /// All washers together, mm.
    pub washers_mm: f64,
    /// Least and most play along the pin, mm; [`USUAL_PLAY_MM`] where nothing else is known.
    pub play_mm: (f64, f64),
    /// Least and most clearance in the hole.
    pub limits: Limits,
}

impl Pin {
    /// From under the head to its end, mm.
    pub fn length_mm(&self) -> f64 {
        self.to_groove_mm + self.groove_mm + self.tail_mm
    }

    fn check(&self) -> Result<(), BarError> {
        length_in("The pin's diameter", self.dia_mm, SIZE_MM)?;
        length_in("The pin's length to its groove", self.to_groove_mm, SIZE_MM)?;
        length_in("The pin's groove", self.groove_mm, SIZE_MM)?;
        length_in("What stands out beyond the pin's groove", self.tail_mm, OR_NONE_MM)?;
        Ok(())
    }
}

impl PinJob {
    /// From under the head to where the groove should begin, least and most, mm: cheeks, washers and play.
    pub fn groove_range_mm(&self) -> (f64, f64) {
        let stack = self.over_cheeks_mm + self.washers_mm;
        (stack + self.play_mm.0, stack + self.play_mm.1)
    }

    /// How `pin` goes.
    pub fn with(&self, pin: &Pin) -> Result<PinFit, BarError> {
        self.check()?;
        pin.check()?;
        let clearance_mm = self.hole_mm - pin.dia_mm;
        let play_mm = pin.to_groove_mm - (self.over_cheeks_mm + self.washers_mm);
        let length = if play_mm < self.play_mm.0 - SAME_MM {
            Fit::TooTight
        } else if play_mm > self.play_mm.1 + SAME_MM {
            Fit::Loose
        } else {
            Fit::Slides
        };
        let fit = self.limits.fit(clearance_mm);
        Ok(PinFit { clearance_mm, fit, play_mm, length, least_to_groove_mm: self.groove_range_mm().0 })
    }

    /// The closest of `pins` that goes, by its place in the list: the least play, then the closest in its hole, then
    /// the first. None where none goes; a pin that is none is an error.
    pub fn closest(&self, pins: &[Pin]) -> Result<Option<usize>, BarError> {
        let fits = pins.iter().map(|p| self.with(p)).collect::<Result<Vec<_>, _>>()?;
        let goes = |f: &PinFit| f.fit == Fit::Slides && f.length == Fit::Slides;
        let good = fits.iter().enumerate().filter(|(_, f)| goes(f));
        let closest = good.min_by(|(_, a), (_, b)| {
            a.play_mm.total_cmp(&b.play_mm).then(a.clearance_mm.total_cmp(&b.clearance_mm))
        });
        Ok(closest.map(|(i, _)| i))
    }

    fn check(&self) -> Result<(), BarError> {
        self.limits.check()?;
        length_in("The hole for the pin", self.hole_mm, SIZE_MM)?;
        length_in("The length over both cheeks", self.over_cheeks_mm, SIZE_MM)?;
        length_in("The washers", self.washers_mm, OR_NONE_MM)?;
        length_in("The least play of the pin", self.play_mm.0, OR_NONE_MM)?;
        length_in("The most play of the pin", self.play_mm.1, (self.play_mm.0, OR_NONE_MM.1))?;
        Ok(())
    }
}

//! Removable pins: a head, a shank through both cheeks of a fork, a washer, and a groove for the clip.

use super::error::{BarError, OR_NONE_MM, SIZE_MM, length_in};
use super::problem::shown;
use super::sleeve::{Fit, Limits};
pub use crate::model::Pin;
use crate::units::UnitSystem;

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

/// A pin in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PinFit {
    /// Hole less pin, mm.
    pub clearance_mm: f64,
    /// How it goes into the hole.
    pub fit: Fit,
    /// What is left along the pin between head and clip, mm; below zero where the groove lies in the washers.
    pub play_mm: f64,
    /// Play as it stands: too tight is a pin that is too short, loose one that is too long.
    pub length: Fit,
    /// From under the head to where the groove should begin at the least, mm.
    pub least_to_groove_mm: f64,
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

impl PinFit {
    /// How it goes, in sentences: in the hole first, then its length.
    pub fn text(&self, units: UnitSystem) -> String {
        let across = shown(self.clearance_mm.abs(), units);
        let hole = match self.fit {
            Fit::TooTight if self.clearance_mm <= 0.0 => format!(
                "The pin does not go into its hole, which is {across} too small: ream it, or take a thinner pin."
            ),
            Fit::TooTight => {
                format!(
                    "The pin is tight in its hole, with only {across}: ream it if it is to come out by hand."
                )
            }
            Fit::Slides => format!("The pin goes into its hole with {across} on the diameter."),
            Fit::Loose => {
                format!("The pin is loose in its hole, by {across}: bush it, or take a thicker pin.")
            }
        };
        let along = shown(self.play_mm.abs(), units);
        let least = shown(self.least_to_groove_mm, units);
        let length = match self.length {
            Fit::TooTight if self.play_mm < 0.0 => format!(
                "It is too short: its groove begins {along} inside the washers. Take one with at least {least} from head to groove."
            ),
            Fit::TooTight => format!(
                "It is too short: only {along} is left for the clip. Take one with at least {least} from head to groove."
            ),
            Fit::Slides => format!("The clip goes on with {along} of play."),
            Fit::Loose => format!(
                "It is too long: {along} of play. Add washers, or take one with about {least} from head to groove."
            ),
        };
        format!("{hole} {length}")
    }
}

//! A tube with an end that is to be cut to a shape: where its axis runs and which way the tube lies.

pub use crate::finding::LimbError;
use crate::geom::Frame;
use crate::geom::tolerance::PARALLEL_RAD;
use crate::model::ShapedLine;
use glam::DVec3;

/// Directions of a frame may be off their unit length, and off square to each other, by this much: rounding noise of
/// many turns.
const UNIT_NOISE: f64 = 1e3 * PARALLEL_RAD;

/// Which way the tube lies from the end that is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goes {
    /// Along the travel: the run begins at the cut.
    OnAlongTravel,
    /// Against the travel: the run ends at the cut.
    BackAgainstTravel,
}

/// Which curve round the tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// That of its outside.
    Outside,
    /// That of its bore.
    Inside,
    /// The one a cut square to the wall follows to touch without cutting into the other part: at each clock the
    /// furthest from the other part anywhere in the wall. It carries the template.
    Seat,
}

impl From<ShapedLine> for Edge {
    fn from(line: ShapedLine) -> Self {
        match line {
            ShapedLine::Seat => Self::Seat,
            ShapedLine::Outside => Self::Outside,
            ShapedLine::Inside => Self::Inside,
        }
    }
}

/// A round tube with an end that is to be cut.
///
/// Clocks are the tube's own, from its index line, right-handed about its travel. Places along it count from the
/// frame's origin, positive the way the tube lies from the cut, whichever way the travel goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limb {
    /// A point of the axis, the travel of its run and its index line.
    pub frame: Frame,
    /// Which way it lies from the cut.
    pub goes: Goes,
    /// Outside radius, mm.
    pub radius_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
}

/// A straight line along a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// The point at 0.
    pub origin: DVec3,
    /// Unit direction.
    pub along: DVec3,
}

impl Line {
    /// The point at `at_mm`.
    pub fn point(&self, at_mm: f64) -> DVec3 {
        self.origin + self.along * at_mm
    }
}

/// Whether the frame's numbers are finite and its directions are unit vectors across each other.
pub(super) fn is_frame(frame: &Frame) -> bool {
    let unit = |v: DVec3| v.is_finite() && (v.length() - 1.0).abs() <= UNIT_NOISE;
    frame.origin.is_finite()
        && unit(frame.travel)
        && unit(frame.index)
        && frame.travel.dot(frame.index).abs() <= UNIT_NOISE
}

impl Limb {
    /// Says what is wrong with its figures.
    pub fn check(&self) -> Result<(), LimbError> {
        let (radius_mm, wall_mm) = (self.radius_mm, self.wall_mm);
        if !is_frame(&self.frame) || !radius_mm.is_finite() || !wall_mm.is_finite() {
            Err(LimbError::NotANumber)
        } else if radius_mm <= 0.0 {
            Err(LimbError::NotPositive { radius_mm })
        } else if wall_mm <= 0.0 || wall_mm >= radius_mm {
            Err(LimbError::NoBore { radius_mm, wall_mm })
        } else {
            Ok(())
        }
    }

    /// Unit direction along the axis from the cut into the tube.
    pub fn away(&self) -> DVec3 {
        match self.goes {
            Goes::OnAlongTravel => self.frame.travel,
            Goes::BackAgainstTravel => -self.frame.travel,
        }
    }

    /// Radius of the bore, mm.
    pub fn bore_mm(&self) -> f64 {
        self.radius_mm - self.wall_mm
    }

    /// Its axis.
    pub fn axis(&self) -> Line {
        Line { origin: self.frame.origin, along: self.away() }
    }

    /// The line along the tube at clock `clock_rad`, `radius_mm` from the axis.
    pub fn generator(&self, radius_mm: f64, clock_rad: f64) -> Line {
        Line { origin: self.frame.origin + self.frame.at_clock(clock_rad) * radius_mm, along: self.away() }
    }

    /// Way a point of the tube's skin moves as its clock grows: a unit vector round the tube.
    pub(super) fn round_at(&self, clock_rad: f64) -> DVec3 {
        self.frame.travel.cross(self.frame.at_clock(clock_rad))
    }

    /// How much further along the tube a surface with normal `normal` is met when the clock grows, mm a radian;
    /// `None` where the surface runs along the tube.
    ///
    /// The point stays in the surface: `(ρ·t + s′·a)·n = 0` with `t` round the tube and `a` along it.
    pub(super) fn slope(&self, radius_mm: f64, clock_rad: f64, normal: DVec3) -> Option<f64> {
        let into = self.away().dot(normal);
        (into.abs() > GRAZING).then(|| -radius_mm * self.round_at(clock_rad).dot(normal) / into)
    }
}

/// A surface whose normal is within this of square to a tube's axis (the cosine) runs along the tube.
const GRAZING: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::UnitSystem;

    fn limb(radius_mm: f64, wall_mm: f64) -> Limb {
        let frame = Frame::new(DVec3::new(1.0, 2.0, 3.0), DVec3::X, DVec3::Z);
        Limb { frame, goes: Goes::OnAlongTravel, radius_mm, wall_mm }
    }

    #[test]
    fn a_tube_without_a_bore_is_refused() {
        assert_eq!(limb(25.0, 1.5).check(), Ok(()));
        assert_eq!(limb(f64::NAN, 1.5).check(), Err(LimbError::NotANumber));
        assert_eq!(limb(-1.0, 1.5).check(), Err(LimbError::NotPositive { radius_mm: -1.0 }));
        assert!(matches!(limb(25.0, 25.0).check(), Err(LimbError::NoBore { .. })));
        assert!(matches!(limb(25.0, 0.0).check(), Err(LimbError::NoBore { .. })));
        let mut bent = limb(25.0, 1.5);
        bent.frame.index = DVec3::new(0.6, 0.0, 0.8);
        assert_eq!(bent.check(), Err(LimbError::NotANumber));
        let text = LimbError::NoBore { radius_mm: 25.0, wall_mm: 30.0 }.text(UnitSystem::Millimetre);
        assert!(text.contains("30.00 mm") && text.contains("50 mm"), "{text}");
    }

    #[test]
    fn clocks_stay_those_of_the_run_whichever_way_the_tube_lies() {
        let on = limb(25.0, 1.5);
        let back = Limb { goes: Goes::BackAgainstTravel, ..on };
        assert_eq!(on.generator(25.0, 0.4).origin, back.generator(25.0, 0.4).origin);
        assert_eq!(on.away(), -back.away());
    }
}

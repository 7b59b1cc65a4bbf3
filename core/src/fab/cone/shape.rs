//! The cone in space: what it is, its lines, its figures.

use super::flat::Flat;
use super::{CALM_RAD, STEEPEST_RAD};
use crate::finding::{ConeError, ConeNote};
use crate::geom::tolerance::{COINCIDENT_MM, NO_LENGTH_MM};
use glam::DVec3;
use std::f64::consts::TAU;

/// Places round the cone at which its lines are tried for lying in one plane with their neighbours.
const ROUND: u32 = 360;
/// The lap is at most this part of the way round the narrow end.
const MOST_LAP: f64 = 0.25;

/// A cone as entered. Clocks are those of the run it is in: from the index line, right-handed about the travel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConeShape {
    /// Outside radius of the end that the run comes to first, mm.
    pub first_mm: f64,
    /// Outside radius of the other end, mm.
    pub second_mm: f64,
    /// Distance of the two end planes, mm.
    pub length_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// How far the second end's middle is shifted across the axis, mm, ≥ 0 or turned about.
    pub offset_mm: f64,
    /// Clock it is shifted towards, rad.
    pub offset_clock_rad: f64,
    /// Clock of the seam, rad.
    pub seam_clock_rad: f64,
    /// Lap beyond one side of the seam, mm; 0 for a butt weld.
    pub lap_mm: f64,
}

/// What kind of surface it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConeKind {
    /// Equal ends on one axis: a rectangle when flat.
    Cylinder,
    /// Two ends on one axis: part of a ring when flat.
    Frustum,
    /// Equal ends, shifted.
    ObliqueCylinder,
    /// Two ends, shifted. All its outside lines meet in the apex, in the cone's own frame.
    ObliqueCone {
        /// The apex, mm.
        apex: DVec3,
    },
}

/// A cone that can be made.
///
/// Its own frame: the middle of the first end, Z along the axis to the second end, X towards the index line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cone {
    shape: ConeShape,
}

impl Cone {
    /// Takes a cone as entered, or says why it cannot be made.
    pub fn new(shape: ConeShape) -> Result<Self, ConeError> {
        let s = &shape;
        let all = [
            s.first_mm,
            s.second_mm,
            s.length_mm,
            s.wall_mm,
            s.offset_mm,
            s.offset_clock_rad,
            s.seam_clock_rad,
            s.lap_mm,
        ];
        if !all.iter().all(|x| x.is_finite()) {
            return Err(ConeError::NotANumber);
        }
        let narrow_mm = s.first_mm.min(s.second_mm);
        if narrow_mm <= 0.0 {
            return Err(ConeError::NotPositive { radius_mm: narrow_mm });
        }
        if s.wall_mm <= 0.0 || s.wall_mm >= narrow_mm {
            return Err(ConeError::NoBore { radius_mm: narrow_mm, wall_mm: s.wall_mm });
        }
        let cone = Self { shape };
        let least_mm = cone.widest_shift_mm() / STEEPEST_RAD.tan();
        if s.length_mm <= NO_LENGTH_MM {
            return Err(ConeError::NoLength { length_mm: s.length_mm, least_mm });
        }
        if s.length_mm < least_mm * (1.0 - 1e-12) {
            return Err(ConeError::TooSteep {
                angle_rad: cone.steepest_rad(),
                most_rad: STEEPEST_RAD,
                least_mm,
            });
        }
        let most_mm = MOST_LAP * TAU * narrow_mm;
        if !(0.0..=most_mm).contains(&s.lap_mm) {
            return Err(ConeError::Lap { lap_mm: s.lap_mm, most_mm });
        }
        Ok(cone)
    }

    /// The cone as entered.
    pub fn shape(&self) -> &ConeShape {
        &self.shape
    }

    fn offset(&self) -> DVec3 {
        let (sin, cos) = self.shape.offset_clock_rad.sin_cos();
        DVec3::new(cos, sin, 0.0) * self.shape.offset_mm
    }

    /// Furthest that a line goes across the axis, mm.
    fn widest_shift_mm(&self) -> f64 {
        self.shape.offset_mm.abs() + (self.shape.second_mm - self.shape.first_mm).abs()
    }

    /// What kind of surface it is.
    pub fn kind(&self) -> ConeKind {
        let s = &self.shape;
        let equal = (s.first_mm - s.second_mm).abs() <= COINCIDENT_MM;
        match (equal, s.offset_mm.abs() <= COINCIDENT_MM) {
            (true, true) => ConeKind::Cylinder,
            (false, true) => ConeKind::Frustum,
            (true, false) => ConeKind::ObliqueCylinder,
            // where a circle that shrinks from one end through the other is a point
            (false, false) => {
                let part = s.first_mm / (s.first_mm - s.second_mm);
                ConeKind::ObliqueCone { apex: (self.offset() + DVec3::Z * s.length_mm) * part }
            }
        }
    }

    /// The two ends of the outside line at a clock, mm.
    pub fn line(&self, clock_rad: f64) -> [DVec3; 2] {
        let (sin, cos) = clock_rad.sin_cos();
        let out = DVec3::new(cos, sin, 0.0);
        let s = &self.shape;
        [out * s.first_mm, self.offset() + DVec3::Z * s.length_mm + out * s.second_mm]
    }

    /// Unit normal of the surface along the line at a clock, outwards: one for the whole line.
    pub fn normal(&self, clock_rad: f64) -> DVec3 {
        let (sin, cos) = clock_rad.sin_cos();
        let out = DVec3::new(cos, sin, 0.0);
        let s = &self.shape;
        let widens = out.dot(self.offset()) + s.second_mm - s.first_mm;
        (out * s.length_mm - DVec3::Z * widens) / s.length_mm.hypot(widens)
    }

    /// The two ends of the line half way through the wall at a clock, mm.
    pub fn middle_line(&self, clock_rad: f64) -> [DVec3; 2] {
        let inward = self.normal(clock_rad) * (self.shape.wall_mm / 2.0);
        self.line(clock_rad).map(|p| p - inward)
    }

    /// The steepest side against the axis, rad.
    pub fn steepest_rad(&self) -> f64 {
        self.widest_shift_mm().atan2(self.shape.length_mm)
    }

    /// What to know about it, if anything.
    pub fn note(&self) -> Option<ConeNote> {
        let angle_rad = self.steepest_rad();
        let calm_mm = self.widest_shift_mm() / CALM_RAD.tan();
        (angle_rad > CALM_RAD + 1e-9).then_some(ConeNote::Wide { angle_rad, calm_rad: CALM_RAD, calm_mm })
    }

    /// Lengths of the welds round the first and the second end on the outside, mm.
    pub fn end_welds_mm(&self) -> [f64; 2] {
        [TAU * self.shape.first_mm, TAU * self.shape.second_mm]
    }

    /// Length of the seam, mm.
    pub fn seam_mm(&self) -> f64 {
        let [a, b] = self.line(self.shape.seam_clock_rad);
        a.distance(b)
    }

    /// How far out of one plane two neighbouring outside lines lie, a degree apart, the worst all round, mm: 0 but for
    /// rounding, or the sheet would have to stretch.
    pub fn planarity_mm(&self) -> f64 {
        let clock = |i: u32| TAU * f64::from(i) / f64::from(ROUND);
        (0..ROUND).map(|i| out_of_plane_mm(self.line(clock(i)), self.line(clock(i + 1)))).fold(0.0, f64::max)
    }

    /// Its flat.
    pub fn flat(&self) -> Flat {
        Flat::of(self)
    }

    /// Mass without the lap, kg: the area of the middle fibre times the wall, exact where sheet is bent one way only and
    /// its edges are square to it (Steiner's formula for a surface without Gaussian curvature, from memory).
    pub fn mass_kg(&self, density_kg_m3: f64) -> f64 {
        self.flat().area_mm2 * self.shape.wall_mm * density_kg_m3 * 1e-9
    }
}

/// Distance of the last of four points from the plane of the other three, mm; 0 where those are in line.
fn out_of_plane_mm([a, b]: [DVec3; 2], [c, d]: [DVec3; 2]) -> f64 {
    (b - a).cross(c - a).try_normalize().map_or(0.0, |normal| normal.dot(d - a).abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const PLAIN: ConeShape = ConeShape {
        first_mm: 38.1,
        second_mm: 25.4,
        length_mm: 90.0,
        wall_mm: 1.6,
        offset_mm: 0.0,
        offset_clock_rad: 0.0,
        seam_clock_rad: 0.0,
        lap_mm: 0.0,
    };

    #[test]
    fn lines_that_are_twisted_are_seen_to_be_out_of_plane() {
        let cone = Cone::new(ConeShape { offset_mm: 20.0, offset_clock_rad: 1.0, ..PLAIN }).unwrap();
        assert!(cone.planarity_mm() < 1e-12);
        // the second end turned by 10° against the first: a line from 0° to 10° beside one from 1° to 11°
        let twisted = |deg: f64| [cone.line(deg.to_radians())[0], cone.line((deg + 10.0).to_radians())[1]];
        assert!(out_of_plane_mm(twisted(0.0), twisted(1.0)) > 0.01);
    }

    #[test]
    fn all_lines_of_a_shifted_cone_run_through_its_apex() {
        let cone = Cone::new(ConeShape { offset_mm: -12.0, offset_clock_rad: 0.7, ..PLAIN }).unwrap();
        let ConeKind::ObliqueCone { apex } = cone.kind() else { panic!("{:?}", cone.kind()) };
        for i in 0..12 {
            let [a, b] = cone.line(f64::from(i));
            assert_relative_eq!((b - a).cross(apex - a).length() / (b - a).length(), 0.0, epsilon = 1e-9);
        }
    }
}

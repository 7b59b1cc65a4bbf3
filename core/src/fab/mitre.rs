//! The numbers of a mitred bend: saw angle, heel, throat, length of a slice.

use crate::model::Ends;

/// A bend divided into slices.
///
/// Half ends, `W` welds: saw angle `α = θ/(2W)`, `W − 1` whole slices, the straights' ends cut at `α`; the
/// centreline runs round the outside of the arc, touching it at mid-slice, `c = 2R·tan α`.
/// Full ends, `S` slices: `α = θ/(2S)`, `S + 1` welds, the two outer ones against square-cut tube; the
/// centreline is a chord polygon of the arc, `c = 2R·sin α`.
/// Derived from the mitre planes through the bend centre; the half-end case is the parallel-line layout of a
/// sheet-metal elbow (end pieces are half of a full gore).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mitre {
    /// Bend angle θ, rad.
    pub angle_rad: f64,
    /// Centreline radius R, mm.
    pub clr_mm: f64,
    /// Outside diameter of the tube, mm.
    pub od_mm: f64,
    /// Number of welds.
    pub welds: u32,
    /// How its ends are made.
    pub ends: Ends,
}

impl Mitre {
    /// Fewest welds that make sense for these ends.
    pub fn least_welds(ends: Ends) -> u32 {
        match ends {
            Ends::Half => 1,
            Ends::Full => 2,
        }
    }

    /// Number of whole slices.
    pub fn slices(&self) -> u32 {
        self.welds.saturating_sub(1)
    }

    /// Saw angle from square, rad.
    pub fn saw_rad(&self) -> f64 {
        let parts = match self.ends {
            Ends::Half => self.welds,
            Ends::Full => self.slices(),
        };
        self.angle_rad / (2.0 * f64::from(parts.max(1)))
    }

    /// Centreline length of a whole slice, mm.
    pub fn centre_mm(&self) -> f64 {
        let a = self.saw_rad();
        2.0 * self.clr_mm
            * match self.ends {
                Ends::Half => a.tan(),
                Ends::Full => a.sin(),
            }
    }

    /// Long side of a whole slice, mm.
    pub fn heel_mm(&self) -> f64 {
        self.centre_mm() + self.od_mm * self.saw_rad().tan()
    }

    /// Short side of a whole slice, mm; not above zero where the radius is too small.
    pub fn throat_mm(&self) -> f64 {
        self.centre_mm() - self.od_mm * self.saw_rad().tan()
    }

    /// What each neighbouring straight gets longer by, mm: the half slice of half ends, nothing for full ends.
    pub fn end_mm(&self) -> f64 {
        match self.ends {
            Ends::Half => self.clr_mm * self.saw_rad().tan(),
            Ends::Full => 0.0,
        }
    }

    /// Tilt of the neighbouring straight's cut, rad: the saw angle for half ends, square for full ends.
    pub fn end_cut_rad(&self) -> f64 {
        match self.ends {
            Ends::Half => self.saw_rad(),
            Ends::Full => 0.0,
        }
    }

    /// Smallest centreline radius that leaves a throat of `throat_mm`, mm.
    pub fn least_clr_mm(&self, throat_mm: f64) -> f64 {
        let a = self.saw_rad();
        let needed = throat_mm + self.od_mm * a.tan();
        match self.ends {
            Ends::Half => needed / (2.0 * a.tan()),
            Ends::Full => needed / (2.0 * a.sin()),
        }
    }

    /// How far the slice's end stands proud of square tube at heel and throat, mm: `r(1/cos α − 1)`; only full
    /// ends have this step.
    pub fn step_mm(&self) -> f64 {
        match self.ends {
            Ends::Half => 0.0,
            Ends::Full => self.od_mm / 2.0 * (1.0 / self.saw_rad().cos() - 1.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn mitre(od: f64, clr: f64, deg: f64, welds: u32, ends: Ends) -> Mitre {
        Mitre { angle_rad: deg.to_radians(), clr_mm: clr, od_mm: od, welds, ends }
    }

    #[test]
    fn half_ends_and_full_ends_differ_by_the_cosine_only() {
        let half = mitre(76.2, 114.3, 90.0, 5, Ends::Half);
        let full = mitre(76.2, 114.3, 90.0, 6, Ends::Full);
        assert_relative_eq!(half.saw_rad(), full.saw_rad());
        assert_relative_eq!(full.centre_mm(), half.centre_mm() * half.saw_rad().cos(), max_relative = 1e-14);
        assert_eq!((half.slices(), full.slices()), (4, 5));
    }

    #[test]
    fn the_least_radius_gives_back_the_throat_it_was_asked_for() {
        for ends in [Ends::Half, Ends::Full] {
            let m = mitre(63.5, 80.0, 70.0, 4, ends);
            let tight = Mitre { clr_mm: m.least_clr_mm(9.0), ..m };
            assert_relative_eq!(tight.throat_mm(), 9.0, max_relative = 1e-12);
        }
    }

    #[test]
    fn heel_and_throat_are_the_slice_measured_at_the_outside_and_inside() {
        let m = mitre(76.2, 114.3, 90.0, 4, Ends::Half);
        assert_relative_eq!(m.heel_mm(), 2.0 * (114.3 + 38.1) * m.saw_rad().tan(), max_relative = 1e-14);
        assert_relative_eq!(m.throat_mm(), 2.0 * (114.3 - 38.1) * m.saw_rad().tan(), max_relative = 1e-14);
    }
}

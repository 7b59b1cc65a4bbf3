//! The numbers of a mitred bend: saw angles, heel, throat, length of each slice.

use crate::geom::tolerance::NO_BEND_RAD;
use crate::model::Ends;

/// A bend divided into slices.
///
/// Half ends, `W` welds: saw angle `α = θ/(2W)`, `W − 1` whole slices, the straights' ends cut at `α`; the
/// centreline runs round the outside of the arc, touching it at mid-slice, `c = 2R·tan α`.
/// Full ends, `S` slices: `α = θ/(2S)`, `S + 1` welds, the two outer ones against square-cut tube; the
/// centreline is a chord polygon of the arc, `c = 2R·sin α`.
/// Derived from the mitre planes through the bend centre; the half-end case is the parallel-line layout of a
/// sheet-metal elbow (end pieces are half of a full gore).
///
/// Slices of a batch keep their own saw angle: with half ends as many welds as fit turn `2α` each and one odd weld
/// turns what is left; the slice before it is odd, `R(tan α + tan α')` long.
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
    /// Tilt of the odd last weld, rad; `None` where all are alike.
    pub odd_rad: Option<f64>,
}

/// One slice of a bend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SliceSize {
    /// Length along its centreline, mm.
    pub centre_mm: f64,
    /// Tilt of its start face, rad.
    pub start_rad: f64,
    /// Tilt of its end face, rad.
    pub end_rad: f64,
}

/// How a bend divides into slices of a given saw angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Division {
    /// Slices' turns that fit: welds with half ends, slices with full ends.
    pub whole: u32,
    /// What is left of the bend, rad; 0 where they fit.
    pub rest_rad: f64,
}

/// Divides `angle_rad` into turns of twice `saw_rad`. What is left and under 0.05° is nothing.
pub fn divide(angle_rad: f64, saw_rad: f64) -> Division {
    let turn = 2.0 * saw_rad.max(1e-6);
    let whole = ((angle_rad + NO_BEND_RAD) / turn).floor().clamp(0.0, 1e6);
    let rest = angle_rad - whole * turn;
    Division { whole: whole as u32, rest_rad: if rest.abs() <= NO_BEND_RAD { 0.0 } else { rest } }
}

impl Mitre {
    /// `welds` equal turns.
    pub fn equal(angle_rad: f64, clr_mm: f64, od_mm: f64, welds: u32, ends: Ends) -> Self {
        Self { angle_rad, clr_mm, od_mm, welds, ends, odd_rad: None }
    }

    /// Slices of a batch cut at `saw_rad`. With full ends, which leave no room for an odd weld, the nearest number
    /// of equal slices.
    pub fn of_batch(angle_rad: f64, clr_mm: f64, od_mm: f64, saw_rad: f64, ends: Ends) -> Self {
        let Division { whole, rest_rad } = divide(angle_rad, saw_rad);
        match ends {
            Ends::Half => {
                let odd_rad = (rest_rad > 0.0 && whole > 0).then_some(rest_rad / 2.0);
                let welds = whole + u32::from(rest_rad > 0.0);
                Self { odd_rad, ..Self::equal(angle_rad, clr_mm, od_mm, welds.max(1), ends) }
            }
            Ends::Full => {
                let slices = whole + u32::from(rest_rad > saw_rad);
                Self::equal(angle_rad, clr_mm, od_mm, slices.max(1) + 1, ends)
            }
        }
    }

    /// Fewest welds that make sense for these ends.
    pub fn least_welds(ends: Ends) -> u32 {
        match ends {
            Ends::Half => 1,
            Ends::Full => 2,
        }
    }

    /// Number of slices between the welds.
    pub fn slices(&self) -> u32 {
        self.welds.saturating_sub(1)
    }

    /// Saw angle of the whole slices from square, rad.
    pub fn saw_rad(&self) -> f64 {
        let parts = match self.ends {
            Ends::Half => self.welds,
            Ends::Full => self.slices(),
        };
        match self.odd_rad {
            Some(odd) if parts > 1 => (self.angle_rad / 2.0 - odd) / f64::from(parts - 1),
            _ => self.angle_rad / (2.0 * f64::from(parts.max(1))),
        }
    }

    /// Tilt of the last weld's faces, rad.
    fn last_rad(&self) -> f64 {
        self.odd_rad.unwrap_or_else(|| self.saw_rad())
    }

    /// The slices in order of travel.
    pub fn each_slice(&self) -> impl Iterator<Item = SliceSize> + use<> {
        let (count, a, last, r) = (self.slices(), self.saw_rad(), self.last_rad(), self.clr_mm);
        let ends = self.ends;
        (0..count).map(move |i| {
            let end_rad = if i + 1 == count { last } else { a };
            let centre_mm = match ends {
                Ends::Half => r * (a.tan() + end_rad.tan()),
                Ends::Full => 2.0 * r * a.sin(),
            };
            SliceSize { centre_mm, start_rad: a, end_rad }
        })
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

    /// What the straight before (or after) the bend gets longer by, mm: the half slice of half ends, nothing for
    /// full ends.
    pub fn end_mm(&self, after: bool) -> f64 {
        match self.ends {
            Ends::Half => self.clr_mm * self.end_cut_rad(after).tan(),
            Ends::Full => 0.0,
        }
    }

    /// Tilt of the cut of the straight before (or after) the bend, rad: the weld's for half ends, square for full
    /// ends.
    pub fn end_cut_rad(&self, after: bool) -> f64 {
        match self.ends {
            Ends::Half if after => self.last_rad(),
            Ends::Half => {
                if self.welds > 1 {
                    self.saw_rad()
                } else {
                    self.last_rad()
                }
            }
            Ends::Full => 0.0,
        }
    }

    /// Smallest centreline radius that leaves a throat of `throat_mm`, mm: `R = r + t/(2·tan α)` with half ends.
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
        Mitre::equal(deg.to_radians(), clr, od, welds, ends)
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

    #[test]
    fn a_batch_turns_what_it_can_and_one_odd_weld_turns_the_rest() {
        let (theta, a) = (47_f64.to_radians(), 7.5_f64.to_radians());
        let m = Mitre::of_batch(theta, 114.3, 76.2, a, Ends::Half);
        assert_eq!((m.welds, m.slices()), (4, 3));
        assert_relative_eq!(m.saw_rad(), a, max_relative = 1e-12);
        assert_relative_eq!(m.odd_rad.unwrap(), 1_f64.to_radians(), max_relative = 1e-9);
        let slices: Vec<_> = m.each_slice().collect();
        assert_relative_eq!(slices[0].centre_mm, 2.0 * 114.3 * a.tan(), max_relative = 1e-12);
        let odd = 114.3 * (a.tan() + 1_f64.to_radians().tan());
        assert_relative_eq!(slices[2].centre_mm, odd, max_relative = 1e-12);
        assert_relative_eq!(m.end_cut_rad(true), 1_f64.to_radians(), max_relative = 1e-9);
        assert_relative_eq!(m.end_cut_rad(false), a, max_relative = 1e-12);
    }

    #[test]
    fn a_batch_that_fits_leaves_nothing_odd() {
        for ends in [Ends::Half, Ends::Full] {
            let m = Mitre::of_batch(90_f64.to_radians(), 114.3, 76.2, 7.5_f64.to_radians(), ends);
            assert_eq!(m.odd_rad, None);
            assert_eq!(m.welds, if ends == Ends::Half { 6 } else { 7 });
            assert_relative_eq!(m.saw_rad().to_degrees(), 7.5, max_relative = 1e-12);
        }
        let small = Mitre::of_batch(9_f64.to_radians(), 114.3, 76.2, 7.5_f64.to_radians(), Ends::Half);
        assert_eq!((small.welds, small.odd_rad), (1, None));
        assert_relative_eq!(small.saw_rad().to_degrees(), 4.5, max_relative = 1e-12);
    }
}

//! What two tapes alone say: the point lies on a ring about the line between their datums.

use super::Tape;
use crate::geom::tolerance::SAME_DATUM_MM;
use crate::geom::vector::unit;
use glam::DVec3;

/// A circle in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// Its centre, mm.
    pub centre_mm: DVec3,
    /// Unit direction square to its plane.
    pub axis: DVec3,
    /// Its radius, mm.
    pub radius_mm: f64,
}

/// The ring both tapes reach: where the balls of their lengths about the datums meet. `None` where they do not, or
/// the datums are one.
pub fn ring(first: &Tape, second: &Tape) -> Option<Ring> {
    let way = second.at_mm - first.at_mm;
    let apart = way.length();
    if apart.partial_cmp(&SAME_DATUM_MM) != Some(std::cmp::Ordering::Greater) {
        return None;
    }
    // from the foot of the height of a triangle whose three sides are known
    let foot = (first.length_mm.powi(2) - second.length_mm.powi(2) + apart * apart) / (2.0 * apart);
    let square = first.length_mm.powi(2) - foot * foot;
    let axis = unit(way)?;
    (square >= 0.0).then(|| Ring { centre_mm: first.at_mm + axis * foot, axis, radius_mm: square.sqrt() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::vector::any_across;
    use approx::assert_relative_eq;

    fn tape(at_mm: DVec3, length_mm: f64) -> Tape {
        Tape { datum: String::new(), at_mm, length_mm }
    }

    #[test]
    fn every_point_of_the_ring_is_at_both_lengths() {
        let (a, b) = (tape(DVec3::new(10.0, 0.0, 5.0), 300.0), tape(DVec3::new(200.0, 90.0, -20.0), 260.0));
        let ring = ring(&a, &b).unwrap();
        let one = any_across(ring.axis);
        for way in [one, ring.axis.cross(one), -one] {
            let p = ring.centre_mm + way * ring.radius_mm;
            assert_relative_eq!(p.distance(a.at_mm), 300.0, epsilon = 1e-9);
            assert_relative_eq!(p.distance(b.at_mm), 260.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn tapes_that_do_not_meet_have_none() {
        let at = |x: f64, length| tape(DVec3::X * x, length);
        assert_eq!(ring(&at(0.0, 10.0), &at(100.0, 20.0)), None);
        assert_eq!(ring(&at(0.0, 200.0), &at(100.0, 20.0)), None);
        assert_eq!(ring(&at(0.0, 20.0), &at(0.0, 20.0)), None);
        assert_eq!(ring(&at(0.0, f64::NAN), &at(100.0, 20.0)), None);
    }
}

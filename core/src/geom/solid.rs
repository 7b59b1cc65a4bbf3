//! The solids a built pipe is made of, placed in space. Clearance and drawing both work on these.

use super::frame::Frame;
use glam::{DQuat, DVec3};

/// One placed solid. Bores count as filled: what is inside a pipe cannot be cleared by it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Solid {
    /// A round tube cut by a plane at each end.
    Barrel(Barrel),
    /// A smooth bend of round tube.
    Elbow(Elbow),
    /// A round joint body, square at both ends.
    Drum(Drum),
    /// A rectangular block: the nut, lever or lock of a joint.
    Block(Block),
    /// A taper between two round ends, on one axis or set off.
    Frustum(Frustum),
}

/// A round tube between two cut planes, each of which meets the axis at the named point.
///
/// The two end ellipses do not cross, so the solid is the convex hull of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Barrel {
    /// Start of the axis with travel along the axis, and the index line.
    pub start: Frame,
    /// Length along the axis, mm, > 0.
    pub length_mm: f64,
    /// Outside radius, mm.
    pub radius_mm: f64,
    /// Unit normal of the start face; `start.travel` for a square end, always within 90° of it.
    pub start_normal: DVec3,
    /// Unit normal of the end face, pointing on along the travel; within 90° of it.
    pub end_normal: DVec3,
}

/// A part of a torus: centreline arc of radius `clr_mm` through `angle_rad`, round section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elbow {
    /// Start of the arc.
    pub start: Frame,
    /// Unit vector from the start to the bend centre; at right angles to the travel.
    pub toward: DVec3,
    /// Centreline radius, mm, ≥ `radius_mm`.
    pub clr_mm: f64,
    /// Angle swept, rad, in (0, π).
    pub angle_rad: f64,
    /// Outside radius of the tube, mm.
    pub radius_mm: f64,
}

/// A round body about the axis from `start` along its travel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drum {
    /// Centre of the first face, travel along the axis.
    pub start: Frame,
    /// Length along the axis, mm.
    pub length_mm: f64,
    /// Outside radius, mm.
    pub radius_mm: f64,
}

/// The convex hull of two discs that face the same way: a taper, straight or set off to one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frustum {
    /// Centre of the first disc, travel across both.
    pub start: Frame,
    /// Distance of the two discs along the travel, mm.
    pub length_mm: f64,
    /// Radius of the first disc, mm.
    pub start_radius_mm: f64,
    /// Radius of the second disc, mm.
    pub end_radius_mm: f64,
    /// How far the second disc is set off across the travel, mm.
    pub shift: DVec3,
}

/// A block given by its centre and its half edges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Centre, mm.
    pub centre: DVec3,
    /// Three unit edge directions at right angles, right-handed.
    pub axes: [DVec3; 3],
    /// Half edge lengths along `axes`, mm.
    pub half_mm: DVec3,
}

impl Solid {
    /// The solid turned by `rotation` about the origin and then moved on by `translation_mm`.
    #[must_use]
    pub fn moved(&self, rotation: DQuat, translation_mm: DVec3) -> Self {
        let point = |p: DVec3| rotation * p + translation_mm;
        let frame = |f: &Frame| Frame {
            origin: point(f.origin),
            travel: rotation * f.travel,
            index: rotation * f.index,
        };
        match self {
            Self::Barrel(b) => Self::Barrel(Barrel {
                start: frame(&b.start),
                start_normal: rotation * b.start_normal,
                end_normal: rotation * b.end_normal,
                ..*b
            }),
            Self::Elbow(e) => {
                Self::Elbow(Elbow { start: frame(&e.start), toward: rotation * e.toward, ..*e })
            }
            Self::Drum(d) => Self::Drum(Drum { start: frame(&d.start), ..*d }),
            Self::Block(b) => {
                Self::Block(Block { centre: point(b.centre), axes: b.axes.map(|axis| rotation * axis), ..*b })
            }
            Self::Frustum(f) => {
                Self::Frustum(Frustum { start: frame(&f.start), shift: rotation * f.shift, ..*f })
            }
        }
    }

    /// The place along its middle that is nearest to a point, mm from its start, and how far off the point is from there,
    /// mm; `None` for a block, which has no middle to go along.
    pub fn nearest_on_middle(&self, point: DVec3) -> Option<(f64, f64)> {
        let line = |start: &Frame, length_mm: f64| {
            let along_mm = (point - start.origin).dot(start.travel).clamp(0.0, length_mm.max(0.0));
            (along_mm, start.forward(along_mm).origin.distance(point))
        };
        match self {
            Self::Barrel(b) => Some(line(&b.start, b.length_mm)),
            Self::Drum(d) => Some(line(&d.start, d.length_mm)),
            Self::Frustum(f) => {
                let (along_mm, _) = line(&f.start, f.length_mm);
                Some((along_mm, f.frame_at(along_mm).origin.distance(point)))
            }
            Self::Elbow(e) => {
                let from = point - e.centre();
                let turn = from.dot(e.start.travel).atan2(-from.dot(e.toward)).clamp(0.0, e.angle_rad);
                Some((e.clr_mm * turn, e.frame_at(turn).origin.distance(point)))
            }
            Self::Block(_) => None,
        }
    }

    /// Whether all its numbers are finite.
    pub fn is_finite(&self) -> bool {
        let frame = |f: &Frame| f.origin.is_finite() && f.travel.is_finite() && f.index.is_finite();
        match self {
            Self::Barrel(b) => {
                frame(&b.start)
                    && b.start_normal.is_finite()
                    && b.end_normal.is_finite()
                    && b.length_mm.is_finite()
                    && b.radius_mm.is_finite()
            }
            Self::Elbow(e) => {
                frame(&e.start)
                    && e.toward.is_finite()
                    && [e.clr_mm, e.angle_rad, e.radius_mm].iter().all(|x| x.is_finite())
            }
            Self::Drum(d) => frame(&d.start) && d.length_mm.is_finite() && d.radius_mm.is_finite(),
            Self::Block(b) => {
                b.centre.is_finite() && b.half_mm.is_finite() && b.axes.iter().all(|a| a.is_finite())
            }
            Self::Frustum(f) => {
                frame(&f.start)
                    && f.shift.is_finite()
                    && [f.length_mm, f.start_radius_mm, f.end_radius_mm].iter().all(|x| x.is_finite())
            }
        }
    }
}

impl Barrel {
    /// Start and end of the axis.
    pub fn axis(&self) -> (DVec3, DVec3) {
        (self.start.origin, self.start.origin + self.start.travel * self.length_mm)
    }

    /// Point on the start face's edge (`at_end` false) or the end face's edge at clock `clock_rad`.
    pub fn edge(&self, at_end: bool, clock_rad: f64) -> DVec3 {
        let out = self.start.at_clock(clock_rad) * self.radius_mm;
        let (a, b) = self.axis();
        let (point, normal) = if at_end { (b, self.end_normal) } else { (a, self.start_normal) };
        // slide along the generator until it meets the plane
        point + out - self.start.travel * (out.dot(normal) / self.start.travel.dot(normal))
    }
}

impl Frustum {
    /// Centre of the section `along_mm` from the first disc, with the travel and the index line.
    pub fn frame_at(&self, along_mm: f64) -> Frame {
        let share = if self.length_mm > 0.0 { along_mm / self.length_mm } else { 0.0 };
        let on = self.start.forward(along_mm);
        Frame { origin: on.origin + self.shift * share, ..on }
    }

    /// Radius of that section, mm.
    pub fn radius_at(&self, along_mm: f64) -> f64 {
        let share = if self.length_mm > 0.0 { along_mm / self.length_mm } else { 0.0 };
        self.start_radius_mm + (self.end_radius_mm - self.start_radius_mm) * share
    }

    /// The part between two sections, mm along the travel from the first disc.
    #[must_use]
    pub fn part(&self, from_mm: f64, to_mm: f64) -> Self {
        let share = if self.length_mm > 0.0 { (to_mm - from_mm) / self.length_mm } else { 0.0 };
        Self {
            start: self.frame_at(from_mm),
            length_mm: to_mm - from_mm,
            start_radius_mm: self.radius_at(from_mm),
            end_radius_mm: self.radius_at(to_mm),
            shift: self.shift * share,
        }
    }

    /// Point of the section `along_mm` from the first disc at clock `clock_rad`.
    pub fn edge(&self, along_mm: f64, clock_rad: f64) -> DVec3 {
        let frame = self.frame_at(along_mm);
        frame.origin + frame.at_clock(clock_rad) * self.radius_at(along_mm)
    }

    /// Unit normal of its side at a clock, outwards: the same all along that line.
    pub fn normal(&self, clock_rad: f64) -> DVec3 {
        let out = self.start.at_clock(clock_rad);
        let widens = out.dot(self.shift) + self.end_radius_mm - self.start_radius_mm;
        let across = out * self.length_mm - self.start.travel * widens;
        across.try_normalize().unwrap_or(out)
    }
}

impl Elbow {
    /// Bend centre.
    pub fn centre(&self) -> DVec3 {
        self.start.origin + self.toward * self.clr_mm
    }

    /// Frame on the centreline after `angle_rad` of the bend.
    pub fn frame_at(&self, angle_rad: f64) -> Frame {
        self.start.around(self.start.clock_of(self.toward), self.clr_mm, angle_rad)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_moved_solid_has_its_points_where_they_went() {
        let rotation = DQuat::from_axis_angle(DVec3::Z, std::f64::consts::FRAC_PI_2);
        let shift = DVec3::new(10.0, 20.0, 30.0);
        let start = Frame::new(DVec3::new(5.0, 0.0, 0.0), DVec3::X, DVec3::Z);
        let elbow = Elbow { start, toward: DVec3::Y, clr_mm: 100.0, angle_rad: 1.2, radius_mm: 30.0 };
        let Solid::Elbow(moved) = Solid::Elbow(elbow).moved(rotation, shift) else {
            panic!("a bend stays one")
        };
        for angle in [0.0, 0.5, 1.2] {
            let (was, is) = (elbow.frame_at(angle), moved.frame_at(angle));
            // a quarter turn about Z takes (x, y) to (−y, x)
            let gone = DVec3::new(-was.origin.y, was.origin.x, was.origin.z) + shift;
            assert_relative_eq!(is.origin, gone, epsilon = 1e-12);
            assert_relative_eq!(is.travel, DVec3::new(-was.travel.y, was.travel.x, 0.0), epsilon = 1e-12);
        }
        let block = Block { centre: DVec3::X, axes: DVec3::AXES, half_mm: DVec3::new(1.0, 2.0, 3.0) };
        let Solid::Block(turned) = Solid::Block(block).moved(rotation, shift) else {
            panic!("a block stays one")
        };
        assert_relative_eq!(turned.centre, DVec3::new(10.0, 21.0, 30.0), epsilon = 1e-12);
        assert_relative_eq!(turned.axes[0], DVec3::Y, epsilon = 1e-12);
    }

    #[test]
    fn the_edge_of_a_mitred_face_lies_in_its_plane_and_on_the_tube() {
        let a = 11.25_f64.to_radians();
        let barrel = Barrel {
            start: Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z),
            length_mm: 100.0,
            radius_mm: 38.1,
            start_normal: DVec3::X,
            end_normal: DVec3::new(a.cos(), 0.0, -a.sin()),
        };
        // heel on top: the normal leans down, so the face reaches furthest at 12 o'clock
        assert_relative_eq!(barrel.edge(true, 0.0).x, 100.0 + 38.1 * a.tan(), epsilon = 1e-12);
        assert_relative_eq!(
            barrel.edge(true, std::f64::consts::PI).x,
            100.0 - 38.1 * a.tan(),
            epsilon = 1e-12
        );
        assert_relative_eq!(barrel.edge(false, 1.0).x, 0.0, epsilon = 1e-12);
    }
}

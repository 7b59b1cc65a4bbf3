//! Where the axes of two arms meet, and what cuts them there.

use super::super::limb::{Limb, Line};
use super::{LEAST_ARMS_RAD, MOST_APART_MM};
use crate::finding::MergeError;
use crate::geom::tolerance::COINCIDENT_MM;
use crate::geom::vector::angle_between;
use glam::DVec3;

/// Where two axes meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// The arms.
    pub arms: [usize; 2],
    /// The point, mm; half way where the axes pass each other.
    pub point: DVec3,
    /// By how much they pass each other, mm.
    pub apart_mm: f64,
    /// Angle between the arms, rad.
    pub angle_rad: f64,
}

/// What cuts one arm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Cut {
    /// A plane; what lies on the side of `normal` stays.
    Plane { point: DVec3, normal: DVec3 },
    /// The skin of a larger arm: what has come out of it stays.
    OutOf { axis: Line, radius_mm: f64 },
    /// The skin of a smaller arm that goes off from `axis.origin`: what lies inside it is lost.
    Bitten { axis: Line, radius_mm: f64 },
}

/// Places of `line` within `radius_mm` of `axis`: from, to. `None` where it passes by, or runs along it.
pub(super) fn within(line: &Line, axis: &Line, radius_mm: f64) -> Option<(f64, f64)> {
    if radius_mm <= 0.0 {
        return None;
    }
    let side = axis.along.cross(line.along);
    let sin = side.length();
    if sin <= 1e-9 {
        return None;
    }
    let from = line.origin - axis.origin;
    let across = line.along - axis.along * line.along.dot(axis.along);
    let middle = -from.dot(across) / (sin * sin);
    let past = from.dot(side).abs() / sin;
    let square = (radius_mm - past) * (radius_mm + past);
    let half = (square >= 0.0).then(|| square.sqrt() / sin)?;
    Some((middle - half, middle + half))
}

impl Cut {
    /// Part of a line of the arm that this cut takes: all up to a place, or the part between two.
    ///
    /// `depth_mm` is how deep in its own wall the line runs. It is cut where it is as deep in the other tube: see
    /// [`super`].
    pub(super) fn takes(&self, line: &Line, depth_mm: f64) -> Option<(f64, f64)> {
        match self {
            Self::Plane { point, normal } => {
                let lean = line.along.dot(*normal);
                Some((f64::NEG_INFINITY, (*point - line.origin).dot(*normal) / lean))
            }
            // axes meet and the other is larger, so every line comes out of it; one that only touches does so at its foot
            Self::OutOf { axis, radius_mm } => {
                let touch = || (foot(line, axis), foot(line, axis));
                Some(within(line, axis, radius_mm - depth_mm).unwrap_or_else(touch))
            }
            Self::Bitten { axis, radius_mm } => {
                let (from, to) = within(line, axis, radius_mm - depth_mm)?;
                // only where the other goes off, not where it would come through on the far side
                let middle = line.point(from.midpoint(to));
                ((middle - axis.origin).dot(axis.along) > 0.0).then_some((from, to))
            }
        }
    }

    /// Whether it takes a part of a line with something left on both sides.
    pub(super) fn bites(&self) -> bool {
        matches!(self, Self::Bitten { .. })
    }

    /// The part of `taken` that lies where the other tube is: before the planes that end it.
    pub(super) fn where_it_is(line: &Line, taken: (f64, f64), ends: &[Self]) -> Option<(f64, f64)> {
        let (mut from, mut to) = taken;
        for end in ends {
            let Self::Plane { point, normal } = end else { continue };
            let (lean, above) = (line.along.dot(*normal), (line.origin - *point).dot(*normal));
            if lean > 0.0 {
                from = from.max(-above / lean);
            } else if lean < 0.0 {
                to = to.min(-above / lean);
            } else if above < 0.0 {
                return None;
            }
        }
        (from < to).then_some((from, to))
    }

    /// Normal of the surface of this cut at a point of it.
    pub(super) fn normal(&self, at: DVec3) -> DVec3 {
        match self {
            Self::Plane { normal, .. } => *normal,
            Self::OutOf { axis, .. } | Self::Bitten { axis, .. } => {
                let from = at - axis.origin;
                from - axis.along * from.dot(axis.along)
            }
        }
    }

    /// Whether a point is cut away.
    pub(super) fn loses(&self, at: DVec3) -> bool {
        match self {
            Self::Plane { point, normal } => (at - *point).dot(*normal) < 0.0,
            Self::OutOf { axis, radius_mm } | Self::Bitten { axis, radius_mm } => {
                self.normal(at).length() < *radius_mm && (at - axis.origin).dot(axis.along) > 0.0
            }
        }
    }
}

fn foot(line: &Line, axis: &Line) -> f64 {
    let across = line.along - axis.along * line.along.dot(axis.along);
    -(line.origin - axis.origin).dot(across) / across.length_squared().max(f64::MIN_POSITIVE)
}

/// Where the axes of two arms meet, or by how much they do not.
pub(super) fn meeting(arms: &[Limb], first: usize, second: usize) -> Result<Meeting, MergeError> {
    let pair = arms.get(first).zip(arms.get(second)).filter(|_| first != second);
    let limbs = pair.ok_or(MergeError::NoSuchPair { first, second })?;
    let (a, b) = (limbs.0.axis(), limbs.1.axis());
    let angle_rad = angle_between(a.along, b.along);
    let from = b.origin - a.origin;
    let side = a.along.cross(b.along);
    let square = side.length_squared();
    let straight_on = std::f64::consts::PI - angle_rad < 1e-9;
    if square < 1e-18 && !straight_on {
        let apart_mm = a.along.cross(from).length();
        return Err(if apart_mm > MOST_APART_MM {
            MergeError::Apart { first, second, apart_mm, most_mm: MOST_APART_MM }
        } else {
            MergeError::TooNarrow { first, second, angle_rad, least_rad: LEAST_ARMS_RAD }
        });
    }
    let (p, q) = if straight_on {
        // one after the other on one line: they meet half way between the points given
        let middle = a.origin.midpoint(b.origin);
        let on = |l: &Line| l.point((middle - l.origin).dot(l.along));
        (on(&a), on(&b))
    } else {
        let along = |other: DVec3| from.cross(other).dot(side) / square;
        (a.point(along(b.along)), b.point(along(a.along)))
    };
    let apart_mm = p.distance(q);
    if apart_mm > MOST_APART_MM {
        return Err(MergeError::Apart { first, second, apart_mm, most_mm: MOST_APART_MM });
    }
    if angle_rad < LEAST_ARMS_RAD - 1e-9 {
        return Err(MergeError::TooNarrow { first, second, angle_rad, least_rad: LEAST_ARMS_RAD });
    }
    if !same_size(limbs) && std::f64::consts::PI - angle_rad < LEAST_ARMS_RAD {
        return Err(MergeError::InLine { first, second });
    }
    Ok(Meeting { arms: [first, second], point: p.midpoint(q), apart_mm, angle_rad })
}

fn same_size((a, b): (&Limb, &Limb)) -> bool {
    (a.radius_mm - b.radius_mm).abs() <= COINCIDENT_MM
}

/// What cuts the first and the second arm of a meeting.
pub(super) fn cuts(arms: &[Limb], at: &Meeting) -> Option<[Cut; 2]> {
    let [a, b] = at.arms.map(|i| arms.get(i));
    let (a, b) = (a?, b?);
    let axis = |limb: &Limb| Line { origin: at.point, along: limb.away() };
    if same_size((a, b)) {
        let normal = a.away() - b.away();
        return Some([
            Cut::Plane { point: at.point, normal },
            Cut::Plane { point: at.point, normal: -normal },
        ]);
    }
    let out_of = |limb: &Limb| Cut::OutOf { axis: axis(limb), radius_mm: limb.radius_mm };
    let bitten = |limb: &Limb| Cut::Bitten { axis: axis(limb), radius_mm: limb.radius_mm };
    Some(if a.radius_mm < b.radius_mm { [out_of(b), bitten(a)] } else { [bitten(b), out_of(a)] })
}

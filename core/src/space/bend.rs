//! A part of a torus: support points of its convex hull, and the solid's own nearest points.

use crate::geom::Elbow;
use glam::{DVec2, DVec3};

/// A bend of round tube, flat at both ends. Angles are counted about the bend centre from the start of the
/// whole bend; the halves of a bend keep that count.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bend {
    /// Bend centre.
    centre: DVec3,
    /// Unit directions: from the centre to the start, travel at the start, bend axis.
    axes: [DVec3; 3],
    /// Centreline radius, mm.
    clr_mm: f64,
    /// Outside radius of the tube, mm; zero for the bare centreline.
    radius_mm: f64,
    /// First and last angle, rad; less than π apart.
    span_rad: [f64; 2],
    /// Unit directions in the plane of the bend at the first, last and middle angle.
    spokes: [DVec2; 3],
    /// Cosine of half the span.
    half_cosine: f64,
}

impl Bend {
    fn part(whole: &Self, span_rad: [f64; 2]) -> Self {
        let [first, last] = span_rad;
        let spokes = [first, last, f64::midpoint(first, last)].map(DVec2::from_angle);
        Self { span_rad, spokes, half_cosine: ((last - first) / 2.0).cos(), ..*whole }
    }

    /// The same bend as a bare arc without thickness.
    pub(super) fn centreline(&self) -> Self {
        Self { radius_mm: 0.0, ..*self }
    }

    /// Outside radius of the tube, mm.
    pub(super) fn radius_mm(&self) -> f64 {
        self.radius_mm
    }

    /// The two halves, by angle.
    pub(super) fn halves(&self) -> [Self; 2] {
        let [first, last] = self.span_rad;
        let middle = f64::midpoint(first, last);
        [Self::part(self, [first, middle]), Self::part(self, [middle, last])]
    }

    /// The point of the centreline at the middle angle.
    pub(super) fn middle(&self) -> DVec3 {
        self.on_centreline(self.spokes[2])
    }

    /// The point of the bend furthest along `direction`.
    ///
    /// For the disc at an angle off the direction by x the height is R·a·cos x + r·√(b² + a²·cos² x), where a
    /// and b are the parts of the direction in the plane of the bend and along its axis. It rises with cos x as
    /// long as R ≥ r, so the disc nearest in angle holds the furthest point.
    pub(super) fn support(&self, direction: DVec3) -> DVec3 {
        let flat = DVec2::new(direction.dot(self.axes[0]), direction.dot(self.axes[1]));
        let a = flat.length();
        let (spoke, height) = if flat.dot(self.spokes[2]) >= self.half_cosine * a && a > 0.0 {
            (flat / a, a)
        } else {
            let (first, last) = (flat.dot(self.spokes[0]), flat.dot(self.spokes[1]));
            if first > last { (self.spokes[0], first) } else { (self.spokes[1], last) }
        };
        let rim = DVec2::new(height, direction.dot(self.axes[2])).normalize_or_zero() * self.radius_mm;
        self.on_disc(spoke, rim)
    }

    /// The point of the solid nearest to `point`; `point` itself where it is inside.
    ///
    /// A point whose angle the bend spans is nearest to the disc at that angle, any other to an end disc.
    pub(super) fn nearest_inside(&self, point: DVec3) -> DVec3 {
        let from = point - self.centre;
        let flat = DVec2::new(from.dot(self.axes[0]), from.dot(self.axes[1]));
        let height = from.dot(self.axes[2]);
        let off_mm = flat.length();
        let on_disc_at = |spoke: DVec2| {
            let rim = DVec2::new(flat.dot(spoke) - self.clr_mm, height);
            self.on_disc(spoke, rim.clamp_length_max(self.radius_mm))
        };
        if flat.dot(self.spokes[2]) >= self.half_cosine * off_mm {
            return on_disc_at(if off_mm > 0.0 { flat / off_mm } else { self.spokes[2] });
        }
        let (first, last) = (on_disc_at(self.spokes[0]), on_disc_at(self.spokes[1]));
        if first.distance_squared(point) <= last.distance_squared(point) { first } else { last }
    }

    fn on_centreline(&self, spoke: DVec2) -> DVec3 {
        self.on_disc(spoke, DVec2::ZERO)
    }

    /// The point `rim.x` outwards and `rim.y` along the bend axis from the centreline at `spoke`.
    fn on_disc(&self, spoke: DVec2, rim: DVec2) -> DVec3 {
        let out = self.axes[0] * spoke.x + self.axes[1] * spoke.y;
        self.centre + out * (self.clr_mm + rim.x) + self.axes[2] * rim.y
    }
}

impl From<&Elbow> for Bend {
    fn from(elbow: &Elbow) -> Self {
        let (out, travel) = (-elbow.toward, elbow.start.travel);
        let whole = Self {
            centre: elbow.centre(),
            axes: [out, travel, out.cross(travel)],
            clr_mm: elbow.clr_mm,
            radius_mm: elbow.radius_mm.max(0.0),
            span_rad: [0.0; 2],
            spokes: [DVec2::X; 3],
            half_cosine: 1.0,
        };
        Self::part(&whole, [0.0, elbow.angle_rad])
    }
}

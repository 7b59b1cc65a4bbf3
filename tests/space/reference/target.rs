//! What is measured to: obstacles and meshes by the distance of a point from them, in closed form.

use super::plate::Plate;
use glam::{DMat3, DVec3};

/// The turn about X, then Y, then Z, written out.
pub(crate) fn turned(turn_deg: DVec3) -> DMat3 {
    let [(sx, cx), (sy, cy), (sz, cz)] = turn_deg.to_array().map(|a| a.to_radians().sin_cos());
    let about_x = DMat3::from_cols(DVec3::X, DVec3::new(0.0, cx, sx), DVec3::new(0.0, -sx, cx));
    let about_y = DMat3::from_cols(DVec3::new(cy, 0.0, -sy), DVec3::Y, DVec3::new(sy, 0.0, cy));
    let about_z = DMat3::from_cols(DVec3::new(cz, sz, 0.0), DVec3::new(-sz, cz, 0.0), DVec3::Z);
    about_z * about_y * about_x
}

/// Where own axes lie: their turn and their origin.
#[derive(Clone, Copy)]
pub(crate) struct Place {
    pub(crate) turn: DMat3,
    pub(crate) at: DVec3,
}

impl Place {
    fn own(&self, p: DVec3) -> DVec3 {
        self.turn.transpose() * (p - self.at)
    }
}

/// A thing to measure to. All but the plate and the ring are of convex parts.
pub(crate) enum Target {
    /// Half edges.
    Box(Place, DVec3),
    /// Radius and half length along Z.
    Bar(Place, f64, f64),
    /// Ball centres and radius; the same centre twice for a ball.
    Hose([DVec3; 2], f64),
    Plate(Place, Plate),
    /// A point of the plane and the unit direction out of the material.
    HalfSpace([DVec3; 2]),
    /// A ring about Z: the radii of its middle line and of its section.
    Ring(Place, f64, f64),
    /// Triangles, each a part.
    Mesh(Vec<[DVec3; 3]>),
}

impl Target {
    /// How many parts it has.
    pub(crate) fn parts(&self) -> u32 {
        if let Self::Mesh(triangles) = self { triangles.len() as u32 } else { 1 }
    }

    /// Points of it, at least one of each part that a solid could swallow.
    pub(crate) fn points(&self) -> Vec<DVec3> {
        match self {
            Self::Box(place, _) | Self::Bar(place, ..) => vec![place.at],
            Self::Hose(ends, _) => ends.to_vec(),
            Self::Plate(place, plate) => vec![place.at + place.turn * plate.point()],
            Self::HalfSpace(_) => Vec::new(),
            Self::Ring(place, ring, _) => vec![place.at + place.turn * (DVec3::X * ring)],
            Self::Mesh(triangles) => triangles.iter().map(|t| t[0]).collect(),
        }
    }

    /// The distance of a point from a part, below zero within; in a plate zero.
    ///
    /// With it comes a floor, where there is one: a number f and a vector g, so that no point q is nearer to the part
    /// than f + g·(q − p). The distance from what is convex is a convex function, so its own slope is one; a plate has
    /// that of the plate without holes.
    pub(crate) fn distance(&self, part: u32, p: DVec3) -> (f64, Option<(f64, DVec3)>) {
        let with_slope =
            |(signed_mm, out): (f64, Option<DVec3>)| (signed_mm, out.map(|out| (signed_mm, out)));
        with_slope(match self {
            Self::Box(place, half) => {
                let (signed_mm, out) = from_box(place, *half, p);
                (signed_mm, Some(out))
            }
            Self::Bar(place, radius, half_length) => {
                let own = place.own(p);
                let flat = own.with_z(0.0);
                let (side, end) = (flat.length() - radius, own.z.abs() - half_length);
                let ways = [flat.normalize_or(DVec3::X), DVec3::Z * own.z.signum()];
                let (signed_mm, out) = match (side > 0.0, end > 0.0) {
                    (true, true) => (side.hypot(end), (ways[0] * side + ways[1] * end) / side.hypot(end)),
                    _ if side > end => (side, ways[0]),
                    _ => (end, ways[1]),
                };
                (signed_mm, Some(place.turn * out))
            }
            Self::Hose([a, b], radius) => {
                let way = p - nearest_on_line(*a, *b, p);
                (way.length() - radius, way.try_normalize())
            }
            Self::Plate(place, plate) => {
                return (plate.distance(place.own(p)), Some(from_box(place, plate.half(), p)));
            }
            Self::HalfSpace([on, out]) => ((p - *on).dot(*out), Some(*out)),
            Self::Ring(place, ring, tube) => {
                let own = place.own(p);
                ((own.truncate().length() - ring).hypot(own.z) - tube, None)
            }
            Self::Mesh(triangles) => {
                let way = p - nearest_on_triangle(&triangles[part as usize], p);
                (way.length(), way.try_normalize())
            }
        })
    }

    /// The distance of a point from the nearest part.
    pub(crate) fn distance_to_all(&self, p: DVec3) -> f64 {
        (0..self.parts()).map(|part| self.distance(part, p).0).fold(f64::INFINITY, f64::min)
    }
}

/// The signed distance of a point from a box with the given half edges, and the way in which it grows.
fn from_box(place: &Place, half: DVec3, p: DVec3) -> (f64, DVec3) {
    let own = place.own(p);
    let past = own.abs() - half;
    let beyond = past.max(DVec3::ZERO);
    let side = past.max_position();
    let (signed_mm, out) = if past[side] > 0.0 {
        (beyond.length(), beyond / beyond.length())
    } else {
        (past[side], DVec3::AXES[side])
    };
    (signed_mm, place.turn * (out * own.signum()))
}

fn nearest_on_line(a: DVec3, b: DVec3, p: DVec3) -> DVec3 {
    let along = b - a;
    let square = along.length_squared();
    if square > 0.0 { a + along * ((p - a).dot(along) / square).clamp(0.0, 1.0) } else { a }
}

/// The foot of `p` on the plane where that lies in the triangle, else the nearest point of the three edges.
fn nearest_on_triangle([a, b, c]: &[DVec3; 3], p: DVec3) -> DVec3 {
    // p − a = one·s + other·t and a part across both
    let (one, other, way) = (*b - *a, *c - *a, p - *a);
    let (aa, ab, bb) = (one.length_squared(), one.dot(other), other.length_squared());
    let (wa, wb) = (way.dot(one), way.dot(other));
    let det = aa * bb - ab * ab;
    let (s, t) = ((bb * wa - ab * wb) / det, (aa * wb - ab * wa) / det);
    if s >= 0.0 && t >= 0.0 && s + t <= 1.0 {
        return *a + one * s + other * t;
    }
    let feet = [(*a, *b), (*b, *c), (*c, *a)].map(|(from, to)| nearest_on_line(from, to, p));
    feet.into_iter().fold(feet[0], |best, q| if q.distance(p) < best.distance(p) { q } else { best })
}

//! A flat plate with round holes: where its material is, and how far from a point.

use super::cell::Cell;
use crate::geom::tolerance::COINCIDENT_MM;
use crate::geom::vector::unit;
use crate::model::obstacle::Hole;
use glam::{DVec2, DVec3};

/// A round hole in the plane of the plate.
#[derive(Debug, Clone, Copy)]
pub(super) struct Disc {
    /// Centre.
    pub(super) centre: DVec2,
    /// Radius, mm, > 0.
    pub(super) radius_mm: f64,
}

/// A pierced plate; what is left of the rectangle after all holes is its material.
#[derive(Debug, Clone)]
pub(super) struct Plate {
    /// Centre.
    pub(super) centre: DVec3,
    /// Unit directions of width, height and thickness.
    pub(super) axes: [DVec3; 3],
    /// Half width and half height, mm.
    pub(super) half_mm: DVec2,
    /// Half thickness, mm.
    pub(super) half_thickness_mm: f64,
    /// The holes that count.
    pub(super) holes: Vec<Disc>,
    /// The corners of the material: of the rectangle, and where holes cross its edges or each other.
    corners: Vec<DVec2>,
}

impl Plate {
    /// A plate. Holes without a finite place and a diameter above zero are left out. If the holes leave no
    /// material at all they are all left out: a plate that is in the way by mistake is seen, one that vanished
    /// is not.
    pub(super) fn new(centre: DVec3, axes: [DVec3; 3], size_mm: DVec3, holes: &[Hole]) -> Self {
        let half = |edge_mm: f64| edge_mm.max(0.0) / 2.0;
        let holes = holes
            .iter()
            .map(|h| Disc { centre: DVec2::new(h.x_mm, h.y_mm), radius_mm: h.diameter_mm / 2.0 })
            .filter(|d| d.centre.is_finite() && d.radius_mm > 0.0 && d.radius_mm.is_finite())
            .collect();
        let half_mm = DVec2::new(half(size_mm.x), half(size_mm.y));
        let half_thickness_mm = half(size_mm.z);
        let mut plate = Self { centre, axes, half_mm, half_thickness_mm, holes, corners: Vec::new() };
        plate.corners = plate.find_corners();
        if plate.corners.is_empty() {
            plate.holes.clear();
            plate.corners = plate.find_corners();
        }
        plate
    }

    /// The plate without its holes, as one convex piece.
    pub(super) fn whole(&self) -> Cell {
        let DVec2 { x, y } = self.half_mm;
        let outline = vec![DVec2::new(-x, -y), DVec2::new(x, -y), DVec2::new(x, y), DVec2::new(-x, y)];
        Cell::new(self, outline, DVec2::ZERO)
    }

    /// Coordinates of a point along the plate's own directions.
    pub(super) fn own(&self, point: DVec3) -> DVec3 {
        let from = point - self.centre;
        DVec3::new(from.dot(self.axes[0]), from.dot(self.axes[1]), from.dot(self.axes[2]))
    }

    /// Signed distance from `point` to the material's surface and the surface point nearest it. Exact, also
    /// where holes overlap or cross the edge.
    pub(super) fn nearest(&self, point: DVec3) -> (f64, DVec3) {
        let own = self.own(point);
        let (flat_mm, flat) = self.nearest_flat(own.truncate());
        let past_face = own.z.abs() - self.half_thickness_mm;
        let face = self.half_thickness_mm.copysign(own.z);
        let (signed_mm, on) = if flat_mm > 0.0 {
            let z = own.z.clamp(-self.half_thickness_mm, self.half_thickness_mm);
            (flat_mm.hypot(past_face.max(0.0)), flat.extend(z))
        } else if past_face > flat_mm {
            (past_face, own.truncate().extend(face))
        } else {
            (flat_mm, flat.extend(own.z))
        };
        (signed_mm, self.centre + self.axes[0] * on.x + self.axes[1] * on.y + self.axes[2] * on.z)
    }

    /// Signed distance in the plane, and the nearest point of the outline.
    fn nearest_flat(&self, point: DVec2) -> (f64, DVec2) {
        let past = point.abs() - self.half_mm;
        let hole = self.holes.iter().map(|h| (h.radius_mm - point.distance(h.centre), h));
        let deepest = hole.max_by(|a, b| a.0.total_cmp(&b.0));
        let in_hole = deepest.map_or(f64::NEG_INFINITY, |(depth_mm, _)| depth_mm);
        if past.max_element().max(in_hole) <= 0.0 {
            // in the material: the nearest edge of the rectangle or the nearest hole
            return match deepest {
                Some((depth_mm, hole)) if depth_mm > past.max_element() => (depth_mm, on_rim(hole, point)),
                _ => {
                    let mut on = point;
                    let side = past.max_position();
                    on[side] = self.half_mm[side].copysign(point[side]);
                    (past[side], on)
                }
            };
        }
        let inside = point.clamp(-self.half_mm, self.half_mm);
        let (x, y) = (self.half_mm.x, self.half_mm.y);
        let on_edges = [
            inside,
            DVec2::new(-x, inside.y),
            DVec2::new(x, inside.y),
            DVec2::new(inside.x, -y),
            DVec2::new(inside.x, y),
        ];
        let on_rims = self.holes.iter().map(|hole| on_rim(hole, point));
        let nearest = on_edges
            .into_iter()
            .chain(on_rims)
            .filter(|&p| self.has_material(p))
            .chain(self.corners.iter().copied())
            .map(|p| (p.distance(point), p))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        nearest.unwrap_or((inside.distance(point), inside))
    }

    /// Whether a point in the plane is material, edges included.
    fn has_material(&self, point: DVec2) -> bool {
        (point.abs() - self.half_mm).max_element() <= COINCIDENT_MM
            && self.holes.iter().all(|h| point.distance(h.centre) >= h.radius_mm - COINCIDENT_MM)
    }

    fn find_corners(&self) -> Vec<DVec2> {
        let DVec2 { x, y } = self.half_mm;
        let mut corners = vec![DVec2::new(-x, -y), DVec2::new(x, -y), DVec2::new(x, y), DVec2::new(-x, y)];
        for (i, hole) in self.holes.iter().enumerate() {
            for side in [-1.0, 1.0] {
                let across = half_chord(hole.radius_mm, side * x - hole.centre.x);
                corners.extend(across.into_iter().flatten().map(|c| DVec2::new(side * x, hole.centre.y + c)));
                let across = half_chord(hole.radius_mm, side * y - hole.centre.y);
                corners.extend(across.into_iter().flatten().map(|c| DVec2::new(hole.centre.x + c, side * y)));
            }
            for other in &self.holes[..i] {
                corners.extend(crossings(hole, other).into_iter().flatten());
            }
        }
        corners.retain(|&c| self.has_material(c));
        corners
    }
}

/// Half lengths, both signs, of a circle's chord at `off_mm` from its centre; `None` where it misses.
fn half_chord(radius_mm: f64, off_mm: f64) -> Option<[f64; 2]> {
    let square = radius_mm * radius_mm - off_mm * off_mm;
    (square >= 0.0).then(|| [square.sqrt(), -square.sqrt()])
}

/// Where the rims of two holes cross; `None` where they do not, or are the same circle.
fn crossings(a: &Disc, b: &Disc) -> Option<[DVec2; 2]> {
    let between = b.centre - a.centre;
    let apart = between.length();
    let along = between.try_normalize()?;
    let off_mm = (apart * apart + a.radius_mm * a.radius_mm - b.radius_mm * b.radius_mm) / (2.0 * apart);
    let foot = a.centre + along * off_mm;
    half_chord(a.radius_mm, off_mm).map(|ends| ends.map(|c| foot + along.perp() * c))
}

/// The rim point at the same angle as `point`; any one for the centre itself.
fn on_rim(hole: &Disc, point: DVec2) -> DVec2 {
    let out = unit((point - hole.centre).extend(0.0)).unwrap_or(DVec3::X);
    hole.centre + out.truncate() * hole.radius_mm
}

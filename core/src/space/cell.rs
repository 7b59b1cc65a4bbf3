//! Convex pieces of a pierced plate, cut finer round its holes as far as a search needs.

use super::plate::{Disc, Plate};
use glam::{DVec2, DVec3};
use std::f64::consts::FRAC_PI_2;

/// A convex piece of a plate: an outline in its plane, through the whole thickness. It holds all material
/// within its outline, and a sliver of each hole it borders.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    centre: DVec3,
    axes: [DVec3; 3],
    half_thickness_mm: f64,
    /// Corners in order, at least one.
    outline: Vec<DVec2>,
    /// Unit direction in the plane from the hole it borders into the material; zero where it borders none.
    away: DVec2,
}

impl Cell {
    /// A cell of `plate` with the given outline.
    pub(super) fn new(plate: &Plate, outline: Vec<DVec2>, away: DVec2) -> Self {
        let Plate { centre, axes, half_thickness_mm, .. } = *plate;
        Self { centre, axes, half_thickness_mm, outline, away }
    }

    /// The point of the cell furthest along `direction`.
    pub(super) fn support(&self, direction: DVec3) -> DVec3 {
        let flat = DVec2::new(direction.dot(self.axes[0]), direction.dot(self.axes[1]));
        let mut furthest = (f64::NEG_INFINITY, DVec2::ZERO);
        for &corner in &self.outline {
            let height = corner.dot(flat);
            if height > furthest.0 {
                furthest = (height, corner);
            }
        }
        let z = self.half_thickness_mm.copysign(direction.dot(self.axes[2]));
        self.placed(furthest.1.extend(z))
    }

    /// The middle of the cell's corners.
    pub(super) fn middle(&self) -> DVec3 {
        self.placed((self.outline.iter().sum::<DVec2>() / self.outline.len() as f64).extend(0.0))
    }

    /// Direction from the hole the cell borders into its material.
    pub(super) fn away(&self) -> Option<DVec3> {
        let away = self.axes[0] * self.away.x + self.axes[1] * self.away.y;
        (self.away != DVec2::ZERO).then_some(away)
    }

    /// Finer cells that hold all of this one's material and less of the hole that contains `point`; `None`
    /// where `point` is in no hole.
    pub(super) fn split(&self, plate: &Plate, point: DVec3) -> Option<Vec<Self>> {
        let flat = plate.own(point).truncate();
        let depth = |h: &Disc| h.radius_mm - flat.distance(h.centre);
        let hole = plate.holes.iter().max_by(|a, b| depth(a).total_cmp(&depth(b)))?;
        if depth(hole) <= 0.0 {
            return None;
        }
        let quarter = |i: u8| self.sector(plate, hole, FRAC_PI_2 * f64::from(i), FRAC_PI_2);
        let cells = match self.extent_about(hole.centre) {
            Some((first, last)) if last - first <= FRAC_PI_2 + 1e-9 => {
                let half = (last - first) / 2.0;
                [self.sector(plate, hole, first, half), self.sector(plate, hole, first + half, half)]
                    .into_iter()
                    .flatten()
                    .collect()
            }
            _ => (0..4).filter_map(quarter).collect(),
        };
        Some(cells)
    }

    /// The part of the cell between two angles about a hole's centre, less what is surely in the hole: nearer
    /// the centre than the chord. `None` where nothing is left.
    fn sector(&self, plate: &Plate, hole: &Disc, first_rad: f64, width_rad: f64) -> Option<Self> {
        let away = DVec2::from_angle(first_rad + width_rad / 2.0);
        let first = DVec2::from_angle(first_rad).perp();
        let last = -DVec2::from_angle(first_rad + width_rad).perp();
        let chord_mm = hole.radius_mm * (width_rad / 2.0).cos();
        let outline = clip(&self.outline, first, first.dot(hole.centre));
        let outline = clip(&outline, last, last.dot(hole.centre));
        let outline = clip(&outline, away, away.dot(hole.centre) + chord_mm);
        (!outline.is_empty()).then(|| Self::new(plate, outline, away))
    }

    /// First and last angle of the outline about a point; `None` where it reaches round the point.
    fn extent_about(&self, point: DVec2) -> Option<(f64, f64)> {
        let middle = self.outline.iter().sum::<DVec2>() / self.outline.len() as f64 - point;
        let (mut first, mut last) = (f64::INFINITY, f64::NEG_INFINITY);
        for &corner in &self.outline {
            let off = middle.angle_to(corner - point);
            first = first.min(off);
            last = last.max(off);
        }
        let about = middle.to_angle();
        (last - first < 2.0 * FRAC_PI_2).then_some((about + first, about + last))
    }

    fn placed(&self, own: DVec3) -> DVec3 {
        self.centre + self.axes[0] * own.x + self.axes[1] * own.y + self.axes[2] * own.z
    }
}

/// The part of a convex outline with `normal`·p ≥ `least`.
fn clip(outline: &[DVec2], normal: DVec2, least: f64) -> Vec<DVec2> {
    let mut kept = Vec::with_capacity(outline.len() + 1);
    for (i, &corner) in outline.iter().enumerate() {
        let next = outline[(i + 1) % outline.len()];
        let (here, there) = (corner.dot(normal) - least, next.dot(normal) - least);
        if here >= 0.0 {
            kept.push(corner);
        }
        if (here > 0.0 && there < 0.0) || (here < 0.0 && there > 0.0) {
            kept.push(corner + (next - corner) * (here / (here - there)));
        }
    }
    kept
}

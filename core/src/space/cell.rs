//! Convex pieces of a pierced plate, cut finer round its holes as far as a search needs.

use super::plate::{Disc, Plate};
use glam::{DVec2, DVec3};
use std::f64::consts::{FRAC_PI_2, PI};

/// A quarter turn: what a cell all round a hole is cut to first.
const QUARTER: f64 = FRAC_PI_2;

/// A cell wider than this about a hole's centre is cut to quarters, rad; a little more than one, so that a
/// quarter itself is not.
const WIDEST_RAD: f64 = 1.6;

/// The most parts a cell is cut to in one go.
const MOST_PARTS: f64 = 64.0;

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

    /// A guess of the direction into the cell for what lies in the hole it borders: away from the hole's axis,
    /// leaning as `like` does if that is not zero. `None` where the cell borders no hole.
    pub(super) fn away(&self, like: DVec3) -> Option<DVec3> {
        let up = self.axes[2] * like.dot(self.axes[2]);
        let away = self.axes[0] * self.away.x + self.axes[1] * self.away.y;
        let flat = (like - up).length();
        (self.away != DVec2::ZERO).then(|| if flat > 0.0 { away * flat + up } else { away })
    }

    /// Finer cells that hold all of this one's material and less of the hole that contains `point`; `None`
    /// where `point` is in no hole. `rise_mm` is how much further off they have to be for the search to end.
    pub(super) fn split(&self, plate: &Plate, point: DVec3, rise_mm: Option<f64>) -> Option<Vec<Self>> {
        let flat = plate.own(point).truncate();
        let depth = |h: &Disc| h.radius_mm - flat.distance(h.centre);
        let hole = plate.holes.iter().max_by(|a, b| depth(a).total_cmp(&depth(b)))?;
        if depth(hole) <= 0.0 {
            return None;
        }
        let extent = self.extent_about(hole.centre).filter(|(first, last)| last - first < WIDEST_RAD);
        let Some((first, last)) = extent else {
            return Some(
                (0..4).filter_map(|i| self.sector(plate, hole, QUARTER * f64::from(i), QUARTER)).collect(),
            );
        };
        let parts = parts_for(hole.radius_mm * (1.0 - ((last - first) / 2.0).cos()), rise_mm);
        let width = (last - first) / f64::from(parts);
        Some(
            (0..parts)
                .filter_map(|i| self.sector(plate, hole, first + width * f64::from(i), width))
                .collect(),
        )
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
        (0.0..PI).contains(&(last - first)).then_some((about + first, about + last))
    }

    fn placed(&self, own: DVec3) -> DVec3 {
        self.centre + self.axes[0] * own.x + self.axes[1] * own.y + self.axes[2] * own.z
    }
}

/// How many parts to cut an arc to whose sagitta is `sagitta_mm`, so that the chords are `rise_mm` nearer to it:
/// the sagitta of a part goes with the square of its width.
fn parts_for(sagitta_mm: f64, rise_mm: Option<f64>) -> u32 {
    let left = 1.0 - rise_mm.unwrap_or(0.0) / sagitta_mm;
    if left > 0.0 { (1.0 / left).sqrt().ceil().clamp(2.0, MOST_PARTS) as u32 } else { 2 }
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

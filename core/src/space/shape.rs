//! Obstacles placed in the vehicle, ready to be measured to.

use super::body::{Body, Form};
use super::brick::Brick;
use super::piece::Piece;
use super::plate::Plate;
use super::scan::PlacedScan;
use super::tube::Tube;
use crate::geom::vector::{any_across, unit};
use crate::model::obstacle::{Pose, Shape};
use glam::DVec3;

/// An obstacle's shape in the vehicle's axes. Make it once for each obstacle and keep it while neither its
/// shape nor its pose changes.
///
/// Sizes below zero, or none, count as zero. Distances are exact, in closed form.
#[derive(Debug, Clone)]
pub struct PlacedShape {
    pub(super) form: PlacedForm,
}

/// The kinds of placed shape.
#[derive(Debug, Clone)]
pub(super) enum PlacedForm {
    Box(Brick),
    Cylinder(Tube),
    /// Ball centres and radius in mm; the centres are the same for a ball.
    Capsule(DVec3, DVec3, f64),
    Panel(Plate),
    /// A point of the plane and the unit direction out of the material.
    HalfSpace(DVec3, DVec3),
    /// A scan that has been read.
    Scan(PlacedScan),
    /// A scan that has not been read: nothing can be measured to it.
    Unread,
}

impl PlacedShape {
    /// `shape` at `pose`.
    pub fn new(shape: &Shape, pose: &Pose) -> Self {
        let centre = pose.position_mm;
        let turned = pose.rotation();
        let axes = DVec3::AXES.map(|axis| turned * axis);
        let bar = |length_mm: f64| axes[2] * (length_mm.max(0.0) / 2.0);
        let form = match shape {
            Shape::Box { size_mm } => PlacedForm::Box(Brick::new(centre, axes, *size_mm / 2.0)),
            Shape::Cylinder { diameter_mm, length_mm } => {
                let half = bar(*length_mm);
                let tube = Tube::square(centre - half, axes[2], length_mm.max(0.0), diameter_mm / 2.0);
                PlacedForm::Cylinder(tube)
            }
            Shape::Capsule { diameter_mm, length_mm } => {
                let half = bar(*length_mm);
                PlacedForm::Capsule(centre - half, centre + half, diameter_mm.max(0.0) / 2.0)
            }
            Shape::Sphere { diameter_mm } => PlacedForm::Capsule(centre, centre, diameter_mm.max(0.0) / 2.0),
            Shape::Panel { width_mm, height_mm, thickness_mm, holes } => {
                let size_mm = DVec3::new(*width_mm, *height_mm, *thickness_mm);
                let plate = Plate::new(centre, axes, size_mm, holes);
                if plate.holes.is_empty() {
                    PlacedForm::Box(Brick::new(centre, axes, size_mm / 2.0))
                } else {
                    PlacedForm::Panel(plate)
                }
            }
            Shape::HalfSpace => PlacedForm::HalfSpace(centre, axes[2]),
            Shape::Scan(_) => PlacedForm::Unread,
        };
        Self { form }
    }

    /// A scan as an obstacle.
    pub fn scan(scan: PlacedScan) -> Self {
        Self { form: PlacedForm::Scan(scan) }
    }

    /// The scan it is, if it is one that has been read.
    pub fn as_scan(&self) -> Option<&PlacedScan> {
        match &self.form {
            PlacedForm::Scan(scan) => Some(scan),
            PlacedForm::Box(_)
            | PlacedForm::Cylinder(_)
            | PlacedForm::Capsule(..)
            | PlacedForm::Panel(_)
            | PlacedForm::HalfSpace(..)
            | PlacedForm::Unread => None,
        }
    }

    /// Distance from `point` to the surface, mm; below zero inside. A scan has no inside.
    pub fn signed_distance(&self, point: DVec3) -> f64 {
        self.nearest(point).0
    }

    /// Distance from `point` to the surface (mm, below zero inside) and the surface point nearest to it.
    ///
    /// Where several surface points are equally near, as from a ball's centre, it is any one of them.
    pub fn nearest(&self, point: DVec3) -> (f64, DVec3) {
        match &self.form {
            PlacedForm::Box(brick) => brick.nearest(point),
            PlacedForm::Cylinder(tube) => tube.nearest_square(point),
            PlacedForm::Capsule(a, b, radius_mm) => {
                let core = nearest_on_line(*a, *b, point);
                let out = unit(point - core).unwrap_or_else(|| unit(*b - *a).map_or(DVec3::Z, any_across));
                (point.distance(core) - radius_mm, core + out * *radius_mm)
            }
            PlacedForm::Panel(plate) => plate.nearest(point),
            PlacedForm::HalfSpace(on, out) => {
                let height_mm = (point - on).dot(*out);
                (height_mm, point - out * height_mm)
            }
            PlacedForm::Scan(scan) => {
                let found = scan.nearest(point, f64::INFINITY);
                found.map_or((f64::INFINITY, point), |near| (near.gap.gap_mm, near.gap.on_second))
            }
            PlacedForm::Unread => (f64::INFINITY, point),
        }
    }

    /// Lowest and highest coordinates; `None` for a half space, which has none, and for a scan that has not been
    /// read.
    pub fn bounds(&self) -> Option<(DVec3, DVec3)> {
        if let PlacedForm::Scan(scan) = &self.form {
            return Some(scan.bounds());
        }
        self.body().map(|body| body.bounds)
    }

    /// The shape as a body for the search; `None` for a half space and for a scan.
    pub(super) fn body(&self) -> Option<Body<'_>> {
        Some(match &self.form {
            PlacedForm::Box(brick) => Body::new(Piece::Brick(*brick), 0.0, Form::Hull),
            PlacedForm::Cylinder(tube) => Body::new(Piece::Tube(*tube), 0.0, Form::Hull),
            PlacedForm::Capsule(a, b, radius_mm) => {
                let core = if a == b { Piece::Point(*a) } else { Piece::Line(*a, *b) };
                Body::new(core, *radius_mm, Form::Hull)
            }
            PlacedForm::Panel(plate) => Body::new(Piece::Cell(plate.whole()), 0.0, Form::Plate(plate)),
            PlacedForm::HalfSpace(..) | PlacedForm::Scan(_) | PlacedForm::Unread => return None,
        })
    }
}

/// The point of the line from `a` to `b` nearest `point`; `a` where they are the same.
fn nearest_on_line(a: DVec3, b: DVec3, point: DVec3) -> DVec3 {
    let along = b - a;
    let square = along.length_squared();
    if square > 0.0 { a + along * ((point - a).dot(along) / square).clamp(0.0, 1.0) } else { a }
}

//! One solid against one triangle or one box of triangles.

use super::super::bend::Bend;
use super::super::body::{Body, Form};
use super::super::brick::Brick;
use super::super::gap::Gap;
use super::super::meet::{Meeting, meet};
use super::super::piece::Piece;
use super::super::search::{ClosestSearch, OnOverlap};
use crate::geom::Solid;
use glam::DVec3;

/// The middle of a solid, with how far it reaches round it.
#[derive(Debug, Clone, Copy)]
enum Core {
    /// All is within `radius_mm` of the line between two points.
    Line { ends: [DVec3; 2], radius_mm: f64 },
    /// All is within `radius_mm` of the centreline of a bend.
    Arc { line: Bend, radius_mm: f64 },
    /// A box itself.
    Brick(Brick),
}

impl Core {
    /// The point nearest to `point`.
    fn nearest(&self, point: DVec3) -> DVec3 {
        match self {
            Self::Line { ends: [a, b], .. } => {
                let along = *b - *a;
                let square = along.length_squared();
                let part = if square > 0.0 { ((point - a).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
                *a + along * part
            }
            Self::Arc { line, .. } => line.nearest_inside(point),
            Self::Brick(brick) => {
                let (signed_mm, on) = brick.nearest(point);
                if signed_mm > 0.0 { on } else { point }
            }
        }
    }

    fn radius_mm(&self) -> f64 {
        match self {
            Self::Line { radius_mm, .. } | Self::Arc { radius_mm, .. } => *radius_mm,
            Self::Brick(_) => 0.0,
        }
    }
}

/// A solid or a point on the bench, ready to be measured from.
#[derive(Debug, Clone)]
pub(super) struct Part {
    body: Body<'static>,
    core: Core,
}

impl Part {
    /// A solid; `None` where a number in it is not finite.
    pub(super) fn of_solid(solid: &Solid) -> Option<Self> {
        let body = Body::from(solid);
        let core = match body.hull {
            Piece::Tube(tube) => Core::Line { ends: tube.reaching_axis(), radius_mm: tube.radius_mm },
            Piece::Bend(bend) => Core::Arc { line: bend.centreline(), radius_mm: bend.radius_mm() },
            Piece::Brick(brick) => Core::Brick(brick),
            // nothing of it is further from its middle line than its wider end is wide
            Piece::Taper(taper) => Core::Line { ends: taper.ends, radius_mm: taper.widest_mm() },
            Piece::Point(_) | Piece::Line(..) | Piece::Cell(_) | Piece::Triangle(_) => return None,
        };
        let finite =
            body.bounds.0.is_finite() && body.bounds.1.is_finite() && core.nearest(DVec3::ZERO).is_finite();
        finite.then_some(Self { body, core })
    }

    /// A point; `None` where it is not finite.
    pub(super) fn of_point(point: DVec3) -> Option<Self> {
        let body = Body::new(Piece::Point(point), 0.0, Form::Hull);
        point.is_finite().then_some(Self { body, core: Core::Line { ends: [point; 2], radius_mm: 0.0 } })
    }

    /// A number that the gap to anything in a box, signed as [`Self::gap_to`] signs it, can not be below.
    ///
    /// Above zero it is the greatest of three: what lies between the two boxes along the axes, how far the box lies
    /// beyond a plane across the way from the core to its middle, and how far a ball round the box is from the core.
    /// What overlaps is signed by its distance to the core, so that only the last counts.
    pub(super) fn at_least_mm(&self, middle: DVec3, half: DVec3) -> f64 {
        let (low, high) = self.body.bounds;
        let boxes = (low - (middle + half)).max(middle - half - high).max(DVec3::ZERO).length();
        let radius_mm = self.core.radius_mm();
        let way = middle - self.core.nearest(middle);
        let length = way.length();
        let ball = length - radius_mm - half.length();
        let plane = if length > 0.0 {
            let out = way / length;
            (middle - self.body.hull.support(out)).dot(out) - half.dot(out.abs())
        } else {
            0.0
        };
        let apart = boxes.max(plane);
        if apart > 0.0 { apart.max(ball) } else { ball.max(-radius_mm) }
    }

    /// The gap to a triangle, if it is less than `limit_mm`.
    ///
    /// Apart it is exact. Where they overlap it is zero for a block, else it says how much nearer the triangle comes
    /// to the middle line of the solid than the radius allows: no deeper than the radius.
    pub(super) fn gap_to(&self, corners: [DVec3; 3], limit_mm: f64) -> Option<Gap> {
        let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
        let toward = middle - self.core.nearest(middle);
        if let Some(out) = toward.try_normalize() {
            let top = self.body.hull.support(out).dot(out);
            let lowest = corners.iter().map(|corner| corner.dot(out)).fold(f64::INFINITY, f64::min);
            if lowest - top >= limit_mm.max(0.0) {
                return None;
            }
        }
        let triangle = Piece::Triangle(corners);
        let gap = match self.core {
            Core::Arc { radius_mm, .. } => {
                let gap = self.bend_to(triangle, limit_mm)?;
                Gap { gap_mm: gap.gap_mm.max(-radius_mm), ..gap }
            }
            Core::Line { ends, radius_mm } => {
                match meet(&self.body.hull, &triangle, toward, limit_mm.max(0.0)) {
                    Meeting::Beyond => return None,
                    Meeting::Apart { on, .. } => apart(on),
                    Meeting::Overlap { common, .. } => line_to(ends, radius_mm, &triangle, common),
                }
            }
            Core::Brick(_) => match meet(&self.body.hull, &triangle, toward, limit_mm.max(0.0)) {
                Meeting::Beyond => return None,
                Meeting::Apart { on, .. } => apart(on),
                Meeting::Overlap { common, .. } => Gap { gap_mm: 0.0, on_first: common, on_second: common },
            },
        };
        (gap.gap_mm < limit_mm).then_some(gap)
    }

    fn bend_to(&self, triangle: Piece, limit_mm: f64) -> Option<Gap> {
        let triangle = [Body::new(triangle, 0.0, Form::Hull)];
        let bend = std::slice::from_ref(&self.body);
        let search = ClosestSearch::new(bend, &triangle, limit_mm, OnOverlap::Measure, &|_, _| false);
        search.run().map(|found| found.gap)
    }
}

fn apart(on: [DVec3; 2]) -> Gap {
    Gap { gap_mm: on[0].distance(on[1]), on_first: on[0], on_second: on[1] }
}

/// The overlap of a tube and a triangle that share the point `common`, by the distance to the tube's middle line.
fn line_to(ends: [DVec3; 2], radius_mm: f64, triangle: &Piece, common: DVec3) -> Gap {
    let line = Piece::Line(ends[0], ends[1]);
    match meet(&line, triangle, triangle.middle() - line.middle(), f64::INFINITY) {
        Meeting::Apart { on: [p, q], .. } => {
            let out = (q - p).try_normalize().unwrap_or(DVec3::ZERO);
            Gap { gap_mm: (p.distance(q) - radius_mm).min(0.0), on_first: p + out * radius_mm, on_second: q }
        }
        Meeting::Overlap { common, .. } => Gap { gap_mm: -radius_mm, on_first: common, on_second: common },
        Meeting::Beyond => Gap { gap_mm: 0.0, on_first: common, on_second: common },
    }
}

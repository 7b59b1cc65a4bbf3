//! The convex pieces that gaps are measured between.

use super::bend::Bend;
use super::brick::Brick;
use super::cell::Cell;
use super::taper::Taper;
use super::tube::Tube;
use glam::DVec3;
use parry3d_f64::shape::SupportMap;

/// A convex piece in the vehicle's axes.
#[derive(Debug, Clone)]
pub(super) enum Piece {
    /// A point: the core of a ball.
    Point(DVec3),
    /// A straight line between two points: the core of a hose.
    Line(DVec3, DVec3),
    /// A tube between two cut planes.
    Tube(Tube),
    /// The convex hull of a bend.
    Bend(Bend),
    /// A box.
    Brick(Brick),
    /// A piece of a pierced plate.
    Cell(Cell),
    /// A taper.
    Taper(Taper),
    /// A triangle of a scan.
    Triangle([DVec3; 3]),
}

impl Piece {
    /// The point of the piece furthest along `direction`, which need not be a unit vector. Any point of the
    /// face or edge that is furthest will do.
    pub(super) fn support(&self, direction: DVec3) -> DVec3 {
        match self {
            Self::Point(point) => *point,
            Self::Line(a, b) => {
                if direction.dot(*a) > direction.dot(*b) {
                    *a
                } else {
                    *b
                }
            }
            Self::Tube(tube) => tube.support(direction),
            Self::Bend(bend) => bend.support(direction),
            Self::Brick(brick) => brick.support(direction),
            Self::Cell(cell) => cell.support(direction),
            Self::Taper(taper) => taper.support(direction),
            Self::Triangle([a, b, c]) => {
                let heights = [a, b, c].map(|corner| direction.dot(*corner));
                let (corner, height) =
                    if heights[1] > heights[0] { (b, heights[1]) } else { (a, heights[0]) };
                if heights[2] > height { *c } else { *corner }
            }
        }
    }

    /// A point about its middle.
    pub(super) fn middle(&self) -> DVec3 {
        match self {
            Self::Point(point) => *point,
            Self::Line(a, b) => a.midpoint(*b),
            Self::Tube(tube) => tube.middle(),
            Self::Bend(bend) => bend.middle(),
            Self::Brick(brick) => brick.centre,
            Self::Cell(cell) => cell.middle(),
            Self::Taper(taper) => taper.middle(),
            Self::Triangle([a, b, c]) => (*a + *b + *c) / 3.0,
        }
    }

    /// Lowest and highest coordinates, exact.
    pub(super) fn bounds(&self) -> (DVec3, DVec3) {
        match self {
            Self::Tube(tube) => tube.bounds(),
            Self::Brick(brick) => brick.bounds(),
            Self::Triangle([a, b, c]) => (a.min(*b).min(*c), a.max(*b).max(*c)),
            Self::Point(_) | Self::Line(..) | Self::Bend(_) | Self::Cell(_) | Self::Taper(_) => {
                let reach = |sign: f64| {
                    let along = |i: usize| self.support(DVec3::AXES[i] * sign)[i];
                    DVec3::new(along(0), along(1), along(2))
                };
                (reach(-1.0), reach(1.0))
            }
        }
    }
}

impl SupportMap for Piece {
    fn local_support_point(&self, dir: DVec3) -> DVec3 {
        self.support(dir)
    }
}

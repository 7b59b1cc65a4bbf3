//! A solid or an obstacle made ready for a search: its hull, its rounding and its true form.

use super::bend::Bend;
use super::piece::Piece;
use super::plate::Plate;
use super::taper::Taper;
use super::tube::Tube;
use crate::geom::Solid;
use glam::DVec3;

/// What a body really is inside its hull.
#[derive(Debug, Clone, Copy)]
pub(super) enum Form<'a> {
    /// The hull itself.
    Hull,
    /// A bend, hollow on the inside of its turn.
    Bend(Bend),
    /// A plate with holes.
    Plate(&'a Plate),
}

/// A body: all points within `round_mm` of a core.
#[derive(Debug, Clone)]
pub(super) struct Body<'a> {
    /// Convex hull of the core.
    pub(super) hull: Piece,
    /// Rounding about the core, mm: the radius of a ball or a hose, zero for what has edges.
    pub(super) round_mm: f64,
    /// What the core is.
    pub(super) form: Form<'a>,
    /// Lowest and highest coordinates, rounding included.
    pub(super) bounds: (DVec3, DVec3),
}

impl<'a> Body<'a> {
    /// A body with its bounds.
    pub(super) fn new(hull: Piece, round_mm: f64, form: Form<'a>) -> Self {
        let (low, high) = hull.bounds();
        Self { hull, round_mm, form, bounds: (low - round_mm, high + round_mm) }
    }

    /// The point of the core nearest `point`; `point` itself where it is in the core, and for a convex core always.
    pub(super) fn real_point(&self, point: DVec3) -> DVec3 {
        match &self.form {
            Form::Hull => point,
            Form::Bend(bend) => bend.nearest_inside(point),
            Form::Plate(plate) => {
                let (signed_mm, on) = plate.nearest(point);
                if signed_mm > 0.0 { on } else { point }
            }
        }
    }

    /// Finer pieces that hold all of the core that `piece` holds; `None` where it is as fine as can be.
    ///
    /// `at` is a point of `piece` that the core does not have; `rise_mm` is how much further off the finer pieces
    /// have to be for the search to end, where that is known.
    pub(super) fn split(&self, piece: &Piece, at: DVec3, rise_mm: Option<f64>) -> Option<Vec<Piece>> {
        match (piece, &self.form) {
            (Piece::Bend(bend), _) => Some(bend.halves().map(Piece::Bend).to_vec()),
            (Piece::Cell(cell), Form::Plate(plate)) => {
                Some(cell.split(plate, at, rise_mm)?.into_iter().map(Piece::Cell).collect())
            }
            (
                Piece::Point(_)
                | Piece::Line(..)
                | Piece::Tube(_)
                | Piece::Brick(_)
                | Piece::Cell(_)
                | Piece::Taper(_)
                | Piece::Triangle(_),
                _,
            ) => None,
        }
    }

    /// The middle line of a round body, with its radius as rounding; any other body as it is.
    pub(super) fn middle_line(&self) -> Self {
        match &self.hull {
            Piece::Tube(tube) => {
                Self::new(Piece::Line(tube.start, tube.end), self.round_mm + tube.radius_mm, self.form)
            }
            Piece::Bend(bend) => {
                let line = bend.centreline();
                Self::new(Piece::Bend(line), self.round_mm + bend.radius_mm(), Form::Bend(line))
            }
            Piece::Point(_)
            | Piece::Line(..)
            | Piece::Brick(_)
            | Piece::Cell(_)
            | Piece::Taper(_)
            | Piece::Triangle(_) => self.clone(),
        }
    }
}

impl From<&Solid> for Body<'static> {
    fn from(solid: &Solid) -> Self {
        match solid {
            Solid::Barrel(b) => {
                let normals = [b.start_normal, b.end_normal];
                let tube = Tube::new(b.start.origin, b.start.travel, b.length_mm, b.radius_mm, normals);
                Self::new(Piece::Tube(tube), 0.0, Form::Hull)
            }
            Solid::Drum(d) => {
                let tube = Tube::square(d.start.origin, d.start.travel, d.length_mm, d.radius_mm);
                Self::new(Piece::Tube(tube), 0.0, Form::Hull)
            }
            Solid::Elbow(elbow) => {
                let bend = Bend::from(elbow);
                Self::new(Piece::Bend(bend), 0.0, Form::Bend(bend))
            }
            Solid::Block(block) => Self::new(Piece::Brick(block.into()), 0.0, Form::Hull),
            Solid::Frustum(f) => Self::new(Piece::Taper(Taper::from(f)), 0.0, Form::Hull),
        }
    }
}

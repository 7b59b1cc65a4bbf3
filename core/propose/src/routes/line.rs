//! The middle line of a pipe through given vertices: straights and arcs, and places on it.

use glam::DVec3;
use pipeloft_core::geom::vector::{angle_between, unit};

/// Bends beyond this are taken as this where lengths are worked out, rad: tangent points run away before half a turn.
const MOST_RAD: f64 = 170.0 * std::f64::consts::PI / 180.0;

/// Bends below this are no bends, rad.
pub(super) const LEAST_RAD: f64 = 1e-9;

/// A pipe's middle line. Points are mm; leg `i` goes from point `i` to point `i + 1`, bend `i` stands at point `i + 1`.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// The start, the vertices, and the end.
    pub(super) points: Vec<DVec3>,
    /// Unit directions of the legs.
    pub(super) ways: Vec<DVec3>,
    /// Lengths of the legs, mm.
    pub(super) legs: Vec<f64>,
    /// What the bends turn, rad.
    pub(super) angles: Vec<f64>,
    /// What the bends take off their legs, mm.
    pub(super) tangents: Vec<f64>,
    /// Unit vectors from where each bend begins to its centre; zero where it turns nothing.
    toward: Vec<DVec3>,
    /// Radii of the bends, mm.
    pub(super) radii_mm: Vec<f64>,
}

/// A place on a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    /// Straight `i` is piece `2·i`, bend `i` piece `2·i + 1`.
    pub(super) piece: usize,
    /// How far along that piece, from 0 to 1.
    pub(super) part: f64,
    /// How far from the start, mm.
    pub(super) along_mm: f64,
}

impl Line {
    /// The line through `points`, the first and last of which are the ends, with a radius for each of the others; `None`
    /// where two of them are one.
    pub(super) fn new(points: Vec<DVec3>, radii_mm: Vec<f64>) -> Option<Self> {
        let mut line = Self {
            ways: Vec::with_capacity(points.len()),
            legs: Vec::with_capacity(points.len()),
            angles: Vec::with_capacity(points.len()),
            tangents: Vec::with_capacity(points.len()),
            toward: Vec::with_capacity(points.len()),
            points,
            radii_mm,
        };
        for pair in line.points.windows(2) {
            let span = pair[1] - pair[0];
            line.ways.push(unit(span)?);
            line.legs.push(span.length());
        }
        for (pair, clr_mm) in line.ways.windows(2).zip(&line.radii_mm) {
            let angle = angle_between(pair[0], pair[1]);
            line.angles.push(angle);
            line.tangents.push(clr_mm * (angle.min(MOST_RAD) / 2.0).tan());
            let across = pair[1] - pair[0] * pair[1].dot(pair[0]);
            line.toward.push(if angle > LEAST_RAD { unit(across).unwrap_or_default() } else { DVec3::ZERO });
        }
        (!line.legs.is_empty()).then_some(line)
    }

    /// Number of bends.
    pub(super) fn bends(&self) -> usize {
        self.angles.len()
    }

    /// What is straight of leg `i`, mm; below zero where its bends overlap.
    pub(super) fn straight_mm(&self, i: usize) -> f64 {
        let before = i.checked_sub(1).map_or(0.0, |b| self.tangents[b]);
        let after = self.tangents.get(i).copied().unwrap_or(0.0);
        self.legs[i] - before - after
    }

    /// Length along the middle line, mm.
    pub(super) fn length_mm(&self) -> f64 {
        let straights: f64 = (0..self.legs.len()).map(|i| self.straight_mm(i)).sum();
        straights + self.angles.iter().zip(&self.radii_mm).map(|(a, r)| r * a).sum::<f64>()
    }

    /// What all bends turn together, degrees.
    pub(super) fn turned_deg(&self) -> f64 {
        self.angles.iter().sum::<f64>().to_degrees()
    }

    /// Number of pieces.
    pub(super) fn pieces(&self) -> usize {
        2 * self.legs.len() - 1
    }

    /// Length of a piece, mm.
    pub(super) fn piece_mm(&self, piece: usize) -> f64 {
        if piece.is_multiple_of(2) {
            self.straight_mm(piece / 2)
        } else {
            self.radii_mm[piece / 2] * self.angles[piece / 2]
        }
    }

    /// Where on the line a part of a piece is.
    pub(super) fn at(&self, piece: usize, part: f64) -> DVec3 {
        let i = piece / 2;
        if piece.is_multiple_of(2) {
            let before = i.checked_sub(1).map_or(0.0, |b| self.tangents[b]);
            return self.points[i] + self.ways[i] * (before + part * self.straight_mm(i));
        }
        self.on_bend(i, part * self.angles[i], self.radii_mm[i])
    }

    /// A point `turn_rad` round bend `i` from where it begins, on the circle of radius `radius_mm` about its centre.
    pub(super) fn on_bend(&self, i: usize, turn_rad: f64, radius_mm: f64) -> DVec3 {
        let begin = self.points[i + 1] - self.ways[i] * self.tangents[i];
        let centre = begin + self.toward[i] * self.radii_mm[i];
        let (sin, cos) = turn_rad.sin_cos();
        if self.toward[i] == DVec3::ZERO {
            return self.points[i + 1];
        }
        centre + self.ways[i] * (radius_mm * sin) - self.toward[i] * (radius_mm * cos)
    }

    /// Places all along it, no further apart than `step_mm`, from end to end.
    pub(super) fn places(&self, step_mm: f64) -> Vec<Place> {
        let mut out = Vec::with_capacity((self.length_mm() / step_mm).max(0.0) as usize + 3 * self.pieces());
        let mut along_mm = 0.0;
        for piece in 0..self.pieces() {
            let length_mm = self.piece_mm(piece);
            let count = (length_mm.max(0.0) / step_mm).ceil().max(1.0) as usize;
            let first = usize::from(piece > 0);
            for k in first..=count {
                let part = k as f64 / count as f64;
                out.push(Place { piece, part, along_mm: along_mm + part * length_mm });
            }
            along_mm += length_mm;
        }
        out
    }

    /// Points all along it, no further apart than `step_mm`.
    pub(super) fn points_along(&self, step_mm: f64) -> Vec<DVec3> {
        self.places(step_mm).iter().map(|p| self.at(p.piece, p.part)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_square_corner_is_two_straights_and_a_quarter_of_a_circle() {
        let points = vec![DVec3::ZERO, DVec3::new(300.0, 0.0, 0.0), DVec3::new(300.0, 200.0, 0.0)];
        let line = Line::new(points, vec![100.0]).unwrap();
        assert_relative_eq!(line.straight_mm(0), 200.0, epsilon = 1e-9);
        assert_relative_eq!(line.straight_mm(1), 100.0, epsilon = 1e-9);
        assert_relative_eq!(line.length_mm(), 300.0 + 50.0 * std::f64::consts::PI, epsilon = 1e-9);
        // the middle of the arc lies R(√2 − 1) inside the corner
        let middle = line.at(1, 0.5);
        let inside = 100.0 * (2.0_f64.sqrt() - 1.0);
        assert_relative_eq!(middle.distance(DVec3::new(300.0, 0.0, 0.0)), inside, epsilon = 1e-9);
        assert_relative_eq!(line.at(2, 1.0), DVec3::new(300.0, 200.0, 0.0), epsilon = 1e-9);
        let along = line.points_along(5.0);
        assert!(along.windows(2).all(|p| p[0].distance(p[1]) <= 5.0 + 1e-9));
    }

    #[test]
    fn two_points_in_one_place_make_no_line() {
        assert!(Line::new(vec![DVec3::ZERO, DVec3::ZERO], Vec::new()).is_none());
    }
}

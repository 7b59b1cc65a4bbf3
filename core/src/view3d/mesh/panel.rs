//! A plate with round holes, cut into level strips.
//!
//! The holes' outlines and the plate's corners give a set of levels; between two levels every outline is a
//! straight line, so what is solid there is a row of four-sided pieces. Holes may overlap and cross the edge.

use super::builder::{Builder, Corner, corners_round};
use crate::geom::tolerance::COINCIDENT_MM;
use crate::model::Hole;
use glam::DVec3;

/// One side of a solid piece: the plate's own edge or the side of a hole.
#[derive(Clone, Copy)]
enum Side<'a> {
    Edge(f64),
    /// The side of a hole: −1 is its left, 1 its right.
    Hole(&'a Hole, f64),
}

impl Side<'_> {
    /// Where it stands at a level.
    fn at(&self, y: f64) -> f64 {
        match self {
            Self::Edge(x) => *x,
            Self::Hole(hole, side) => {
                let (radius, up) = (hole.diameter_mm / 2.0, y - hole.y_mm);
                hole.x_mm + side * (radius * radius - up * up).max(0.0).sqrt()
            }
        }
    }

    /// Out of the solid at a level, in the plate's plane. `left` for the left side of a solid piece.
    fn out(&self, y: f64, left: bool) -> (f64, f64) {
        match self {
            Self::Edge(_) => (if left { -1.0 } else { 1.0 }, 0.0),
            Self::Hole(hole, _) => (hole.x_mm - self.at(y), hole.y_mm - y),
        }
    }
}

/// Plate about `centre` with half edges `half` along `axes`; holes through it along the third.
pub(super) fn panel(b: &mut Builder, centre: DVec3, axes: [DVec3; 3], half: DVec3, holes: &[Hole]) {
    let plate = Plate { centre, axes, half };
    let levels = levels(half.y, holes);
    for pair in levels.windows(2) {
        plate.strip(b, pair[0], pair[1], holes);
    }
    for (level, pair) in [(-half.y, levels.first_chunk()), (half.y, levels.last_chunk())] {
        let Some([low, high]) = pair.copied() else { continue };
        for (left, right) in solid_pieces(f64::midpoint(low, high), half.x, holes) {
            let (l, r) = (left.at(level), right.at(level));
            if r - l > COINCIDENT_MM {
                plate.end_wall(b, level, l, r);
            }
        }
    }
}

/// The levels between which every outline is drawn straight, upward.
fn levels(half_y: f64, holes: &[Hole]) -> Vec<f64> {
    let mut all = vec![-half_y, half_y];
    for hole in holes.iter().filter(|h| h.diameter_mm > 0.0) {
        let n = corners_round(hole.diameter_mm / 2.0);
        // corners at every clock step of the circle: half of them, for they come in pairs
        all.extend((0..=n / 2).map(|i| {
            let turn = std::f64::consts::PI * f64::from(i) / f64::from(n / 2);
            hole.y_mm - turn.cos() * hole.diameter_mm / 2.0
        }));
    }
    all.retain(|y| y.abs() <= half_y);
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| *a - *b < COINCIDENT_MM);
    all
}

/// What is solid at a level, from left to right.
fn solid_pieces(y: f64, half_x: f64, holes: &[Hole]) -> Vec<(Side<'_>, Side<'_>)> {
    let mut gaps: Vec<&Hole> = holes.iter().filter(|h| (y - h.y_mm).abs() < h.diameter_mm / 2.0).collect();
    gaps.sort_by(|a, b| Side::Hole(a, -1.0).at(y).total_cmp(&Side::Hole(b, -1.0).at(y)));
    let mut pieces = Vec::new();
    let mut left = Side::Edge(-half_x);
    for hole in gaps {
        let (start, end) = (Side::Hole(hole, -1.0), Side::Hole(hole, 1.0));
        if start.at(y) >= half_x {
            break;
        }
        if start.at(y) > left.at(y) {
            pieces.push((left, start));
        }
        if end.at(y) > left.at(y) {
            left = end;
        }
    }
    if left.at(y) < half_x {
        pieces.push((left, Side::Edge(half_x)));
    }
    pieces
}

struct Plate {
    centre: DVec3,
    axes: [DVec3; 3],
    half: DVec3,
}

impl Plate {
    /// A point of the plate: in its plane, and on the upper (1) or lower (−1) face.
    fn point(&self, x: f64, y: f64, face: f64) -> DVec3 {
        let [u, v, w] = self.axes;
        self.centre + u * x + v * y + w * (face * self.half.z)
    }

    fn strip(&self, b: &mut Builder, low: f64, high: f64, holes: &[Hole]) {
        let half_x = self.half.x;
        let inside = |x: f64| x.clamp(-half_x, half_x);
        for (left, right) in solid_pieces(f64::midpoint(low, high), half_x, holes) {
            let [ll, lh] = [low, high].map(|y| inside(left.at(y)));
            // where two holes cross within the strip the sides may cross too
            let [rl, rh] = [(low, ll), (high, lh)].map(|(y, l)| inside(right.at(y)).max(l));
            for face in [1.0, -1.0] {
                let mut at =
                    [(ll, low), (rl, low), (rh, high), (lh, high)].map(|(x, y)| self.point(x, y, face));
                if face < 0.0 {
                    at.reverse();
                }
                b.quad(at, self.axes[2] * face);
            }
            self.side_wall(b, &left, [(lh, high), (ll, low)], true);
            self.side_wall(b, &right, [(rl, low), (rh, high)], false);
        }
    }

    /// The wall beside a solid piece, round a hole or along the edge.
    fn side_wall(&self, b: &mut Builder, side: &Side<'_>, from_to: [(f64, f64); 2], left: bool) {
        let first = b.mesh.positions.len() as u32;
        for (x, y) in from_to {
            let (u, v) = side.out(y, left);
            let normal = self.axes[0] * u + self.axes[1] * v;
            for face in [-1.0, 1.0] {
                b.corner(Corner::new(self.point(x, y, face), normal));
            }
        }
        b.triangle(first, first + 2, first + 3);
        b.triangle(first, first + 3, first + 1);
    }

    /// The wall along the lower or upper edge.
    fn end_wall(&self, b: &mut Builder, level: f64, left: f64, right: f64) {
        let out = self.axes[1] * level.signum();
        let (from, to) = if level < 0.0 { (left, right) } else { (right, left) };
        let at = [(from, -1.0), (to, -1.0), (to, 1.0), (from, 1.0)];
        b.quad(at.map(|(x, face)| self.point(x, level, face)), out);
    }
}

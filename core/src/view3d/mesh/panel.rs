//! A plate with round holes, cut into level strips.
//!
//! The holes' outlines and the plate's corners give a set of levels; between two levels every outline is a
//! straight line, so what is solid there is a row of four-sided pieces. Holes may overlap and cross the edge.
//! Neighbouring strips share all their corners, so no light shines through between them.

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

/// A solid piece between its left and right sides.
type Piece<'a> = (Side<'a>, Side<'a>);

impl Side<'_> {
    /// Where it stands at a level.
    fn at(&self, y: f64) -> f64 {
        match self {
            Self::Edge(x) => *x,
            Self::Hole(hole, side) => hole.x_mm + side * half_chord(hole, y - hole.y_mm),
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

/// Half the chord of a hole at a distance from its centre; none beyond its edge.
fn half_chord(hole: &Hole, off: f64) -> f64 {
    let radius = hole.diameter_mm / 2.0;
    (radius * radius - off * off).max(0.0).sqrt()
}

/// Plate about `centre` with half edges `half` along `axes`; holes through it along the third.
pub(super) fn panel(b: &mut Builder, centre: DVec3, axes: [DVec3; 3], half: DVec3, holes: &[Hole]) {
    let plate = Plate { centre, axes, half };
    let levels = levels(half, holes);
    let strips: Vec<Vec<Piece<'_>>> =
        levels.windows(2).map(|pair| solid_pieces(f64::midpoint(pair[0], pair[1]), half.x, holes)).collect();
    let corners: Vec<Vec<f64>> = levels
        .iter()
        .enumerate()
        .map(|(i, y)| plate.corners_at(*y, &strips[i.saturating_sub(1)..(i + 1).min(strips.len())]))
        .collect();
    for (i, pieces) in strips.iter().enumerate() {
        let [low, high] = [i, i + 1].map(|n| Level { y: levels[n], corners: &corners[n] });
        for piece in pieces {
            plate.piece(b, &low, &high, piece);
        }
    }
    let ends = [(levels.first(), strips.first()), (levels.last(), strips.last())];
    for (level, pieces) in ends {
        let (Some(level), Some(pieces)) = (level, pieces) else { continue };
        for (left, right) in pieces {
            let (l, r) = (plate.inside(left.at(*level)), plate.inside(right.at(*level)));
            if r - l > COINCIDENT_MM {
                plate.end_wall(b, *level, l, r);
            }
        }
    }
}

/// The levels between which every outline is drawn straight, upward.
fn levels(half: DVec3, holes: &[Hole]) -> Vec<f64> {
    let mut all = vec![-half.y, half.y];
    for (i, hole) in holes.iter().enumerate().filter(|(_, h)| h.diameter_mm > 0.0) {
        let n = corners_round(hole.diameter_mm / 2.0) / 2;
        // every corner of the circle; they come in pairs
        all.extend((0..=n).map(|i| {
            let turn = std::f64::consts::PI * f64::from(i) / f64::from(n);
            hole.y_mm - turn.cos() * hole.diameter_mm / 2.0
        }));
        // where it crosses the plate's sides and the other holes
        for side in [-half.x, half.x] {
            let up = half_chord(hole, side - hole.x_mm);
            all.extend([hole.y_mm - up, hole.y_mm + up]);
        }
        for other in &holes[i + 1..] {
            all.extend(crossings(hole, other));
        }
    }
    all.retain(|y| y.abs() <= half.y);
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| *a - *b < COINCIDENT_MM);
    all
}

/// Levels at which the outlines of two holes cross.
fn crossings(a: &Hole, b: &Hole) -> [f64; 2] {
    let (across, up) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    let apart = across.hypot(up);
    let (ra, rb) = (a.diameter_mm / 2.0, b.diameter_mm / 2.0);
    // distance from the centre of `a` to the common chord
    let along = (ra * ra - rb * rb + apart * apart) / (2.0 * apart);
    let half = (ra * ra - along * along).sqrt();
    // not a number where they do not cross, and then no level
    [-half, half].map(|h| a.y_mm + (along * up + h * across) / apart)
}

/// What is solid at a level, from left to right.
fn solid_pieces(y: f64, half_x: f64, holes: &[Hole]) -> Vec<Piece<'_>> {
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

/// A level and all corners on it.
struct Level<'a> {
    y: f64,
    corners: &'a [f64],
}

impl Level<'_> {
    /// The corners of an edge from `left` to `right`, those of the neighbours among them.
    fn chain(&self, left: f64, right: f64) -> Vec<f64> {
        let between = self.corners.iter().copied().filter(|x| left < *x && *x < right);
        let mut chain: Vec<f64> = std::iter::once(left).chain(between).collect();
        chain.push(right);
        chain
    }
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

    fn inside(&self, x: f64) -> f64 {
        x.max(-self.half.x).min(self.half.x)
    }

    /// All corners at a level, of the strips on both sides of it.
    fn corners_at(&self, y: f64, strips: &[Vec<Piece<'_>>]) -> Vec<f64> {
        let sides = strips.iter().flatten().flat_map(|(left, right)| [left, right]);
        let mut all: Vec<f64> = sides.map(|s| self.inside(s.at(y))).collect();
        all.sort_by(f64::total_cmp);
        all.dedup();
        all
    }

    fn piece(&self, b: &mut Builder, low: &Level<'_>, high: &Level<'_>, (left, right): &Piece<'_>) {
        let [ll, lh] = [low, high].map(|l| self.inside(left.at(l.y)));
        // rounding must not turn a piece inside out where its sides meet
        let [rl, rh] = [(low, ll), (high, lh)].map(|(l, x)| self.inside(right.at(l.y)).max(x));
        let (below, above) = (low.chain(ll, rl), high.chain(lh, rh));
        for face in [1.0, -1.0] {
            let normal = self.axes[2] * face;
            let mut row = |chain: &[f64], y: f64| -> Vec<u32> {
                chain.iter().map(|x| b.corner(Corner::new(self.point(*x, y, face), normal))).collect()
            };
            let (below_row, above_row) = (row(&below, low.y), row(&above, high.y));
            zip(b, &below_row, &above_row, face < 0.0);
        }
        self.side_wall(b, left, [(lh, high.y), (ll, low.y)], true);
        self.side_wall(b, right, [(rl, low.y), (rh, high.y)], false);
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

/// Triangles between two rows of corners that run the same way; every corner is used.
fn zip(b: &mut Builder, below: &[u32], above: &[u32], turned: bool) {
    let (mut i, mut j) = (0, 0);
    while i + 1 < below.len() || j + 1 < above.len() {
        // the row that has more of its way to go moves on
        let lower = j + 1 >= above.len() || (i + 1 < below.len() && i * above.len() <= j * below.len());
        let (p, q, r) = if lower {
            i += 1;
            (below[i - 1], below[i], above[j])
        } else {
            j += 1;
            (below[i], above[j], above[j - 1])
        };
        if turned { b.triangle(p, r, q) } else { b.triangle(p, q, r) }
    }
}

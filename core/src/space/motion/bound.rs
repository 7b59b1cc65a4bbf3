//! A number that the gap of two convex pieces can not fall below while both roll through a range.
//!
//! Let the pieces P and Q be as they are in the middle of the range, c and d points of the lines they roll about, S the
//! box of shifts, and h(X, v) = max v·x over the points x of X. Rolled on by α and β they lie to each other as
//! P' = d + B⁻¹(A(P − c) + c + S − d) lies to Q, A and B being the turns. For any unit vector n the gap is at least
//!
//!   −h(Q, −n) − h(P', n) = −h(Q − d, −n) − [m·(c − d) + h(S, m) + h(P − c, A⁻¹m)], with m = B·n.
//!
//! As β goes through its range, m goes along an arc about the axis of B. The bracket is convex in m, so that over the
//! arc it is not greater than at the corners of any triangle that holds it: the ends of the arc and where its tangents
//! there meet. For each of them A⁻¹m goes along an arc about the axis of A, and the same holds. So the bracket is
//! looked at for nine vectors at most. A range of rolls without width leaves one, and the bound is what n tells of
//! the pieces at rest; a range of the width w costs the bound what the pieces themselves can come nearer along n,
//! and terms of the order w². By turns n can be held to Q or, with the two exchanged, to P.

use crate::geom::vector::turn;
use glam::DVec3;

/// How a piece rolls through a range, from its middle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Swing {
    /// Unit axis.
    pub(super) axis: DVec3,
    /// Half the width of the range, rad, less than π/2.
    pub(super) half_rad: f64,
}

/// The corners of a triangle that holds all that `v` goes through in a swing, with the turn each stands for; the
/// middle for the corner that is off the arc. Only the first where nothing turns.
fn corners(v: DVec3, swing: Swing, sense: f64) -> ([(DVec3, f64); 3], usize) {
    let Swing { axis, half_rad } = swing;
    let along = axis * axis.dot(v);
    if half_rad == 0.0 {
        return ([(v, 0.0); 3], 1);
    }
    let end = |rad: f64| (turn(v, axis, sense * rad), rad);
    ([end(half_rad), end(-half_rad), (along + (v - along) / half_rad.cos(), 0.0)], 3)
}

/// The least gap that the unit vector `n`, held to the second piece and pointing from the first to it, proves for
/// all rolls, and the rolls (first, second) where it is least.
///
/// `second_mm` is h(Q − d, −n), `first` is h(P − c, ·), `offset` is c − d, `shift_mm` the half edges of the box.
pub(super) fn least_apart(
    n: DVec3,
    second_mm: f64,
    first: &dyn Fn(DVec3) -> f64,
    (offset, shift_mm): (DVec3, DVec3),
    swings: [Swing; 2],
) -> (f64, [f64; 2]) {
    let mut most = (f64::NEG_INFINITY, [0.0; 2]);
    let (held, count) = corners(n, swings[1], 1.0);
    for &(m, second_rad) in &held[..count] {
        let (rolled, count) = corners(m, swings[0], -1.0);
        for &(v, first_rad) in &rolled[..count] {
            let height_mm = m.dot(offset) + m.abs().dot(shift_mm) + first(v);
            if height_mm > most.0 {
                most = (height_mm, [first_rad, second_rad]);
            }
        }
    }
    (-second_mm - most.0, most.1)
}

//! Distance between two convex pieces.

use super::piece::Piece;
use crate::geom::tolerance::{CONVEX_GAP_MM, TOUCH_MM};
use glam::{DMat3, DVec3};
use parry3d_f64::query::gjk::{CsoPoint, VoronoiSimplex};

/// Rounds after which the bracket reached so far is taken: smooth pieces need about ten.
const MAX_ROUNDS: usize = 64;

/// How two convex pieces lie to each other.
#[derive(Debug)]
pub(super) enum Meeting {
    /// At least as far apart as was asked, or not to be told from bad numbers.
    Beyond,
    /// Apart.
    Apart {
        /// No two points of the pieces are nearer than this, mm; ≥ 0.
        at_least_mm: f64,
        /// Unit direction from the first to the second across the plane that says so.
        across: DVec3,
        /// Points of the pieces nearest each other.
        on: [DVec3; 2],
    },
    /// The pieces share a point.
    Overlap {
        /// A point of both.
        common: DVec3,
        /// Points of the difference of the pieces round the origin, for a depth to start from.
        simplex: Box<VoronoiSimplex>,
    },
}

/// Whether `a` and `b` are less than `beyond_mm` apart, and where.
///
/// The iteration of E. G. Gilbert, D. W. Johnson and S. S. Keerthi, *A fast procedure for computing the distance
/// between complex objects in three-dimensional space*, IEEE Journal of Robotics and Automation 4 (1988) 193–203.
/// Each round gives a plane between the pieces (no two points are nearer than it says) and a pair of points (no
/// further apart than they are); it stops when these are within [`CONVEX_GAP_MM`], or when the plane alone says
/// `beyond_mm`. `toward` is a guess of the direction from `a` to `b`; a good one saves rounds.
pub(super) fn meet(a: &Piece, b: &Piece, toward: DVec3, beyond_mm: f64) -> Meeting {
    meet_shifted(a, DVec3::ZERO, b, toward, beyond_mm)
}

/// The same with `a` moved on by `shift`; all points told are those of `a` as moved.
pub(super) fn meet_shifted(a: &Piece, shift: DVec3, b: &Piece, toward: DVec3, beyond_mm: f64) -> Meeting {
    meet_by(|direction| CsoPoint::new(a.support(direction) + shift, b.support(-direction)), toward, beyond_mm)
}

/// The same for any two convex things of which `furthest` tells the point of their difference, first less second,
/// furthest along a direction. It may name other points than the two that the difference is of, such as the same
/// before they were moved: the points told are made of those in the same shares.
pub(super) fn meet_by(furthest: impl Fn(DVec3) -> CsoPoint, toward: DVec3, beyond_mm: f64) -> Meeting {
    let direction = toward.try_normalize().unwrap_or(DVec3::X);
    let first = furthest(direction);
    let (mut at_least_mm, mut across) = (-direction.dot(first.point), direction);
    if at_least_mm >= beyond_mm || !first.point.is_finite() {
        return Meeting::Beyond;
    }
    let mut simplex = VoronoiSimplex::new();
    simplex.reset(first);
    let mut distance_mm = f64::INFINITY;
    let mut on = [first.orig1, first.orig2];
    for _ in 0..MAX_ROUNDS {
        let nearest = simplex.project_origin_and_reduce();
        if simplex.dimension() == 3 {
            if at_least_mm > 0.0 {
                break; // a plane parts them: the solid angle round the origin is rounding noise
            }
            return Meeting::Overlap { common: common_points(&simplex, on)[0], simplex: Box::new(simplex) };
        }
        let length = nearest.length();
        if length >= distance_mm || !length.is_finite() {
            break; // rounding noise: no progress possible
        }
        distance_mm = length;
        on = witnesses(&simplex);
        if distance_mm <= TOUCH_MM {
            return Meeting::Overlap { common: on[0], simplex: Box::new(simplex) };
        }
        let direction = -nearest / distance_mm;
        let next = furthest(direction);
        let parted_mm = -direction.dot(next.point);
        if parted_mm > at_least_mm {
            (at_least_mm, across) = (parted_mm, direction);
        }
        if at_least_mm >= beyond_mm {
            return Meeting::Beyond;
        }
        if distance_mm - at_least_mm <= CONVEX_GAP_MM || !simplex.add_point(next) {
            break;
        }
    }
    Meeting::Apart { at_least_mm: at_least_mm.max(0.0), across, on }
}

/// The points of the pieces that the point of the simplex nearest the origin stands for.
fn witnesses(simplex: &VoronoiSimplex) -> [DVec3; 2] {
    let mut on = [DVec3::ZERO; 2];
    for i in 0..=simplex.dimension() {
        let (share, point) = (simplex.proj_coord(i), simplex.point(i));
        on[0] += point.orig1 * share;
        on[1] += point.orig2 * share;
    }
    on
}

/// What the two things that overlap have in common, as the points that were named for either of them: the same
/// point twice, unless other points were named.
pub(super) fn shared_points(simplex: &VoronoiSimplex) -> [DVec3; 2] {
    if simplex.dimension() < 3 {
        return witnesses(simplex);
    }
    let corner = simplex.point(0);
    common_points(simplex, [corner.orig1, corner.orig2])
}

/// The points that a tetrahedron round the origin stands for; `otherwise` where it is flat.
fn common_points(simplex: &VoronoiSimplex, otherwise: [DVec3; 2]) -> [DVec3; 2] {
    let [a, b, c, d] = [0, 1, 2, 3].map(|i| simplex.point(i));
    let edges = DMat3::from_cols(b.point - a.point, c.point - a.point, d.point - a.point);
    let Some(inverse) = edges.try_inverse() else { return otherwise };
    let share = inverse * -a.point;
    let mix = |a: DVec3, b: DVec3, c: DVec3, d: DVec3| {
        a + (b - a) * share.x + (c - a) * share.y + (d - a) * share.z
    };
    let common = [mix(a.orig1, b.orig1, c.orig1, d.orig1), mix(a.orig2, b.orig2, c.orig2, d.orig2)];
    if common[0].is_finite() && common[1].is_finite() { common } else { otherwise }
}

//! XYZ to LRA and back: the trade's two ways to write down a bent tube.
//!
//! L is the straight between tangent points, R the roll before the bend (right-handed about the feed, 0 for the
//! first), A the bend angle. Setback is `CLR·tan(A/2)`.

use crate::geom::vector::{angle_between, any_across, turn, unit};
use glam::DVec3;

/// One row of LRA data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LraRow {
    /// Straight fed before the bend, mm.
    pub feed_mm: f64,
    /// Roll before the bend, rad.
    pub roll_rad: f64,
    /// Bend angle, rad.
    pub angle_rad: f64,
    /// Centreline radius, mm.
    pub clr_mm: f64,
}

/// A bent tube as rows and the straight after the last bend.
#[derive(Debug, Clone, PartialEq)]
pub struct Lra {
    /// One row a bend.
    pub rows: Vec<LraRow>,
    /// Straight after the last bend, mm.
    pub last_mm: f64,
}

/// Signed roll from bend plane `before` to `after` (normals, any length) about the unit `travel`, rad in (−π, π].
pub fn roll_between(before: DVec3, after: DVec3, travel: DVec3) -> f64 {
    let roll = before.cross(after).dot(travel).atan2(before.dot(after));
    if roll <= -std::f64::consts::PI { std::f64::consts::PI } else { roll }
}

/// LRA rows of a polyline; `clr_mm` has one radius for each interior vertex.
///
/// `None` where there are fewer than two points, a radius is missing, a leg has no length, or three points
/// stand in a line (no bend plane).
pub fn lra_from_xyz(points: &[DVec3], clr_mm: &[f64]) -> Option<Lra> {
    if points.len() < 2 || clr_mm.len() + 2 != points.len() {
        return None;
    }
    let legs: Vec<DVec3> = points.windows(2).map(|p| p[1] - p[0]).collect();
    let ways: Vec<DVec3> = legs.iter().map(|l| unit(*l)).collect::<Option<_>>()?;
    let angles: Vec<f64> = ways.windows(2).map(|u| angle_between(u[0], u[1])).collect();
    let normals: Vec<DVec3> = ways.windows(2).map(|u| unit(u[0].cross(u[1]))).collect::<Option<_>>()?;
    let setback = |i: usize| clr_mm[i] * (angles[i] / 2.0).tan();
    let rows = (0..angles.len())
        .map(|i| LraRow {
            feed_mm: legs[i].length() - setback(i) - if i > 0 { setback(i - 1) } else { 0.0 },
            roll_rad: if i > 0 { roll_between(normals[i - 1], normals[i], ways[i]) } else { 0.0 },
            angle_rad: angles[i],
            clr_mm: clr_mm[i],
        })
        .collect();
    let tail = angles.len().checked_sub(1).map_or(0.0, setback);
    Some(Lra { rows, last_mm: legs.last()?.length() - tail })
}

/// The polyline of LRA rows from `start` along the unit `travel`, the first bend turning about `normal`.
///
/// A `normal` that is not across the travel is made so (or chosen freely where it runs along it).
pub fn xyz_from_lra(lra: &Lra, start: DVec3, travel: DVec3, normal: DVec3) -> Vec<DVec3> {
    let mut way = travel;
    let mut axis = crate::geom::vector::across(normal, travel).unwrap_or_else(|| any_across(travel));
    let mut here = start;
    let mut points = vec![start];
    let mut setback = 0.0;
    for row in &lra.rows {
        axis = turn(axis, way, row.roll_rad);
        let next = row.clr_mm * (row.angle_rad / 2.0).tan();
        here += way * (setback + row.feed_mm + next);
        points.push(here);
        way = turn(way, axis, row.angle_rad);
        setback = next;
    }
    points.push(here + way * (setback + lra.last_mm));
    points
}

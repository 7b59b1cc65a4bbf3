//! Tests of gaps to scans: against dense sampling, against every triangle, and against vectors worked out before.

mod gaps;
mod questions;
mod vectors;

use super::super::tests::Dice;
use super::*;
use crate::geom::Solid;
use crate::model::obstacle::Pose;
use std::sync::Arc;

/// Points and triangles.
pub(super) type Plain = (Vec<DVec3>, Vec<[u32; 3]>);

/// A sheet of `cells` × `cells` squares, each of two triangles, over [−reach, reach]² at the height `z` says.
pub(super) fn sheet(cells: u32, reach: f64, z: impl Fn(f64, f64) -> f64) -> Plain {
    let along = |i: u32| reach * (2.0 * f64::from(i) / f64::from(cells) - 1.0);
    let points = (0..=cells).flat_map(|j| (0..=cells).map(move |i| (along(i), along(j))));
    let points = points.map(|(x, y)| DVec3::new(x, y, z(x, y))).collect();
    let at = |i: u32, j: u32| j * (cells + 1) + i;
    let squares = (0..cells).flat_map(|j| (0..cells).map(move |i| (i, j)));
    let triangles = squares.flat_map(|(i, j)| {
        [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]]
    });
    (points, triangles.collect())
}

/// A ball about the origin, corners on it.
pub(super) fn ball(rings: u32, radius: f64) -> Plain {
    let sectors = 2 * rings;
    let turn = |i: u32, of: u32| std::f64::consts::PI * f64::from(i) / f64::from(of);
    let mut points = vec![DVec3::Z * radius, DVec3::NEG_Z * radius];
    for ring in 1..rings {
        let (flat, up) = turn(ring, rings).sin_cos();
        for sector in 0..sectors {
            let (y, x) = turn(2 * sector, sectors).sin_cos();
            points.push(DVec3::new(x * flat, y * flat, up) * radius);
        }
    }
    let at = |ring: u32, sector: u32| match ring {
        0 => 0,
        ring if ring == rings => 1,
        ring => 2 + (ring - 1) * sectors + sector % sectors,
    };
    let mut triangles = Vec::new();
    for ring in 0..rings {
        for sector in 0..sectors {
            let [a, b, c, d] =
                [at(ring, sector), at(ring, sector + 1), at(ring + 1, sector), at(ring + 1, sector + 1)];
            if ring > 0 {
                triangles.push([a, c, b]);
            }
            if ring + 1 < rings {
                triangles.push([b, c, d]);
            }
        }
    }
    (points, triangles)
}

/// `count` triangles of any form within a cube.
pub(super) fn shards(dice: &mut Dice, count: u32, reach: f64, size: f64) -> Plain {
    let mut points = Vec::new();
    for _ in 0..count {
        let middle = dice.point(reach);
        points.extend([0; 3].map(|_| middle + dice.point(size)));
    }
    (points, (0..count).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect())
}

pub(super) fn placed_at((points, triangles): &Plain, pose: &Pose, mm_per_unit: f64) -> PlacedScan {
    let scan = Scan::from_triangles(points, triangles, ScanUnit::Millimetre).unwrap();
    PlacedScan::new(Arc::new(ScanTree::new(scan, &Unwatched).unwrap()), pose, mm_per_unit).unwrap()
}

pub(super) fn placed(plain: &Plain) -> PlacedScan {
    placed_at(plain, &Pose::at(DVec3::ZERO), 1.0)
}

/// The triangles of a placed scan, in the vehicle.
pub(super) fn all_corners(scan: &PlacedScan) -> Vec<[DVec3; 3]> {
    (0..scan.tree().scan().len()).map(|i| scan.corners(i as u32).unwrap()).collect()
}

/// The point of a triangle nearest to `p`: over the plane if it falls within, else on the nearest edge.
pub(super) fn nearest_on_triangle([a, b, c]: [DVec3; 3], p: DVec3) -> DVec3 {
    let normal = (b - a).cross(c - a);
    let foot = p - normal * ((p - a).dot(normal) / normal.length_squared());
    let inside = |from: DVec3, to: DVec3| (to - from).cross(foot - from).dot(normal) >= 0.0;
    if inside(a, b) && inside(b, c) && inside(c, a) {
        return foot;
    }
    let on_edge = |from: DVec3, to: DVec3| {
        let edge = to - from;
        from + edge * ((p - from).dot(edge) / edge.length_squared()).clamp(0.0, 1.0)
    };
    [on_edge(a, b), on_edge(b, c), on_edge(c, a)]
        .into_iter()
        .min_by(|x, y| x.distance(p).total_cmp(&y.distance(p)))
        .unwrap()
}

/// Distance from a point to the nearest of all triangles, one after the other.
pub(super) fn to_nearest(corners: &[[DVec3; 3]], p: DVec3) -> f64 {
    corners.iter().map(|&t| nearest_on_triangle(t, p).distance(p)).fold(f64::INFINITY, f64::min)
}

pub(super) fn one(solid: impl Into<Solid>) -> [Solid; 1] {
    [solid.into()]
}

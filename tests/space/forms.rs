//! Meshes of forms whose distances are known.

use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Points, and triangles of places in the list of points.
#[derive(Debug, Clone)]
pub(crate) struct Form {
    pub(crate) points: Vec<DVec3>,
    pub(crate) triangles: Vec<[u32; 3]>,
}

impl Form {
    pub(crate) fn moved(mut self, to: impl Fn(DVec3) -> DVec3) -> Self {
        self.points.iter_mut().for_each(|p| *p = to(*p));
        self
    }

    pub(crate) fn corners(&self) -> Vec<[DVec3; 3]> {
        self.triangles.iter().map(|t| t.map(|corner| self.points[corner as usize])).collect()
    }
}

/// A grid of `rows` × `columns` squares that closes on itself along the columns, and along the rows if `ring`.
fn grid(rows: u32, columns: u32, ring: bool, at: impl Fn(f64, f64) -> DVec3) -> Form {
    let lines = if ring { rows } else { rows + 1 };
    let mut points = Vec::new();
    for row in 0..lines {
        for column in 0..columns {
            points.push(at(f64::from(row) / f64::from(rows), f64::from(column) / f64::from(columns)));
        }
    }
    let place = |row: u32, column: u32| (row % lines) * columns + column % columns;
    let mut triangles = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let [a, b] = [place(row, column), place(row, column + 1)];
            let [c, d] = [place(row + 1, column), place(row + 1, column + 1)];
            triangles.extend([[a, b, d], [a, d, c]]);
        }
    }
    Form { points, triangles }
}

/// A ring about Z: its middle line has radius `ring`, its section radius `tube`; corners are on it.
pub(crate) fn torus(around: u32, across: u32, ring: f64, tube: f64) -> Form {
    grid(around, across, true, |u, v| {
        let ((sin, cos), (up, out)) = ((TAU * u).sin_cos(), (TAU * v).sin_cos());
        let off = ring + tube * out;
        DVec3::new(off * cos, off * sin, tube * up)
    })
}

/// The side of a round bar along Z, half above and half below the origin; corners are on it.
pub(crate) fn pipe(along: u32, around: u32, radius: f64, length: f64) -> Form {
    grid(along, around, false, |u, v| {
        let (sin, cos) = (TAU * v).sin_cos();
        DVec3::new(radius * cos, radius * sin, length * (u - 0.5))
    })
}

/// A ball about the origin; corners are on it. At the poles lie triangles without area.
pub(crate) fn ball(rings: u32, around: u32, radius: f64) -> Form {
    grid(rings, around, false, |u, v| {
        let ((sin, cos), (flat, up)) = ((TAU * v).sin_cos(), (PI * u).sin_cos());
        // at the poles the sine is not quite zero
        let flat = if u == 0.0 || u >= 1.0 { 0.0 } else { flat };
        DVec3::new(radius * flat * cos, radius * flat * sin, radius * up)
    })
}

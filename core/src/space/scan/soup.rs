//! Points and triangles as they come out of a file, before they are looked at.

use super::error::{Fault, MAX_POINTS, MAX_TRIANGLES};
use glam::DVec3;

/// An unsorted heap of points and triangles. What goes beyond the limits is counted but not kept.
#[derive(Debug, Default)]
pub(super) struct Soup {
    /// Points, in the unit of the file.
    pub(super) points: Vec<DVec3>,
    /// Places in the list of points.
    pub(super) triangles: Vec<[u32; 3]>,
    /// Points in the file.
    points_seen: u64,
    /// Triangles in the file.
    triangles_seen: u64,
    /// Triangles that name a point which is not there.
    pub(super) lost: u64,
}

impl Soup {
    /// Adds a point and returns its place.
    pub(super) fn point(&mut self, point: DVec3) -> u32 {
        let place = self.points_seen.min(MAX_POINTS) as u32;
        if self.points_seen < MAX_POINTS {
            self.points.push(point);
        }
        self.points_seen += 1;
        place
    }

    /// Adds a triangle.
    pub(super) fn triangle(&mut self, corners: [u32; 3]) {
        if self.triangles_seen < MAX_TRIANGLES {
            self.triangles.push(corners);
        }
        self.triangles_seen += 1;
    }

    /// Adds a triangle by places counted in whole numbers; one that cannot be a place loses the triangle.
    pub(super) fn indexed(&mut self, corners: [i64; 3]) {
        match corners.map(u32::try_from) {
            [Ok(a), Ok(b), Ok(c)] => self.triangle([a, b, c]),
            _ => self.lost(1),
        }
    }

    /// Adds a polygon as a fan of triangles from its first corner.
    pub(super) fn polygon(&mut self, corners: &[i64]) {
        if let [first, rest @ ..] = corners {
            for pair in rest.windows(2) {
                self.indexed([*first, pair[0], pair[1]]);
            }
        }
    }

    /// Counts triangles that cannot be kept.
    pub(super) fn lost(&mut self, triangles: u64) {
        self.lost += triangles;
        self.triangles_seen += triangles;
    }

    /// Counts triangles that a header or an instance says there are, to refuse them before they are read.
    pub(super) fn would_hold(&self, points: u64, triangles: u64) -> Result<(), Fault> {
        let (points, triangles) =
            (self.points_seen.saturating_add(points), self.triangles_seen.saturating_add(triangles));
        if triangles > MAX_TRIANGLES {
            return Err(Fault::TooManyTriangles { triangles });
        }
        if points > MAX_POINTS {
            return Err(Fault::TooManyPoints { points });
        }
        Ok(())
    }

    /// Whether all that was seen is within the limits.
    pub(super) fn check(&self) -> Result<(), Fault> {
        self.would_hold(0, 0)
    }
}

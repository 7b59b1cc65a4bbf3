//! The part of a scan that lies in a box.

use super::Scan;
use super::clean::Mesh;
use crate::model::obstacle::Pose;
use glam::DVec3;

/// How much of a scan lies in a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inside {
    /// Triangles that touch the box.
    pub triangles: usize,
    /// Lowest corner of a box along the scan's own axes round those triangles, mm.
    pub low_mm: DVec3,
    /// Highest corner, mm.
    pub high_mm: DVec3,
}

/// The place of a point that no triangle uses.
const UNUSED: u32 = u32::MAX;

impl Scan {
    /// The triangles that touch a box along the vehicle's axes, whole; `None` where there are none.
    ///
    /// `pose` and `mm_per_unit` say where the scan is, as for a [`PlacedScan`](super::PlacedScan); `low_mm` and
    /// `high_mm` are corners of the box. What is left stays where it is at the same pose, to the last bit.
    #[must_use]
    pub fn cut(&self, pose: &Pose, mm_per_unit: f64, low_mm: DVec3, high_mm: DVec3) -> Option<Self> {
        let (middle, half) = (low_mm.midpoint(high_mm), (high_mm - low_mm) / 2.0);
        let turn = pose.rotation();
        let placed = |corner: u32| {
            let own = self.mesh.origin + self.mesh.points[corner as usize].as_dvec3();
            pose.position_mm + turn * (own * mm_per_unit) - middle
        };
        let mut place = vec![UNUSED; self.mesh.points.len()];
        let mut cut = Mesh {
            origin: self.mesh.origin,
            points: Vec::new(),
            triangles: Vec::new(),
            dropped: self.mesh.dropped,
        };
        for corners in &self.mesh.triangles {
            if !touches(corners.map(placed), half) {
                continue;
            }
            cut.triangles.push(corners.map(|corner| {
                let at = &mut place[corner as usize];
                if *at == UNUSED {
                    *at = cut.points.len() as u32;
                    cut.points.push(self.mesh.points[corner as usize]);
                }
                *at
            }));
        }
        cut.points.shrink_to_fit();
        cut.triangles.shrink_to_fit();
        (!cut.triangles.is_empty()).then(|| Self { mesh: cut, unit: self.unit.clone(), ..*self })
    }

    /// What [`Self::cut`] would leave of the scan in a box along its own axes, in mm at the given scale; `None` where
    /// that is nothing.
    pub fn inside(&self, mm_per_unit: f64, low_mm: DVec3, high_mm: DVec3) -> Option<Inside> {
        let (middle, half) = (low_mm.midpoint(high_mm), (high_mm - low_mm) / 2.0);
        let placed = |corner: u32| {
            let own = self.mesh.origin + self.mesh.points[corner as usize].as_dvec3();
            own * mm_per_unit - middle
        };
        let mut found: Option<Inside> = None;
        for corners in self.mesh.triangles.iter().map(|corners| corners.map(placed)) {
            if !touches(corners, half) {
                continue;
            }
            let low_mm = corners[0].min(corners[1]).min(corners[2]) + middle;
            let high_mm = corners[0].max(corners[1]).max(corners[2]) + middle;
            found = Some(found.map_or(Inside { triangles: 1, low_mm, high_mm }, |so_far| Inside {
                triangles: so_far.triangles + 1,
                low_mm: so_far.low_mm.min(low_mm),
                high_mm: so_far.high_mm.max(high_mm),
            }));
        }
        found
    }
}

/// Whether a triangle and a box about the origin with the given half edges share a point: whether none of the
/// thirteen directions that could part them does (T. Akenine-Möller, *Fast 3D triangle-box overlap testing*,
/// Journal of Graphics Tools 6 (2001) 29–33).
fn touches(corners: [DVec3; 3], half: DVec3) -> bool {
    let [a, b, c] = corners;
    let edges = [b - a, c - b, a - c];
    let parts = |direction: DVec3| {
        let heights = corners.map(|corner| corner.dot(direction));
        let (low, high) =
            (heights[0].min(heights[1]).min(heights[2]), heights[0].max(heights[1]).max(heights[2]));
        let reach = half.dot(direction.abs());
        low > reach || high < -reach
    };
    let along_box = DVec3::AXES.into_iter().any(parts);
    let across = || edges.iter().any(|edge| DVec3::AXES.into_iter().any(|axis| parts(axis.cross(*edge))));
    !along_box && !parts(edges[0].cross(edges[1])) && !across()
}

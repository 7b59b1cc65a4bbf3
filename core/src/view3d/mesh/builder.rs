//! Puts triangles together.

use super::Mesh;
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// The outline of a round part may stand this far (mm) inside the true circle.
const CHORD_MM: f64 = 0.08;

/// Fewest and most corners round a circle.
const CORNERS: (f64, f64) = (16.0, 96.0);

/// Corners of a circle of `radius_mm`: a multiple of four.
pub(super) fn corners_round(radius_mm: f64) -> u32 {
    let least = PI / (1.0 - CHORD_MM / radius_mm.max(CHORD_MM)).acos();
    (least.max(CORNERS.0).min(CORNERS.1) / 4.0).ceil() as u32 * 4
}

/// The clock angle of corner `i` of `n`; the last is the first again, to the bit.
pub(super) fn clock(i: u32, n: u32) -> f64 {
    TAU * f64::from(i % n) / f64::from(n)
}

/// Corner of a triangle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Corner {
    pub(super) at: DVec3,
    pub(super) normal: DVec3,
    pub(super) light: f64,
}

impl Corner {
    /// A corner in the open.
    pub(super) fn new(at: DVec3, normal: DVec3) -> Self {
        Self { at, normal, light: 1.0 }
    }
}

/// How much of a mesh stood at some time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mark {
    corners: usize,
    indices: usize,
}

/// A mesh in the making.
#[derive(Debug)]
pub(super) struct Builder {
    pub(super) mesh: Mesh,
}

impl Builder {
    pub(super) fn new(origin: DVec3) -> Self {
        Self { mesh: Mesh { origin, ..Mesh::default() } }
    }

    /// Adds a corner and returns its index.
    pub(super) fn corner(&mut self, c: Corner) -> u32 {
        let index = self.mesh.positions.len() as u32;
        self.mesh.positions.push((c.at - self.mesh.origin).as_vec3().to_array());
        // a corner without a direction of its own, as at a part of no size, still needs a unit normal
        self.mesh.normals.push(c.normal.try_normalize().unwrap_or(DVec3::Z).as_vec3().to_array());
        self.mesh.light.push(c.light as f32);
        index
    }

    /// Adds a triangle of corners that stand already.
    pub(super) fn triangle(&mut self, a: u32, b: u32, c: u32) {
        self.mesh.indices.extend([a, b, c]);
    }

    /// Skins a row of closed rings of `n` corners each, `corner(ring, i)`.
    ///
    /// The rings follow one another along a direction about which the corners turn right-handed.
    pub(super) fn skin(&mut self, rings: u32, n: u32, corner: impl Fn(u32, u32) -> Corner) {
        let first = self.mesh.positions.len() as u32;
        for ring in 0..rings {
            for i in 0..n {
                self.corner(corner(ring, i));
            }
        }
        for ring in 1..rings {
            let (low, high) = (first + (ring - 1) * n, first + ring * n);
            for i in 0..n {
                let j = (i + 1) % n;
                self.triangle(low + i, low + j, high + j);
                self.triangle(low + i, high + j, high + i);
            }
        }
    }

    /// A flat face of `n` corners, turning counter-clockwise seen from where `normal` points; star-shaped
    /// about `centre`.
    pub(super) fn fan(&mut self, centre: Corner, n: u32, at: impl Fn(u32) -> Corner) {
        let hub = self.corner(centre);
        for i in 0..n {
            self.corner(at(i));
        }
        for i in 0..n {
            self.triangle(hub, hub + 1 + i, hub + 1 + (i + 1) % n);
        }
    }

    /// A flat four-sided face, counter-clockwise seen from outside.
    pub(super) fn quad(&mut self, at: [DVec3; 4], normal: DVec3) {
        let [a, b, c, d] = at.map(|p| self.corner(Corner::new(p, normal)));
        self.triangle(a, b, c);
        self.triangle(a, c, d);
    }

    pub(super) fn mark(&self) -> Mark {
        Mark { corners: self.mesh.positions.len(), indices: self.mesh.indices.len() }
    }

    /// Whether everything added since is finite.
    pub(super) fn is_sound_since(&self, mark: Mark) -> bool {
        self.mesh.positions[mark.corners..].as_flattened().iter().all(|v| v.is_finite())
    }

    /// Takes away everything added since.
    pub(super) fn cut_back(&mut self, mark: Mark) {
        self.mesh.positions.truncate(mark.corners);
        self.mesh.normals.truncate(mark.corners);
        self.mesh.light.truncate(mark.corners);
        self.mesh.indices.truncate(mark.indices);
    }
}

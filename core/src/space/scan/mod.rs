//! Scans: meshes of triangles from a scanner or a drawing program, and gaps to them.
//!
//! [`read()`] makes a [`Scan`] of a file; [`Scan::cut`] keeps the part of it that matters; [`ScanTree::new`] prepares
//! it for questions, once; [`PlacedScan`] puts the same tree anywhere, at any scale, for nothing. All that takes a
//! while tells a [`Watch`] how far it is and stops when that says so.
//!
//! A scan is a surface and has no inside: a pipe within a closed scan that does not touch it has a gap above zero,
//! the distance to the surface round it.

mod clean;
mod cut;
mod error;
mod feed;
mod fingerprint;
mod gap;
mod gltf;
mod leaf;
mod obj;
mod parts;
mod pick;
mod placed;
mod ply;
mod read;
mod scans;
mod soup;
mod stl;
#[cfg(test)]
mod tests;
mod threemf;
mod tree;
mod unit;
mod watch;

pub use crate::watch::{Unwatched, Watch};
pub use clean::Dropped;
pub use cut::Inside;
pub use error::{Fault, MAX_BYTES, MAX_POINTS, MAX_TRIANGLES, ScanError};
pub use fingerprint::{Fingerprint, fingerprint};
pub use gap::{Hint, ScanGap};
pub(in crate::space) use parts::ScanPart;
pub use pick::ScanHit;
pub(super) use placed::Held;
pub use placed::PlacedScan;
pub use read::{ScanKind, read};
pub use scans::{
    ScanState, Scans, bring, bring_all, path_to_file, scan_path, scans_of, with_folder, with_folder_of_scan,
};
pub use tree::ScanTree;
pub use unit::{ScanUnit, UnitFound};
pub use watch::Cancelled;

use clean::{Mesh, clean};
use glam::{DVec3, Vec3};
use soup::Soup;
use std::mem::size_of;
use watch::Steps;

/// How the axes of a scan lie to the vehicle's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScanAxes {
    /// The file does not say.
    Unsaid,
    /// Y up and Z forward, as in every glTF file (glTF 2.0 specification, 3.4 Coordinate System and Units).
    YUpZForward,
}

impl ScanAxes {
    /// The turns of a [`Pose`](crate::model::obstacle::Pose) that bring the scan's axes to the vehicle's (X forward,
    /// Y left, Z up), degrees.
    pub fn turn_deg(self) -> DVec3 {
        match self {
            Self::Unsaid => DVec3::ZERO,
            Self::YUpZForward => DVec3::new(90.0, 0.0, 90.0),
        }
    }
}

/// A mesh of triangles in its own axes and its own unit, as it stands in the file.
///
/// Points are f32 about an f64 origin, the middle of the box round them: a scan 5 m long is rounded by 0.0003 mm
/// at most, wherever it lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Scan {
    mesh: Mesh,
    unit: UnitFound,
    axes: ScanAxes,
    /// Kind and fingerprint of the file it is from.
    source: Option<(ScanKind, Fingerprint)>,
}

impl Scan {
    /// A scan of the given points, in the given unit, and triangles of three places in the list of points.
    ///
    /// What cannot be measured to is left out, as from a file.
    pub fn from_triangles(points: &[DVec3], triangles: &[[u32; 3]], unit: ScanUnit) -> Result<Self, Fault> {
        let mut soup = Soup::default();
        soup.would_hold(points.len() as u64, triangles.len() as u64)?;
        for &point in points {
            soup.point(point);
        }
        for &corners in triangles {
            soup.triangle(corners);
        }
        let mesh = clean(soup, &Steps::new(&Unwatched))?;
        Ok(Self { mesh, unit: UnitFound::said(unit, "What made it"), axes: ScanAxes::Unsaid, source: None })
    }

    /// How many triangles.
    pub fn len(&self) -> usize {
        self.mesh.triangles.len()
    }

    /// Always false: a scan has a triangle at least.
    pub fn is_empty(&self) -> bool {
        self.mesh.triangles.is_empty()
    }

    /// The f64 origin that [`Self::points`] count from.
    pub fn origin(&self) -> DVec3 {
        self.mesh.origin
    }

    /// The points, from the origin.
    pub fn points(&self) -> &[Vec3] {
        &self.mesh.points
    }

    /// The triangles: three places each in the list of points, in the order of the file.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.mesh.triangles
    }

    /// The corners of a triangle in the scan's own axes; `None` where there is no such triangle.
    pub fn corners(&self, triangle: u32) -> Option<[DVec3; 3]> {
        let corners = self.mesh.triangles.get(triangle as usize)?;
        Some(corners.map(|corner| self.mesh.origin + self.mesh.points[corner as usize].as_dvec3()))
    }

    /// Lowest and highest coordinates in the scan's own axes.
    pub fn bounds(&self) -> (DVec3, DVec3) {
        self.mesh.bounds()
    }

    /// The kind of file it was read from; `None` for one that was made.
    pub fn kind(&self) -> Option<ScanKind> {
        self.source.map(|(kind, _)| kind)
    }

    /// The fingerprint of the file it was read from; `None` for one that was made.
    pub fn fingerprint(&self) -> Option<Fingerprint> {
        self.source.map(|(_, fingerprint)| fingerprint)
    }

    /// The unit, and whether the file says so.
    pub fn unit(&self) -> &UnitFound {
        &self.unit
    }

    /// How its axes lie to the vehicle's.
    pub fn axes(&self) -> ScanAxes {
        self.axes
    }

    /// What was left out when it was made.
    pub fn dropped(&self) -> Dropped {
        self.mesh.dropped
    }

    /// Memory it takes, bytes.
    pub fn bytes(&self) -> usize {
        size_of::<Self>()
            + self.mesh.points.capacity() * size_of::<Vec3>()
            + self.mesh.triangles.capacity() * size_of::<[u32; 3]>()
    }
}

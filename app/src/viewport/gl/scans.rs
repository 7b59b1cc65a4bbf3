//! Scans on the graphics card: the triangles of a tree go there once, however often it is selected, moved or scaled.

use glam::DVec3;
use pipeloft_core::space::scan::ScanTree;
use pipeloft_core::view3d::{Part, Scene, Shade};
use std::sync::Arc;
use three_d::{Context, ElementBuffer, Mat3, VertexBuffer};

/// The triangles of a tree, in its own axes and unit about the origin of its points.
pub(super) struct GpuScan {
    pub(super) positions: VertexBuffer<[f32; 3]>,
    pub(super) indices: ElementBuffer<u32>,
}

impl GpuScan {
    fn new(context: &Context, tree: &ScanTree) -> Self {
        let positions: Vec<[f32; 3]> = tree.scan().points().iter().map(glam::Vec3::to_array).collect();
        Self {
            positions: VertexBuffer::new_with_data(context, &positions),
            indices: ElementBuffer::new_with_data(context, tree.scan().triangles().as_flattened()),
        }
    }
}

/// A scan as it is drawn: where, how large, how lit.
pub(super) struct DrawnScan {
    pub(super) mesh: Arc<GpuScan>,
    pub(super) shade: Shade,
    /// Where the origin of its points is, mm.
    pub(super) origin: DVec3,
    /// From its own axes and unit to the vehicle's, mm.
    pub(super) turn_and_scale: Mat3,
}

/// The scans of the scene drawn last.
#[derive(Default)]
pub(super) struct ScanCache {
    kept: Vec<(Arc<ScanTree>, Arc<GpuScan>)>,
    drawn: Vec<DrawnScan>,
}

impl ScanCache {
    /// Makes the scans those of `scene`; sends only trees that are not there yet, forgets those not in it.
    pub(super) fn follow(&mut self, context: &Context, scene: &Scene) {
        let old = std::mem::take(&mut self.kept);
        self.drawn.clear();
        for part in scene.items.iter().flat_map(|item| &item.parts) {
            let Part::Scan(scan, shade) = part else { continue };
            let tree = scan.tree();
            let is_same = |(kept, _): &&(Arc<ScanTree>, Arc<GpuScan>)| Arc::ptr_eq(kept, tree);
            let known = self.kept.iter().find(is_same);
            let mesh = match known.or_else(|| old.iter().find(is_same)) {
                Some((_, mesh)) => Arc::clone(mesh),
                None => Arc::new(GpuScan::new(context, tree)),
            };
            if known.is_none() {
                self.kept.push((Arc::clone(tree), Arc::clone(&mesh)));
            }
            let axes = DVec3::AXES.map(|axis| (scan.turn() * axis * scan.mm_per_unit()).as_vec3());
            self.drawn.push(DrawnScan {
                mesh,
                shade: *shade,
                origin: scan.origin_mm(),
                turn_and_scale: Mat3::from(axes.map(|axis| axis.to_array())),
            });
        }
    }

    /// All of them.
    pub(super) fn drawn(&self) -> impl Iterator<Item = &DrawnScan> {
        self.drawn.iter()
    }
}

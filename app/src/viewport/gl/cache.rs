//! Meshes on the graphics card, kept as long as their item stays as it is.

use pipeloft_core::model::Item;
use pipeloft_core::view3d::{Mesh, Scene, SceneItem, Shade, item_meshes};
use std::collections::BTreeMap;
use three_d::{Context, ElementBuffer, VertexBuffer};

/// One mesh on the graphics card.
pub(super) struct GpuMesh {
    pub(super) shade: Shade,
    pub(super) origin: glam::DVec3,
    pub(super) positions: VertexBuffer<[f32; 3]>,
    pub(super) normals: VertexBuffer<[f32; 3]>,
    pub(super) light: VertexBuffer<f32>,
    pub(super) indices: ElementBuffer<u32>,
}

impl GpuMesh {
    fn new(context: &Context, shade: Shade, mesh: &Mesh) -> Self {
        Self {
            shade,
            origin: mesh.origin,
            positions: VertexBuffer::new_with_data(context, &mesh.positions),
            normals: VertexBuffer::new_with_data(context, &mesh.normals),
            light: VertexBuffer::new_with_data(context, &mesh.light),
            indices: ElementBuffer::new_with_data(context, &mesh.indices),
        }
    }
}

struct Kept {
    item: SceneItem,
    meshes: Vec<GpuMesh>,
}

/// The meshes of the scene drawn last.
#[derive(Default)]
pub(super) struct MeshCache {
    kept: Vec<Kept>,
}

impl MeshCache {
    /// Makes the meshes those of `scene`; builds only what has another form than before.
    pub(super) fn follow(&mut self, context: &Context, scene: &Scene) {
        let mut old: BTreeMap<Item, Vec<Kept>> = BTreeMap::new();
        for kept in self.kept.drain(..) {
            old.entry(kept.item.item).or_default().push(kept);
        }
        self.kept = scene
            .items
            .iter()
            .map(|item| {
                old.get_mut(&item.item).and_then(|all| take_like(all, item)).unwrap_or_else(|| {
                    let meshes = item_meshes(item);
                    let meshes = meshes.iter().map(|(shade, mesh)| GpuMesh::new(context, *shade, mesh));
                    Kept { item: item.clone(), meshes: meshes.collect() }
                })
            })
            .collect();
    }

    /// All meshes.
    pub(super) fn meshes(&self) -> impl Iterator<Item = &GpuMesh> {
        self.kept.iter().flat_map(|kept| &kept.meshes)
    }
}

/// Takes meshes that will do for `item`, with its shades.
fn take_like(all: &mut Vec<Kept>, item: &SceneItem) -> Option<Kept> {
    let (index, shades) = all.iter().enumerate().find_map(|(i, k)| Some((i, new_shades(&k.item, item)?)))?;
    let mut kept = all.swap_remove(index);
    for mesh in &mut kept.meshes {
        mesh.shade = *shades.get(&mesh.shade)?;
    }
    kept.item = item.clone();
    Some(kept)
}

/// What each shade of `old` becomes in `new`, where all else is equal and the parts of one shade still have
/// one: then the meshes need no building, only another colour. Pointing at things does this all the time.
fn new_shades(old: &SceneItem, new: &SceneItem) -> Option<BTreeMap<Shade, Shade>> {
    if old.parts.len() != new.parts.len() {
        return None;
    }
    let mut shades = BTreeMap::new();
    for (a, b) in old.parts.iter().zip(&new.parts) {
        let to = b.shade();
        if *shades.entry(a.shade()).or_insert(to) != to || a.with_shade(to) != *b {
            return None;
        }
    }
    Some(shades)
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;
    use pipeloft_core::model::RunId;
    use pipeloft_core::view3d::{Glow, Part, Tint};

    fn item(glows: &[Glow]) -> SceneItem {
        let rod = |glow: &Glow| Part::Rod {
            from: DVec3::ZERO,
            to: DVec3::X,
            radius_mm: 1.0,
            shade: Shade { tint: Tint::Broken, glow: *glow },
        };
        SceneItem { item: Item::Run(RunId(1)), parts: glows.iter().map(rod).collect() }
    }

    #[test]
    fn a_change_of_glow_alone_keeps_the_meshes() {
        let (plain, lit) = (item(&[Glow::None, Glow::None]), item(&[Glow::Hover, Glow::Hover]));
        let shades = new_shades(&plain, &lit).unwrap();
        assert_eq!(shades[&plain.parts[0].shade()], lit.parts[0].shade());
    }

    #[test]
    fn parts_that_no_longer_look_alike_or_have_moved_need_new_meshes() {
        let plain = item(&[Glow::None, Glow::None]);
        assert_eq!(new_shades(&plain, &item(&[Glow::None, Glow::Hover])), None);
        assert_eq!(new_shades(&plain, &item(&[Glow::None])), None);
        let mut moved = plain.clone();
        if let Part::Rod { to, .. } = &mut moved.parts[0] {
            *to = DVec3::Y;
        }
        assert_eq!(new_shades(&plain, &moved), None);
    }
}

//! Scene parts as triangles.
//!
//! Triangles turn counter-clockwise seen from outside. Everything is computed in f64 and becomes f32 only as
//! an offset from the mesh's own origin, so that a part 50 m out is drawn as sharply as one at home.

mod builder;
mod fitting;
mod panel;
pub(super) mod port;
mod round;
mod seam;
mod tube;

use super::scene::{Part, SceneItem, Shade};
use crate::geom::Solid;
use crate::model::{Pose, Shape};
use builder::Builder;
use glam::DVec3;
use std::collections::BTreeMap;

/// Triangles about a local origin.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mesh {
    /// What the positions are relative to, mm.
    pub origin: DVec3,
    /// Corners, mm from `origin`.
    pub positions: Vec<[f32; 3]>,
    /// Unit normal at each corner.
    pub normals: Vec<[f32; 3]>,
    /// How much light reaches each corner: 1 in the open, toward 0 deep in a bore.
    pub light: Vec<f32>,
    /// Three corners for each triangle.
    pub indices: Vec<u32>,
}

/// The triangles of an item, those of one shade in one mesh; in the order of the shades.
///
/// Half spaces have none: they have no edge. Scans have none here: their triangles are there already. A part with a size that is not finite is left out.
pub fn item_meshes(item: &SceneItem) -> Vec<(Shade, Mesh)> {
    let Some(origin) = item.parts.iter().map(anchor).find(|p| p.is_finite()) else { return Vec::new() };
    let faces = tube::JoinedFaces::of(item.parts.iter());
    let mut by_shade: BTreeMap<Shade, Builder> = BTreeMap::new();
    for part in &item.parts {
        let builder = by_shade.entry(part.shade()).or_insert_with(|| Builder::new(origin));
        add_part(builder, part, &faces);
    }
    let meshes = by_shade.into_iter().map(|(shade, builder)| (shade, builder.mesh));
    meshes.filter(|(_, mesh)| !mesh.indices.is_empty()).collect()
}

fn add_part(b: &mut Builder, part: &Part, faces: &tube::JoinedFaces) {
    if !has_size(part) {
        return;
    }
    let mark = b.mark();
    match part {
        Part::Solid(Solid::Barrel(barrel), _) => tube::barrel(b, barrel, faces),
        Part::Solid(Solid::Elbow(elbow), _) => tube::elbow(b, elbow, faces),
        Part::Solid(Solid::Drum(drum), _) => fitting::drum(b, drum),
        Part::Solid(Solid::Block(block), _) => fitting::block(b, block.centre, block.axes, block.half_mm),
        Part::Solid(Solid::Frustum(frustum), _) => tube::frustum(b, frustum, faces),
        Part::Shape(shape, pose, _) => add_shape(b, shape, pose),
        Part::Scan(..) => {}
        Part::Seam { frame, normal, radius_mm, .. } => seam::seam(b, frame, *normal, *radius_mm),
        Part::Port { frame, radius_mm, .. } => port::port(b, frame, *radius_mm),
        Part::Rod { from, to, radius_mm, .. } => round::capsule(b, *from, *to, *radius_mm),
    }
    if !b.is_sound_since(mark) {
        b.cut_back(mark);
    }
}

fn add_shape(b: &mut Builder, shape: &Shape, pose: &Pose) {
    let turn = pose.rotation();
    let axes = [turn * DVec3::X, turn * DVec3::Y, turn * DVec3::Z];
    let centre = pose.position_mm;
    match shape {
        Shape::Box { size_mm } => fitting::block(b, centre, axes, *size_mm / 2.0),
        Shape::Cylinder { diameter_mm, length_mm } => {
            let half = axes[2] * (length_mm / 2.0);
            round::bar(b, centre - half, centre + half, diameter_mm / 2.0);
        }
        Shape::Capsule { diameter_mm, length_mm } => {
            let half = axes[2] * (length_mm / 2.0);
            round::capsule(b, centre - half, centre + half, diameter_mm / 2.0);
        }
        Shape::Sphere { diameter_mm } => round::capsule(b, centre, centre, diameter_mm / 2.0),
        Shape::Panel { width_mm, height_mm, thickness_mm, holes } => {
            let half = DVec3::new(*width_mm, *height_mm, *thickness_mm) / 2.0;
            panel::panel(b, centre, axes, half, holes);
        }
        Shape::HalfSpace | Shape::Scan(_) => {}
    }
}

/// Whether every size is a number one can draw: finite and not below zero.
fn has_size(part: &Part) -> bool {
    let usable = |sizes: &[f64]| sizes.iter().all(|s| s.is_finite() && *s >= 0.0);
    match part {
        Part::Solid(Solid::Barrel(b), _) => usable(&[b.length_mm, b.radius_mm]),
        Part::Solid(Solid::Elbow(e), _) => usable(&[e.clr_mm, e.angle_rad, e.radius_mm]) && e.clr_mm > 0.0,
        Part::Solid(Solid::Drum(d), _) => usable(&[d.length_mm, d.radius_mm]),
        Part::Solid(Solid::Block(b), _) => usable(&b.half_mm.to_array()),
        Part::Solid(Solid::Frustum(f), _) => usable(&[f.length_mm, f.start_radius_mm, f.end_radius_mm]),
        Part::Shape(Shape::Box { size_mm }, ..) => usable(&size_mm.to_array()),
        Part::Shape(
            Shape::Cylinder { diameter_mm, length_mm } | Shape::Capsule { diameter_mm, length_mm },
            ..,
        ) => usable(&[*diameter_mm, *length_mm]),
        Part::Shape(Shape::Sphere { diameter_mm }, ..) => usable(&[*diameter_mm]),
        Part::Shape(Shape::Panel { width_mm, height_mm, thickness_mm, .. }, ..) => {
            usable(&[*width_mm, *height_mm, *thickness_mm])
        }
        Part::Shape(Shape::HalfSpace | Shape::Scan(_), ..) | Part::Scan(..) => false,
        Part::Seam { radius_mm, .. } | Part::Port { radius_mm, .. } | Part::Rod { radius_mm, .. } => {
            usable(&[*radius_mm])
        }
    }
}

/// A point near the part.
fn anchor(part: &Part) -> DVec3 {
    match part {
        Part::Solid(Solid::Barrel(b), _) => b.start.origin,
        Part::Solid(Solid::Elbow(e), _) => e.start.origin,
        Part::Solid(Solid::Drum(d), _) => d.start.origin,
        Part::Solid(Solid::Block(b), _) => b.centre,
        Part::Solid(Solid::Frustum(f), _) => f.start.origin,
        Part::Shape(_, pose, _) => pose.position_mm,
        Part::Scan(scan, _) => scan.origin_mm(),
        Part::Seam { frame, .. } | Part::Port { frame, .. } => frame.origin,
        Part::Rod { from, .. } => *from,
    }
}

#[cfg(test)]
mod tests;

use super::*;
use crate::geom::{Barrel, Block, Drum, Elbow, Frame, Frustum};
use crate::model::{Hole, Item, Material, RunId};
use crate::view3d::scene::{Glow, Tint};
use approx::assert_relative_eq;
use std::f64::consts::{FRAC_PI_2, PI};

const PIPE: Shade = Shade { tint: Tint::Metal(Material::Stainless304), glow: Glow::None };
const WELD: Shade = Shade { tint: Tint::Weld, glow: Glow::None };

fn meshes(parts: Vec<Part>) -> Vec<(Shade, Mesh)> {
    item_meshes(&SceneItem { item: Item::Run(RunId(1)), parts })
}

fn one(part: Part) -> Mesh {
    let mut all = meshes(vec![part]);
    assert_eq!(all.len(), 1);
    all.remove(0).1
}

fn solid(solid: Solid) -> Part {
    Part::Solid(solid, PIPE)
}

fn shape(shape: Shape) -> Part {
    let pose = Pose { position_mm: DVec3::new(9.0, 8.0, 7.0), turn_deg: DVec3::new(20.0, 30.0, 40.0) };
    Part::Shape(shape, pose, PIPE)
}

fn frame() -> Frame {
    let travel = DVec3::new(0.6, 0.64, 0.48);
    Frame::new(DVec3::new(1000.0, -200.0, 300.0), travel, DVec3::Z)
}

fn mitred(length_mm: f64, tilt_rad: f64) -> Barrel {
    let start = frame();
    let end_normal = start.tilted(0.7, tilt_rad).travel;
    Barrel { start, length_mm, radius_mm: 38.1, start_normal: start.travel, end_normal }
}

/// Signed volume: positive for a closed surface whose triangles turn counter-clockwise outside.
fn volume(mesh: &Mesh) -> f64 {
    let at = |i: u32| DVec3::from(glam::Vec3::from(mesh.positions[i as usize]));
    mesh.indices.chunks(3).map(|t| at(t[0]).dot(at(t[1]).cross(at(t[2]))) / 6.0).sum()
}

fn assert_sound(mesh: &Mesh) {
    assert!(mesh.origin.is_finite());
    assert_eq!(mesh.positions.len(), mesh.normals.len());
    assert_eq!(mesh.positions.len(), mesh.light.len());
    assert!(mesh.indices.len().is_multiple_of(3));
    assert!(mesh.indices.iter().all(|i| (*i as usize) < mesh.positions.len()));
    assert!(mesh.positions.as_flattened().iter().chain(&mesh.light).all(|v| v.is_finite()));
    for normal in &mesh.normals {
        assert_relative_eq!(glam::Vec3::from(*normal).length(), 1.0, epsilon = 1e-5);
    }
}

/// Each triangle faces the way its corners' normals do.
fn assert_faces_out(mesh: &Mesh) {
    let at = |i: u32| glam::Vec3::from(mesh.positions[i as usize]);
    let normal = |i: u32| glam::Vec3::from(mesh.normals[i as usize]);
    for t in mesh.indices.chunks(3) {
        let face = (at(t[1]) - at(t[0])).cross(at(t[2]) - at(t[0]));
        let mean = normal(t[0]) + normal(t[1]) + normal(t[2]);
        assert!(face.length() < 1e-3 || face.dot(mean) > 0.0, "{face} against {mean}");
    }
}

fn taper(length_mm: f64) -> Frustum {
    let start = frame();
    let shift = start.at_clock(0.7) * 9.0;
    Frustum { start, length_mm, start_radius_mm: 38.0, end_radius_mm: 25.0, shift }
}

fn some_of_each() -> Vec<Part> {
    let start = frame();
    let holes = vec![
        Hole { x_mm: 0.0, y_mm: 0.0, diameter_mm: 60.0 },
        Hole { x_mm: 25.0, y_mm: 10.0, diameter_mm: 40.0 },
        Hole { x_mm: 100.0, y_mm: -50.0, diameter_mm: 70.0 },
    ];
    let toward = start.at_clock(1.0);
    let elbow = Elbow { start, toward, clr_mm: 76.0, angle_rad: FRAC_PI_2, radius_mm: 38.0 };
    let axes = [DVec3::X, DVec3::Y, DVec3::Z];
    vec![
        solid(Solid::Barrel(mitred(150.0, 0.3))),
        solid(Solid::Elbow(elbow)),
        solid(Solid::Drum(Drum { start, length_mm: 30.0, radius_mm: 45.0 })),
        solid(Solid::Frustum(taper(60.0))),
        solid(Solid::Block(Block { centre: DVec3::ONE, axes, half_mm: DVec3::new(5.0, 6.0, 7.0) })),
        shape(Shape::Box { size_mm: DVec3::new(10.0, 20.0, 30.0) }),
        shape(Shape::Cylinder { diameter_mm: 30.0, length_mm: 80.0 }),
        shape(Shape::Capsule { diameter_mm: 30.0, length_mm: 80.0 }),
        shape(Shape::Sphere { diameter_mm: 30.0 }),
        shape(Shape::Panel { width_mm: 200.0, height_mm: 100.0, thickness_mm: 3.0, holes }),
        Part::Seam { frame: start, normal: start.tilted(0.4, 0.3).travel, radius_mm: 38.0, shade: WELD },
        Part::Port { frame: start, radius_mm: 38.0, shade: PIPE },
        Part::Rod { from: DVec3::ZERO, to: DVec3::X * 50.0, radius_mm: 3.0, shade: PIPE },
    ]
}

#[test]
fn every_mesh_is_sound_and_faces_outward() {
    for part in some_of_each() {
        let mesh = one(part);
        assert_sound(&mesh);
        assert_faces_out(&mesh);
        assert!(volume(&mesh) > 0.0);
    }
}

#[test]
fn a_mitred_barrel_holds_what_its_axis_says_less_its_bores() {
    // a plane through the axis point cuts as much off one side as it adds on the other
    let barrel = mitred(400.0, 0.3);
    let (r, inner) = (barrel.radius_mm, barrel.radius_mm * 0.94);
    let whole = PI * r * r * barrel.length_mm;
    let bores = 2.0 * PI * inner * inner * 1.6 * r;
    assert_relative_eq!(volume(&one(solid(Solid::Barrel(barrel)))), whole - bores, max_relative = 0.006);
}

#[test]
fn closed_shapes_hold_their_volume() {
    let ball = |d: f64| PI * d.powi(3) / 6.0;
    let bar = |d: f64, l: f64| PI * d * d / 4.0 * l;
    let holes = vec![
        Hole { x_mm: -40.0, y_mm: 0.0, diameter_mm: 60.0 },
        Hole { x_mm: 100.0, y_mm: 0.0, diameter_mm: 50.0 },
    ];
    for (s, expected) in [
        (Shape::Box { size_mm: DVec3::new(10.0, 20.0, 30.0) }, 6000.0),
        (Shape::Cylinder { diameter_mm: 60.0, length_mm: 80.0 }, bar(60.0, 80.0)),
        (Shape::Capsule { diameter_mm: 60.0, length_mm: 80.0 }, bar(60.0, 80.0) + ball(60.0)),
        (Shape::Sphere { diameter_mm: 60.0 }, ball(60.0)),
        (
            Shape::Panel { width_mm: 200.0, height_mm: 100.0, thickness_mm: 3.0, holes },
            200.0 * 100.0 * 3.0 - bar(60.0, 3.0) - bar(50.0, 3.0) / 2.0,
        ),
    ] {
        assert_relative_eq!(volume(&one(shape(s))), expected, max_relative = 0.012);
    }
}

#[test]
fn every_edge_of_a_panel_is_met_by_a_neighbour() {
    let hole = |x_mm, y_mm, diameter_mm| Hole { x_mm, y_mm, diameter_mm };
    let holes =
        vec![hole(0.0, 3.0, 60.0), hole(25.0, 10.0, 40.0), hole(100.0, -50.0, 70.0), hole(-60.0, 0.0, 20.0)];
    let panel = Shape::Panel { width_mm: 200.0, height_mm: 100.0, thickness_mm: 3.0, holes };
    let mesh = one(Part::Shape(panel, Pose::at(DVec3::ZERO), PIPE));
    let at = |i: u32| mesh.positions[i as usize].map(f32::to_bits);
    let mut edges = std::collections::BTreeMap::<_, i32>::new();
    for t in mesh.indices.chunks(3) {
        for (a, b) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
            let (a, b) = (at(a), at(b));
            *edges.entry((a.min(b), a.max(b))).or_default() += i32::from(a < b) - i32::from(a > b);
        }
    }
    let open = edges.values().filter(|n| **n != 0).count();
    assert_eq!(open, 0, "of {}", edges.len());
}

#[test]
fn an_end_is_drawn_only_where_nothing_is_joined() {
    let barrel = Barrel { end_normal: frame().travel, ..mitred(100.0, 0.0) };
    let next = Barrel { start: barrel.start.forward(100.0), ..barrel };
    let alone = one(solid(Solid::Barrel(barrel))).indices.len();
    let pair = one_mesh_of(vec![solid(Solid::Barrel(barrel)), solid(Solid::Barrel(next))]);
    let ring = builder::corners_round(barrel.radius_mm) as usize * 6;
    assert_eq!(alone - ring, pair.indices.len() - 2 * ring, "two free ends in both");
}

fn one_mesh_of(parts: Vec<Part>) -> Mesh {
    meshes(parts).remove(0).1
}

#[test]
fn parts_are_gathered_by_shade() {
    let all = meshes(some_of_each());
    assert_eq!(all.iter().map(|(s, _)| *s).collect::<Vec<_>>(), [PIPE, WELD]);
    for (_, mesh) in &all {
        assert_sound(mesh);
    }
}

#[test]
fn parts_of_no_size_or_no_number_do_no_harm() {
    for bad in [0.0, 1e-9, -1.0, f64::NAN, f64::INFINITY] {
        let start = frame();
        let barrel = Barrel { length_mm: bad, radius_mm: bad, ..mitred(1.0, 0.3) };
        let toward = start.at_clock(1.0);
        let elbow = Elbow { start, toward, clr_mm: bad, angle_rad: bad, radius_mm: bad };
        let hole = Hole { x_mm: bad, y_mm: 0.0, diameter_mm: bad };
        let (width_mm, height_mm) = (if bad > 0.0 { 50.0 } else { bad }, 50.0);
        for part in [
            solid(Solid::Barrel(barrel)),
            solid(Solid::Barrel(Barrel { end_normal: start.at_clock(0.0), ..mitred(10.0, 0.0) })),
            solid(Solid::Elbow(elbow)),
            solid(Solid::Drum(Drum { start, length_mm: bad, radius_mm: bad })),
            solid(Solid::Frustum(taper(bad))),
            solid(Solid::Frustum(Frustum { start_radius_mm: bad, end_radius_mm: bad, ..taper(50.0) })),
            shape(Shape::Box { size_mm: DVec3::splat(bad) }),
            shape(Shape::Cylinder { diameter_mm: bad, length_mm: bad }),
            shape(Shape::Capsule { diameter_mm: bad, length_mm: bad }),
            shape(Shape::Panel { width_mm, height_mm, thickness_mm: bad, holes: vec![hole, hole] }),
            shape(Shape::HalfSpace),
            Part::Seam { frame: start, normal: start.travel, radius_mm: bad, shade: WELD },
            Part::Seam { frame: start, normal: start.index, radius_mm: 30.0, shade: WELD },
            Part::Port { frame: start, radius_mm: bad, shade: PIPE },
            Part::Rod { from: DVec3::ZERO, to: DVec3::splat(bad), radius_mm: bad, shade: PIPE },
        ] {
            for (_, mesh) in meshes(vec![part]) {
                assert_sound(&mesh);
            }
        }
    }
}

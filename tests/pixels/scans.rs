//! Scans in the 3D view.

use crate::{at, harness, picture, size};
use glam::DVec3;
use pipeloft_core::model::{Item, ObstacleId, Pose};
use pipeloft_core::space::scan::{PlacedScan, Scan, ScanTree, ScanUnit, Unwatched};
use pipeloft_core::view3d::{Camera, Glow, NamedView, Part, Scene, SceneItem, Shade, Tint};
use std::sync::Arc;

/// Two sheets in inches that meet in a ridge along Y, one of them turned over: its triangles show their back.
fn ridge() -> Arc<ScanTree> {
    let points =
        [(-4.0, 0.0), (0.0, 1.6), (4.0, 0.0)].map(|(x, z)| [-6.0, 6.0].map(|y| DVec3::new(x, y, z))).concat();
    let triangles = [[0, 2, 3], [0, 3, 1], [2, 5, 4], [2, 3, 5]];
    let scan = Scan::from_triangles(&points, &triangles, ScanUnit::Inch).unwrap();
    Arc::new(ScanTree::new(scan, &Unwatched).unwrap())
}

fn pose(at: DVec3) -> Pose {
    Pose { position_mm: at, turn_deg: DVec3::Z * 20.0 }
}

fn scene(tree: &Arc<ScanTree>, at: DVec3, glow: Glow) -> Scene {
    let pose = pose(at);
    let placed = PlacedScan::new(Arc::clone(tree), &pose, 25.4).unwrap();
    let (low, high) = placed.bounds();
    let shade = Shade { tint: Tint::Obstacle, glow };
    let item = SceneItem { item: Item::Obstacle(ObstacleId(1)), parts: vec![Part::Scan(placed, shade)] };
    Scene { items: vec![item], low, high }
}

#[test]
fn a_scan_is_drawn_where_it_stands_in_its_size_and_lit_from_both_sides() {
    let tree = ridge();
    let far = DVec3::new(20_000.0, -7_000.0, 300.0);
    let Some(mut h) = harness(scene(&tree, far, Glow::None), 1.0) else { return };
    let mut camera = Camera::default();
    camera.look_from(NamedView::Free);
    let (low, high) = (h.state().frame.scene.low, h.state().frame.scene.high);
    camera.fit(low, high, size());
    h.state_mut().frame.camera = camera.clone();
    let seen = picture(&mut h, "scan_plain");
    let own = |x_in: f64| DVec3::new(x_in, 0.0, 1.6 - 0.4 * x_in.abs()) * 25.4;
    let on = |x_in: f64| pose(far).world_from_own(own(x_in));
    let bare = seen.get_pixel(3, 400).0;
    let mut greys = Vec::new();
    for x_in in [-3.0, -1.0, 1.0, 3.0] {
        let pixel = at(&seen, &camera, on(x_in));
        let off: u32 = (0..3).map(|i| u32::from(pixel[i].abs_diff(bare[i]))).sum();
        assert!(off > 30, "{x_in}: {pixel:?} cannot be told from the background {bare:?}");
        greys.push(pixel.map(u32::from).iter().sum::<u32>());
    }
    // flat: each slope has one shade, and not that of the other
    assert!(greys[0].abs_diff(greys[1]) < 12 && greys[2].abs_diff(greys[3]) < 12, "{greys:?}");
    assert!(greys[1].abs_diff(greys[2]) > 25, "{greys:?}");
    let beside = at(&seen, &camera, pose(far).world_from_own(DVec3::X * (5.5 * 25.4)));
    assert_ne!(beside, at(&seen, &camera, on(3.0)), "it ends where it ends");

    // selected and moved: the same triangles at another place in another light
    let moved = far + DVec3::Z * 80.0;
    h.state_mut().frame.scene = Arc::new(scene(&tree, moved, Glow::Selected));
    let lit = picture(&mut h, "scan_selected");
    let [r, g, b] = at(&lit, &camera, on(1.0) + DVec3::Z * 80.0);
    let [r0, g0, b0] = at(&seen, &camera, on(1.0));
    let warmth = |r: u8, b: u8| i32::from(r) - i32::from(b);
    assert!(warmth(r, b) > warmth(r0, b0) + 15, "selected is warmer: {r} {g} {b}, was {r0} {g0} {b0}");
}

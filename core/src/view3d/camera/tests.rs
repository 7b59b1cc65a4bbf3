use super::*;
use approx::assert_relative_eq;

const SIZES: [DVec2; 3] = [DVec2::new(1280.0, 800.0), DVec2::new(317.0, 911.0), DVec2::new(2000.0, 90.0)];

fn cameras() -> Vec<Camera> {
    let mut all = Vec::new();
    for projection in [Projection::Perspective, Projection::Parallel] {
        for (yaw_rad, pitch_rad) in [(0.3, 0.4), (-2.0, -0.9), (PI, FRAC_PI_2), (1.0, -FRAC_PI_2)] {
            let target = DVec3::new(120.0, -340.0, 55.0);
            all.push(Camera { target, yaw_rad, pitch_rad, distance_mm: 900.0, projection });
        }
    }
    all
}

#[test]
fn a_projected_point_lies_on_the_ray_cast_back() {
    for camera in cameras() {
        for size in SIZES {
            for point in [DVec3::ZERO, DVec3::new(300.0, -200.0, 180.0), camera.target] {
                let (ui, depth) = camera.ui_from_world(point, size).unwrap();
                let ray = camera.ray_in_world(ui, size);
                assert_relative_eq!(ray.dir.length(), 1.0, epsilon = 1e-12);
                let nearest = ray.at(ray.nearest(point));
                assert_relative_eq!(nearest, point, epsilon = 1e-6);
                assert!(depth > 0.0);
            }
        }
    }
}

#[test]
fn the_clip_matrix_agrees_with_the_projected_point() {
    let (low, high) = (DVec3::splat(-400.0), DVec3::splat(400.0));
    for camera in cameras() {
        for size in SIZES {
            let point = DVec3::new(200.0, -150.0, 80.0);
            let clip = camera.clip_from_world(size, low, high) * point.extend(1.0);
            let ndc = clip.truncate() / clip.w;
            let (ui, _) = camera.ui_from_world(point, size).unwrap();
            let ndc_of_ui = (ui / size * 2.0 - 1.0) * DVec2::new(1.0, -1.0);
            assert_relative_eq!(ndc.truncate(), ndc_of_ui, epsilon = 1e-9);
            assert!(ndc.z.abs() < 1.0, "between near and far");
        }
    }
}

#[test]
fn a_grabbed_point_stays_under_the_pointer_while_panning() {
    for mut camera in cameras() {
        let (size, grabbed) = (SIZES[0], DVec3::new(80.0, -200.0, 120.0));
        let (before, _) = camera.ui_from_world(grabbed, size).unwrap();
        let delta = DVec2::new(37.0, -21.0);
        camera.pan(delta, grabbed, size);
        let (after, _) = camera.ui_from_world(grabbed, size).unwrap();
        assert_relative_eq!(after, before + delta, epsilon = 1e-6);
    }
}

#[test]
fn the_point_under_the_cursor_stays_there_while_zooming() {
    for mut camera in cameras() {
        let (size, seen) = (SIZES[1], DVec3::new(80.0, -200.0, 120.0));
        let (cursor, _) = camera.ui_from_world(seen, size).unwrap();
        for factor in [1.3, 0.4, 2.0] {
            camera.zoom_to(factor, cursor, size, Some(seen));
            assert_relative_eq!(camera.ui_from_world(seen, size).unwrap().0, cursor, epsilon = 1e-6);
        }
        let cursor = DVec2::new(20.0, 700.0);
        let ray = camera.ray_in_world(cursor, size);
        let at_target = ray.at(ray.plane(camera.target, camera.forward()).unwrap());
        camera.zoom_to(1.7, cursor, size, None);
        assert_relative_eq!(camera.ui_from_world(at_target, size).unwrap().0, cursor, epsilon = 1e-6);
    }
}

#[test]
fn zooming_never_passes_the_target_nor_runs_away() {
    let mut camera = Camera::default();
    for _ in 0..1000 {
        camera.zoom_to(1.5, DVec2::ZERO, SIZES[0], None);
    }
    assert_relative_eq!(camera.distance_mm, NEAREST_MM);
    for _ in 0..1000 {
        camera.zoom_to(0.5, DVec2::ZERO, SIZES[0], None);
    }
    assert_relative_eq!(camera.distance_mm, FURTHEST_MM);
    assert!(camera.target.is_finite());
}

#[test]
fn orbiting_leaves_the_pivot_where_it_is_and_up_upright() {
    for mut camera in cameras() {
        let (size, pivot) = (SIZES[0], DVec3::new(10.0, -250.0, 90.0));
        let (before, _) = camera.ui_from_world(pivot, size).unwrap();
        camera.orbit(DVec2::new(140.0, -60.0), pivot);
        assert_relative_eq!(camera.ui_from_world(pivot, size).unwrap().0, before, epsilon = 1e-6);
        assert_relative_eq!(camera.basis().0.z, 0.0);
        assert!(camera.basis().1.z >= -1e-12);
    }
}

#[test]
fn a_fitted_box_is_wholly_in_view_and_fills_it() {
    let (low, high) = (DVec3::new(-100.0, 0.0, 0.0), DVec3::new(900.0, 300.0, 120.0));
    for mut camera in cameras() {
        for size in SIZES {
            camera.fit(low, high, size);
            let mut most = 0.0_f64;
            for corner in corners(low, high) {
                let (ui, _) = camera.ui_from_world(corner, size).unwrap();
                let share = (ui / size - 0.5).abs() * 2.0;
                assert!(share.max_element() <= FIT_SHARE + 1e-9, "{share} {camera:?}");
                most = most.max(share.max_element());
            }
            assert_relative_eq!(most, FIT_SHARE, epsilon = 1e-9);
        }
    }
}

#[test]
fn changing_the_projection_keeps_the_size_at_the_target() {
    for mut camera in cameras() {
        let before = camera.mm_per_point_at(camera.target, SIZES[0]);
        camera.toggle_projection();
        assert_relative_eq!(camera.mm_per_point_at(camera.target, SIZES[0]), before, max_relative = 1e-12);
    }
}

#[test]
fn named_views_show_the_vehicle_as_drawings_do() {
    let mut camera = Camera::default();
    let mut axes = |view| {
        camera.look_from(view);
        let (right, up, _) = camera.basis();
        (right, up)
    };
    for (view, right, up) in [
        (NamedView::Front, DVec3::Y, DVec3::Z),
        (NamedView::Back, DVec3::NEG_Y, DVec3::Z),
        (NamedView::Left, DVec3::NEG_X, DVec3::Z),
        (NamedView::Right, DVec3::X, DVec3::Z),
        (NamedView::Top, DVec3::NEG_Y, DVec3::X),
        (NamedView::Bottom, DVec3::Y, DVec3::X),
    ] {
        let (r, u) = axes(view);
        assert_relative_eq!(r, right, epsilon = 1e-12);
        assert_relative_eq!(u, up, epsilon = 1e-12);
    }
}

#[test]
fn a_camera_on_the_way_starts_and_ends_right_and_takes_the_short_turn() {
    let from = Camera { yaw_rad: 3.0, ..Camera::default() };
    let end = Camera { yaw_rad: -3.0, distance_mm: 100.0, ..Camera::default() };
    assert_relative_eq!(from.toward(&end, 0.0).yaw_rad, 3.0, epsilon = 1e-12);
    assert_relative_eq!(from.toward(&end, 1.0).distance_mm, 100.0, epsilon = 1e-9);
    assert!(from.toward(&end, 0.5).yaw_rad.abs() > 3.0);
}

#[test]
fn nothing_asked_of_it_makes_the_camera_less_than_finite() {
    for projection in [Projection::Perspective, Projection::Parallel] {
        let mut camera = Camera { projection, ..Camera::default() };
        let (nan, none) = (DVec2::NAN, DVec2::ZERO);
        camera.orbit(nan, DVec3::ZERO);
        camera.orbit(DVec2::ONE, DVec3::NAN);
        camera.pan(nan, DVec3::ZERO, none);
        camera.pan(DVec2::ONE, DVec3::INFINITY, none);
        camera.zoom_to(f64::NAN, nan, nan, Some(DVec3::NAN));
        camera.zoom_to(0.0, nan, none, None);
        camera.zoom_to(1.1, nan, none, Some(DVec3::NAN));
        camera.fit(DVec3::NAN, DVec3::ZERO, none);
        camera.fit(DVec3::ZERO, DVec3::ZERO, none);
        camera.fit(DVec3::ONE, DVec3::NEG_ONE, nan);
        assert!(camera.target.is_finite() && camera.distance_mm.is_finite());
        for (low, high) in [(DVec3::ZERO, DVec3::ZERO), (DVec3::NAN, DVec3::INFINITY)] {
            assert!(camera.clip_from_world(none, low, high).is_finite());
            let (near, far) = camera.depth_range(low, high);
            assert!(near < far);
        }
        let ray = camera.ray_in_world(nan, none);
        assert!(ray.origin.is_finite() && ray.dir.is_finite());
        assert_eq!(camera.ui_from_world(DVec3::NAN, none), None);
        assert!(camera.mm_per_point_at(DVec3::NAN, none).is_finite());
    }
}

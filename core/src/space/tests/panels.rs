//! Plates with holes, against closed forms and sampling.

use super::sampling::least_over_surface;
use super::*;
use crate::geom::tolerance::GAP_MM;
use crate::model::obstacle::Hole;
use approx::assert_abs_diff_eq;

fn panel(thickness_mm: f64, holes: &[(f64, f64, f64)]) -> Shape {
    let hole = |&(x_mm, y_mm, diameter_mm): &(f64, f64, f64)| Hole { x_mm, y_mm, diameter_mm };
    Shape::Panel { width_mm: 300.0, height_mm: 200.0, thickness_mm, holes: holes.iter().map(hole).collect() }
}

/// A tube through the origin of the panel, leaning `lean_deg` from upright.
fn through(radius_mm: f64, lean_deg: f64) -> Barrel {
    let travel = DVec3::new(lean_deg.to_radians().sin(), 0.0, lean_deg.to_radians().cos());
    let start = Frame::new(travel * -150.0, travel, DVec3::X);
    Barrel { start, length_mm: 300.0, radius_mm, start_normal: travel, end_normal: travel }
}

#[test]
fn without_holes_a_panel_is_a_box() {
    let mut dice = Dice::new(21);
    let size_mm = DVec3::new(300.0, 200.0, 3.0);
    for n in 0..60 {
        let (solid, pose) = (dice.solid(n, 150.0), dice.pose(250.0));
        let of = |shape: &Shape| gap_to_shape(&solid, &PlacedShape::new(shape, &pose), 1e9);
        assert_eq!(of(&panel(3.0, &[])), of(&Shape::Box { size_mm }));
    }
}

#[test]
fn a_tube_through_the_middle_of_a_hole_has_the_same_room_all_round() {
    let sheet = placed(&panel(2.0, &[(0.0, 0.0, 86.2)]), DVec3::ZERO);
    assert_abs_diff_eq!(to_shape(through(38.1, 0.0), &sheet).gap_mm, 5.0, epsilon = GAP_MM);
    // out of the middle by 3
    let off = placed(&panel(2.0, &[(3.0, 0.0, 86.2)]), DVec3::ZERO);
    assert_abs_diff_eq!(to_shape(through(38.1, 0.0), &off).gap_mm, 2.0, epsilon = GAP_MM);
    // touching the rim by 2: middle lines tell
    let touching = placed(&panel(2.0, &[(7.0, 0.0, 86.2)]), DVec3::ZERO);
    assert_abs_diff_eq!(to_shape(through(38.1, 0.0), &touching).gap_mm, -2.0, epsilon = 0.05);
}

#[test]
fn a_leaning_tube_is_nearest_to_a_rim() {
    for (lean_deg, thickness_mm) in [(5.0_f64, 2.0), (12.0, 3.0), (20.0, 10.0)] {
        let sheet = placed(&panel(thickness_mm, &[(0.0, 0.0, 100.0)]), DVec3::ZERO);
        // least distance from the rims to the axis, sampled finely: d² = |p|² − (p·t)²
        let tube = through(38.1, lean_deg);
        let to_axis = |k: i32| {
            let p = glam::DVec2::from_angle(f64::from(k) * 1e-4) * 50.0;
            let p = p.extend(thickness_mm / 2.0);
            (p.length_squared() - p.dot(tube.start.travel).powi(2)).sqrt()
        };
        let expected = (0..62_832).map(to_axis).fold(f64::INFINITY, f64::min) - 38.1;
        assert_abs_diff_eq!(to_shape(tube, &sheet).gap_mm, expected, epsilon = GAP_MM);
    }
}

#[test]
fn points_of_a_pierced_panel() {
    // the second hole opens the edge at y 100, the third crosses the first
    let holes = [(0.0, 0.0, 80.0), (100.0, 90.0, 60.0), (50.0, 0.0, 60.0)];
    let sheet = placed(&panel(4.0, &holes), DVec3::ZERO);
    let at = |x: f64, y: f64, z: f64| sheet.signed_distance(DVec3::new(x, y, z));
    assert_abs_diff_eq!(at(-30.0, 0.0, 0.0), 10.0, epsilon = 1e-9); // in the hole, 10 from its wall
    assert_abs_diff_eq!(at(-30.0, 0.0, 26.0), 10.0_f64.hypot(24.0), epsilon = 1e-9); // above it
    assert_abs_diff_eq!(at(-100.0, 0.0, 7.0), 5.0, epsilon = 1e-9); // above the material
    assert_abs_diff_eq!(at(-100.0, 0.0, 0.5), -1.5, epsilon = 1e-9); // in it
    assert_abs_diff_eq!(at(-41.0, 0.0, 0.0), -1.0, epsilon = 1e-9); // in it, by the hole's wall
    // where the first and third hole meet the nearest is the cusp at x = (0² + 50² + 40² − 30²) / 100 = 32
    assert_abs_diff_eq!(at(32.0, 0.0, 0.0), 24.0, epsilon = 1e-9);
    // the notch at the edge: beyond the edge, above its middle, the nearest are the ends of the notch
    let half = (30.0_f64 * 30.0 - 100.0).sqrt();
    assert_abs_diff_eq!(at(100.0, 120.0, 0.0), half.hypot(20.0), epsilon = 1e-9);
}

#[test]
fn random_solids_and_pierced_panels_agree_with_sampling() {
    let mut dice = Dice::new(22);
    let (mut apart, mut pierced) = (0, 0);
    for n in 0..700 {
        let holes: Vec<_> = (0..=n % 3)
            .map(|_| (dice.between(-150.0, 150.0), dice.between(-110.0, 110.0), dice.between(10.0, 190.0)))
            .collect();
        let (thickness_mm, pose) = (dice.between(1.0, 12.0), dice.pose(60.0));
        let sheet = PlacedShape::new(&panel(thickness_mm, &holes), &pose);
        let unpierced = PlacedShape::new(&panel(thickness_mm, &[]), &pose);
        let solid = dice.solid(n, 80.0);
        let gap = gap_to_shape(&solid, &sheet, f64::INFINITY).unwrap();
        if gap.gap_mm > 0.0 {
            let sampled = least_over_surface(&solid, &|p| sheet.signed_distance(p));
            assert!(
                (gap.gap_mm - sampled).abs() < 0.05,
                "scene {n}: {gap:?}, sampled {sampled}\n{solid:?}\n{sheet:?}"
            );
            // it would overlap the panel but for the holes
            pierced += usize::from(gap_to_shape(&solid, &unpierced, 0.0).is_some());
            apart += 1;
        }
    }
    assert!(apart > 100 && pierced > 20, "{apart} apart, {pierced} of them in or through a hole");
}

#[test]
fn holes_that_leave_nothing_or_make_no_sense_leave_the_plate_whole() {
    let whole = placed(&panel(2.0, &[]), DVec3::ZERO);
    let tube = through(20.0, 0.0);
    for holes in
        [[(0.0, 0.0, 1000.0)], [(0.0, 0.0, -5.0)], [(f64::NAN, 0.0, 5.0)], [(0.0, 0.0, f64::INFINITY)]]
    {
        let sheet = placed(&panel(2.0, &holes), DVec3::ZERO);
        assert_eq!(to_shape(tube, &sheet), to_shape(tube, &whole), "{holes:?}");
    }
}

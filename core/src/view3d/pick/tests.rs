use super::*;
use crate::geom::{Block, Drum, Frame, Frustum};
use crate::model::{HardpointId, ObstacleId, RunId};
use crate::view3d::scene::{Glow, SceneItem, Shade, Tint};
use approx::assert_relative_eq;

const SHADE: Shade = Shade { tint: Tint::Obstacle, glow: Glow::None };

fn scene(parts: Vec<(Item, Part)>) -> Scene {
    let items = parts.into_iter().map(|(item, part)| SceneItem { item, parts: vec![part] }).collect();
    Scene { items, ..Scene::default() }
}

fn shape(shape: Shape) -> Part {
    Part::Shape(shape, Pose::at(DVec3::ZERO), SHADE)
}

/// Straight down on a place of the ground from 100 mm above.
fn down(x: f64, y: f64) -> Ray {
    Ray { origin: DVec3::new(x, y, 100.0), dir: DVec3::NEG_Z }
}

fn first(part: Part, ray: &Ray) -> Option<f64> {
    let hits = pick(&scene(vec![(Item::Obstacle(ObstacleId(1)), part)]), ray, Slack::default());
    hits.first().map(|h| h.t)
}

#[test]
fn every_solid_is_met_on_its_near_side() {
    let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    let tilt = DVec3::new(0.8, 0.0, 0.6);
    let barrel =
        Barrel { start, length_mm: 100.0, radius_mm: 20.0, start_normal: DVec3::X, end_normal: tilt };
    let solid = |s| Part::Solid(s, SHADE);
    assert_relative_eq!(first(solid(Solid::Barrel(barrel)), &down(50.0, 0.0)).unwrap(), 80.0);
    // the end face leans: at x = 100 the top of the tube is cut away down to z = 0
    assert_relative_eq!(first(solid(Solid::Barrel(barrel)), &down(100.0, 0.0)).unwrap(), 100.0);
    assert_eq!(first(solid(Solid::Barrel(barrel)), &down(120.0, 0.0)), None);
    let drum = Drum { start, length_mm: 30.0, radius_mm: 25.0 };
    assert_relative_eq!(first(solid(Solid::Drum(drum)), &down(15.0, 0.0)).unwrap(), 75.0);
    assert_eq!(first(solid(Solid::Drum(drum)), &down(31.0, 0.0)), None);
    let axes = [DVec3::X, DVec3::Y, DVec3::Z];
    let block = Block { centre: DVec3::ZERO, axes, half_mm: DVec3::new(5.0, 6.0, 7.0) };
    assert_relative_eq!(first(solid(Solid::Block(block)), &down(4.0, 5.0)).unwrap(), 93.0);
}

#[test]
fn a_taper_is_met_on_its_side_and_its_faces() {
    let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    let taper = |end_radius_mm, shift| {
        let f = Frustum { start, length_mm: 100.0, start_radius_mm: 40.0, end_radius_mm, shift };
        Part::Solid(Solid::Frustum(f), SHADE)
    };
    // half way the radius is 30, a quarter of the way 35; rays come down from z = 100
    let plain = || taper(20.0, DVec3::ZERO);
    assert_relative_eq!(first(plain(), &down(50.0, 0.0)).unwrap(), 70.0, epsilon = 1e-9);
    assert_relative_eq!(first(plain(), &down(25.0, 0.0)).unwrap(), 65.0, epsilon = 1e-9);
    assert_eq!(first(plain(), &down(101.0, 0.0)), None);
    assert_eq!(first(plain(), &down(90.0, 25.0)), None, "beside the narrow end");
    // set off downwards by 20 at the end: its flat side is on top where end and start are as high
    assert_relative_eq!(first(taper(20.0, DVec3::Z * 20.0), &down(73.0, 0.0)).unwrap(), 60.0, epsilon = 1e-9);
    // a shifted tube leans, its top with it
    assert_relative_eq!(
        first(taper(40.0, DVec3::Z * -30.0), &down(50.0, 0.0)).unwrap(),
        75.0,
        epsilon = 1e-9
    );
    // along the axis the near face is met
    let along = Ray { origin: DVec3::new(-60.0, 5.0, 5.0), dir: DVec3::X };
    assert_relative_eq!(first(plain(), &along).unwrap(), 60.0, epsilon = 1e-9);
    let back = Ray { origin: DVec3::new(160.0, 5.0, 5.0), dir: DVec3::NEG_X };
    assert_relative_eq!(first(plain(), &back).unwrap(), 60.0, epsilon = 1e-9);
}

#[test]
fn an_elbow_is_met_along_its_arc_and_not_in_its_throat_nor_past_its_ends() {
    let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    let angle_rad = std::f64::consts::FRAC_PI_2;
    let elbow = Elbow { start, toward: DVec3::Y, clr_mm: 60.0, angle_rad, radius_mm: 20.0 };
    let part = || Part::Solid(Solid::Elbow(elbow), SHADE);
    let middle = elbow.frame_at(angle_rad / 2.0).origin;
    assert_relative_eq!(first(part(), &down(middle.x, middle.y)).unwrap(), 80.0, epsilon = 0.3);
    assert_eq!(first(part(), &down(5.0, 55.0)), None, "inside of the bend");
    assert_eq!(first(part(), &down(-5.0, 0.0)), None, "before the first face");
    assert_eq!(first(part(), &down(60.0, 66.0)), None, "past the last face");
}

#[test]
fn every_shape_is_met_and_a_half_space_never() {
    for (s, t) in [
        (Shape::Box { size_mm: DVec3::splat(20.0) }, Some(90.0)),
        (Shape::Cylinder { diameter_mm: 20.0, length_mm: 40.0 }, Some(80.0)),
        (Shape::Capsule { diameter_mm: 20.0, length_mm: 40.0 }, Some(70.0)),
        (Shape::Sphere { diameter_mm: 20.0 }, Some(90.0)),
        (Shape::HalfSpace, None),
    ] {
        assert_eq!(first(shape(s), &down(0.0, 0.0)), t);
    }
}

#[test]
fn a_hole_lets_the_ray_through_and_its_wall_does_not() {
    let hole = |x_mm| Hole { x_mm, y_mm: 0.0, diameter_mm: 40.0 };
    let holes = vec![hole(0.0), hole(30.0)];
    let panel = || {
        let holes = holes.clone();
        shape(Shape::Panel { width_mm: 200.0, height_mm: 100.0, thickness_mm: 4.0, holes })
    };
    assert_eq!(first(panel(), &down(0.0, 0.0)), None);
    assert_eq!(first(panel(), &down(15.0, 0.0)), None, "where two holes overlap");
    assert_relative_eq!(first(panel(), &down(-60.0, 0.0)).unwrap(), 98.0);
    let dir = DVec3::new(-1.0, 0.0, -0.1).try_normalize().unwrap();
    let slanted = Ray { origin: DVec3::new(0.0, 0.0, 2.0), dir };
    let t = first(panel(), &slanted).unwrap();
    assert_relative_eq!(slanted.at(t).x, -20.0, epsilon = 1e-9);
}

#[test]
fn thin_things_are_met_beside_themselves_within_the_slack() {
    let frame = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    let port = Part::Port { frame, radius_mm: 30.0, shade: SHADE };
    let rod = Part::Rod { from: DVec3::ZERO, to: DVec3::X * 100.0, radius_mm: 2.0, shade: SHADE };
    for part in [port, rod] {
        let s = scene(vec![(Item::Hardpoint(HardpointId(1)), part)]);
        assert!(!pick(&s, &down(20.0, 0.0), Slack::default()).is_empty());
        assert!(pick(&s, &down(20.0, 10.0), Slack::default()).is_empty());
        assert!(!pick(&s, &down(20.0, 10.0), Slack { at_origin_mm: 0.0, per_mm: 0.1 }).is_empty());
    }
}

#[test]
fn hits_come_nearest_first_with_item_and_part() {
    let ball = |z| {
        let pose = Pose::at(DVec3::Z * z);
        Part::Shape(Shape::Sphere { diameter_mm: 10.0 }, pose, SHADE)
    };
    let run = Item::Run(RunId(7));
    let mut s = scene(vec![(Item::Obstacle(ObstacleId(1)), ball(-50.0)), (run, ball(0.0))]);
    s.items[1].parts.push(ball(30.0));
    let hits = pick(&s, &down(0.0, 0.0), Slack::default());
    assert_eq!(
        hits.iter().map(|h| (h.item, h.part)).collect::<Vec<_>>(),
        [(run, 1), (run, 0), (Item::Obstacle(ObstacleId(1)), 0)]
    );
    let nan = Ray { origin: DVec3::NAN, dir: DVec3::NAN };
    assert!(pick(&s, &nan, Slack::default()).is_empty());
}

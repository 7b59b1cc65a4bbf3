//! Obstacles by lot, and how far a point is from one: formulas of these tests' own.

use super::hidden::Lot;
use glam::{DQuat, DVec3};
use pipeloft_core::model::{BodyId, Obstacle, ObstacleId, Pose, Project, Shape};

/// An obstacle of some shape and turn; where it is is left open.
pub(crate) fn make(lot: &mut Lot, project: &mut Project, number: usize, gap_mm: f64) -> Obstacle {
    let shape = match number % 4 {
        0 => Shape::Box {
            size_mm: DVec3::new(lot.between(30.0, 300.0), lot.between(30.0, 200.0), lot.between(20.0, 200.0)),
        },
        1 => Shape::Cylinder { diameter_mm: lot.between(20.0, 160.0), length_mm: lot.between(30.0, 400.0) },
        2 => Shape::Capsule { diameter_mm: lot.between(12.0, 60.0), length_mm: lot.between(100.0, 600.0) },
        _ => Shape::Sphere { diameter_mm: lot.between(40.0, 180.0) },
    };
    let turn_deg = DVec3::new(lot.between(-90.0, 90.0), lot.between(-80.0, 80.0), lot.between(-180.0, 180.0));
    Obstacle {
        id: ObstacleId(project.fresh_id()),
        name: format!("Thing {number}"),
        body: BodyId(2),
        shape,
        pose: Pose { position_mm: DVec3::ZERO, turn_deg },
        gap_mm,
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    }
}

/// Signed distance of a point to an obstacle, mm.
pub(crate) fn distance_mm(obstacle: &Obstacle, point: DVec3) -> f64 {
    let turn = |axis: DVec3, deg: f64| DQuat::from_axis_angle(axis, deg.to_radians());
    let t = obstacle.pose.turn_deg;
    let rotation = turn(DVec3::Z, t.z) * turn(DVec3::Y, t.y) * turn(DVec3::X, t.x);
    let p = rotation.conjugate() * (point - obstacle.pose.position_mm);
    match &obstacle.shape {
        Shape::Box { size_mm } => {
            let q = p.abs() - *size_mm / 2.0;
            q.max(DVec3::ZERO).length() + q.max_element().min(0.0)
        }
        Shape::Cylinder { diameter_mm, length_mm } => {
            let (side, top) = (p.x.hypot(p.y) - diameter_mm / 2.0, p.z.abs() - length_mm / 2.0);
            side.max(0.0).hypot(top.max(0.0)) + side.max(top).min(0.0)
        }
        Shape::Capsule { diameter_mm, length_mm } => {
            let z = p.z - p.z.clamp(-length_mm / 2.0, length_mm / 2.0);
            DVec3::new(p.x, p.y, z).length() - diameter_mm / 2.0
        }
        Shape::Sphere { diameter_mm } => p.length() - diameter_mm / 2.0,
        Shape::Panel { .. } | Shape::HalfSpace | Shape::Scan(_) => panic!("no such thing is put here"),
    }
}

//! The view a project opens with: from the side on which most of the pipes can be seen.

use super::camera::{Camera, NamedView};
use super::pick::pick;
use super::ray::Slack;
use super::scene::Scene;
use crate::model::Item;
use crate::report::Report;
use glam::{DVec2, DVec3};
use std::f64::consts::PI;

/// Directions that are tried round the vehicle.
const TRIES: u32 = 8;
/// Heights of the eye that are tried, rad.
const PITCHES: [f64; 2] = [30.0 * PI / 180.0, 48.0 * PI / 180.0];
/// Points of the pipes that are looked for, at most.
const MOST_POINTS: usize = 60;

/// A camera on all pipes (else on everything) from the side from which most of them is seen.
pub fn opening(scene: &Scene, report: &Report, size: DVec2) -> Camera {
    let mut camera = Camera::default();
    camera.look_from(NamedView::Free);
    let ends = report.runs.iter().flat_map(|r| r.built.frames.iter().map(|(a, b)| (a.origin, b.origin)));
    let all: Vec<DVec3> = ends.map(|(a, b)| a.midpoint(b)).filter(|p| p.is_finite()).collect();
    let corners = |points: &[DVec3]| {
        let low = points.iter().copied().reduce(DVec3::min)?;
        let high = points.iter().copied().reduce(DVec3::max)?;
        Some((low, high))
    };
    let Some((low, high)) = corners(&all) else {
        camera.fit(scene.low, scene.high, size);
        return camera;
    };
    let room = DVec3::splat(100.0);
    let points: Vec<DVec3> = all.iter().copied().step_by(all.len().div_ceil(MOST_POINTS)).collect();
    let mut best: Option<(usize, Camera)> = None;
    for step in 0..TRIES {
        for pitch_rad in PITCHES {
            let mut candidate = camera.clone();
            candidate.yaw_rad = camera.yaw_rad + 2.0 * PI * f64::from(step) / f64::from(TRIES);
            candidate.pitch_rad = pitch_rad;
            candidate.fit(low - room, high + room, size);
            let seen = points.iter().filter(|p| is_seen(scene, &candidate, **p, size)).count();
            if best.as_ref().is_none_or(|(most, _)| seen > *most) {
                best = Some((seen, candidate));
            }
        }
    }
    best.map_or(camera, |(_, camera)| camera)
}

/// A hit this near to a place is the place itself, mm.
const AT_THE_PLACE_MM: f64 = 25.0;

/// The camera turned to look at `spot` from not further than `distance_mm`: from where it is if nothing stands before
/// the spot, else from the first side where nothing does, else from where what stands there is nearest to the spot.
pub fn look_at(scene: &Scene, camera: &Camera, spot: DVec3, distance_mm: f64, size: DVec2) -> Camera {
    let mut here = camera.clone();
    here.target = spot;
    here.distance_mm = here.distance_mm.min(distance_mm);
    // how far before the spot the first thing stands
    let before_mm = |candidate: &Camera| {
        let Some((at, _)) = candidate.ui_from_world(spot, size) else { return f64::INFINITY };
        let ray = candidate.ray_in_world(at, size);
        let none = Slack { at_origin_mm: 0.0, per_mm: 0.0 };
        pick(scene, &ray, none).first().map_or(0.0, |h| ray.nearest(spot) - h.t)
    };
    let around = (0..TRIES).flat_map(|step| PITCHES.map(|pitch| (step, pitch))).map(|(step, pitch_rad)| {
        let mut candidate = here.clone();
        candidate.yaw_rad += 2.0 * PI * f64::from(step) / f64::from(TRIES);
        candidate.pitch_rad = pitch_rad;
        candidate
    });
    let mut best = (f64::INFINITY, here.clone());
    for candidate in std::iter::once(here.clone()).chain(around) {
        let mm = before_mm(&candidate);
        if mm < AT_THE_PLACE_MM {
            return candidate;
        }
        if mm < best.0 {
            best = (mm, candidate);
        }
    }
    best.1
}

/// Whether a pipe, not an obstacle, is the first thing towards `point`.
fn is_seen(scene: &Scene, camera: &Camera, point: DVec3, size: DVec2) -> bool {
    let Some((at, _)) = camera.ui_from_world(point, size) else { return false };
    let none = Slack { at_origin_mm: 0.0, per_mm: 0.0 };
    let hits = pick(scene, &camera.ray_in_world(at, size), none);
    hits.first().is_some_and(|h| matches!(h.item, Item::Run(_)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Obstacle, ObstacleId, Pose, Project, Shape};
    use crate::space::scan::Scans;
    use crate::testing::run_through;
    use crate::units::UnitSystem;
    use crate::view3d::{Emphasis, build_scene};

    fn view(project: &Project) -> Camera {
        let report = Report::new(project);
        let built = build_scene(project, &report, &Scans::default(), &Emphasis::default());
        opening(&built.scene, &report, DVec2::new(900.0, 600.0))
    }

    #[test]
    fn a_wall_before_the_pipe_is_looked_round() {
        let (mut project, _) = run_through(&[
            DVec3::ZERO,
            DVec3::X * 300.0,
            DVec3::new(300.0, 300.0, 0.0),
            DVec3::new(600.0, 300.0, 0.0),
        ]);
        let free = view(&project);
        // a wall square to the free view, between it and the pipe
        let side = free.eye() - free.target;
        let yaw = side.y.atan2(side.x).to_degrees();
        project.obstacles.push(Obstacle {
            id: ObstacleId(4000),
            name: "wall".to_owned(),
            body: project.bodies[0].id,
            shape: Shape::Box { size_mm: DVec3::new(10.0, 3000.0, 2000.0) },
            pose: Pose {
                position_mm: free.target + DVec3::new(side.x, side.y, 0.0).normalize_or_zero() * 450.0,
                turn_deg: DVec3::new(0.0, 0.0, yaw),
            },
            gap_mm: 0.0,
            heat_sensitive: false,
            hot_gap_mm: None,
            hidden: false,
        });
        let round = view(&project);
        assert!((round.yaw_rad - free.yaw_rad).abs() > 0.3);
    }

    /// A place in the middle of a pipe, in a room that has walls on all sides: only the pipe itself may stand before it.
    #[test]
    fn a_place_that_is_covered_from_everywhere_is_looked_at_from_where_least_covers_it() {
        let (mut project, run) = run_through(&[DVec3::ZERO, DVec3::X * 900.0, DVec3::new(900.0, 900.0, 0.0)]);
        let spot = DVec3::X * 400.0;
        let mut wall = |id: u32, at: DVec3, size_mm: DVec3| {
            project.obstacles.push(Obstacle {
                id: ObstacleId(id),
                name: "wall".to_owned(),
                body: project.bodies[0].id,
                shape: Shape::Box { size_mm },
                pose: Pose { position_mm: spot + at, turn_deg: DVec3::ZERO },
                gap_mm: 0.0,
                heat_sensitive: false,
                hot_gap_mm: None,
                hidden: false,
            });
        };
        wall(4000, DVec3::Y * 200.0, DVec3::new(4000.0, 10.0, 4000.0));
        wall(4001, DVec3::X * 200.0, DVec3::new(10.0, 4000.0, 4000.0));
        wall(4002, DVec3::X * -200.0, DVec3::new(10.0, 4000.0, 4000.0));
        wall(4003, DVec3::Y * -60.0, DVec3::new(4000.0, 10.0, 4000.0));
        wall(4004, DVec3::Z * 300.0, DVec3::new(4000.0, 4000.0, 10.0));
        wall(4005, DVec3::Z * -300.0, DVec3::new(4000.0, 4000.0, 10.0));
        let report = Report::new(&project);
        let built = build_scene(&project, &report, &Scans::default(), &Emphasis::default());
        let size = DVec2::new(900.0, 600.0);
        // from the far side of the first wall
        let mut behind = Camera { target: spot, distance_mm: 400.0, ..Camera::default() };
        behind.yaw_rad = PI / 2.0;
        let seen = look_at(&built.scene, &behind, spot, 400.0, size);
        let (at, _) = seen.ui_from_world(spot, size).unwrap();
        let none = Slack { at_origin_mm: 0.0, per_mm: 0.0 };
        let hits = pick(&built.scene, &seen.ray_in_world(at, size), none);
        // what is before it there is the wall that stands nearest to it
        assert_eq!(hits.first().map(|h| h.item), Some(Item::Obstacle(ObstacleId(4003))));
        assert!(hits.iter().any(|h| h.item == Item::Run(run.id)));
    }

    #[test]
    fn an_empty_project_has_a_view_too() {
        let camera = view(&Project::new("Empty", UnitSystem::Millimetre));
        assert!(camera.target.is_finite() && camera.distance_mm.is_finite());
    }
}

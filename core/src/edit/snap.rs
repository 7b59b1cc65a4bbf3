//! Drags that catch on what the shop can make: bend angles on a step, or the angle of an elbow used whole.
//!
//! A vertex moves where the drag lets it (an axis, a plane, anywhere). The bend angles at the vertex and its
//! neighbours depend on where it is; the nearest place where one or more of them are makeable is found by
//! Gauss–Newton steps of least length within those directions.

use super::reshape::{entered_points, moved, position};
use crate::geom::vector::{angle_between, unit};
use crate::model::{BendMake, Project, Run, Vertex};
use glam::DVec3;

/// Angles within this of a makeable one are that one, rad.
const CAUGHT_RAD: f64 = 1e-10;
/// Step of the numerical derivatives, mm.
const PROBE_MM: f64 = 1e-3;

/// What a drag may catch on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SnapOptions {
    /// Bend angles that are multiples of this, degrees; 0 for none.
    pub step_deg: f64,
    /// How far the vertex may be pulled, mm.
    pub pull_mm: f64,
}

/// Where the drag was caught and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Snapped {
    /// The place, mm.
    pub position: DVec3,
    /// Bends (counted from 1 along the corners as entered) with their angles, degrees.
    pub caught: Vec<(usize, f64)>,
}

/// The angles at corner `i` of `points`, rad; `None` at the ends and for legs of no length.
fn angle_at(points: &[DVec3], i: usize) -> Option<f64> {
    let u = unit(points.get(i)? - points.get(i.checked_sub(1)?)?)?;
    let w = unit(points.get(i + 1)? - points[i])?;
    Some(angle_between(u, w))
}

/// The makeable angle nearest to `angle_deg` for a bend made like `make`.
fn makeable(project: &Project, make: BendMake, angle_deg: f64, step_deg: f64) -> Option<f64> {
    let step = (step_deg > 0.0)
        .then(|| (angle_deg / step_deg).round() * step_deg)
        .filter(|a| *a > 0.0 && *a < 175.0);
    let whole = match make {
        BendMake::Elbow { elbow } => project.elbow(elbow).map(|e| e.angle_deg),
        BendMake::Mitred { .. } => None,
    };
    [step, whole].into_iter().flatten().min_by(|a, b| (a - angle_deg).abs().total_cmp(&(b - angle_deg).abs()))
}

/// Catches a vertex dragged to `target`, free to move along `free` (unit vectors at right angles, one to three).
/// `None` where nothing makeable is within reach.
pub fn snap(
    project: &Project,
    run: &Run,
    vertex: Vertex,
    target: DVec3,
    free: &[DVec3],
    options: SnapOptions,
) -> Option<Snapped> {
    let index = 1 + run.vertices().iter().position(|v| *v == vertex)?;
    let corners: Vec<usize> = [index, index.wrapping_sub(1), index + 1]
        .into_iter()
        .filter(|&i| i >= 1 && i <= run.vertices().len())
        .collect();
    let points = |at: DVec3| entered_points(project, &moved(project, run, vertex, at));
    let here = points(target)?;
    let start = position(project, &moved(project, run, vertex, target), vertex)?;
    let goals: Vec<(usize, f64)> = corners
        .iter()
        .filter_map(|&i| {
            let make = run.make(*run.vertices().get(i - 1)?)?;
            let angle_deg = angle_at(&here, i)?.to_degrees();
            Some((i, makeable(project, make, angle_deg, options.step_deg)?))
        })
        .collect();
    // one corner alone, then pairs as far as there are directions: most caught first, then least pulled
    let mut tries: Vec<Vec<(usize, f64)>> = goals.iter().map(|g| vec![*g]).collect();
    if free.len() >= 2 {
        for (a, g) in goals.iter().enumerate() {
            tries.extend(goals[a + 1..].iter().map(|h| vec![*g, *h]));
        }
    }
    tries
        .into_iter()
        .filter_map(|goal| {
            let at = pull(&points, start, free, &goal)?;
            (at.distance(start) <= options.pull_mm).then_some(Snapped { position: at, caught: goal })
        })
        .min_by(|a, b| {
            let far = |s: &Snapped| s.position.distance(start);
            b.caught.len().cmp(&a.caught.len()).then_with(|| far(a).total_cmp(&far(b)))
        })
}

/// The run with `vertex` moved as little as needed so that its bend turns `angle_rad`; `None` where that cannot be
/// found near by.
pub fn turned_to(project: &Project, run: &Run, vertex: Vertex, angle_rad: f64) -> Option<Run> {
    let index = 1 + run.vertices().iter().position(|v| *v == vertex)?;
    let start = position(project, run, vertex)?;
    let free = match super::reshape::slide_axis(project, run, vertex) {
        Some((_, axis)) => vec![axis],
        None => vec![DVec3::X, DVec3::Y, DVec3::Z],
    };
    let points = |at: DVec3| entered_points(project, &moved(project, run, vertex, at));
    let at = pull(&points, start, &free, &[(index, angle_rad.to_degrees())])?;
    Some(moved(project, run, vertex, at))
}

/// Moves from `start` within `free` until every corner of `goal` has its angle. `None` where that does not settle.
fn pull(
    points: &dyn Fn(DVec3) -> Option<Vec<DVec3>>,
    start: DVec3,
    free: &[DVec3],
    goal: &[(usize, f64)],
) -> Option<DVec3> {
    let miss = |at: DVec3| -> Option<Vec<f64>> {
        let p = points(at)?;
        goal.iter().map(|(i, deg)| Some(angle_at(&p, *i)? - deg.to_radians())).collect()
    };
    let mut at = start;
    for _ in 0..20 {
        let now = miss(at)?;
        if now.iter().all(|m| m.abs() < CAUGHT_RAD) {
            return Some(at);
        }
        // gradient of each angle within the free directions
        let gradients: Vec<DVec3> = {
            let mut g = vec![DVec3::ZERO; goal.len()];
            for direction in free {
                let (plus, minus) = (miss(at + *direction * PROBE_MM)?, miss(at - *direction * PROBE_MM)?);
                for (k, g) in g.iter_mut().enumerate() {
                    *g += *direction * ((plus[k] - minus[k]) / (2.0 * PROBE_MM));
                }
            }
            g
        };
        at += least_step(&gradients, &now)?;
        if !at.is_finite() {
            return None;
        }
    }
    None
}

/// The shortest step that brings one or two linear misses to zero: `−Gᵀ(GGᵀ)⁻¹m`.
fn least_step(gradients: &[DVec3], miss: &[f64]) -> Option<DVec3> {
    match (gradients, miss) {
        ([g], [m]) => {
            let square = g.length_squared();
            (square > 1e-16).then(|| *g * (-m / square))
        }
        ([g, h], [m, n]) => {
            let (a, b, c) = (g.length_squared(), g.dot(*h), h.length_squared());
            let det = a * c - b * b;
            if det <= 1e-8 * a * c {
                return None;
            }
            let (x, y) = ((c * m - b * n) / det, (a * n - b * m) / det);
            Some(-(*g * x + *h * y))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fab::trace;
    use crate::testing::run_through;
    use approx::assert_relative_eq;

    fn sample() -> (Project, Run) {
        run_through(&[
            DVec3::ZERO,
            DVec3::X * 300.0,
            DVec3::new(520.0, 215.0, 0.0),
            DVec3::new(900.0, 300.0, 0.0),
            DVec3::new(1200.0, 300.0, 0.0),
        ])
    }

    const OPTIONS: SnapOptions = SnapOptions { step_deg: 15.0, pull_mm: 60.0 };

    #[test]
    fn a_corner_on_its_axis_catches_the_step_next_to_it() {
        let (project, run) = sample();
        let caught = snap(&project, &run, Vertex::Start, DVec3::X * 300.0, &[DVec3::X], OPTIONS).unwrap();
        let run = moved(&project, &run, Vertex::Start, caught.position);
        let route = trace(&project, &run).unwrap();
        let angles: Vec<f64> = route.bends.iter().map(|b| b.angle_rad.to_degrees()).collect();
        for (bend, deg) in &caught.caught {
            assert_relative_eq!(angles[bend - 1], *deg, epsilon = 1e-6);
            assert_relative_eq!(deg % 15.0, 0.0);
        }
    }

    #[test]
    fn a_free_waypoint_catches_two_angles_at_once() {
        let (project, run) = sample();
        let vertex = run.vertices()[1];
        let caught =
            snap(&project, &run, vertex, DVec3::new(520.0, 215.0, 0.0), &[DVec3::X, DVec3::Y], OPTIONS)
                .unwrap();
        assert_eq!(caught.caught.len(), 2);
        let route = trace(&project, &moved(&project, &run, vertex, caught.position)).unwrap();
        for (bend, deg) in &caught.caught {
            assert_relative_eq!(route.bends[bend - 1].angle_rad.to_degrees(), *deg, epsilon = 1e-6);
        }
    }

    #[test]
    fn out_of_reach_or_switched_off_nothing_is_caught() {
        let (project, run) = sample();
        let tight = SnapOptions { pull_mm: 0.01, ..OPTIONS };
        assert_eq!(snap(&project, &run, Vertex::Start, DVec3::X * 300.0, &[DVec3::X], tight), None);
        let off = SnapOptions { step_deg: 0.0, ..OPTIONS };
        assert_eq!(snap(&project, &run, Vertex::Start, DVec3::X * 300.0, &[DVec3::X], off), None);
    }
}

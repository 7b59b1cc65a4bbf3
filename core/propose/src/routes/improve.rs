//! Makes a good line cheaper: leaves out vertices, merges bends, and slides along what is in the way.

use super::check::fault;
use super::field::Field;
use super::line::Line;
use super::repair::{Freedoms, Manner, Repaired, repair};
use super::task::Task;
use glam::DVec3;

/// A line that was proved good.
#[derive(Debug, Clone)]
pub(super) struct Good {
    /// Its vertices.
    pub(super) vertices: Vec<DVec3>,
    /// It.
    pub(super) line: Line,
    /// What it costs, mm of tube.
    pub(super) cost: f64,
}

/// What is missing in all may be no more for a second look to be worth while, mm².
const NEAR_MISS: f64 = 3000.0;

/// The same at the worst place, mm.
const NEAR_MISS_MM: f64 = 25.0;

/// The line through `vertices`, if it is good.
pub(super) fn good(task: &Task, vertices: Vec<DVec3>) -> Option<Good> {
    let line = task.line(&vertices)?;
    if fault(task, &line).is_some() {
        return None;
    }
    let cost = task.cost(&line);
    Some(Good { vertices, line, cost })
}

/// Repairs a rough line; `None` where it does not come to a good one. What was missing comes with that.
pub(super) fn mended(task: &Task, vertices: &[DVec3], steps: usize) -> Result<Good, Option<Repaired>> {
    let manner = Manner { steps, ..Manner::EXACT };
    let Some(done) = repair(task, vertices, &manner) else { return Err(None) };
    if done.worst_mm > 1.0 {
        return Err(Some(done));
    }
    if let Some(good) = good(task, done.vertices.clone()) {
        return Ok(good);
    }
    let Some(fine) = repair(task, &done.vertices, &Manner::FINE) else { return Err(Some(done)) };
    good(task, fine.vertices.clone()).ok_or(Some(fine))
}

/// Repairs a rough line with all means: first roughly in cells where there are scans, then exactly, then once more with a
/// vertex more or less.
pub(super) fn forced(task: &Task, vertices: &[DVec3], field: Option<&Field>) -> Option<Good> {
    let mut from = vertices.to_vec();
    if let Some(field) = field.filter(|_| task.room.has_scans()) {
        let manner = Manner { steps: 25, field: Some(field), ..Manner::EXACT };
        let rough = repair(task, &from, &manner)?;
        if rough.sum > NEAR_MISS || rough.worst_mm > NEAR_MISS_MM {
            return None;
        }
        from = rough.vertices;
    }
    let missed = match mended(task, &from, Manner::EXACT.steps) {
        Ok(good) => return Some(good),
        Err(missed) => missed?,
    };
    if missed.sum > NEAR_MISS {
        return None;
    }
    let mut tries: Vec<Vec<DVec3>> = Vec::new();
    if let Some((piece, at, away)) = missed.worst_place
        && missed.vertices.len() < task.most_bends
    {
        // between the vertices on both sides of the worst place
        let after = piece.div_ceil(2).clamp(1, missed.vertices.len().saturating_sub(1).max(1));
        let mut more = missed.vertices.clone();
        more.insert(after.min(more.len()), at + away * 25.0);
        tries.push(more);
    }
    if let Some(leg) = missed.worst_leg {
        tries.extend(merged(task, &missed.vertices, leg - 1));
    }
    tries.into_iter().find_map(|t| mended(task, &t, Manner::EXACT.steps).ok())
}

/// The vertices with those of bend `first` and the next made one, where the outer legs of both come nearest to each other.
fn merged(task: &Task, vertices: &[DVec3], first: usize) -> Option<Vec<DVec3>> {
    let least = if task.end.1.is_some() { 2 } else { 1 };
    if vertices.len() <= least || first + 1 >= vertices.len() {
        return None;
    }
    let line = task.line(vertices)?;
    let (a, u) = (vertices[first], line.ways[first]);
    let (b, w) = (vertices[first + 1], line.ways[first + 2]);
    let across = u.cross(w).length_squared();
    let at = if across < 1e-6 {
        a.midpoint(b)
    } else {
        let between = b - a;
        let s = between.cross(w).dot(u.cross(w)) / across;
        let t = between.cross(u).dot(u.cross(w)) / across;
        (a + u * s).midpoint(b + w * t)
    };
    // one that runs away is no corner
    let far_mm = 3.0 * (a.distance(b) + task.clr_mm);
    let at = if at.distance(a.midpoint(b)) > far_mm { a.midpoint(b) } else { at };
    let mut out = vertices.to_vec();
    out.remove(first + 1);
    out[first] = at;
    Some(out)
}

/// The line with as few bends as it can do with, and slid as cheap as it goes.
pub(super) fn improved(task: &Task, from: Good) -> Good {
    let mut best = from;
    let least = if task.end.1.is_some() { 2 } else { 1 };
    'again: loop {
        if best.vertices.len() <= least {
            break;
        }
        let fewer = (0..best.vertices.len()).map(|i| {
            let mut v = best.vertices.clone();
            v.remove(i);
            v
        });
        let merged = (0..best.vertices.len() - 1).filter_map(|i| merged(task, &best.vertices, i));
        for vertices in fewer.chain(merged).collect::<Vec<_>>() {
            if let Ok(good) = mended(task, &vertices, 20)
                && good.cost < best.cost
            {
                best = good;
                continue 'again;
            }
        }
        break;
    }
    polished(task, best)
}

/// The line slid against the slope of its cost, as far as it stays good.
pub(super) fn polished(task: &Task, from: Good) -> Good {
    let mut best = from;
    let Some(free) = Freedoms::of(task, best.vertices.len()) else { return best };
    let mut step_mm = 40.0;
    for _ in 0..60 {
        if step_mm < 0.7 {
            break;
        }
        let values = free.values(&best.vertices);
        let base = task.smooth_cost(&best.line);
        let mut slope = Vec::with_capacity(values.len());
        let mut moved = values.clone();
        for v in 0..values.len() {
            moved[v] += 1e-3;
            let cost = task.line(&free.vertices(&moved)).map_or(base, |l| task.smooth_cost(&l));
            slope.push((cost - base) / 1e-3);
            moved[v] = values[v];
        }
        let steepest = slope.iter().map(|s| s * s).sum::<f64>().sqrt();
        if steepest < 1e-6 {
            break;
        }
        let next: Vec<f64> = values.iter().zip(&slope).map(|(v, s)| v - s / steepest * step_mm).collect();
        match mended(task, &free.vertices(&next), 8) {
            Ok(good) if good.cost < best.cost - 1e-6 => {
                best = good;
                step_mm = (step_mm * 1.4).min(80.0);
            }
            Ok(_) | Err(_) => step_mm *= 0.45,
        }
    }
    best
}

/// Whether two lines are one route: neither is anywhere further than `within_mm` from the other.
pub(super) fn alike(a: &Line, b: &Line, within_mm: f64) -> bool {
    let (a, b) = (a.points_along(15.0), b.points_along(15.0));
    let near =
        |p: &DVec3, others: &[DVec3]| others.iter().any(|q| p.distance_squared(*q) < within_mm * within_mm);
    a.iter().all(|p| near(p, &b)) && b.iter().all(|p| near(p, &a))
}

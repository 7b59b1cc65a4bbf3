//! Routes of no, one and two bends: these are laid out on the axes of the two ends and need no search in space.

use super::check::{gap_fault, own_fault, shape_fault};
use super::line::Line;
use super::task::Task;
use glam::DVec3;

/// Axes that pass each other closer than this meet, mm.
const MEET_MM: f64 = 1e-6;

/// Steps along each axis.
const GRID: usize = 24;

/// Lines of two bends that are checked against what is in the way.
const MOST_CHECKS: usize = 150;

/// The same among scans, where each takes longer.
const MOST_CHECKS_SCAN: usize = 40;

/// The straight pipe, where both ends lie on one line.
pub(super) fn straight(task: &Task) -> Option<Vec<DVec3>> {
    let line = task.line(&[])?;
    fits(task, &line).then(Vec::new)
}

fn fits(task: &Task, line: &Line) -> bool {
    shape_fault(task, line).is_none() && gap_fault(task, line).is_none() && own_fault(task, line).is_none()
}

/// Where the two axes meet, and how far they pass each other, mm; `None` where they are parallel or there is one only.
pub(super) fn meeting(task: &Task) -> Option<(DVec3, f64)> {
    let (ps, ts) = task.start;
    let (pe, te) = (task.end.0, task.end.1?);
    let across = ts.cross(te);
    let square = across.length_squared();
    if square < 1e-18 {
        return None;
    }
    let between = pe - ps;
    let skew_mm = between.dot(across).abs() / square.sqrt();
    let along_mm = between.cross(te).dot(across) / square;
    Some((ps + ts * along_mm, skew_mm))
}

/// The pipe with one bend, where the axes meet.
pub(super) fn one_bend(task: &Task) -> Option<Vec<DVec3>> {
    let (at, skew_mm) = meeting(task)?;
    if skew_mm > MEET_MM {
        return None;
    }
    let line = task.line(&[at])?;
    fits(task, &line).then(|| vec![at])
}

/// The two vertices so far out along both axes, mm.
fn vertices(task: &Task, end: DVec3, (a, c): (f64, f64)) -> Vec<DVec3> {
    vec![task.start.0 + task.start.1 * a, task.end.0 - end * c]
}

/// Pipes with two bends, cheapest first, that differ by more than a tube's width; at most `most`.
pub(super) fn two_bends(task: &Task, most: usize) -> Vec<Vec<DVec3>> {
    let Some(end) = task.end.1 else { return Vec::new() };
    let span_mm = task.start.0.distance(task.end.0) + 4.0 * task.clr_mm;
    let at = |least: f64, i: usize| least + span_mm * (i as f64 / (GRID - 1) as f64).powf(1.6);
    let mut shapes: Vec<(f64, (f64, f64))> = Vec::new();
    for i in 0..GRID {
        for j in 0..GRID {
            let from = (at(task.ends_mm.0 + 1.0, i), at(task.ends_mm.1 + 1.0, j));
            let Some(line) = task.line(&vertices(task, end, from)) else { continue };
            // a bend with just too little room moves out until it has it
            let reach = (
                from.0.max(task.ends_mm.0 + line.tangents[0]),
                from.1.max(task.ends_mm.1 + line.tangents[1]),
            );
            let Some(line) = task.line(&vertices(task, end, reach)) else { continue };
            if shape_fault(task, &line).is_none() {
                shapes.push((task.cost(&line), reach));
            }
        }
    }
    shapes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out: Vec<(Vec<DVec3>, f64)> = Vec::new();
    let checks = if task.room.has_scans() { MOST_CHECKS_SCAN } else { MOST_CHECKS };
    let mut done = 0;
    for (_, reach) in shapes {
        let candidate = vertices(task, end, reach);
        let apart = |other: &[DVec3]| {
            let far = |i: usize| other[i].distance(candidate[i]) > 2.0 * task.radius_mm;
            far(0) || far(1)
        };
        if !out.iter().all(|(o, _)| apart(o)) {
            continue;
        }
        done += 1;
        if done > checks || out.len() >= most {
            break;
        }
        let Some(line) = task.line(&candidate) else { continue };
        if gap_fault(task, &line).is_none() && own_fault(task, &line).is_none() {
            let better = settled(task, end, reach);
            out.push(better);
        }
    }
    out.sort_by(|a, b| a.1.total_cmp(&b.1));
    out.into_iter().map(|(v, _)| v).collect()
}

/// The cheapest pipe with two bends that a good one slides to.
pub(super) fn settled(task: &Task, end: DVec3, reach: (f64, f64)) -> (Vec<DVec3>, f64) {
    let cost = |reach: (f64, f64)| {
        let line = task.line(&vertices(task, end, reach)).filter(|_| reach.0 > 0.0 && reach.1 > 0.0)?;
        Some((task.cost(&line), reach, line))
    };
    let (mut at, mut best) = (reach, cost(reach).map_or(f64::INFINITY, |c| c.0));
    let mut step = 32.0;
    // among scans every look takes long
    let finest = if task.room.has_scans() { 0.1 } else { 1e-4 };
    while step > finest {
        let tries = (0..16).filter_map(|k| {
            let (sin, cos) = (std::f64::consts::PI * f64::from(k) / 8.0).sin_cos();
            cost((at.0 + step * cos, at.1 + step * sin)).filter(|c| c.0 < best - 1e-9)
        });
        let mut tries: Vec<_> = tries.collect();
        tries.sort_by(|a, b| a.0.total_cmp(&b.0));
        match tries.into_iter().find(|(_, _, line)| fits(task, line)) {
            Some((cost, reach, _)) => (at, best) = (reach, cost),
            None => step /= 2.0,
        }
    }
    (vertices(task, end, at), best)
}

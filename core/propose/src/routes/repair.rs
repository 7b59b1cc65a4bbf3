//! Moves the vertices of a rough line until everything that is asked of it holds: Levenberg and Marquardt's least squares
//! over what is missing (the form of the damping is our own).
//!
//! What varies is how far the first and the last vertex lie along the axes of the ends, and where the others lie. A line
//! that only turns one corner between two given ends has nothing to vary.

use super::field::Field;
use super::line::{Line, Place};
use super::task::{LEAST_BEND_RAD, Task};
use glam::DVec3;

/// How a repair is to go about it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Manner<'a> {
    /// Most steps.
    pub(super) steps: usize,
    /// Places along the line are looked at so far apart, mm.
    pub(super) sample_mm: f64,
    /// Gaps are made so much wider than needed, mm.
    pub(super) margin_mm: f64,
    /// What each bend has to turn, rad, where that is given.
    pub(super) turns: Option<&'a [f64]>,
    /// Distances are taken from this field instead of from the things themselves.
    pub(super) field: Option<&'a Field>,
}

impl Manner<'_> {
    /// Exact distances at places 8 mm apart.
    pub(super) const EXACT: Self =
        Self { steps: 40, sample_mm: 8.0, margin_mm: 0.2, turns: None, field: None };
    /// The same again where the first is done but not proved.
    pub(super) const FINE: Self =
        Self { steps: 40, sample_mm: 2.5, margin_mm: 0.06, turns: None, field: None };
}

/// What came of a repair.
#[derive(Debug, Clone)]
pub(super) struct Repaired {
    /// The vertices.
    pub(super) vertices: Vec<DVec3>,
    /// Sum of the squares of what is missing, mm².
    pub(super) sum: f64,
    /// The most that is missing anywhere, mm.
    pub(super) worst_mm: f64,
    /// The worst place: which piece it is on, where, and the way out of there.
    pub(super) worst_place: Option<(usize, DVec3, DVec3)>,
    /// The straight between two bends that is short by most.
    pub(super) worst_leg: Option<usize>,
}

/// A bend that is too sharp is told a little earlier than it is, rad.
const ANGLE_SLACK_RAD: f64 = 1e-4;

/// Straights are made so much longer than needed, mm.
const STRAIGHT_SLACK_MM: f64 = 0.01;

/// What the gap to itself is made wider, mm.
const OWN_SLACK_MM: f64 = 0.4;

/// The vertices move by this for a derivative, mm.
const EPS_MM: f64 = 1e-3;

/// No variable moves further in one step, mm.
const MOST_STEP_MM: f64 = 50.0;

/// One thing that is missing.
#[derive(Debug, Clone, Copy)]
enum Row {
    Straight(usize),
    Over(usize),
    Under(usize),
    Turn(usize),
    Place(Place, DVec3),
    Pair(Place, Place, DVec3),
}

/// The freedoms of a line.
pub(super) struct Freedoms<'a> {
    task: &'a Task,
    bends: usize,
}

impl<'a> Freedoms<'a> {
    /// Those of a line of so many bends; `None` where it has none.
    pub(super) fn of(task: &'a Task, bends: usize) -> Option<Self> {
        let least = if task.end.1.is_some() { 2 } else { 1 };
        (bends >= least).then_some(Self { task, bends })
    }

    fn last_slides(&self) -> bool {
        self.task.end.1.is_some()
    }

    pub(super) fn values(&self, vertices: &[DVec3]) -> Vec<f64> {
        let (at, way) = self.task.start;
        let mut out = vec![(vertices[0] - at).dot(way)];
        let last = if self.last_slides() { self.bends - 1 } else { self.bends };
        for v in &vertices[1..last] {
            out.extend([v.x, v.y, v.z]);
        }
        if let Some(way) = self.task.end.1 {
            out.push((self.task.end.0 - vertices[self.bends - 1]).dot(way));
        }
        out
    }

    pub(super) fn vertices(&self, values: &[f64]) -> Vec<DVec3> {
        let (at, way) = self.task.start;
        let mut out = vec![at + way * values[0]];
        let last = if self.last_slides() { self.bends - 1 } else { self.bends };
        for i in 1..last {
            let at = 3 * i - 2;
            out.push(DVec3::new(values[at], values[at + 1], values[at + 2]));
        }
        if let Some(way) = self.task.end.1 {
            out.push(self.task.end.0 - way * values[values.len() - 1]);
        }
        out
    }

    /// Which vertex a variable moves.
    fn vertex_of(&self, value: usize) -> usize {
        // the free vertices before the last one have three each
        let last = 3 * self.bends.saturating_sub(2) + 1;
        if value == 0 {
            0
        } else if self.last_slides() && value == last {
            self.bends - 1
        } else {
            value.div_ceil(3)
        }
    }
}

fn rows(task: &Task, line: &Line, manner: &Manner<'_>) -> Vec<(Row, f64)> {
    let mut out = Vec::new();
    let legs = line.legs.len();
    for leg in 0..legs {
        let short_mm = task.shortest_mm(leg, legs) + STRAIGHT_SLACK_MM - line.straight_mm(leg);
        if short_mm > 0.0 {
            out.push((Row::Straight(leg), short_mm));
        }
    }
    for (bend, angle) in line.angles.iter().enumerate() {
        if let Some(turn) = manner.turns.and_then(|t| t.get(bend)) {
            out.push((Row::Turn(bend), (angle - turn) * line.radii_mm[bend]));
            continue;
        }
        let over = angle + ANGLE_SLACK_RAD - task.bend(bend, line.bends()).most_rad;
        let under = LEAST_BEND_RAD + ANGLE_SLACK_RAD - angle;
        if over > 0.0 {
            out.push((Row::Over(bend), over * line.radii_mm[bend]));
        } else if under > 0.0 {
            out.push((Row::Under(bend), under * line.radii_mm[bend]));
        }
    }
    let total_mm = line.length_mm();
    let places = line.places(manner.sample_mm);
    let points: Vec<DVec3> = places.iter().map(|p| line.at(p.piece, p.part)).collect();
    let over: Vec<f64> = (0..line.bends()).map(|i| task.over_mm(line, i)).collect();
    for (place, point) in places.iter().zip(&points) {
        let (outside_mm, back) = task.room.outside(*point);
        if outside_mm > 0.0 {
            out.push((Row::Place(*place, back), outside_mm + 0.01));
        }
        let more_mm = if place.piece.is_multiple_of(2) { 0.0 } else { over[place.piece / 2] };
        let wanted_mm = manner.margin_mm + more_mm;
        if let Some(field) = manner.field {
            let (spare_mm, away) = field.look(*point);
            let missing_mm = more_mm - field.cell_mm / 4.0 - spare_mm;
            if missing_mm > 0.0 {
                out.push((Row::Place(*place, away), missing_mm));
            }
            continue;
        }
        let ends_mm = (place.along_mm, total_mm - place.along_mm);
        if let Some(near) = task.room.nearest(*point, ends_mm, wanted_mm) {
            out.push((Row::Place(*place, near.away), wanted_mm - near.spare_mm));
        }
    }
    own_rows(task, (&places, &points), over.iter().copied().fold(0.0, f64::max), &mut out);
    out
}

/// Where the line comes too near to itself.
fn own_rows(task: &Task, (places, points): (&[Place], &[DVec3]), over_mm: f64, out: &mut Vec<(Row, f64)>) {
    let asked_mm = 2.0 * task.radius_mm + task.own_gap_mm + OWN_SLACK_MM + over_mm;
    let total_mm = places.last().map_or(0.0, |p| p.along_mm);
    if total_mm <= task.own_near_mm {
        return;
    }
    let step_mm = total_mm / places.len() as f64;
    for (i, (place, p)) in places.iter().zip(points).enumerate() {
        let mut j = i + 1;
        while let (Some(other), Some(q)) = (places.get(j), points.get(j)) {
            let apart_mm = other.along_mm - place.along_mm;
            let mm = p.distance(*q);
            if apart_mm >= task.own_near_mm && mm < asked_mm {
                let away = (*p - *q).try_normalize().unwrap_or(DVec3::Z);
                out.push((Row::Pair(*place, *other, away), asked_mm - mm));
            }
            let skip_mm = (task.own_near_mm - apart_mm).max(mm - asked_mm).max(0.0);
            j += ((0.5 * skip_mm / step_mm) as usize).max(1);
        }
    }
}

fn squares(rows: &[(Row, f64)]) -> f64 {
    rows.iter().map(|(_, r)| r * r).sum()
}

/// The matrix and the right-hand side of the least squares.
fn normal_equations(
    free: &Freedoms<'_>,
    line: &Line,
    values: &[f64],
    rows: &[(Row, f64)],
) -> Option<(Vec<f64>, Vec<f64>)> {
    let n = values.len();
    let here: Vec<(DVec3, DVec3)> = rows
        .iter()
        .map(|(row, _)| match row {
            Row::Place(p, _) => (line.at(p.piece, p.part), DVec3::ZERO),
            Row::Pair(p, q, _) => (line.at(p.piece, p.part), line.at(q.piece, q.part)),
            Row::Straight(_) | Row::Over(_) | Row::Under(_) | Row::Turn(_) => (DVec3::ZERO, DVec3::ZERO),
        })
        .collect();
    let mut jacobian = vec![0.0; rows.len() * n];
    let mut moved = values.to_vec();
    for v in 0..n {
        moved[v] = values[v] + EPS_MM;
        let other = free.task.line(&free.vertices(&moved))?;
        moved[v] = values[v];
        let point = free.vertex_of(v) + 1;
        let touched = |piece: usize| piece + 4 >= 2 * point && piece <= 2 * point + 2;
        for (i, ((row, _), at)) in rows.iter().zip(&here).enumerate() {
            let change = match row {
                Row::Straight(leg) => line.straight_mm(*leg) - other.straight_mm(*leg),
                Row::Over(bend) | Row::Turn(bend) => {
                    (other.angles[*bend] - line.angles[*bend]) * line.radii_mm[*bend]
                }
                Row::Under(bend) => (line.angles[*bend] - other.angles[*bend]) * line.radii_mm[*bend],
                Row::Place(p, away) => {
                    if !touched(p.piece) {
                        continue;
                    }
                    (at.0 - other.at(p.piece, p.part)).dot(*away)
                }
                Row::Pair(p, q, away) => {
                    let moved = (other.at(p.piece, p.part) - at.0) - (other.at(q.piece, q.part) - at.1);
                    -moved.dot(*away)
                }
            };
            jacobian[i * n + v] = change / EPS_MM;
        }
    }
    let (mut a, mut g) = (vec![0.0; n * n], vec![0.0; n]);
    for ((_, r), row) in rows.iter().zip(jacobian.chunks_exact(n)) {
        for i in 0..n {
            if row[i] == 0.0 {
                continue;
            }
            g[i] += row[i] * r;
            for j in 0..=i {
                a[i * n + j] += row[i] * row[j];
            }
        }
    }
    Some((a, g))
}

/// Solves `(A + damping)·x = −g` by Cholesky's way; `None` where that cannot be.
fn solve(a: &[f64], g: &[f64], lambda: f64) -> Option<Vec<f64>> {
    let n = g.len();
    let mut l = a.to_vec();
    for i in 0..n {
        l[i * n + i] += lambda * (1.0 + 0.1 * a[i * n + i]);
    }
    for i in 0..n {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| l[i * n + k] * l[j * n + k]).sum();
            let rest = l[i * n + j] - sum;
            if i == j {
                if rest <= 0.0 {
                    return None;
                }
                l[i * n + i] = rest.sqrt();
            } else {
                l[i * n + j] = rest / l[j * n + j];
            }
        }
    }
    let mut x: Vec<f64> = g.iter().map(|v| -v).collect();
    for i in 0..n {
        let sum: f64 = (0..i).map(|k| l[i * n + k] * x[k]).sum();
        x[i] = (x[i] - sum) / l[i * n + i];
    }
    for i in (0..n).rev() {
        let sum: f64 = (i + 1..n).map(|k| l[k * n + i] * x[k]).sum();
        x[i] = (x[i] - sum) / l[i * n + i];
    }
    x.iter().all(|v| v.is_finite()).then_some(x)
}

/// Moves `vertices` until nothing is missing, or no step gains.
pub(super) fn repair(task: &Task, vertices: &[DVec3], manner: &Manner<'_>) -> Option<Repaired> {
    let free = Freedoms::of(task, vertices.len())?;
    let mut values = free.values(vertices);
    let mut line = task.line(&free.vertices(&values))?;
    let mut missing = rows(task, &line, manner);
    let mut sum = squares(&missing);
    let mut lambda = 0.3;
    let mut history = vec![sum];
    // what has to be met exactly is met to the last digits
    let enough = if manner.turns.is_some() { 1e-12 } else { 0.0 };
    for _ in 0..manner.steps {
        if sum <= enough {
            break;
        }
        let Some((a, g)) = normal_equations(&free, &line, &values, &missing) else { break };
        let mut better = false;
        for _ in 0..6 {
            let Some(mut step) = solve(&a, &g, lambda) else {
                lambda *= 4.0;
                continue;
            };
            let most = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
            if most > MOST_STEP_MM {
                for s in &mut step {
                    *s *= MOST_STEP_MM / most;
                }
            }
            let next: Vec<f64> = values.iter().zip(&step).map(|(v, s)| v + s).collect();
            let tried = task.line(&free.vertices(&next));
            if let Some(next_line) = tried {
                let next_missing = rows(task, &next_line, manner);
                let next_sum = squares(&next_missing);
                if next_sum < sum {
                    (values, line, missing, sum) = (next, next_line, next_missing, next_sum);
                    lambda = (lambda * 0.3).max(1e-9);
                    better = true;
                    break;
                }
            }
            lambda *= 4.0;
        }
        history.push(sum);
        let stuck = history.len() > 7 && sum > 0.7 * history[history.len() - 8];
        if !better || (stuck && manner.turns.is_none()) {
            break;
        }
    }
    let mut out =
        Repaired { vertices: free.vertices(&values), sum, worst_mm: 0.0, worst_place: None, worst_leg: None };
    let (mut place_mm, mut leg_mm) = (0.0, 0.0);
    for (row, mm) in &missing {
        out.worst_mm = out.worst_mm.max(mm.abs());
        match row {
            Row::Place(p, away) if *mm > place_mm => {
                place_mm = *mm;
                out.worst_place = Some((p.piece, line.at(p.piece, p.part), *away));
            }
            Row::Straight(leg) if *mm > leg_mm && *leg > 0 && leg + 1 < line.legs.len() => {
                leg_mm = *mm;
                out.worst_leg = Some(*leg);
            }
            Row::Place(..)
            | Row::Straight(_)
            | Row::Over(_)
            | Row::Under(_)
            | Row::Turn(_)
            | Row::Pair(..) => {}
        }
    }
    Some(out)
}

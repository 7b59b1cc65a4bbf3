//! Rough ways through the cells of a field: down two trees of shortest ways, one from each end, through a cell taken by
//! lot. Own method.

use super::field::Field;
use super::random::Random;
use super::task::Task;
use glam::DVec3;

/// Beyond this a cell is closed, mm that the pipe's middle is too near.
const CLOSED_MM: f64 = 30.0;

/// Shortest ways from one end.
struct Tree {
    /// Length of the way to each cell, mm, dearer ones counted longer.
    far_mm: Vec<f32>,
    /// The cell before.
    before: Vec<u32>,
}

/// Both trees.
pub(super) struct Guides<'a> {
    task: &'a Task,
    field: &'a Field,
    trees: [Tree; 2],
    /// Cells that both ends reach.
    open: Vec<u32>,
    /// Length of the shortest way, mm; none where the two ends do not meet.
    pub(super) shortest_mm: Option<f64>,
}

const NOWHERE: u32 = u32::MAX;

impl<'a> Guides<'a> {
    /// The trees of a field.
    pub(super) fn new(task: &'a Task, field: &'a Field) -> Self {
        let toll = tolls(task, field);
        let back = task.end.1.map(|way| -way);
        let trees = [
            tree(field, &toll, &seeds(task, field, task.start.0, Some(task.start.1))),
            tree(field, &toll, &seeds(task, field, task.end.0, back)),
        ];
        let both = |cell: usize| f64::from(trees[0].far_mm[cell]) + f64::from(trees[1].far_mm[cell]);
        let open: Vec<u32> = (0..field.len()).filter(|c| both(*c).is_finite()).map(|c| c as u32).collect();
        let shortest_mm = open.iter().map(|c| both(*c as usize)).reduce(f64::min);
        Self { task, field, trees, open, shortest_mm }
    }

    /// Vertices along a way of at most `most_mm` through a cell taken by lot; `None` where that cell lies too far off or
    /// the way turns too often.
    pub(super) fn guide(&self, random: &mut Random, most_mm: f64) -> Option<Vec<DVec3>> {
        let cell = *self.open.get(random.below(self.open.len()))? as usize;
        if f64::from(self.trees[0].far_mm[cell]) + f64::from(self.trees[1].far_mm[cell]) > most_mm {
            return None;
        }
        let down = |tree: &Tree| {
            let mut out = Vec::new();
            let mut at = cell;
            while tree.before[at] != NOWHERE {
                at = tree.before[at] as usize;
                out.push(self.field.middle(at));
            }
            out
        };
        let mut way = down(&self.trees[0]);
        way.reverse();
        way.push(self.field.middle(cell));
        way.extend(down(&self.trees[1]));
        let radius_mm = self.task.clr_mm;
        let tolerance_mm = 2.0 * self.task.radius_mm * random.between(0.3, 0.8);
        let kept = simplified(&way, tolerance_mm);
        let mut lead = |least_mm: f64| least_mm + radius_mm * random.between(0.3, 1.2);
        let (at, out) = self.task.start;
        let first = at + out * lead(self.task.ends_mm.0);
        let last = self.task.end.1.map(|way| self.task.end.0 - way * lead(self.task.ends_mm.1));
        let ends: Vec<DVec3> =
            [Some(at), Some(first), last, Some(self.task.end.0)].into_iter().flatten().collect();
        let far = |p: &DVec3| ends.iter().all(|e| e.distance(*p) > radius_mm / 2.0);
        let mut out = vec![first];
        out.extend(kept.into_iter().filter(far));
        out.extend(last);
        let least = if last.is_some() { 2 } else { 1 };
        (out.len() >= least && out.len() <= self.task.most_bends + 4).then_some(out)
    }
}

/// What a millimetre through each cell costs; infinite where it is closed.
fn tolls(task: &Task, field: &Field) -> Vec<f32> {
    let open_mm = 0.866 * field.cell_mm + if task.room.has_scans() { 0.4 * field.cell_mm } else { 0.0 };
    let most_mm = (16.0 + field.cell_mm / 2.0).max(open_mm);
    let toll = |spare_mm: f32| {
        let missing_mm = -f64::from(spare_mm);
        if missing_mm <= 0.0 {
            1.0
        } else if missing_mm <= most_mm {
            1.02 + (missing_mm / 8.0).powi(2)
        } else if missing_mm < most_mm.max(CLOSED_MM) {
            1.0 + (most_mm / 8.0).powi(2) + 6.0 * (missing_mm - most_mm)
        } else {
            f64::INFINITY
        }
    };
    field.spare_mm.iter().map(|mm| toll(*mm) as f32).collect()
}

/// Cells next to an end, along the way out of it.
fn seeds(task: &Task, field: &Field, at: DVec3, out: Option<DVec3>) -> Vec<u32> {
    let reach_mm = if out.is_some() { task.ends_mm.0.max(task.ends_mm.1) + task.clr_mm * 0.6 } else { 0.0 };
    let step_mm = field.cell_mm / 2.0;
    let way = out.unwrap_or_default();
    let mut cells: Vec<u32> = Vec::new();
    for k in 0..=(reach_mm / step_mm) as usize {
        let cell = field.cell_of(at + way * (k as f64 * step_mm)) as u32;
        if !cells.contains(&cell) {
            cells.push(cell);
        }
    }
    cells
}

/// Shortest ways from some cells to all others: Dijkstra's method with buckets.
fn tree(field: &Field, toll: &[f32], seeds: &[u32]) -> Tree {
    let n = field.len();
    let mut out = Tree { far_mm: vec![f32::INFINITY; n], before: vec![NOWHERE; n] };
    let width_mm = (field.cell_mm * 0.5) as f32;
    let mut buckets: Vec<Vec<u32>> = vec![Vec::new()];
    let put = |buckets: &mut Vec<Vec<u32>>, far_mm: f32, cell: u32| {
        let at = (far_mm / width_mm) as usize;
        if buckets.len() <= at {
            buckets.resize(at + 1, Vec::new());
        }
        buckets[at].push(cell);
    };
    for cell in seeds {
        out.far_mm[*cell as usize] = 0.0;
        put(&mut buckets, 0.0, *cell);
    }
    let cell_mm = field.cell_mm as f32;
    let lengths = [0.0, cell_mm, cell_mm * 2.0_f32.sqrt(), cell_mm * 3.0_f32.sqrt()];
    let mut at = 0;
    while at < buckets.len() {
        let Some(cell) = buckets[at].pop() else {
            at += 1;
            continue;
        };
        let cell = cell as usize;
        let here_mm = out.far_mm[cell];
        if (here_mm / width_mm) as usize != at {
            continue;
        }
        let place = field.place(cell);
        let own = if toll[cell].is_finite() { toll[cell] } else { 1.0 };
        let range = |i: usize| place[i].saturating_sub(1)..=(place[i] + 1).min(field.count[i] - 1);
        for z in range(2) {
            for y in range(1) {
                for x in range(0) {
                    let next = field.cell([x, y, z]);
                    if !toll[next].is_finite() {
                        continue;
                    }
                    let steps =
                        usize::from(x != place[0]) + usize::from(y != place[1]) + usize::from(z != place[2]);
                    let far_mm = here_mm + lengths[steps] * (own + toll[next]) / 2.0;
                    if far_mm < out.far_mm[next] {
                        out.far_mm[next] = far_mm;
                        out.before[next] = cell as u32;
                        put(&mut buckets, far_mm, next as u32);
                    }
                }
            }
        }
    }
    out
}

/// The points of a way that matter: Douglas and Peucker's method (from memory).
fn simplified(way: &[DVec3], tolerance_mm: f64) -> Vec<DVec3> {
    let mut keep = vec![false; way.len()];
    let Some(last) = way.len().checked_sub(1) else { return Vec::new() };
    (keep[0], keep[last]) = (true, true);
    let mut open = vec![(0, last)];
    while let Some((a, b)) = open.pop() {
        let span = way[b] - way[a];
        let square = span.length_squared();
        let off_mm = |p: DVec3| {
            let part = if square > 0.0 { ((p - way[a]).dot(span) / square).clamp(0.0, 1.0) } else { 0.0 };
            (way[a] + span * part).distance(p)
        };
        let far = (a + 1..b).map(|i| (i, off_mm(way[i]))).max_by(|x, y| x.1.total_cmp(&y.1));
        if let Some((i, _)) = far.filter(|(_, mm)| *mm > tolerance_mm) {
            keep[i] = true;
            open.extend([(a, i), (i, b)]);
        }
    }
    way.iter().zip(keep).filter(|(_, keep)| *keep).map(|(p, _)| *p).collect()
}

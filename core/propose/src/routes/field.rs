//! How much room there is all over the box, in cells: for rough guides, and for the first steps of a repair among scans.

use super::room::Thing;
use super::task::Task;
use glam::DVec3;

/// Cells that a box is cut into, about.
const CELLS: f64 = 30_000.0;

/// Cells are no smaller than this, mm.
const LEAST_CELL_MM: f64 = 9.0;

/// More room than this is not told apart, mm.
const WIDE_MM: f64 = 40.0;

/// Cells along one edge of the blocks that are looked at first.
const BLOCK: usize = 4;

/// Room beyond what the pipe needs, at the middles of cells.
#[derive(Debug, Clone)]
pub(super) struct Field {
    /// Lowest corner, mm.
    pub(super) low: DVec3,
    /// Edge of a cell, mm.
    pub(super) cell_mm: f64,
    /// Cells along the axes.
    pub(super) count: [usize; 3],
    /// Room at the middle of each cell, mm; below zero where the pipe's middle cannot be.
    pub(super) spare_mm: Vec<f32>,
}

impl Field {
    /// The field of a task.
    pub(super) fn new(task: &Task) -> Self {
        let (low, high) = task.room.bounds;
        let size = (high - low).max(DVec3::splat(1.0));
        let cell_mm = (size.x * size.y * size.z / CELLS).cbrt().max(LEAST_CELL_MM);
        let count = [size.x, size.y, size.z].map(|mm| (mm / cell_mm).ceil().max(1.0) as usize);
        let mut field = Self { low, cell_mm, count, spare_mm: Vec::new() };
        field.spare_mm = vec![WIDE_MM as f32; field.len()];
        let blocks = count.map(|n| n.div_ceil(BLOCK));
        for z in 0..blocks[2] {
            for y in 0..blocks[1] {
                for x in 0..blocks[0] {
                    field.fill(task, [x * BLOCK, y * BLOCK, z * BLOCK]);
                }
            }
        }
        field
    }

    /// Number of cells.
    pub(super) fn len(&self) -> usize {
        self.count[0] * self.count[1] * self.count[2]
    }

    /// Middle of a cell, mm.
    pub(super) fn middle(&self, cell: usize) -> DVec3 {
        let [x, y, z] = self.place(cell);
        self.middle_at([x, y, z])
    }

    fn middle_at(&self, [x, y, z]: [usize; 3]) -> DVec3 {
        self.low + (DVec3::new(x as f64, y as f64, z as f64) + 0.5) * self.cell_mm
    }

    /// A cell's place along the axes.
    pub(super) fn place(&self, cell: usize) -> [usize; 3] {
        let [nx, ny, _] = self.count;
        [cell % nx, cell / nx % ny, cell / (nx * ny)]
    }

    /// The cell at a place along the axes.
    pub(super) fn cell(&self, [x, y, z]: [usize; 3]) -> usize {
        (z * self.count[1] + y) * self.count[0] + x
    }

    /// The cell a point lies in, or that is nearest to it.
    pub(super) fn cell_of(&self, point: DVec3) -> usize {
        let at = (point - self.low) / self.cell_mm;
        let clamp = |v: f64, n: usize| (v.max(0.0) as usize).min(n - 1);
        self.cell([clamp(at.x, self.count[0]), clamp(at.y, self.count[1]), clamp(at.z, self.count[2])])
    }

    /// A number the room at a point is never under, mm; `None` outside the cells.
    pub(super) fn at_least_mm(&self, point: DVec3) -> Option<f64> {
        let at = (point - self.low) / self.cell_mm;
        let most = DVec3::from_array(self.count.map(|n| n as f64));
        if !(at.cmpge(DVec3::ZERO).all() && at.cmplt(most).all()) {
            return None;
        }
        let cell = self.cell([at.x as usize, at.y as usize, at.z as usize]);
        // a ten-thousandth is for the digits that are kept
        Some(f64::from(self.spare_mm[cell]) - self.middle(cell).distance(point) - 1e-4)
    }

    fn fill(&mut self, task: &Task, first: [usize; 3]) {
        let edge_mm = BLOCK as f64 * self.cell_mm;
        let middle = self.low
            + DVec3::new(first[0] as f64, first[1] as f64, first[2] as f64) * self.cell_mm
            + edge_mm / 2.0;
        let reach_mm = edge_mm * 0.5 * 3.0_f64.sqrt();
        let near: Vec<&Thing> = task
            .room
            .things
            .iter()
            .filter(|t| {
                let look_mm = t.need_mm + WIDE_MM + reach_mm;
                t.distance(middle, look_mm).is_some()
            })
            .collect();
        if near.is_empty() {
            return;
        }
        let last: [usize; 3] = std::array::from_fn(|i| (first[i] + BLOCK).min(self.count[i]));
        for z in first[2]..last[2] {
            for y in first[1]..last[1] {
                for x in first[0]..last[0] {
                    let at = [x, y, z];
                    let spare_mm = spare_mm(task, &near, self.middle_at(at));
                    let cell = self.cell(at);
                    self.spare_mm[cell] = spare_mm as f32;
                }
            }
        }
    }

    /// Room at a point between cells, mm, and the unit direction in which it grows.
    pub(super) fn look(&self, point: DVec3) -> (f64, DVec3) {
        let at = |p: DVec3| {
            let q = (p - self.low) / self.cell_mm - 0.5;
            let max = |i: usize| (self.count[i] as f64 - 1.0).max(0.0);
            let q = q.clamp(DVec3::ZERO, DVec3::new(max(0), max(1), max(2)));
            let base = q.floor();
            let part = q - base;
            let corner = |dx: usize, dy: usize, dz: usize| {
                let i = |v: f64, d: usize, n: usize| (v as usize + d).min(n - 1);
                let place = [
                    i(base.x, dx, self.count[0]),
                    i(base.y, dy, self.count[1]),
                    i(base.z, dz, self.count[2]),
                ];
                f64::from(self.spare_mm[self.cell(place)])
            };
            let mut sum = 0.0;
            for (dx, wx) in [(0, 1.0 - part.x), (1, part.x)] {
                for (dy, wy) in [(0, 1.0 - part.y), (1, part.y)] {
                    for (dz, wz) in [(0, 1.0 - part.z), (1, part.z)] {
                        sum += wx * wy * wz * corner(dx, dy, dz);
                    }
                }
            }
            sum
        };
        let half = self.cell_mm / 2.0;
        let slope = DVec3::from_array(std::array::from_fn(|i| {
            at(point + DVec3::AXES[i] * half) - at(point - DVec3::AXES[i] * half)
        }));
        (at(point), slope.try_normalize().unwrap_or_default())
    }
}

/// Room at a point, mm, no more than [`WIDE_MM`]; next to the ends, what does not count there is left out.
fn spare_mm(task: &Task, things: &[&Thing], point: DVec3) -> f64 {
    let mut least_mm = WIDE_MM;
    let (from_start, from_end) = (point.distance(task.start.0), point.distance(task.end.0));
    for thing in things {
        if !thing.counts((from_start, from_end)) {
            continue;
        }
        if let Some((mm, _)) = thing.distance(point, thing.need_mm + least_mm) {
            least_mm = mm - thing.need_mm;
        }
    }
    least_mm
}

//! The least distance from the surfaces of solids to a target, with a bound on what sampling misses.

use super::surface::{Patch, holds, patches};
use super::target::Target;
use glam::DVec3;
use pipeloft_core::geom::Solid;
use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::rc::Rc;

/// No point of the surfaces is nearer than the nearest sample by more than this, mm.
pub(crate) const SAMPLED_MM: f64 = 0.01;

/// A sample this near touches, mm.
const TOUCHING_MM: f64 = 0.01;

/// Cells on each side of a patch to begin with.
const GRID: u32 = 6;

/// What sampling says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Sampled {
    /// They touch or overlap.
    Touching,
    /// The least distance, mm: of the solid with this number.
    Apart(f64, usize),
}

/// A piece of a patch still to be looked at.
struct Cell {
    /// Nothing of it is nearer than this, mm.
    at_least_mm: f64,
    patch: usize,
    /// Lowest u and v, and the size in both.
    corner: [f64; 2],
    size: f64,
    /// The parts of the target that may be nearest to it.
    parts: Rc<[u32]>,
}

impl Ord for Cell {
    fn cmp(&self, other: &Self) -> Ordering {
        // the heap hands out the greatest
        other.at_least_mm.total_cmp(&self.at_least_mm)
    }
}

impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Cell {}

/// The least distance from any of `solids` to `target`. To a half space it goes below zero: how deep.
pub(crate) fn least(solids: &[Solid], target: &Target) -> Sampled {
    let swallowed = |solid: &Solid| target.points().iter().any(|&p| holds(solid, p, 0.0));
    if solids.iter().any(swallowed) {
        return Sampled::Touching;
    }
    let surface: Vec<(usize, Patch<'_>)> = solids
        .iter()
        .enumerate()
        .flat_map(|(i, solid)| patches(solid).into_iter().map(move |patch| (i, patch)))
        .collect();
    let mut search = Search { surface: &surface, target, best: (f64::INFINITY, 0), queue: BinaryHeap::new() };
    let all: Rc<[u32]> = (0..target.parts()).collect();
    for patch in 0..surface.len() {
        for i in 0..GRID * GRID {
            let corner = [f64::from(i % GRID) / f64::from(GRID), f64::from(i / GRID) / f64::from(GRID)];
            search.look(patch, corner, 1.0 / f64::from(GRID), &all);
        }
    }
    let depth_counts = matches!(target, Target::HalfSpace(_));
    while let Some(cell) = search.queue.pop() {
        let (best_mm, _) = search.best;
        if cell.at_least_mm >= best_mm - SAMPLED_MM {
            break;
        }
        if best_mm <= TOUCHING_MM && !depth_counts {
            break;
        }
        let ([u, v], size) = (cell.corner, cell.size / 2.0);
        for corner in [[u, v], [u + size, v], [u, v + size], [u + size, v + size]] {
            search.look(cell.patch, corner, size, &cell.parts);
        }
    }
    match search.best {
        (best_mm, _) if best_mm <= TOUCHING_MM && !depth_counts => Sampled::Touching,
        (best_mm, solid) => Sampled::Apart(best_mm, solid),
    }
}

struct Search<'a> {
    surface: &'a [(usize, Patch<'a>)],
    target: &'a Target,
    best: (f64, usize),
    queue: BinaryHeap<Cell>,
}

impl Search<'_> {
    /// Samples the middle of a cell, and puts it by if anything of it can be nearer than what is known.
    ///
    /// A point of the cell is within `sag_mm` of the two-way linear mean of the corners: an eighth of the second
    /// derivative times the square of the size, for each way (the error of linear interpolation). So it is no further
    /// from the middle than the furthest corner and `sag_mm`, and the distance cannot fall by more than that. Nor is
    /// it below the floor that comes with it, which over the cell is lowest at a corner, less `sag_mm`.
    fn look(&mut self, patch: usize, corner: [f64; 2], size: f64, parts: &Rc<[u32]>) {
        let (solid, Patch { at, bends_mm }) = &self.surface[patch];
        let [u, v] = corner;
        let middle = at(u + size / 2.0, v + size / 2.0);
        let ways = [at(u, v), at(u + size, v), at(u, v + size), at(u + size, v + size)].map(|c| c - middle);
        let sag_mm = (bends_mm[0] + bends_mm[1]) * size * size / 8.0;
        let reach_mm = ways.iter().map(|way| way.length()).fold(0.0, f64::max) + sag_mm;
        let fall_mm = |out: DVec3| -ways.iter().map(|w| w.dot(out)).fold(f64::INFINITY, f64::min) + sag_mm;
        let mut kept = Vec::new();
        for &part in parts.iter() {
            let (signed_mm, floor) = self.target.distance(part, middle);
            if signed_mm < self.best.0 {
                self.best = (signed_mm, *solid);
            }
            let floor_mm = floor.map_or(f64::NEG_INFINITY, |(height_mm, out)| height_mm - fall_mm(out));
            let least_mm = floor_mm.max(signed_mm - reach_mm);
            if least_mm < self.best.0 - SAMPLED_MM {
                kept.push((least_mm, part));
            }
        }
        kept.retain(|(least_mm, _)| *least_mm < self.best.0 - SAMPLED_MM);
        let at_least_mm = kept.iter().map(|k| k.0).fold(f64::INFINITY, f64::min);
        if at_least_mm < f64::INFINITY {
            let parts = kept.into_iter().map(|(_, part)| part).collect();
            self.queue.push(Cell { at_least_mm, patch, corner, size, parts });
        }
    }
}

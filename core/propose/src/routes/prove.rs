//! Proofs that there is no route: the first and the last straight, which lie fast, and cells that no pipe can pass.
//!
//! A pipe holds a ball of its own radius about every point of its middle that is a radius or more from its ends. Where that
//! ball with the gap about it does not fit, the middle cannot be. A cell whose middle is nearer to something than that by
//! more than half its diagonal is closed; what is reached from one end through faces of cells that are not closed holds all
//! there is to reach, as a way through an edge or a corner has a point in every cell round it. Own method.

use super::task::Task;
use glam::DVec3;
use pipeloft_core::geom::Solid;
use pipeloft_core::geom::{Barrel, Frame};
use pipeloft_core::space::gap_to_shape;
use pipeloft_core::watch::Watch;
use std::collections::HashMap;

/// What is known after a proof was tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Verdict {
    /// No pipe of this size gets from one end to the other within the box.
    NoWay,
    /// A ball of this size gets through: what fails is room to turn, or the straights.
    BallPasses,
    /// It is not known.
    Unknown,
}

/// What stands in the way of an end's straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Blocked {
    /// Which thing.
    pub(super) thing: usize,
    /// How far the pipe gets, mm.
    pub(super) free_mm: f64,
    /// How far it has to get, mm.
    pub(super) needs_mm: f64,
}

/// What keeps the pipe from leaving an end straight for as far as it must; none where nothing does. Exact.
pub(super) fn blocked(task: &Task, at_end: bool) -> Option<Blocked> {
    let (from, way, needs_mm) = if at_end {
        (task.end.0, -task.end.1?, task.ends_mm.1)
    } else {
        (task.start.0, task.start.1, task.ends_mm.0)
    };
    let hit = |thing: usize, length_mm: f64| {
        let t = &task.room.things[thing];
        let stub_mm = if at_end { t.stubs_mm.1 } else { t.stubs_mm.0 };
        if length_mm <= stub_mm {
            return false;
        }
        let start = Frame::new(from + way * stub_mm, way, DVec3::Z);
        let barrel = Barrel {
            start,
            length_mm: length_mm - stub_mm,
            radius_mm: task.radius_mm,
            start_normal: way,
            end_normal: way,
        };
        if gap_to_shape(&Solid::Barrel(barrel), &t.shape, t.sure_mm - task.radius_mm - 0.02).is_some() {
            return true;
        }
        // the pipe goes on from there, whichever way it turns: a ball about that place is in it
        let middle = from + way * length_mm;
        t.distance(middle, t.sure_mm - 0.02).is_some_and(|(_, on)| {
            let toward = (on - middle).try_normalize().unwrap_or_default();
            (middle + toward * task.radius_mm - from).dot(way) >= stub_mm
        })
    };
    let mut worst: Option<Blocked> = None;
    for thing in 0..task.room.things.len() {
        if !hit(thing, needs_mm) {
            continue;
        }
        let (mut low, mut high) = (0.0, needs_mm);
        while high - low > 0.01 {
            let middle = f64::midpoint(low, high);
            if hit(thing, middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        if worst.is_none_or(|w| low < w.free_mm) {
            worst = Some(Blocked { thing, free_mm: low, needs_mm });
        }
    }
    worst
}

/// What is known of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cell {
    Closed,
    Free,
    Either,
    Split,
}

/// A cell: how often it was halved, and its place.
type Key = (u8, [u32; 3]);

/// A cell is not halved more often.
const FINEST: u8 = 9;

struct Cells<'a> {
    task: &'a Task,
    low: DVec3,
    edge_mm: f64,
    count: [u32; 3],
    known: HashMap<Key, Cell>,
    looked: usize,
}

impl Cells<'_> {
    fn edge(&self, level: u8) -> f64 {
        self.edge_mm / f64::from(1u32 << level)
    }

    fn middle(&self, (level, at): Key) -> DVec3 {
        let at = DVec3::new(f64::from(at[0]), f64::from(at[1]), f64::from(at[2]));
        self.low + (at + 0.5) * self.edge(level)
    }

    fn look(&mut self, key: Key) -> Cell {
        if let Some(cell) = self.known.get(&key) {
            return *cell;
        }
        self.looked += 1;
        let middle = self.middle(key);
        let half_mm = self.edge(key.0) * 3.0_f64.sqrt() / 2.0;
        let from = (middle.distance(self.task.start.0), middle.distance(self.task.end.0));
        let mut spare_mm = half_mm;
        for thing in &self.task.room.things {
            // the ends of a pipe are flat, and may be a joint: within a radius of its tube no ball need fit
            let ends_mm = self.task.ends_mm.0.max(self.task.ends_mm.1);
            let exempt = |stub_mm: f64| stub_mm.max(ends_mm) + self.task.radius_mm + half_mm;
            if from.0 < exempt(thing.stubs_mm.0) || from.1 < exempt(thing.stubs_mm.1) {
                continue;
            }
            if let Some((mm, _)) = thing.distance(middle, thing.sure_mm + spare_mm) {
                spare_mm = mm - thing.sure_mm;
            }
        }
        let cell = if spare_mm < -half_mm {
            Cell::Closed
        } else if spare_mm >= half_mm {
            Cell::Free
        } else {
            Cell::Either
        };
        self.known.insert(key, cell);
        cell
    }

    /// The cells next to one over its faces that are not halved, as far as they are known to be.
    fn neighbours(&mut self, (level, at): Key, out: &mut Vec<Key>) {
        out.clear();
        for axis in 0..3 {
            for up in [false, true] {
                let most = self.count[axis] << level;
                let next = if up { at[axis] + 1 } else { at[axis].wrapping_sub(1) };
                if next >= most {
                    continue;
                }
                let mut place = at;
                place[axis] = next;
                self.leaves((level, place), axis, up, out);
            }
        }
    }

    /// The leaves of a place that touch the face one comes through.
    fn leaves(&mut self, (level, at): Key, axis: usize, up: bool, out: &mut Vec<Key>) {
        // a leaf that is larger than the place holds it
        for above in 0..level {
            let shift = level - above;
            let key = (above, at.map(|v| v >> shift));
            if self.look(key) != Cell::Split {
                out.push(key);
                return;
            }
        }
        let mut open = vec![(level, at)];
        while let Some(key) = open.pop() {
            if self.look(key) != Cell::Split {
                out.push(key);
                continue;
            }
            for child in children(key) {
                let low_side = child.1[axis].is_multiple_of(2);
                if low_side == up {
                    open.push(child);
                }
            }
        }
    }

    /// The leaf a point lies in.
    fn leaf_of(&mut self, point: DVec3) -> Key {
        for level in 0..FINEST {
            let at = (point - self.low) / self.edge(level);
            let clamp = |v: f64, n: u32| (v.max(0.0) as u32).min((n << level) - 1);
            let at = [clamp(at.x, self.count[0]), clamp(at.y, self.count[1]), clamp(at.z, self.count[2])];
            if self.look((level, at)) != Cell::Split {
                return (level, at);
            }
        }
        (0, [0; 3])
    }

    /// All leaves that are reached from a point through leaves that `pass`.
    fn reached(&mut self, from: DVec3, pass: &dyn Fn(Cell) -> bool) -> HashMap<Key, Cell> {
        let first = self.leaf_of(from);
        let mut seen: HashMap<Key, Cell> = HashMap::new();
        let mut open = vec![first];
        let cell = self.look(first);
        seen.insert(first, cell);
        let mut near = Vec::new();
        while let Some(key) = open.pop() {
            self.neighbours(key, &mut near);
            for next in &near {
                if seen.contains_key(next) {
                    continue;
                }
                let cell = self.look(*next);
                if pass(cell) {
                    seen.insert(*next, cell);
                    open.push(*next);
                }
            }
        }
        seen
    }
}

fn children((level, at): Key) -> impl Iterator<Item = Key> {
    (0..8u32).map(move |k| (level + 1, [2 * at[0] + (k & 1), 2 * at[1] + (k >> 1 & 1), 2 * at[2] + (k >> 2)]))
}

/// Tries to prove that no pipe gets from one end to the other within the box, looking at about `most_cells` cells.
pub(super) fn prove(task: &Task, most_cells: usize, watch: &dyn Watch) -> Verdict {
    let (low, high) = task.room.bounds;
    let size = (high - low).max(DVec3::splat(1.0));
    let edge_mm = (size.x * size.y * size.z / 8_000.0).cbrt();
    let count = [size.x, size.y, size.z].map(|mm| (mm / edge_mm).ceil().max(1.0) as u32);
    let mut cells = Cells { task, low, edge_mm, count, known: HashMap::new(), looked: 0 };
    for level in 0..FINEST {
        let closed = cells.reached(task.start.0, &|c| c != Cell::Closed);
        let goal = cells.leaf_of(task.end.0);
        if !closed.contains_key(&goal) {
            return Verdict::NoWay;
        }
        let free = cells.reached(task.start.0, &|c| c == Cell::Free);
        if free.contains_key(&goal) {
            return Verdict::BallPasses;
        }
        if level + 1 == FINEST {
            break;
        }
        // only what is reached, may be either, and is as coarse as can be
        let mut unsure: Vec<Key> =
            closed.into_iter().filter(|(_, c)| *c == Cell::Either).map(|(key, _)| key).collect();
        unsure.sort_unstable();
        for key in unsure {
            if key.0 + 1 >= FINEST {
                continue;
            }
            cells.known.insert(key, Cell::Split);
            for child in children(key) {
                cells.look(child);
            }
            if cells.looked > most_cells || watch.is_cancelled() {
                return Verdict::Unknown;
            }
        }
    }
    Verdict::Unknown
}

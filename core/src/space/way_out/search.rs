//! Search for a way out with shifts and turns, over a lattice of poses.
//!
//! First with turns about one axis only, each axis of the vehicle in its turn: that is what one can do with one's
//! hands and say in words, and there are few such poses. Then with all turns.

use super::super::body::Body;
use super::pull::{SHARE, exits};
use super::scene::Scene;
use super::slide::slide;
use super::stance::Stance;
use super::tidy::tidy;
use super::{Drawn, GoOn, Task};
use glam::DVec3;
use std::cmp::Ordering;
use std::collections::{BTreeSet, BinaryHeap};

/// Step of the lattice, mm.
const STEP_MM: f64 = 12.0;

/// Step of the turns, rad (4°).
const TURN_RAD: f64 = 4.0 * std::f64::consts::PI / 180.0;

/// Turns go no further than this many steps about each axis.
const MOST_TURNS: i32 = 44;

/// How much a pose that can be pulled on for a millimetre is preferred to one that was reached in a millimetre less.
const EXIT_WEIGHT: f64 = 0.25;

/// How much a pose a step away from the start is preferred to one that was reached in a step less: above 1 the
/// search goes ahead first and comes back later, which leads out of narrow places.
const AHEAD_WEIGHT: f64 = 1.3;

/// What a search came to.
pub(super) struct PoseSearchEnd {
    /// From rest to out.
    pub(super) stances: Option<Vec<Stance>>,
    pub(super) poses: usize,
    pub(super) stopped: bool,
}

/// Place on the lattice: shifts along the axes, turns about them.
type Place = [i32; 6];

#[derive(Debug, Clone, Copy)]
struct Node {
    place: Place,
    steps: u32,
    parent: Option<usize>,
}

/// A node waiting to be gone on from; the least score comes first, then the oldest.
#[derive(Debug, Clone, Copy)]
struct Waiting {
    score: f64,
    node: usize,
}

impl Ord for Waiting {
    fn cmp(&self, other: &Self) -> Ordering {
        other.score.total_cmp(&self.score).then(other.node.cmp(&self.node))
    }
}

impl PartialOrd for Waiting {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Waiting {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Waiting {}

/// Searches with turns about one axis at a time, then about all.
pub(super) fn search(task: &Task<'_>, drawn: &Drawn<'_>, go_on: &mut GoOn<'_>) -> PoseSearchEnd {
    let stages: [&[usize]; 4] = [&[4], &[5], &[3], &[3, 4, 5]];
    let mut found = PoseSearchEnd { stances: None, poses: 0, stopped: false };
    let Some(&origin) = drawn.stances.last() else { return found };
    for (i, turns) in stages.into_iter().enumerate() {
        // a fifth for each axis, what is left for all of them
        let budget = if i < 3 { task.most_poses / 5 } else { task.most_poses.saturating_sub(found.poses) };
        let mut lattice = Lattice::new(task, &drawn.scene, origin, turns);
        let out = lattice.run(budget, &mut |done| {
            let share = (found.poses + done) as f64 / task.most_poses.max(1) as f64;
            go_on(SHARE + (1.0 - SHARE) * share.min(1.0))
        });
        found.poses += lattice.done;
        match out {
            Run::Out(path, last) => {
                let mut stances = drawn.stances.clone();
                stances.pop();
                stances.extend(tidy(&drawn.scene, &path, last));
                found.stances = Some(stances);
                return found;
            }
            Run::Stopped => {
                found.stopped = true;
                return found;
            }
            Run::Exhausted => {}
        }
    }
    found
}

/// How a run ends.
enum Run {
    /// Out: the stances up to the last pull, and where that ends.
    Out(Vec<Stance>, Stance),
    /// Nothing more to try, or too much.
    Exhausted,
    Stopped,
}

struct Lattice<'a, 'b> {
    task: &'a Task<'b>,
    scene: &'a Scene<'b>,
    origin: Stance,
    turns: &'a [usize],
    nodes: Vec<Node>,
    seen: BTreeSet<Place>,
    queue: BinaryHeap<Waiting>,
    done: usize,
}

impl<'a, 'b> Lattice<'a, 'b> {
    fn new(task: &'a Task<'b>, scene: &'a Scene<'b>, origin: Stance, turns: &'a [usize]) -> Self {
        let start = Node { place: [0; 6], steps: 0, parent: None };
        Self {
            task,
            scene,
            origin,
            turns,
            nodes: vec![start],
            seen: BTreeSet::from([start.place]),
            queue: BinaryHeap::from([Waiting { score: 0.0, node: 0 }]),
            done: 0,
        }
    }

    fn stance(&self, place: &Place) -> Stance {
        let step = |i: usize| f64::from(place[i]);
        Stance {
            shift_mm: self.origin.shift_mm + DVec3::new(step(0), step(1), step(2)) * STEP_MM,
            turn_rad: DVec3::new(step(3), step(4), step(5)) * TURN_RAD,
        }
    }

    fn run(&mut self, budget: usize, go_on: &mut dyn FnMut(usize) -> bool) -> Run {
        while let Some(Waiting { node, .. }) = self.queue.pop() {
            if self.done >= budget {
                return Run::Exhausted;
            }
            if !go_on(self.done) {
                return Run::Stopped;
            }
            self.done += 1;
            let from = self.stance(&self.nodes[node].place);
            let mut best_mm = 0.0_f64;
            let bodies = self.scene.bodies(&from);
            for along in exits(self.task, &from) {
                match slide(&bodies, &self.scene.things, along, self.task.far_mm, 0.0) {
                    Some(contact) => best_mm = best_mm.max(contact.at_mm),
                    None => return Run::Out(self.path(node), from.shifted(along * self.task.far_mm)),
                }
            }
            self.go_on_from(node, &from, &bodies, best_mm);
        }
        Run::Exhausted
    }

    /// Puts in the neighbours that can be reached.
    fn go_on_from(&mut self, node: usize, from: &Stance, bodies: &[Vec<Body<'static>>], exit_mm: f64) {
        let here = self.nodes[node];
        // no neighbour is further off than a step and a turn, so what is further off now is no matter
        let near = self.scene.near(from, STEP_MM + TURN_RAD * self.scene.reach_mm());
        for step in self.steps() {
            let mut place = here.place;
            for (at, by) in place.iter_mut().zip(step) {
                *at += by;
            }
            if place[3..].iter().any(|t| t.abs() > MOST_TURNS) || self.seen.contains(&place) {
                continue;
            }
            let to = self.stance(&place);
            let shift_mm = to.shift_mm - from.shift_mm;
            let is_clear = near.is_empty()
                || match shift_mm.try_normalize().filter(|_| place[3..] == here.place[3..]) {
                    // a bare shift is followed exactly
                    Some(along) => {
                        let things = &self.scene.things;
                        slide(bodies, things, along, shift_mm.length(), 0.0).is_none()
                    }
                    None => self.scene.is_clear_among(from, &to, near.clone()),
                };
            if !is_clear {
                continue;
            }
            self.seen.insert(place);
            let steps = here.steps + 1;
            self.nodes.push(Node { place, steps, parent: Some(node) });
            let ahead: i32 = place.iter().map(|p| p.abs()).sum();
            let away = f64::from(steps) - AHEAD_WEIGHT * f64::from(ahead);
            let score = away * STEP_MM - EXIT_WEIGHT * exit_mm;
            self.queue.push(Waiting { score, node: self.nodes.len() - 1 });
        }
    }

    /// Steps to the neighbours: a shift, a turn, or, where there is one axis to turn about, both at once.
    fn steps(&self) -> Vec<Place> {
        let along = |axis: usize| {
            [1, -1].map(|by| {
                let mut step = [0; 6];
                step[axis] = by;
                step
            })
        };
        let bare = (0..3).chain(self.turns.iter().copied()).flat_map(along);
        let mut out: Vec<Place> = bare.collect();
        if let [turn] = self.turns {
            for shift in (0..3).flat_map(along) {
                for by in [1, -1] {
                    let mut step = shift;
                    step[*turn] = by;
                    out.push(step);
                }
            }
        }
        out
    }

    fn path(&self, node: usize) -> Vec<Stance> {
        let mut out = Vec::new();
        let mut next = Some(node);
        while let Some(i) = next {
            out.push(self.stance(&self.nodes[i].place));
            next = self.nodes[i].parent;
        }
        out.reverse();
        out
    }
}

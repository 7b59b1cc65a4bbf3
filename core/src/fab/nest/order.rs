//! The order of pieces on a stick that wastes least.
//!
//! A piece joins two settings of the saw; pieces that meet at one setting share a cut. So a stick is a trip over the
//! settings that takes every piece once, from a square end. As in any trip over edges (Euler; rural postman), only two
//! things count: which settings have an odd number of piece ends, and which hang together. More pieces of a kind than
//! that needs change nothing: a pair of them goes there and back. What is left is short enough for a table over all
//! subsets (Held and Karp, from memory).

use super::job::{Job, Ticks};
use std::collections::HashMap;

/// Most edges a trip is worked out for exactly; the table doubles with each.
const MOST_EDGES: usize = 12;

/// No trip.
const NEVER: Ticks = Ticks::MAX / 4;

/// What the best orders of a set of pieces cost beside the weights, over all orders or over those with a piece last
/// that can be held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Costs {
    /// Up to the long side of the last face.
    pub(super) any: Ticks,
    /// Up to a square end of what is left.
    pub(super) any_square: Ticks,
    /// As `any` with a piece last that can be held.
    pub(super) held: Ticks,
    /// As `any_square` with a piece last that can be held.
    pub(super) held_square: Ticks,
    /// Whether no order is cheaper; else these are of good orders.
    pub(super) is_exact: bool,
}

/// How a stick ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Finish {
    /// The last face's long side is at the end of the stick at worst.
    Any,
    /// A square end is left.
    AnySquare,
    /// As `Any`, the last piece is held.
    Held,
    /// As `AnySquare`, the last piece is held.
    HeldSquare,
}

/// One step of a trip: pieces of a kind, and whether from its second face to its first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Step {
    pub(super) kind: usize,
    pub(super) reversed: bool,
}

/// The sets of kinds met so far, by number; 0 is the empty one.
#[derive(Debug)]
pub(super) struct Shapes<'a> {
    job: &'a Job,
    /// How many pieces of each kind count.
    sets: Vec<Vec<u8>>,
    numbers: HashMap<Vec<u8>, u32>,
    /// For each set and kind, the set with one more.
    next: Vec<Vec<u32>>,
    costs: Vec<Option<Costs>>,
    /// Steps that went into costs since they were last asked for.
    steps_taken: u64,
}

impl<'a> Shapes<'a> {
    pub(super) fn new(job: &'a Job) -> Self {
        let empty = vec![0; job.kinds.len()];
        Self {
            job,
            sets: vec![empty.clone()],
            numbers: HashMap::from([(empty, 0)]),
            next: vec![vec![u32::MAX; job.kinds.len()]],
            costs: vec![None],
            steps_taken: 0,
        }
    }

    /// The set with one more piece of `kind`.
    pub(super) fn with(&mut self, set: u32, kind: usize) -> u32 {
        let known = self.next[set as usize][kind];
        if known != u32::MAX {
            return known;
        }
        let mut more = self.sets[set as usize].clone();
        let [a, b] = self.job.kinds[kind].faces;
        more[kind] = match more[kind] {
            0 => 1,
            // a piece with one setting at both ends changes nothing the second time
            _ if a == b => 1,
            1 => 2,
            // three can be ended with where one cannot: only where it matters
            2 if self.job.kinds[kind].holds => 3,
            2 => 1,
            _ => 2,
        };
        let number = if let Some(n) = self.numbers.get(&more) {
            *n
        } else {
            let n = self.sets.len() as u32;
            self.sets.push(more.clone());
            self.numbers.insert(more, n);
            self.next.push(vec![u32::MAX; self.job.kinds.len()]);
            self.costs.push(None);
            n
        };
        self.next[set as usize][kind] = number;
        number
    }

    /// What the best orders of the set cost.
    pub(super) fn costs(&mut self, set: u32) -> Costs {
        if let Some(known) = self.costs[set as usize] {
            return known;
        }
        let trip = Trip::new(self.job, &self.sets[set as usize]);
        // a place in the table takes about as long as half a stick
        self.steps_taken += (trip.table.len() * trip.edges.len()) as u64 / 2;
        let costs = trip.costs();
        self.costs[set as usize] = Some(costs);
        costs
    }

    /// Steps that went into costs since this was last asked for.
    pub(super) fn take_steps(&mut self) -> u64 {
        std::mem::take(&mut self.steps_taken)
    }

    /// The best order of the set for a finish, first step first.
    pub(super) fn steps(&self, set: u32, finish: Finish) -> Vec<Step> {
        Trip::new(self.job, &self.sets[set as usize]).steps(finish)
    }
}

/// An edge of a trip.
#[derive(Debug, Clone, Copy)]
struct Edge {
    kind: usize,
    faces: [usize; 2],
    holds: bool,
}

struct Trip<'a> {
    job: &'a Job,
    edges: Vec<Edge>,
    /// Kinds with one setting at both ends that go wherever the trip comes by.
    on_the_way: Vec<usize>,
    /// For every subset of edges and setting, the least cost of a trip over them that ends there; empty where there
    /// are too many.
    table: Vec<Ticks>,
}

impl<'a> Trip<'a> {
    fn new(job: &'a Job, set: &[u8]) -> Self {
        let mut edges = Vec::new();
        for (kind, count) in set.iter().enumerate() {
            let edge = Edge { kind, faces: job.kinds[kind].faces, holds: job.kinds[kind].holds };
            edges.extend(std::iter::repeat_n(edge, usize::from(*count)));
        }
        // a loop at a setting the trip comes by anyway; by twice, where it must not come last
        let visits = if edges.iter().any(|e| e.holds) { 2 } else { 1 };
        let ends = |at: usize| {
            let others = edges.iter().filter(|e| e.faces[0] != e.faces[1]);
            others.flat_map(|e| e.faces).filter(|f| *f == at).count()
        };
        let is_loop = |e: &Edge| e.faces[0] == e.faces[1] && !e.holds && ends(e.faces[0]) >= visits;
        let (loops, edges): (Vec<Edge>, Vec<Edge>) = edges.iter().copied().partition(is_loop);
        let on_the_way = loops.iter().map(|e| e.kind).collect();
        let mut trip = Self { job, edges, on_the_way, table: Vec::new() };
        if trip.edges.len() <= MOST_EDGES {
            trip.fill();
        }
        trip
    }

    fn settings(&self) -> usize {
        self.job.settings.len()
    }

    fn change(&self, from: usize, to: usize) -> Ticks {
        self.job.settings[from].change(&self.job.settings[to])
    }

    fn end(&self, at: usize, square: bool) -> Ticks {
        let setting = &self.job.settings[at];
        if square { setting.end_square() } else { setting.end() }
    }

    fn fill(&mut self) {
        let (n, m) = (self.edges.len(), self.settings());
        self.table = vec![NEVER; (1 << n) * m];
        for mask in 0..1_usize << n {
            for (i, edge) in self.edges.iter().enumerate() {
                if mask >> i & 1 == 1 {
                    continue;
                }
                for [first, second] in directions(edge.faces) {
                    let before = self.reach(mask, first);
                    let to = &mut self.table[(mask | 1 << i) * m + second];
                    *to = (*to).min(before);
                }
            }
        }
    }

    /// Least cost of a trip over `mask` and on to a face of setting `first`.
    fn reach(&self, mask: usize, first: usize) -> Ticks {
        if mask == 0 {
            return self.job.settings[first].begin();
        }
        let m = self.settings();
        let row = &self.table[mask * m..(mask + 1) * m];
        (0..m).filter(|p| row[*p] < NEVER).map(|p| row[p] + self.change(p, first)).min().unwrap_or(NEVER)
    }

    fn costs(&self) -> Costs {
        if self.edges.is_empty() {
            return Costs { any: 0, any_square: 0, held: 0, held_square: 0, is_exact: true };
        }
        let cost = |finish| {
            if self.table.is_empty() {
                let steps = self.greedy(finish);
                steps.map_or(NEVER, |s| self.cost_of(&s, finish))
            } else {
                self.last(finish).map_or(NEVER, |l| l.0)
            }
        };
        Costs {
            any: cost(Finish::Any),
            any_square: cost(Finish::AnySquare),
            held: cost(Finish::Held),
            held_square: cost(Finish::HeldSquare),
            is_exact: !self.table.is_empty(),
        }
    }

    /// The cheapest finish: its cost, the last edge and its second face, by the table.
    fn last(&self, finish: Finish) -> Option<(Ticks, usize, [usize; 2])> {
        let (held, square) = finish.parts();
        let all = (1 << self.edges.len()) - 1;
        let mut best: Option<(Ticks, usize, [usize; 2])> = None;
        for (i, edge) in self.edges.iter().enumerate().filter(|(_, e)| !held || e.holds) {
            for faces in directions(edge.faces) {
                let cost = self.reach(all & !(1 << i), faces[0]) + self.end(faces[1], square);
                if best.is_none_or(|b| cost < b.0) {
                    best = Some((cost, i, faces));
                }
            }
        }
        best
    }

    fn steps(&self, finish: Finish) -> Vec<Step> {
        let mut steps = self.steps_of_edges(finish);
        for kind in &self.on_the_way {
            let at = self.job.kinds[*kind].faces[0];
            let before = steps.iter().position(|s| self.faces_of(s)[0] == at);
            let last = if finish.parts().0 { steps.len().saturating_sub(1) } else { steps.len() };
            let after = || steps[..last].iter().position(|s| self.faces_of(s)[1] == at).map(|i| i + 1);
            let place = before.or_else(after).unwrap_or(0);
            steps.insert(place, Step { kind: *kind, reversed: false });
        }
        steps
    }

    fn faces_of(&self, step: &Step) -> [usize; 2] {
        let [a, b] = self.job.kinds[step.kind].faces;
        if step.reversed { [b, a] } else { [a, b] }
    }

    fn steps_of_edges(&self, finish: Finish) -> Vec<Step> {
        if self.edges.is_empty() {
            return Vec::new();
        }
        if self.table.is_empty() {
            return self.greedy(finish).unwrap_or_default();
        }
        let Some((_, mut edge, mut faces)) = self.last(finish) else { return Vec::new() };
        let mut mask = (1_usize << self.edges.len()) - 1;
        let mut steps = Vec::new();
        let m = self.settings();
        loop {
            steps.push(self.step(edge, faces));
            mask &= !(1 << edge);
            if mask == 0 {
                break;
            }
            // the setting before, then the edge that led there at that cost
            let target = self.reach(mask, faces[0]);
            let row = |p: usize| self.table[mask * m + p];
            let at = (0..m).find(|p| row(*p) < NEVER && row(*p) + self.change(*p, faces[0]) == target);
            let Some(at) = at else { return Vec::new() };
            let before = (0..self.edges.len()).filter(|i| mask >> i & 1 == 1).find_map(|i| {
                directions(self.edges[i].faces)
                    .into_iter()
                    .find(|f| f[1] == at && self.reach(mask & !(1 << i), f[0]) == row(at))
                    .map(|f| (i, f))
            });
            let Some(found) = before else { return Vec::new() };
            (edge, faces) = found;
        }
        steps.reverse();
        steps
    }

    fn step(&self, edge: usize, faces: [usize; 2]) -> Step {
        Step { kind: self.edges[edge].kind, reversed: faces != self.edges[edge].faces }
    }

    /// A good order where there are too many edges for the table: on to the nearest face each time, from each setting.
    fn greedy(&self, finish: Finish) -> Option<Vec<Step>> {
        let held = finish.parts().0;
        let lasts: Vec<Option<usize>> = if held {
            let mut seen = Vec::new();
            let new = |i: &usize| {
                let edge = &self.edges[*i];
                let is_new = edge.holds && !seen.contains(&edge.kind);
                seen.push(edge.kind);
                is_new
            };
            (0..self.edges.len()).filter(new).map(Some).collect()
        } else {
            vec![None]
        };
        let mut best: Option<(Ticks, Vec<Step>)> = None;
        for last in lasts {
            for start in 0..self.settings() {
                let steps = self.nearest_first(start, last);
                let cost = self.cost_of(&steps, finish);
                if best.as_ref().is_none_or(|b| cost < b.0) {
                    best = Some((cost, steps));
                }
            }
        }
        best.map(|b| b.1)
    }

    fn nearest_first(&self, start: usize, last: Option<usize>) -> Vec<Step> {
        let mut left: Vec<usize> = (0..self.edges.len()).filter(|i| Some(*i) != last).collect();
        let mut steps = Vec::with_capacity(self.edges.len());
        let mut at = start;
        let mut go = |at: usize, choice: &[usize]| {
            let all = choice.iter().enumerate().flat_map(|(place, i)| {
                directions(self.edges[*i].faces).into_iter().map(move |faces| (place, faces))
            });
            // pieces that stay at the setting go first
            let (place, faces) = all.min_by_key(|(_, f)| (self.change(at, f[0]), f[0] != f[1]))?;
            steps.push(self.step(choice[place], faces));
            Some((place, faces[1]))
        };
        while let Some((place, to)) = go(at, &left) {
            left.remove(place);
            at = to;
        }
        if let Some(last) = last {
            go(at, &[last]);
        }
        steps
    }

    fn cost_of(&self, steps: &[Step], finish: Finish) -> Ticks {
        let faces = |step: &Step| self.faces_of(step);
        let (Some(first), Some(last)) = (steps.first(), steps.last()) else { return NEVER };
        let between: Ticks = steps.windows(2).map(|w| self.change(faces(&w[0])[1], faces(&w[1])[0])).sum();
        self.job.settings[faces(first)[0]].begin() + between + self.end(faces(last)[1], finish.parts().1)
    }
}

impl Finish {
    /// Whether the last piece is held, and whether a square end is left.
    fn parts(self) -> (bool, bool) {
        match self {
            Self::Any => (false, false),
            Self::AnySquare => (false, true),
            Self::Held => (true, false),
            Self::HeldSquare => (true, true),
        }
    }
}

/// The two ways a piece can lie; one where they are the same.
fn directions([a, b]: [usize; 2]) -> impl IntoIterator<Item = [usize; 2]> {
    [Some([a, b]), (a != b).then_some([b, a])].into_iter().flatten()
}

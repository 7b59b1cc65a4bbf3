//! Pieces on a stick as edges between the settings of the saw, which stand on a line by their ramps.

use super::super::job::{Job, Setting, Ticks};
use super::{Finish, KindCount};

/// No walk.
pub(super) const NEVER: Ticks = Ticks::MAX / 4;

/// Bit of a walk's start among its two ends.
pub(super) const START: usize = 1;
/// Bit of a walk's last arrival.
pub(super) const ARRIVAL: usize = 2;

/// A setting that pieces of the stick end at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    pub(super) setting: usize,
    /// What it costs that the walk starts here.
    pub(super) begin: Ticks,
    /// What it costs that the walk ends here; never where it has to end elsewhere.
    pub(super) end: Ticks,
    pub(super) half_cut: Ticks,
    /// How far it is to the next point.
    pub(super) gap: Ticks,
    /// Whether the number of piece ends here is odd.
    pub(super) is_odd: bool,
    /// The pieces it hangs together with, by the lowest of their points.
    pub(super) part: usize,
    /// Whether it is the last point of its part.
    pub(super) closes: bool,
}

/// Where the walk arrives before its last piece, which is held, and where that piece ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Held {
    pub(super) kind: usize,
    pub(super) arrives: usize,
    pub(super) ends: usize,
}

/// For each number of open jumps and ends already set, the least that the points from here on cost.
type ToGo = [[Ticks; 4]; 3];

/// Behind the last point both ends are set and no jump is open.
const ALL_DONE: ToGo = [[NEVER, NEVER, NEVER, 0], [NEVER; 4], [NEVER; 4]];

impl Point {
    /// What it takes from this point on, by what it takes from the next: each end is set here or not, and jumps open or
    /// close as evenness asks.
    fn before(&self, after: &ToGo) -> ToGo {
        // from here with an even and an odd number of jump ends
        let mut jumps = [[[NEVER; 4]; 3]; 2];
        let (one, two) = (self.half_cut, 2 * self.half_cut);
        for ends in 0..4 {
            let [none, single, double] =
                [0, 1, 2].map(|open: usize| after[open][ends].saturating_add(open as Ticks * self.gap));
            jumps[0][0][ends] = none.min(double + two);
            jumps[0][1][ends] = single;
            jumps[0][2][ends] = double.min(none + two);
            jumps[1][0][ends] = single + one;
            jumps[1][1][ends] = none.min(double) + one;
            jumps[1][2][ends] = single + one;
        }
        let (same, other) = (usize::from(self.is_odd), usize::from(!self.is_odd));
        let mut here = [[NEVER; 4]; 3];
        for open in 0..3 {
            let [j, with_end] = [jumps[same][open], jumps[other][open]];
            here[open] = [
                j[0].min(self.begin + with_end[1])
                    .min(self.end + with_end[2])
                    .min(self.begin + self.end + j[3]),
                j[1].min(self.end + with_end[3]),
                j[2].min(self.begin + with_end[3]),
                j[3],
            ]
            .map(|cost| cost.min(NEVER));
        }
        here
    }
}

/// Room to work out what evenness asks for, used again and again.
#[derive(Debug)]
pub(super) struct Line {
    /// For each setting whether it is touched (1) and whether by an odd number of ends (2).
    marks: Vec<u8>,
    touched: Vec<usize>,
}

impl Line {
    pub(super) fn new(job: &Job) -> Self {
        Self { marks: vec![0; job.settings.len()], touched: Vec::new() }
    }

    /// The least that any walk costs when only evenness counts: without and with a square end left.
    pub(super) fn least(&mut self, job: &Job, set: &[KindCount], held: Option<Held>) -> [Ticks; 2] {
        self.touched.clear();
        for (kind, count) in set.iter().map(|k| k.parts()) {
            let count = count - usize::from(held.is_some_and(|h| h.kind == kind));
            for face in job.kinds[kind].faces.into_iter().filter(|_| count > 0) {
                self.touch(face);
                self.marks[face] ^= (count as u8 & 1) << 1;
            }
        }
        if let Some(held) = held {
            self.touch(held.arrives);
        }
        self.touched.sort_unstable();
        let mut togo = [ALL_DONE; 2];
        let mut next: Option<usize> = None;
        for setting in self.touched.drain(..).rev() {
            let s = &job.settings[setting];
            let is_odd = self.marks[setting] & 2 != 0;
            self.marks[setting] = 0;
            let gap = next.map_or(0, |n| job.settings[n].ramp - s.ramp);
            next = Some(setting);
            let (begin, half_cut) = (s.begin(), s.half_cut);
            for (togo, end) in togo.iter_mut().zip([s.end(), s.end_square()]) {
                let end = held.map_or(end, |h| if h.arrives == setting { 0 } else { NEVER });
                let point = Point { setting, begin, end, half_cut, gap, is_odd, part: 0, closes: false };
                *togo = point.before(togo);
            }
        }
        let beside = held.map(|h| &job.settings[h.ends]);
        let ends = beside.map_or([0, 0], |s| [s.end(), s.end_square()]);
        [0, 1].map(|i: usize| (togo[i][0][0] + ends[i]).min(NEVER))
    }

    fn touch(&mut self, setting: usize) {
        if self.marks[setting] & 1 == 0 {
            self.marks[setting] |= 1;
            self.touched.push(setting);
        }
    }
}

/// The settings and pieces of one stick, with the least it takes from each point on.
#[derive(Debug)]
pub(super) struct Net {
    pub(super) points: Vec<Point>,
    /// Pieces: kind and the points of its faces.
    pub(super) edges: Vec<(usize, [usize; 2])>,
    /// For each point, number of open jumps and ends already set: the least that the points from here on cost, when
    /// only evenness counts and not whether all hangs together.
    togo: Vec<ToGo>,
    /// What the held piece's end costs beside the walk.
    pub(super) beside: Ticks,
}

/// Jumps between points that make one walk of all pieces, with the points it starts and arrives at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Jumps {
    pub(super) cost: Ticks,
    pub(super) start: usize,
    pub(super) arrival: usize,
    pub(super) pairs: Vec<[usize; 2]>,
}

impl Net {
    /// The net of a set of pieces, without one piece of the held kind.
    pub(super) fn new(job: &Job, set: &[KindCount], finish: Finish, held: Option<Held>) -> Self {
        let (_, square) = finish.parts();
        let end = |s: &Setting| if square { s.end_square() } else { s.end() };
        let mut settings: Vec<usize> = Vec::with_capacity(2 * set.len() + 1);
        let mut edges: Vec<(usize, [usize; 2])> = Vec::with_capacity(2 * set.len());
        for (kind, count) in set.iter().map(|k| k.parts()) {
            let taken = usize::from(held.is_some_and(|h| h.kind == kind));
            for _ in taken..count {
                edges.push((kind, job.kinds[kind].faces));
                settings.extend(job.kinds[kind].faces);
            }
        }
        settings.extend(held.map(|h| h.arrives));
        settings.sort_unstable();
        settings.dedup();
        let mut points: Vec<Point> = settings
            .iter()
            .enumerate()
            .map(|(at, &setting)| {
                let s = &job.settings[setting];
                let gap = settings.get(at + 1).map_or(0, |next| job.settings[*next].ramp - s.ramp);
                let end = match held {
                    None => end(s),
                    Some(h) if h.arrives == setting => 0,
                    Some(_) => NEVER,
                };
                let (begin, half_cut) = (s.begin(), s.half_cut);
                Point { setting, begin, end, half_cut, gap, is_odd: false, part: at, closes: false }
            })
            .collect();
        for (_, faces) in &mut edges {
            *faces = faces.map(|f| settings.partition_point(|s| *s < f));
            let [a, b] = *faces;
            points[a].is_odd ^= true;
            points[b].is_odd ^= true;
            let (low, high) = (root(&points, a), root(&points, b));
            points[low.max(high)].part = low.min(high);
        }
        let mut seen = vec![false; points.len()];
        for at in (0..points.len()).rev() {
            let part = root(&points, at);
            points[at].closes = !seen[part];
            seen[part] = true;
        }
        for at in 0..points.len() {
            points[at].part = root(&points, at);
        }
        let beside = held.map_or(0, |h| end(&job.settings[h.ends]));
        let mut net = Self { points, edges, togo: Vec::new(), beside };
        net.fill_togo();
        net
    }

    /// The least that any walk costs, when only evenness counts.
    pub(super) fn least(&self) -> Ticks {
        self.togo(0, 0, 0).saturating_add(self.beside).min(NEVER)
    }

    /// The least from a point on.
    pub(super) fn togo(&self, point: usize, open: usize, ends: usize) -> Ticks {
        self.togo[point][open][ends]
    }

    fn fill_togo(&mut self) {
        self.togo = vec![ALL_DONE; self.points.len() + 1];
        for (at, point) in self.points.iter().enumerate().rev() {
            self.togo[at] = point.before(&self.togo[at + 1]);
        }
    }

    /// A walk that is even wherever it must be, at the least cost for that, and then tied together: between neighbours
    /// that do not hang together yet, there and back.
    pub(super) fn tied(&self) -> Option<Jumps> {
        let mut out = Jumps { cost: self.least(), start: 0, arrival: 0, pairs: Vec::new() };
        if out.cost >= NEVER {
            return None;
        }
        let mut parts: Vec<usize> = self.points.iter().map(|p| p.part).collect();
        let (mut open, mut ends): (Vec<usize>, usize) = (Vec::new(), 0);
        for (at, point) in self.points.iter().enumerate() {
            let rest = self.togo(at, open.len(), ends);
            let mut all = choices(point, open.len(), ends);
            let choice = all.find(|c| c.cost + self.togo(at + 1, c.open, c.ends) == rest)?;
            let stubs = choice.ends & !ends;
            if stubs & START > 0 {
                out.start = at;
            }
            if stubs & ARRIVAL > 0 {
                out.arrival = at;
            }
            while open.len() > choice.open {
                let from = open.pop()?;
                join(&mut parts, from, at);
                out.pairs.push([from, at]);
            }
            while open.len() < choice.open {
                open.push(at);
            }
            ends = choice.ends;
        }
        for at in 1..self.points.len() {
            if parts[at - 1] != parts[at] {
                let [a, b] = [&self.points[at - 1], &self.points[at]];
                out.cost += 2 * (a.half_cut + a.gap + b.half_cut);
                out.pairs.extend([[at - 1, at]; 2]);
                join(&mut parts, at - 1, at);
            }
        }
        Some(out)
    }
}

/// What can be done at a point when only evenness counts.
struct Choice {
    /// Open jumps after it.
    open: usize,
    /// Ends set after it.
    ends: usize,
    /// With the way of the open jumps to the next point.
    cost: Ticks,
}

/// Each end set here or not, and jumps that open or close as evenness asks.
fn choices(point: &Point, open: usize, ends: usize) -> impl Iterator<Item = Choice> {
    let stubs = (0..4_usize).filter(move |s| s & ends == 0);
    stubs.flat_map(move |stubs| {
        let ends_cost = end_cost(point, stubs);
        let is_odd = point.is_odd ^ (stubs.count_ones() % 2 == 1);
        let change: &[isize] = if is_odd { &[-1, 1] } else { &[0, -2, 2] };
        change.iter().filter_map(move |by| {
            let after = open.checked_add_signed(*by).filter(|o| *o <= 2)?;
            let cost = ends_cost + by.unsigned_abs() as Ticks * point.half_cut + after as Ticks * point.gap;
            Some(Choice { open: after, ends: ends | stubs, cost })
        })
    })
}

/// What the ends cost that are set at the point.
pub(super) fn end_cost(point: &Point, stubs: usize) -> Ticks {
    let start = if stubs & START > 0 { point.begin } else { 0 };
    let arrival = if stubs & ARRIVAL > 0 { point.end } else { 0 };
    start + arrival
}

fn root(points: &[Point], mut at: usize) -> usize {
    while points[at].part != at {
        at = points[at].part;
    }
    at
}

/// Makes one part of the parts of two points.
fn join(parts: &mut [usize], a: usize, b: usize) {
    let (keep, drop) = (parts[a], parts[b]);
    if keep != drop {
        for part in parts.iter_mut().filter(|p| **p == drop) {
            *part = keep;
        }
    }
}

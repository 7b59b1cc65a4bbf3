//! The order of pieces on a stick that wastes least.
//!
//! A piece joins two settings of the saw; pieces that meet at one setting share a cut. So a stick is a walk along all
//! pieces, each once and either way round, and what is wasted is its start, its end and the jumps between settings. As
//! in any walk along edges (Euler; rural postman), two things count: at which settings the number of piece ends is odd,
//! and what hangs together. Settings stand on a line, which makes the cheapest jumps a matter of one sweep along it:
//! `net` has the points and what evenness alone asks for, `sweep` ties the parts together, `trail` walks.
//!
//! Of pieces of one kind only so many count as needed to tell whether there are none, an odd or an even number of them:
//! a pair goes there and back.

mod hash;
mod net;
mod sweep;
#[cfg(test)]
mod tests;
mod trail;
#[cfg(test)]
pub(super) mod vectors;

use self::hash::Hashed;
use self::net::{Held, Jumps, Line, NEVER, Net};
use super::job::{Job, Ticks};
use std::collections::HashMap;

/// Most sets whose costs are remembered at a time.
const MOST_KNOWN: usize = 60_000;

/// Ways kept at each setting while many layouts are compared, and for the last word on one.
pub(super) const NARROW: usize = 6;
pub(super) const WIDE: usize = 64;

/// How many last pieces are tried for each way kept, where not all of them are.
const LASTS_EACH: usize = 4;

/// Steps that a setting takes where only evenness is asked for, a point or piece of a net, a state of a sweep: measured.
const LINE_STEPS: u64 = 8;
const NET_STEPS: u64 = 12;
const STATE_STEPS: u64 = 20;

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

impl Finish {
    /// Whether the last piece is held, and whether a square end is left.
    pub(super) fn parts(self) -> (bool, bool) {
        match self {
            Self::Any => (false, false),
            Self::AnySquare => (false, true),
            Self::Held => (true, false),
            Self::HeldSquare => (true, true),
        }
    }

    /// The same without a piece that has to be held.
    fn free(self) -> Self {
        if self.parts().1 { Self::AnySquare } else { Self::Any }
    }
}

/// One step of a walk: a piece of a kind, and whether from its second face to its first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Step {
    pub(super) kind: usize,
    pub(super) reversed: bool,
}

/// A kind of piece, and how many of it there are as far as that counts: none, an odd or an even number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct KindCount(u32);

impl KindCount {
    /// So many pieces of a kind.
    pub(super) fn new(job: &Job, kind: usize, count: usize) -> Self {
        let [a, b] = job.kinds[kind].faces;
        let counts = match count {
            0..=1 => count,
            // a piece with one setting at both ends changes nothing the second time
            _ if a == b => 1,
            2 => 2,
            // three can be ended with where one cannot: only where it matters
            _ if job.kinds[kind].holds => 2 + count % 2,
            _ => 2 - count % 2,
        };
        Self((kind as u32) << 2 | counts as u32)
    }

    /// The kind, and how many pieces of it count.
    pub(super) fn parts(self) -> (usize, usize) {
        (self.0 as usize >> 2, self.0 as usize & 3)
    }
}

/// What an order costs beside the weights.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cost {
    pub(super) ticks: Ticks,
    /// Whether no order costs less.
    pub(super) is_exact: bool,
    /// How many ways were kept at most when it was worked out.
    width: usize,
}

#[derive(Debug, Clone, Copy, Default)]
struct Known {
    /// What evenness alone asks for, without and with a square end left.
    least: Option<[Ticks; 2]>,
    /// For each finish.
    costs: [Option<Cost>; 4],
}

/// Costs of the sets of pieces met so far.
#[derive(Debug)]
pub(super) struct Orders<'a> {
    job: &'a Job,
    known: HashMap<Box<[KindCount]>, Known, Hashed>,
    line: Line,
    /// How many ways are kept at each setting.
    pub(super) width: usize,
    /// Steps taken so far; a step is about ten nanoseconds on a machine of 2020.
    pub(super) steps: u64,
    /// Whether no order that was asked for since this was last set could be cheaper.
    pub(super) all_exact: bool,
}

/// An order with what it costs.
struct Found {
    cost: Cost,
    net: Net,
    jumps: Jumps,
    held: Option<Held>,
}

impl<'a> Orders<'a> {
    pub(super) fn new(job: &'a Job) -> Self {
        Self {
            job,
            known: HashMap::default(),
            line: Line::new(job),
            width: NARROW,
            steps: 0,
            all_exact: true,
        }
    }

    /// What no order of the set costs less than, as far as evenness says.
    pub(super) fn least(&mut self, set: &[KindCount], square: bool) -> Ticks {
        if let Some(cost) = self.at_one_setting(set, square) {
            return cost;
        }
        self.steps += 8;
        if let Some(known) = self.known.get(set).and_then(|k| k.least) {
            return known[usize::from(square)];
        }
        let least = self.line.least(self.job, set, None);
        self.steps += LINE_STEPS * (2 + set.len() as u64);
        self.remember(set).least = Some(least);
        least[usize::from(square)]
    }

    /// What the best order of the set costs; nothing where there is none (no piece that can be held).
    pub(super) fn cost(&mut self, set: &[KindCount], finish: Finish) -> Option<Cost> {
        let (held, square) = finish.parts();
        if held && !set.iter().any(|k| self.job.kinds[k.parts().0].holds) {
            return None;
        }
        if let Some(ticks) = self.at_one_setting(set, square) {
            return Some(Cost { ticks, is_exact: true, width: usize::MAX });
        }
        self.steps += 8;
        let known = self.known.get(set).and_then(|k| k.costs[finish as usize]);
        if let Some(known) = known.filter(|c| c.is_exact || c.width >= self.width) {
            return Some(known);
        }
        let cost = self.find(set, finish)?.cost;
        self.all_exact &= cost.is_exact;
        self.remember(set).costs[finish as usize] = Some(cost);
        Some(cost)
    }

    /// The best order of the set for a finish, first step first.
    pub(super) fn steps(&mut self, set: &[KindCount], finish: Finish) -> Vec<Step> {
        let Some(found) = self.find(set, finish) else { return Vec::new() };
        let mut steps = trail::steps(self.job, &found.net, &found.jumps);
        if let Some(held) = found.held {
            steps
                .push(Step { kind: held.kind, reversed: held.arrives != self.job.kinds[held.kind].faces[0] });
        }
        steps
    }

    /// The cost where all faces are at one setting, and so nothing is to be decided.
    fn at_one_setting(&self, set: &[KindCount], square: bool) -> Option<Ticks> {
        let Some(first) = set.first() else { return Some(0) };
        let setting = self.job.kinds[first.parts().0].faces[0];
        let alike = |k: &KindCount| self.job.kinds[k.parts().0].faces == [setting; 2];
        let s = &self.job.settings[setting];
        let end = if square { s.end_square() } else { s.end() };
        set.iter().all(alike).then(|| s.begin() + end)
    }

    fn remember(&mut self, set: &[KindCount]) -> &mut Known {
        if self.known.len() >= MOST_KNOWN {
            self.known.clear();
        }
        self.known.entry(set.into()).or_default()
    }

    fn net(&mut self, set: &[KindCount], finish: Finish, held: Option<Held>) -> Net {
        let net = Net::new(self.job, set, finish, held);
        self.steps += NET_STEPS * (2 + net.points.len() + net.edges.len()) as u64;
        net
    }

    fn find(&mut self, set: &[KindCount], finish: Finish) -> Option<Found> {
        let free = self.net(set, finish.free(), None);
        let free = self.walk(free, None)?;
        if finish.parts().0 { self.find_held(set, finish, &free) } else { Some(free) }
    }

    /// The best walk of a net.
    fn walk(&mut self, net: Net, held: Option<Held>) -> Option<Found> {
        let mut jumps = net.tied()?;
        let mut is_exact = jumps.cost == net.least();
        let goal = held.map(|_| jumps.arrival);
        let mut width = 1;
        if !is_exact {
            self.steps += NET_STEPS * (2 + net.edges.len() + jumps.pairs.len()) as u64;
            jumps = trail::shortened(self.job, &net, jumps, goal);
        }
        while !is_exact && width < self.width {
            width = (width * 8).min(self.width);
            let swept = sweep::sweep(&net, jumps, width);
            self.steps += STATE_STEPS * swept.states as u64;
            (jumps, is_exact) = (swept.jumps, swept.is_exact);
            if !is_exact {
                jumps = trail::shortened(self.job, &net, jumps, goal);
            }
        }
        let cost = Cost { ticks: jumps.cost, is_exact, width: self.width };
        Some(Found { cost, net, jumps, held })
    }

    fn walk_held(&mut self, set: &[KindCount], finish: Finish, held: Held) -> Option<Found> {
        let net = self.net(set, finish.free(), Some(held));
        self.walk(net, Some(held))
    }

    /// The best walk with a piece last that is held: each such piece taken out and walked last, in either direction.
    /// None is cheaper than the best of all walks, so one as cheap ends the search.
    fn find_held(&mut self, set: &[KindCount], finish: Finish, free: &Found) -> Option<Found> {
        let arrival = free.net.points.get(free.jumps.arrival).map_or(0, |p| p.setting);
        let mut lasts: Vec<Held> = Vec::new();
        for (kind, _) in set.iter().map(|k| k.parts()).filter(|k| self.job.kinds[k.0].holds) {
            let [a, b] = self.job.kinds[kind].faces;
            lasts.push(Held { kind, arrives: a, ends: b });
            if a != b {
                lasts.push(Held { kind, arrives: b, ends: a });
            }
        }
        // where the best of all walks ends is a good guess
        lasts.sort_by_key(|h| (h.ends != arrival, h.arrives != arrival));
        let most = if self.width >= WIDE { usize::MAX } else { LASTS_EACH * self.width };
        let left_out = lasts.len() > most;
        lasts.truncate(most);
        let bottom = if free.cost.is_exact { free.cost.ticks } else { free.net.least() };
        let mut best: Option<Found> = None;
        let mut waiting = Vec::with_capacity(lasts.len());
        let square = usize::from(finish.parts().1);
        for (place, held) in lasts.into_iter().enumerate() {
            let least = self.line.least(self.job, set, Some(held))[square];
            self.steps += LINE_STEPS * (2 + set.len() as u64);
            if least <= bottom {
                let found = self.walk_held(set, finish, held)?;
                if found.cost.ticks <= bottom {
                    return Some(Found { cost: Cost { is_exact: true, ..found.cost }, ..found });
                }
                best = Some(better(best, found));
            } else if least < NEVER {
                waiting.push((least, place, held));
            }
        }
        waiting.sort_by_key(|w| (w.0, w.1));
        let mut all_exact = !left_out;
        for (least, _, held) in waiting {
            if best.as_ref().is_some_and(|b| b.cost.ticks <= least) {
                break;
            }
            let found = self.walk_held(set, finish, held)?;
            all_exact &= found.cost.is_exact;
            best = Some(better(best, found));
        }
        best.map(|mut b| {
            b.cost.is_exact &= all_exact;
            b
        })
    }
}

fn better(best: Option<Found>, found: Found) -> Found {
    let Some(best) = best else { return found };
    let is_exact = best.cost.is_exact && found.cost.is_exact;
    let mut kept = if best.cost.ticks <= found.cost.ticks { best } else { found };
    kept.cost.is_exact = is_exact;
    kept
}

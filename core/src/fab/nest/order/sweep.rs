//! The cheapest jumps that make one walk of all pieces, by a sweep over the settings from the least tilt up.
//!
//! At each point it is decided whether the walk starts or ends here and which jumps open or close; what has to be
//! remembered of all points before is how many jumps are open, which ends are set, and what hangs together among the
//! parts that go on and the open jumps. More than two jump ends at a point or two jumps over a gap are never needed: a
//! third can be cut short without tearing the walk (a corner cut, or two jumps that run the same way exchanged).

use super::super::job::Ticks;
use super::net::{ARRIVAL, Jumps, NEVER, Net, START, end_cost};

/// Most parts that may be open at one point; more are tied together without a search.
const MOST_OPEN: usize = 24;

/// Mark of a place where no part is open, and of a jump that is not.
const NONE: u8 = u8::MAX;

/// What hangs together: numbers that are equal for what does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Ties {
    parts: [u8; MOST_OPEN],
    jumps: [u8; 2],
    /// The ends that are set.
    ends: u8,
}

/// One way to do the points so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct State {
    /// The least that any walk costs which goes on from it.
    least: Ticks,
    cost: Ticks,
    ties: Ties,
    /// Its place among the states before the point.
    before: u32,
    /// Points that the open jumps come from.
    from: [u16; 2],
    /// Points of the jumps that are closed here.
    closed: [u16; 2],
}

/// No point.
const NOWHERE: u16 = u16::MAX;

impl Ties {
    /// The same with numbers that depend on nothing but what hangs together. Returns whether the jumps changed places.
    fn normalise(&mut self, used: usize) -> bool {
        let mut new = [NONE; 2 * MOST_OPEN];
        for place in 0..used {
            let old = self.parts[place];
            if old != NONE {
                let number = &mut new[usize::from(old)];
                *number = (*number).min(place as u8);
                self.parts[place] = *number;
            }
        }
        for (i, jump) in self.jumps.iter_mut().enumerate().filter(|j| *j.1 != NONE) {
            let number = &mut new[usize::from(*jump)];
            *number = (*number).min((MOST_OPEN + i) as u8);
            *jump = *number;
        }
        let swaps = self.jumps[0] > self.jumps[1];
        if swaps {
            self.jumps.swap(0, 1);
        }
        // one that hangs together with no part is numbered by its place
        let alike = self.jumps[0] == self.jumps[1];
        for (i, jump) in self.jumps.iter_mut().enumerate() {
            if usize::from(*jump) >= MOST_OPEN && *jump != NONE {
                *jump = (MOST_OPEN + if alike { 0 } else { i }) as u8;
            }
        }
        swaps
    }

    fn join(&mut self, keep: u8, drop: u8) {
        let all = self.parts.iter_mut().chain(&mut self.jumps);
        all.filter(|t| **t == drop).for_each(|t| *t = keep);
    }

    fn has(&self, number: u8, used: usize) -> bool {
        self.parts[..used].contains(&number) || self.jumps.contains(&number)
    }
}

/// What a sweep found.
pub(super) struct Swept {
    pub(super) jumps: Jumps,
    /// Whether no walk is cheaper.
    pub(super) is_exact: bool,
    /// States that were looked at.
    pub(super) states: usize,
}

/// Looks for a cheaper walk than `known`, keeping at most `width` ways at each point.
pub(super) fn sweep(net: &Net, known: Jumps, width: usize) -> Swept {
    let Some(places) = places(net) else { return Swept { jumps: known, is_exact: false, states: 0 } };
    let used = places.iter().max().map_or(0, |p| usize::from(*p) + 1);
    let mut sweep =
        Sweep { net, known: known.cost - net.beside, dropped: NEVER, states: 0, found: Vec::new(), used };
    let ties = Ties { parts: [NONE; MOST_OPEN], jumps: [NONE; 2], ends: 0 };
    let first = State {
        least: net.togo(0, 0, 0),
        cost: 0,
        ties,
        before: 0,
        from: [NOWHERE; 2],
        closed: [NOWHERE; 2],
    };
    let mut layers = vec![vec![first]];
    for (at, place) in places.iter().enumerate() {
        for (i, state) in layers[at].iter().enumerate() {
            sweep.step(at, usize::from(*place), i as u32, state);
        }
        layers.push(sweep.best(width));
    }
    let best = layers.last().and_then(|l| l.iter().min()).copied();
    let (dropped, states) = (sweep.dropped, sweep.states);
    let jumps = best.map_or(known, |last| {
        let mut jumps = walk_back(&layers, last);
        jumps.cost += net.beside;
        jumps
    });
    // what costs as much as what is known was not followed
    let is_exact = jumps.cost - net.beside <= dropped;
    Swept { jumps, is_exact, states }
}

/// For each point, where its part is kept while it is open; none where too many are open at once.
fn places(net: &Net) -> Option<Vec<u8>> {
    let mut of_part = vec![NONE; net.points.len()];
    let mut free = u32::MAX >> (32 - MOST_OPEN);
    let mut out = Vec::with_capacity(net.points.len());
    for point in &net.points {
        if of_part[point.part] == NONE {
            if free == 0 {
                return None;
            }
            of_part[point.part] = free.trailing_zeros() as u8;
            free &= free - 1;
        }
        out.push(of_part[point.part]);
        if point.closes {
            free |= 1 << of_part[point.part];
        }
    }
    Some(out)
}

struct Sweep<'a> {
    net: &'a Net,
    /// What a walk that is known costs: only cheaper ones are looked for.
    known: Ticks,
    /// The least that anything costs which was given up for want of room.
    dropped: Ticks,
    states: usize,
    found: Vec<State>,
    /// How many places for parts are used.
    used: usize,
}

impl Sweep<'_> {
    /// All that can be done at a point from a state before it.
    fn step(&mut self, at: usize, place: usize, index: u32, state: &State) {
        let point = &self.net.points[at];
        let open = state.ties.jumps.iter().filter(|j| **j != NONE).count();
        let mut fresh = State { before: index, closed: [NOWHERE; 2], ..*state };
        if fresh.ties.parts[place] == NONE {
            // a number nothing else has
            fresh.ties.parts[place] = MOST_OPEN as u8 + 2;
        }
        // two jumps of one part are the same to close
        let closable = if open == 2 && state.ties.jumps[0] == state.ties.jumps[1] { 1 } else { open };
        for stubs in (0..4_usize).filter(|s| s & usize::from(state.ties.ends) == 0) {
            let mut with = fresh;
            with.ties.ends |= stubs as u8;
            with.cost += end_cost(point, stubs);
            if with.cost >= NEVER / 2 {
                continue;
            }
            if point.is_odd ^ (stubs.count_ones() % 2 == 1) {
                for jump in 0..closable {
                    self.add(at, place, close(with, place, jump));
                }
                if open < 2 {
                    self.add(at, place, begin(with, place, at));
                }
                continue;
            }
            self.add(at, place, with);
            for jump in 0..closable {
                self.add(at, place, begin(close(with, place, jump), place, at));
            }
            if open == 2 {
                self.add(at, place, close(close(with, place, 1), place, 0));
            }
            if open == 0 {
                self.add(at, place, begin(begin(with, place, at), place, at));
            }
        }
    }

    /// Takes a state over the point, where it can still come to a walk that is cheaper than what is known.
    fn add(&mut self, at: usize, place: usize, mut state: State) {
        self.states += 1;
        let point = &self.net.points[at];
        let open = state.ties.jumps.iter().filter(|j| **j != NONE).count();
        let ends_here = state.closed.iter().filter(|c| **c != NOWHERE).count()
            + state.from.iter().filter(|f| usize::from(**f) == at).count();
        state.cost += ends_here as Ticks * point.half_cut + open as Ticks * point.gap;
        state.least = state.cost + self.net.togo(at + 1, open, usize::from(state.ties.ends));
        if state.least >= self.known {
            return;
        }
        if point.closes {
            let number = std::mem::replace(&mut state.ties.parts[place], NONE);
            // cut off from all that is still to come
            if at + 1 < self.net.points.len() && !state.ties.has(number, self.used) {
                return;
            }
        }
        if state.ties.normalise(self.used) {
            state.from.swap(0, 1);
        }
        self.found.push(state);
    }

    /// The best of the states found, one of each kind.
    fn best(&mut self, width: usize) -> Vec<State> {
        let mut all = std::mem::take(&mut self.found);
        if all.len() > 1 {
            all.sort_unstable_by(|a, b| a.ties.cmp(&b.ties).then_with(|| a.cmp(b)));
            all.dedup_by(|next, kept| next.ties == kept.ties);
            all.sort_unstable();
        }
        if all.len() > width {
            self.dropped = self.dropped.min(all[width].least);
            all.truncate(width);
        }
        all
    }
}

/// The state with one of its jumps closed at the part of this place.
fn close(mut state: State, place: usize, jump: usize) -> State {
    let own = state.ties.parts[place];
    let number = std::mem::replace(&mut state.ties.jumps[jump], NONE);
    state.ties.join(own, number);
    let from = std::mem::replace(&mut state.from[jump], NOWHERE);
    let slot = usize::from(state.closed[0] != NOWHERE);
    state.closed[slot] = from;
    state
}

/// The state with a jump opened at the part of this place.
fn begin(mut state: State, place: usize, at: usize) -> State {
    let slot = usize::from(state.ties.jumps[0] != NONE);
    state.ties.jumps[slot] = state.ties.parts[place];
    state.from[slot] = at as u16;
    state
}

/// The jumps and ends of the walk that comes to this state.
fn walk_back(layers: &[Vec<State>], last: State) -> Jumps {
    let mut jumps = Jumps { cost: last.cost, start: 0, arrival: 0, pairs: Vec::new() };
    let mut state = last;
    for at in (0..layers.len() - 1).rev() {
        let before = layers[at][state.before as usize];
        let stubs = usize::from(state.ties.ends & !before.ties.ends);
        if stubs & START > 0 {
            jumps.start = at;
        }
        if stubs & ARRIVAL > 0 {
            jumps.arrival = at;
        }
        let closed = state.closed.iter().filter(|c| **c != NOWHERE);
        jumps.pairs.extend(closed.map(|from| [usize::from(*from), at]));
        state = before;
    }
    jumps
}

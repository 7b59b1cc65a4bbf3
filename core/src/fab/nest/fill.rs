//! Good layouts quickly: piece by piece, stick by stick, or one order over all pieces cut into sticks.

use super::bin::{Bin, Cutter};
use super::job::{Stock, Ticks};
use super::lay;
use super::order::Finish;

/// A layout.
#[derive(Debug, Clone, Default)]
pub(super) struct Layout {
    /// Sticks and offcuts with something cut from them.
    pub(super) bins: Vec<Bin>,
    /// Blanks that found no place.
    pub(super) unplaced: Vec<usize>,
}

impl Layout {
    /// How many whole sticks are started.
    pub(super) fn whole(&self) -> usize {
        self.bins.iter().filter(|b| b.is_whole()).count()
    }

    /// The longest left-over: of the whole sticks where one is started, else of all offcuts, cut or not.
    pub(super) fn longest_left(&self, cutter: &mut Cutter<'_>) -> Ticks {
        if self.whole() > 0 {
            let whole = self.bins.iter().filter(|b| b.is_whole());
            return whole.filter_map(|b| cutter.finish(b)).map(|f| f.1).max().unwrap_or(0);
        }
        let cut = |stock: &Stock| self.bins.iter().find(|b| b.stock == *stock);
        let job = cutter.job;
        let left =
            job.offcuts.iter().filter_map(|s| cut(s).map_or(Some(s.room), |b| Some(cutter.finish(b)?.1)));
        left.max().unwrap_or(0)
    }

    /// What makes a layout better, first things first: all pieces placed, few sticks, a long left-over, much left in
    /// long lengths.
    pub(super) fn merit(&self, cutter: &mut Cutter<'_>) -> impl PartialOrd + use<> {
        let longest = self.longest_left(cutter);
        let lefts = self.bins.iter().filter_map(|b| cutter.finish(b)).map(|f| super::job::mm(f.1));
        let squares: f64 = lefts.map(|l| l * l).sum();
        (-(self.unplaced.len() as i64), -(self.whole() as i64), longest, squares)
    }

    /// Whether the other one is better.
    pub(super) fn is_beaten_by(&self, other: &Self, cutter: &mut Cutter<'_>) -> bool {
        self.merit(cutter) < other.merit(cutter)
    }
}

/// The blanks, those that can be held first where something has to be, then longest first.
fn longest_first(cutter: &Cutter<'_>) -> Vec<usize> {
    (0..cutter.job.blanks.len()).collect()
}

/// Longest piece first, each on the fullest stick with room, else on the shortest offcut that takes it, else on a new
/// stick.
pub(super) fn piece_by_piece(cutter: &mut Cutter<'_>) -> Layout {
    let job = cutter.job;
    let mut out = Layout::default();
    let mut free = job.offcuts.clone();
    for blank in longest_first(cutter) {
        if put_on_fullest(cutter, &mut out, blank) {
            continue;
        }
        let new = (0..free.len()).find_map(|i| Some((i, with(cutter, &Bin::new(free[i]), blank)?)));
        if let Some((i, bin)) = new {
            free.remove(i);
            out.bins.push(bin);
        } else if let Some(bin) = job.whole.and_then(|w| with(cutter, &Bin::new(w), blank)) {
            out.bins.push(bin);
        } else {
            out.unplaced.push(blank);
        }
    }
    out
}

/// Puts a blank on the fullest of the sticks started that still takes it.
fn put_on_fullest(cutter: &mut Cutter<'_>, out: &mut Layout, blank: usize) -> bool {
    let weight = cutter.job.blanks[blank].weight;
    let mut places: Vec<(Ticks, usize)> = Vec::new();
    for (at, bin) in out.bins.iter().enumerate() {
        let room = cutter.headroom(bin, true);
        if room >= weight {
            places.push((room, at));
        }
    }
    cutter.spend(1 + out.bins.len() as u64 / 2);
    places.sort_unstable();
    for (_, at) in places {
        if let Some(bin) = with(cutter, &out.bins[at], blank) {
            out.bins[at] = bin;
            return true;
        }
    }
    false
}

/// The stick with one more blank, where that can be cut.
pub(super) fn with(cutter: &mut Cutter<'_>, bin: &Bin, blank: usize) -> Option<Bin> {
    let mut more = bin.clone();
    more.put(cutter.job, blank);
    cutter.left(&more).map(|_| more)
}

/// One order over all pieces that wastes least, cut into offcuts, longest first, and sticks.
pub(super) fn one_order(cutter: &mut Cutter<'_>) -> Layout {
    let job = cutter.job;
    let mut out = Layout::default();
    let Some(whole) = job.whole else { return out };
    let mut all = Bin::new(whole);
    for blank in 0..job.blanks.len() {
        all.put(job, blank);
    }
    let blank_of = {
        let mut at = vec![0; job.blanks.iter().map(|b| b.piece + 1).max().unwrap_or(0)];
        for (blank, b) in job.blanks.iter().enumerate() {
            at[b.piece] = blank;
        }
        at
    };
    let order: Vec<usize> =
        lay::order(cutter, &all, Finish::Any).iter().map(|l| blank_of[l.piece]).collect();
    let mut stocks = job.offcuts.iter().rev().copied().chain(std::iter::repeat(whole));
    let mut bin = Bin::new(whole);
    let mut waiting = order.into_iter().peekable();
    if let Some(stock) = stocks.next() {
        bin = Bin::new(stock);
    }
    while let Some(blank) = waiting.peek().copied() {
        if let Some(more) = with(cutter, &bin, blank) {
            bin = more;
            waiting.next();
            continue;
        }
        let was_whole = bin.is_whole();
        if bin.blanks.is_empty() && was_whole {
            // by itself it is too short to be held, or too long
            out.unplaced.push(blank);
            waiting.next();
            continue;
        }
        if !bin.blanks.is_empty() {
            out.bins.push(bin);
        }
        bin = Bin::new(stocks.next().unwrap_or(whole));
    }
    if !bin.blanks.is_empty() {
        out.bins.push(bin);
    }
    // what is left over of one order may go beside another
    for blank in std::mem::take(&mut out.unplaced) {
        if !put_on_fullest(cutter, &mut out, blank) {
            out.unplaced.push(blank);
        }
    }
    out
}

/// Stick by stick, offcuts first from the shortest on, each filled as full as can be found in `nodes` tries.
///
/// Every new stick begins with the longest piece that is left (after Gupta and Ho's minimum bin slack, from memory).
pub(super) fn stick_by_stick(cutter: &mut Cutter<'_>, nodes: u32) -> Layout {
    let job = cutter.job;
    let mut left: Vec<usize> = (0..job.blanks.len()).collect();
    left.sort_by_key(|b| (std::cmp::Reverse(job.blanks[*b].weight), *b));
    let mut out = Layout::default();
    for offcut in &job.offcuts {
        if left.is_empty() {
            break;
        }
        let bin = fullest(cutter, Bin::new(*offcut), &left, nodes);
        take(&mut out, &mut left, bin);
    }
    while let (Some(whole), Some(longest)) = (job.whole, left.first().copied()) {
        let first = with(cutter, &Bin::new(whole), longest);
        // a piece that cannot be the last may still go beside one that can
        let bin = match first {
            Some(bin) => fullest(cutter, bin, &left[1..], nodes),
            None => fullest(cutter, Bin::new(whole), &left, nodes),
        };
        if bin.blanks.is_empty() {
            break;
        }
        take(&mut out, &mut left, bin);
    }
    out.unplaced = left;
    out
}

fn take(out: &mut Layout, left: &mut Vec<usize>, bin: Bin) {
    if !bin.blanks.is_empty() {
        left.retain(|b| !bin.blanks.contains(b));
        out.bins.push(bin);
    }
}

/// The bin filled as full as found with some of `left`, which are sorted longest first.
pub(super) fn fullest(cutter: &mut Cutter<'_>, bin: Bin, left: &[usize], nodes: u32) -> Bin {
    let mut sums = vec![0; left.len() + 1];
    let mut shortest = vec![Ticks::MAX; left.len() + 1];
    for i in (0..left.len()).rev() {
        let weight = cutter.job.blanks[left[i]].weight;
        sums[i] = sums[i + 1] + weight;
        shortest[i] = shortest[i + 1].min(weight);
    }
    cutter.spend(left.len() as u64 / 4);
    let mut filling = Filling { left, sums, shortest, best: bin.clone(), now: bin, nodes };
    filling.go(cutter, 0);
    filling.best
}

struct Filling<'a> {
    left: &'a [usize],
    /// For each place, what it and those after it add up to, and the shortest of them.
    sums: Vec<Ticks>,
    shortest: Vec<Ticks>,
    best: Bin,
    now: Bin,
    nodes: u32,
}

impl Filling<'_> {
    fn go(&mut self, cutter: &mut Cutter<'_>, from: usize) {
        let job = cutter.job;
        if self.now.load > self.best.load && cutter.left(&self.now).is_some() {
            self.best = self.now.clone();
        }
        let mut last = None;
        let mut from = from;
        loop {
            let room = cutter.headroom(&self.now, true);
            // longest first: those that are too long come before those that fit
            let skipped = self.left[from..].partition_point(|b| job.blanks[*b].weight > room);
            from += skipped;
            cutter.spend(3);
            if from >= self.left.len() || self.nodes == 0 {
                return;
            }
            // not even all that is left would fill it more, or no room for any
            if self.now.load + self.sums[from].min(room) <= self.best.load || self.shortest[from] > room {
                return;
            }
            let blank = job.blanks[self.left[from]];
            from += 1;
            if last == Some((blank.weight, blank.kind)) {
                continue;
            }
            last = Some((blank.weight, blank.kind));
            self.nodes -= 1;
            self.now.put(job, self.left[from - 1]);
            if cutter.may_go_on(&self.now, true) {
                self.go(cutter, from);
            }
            self.now.take_last(job);
        }
    }
}

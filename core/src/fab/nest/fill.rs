//! Good layouts quickly: piece by piece, stick by stick, or one order over all pieces cut into sticks.

use super::bin::{Bin, Cutter};
use super::job::{FIT_MM, Setting, Stock, Ticks, ticks};
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

/// Longest piece first, each on the fullest stick with room, else on the shortest offcut that takes it, else on a new
/// stick. After so many steps orders are no longer looked for where there might be room.
pub(super) fn piece_by_piece(cutter: &mut Cutter<'_>, steps: u64) -> Layout {
    let job = cutter.job;
    let limit = cutter.after(steps);
    let mut open: Vec<Open> = Vec::new();
    let mut unplaced = Vec::new();
    let mut free = job.offcuts.clone();
    for blank in 0..job.blanks.len() {
        if put_on_fullest(cutter, &mut open, blank, limit) {
            continue;
        }
        let new = (0..free.len()).find_map(|i| Some((i, Open::new(free[i]).with(cutter, blank, limit)?)));
        if let Some((i, bin)) = new {
            free.remove(i);
            open.push(bin);
        } else if let Some(bin) = job.whole.and_then(|w| Open::new(w).with(cutter, blank, limit)) {
            open.push(bin);
        } else {
            unplaced.push(blank);
        }
    }
    Layout { bins: open.into_iter().map(|o| o.bin).collect(), unplaced }
}

/// A stick that is being filled, with what a good order of it costs at most.
struct Open {
    bin: Bin,
    /// What some order costs beside the weights, up to a square end.
    at_most: Ticks,
}

impl Open {
    fn new(stock: Stock) -> Self {
        Self { bin: Bin::new(stock), at_most: 0 }
    }

    /// With one more blank, where that can be cut. There from the nearest setting and back is good enough where there is
    /// room for it; only else the best order is looked for.
    fn with(&self, cutter: &mut Cutter<'_>, blank: usize, limit: u64) -> Option<Self> {
        let job = cutter.job;
        let mut bin = self.bin.clone();
        bin.put(job, blank);
        let [a, b] = job.kinds[job.blanks[blank].kind].faces.map(|f| &job.settings[f]);
        let detour = self.bin.faces(job).map(|f| &job.settings[f]).map(|s| s.change(a) + b.change(s)).min();
        let alone = || (a.begin() + b.end_square()).min(b.begin() + a.end_square());
        let mut at_most = detour.map_or_else(alone, |d| self.at_most + d);
        cutter.spend(4 + bin.blanks.len() as u64 / 2);
        if bin.stock.room - bin.load - at_most < job.grip {
            if !self.bin.blanks.is_empty() && cutter.is_over(limit) {
                return None;
            }
            let left = cutter.left(&bin)?;
            at_most = at_most.min(bin.stock.room - bin.load - left);
        }
        Some(Self { bin, at_most })
    }
}

/// Puts a blank on the fullest of the sticks started that still takes it.
fn put_on_fullest(cutter: &mut Cutter<'_>, open: &mut [Open], blank: usize, limit: u64) -> bool {
    let weight = cutter.job.blanks[blank].weight;
    let mut places: Vec<(Ticks, usize)> = Vec::new();
    for (at, Open { bin, .. }) in open.iter().enumerate() {
        let room = cutter.headroom(bin, true);
        if room >= weight {
            places.push((room, at));
        }
    }
    cutter.spend(1 + open.len() as u64 / 2);
    places.sort_unstable();
    for (_, at) in places {
        if let Some(more) = open[at].with(cutter, blank, limit) {
            open[at] = more;
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
pub(super) fn one_order(cutter: &mut Cutter<'_>, steps: u64) -> Layout {
    let job = cutter.job;
    let limit = cutter.after(steps);
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
    let order = lay::order(cutter, &all, Finish::Any);
    let mut stocks = job.offcuts.iter().rev().copied().chain(std::iter::repeat(whole));
    let mut open: Vec<Open> = Vec::new();
    let mut now = Open::new(stocks.next().unwrap_or(whole));
    let mut waiting = order.iter().peekable();
    let mut last: Option<Setting> = None;
    while let Some(lying) = waiting.peek() {
        let blank = blank_of[lying.piece];
        let [first, second] = lying.faces(job).map(|f| job.settings[f]);
        let mut more = now.bin.clone();
        more.put(job, blank);
        // as the order goes on, or else by the best of the pieces
        let before = last.map_or(first.begin(), |l| now.at_most - l.end_square() + l.change(&first));
        let as_it_goes = before + second.end_square();
        cutter.spend(6);
        let at_most = if more.stock.room - more.load - as_it_goes >= job.grip {
            Some(as_it_goes)
        } else if now.bin.blanks.is_empty() || !cutter.is_over(limit) {
            cutter.left(&more).map(|_| as_it_goes)
        } else {
            None
        };
        if let Some(at_most) = at_most {
            now = Open { bin: more, at_most };
            last = Some(second);
            waiting.next();
            continue;
        }
        if now.bin.blanks.is_empty() && now.bin.is_whole() {
            // by itself it is too short to be held, or too long
            out.unplaced.push(blank);
            waiting.next();
            continue;
        }
        let full = std::mem::replace(&mut now, Open::new(stocks.next().unwrap_or(whole)));
        last = None;
        open.extend(Some(full).filter(|o| !o.bin.blanks.is_empty()));
    }
    open.extend(Some(now).filter(|o| !o.bin.blanks.is_empty()));
    // what is left over of one order may go beside another
    let over = std::mem::take(&mut out.unplaced);
    out.unplaced = over.into_iter().filter(|b| !put_on_fullest(cutter, &mut open, *b, limit)).collect();
    out.bins = open.into_iter().map(|o| o.bin).collect();
    out
}

/// Stick by stick, offcuts first from the shortest on, each filled as full as can be found in `nodes` tries, and in one
/// when so many steps have been taken.
///
/// Every new stick begins with the longest piece that is left (after Gupta and Ho's minimum bin slack, from memory).
pub(super) fn stick_by_stick(cutter: &mut Cutter<'_>, tries: Tries) -> Layout {
    let job = cutter.job;
    let mut left: Vec<usize> = (0..job.blanks.len()).collect();
    left.sort_by_key(|b| (std::cmp::Reverse(job.blanks[*b].weight), *b));
    let mut out = Layout::default();
    for offcut in &job.offcuts {
        if left.is_empty() {
            break;
        }
        let bin = fullest(cutter, Bin::new(*offcut), &left, tries);
        take(&mut out, &mut left, bin);
    }
    while let (Some(whole), Some(longest)) = (job.whole, left.first().copied()) {
        let first = with(cutter, &Bin::new(whole), longest);
        // a piece that cannot be the last may still go beside one that can
        let bin = match first {
            Some(bin) => fullest(cutter, bin, &left[1..], tries),
            None => fullest(cutter, Bin::new(whole), &left, tries),
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
        without(left, &bin);
        out.bins.push(bin);
    }
}

/// Takes what is on the bin out of a pool of blanks.
pub(super) fn without(pool: &mut Vec<usize>, bin: &Bin) {
    let mut on = bin.blanks.clone();
    on.sort_unstable();
    pool.retain(|b| on.binary_search(b).is_err());
}

/// How long a stick is filled in other ways.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tries {
    /// At most so many tries.
    pub(super) count: u32,
    /// No more than one when the cutter has taken so many steps.
    pub(super) limit: u64,
    /// Full enough when no more than this is free. Tried longest first, so what is good enough keeps short pieces, which
    /// go anywhere, for later sticks.
    pub(super) enough: Ticks,
    /// Where not 0: no more pieces on a stick than would fill it if each were so long, in thousandths of what those
    /// that are left are on the average. So no stick takes many short ones that long ones need beside them later
    /// (average-weight control after Fleszar and Charalambous, from memory).
    pub(super) lean: Ticks,
}

/// The bin filled as full as found with some of `left`, which are sorted longest first.
pub(super) fn fullest(cutter: &mut Cutter<'_>, bin: Bin, left: &[usize], tries: Tries) -> Bin {
    let mut sums = vec![0; left.len() + 1];
    let mut shortest = vec![Ticks::MAX; left.len() + 1];
    for i in (0..left.len()).rev() {
        let weight = cutter.job.blanks[left[i]].weight;
        sums[i] = sums[i + 1] + weight;
        shortest[i] = shortest[i + 1].min(weight);
    }
    cutter.spend(left.len() as u64 / 4);
    if cutter.job.settings.len() <= 1 {
        return by_weight(cutter, bin, left, &sums, tries);
    }
    let mut filling = Filling { left, sums, shortest, best: bin.clone(), now: bin, tries };
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
    tries: Tries,
}

impl Filling<'_> {
    fn go(&mut self, cutter: &mut Cutter<'_>, from: usize) {
        self.go_deeper(cutter, from);
        // with more on it would be better still, so that was tried first
        if self.now.load > self.best.load && cutter.left(&self.now).is_some() {
            self.best = self.now.clone();
        }
    }

    fn go_deeper(&mut self, cutter: &mut Cutter<'_>, mut from: usize) {
        let job = cutter.job;
        let mut last = None;
        loop {
            let room = cutter.headroom(&self.now, true);
            // longest first: those that are too long come before those that fit
            let skipped = self.left[from..].partition_point(|b| job.blanks[*b].weight > room);
            from += skipped;
            cutter.spend(3);
            let is_over =
                self.tries.count == 0 || (!self.best.blanks.is_empty() && cutter.is_over(self.tries.limit));
            if from >= self.left.len() || is_over {
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
            self.tries.count -= 1;
            self.now.put(job, self.left[from - 1]);
            if cutter.may_go_on(&self.now, true) {
                self.go(cutter, from);
            }
            self.now.take_last(job);
        }
    }
}

/// How many times more tries there are where all faces are at one setting: then only weights are to be added.
const PLAIN_TRIES: u32 = 20;

/// As [`fullest`] where all faces are at one setting.
fn by_weight(cutter: &mut Cutter<'_>, bin: Bin, left: &[usize], sums: &[Ticks], tries: Tries) -> Bin {
    let weights: Vec<Ticks> = left.iter().map(|b| cutter.job.blanks[*b].weight).collect();
    let mut next = vec![weights.len(); weights.len()];
    for i in (0..weights.len().saturating_sub(1)).rev() {
        next[i] = if weights[i] == weights[i + 1] { next[i + 1] } else { i + 1 };
    }
    let room = cutter.headroom(&bin, true);
    let count = if cutter.is_over(tries.limit) { PLAIN_TRIES } else { tries.count * PLAIN_TRIES };
    let enough = tries.enough.max(ticks(FIT_MM));
    let pieces = (left.len() + bin.blanks.len()) as Ticks;
    let average = (sums[0] + bin.load) / pieces.max(1) * tries.lean / 1000;
    let all = if average > 0 { ((room + bin.load) / average).max(1) } else { Ticks::MAX };
    let most = all - bin.blanks.len() as Ticks;
    let mut adding = Adding {
        cutter,
        left,
        weights: &weights,
        next: &next,
        sums,
        best: bin.clone(),
        bin,
        free: room,
        most,
        count,
        enough,
    };
    adding.go(0, room);
    let Adding { best, count: unused, .. } = adding;
    cutter.spend(left.len() as u64 / 2 + TRY_STEPS * u64::from(count - unused));
    best
}

/// Steps that a try takes where only weights are added: measured.
const TRY_STEPS: u64 = 5;

struct Adding<'l, 'c, 'a> {
    cutter: &'c mut Cutter<'a>,
    left: &'l [usize],
    weights: &'l [Ticks],
    /// For each place, the next that is not of the same weight.
    next: &'l [usize],
    /// For each place, what it and those after it add up to.
    sums: &'l [Ticks],
    bin: Bin,
    best: Bin,
    /// What the best leaves free.
    free: Ticks,
    /// At most so many pieces may still be added.
    most: Ticks,
    /// Tries that are left.
    count: u32,
    enough: Ticks,
}

impl Adding<'_, '_, '_> {
    fn go(&mut self, mut from: usize, room: Ticks) {
        let job = self.cutter.job;
        while self.most > 0 {
            from += self.weights[from..].partition_point(|w| *w > room);
            let is_full = self.free <= self.enough;
            if from >= self.weights.len() || is_full || self.count == 0 {
                break;
            }
            // not even all that may still be added would fill it more
            let weight = self.weights[from];
            if room - self.sums[from].min(weight.saturating_mul(self.most)) >= self.free {
                break;
            }
            self.count -= 1;
            self.most -= 1;
            self.bin.put(job, self.left[from]);
            self.go(from + 1, room - weight);
            self.bin.take_last(job);
            self.most += 1;
            from = self.next[from];
        }
        // with more on it would be better still, so that was tried first
        if room < self.free && self.cutter.left(&self.bin).is_some() {
            self.cutter.spend(10 + self.bin.blanks.len() as u64 / 4);
            self.best.clone_from(&self.bin);
            self.free = room;
        }
    }
}

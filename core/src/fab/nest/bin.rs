//! A stick while it is being filled, and what is left of it.

use super::job::{FIT_MM, Job, Stock, Ticks, ticks};
use super::order::{Finish, KindCount, Orders};
use crate::watch::Watch;

/// A stick with what is cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Bin {
    pub(super) stock: Stock,
    /// Sum of the weights.
    pub(super) load: Ticks,
    /// How many pieces on it can be held.
    pub(super) holders: u32,
    /// Places in the list of blanks.
    pub(super) blanks: Vec<usize>,
    /// Kinds of piece on it, in rising order, with how many of each.
    kinds: Vec<(usize, usize)>,
    /// The same as far as the order asks.
    set: Vec<KindCount>,
    /// What has to be left over of it, beside what the saw holds.
    pub(super) spare: Ticks,
}

/// Cuts stock to a job: the job, the orders met so far, and who waits for it.
pub(super) struct Cutter<'a> {
    pub(super) job: &'a Job,
    pub(super) orders: Orders<'a>,
    watch: &'a dyn Watch,
    /// Steps that all of it may take, as far as progress goes.
    pub(super) most_steps: u64,
    /// Steps that may have been taken at the end of this look; what is begun is ended.
    pub(super) most: u64,
    /// The part of them that was told last.
    told: u64,
}

/// How often progress is told: in this many parts of the whole.
const TOLD_PARTS: u64 = 200;

impl Bin {
    pub(super) fn new(stock: Stock) -> Self {
        Self { stock, load: 0, holders: 0, blanks: Vec::new(), kinds: Vec::new(), set: Vec::new(), spare: 0 }
    }

    /// Whether it is a stick and not an offcut.
    pub(super) fn is_whole(&self) -> bool {
        self.stock.offcut.is_none()
    }

    /// Puts a blank on it, whether it fits or not.
    pub(super) fn put(&mut self, job: &Job, blank: usize) {
        let b = job.blanks[blank];
        self.load += b.weight;
        self.holders += u32::from(job.kinds[b.kind].holds);
        self.blanks.push(blank);
        match self.kinds.binary_search_by_key(&b.kind, |k| k.0) {
            Ok(at) => {
                self.kinds[at].1 += 1;
                self.set[at] = KindCount::new(job, b.kind, self.kinds[at].1);
            }
            Err(at) => {
                self.kinds.insert(at, (b.kind, 1));
                self.set.insert(at, KindCount::new(job, b.kind, 1));
            }
        }
    }

    /// Takes a blank off it, by its place on the bin.
    pub(super) fn take(&mut self, job: &Job, place: usize) -> usize {
        let blank = self.blanks.remove(place);
        let b = job.blanks[blank];
        self.load -= b.weight;
        self.holders -= u32::from(job.kinds[b.kind].holds);
        if let Ok(at) = self.kinds.binary_search_by_key(&b.kind, |k| k.0) {
            self.kinds[at].1 -= 1;
            self.set[at] = KindCount::new(job, b.kind, self.kinds[at].1);
            if self.kinds[at].1 == 0 {
                self.kinds.remove(at);
                self.set.remove(at);
            }
        }
        blank
    }

    /// Takes off the blank that was put on last.
    pub(super) fn take_last(&mut self, job: &Job) {
        if let Some(last) = self.blanks.len().checked_sub(1) {
            self.take(job, last);
        }
    }

    /// The settings its pieces end at, some more than once.
    pub(super) fn faces(&self, job: &Job) -> impl Iterator<Item = usize> {
        self.kinds.iter().flat_map(|(kind, _)| job.kinds[*kind].faces)
    }

    /// What it holds as far as the order asks.
    pub(super) fn set(&self) -> &[KindCount] {
        &self.set
    }

    /// What it holds, apart from which pieces: bins with the same are interchangeable.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        let numbers = |b: &Self| (b.stock.room, b.spare, b.load, b.holders);
        numbers(self) == numbers(other) && self.kinds == other.kinds
    }
}

impl std::fmt::Debug for Cutter<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Cutter").field("steps", &self.orders.steps).finish_non_exhaustive()
    }
}

impl<'a> Cutter<'a> {
    pub(super) fn new(job: &'a Job, watch: &'a dyn Watch) -> Self {
        Self { job, orders: Orders::new(job), watch, most_steps: u64::MAX, most: u64::MAX, told: 0 }
    }

    /// Steps taken so far.
    pub(super) fn steps(&self) -> u64 {
        self.orders.steps
    }

    /// The number of steps after which so many more have been taken, or as many as this look may take.
    pub(super) fn after(&self, steps: u64) -> u64 {
        self.orders.steps.saturating_add(steps).min(self.most)
    }

    /// Counts steps.
    pub(super) fn spend(&mut self, steps: u64) {
        self.orders.steps += steps;
    }

    /// Whether so many steps have been taken since the beginning, or somebody said to stop.
    pub(super) fn is_over(&mut self, limit: u64) -> bool {
        let part = (self.orders.steps.saturating_mul(TOLD_PARTS) / self.most_steps.max(1)).min(TOLD_PARTS);
        if part > self.told {
            self.told = part;
            self.watch.progress(part as f64 / TOLD_PARTS as f64);
        }
        self.orders.steps >= limit || self.watch.is_cancelled()
    }

    /// How the stick is best cut up with nothing more on it: the finish, and what is left with a square end.
    /// Nothing where it cannot be cut at all.
    ///
    /// The saw holds either what is left of the stick or, at the last cut, the last piece.
    pub(super) fn finish(&mut self, bin: &Bin) -> Option<(Finish, Ticks)> {
        if bin.blanks.is_empty() {
            return Some((Finish::AnySquare, bin.stock.room));
        }
        let room = bin.stock.room - bin.load;
        let grip = self.job.grip;
        let set = bin.set();
        // what evenness alone rules out needs no order
        if self.orders.least(set, true) + grip <= room {
            let square = self.orders.cost(set, Finish::AnySquare)?.ticks;
            if room - square >= grip {
                return Some((Finish::AnySquare, room - square));
            }
        }
        if self.orders.least(set, false) > room {
            return None;
        }
        if grip == 0 {
            return (self.orders.cost(set, Finish::Any)?.ticks <= room).then_some((Finish::Any, 0));
        }
        if bin.holders > 0 {
            if self.orders.least(set, true) <= room
                && let Some(cost) = self.orders.cost(set, Finish::HeldSquare)
                && cost.ticks <= room
            {
                return Some((Finish::HeldSquare, room - cost.ticks));
            }
            if self.orders.cost(set, Finish::Held).is_some_and(|c| c.ticks <= room) {
                return Some((Finish::Held, 0));
            }
        }
        // a piece that is the whole stick needs no cut and no hold
        let alone = bin.blanks.len() == 1 && self.is_all_of(bin.blanks[0], bin.stock);
        alone.then_some((Finish::Any, 0))
    }

    /// Whether what `finish` says of the stick is sure: no order costs less than those it knows.
    pub(super) fn is_sure(&mut self, bin: &Bin) -> bool {
        let set = bin.set();
        let finishes = [Finish::Any, Finish::AnySquare, Finish::Held, Finish::HeldSquare];
        finishes.iter().all(|f| self.orders.cost(set, *f).is_none_or(|c| c.is_exact))
    }

    /// What is left over, where the stick can be cut and enough is left.
    pub(super) fn left(&mut self, bin: &Bin) -> Option<Ticks> {
        self.at_least(bin, bin.spare)
    }

    /// What is left over, where that is at least so much.
    pub(super) fn at_least(&mut self, bin: &Bin, least: Ticks) -> Option<Ticks> {
        self.spend(1);
        if !bin.blanks.is_empty() {
            let room = bin.stock.room - bin.load;
            if room < self.job.least_extra || (least > 0 && room - least < self.job.least_extra_square) {
                return None;
            }
            if least > 0 && self.orders.least(bin.set(), true) > room - least {
                return None;
            }
        }
        self.finish(bin).map(|f| f.1).filter(|left| *left >= least)
    }

    /// Whether the blank is just as long as the stick and square.
    pub(super) fn is_all_of(&self, blank: usize, stock: Stock) -> bool {
        let b = &self.job.blanks[blank];
        let untrimmed = stock.offcut.is_some() || !self.job.is_trimmed;
        let slack = ticks(2.0 * FIT_MM);
        untrimmed && self.job.is_square(b) && (0..=slack).contains(&(stock.room - self.job.bare(b)))
    }

    /// Whether the stick, with more to come, is not lost yet. `more_holders`: pieces that can be held may still come.
    ///
    /// Taking a piece off never makes the rest longer, so what does not fit now never will; where pieces are such that
    /// this does not hold, only the weights decide.
    pub(super) fn may_go_on(&mut self, bin: &Bin, more_holders: bool) -> bool {
        if bin.blanks.is_empty() || !self.job.is_proper {
            return bin.stock.room - bin.load - bin.spare >= self.job.least_extra;
        }
        if self.headroom(bin, more_holders) < 0 {
            // a piece that is the whole stick keeps nothing
            return bin.blanks.len() == 1 && self.is_all_of(bin.blanks[0], bin.stock);
        }
        let kept = self.kept(bin, more_holders);
        let room = bin.stock.room - bin.load - kept;
        self.orders.least(bin.set(), kept > 0) <= room
            || (bin.blanks.len() == 1 && self.is_all_of(bin.blanks[0], bin.stock))
    }

    /// What has to stay of the stick.
    fn kept(&self, bin: &Bin, more_holders: bool) -> Ticks {
        let held = bin.holders > 0 || more_holders;
        if held { bin.spare } else { bin.spare.max(self.job.grip) }
    }

    /// What more weight may come onto the stick at most.
    pub(super) fn headroom(&self, bin: &Bin, more_holders: bool) -> Ticks {
        let kept = self.kept(bin, more_holders);
        // something that is kept has a square end
        let extra = if kept > 0 { self.job.least_extra_square } else { self.job.least_extra };
        bin.stock.room - bin.load - kept - extra
    }
}

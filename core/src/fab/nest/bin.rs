//! A stick while it is being filled, and what is left of it.

use super::job::{FIT_MM, Job, Stock, Ticks, ticks};
use super::order::{Finish, Shapes};

/// A stick with what is cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Bin {
    pub(super) stock: Stock,
    /// Sum of the weights.
    pub(super) load: Ticks,
    /// Number of the set of kinds on it.
    pub(super) set: u32,
    /// How many pieces on it can be held.
    pub(super) holders: u32,
    /// Places in the list of blanks.
    pub(super) blanks: Vec<usize>,
    /// What has to be left over of it, beside what the saw holds.
    pub(super) spare: Ticks,
}

/// Cuts stock to a job: the job and the sets of kinds met so far.
#[derive(Debug)]
pub(super) struct Cutter<'a> {
    pub(super) job: &'a Job,
    pub(super) shapes: Shapes<'a>,
}

impl Bin {
    pub(super) fn new(stock: Stock) -> Self {
        Self { stock, load: 0, set: 0, holders: 0, blanks: Vec::new(), spare: 0 }
    }

    /// Whether it is a stick and not an offcut.
    pub(super) fn is_whole(&self) -> bool {
        self.stock.offcut.is_none()
    }

    /// What it holds, apart from which pieces: bins with the same are interchangeable.
    pub(super) fn state(&self) -> (Ticks, Ticks, Ticks, u32, u32) {
        (self.stock.room, self.spare, self.load, self.set, self.holders)
    }
}

impl<'a> Cutter<'a> {
    pub(super) fn new(job: &'a Job) -> Self {
        Self { job, shapes: Shapes::new(job) }
    }

    /// Puts a blank on the stick, whether it fits or not.
    pub(super) fn put(&mut self, bin: &mut Bin, blank: usize) {
        let b = self.job.blanks[blank];
        bin.load += b.weight;
        bin.set = self.shapes.with(bin.set, b.kind);
        bin.holders += u32::from(self.job.kinds[b.kind].holds);
        bin.blanks.push(blank);
    }

    /// How the stick is best cut up with nothing more on it: the finish, and what is left with a square end.
    /// Nothing where it cannot be cut at all.
    ///
    /// The saw holds either what is left of the stick or, at the last cut, the last piece.
    pub(super) fn finish(&mut self, bin: &Bin) -> Option<(Finish, Ticks)> {
        let room = bin.stock.room - bin.load;
        if bin.blanks.is_empty() {
            return Some((Finish::AnySquare, bin.stock.room));
        }
        let grip = self.job.grip;
        let costs = self.shapes.costs(bin.set);
        if room - costs.any_square >= grip {
            return Some((Finish::AnySquare, room - costs.any_square));
        }
        if grip == 0 {
            return (costs.any <= room).then_some((Finish::Any, 0));
        }
        if bin.holders > 0 {
            if costs.held_square <= room {
                return Some((Finish::HeldSquare, room - costs.held_square));
            }
            if costs.held <= room {
                return Some((Finish::Held, 0));
            }
        }
        // a piece that is the whole stick needs no cut and no hold
        let alone = bin.blanks.len() == 1 && self.is_all_of(bin.blanks[0], bin.stock);
        alone.then_some((Finish::Any, 0))
    }

    /// What is left over, where the stick can be cut and enough is left.
    pub(super) fn left(&mut self, bin: &Bin) -> Option<Ticks> {
        self.finish(bin).map(|f| f.1).filter(|left| *left >= bin.spare)
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
        if bin.blanks.is_empty() {
            return true;
        }
        let costs = self.shapes.costs(bin.set);
        let room = bin.stock.room - bin.load;
        if !(costs.is_exact && self.job.is_proper) {
            return room - bin.spare >= self.job.least_extra;
        }
        if more_holders {
            return if bin.spare > 0 { costs.any_square <= room - bin.spare } else { costs.any <= room };
        }
        self.left(bin).is_some()
    }

    /// What more weight may come onto the stick at most.
    pub(super) fn headroom(&self, bin: &Bin, more_holders: bool) -> Ticks {
        let held = bin.holders > 0 || more_holders;
        let kept = if held { bin.spare } else { bin.spare.max(self.job.grip) };
        // something that is kept has a square end
        let extra = if kept > 0 { self.job.least_extra_square } else { self.job.least_extra };
        bin.stock.room - bin.load - kept - extra
    }
}

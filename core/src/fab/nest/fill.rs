//! Good layouts quickly: piece by piece, or stick by stick.

use super::bin::{Bin, Cutter};
use super::job::{Stock, Ticks};

/// A layout.
#[derive(Debug, Clone, Default)]
pub(super) struct Layout {
    /// Sticks and offcuts with something cut from them.
    pub(super) bins: Vec<Bin>,
    /// Blanks that found no place.
    pub(super) unplaced: Vec<usize>,
}

/// Which of the sticks with room takes a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Choice {
    /// The first.
    First,
    /// The one with least left after it.
    Tightest,
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
}

/// Longest piece first, each on a stick with room, else on the shortest offcut that takes it, else on a new stick.
pub(super) fn piece_by_piece(cutter: &mut Cutter<'_>, choice: Choice) -> Layout {
    let job = cutter.job;
    let mut out = Layout::default();
    let mut free = job.offcuts.clone();
    for blank in 0..job.blanks.len() {
        let mut best: Option<(Ticks, usize, Bin)> = None;
        for at in 0..out.bins.len() {
            if cutter.headroom(&out.bins[at], true) < job.blanks[blank].weight {
                continue;
            }
            let Some((left, bin)) = with(cutter, &out.bins[at], blank) else { continue };
            if best.as_ref().is_none_or(|b| left < b.0) {
                best = Some((left, at, bin));
                if choice == Choice::First {
                    break;
                }
            }
        }
        if let Some((_, at, bin)) = best {
            out.bins[at] = bin;
            continue;
        }
        let new = (0..free.len()).find_map(|i| Some((i, with(cutter, &Bin::new(free[i]), blank)?.1)));
        if let Some((i, bin)) = new {
            free.remove(i);
            out.bins.push(bin);
        } else if let Some((_, bin)) = job.whole.and_then(|w| with(cutter, &Bin::new(w), blank)) {
            out.bins.push(bin);
        } else {
            out.unplaced.push(blank);
        }
    }
    out
}

/// The stick with one more blank and what is left of it, where that can be cut.
fn with(cutter: &mut Cutter<'_>, bin: &Bin, blank: usize) -> Option<(Ticks, Bin)> {
    let mut more = bin.clone();
    cutter.put(&mut more, blank);
    cutter.left(&more).map(|left| (left, more))
}

/// Stick by stick, offcuts first from the shortest on, each filled as full as can be found in `steps` steps.
///
/// Every new stick begins with the longest piece that is left (after Gupta and Ho's minimum bin slack, from memory).
pub(super) fn stick_by_stick(cutter: &mut Cutter<'_>, steps: u32) -> Layout {
    let job = cutter.job;
    let mut left: Vec<usize> = (0..job.blanks.len()).collect();
    let mut out = Layout::default();
    for offcut in &job.offcuts {
        if left.is_empty() {
            break;
        }
        let bin = fullest(cutter, &Bin::new(*offcut), &left, steps);
        take(&mut out, &mut left, bin);
    }
    while let (Some(whole), Some(longest)) = (job.whole, left.first().copied()) {
        let first = with(cutter, &Bin::new(whole), longest);
        // a piece that cannot be the last may still go beside one that can
        let bin = match first {
            Some((_, bin)) => fullest(cutter, &bin, &left[1..], steps),
            None => fullest(cutter, &Bin::new(whole), &left, steps),
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

/// The bin filled as full as found with some of `left`.
fn fullest(cutter: &mut Cutter<'_>, bin: &Bin, left: &[usize], steps: u32) -> Bin {
    let mut sums = vec![0; left.len() + 1];
    for i in (0..left.len()).rev() {
        sums[i] = sums[i + 1] + cutter.job.blanks[left[i]].weight;
    }
    let mut filling = Filling { left, sums, best: bin.clone(), steps };
    filling.go(cutter, bin, 0);
    filling.best
}

struct Filling<'a> {
    left: &'a [usize],
    sums: Vec<Ticks>,
    best: Bin,
    steps: u32,
}

impl Filling<'_> {
    fn go(&mut self, cutter: &mut Cutter<'_>, bin: &Bin, from: usize) {
        if bin.load > self.best.load && cutter.left(bin).is_some() {
            self.best = bin.clone();
        }
        let mut last = None;
        for i in from..self.left.len() {
            // not even all that is left would fill it more
            if self.steps == 0 || bin.load + self.sums[i] <= self.best.load {
                return;
            }
            let blank = cutter.job.blanks[self.left[i]];
            let same = last == Some((blank.weight, blank.kind));
            if same || blank.weight > cutter.headroom(bin, true) {
                continue;
            }
            last = Some((blank.weight, blank.kind));
            self.steps -= 1;
            let mut more = bin.clone();
            cutter.put(&mut more, self.left[i]);
            if cutter.may_go_on(&more, true) {
                self.go(cutter, &more, i + 1);
            }
        }
    }
}

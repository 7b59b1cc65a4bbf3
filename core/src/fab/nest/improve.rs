//! From a good layout to a better one by exchanging pieces between sticks.
//!
//! All of it serves one stick, the target: the whole stick with the longest left-over (where there is none, the longest
//! offcut). Pieces leave it, or go for shorter ones, wherever another stick takes them; once it is empty there is a
//! stick fewer, and the next is the target. Where no exchange helps, two or three sticks are emptied and filled anew, the
//! first of them as full as can be: what is free gathers, and exchanges help again. Never does the target lose.

use super::bin::{Bin, Cutter};
use super::fill::{Layout, Tries, fullest};
use super::job::{Ticks, ticks};

/// How many fits are tried for one place.
const TRIES: usize = 3;
/// How many tries a stick that is filled anew may take.
const NODES: u32 = 60;
/// What counts as longer, mm.
const LONGER_MM: f64 = 1e-6;

/// Improves the layout until so many steps have been taken, or as few sticks as `least` leave as much as `enough`.
pub(super) fn improve(
    cutter: &mut Cutter<'_>,
    layout: &mut Layout,
    least: usize,
    enough: &mut dyn FnMut(&Cutter<'_>, usize) -> Ticks,
    limit: u64,
) {
    if !layout.unplaced.is_empty() || layout.bins.is_empty() {
        return;
    }
    let mut bins = std::mem::take(&mut layout.bins);
    for offcut in &cutter.job.offcuts {
        if bins.iter().all(|b| b.stock != *offcut) {
            bins.push(Bin::new(*offcut));
        }
    }
    let mut work = Work { lefts: Vec::new(), bins, target: 0, state: 1 };
    work.lefts = work.bins.iter().map(|b| cutter.finish(b).map_or(0, |f| f.1)).collect();
    work.choose_target();
    let mut tired = 0_u32;
    while !cutter.is_over(limit) {
        while work.pass(cutter, limit) {
            tired = 0;
        }
        let whole = work.bins.iter().filter(|b| b.is_whole()).count();
        if whole <= least && work.lefts[work.target] >= enough(cutter, whole) {
            break;
        }
        tired += 1;
        // a few sticks have few ways to be filled
        if work.bins.len() < 2 || tired > 5_000 + 500 * work.bins.len() as u32 {
            break;
        }
        work.refill(cutter);
    }
    layout.bins = work.bins.into_iter().filter(|b| !b.blanks.is_empty()).collect();
}

struct Work {
    bins: Vec<Bin>,
    /// What is left of each.
    lefts: Vec<Ticks>,
    target: usize,
    /// State of the numbers that look random.
    state: u64,
}

impl Work {
    /// A number below `end` that looks random (Steele, Lea and Flood 2014, constants from memory).
    fn below(&mut self, end: usize) -> usize {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.state ^ (self.state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % end.max(1) as u64) as usize
    }

    fn choose_target(&mut self) {
        let any_whole = self.bins.iter().any(Bin::is_whole);
        let merit = |i: &usize| {
            let bin = &self.bins[*i];
            let length = if any_whole { 0 } else { bin.stock.room };
            (bin.is_whole() == any_whole, length, self.lefts[*i], std::cmp::Reverse(*i))
        };
        self.target = (0..self.bins.len()).max_by_key(merit).unwrap_or(0);
    }

    /// The target is empty: one stick fewer, and another target. Whether there is one.
    fn drop_empty_target(&mut self) -> bool {
        if !self.bins[self.target].blanks.is_empty() {
            return true;
        }
        if !self.bins[self.target].is_whole() || self.bins.len() == 1 {
            return false;
        }
        self.bins.remove(self.target);
        self.lefts.remove(self.target);
        self.choose_target();
        true
    }

    /// One exchange with every other stick in turn, where that leaves more of the target. Whether any did.
    fn pass(&mut self, cutter: &mut Cutter<'_>, limit: u64) -> bool {
        let mut any = false;
        let mut order: Vec<usize> = (0..self.bins.len()).filter(|i| *i != self.target).collect();
        order.sort_by_key(|i| (std::cmp::Reverse(self.lefts[*i]), *i));
        let before = self.bins.len();
        for other in order {
            while self.exchange(cutter, other) {
                any = true;
                if cutter.is_over(limit) || !self.drop_empty_target() || self.bins.len() < before {
                    return self.bins.len() < before;
                }
            }
            if cutter.is_over(limit) {
                return false;
            }
        }
        any
    }

    /// Puts pieces of the target on another stick, some of that in their place, if that leaves more of the target.
    fn exchange(&mut self, cutter: &mut Cutter<'_>, other: usize) -> bool {
        let job = cutter.job;
        let weight = |bin: &Bin, i: usize| job.blanks[bin.blanks[i]].weight;
        let (target, bin) = (&self.bins[self.target], &self.bins[other]);
        // what can go: one or two pieces of the target, by weight
        let mut out: Vec<(Ticks, [usize; 2])> = Vec::new();
        for i in 0..target.blanks.len() {
            out.push((weight(target, i), [i, usize::MAX]));
            out.extend((0..i).map(|j| (weight(target, i) + weight(target, j), [i, j])));
        }
        out.sort_unstable();
        out.dedup_by_key(|o| (o.0, job.blanks[target.blanks[o.1[0]]].kind));
        let mut back: Vec<(Ticks, [usize; 2])> = vec![(0, [usize::MAX; 2])];
        for i in 0..bin.blanks.len() {
            back.push((weight(bin, i), [i, usize::MAX]));
            back.extend((0..i).map(|j| (weight(bin, i) + weight(bin, j), [i, j])));
        }
        cutter.spend(((out.len() + back.len()) * 3) as u64);
        // how much weight it takes if its order stays as dear; a shared cut may save a little
        let set = bin.set(job);
        let free = bin.stock.room - bin.load - cutter.orders.least(&set, false).min(bin.stock.room);
        let slack = free + job.settings.last().map_or(0, |s| 2 * s.half_cut);
        let mut moves: Vec<(Ticks, [usize; 2], [usize; 2])> = Vec::new();
        for (back_weight, back) in &back {
            let fits = out.partition_point(|o| o.0 <= slack + back_weight);
            for (weight, pieces) in out[..fits].iter().rev().take(TRIES) {
                let gain = weight - back_weight;
                if gain > 0 && !(pieces[1] != usize::MAX && back[1] != usize::MAX) {
                    moves.push((gain, *pieces, *back));
                }
            }
        }
        cutter.spend(back.len() as u64 * 4);
        moves.sort_unstable_by(|a, b| b.cmp(a));
        moves.truncate(4 * TRIES);
        moves.into_iter().any(|(_, out, back)| self.try_move(cutter, other, out, back))
    }

    fn try_move(&mut self, cutter: &mut Cutter<'_>, other: usize, out: [usize; 2], back: [usize; 2]) -> bool {
        let job = cutter.job;
        let (mut target, mut bin) = (self.bins[self.target].clone(), self.bins[other].clone());
        let pick = |bin: &mut Bin, places: [usize; 2]| -> Vec<usize> {
            // the higher place first, so that the lower stays what it was
            let mut places = places;
            places.sort_unstable_by(|a, b| b.cmp(a));
            places.iter().filter(|p| **p != usize::MAX).map(|p| bin.take(job, *p)).collect()
        };
        let (from_target, from_bin) = (pick(&mut target, out), pick(&mut bin, back));
        for blank in from_target {
            bin.put(job, blank);
        }
        for blank in from_bin {
            target.put(job, blank);
        }
        cutter.spend(20);
        let Some(left_there) = cutter.left(&bin) else { return false };
        let longer = self.lefts[self.target] + ticks(LONGER_MM);
        let left =
            if target.blanks.is_empty() { Some(target.stock.room) } else { cutter.at_least(&target, longer) };
        let Some(left) = left else { return false };
        (self.lefts[self.target], self.lefts[other]) = (left, left_there);
        (self.bins[self.target], self.bins[other]) = (target, bin);
        true
    }

    /// Empties two or three sticks and fills them anew, all but the last as full as can be.
    fn refill(&mut self, cutter: &mut Cutter<'_>) {
        let job = cutter.job;
        let count = 2 + self.below(3).min(self.bins.len() - 2);
        let mut chosen: Vec<usize> = Vec::with_capacity(count);
        if self.below(2) == 0 {
            chosen.push(self.target);
        }
        while chosen.len() < count {
            let i = self.below(self.bins.len());
            if !chosen.contains(&i) {
                chosen.push(i);
            }
        }
        // what is free gathers on the last: the target, or the one with most room
        chosen.sort_by_key(|i| (*i == self.target, self.lefts[*i], *i));
        let mut pool: Vec<usize> = chosen.iter().flat_map(|i| self.bins[*i].blanks.iter().copied()).collect();
        pool.sort_by_key(|b| (std::cmp::Reverse(job.blanks[*b].weight), *b));
        if pool.len() < 2 {
            return;
        }
        // now and then what is nearly full will do
        let enough = if self.below(4) == 0 { self.lefts[chosen[0]].min(self.lefts[chosen[1]]) } else { 0 };
        let mut new: Vec<(Bin, Ticks)> = Vec::with_capacity(count);
        for (i, chosen) in chosen.iter().enumerate() {
            let mut bin = Bin::new(self.bins[*chosen].stock);
            if i + 1 == count {
                for blank in &pool {
                    bin.put(job, *blank);
                }
            } else {
                // begun with any piece, so that no two fillings are alike
                if !pool.is_empty() && self.below(4) > 0 {
                    let first = self.below(pool.len());
                    bin.put(job, pool[first]);
                    if cutter.left(&bin).is_none() {
                        bin.take_last(job);
                    }
                }
                let rest: Vec<usize> = pool.iter().copied().filter(|b| !bin.blanks.contains(b)).collect();
                bin = fullest(cutter, bin, &rest, Tries { count: NODES, limit: u64::MAX, enough });
                pool.retain(|b| !bin.blanks.contains(b));
            }
            let Some(left) = cutter.left(&bin) else { return };
            new.push((bin, left));
        }
        let square = |left: &Ticks| super::job::mm(*left).powi(2);
        let with_target = chosen.last() == Some(&self.target);
        let is_kept = if with_target {
            new.last().is_some_and(|l| l.1 >= self.lefts[self.target])
        } else {
            let before: f64 = chosen.iter().map(|i| square(&self.lefts[*i])).sum();
            new.iter().map(|n| square(&n.1)).sum::<f64>() >= before
        };
        if is_kept {
            for (i, (bin, left)) in chosen.into_iter().zip(new) {
                (self.bins[i], self.lefts[i]) = (bin, left);
            }
            self.choose_target();
            self.drop_empty_target();
        }
    }
}

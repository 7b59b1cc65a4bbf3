//! From a good layout to a better one by exchanging pieces between sticks.
//!
//! All of it serves one stick, the target: the whole stick with the longest left-over (where there is none, the longest
//! offcut). Pieces leave it, or go for shorter ones, wherever another stick takes them; once it is empty there is a
//! stick fewer, and the next is the target. Where no exchange helps, a few sticks are emptied and filled anew, the
//! first of them as full as can be: what is free gathers, and exchanges help again. Never does the target lose.

use super::bin::{Bin, Cutter};
use super::fill::{Layout, Tries, fullest, without};
use super::job::{Ticks, ticks};

/// How many fits are tried for one place.
const TRIES: usize = 3;
/// How many exchanges of two sticks are tried, those first that gain most.
const MOST_MOVES: usize = 4 * TRIES;
/// Most different pieces of a stick that are paired with each other.
const MOST_PAIRED: usize = 32;
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
    let mut work = Work { lefts: Vec::new(), bins, target: 0, parcels: Vec::new(), state: 1 };
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
        work.refill(cutter, limit);
    }
    layout.bins = work.bins.into_iter().filter(|b| !b.blanks.is_empty()).collect();
}

/// No piece.
const NO_PLACE: usize = usize::MAX;

/// One or two pieces of a stick that leave it together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Parcel {
    weight: Ticks,
    /// Their places on the stick.
    places: [usize; 2],
}

impl Parcel {
    fn is_pair(&self) -> bool {
        self.places[1] != NO_PLACE
    }
}

/// What can leave a stick: each of its different pieces, and each two of them.
fn parcels(cutter: &mut Cutter<'_>, bin: &Bin) -> Vec<Parcel> {
    let job = cutter.job;
    // alike ones are numbered one after the other
    let mut sorted: Vec<(usize, usize)> = bin.blanks.iter().copied().zip(0..).collect();
    sorted.sort_unstable();
    let is_like = |a: usize, b: usize| {
        let [a, b] = [a, b].map(|blank| job.blanks[blank]);
        (a.weight, a.kind) == (b.weight, b.kind)
    };
    // of each kind one, and another one where there is
    let mut singles: Vec<(Ticks, usize, Option<usize>)> = Vec::with_capacity(sorted.len());
    let mut last = None;
    for (blank, place) in sorted {
        match singles.last_mut().filter(|_| last.is_some_and(|l| is_like(l, blank))) {
            Some(single) => single.2 = Some(place),
            None => singles.push((job.blanks[blank].weight, place, None)),
        }
        last = Some(blank);
    }
    // of very many every second, third, ..
    let every = singles.len().div_ceil(MOST_PAIRED).max(1);
    let mut out = Vec::with_capacity(singles.len() * (singles.len() + 3) / (2 * every) + 1);
    for (i, (weight, place, twin)) in singles.iter().enumerate() {
        out.push(Parcel { weight: *weight, places: [*place, NO_PLACE] });
        out.extend(twin.map(|twin| Parcel { weight: 2 * weight, places: [*place, twin] }));
        if i % every == 0 {
            let before = singles[..i].iter().step_by(every);
            out.extend(before.map(|(w, p, _)| Parcel { weight: weight + w, places: [*place, *p] }));
        }
    }
    cutter.spend((2 * bin.blanks.len() + out.len()) as u64);
    out
}

struct Work {
    bins: Vec<Bin>,
    /// What is left of each.
    lefts: Vec<Ticks>,
    target: usize,
    /// What can leave the target, by weight; empty where that is to be worked out anew.
    parcels: Vec<Parcel>,
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
        self.parcels.clear();
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
        if self.parcels.is_empty() {
            self.parcels = parcels(cutter, &self.bins[self.target]);
            self.parcels.sort_unstable();
        }
        let bin = &self.bins[other];
        let mut back = parcels(cutter, bin);
        back.push(Parcel { weight: 0, places: [NO_PLACE; 2] });
        // how much weight it takes if its order stays as dear; a shared cut may save a little
        let free = bin.stock.room - bin.load - cutter.orders.least(bin.set(), false).min(bin.stock.room);
        let slack = free + job.settings.last().map_or(0, |s| 2 * s.half_cut);
        let mut moves: Vec<(Ticks, Parcel, Parcel)> = Vec::new();
        for back in back {
            let fits = self.parcels.partition_point(|o| o.weight <= slack + back.weight);
            for out in self.parcels[..fits].iter().rev().take(TRIES) {
                let gain = out.weight - back.weight;
                if gain > 0 && !(out.is_pair() && back.is_pair()) {
                    moves.push((gain, *out, back));
                }
            }
            cutter.spend(3);
        }
        cutter.spend(moves.len() as u64);
        if moves.len() > MOST_MOVES {
            moves.select_nth_unstable_by(MOST_MOVES, |a, b| b.cmp(a));
            moves.truncate(MOST_MOVES);
        }
        moves.sort_unstable_by(|a, b| b.cmp(a));
        moves.into_iter().any(|(_, out, back)| self.try_move(cutter, other, out.places, back.places))
    }

    fn try_move(&mut self, cutter: &mut Cutter<'_>, other: usize, out: [usize; 2], back: [usize; 2]) -> bool {
        let job = cutter.job;
        let (mut target, mut bin) = (self.bins[self.target].clone(), self.bins[other].clone());
        let pick = |bin: &mut Bin, places: [usize; 2]| -> Vec<usize> {
            // the higher place first, so that the lower stays what it was
            let mut places = places;
            places.sort_unstable_by(|a, b| b.cmp(a));
            places.iter().filter(|p| **p != NO_PLACE).map(|p| bin.take(job, *p)).collect()
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
        self.parcels.clear();
        true
    }

    /// Empties a few sticks and fills them anew, all but the last as full as can be.
    fn refill(&mut self, cutter: &mut Cutter<'_>, limit: u64) {
        let job = cutter.job;
        // a few sticks, or now and then many whose pieces are kept in balance
        let (mode, few) = (self.below(4), 2 + self.below(3));
        let count = if mode == 0 { few + 2 + self.below(5) } else { few }.min(self.bins.len());
        let lean = if mode == 0 { 960 + 5 * self.below(14) as Ticks } else { 0 };
        let mut chosen: Vec<usize> = Vec::with_capacity(count);
        if self.below(2) == 0 {
            chosen.push(self.target);
        }
        while chosen.len() < count {
            let mut i = self.below(self.bins.len());
            if mode < 2 {
                // rather one with more left: that is what may gather
                let other = self.below(self.bins.len());
                i = if self.lefts[other] > self.lefts[i] { other } else { i };
            }
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
                without(&mut pool, &bin);
                bin = fullest(cutter, bin, &pool, Tries { count: NODES, limit, enough, lean });
                without(&mut pool, &bin);
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

//! Whether all pieces go on given sticks: a search that gives up only after so many steps.
//!
//! Piece after piece, longest first, onto each stick in turn that still takes it, tightest first. It turns back as soon
//! as what is left of the sticks cannot hold the rest, however the rest is divided: the sum over the sticks of the
//! longest sum of remaining pieces that fits must reach the rest.

use super::bin::{Bin, Cutter};
use super::job::{Ticks, ticks};
use std::collections::HashSet;

/// Most places in a table of sums.
const MOST_UNITS: Ticks = 32_768;

/// Most dead ends that are remembered.
const MOST_DEAD: usize = 200_000;

/// What a search found out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Answer {
    /// A layout on the sticks.
    Fits(Vec<Bin>),
    /// There is none.
    Never,
    /// Not known.
    Unknown,
}

/// Lengths in coarse units, rounded down so that what fits still fits, and which sums of pieces there are.
#[derive(Debug)]
pub(super) struct Sums {
    /// Whether they are known for each blank and not only for all.
    pub(super) is_for_search: bool,
    unit: Ticks,
    /// Sum of the weights of this blank and all after it, in units.
    rest: Vec<Ticks>,
    /// For each blank, the sums that it and those after it can make, one bit each.
    reach: Vec<Vec<u64>>,
}

impl Sums {
    /// The sums for a search, or only those of all blanks together.
    pub(super) fn new(cutter: &mut Cutter<'_>, is_for_search: bool) -> Self {
        let job = cutter.job;
        let longest =
            job.whole.iter().chain(&job.offcuts).map(|s| s.room - job.least_extra).max().unwrap_or(0);
        let divisor = job.blanks.iter().fold(0, |g, b| gcd(g, b.weight)).max(1);
        let unit = if longest / divisor <= 2 * MOST_UNITS { divisor } else { longest / MOST_UNITS + 1 };
        let units = (longest.max(0) / unit) as usize;
        let weights: Vec<Ticks> = job.blanks.iter().map(|b| b.weight / unit).collect();
        let n = weights.len();
        // so many words are moved for each blank, and copied where they are kept
        let words = units as u64 / 64 + 1;
        cutter.spend(n as u64 * (2 + words / if is_for_search { 5 } else { 20 }));
        let mut rest = vec![0; n + 1];
        let mut reach = vec![Vec::new(); n + 1];
        let mut bits = vec![0; units / 64 + 1];
        bits[0] = 1;
        for i in (0..n).rev() {
            rest[i] = rest[i + 1] + weights[i];
            shift_in(&mut bits, weights[i] as usize);
            if is_for_search || i == 0 {
                reach[i].clone_from(&bits);
            }
        }
        reach[n] = vec![1];
        Self { is_for_search, unit, rest, reach }
    }

    /// A length in units, rounded down.
    pub(super) fn units(&self, length: Ticks) -> usize {
        (length.max(0) / self.unit) as usize
    }

    /// The longest sum of blanks from `from` on that goes into `room`, in units.
    fn fill(&self, from: usize, room: Ticks) -> Ticks {
        if room <= 0 {
            return 0;
        }
        let bits = &self.reach[from];
        let units = ((room / self.unit) as usize).min(bits.len() * 64 - 1);
        let mut word = units / 64;
        let mut bits_here = bits[word] & (u64::MAX >> (63 - units % 64));
        while bits_here == 0 && word > 0 {
            word -= 1;
            bits_here = bits[word];
        }
        (word * 64) as Ticks + 63 - Ticks::from(bits_here.leading_zeros())
    }

    /// Whether the bins can hold all blanks as far as the sums say, when at most `holders` of them hold a piece that
    /// can be held.
    pub(super) fn could_hold(&self, cutter: &Cutter<'_>, bins: &[Bin], holders: usize) -> bool {
        let room = |bin: &Bin, held: bool| self.fill(0, cutter.headroom(bin, held));
        let without: Ticks = bins.iter().map(|b| room(b, false)).sum();
        let mut gains: Vec<Ticks> = bins.iter().map(|b| room(b, true) - room(b, false)).collect();
        gains.sort_unstable_by(|a, b| b.cmp(a));
        without + gains.iter().take(holders).sum::<Ticks>() >= self.rest[0]
    }
}

fn gcd(a: Ticks, b: Ticks) -> Ticks {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Adds to the bits all of them moved up by `by`, as far as there is room.
fn shift_in(bits: &mut [u64], by: usize) {
    let (words, rest) = (by / 64, by % 64);
    // from the top, so that what is moved is still as it was
    for i in (words..bits.len()).rev() {
        let carried = if rest > 0 && i > words { bits[i - words - 1] >> (64 - rest) } else { 0 };
        bits[i] |= bits[i - words] << rest | carried;
    }
}

/// Searches for a layout of all blanks on `bins` (empty ones), until so many steps have been taken.
pub(super) fn search(cutter: &mut Cutter<'_>, sums: &Sums, bins: Vec<Bin>, limit: u64) -> Answer {
    let job = cutter.job;
    let holders = job.blanks.iter().take_while(|b| job.kinds[b.kind].holds).count();
    if !sums.could_hold(cutter, &bins, holders) {
        return Answer::Never;
    }
    let is_plain = job.grip == 0 && job.settings.len() == 1;
    let at = vec![0; job.blanks.len()];
    let mut search =
        Search { cutter, sums, bins, at, holders, is_plain, limit, dead: HashSet::new(), unsure: false };
    let end = search.place(0);
    let (unsure, bins) = (search.unsure, search.bins);
    match end {
        End::Found => Answer::Fits(bins.into_iter().filter(|b| !b.blanks.is_empty()).collect()),
        End::Dead if !unsure => Answer::Never,
        End::Dead | End::OutOfSteps => Answer::Unknown,
    }
}

enum End {
    Found,
    Dead,
    OutOfSteps,
}

struct Search<'s, 'c, 'a> {
    cutter: &'c mut Cutter<'a>,
    sums: &'s Sums,
    bins: Vec<Bin>,
    /// Bin of each blank so far.
    at: Vec<usize>,
    /// How many blanks can be held; they come first.
    holders: usize,
    /// Square cuts only and no grip: then weights decide alone.
    is_plain: bool,
    /// How many steps the cutter may have taken at the end.
    limit: u64,
    dead: HashSet<Vec<Ticks>>,
    /// Whether a layout was turned down that might be possible.
    unsure: bool,
}

impl Search<'_, '_, '_> {
    fn place(&mut self, blank: usize) -> End {
        let job = self.cutter.job;
        if blank == job.blanks.len() {
            return self.check();
        }
        if self.cutter.is_over(self.limit) {
            return End::OutOfSteps;
        }
        self.cutter.spend(20 + 4 * self.bins.len() as u64);
        if !self.has_room(blank) {
            return End::Dead;
        }
        let kind = |b: usize| (job.blanks[b].weight, job.blanks[b].kind);
        // equal pieces go onto sticks in turn
        let again = blank > 0 && kind(blank) == kind(blank - 1);
        let from = if again { self.at[blank - 1] } else { 0 };
        let key = if again { None } else { Some(self.key(blank)) };
        if key.as_ref().is_some_and(|k| self.dead.contains(k)) {
            return End::Dead;
        }
        for (_, bin) in self.choices(blank, from) {
            self.bins[bin].put(job, blank);
            self.at[blank] = bin;
            match self.place(blank + 1) {
                End::Dead => {}
                end @ (End::Found | End::OutOfSteps) => return end,
            }
            self.bins[bin].take_last(job);
        }
        if let Some(key) = key.filter(|_| self.dead.len() < MOST_DEAD) {
            self.dead.insert(key);
        }
        End::Dead
    }

    /// Everything is placed: whether each stick can really be cut so.
    fn check(&mut self) -> End {
        for bin in &self.bins {
            if self.cutter.left(bin).is_none() {
                self.unsure |= !self.cutter.is_sure(bin);
                return End::Dead;
            }
        }
        End::Found
    }

    /// Whether what is left of the sticks can hold the rest, however it is divided.
    fn has_room(&self, blank: usize) -> bool {
        let rest = self.sums.rest[blank];
        let more_holders = blank < self.holders;
        let mut room = 0;
        for bin in &self.bins {
            room += self.sums.fill(blank, self.cutter.headroom(bin, more_holders));
            if room >= rest {
                return true;
            }
        }
        room >= rest
    }

    /// The sticks the blank may go on, tightest first, one of each kind.
    fn choices(&mut self, blank: usize, from: usize) -> Vec<(Ticks, usize)> {
        let job = self.cutter.job;
        let weight = job.blanks[blank].weight;
        let more_holders = blank + 1 < self.holders;
        let mut out: Vec<(Ticks, usize)> = Vec::new();
        for bin in from..self.bins.len() {
            if self.cutter.headroom(&self.bins[bin], true) < weight
                || self.bins[from..bin].iter().any(|b| b.is_like(&self.bins[bin]))
            {
                continue;
            }
            self.bins[bin].put(job, blank);
            if self.is_plain || self.cutter.may_go_on(&self.bins[bin], more_holders) {
                out.push((self.cutter.headroom(&self.bins[bin], more_holders), bin));
            }
            self.bins[bin].take_last(job);
        }
        out.sort_unstable();
        // nothing that could be put there instead is longer, so nothing is lost by it
        if self.is_plain && out.first().is_some_and(|c| c.0 <= ticks(super::job::FIT_MM)) {
            out.truncate(1);
        }
        out
    }

    /// What is on the sticks, as far as it matters for the blanks still to come.
    fn key(&self, blank: usize) -> Vec<Ticks> {
        let mut states: Vec<Vec<Ticks>> = self
            .bins
            .iter()
            .map(|b| {
                let mut state = vec![b.stock.room - b.load, b.spare];
                if !self.is_plain {
                    let set = b.set();
                    state.extend([b.load, Ticks::from(b.holders.min(1)), set.len() as Ticks]);
                    state.extend(set.iter().map(|k| {
                        let (kind, count) = k.parts();
                        (4 * kind + count) as Ticks
                    }));
                }
                state
            })
            .collect();
        states.sort_unstable();
        let mut key = vec![blank as Ticks];
        key.extend(states.into_iter().flatten());
        key
    }
}

//! The most valuable set of pieces that goes on a stick, when every piece has a value.

use super::bin::{Bin, Cutter};
use super::job::{Stock, Ticks};
use super::search::Sums;

/// A set of pieces: how many of each type.
pub(super) type Pattern = Vec<usize>;

/// Several pieces of one type that are taken together or not (halving keeps the table small).
#[derive(Debug, Clone, Copy)]
struct Lot {
    of: usize,
    count: usize,
    units: usize,
    holds: bool,
}

/// The types of pieces by length in coarse units, rounded down: a set that fits really, fits here.
#[derive(Debug)]
pub(super) struct Knapsack {
    lots: Vec<Lot>,
    types: usize,
    units: usize,
}

/// The most valuable sets for every length, without and with a piece that can be held.
#[derive(Debug)]
pub(super) struct Filled<'a> {
    sack: &'a Knapsack,
    without: Vec<i64>,
    with: Vec<i64>,
    /// For each lot and length, whether it is taken: 1, or 2 where it is the first that can be held.
    taken: Vec<Vec<u8>>,
}

/// Less than any value.
const NONE: i64 = i64::MIN / 4;

impl Knapsack {
    /// Nothing where a piece is shorter than a unit: rounded down it would take no room at all.
    pub(super) fn new(cutter: &Cutter<'_>, sums: &Sums) -> Option<Self> {
        let job = cutter.job;
        let stocks = job.whole.iter().chain(&job.offcuts);
        let longest = stocks.map(|s| cutter.headroom(&Bin::new(*s), true)).max().unwrap_or(0).max(0);
        let units = sums.units(longest);
        let mut lots = Vec::new();
        for (of, (blank, count)) in job.types().into_iter().enumerate() {
            let each = sums.units(blank.weight);
            if each == 0 {
                return None;
            }
            let mut left = count.min(units / each);
            let mut lot = 1;
            while left > 0 {
                let count = lot.min(left);
                lots.push(Lot { of, count, units: each * count, holds: job.kinds[blank.kind].holds });
                left -= count;
                lot *= 2;
            }
        }
        // a set gets its first piece that can be held after all others
        lots.sort_by_key(|l| l.holds);
        Some(Self { lots, types: job.types().len(), units })
    }

    /// The size of the table, for a guess of how long it takes.
    pub(super) fn size(&self) -> usize {
        self.lots.len() * self.units
    }

    /// The most valuable sets for `values`, one for each type.
    pub(super) fn fill(&self, values: &[i64]) -> Filled<'_> {
        let mut without = vec![0; self.units + 1];
        let mut with = vec![NONE; self.units + 1];
        let mut taken = Vec::with_capacity(self.lots.len());
        for lot in &self.lots {
            let value = values[lot.of] * lot.count as i64;
            let mut takes = vec![0; self.units + 1];
            for at in (lot.units..=self.units).rev() {
                let before = at - lot.units;
                if lot.holds {
                    let (first, again) = (without[before] + value, with[before] + value);
                    if first.max(again) > with[at] {
                        with[at] = first.max(again);
                        takes[at] = if first > again { 2 } else { 1 };
                    }
                } else if without[before] + value > without[at] {
                    without[at] = without[before] + value;
                    takes[at] = 1;
                }
            }
            taken.push(takes);
        }
        Filled { sack: self, without, with, taken }
    }
}

impl Filled<'_> {
    /// The most valuable set that goes on `stock`, and its value.
    pub(super) fn best(&self, cutter: &Cutter<'_>, sums: &Sums, stock: Stock) -> (i64, Pattern) {
        let units = |held: bool| {
            let room: Ticks = cutter.headroom(&Bin::new(stock), held);
            (room >= 0).then(|| sums.units(room).min(self.sack.units))
        };
        let without = units(false).map_or(NONE, |u| self.without[u]);
        let with = units(true).map_or(NONE, |u| self.with[u]);
        let mut pattern = vec![0; self.sack.types];
        let held = with > without;
        let Some(mut at) = units(held) else { return (0, pattern) };
        let mut in_with = held;
        for (lot, takes) in self.sack.lots.iter().zip(&self.taken).rev() {
            if takes[at] > 0 && lot.holds == in_with {
                pattern[lot.of] += lot.count;
                in_with = lot.holds && takes[at] == 1;
                at -= lot.units;
            }
        }
        (with.max(without).max(0), pattern)
    }
}

//! A few pieces: every way to divide them among sticks and offcuts.

use super::bin::{Bin, Cutter};
use super::fill::Layout;
use super::job::{Stock, Ticks};

/// What the best division of a set of blanks comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Best {
    whole: usize,
    longest: Ticks,
    /// Sum of the squares of what is left, mm²: much in long lengths is better.
    squares: f64,
    /// The blanks on the stick that was added last.
    last: usize,
}

impl Best {
    fn is_better(&self, other: Option<Self>) -> bool {
        let merit = |b: &Self| (std::cmp::Reverse(b.whole), b.longest, b.squares);
        other.is_none_or(|o| merit(self) > merit(&o))
    }
}

/// The best layout of all blanks, and whether it is proved to be that; nothing where some cannot be placed.
pub(super) fn every_division(cutter: &mut Cutter<'_>) -> Option<(Layout, bool)> {
    let job = cutter.job;
    let n = job.blanks.len();
    let all = (1_usize << n) - 1;
    cutter.orders.all_exact = true;
    let left_of = |cutter: &mut Cutter<'_>, stock: Stock| -> Vec<Option<Ticks>> {
        (0..=all)
            .map(|set| {
                let bin = bin_of(cutter, stock, set);
                cutter.left(&bin)
            })
            .collect()
    };
    let whole = match job.whole {
        Some(stock) => whole_sticks(&left_of(cutter, stock)),
        None => (0..=all).map(|set| (set == 0).then_some(NOTHING)).collect(),
    };
    // what the first offcuts take, one after the other
    let mut taken: Vec<Vec<Option<Best>>> = vec![(0..=all).map(|s| (s == 0).then_some(NOTHING)).collect()];
    let mut before: Option<(Stock, Vec<Option<Ticks>>)> = None;
    for offcut in &job.offcuts {
        let left = match before {
            Some((stock, left)) if stock.room == offcut.room => left,
            Some(_) | None => left_of(cutter, *offcut),
        };
        taken.push(one_more_offcut(&taken[taken.len() - 1], &left, *offcut));
        before = Some((*offcut, left));
    }
    cutter.spend(3_u64.pow(n as u32) * (1 + job.offcuts.len() as u64) / 4);
    let on_offcuts = &taken[job.offcuts.len()];
    let mut best: Option<(Best, usize)> = None;
    for set in 0..=all {
        let (Some(offcuts), Some(sticks)) = (on_offcuts[set], whole[all ^ set]) else { continue };
        let longest = if sticks.whole == 0 { offcuts.longest } else { sticks.longest };
        let both = Best { longest, squares: offcuts.squares + sticks.squares, ..sticks };
        if both.is_better(best.map(|b| b.0)) {
            best = Some((both, set));
        }
    }
    let (_, mut set) = best?;
    let mut out = Layout::default();
    let mut rest = all ^ set;
    for (offcut, row) in job.offcuts.iter().zip(&taken[1..]).rev() {
        let part = row[set].map_or(0, |b| b.last);
        out.bins.extend((part > 0).then(|| bin_of(cutter, *offcut, part)));
        set ^= part;
    }
    while let (Some(stock), Some(Best { last, .. })) = (job.whole, whole[rest])
        && last > 0
    {
        out.bins.push(bin_of(cutter, stock, last));
        rest ^= last;
    }
    Some((out, cutter.orders.all_exact))
}

const NOTHING: Best = Best { whole: 0, longest: 0, squares: 0.0, last: 0 };

fn bin_of(cutter: &Cutter<'_>, stock: Stock, set: usize) -> Bin {
    let mut bin = Bin::new(stock);
    for blank in (0..cutter.job.blanks.len()).filter(|b| set >> b & 1 == 1) {
        bin.put(cutter.job, blank);
    }
    bin
}

fn square(left: Ticks) -> f64 {
    super::job::mm(left).powi(2)
}

/// For every set of blanks its best division among whole sticks.
fn whole_sticks(left: &[Option<Ticks>]) -> Vec<Option<Best>> {
    let mut out: Vec<Option<Best>> = vec![None; left.len()];
    out[0] = Some(NOTHING);
    for set in 1..left.len() {
        let first = set & set.wrapping_neg();
        let mut part = set;
        while part > 0 {
            if part & first != 0
                && let (Some(left), Some(rest)) = (left[part], out[set ^ part])
            {
                let this = Best {
                    whole: rest.whole + 1,
                    longest: rest.longest.max(left),
                    squares: rest.squares + square(left),
                    last: part,
                };
                if this.is_better(out[set]) {
                    out[set] = Some(this);
                }
            }
            part = (part - 1) & set;
        }
    }
    out
}

/// What the offcuts so far and one more can take, with the longest that is left of any, cut or not.
fn one_more_offcut(before: &[Option<Best>], left: &[Option<Ticks>], offcut: Stock) -> Vec<Option<Best>> {
    (0..before.len())
        .map(|set| {
            let mut best: Option<Best> = None;
            let mut part = set;
            loop {
                let here = if part == 0 { Some(offcut.room) } else { left[part] };
                if let (Some(left), Some(rest)) = (here, before[set ^ part]) {
                    let longest = rest.longest.max(left);
                    let this = Best { whole: 0, longest, squares: rest.squares + square(left), last: part };
                    if this.is_better(best) {
                        best = Some(this);
                    }
                }
                if part == 0 {
                    return best;
                }
                part = (part - 1) & set;
            }
        })
        .collect()
}

//! The linear bound, and a layout made of the sets of pieces it is built on, for what a search alone does not settle.
//!
//! Give every piece a value such that no stick can hold more than 1. Then no layout needs fewer sticks than the
//! values add up to. The best values are a linear program with a row for every set of pieces that goes on a stick
//! (Gilmore and Gomory, from memory); the rows are found one by one as the most valuable set of the moment. Any values
//! give a true bound once they are divided by what the fullest stick holds (Farley, from memory), and that is worked
//! out here in whole numbers: the bound does not rest on the solver.

use super::bin::{Bin, Cutter};
use super::fill::Layout;
use super::job::{Blank, Stock};
use super::knapsack::{Knapsack, Pattern};
use super::search::Sums;
use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, SolveOptions, Variable};

/// Most different pieces the linear program is tried for.
const MOST_TYPES: usize = 150;
/// Most rows that are looked for.
const MOST_ROUNDS: usize = 400;
/// Most work for them, in cells of the table of [`Knapsack`].
const MOST_CELLS: usize = 400_000_000;
/// Most branches of the whole-number program.
const MOST_BRANCHES: u64 = 300;
/// A value of 1.
const ONE: i64 = 1 << 30;
/// A row is broken by more than this, of [`ONE`]: well above what the solver may be off.
const BROKEN: i64 = ONE >> 23;

/// Stocks that are alike: none for whole sticks, else how many offcuts there are.
#[derive(Debug, Clone, Copy)]
struct Rack {
    stock: Stock,
    count: Option<usize>,
}

/// A set of pieces and the rack it goes on.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Use {
    rack: usize,
    pattern: Pattern,
}

struct Plan<'s> {
    sums: &'s Sums,
    sack: Knapsack,
    types: Vec<(Blank, usize)>,
    racks: Vec<Rack>,
    uses: Vec<Use>,
}

/// Raises `least`, and replaces `best` by a layout with fewer whole sticks where one is found.
pub(super) fn improve(cutter: &mut Cutter<'_>, sums: &Sums, best: &mut Layout, least: &mut usize) {
    let Some(mut plan) = Plan::new(cutter, sums) else { return };
    if let Some(bound) = plan.bound(cutter, best.whole()) {
        *least = (*least).max(bound.min(best.whole()));
    }
    if best.whole() > *least {
        plan.add_layout(cutter, best);
        if let Some(layout) = plan.whole_numbers().and_then(|times| plan.cut(cutter, &times))
            && layout.whole() < best.whole()
        {
            *best = layout;
        }
    }
}

impl<'s> Plan<'s> {
    fn new(cutter: &Cutter<'_>, sums: &'s Sums) -> Option<Self> {
        let job = cutter.job;
        let mut racks = vec![Rack { stock: job.whole?, count: None }];
        for stock in &job.offcuts {
            match racks.last_mut() {
                Some(Rack { stock: last, count: Some(n) }) if last.room == stock.room => *n += 1,
                _ => racks.push(Rack { stock: *stock, count: Some(1) }),
            }
        }
        let types = job.types();
        if types.len() > MOST_TYPES {
            return None;
        }
        Some(Self { sums, sack: Knapsack::new(cutter, sums)?, types, racks, uses: Vec::new() })
    }

    /// The linear bound, or as far as it got; no more is asked than `enough`.
    fn bound(&mut self, cutter: &Cutter<'_>, enough: usize) -> Option<usize> {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let values: Vec<Variable> =
            self.types.iter().map(|(_, count)| problem.add_var(*count as f64, (0.0, 1.0))).collect();
        // what an offcut is worth has to be paid for
        let most = cutter.job.blanks.len() as f64;
        let worths: Vec<Option<Variable>> =
            self.racks.iter().map(|r| r.count.map(|c| problem.add_var(-(c as f64), (0.0, most)))).collect();
        let mut solution = problem.solve().ok()?.into_solution().ok()?;
        let mut bound = 0;
        let rounds = MOST_ROUNDS.min(MOST_CELLS / self.sack.size().max(1));
        for _ in 0..rounds {
            let whole = |v: Variable| ((solution.var_value(v) * ONE as f64) as i64).clamp(0, ONE);
            let rounded: Vec<i64> = values.iter().map(|v| whole(*v)).collect();
            let filled = self.sack.fill(&rounded);
            let found: Vec<(i64, Pattern)> =
                self.racks.iter().map(|r| filled.best(cutter, self.sums, r.stock)).collect();
            bound = bound.max(self.farley(&rounded, &found));
            if bound >= enough {
                break;
            }
            let mut is_broken = false;
            for (rack, (value, pattern)) in found.into_iter().enumerate() {
                let allowed = worths[rack].map_or(ONE as f64, |w| solution.var_value(w) * ONE as f64);
                if (value as f64) <= allowed + BROKEN as f64 {
                    continue;
                }
                is_broken = true;
                let (row, limit) = row(&values, worths[rack], &pattern);
                solution =
                    solution.add_constraint(row, ComparisonOp::Le, limit).ok()?.into_solution().ok()?;
                self.uses.push(Use { rack, pattern });
            }
            if !is_broken {
                break;
            }
        }
        Some(bound)
    }

    /// The bound that any values give: all they add up to, less what offcuts can hold, over what a whole stick can.
    fn farley(&self, values: &[i64], found: &[(i64, Pattern)]) -> usize {
        let all: i128 = self.types.iter().zip(values).map(|(t, v)| t.1 as i128 * i128::from(*v)).sum();
        let offcuts: i128 =
            self.racks.iter().zip(found).map(|(r, f)| r.count.unwrap_or(0) as i128 * i128::from(f.0)).sum();
        let stick = i128::from(found.first().map_or(0, |f| f.0)).max(1);
        usize::try_from((all - offcuts + stick - 1).div_euclid(stick)).unwrap_or(0)
    }

    /// Adds the sets of a layout that is known.
    fn add_layout(&mut self, cutter: &Cutter<'_>, layout: &Layout) {
        for bin in &layout.bins {
            let mut pattern = vec![0; self.types.len()];
            for blank in &bin.blanks {
                let b = &cutter.job.blanks[*blank];
                let of = self.types.iter().position(|t| (t.0.weight, t.0.kind) == (b.weight, b.kind));
                pattern[of.unwrap_or(0)] += 1;
            }
            let rack = self.racks.iter().position(|r| {
                r.count.is_some() != bin.is_whole() && (bin.is_whole() || r.stock.room == bin.stock.room)
            });
            let new = Use { rack: rack.unwrap_or(0), pattern };
            if !self.uses.contains(&new) {
                self.uses.push(new);
            }
        }
    }

    /// How often each set is used, by the whole-number program over the sets found: few whole sticks, every piece at
    /// least once.
    fn whole_numbers(&self) -> Option<Vec<usize>> {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let times: Vec<Variable> = self
            .uses
            .iter()
            .map(|u| {
                let most = self.racks[u.rack].count.unwrap_or(i32::MAX as usize >> 8);
                let cost = if self.racks[u.rack].count.is_none() { 1.0 } else { 0.0 };
                problem.add_integer_var(cost, (0, i32::try_from(most).unwrap_or(i32::MAX)))
            })
            .collect();
        for (of, (_, count)) in self.types.iter().enumerate() {
            let mut row = LinearExpr::empty();
            for (u, v) in self.uses.iter().zip(&times).filter(|(u, _)| u.pattern[of] > 0) {
                row.add(*v, u.pattern[of] as f64);
            }
            problem.add_constraint(row, ComparisonOp::Ge, *count as f64);
        }
        for (rack, count) in self.racks.iter().enumerate().filter_map(|(i, r)| Some((i, r.count?))) {
            let mut row = LinearExpr::empty();
            for (_, v) in self.uses.iter().zip(&times).filter(|(u, _)| u.rack == rack) {
                row.add(*v, 1.0);
            }
            problem.add_constraint(row, ComparisonOp::Le, count as f64);
        }
        let mut options = SolveOptions::default();
        options.node_limit = Some(MOST_BRANCHES);
        let solution = problem.solve_with(options).ok()?.into_solution().ok()?;
        Some(times.iter().map(|v| solution.var_value(*v).round().max(0.0) as usize).collect())
    }

    /// The layout for so many of each set; what does not really fit goes where there is room.
    fn cut(&self, cutter: &mut Cutter<'_>, times: &[usize]) -> Option<Layout> {
        let job = cutter.job;
        let mut left: Vec<Vec<usize>> = self
            .types
            .iter()
            .map(|(t, _)| {
                let alike = |b: &usize| (job.blanks[*b].weight, job.blanks[*b].kind) == (t.weight, t.kind);
                (0..job.blanks.len()).rev().filter(alike).collect()
            })
            .collect();
        let mut offcuts: Vec<Vec<Stock>> = self
            .racks
            .iter()
            .map(|r| job.offcuts.iter().copied().filter(|s| s.room == r.stock.room).collect())
            .collect();
        let mut out = Layout::default();
        let mut rest = Vec::new();
        for (u, n) in self.uses.iter().zip(times) {
            for _ in 0..*n {
                let rack = &self.racks[u.rack];
                let stock = if rack.count.is_none() { Some(rack.stock) } else { offcuts[u.rack].pop() };
                let mut blanks = Vec::new();
                for (of, count) in u.pattern.iter().enumerate() {
                    let at = left[of].len().saturating_sub(*count);
                    blanks.extend(left[of].drain(at..).rev());
                }
                let Some(stock) = stock else {
                    rest.extend(blanks);
                    continue;
                };
                let (bin, over) = as_far_as_it_goes(cutter, stock, blanks);
                rest.extend(over);
                out.bins.extend(Some(bin).filter(|b| !b.blanks.is_empty()));
            }
        }
        rest.extend(left.into_iter().flatten());
        rest.sort_unstable();
        for blank in rest {
            let place = out.bins.iter().position(|b| with(cutter, b, blank).is_some());
            let bin = match place {
                Some(i) => with(cutter, &out.bins.swap_remove(i), blank),
                None => with(cutter, &Bin::new(job.whole?), blank),
            };
            out.bins.push(bin?);
        }
        Some(out)
    }
}

/// The row that says what a set may be worth: 1, or what its offcut is worth.
fn row(values: &[Variable], worth: Option<Variable>, pattern: &[usize]) -> (LinearExpr, f64) {
    let mut row = LinearExpr::empty();
    for (v, n) in values.iter().zip(pattern).filter(|(_, n)| **n > 0) {
        row.add(*v, *n as f64);
    }
    if let Some(worth) = worth {
        row.add(worth, -1.0);
        return (row, 0.0);
    }
    (row, 1.0)
}

fn with(cutter: &mut Cutter<'_>, bin: &Bin, blank: usize) -> Option<Bin> {
    let mut more = bin.clone();
    more.put(cutter.job, blank);
    cutter.left(&more).map(|_| more)
}

/// A stick with as many of the blanks as can be cut from it, and the others, shortest dropped first.
fn as_far_as_it_goes(cutter: &mut Cutter<'_>, stock: Stock, mut blanks: Vec<usize>) -> (Bin, Vec<usize>) {
    let mut over = Vec::new();
    // blanks are numbered longest first
    blanks.sort_unstable();
    loop {
        let mut bin = Bin::new(stock);
        for blank in &blanks {
            bin.put(cutter.job, *blank);
        }
        if cutter.left(&bin).is_some() {
            return (bin, over);
        }
        over.extend(blanks.pop());
    }
}

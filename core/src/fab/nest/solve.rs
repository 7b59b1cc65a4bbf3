//! From good layouts to the best one, and how far it is proved to be that.

use super::bin::{Bin, Cutter};
use super::fill::{Choice, Layout, piece_by_piece, stick_by_stick};
use super::job::{Ticks, ticks};
use super::search::{Answer, Sums, search};
use super::{Effort, bound, plan};

/// A left-over is longest when none is longer by more than this, mm: far below what a rule shows.
const DROP_MM: f64 = 0.001;

/// Most pieces a search is tried for.
const MOST_SEARCHED: usize = 400;

/// A layout with what is known about it.
#[derive(Debug)]
pub(super) struct Solved {
    pub(super) layout: Layout,
    /// No layout of its pieces starts fewer whole sticks.
    pub(super) least_whole: usize,
    /// Its longest left-over is proved the longest for its number of sticks.
    pub(super) proved_drop: bool,
}

/// How many steps each part may take. A step is about one stick looked at.
struct Steps {
    fill: u32,
    count: u64,
    drop: u64,
}

impl Steps {
    fn of(effort: Effort, pieces: usize) -> Self {
        match effort {
            Effort::Quick if pieces > MOST_SEARCHED => Self { fill: 60, count: 0, drop: 0 },
            Effort::Quick => Self { fill: 200, count: 20_000, drop: 20_000 },
            Effort::Thorough => Self { fill: 5_000, count: 15_000_000, drop: 15_000_000 },
        }
    }
}

/// Finds the layout with the fewest whole sticks, and of those the one with the longest left-over.
pub(super) fn solve(cutter: &mut Cutter<'_>, effort: Effort) -> Solved {
    let pieces = cutter.job.blanks.len();
    let steps = Steps::of(effort, pieces);
    let layouts = [
        piece_by_piece(cutter, Choice::First),
        piece_by_piece(cutter, Choice::Tightest),
        stick_by_stick(cutter, steps.fill),
    ];
    let mut best = Layout::default();
    let mut merit = None;
    for layout in layouts {
        let this = Some(layout.merit(cutter));
        if this > merit {
            (best, merit) = (layout, this);
        }
    }
    let searched = pieces <= MOST_SEARCHED;
    let sums = Sums::new(cutter, searched);
    let mut least = bound::least_whole(cutter, &sums).min(best.whole());
    if !best.unplaced.is_empty() {
        // pieces that only a long offcut could hold are in each other's way: nothing is claimed
        return Solved { layout: best, least_whole: 0, proved_drop: false };
    }
    if searched {
        // a little search, then the linear bound, then the rest of the search
        let mut little = steps.count / 20;
        fewer(cutter, &sums, &mut best, &mut least, &mut little);
        if effort == Effort::Thorough && best.whole() > least {
            plan::improve(cutter, &sums, &mut best, &mut least);
        }
        let mut rest = steps.count;
        fewer(cutter, &sums, &mut best, &mut least, &mut rest);
    }
    let proved_drop = searched && longer(cutter, &sums, &mut best, steps.drop);
    Solved { layout: best, least_whole: least, proved_drop }
}

/// All offcuts and so many whole sticks, empty.
fn empty_bins(cutter: &Cutter<'_>, whole: usize) -> Vec<Bin> {
    let job = cutter.job;
    let sticks = job.whole.into_iter().flat_map(|w| std::iter::repeat_n(w, whole));
    sticks.chain(job.offcuts.iter().copied()).map(Bin::new).collect()
}

/// Searches for a layout with fewer whole sticks, from the fewest that are thinkable up.
fn fewer(cutter: &mut Cutter<'_>, sums: &Sums, best: &mut Layout, least: &mut usize, steps: &mut u64) {
    while *least < best.whole() {
        let bins = empty_bins(cutter, *least);
        match search(cutter, sums, bins, steps) {
            Answer::Fits(bins) => *best = Layout { bins, unplaced: Vec::new() },
            Answer::Never => *least += 1,
            Answer::Unknown => break,
        }
    }
    // one fewer may be easy where the fewest thinkable is hard
    while *least + 1 < best.whole() && *steps > 0 {
        let bins = empty_bins(cutter, best.whole() - 1);
        match search(cutter, sums, bins, steps) {
            Answer::Fits(bins) => *best = Layout { bins, unplaced: Vec::new() },
            Answer::Never => *least = best.whole(),
            Answer::Unknown => break,
        }
    }
}

/// Searches for the longest left-over with as many whole sticks; whether it is proved the longest.
///
/// That it is possible to leave a length over only ends once: a shorter length is possible too. So the search halves
/// the range between what is reached and what is proved out of reach.
fn longer(cutter: &mut Cutter<'_>, sums: &Sums, best: &mut Layout, mut steps: u64) -> bool {
    let fine = ticks(DROP_MM);
    let mut reached = best.longest_left(cutter);
    // never reached, and not known to be reached
    let mut never = longest_by_sums(cutter, sums, best.whole(), reached) + 1;
    let mut unknown = never;
    let mut tries = 0;
    // no one try may take all the steps: another length may be easier
    let most = steps / 6;
    while never.min(unknown) - reached > fine && steps > 0 {
        let top = never.min(unknown);
        let target = match tries {
            0 => top - fine,
            1 => reached + fine,
            _ => Ticks::midpoint(reached, top),
        };
        tries += 1;
        let mut these = steps.min(most);
        steps -= these;
        let answer = leaves(cutter, sums, best.whole(), target, &mut these);
        steps += these;
        match answer {
            Answer::Fits(bins) => {
                *best = Layout { bins, unplaced: Vec::new() };
                reached = best.longest_left(cutter).max(target);
            }
            Answer::Never => never = target,
            Answer::Unknown => unknown = target,
        }
    }
    never - reached <= fine
}

/// The sets of empty bins of which one has to leave `spare` over: a whole stick, or any of the offcuts.
fn leaving(cutter: &Cutter<'_>, whole: usize, spare: Ticks) -> Vec<Vec<Bin>> {
    let bins = empty_bins(cutter, whole);
    let mut out: Vec<Vec<Bin>> = Vec::new();
    let mut seen = Vec::new();
    for i in 0..bins.len() {
        let stock = bins[i].stock;
        if stock.room < spare || seen.contains(&stock.room) || (whole > 0 && i > 0) {
            continue;
        }
        seen.push(stock.room);
        let mut with = bins.clone();
        with[i].spare = spare;
        out.push(with);
    }
    out
}

fn leaves(cutter: &mut Cutter<'_>, sums: &Sums, whole: usize, spare: Ticks, steps: &mut u64) -> Answer {
    let mut answer = Answer::Never;
    for bins in leaving(cutter, whole, spare) {
        match search(cutter, sums, bins, steps) {
            Answer::Never => {}
            Answer::Unknown => answer = Answer::Unknown,
            found @ Answer::Fits(_) => return found,
        }
    }
    answer
}

/// No left-over is longer than this, as far as sums of lengths say.
fn longest_by_sums(cutter: &Cutter<'_>, sums: &Sums, whole: usize, reached: Ticks) -> Ticks {
    let job = cutter.job;
    let holders = job.blanks.iter().filter(|b| job.kinds[b.kind].holds).count();
    let longest = job.whole.iter().filter(|_| whole > 0).chain(&job.offcuts).map(|s| s.room).max();
    let (mut low, mut high) = (reached, longest.unwrap_or(0).max(reached));
    while high - low > 1 {
        let middle = Ticks::midpoint(low, high);
        let possible =
            leaving(cutter, whole, middle).iter().any(|bins| sums.could_hold(cutter, bins, holders));
        *(if possible { &mut low } else { &mut high }) = middle;
    }
    high
}

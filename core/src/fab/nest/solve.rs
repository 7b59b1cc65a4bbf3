//! From good layouts to the best one, and how far it is proved to be that.

use super::bin::{Bin, Cutter};
use super::bound::{Area, least_whole};
use super::fill::{Layout, Tries, one_order, piece_by_piece, stick_by_stick};
use super::improve::improve;
use super::job::{Ticks, ticks};
use super::order::{NARROW, WIDE};
use super::search::{Answer, Sums, search};
use super::{Effort, exact, plan};

/// A left-over is longest when none is longer by more than this, mm: far below what a rule shows.
const DROP_MM: f64 = 0.001;

/// Most pieces a search is tried for.
const MOST_SEARCHED: usize = 400;

/// So many pieces or fewer have their orders worked out widely in a short look too.
const FEW: usize = 40;

/// Most offcuts beside which every division of a few pieces is tried.
const MOST_OFFCUTS: usize = 8;

/// How much of the average of what is left a stick's pieces have to come to, in thousandths, or 0 where that does not
/// matter: see [`Tries::lean`].
const LEANINGS: [Ticks; 11] = [1000, 0, 1010, 1020, 990, 1005, 1015, 1025, 995, 1030, 960];

/// A layout with what is known about it.
#[derive(Debug)]
pub(super) struct Solved {
    pub(super) layout: Layout,
    /// No layout of its pieces starts fewer whole sticks.
    pub(super) least_whole: usize,
    /// Its longest left-over is proved the longest for its number of sticks.
    pub(super) proved_drop: bool,
}

/// How many steps each part may take, and all of them. A step is about six nanoseconds on a quiet core of 2026.
struct Budget {
    /// Most pieces of which every division is tried.
    every_division: usize,
    /// Ways kept at each setting where orders are worked out.
    width: usize,
    /// Tries for each stick that is filled.
    fill: u32,
    /// How many lengths are tried that may stay free of each stick at first.
    good_enough: u32,
    /// All parts together.
    most: u64,
    /// Each way to make layouts to begin with.
    start: u64,
    /// A search for fewer sticks.
    fewer: u64,
    /// Exchanges, where there may be a layout with fewer sticks.
    improve: u64,
    /// Exchanges, where only a longer left-over is looked for.
    polish: u64,
    /// A search for a longer left-over.
    longer: u64,
}

/// After so many steps for each piece a short look begins nothing more.
const QUICK_STEPS: u64 = 6_000;

/// As many pieces are counted at least and at most.
const QUICK_PIECES: (u64, u64) = (20, 500);

/// No short look takes more steps than this: what is begun may take a third of what there was.
#[cfg(test)]
pub(super) fn most_quick_steps(pieces: usize) -> u64 {
    Budget::quick(pieces).most * 4 / 3
}

impl Budget {
    /// A few milliseconds.
    fn quick(pieces: usize) -> Self {
        let each = (pieces as u64).clamp(QUICK_PIECES.0, QUICK_PIECES.1);
        // every exchange of few pieces is soon tried
        let soon = 15 * each * each;
        Self {
            every_division: 7,
            width: if pieces <= 50 { NARROW } else { 2 },
            fill: 30,
            good_enough: 14,
            most: QUICK_STEPS * each,
            start: 1_500 * each,
            fewer: 300 * each,
            improve: soon.min(4_000 * each),
            polish: soon.min(400 * each),
            longer: 200 * each,
        }
    }

    /// What a long look adds to that: about a second at most.
    const LONG: Self = Self {
        every_division: 11,
        width: NARROW,
        fill: 100,
        good_enough: 40,
        most: 109_000_000,
        start: 5_000_000,
        fewer: 12_000_000,
        improve: 80_000_000,
        polish: 80_000_000,
        longer: 12_000_000,
    };
}

/// Finds the layout with the fewest whole sticks, and of those the one with the longest left-over.
///
/// A long look begins with a short one, so it never ends with less.
pub(super) fn solve(cutter: &mut Cutter<'_>, effort: Effort) -> Solved {
    let pieces = cutter.job.blanks.len();
    let quick = Budget::quick(pieces);
    cutter.most = quick.most;
    let tabled = match effort {
        Effort::Quick => quick.every_division,
        Effort::Thorough => Budget::LONG.every_division,
    };
    let mut starts = Vec::new();
    if pieces <= tabled && cutter.job.offcuts.len() <= MOST_OFFCUTS {
        cutter.orders.width = WIDE;
        match exact::every_division(cutter) {
            Some((layout, true)) => {
                return Solved { least_whole: layout.whole(), layout, proved_drop: true };
            }
            Some((layout, false)) => starts.push(layout),
            None => {}
        }
    }
    cutter.orders.width = quick.width;
    starts.push(first_layout(cutter, &quick));
    let mut look = Look::new(cutter, starts);
    look.start(cutter, &quick);
    if !look.best.unplaced.is_empty() {
        // pieces that only a long offcut could hold are in each other's way: nothing is claimed
        return Solved { layout: look.best, least_whole: 0, proved_drop: false };
    }
    look.go_on(cutter, &quick);
    // the last word on the order of few pieces is cheap
    if pieces <= FEW {
        cutter.orders.width = WIDE;
    }
    if effort == Effort::Thorough && !look.is_settled(cutter) {
        cutter.most = cutter.steps() + Budget::LONG.most;
        cutter.most_steps = cutter.most;
        cutter.orders.width = Budget::LONG.width;
        look.fill_sticks(cutter, &Budget::LONG);
        if look.best.whole() > look.least {
            plan::improve(cutter, &look.sums, &mut look.best, &mut look.least);
        }
        look.go_on(cutter, &Budget::LONG);
        cutter.orders.width = WIDE;
    }
    look.solved(cutter)
}

/// The layout that costs least to make: where settings differ, one order over all pieces is good, else piece by piece.
fn first_layout(cutter: &mut Cutter<'_>, budget: &Budget) -> Layout {
    if cutter.job.settings.len() > 1 {
        return one_order(cutter, budget.start);
    }
    piece_by_piece(cutter, budget.start)
}

/// The best layout so far, and what is known of all of them.
struct Look {
    best: Layout,
    sums: Sums,
    area: Area,
    is_searched: bool,
    /// No layout starts fewer whole sticks.
    least: usize,
    /// A number of whole sticks, with what no layout on so many leaves more than.
    most_left: Option<(usize, Ticks)>,
}

impl Look {
    fn new(cutter: &mut Cutter<'_>, starts: Vec<Layout>) -> Self {
        let mut best: Option<Layout> = None;
        for layout in starts {
            if best.as_ref().is_none_or(|b| b.is_beaten_by(&layout, cutter)) {
                best = Some(layout);
            }
        }
        let best = best.unwrap_or_default();
        let job = cutter.job;
        // where jumps count as much as lengths, a search by lengths proves nothing
        let is_simple = job.settings.len() <= 3 || job.blanks.len() <= 24;
        let is_searched = job.blanks.len() <= MOST_SEARCHED && is_simple;
        let sums = Sums::new(cutter, false);
        let area = Area::new(cutter, best.whole());
        let least = least_whole(cutter, &sums, &area).min(best.whole());
        Self { best, sums, area, is_searched, least, most_left: None }
    }

    /// More layouts to begin with, until one takes no more sticks than are needed.
    fn start(&mut self, cutter: &mut Cutter<'_>, budget: &Budget) {
        if !self.is_fewest() && cutter.job.settings.len() > 1 {
            let layout = piece_by_piece(cutter, budget.start);
            self.take(cutter, layout);
        }
        if !self.is_fewest() {
            self.fill_sticks(cutter, budget);
        }
    }

    fn take(&mut self, cutter: &mut Cutter<'_>, layout: Layout) {
        if self.best.is_beaten_by(&layout, cutter) {
            self.best = layout;
        }
    }

    /// Whether all pieces are placed and no layout starts fewer sticks.
    fn is_fewest(&self) -> bool {
        self.best.unplaced.is_empty() && self.best.whole() <= self.least
    }

    /// Layouts stick by stick, until one takes no more sticks than are needed: each stick as full as can be, or with
    /// long pieces before short ones, or only as full as good enough.
    fn fill_sticks(&mut self, cutter: &mut Cutter<'_>, budget: &Budget) {
        let limit = cutter.after(budget.start);
        let room = cutter.job.whole.map_or(0, |w| w.room);
        let tries = |enough: Ticks, lean: Ticks| Tries { count: budget.fill, limit, enough, lean };
        let mut all = Vec::new();
        if cutter.job.settings.len() <= 1 {
            all.extend(LEANINGS.map(|lean| tries(0, lean)));
            // lengths that shares of a stick leave free: short pieces are then left for the last ones
            let most = Ticks::from(budget.good_enough);
            all.extend((1..=most).map(|i| tries(room * i / (6 * most), 0)));
        } else {
            all.push(tries(0, 0));
        }
        for tries in all {
            let layout = stick_by_stick(cutter, tries);
            self.take(cutter, layout);
            if self.is_fewest() || cutter.is_over(limit) {
                return;
            }
        }
    }

    /// No layout on as many whole sticks as the best leaves more.
    fn most_left(&mut self, cutter: &Cutter<'_>) -> Ticks {
        let whole = self.best.whole();
        match self.most_left {
            Some((count, left)) if count == whole => left,
            Some(_) | None => {
                let left = most_left(cutter, &self.sums, &self.area, whole);
                self.most_left = Some((whole, left));
                left
            }
        }
    }

    /// Whether nothing better is possible.
    fn is_settled(&mut self, cutter: &mut Cutter<'_>) -> bool {
        let fine = ticks(DROP_MM);
        self.best.whole() == self.least && self.best.longest_left(cutter) + fine >= self.most_left(cutter)
    }

    /// Looks for a better layout within a budget.
    fn go_on(&mut self, cutter: &mut Cutter<'_>, budget: &Budget) {
        if self.is_searched && !self.is_fewest() {
            let limit = cutter.after(budget.fewer);
            self.prepare(cutter);
            self.fewer(cutter, limit);
        }
        if !self.is_settled(cutter) {
            let limit = cutter.after(if self.is_fewest() { budget.polish } else { budget.improve });
            let (sums, area) = (&self.sums, &self.area);
            let mut known = self.most_left;
            let mut enough = |cutter: &Cutter<'_>, whole: usize| {
                if known.is_none_or(|k| k.0 != whole) {
                    known = Some((whole, most_left(cutter, sums, area, whole)));
                }
                known.map_or(Ticks::MAX, |k| k.1 - ticks(DROP_MM))
            };
            improve(cutter, &mut self.best, self.least, &mut enough, limit);
        }
        if self.is_searched && !self.is_settled(cutter) {
            let limit = cutter.after(budget.longer);
            self.prepare(cutter);
            self.longer(cutter, limit);
        }
    }

    /// Makes the sums that a search needs.
    fn prepare(&mut self, cutter: &mut Cutter<'_>) {
        if !self.sums.is_for_search {
            self.sums = Sums::new(cutter, true);
        }
    }

    /// Searches for a layout with fewer whole sticks, from the fewest that are thinkable up.
    fn fewer(&mut self, cutter: &mut Cutter<'_>, limit: u64) {
        let half = cutter.steps() + limit.saturating_sub(cutter.steps()) / 2;
        while self.least < self.best.whole() {
            let bins = empty_bins(cutter, self.least);
            match search(cutter, &self.sums, bins, half) {
                Answer::Fits(bins) => self.best = Layout { bins, unplaced: Vec::new() },
                Answer::Never => self.least += 1,
                Answer::Unknown => break,
            }
        }
        // one fewer may be easy where the fewest thinkable is hard
        while self.least + 1 < self.best.whole() && !cutter.is_over(limit) {
            let bins = empty_bins(cutter, self.best.whole() - 1);
            match search(cutter, &self.sums, bins, limit) {
                Answer::Fits(bins) => self.best = Layout { bins, unplaced: Vec::new() },
                Answer::Never => self.least = self.best.whole(),
                Answer::Unknown => break,
            }
        }
    }

    /// Searches for the longest left-over with as many whole sticks.
    ///
    /// That it is possible to leave a length over only ends once: a shorter length is possible too. So the search halves
    /// the range between what is reached and what is proved out of reach.
    fn longer(&mut self, cutter: &mut Cutter<'_>, limit: u64) {
        let fine = ticks(DROP_MM);
        let whole = self.best.whole();
        let mut reached = self.best.longest_left(cutter);
        // never reached, and not known to be reached
        let mut never = self.most_left(cutter) + 1;
        let mut unknown = never;
        let mut tries = 0;
        // no one try may take all the steps: another length may be easier
        let most = limit.saturating_sub(cutter.steps()) / 6;
        while never.min(unknown) - reached > fine && !cutter.is_over(limit) {
            let top = never.min(unknown);
            let target = match tries {
                0 => top - fine,
                1 => reached + fine,
                _ => Ticks::midpoint(reached, top),
            };
            tries += 1;
            let this = limit.min(cutter.steps() + most);
            match leaves(cutter, &self.sums, whole, target, this) {
                Answer::Fits(bins) => {
                    self.best = Layout { bins, unplaced: Vec::new() };
                    reached = self.best.longest_left(cutter).max(target);
                }
                Answer::Never => never = target,
                Answer::Unknown => unknown = target,
            }
        }
        self.most_left = Some((whole, never));
    }

    fn solved(mut self, cutter: &mut Cutter<'_>) -> Solved {
        let proved_drop = self.is_settled(cutter);
        Solved { layout: self.best, least_whole: self.least, proved_drop }
    }
}

/// All offcuts and so many whole sticks, empty.
fn empty_bins(cutter: &Cutter<'_>, whole: usize) -> Vec<Bin> {
    let job = cutter.job;
    let sticks = job.whole.into_iter().flat_map(|w| std::iter::repeat_n(w, whole));
    sticks.chain(job.offcuts.iter().copied()).map(Bin::new).collect()
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

fn leaves(cutter: &mut Cutter<'_>, sums: &Sums, whole: usize, spare: Ticks, limit: u64) -> Answer {
    let mut answer = Answer::Never;
    for bins in leaving(cutter, whole, spare) {
        match search(cutter, sums, bins, limit) {
            Answer::Never => {}
            Answer::Unknown => answer = Answer::Unknown,
            found @ Answer::Fits(_) => return found,
        }
    }
    answer
}

/// No left-over of a layout on so many whole sticks is longer than this, as far as sums say.
fn most_left(cutter: &Cutter<'_>, sums: &Sums, area: &Area, whole: usize) -> Ticks {
    let job = cutter.job;
    let holders = job.blanks.iter().filter(|b| job.kinds[b.kind].holds).count();
    let longest = job.whole.iter().filter(|_| whole > 0).chain(&job.offcuts).map(|s| s.room).max();
    let mut high = longest.unwrap_or(0);
    if whole > 0 {
        high = high.min(area.longest_left(job, whole));
    }
    let could =
        |spare: Ticks| leaving(cutter, whole, spare).iter().any(|b| sums.could_hold(cutter, b, holders));
    if high <= 0 || could(high) {
        return high.max(0);
    }
    let mut low = 0;
    while high - low > 1 {
        let middle = Ticks::midpoint(low, high);
        *(if could(middle) { &mut low } else { &mut high }) = middle;
    }
    high
}

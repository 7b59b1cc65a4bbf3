//! How many whole sticks are needed at least, and what is left over at most, from sums alone.

use super::bin::{Bin, Cutter};
use super::job::{Job, Stock, Ticks};
use super::search::Sums;

/// No layout of all blanks starts fewer whole sticks than this.
///
/// The largest of three bounds: room for all lengths with the jumps that evenness asks for over all sticks together (see
/// [`Area`]); room for the sum of all lengths, each stick filled as far as any sum of pieces goes; and
/// the dual feasible functions of Martello and Toth's bound L2 (from memory), with every offcut given the most it can
/// be worth.
pub(super) fn least_whole(cutter: &mut Cutter<'_>, sums: &Sums, area: &Area) -> usize {
    let job = cutter.job;
    let Some(whole) = job.whole else { return 0 };
    cutter.spend(20 * job.blanks.len() as u64);
    let holders = job.blanks.iter().filter(|b| job.kinds[b.kind].holds).count();
    let mut bins: Vec<Bin> = job.offcuts.iter().map(|s| Bin::new(*s)).collect();
    let start = by_size(cutter, whole).min(job.blanks.len());
    bins.extend(std::iter::repeat_n(Bin::new(whole), start));
    let mut count = start;
    while count < job.blanks.len()
        && !(area.could_hold(job, count) && sums.could_hold(cutter, &bins, holders))
    {
        bins.push(Bin::new(whole));
        count += 1;
    }
    count
}

/// For a length t, a piece longer than a stick less t is worth a whole stick, one shorter than t nothing, others their
/// length: no stick can hold more than it is worth itself.
fn by_size(cutter: &Cutter<'_>, whole: Stock) -> usize {
    let job = cutter.job;
    let room = |s: &Stock| (s.room - job.least_extra).max(0);
    let stick = room(&whole);
    if stick == 0 {
        return 0;
    }
    let mut weights: Vec<Ticks> = job.blanks.iter().map(|b| b.weight).collect();
    weights.sort_unstable();
    // the first so many, shortest first, add up to this
    let sums: Vec<i128> = std::iter::once(0)
        .chain(weights.iter().scan(0, |sum, w| {
            *sum += i128::from(*w);
            Some(*sum)
        }))
        .collect();
    let mut limits: Vec<Ticks> = weights.iter().copied().filter(|w| 2 * w <= stick).collect();
    limits.extend([0, stick / 2]);
    limits.sort_unstable();
    limits.dedup();
    let mut most = 0;
    for t in limits {
        let nothing = weights.partition_point(|w| *w < t);
        let all_of_it = weights.partition_point(|w| *w <= stick - t).max(nothing);
        let large = (weights.len() - all_of_it) as i128;
        let all = large * i128::from(stick) + sums[all_of_it] - sums[nothing];
        let offcuts: i128 = job
            .offcuts
            .iter()
            .map(|s| {
                let (r, stick, t) = (i128::from(room(s)), i128::from(stick), i128::from(t));
                match r {
                    r if r > stick => r * stick / (stick - t) + 1,
                    r if r > stick - t => stick,
                    r => r,
                }
            })
            .sum();
        let needed = (all - offcuts + i128::from(stick) - 1).div_euclid(i128::from(stick));
        most = most.max(usize::try_from(needed).unwrap_or(0));
    }
    most
}

/// Most work for the exact count of starts and ends over all sticks together, in cells of its table; above it a start is
/// taken for as cheap as an end.
const MOST_CELLS: usize = 60_000;

/// Steps that a cell of it takes: measured.
const CELL_STEPS: u64 = 2;

/// What all pieces take together on so many sticks: their weights, and the least that starts, ends and jumps cost when
/// only evenness counts and not which pieces lie together.
#[derive(Debug)]
pub(super) struct Area {
    weights: Ticks,
    /// For so many walks, the least they cost beside the weights.
    extras: Vec<Ticks>,
    /// What a square end costs more than none at least.
    square: Ticks,
    holders: usize,
}

impl Area {
    /// For up to so many whole sticks and all offcuts.
    pub(super) fn new(cutter: &mut Cutter<'_>, whole: usize) -> Self {
        let job = cutter.job;
        let weights = job.blanks.iter().map(|b| b.weight).sum();
        let holders = job.blanks.iter().filter(|b| job.kinds[b.kind].holds).count();
        let square = job.settings.iter().map(|s| s.end_square() - s.end()).min().unwrap_or(0);
        let walks = whole + job.offcuts.len();
        let of_ends = job.settings.len() * (2 * walks + 1);
        let of_both = job.settings.len() * (walks + 1) * (walks + 1);
        let apart = of_both <= MOST_CELLS;
        cutter.spend(CELL_STEPS * if apart { of_both } else { of_ends } as u64);
        let extras = extras(job, walks, apart);
        Self { weights, extras, square, holders }
    }

    /// The least that up to so many walks cost beside the weights.
    fn extra(&self, walks: usize) -> Ticks {
        let most = walks.min(self.extras.len().saturating_sub(1));
        self.extras[1.min(most)..=most].iter().min().copied().unwrap_or(0)
    }

    /// What so many whole sticks and all offcuts hold, less what has to be left where no piece can be held.
    fn room(&self, job: &Job, whole: usize) -> Ticks {
        let sticks = job.whole.iter().flat_map(|s| std::iter::repeat_n(s.room, whole));
        let rooms: Vec<Ticks> = sticks.chain(job.offcuts.iter().map(|s| s.room)).collect();
        let mut kept: Vec<Ticks> = rooms.iter().map(|r| (*r).min(job.grip)).collect();
        kept.sort_unstable();
        // the pieces that can be held do it where that saves most
        let held = kept.len().saturating_sub(self.holders);
        rooms.iter().sum::<Ticks>() - kept[..held].iter().sum::<Ticks>()
    }

    fn could_hold(&self, job: &Job, whole: usize) -> bool {
        self.weights + self.extra(whole + job.offcuts.len()) <= self.room(job, whole)
    }

    /// No layout on so many whole sticks, at least one, leaves more of one of them.
    pub(super) fn longest_left(&self, job: &Job, whole: usize) -> Ticks {
        // what is left may be what the saw holds there
        let own = job.whole.map_or(0, |s| s.room.min(job.grip));
        let extra = self.extra(whole + job.offcuts.len()) + self.square;
        self.room(job, whole) + own - self.weights - extra
    }
}

/// For each number of walks, the least that starts, ends and jumps of all of them cost when only evenness counts.
///
/// A sweep as that over one stick: what is remembered is whether a jump is open, and how many starts and ends are set.
/// Two open jumps are never needed: exchanged, neither crosses. Not told `apart`, starts are taken for as cheap as ends,
/// and only their number together is remembered.
fn extras(job: &Job, walks: usize, apart: bool) -> Vec<Ticks> {
    const NEVER: Ticks = Ticks::MAX / 4;
    // a row for each number of starts, in it a place for each number of ends
    let (rows, side) = if apart { (walks + 1, walks + 1) } else { (1, 2 * walks + 1) };
    let mut is_odd = vec![false; job.settings.len()];
    for face in job.blanks.iter().flat_map(|b| job.kinds[b.kind].faces) {
        is_odd[face] ^= true;
    }
    let at = |starts: usize, ends: usize| starts * side + ends;
    let nothing = || vec![NEVER; rows * side];
    // for no and one open jump
    let mut now = [nothing(), nothing()];
    now[0][0] = 0;
    for (i, setting) in job.settings.iter().enumerate() {
        let gap = job.settings.get(i + 1).map_or(0, |next| next.ramp - setting.ramp);
        let begin = setting.begin();
        let end = if apart { setting.end() } else { begin.min(setting.end()) };
        let mut next = [nothing(), nothing()];
        for (open, costs) in now.into_iter().enumerate() {
            // with an even and an odd number of starts and ends here
            let mut set = [costs, nothing()];
            for (starts, ends) in (0..rows).flat_map(|starts| (0..side).map(move |ends| (starts, ends))) {
                for even in 0..2 {
                    let cost = set[even][at(starts, ends)];
                    let odd = &mut set[1 - even];
                    if starts + 1 < rows {
                        let to = &mut odd[at(starts + 1, ends)];
                        *to = (*to).min(cost + begin);
                    }
                    if ends + 1 < side {
                        let to = &mut odd[at(starts, ends + 1)];
                        *to = (*to).min(cost + end);
                    }
                }
            }
            for (odd, costs) in set.iter().enumerate() {
                let jumps = usize::from(is_odd[i]) ^ odd;
                let after = open ^ jumps;
                let cost = jumps as Ticks * setting.half_cut + after as Ticks * gap;
                for (to, from) in next[after].iter_mut().zip(costs) {
                    *to = (*to).min(from + cost);
                }
            }
        }
        now = next;
    }
    let both = |walks: usize| if apart { at(walks, walks) } else { 2 * walks };
    (0..=walks).map(|walks| now[0][both(walks)].min(NEVER)).collect()
}

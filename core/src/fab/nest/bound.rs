//! How many whole sticks are needed at least, from sums alone.

use super::bin::{Bin, Cutter};
use super::job::{Stock, Ticks};
use super::search::Sums;

/// No layout of all blanks starts fewer whole sticks than this.
///
/// The larger of two bounds: room for the sum of all lengths, each stick filled as far as any sum of pieces goes; and
/// the dual feasible functions of Martello and Toth's bound L2 (from memory), with every offcut given the most it can
/// be worth.
pub(super) fn least_whole(cutter: &Cutter<'_>, sums: &Sums) -> usize {
    let job = cutter.job;
    let Some(whole) = job.whole else { return 0 };
    let holders = job.blanks.iter().filter(|b| job.kinds[b.kind].holds).count();
    let mut bins: Vec<Bin> = job.offcuts.iter().map(|s| Bin::new(*s)).collect();
    let start = by_size(cutter, whole).min(job.blanks.len());
    bins.extend(std::iter::repeat_n(Bin::new(whole), start));
    let mut count = start;
    while count < job.blanks.len() && !sums.could_hold(cutter, &bins, holders) {
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
    let mut limits: Vec<Ticks> = job.blanks.iter().map(|b| b.weight).filter(|w| 2 * w <= stick).collect();
    limits.extend([0, stick / 2]);
    limits.sort_unstable();
    limits.dedup();
    let mut most = 0;
    for t in limits {
        let worth = |w: Ticks| {
            if w > stick - t {
                stick
            } else if w >= t {
                w
            } else {
                0
            }
        };
        let all: i128 = job.blanks.iter().map(|b| i128::from(worth(b.weight))).sum();
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

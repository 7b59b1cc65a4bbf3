//! What a search still has to look at.

use super::Motion;
use crate::geom::tolerance::SAME_TURN_RAD;
use glam::DVec3;
use std::cmp::Ordering;

/// Widest range of rolls to begin with, rad: the triangle round an arc of it stands off by 8 % at most.
const WIDEST_RAD: f64 = 0.8;

/// Ranges of rolls of both bodies.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    pub(super) middle_rad: [f64; 2],
    pub(super) half_rad: [f64; 2],
}

impl Cell {
    /// The whole of what both can roll, in cells that are not too wide.
    pub(super) fn all(motion: &Motion) -> Vec<Self> {
        let [own, other] = motion.lines.map(|line| {
            let count = (2.0 * line.most_rad / WIDEST_RAD).ceil().max(1.0);
            let half_rad = line.most_rad / count;
            let middle_rad = move |i: usize| half_rad * (2.0 * i as f64 + 1.0) - line.most_rad;
            ((0..count as usize).map(middle_rad).collect::<Vec<f64>>(), half_rad)
        });
        let half_rad = [own.1, other.1];
        let cell = |a: f64, b: f64| Self { middle_rad: [a, b], half_rad };
        own.0.iter().flat_map(|&a| other.0.iter().map(move |&b| cell(a, b))).collect()
    }

    /// The two halves by the roll of one side; `None` where that is too narrow.
    pub(super) fn halves(&self, side: usize) -> Option<[Self; 2]> {
        let half_rad = self.half_rad[side] / 2.0;
        (half_rad > SAME_TURN_RAD).then(|| {
            [-half_rad, half_rad].map(|off_rad| {
                let mut half = *self;
                half.middle_rad[side] += off_rad;
                half.half_rad[side] = half_rad;
                half
            })
        })
    }
}

/// Whether two pairs of rolls are the same; never where one is no number.
pub(super) fn are_same(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] - b[0]).abs() <= SAME_TURN_RAD && (a[1] - b[1]).abs() <= SAME_TURN_RAD
}

/// A pair of pieces that still has to be looked at, within a cell.
#[derive(Debug, Clone, Copy)]
pub(super) struct Item {
    /// The gap can not be less than this, mm.
    pub(super) at_least_mm: f64,
    /// When it was put in: decides between equals.
    pub(super) number: usize,
    /// The rolls.
    pub(super) cell: Cell,
    /// Places in the lists of pieces.
    pub(super) pieces: [usize; 2],
    /// Guess of the direction from the first to the second.
    pub(super) toward: DVec3,
    /// Rolls at which the pair, or what it was cut from, was measured last; no numbers at first.
    pub(super) tried: [f64; 2],
}

impl Ord for Item {
    fn cmp(&self, other: &Self) -> Ordering {
        // the heap hands out the greatest: the least bound, then the newest, which leads down to a shared point
        other.at_least_mm.total_cmp(&self.at_least_mm).then(self.number.cmp(&other.number))
    }
}

impl PartialOrd for Item {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Item {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Item {}

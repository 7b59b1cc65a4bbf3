//! Best-first search for the tightest pair of two sets of bodies.

use super::body::{Body, Form};
use super::gap::Gap;
use super::meet::{Meeting, meet};
use super::overlap::overlap;
use super::piece::Piece;
use crate::geom::tolerance::{CONVEX_GAP_MM, SEARCH_MM};
use glam::DVec3;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Pairs of pieces looked at before the best found so far is taken; ordinary work needs a few dozen, a
/// bend through the middle of a hole a few hundred.
const MAX_LOOKS: usize = 5_000;

/// What a search does with bodies that overlap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OnOverlap {
    /// Measure how deep.
    Measure,
    /// Do not measure how deep: the gap counts as minus infinity, and the search ends there.
    Tell,
    /// End without a result.
    GiveUp,
}

/// The tightest place between two sets.
#[derive(Debug, Clone, Copy)]
pub(super) struct ClosestPair {
    /// Which of the first set.
    pub(super) first: usize,
    /// Which of the second set.
    pub(super) second: usize,
    /// The gap.
    pub(super) gap: Gap,
}

/// A pair of pieces still to be looked at.
#[derive(Debug, Clone, Copy)]
struct Pair {
    /// The gap can not be less than this, mm.
    at_least_mm: f64,
    /// When it was put in: decides between equals.
    number: usize,
    /// Places in the lists of pieces.
    pieces: [usize; 2],
    /// Guess of the direction from the first to the second.
    toward: DVec3,
}

impl Ord for Pair {
    fn cmp(&self, other: &Self) -> Ordering {
        // the heap hands out the greatest: the least bound, then the newest, which leads down to a shared point
        other.at_least_mm.total_cmp(&self.at_least_mm).then(self.number.cmp(&other.number))
    }
}

impl PartialOrd for Pair {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Pair {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Pair {}

/// A search under way.
#[derive(Debug)]
pub(super) struct ClosestSearch<'a> {
    bodies: [&'a [Body<'a>]; 2],
    /// Pieces cut so far with the body each is of; the hulls of the bodies stand before them in the count.
    cut: [Vec<(usize, Piece)>; 2],
    queue: BinaryHeap<Pair>,
    pushed: usize,
    best: Option<ClosestPair>,
    closer_than_mm: f64,
    /// A gap below this is near enough: the search ends with it, mm.
    enough_mm: f64,
    on_overlap: OnOverlap,
    /// Pairs of bodies already known to overlap, and measured.
    overlapping: Vec<[usize; 2]>,
}

impl<'a> ClosestSearch<'a> {
    /// A search among all pairs that `skip` does not name, for gaps below `closer_than_mm`. Bodies with
    /// numbers that are not finite take no part.
    pub(super) fn new(
        firsts: &'a [Body<'a>],
        seconds: &'a [Body<'a>],
        closer_than_mm: f64,
        on_overlap: OnOverlap,
        skip: &dyn Fn(usize, usize) -> bool,
    ) -> Self {
        let mut search = Self {
            bodies: [firsts, seconds],
            cut: [Vec::new(), Vec::new()],
            queue: BinaryHeap::new(),
            pushed: 0,
            best: None,
            closer_than_mm,
            enough_mm: f64::NEG_INFINITY,
            on_overlap,
            overlapping: Vec::new(),
        };
        for (i, a) in firsts.iter().enumerate() {
            for (j, b) in seconds.iter().enumerate() {
                let at_least_mm = between_bounds(a.bounds, b.bounds);
                if at_least_mm < closer_than_mm && !skip(i, j) {
                    search.push(at_least_mm, [i, j], b.hull.middle() - a.hull.middle());
                }
            }
        }
        search
    }

    /// The same search, content with any gap below `enough_mm`.
    #[must_use]
    pub(super) fn content_with(self, enough_mm: f64) -> Self {
        Self { enough_mm, ..self }
    }

    /// The tightest gap to within [`SEARCH_MM`]; `None` if none is below the limit.
    pub(super) fn run(mut self) -> Option<ClosestPair> {
        for _ in 0..MAX_LOOKS {
            let Some(pair) = self.queue.pop() else { break };
            if pair.at_least_mm >= self.limit_mm() || self.limit_mm() < self.enough_mm {
                break;
            }
            if !self.look(pair) {
                return None;
            }
        }
        self.best
    }

    /// Gaps from here on are of no interest.
    fn limit_mm(&self) -> f64 {
        self.best.map_or(self.closer_than_mm, |best| best.gap.gap_mm - SEARCH_MM)
    }

    fn push(&mut self, at_least_mm: f64, pieces: [usize; 2], toward: DVec3) {
        self.queue.push(Pair { at_least_mm, number: self.pushed, pieces, toward });
        self.pushed += 1;
    }

    /// The piece at place `id` of the list on `side`, and the body it is of.
    fn piece(&self, side: usize, id: usize) -> (usize, &Piece) {
        let bodies = self.bodies[side];
        if let Some(body) = bodies.get(id) {
            return (id, &body.hull);
        }
        let (owner, piece) = &self.cut[side][id - bodies.len()];
        (*owner, piece)
    }

    /// Measures one pair of pieces; false if the search is to end without a result.
    fn look(&mut self, pair: Pair) -> bool {
        let ((i, a), (j, b)) = (self.piece(0, pair.pieces[0]), self.piece(1, pair.pieces[1]));
        if self.overlapping.contains(&[i, j]) {
            return true;
        }
        let (first, second) = (&self.bodies[0][i], &self.bodies[1][j]);
        let round_mm = first.round_mm + second.round_mm;
        match meet(a, b, pair.toward, self.limit_mm() + round_mm) {
            Meeting::Beyond => {}
            Meeting::Apart { at_least_mm, across, on } => {
                let real = nearest_real(first, second, on);
                self.offer(i, j, gap_of_cores(first, second, real));
                let at_least_mm = pair.at_least_mm.max(at_least_mm - round_mm);
                if at_least_mm < self.limit_mm() {
                    self.split(Pair { at_least_mm, toward: across, ..pair }, on, true);
                }
            }
            Meeting::Overlap { common, .. } => {
                if self.split(pair, [common; 2], false) {
                    return true;
                }
                let gap = match self.on_overlap {
                    OnOverlap::GiveUp => return false,
                    OnOverlap::Tell => Gap { gap_mm: f64::NEG_INFINITY, on_first: common, on_second: common },
                    OnOverlap::Measure => overlap(first, second, common),
                };
                self.overlapping.push([i, j]);
                self.offer(i, j, gap);
            }
        }
        true
    }

    /// Keeps `gap` if it is the tightest so far.
    fn offer(&mut self, first: usize, second: usize, gap: Gap) {
        let limit_mm = self.best.map_or(self.closer_than_mm, |best| best.gap.gap_mm);
        if gap.gap_mm < limit_mm {
            self.best = Some(ClosestPair { first, second, gap });
        }
    }

    /// Cuts the piece whose point in `at` is the further from its body, and queues what comes of it; false if
    /// both points are real. Only where the pieces are `apart` do the bound and the direction of `pair` count.
    fn split(&mut self, pair: Pair, at: [DVec3; 2], apart: bool) -> bool {
        let off = [0, 1].map(|side| {
            let (owner, _) = self.piece(side, pair.pieces[side]);
            self.bodies[side][owner].real_point(at[side]).distance(at[side])
        });
        let side = usize::from(off[1] > off[0]);
        if off[side] <= CONVEX_GAP_MM {
            return false;
        }
        let rise_mm = apart.then(|| self.limit_mm() - pair.at_least_mm);
        let like = if apart { pair.toward } else { DVec3::ZERO };
        let (owner, piece) = self.piece(side, pair.pieces[side]);
        let Some(parts) = self.bodies[side][owner].split(piece, at[side], rise_mm) else { return false };
        for part in parts {
            let mut pieces = pair.pieces;
            pieces[side] = self.bodies[side].len() + self.cut[side].len();
            let away = if let Piece::Cell(cell) = &part { cell.away(like) } else { None };
            let toward = away.map_or(pair.toward, |away| if side == 0 { -away } else { away });
            self.cut[side].push((owner, part));
            self.push(pair.at_least_mm, pieces, toward);
        }
        true
    }
}

/// Points of the cores themselves near the given points of their hulls.
fn nearest_real(first: &Body<'_>, second: &Body<'_>, on: [DVec3; 2]) -> [DVec3; 2] {
    let [p, q] = on;
    match (&first.form, &second.form) {
        (Form::Hull, Form::Hull) => on,
        // a convex body's point is real; the other body's point nearest that is at least as near as its hull's own
        (Form::Bend(_) | Form::Plate(_), Form::Hull) => [first.real_point(q), q],
        (Form::Hull, Form::Bend(_) | Form::Plate(_)) => [p, second.real_point(p)],
        (Form::Bend(_) | Form::Plate(_), Form::Bend(_) | Form::Plate(_)) => {
            let p = first.real_point(p);
            [p, second.real_point(p)]
        }
    }
}

/// The gap between two bodies whose cores are nearest at the given points.
fn gap_of_cores(first: &Body<'_>, second: &Body<'_>, cores: [DVec3; 2]) -> Gap {
    let [p, q] = cores;
    let apart_mm = p.distance(q);
    let n = (q - p).try_normalize().unwrap_or(DVec3::ZERO);
    Gap {
        gap_mm: apart_mm - first.round_mm - second.round_mm,
        on_first: p + n * first.round_mm,
        on_second: q - n * second.round_mm,
    }
}

/// A number the gap of two bodies can not be below, from their bounds. Below zero it is how far one would have
/// to shift along a coordinate axis; an overlap is never deeper. Infinite for numbers that are not finite.
pub(super) fn between_bounds(a: (DVec3, DVec3), b: (DVec3, DVec3)) -> f64 {
    let apart = (b.0 - a.1).max(a.0 - b.1);
    if !apart.is_finite() {
        return f64::INFINITY;
    }
    let largest = apart.max_element();
    if largest <= 0.0 { largest } else { apart.max(DVec3::ZERO).length() }
}

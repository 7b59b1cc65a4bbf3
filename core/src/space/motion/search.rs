//! Best-first search over ranges of rolls and pairs of pieces.

use super::Motion;
use super::item::{Cell, Item, are_same};
use super::pieces::{Of, Pieces, Sight, Target};
use super::place::Stand;
use crate::geom::Solid;
use crate::geom::tolerance::CONVEX_GAP_MM;
use crate::space::search::between_bounds;
use glam::DVec3;
use std::collections::BinaryHeap;

/// Pairs looked at before the best found so far is taken, with what is proved by then; ordinary work needs a few, a
/// bend that rolls in a hole or a scan that is near all over some hundred.
const MAX_LOOKS: usize = 20_000;

/// What came of a search.
#[derive(Debug, Clone, Copy)]
pub(super) struct TightestStand {
    /// Which of the solids.
    pub(super) solid: usize,
    /// Which of the second's bodies; 0 where it is none.
    pub(super) other: usize,
    /// Where both are.
    pub(super) stand: Stand,
    /// At no position is the gap less than this, mm; minus infinity where an overlap was found.
    pub(super) never_below_mm: f64,
}

/// The tightest position seen.
#[derive(Debug, Clone, Copy)]
struct Best {
    gap_mm: f64,
    pieces: [usize; 2],
    stand: Stand,
}

/// A search under way.
pub(super) struct StandSearch<'a> {
    motion: &'a Motion,
    pieces: Pieces<'a>,
    queue: BinaryHeap<Item>,
    pushed: usize,
    best: Option<Best>,
    closer_than_mm: f64,
    /// The least bound of what was left lying, mm.
    left_mm: f64,
    /// Pairs that may still be looked at.
    pub(super) looks_left: usize,
    /// How often two pieces were measured.
    pub(super) measured: usize,
}

impl<'a> StandSearch<'a> {
    /// A search for gaps below `closer_than_mm`.
    pub(super) fn new(
        motion: &'a Motion,
        solids: &[Solid],
        target: &'a Target<'a>,
        closer_than_mm: f64,
    ) -> Self {
        let mut search = Self {
            motion,
            pieces: Pieces::new(motion, solids, target),
            queue: BinaryHeap::new(),
            pushed: 0,
            best: None,
            closer_than_mm,
            left_mm: f64::INFINITY,
            looks_left: MAX_LOOKS,
            measured: 0,
        };
        search.begin();
        search
    }

    /// Queues what can be near enough by its box, swollen by the greatest travel.
    fn begin(&mut self) {
        let cells = Cell::all(self.motion);
        let reach_mm = self.motion.reach_mm();
        let [first_line, second_line] = self.motion.lines;
        for i in 0..self.pieces.firsts.len() {
            let own = self.pieces.solids[i].bounds;
            let swollen = (own.0 - reach_mm, own.1 + reach_mm);
            let is_finite = own.0.is_finite() && own.1.is_finite();
            for j in 0..self.pieces.seconds.len() {
                let (of, piece) = &self.pieces.seconds[j];
                let at_least_mm = match of {
                    Of::Plane { .. } if is_finite => f64::NEG_INFINITY,
                    Of::Plane { .. } => f64::INFINITY,
                    Of::Body(..) | Of::Scan(..) => {
                        let (low, high) = piece.bounds();
                        let round_mm = self.pieces.round_mm(j);
                        let other = (low - round_mm, high + round_mm);
                        let travel_mm = first_line.travel_mm(own) + second_line.travel_mm(other);
                        between_bounds(swollen, other) - travel_mm
                    }
                };
                let toward = piece.middle() - self.pieces.firsts[i].1.middle();
                for &cell in &cells {
                    self.push(Item {
                        at_least_mm,
                        number: 0,
                        cell,
                        pieces: [i, j],
                        toward,
                        tried: [f64::NAN; 2],
                    });
                }
            }
        }
    }

    /// The tightest position; `None` if there is none below the limit.
    pub(super) fn run(&mut self) -> Option<TightestStand> {
        let mut left_open = 0;
        while let Some(item) = self.queue.pop() {
            if item.at_least_mm >= self.limit_mm() || self.looks_left == 0 {
                self.leave(item.at_least_mm); // nothing that is left can be less than this one
                left_open = self.pieces.firsts[item.pieces[0]].0;
                break;
            }
            self.looks_left -= 1;
            self.look(item);
            if self.best.is_some_and(|best| best.gap_mm <= 0.0) {
                self.left_mm = f64::NEG_INFINITY; // nothing tighter is looked for
                break;
            }
        }
        let never_below_mm = self.left_mm;
        let is_proved = never_below_mm >= self.closer_than_mm;
        let Some(best) = self.best else {
            let stand = Stand::DRAWN;
            return (!is_proved).then_some(TightestStand {
                solid: left_open,
                other: 0,
                stand,
                never_below_mm,
            });
        };
        if best.gap_mm >= self.closer_than_mm && is_proved {
            return None;
        }
        let other = if let Of::Body(other, _) = self.pieces.seconds[best.pieces[1]].0 { other } else { 0 };
        let solid = self.pieces.firsts[best.pieces[0]].0;
        Some(TightestStand { solid, other, stand: best.stand, never_below_mm })
    }

    /// Gaps from here on are of no interest.
    fn limit_mm(&self) -> f64 {
        match self.best {
            Some(best) if best.gap_mm < self.closer_than_mm => best.gap_mm - self.motion.slack_mm(),
            _ => self.closer_than_mm,
        }
    }

    fn leave(&mut self, at_least_mm: f64) {
        self.left_mm = self.left_mm.min(at_least_mm);
    }

    fn push(&mut self, item: Item) {
        if item.at_least_mm < self.limit_mm() {
            self.queue.push(Item { number: self.pushed, ..item });
            self.pushed += 1;
        } else {
            self.leave(item.at_least_mm);
        }
    }

    /// Measures a pair in the middle of its cell, and queues finer ones where that leaves too much open.
    fn look(&mut self, item: Item) {
        let Some(sight) = self.sight(&item, item.cell.middle_rad) else { return };
        let Some(across) = sight.across else {
            if !self.refine_piece(&item, &sight, 0.0) {
                let stand = Stand { rolls_rad: item.cell.middle_rad, shift_mm: sight.shift_mm };
                self.best = Some(Best { gap_mm: f64::NEG_INFINITY, pieces: item.pieces, stand });
            }
            return;
        };
        self.offer(item.pieces, item.cell.middle_rad, &sight);
        let (bound_mm, tightest_rad) = self.pieces.bound(item.pieces, &item.cell, across);
        let mut item = Item { at_least_mm: item.at_least_mm.max(bound_mm), toward: across, ..item };
        if item.at_least_mm >= self.limit_mm() {
            self.leave(item.at_least_mm);
            return;
        }
        // what the bound is afraid of is often there, and then nothing else in the cell is tighter
        if !are_same(tightest_rad, item.tried) && !are_same(tightest_rad, item.cell.middle_rad) {
            item.tried = tightest_rad;
            if let Some(sight) = self.sight(&item, tightest_rad) {
                self.offer(item.pieces, tightest_rad, &sight);
            }
        }
        self.refine(&item, &sight, across, bound_mm);
    }

    fn sight(&mut self, item: &Item, rolls_rad: [f64; 2]) -> Option<Sight> {
        self.measured += 1;
        self.pieces.sight(item.pieces, rolls_rad, item.toward)
    }

    /// Keeps the position of `sight`, if it is the tightest so far.
    fn offer(&mut self, pieces: [usize; 2], rolls_rad: [f64; 2], sight: &Sight) {
        if let Some(gap_mm) = self.pieces.real_gap_mm(pieces, rolls_rad, sight)
            && self.best.is_none_or(|best| gap_mm < best.gap_mm)
        {
            let stand = Stand { rolls_rad, shift_mm: sight.shift_mm };
            self.best = Some(Best { gap_mm, pieces, stand });
        }
    }

    /// Halves what leaves most open: the rolls of one side or a hull.
    fn refine(&mut self, item: &Item, sight: &Sight, across: DVec3, bound_mm: f64) {
        // what would be gained if these were the rolls
        let gain_mm = |half_rad: [f64; 2]| {
            let cell = Cell { half_rad, ..item.cell };
            self.pieces.bound(item.pieces, &cell, across).0 - bound_mm
        };
        let [own_rad, other_rad] = item.cell.half_rad;
        let side = match (own_rad > 0.0, other_rad > 0.0) {
            (true, true) => usize::from(gain_mm([own_rad, 0.0]) > gain_mm([0.0, other_rad])),
            (own_rolls, _) => usize::from(!own_rolls),
        };
        let rolls_mm = gain_mm([0.0; 2]);
        if self.refine_piece(item, sight, rolls_mm) {
            return;
        }
        match item.cell.halves(side) {
            Some(halves) => halves.into_iter().for_each(|cell| self.push(Item { cell, ..*item })),
            None => self.leave(item.at_least_mm),
        }
    }

    /// Cuts the piece whose point is the further from its body, and queues what comes of it; false where neither is
    /// further than `more_than_mm`, or can be cut.
    fn refine_piece(&mut self, item: &Item, sight: &Sight, more_than_mm: f64) -> bool {
        let off_mm = self.pieces.off_mm(item.pieces, sight);
        let side = usize::from(off_mm[1] > off_mm[0]);
        if off_mm[side] <= more_than_mm.max(CONVEX_GAP_MM) {
            return false;
        }
        let rise_mm = self.limit_mm() - item.at_least_mm;
        let rise_mm = (sight.across.is_some() && rise_mm.is_finite()).then_some(rise_mm);
        let Some(parts) = self.pieces.cut(side, item.pieces[side], sight.on[side], rise_mm) else {
            return false;
        };
        for part in parts {
            let mut pieces = item.pieces;
            pieces[side] = part;
            self.push(Item { pieces, ..*item });
        }
        true
    }
}

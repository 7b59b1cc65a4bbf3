//! Best-first search over ranges of rolls and pairs of pieces.

use super::Motion;
use super::bound::{Swing, least_apart};
use super::place::Stand;
use super::turn::Turned;
use crate::geom::Solid;
use crate::geom::tolerance::CONVEX_GAP_MM;
use crate::space::body::{Body, Form};
use crate::space::brick::Brick;
use crate::space::meet::{Meeting, meet_by, shared_points};
use crate::space::piece::Piece;
use crate::space::scan::{PlacedScan, ScanPart};
use crate::space::search::between_bounds;
use glam::DVec3;
use parry3d_f64::query::gjk::CsoPoint;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Pairs looked at before the best found so far is taken, with what is proved by then; ordinary work needs a few
/// dozen, a bend that rolls through the middle of a hole some thousand.
const MAX_LOOKS: usize = 20_000;

/// Widest range of rolls to begin with, rad: the triangle round an arc of it stands off by 8 % at most.
const WIDEST_RAD: f64 = 0.8;

/// What the solids are measured to.
pub(super) enum Target<'a> {
    Bodies(Vec<Body<'a>>),
    /// All below the plane through a point, with its unit normal.
    Plane {
        on: DVec3,
        out: DVec3,
    },
    Scan(&'a PlacedScan),
}

/// What a piece of the second body is of.
#[derive(Debug, Clone, Copy)]
enum Of {
    Body(usize),
    Plane { on: DVec3, out: DVec3 },
    Scan(ScanPart),
}

/// What came of a search.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    /// Which of the solids.
    pub(super) solid: usize,
    /// Which of the second's bodies; 0 where it is none.
    pub(super) other: usize,
    /// Where both are.
    pub(super) stand: Stand,
    /// At no position is the gap less than this, mm; nothing is said of overlaps.
    pub(super) never_below_mm: f64,
}

/// Ranges of rolls of both bodies.
#[derive(Debug, Clone, Copy)]
struct Cell {
    middle_rad: [f64; 2],
    half_rad: [f64; 2],
}

/// A pair of pieces that still has to be looked at, within a cell.
#[derive(Debug, Clone, Copy)]
struct Item {
    /// The gap can not be less than this, mm.
    at_least_mm: f64,
    /// When it was put in: decides between equals.
    number: usize,
    cell: Cell,
    /// Places in the lists of pieces.
    pieces: [usize; 2],
    /// Guess of the direction from the first to the second.
    toward: DVec3,
    /// Rolls at which the pair, or what it was cut from, was measured last.
    tried: [f64; 2],
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

/// How two pieces lie to each other at given rolls and the shift that brings them nearest.
#[derive(Debug, Clone, Copy)]
struct Sight {
    /// Points of the pieces nearest each other, or shared, each where its body is drawn.
    on: [DVec3; 2],
    /// The shift that brings them together, mm.
    shift_mm: DVec3,
    /// Unit direction from the first to the second that parts them; `None` where they overlap.
    across: Option<DVec3>,
}

/// The tightest position seen.
#[derive(Debug, Clone, Copy)]
struct Best {
    gap_mm: f64,
    pieces: [usize; 2],
    stand: Stand,
}

/// A search under way.
pub(super) struct Search<'a> {
    motion: &'a Motion,
    solids: Vec<Body<'static>>,
    target: &'a Target<'a>,
    firsts: Vec<(usize, Piece)>,
    seconds: Vec<(Of, Piece)>,
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

impl<'a> Search<'a> {
    /// A search for gaps below `closer_than_mm`.
    pub(super) fn new(
        motion: &'a Motion,
        solids: &[Solid],
        target: &'a Target<'a>,
        closer_than_mm: f64,
    ) -> Self {
        let solids: Vec<Body<'static>> = solids.iter().map(Body::from).collect();
        let firsts = solids.iter().enumerate().map(|(i, body)| (i, body.hull.clone())).collect();
        let seconds = match target {
            Target::Bodies(bodies) => {
                bodies.iter().enumerate().map(|(i, body)| (Of::Body(i), body.hull.clone())).collect()
            }
            Target::Plane { on, out } => vec![(Of::Plane { on: *on, out: *out }, Piece::Point(*on))],
            Target::Scan(scan) => {
                let root = ScanPart::Node(0);
                scan.piece(root).map(|piece| (Of::Scan(root), piece)).into_iter().collect()
            }
        };
        let mut search = Self {
            motion,
            solids,
            target,
            firsts,
            seconds,
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
        let cells = first_cells(self.motion);
        let reach_mm = self.motion.reach_mm();
        for i in 0..self.solids.len() {
            let own = self.solids[i].bounds;
            let swollen = (own.0 - reach_mm, own.1 + reach_mm);
            let own_travel_mm = self.motion.lines[0].travel_mm(own);
            for j in 0..self.seconds.len() {
                let at_least_mm = match &self.seconds[j] {
                    (Of::Plane { .. }, _) if own.0.is_finite() && own.1.is_finite() => f64::NEG_INFINITY,
                    (Of::Plane { .. }, _) => f64::INFINITY,
                    (Of::Body(_) | Of::Scan(_), piece) => {
                        let other = self.grown(j, piece.bounds());
                        let travel_mm = own_travel_mm + self.motion.lines[1].travel_mm(other);
                        between_bounds(swollen, other) - travel_mm
                    }
                };
                let toward = self.seconds[j].1.middle() - self.solids[i].hull.middle();
                for &cell in &cells {
                    self.push(at_least_mm, cell, [i, j], (toward, [f64::NAN; 2]));
                }
            }
        }
    }

    /// Bounds of a piece of the second body with its rounding.
    fn grown(&self, second: usize, (low, high): (DVec3, DVec3)) -> (DVec3, DVec3) {
        let round_mm = self.round_mm(second);
        (low - round_mm, high + round_mm)
    }

    /// The tightest position; `None` if there is none below the limit.
    pub(super) fn run(&mut self) -> Option<Found> {
        let mut hint = 0;
        while let Some(item) = self.queue.pop() {
            if item.at_least_mm >= self.limit_mm() || self.looks_left == 0 {
                // nothing that is left can be less than this one
                self.leave(item.at_least_mm);
                hint = self.firsts[item.pieces[0]].0;
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
        let Some(best) = self.best else {
            let given_up = never_below_mm < self.closer_than_mm;
            return given_up.then_some(Found { solid: hint, other: 0, stand: Stand::DRAWN, never_below_mm });
        };
        if best.gap_mm >= self.closer_than_mm && never_below_mm >= self.closer_than_mm {
            return None;
        }
        let other = if let Of::Body(other) = self.seconds[best.pieces[1]].0 { other } else { 0 };
        Some(Found { solid: self.firsts[best.pieces[0]].0, other, stand: best.stand, never_below_mm })
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

    fn push(&mut self, at_least_mm: f64, cell: Cell, pieces: [usize; 2], start: (DVec3, [f64; 2])) {
        if at_least_mm < self.limit_mm() {
            let (toward, tried) = start;
            self.queue.push(Item { at_least_mm, number: self.pushed, cell, pieces, toward, tried });
            self.pushed += 1;
        } else {
            self.leave(at_least_mm);
        }
    }

    fn turned(&self, rolls_rad: [f64; 2]) -> [Turned; 2] {
        [0, 1].map(|side| self.motion.lines[side].turned(rolls_rad[side]))
    }

    /// The rounding of the body that a piece of the second is of, mm.
    fn round_mm(&self, second: usize) -> f64 {
        match (&self.seconds[second].0, self.target) {
            (Of::Body(other), Target::Bodies(bodies)) => bodies[*other].round_mm,
            _ => 0.0,
        }
    }

    /// Measures a pair in the middle of its cell, and queues finer ones where that leaves too much open.
    fn look(&mut self, item: Item) {
        let Some(sight) = self.sight(item.pieces, item.cell.middle_rad, item.toward) else { return };
        let Some(across) = sight.across else {
            if !self.refine_piece(&item, &sight, 0.0) {
                let stand = Stand { rolls_rad: item.cell.middle_rad, shift_mm: sight.shift_mm };
                self.best = Some(Best { gap_mm: f64::NEG_INFINITY, pieces: item.pieces, stand });
            }
            return;
        };
        self.offer(item.pieces, item.cell.middle_rad, &sight);
        let (bound_mm, corner_rad) = self.bound(item.pieces, &item.cell, across);
        let mut item = Item { at_least_mm: item.at_least_mm.max(bound_mm), toward: across, ..item };
        if item.at_least_mm >= self.limit_mm() {
            self.leave(item.at_least_mm);
            return;
        }
        if corner_rad != item.tried && corner_rad != item.cell.middle_rad {
            item.tried = corner_rad;
            if let Some(sight) = self.sight(item.pieces, corner_rad, across) {
                self.offer(item.pieces, corner_rad, &sight);
            }
        }
        self.refine(&item, &sight, across, bound_mm);
    }

    /// How two pieces lie to each other; `None` where numbers are bad.
    fn sight(&mut self, pieces: [usize; 2], rolls_rad: [f64; 2], toward: DVec3) -> Option<Sight> {
        self.measured += 1;
        let [first, second] = self.turned(rolls_rad);
        let (a, (of, b)) = (&self.firsts[pieces[0]].1, &self.seconds[pieces[1]]);
        let reach_mm = self.motion.reach_mm();
        let reach = Brick::new(DVec3::ZERO, DVec3::AXES, reach_mm);
        if let Of::Plane { on, out } = of {
            let down = second.direction(-*out);
            let x = a.support(first.direction_back(down));
            let shift_mm = reach.support(down);
            let moved = first.point(x) + shift_mm;
            let foot = moved + down * (second.point(*on) - moved).dot(down);
            return Some(Sight { on: [x, second.point_back(foot)], shift_mm, across: Some(down) });
        }
        let furthest = |direction: DVec3| {
            let x = a.support(first.direction_back(direction));
            let y = b.support(-second.direction_back(direction));
            let point = first.point(x) + reach.support(direction) - second.point(y);
            CsoPoint::new_with_point(point, x, y)
        };
        let (on, across) = match meet_by(&furthest, toward, f64::INFINITY) {
            Meeting::Beyond => return None,
            Meeting::Apart { across, on, .. } => (on, Some(across)),
            Meeting::Overlap { simplex, .. } => (shared_points(&simplex), None),
        };
        let shift_mm = (second.point(on[1]) - first.point(on[0])).clamp(-reach_mm, reach_mm);
        Some(Sight { on, shift_mm, across })
    }

    /// Keeps the position of `sight` with the bodies' own points there, if it is the tightest so far.
    fn offer(&mut self, pieces: [usize; 2], rolls_rad: [f64; 2], sight: &Sight) {
        let [first, second] = self.turned(rolls_rad);
        let body = &self.solids[self.firsts[pieces[0]].0];
        let [x, y] = sight.on;
        let seen_mm = |x: DVec3, y: DVec3, shift_mm: DVec3| {
            (first.point(x) + shift_mm).distance(second.point(y)) - self.round_mm(pieces[1])
        };
        let other = match (&self.seconds[pieces[1]].0, self.target) {
            (Of::Body(other), Target::Bodies(bodies)) => Some(&bodies[*other]),
            (Of::Scan(ScanPart::Node(_)), _) => return,
            _ => None,
        };
        let gap_mm = if let (Of::Plane { on, .. }, Some(down)) = (&self.seconds[pieces[1]].0, sight.across) {
            (second.point(*on) - first.point(x) - sight.shift_mm).dot(down)
        } else {
            let is_hull = |body: &Body<'_>| matches!(body.form, Form::Hull);
            // the point of a convex piece is real; else the nearest one of the body to what is over against it
            let x = if is_hull(body) {
                x
            } else if other.is_none_or(is_hull) {
                body.real_point(first.point_back(second.point(y) - sight.shift_mm))
            } else {
                body.real_point(x)
            };
            let y = other.map_or(y, |other| {
                if is_hull(other) {
                    y
                } else {
                    other.real_point(second.point_back(first.point(x) + sight.shift_mm))
                }
            });
            seen_mm(x, y, sight.shift_mm)
        };
        if self.best.is_none_or(|best| gap_mm < best.gap_mm) {
            let stand = Stand { rolls_rad, shift_mm: sight.shift_mm };
            self.best = Some(Best { gap_mm, pieces, stand });
        }
    }

    /// What the gap of a pair can not be less than in a cell, mm, as `across` proves it; and at which rolls it may be.
    fn bound(&self, pieces: [usize; 2], cell: &Cell, across: DVec3) -> (f64, [f64; 2]) {
        let [first, second] = self.turned(cell.middle_rad);
        let (a, (of, b)) = (&self.firsts[pieces[0]].1, &self.seconds[pieces[1]]);
        let height = |piece: &Piece, turned: &Turned, direction: DVec3| {
            let own = turned.direction_back(direction);
            own.dot(piece.support(own) - turned.about)
        };
        let first_mm = |direction: DVec3| height(a, &first, direction);
        let second_mm = |direction: DVec3| height(b, &second, direction);
        let swing = |side: usize| Swing { axis: self.motion.lines[side].axis, half_rad: cell.half_rad[side] };
        let swings = [swing(0), swing(1)];
        let reach_mm = self.motion.reach_mm();
        let offset = first.about - second.about;
        let (held_mm, rolls) = least_apart(across, second_mm(-across), &first_mm, (offset, reach_mm), swings);
        let mut least = (held_mm, rolls);
        if !matches!(of, Of::Plane { .. }) {
            let [own, other] = swings;
            let (held_mm, [other_rad, own_rad]) =
                least_apart(-across, first_mm(across), &second_mm, (-offset, reach_mm), [other, own]);
            if held_mm > least.0 {
                least = (held_mm, [own_rad, other_rad]);
            }
        }
        let corner_rad = [0, 1].map(|side| cell.middle_rad[side] + least.1[side]);
        (least.0 - self.round_mm(pieces[1]), corner_rad)
    }

    /// Halves what leaves most open: the rolls or the hulls.
    fn refine(&mut self, item: &Item, sight: &Sight, across: DVec3, bound_mm: f64) {
        let open_mm = |half_rad: [f64; 2]| {
            let cell = Cell { half_rad, ..item.cell };
            self.bound(item.pieces, &cell, across).0 - bound_mm
        };
        let [own_rad, other_rad] = item.cell.half_rad;
        let rolls_mm = open_mm([0.0; 2]);
        // what is gained where one of them is known
        let (own_mm, other_mm) = match (own_rad > 0.0, other_rad > 0.0) {
            (true, true) => (open_mm([0.0, other_rad]), open_mm([own_rad, 0.0])),
            (true, false) => (rolls_mm, 0.0),
            (false, _) => (0.0, rolls_mm),
        };
        if self.refine_piece(item, sight, rolls_mm) {
            return;
        }
        let side = usize::from(other_mm > own_mm);
        let half_rad = item.cell.half_rad[side] / 2.0;
        // halves of a range too narrow to be told apart
        if item.cell.middle_rad[side] + half_rad == item.cell.middle_rad[side] {
            self.leave(item.at_least_mm);
            return;
        }
        for sense in [-1.0, 1.0] {
            let mut cell = item.cell;
            cell.middle_rad[side] += sense * half_rad;
            cell.half_rad[side] = half_rad;
            self.push(item.at_least_mm, cell, item.pieces, (item.toward, item.tried));
        }
    }

    /// Cuts the piece whose point is the further from its body, and queues what comes of it; false where neither is
    /// further than `more_than_mm`, or can be cut.
    fn refine_piece(&mut self, item: &Item, sight: &Sight, more_than_mm: f64) -> bool {
        let [x, y] = sight.on;
        let (owner, piece) = &self.firsts[item.pieces[0]];
        let body = &self.solids[*owner];
        let (of, other) = &self.seconds[item.pieces[1]];
        let off_second_mm = match (of, self.target) {
            (Of::Body(j), Target::Bodies(bodies)) => bodies[*j].real_point(y).distance(y),
            (Of::Scan(ScanPart::Node(_)), _) => {
                let (low, high) = other.bounds();
                low.distance(high) / 2.0
            }
            _ => 0.0,
        };
        let off_mm = [body.real_point(x).distance(x), off_second_mm];
        let side = usize::from(off_mm[1] > off_mm[0]);
        if off_mm[side] <= more_than_mm.max(CONVEX_GAP_MM) {
            return false;
        }
        let rise_mm =
            sight.across.map(|_| self.limit_mm() - item.at_least_mm).filter(|rise| rise.is_finite());
        let mut pieces = item.pieces;
        if side == 0 {
            let Some(parts) = body.split(piece, x, rise_mm) else { return false };
            let owner = *owner;
            for part in parts {
                pieces[0] = self.firsts.len();
                self.firsts.push((owner, part));
                self.push(item.at_least_mm, item.cell, pieces, (item.toward, item.tried));
            }
            return true;
        }
        let parts: Vec<(Of, Piece)> = match (of, self.target) {
            (Of::Body(j), Target::Bodies(bodies)) => {
                let Some(parts) = bodies[*j].split(other, y, rise_mm) else { return false };
                parts.into_iter().map(|part| (Of::Body(*j), part)).collect()
            }
            (Of::Scan(part), Target::Scan(scan)) => {
                let parts = scan.parts_of(*part).into_iter();
                parts.filter_map(|part| Some((Of::Scan(part), scan.piece(part)?))).collect()
            }
            _ => return false,
        };
        for part in parts {
            pieces[1] = self.seconds.len();
            self.seconds.push(part);
            self.push(item.at_least_mm, item.cell, pieces, (item.toward, item.tried));
        }
        true
    }
}

/// The whole of what both can roll, in cells that are not too wide.
fn first_cells(motion: &Motion) -> Vec<Cell> {
    let [own, other] = motion.lines.map(|line| {
        let count = (2.0 * line.most_rad / WIDEST_RAD).ceil().max(1.0);
        let half_rad = line.most_rad / count;
        let middle_rad = move |i: usize| half_rad * (2.0 * i as f64 + 1.0) - line.most_rad;
        ((0..count as usize).map(middle_rad).collect::<Vec<f64>>(), half_rad)
    });
    let half_rad = [own.1, other.1];
    own.0.iter().flat_map(|&a| other.0.iter().map(move |&b| Cell { middle_rad: [a, b], half_rad })).collect()
}

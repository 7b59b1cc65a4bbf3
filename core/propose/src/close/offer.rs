//! What could close a gap, what it leaves, and how much work it is.

use super::chain;
use super::gap::Gap;
use super::lay::{Left, can_be_made, end_of, left_by};
use pipeloft_core::fab::build::lip_mm;
use pipeloft_core::fab::{Cut, Piece};
use pipeloft_core::geom::tolerance::LIP_MM;
use pipeloft_core::geom::vector::half_open_turn;
use std::f64::consts::TAU;

/// Minutes that each thing takes, used only to put offers in order (common practice, no source).
const WELD_MIN: f64 = 10.0;
const MITRE_CUT_MIN: f64 = 4.0;
const SQUARE_CUT_MIN: f64 = 1.0;
const SAW_SETTING_MIN: f64 = 2.0;
const TURN_MIN: f64 = 2.0;
const LIP_MIN: f64 = 6.0;

/// Cuts that differ by less than this need no other setting of the saw, rad: a quarter of a degree's twentieth.
const SAME_SETTING_RAD: f64 = 2e-4;

/// How a gap is closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A straight with square ends.
    Straight,
    /// One piece with two different cuts, turned against each other.
    OnePiece,
    /// Two straights with one mitre.
    OneMitre,
    /// Three straights with two mitres.
    TwoMitres,
    /// A new bend from slices between two straights.
    Bend,
    /// Ready slices turned on their faces between two straights.
    ReadySlices,
}

impl Kind {
    /// Its name on screen and in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Straight => "straight",
            Self::OnePiece => "one piece with two cuts",
            Self::OneMitre => "one mitre",
            Self::TwoMitres => "two mitres",
            Self::Bend => "new bend from slices",
            Self::ReadySlices => "ready slices",
        }
    }
}

/// Pieces that could close a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// How.
    pub kind: Kind,
    /// The pieces from the open face on; a joint at the hardpoint comes last.
    pub pieces: Vec<Piece>,
    /// Which of them are taken from the shelf.
    pub ready: Vec<bool>,
    /// What they leave, laid out from their own numbers.
    pub left: Left,
    /// What they leave where the cuts are set to the saw's steps and all else is exact.
    pub left_on_steps: Left,
    /// The largest lip where two faces meet that do not match, or a tilted one meets a square one, mm.
    pub lip_mm: f64,
    /// The shortest side of any of them, mm.
    pub shortest_mm: f64,
    /// Welds, those at both faces included.
    pub welds: usize,
    /// Minutes of work, to compare offers by (common practice, no source).
    pub work_min: f64,
}

/// What closes a gap, the least work first.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The gap.
    pub gap: Gap,
    /// The offers. Where none of them closes, those that leave least, the least first.
    pub offers: Vec<Offer>,
}

impl Answer {
    /// Whether the first offer leaves no more than a tack moves.
    pub fn closes(&self) -> bool {
        self.offers.first().is_some_and(|o| o.left.is_tacked_out())
    }
}

/// The greatest difference of two cut faces of tube of `radius_mm` that lie on each other, mm.
///
/// Of two like ellipses that is what [`lip_mm`] says; of others it is read off all round.
pub(super) fn faces_lip_mm(radius_mm: f64, first: &Cut, second: &Cut) -> f64 {
    let turn_rad = match (first.heel_clock_rad, second.heel_clock_rad) {
        (Some(a), Some(b)) => half_open_turn(b - a),
        _ => 0.0,
    };
    if (first.tilt_rad - second.tilt_rad).abs() < SAME_SETTING_RAD {
        return lip_mm(radius_mm, first.tilt_rad, turn_rad);
    }
    let reach = |tilt: f64, clock: f64| {
        let (sin, cos) = clock.sin_cos();
        radius_mm / (cos * tilt.cos()).hypot(sin)
    };
    (0..720).fold(0.0, |most: f64, i| {
        let clock = TAU * f64::from(i) / 720.0;
        most.max((reach(first.tilt_rad, clock) - reach(second.tilt_rad, clock - turn_rad)).abs())
    })
}

impl Offer {
    /// An offer of tube `pieces`; `ready` are those that lie on the shelf. `None` where one of them cannot be made.
    pub(super) fn of(gap: &Gap, kind: Kind, pieces: Vec<Piece>, ready: &[bool]) -> Option<Self> {
        let is_ready = |i: usize| ready.get(i).copied().unwrap_or(false);
        let can = |(i, p): (usize, &Piece)| is_ready(i) || can_be_made(gap, p);
        if pieces.is_empty() || !pieces.iter().enumerate().all(can) {
            return None;
        }
        let left = left_by(gap, &pieces);
        let left_on_steps = left_by(gap, &chain::on_steps(gap, &pieces, ready));
        let r = gap.radius_mm();
        let mut faces = vec![(Cut::SQUARE, pieces[0].start)];
        faces.extend(pieces.windows(2).map(|w| (w[0].end, w[1].start)));
        faces.push((pieces[pieces.len() - 1].end, Cut::SQUARE));
        let lips: Vec<f64> = faces.iter().map(|(a, b)| faces_lip_mm(r, a, b)).collect();
        let shortest_mm = pieces.iter().map(|p| p.long_short_mm().1).fold(f64::INFINITY, f64::min);
        let mut sawn: Vec<f64> = Vec::new();
        for (_, p) in pieces.iter().enumerate().filter(|(i, _)| !is_ready(*i)) {
            sawn.extend([p.start.tilt_rad, p.end.tilt_rad]);
        }
        let square = sawn.iter().filter(|t| **t <= 0.0).count();
        let mut settings: Vec<f64> = sawn.iter().copied().filter(|t| *t > 0.0).collect();
        let mitred = settings.len();
        settings.sort_by(f64::total_cmp);
        settings.dedup_by(|a, b| (*a - *b).abs() < SAME_SETTING_RAD);
        let turned = faces.iter().filter(|(a, b)| a.tilt_rad.max(b.tilt_rad) > 0.0).count();
        let welds = pieces.len() + 1;
        let work_min = WELD_MIN * welds as f64
            + MITRE_CUT_MIN * mitred as f64
            + SQUARE_CUT_MIN * square as f64
            + SAW_SETTING_MIN * settings.len() as f64
            + TURN_MIN * turned as f64
            + LIP_MIN * lips.iter().filter(|l| **l > LIP_MM).count() as f64;
        let mut offer = Self {
            kind,
            ready: (0..pieces.len()).map(is_ready).collect(),
            pieces,
            left,
            left_on_steps,
            lip_mm: lips.into_iter().fold(0.0, f64::max),
            shortest_mm,
            welds,
            work_min,
        };
        offer.finish(gap);
        Some(offer)
    }

    /// Marks the pieces and puts the joint behind them.
    fn finish(&mut self, gap: &Gap) {
        let end = end_of(&gap.from, &self.pieces);
        for (nth, piece) in self.pieces.iter_mut().enumerate() {
            piece.mark = gap.mark(nth);
        }
        if let Some(joint) = gap.joint_after(&end) {
            self.pieces.push(joint);
            self.ready.push(false);
        }
    }

    /// The pieces of tube, without the joint at the hardpoint.
    pub fn tube_pieces(&self) -> &[Piece] {
        let tubes = self.pieces.iter().take_while(|p| p.is_sawn()).count();
        &self.pieces[..tubes]
    }
}

/// Offers of one kind that are shown at the most.
const MOST_OF_A_KIND: usize = 4;
/// Offers that do not close that are shown at the most, where none does.
const MOST_OPEN: usize = 5;

/// Puts offers in order: those that leave no more than a tack moves by their work, or where there are none, those that
/// leave least.
pub(super) fn rank(gap: &Gap, offers: Vec<Offer>) -> Answer {
    let od_mm = gap.tube.od_mm;
    let (mut closed, mut open): (Vec<Offer>, Vec<Offer>) =
        offers.into_iter().partition(|o| o.left.is_tacked_out());
    let length_mm = |o: &Offer| o.tube_pieces().iter().map(|p| p.centre_mm).sum::<f64>();
    closed.sort_by(|a, b| {
        a.work_min.total_cmp(&b.work_min).then_with(|| length_mm(a).total_cmp(&length_mm(b)))
    });
    open.sort_by(|a, b| a.left.mismatch_mm(od_mm).total_cmp(&b.left.mismatch_mm(od_mm)));
    let mut kept: Vec<Offer> = Vec::new();
    for offer in if closed.is_empty() { open.into_iter().take(MOST_OPEN).collect() } else { closed } {
        if kept.iter().filter(|k| k.kind == offer.kind).count() < MOST_OF_A_KIND {
            kept.push(offer);
        }
    }
    Answer { gap: gap.clone(), offers: kept }
}

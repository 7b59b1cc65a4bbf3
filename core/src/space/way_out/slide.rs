//! How far bodies can be slid along a line before they come too near to others.
//!
//! Between two convex pieces that are apart there is a plane with a gap on it. Sliding along u takes u·n off that
//! gap for each mm, so the pieces can go on by (gap − need)/(u·n) before they can be too near, and for ever where
//! u·n is not above zero. The pair that can be too near first is looked at first; where only a hull is too near,
//! not what it holds, it is cut finer. Of a scan the boxes of its tree are looked at in the same way, then what
//! they hold, and in the end triangles: only those that come near are ever touched.

use super::super::body::Body;
use super::super::gap::above_plane;
use super::super::meet::{Meeting, meet_shifted};
use super::super::piece::Piece;
use super::super::scan::{Held, PlacedScan};
use super::scene::{Blocker, Obstruction};
use crate::geom::tolerance::CONVEX_GAP_MM;
use glam::DVec3;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Steps shorter than this are not worth a look: the pair counts as having met, mm.
const STEP_MM: f64 = 0.005;

/// A pair that moves apart may be nearer than it should by this much, mm: what the measures before may be off by.
const OFF_MM: f64 = 0.02;

/// Looks after which the bodies count as having met: ordinary slides need a few dozen.
const MAX_LOOKS: usize = 20_000;

/// The same where there are scans: many small triangles lie along a long slide.
const MAX_LOOKS_AT_SCANS: usize = 400_000;

/// Where a slide ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Contact {
    /// How far it gets, mm.
    pub(super) at_mm: f64,
    /// What stops it.
    pub(super) by: Blocker,
}

/// A part of a thing.
#[derive(Debug, Clone, Copy)]
enum Part {
    /// All of it.
    Whole,
    /// A box of a scan's tree.
    Box(u32),
    /// A triangle of a scan.
    Triangle(u32),
}

/// A pair of pieces still to be looked at.
#[derive(Debug, Clone, Copy)]
struct Pair {
    /// They can not be too near before this, mm.
    from_mm: f64,
    /// When it was put in: decides between equals.
    number: usize,
    thing: usize,
    /// Which part of the thing.
    part: Part,
    solid: usize,
    /// Places among the pieces that were cut; none for the hulls of the bodies.
    pieces: [Option<usize>; 2],
    /// Guess of the direction from the first to the second.
    toward: DVec3,
}

impl Ord for Pair {
    fn cmp(&self, other: &Self) -> Ordering {
        other.from_mm.total_cmp(&self.from_mm).then(self.number.cmp(&other.number))
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

/// What becomes of a pair that is looked at.
enum Next {
    /// They never come too near.
    Never,
    /// Not before then.
    Later(f64, DVec3),
    /// They are too near, or as good as.
    Met,
    /// Their hulls are; finer pieces of one of them, which side is told.
    Finer(usize, Vec<Piece>, DVec3),
    /// It may be too near to what this box of a scan holds.
    Within(u32),
}

/// A slide under way.
struct Slide<'a> {
    sets: &'a [Vec<Body<'static>>],
    things: &'a [Obstruction<'a>],
    along: DVec3,
    spare_mm: f64,
    cut: [Vec<Piece>; 2],
    queue: BinaryHeap<Pair>,
    pushed: usize,
}

/// Where the bodies of `sets` come too near to one of `things` when they slide along the unit vector `along`;
/// `None` if they do not within `far_mm`. Things count as needing `spare_mm` more than they do where they had that
/// at rest.
pub(super) fn slide(
    sets: &[Vec<Body<'static>>],
    things: &[Obstruction<'_>],
    along: DVec3,
    far_mm: f64,
    spare_mm: f64,
) -> Option<Contact> {
    let mut slide = Slide {
        sets,
        things,
        along,
        spare_mm,
        cut: [Vec::new(), Vec::new()],
        queue: BinaryHeap::new(),
        pushed: 0,
    };
    let plane = slide.begin(far_mm);
    let limit_mm = plane.map_or(far_mm, |c| c.at_mm);
    let looks = if things.iter().any(|t| t.scan.is_some()) { MAX_LOOKS_AT_SCANS } else { MAX_LOOKS };
    for _ in 0..looks {
        let Some(pair) = slide.queue.pop() else { return plane };
        if pair.from_mm >= limit_mm {
            return plane;
        }
        match slide.look(&pair) {
            Next::Never => {}
            Next::Later(from_mm, toward) => slide.push(Pair { from_mm, toward, ..pair }),
            Next::Met => return Some(Contact { at_mm: pair.from_mm, by: things[pair.thing].who }),
            Next::Within(node) => slide.open(&pair, node, limit_mm),
            Next::Finer(side, parts, toward) => {
                for part in parts {
                    let mut pieces = pair.pieces;
                    pieces[side] = Some(slide.cut[side].len());
                    slide.cut[side].push(part);
                    slide.push(Pair { pieces, toward, ..pair });
                }
            }
        }
    }
    let stopped = slide.queue.pop()?;
    Some(Contact { at_mm: stopped.from_mm, by: things[stopped.thing].who })
}

impl Slide<'_> {
    /// Puts in all pairs whose bounds meet on the way; the first plane that is met.
    fn begin(&mut self, far_mm: f64) -> Option<Contact> {
        let mut first: Option<Contact> = None;
        for (t, thing) in self.things.iter().enumerate() {
            let need_mm = thing.need_with(self.spare_mm);
            for (s, body) in self.sets[thing.set].iter().enumerate() {
                if let Some((on, out)) = thing.plane {
                    let falling = -self.along.dot(out);
                    let at_mm = (above_plane(body, on, out).gap_mm - need_mm) / falling;
                    if falling > 1e-12 && at_mm < first.map_or(far_mm, |c| c.at_mm) {
                        first = Some(Contact { at_mm: at_mm.max(0.0), by: thing.who });
                    }
                    continue;
                }
                let meets = if let Some(other) = &thing.body {
                    boxes_meet(body.bounds, other.bounds, self.along, need_mm).map(|(from_mm, _)| {
                        let toward = other.hull.middle() - body.hull.middle() - self.along * from_mm;
                        (from_mm, Part::Whole, toward)
                    })
                } else if let Some(scan) = thing.scan {
                    let part = Part::Box(0);
                    self.meets(scan, part, body, need_mm).map(|from_mm| (from_mm, part, self.along))
                } else {
                    None
                };
                if let Some((from_mm, part, toward)) = meets.filter(|(from_mm, ..)| *from_mm < far_mm) {
                    let pieces = [None; 2];
                    self.push(Pair { from_mm, number: 0, thing: t, part, solid: s, pieces, toward });
                }
            }
        }
        first
    }

    /// When the box round a body can be too near to the box round a part of a scan, mm; `None` for never.
    fn meets(&self, scan: &PlacedScan, part: Part, body: &Body<'_>, need_mm: f64) -> Option<f64> {
        let bounds = piece_of(scan, part)?.bounds();
        boxes_meet(body.bounds, bounds, self.along, need_mm).map(|(from_mm, _)| from_mm)
    }

    /// Puts in what a box of a scan holds, in place of the box.
    fn open(&mut self, pair: &Pair, node: u32, limit_mm: f64) {
        let thing = &self.things[pair.thing];
        let body = &self.sets[thing.set][pair.solid];
        let need_mm = thing.need_with(self.spare_mm);
        let Some(scan) = thing.scan else { return };
        let parts: Vec<Part> = match scan.held(node) {
            Some(Held::Boxes(two)) => two.map(Part::Box).to_vec(),
            Some(Held::Triangles(range)) => range.map(Part::Triangle).collect(),
            None => Vec::new(),
        };
        for part in parts {
            // what was cut of the body stays cut
            let from_mm = self.meets(scan, part, body, need_mm).map(|mm| mm.max(pair.from_mm));
            if let Some(from_mm) = from_mm.filter(|mm| *mm < limit_mm) {
                self.push(Pair { from_mm, part, ..*pair });
            }
        }
    }

    fn push(&mut self, pair: Pair) {
        self.queue.push(Pair { number: self.pushed, ..pair });
        self.pushed += 1;
    }

    fn look(&self, pair: &Pair) -> Next {
        let thing = &self.things[pair.thing];
        let first = &self.sets[thing.set][pair.solid];
        let second = thing.body.as_ref();
        let of_scan = thing.scan.and_then(|scan| piece_of(scan, pair.part));
        let Some(whole) = of_scan.as_ref().or(second.map(|body| &body.hull)) else { return Next::Never };
        let a = pair.pieces[0].map_or(&first.hull, |i| &self.cut[0][i]);
        let b = pair.pieces[1].map_or(whole, |i| &self.cut[1][i]);
        let shift = self.along * pair.from_mm;
        let round_mm = first.round_mm + second.map_or(0.0, |body| body.round_mm);
        let need_mm = thing.need_with(self.spare_mm) + round_mm;
        let (on, toward) = match meet_shifted(a, shift, b, pair.toward, f64::INFINITY) {
            Meeting::Beyond => return Next::Never,
            Meeting::Apart { at_least_mm, across, on } => {
                let (spare_mm, closing) = (at_least_mm - need_mm, self.along.dot(across));
                if closing <= 0.0 && spare_mm > -OFF_MM {
                    return Next::Never;
                }
                if closing > 0.0 && spare_mm / closing > STEP_MM {
                    return Next::Later(pair.from_mm + spare_mm / closing, across);
                }
                (on, across)
            }
            Meeting::Overlap { common, .. } => ([common; 2], pair.toward),
        };
        if let Part::Box(node) = pair.part {
            return Next::Within(node);
        }
        let own = [on[0] - shift, on[1]];
        let off_mm = |body: &Body<'_>, p: DVec3| body.real_point(p).distance(p);
        let off = [off_mm(first, own[0]), second.map_or(0.0, |body| off_mm(body, own[1]))];
        let side = usize::from(off[1] > off[0]);
        if off[side] <= CONVEX_GAP_MM {
            return Next::Met;
        }
        let (body, piece) = match second {
            Some(second) if side == 1 => (second, b),
            Some(_) | None => (first, a),
        };
        body.split(piece, own[side], None).map_or(Next::Met, |parts| Next::Finer(side, parts, toward))
    }
}

/// A part of a scan as a convex piece.
fn piece_of(scan: &PlacedScan, part: Part) -> Option<Piece> {
    match part {
        Part::Whole => None,
        Part::Box(node) => scan.brick(node).map(Piece::Brick),
        Part::Triangle(i) => scan.corners(i).map(Piece::Triangle),
    }
}

/// From where to where a box that slides along `along` is within `need_mm` of another; `None` where it never is.
pub(super) fn boxes_meet(
    moving: (DVec3, DVec3),
    still: (DVec3, DVec3),
    along: DVec3,
    need_mm: f64,
) -> Option<(f64, f64)> {
    let (mut first, mut last) = (0.0_f64, f64::INFINITY);
    let (low, high) = (still.0 - moving.1 - need_mm, still.1 - moving.0 + need_mm);
    for i in 0..3 {
        if along[i].abs() < 1e-12 {
            if low[i] > 0.0 || high[i] < 0.0 {
                return None;
            }
        } else {
            let (a, b) = (low[i] / along[i], high[i] / along[i]);
            first = first.max(a.min(b));
            last = last.min(a.max(b));
        }
    }
    (first <= last).then_some((first, last))
}

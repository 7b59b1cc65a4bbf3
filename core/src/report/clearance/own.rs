//! Gaps of a run to itself, between all places that are far enough apart along the pipe to be no neighbours.
//!
//! Two solids may be neighbours in part. Of the places on both, those that count are cut out as whole stretches, but for
//! a triangle: its places are just apart enough at one end each, and too near at the other. Triangles are halved until
//! nothing in them matters.

use super::along::{Along, near_mm};
use super::subject::Subject;
use super::{ClearanceReport, boxes_apart_mm, entry};
use crate::fab::build::PlacedSolid;
use crate::geom::Solid;
use crate::geom::tolerance::{NO_LENGTH_MM, OWN_GAP_MM};
use crate::model::Item;
use crate::space::{Gap, solid_bounds};
use glam::DVec3;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Solids in one group.
const GROUP: usize = 16;

/// Triangles below what is asked are halved down to this length along the pipe, mm: no gap is told too small by more.
const FINE_MM: f64 = 0.05;

/// Triangles with enough of a gap are halved down to this length, mm.
const COARSE_MM: f64 = 2.0;

/// Pairs of stretches that are looked at; then the least gap that is not ruled out is told. Ordinary runs need some ten.
const MOST_LOOKS: usize = 20_000;

/// A box along the axes: lowest and highest coordinates.
type Bounds = (DVec3, DVec3);

/// Neighbouring stretches with the box round them.
struct Group<'a> {
    stretches: &'a [Along<'a>],
    boxes: Vec<Bounds>,
    bounds: Bounds,
}

impl<'a> Group<'a> {
    fn new(stretches: &'a [Along<'a>]) -> Self {
        let boxes: Vec<Bounds> = stretches.iter().map(|s| solid_bounds(&s.solid)).collect();
        let low = boxes.iter().map(|b| b.0).reduce(DVec3::min).unwrap_or_default();
        let high = boxes.iter().map(|b| b.1).reduce(DVec3::max).unwrap_or_default();
        Self { stretches, boxes, bounds: (low, high) }
    }
}

/// Two stretches still to be looked at.
struct Pair<'a> {
    /// Their gap cannot be less than this, mm.
    at_least_mm: f64,
    /// When it was put in: decides between equals.
    number: usize,
    /// The earlier along the pipe first.
    stretches: [Along<'a>; 2],
    /// Whether they are a triangle: only as much of the first counts as leaves the second far enough along.
    triangle: bool,
}

impl Ord for Pair<'_> {
    fn cmp(&self, other: &Self) -> Ordering {
        // the heap hands out the greatest
        other.at_least_mm.total_cmp(&self.at_least_mm).then(self.number.cmp(&other.number))
    }
}

impl PartialOrd for Pair<'_> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Pair<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Pair<'_> {}

/// The tightest place seen.
struct Best<'a> {
    gap: Gap,
    of: &'a PlacedSolid,
    /// Whether what lies next to it along the pipe is as near: it is where the pipe begins to count.
    at_border: bool,
}

/// A search under way.
struct OwnGapSearch<'a> {
    near_mm: f64,
    required_mm: f64,
    queue: BinaryHeap<Pair<'a>>,
    pushed: usize,
    best: Option<Best<'a>>,
}

impl<'a> OwnGapSearch<'a> {
    /// Gaps that are no less are of no interest.
    fn limit_mm(&self) -> f64 {
        self.best.as_ref().map_or_else(|| OWN_GAP_MM.max(self.required_mm), |best| best.gap.gap_mm)
    }

    fn push(&mut self, stretches: &[Along<'a>; 2], triangle: bool, at_least_mm: f64) {
        let [first, second] = stretches.each_ref().map(|s| solid_bounds(&s.solid));
        // overlapping boxes say nothing of how deep
        let apart_mm = Some(boxes_apart_mm(first, second)).filter(|apart| *apart > 0.0);
        let at_least_mm = apart_mm.map_or(at_least_mm, |apart| apart.max(at_least_mm));
        if at_least_mm < self.limit_mm() {
            self.queue.push(Pair { at_least_mm, number: self.pushed, stretches: *stretches, triangle });
            self.pushed += 1;
        }
    }

    /// Queues what of two groups is far enough apart along the pipe and near enough in space.
    fn push_groups(&mut self, one: &Group<'a>, other: &Group<'a>) {
        let limit_mm = self.limit_mm();
        for (a, box_a) in one.stretches.iter().zip(&one.boxes) {
            for (b, box_b) in other.stretches.iter().zip(&other.boxes) {
                let far_along = b.span_mm.1 - a.span_mm.0 >= self.near_mm;
                if far_along && boxes_apart_mm(*box_a, *box_b) < limit_mm {
                    self.push_apart(a, b);
                }
            }
        }
    }

    /// Queues what of two stretches is far enough apart along the pipe, `a` the earlier one.
    fn push_apart(&mut self, a: &Along<'a>, b: &Along<'a>) {
        // on a straight, what cannot be cut is nearer than its middle by as far as it reaches
        let reach_mm = a.reach_mm + b.reach_mm;
        let straight_mm = if reach_mm > 0.0 { reach_mm + OWN_GAP_MM.max(self.required_mm) } else { 0.0 };
        let near_mm = self.near_mm.max(straight_mm);
        // the first places of `a` count against all of `b`
        let all_of_b_mm = b.span_mm.0 - near_mm;
        let far = f64::INFINITY;
        if all_of_b_mm >= a.span_mm.0
            && let Some(a) = a.between(-far, all_of_b_mm)
        {
            self.push(&[a, *b], false, f64::NEG_INFINITY);
        }
        // what is left of it counts against the last places of `b`
        let (from, to) = (a.span_mm.0.max(all_of_b_mm), a.span_mm.1.min(b.span_mm.1 - near_mm));
        if to < from || all_of_b_mm >= a.span_mm.1 {
            return;
        }
        let (rest, later) = (a.between(from, to), b.between(to + near_mm, far));
        if let (Some(rest), Some(later)) = (rest, later) {
            self.push(&[rest, later], false, f64::NEG_INFINITY);
        }
        if let (Some(rest), Some(b)) = (rest, b.between(from + near_mm, to + near_mm))
            && to - from > NO_LENGTH_MM
        {
            self.push(&[rest, b], true, f64::NEG_INFINITY);
        }
    }

    fn run(mut self) -> Option<Best<'a>> {
        for look in 0.. {
            let Some(pair) = self.queue.pop() else { break };
            let limit_mm = self.limit_mm();
            if pair.at_least_mm >= limit_mm {
                break;
            }
            let [a, b] = &pair.stretches;
            let Some(gap) = a.gap_to(b, limit_mm) else { continue };
            let fine_mm = if gap.gap_mm < self.required_mm { FINE_MM } else { COARSE_MM };
            if pair.triangle && a.length_mm() > fine_mm && look < MOST_LOOKS {
                // how deep an overlap is told is an estimate, and no bound
                self.halve(&pair.stretches, if gap.gap_mm > 0.0 { gap.gap_mm } else { f64::NEG_INFINITY });
            } else {
                self.best = Some(Best { gap, of: a.of, at_border: pair.triangle });
            }
        }
        self.best
    }

    /// Cuts a triangle to what of it counts whole and two triangles of half the length.
    fn halve(&mut self, [a, b]: &[Along<'a>; 2], at_least_mm: f64) {
        let halves = |s: &Along<'a>| {
            let middle_mm = f64::midpoint(s.span_mm.0, s.span_mm.1);
            Some([s.between(f64::NEG_INFINITY, middle_mm)?, s.between(middle_mm, f64::INFINITY)?])
        };
        let (Some([first_a, last_a]), Some([first_b, last_b])) = (halves(a), halves(b)) else { return };
        self.push(&[first_a, last_b], false, at_least_mm);
        self.push(&[first_a, first_b], true, at_least_mm);
        self.push(&[last_a, last_b], true, at_least_mm);
    }
}

/// Stretches of the run in order, none of a bend so long that it could come near itself.
fn stretches<'a>(subject: &'a Subject<'_>, near_mm: f64) -> Vec<Along<'a>> {
    let mut out = Vec::with_capacity(subject.solids.len());
    for placed in &subject.solids {
        let whole = Along::whole(placed, &subject.built.parts);
        let count = match placed.solid {
            Solid::Elbow(_) => (whole.length_mm() / near_mm.max(NO_LENGTH_MM)).floor() + 1.0,
            Solid::Barrel(_) | Solid::Drum(_) | Solid::Block(_) | Solid::Frustum(_) => 1.0,
        };
        let step_mm = whole.length_mm() / count;
        let at = |i: usize| whole.span_mm.0 + step_mm * i as f64;
        match count as usize {
            1 => out.push(whole),
            count => out.extend((0..count).filter_map(|i| whole.between(at(i), at(i + 1)))),
        }
    }
    out
}

/// The tightest gap of the run to itself, if it is under [`OWN_GAP_MM`] or what it should be.
///
/// One that is wide enough and lies where the pipe just begins to count as apart says nothing: any tight bend has it.
pub(super) fn against_itself(subject: &Subject<'_>) -> Option<ClearanceReport> {
    let required_mm = subject.run.gap_mm;
    let near_mm = near_mm(subject.widest_mm(), required_mm);
    let stretches = stretches(subject, near_mm);
    let groups: Vec<Group<'_>> = stretches.chunks(GROUP).map(Group::new).collect();
    let mut search = OwnGapSearch { near_mm, required_mm, queue: BinaryHeap::new(), pushed: 0, best: None };
    let limit_mm = search.limit_mm();
    for (i, one) in groups.iter().enumerate() {
        for other in &groups[i..] {
            if boxes_apart_mm(one.bounds, other.bounds) < limit_mm {
                search.push_groups(one, other);
            }
        }
    }
    let best = search.run().filter(|best| !(best.at_border && best.gap.gap_mm >= required_mm))?;
    Some(entry(subject, "itself", Item::Run(subject.run.id), required_mm, best.of, &best.gap))
}

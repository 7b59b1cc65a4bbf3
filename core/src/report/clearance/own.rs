//! Gaps of a run to itself.

use super::subject::Subject;
use super::{ClearanceReport, LOOK_MM, boxes_apart_mm, entry};
use crate::fab::build::PlacedSolid;
use crate::geom::tolerance::OWN_GAP_MM;
use crate::model::Item;
use crate::space::{Gap, gap_between, solid_bounds};
use glam::DVec3;

/// Solids in one group.
const GROUP: usize = 16;

/// Neighbouring solids with the box round them.
struct Group<'a> {
    solids: &'a [PlacedSolid],
    boxes: Vec<(DVec3, DVec3)>,
    low: DVec3,
    high: DVec3,
}

impl<'a> Group<'a> {
    fn new(solids: &'a [PlacedSolid]) -> Self {
        let boxes: Vec<(DVec3, DVec3)> = solids.iter().map(|s| solid_bounds(&s.solid)).collect();
        let low = boxes.iter().map(|b| b.0).reduce(DVec3::min).unwrap_or_default();
        let high = boxes.iter().map(|b| b.1).reduce(DVec3::max).unwrap_or_default();
        Self { solids, boxes, low, high }
    }

    fn apart_mm(&self, other: &Self) -> f64 {
        boxes_apart_mm((self.low, self.high), (other.low, other.high))
    }

    /// The tightest gap under `limit_mm` between solids that are at least `near_mm` apart along the pipe.
    fn tightest(&self, other: &Self, near_mm: f64, mut limit_mm: f64) -> Option<(&'a PlacedSolid, Gap)> {
        let mut best = None;
        for (a, box_a) in self.solids.iter().zip(&self.boxes) {
            for (b, box_b) in other.solids.iter().zip(&other.boxes) {
                let neighbours = b.span_mm.0 - a.span_mm.1 < near_mm;
                if neighbours || boxes_apart_mm(*box_a, *box_b) >= limit_mm {
                    continue;
                }
                if let Some(gap) = gap_between(&a.solid, &b.solid, limit_mm) {
                    limit_mm = gap.gap_mm;
                    best = Some((a, gap));
                }
            }
        }
        best
    }
}

/// The tightest gap of the run to itself, if it is under [`OWN_GAP_MM`] or what it should be.
pub(super) fn against_itself(subject: &Subject<'_>) -> Option<ClearanceReport> {
    let required = subject.run.gap_mm;
    // along the pipe, parts within a quarter turn of a tight bend are neighbours, not obstacles
    let near = std::f64::consts::FRAC_PI_2 * 2.0 * subject.widest_mm() + required;
    let groups: Vec<Group<'_>> = subject.solids.chunks(GROUP).map(Group::new).collect();
    let mut pairs: Vec<(f64, usize, usize)> = (0..groups.len())
        .flat_map(|i| (i..groups.len()).map(move |j| (i, j)))
        .map(|(i, j)| (groups[i].apart_mm(&groups[j]), i, j))
        .filter(|(apart, ..)| *apart < LOOK_MM)
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(&PlacedSolid, Gap)> = None;
    for (apart, i, j) in pairs {
        let limit = best.as_ref().map_or(OWN_GAP_MM.max(required), |(_, g)| g.gap_mm);
        if apart >= limit {
            break;
        }
        let closer = groups[i].tightest(&groups[j], near, limit);
        best = closer.or(best);
    }
    let (nearest, gap) = best?;
    Some(entry(subject, "itself", Item::Run(subject.run.id), required, nearest, &gap))
}

//! The shape of an end that sits on another pipe or in a merge: no plane, a curve round the tube.

use super::limb::Edge;
use super::merge::Merge;
use super::saddle::Saddle;
use crate::geom::polyline::Place;
use crate::geom::search::{largest, smallest};
use std::f64::consts::TAU;
use std::sync::Arc;

/// Clocks at which the extremes of a merged end are looked for before closing in.
const CLOCKS: u32 = 360;

/// What an end is shaped to.
#[derive(Debug, Clone, PartialEq)]
pub enum Shaped {
    /// It sits on a header.
    Saddle(Arc<Saddle>),
    /// It is one of the arms of a merge; an outlet that is mitred counts after the arms.
    Merged {
        /// The merge.
        merge: Arc<Merge>,
        /// Which arm.
        arm: usize,
    },
}

/// An end that is shaped to another part, as places along the tube from the run's end point there, mm, positive into
/// the tube: what a square end at that point would lose at each clock.
#[derive(Debug, Clone, PartialEq)]
pub struct EndCurve {
    /// What it is shaped to.
    pub shaped: Shaped,
    /// Least and greatest place of the seat along the tube, mm.
    range_mm: (f64, f64),
}

impl EndCurve {
    /// The end of a branch.
    pub fn saddle(saddle: Arc<Saddle>) -> Self {
        let found = saddle.extremes(Edge::Seat);
        let range_mm = (found.longest.at_mm, found.shortest.at_mm);
        Self { shaped: Shaped::Saddle(saddle), range_mm }
    }

    /// The end of an arm of a merge.
    pub fn merged(merge: Arc<Merge>, arm: usize) -> Self {
        let at = |clock: f64| merge.kept(arm, Edge::Seat, clock).map_or(0.0, |kept| kept.from_mm);
        let range_mm = (smallest(at, 0.0, TAU, CLOCKS).1, largest(at, 0.0, TAU, CLOCKS).1);
        Self { shaped: Shaped::Merged { merge, arm }, range_mm }
    }

    /// Place of an edge along the tube at a clock of the run, mm.
    pub fn at_mm(&self, edge: Edge, clock_rad: f64) -> f64 {
        match &self.shaped {
            Shaped::Saddle(saddle) => saddle.met(edge, clock_rad).at_mm,
            Shaped::Merged { merge, arm } => {
                merge.kept(*arm, edge, clock_rad).map_or(0.0, |kept| kept.from_mm)
            }
        }
    }

    /// Holes that others leave in the wall further up at a clock of the run: from where to where along the tube, mm; the
    /// widest anywhere in the wall.
    pub fn gaps_mm(&self, clock_rad: f64) -> Vec<(f64, f64)> {
        let Shaped::Merged { merge, arm } = &self.shaped else { return Vec::new() };
        let edges = [Edge::Outside, Edge::Inside].into_iter();
        let kept = edges.filter_map(|edge| merge.kept(*arm, edge, clock_rad));
        kept.flat_map(|kept| kept.gaps).map(|gap| (gap.from_mm, gap.to_mm)).collect()
    }

    /// Least and greatest place of the seat along the tube, mm: what the longest and the shortest side lose.
    pub fn range_mm(&self) -> (f64, f64) {
        self.range_mm
    }

    /// The curve unrolled: across, the tube's outside radius times the clock; along, the place along the tube.
    pub fn unrolled(&self, edge: Edge, chord_mm: f64) -> Vec<Place> {
        match &self.shaped {
            Shaped::Saddle(saddle) => saddle.unrolled(edge, chord_mm),
            Shaped::Merged { merge, arm } => merge.unrolled(*arm, edge, chord_mm),
        }
    }
}

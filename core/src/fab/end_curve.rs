//! The shape of an end that sits on another pipe or in a merge: no plane, a curve round the tube.

use super::limb::Edge;
use super::merge::Merge;
use super::rim::Rim;
use super::saddle::{Bite, Saddle};
use crate::geom::polyline::Place;
use crate::geom::search::both_from;
use std::f64::consts::TAU;
use std::sync::{Arc, OnceLock};

/// Clocks at which the extremes of a merged end are looked for before closing in.
pub const CLOCKS: u32 = 360;

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
#[derive(Debug, Clone)]
pub struct EndCurve {
    /// What it is shaped to.
    pub shaped: Shaped,
    /// What of its wall lies in the bores of branches that were put on beside it.
    bites: Vec<Bite>,
    /// Least and greatest place of the seat along the tube, mm.
    range_mm: (f64, f64),
    /// The seat at [`CLOCKS`] + 1 even clocks once round, worked out when it is first asked for.
    sampled_mm: OnceLock<Vec<f64>>,
}

impl PartialEq for EndCurve {
    fn eq(&self, other: &Self) -> bool {
        // what is sampled follows from what it is shaped to
        self.range_mm == other.range_mm && self.shaped == other.shaped && self.bites == other.bites
    }
}

impl EndCurve {
    /// The end of a branch.
    pub fn saddle(saddle: Arc<Saddle>) -> Self {
        let found = saddle.extremes(Edge::Seat);
        let range_mm = (found.longest.at_mm, found.shortest.at_mm);
        let shaped = Shaped::Saddle(saddle);
        Self { shaped, bites: Vec::new(), range_mm, sampled_mm: OnceLock::new() }
    }

    /// The same with a notch where its wall lies in the bore of a branch that was put on beside it.
    #[must_use]
    pub fn bitten(&self, bite: Bite) -> Self {
        let bites = self.bites.iter().cloned().chain([bite]).collect();
        Self { bites, ..self.clone() }
    }

    /// What branches beside it take out of the wall of a branch along an edge: closed lines of clock and place along the
    /// tube, mm.
    pub fn bitten_out(&self, edge: Edge) -> Vec<Vec<(f64, f64)>> {
        let Shaped::Saddle(saddle) = &self.shaped else { return Vec::new() };
        let all = self.bites.iter().map(|bite| bite.outline(saddle.branch(), edge));
        all.filter(|line| line.len() > 2).collect()
    }

    /// The end of an arm of a merge.
    pub fn merged(merge: Arc<Merge>, arm: usize) -> Self {
        let at = |clock: f64| merge.begins_mm(arm, Edge::Seat, clock).unwrap_or(0.0);
        let sampled: Vec<f64> = (0..=CLOCKS).map(|i| at(TAU * f64::from(i) / f64::from(CLOCKS))).collect();
        let (least, most) = both_from(&sampled, at, 0.0, TAU);
        let shaped = Shaped::Merged { merge, arm };
        let range_mm = (least.1, most.1);
        Self { shaped, bites: Vec::new(), range_mm, sampled_mm: OnceLock::from(sampled) }
    }

    /// Place of an edge along the tube at a clock of the run, mm.
    pub fn at_mm(&self, edge: Edge, clock_rad: f64) -> f64 {
        match &self.shaped {
            Shaped::Saddle(saddle) => saddle.met(edge, clock_rad).at_mm,
            Shaped::Merged { merge, arm } => merge.begins_mm(*arm, edge, clock_rad).unwrap_or(0.0),
        }
    }

    /// The seat at [`CLOCKS`] + 1 even clocks of the run, from 0 to a full turn, mm.
    pub fn sampled_mm(&self) -> &[f64] {
        let at = |i: u32| self.at_mm(Edge::Seat, TAU * f64::from(i) / f64::from(CLOCKS));
        self.sampled_mm.get_or_init(|| (0..=CLOCKS).map(at).collect())
    }

    /// Holes that others leave in the wall further up at a clock of the run: from where to where along the tube, mm; the
    /// widest anywhere in the wall.
    pub fn gaps_mm(&self, clock_rad: f64) -> Vec<(f64, f64)> {
        let edges = [Edge::Outside, Edge::Inside].into_iter();
        let (merge, arm) = match &self.shaped {
            Shaped::Merged { merge, arm } => (merge, arm),
            Shaped::Saddle(saddle) => {
                let limb = saddle.branch();
                let walls = [limb.radius_mm, limb.bore_mm()].into_iter();
                let in_wall = |mm: f64| self.bites.iter().filter_map(move |b| b.at_mm(limb, mm, clock_rad));
                return walls.flat_map(in_wall).collect();
            }
        };
        let kept = edges.filter_map(|edge| merge.kept(*arm, edge, clock_rad));
        kept.flat_map(|kept| kept.gaps).map(|gap| (gap.from_mm, gap.to_mm)).collect()
    }

    /// The whole cut along an edge, on the tube's outside `radius_mm` from its axis, in chords that leave it by `chord_mm`
    /// at most.
    pub fn rim(&self, edge: Edge, radius_mm: f64, chord_mm: f64) -> Rim {
        match &self.shaped {
            Shaped::Saddle(saddle) => {
                Rim::new(&saddle.unrolled(edge, chord_mm), &self.bitten_out(edge), radius_mm)
            }
            Shaped::Merged { merge, arm } => {
                let feet = merge.feet(*arm, edge, chord_mm);
                Rim::new(&merge.end_line(*arm, edge, chord_mm), &feet, radius_mm)
            }
        }
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

//! The merge itself: which cuts each arm has, and what is kept of each line along it.

use super::super::limb::Limb;
use super::meeting::{Cut, Meeting, cuts, meeting};
use super::outlet::{Outlet, Outline};
use crate::finding::MergeError;
use crate::geom::search::smallest;
use crate::geom::tolerance::COINCIDENT_MM;
use glam::DVec3;
use std::f64::consts::TAU;

/// Clocks at which arms that are no neighbours are tried against each other.
const CLOCKS: u32 = 180;
/// Arms that are no neighbours may lie in each other by this much, mm: what a hammer sets right (common practice, no
/// source).
const OVERLAP_MM: f64 = 0.5;

/// Which arms are welded to each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Neighbours {
    /// Each to each: all axes meet.
    All,
    /// These pairs; their axes meet two at a time.
    Pairs(Vec<[usize; 2]>),
}

/// What an arm is cut against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Other {
    /// Another arm, or the outlet where that is mitred: it counts after the arms.
    Arm(usize),
    /// The outlet plane.
    Outlet,
}

/// A part of a line along an arm that is lost inside a smaller arm, with wall left on both sides of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Where it begins, mm along the arm.
    pub from_mm: f64,
    /// Where it ends, mm.
    pub to_mm: f64,
    /// The smaller arm.
    pub arm: usize,
}

/// What is kept of a line along an arm.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// Where it begins, mm along the arm from its frame's origin, up the tube.
    pub from_mm: f64,
    /// How `from_mm` grows with the arm's clock, mm a radian; on the side of growing clock at a kink.
    pub slope_mm: f64,
    /// What it is cut against there.
    pub other: Other,
    /// What is lost of it further up, rising; hardly ever anything.
    pub gaps: Vec<Gap>,
    /// Distance from the arm's axis of the line, mm.
    pub radius_mm: f64,
}

/// Tubes that merge.
#[derive(Debug, Clone, PartialEq)]
pub struct Merge {
    pub(super) arms: Vec<Limb>,
    meetings: Vec<Meeting>,
    pub(super) cuts: Vec<Vec<(Other, Cut)>>,
    /// The planes that end each arm.
    pub(super) ends: Vec<Vec<Cut>>,
    outlet: Outlet,
    outline: Option<Outline>,
    /// For each arm, the larger one that it sits on the side of, if it does.
    pub(super) sides: Vec<Option<usize>>,
}

impl Merge {
    /// Works out how the arms are trimmed, or says why they do not merge.
    ///
    /// Each arm goes up the flow from the merge. An outlet that is a [`Outlet::Tube`] goes down the flow from it and
    /// becomes the last arm, a neighbour of all.
    pub fn new(mut arms: Vec<Limb>, neighbours: &Neighbours, outlet: Outlet) -> Result<Self, MergeError> {
        if arms.len() < 2 {
            return Err(MergeError::TooFew { arms: arms.len() });
        }
        for (arm, limb) in arms.iter().enumerate() {
            limb.check().map_err(|error| MergeError::Arm { arm, error })?;
        }
        let mut pairs = pairs(arms.len(), neighbours)?;
        if let Outlet::Tube(tube) = &outlet {
            tube.check().map_err(MergeError::Outlet)?;
            let (radius_mm, arm_mm) = (tube.radius_mm, arms.iter().map(|a| a.radius_mm).fold(0.0, f64::max));
            if (radius_mm - arm_mm).abs() > COINCIDENT_MM {
                return Err(MergeError::OutletSize { radius_mm, arm_mm });
            }
            pairs.extend((0..arms.len()).map(|arm| [arm, arms.len()]));
            arms.push(*tube);
        }
        let meetings: Vec<Meeting> =
            pairs.iter().map(|[a, b]| meeting(&arms, *a, *b)).collect::<Result<_, _>>()?;
        let mut all: Vec<Vec<(Other, Cut)>> = vec![Vec::new(); arms.len()];
        for at in &meetings {
            let [a, b] = at.arms;
            if let Some([first, second]) = cuts(&arms, at) {
                all[a].push((Other::Arm(b), first));
                all[b].push((Other::Arm(a), second));
            }
        }
        let sides = vec![None; arms.len()];
        let mut merge = Self { arms, meetings, cuts: all, ends: Vec::new(), outlet, outline: None, sides };
        merge.set_outlet()?;
        let planes = |cuts: &Vec<(Other, Cut)>| {
            let planes = cuts.iter().map(|(_, cut)| *cut).filter(|cut| matches!(cut, Cut::Plane { .. }));
            planes.collect()
        };
        merge.ends = merge.cuts.iter().map(planes).collect();
        merge.check_strangers()?;
        merge.check_seams()?;
        merge.set_sides();
        Ok(merge)
    }

    fn set_outlet(&mut self) -> Result<(), MergeError> {
        let Outlet::Plane(plane) = self.outlet else { return Ok(()) };
        plane.check()?;
        plane.check_arms(&self.arms)?;
        let station = |at: DVec3| (at - plane.frame.origin).dot(plane.frame.travel);
        let met_mm = self.meetings.iter().map(|m| station(m.point)).fold(f64::INFINITY, f64::min);
        let crotch = |m: &Meeting| {
            let along = |clock: f64| self.seam_point(m, clock).map_or(f64::INFINITY, station);
            (smallest(along, 0.0, TAU, 2 * CLOCKS).1, m.arms)
        };
        let touch = joined(self.arms.len(), self.meetings.iter().map(crotch).collect());
        let at = plane.station_mm(&self.arms, touch, met_mm)?;
        let cut = Cut::Plane { point: plane.frame.forward(at).origin, normal: -plane.frame.travel };
        for cuts in &mut self.cuts {
            cuts.push((Other::Outlet, cut));
        }
        self.outline = Some(plane.outline(&self.arms, at));
        Ok(())
    }

    /// The arm of a pair that its seam is measured on: the smaller one, or the first.
    pub(super) fn measured_on(&self, at: &Meeting) -> (usize, usize) {
        let [a, b] = at.arms;
        if self.arms[b].radius_mm < self.arms[a].radius_mm - COINCIDENT_MM { (b, a) } else { (a, b) }
    }

    /// Point of the whole seam of a pair, as if nothing else cut it.
    fn seam_point(&self, at: &Meeting, clock_rad: f64) -> Option<DVec3> {
        let (arm, other) = self.measured_on(at);
        let line = self.arms[arm].generator(self.arms[arm].radius_mm, clock_rad);
        let cut = self.cuts[arm].iter().find(|(o, _)| *o == Other::Arm(other))?;
        Some(line.point(cut.1.takes(&line, 0.0)?.1))
    }

    /// Arms that are no neighbours must not run into each other.
    fn check_strangers(&self) -> Result<(), MergeError> {
        let known = |a: usize, b: usize| self.meetings.iter().any(|m| m.arms == [a, b] || m.arms == [b, a]);
        for first in 0..self.arms.len() {
            for second in (0..self.arms.len()).filter(|b| *b != first && !known(first, *b)) {
                if self.runs_into(first, second) {
                    return Err(MergeError::Overlap { first: first.min(second), second: first.max(second) });
                }
            }
        }
        Ok(())
    }

    fn runs_into(&self, first: usize, second: usize) -> bool {
        let (limb, other) = (&self.arms[first], &self.arms[second]);
        let reach = other.radius_mm - OVERLAP_MM;
        (0..CLOCKS).any(|i| {
            let clock = TAU * f64::from(i) / f64::from(CLOCKS);
            let line = limb.generator(limb.radius_mm, clock);
            let from = self.kept_at(first, limb.radius_mm, clock).from_mm;
            // the deepest place in the other arm, or the end where it lies beyond that
            let across = line.along - other.away() * line.along.dot(other.away());
            let off = line.origin - other.frame.origin;
            let deepest = -off.dot(across) / across.length_squared().max(1e-18);
            let point = line.point(if deepest.is_finite() { deepest.max(from) } else { from });
            let past = point - other.frame.origin;
            let past = past - other.away() * past.dot(other.away());
            past.length() < reach && !self.cuts[second].iter().any(|(_, cut)| cut.loses(point))
        })
    }

    /// All arms; the last one is the outlet where that is mitred.
    pub fn arms(&self) -> &[Limb] {
        &self.arms
    }

    /// Where the axes meet, in the order of the neighbours.
    pub fn meetings(&self) -> &[Meeting] {
        &self.meetings
    }

    /// The outlet.
    pub fn outlet(&self) -> &Outlet {
        &self.outlet
    }

    /// The lobes in the outlet plane; `None` for an outlet that is mitred.
    pub fn outline(&self) -> Option<&Outline> {
        self.outline.as_ref()
    }
}

/// The pairs of neighbours, each once and sorted.
fn pairs(arms: usize, neighbours: &Neighbours) -> Result<Vec<[usize; 2]>, MergeError> {
    let mut pairs: Vec<[usize; 2]> = match neighbours {
        Neighbours::All => (0..arms).flat_map(|a| (a + 1..arms).map(move |b| [a, b])).collect(),
        Neighbours::Pairs(given) => given.iter().map(|[a, b]| [*a.min(b), *a.max(b)]).collect(),
    };
    pairs.sort_unstable();
    pairs.dedup();
    if let Some([first, second]) = pairs.iter().find(|[a, b]| a == b || *b >= arms) {
        return Err(MergeError::NoSuchPair { first: *first, second: *second });
    }
    match (0..arms).find(|arm| !pairs.iter().any(|pair| pair.contains(arm))) {
        Some(arm) => Err(MergeError::Alone { arm }),
        None => Ok(pairs),
    }
}

/// From where on the arms hang together, each touching one that is joined already: the station, and the pair that is last to
/// touch. Each entry is where a pair touches. Arms across from each other need not touch: they leave a hole between them.
fn joined(arms: usize, mut pairs: Vec<(f64, [usize; 2])>) -> (f64, [usize; 2]) {
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut group: Vec<usize> = (0..arms).collect();
    let mut last = (f64::NEG_INFINITY, [0, 0]);
    for (station, [a, b]) in pairs {
        let (keep, drop) = (group[a], group[b]);
        if keep != drop {
            group.iter_mut().filter(|g| **g == drop).for_each(|g| *g = keep);
            last = (station, [a, b]);
        }
    }
    last
}

//! The merge itself: which cuts each arm has, and what is kept of each line along it.

use super::super::limb::{Edge, Limb, Line};
use super::super::saddle::LEAST_ANGLE_RAD;
use super::meeting::{Cut, Meeting, cuts, meeting};
use super::outlet::{Outlet, Outline};
use crate::finding::MergeError;
use crate::geom::search::{largest, smallest};
use crate::geom::tolerance::COINCIDENT_MM;
use crate::geom::vector::angle_between;
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Places in the wall at which the seat is looked for before closing in.
const IN_WALL: u32 = 8;
/// This part of the wall beside a skin it is looked whether the cut falls off from there.
const BESIDE: f64 = 1e-4;
/// Clocks at which arms that are no neighbours are tried against each other.
const CLOCKS: u32 = 180;
/// Arms that are no neighbours may lie in each other by this much, mm: what a hammer sets right (common practice, no
/// source).
const OVERLAP_MM: f64 = 0.5;
/// A foot may reach over the edge of the wall it sits on by this much, mm: what a weld hides (common practice, no source).
const ON_EDGE_MM: f64 = 0.1;
/// Step of a clock where a slope is taken from two places, rad.
const SLOPE_STEP_RAD: f64 = 1e-6;

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
    arms: Vec<Limb>,
    meetings: Vec<Meeting>,
    cuts: Vec<Vec<(Other, Cut)>>,
    /// The planes that end each arm.
    ends: Vec<Vec<Cut>>,
    outlet: Outlet,
    outline: Option<Outline>,
    /// For each arm, the larger one that it sits on the side of, if it does.
    sides: Vec<Option<usize>>,
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

    /// Finds the arms that sit whole on the side of a larger one, as a branch does: that one gets a hole of its own, and is
    /// not cut for it at its end.
    fn set_sides(&mut self) {
        self.sides = (0..self.arms.len()).map(|arm| self.on_side_of(arm)).collect();
        for (arm, on) in self.sides.iter().enumerate() {
            if let Some(on) = on {
                self.cuts[*on].retain(|(against, _)| *against != Other::Arm(arm));
            }
        }
    }

    /// The larger arm on whose side an arm sits whole, if there is one.
    fn on_side_of(&self, arm: usize) -> Option<usize> {
        let limb = &self.arms[arm];
        let clock = |i: u32| TAU * f64::from(i) / f64::from(CLOCKS);
        let foot: Vec<(Other, DVec3)> = (0..CLOCKS)
            .map(|i| {
                let kept = self.taken(arm, limb.radius_mm, clock(i)).0;
                (kept.other, limb.generator(limb.radius_mm, clock(i)).point(kept.from_mm))
            })
            .collect();
        let Some((Other::Arm(on), _)) = foot.first().copied() else { return None };
        let header = self.arms.get(on).filter(|h| h.radius_mm > limb.radius_mm + COINCIDENT_MM)?;
        // flatter than that no saddle is cut
        let angle_rad = angle_between(header.away(), limb.away());
        if angle_rad.min(PI - angle_rad) < LEAST_ANGLE_RAD {
            return None;
        }
        let on_wall = |(other, point): &(Other, DVec3)| {
            let from = *point - header.frame.origin;
            let up_mm = from.dot(header.away());
            let line = header.generator(header.radius_mm, header.frame.clock_of(from));
            // what else it is cut by there, its own bite left out
            let others = self.cuts[on].iter().filter(|(against, _)| *against != Other::Arm(arm));
            let lost =
                others.filter_map(|(_, cut)| Some((cut, cut.takes(&line, 0.0)?))).any(|(cut, taken)| {
                    let from_mm = if cut.bites() { taken.0 } else { f64::NEG_INFINITY };
                    up_mm > from_mm && up_mm < taken.1 - ON_EDGE_MM
                });
            *other == Other::Arm(on) && !lost
        };
        foot.iter().all(on_wall).then_some(on)
    }

    /// The larger arm on whose side an arm sits as a branch does; `None` for one that comes into its end.
    pub fn side(&self, arm: usize) -> Option<usize> {
        self.sides.get(arm).copied().flatten()
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

    /// What is kept of the line of arm `arm` at clock `clock_rad`; `None` where there is no such arm.
    pub fn kept(&self, arm: usize, edge: Edge, clock_rad: f64) -> Option<Kept> {
        let (kept, cut) = self.line(arm, edge, clock_rad)?;
        let next = || self.line(arm, edge, clock_rad + SLOPE_STEP_RAD).map(|(k, _)| k.from_mm);
        Some(self.sloped(arm, clock_rad, (kept, cut), next))
    }

    /// Where that line begins, mm along the arm: [`Kept::from_mm`] alone.
    pub fn begins_mm(&self, arm: usize, edge: Edge, clock_rad: f64) -> Option<f64> {
        self.line(arm, edge, clock_rad).map(|(kept, _)| kept.from_mm)
    }

    /// What is kept of the line of an edge, without its slope; with what it is cut by.
    ///
    /// The seat is the furthest in the wall of what ends the arm. What a smaller arm takes beside that end is furthest at
    /// the outside: two round tubes make a corner that points inwards.
    pub(super) fn line(&self, arm: usize, edge: Edge, clock_rad: f64) -> Option<(Kept, Option<Cut>)> {
        let limb = self.arms.get(arm)?;
        match edge {
            Edge::Outside => Some(self.taken(arm, limb.radius_mm, clock_rad)),
            Edge::Inside => Some(self.taken(arm, limb.bore_mm(), clock_rad)),
            Edge::Seat => {
                let ended = self.ended(arm, self.seat_radius_mm(limb, arm, clock_rad), clock_rad);
                Some(joined_to(ended, self.bitten(arm, limb.radius_mm, clock_rad), limb.radius_mm))
            }
        }
    }

    /// Where an edge of an arm begins by what ends the arm alone, mm along it, and what that is.
    pub(super) fn end(&self, arm: usize, edge: Edge, clock_rad: f64) -> Option<(f64, Other)> {
        let limb = self.arms.get(arm)?;
        let radius_mm = match edge {
            Edge::Outside => limb.radius_mm,
            Edge::Inside => limb.bore_mm(),
            Edge::Seat => self.seat_radius_mm(limb, arm, clock_rad),
        };
        let (kept, _) = self.ended(arm, radius_mm, clock_rad);
        Some((kept.from_mm, kept.other))
    }

    /// Distance from an arm's axis at which its end reaches furthest up it at a clock, mm.
    fn seat_radius_mm(&self, limb: &Limb, arm: usize, clock_rad: f64) -> f64 {
        let from = |mm: f64| self.ended(arm, mm, clock_rad).0.from_mm;
        // nearly always it is one of the skins: that is so where it falls off right beside it
        let (bore_mm, skin_mm) = (limb.bore_mm(), limb.radius_mm);
        let at = |part: f64| from(bore_mm + (skin_mm - bore_mm) * part);
        let places = (0..=IN_WALL).map(|i| at(f64::from(i) / f64::from(IN_WALL)));
        let most = places.fold(f64::NEG_INFINITY, f64::max);
        if from(skin_mm) >= most && at(1.0 - BESIDE) <= from(skin_mm) {
            skin_mm
        } else if from(bore_mm) >= most && at(BESIDE) <= from(bore_mm) {
            bore_mm
        } else {
            largest(from, bore_mm, skin_mm, IN_WALL).0
        }
    }

    /// What is kept of a line `radius_mm` from an arm's axis.
    pub(super) fn kept_at(&self, arm: usize, radius_mm: f64, clock_rad: f64) -> Kept {
        let next = || Some(self.taken(arm, radius_mm, clock_rad + SLOPE_STEP_RAD).0.from_mm);
        self.sloped(arm, clock_rad, self.taken(arm, radius_mm, clock_rad), next)
    }

    /// With its slope: by the normal of what cuts it, else from the place `next` to it.
    fn sloped(
        &self,
        arm: usize,
        clock_rad: f64,
        (mut kept, cut): (Kept, Option<Cut>),
        next: impl Fn() -> Option<f64>,
    ) -> Kept {
        let limb = &self.arms[arm];
        let at = limb.generator(kept.radius_mm, clock_rad).point(kept.from_mm);
        let normal = cut.map(|cut| cut.normal(at).normalize_or_zero());
        let slope = normal.and_then(|normal| limb.slope(kept.radius_mm, clock_rad, normal));
        let stepped = || next().map_or(0.0, |mm| (mm - kept.from_mm) / SLOPE_STEP_RAD);
        kept.slope_mm = slope.unwrap_or_else(stepped);
        kept
    }

    /// Whether a smaller arm may take wall out of an arm.
    pub(super) fn is_bitten(&self, arm: usize, smaller: usize) -> bool {
        let by = |(against, cut): &(Other, Cut)| *against == Other::Arm(smaller) && cut.bites();
        self.cuts.get(arm).is_some_and(|cuts| cuts.iter().any(by))
    }

    fn taken(&self, arm: usize, radius_mm: f64, clock_rad: f64) -> (Kept, Option<Cut>) {
        let ended = self.ended(arm, radius_mm, clock_rad);
        joined_to(ended, self.bitten(arm, radius_mm, clock_rad), radius_mm)
    }

    /// Where a line along an arm, `radius_mm` from its axis, begins by what ends the arm; with what that is.
    fn ended(&self, arm: usize, radius_mm: f64, clock_rad: f64) -> (Kept, Option<Cut>) {
        let limb = &self.arms[arm];
        let line = limb.generator(radius_mm, clock_rad);
        let depth_mm = limb.radius_mm - radius_mm;
        let cuts = self.cuts[arm].iter().filter(|(_, cut)| !cut.bites());
        let ends = cuts.filter_map(|(against, cut)| {
            Some((self.takes(*against, *cut, &line, depth_mm)?.1, *against, *cut))
        });
        let last = |a: &(f64, Other, Cut), b: &(f64, Other, Cut)| a.0.total_cmp(&b.0);
        // the skin of a larger tube ends a line only where that tube is left; else what it would have ended it at is gone
        let is_left =
            |(to, against, cut): &(f64, Other, Cut)| self.is_left(*against, *cut, line.point(*to), depth_mm);
        let furthest = ends.clone().max_by(last);
        let there = if furthest.as_ref().is_none_or(is_left) {
            furthest
        } else {
            ends.filter(is_left).max_by(last).or(furthest)
        };
        let (from_mm, other, by) = there
            .map_or((f64::NEG_INFINITY, Other::Outlet, None), |(to, against, cut)| (to, against, Some(cut)));
        (Kept { from_mm, slope_mm: 0.0, other, gaps: Vec::new(), radius_mm }, by)
    }

    /// Whether what cuts a line at a point is still there after its own cuts: a plane is always.
    fn is_left(&self, against: Other, cut: Cut, point: DVec3, depth_mm: f64) -> bool {
        let (Cut::OutOf { .. }, Other::Arm(of)) = (cut, against) else { return true };
        let Some(limb) = self.arms.get(of) else { return true };
        let from = point - limb.frame.origin;
        // only larger tubes cut it, so this comes to an end
        let (kept, _) = self.ended(of, limb.radius_mm - depth_mm, limb.frame.clock_of(from));
        from.dot(limb.away()) >= kept.from_mm - COINCIDENT_MM
    }

    /// The parts of such a line that smaller arms take, rising.
    fn bitten(&self, arm: usize, radius_mm: f64, clock_rad: f64) -> Vec<(f64, f64, Other, Cut)> {
        let limb = &self.arms[arm];
        let line = limb.generator(radius_mm, clock_rad);
        let bites = self.cuts[arm].iter().filter(|(_, cut)| cut.bites());
        let taken = bites.filter_map(|(against, cut)| {
            let (from, to) = self.takes(*against, *cut, &line, limb.radius_mm - radius_mm)?;
            Some((from, to, *against, *cut))
        });
        let mut out: Vec<(f64, f64, Other, Cut)> = taken.collect();
        out.sort_by(|a, b| a.0.total_cmp(&b.0));
        out
    }

    /// The part of a line that a cut takes, where what cuts is there to do so.
    fn takes(&self, against: Other, cut: Cut, line: &Line, depth_mm: f64) -> Option<(f64, f64)> {
        let taken = cut.takes(line, depth_mm)?;
        match (cut, against) {
            (Cut::Plane { .. }, _) | (_, Other::Outlet) => Some(taken),
            (Cut::OutOf { .. } | Cut::Bitten { .. }, Other::Arm(of)) => {
                Cut::where_it_is(line, taken, self.ends.get(of).map_or(&[][..], Vec::as_slice))
            }
        }
    }
}

/// A line with the parts that smaller arms take of it: what runs into its end is lost with that, the rest are gaps.
fn joined_to(
    (mut kept, mut by): (Kept, Option<Cut>),
    bites: Vec<(f64, f64, Other, Cut)>,
    bite_mm: f64,
) -> (Kept, Option<Cut>) {
    for (from, to, against, cut) in bites {
        let Other::Arm(smaller) = against else { continue };
        let lost_to = kept.gaps.last().map_or(kept.from_mm, |gap| gap.to_mm);
        if to <= lost_to {
            continue;
        }
        if from <= kept.from_mm {
            (kept.from_mm, kept.other, kept.radius_mm, by) = (to, against, bite_mm, Some(cut));
        } else {
            kept.gaps.push(Gap { from_mm: from.max(lost_to), to_mm: to, arm: smaller });
        }
    }
    (kept, by)
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

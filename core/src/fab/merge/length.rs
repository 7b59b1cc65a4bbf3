//! Lengths to weld in a merge, its areas, and the curves as they are drawn.

use super::super::limb::Edge;
use super::super::saddle::{Extremes, Spot};
use super::feet::clocks_of_changes;
use super::kept::{Merge, Other};
use super::meeting::Meeting;
use super::outlet::Outlet;
use crate::finding::MergeError;
use crate::geom::polyline::{Place, draw};
use crate::geom::quadrature::{Integral, integrate};
use crate::geom::search::both;
use crate::geom::tolerance::COINCIDENT_MM;
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Clocks at which changes from one cut to another are looked for: what is shorter than half a degree may be missed.
const CLOCKS: u32 = 720;
/// Lengths are worked out to within this, mm.
const LENGTH_MM: f64 = 1e-5;
/// A seam may come out this different on its two arms, mm.
const SAME_SEAM_MM: f64 = 0.1;
/// And by this many times as much as the axes pass each other.
const APART_SHOWS: f64 = 10.0;
/// Fewest steps between two changes of a drawn curve.
const LEAST_STEPS: u32 = 12;

/// The seam of two arms.
#[derive(Debug, Clone, PartialEq)]
pub struct Seam {
    /// The arms.
    pub arms: [usize; 2],
    /// Its length on the outside, mm, and what that may be off by; 0 where other cuts take all of it.
    pub length: Integral,
    /// The seam in space, one line for each part of it, in steps of about a degree.
    pub lines: Vec<Vec<DVec3>>,
}

/// Bores of a merge, mm².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Areas {
    /// Of all arms together.
    pub arms_mm2: f64,
    /// Of the outlet, or of the mouth of its cone.
    pub outlet_mm2: f64,
}

impl Areas {
    /// Outlet over arms.
    pub fn ratio(&self) -> f64 {
        self.outlet_mm2 / self.arms_mm2
    }
}

impl Merge {
    /// Clocks of an arm at which an edge of it goes over from one cut to another, rising in [0, 2π).
    fn changes(&self, arm: usize, edge: Edge) -> Vec<f64> {
        let other = |clock: f64| self.line(arm, edge, clock).map(|(kept, _)| kept.other);
        clocks_of_changes(other)
    }

    /// Stretches of an arm's clock in which its outside is cut against `other`.
    fn stretches(&self, arm: usize, other: Other) -> Vec<(f64, f64)> {
        let changes = self.changes(arm, Edge::Outside);
        let all: Vec<(f64, f64)> = match changes.as_slice() {
            [] => vec![(0.0, TAU)],
            [first, ..] => {
                let ends = changes.iter().skip(1).copied().chain([first + TAU]);
                changes.iter().copied().zip(ends).collect()
            }
        };
        let radius_mm = self.arms()[arm].radius_mm;
        all.into_iter().filter(|(a, b)| self.kept_at(arm, radius_mm, a.midpoint(*b)).other == other).collect()
    }

    fn along(&self, arm: usize, stretches: &[(f64, f64)]) -> Integral {
        let radius_mm = self.arms()[arm].radius_mm;
        let speed = |clock: f64| radius_mm.hypot(self.kept_at(arm, radius_mm, clock).slope_mm);
        stretches.iter().fold(Integral { value: 0.0, error: 0.0 }, |sum, (from, to)| {
            let part = integrate(speed, &[*from, from.midpoint(*to), *to], LENGTH_MM);
            Integral { value: sum.value + part.value, error: sum.error + part.error }
        })
    }

    pub(super) fn check_seams(&self) -> Result<(), MergeError> {
        for at in self.meetings() {
            let [first, second] = at.arms;
            if (self.arms()[first].radius_mm - self.arms()[second].radius_mm).abs() > COINCIDENT_MM {
                continue;
            }
            let on = |arm, other| self.along(arm, &self.stretches(arm, Other::Arm(other))).value;
            let (first_mm, second_mm) = (on(first, second), on(second, first));
            if (first_mm - second_mm).abs() > SAME_SEAM_MM + APART_SHOWS * at.apart_mm {
                return Err(MergeError::SeamsDisagree { first, second, first_mm, second_mm });
            }
        }
        Ok(())
    }

    fn seam(&self, at: &Meeting) -> Seam {
        let (arm, other) = self.measured_on(at);
        let stretches = self.stretches(arm, Other::Arm(other));
        let limb = self.arms()[arm];
        let point = |clock: f64| {
            limb.generator(limb.radius_mm, clock).point(self.kept_at(arm, limb.radius_mm, clock).from_mm)
        };
        let line = |(from, to): &(f64, f64)| {
            let steps = ((to - from).to_degrees().ceil() as u32).max(1);
            (0..=steps).map(|i| point(from + (to - from) * f64::from(i) / f64::from(steps))).collect()
        };
        Seam {
            arms: at.arms,
            length: self.along(arm, &stretches),
            lines: stretches.iter().map(line).collect(),
        }
    }

    /// The seams of all neighbours, in the order of [`Merge::meetings`].
    pub fn seams(&self) -> Vec<Seam> {
        self.meetings().iter().map(|at| self.seam(at)).collect()
    }

    /// Length of the edge of an arm in the outlet plane on its outside, mm, and what it may be off by; 0 where the outlet
    /// is mitred (its seams are among [`Merge::seams`]) and where there is no such arm.
    pub fn outlet_edge(&self, arm: usize) -> Integral {
        if arm < self.arms().len() {
            self.along(arm, &self.stretches(arm, Other::Outlet))
        } else {
            Integral { value: 0.0, error: 0.0 }
        }
    }

    /// Bore areas of arms and outlet.
    pub fn areas(&self) -> Areas {
        let round = |bore: f64| PI * bore * bore;
        let (tubes, outlet) = match self.outlet() {
            Outlet::Plane(plane) => (self.arms(), plane.radius_mm - plane.wall_mm),
            Outlet::Tube(tube) => {
                (self.arms().split_last().map_or(&[][..], |(_, arms)| arms), tube.bore_mm())
            }
        };
        let arms_mm2 = tubes.iter().map(|limb| round(limb.bore_mm())).sum();
        Areas { arms_mm2, outlet_mm2: round(outlet) }
    }

    /// Longest and shortest line along an arm; `None` where there is no such arm.
    pub fn extremes(&self, arm: usize, edge: Edge) -> Option<Extremes> {
        self.arms().get(arm)?;
        let at = |clock: f64| self.begins_mm(arm, edge, clock).unwrap_or(0.0);
        let spot = |(clock, at_mm): (f64, f64)| Spot { clock_rad: clock.rem_euclid(TAU), at_mm };
        let (least, most) = both(at, 0.0, TAU, CLOCKS);
        Some(Extremes { longest: spot(least), shortest: spot(most) })
    }

    /// Where an arm is cut, unrolled once round from clock 0, `x` round its outside and `y` along it, in chords that leave
    /// it by `chord_mm` at most. Empty where there is no such arm. It jumps where what a smaller arm
    /// takes runs into the end; horns and holes beside that are not in it: [`crate::fab::rim`].
    pub fn unrolled(&self, arm: usize, edge: Edge, chord_mm: f64) -> Vec<Place> {
        let Some(limb) = self.arms().get(arm) else { return Vec::new() };
        let mut breaks = self.changes(arm, edge);
        breaks.extend([0.0, PI, TAU]);
        breaks.sort_by(f64::total_cmp);
        breaks.dedup_by(|b, a| *b - *a < 1e-12);
        let at =
            |clock: f64| (limb.radius_mm * clock, self.kept(arm, edge, clock).map_or(0.0, |k| k.from_mm));
        draw(at, &breaks, LEAST_STEPS, chord_mm)
    }
}

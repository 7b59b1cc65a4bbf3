//! The tightest gap over all positions that two bodies which move can take against each other.
//!
//! A point x of a body that moves is at R(φ)·x + t: turned by φ about the line it rolls about, and then shifted by t
//! within a box. What counts between two bodies A and B is only how they lie to each other: `R_A(φ_A)·x + s` against
//! `R_B(φ_B)·y`, with s in the box of both shifts together.
//!
//! For given rolls the least gap over all shifts is the gap to the Minkowski sum of the one with that box. It costs
//! no more than a gap at one position, because the sum's furthest point along a direction is the sum of the furthest
//! points. For a range of rolls there is a number which the gap can not fall below (see `bound`). A best-first search
//! halves ranges of rolls and hulls of solids, whichever leaves more open, until nothing can be tighter than the
//! tightest position seen by more than [`WITHIN_MM`]. Bends and holes are cut finer as everywhere here, so that
//! their hulls add nothing to what it is off.
//!
//! The gap told is measured at a real position, the way gaps at rest are. Once an overlap is found nothing tighter
//! is looked for: how deep it is told is an estimate.

mod bound;
mod item;
mod pieces;
mod place;
mod search;
mod settle;
#[cfg(test)]
mod tests;
mod turn;
mod words;

pub use place::{End, Moved, Position};

use super::body::Body;
use super::gap::{Gap, tightest, tightest_between};
use super::scan::PlacedScan;
use super::shape::{PlacedForm, PlacedShape};
use crate::geom::{Solid, tolerance::GAP_MM};
use crate::model::Movement;
use glam::DVec3;
use pieces::Target;
use search::StandSearch;
use settle::settle;
use std::slice::from_ref;
use turn::Line;

/// Over all positions no gap is less than the one told by more than this, mm, unless the search was given up; what
/// it came to is told with every gap.
pub const WITHIN_MM: f64 = 0.05;

/// How two bodies move against each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// The lines that the one and the other roll about.
    lines: [Line; 2],
    /// The most that the one and the other are shifted, mm, ≥ 0.
    shifts_mm: [DVec3; 2],
}

/// The tightest place over all positions of two bodies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SweptGap {
    /// Which of the solids.
    pub solid: usize,
    /// The gap there. Its points are where both bodies are then, moved from where they are drawn.
    pub gap: Gap,
    /// The position of both bodies.
    pub at: Position,
    /// At no position is the gap of any of the solids less than this, mm: proved, but for the noise of f64. Minus
    /// infinity where they overlap, since how deep is not looked for.
    pub never_below_mm: f64,
}

impl Motion {
    /// How a body that moves as `own` says moves against one that moves as `other` says; `None` where neither moves,
    /// or a number is not finite.
    ///
    /// For two parts of the same body there is no motion, however it moves: do not ask for it. Shifts and turns below
    /// zero count as above; a turn of more than half a turn to either side is half a turn.
    pub fn between(own: &Movement, other: &Movement) -> Option<Self> {
        let both = [own, other];
        let usable = both.iter().all(|m| m.is_finite()) && !both.iter().all(|m| m.is_still());
        let motion = Self { lines: both.map(Line::of), shifts_mm: both.map(|m| m.shift_mm.abs()) };
        (usable && motion.reach_mm().is_finite()).then_some(motion)
    }

    /// The tightest gap from any of `solids`, which move as the first body, to `shape`, which moves as the second;
    /// `None` if none is less than `closer_than_mm` at any position.
    ///
    /// Where the search was given up before that was known, the tightest position seen is told all the same, and
    /// `never_below_mm` is less than `closer_than_mm`. Solids with numbers that are not finite take no part.
    pub fn tightest(&self, solids: &[Solid], shape: &PlacedShape, closer_than_mm: f64) -> Option<SweptGap> {
        let target = if let PlacedForm::HalfSpace(on, out) = shape.form {
            Target::Plane { on, out }
        } else {
            Target::Bodies(vec![shape.body()?])
        };
        let found = self.search(solids, &target, closer_than_mm)?;
        settle(self, &found, solids.get(found.solid)?, &|moved| {
            tightest(from_ref(moved), shape, f64::INFINITY).map(|(_, gap)| gap)
        })
    }

    /// The tightest gap from any of `a`, which move as the first body, to any of `b`, which move as the second, with
    /// which of `b` it is; `None` if none is less than `closer_than_mm` at any position.
    pub fn tightest_between(
        &self,
        a: &[Solid],
        b: &[Solid],
        closer_than_mm: f64,
    ) -> Option<(usize, SweptGap)> {
        let target = Target::Bodies(b.iter().map(Body::from).collect());
        let found = self.search(a, &target, closer_than_mm)?;
        let other = b.get(found.other)?;
        let swept = settle(self, &found, a.get(found.solid)?, &|moved| {
            tightest_between(from_ref(moved), from_ref(other), f64::INFINITY, &|_, _| false).map(|g| g.2)
        });
        Some((found.other, swept?))
    }

    /// The tightest gap from any of `solids`, which move as the first body, to a scan, which moves as the second;
    /// `None` if none is less than `closer_than_mm` at any position.
    pub fn tightest_to_scan(
        &self,
        solids: &[Solid],
        scan: &PlacedScan,
        closer_than_mm: f64,
    ) -> Option<SweptGap> {
        let found = self.search(solids, &Target::Scan(scan), closer_than_mm)?;
        settle(self, &found, solids.get(found.solid)?, &|moved| {
            scan.tightest(from_ref(moved), f64::INFINITY, None).map(|found| found.gap)
        })
    }

    fn search(
        &self,
        solids: &[Solid],
        target: &Target<'_>,
        closer_than_mm: f64,
    ) -> Option<search::TightestStand> {
        StandSearch::new(self, solids, target, closer_than_mm).run()
    }

    /// The most that the one is shifted against the other, mm.
    fn reach_mm(&self) -> DVec3 {
        self.shifts_mm[0] + self.shifts_mm[1]
    }

    /// How much tighter than the best seen a position has to be to be looked for, mm. What is measured in the end may
    /// be off by [`GAP_MM`].
    fn slack_mm(&self) -> f64 {
        let rolls = self.lines.iter().any(|line| line.most_rad > 0.0);
        if rolls { WITHIN_MM - GAP_MM } else { GAP_MM / 2.0 }
    }
}

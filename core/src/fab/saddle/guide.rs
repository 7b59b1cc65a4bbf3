//! Where the generators of a branch leave a header that is bent: each found from the one beside it.
//!
//! Four places where a line meets a torus take far longer to find than one that is nearly known, and a branch is cut
//! along hundreds of generators in every frame of a drag.

use super::super::limb::{Limb, Line};
use super::header::{Header, Leaves};
use crate::geom::tolerance::COINCIDENT_MM;
use std::f64::consts::TAU;

/// Clocks of the branch at which the guide knows where its outside leaves the header: every degree.
pub(super) const CLOCKS: usize = 360;
/// Every so many of them nothing is taken from the one beside, so that the guide cannot stray.
const AFRESH: usize = 15;
/// Two ways to the same place agree to this, mm.
const SAME_MM: f64 = 1e-6;
/// Most steps towards a place; four are usual.
const STEPS: usize = 12;
/// A place is met when it lies this near the skin, mm.
const MET_MM: f64 = 1e-11;
/// A line that leaves the skin flatter than this, as a sine, is looked at afresh.
const FLAT: f64 = 0.02;

/// Places where the outside of a branch leaves a bent header, one a clock; empty where nothing guides.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Guide(Vec<Leaves>);

/// A clock at which the branch does not leave the header through its skin.
pub(super) struct Off;

impl Guide {
    /// Follows the outside of the branch round.
    pub(super) fn new(header: &Header, branch: &Limb, near_mm: f64) -> Result<Self, Off> {
        let clock = |i: usize| TAU * i as f64 / CLOCKS as f64;
        let line = |i: usize| branch.generator(branch.radius_mm, clock(i));
        let afresh = |i: usize| {
            let line = line(i);
            let found = header.leaves(&line, near_mm).filter(|l| header.is_skin(line.point(l.at_mm), l.part));
            found.ok_or(Off)
        };
        let mut all: Vec<Leaves> = Vec::with_capacity(CLOCKS);
        for i in 0..CLOCKS {
            let beside = i.checked_sub(1).and_then(|last| {
                let before = last.checked_sub(1).map_or(all[last], |b| all[b]);
                header.follow(
                    all[last].part,
                    &line(i),
                    2.0 * all[last].at_mm - before.at_mm,
                    branch.radius_mm,
                )
            });
            let Some(beside) = beside.filter(|_| i % AFRESH != 0) else {
                let found = afresh(i)?;
                let strayed = beside.is_some_and(|b| (b.at_mm - found.at_mm).abs() > SAME_MM);
                if strayed {
                    let from = i.saturating_sub(AFRESH - 1);
                    for (k, guide) in all.iter_mut().enumerate().skip(from) {
                        *guide = afresh(k)?;
                    }
                }
                all.push(found);
                continue;
            };
            all.push(beside);
        }
        // the last stretch has to lead on to where the first began
        let (last, before) = (all[CLOCKS - 1], all[CLOCKS - 2]);
        let guess_mm = 2.0 * last.at_mm - before.at_mm;
        let round = header.follow(last.part, &line(0), guess_mm, branch.radius_mm);
        if round.is_none_or(|l| (l.at_mm - all[0].at_mm).abs() > SAME_MM) {
            for (k, guide) in all.iter_mut().enumerate().skip(CLOCKS - AFRESH) {
                *guide = afresh(k)?;
            }
        }
        Ok(Self(all))
    }

    /// Where a generator at `radius_mm` from the axis leaves, if that can be had from the outside beside it.
    pub(super) fn leaves(
        &self,
        header: &Header,
        branch: &Limb,
        radius_mm: f64,
        clock_rad: f64,
    ) -> Option<Leaves> {
        let turn = (clock_rad / TAU).rem_euclid(1.0) * CLOCKS as f64;
        let index = (turn as usize).min(CLOCKS - 1);
        let (a, b) = (*self.0.get(index)?, *self.0.get((index + 1) % CLOCKS)?);
        let guess_mm = a.at_mm + (b.at_mm - a.at_mm) * (turn - index as f64);
        let line = branch.generator(radius_mm, clock_rad);
        let found = header.follow(a.part, &line, guess_mm, branch.radius_mm);
        found.or_else(|| {
            (b.part != a.part).then(|| header.follow(b.part, &line, guess_mm, branch.radius_mm)).flatten()
        })
    }
}

impl Header {
    /// Where a line leaves a part next to `guess_mm`, by steps along the skin's normal (Newton's way); `None` where it
    /// does not get there, leaves too flat, strays by more than half of `reach_mm`, or meets the part beyond its ends.
    fn follow(&self, part: usize, line: &Line, guess_mm: f64, reach_mm: f64) -> Option<Leaves> {
        let tube = self.part(part)?;
        let mut at_mm = guess_mm;
        for _ in 0..STEPS {
            let point = line.point(at_mm);
            let (off_mm, normal) = tube.off_and_normal(point)?;
            let sine = line.along.dot(normal);
            if sine < FLAT || (at_mm - guess_mm).abs() > 0.5 * reach_mm {
                return None;
            }
            if off_mm.abs() <= MET_MM {
                return tube.is_between_ends(point, COINCIDENT_MM).then_some(Leaves { at_mm, part });
            }
            at_mm -= off_mm / sine;
        }
        None
    }
}

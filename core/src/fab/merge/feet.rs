//! Where smaller arms stand on a larger one: what they take out of its wall, and the line of its end without that.

use super::super::limb::Edge;
use super::kept::{Merge, Other};
use crate::geom::polyline::{Place, draw};
use crate::geom::roots::bisect;
use crate::geom::vector::half_open_turn;
use std::f64::consts::{PI, TAU};

/// Clocks at which changes from one cut to another are looked for: what is shorter than half a degree may be missed.
const CLOCKS: u32 = 720;
/// Fewest steps between two changes of a drawn curve, and once round a foot.
const LEAST_STEPS: u32 = 12;

impl Merge {
    /// The feet of smaller arms on an arm that take wall out of it, each as a closed line once round the smaller one: clock
    /// of the larger arm, which never jumps, and place along it, mm. In chords that leave it by `chord_mm` at most on the
    /// unrolled outside.
    ///
    /// The seat's are those of the outside, where two round tubes touch first. An arm that sits on its side is not among
    /// them: [`Merge::side`].
    pub fn feet(&self, arm: usize, edge: Edge, chord_mm: f64) -> Vec<Vec<(f64, f64)>> {
        let bite = |smaller: &usize| self.is_bitten(arm, *smaller);
        (0..self.arms().len()).filter(bite).filter_map(|b| self.foot(arm, edge, b, chord_mm)).collect()
    }

    fn foot(&self, arm: usize, edge: Edge, smaller: usize, chord_mm: f64) -> Option<Vec<(f64, f64)>> {
        let (limb, other) = (self.arms().get(arm)?, self.arms().get(smaller)?);
        let radius_mm = match edge {
            Edge::Outside | Edge::Seat => limb.radius_mm,
            Edge::Inside => limb.bore_mm(),
        };
        // as deep in the one wall as in the other
        let other_mm = other.radius_mm - (limb.radius_mm - radius_mm);
        let axis = limb.axis();
        let point = |clock: f64| {
            let line = other.generator(other_mm, clock);
            let (_, out_mm) = super::meeting::within(&line, &axis, radius_mm)?;
            let from = line.point(out_mm) - axis.origin;
            Some((limb.frame.clock_of(from), from.dot(axis.along)))
        };
        let middle = limb.frame.clock_of(other.away());
        let place = |clock: f64| {
            let (at, along_mm) = point(clock).unwrap_or((f64::NAN, f64::NAN));
            (limb.radius_mm * (middle + half_open_turn(at - middle)), along_mm)
        };
        let drawn = draw(place, &[0.0, PI / 2.0, PI, 1.5 * PI, TAU], LEAST_STEPS, chord_mm);
        let known: Vec<(f64, f64)> = drawn
            .iter()
            .filter(|p| p.x_mm.is_finite() && p.y_mm.is_finite())
            .map(|p| (p.x_mm / limb.radius_mm, p.y_mm))
            .collect();
        (known.len() == drawn.len()).then_some(known)
    }

    /// Where an arm ends, what smaller arms take beside that left standing, unrolled once round from clock 0: `x` round its
    /// outside and `y` along it, in chords that leave it by `chord_mm` at most. Empty where there is no such arm.
    pub fn end_line(&self, arm: usize, edge: Edge, chord_mm: f64) -> Vec<Place> {
        let Some(limb) = self.arms().get(arm) else { return Vec::new() };
        let other = |clock: f64| self.end(arm, edge, clock).map(|(_, other)| other);
        let mut breaks = clocks_of_changes(other);
        breaks.extend([0.0, PI, TAU]);
        breaks.sort_by(f64::total_cmp);
        breaks.dedup_by(|b, a| *b - *a < 1e-12);
        let at = |clock: f64| (limb.radius_mm * clock, self.end(arm, edge, clock).map_or(0.0, |(mm, _)| mm));
        draw(at, &breaks, LEAST_STEPS, chord_mm)
    }
}

/// Clocks at which an edge goes over from one cut to another, rising in [0, 2π).
pub(super) fn clocks_of_changes(other: impl Fn(f64) -> Option<Other>) -> Vec<f64> {
    // begin off the round angles that symmetric merges change at
    let clock = |i: u32| (f64::from(i) + 0.137) * TAU / f64::from(CLOCKS);
    let mut out = Vec::new();
    let mut before = other(clock(0));
    for i in 1..=CLOCKS {
        let after = other(clock(i));
        if after != before {
            let side = |c: f64| if other(c) == before { -1.0 } else { 1.0 };
            out.push(bisect(side, clock(i - 1), clock(i)).rem_euclid(TAU));
        }
        before = after;
    }
    out.sort_by(f64::total_cmp);
    out
}

//! Branches on one header that meet: the one that is put on second is cut to the header and to the first.
//!
//! The second one sits on what is there already: the header and the first branch together. Its generators are cut where they
//! leave the last of them. The first one stays as it is but for what of its wall would stand in the second one's bore: there
//! it gets a notch. Nothing is made of branches of which a generator leaves the one and comes into the other further out: they
//! would lie in each other above their seam.

use super::super::limb::{Edge, Limb};
use super::curve::Saddle;
use super::header::{Header, HeaderPart};
use crate::finding::SaddleError;
use crate::geom::roots::bisect;
use crate::geom::tolerance::COINCIDENT_MM;
use std::f64::consts::TAU;

/// Clocks at which it is tried that nothing lies further out.
const CLOCKS: u32 = 720;
/// Clocks of the first branch at which it is looked whether its wall lies in the other's bore.
const IN_BORE_CLOCKS: u32 = 720;
/// Least steps of a notch's edge.
const STEPS: u32 = 24;

/// What of the wall of a branch lies in the bore of one that was put on after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Bite {
    /// The other one.
    pub bore: Limb,
    /// From where along that one it is on its own side of the header, mm.
    pub from_mm: f64,
}

impl Saddle {
    /// The same branch cut to `others` as well, which are on the header already: their tubes from inside the header up.
    pub fn cut_to(&self, others: &[HeaderPart]) -> Result<Self, SaddleError> {
        let cut = self.on(self.header().with(others))?.with_changes();
        let own = self.header().len();
        // one whose axis runs into the other above the header would sit on that rather than beside it
        let through = |clock_rad: f64| SaddleError::Misses { clock_rad, by_mm: 0.0, largest_mm: None };
        let axis = self.branch().axis();
        let on_header = cut.header().leaves(&axis, self.foot_mm()).is_some_and(|l| l.part < own);
        if !on_header || others.iter().any(|other| self.holds_axis_of(other)) {
            return Err(through(0.0));
        }
        let clock = |i: u32| TAU * (f64::from(i) + 0.31) / f64::from(CLOCKS);
        for i in 0..CLOCKS {
            for radius_mm in [self.branch().radius_mm, self.branch().bore_mm()] {
                let leaves = cut.leaves(radius_mm, clock(i));
                let line = self.branch().generator(radius_mm, clock(i));
                let above =
                    |s: &super::header::Inside| s.from_mm > leaves.at_mm + COINCIDENT_MM && s.part >= own;
                if let Some(span) = cut.header().inside(&line).iter().find(|s| above(s)) {
                    let by_mm = span.to_mm - span.from_mm;
                    return Err(SaddleError::Misses { clock_rad: clock(i), by_mm, largest_mm: None });
                }
            }
        }
        Ok(cut)
    }
}

/// Places along the axis of the other branch that are looked at.
const ALONG_AXIS: u32 = 200;

impl Saddle {
    /// Whether the axis of another branch runs through this one's tube outside the header.
    fn holds_axis_of(&self, other: &HeaderPart) -> bool {
        let HeaderPart::Barrel(tube) = other else { return false };
        let (from, to) = tube.axis();
        let (axis, radius_mm) = (self.branch().axis(), self.branch().radius_mm);
        (0..=ALONG_AXIS).map(|i| from.lerp(to, f64::from(i) / f64::from(ALONG_AXIS))).any(|point| {
            let along_mm = (point - axis.origin).dot(axis.along);
            let within = axis.point(along_mm).distance(point) < radius_mm;
            within && along_mm > self.foot_mm() && self.header().off_skin_mm(point) > 0.0
        })
    }
}

impl Bite {
    /// From where to where a line along `limb` at a clock lies in the other's bore, mm from the limb's own zero, rising;
    /// `None` where it does not. `radius_mm` is its distance from the axis.
    pub fn at_mm(&self, limb: &Limb, radius_mm: f64, clock_rad: f64) -> Option<(f64, f64)> {
        let line = limb.generator(radius_mm, clock_rad);
        let bore = HeaderPart::Straight { frame: self.bore.frame, radius_mm: self.bore.bore_mm() };
        let spans = Header::of_parts(vec![bore]).ok()?.inside(&line);
        let span = spans.first()?;
        // the side that the other goes to, not the one behind the header
        let away = self.bore.away();
        let rises = line.along.dot(away);
        let beyond_mm = (line.origin - self.bore.frame.origin).dot(away) - self.from_mm;
        let (mut from, mut to) = (span.from_mm, span.to_mm);
        if rises > 0.0 {
            from = from.max(-beyond_mm / rises);
        } else if rises < 0.0 {
            to = to.min(-beyond_mm / rises);
        } else if beyond_mm <= 0.0 {
            return None;
        }
        (from < to).then_some((from, to))
    }

    /// What it takes of the wall of `limb`: clock, which never jumps, and place along it, closed, the last place not
    /// repeated. Empty where nothing of it lies in the bore.
    pub fn outline(&self, limb: &Limb, edge: Edge) -> Vec<(f64, f64)> {
        let radius_mm = match edge {
            Edge::Outside | Edge::Seat => limb.radius_mm,
            Edge::Inside => limb.bore_mm(),
        };
        let middle = limb.frame.clock_of(self.bore.away());
        let at = |clock: f64| self.at_mm(limb, radius_mm, clock);
        let inside = |clock: f64| if at(clock).is_some() { 1.0 } else { -1.0 };
        // from behind, where the other does not go
        let from = middle - TAU / 2.0;
        let clock = |i: u32| from + TAU * f64::from(i) / f64::from(IN_BORE_CLOCKS);
        let pairs = (0..IN_BORE_CLOCKS).map(|i| (clock(i), clock(i + 1)));
        let changes: Vec<f64> =
            pairs.filter(|(a, b)| inside(*a) * inside(*b) < 0.0).map(|(a, b)| bisect(inside, a, b)).collect();
        let [first, .., last] = changes.as_slice() else { return Vec::new() };
        // close to its sides the edge runs steeply: places by the cosine lie closer there
        let place = |i: u32| {
            let share = (1.0 - (TAU / 2.0 * f64::from(i) / f64::from(4 * STEPS)).cos()) / 2.0;
            first + (last - first) * (share * (1.0 - 2e-9) + 1e-9)
        };
        let both: Vec<(f64, (f64, f64))> =
            (0..=4 * STEPS).filter_map(|i| Some((place(i), at(place(i))?))).collect();
        let up = both.iter().map(|(clock, (_, high))| (*clock, *high));
        up.chain(both.iter().rev().map(|(clock, (low, _))| (*clock, *low))).collect()
    }
}

//! What a single wrong tape could hide: how far off the point may be although the tapes agree.
//!
//! If one tape is wrong, the others are right, and the point lies where those put it, within what they stray. So it is
//! off by no more than the way from the answer of all tapes to that of the others, and some standard deviations of
//! theirs more. The worst over all tapes is told. That needs no guess of how wrong a tape can be and still agree: the
//! readings as they stand say so.

use super::Tape;
use super::solve::{Reach, Site};
use crate::measure::words::{amount, listed};
use crate::measure::{DISAGREE_BADLY, words::called};
use crate::units::{UnitSystem, plain_number};
use glam::DVec3;

/// Standard deviations that a fit of good tapes strays by at the most: less than once in ten thousand further.
const SURE: f64 = 4.0;

/// A tape that moves the point by more than so many times its own error tells next to nothing of it.
const BOUNDLESS: f64 = 1e3;

/// What one wrong tape could do to a point without being noticed.
#[derive(Debug, Clone, PartialEq)]
pub struct Hidden {
    /// How far the point may be off, mm; `None` where nothing checks some tape.
    pub most_mm: Option<f64>,
    /// Names of the datums to which a wrong tape could hide most, or whose tapes nothing checks.
    pub datums: Vec<String>,
    /// How many times its own error a tape moves the point, the worst of all.
    pub times: f64,
    /// The tape that alone says on which side of the datums the point is, and how far off it is if that one is wrong, mm.
    pub side: Option<(String, f64)>,
}

/// What a wrong tape could hide of the place `at`. `side_open` says that both sides are on offer already.
pub(super) fn hidden(
    tapes: &[Tape],
    reaches: &[Reach],
    site: &Site<'_>,
    at: DVec3,
    (sigma_mm, side_open): (f64, bool),
) -> Hidden {
    let times = site.gains(at).into_iter().fold(0.0, f64::max);
    let name = |i: usize| called(&tapes[i].datum, "datum", i);
    let mut out = Hidden { most_mm: Some(0.0), datums: Vec::new(), times, side: None };
    let mut unchecked = Vec::new();
    for i in 0..tapes.len() {
        let rest: Vec<Reach> = reaches.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, r)| *r).collect();
        let others = if rest.len() < 3 { None } else { Site::of(&rest) };
        let Some(others) = others else {
            unchecked.push(name(i));
            continue;
        };
        let spare = (rest.len() - 3).max(1) as f64;
        let fits =
            |p: &DVec3| others.rms(*p) * (rest.len() as f64 / spare).sqrt() <= DISAGREE_BADLY * sigma_mm;
        let answers = others.answers();
        let mut places: Vec<DVec3> =
            [Some(answers.best), answers.other].into_iter().flatten().filter(fits).collect();
        places.sort_by(|a, b| a.distance(at).total_cmp(&b.distance(at)));
        let off_mm = |p: &DVec3| p.distance(at) + SURE * others.spot(*p, sigma_mm).worst_sigma_mm;
        // where the others contradict each other it is not this tape alone that is wrong
        let Some(near) = places.first() else { continue };
        if out.most_mm.is_none_or(|most| off_mm(near) > most) {
            out.most_mm = Some(off_mm(near));
            out.datums = vec![name(i)];
        }
        if let Some(far) = places.get(1).filter(|_| !side_open)
            && out.side.as_ref().is_none_or(|(_, mm)| off_mm(far) > *mm)
        {
            out.side = Some((name(i), off_mm(far)));
        }
    }
    if !unchecked.is_empty() {
        (out.most_mm, out.datums) = (None, unchecked);
    }
    out
}

impl Hidden {
    /// The sentence for a point whose tapes agree.
    pub fn text(&self, units: UnitSystem) -> String {
        let which = listed(&self.datums, "or");
        let mut words = match self.most_mm {
            Some(most_mm) => format!(
                "One wrong tape that agrees with the others by chance could hide up to {}, most of all the one to {which}.",
                amount(most_mm, units)
            ),
            None if self.times < BOUNDLESS => format!(
                "A wrong tape to {which} would not show: the point would be off by up to {} times as much.",
                plain_number(self.times, 1)
            ),
            None => format!("A wrong tape to {which} would not show, and the point could be anywhere near."),
        };
        if let Some((datum, mm)) = &self.side {
            let off = amount(*mm, units);
            words = format!(
                "{words} The one to {datum} alone says which side it is on; if it is wrong, that is {off}."
            );
        }
        words
    }
}

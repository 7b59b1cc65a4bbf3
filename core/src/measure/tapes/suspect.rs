//! Which tape is wrong: each is left out in turn, and the rest asked whether they agree.

use super::Tape;
use super::solve::{Reach, Site};
use crate::measure::trust::Suspects;
use crate::measure::words::called;
use crate::measure::{Level, agreement};
use glam::DVec3;

/// A tape whose removal makes the others agree.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// Which of the tapes, from 0.
    pub tape: usize,
    /// Name of its datum.
    pub datum: String,
    /// By how much it is off by what the others say, mm: positive where it reads long.
    pub off_mm: f64,
    /// Root mean square of the others' residuals without it, mm.
    pub rest_rms_mm: f64,
    /// Where the others put the point, mm.
    pub position_mm: DVec3,
}

/// For each tape the rms of the others without it, and those tapes without which the others agree, the best first.
///
/// Needs five tapes: of four, three would be left, which always agree. Of the two answers of the rest the one nearer
/// to `near` is taken where both fit alike.
pub(super) fn leave_one_out(
    tapes: &[Tape],
    reaches: &[Reach],
    near: DVec3,
    sigma_mm: f64,
) -> (Vec<Option<f64>>, Vec<Suspect>) {
    let mut without = vec![None; tapes.len()];
    let mut suspects = Vec::new();
    if tapes.len() < 5 {
        return (without, suspects);
    }
    for (i, tape) in tapes.iter().enumerate() {
        let rest: Vec<Reach> = reaches.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, r)| *r).collect();
        let Some(site) = Site::of(&rest) else { continue };
        let answers = site.answers();
        let rms = site.rms(answers.best);
        without[i] = Some(rms);
        let spread = rms * (rest.len() as f64 / (rest.len() - 3) as f64).sqrt();
        if agreement(spread, sigma_mm) > Level::Good {
            continue;
        }
        let alike = |p: &DVec3| site.rms(*p) - rms < sigma_mm;
        let position_mm = match answers.other.filter(alike) {
            Some(other) if (other - near).length() < (answers.best - near).length() => other,
            Some(_) | None => answers.best,
        };
        suspects.push(Suspect {
            tape: i,
            datum: called(&tape.datum, "datum", i),
            off_mm: tape.length_mm - (position_mm - tape.at_mm).length(),
            rest_rms_mm: rms,
            position_mm,
        });
    }
    suspects.sort_by(|a, b| a.rest_rms_mm.total_cmp(&b.rest_rms_mm));
    (without, suspects)
}

/// What the suspects of `tapes` tapes that disagree come to.
pub(super) fn verdict(suspects: &[Suspect], tapes: usize) -> Suspects {
    match suspects {
        _ if tapes < 5 => Suspects::Unknown,
        [] => Suspects::NoSingle,
        [one] => Suspects::One { name: one.datum.clone(), off_mm: one.off_mm },
        several => Suspects::Several { names: several.iter().map(|s| s.datum.clone()).collect() },
    }
}

//! Three tapes in closed form, and what is wrong where they do not meet.

use super::Tape;
use super::solve::Reach;
use crate::measure::words::called;
use crate::measure::{MeasureError, TapeMend};
use glam::DVec3;

/// Where three tapes meet: `foot ± normal·√height_squared`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Meeting {
    /// Foot of both answers in the plane of the datums, mm.
    pub(super) foot: DVec3,
    /// Unit normal of that plane.
    pub(super) normal: DVec3,
    /// Square of the height over it, mm²; negative where the tapes do not meet.
    pub(super) height_squared: f64,
}

/// Meeting of three tapes in the frame of their datums; `None` where those lie in line.
///
/// Differences of the three sphere equations give the foot, Pythagoras the height: own derivation.
pub(super) fn meet(reaches: [Reach; 3]) -> Option<Meeting> {
    let [a, b, c] = reaches;
    let ex = (b.at - a.at).try_normalize()?;
    let to_c = c.at - a.at;
    let i = to_c.dot(ex);
    let ey = (to_c - ex * i).try_normalize()?;
    let (d, j) = ((b.at - a.at).length(), to_c.dot(ey));
    // products of sums and differences keep digits that squares lose
    let x = f64::midpoint((a.length - b.length) * (a.length + b.length) / d, d);
    let y = ((a.length - c.length) * (a.length + c.length) / j + i * i / j + j) / 2.0 - i / j * x;
    let across = x.hypot(y);
    let height_squared = (a.length - across) * (a.length + across);
    let foot = a.at + ex * x + ey * y;
    (foot.is_finite() && height_squared.is_finite()).then_some(Meeting {
        foot,
        normal: ex.cross(ey),
        height_squared,
    })
}

/// Shortest and longest tape from `at` to the circle in which two others meet; `None` where those do not.
fn range(at: DVec3, a: Reach, b: Reach) -> Option<(f64, f64)> {
    let axis = (b.at - a.at).try_normalize()?;
    let d = (b.at - a.at).length();
    let along = f64::midpoint((a.length - b.length) * (a.length + b.length) / d, d);
    let squared = (a.length - along) * (a.length + along);
    if squared < 0.0 {
        return None;
    }
    let radius = squared.sqrt();
    let q = at - (a.at + axis * along);
    let high = q.dot(axis);
    let wide = (q - axis * high).length();
    Some((high.hypot(wide - radius), high.hypot(wide + radius)))
}

/// The error for three tapes that do not meet; `miss_mm` stands where no single tape can mend it.
pub(super) fn failure(tapes: &[Tape], reaches: &[Reach], miss_mm: f64) -> MeasureError {
    let mut mends = Vec::new();
    for (i, r) in reaches.iter().enumerate() {
        let others: Vec<Reach> =
            reaches.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, r)| *r).collect();
        let [a, b] = others[..] else { continue };
        let Some((least, most)) = range(r.at, a, b) else { continue };
        let add_mm = if r.length < least { least - r.length } else { most.min(r.length) - r.length };
        mends.push(TapeMend { tape: i, datum: called(&tapes[i].datum, "datum", i), add_mm });
    }
    mends.sort_by(|a, b| a.add_mm.abs().total_cmp(&b.add_mm.abs()));
    let miss_mm = mends.first().map_or(miss_mm, |m| m.add_mm.abs());
    MeasureError::TapesDoNotMeet { miss_mm, mends }
}

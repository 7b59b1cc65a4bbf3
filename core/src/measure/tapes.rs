//! A point from tapes to datums whose places are known.
//!
//! Three tapes leave two answers, mirrored in the plane of the datums. More are fitted by least squares from both
//! sides, which often settles the side, checks the tapes, and from five on can say which one is wrong.

mod hidden;
mod meet;
mod ring;
mod solve;
mod suspect;

use super::trust::{Doubt, Good, Trust};
use super::words::called;
use super::{Level, MeasureError, Needs, agreement, check_count, check_point, check_positive};
use crate::geom::tolerance::SAME_DATUM_MM;
use glam::DVec3;
use solve::{Reach, Site};

pub use hidden::Hidden;
pub use ring::{Ring, ring};
pub use suspect::Suspect;

/// A tape from a datum to the point.
#[derive(Debug, Clone, PartialEq)]
pub struct Tape {
    /// Name of the datum.
    pub datum: String,
    /// Where the datum is, mm.
    pub at_mm: DVec3,
    /// What the tape reads, mm.
    pub length_mm: f64,
}

/// One place the point may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// Where it is, mm.
    pub position_mm: DVec3,
    /// For each tape what it reads less how far its datum is from here, mm: positive where it reads long.
    pub residuals_mm: Vec<f64>,
    /// Root mean square of the residuals, mm.
    pub rms_mm: f64,
    /// How far it is off the plane of the datums, mm: positive on the upper side (of a standing plane the one that
    /// faces left, then forward).
    pub off_plane_mm: f64,
    /// Standard deviation along X, Y and Z, mm.
    pub sigma_mm: DVec3,
    /// Standard deviation in the worst direction, mm.
    pub worst_sigma_mm: f64,
    /// That direction, a unit vector of either sign.
    pub worst_direction: DVec3,
    /// How many times an error of one tape is found in the position: the root of the sum of the variances for tapes
    /// that stray by 1 mm. Infinite for a point in the plane of its datums.
    pub gdop: f64,
    /// What one wrong tape could do to it without being noticed.
    pub hidden: Hidden,
}

/// How the answer stands to the one on the other side of the plane of the datums.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mirror {
    /// There is no other.
    None,
    /// There is one, but it fits clearly worse.
    Clear,
    /// Both fit: a person has to choose.
    Choose,
    /// There is one so near that the tapes cannot tell the two apart: the point lies about in the plane.
    Same,
}

/// A point from tapes.
#[derive(Debug, Clone, PartialEq)]
pub struct Located {
    /// The answer that fits best; where both fit alike, the upper one.
    pub best: Spot,
    /// The other, beyond the plane of the datums.
    pub other: Option<Spot>,
    /// How the two stand to each other.
    pub mirror: Mirror,
    /// How far the tapes stray by their own testimony, mm, one standard deviation; `None` where there is no tape to
    /// spare.
    pub spread_mm: Option<f64>,
    /// For each tape the root mean square of the others' residuals when it is left out, mm; `None` where that says
    /// nothing (four tapes or fewer, or what is left lies in line).
    pub without_mm: Vec<Option<f64>>,
    /// Tapes that may be wrong, the likeliest first; empty where the tapes agree or nothing can be said.
    pub suspects: Vec<Suspect>,
    /// How far to believe it.
    pub trust: Trust,
}

impl Located {
    /// Whether the tapes agree, as far as there are any to spare.
    pub fn agrees(&self) -> bool {
        !self.trust.doubts.iter().any(|d| matches!(d, Doubt::TapesDisagree { .. }))
    }
}

/// Where the point is that the tapes lead to.
///
/// `sigma_mm` is the standard deviation of one tape ([`TAPE_SIGMA_MM`](super::TAPE_SIGMA_MM) is a start). Refused:
/// numbers that are none or not above zero, fewer than three tapes, two datums in one place, datums in one line, and
/// three tapes that do not meet by more than they may stray.
pub fn locate(tapes: &[Tape], sigma_mm: f64) -> Result<Located, MeasureError> {
    check(tapes, sigma_mm)?;
    let reaches: Vec<Reach> = tapes.iter().map(|t| Reach { at: t.at_mm, length: t.length_mm }).collect();
    let Some(site) = Site::of(&reaches) else {
        let names = tapes.iter().enumerate().map(|(i, t)| called(&t.datum, "datum", i)).collect();
        return Err(MeasureError::InLine { names, kind: Needs::Tapes });
    };
    let answers = site.answers();
    let spread = |rms: f64, in_plane: bool| {
        // three tapes that do not meet are fitted in the plane only: one of them is to spare
        let unknowns = if reaches.len() == 3 && in_plane { 2 } else { 3 };
        let spare = reaches.len() - unknowns;
        (spare > 0).then(|| rms * (reaches.len() as f64 / spare as f64).sqrt())
    };
    let rms = site.rms(answers.best);
    let spread_mm = spread(rms, answers.touching);
    if reaches.len() == 3 && spread_mm.is_some_and(|s| agreement(s, sigma_mm) > Level::Good) {
        return Err(meet::failure(tapes, &reaches, rms * 3.0_f64.sqrt()));
    }
    let mut best = site.spot(answers.best, sigma_mm);
    let mut other = answers.other.map(|p| site.spot(p, sigma_mm));
    let mirror = mirror(&best, other.as_ref(), spread_mm, sigma_mm, site.second_order_mm(sigma_mm));
    let alike = best.rms_mm + ALIKE * sigma_mm;
    if let Some(upper) = other.as_mut().filter(|o| o.off_plane_mm > best.off_plane_mm && o.rms_mm <= alike) {
        std::mem::swap(&mut best, upper);
    }
    let side_open = mirror == Mirror::Choose;
    for spot in std::iter::once(&mut best).chain(&mut other) {
        spot.hidden = hidden::hidden(tapes, &reaches, &site, spot.position_mm, (sigma_mm, side_open));
    }
    let (without_mm, mut suspects) = suspect::leave_one_out(tapes, &reaches, best.position_mm, sigma_mm);
    let agree = spread_mm.is_none_or(|s| agreement(s, sigma_mm) == Level::Good);
    if agree {
        suspects.clear();
    }
    let mut doubts = Vec::new();
    if let Some(spread_mm) = spread_mm {
        doubts.push(Doubt::TapesDisagree {
            spread_mm,
            suspects: suspect::verdict(&suspects, reaches.len()),
            level: agreement(spread_mm, sigma_mm),
        });
    }
    doubts.extend(geometry_doubts(&best, other.as_ref(), mirror, sigma_mm));
    if reaches.len() == 3 {
        doubts.push(Doubt::TapesUnchecked);
    }
    let good = Good::TapesAgree { tapes: tapes.len(), rms_mm: best.rms_mm };
    let trust = Trust::new(doubts, good);
    Ok(Located { best, other, mirror, spread_mm, without_mm, suspects, trust })
}

fn check(tapes: &[Tape], sigma_mm: f64) -> Result<(), MeasureError> {
    check_positive("What a tape may stray", sigma_mm)?;
    check_count(Needs::Tapes, tapes.len())?;
    let name = |i: usize| called(&tapes[i].datum, "datum", i);
    for (i, tape) in tapes.iter().enumerate() {
        check_point(&name(i), tape.at_mm)?;
        check_positive(&format!("The tape to {}", name(i)), tape.length_mm)?;
        for (k, before) in tapes[..i].iter().enumerate() {
            let apart_mm = (tape.at_mm - before.at_mm).length();
            if apart_mm < SAME_DATUM_MM {
                return Err(MeasureError::SamePoint { first: name(k), second: name(i), apart_mm });
            }
        }
    }
    Ok(())
}

/// A tape error that is found this many times in the position makes it doubtful (common practice, no source).
const MAGNIFIES: f64 = 4.0;
/// From here on it is bad.
const MAGNIFIES_BADLY: f64 = 10.0;

/// Two answers whose rms differ by less than this part of a tape's standard deviation fit alike.
const ALIKE: f64 = 1e-3;

fn mirror(
    best: &Spot,
    other: Option<&Spot>,
    spread_mm: Option<f64>,
    sigma_mm: f64,
    second_order_mm: f64,
) -> Mirror {
    let Some(other) = other else {
        return Mirror::None;
    };
    if (other.position_mm - best.position_mm).length() < second_order_mm {
        return Mirror::Same;
    }
    // three standard deviations of a mean; where the tapes stray more than they should, by what they do
    let sigma_mm = spread_mm.map_or(sigma_mm, |s| s.max(sigma_mm));
    let clear = 3.0 * sigma_mm / (best.residuals_mm.len() as f64).sqrt();
    if other.rms_mm - best.rms_mm < clear { Mirror::Choose } else { Mirror::Clear }
}

fn geometry_doubts(best: &Spot, other: Option<&Spot>, mirror: Mirror, sigma_mm: f64) -> Vec<Doubt> {
    let level = match best.worst_sigma_mm / sigma_mm {
        x if x <= MAGNIFIES => Level::Good,
        x if x <= MAGNIFIES_BADLY => Level::Doubtful,
        _ => Level::Bad,
    };
    let weak = Doubt::TapesWeak { sigma_mm: best.worst_sigma_mm, way: way(best.worst_direction), level };
    match mirror {
        Mirror::None | Mirror::Clear => vec![weak],
        Mirror::Choose => {
            let apart_mm = other.map_or(0.0, |o| (o.position_mm - best.position_mm).length());
            vec![Doubt::MirrorOpen { apart_mm }, weak]
        }
        Mirror::Same => {
            vec![Doubt::NearPlane { sigma_mm: best.worst_sigma_mm, level: level.max(Level::Doubtful) }]
        }
    }
}

/// The axis a direction runs along most, in words.
fn way(direction: DVec3) -> &'static str {
    let d = direction.abs();
    if d.z >= d.x && d.z >= d.y {
        "up or down"
    } else if d.x >= d.y {
        "forward or back"
    } else {
        "to the left or right"
    }
}

#[cfg(test)]
mod tests;

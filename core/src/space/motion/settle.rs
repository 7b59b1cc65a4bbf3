//! From what the search found to a gap measured at a real position.

use super::place::Stand;
use super::search::TightestStand;
use super::{Motion, SweptGap};
use crate::geom::Solid;
use crate::geom::tolerance::GAP_MM;
use crate::space::Gap;
use glam::DVec3;

/// Steps into an overlap to see how deep it goes.
const DEEPER: usize = 3;

/// The gap of a solid moved against the other body, which is left as drawn.
type Measure<'a> = dyn Fn(&Solid) -> Option<Gap> + 'a;

/// Measures the position found, and makes it one that is easily told: a movement that does not matter is left out,
/// one that goes nearly to its end goes to it. That changes the gap by half of [`GAP_MM`] at most.
pub(super) fn settle(
    motion: &Motion,
    found: &TightestStand,
    solid: &Solid,
    measure: &Measure<'_>,
) -> Option<SweptGap> {
    let at = |stand: &Stand| {
        let (rotation, translation) = stand.seen_from_second(motion);
        measure(&solid.moved(rotation, translation))
    };
    let mut stand = found.stand;
    let mut gap = at(&stand)?;
    for _ in 0..DEEPER {
        if gap.gap_mm > 0.0 {
            break;
        }
        let deeper = deeper(motion, stand, &gap);
        match at(&deeper) {
            Some(next) if next.gap_mm < gap.gap_mm => (stand, gap) = (deeper, next),
            _ => break,
        }
    }
    let most_mm = gap.gap_mm + GAP_MM / 2.0;
    for plainer in plainer(motion) {
        let other = plainer(stand);
        if other != stand
            && let Some(next) = at(&other).filter(|next| next.gap_mm <= most_mm)
        {
            (stand, gap) = (other, next);
        }
    }
    let position = stand.position(motion);
    let (rotation, translation) = position.other.motion();
    let moved = |point: DVec3| rotation * point + translation;
    let gap = Gap { on_first: moved(gap.on_first), on_second: moved(gap.on_second), ..gap };
    let never_below_mm =
        if gap.gap_mm > 0.0 { found.never_below_mm.min(gap.gap_mm) } else { f64::NEG_INFINITY };
    Some(SweptGap { solid: found.solid, gap, at: position, never_below_mm })
}

/// The position shifted as far into the overlap as it goes.
fn deeper(motion: &Motion, stand: Stand, gap: &Gap) -> Stand {
    // the first is to go against the way that would part them, which was found with the second as drawn
    let into = motion.lines[1].rotation(stand.rolls_rad[1]) * (gap.on_first - gap.on_second);
    let most_mm = motion.reach_mm();
    let shift = |i: usize| if into[i] == 0.0 { stand.shift_mm[i] } else { most_mm[i].copysign(into[i]) };
    Stand { shift_mm: DVec3::new(shift(0), shift(1), shift(2)), ..stand }
}

/// Changes that make a position easier to tell.
fn plainer(motion: &Motion) -> Vec<Box<dyn Fn(Stand) -> Stand>> {
    let mut out: Vec<Box<dyn Fn(Stand) -> Stand>> = Vec::new();
    for i in (0..3).filter(|&i| motion.reach_mm()[i] > 0.0) {
        let most_mm = motion.reach_mm()[i];
        for most_mm in [0.0, most_mm] {
            out.push(Box::new(move |mut stand: Stand| {
                if stand.shift_mm[i] != 0.0 {
                    stand.shift_mm[i] = if most_mm > 0.0 { most_mm.copysign(stand.shift_mm[i]) } else { 0.0 };
                }
                stand
            }));
        }
    }
    for side in (0..2).filter(|&side| motion.lines[side].most_rad > 0.0) {
        let most_rad = motion.lines[side].most_rad;
        for most_rad in [0.0, most_rad] {
            out.push(Box::new(move |mut stand: Stand| {
                if stand.rolls_rad[side] != 0.0 {
                    stand.rolls_rad[side] =
                        if most_rad > 0.0 { most_rad.copysign(stand.rolls_rad[side]) } else { 0.0 };
                }
                stand
            }));
        }
    }
    out
}

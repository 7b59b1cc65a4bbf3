//! Ready slices from the shelf, turned freely on their faces between two straights.

use super::chain::{Chain, Setting, Slice};
use super::gap::Gap;
use super::offer::{Kind, Offer};
use super::solve::settings;
use pipeloft_core::geom::tolerance::NO_BEND_RAD;
use pipeloft_core::geom::vector::angle_between;

/// Most slices in one chain: with three a family of answers is there, so more are only needed where they turn too little.
const MOST_SLICES: usize = 5;
/// Most different orders of slices that are tried of one number.
const MOST_ORDERS: usize = 24;
/// Answers that are kept of one number of slices.
const KEPT: usize = 2;
/// Chains whose ends are this near are taken, mm; what is really left is worked out again from the pieces.
const MET_MM: f64 = 1e-3;

/// Answers with ready slices; where none closes, the one that leaves least.
pub(super) fn slices(gap: &Gap, effort: u32) -> Vec<Offer> {
    let kinds: Vec<(Slice, u32)> = gap
        .tube
        .slices
        .iter()
        .filter(|s| s.count > 0 && s.saw_deg.to_radians() > NO_BEND_RAD)
        .map(|s| {
            let centre_mm = s.centre_mm(gap.tube.od_mm);
            (Slice { tilt_rad: s.saw_deg.to_radians(), centre_mm }, s.count)
        })
        .collect();
    let turn_rad = angle_between(gap.from.travel, gap.to.travel);
    let (mut out, mut nearest): (Vec<Offer>, Option<Offer>) = (Vec::new(), None);
    for number in 1..=MOST_SLICES {
        let mut closed: Vec<Offer> = Vec::new();
        for (nth, order) in orders(&kinds, number).into_iter().enumerate() {
            let chain: Vec<Slice> = order.iter().map(|k| kinds[*k].0).collect();
            // a chain turns by all its kinks at the most
            let reach: f64 = chain.iter().map(|s| 2.0 * s.tilt_rad).sum::<f64>() + end_kinks(&chain);
            if reach < turn_rad - NO_BEND_RAD {
                continue;
            }
            let chain = Chain { gap, slices: &chain };
            let seed = (number * 1000 + nth) as u64;
            for (setting, off_mm) in settings(&chain, effort, seed) {
                let Some(offer) = made(gap, &chain, &setting) else { continue };
                if off_mm <= MET_MM && offer.left.is_closed() {
                    closed.push(offer);
                } else {
                    let worse = |n: &Offer| {
                        n.left.mismatch_mm(gap.tube.od_mm) > offer.left.mismatch_mm(gap.tube.od_mm)
                    };
                    if nearest.as_ref().is_none_or(worse) {
                        nearest = Some(offer);
                    }
                }
            }
        }
        closed.sort_by(|a, b| a.lip_mm.total_cmp(&b.lip_mm));
        closed.dedup_by(|a, b| (a.lip_mm - b.lip_mm).abs() < 1e-3);
        let enough = closed.iter().any(|o| o.lip_mm <= pipeloft_core::geom::tolerance::LIP_MM);
        out.extend(closed.into_iter().take(KEPT));
        if enough {
            break;
        }
    }
    if out.is_empty() { nearest.into_iter().collect() } else { out }
}

/// What the two straights' own cuts turn, rad.
fn end_kinks(chain: &[Slice]) -> f64 {
    chain.first().map_or(0.0, |s| s.tilt_rad) + chain.last().map_or(0.0, |s| s.tilt_rad)
}

fn made(gap: &Gap, chain: &Chain<'_>, setting: &Setting) -> Option<Offer> {
    let pieces = chain.pieces(setting);
    let mut ready = vec![true; pieces.len()];
    ready[0] = false;
    if let Some(last) = ready.last_mut() {
        *last = false;
    }
    Offer::of(gap, Kind::ReadySlices, pieces, &ready)
}

/// The orders in which that many slices can be laid with what is on the shelf, those all alike first.
fn orders(kinds: &[(Slice, u32)], number: usize) -> Vec<Vec<usize>> {
    let alike = (0..kinds.len()).filter(|k| kinds[*k].1 as usize >= number).map(|k| vec![k; number]);
    let mut out: Vec<Vec<usize>> = alike.take(MOST_ORDERS).collect();
    let mut order = vec![0_usize; number];
    let mut counted = 0;
    while out.len() < MOST_ORDERS && !kinds.is_empty() && counted < 100_000 {
        counted += 1;
        let enough =
            (0..kinds.len()).all(|k| order.iter().filter(|o| **o == k).count() <= kinds[k].1 as usize);
        if enough && order.iter().any(|o| *o != order[0]) {
            out.push(order.clone());
        }
        // counting up in the base of the kinds
        let Some(place) = order.iter().rposition(|o| o + 1 < kinds.len()) else { break };
        order[place] += 1;
        order[place + 1..].fill(0);
    }
    out
}

//! Whether a line can be built and keeps all its gaps, proved and not sampled; but for the gap to itself, which is
//! sampled finely.
//!
//! Along a straight line the square of the distance to anything, less the square of the way gone, is concave: it is the
//! least of functions that each are linear. Two distances `d₀` and `d₁` a length `L` apart therefore give, at `t` from the
//! first, `d(t)² ≥ d₀² + b·t + t²` with `b = (d₁² − d₀² − L²)/L` (own method). Where that is enough the stretch is
//! proved; else it is halved. Bends are taken as chords whose corners stand out as far as their middles stand in, at
//! `2R/(1 + cos(δ/2))`, which is `R·tan²(δ/4)` off at most; that is added to what is needed.

use super::line::Line;
use super::room::Thing;
use super::task::{LEAST_BEND_RAD, Task};
use glam::DVec3;
use pipeloft_core::geom::vector::angle_between;

/// A distance that is measured may fall short by this, mm.
const POINT_MM: f64 = 0.005;

/// A stretch is proved to this much under what is needed, mm: more than [`POINT_MM`], or touching would never end.
const STRETCH_MM: f64 = 0.015;

/// Stretches are not halved below this, mm.
const SHORT_MM: f64 = 0.02;

/// Chords of bends turn no more than this, rad (5°).
const CHORD_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;

/// Straights may be short by this, mm: rounding noise.
const NOISE_MM: f64 = 1e-6;

/// Step at which a line is compared with itself, mm.
const OWN_STEP_MM: f64 = 4.0;

/// Why a line will not do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fault {
    /// A straight is too short, by so much, mm.
    Short {
        /// Which leg.
        leg: usize,
        /// By how much, mm.
        by_mm: f64,
    },
    /// A bend turns too much or next to nothing.
    Turn {
        /// Which bend.
        bend: usize,
        /// What it turns, rad.
        angle_rad: f64,
    },
    /// It leaves its ends in other directions than those say, or passes the box.
    Outside,
    /// It comes too near to a thing.
    Near {
        /// Which.
        thing: usize,
        /// Where on the line.
        at: DVec3,
    },
    /// It comes too near to itself.
    Own {
        /// By how much, mm.
        by_mm: f64,
    },
}

/// The first fault of a line; none where it is good.
pub(super) fn fault(task: &Task, line: &Line) -> Option<Fault> {
    shape_fault(task, line).or_else(|| gap_fault(task, line)).or_else(|| own_fault(task, line))
}

/// What is wrong with a line whatever is in the way.
pub(super) fn shape_fault(task: &Task, line: &Line) -> Option<Fault> {
    let along = |a: DVec3, b: DVec3| angle_between(a, b) < 1e-7;
    let starts = along(line.ways[0], task.start.1);
    let ends = task.end.1.is_none_or(|way| along(line.ways[line.ways.len() - 1], way));
    if !starts || !ends {
        return Some(Fault::Outside);
    }
    for (bend, angle_rad) in line.angles.iter().copied().enumerate() {
        if !(LEAST_BEND_RAD..=task.bend(bend, line.bends()).most_rad + 1e-9).contains(&angle_rad) {
            return Some(Fault::Turn { bend, angle_rad });
        }
    }
    let legs = line.legs.len();
    for leg in 0..legs {
        let by_mm = task.shortest_mm(leg, legs) - line.straight_mm(leg);
        if by_mm > NOISE_MM {
            return Some(Fault::Short { leg, by_mm });
        }
    }
    if line.bends() > task.most_bends {
        return Some(Fault::Turn { bend: line.bends(), angle_rad: 0.0 });
    }
    None
}

/// A stretch of the line as a chord: its ends, where it begins and ends along the line, and what is needed more there.
#[derive(Debug, Clone, Copy)]
struct Chord {
    from: DVec3,
    to: DVec3,
    along_mm: (f64, f64),
    more_mm: f64,
}

fn chords(task: &Task, line: &Line) -> Vec<Chord> {
    let mut out = Vec::new();
    let mut along_mm = 0.0;
    for piece in 0..line.pieces() {
        let length_mm = line.piece_mm(piece).max(0.0);
        if piece.is_multiple_of(2) {
            out.push(Chord {
                from: line.at(piece, 0.0),
                to: line.at(piece, 1.0),
                along_mm: (along_mm, along_mm + length_mm),
                more_mm: 0.0,
            });
        } else {
            let angle = line.angles[piece / 2];
            let clr_mm = line.radii_mm[piece / 2];
            let over_mm = task.over_mm(line, piece / 2);
            let count = (angle / CHORD_RAD).ceil().max(1.0);
            let step = angle / count;
            let balanced_mm = 2.0 * clr_mm / (1.0 + (step / 2.0).cos());
            let more_mm = over_mm + clr_mm * (step / 4.0).tan().powi(2);
            let corner = |k: f64| line.on_bend(piece / 2, k * step, balanced_mm);
            for k in 0..count as usize {
                let k = k as f64;
                out.push(Chord {
                    from: corner(k),
                    to: corner(k + 1.0),
                    along_mm: (along_mm + k / count * length_mm, along_mm + (k + 1.0) / count * length_mm),
                    more_mm,
                });
            }
        }
        along_mm += length_mm;
    }
    out
}

/// The first place where a line comes too near to something or leaves the box.
pub(super) fn gap_fault(task: &Task, line: &Line) -> Option<Fault> {
    let total_mm = line.length_mm();
    let chords = chords(task, line);
    for chord in &chords {
        if task.room.outside(chord.from).0 > POINT_MM || task.room.outside(chord.to).0 > POINT_MM {
            return Some(Fault::Outside);
        }
    }
    let open: Vec<Chord> = chords.iter().flat_map(|c| unproved(task, c)).collect();
    for (index, thing) in task.room.things.iter().enumerate() {
        for chord in &open {
            if let Some(at) = near(thing, chord, total_mm) {
                return Some(Fault::Near { thing: index, at });
            }
        }
    }
    None
}

/// Parts of a straight are proved by what is known of the room in lengths of this, mm.
const PART_MM: f64 = 16.0;

/// The stretches of a chord that are not known to be clear.
fn unproved(task: &Task, chord: &Chord) -> Vec<Chord> {
    let length_mm = chord.from.distance(chord.to);
    let count = (length_mm / PART_MM).ceil().max(1.0);
    let (from_mm, to_mm) = chord.along_mm;
    let mut out: Vec<Chord> = Vec::new();
    let mut after_gap = true;
    for k in 0..count as usize {
        let (a, b) = (k as f64 / count, (k + 1) as f64 / count);
        let (from, to) = (chord.from.lerp(chord.to, a), chord.from.lerp(chord.to, b));
        if task.room.is_surely_clear(from.midpoint(to), length_mm / count / 2.0, chord.more_mm) {
            after_gap = true;
            continue;
        }
        let end_mm = from_mm + b * (to_mm - from_mm);
        match out.last_mut().filter(|_| !after_gap) {
            Some(last) => (last.to, last.along_mm.1) = (to, end_mm),
            None => {
                out.push(Chord { from, to, along_mm: (from_mm + a * (to_mm - from_mm), end_mm), ..*chord });
            }
        }
        after_gap = false;
    }
    out
}

/// Where a chord comes too near to a thing; `None` where it is proved not to.
fn near(thing: &Thing, chord: &Chord, total_mm: f64) -> Option<DVec3> {
    let (from_mm, to_mm) = chord.along_mm;
    let first_mm = from_mm.max(thing.stubs_mm.0);
    let last_mm = to_mm.min(total_mm - thing.stubs_mm.1);
    if last_mm < first_mm || (to_mm > from_mm && last_mm - first_mm <= 0.0) {
        return None;
    }
    let at = |mm: f64| {
        let part = if to_mm > from_mm { (mm - from_mm) / (to_mm - from_mm) } else { 0.0 };
        chord.from.lerp(chord.to, part.clamp(0.0, 1.0))
    };
    let (from, to) = (at(first_mm), at(last_mm));
    let need_mm = thing.need_mm + chord.more_mm;
    let middle = from.midpoint(to);
    if thing.at_least_from_ball_mm(middle, from.distance(to) / 2.0) >= need_mm {
        return None;
    }
    // beyond this no distance matters for so short a chord
    let look_mm = need_mm + from.distance(to) + 1.0;
    let distance = |p: DVec3| thing.distance(p, look_mm).map_or(look_mm, |(mm, _)| mm);
    too_near(&distance, (from, distance(from)), (to, distance(to)), need_mm)
}

fn too_near(
    distance: &dyn Fn(DVec3) -> f64,
    (from, d0): (DVec3, f64),
    (to, d1): (DVec3, f64),
    need_mm: f64,
) -> Option<DVec3> {
    if d0 < need_mm - POINT_MM {
        return Some(from);
    }
    if d1 < need_mm - POINT_MM {
        return Some(to);
    }
    let length = from.distance(to);
    if length <= SHORT_MM {
        return None;
    }
    let b = (d1 * d1 - d0 * d0 - length * length) / length;
    let t = (-b / 2.0).clamp(0.0, length);
    let least = d0 * d0 + b * t + t * t;
    let enough_mm = need_mm - STRETCH_MM;
    if enough_mm <= 0.0 || least >= enough_mm * enough_mm {
        return None;
    }
    let middle = from.midpoint(to);
    let between = (middle, distance(middle));
    too_near(distance, (from, d0), between, need_mm)
        .or_else(|| too_near(distance, between, (to, d1), need_mm))
}

/// Whether a line comes too near to itself.
pub(super) fn own_fault(task: &Task, line: &Line) -> Option<Fault> {
    if line.length_mm() <= task.own_near_mm {
        return None;
    }
    let over_mm = (0..line.bends()).map(|i| task.over_mm(line, i)).fold(0.0, f64::max);
    let asked_mm = 2.0 * task.radius_mm + task.own_gap_mm + over_mm;
    let places = line.places(OWN_STEP_MM);
    let points: Vec<(f64, DVec3)> = places.iter().map(|p| (p.along_mm, line.at(p.piece, p.part))).collect();
    let mut worst_mm = 0.0_f64;
    for (i, (along, p)) in points.iter().enumerate() {
        let mut j = i + 1;
        while let Some((other_along, q)) = points.get(j) {
            let apart = other_along - along;
            let mm = p.distance(*q);
            if apart >= task.own_near_mm {
                worst_mm = worst_mm.max(asked_mm - mm);
            }
            // the next one that can matter is as far on as is still missing
            let skip_mm = (task.own_near_mm - apart).max(mm - asked_mm).max(0.0);
            j += ((skip_mm / OWN_STEP_MM) as usize).max(1);
        }
    }
    (worst_mm > POINT_MM).then_some(Fault::Own { by_mm: worst_mm })
}

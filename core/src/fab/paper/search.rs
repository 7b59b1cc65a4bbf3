//! Which of its two neighbours each number goes to.

use super::choice::Choices;
use super::{GOOD_MM, GOOD_RAD, Miss};
use crate::fab::piece::Piece;
use glam::DVec3;

/// The nearest neighbours are kept while the miss stays under this part of what is good enough.
const KEEP: f64 = 0.5;
/// Pieces that are alike keep one length while it stays under this part: a stop is set once for all of them.
const KEEP_ALIKE: f64 = 0.9;
/// Numbers up to which every combination is looked at.
const ALL_TRIED: usize = 14;
/// Most rounds of flipping up to three numbers at a time.
const ROUNDS: usize = 50;

/// A miss as shift and turn, each as a part of what is good enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Offset {
    shift: DVec3,
    turn: DVec3,
}

impl Offset {
    /// From a shift in mm and a turn in rad.
    pub(super) fn new(shift_mm: DVec3, turn_rad: DVec3) -> Self {
        Self { shift: shift_mm / GOOD_MM, turn: turn_rad / GOOD_RAD }
    }

    /// The same as numbers to read.
    pub(super) fn miss(self) -> Miss {
        Miss { offset_mm: self.shift.length() * GOOD_MM, angle_rad: self.turn.length() * GOOD_RAD }
    }

    fn squared(self) -> f64 {
        self.shift.length_squared() + self.turn.length_squared()
    }

    fn plus(self, other: Self, sign: f64) -> Self {
        Self { shift: self.shift + other.shift * sign, turn: self.turn + other.turn * sign }
    }
}

/// The pieces that miss the end least, as far as looked, and their miss.
pub(super) fn best(choices: &Choices<'_>, measure: &dyn Fn(&[Piece]) -> Offset) -> (Vec<Piece>, Miss) {
    let near = choices.nearest();
    let mut pieces = choices.pieces(&near);
    let mut offset = measure(&pieces);
    for untied in [false, true] {
        let enough = if untied { KEEP_ALIKE } else { KEEP };
        if offset.squared() <= enough * enough {
            break;
        }
        // equal slices keep one length where that is good enough
        let loose;
        let list = if untied {
            loose = choices.untied();
            &loose
        } else {
            choices
        };
        let found = list.pieces(&search(list, measure));
        let reached = measure(&found);
        if reached.squared() < offset.squared() {
            (pieces, offset) = (found, reached);
        }
    }
    (pieces, offset.miss())
}

/// The choice that is best when the effects of the numbers add up, as they very nearly do.
fn search(choices: &Choices<'_>, measure: &dyn Fn(&[Piece]) -> Offset) -> Vec<bool> {
    let mut up = choices.nearest();
    let base = measure(&choices.pieces(&up));
    let effects: Vec<Offset> = (0..choices.len())
        .map(|i| {
            up[i] = !up[i];
            let there = measure(&choices.pieces(&up));
            up[i] = !up[i];
            there.plus(base, -1.0)
        })
        .collect();
    let flips = if effects.len() <= ALL_TRIED { every(base, &effects) } else { descend(base, &effects) };
    up.iter().zip(flips).map(|(u, f)| *u != f).collect()
}

/// The best of all combinations, one flip after the other in the order of the Gray code.
fn every(base: Offset, effects: &[Offset]) -> Vec<bool> {
    let mut flips = vec![false; effects.len()];
    let (mut at, mut best, mut kept) = (base, base.squared(), flips.clone());
    for count in 1..1_u32 << effects.len() {
        let i = count.trailing_zeros() as usize;
        at = at.plus(effects[i], if flips[i] { -1.0 } else { 1.0 });
        flips[i] = !flips[i];
        if at.squared() < best - 1e-12 {
            (best, kept) = (at.squared(), flips.clone());
        }
    }
    kept
}

/// Flips one, two or three numbers at a time as long as that helps.
fn descend(base: Offset, effects: &[Offset]) -> Vec<bool> {
    let n = effects.len();
    let mut flips = vec![false; n];
    let mut at = base;
    for _ in 0..ROUNDS {
        let signed: Vec<Offset> = effects
            .iter()
            .zip(&flips)
            .map(|(e, f)| {
                Offset { shift: DVec3::ZERO, turn: DVec3::ZERO }.plus(*e, if *f { -1.0 } else { 1.0 })
            })
            .collect();
        let mut best = (at.squared() - 1e-12, [None; 3]);
        for i in 0..n {
            let one = at.plus(signed[i], 1.0);
            if one.squared() < best.0 {
                best = (one.squared(), [Some(i), None, None]);
            }
            for j in i + 1..n {
                let two = one.plus(signed[j], 1.0);
                if two.squared() < best.0 {
                    best = (two.squared(), [Some(i), Some(j), None]);
                }
                for (k, third) in signed.iter().enumerate().skip(j + 1) {
                    let three = two.plus(*third, 1.0).squared();
                    if three < best.0 {
                        best = (three, [Some(i), Some(j), Some(k)]);
                    }
                }
            }
        }
        if best.1[0].is_none() {
            break;
        }
        for i in best.1.into_iter().flatten() {
            at = at.plus(signed[i], 1.0);
            flips[i] = !flips[i];
        }
    }
    flips
}

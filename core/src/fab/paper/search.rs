//! Which of its two neighbours each number goes to.

use super::Miss;
use super::choice::Choices;
use super::laying::{Laying, Offset};
use crate::fab::piece::Piece;

/// The nearest neighbours are kept while the miss stays under this part of what is good enough.
const KEEP: f64 = 0.5;
/// Pieces that are alike keep one length while it stays under this part: a stop is set once for all of them.
const KEEP_ALIKE: f64 = 0.9;
/// Numbers up to which every combination is looked at.
const ALL_TRIED: usize = 14;
/// Most rounds of flipping up to three numbers at a time.
const ROUNDS: usize = 50;
/// Most flips that are weighed after which no further round begins: some 10 ms.
const MOST_STEPS: usize = 2_000_000;
/// Of more numbers than this not all triples are weighed in one round.
const TRIPLED: usize = 64;
/// A miss under this part of what is good enough is not worth looking further: 1/100 mm.
const ENOUGH: f64 = 0.02;

/// The pieces that miss the end least, as far as looked, and their miss.
pub(super) fn best(choices: &Choices<'_>, laying: &Laying<'_>) -> (Vec<Piece>, Miss) {
    let near = choices.nearest();
    let mut pieces = choices.pieces(&near);
    let mut offset = laying.miss(&pieces);
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
        let found = list.pieces(&search(list, laying));
        let reached = laying.miss(&found);
        if reached.squared() < offset.squared() {
            (pieces, offset) = (found, reached);
        }
    }
    (pieces, offset.miss())
}

/// The choice that is best when the effects of the numbers add up, as they very nearly do.
fn search(choices: &Choices<'_>, laying: &Laying<'_>) -> Vec<bool> {
    let mut up = choices.nearest();
    let pieces = choices.pieces(&up);
    let frames = laying.frames(&pieces);
    let base = laying.miss(&pieces);
    let effects: Vec<Offset> = (0..choices.len())
        .map(|i| {
            let range = choices.touched(i);
            up[i] = !up[i];
            let others = choices.stretch(range.clone(), &up);
            up[i] = !up[i];
            laying.miss_with(&pieces, &frames, range, &others).plus(base, -1.0)
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

/// Flips one, two or three numbers at a time as long as that helps, or until there is nothing left worth having.
///
/// Pairs are all looked at. Triples are n³/6, so of many numbers only some are tried as triples, others each round: of
/// 200 bends there are 1,000 numbers, and among as many pairs there is nearly always one that will do.
fn descend(base: Offset, effects: &[Offset]) -> Vec<bool> {
    let n = effects.len();
    let mut flips = vec![false; n];
    let mut signed = effects.to_vec();
    let mut at = base;
    let mut steps = 0;
    for round in 0..ROUNDS {
        if at.squared() < ENOUGH * ENOUGH || steps > MOST_STEPS {
            break;
        }
        let mut best = Better { squared: at.squared() - 1e-12, flips: [None; 3] };
        for i in 0..n {
            let one = at.plus(signed[i], 1.0);
            best.take(one.squared(), [Some(i), None, None]);
            for (j, second) in signed.iter().enumerate().skip(i + 1) {
                best.take(one.plus(*second, 1.0).squared(), [Some(i), Some(j), None]);
            }
        }
        let some = spread(n, round);
        for (a, &i) in some.iter().enumerate() {
            let one = at.plus(signed[i], 1.0);
            for (b, &j) in some.iter().enumerate().skip(a + 1) {
                let two = one.plus(signed[j], 1.0);
                for &k in &some[b + 1..] {
                    best.take(two.plus(signed[k], 1.0).squared(), [Some(i), Some(j), Some(k)]);
                }
            }
        }
        steps += n * n / 2 + some.len().pow(3) / 6;
        let few = some.len() < n;
        match best.flips {
            // other triples may still help
            [None, ..] if few => {}
            [None, ..] => break,
            found => {
                for i in found.into_iter().flatten() {
                    at = at.plus(signed[i], 1.0);
                    signed[i] = signed[i].turned_round();
                    flips[i] = !flips[i];
                }
            }
        }
    }
    flips
}

/// The best flips so far.
struct Better {
    squared: f64,
    flips: [Option<usize>; 3],
}

impl Better {
    fn take(&mut self, squared: f64, flips: [Option<usize>; 3]) {
        if squared < self.squared {
            *self = Self { squared, flips };
        }
    }
}

/// At most [`TRIPLED`] of `n` numbers, spread over all of them, and other ones each round.
fn spread(n: usize, round: usize) -> Vec<usize> {
    let stride = n.div_ceil(TRIPLED).max(1);
    (0..n).skip(round % stride).step_by(stride).collect()
}

#[cfg(test)]
mod tests;

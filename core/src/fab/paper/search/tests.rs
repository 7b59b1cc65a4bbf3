use super::*;
use glam::DVec3;

/// Effects of `n` numbers that look random and are the same everywhere.
fn effects(n: usize, size: f64, seed: u64) -> Vec<Offset> {
    let mut state = seed | 1;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5) * size
    };
    (0..n)
        .map(|_| Offset::new(DVec3::new(next(), next(), next()), DVec3::new(next(), next(), next()) / 500.0))
        .collect()
}

fn sum(base: Offset, effects: &[Offset], flips: &[bool]) -> f64 {
    let chosen = effects.iter().zip(flips).filter(|(_, f)| **f);
    chosen.fold(base, |at, (e, _)| at.plus(*e, 1.0)).squared()
}

fn sum_of_none() -> Offset {
    Offset::new(DVec3::ZERO, DVec3::ZERO)
}

#[test]
fn all_combinations_of_few_numbers_are_weighed() {
    for seed in 1..20 {
        let list = effects(9, 1.0, seed);
        let base = list[0].plus(list[3], 1.7);
        let brute = (0..1_u32 << 9)
            .map(|bits| sum(base, &list, &(0..9).map(|i| bits >> i & 1 == 1).collect::<Vec<_>>()))
            .fold(f64::INFINITY, f64::min);
        assert!((sum(base, &list, &every(base, &list)) - brute).abs() < 1e-9);
    }
}

#[test]
fn of_many_numbers_a_choice_that_will_do_is_found_in_a_bounded_number_of_steps() {
    for (n, seed) in [(40, 1), (150, 2), (300, 3), (700, 4), (1200, 5)] {
        let list = effects(n, 2.0, seed);
        // nearest numbers are off by up to half a step each
        let off = |i: usize| -((i * 37 % 50) as f64 / 100.0);
        let base = list.iter().enumerate().fold(sum_of_none(), |at, (i, e)| at.plus(*e, off(i)));
        let flips = descend(base, &list);
        let left = sum(base, &list, &flips);
        assert!(left < KEEP * KEEP, "{n}: {left}");
    }
}

#[test]
fn every_number_takes_its_turn_among_the_triples() {
    let mut seen = [false; 200];
    for round in 0..4 {
        let some = spread(200, round);
        assert!(some.len() <= TRIPLED);
        for i in &some {
            seen[*i] = true;
        }
    }
    assert_eq!(seen, [true; 200]);
    assert_eq!(spread(30, 7), (0..30).collect::<Vec<_>>());
}

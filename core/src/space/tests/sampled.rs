//! Random scenes against dense sampling.

use super::sampling::{least_over_surface, point_to_solid};
use super::*;
use crate::geom::tolerance::GAP_MM;

/// Samples are points of the surface, so they can only be too far apart, and by no more than this, mm.
const SAMPLED_MM: f64 = 0.04;

/// `gap` may exceed the truth by what the search allows, and the sampled one exceeds it by what sampling does.
fn agree(gap_mm: f64, sampled_mm: f64) -> bool {
    (-SAMPLED_MM..GAP_MM).contains(&(gap_mm - sampled_mm))
}

/// Largest difference over random scenes where the two are apart.
fn worst_to_shapes(seed: u64, scenes: usize, solid_kind: usize) -> f64 {
    let mut dice = Dice::new(seed);
    let (mut worst, mut apart) = (0.0_f64, 0);
    for n in 0.. {
        let solid = dice.solid(solid_kind, 120.0);
        let shape = PlacedShape::new(&dice.shape(n), &dice.pose(200.0));
        let gap = gap_to_shape(&solid, &shape, f64::INFINITY).unwrap();
        if gap.gap_mm > 0.0 {
            let sampled = least_over_surface(&solid, &|p| shape.signed_distance(p));
            let off = gap.gap_mm - sampled;
            assert!(
                agree(gap.gap_mm, sampled),
                "scene {n}: {gap:?}, sampled {sampled}\n{solid:?}\n{shape:?}"
            );
            assert!((gap.on_first.distance(gap.on_second) - gap.gap_mm).abs() < 1e-6, "scene {n}: {gap:?}");
            worst = worst.max(off.abs());
            apart += 1;
        }
        if apart == scenes {
            break;
        }
    }
    worst
}

#[test]
fn tubes_agree_with_sampling() {
    println!("barrel: {}", worst_to_shapes(1, 300, 0));
}

#[test]
fn elbows_agree_with_sampling() {
    println!("elbow: {}", worst_to_shapes(2, 200, 1));
}

#[test]
fn drums_tapers_and_blocks_agree_with_sampling() {
    println!("drum: {}", worst_to_shapes(3, 60, 2));
    println!("taper: {}", worst_to_shapes(7, 200, 3));
    println!("block: {}", worst_to_shapes(4, 60, 4));
}

#[test]
fn pairs_of_solids_agree_with_sampling() {
    let mut dice = Dice::new(5);
    let (mut worst, mut apart, mut n) = (0.0_f64, 0, 0);
    while apart < 200 {
        n += 1;
        let (a, b) = (dice.solid(n, 100.0), dice.solid(n / 5, 180.0));
        let gap = gap_between(&a, &b, f64::INFINITY).unwrap();
        if gap.gap_mm > 0.0 {
            let sampled = least_over_surface(&a, &|p| point_to_solid(&b, p));
            let off = gap.gap_mm - sampled;
            assert!(agree(gap.gap_mm, sampled), "scene {n}: {gap:?}, sampled {sampled}\n{a:?}\n{b:?}");
            worst = worst.max(off.abs());
            apart += 1;
        }
    }
    println!("pairs: {worst} of {n}");
}

#[test]
fn the_gap_is_the_same_from_either_side() {
    let mut dice = Dice::new(6);
    for n in 0..600 {
        let (a, b) = (dice.solid(n, 120.0), dice.solid(n / 5, 200.0));
        let (there, back) = (gap_between(&a, &b, 1e9).unwrap(), gap_between(&b, &a, 1e9).unwrap());
        let apart = there.gap_mm > 0.0 || back.gap_mm > 0.0;
        assert!(!apart || (there.gap_mm - back.gap_mm).abs() < GAP_MM, "{there:?} {back:?}\n{a:?}\n{b:?}");
    }
}

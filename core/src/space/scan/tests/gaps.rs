//! Gaps in random scenes.

use super::super::super::tests::sampling::least_over_surface;
use super::super::leaf::Part;
use super::*;
use crate::geom::tolerance::GAP_MM;

/// Samples are points of the surface, so they can only be too far apart, and by no more than this, mm.
const SAMPLED_MM: f64 = 0.06;

/// A scan of some kind, near the origin.
fn scene(dice: &mut Dice, kind: usize) -> PlacedScan {
    let (a, b) = (dice.between(0.01, 0.05), dice.between(5.0, 25.0));
    let plain = match kind % 4 {
        0 => sheet(5, 150.0, |x, y| b * (a * x).sin() * (a * y).cos()),
        1 => ball(5, dice.between(30.0, 120.0)),
        2 => shards(dice, 50, 150.0, 40.0),
        _ => sheet(1, 150.0, |_, _| 0.0),
    };
    let scale = [1.0, 25.4, 1000.0][kind % 3];
    let shrunk = (plain.0.iter().map(|&p| p / scale).collect(), plain.1);
    placed_at(&shrunk, &dice.pose(150.0), scale)
}

#[test]
fn solids_apart_from_a_scan_agree_with_dense_sampling() {
    let mut dice = Dice::new(11);
    let (mut worst, mut apart, mut n) = (0.0_f64, 0, 0);
    while apart < 130 {
        n += 1;
        let scan = scene(&mut dice, n / 4);
        let solid = dice.solid(n, 200.0);
        let found = scan.tightest(&[solid], f64::INFINITY, None).unwrap();
        let gap = found.gap;
        if gap.gap_mm <= 0.0 {
            continue;
        }
        let corners = all_corners(&scan);
        let sampled = least_over_surface(&solid, &|p| to_nearest(&corners, p));
        let off = gap.gap_mm - sampled;
        assert!((-SAMPLED_MM..GAP_MM).contains(&off), "scene {n}: {gap:?}, sampled {sampled}\n{solid:?}");
        // the points are where they are said to be
        assert!((gap.on_first.distance(gap.on_second) - gap.gap_mm).abs() < 1e-6, "scene {n}: {gap:?}");
        let on = nearest_on_triangle(corners[found.triangle as usize], gap.on_second);
        assert!(on.distance(gap.on_second) < 1e-6, "scene {n}: {gap:?}");
        worst = worst.max(off.abs());
        apart += 1;
    }
    println!("worst {worst} mm in {apart} scenes of {n}");
}

/// The tightest gap by measuring every solid to every triangle.
fn by_all_triangles(scan: &PlacedScan, solids: &[Solid]) -> f64 {
    let parts: Vec<Part> = solids.iter().map(|s| Part::of_solid(&scan.solid_on_bench(s)).unwrap()).collect();
    let mut least = f64::INFINITY;
    for triangle in 0..scan.tree().scan().len() as u32 {
        for part in &parts {
            let gap = part.gap_to(scan.bench_corners(triangle), f64::INFINITY).unwrap();
            least = least.min(gap.gap_mm);
        }
    }
    least
}

#[test]
fn the_tree_misses_no_triangle() {
    let mut dice = Dice::new(12);
    let (mut touching, mut worst) = (0, 0.0_f64);
    for n in 0..200 {
        let scan = scene(&mut dice, n);
        let solids: Vec<Solid> = (0..3).map(|i| dice.solid(n + i, 300.0)).collect();
        let fast = scan.tightest(&solids, f64::INFINITY, None).unwrap().gap.gap_mm;
        let slow = by_all_triangles(&scan, &solids);
        if slow > 0.0 {
            worst = worst.max((fast - slow).abs());
            assert!((fast - slow).abs() < GAP_MM, "scene {n}: {fast} {slow}");
        } else {
            touching += 1;
            assert!(fast <= 0.0, "scene {n}: {fast} {slow}");
            // how deep is an estimate, but the same one
            assert!(fast - slow < 0.1, "scene {n}: {fast} {slow}");
        }
    }
    println!("worst {worst} mm, {touching} touching");
    assert!((20..180).contains(&touching), "{touching}");
}

#[test]
fn a_cut_off_finds_the_same_or_nothing() {
    let mut dice = Dice::new(13);
    for n in 0..150 {
        let scan = scene(&mut dice, n);
        let solids = [dice.solid(n, 250.0), dice.solid(n + 1, 250.0)];
        let all = scan.tightest(&solids, f64::INFINITY, None).unwrap().gap.gap_mm;
        let looser = scan.tightest(&solids, all.max(0.0) + 3.0, None).unwrap().gap.gap_mm;
        assert!((all.max(0.0) - looser.max(0.0)).abs() < GAP_MM, "scene {n}: {all} {looser}");
        if all > 1.0 {
            assert_eq!(scan.tightest(&solids, all - 0.1, None), None, "scene {n}");
        }
    }
}

#[test]
fn a_hint_changes_no_gap_even_if_it_is_wrong() {
    let mut dice = Dice::new(14);
    for n in 0..150 {
        let scan = scene(&mut dice, n);
        let solids = [dice.solid(n, 250.0), dice.solid(n + 1, 250.0)];
        let fresh = scan.tightest(&solids, 300.0, None);
        let far = Hint { triangle: dice.between(0.0, scan.tree().scan().len() as f64) as u32 };
        for hint in [fresh.map(|found| found.hint()), Some(far), Some(Hint { triangle: u32::MAX })] {
            let again = scan.tightest(&solids, 300.0, hint);
            let gap = |found: Option<ScanGap>| found.map_or(300.0, |f| f.gap.gap_mm.max(0.0));
            assert!((gap(fresh) - gap(again)).abs() < GAP_MM, "scene {n}: {fresh:?} {again:?}");
        }
    }
}

#[test]
fn where_the_scan_is_turned_and_scaled_the_gap_goes_along() {
    let mut dice = Dice::new(15);
    for n in 0..60 {
        let plain = shards(&mut dice, 60, 150.0, 40.0);
        let solid = dice.solid(n, 250.0);
        let pose = dice.pose(500.0);
        // the same shards put there by hand
        let turn = pose.rotation();
        let by_hand = plain.0.iter().map(|&p| pose.position_mm + turn * (p * 25.4)).collect();
        let gap = |scan: PlacedScan| scan.tightest(&[solid], f64::INFINITY, None).unwrap().gap.gap_mm;
        let (there, here) = (gap(placed_at(&plain, &pose, 25.4)), gap(placed(&(by_hand, plain.1.clone()))));
        assert!((there.max(0.0) - here.max(0.0)).abs() < GAP_MM, "scene {n}: {there} {here}");
    }
}

//! Random scenes: no sampled position is tighter than what was found, and what was found is at a real position.

use super::*;
use crate::space::scan::{Scan, ScanTree, ScanUnit, Unwatched};
use crate::space::tests::sampling::least_over_surface;
use std::sync::Arc;

/// The gap with the first body and the second put somewhere.
type GapAt<'a> = dyn Fn((DQuat, DVec3), (DQuat, DVec3)) -> f64 + 'a;

/// Shares of both movements: X, Y, Z, roll of the first, then of the second.
type Shares = [f64; 8];

fn sampled(movements: [&Movement; 2], gap_at: &GapAt<'_>) -> f64 {
    let at = |s: &Shares| {
        let [own, other] = [[s[0], s[1], s[2], s[3]], [s[4], s[5], s[6], s[7]]];
        gap_at(put(movements[0], own), put(movements[1], other))
    };
    let moves = |i: usize| {
        let movement = movements[i / 4];
        if i % 4 == 3 { movement.roll.is_some() } else { movement.shift_mm[i % 4] > 0.0 }
    };
    let free: Vec<usize> = (0..8).filter(|&i| moves(i)).collect();
    let mut seen: Vec<(f64, Shares)> = Vec::new();
    // rolls in nine steps, shifts in three; the second body's shift only widens the first's
    let steps = |i: usize| if i % 4 == 3 { 9 } else { 3 };
    let grid: Vec<usize> = free.iter().copied().filter(|&i| i < 4 || i == 7 || !moves(i - 4)).collect();
    let count: usize = grid.iter().map(|&i| steps(i)).product();
    for n in 0..count {
        let (mut left, mut shares) = (n, [0.0; 8]);
        for &i in &grid {
            shares[i] = (left % steps(i)) as f64 / (steps(i) - 1) as f64 * 2.0 - 1.0;
            left /= steps(i);
        }
        for i in 0..3 {
            if moves(i) && moves(i + 4) {
                shares[i + 4] = -shares[i];
            }
        }
        seen.push((at(&shares), shares));
    }
    seen.sort_by(|a, b| a.0.total_cmp(&b.0));
    seen.truncate(4);
    seen.into_iter().map(|start| sharpened(start, &free, &at)).fold(f64::INFINITY, f64::min)
}

/// One share after the other, in steps that shrink, and all of them together along what helped.
fn sharpened(start: (f64, Shares), free: &[usize], at: &dyn Fn(&Shares) -> f64) -> f64 {
    let (mut best, mut step) = (start, 0.5);
    while step > 1e-3 {
        let before = best;
        for &i in free {
            for sense in [-1.0, 1.0] {
                let mut next = best.1;
                next[i] = (next[i] + sense * step).clamp(-1.0, 1.0);
                let gap = at(&next);
                if gap < best.0 {
                    best = (gap, next);
                }
            }
        }
        if best.0 > before.0 - 1e-6 {
            step *= 0.5;
        }
    }
    best.0
}

fn random_movement(dice: &mut Dice, kind: usize) -> Movement {
    let shift_mm = match kind % 4 {
        0 => DVec3::ZERO,
        1 => DVec3::new(0.0, dice.between(1.0, 20.0), 0.0),
        _ => dice.point(15.0).abs(),
    };
    let through_mm = if kind.is_multiple_of(5) { dice.point(2000.0) } else { dice.point(300.0) };
    let roll = Roll { through_mm, axis: dice.direction() * 3.0, turn_deg: dice.between(0.5, 10.0) };
    Movement { shift_mm, roll: (kind % 4 != 1).then_some(roll) }
}

/// The movements of scene `n`: one body in two of three, both in the others.
fn random_movements(dice: &mut Dice, n: usize) -> [Movement; 2] {
    let own = random_movement(dice, n);
    let other = if n.is_multiple_of(3) { random_movement(dice, n / 3 + 1) } else { Movement::default() };
    [own, other]
}

/// What is said of `swept` has to hold against the gaps at sampled positions; whether they are apart.
fn check(
    scene: &str,
    movements: [&Movement; 2],
    swept: &SweptGap,
    gap_at: &GapAt<'_>,
    point_bound_mm: f64,
) -> bool {
    let at = &swept.at;
    assert!(is_allowed(movements[0], &at.own) && is_allowed(movements[1], &at.other), "{scene}: {at:?}");
    let there = gap_at(at.own.motion(), at.other.motion());
    let sampled_mm = sampled(movements, gap_at);
    if swept.gap.gap_mm <= 0.0 {
        assert!(there <= 0.0, "{scene}: {swept:?}, there {there}");
        return false;
    }
    assert!((there - swept.gap.gap_mm).abs() < 0.01, "{scene}: {swept:?}, there {there}");
    let apart_mm = swept.gap.on_first.distance(swept.gap.on_second);
    assert!((apart_mm - swept.gap.gap_mm).abs() < point_bound_mm, "{scene}: {swept:?}");
    assert!(sampled_mm > swept.never_below_mm - 0.011, "{scene}: {swept:?}, sampled {sampled_mm}");
    assert!(sampled_mm > swept.gap.gap_mm - 0.061, "{scene}: {swept:?}, sampled {sampled_mm}");
    assert!(swept.never_below_mm > swept.gap.gap_mm - 0.061, "{scene}: given up: {swept:?}");
    true
}

#[test]
fn no_position_of_a_pipe_and_an_obstacle_is_tighter_than_the_one_found() {
    let mut dice = Dice::new(41);
    let (mut apart, mut n) = (0, 0);
    while apart < 80 {
        n += 1;
        let movements = random_movements(&mut dice, n);
        let solid = dice.solid(n, 120.0);
        let (form, pose) = (dice.shape(n / 4), dice.pose(250.0));
        let placed = PlacedShape::new(&form, &pose);
        let motion = Motion::between(&movements[0], &movements[1]).unwrap();
        let swept = motion.tightest(&[solid], &placed, f64::INFINITY).unwrap();
        let gap_at = |own: (DQuat, DVec3), other| {
            let there = PlacedShape::new(&form, &moved_pose(&pose, other));
            gap_to_shape(&solid.moved(own.0, own.1), &there, f64::INFINITY).unwrap().gap_mm
        };
        let [own, other] = &movements;
        let scene = format!("scene {n}: {solid:?} {form:?} {pose:?} {movements:?}");
        apart += usize::from(check(&scene, [own, other], &swept, &gap_at, 1e-6));
    }
    println!("{n} scenes");
}

#[test]
fn no_position_of_two_pipes_is_tighter_than_the_one_found() {
    let mut dice = Dice::new(42);
    let (mut apart, mut n) = (0, 0);
    while apart < 60 {
        n += 1;
        let movements = random_movements(&mut dice, n);
        let a = [dice.solid(n, 150.0), dice.solid(n + 1, 150.0)];
        let b = [dice.solid(n / 4, 150.0), dice.solid(n / 2, 150.0)];
        let motion = Motion::between(&movements[0], &movements[1]).unwrap();
        let (other, swept) = motion.tightest_between(&a, &b, f64::INFINITY).unwrap();
        let all_at = |own: (DQuat, DVec3), other: (DQuat, DVec3)| {
            let [a, b] = [a.map(|s| s.moved(own.0, own.1)), b.map(|s| s.moved(other.0, other.1))];
            tightest_between(&a, &b, f64::INFINITY, &|_, _| false).unwrap().2.gap_mm
        };
        let [own, second] = &movements;
        let scene = format!("scene {n}");
        if check(&scene, [own, second], &swept, &all_at, 1e-6) {
            apart += 1;
            let (own, second) = (swept.at.own.motion(), swept.at.other.motion());
            let pair = [a[swept.solid].moved(own.0, own.1), b[other].moved(second.0, second.1)];
            let gap = gap_between(&pair[0], &pair[1], f64::INFINITY).unwrap();
            assert!((gap.gap_mm - swept.gap.gap_mm).abs() < 0.01, "{scene}: the pair told is another");
        }
    }
}

/// Measured with points on the surface, which shares no code with the search.
#[test]
fn the_gap_told_is_there_when_the_surfaces_are_sampled() {
    let mut dice = Dice::new(43);
    let (mut apart, mut n) = (0, 0);
    while apart < 12 {
        n += 1;
        let movements = random_movements(&mut dice, n);
        let solid = dice.solid(n, 120.0);
        let (form, pose) = (dice.shape(n), dice.pose(250.0));
        let motion = Motion::between(&movements[0], &movements[1]).unwrap();
        let swept = motion.tightest(&[solid], &PlacedShape::new(&form, &pose), f64::INFINITY).unwrap();
        if swept.gap.gap_mm > 0.0 {
            apart += 1;
            let (rotation, translation) = swept.at.own.motion();
            let there = PlacedShape::new(&form, &moved_pose(&pose, swept.at.other.motion()));
            let moved = solid.moved(rotation, translation);
            let seen = least_over_surface(&moved, &|p| there.signed_distance(p));
            assert!((seen - swept.gap.gap_mm).abs() < 0.05, "scene {n}: {swept:?}, sampled {seen}");
        }
    }
}

#[test]
fn no_position_in_or_beside_the_hole_of_a_panel_is_tighter_than_the_one_found() {
    let mut dice = Dice::new(44);
    let (mut apart, mut n) = (0, 0);
    while apart < 16 {
        n += 1;
        let movements = random_movements(&mut dice, n);
        let solid = dice.solid(n, 40.0);
        let holes = vec![Hole {
            x_mm: dice.between(-40.0, 40.0),
            y_mm: dice.between(-40.0, 40.0),
            diameter_mm: dice.between(120.0, 260.0),
        }];
        let form = Shape::Panel { width_mm: 400.0, height_mm: 350.0, thickness_mm: 3.0, holes };
        let pose = dice.pose(60.0);
        let motion = Motion::between(&movements[0], &movements[1]).unwrap();
        let swept = motion.tightest(&[solid], &PlacedShape::new(&form, &pose), f64::INFINITY).unwrap();
        let gap_at = |own: (DQuat, DVec3), other| {
            let there = PlacedShape::new(&form, &moved_pose(&pose, other));
            gap_to_shape(&solid.moved(own.0, own.1), &there, f64::INFINITY).unwrap().gap_mm
        };
        let [own, other] = &movements;
        apart += usize::from(check(&format!("scene {n}"), [own, other], &swept, &gap_at, 1e-6));
    }
}

#[test]
fn no_position_of_a_pipe_and_a_scan_is_tighter_than_the_one_found() {
    let mut dice = Dice::new(45);
    let cells = 9_u32;
    let height = |x: f64, y: f64| 25.0 * (x / 60.0).sin() * (y / 45.0).cos();
    let along = |i: u32| 200.0 * (2.0 * f64::from(i) / f64::from(cells) - 1.0);
    let points: Vec<DVec3> = (0..=cells)
        .flat_map(|j| (0..=cells).map(move |i| (along(i), along(j))))
        .map(|(x, y)| DVec3::new(x, y, height(x, y)))
        .collect();
    let at = |i: u32, j: u32| j * (cells + 1) + i;
    let triangles: Vec<[u32; 3]> = (0..cells * cells)
        .map(|n| (n % cells, n / cells))
        .flat_map(|(i, j)| {
            [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]]
        })
        .collect();
    let scan = Scan::from_triangles(&points, &triangles, ScanUnit::Millimetre).unwrap();
    let tree = Arc::new(ScanTree::new(scan, &Unwatched).unwrap());
    let (mut apart, mut n) = (0, 0);
    while apart < 24 {
        n += 1;
        let movements = random_movements(&mut dice, n);
        let solids = [dice.solid(n, 200.0), dice.solid(n + 1, 200.0)];
        let pose = dice.pose(250.0);
        let placed = PlacedScan::new(Arc::clone(&tree), &pose, 1.0).unwrap();
        let motion = Motion::between(&movements[0], &movements[1]).unwrap();
        let swept = motion.tightest_to_scan(&solids, &placed, f64::INFINITY).unwrap();
        let gap_at = |own: (DQuat, DVec3), other| {
            let there = PlacedScan::new(Arc::clone(&tree), &moved_pose(&pose, other), 1.0).unwrap();
            let moved = solids.map(|s| s.moved(own.0, own.1));
            there.tightest(&moved, f64::INFINITY, None).unwrap().gap.gap_mm
        };
        let [own, other] = &movements;
        apart += usize::from(check(&format!("scene {n}"), [own, other], &swept, &gap_at, 1e-6));
    }
}

#[test]
fn few_measurings_answer_for_an_engine_that_rolls_three_degrees_and_shifts_ten_millimetres() {
    let mut dice = Dice::new(46);
    let (mut all, mut most, mut scenes) = (0, 0, 0);
    while scenes < 200 {
        let mut own = rolls(dice.point(100.0), DVec3::X + dice.point(0.1), 3.0);
        own.shift_mm = DVec3::splat(10.0);
        let motion = against_still(&own);
        let solids: Vec<Solid> = (0..8).map(|k| dice.solid(k, 300.0)).collect();
        let pose = Pose { position_mm: dice.point(600.0), ..dice.pose(1.0) };
        let placed = PlacedShape::new(&dice.shape(scenes % 4), &pose);
        let target = Target::Bodies(vec![placed.body().unwrap()]);
        let mut search = StandSearch::new(&motion, &solids, &target, f64::INFINITY);
        let found = search.run().unwrap();
        if found.never_below_mm > 0.0 {
            scenes += 1;
            all += search.measured;
            most = most.max(search.measured);
        }
    }
    println!("measured {} pairs a scene, at most {most}", all as f64 / scenes as f64);
    assert!(all < 12 * scenes && most < 40, "{all} for {scenes} scenes, at most {most}");
}

//! Rays, nearest points, boxes and memory.

use super::*;

#[test]
fn a_ray_meets_what_every_triangle_says() {
    let mut dice = Dice::new(21);
    let (mut met, mut missed) = (0, 0);
    for n in 0..40 {
        let plain = if n % 2 == 0 { shards(&mut dice, 150, 150.0, 40.0) } else { ball(12, 100.0) };
        let scan = placed_at(&plain, &dice.pose(300.0), 2.5);
        let corners = all_corners(&scan);
        let (low, high) = scan.bounds();
        for _ in 0..25 {
            let from = low.midpoint(high) + dice.direction() * 1500.0;
            let along = low.midpoint(high) + dice.point(300.0) - from;
            // by the plane of each triangle and the sides of its edges, seen along the ray
            let by_all = corners
                .iter()
                .filter_map(|&[a, b, c]| {
                    let normal = (b - a).cross(c - a);
                    let part = (a - from).dot(normal) / along.dot(normal);
                    let on = from + along * part;
                    let inside = |p: DVec3, q: DVec3| {
                        (q - p).cross(on - p).dot(normal) >= -1e-9 * normal.length_squared()
                    };
                    (part >= 0.0 && inside(a, b) && inside(b, c) && inside(c, a))
                        .then_some(part * along.length())
                })
                .fold(f64::INFINITY, f64::min);
            if let Some(hit) = scan.pick(from, along * 0.1) {
                assert!((hit.distance_mm - by_all).abs() < 1e-6, "{hit:?} {by_all}");
                assert!((hit.point.distance(from) - hit.distance_mm).abs() < 1e-6);
                let [a, b, c] = corners[hit.triangle as usize];
                assert!(nearest_on_triangle([a, b, c], hit.point).distance(hit.point) < 1e-6);
                assert!(hit.normal.dot(along) <= 0.0 && (hit.normal.length() - 1.0).abs() < 1e-9);
                assert!(hit.normal.dot(b - a).abs() < 1e-6 * (b - a).length());
                met += 1;
            } else {
                assert!(by_all.is_infinite(), "missed at {by_all}");
                missed += 1;
            }
        }
    }
    assert!(met > 300 && missed > 50, "{met} {missed}");
    assert_eq!(placed(&ball(4, 1.0)).pick(DVec3::ZERO, DVec3::ZERO), None);
}

#[test]
fn no_ray_slips_through_a_closed_scan() {
    let scan = placed_at(&ball(16, 100.0), &Pose::at(DVec3::new(1.0, 2.0, 3.0)), 1.0);
    // at the corners and along the edges, where neighbours meet
    for corners in all_corners(&scan) {
        for target in [corners[0], corners[1].midpoint(corners[2]), corners[0].lerp(corners[1], 0.3)] {
            let from = DVec3::new(1.0, 2.0, 3.0);
            let hit = scan.pick(from, target - from);
            assert!(hit.is_some_and(|hit| hit.point.distance(target) < 1e-3), "{target} {hit:?}");
        }
    }
}

#[test]
fn the_nearest_point_of_a_ball_lies_below() {
    let (rings, radius) = (60, 100.0);
    let scan = placed(&ball(rings, radius));
    // corners are on the ball, the middle of a face below it by no more than r(1 − cos of half an edge's angle), twice
    // over for the diagonal
    let sag = 2.0 * radius * (1.0 - (std::f64::consts::PI / f64::from(rings) / 2.0).cos());
    let mut dice = Dice::new(22);
    for _ in 0..200 {
        let p = dice.direction() * dice.between(20.0, 300.0);
        let found = scan.nearest(p, f64::INFINITY).unwrap();
        let off = found.gap.gap_mm - (p.length() - radius).abs();
        assert!(off.abs() < sag, "{p}: {off}, {sag}");
        assert!((to_nearest(&all_corners(&scan)[..], p) - found.gap.gap_mm).abs() < 0.004);
        assert_eq!(scan.nearest(p, (found.gap.gap_mm - 0.1).max(0.0)), None);
    }
}

#[test]
fn cutting_keeps_what_touches_the_box_and_nothing_else() {
    let mut dice = Dice::new(23);
    for _ in 0..12 {
        let plain = shards(&mut dice, 120, 150.0, 60.0);
        let pose = dice.pose(100.0);
        let scan = placed_at(&plain, &pose, 1.5);
        let (low, high) = {
            let (a, b) = (dice.point(150.0), dice.point(150.0));
            (a.min(b), a.max(b))
        };
        let cut = scan.tree().scan().cut(&pose, 1.5, low, high);
        let kept = cut.as_ref().map_or(0, Scan::len);
        // a triangle touches the box where a point of it is nearest to the box at no distance: descent on a convex sum
        let near = |corners: &[DVec3; 3]| {
            let mut p = (corners[0] + corners[1] + corners[2]) / 3.0;
            for _ in 0..1500 {
                p = nearest_on_triangle(*corners, p.clamp(low, high));
            }
            p.distance(p.clamp(low, high))
        };
        let off: Vec<f64> = all_corners(&scan).iter().map(near).collect();
        let (surely, perhaps) =
            (off.iter().filter(|d| **d < 1e-9).count(), off.iter().filter(|d| **d < 0.2).count());
        assert!((surely..=perhaps).contains(&kept), "{surely} {kept} {perhaps}");
        if let Some(cut) = cut {
            let again =
                PlacedScan::new(Arc::new(ScanTree::new(cut, &Unwatched).unwrap()), &pose, 1.5).unwrap();
            let all = all_corners(&scan);
            assert!(all_corners(&again).iter().all(|t| all.contains(t)), "what is kept has moved");
        }
    }
}

#[test]
fn what_a_cut_would_leave_is_told_before_it_is_made() {
    let mut dice = Dice::new(25);
    let scan = Scan::from_triangles(&ball(12, 80.0).0, &ball(12, 80.0).1, ScanUnit::Millimetre).unwrap();
    let mut some = 0;
    for _ in 0..30 {
        let (a, b) = (dice.point(200.0), dice.point(200.0));
        let (low, high) = (a.min(b), a.max(b));
        let told = scan.inside(2.0, low, high);
        let Some(cut) = scan.cut(&Pose::at(DVec3::ZERO), 2.0, low, high) else {
            assert_eq!(told, None);
            continue;
        };
        some += 1;
        let told = told.unwrap();
        assert_eq!(told.triangles, cut.len());
        let (low, high) = cut.bounds();
        assert!(told.low_mm.distance(low * 2.0) < 1e-9 && told.high_mm.distance(high * 2.0) < 1e-9);
    }
    assert!(some > 10, "{some}");
}

#[test]
fn boxes_of_a_tree_hold_their_triangles_and_every_triangle_is_in_one() {
    let mut dice = Dice::new(24);
    let mut plain = shards(&mut dice, 3000, 500.0, 5.0);
    // many in one place, which cannot be divided by where they are
    for _ in 0..500 {
        let first = plain.0.len() as u32;
        plain.0.extend([DVec3::ZERO, DVec3::X, DVec3::Y]);
        plain.1.push([first, first + 1, first + 2]);
    }
    let scan = placed(&plain);
    let tree = scan.tree();
    let mut seen = vec![0; tree.scan().len()];
    let mut waiting = vec![0_usize];
    while let Some(index) = waiting.pop() {
        let node = tree.nodes()[index];
        if node.count == 0 {
            for child in [node.first as usize, node.first as usize + 1] {
                let inner = tree.nodes()[child];
                assert!(inner.low.cmpge(node.low).all() && inner.high.cmple(node.high).all());
                waiting.push(child);
            }
        }
        for i in node.first..node.first + node.count {
            seen[i as usize] += 1;
            for corner in tree.scan().triangles()[i as usize] {
                let p = tree.scan().points()[corner as usize];
                assert!(p.cmpge(node.low).all() && p.cmple(node.high).all());
            }
        }
    }
    assert!(seen.iter().all(|&times| times == 1));
    assert_eq!(seen.len(), 3500);
    assert!(tree.bytes() < 3500 * 120, "{}", tree.bytes());
}

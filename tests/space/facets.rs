//! Pipes beside meshes of a ball, a bar and a ring against the true forms, to within what the facets are off.

use super::forms::{self, Form};
use super::reference::{Dice, Place, SAMPLED_MM, Sampled, Target, chain, least, solid, turned};
use pipeloft_core::geom::Solid;
use pipeloft_core::geom::tolerance::GAP_MM;
use pipeloft_core::model::obstacle::Pose;
use pipeloft_core::space::scan::{PlacedScan, Scan, ScanTree, ScanUnit, Unwatched};
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

/// How far a facet is off its surface, at most.
///
/// Over a triangle with the sides `du` and `dv` along the parameters, linear interpolation is off by no more than
/// (|Xuu|·du² + 2·|Xuv|·du·dv + |Xvv|·dv²) / 8: Taylor's remainder at the three corners, each weighted with its share λ,
/// and λ(1 − λ) ≤ ¼. Facet and surface are then within that of each other, point by point, and so are the gaps to them.
fn facets_off_mm(second: [f64; 3], du: f64, dv: f64) -> f64 {
    let [uu, uv, vv] = second;
    (uu * du * du + 2.0 * uv * du * dv + vv * dv * dv) / 8.0
}

/// Three solids near each other, or a whole pipe.
fn solids(dice: &mut Dice, n: usize) -> Vec<Solid> {
    if n.is_multiple_of(2) {
        chain(dice, 330.0)
    } else {
        (0..3).map(|i| solid(dice, n / 2 + i, 330.0)).collect()
    }
}

/// Compares a mesh with corners on the true form, both at some pose, in 60 scenes. Nothing of it sticks out of the form
/// by more than `out_mm`.
fn check(form: &Form, seed: u64, off_mm: f64, out_mm: f64, truth: impl Fn(Place) -> Target) {
    let mut dice = Dice::new(seed);
    let scan = Scan::from_triangles(&form.points, &form.triangles, ScanUnit::Millimetre).unwrap();
    let tree = Arc::new(ScanTree::new(scan, &Unwatched).unwrap());
    let (mut apart, mut most_mm) = (0, 0.0_f64);
    for n in 0..60 {
        let pose = Pose { position_mm: dice.point(100.0), turn_deg: dice.turns() };
        let placed = PlacedScan::new(Arc::clone(&tree), &pose, 1.0).unwrap();
        let solids = solids(&mut dice, n);
        let target = truth(Place { turn: turned(pose.turn_deg), at: pose.position_mm });
        let Sampled::Apart(true_mm, _) = least(&solids, &target) else { continue };
        if true_mm < off_mm {
            continue; // the facets may touch
        }
        apart += 1;
        let found = placed.tightest(&solids, f64::INFINITY, None).unwrap();
        let more_mm = found.gap.gap_mm - true_mm;
        let within = -(out_mm + SAMPLED_MM + GAP_MM)..off_mm + GAP_MM;
        assert!(within.contains(&more_mm), "scene {n}: {found:?}, true {true_mm}\n{pose:?}\n{solids:#?}");
        most_mm = most_mm.max(more_mm);
    }
    assert!(apart >= 20, "{apart}");
    // the bound is no idle one: the facets do show
    assert!(most_mm > off_mm / 10.0, "{most_mm} of {off_mm}");
}

#[test]
fn pipes_keep_their_gaps_to_a_ball_of_facets() {
    let (radius, rings, around) = (150.0, 40, 80);
    // X = r (sin u cos v, sin u sin v, cos u): no second derivative is longer than r
    let off_mm = facets_off_mm([radius; 3], PI / f64::from(rings), TAU / f64::from(around));
    // chords of a ball are within it
    check(&forms::ball(rings, around, radius), 21, off_mm, 0.0, |place| Target::Hose([place.at; 2], radius));
}

#[test]
fn pipes_keep_their_gaps_to_a_bar_of_facets() {
    let (radius, around, length) = (110.0, 90, 3000.0);
    // straight along, round across; its ends are out of reach
    let off_mm = facets_off_mm([0.0, 0.0, radius], 0.0, TAU / f64::from(around));
    check(&forms::pipe(30, around, radius, length), 22, off_mm, 0.0, |place| {
        Target::Bar(place, radius, length / 2.0)
    });
}

#[test]
fn pipes_keep_their_gaps_to_a_ring_of_facets() {
    let (ring, tube, around, across) = (260.0, 40.0, 120, 40);
    // X = (R + r cos v)(cos u, sin u, 0) + r sin v (0, 0, 1): |Xuu| ≤ R + r, |Xuv| ≤ r, |Xvv| = r
    let (du, dv) = (TAU / f64::from(around), TAU / f64::from(across));
    let off_mm = facets_off_mm([ring + tube, tube, tube], du, dv);
    // round the hole the form is hollow, and chords along it stick out
    check(&forms::torus(around, across, ring, tube), 23, off_mm, off_mm, |place| {
        Target::Ring(place, ring, tube)
    });
}

#[test]
fn points_keep_their_distance_to_a_ring_of_facets_at_any_pose() {
    let (ring, tube, around, across) = (260.0, 40.0, 120, 40);
    let form = forms::torus(around, across, ring, tube);
    let off_mm = facets_off_mm([ring + tube, tube, tube], TAU / f64::from(around), TAU / f64::from(across));
    let scan = Scan::from_triangles(&form.points, &form.triangles, ScanUnit::Millimetre).unwrap();
    let tree = Arc::new(ScanTree::new(scan, &Unwatched).unwrap());
    let mut dice = Dice::new(24);
    for n in 0..300 {
        let pose = Pose { position_mm: dice.point(100.0), turn_deg: dice.turns() };
        let placed = PlacedScan::new(Arc::clone(&tree), &pose, 1.0).unwrap();
        let truth = Target::Ring(Place { turn: turned(pose.turn_deg), at: pose.position_mm }, ring, tube);
        let p = dice.point(500.0);
        // a mesh has no inside: within the ring the distance is to its surface too
        let true_mm = truth.distance_to_all(p).abs();
        let found_mm = placed.nearest(p, f64::INFINITY).unwrap().gap.gap_mm;
        assert!((found_mm - true_mm).abs() < off_mm + GAP_MM, "{n}: {found_mm} {true_mm}");
    }
}

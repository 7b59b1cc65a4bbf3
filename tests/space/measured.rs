//! Gaps to scans of a ball, a bar and a ring against those to the true forms.

use super::forms::{self, Form};
use glam::DVec3;
use pipeloft_core::geom::{Barrel, Block, Drum, Elbow, Frame, Solid};
use pipeloft_core::model::obstacle::{Pose, Shape};
use pipeloft_core::space::scan::{PlacedScan, Scan, ScanTree, ScanUnit, Unwatched};
use pipeloft_core::space::{PlacedShape, gap_to_shape, tightest_between};
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

fn placed(form: &Form) -> PlacedScan {
    let scan = Scan::from_triangles(&form.points, &form.triangles, ScanUnit::Millimetre).unwrap();
    let tree = Arc::new(ScanTree::new(scan, &Unwatched).unwrap());
    PlacedScan::new(tree, &Pose::at(DVec3::ZERO), 1.0).unwrap()
}

/// Solids of all kinds all round, as far out as `reach`.
fn solids(reach: f64) -> Vec<Solid> {
    (0..40)
        .map(|i| {
            let t = f64::from(i);
            let out = DVec3::new((2.4 * t).cos(), (2.4 * t).sin(), 1.6 * (t / 20.0 - 1.0));
            let along = DVec3::new((1.1 * t).sin(), (0.7 * t).cos(), 0.4).try_normalize().unwrap();
            let start = Frame::new(out * reach * (1.0 + t / 60.0), along, DVec3::Z);
            let toward = start.at_clock(t);
            let radius_mm = 12.0 + t / 2.0;
            match i % 4 {
                0 => Solid::Barrel(Barrel {
                    start,
                    length_mm: 90.0,
                    radius_mm,
                    start_normal: start.tilted(t, 0.2).travel,
                    end_normal: start.tilted(2.0 * t, 0.4).travel,
                }),
                1 => {
                    Solid::Elbow(Elbow { start, toward, clr_mm: 3.0 * radius_mm, angle_rad: 1.3, radius_mm })
                }
                2 => Solid::Drum(Drum { start, length_mm: 30.0, radius_mm }),
                _ => {
                    let axes = [along, toward, along.cross(toward)];
                    Solid::Block(Block { centre: start.origin, axes, half_mm: DVec3::new(20.0, 9.0, 4.0) })
                }
            }
        })
        .collect()
}

/// Checks a scan with corners on the true surface, which is never further inside it than `sag_mm`.
fn check(form: &Form, sag_mm: f64, reach: f64, truth: impl Fn(&Solid) -> f64) {
    let scan = placed(form);
    let mut apart = 0;
    for solid in solids(reach) {
        let found = scan.tightest(&[solid], f64::INFINITY, None).unwrap().gap.gap_mm;
        let truth = truth(&solid);
        if truth < 0.05 {
            continue;
        }
        apart += 1;
        assert!(
            (-0.02..sag_mm + 0.02).contains(&(found - truth)),
            "{found} {truth}, sag {sag_mm}\n{solid:?}"
        );
    }
    assert!(apart >= 25, "{apart}");
}

#[test]
fn a_ball_of_facets_keeps_the_gaps_of_a_ball() {
    let (radius, rings, around) = (150.0, 60, 120);
    // a facet's middle lies below the ball by r(1 − cos) of half its diagonal's angle
    let half_diagonal = (PI / f64::from(rings)).hypot(TAU / f64::from(around)) / 2.0;
    let sag_mm = radius * (1.0 - half_diagonal.cos());
    let shape = PlacedShape::new(&Shape::Sphere { diameter_mm: 2.0 * radius }, &Pose::at(DVec3::ZERO));
    check(&forms::ball(rings, around, radius), sag_mm, 210.0, |solid| {
        gap_to_shape(solid, &shape, f64::INFINITY).unwrap().gap_mm
    });
}

#[test]
fn a_bar_of_facets_keeps_the_gaps_of_a_bar() {
    let (radius, around, length) = (100.0, 180, 5000.0);
    let sag_mm = radius * (1.0 - (PI / f64::from(around)).cos());
    let bar = Shape::Cylinder { diameter_mm: 2.0 * radius, length_mm: length };
    let shape = PlacedShape::new(&bar, &Pose::at(DVec3::ZERO));
    check(&forms::pipe(50, around, radius, length), sag_mm, 190.0, |solid| {
        gap_to_shape(solid, &shape, f64::INFINITY).unwrap().gap_mm
    });
}

#[test]
fn a_ring_of_facets_keeps_the_gaps_of_a_ring() {
    let (ring, tube, around, across) = (260.0, 40.0, 240, 60);
    // chords along and across, on the outside; within the ring those along it stand out of the true form instead
    let along_mm = (ring + tube) * (1.0 - (PI / f64::from(around)).cos());
    let sag_mm = along_mm + tube * (1.0 - (PI / f64::from(across)).cos());
    let third = |i: u32| {
        let start = Frame::new(DVec3::X * ring, DVec3::Y, DVec3::Z);
        let start = start.around(start.clock_of(DVec3::NEG_X), ring, TAU / 3.0 * f64::from(i));
        let toward = -start.origin.try_normalize().unwrap();
        Solid::Elbow(Elbow { start, toward, clr_mm: ring, angle_rad: TAU / 3.0, radius_mm: tube })
    };
    let whole = [third(0), third(1), third(2)];
    let form = forms::torus(around, across, ring, tube);
    check(&form, sag_mm, 330.0, |solid| {
        let gap = tightest_between(std::slice::from_ref(solid), &whole, f64::INFINITY, &|_, _| false);
        gap.unwrap().2.gap_mm
    });
}

#[test]
fn points_keep_their_distance_to_a_ring() {
    let (ring, tube) = (260.0, 40.0);
    let scan = placed(&forms::torus(360, 90, ring, tube));
    for i in 0..400 {
        let t = f64::from(i);
        let p = DVec3::new((1.7 * t).cos(), (1.7 * t).sin(), (0.3 * t).sin() * 0.5) * (60.0 + t);
        // distance of a point to a torus, closed form
        let truth = ((p.truncate().length() - ring).hypot(p.z) - tube).abs();
        let found = scan.nearest(p, f64::INFINITY).unwrap().gap.gap_mm;
        assert!((found - truth).abs() < 0.04, "{p}: {found} {truth}");
    }
}

#[test]
fn a_ray_meets_a_ball_where_the_formula_says() {
    let radius = 150.0;
    let scan = placed(&forms::ball(90, 180, radius));
    for i in 0..200 {
        let t = f64::from(i);
        let from = DVec3::new((1.7 * t).cos(), (1.7 * t).sin(), 0.5) * 600.0;
        let along =
            (DVec3::new((0.9 * t).sin(), (2.1 * t).cos(), 0.1) * 120.0 - from).try_normalize().unwrap();
        // |from + s·along| = r, the smaller root
        let half = from.dot(along);
        let root = half * half - (from.length_squared() - radius * radius);
        let hit = scan.pick(from, along);
        if root > 400.0 {
            let truth = -half - root.sqrt();
            let hit = hit.unwrap();
            assert!((hit.distance_mm - truth).abs() < 1.0, "{hit:?} {truth}");
            assert!(hit.normal.dot(hit.point.try_normalize().unwrap()) > 0.999, "{hit:?}");
        } else if root < -400.0 {
            assert!(hit.is_none(), "{hit:?}");
        }
    }
}

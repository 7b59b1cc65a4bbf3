use super::*;
use crate::finding::{PieceProblem, RouteProblem};
use crate::geom::vector::angle_between;
use crate::model::{BendMake, Ends, Fitting, FittingId};
use crate::testing::{bench_project, run_through, set_makes};
use approx::assert_relative_eq;
use proptest::prelude::*;

fn corner_walk() -> [DVec3; 5] {
    [
        DVec3::ZERO,
        DVec3::new(300.0, 0.0, 0.0),
        DVec3::new(300.0, 300.0, 40.0),
        DVec3::new(420.0, 500.0, 320.0),
        DVec3::new(800.0, 520.0, 300.0),
    ]
}

fn assert_closes(built: &Built) {
    let route = built.route.as_ref().unwrap();
    let end = built.end().expect("buildable");
    let target = *route.points.last().unwrap();
    assert!(end.origin.distance(target) < 1e-6, "misses by {}", end.origin.distance(target));
    let way = route.legs.last().unwrap().frame.travel;
    assert!(angle_between(end.travel, way) < 1e-9);
}

#[test]
fn every_kind_of_bend_closes_on_the_end_hardpoint() {
    for make in [
        BendMake::mitred(95.25, 4, Ends::Half),
        BendMake::mitred(95.25, 1, Ends::Half),
        BendMake::mitred(95.25, 4, Ends::Full),
        BendMake::Elbow { elbow: bench_project().elbows[0].id },
    ] {
        let (project, mut run) = run_through(&corner_walk());
        set_makes(&mut run, make);
        let built = build(&project, &run);
        assert!(built.is_buildable(), "{make:?}: {:?}", built.problems);
        assert_closes(&built);
    }
}

#[test]
fn half_ends_give_one_weld_less_than_pieces() {
    let (project, run) = run_through(&corner_walk());
    let built = build(&project, &run);
    assert_eq!(built.welds.len(), built.pieces.len() - 1);
    assert_eq!(built.pieces[0].mark, "A1");
    assert!(built.welds.iter().all(|w| w.kind == super::super::weld::WeldKind::Mitre));
}

#[test]
fn a_joint_takes_its_make_up_out_of_the_pipe() {
    let (mut project, mut run) = run_through(&corner_walk());
    let before = build(&project, &run);
    let joint = project.joints[0].id;
    run.fittings.push(Fitting { id: FittingId(900), joint, leg: 1, station_mm: 60.0, lobe_clock_deg: 90.0 });
    let after = build(&project, &run);
    assert_closes(&after);
    let length = |b: &Built, sawn: bool| -> f64 {
        b.pieces.iter().filter(|p| p.is_sawn() == sawn).map(|p| p.centre_mm).sum()
    };
    let make_up = project.joints[0].make_up_mm;
    assert_relative_eq!(length(&after, true), length(&before, true) - make_up, epsilon = 1e-9);
    assert_relative_eq!(length(&after, false), make_up, epsilon = 1e-9);
    // body and lobe stand about the middle of the make-up
    assert_eq!(after.solids.iter().filter(|s| s.lobe).count(), 1);
    // slid into the bend it is a finding with the amount
    run.fittings[0].station_mm = 10.0;
    let off = build(&project, &run);
    assert!(!off.is_buildable());
    assert!(off.problems.iter().any(|(p, ..)| matches!(p, Problem::Route(RouteProblem::JointOffLeg { leg: 2, by_mm, .. }) if (*by_mm - (make_up / 2.0 - 10.0)).abs() < 1e-9)));
    project.joints.clear();
    assert!(build(&project, &run).problems.iter().any(|(p, ..)| p.code() == "missing"));
}

#[test]
fn bends_that_touch_share_one_slice_with_turned_faces() {
    // two 60° bends, R 95.25, tangent length 54.99: exactly no straight between, second plane rolled by 90°
    let t = 95.25 * 30_f64.to_radians().tan();
    let up = DVec3::new(0.5, 3_f64.sqrt() / 2.0, 0.0);
    let a = DVec3::new(300.0, 0.0, 0.0);
    let b = a + up * (2.0 * t);
    let out = up * 0.5 + DVec3::Z * (3_f64.sqrt() / 2.0);
    let (project, mut run) = run_through(&[DVec3::ZERO, a, b, b + out * 300.0]);
    set_makes(&mut run, BendMake::mitred(95.25, 2, Ends::Half));
    let built = build(&project, &run);
    assert_closes(&built);
    let shared: Vec<_> =
        built.pieces.iter().filter(|p| p.kind == PieceKind::Slice && p.bend.is_none()).collect();
    assert_eq!(shared.len(), 1);
    assert_relative_eq!(shared[0].twist_rad().unwrap().to_degrees().abs(), 90.0, epsilon = 1e-9);
    assert_relative_eq!(shared[0].centre_mm, 2.0 * 95.25 * 15_f64.to_radians().tan(), epsilon = 1e-9);
}

#[test]
fn faces_of_neighbouring_barrels_lie_in_one_plane() {
    let (project, run) = run_through(&corner_walk());
    let built = build(&project, &run);
    for pair in built.solids.windows(2) {
        let (Solid::Barrel(a), Solid::Barrel(b)) = (pair[0].solid, pair[1].solid) else { continue };
        assert_relative_eq!(a.end_normal, b.start_normal, epsilon = 1e-9);
        assert_relative_eq!(a.axis().1, b.axis().0, epsilon = 1e-9);
    }
}

#[test]
fn a_radius_without_throat_names_the_least_that_works() {
    let (project, mut run) = run_through(&corner_walk());
    set_makes(&mut run, BendMake::mitred(30.0, 3, Ends::Half));
    let built = build(&project, &run);
    assert!(!built.is_buildable());
    let text = built.problems[0].0.text(crate::units::UnitSystem::Millimetre);
    assert!(text.contains("Take at least"), "{text}");
}

fn point() -> impl Strategy<Value = DVec3> {
    (-900.0..900.0, -900.0..900.0, -900.0..900.0).prop_map(|(x, y, z)| DVec3::new(x, y, z))
}

fn make() -> impl Strategy<Value = BendMake> {
    prop_oneof![
        (0.0..300.0, 0_u32..9, any::<bool>()).prop_map(|(clr_mm, welds, half)| BendMake::mitred(
            clr_mm,
            welds,
            if half { Ends::Half } else { Ends::Full }
        )),
        Just(BendMake::Elbow { elbow: bench_project().elbows[0].id }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any polyline gives finite numbers or a finding; whatever is buildable closes.
    #[test]
    fn any_polyline_closes_or_says_why(
        points in prop::collection::vec(point(), 3..9),
        makes in prop::collection::vec(make(), 9),
        station in -50.0..400.0,
        leg in 0_usize..9,
    ) {
        let (project, mut run) = run_through(&points);
        for (vertex, make) in run.vertices().into_iter().zip(&makes) {
            run.set_make(vertex, *make);
        }
        let joint = project.joints[0].id;
        run.fittings.push(Fitting { id: FittingId(900), joint, leg, station_mm: station, lobe_clock_deg: 30.0 });
        let built = build(&project, &run);
        if built.is_buildable() {
            assert_closes(&built);
            for piece in &built.pieces {
                let (long, short) = piece.long_short_mm();
                prop_assert!(long.is_finite() && short >= -1e-9);
            }
            for weld in &built.welds {
                prop_assert!(weld.length_mm.is_finite() && weld.length_mm > 0.0);
            }
        } else {
            prop_assert!(built.problems.iter().any(|(p, ..)| p.severity() == Severity::Stop));
        }
    }

    /// Wide runs with gentle settings are mostly buildable, so the closure above is not empty talk.
    #[test]
    fn roomy_runs_are_buildable(dy in 150.0..600.0_f64, dz in -200.0..200.0_f64, welds in 2_u32..6) {
        let (project, mut run) = run_through(&[
            DVec3::ZERO,
            DVec3::new(400.0, 0.0, 0.0),
            DVec3::new(800.0, dy, dz),
            DVec3::new(1300.0, dy, dz),
        ]);
        set_makes(&mut run, BendMake::mitred(95.25, welds, Ends::Half));
        let built = build(&project, &run);
        prop_assert!(built.is_buildable(), "{:?}", built.problems);
        assert_closes(&built);
    }
}

#[test]
fn full_ends_need_straight_tube_at_a_face() {
    for (points, at_start) in [
        ([DVec3::ZERO, DVec3::X * 95.25, DVec3::new(95.25, 300.0, 0.0)], true),
        ([DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 95.25, 0.0)], false),
    ] {
        let (project, mut run) = run_through(&points);
        set_makes(&mut run, BendMake::mitred(95.25, 5, Ends::Full));
        let built = build(&project, &run);
        assert!(!built.is_buildable());
        assert!(
            built
                .problems
                .iter()
                .any(|(p, ..)| *p == Problem::Piece(PieceProblem::FullEndAtFace { bend: 1, at_start }))
        );
        // with half ends the same bend is sawn from its own piece
        set_makes(&mut run, BendMake::mitred(95.25, 4, Ends::Half));
        assert_closes(&build(&project, &run));
    }
}

#[test]
fn faces_turned_against_each_other_leave_a_lip_that_is_said() {
    // own vector: r 31.75, 11.25° at the saw, turned 90°: 0.622 mm; 7.5°: 0.274 mm
    assert_relative_eq!(lip_mm(31.75, 11.25_f64.to_radians(), PI / 2.0), 0.622, epsilon = 1e-3);
    assert_relative_eq!(lip_mm(31.75, 7.5_f64.to_radians(), PI / 2.0), 0.274, epsilon = 1e-3);
    let t = 95.25;
    let a = DVec3::X * 300.0;
    let b = a + DVec3::Y * (2.0 * t);
    let (project, mut run) = run_through(&[DVec3::ZERO, a, b, b + DVec3::Z * 300.0]);
    for (welds, said) in [(4, true), (9, false)] {
        set_makes(&mut run, BendMake::mitred(t, welds, Ends::Full));
        let built = build(&project, &run);
        assert_closes(&built);
        assert_eq!(built.problems.iter().any(|(p, ..)| p.code() == "lip"), said, "{welds} welds");
    }
}

#[test]
fn a_bend_inside_the_part_is_refused() {
    let (project, mut run) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
    run.start_corner.reach_mm = -300.0;
    let built = build(&project, &run);
    assert!(built.problems.iter().any(|(p, ..)| p.code() == "behind-face"));
    assert!(!built.is_buildable());
}

#[test]
fn solids_lie_end_to_end_along_the_pipe() {
    let (project, mut run) = run_through(&corner_walk());
    set_makes(&mut run, BendMake::Elbow { elbow: project.elbows[0].id });
    let built = build(&project, &run);
    // the elbow's own legs are solids too
    assert!(built.solids.len() > built.pieces.len());
    let mut at = 0.0;
    for placed in &built.solids {
        assert_relative_eq!(placed.span_mm.0, at, epsilon = 1e-9);
        at = placed.span_mm.1;
    }
    assert_relative_eq!(at, built.pieces.iter().map(|p| p.centre_mm).sum::<f64>(), epsilon = 1e-9);
}

/// A walk of `bends` bends that turn by 20° to 100° about all axes, with a straight between.
fn long_walk(bends: usize, seed: u64) -> Vec<DVec3> {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    let mut next = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut way = DVec3::X;
    let mut points = vec![DVec3::ZERO];
    for i in 0..=bends {
        let last = points[i];
        points.push(last + way * (320.0 + 60.0 * next()));
        let side = way.any_orthonormal_vector();
        let side = crate::geom::vector::turn(side, way, next() * std::f64::consts::TAU);
        let angle = (20.0 + 80.0 * next()).to_radians();
        way = (way * angle.cos() + side * angle.sin()).normalize_or_zero();
        // back towards the middle where it strays out of what a project may hold
        if points[i + 1].length() > 20_000.0 && way.dot(points[i + 1]) > 0.0 {
            way = crate::geom::vector::turn(-way, side, 0.3);
        }
    }
    points
}

/// The end of a run is where it was entered, so it needs no second formula.
#[test]
fn pieces_of_long_runs_end_where_the_run_does() {
    for (seed, bends) in [(1, 20), (2, 60), (3, 120), (4, 200), (5, 200)] {
        let points = long_walk(bends, seed);
        for make in [
            BendMake::mitred(95.25, 5, Ends::Half),
            BendMake::mitred(95.25, 5, Ends::Full),
            BendMake::mitred(95.25, 2, Ends::Half),
            BendMake::Elbow { elbow: bench_project().elbows[0].id },
        ] {
            let (mut project, mut run) = run_through(&points);
            project.settings.saw.most_deg = 60.0;
            project.elbows[0].angle_deg = 180.0;
            set_makes(&mut run, make);
            let built = build(&project, &run);
            assert!(built.is_buildable(), "{bends} {make:?}: {:?}", built.problems.first());
            let end = built.end().unwrap();
            let (target, before) = (points[points.len() - 1], points[points.len() - 2]);
            assert!(end.origin.distance(target) < 1e-5, "{bends}: {}", end.origin.distance(target));
            let way = (target - before).normalize_or_zero();
            assert!(angle_between(end.travel, way) < 1e-9, "{bends}");
        }
    }
}

#[test]
fn pieces_that_end_elsewhere_or_nowhere_stop_the_run() {
    let (project, run) = run_through(&corner_walk());
    let built = build(&project, &run);
    let route = built.route.as_ref().unwrap();
    let said = |pieces: &[Piece]| {
        let mut problems = Vec::new();
        check_end(route, pieces, &mut problems);
        problems.iter().map(|(p, ..)| (p.code(), p.severity())).collect::<Vec<_>>()
    };
    assert_eq!(said(&built.pieces), []);
    let stop = [("pieces-miss-end", Severity::Stop)];
    let mut longer = built.pieces.clone();
    longer[0].centre_mm += 0.11;
    assert_eq!(said(&longer), stop);
    let mut steeper = built.pieces.clone();
    let last = steeper.len() - 1;
    steeper[last].start.tilt_rad += 0.06_f64.to_radians();
    assert_eq!(said(&steeper), stop);
    let mut endless = built.pieces.clone();
    endless[1].centre_mm = f64::NAN;
    assert_eq!(said(&endless), stop);
}

//! Rolls between bends and where the outside of each bend lies from the first, by own vectors.

use approx::assert_relative_eq;
use glam::DVec3;
use pipeloft_core::fab::nest::{Effort, SawRules, nest};
use pipeloft_core::fab::{Cut, Piece, PieceKind, Route, trace};
use pipeloft_tests::shop::{TUBE, half, run_through, shop};
use std::f64::consts::PI;

fn route(od_mm: f64, points: &[DVec3]) -> Route {
    let mut project = shop(od_mm, 1.5);
    run_through(&mut project, points, half(1.5 * od_mm, 4));
    trace(&project, &project.runs[0]).expect("a route")
}

fn bends_deg(route: &Route) -> Vec<f64> {
    route.bends.iter().map(|b| b.angle_rad.to_degrees()).collect()
}

/// Rolls between bend planes, degrees; the first bend has none.
fn rolls_deg(route: &Route) -> Vec<f64> {
    route.bends.iter().skip(1).map(|b| b.roll_rad.map_or(f64::NAN, f64::to_degrees)).collect()
}

/// Arc on the outside of the tube from the outside of the first bend to the outside of each, mm.
fn marks_mm(route: &Route) -> Vec<f64> {
    let first = route.bends[0].throat_clock_rad;
    let from_first = |b: &pipeloft_core::fab::Bend| (b.throat_clock_rad - first).rem_euclid(2.0 * PI);
    route.bends.iter().map(|b| from_first(b) * route.tube.od_mm / 2.0).collect()
}

fn assert_all(got: &[f64], want: &[f64], within: f64) {
    assert_eq!(got.len(), want.len(), "{got:?} against {want:?}");
    for (g, w) in got.iter().zip(want) {
        assert!((g - w).abs() <= within, "{got:?} against {want:?}");
    }
}

#[test]
fn a_walk_round_the_corner_of_a_box_turns_a_quarter_at_every_bend() {
    let route = route(
        63.5,
        &[
            DVec3::ZERO,
            DVec3::new(300.0, 0.0, 0.0),
            DVec3::new(300.0, 300.0, 0.0),
            DVec3::new(300.0, 300.0, 300.0),
            DVec3::new(600.0, 300.0, 300.0),
        ],
    );
    assert_all(&bends_deg(&route), &[90.0; 3], 1e-9);
    assert_all(&rolls_deg(&route), &[90.0; 2], 1e-9);
    assert_all(&marks_mm(&route), &[0.0, 49.873, 99.746], 6e-4);
}

#[test]
fn a_crooked_run_has_the_tabled_bends_rolls_and_marks() {
    let route = route(
        63.5,
        &[
            DVec3::ZERO,
            DVec3::new(120.0, 0.0, 0.0),
            DVec3::new(240.0, 150.0, 40.0),
            DVec3::new(260.0, 300.0, 180.0),
            DVec3::new(420.0, 330.0, 260.0),
        ],
    );
    assert_all(&bends_deg(&route), &[52.296_41, 41.061_38, 59.639_45], 6e-6);
    assert_all(&rolls_deg(&route), &[45.522_66, 131.386_91], 6e-6);
    assert_all(&marks_mm(&route), &[0.0, 25.226, 98.033], 6e-4);
}

#[test]
fn the_second_bend_of_an_s_has_its_outside_half_way_round() {
    let points = [
        DVec3::ZERO,
        DVec3::new(300.0, 0.0, 0.0),
        DVec3::new(600.0, 300.0, 0.0),
        DVec3::new(900.0, 300.0, 0.0),
    ];
    let route = route(76.2, &points);
    assert_all(&rolls_deg(&route), &[180.0], 1e-9);
    assert_all(&marks_mm(&route), &[0.0, 119.695], 6e-4);
}

#[test]
fn a_waypoint_that_turns_nothing_carries_the_bend_plane_over() {
    let route = route(
        63.5,
        &[
            DVec3::ZERO,
            DVec3::new(300.0, 0.0, 0.0),
            DVec3::new(500.0, 200.0, 0.0),
            DVec3::new(700.0, 400.0, 0.0),
            DVec3::new(900.0, 600.0, 200.0),
        ],
    );
    assert_all(&bends_deg(&route), &[45.0, 35.264_389_68], 1e-8);
    assert_all(&rolls_deg(&route), &[90.0], 1e-9);
}

/// Source: computed with mpmath: a clock of 37.3° on OD 76.2 is an arc of 24.8033976 mm.
#[test]
fn a_clock_is_marked_as_an_arc_on_the_outside() {
    let shown =
        pipeloft_core::units::clock_and_arc(37.3, 76.2, pipeloft_core::units::UnitSystem::InchDecimal);
    // 24.8033976 mm are 0.97651 in
    assert_eq!(shown, "37.3° (0.977\")");
    for (od, per_degree) in [(44.45, 0.3879), (50.8, 0.4433), (63.5, 0.5541), (76.2, 0.6650), (101.6, 0.8866)]
    {
        assert_relative_eq!(od / 2.0 * 1_f64.to_radians(), per_degree, epsilon = 5.1e-5);
    }
}

/// Five slices whose joints are twisted by 0, 20, 0, −35 and 0°: the tube is turned by half a turn and the twist
/// between the two cuts of each.
#[test]
fn the_tube_turns_half_a_turn_and_the_twist_between_the_cuts_of_a_slice() {
    // cut azimuths of the five slices: 0>180, 180>20, 20>200, 200>345, 345>165
    let cuts = [(0.0, 180.0), (180.0, 20.0), (20.0, 200.0), (200.0, 345.0), (345.0, 165.0)];
    let twists = [0.0, 20.0, 0.0, -35.0, 0.0];
    let saw = 11.25_f64.to_radians();
    let slices: Vec<Piece> = (0..5)
        .map(|i| {
            let twist = f64::to_radians(twists[i]);
            Piece {
                mark: format!("A{}", i + 1),
                key: None,
                kind: PieceKind::Slice,
                tube: TUBE,
                od_mm: 76.2,
                centre_mm: 60.0,
                start: Cut::tilted(saw, 0.4),
                end: Cut::tilted(saw, 0.4 + twist),
                bend: None,
                lobe_clock_rad: None,
                curves: [None, None],
            }
        })
        .collect();
    let project = shop(76.2, 1.65);
    let rules = SawRules { kerf_mm: 1.6, grip_mm: 0.0, first_trim_mm: 0.0 };
    let slices_ref = slices.iter().collect::<Vec<_>>();
    let sticks = nest(&project.tubes[0], &slices_ref, &rules, Effort::Quick).sticks;
    assert_eq!(sticks.len(), 1);
    let mut azimuth = 0.0;
    for (i, (from, to)) in cuts.into_iter().enumerate() {
        let cut = &sticks[0].cuts[i];
        assert_eq!(cut.mark, slices[i].mark);
        assert_relative_eq!(azimuth, from, epsilon = 1e-9);
        azimuth = (azimuth + cut.turn_rad.unwrap().to_degrees()).rem_euclid(360.0);
        assert_relative_eq!(azimuth, to, epsilon = 1e-9);
    }
}

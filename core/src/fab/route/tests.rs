use super::*;
use crate::finding::RouteProblem;
use crate::model::{BendMake, Ends};
use crate::testing::{bench_project, run_through};
use approx::assert_relative_eq;

#[test]
fn legs_bends_and_rolls_of_a_box_corner_walk() {
    // +X, +Y, +Z, +X: bends of 90°, rolls of 90° (own vector)
    let (project, run) = run_through(&[
        DVec3::ZERO,
        DVec3::new(300.0, 0.0, 0.0),
        DVec3::new(300.0, 300.0, 0.0),
        DVec3::new(300.0, 300.0, 300.0),
        DVec3::new(600.0, 300.0, 300.0),
    ]);
    let route = trace(&project, &run).unwrap();
    assert_eq!(route.bends.len(), 3);
    for bend in &route.bends {
        assert_relative_eq!(bend.angle_rad.to_degrees(), 90.0, epsilon = 1e-12);
    }
    assert_eq!(route.bends[0].roll_rad, None);
    assert_relative_eq!(route.bends[1].roll_rad.unwrap().to_degrees(), 90.0, epsilon = 1e-9);
    assert_relative_eq!(route.bends[2].roll_rad.unwrap().to_degrees(), 90.0, epsilon = 1e-9);
    assert_relative_eq!(route.legs[1].straight_mm(), 300.0 - 2.0 * 95.25, epsilon = 1e-9);
}

#[test]
fn a_waypoint_in_line_is_no_bend_and_joins_its_legs() {
    let (project, run) = run_through(&[
        DVec3::ZERO,
        DVec3::new(300.0, 0.0, 0.0),
        DVec3::new(300.0, 200.0, 0.0),
        DVec3::new(300.0, 350.0, 0.0),
        DVec3::new(600.0, 350.0, 0.0),
    ]);
    let route = trace(&project, &run).unwrap();
    assert_eq!(route.bends.len(), 2);
    assert_relative_eq!(route.legs[1].length_mm, 350.0);
    // stations of the second half count from the waypoint, those of the first from the tangent point
    assert_eq!(route.places[1].leg, 1);
    assert_relative_eq!(route.places[1].offset_mm, 95.25, epsilon = 1e-9);
    assert_eq!(route.places[2].leg, 1);
    assert_relative_eq!(route.places[2].offset_mm, 200.0, epsilon = 1e-9);
}

#[test]
fn bends_that_overlap_are_said_with_the_amount() {
    let (project, run) = run_through(&[
        DVec3::ZERO,
        DVec3::new(300.0, 0.0, 0.0),
        DVec3::new(300.0, 150.0, 0.0),
        DVec3::new(600.0, 150.0, 0.0),
    ]);
    let route = trace(&project, &run).unwrap();
    assert_relative_eq!(route.legs[1].straight_mm(), 150.0 - 190.5, epsilon = 1e-9);
    let (problem, ..) = &route.problems[0];
    assert_eq!(problem.code(), "bends-overlap");
    assert!(problem.text(crate::units::UnitSystem::Millimetre).contains("Bends 1 and 2 overlap by 40.5 mm"));
}

#[test]
fn a_doubling_back_run_is_a_finding_not_a_number_without_end() {
    let (project, run) = run_through(&[
        DVec3::ZERO,
        DVec3::new(300.0, 0.0, 0.0),
        DVec3::new(20.0, 1.0, 0.0),
        DVec3::new(20.0, 400.0, 0.0),
    ]);
    let route = trace(&project, &run).unwrap();
    assert!(route.problems.iter().any(|(p, ..)| p.code() == "turns-back"));
    assert!(route.legs.iter().all(|l| l.straight_mm().is_finite()));
}

#[test]
fn a_run_of_no_length_and_a_missing_tube_have_no_route() {
    let (project, run) = run_through(&[DVec3::ZERO, DVec3::ZERO, DVec3::ZERO]);
    assert_eq!(trace(&project, &run), Err(RouteProblem::NoLength));
    let (mut project, run) = run_through(&[DVec3::ZERO, DVec3::X * 100.0, DVec3::new(100.0, 300.0, 0.0)]);
    project.tubes.clear();
    assert_eq!(trace(&project, &run), Err(RouteProblem::Missing { what: "tube", id: run.tube.0 }));
}

#[test]
fn a_straight_run_between_facing_ports_has_one_leg() {
    let (project, run) = run_through(&[DVec3::ZERO, DVec3::X * 100.0, DVec3::X * 400.0]);
    let route = trace(&project, &run).unwrap();
    assert_eq!((route.legs.len(), route.bends.len()), (1, 0));
    assert!(route.problems.is_empty());
}

#[test]
fn a_single_bend_where_the_axes_meet_needs_no_waypoint() {
    let mut project = bench_project();
    let corner = DVec3::new(400.0, 0.0, 0.0);
    let start = crate::testing::port(&mut project, "from", DVec3::ZERO, DVec3::X);
    let end = crate::testing::port(&mut project, "to", DVec3::new(400.0, 300.0, 0.0), -DVec3::Y);
    let run = crate::testing::run_between(
        &mut project,
        start,
        end,
        (400.0, 300.0),
        BendMake::mitred(95.25, 3, Ends::Half),
    );
    let route = trace(&project, &run).unwrap();
    assert_eq!(route.points, [DVec3::ZERO, corner, DVec3::new(400.0, 300.0, 0.0)]);
    assert_eq!(route.bends.len(), 1);
}

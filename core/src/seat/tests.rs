//! Hardpoints on runs against vectors worked out here.

use super::branch::{in_the_middle, slid, under};
use crate::edit::{Edit, apply};
use crate::file::{from_text, to_text};
use crate::geom::vector::unit;
use crate::model::{
    Attachment, BendMake, Body, BodyId, ElbowId, Fitting, FittingId, HardpointId, Item, JointId, JointStyle,
    Movement, Project, RunEnd, RunId, Seat, Spot,
};
use crate::testing::{branch, port, run_through, set_makes};
use glam::{DQuat, DVec3};
use std::path::Path;

const R: f64 = 63.5 / 2.0;
const CLR: f64 = 95.25;

/// Forward 600 mm, then left: one bend of 90° in the plane of X and Y.
fn header(elbow: bool) -> (Project, RunId) {
    let (mut project, mut run) = run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)]);
    if elbow {
        set_makes(&mut run, BendMake::Elbow { elbow: ElbowId(11) });
    }
    let id = run.id;
    project.runs = vec![run];
    (project, id)
}

fn seat(run: RunId, spot: Spot, clock_deg: f64, angle_deg: f64, offset_mm: f64) -> Seat {
    Seat::Run { run, spot, clock_deg, angle_deg, offset_mm }
}

/// The face of the last branch put in.
fn face(project: &Project) -> (DVec3, DVec3, DVec3) {
    let port = project.hardpoints.iter().rev().find(|h| h.seat.is_some()).unwrap();
    (port.position_mm, port.direction, port.clock)
}

fn near(a: DVec3, b: DVec3) {
    assert!(a.distance(b) < 1e-9, "{a} is not {b}");
}

#[test]
fn on_a_leg_the_face_is_where_the_axis_leaves_the_skin() {
    let (start, run) = header(false);
    // looking forward with 12 o'clock up, clock grows to the right, which is −Y
    for (clock, angle, offset) in
        [(0.0, 90.0, 0.0), (90.0, 60.0, 0.0), (200.0, 135.0, 11.0), (-30.0, 45.0, -20.0)]
    {
        let mut project = start.clone();
        branch(&mut project, seat(run, Spot::Leg { leg: 0, station_mm: 250.0 }, clock, angle, offset), 200.0);
        let (c, a): (f64, f64) = (f64::to_radians(clock), f64::to_radians(angle));
        let out = DVec3::new(0.0, -c.sin(), c.cos());
        let side = DVec3::new(0.0, -c.cos(), -c.sin());
        let away = out * a.sin() + DVec3::X * a.cos();
        let up_mm = (R * R - offset * offset).sqrt();
        let at = DVec3::X * (250.0 + up_mm / a.tan()) + out * up_mm + side * offset;
        let (position, direction, index) = face(&project);
        near(position, at);
        near(direction, away);
        assert!((position.y.hypot(position.z) - R).abs() < 1e-9, "on the skin");
        assert!(index.dot(away).abs() < 1e-9 && index.x > 0.0, "12 o'clock is where the header goes");
    }
}

#[test]
fn a_second_leg_counts_from_its_tangent_point() {
    let (mut project, run) = header(true);
    branch(&mut project, seat(run, Spot::Leg { leg: 1, station_mm: 100.0 }, 0.0, 90.0, 0.0), 200.0);
    near(face(&project).0, DVec3::new(600.0, CLR + 100.0, R));
}

#[test]
fn on_an_elbow_the_face_lies_on_the_torus() {
    let (start, run) = header(true);
    let centre = DVec3::new(600.0 - CLR, CLR, 0.0);
    for (turn, clock) in [(45.0, 0.0), (20.0, 90.0), (70.0, 130.0), (45.0, -90.0), (5.0, 250.0)] {
        let mut project = start.clone();
        branch(&mut project, seat(run, Spot::Bend { leg: 0, turn_deg: turn }, clock, 90.0, 0.0), 150.0);
        let turned = DQuat::from_rotation_z(f64::to_radians(turn));
        let (travel, right) = (turned * DVec3::X, turned * DVec3::NEG_Y);
        let c = f64::to_radians(clock);
        let out = DVec3::Z * c.cos() + right * c.sin();
        let (position, direction, _) = face(&project);
        near(direction, out);
        near(position, centre + right * CLR + out * R);
        let flat = position.with_z(0.0).distance(centre) - CLR;
        assert!((flat.hypot(position.z) - R).abs() < 1e-9, "{turn} {clock} {travel}");
    }
}

#[test]
fn on_a_mitred_bend_the_face_lies_on_a_slice() {
    let (mut project, run) = header(false);
    // the middle of the third slice of five: half ends, four welds, welds at 11.25°, 33.75°, 56.25°, 78.75°
    branch(&mut project, seat(run, Spot::Bend { leg: 0, turn_deg: 45.0 }, 90.0, 90.0, 0.0), 150.0);
    let right = DQuat::from_rotation_z(45.0_f64.to_radians()) * DVec3::NEG_Y;
    let centre = DVec3::new(600.0 - CLR, CLR, 0.0);
    // slices touch the arc with half ends, so their axis is CLR from the bend centre in the middle
    near(face(&project).0, centre + right * (CLR + R));
    near(face(&project).1, right);
}

#[test]
fn a_branch_follows_its_header_and_undo_brings_it_back() {
    let (mut project, run) = header(true);
    branch(&mut project, seat(run, Spot::Leg { leg: 0, station_mm: 250.0 }, 0.0, 90.0, 0.0), 200.0);
    let before = project.clone();
    let mut from = project.hardpoints[0].clone();
    from.position_mm.z += 40.0;
    let moved = apply(&project, &Edit::PutHardpoint(from)).unwrap();
    let lift = face(&moved).0 - face(&before).0;
    assert!(lift.length() > 1.0, "{lift}");
    let mut history = crate::edit::History::new(before.clone());
    let mut from = project.hardpoints[0].clone();
    from.position_mm.z += 40.0;
    history.edit("move", &Edit::PutHardpoint(from)).unwrap();
    assert_eq!(history.project().hardpoints, moved.hardpoints);
    history.undo();
    assert_eq!(history.project().hardpoints, before.hardpoints);
}

#[test]
fn a_branch_on_a_branch_settles_in_one_edit_whatever_the_order() {
    let (mut project, run) = header(true);
    let first =
        branch(&mut project, seat(run, Spot::Leg { leg: 0, station_mm: 250.0 }, 0.0, 90.0, 0.0), 400.0);
    let second =
        branch(&mut project, seat(first, Spot::Leg { leg: 0, station_mm: 200.0 }, 0.0, 90.0, 0.0), 200.0);
    branch(&mut project, seat(second, Spot::Leg { leg: 0, station_mm: 100.0 }, 0.0, 90.0, 0.0), 100.0);
    project.hardpoints.reverse();
    let mut from = project.hardpoint(project.run(run).unwrap().start).unwrap().clone();
    from.position_mm = DVec3::new(0.0, 0.0, 33.0);
    let once = apply(&project, &Edit::PutHardpoint(from)).unwrap();
    let twice = apply(&once, &Edit::SetName("same".to_owned())).unwrap();
    assert_eq!(once.hardpoints, twice.hardpoints);
    assert_ne!(once.hardpoints, project.hardpoints);
}

#[test]
fn rings_are_refused_with_a_sentence_and_files_with_one_do_not_load() {
    let (mut project, run) = header(true);
    let first =
        branch(&mut project, seat(run, Spot::Leg { leg: 0, station_mm: 250.0 }, 0.0, 90.0, 0.0), 400.0);
    let end = project.hardpoints[1].clone();
    assert_eq!(end.name, "to");
    for (on, words) in [(run, "it begins or ends itself"), (first, "depends on")] {
        let spot = Spot::Leg { leg: 0, station_mm: 100.0 };
        let sat = crate::model::Hardpoint { seat: Some(seat(on, spot, 0.0, 90.0, 0.0)), ..end.clone() };
        let error = apply(&project, &Edit::PutHardpoint(sat.clone())).unwrap_err().to_string();
        assert!(error.contains("sits on a run") && error.contains(words), "{error}");
        let mut ringed = project.clone();
        ringed.hardpoints[1] = sat;
        super::settle(&mut ringed);
        let error = from_text(&to_text(&ringed).unwrap(), Path::new("ring.ron")).unwrap_err().to_string();
        assert!(error.contains(words), "{error}");
    }
}

#[test]
fn seats_are_saved_and_settled_when_loaded() {
    let (mut project, run) = header(true);
    branch(&mut project, seat(run, Spot::Bend { leg: 0, turn_deg: 30.0 }, 45.0, 80.0, 3.0), 200.0);
    let mut stale = project.clone();
    stale.hardpoints.last_mut().unwrap().position_mm = DVec3::splat(7.0);
    let loaded = from_text(&to_text(&stale).unwrap(), Path::new("seats.ron")).unwrap();
    assert_eq!(loaded.hardpoints, project.hardpoints);
}

#[test]
fn a_header_with_a_branch_cannot_be_deleted() {
    let (mut project, run) = header(true);
    branch(&mut project, seat(run, Spot::Leg { leg: 0, station_mm: 250.0 }, 0.0, 90.0, 0.0), 200.0);
    let error = apply(&project, &Edit::Remove(Item::Run(run))).unwrap_err().to_string();
    assert!(error.contains("used by branch"), "{error}");
}

#[test]
fn a_branch_moves_with_the_body_of_its_header_there() {
    let (mut project, run) = header(true);
    project.bodies.push(Body { id: BodyId(2), name: "Engine".to_owned(), movement: Movement::default() });
    project.hardpoints[1].body = BodyId(2);
    let mut hose = project.joints[0].clone();
    (hose.id, hose.style) = (JointId(70), JointStyle::Flexible);
    project.joints.push(hose);
    let sits = |project: &Project, spot| {
        let mut p = project.clone();
        branch(&mut p, seat(run, spot, 0.0, 90.0, 0.0), 200.0);
        p.hardpoints.last().unwrap().body
    };
    let (first, bend) = (Spot::Leg { leg: 0, station_mm: 60.0 }, Spot::Bend { leg: 0, turn_deg: 40.0 });
    let last = Spot::Leg { leg: 1, station_mm: 300.0 };
    assert_eq!([first, bend, last].map(|s| sits(&project, s)), [BodyId(1); 3], "nothing gives");
    let fitting =
        Fitting { id: FittingId(71), joint: JointId(70), leg: 0, station_mm: 250.0, lobe_clock_deg: 0.0 };
    project.runs[0].fittings.push(fitting);
    assert_eq!([first, bend, last].map(|s| sits(&project, s)), [BodyId(1), BodyId(2), BodyId(2)]);
    project.hardpoints[1].attachment = Attachment::Joint { joint: JointId(70), lobe_clock_deg: 0.0 };
    assert_eq!(
        [first, bend, last].map(|s| sits(&project, s)),
        [BodyId(1); 3],
        "held at both joints that give"
    );
}

#[test]
fn a_dragged_face_goes_along_and_round_its_header() {
    for elbow in [true, false] {
        let (mut project, run) = header(elbow);
        branch(&mut project, seat(run, Spot::Leg { leg: 0, station_mm: 250.0 }, 10.0, 70.0, 0.0), 200.0);
        let id: HardpointId = project.hardpoints.last().unwrap().id;
        // points on the skin: along the first leg, round the bend, along the second leg
        let side = unit(DVec3::new(0.0, 0.6, 0.8)).unwrap();
        let bend = DVec3::new(600.0 - CLR, CLR, 0.0) + DQuat::from_rotation_z(0.8) * DVec3::NEG_Y * (CLR + R);
        let targets = [DVec3::X * 333.0 + side * R, DVec3::new(600.0, 400.0, -R)];
        for target in targets {
            let mut port = project.hardpoint(id).unwrap().clone();
            port.seat = slid(&project, port.seat.unwrap(), target);
            let next = apply(&project, &Edit::PutHardpoint(port)).unwrap();
            near(next.hardpoint(id).unwrap().position_mm, target);
        }
        let mut port = project.hardpoint(id).unwrap().clone();
        port.seat = slid(&project, port.seat.unwrap(), bend);
        let Some(Seat::Run { spot: Spot::Bend { leg: 0, .. }, .. }) = port.seat else {
            panic!("on the bend")
        };
        let next = apply(&project, &Edit::PutHardpoint(port)).unwrap();
        let off = next.hardpoint(id).unwrap().position_mm.distance(bend);
        // slices lie within (R + r)·(1 − cos 11.25°) of the smooth bend
        let slices_mm = (CLR + R) * (1.0 - 11.25_f64.to_radians().cos());
        assert!(off < if elbow { 1e-6 } else { slices_mm }, "{off}");
        // beyond the end it stays on the pipe
        let Some(Seat::Run { spot: Spot::Leg { leg: 1, station_mm }, .. }) =
            slid(&project, project.hardpoint(id).unwrap().seat.unwrap(), DVec3::new(600.0, 900.0, 50.0))
        else {
            panic!("on the second leg")
        };
        assert!(station_mm <= 700.0 - CLR + 1e-9);
    }
}

/// A branch taken at its own face stays there, however it leans, is set off, or sits beside the end of a straight; and it
/// comes back there from elsewhere.
#[test]
fn a_branch_taken_at_its_face_stays_and_comes_back() {
    let (start, run) = header(true);
    let spots = [
        Spot::Leg { leg: 0, station_mm: 250.0 },
        Spot::Leg { leg: 0, station_mm: 600.0 - CLR },
        Spot::Bend { leg: 0, turn_deg: 35.0 },
        Spot::Leg { leg: 1, station_mm: CLR },
    ];
    for spot in spots {
        for (clock, angle, offset) in [(20.0, 90.0, 12.0), (140.0, 50.0, 0.0), (250.0, 125.0, -9.0)] {
            let mut project = start.clone();
            branch(&mut project, seat(run, spot, clock, angle, offset), 200.0);
            let id = project.hardpoints.last().unwrap().id;
            let mut port = project.hardpoint(id).unwrap().clone();
            let at = port.position_mm;
            let from = seat(run, Spot::Leg { leg: 0, station_mm: 100.0 }, clock, angle, offset);
            // from straight to bend the skin that a leaning branch leaves by changes at once
            let beside_mm = if matches!(spot, Spot::Leg { station_mm, .. } if (station_mm - 250.0).abs() > 1.0)
            {
                3.0
            } else {
                0.01
            };
            for (seat, most_mm) in [(port.seat.unwrap(), 1e-6), (from, beside_mm)] {
                port.seat = slid(&project, seat, at);
                let next = apply(&project, &Edit::PutHardpoint(port.clone())).unwrap();
                let off = next.hardpoint(id).unwrap().position_mm.distance(at);
                assert!(off < most_mm, "{spot:?} {clock} {angle} {offset}: {off}");
            }
        }
    }
}

#[test]
fn what_a_seat_lacks_leaves_the_hardpoint_where_it_was() {
    let (mut project, run) = header(true);
    let id = port(&mut project, "lost", DVec3::splat(5.0), DVec3::Y);
    for lost in [
        seat(RunId(9999), Spot::Leg { leg: 0, station_mm: 1.0 }, 0.0, 90.0, 0.0),
        seat(run, Spot::Leg { leg: 8, station_mm: 1.0 }, 0.0, 90.0, 0.0),
        seat(run, Spot::Bend { leg: 1, turn_deg: 1.0 }, 0.0, 90.0, 0.0),
    ] {
        let mut port = project.hardpoint(id).unwrap().clone();
        port.seat = Some(lost);
        let next = apply(&project, &Edit::PutHardpoint(port)).unwrap();
        assert_eq!(next.hardpoint(id).unwrap().position_mm, DVec3::splat(5.0));
    }
}

#[test]
fn a_new_branch_sits_square_in_the_middle_of_a_leg() {
    let (project, run) = header(true);
    let run = project.run(run).unwrap();
    let found = in_the_middle(&project, run, 1).unwrap();
    let station_mm = (700.0 - CLR) / 2.0;
    assert_eq!(found, seat(run.id, Spot::Leg { leg: 1, station_mm }, 0.0, 90.0, 0.0));
    assert_eq!(in_the_middle(&project, run, 9), None);
    assert!(matches!(run.end, RunEnd::Hardpoint { .. }));
    assert!(matches!(run.start_corner.make, BendMake::Elbow { .. }));
}

#[test]
fn a_ray_meets_the_skin_on_straights_and_bends_or_passes_by() {
    let (project, run) = header(false);
    let seat = seat(run, Spot::Leg { leg: 0, station_mm: 100.0 }, 0.0, 90.0, 0.0);
    let down = |x: f64, y: f64| under(&project, seat, DVec3::new(x, y, 500.0), DVec3::NEG_Z);
    near(down(100.0, 12.0).unwrap(), DVec3::new(100.0, 12.0, (R * R - 144.0).sqrt()));
    let middle = DVec3::new(600.0 - CLR, CLR, 0.0) + DVec3::new(1.0, -1.0, 0.0) * (CLR / 2.0_f64.sqrt());
    assert!(down(middle.x, middle.y).unwrap().distance(middle + DVec3::Z * R) < 1e-6);
    assert_eq!(down(100.0, 80.0), None);
}

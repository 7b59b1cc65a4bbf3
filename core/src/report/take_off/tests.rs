//! Sections whose answer can be reasoned out, and found ways followed pose by pose with the plain gap functions.

use super::*;
use crate::model::obstacle::Pose;
use crate::model::{
    BodyId, Fitting, FittingId, HoseEnds, JointId, JointKind, JointStyle, Obstacle, ScanFile, Shape, TubeId,
};
use crate::space::{tightest, tightest_between};
use crate::testing::run_through;
use std::path::Path;

fn demo(name: &str) -> Project {
    let path = format!("{}/../demo-projects/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    crate::file::load(Path::new(&path)).unwrap()
}

fn flange(id: u32) -> JointKind {
    JointKind {
        id: JointId(id),
        name: "Flange pair".to_owned(),
        style: JointStyle::Flange,
        od_mm: 63.5,
        make_up_mm: 20.0,
        body_od_mm: 120.0,
        body_width_mm: 20.0,
        lobe: None,
        tool: None,
        hose: None,
        welded: true,
    }
}

fn hose(id: u32) -> JointKind {
    JointKind {
        name: "Hose".to_owned(),
        style: JointStyle::HoseAndClamps,
        make_up_mm: 10.0,
        body_od_mm: 75.0,
        body_width_mm: 70.0,
        hose: Some(HoseEnds { insertion_mm: 30.0, bead_mm: None }),
        welded: false,
        ..flange(id)
    }
}

fn wall(project: &mut Project, name: &str, size_mm: DVec3, at: DVec3) {
    let id = ObstacleId(project.fresh_id());
    project.obstacles.push(Obstacle {
        id,
        name: name.to_owned(),
        body: BodyId(1),
        shape: Shape::Box { size_mm },
        pose: Pose::at(at),
        gap_mm: 5.0,
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    });
}

/// A straight pipe of 600 mm forward between two flanges of parts that are body 77.
fn straight() -> Project {
    let (mut project, run) =
        run_through(&[DVec3::ZERO, DVec3::X * 200.0, DVec3::X * 400.0, DVec3::X * 600.0]);
    project.joints.push(flange(13));
    for port in &mut project.hardpoints {
        port.attachment = Attachment::Joint { joint: JointId(13), lobe_clock_deg: 0.0 };
        port.body = BodyId(77);
    }
    project.runs = vec![run];
    project
}

/// A pipe forward and then to the left, `legs_mm` long; joint 13 at its start, its end loose or in the open.
fn bent(kind: JointKind, legs_mm: [f64; 2], open: bool) -> Project {
    let corner = DVec3::X * legs_mm[0];
    let end = corner + DVec3::Y * legs_mm[1];
    let (mut project, mut run) = run_through(&[DVec3::ZERO, corner, end]);
    project.joints.push(kind);
    project.hardpoints[0].attachment = Attachment::Joint { joint: JointId(13), lobe_clock_deg: 0.0 };
    if open {
        run.end = RunEnd::open(end);
    }
    project.runs = vec![run];
    project
}

/// The section between the first and the last place of the first run, or those that are named.
fn section(project: &Project, run: usize, places: Option<(Place, Place)>) -> TakeOff {
    let report = Report::quick(project);
    let run = &project.runs[run];
    let all = openings(project, run, report.run(run.id).unwrap());
    let (from, to) = places.unwrap_or_else(|| (all[0].place, all[all.len() - 1].place));
    let asked = Section { run: run.id, from, to, need_mm: usual_need_mm(project.settings.units) };
    TakeOff::new(project, &Scans::default(), &report, asked).unwrap()
}

fn found(section: &TakeOff) -> Outcome {
    section.find(&mut |_| true)
}

/// Follows a way in many poses: nothing comes nearer than it may. Parts behind a face, and what the section lies in
/// or against at rest, do not count.
#[track_caller]
fn keeps_its_gap(section: &TakeOff, outcome: &Outcome) {
    let way = section.to_show(outcome).unwrap();
    let own: Vec<usize> = section.mates.iter().flat_map(|m| m.part_shapes.iter().copied()).collect();
    let look_mm = section.need_mm + 1.0;
    let shapes: Vec<&PlacedShape> =
        (0..section.shapes.len()).filter(|i| !own.contains(i)).map(|i| &section.shapes[i]).collect();
    let to_shape =
        |solids: &[Solid], i: usize| tightest(solids, shapes[i], look_mm).map_or(look_mm, |g| g.1.gap_mm);
    let to_fixed = |solids: &[Solid], i: usize| {
        let one = std::slice::from_ref(&section.fixed[i]);
        tightest_between(solids, one, look_mm, &|_, _| false).map_or(look_mm, |g| g.2.gap_mm)
    };
    let may = |rest_mm: f64| section.need_mm.min(rest_mm - 0.1) - 0.06;
    let shapes_may: Vec<f64> = (0..shapes.len()).map(|i| may(to_shape(&section.section, i))).collect();
    let rest: Vec<f64> = (0..section.fixed.len()).map(|i| to_fixed(&section.section, i)).collect();
    let (mut least, mut measured) = (f64::INFINITY, 0);
    for step in 0..=150 {
        let (rotation, shift_mm) = way.at(f64::from(step) / 150.0).motion(way.pivot);
        let moved: Vec<Solid> = section.section.iter().map(|s| s.moved(rotation, shift_mm)).collect();
        for (i, may_mm) in shapes_may.iter().enumerate() {
            let gap_mm = to_shape(&moved, i);
            least = least.min(gap_mm);
            assert!(gap_mm >= *may_mm, "step {step}, shape {i}: {gap_mm}, may {may_mm}");
        }
        for (i, rest_mm) in rest.iter().enumerate().filter(|(_, rest_mm)| **rest_mm > 0.7) {
            measured += 1;
            let gap_mm = to_fixed(&moved, i);
            assert!(gap_mm >= may(*rest_mm), "step {step}, fixed {i}: {gap_mm}, at rest {rest_mm}");
        }
    }
    println!("least {least}, {measured} gaps to pipes, {} shapes", shapes.len());
}

#[test]
fn a_straight_pipe_between_two_fixed_flanges_goes_sideways_only() {
    let mut project = straight();
    let off = section(&project, 0, None);
    assert_eq!(off.first, ["Unbolt AJ1.", "Unbolt AJ2."]);
    assert_eq!((off.moving.len(), off.staying.len()), (2, 2));
    let outcome = found(&off);
    let Answer::Pull(pull) = &outcome.answer else { panic!("{outcome:?}") };
    assert!(pull.direction.x.abs() < 1e-9, "{pull:?}");
    assert_eq!((outcome.pulls_allowed, outcome.pulls_free), (8, 8), "all of them sideways");
    assert_eq!(off.words(&outcome)[0], "Pull it straight up.");
    keeps_its_gap(&off, &outcome);
    // a beam over it and one to either side: down is left
    wall(&mut project, "Beam", DVec3::new(900.0, 300.0, 20.0), DVec3::new(300.0, 0.0, 80.0));
    for y in [-75.0, 75.0] {
        wall(&mut project, "Rail", DVec3::new(900.0, 20.0, 200.0), DVec3::new(300.0, y, 0.0));
    }
    let off = section(&project, 0, None);
    let outcome = found(&off);
    assert_eq!(off.words(&outcome)[0], "Pull it straight down.");
    keeps_its_gap(&off, &outcome);
    // and a floor: nothing is left, and what is in the way has a name
    wall(&mut project, "Floor plate", DVec3::new(900.0, 300.0, 20.0), DVec3::new(300.0, 0.0, -80.0));
    let off = section(&project, 0, None);
    let outcome = found(&off);
    let Answer::NoWay(Stop::Runs { distance_mm, .. }) = &outcome.answer else { panic!("{outcome:?}") };
    // the flange of 60 in the room of 70 (65 to the sides) keeps 3
    assert!((5.0..10.0).contains(distance_mm), "{distance_mm}");
    let words = off.words(&outcome).join(" ");
    assert!(["Beam", "Rail", "Floor plate"].iter().any(|name| words.contains(name)), "{words}");
    let (item, piece) = off.stopped_by(&outcome).unwrap();
    assert!(matches!(item, Item::Obstacle(_)) && piece.is_none());
    assert_eq!(off.to_show(&outcome).unwrap().stances.len(), 2);
}

#[test]
fn the_part_behind_a_flange_does_not_hold_the_pipe_but_another_part_does() {
    let mut project = straight();
    // the casing of the part at the start, 15 mm over its face
    wall(&mut project, "Casing", DVec3::new(200.0, 200.0, 200.0), DVec3::new(-85.0, 0.0, 0.0));
    let outcome = found(&section(&project, 0, None));
    assert!(matches!(outcome.answer, Answer::NoWay(Stop::AtRest(_))), "{outcome:?}");
    let words = section(&project, 0, None).words(&outcome);
    assert_eq!(
        words,
        ["It cannot be moved as drawn: where it stands it touches Casing. Make room there first."]
    );
    project.obstacles[0].body = BodyId(77);
    assert!(matches!(found(&section(&project, 0, None)).answer, Answer::Pull(_)));
}

#[test]
fn a_hose_without_straight_beside_it_is_said_with_how_much_is_lacking() {
    // the hose at the start, 10 of make-up; 40 of straight stretch before a bend of radius 95.25 in four welds
    let (tan, r) = (11.25_f64.to_radians().tan(), 31.75);
    let mut project = bent(hose(13), [10.0 + 40.0 + 95.25; 2], false);
    let end = project.hardpoints[1].id;
    project.hardpoints[1].attachment = Attachment::Joint { joint: JointId(13), lobe_clock_deg: 0.0 };
    // straight on the inside up to the first mitre, less what is in the hose; it has to go back 30 and 10
    let straight_mm = 40.0 + 95.25 * tan - r * tan;
    let lacks_mm = 40.0 - (straight_mm - 30.0);
    let off = section(&project, 0, None);
    let outcome = found(&off);
    let Answer::NoWay(Stop::Hose { mate: 0, lacks_mm: said }) = outcome.answer else { panic!("{outcome:?}") };
    assert!((said - lacks_mm).abs() < 1e-6, "{said} {lacks_mm}");
    let words = off.words(&outcome).join(" ");
    assert!(words.contains("The hose of AJ1 cannot be slid back"), "{words}");
    assert!(words.contains(&crate::units::length(lacks_mm, UnitSystem::Millimetre)), "{words}");
    // where nothing holds the other end against it, it is drawn out of the hose
    let at = project.hardpoint(end).unwrap().position_mm;
    project.runs[0].end = RunEnd::open(at);
    let off = section(&project, 0, None);
    let outcome = found(&off);
    let Answer::Pull(pull) = &outcome.answer else { panic!("{outcome:?}") };
    assert_eq!(pull.way.stances[1].shift_mm, DVec3::X * 30.0);
    assert!(off.first[0].contains("draw the pipe out of the hose"), "{:?}", off.first);
    assert!(
        off.words(&outcome)[0].starts_with("First draw it 30.0 mm out, forward."),
        "{:?}",
        off.words(&outcome)
    );
}

#[test]
fn a_hose_with_straight_beside_it_goes_back_onto_it_and_the_pipe_is_free_of_the_face() {
    let project = bent(hose(13), [260.0, 300.0], true);
    let off = section(&project, 0, None);
    let [Solid::Drum(drum)] = off.moving[..] else { panic!("{:?}", off.moving) };
    // all of the hose of 70, from the tube's end on
    assert_eq!((drum.start.origin, drum.length_mm, drum.radius_mm), (DVec3::X * 10.0, 70.0, 37.5));
    let outcome = found(&off);
    assert!(matches!(outcome.answer, Answer::Pull(_)) && outcome.pulls_allowed > 200, "no face holds it");
    // along a run it goes onto what stays, as long as there is room for it there
    let mut project = bent(hose(13), [600.0, 300.0], true);
    project.hardpoints[0].attachment = Attachment::Welded;
    project.runs[0].fittings.push(Fitting {
        id: FittingId(900),
        joint: JointId(13),
        leg: 0,
        station_mm: 250.0,
        lobe_clock_deg: 0.0,
    });
    let off = section(&project, 0, None);
    assert_eq!((off.moving.len(), off.staying.len()), (0, 1));
    let Solid::Drum(drum) = off.staying[0] else { panic!("{:?}", off.staying) };
    assert!((drum.start.origin.x - (245.0 - 70.0)).abs() < 1e-9, "{drum:?}");
    wall(&mut project, "Strap", DVec3::new(20.0, 20.0, 20.0), DVec3::new(190.0, 0.0, 47.0));
    let off = section(&project, 0, None);
    assert_eq!((off.moving.len(), off.staying.len()), (1, 0), "the strap is in its way there");
}

#[test]
fn sections_of_the_examples_come_off_as_they_would_in_the_shop() {
    // the tail of the buggy's exhaust turns up into the open behind its V-band: it lifts out
    let buggy = demo("gravel-buggy");
    let report = Report::quick(&buggy);
    let exhaust = openings(&buggy, &buggy.runs[2], &report.runs[2]);
    let words: Vec<&str> = exhaust.iter().map(|o| o.words.as_str()).collect();
    assert_eq!(words, ["CJ1, 3 in V-band at Turbine outlet", "CJ3, 3 in V-band", "Open end"]);
    let tail = section(&buggy, 2, Some((exhaust[1].place, Place::End)));
    let outcome = found(&tail);
    assert_eq!(tail.words(&outcome)[0], "Pull it straight up.");
    keeps_its_gap(&tail, &outcome);
    // the pump's breather ends in a tube through a hole in the wall: it can only go along the hole
    let pump = demo("irrigation-pump");
    let report = Report::quick(&pump);
    let breather = openings(&pump, &pump.runs[4], &report.runs[4]);
    let lower = section(&pump, 4, Some((breather[1].place, Place::End)));
    let outcome = found(&lower);
    assert_eq!(
        (lower.words(&outcome)[0].as_str(), outcome.pulls_free),
        ("Pull it straight to the right.", 1)
    );
    keeps_its_gap(&lower, &outcome);
    // its stack stands through the roof: down and out with turns, and never by a straight pull
    let stack = section(&pump, 1, None);
    let outcome = found(&stack);
    assert!(matches!(outcome.answer, Answer::Way(_)) && outcome.pulls_free == 0, "{outcome:?}");
    keeps_its_gap(&stack, &outcome);
    // the tractor's slip joint has to be drawn by its engagement of 1 1/2 in before anything else
    let tractor = demo("pulling-tractor");
    let report = Report::quick(&tractor);
    let cross = openings(&tractor, &tractor.runs[3], &report.runs[3]);
    assert_eq!(cross.len(), 3, "{cross:?}");
    let front = section(&tractor, 3, Some((cross[1].place, cross[2].place)));
    let outcome = found(&front);
    let Answer::Pull(pull) = &outcome.answer else { panic!("{outcome:?}") };
    assert!((pull.way.stances[1].shift_mm.length() - 38.1).abs() < 1e-9);
    keeps_its_gap(&front, &outcome);
}

#[test]
fn a_run_opens_at_joints_that_open_and_at_ends_that_nothing_holds() {
    let mut project = straight();
    let places = |project: &Project| -> Vec<Place> {
        let report = Report::quick(project);
        openings(project, &project.runs[0], &report.runs[0]).into_iter().map(|o| o.place).collect()
    };
    let last = Report::quick(&project).runs[0].built.pieces.len() - 1;
    assert_eq!(places(&project), [Place::Joint(0), Place::Joint(last)]);
    project.hardpoints[0].attachment = Attachment::Welded;
    assert_eq!(places(&project), [Place::Joint(last - 1)]);
    project.hardpoints[0].attachment = Attachment::Loose;
    assert_eq!(places(&project), [Place::Start, Place::Joint(last - 1)]);
    project.joints[1].style = JointStyle::Flexible;
    assert_eq!(places(&project), [Place::Start]);
    project.runs[0].end = RunEnd::open(DVec3::new(700.0, 0.0, 0.0));
    assert_eq!(places(&project), [Place::Start, Place::End]);
    project.runs[0].tube = TubeId(999);
    assert!(places(&project).is_empty(), "what cannot be built cannot be opened");
}

#[test]
fn clamps_come_off_first_and_rings_stay_on_the_tubes() {
    let mut project = straight();
    for style in [JointStyle::VBand, JointStyle::ClampCoupler] {
        let width = if style == JointStyle::VBand { 20.0 } else { 44.0 };
        project.joints[1] = JointKind { style, body_width_mm: width, ..flange(13) };
        let off = section(&project, 0, None);
        assert_eq!(off.first[0], "Take the clamp off AJ1 first.");
        for solid in off.moving.iter().chain(&off.staying) {
            // nothing is left over the tubes, whose ends are 10 from the middle of each joint
            let (low, high) = solid_bounds(solid);
            let near = if low.x < 300.0 { 10.0 } else { 590.0 };
            assert!(low.x >= near - 10.0 - 1e-9 && high.x <= near + 10.0 + 1e-9, "{style:?} {low} {high}");
        }
    }
    // a sleeve that is not welded on comes off whole, and the tube ends are free of each other
    project.joints[1] = JointKind { style: JointStyle::ClampCoupler, welded: false, ..flange(13) };
    let off = section(&project, 0, None);
    assert!(off.moving.is_empty() && off.staying.is_empty());
    assert!(found(&off).pulls_allowed > 200);
}

#[test]
fn what_cannot_be_asked_is_said() {
    let mut project = straight();
    let report = Report::quick(&project);
    let run = project.runs[0].id;
    let ask = |project: &Project, report: &Report, run, from, to| {
        TakeOff::new(project, &Scans::default(), report, Section { run, from, to, need_mm: 3.0 }).map(|_| ())
    };
    let no_pipe = "There is no pipe between these two places. Choose two others.";
    for (from, to) in [
        (Place::Joint(0), Place::Joint(0)),
        (Place::Joint(2), Place::Joint(0)),
        (Place::End, Place::Start),
        (Place::End, Place::End),
    ] {
        assert_eq!(ask(&project, &report, run, from, to), Err(no_pipe.to_owned()));
    }
    assert!(ask(&project, &report, RunId(999), Place::Joint(0), Place::Joint(2)).is_err());
    assert!(ask(&project, &report, run, Place::Joint(1), Place::Joint(999)).is_err());
    let file = ScanFile {
        path: "bay.stl".to_owned(),
        bytes: 1,
        sha256: "0".repeat(64),
        mm_per_unit: 1.0,
        low_mm: DVec3::ZERO,
        high_mm: DVec3::ONE,
        keep: None,
    };
    wall(&mut project, "Bay scan", DVec3::ONE, DVec3::ZERO);
    project.obstacles[0].shape = Shape::Scan(file);
    let off = section(&project, 0, None);
    assert_eq!(off.unread, ["Bay scan"]);
    let words = off.words(&found(&off));
    assert_eq!(words.last().unwrap(), "Not counted, because it has not been read: Bay scan.");
    let mut asked = 0;
    let stopped = off.find(&mut |_| {
        asked += 1;
        asked < 3
    });
    assert_eq!((stopped.answer, asked), (Answer::Stopped, 3));
    project.runs[0].tube = TubeId(999);
    let broken = Report::quick(&project);
    assert!(
        ask(&project, &broken, run, Place::Joint(0), Place::Joint(2))
            .unwrap_err()
            .contains("cannot be built")
    );
}

#[test]
fn another_pipe_in_the_way_is_told_by_name_and_one_at_the_same_port_is_not_in_the_way() {
    let mut project = straight();
    let mut other = project.runs[0].clone();
    (other.id, other.name, other.letters) = (RunId(5000), "Fat pipe".to_owned(), "B".to_owned());
    let mut ports = project.hardpoints.clone();
    for (i, port) in ports.iter_mut().enumerate() {
        port.id = crate::model::HardpointId(5001 + i as u32);
        port.position_mm += DVec3::Z * 140.0;
        port.attachment = Attachment::Loose;
    }
    other.start = ports[0].id;
    if let RunEnd::Hardpoint { hardpoint, .. } = &mut other.end {
        *hardpoint = ports[1].id;
    }
    project.hardpoints.extend(ports);
    project.runs.push(other);
    for y in [-75.0, 75.0] {
        wall(&mut project, "Rail", DVec3::new(900.0, 20.0, 200.0), DVec3::new(300.0, y, 0.0));
    }
    wall(&mut project, "Floor", DVec3::new(900.0, 300.0, 20.0), DVec3::new(300.0, 0.0, -74.0));
    let off = section(&project, 0, None);
    let outcome = found(&off);
    let words = off.words(&outcome).join(" ");
    assert!(words.contains("Fat pipe (B") || words.contains("Rail"), "{words}");
    assert!(off.still.iter().any(|s| s.words.starts_with("Fat pipe (B")));
    // a pipe that goes on from the same place the other way: the two meet face to face there
    project.hardpoints[0].attachment = Attachment::Loose;
    (project.hardpoints[2].position_mm, project.hardpoints[2].direction) = (DVec3::ZERO, DVec3::NEG_X);
    (project.hardpoints[3].position_mm, project.hardpoints[3].direction) = (DVec3::X * -600.0, DVec3::X);
    let outcome = found(&section(&project, 0, None));
    assert!(matches!(outcome.answer, Answer::Pull(_)), "{outcome:?}");
}

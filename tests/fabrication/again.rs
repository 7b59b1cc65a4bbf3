//! Copies, mirror images and runs drawn from their other end, against plain geometry on random runs.
#![expect(clippy::unwrap_used, reason = "tests")]

use glam::DVec3;
use pipeloft_core::edit::again::{Again, AgainError, duplicate, mirror, swap_ends};
use pipeloft_core::edit::{Edit, History, apply, new_item};
use pipeloft_core::fab::build::Built;
use pipeloft_core::geom::Frame;
use pipeloft_core::model::{
    Attachment, Fitting, FittingId, Hardpoint, Item, MergeId, Obstacle, PartKind, Project, Run, RunEnd,
    RunId, Seat, Shape, Spot, Taper, TaperId, TaperMake, Tube, TubeId,
};
use pipeloft_core::report::{Report, RunReport};
use pipeloft_core::space::solid_bounds;
use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::{COUPLER, half, into_the_open, port, run_through, shop};

const NEAR_MM: f64 = 1e-6;

fn flip(p: DVec3) -> DVec3 {
    DVec3::new(p.x, -p.y, p.z)
}

fn near(a: DVec3, b: DVec3, what: &str) {
    assert!(a.distance(b) < NEAR_MM, "{what}: {a} is not {b}");
}

/// A clock angle in (−180, 180], rad in, degrees out, and 180 and −180 the same.
fn same_turn(a_rad: f64, b_rad: f64) -> bool {
    (1.0 - (a_rad - b_rad).cos()).abs() < 1e-12
}

/// A run of three to five bends away from the middle plane, with a joint, a bung, a flange on a stub, a taper now and then,
/// and a joint at its end.
fn random_run(dice: &mut Dice) -> (Project, RunId) {
    let mut project = shop(63.5, 1.65);
    let mut way = DVec3::X;
    let mut points = vec![DVec3::new(0.0, 700.0, 300.0)];
    for i in 0..4 + dice.below(3) {
        points.push(points[i as usize] + way * dice.between(330.0, 520.0));
        let side = DVec3::new(dice.between(-1.0, 1.0), dice.between(-1.0, 1.0), dice.between(-1.0, 1.0));
        let side = (side - way * side.dot(way)).try_normalize().unwrap_or(DVec3::Z);
        let turn = dice.between(0.3, 1.2);
        way = way * turn.cos() + side * turn.sin();
    }
    let id = run_through(&mut project, &points, half(110.0, 2 + dice.below(4) as u32));
    let mut run = project.run(id).unwrap().clone();
    run.fittings.push(Fitting {
        id: FittingId(project.fresh_id()),
        joint: COUPLER,
        leg: 1,
        station_mm: dice.between(60.0, 90.0),
        lobe_clock_deg: dice.between(-180.0, 180.0),
    });
    for (leg, kind) in [(2, 0), (2, 1)] {
        let mut part = new_item::part(&mut project, &run, new_item::part_kinds().swap_remove(kind));
        (part.leg, part.clock_deg) = (leg, dice.between(-180.0, 180.0));
        part.station_mm = [30.0, 130.0][kind];
        if let PartKind::Stub(stub) = &mut part.kind {
            stub.angle_deg = dice.between(60.0, 120.0);
        }
        run.parts.push(part);
    }
    if dice.below(2) == 0 {
        let wide = TubeId(project.fresh_id());
        project.tubes.push(Tube { id: wide, od_mm: 76.2, ..project.tubes[0].clone() });
        run.tapers.push(Taper {
            id: TaperId(project.fresh_id()),
            leg: run.vertices().len(),
            station_mm: 70.0,
            length_mm: 60.0,
            tube: wide,
            wall_mm: 1.65,
            offset_mm: 0.0,
            offset_clock_deg: 0.0,
            make: TaperMake::Rolled { seam_clock_deg: dice.between(-180.0, 180.0), lap_mm: 0.0 },
        });
        if let RunEnd::Hardpoint { hardpoint, .. } = run.end {
            project.hardpoints.iter_mut().find(|h| h.id == hardpoint).unwrap().od_mm = 76.2;
        }
    } else if let RunEnd::Hardpoint { hardpoint, .. } = run.end {
        let lobe_clock_deg = dice.between(-180.0, 180.0);
        let end = project.hardpoints.iter_mut().find(|h| h.id == hardpoint).unwrap();
        end.attachment = Attachment::Joint { joint: COUPLER, lobe_clock_deg };
    }
    (apply(&project, &Edit::PutRun(run)).unwrap(), id)
}

/// Adds a branch of the same size into the open, on a leg of a run.
fn branch(project: &Project, on: RunId, dice: &mut Dice) -> (Project, RunId) {
    let mut next = project.clone();
    let id = port(&mut next, "branch", DVec3::ZERO, DVec3::X);
    let seat = Seat::Run {
        run: on,
        spot: Spot::Leg { leg: 3, station_mm: 100.0 },
        clock_deg: dice.between(-180.0, 180.0),
        angle_deg: dice.between(60.0, 120.0),
        offset_mm: 0.0,
    };
    let at = Hardpoint {
        seat: Some(seat),
        attachment: Attachment::Welded,
        od_mm: 63.5,
        ..next.hardpoint(id).unwrap().clone()
    };
    let mut next = apply(&next, &Edit::PutHardpoint(at)).unwrap();
    let tube = next.tubes[0].id;
    let run = into_the_open(&mut next, id, tube, 300.0);
    (next, run)
}

fn buildable(report: &Report, run: RunId) -> Option<&RunReport> {
    report.run(run).filter(|r| r.built.is_buildable())
}

fn applied(project: &Project, made: &Again) -> Project {
    let mut history = History::new(project.clone());
    history.edit("again", &made.edit).unwrap();
    let after = (**history.project()).clone();
    assert!(history.undo());
    assert_eq!(**history.project(), *project, "undone bit for bit");
    after
}

/// Every piece of `image` is the mirror image of that of `old`.
fn mirrored_pieces(old: &Built, image: &Built) {
    assert_eq!(old.pieces.len(), image.pieces.len());
    for (i, (a, b)) in old.pieces.iter().zip(&image.pieces).enumerate() {
        let mark = &a.mark;
        assert!((a.centre_mm - b.centre_mm).abs() < NEAR_MM, "{mark}");
        for (a, b) in [(a.start, b.start), (a.end, b.end)] {
            assert!((a.tilt_rad - b.tilt_rad).abs() < 1e-9, "{mark}");
            let (Some(a), Some(b)) = (a.heel_clock_rad, b.heel_clock_rad) else { continue };
            assert!(same_turn(a, -b), "{mark}: {a} and {b}");
        }
        if let (Some(a), Some(b)) = (a.lobe_clock_rad, b.lobe_clock_rad) {
            assert!(same_turn(a, -b), "{mark}");
        }
        let ends = |frames: &[(Frame, Frame)]| [frames[i].0, frames[i].1];
        for (a, b) in ends(&old.frames).into_iter().zip(ends(&image.frames)) {
            near(flip(a.origin), b.origin, mark);
            near(flip(a.travel), b.travel, mark);
            near(flip(a.index), b.index, mark);
        }
    }
    mirrored_boxes(old, image);
}

/// Boxes round all solids, those of parts among them, are mirror images too.
fn mirrored_boxes(old: &Built, image: &Built) {
    let (a, b) = (old.all_solids(), image.all_solids());
    assert_eq!(a.len(), b.len());
    for (a, b) in a.iter().zip(&b) {
        let ((low, high), (image_low, image_high)) = (solid_bounds(&a.solid), solid_bounds(&b.solid));
        near(DVec3::new(low.x, -high.y, low.z), image_low, "low");
        near(DVec3::new(high.x, -low.y, high.z), image_high, "high");
    }
}

#[test]
fn mirrored_runs_and_what_sits_on_them_are_mirror_images() {
    let mut dice = Dice(41);
    let (mut built, mut branched) = (0, 0);
    for _ in 0..40 {
        let (project, id) = random_run(&mut dice);
        let (mut project, on) = branch(&project, id, &mut dice);
        // the same thing in the way on both sides
        for side in [1.0, -1.0] {
            let at = project.run(id).unwrap().waypoints[0].position_mm + DVec3::new(60.0, 90.0, 120.0);
            let at = DVec3::new(at.x, side * at.y, at.z);
            let ball = new_item::obstacle(&mut project, Shape::Sphere { diameter_mm: 90.0 }, at);
            project.obstacles.push(Obstacle { name: format!("Ball {side}"), gap_mm: 60.0, ..ball });
        }
        let made = mirror(&project, &[Item::Run(on), Item::Run(id)], 0.0).unwrap();
        assert!(made.set_free.is_empty());
        let after = applied(&project, &made);
        let [Item::Run(image_on), Item::Run(image)] = made.items[..] else { panic!("{:?}", made.items) };
        let report = Report::new(&after);
        let (Some(a), Some(b)) = (buildable(&report, id), buildable(&report, image)) else { continue };
        built += 1;
        mirrored_pieces(&a.built, &b.built);
        for (a, b) in a.holes.iter().zip(&b.holes) {
            assert!((a.along_mm - b.along_mm).abs() < NEAR_MM);
        }
        let gap = |run: RunId, side: &str| {
            let of = |c: &&pipeloft_core::report::ClearanceReport| c.run_id == run && c.against == side;
            report.clearance.iter().find(of).map(|c| c.gap_mm)
        };
        if let (Some(a), Some(b)) = (gap(id, "Ball 1"), gap(image, "Ball -1")) {
            assert!((a - b).abs() < 1e-4, "{a} and {b}");
        }
        if let (Some(a), Some(b)) = (buildable(&report, on), buildable(&report, image_on)) {
            branched += 1;
            mirrored_pieces(&a.built, &b.built);
        }
    }
    assert!(built >= 25 && branched >= 15, "{built} could be built, {branched} with their branch");
}

#[test]
fn a_hardpoint_on_the_other_side_is_used_and_clocks_count_from_its_twelve_o_clock() {
    let mut dice = Dice(43);
    let (mut project, id) = random_run(&mut dice);
    let start = project.hardpoint(project.run(id).unwrap().start).unwrap().clone();
    // 3 mm off and turned a quarter round its axis
    let there = port(
        &mut project,
        "there",
        flip(start.position_mm) + DVec3::new(0.0, 3.0, 0.0),
        flip(start.direction),
    );
    let at = project.hardpoints.iter_mut().find(|h| h.id == there).unwrap();
    at.clock = DVec3::Y;
    let made = mirror(&project, &[Item::Run(id)], 0.0).unwrap();
    let after = applied(&project, &made);
    let [Item::Run(image)] = made.items[..] else { panic!() };
    assert_eq!(after.run(image).unwrap().start, there);
    assert_eq!(after.hardpoints.len(), project.hardpoints.len() + 1, "only the far one is made");
    let lobe = |run: RunId| {
        let built = pipeloft_core::fab::build::build(&after, after.run(run).unwrap());
        let i = built.pieces.iter().position(|p| p.lobe_clock_rad.is_some()).unwrap();
        built.frames[i].0.at_clock(built.pieces[i].lobe_clock_rad.unwrap())
    };
    // the leg is tilted by the 3 mm, no more
    assert!(flip(lobe(id)).distance(lobe(image)) < 0.02);
}

#[test]
fn the_other_arm_of_a_merge_on_the_middle_is_found_and_one_beside_it_is_mirrored_whole() {
    let mut project = shop(50.8, 1.65);
    let merge_at = |project: &mut Project, y: f64| -> (MergeId, Vec<Hardpoint>) {
        let new = new_item::merge(project, DVec3::new(800.0, y, 0.0));
        *project = apply(project, &new.edit()).unwrap();
        let id = new.merge.id;
        let arms = project
            .hardpoints
            .iter()
            .filter(|h| matches!(h.seat, Some(Seat::Arm { merge, .. }) if merge == id));
        (id, arms.cloned().collect())
    };
    let (middle, arms) = merge_at(&mut project, 0.0);
    let apart = (arms[0].position_mm + arms[1].position_mm).y.abs();
    assert!(arms.len() == 2 && apart < 1e-9, "the new merge lies left and right of its axis");
    let from = arms[0].outward().unwrap().forward(600.0).origin;
    let start = port(&mut project, "Left head", from, arms[0].position_mm - from);
    let run = new_item::run(&mut project, start, Some(arms[0].id)).unwrap();
    let id = run.id;
    project = apply(&project, &Edit::PutRun(Run { name: "Left primary".to_owned(), ..run })).unwrap();
    let made = mirror(&project, &[Item::Run(id)], 0.0).unwrap();
    let after = applied(&project, &made);
    let image = after.runs.last().unwrap();
    assert_eq!(image.name, "Right primary");
    assert!(matches!(image.end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == arms[1].id));
    assert_eq!(after.merges.len(), 1, "the merge {middle:?} serves both");

    let (_, arms) = merge_at(&mut project, 500.0);
    let from = arms[0].outward().unwrap().forward(600.0).origin;
    let start = port(&mut project, "head", from, arms[0].position_mm - from);
    let run = new_item::run(&mut project, start, Some(arms[0].id)).unwrap();
    let id = run.id;
    project = apply(&project, &Edit::PutRun(run)).unwrap();
    let made = mirror(&project, &[Item::Run(id)], 0.0).unwrap();
    let after = applied(&project, &made);
    let image = after.merges.last().unwrap();
    assert_eq!(after.merges.len(), 3);
    near(image.position_mm, DVec3::new(800.0, -500.0, 0.0), "the merge");
    let mouths = |merge: MergeId| {
        let of = move |h: &&Hardpoint| matches!(h.seat, Some(Seat::Arm { merge: m, .. } | Seat::Outlet { merge: m }) if m == merge);
        after.hardpoints.iter().filter(of).map(|h| (h.position_mm, h.direction)).collect::<Vec<_>>()
    };
    let (old, new) = (mouths(after.merges[1].id), mouths(image.id));
    assert_eq!((old.len(), new.len()), (3, 3));
    for (a, b) in old.iter().zip(&new) {
        near(flip(a.0), b.0, "a mouth");
        near(flip(a.1), b.1, "its way");
    }
}

#[test]
fn bars_are_mirrored_with_what_they_sit_on() {
    let mut dice = Dice(47);
    let (mut project, id) = random_run(&mut dice);
    let mut bar = new_item::bar(&mut project, DVec3::new(300.0, 400.0, 500.0));
    bar.ends[0].clock_deg = 35.0;
    let coped = new_item::bar_ends().pop().unwrap();
    bar.ends[1].make = match coped {
        pipeloft_core::model::BarEndMake::Cope { pad, .. } => {
            pipeloft_core::model::BarEndMake::Cope { onto: pipeloft_core::model::Onto::Run(id), pad }
        }
        other => panic!("{other:?}"),
    };
    bar.ends[1].position_mm = project.run(id).unwrap().waypoints[0].position_mm;
    project = apply(&project, &Edit::PutBar(Box::new(bar.clone()))).unwrap();
    let error = mirror(&project, &[Item::Bar(bar.id)], 0.0).unwrap_err();
    assert!(error.to_string().contains(&project.run(id).unwrap().name), "{error}");
    let made = mirror(&project, &[Item::Bar(bar.id), Item::Run(id)], 0.0).unwrap();
    let after = applied(&project, &made);
    let (image, run) = (after.bars.last().unwrap(), after.runs.last().unwrap());
    assert_eq!(image.ends[1].make.onto(), Some(pipeloft_core::model::Onto::Run(run.id)));
    near(image.ends[0].position_mm, flip(bar.ends[0].position_mm), "its end");
    assert!((image.ends[0].clock_deg + 35.0).abs() < 1e-12);
    let [a, b] =
        [bar.id, image.id].map(|id| Report::new(&after).bars.into_iter().find(|b| b.id == id).unwrap());
    assert!(!a.built.solids.is_empty() && a.built.solids.len() == b.built.solids.len());
    for (a, b) in a.built.solids.iter().zip(&b.built.solids) {
        let ((low, high), (image_low, image_high)) = (solid_bounds(a), solid_bounds(b));
        near(DVec3::new(low.x, -high.y, low.z), image_low, "low");
        near(DVec3::new(high.x, -low.y, high.z), image_high, "high");
    }
}

#[test]
fn a_run_drawn_from_its_other_end_is_the_same_pipe_with_the_same_things_on_it() {
    let mut dice = Dice(53);
    let mut built = 0;
    for _ in 0..40 {
        let (project, id) = random_run(&mut dice);
        let (mut project, on) = branch(&project, id, &mut dice);
        let welds = pipeloft_core::fab::build::build(&project, project.run(id).unwrap()).welds;
        if welds.is_empty() {
            continue;
        }
        let fitted = dice.below(welds.len() as u64) as usize;
        project.runs.iter_mut().find(|r| r.id == id).unwrap().fit_weld = welds[fitted].key;
        let made = swap_ends(&project, id).unwrap();
        let after = applied(&project, &made);
        let [before, back] = [&project, &after].map(Report::new);
        let (Some(a), Some(b)) = (buildable(&before, id), buildable(&back, id)) else { continue };
        built += 1;
        assert_eq!((&a.from, &a.to), (&b.to, &b.from));
        let (a, b) = (&a.built, &b.built);
        let n = a.pieces.len();
        assert_eq!(n, b.pieces.len());
        for (i, piece) in a.pieces.iter().enumerate() {
            let (other, mark) = (&b.pieces[n - 1 - i], &piece.mark);
            let (ours, theirs) = (a.frames[i], b.frames[n - 1 - i]);
            near(ours.0.origin, theirs.1.origin, mark);
            near(ours.1.origin, theirs.0.origin, mark);
            near(ours.0.travel, -theirs.1.travel, mark);
            assert!((piece.centre_mm - other.centre_mm).abs() < NEAR_MM, "{mark}");
            if let (Some(a), Some(b)) = (piece.lobe_clock_rad, other.lobe_clock_rad) {
                near(ours.0.at_clock(a), theirs.0.at_clock(b), mark);
            }
        }
        let boxes = |built: &Built| {
            let mut all: Vec<_> = built.all_solids().iter().map(|s| solid_bounds(&s.solid)).collect();
            all.sort_by(|a, b| (a.0.x + 3.0 * a.1.y).total_cmp(&(b.0.x + 3.0 * b.1.y)));
            all
        };
        for (a, b) in boxes(a).iter().zip(&boxes(b)) {
            near(a.0, b.0, "low");
            near(a.1, b.1, "high");
        }
        let [face, face_after] =
            [&project, &after].map(|p| p.hardpoint(p.run(on).unwrap().start).unwrap().clone());
        near(face.position_mm, face_after.position_mm, "the branch");
        near(face.direction, face_after.direction, "its way");
        let keys: Vec<_> = b.welds.iter().map(|w| w.key).collect();
        let at = after.run(id).unwrap().fit_weld.and_then(|w| w.find(&keys));
        assert_eq!(at, Some(b.welds.len() - 1 - fitted), "the weld that is fitted last");
        // and back
        let again = applied(&after, &swap_ends(&after, id).unwrap());
        let (old, new) = (project.run(id).unwrap(), again.run(id).unwrap());
        assert_eq!((old.start, old.end, &old.waypoints), (new.start, new.end, &new.waypoints));
        for (a, b) in old.parts.iter().zip(&new.parts) {
            assert!((a.station_mm - b.station_mm).abs() < NEAR_MM && a.leg == b.leg);
            assert!(same_turn(a.clock_deg.to_radians(), b.clock_deg.to_radians()));
        }
    }
    assert!(built >= 25, "{built}");
}

#[test]
fn what_cannot_be_swapped_says_why() {
    let mut dice = Dice(59);
    let (project, id) = random_run(&mut dice);
    let (project, on) = branch(&project, id, &mut dice);
    assert!(matches!(swap_ends(&project, on), Err(AgainError::OpenEnd { .. })));
    let mut shared = project.clone();
    let RunEnd::Hardpoint { hardpoint, .. } = shared.run(id).unwrap().end else { panic!() };
    let end = shared.hardpoints.iter_mut().find(|h| h.id == hardpoint).unwrap();
    end.attachment = Attachment::Joint { joint: COUPLER, lobe_clock_deg: 20.0 };
    let tube = shared.tubes[0].id;
    let other = into_the_open(&mut shared, hardpoint, tube, 200.0);
    let error = swap_ends(&shared, id).unwrap_err();
    assert!(error.to_string().contains(&shared.run(other).unwrap().name), "{error}");
    assert_eq!(swap_ends(&project, RunId(9999)), Err(AgainError::Gone));
    assert_eq!(mirror(&project, &[], 0.0), Err(AgainError::Nothing));
}

#[test]
fn a_copy_is_the_same_pipe_somewhere_else_under_a_name_of_its_own() {
    let mut dice = Dice(61);
    for _ in 0..10 {
        let (project, id) = random_run(&mut dice);
        let made = duplicate(&project, id).unwrap();
        let after = applied(&project, &made);
        let [Item::Run(copy)] = made.items[..] else { panic!() };
        let [a, b] = [id, copy].map(|id| after.run(id).unwrap());
        assert!(a.name != b.name && a.letters != b.letters && a.start != b.start);
        let report = Report::new(&after);
        let (Some(a), Some(b)) = (buildable(&report, id), buildable(&report, copy)) else { continue };
        let by = b.built.frames[0].0.origin - a.built.frames[0].0.origin;
        assert!(by.length() > 100.0);
        for (a, b) in a.built.all_solids().iter().zip(&b.built.all_solids()) {
            near(solid_bounds(&a.solid).0 + by, solid_bounds(&b.solid).0, "low");
        }
        let clash = report.clearance.iter().any(|c| c.clash && c.run_id == id && c.other == Item::Run(copy));
        assert!(!clash, "it stands clear of what it is a copy of");
    }
}

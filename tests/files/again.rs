//! What loads can be saved and loaded again, also where things come to sit at the limits; and no edit panics.

use glam::DVec3;
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::file;
use pipeloft_core::model::limits::MAX_COORDINATE_MM;
use pipeloft_core::model::{
    Attachment, Hardpoint, HardpointId, Merge, MergeArm, MergeId, MergeJoin, Project, RunEnd, RunId, Seat,
    Spot,
};
use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::{half, into_the_open, port, run_through, shop};
use std::path::Path;

fn point(dice: &mut Dice, middle: DVec3, reach_mm: f64) -> DVec3 {
    let limit = DVec3::splat(MAX_COORDINATE_MM);
    let way = DVec3::from_array([(); 3].map(|()| dice.between(-reach_mm, reach_mm)));
    (middle + way).clamp(-limit, limit)
}

/// A corner of the space there is, at its limits or near them.
fn corner(dice: &mut Dice) -> DVec3 {
    let near = |dice: &mut Dice| {
        let side = if dice.below(2) == 0 { -1.0 } else { 1.0 };
        let back = [0.0, 1e-9, 1.0, 100.0, 2_000.0][dice.below(5) as usize];
        side * (MAX_COORDINATE_MM - back)
    };
    DVec3::new(near(dice), near(dice), near(dice))
}

fn seated(project: &mut Project, seat: Seat) -> HardpointId {
    let id = port(project, "seated", DVec3::ZERO, DVec3::X);
    if let Some(port) = project.hardpoints.iter_mut().find(|h| h.id == id) {
        port.seat = Some(seat);
        port.attachment = Attachment::Welded;
    }
    id
}

fn merge(project: &mut Project, dice: &mut Dice, position_mm: DVec3) -> MergeId {
    let id = MergeId(project.fresh_id());
    let arms = (0..=dice.below(3))
        .map(|_| MergeArm { angle_deg: dice.between(5.0, 60.0), clock_deg: dice.between(0.0, 360.0) })
        .collect();
    let join = match dice.below(4) {
        0 => MergeJoin::Mitred,
        1 => MergeJoin::Over,
        2 => MergeJoin::Against,
        _ => MergeJoin::At { station_mm: dice.between(-100.0, 300.0) },
    };
    let direction = point(dice, DVec3::ZERO, 1.0);
    let body = project.bodies[0].id;
    let name = format!("Merge {}", id.0);
    project.merges.push(Merge {
        id,
        name,
        body,
        position_mm,
        direction,
        clock: DVec3::Z,
        arms,
        join,
        hidden: false,
    });
    id
}

fn spot(dice: &mut Dice) -> Spot {
    let leg = dice.below(3) as usize;
    match dice.below(3) {
        0 => Spot::Bend { leg, turn_deg: dice.between(0.0, 180.0) },
        1 => Spot::Leg { leg, station_mm: dice.between(-200.0, 600.0) },
        // as far out along the leg as may be
        _ => Spot::Leg { leg, station_mm: dice.between(-MAX_COORDINATE_MM, MAX_COORDINATE_MM) },
    }
}

fn branch(project: &mut Project, dice: &mut Dice, run: RunId) -> RunId {
    let seat = Seat::Run {
        run,
        spot: spot(dice),
        clock_deg: dice.between(-180.0, 180.0),
        angle_deg: dice.between(0.0, 180.0),
        offset_mm: dice.between(-40.0, 40.0),
    };
    let start = seated(project, seat);
    let tube = project.tubes[0].id;
    into_the_open(project, start, tube, dice.between(10.0, 3_000.0))
}

/// Runs, merges with pipes at them, and branches on branches, somewhere at the limits.
fn at_the_limits(dice: &mut Dice) -> Project {
    let mut project = shop(63.5, 1.65);
    let middle = corner(dice);
    let points: Vec<DVec3> = (0..3 + dice.below(3)).map(|_| point(dice, middle, 1_500.0)).collect();
    let welds = 2 + dice.below(4) as u32;
    let mut run = run_through(&mut project, &points, half(120.0, welds));
    for _ in 0..dice.below(3) {
        run = branch(&mut project, dice, run);
    }
    for _ in 0..dice.below(3) {
        let place = point(dice, middle, 300.0);
        let merge = merge(&mut project, dice, place);
        let start = seated(&mut project, Seat::Outlet { merge });
        seated(&mut project, Seat::Arm { merge, arm: dice.below(3) as usize });
        let tube = project.tubes[0].id;
        let out = into_the_open(&mut project, start, tube, dice.between(50.0, 900.0));
        branch(&mut project, dice, out);
    }
    for run in &mut project.runs {
        if let RunEnd::Open { position_mm, .. } = &mut run.end {
            *position_mm = point(dice, *position_mm, 1.0);
        }
    }
    project
}

fn load(text: &str) -> Result<Project, file::LoadError> {
    file::from_text(text, Path::new("again.ron"))
}

#[test]
fn what_loads_can_be_saved_and_loads_again_the_same() {
    let mut dice = Dice(20);
    let (mut loaded, mut refused, mut settled) = (0, 0, 0);
    for case in 0..600 {
        let project = at_the_limits(&mut dice);
        match load(&file::to_text(&project).unwrap()) {
            Ok(first) => {
                loaded += 1;
                settled += usize::from(first.hardpoints != project.hardpoints);
                let text = file::to_text(&first).unwrap();
                let second = load(&text).unwrap_or_else(|e| panic!("case {case}: {e}\n{text}"));
                assert_eq!(second, first, "case {case}");
            }
            Err(error) => {
                refused += 1;
                assert!(matches!(error, file::LoadError::Limits { .. }), "case {case}: {error}");
            }
        }
    }
    // each way must have been walked, or this checks nothing
    assert!(
        loaded > 100 && refused > 100 && settled > 50,
        "{loaded} loaded, {refused} refused, {settled} settled"
    );
}

/// Names may hold any letter, also those that text files do not hold as they are.
#[test]
fn every_letter_of_a_name_is_saved_and_loads_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("letters.ron");
    let all: Vec<char> =
        ('\0'..'\u{600}').chain("\u{feff}\u{2028}\u{202e}\u{fffe}🔧\u{10ffff}".chars()).collect();
    let mut project = shop(63.5, 1.65);
    for letters in all.chunks(400) {
        let id = port(&mut project, "", DVec3::ZERO, DVec3::X);
        if let Some(port) = project.hardpoints.iter_mut().find(|h| h.id == id) {
            port.name = letters.iter().collect();
        }
    }
    file::save(&path, &project).unwrap();
    assert_eq!(file::load(&path).unwrap(), project);
}

/// A branch far past the end of a run that points out of the space there is.
#[test]
fn a_port_that_settles_out_of_range_is_refused_by_name() {
    let mut project = shop(63.5, 1.65);
    let from = port(&mut project, "from", DVec3::X * 49_000.0, DVec3::X);
    let tube = project.tubes[0].id;
    let run = into_the_open(&mut project, from, tube, 900.0);
    let seat = |station_mm: f64| Seat::Run {
        run,
        spot: Spot::Leg { leg: 0, station_mm },
        clock_deg: 0.0,
        angle_deg: 90.0,
        offset_mm: 0.0,
    };
    let id = seated(&mut project, seat(400.0));
    let inside = load(&file::to_text(&project).unwrap()).unwrap();
    let at = inside.hardpoint(id).unwrap();
    assert!((at.position_mm - DVec3::new(49_400.0, 0.0, 63.5 / 2.0)).length() < 1e-9, "{at:?}");
    // where nothing has been settled yet all numbers are in their range
    let out = Hardpoint { seat: Some(seat(1_300.0)), ..at.clone() };
    let mut outside = inside.clone();
    outside.hardpoints.retain(|h| h.id != id);
    outside.hardpoints.push(out.clone());
    let said = load(&file::to_text(&outside).unwrap()).unwrap_err().to_string();
    assert!(said.contains("X of seated is 50300.0 mm"), "{said}");
    // the edit that would bring it there is refused in the same words
    let said = apply(&inside, &Edit::PutHardpoint(out)).unwrap_err().to_string();
    assert!(said.contains("X of seated is 50300.0 mm"), "{said}");
}

const WILD: [f64; 14] = [
    0.0,
    -0.0,
    1.0,
    180.0,
    5e-324,
    49_999.0,
    50_000.0,
    -50_000.0,
    50_001.0,
    1e9,
    1e300,
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
];

fn wild(dice: &mut Dice) -> f64 {
    WILD[dice.below(WILD.len() as u64) as usize]
}

fn wild_point(dice: &mut Dice, from: DVec3) -> DVec3 {
    DVec3::from_array(from.to_array().map(|x| if dice.below(2) == 0 { wild(dice) } else { x }))
}

fn wild_seat(dice: &mut Dice, seat: Option<Seat>) -> Option<Seat> {
    let Some(Seat::Run { run, spot, mut clock_deg, mut angle_deg, mut offset_mm }) = seat else {
        return seat;
    };
    let at = wild(dice);
    let spot = match (dice.below(3), spot) {
        (0, Spot::Leg { leg, .. } | Spot::Bend { leg, .. }) => Spot::Leg { leg, station_mm: at },
        (1, Spot::Leg { .. } | Spot::Bend { .. }) => Spot::Bend { leg: dice.word() as usize, turn_deg: at },
        (_, same) => same,
    };
    match dice.below(4) {
        0 => clock_deg = wild(dice),
        1 => angle_deg = wild(dice),
        2 => offset_mm = wild(dice),
        _ => {}
    }
    Some(Seat::Run { run, spot, clock_deg, angle_deg, offset_mm })
}

/// An edit that puts wild numbers where others depend on them.
fn wild_edit(project: &Project, dice: &mut Dice) -> Edit {
    let pick = |dice: &mut Dice, count: usize| dice.below(count.max(1) as u64) as usize;
    let port = project.hardpoints[pick(dice, project.hardpoints.len())].clone();
    match dice.below(4) {
        0 => {
            let mut run = project.runs[pick(dice, project.runs.len())].clone();
            match &mut run.end {
                RunEnd::Open { position_mm, .. } => *position_mm = wild_point(dice, *position_mm),
                RunEnd::Hardpoint { corner, .. } => corner.reach_mm = wild(dice),
            }
            if dice.below(2) == 0 {
                run.start_corner.reach_mm = wild(dice);
            }
            for waypoint in &mut run.waypoints {
                waypoint.position_mm = wild_point(dice, waypoint.position_mm);
            }
            Edit::PutRun(run)
        }
        1 => {
            let (position_mm, direction) =
                (wild_point(dice, port.position_mm), wild_point(dice, port.direction));
            Edit::PutHardpoint(Hardpoint { position_mm, direction, ..port })
        }
        2 => Edit::PutHardpoint(Hardpoint { seat: wild_seat(dice, port.seat), ..port }),
        _ => match project.merges.first() {
            Some(merge) => {
                let position_mm = wild_point(dice, merge.position_mm);
                let direction = wild_point(dice, merge.direction);
                let mut moved = Merge { position_mm, direction, ..merge.clone() };
                for arm in &mut moved.arms {
                    arm.angle_deg = wild(dice);
                }
                Edit::PutMerge(moved)
            }
            None => Edit::SetName("again".to_owned()),
        },
    }
}

#[test]
fn wild_edits_are_refused_in_a_sentence_or_give_what_can_be_saved() {
    let mut dice = Dice(21);
    let (mut kept, mut refused) = (0, 0);
    for case in 0..300 {
        let Ok(mut project) = load(&file::to_text(&at_the_limits(&mut dice)).unwrap()) else { continue };
        for step in 0..8 {
            match apply(&project, &wild_edit(&project, &mut dice)) {
                Ok(next) => {
                    kept += 1;
                    let again = load(&file::to_text(&next).unwrap());
                    let again = again.unwrap_or_else(|e| panic!("case {case}, step {step}: {e}"));
                    assert_eq!(again, next, "case {case}, step {step}");
                    project = next;
                }
                Err(error) => {
                    refused += 1;
                    assert!(error.to_string().ends_with('.'), "case {case}: {error}");
                }
            }
        }
    }
    assert!(kept > 200 && refused > 200, "{kept} kept, {refused} refused");
}

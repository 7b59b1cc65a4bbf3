//! Runs against themselves.

use super::skin::{Skin, least};
use super::{Tally, listed, times};
use crate::reference::Dice;
use glam::{DQuat, DVec3};
use pipeloft_core::geom::tolerance::OWN_GAP_MM;
use pipeloft_core::model::{
    BendMake, Ends, Item, Project, RunId, Taper, TaperId, TaperMake, Tube, TubeId, Waypoint, WaypointId,
};
use pipeloft_core::model::{Corner, Run, RunEnd};
use pipeloft_core::report::Report;
use pipeloft_tests::shop::{ELBOW, into_the_open, port, run_through, shop};
use std::f64::consts::{FRAC_PI_2, PI, SQRT_2, TAU};

/// A shop whose saw and tube leave nothing out.
fn bench(od_mm: f64) -> Project {
    let mut project = shop(od_mm, 1.5);
    project.settings.shortest_throat_mm = 0.0;
    project.settings.saw.most_deg = 80.0;
    project.settings.saw.step_deg = 0.001;
    project.tubes[0].stick_mm = 50_000.0;
    project
}

/// A way to make bends, elbows of radius `clr_mm` among them.
fn make(dice: &mut Dice, project: &mut Project, clr_mm: f64) -> BendMake {
    let welds = 1 + dice.below(7) as u32;
    match dice.below(3) {
        0 => {
            (project.elbows[0].clr_mm, project.elbows[0].angle_deg) = (clr_mm, 180.0);
            BendMake::Elbow { elbow: ELBOW }
        }
        1 => BendMake::mitred(clr_mm, welds.max(2), Ends::Half),
        _ => BendMake::mitred(clr_mm, welds.max(3), Ends::Full),
    }
}

fn run_mut(project: &mut Project, id: RunId) -> &mut Run {
    project.runs.iter_mut().find(|r| r.id == id).unwrap()
}

/// A run through points whose end is open.
fn open_run(project: &mut Project, points: &[DVec3], make: BendMake) -> RunId {
    let start = port(project, "from", points[0], points[1] - points[0]);
    let tube = project.tubes[0].id;
    let id = into_the_open(project, start, tube, 100.0);
    let waypoints: Vec<Waypoint> = points[2..points.len() - 1]
        .iter()
        .map(|p| Waypoint { id: WaypointId(project.fresh_id()), position_mm: *p, make })
        .collect();
    let run = run_mut(project, id);
    run.start_corner = Corner { reach_mm: points[0].distance(points[1]), make };
    run.waypoints = waypoints;
    run.end = RunEnd::open(points[points.len() - 1]);
    id
}

/// The check of one run against itself.
fn check(
    project: &Project,
    run: RunId,
    tally: &mut Tally,
    dice: &mut Dice,
    tell: &dyn Fn() -> String,
) -> bool {
    let report = Report::quick(project);
    let built = &report.run(run).unwrap().built;
    if !built.is_buildable() {
        return false;
    }
    let asked_mm = project.run(run).unwrap().gap_mm;
    let widest_mm = built.pieces.iter().map(|p| p.od_mm.max(p.end_od_mm())).fold(0.0, f64::max);
    let near_mm = (PI * widest_mm / 2.0 + asked_mm).max(SQRT_2 * (widest_mm + asked_mm));
    let skin = Skin::of(&built.solids);
    let sampled = least(&skin, &skin, Some(near_mm), asked_mm.max(OWN_GAP_MM), dice);
    let own = listed(&report, run, Item::Run(run));
    tally.check((project, &report, run), own, (sampled, asked_mm), tell);
    true
}

#[test]
fn hairpins_of_all_makes_are_checked_against_themselves() {
    let mut dice = Dice::new(21);
    let mut tally = Tally::default();
    let mut n = 0;
    while tally.scenes < 40 * times() {
        n += 1;
        let od_mm = [38.1, 50.8, 63.5, 76.2][dice.below(4)];
        let mut project = bench(od_mm);
        let clr_mm = od_mm * dice.between(0.6, 1.8);
        let make = make(&mut dice, &mut project, clr_mm);
        // two bends and a link, or one bend that comes nearly all the way round
        let legs = [0, 1]
            .map(|_| if dice.below(3) == 0 { dice.between(5.0, 60.0) } else { dice.between(60.0, 350.0) });
        let skew =
            DQuat::from_axis_angle(DVec3::Y, if dice.below(2) == 0 { 0.0 } else { dice.between(-0.4, 0.4) });
        let points = if dice.below(2) == 0 {
            let first = dice.between(1.2, 1.9);
            let second = (PI - first) + dice.between(-0.3, 0.3);
            let tangents = [first, second].map(|a| clr_mm * (a / 2.0).tan());
            let link_mm = tangents[0] + tangents[1] + [0.0, dice.between(0.5, 60.0)][dice.below(2)] + 1e-4;
            let at = DVec3::X * (legs[0] + tangents[0]);
            let on = at + DVec3::new(first.cos(), first.sin(), 0.0) * link_mm;
            let back = skew * DVec3::new((first + second).cos(), (first + second).sin(), 0.0);
            vec![DVec3::ZERO, at, on, on + back * (legs[1] + clr_mm * 1.6)]
        } else {
            let turn = dice.between(2.2, 3.0);
            let tangent = clr_mm * (turn / 2.0).tan();
            let at = DVec3::X * (legs[0] + tangent);
            vec![DVec3::ZERO, at, at + DVec3::new(turn.cos(), turn.sin(), 0.0) * (legs[1] + tangent)]
        };
        let run = open_run(&mut project, &points, make);
        let own_mm = 2.0 * clr_mm - od_mm;
        let asked_mm = if dice.below(5) == 0 {
            dice.between(1.0, 400.0)
        } else {
            own_mm.max(10.0) * dice.between(0.4, 1.6)
        };
        run_mut(&mut project, run).gap_mm = asked_mm;
        if dice.below(5) == 0 {
            let wide = TubeId(project.fresh_id());
            project.tubes.push(Tube { id: wide, od_mm: od_mm * 1.25, ..project.tubes[0].clone() });
            let id = TaperId(project.fresh_id());
            let taper = Taper {
                id,
                leg: 0,
                station_mm: legs[0] / 2.0,
                length_mm: 40.0,
                tube: wide,
                wall_mm: 1.5,
                offset_mm: 0.0,
                offset_clock_deg: 0.0,
                make: TaperMake::Bought,
            };
            run_mut(&mut project, run).tapers.push(taper);
        }
        let tell = || format!("hairpin {n}, {od_mm} of R {clr_mm}, {make:?}, {legs:?}, {points:?}");
        check(&project, run, &mut tally, &mut dice, &tell);
        assert!(n < 6 * 40 * times(), "{tally:?}: few can be built");
    }
    tally.done();
    assert!(tally.close * 4 > tally.scenes && tally.close * 10 < 9 * tally.scenes, "{tally:?}");
}

/// Runs of up to twenty bends that wander about in a box, so that they come near themselves.
#[test]
fn long_runs_are_checked_against_themselves() {
    let mut dice = Dice::new(22);
    let mut tally = Tally::default();
    let mut n = 0;
    while tally.scenes < 10 * times() {
        n += 1;
        let od_mm = [38.1, 50.8][dice.below(2)];
        let mut project = bench(od_mm);
        let clr_mm = od_mm * dice.between(1.0, 1.5);
        let make = make(&mut dice, &mut project, clr_mm);
        let bends = 5 + dice.below(16);
        let (mut points, mut way) = (vec![DVec3::ZERO, DVec3::X * 150.0], DVec3::X);
        for _ in 0..bends {
            let across = way.any_orthonormal_vector();
            let axis = DQuat::from_axis_angle(way, dice.between(0.0, TAU)) * across;
            way = (DQuat::from_axis_angle(axis, dice.between(0.5, FRAC_PI_2)) * way).normalize_or(DVec3::X);
            let last = points[points.len() - 1];
            points.push(last + way * (2.2 * clr_mm + dice.between(0.0, 60.0)));
        }
        let run = open_run(&mut project, &points, make);
        run_mut(&mut project, run).gap_mm = dice.between(20.0, 200.0);
        let tell = || format!("long run {n}, {od_mm} of R {clr_mm}, {make:?}, {points:?}");
        check(&project, run, &mut tally, &mut dice, &tell);
        assert!(n < 6 * 10 * times(), "{tally:?}: few can be built");
    }
    tally.done();
    assert!(tally.close * 10 > tally.scenes, "{tally:?}");
}

/// The one pair of cases by hand: legs 102.1 apart on their axes, 51.3 between tubes of 50.8, and 60 asked.
#[test]
fn a_hairpin_of_slices_is_as_close_to_itself_as_one_of_elbows() {
    for ends in [None, Some(Ends::Half), Some(Ends::Full)] {
        let mut project = bench(50.8);
        (project.elbows[0].clr_mm, project.elbows[0].angle_deg) = (50.8, 90.0);
        let make = ends.map_or(BendMake::Elbow { elbow: ELBOW }, |ends| BendMake::mitred(50.8, 3, ends));
        let (far, up) = (DVec3::X * 250.8, DVec3::Y * 102.1);
        let run = run_through(&mut project, &[DVec3::ZERO, far, far + up, up], make);
        run_mut(&mut project, run).gap_mm = 60.0;
        let report = Report::quick(&project);
        let own = listed(&report, run, Item::Run(run)).unwrap();
        assert!(!own.ok && own.gap_mm < 51.31, "{ends:?}: {own:?}");
        assert!(report.findings_of(run).any(|f| f.code == "too-close"));
    }
}

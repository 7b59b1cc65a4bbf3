//! A run and one thing at a random distance about what is asked for: an obstacle of any kind, or another run.

use super::skin::{Skin, least as least_of_skins};
use super::{Tally, listed, times};
use crate::reference::{Dice, Sampled, Target, least, obstacle};
use glam::DVec3;
use pipeloft_core::geom::Solid;
use pipeloft_core::model::{
    Body, BodyId, Item, Movement, Obstacle, ObstacleId, Pose, Project, RunId, Service, Shape,
};
use pipeloft_core::report::Report;
use pipeloft_tests::shop::{full, half, run_through, shop};

/// Asked for from 1 to 5,000 mm, as often between 1 and 10 as between 500 and 5,000.
fn asked(dice: &mut Dice) -> f64 {
    5_000_f64.powf(dice.between(0.0, 1.0))
}

/// A run of two or three bends somewhere about `middle`.
fn add_run(project: &mut Project, dice: &mut Dice, middle: DVec3, gap_mm: f64) -> RunId {
    let clr_mm = project.tubes[0].od_mm * dice.between(0.9, 1.6);
    let make = match dice.below(3) {
        0 => half(clr_mm, 2 + dice.below(4) as u32),
        _ => full(clr_mm, 3 + dice.below(4) as u32),
    };
    let mut points = vec![middle + dice.point(80.0)];
    for _ in 0..3 + dice.below(2) {
        let last = points[points.len() - 1];
        points.push(last + dice.direction() * dice.between(260.0, 420.0));
    }
    let id = run_through(project, &points, make);
    project.runs.iter_mut().find(|r| r.id == id).unwrap().gap_mm = gap_mm;
    id
}

/// An empty shop whose saw leaves nothing out, with a body that hardpoints are not on.
fn bench(dice: &mut Dice) -> Project {
    let mut project = shop([38.1, 63.5, 76.2][dice.below(3)], 1.5);
    project.settings.shortest_throat_mm = 0.0;
    project.settings.saw.most_deg = 80.0;
    project.tubes[0].stick_mm = 50_000.0;
    let movement = Movement::default();
    project.bodies.push(Body { id: BodyId(77), name: "Other".to_owned(), movement });
    project
}

/// About so far from the middle of the first run that the gap comes out about what is asked.
fn away(dice: &mut Dice, asked_mm: f64) -> DVec3 {
    dice.direction() * (asked_mm * dice.between(0.3, 1.3) + dice.between(0.0, 500.0))
}

fn solids_of(report: &Report, run: RunId) -> Option<Vec<Solid>> {
    let built = &report.run(run)?.built;
    built.is_buildable().then(|| built.solids.iter().map(|s| s.solid).collect())
}

#[test]
fn whatever_is_asked_of_an_obstacle_is_looked_for_as_far_as_that() {
    let mut dice = Dice::new(31);
    let mut tally = Tally::default();
    for n in 0.. {
        if tally.scenes >= 40 * times() {
            break;
        }
        let mut project = bench(&mut dice);
        let run = add_run(&mut project, &mut dice, DVec3::ZERO, 1.0);
        let asked_mm = asked(&mut dice);
        let pose = Pose { position_mm: away(&mut dice, asked_mm), turn_deg: dice.turns() };
        let (shape, target) = obstacle(&mut dice, n, &pose);
        // hot pipes beside what heat harms are asked for as much by another door
        let hot = dice.below(3) == 0;
        project.runs[0].service = if hot { Service::Exhaust } else { Service::ChargeAir };
        let (gap_mm, hot_gap_mm) = if hot { (1.0, Some(asked_mm)) } else { (asked_mm, None) };
        let id = ObstacleId(project.fresh_id());
        project.obstacles.push(Obstacle {
            id,
            name: "Thing".to_owned(),
            body: BodyId(77),
            shape,
            pose,
            gap_mm,
            heat_sensitive: hot,
            hot_gap_mm,
            hidden: false,
        });
        let report = Report::quick(&project);
        let Some(solids) = solids_of(&report, run) else { continue };
        let sampled_mm = match least(&solids, &target) {
            Sampled::Apart(mm, _) => mm,
            Sampled::Touching => 0.0,
        };
        // half spaces tell how deep
        let sampled_mm =
            if matches!(target, Target::HalfSpace(_)) { sampled_mm.max(0.0) } else { sampled_mm };
        let found = listed(&report, run, Item::Obstacle(id));
        let tell = || format!("scene {n}, {project:#?}");
        tally.check((&project, &report, run), found, (Some(sampled_mm), asked_mm), &tell);
    }
    tally.done();
    assert!(tally.close * 4 > tally.scenes && tally.close * 10 < 9 * tally.scenes, "{tally:?}");
}

#[test]
fn whatever_is_asked_of_two_runs_is_looked_for_and_said_of_both() {
    let mut dice = Dice::new(32);
    let mut tally = Tally::default();
    for n in 0.. {
        if tally.scenes >= 12 * times() {
            break;
        }
        let mut project = bench(&mut dice);
        let asked_mm = asked(&mut dice);
        let lesser_mm = dice.between(0.0, asked_mm);
        let one = add_run(&mut project, &mut dice, DVec3::ZERO, lesser_mm);
        let middle = away(&mut dice, asked_mm);
        let other = add_run(&mut project, &mut dice, middle, asked_mm);
        let report = Report::quick(&project);
        let built = [one, other].map(|id| &report.run(id).unwrap().built);
        if !built.iter().all(|b| b.is_buildable()) {
            continue;
        }
        let skins = built.map(|b| Skin::of(&b.solids));
        let sampled = least_of_skins(&skins[0], &skins[1], None, asked_mm + 300.0, &mut dice);
        let tell = || format!("scene {n}, {project:#?}");
        let mut each = Tally::default();
        for (own, to) in [(one, other), (other, one)] {
            let found = listed(&report, own, Item::Run(to));
            // points of surfaces do not tell what goes through each other
            let inside = found.is_some_and(|gap| gap.gap_mm <= 0.0);
            let sampled = if inside { Some(0.0) } else { sampled };
            each.check((&project, &report, own), found, (sampled, asked_mm), &tell);
        }
        tally.scenes += 1;
        tally.short += each.short;
        tally.close += each.close / 2;
        (tally.over_mm, tally.under_mm) =
            (tally.over_mm.max(each.over_mm), tally.under_mm.max(each.under_mm));
    }
    tally.done();
    assert!(tally.close * 5 > tally.scenes && tally.close < tally.scenes, "{tally:?}");
}

/// A body that shifts: every corner of what it can, its middle and the middles of its sides are looked at one by one.
#[test]
fn where_bodies_shift_no_position_has_less_than_is_said() {
    let mut dice = Dice::new(33);
    let (mut scenes, mut as_drawn, mut moved) = (0, 0, 0);
    for n in 0.. {
        if scenes >= 10 * times() {
            break;
        }
        let mut project = bench(&mut dice);
        let run = add_run(&mut project, &mut dice, DVec3::ZERO, 1.0);
        let shift_mm = DVec3::new(dice.between(0.0, 12.0), dice.between(0.0, 12.0), dice.between(0.0, 12.0))
            * if dice.below(3) == 0 { 30.0 } else { 1.0 };
        project.bodies[0].movement = Movement { shift_mm, roll: None };
        let asked_mm = asked(&mut dice).min(1500.0);
        let at = away(&mut dice, asked_mm);
        let size_mm = DVec3::splat(dice.between(20.0, 200.0));
        let pose = Pose { position_mm: at, turn_deg: DVec3::ZERO };
        let id = ObstacleId(project.fresh_id());
        project.obstacles.push(Obstacle {
            id,
            name: "Thing".to_owned(),
            body: BodyId(77),
            shape: Shape::Box { size_mm },
            pose,
            gap_mm: asked_mm,
            heat_sensitive: false,
            hot_gap_mm: None,
            hidden: false,
        });
        let report = Report::quick(&project);
        let Some(solids) = solids_of(&report, run) else { continue };
        scenes += 1;
        let mut least_mm = f64::INFINITY;
        for i in 0..27 {
            let share = DVec3::new(f64::from(i % 3 - 1), f64::from(i / 3 % 3 - 1), f64::from(i / 9 - 1));
            let place = crate::reference::Place { turn: glam::DMat3::IDENTITY, at: at - shift_mm * share };
            let sampled = least(&solids, &Target::Box(place, size_mm / 2.0));
            least_mm = least_mm.min(if let Sampled::Apart(mm, _) = sampled { mm } else { 0.0 });
        }
        let found = listed(&report, run, Item::Obstacle(id));
        let tell = || format!("scene {n}: least {least_mm} of {asked_mm}, {found:#?}\n{project:#?}");
        let Some(gap) = found else {
            assert!(least_mm >= asked_mm - 0.1, "not listed, {}", tell());
            continue;
        };
        assert!(gap.never_below_mm <= least_mm + 0.011, "{}", tell());
        if gap.tightest {
            moved += usize::from(gap.is_moved());
            assert!(gap.gap_mm <= least_mm + 0.1, "{}", tell());
        } else {
            as_drawn += 1;
            assert!(gap.ok && gap.pose.starts_with("as drawn; no position brings it under "), "{}", tell());
            assert!((gap.gap_mm - gap.as_drawn_mm).abs() < 1e-9 && gap.gap_mm > asked_mm, "{}", tell());
        }
        assert!(gap.ok || report.findings_of(run).any(|f| super::says_gap(f.code)), "{}", tell());
    }
    println!("{scenes} scenes, {moved} moved, {as_drawn} told as drawn");
    assert!(moved > 0 && as_drawn > 0);
}

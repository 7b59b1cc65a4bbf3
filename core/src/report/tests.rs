mod plumbing;
mod shaped;

use super::*;
use crate::model::{BendMake, Ends, Obstacle, ObstacleId, Pose, RunEnd, Service, Shape};
use crate::testing::{bench_project, run_through, set_makes};
use approx::assert_relative_eq;
use glam::DVec3;

fn sample() -> Project {
    run_through(&[
        DVec3::ZERO,
        DVec3::X * 300.0,
        DVec3::new(520.0, 300.0, 120.0),
        DVec3::new(900.0, 300.0, 0.0),
        DVec3::new(1300.0, 300.0, 0.0),
    ])
    .0
}

fn ball(project: &mut Project, at: DVec3, diameter_mm: f64, gap_mm: f64) {
    let id = ObstacleId(project.fresh_id());
    project.obstacles.push(Obstacle {
        id,
        name: format!("ball {}", id.0),
        body: crate::model::BodyId(77),
        shape: Shape::Sphere { diameter_mm },
        pose: Pose::at(at),
        gap_mm,
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    });
}

#[test]
fn an_empty_project_gives_an_empty_report() {
    let report = Report::new(&Project::new("Empty", crate::units::UnitSystem::InchFraction));
    assert_eq!((report.runs.len(), report.findings.len(), report.totals.runs), (0, 0, 0));
    assert!(report.to_json().unwrap().contains("\"project\": \"Empty\""));
}

#[test]
fn sums_are_the_sums_of_what_is_listed() {
    let report = Report::new(&sample());
    let run = &report.runs[0];
    assert_relative_eq!(run.weld_length_mm, run.welds.iter().map(|w| w.length_mm).sum::<f64>());
    assert_relative_eq!(run.centreline_mm, run.pieces.iter().map(|p| p.centre_mm).sum::<f64>());
    assert_relative_eq!(report.totals.weld_length_mm, run.weld_length_mm);
    let on_sticks: usize = report.stock.iter().flat_map(|s| &s.sticks).map(|s| s.cuts.len()).sum();
    assert_eq!(on_sticks, run.pieces.len());
    assert!(run.miss.offset_mm < 4.0, "rounding to 0.5 mm misses by {}", run.miss.offset_mm);
}

#[test]
fn a_gap_is_measured_from_the_outside_of_the_pipe() {
    let mut project = sample();
    ball(&mut project, DVec3::new(150.0, -100.0, 0.0), 60.0, 10.0);
    let report = Report::new(&project);
    let gap = &report.clearance[0];
    assert_relative_eq!(gap.gap_mm, 100.0 - 30.0 - 31.75, epsilon = 0.02);
    assert!(gap.ok);
    project.obstacles[0].gap_mm = 50.0;
    let report = Report::new(&project);
    let finding = report.findings.iter().find(|f| f.code == "too-close").unwrap();
    assert!(finding.text.contains("38.2 mm") || finding.text.contains("38.3 mm"), "{}", finding.text);
    assert_eq!(finding.item, Some(Item::Run(project.runs[0].id)));
}

#[test]
fn hot_pipes_keep_further_from_what_heat_harms() {
    let mut project = sample();
    ball(&mut project, DVec3::new(150.0, -110.0, 0.0), 60.0, 10.0);
    project.obstacles[0].heat_sensitive = true;
    assert!(Report::new(&project).clearance[0].ok);
    project.runs[0].service = Service::Exhaust;
    let report = Report::new(&project);
    assert!(!report.clearance[0].ok);
    assert_eq!(report.findings.iter().filter(|f| f.code == "too-hot").count(), 1);
}

#[test]
fn the_stub_at_its_own_part_does_not_count() {
    let mut project = sample();
    // a turbo housing behind the start face, on the same body
    ball(&mut project, DVec3::new(-40.0, 0.0, 0.0), 80.0, 10.0);
    assert!(!Report::new(&project).clearance[0].ok);
    project.obstacles[0].body = project.hardpoints[0].body;
    assert!(Report::new(&project).clearance[0].ok);
}

#[test]
fn a_run_that_comes_back_on_itself_is_seen() {
    let (mut project, _) = run_through(&[
        DVec3::ZERO,
        DVec3::X * 600.0,
        DVec3::new(600.0, 300.0, 0.0),
        DVec3::new(300.0, 300.0, 0.0),
        DVec3::new(300.0, 90.0, 0.0),
        DVec3::new(300.0, 90.0, 400.0),
    ]);
    set_makes(&mut project.runs[0], BendMake::mitred(70.0, 4, Ends::Half));
    let report = Report::new(&project);
    let own = report.clearance.iter().find(|c| c.against == "itself").unwrap();
    // smooth bend of R 70 about (160, 70) seen from the first leg's axis; its slices stay within 0.5 mm of that
    assert_relative_eq!(own.gap_mm, 160.0_f64.hypot(70.0) - 70.0 - 63.5, epsilon = 0.5);
}

#[test]
fn two_runs_see_each_other() {
    let mut project = sample();
    let mut second = project.runs[0].clone();
    second.id = crate::model::RunId(project.fresh_id());
    second.name = "Other".to_owned();
    let a = crate::testing::port(&mut project, "a", DVec3::new(0.0, 0.0, -100.0), DVec3::X);
    let b = crate::testing::port(&mut project, "b", DVec3::new(1300.0, 300.0, -100.0), -DVec3::X);
    second.start = a;
    second.end = crate::model::RunEnd::Hardpoint {
        hardpoint: b,
        corner: crate::model::Corner { reach_mm: 400.0, make: second.start_corner.make },
    };
    second.waypoints.clear();
    project.runs.push(second);
    let report = Report::new(&project);
    let seen: Vec<_> = report
        .clearance
        .iter()
        .filter(|c| c.against != "itself")
        .map(|c| (c.run.as_str(), c.against.as_str()))
        .collect();
    assert_eq!(seen, [("Run", "Other"), ("Other", "Run")]);
    assert_relative_eq!(report.clearance[0].gap_mm, 100.0 - 63.5, epsilon = 0.02);
}

#[test]
fn elbows_and_sticks_that_are_missing_are_a_shopping_note() {
    let mut project = sample();
    let elbow = project.elbows[0].id;
    set_makes(&mut project.runs[0], BendMake::Elbow { elbow });
    project.elbows[0].count = 1;
    project.tubes[0].sticks_on_hand = 0;
    let report = Report::new(&project);
    let codes: Vec<_> = report.findings.iter().map(|f| f.code).collect();
    assert_eq!(codes, ["elbows-to-buy", "sticks-to-buy"]);
    assert!(report.findings[0].text.contains("Buy 1"), "{}", report.findings[0].text);
    assert_eq!(report.worst(), Some(Severity::Note));
}

#[test]
fn a_run_that_cannot_be_built_still_says_where_it_goes() {
    let mut project = bench_project();
    let a = crate::testing::port(&mut project, "a", DVec3::ZERO, DVec3::X);
    let b = crate::testing::port(&mut project, "b", DVec3::new(100.0, 100.0, 0.0), -DVec3::Y);
    let make = BendMake::mitred(95.25, 3, Ends::Half);
    let mut run = crate::testing::run_between(&mut project, a, b, (100.0, 100.0), make);
    run.start_corner.reach_mm = 130.0;
    project.runs.push(run);
    let report = Report::new(&project);
    assert!(report.runs[0].pieces.is_empty());
    assert!(!report.runs[0].vertices_mm.is_empty());
    assert_eq!(report.worst(), Some(Severity::Stop));
    assert!(report.to_json().is_ok());
}

#[test]
fn a_twelve_o_clock_along_the_way_out_is_told_on_the_run_that_starts_there() {
    use crate::model::Item;
    let told = |project: &Project| {
        let report = Report::new(project);
        let of = |f: &Finding| (f.code == "clock-along").then(|| (f.item, f.also, f.text.clone()));
        report.findings.iter().filter_map(of).collect::<Vec<_>>()
    };
    let way = |direction: DVec3, clock: DVec3| {
        let mut project = sample();
        let start = project.runs[0].start;
        let port = project.hardpoints.iter_mut().find(|h| h.id == start).unwrap();
        (port.direction, port.clock) = (direction, clock);
        project
    };
    assert_eq!(told(&way(DVec3::Z, DVec3::X)), []);
    // one that leans is brought across: it says something
    assert_eq!(told(&way(DVec3::Z, DVec3::new(0.1, 0.0, 1.0))), []);
    for (direction, clock, words) in [
        (DVec3::Z, DVec3::Z, "count from forward there"),
        (DVec3::NEG_Z, DVec3::Z * 7.0, "count from forward there"),
        (DVec3::X, DVec3::NEG_X, "count from up there"),
        (DVec3::new(1.0, 0.0, 1.0), DVec3::new(1.0, 0.0, 1.0), "count from"),
    ] {
        let project = way(direction, clock);
        let [(item, also, text)] = told(&project).try_into().unwrap();
        assert_eq!(item, Some(Item::Hardpoint(project.runs[0].start)));
        assert_eq!(also, Some(Item::Run(project.runs[0].id)));
        assert!(text.contains(words), "{text}");
    }
    // where a run only ends, no clock counts from it
    let mut project = sample();
    let RunEnd::Hardpoint { hardpoint, .. } = project.runs[0].end else { panic!("it ends at a hardpoint") };
    let port = project.hardpoints.iter_mut().find(|h| h.id == hardpoint).unwrap();
    port.clock = port.direction;
    assert_eq!(told(&project), []);
}

//! Gaps asked for beyond what is looked at anyway, pipes that go through things, and what is said of both.

use super::*;
use crate::finding::{Finding, Severity};
use crate::model::RunEnd;
use crate::report::margins;

/// Another run like the first, `up_mm` above it.
fn above(project: &mut Project, up_mm: f64) -> RunId {
    let mut other = project.runs[0].clone();
    let id = RunId(project.fresh_id());
    (other.id, other.name) = (id, "Other".to_owned());
    other.start = port(project, "c", DVec3::Z * up_mm, DVec3::X);
    let end = port(project, "d", DVec3::new(900.0, 500.0, up_mm), -DVec3::X);
    if let RunEnd::Hardpoint { hardpoint, .. } = &mut other.end {
        *hardpoint = end;
    }
    project.runs.push(other);
    id
}

fn of(report: &Report, run: RunId) -> Vec<&Finding> {
    report.findings_of(run).filter(|f| f.severity != Severity::Note).collect()
}

#[test]
fn what_is_asked_for_is_looked_for_however_far_that_is() {
    let mut project = sample();
    let run = project.runs[0].id;
    // 325 mm from the outside of the first leg
    let at = DVec3::new(150.0, -(325.0 + 31.75 + 50.0), 0.0);
    let i = put(&mut project, Shape::Sphere { diameter_mm: 100.0 }, at, 500.0);
    let report = Report::new(&project);
    assert_relative_eq!(report.clearance[0].gap_mm, 325.0, epsilon = 0.01);
    assert_eq!((codes(&report), of(&report, run).len()), (vec!["too-close"], 1));
    let least = |project: &Project| {
        let found = margins(project, &Scans::default(), &Report::new(project), run);
        found.into_iter().map(|m| m.margin_mm).fold(f64::INFINITY, f64::min)
    };
    assert_relative_eq!(least(&project), -175.0, epsilon = 0.02);
    // by way of heat
    project.obstacles[i].gap_mm = 1.0;
    (project.obstacles[i].heat_sensitive, project.obstacles[i].hot_gap_mm) = (true, Some(4_000.0));
    project.runs[0].service = Service::Exhaust;
    assert_eq!(codes(&Report::new(&project)), ["too-hot"]);
    // enough of it is still listed up to a point, and then not
    project.obstacles[i].hot_gap_mm = Some(300.0);
    let report = Report::new(&project);
    assert!(report.clearance[0].ok && report.clearance[0].required_mm > 299.0);
    project.obstacles[i].hot_gap_mm = Some(20.0);
    assert!(Report::new(&project).clearance.is_empty());
    // two runs 349 apart
    let mut project = sample();
    let other = above(&mut project, 349.0 + 63.5);
    project.runs[1].gap_mm = 400.0;
    let report = Report::new(&project);
    assert_relative_eq!(report.tightest(run).unwrap().gap_mm, 349.0, epsilon = 0.01);
    let of_both = |run| of(&report, run).into_iter().filter(|f| f.also.is_some()).count();
    assert_eq!((of_both(run), of_both(other)), (1, 1));
    // a bar
    let mut project = sample();
    let ends = [DVec3::new(0.0, 0.0, 500.0), DVec3::new(800.0, 0.0, 500.0)];
    let mut bar = new_item::bar(&mut project, ends[0]);
    bar.ends[1].position_mm = ends[1];
    bar.gap_mm = 600.0;
    project.bars.push(bar);
    let report = Report::new(&project);
    let told = report.findings.iter().find(|f| f.code == "too-close").unwrap();
    assert!(told.concerns(Item::Bar(project.bars[0].id)) && told.concerns(Item::Run(project.runs[0].id)));
}

#[test]
fn a_pipe_through_an_obstacle_is_a_stop_and_one_that_touches_it_is_too_close() {
    let mut project = sample();
    let (run, slab) = (project.runs[0].id, Shape::Box { size_mm: DVec3::new(80.0, 80.0, 40.0) });
    let i = put(&mut project, slab, DVec3::new(150.0, 0.0, 40.0), 10.0);
    let report = Report::new(&project);
    let [told] = &of(&report, run)[..] else { panic!("{:?}", report.findings) };
    assert_eq!((told.code, told.severity), ("clash", Severity::Stop));
    assert!(
        told.text.starts_with("Piece A1 goes about ") && told.text.contains(" into Box: "),
        "{}",
        told.text
    );
    assert!(report.clearance[0].clash && !report.clearance[0].ok);
    project.obstacles[i].pose.position_mm.z = 20.0 + 31.75;
    let report = Report::new(&project);
    assert_eq!((codes(&report), report.clearance[0].clash), (vec!["too-close"], false));
    // where it only comes to it when the body moves, it can be built
    project.obstacles[i].pose.position_mm.z = 20.0 + 31.75 + 5.0;
    let shift_mm = DVec3::Z * 20.0;
    let movement = crate::model::Movement { shift_mm, roll: None };
    project.bodies.push(crate::model::Body { id: BodyId(77), name: "Engine".to_owned(), movement });
    let report = Report::new(&project);
    assert!(report.clearance[0].gap_mm < -10.0 && report.clearance[0].is_moved());
    assert_eq!((codes(&report), report.clearance[0].clash), (vec!["too-close"], false));
    // and where it does so as drawn too, it cannot
    project.obstacles[i].pose.position_mm.z = 20.0 + 30.0;
    assert_eq!(codes(&Report::new(&project)), ["clash"]);
}

#[test]
fn pipes_through_each_other_are_said_once_and_stop_both() {
    let mut project = sample();
    let (one, other) = (project.runs[0].id, above(&mut project, 40.0));
    let report = Report::new(&project);
    assert_eq!(codes(&report), ["clash"]);
    for run in [one, other] {
        assert_eq!(of(&report, run)[0].severity, Severity::Stop);
    }
    let told = of(&report, other)[0];
    assert_eq!((told.run.as_deref(), told.also_run.as_deref()), (Some("Run"), Some("Other")));
    assert_eq!(told.lead(), "Run and Other: ");
    assert!(told.text.contains(" of Other: both cannot be there. "), "{}", told.text);
    let json: serde_json::Value = serde_json::from_str(&report.to_json().unwrap()).unwrap();
    assert_eq!(
        (json["findings"][0]["also_run"].as_str(), json["clearance"][0]["clash"].as_bool()),
        (Some("Other"), Some(true))
    );
    // only too close, it is a warning of both
    let mut project = sample();
    let (one, other) = (project.runs[0].id, above(&mut project, 70.0));
    let report = Report::new(&project);
    assert_eq!(codes(&report), ["too-close"]);
    assert_eq!((of(&report, one), of(&report, other).len()), (of(&report, other), 1));
}

#[test]
fn a_gap_of_moving_bodies_far_from_what_is_asked_says_that_it_is_as_drawn() {
    let mut project = sample();
    let movement = crate::model::Movement { shift_mm: DVec3::Y * 6.0, roll: None };
    project.bodies.push(crate::model::Body { id: BodyId(77), name: "Engine".to_owned(), movement });
    // 128.25 mm off, of which the engine takes 6
    let i = put(&mut project, Shape::Sphere { diameter_mm: 80.0 }, DVec3::new(150.0, -200.0, 0.0), 10.0);
    let report = Report::new(&project);
    let gap = &report.clearance[0];
    assert!(!gap.tightest && !gap.is_moved() && gap.ok);
    assert_relative_eq!(gap.gap_mm, 128.25, epsilon = 0.01);
    assert!(gap.never_below_mm <= 122.25 && gap.never_below_mm > 110.0, "{}", gap.never_below_mm);
    let least = length(gap.never_below_mm, project.settings.units);
    assert_eq!(gap.pose, format!("as drawn; no position brings it under {least}"));
    assert_eq!(gap.kind_words(project.settings.units), format!("gap as drawn, never under {least}"));
    // near enough to what is asked, the tightest is looked for
    project.obstacles[i].gap_mm = 100.0;
    let gap = Report::new(&project).clearance[0].clone();
    assert!(gap.tightest && gap.is_moved());
    assert_relative_eq!(gap.gap_mm, 122.25, epsilon = 0.05);
    // what moves with the run is as drawn always
    project.obstacles[i].body = project.hardpoints[0].body;
    let gap = Report::new(&project).clearance[0].clone();
    assert!(gap.tightest && gap.pose == AS_DRAWN && gap.never_below_mm >= gap.gap_mm);
}

#[test]
fn triangles_left_out_of_a_scan_are_said() {
    let mut project = sample();
    let file = ScanFile {
        path: "bay.stl".to_owned(),
        bytes: 684,
        sha256: "ab".to_owned(),
        mm_per_unit: 1.0,
        low_mm: DVec3::ZERO,
        high_mm: DVec3::ONE,
        keep: None,
    };
    put(&mut project, Shape::Scan(file.clone()), DVec3::new(0.0, -3000.0, 0.0), 10.0);
    let name = project.obstacles[0].name.clone();
    let points = [DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::X * 2.0];
    let (good, flat, lost) = ([0, 1, 2], [0, 1, 3], [0, 1, 9]);
    for (triangles, said) in [
        (vec![good], None),
        (vec![good, flat, flat], Some((Severity::Note, "2 triangles were left out: 2 without area."))),
        (
            vec![good, flat, lost],
            Some((Severity::Warn, "2 triangles were left out: 1 without area, 1 with a corner")),
        ),
    ] {
        let scan = Scan::from_triangles(&points, &triangles, ScanUnit::Millimetre).unwrap();
        let mut scans = Scans::default();
        scans.set(file.clone(), ScanState::Ready(Arc::new(ScanTree::new(scan, &Unwatched).unwrap())));
        let report = Report::of(&project, &scans, Effort::Quick);
        let told = report.findings.iter().find(|f| f.code == "scan-left-out");
        assert_eq!(told.map(|f| f.severity), said.map(|s| s.0));
        if let (Some(told), Some((_, words))) = (told, said) {
            assert!(told.text.starts_with(&format!("{name}: {words}")), "{}", told.text);
        }
    }
}

/// Own gaps that are too small, mm.
fn too_near_itself(points: &[DVec3], asked_mm: f64) -> Vec<f64> {
    let (mut project, run) = run_through(points);
    project.runs[0].gap_mm = asked_mm;
    let report = Report::new(&project);
    assert!(report.run(run.id).unwrap().built.is_buildable(), "{:?}", report.findings);
    let own = report.clearance.iter().filter(|c| c.other == Item::Run(run.id) && !c.ok);
    own.map(|c| c.gap_mm).collect()
}

#[test]
fn a_corner_is_not_too_near_itself_however_much_is_asked_and_a_hairpin_is() {
    let corner = [DVec3::ZERO, DVec3::X * 900.0, DVec3::new(900.0, 900.0, 0.0)];
    for asked_mm in [20.0, 90.0, 200.0, 500.0] {
        assert!(too_near_itself(&corner, asked_mm).is_empty(), "{asked_mm}");
    }
    // legs 300 mm apart on their axes, which leaves 236.5 between the skins
    let hairpin = [DVec3::ZERO, DVec3::X * 900.0, DVec3::new(900.0, 300.0, 0.0), DVec3::new(0.0, 300.0, 0.0)];
    assert!(too_near_itself(&hairpin, 236.0).is_empty());
    let [gap_mm] = too_near_itself(&hairpin, 240.0)[..] else { panic!("one place") };
    assert_relative_eq!(gap_mm, 236.5, epsilon = 0.01);
}

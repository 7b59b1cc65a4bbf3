//! Shaped ends that meet: said once, with wall under them, on tapers and bends, and as figures for other programs.

use super::super::Report;
use crate::edit::{Edit, apply, new_item};
use crate::finding::Severity;
use crate::model::{
    Bar, BarEndMake, BendMake, Bracket, Bung, BungUse, ElbowId, Fitting, Item, MergeArm, MergeJoin, Onto,
    Pad, Part, PartKind, Project, RunId, Seat, Spot, Stub, Taper, TaperId, TaperMake, TubeId,
};
use crate::testing::{bench_project, branch, run_between, run_through, set_makes, tube};
use glam::DVec3;
use std::f64::consts::PI;

const R: f64 = 63.5 / 2.0;

/// Forward 600 mm, then left.
fn bench() -> (Project, RunId) {
    let (project, run) = run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)]);
    (project, run.id)
}

fn square(run: RunId, spot: Spot, clock_deg: f64) -> Seat {
    Seat::Run { run, spot, clock_deg, angle_deg: 90.0, offset_mm: 0.0 }
}

fn leg(station_mm: f64) -> Spot {
    Spot::Leg { leg: 0, station_mm }
}

fn put_part(project: &mut Project, run: RunId, (station_mm, clock_deg): (f64, f64), kind: PartKind) {
    let new = new_item::part(project, &project.run(run).unwrap().clone(), kind);
    let at = project.runs.iter_mut().find(|r| r.id == run).unwrap();
    at.parts.push(Part { leg: 0, station_mm, clock_deg, ..new });
}

fn bung() -> PartKind {
    PartKind::Bung(Bung {
        purpose: BungUse::Plain,
        thread: "M18 × 1.5".to_owned(),
        boss_mm: 28.0,
        height_mm: 12.0,
        hole_mm: 16.0,
        screwed: None,
    })
}

fn stub(od_mm: f64) -> PartKind {
    PartKind::Stub(Stub {
        od_mm,
        wall_mm: 1.5,
        length_mm: 45.0,
        angle_deg: 90.0,
        flange_mm: od_mm + 24.0,
        flange_thick_mm: 8.0,
        screwed: None,
    })
}

/// A bar of 16 mm, solid, onto a run from straight above it.
fn bar_onto(project: &mut Project, run: RunId, x: f64, pad: Option<Pad>) -> Bar {
    let mut bar = new_item::bar(project, DVec3::new(x, 0.0, 0.0));
    bar.ends[1].position_mm = DVec3::new(x, 0.0, 300.0);
    (bar.od_mm, bar.wall_mm, bar.gap_mm) = (16.0, None, 5.0);
    bar.ends[0].make = BarEndMake::Cope { onto: Onto::Run(run), pad };
    bar.ends[1].make = BarEndMake::Plate { stand_off_mm: 0.0 };
    project.bars.push(bar.clone());
    bar
}

fn codes(report: &Report, item: Item) -> Vec<&'static str> {
    let own = report.findings.iter().filter(|f| f.concerns(item) && f.severity == Severity::Stop);
    own.map(|f| f.code).collect()
}

/// A merge of two arms at `angle_deg` into a tube of the same size, its three runs straight.
fn merge(angle_deg: f64) -> Project {
    let mut project = bench_project();
    let mut new = new_item::merge(&mut project, DVec3::ZERO);
    let arm = |clock_deg: f64| MergeArm { angle_deg, clock_deg };
    (new.merge.arms, new.merge.join) = (vec![arm(90.0), arm(270.0)], MergeJoin::Mitred);
    project = apply(&project, &new.edit()).unwrap();
    for (i, seat) in project.hardpoints.clone().iter().enumerate() {
        let far = crate::testing::port(
            &mut project,
            "far",
            seat.position_mm + seat.direction * 500.0,
            -seat.direction,
        );
        let make = BendMake::mitred(95.25, 2, crate::model::Ends::Half);
        let mut run = run_between(&mut project, seat.id, far, (100.0, 100.0), make);
        run.name = ["Left", "Right", "Out"][i].to_owned();
        project = apply(&project, &Edit::PutRun(run)).unwrap();
    }
    project
}

#[test]
fn what_keeps_a_merge_from_being_made_is_said_once_and_of_all_its_runs() {
    let project = merge(1.0);
    let report = Report::quick(&project);
    let said: Vec<_> = report.findings.iter().filter(|f| f.code == "merge").collect();
    let [one] = &said[..] else { panic!("{said:?}") };
    assert_eq!(one.runs, ["Left", "Right", "Out"]);
    assert!(one.text.contains("of Left, Right and Out: Tubes 1 and 2"), "{}", one.text);
    assert_eq!((one.severity, one.run.as_deref()), (Severity::Stop, None));
    assert!(one.concerns(Item::Merge(project.merges[0].id)));
    for run in &project.runs {
        assert_eq!(codes(&report, Item::Run(run.id)), ["merge"]);
    }
    let json: serde_json::Value = serde_json::from_str(&report.to_json().unwrap()).unwrap();
    let told = json["findings"].as_array().unwrap().iter().find(|f| f["code"] == "merge").unwrap();
    assert_eq!(told["runs"].as_array().unwrap().len(), 3);
    assert!(!Report::quick(&merge(20.0)).findings.iter().any(|f| f.code == "merge"));
}

/// A branch of 63.5 at 250 takes 218.25 to 281.75 of the top; a boss of 28 has to be 45.75 from its middle, and a plate of 40
/// by 4 stands free at 51.75.
#[test]
fn a_part_in_the_hole_of_a_branch_is_told_and_the_station_told_works() {
    let plate = || PartKind::Bracket(Bracket { along_mm: 40.0, thick_mm: 4.0, height_mm: 30.0, held: None });
    for (kind, free_mm) in [(bung(), 45.75), (plate(), 51.75)] {
        for station_mm in [250.0, 250.0 + free_mm - 1.0, 250.0 + free_mm + 0.5] {
            let (mut project, run) = bench();
            branch(&mut project, square(run, leg(250.0), 0.0), 200.0);
            put_part(&mut project, run, (station_mm, 0.0), kind.clone());
            let report = Report::quick(&project);
            let stopped = station_mm < 250.0 + free_mm;
            assert_eq!(codes(&report, Item::Run(run)).contains(&"part-on-other"), stopped, "{station_mm}");
            let Some(told) = report.findings.iter().find(|f| f.code == "part-on-other") else { continue };
            let (_, rest) = told.text.split_once("free is ").unwrap();
            let mm: f64 = rest.split(' ').next().unwrap().parse().unwrap();
            project.runs[0].parts[0].station_mm = mm;
            assert!(codes(&Report::quick(&project), Item::Run(run)).is_empty(), "{}", told.text);
            assert!(((mm - 250.0).abs() - free_mm).abs() < 1.0, "{}", told.text);
        }
    }
    // two parts in one place, and one behind the other round the pipe
    let (mut project, run) = bench();
    put_part(&mut project, run, (250.0, 0.0), bung());
    put_part(&mut project, run, (260.0, 180.0), bung());
    assert!(codes(&Report::quick(&project), Item::Run(run)).is_empty());
    put_part(&mut project, run, (270.0, 20.0), stub(30.0));
    assert_eq!(codes(&Report::quick(&project), Item::Run(run)), ["part-on-other"]);
}

/// A branch at 250 with a foot of 63.5: a bar of 16 has to stand 39.75 from it.
#[test]
fn a_bar_on_the_foot_of_a_branch_is_told() {
    for (x, stopped) in [(250.0, true), (289.0, true), (290.5, false), (200.0, false)] {
        let (mut project, run) = bench();
        branch(&mut project, square(run, leg(250.0), 0.0), 100.0);
        let bar = bar_onto(&mut project, run, x, None);
        let found = codes(&Report::quick(&project), Item::Bar(bar.id));
        assert_eq!(found.contains(&"bar-on-other"), stopped, "{x}: {found:?}");
    }
}

/// On a tube of 63.5 a plate of 3 has its outside at 34.75: the bar of 16 reaches asin(8/34.75) = 13.3° to either side.
#[test]
fn a_saddle_plate_holds_its_bar_and_lies_on_wall() {
    let pad = |angle_deg: f64, width_mm: Option<f64>| {
        Some(Pad { thick_mm: 3.0, gap_mm: 0.0, angle_deg, lips_mm: [0.0; 2], width_mm })
    };
    let least_deg = 2.0 * (8.0_f64 / 34.75).asin().to_degrees();
    let of = |x: f64, pad: Option<Pad>| {
        let (mut project, run) = bench();
        let bar = bar_onto(&mut project, run, x, pad);
        // a bar that does not seat counts to its point, which lies within the pipe
        let found = codes(&Report::quick(&project), Item::Bar(bar.id));
        found.into_iter().filter(|code| *code != "clash").collect::<Vec<_>>()
    };
    assert_eq!(of(250.0, pad(least_deg + 0.2, None)), [""; 0]);
    assert_eq!(of(250.0, pad(least_deg - 0.2, None)), ["bar-over-plate"]);
    assert_eq!(of(250.0, pad(120.0, Some(15.8))), ["bar-over-plate"]);
    assert_eq!(of(250.0, pad(120.0, Some(16.2))), [""; 0]);
    // the pipe begins at 0, and its first weld of four is 95.25·tan(90°/8) = 18.95 into the bend, at 523.7
    assert_eq!(of(29.0, pad(120.0, Some(60.0))), ["plate-on-nothing"]);
    assert_eq!(of(31.0, pad(120.0, Some(60.0))), [""; 0]);
    assert_eq!(of(470.0, pad(120.0, Some(60.0))), [""; 0]);
    assert_eq!(of(510.0, pad(120.0, Some(60.0))), ["plate-on-nothing"]);
}

#[test]
fn gaps_between_bars_are_measured_but_for_where_they_are_joined() {
    let mut project = bench_project();
    let mut bar = |from: DVec3, to: DVec3| {
        let mut bar = new_item::bar(&mut project, from);
        bar.ends[1].position_mm = to;
        (bar.od_mm, bar.wall_mm, bar.gap_mm) = (16.0, None, 6.0);
        for end in &mut bar.ends {
            end.make = BarEndMake::Plate { stand_off_mm: 0.0 };
        }
        bar
    };
    // middles 20 apart
    let (a, b) = (
        bar(DVec3::ZERO, DVec3::X * 400.0),
        bar(DVec3::new(200.0, -200.0, 20.0), DVec3::new(200.0, 200.0, 20.0)),
    );
    let (first, second) = (a.id, b.id);
    project.bars = vec![a, b];
    let report = Report::quick(&project);
    let [gap] = &report.bar_gaps[..] else { panic!("{:?}", report.bar_gaps) };
    assert!((gap.gap_mm - 4.0).abs() < 1e-6 && !gap.ok && (gap.required_mm - 6.0).abs() < 1e-9);
    assert_eq!((gap.bar_id, gap.other), (first, Item::Bar(second)));
    let told = report.findings.iter().find(|f| f.code == "bar-too-close").unwrap();
    assert!(told.concerns(Item::Bar(first)) && told.concerns(Item::Bar(second)));
    assert_eq!(report.tightest_of_bar(second), Some(gap));
    // coped onto it, and from one place with it
    let mut on_it = project.clone();
    on_it.bars[1].ends[0].position_mm = DVec3::X * 200.0;
    on_it.bars[1].ends[1].position_mm = DVec3::new(200.0, 0.0, 300.0);
    on_it.bars[1].ends[0].make = BarEndMake::Cope { onto: Onto::Bar(first), pad: None };
    let mut from_one = project.clone();
    from_one.bars[1].ends[0].position_mm = DVec3::ZERO;
    from_one.bars[1].ends[1].position_mm = DVec3::Z * 300.0;
    for project in [on_it, from_one] {
        let report = Report::quick(&project);
        assert!(report.bar_gaps.iter().all(|g| g.ok && g.gap_mm >= 6.0 - 1e-6), "{:?}", report.bar_gaps);
        assert!(!report.findings.iter().any(|f| f.code == "bar-too-close"));
    }
    // after a change the same as anew
    let mut moved = project.clone();
    moved.bars[0].ends[0].position_mm.z = -5.0;
    let scans = crate::space::scan::Scans::default();
    let after = report.after(&project, &moved, &scans, crate::fab::nest::Effort::Quick);
    assert_eq!(after.bar_gaps, Report::quick(&moved).bar_gaps);
}

/// The same run with a taper from 63.5 to 88.9 between 200 and 300.
fn tapered() -> (Project, RunId) {
    let (mut project, run) = bench();
    let wide = tube(&mut project, 88.9);
    let taper = Taper {
        id: TaperId(project.fresh_id()),
        leg: 0,
        station_mm: 250.0,
        length_mm: 100.0,
        tube: wide,
        wall_mm: 1.65,
        offset_mm: 0.0,
        offset_clock_deg: 0.0,
        make: TaperMake::Bought,
    };
    project.runs[0].tapers.push(taper);
    (project, run)
}

/// Own vector: square to the axis at the middle of the taper, the branch's axis comes out 38.1 up. Its front and back, 19.05
/// away, leave where the side stands: 38.1 ± 19.05·0.127.
#[test]
fn a_branch_sits_on_a_taper() {
    let (mut project, run) = tapered();
    let id = branch(&mut project, square(run, leg(250.0), 0.0), 250.0);
    let small = tube(&mut project, 38.1);
    project.runs.iter_mut().find(|r| r.id == id).unwrap().tube = small;
    let report = Report::quick(&project);
    let own = report.run(id).unwrap();
    assert!(own.built.is_buildable(), "{:?}", report.findings);
    let port = project.hardpoint(own_start(&project, id)).unwrap();
    assert!((port.position_mm - DVec3::new(250.0, 0.0, 38.1)).length() < 1e-9, "{}", port.position_mm);
    let curve = own.built.pieces[0].curves[0].as_ref().unwrap();
    let frame = own.built.frames[0].0;
    let ahead = frame.clock_of(DVec3::X);
    for (clock, up) in [(ahead, 19.05 * 0.127), (ahead + PI, -19.05 * 0.127)] {
        let at = curve.at_mm(crate::fab::limb::Edge::Outside, clock);
        assert!((at - up).abs() < 1e-6, "{at} for {up}");
    }
    let hole = &report.run(run).unwrap().holes[0];
    let taper = report.run(run).unwrap().pieces.iter().find(|p| p.taper.is_some()).unwrap();
    assert_eq!(hole.piece, taper.mark);
    assert!((hole.along_mm - 50.0).abs() < 1e-6 && (hole.od_mm - 76.2).abs() < 1e-6, "{hole:?}");
    // along its side the bore of 34.8 is longer by the slope
    assert!((hole.length_mm - 34.8 * 1.0_f64.hypot(0.127)).abs() < 1e-3, "{}", hole.length_mm);
    assert!((hole.from_edge_mm - 50.0 * 1.0_f64.hypot(0.127)).abs() < 1e-6, "{}", hole.from_edge_mm);
    let figures = taper.taper.unwrap();
    assert_eq!((figures.leg, figures.station_mm, figures.length_mm), (Some(1), Some(250.0), 100.0));
    assert_eq!((figures.wall_before_mm, figures.wall_after_mm), (Some(1.65), Some(1.65)));
    // nothing is said to be too near where it is welded on
    assert!(
        !report.findings.iter().any(|f| f.code == "clash" || f.code == "too-close"),
        "{:?}",
        report.findings
    );
}

fn own_start(project: &Project, run: RunId) -> crate::model::HardpointId {
    project.run(run).unwrap().start
}

/// A flange on a stub half way round an elbow, on its outside: its axis goes straight out from the bend's centre, and comes out
/// of the skin a radius from the middle.
#[test]
fn a_flange_stands_on_a_bend() {
    let (mut project, run) = bench();
    set_makes(&mut project.runs[0], BendMake::Elbow { elbow: ElbowId(11) });
    let bent = project.runs[0].clone();
    let new = new_item::part(&mut project, &bent, stub(38.1));
    // 12 o'clock is up and the bend goes left, so that its outside is at 3 o'clock
    project.runs[0].parts.push(Part { leg: 0, turn_deg: Some(45.0), clock_deg: 90.0, ..new });
    let report = Report::quick(&project);
    let told = report.run(run).unwrap();
    assert!(told.built.is_buildable(), "{:?}", report.findings);
    let part = &told.parts[0];
    let centre = DVec3::new(600.0 - 95.25, 95.25, 0.0);
    let out = DVec3::new(1.0, -1.0, 0.0) / 2.0_f64.sqrt();
    assert!((part.spot - (centre + out * (95.25 + R))).length() < 1e-6, "{}", part.spot);
    let stub = part.stub.as_ref().unwrap();
    assert!((stub.face_mm - (centre + out * (95.25 + R + 45.0))).length() < 1e-6, "{}", stub.face_mm);
    assert!((stub.cut.along() - out).length() < 1e-9);
    assert_eq!((part.turn_deg, told.holes.len()), (Some(45.0), 1));
    assert_eq!(told.holes[0].piece, told.pieces[1].mark);
    // where the plane of the bend cuts the stub, its sides leave the circle of the bend's outside
    let lower = (95.25 + R) - ((95.25 + R).powi(2) - 19.05_f64.powi(2)).sqrt();
    assert!(stub.long_mm > 45.0 - 8.0 + lower - 1e-6, "{} {lower}", stub.long_mm);
    let patterns = crate::fab::part::arc_mm(&told.built.parts[0], &told.built.pieces[1]);
    assert!((patterns - R * PI / 2.0).abs() < 1e-6);
    // what is not round cannot stand there, nor can it stand beyond the bend
    let mut flat = project.clone();
    flat.runs[0].parts[0].kind =
        PartKind::Bracket(Bracket { along_mm: 40.0, thick_mm: 4.0, height_mm: 30.0, held: None });
    assert_eq!(codes(&Report::quick(&flat), Item::Run(run)), ["part-not-on-bend"]);
    project.runs[0].parts[0].turn_deg = Some(95.0);
    assert_eq!(codes(&Report::quick(&project), Item::Run(run)), ["part-off-bend"]);
}

#[test]
fn elbows_stubs_and_bars_are_told_in_figures() {
    let (mut project, run) = bench();
    set_makes(&mut project.runs[0], BendMake::Elbow { elbow: ElbowId(11) });
    put_part(&mut project, run, (150.0, 30.0), stub(38.1));
    let pad = Pad { thick_mm: 3.0, gap_mm: 0.0, angle_deg: 120.0, lips_mm: [0.0; 2], width_mm: Some(50.0) };
    bar_onto(&mut project, run, 300.0, Some(pad));
    let json: serde_json::Value = serde_json::from_str(&Report::new(&project).to_json().unwrap()).unwrap();
    let elbow = &json["elbows"][0];
    assert_eq!((elbow["leg_mm"].as_f64(), elbow["wall_mm"].as_f64()), (Some(40.0), Some(1.65)));
    let bend = &json["runs"][0]["pieces"][1]["bend"];
    assert_eq!((bend["own_leg_mm"].as_f64(), bend["wall_mm"].as_f64()), (Some(40.0), Some(1.65)));
    let stub = &json["runs"][0]["parts"][0]["stub"];
    assert_eq!((stub["flange_mm"].as_f64(), stub["length_mm"].as_f64()), (Some(62.1), Some(45.0)));
    assert_eq!(stub["cut"]["seat_mm"].as_array().unwrap().len(), 72);
    let end = &json["bars"][0]["ends"][0];
    let at = |value: &serde_json::Value| -> Vec<f64> {
        value.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
    };
    assert_eq!(at(&end["at_mm"]), [300.0, 0.0, 0.0]);
    // the axis it sits on, and a cut at the outside of the plate: 34.75 up at the crown
    let travel = at(&end["cope"]["onto"]["travel"]);
    assert!((travel[0].abs() - 1.0).abs() < 1e-9, "{travel:?}");
    let outside = at(&end["cope"]["outside_mm"]);
    let crown = outside.iter().copied().fold(f64::MIN, f64::max);
    assert!((crown - 34.75).abs() < 1e-6 && end["cope"]["bore_mm"].is_null(), "{crown}");
    assert_eq!(end["plate_width_mm"].as_f64(), Some(50.0));
    assert_eq!(json["bars"][0]["points_mm"].as_array().unwrap().len(), 2);
    assert_eq!(json["runs"][0]["parts"][0]["at_mm"].as_array().unwrap().len(), 3);
}

/// Joints stay what nothing sits on.
#[test]
fn a_branch_on_a_joint_is_still_refused() {
    let (mut project, run) = tapered();
    let joint = project.joints[0].id;
    let id = crate::model::FittingId(project.fresh_id());
    project.runs[0].fittings.push(Fitting { id, joint, leg: 0, station_mm: 100.0, lobe_clock_deg: 0.0 });
    let id = branch(&mut project, square(run, leg(100.0), 0.0), 200.0);
    assert_eq!(codes(&Report::quick(&project), Item::Run(id)), ["branch-on-joint"]);
    assert_ne!(project.tubes[0].id, TubeId(0));
}

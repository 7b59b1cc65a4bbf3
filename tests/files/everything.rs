//! A project with every kind of thing and every field filled in, so that a check of all numbers reaches each.

use super::sample;
use glam::DVec3;
use pipeloft_core::edit::new_item::{self, bar_ends, pad, part_kinds, pin_through, shapes};
use pipeloft_core::model::{
    Attachment, BarCorner, BarEndMake, BarSleeve, BendMake, Blast, DonePiece, DrawnShape, HardpointId,
    HoseEnds, KeepBox, MergeJoin, Pad, Project, ReadySlice, Roll, RunEnd, ScanFile, Scatter, Seat, Shape,
    Slash, Sleeve, Spot, Taper, TaperId, TaperMake, ToolRoom, TrimLeft,
};

/// A scan that is nowhere.
pub(crate) fn scan() -> ScanFile {
    ScanFile {
        path: "left.stl".to_owned(),
        bytes: 84,
        sha256: "0aB9".repeat(16),
        mm_per_unit: 25.4,
        low_mm: DVec3::ZERO,
        high_mm: DVec3::splat(300.0),
        keep: Some(KeepBox { low_mm: DVec3::ZERO, high_mm: DVec3::splat(200.0) }),
    }
}

/// Everything there is. Whether it can be built does not matter.
pub(crate) fn project() -> Project {
    let mut project = sample::project();
    stock(&mut project);
    space(&mut project);
    runs(&mut project);
    merge(&mut project);
    bars(&mut project);
    project.settings.scatter = Scatter { saw_deg: 0.2, ..Scatter::default() };
    let done = DonePiece {
        mark: "A1".to_owned(),
        key: None,
        tube: project.tubes[0].id,
        centre_mm: 120.0,
        start_deg: 0.0,
        end_deg: 11.5,
        twist_deg: 3.0,
        drawn: Some(DrawnShape { centre_mm: 118.0, start_deg: 0.0, end_deg: 11.4 }),
        trim: Some(TrimLeft { trim_mm: 3.0, at_end: true }),
    };
    project.done.push(done);
    project
}

fn stock(project: &mut Project) {
    project.tubes[0].slices = vec![ReadySlice { saw_deg: 11.0, throat_mm: 12.0, count: 3 }];
    let joint = &mut project.joints[0];
    joint.tool = Some(ToolRoom { reach_mm: 80.0, width_mm: 30.0, swing_deg: 60.0 });
    joint.hose = Some(HoseEnds { insertion_mm: 30.0, bead_mm: Some(6.0) });
}

fn space(project: &mut Project) {
    let datum = new_item::datum(project, DVec3::Z * 40.0);
    project.datums.push(datum);
    let roll = Roll { through_mm: DVec3::ZERO, axis: DVec3::X, turn_deg: 2.0 };
    project.bodies[0].movement.roll = Some(roll);
    project.bodies[0].movement.shift_mm = DVec3::splat(3.0);
    for shape in shapes().into_iter().chain([Shape::Sphere { diameter_mm: 90.0 }, Shape::Scan(scan())]) {
        let mut obstacle = new_item::obstacle(project, shape, DVec3::Z * -800.0);
        obstacle.hot_gap_mm = Some(60.0);
        project.obstacles.push(obstacle);
    }
    let joint = project.joints[0].id;
    project.hardpoints[0].attachment = Attachment::Joint { joint, lobe_clock_deg: 30.0 };
}

fn runs(project: &mut Project) {
    let mut run = project.runs[0].clone();
    run.tapers.push(Taper {
        id: TaperId(project.fresh_id()),
        leg: 1,
        station_mm: 90.0,
        length_mm: 60.0,
        tube: run.tube,
        wall_mm: 1.5,
        offset_mm: 2.0,
        offset_clock_deg: 90.0,
        make: TaperMake::Rolled { seam_clock_deg: 180.0, lap_mm: 12.0 },
    });
    for kind in part_kinds() {
        let part = new_item::part(project, &run, kind);
        run.parts.push(part);
    }
    run.parts[0].turn_deg = Some(30.0);
    let first = run.vertices()[0];
    if let Some(BendMake::Mitred { ends, clr_mm, welds, .. }) = run.make(first) {
        let make = BendMake::Mitred { clr_mm, welds, ends, throat_mm: Some(14.0), saw_deg: Some(11.25) };
        run.set_make(first, make);
    }
    project.runs[0] = run;
    let blast = Blast { reach_mm: 300.0, spread_deg: 12.0 };
    let slash = Slash { tilt_deg: 30.0, clock_deg: 10.0 };
    let RunEnd::Open { position_mm, .. } = project.runs[1].end else {
        panic!("the second run ends in the open")
    };
    project.runs[1].end = RunEnd::Open { position_mm, slash: Some(slash), blast: Some(blast) };
    for spot in [Spot::Leg { leg: 1, station_mm: 60.0 }, Spot::Bend { leg: 0, turn_deg: 30.0 }] {
        let mut port = new_item::hardpoint(project, DVec3::ZERO);
        port.id = HardpointId(project.fresh_id());
        let run = project.runs[0].id;
        port.seat = Some(Seat::Run { run, spot, clock_deg: 15.0, angle_deg: 70.0, offset_mm: 4.0 });
        project.hardpoints.push(port);
    }
}

fn merge(project: &mut Project) {
    let edit = new_item::merge(project, DVec3::Z * 2000.0).edit();
    *project = pipeloft_core::edit::apply(project, &edit).expect("a new merge fits");
    project.merges[0].join = MergeJoin::At { station_mm: 20.0 };
}

fn bars(project: &mut Project) {
    let mut ends = bar_ends();
    if let Some(BarEndMake::RodEnd(rod, _)) = ends.iter_mut().find(|e| matches!(e, BarEndMake::RodEnd(..))) {
        rod.screwed_in_mm = Some(18.0);
    }
    if let Some(BarEndMake::Cope { pad: under, .. }) = ends.last_mut() {
        *under = Some(Pad { width_mm: Some(60.0), ..pad() });
    }
    for make in ends {
        let mut bar = new_item::bar(project, DVec3::Z * 3000.0);
        bar.ends[1].pin = make.hole_length_mm().map(pin_through);
        bar.ends[1].make = make;
        let middle = bar.ends[0].position_mm.midpoint(bar.ends[1].position_mm);
        bar.corners.push(BarCorner { position_mm: middle + DVec3::Y * 80.0, clr_mm: 50.0 });
        bar.sawn_mm = Some(310.0);
        let size = Sleeve { od_mm: 22.0, wall_mm: 2.0 };
        bar.sleeve = Some(BarSleeve { size, length_mm: 60.0, station_mm: 100.0 });
        (bar.springback_share, bar.least_straight_mm, bar.spare_mm, bar.wanted_mm) = (0.01, 10.0, 20.0, 5.0);
        project.bars.push(bar);
    }
}

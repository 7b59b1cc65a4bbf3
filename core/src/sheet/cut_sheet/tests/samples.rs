//! Projects whose sheets are tested.

use crate::model::{
    Attachment, BendMake, BodyId, Corner, Ends, Fitting, FittingId, HoseEnds, JointId, JointKind, JointStyle,
    Obstacle, ObstacleId, Offcut, Pose, Project, ReadySlice, RunEnd, RunId, SawScale, Service, Shape,
    Waypoint, WaypointId,
};
use crate::report::Report;
use crate::sheet::cut_sheet::pages;
use crate::sheet::page::{Page, PaperSize};
use crate::testing::{port, run_through, set_makes};
use crate::units::UnitSystem;
use glam::DVec3;
use std::sync::LazyLock;

/// Two mitred bends in one plane.
pub(in crate::sheet) fn two_bends(units: UnitSystem) -> Project {
    let points = [(0.0, 0.0, 0.0), (300.0, 0.0, 0.0), (300.0, 350.0, 150.0), (700.0, 350.0, 150.0)];
    let (mut project, _) = run_through(&points.map(DVec3::from));
    project.settings.units = units;
    project.name = "Bench project".to_owned();
    project.hardpoints[0].name = "Turbo outlet".to_owned();
    project.hardpoints[1].name = "Intercooler inlet".to_owned();
    project.runs[0].name = "Hot side charge pipe".to_owned();
    project
}

/// Eight bends of five welds each in all directions, on two sticks and two offcuts.
pub(in crate::sheet) fn eight_bends(units: UnitSystem) -> Project {
    let points = [
        (0.0, 0.0, 0.0),
        (350.0, 0.0, 0.0),
        (600.0, 300.0, 100.0),
        (600.0, 800.0, 100.0),
        (900.0, 900.0, 500.0),
        (1300.0, 500.0, 500.0),
        (1300.0, 0.0, 300.0),
        (1700.0, -300.0, 300.0),
        (2200.0, -300.0, 0.0),
        (2700.0, -300.0, 0.0),
    ];
    let (mut project, _) = run_through(&points.map(DVec3::from));
    project.settings.units = units;
    project.name = "Long charge pipe".to_owned();
    project.runs[0].name = "Round the engine".to_owned();
    set_makes(&mut project.runs[0], BendMake::mitred(95.25, 5, Ends::Half));
    project.tubes[0].offcuts = vec![Offcut { length_mm: 420.0, count: 2 }];
    project.tubes[0].stick_price = Some(38.5);
    project
}

/// An elbow and joints in one run, full ends, an open end and heat in another, and a third that cannot be built.
pub(in crate::sheet) fn three_runs(units: UnitSystem) -> Project {
    let mut project = two_bends(units);
    let elbow = project.elbows[0].id;
    let joint = JointId(12);
    project.runs[0].start_corner.make = BendMake::Elbow { elbow };
    let id = FittingId(project.fresh_id());
    project.runs[0].fittings.push(Fitting { id, joint, leg: 1, station_mm: 90.0, lobe_clock_deg: 35.0 });
    project.hardpoints[0].attachment = Attachment::Welded;
    project.hardpoints[1].attachment = Attachment::Joint { joint, lobe_clock_deg: 200.0 };

    let mut exhaust = project.runs[0].clone();
    exhaust.id = RunId(project.fresh_id());
    exhaust.name = "Downpipe".to_owned();
    exhaust.letters = project.fresh_letters();
    exhaust.service = Service::Exhaust;
    exhaust.start = port(&mut project, "Turbine outlet", DVec3::new(0.0, -250.0, 0.0), DVec3::X);
    exhaust.fittings.clear();
    let make = BendMake::mitred(110.0, 4, Ends::Full);
    exhaust.start_corner = Corner { reach_mm: 200.0, make };
    let mut waypoint = |x: f64, make| {
        let id = WaypointId(project.fresh_id());
        Waypoint { id, position_mm: DVec3::new(x, -250.0, -400.0), make }
    };
    exhaust.waypoints = vec![waypoint(450.0, make), waypoint(900.0, BendMake::Elbow { elbow })];
    exhaust.end = RunEnd::open(DVec3::new(1100.0, 100.0, -400.0));

    let mut bad = project.runs[0].clone();
    bad.id = RunId(project.fresh_id());
    bad.name = "Recirculation".to_owned();
    bad.letters = project.fresh_letters();
    bad.start_corner.make = BendMake::mitred(20.0, 2, Ends::Half);
    bad.fittings.clear();
    project.runs.extend([exhaust, bad]);

    let id = ObstacleId(project.fresh_id());
    project.obstacles.push(Obstacle {
        id,
        name: "Fuel line".to_owned(),
        body: BodyId(1),
        shape: Shape::Capsule { length_mm: 600.0, diameter_mm: 10.0 },
        pose: Pose::at(DVec3::new(600.0, -190.0, -370.0)),
        gap_mm: 20.0,
        heat_sensitive: true,
        hot_gap_mm: None,
        hidden: false,
    });
    project.elbows[0].count = 1;
    project.settings.saw.scale = SawScale::FromBlade;
    project
}

/// Eight bends made in every way: elbows cut down, full ends, a batch with slices on the shelf and an odd one, a hose,
/// a V-band and a slip joint, gap and shrinkage counted in, and pieces that are sawn already.
pub(in crate::sheet) fn whole_shop(units: UnitSystem) -> Project {
    let mut project = eight_bends(units);
    project.name = "Whole shop".to_owned();
    let elbow = BendMake::Elbow { elbow: project.elbows[0].id };
    let batch =
        BendMake::Mitred { clr_mm: 120.0, welds: 4, ends: Ends::Half, throat_mm: None, saw_deg: Some(7.5) };
    let vertices = project.runs[0].vertices();
    for (vertex, make) in [(1, elbow), (2, BendMake::mitred(95.25, 3, Ends::Full)), (3, batch), (5, elbow)] {
        project.runs[0].set_make(vertices[vertex], make);
    }
    // 2·120·tan 7.5° − 63.5·tan 7.5° = 23.237: a whole slice of the batch
    project.tubes[0].slices = vec![ReadySlice { saw_deg: 7.5, throat_mm: 23.237, count: 3 }];
    let lobe = project.joints[0].lobe;
    let add = |project: &mut Project, style, name: &str, make_up_mm: f64, hose| {
        let id = JointId(project.fresh_id());
        let (lobe, welded) = match style {
            JointStyle::VBand => (lobe, true),
            JointStyle::HoseAndClamps => (lobe, false),
            JointStyle::ClampCoupler | JointStyle::SlipJoint | JointStyle::Flexible | JointStyle::Flange => {
                (None, false)
            }
        };
        let plain = project.joints[0].clone();
        let body_width_mm = make_up_mm.abs();
        let name = name.to_owned();
        project.joints.push(JointKind {
            id,
            name,
            style,
            make_up_mm,
            body_width_mm,
            lobe,
            hose,
            welded,
            ..plain
        });
        id
    };
    let hose = HoseEnds { insertion_mm: 38.1, bead_mm: Some(9.525) };
    let hose = add(&mut project, JointStyle::HoseAndClamps, "Hose", 12.7, Some(hose));
    let band = add(&mut project, JointStyle::VBand, "Band", 22.225, None);
    let slip = add(&mut project, JointStyle::SlipJoint, "Slip", -50.8, None);
    project.hardpoints[0].attachment = Attachment::Joint { joint: hose, lobe_clock_deg: 30.0 };
    project.hardpoints[1].attachment = Attachment::Welded;
    for (joint, leg, station_mm, lobe_clock_deg) in [(band, 2, 180.0, 212.4), (slip, 7, 200.0, 0.0)] {
        let id = FittingId(project.fresh_id());
        project.runs[0].fittings.push(Fitting { id, joint, leg, station_mm, lobe_clock_deg });
    }
    project.settings.allowances.weld_gap_mm = 0.5;
    project.settings.allowances.shrink_mm = 0.3;
    project.settings.saw.first_trim_mm = 5.0;
    let report = Report::quick(&project);
    let pieces = report.runs[0].built.pieces.iter().filter(|p| p.mark == "A2" || p.mark == "A3");
    let sawn = pieces.filter_map(|p| p.key).collect();
    project.done = crate::report::records(&report.runs[0], &sawn).collect();
    project
}

/// A project with its report and its pages on both papers.
pub(in crate::sheet) struct Printed {
    pub(in crate::sheet) project: Project,
    pub(in crate::sheet) report: Report,
    /// Letter, A4.
    pub(in crate::sheet) pages: [Vec<Page>; 2],
}

/// Every sample with its pages, made once for all tests.
pub(in crate::sheet) fn printed() -> &'static [Printed] {
    static PRINTED: LazyLock<Vec<Printed>> = LazyLock::new(|| {
        let print = |project: Project| {
            let report = Report::quick(&project);
            let pages = PaperSize::ALL.map(|paper| pages(&project, &report, paper));
            Printed { project, report, pages }
        };
        all().into_iter().map(print).collect()
    });
    &PRINTED
}

/// Every sample in fractions and in millimetres, and one in decimals.
fn all() -> Vec<Project> {
    let units = [UnitSystem::InchFraction, UnitSystem::Millimetre];
    let mut out: Vec<Project> = units
        .into_iter()
        .flat_map(|u| [two_bends(u), eight_bends(u), three_runs(u), whole_shop(u)])
        .collect();
    out.push(two_bends(UnitSystem::InchDecimal));
    out
}

//! A small shop to test in: one size of tube, one elbow, one coupler, and runs through given points.

use glam::DVec3;
use pipeloft_core::model::{
    Attachment, BendMake, BodyId, Corner, ElbowId, ElbowStock, Ends, Hardpoint, HardpointId, JointId,
    JointKind, JointStyle, Lobe, Material, Project, Run, RunEnd, RunId, Service, Tube, TubeId, Waypoint,
    WaypointId,
};
use pipeloft_core::units::UnitSystem;
use std::path::{Path, PathBuf};

/// The tube of the shop.
pub const TUBE: TubeId = TubeId(10);
/// Its 90° elbow, centreline radius 1.5 OD, legs 40 mm.
pub const ELBOW: ElbowId = ElbowId(11);
/// Its welded clamp coupler, make-up 30 mm.
pub const COUPLER: JointId = JointId(12);

/// Folder of the whole repository.
pub fn repository() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_owned()
}

/// The projects in `folder`, by name; none where there is no such folder.
pub fn projects_in(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut files: Vec<PathBuf> = entries
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "ron"))
        .collect();
    files.sort();
    files
}

/// The demo projects.
///
/// # Panics
/// Where there are fewer than three: a loop over none of them would check nothing.
pub fn demos() -> Vec<PathBuf> {
    let folder = repository().join("demo-projects");
    let files = projects_in(&folder);
    assert!(files.len() >= 3, "{} holds {} projects, not at least 3", folder.display(), files.len());
    files
}

/// A shop with one size of 304 tube.
pub fn shop(od_mm: f64, wall_mm: f64) -> Project {
    let material = Material::Stainless304;
    let mut project = Project::new("Bench", UnitSystem::Millimetre);
    project.tubes.push(Tube {
        id: TUBE,
        material,
        od_mm,
        wall_mm,
        stick_mm: 6000.0,
        sticks_on_hand: 0,
        offcuts: Vec::new(),
        slices: Vec::new(),
        stick_price: None,
    });
    project.elbows.push(ElbowStock {
        id: ELBOW,
        material,
        od_mm,
        wall_mm,
        clr_mm: 1.5 * od_mm,
        angle_deg: 90.0,
        leg_mm: 40.0,
        count: 9,
    });
    project.joints.push(JointKind {
        id: COUPLER,
        name: "Coupler".to_owned(),
        style: JointStyle::ClampCoupler,
        od_mm,
        make_up_mm: 30.0,
        body_od_mm: od_mm + 20.0,
        body_width_mm: 45.0,
        lobe: Some(Lobe { width_mm: 22.0, reach_mm: od_mm / 2.0 + 28.0, length_mm: 25.0 }),
        tool: None,
        hose: None,
        welded: true,
    });
    project.next_id = 100;
    project
}

/// A bend of slices with half ends.
pub fn half(clr_mm: f64, welds: u32) -> BendMake {
    BendMake::mitred(clr_mm, welds, Ends::Half)
}

/// A bend of whole slices on square-cut tube.
pub fn full(clr_mm: f64, welds: u32) -> BendMake {
    BendMake::mitred(clr_mm, welds, Ends::Full)
}

/// Adds a loose port with 12 o'clock up that takes the shop's tube.
pub fn port(project: &mut Project, name: &str, position_mm: DVec3, direction: DVec3) -> HardpointId {
    let id = HardpointId(project.fresh_id());
    let od_mm = project.tubes[0].od_mm;
    project.hardpoints.push(Hardpoint {
        id,
        name: name.to_owned(),
        body: BodyId(1),
        position_mm,
        direction,
        clock: DVec3::Z,
        od_mm,
        attachment: Attachment::Loose,
        seat: None,
        hidden: false,
    });
    id
}

/// Adds a run through `points`, every bend made the same way. Its first and last points are ports; four or more
/// points put one corner on each port's axis, three one corner on both.
///
/// # Panics
/// Where there are fewer than three points.
pub fn run_through(project: &mut Project, points: &[DVec3], make: BendMake) -> RunId {
    let n = points.len();
    assert!(n >= 3, "a run with a bend has three points or more");
    let away = |from: DVec3, to: DVec3| (to - from).try_normalize().unwrap_or(DVec3::X);
    let start = port(project, "from", points[0], away(points[0], points[1]));
    let end = port(project, "to", points[n - 1], away(points[n - 1], points[n - 2]));
    let between = points.get(2..n - 2).unwrap_or_default();
    let waypoints = between
        .iter()
        .map(|p| Waypoint { id: WaypointId(project.fresh_id()), position_mm: *p, make })
        .collect();
    let reach = |a: usize, b: usize| points[a].distance(points[b]);
    let to = RunEnd::Hardpoint { hardpoint: end, corner: Corner { reach_mm: reach(n - 1, n - 2), make } };
    let tube = project.tubes[0].id;
    let run = plain_run(project, tube, (start, Corner { reach_mm: reach(0, 1), make }), to);
    let id = run.id;
    project.runs.push(Run { waypoints, ..run });
    id
}

/// A straight run of `length_mm` from a hardpoint into the open.
///
/// # Panics
/// Where there is no such hardpoint.
pub fn into_the_open(project: &mut Project, start: HardpointId, tube: TubeId, length_mm: f64) -> RunId {
    let face = project.hardpoint(start).and_then(Hardpoint::outward).expect("the hardpoint is there");
    let corner = Corner { reach_mm: length_mm / 2.0, make: half(95.0, 4) };
    let end = RunEnd::open(face.forward(length_mm).origin);
    let run = plain_run(project, tube, (start, corner), end);
    let id = run.id;
    project.runs.push(run);
    id
}

/// A run with nothing on it.
fn plain_run(
    project: &mut Project,
    tube: TubeId,
    (start, start_corner): (HardpointId, Corner),
    end: RunEnd,
) -> Run {
    let id = RunId(project.fresh_id());
    Run {
        id,
        name: format!("Run {}", id.0),
        letters: project.fresh_letters(),
        service: Service::ChargeAir,
        tube,
        start,
        start_corner,
        waypoints: Vec::new(),
        end,
        fittings: Vec::new(),
        tapers: Vec::new(),
        parts: Vec::new(),
        gap_mm: 5.0,
        fit_weld: None,
        hidden: false,
    }
}

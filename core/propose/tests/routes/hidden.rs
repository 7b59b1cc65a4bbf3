//! Hides a pipe: lays one out by lot, and puts obstacles round it that just leave it room.

use super::shapes::{distance_mm, make};
use super::walk::walk;
use glam::DVec3;
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::model::{
    Attachment, BendMake, Body, BodyId, Corner, ElbowId, ElbowStock, Hardpoint, HardpointId, Material,
    Movement, Project, Run, RunEnd, RunId, Service, Tube, TubeId, Waypoint, WaypointId,
};
use pipeloft_core::report::Report;
use pipeloft_core::units::UnitSystem;

/// Outside diameter of the tube, mm.
pub(crate) const TUBE_MM: f64 = 63.5;

/// Radius of the bends, mm.
pub(crate) const CLR_MM: f64 = 95.25;

/// Gap to each obstacle, mm.
const GAP_MM: f64 = 12.0;

/// A scene with a pipe hidden in it.
pub(crate) struct Hidden {
    /// The project with a run that is not laid out.
    pub project: Project,
    /// Which run.
    pub run: RunId,
    /// Bends of the hidden pipe.
    pub bends: usize,
    /// Its cost by the weights that are usual.
    pub cost: f64,
}

impl Hidden {
    /// Where both ports are and which way they point.
    pub(crate) fn ends(&self) -> [(DVec3, DVec3); 2] {
        [0, 1].map(|i| {
            let port = &self.project.hardpoints[i];
            (port.position_mm, port.direction.try_normalize().unwrap())
        })
    }
}

/// Knuth's linear congruential numbers, the upper half of each (constants from memory).
pub(crate) struct Lot(u64);

impl Lot {
    pub(crate) fn new(seed: u64) -> Self {
        let mut lot = Self(seed.wrapping_mul(7_046_029_254_386_353_131) ^ 0x5DEE_CE66);
        for _ in 0..8 {
            lot.unit();
        }
        lot
    }

    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / (1u64 << 31) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub(crate) fn way(&mut self) -> DVec3 {
        loop {
            let v = DVec3::new(self.between(-1.0, 1.0), self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            if v.length() < 1.0
                && let Some(unit) = v.try_normalize()
            {
                return unit;
            }
        }
    }
}

/// Vertices of a pipe with so many bends that does not come near itself.
pub(crate) fn pipe(lot: &mut Lot, bends: usize) -> Vec<DVec3> {
    loop {
        let mut way = DVec3::X;
        let mut points = vec![DVec3::ZERO];
        let angles: Vec<f64> =
            (0..bends).map(|_| lot.between(20_f64.to_radians(), 110_f64.to_radians())).collect();
        for leg in 0..=bends {
            let tangent =
                |b: Option<usize>| b.and_then(|b| angles.get(b)).map_or(0.0, |a| CLR_MM * (a / 2.0).tan());
            let end = leg == 0 || leg == bends;
            let straight = lot.between(if end { 40.0 } else { 25.0 }, 180.0);
            let length = straight + tangent(leg.checked_sub(1)) + tangent(Some(leg));
            points.push(points[points.len() - 1] + way * length);
            if let Some(angle) = angles.get(leg) {
                let across = way.cross(lot.way()).try_normalize().unwrap_or(DVec3::Z);
                way = glam::DQuat::from_axis_angle(across, *angle) * way;
            }
        }
        let walked = walk(&points, CLR_MM);
        let far = |i: usize, j: usize| walked[i].distance(walked[j]) > TUBE_MM + 20.0;
        let clear =
            (0..walked.len()).step_by(10).all(|i| (i + 190..walked.len()).step_by(10).all(|j| far(i, j)));
        if clear {
            return points;
        }
    }
}

/// A scene by its number.
pub(crate) fn hide(seed: u64) -> Hidden {
    let mut lot = Lot::new(seed);
    let bends = 1 + (seed % 6) as usize;
    let points = pipe(&mut lot, bends);
    let walked = walk(&points, CLR_MM);
    let mut project = bench();
    let n = points.len();
    let start = port(&mut project, "From", points[0], points[1] - points[0]);
    let end = port(&mut project, "To", points[n - 1], points[n - 2] - points[n - 1]);
    let elbow = BendMake::Elbow { elbow: ElbowId(11) };
    let run = run_through(&mut project, [start, end], &points[1..n - 1], elbow);
    let count = 10 + (lot.unit() * 31.0) as usize;
    for number in 0..count {
        let mut obstacle = make(&mut lot, &mut project, number, GAP_MM);
        let need_mm = TUBE_MM / 2.0 + GAP_MM + lot.between(0.1, 20.0);
        let on = walked[((walked.len() - 1) as f64 * lot.unit()) as usize];
        let out = lot.way();
        let at = |mm: f64, obstacle: &mut pipeloft_core::model::Obstacle| {
            obstacle.pose.position_mm = on + out * mm;
            walked.iter().step_by(4).map(|p| distance_mm(obstacle, *p)).fold(f64::INFINITY, f64::min)
        };
        // out from the pipe until it is clear of all of it
        let mut mm = 0.0;
        while at(mm, &mut obstacle) < need_mm {
            mm += (need_mm - at(mm, &mut obstacle)).max(1.0);
        }
        at(mm, &mut obstacle);
        let exact = walked.iter().map(|p| distance_mm(&obstacle, *p)).fold(f64::INFINITY, f64::min);
        if exact > TUBE_MM / 2.0 + GAP_MM + 0.06 {
            project.obstacles.push(obstacle);
        }
    }
    project = apply(&project, &Edit::PutRun(run.clone())).unwrap();
    let report = Report::new(&project);
    let done = report.run(run.id).unwrap();
    assert!(!done.pieces.is_empty(), "the hidden pipe can be built: {:?}", report.findings);
    let turned: f64 = done.bends.iter().map(|b| b.angle_deg).sum();
    let cost = done.centreline_mm + 60.0 * done.welds.len() as f64 + turned;
    // what is asked starts from a run that knows nothing of it
    let run = forgotten(run);
    let project = apply(&project, &Edit::PutRun(run.clone())).unwrap();
    Hidden { project, run: run.id, bends, cost }
}

/// A hardpoint that belongs to the chassis; `out` need not be of length one.
pub(crate) fn port(project: &mut Project, name: &str, at: DVec3, out: DVec3) -> HardpointId {
    let out = out.try_normalize().unwrap();
    let id = HardpointId(project.fresh_id());
    project.hardpoints.push(Hardpoint {
        id,
        name: name.to_owned(),
        body: BodyId(1),
        position_mm: at,
        direction: out,
        clock: out.any_orthonormal_vector(),
        od_mm: TUBE_MM,
        attachment: Attachment::Loose,
        seat: None,
        hidden: false,
    });
    id
}

/// A run through vertices, from one port to another, with all bends made in one way. The first and the last vertex lie on
/// the axes of the ports.
pub(crate) fn run_through(
    project: &mut Project,
    [start, end]: [HardpointId; 2],
    vertices: &[DVec3],
    make: BendMake,
) -> Run {
    let at = |id| project.hardpoint(id).unwrap().position_mm;
    let (from, to) = (at(start), at(end));
    let n = vertices.len();
    let last = if n == 1 { vertices[0].midpoint(to) } else { vertices[n - 1] };
    let corner = |reach_mm| Corner { reach_mm, make };
    let mut run = Run {
        id: RunId(project.fresh_id()),
        name: "Pipe".to_owned(),
        letters: project.fresh_letters(),
        service: Service::ChargeAir,
        tube: TubeId(10),
        start,
        start_corner: corner(from.distance(vertices[0])),
        waypoints: Vec::new(),
        end: RunEnd::Hardpoint { hardpoint: end, corner: corner(to.distance(last)) },
        fittings: Vec::new(),
        tapers: Vec::new(),
        parts: Vec::new(),
        gap_mm: 10.0,
        fit_weld: None,
        hidden: false,
    };
    for at in vertices.iter().take(n.saturating_sub(1)).skip(1) {
        let id = WaypointId(project.fresh_id());
        run.waypoints.push(Waypoint { id, position_mm: *at, make });
    }
    run
}

/// The run as one that knows nothing of where it has to go.
pub(crate) fn forgotten(mut run: Run) -> Run {
    run.waypoints.clear();
    run.start_corner.reach_mm = 100.0;
    if let RunEnd::Hardpoint { corner, .. } = &mut run.end {
        corner.reach_mm = 100.0;
    }
    run
}

pub(crate) fn bench() -> Project {
    let mut project = Project::new("Bench", UnitSystem::Millimetre);
    project.bodies.push(Body { id: BodyId(2), name: "Engine".to_owned(), movement: Movement::default() });
    project.tubes.push(Tube {
        id: TubeId(10),
        material: Material::Stainless304,
        od_mm: TUBE_MM,
        wall_mm: 1.65,
        stick_mm: 3000.0,
        sticks_on_hand: 1,
        offcuts: Vec::new(),
        slices: Vec::new(),
        stick_price: None,
    });
    project.elbows.push(ElbowStock {
        id: ElbowId(11),
        material: Material::Stainless304,
        od_mm: TUBE_MM,
        wall_mm: 1.65,
        clr_mm: CLR_MM,
        angle_deg: 180.0,
        leg_mm: 0.0,
        count: 30,
    });
    project.next_id = 100;
    project
}

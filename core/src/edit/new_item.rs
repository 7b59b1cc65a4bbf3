//! New things with settings that work at once.

use crate::fab::spot::leg_room;
use crate::geom::tolerance::{SAME_OD_MM, SAME_TURN_RAD};
use crate::geom::vector::unit;
use crate::model::{
    BendMake, Body, BodyId, Corner, Datum, DatumId, ElbowId, ElbowStock, Ends, Hardpoint, HardpointId, Item,
    JointId, JointKind, JointStyle, Lobe, Material, Movement, Obstacle, ObstacleId, Pose, Project, Run,
    RunEnd, RunId, Service, Shape, Tube, TubeId,
};
use crate::units::UnitSystem;
use glam::DVec3;

mod merge;
mod plumbing;
mod round;

pub use merge::{NewMerge, merge, merge_arm, without_arm};
pub use plumbing::{
    bar, bar_ends, has_taper, pad, part, part_kinds, parts_for, pin_through, taper, tube_under,
};
pub use round::{round_mm, round_place, round_screwed, round_shape};

/// `base`, or `base 2`, `base 3`… where that name is taken.
pub fn free_name<'a>(base: &str, taken: &(impl Iterator<Item = &'a str> + Clone)) -> String {
    let used = |name: &str| taken.clone().any(|t| t == name);
    if !used(base) {
        return base.to_owned();
    }
    (2..=u32::MAX).map(|n| format!("{base} {n}")).find(|n| !used(n)).unwrap_or_else(|| base.to_owned())
}

/// Gap a new thing asks for, mm: round in the project's units (common practice, no source).
fn usual_gap_mm(project: &Project) -> f64 {
    match project.settings.units {
        UnitSystem::Millimetre => 10.0,
        UnitSystem::InchFraction | UnitSystem::InchDecimal => 12.7,
    }
}

fn middle((from, to): (f64, f64)) -> f64 {
    f64::midpoint(from, to)
}

/// How far a new hardpoint is put from one that is in its place already, along X and Y, mm.
const ASIDE_MM: (f64, f64) = (500.0, 200.0);

/// A hardpoint at `position_mm`, or beside what is there already; it points forward, or faces the one before that
/// has no partner yet.
pub fn hardpoint(project: &mut Project, mut position_mm: DVec3) -> Hardpoint {
    let taken = |at: DVec3| project.hardpoints.iter().any(|h| h.position_mm.distance(at) < 50.0);
    while taken(position_mm) && position_mm.x < 40_000.0 {
        let aside = |mm| round_mm(mm, project.settings.units);
        position_mm += DVec3::new(aside(ASIDE_MM.0), aside(ASIDE_MM.1), 0.0);
    }
    let facing = project.hardpoints.last().filter(|_| project.hardpoints.len() % 2 == 1);
    let direction = facing.and_then(|h| unit(-h.direction)).unwrap_or(DVec3::X);
    let name = free_name("Hardpoint", &project.hardpoints.iter().map(|h| h.name.as_str()));
    Hardpoint {
        id: HardpointId(project.fresh_id()),
        name,
        body: project.bodies.first().map_or(BodyId(1), |b| b.id),
        position_mm,
        direction,
        clock: DVec3::Z,
        od_mm: project.tubes.first().map_or(63.5, |t| t.od_mm),
        attachment: crate::model::Attachment::Welded,
        seat: None,
        hidden: false,
    }
}

/// A hardpoint in the middle of a leg of a run, square to it at 12 o'clock: where a branch of the same size starts.
/// `None` where there is no such leg.
pub fn branch(project: &mut Project, run: RunId, leg: usize) -> Option<Hardpoint> {
    let header = project.run(run)?.clone();
    let seat = crate::seat::branch::in_the_middle(project, &header, leg)?;
    let route = crate::fab::trace(project, &header).ok()?;
    let od_mm = route.tube_on_leg(leg, middle(leg_room(&route, leg)?))?.od_mm;
    let name = free_name("Branch", &project.hardpoints.iter().map(|h| h.name.as_str()));
    Some(Hardpoint { name, od_mm, seat: Some(seat), ..hardpoint(project, DVec3::ZERO) })
}

/// An obstacle of the given shape at `position_mm`.
pub fn obstacle(project: &mut Project, shape: Shape, position_mm: DVec3) -> Obstacle {
    let name = free_name(shape.kind_name(), &project.obstacles.iter().map(|o| o.name.as_str()));
    Obstacle {
        id: ObstacleId(project.fresh_id()),
        name,
        body: project.bodies.first().map_or(BodyId(1), |b| b.id),
        shape,
        pose: Pose::at(position_mm),
        gap_mm: usual_gap_mm(project),
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    }
}

/// A datum at `position_mm`.
pub fn datum(project: &mut Project, position_mm: DVec3) -> Datum {
    let name = free_name("Datum", &project.datums.iter().map(|d| d.name.as_str()));
    Datum {
        id: DatumId(project.fresh_id()),
        name,
        body: project.bodies.first().map_or(BodyId(1), |b| b.id),
        position_mm,
        hidden: false,
    }
}

/// The shapes on offer, at a size that can be seen.
pub fn shapes() -> Vec<Shape> {
    vec![
        Shape::Box { size_mm: DVec3::new(200.0, 150.0, 100.0) },
        Shape::Cylinder { diameter_mm: 100.0, length_mm: 200.0 },
        Shape::Capsule { diameter_mm: 25.0, length_mm: 300.0 },
        Shape::Sphere { diameter_mm: 120.0 },
        Shape::Panel { width_mm: 400.0, height_mm: 300.0, thickness_mm: 2.0, holes: Vec::new() },
        Shape::HalfSpace,
    ]
}

/// Welds round a mitred bend so that the saw stands at 11.25° or less with half ends.
pub fn usual_welds(angle_rad: f64) -> u32 {
    // rounding noise above 90° is still 90°
    ((angle_rad - SAME_TURN_RAD).to_degrees() / 22.5).ceil().clamp(1.0, 20.0) as u32
}

/// A bend of `angle_rad` in `tube`: the elbow in stock that fits and is cut down least, else mitred at 1.5 times
/// the diameter with slices of at most 11.25° at the saw.
pub fn bend_make(project: &Project, tube: &Tube, angle_rad: f64) -> BendMake {
    let elbow = project
        .elbows
        .iter()
        .filter(|e| (e.od_mm - tube.od_mm).abs() <= SAME_OD_MM && e.material.welds_to(tube.material))
        .filter(|e| e.angle_rad() >= angle_rad)
        .min_by(|a, b| a.angle_deg.total_cmp(&b.angle_deg).then(a.clr_mm.total_cmp(&b.clr_mm)));
    if let Some(elbow) = elbow {
        BendMake::Elbow { elbow: elbow.id }
    } else {
        let welds = usual_welds(angle_rad);
        BendMake::mitred(1.5 * tube.od_mm, welds, Ends::Half)
    }
}

/// A run from one hardpoint to another (or into the open) in tube that fits the start.
///
/// Its two corners stand off the faces far enough for their bends. `None` where the start is not there or has no
/// direction, or the project has no tube.
pub fn run(project: &mut Project, start: HardpointId, end: Option<HardpointId>) -> Option<Run> {
    let od_mm = project.hardpoint(start)?.od_mm;
    let near = |t: &&Tube| ((t.od_mm - od_mm).abs() * 1e6) as i64;
    let tube = project.tubes.iter().min_by_key(near)?.id;
    run_of(project, (start, end), tube)
}

/// The same in a tube that is in the project.
pub fn run_of(
    project: &mut Project,
    (start, end): (HardpointId, Option<HardpointId>),
    tube: TubeId,
) -> Option<Run> {
    let face = project.hardpoint(start)?.outward()?;
    let tube = project.tube(tube)?.clone();
    let to = end.and_then(|id| project.hardpoint(id)).and_then(Hardpoint::outward);
    let apart = to.map_or(8.0 * tube.od_mm, |t| t.origin.distance(face.origin));
    let reach_mm = (2.0 * tube.od_mm).max(apart * 0.25).min(apart.max(2.0 * tube.od_mm));
    let open = face.forward(2.0 * reach_mm).origin + DVec3::Z * 2.0 * tube.od_mm;
    let corner = face.forward(reach_mm).origin;
    let angle = |a: DVec3, b: DVec3| match (unit(a), unit(b)) {
        (Some(a), Some(b)) => crate::geom::vector::angle_between(a, b),
        _ => 0.0,
    };
    let (end_value, next) = match (end, to) {
        (Some(hardpoint), Some(t)) => {
            let last = t.forward(reach_mm).origin;
            let make = bend_make(project, &tube, angle(last - corner, -t.travel));
            (RunEnd::Hardpoint { hardpoint, corner: Corner { reach_mm, make } }, last)
        }
        _ => (RunEnd::open(open), open),
    };
    let make = bend_make(project, &tube, angle(face.travel, next - corner));
    let name = free_name("Run", &project.runs.iter().map(|r| r.name.as_str()));
    Some(Run {
        id: RunId(project.fresh_id()),
        name,
        letters: project.fresh_letters(),
        service: Service::ChargeAir,
        tube: tube.id,
        start,
        start_corner: Corner { reach_mm, make },
        waypoints: Vec::new(),
        end: end_value,
        fittings: Vec::new(),
        tapers: Vec::new(),
        parts: Vec::new(),
        gap_mm: usual_gap_mm(project),
        fit_weld: None,
        hidden: false,
    })
}

/// Sizes of tube that are offered one after the other, mm: what is most used first (common practice, no source).
const SIZES_MM: [f64; 9] = [63.5, 76.2, 50.8, 57.15, 69.85, 88.9, 101.6, 44.45, 38.1];

/// 304 tube of the first usual size that is not in the project yet: 2.5 in where there is none.
pub fn tube(project: &mut Project) -> Tube {
    let material = Material::Stainless304;
    let is_there = |od_mm: &f64| {
        project.tubes.iter().any(|t| t.material == material && (t.od_mm - od_mm).abs() <= SAME_OD_MM)
    };
    let next = |od_mm: &f64| Some(od_mm + 6.35);
    // past the usual ones a quarter of an inch more each time
    let mut sizes = SIZES_MM.into_iter().chain(std::iter::successors(Some(107.95), next));
    let od_mm = sizes.find(|od_mm| !is_there(od_mm)).unwrap_or(63.5);
    let (wall_mm, stick_mm) = match project.settings.units {
        UnitSystem::Millimetre => (1.65, 3000.0),
        // 0.065 in, 10 ft
        UnitSystem::InchFraction | UnitSystem::InchDecimal => (1.651, 3048.0),
    };
    Tube {
        id: TubeId(project.fresh_id()),
        material,
        od_mm,
        wall_mm,
        stick_mm,
        sticks_on_hand: 0,
        offcuts: Vec::new(),
        slices: Vec::new(),
        stick_price: None,
    }
}

/// A 90° elbow at 1.5 times the diameter for the first tube.
pub fn elbow(project: &mut Project) -> ElbowStock {
    let like = project.tubes.first().cloned();
    let (material, od_mm, wall_mm) =
        like.map_or((Material::Stainless304, 63.5, 1.65), |t| (t.material, t.od_mm, t.wall_mm));
    ElbowStock {
        id: ElbowId(project.fresh_id()),
        material,
        od_mm,
        wall_mm,
        clr_mm: 1.5 * od_mm,
        angle_deg: 90.0,
        leg_mm: 0.0,
        count: 0,
    }
}

/// A clamp coupler for the first tube. Its sizes are only a start: measure the real one.
pub fn joint(project: &mut Project) -> JointKind {
    let od_mm = project.tubes.first().map_or(63.5, |t| t.od_mm);
    let units = project.settings.units;
    let round = |mm| round_mm(mm, units);
    let name = free_name("Clamp coupler", &project.joints.iter().map(|j| j.name.as_str()));
    JointKind {
        id: JointId(project.fresh_id()),
        name,
        style: JointStyle::ClampCoupler,
        od_mm,
        make_up_mm: round(25.0),
        body_od_mm: od_mm + round(20.0),
        body_width_mm: round(40.0),
        lobe: Some(Lobe {
            width_mm: round(20.0),
            reach_mm: od_mm / 2.0 + round(28.0),
            length_mm: round(25.0),
        }),
        tool: None,
        hose: None,
        welded: true,
    }
}

/// A body of its own.
pub fn body(project: &mut Project) -> Body {
    let name = free_name("Body", &project.bodies.iter().map(|b| b.name.as_str()));
    Body { id: BodyId(project.fresh_id()), name, movement: Movement::default() }
}

/// A name for a copy or a renamed item that is not empty: the entered text, or the old name.
pub fn kept_name(entered: &str, old: &str) -> String {
    let trimmed = entered.trim();
    if trimmed.is_empty() { old.to_owned() } else { trimmed.chars().take(80).collect() }
}

/// Whether an item can be deleted, hidden or renamed from the tree.
pub fn is_spatial(item: Item) -> bool {
    matches!(
        item,
        Item::Hardpoint(_)
            | Item::Obstacle(_)
            | Item::Run(_)
            | Item::Datum(_)
            | Item::Merge(_)
            | Item::Bar(_)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fab::build;
    use crate::testing::{bench_project, port};

    #[test]
    fn a_new_run_between_two_ports_can_be_built_at_once() {
        let mut project = bench_project();
        let a = port(&mut project, "a", DVec3::ZERO, DVec3::X);
        let b = port(&mut project, "b", DVec3::new(900.0, 500.0, 300.0), -DVec3::X);
        let new = run(&mut project, a, Some(b)).unwrap();
        let built = build(&project, &new);
        assert!(built.is_buildable(), "{:?}", built.problems);
        let open = run(&mut project, a, None).unwrap();
        assert!(build(&project, &open).is_buildable());
    }

    #[test]
    fn two_new_hardpoints_in_one_place_stand_apart_and_face_each_other() {
        let mut project = bench_project();
        let first = hardpoint(&mut project, DVec3::ZERO);
        project.hardpoints.push(first.clone());
        let second = hardpoint(&mut project, DVec3::ZERO);
        project.hardpoints.push(second.clone());
        assert!(first.position_mm.distance(second.position_mm) > 100.0);
        assert_eq!(second.direction, -first.direction);
        let new = run(&mut project, first.id, Some(second.id)).unwrap();
        assert!(build(&project, &new).is_buildable());
    }

    #[test]
    fn without_tube_there_is_no_run() {
        let mut project = bench_project();
        let a = port(&mut project, "a", DVec3::ZERO, DVec3::X);
        project.tubes.clear();
        assert!(run(&mut project, a, None).is_none());
    }

    #[test]
    fn a_new_tube_is_none_that_is_there() {
        let mut project = Project::new("Empty", UnitSystem::InchFraction);
        for _ in 0..14 {
            let new = tube(&mut project);
            assert!(project.tubes.iter().all(|t| (t.od_mm - new.od_mm).abs() > 1.0), "{}", new.od_mm);
            project.tubes.push(new);
        }
        assert_eq!((project.tubes[0].od_mm, project.tubes[1].od_mm), (63.5, 76.2));
    }

    #[test]
    fn names_do_not_repeat() {
        assert_eq!(free_name("Box", &["Box", "Box 2"].into_iter()), "Box 3");
        assert_eq!(kept_name("  ", "old"), "old");
    }

    #[test]
    fn a_new_bend_takes_the_smallest_elbow_that_reaches_or_fine_slices() {
        let project = bench_project();
        let tube = project.tubes[0].clone();
        assert!(matches!(bend_make(&project, &tube, 0.5), BendMake::Elbow { .. }));
        let BendMake::Mitred { welds, .. } = bend_make(&project, &tube, 2.0) else {
            panic!("no elbow has 114.6°")
        };
        assert_eq!(welds, 6);
        for (deg, welds) in [(90.0, 4), (90.0 + 1e-12, 4), (90.1, 5), (22.5, 1), (1.0, 1), (170.0, 8)] {
            assert_eq!(usual_welds(f64::to_radians(deg)), welds, "{deg}");
        }
    }
}

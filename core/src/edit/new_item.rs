//! New things with settings that work at once.

use super::Edit;
use crate::geom::tolerance::{SAME_OD_MM, SAME_TURN_RAD};
use crate::geom::vector::unit;
use crate::model::{
    Bar, BarEndMake, BarId, BarPoint, Bead, BendMake, Body, BodyId, Bracket, Bung, BungUse, Corner, Datum,
    DatumId, ElbowId, ElbowStock, Ends, Eye, Hardpoint, HardpointId, Item, JointId, JointKind, JointStyle,
    Lobe, Material, Merge, MergeArm, MergeId, MergeJoin, Movement, Obstacle, ObstacleId, Onto, Part, PartId,
    PartKind, Pose, Project, RodEnd, Run, RunEnd, RunId, Screwed, Seat, Service, Shape, Shield, Socket, Stub,
    Tab, Taper, TaperId, TaperMake, Tube, TubeId, UnitSystem,
};
use glam::DVec3;

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

/// How far a new hardpoint is put from one that is in its place already, along X and Y, mm.
const ASIDE_MM: (f64, f64) = (500.0, 200.0);

/// A hardpoint at `position_mm`, or beside what is there already; it points forward, or faces the one before that
/// has no partner yet.
pub fn hardpoint(project: &mut Project, mut position_mm: DVec3) -> Hardpoint {
    let taken = |at: DVec3| project.hardpoints.iter().any(|h| h.position_mm.distance(at) < 50.0);
    while taken(position_mm) && position_mm.x < 40_000.0 {
        position_mm += DVec3::new(ASIDE_MM.0, ASIDE_MM.1, 0.0);
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
    let seat = super::seat::branch::in_the_middle(project, &header, leg)?;
    let od_mm = project.tube(header.tube)?.od_mm;
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

/// A merge with the hardpoints that runs come to.
#[derive(Debug, Clone, PartialEq)]
pub struct NewMerge {
    /// The merge.
    pub merge: Merge,
    /// Its arms' hardpoints in order, then its outlet's.
    pub ports: Vec<Hardpoint>,
}

impl NewMerge {
    /// What puts it into the project.
    pub fn edit(&self) -> Edit {
        let ports = self.ports.iter().cloned().map(Edit::PutHardpoint);
        Edit::All(std::iter::once(Edit::PutMerge(self.merge.clone())).chain(ports).collect())
    }
}

/// A merge of two tubes at `position_mm` that lets out forward, its arms 15° to either side.
pub fn merge(project: &mut Project, position_mm: DVec3) -> NewMerge {
    let name = free_name("Merge", &project.merges.iter().map(|m| m.name.as_str()));
    let body = project.bodies.first().map_or(BodyId(1), |b| b.id);
    let od_mm = project.tubes.first().map_or(63.5, |t| t.od_mm);
    let id = MergeId(project.fresh_id());
    let arm = |clock_deg| MergeArm { angle_deg: 15.0, clock_deg };
    let merge = Merge {
        id,
        name: name.clone(),
        body,
        position_mm,
        direction: DVec3::X,
        clock: DVec3::Z,
        arms: vec![arm(90.0), arm(270.0)],
        join: MergeJoin::Mitred,
        hidden: false,
    };
    let seats = [
        ("inlet 1", Seat::Arm { merge: id, arm: 0 }),
        ("inlet 2", Seat::Arm { merge: id, arm: 1 }),
        ("outlet", Seat::Outlet { merge: id }),
    ];
    let port = |(part, seat): (&str, Seat)| Hardpoint {
        id: HardpointId(project.fresh_id()),
        name: format!("{name}, {part}"),
        body,
        position_mm,
        direction: DVec3::X,
        clock: DVec3::Z,
        od_mm,
        attachment: crate::model::Attachment::Welded,
        seat: Some(seat),
        hidden: false,
    };
    NewMerge { merge, ports: seats.map(port).to_vec() }
}

/// One more tube into a merge, with its hardpoint: opposite the last one.
pub fn merge_arm(project: &mut Project, merge: &Merge) -> Edit {
    let last = merge.arms.last().copied().unwrap_or(MergeArm { angle_deg: 15.0, clock_deg: 0.0 });
    let arm = merge.arms.len();
    let mut merge = merge.clone();
    merge.arms.push(MergeArm { clock_deg: (last.clock_deg + 90.0).rem_euclid(360.0), ..last });
    let port = Hardpoint {
        id: HardpointId(project.fresh_id()),
        name: format!("{}, inlet {}", merge.name, arm + 1),
        body: merge.body,
        position_mm: merge.position_mm,
        direction: DVec3::X,
        clock: DVec3::Z,
        od_mm: project.tubes.first().map_or(63.5, |t| t.od_mm),
        attachment: crate::model::Attachment::Welded,
        seat: Some(Seat::Arm { merge: merge.id, arm }),
        hidden: false,
    };
    Edit::All(vec![Edit::PutMerge(merge), Edit::PutHardpoint(port)])
}

/// A merge without one of its tubes and without that one's hardpoint; those after it move up.
///
/// # Errors
/// A sentence where a run still comes to that hardpoint.
pub fn without_arm(project: &Project, merge: &Merge, arm: usize) -> Result<Edit, String> {
    let mut new = merge.clone();
    if arm < new.arms.len() {
        new.arms.remove(arm);
    }
    let mut edits = vec![Edit::PutMerge(new)];
    for port in &project.hardpoints {
        match port.seat {
            Some(Seat::Arm { merge: of, arm: at }) if of == merge.id && at == arm => {
                let item = Item::Hardpoint(port.id);
                if let Some(user) = super::apply::user_of(project, item) {
                    return Err(format!("{} is used by {user}: change that first.", port.name));
                }
                edits.push(Edit::Remove(item));
            }
            Some(Seat::Arm { merge: of, arm: at }) if of == merge.id && at > arm => {
                let seat = Some(Seat::Arm { merge: of, arm: at - 1 });
                edits.push(Edit::PutHardpoint(Hardpoint { seat, ..port.clone() }));
            }
            Some(Seat::Arm { .. } | Seat::Outlet { .. } | Seat::Run { .. }) | None => {}
        }
    }
    Ok(Edit::All(edits))
}

/// A taper in the middle of the longest straight of a run, to the size of tube of the same metal that is nearest to the
/// one the run has there; `None` where there is no other tube or the run has no way.
pub fn taper(project: &mut Project, run: &Run) -> Option<Taper> {
    let route = crate::fab::trace(project, run).ok()?;
    let longest = route.places.iter().enumerate().max_by(|a, b| {
        let straight = |leg: usize| route.legs.get(leg).map_or(0.0, crate::fab::Leg::straight_mm);
        straight(a.1.leg).total_cmp(&straight(b.1.leg))
    });
    let (leg, place) = longest?;
    let straight_mm = route.legs.get(place.leg)?.straight_mm();
    let tube = route.tube_at(place.leg, place.offset_mm);
    let others = project.tubes.iter().filter(|t| t.id != tube.id);
    let after = others.min_by(|a, b| {
        let off = |t: &Tube| (!t.material.welds_to(tube.material), (t.od_mm - tube.od_mm).abs());
        let (a, b) = (off(a), off(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    })?;
    // 15° in all, where there is room: what keeps a flow on the walls
    let step_mm = (after.od_mm - tube.od_mm).abs() / 2.0;
    let wanted_mm = (step_mm / 7.5_f64.to_radians().tan()).max(10.0).ceil();
    let (tube, wall_mm) = (after.id, tube.wall_mm);
    Some(Taper {
        id: TaperId(project.fresh_id()),
        leg,
        station_mm: straight_mm / 2.0,
        length_mm: wanted_mm.min((straight_mm * 0.8).max(1.0)),
        tube,
        wall_mm,
        offset_mm: 0.0,
        offset_clock_deg: 0.0,
        make: TaperMake::Bought,
    })
}

/// The small parts on offer, with sizes that are usual (common practice, no source).
pub fn part_kinds() -> Vec<PartKind> {
    vec![
        PartKind::Bung(Bung {
            purpose: BungUse::ExhaustSensor,
            thread: "M18 × 1.5".to_owned(),
            boss_mm: 25.0,
            height_mm: 12.0,
            hole_mm: 19.0,
            screwed: Some(Screwed { diameter_mm: 22.0, length_mm: 60.0, removal_mm: 40.0 }),
        }),
        PartKind::Stub(Stub {
            od_mm: 38.1,
            wall_mm: 1.65,
            length_mm: 40.0,
            angle_deg: 90.0,
            flange_mm: 64.0,
            flange_thick_mm: 10.0,
            screwed: Some(Screwed { diameter_mm: 70.0, length_mm: 90.0, removal_mm: 20.0 }),
        }),
        PartKind::Bracket(Bracket { along_mm: 40.0, thick_mm: 4.0, height_mm: 30.0, held: None }),
        PartKind::Shield(Shield {
            length_mm: 150.0,
            gap_mm: 10.0,
            thick_mm: 0.8,
            around_deg: 360.0,
            hot_gap_mm: 25.0,
        }),
        PartKind::Bead(Bead { height_mm: 2.0, width_mm: 6.0 }),
    ]
}

/// A small part in the middle of the longest straight of a run, at 12 o'clock.
pub fn part(project: &mut Project, run: &Run, kind: PartKind) -> Part {
    let route = crate::fab::trace(project, run).ok();
    let straight = |leg: usize| {
        let route = route.as_ref()?;
        Some(route.legs.get(route.places.get(leg)?.leg)?.straight_mm())
    };
    let legs = route.as_ref().map_or(0, |r| r.places.len());
    let longest = (0..legs).filter_map(|leg| Some((leg, straight(leg)?))).max_by(|a, b| a.1.total_cmp(&b.1));
    let (leg, straight_mm) = longest.unwrap_or((0, 0.0));
    let taken = run.parts.iter().map(|p| p.name.as_str());
    Part {
        id: PartId(project.fresh_id()),
        name: free_name(kind.name(), &taken),
        leg,
        station_mm: straight_mm / 2.0,
        clock_deg: 0.0,
        kind,
    }
}

/// Length of a new bar, mm.
const NEW_BAR_MM: f64 = 300.0;

/// The ends of bars on offer, with sizes that are usual (common practice, no source).
pub fn bar_ends() -> Vec<BarEndMake> {
    let rod = RodEnd {
        thread_dia_mm: 9.525,
        pitch_mm: 1.058,
        left_hand: false,
        eye_to_shoulder_mm: 12.0,
        shank_mm: 32.0,
        thread_mm: 28.0,
        nut_mm: 6.0,
        least_engagement: 1.5,
        socket: Socket { stand_mm: 3.0, tapped_mm: 25.0, through: false },
        screwed_in_mm: None,
    };
    let onto = Onto::Tube { through_mm: DVec3::ZERO, along: DVec3::X, od_mm: 38.1 };
    vec![
        BarEndMake::Plate { stand_off_mm: 0.0 },
        BarEndMake::Tab(Tab { hole_to_bar_mm: 20.0, width_mm: 20.0, thick_mm: 5.0 }),
        BarEndMake::RodEnd(rod, Eye { od_mm: 24.0, width_mm: 12.0 }),
        BarEndMake::Cope { onto, pad: None },
    ]
}

/// A bar of 5/8 in steel from `position_mm` forward.
pub fn bar(project: &mut Project, position_mm: DVec3) -> Bar {
    let name = free_name("Bar", &project.bars.iter().map(|b| b.name.as_str()));
    let body = project.bodies.first().map_or(BodyId(1), |b| b.id);
    let end = |position_mm| BarPoint {
        position_mm,
        body,
        make: BarEndMake::Plate { stand_off_mm: 0.0 },
        clock_deg: 0.0,
        pin: None,
    };
    Bar {
        id: BarId(project.fresh_id()),
        name,
        material: Material::ChromeMoly4130,
        od_mm: 15.875,
        wall_mm: Some(2.108),
        stick_mm: 1828.8,
        ends: [end(position_mm), end(position_mm + DVec3::X * NEW_BAR_MM)],
        corners: Vec::new(),
        springback_share: 0.0,
        least_straight_mm: 0.0,
        spare_mm: 0.0,
        sawn_mm: None,
        wanted_mm: 0.0,
        sleeve: None,
        gap_mm: usual_gap_mm(project),
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
    let from = project.hardpoint(start)?.clone();
    let face = from.outward()?;
    let near = |t: &&Tube| ((t.od_mm - from.od_mm).abs() * 1e6) as i64;
    let tube = project.tubes.iter().min_by_key(near)?.clone();
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

/// 2.5 in 304 tube with a stick on the rack.
pub fn tube(project: &mut Project) -> Tube {
    Tube {
        id: TubeId(project.fresh_id()),
        material: Material::Stainless304,
        od_mm: 63.5,
        wall_mm: 1.65,
        stick_mm: 3000.0,
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
    let name = free_name("Clamp coupler", &project.joints.iter().map(|j| j.name.as_str()));
    JointKind {
        id: JointId(project.fresh_id()),
        name,
        style: JointStyle::ClampCoupler,
        od_mm,
        make_up_mm: 25.0,
        body_od_mm: od_mm + 20.0,
        body_width_mm: 40.0,
        lobe: Some(Lobe { width_mm: 20.0, reach_mm: od_mm / 2.0 + 28.0, length_mm: 25.0 }),
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
        let built = build(&project, &new, "A");
        assert!(built.is_buildable(), "{:?}", built.problems);
        let open = run(&mut project, a, None).unwrap();
        assert!(build(&project, &open, "A").is_buildable());
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
        assert!(build(&project, &new, "A").is_buildable());
    }

    #[test]
    fn without_tube_there_is_no_run() {
        let mut project = bench_project();
        let a = port(&mut project, "a", DVec3::ZERO, DVec3::X);
        project.tubes.clear();
        assert!(run(&mut project, a, None).is_none());
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

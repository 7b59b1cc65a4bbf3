use crate::edit::{Edit, apply, new_item};
use crate::fab::limb::Edge;
use crate::fab::{Built, WeldKind, build_all};
use crate::geom::vector::{across, unit};
use crate::model::{
    BendMake, Corner, Ends, Hardpoint, MergeArm, MergeJoin, Project, Run, RunEnd, RunId, Tube, TubeId,
};
use crate::testing::{bench_project, port, run_between};
use approx::assert_relative_eq;
use glam::DVec3;
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

const LONG_MM: f64 = 600.0;

/// A merge at `at` that lets out along `direction`; each arm is a straight run of its own, the even ones travelling down
/// to the merge, the odd ones up from it. The outlet is a straight run.
fn merged(
    at: DVec3,
    (direction, clock): (DVec3, DVec3),
    arms: &[MergeArm],
    join: MergeJoin,
    (arm_tube, outlet_tube): (TubeId, TubeId),
) -> Project {
    let mut project = bench_project();
    let tube = project.tubes[0].clone();
    project.tubes.push(Tube { id: TubeId(20), od_mm: 88.9, ..tube });
    let mut new = new_item::merge(&mut project, at);
    (new.merge.direction, new.merge.clock, new.merge.join) = (direction, clock, join);
    new.merge.arms = arms.to_vec();
    let (first, outlet) = (new.ports[0].clone(), new.ports[2].clone());
    new.ports = (0..arms.len())
        .map(|arm| Hardpoint {
            id: crate::model::HardpointId(project.fresh_id()),
            name: format!("in {arm}"),
            seat: Some(crate::model::Seat::Arm { merge: new.merge.id, arm }),
            ..first.clone()
        })
        .collect();
    new.ports.push(outlet);
    project = apply(&project, &new.edit()).unwrap();
    let seats: Vec<Hardpoint> = project.hardpoints.clone();
    let make = BendMake::mitred(95.25, 2, Ends::Half);
    for (i, seat) in seats.iter().enumerate() {
        let axis = unit(seat.direction).unwrap();
        let far = port(&mut project, "far", seat.position_mm + axis * LONG_MM, -axis);
        let is_outlet = i == arms.len();
        let (from, to) = if is_outlet || i % 2 == 1 { (seat.id, far) } else { (far, seat.id) };
        let mut run = run_between(&mut project, from, to, (100.0, 100.0), make);
        run.tube = if is_outlet { outlet_tube } else { arm_tube };
        run.name = format!("run {i}");
        project = apply(&project, &Edit::PutRun(run)).unwrap();
    }
    // the outlet's plane is where the tubes say, now that they are there
    let seat = project.hardpoints.iter().find(|h| h.id == seats[arms.len()].id).unwrap().clone();
    let far = project.hardpoints.last_mut().unwrap();
    far.position_mm = seat.position_mm + unit(seat.direction).unwrap() * LONG_MM;
    project
}

/// Two arms of the bench tube over an outlet of 88.9 mm, the first at clock `turn_deg`; names `in 0` and `in 1`.
pub(in crate::fab::ends) fn two_arms(angles_deg: [f64; 2], turn_deg: f64) -> Project {
    let arms = [arm(angles_deg[0], turn_deg), arm(angles_deg[1], turn_deg + 180.0)];
    let at = DVec3::new(120.0, -40.0, 700.0);
    merged(at, (DVec3::X, DVec3::Z), &arms, MergeJoin::Over, (TubeId(10), TubeId(20)))
}

fn built(project: &Project) -> Vec<Arc<Built>> {
    let all = build_all(project);
    for built in &all {
        assert!(built.is_buildable(), "{:?}", built.problems);
    }
    all
}

/// The way up an arm, by plain vectors.
fn up(direction: DVec3, clock: DVec3, arm: &MergeArm) -> DVec3 {
    let d = unit(direction).unwrap();
    let twelve = across(clock, d).unwrap();
    let three = d.cross(twelve);
    let (sin, cos) = arm.clock_deg.to_radians().sin_cos();
    let out = twelve * cos + three * sin;
    let (s, c) = arm.angle_deg.to_radians().sin_cos();
    out * s - d * c
}

/// Places of the outside of the shaped end of a run, in space: all round, along its own piece.
fn shaped(built: &Built, edge: Edge) -> Vec<DVec3> {
    let at_start = built.pieces[0].curves[0].is_some();
    let index = if at_start { 0 } else { built.pieces.len() - 1 };
    let (piece, frames) = (&built.pieces[index], built.frames[index]);
    let curve = piece.curves[usize::from(!at_start)].as_ref().unwrap();
    let (frame, way) = if at_start { (frames.0, 1.0) } else { (frames.1, -1.0) };
    (0..360)
        .map(|i| TAU * f64::from(i) / 360.0)
        .map(|clock| {
            let radius = frame.at_clock(clock) * (piece.od_mm / 2.0);
            frame.origin + radius + frame.travel * (way * curve.at_mm(edge, clock))
        })
        .collect()
}

/// Least distance of a place from the planes through the middle halfway between an arm and the others.
fn off_seams_mm(at: DVec3, middle: DVec3, ups: &[DVec3], own: usize) -> f64 {
    let off = |other: &DVec3| (at - middle).dot(unit(ups[own] - *other).unwrap()).abs();
    let others = ups.iter().enumerate().filter(|(i, _)| *i != own);
    others.map(|(_, other)| off(other)).fold(f64::INFINITY, f64::min)
}

fn arm(angle_deg: f64, clock_deg: f64) -> MergeArm {
    MergeArm { angle_deg, clock_deg }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whichever way the runs travel and wherever their index lines start, their ends lie in the planes half way
    /// between the tubes.
    #[test]
    fn mitred_arms_meet_each_other_and_the_outlet_half_way(
        angles in (12.0..55.0_f64, 12.0..55.0_f64),
        turn in 100.0..180.0_f64,
        direction in (-1.0..1.0_f64, -1.0..1.0_f64, -1.0..1.0_f64),
        clock in (-1.0..1.0_f64, -1.0..1.0_f64, -1.0..1.0_f64),
    ) {
        let (direction, clock) = (DVec3::from(direction), DVec3::from(clock));
        prop_assume!(direction.length() > 0.2 && unit(direction).unwrap().cross(clock).length() > 0.2);
        let arms = [arm(angles.0, 10.0), arm(angles.1, 10.0 + turn)];
        let at = DVec3::new(120.0, -40.0, 700.0);
        let project = merged(at, (direction, clock), &arms, MergeJoin::Mitred, (TubeId(10), TubeId(10)));
        let all = built(&project);
        let d = unit(direction).unwrap();
        let ups = [up(d, clock, &arms[0]), up(d, clock, &arms[1]), d];
        for (i, run) in all.iter().enumerate() {
            for place in shaped(run, Edge::Outside) {
                prop_assert!(off_seams_mm(place, at, &ups, i) < 1e-6);
                // and it is on its own tube
                let from = place - at;
                prop_assert!(((from - ups[i] * from.dot(ups[i])).length() - 31.75).abs() < 1e-6);
            }
        }
        // the weld between the arms is counted on the first run, that round the outlet on the outlet
        let seams: Vec<usize> =
            all.iter().map(|b| b.welds.iter().filter(|w| w.kind == WeldKind::Seam).count()).collect();
        prop_assert_eq!(seams, vec![1, 0, 1]);
    }

    /// Into a wider outlet they end in a plane where their outsides fit its bore, and what is not in that plane is seam.
    #[test]
    fn arms_into_a_wider_outlet_end_in_its_plane(angle in 12.0..30.0_f64, clock in -180.0..180.0_f64) {
        let arms = [arm(angle, clock), arm(angle, clock + 180.0)];
        let at = DVec3::new(10.0, 20.0, 30.0);
        let look = (DVec3::new(0.0, -3.0, 1.0), DVec3::X);
        let project = merged(at, look, &arms, MergeJoin::Over, (TubeId(10), TubeId(20)));
        let all = built(&project);
        let d = unit(look.0).unwrap();
        let ups = [up(d, look.1, &arms[0]), up(d, look.1, &arms[1])];
        let plane = all[2].frames[0].0.origin;
        // the outlet begins where the outermost line of an arm is as far out as its bore: by hand
        let (sin, cos) = angle.to_radians().sin_cos();
        let bore = 88.9 / 2.0 - 1.65;
        let station = -(bore - 31.75 / cos) * cos / sin;
        assert_relative_eq!((plane - at).dot(d), station, epsilon = 1e-6);
        for (i, run) in all.iter().take(2).enumerate() {
            let mut in_plane = 0;
            for place in shaped(run, Edge::Outside) {
                let (to_plane, to_seam) = ((place - plane).dot(d), off_seams_mm(place, at, &ups, i));
                prop_assert!(to_plane.abs() < 1e-6 || to_seam < 1e-6, "{to_plane} {to_seam}");
                in_plane += usize::from(to_plane.abs() < 1e-6);
            }
            prop_assert!(in_plane > 90 && in_plane < 360, "{in_plane}");
        }
        prop_assert_eq!(all[2].welds.iter().filter(|w| w.kind == WeldKind::Seam).count(), 1);
        prop_assert!(all[2].pieces[0].curves[0].is_none(), "the outlet is cut square");
    }
}

#[test]
fn three_and_four_arms_close_and_a_thin_one_is_seated_on_a_thick_one() {
    for count in [3, 4] {
        let arms: Vec<MergeArm> =
            (0..count).map(|i| arm(25.0, 360.0 / f64::from(count) * f64::from(i))).collect();
        let look = (DVec3::X, DVec3::Z);
        let tubes = (TubeId(10), TubeId(20));
        let project = merged(DVec3::ZERO, look, &arms, MergeJoin::Over, tubes);
        assert_eq!(built(&project).len(), arms.len() + 1);
    }
    let arms = [arm(20.0, 90.0), arm(35.0, 270.0)];
    let look = (DVec3::X, DVec3::Z);
    let mut project = merged(DVec3::ZERO, look, &arms, MergeJoin::Over, (TubeId(20), TubeId(20)));
    let tube = project.tubes[0].clone();
    project.tubes.push(Tube { id: TubeId(21), od_mm: 127.0, ..tube });
    for (run, tube) in project.runs.iter_mut().zip([TubeId(10), TubeId(20), TubeId(21)]) {
        run.tube = tube;
    }
    crate::seat::settle(&mut project);
    let outlet = project.hardpoints[2].position_mm;
    project.hardpoints.last_mut().unwrap().position_mm = outlet + DVec3::X * LONG_MM;
    let all = built(&project);
    // the thin one's edge is in the outlet's plane, or on the skin of the thick one
    let axis = up(DVec3::X, DVec3::Z, &arms[1]);
    for place in shaped(&all[0], Edge::Outside) {
        let off_axis = (place - axis * place.dot(axis)).length();
        let to_plane = (place.x - outlet.x).abs();
        assert!(to_plane < 1e-6 || (off_axis - 44.45).abs() < 1e-6, "{place} {off_axis}");
    }
}

#[test]
fn what_keeps_tubes_apart_is_said_on_each_run() {
    let look = (DVec3::X, DVec3::Z);
    let codes = |project: &Project| -> Vec<Vec<&'static str>> {
        let all = build_all(project);
        all.iter()
            .map(|b| b.problems.iter().map(|(p, ..)| p.code()).filter(|c| *c != "port-size").collect())
            .collect()
    };
    // too nearly side by side
    let narrow = [arm(1.0, 90.0), arm(1.0, 270.0)];
    let project = merged(DVec3::ZERO, look, &narrow, MergeJoin::Mitred, (TubeId(10), TubeId(10)));
    assert_eq!(codes(&project), [["merge"]; 3]);
    let all = build_all(&project);
    assert!(all.iter().all(|b| !b.is_buildable()));
    let text = all[0].problems.last().unwrap().0.text(project.settings.units);
    assert!(
        text.starts_with("Merge, of run 0, run 1 and run 2: Tubes 1 and 2 come together at 2.0°"),
        "{text}"
    );
    // an outlet that is not as wide cannot be mitred
    let arms = [arm(20.0, 90.0), arm(20.0, 270.0)];
    let project = merged(DVec3::ZERO, look, &arms, MergeJoin::Mitred, (TubeId(10), TubeId(20)));
    assert_eq!(codes(&project), [["merge"]; 3]);
    // a bend right at the merge leaves nothing to cut
    let mut project = merged(DVec3::ZERO, look, &arms, MergeJoin::Mitred, (TubeId(10), TubeId(10)));
    project.runs[0] = bent(&project, 30.0);
    assert!(codes(&project)[0].contains(&"merge-piece"), "{:?}", codes(&project));
    project.runs[0] = bent(&project, 260.0);
    assert_eq!(codes(&project)[0], Vec::<&str>::new());
    // without its outlet, or with one arm only, nothing is cut yet
    project.runs.retain(|r| r.name != "run 2");
    let all = build_all(&project);
    assert!(all.iter().all(|b| b.is_buildable() && !b.pieces.iter().any(crate::fab::Piece::is_shaped)));
}

/// The first run with a bend this far up from the merge.
fn bent(project: &Project, reach_mm: f64) -> Run {
    let run = project.runs[0].clone();
    let RunEnd::Hardpoint { hardpoint, .. } = run.end else { panic!("it ends at the merge") };
    let make = BendMake::mitred(63.5, 2, Ends::Half);
    let seat = project.hardpoint(hardpoint).unwrap();
    let from = project.hardpoint(run.start).unwrap();
    let on_axis = seat.position_mm + unit(seat.direction).unwrap() * reach_mm;
    // a start that is off the axis by a little, so that there is a bend
    let mut run = Run { id: RunId(run.id.0), start_corner: Corner { reach_mm: 60.0, make }, ..run };
    run.waypoints = vec![crate::model::Waypoint {
        id: crate::model::WaypointId(8000),
        position_mm: on_axis.lerp(from.position_mm, 0.6) + DVec3::Z * 120.0,
        make,
    }];
    run.end = RunEnd::Hardpoint { hardpoint, corner: Corner { reach_mm, make } };
    run
}

#[test]
fn seams_are_counted_once_and_areas_are_those_of_the_bores() {
    let arms = [arm(20.0, 90.0), arm(20.0, 270.0)];
    let look = (DVec3::X, DVec3::Z);
    let project = merged(DVec3::ZERO, look, &arms, MergeJoin::Mitred, (TubeId(10), TubeId(10)));
    let all = built(&project);
    let merge = super::lay_out(&project, &project.merges[0], &|_| None).unwrap().unwrap().merge;
    let counted: f64 =
        all.iter().flat_map(|b| &b.welds).filter(|w| w.kind == WeldKind::Seam).map(|w| w.length_mm).sum();
    let seams: f64 = merge.seams().iter().map(|s| s.length.value).sum();
    assert_relative_eq!(counted, seams, max_relative = 1e-9);
    // two bores into one
    assert_relative_eq!(merge.areas().ratio(), 0.5, epsilon = 1e-12);
    assert_relative_eq!(merge.areas().outlet_mm2, PI * 30.1 * 30.1, max_relative = 1e-12);
}

//! What sits on shaped tube sits on wall that is there: random merges and branches, looked at with cylinders written here.

use crate::edit::{Edit, apply, new_item};
use crate::fab::build_all;
use crate::model::{
    BarEndMake, Bung, BungUse, Fitting, FittingId, Hardpoint, Onto, Part, PartId, PartKind, Project, RunId,
    Seat, Spot,
};
use crate::testing::{branch, tube};
use glam::DVec3;
use std::f64::consts::TAU;

/// Numbers that look random and are the same on every machine (a linear congruence, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }
}

/// A tube without an end on the far side: from a point along a unit direction.
#[derive(Clone, Copy)]
struct Ray {
    from: DVec3,
    along: DVec3,
    radius_mm: f64,
}

impl Ray {
    /// How deep a point lies in it, mm; below zero outside.
    fn depth_mm(&self, p: DVec3) -> f64 {
        let along_mm = (p - self.from).dot(self.along);
        let off = p - self.from - self.along * along_mm;
        if along_mm > 0.0 { self.radius_mm - off.length() } else { f64::NEG_INFINITY }
    }

    /// Where a line leaves its skin, from the root of a quadratic.
    fn left_by(&self, origin: DVec3, way: DVec3) -> Option<DVec3> {
        let across = |v: DVec3| v - self.along * v.dot(self.along);
        let (o, w) = (across(origin - self.from), across(way));
        let (a, b, c) = (w.dot(w), o.dot(w), o.dot(o) - self.radius_mm * self.radius_mm);
        let root = b * b - a * c;
        (root > 0.0 && a > 1e-12).then(|| origin + way * ((-b + root.sqrt()) / a))
    }
}

/// The outline of a round tube of that radius on a header's skin.
fn foot(header: &Ray, origin: DVec3, way: DVec3, radius_mm: f64) -> Vec<DVec3> {
    let side = way.any_orthonormal_vector();
    let other = way.cross(side);
    (0..180)
        .filter_map(|i| {
            let (sin, cos) = (TAU * f64::from(i) / 180.0).sin_cos();
            header.left_by(origin + (side * cos + other * sin) * radius_mm, way)
        })
        .collect()
}

/// Two arms of the bench tube into one, straight runs of 600 mm; with what cuts into the first arm: the other arm, and the
/// plane of the outlet.
struct Merged {
    project: Project,
    /// The run of the first arm, and its tube.
    arm: RunId,
    own: Ray,
    other: Ray,
    /// A point of the outlet's plane and the way down from it.
    plane: (DVec3, DVec3),
}

fn merge(dice: &mut Dice) -> Option<Merged> {
    let angles = [dice.roll(15.0, 40.0), dice.roll(15.0, 40.0)];
    let project = super::super::merged::tests::two_arms(angles, dice.roll(-180.0, 180.0));
    let ray = |name: &str| {
        let port = project.hardpoints.iter().find(|h| h.name == name)?;
        let run = project.runs.iter().find(|r| comes_to(r, port))?;
        let radius_mm = project.tube(run.tube)?.od_mm / 2.0;
        Some((run.id, Ray { from: port.position_mm, along: port.direction, radius_mm }))
    };
    let ((id, first), (_, second)) = (ray("in 0")?, ray("in 1")?);
    let outlet = project.hardpoints.iter().find(|h| matches!(h.seat, Some(Seat::Outlet { .. })))?;
    let plane = (outlet.position_mm, outlet.direction);
    let can_be_built = build_all(&project).iter().all(|built| built.is_buildable());
    can_be_built.then_some(Merged { project, arm: id, own: first, other: second, plane })
}

/// A place on the first arm, that far from where the axes meet. Its run is straight and comes down to the merge with
/// corners at 100 and 500 mm.
fn from_merge(mm: f64) -> Spot {
    match 600.0 - mm {
        along if along < 100.0 => Spot::Leg { leg: 0, station_mm: along },
        along if along < 500.0 => Spot::Leg { leg: 1, station_mm: along - 100.0 },
        along => Spot::Leg { leg: 2, station_mm: along - 500.0 },
    }
}

fn comes_to(run: &crate::model::Run, port: &Hardpoint) -> bool {
    let at_end = matches!(run.end, crate::model::RunEnd::Hardpoint { hardpoint, .. } if hardpoint == port.id);
    run.start == port.id || at_end
}

/// Whether the branch was accepted; else whether that was because there is no wall.
fn outcome(project: &Project, id: RunId) -> (bool, Option<String>) {
    let at = project.runs.iter().position(|r| r.id == id).unwrap();
    let built = &build_all(project)[at];
    let told = built.problems.iter().find(|(p, ..)| p.code() == "branch-on-nothing");
    let text = told.map(|(p, ..)| p.text(project.settings.units));
    (built.is_buildable(), text)
}

#[test]
fn a_branch_on_a_merged_arm_has_wall_all_round_or_is_refused() {
    let mut dice = Dice(3);
    let (mut sits, mut refused) = (0, 0);
    while sits + refused < 120 {
        let Some(Merged { mut project, arm, own, other, plane: (plane, down) }) = merge(&mut dice) else {
            continue;
        };
        let size = tube(&mut project, dice.roll(20.0, 55.0));
        let from_merge_mm = dice.roll(40.0, 120.0);
        let seat = Seat::Run {
            run: arm,
            spot: from_merge(from_merge_mm),
            clock_deg: dice.roll(-180.0, 180.0),
            angle_deg: dice.roll(40.0, 140.0),
            offset_mm: 0.0,
        };
        let id = branch(&mut project, seat, 500.0);
        project.runs.iter_mut().find(|r| r.id == id).unwrap().tube = size;
        let port = project.hardpoint(project.run(id).unwrap().start).unwrap();
        let radius_mm = project.tube(size).unwrap().od_mm / 2.0;
        let way = port.direction;
        let outline = foot(&own, port.position_mm - way * 200.0, way, radius_mm);
        let lost = |p: &DVec3| other.depth_mm(*p).max((*p - plane).dot(down));
        let deepest = outline.iter().map(lost).fold(f64::NEG_INFINITY, f64::max);
        let (accepted, said) = outcome(&project, id);
        if accepted {
            sits += 1;
            assert!(deepest < 0.15, "{deepest} mm of the foot lies where nothing is left");
        } else if said.is_some() {
            refused += 1;
            // cut square to the wall, a seat goes further up than the outside by up to the wall over the sine
            assert!(deepest > -8.0, "refused with {deepest} mm to spare");
        }
    }
    assert!(sits > 30 && refused > 15, "{sits} sit, {refused} refused");
}

#[test]
fn a_branch_on_a_branch_has_wall_all_round_or_is_refused_with_a_place_that_works() {
    let mut dice = Dice(5);
    let (mut sits, mut refused, mut moved) = (0, 0, 0);
    while sits + refused < 260 {
        let (mut project, header) = super::header(false);
        let main = Ray { from: DVec3::new(-1e4, 0.0, 0.0), along: DVec3::X, radius_mm: 63.5 / 2.0 };
        let seat = |run, station_mm, clock_deg, angle_deg| {
            let spot = Spot::Leg { leg: 0, station_mm };
            Seat::Run { run, spot, clock_deg, angle_deg, offset_mm: 0.0 }
        };
        let first =
            branch(&mut project, seat(header, 300.0, dice.roll(-180.0, 180.0), dice.roll(20.0, 70.0)), 700.0);
        let size = tube(&mut project, dice.roll(15.0, 45.0));
        let place = dice.roll(2.0, 75.0);
        let own = project.hardpoint(project.run(first).unwrap().start).unwrap().clone();
        let own = Ray { from: own.position_mm, along: own.direction, radius_mm: 63.5 / 2.0 };
        let at = seat(first, place, dice.roll(-180.0, 180.0), dice.roll(45.0, 135.0));
        let id = branch(&mut project, at, 900.0);
        project.runs.iter_mut().find(|r| r.id == id).unwrap().tube = size;
        let radius_mm = project.tube(size).unwrap().od_mm / 2.0;
        let deepest = |project: &Project| {
            let port = project.hardpoint(project.run(id).unwrap().start).unwrap();
            let outline = foot(&own, port.position_mm - port.direction * 200.0, port.direction, radius_mm);
            outline.iter().map(|p| main.depth_mm(*p)).fold(f64::NEG_INFINITY, f64::max)
        };
        let (accepted, said) = outcome(&project, id);
        if accepted {
            sits += 1;
            assert!(deepest(&project) < 0.15, "{} mm", deepest(&project));
        } else if let Some(text) = said {
            refused += 1;
            assert!(deepest(&project) > -8.0, "{} mm to spare", -deepest(&project));
            // the station that is told works
            let Some((_, rest)) = text.split_once("take the station ") else { continue };
            let Ok(mm) = rest.split(' ').next().unwrap().parse::<f64>() else { panic!("{text}") };
            let mut port = project.hardpoint(project.run(id).unwrap().start).unwrap().clone();
            let Some(Seat::Run { spot, .. }) = &mut port.seat else { unreachable!() };
            *spot = Spot::Leg { leg: 0, station_mm: mm };
            let next = apply(&project, &Edit::PutHardpoint(port)).unwrap();
            assert_eq!(outcome(&next, id).1, None, "{text}");
            assert!(deepest(&next) < 0.15);
            moved += 1;
        }
    }
    assert!(sits > 30 && refused > 15 && moved > 5, "{sits} sit, {refused} refused, {moved} moved");
}

#[test]
fn two_branches_do_not_share_a_place_of_their_header() {
    // their feet of 38.1 on 63.5 reach 36.9° to either side: 60° apart they meet, and no middle lies in the other
    for (apart_mm, clock_deg, shared, met) in [
        (20.0, 0.0, true, false),
        (70.0, 0.0, false, false),
        (0.0, 20.0, true, false),
        (0.0, 60.0, false, true),
        (0.0, 180.0, false, false),
        (0.0, 0.0, true, false),
    ] {
        let (mut project, header) = super::header(false);
        let small = tube(&mut project, 38.1);
        for (station_mm, clock_deg) in [(250.0, 0.0), (250.0 + apart_mm, clock_deg)] {
            let spot = Spot::Leg { leg: 0, station_mm };
            let seat = Seat::Run { run: header, spot, clock_deg, angle_deg: 90.0, offset_mm: 0.0 };
            let id = branch(&mut project, seat, 300.0);
            project.runs.iter_mut().find(|r| r.id == id).unwrap().tube = small;
        }
        let all = build_all(&project);
        let codes: Vec<&str> = all[2].problems.iter().map(|(p, ..)| p.code()).collect();
        assert_eq!(codes.contains(&"branch-on-branch"), shared, "{apart_mm} {clock_deg}: {codes:?}");
        assert_eq!(codes.contains(&"branch-meets-branch"), met, "{apart_mm} {clock_deg}: {codes:?}");
        assert_eq!(all[0].holes.len(), if shared { 1 } else { 2 });
    }
}

/// The two arms of a merge at 20° with the other one at 6 o'clock of the first, as seen along its travel.
fn steep_merge() -> (Project, RunId, DVec3, f64) {
    let project = super::super::merged::tests::two_arms([20.0, 20.0], 0.0);
    let port = project.hardpoints.iter().find(|h| h.name == "in 0").unwrap().clone();
    let other = project.hardpoints.iter().find(|h| h.name == "in 1").unwrap().direction;
    let run = project.runs.iter().find(|r| comes_to(r, &port)).unwrap().id;
    let at = project.runs.iter().position(|r| r.id == run).unwrap();
    let end = build_all(&project)[at].end().unwrap();
    let toward_deg = end.clock_of(other).to_degrees();
    (project, run, port.direction, toward_deg)
}

#[test]
fn a_bung_is_refused_where_the_merge_has_taken_the_wall_and_has_no_hole() {
    for (turned_deg, refused) in [(0.0, true), (180.0, false)] {
        let (mut project, id, _, toward_deg) = steep_merge();
        let Spot::Leg { leg, station_mm } = from_merge(70.0) else { unreachable!() };
        let bung = Bung {
            purpose: BungUse::Plain,
            thread: "M18".to_owned(),
            boss_mm: 28.0,
            height_mm: 10.0,
            hole_mm: 18.0,
            screwed: None,
        };
        let part = Part {
            id: PartId(900),
            name: "Tap".to_owned(),
            leg,
            station_mm,
            turn_deg: None,
            clock_deg: toward_deg + turned_deg,
            kind: PartKind::Bung(bung),
        };
        let at = project.runs.iter().position(|r| r.id == id).unwrap();
        project.runs[at].parts.push(part);
        let built = &build_all(&project)[at];
        assert_eq!(built.is_buildable(), !refused, "{:?}", built.problems);
        assert_eq!(built.holes.len(), usize::from(!refused));
        assert_eq!(built.problems.iter().any(|(p, ..)| p.code() == "part-off-end"), refused);
    }
}

#[test]
fn a_bar_is_not_coped_onto_wall_that_the_merge_has_taken() {
    for (turned_deg, refused) in [(0.0, true), (180.0, false)] {
        let (mut project, id, up, toward_deg) = steep_merge();
        let at = project.runs.iter().position(|r| r.id == id).unwrap();
        // a joint on the way is no tube, and nothing may be counted wrong behind it
        let joint = project.joints[0].id;
        let fitting = Fitting { id: FittingId(901), joint, leg: 1, station_mm: 150.0, lobe_clock_deg: 0.0 };
        project.runs[at].fittings.push(fitting);
        let end = build_all(&project)[at].end().unwrap();
        let foot = end.origin + up * 70.0;
        let mut bar = new_item::bar(&mut project, foot);
        bar.ends[0].position_mm = foot;
        bar.ends[0].make = BarEndMake::Cope { onto: Onto::Run(id), pad: None };
        bar.ends[1].position_mm = foot + end.at_clock((toward_deg + turned_deg).to_radians()) * 250.0;
        bar.ends[1].make = BarEndMake::Plate { stand_off_mm: 0.0 };
        bar.corners.clear();
        bar.sleeve = None;
        project.bars.push(bar);
        let report = crate::report::Report::quick(&project);
        let found = report.findings.iter().find(|f| f.code == "bar-on-nothing");
        assert_eq!(found.is_some(), refused, "{:?}", report.findings);
        assert_eq!(report.bars[0].buildable, !refused);
    }
}

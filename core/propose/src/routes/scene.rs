//! From a project to what a route is looked for in: what is in the way with the gaps the report asks for, in every
//! position that bodies bring it to at the far ends of their movements, and the box that is searched.
//!
//! What comes out is a stand-in to search in, not a judge: shapes of other runs and bars are rounded at their ends, and of
//! movements only the far ends are looked at. The report decides.

use super::room::{Room, Thing};
use glam::{DQuat, DVec3};
use pipeloft_core::geom::vector::unit;
use pipeloft_core::geom::{Barrel, Drum, Elbow, Solid};
use pipeloft_core::model::Item;
use pipeloft_core::model::PartKind;
use pipeloft_core::model::{BodyId, Hardpoint, Movement, Obstacle, Pose, Project, Run, RunEnd, Shape};
use pipeloft_core::report::{AskedGap, Report, asked_gaps};
use pipeloft_core::space::PlacedShape;
use pipeloft_core::space::scan::Scans;

/// What is asked for more than the report does, mm: lines are proved to 0.015 mm under what is needed, and the report
/// measures to 0.01 mm.
const SLACK_MM: f64 = 0.03;

/// Stubs are made longer by this, mm: a pipe square to the face it comes from is just clear where its stub ends.
const STUB_MM: f64 = 1.0;

/// No more positions of one thing are looked at.
const MOST_POSITIONS: usize = 24;

/// Chords that bends of other runs are taken as turn no more than this, rad (10°).
const CHORD_RAD: f64 = 10.0 * std::f64::consts::PI / 180.0;

/// The ends of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ends {
    pub(super) start: (DVec3, DVec3),
    pub(super) end: (DVec3, Option<DVec3>),
}

/// Both ends of a run; `None` where a hardpoint is missing or has no direction.
pub(super) fn ends(project: &Project, run: &Run) -> Option<Ends> {
    let face = |id| project.hardpoint(id).and_then(Hardpoint::outward);
    let start = face(run.start)?;
    let end = match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => {
            let end = face(hardpoint)?;
            (end.origin, Some(-end.travel))
        }
        RunEnd::Open { position_mm, .. } => (position_mm, None),
    };
    Some(Ends { start: (start.origin, start.travel), end })
}

/// The greatest outside radius of the tubes that a run is made of, mm.
pub(super) fn radii_mm(project: &Project, run: &Run) -> Option<f64> {
    let first = project.tube(run.tube)?.od_mm / 2.0;
    let others = run.tapers.iter().filter_map(|t| project.tube(t.tube)).map(|t| t.od_mm / 2.0);
    Some(others.fold(first, f64::max))
}

/// What is in the way of a run, with the gaps that were asked for; the index of each thing's gap stands in it. `more_mm` is
/// what is asked for beyond that, by the same index.
pub(super) fn room(
    project: &Project,
    scans: &Scans,
    (run, asked): (&Run, &[AskedGap]),
    more_mm: &[f64],
    bounds: (DVec3, DVec3),
) -> Room {
    let own = own_bodies(project, run);
    let radius_mm = radii_mm(project, run).unwrap_or(0.0);
    let mut things = Vec::new();
    for (index, gap) in asked.iter().enumerate() {
        let more_mm = more_mm.get(index).copied().unwrap_or(0.0);
        let stub = |mm: f64| if mm > 0.0 { mm + STUB_MM } else { 0.0 };
        let stubs_mm = (stub(gap.stubs_mm.0), stub(gap.stubs_mm.1));
        for position in positions(project, &own, &gap.bodies) {
            let shapes: Vec<PlacedShape> = if let Item::Obstacle(id) = gap.other {
                project.obstacle(id).map(|o| placed(o, scans, &position)).into_iter().collect()
            } else {
                let moved = gap.solids.iter().map(|s| s.moved(position.turn, position.shift_mm));
                moved.flat_map(|s| shapes_of(&s)).collect()
            };
            let need_mm = radius_mm + gap.required_mm + SLACK_MM + more_mm;
            things.extend(shapes.into_iter().map(|shape| {
                let mut thing = Thing::new(shape, need_mm, stubs_mm, index);
                thing.sure_mm = sure_mm(project, run, gap, position == AS_DRAWN);
                thing
            }));
        }
    }
    Room::new(things, bounds)
}

/// How far the middle of any pipe has to keep from a thing for certain, mm; minus infinity where nothing is certain: of
/// other runs and bars, whose shapes are only held by those that are searched with; of positions that only part of a run
/// may take; and of a run that does not stay as wide as it starts.
fn sure_mm(project: &Project, run: &Run, gap: &AskedGap, as_drawn: bool) -> f64 {
    let Item::Obstacle(id) = gap.other else { return f64::NEG_INFINITY };
    let (Some(obstacle), Some(tube)) = (project.obstacle(id), project.tube(run.tube)) else {
        return f64::NEG_INFINITY;
    };
    if !as_drawn || !run.tapers.is_empty() {
        return f64::NEG_INFINITY;
    }
    // behind a shield less is asked
    let shielded = run.parts.iter().any(|p| matches!(p.kind, PartKind::Shield(_)));
    tube.od_mm / 2.0 + if shielded { obstacle.gap_mm.min(gap.required_mm) } else { gap.required_mm }
}

/// What the report asks, without what cannot be told apart from the run itself.
pub(super) fn asked(project: &Project, report: &Report, run: &Run) -> Vec<AskedGap> {
    asked_gaps(project, report, run.id)
}

/// A box round both ends and what the run passes now, `margin_mm` larger on all sides.
pub(super) fn bounds(ends: &Ends, also: &[DVec3], margin_mm: f64) -> (DVec3, DVec3) {
    let all = also.iter().copied().chain([ends.start.0, ends.end.0]);
    let (low, high) = all.fold((ends.start.0, ends.start.0), |(low, high), p| (low.min(p), high.max(p)));
    (low - margin_mm, high + margin_mm)
}

/// How something has moved from where it is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Position {
    turn: DQuat,
    shift_mm: DVec3,
}

const AS_DRAWN: Position = Position { turn: DQuat::IDENTITY, shift_mm: DVec3::ZERO };

fn own_bodies(project: &Project, run: &Run) -> Vec<BodyId> {
    let end = match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => Some(hardpoint),
        RunEnd::Open { .. } => None,
    };
    let mut out: Vec<BodyId> = [Some(run.start), end]
        .into_iter()
        .flatten()
        .filter_map(|id| Some(project.hardpoint(id)?.body))
        .collect();
    out.dedup();
    out
}

/// The positions a thing takes against a run, as drawn first: the far ends of all movements of both.
fn positions(project: &Project, own: &[BodyId], theirs: &[BodyId]) -> Vec<Position> {
    let mut out = vec![AS_DRAWN];
    let still = Movement::default();
    let movement = |id: BodyId| project.body(id).map_or(&still, |b| &b.movement);
    for a in own {
        for b in theirs.iter().filter(|b| *b != a) {
            let (mine, other) = (movement(*a), movement(*b));
            if mine.is_still() && other.is_still() {
                continue;
            }
            let reach = mine.shift_mm.abs() + other.shift_mm.abs();
            for shift_mm in corners(reach) {
                for back in turns(mine) {
                    for forth in turns(other) {
                        // theirs turns and shifts; ours is taken back
                        let turn = back.turn.inverse() * forth.turn;
                        let shift_mm = back.turn.inverse() * (forth.shift_mm + shift_mm - back.shift_mm);
                        let position = Position { turn, shift_mm };
                        if !out.contains(&position) && out.len() < MOST_POSITIONS {
                            out.push(position);
                        }
                    }
                }
            }
        }
    }
    out
}

fn corners(reach: DVec3) -> Vec<DVec3> {
    let sides = |mm: f64| if mm > 0.0 { vec![-mm, mm] } else { vec![0.0] };
    let mut out = Vec::new();
    for x in sides(reach.x) {
        for y in sides(reach.y) {
            out.extend(sides(reach.z).into_iter().map(|z| DVec3::new(x, y, z)));
        }
    }
    out
}

/// A body turned as far as it goes to either side.
fn turns(movement: &Movement) -> Vec<Position> {
    let Some(roll) = movement.roll.filter(|r| r.turn_deg != 0.0) else { return vec![AS_DRAWN] };
    let Some(axis) = unit(roll.axis) else { return vec![AS_DRAWN] };
    let to = |deg: f64| {
        let turn = DQuat::from_axis_angle(axis, deg.to_radians());
        Position { turn, shift_mm: roll.through_mm - turn * roll.through_mm }
    };
    vec![to(-roll.turn_deg), to(roll.turn_deg)]
}

fn placed(obstacle: &Obstacle, scans: &Scans, at: &Position) -> PlacedShape {
    let pose = if *at == AS_DRAWN {
        obstacle.pose
    } else {
        let origin = at.turn * obstacle.pose.position_mm + at.shift_mm;
        Pose::of_rotation(origin, at.turn * obstacle.pose.rotation())
    };
    let moved = Obstacle { pose, ..obstacle.clone() };
    scans.placed(&moved).map_or_else(|| PlacedShape::new(&moved.shape, &moved.pose), PlacedShape::scan)
}

/// Shapes that hold a solid.
fn shapes_of(solid: &Solid) -> Vec<PlacedShape> {
    match solid {
        Solid::Barrel(b) => vec![round(barrel_ends(b), b.radius_mm)],
        Solid::Drum(Drum { start, length_mm, radius_mm }) => {
            vec![round((start.origin, start.forward(*length_mm).origin), *radius_mm)]
        }
        Solid::Elbow(elbow) => bend(elbow),
        Solid::Block(block) => {
            let rotation =
                DQuat::from_mat3(&glam::DMat3::from_cols(block.axes[0], block.axes[1], block.axes[2]));
            let shape = Shape::Box { size_mm: block.half_mm * 2.0 };
            vec![PlacedShape::new(&shape, &Pose::of_rotation(block.centre, rotation))]
        }
        Solid::Frustum(f) => {
            let radius_mm = f.start_radius_mm.max(f.end_radius_mm);
            vec![hose(f.start.origin, f.frame_at(f.length_mm).origin, radius_mm)]
        }
    }
}

/// The ends of a tube's axis, moved out to the tips of its cuts.
fn barrel_ends(b: &Barrel) -> (DVec3, DVec3) {
    let tip_mm = |normal: DVec3| {
        let cosine = b.start.travel.dot(normal).clamp(0.05, 1.0);
        b.radius_mm * (1.0 / (cosine * cosine) - 1.0).sqrt()
    };
    let (from, to) = b.axis();
    (from - b.start.travel * tip_mm(b.start_normal), to + b.start.travel * tip_mm(b.end_normal))
}

fn along(from: DVec3, to: DVec3) -> Pose {
    let way = unit(to - from).unwrap_or(DVec3::Z);
    Pose::of_rotation(from.midpoint(to), DQuat::from_rotation_arc(DVec3::Z, way))
}

fn round((from, to): (DVec3, DVec3), radius_mm: f64) -> PlacedShape {
    let shape = Shape::Cylinder { diameter_mm: 2.0 * radius_mm, length_mm: from.distance(to) };
    PlacedShape::new(&shape, &along(from, to))
}

fn hose(from: DVec3, to: DVec3, radius_mm: f64) -> PlacedShape {
    let shape = Shape::Capsule { diameter_mm: 2.0 * radius_mm, length_mm: from.distance(to) };
    PlacedShape::new(&shape, &along(from, to))
}

fn bend(elbow: &Elbow) -> Vec<PlacedShape> {
    let count = (elbow.angle_rad / CHORD_RAD).ceil().max(1.0);
    let step = elbow.angle_rad / count;
    let off_mm = elbow.clr_mm * (step / 4.0).tan().powi(2);
    let centre = elbow.centre();
    let out = 2.0 / (1.0 + (step / 2.0).cos());
    let at = |k: f64| centre + (elbow.frame_at(k * step).origin - centre) * out;
    (0..count as usize).map(|k| hose(at(k as f64), at(k as f64 + 1.0), elbow.radius_mm + off_mm)).collect()
}

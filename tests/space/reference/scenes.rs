//! Solids, obstacles and meshes that come out of the dice.

use super::super::forms::Form;
use super::dice::Dice;
use super::plate::Plate;
use super::target::{Place, Target, turned};
use glam::{DQuat, DVec2, DVec3};
use pipeloft_core::geom::{Barrel, Block, Drum, Elbow, Frame, Frustum, Solid};
use pipeloft_core::model::obstacle::{Hole, Pose, Shape};

/// A direction at right angles to `travel`.
fn across(dice: &mut Dice, travel: DVec3) -> DVec3 {
    loop {
        let way = dice.direction();
        if let Some(across) = (way - travel * way.dot(travel)).try_normalize() {
            return across;
        }
    }
}

fn frame(dice: &mut Dice, reach: f64) -> Frame {
    let (origin, travel) = (dice.point(reach), dice.direction());
    Frame { origin, travel, index: across(dice, travel) }
}

/// The frame turned about `axis` through its origin.
fn turned_about(frame: &Frame, axis: DVec3, angle_rad: f64) -> Frame {
    let turn = DQuat::from_axis_angle(axis, angle_rad);
    Frame { origin: frame.origin, travel: turn * frame.travel, index: turn * frame.index }
}

/// A solid of one of five kinds.
pub(crate) fn solid(dice: &mut Dice, kind: usize, reach: f64) -> Solid {
    let start = frame(dice, reach);
    let radius_mm = dice.between(10.0, 45.0);
    match kind % 5 {
        0 => {
            let mut lean = || {
                let axis = across(dice, start.travel);
                turned_about(&start, axis, dice.between(0.0, 0.55)).travel
            };
            let (start_normal, end_normal) = (lean(), lean());
            // long enough for the faces not to cross: 2 r tan 0.55
            let length_mm = radius_mm * dice.between(1.25, 6.0);
            Solid::Barrel(Barrel { start, length_mm, radius_mm, start_normal, end_normal })
        }
        1 => Solid::Elbow(Elbow {
            start,
            toward: across(dice, start.travel),
            clr_mm: radius_mm * dice.between(1.1, 3.5),
            angle_rad: dice.between(0.2, 3.0),
            radius_mm,
        }),
        2 => Solid::Drum(Drum { start, length_mm: dice.between(5.0, 120.0), radius_mm }),
        3 => Solid::Frustum(Frustum {
            start,
            length_mm: dice.between(5.0, 150.0),
            start_radius_mm: radius_mm,
            end_radius_mm: dice.between(5.0, 60.0),
            shift: across(dice, start.travel) * dice.between(0.0, 40.0),
        }),
        _ => Solid::Block(Block {
            centre: start.origin,
            axes: [start.travel, start.index, start.travel.cross(start.index)],
            half_mm: DVec3::new(dice.between(2.0, 60.0), dice.between(2.0, 60.0), dice.between(2.0, 60.0)),
        }),
    }
}

/// A pipe of mitred tubes, smooth bends, and joints with a lug, end to end.
pub(crate) fn chain(dice: &mut Dice, reach: f64) -> Vec<Solid> {
    let mut at = frame(dice, reach);
    let radius_mm = dice.between(15.0, 35.0);
    let mut solids = Vec::new();
    let mut start_normal = at.travel;
    for leg in 0..3 {
        // the tube ends at a mitre, or square where a bend follows
        let (axis, half_rad) = (across(dice, at.travel), dice.between(0.05, 0.35));
        let mitred = (leg + dice.below(2)).is_multiple_of(2);
        let end_normal = if mitred { turned_about(&at, axis, half_rad).travel } else { at.travel };
        let length_mm = radius_mm * dice.between(1.0, 3.0);
        solids.push(Solid::Barrel(Barrel { start: at, length_mm, radius_mm, start_normal, end_normal }));
        at.origin += at.travel * length_mm;
        if mitred {
            at = turned_about(&at, axis, 2.0 * half_rad);
            start_normal = end_normal;
            continue;
        }
        let (toward, angle_rad) = (axis.cross(at.travel), dice.between(0.3, 1.6));
        let clr_mm = radius_mm * dice.between(1.5, 3.0);
        solids.push(Solid::Elbow(Elbow { start: at, toward, clr_mm, angle_rad, radius_mm }));
        let centre = at.origin + toward * clr_mm;
        // from the travel to the bend centre
        let turn = DQuat::from_axis_angle(at.travel.cross(toward), angle_rad);
        let origin = centre + turn * (at.origin - centre);
        at = Frame { origin, travel: turn * at.travel, index: turn * at.index };
        let (length_mm, wide_mm) = (dice.between(20.0, 50.0), radius_mm + 6.0);
        solids.push(Solid::Drum(Drum { start: at, length_mm, radius_mm: wide_mm }));
        let out = across(dice, at.travel);
        solids.push(Solid::Block(Block {
            centre: at.origin + at.travel * (length_mm / 2.0) + out * (wide_mm + 8.0),
            axes: [at.travel, out, at.travel.cross(out)],
            half_mm: DVec3::new(dice.between(6.0, 14.0), 10.0, dice.between(6.0, 14.0)),
        }));
        at.origin += at.travel * length_mm;
        start_normal = at.travel;
    }
    solids
}

/// An obstacle of one of seven kinds, the last two panels with holes, at `pose`; and the same to sample.
pub(crate) fn obstacle(dice: &mut Dice, kind: usize, pose: &Pose) -> (Shape, Target) {
    let place = Place { turn: turned(pose.turn_deg), at: pose.position_mm };
    let long = place.turn * DVec3::Z;
    let (wide_mm, length_mm) = (dice.between(4.0, 120.0), dice.between(4.0, 200.0));
    let size_mm = DVec3::new(dice.between(4.0, 150.0), dice.between(4.0, 150.0), dice.between(4.0, 150.0));
    match kind % 7 {
        0 => (Shape::Box { size_mm }, Target::Box(place, size_mm / 2.0)),
        1 => {
            let shape = Shape::Cylinder { diameter_mm: wide_mm, length_mm };
            (shape, Target::Bar(place, wide_mm / 2.0, length_mm / 2.0))
        }
        2 => {
            let ends = [place.at - long * (length_mm / 2.0), place.at + long * (length_mm / 2.0)];
            (Shape::Capsule { diameter_mm: wide_mm, length_mm }, Target::Hose(ends, wide_mm / 2.0))
        }
        3 => (Shape::Sphere { diameter_mm: wide_mm }, Target::Hose([place.at; 2], wide_mm / 2.0)),
        4 => (Shape::HalfSpace, Target::HalfSpace([place.at, long])),
        _ => {
            let (width_mm, height_mm) = (dice.between(150.0, 320.0), dice.between(150.0, 320.0));
            let thickness_mm = dice.between(1.0, 12.0);
            // up to three, which may cross each other and the edges
            let holes: Vec<Hole> = (0..=dice.below(3))
                .map(|_| Hole {
                    x_mm: dice.between(-0.5, 0.5) * width_mm,
                    y_mm: dice.between(-0.5, 0.5) * height_mm,
                    diameter_mm: dice.between(10.0, 150.0),
                })
                .collect();
            let discs = holes.iter().map(|h| (DVec2::new(h.x_mm, h.y_mm), h.diameter_mm / 2.0)).collect();
            let plate = Plate::new(DVec3::new(width_mm, height_mm, thickness_mm), discs);
            (Shape::Panel { width_mm, height_mm, thickness_mm, holes }, Target::Plate(place, plate))
        }
    }
}

/// An uneven sheet of `cells` × `cells` squares over [−150, 150]², each of two triangles.
pub(crate) fn sheet(dice: &mut Dice, cells: u32) -> Form {
    let (wave, high) = (dice.between(0.01, 0.05), dice.between(0.0, 30.0));
    let along = |i: u32| 300.0 * f64::from(i) / f64::from(cells) - 150.0;
    let mut points = Vec::new();
    for j in 0..=cells {
        for i in 0..=cells {
            let (x, y) = (along(i), along(j));
            points.push(DVec3::new(x, y, high * (wave * x).sin() * (wave * y).cos()));
        }
    }
    let at = |i: u32, j: u32| j * (cells + 1) + i;
    let mut triangles = Vec::new();
    for j in 0..cells {
        for i in 0..cells {
            triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    Form { points, triangles }
}

/// Triangles of any form, loose in a cube.
pub(crate) fn shards(dice: &mut Dice, count: u32) -> Form {
    let mut points = Vec::new();
    for _ in 0..count {
        let middle = dice.point(150.0);
        points.extend([0; 3].map(|_| middle + dice.point(40.0)));
    }
    Form { points, triangles: (0..count).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect() }
}

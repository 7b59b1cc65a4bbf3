//! Tests of the gaps over all positions: closed forms, and dense sampling of positions with the gaps at rest.

mod bounds;
mod closed_forms;
mod odd_input;
mod sampled;

use super::search::StandSearch;
use super::*;
use crate::geom::{Block, Drum, Elbow, Frame};
use crate::model::obstacle::{Hole, Pose, Shape};
use crate::model::{Movement, Roll};
use crate::space::scan::PlacedScan;
use crate::space::tests::Dice;
use crate::space::{gap_between, gap_to_shape};
use glam::{DQuat, EulerRot};

fn shifts(x: f64, y: f64, z: f64) -> Movement {
    Movement { shift_mm: DVec3::new(x, y, z), roll: None }
}

fn rolls(through_mm: DVec3, axis: DVec3, turn_deg: f64) -> Movement {
    Movement { shift_mm: DVec3::ZERO, roll: Some(Roll { through_mm, axis, turn_deg }) }
}

fn against_still(own: &Movement) -> Motion {
    Motion::between(own, &Movement::default()).unwrap()
}

fn block(centre: DVec3, half_mm: DVec3) -> Solid {
    Solid::Block(Block { centre, axes: DVec3::AXES, half_mm })
}

/// A bar of round section from a point along a direction.
fn bar(from: DVec3, along: DVec3, length_mm: f64, radius_mm: f64) -> Solid {
    let start = Frame::new(from, along.try_normalize().unwrap(), DVec3::Z);
    Solid::Drum(Drum { start, length_mm, radius_mm })
}

fn shape(shape: &Shape, position_mm: DVec3) -> PlacedShape {
    PlacedShape::new(shape, &Pose::at(position_mm))
}

/// A pose moved on.
fn moved_pose(pose: &Pose, (rotation, translation): (DQuat, DVec3)) -> Pose {
    let (z, y, x) = (rotation * pose.rotation()).to_euler(EulerRot::ZYX);
    Pose {
        position_mm: rotation * pose.position_mm + translation,
        turn_deg: DVec3::new(x.to_degrees(), y.to_degrees(), z.to_degrees()),
    }
}

/// Where a movement puts a body: the shares of what is possible, −1 to 1, of X, Y, Z and the roll.
fn put(movement: &Movement, shares: [f64; 4]) -> (DQuat, DVec3) {
    let shift = movement.shift_mm * DVec3::new(shares[0], shares[1], shares[2]);
    let Some(roll) = movement.roll else { return (DQuat::IDENTITY, shift) };
    let axis = roll.axis.try_normalize().unwrap();
    let rotation = DQuat::from_axis_angle(axis, (roll.turn_deg * shares[3]).to_radians());
    (rotation, roll.through_mm + rotation * -roll.through_mm + shift)
}

/// Whether a place is within what the movement allows.
fn is_allowed(movement: &Movement, at: &Moved) -> bool {
    let most_rad = movement.roll.map_or(0.0, |roll| roll.turn_deg.to_radians());
    let shift_fits = (at.shift_mm.abs() - movement.shift_mm).max_element() <= 1e-9;
    shift_fits && at.roll_rad.abs() <= most_rad + 1e-12
}

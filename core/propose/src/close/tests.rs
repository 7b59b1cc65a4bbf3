//! Vectors of the prototype, chains built beforehand, and gaps that cannot close.

mod built;
mod project;
mod vectors;

use super::gap::Gap;
use super::solve::Dice;
use glam::{DQuat, DVec3};
use pipeloft_core::fab::Piece;
use pipeloft_core::geom::Frame;
use pipeloft_core::model::{Material, ReadySlice, Tube, TubeId};

/// Tube of 63.5 mm with an open face at zero along +X, index line up, and a face at `end` to be met along `arrival`.
fn gap(end: DVec3, arrival: DVec3, slices: Vec<ReadySlice>) -> Gap {
    Gap {
        from: Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z),
        to: Frame::new(end, arrival.try_normalize().unwrap(), DVec3::Z),
        joint: None,
        tube: Tube {
            id: TubeId(1),
            material: Material::Stainless304,
            od_mm: 63.5,
            wall_mm: 1.65,
            stick_mm: 3000.0,
            sticks_on_hand: 1,
            offcuts: Vec::new(),
            slices,
            stick_price: None,
        },
        least_mm: 6.0,
        most_saw_rad: 45_f64.to_radians(),
        saw_step_rad: 0.25_f64.to_radians(),
        clr_mm: 95.25,
        letters: "A".to_owned(),
        next_mark: 4,
    }
}

/// Where pieces of tube end, by quaternions alone: place, direction, index line. At each face the travel turns away from
/// the heel by the tilt; nothing of the program's own laying is used.
fn laid(from: &Frame, pieces: &[Piece]) -> (DVec3, DVec3) {
    let (mut at, mut travel, mut index) = (from.origin, from.travel, from.index);
    for p in pieces {
        for (cut, go_mm) in [(p.start, p.centre_mm), (p.end, 0.0)] {
            if let Some(heel) = cut.heel_clock_rad {
                let toward = DQuat::from_axis_angle(travel, heel) * index;
                let turn = DQuat::from_axis_angle(toward.cross(travel), cut.tilt_rad);
                (travel, index) = (turn * travel, turn * index);
            }
            at += travel * go_mm;
        }
    }
    (at, travel)
}

/// Distance, mm, and angle, degrees, between where pieces end and where the gap ends, by [`laid`].
fn missed(gap: &Gap, pieces: &[Piece]) -> (f64, f64) {
    let (at, travel) = laid(&gap.from, pieces);
    let cosine = travel.dot(gap.to.travel);
    let sine = travel.cross(gap.to.travel).length();
    (at.distance(gap.to.origin), sine.atan2(cosine).to_degrees())
}

fn ready(saw_deg: f64, centre_mm: f64) -> ReadySlice {
    ReadySlice { saw_deg, throat_mm: centre_mm - 63.5 * saw_deg.to_radians().tan(), count: 9 }
}

/// A direction within `most_deg` of +X.
fn near_x(dice: &mut Dice, most_deg: f64) -> DVec3 {
    let (lean, clock) = (dice.between(0.0, most_deg).to_radians(), dice.between(-3.1, 3.1));
    DVec3::new(lean.cos(), lean.sin() * clock.cos(), lean.sin() * clock.sin())
}

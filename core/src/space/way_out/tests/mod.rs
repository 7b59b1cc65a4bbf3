//! Ways out of scenes whose answer is known, and found ways against dense sampling.

mod dense;
mod faces;
mod odd_input;
mod scans;
mod scenes;

use super::*;
use crate::geom::{Barrel, Block, Drum, Elbow, Frame};
use crate::model::obstacle::{Hole, Pose, Shape};

/// A square-ended tube from one point to another.
fn tube(from: DVec3, to: DVec3, radius_mm: f64) -> Solid {
    let travel = (to - from).try_normalize().unwrap();
    Solid::Barrel(Barrel {
        start: Frame::new(from, travel, DVec3::Z),
        length_mm: from.distance(to),
        radius_mm,
        start_normal: travel,
        end_normal: travel,
    })
}

fn disc(from: DVec3, travel: DVec3, length_mm: f64, radius_mm: f64) -> Solid {
    Solid::Drum(Drum { start: Frame::new(from, travel, DVec3::Z), length_mm, radius_mm })
}

fn bend(from: DVec3, travel: DVec3, toward: DVec3, sizes: (f64, f64, f64)) -> Solid {
    let (clr_mm, radius_mm, angle_rad) = sizes;
    Solid::Elbow(Elbow { start: Frame::new(from, travel, DVec3::Z), toward, clr_mm, angle_rad, radius_mm })
}

/// The box between two corners.
fn block(low: [f64; 3], high: [f64; 3]) -> PlacedShape {
    let (low, high) = (DVec3::from(low), DVec3::from(high));
    PlacedShape::new(&Shape::Box { size_mm: high - low }, &Pose::at(low.midpoint(high)))
}

fn floor(z_mm: f64) -> PlacedShape {
    PlacedShape::new(&Shape::HalfSpace, &Pose::at(DVec3::Z * z_mm))
}

fn at(x: f64, y: f64, z: f64) -> DVec3 {
    DVec3::new(x, y, z)
}

/// A scene that owns what its task borrows.
#[derive(Default)]
struct Yard {
    section: Vec<Solid>,
    mates: Vec<Mate>,
    fixed: Vec<Solid>,
    shapes: Vec<PlacedShape>,
    need_mm: f64,
}

impl Yard {
    fn task(&self) -> Task<'_> {
        Task {
            section: &self.section,
            mates: &self.mates,
            fixed: &self.fixed,
            shapes: &self.shapes,
            need_mm: self.need_mm,
            far_mm: 600.0,
            most_poses: USUAL_POSES,
        }
    }

    fn outcome(&self) -> Outcome {
        find_way_out(&self.task(), &mut |_| true)
    }

    fn pull(&self) -> Pull {
        match self.outcome().answer {
            Answer::Pull(pull) => pull,
            other => panic!("no straight pull: {other:?}"),
        }
    }
}

/// The L of the own vectors, section 6 of the algorithm notes: between two fixed tubes, need 0.5.
fn ell() -> Yard {
    let (clr, r) = (95.25, 31.75);
    Yard {
        section: vec![
            tube(DVec3::ZERO, at(150.0 - clr, 0.0, 0.0), r),
            bend(at(150.0 - clr, 0.0, 0.0), DVec3::X, DVec3::Y, (clr, r, std::f64::consts::FRAC_PI_2)),
            tube(at(150.0, clr, 0.0), at(150.0, 200.0, 0.0), r),
        ],
        mates: vec![Mate::flat(DVec3::ZERO, DVec3::X, r), Mate::flat(at(150.0, 200.0, 0.0), -DVec3::Y, r)],
        fixed: vec![
            tube(at(-200.0, 0.0, 0.0), DVec3::ZERO, r),
            tube(at(150.0, 200.0, 0.0), at(150.0, 400.0, 0.0), r),
        ],
        shapes: Vec::new(),
        need_mm: 0.5,
    }
}

/// The straight in the channel of the own vectors: a lip over its tail, a wall before its nose.
fn channel() -> Yard {
    let r = 31.75;
    Yard {
        section: vec![tube(DVec3::ZERO, at(300.0, 0.0, 0.0), r)],
        mates: vec![Mate::flat(DVec3::ZERO, DVec3::X, r)],
        fixed: vec![tube(at(-200.0, 0.0, 0.0), DVec3::ZERO, r)],
        shapes: vec![
            floor(-45.0),
            block([-50.0, -60.0, -45.0], [400.0, -45.0, 60.0]),
            block([-50.0, 45.0, -45.0], [400.0, 60.0, 60.0]),
            block([-50.0, -60.0, 45.0], [60.0, 60.0, 60.0]),
            block([340.0, -60.0, -45.0], [360.0, 60.0, 60.0]),
        ],
        need_mm: 0.5,
    }
}

/// A stub with flanges between two fixed flanges, own vector.
fn stub() -> Yard {
    Yard {
        section: vec![
            disc(DVec3::ZERO, DVec3::X, 10.0, 45.0),
            tube(at(10.0, 0.0, 0.0), at(110.0, 0.0, 0.0), 31.75),
            disc(at(110.0, 0.0, 0.0), DVec3::X, 10.0, 45.0),
        ],
        mates: vec![
            Mate::flat(DVec3::ZERO, DVec3::X, 45.0),
            Mate::flat(at(120.0, 0.0, 0.0), -DVec3::X, 45.0),
        ],
        fixed: vec![
            disc(at(-10.0, 0.0, 0.0), DVec3::X, 10.0, 45.0),
            disc(at(120.0, 0.0, 0.0), DVec3::X, 10.0, 45.0),
        ],
        shapes: Vec::new(),
        need_mm: 0.5,
    }
}

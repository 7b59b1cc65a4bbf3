//! Tests of the gaps, against closed forms and against dense sampling that shares no code with the search.

mod closed_forms;
mod odd_input;
mod panels;
mod sampled;
pub(in crate::space) mod sampling;

use super::*;
use crate::geom::{Barrel, Block, Drum, Elbow, Frame, Frustum, Solid};
use crate::model::obstacle::{Pose, Shape};
use glam::DVec3;
use std::f64::consts::TAU;

/// Numbers that are the same on every run: Knuth's MMIX congruential generator, high bits.
pub(super) struct Dice(u64);

impl Dice {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(2_862_933_555_777_941_757).wrapping_add(3_037_000_493))
    }

    /// A number in [least, most).
    pub(super) fn between(&mut self, least: f64, most: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        least + (most - least) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }

    pub(super) fn point(&mut self, reach: f64) -> DVec3 {
        let mut along = || self.between(-reach, reach);
        DVec3::new(along(), along(), along())
    }

    pub(super) fn direction(&mut self) -> DVec3 {
        loop {
            let p = self.point(1.0);
            if (0.1..1.0).contains(&p.length()) {
                return p.try_normalize().unwrap();
            }
        }
    }

    pub(super) fn frame(&mut self, reach: f64) -> Frame {
        Frame::new(self.point(reach), self.direction(), self.direction())
    }

    pub(super) fn pose(&mut self, reach: f64) -> Pose {
        Pose { position_mm: self.point(reach), turn_deg: self.point(180.0) }
    }

    /// A tube with both faces leaning up to 30°, each its own way.
    pub(super) fn barrel(&mut self, reach: f64) -> Barrel {
        let start = self.frame(reach);
        let mut normal = || {
            let lean = self.between(0.0, 30.0_f64.to_radians());
            start.tilted(self.between(0.0, TAU), lean).travel
        };
        let (start_normal, end_normal) = (normal(), normal());
        let radius_mm = self.between(10.0, 45.0);
        // long enough for the faces not to cross: 2 r tan 30°
        let length_mm = radius_mm * self.between(1.2, 6.0);
        Barrel { start, length_mm, radius_mm, start_normal, end_normal }
    }

    pub(super) fn elbow(&mut self, reach: f64) -> Elbow {
        let start = self.frame(reach);
        let radius_mm = self.between(10.0, 45.0);
        Elbow {
            start,
            toward: start.at_clock(self.between(0.0, TAU)),
            clr_mm: radius_mm * self.between(1.1, 3.5),
            angle_rad: self.between(0.2, 3.0),
            radius_mm,
        }
    }

    pub(super) fn drum(&mut self, reach: f64) -> Drum {
        let (start, radius_mm) = (self.frame(reach), self.between(10.0, 50.0));
        Drum { start, length_mm: self.between(5.0, 120.0), radius_mm }
    }

    pub(super) fn frustum(&mut self, reach: f64) -> Frustum {
        let start = self.frame(reach);
        Frustum {
            start,
            length_mm: self.between(5.0, 150.0),
            start_radius_mm: self.between(5.0, 60.0),
            end_radius_mm: self.between(5.0, 60.0),
            shift: start.at_clock(self.between(0.0, TAU)) * self.between(0.0, 40.0),
        }
    }

    pub(super) fn block(&mut self, reach: f64) -> Block {
        let frame = self.frame(reach);
        let axes = [frame.travel, frame.index, frame.travel.cross(frame.index)];
        let half_mm = DVec3::new(self.between(2.0, 60.0), self.between(2.0, 60.0), self.between(2.0, 60.0));
        Block { centre: frame.origin, axes, half_mm }
    }

    pub(super) fn solid(&mut self, kind: usize, reach: f64) -> Solid {
        match kind % 5 {
            0 => Solid::Barrel(self.barrel(reach)),
            1 => Solid::Elbow(self.elbow(reach)),
            2 => Solid::Drum(self.drum(reach)),
            3 => Solid::Frustum(self.frustum(reach)),
            _ => Solid::Block(self.block(reach)),
        }
    }

    /// A box, cylinder, hose, ball or half space.
    pub(super) fn shape(&mut self, kind: usize) -> Shape {
        match kind % 5 {
            0 => Shape::Box { size_mm: self.point(75.0).abs() + DVec3::ONE },
            1 => {
                Shape::Cylinder { diameter_mm: self.between(2.0, 120.0), length_mm: self.between(2.0, 200.0) }
            }
            2 => Shape::Capsule { diameter_mm: self.between(2.0, 60.0), length_mm: self.between(2.0, 200.0) },
            3 => Shape::Sphere { diameter_mm: self.between(2.0, 120.0) },
            _ => Shape::HalfSpace,
        }
    }
}

/// A tube along X from the origin, 12 o'clock up, with square ends.
fn tube_along_x(length_mm: f64, radius_mm: f64) -> Barrel {
    Barrel {
        start: Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z),
        length_mm,
        radius_mm,
        start_normal: DVec3::X,
        end_normal: DVec3::X,
    }
}

fn placed(shape: &Shape, position_mm: DVec3) -> PlacedShape {
    PlacedShape::new(shape, &Pose::at(position_mm))
}

fn to_shape(solid: impl Into<Solid>, shape: &PlacedShape) -> Gap {
    gap_to_shape(&solid.into(), shape, f64::INFINITY).unwrap()
}

impl From<Barrel> for Solid {
    fn from(barrel: Barrel) -> Self {
        Self::Barrel(barrel)
    }
}

impl From<Elbow> for Solid {
    fn from(elbow: Elbow) -> Self {
        Self::Elbow(elbow)
    }
}

//! Hardpoints: the places a run starts from and must end at, and the bodies they belong to.

use super::id::{BodyId, HardpointId, JointId};
use super::movement::Movement;
use super::seat::Seat;
use crate::geom::Frame;
use crate::geom::vector::unit;
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// A body: things that stay together (chassis, engine). The first body is what stands still.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Body {
    /// Stable id.
    pub id: BodyId,
    /// Name, free.
    pub name: String,
    /// How far it moves against the first body.
    #[serde(default, skip_serializing_if = "Movement::is_still")]
    pub movement: Movement,
}

/// How the tube is fixed to the part at a hardpoint.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Attachment {
    /// Welded straight to the part: one butt weld.
    Welded,
    /// Through a joint; its lobe stands at a clock angle of the run's index line there.
    Joint {
        /// Which kind of joint.
        joint: JointId,
        /// Clock angle of the lobe, degrees.
        lobe_clock_deg: f64,
    },
    /// Only passes through or ends there: no weld, no joint.
    Loose,
}

/// A port: a place in space where tube meets a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hardpoint {
    /// Stable id.
    pub id: HardpointId,
    /// Name, free.
    pub name: String,
    /// The body it sits on.
    pub body: BodyId,
    /// Centre of the face, mm.
    pub position_mm: DVec3,
    /// Direction out of the part into the run; need not be of length one.
    pub direction: DVec3,
    /// Direction of 12 o'clock, where the index line starts; need not be exact or of length one.
    pub clock: DVec3,
    /// Outside diameter of the tube that fits it, mm.
    pub od_mm: f64,
    /// How the tube is fixed there.
    pub attachment: Attachment,
    /// What pipe it sits on, where it sits on one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seat: Option<Seat>,
    /// Not drawn, not picked.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hidden: bool,
}

impl Hardpoint {
    /// Whether what comes to it is welded there: always so where it sits on a pipe or in a merge without a joint.
    pub fn is_welded(&self) -> bool {
        match self.attachment {
            Attachment::Welded => true,
            Attachment::Loose => self.seat.is_some(),
            Attachment::Joint { .. } => false,
        }
    }

    /// Frame at the face, travelling out of the part. `None` where the direction is zero or not a number.
    pub fn outward(&self) -> Option<Frame> {
        Some(Frame::new(self.position_mm, unit(self.direction)?, self.clock))
    }
}

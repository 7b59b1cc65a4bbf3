//! Obstacles: the shapes a run has to keep clear of.

use super::id::{BodyId, ObstacleId};
use super::scan::ScanFile;
use glam::{DQuat, DVec3, EulerRot};
use serde::{Deserialize, Serialize};

/// Where a shape's own origin lies and how it is turned.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pose {
    /// Position of the shape's own origin, mm.
    pub position_mm: DVec3,
    /// Turns about X, then Y, then Z of the vehicle, degrees (roll, pitch, yaw).
    pub turn_deg: DVec3,
}

impl Pose {
    /// A pose without turns.
    pub fn at(position_mm: DVec3) -> Self {
        Self { position_mm, turn_deg: DVec3::ZERO }
    }

    /// The rotation from the shape's own axes to the vehicle's.
    pub fn rotation(&self) -> DQuat {
        let t = self.turn_deg;
        DQuat::from_euler(EulerRot::ZYX, t.z.to_radians(), t.y.to_radians(), t.x.to_radians())
    }

    /// A point in the shape's own axes, in the vehicle's.
    pub fn world_from_own(&self, point: DVec3) -> DVec3 {
        self.position_mm + self.rotation() * point
    }

    /// A point in the vehicle's axes, in the shape's own.
    pub fn own_from_world(&self, point: DVec3) -> DVec3 {
        self.rotation().inverse() * (point - self.position_mm)
    }

    /// The pose of the given rotation. Where the turn about Y is a quarter, those about X and Z are not told apart:
    /// any two that make the rotation are given.
    pub fn of_rotation(position_mm: DVec3, rotation: DQuat) -> Self {
        let (z, y, x) = rotation.to_euler(EulerRot::ZYX);
        Self { position_mm, turn_deg: DVec3::new(x.to_degrees(), y.to_degrees(), z.to_degrees()) }
    }
}

/// A round hole through a panel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hole {
    /// Centre from the panel's centre along its own X, mm.
    pub x_mm: f64,
    /// Centre from the panel's centre along its own Y, mm.
    pub y_mm: f64,
    /// Diameter, mm.
    pub diameter_mm: f64,
}

/// A shape in its own axes, centred on its own origin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Shape {
    /// A box with the given edge lengths.
    Box {
        /// Edge lengths along X, Y, Z, mm.
        size_mm: DVec3,
    },
    /// A round bar along its own Z with flat ends.
    Cylinder {
        /// Diameter, mm.
        diameter_mm: f64,
        /// Length along Z, mm.
        length_mm: f64,
    },
    /// A round bar along its own Z with ball ends: hoses, looms, lines.
    Capsule {
        /// Diameter, mm.
        diameter_mm: f64,
        /// Length along Z between the ball centres, mm.
        length_mm: f64,
    },
    /// A ball.
    Sphere {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// A flat plate in its own XY plane, with round holes through it.
    Panel {
        /// Width along X, mm.
        width_mm: f64,
        /// Height along Y, mm.
        height_mm: f64,
        /// Thickness along Z, mm, half to either side of the origin.
        thickness_mm: f64,
        /// Round holes through it.
        #[serde(default)]
        holes: Vec<Hole>,
    },
    /// All that lies on the far side of its own XY plane (Z < 0): ground, a firewall, a wall.
    HalfSpace,
    /// A mesh of triangles from a file. It is a surface and has no inside.
    Scan(ScanFile),
}

impl Shape {
    /// The word the trade uses for the kind of shape.
    pub fn kind_name(&self) -> &'static str {
        match self {
            Self::Box { .. } => "Box",
            Self::Cylinder { .. } => "Cylinder",
            Self::Capsule { .. } => "Capsule",
            Self::Sphere { .. } => "Ball",
            Self::Panel { .. } => "Panel",
            Self::HalfSpace => "Half space",
            Self::Scan(_) => "Scan",
        }
    }

    /// The scan it is, if it is one.
    pub fn as_scan(&self) -> Option<&ScanFile> {
        match self {
            Self::Scan(scan) => Some(scan),
            Self::Box { .. }
            | Self::Cylinder { .. }
            | Self::Capsule { .. }
            | Self::Sphere { .. }
            | Self::Panel { .. }
            | Self::HalfSpace => None,
        }
    }

    /// Radius of a ball about the shape's origin that holds it, mm; infinite for a half space.
    pub fn reach_mm(&self) -> f64 {
        match self {
            Self::Box { size_mm } => size_mm.length() / 2.0,
            Self::Cylinder { diameter_mm, length_mm } => diameter_mm.hypot(*length_mm) / 2.0,
            Self::Capsule { diameter_mm, length_mm } => (diameter_mm + length_mm) / 2.0,
            Self::Sphere { diameter_mm } => diameter_mm / 2.0,
            Self::Panel { width_mm, height_mm, thickness_mm, .. } => {
                DVec3::new(*width_mm, *height_mm, *thickness_mm).length() / 2.0
            }
            Self::HalfSpace => f64::INFINITY,
            Self::Scan(scan) => scan.low_mm.abs().max(scan.high_mm.abs()).length(),
        }
    }
}

/// Something in the way.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Obstacle {
    /// Stable id.
    pub id: ObstacleId,
    /// Name, free.
    pub name: String,
    /// The body it belongs to.
    pub body: BodyId,
    /// Its shape.
    pub shape: Shape,
    /// Where it is.
    pub pose: Pose,
    /// Gap a run must keep, mm.
    pub gap_mm: f64,
    /// Whether heat harms it: fuel, brake and coolant lines, looms, bodywork.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub heat_sensitive: bool,
    /// Gap a hot pipe must keep to it where heat harms it, mm; that of the settings where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hot_gap_mm: Option<f64>,
    /// Not drawn, not picked; clearance still counts it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hidden: bool,
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn turns_are_taken_about_the_vehicle_axes_in_the_order_x_y_z() {
        let pose = Pose { position_mm: DVec3::new(1.0, 2.0, 3.0), turn_deg: DVec3::new(90.0, 0.0, 90.0) };
        // Z goes to −Y by the turn about X, then to +X by the turn about Z
        let tip = pose.world_from_own(DVec3::Z);
        assert_relative_eq!(tip, DVec3::new(2.0, 2.0, 3.0), epsilon = 1e-12);
        assert_relative_eq!(pose.own_from_world(tip), DVec3::Z, epsilon = 1e-12);
    }

    #[test]
    fn a_pose_of_a_rotation_turns_as_that_does_upright_on_its_nose_and_upside_down() {
        for turn_deg in [
            DVec3::new(17.0, -33.0, 121.0),
            DVec3::new(90.0, 0.0, 90.0),
            DVec3::new(20.0, 90.0, 5.0),
            DVec3::new(-160.0, -90.0, 75.0),
            DVec3::new(180.0, 0.0, -45.0),
        ] {
            let pose = Pose { position_mm: DVec3::X, turn_deg };
            let again = Pose::of_rotation(DVec3::X, pose.rotation());
            for axis in DVec3::AXES {
                assert_relative_eq!(again.rotation() * axis, pose.rotation() * axis, epsilon = 1e-7);
            }
        }
    }
}

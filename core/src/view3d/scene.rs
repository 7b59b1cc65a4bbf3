//! What is to be drawn, as plain data.

use crate::geom::{Frame, Solid};
use crate::model::{Item, Material, Pose, Shape};
use crate::space::scan::PlacedScan;
use glam::DVec3;

/// What a part looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tint {
    /// Tube or elbow: brushed metal of this kind.
    Metal(Material),
    /// Weld seam.
    Weld,
    /// Body of a joint.
    Joint,
    /// Nut, lever or lock of a joint.
    Lobe,
    /// An obstacle that bears heat.
    Obstacle,
    /// An obstacle that heat harms.
    HeatSensitive,
    /// A hardpoint's arrow and ring.
    Hardpoint,
    /// A run that cannot be built as drawn.
    Broken,
}

/// How a part stands out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Glow {
    /// Not at all.
    #[default]
    None,
    /// Under the pointer.
    Hover,
    /// Selected.
    Selected,
    /// Too close to something, or through it.
    TooClose,
}

/// Tint and glow together: all that decides how a surface is shaded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Shade {
    /// What it is.
    pub tint: Tint,
    /// How it stands out.
    pub glow: Glow,
}

/// One thing to draw.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// A solid of a built pipe.
    Solid(Solid, Shade),
    /// An obstacle.
    Shape(Shape, Pose, Shade),
    /// A scan that has been read. The same tree at another place needs no new triangles.
    Scan(PlacedScan, Shade),
    /// A weld bead round a tube: the plane through `frame.origin` with the unit `normal` cuts the tube of
    /// radius `radius_mm` about the frame's axis along it.
    Seam {
        /// Point and direction of the tube's axis.
        frame: Frame,
        /// Normal of the joint's plane.
        normal: DVec3,
        /// Outside radius of the tube, mm.
        radius_mm: f64,
        /// How it looks.
        shade: Shade,
    },
    /// A hardpoint: a ring round its mouth and an arrow out of it, with a small tick at 12 o'clock.
    Port {
        /// The face, travelling out of the part.
        frame: Frame,
        /// Outside radius of the tube that fits, mm.
        radius_mm: f64,
        /// How it looks.
        shade: Shade,
    },
    /// A plain round rod of radius `radius_mm` from one point to another: the leg of a run that cannot be
    /// built as drawn.
    Rod {
        /// From, mm.
        from: DVec3,
        /// To, mm.
        to: DVec3,
        /// Radius, mm.
        radius_mm: f64,
        /// How it looks.
        shade: Shade,
    },
}

impl Part {
    /// How the part looks.
    pub fn shade(&self) -> Shade {
        match self {
            Self::Solid(_, shade)
            | Self::Shape(_, _, shade)
            | Self::Scan(_, shade)
            | Self::Seam { shade, .. }
            | Self::Port { shade, .. }
            | Self::Rod { shade, .. } => *shade,
        }
    }

    /// The same part with another look.
    #[must_use]
    pub fn with_shade(&self, to: Shade) -> Self {
        let mut part = self.clone();
        match &mut part {
            Self::Solid(_, shade)
            | Self::Shape(_, _, shade)
            | Self::Scan(_, shade)
            | Self::Seam { shade, .. }
            | Self::Port { shade, .. }
            | Self::Rod { shade, .. } => *shade = to,
        }
        part
    }
}

/// All parts of one item; meshes are kept as long as this stays equal.
#[derive(Debug, Clone, PartialEq)]
pub struct SceneItem {
    /// Whose parts they are.
    pub item: Item,
    /// The parts.
    pub parts: Vec<Part>,
}

/// All that is drawn in the 3D view.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scene {
    /// Visible items.
    pub items: Vec<SceneItem>,
    /// Smallest corner of all that is visible, without half spaces, mm.
    pub low: DVec3,
    /// Largest corner, mm.
    pub high: DVec3,
}

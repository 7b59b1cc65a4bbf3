//! A run: a polyline from a hardpoint, round its bends, to where it has to go.

use super::id::{ElbowId, FittingId, HardpointId, JointId, RunId, TubeId, WaypointId};
use super::key::WeldKey;
use super::part::Part;
use super::taper::Taper;
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// What a run carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the trade's own names")]
pub enum Service {
    ChargeAir,
    Exhaust,
    WastegateDump,
    BlowOff,
    Intake,
    Other,
}

impl Service {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 6] =
        [Self::ChargeAir, Self::Exhaust, Self::WastegateDump, Self::BlowOff, Self::Intake, Self::Other];

    /// Name as the trade says it.
    pub fn name(self) -> &'static str {
        match self {
            Self::ChargeAir => "Charge air",
            Self::Exhaust => "Exhaust",
            Self::WastegateDump => "Wastegate dump",
            Self::BlowOff => "Blow-off",
            Self::Intake => "Intake",
            Self::Other => "Other",
        }
    }

    /// Whether the outside of the pipe gets hot enough to burn, melt or set alight.
    pub fn is_hot(self) -> bool {
        matches!(self, Self::Exhaust | Self::WastegateDump)
    }

    /// Whether the pipe holds pressure that pushes its joints apart.
    pub fn is_pressurised(self) -> bool {
        matches!(self, Self::ChargeAir | Self::BlowOff)
    }
}

/// How the ends of a mitred bend are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Ends {
    /// The end half-slices are part of the straights, whose ends are cut at the saw angle.
    Half,
    /// Whole slices butt against square-cut tube.
    Full,
}

/// How one bend is made.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum BendMake {
    /// A mandrel elbow from stock, cut down to the angle.
    Elbow {
        /// Which elbow.
        elbow: ElbowId,
    },
    /// Slices sawn off a stick.
    Mitred {
        /// Centreline radius, mm.
        clr_mm: f64,
        /// Number of welds round the bend: 1 or more with half ends, 2 or more with full ends.
        welds: u32,
        /// How its ends are made.
        ends: Ends,
        /// Where given, the radius follows from this throat of a whole slice, mm; `clr_mm` is then what it was
        /// before.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        throat_mm: Option<f64>,
        /// Where given, whole slices are cut at this angle from square, degrees, as a batch already is; the
        /// number of welds follows, and what is left of the bend is turned at one odd weld.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        saw_deg: Option<f64>,
    },
}

impl BendMake {
    /// Slices of equal angle at a radius.
    pub const fn mitred(clr_mm: f64, welds: u32, ends: Ends) -> Self {
        Self::Mitred { clr_mm, welds, ends, throat_mm: None, saw_deg: None }
    }
}

/// The bend next to a hardpoint: it can only slide along the hardpoint's axis.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// Distance of the vertex from the hardpoint's face along its axis, mm.
    pub reach_mm: f64,
    /// How the bend there is made.
    pub make: BendMake,
}

/// A vertex that moves freely.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Waypoint {
    /// Stable id.
    pub id: WaypointId,
    /// Where, mm.
    pub position_mm: DVec3,
    /// How the bend there is made.
    pub make: BendMake,
}

/// Where a run ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum RunEnd {
    /// At a hardpoint, arriving along its axis.
    Hardpoint {
        /// Which hardpoint.
        hardpoint: HardpointId,
        /// The bend next to it.
        corner: Corner,
    },
    /// In the open: stacks, dumps.
    Open {
        /// Centre of the open end, mm.
        position_mm: DVec3,
        /// How its end is cut, where it is not square.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        slash: Option<Slash>,
        /// What it blows, where that is looked after.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        blast: Option<Blast>,
    },
}

impl RunEnd {
    /// In the open, square cut.
    pub const fn open(position_mm: DVec3) -> Self {
        Self::Open { position_mm, slash: None, blast: None }
    }
}

/// An open end cut at an angle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Slash {
    /// Tilt of the cut from square, degrees.
    pub tilt_deg: f64,
    /// Clock angle of its long side from the index line, degrees.
    pub clock_deg: f64,
}

/// What comes out of an open end: a widening jet that must not be blown at things.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Blast {
    /// How far it counts, mm from the end.
    pub reach_mm: f64,
    /// How much it widens to each side, degrees.
    pub spread_deg: f64,
}

/// A joint along a leg.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fitting {
    /// Stable id.
    pub id: FittingId,
    /// Which kind of joint.
    pub joint: JointId,
    /// On which leg, 0 is the one at the start hardpoint.
    pub leg: usize,
    /// Middle of the joint from where the leg's straight begins (the tangent point, or the hardpoint's face),
    /// mm.
    pub station_mm: f64,
    /// Clock angle of its lobe from the index line, degrees.
    pub lobe_clock_deg: f64,
}

/// One pipe from a hardpoint to where it has to go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// Stable id.
    pub id: RunId,
    /// Name, free.
    pub name: String,
    /// Letters that its marks begin with: given when it is made, never changed, never given again.
    #[serde(default)]
    pub letters: String,
    /// What it carries.
    pub service: Service,
    /// Tube it is made of, up to its first taper.
    pub tube: TubeId,
    /// Hardpoint it starts from.
    pub start: HardpointId,
    /// The bend next to the start.
    pub start_corner: Corner,
    /// The bends between, in order.
    #[serde(default)]
    pub waypoints: Vec<Waypoint>,
    /// Where it ends.
    pub end: RunEnd,
    /// Joints along its legs.
    #[serde(default)]
    pub fittings: Vec<Fitting>,
    /// Tapers along its legs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tapers: Vec<Taper>,
    /// Small parts on its legs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Part>,
    /// Gap it must keep to itself and to other runs, mm.
    pub gap_mm: f64,
    /// The weld that is fitted last; chosen by the program where not given or not there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fit_weld: Option<WeldKey>,
    /// Not drawn, not picked; clearance still counts it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hidden: bool,
}

/// One movable vertex of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Vertex {
    /// The bend next to the start: slides on the start axis.
    Start,
    /// A free waypoint.
    Way(WaypointId),
    /// The bend next to the end: slides on the end axis.
    End,
    /// The open end: free.
    Open,
}

impl Run {
    /// Its movable vertices in order of travel.
    pub fn vertices(&self) -> Vec<Vertex> {
        let last = match self.end {
            RunEnd::Hardpoint { .. } => Vertex::End,
            RunEnd::Open { .. } => Vertex::Open,
        };
        std::iter::once(Vertex::Start)
            .chain(self.waypoints.iter().map(|w| Vertex::Way(w.id)))
            .chain(std::iter::once(last))
            .collect()
    }

    /// How the bend at a vertex is made; `None` where there is no bend or no such vertex.
    pub fn make(&self, vertex: Vertex) -> Option<BendMake> {
        match vertex {
            Vertex::Start => Some(self.start_corner.make),
            Vertex::Way(id) => self.waypoints.iter().find(|w| w.id == id).map(|w| w.make),
            Vertex::End => match self.end {
                RunEnd::Hardpoint { corner, .. } => Some(corner.make),
                RunEnd::Open { .. } => None,
            },
            Vertex::Open => None,
        }
    }

    /// Sets how the bend at a vertex is made; nothing happens where there is none.
    pub fn set_make(&mut self, vertex: Vertex, make: BendMake) {
        match vertex {
            Vertex::Start => self.start_corner.make = make,
            Vertex::Way(id) => {
                if let Some(w) = self.waypoints.iter_mut().find(|w| w.id == id) {
                    w.make = make;
                }
            }
            Vertex::End => {
                if let RunEnd::Hardpoint { corner, .. } = &mut self.end {
                    corner.make = make;
                }
            }
            Vertex::Open => {}
        }
    }
}

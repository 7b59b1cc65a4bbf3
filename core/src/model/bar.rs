//! Bars that carry turbos and pipes: straight or simply bent, between two points.

use super::id::{BarId, BodyId, RunId};
use super::stock::Material;
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// The tapped end of a bar, or the threaded insert welded into a tube.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Socket {
    /// How far its face stands out of the bar's sawn end, mm: the flange of an insert; 0 for a tapped bar.
    pub stand_mm: f64,
    /// Full thread from its face inwards, mm.
    pub tapped_mm: f64,
    /// Whether it is open at the bottom, so that a long shank may go on into the tube.
    pub through: bool,
}

/// A rod end and how it sits in the bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RodEnd {
    /// Outside diameter of its thread, mm.
    pub thread_dia_mm: f64,
    /// Pitch of its thread, mm.
    pub pitch_mm: f64,
    /// Whether the thread is left-hand.
    pub left_hand: bool,
    /// From the eye's centre to the shoulder where the shank begins, mm.
    pub eye_to_shoulder_mm: f64,
    /// From the shoulder to the tip, mm.
    pub shank_mm: f64,
    /// Thread on the shank, from the tip, mm; not more than the shank.
    pub thread_mm: f64,
    /// Thickness of the lock nut, mm; 0 for none.
    pub nut_mm: f64,
    /// Least engagement as a multiple of the thread's diameter; 1.5 where nothing else is known.
    pub least_engagement: f64,
    /// What it screws into.
    pub socket: Socket,
    /// How far its tip is in from the socket's face, mm; none for the middle of what it can be.
    #[serde(default)]
    pub screwed_in_mm: Option<f64>,
}

/// The eye of a rod end, for drawing it and for its gaps.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Eye {
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Width along its hole, mm.
    pub width_mm: f64,
}

/// A flat tab with a hole.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tab {
    /// From the hole's centre to the bar's end, mm.
    pub hole_to_bar_mm: f64,
    /// Width across the bar, mm; beyond the hole it stands out by half of it.
    pub width_mm: f64,
    /// Thickness, mm.
    pub thick_mm: f64,
}

/// The round tube that a coped end sits on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Onto {
    /// Another bar.
    Bar(BarId),
    /// A pipe.
    Run(RunId),
    /// A tube of the car or the frame that is not in the project.
    Tube {
        /// A point of its axis, mm.
        through_mm: DVec3,
        /// Along its axis, of any length.
        along: DVec3,
        /// Outside diameter, mm.
        od_mm: f64,
    },
}

/// A plate bent round the tube under a coped end, to spread what the bar puts on it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pad {
    /// Thickness, mm.
    pub thick_mm: f64,
    /// Gap to the tube, mm: a liner, or 0.
    pub gap_mm: f64,
    /// How far it goes round, degrees.
    pub angle_deg: f64,
    /// Length of the flat lips that go on from its two edges, mm; 0 for none.
    pub lips_mm: [f64; 2],
    /// Width along the tube, mm; none for what the bar's foot and the weld round it take.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width_mm: Option<f64>,
}

/// How an end of a bar is made.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum BarEndMake {
    /// A rod end screwed in; the point is the centre of its eye.
    RodEnd(RodEnd, Eye),
    /// A tab welded on or into it; the point is the centre of its hole.
    Tab(Tab),
    /// Coped onto a round tube; the point lies on or next to the tube's axis.
    Cope {
        /// What it sits on.
        onto: Onto,
        /// A plate between the two.
        #[serde(default)]
        pad: Option<Pad>,
    },
    /// Sawn square against a plate; the point lies in or behind the plate's face.
    Plate {
        /// From the point to where the bar ends, mm.
        stand_off_mm: f64,
    },
}

impl BarEndMake {
    /// The word for it in reports and on paper.
    pub fn name(&self) -> &'static str {
        match self {
            Self::RodEnd(..) => "rod end",
            Self::Tab(_) => "tab",
            Self::Cope { .. } => "coped",
            Self::Plate { .. } => "square",
        }
    }

    /// What its hole goes through along its axis, mm: the eye or the tab; none where it has no hole.
    pub fn hole_length_mm(&self) -> Option<f64> {
        match self {
            Self::RodEnd(_, eye) => Some(eye.width_mm),
            Self::Tab(tab) => Some(tab.thick_mm),
            Self::Cope { .. } | Self::Plate { .. } => None,
        }
    }

    /// What it is coped onto, if it is.
    pub fn onto(&self) -> Option<Onto> {
        match self {
            Self::Cope { onto, .. } => Some(*onto),
            Self::RodEnd(..) | Self::Tab(_) | Self::Plate { .. } => None,
        }
    }
}

/// A pin with a head, a shank and a groove for its clip.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pin {
    /// Diameter of its shank, mm.
    pub dia_mm: f64,
    /// From under the head to the near edge of the clip's groove or hole, mm.
    pub to_groove_mm: f64,
    /// Width of the groove along the pin, or diameter of the hole, mm.
    pub groove_mm: f64,
    /// What stands out beyond it, mm.
    pub tail_mm: f64,
}

/// A pin through the hole of an end, and what it goes through.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PinThrough {
    /// The pin.
    pub pin: Pin,
    /// Smallest of the holes, mm.
    pub hole_mm: f64,
    /// Over the outsides of both cheeks, mm.
    pub over_cheeks_mm: f64,
    /// All washers together, mm.
    pub washers_mm: f64,
}

/// One end of a bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BarPoint {
    /// The point it goes to: eye, hole, axis of a tube or face of a plate, mm.
    pub position_mm: DVec3,
    /// The body that point is on.
    pub body: BodyId,
    /// How the end is made.
    pub make: BarEndMake,
    /// Clock round the bar that the hole of an eye or tab runs along, degrees from the bar's index line, right-handed about
    /// the way the bar leaves this point. The index line is on top at the first end (in front on an upright bar) and goes
    /// along the bar and round its bends without twisting.
    #[serde(default)]
    pub clock_deg: f64,
    /// The pin through its hole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<PinThrough>,
}

/// A size of tube that slides over a bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sleeve {
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall thickness, mm.
    pub wall_mm: f64,
}

/// A sleeve on a bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BarSleeve {
    /// Its size.
    pub size: Sleeve,
    /// Its length, mm.
    pub length_mm: f64,
    /// From the bar's first sawn end, along its middle, to where the sleeve begins, mm.
    pub station_mm: f64,
}

/// A corner of a bent bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BarCorner {
    /// Where, mm.
    pub position_mm: DVec3,
    /// Centreline radius of the finished bend, mm.
    pub clr_mm: f64,
}

/// A bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bar {
    /// Stable id.
    pub id: BarId,
    /// Name, free.
    pub name: String,
    /// Material.
    pub material: Material,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall, mm; none for solid bar.
    #[serde(default)]
    pub wall_mm: Option<f64>,
    /// Length it is bought in, mm.
    pub stick_mm: f64,
    /// Its two ends.
    pub ends: [BarPoint; 2],
    /// Its bends, in order from the first end.
    #[serde(default)]
    pub corners: Vec<BarCorner>,
    /// How far bends spring open, as a share of the bend; from 0 to 0.5.
    #[serde(default)]
    pub springback_share: f64,
    /// Straight the bender needs between two bends, mm; 0 where it needs none.
    #[serde(default)]
    pub least_straight_mm: f64,
    /// Left on at the end to grip while it is bent, and sawn off after, mm.
    #[serde(default)]
    pub spare_mm: f64,
    /// Length of a straight bar that has been sawn already, mm: its rod ends are set to make it fit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sawn_mm: Option<f64>,
    /// Adjustment that is wanted each way of a straight bar, mm; 0 where none is.
    #[serde(default)]
    pub wanted_mm: f64,
    /// A tube that slides over it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sleeve: Option<BarSleeve>,
    /// Gap it keeps to pipes and obstacles, mm.
    pub gap_mm: f64,
    /// Not drawn, not picked.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hidden: bool,
}

impl Bar {
    /// Whether it is sawn already, and its ends are set to that: a straight bar only.
    pub fn is_sawn(&self) -> bool {
        self.sawn_mm.is_some() && self.corners.is_empty()
    }

    /// Its points in order: an end, the corners, the other end.
    pub fn points_mm(&self) -> Vec<DVec3> {
        let corners = self.corners.iter().map(|c| c.position_mm);
        let [first, last] = self.ends.map(|e| e.position_mm);
        std::iter::once(first).chain(corners).chain([last]).collect()
    }
}

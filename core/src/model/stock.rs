//! What the shop has: tube, elbows, joints, and the saw.

use super::id::{ElbowId, JointId, TubeId};
use serde::{Deserialize, Serialize};

/// What a tube or elbow is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the names are the alloys")]
pub enum Material {
    Aluminium6061,
    Stainless304,
    Stainless321,
    Stainless409,
    MildSteel,
    ChromeMoly4130,
    TitaniumGrade2,
}

impl Material {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 7] = [
        Self::Aluminium6061,
        Self::Stainless304,
        Self::Stainless321,
        Self::Stainless409,
        Self::MildSteel,
        Self::ChromeMoly4130,
        Self::TitaniumGrade2,
    ];

    /// Name as the trade says it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Aluminium6061 => "6061 aluminium",
            Self::Stainless304 => "304 stainless",
            Self::Stainless321 => "321 stainless",
            Self::Stainless409 => "409 stainless",
            Self::MildSteel => "Mild steel",
            Self::ChromeMoly4130 => "4130 steel",
            Self::TitaniumGrade2 => "Grade 2 titanium",
        }
    }

    /// Density, kg/m³: makers' data sheets (304: 8000, 321: 7920, 409: 7700, titanium grade 2: 4510); 6061
    /// (2700), mild and 4130 steel (7850) from memory.
    pub fn density_kg_m3(self) -> f64 {
        match self {
            Self::Aluminium6061 => 2700.0,
            Self::Stainless304 => 8000.0,
            Self::Stainless321 => 7920.0,
            Self::Stainless409 => 7700.0,
            Self::MildSteel | Self::ChromeMoly4130 => 7850.0,
            Self::TitaniumGrade2 => 4510.0,
        }
    }

    /// Whether the two can be fusion welded to each other as a matter of course (same base metal).
    pub fn welds_to(self, other: Self) -> bool {
        self.base() == other.base()
    }

    fn base(self) -> u8 {
        match self {
            Self::Aluminium6061 => 0,
            Self::TitaniumGrade2 => 1,
            Self::Stainless304
            | Self::Stainless321
            | Self::Stainless409
            | Self::MildSteel
            | Self::ChromeMoly4130 => 2,
        }
    }
}

/// A piece of tube left over from earlier work.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Offcut {
    /// Usable length, mm.
    pub length_mm: f64,
    /// How many of them.
    pub count: u32,
}

/// Slices already cut and lying ready.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadySlice {
    /// Angle of both its cuts from square, degrees.
    pub saw_deg: f64,
    /// Its short side, mm.
    pub throat_mm: f64,
    /// How many of them.
    pub count: u32,
}

impl ReadySlice {
    /// Length along the centreline in tube of `od_mm`, mm: the throat and half the taper, `t + OD·tan α`.
    pub fn centre_mm(&self, od_mm: f64) -> f64 {
        self.throat_mm + od_mm * self.saw_deg.to_radians().tan()
    }
}

/// A size of tube the shop uses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tube {
    /// Stable id.
    pub id: TubeId,
    /// Material.
    pub material: Material,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall thickness, mm.
    pub wall_mm: f64,
    /// Length of a bought stick, mm.
    pub stick_mm: f64,
    /// Whole sticks on the rack.
    #[serde(default)]
    pub sticks_on_hand: u32,
    /// Offcuts on the rack.
    #[serde(default)]
    pub offcuts: Vec<Offcut>,
    /// Slices lying ready, used up before new ones are sawn.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub slices: Vec<ReadySlice>,
    /// Price of a stick, in the shop's own money, where known.
    #[serde(default)]
    pub stick_price: Option<f64>,
}

impl Tube {
    /// Mass of a metre, kg: `π·w·(OD − w)·ρ`.
    pub fn mass_kg_per_m(&self) -> f64 {
        std::f64::consts::PI
            * self.wall_mm
            * (self.od_mm - self.wall_mm)
            * self.material.density_kg_m3()
            * 1e-6
    }
}

/// A mandrel elbow the shop keeps or buys.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ElbowStock {
    /// Stable id.
    pub id: ElbowId,
    /// Material.
    pub material: Material,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall thickness, mm.
    pub wall_mm: f64,
    /// Centreline radius, mm.
    pub clr_mm: f64,
    /// Bend angle as bought, degrees.
    pub angle_deg: f64,
    /// Straight leg at each end as bought, mm.
    pub leg_mm: f64,
    /// How many are on the shelf.
    #[serde(default)]
    pub count: u32,
}

impl ElbowStock {
    /// Bend angle as bought, rad.
    pub fn angle_rad(&self) -> f64 {
        self.angle_deg.to_radians()
    }
}

/// How a joint holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the trade's own names")]
pub enum JointStyle {
    ClampCoupler,
    VBand,
    HoseAndClamps,
    SlipJoint,
    Flexible,
    Flange,
}

impl JointStyle {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 6] =
        [Self::ClampCoupler, Self::VBand, Self::HoseAndClamps, Self::SlipJoint, Self::Flexible, Self::Flange];

    /// Whether its halves can move against each other a little, so that what they tie together may move.
    pub fn is_flexible(self) -> bool {
        match self {
            Self::ClampCoupler | Self::HoseAndClamps | Self::SlipJoint | Self::Flexible => true,
            Self::VBand | Self::Flange => false,
        }
    }

    /// Name as the trade says it.
    pub fn name(self) -> &'static str {
        match self {
            Self::ClampCoupler => "Clamp coupler",
            Self::VBand => "V-band",
            Self::HoseAndClamps => "Hose and clamps",
            Self::SlipJoint => "Slip joint",
            Self::Flexible => "Flexible section",
            Self::Flange => "Flange",
        }
    }
}

/// The part of a joint that stands out at one side: nut, lever or lock.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lobe {
    /// Width round the tube, mm.
    pub width_mm: f64,
    /// How far it reaches from the tube's centreline, mm.
    pub reach_mm: f64,
    /// Length along the tube, mm.
    pub length_mm: f64,
}

/// The room a tool needs to work a joint's lobe.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToolRoom {
    /// How far the tool reaches beyond the lobe, mm.
    pub reach_mm: f64,
    /// How much wider than the lobe it is, half to either side, mm. Counts only where it does not swing.
    pub width_mm: f64,
    /// Angle it swings through about the pipe, half to either side of the lobe, degrees; 0 for one that is put
    /// straight on.
    pub swing_deg: f64,
}

/// How tubes sit in a hose.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoseEnds {
    /// How far each tube goes into the hose, mm.
    pub insertion_mm: f64,
    /// Middle of the rolled bead from the tube's end, mm; none where there is no bead.
    #[serde(default)]
    pub bead_mm: Option<f64>,
}

/// A kind of joint the shop uses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JointKind {
    /// Stable id.
    pub id: JointId,
    /// Name, free.
    pub name: String,
    /// How it holds.
    pub style: JointStyle,
    /// Outside diameter of the tube it fits, mm.
    pub od_mm: f64,
    /// Make-up: tube end to tube end, so what it takes out of the pipe, mm. Below zero for a slip joint, whose
    /// tubes lie inside each other for that length (its engagement).
    pub make_up_mm: f64,
    /// Outside diameter of its body, mm.
    pub body_od_mm: f64,
    /// Width of its body along the tube, mm.
    pub body_width_mm: f64,
    /// Its nut, lever or lock.
    #[serde(default)]
    pub lobe: Option<Lobe>,
    /// Room for the tool on its lobe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<ToolRoom>,
    /// How the tubes sit in it, for a hose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hose: Option<HoseEnds>,
    /// Whether its halves are welded to the tubes (else they slide over or clamp on).
    pub welded: bool,
}

impl JointKind {
    /// Length to cut the hose to, mm: the gap between the tubes and both insertions.
    pub fn hose_mm(&self) -> Option<f64> {
        self.hose.map(|h| self.make_up_mm + 2.0 * h.insertion_mm)
    }

    /// How far one tube lies in the other, mm; none unless it is a slip joint that overlaps.
    pub fn engagement_mm(&self) -> Option<f64> {
        (self.make_up_mm < 0.0).then_some(-self.make_up_mm)
    }
}

/// What the saw's scale reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum SawScale {
    /// 0° is a square cut.
    FromSquare,
    /// 90° is a square cut.
    FromBlade,
}

/// The saw.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Saw {
    /// Width the blade takes away, mm.
    pub kerf_mm: f64,
    /// Steps its angle can be set to, degrees; a quarter is what a scale of whole degrees can be read to (common
    /// practice, no source).
    pub step_deg: f64,
    /// What its scale reads.
    pub scale: SawScale,
    /// Largest angle from square it can be set to, degrees.
    #[serde(default = "Saw::usual_most_deg")]
    pub most_deg: f64,
    /// Length of tube it has to grip to cut the next piece off, mm.
    #[serde(default = "Saw::usual_grip_mm")]
    pub grip_mm: f64,
    /// Length lost once on each new stick to cut its end square and clean, mm.
    #[serde(default)]
    pub first_trim_mm: f64,
}

impl Saw {
    /// What most swivel-head saws reach (common practice, no source).
    fn usual_most_deg() -> f64 {
        45.0
    }

    /// Length most vices need (common practice, no source).
    fn usual_grip_mm() -> f64 {
        50.0
    }
}

impl Default for Saw {
    fn default() -> Self {
        Self {
            kerf_mm: 1.6,
            step_deg: 0.25,
            scale: SawScale::FromSquare,
            most_deg: Self::usual_most_deg(),
            grip_mm: Self::usual_grip_mm(),
            first_trim_mm: 0.0,
        }
    }
}

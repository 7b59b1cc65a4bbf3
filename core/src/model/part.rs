//! Small parts on a leg: bungs, flanges on stubs, brackets, heat shields, beads.

use super::hardpoint::Body;
use super::id::{BodyId, PartId};
use serde::{Deserialize, Serialize};

/// What is screwed into a bung or bolted to a flange, as room it takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Screwed {
    /// Largest diameter of what stands out, mm.
    pub diameter_mm: f64,
    /// How far it stands out beyond the bung or flange, mm.
    pub length_mm: f64,
    /// Further room along its axis that it needs to come out, mm.
    pub removal_mm: f64,
}

/// What a bung is for: says which rules of placing apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum BungUse {
    /// A plug, or anything without rules of its own.
    Plain,
    /// A sensor in the exhaust gas that water must run off.
    ExhaustSensor,
    /// A temperature probe.
    Temperature,
    /// A pressure tap.
    PressureTap,
}

impl BungUse {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 4] = [Self::Plain, Self::ExhaustSensor, Self::Temperature, Self::PressureTap];

    /// What it is for, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Plain => "plug",
            Self::ExhaustSensor => "exhaust sensor",
            Self::Temperature => "temperature probe",
            Self::PressureTap => "pressure tap",
        }
    }
}

/// A threaded bung welded on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bung {
    /// What it is for.
    pub purpose: BungUse,
    /// Its thread as it is said, for example M18 × 1.5.
    pub thread: String,
    /// Outside diameter of its boss, mm.
    pub boss_mm: f64,
    /// How far its face stands out from the tube's skin, mm.
    pub height_mm: f64,
    /// Hole in the tube, mm.
    pub hole_mm: f64,
    /// What is screwed in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screwed: Option<Screwed>,
}

/// A flange on a short stub of tube: blow-off valve, wastegate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stub {
    /// Outside diameter of the stub, mm.
    pub od_mm: f64,
    /// Its wall, mm.
    pub wall_mm: f64,
    /// From the tube's skin along the stub's axis to the flange's outer face, mm.
    pub length_mm: f64,
    /// Angle between the run's travel and the stub as it leaves, degrees; 90 is square.
    pub angle_deg: f64,
    /// Outside diameter of the flange, mm.
    pub flange_mm: f64,
    /// Thickness of the flange, mm.
    pub flange_thick_mm: f64,
    /// What is bolted to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screwed: Option<Screwed>,
}

/// How a support holds the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Holding {
    /// The run cannot move along its axis there.
    Fixed,
    /// It can slide or swing.
    Sliding,
}

/// What a bracket ties the run to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Held {
    /// The body it is tied to.
    pub body: BodyId,
    /// How.
    pub holding: Holding,
}

/// A flat tab that stands on the tube, along it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bracket {
    /// Length along the tube, mm.
    pub along_mm: f64,
    /// Thickness, mm.
    pub thick_mm: f64,
    /// How far it stands out from the tube's skin, mm.
    pub height_mm: f64,
    /// What it is tied to, where it carries the run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held: Option<Held>,
}

/// A heat shield round a stretch of the leg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shield {
    /// Length along the tube, mm.
    pub length_mm: f64,
    /// Gap between tube and shield, mm.
    pub gap_mm: f64,
    /// Its thickness, mm.
    pub thick_mm: f64,
    /// How far it goes round, degrees; 360 all round. Its middle is at the part's clock.
    pub around_deg: f64,
    /// Gap it keeps to what heat harms, in place of that of a bare hot pipe, mm.
    pub hot_gap_mm: f64,
}

/// A rolled bead that keeps a hose on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bead {
    /// How far it stands out, mm.
    pub height_mm: f64,
    /// Its width along the tube, mm.
    pub width_mm: f64,
}

/// What a part is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the names of what they hold")]
pub enum PartKind {
    Bung(Bung),
    Stub(Stub),
    Bracket(Bracket),
    Shield(Shield),
    Bead(Bead),
}

impl PartKind {
    /// The word on screen and sheet.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Bung(_) => "Bung",
            Self::Stub(_) => "Flange on a stub",
            Self::Bracket(_) => "Bracket",
            Self::Shield(_) => "Heat shield",
            Self::Bead(_) => "Bead",
        }
    }
}

/// A small part on a leg, or on the bend after it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Stable id.
    pub id: PartId,
    /// Name, free.
    pub name: String,
    /// On which leg, 0 is the one at the start hardpoint.
    pub leg: usize,
    /// Its middle from where the leg's straight begins, mm; not used on a bend.
    pub station_mm: f64,
    /// How far round the bend after that leg it stands, degrees; none on the leg itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_deg: Option<f64>,
    /// Clock angle it stands at, from the index line, degrees.
    pub clock_deg: f64,
    /// What it is.
    pub kind: PartKind,
}

impl Held {
    /// Tied to a body.
    pub fn to(body: &Body) -> Self {
        Self { body: body.id, holding: Holding::Fixed }
    }
}

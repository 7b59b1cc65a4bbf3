//! The project: one document, one file.

use super::allowance::Allowances;
use super::bar::Bar;
use super::datum::Datum;
use super::done::DonePiece;
use super::hardpoint::{Body, Hardpoint};
use super::id::{BarId, BodyId, DatumId, ElbowId, HardpointId, JointId, MergeId, ObstacleId, RunId, TubeId};
use super::item::Item;
use super::merge::Merge;
use super::movement::Movement;
use super::obstacle::Obstacle;
use super::run::Run;
use super::scatter::Scatter;
use super::stock::{ElbowStock, JointKind, Saw, Tube};
use crate::units::{self, UnitSystem};
use serde::{Deserialize, Serialize};

/// Version of the file format that this program writes. Whoever adds a field or changes what one means counts it up.
pub const FORMAT: u32 = 6;

/// Choices that hold for the whole project.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// How lengths are shown.
    pub units: UnitSystem,
    /// The saw.
    #[serde(default)]
    pub saw: Saw,
    /// A throat shorter than this is hard to grip and tack, mm (common practice, no source: 6 mm).
    pub shortest_throat_mm: f64,
    /// Drags snap bend angles to multiples of this, degrees; 0 for no snapping.
    pub angle_snap_deg: f64,
    /// Gap a hot pipe keeps to what heat harms, mm (common practice, no source: 75 mm unshielded).
    pub hot_gap_mm: f64,
    /// What is added for welds, fitting and paper.
    #[serde(default)]
    pub allowances: Allowances,
    /// How far off what is sawn, marked and welded usually is.
    #[serde(default, skip_serializing_if = "Scatter::is_usual")]
    pub scatter: Scatter,
}

impl Settings {
    /// Starting values that are round in the given units.
    pub fn for_units(units: UnitSystem) -> Self {
        let millimetres = Self::default();
        match units {
            UnitSystem::Millimetre => Self { units, ..millimetres },
            UnitSystem::InchFraction | UnitSystem::InchDecimal => Self {
                units,
                shortest_throat_mm: 6.35,
                hot_gap_mm: 76.2,
                saw: Saw { grip_mm: 50.8, ..millimetres.saw },
                allowances: Allowances { trim_mm: 6.35, keep_mm: 152.4, ..millimetres.allowances },
                ..Self::default()
            },
        }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            units: UnitSystem::InchFraction,
            saw: Saw::default(),
            shortest_throat_mm: 6.0,
            angle_snap_deg: 15.0,
            hot_gap_mm: 75.0,
            allowances: Allowances::default(),
            scatter: Scatter::default(),
        }
    }
}

/// Everything the fabricator has entered.
///
/// Runs, hardpoints and the rest refer to each other by id; [`limits::check`](super::limits::check) says what
/// is wrong with a project that was put together by hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Project {
    /// Version of the file format, [`FORMAT`] when written.
    pub format: u32,
    /// Name, free.
    pub name: String,
    /// Choices for the whole project.
    pub settings: Settings,
    /// The next id to give; every id in use is smaller.
    pub next_id: u32,
    /// The last letters that were given to a run; those given later come after them.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub last_letters: String,
    /// Bodies; the first stands still.
    #[serde(default)]
    pub bodies: Vec<Body>,
    /// Places that everything else is measured from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub datums: Vec<Datum>,
    /// Sizes of tube.
    #[serde(default)]
    pub tubes: Vec<Tube>,
    /// Elbows in stock.
    #[serde(default)]
    pub elbows: Vec<ElbowStock>,
    /// Kinds of joint.
    #[serde(default)]
    pub joints: Vec<JointKind>,
    /// Hardpoints.
    #[serde(default)]
    pub hardpoints: Vec<Hardpoint>,
    /// Obstacles.
    #[serde(default)]
    pub obstacles: Vec<Obstacle>,
    /// Runs.
    #[serde(default)]
    pub runs: Vec<Run>,
    /// Merges.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub merges: Vec<Merge>,
    /// Bars.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bars: Vec<Bar>,
    /// Pieces that have been sawn already.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub done: Vec<DonePiece>,
}

macro_rules! lookups {
    ($($find:ident, $list:ident, $id:ty, $item:ty, $what:literal;)+) => {
        impl Project {$(
            #[doc = concat!("The ", $what, " of that id.")]
            pub fn $find(&self, id: $id) -> Option<&$item> {
                self.$list.iter().find(|x| x.id == id)
            }
        )+}
    };
}

lookups! {
    body, bodies, BodyId, Body, "body";
    datum, datums, DatumId, Datum, "datum";
    tube, tubes, TubeId, Tube, "tube";
    elbow, elbows, ElbowId, ElbowStock, "elbow";
    joint, joints, JointId, JointKind, "joint kind";
    hardpoint, hardpoints, HardpointId, Hardpoint, "hardpoint";
    obstacle, obstacles, ObstacleId, Obstacle, "obstacle";
    run, runs, RunId, Run, "run";
    merge, merges, MergeId, Merge, "merge";
    bar, bars, BarId, Bar, "bar";
}

impl Project {
    /// A project with nothing in it but the chassis.
    pub fn new(name: &str, units: UnitSystem) -> Self {
        Self {
            format: FORMAT,
            name: name.to_owned(),
            settings: Settings::for_units(units),
            next_id: 2,
            last_letters: String::new(),
            bodies: vec![Body { id: BodyId(1), name: "Chassis".to_owned(), movement: Movement::default() }],
            datums: Vec::new(),
            tubes: Vec::new(),
            elbows: Vec::new(),
            joints: Vec::new(),
            hardpoints: Vec::new(),
            obstacles: Vec::new(),
            runs: Vec::new(),
            merges: Vec::new(),
            bars: Vec::new(),
            done: Vec::new(),
        }
    }

    /// An id that has never been used in this project.
    pub fn fresh_id(&mut self) -> u32 {
        let id = self.next_id;
        self.next_id += 1;
        id
    }

    /// Name of an item as shown to a person; empty where it does not exist.
    pub fn name_of(&self, item: Item) -> String {
        let name = match item {
            Item::Body(id) => self.body(id).map(|x| x.name.clone()),
            Item::Datum(id) => self.datum(id).map(|x| x.name.clone()),
            Item::Tube(id) => self.tube(id).map(|x| self.tube_name(x)),
            Item::Elbow(id) => self.elbow(id).map(|x| self.elbow_name(x)),
            Item::Joint(id) => self.joint(id).map(|x| x.name.clone()),
            Item::Hardpoint(id) => self.hardpoint(id).map(|x| x.name.clone()),
            Item::Obstacle(id) => self.obstacle(id).map(|x| x.name.clone()),
            Item::Run(id) => self.run(id).map(|x| x.name.clone()),
            Item::Merge(id) => self.merge(id).map(|x| x.name.clone()),
            Item::Bar(id) => self.bar(id).map(|x| x.name.clone()),
        };
        name.unwrap_or_default()
    }

    /// Whether the item exists.
    pub fn has(&self, item: Item) -> bool {
        match item {
            Item::Body(id) => self.body(id).is_some(),
            Item::Datum(id) => self.datum(id).is_some(),
            Item::Tube(id) => self.tube(id).is_some(),
            Item::Elbow(id) => self.elbow(id).is_some(),
            Item::Joint(id) => self.joint(id).is_some(),
            Item::Hardpoint(id) => self.hardpoint(id).is_some(),
            Item::Obstacle(id) => self.obstacle(id).is_some(),
            Item::Run(id) => self.run(id).is_some(),
            Item::Merge(id) => self.merge(id).is_some(),
            Item::Bar(id) => self.bar(id).is_some(),
        }
    }

    /// A tube as the trade says it: OD × wall, material.
    pub fn tube_name(&self, tube: &Tube) -> String {
        let system = self.settings.units;
        format!(
            "{} × {} {}",
            units::tube_size(tube.od_mm, system),
            units::wall(tube.wall_mm, system),
            tube.material.name()
        )
    }

    /// An elbow as the trade says it: OD, angle, CLR, material.
    pub fn elbow_name(&self, elbow: &ElbowStock) -> String {
        let system = self.settings.units;
        format!(
            "{} {}° elbow, CLR {}, {}",
            units::tube_size(elbow.od_mm, system),
            units::plain_number(elbow.angle_deg, 2),
            units::tube_size(elbow.clr_mm, system),
            elbow.material.name()
        )
    }
}

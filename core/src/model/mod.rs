//! The document: what the fabricator has entered, and nothing derived from it.
//!
//! Lengths are millimetres. Angles stand in degrees, as they are typed and filed, so that a typed 45 stays 45
//! through saving and loading; every computation turns them into radians first (the `_rad` methods).

pub mod allowance;
pub mod datum;
pub mod hardpoint;
pub mod id;
pub mod item;
pub mod limits;
pub mod movement;
pub mod obstacle;
pub mod project;
pub mod run;
pub mod scan;
pub mod stock;

pub use allowance::Allowances;
pub use datum::Datum;
pub use hardpoint::{Attachment, Body, Hardpoint};
pub use id::{
    BodyId, DatumId, ElbowId, FittingId, HardpointId, JointId, ObstacleId, RunId, TubeId, WaypointId,
};
pub use item::Item;
pub use movement::{Movement, Roll};
pub use obstacle::{Hole, Obstacle, Pose, Shape};
pub use project::{DonePiece, Project, Settings, UnitSystem};
pub use run::{BendMake, Corner, Ends, Fitting, Run, RunEnd, Service, Vertex, Waypoint};
pub use scan::{KeepBox, ScanFile};
pub use stock::{
    ElbowStock, HoseEnds, JointKind, JointStyle, Lobe, Material, Offcut, ReadySlice, Saw, SawScale, ToolRoom,
    Tube,
};

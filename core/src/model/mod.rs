//! The document: what the fabricator has entered, and nothing derived from it. Knows no file, no finding and no result:
//! what is out of its limits is told as facts.
//!
//! Lengths are millimetres. Angles stand in degrees, as they are typed and filed, so that a typed 45 stays 45
//! through saving and loading; every computation turns them into radians first (the `_rad` methods).

pub mod allowance;
pub mod bar;
pub mod datum;
pub mod done;
pub mod hardpoint;
pub mod id;
pub mod item;
pub mod key;
pub mod letters;
pub mod limits;
pub mod merge;
pub mod movement;
pub mod obstacle;
pub mod part;
pub mod project;
pub mod run;
pub mod scan;
mod scatter;
pub mod seat;
pub mod stock;
pub mod taper;

pub use allowance::{Allowances, ShapedLine};
pub use bar::{
    Bar, BarCorner, BarEndMake, BarPoint, BarSleeve, Eye, Onto, Pad, Pin, PinThrough, RodEnd, Sleeve, Socket,
    Tab,
};
pub use datum::Datum;
pub use done::{DonePiece, DrawnShape, TrimLeft};
pub use hardpoint::{Attachment, Body, Hardpoint};
pub use id::{
    BarId, BodyId, DatumId, ElbowId, FittingId, HardpointId, JointId, MergeId, ObstacleId, PartId, RunId,
    TaperId, TubeId, WaypointId,
};
pub use item::Item;
pub use key::{HoleKey, JointPlace, PieceKey, PiecePlace, TubeAfter, WeldKey, WeldSide};
pub use merge::{Merge, MergeArm, MergeJoin};
pub use movement::{Movement, Roll};
pub use obstacle::{Hole, Obstacle, Pose, Shape};
pub use part::{Bead, Bracket, Bung, BungUse, Held, Holding, Part, PartKind, Screwed, Shield, Stub};
pub use project::{FORMAT, Project, Settings};
pub use run::{BendMake, Blast, Corner, Ends, Fitting, Run, RunEnd, Service, Slash, Vertex, Waypoint};
pub use scan::{KeepBox, ScanFile};
pub use scatter::Scatter;
pub use seat::{Seat, Spot, ring, settle_order};
pub use stock::{
    ElbowStock, HoseEnds, JointKind, JointStyle, Lobe, Material, Offcut, ReadySlice, Saw, SawScale, ToolRoom,
    Tube,
};
pub use taper::{Taper, TaperMake};

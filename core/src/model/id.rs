//! Stable names for things: an id is given once and never used again in the same project.

use serde::{Deserialize, Serialize};

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub u32);
    )+};
}

ids! {
    /// A body that carries hardpoints and obstacles (chassis, engine).
    BodyId,
    /// A datum.
    DatumId,
    /// A size of tube.
    TubeId,
    /// A kind of elbow in stock.
    ElbowId,
    /// A kind of joint in stock.
    JointId,
    /// A hardpoint.
    HardpointId,
    /// An obstacle.
    ObstacleId,
    /// A run.
    RunId,
    /// A waypoint of a run.
    WaypointId,
    /// A joint along a leg of a run.
    FittingId,
    /// A taper along a leg of a run.
    TaperId,
    /// A small part on a leg of a run.
    PartId,
    /// A merge.
    MergeId,
    /// A bar.
    BarId,
}

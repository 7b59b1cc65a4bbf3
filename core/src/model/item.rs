//! Everything that can be selected, hidden, deleted or blamed in a finding.

use super::id::{BarId, BodyId, DatumId, ElbowId, HardpointId, JointId, MergeId, ObstacleId, RunId, TubeId};
use serde::{Deserialize, Serialize};

/// A reference to one thing of a project.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "each variant is the kind its id names")]
pub enum Item {
    Body(BodyId),
    Tube(TubeId),
    Elbow(ElbowId),
    Joint(JointId),
    Hardpoint(HardpointId),
    Obstacle(ObstacleId),
    Run(RunId),
    Datum(DatumId),
    Merge(MergeId),
    Bar(BarId),
}

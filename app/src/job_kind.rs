//! Which form may take the place of the right-hand panel, and about what.

use pipeloft_core::model::{Item, ObstacleId, Project, RunId};
use std::path::PathBuf;

/// The jobs there are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JobKind {
    /// Measuring a place or a direction in.
    MeasureIn(MeasureTarget),
    /// Taking a section of a run off.
    TakeOff(RunId),
    /// Finding routes for a run, or a cure for it.
    Routes(RunId, RoutesWish),
    /// Reads a scan and brings it in.
    BringScan(PathBuf),
    /// Lays a scan over the vehicle.
    PlaceScan(ObstacleId),
    /// Cuts a scan down to a box.
    CutScan(ObstacleId),
    /// A hardpoint from points round a rim of a scan.
    PickRim(ObstacleId),
    /// A hardpoint from one point of a face of a scan.
    PickFace(ObstacleId),
}

/// What is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeasureTarget {
    /// A hardpoint that is not there yet.
    NewHardpoint,
    /// A datum that is not there yet.
    NewDatum,
    /// A hardpoint, datum or obstacle that is there.
    Of(Item),
}

impl MeasureTarget {
    /// The item, where it has a place that can be measured.
    pub(crate) fn of(project: &Project, item: Item) -> Option<Self> {
        match item {
            // the origin of a scan's file is no place that can be measured to
            Item::Obstacle(id) if project.obstacle(id).is_some_and(|o| o.shape.as_scan().is_some()) => None,
            Item::Hardpoint(_) | Item::Datum(_) | Item::Obstacle(_) => Some(Self::Of(item)),
            Item::Body(_)
            | Item::Tube(_)
            | Item::Elbow(_)
            | Item::Joint(_)
            | Item::Run(_)
            | Item::Merge(_)
            | Item::Bar(_) => None,
        }
    }

    /// Whether it is there, or may be made.
    pub(crate) fn is_there(self, project: &Project) -> bool {
        match self {
            Self::NewHardpoint | Self::NewDatum => true,
            Self::Of(item) => project.has(item),
        }
    }
}

/// What is wanted of the form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RoutesWish {
    /// Routes to choose from.
    Find,
    /// The smallest change that clears the run's problems.
    Mend,
    /// Bends at angles the shop can make.
    Tidy,
}

impl RoutesWish {
    /// Heading of the form.
    pub(crate) fn title(self) -> &'static str {
        match self {
            Self::Find => "Find routes",
            Self::Mend => "Mend this run",
            Self::Tidy => "Tidy bends",
        }
    }

    /// What the form is for.
    pub(crate) fn about(self) -> &'static str {
        match self {
            Self::Find => {
                "Looks for ways past everything, with the gaps that are asked for. Point at a route to see it, take the one you like, then drag it as any pipe."
            }
            Self::Mend => {
                "Moves the bends as little as it takes to clear what is wrong with gaps, straights and angles. Nothing is changed until you take it."
            }
            Self::Tidy => {
                "Brings all bends to angles that the saw and the elbows make, and ends exactly on both hardpoints. Nothing is changed until you take it."
            }
        }
    }
}

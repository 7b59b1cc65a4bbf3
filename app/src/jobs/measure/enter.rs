//! What was measured, as one change of the project.

use super::Target;
use super::parts::Shade;
use glam::DVec3;
use pipeloft_core::edit::{Edit, new_item};
use pipeloft_core::model::{BodyId, Item, Project};

/// What came out; what was not measured stays as it is.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct MeasuredPort {
    /// Where it is, mm.
    pub(super) position_mm: Option<DVec3>,
    /// Unit direction out of the part.
    pub(super) direction: Option<DVec3>,
    /// Outside diameter of the tube that fits, mm.
    pub(super) od_mm: Option<f64>,
    /// The body it was measured from.
    pub(super) body: Option<BodyId>,
    /// What has to be known before it is entered.
    pub(super) notes: Vec<(Shade, String)>,
}

/// The change, ready to be made.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    /// Name of the step.
    pub(super) label: String,
    /// The change.
    pub(super) edit: Edit,
    /// What is selected afterwards.
    pub(super) item: Item,
    /// Its name.
    pub(super) name: String,
    /// Its body.
    pub(super) body: BodyId,
    /// Where it was before, mm, and its direction; `None` for what is new.
    pub(super) before: Option<(DVec3, Option<DVec3>)>,
}

impl Entry {
    /// The change that enters `found`; a new item gets the name and body where they are given. `None` where the
    /// target is gone, or a new one has no place.
    pub(super) fn new(
        project: &Project,
        target: Target,
        found: &MeasuredPort,
        (name, body): (Option<&str>, Option<BodyId>),
    ) -> Option<Self> {
        let mut next = project.clone();
        match target {
            Target::NewHardpoint => {
                let position_mm = found.position_mm?;
                let mut port = new_item::hardpoint(&mut next, position_mm);
                // not beside what is there: it was measured
                port.position_mm = position_mm;
                port.name = name.map_or(port.name, str::to_owned);
                port.body = body.unwrap_or(port.body);
                port.direction = found.direction.unwrap_or(port.direction);
                port.od_mm = found.od_mm.unwrap_or(port.od_mm);
                let (id, name, body) = (port.id, port.name.clone(), port.body);
                Some(Self::of(Edit::PutHardpoint(port), Item::Hardpoint(id), name, body, None))
            }
            Target::NewDatum => {
                let mut datum = new_item::datum(&mut next, found.position_mm?);
                datum.name = name.map_or(datum.name, str::to_owned);
                datum.body = body.unwrap_or(datum.body);
                let (id, name, body) = (datum.id, datum.name.clone(), datum.body);
                Some(Self::of(Edit::PutDatum(datum), Item::Datum(id), name, body, None))
            }
            Target::Of(item) => Self::moved(project, item, found),
        }
    }

    /// The change of an item that is there.
    fn moved(project: &Project, item: Item, found: &MeasuredPort) -> Option<Self> {
        match item {
            Item::Hardpoint(id) => {
                let mut port = project.hardpoint(id)?.clone();
                let before = Some((port.position_mm, pipeloft_core::geom::vector::unit(port.direction)));
                port.position_mm = found.position_mm.unwrap_or(port.position_mm);
                port.direction = found.direction.unwrap_or(port.direction);
                port.od_mm = found.od_mm.unwrap_or(port.od_mm);
                let (name, body) = (port.name.clone(), port.body);
                Some(Self::of(Edit::PutHardpoint(port), item, name, body, before))
            }
            Item::Datum(id) => {
                let mut datum = project.datum(id)?.clone();
                let before = Some((datum.position_mm, None));
                datum.position_mm = found.position_mm.unwrap_or(datum.position_mm);
                let (name, body) = (datum.name.clone(), datum.body);
                Some(Self::of(Edit::PutDatum(datum), item, name, body, before))
            }
            Item::Obstacle(id) => {
                let mut obstacle = project.obstacle(id)?.clone();
                let before = Some((obstacle.pose.position_mm, None));
                obstacle.pose.position_mm = found.position_mm.unwrap_or(obstacle.pose.position_mm);
                let (name, body) = (obstacle.name.clone(), obstacle.body);
                Some(Self::of(Edit::PutObstacle(obstacle), item, name, body, before))
            }
            Item::Body(_)
            | Item::Tube(_)
            | Item::Elbow(_)
            | Item::Joint(_)
            | Item::Run(_)
            | Item::Merge(_)
            | Item::Bar(_) => None,
        }
    }

    fn of(
        edit: Edit,
        item: Item,
        name: String,
        body: BodyId,
        before: Option<(DVec3, Option<DVec3>)>,
    ) -> Self {
        Self { label: format!("measure in {name}"), edit, item, name, body, before }
    }
}

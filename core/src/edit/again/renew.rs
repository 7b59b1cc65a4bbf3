//! Copies of runs with ids of their own.

use crate::edit::new_item::free_name;
use crate::model::{
    Fitting, FittingId, JointPlace, Part, PartId, PiecePlace, Project, Run, RunId, Taper, TaperId, TubeAfter,
    Vertex, Waypoint, WaypointId, WeldKey, WeldSide,
};
use std::collections::BTreeMap;

/// New ids by the old ones.
#[derive(Debug, Default)]
struct Ids {
    waypoints: BTreeMap<WaypointId, WaypointId>,
    fittings: BTreeMap<FittingId, FittingId>,
    tapers: BTreeMap<TaperId, TaperId>,
}

impl Ids {
    fn vertex(&self, vertex: Vertex) -> Option<Vertex> {
        match vertex {
            Vertex::Way(id) => self.waypoints.get(&id).copied().map(Vertex::Way),
            Vertex::Start | Vertex::End | Vertex::Open => Some(vertex),
        }
    }

    fn joint(&self, place: JointPlace) -> Option<JointPlace> {
        match place {
            JointPlace::Fitting(id) => self.fittings.get(&id).copied().map(JointPlace::Fitting),
            JointPlace::Start | JointPlace::End => Some(place),
        }
    }

    fn place(&self, place: PiecePlace) -> Option<PiecePlace> {
        Some(match place {
            PiecePlace::Tube(TubeAfter::Start) => place,
            PiecePlace::Tube(TubeAfter::Bend(v)) => PiecePlace::Tube(TubeAfter::Bend(self.vertex(v)?)),
            PiecePlace::Tube(TubeAfter::Joint(j)) => PiecePlace::Tube(TubeAfter::Joint(self.joint(j)?)),
            PiecePlace::Tube(TubeAfter::Taper(t)) => {
                PiecePlace::Tube(TubeAfter::Taper(*self.tapers.get(&t)?))
            }
            PiecePlace::Bend(vertex, slice) => PiecePlace::Bend(self.vertex(vertex)?, slice),
            PiecePlace::Joint(joint) => PiecePlace::Joint(self.joint(joint)?),
            PiecePlace::Taper(id) => PiecePlace::Taper(*self.tapers.get(&id)?),
        })
    }

    fn side(&self, side: WeldSide) -> Option<WeldSide> {
        match side {
            WeldSide::Piece(place) => self.place(place).map(WeldSide::Piece),
            WeldSide::Start | WeldSide::End => Some(side),
        }
    }

    fn weld(&self, weld: WeldKey) -> Option<WeldKey> {
        Some(WeldKey { before: self.side(weld.before)?, after: self.side(weld.after)? })
    }
}

/// The run under a name of its own, with letters and ids that were never given, also of all that is on it; the weld that is
/// fitted last is the same one. It runs between the same hardpoints still.
pub(super) fn renewed(project: &mut Project, run: &Run, name: &str) -> Run {
    let mut ids = Ids::default();
    let waypoints = run.waypoints.iter().map(|w| {
        let id = WaypointId(project.fresh_id());
        ids.waypoints.insert(w.id, id);
        Waypoint { id, ..*w }
    });
    let waypoints = waypoints.collect();
    let fittings = run.fittings.iter().map(|f| {
        let id = FittingId(project.fresh_id());
        ids.fittings.insert(f.id, id);
        Fitting { id, ..*f }
    });
    let fittings = fittings.collect();
    let tapers = run.tapers.iter().map(|t| {
        let id = TaperId(project.fresh_id());
        ids.tapers.insert(t.id, id);
        Taper { id, ..*t }
    });
    let tapers = tapers.collect();
    let parts = run.parts.iter().map(|p| Part { id: PartId(project.fresh_id()), ..p.clone() }).collect();
    Run {
        id: RunId(project.fresh_id()),
        name: free_name(name, &project.runs.iter().map(|r| r.name.as_str())),
        letters: project.fresh_letters(),
        waypoints,
        fittings,
        tapers,
        parts,
        fit_weld: run.fit_weld.and_then(|weld| ids.weld(weld)),
        ..run.clone()
    }
}

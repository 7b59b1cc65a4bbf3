//! Edits and what each refuses.

use crate::finding::Problem;
use crate::model::{
    Attachment, Bar, BendMake, Body, BodyId, Datum, DonePiece, ElbowStock, Hardpoint, Item, JointKind, Merge,
    MergeId, Obstacle, Onto, PartKind, Project, Run, RunEnd, Seat, Settings, Tube,
};
use crate::seat;

/// One change of a project. `Put…` adds the item, or replaces the one with its id.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Edit {
    SetName(String),
    SetSettings(Settings),
    PutBody(Body),
    PutDatum(Datum),
    PutTube(Tube),
    PutElbow(ElbowStock),
    PutJoint(JointKind),
    PutHardpoint(Hardpoint),
    PutObstacle(Obstacle),
    PutRun(Run),
    PutMerge(Merge),
    PutBar(Box<Bar>),
    SetHidden(Item, bool),
    /// Pieces that have been sawn; each replaces what was sawn as that piece before.
    PutDone(Vec<DonePiece>),
    /// What was sawn and is not counted any more, as it stands in the project.
    ForgetDone(Vec<DonePiece>),
    Remove(Item),
    /// Several changes that are one to the user.
    All(Vec<Self>),
}

/// Why an edit was refused; the project is untouched. `Display` is a sentence.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum EditError {
    #[error("{item} is used by {user}: change that first.")]
    InUse { item: String, user: String },
    #[error("The last body cannot be deleted: everything belongs to one.")]
    LastBody,
    #[error(
        "{tube} is in the list of tubes already: use that one, or give this one another size or material."
    )]
    DoubleTube { tube: String },
    #[error("It is not in the project any more.")]
    Gone,
    #[error("{}", problem.text(*units))]
    OutOfRange { problem: Box<Problem>, units: crate::units::UnitSystem },
}

/// The project after `edit`.
pub fn apply(project: &Project, edit: &Edit) -> Result<Project, EditError> {
    let mut next = project.clone();
    change(&mut next, edit)?;
    raise_next_id(&mut next, edit);
    // only what is new may be refused: a file that loaded passes
    match seat::settle_checked(&mut next).into_iter().next() {
        None => Ok(next),
        Some(fault) => {
            Err(EditError::OutOfRange { problem: Box::new(fault.into()), units: next.settings.units })
        }
    }
}

fn put<T, I: PartialEq>(list: &mut Vec<T>, item: &T, id: impl Fn(&T) -> I)
where
    T: Clone,
{
    match list.iter_mut().find(|x| id(x) == id(item)) {
        Some(old) => old.clone_from(item),
        None => list.push(item.clone()),
    }
}

/// Adds a run, or puts it in the place of the one with its id. A new one gets letters that were never given; one that is
/// there keeps its own, as they stand on its pieces.
fn put_run(p: &mut Project, run: &Run) {
    if let Some(old) = p.runs.iter_mut().find(|r| r.id == run.id) {
        *old = Run { letters: std::mem::take(&mut old.letters), ..run.clone() };
        return;
    }
    let letters = if p.are_fresh(&run.letters) { run.letters.clone() } else { p.fresh_letters() };
    p.take_letters(&letters);
    p.runs.push(Run { letters, ..run.clone() });
}

/// Sizes of tube that differ by less than this read alike in every list, mm.
const READS_ALIKE_MM: f64 = 0.005;

/// Refuses a tube that would read like another one. What stands in a file that way already can be changed in all else.
fn refuse_double(p: &Project, tube: &Tube) -> Result<(), EditError> {
    let alike = |t: &Tube| {
        t.material == tube.material
            && (t.od_mm - tube.od_mm).abs() < READS_ALIKE_MM
            && (t.wall_mm - tube.wall_mm).abs() < READS_ALIKE_MM
    };
    let as_before = p.tube(tube.id).is_some_and(alike);
    if !as_before && p.tubes.iter().any(|t| t.id != tube.id && alike(t)) {
        return Err(EditError::DoubleTube { tube: p.tube_name(tube) });
    }
    Ok(())
}

fn change(p: &mut Project, edit: &Edit) -> Result<(), EditError> {
    match edit {
        Edit::SetName(name) => p.name.clone_from(name),
        Edit::SetSettings(settings) => p.settings = settings.clone(),
        Edit::PutBody(x) => put(&mut p.bodies, x, |x| x.id),
        Edit::PutDatum(x) => put(&mut p.datums, x, |x| x.id),
        Edit::PutTube(x) => {
            refuse_double(p, x)?;
            put(&mut p.tubes, x, |x| x.id);
        }
        Edit::PutElbow(x) => put(&mut p.elbows, x, |x| x.id),
        Edit::PutJoint(x) => put(&mut p.joints, x, |x| x.id),
        Edit::PutHardpoint(x) => put(&mut p.hardpoints, x, |x| x.id),
        Edit::PutObstacle(x) => put(&mut p.obstacles, x, |x| x.id),
        Edit::PutRun(x) => put_run(p, x),
        Edit::PutMerge(x) => put(&mut p.merges, x, |x| x.id),
        Edit::PutBar(x) => put(&mut p.bars, x.as_ref(), |x| x.id),
        Edit::SetHidden(item, hidden) => set_hidden(p, *item, *hidden)?,
        Edit::PutDone(pieces) => {
            for piece in pieces {
                p.done.retain(|old| old.key.is_none() || old.key != piece.key);
                p.done.push(piece.clone());
            }
        }
        Edit::ForgetDone(pieces) => p.done.retain(|old| !pieces.contains(old)),
        Edit::Remove(item) => remove(p, *item)?,
        Edit::All(edits) => {
            for edit in edits {
                change(p, edit)?;
            }
        }
    }
    Ok(())
}

/// Ids handed out by the caller from a copy of the project must not be handed out again.
fn raise_next_id(p: &mut Project, edit: &Edit) {
    let used = match edit {
        Edit::PutBody(x) => x.id.0,
        Edit::PutDatum(x) => x.id.0,
        Edit::PutTube(x) => x.id.0,
        Edit::PutElbow(x) => x.id.0,
        Edit::PutJoint(x) => x.id.0,
        Edit::PutHardpoint(x) => x.id.0,
        Edit::PutObstacle(x) => x.id.0,
        Edit::PutRun(x) => {
            let inner = x.waypoints.iter().map(|w| w.id.0).chain(x.fittings.iter().map(|f| f.id.0));
            let inner = inner.chain(x.tapers.iter().map(|t| t.id.0)).chain(x.parts.iter().map(|p| p.id.0));
            inner.fold(x.id.0, u32::max)
        }
        Edit::PutMerge(x) => x.id.0,
        Edit::PutBar(x) => x.id.0,
        Edit::All(edits) => {
            for edit in edits {
                raise_next_id(p, edit);
            }
            return;
        }
        Edit::SetName(_)
        | Edit::SetSettings(_)
        | Edit::SetHidden(..)
        | Edit::PutDone(_)
        | Edit::ForgetDone(_)
        | Edit::Remove(_) => return,
    };
    p.next_id = p.next_id.max(used.saturating_add(1));
}

fn set_hidden(p: &mut Project, item: Item, hidden: bool) -> Result<(), EditError> {
    let flag = match item {
        Item::Hardpoint(id) => p.hardpoints.iter_mut().find(|x| x.id == id).map(|x| &mut x.hidden),
        Item::Obstacle(id) => p.obstacles.iter_mut().find(|x| x.id == id).map(|x| &mut x.hidden),
        Item::Run(id) => p.runs.iter_mut().find(|x| x.id == id).map(|x| &mut x.hidden),
        Item::Datum(id) => p.datums.iter_mut().find(|x| x.id == id).map(|x| &mut x.hidden),
        Item::Merge(id) => p.merges.iter_mut().find(|x| x.id == id).map(|x| &mut x.hidden),
        Item::Bar(id) => p.bars.iter_mut().find(|x| x.id == id).map(|x| &mut x.hidden),
        Item::Body(_) | Item::Tube(_) | Item::Elbow(_) | Item::Joint(_) => None,
    };
    *flag.ok_or(EditError::Gone)? = hidden;
    Ok(())
}

/// Whether a hardpoint is one of a merge's own.
fn is_of_merge(port: &Hardpoint, id: MergeId) -> bool {
    match port.seat {
        Some(Seat::Arm { merge, .. } | Seat::Outlet { merge }) => merge == id,
        Some(Seat::Run { .. }) | None => false,
    }
}

/// Whether a bracket ties the run to a body.
fn holds(run: &Run, body: BodyId) -> bool {
    run.parts.iter().any(|p| match &p.kind {
        PartKind::Bracket(b) => b.held.is_some_and(|h| h.body == body),
        PartKind::Bung(_) | PartKind::Stub(_) | PartKind::Shield(_) | PartKind::Bead(_) => false,
    })
}

/// The first thing that needs `item`, by name.
pub fn user_of(p: &Project, item: Item) -> Option<String> {
    let makes = |run: &Run, wanted: BendMake| run.vertices().iter().any(|v| run.make(*v) == Some(wanted));
    match item {
        Item::Body(id) => p
            .hardpoints
            .iter()
            .find(|h| h.body == id)
            .map(|h| h.name.clone())
            .or_else(|| p.obstacles.iter().find(|o| o.body == id).map(|o| o.name.clone()))
            .or_else(|| p.datums.iter().find(|d| d.body == id).map(|d| d.name.clone()))
            .or_else(|| p.merges.iter().find(|m| m.body == id).map(|m| m.name.clone()))
            .or_else(|| {
                let on = |b: &&Bar| b.ends.iter().any(|end| end.body == id);
                p.bars.iter().find(on).map(|b| b.name.clone())
            })
            .or_else(|| p.runs.iter().find(|r| holds(r, id)).map(|r| r.name.clone())),
        Item::Tube(id) => {
            let made_of = |r: &&Run| r.tube == id || r.tapers.iter().any(|t| t.tube == id);
            p.runs.iter().find(made_of).map(|r| r.name.clone())
        }
        Item::Elbow(id) => {
            p.runs.iter().find(|r| makes(r, BendMake::Elbow { elbow: id })).map(|r| r.name.clone())
        }
        Item::Joint(id) => {
            let port = p
                .hardpoints
                .iter()
                .find(|h| matches!(h.attachment, Attachment::Joint { joint, .. } if joint == id));
            port.map(|h| h.name.clone()).or_else(|| {
                p.runs.iter().find(|r| r.fittings.iter().any(|f| f.joint == id)).map(|r| r.name.clone())
            })
        }
        Item::Hardpoint(id) => {
            let ends = |r: &Run| matches!(r.end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == id);
            p.runs.iter().find(|r| r.start == id || ends(r)).map(|r| r.name.clone())
        }
        Item::Run(id) => {
            let on = |h: &&Hardpoint| matches!(h.seat, Some(Seat::Run { run, .. }) if run == id);
            let port = p.hardpoints.iter().find(on).map(|h| h.name.clone());
            port.or_else(|| bar_on(p, Onto::Run(id)))
        }
        // its own hardpoints go with it, unless a run comes to one
        Item::Merge(id) => {
            let own = p.hardpoints.iter().filter(|h| is_of_merge(h, id));
            own.map(|h| Item::Hardpoint(h.id)).find_map(|port| user_of(p, port))
        }
        Item::Bar(id) => bar_on(p, Onto::Bar(id)),
        Item::Obstacle(_) | Item::Datum(_) => None,
    }
}

/// The first bar with an end coped onto it, by name.
fn bar_on(p: &Project, onto: Onto) -> Option<String> {
    let sits = |bar: &&Bar| bar.ends.iter().any(|end| end.make.onto() == Some(onto));
    p.bars.iter().find(sits).map(|b| b.name.clone())
}

fn remove(p: &mut Project, item: Item) -> Result<(), EditError> {
    if !p.has(item) {
        return Err(EditError::Gone);
    }
    if matches!(item, Item::Body(_)) && p.bodies.len() == 1 {
        return Err(EditError::LastBody);
    }
    if let Some(user) = user_of(p, item) {
        return Err(EditError::InUse { item: p.name_of(item), user });
    }
    match item {
        Item::Body(id) => p.bodies.retain(|x| x.id != id),
        Item::Datum(id) => p.datums.retain(|x| x.id != id),
        Item::Tube(id) => p.tubes.retain(|x| x.id != id),
        Item::Elbow(id) => p.elbows.retain(|x| x.id != id),
        Item::Joint(id) => p.joints.retain(|x| x.id != id),
        Item::Hardpoint(id) => p.hardpoints.retain(|x| x.id != id),
        Item::Obstacle(id) => p.obstacles.retain(|x| x.id != id),
        Item::Run(id) => {
            p.runs.retain(|x| x.id != id);
            p.done.retain(|d| d.key.is_none_or(|key| key.run != id));
        }
        Item::Merge(id) => {
            p.merges.retain(|x| x.id != id);
            p.hardpoints.retain(|h| !is_of_merge(h, id));
        }
        Item::Bar(id) => p.bars.retain(|x| x.id != id),
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::run_through;
    use glam::DVec3;

    fn sample() -> Project {
        run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]).0
    }

    #[test]
    fn what_is_in_use_stays_and_the_user_is_named() {
        let p = sample();
        for item in [
            Item::Tube(p.tubes[0].id),
            Item::Hardpoint(p.hardpoints[0].id),
            Item::Hardpoint(p.hardpoints[1].id),
        ] {
            let error = apply(&p, &Edit::Remove(item)).unwrap_err();
            assert!(error.to_string().contains("used by Run"), "{error}");
        }
        assert_eq!(apply(&p, &Edit::Remove(Item::Body(p.bodies[0].id))), Err(EditError::LastBody));
        let without = apply(&p, &Edit::Remove(Item::Run(p.runs[0].id))).unwrap();
        assert!(apply(&without, &Edit::Remove(Item::Tube(p.tubes[0].id))).is_ok());
        assert_eq!(apply(&without, &Edit::Remove(Item::Run(p.runs[0].id))), Err(EditError::Gone));
    }

    #[test]
    fn numbers_out_of_range_are_refused_and_nothing_changes() {
        let p = sample();
        let mut port = p.hardpoints[0].clone();
        port.position_mm.z = f64::NAN;
        let error = apply(&p, &Edit::PutHardpoint(port)).unwrap_err();
        assert!(error.to_string().contains("Z of from is not a number"), "{error}");
    }

    #[test]
    fn putting_replaces_by_id_or_adds_and_keeps_ids_fresh() {
        let p = sample();
        let mut run = p.runs[0].clone();
        run.name = "Hot side".to_owned();
        let renamed = apply(&p, &Edit::PutRun(run.clone())).unwrap();
        assert_eq!((renamed.runs.len(), renamed.runs[0].name.as_str()), (1, "Hot side"));
        run.id = crate::model::RunId(5000);
        let mut two = apply(&p, &Edit::PutRun(run)).unwrap();
        assert_eq!(two.runs.len(), 2);
        assert!(two.fresh_id() > 5000);
    }

    #[test]
    fn hiding_works_on_what_is_drawn_only() {
        let p = sample();
        let hidden = apply(&p, &Edit::SetHidden(Item::Run(p.runs[0].id), true)).unwrap();
        assert!(hidden.runs[0].hidden);
        assert_eq!(apply(&p, &Edit::SetHidden(Item::Tube(p.tubes[0].id), true)), Err(EditError::Gone));
    }
}

//! New merges, and tubes into and out of them.

use super::super::Edit;
use super::free_name;
use crate::model::{
    BodyId, Hardpoint, HardpointId, Item, Merge, MergeArm, MergeId, MergeJoin, Project, Seat,
};
use glam::DVec3;

/// A merge with the hardpoints that runs come to.
#[derive(Debug, Clone, PartialEq)]
pub struct NewMerge {
    /// The merge.
    pub merge: Merge,
    /// Its arms' hardpoints in order, then its outlet's.
    pub ports: Vec<Hardpoint>,
}

impl NewMerge {
    /// What puts it into the project.
    pub fn edit(&self) -> Edit {
        let ports = self.ports.iter().cloned().map(Edit::PutHardpoint);
        Edit::All(std::iter::once(Edit::PutMerge(self.merge.clone())).chain(ports).collect())
    }
}

/// A merge of two tubes at `position_mm` that lets out forward, its arms 15° to either side.
pub fn merge(project: &mut Project, position_mm: DVec3) -> NewMerge {
    let name = free_name("Merge", &project.merges.iter().map(|m| m.name.as_str()));
    let body = project.bodies.first().map_or(BodyId(1), |b| b.id);
    let od_mm = project.tubes.first().map_or(63.5, |t| t.od_mm);
    let id = MergeId(project.fresh_id());
    let arm = |clock_deg| MergeArm { angle_deg: 15.0, clock_deg };
    let merge = Merge {
        id,
        name: name.clone(),
        body,
        position_mm,
        direction: DVec3::X,
        clock: DVec3::Z,
        arms: vec![arm(90.0), arm(270.0)],
        join: MergeJoin::Mitred,
        hidden: false,
    };
    let seats = [
        ("inlet 1", Seat::Arm { merge: id, arm: 0 }),
        ("inlet 2", Seat::Arm { merge: id, arm: 1 }),
        ("outlet", Seat::Outlet { merge: id }),
    ];
    let port = |(part, seat): (&str, Seat)| Hardpoint {
        id: HardpointId(project.fresh_id()),
        name: format!("{name}, {part}"),
        body,
        position_mm,
        direction: DVec3::X,
        clock: DVec3::Z,
        od_mm,
        attachment: crate::model::Attachment::Welded,
        seat: Some(seat),
        hidden: false,
    };
    NewMerge { merge, ports: seats.map(port).to_vec() }
}

/// The middle of the widest gap between places round a tube, degrees; straight up where there is none yet.
fn widest_gap_deg(taken_deg: impl Iterator<Item = f64>) -> f64 {
    let mut clocks: Vec<f64> = taken_deg.map(|c| c.rem_euclid(360.0)).collect();
    clocks.sort_by(f64::total_cmp);
    let Some(first) = clocks.first().copied() else { return 0.0 };
    let next = clocks.iter().skip(1).copied().chain([first + 360.0]);
    let gaps = clocks.iter().zip(next).map(|(a, b)| (b - a, *a));
    let (gap, from) = gaps.fold((0.0, first), |best, this| if this.0 > best.0 { this } else { best });
    (from + gap / 2.0).rem_euclid(360.0)
}

/// One more tube into a merge, with its hardpoint: leaning like the last one, where there is most room round the outlet.
pub fn merge_arm(project: &mut Project, merge: &Merge) -> Edit {
    let angle_deg = merge.arms.last().map_or(15.0, |last| last.angle_deg);
    let clock_deg = widest_gap_deg(merge.arms.iter().map(|a| a.clock_deg));
    let arm = merge.arms.len();
    let mut merge = merge.clone();
    merge.arms.push(MergeArm { angle_deg, clock_deg });
    let port = Hardpoint {
        id: HardpointId(project.fresh_id()),
        name: format!("{}, inlet {}", merge.name, arm + 1),
        body: merge.body,
        position_mm: merge.position_mm,
        direction: DVec3::X,
        clock: DVec3::Z,
        od_mm: project.tubes.first().map_or(63.5, |t| t.od_mm),
        attachment: crate::model::Attachment::Welded,
        seat: Some(Seat::Arm { merge: merge.id, arm }),
        hidden: false,
    };
    Edit::All(vec![Edit::PutMerge(merge), Edit::PutHardpoint(port)])
}

/// A merge without one of its tubes and without that one's hardpoint; those after it move up.
///
/// # Errors
/// A sentence where a run still comes to that hardpoint.
pub fn without_arm(project: &Project, merge: &Merge, arm: usize) -> Result<Edit, String> {
    let mut new = merge.clone();
    if arm < new.arms.len() {
        new.arms.remove(arm);
    }
    let mut edits = vec![Edit::PutMerge(new)];
    for port in &project.hardpoints {
        match port.seat {
            Some(Seat::Arm { merge: of, arm: at }) if of == merge.id && at == arm => {
                let item = Item::Hardpoint(port.id);
                if let Some(user) = super::super::apply::user_of(project, item) {
                    return Err(format!("{} is used by {user}: change that first.", port.name));
                }
                edits.push(Edit::Remove(item));
            }
            Some(Seat::Arm { merge: of, arm: at }) if of == merge.id && at > arm => {
                let seat = Some(Seat::Arm { merge: of, arm: at - 1 });
                edits.push(Edit::PutHardpoint(Hardpoint { seat, ..port.clone() }));
            }
            Some(Seat::Arm { .. } | Seat::Outlet { .. } | Seat::Run { .. }) | None => {}
        }
    }
    Ok(Edit::All(edits))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::bench_project;

    #[test]
    fn a_third_tube_of_a_merge_goes_where_there_is_most_room() {
        let mut project = bench_project();
        let NewMerge { mut merge, .. } = merge(&mut project, DVec3::ZERO);
        // at 90° and 270° both gaps are half a turn: the first of them
        let cases = [(&[90.0, 270.0][..], 180.0), (&[350.0, 30.0], 190.0), (&[0.0], 180.0), (&[], 0.0)];
        for (clocks, wanted) in cases {
            merge.arms = clocks.iter().map(|c| MergeArm { angle_deg: 20.0, clock_deg: *c }).collect();
            let Edit::All(edits) = merge_arm(&mut project, &merge) else { panic!("a merge and a hardpoint") };
            let Some(Edit::PutMerge(new)) = edits.first() else { panic!("the merge first") };
            assert!((new.arms[clocks.len()].clock_deg - wanted).abs() < 1e-9, "{clocks:?}");
        }
    }
}

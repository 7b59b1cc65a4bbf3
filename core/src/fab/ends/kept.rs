//! What comes out as it did before a change: runs and merges of which nothing has changed that they are made from.
//!
//! A run is made from what is entered of it, from stock and settings, and from the runs it is joined to: the one that it
//! sits on, those that sit on it, those that come to one merge with it. So runs that are joined are worked out together,
//! and one that is dragged leaves all others as they are.

use crate::model::{Hardpoint, HardpointId, MergeId, Project, Run, RunEnd, RunId, Seat};
use std::collections::{BTreeMap, BTreeSet};

/// What has not changed.
#[derive(Debug, Clone, Default)]
pub struct Kept {
    /// Runs that come out as before.
    pub runs: BTreeSet<RunId>,
    /// Merges that do.
    pub merges: BTreeSet<MergeId>,
}

/// A run or a merge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Member {
    Run(RunId),
    Merge(MergeId),
}

/// Compares two projects.
pub fn kept(before: &Project, now: &Project) -> Kept {
    let same_shop = before.settings == now.settings
        && before.tubes == now.tubes
        && before.elbows == now.elbows
        && before.joints == now.joints
        && before.bodies == now.bodies;
    if !same_shop {
        return Kept::default();
    }
    let (old, new) = (Parts::of(before), Parts::of(now));
    let (old_groups, new_groups) = (old.groups(), new.groups());
    let mut out = Kept::default();
    for (member, group) in &new_groups {
        let same_group = old_groups.get(member) == Some(group);
        if same_group && group.iter().all(|m| old.has_same(&new, *m)) {
            match member {
                Member::Run(id) => out.runs.extend([*id]),
                Member::Merge(id) => out.merges.extend([*id]),
            }
        }
    }
    out
}

/// A project, looked up by what things are.
struct Parts<'a> {
    project: &'a Project,
    runs: BTreeMap<RunId, &'a Run>,
    hardpoints: BTreeMap<HardpointId, &'a Hardpoint>,
    /// The hardpoints that sit at each merge, in their order.
    at_merge: BTreeMap<MergeId, Vec<&'a Hardpoint>>,
}

impl<'a> Parts<'a> {
    fn of(project: &'a Project) -> Self {
        let mut at_merge: BTreeMap<MergeId, Vec<&Hardpoint>> = BTreeMap::new();
        for port in &project.hardpoints {
            if let Some(Seat::Arm { merge, .. } | Seat::Outlet { merge }) = port.seat {
                at_merge.entry(merge).or_default().push(port);
            }
        }
        Self {
            project,
            runs: project.runs.iter().map(|r| (r.id, r)).collect(),
            hardpoints: project.hardpoints.iter().map(|h| (h.id, h)).collect(),
            at_merge,
        }
    }

    /// The hardpoints a run starts and ends at.
    fn ports(&self, run: &Run) -> [Option<&'a Hardpoint>; 2] {
        let end = match run.end {
            RunEnd::Hardpoint { hardpoint, .. } => Some(hardpoint),
            RunEnd::Open { .. } => None,
        };
        [Some(run.start), end].map(|id| self.hardpoints.get(&id?).copied())
    }

    /// For every run and merge, all that are joined to it, itself included.
    fn groups(&self) -> BTreeMap<Member, BTreeSet<Member>> {
        let mut joined: BTreeMap<Member, BTreeSet<Member>> = BTreeMap::new();
        for merge in &self.project.merges {
            joined.entry(Member::Merge(merge.id)).or_default();
        }
        for run in &self.project.runs {
            let own = Member::Run(run.id);
            joined.entry(own).or_default();
            for seat in self.ports(run).into_iter().flatten().filter_map(|port| port.seat) {
                let other = match seat {
                    Seat::Run { run, .. } => Member::Run(run),
                    Seat::Arm { merge, .. } | Seat::Outlet { merge } => Member::Merge(merge),
                };
                joined.entry(own).or_default().insert(other);
                joined.entry(other).or_default().insert(own);
            }
        }
        let mut groups: BTreeMap<Member, BTreeSet<Member>> = BTreeMap::new();
        for member in joined.keys() {
            if groups.contains_key(member) {
                continue;
            }
            let mut group = BTreeSet::new();
            let mut open = vec![*member];
            while let Some(next) = open.pop() {
                if group.insert(next) {
                    open.extend(joined.get(&next).into_iter().flatten());
                }
            }
            groups.extend(group.iter().map(|m| (*m, group.clone())));
        }
        groups
    }

    /// Whether what is entered of a run or a merge is the same in another project.
    fn has_same(&self, other: &Self, member: Member) -> bool {
        match member {
            Member::Run(id) => match (self.runs.get(&id), other.runs.get(&id)) {
                (Some(a), Some(b)) => a == b && self.ports(a) == other.ports(b),
                // a seat on a run that is not there
                (None, None) => true,
                (Some(_), None) | (None, Some(_)) => false,
            },
            Member::Merge(id) => {
                let of = |parts: &Self| parts.project.merges.iter().find(|m| m.id == id).cloned();
                of(self) == of(other) && self.at_merge.get(&id) == other.at_merge.get(&id)
            }
        }
    }
}

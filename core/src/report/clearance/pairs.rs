//! One run against one obstacle or one other run.

use super::moved::{moved_to_obstacle, moved_to_run, travel_mm};
use super::subject::{Subject, Trims};
use super::{ClearanceReport, LOOK_MM, boxes_apart_mm, entry};
use crate::geom::Solid;
use crate::model::{Hardpoint, Item, Obstacle};
use crate::space::lobe::LEAST_GAP_MM;
use crate::space::{PlacedShape, tightest, tightest_between};

/// How much of the run next to its start and its end does not count, mm.
pub(in crate::report) type Stubs = (f64, f64);

/// The gap the run should keep to an obstacle, mm: more where heat would harm it.
pub(in crate::report) fn required_mm(subject: &Subject<'_>, obstacle: &Obstacle) -> f64 {
    let heat = subject.run.service.is_hot() && obstacle.heat_sensitive;
    let hot_gap_mm = obstacle.hot_gap_mm.unwrap_or(subject.project.settings.hot_gap_mm);
    if heat { obstacle.gap_mm.max(hot_gap_mm) } else { obstacle.gap_mm }
}

/// The part a run is fixed to always touches it: the stub next to the face does not count against its body.
pub(in crate::report) fn stubs_mm(subject: &Subject<'_>, obstacle: &Obstacle, required_mm: f64) -> Stubs {
    let stub = subject.radius_mm + required_mm;
    let own = |port: Option<&Hardpoint>| port.is_some_and(|h: &Hardpoint| h.body == obstacle.body);
    let length = |port| if own(port) { stub } else { 0.0 };
    (length(subject.start), length(subject.end))
}

/// The gap to an obstacle, and those of tools that it keeps from getting on.
pub(super) fn against_obstacle(
    trims: &mut Trims<'_, '_>,
    obstacle: &Obstacle,
    shape: &PlacedShape,
) -> Vec<ClearanceReport> {
    let subject = trims.subject;
    let required = required_mm(subject, obstacle);
    let reach_mm = LOOK_MM + travel_mm(subject.project, subject.bounds);
    if shape.bounds().is_some_and(|b| boxes_apart_mm(subject.bounds, b) > reach_mm) {
        return Vec::new();
    }
    let stubs = stubs_mm(subject, obstacle, required);
    let solids = trims.get(stubs.0, stubs.1);
    let item = Item::Obstacle(obstacle.id);
    let drawn = tightest(&solids.bare, shape, LOOK_MM)
        .map(|(index, gap)| entry(subject, &obstacle.name, item, required, &solids.placed[index], &gap));
    let found = moved_to_obstacle(subject, obstacle, shape, (stubs, required), drawn);
    let is_hotter = required > obstacle.gap_mm;
    let mut out: Vec<ClearanceReport> =
        found.into_iter().map(|e| ClearanceReport { heat: is_hotter, ..e }).collect();
    out.extend(tools_against(subject, &obstacle.name, item, &|solids| {
        tightest(solids, shape, LEAST_GAP_MM).map(|(_, gap)| gap)
    }));
    out
}

/// Tools of the run's joints that cannot get on because of what `nearest` measures to.
fn tools_against(
    subject: &Subject<'_>,
    against: &str,
    item: Item,
    nearest: &dyn Fn(&[Solid]) -> Option<crate::space::Gap>,
) -> Vec<ClearanceReport> {
    let blocked = subject.tools.iter().filter_map(|tool| {
        let gap = nearest(&tool.solids)?;
        let solid = subject.built.solids.iter().find(|s| s.piece == tool.piece)?;
        Some(ClearanceReport {
            part: format!("The tool for {}", subject.mark(tool.piece)),
            tool: true,
            lobe: false,
            ..entry(subject, against, item, LEAST_GAP_MM, solid, &gap)
        })
    });
    blocked.collect()
}

/// The gaps between two runs as each of them lists them. Only one of the two makes a finding of each.
pub(super) fn against_run(
    trims: &mut Trims<'_, '_>,
    other: &Subject<'_>,
) -> (Vec<ClearanceReport>, Vec<ClearanceReport>) {
    let subject = trims.subject;
    let required = subject.run.gap_mm.max(other.run.gap_mm);
    let reach_mm = LOOK_MM + travel_mm(subject.project, subject.bounds);
    if boxes_apart_mm(subject.bounds, other.bounds) > reach_mm {
        return (Vec::new(), Vec::new());
    }
    // runs that meet at one port: the stubs there touch by design
    let meets = |a: Option<&Hardpoint>| {
        a.is_some_and(|a| {
            [other.start, other.end]
                .into_iter()
                .flatten()
                .any(|b| a.position_mm.distance(b.position_mm) < 1.0)
        })
    };
    let stub = subject.radius_mm + other.radius_mm + required;
    let length = |port| if meets(port) { stub } else { 0.0 };
    let stubs = (length(subject.start), length(subject.end));
    let solids = trims.get(stubs.0, stubs.1);
    let others: Vec<Solid> = other.built.solids.iter().map(|s| s.solid).collect();
    let (my_item, their_item) = (Item::Run(subject.run.id), Item::Run(other.run.id));
    let drawn = tightest_between(&solids.bare, &others, LOOK_MM, &|_, _| false).map(|(mine, theirs, gap)| {
        let back = gap.turned_round();
        [
            entry(subject, &other.run.name, their_item, required, &solids.placed[mine], &gap),
            entry(other, &subject.run.name, my_item, required, &other.built.solids[theirs], &back),
        ]
    });
    let (mut mine, mut theirs) = (Vec::new(), Vec::new());
    if let Some([a, b]) = moved_to_run(subject, other, (stubs, required), drawn) {
        mine.push(a);
        theirs.push(ClearanceReport { told_already: true, ..b });
    }
    let bare = |s: &Subject<'_>| s.built.solids.iter().map(|p| p.solid).collect::<Vec<_>>();
    let to = |solids: Vec<Solid>| {
        move |tool: &[Solid]| {
            tightest_between(tool, &solids, LEAST_GAP_MM, &|_, _| false).map(|(.., gap)| gap)
        }
    };
    mine.extend(tools_against(subject, &other.run.name, their_item, &to(bare(other))));
    theirs.extend(tools_against(other, &subject.run.name, my_item, &to(bare(subject))));
    mine.extend(hot_to_hoses(subject, other, stubs));
    theirs.extend(hot_to_hoses(other, subject, (0.0, 0.0)));
    (mine, theirs)
}

/// A hot run against the hoses of another: heat harms them, whatever they carry.
fn hot_to_hoses(hot: &Subject<'_>, other: &Subject<'_>, stubs: Stubs) -> Vec<ClearanceReport> {
    let required = hot.project.settings.hot_gap_mm;
    if !hot.run.service.is_hot() || required <= hot.run.gap_mm.max(other.run.gap_mm) {
        return Vec::new();
    }
    let mine = super::subject::trimmed(hot, &hot.built.solids, stubs.0, stubs.1);
    let bare: Vec<Solid> = mine.iter().map(|p| p.solid).collect();
    let hoses = other.built.solids.iter().filter(|s| !s.lobe && other.is_hose(s.piece));
    let close = hoses.filter_map(|hose| {
        let (index, _, gap) = tightest_between(&bare, &[hose.solid], required, &|_, _| false)?;
        let against = format!("hose {} of {}", other.mark(hose.piece), other.run.name);
        let found = entry(hot, &against, Item::Run(other.run.id), required, &mine[index], &gap);
        Some(ClearanceReport { heat: true, ..found })
    });
    close.collect()
}

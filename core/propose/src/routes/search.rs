//! The search for routes between two ends: first what closed forms give, then rough guides repaired one after the other.
//! It tells each route as it is found and goes on until its counted effort is spent.

use super::closed::{one_bend, straight, two_bends};
use super::field::Field;
use super::guide::Guides;
use super::improve::{Good, alike, forced, good, improved};
use super::prove::{Blocked, Verdict, blocked, prove};
use super::random::Random;
use super::task::Task;
use pipeloft_core::watch::Watch;
use std::sync::Arc;

/// How long to look, in counted steps: the same effort gives the same answers on every machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Rough guides that are repaired.
    pub guides: usize,
    /// Cells that a proof may look at.
    pub cells: usize,
}

impl Effort {
    /// So many guides, and cells for a proof in proportion.
    pub const fn of(guides: usize) -> Self {
        Self { guides, cells: 10_000 * guides }
    }
}

impl Default for Effort {
    fn default() -> Self {
        Self::of(40)
    }
}

/// Why there is no route, or none was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Why {
    /// Proved: the pipe cannot leave its start straight.
    StartBlocked(Blocked),
    /// Proved: the pipe cannot come straight to its end.
    EndBlocked(Blocked),
    /// Proved: no pipe of this size gets through within the box.
    NoWay,
    /// Not found in what was searched, though a ball of this size gets through: room to turn, or the straights, may be
    /// what fails.
    NoTurn,
    /// Not found in what was searched.
    NotFound,
    /// Stopped before it was known.
    Stopped,
}

/// What a search came to.
#[derive(Debug, Clone)]
pub(super) struct Outcome {
    /// Different routes, cheapest first.
    pub(super) routes: Vec<Good>,
    /// Why there is none, where there is none.
    pub(super) why: Option<Why>,
}

/// Routes that cost more than this times the best are not kept.
const DEAREST: f64 = 1.6;

/// No more are kept.
const MOST: usize = 24;

/// Routes found so far.
struct Found {
    /// Lines that are nowhere further apart than this are one route, mm.
    within_mm: f64,
    routes: Vec<Good>,
}

impl Found {
    /// Keeps a route unless one like it is as cheap; whether it was kept.
    fn keep(&mut self, route: Good) -> bool {
        let within_mm = self.within_mm;
        let mut alike_to = self.routes.iter().filter(|r| alike(&r.line, &route.line, within_mm));
        if alike_to.any(|r| r.cost <= route.cost + 1e-6) {
            return false;
        }
        self.routes.retain(|r| !alike(&r.line, &route.line, within_mm));
        self.routes.push(route);
        self.routes.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        let most = DEAREST * self.routes[0].cost;
        self.routes.retain(|r| r.cost <= most);
        self.routes.truncate(MOST);
        true
    }

    /// Whether one is as cheap as it already.
    fn has_better(&self, route: &Good) -> bool {
        let within_mm = self.within_mm;
        self.routes.iter().any(|r| r.cost <= route.cost && alike(&r.line, &route.line, within_mm))
    }
}

/// Looks for routes. Each that is new or better is told as it comes; what is returned holds them all.
pub(super) fn search(task: &Task, effort: Effort, watch: &dyn Watch, tell: &mut dyn FnMut(&Good)) -> Outcome {
    let none = |why| Outcome { routes: Vec::new(), why: Some(why) };
    if let Some(blocked) = blocked(task, false) {
        return none(Why::StartBlocked(blocked));
    }
    if let Some(blocked) = blocked(task, true) {
        return none(Why::EndBlocked(blocked));
    }
    let mut found = Found { within_mm: 2.0 * task.radius_mm, routes: Vec::new() };
    let mut offer = |found: &mut Found, route: Good| {
        if found.keep(route.clone()) {
            tell(&route);
        }
    };
    let few = straight(task).into_iter().chain(one_bend(task).filter(|_| task.most_bends >= 1));
    for vertices in few {
        if let Some(route) = good(task, vertices) {
            offer(&mut found, route);
        }
    }
    if task.most_bends >= 2 {
        for vertices in two_bends(task, 4) {
            if let Some(route) = good(task, vertices) {
                offer(&mut found, route);
            }
        }
    }
    watch.progress(0.05);
    if watch.is_cancelled() || effort.guides == 0 {
        let why = found.routes.is_empty().then_some(Why::Stopped);
        return Outcome { routes: found.routes, why };
    }
    let field = Arc::new(Field::new(task));
    let ends = [task.start.0, task.end.0];
    let task = &Task { room: task.room.knowing(Arc::clone(&field), ends), ..task.clone() };
    let guides = Guides::new(task, &field);
    watch.progress(0.1);
    guided(task, (&field, &guides), (effort, watch), &mut |route| {
        let better = !found.has_better(&route);
        if better {
            // as it is first, so that somebody has something to look at
            offer(&mut found, route.clone());
            let polished = improved(task, route);
            offer(&mut found, polished);
        }
        better
    });
    let why = found.routes.is_empty().then(|| {
        if watch.is_cancelled() {
            return Why::Stopped;
        }
        match prove(task, effort.cells, watch) {
            Verdict::NoWay => Why::NoWay,
            Verdict::BallPasses => Why::NoTurn,
            Verdict::Unknown if watch.is_cancelled() => Why::Stopped,
            Verdict::Unknown => Why::NotFound,
        }
    });
    watch.progress(1.0);
    Outcome { routes: found.routes, why }
}

/// Guides by lot, each repaired or dropped; `keep` says whether one was of use.
fn guided(
    task: &Task,
    (field, guides): (&Field, &Guides<'_>),
    (effort, watch): (Effort, &dyn Watch),
    keep: &mut dyn FnMut(Good) -> bool,
) {
    let Some(shortest_mm) = guides.shortest_mm else { return };
    let mut random = Random::new(7);
    let mut wide = 1.5;
    let (mut found, mut in_round) = (false, 0);
    let mut lots = 0;
    let mut done = 0;
    while done < effort.guides && lots < 400 * effort.guides {
        if watch.is_cancelled() {
            return;
        }
        lots += 1;
        let most_mm = 1.5 * (shortest_mm * wide + 8.0 * task.clr_mm);
        let Some(guide) = guides.guide(&mut random, most_mm) else { continue };
        done += 1;
        in_round += 1;
        if let Some(route) = forced(task, &guide, Some(field))
            && keep(route)
        {
            found = true;
        }
        if in_round >= if found { 10 } else { 40 } {
            wide *= 1.6;
            in_round = 0;
        }
        watch.progress(0.1 + 0.9 * done as f64 / effort.guides as f64);
    }
}

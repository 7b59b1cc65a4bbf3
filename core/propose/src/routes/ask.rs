//! Routes for a run of a project: the search in its room, with the report as the judge of what it finds.

use super::improve::{Good, mended};
use super::judge::{Before, Judged, Proposal, judge, raise};
use super::prove::Blocked;
use super::put::{held_mm, put};
use super::scene::{Ends, asked, bounds, ends, radii_mm, room};
use super::search::{Effort, Outcome, Why, search};
use super::task::{Task, Weights};
use super::ways::Way;
use pipeloft_core::fab::trace;
use pipeloft_core::finding::{NoRoute, RouteCure};
use pipeloft_core::geom::tolerance::SLIVER_MM;
use pipeloft_core::model::{Attachment, BendMake, Hardpoint, Item, Project, Run, RunEnd, RunId};
use pipeloft_core::report::{AskedGap, own_near_mm};
use pipeloft_core::watch::{Stage, Unwatched, Watch};

/// What routes are asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// For which run.
    pub run: RunId,
    /// The ways bends may be made; all there are where it is empty.
    pub ways: Vec<Way>,
    /// Shortest straight, mm; what the saw and the stock allow where not given.
    pub shortest_mm: Option<f64>,
    /// Most bends.
    pub most_bends: usize,
    /// How many routes.
    pub most: usize,
    /// What one route is better than another by.
    pub weights: Weights,
    /// How long to look, for each way to make bends.
    pub effort: Effort,
}

impl Ask {
    /// What is usually asked.
    pub fn of(run: RunId) -> Self {
        Self {
            run,
            ways: Vec::new(),
            shortest_mm: None,
            most_bends: 6,
            most: 6,
            weights: Weights::default(),
            effort: Effort::default(),
        }
    }
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposals {
    /// Different routes, cheapest first. The report finds nothing that stops them and no gap too small.
    pub routes: Vec<Proposal>,
    /// Why there is none, where there is none.
    pub none: Option<NoRoute>,
    /// What would help then, as far as it was tried.
    pub cures: Vec<RouteCure>,
}

impl Proposals {
    fn none(why: NoRoute) -> Self {
        Self { routes: Vec::new(), none: Some(why), cures: Vec::new() }
    }

    /// Why there is no route, in a sentence; `None` where there are some.
    pub fn none_because(&self, project: &Project) -> Option<String> {
        self.none.as_ref().map(|why| why.text(&self.cures, project.settings.units))
    }
}

/// Rounds in which what the report misses is asked for in addition.
const ROUNDS: usize = 4;

/// The room round both ends that is searched first: at least this, mm, and these shares of their distance and of the radius.
const MARGIN_MM: f64 = 150.0;
const MARGIN_SPAN: f64 = 0.35;
const MARGIN_RADII: f64 = 3.5;

/// How much larger it is made where nothing was found.
const WIDER: f64 = 2.5;

/// A scene to search in, for one way to make bends.
pub(super) struct Scene<'a> {
    pub(super) before: Before<'a>,
    pub(super) run: &'a Run,
    pub(super) asked: Vec<AskedGap>,
    pub(super) ends: Ends,
    /// What is asked for beyond what the report does, by gap, mm; and of the gap to itself.
    pub(super) more_mm: Vec<f64>,
    pub(super) own_more_mm: f64,
    /// How far from the start and from the end things on the first and the last leg reach, mm.
    held_mm: (f64, f64),
}

impl<'a> Scene<'a> {
    /// The scene of a run; the sentence why there is none else.
    pub(super) fn new(before: Before<'a>, run: RunId) -> Result<Self, NoRoute> {
        let Some(run) = before.project.run(run) else { return Err(NoRoute::NoSuchRun) };
        let Some(ends) = ends(before.project, run) else {
            let why = match trace(before.project, run) {
                Err(problem) => {
                    pipeloft_core::finding::Problem::Route(problem).text(before.project.settings.units)
                }
                Ok(_) => String::new(),
            };
            return Err(NoRoute::NoEnds { why });
        };
        let asked = asked(before.project, before.report, run);
        let more_mm = vec![0.0; asked.len()];
        let held_mm = held_mm(before.project, run);
        Ok(Self { before, run, asked, ends, more_mm, own_more_mm: 0.0, held_mm })
    }

    /// Vertices of the run as it is, as far as it has some.
    pub(super) fn points(&self) -> Vec<glam::DVec3> {
        trace(self.before.project, self.run).map(|route| route.points).unwrap_or_default()
    }

    /// The task for one way to make bends.
    pub(super) fn task(&self, ask: &Ask, way: &Way, wider: f64) -> Option<Task> {
        let project = self.before.project;
        let rule = way.rule(project, self.run)?;
        let radius_mm = radii_mm(project, self.run)?;
        let span_mm = self.ends.start.0.distance(self.ends.end.0);
        let margin_mm = wider * MARGIN_MM.max(MARGIN_SPAN * span_mm).max(MARGIN_RADII * rule.clr_mm);
        let bounds = bounds(&self.ends, &self.points(), margin_mm);
        let shortest_mm = ask.shortest_mm.unwrap_or(SLIVER_MM);
        Some(Task {
            room: room(project, self.before.scans, (self.run, &self.asked), &self.more_mm, bounds),
            start: self.ends.start,
            end: self.ends.end,
            radius_mm,
            clr_mm: rule.clr_mm,
            bending: rule.bending,
            most_bend_rad: rule.most_rad,
            each: Vec::new(),
            ends_mm: self.ends_mm(shortest_mm),
            straight_mm: shortest_mm,
            most_bends: ask.most_bends,
            own_near_mm: own_near_mm(2.0 * radius_mm, self.run.gap_mm),
            own_gap_mm: self.run.gap_mm + self.own_more_mm,
            weights: ask.weights,
        })
    }

    /// Shortest straights at the ends: what a joint takes there, and then as much as everywhere.
    pub(super) fn ends_mm(&self, shortest_mm: f64) -> (f64, f64) {
        let project = self.before.project;
        let of = |port: Option<&Hardpoint>| match port.map(|h| h.attachment) {
            Some(Attachment::Joint { joint, .. }) => project.joint(joint).map_or(shortest_mm, |kind| {
                let body_mm = f64::midpoint(kind.body_width_mm, kind.make_up_mm);
                body_mm.max(kind.make_up_mm).max(0.0).max(kind.make_up_mm.max(0.0) + shortest_mm)
            }),
            Some(Attachment::Welded | Attachment::Loose) => shortest_mm,
            None => 0.0,
        };
        let end = match self.run.end {
            RunEnd::Hardpoint { hardpoint, .. } => project.hardpoint(hardpoint),
            RunEnd::Open { .. } => None,
        };
        let (start_mm, end_mm) = (of(project.hardpoint(self.run.start)), of(end));
        (start_mm.max(self.held_mm.0), end_mm.max(self.held_mm.1))
    }

    /// A good line judged by the report, mended as often as that asks for more; the sentence against it else.
    fn judged(&mut self, ask: &Ask, (way, wider): (&Way, f64), good: &Good) -> Result<Proposal, String> {
        let project = self.before.project;
        let mut good = good.clone();
        let mut why = String::new();
        for _ in 0..ROUNDS {
            let makes: Option<Vec<BendMake>> =
                good.line.angles.iter().map(|a| way.make(project, self.run, *a)).collect();
            let Some(run) = makes.and_then(|m| put(project, self.run, &good.line, &m)) else { break };
            match judge(self.before, &run, &ask.weights) {
                Judged::Sound(proposal) => return Ok(*proposal),
                Judged::Unsound(text) => return Err(text),
                Judged::Tight(lacks, text) => {
                    why = text;
                    let own = Item::Run(self.run.id);
                    raise(&lacks, &self.asked, own, (&mut self.more_mm, &mut self.own_more_mm));
                }
            }
            let Some(task) = self.task(ask, way, wider) else { break };
            match mended(&task, &good.vertices, 40) {
                Ok(mended) => good = mended,
                Err(_) => break,
            }
        }
        Err(why)
    }
}

/// Looks for routes. Each is told as it comes, the first ones quickly; what is returned holds those that are left, ranked.
pub fn propose(
    before: Before<'_>,
    ask: &Ask,
    watch: &dyn Watch,
    tell: &mut dyn FnMut(&Proposal),
) -> Proposals {
    let mut scene = match Scene::new(before, ask.run) {
        Ok(scene) => scene,
        Err(why) => return Proposals::none(why),
    };
    let ways = if ask.ways.is_empty() { Way::all(before.project, scene.run) } else { ask.ways.clone() };
    let mut routes: Vec<Proposal> = Vec::new();
    let mut nones: Vec<NoRoute> = Vec::new();
    for (i, way) in ways.iter().enumerate() {
        let part = |i: usize| i as f64 / ways.len() as f64;
        let stage = Stage { watch, from: part(i), to: part(i + 1) };
        nones.extend(by_one_way(&mut scene, ask, way, &stage, &mut |route| {
            keep(&mut routes, route.clone());
            tell(&route);
        }));
        if watch.is_cancelled() {
            break;
        }
    }
    routes.truncate(ask.most);
    watch.progress(1.0);
    if !routes.is_empty() {
        return Proposals { routes, none: None, cures: Vec::new() };
    }
    let tube = before.project.tube(scene.run.tube).map(|t| before.project.tube_name(t));
    let none = least_sure(nones).unwrap_or_else(|| {
        if watch.is_cancelled() {
            NoRoute::Stopped
        } else {
            NoRoute::NoMake { tube: tube.unwrap_or_default() }
        }
    });
    let cures = if watch.is_cancelled() { Vec::new() } else { cures(&mut scene, ask, &ways, &none) };
    Proposals { routes, none: Some(none), cures }
}

/// Of what is said for several ways to make bends, what holds for all: a proof only where each has one.
fn least_sure(nones: Vec<NoRoute>) -> Option<NoRoute> {
    let rank = |n: &NoRoute| match n {
        NoRoute::Refused { .. } => 0,
        NoRoute::Stopped => 1,
        NoRoute::NotFound { .. } => 2,
        NoRoute::NoTurn => 3,
        NoRoute::NoWay { .. } => 4,
        NoRoute::Blocked { .. } => 5,
        NoRoute::NoMake { .. }
        | NoRoute::NoEnds { .. }
        | NoRoute::NoSuchRun
        | NoRoute::NoMend
        | NoRoute::NoTidy { .. } => 6,
    };
    nones.into_iter().min_by_key(rank)
}

/// Keeps a route in the ranking unless one that is like it is cheaper.
fn keep(routes: &mut Vec<Proposal>, route: Proposal) {
    let like = |a: &Proposal| {
        a.bends.len() == route.bends.len()
            && a.vertices_mm.len() == route.vertices_mm.len()
            && a.vertices_mm.iter().zip(&route.vertices_mm).all(|(p, q)| p.distance(*q) < 30.0)
    };
    if routes.iter().any(|r| like(r) && r.cost <= route.cost + 1e-9) {
        return;
    }
    routes.retain(|r| !like(r));
    routes.push(route);
    routes.sort_by(|a, b| a.cost.total_cmp(&b.cost));
}

/// Routes with bends made in one way; why there is none, where there is none.
fn by_one_way(
    scene: &mut Scene<'_>,
    ask: &Ask,
    way: &Way,
    watch: &dyn Watch,
    tell: &mut dyn FnMut(Proposal),
) -> Option<NoRoute> {
    let mut none = None;
    for wider in [1.0, WIDER] {
        let task = scene.task(ask, way, wider)?;
        let mut refused: Option<String> = None;
        let mut accepted: Vec<f64> = Vec::new();
        let Outcome { routes, why } = search(&task, ask.effort, watch, &mut |good| {
            // what comes first is shown at once; later only what is clearly better, until all is known
            let better = accepted.iter().all(|cost| good.cost < 0.97 * cost);
            if better {
                match scene.judged(ask, (way, wider), good) {
                    Ok(route) => {
                        accepted.push(good.cost);
                        tell(route);
                    }
                    Err(text) => refused = Some(text),
                }
            }
        });
        let mut count = 0;
        for good in &routes {
            if count >= ask.most {
                break;
            }
            match scene.judged(ask, (way, wider), good) {
                Ok(route) => {
                    count += 1;
                    tell(route);
                }
                Err(text) => refused = Some(text),
            }
        }
        if count > 0 || !accepted.is_empty() {
            return None;
        }
        none = match why {
            None => Some(NoRoute::Refused { why: refused.unwrap_or_default() }),
            Some(why) => Some(no_route(scene, ask, (why, &task))),
        };
        let larger_helps = match none {
            Some(
                NoRoute::NoWay { .. } | NoRoute::NoTurn | NoRoute::NotFound { .. } | NoRoute::Refused { .. },
            ) => true,
            Some(
                NoRoute::Blocked { .. }
                | NoRoute::Stopped
                | NoRoute::NoSuchRun
                | NoRoute::NoEnds { .. }
                | NoRoute::NoMake { .. }
                | NoRoute::NoMend
                | NoRoute::NoTidy { .. },
            )
            | None => false,
        };
        if !larger_helps || watch.is_cancelled() {
            break;
        }
    }
    none
}

fn no_route(scene: &Scene<'_>, ask: &Ask, (why, task): (Why, &Task)) -> NoRoute {
    let name = |blocked: &Blocked| {
        let asked = task.room.things[blocked.thing].asked;
        scene.asked.get(asked).map_or_else(String::new, |gap| scene.before.project.name_of(gap.other))
    };
    let blocked = |b: &Blocked, at_end| NoRoute::Blocked {
        at_end,
        against: name(b),
        free_mm: b.free_mm,
        needs_mm: b.needs_mm,
    };
    match why {
        Why::StartBlocked(b) => blocked(&b, false),
        Why::EndBlocked(b) => blocked(&b, true),
        Why::NoWay => NoRoute::NoWay {
            od_mm: 2.0 * task.radius_mm,
            size_mm: (task.room.bounds.1 - task.room.bounds.0).to_array(),
        },
        Why::NoTurn => NoRoute::NoTurn,
        Why::NotFound => NoRoute::NotFound { tried: ask.effort.guides },
        Why::Stopped => NoRoute::Stopped,
    }
}

/// Guides that a cure is tried with.
const CURE_GUIDES: usize = 12;

/// Things that are tried to be left out.
const MOST_WITHOUT: usize = 3;

/// What would help: fewer demands one at a time, each tried shortly.
fn cures(scene: &mut Scene<'_>, ask: &Ask, ways: &[Way], none: &NoRoute) -> Vec<RouteCure> {
    let effort = Effort::of(CURE_GUIDES.min(ask.effort.guides));
    let mut out = Vec::new();
    let Some(way) = ways.first() else { return out };
    let works = |task: &Task| !search(task, effort, &Unwatched, &mut |_| {}).routes.is_empty();
    if matches!(none, NoRoute::NotFound { .. } | NoRoute::NoTurn) {
        let more = ask.most_bends + 3;
        let freer = Ask { most_bends: more, ..ask.clone() };
        if scene.task(&freer, way, 1.0).is_some_and(|t| works(&t)) {
            out.push(RouteCure::MoreBends { bends: more });
        }
    }
    let shortest_mm = ask.shortest_mm.unwrap_or(SLIVER_MM);
    if shortest_mm > 0.0 && !matches!(none, NoRoute::NoWay { .. }) {
        let freer = Ask { shortest_mm: Some(0.0), ..ask.clone() };
        if scene.task(&freer, way, 1.0).is_some_and(|t| works(&t)) {
            out.push(RouteCure::ShorterStraight { shortest_mm: 0.0 });
        }
    }
    // the things nearest to the straight line between the ends first
    let Some(task) = scene.task(ask, way, 1.0) else { return out };
    let middle = scene.ends.start.0.midpoint(scene.ends.end.0);
    let mut near: Vec<(f64, usize)> = Vec::new();
    for thing in &task.room.things {
        let mm = thing.distance(middle, f64::INFINITY).map_or(f64::INFINITY, |(mm, _)| mm);
        if !near.iter().any(|(_, asked)| *asked == thing.asked) {
            near.push((mm, thing.asked));
        }
    }
    if let NoRoute::Blocked { against, .. } = none {
        near.retain(|(_, asked)| {
            scene.asked.get(*asked).is_some_and(|g| scene.before.project.name_of(g.other) == *against)
        });
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (_, asked) in near.into_iter().take(MOST_WITHOUT) {
        let mut without = task.clone();
        without.room.things.retain(|t| t.asked != asked);
        if works(&without)
            && let Some(gap) = scene.asked.get(asked)
        {
            out.push(RouteCure::Without { name: scene.before.project.name_of(gap.other) });
            break;
        }
    }
    out
}

//! Cures for a run as it is drawn: the smallest change of its waypoints that clears what the report finds, and bends brought
//! to angles that the shop can make.

use super::ask::{Ask, Scene};
use super::check::{gap_fault, own_fault, shape_fault};
use super::improve::{Good, forced, mended};
use super::judge::{Before, Judged, Proposal, judge, raise};
use super::put::put;
use super::random::Random;
use super::repair::{Manner, repair};
use super::task::Task;
use super::ways::{Way, rule_of};
use glam::DVec3;
use pipeloft_core::fab::{Route, trace};
use pipeloft_core::finding::NoRoute;
use pipeloft_core::model::{BendMake, Item, RunId};
use pipeloft_core::watch::Watch;

/// Rounds in which what the report misses is asked for in addition.
const ROUNDS: usize = 5;

/// Straights may be as short as this where a run is mended, mm: what is drawn shorter than usual may stay so.
const SHORTEST_MM: f64 = 0.0;

/// Tries to bring all bends to angles that can be made.
const MOST_TRIES: usize = 24;

/// A run as it is drawn, ready to be moved.
struct Drawn<'a> {
    scene: Scene<'a>,
    vertices: Vec<DVec3>,
    makes: Vec<BendMake>,
}

impl<'a> Drawn<'a> {
    fn new(before: Before<'a>, run: RunId) -> Result<Self, NoRoute> {
        let scene = Scene::new(before, run)?;
        let route: Route = trace(before.project, scene.run).map_err(|problem| NoRoute::NoEnds {
            why: pipeloft_core::finding::Problem::Route(problem).text(before.project.settings.units),
        })?;
        let vertices = route.bends.iter().map(|b| b.point).collect();
        let makes = route.bends.iter().map(|b| scene.run.make(b.vertex)).collect::<Option<Vec<_>>>();
        Ok(Self { scene, vertices, makes: makes.unwrap_or_default() })
    }

    /// The task to move it, with bends as they are made.
    fn task(&self, ask: &Ask) -> Option<Task> {
        let project = self.scene.before.project;
        let way = Way::all(project, self.scene.run).into_iter().next()?;
        let mut task = self.scene.task(ask, &way, 1.0)?;
        let rules: Option<Vec<_>> = self.makes.iter().map(|m| rule_of(project, *m)).collect();
        task.each = rules?;
        if let Some(first) = task.each.first() {
            (task.clr_mm, task.bending, task.most_bend_rad) = (first.clr_mm, first.bending, first.most_rad);
        }
        task.most_bends = self.vertices.len().max(1);
        Some(task)
    }
}

fn asked(run: RunId) -> Ask {
    Ask { shortest_mm: Some(SHORTEST_MM), ..Ask::of(run) }
}

/// The run with the smallest change of its waypoints that clears what is wrong with its gaps, straights and bends.
///
/// # Errors
/// Why there is none, as facts.
pub fn mend(before: Before<'_>, run: RunId, watch: &dyn Watch) -> Result<Proposal, NoRoute> {
    let mut drawn = Drawn::new(before, run)?;
    let ask = asked(run);
    let mut from = drawn.vertices.clone();
    let mut why = String::new();
    for round in 0..ROUNDS {
        if watch.is_cancelled() {
            return Err(NoRoute::Stopped);
        }
        watch.progress(round as f64 / ROUNDS as f64);
        let Some(task) = drawn.task(&ask) else { return Err(NoRoute::Refused { why }) };
        let Some(good) = nearest_good(&task, &from) else { break };
        let makes = if good.line.bends() == drawn.makes.len() {
            drawn.makes.clone()
        } else {
            // a bend more or less than drawn: all are made as the first is
            let Some(first) = drawn.makes.first() else { break };
            vec![*first; good.line.bends()]
        };
        let Some(put) = put(before.project, drawn.scene.run, &good.line, &makes) else { break };
        match judge(before, &put, &ask.weights) {
            Judged::Sound(proposal) => return Ok(*proposal),
            Judged::Unsound(text) => {
                why = text;
                break;
            }
            Judged::Tight(lacks, text) => {
                why = text;
                let own = Item::Run(run);
                let scene = &mut drawn.scene;
                raise(&lacks, &scene.asked, own, (&mut scene.more_mm, &mut scene.own_more_mm));
                from = good.vertices;
            }
        }
    }
    Err(if why.is_empty() { NoRoute::NoMend } else { NoRoute::Refused { why } })
}

/// A good line near to `vertices`: those themselves where they are good.
fn nearest_good(task: &Task, vertices: &[DVec3]) -> Option<Good> {
    let line = task.line(vertices)?;
    let faulty = shape_fault(task, &line).is_some()
        || gap_fault(task, &line).is_some()
        || own_fault(task, &line).is_some();
    if !faulty {
        let cost = task.cost(&line);
        return Some(Good { vertices: vertices.to_vec(), line, cost });
    }
    let Ok(far) = mended(task, vertices, 60) else {
        let freer = Task { most_bends: vertices.len() + 2, ..task.clone() };
        return forced(&freer, vertices, None);
    };
    // from half way the repair may end nearer to what is drawn
    let moved_mm = |v: &[DVec3]| v.iter().zip(vertices).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max);
    let nearer = [0.25, 0.5, 0.75].into_iter().filter_map(|part| {
        let between: Vec<DVec3> = vertices.iter().zip(&far.vertices).map(|(a, b)| a.lerp(*b, part)).collect();
        mended(task, &between, 60).ok()
    });
    let all: Vec<Good> = nearer.chain(std::iter::once(far.clone())).collect();
    all.into_iter().min_by(|a, b| moved_mm(&a.vertices).total_cmp(&moved_mm(&b.vertices)))
}

/// Steps that the angle of a bend can be made in, degrees: slices go by twice their number of steps of the saw; elbows are
/// cut to whole degrees (common practice, no source).
fn step_deg(project: &pipeloft_core::model::Project, make: BendMake) -> f64 {
    match make {
        BendMake::Elbow { .. } => 1.0,
        BendMake::Mitred { saw_deg: Some(saw), .. } => 2.0 * saw,
        BendMake::Mitred { welds, .. } => {
            let step = project.settings.saw.step_deg;
            2.0 * f64::from(welds.max(1)) * if step > 0.0 { step } else { 0.25 }
        }
    }
}

/// The run with all its bends at angles that the shop can make, ending exactly on its ports: with its waypoints moved as
/// little as that takes.
///
/// # Errors
/// Why there is none, as facts.
pub fn tidy(before: Before<'_>, run: RunId, watch: &dyn Watch) -> Result<Proposal, NoRoute> {
    let drawn = Drawn::new(before, run)?;
    let ask = asked(run);
    let none = NoRoute::NoTidy { bends: drawn.vertices.len() };
    let Some(task) = drawn.task(&ask) else { return Err(none) };
    let Some(line) = task.line(&drawn.vertices) else { return Err(none) };
    let steps: Vec<f64> = drawn.makes.iter().map(|m| step_deg(before.project, *m).to_radians()).collect();
    let mut random = Random::new(11);
    let mut why = String::new();
    let (mut best, mut best_mm): (Option<Proposal>, f64) = (None, f64::INFINITY);
    for tried in 0..MOST_TRIES {
        if watch.is_cancelled() {
            return best.ok_or(NoRoute::Stopped);
        }
        watch.progress(tried as f64 / MOST_TRIES as f64);
        let turns: Vec<f64> = line
            .angles
            .iter()
            .zip(&steps)
            .map(|(angle, step)| {
                let count = angle / step;
                let whole = match tried {
                    0 => count.round(),
                    1..12 => (count.floor() + random.below(2) as f64).max(1.0),
                    _ => (count.round() + random.below(7) as f64 - 3.0).max(1.0),
                };
                whole.max(1.0) * step
            })
            .collect();
        let manner = Manner { steps: 60, turns: Some(&turns), ..Manner::EXACT };
        let Some(done) = repair(&task, &drawn.vertices, &manner) else { return Err(none) };
        let Some(snapped) = task.line(&done.vertices) else { continue };
        let off = snapped.angles.iter().zip(&turns).map(|(a, t)| (a - t).abs()).fold(0.0, f64::max);
        let sound = shape_fault(&task, &snapped).is_none()
            && gap_fault(&task, &snapped).is_none()
            && own_fault(&task, &snapped).is_none();
        if off > 1e-7 || !sound {
            continue;
        }
        let moved = done.vertices.iter().zip(&drawn.vertices).map(|(a, b)| a.distance(*b));
        let moved_mm = moved.fold(0.0, f64::max);
        if moved_mm >= best_mm {
            continue;
        }
        let Some(put) = put(before.project, drawn.scene.run, &snapped, &drawn.makes) else { continue };
        match judge(before, &put, &ask.weights) {
            Judged::Sound(proposal) => (best, best_mm) = (Some(*proposal), moved_mm),
            Judged::Unsound(text) | Judged::Tight(_, text) => why = text,
        }
    }
    watch.progress(1.0);
    best.ok_or(if why.is_empty() { none } else { NoRoute::Refused { why } })
}

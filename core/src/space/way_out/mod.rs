//! Whether a section of pipe can be taken off when the joints round it are opened, and how.
//!
//! First straight pulls are tried, along many directions that the faces allow; each is followed exactly. Where
//! there is none, poses are searched: shifts and turns on a lattice, every step between them proved free. What is
//! found is proved; what is not found is only that, except where the faces alone hold the section.
//!
//! Everything is the same on every run: nothing depends on the time it takes.

mod mate;
mod pull;
mod scene;
mod search;
mod slide;
mod stance;
#[cfg(test)]
mod tests;
mod tidy;
pub(super) mod words;

pub use mate::{Mate, MateKind, SKIN_MM};
pub use pull::Pull;
pub use scene::Blocker;
pub use stance::Stance;
pub use words::{Move, direction_in_words};

use super::shape::PlacedShape;
use crate::geom::Solid;
use glam::DVec3;
use mate::{SPIGOT_RAD, closed, held_fast};
use scene::Scene;

/// Poses searched before giving up, unless asked otherwise.
pub const USUAL_POSES: usize = 2000;

/// What is to be taken off, and from what.
#[derive(Debug, Clone, Copy)]
pub struct Task<'a> {
    /// The solids of the section: tube, elbows, and the halves of joints that stay on it.
    pub section: &'a [Solid],
    /// The faces it comes away from.
    pub mates: &'a [Mate],
    /// Solids that stay: the rest of the run, other runs, the other halves of the joints.
    pub fixed: &'a [Solid],
    /// Obstacles.
    pub shapes: &'a [PlacedShape],
    /// Gap to keep while moving, mm. What lies nearer than this where the section rests may stay as near.
    pub need_mm: f64,
    /// A section that was moved this far without running into anything is out, mm.
    pub far_mm: f64,
    /// Most poses to search.
    pub most_poses: usize,
}

/// A way out that is proved: from where the section rests to where it is out.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// What the section is turned about.
    pub pivot: DVec3,
    /// Where it is one after the other; the first is at rest. Between two the shift and the rotation vector grow
    /// evenly, as [`Stance::toward`] has it.
    pub stances: Vec<Stance>,
}

/// Why no way was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stop {
    /// Of all straight pulls this one gets furthest.
    Runs {
        /// Unit direction.
        direction: DVec3,
        /// How far it gets, mm.
        distance_mm: f64,
        /// What it runs into.
        into: Blocker,
    },
    /// It runs into this where it rests.
    AtRest(Blocker),
    /// The faces leave no direction for a straight pull.
    Faces,
    /// No one direction draws all spigots and leaves all faces.
    Spigots,
    /// There is not enough straight for a hose to be slid back.
    Hose {
        /// Which of the mates.
        mate: usize,
        /// How much straight is lacking, mm.
        lacks_mm: f64,
    },
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// It comes off with a straight pull.
    Pull(Pull),
    /// It comes off with shifts and turns.
    Way(Way),
    /// It can not come off: the faces hold it against every shift and turn.
    Cannot,
    /// No way was found, which does not prove that there is none.
    NoWay(Stop),
    /// There is nothing to take off.
    Nothing,
    /// A number is not finite, a length below zero or a direction no direction.
    Unsound,
    /// It was told to stop.
    Stopped,
}

/// The answer and what was tried for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The answer.
    pub answer: Answer,
    /// Straight pulls that the faces allow.
    pub pulls_allowed: usize,
    /// Those of them that come out.
    pub pulls_free: usize,
    /// Poses that were searched.
    pub poses: usize,
}

impl From<Answer> for Outcome {
    fn from(answer: Answer) -> Self {
        Self { answer, pulls_allowed: 0, pulls_free: 0, poses: 0 }
    }
}

/// How far the work is (0 to 1) is told to this; it says whether to go on.
pub type GoOn<'a> = dyn FnMut(f64) -> bool + 'a;

/// Finds out whether the section comes off.
pub fn find_way_out(task: &Task<'_>, go_on: &mut GoOn<'_>) -> Outcome {
    if let Some(answer) = at_once(task) {
        return answer.into();
    }
    match drawn(task) {
        Ok(drawn) => work(task, &drawn, go_on),
        Err(stop) => Answer::NoWay(stop).into(),
    }
}

/// The answer where it needs no geometry of the surroundings.
fn at_once(task: &Task<'_>) -> Option<Answer> {
    let lengths = [task.need_mm, task.far_mm];
    let sound = lengths.iter().all(|l| l.is_finite() && *l >= 0.0)
        && task.section.iter().chain(task.fixed).all(Solid::is_finite)
        && task.mates.iter().all(Mate::is_sound)
        && task.shapes.iter().all(scene::is_finite);
    if !sound {
        return Some(Answer::Unsound);
    }
    if task.section.is_empty() {
        return Some(Answer::Nothing);
    }
    let touching: Vec<Mate> = task.mates.iter().filter(|m| m.kind == MateKind::Flat).cloned().collect();
    if closed(&touching) && held_fast(&touching) {
        return Some(Answer::Cannot);
    }
    task.mates.iter().enumerate().find_map(|(mate, m)| match m.kind {
        MateKind::Hose { slide_mm, straight_mm } if straight_mm < slide_mm => {
            Some(Answer::NoWay(Stop::Hose { mate, lacks_mm: slide_mm - straight_mm }))
        }
        MateKind::Flat | MateKind::Spigot { .. } | MateKind::Hose { .. } => None,
    })
}

/// The section with its spigots drawn.
struct Drawn<'a> {
    scene: Scene<'a>,
    /// At rest, and where it was drawn to if there are spigots.
    stances: Vec<Stance>,
}

/// Draws the spigots along the direction that suits all of them.
fn drawn<'a>(task: &Task<'a>) -> Result<Drawn<'a>, Stop> {
    let cut = |mate: &Mate| if mate.depth_mm() > 0.0 { SKIN_MM } else { mate.skin_mm() };
    let held = Scene::new(task, &cut, None).map_err(Stop::AtRest)?;
    let spigots: Vec<&Mate> = task.mates.iter().filter(|m| m.depth_mm() > 0.0).collect();
    if spigots.is_empty() {
        return Ok(Drawn { scene: held, stances: vec![Stance::REST] });
    }
    let suits = |u: &DVec3| {
        spigots.iter().all(|m| crate::geom::vector::angle_between(*u, m.out) <= SPIGOT_RAD)
            && mate::allowed(task.mates.iter().filter(|m| m.kind == MateKind::Flat), *u)
    };
    let all = spigots.iter().map(|m| m.out).sum::<DVec3>().try_normalize();
    let along = all.into_iter().chain(spigots.iter().map(|m| m.out)).find(suits).ok_or(Stop::Spigots)?;
    let length_mm = spigots.iter().map(|m| m.depth_mm() / along.dot(m.out)).fold(0.0, f64::max);
    if let Some(contact) = held.slide(&Stance::REST, along, length_mm, 0.0) {
        return Err(Stop::Runs { direction: along, distance_mm: contact.at_mm, into: contact.by });
    }
    let whole = |mate: &Mate| mate.skin_mm() - mate.depth_mm();
    let scene = Scene::new(task, &whole, Some(&held)).map_err(Stop::AtRest)?;
    Ok(Drawn { scene, stances: vec![Stance::REST, Stance::REST.shifted(along * length_mm)] })
}

fn work(task: &Task<'_>, drawn: &Drawn<'_>, go_on: &mut GoOn<'_>) -> Outcome {
    let Some(pulls) = pull::pulls(task, drawn, go_on) else { return Answer::Stopped.into() };
    let mut outcome = Outcome {
        answer: Answer::NoWay(pulls.stop),
        pulls_allowed: pulls.allowed,
        pulls_free: pulls.free,
        poses: 0,
    };
    if let Some(best) = pulls.best {
        outcome.answer = Answer::Pull(best);
        return outcome;
    }
    let found = search::search(task, drawn, go_on);
    outcome.poses = found.poses;
    if found.stopped {
        outcome.answer = Answer::Stopped;
    } else if let Some(stances) = found.stances {
        outcome.answer = Answer::Way(Way { pivot: drawn.scene.pivot, stances });
    }
    outcome
}

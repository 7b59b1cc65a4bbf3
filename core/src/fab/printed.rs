//! A run with the numbers it is sawn to: which weld is fitted last, what is added to its pieces, what has been sawn.

use super::build::Built;
use super::done::{Done, Sawn, is_as_long};
use super::paper::{Exact, Given, Paper, Steps, at_tilts_mm, paper};
use super::piece::{Cut, Piece, PieceKind};
use super::weld_plan::{Added, FieldFit, WeldPlan, Wish, added, plan};
use crate::model::{DonePiece, Project, Run, RunEnd, Settings};
use crate::units::paper_step_mm;

/// The plan and the numbers of a run.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Printed {
    /// The order of tacking and the weld that is fitted last.
    pub plan: WeldPlan,
    /// The pieces as they are sawn; none where the run cannot be built.
    pub paper: Paper,
    /// For each piece whether it has been sawn.
    pub sawn: Vec<Sawn>,
}

/// Steps of the numbers on paper for these settings.
pub fn steps(settings: &Settings) -> Steps {
    Steps { length_mm: paper_step_mm(settings.units), saw_rad: settings.saw.step_deg.to_radians() }
}

/// Plans and rounds a run; `ready` says which pieces come from the shelf.
///
/// Pieces that have been sawn keep the sizes they were given, and the one among them that was left longer to be trimmed
/// keeps its weld for the one that is fitted last, unless the fabricator chose another.
pub fn printed(project: &Project, run: &Run, built: &Built, ready: &[bool], done: &Done<'_>) -> Printed {
    let settings = &project.settings;
    let steps = steps(settings);
    let mut serving = serving(built, ready, done, (settings, steps));
    let left = |old: Option<&DonePiece>| old.and_then(|o| o.trim);
    let wish = Wish {
        weld: run.fit_weld,
        sawn: (0..serving.len()).find_map(|i| Some((i, left(serving[i])?.at_end))),
        fixed: &fixed(ready, |i| serving[i].is_some_and(|old| old.trim.is_none())),
        grip_mm: settings.saw.grip_mm,
        both_held: matches!(run.end, RunEnd::Hardpoint { .. }),
    };
    let plan = plan(&built.pieces, &built.frames, &built.welds, wish);
    // one that was left longer and is not to be trimmed is too long
    for (i, old) in serving.iter_mut().enumerate() {
        let is_trimmed = |f: FieldFit| left(*old).is_some_and(|t| f.piece == i && f.at_end == t.at_end);
        if left(*old).is_some() && !plan.fit.is_some_and(is_trimmed) {
            *old = None;
        }
    }
    let sawn = built.pieces.iter().enumerate().map(|(i, piece)| match serving[i] {
        Some(_) => Sawn::Yes,
        None if done.get(piece).is_some() && !ready.get(i).copied().unwrap_or(false) => Sawn::Otherwise,
        None => Sawn::No,
    });
    let sawn = sawn.collect();
    let (Some(route), Some(end)) = (built.route.as_ref(), built.end()) else {
        return Printed { plan, paper: Paper::default(), sawn };
    };
    let added = added(&built.pieces, &built.welds, ready, plan.fit, &settings.allowances);
    let given = |(piece, old): (&Piece, Option<&DonePiece>)| old.map(|old| given(piece, old));
    let given: Vec<Option<Given>> = built.pieces.iter().zip(serving.iter().copied()).map(given).collect();
    let mut apart_mm = vec![0.0; built.pieces.len() + 1];
    for weld in &built.welds {
        apart_mm[weld.before] = settings.allowances.weld_gap_mm - settings.allowances.shrink_mm;
    }
    let pieces = with_slash_on_step(run, &built.pieces, steps.saw_rad);
    let exact = Exact {
        route,
        pieces: &pieces,
        added: &added,
        fixed: ready,
        given: &given,
        apart_mm: &apart_mm,
        end,
    };
    Printed { paper: paper(&exact, steps), plan, sawn }
}

/// Pieces whose size cannot be changed: those from the shelf, and those of which `also` says so.
fn fixed(ready: &[bool], also: impl Fn(usize) -> bool) -> Vec<bool> {
    ready.iter().enumerate().map(|(i, ready)| *ready || also(i)).collect()
}

/// The sawn pieces that can be used: drawn as they were, and as long as paper asks for now.
fn serving<'a>(
    built: &Built,
    ready: &[bool],
    done: &Done<'a>,
    (settings, steps): (&Settings, Steps),
) -> Vec<Option<&'a DonePiece>> {
    let alike = done.still_drawn(&built.pieces);
    if !alike.contains(&true) {
        return vec![None; built.pieces.len()];
    }
    let wanted = Wanted::of(built, ready, settings);
    let serves = |i: usize, old: &DonePiece| {
        let trim_mm = old.trim.map_or(0.0, |t| t.trim_mm);
        wanted
            .sawn_at_mm(built, i, old)
            .is_some_and(|mm| is_as_long(old.centre_mm - trim_mm, mm, steps.length_mm))
    };
    let one = |(i, piece): (usize, &Piece)| {
        let is_free = alike[i] && !ready.get(i).copied().unwrap_or(false);
        done.get(piece).filter(|old| is_free && serves(i, old))
    };
    built.pieces.iter().enumerate().map(one).collect()
}

/// The lengths that pieces are sawn to before anything is rounded or left to trim.
#[derive(Debug, Clone)]
pub struct Wanted(Vec<Added>);

impl Wanted {
    /// Those of a run.
    pub fn of(built: &Built, ready: &[bool], settings: &Settings) -> Self {
        Self(added(&built.pieces, &built.welds, ready, None, &settings.allowances))
    }

    /// The length piece `index` is wanted at where its ends are cut at the tilts of `old`, mm.
    pub fn sawn_at_mm(&self, built: &Built, index: usize, old: &DonePiece) -> Option<f64> {
        let piece = built.pieces.get(index)?;
        let tilts_rad = [old.start_deg, old.end_deg].map(f64::to_radians);
        let longer_mm = at_tilts_mm(built.route.as_ref()?, &built.pieces, index, tilts_rad);
        Some(piece.blank().centre_mm + self.0.get(index)?.weld_mm + longer_mm)
    }
}

fn given(piece: &Piece, old: &DonePiece) -> Given {
    Given {
        centre_mm: old.centre_mm - (piece.blank().centre_mm - piece.centre_mm),
        tilts_rad: [old.start_deg, old.end_deg].map(f64::to_radians),
        trim_mm: old.trim.map_or(0.0, |t| t.trim_mm),
    }
}

/// The pieces with the cut of an open end at the nearest angle that the saw can be set to: it has to meet nothing.
fn with_slash_on_step(run: &Run, pieces: &[Piece], saw_rad: f64) -> Vec<Piece> {
    let mut out = pieces.to_vec();
    if let RunEnd::Open { slash: Some(_), .. } = run.end
        && let Some(last) = out.last_mut().filter(|p| p.kind == PieceKind::Straight)
        && let Some(clock) = last.end.heel_clock_rad
    {
        last.end = Cut::tilted((last.end.tilt_rad / saw_rad).round() * saw_rad, clock);
    }
    out
}

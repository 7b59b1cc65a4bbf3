//! Which pieces the sawn pieces of an older file are: found by their shape.
//!
//! Such a file knows sawn pieces by marks that moved on with every change of the lists, so a mark may name another pipe
//! by now. Pieces that were sawn for one run are laid beside the pieces of each run, both in their order: the run they
//! are of is the one whose letters they have, or else the only one that most of them fit. What is left is found where as
//! many pieces have a shape as were sawn to it. The rest stays without a key, and the report says so.

use super::align::aligned;
use super::marks::{old_letters, split};
use crate::fab::Built;
use crate::fab::done::{Done, is_as_long, is_turned_alike, record};
use crate::fab::paper::Steps;
use crate::fab::printed::{Wanted, printed, steps};
use crate::fab::shelf::Shelf;
use crate::fab::weld_plan::FieldFit;
use crate::model::{DonePiece, Project, TrimLeft};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A tilt within this of a step of the saw is on it, degrees.
const ON_STEP_DEG: f64 = 0.01;
/// A cut may be off what is drawn by this where it is on no step, degrees.
const OFF_STEP_DEG: f64 = 0.15;
/// Most comparisons of a sawn piece with a piece: for files that are no work of a shop. What is not compared is not found.
const MOST_COMPARED: usize = 20_000_000;

/// How much it counts that a piece fits at all, that it has the number that is written, and that it is not one that
/// comes from the shelf.
const FITS: u32 = 4;
const SAME_NUMBER: u32 = 2;
const NOT_READY: u32 = 1;

/// A piece: index of its run, index in the run.
type At = (usize, usize);
/// Sawn pieces, by their index, with the pieces they are.
type Pairs = Vec<(usize, At)>;

/// That a sawn piece has the shape of one that is wanted.
struct Fits {
    /// What of it is then left to trim.
    trim: Option<TrimLeft>,
}

/// A run as it fits a group of sawn pieces.
struct Candidate {
    /// How well.
    sum: u32,
    /// Whether the group has the letters that the run had.
    is_own: bool,
    pairs: Pairs,
}

/// A run with what is wanted of its pieces.
struct Sawing<'a> {
    built: &'a Built,
    wanted: Wanted,
    ready: Vec<bool>,
    fit: Option<FieldFit>,
    /// Indices of the pieces that are sawn, with their numbers in marks.
    pieces: Vec<(usize, usize)>,
}

/// The sawn pieces of `project` with keys where it is known which pieces they are.
pub(super) fn keyed(project: &Project, built: &[Arc<Built>]) -> Vec<DonePiece> {
    let finder = Finder::of(project, built);
    let mut found = BTreeMap::new();
    finder.by_order(&mut found);
    finder.by_shape(&mut found);
    let with_key = |(i, old): (usize, &DonePiece)| {
        let keyed = found.get(&i).and_then(|at| finder.with_key(old, *at));
        keyed.unwrap_or_else(|| old.clone())
    };
    project.done.iter().enumerate().map(with_key).collect()
}

/// Whether a piece that was left longer is trimmed at its end (else at its start), where the file does not say: at a weld,
/// of two at the square end. `None` where it meets none.
fn trimmed_at_end(built: &Built, piece: usize) -> Option<bool> {
    let now = built.pieces.get(piece)?;
    let is_welded = |at_end: &bool| built.welds.iter().any(|w| w.before == piece + usize::from(*at_end));
    let tilt_rad = |at_end: bool| if at_end { now.end.tilt_rad } else { now.start.tilt_rad };
    [true, false].into_iter().filter(is_welded).min_by(|a, b| tilt_rad(*a).total_cmp(&tilt_rad(*b)))
}

struct Finder<'a> {
    project: &'a Project,
    runs: Vec<Sawing<'a>>,
    steps: Steps,
    trim_mm: f64,
}

impl<'a> Finder<'a> {
    fn of(project: &'a Project, built: &'a [Arc<Built>]) -> Self {
        let mut shelf = Shelf::new(project);
        let runs = project.runs.iter().zip(built).map(|(run, built)| {
            let ready = shelf.take(project, &built.pieces, &[]);
            let fit = printed(project, run, built, &ready, &Done::default()).plan.fit;
            let wanted = Wanted::of(built, &ready, &project.settings);
            // joints have numbers of their own
            let numbered = built.pieces.iter().enumerate().filter(|(_, p)| p.lobe_clock_rad.is_none());
            let numbered = numbered.enumerate().map(|(n, (i, _))| (i, n + 1));
            let pieces = numbered.filter(|(i, _)| built.pieces[*i].is_sawn()).collect();
            Sawing { built, wanted, ready, fit, pieces }
        });
        let steps = steps(&project.settings);
        let trim_mm = (project.settings.allowances.trim_mm / steps.length_mm).round() * steps.length_mm;
        Self { project, runs: runs.collect(), steps, trim_mm }
    }

    /// How what was sawn fits a piece; `None` where it has another shape.
    fn fits(&self, old: &DonePiece, (run, piece): At) -> Option<Fits> {
        let sawing = &self.runs[run];
        let now = sawing.built.pieces.get(piece)?;
        let cuts = [(old.start_deg, now.start.tilt_rad), (old.end_deg, now.end.tilt_rad)];
        let is_cut_so = cuts.into_iter().all(|(deg, rad)| self.could_be_cut(deg, rad.to_degrees()));
        if old.tube != now.tube || !now.is_sawn() || !is_cut_so || !is_turned_alike(old, now) {
            return None;
        }
        let wanted_mm = sawing.wanted.sawn_at_mm(sawing.built, piece, old)?;
        let is_long = |trim_mm: f64| is_as_long(old.centre_mm - trim_mm, wanted_mm, self.steps.length_mm);
        let fit = sawing.fit.filter(|f| f.piece == piece);
        let at_end = fit.map(|f| f.at_end).or_else(|| trimmed_at_end(sawing.built, piece));
        let trimmed = at_end.map(|at_end| TrimLeft { trim_mm: self.trim_mm, at_end });
        match (fit.is_some(), is_long(0.0), is_long(self.trim_mm)) {
            (true, _, true) | (false, false, true) => trimmed.map(|trim| Fits { trim: Some(trim) }),
            (_, true, _) => Some(Fits { trim: None }),
            (_, false, false) => None,
        }
    }

    /// Whether a face drawn at `drawn_deg` could have been cut at `cut_deg`: at one of the two steps of the saw beside it.
    fn could_be_cut(&self, cut_deg: f64, drawn_deg: f64) -> bool {
        let step_deg = self.steps.saw_rad.to_degrees();
        let steps = cut_deg / step_deg;
        let is_on_step = (steps - steps.round()).abs() * step_deg <= ON_STEP_DEG;
        let off_deg = (cut_deg - drawn_deg).abs();
        let is_mitred = (cut_deg > ON_STEP_DEG) == (drawn_deg > ON_STEP_DEG);
        is_mitred && (off_deg <= OFF_STEP_DEG || is_on_step && off_deg < step_deg)
    }

    /// Pieces sawn for one run, in the order of the run they are of.
    fn by_order(&self, found: &mut BTreeMap<usize, At>) {
        let mut groups: BTreeMap<&str, Vec<(usize, usize)>> = BTreeMap::new();
        for (i, old) in self.project.done.iter().enumerate() {
            if let Some((letters, number)) = split(&old.mark) {
                groups.entry(letters).or_default().push((number, i));
            }
        }
        for group in groups.values_mut() {
            group.sort_unstable();
        }
        let mut compared = 0;
        while let Some((letters, pairs)) = self.best(&groups, found, &mut compared) {
            groups.remove(letters);
            found.extend(pairs);
        }
    }

    /// The group of which the largest part fits one run, with its pairs; groups of which it is not sure which run they
    /// are of are left out.
    fn best<'g>(
        &self,
        groups: &BTreeMap<&'g str, Vec<(usize, usize)>>,
        found: &BTreeMap<usize, At>,
        compared: &mut usize,
    ) -> Option<(&'g str, Pairs)> {
        let taken: BTreeSet<At> = found.values().copied().collect();
        let mut best: Option<(f64, &str, Pairs)> = None;
        for (letters, group) in groups {
            let Some(pairs) = self.its_run(letters, group, &taken, compared) else { continue };
            let part = pairs.len() as f64 / group.len() as f64;
            if best.as_ref().is_none_or(|(most, ..)| part > *most) {
                best = Some((part, letters, pairs));
            }
        }
        best.map(|(_, letters, pairs)| (letters, pairs))
    }

    /// The pieces of the run that a group is of.
    fn its_run(
        &self,
        letters: &str,
        group: &[(usize, usize)],
        taken: &BTreeSet<At>,
        compared: &mut usize,
    ) -> Option<Pairs> {
        let mut of_runs: Vec<Candidate> = Vec::new();
        for (r, run) in self.runs.iter().enumerate() {
            *compared += group.len() * run.pieces.len();
            if *compared > MOST_COMPARED {
                return None;
            }
            let fit = |i: usize, j: usize| {
                let ((number, old), (piece, own)) = (group[i], run.pieces[j]);
                if taken.contains(&(r, piece)) || self.fits(&self.project.done[old], (r, piece)).is_none() {
                    return 0;
                }
                let bonus = if number == own { SAME_NUMBER } else { 0 };
                FITS + bonus + if run.ready[piece] { 0 } else { NOT_READY }
            };
            let (sum, pairs) = aligned(group.len(), run.pieces.len(), fit);
            let pairs = pairs.into_iter().map(|(i, j)| (group[i].1, (r, run.pieces[j].0))).collect();
            of_runs.push(Candidate { sum, is_own: old_letters(r) == letters, pairs });
        }
        let most = of_runs.iter().map(|c| c.sum).max().filter(|most| *most > 0)?;
        let is_most = |c: &Candidate| 2 * c.pairs.len() > group.len();
        let own = of_runs.iter().find(|c| c.is_own && (c.sum == most || is_most(c)));
        let mut others = of_runs.iter().filter(|c| c.sum == most && is_most(c));
        let only = others.next().filter(|_| others.next().is_none());
        own.or(only).map(|c| c.pairs.clone())
    }

    /// What is left, where as many pieces that are free have its shape as were sawn to it.
    fn by_shape(&self, found: &mut BTreeMap<usize, At>) {
        let taken: BTreeSet<At> = found.values().copied().collect();
        let all = self.runs.iter().enumerate().flat_map(|(r, run)| run.pieces.iter().map(move |p| (r, p.0)));
        let free: Vec<At> = all.filter(|at| !taken.contains(at)).collect();
        let left: Vec<usize> = (0..self.project.done.len()).filter(|i| !found.contains_key(i)).collect();
        if left.len().saturating_mul(free.len()) > MOST_COMPARED {
            return;
        }
        let mut sets: BTreeMap<Vec<At>, Vec<usize>> = BTreeMap::new();
        for i in left {
            let old = &self.project.done[i];
            let fitting: Vec<At> = free.iter().copied().filter(|at| self.fits(old, *at).is_some()).collect();
            sets.entry(fitting).or_default().push(i);
        }
        let mut wanted: BTreeMap<At, usize> = BTreeMap::new();
        for at in sets.keys().flatten() {
            *wanted.entry(*at).or_default() += 1;
        }
        for (fitting, sawn) in sets {
            if fitting.len() == sawn.len() && fitting.iter().all(|at| wanted.get(at) == Some(&1)) {
                found.extend(sawn.into_iter().zip(fitting));
            }
        }
    }

    /// What was sawn, with what it is of.
    fn with_key(&self, old: &DonePiece, at: At) -> Option<DonePiece> {
        let Fits { trim } = self.fits(old, at)?;
        let piece = &self.runs[at.0].built.pieces[at.1];
        let known = record(piece, piece, trim)?;
        Some(DonePiece { key: known.key, drawn: known.drawn, trim, ..old.clone() })
    }
}

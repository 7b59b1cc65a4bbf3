//! At which clocks the lobe of a joint, and the tool for it, have room.
//!
//! The gap d of a part to what is round it changes by no more than ρ·δ when the part turns by δ about the joint's
//! axis, ρ being the distance of its furthest point from the axis: no point of it moves further than that. So one
//! measured gap at the middle m of a cell of half width h speaks for the whole cell: it is free where
//! d(m) − ρ·h is enough, and blocked where even d(m) + ρ·h is not. What is neither is halved, down to a tenth of a
//! degree; slivers that are still neither count as blocked.

mod part;
mod range;
#[cfg(test)]
mod tests;

pub use part::{Outline, TurningPart};
pub use range::ClockRange;

use crate::geom::tolerance::GAP_MM;
use crate::geom::vector::{half_open_turn, unit};
use crate::geom::{Frame, Solid};
use glam::DVec3;
use std::cmp::Ordering;
use std::f64::consts::{PI, TAU};

/// Gaps beyond what is required plus this count as this, mm: further off nothing is in the way.
pub const LOOK_MM: f64 = 300.0;

/// The least gap that can be asked for, mm: nobody sets a lobe closer by eye.
pub const LEAST_GAP_MM: f64 = 0.5;

/// The best clock is found when none can have more room than it by this much, mm.
const BEST_WITHIN_MM: f64 = 0.5;

/// Gaps measured for the best clock alone before the best so far is taken.
const MOST_FOR_BEST: usize = 48;

/// Slivers of the circle, 0.088° each; cells are whole numbers of them.
const SLIVERS: usize = 4096;

/// Cells to begin with.
const FIRST_CELLS: usize = 16;

/// A part can be seen and reached from where its outward direction is within this of the eye's, rad (75°, common
/// practice, no source).
pub const SEEN_RAD: f64 = 75.0 * PI / 180.0;

/// The gap from the nearest of the solids of a part to whatever is round them, mm, if it is less than the number
/// given. Where things ask for other gaps than the part does, it may say so much more for those that ask for less: it
/// then changes no faster.
pub type Nearest<'a> = dyn Fn(&TurningPart, &[Solid], f64) -> Option<f64> + 'a;

/// The room a lobe has.
#[derive(Debug, Clone, PartialEq)]
pub struct ClockRoom {
    /// The clocks at which every part keeps its gap, proved, in order clockwise from −180°; one that goes over the
    /// wrap comes last. None where the lobe is blocked all round.
    pub free: Vec<ClockRange>,
    /// The clock with the most room, free or not, rad.
    pub best_rad: f64,
    /// Room there beyond the required gaps, mm; below zero where nothing is free. Not over [`LOOK_MM`]; parts
    /// that overlap something have their required gap to wish for, whatever the depth.
    pub best_spare_mm: f64,
    /// No clock has more room than the best one by more than this, mm.
    pub best_within_mm: f64,
    /// How many gaps were measured.
    pub measured: usize,
}

impl ClockRoom {
    /// Whether the lobe fits at any clock.
    pub fn is_free_all_round(&self) -> bool {
        self.free.first().is_some_and(|range| range.sweep_rad >= TAU)
    }

    /// Whether the lobe fits nowhere.
    pub fn is_blocked(&self) -> bool {
        self.free.is_empty()
    }

    /// The widest free range, the first of equals: its middle is the clock to offer.
    pub fn widest(&self) -> Option<ClockRange> {
        let wider = |a: &ClockRange, b: &ClockRange| a.sweep_rad.total_cmp(&b.sweep_rad);
        self.free.iter().copied().rev().max_by(wider)
    }

    /// The clocks at which it is not proved to fit, in the same order: what lies between the free ranges.
    pub fn blocked(&self) -> Vec<ClockRange> {
        if self.is_free_all_round() {
            return Vec::new();
        }
        let next = |i: usize| self.free[(i + 1) % self.free.len()].from_rad;
        let gaps = self.free.iter().enumerate().map(|(i, range)| {
            let from_rad = range.from_rad + range.sweep_rad;
            ClockRange::new(from_rad, crate::geom::vector::full_turn(next(i) - from_rad))
        });
        if self.is_blocked() { vec![ClockRange::new(PI, TAU)] } else { gaps.collect() }
    }

    /// Whether the lobe fits at `clock_rad`.
    pub fn is_free_at(&self, clock_rad: f64) -> bool {
        self.free.iter().any(|range| range.contains(clock_rad))
    }
}

/// A cell of the circle with the room measured at its middle.
#[derive(Debug, Clone, Copy)]
struct Cell {
    first: usize,
    width: usize,
    spare_mm: f64,
}

impl Cell {
    fn middle_rad(&self) -> f64 {
        (self.first as f64 + self.width as f64 / 2.0) * (TAU / SLIVERS as f64) - PI
    }

    fn half_rad(&self) -> f64 {
        self.width as f64 * (PI / SLIVERS as f64)
    }
}

/// The measuring under way.
struct Study<'a> {
    middle: &'a Frame,
    parts: &'a [TurningPart],
    nearest: &'a Nearest<'a>,
    furthest_mm: f64,
    measured: usize,
}

impl Study<'_> {
    fn cell(&mut self, first: usize, width: usize) -> Cell {
        let mut cell = Cell { first, width, spare_mm: LOOK_MM };
        for part in self.parts {
            let required_mm = part.gap_mm.max(LEAST_GAP_MM);
            let solids = part.solids(self.middle, cell.middle_rad());
            self.measured += 1;
            if let Some(gap_mm) = (self.nearest)(part, &solids, cell.spare_mm + required_mm) {
                // how deep an overlap is does not count: only a distance has the bound this rests on
                let spare_mm = if gap_mm > 0.0 { gap_mm } else { 0.0 } - required_mm;
                cell.spare_mm = cell.spare_mm.min(spare_mm);
            }
        }
        cell
    }

    /// How much the room can change within a cell, mm.
    fn change_mm(&self, cell: &Cell) -> f64 {
        self.furthest_mm * cell.half_rad()
    }

    fn most_mm(&self, cell: &Cell) -> f64 {
        (cell.spare_mm + self.change_mm(cell)).min(LOOK_MM)
    }

    fn halves(&mut self, cell: &Cell) -> [Cell; 2] {
        let half = cell.width / 2;
        [self.cell(cell.first, half), self.cell(cell.first + half, cell.width - half)]
    }
}

/// The clocks at which `parts` keep their gaps at a joint whose middle has the frame `middle`, as [`Nearest`]
/// measures them; it should be exact to [`GAP_MM`].
///
/// `None` where there is no part, or a number is not finite or a size below zero.
pub fn clock_room(middle: &Frame, parts: &[TurningPart], nearest: &Nearest<'_>) -> Option<ClockRoom> {
    let furthest_mm = parts.iter().map(TurningPart::furthest_mm).reduce(f64::max)?;
    let sound = middle.origin.is_finite() && middle.travel.is_finite() && middle.index.is_finite();
    if !sound || !parts.iter().all(TurningPart::is_sound) {
        return None;
    }
    let mut study = Study { middle, parts, nearest, furthest_mm, measured: 0 };
    let width = SLIVERS / FIRST_CELLS;
    let mut open: Vec<Cell> = (0..FIRST_CELLS).map(|i| study.cell(i * width, width)).collect();
    let mut best = open.iter().copied().max_by(roomier)?;
    let mut free = vec![false; SLIVERS];
    let mut decided = Vec::new();
    while let Some(cell) = open.pop() {
        best = [best, cell].into_iter().max_by(roomier).unwrap_or(best);
        let change_mm = study.change_mm(&cell);
        let is_free = cell.spare_mm - change_mm >= GAP_MM;
        if is_free {
            free[cell.first..cell.first + cell.width].fill(true);
        }
        if is_free || cell.spare_mm + change_mm < 0.0 || cell.width == 1 {
            decided.push(cell);
        } else {
            open.extend(study.halves(&cell));
        }
    }
    let best_within_mm = sharpen_best(&mut study, &mut best, decided);
    Some(ClockRoom {
        free: ranges(&free),
        best_rad: half_open_turn(best.middle_rad()),
        best_spare_mm: best.spare_mm,
        best_within_mm,
        measured: study.measured,
    })
}

/// By room; of equals the one nearest to 12 o'clock is greater.
fn roomier(a: &Cell, b: &Cell) -> Ordering {
    let from_top = |c: &Cell| c.middle_rad().abs();
    a.spare_mm.total_cmp(&b.spare_mm).then(from_top(b).total_cmp(&from_top(a)))
}

/// Halves the cell that may have the most room until none can have much more than the best seen (the method of
/// S. A. Piyavskii and B. O. Shubert for the greatest value of a Lipschitz function, from memory). Gives the bound
/// that is reached.
fn sharpen_best(study: &mut Study<'_>, best: &mut Cell, mut cells: Vec<Cell>) -> f64 {
    let stop = study.measured + MOST_FOR_BEST * study.parts.len();
    loop {
        let most = cells
            .iter()
            .enumerate()
            .map(|(i, cell)| (i, study.most_mm(cell)))
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        let Some((i, most_mm)) = most else { return 0.0 };
        let within_mm = (most_mm - best.spare_mm).max(0.0);
        if within_mm <= BEST_WITHIN_MM || study.measured >= stop || cells[i].width == 1 {
            return within_mm;
        }
        let cell = cells.swap_remove(i);
        for half in study.halves(&cell) {
            if roomier(best, &half).is_lt() {
                *best = half;
            }
            cells.push(half);
        }
    }
}

/// The runs of free slivers round the circle.
fn ranges(free: &[bool]) -> Vec<ClockRange> {
    let step = TAU / SLIVERS as f64;
    let Some(blocked) = free.iter().position(|f| !f) else { return vec![ClockRange::new(PI, TAU)] };
    let mut out = Vec::new();
    let mut begun = None;
    // once round from a blocked sliver, so that no run is cut in two
    for i in blocked..=blocked + SLIVERS {
        match (free[i % SLIVERS], begun) {
            (true, None) => begun = Some(i),
            (false, Some(first)) => {
                out.push(ClockRange::new(first as f64 * step - PI, (i - first) as f64 * step));
                begun = None;
            }
            (true, Some(_)) | (false, None) => {}
        }
    }
    out.sort_by(|a, b| a.from_rad.total_cmp(&b.from_rad));
    out
}

/// The clocks of `frame` at which what stands out there faces within [`SEEN_RAD`] of `eye_direction`, the direction
/// towards the eye: from there it can be seen and reached. `None` where there are none, because the eye looks
/// along the tube, or its direction is none.
pub fn turns_to_see(frame: &Frame, eye_direction: DVec3) -> Option<ClockRange> {
    let eye = unit(eye_direction)?;
    let across = eye - frame.travel * eye.dot(frame.travel);
    // out(φ)·eye = |across|·cos(φ − φ_eye), to be at least cos 75°
    let least = SEEN_RAD.cos() / across.length();
    if !least.is_finite() || least > 1.0 {
        return None;
    }
    let half_rad = least.acos();
    Some(ClockRange::new(frame.clock_of(across) - half_rad, 2.0 * half_rad))
}

//! Pieces laid out on sticks of tube in the order they are sawn.
//!
//! Neighbours that meet at equal saw angles share one cut, the tube turned half a turn between: pitch is
//! centreline length plus kerf/cos α. Different angles need two cuts with a wedge of scrap between them,
//! `r·|tan α1 − tan α2|` on the centreline. A mitred first face costs its ramp `r·tan α` and a cut.
//!
//! What is sought, first things first: few sticks bought; few whole sticks of the rack started (offcuts cost nothing);
//! then the longest single left-over, of the whole sticks that are started, or of all offcuts where none is.
//! `job` turns lengths to whole numbers, `order` finds the order on one stick that wastes least, `fill` makes good
//! layouts, `improve` makes them better, `bound` and `plan` say how many sticks are needed at least, `exact` tries every
//! division of a few pieces, `search` finds or rules out a layout of more, `solve` puts these together, `lay` turns the
//! result into cuts.
//!
//! **What the saw holds.** Pieces are cut off the free end while the stick is held, so each is held by all that is
//! still to be cut. At the last cut that is what stays of the stick, or else the last piece itself: either has to be as
//! long as the saw needs, on its short side. So all earlier pieces may be as short as they like.

mod bin;
mod bound;
pub mod elbows;
mod exact;
mod fill;
mod improve;
mod job;
mod knapsack;
mod lay;
mod order;
mod plan;
mod search;
mod solve;

use self::bin::{Bin, Cutter};
use self::job::{Job, mm};
use self::lay::{Blade, Lying};
use super::piece::Piece;
use crate::model::{PieceKey, SawScale, Tube};
use crate::watch::{Unwatched, Watch};
use std::cmp::Reverse;

/// What the saw needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SawRules {
    /// Width the blade takes away, mm.
    pub kerf_mm: f64,
    /// Length of tube the saw has to hold at the last cut of a stick, mm.
    pub grip_mm: f64,
    /// What is cut off the first end of a whole stick to square it, with the cut, mm; 0 where that end is good.
    /// Offcuts have good ends.
    pub first_trim_mm: f64,
}

/// How long to look for a better layout. Counted in steps, never by the clock: every machine gives the same layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Effort {
    /// A few milliseconds, up to 5 for 100 pieces and 20 for 400: while something is dragged. Hardly ever more than one
    /// stick over what a long look finds: surely not where it is at most one over the bound, `least_to_buy`.
    Quick,
    /// Up to about a second, however many pieces: beside the window, and for paper.
    Thorough,
}

/// One piece on a stick.
#[derive(Debug, Clone, PartialEq)]
pub struct StickCut {
    /// Mark of the piece.
    pub mark: String,
    /// What the piece is known by.
    pub key: Option<PieceKey>,
    /// Where its centreline begins, from the stick's end, mm.
    pub from_mm: f64,
    /// Where its centreline ends, mm.
    pub to_mm: f64,
    /// Tilt of its first face as it lies on the stick, rad.
    pub first_rad: f64,
    /// Tilt of its second face, the cut that frees it, rad.
    pub second_rad: f64,
    /// Whether the piece lies end first: its end (in the travel of the run) is cut first.
    pub end_first: bool,
    /// Whether its first face is the cut that freed the piece before it.
    pub shares_cut: bool,
    /// Turn of the tube between the cut of its first face and the cut of its second, rad in [0, 2π);
    /// `None` where one of them is square and no turn is needed.
    pub turn_rad: Option<f64>,
}

/// Where a stick comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StickSource {
    /// An offcut on the rack.
    Offcut,
    /// A whole stick on the rack.
    Rack,
    /// To be bought.
    Buy,
}

impl StickSource {
    /// The word on sheet and in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Offcut => "offcut",
            Self::Rack => "rack",
            Self::Buy => "buy",
        }
    }
}

/// One stick with what is cut from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stick {
    /// Its length, mm.
    pub length_mm: f64,
    /// Where it comes from.
    pub source: StickSource,
    /// Pieces in sawing order.
    pub cuts: Vec<StickCut>,
    /// What is left with a square end, mm.
    pub drop_mm: f64,
}

/// The setting the saw's scale shows for a tilt, degrees.
pub fn saw_reads_deg(tilt_rad: f64, scale: SawScale) -> f64 {
    match scale {
        SawScale::FromSquare => tilt_rad.to_degrees(),
        SawScale::FromBlade => 90.0 - tilt_rad.to_degrees(),
    }
}

/// All sticks of one tube.
#[derive(Debug, Clone, PartialEq)]
pub struct Nested {
    /// Sticks in sawing order.
    pub sticks: Vec<Stick>,
    /// Marks of pieces that no stick holds.
    pub unplaced: Vec<String>,
    /// Whether no layout of the placed pieces buys fewer sticks, and of those that buy as few none starts fewer of the
    /// rack.
    pub proved_fewest: bool,
    /// No layout of the placed pieces buys fewer sticks than this.
    pub least_to_buy: usize,
    /// The longest single left-over, mm: of the whole sticks started; where none is, of all offcuts, cut or not.
    pub longest_left_mm: f64,
    /// Whether `longest_left_mm` is the longest possible with as many sticks (to a thousandth of a mm).
    pub proved_drop: bool,
}

/// Lays `pieces` (all of `tube`) on offcuts, sticks on the rack and sticks to buy, in that order of preference.
///
/// Pieces that no stick or offcut is long enough for, or that are no pieces (negative or endless lengths, faces along
/// the tube), are named in `unplaced`.
pub fn nest(tube: &Tube, pieces: &[&Piece], rules: &SawRules, effort: Effort) -> Nested {
    nest_watched(tube, pieces, rules, effort, &Unwatched)
}

/// As [`nest`], for somebody who is told how far it is. Stopped, it gives the best layout found so far: always one that
/// can be sawn.
pub fn nest_watched(
    tube: &Tube,
    pieces: &[&Piece],
    rules: &SawRules,
    effort: Effort,
    watch: &dyn Watch,
) -> Nested {
    let mut job = Job::new(tube, pieces, rules);
    let fixed = set_aside(&mut job);
    let mut is_placed = vec![false; pieces.len()];
    for blank in &job.blanks {
        is_placed[blank.piece] = true;
    }
    let mut cutter = Cutter::new(&job, watch);
    let solved = solve::solve(&mut cutter, effort);
    for blank in &solved.layout.unplaced {
        is_placed[job.blanks[*blank].piece] = false;
    }
    let all_placed = solved.layout.unplaced.is_empty();
    let longest_left_mm = (mm(solved.layout.longest_left(&mut cutter)) - job::FIT_MM).max(0.0);
    let blade = Blade { job: &job, rules, radius_mm: (tube.od_mm / 2.0).max(0.0) };
    let mut laid: Vec<(Bin, Vec<Lying>)> = Vec::new();
    for bin in shortest_offcuts(&mut cutter, solved.layout.bins) {
        if let Some((finish, _)) = cutter.finish(&bin) {
            let lying = lay::order(&mut cutter, &bin, finish);
            laid.push((bin, lying));
        }
    }
    let fixed_whole = fixed.iter().filter(|f| f.0.is_whole()).count();
    for (bin, lying) in fixed {
        is_placed[lying.piece] = true;
        laid.push((bin, vec![lying]));
    }
    let longest_first = |l: &[Lying]| {
        let longest = l.iter().max_by(|a, b| pieces[a.piece].centre_mm.total_cmp(&pieces[b.piece].centre_mm));
        longest.map(|l| (job::ticks(pieces[l.piece].centre_mm), Reverse(l.piece)))
    };
    laid.sort_by_cached_key(|(_, lying)| Reverse(longest_first(lying)));
    let on_rack = tube.sticks_on_hand as usize;
    let whole = laid.iter().filter(|l| l.0.is_whole()).count();
    let least = solved.least_whole + fixed_whole;
    let mut rack = on_rack;
    let sticks =
        laid.iter().map(|(bin, lying)| stick(tube, pieces, &blade, (bin, lying), &mut rack)).collect();
    Nested {
        sticks,
        unplaced: pieces.iter().zip(is_placed).filter(|p| !p.1).map(|p| p.0.mark.clone()).collect(),
        proved_fewest: all_placed && least == whole,
        least_to_buy: least.saturating_sub(on_rack),
        longest_left_mm,
        proved_drop: all_placed && solved.proved_drop && least == whole,
    }
}

/// Takes out of the job what no stick can hold, and what fills by itself a stick too short for the saw to hold: such a
/// stick is good for nothing else.
fn set_aside(job: &mut Job) -> Vec<(Bin, Lying)> {
    let mut cutter = Cutter::new(job, &Unwatched);
    let mut fixed = Vec::new();
    let mut used = Vec::new();
    let mut kept = Vec::new();
    for blank in 0..job.blanks.len() {
        let piece = job.blanks[blank];
        let mut alone = None;
        for stock in job.offcuts.iter().copied().chain(job.whole) {
            if used.contains(&stock.offcut) && stock.offcut.is_some() {
                continue;
            }
            let mut bin = Bin::new(stock);
            bin.put(job, blank);
            if cutter.finish(&bin).is_some() {
                alone = Some(bin);
                break;
            }
        }
        match alone {
            Some(bin) if bin.stock.room < job.grip => {
                used.push(bin.stock.offcut);
                fixed.push((bin, Lying::alone(piece)));
            }
            Some(_) => kept.push(piece),
            None => {}
        }
    }
    job.blanks = kept;
    job.offcuts.retain(|s| !used.contains(&s.offcut));
    fixed
}

/// Where a shorter offcut that is not used would do as well, takes that.
fn shortest_offcuts(cutter: &mut Cutter<'_>, mut bins: Vec<Bin>) -> Vec<Bin> {
    let is_free =
        |bins: &[Bin], i: usize| bins.iter().all(|b| b.stock.offcut != cutter.job.offcuts[i].offcut);
    let mut free: Vec<usize> = (0..cutter.job.offcuts.len()).filter(|i| is_free(&bins, *i)).collect();
    bins.sort_by_key(|b| (b.stock.room, b.stock.offcut));
    for bin in bins.iter_mut().filter(|b| !b.is_whole()) {
        for place in 0..free.len() {
            let stock = cutter.job.offcuts[free[place]];
            let mut shorter = bin.clone();
            (shorter.stock, shorter.spare) = (stock, 0);
            if stock.room < bin.stock.room && cutter.finish(&shorter).is_some() {
                let freed = cutter.job.offcuts.iter().position(|s| *s == bin.stock);
                *bin = shorter;
                free.remove(place);
                free.extend(freed);
                free.sort_unstable();
                break;
            }
        }
    }
    bins
}

fn stick(
    tube: &Tube,
    pieces: &[&Piece],
    blade: &Blade<'_>,
    (bin, lying): (&Bin, &[Lying]),
    rack: &mut usize,
) -> Stick {
    let (length_mm, begin_mm, source) = match bin.stock.offcut {
        Some(i) => (blade.job.offcuts_mm[i], 0.0, StickSource::Offcut),
        None if *rack > 0 => {
            *rack -= 1;
            (tube.stick_mm, blade.rules.first_trim_mm.max(0.0), StickSource::Rack)
        }
        None => (tube.stick_mm, blade.rules.first_trim_mm.max(0.0), StickSource::Buy),
    };
    let (cuts, end_mm) = blade.cuts(pieces, lying, begin_mm);
    Stick { length_mm, source, cuts, drop_mm: (length_mm - end_mm).max(0.0) }
}

#[cfg(test)]
mod promises;
#[cfg(test)]
mod tests;

//! From what is on a stick to its cuts in mm.

use super::bin::{Bin, Cutter};
use super::job::{Blank, Job, Setting};
use super::order::{Finish, Step};
use super::{SawRules, StickCut};
use crate::fab::piece::Piece;
use crate::geom::vector::full_turn;
use std::f64::consts::PI;

/// A piece as it lies on a stick.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Lying {
    /// Its place in the list of pieces.
    pub(super) piece: usize,
    /// Its kind.
    kind: usize,
    /// Whether the face with the greater tilt goes first.
    reversed: bool,
}

impl Lying {
    /// A blank by itself on a stick.
    pub(super) fn alone(blank: Blank) -> Self {
        Self { piece: blank.piece, kind: blank.kind, reversed: false }
    }

    /// The settings of its first and second face as it lies.
    pub(super) fn faces(&self, job: &Job) -> [usize; 2] {
        let [a, b] = job.kinds[self.kind].faces;
        if self.reversed { [b, a] } else { [a, b] }
    }
}

/// The blanks in the order that wastes least: within a kind longest first, equal cuts together.
pub(super) fn order(cutter: &mut Cutter<'_>, bin: &Bin, finish: Finish) -> Vec<Lying> {
    let job = cutter.job;
    let blanks = &bin.blanks;
    let mut of_kind: Vec<Vec<usize>> = vec![Vec::new(); job.kinds.len()];
    let mut sorted = blanks.clone();
    // blanks are numbered longest first; taken from the back
    sorted.sort_unstable_by(|a, b| b.cmp(a));
    for blank in sorted {
        of_kind[job.blanks[blank].kind].push(job.blanks[blank].piece);
    }
    let steps = cutter.orders.steps(bin.set(), finish);
    let mut waiting = vec![0; job.kinds.len()];
    for step in &steps {
        waiting[step.kind] += 1;
    }
    let mut out = Vec::with_capacity(blanks.len());
    let mut lay = |Step { kind, reversed }: Step, of_kind: &mut Vec<Vec<usize>>| {
        out.extend(of_kind[kind].pop().map(|piece| Lying { piece, kind, reversed }));
    };
    for step in steps {
        lay(step, &mut of_kind);
        waiting[step.kind] -= 1;
        let [a, b] = job.kinds[step.kind].faces;
        // those the trip does not need to count: there and back
        let mut reversed = step.reversed;
        while of_kind[step.kind].len() > waiting[step.kind] {
            reversed = if a == b { reversed } else { !reversed };
            lay(Step { kind: step.kind, reversed }, &mut of_kind);
        }
    }
    out
}

/// Where on the stick the blade stands.
pub(super) struct Blade<'a> {
    pub(super) job: &'a Job,
    pub(super) rules: &'a SawRules,
    pub(super) radius_mm: f64,
}

impl Blade<'_> {
    fn slanted_kerf_mm(&self, tilt_rad: f64) -> f64 {
        self.rules.kerf_mm.max(0.0) / tilt_rad.cos()
    }

    /// The cuts of a stick whose good end is at `begin_mm`, and where a square end could stand after them, mm.
    pub(super) fn cuts(&self, pieces: &[&Piece], lying: &[Lying], begin_mm: f64) -> (Vec<StickCut>, f64) {
        let mut at_mm = begin_mm;
        let mut last: Option<Setting> = None;
        let mut out = Vec::with_capacity(lying.len());
        for l in lying {
            let piece = pieces[l.piece];
            let [a, b] = self.job.kinds[l.kind].faces;
            let [first, second] = l.faces(self.job).map(|f| self.job.settings[f]);
            let (from_mm, shares_cut) = self.begin(at_mm, last, first);
            let start_leans_less = piece.start.tilt_rad.abs() <= piece.end.tilt_rad.abs();
            let end_first = a != b && start_leans_less == l.reversed;
            let (first_rad, second_rad) = if end_first {
                (piece.end.tilt_rad, piece.start.tilt_rad)
            } else {
                (piece.start.tilt_rad, piece.end.tilt_rad)
            };
            let to_mm = from_mm + piece.centre_mm;
            let turn_rad = piece.twist_rad().map(|t| full_turn(PI + if end_first { -t } else { t }));
            out.push(StickCut {
                mark: piece.mark.clone(),
                key: piece.key,
                from_mm,
                to_mm,
                first_rad,
                second_rad,
                end_first,
                shares_cut,
                turn_rad,
            });
            at_mm = to_mm;
            last = Some(second);
        }
        let end = last
            .map_or(at_mm, |s| at_mm + self.radius_mm * s.tilt_rad.tan() + self.slanted_kerf_mm(s.tilt_rad));
        (out, end)
    }

    /// Where a piece begins whose first face is cut at `first`, and whether it shares the last cut.
    fn begin(&self, at_mm: f64, last: Option<Setting>, first: Setting) -> (f64, bool) {
        let kerf = self.slanted_kerf_mm(first.tilt_rad);
        match last {
            // the stick's own end is square: a mitred first face needs a cut of its own and wastes its ramp
            None if first.tilt_rad > 0.0 => (at_mm + self.radius_mm * first.tilt_rad.tan() + kerf, false),
            None => (at_mm, false),
            Some(last) if last == first => (at_mm + kerf, true),
            Some(last) => {
                let wedge = self.radius_mm * (last.tilt_rad.tan() - first.tilt_rad.tan()).abs();
                (at_mm + self.slanted_kerf_mm(last.tilt_rad) + wedge + kerf, false)
            }
        }
    }
}

//! Small layouts against every way to divide, order and turn the pieces.

use super::{Dice, OD_MM, count, lay, piece};
use pipeloft_core::fab::Piece;
use pipeloft_core::fab::nest::{Effort, SawRules, StickSource};
use pipeloft_core::model::{Offcut, Tube};

/// For each set of pieces, each last piece and each way it lies: how near to the end the last face can be, mm.
struct EveryOrder<'a> {
    pieces: &'a [Piece],
    rules: SawRules,
    /// Centre of the last face, by set, last piece, and whether that lies end first.
    reach: Vec<Vec<[f64; 2]>>,
}

impl<'a> EveryOrder<'a> {
    fn new(pieces: &'a [Piece], rules: SawRules, begin_mm: f64) -> Self {
        let n = pieces.len();
        let mut all = Self { pieces, rules, reach: vec![vec![[f64::MAX; 2]; n]; 1 << n] };
        for set in 1..1_usize << n {
            for last in (0..n).filter(|i| set >> i & 1 == 1) {
                for way in 0..2 {
                    all.reach[set][last][way] = all.nearest(set, last, way, begin_mm);
                }
            }
        }
        all
    }

    fn tilts(&self, piece: usize, way: usize) -> (f64, f64) {
        let p = &self.pieces[piece];
        if way == 0 { (p.start.tilt_rad, p.end.tilt_rad) } else { (p.end.tilt_rad, p.start.tilt_rad) }
    }

    fn nearest(&self, set: usize, last: usize, way: usize, begin_mm: f64) -> f64 {
        let r = OD_MM / 2.0;
        let kerf = |tilt: f64| self.rules.kerf_mm / tilt.cos();
        let first = self.tilts(last, way).0;
        let before = set & !(1 << last);
        let mut best = f64::MAX;
        if before == 0 {
            best = begin_mm + if first == 0.0 { 0.0 } else { r * first.tan() + kerf(first) };
        }
        for p in (0..self.pieces.len()).filter(|i| before >> i & 1 == 1) {
            for w in 0..2 {
                let tilt = self.tilts(p, w).1;
                let change = if (tilt - first).abs() < 1e-12 {
                    kerf(tilt)
                } else {
                    kerf(tilt) + kerf(first) + r * (tilt.tan() - first.tan()).abs()
                };
                best = best.min(self.reach[before][p][w] + change);
            }
        }
        best + self.pieces[last].centre_mm
    }

    /// The most that can be left of a stick when this set is cut from it; none where it cannot.
    fn left(&self, set: usize, length_mm: f64, begin_mm: f64) -> Option<f64> {
        let r = OD_MM / 2.0;
        let mut best: Option<f64> = None;
        for last in (0..self.pieces.len()).filter(|i| set >> i & 1 == 1) {
            let p = &self.pieces[last];
            let short = p.centre_mm - r * (p.start.tilt_rad.tan() + p.end.tilt_rad.tan());
            for way in 0..2 {
                let tilt = self.tilts(last, way).1;
                let long_side = self.reach[set][last][way] + r * tilt.tan();
                let left = length_mm - long_side - self.rules.kerf_mm / tilt.cos();
                let uncut = set.is_power_of_two()
                    && self.tilts(last, way) == (0.0, 0.0)
                    && begin_mm == 0.0
                    && (length_mm - long_side).abs() < 1e-6;
                let fits = long_side <= length_mm + 1e-6;
                // held by what is left, or by the last piece
                let held = left >= self.rules.grip_mm - 1e-6 || short >= self.rules.grip_mm;
                if fits && (held || uncut) {
                    best = Some(best.unwrap_or(0.0).max(left));
                }
            }
        }
        best
    }
}

/// Fewest whole sticks and the longest left-over with so many, over all layouts.
fn best_of_all(tube: &Tube, pieces: &[Piece], rules: SawRules) -> Option<(usize, f64)> {
    let sets = 1_usize << pieces.len();
    let trimmed = EveryOrder::new(pieces, rules, rules.first_trim_mm);
    let from_end = EveryOrder::new(pieces, rules, 0.0);
    // whole sticks only
    let mut whole: Vec<Option<(usize, f64)>> = vec![None; sets];
    whole[0] = Some((0, 0.0));
    for set in 1..sets {
        let mut part = set;
        while part > 0 {
            // the part with the lowest piece
            if part & (set & set.wrapping_neg()) != 0
                && let Some(left) = trimmed.left(part, tube.stick_mm, rules.first_trim_mm)
                && let Some((n, longest)) = whole[set & !part]
            {
                let this = (n + 1, longest.max(left));
                let better = |b: (usize, f64)| this.0 < b.0 || (this.0 == b.0 && this.1 > b.1);
                if whole[set].is_none_or(better) {
                    whole[set] = Some(this);
                }
            }
            part = (part - 1) & set;
        }
    }
    // what offcuts can take, with the longest of them that is left
    let mut taken: Vec<Option<f64>> = vec![None; sets];
    taken[0] = Some(0.0);
    for offcut in tube.offcuts.iter().flat_map(|o| std::iter::repeat_n(o.length_mm, o.count as usize)) {
        let mut next: Vec<Option<f64>> = taken.iter().map(|t| t.map(|l| l.max(offcut))).collect();
        for set in 1..sets {
            let mut part = set;
            while part > 0 {
                if let Some(left) = from_end.left(part, offcut, 0.0)
                    && let Some(longest) = taken[set & !part]
                {
                    next[set] = Some(next[set].unwrap_or(0.0).max(longest.max(left)));
                }
                part = (part - 1) & set;
            }
        }
        taken = next;
    }
    let mut best: Option<(usize, f64)> = None;
    for set in 0..sets {
        let (Some(offcut), Some((n, longest))) = (taken[set], whole[sets - 1 - set]) else { continue };
        let this = (n, if n == 0 { offcut } else { longest });
        if best.is_none_or(|b| this.0 < b.0 || (this.0 == b.0 && this.1 > b.1)) {
            best = Some(this);
        }
    }
    best
}

/// A job with few settings of the saw, so that cuts can be shared, on sticks of which two or three are needed.
fn random_job(dice: &mut Dice) -> (Tube, Vec<Piece>, SawRules) {
    let settings = [0.0, 7.5, 11.25, 15.0];
    let choice = 1 + dice.below(4);
    let pieces: Vec<Piece> = (0..3 + dice.below(5))
        .map(|i| {
            let mut deg = || settings[dice.below(choice) as usize];
            let (a, b) = (deg(), deg());
            piece(&format!("A{i}"), super::length_mm(dice, 45, 400), a, b)
        })
        .collect();
    let mut tube = super::tube(super::length_mm(dice, 450, 900));
    tube.sticks_on_hand = dice.below(3) as u32;
    for _ in 0..dice.below(3) {
        let count = 1 + dice.below(2) as u32;
        tube.offcuts.push(Offcut { length_mm: super::length_mm(dice, 60, 500), count });
    }
    if dice.below(3) == 0 {
        // a piece as long as an offcut
        tube.offcuts.push(Offcut { length_mm: pieces[0].centre_mm, count: 1 });
    }
    let rules = SawRules {
        kerf_mm: [0.0, 1.6, 2.4][dice.below(3) as usize],
        grip_mm: [0.0, 0.0, 50.0, 120.0][dice.below(4) as usize],
        first_trim_mm: [0.0, 5.0][dice.below(2) as usize],
    };
    (tube, pieces, rules)
}

#[test]
fn no_layout_of_a_few_pieces_is_better() {
    let mut dice = Dice(7);
    let (mut sticks, mut held, mut mitred, mut compared) = (0, 0, 0, 0);
    for case in 0..300 {
        let (tube, pieces, rules) = random_job(&mut dice);
        for effort in [Effort::Quick, Effort::Thorough] {
            let nested = lay(&tube, &pieces, &rules, effort);
            if !nested.unplaced.is_empty() {
                continue;
            }
            let (n, longest) = best_of_all(&tube, &pieces, rules).expect("a layout");
            let what = || format!("case {case}: {tube:?} {rules:?} {pieces:?}\n{nested:?}");
            let on_rack = tube.sticks_on_hand as usize;
            assert_eq!(count(&nested, StickSource::Buy), n.saturating_sub(on_rack), "{}", what());
            assert_eq!(count(&nested, StickSource::Rack), n.min(on_rack), "{}", what());
            let off = nested.longest_left_mm - longest;
            assert!(off.abs() < 0.0015, "left {}, not {longest}: {}", nested.longest_left_mm, what());
            assert!(nested.proved_fewest && nested.proved_drop, "{}", what());
            assert_eq!(nested.least_to_buy, n.saturating_sub(on_rack));
            sticks += n;
            held += usize::from(rules.grip_mm > 0.0);
            mitred += usize::from(pieces.iter().any(|p| p.start.tilt_rad > 0.0));
            compared += 1;
        }
    }
    assert!(
        compared >= 400 && sticks > compared && held > 100 && mitred > 200,
        "{compared} {sticks} {held} {mitred}"
    );
}

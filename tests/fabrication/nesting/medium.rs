//! Square-cut layouts of up to fourteen pieces against a table over all sets of pieces.

use super::{Dice, count, lay, squares};
use pipeloft_core::fab::nest::{Effort, SawRules, StickSource};
use pipeloft_core::model::Offcut;

/// For every set of weights: fewest sticks of `room` it goes on, and with so many the least that the last one holds.
/// Exact, since only the last stick is still open when pieces are put down one by one in the best order.
fn fewest(weights: &[u64], room: u64) -> Vec<(usize, u64)> {
    let mut best = vec![(usize::MAX, u64::MAX); 1 << weights.len()];
    best[0] = (0, room);
    for set in 1..best.len() {
        for (i, w) in weights.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1) {
            let (n, held) = best[set & !(1 << i)];
            let with = if held + w <= room { (n, held + w) } else { (n + 1, *w) };
            best[set] = best[set].min(with);
        }
    }
    best
}

fn sum(weights: &[u64], set: usize) -> u64 {
    weights.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1).map(|(_, w)| w).sum()
}

#[test]
fn as_many_sticks_and_as_long_a_left_over_as_a_table_over_all_sets_finds() {
    let mut dice = Dice(11);
    let mut many = 0;
    for case in 0..60 {
        let pieces = 8 + dice.below(7) as usize;
        // sizes next to which two, three or five go on a stick
        let (from, to) = [(300, 700), (150, 480), (90, 360)][case % 3];
        let tenths: Vec<u64> = (0..pieces).map(|_| from * 10 + dice.below((to - from) * 10)).collect();
        let kerf = [0, 16, 24][dice.below(3) as usize];
        let mut tube = super::tube(1000.0);
        let offcut = if pieces <= 12 && case % 2 == 0 { 1500 + dice.below(6000) } else { 0 };
        if offcut > 0 {
            tube.offcuts = vec![Offcut { length_mm: offcut as f64 / 10.0, count: 1 }];
        }
        let all = squares(tenths.iter().map(|t| *t as f64 / 10.0));
        let rules = SawRules { kerf_mm: kerf as f64 / 10.0, grip_mm: 0.0, first_trim_mm: 0.0 };
        let nested = lay(&tube, &all, &rules, Effort::Thorough);

        // a piece with its cut on a stick that is longer by a cut
        let weights: Vec<u64> = tenths.iter().map(|t| t + kerf).collect();
        let table = fewest(&weights, 10_000 + kerf);
        let full = (1_usize << pieces) - 1;
        let on_offcut: Vec<usize> = (0..=full)
            .filter(|set| *set == 0 || (offcut > 0 && sum(&weights, *set) <= offcut + kerf))
            .collect();
        let n = on_offcut.iter().map(|set| table[full & !set].0).min().expect("a layout");
        let mut longest = 0;
        for set in on_offcut {
            let rest = full & !set;
            let mut part = rest;
            while part > 0 {
                let used = sum(&weights, part);
                if used <= 10_000 + kerf && table[rest & !part].0 < n {
                    longest = longest.max(10_000_u64.saturating_sub(used));
                }
                part = (part - 1) & rest;
            }
        }
        let what = || format!("case {case}: {tenths:?}, kerf {kerf}, offcut {offcut}: {nested:?}");
        assert_eq!(count(&nested, StickSource::Buy), n, "{}", what());
        assert!((nested.longest_left_mm - longest as f64 / 10.0).abs() < 0.0015, "{longest}: {}", what());
        assert!(nested.proved_fewest && nested.proved_drop, "{}", what());
        many = many.max(n);
    }
    assert!(many >= 6);
}

//! What holds for every layout, whatever the pieces.

use super::{OD_MM, count, lay, piece, squares, tube};
use pipeloft_core::fab::Piece;
use pipeloft_core::fab::nest::{Effort, SawRules, StickSource, nest};
use pipeloft_core::model::{Offcut, Tube};
use proptest::prelude::*;

/// Longest first, each on the first stick with room, both ways round tried; else the shortest offcut, the rack, the
/// counter. No hold, no trim. How many sticks are bought and how many of the rack are started.
fn longest_first(tube: &Tube, pieces: &[Piece], kerf_mm: f64) -> Option<(usize, usize)> {
    struct Open {
        length_mm: f64,
        at_mm: f64,
        tilt_rad: Option<f64>,
    }
    let r = OD_MM / 2.0;
    let cut = |tilt: f64| kerf_mm / tilt.cos();
    let add = |open: &mut Open, p: &Piece| {
        let begin = |first: f64| match open.tilt_rad {
            None if first == 0.0 => 0.0,
            None => r * first.tan() + cut(first),
            Some(last) if (last - first).abs() < 1e-12 => open.at_mm + cut(first),
            Some(last) => open.at_mm + cut(last) + cut(first) + r * (last.tan() - first.tan()).abs(),
        };
        let (start, end) = (p.start.tilt_rad, p.end.tilt_rad);
        let (from, last) = if begin(end) < begin(start) { (begin(end), start) } else { (begin(start), end) };
        let fits = from + p.centre_mm + r * last.tan() <= open.length_mm + 1e-9;
        if fits {
            (open.at_mm, open.tilt_rad) = (from + p.centre_mm, Some(last));
        }
        fits
    };
    let mut order: Vec<&Piece> = pieces.iter().collect();
    order.sort_by(|a, b| b.centre_mm.total_cmp(&a.centre_mm));
    let mut offcuts: Vec<f64> =
        tube.offcuts.iter().flat_map(|o| std::iter::repeat_n(o.length_mm, o.count as usize)).collect();
    offcuts.sort_by(f64::total_cmp);
    let new = |length_mm: f64| Open { length_mm, at_mm: 0.0, tilt_rad: None };
    let (mut open, mut whole): (Vec<Open>, usize) = (Vec::new(), 0);
    for p in order {
        if open.iter_mut().any(|o| add(o, p)) {
            continue;
        }
        let mut stick = new(tube.stick_mm);
        if let Some(i) = offcuts.iter().position(|l| add(&mut new(*l), p)) {
            stick = new(offcuts.remove(i));
        } else {
            whole += 1;
        }
        if !add(&mut stick, p) {
            return None;
        }
        open.push(stick);
    }
    let on_rack = tube.sticks_on_hand as usize;
    Some((whole.saturating_sub(on_rack), whole.min(on_rack)))
}

fn any_pieces() -> impl Strategy<Value = Vec<Piece>> {
    let tilts = prop::sample::select(vec![0.0, 0.0, 5.0, 7.5, 11.25, 15.0]);
    prop::collection::vec((45.0..700.0_f64, tilts.clone(), tilts), 1..50).prop_map(|all| {
        all.into_iter().enumerate().map(|(i, (l, a, b))| piece(&format!("A{i}"), l, a, b)).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_layout_can_be_sawn_and_longest_first_needs_no_fewer_sticks(
        pieces in any_pieces(),
        offcuts in prop::collection::vec((30.0..900.0_f64, 0..3_u32), 0..4),
        (on_hand, kerf_mm) in (0..4_u32, 0.0..4.0_f64),
        (grip_mm, first_trim_mm) in (0.0..200.0_f64, 0.0..20.0_f64),
    ) {
        let mut tube = tube(1000.0);
        tube.sticks_on_hand = on_hand;
        tube.offcuts = offcuts.into_iter().map(|(length_mm, count)| Offcut { length_mm, count }).collect();
        // checked as it is laid
        let held = lay(&tube, &pieces, &SawRules { kerf_mm, grip_mm, first_trim_mm }, Effort::Quick);
        prop_assert!(count(&held, StickSource::Buy) >= held.least_to_buy);
        let free = lay(&tube, &pieces, &SawRules { kerf_mm, grip_mm: 0.0, first_trim_mm: 0.0 }, Effort::Quick);
        prop_assert!(free.unplaced.is_empty());
        let ours = (count(&free, StickSource::Buy), count(&free, StickSource::Rack));
        let simple = longest_first(&tube, &pieces, kerf_mm).expect("every piece goes on a stick");
        prop_assert!(ours <= simple, "{ours:?} against {simple:?}");
        prop_assert!(ours.0 >= free.least_to_buy);
        // what the saw holds and trims costs sticks, never saves them
        prop_assert!(!free.proved_fewest || count(&held, StickSource::Buy) >= ours.0 || !held.unplaced.is_empty());
    }
}

/// More saw angles than an order can be worked out for exactly: still a layout that can be sawn.
#[test]
fn forty_saw_angles_on_a_stick_are_laid_out_too() {
    let pieces: Vec<Piece> = (0..40)
        .map(|i| {
            let deg = 2.0 + f64::from(i) / 2.0;
            piece(&format!("A{i}"), 60.0 + f64::from(i), deg, if i % 2 == 0 { deg } else { 0.0 })
        })
        .collect();
    for grip_mm in [0.0, 70.0] {
        let rules = SawRules { kerf_mm: 1.6, grip_mm, first_trim_mm: 0.0 };
        let nested = lay(&tube(6000.0), &pieces, &rules, Effort::Thorough);
        assert_eq!(nested.sticks.len(), 1);
        assert!(nested.proved_fewest);
        // the long way of an order per length of its own would take far more
        assert!(nested.sticks[0].drop_mm > 2000.0, "{}", nested.sticks[0].drop_mm);
    }
}

#[test]
fn what_is_no_piece_and_what_fits_nowhere_is_named() {
    let mut all = squares([500.0, 1200.0, -3.0, f64::NAN, f64::INFINITY]);
    all.push(piece("A6", 100.0, 90.0, 0.0));
    let mut short = tube(1000.0);
    short.offcuts =
        vec![Offcut { length_mm: f64::NAN, count: 3 }, Offcut { length_mm: -1.0, count: u32::MAX }];
    let rules = SawRules { kerf_mm: f64::NAN, grip_mm: f64::NAN, first_trim_mm: f64::NAN };
    let refs: Vec<&Piece> = all.iter().collect();
    let nested = nest(&short, &refs, &rules, Effort::Thorough);
    assert_eq!(nested.unplaced, ["A2", "A3", "A4", "A5", "A6"]);
    assert_eq!(nested.sticks.len(), 1);
    for stick_mm in [f64::NAN, 0.0, -5.0] {
        assert_eq!(nest(&tube(stick_mm), &refs, &rules, Effort::Quick).unplaced.len(), 6);
    }
    let endless = SawRules { kerf_mm: 1e300, grip_mm: f64::INFINITY, first_trim_mm: 1e300 };
    assert_eq!(nest(&tube(1000.0), &refs, &endless, Effort::Quick).unplaced.len(), 6);
    assert!(nest(&tube(1000.0), &[], &rules, Effort::Quick).sticks.is_empty());
}

/// Small pieces cannot be held: without a longer one to hold, a stick ends in what the saw holds.
#[test]
fn the_last_piece_of_a_stick_is_held_or_what_is_left_is() {
    let rules = SawRules { kerf_mm: 2.0, grip_mm: 120.0, first_trim_mm: 0.0 };
    // 4 of 50 with their cuts leave 32; with 130 last there is no room needed
    let mut t = tube(240.0);
    let small = squares([50.0; 4]);
    assert_eq!(count(&lay(&t, &small, &rules, Effort::Thorough), StickSource::Buy), 2);
    t.stick_mm = 3.0 * 52.0 + 130.0;
    let with_long = squares([50.0, 50.0, 50.0, 130.0]);
    let nested = lay(&t, &with_long, &rules, Effort::Thorough);
    assert_eq!(nested.sticks.len(), 1);
    assert_eq!(nested.sticks[0].cuts[3].mark, "A4");
    assert!(nested.sticks[0].drop_mm < 1e-6);
    // a piece just as long as an offcut needs no cut, so nothing has to be held
    let mut t = tube(1000.0);
    t.offcuts = vec![Offcut { length_mm: 60.0, count: 1 }];
    let nested = lay(&t, &squares([60.0]), &rules, Effort::Quick);
    assert_eq!(nested.sticks[0].source, StickSource::Offcut);
    // a hair shorter would have to be cut off
    let nested = lay(&t, &squares([59.9]), &rules, Effort::Quick);
    assert_eq!(nested.sticks[0].source, StickSource::Buy);
}

#[test]
fn two_thousand_pieces_are_laid_out_with_an_honest_bound() {
    let pieces: Vec<Piece> = (0..2000_u32)
        .map(|i| piece(&format!("A{i}"), f64::from(60 + i * 7919 % 841), f64::from(i % 3) * 7.5, 0.0))
        .collect();
    let rules = SawRules { kerf_mm: 1.6, grip_mm: 100.0, first_trim_mm: 5.0 };
    let nested = lay(&tube(3000.0), &pieces, &rules, Effort::Quick);
    let bought = count(&nested, StickSource::Buy);
    assert!(nested.unplaced.is_empty());
    assert!(
        nested.least_to_buy <= bought && bought <= nested.least_to_buy + 5,
        "{bought}: {}",
        nested.least_to_buy
    );
    assert_eq!(nested.proved_fewest, nested.least_to_buy == bought);
}

#[test]
fn the_same_pieces_give_the_same_layout() {
    let pieces: Vec<Piece> = (0..30)
        .map(|i| piece(&format!("A{i}"), 300.0 + f64::from(i * 37 % 29) * 11.3, f64::from(i % 2) * 7.5, 0.0))
        .collect();
    let rules = SawRules { kerf_mm: 1.6, grip_mm: 100.0, first_trim_mm: 5.0 };
    let once = lay(&tube(2000.0), &pieces, &rules, Effort::Thorough);
    assert_eq!(once, lay(&tube(2000.0), &pieces, &rules, Effort::Thorough));
}

//! Layouts on one tube.

use super::*;
use crate::fab::piece::{Cut, PieceKind};
use crate::model::{Material, Offcut, TubeId};
use approx::assert_relative_eq;
use std::f64::consts::PI;

/// A saw with nothing but a kerf.
fn rules(kerf_mm: f64) -> SawRules {
    SawRules { kerf_mm, grip_mm: 0.0, first_trim_mm: 0.0 }
}

pub(super) fn tube(stick_mm: f64) -> Tube {
    Tube {
        id: TubeId(1),
        material: Material::Stainless304,
        od_mm: 76.2,
        wall_mm: 1.65,
        stick_mm,
        sticks_on_hand: 1,
        offcuts: Vec::new(),
        slices: Vec::new(),
        stick_price: None,
    }
}

pub(super) fn piece(mark: &str, centre_mm: f64, start_deg: f64, end_deg: f64) -> Piece {
    let cut = |deg: f64| Cut::tilted(deg.to_radians(), 0.0);
    Piece {
        mark: mark.to_owned(),
        key: None,
        kind: PieceKind::Straight,
        tube: TubeId(1),
        od_mm: 76.2,
        centre_mm,
        start: cut(start_deg),
        end: cut(end_deg),
        bend: None,
        lobe_clock_rad: None,
        curves: [None, None],
    }
}

/// Worked layout: end piece 82.7357, three slices 45.4714 at 11.25°, end piece 82.7357, kerf 1.6: the second
/// end piece is as long as the first, so it comes before the slices here and shares a cut all the same.
#[test]
fn equal_angles_share_one_cut() {
    let all = [
        piece("A1", 82.7357, 0.0, 11.25),
        piece("A2", 45.4714, 11.25, 11.25),
        piece("A3", 45.4714, 11.25, 11.25),
        piece("A4", 45.4714, 11.25, 11.25),
    ];
    let sticks = nest(&tube(3000.0), &all.iter().collect::<Vec<_>>(), &rules(1.6), Effort::Quick).sticks;
    assert_eq!(sticks.len(), 1);
    let starts: Vec<f64> = sticks[0].cuts.iter().map(|c| c.from_mm).collect();
    for (got, want) in starts.iter().zip([0.0, 84.3670, 131.4697, 178.5725]) {
        assert_relative_eq!(*got, want, epsilon = 2e-4);
    }
    assert!(sticks[0].cuts.iter().skip(1).all(|c| c.shares_cut));
    assert_relative_eq!(sticks[0].cuts[1].turn_rad.unwrap(), PI);
}

#[test]
fn a_short_offcut_is_used_before_a_stick_is_bought() {
    let mut t = tube(3000.0);
    t.sticks_on_hand = 0;
    t.offcuts = vec![Offcut { length_mm: 500.0, count: 1 }, Offcut { length_mm: 120.0, count: 2 }];
    let a = piece("A1", 110.0, 0.0, 0.0);
    let b = piece("A2", 2900.0, 0.0, 0.0);
    let sticks = nest(&t, &[&a, &b], &rules(2.0), Effort::Quick).sticks;
    let sources: Vec<_> = sticks.iter().map(|s| (s.source, s.length_mm)).collect();
    assert_eq!(sources, [(StickSource::Buy, 3000.0), (StickSource::Offcut, 120.0)]);
}

#[test]
fn nothing_reaches_past_the_end_of_a_stick_and_pieces_do_not_overlap() {
    let all: Vec<Piece> = (0..40)
        .map(|i| {
            piece(
                &format!("A{i}"),
                60.0 + f64::from(i) * 17.0,
                f64::from(i % 3) * 7.5,
                f64::from(i % 4) * 5.0,
            )
        })
        .collect();
    let sticks = nest(&tube(1500.0), &all.iter().collect::<Vec<_>>(), &rules(1.6), Effort::Quick).sticks;
    let mut seen = 0;
    for stick in &sticks {
        let mut end = 0.0;
        let mut tilt = 0.0_f64;
        for cut in &stick.cuts {
            // at every generator the gap to the piece before is at least the kerf
            if seen > 0 && end > 0.0 {
                let least = cut.from_mm - end - 38.1 * (cut.first_rad.tan() - tilt.tan()).abs();
                assert!(least > 1.59, "kerf kept, got {least}");
            }
            (end, tilt) = (cut.to_mm, cut.second_rad);
            seen += 1;
        }
        assert!(end + 38.1 * tilt.tan() <= stick.length_mm + 1e-9);
    }
    assert_eq!(seen, 40);
}

#[test]
fn a_piece_longer_than_every_stick_is_left_out() {
    let a = piece("A1", 4000.0, 0.0, 0.0);
    let nested = nest(&tube(3000.0), &[&a], &rules(1.6), Effort::Quick);
    assert!(nested.sticks.is_empty());
    assert_eq!(nested.unplaced, ["A1"]);
}

/// The linear bound by itself, against the quick search, which does without it and is checked against every layout.
#[test]
fn the_linear_bound_is_never_too_high_and_its_layouts_hold_every_piece() {
    let mut state = 17_u64;
    let mut below = |n: u64| {
        state = state * 48_271 % 2_147_483_647;
        state / 7 % n
    };
    let (mut known, mut tight, mut laid) = (0, 0, 0);
    for _ in 0..150 {
        let tilts = [0.0, 11.25, 7.5];
        let settings = 1 + below(3);
        let pieces: Vec<Piece> = (0..5 + below(9))
            .map(|i| {
                let length_mm = 60.0 + below(4000) as f64 / 10.0;
                let mut tilt = || tilts[below(settings) as usize];
                piece(&format!("A{i}"), length_mm, tilt(), tilt())
            })
            .collect();
        let mut tube = tube(700.0);
        let offcuts = (0..below(3)).map(|_| Offcut { length_mm: 100.0 + below(900) as f64, count: 2 });
        tube.offcuts = offcuts.collect();
        let rules = SawRules { grip_mm: [0.0, 0.0, 120.0][below(3) as usize], ..rules(1.6) };
        let mut job = Job::new(&tube, &pieces.iter().collect::<Vec<_>>(), &rules);
        set_aside(&mut job);
        let mut cutter = Cutter::new(&job, &Unwatched);
        let solved = solve::solve(&mut cutter, Effort::Quick);
        if solved.least_whole != solved.layout.whole() || !solved.layout.unplaced.is_empty() {
            continue;
        }
        let sums = search::Sums::new(&mut cutter, true);
        // every piece on a stick of its own, as far as that goes
        let alone = |blank: usize| {
            let mut bin = Bin::new(job.whole.expect("a stick"));
            bin.put(&job, blank);
            bin
        };
        let bins = (0..job.blanks.len()).map(alone).collect();
        let mut layout = fill::Layout { bins, unplaced: Vec::new() };
        let mut least = 0;
        plan::improve(&mut cutter, &sums, &mut layout, &mut least);
        assert!(least <= solved.least_whole, "{least} against {}: {pieces:?} {tube:?}", solved.least_whole);
        assert!(layout.whole() >= solved.least_whole);
        let mut blanks: Vec<usize> = layout.bins.iter().flat_map(|b| b.blanks.clone()).collect();
        blanks.sort_unstable();
        assert!(blanks.into_iter().eq(0..job.blanks.len()), "every piece once");
        known += 1;
        tight += usize::from(least == solved.least_whole);
        let cuttable = layout.bins.iter().all(|b| cutter.left(b).is_some());
        laid += usize::from(layout.whole() == solved.least_whole && cuttable);
    }
    assert!(known > 100 && tight * 10 > known * 8 && laid * 10 > known * 7, "{known} {tight} {laid}");
}

/// Own vectors, worked out by another program: see `order/tests.rs`. Tube, stick, kerf, grip, trim, offcuts; whole sticks
/// and the longest left-over, mm, as the fit allowance still in it.
#[test]
fn own_vectors_take_their_sticks_and_leave_their_longest() {
    for vector in super::order::vectors::ALL {
        let pieces = vector.pieces();
        let mut tube = tube(vector.stick_mm);
        (tube.od_mm, tube.sticks_on_hand) = (vector.od_mm, 0);
        tube.offcuts = vector.offcuts_mm.iter().map(|l| Offcut { length_mm: *l, count: 1 }).collect();
        for effort in [Effort::Quick, Effort::Thorough] {
            let nested = nest(&tube, &pieces.iter().collect::<Vec<_>>(), &vector.rules(), effort);
            let whole = nested.sticks.iter().filter(|s| s.source == StickSource::Buy).count();
            assert_eq!(whole, vector.whole, "{}", vector.name);
            assert_relative_eq!(nested.longest_left_mm, vector.left_mm - job::FIT_MM, epsilon = 2e-6);
            assert!(nested.proved_fewest && nested.proved_drop, "{}", vector.name);
        }
    }
}

/// Somebody who stops the search at once, and notes what was told.
struct Stops(std::cell::RefCell<Vec<f64>>);

impl Watch for Stops {
    fn progress(&self, part: f64) {
        self.0.borrow_mut().push(part);
    }

    fn is_cancelled(&self) -> bool {
        true
    }
}

#[test]
fn a_search_that_is_stopped_gives_a_layout_of_every_piece() {
    let all: Vec<Piece> = (0..60)
        .map(|i| piece(&format!("A{i}"), 90.0 + f64::from(i * 37 % 41) * 9.7, f64::from(i % 7), 3.0))
        .collect();
    let refs: Vec<&Piece> = all.iter().collect();
    let stops = Stops(std::cell::RefCell::default());
    let nested = nest_watched(&tube(2000.0), &refs, &rules(1.6), Effort::Thorough, &stops);
    let cut: usize = nested.sticks.iter().map(|s| s.cuts.len()).sum();
    assert_eq!(cut, 60);
    let quick = nest(&tube(2000.0), &refs, &rules(1.6), Effort::Quick);
    assert!(nested.sticks.len() >= quick.sticks.len());
    assert!(nested.least_to_buy <= quick.sticks.len());
}

/// Somebody who waits, and notes what was told.
#[derive(Default)]
struct Waits(std::cell::RefCell<Vec<f64>>);

impl Watch for Waits {
    fn progress(&self, part: f64) {
        self.0.borrow_mut().push(part);
    }

    fn is_cancelled(&self) -> bool {
        false
    }
}

#[test]
fn a_long_search_tells_how_far_it_is_and_finds_no_less_than_a_short_one() {
    let all: Vec<Piece> = (0..40)
        .map(|i| {
            piece(
                &format!("A{i}"),
                90.0 + f64::from(i * 37 % 41) * 9.7,
                f64::from(i) * 0.47,
                f64::from(i * 17 % 40) * 0.53,
            )
        })
        .collect();
    let refs: Vec<&Piece> = all.iter().collect();
    let waits = Waits::default();
    let found = nest_watched(&tube(2000.0), &refs, &rules(1.6), Effort::Thorough, &waits);
    let told = waits.0.into_inner();
    assert!(told.len() > 5 && told.windows(2).all(|w| w[0] <= w[1]) && told.iter().all(|t| *t <= 1.0));
    let quick = nest(&tube(2000.0), &refs, &rules(1.6), Effort::Quick);
    assert!(found.sticks.len() <= quick.sticks.len());
    assert!(found.sticks.len() < quick.sticks.len() || found.longest_left_mm >= quick.longest_left_mm - 1e-9);
}

//! Slices and straights on the stick.

use approx::assert_relative_eq;
use pipeloft_core::fab::nest::{Effort, SawRules, Stick, StickSource, nest};
use pipeloft_core::fab::{Cut, Mitre, Piece, PieceKind};
use pipeloft_core::model::{Ends, Offcut, Tube};
use pipeloft_tests::shop::{TUBE, shop};
use std::f64::consts::PI;

fn tube(od_mm: f64, stick_mm: f64) -> Tube {
    Tube { stick_mm, ..shop(od_mm, 1.65).tubes[0].clone() }
}

fn piece(mark: &str, od_mm: f64, centre_mm: f64, start_deg: f64, end_deg: f64) -> Piece {
    let cut = |deg: f64| Cut::tilted(deg.to_radians(), 0.0);
    Piece {
        mark: mark.to_owned(),
        key: None,
        kind: PieceKind::Straight,
        tube: TUBE,
        od_mm,
        centre_mm,
        start: cut(start_deg),
        end: cut(end_deg),
        bend: None,
        lobe_clock_rad: None,
        curves: [None, None],
    }
}

fn lay(tube: &Tube, pieces: &[Piece], kerf_mm: f64) -> Vec<Stick> {
    let rules = SawRules { kerf_mm, grip_mm: 0.0, first_trim_mm: 0.0 };
    nest(tube, &pieces.iter().collect::<Vec<_>>(), &rules, Effort::Quick).sticks
}

/// OD, centreline radius, saw angle, kerf and the pitch of slices along the stick.
///
/// Source: measured on solids with the kerf cut away, five cases.
const PITCHES: [(f64, f64, f64, f64, f64); 5] = [
    (76.2, 114.3, 11.25, 1.6, 47.102_713),
    (100.838, 132.334, 6.216_666_67, 2.38, 31.224_124),
    (50.8, 50.8, 7.5, 0.9, 14.283_659_8),
    (60.325, 76.2, 22.5, 3.2, 66.589_801_9),
    (38.1, 41.3, 6.858_333_33, 1.27, 11.213_908_6),
];

#[test]
fn slices_off_one_stick_are_a_centreline_and_a_slanted_kerf_apart() {
    for (od, clr_mm, saw_deg, kerf, pitch) in PITCHES {
        let mitre = Mitre::equal(f64::to_radians(8.0 * saw_deg), clr_mm, od, 4, Ends::Half);
        let slices: Vec<Piece> =
            (1..=4).map(|i| piece(&format!("A{i}"), od, mitre.centre_mm(), saw_deg, saw_deg)).collect();
        let sticks = lay(&tube(od, 3000.0), &slices, kerf);
        assert_eq!(sticks.len(), 1);
        for pair in sticks[0].cuts.windows(2) {
            let got = pair[1].from_mm - pair[0].from_mm;
            assert!((got - pitch).abs() < 5e-7, "OD {od}: pitch {got}, not {pitch}");
            assert!(pair[1].shares_cut);
            assert_relative_eq!(pair[1].turn_rad.unwrap(), PI, epsilon = 1e-12);
        }
    }
}

/// Own vector: end 82.7357, three slices 45.4714 at 11.25°, end 82.7357, kerf 1.6, OD 76.2: starts 0, 84.3670,
/// 131.4697, 178.5725 and 225.6752, 310.0109 used.
#[test]
fn the_five_pieces_of_a_four_weld_elbow_share_every_cut() {
    let slice = |mark| piece(mark, 76.2, 45.4714, 11.25, 11.25);
    let all = [
        piece("A1", 76.2, 82.7357, 0.0, 11.25),
        slice("A2"),
        slice("A3"),
        slice("A4"),
        piece("A5", 76.2, 82.7357, 11.25, 0.0),
    ];
    let sticks = lay(&tube(76.2, 3000.0), &all, 1.6);
    assert_eq!(sticks.len(), 1);
    let cuts = &sticks[0].cuts;
    assert_eq!(cuts.len(), 5);
    for (cut, want) in cuts.iter().zip([0.0, 84.3670, 131.4697, 178.5725, 225.6752]) {
        assert_relative_eq!(cut.from_mm, want, epsilon = 2e-4);
    }
    assert!(cuts.iter().skip(1).all(|c| c.shares_cut));
    assert_relative_eq!(3000.0 - sticks[0].drop_mm, 310.0109, epsilon = 2e-4);
}

/// Own vector: two of 40 at 11.25° and two of 30 at 7.5°, OD 76.2, kerf 1.6, take 164.8926 of the stick up to where a
/// square end can stand; taken turn about they would take 173.2629.
#[test]
fn pieces_of_one_saw_angle_are_cut_together_whatever_their_lengths() {
    let four = |lengths: [f64; 4], angles: [f64; 4]| -> Vec<Piece> {
        (0..4).map(|i| piece(&format!("A{i}"), 76.2, lengths[i], angles[i], angles[i])).collect()
    };
    let used = |pieces: &[Piece]| {
        let sticks = lay(&tube(76.2, 3000.0), pieces, 1.6);
        assert_eq!(sticks.len(), 1);
        3000.0 - sticks[0].drop_mm
    };
    let sorted = used(&four([40.0, 40.0, 30.0, 30.0], [11.25, 11.25, 7.5, 7.5]));
    assert_relative_eq!(sorted, 164.8926, epsilon = 5.1e-5);
    // 14 mm more of tube, in lengths that would take turns if the longest went first
    let mixed = used(&four([40.0, 39.0, 38.0, 37.0], [11.25, 7.5, 11.25, 7.5]));
    assert_relative_eq!(mixed - 14.0, 164.8926, epsilon = 5.1e-5);
}

#[test]
fn the_first_mitred_cut_wastes_its_ramp_and_a_kerf() {
    let sticks = lay(&tube(76.2, 3000.0), &[piece("A1", 76.2, 60.0, 11.25, 11.25)], 1.6);
    let slope = 11.25_f64.to_radians();
    assert_relative_eq!(sticks[0].cuts[0].from_mm, 38.1 * slope.tan() + 1.6 / slope.cos(), epsilon = 1e-9);
    let square = lay(&tube(76.2, 3000.0), &[piece("A1", 76.2, 60.0, 0.0, 0.0)], 1.6);
    assert_relative_eq!(square[0].cuts[0].from_mm, 0.0);
    assert_relative_eq!(square[0].drop_mm, 3000.0 - 60.0 - 1.6, epsilon = 1e-9);
}

#[test]
fn a_piece_as_long_as_the_stick_needs_no_cut() {
    assert_eq!(lay(&tube(63.5, 500.0), &[piece("A1", 63.5, 500.0, 0.0, 0.0)], 1.6).len(), 1);
    assert!(lay(&tube(63.5, 500.0), &[piece("A1", 63.5, 500.1, 0.0, 0.0)], 1.6).is_empty());
    // the long side of a mitred end counts, not the centreline
    assert!(lay(&tube(63.5, 500.0), &[piece("A1", 63.5, 495.0, 0.0, 11.25)], 1.6).is_empty());
}

#[test]
fn offcuts_go_before_the_rack_and_the_rack_before_the_shop_counter() {
    let mut t = tube(63.5, 1000.0);
    t.sticks_on_hand = 1;
    t.offcuts = vec![Offcut { length_mm: 400.0, count: 1 }];
    let pieces: Vec<Piece> = [900.0, 850.0, 380.0]
        .iter()
        .enumerate()
        .map(|(i, l)| piece(&format!("A{i}"), 63.5, *l, 0.0, 0.0))
        .collect();
    let sources: Vec<_> = lay(&t, &pieces, 1.6).iter().map(|s| (s.source, s.cuts.len())).collect();
    assert_eq!(sources, [(StickSource::Rack, 1), (StickSource::Buy, 1), (StickSource::Offcut, 1)]);
}

/// Own vectors in mm (kerf 0): sticks needed, proved by an exact search elsewhere.
#[test]
fn layouts_need_no_more_sticks_than_the_proved_least() {
    let cases: [(&[f64], f64, usize); 4] = [
        (&[603.0, 603.0, 403.0, 403.0, 403.0, 303.0, 303.0, 253.0], 1503.0, 3),
        (&[700.0, 510.0, 510.0, 330.0, 330.0, 330.0, 240.0], 1500.0, 2),
        (&[340.0, 340.0, 340.0, 330.0, 330.0, 320.0], 1000.0, 2),
        (&[510.0, 510.0, 500.0, 500.0, 490.0, 490.0], 1000.0, 3),
    ];
    for (lengths, stick, least) in cases {
        let pieces: Vec<Piece> =
            lengths.iter().enumerate().map(|(i, l)| piece(&format!("A{i}"), 63.5, *l, 0.0, 0.0)).collect();
        let sticks = lay(&tube(63.5, stick), &pieces, 0.0);
        let placed: usize = sticks.iter().map(|s| s.cuts.len()).sum();
        assert_eq!(placed, lengths.len());
        assert_eq!(sticks.len(), least, "{lengths:?}");
        for s in &sticks {
            let sum: f64 = s.cuts.iter().map(|c| c.to_mm - c.from_mm).sum();
            assert!(sum <= stick + 1e-9);
        }
    }
}

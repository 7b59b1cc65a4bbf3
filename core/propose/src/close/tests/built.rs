//! Gaps made from pieces that are known: those pieces come back. Gaps that cannot close: nothing says that they do.

use super::super::offer::{Kind, rank};
use super::super::solve::Dice;
use super::super::{bend, lay, mitres, plain, shelf};
use super::{Gap, gap, laid, missed, near_x, ready};
use glam::DVec3;
use pipeloft_core::fab::{Cut, Piece};
use pipeloft_core::model::ReadySlice;

/// The gap that `pieces` fill.
fn filled(pieces: &[Piece], slices: Vec<ReadySlice>) -> Gap {
    let any = gap(DVec3::X, DVec3::X, slices);
    let (at, travel) = laid(&any.from, pieces);
    gap(at, travel, any.tube.slices)
}

fn blank() -> Gap {
    gap(DVec3::X, DVec3::X, Vec::new())
}

#[test]
fn one_piece_with_any_two_cuts_comes_back() {
    let mut dice = Dice(11);
    for _ in 0..200 {
        let cut =
            |dice: &mut Dice| Cut::tilted(dice.between(0.2, 24.0).to_radians(), dice.between(-3.1, 3.1));
        let piece = lay::tube(&blank(), dice.between(45.0, 220.0), [cut(&mut dice), cut(&mut dice)]);
        let gap = filled(std::slice::from_ref(&piece), Vec::new());
        let found = &plain::one_piece(&gap)[0].pieces[0];
        assert!((found.centre_mm - piece.centre_mm).abs() < 1e-6, "{found:?} {piece:?}");
        for (a, b) in [(found.start, piece.start), (found.end, piece.end)] {
            assert!((a.tilt_rad - b.tilt_rad).abs().to_degrees() < 1e-6, "{a:?} {b:?}");
        }
        let turn = found.twist_rad().unwrap() - piece.twist_rad().unwrap();
        assert!(turn.sin().abs().to_degrees() < 1e-4 && turn.cos() > 0.0, "{turn}");
    }
}

#[test]
fn one_mitre_and_two_on_the_saw_s_steps_come_back() {
    let mut dice = Dice(12);
    for _ in 0..60 {
        let steps = [5.0, 7.5, 10.0, 11.25, 15.0, 22.5_f64];
        let tilt = |dice: &mut Dice| steps[(dice.word() % 6) as usize].to_radians();
        let (t1, t2) = (tilt(&mut dice), tilt(&mut dice));
        let (h1, h2) = (dice.between(-3.0, 3.0), dice.between(-3.0, 3.0));
        let (one, two) = (Cut::tilted(t1, h1), Cut::tilted(t2, h2));
        let mut long = || dice.between(50.0, 120.0);
        let single = [
            lay::tube(&blank(), long(), [Cut::SQUARE, one]),
            lay::tube(&blank(), long(), [one, Cut::SQUARE]),
        ];
        let gap = filled(&single, Vec::new());
        let found = &mitres::one(&gap)[0];
        for (a, b) in found.pieces.iter().zip(&single) {
            assert!((a.centre_mm - b.centre_mm).abs() < 1e-6, "{a:?} {b:?}");
        }
        let double = [
            lay::tube(&blank(), long(), [Cut::SQUARE, one]),
            lay::tube(&blank(), long(), [one, two]),
            lay::tube(&blank(), long(), [two, Cut::SQUARE]),
        ];
        let gap = filled(&double, Vec::new());
        for u in mitres::cones(&gap, 2.0 * t1, 2.0 * t2) {
            let Some(found) = mitres::legs(&gap, u, [2.0 * t1, 2.0 * t2]) else { continue };
            let (mm, deg) = missed(&gap, &found);
            assert!(mm < 1e-6 && deg < 1e-6, "{mm} {deg}");
        }
        let same = |p: &[Piece]| {
            p.len() == 3 && p.iter().zip(&double).all(|(a, b)| (a.centre_mm - b.centre_mm).abs() < 1e-5)
        };
        let back = mitres::cones(&gap, 2.0 * t1, 2.0 * t2)
            .into_iter()
            .filter_map(|u| mitres::legs(&gap, u, [2.0 * t1, 2.0 * t2]))
            .any(|p| same(&p));
        assert!(back, "{double:?}");
    }
}

/// Chains of ready slices between two straights, turned by any angle on each face but the last.
#[test]
fn chains_of_ready_slices_are_met_again() {
    let mut dice = Dice(13);
    for round in 0..36_u32 {
        let number = 1 + (round % 4) as usize;
        let shelf = vec![ready(7.5, 30.0), ready(11.25, 45.0)];
        let kind = |dice: &mut Dice| shelf[(dice.word() % 2) as usize];
        let first = kind(&mut dice);
        // mixed orders up to two slices, more all alike: the orders of more are too many to try all
        let chosen: Vec<ReadySlice> =
            (0..number).map(|_| if number <= 2 { kind(&mut dice) } else { first }).collect();
        let mut clock = dice.between(-3.0, 3.0);
        let mut pieces = vec![lay::tube(
            &blank(),
            dice.between(40.0, 90.0),
            [Cut::SQUARE, Cut::tilted(chosen[0].saw_deg.to_radians(), clock)],
        )];
        for slice in &chosen {
            clock += dice.between(-0.6, 0.6);
            let cut = Cut::tilted(slice.saw_deg.to_radians(), clock);
            pieces.push(lay::tube(&blank(), slice.centre_mm(63.5), [cut, cut]));
        }
        let last = pieces[pieces.len() - 1].end;
        pieces.push(lay::tube(&blank(), dice.between(40.0, 90.0), [last, Cut::SQUARE]));
        let gap = filled(&pieces, shelf.clone());
        let offers = shelf::slices(&gap, 24);
        assert!(!offers.is_empty(), "{number} {pieces:?}");
        for offer in &offers {
            let (mm, deg) = missed(&gap, offer.tube_pieces());
            assert!(mm < 0.01 && deg < 0.01, "{number}: {mm} {deg}");
            assert!(offer.tube_pieces().len() <= number + 2);
        }
    }
}

#[test]
fn whatever_is_offered_leaves_what_it_says() {
    let mut dice = Dice(14);
    let (mut closed, mut seen) = (0, std::collections::BTreeSet::new());
    for _ in 0..40 {
        let end =
            DVec3::new(dice.between(90.0, 320.0), dice.between(-120.0, 120.0), dice.between(-120.0, 120.0));
        let gap = gap(end, near_x(&mut dice, 70.0), vec![ready(7.5, 30.0), ready(11.25, 45.0)]);
        let mut offers = plain::straight(&gap);
        offers.extend(plain::one_piece(&gap));
        offers.extend(mitres::one(&gap));
        offers.extend(mitres::two(&gap));
        offers.extend(bend::flat(&gap));
        offers.extend(bend::turned(&gap));
        offers.extend(shelf::slices(&gap, 8));
        for offer in &offers {
            let (mm, deg) = missed(&gap, offer.tube_pieces());
            let said = offer.left.gap_mm.hypot(offer.left.offset_mm);
            assert!(
                (mm - said).abs() < 1e-6 && (deg - offer.left.angle_deg).abs() < 1e-6,
                "{:?}",
                offer.kind
            );
            seen.insert(offer.kind);
            // no side under the least, by the generators all round
            for piece in offer.tube_pieces() {
                let short =
                    (0..360).map(|i| piece.generator_mm(f64::from(i).to_radians())).fold(f64::MAX, f64::min);
                assert!(short >= 6.0 - 1e-6 && short >= offer.shortest_mm - 1e-6, "{:?} {short}", offer.kind);
            }
        }
        let answer = rank(&gap, offers);
        closed += usize::from(answer.closes());
        assert!(answer.offers.windows(2).all(|w| w[0].work_min <= w[1].work_min || !answer.closes()));
    }
    assert!(closed >= 36, "{closed}");
    for kind in [Kind::Straight, Kind::OnePiece, Kind::TwoMitres, Kind::Bend, Kind::ReadySlices] {
        assert!(seen.contains(&kind), "{kind:?}");
    }
}

#[test]
fn a_new_bend_in_a_plane_has_slices_of_the_shop_s_radius() {
    let gap = gap(DVec3::new(260.0, 180.0, 0.0), DVec3::Y, Vec::new());
    let offer = &bend::flat(&gap)[0];
    let (mm, deg) = missed(&gap, &offer.pieces);
    assert!(mm < 1e-9 && deg < 1e-9, "{mm} {deg}");
    // 90° at 11.25° a face: four welds, three whole slices of 2·R·tan 11.25° (parallel-line layout of an elbow)
    assert_eq!(offer.pieces.len(), 5);
    let slice = 2.0 * 95.25 * 11.25_f64.to_radians().tan();
    assert!((offer.pieces[2].centre_mm - slice).abs() < 1e-9);
    assert!(offer.lip_mm < 1e-9);
}

#[test]
fn gaps_that_cannot_close_are_told_with_what_is_left() {
    // the hardpoint is beside the open end, behind it, or faces the wrong way
    for (end, arrival) in [
        (DVec3::new(2.0, 30.0, 0.0), DVec3::X),
        (DVec3::new(-60.0, 0.0, 0.0), DVec3::X),
        (DVec3::new(20.0, 0.0, 0.0), -DVec3::X),
        (DVec3::new(5.0, 2.0, 0.0), DVec3::Y),
    ] {
        let gap = gap(end, arrival, vec![ready(7.5, 30.0)]);
        let mut offers = plain::straight(&gap);
        offers.extend(plain::one_piece(&gap));
        offers.extend(mitres::one(&gap));
        offers.extend(shelf::slices(&gap, 8));
        let answer = rank(&gap, offers);
        assert!(!answer.closes(), "{end} {arrival}: {:?}", answer.offers.first());
        assert!(answer.offers.is_sorted_by(|a, b| a.left.mismatch_mm(63.5) <= b.left.mismatch_mm(63.5)));
        for offer in &answer.offers {
            let (mm, deg) = missed(&gap, offer.tube_pieces());
            assert!(mm > 0.5 || deg > 0.2, "{:?}", offer.kind);
            assert!(!offer.left.is_tacked_out());
        }
    }
}

//! What faces, spigots and hoses alone decide.

use super::*;
use crate::geom::vector::turn;

/// Four faces to the corners of a tetrahedron, normals inwards, each centre shifted round its own way.
fn four(aside_mm: f64) -> Vec<Mate> {
    let corners = [at(1.0, 1.0, 1.0), at(1.0, -1.0, -1.0), at(-1.0, 1.0, -1.0), at(-1.0, -1.0, 1.0)];
    corners
        .iter()
        .map(|c| {
            let n = c.try_normalize().unwrap();
            // round the Z axis
            Mate::flat(n * 100.0 + DVec3::Z.cross(n) * aside_mm, -n, 30.0)
        })
        .collect()
}

fn yard(mates: Vec<Mate>) -> Yard {
    let section =
        vec![Solid::Block(Block { centre: DVec3::ZERO, axes: DVec3::AXES, half_mm: DVec3::splat(20.0) })];
    Yard { section, mates, need_mm: 1.0, ..Yard::default() }
}

#[test]
fn four_faces_all_round_hold_it_for_good() {
    assert_eq!(yard(four(0.0)).outcome().answer, Answer::Cannot);
    // three of them do not
    assert!(matches!(yard(four(0.0)[..3].to_vec()).outcome().answer, Answer::Pull(_)));
}

#[test]
fn what_only_keeps_from_pulling_is_not_called_held() {
    // no straight pull, but faces without size do not keep from turning
    let mut points = four(0.0);
    for mate in &mut points {
        mate.radius_mm = 0.0;
    }
    assert!(closed(&points) && !held_fast(&points));
    // without any solid in its way a turned section can be pulled out at once
    let outcome = yard(points).outcome();
    assert_eq!(outcome.pulls_allowed, 0);
    assert!(matches!(outcome.answer, Answer::Way(_)), "{outcome:?}");
}

#[test]
fn closed_is_told_from_open() {
    let flat = |n: DVec3| Mate::flat(n * -50.0, n.try_normalize().unwrap(), 20.0);
    let six: Vec<Mate> = DVec3::AXES.iter().flat_map(|a| [flat(*a), flat(-*a)]).collect();
    assert!(closed(&six));
    assert!(!closed(&six[..5]));
    assert!(!closed(&six[..4])); // along Z
    assert!(!closed(&[]));
    // against every direction of a fine grid, for many sets of normals
    let mut dice = crate::space::tests::Dice::new(77);
    let (mut shut, mut open) = (0, 0);
    for _ in 0..300 {
        let mates: Vec<Mate> = (0..5).map(|_| flat(dice.direction())).collect();
        let gap = |u: DVec3| mates.iter().map(|m| u.dot(m.out)).fold(f64::INFINITY, f64::min);
        let mut best = f64::NEG_INFINITY;
        for i in 0..40 {
            for j in 0..80 {
                let up = turn(DVec3::Z, DVec3::X, f64::from(i) * std::f64::consts::PI / 39.0);
                best = best.max(gap(turn(up, DVec3::Z, f64::from(j) * std::f64::consts::TAU / 80.0)));
            }
        }
        if best > 0.0 {
            open += 1;
            assert!(!closed(&mates), "{mates:?}");
        } else if best < -0.08 {
            // the grid is 0.08 fine
            shut += 1;
            assert!(closed(&mates), "{mates:?}");
        }
    }
    assert!(shut > 20 && open > 100, "{shut} {open}");
}

#[test]
fn held_fast_withstands_every_small_turn() {
    // the definition, face rims sampled: no small motion keeps all rims out
    let mut dice = crate::space::tests::Dice::new(5);
    let mut held = 0;
    for _ in 0..60 {
        let mut mates = four(dice.between(-10.0, 10.0));
        for mate in &mut mates {
            mate.centre += dice.point(5.0);
            mate.out = (mate.out + dice.point(0.1)).try_normalize().unwrap();
            mate.radius_mm = dice.between(15.0, 40.0);
        }
        if !held_fast(&mates) {
            continue;
        }
        held += 1;
        for _ in 0..400 {
            let (v, w) = (dice.point(1.0), dice.point(0.05));
            let deepest = mates
                .iter()
                .flat_map(|m| {
                    let side = crate::geom::vector::any_across(m.out);
                    (0..48).map(move |i| {
                        let rim =
                            turn(side, m.out, f64::from(i) * std::f64::consts::TAU / 48.0) * m.radius_mm;
                        (v + w.cross(m.centre + rim)).dot(m.out)
                    })
                })
                .fold(f64::INFINITY, f64::min);
            assert!(deepest < 0.0, "{mates:?} {v} {w}");
        }
    }
    assert!(held > 20, "{held}");
}

#[test]
fn spigots_that_point_apart_can_not_both_be_drawn() {
    let spigot = |centre: DVec3, out: DVec3| Mate {
        kind: MateKind::Spigot { depth_mm: 20.0 },
        ..Mate::flat(centre, out, 31.75)
    };
    let mut yard = ell();
    yard.mates = vec![spigot(DVec3::ZERO, DVec3::X), spigot(at(150.0, 200.0, 0.0), -DVec3::Y)];
    assert_eq!(yard.outcome().answer, Answer::NoWay(Stop::Spigots));
    // one spigot and a face across it: the spigot is drawn along the face
    yard.mates[1] = Mate::flat(at(150.0, 200.0, 0.0), -DVec3::Y, 31.75);
    let pull = yard.pull();
    assert_eq!(pull.way.stances[1].shift_mm, DVec3::X * 20.0);
    // a spigot whose way a face blocks
    yard.mates.push(Mate::flat(at(150.0, 0.0, 0.0), -DVec3::X, 31.75));
    assert_eq!(yard.outcome().answer, Answer::NoWay(Stop::Spigots));
}

#[test]
fn a_hose_needs_straight_to_be_slid_back_on() {
    let hose = |straight_mm| Mate {
        kind: MateKind::Hose { slide_mm: 40.0, straight_mm },
        ..Mate::flat(DVec3::ZERO, DVec3::X, 31.75)
    };
    let mut yard = ell();
    yard.fixed[0] = tube(at(-200.0, 0.0, 0.0), at(-10.0, 0.0, 0.0), 31.75);
    yard.mates[0] = hose(30.0);
    let Answer::NoWay(Stop::Hose { mate: 0, lacks_mm }) = yard.outcome().answer else { panic!() };
    assert!((lacks_mm - 10.0).abs() < 1e-9);
    yard.mates[0] = hose(40.0);
    let outcome = yard.outcome();
    assert!(matches!(outcome.answer, Answer::Pull(_)), "{outcome:?}");
    // the ends are apart, so it may go back a little too: more directions than with a face
    assert!(outcome.pulls_allowed > ell().outcome().pulls_allowed);
}

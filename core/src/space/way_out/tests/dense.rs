//! Found ways, followed step by step with points of the surfaces: no part of the search is used for it, nor the
//! gaps, nor how solids are moved.

use super::*;
use crate::geom::vector::turn;
use crate::space::tests::sampling::{point_to_solid, surface_points};

/// The least distance of the moved section from a shape and from a fixed solid along a way, by points of its surface
/// (`cells` by `cells` on every patch) every 1 mm and 0.5°. The skin at the faces does not count. The last leg is
/// followed for `last_mm`.
fn least_mm(yard: &Yard, way: &Way, last_mm: f64, cells: usize) -> (f64, f64) {
    // what lies in the skin is brought to its inner side
    let out_of_skin = |p: DVec3| {
        yard.mates.iter().fold(p, |p, m| p + m.out * (SKIN_MM - (p - m.centre).dot(m.out)).max(0.0))
    };
    let points: Vec<DVec3> =
        yard.section.iter().flat_map(|s| surface_points(s, cells)).map(out_of_skin).collect();
    let balls: Vec<(DVec3, f64)> = yard.fixed.iter().map(ball).collect();
    let (mut to_shape, mut to_fixed) = (f64::INFINITY, f64::INFINITY);
    for (leg, pair) in way.stances.windows(2).enumerate() {
        let (a, b) = (pair[0], pair[1]);
        let length_mm = a.shift_mm.distance(b.shift_mm);
        let turn_rad = a.turn_rad.distance(b.turn_rad);
        let steps = length_mm.max(turn_rad.to_degrees() * 2.0).ceil().max(1.0);
        let stop = if leg + 2 == way.stances.len() { last_mm.min(steps) } else { steps };
        for i in 0..=stop as usize {
            let share = i as f64 / steps;
            let shift = a.shift_mm + (b.shift_mm - a.shift_mm) * share;
            let rotation = a.turn_rad + (b.turn_rad - a.turn_rad) * share;
            let axis = rotation.try_normalize().unwrap_or(DVec3::X);
            for p in &points {
                let p = turn(*p - way.pivot, axis, rotation.length()) + way.pivot + shift;
                for shape in &yard.shapes {
                    to_shape = to_shape.min(shape.signed_distance(p));
                }
                for (solid, ball) in yard.fixed.iter().zip(&balls) {
                    // not worth a look if it is further off than what is known
                    if p.distance(ball.0) - ball.1 < to_fixed {
                        to_fixed = to_fixed.min(point_to_solid(solid, p));
                    }
                }
            }
        }
    }
    (to_shape, to_fixed)
}

/// A ball that holds a solid, by its surface.
fn ball(solid: &Solid) -> (DVec3, f64) {
    let points = surface_points(solid, 16);
    let middle = points.iter().sum::<DVec3>() / points.len() as f64;
    (middle, points.iter().map(|p| p.distance(middle)).fold(0.0, f64::max) + 5.0)
}

#[test]
fn the_way_out_of_the_channel_keeps_its_gap() {
    let mut yard = channel();
    for need_mm in [0.5, 2.0] {
        yard.need_mm = need_mm;
        let outcome = yard.outcome();
        let Answer::Way(way) = &outcome.answer else { panic!("{outcome:?}") };
        let least = least_mm(&yard, way, 150.0, 20);
        println!("{need_mm}: {least:?} in {} moves, {} poses", way.stances.len() - 1, outcome.poses);
        assert!(least.0 >= need_mm - 0.05, "{least:?}");
        // at the face the skin's 0.6 mm less the rubbing is all that can be asked for
        assert!(least.1 >= need_mm.min(0.5) - 0.05, "{least:?}");
    }
}

/// A tube bent three times between two fixed tubes, and obstacles close round it.
fn crowd(dice: &mut crate::space::tests::Dice) -> Yard {
    let mut yard = Yard { need_mm: dice.between(1.0, 6.0), ..Yard::default() };
    let mut frame = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    for _ in 0..3 {
        yard.section.push(tube(frame.origin, frame.forward(60.0).origin, 25.0));
        frame = frame.forward(60.0);
        let toward = frame.at_clock(dice.between(0.0, 6.0));
        let angle_rad = dice.between(0.3, 1.0);
        yard.section.push(bend(frame.origin, frame.travel, toward, (80.0, 25.0, angle_rad)));
        frame = frame.around(frame.clock_of(toward), 80.0, angle_rad);
    }
    yard.section.push(tube(frame.origin, frame.forward(40.0).origin, 25.0));
    frame = frame.forward(40.0);
    yard.mates = vec![Mate::flat(DVec3::ZERO, DVec3::X, 25.0), Mate::flat(frame.origin, -frame.travel, 25.0)];
    yard.fixed = vec![
        tube(at(-100.0, 0.0, 0.0), DVec3::ZERO, 25.0),
        tube(frame.origin, frame.forward(100.0).origin, 25.0),
    ];
    for i in 0.. {
        let mut pose = dice.pose(220.0);
        pose.position_mm += frame.origin / 2.0;
        let shape = PlacedShape::new(&dice.shape(i % 4), &pose);
        if crate::space::tightest(&yard.section, &shape, yard.need_mm + 2.0).is_none() {
            yard.shapes.push(shape);
        }
        if yard.shapes.len() == 18 {
            break;
        }
    }
    yard
}

#[test]
fn ways_through_a_crowd_keep_their_gap() {
    let mut dice = crate::space::tests::Dice::new(41);
    let (mut pulls, mut ways, mut none) = (0, 0, 0);
    while ways < 3 {
        let yard = crowd(&mut dice);
        let outcome = find_way_out(&Task { most_poses: 60, ..yard.task() }, &mut |_| true);
        let way = match outcome.answer {
            Answer::Pull(pull) if pulls < 3 => {
                pulls += 1;
                pull.way
            }
            Answer::Way(way) => {
                ways += 1;
                println!("{} poses: {}", outcome.poses, way.in_words(&|mm| format!("{mm:.0}")));
                way
            }
            Answer::Pull(_) => continue,
            Answer::NoWay(_) if none < 6 => {
                none += 1;
                continue;
            }
            other => panic!("{other:?} after {pulls} {ways}"),
        };
        let least = least_mm(&yard, &way, 200.0, 10);
        println!("need {}: {least:?}", yard.need_mm);
        assert!(least.0 >= yard.need_mm - 0.05, "{least:?}");
        assert!(least.1 >= 0.5 - 0.05, "{least:?}");
    }
}

#[test]
fn straight_pulls_keep_their_gap() {
    let mut posts = ell();
    posts.shapes.push(floor(-45.0));
    posts.shapes.push(block([-300.0, -300.0, 45.0], [700.0, 700.0, 60.0]));
    posts.shapes.push(block([60.0, -90.0, -45.0], [120.0, -50.0, 45.0]));
    for yard in [ell(), stub(), posts] {
        let pull = yard.pull();
        let least = least_mm(&yard, &pull.way, 200.0, 16);
        println!("{:?}: {least:?}", pull.direction);
        assert!(least.0.min(least.1) >= yard.need_mm - 0.05, "{least:?}");
        // what is told to spare is there, but for what is nearer at rest
        let rest = Way { stances: vec![Stance::REST; 2], ..pull.way };
        let at_rest = least_mm(&yard, &rest, 0.0, 16);
        assert!(least.0 >= at_rest.0.min(yard.need_mm + pull.spare_mm) - 0.15, "{least:?}");
    }
}

#[test]
fn the_place_where_a_pull_ends_is_where_points_say() {
    // random obstacles before the L, every slide against a march of points in steps of 0.1 mm
    let mut dice = crate::space::tests::Dice::new(19);
    let mut met = 0;
    for _ in 0..60 {
        let mut yard = ell();
        yard.fixed.clear();
        yard.mates.clear();
        let kind = met;
        let pose = dice.pose(220.0);
        yard.shapes.push(PlacedShape::new(&dice.shape(kind % 4), &pose));
        let toward = pose.position_mm - at(90.0, 60.0, 0.0) + dice.point(40.0);
        let along = toward.try_normalize().unwrap();
        let task = yard.task();
        let Ok(drawn) = drawn(&task) else { continue };
        let Some(contact) = drawn.scene.slide(&Stance::REST, along, 300.0, 0.0) else { continue };
        let points: Vec<DVec3> = yard.section.iter().flat_map(|s| surface_points(s, 40)).collect();
        let gap = |t: f64| {
            points
                .iter()
                .map(|p| yard.shapes[0].signed_distance(*p + along * t))
                .fold(f64::INFINITY, f64::min)
        };
        let need_mm = drawn.scene.things[0].need_mm;
        // at the end the gap is what is needed, to the spacing of the points; before it is not less
        let end = gap(contact.at_mm);
        assert!(end > need_mm - 0.03 && end < need_mm + 2.5, "{end} {contact:?}");
        for i in 0..20 {
            assert!(gap(contact.at_mm * f64::from(i) / 20.0) > need_mm - 0.03);
        }
        met += 1;
        if met == 12 {
            break;
        }
    }
    assert!(met == 12, "{met}");
}

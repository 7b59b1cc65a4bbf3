//! Scenes whose answer is known.

use super::*;
use std::f64::consts::{FRAC_PI_2, TAU};

#[test]
fn an_elbow_in_the_open_comes_away_along_its_first_axis() {
    // own vector: every allowed direction is free, the best is +X
    let yard = ell();
    let outcome = yard.outcome();
    println!("open: {} of {}", outcome.pulls_free, outcome.pulls_allowed);
    assert_eq!(outcome.pulls_free, outcome.pulls_allowed);
    assert!((55..75).contains(&outcome.pulls_allowed), "{outcome:?}");
    let Answer::Pull(pull) = &outcome.answer else { panic!("{outcome:?}") };
    assert_eq!(pull.direction, DVec3::X);
    assert!((pull.spare_mm - 50.0).abs() < 1e-9, "{pull:?}");
    // past the second tube, whose side is 181.75 and whose box the elbow's leaves when x ≥ 63.5 and a little
    assert!((63.5..67.0).contains(&pull.clear_after_mm), "{pull:?}");
}

#[test]
fn floor_and_lid_leave_what_lies_between_them() {
    let mut yard = ell();
    yard.shapes.push(floor(-45.0));
    let over = yard.outcome();
    yard.shapes.push(block([-300.0, -300.0, 45.0], [700.0, 700.0, 60.0]));
    let between = yard.outcome();
    println!("floor: {}, lid: {}", over.pulls_free, between.pulls_free);
    // own vectors 37 and 9 of 66, three of each told twice
    assert!((32..42).contains(&over.pulls_free), "{over:?}");
    assert!((4..8).contains(&between.pulls_free), "{between:?}");
    let Answer::Pull(pull) = between.answer else { panic!("{between:?}") };
    assert_eq!(pull.direction, DVec3::X);
    assert!(pull.spare_mm >= 10.0, "{pull:?}");
}

#[test]
fn posts_all_round_leave_no_straight_pull() {
    let mut yard = ell();
    yard.shapes.push(floor(-45.0));
    yard.shapes.push(block([-300.0, -300.0, 45.0], [700.0, 700.0, 60.0]));
    yard.shapes.push(block([190.0, -60.0, -45.0], [230.0, 60.0, 45.0]));
    yard.shapes.push(block([60.0, -90.0, -45.0], [120.0, -50.0, 45.0]));
    let task = Task { most_poses: 40, ..yard.task() };
    let outcome = find_way_out(&task, &mut |_| true);
    assert_eq!(outcome.pulls_free, 0);
    // own vector: furthest 22.2 along (0.084, −0.814, 0.575)
    println!("posts: {outcome:?}");
    if let Answer::NoWay(Stop::Runs { direction, distance_mm, .. }) = outcome.answer {
        assert!((20.0..26.0).contains(&distance_mm), "{outcome:?}");
        // it can have met no more than: 12.75 up to the lid, 17.75 to the side to the second post
        assert!(direction.z.abs() * distance_mm < 12.76, "{outcome:?}");
    }
}

#[test]
fn a_stub_between_flanges_goes_sideways_only() {
    let yard = stub();
    let outcome = yard.outcome();
    // own vector: 9 allowed and free, all sideways; without the doubles there are 8
    assert_eq!((outcome.pulls_allowed, outcome.pulls_free), (8, 8));
    let Answer::Pull(pull) = &outcome.answer else { panic!("{outcome:?}") };
    assert_eq!(pull.direction, DVec3::Z);
    assert!((90.0..93.0).contains(&pull.clear_after_mm), "{pull:?}");
}

#[test]
fn a_stub_boxed_in_on_all_sides_has_no_way_out() {
    let mut yard = stub();
    for (low, high) in [
        ([-20.0, 48.0, -80.0], [140.0, 60.0, 80.0]),
        ([-20.0, -60.0, -80.0], [140.0, -48.0, 80.0]),
        ([-20.0, -60.0, 48.0], [140.0, 60.0, 60.0]),
        ([-20.0, -60.0, -60.0], [140.0, 60.0, -48.0]),
    ] {
        yard.shapes.push(block(low, high));
    }
    let task = Task { most_poses: 400, ..yard.task() };
    let outcome = find_way_out(&task, &mut |_| true);
    assert_eq!((outcome.pulls_allowed, outcome.pulls_free), (8, 0));
    let Answer::NoWay(Stop::Runs { distance_mm, into, .. }) = outcome.answer else { panic!("{outcome:?}") };
    // into a corner: 3 − 0.5 in both ways
    assert!((distance_mm - 2.5 * 2.0_f64.sqrt()).abs() < 0.6, "{outcome:?}");
    assert!(matches!(into, Blocker::Shape(_)));
    println!("boxed: {} poses", outcome.poses);
}

#[test]
fn a_peg_in_a_hole_comes_out_along_its_axis() {
    // a bar through a plate, standing on a wall: 1 mm all round, nothing before it
    let hole = Hole { x_mm: 0.0, y_mm: 0.0, diameter_mm: 42.0 };
    let plate = Shape::Panel { width_mm: 300.0, height_mm: 300.0, thickness_mm: 30.0, holes: vec![hole] };
    let yard = Yard {
        section: vec![tube(at(0.0, 0.0, -40.0), at(0.0, 0.0, 100.0), 20.0)],
        shapes: vec![PlacedShape::new(&plate, &Pose::at(DVec3::ZERO)), floor(-41.0)],
        need_mm: 0.5,
        ..Yard::default()
    };
    let outcome = yard.outcome();
    assert_eq!(outcome.pulls_free, 1, "{outcome:?}");
    let Answer::Pull(pull) = &outcome.answer else { panic!("{outcome:?}") };
    assert_eq!(pull.direction, DVec3::Z);
    assert!((55.0..58.0).contains(&pull.clear_after_mm), "{pull:?}");
}

#[test]
fn a_spigot_is_drawn_before_it_goes_aside() {
    // 40 deep in a socket; above the way out a beam that leaves 60 to go forward, then only sideways
    let mut yard = Yard {
        section: vec![tube(at(-40.0, 0.0, 0.0), at(200.0, 0.0, 0.0), 20.0)],
        mates: vec![Mate {
            kind: MateKind::Spigot { depth_mm: 40.0 },
            ..Mate::flat(DVec3::ZERO, DVec3::X, 20.0)
        }],
        fixed: vec![tube(at(-100.0, 0.0, 0.0), DVec3::ZERO, 25.0)],
        shapes: vec![block([260.0, -200.0, -200.0], [280.0, 200.0, 200.0])],
        need_mm: 0.5,
    };
    let pull = yard.pull();
    assert_eq!(pull.way.stances[1].shift_mm, DVec3::X * 40.0);
    assert!(pull.direction.x.abs() < 1e-9, "{pull:?}");
    // with 30 before it the spigot can not be drawn
    yard.shapes[0] = block([230.0, -200.0, -200.0], [280.0, 200.0, 200.0]);
    let Answer::NoWay(Stop::Runs { direction, distance_mm, into }) = yard.outcome().answer else { panic!() };
    assert_eq!((direction, into), (DVec3::X, Blocker::Shape(0)));
    assert!((distance_mm - 29.5).abs() < 0.01, "{distance_mm}");
}

#[test]
fn a_hook_comes_off_its_bar_through_its_mouth() {
    let sizes = (60.0, 10.0, 3.0);
    let yard = Yard {
        section: vec![
            tube(at(-150.0, 0.0, 0.0), DVec3::ZERO, 10.0),
            bend(DVec3::ZERO, DVec3::X, DVec3::Y, sizes),
        ],
        shapes: vec![PlacedShape::new(
            &Shape::Cylinder { diameter_mm: 40.0, length_mm: 4000.0 },
            &Pose::at(at(0.0, 60.0, 0.0)),
        )],
        need_mm: 1.0,
        ..Yard::default()
    };
    let outcome = yard.outcome();
    println!("hook: {} free", outcome.pulls_free);
    let Answer::Pull(pull) = &outcome.answer else { panic!("{outcome:?}") };
    assert!(pull.direction.x > 0.7, "{pull:?}");
    // seen along the bar every free direction goes through the mouth: 29 of room to either side of the bar's own
    // 21 on the way of 150 along the shank, so well under a half of the sphere
    assert!(outcome.pulls_free < outcome.pulls_allowed / 2, "{outcome:?}");
}

fn ring(centre: DVec3, first: DVec3, axis: DVec3) -> Vec<Solid> {
    (0..3)
        .map(|i| {
            let out = crate::geom::vector::turn(first, axis, TAU / 3.0 * f64::from(i));
            bend(centre + out * 60.0, axis.cross(out), -out, (60.0, 10.0, TAU / 3.0))
        })
        .collect()
}

#[test]
fn a_ring_on_a_closed_bar_has_no_way_out_and_the_bar_is_named() {
    let yard = Yard {
        section: ring(DVec3::ZERO, DVec3::X, DVec3::Z),
        fixed: ring(at(60.0, 0.0, 0.0), DVec3::X, DVec3::Y),
        need_mm: 0.5,
        ..Yard::default()
    };
    let task = Task { most_poses: 60, ..yard.task() };
    let outcome = find_way_out(&task, &mut |_| true);
    assert_eq!(outcome.pulls_free, 0);
    let Answer::NoWay(Stop::Runs { distance_mm, into: Blocker::Fixed(_), .. }) = outcome.answer else {
        panic!("{outcome:?}")
    };
    // the hole of 100 less the bar of 20 and the need
    assert!((30.0..110.0).contains(&distance_mm), "{outcome:?}");
}

#[test]
fn out_of_the_channel_with_a_lift_and_a_turn() {
    let yard = channel();
    let outcome = yard.outcome();
    let Answer::Way(way) = &outcome.answer else { panic!("{outcome:?}") };
    let words = way.in_words(&|mm| format!("{mm:.0} mm"));
    println!("{} poses, {} moves: {words}", outcome.poses, way.stances.len() - 1);
    assert_eq!(outcome.pulls_free, 0);
    // own vector: slid, lifted and turned by 16°
    let turned = way.stances.last().unwrap().turn_rad;
    assert!((8.0..40.0).contains(&turned.length().to_degrees()), "{way:?}");
    assert!(turned.y < 0.0 && turned.x.abs() + turned.z.abs() < 1e-9, "nose up: {way:?}");
    assert!(words.contains("front end up") && words.contains("pull it out"), "{words}");
    assert!(way.stances.len() <= 9, "{way:?}");
    // the same on every run
    assert_eq!(yard.outcome(), outcome);
}

#[test]
fn nothing_in_the_way_and_far_away_already() {
    let mut yard = Yard { section: ell().section, need_mm: 5.0, ..Yard::default() };
    let pull = yard.pull();
    assert_eq!((pull.direction.abs().max_element(), pull.clear_after_mm), (1.0, 0.0));
    yard.shapes.push(block([5000.0, 5000.0, 5000.0], [5100.0, 5100.0, 5100.0]));
    let outcome = yard.outcome();
    assert_eq!(outcome.pulls_free, outcome.pulls_allowed);
    assert!(outcome.pulls_allowed > 220);
}

#[test]
fn what_is_near_at_rest_may_stay_as_near() {
    // a strap 2 mm beside the tube, 5 wished for: it can be slid along it, and away from it, not into it
    let mut yard = ell();
    yard.need_mm = 5.0;
    yard.shapes.push(block([0.0, -50.0, -10.0], [50.0, -33.75, 10.0]));
    let outcome = yard.outcome();
    let Answer::Pull(pull) = &outcome.answer else { panic!("{outcome:?}") };
    assert_eq!(pull.direction, DVec3::X);
    assert!(outcome.pulls_free < outcome.pulls_allowed);
    // one that it lies in is named
    yard.shapes.push(block([20.0, -50.0, -10.0], [50.0, -20.0, 10.0]));
    assert_eq!(yard.outcome().answer, Answer::NoWay(Stop::AtRest(Blocker::Shape(1))));
}

#[test]
fn the_part_behind_a_face_does_not_count_against_the_stub_next_to_it() {
    let mut yard = ell();
    // a casing that the first face is sunk into by 10 mm
    yard.shapes.push(block([-100.0, -60.0, -60.0], [10.0, 60.0, 60.0]));
    assert_eq!(yard.outcome().answer, Answer::NoWay(Stop::AtRest(Blocker::Shape(0))));
    yard.mates[0].part_shapes.push(0);
    assert_eq!(yard.pull().direction, DVec3::X);
}

#[test]
fn it_stops_when_it_is_told_to() {
    let yard = channel();
    let mut told = Vec::new();
    let early = find_way_out(&yard.task(), &mut |share| {
        told.push(share);
        told.len() < 3
    });
    assert_eq!((early.answer, told.len()), (Answer::Stopped, 3));
    let mut last = 0.0;
    let late = find_way_out(&yard.task(), &mut |share| {
        assert!((0.0..=1.0).contains(&share) && share >= last, "{share} after {last}");
        last = share;
        share < 0.305
    });
    assert_eq!(late.answer, Answer::Stopped);
}

#[test]
fn a_bend_is_not_its_hull() {
    // a wide bend round a post that stands inside its turn: it comes away from the post, also along the bisector,
    // though the post is inside the bend's hull
    let yard = Yard {
        section: vec![bend(DVec3::ZERO, DVec3::X, DVec3::Y, (100.0, 15.0, FRAC_PI_2))],
        shapes: vec![PlacedShape::new(
            &Shape::Cylinder { diameter_mm: 20.0, length_mm: 4000.0 },
            &Pose::at(at(40.0, 60.0, 0.0)),
        )],
        need_mm: 1.0,
        ..Yard::default()
    };
    let scene = drawn(&yard.task()).ok().unwrap().scene;
    let bisector = at(1.0, -1.0, 0.0).try_normalize().unwrap();
    assert!(scene.slide(&Stance::REST, bisector, 600.0, 0.0).is_none());
    // towards the post: the inside of the turn is 85 from the centre, the post 10 + 1 about √(40² + 40²) from it
    let contact = scene.slide(&Stance::REST, -bisector, 600.0, 0.0).unwrap();
    let expected = 85.0 - 11.0 - 3200.0_f64.sqrt();
    assert!((contact.at_mm - expected).abs() < 0.02, "{contact:?}, not {expected}");
}

#[test]
fn a_way_is_told_in_words() {
    let stances = vec![
        Stance::REST,
        Stance { shift_mm: at(30.0, 0.0, 0.0), turn_rad: DVec3::ZERO },
        Stance { shift_mm: at(30.0, -10.0, 40.0), turn_rad: DVec3::ZERO },
        Stance { shift_mm: at(30.0, -10.0, 40.0), turn_rad: at(0.0, -16.0_f64.to_radians(), 0.0) },
        // what is small beside the rest is not told
        Stance { shift_mm: at(-570.0, -10.0, 60.0), turn_rad: at(0.0, -16.0_f64.to_radians(), 0.0) },
    ];
    let way = Way { pivot: DVec3::ZERO, stances };
    assert_eq!(
        way.in_words(&|mm| format!("{mm:.0} mm")),
        "move it 30 mm forward, then move it 40 mm up and 10 mm to the right, then turn it 16° front end up, \
         then pull it out back"
    );
    // a turn by a radian takes as long as 300 mm
    let [first, turned] = [30.0, 16.0_f64.to_radians() * 300.0];
    let second = 10.0_f64.hypot(40.0);
    let whole = first + second + turned + 600.0_f64.hypot(20.0);
    assert!(way.at(15.0 / whole).shift_mm.distance(at(15.0, 0.0, 0.0)) < 1e-9);
    let half_turned = way.at((first + second + turned / 2.0) / whole);
    assert!((half_turned.turn_rad.y + 8.0_f64.to_radians()).abs() < 1e-9, "{half_turned:?}");
    assert_eq!((way.at(0.0), way.at(-1.0)), (way.stances[0], way.stances[0]));
    assert!(way.at(1.0).shift_mm.distance(way.stances[4].shift_mm) < 1e-9);
    // a left-handed turn about Y, which points left, does lift the front
    let (rotation, _) = way.stances[3].motion(DVec3::ZERO);
    assert!((rotation * DVec3::X).z > 0.0);
    assert_eq!(Way { pivot: DVec3::ZERO, stances: Vec::new() }.in_words(&|_| String::new()), "");
}

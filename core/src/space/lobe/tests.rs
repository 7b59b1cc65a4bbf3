//! Ranges against the project's own vectors, closed forms and a dense check that measures with another library.

use super::super::tests::Dice;
use super::*;
use crate::fab::build::joint_solids;
use crate::fab::{Cut, Piece, PieceKind};
use crate::geom::{Barrel, Block};
use crate::model::obstacle::{Pose, Shape};
use crate::model::{JointId, TubeId};
use crate::space::{Around, PlacedShape};
use approx::assert_abs_diff_eq;
use parry3d_f64::math::Pose as Placement;
use parry3d_f64::query::distance;
use parry3d_f64::shape::{Ball, Cuboid, Shape as ParryShape};

fn joint() -> Frame {
    Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z)
}

fn lobe(gap_mm: f64) -> TurningPart {
    TurningPart {
        outline: Outline::Box { width_mm: 18.0 },
        inner_mm: 34.0,
        reach_mm: 58.0,
        length_mm: 16.0,
        along_mm: 0.0,
        clock_rad: 0.0,
        gap_mm,
    }
}

fn block(size_mm: DVec3, centre: DVec3) -> PlacedShape {
    PlacedShape::new(&Shape::Box { size_mm }, &Pose::at(centre))
}

/// The plate above and the bracket beside the joint of the own vector, section 3 of the algorithm notes.
fn plate_and_bracket() -> [PlacedShape; 2] {
    [
        block(DVec3::new(400.0, 400.0, 16.0), DVec3::new(0.0, 0.0, 60.0)),
        block(DVec3::new(80.0, 24.0, 40.0), DVec3::new(0.0, -62.0, -10.0)),
    ]
}

fn study(parts: &[TurningPart], shapes: &[PlacedShape]) -> ClockRoom {
    let around = Around::new(shapes, &[]);
    clock_room(&joint(), parts, &|_, solids, closer| around.nearest_mm(solids, closer)).unwrap()
}

fn degrees(ranges: &[ClockRange]) -> Vec<(f64, f64)> {
    let full = |rad: f64| rad.to_degrees().rem_euclid(360.0);
    let mut out: Vec<_> = ranges.iter().map(|r| (full(r.from_rad), full(r.to_rad()))).collect();
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    out
}

#[test]
fn the_lobe_between_plate_and_bracket_has_the_ranges_of_the_own_vector() {
    let shapes = plate_and_bracket();
    for (gap_mm, expected) in [
        (3.0, vec![(42.28, 65.04), (132.89, 317.72)]),
        (8.0, vec![(50.36, 59.15), (137.99, 309.64)]),
        (15.0, vec![(145.28, 300.23)]),
    ] {
        let room = study(&[lobe(gap_mm)], &shapes);
        let found = degrees(&room.free);
        assert_eq!(found.len(), expected.len(), "{gap_mm}: {found:?}");
        for (f, e) in found.iter().zip(&expected) {
            assert!((f.0 - e.0).abs() < 0.15 && (f.1 - e.1).abs() < 0.15, "{gap_mm}: {found:?}");
        }
        // own vector: best 227° (on a grid of 1°) with 68.606 mm
        let best_mm = room.best_spare_mm + gap_mm;
        assert!(best_mm >= 68.606 - room.best_within_mm && best_mm < 68.7, "{best_mm} {room:?}");
        assert_abs_diff_eq!(room.best_rad.to_degrees().rem_euclid(360.0), 227.0, epsilon = 1.5);
        let calls = room.measured;
        println!("gap {gap_mm}: {calls} measured, best within {}", room.best_within_mm);
        assert!((40..=160).contains(&calls), "{calls} measured");
    }
    let room = study(&[lobe(3.0)], &shapes);
    let between = degrees(&room.blocked());
    assert_eq!(between.len(), 2);
    for (b, e) in between.iter().zip([(65.04, 132.89), (317.72, 42.28)]) {
        assert!((b.0 - e.0).abs() < 0.15 && (b.1 - e.1).abs() < 0.15, "{between:?}");
    }
    let widest = room.widest().unwrap();
    assert_abs_diff_eq!(widest.middle_rad().to_degrees(), 225.3 - 360.0, epsilon = 0.2);
}

#[test]
fn a_wall_beside_the_joint_blocks_what_geometry_says() {
    // a lobe without width or length is a line: over a floor at −z its end is at height 80 + 58 cos φ
    let thin = TurningPart { outline: Outline::Box { width_mm: 0.0 }, length_mm: 0.0, ..lobe(40.0) };
    let floor = PlacedShape::new(&Shape::HalfSpace, &Pose::at(DVec3::Z * -80.0));
    let room = study(&[thin], &[floor]);
    let edge = (-40.0_f64 / 58.0).acos();
    assert_eq!(room.free.len(), 1);
    assert_abs_diff_eq!(room.free[0].from_rad, -edge, epsilon = 0.1_f64.to_radians());
    assert_abs_diff_eq!(room.free[0].to_rad(), edge, epsilon = 0.1_f64.to_radians());
    assert!(room.free[0].from_rad >= -edge && room.free[0].to_rad() <= edge, "the free range is inside");
    // most room: all of it above the inner end, 80 + 34
    assert!((room.best_spare_mm - 74.0).abs() <= 0.6, "{room:?}");
    assert!(room.best_rad.abs() < FRAC, "{room:?}");
}

const FRAC: f64 = std::f64::consts::FRAC_PI_2 + 0.1;

#[test]
fn free_all_round_and_blocked_all_round() {
    let open = study(&[lobe(10.0)], &[]);
    assert!(open.is_free_all_round() && !open.is_blocked());
    assert_eq!(open.free.len(), 1);
    assert_eq!((open.measured, open.best_within_mm), (FIRST_CELLS, 0.0));
    assert!(open.is_free_at(3.0) && open.is_free_at(-3.0) && open.is_free_at(0.0));
    let tunnel = [
        block(DVec3::new(50.0, 200.0, 20.0), DVec3::Z * 60.0),
        block(DVec3::new(50.0, 200.0, 20.0), DVec3::Z * -60.0),
        block(DVec3::new(50.0, 20.0, 200.0), DVec3::Y * 60.0),
        block(DVec3::new(50.0, 20.0, 200.0), DVec3::Y * -60.0),
    ];
    // in the corners the lobe's own corners come to 50 − (58 + 9)/√2 = 2.6 mm
    let blocked = study(&[lobe(20.0)], &tunnel);
    assert!(blocked.is_blocked() && blocked.widest().is_none());
    assert_eq!((open.blocked().len(), blocked.blocked()), (0, vec![ClockRange::new(PI, TAU)]));
    assert!(blocked.best_spare_mm < 0.0);
    let corners = study(&[lobe(2.0)], &tunnel);
    assert_eq!(corners.free.len(), 4, "{:?}", degrees(&corners.free));
    for range in &corners.free {
        let off = range.middle_rad().to_degrees().rem_euclid(90.0);
        assert_abs_diff_eq!(off, 45.0, epsilon = 0.2);
    }
}

#[test]
fn a_range_over_the_wrap_is_one_range() {
    // a plate above only: free from about 42° on to −42°, through 180°
    let room = study(&[lobe(3.0)], &plate_and_bracket()[..1]);
    assert_eq!(room.free.len(), 1);
    let range = room.free[0];
    assert!(range.from_rad > 0.0 && range.to_rad() < 0.0, "{range:?}");
    assert!(range.contains(PI) && range.contains(-PI) && !range.contains(0.0));
    assert_abs_diff_eq!(range.middle_rad().abs(), PI, epsilon = 0.01);
}

#[test]
fn a_tool_needs_more_room_than_the_lobe_and_a_lever_its_own() {
    let shapes = plate_and_bracket();
    let nut = lobe(3.0);
    let bare = study(&[nut], &shapes);
    let boxed = study(&[nut, nut.tool_box(40.0, 10.0, 1.0)], &shapes);
    let swung = study(&[nut, nut.tool_swing(40.0, 1.0, 1.0)], &shapes);
    for tight in [&boxed, &swung] {
        assert!(!tight.is_blocked());
        for i in 0..720 {
            let clock = f64::from(i).to_radians() / 2.0;
            assert!(!tight.is_free_at(clock) || bare.is_free_at(clock), "{clock}");
        }
    }
    // nut and lever across from each other: both have to be free
    let lever = TurningPart { clock_rad: PI, ..nut };
    let both = study(&[nut, lever], &shapes);
    for i in 0..720 {
        let clock = f64::from(i).to_radians() / 2.0 + 1e-4;
        let each = bare.is_free_at(clock) && bare.is_free_at(clock + PI);
        let at_an_edge = bare.is_free_at(clock - 0.002) != bare.is_free_at(clock + 0.002)
            || bare.is_free_at(clock + PI - 0.002) != bare.is_free_at(clock + PI + 0.002);
        assert!(at_an_edge || both.is_free_at(clock) == each, "{clock}");
    }
}

#[test]
fn a_sector_is_held_by_its_blocks() {
    let swing = lobe(1.0).tool_swing(30.0, 2.0, 1.0);
    let frame = Frame::new(DVec3::new(5.0, 6.0, 7.0), DVec3::Y, DVec3::X);
    let solids = swing.solids(&frame, 0.7);
    for i in 0..=40 {
        for radius_mm in [34.0, 60.0, 88.0] {
            for along_mm in [-8.0, 0.0, 8.0] {
                let clock = 0.7 - 1.0 + f64::from(i) / 20.0;
                let p = frame.forward(along_mm).origin + frame.at_clock(clock) * radius_mm;
                let held = solids.iter().any(|s| matches!(s, Solid::Block(b) if holds(b, p)));
                assert!(held, "{clock} {radius_mm}");
                assert!((p - frame.origin).length() <= swing.furthest_mm().hypot(8.0));
            }
        }
    }
}

fn holds(b: &Block, p: DVec3) -> bool {
    (0..3).all(|i| (p - b.centre).dot(b.axes[i]).abs() <= b.half_mm[i] + 1e-9)
}

#[test]
fn the_lobe_is_the_one_that_is_built() {
    let project = crate::testing::bench_project();
    let kind = &project.joints[0];
    let middle = Frame::new(DVec3::new(10.0, 20.0, 30.0), DVec3::Y, DVec3::Z);
    let piece = Piece {
        mark: String::new(),
        key: None,
        kind: PieceKind::Joint(JointId(12)),
        tube: TubeId(10),
        od_mm: 63.5,
        centre_mm: kind.make_up_mm,
        start: Cut::SQUARE,
        end: Cut::SQUARE,
        bend: None,
        lobe_clock_rad: Some(0.8),
        curves: [None, None],
    };
    let (_, built) = joint_solids(kind, &piece, &middle.forward(-kind.make_up_mm / 2.0));
    let (Some(Solid::Block(theirs)), Solid::Block(ours)) =
        (built, TurningPart::lobe(kind, 3.0).unwrap().solids(&middle, 0.8)[0])
    else {
        panic!("a lobe is a block");
    };
    assert_abs_diff_eq!(theirs.centre, ours.centre, epsilon = 1e-9);
    assert_abs_diff_eq!(theirs.half_mm, ours.half_mm, epsilon = 1e-9);
    assert_abs_diff_eq!(theirs.axes[1], ours.axes[1], epsilon = 1e-12);
}

/// A box or ball with its place, for parry.
struct Thing {
    form: Box<dyn ParryShape>,
    at: Placement,
}

fn random_scene(dice: &mut Dice) -> (Vec<PlacedShape>, Vec<Thing>) {
    let (mut shapes, mut things) = (Vec::new(), Vec::new());
    while shapes.len() < 3 {
        let ball = dice.between(0.0, 1.0) < 0.4;
        let size_mm = dice.point(60.0).abs() + DVec3::splat(4.0);
        let mut pose = dice.pose(110.0);
        if pose.position_mm.length() < 60.0 {
            pose.position_mm += DVec3::new(0.0, 0.0, 70.0);
        }
        let (shape, form): (_, Box<dyn ParryShape>) = if ball {
            (Shape::Sphere { diameter_mm: size_mm.x }, Box::new(Ball::new(size_mm.x / 2.0)))
        } else {
            (Shape::Box { size_mm }, Box::new(Cuboid::new(size_mm / 2.0)))
        };
        shapes.push(PlacedShape::new(&shape, &pose));
        things.push(Thing { form, at: Placement::from_parts(pose.position_mm, pose.rotation()) });
    }
    (shapes, things)
}

/// Gap of a part by parry, whose own distance query shares no code with ours.
fn by_parry(part: &TurningPart, middle: &Frame, clock: f64, things: &[Thing]) -> f64 {
    let mut least = f64::INFINITY;
    for solid in part.solids(middle, clock) {
        let Solid::Block(b) = solid else { panic!("blocks only") };
        let turn = glam::DQuat::from_mat3(&glam::DMat3::from_cols_array_2d(&b.axes.map(|a| a.to_array())));
        let at = Placement::from_parts(b.centre, turn);
        for thing in things {
            let gap = distance(&at, &Cuboid::new(b.half_mm), &thing.at, &*thing.form).unwrap();
            least = least.min(gap.distance);
        }
    }
    least
}

#[test]
fn fifty_random_scenes_agree_with_a_check_every_half_degree() {
    let mut dice = Dice::new(31);
    let (mut free, mut blocked, mut calls, mut worst) = (0, 0, 0, 0.0_f64);
    for scene in 0..50 {
        let (shapes, things) = random_scene(&mut dice);
        let frame = Frame::new(dice.point(10.0), dice.direction(), dice.direction());
        let part = lobe(dice.between(1.0, 15.0));
        let around = Around::new(&shapes, &[]);
        let room = clock_room(&frame, &[part], &|_, s, closer| around.nearest_mm(s, closer)).unwrap();
        calls += room.measured;
        let sliver_mm = 2.0 * part.furthest_mm() * TAU / SLIVERS as f64 + 2.0 * GAP_MM;
        let mut best = f64::NEG_INFINITY;
        for i in 0..720 {
            let clock = PI - f64::from(i) * PI / 360.0;
            let gap_mm = by_parry(&part, &frame, clock, &things);
            best = best.max(gap_mm);
            if room.is_free_at(clock) {
                free += 1;
                assert!(
                    gap_mm >= part.gap_mm - GAP_MM,
                    "scene {scene}, {clock}: {gap_mm} of {}",
                    part.gap_mm
                );
            } else {
                blocked += 1;
                worst = worst.max(gap_mm - part.gap_mm);
                assert!(
                    gap_mm < part.gap_mm + sliver_mm,
                    "scene {scene}, {clock}: {gap_mm} of {}",
                    part.gap_mm
                );
            }
        }
        let told = room.best_spare_mm + part.gap_mm;
        assert!(
            told > best.min(LOOK_MM) - room.best_within_mm - 2.0 * GAP_MM,
            "scene {scene}: {told}, dense {best}"
        );
    }
    println!("{free} free, {blocked} blocked, worst {worst}, {} measured a scene", calls / 50);
    assert!(free > 1000 && blocked > 1000);
}

#[test]
fn other_solids_are_in_the_way_too() {
    let along = Frame::new(DVec3::new(-200.0, 0.0, 75.0), DVec3::X, DVec3::Y);
    let pipe = Solid::Barrel(Barrel {
        start: along,
        length_mm: 400.0,
        radius_mm: 20.0,
        start_normal: DVec3::X,
        end_normal: DVec3::X,
    });
    let pipes = [pipe];
    let around = Around::new(&[], &pipes);
    let room = clock_room(&joint(), &[lobe(5.0)], &|_, s, closer| around.nearest_mm(s, closer)).unwrap();
    assert!(!room.is_free_at(0.0) && room.is_free_at(PI));
    assert_eq!(room.free.len(), 1);
}

#[test]
fn the_lobe_is_seen_within_seventy_five_degrees() {
    let frame = joint();
    let seen = turns_to_see(&frame, DVec3::Z).unwrap();
    assert_abs_diff_eq!(seen.from_rad, -SEEN_RAD, epsilon = 1e-12);
    assert_abs_diff_eq!(seen.to_rad(), SEEN_RAD, epsilon = 1e-12);
    // from −Y, which is 3 o'clock
    assert_abs_diff_eq!(turns_to_see(&frame, -DVec3::Y).unwrap().middle_rad(), PI / 2.0, epsilon = 1e-12);
    // aslant: every clock told has the angle, and the ends have it exactly
    let eye = DVec3::new(0.8, 0.3, -0.5);
    let slant = turns_to_see(&frame, eye).unwrap();
    for clock in [slant.from_rad, slant.to_rad()] {
        let angle = crate::geom::vector::angle_between(frame.at_clock(clock), unit(eye).unwrap());
        assert_abs_diff_eq!(angle, SEEN_RAD, epsilon = 1e-9);
    }
    // along the tube nothing faces the eye, and no direction is none
    assert_eq!(turns_to_see(&frame, DVec3::X), None);
    assert_eq!(turns_to_see(&frame, DVec3::ZERO), None);
    assert_eq!(turns_to_see(&frame, DVec3::splat(f64::NAN)), None);
}

#[test]
fn ranges_have_what_they_have_in_common() {
    let range = |from: f64, sweep: f64| ClockRange::new(from.to_radians(), sweep.to_radians());
    let deg = |r: &[ClockRange]| -> Vec<(i64, i64)> {
        r.iter()
            .map(|r| (r.from_rad.to_degrees().round() as i64, r.sweep_rad.to_degrees().round() as i64))
            .collect()
    };
    assert_eq!(deg(&range(10.0, 50.0).common(range(40.0, 90.0))), [(40, 20)]);
    assert_eq!(deg(&range(40.0, 90.0).common(range(10.0, 50.0))), [(40, 20)]);
    assert_eq!(deg(&range(10.0, 20.0).common(range(40.0, 90.0))), []);
    assert_eq!(deg(&range(160.0, 40.0).common(range(170.0, 360.0))), [(160, 40)]);
    assert_eq!(deg(&range(170.0, 360.0).common(range(160.0, 40.0))), [(160, 40)]);
    assert_eq!(deg(&range(160.0, 40.0).common(range(-170.0, 60.0))), [(-170, 10)]);
    assert_eq!(deg(&range(0.0, 350.0).common(range(-30.0, 60.0))), [(0, 30), (-30, 20)]);
}

#[test]
fn odd_input_gives_nothing() {
    let nearest: &Nearest<'_> = &|_, _, _| None;
    assert_eq!(clock_room(&joint(), &[], nearest), None);
    for bad in [f64::NAN, f64::INFINITY, -5.0] {
        for part in [
            TurningPart { reach_mm: bad, ..lobe(3.0) },
            TurningPart { length_mm: bad, ..lobe(3.0) },
            TurningPart { outline: Outline::Box { width_mm: bad }, ..lobe(3.0) },
            TurningPart { outline: Outline::Sector { spread_rad: bad }, ..lobe(3.0) },
        ] {
            assert_eq!(clock_room(&joint(), &[part], nearest), None, "{part:?}");
        }
    }
    let lost = Frame { origin: DVec3::splat(f64::NAN), ..joint() };
    assert_eq!(clock_room(&lost, &[lobe(3.0)], nearest), None);
    // a measure that answers with no number blocks
    let mad = clock_room(&joint(), &[lobe(3.0)], &|_, _, _| Some(f64::NAN)).unwrap();
    assert!(mad.is_blocked());
    // no gap asked for is still a proof with the least one
    let none = study(&[lobe(0.0)], &plate_and_bracket());
    assert_eq!(none.free.len(), 2);
    println!("no gap: {} measured", none.measured);
}

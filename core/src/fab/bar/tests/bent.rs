use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI};

fn codes(problems: &[BarProblem]) -> Vec<&'static str> {
    problems.iter().map(BarProblem::code).collect()
}

/// Legs of 100, 80 and 60 at right angles, centreline radius 20, own vector: straights of 80, 40 and 40 and two
/// quarter circles, 222.831853 in all.
fn corner() -> BentBar {
    bent(&[[0.0, 0.0, 0.0], [100.0, 0.0, 0.0], [100.0, 80.0, 0.0], [100.0, 80.0, 60.0]], &[20.0, 20.0])
}

#[test]
fn a_bar_with_two_square_bends_is_as_long_as_its_straights_and_quarter_circles() {
    let out = corner().work_out().unwrap();
    assert_relative_eq!(out.developed_mm, 222.831853, epsilon = 5e-7);
    assert_relative_eq!(out.blank_mm, out.developed_mm);
    let quarter = 20.0 * FRAC_PI_2;
    let (a, b) = (&out.marks[0], &out.marks[1]);
    assert_relative_eq!(a.start_mm, 80.0, max_relative = 1e-12);
    assert_relative_eq!(a.end_mm, 80.0 + quarter, max_relative = 1e-12);
    assert_relative_eq!(b.start_mm, 120.0 + quarter, max_relative = 1e-12);
    assert_relative_eq!(b.middle_mm(), 120.0 + 1.5 * quarter, max_relative = 1e-12);
    assert_relative_eq!(a.roll_rad, 0.0);
    assert_relative_eq!(b.roll_rad, FRAC_PI_2, max_relative = 1e-12);
    assert_eq!(out.problems, []);
}

/// Published points of a flat S (freemathhelp.com, thread 111090): 90°, then 90° rolled by 180°. With a radius of
/// 1.25 the developed length is 12.7148731 (own arithmetic on those points). Here ten times that, in mm.
#[test]
fn a_flat_s_rolls_by_half_a_turn() {
    let points = [
        [385.202, -140.264, 0.0],
        [453.142, -140.264, 0.0],
        [453.142, -175.214, 9.654],
        [486.822, -175.214, 9.654],
    ];
    let out = bent(&points, &[12.5, 12.5]).work_out().unwrap();
    assert_relative_eq!(out.developed_mm, 127.148731, epsilon = 5e-7);
    assert_relative_eq!(out.marks[1].roll_rad, PI, max_relative = 1e-9);
    assert_relative_eq!(out.lra.rows[1].feed_mm, 11.2588226, epsilon = 5e-7);
}

#[test]
fn ends_come_off_the_first_and_the_last_straight() {
    let mut job = corner();
    job.ends = [
        BarEnd::Tab { hole_to_bar_mm: 12.0 },
        BarEnd::RodEnd(RodEnd {
            eye_to_shoulder_mm: 10.0,
            shank_mm: 20.0,
            thread_mm: 20.0,
            nut_mm: 3.0,
            thread_dia_mm: 6.0,
            socket: Socket { stand_mm: 0.0, tapped_mm: 20.0, through: false },
            pitch_mm: 1.0,
            ..rod()
        }),
    ];
    job.spare_mm = 30.0;
    let out = job.work_out().unwrap();
    // screwed in from 9 to 17, so 13; 30 − 13 = 17 from eye to bar
    assert_relative_eq!(out.lra.rows[0].feed_mm, 68.0, max_relative = 1e-12);
    assert_relative_eq!(out.lra.last_mm, 23.0, max_relative = 1e-12);
    assert_relative_eq!(out.net_mm, out.developed_mm - 29.0, max_relative = 1e-12);
    assert_relative_eq!(out.blank_mm, out.net_mm + 30.0, max_relative = 1e-12);
    assert_eq!(out.problems, []);
    assert_eq!(out.adjusting, Adjusting::HalfTurns { step_mm: 0.5 });
}

#[test]
fn springback_is_a_share_of_the_bend_and_leaves_the_length_alone() {
    let mut job = corner();
    let plain = job.work_out().unwrap();
    // set to 93°, came out at 90°
    job.springback = Springback::from_trial(93_f64.to_radians(), FRAC_PI_2).unwrap();
    assert_relative_eq!(job.springback.share, 1.0 / 30.0, max_relative = 1e-12);
    let out = job.work_out().unwrap();
    assert_relative_eq!(out.marks[0].set_rad.to_degrees(), 93.0, max_relative = 1e-12);
    assert_relative_eq!(out.blank_mm, plain.blank_mm);
    for mark in &out.marks {
        // the die bends just the arc that is left in the finished bend
        assert_relative_eq!(
            mark.die_clr_mm * mark.set_rad,
            mark.end_mm - mark.start_mm,
            max_relative = 1e-12
        );
    }
    assert_relative_eq!(job.springback.set_rad(0.5), 0.5 * 93.0 / 90.0, max_relative = 1e-12);
}

#[test]
fn a_bend_beyond_half_a_turn_of_the_bender_is_told() {
    let mut job = bent(&[[0.0; 3], [900.0, 0.0, 0.0], [0.0, 120.0, 0.0]], &[20.0]);
    assert_eq!(job.work_out().unwrap().problems, []);
    job.springback = Springback { share: 0.06 };
    assert_eq!(codes(&job.work_out().unwrap().problems), ["bar-overbend"]);
}

#[test]
fn bends_that_overlap_say_which_and_what_radius_would_fit() {
    let mut job = corner();
    job.clr_mm = vec![45.0, 45.0];
    let out = job.work_out().unwrap();
    let [BarProblem::BendsOverlap { leg, bends, by_mm, clr_mm: Some(clr) }] = out.problems[..] else {
        panic!("{:?}", out.problems)
    };
    assert_eq!((leg, bends), (2, (1, 2)));
    assert_relative_eq!(by_mm, 10.0, max_relative = 1e-12);
    assert_relative_eq!(clr, 40.0, max_relative = 1e-12);
    job.clr_mm = vec![clr, clr];
    assert_eq!(job.work_out().unwrap().problems, []);
    // with two dies there is no one answer
    job.clr_mm = vec![50.0, 40.0];
    let out = job.work_out().unwrap();
    assert!(
        matches!(out.problems[..], [BarProblem::BendsOverlap { clr_mm: None, .. }]),
        "{:?}",
        out.problems
    );
}

#[test]
fn a_bend_that_runs_into_an_end_says_how_far() {
    let mut job = corner();
    job.ends[0] = BarEnd::RodEnd(rod());
    // 56.5 to the bar's end and 27 of socket leave 16.5 for a setback of 20
    let out = job.work_out().unwrap();
    let [BarProblem::EndInBend { side: Side::Start, bend: 1, by_mm, clr_mm: Some(clr) }] = out.problems[..]
    else {
        panic!("{:?}", out.problems)
    };
    assert_relative_eq!(by_mm, 3.5, max_relative = 1e-12);
    assert_relative_eq!(clr, 16.5, max_relative = 1e-12);
    job.clr_mm[0] = clr;
    assert_eq!(job.work_out().unwrap().problems, []);
}

#[test]
fn a_straight_too_short_for_the_bender_and_a_radius_too_small_are_told() {
    let mut job = corner();
    job.least_straight_mm = 40.0;
    assert_eq!(job.work_out().unwrap().problems, []);
    job.least_straight_mm = 41.0;
    job.clr_mm[1] = 7.0;
    job.clr_mm[0] = 33.0;
    assert_eq!(codes(&job.work_out().unwrap().problems), ["bar-radius-too-small", "bar-straight-short"]);
}

#[test]
fn a_kink_too_small_to_bend_is_straight_and_the_other_bends_keep_their_numbers() {
    let points = [[0.0; 3], [50.0, 0.01, 0.0], [100.0, 0.0, 0.0], [100.0, 100.0, 0.0]];
    let out = bent(&points, &[20.0, 20.0]).work_out().unwrap();
    assert_eq!(codes(&out.problems), ["bar-small-kink"]);
    assert_eq!(out.marks.iter().map(|m| m.bend).collect::<Vec<_>>(), [2]);
    assert_relative_eq!(out.developed_mm, 160.0 + 20.0 * FRAC_PI_2, max_relative = 1e-12);
}

/// Forty kinks of 0.04° make 1.6° together: that much must not be lost.
#[test]
fn a_slow_curve_of_many_kinks_is_not_straightened_out() {
    let step = 0.04_f64.to_radians();
    let mut points = vec![[0.0; 3]];
    for i in 0..=40 {
        let (sin, cos) = (step * f64::from(i)).sin_cos();
        let [x, y, _] = points[points.len() - 1];
        points.push([x + 30.0 * cos, y + 30.0 * sin, 0.0]);
    }
    let out = bent(&points, &[30.0; 40]).work_out().unwrap();
    let turned: f64 = out.marks.iter().map(|m| m.angle_rad).sum();
    assert!((turned.to_degrees() - 1.6).abs() < 0.1, "{}", turned.to_degrees());
}

#[test]
fn a_bent_bar_without_bends_is_the_straight_bar() {
    for apart in [30.0, 100.0, 140.0, 400.0] {
        let ends = [BarEnd::RodEnd(rod()), BarEnd::Tab { hole_to_bar_mm: 14.0 }];
        let straight = bar(apart, ends).work_out().unwrap();
        let mut job = bent(&[[0.0; 3], [apart, 0.0, 0.0]], &[]);
        job.ends = ends;
        let out = job.work_out().unwrap();
        assert_relative_eq!(out.blank_mm, straight.cut_mm, max_relative = 1e-12);
        assert_relative_eq!(out.lra.last_mm, straight.cut_mm, max_relative = 1e-12);
        assert_eq!(codes(&out.problems), codes(&straight.problems), "{apart}");
        assert_eq!(out.adjusting, straight.adjusting);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Bends the blank step by step from its marks alone, and meets the last point: the arc is walked in short
    /// chords, apart from any setback.
    #[test]
    fn bending_the_blank_by_its_marks_meets_the_last_point(
        corners in proptest::collection::vec((150.0..400.0_f64, 0.1..2.0_f64, -3.0..3.0_f64), 1..5),
        clr in 12.0..40.0_f64,
        take in 0.0..40.0_f64,
    ) {
        let (mut way, mut normal) = (DVec3::X, DVec3::Z);
        let mut points = vec![DVec3::new(10.0, -20.0, 30.0)];
        for (leg, angle, roll) in &corners {
            points.push(points[points.len() - 1] + way * *leg);
            normal = crate::geom::vector::turn(normal, way, *roll);
            way = crate::geom::vector::turn(way, normal, *angle);
        }
        points.push(points[points.len() - 1] + way * 200.0);
        let mut job = bent(&[[0.0; 3], [1.0, 0.0, 0.0]], &[]);
        job.clr_mm = vec![clr; corners.len()];
        job.ends = [BarEnd::Tab { hole_to_bar_mm: take }; 2];
        job.points.clone_from(&points);
        let out = job.work_out().unwrap();

        let way = (points[1] - points[0]).normalize_or_zero();
        let mut normal = way.cross(points[2] - points[1]).normalize_or_zero();
        let mut here = points[0] + way * take;
        let (mut way, mut station) = (way, 0.0);
        for mark in &out.marks {
            here += way * (mark.start_mm - station);
            normal = crate::geom::vector::turn(normal, way, mark.roll_rad);
            let steps = 2000;
            let step = mark.angle_rad / f64::from(steps);
            for _ in 0..steps {
                way = crate::geom::vector::turn(way, normal, step / 2.0);
                here += way * ((mark.end_mm - mark.start_mm) / f64::from(steps));
                way = crate::geom::vector::turn(way, normal, step / 2.0);
            }
            station = mark.end_mm;
        }
        here += way * (out.net_mm - station + take);
        let miss = here.distance(points[points.len() - 1]);
        prop_assert!(miss < 1e-3, "{miss}");
    }
}

use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

fn tab(mm: f64) -> BarEnd {
    BarEnd::Tab { hole_to_bar_mm: mm }
}

fn codes(problems: &[BarProblem]) -> Vec<&'static str> {
    problems.iter().map(BarProblem::code).collect()
}

/// With a rod end at the start that is changed by `change`, and a tab.
fn changed(change: impl Fn(&mut RodEnd)) -> Straight {
    let mut rod = rod();
    change(&mut rod);
    bar(400.0, [BarEnd::RodEnd(rod), tab(20.0)]).work_out().unwrap()
}

/// By hand: 75 from eye to tip; screwed in from 15 (1.5 × 10) to 28 (34 of thread less a nut of 6), the middle is
/// 21.5; the bar ends 75 − 21.5 + 3 = 56.5 from each eye.
#[test]
fn a_bar_between_two_rod_ends_is_sawn_to_the_middle_of_their_adjustment() {
    let out = bar(400.0, [BarEnd::RodEnd(rod()); 2]).work_out().unwrap();
    assert_relative_eq!(out.ends[0].screwed_in_mm.unwrap(), 21.5, max_relative = 1e-14);
    assert_relative_eq!(out.ends[0].take_mm, 56.5, max_relative = 1e-14);
    assert_relative_eq!(out.cut_mm, 287.0, max_relative = 1e-14);
    assert_relative_eq!(out.longer_mm(), 13.0, max_relative = 1e-14);
    assert_relative_eq!(out.shorter_mm(), 13.0, max_relative = 1e-14);
    assert_eq!(out.problems, []);
}

#[test]
fn tabs_and_plates_take_what_was_entered_and_adjust_nothing() {
    let out = bar(300.0, [tab(22.0), BarEnd::Plate { stand_off_mm: 1.5 }]).work_out().unwrap();
    assert_relative_eq!(out.cut_mm, 276.5, max_relative = 1e-14);
    assert_relative_eq!(out.longer_mm() + out.shorter_mm(), 0.0);
    assert_eq!(out.adjusting, Adjusting::None);
    assert_eq!(out.problems, []);
}

/// The length runs along the line between the points however it lies: 3, 4, 12 is 13 long.
#[test]
fn a_bar_lying_any_way_in_space_is_as_long_as_its_points_are_apart() {
    let mut leaning = bar(1.0, [tab(10.0), tab(10.0)]);
    leaning.points = [DVec3::new(5.0, 5.0, 5.0), DVec3::new(35.0, 45.0, -115.0)];
    assert_relative_eq!(leaning.work_out().unwrap().cut_mm, 110.0, max_relative = 1e-14);
}

#[test]
fn a_blind_socket_limits_how_far_a_rod_end_goes_in_and_an_open_one_does_not() {
    let blind = changed(|r| r.socket.tapped_mm = 20.0);
    assert_relative_eq!(blind.ends[0].screwed_in_mm.unwrap(), 17.5, max_relative = 1e-14);
    assert_relative_eq!(blind.shorter_mm(), 2.5, max_relative = 1e-12);
    let open = changed(|r| r.socket = Socket { tapped_mm: 20.0, through: true, ..r.socket });
    assert_relative_eq!(open.ends[0].screwed_in_mm.unwrap(), 21.5, max_relative = 1e-14);
    assert_relative_eq!(open.ends[0].engaged_mm.unwrap(), 20.0, max_relative = 1e-14);
    assert_relative_eq!(open.shorter_mm(), 6.5, max_relative = 1e-12);
}

#[test]
fn a_rod_end_screwed_in_too_little_is_told_how_far() {
    let out = changed(|r| r.screwed_in_mm = Some(12.0));
    let [BarProblem::EngagementShort { side: Side::Start, engaged_mm, least_mm }] = out.problems[..] else {
        panic!("{:?}", out.problems)
    };
    assert_relative_eq!(engaged_mm, 12.0);
    assert_relative_eq!(least_mm, 15.0);
    // as it stands it cannot be screwed out further, but in by 16 more
    assert_relative_eq!(out.longer_mm(), 0.0);
    assert_relative_eq!(out.shorter_mm(), 16.0);
    assert_eq!(changed(|r| r.screwed_in_mm = Some(15.0)).problems, []);
}

#[test]
fn a_rod_end_screwed_in_too_far_bottoms_out_or_loses_its_nut() {
    let nut = changed(|r| r.screwed_in_mm = Some(29.0));
    assert_eq!(codes(&nut.problems), ["bar-no-room-for-nut"]);
    let both = changed(|r| r.screwed_in_mm = Some(31.0));
    assert_eq!(codes(&both.problems), ["bar-bottoms-out", "bar-no-room-for-nut"]);
    let BarProblem::BottomsOut { most_mm, .. } = both.problems[0] else { panic!("{:?}", both.problems) };
    assert_relative_eq!(most_mm, 28.0);
    assert_eq!(changed(|r| r.screwed_in_mm = Some(28.0)).problems, []);
    let open = changed(|r| {
        r.socket.through = true;
        r.nut_mm = 0.0;
        r.screwed_in_mm = Some(31.0);
    });
    assert_eq!(open.problems, []);
}

#[test]
fn thread_that_can_never_hold_enough_is_told_once_and_gives_no_adjustment() {
    let shallow = changed(|r| r.socket.tapped_mm = 14.0);
    assert_eq!(codes(&shallow.problems), ["bar-socket-shallow"]);
    let open = changed(|r| r.socket = Socket { tapped_mm: 14.0, through: true, ..r.socket });
    assert_eq!(codes(&open.problems), ["bar-socket-shallow"]);
    let short = changed(|r| r.thread_mm = 18.0);
    let [BarProblem::ThreadShort { free_mm, need_mm, .. }] = short.problems[..] else {
        panic!("{:?}", short.problems)
    };
    assert_relative_eq!(free_mm, 12.0);
    assert_relative_eq!(need_mm, 21.0);
    for out in [shallow, open, short] {
        assert_relative_eq!(out.longer_mm() + out.shorter_mm(), 0.0);
    }
    assert_eq!(codes(&changed(|r| r.thread_dia_mm = 16.0).problems)[0], "bar-thread-wide");
}

#[test]
fn a_bar_without_room_for_its_ends_says_how_far_apart_its_points_must_be() {
    // 56.5 a side, and 27 of socket behind each: 167 at the least
    for (apart, code) in [(100.0, "bar-too-short"), (113.0, "bar-too-short"), (160.0, "bar-ends-meet")] {
        let out = bar(apart, [BarEnd::RodEnd(rod()); 2]).work_out().unwrap();
        assert_eq!(codes(&out.problems), [code], "{apart}");
        let by = match out.problems[0] {
            BarProblem::TooShort { by_mm, least_mm, .. } => {
                assert_relative_eq!(least_mm, 167.0, max_relative = 1e-12);
                by_mm
            }
            BarProblem::EndsMeet { by_mm } => by_mm,
            ref other => panic!("{other:?}"),
        };
        assert_relative_eq!(apart + by, 167.0, max_relative = 1e-12);
        let mended = bar(apart + by + 1e-6, [BarEnd::RodEnd(rod()); 2]).work_out().unwrap();
        assert_eq!(mended.problems, []);
    }
}

#[test]
fn a_bar_that_was_sawn_is_made_to_fit_by_its_rod_ends() {
    let mut job = bar(400.0, [BarEnd::RodEnd(rod()); 2]);
    job.sawn_mm = Some(280.0);
    let out = job.work_out().unwrap();
    assert_relative_eq!(out.cut_mm, 280.0, max_relative = 1e-14);
    // 7 more to take: each comes out by 3.5
    assert_relative_eq!(out.ends[1].screwed_in_mm.unwrap(), 18.0, max_relative = 1e-12);
    assert_eq!(out.problems, []);
    for (sawn, nearest) in [(270.0, 274.0), (305.0, 300.0)] {
        job.sawn_mm = Some(sawn);
        let out = job.work_out().unwrap();
        let [BarProblem::OutOfAdjustment { sawn_mm, nearest_mm }] = out.problems[..] else {
            panic!("{:?}", out.problems)
        };
        assert_relative_eq!(sawn_mm, sawn);
        assert_relative_eq!(nearest_mm, nearest, max_relative = 1e-12);
        assert_relative_eq!(out.cut_mm, nearest, max_relative = 1e-12);
    }
}

#[test]
fn a_sawn_bar_that_cannot_be_adjusted_may_be_off_by_less_than_a_saw_cut_only() {
    let mut job = bar(300.0, [tab(20.0); 2]);
    job.sawn_mm = Some(259.7);
    assert_eq!(job.work_out().unwrap().problems, []);
    job.sawn_mm = Some(259.0);
    assert_eq!(codes(&job.work_out().unwrap().problems), ["bar-out-of-adjustment"]);
}

#[test]
fn adjustment_that_was_asked_for_and_is_not_there_is_told() {
    let mut job = bar(400.0, [BarEnd::RodEnd(rod()), tab(20.0)]);
    job.wanted_mm = 6.5;
    assert_eq!(job.work_out().unwrap().problems, []);
    job.wanted_mm = 7.0;
    assert_eq!(codes(&job.work_out().unwrap().problems), ["bar-adjustment-small"]);
}

#[test]
fn a_bar_with_threads_of_both_hands_is_adjusted_by_turning_it() {
    let right = BarEnd::RodEnd(rod());
    let left = BarEnd::RodEnd(RodEnd { left_hand: true, pitch_mm: 1.25, ..rod() });
    assert_eq!(Adjusting::of(&[right, left], false), Adjusting::TurnBar { per_turn_mm: 2.75 });
    assert_eq!(Adjusting::of(&[right, left], true), Adjusting::HalfTurns { step_mm: 0.625 });
    assert_eq!(Adjusting::of(&[right, right], false), Adjusting::HalfTurns { step_mm: 0.75 });
    assert_eq!(Adjusting::of(&[tab(1.0), left], false), Adjusting::HalfTurns { step_mm: 0.625 });
}

prop_compose! {
    fn any_rod()(
        dia in 5.0..20.0_f64, shoulder in 0.0..60.0_f64, shank in 10.0..90.0_f64, part in 0.3..1.0_f64,
        nut in 0.0..1.0_f64, least in 0.5..3.0_f64, stand in 0.0..8.0_f64, tapped in 5.0..80.0_f64,
        through: bool, set in proptest::option::of(0.0..1.0_f64),
    ) -> RodEnd {
        let thread_mm = part * shank;
        RodEnd {
            thread_dia_mm: dia, pitch_mm: 1.0, left_hand: through, eye_to_shoulder_mm: shoulder, shank_mm: shank,
            thread_mm, nut_mm: nut * thread_mm / 2.0, least_engagement: least,
            socket: Socket { stand_mm: stand, tapped_mm: tapped, through },
            screwed_in_mm: set.map(|x| x * shank),
        }
    }
}

fn any_end() -> impl Strategy<Value = BarEnd> {
    prop_oneof![
        any_rod().prop_map(BarEnd::RodEnd),
        (0.0..80.0_f64).prop_map(|mm| BarEnd::Tab { hole_to_bar_mm: mm }),
        (0.0..30.0_f64).prop_map(|mm| BarEnd::Plate { stand_off_mm: mm }),
        (20.0..90.0_f64, 0.1..1.0_f64)
            .prop_map(|(od, part)| BarEnd::Cope(Cope::square_on(od, part * od).unwrap())),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn bar_and_ends_together_are_exactly_as_long_as_the_points_are_apart(
        ends in [any_end(), any_end()],
        to in [-2000.0..2000.0_f64, -2000.0..2000.0, -2000.0..2000.0],
        sawn in proptest::option::of(1.0..3000.0_f64),
    ) {
        let mut job = bar(1.0, ends);
        job.points[1] = DVec3::from_array(to);
        job.sawn_mm = sawn;
        let out = job.work_out().unwrap();
        let eye_to_eye = (to[0] * to[0] + to[1] * to[1] + to[2] * to[2]).sqrt();
        let sum = out.cut_mm + out.ends[0].take_mm + out.ends[1].take_mm;
        prop_assert!((sum - eye_to_eye).abs() < 1e-9, "{sum} {eye_to_eye}");
    }

    /// Screwing every rod end to either limit moves the eyes by just the adjustment that was promised, and there it
    /// neither bottoms out, nor loses its nut, nor holds too little.
    #[test]
    fn the_adjustment_promised_is_there_and_no_more(rod in any_rod()) {
        let x = rod.setting_mm();
        let (longer, shorter) = rod.room_mm(x);
        prop_assume!(longer + shorter > 0.0);
        for limit in [rod.least_mm(), rod.most_mm()] {
            let found = rod.problems(Side::Start, 50.0, limit);
            prop_assert!(found.is_empty(), "{found:?}");
        }
        if rod.problems(Side::Start, 50.0, x).is_empty() {
            prop_assert!((longer + shorter - (rod.most_mm() - rod.least_mm())).abs() < 1e-9);
            for past in [x - longer - 0.01, x + shorter + 0.01] {
                prop_assert!(!rod.problems(Side::Start, 50.0, past).is_empty(), "{past}");
            }
        }
    }

    /// A bar sawn to any length within the adjustment is made to fit, whatever its ends.
    #[test]
    fn any_length_within_the_adjustment_fits(ends in [any_end(), any_end()], part in -1.0..1.0_f64) {
        let mut job = bar(900.0, ends);
        let plain = job.work_out().unwrap();
        let off = if part < 0.0 { part * plain.longer_mm() } else { part * plain.shorter_mm() };
        job.sawn_mm = Some(plain.cut_mm + off);
        let out = job.work_out().unwrap();
        prop_assert!((out.cut_mm - plain.cut_mm - off).abs() < 1e-9);
        prop_assert!(!codes(&out.problems).contains(&"bar-out-of-adjustment"));
    }
}

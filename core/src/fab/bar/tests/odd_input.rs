//! Numbers that should not come, and must do no harm.

use super::note::{notes, unsupported};
use super::sleeve::closest_that_slides;
use super::*;
use crate::units::UnitSystem;
use proptest::prelude::*;

const BAD: [f64; 3] = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY];

fn rod_fields() -> Vec<fn(&mut RodEnd) -> &mut f64> {
    vec![
        |r| &mut r.thread_dia_mm,
        |r| &mut r.pitch_mm,
        |r| &mut r.eye_to_shoulder_mm,
        |r| &mut r.shank_mm,
        |r| &mut r.thread_mm,
        |r| &mut r.nut_mm,
        |r| &mut r.least_engagement,
        |r| &mut r.socket.stand_mm,
        |r| &mut r.socket.tapped_mm,
        |r| r.screwed_in_mm.get_or_insert(0.0),
    ]
}

#[test]
fn no_field_of_a_rod_end_takes_what_is_no_number_or_below_zero() {
    for (i, field) in rod_fields().into_iter().enumerate() {
        for x in BAD.into_iter().chain([-1.0, 1e9]) {
            let mut rod = rod();
            *field(&mut rod) = x;
            let out = bar(400.0, [BarEnd::Tab { hole_to_bar_mm: 5.0 }, BarEnd::RodEnd(rod)]).work_out();
            let text = out.expect_err(&format!("field {i}: {x}")).text(UnitSystem::Millimetre);
            assert!(text.contains("at the far end"), "{text}");
        }
    }
}

#[test]
fn no_field_of_a_bar_takes_what_is_no_number() {
    for x in BAD {
        let good = || bar(400.0, [BarEnd::Tab { hole_to_bar_mm: 5.0 }; 2]);
        let mut bars: Vec<StraightBar> = (0..8).map(|_| good()).collect();
        bars[0].stock.od_mm = x;
        bars[1].stock.wall_mm = Some(x);
        bars[2].points[0].z = x;
        bars[3].sawn_mm = Some(x);
        bars[4].wanted_mm = x;
        bars[5].ends[0] = BarEnd::Tab { hole_to_bar_mm: x };
        bars[6].ends[1] = BarEnd::Plate { stand_off_mm: x };
        bars[7].ends[1] = BarEnd::Cope(Cope { near_mm: 1.0, far_mm: x });
        for (i, job) in bars.iter().enumerate() {
            assert!(matches!(job.work_out(), Err(BarError::NotANumber { .. })), "{i} {x}");
        }
        let good = || bent(&[[0.0; 3], [100.0, 0.0, 0.0], [100.0, 90.0, 0.0]], &[20.0]);
        let mut bars: Vec<BentBar> = (0..5).map(|_| good()).collect();
        bars[0].points[1].y = x;
        bars[1].clr_mm[0] = x;
        bars[2].springback.share = x;
        bars[3].least_straight_mm = x;
        bars[4].spare_mm = x;
        for (i, job) in bars.iter().enumerate() {
            assert!(matches!(job.work_out(), Err(BarError::NotANumber { .. })), "{i} {x}");
        }
    }
}

#[test]
fn points_that_are_one_and_bends_that_turn_back_are_named() {
    let same = bar(0.0, [BarEnd::Tab { hole_to_bar_mm: 5.0 }; 2]).work_out();
    assert_eq!(same, Err(BarError::SamePoint { first: 1 }));
    let same = bent(&[[0.0; 3], [100.0, 0.0, 0.0], [100.0, 0.0, 0.0]], &[20.0]).work_out();
    assert_eq!(same, Err(BarError::SamePoint { first: 2 }));
    let back = bent(&[[0.0; 3], [100.0, 0.0, 0.0], [200.0, 50.0, 0.0], [100.0, 0.0, 0.0]], &[20.0; 2]);
    assert!(matches!(back.work_out(), Err(BarError::TurnsBack { bend: 2, .. })));
}

#[test]
fn counts_that_do_not_match_are_told() {
    let wrong = [
        bent(&[[0.0; 3]], &[]),
        bent(&[[0.0; 3], [100.0, 0.0, 0.0], [100.0, 90.0, 0.0]], &[]),
        bent(&[[0.0; 3], [100.0, 0.0, 0.0]], &[20.0]),
    ];
    for job in wrong {
        assert!(matches!(job.work_out(), Err(BarError::Count { .. })));
    }
    assert!(matches!(unsupported(100.0, &vec![50.0; 5001]), Err(BarError::Count { .. })));
}

#[test]
fn sleeves_plates_pins_and_notes_refuse_what_is_no_size() {
    let ok = Sleeve { od_mm: 22.0, wall_mm: 3.0 };
    for x in BAD.into_iter().chain([-1.0, 1e9]) {
        assert!(Sleeve { od_mm: x, ..ok }.over(15.0, &Limits::SLEEVE).is_err());
        assert!(Sleeve { wall_mm: x, ..ok }.over(15.0, &Limits::SLEEVE).is_err());
        assert!(ok.over(x, &Limits::SLEEVE).is_err());
        assert!(ok.over(15.0, &Limits { least_mm: x, most_mm: 1.0 }).is_err());
        assert!(closest_that_slides(15.0, &[ok, Sleeve { od_mm: x, ..ok }], &Limits::SLEEVE).is_err());
        let plate =
            SaddlePlate { tube_od_mm: 50.0, thick_mm: 3.0, gap_mm: 0.0, angle_rad: 2.0, lips_mm: [0.0; 2] };
        assert!(SaddlePlate { tube_od_mm: x, ..plate }.work_out().is_err());
        assert!(SaddlePlate { thick_mm: x, ..plate }.work_out().is_err());
        assert!(SaddlePlate { gap_mm: x, ..plate }.work_out().is_err());
        assert!(SaddlePlate { angle_rad: x, ..plate }.work_out().is_err());
        assert!(SaddlePlate { lips_mm: [0.0, x], ..plate }.work_out().is_err());
        let job = PinJob {
            hole_mm: 10.0,
            over_cheeks_mm: 30.0,
            washers_mm: 0.0,
            play_mm: (0.2, 2.0),
            limits: Limits::PIN,
        };
        let pin = Pin { dia_mm: 9.8, to_groove_mm: 31.0, groove_mm: 1.0, tail_mm: 2.0 };
        assert!(job.with(&pin).is_ok());
        assert!(PinJob { hole_mm: x, ..job }.with(&pin).is_err());
        assert!(PinJob { over_cheeks_mm: x, ..job }.with(&pin).is_err());
        assert!(PinJob { washers_mm: x, ..job }.with(&pin).is_err());
        assert!(PinJob { play_mm: (x, 2.0), ..job }.with(&pin).is_err());
        assert!(job.with(&Pin { dia_mm: x, ..pin }).is_err());
        assert!(job.with(&Pin { to_groove_mm: x, ..pin }).is_err());
        assert!(job.with(&Pin { groove_mm: x, ..pin }).is_err());
        assert!(job.with(&Pin { tail_mm: x, ..pin }).is_err());
        assert!(notes(&stock(), 500.0, &[], Some(x)).is_err());
        assert!(unsupported(1000.0, &[x]).is_err());
        assert!(Springback::from_trial(x, 1.0).is_err() && Springback::from_trial(1.0, x).is_err());
    }
    // a bend cannot come out sharper than it was set
    assert!(Springback::from_trial(1.0, 1.1).is_err());
}

#[test]
fn hot_runs_refuse_stations_off_the_run_and_odd_temperatures() {
    let good = || HotRun {
        length_mm: 1000.0,
        supports: vec![Support { station_mm: 10.0, hold: Hold::Fixed }],
        flexible_mm: vec![500.0],
        per_k: 18e-6,
        cold_c: 20.0,
        hot_c: 500.0,
    };
    assert!(good().spans().is_ok());
    for x in BAD.into_iter().chain([-1e4, 1e9]) {
        let mut runs: Vec<HotRun> = (0..6).map(|_| good()).collect();
        runs[0].length_mm = x;
        runs[1].supports[0].station_mm = x;
        runs[2].flexible_mm[0] = x;
        runs[3].per_k = x;
        runs[4].cold_c = x;
        runs[5].hot_c = x;
        for (i, run) in runs.iter().enumerate() {
            assert!(run.spans().is_err(), "{i} {x}");
        }
    }
}

#[test]
fn a_curve_that_is_wild_is_refused_or_gives_finite_lengths() {
    assert!(Cope::from_curve(&|_| f64::NAN).is_err());
    assert!(Cope::from_curve(&|c| 1.0 / (c - 1.0)).is_ok_and(|c| c.depth_mm().is_finite()));
    assert!(Cope::from_curve(&|_| 1e12).is_err());
    // no number only between the places that are looked at first
    let hole = |c: f64| if (c - 0.003).abs() < 1e-4 { f64::NAN } else { c.cos() };
    assert!(Cope::from_curve(&hole).is_ok_and(|c| c.depth_mm().is_finite()));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any numbers at all: either a sentence that ends in a stop, or finite lengths.
    #[test]
    fn any_bent_bar_gives_finite_lengths_or_a_sentence(
        points in proptest::collection::vec([-300.0..300.0_f64, -300.0..300.0, -1.0..1.0], 2..7),
        clr in -5.0..200.0_f64,
        share in -0.1..0.6_f64,
        take in 0.0..500.0_f64,
    ) {
        let mut job = bent(&points, &vec![clr; points.len() - 2]);
        job.springback.share = share;
        job.ends[0] = BarEnd::Tab { hole_to_bar_mm: take };
        match job.work_out() {
            Ok(out) => {
                prop_assert!(out.developed_mm.is_finite() && out.blank_mm.is_finite());
                prop_assert!(out.marks.iter().all(|m| m.start_mm.is_finite() && m.end_mm > m.start_mm));
                for p in &out.problems {
                    prop_assert!(p.text(UnitSystem::InchFraction).ends_with('.'));
                }
            }
            Err(e) => prop_assert!(e.text(UnitSystem::Millimetre).ends_with('.')),
        }
    }
}

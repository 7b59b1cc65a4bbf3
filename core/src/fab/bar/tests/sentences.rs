//! What people read.

use super::*;
use crate::units::UnitSystem::{self, InchDecimal, InchFraction, Millimetre};
use std::collections::BTreeSet;

fn every_problem() -> Vec<BarProblem> {
    let side = Side::End;
    vec![
        BarProblem::TooShort { by_mm: 12.5, ends_take_mm: 113.0, least_mm: 167.0 },
        BarProblem::EndsMeet { by_mm: 4.0 },
        BarProblem::ThreadWide { side, thread_dia_mm: 16.0, bar_od_mm: 15.9 },
        BarProblem::SocketShallow { side, tapped_mm: 14.0, least_mm: 15.0 },
        BarProblem::ThreadShort { side, free_mm: 12.0, least_mm: 15.0, need_mm: 21.0 },
        BarProblem::EngagementShort { side, engaged_mm: 14.6, least_mm: 15.0 },
        BarProblem::BottomsOut { side, in_mm: 31.0, depth_mm: 30.0, most_mm: 28.0 },
        BarProblem::NoRoomForNut { side, left_mm: 3.0, nut_mm: 6.0, most_mm: 28.0 },
        BarProblem::OutOfAdjustment { sawn_mm: 270.0, nearest_mm: 274.0 },
        BarProblem::AdjustmentSmall { wanted_mm: 10.0, longer_mm: 6.5, shorter_mm: 6.5 },
        BarProblem::SmallKink { bend: 2, angle_rad: 0.0005 },
        BarProblem::RadiusTooSmall { bend: 2, clr_mm: 7.0, least_mm: 7.9 },
        BarProblem::BendsOverlap { leg: 2, bends: (1, 2), by_mm: 10.0, clr_mm: Some(40.0) },
        BarProblem::EndInBend { side, bend: 2, by_mm: 3.5, clr_mm: None },
        BarProblem::StraightShort { leg: 2, bends: (1, 2), straight_mm: 20.0, least_mm: 30.0 },
        BarProblem::Overbend { bend: 2, set_rad: 3.2 },
    ]
}

fn is_a_sentence(text: &str) {
    assert!(text.ends_with('.') && text.len() > 30, "{text}");
    assert!(text.starts_with(|c: char| c.is_uppercase()), "{text}");
    assert!(!text.contains("NaN") && !text.contains("  ") && !text.contains('_'), "{text}");
}

#[test]
fn every_problem_has_a_code_of_its_own_and_a_sentence_in_every_unit() {
    let all = every_problem();
    let codes: BTreeSet<&str> = all.iter().map(BarProblem::code).collect();
    assert_eq!(codes.len(), all.len());
    for problem in &all {
        for units in [InchFraction, InchDecimal, Millimetre] {
            is_a_sentence(&problem.text(units));
        }
    }
}

#[test]
fn sentences_say_what_where_and_what_to_do() {
    let all = every_problem();
    let text = |i: usize, units: UnitSystem| all[i].text(units);
    assert_eq!(
        text(5, Millimetre),
        "The rod end at the far end holds by only 14.60 mm of thread, under the 15.00 mm asked for: screw it in by at least 15.00 mm."
    );
    assert_eq!(
        text(8, Millimetre),
        "The bar, sawn 270.0 mm long, is too short by 4.00 mm with its ends adjusted as far as they go: make a new one. 274.0 mm is the nearest length that fits."
    );
    assert_eq!(
        text(12, InchDecimal),
        "Bends 1 and 2 overlap by 0.394\" on leg 2: move its points apart, or take a centreline radius of 1.575\" or less."
    );
    assert_eq!(all[5].place(), "far end");
    assert_eq!(all[12].place(), "leg 2");
}

#[test]
fn a_problem_that_stops_a_bar_is_one_that_cannot_be_built() {
    use crate::finding::Severity;
    let warned: Vec<_> =
        every_problem().iter().filter(|p| p.severity() == Severity::Warn).map(BarProblem::code).collect();
    assert_eq!(
        warned,
        [
            "bar-socket-shallow",
            "bar-thread-short",
            "bar-engagement-short",
            "bar-adjustment-small",
            "bar-straight-short",
            "bar-overbend"
        ]
    );
}

#[test]
fn errors_and_ways_to_adjust_are_sentences() {
    let what = || "The lock nut of the rod end at the start".to_owned();
    let errors = [
        BarError::NotANumber { what: what() },
        BarError::Length { what: what(), mm: -1.0, least_mm: 0.0, most_mm: 34.0 },
        BarError::Number { what: "Springback".to_owned(), value: 60.0, least: 0.0, most: 50.0, unit: " %" },
        BarError::Count { what: "points of the bar", have: 1, least: 2, most: 202 },
        BarError::Count { what: "points of the bar", have: 300, least: 2, most: 202 },
        BarError::Count { what: "centreline radii of the bar", have: 1, least: 3, most: 3 },
        BarError::SamePoint { first: 3 },
        BarError::TurnsBack { bend: 1, angle_rad: 3.1 },
        BarError::NoSeat { clock_rad: 1.5 },
    ];
    for error in &errors {
        is_a_sentence(&error.text(InchFraction));
        is_a_sentence(&error.text(Millimetre));
    }
    assert_eq!(
        errors[1].text(Millimetre),
        "The lock nut of the rod end at the start is -1 mm: enter a length from 0 mm to 34 mm."
    );
    let ways =
        [Adjusting::None, Adjusting::TurnBar { per_turn_mm: 3.0 }, Adjusting::HalfTurns { step_mm: 0.75 }];
    for way in ways {
        is_a_sentence(&way.text(Millimetre));
    }
}

#[test]
fn sleeves_plates_and_pins_speak() {
    let sleeve = |wall: f64| Sleeve { od_mm: 22.225, wall_mm: wall }.over(15.875, &Limits::SLEEVE).unwrap();
    let tight = sleeve(3.2);
    assert_eq!(
        tight.text(Millimetre, Some("22 × 2.5")),
        "The sleeve does not go over the bar: its inside is 0.05 mm too small. Take 22 × 2.5 instead."
    );
    for fit in [tight, sleeve(3.15), sleeve(3.048), sleeve(2.0)] {
        is_a_sentence(&fit.text(InchFraction, None));
    }
    let plate = SaddlePlate {
        tube_od_mm: 50.0,
        thick_mm: 8.0,
        gap_mm: 0.0,
        angle_rad: 200_f64.to_radians(),
        lips_mm: [0.0; 2],
    };
    let text = plate.text(&plate.work_out().unwrap(), Millimetre);
    is_a_sentence(&text);
    assert!(text.contains("more than half round") && text.contains("trial piece"), "{text}");
    let job = PinJob {
        hole_mm: 10.0,
        over_cheeks_mm: 30.0,
        washers_mm: 0.0,
        play_mm: (0.2, 2.0),
        limits: Limits::PIN,
    };
    for dia in [10.2, 9.99, 9.8, 9.0] {
        for groove in [29.0, 30.1, 31.0, 35.0] {
            let pin = Pin { dia_mm: dia, to_groove_mm: groove, groove_mm: 1.0, tail_mm: 2.0 };
            is_a_sentence(&job.with(&pin).unwrap().text(Millimetre));
        }
    }
}

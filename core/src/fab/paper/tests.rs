use super::*;
use crate::fab::build;
use crate::fab::weld_plan::added;
use crate::model::{Allowances, BendMake, ElbowId, Ends, Fitting, FittingId, JointId, Project};
use crate::report::{Report, steps};
use crate::testing::run_through;
use crate::units::UnitSystem;
use glam::DVec3;

/// Numbers that look random and are the same everywhere: the 64-bit generator of Knuth's MMIX (from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, from: f64, to: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        from + (to - from) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }

    fn below(&mut self, n: u32) -> u32 {
        self.roll(0.0, f64::from(n)) as u32
    }
}

/// A run of `bends` bends as a fabricator draws them, or `None` where the dice drew one that cannot be built.
fn random_project(dice: &mut Dice, bends: u32) -> Option<Project> {
    let mut points = vec![DVec3::ZERO];
    let mut way = DVec3::X;
    for i in 0..=bends {
        points.push(points[i as usize] + way * dice.roll(140.0, 420.0));
        let side = way.any_orthonormal_vector();
        let turn = dice.roll(10.0, 100.0_f64).to_radians();
        let clock = dice.roll(-3.1, 3.1);
        let side = side * clock.cos() + way.cross(side) * clock.sin();
        way = way * turn.cos() + side * turn.sin();
    }
    let (mut project, mut run) = run_through(&points);
    project.settings.units = UnitSystem::InchFraction;
    project.settings.shortest_throat_mm = 3.0;
    project.elbows[0].angle_deg = 120.0;
    for vertex in run.vertices() {
        let make = match dice.below(4) {
            0 => BendMake::Elbow { elbow: ElbowId(11) },
            1 => BendMake::mitred(dice.roll(70.0, 110.0), 3 + dice.below(4), Ends::Full),
            2 => BendMake::Mitred {
                clr_mm: 95.25,
                welds: 1,
                ends: Ends::Half,
                throat_mm: None,
                saw_deg: Some(7.5),
            },
            _ => BendMake::mitred(dice.roll(70.0, 110.0), 2 + dice.below(5), Ends::Half),
        };
        run.set_make(vertex, make);
    }
    if dice.below(2) == 0 {
        let station_mm = dice.roll(20.0, 60.0);
        run.fittings.push(Fitting {
            id: FittingId(900),
            joint: JointId(12),
            leg: 0,
            station_mm,
            lobe_clock_deg: dice.roll(-180.0, 180.0),
        });
    }
    project.runs = vec![run];
    build(&project, &project.runs[0]).is_buildable().then_some(project)
}

fn sample(count: usize) -> Vec<Project> {
    let mut dice = Dice(7);
    let mut out = Vec::new();
    while out.len() < count {
        let bends = 2 + dice.below(7);
        out.extend(random_project(&mut dice, bends));
    }
    out
}

/// How many of the runs end within half a millimetre and 0.2° of where they should, and the mean miss, mm.
fn good(all: &[Project]) -> (usize, f64) {
    let misses: Vec<_> = all.iter().map(|p| Report::quick(p).runs[0].miss).collect();
    let good = misses.iter().filter(|m| m.offset_mm <= 0.5 && m.angle_deg <= 0.2).count();
    (good, misses.iter().map(|m| m.offset_mm).sum::<f64>() / misses.len() as f64)
}

#[test]
fn nearly_every_run_ends_where_it_should_in_rounded_numbers() {
    let mut all = sample(200);
    for (step_deg, least) in [(0.01, 199), (0.1, 195), (0.5, 90)] {
        for project in &mut all {
            project.settings.saw.step_deg = step_deg;
        }
        let (good, mean_mm) = good(&all);
        assert!(good >= least, "{step_deg}°: {good} of {}, {mean_mm} mm on average", all.len());
    }
}

#[test]
fn with_nothing_rounded_the_pipe_ends_where_it_should_gaps_and_shrinkage_and_all() {
    for project in sample(60) {
        let built = build(&project, &project.runs[0]);
        let (route, end) = (built.route.as_ref().unwrap(), built.end().unwrap());
        let fixed = vec![false; built.pieces.len()];
        let plan = crate::fab::weld_plan::plan(
            &built.pieces,
            &built.frames,
            &built.welds,
            crate::fab::weld_plan::Wish {
                weld: None,
                sawn: None,
                fixed: &fixed,
                grip_mm: 50.0,
                both_held: true,
            },
        );
        for (gap, shrink) in [(0.0, 0.0), (0.5, 0.2)] {
            let allowances =
                Allowances { weld_gap_mm: gap, shrink_mm: shrink, trim_mm: 6.0, ..Allowances::default() };
            let added = added(&built.pieces, &built.welds, &fixed, plan.fit, &allowances);
            let mut apart_mm = vec![0.0; built.pieces.len() + 1];
            for weld in &built.welds {
                apart_mm[weld.before] = gap - shrink;
            }
            let exact = Exact {
                route,
                pieces: &built.pieces,
                added: &added,
                fixed: &fixed,
                given: &[],
                apart_mm: &apart_mm,
                end,
            };
            let trim: Vec<f64> = added.iter().map(|a| a.trim_mm).collect();
            let laying = Laying { start: route.start, trim_mm: &trim, apart_mm: &apart_mm, wanted: end };
            let lost = built.welds.iter().any(|w| {
                !w.before.checked_sub(1).is_some_and(|i| built.pieces[i].is_sawn())
                    && !built.pieces.get(w.before).is_some_and(Piece::is_sawn)
            });
            let miss_mm = laying.miss(&unrounded(&exact)).miss().offset_mm;
            assert!((lost && gap > shrink) || miss_mm < 0.01, "{miss_mm}");
        }
    }
}

#[test]
fn what_stands_on_a_step_already_stays_there() {
    let (mut project, mut run) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
    crate::testing::set_makes(&mut run, BendMake::mitred(95.25, 3, Ends::Half));
    project.runs = vec![run];
    let report = Report::new(&project);
    let run = &report.runs[0];
    for piece in run.paper.pieces.iter().filter(|p| p.is_sawn()) {
        let steps_of = piece.long_short_mm().0 / steps(&project.settings).length_mm;
        assert!((steps_of - steps_of.round()).abs() < 1e-6, "{}", piece.mark);
        assert!(
            (piece.start.tilt_rad.to_degrees() * 10.0).fract().abs() < 1e-6 || piece.start.tilt_rad == 0.0
        );
    }
    assert!(run.saw_miss.offset_mm < 1e-9);
}

#[test]
fn no_elbow_is_asked_for_a_longer_leg_than_it_has_and_one_used_whole_has_its_own_angle() {
    let (mut limited, mut whole) = (0, 0);
    for mut project in sample(120) {
        // 40 mm is no multiple of 1/32 in, so the upper neighbour would be longer than the leg
        let leg_mm = project.elbows[0].leg_mm;
        // two of the bends within what still counts as used whole
        let built = build(&project, &project.runs[0]);
        let bends = &built.route.as_ref().unwrap().bends;
        let elbow = bends.iter().find(|b| matches!(b.make, crate::fab::route::Make::Elbow(_)));
        let Some(elbow) = elbow.map(|b| b.angle_rad.to_degrees() + 0.03) else { continue };
        project.elbows[0].angle_deg = elbow;
        let report = Report::new(&project);
        for piece in report.runs[0].printed.iter().filter_map(|p| p.bend) {
            for leg in [piece.lead_mm, piece.tail_mm] {
                assert!(leg <= leg_mm + 1e-6, "{leg} of {leg_mm}");
                limited += usize::from(leg > leg_mm - 0.8);
            }
            if piece.cut_at.is_none() {
                whole += 1;
                assert!((piece.angle_deg - elbow).abs() < 1e-9, "{} of {elbow}", piece.angle_deg);
            }
        }
    }
    assert!(limited > 20 && whole > 10, "{limited} legs, {whole} elbows");
}

/// The numbers of paper that are not rounded away by a window: each effect against laying the whole pipe again.
#[test]
fn what_one_changed_number_does_is_what_laying_everything_again_says() {
    for project in sample(40) {
        let built = build(&project, &project.runs[0]);
        let (route, end) = (built.route.as_ref().unwrap(), built.end().unwrap());
        let fixed = vec![false; built.pieces.len()];
        let added = vec![Added::default(); built.pieces.len()];
        let apart_mm = vec![0.3; built.pieces.len() + 1];
        let trim_mm = vec![0.0; built.pieces.len()];
        let exact = Exact {
            route,
            pieces: &built.pieces,
            added: &added,
            fixed: &fixed,
            given: &[],
            apart_mm: &apart_mm,
            end,
        };
        let steps = Steps { length_mm: 25.4 / 32.0, saw_rad: 0.5_f64.to_radians() };
        let laying = Laying { start: route.start, trim_mm: &trim_mm, apart_mm: &apart_mm, wanted: end };
        let saw = Choices::of_saw(&exact, &trim_mm, steps);
        let rest = saw.of_the_rest(saw.pieces(&saw.nearest()), steps.length_mm);
        for choices in [saw.clone(), saw.untied(), rest.clone(), rest.untied()] {
            let mut up = choices.nearest();
            let pieces = choices.pieces(&up);
            let frames = laying.frames(&pieces);
            for i in 0..choices.len() {
                up[i] = !up[i];
                let (whole, range) = (choices.pieces(&up), choices.touched(i));
                let some = choices.stretch(range.clone(), &up);
                up[i] = !up[i];
                assert_eq!(whole[range.clone()], some);
                assert_eq!(
                    (&whole[..range.start], &whole[range.end..]),
                    (&pieces[..range.start], &pieces[range.end..])
                );
                let off = laying.miss(&whole).plus(laying.miss_with(&pieces, &frames, range, &some), -1.0);
                assert!(off.squared() < 1e-12, "{}", off.squared());
            }
        }
    }
}

#[test]
fn runs_of_two_hundred_bends_are_rounded_together_too() {
    let mut dice = Dice(11);
    for bends in [40, 110, 199] {
        let project = (0..50).find_map(|_| random_project(&mut dice, bends)).unwrap();
        let built = build(&project, &project.runs[0]);
        let count = built.pieces.len();
        let exact = Exact {
            route: built.route.as_ref().unwrap(),
            pieces: &built.pieces,
            added: &vec![Added::default(); count],
            fixed: &vec![false; count],
            given: &[],
            apart_mm: &vec![0.0; count + 1],
            end: built.end().unwrap(),
        };
        let miss = paper(&exact, steps(&project.settings)).miss;
        assert!(miss.offset_mm < 0.5 && miss.angle_rad < GOOD_RAD, "{bends}: {miss:?}");
    }
}

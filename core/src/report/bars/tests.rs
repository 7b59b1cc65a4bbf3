//! Bars through the whole chain, from the document to the report, against sums by hand.

use super::super::Report;
use super::BarReport;
use crate::edit::{Edit, apply, new_item};
use crate::finding::{Finding, Severity};
use crate::geom::vector::unit;
use crate::model::{
    Bar, BarCorner, BarEndMake, BarSleeve, Body, BodyId, Eye, Item, Material, Movement, Obstacle, ObstacleId,
    Onto, Pad, Pin, PinThrough, Pose, Project, RodEnd, RunId, Shape, Sleeve, Socket, Tab,
};
use crate::space::scan::Scans;
use crate::testing::{bench_project, run_through};
use crate::units::UnitSystem;
use approx::assert_relative_eq;
use glam::{DMat3, DVec3};

/// Solid bar of 16 mm along `ends`, square at both.
fn put(project: &mut Project, ends: [DVec3; 2]) -> Bar {
    let mut bar = new_item::bar(project, ends[0]);
    bar.ends[1].position_mm = ends[1];
    bar.material = Material::MildSteel;
    (bar.od_mm, bar.wall_mm, bar.stick_mm, bar.gap_mm) = (16.0, None, 1000.0, 12.0);
    project.bars.push(bar.clone());
    bar
}

fn rod(left_hand: bool) -> BarEndMake {
    let rod = RodEnd {
        thread_dia_mm: 10.0,
        pitch_mm: 1.5,
        left_hand,
        eye_to_shoulder_mm: 35.0,
        shank_mm: 40.0,
        thread_mm: 34.0,
        nut_mm: 6.0,
        least_engagement: 1.5,
        socket: Socket { stand_mm: 3.0, tapped_mm: 30.0, through: false },
        screwed_in_mm: None,
    };
    BarEndMake::RodEnd(rod, Eye { od_mm: 28.0, width_mm: 14.0 })
}

fn onto_tube(od_mm: f64) -> BarEndMake {
    let onto = Onto::Tube { through_mm: DVec3::ZERO, along: DVec3::X * 7.0, od_mm };
    BarEndMake::Cope { onto, pad: None }
}

/// The bench with the last bar changed.
fn with(ends: [DVec3; 2], change: impl FnOnce(&mut Bar)) -> (Project, Report) {
    let mut project = bench_project();
    put(&mut project, ends);
    change(project.bars.last_mut().unwrap());
    let report = Report::new(&project);
    (project, report)
}

fn first(report: &Report) -> &BarReport {
    &report.bars[0]
}

fn finding<'a>(report: &'a Report, code: &str) -> &'a Finding {
    report.findings.iter().find(|f| f.code == code).unwrap_or_else(|| panic!("{code}: {:?}", report.findings))
}

/// Eye to tip 35 + 40 = 75; in by the middle of 15 and 28, 21.5; so each end takes 75 − 21.5 + 3 = 56.5 of the 400,
/// and a whole turn of a bar between two threads of 1.5 is 3.
#[test]
fn eye_to_eye_less_both_ends_is_what_is_sawn() {
    let (_, report) = with([DVec3::ZERO, DVec3::new(0.0, 240.0, 320.0)], |bar| {
        bar.ends[0].make = rod(false);
        bar.ends[1].make = rod(true);
    });
    let bar = first(&report);
    assert_relative_eq!(bar.eye_to_eye_mm, 400.0, epsilon = 1e-9);
    assert_relative_eq!(bar.cut_mm, 287.0, epsilon = 1e-9);
    assert_relative_eq!(bar.cut_printed_mm, 287.0, epsilon = 1e-9);
    assert_eq!((bar.ends[0].screwed_in_mm, bar.ends[0].longer_mm), (Some(21.5), 6.5));
    assert!(bar.adjust.contains("a whole turn changes its length by 3.00 mm"), "{}", bar.adjust);
    assert!(report.findings.is_empty(), "{:?}", report.findings);
    // π/4 · 1.6² cm² · 28.7 cm · 7.85 g/cm³ = 0.45298 kg
    assert_relative_eq!(bar.mass_kg, 0.45298, epsilon = 2e-3);
    assert!(bar.notes.last().unwrap().contains("qualified person"));
    let json: serde_json::Value = serde_json::from_str(&report.to_json().unwrap()).unwrap();
    assert_eq!(json["bars"][0]["mark"], "BAR1");
    assert_eq!(json["bars"][0]["ends"][1]["kind"], "rod end");
    assert_relative_eq!(json["bars"][0]["cut_mm"].as_f64().unwrap(), 287.0, epsilon = 1e-9);
    assert_relative_eq!(json["totals"]["bar_mass_kg"].as_f64().unwrap(), bar.mass_kg, epsilon = 1e-12);
}

/// A bar sawn to 290 already: its ends take 400 − 290 = 110 instead of 113, so each is 1.5 further in.
#[test]
fn a_bar_sawn_already_sets_its_ends_and_leaves_the_stick() {
    let (project, report) = with([DVec3::ZERO, DVec3::X * 400.0], |bar| {
        bar.ends[0].make = rod(false);
        bar.ends[1].make = rod(true);
        bar.sawn_mm = Some(290.0);
    });
    assert_relative_eq!(first(&report).ends[0].screwed_in_mm.unwrap(), 23.0, epsilon = 1e-9);
    assert!(report.bar_stock.is_empty());
    let words = |p: &Project, r: &Report| {
        super::bar_saw_words(&r.findings, &p.bars[0], &r.bars[0], UnitSystem::Millimetre)
    };
    assert_eq!(words(&project, &report), "sawn, 290.0 mm");
    let mut bent = project.clone();
    bent.bars[0].corners.push(BarCorner { position_mm: DVec3::new(200.0, 60.0, 0.0), clr_mm: 60.0 });
    assert!(!bent.bars[0].is_sawn(), "a bent bar is sawn anew");
    let mut far = project;
    far.bars[0].sawn_mm = Some(330.0);
    let report = Report::new(&far);
    assert_eq!(words(&far, &report), "cannot be made yet");
    let told = finding(&report, "bar-out-of-adjustment");
    assert_eq!((told.severity, told.item), (Severity::Stop, Some(Item::Bar(far.bars[0].id))));
    assert_eq!(report.totals.bars, 0);
}

/// Inside of 7/8 × 0.120 is 0.875 − 0.240 = 0.635, over 5/8 that leaves 0.010 in; 0.083 leaves 0.084, which is loose, and
/// the other bar's tube is named.
#[test]
fn a_sleeve_has_the_clearance_of_its_sizes_in_the_words_of_the_report() {
    let inch = 25.4;
    let mut project = bench_project();
    project.settings.units = UnitSystem::InchDecimal;
    put(&mut project, [DVec3::ZERO, DVec3::X * 400.0]);
    put(&mut project, [DVec3::Y * 500.0, DVec3::new(300.0, 500.0, 0.0)]);
    project.bars[1].od_mm = 0.875 * inch;
    project.bars[1].wall_mm = Some(0.120 * inch);
    project.bars[0].od_mm = 0.625 * inch;
    let sleeve = |wall: f64| {
        let size = Sleeve { od_mm: 0.875 * inch, wall_mm: wall * inch };
        Some(BarSleeve { size, length_mm: 80.0, station_mm: 100.0 })
    };
    project.bars[0].sleeve = sleeve(0.120);
    let report = Report::new(&project);
    let told = first(&report).sleeve.as_ref().unwrap();
    assert_eq!(told.fit, crate::finding::Fit::Slides);
    assert!(told.text.contains("slides, with 0.010\" on the diameter"), "{}", told.text);
    assert!(report.findings.iter().all(|f| !f.code.starts_with("bar")), "{:?}", report.findings);
    project.bars[0].sleeve = sleeve(0.083);
    let report = Report::new(&project);
    let told = finding(&report, "bar-sleeve-loose");
    assert!(told.text.contains("0.084\"") && told.text.contains("0.875\" × 0.120\""), "{}", told.text);
    // off the end of 400 by 20
    project.bars[0].sleeve.as_mut().unwrap().station_mm = 340.0;
    let told = Report::new(&project);
    assert!(finding(&told, "bar-sleeve-off-end").text.contains("0.787\""), "{:?}", told.findings);
}

/// The pin through an eye: 10 in a hole of 10.2, 31 to the groove over 25 and washers of 5, so 1 mm of play. One of 29
/// begins its groove 1 mm inside the washers.
#[test]
fn a_pin_that_is_too_short_stops_the_bar() {
    let (mut project, report) = with([DVec3::ZERO, DVec3::X * 400.0], |bar| {
        bar.ends[0].make = rod(false);
        let pin = Pin { dia_mm: 10.0, to_groove_mm: 31.0, groove_mm: 1.2, tail_mm: 3.0 };
        bar.ends[0].pin = Some(PinThrough { pin, hole_mm: 10.2, over_cheeks_mm: 25.0, washers_mm: 5.0 });
    });
    assert!(first(&report).ends[0].pin.as_ref().unwrap().contains("1.00 mm of play"));
    project.bars[0].ends[0].pin.as_mut().unwrap().pin.to_groove_mm = 29.0;
    let report = Report::new(&project);
    let told = finding(&report, "bar-pin-fit");
    assert_eq!(told.severity, Severity::Stop);
    assert!(told.text.contains("at least 30.20 mm") && told.place.ends_with("start"), "{}", told.text);
    project.bars[0].ends[0].make = BarEndMake::Plate { stand_off_mm: 0.0 };
    assert_eq!(finding(&Report::new(&project), "bar-pin-no-hole").severity, Severity::Warn);
}

/// On the cylinder y² + z² = h² about X, a side of the bar at φ leaves at [√(h² − (b·sin φ)²) + b·cos φ·cos β]/sin β along
/// the bar: longest and shortest by trying a great many.
#[test]
fn a_coped_end_reaches_the_tube_and_its_curve_lies_on_it() {
    let (h, b, beta) = (30.0_f64, 8.0_f64, 60_f64.to_radians());
    let point = DVec3::new(beta.cos(), 0.0, beta.sin()) * 400.0;
    let (_, report) = with([DVec3::ZERO, point], |bar| bar.ends[0].make = onto_tube(2.0 * h));
    let at = |i: u32| {
        let phi = f64::from(i) / 100_000.0 * std::f64::consts::TAU;
        ((h * h - (b * phi.sin()).powi(2)).sqrt() + b * phi.cos() * beta.cos()) / beta.sin()
    };
    let near = (0..100_000).map(at).fold(f64::INFINITY, f64::min);
    let far = (0..100_000).map(at).fold(0.0, f64::max);
    let bar = first(&report);
    assert_relative_eq!(bar.ends[0].take_mm, near, epsilon = 1e-6);
    assert_relative_eq!(bar.ends[0].cope_depth_mm.unwrap(), far - near, epsilon = 1e-6);
    assert_relative_eq!(bar.cut_mm, 400.0 - near, epsilon = 1e-6);
    let seated = bar.built.numbers.as_ref().unwrap().seats[0].as_ref().unwrap();
    let mut length = 0.0;
    let mut before = seated.saddle.point(seated.edge, 0.0);
    for i in 1..=2000_u32 {
        let at = seated.saddle.point(seated.edge, f64::from(i) / 2000.0 * std::f64::consts::TAU);
        assert_relative_eq!(at.y.hypot(at.z), h, epsilon = 1e-9);
        length += at.distance(before);
        before = at;
    }
    assert_relative_eq!(bar.weld_mm, length, epsilon = 1e-3);
}

/// A saddle plate of 3 with a liner of 1 under it: the bar sits on 64 + 2·4 = 68; half round the plate is π·(33 + 1.5) long.
#[test]
fn a_saddle_plate_makes_the_tube_thicker() {
    let pad = Pad { thick_mm: 3.0, gap_mm: 1.0, angle_deg: 180.0, lips_mm: [0.0, 0.0], width_mm: None };
    let on = |pad| BarEndMake::Cope {
        onto: Onto::Tube { through_mm: DVec3::ZERO, along: DVec3::X, od_mm: 64.0 },
        pad,
    };
    let ends = [DVec3::ZERO, DVec3::Z * 300.0];
    let (_, plain) = with(ends, |bar| bar.ends[0].make = on(None));
    let (_, padded) = with(ends, |bar| bar.ends[0].make = on(Some(pad)));
    assert_relative_eq!(first(&plain).cut_mm, 300.0 - (32.0_f64.powi(2) - 64.0).sqrt(), epsilon = 1e-6);
    assert_relative_eq!(first(&padded).cut_mm, 300.0 - (36.0_f64.powi(2) - 64.0).sqrt(), epsilon = 1e-6);
    let flat = first(&padded).ends[0].plate_mm.unwrap();
    assert_relative_eq!(flat, std::f64::consts::PI * 34.5, epsilon = 1e-9);
}

/// A bar of 16 on another of 40, square: √(20² − 8²). And both on each other at their far ends need no order.
#[test]
fn a_bar_sits_on_another_and_not_beyond_its_end() {
    let mut project = bench_project();
    put(&mut project, [DVec3::ZERO, DVec3::X * 500.0]);
    put(&mut project, [DVec3::X * 100.0, DVec3::new(100.0, 0.0, 300.0)]);
    let (carrier, other) = (project.bars[0].id, project.bars[1].id);
    project.bars[0].od_mm = 40.0;
    project.bars[1].ends[0].make = BarEndMake::Cope { onto: Onto::Bar(carrier), pad: None };
    let report = Report::new(&project);
    assert_relative_eq!(report.bars[1].cut_mm, 300.0 - (400.0_f64 - 64.0).sqrt(), epsilon = 1e-6);
    assert_eq!(report.bars[1].ends[0].onto.as_deref(), Some(project.bars[0].name.as_str()));
    let refused = apply(&project, &Edit::Remove(Item::Bar(carrier))).unwrap_err().to_string();
    assert!(refused.contains(&project.bars[1].name), "{refused}");
    // 5 from the end of what it sits on: 3 of its 16 stand out
    project.bars[1].ends.iter_mut().for_each(|e| e.position_mm.x = 5.0);
    let report = Report::new(&project);
    let told = finding(&report, "bar-no-seat");
    assert!(told.text.contains("reaches 3.0 mm beyond the end of"), "{}", told.text);
    assert_eq!((told.item, report.bars[1].buildable), (Some(Item::Bar(other)), false));
    project.bars[1].ends[0].make = BarEndMake::Cope { onto: Onto::Bar(other), pad: None };
    assert_eq!(finding(&Report::new(&project), "bar-onto-itself").severity, Severity::Stop);
    project.bars[1].ends[0].make = BarEndMake::Cope { onto: Onto::Run(RunId(9999)), pad: None };
    assert_eq!(finding(&Report::new(&project), "bar-onto-nothing").severity, Severity::Stop);
    // a bar without a length
    project.bars[1].ends[0].position_mm = project.bars[1].ends[1].position_mm;
    assert!(finding(&Report::new(&project), "bar-entry").text.contains("at the same place"));
}

/// A bar of 16 leans by 45° along one of 40, whose end is at 500: it touches it from the point on by h·cot 45° = 20 and
/// half its own slant, 8/sin 45° = 11.3, less at the crown.
#[test]
fn a_leaning_bar_is_held_to_the_end_by_where_it_touches() {
    let lean = |x: f64, along: f64| {
        let mut project = bench_project();
        put(&mut project, [DVec3::ZERO, DVec3::X * 500.0]);
        put(&mut project, [DVec3::X * x, DVec3::new(x + along * 300.0, 0.0, 300.0)]);
        project.bars[0].od_mm = 40.0;
        project.bars[1].ends[0].make = BarEndMake::Cope { onto: Onto::Bar(project.bars[0].id), pad: None };
        Report::new(&project)
    };
    let seats = |report: &Report| report.findings.iter().all(|f| f.code != "bar-no-seat");
    // 468 + 20 + 11.3 = 499.3; 470 reaches 1.3 beyond
    assert!(seats(&lean(468.0, 1.0)));
    assert!(finding(&lean(470.0, 1.0), "bar-no-seat").text.contains("reaches 1.3 mm beyond"));
    // at the beginning it leans away from the end: 5 + 20 − 11.3 is on it
    assert!(seats(&lean(5.0, 1.0)));
    assert!(!seats(&lean(5.0, -1.0)));
}

/// A sleeve on a bar that sits on a pipe is looked at against that pipe too.
#[test]
fn a_sleeve_counts_on_a_bar_that_sits_on_a_pipe() {
    let (mut project, _) = run_through(&[DVec3::ZERO, DVec3::X * 400.0, DVec3::new(400.0, 400.0, 0.0)]);
    let bar = put(&mut project, [DVec3::X * 150.0, DVec3::new(150.0, 0.0, 300.0)]);
    let run = project.runs[0].id;
    project.bars[0].ends[0].make = BarEndMake::Cope { onto: Onto::Run(run), pad: None };
    let size = Sleeve { od_mm: 22.0, wall_mm: 2.8 };
    project.bars[0].sleeve = Some(BarSleeve { size, length_mm: 40.0, station_mm: 50.0 });
    let report = Report::new(&project);
    let built = &report.bars.iter().find(|b| b.id == bar.id).unwrap().built;
    let sleeve = built.numbers.as_ref().unwrap().fitted.solid.unwrap();
    assert!(built.solids_clear_of(&project.bars[0], run, 10.0).contains(&sleeve));
}

/// Parallel to a pipe of 63.5 at 100: 100 − 31.75 − 8 = 60.25. The larger of the gaps of pipe and bar is kept.
#[test]
fn the_gap_of_a_pipe_to_a_bar_is_that_of_their_middles_less_both_radii() {
    let corners = [DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 400.0, 0.0)];
    let (mut project, run) = run_through(&corners);
    put(&mut project, [DVec3::new(100.0, -100.0, 0.0), DVec3::new(300.0, -100.0, 0.0)]);
    let item = Item::Bar(project.bars[0].id);
    let report = Report::new(&project);
    let entry = report.clearance.iter().find(|c| c.other == item).unwrap();
    assert_relative_eq!(entry.gap_mm, 60.25, epsilon = 1e-6);
    assert_eq!((entry.required_mm, entry.ok, entry.run_id), (12.0, true, run.id));
    let mut wide = project.clone();
    wide.bars[0].gap_mm = 70.0;
    let after = report.after(&project, &wide, &Scans::default(), super::super::Effort::Thorough);
    assert_eq!(after, Report::new(&wide));
    let told = finding(&after, "too-close");
    assert!(told.text.contains("60.2 mm") && told.text.contains("70.0 mm"), "{}", told.text);
    // moved along by nothing but its other end, the gap is another
    let mut moved = project.clone();
    moved.bars[0].ends[1].position_mm.y = -80.0;
    let after = report.after(&project, &moved, &Scans::default(), super::super::Effort::Thorough);
    assert_eq!(after, Report::new(&moved));
    assert!(after.clearance.iter().find(|c| c.other == item).unwrap().gap_mm < 45.0);
}

/// A bar on a pipe touches it there: it counts from where it is as far away as it should be.
#[test]
fn a_bar_on_a_pipe_is_not_too_close_to_it() {
    let corners = [DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 400.0, 0.0)];
    let (mut project, run) = run_through(&corners);
    put(&mut project, [DVec3::X * 200.0, DVec3::new(200.0, 0.0, 300.0)]);
    project.bars[0].ends[0].make = BarEndMake::Cope { onto: Onto::Run(run.id), pad: None };
    let report = Report::new(&project);
    let bar = first(&report);
    assert_relative_eq!(bar.cut_mm, 300.0 - (31.75_f64.powi(2) - 64.0).sqrt(), epsilon = 1e-5);
    let item = Item::Bar(bar.id);
    let entry = report.clearance.iter().find(|c| c.other == item).unwrap();
    assert_relative_eq!(entry.gap_mm, 12.0, epsilon = 1e-4);
    assert!(report.findings.iter().all(|f| f.code != "too-close"), "{:?}", report.findings);
    // and it follows the pipe: that is not taken for unchanged
    let mut moved = project.clone();
    moved.tubes[0].od_mm = 60.0;
    let after = report.after(&project, &moved, &Scans::default(), super::super::Effort::Thorough);
    assert_relative_eq!(first(&after).cut_mm, 300.0 - (900.0_f64 - 64.0).sqrt(), epsilon = 1e-5);
    // with the other end far away on the same pipe both count
    let refused = apply(&project, &Edit::Remove(Item::Run(run.id))).unwrap_err().to_string();
    assert!(refused.contains(&project.bars[0].name), "{refused}");
}

/// By hand: a box of 60 at y 100, so its face is at 70, the bar's
/// side at 8: 62 apart; the engine comes 20 nearer.
#[test]
fn a_bar_keeps_clear_of_what_moves_with_another_body() {
    let mut project = bench_project();
    let engine = BodyId(project.fresh_id());
    let movement = Movement { shift_mm: DVec3::new(0.0, 20.0, 0.0), ..Movement::default() };
    project.bodies.push(Body { id: engine, name: "Engine".to_owned(), movement });
    let id = ObstacleId(project.fresh_id());
    project.obstacles.push(Obstacle {
        id,
        name: "Block".to_owned(),
        body: engine,
        shape: Shape::Box { size_mm: DVec3::splat(60.0) },
        pose: Pose::at(DVec3::new(150.0, 100.0, 0.0)),
        gap_mm: 5.0,
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    });
    put(&mut project, [DVec3::ZERO, DVec3::X * 300.0]);
    assert!(Report::new(&project).bar_gaps.is_empty(), "42 is further than what is listed");
    project.bars[0].gap_mm = 45.0;
    let report = Report::new(&project);
    let gap = &report.bar_gaps[0];
    assert_relative_eq!(gap.gap_mm, 42.0, epsilon = 0.1);
    assert!(!gap.ok);
    let told = finding(&report, "bar-too-close");
    assert!(told.text.contains("Engine") && told.text.contains("45"), "{}", told.text);
    assert_eq!(report.after(&project, &project, &Scans::default(), super::super::Effort::Thorough), report);
    // fixed to the engine at one end it goes with that
    project.bars[0].ends[1].body = engine;
    assert!(Report::new(&project).bar_gaps.is_empty());
}

/// Along X and then Y with a bend of 40: straights of 160 and 110, 40·π/2 between; a springback of a twentieth is 94.5°.
#[test]
fn a_bent_bar_is_fed_by_its_straights_and_bent_by_what_it_springs_back() {
    let (project, report) = with([DVec3::ZERO, DVec3::new(200.0, 150.0, 0.0)], |bar| {
        bar.corners.push(BarCorner { position_mm: DVec3::X * 200.0, clr_mm: 40.0 });
        bar.springback_share = 0.05;
        bar.spare_mm = 50.0;
        bar.wanted_mm = 5.0;
    });
    let bar = first(&report);
    let arc = 40.0 * std::f64::consts::FRAC_PI_2;
    assert_relative_eq!(bar.cut_mm, 160.0 + arc + 110.0, epsilon = 1e-9);
    assert_relative_eq!(bar.blank_mm, 320.0 + arc, epsilon = 1e-9);
    let bend = &bar.bends[0];
    assert_relative_eq!(bend.feed_mm, 160.0, epsilon = 1e-9);
    assert_relative_eq!(bend.set_angle_deg, 94.5, epsilon = 1e-9);
    assert_relative_eq!(bend.die_clr_mm, 40.0 / 1.05, epsilon = 1e-9);
    assert_eq!(bend.roll_deg, None);
    assert_relative_eq!(bar.last_straight_mm, 110.0, epsilon = 1e-9);
    assert_eq!(finding(&report, "bar-straight-only").severity, Severity::Note);
    let mut tight = project;
    tight.bars[0].corners[0].clr_mm = 160.0;
    assert_eq!(finding(&Report::new(&tight), "bar-end-in-bend").severity, Severity::Stop);
    assert!(!Report::new(&tight).bars[0].built.solids.is_empty(), "it can still be seen");
}

/// A bar of three bends in space, coped onto a pipe at its start: fed, rolled and bent by the rows alone, with turns as
/// matrices of their own, it ends where its last point is.
#[test]
fn a_bent_bar_laid_from_its_rows_ends_at_its_point() {
    let corners = [[150.0, 0.0, 80.0], [260.0, 150.0, 40.0], [420.0, 90.0, 160.0]].map(DVec3::from_array);
    let ends = [DVec3::new(0.0, -20.0, 0.0), DVec3::new(500.0, 260.0, 200.0)];
    let (project, report) = with(ends, |bar| {
        bar.corners = corners.map(|position_mm| BarCorner { position_mm, clr_mm: 45.0 }).to_vec();
        bar.ends[1].make = BarEndMake::Tab(Tab { hole_to_bar_mm: 18.0, width_mm: 30.0, thick_mm: 6.0 });
        bar.ends[0].make = BarEndMake::Plate { stand_off_mm: 4.0 };
    });
    let bar = first(&report);
    assert!(bar.buildable, "{:?}", report.findings);
    let x = unit(corners[0] - ends[0]).unwrap();
    let z = unit(x.cross(corners[1] - corners[0])).unwrap();
    // columns: along, towards the bend's centre, the bend's axis
    let mut way = DMat3::from_cols(x, z.cross(x), z);
    let mut here = ends[0] + x * 4.0;
    for bend in &bar.bends {
        way *= DMat3::from_rotation_x(bend.roll_deg.unwrap_or(0.0).to_radians());
        here += way.x_axis * bend.feed_mm + way.y_axis * bend.clr_mm;
        way *= DMat3::from_rotation_z(bend.angle_deg.to_radians());
        here -= way.y_axis * bend.clr_mm;
    }
    here += way.x_axis * (bar.last_straight_mm + 18.0);
    assert!(here.distance(project.bars[0].ends[1].position_mm) < 1e-6, "{here}");
}

/// Saw cuts of 3 mm: three of 320 and two cuts between make 966 of a stick of 1000, with the cut behind the last 969;
/// a fourth needs a second stick. One of 1100 fits none.
#[test]
fn bars_of_one_stock_share_sticks() {
    let mut project = bench_project();
    project.settings.saw.kerf_mm = 3.0;
    project.settings.saw.grip_mm = 0.0;
    project.settings.saw.first_trim_mm = 0.0;
    for i in 0..4 {
        let y = f64::from(i) * 100.0;
        put(&mut project, [DVec3::new(0.0, y, 0.0), DVec3::new(320.0, y, 0.0)]);
    }
    let report = Report::new(&project);
    assert_eq!((report.bar_stock.len(), report.totals.bar_sticks_to_buy), (1, 2));
    assert!(report.bar_stock[0].proved_optimal);
    let marks: Vec<&str> =
        report.bar_stock[0].sticks.iter().flat_map(|s| s.cuts.iter().map(|c| c.mark.as_str())).collect();
    assert_eq!(marks.len(), 4);
    assert!(marks.contains(&"BAR3"));
    project.bars[2].ends[1].position_mm.x = 1100.0;
    let report = Report::new(&project);
    let told = finding(&report, "bar-longer-than-stick");
    assert!(told.text.contains("1100.0 mm") && told.text.contains("1000.0 mm"), "{}", told.text);
    assert!(!super::bar_can_be_made(&report.findings, &report.bars[2]));
    assert!(super::bar_can_be_made(&report.findings, &report.bars[0]));
}

/// Everything a bar can have goes through a file and comes back.
#[test]
fn a_bar_is_saved_and_read_back_as_it_was() {
    let (mut project, _) = with([DVec3::ZERO, DVec3::X * 400.0], |bar| {
        bar.ends[0].make = rod(true);
        bar.ends[0].clock_deg = 30.0;
        let pin = Pin { dia_mm: 10.0, to_groove_mm: 31.0, groove_mm: 1.2, tail_mm: 3.0 };
        bar.ends[0].pin = Some(PinThrough { pin, hole_mm: 10.2, over_cheeks_mm: 25.0, washers_mm: 5.0 });
        let pad = Pad { thick_mm: 3.0, gap_mm: 1.0, angle_deg: 120.0, lips_mm: [10.0, 0.0], width_mm: None };
        let onto = Onto::Tube { through_mm: DVec3::X * 400.0, along: DVec3::Y, od_mm: 50.0 };
        bar.ends[1].make = BarEndMake::Cope { onto, pad: Some(pad) };
        bar.corners.push(BarCorner { position_mm: DVec3::new(200.0, 0.0, 50.0), clr_mm: 60.0 });
        let size = Sleeve { od_mm: 22.0, wall_mm: 2.8 };
        bar.sleeve = Some(BarSleeve { size, length_mm: 40.0, station_mm: 20.0 });
        bar.sawn_mm = Some(300.0);
    });
    let text = crate::file::to_text(&project).unwrap();
    let back = crate::file::from_text(&text, std::path::Path::new("bench.ron")).unwrap();
    assert_eq!(back.bars, project.bars);
    project.bars[0].sleeve.as_mut().unwrap().size.wall_mm = 11.0;
    let text = crate::file::to_text(&project).unwrap();
    let refused = crate::file::from_text(&text, std::path::Path::new("bench.ron")).unwrap_err().to_string();
    assert!(refused.contains("The wall of the sleeve of"), "{refused}");
}

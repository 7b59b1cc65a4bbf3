use super::*;
use crate::edit::new_item;
use crate::fab::build;
use crate::model::{BendMake, ElbowId, Ends, Part, Project, RunId};
use crate::report::Report;
use crate::testing::{run_through, set_makes};
use glam::DVec3;

#[test]
fn a_hole_is_marked_along_the_line_at_its_clock() {
    let points = [DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)];
    let r = 63.5 / 2.0;
    let (project, mut run) = run_through(&points);
    set_makes(&mut run, BendMake::mitred(95.25, 2, Ends::Half));
    let built = build(&project, &run);
    // the last piece begins with a cut of 22.5° whose heel is at 90°, on the outside of the bend to the left
    let last = built.pieces.last().unwrap();
    let (at, half) = (200.0, r * 22.5_f64.to_radians().tan());
    for (clock_deg, more) in [(90.0_f64, half), (270.0, -half), (0.0, 0.0)] {
        let found = from_edge_mm(last, at, clock_deg.to_radians());
        assert!((found - (at + more)).abs() < 1e-9, "{clock_deg}: {found}");
    }
    set_makes(&mut run, BendMake::Elbow { elbow: ElbowId(11) });
    let built = build(&project, &run);
    let elbow = built.pieces.iter().find(|p| p.bend.is_some()).unwrap();
    let crate::fab::PieceKind::Elbow(cut) = elbow.kind else { panic!("no elbow") };
    // half way round, on the outside: the lead, then an eighth of a turn at R + r
    let along = cut.lead_mm + 95.25 * std::f64::consts::FRAC_PI_4;
    let found = from_edge_mm(elbow, along, 90.0_f64.to_radians());
    let outside = cut.lead_mm + (95.25 + r) * std::f64::consts::FRAC_PI_4;
    assert!((found - outside).abs() < 1e-9, "{found} {outside}");
}

/// Forward, then left, with a bung at a station of a leg, 12 o'clock.
fn with_bung(make: BendMake, leg: usize, station_mm: f64) -> (Project, RunId) {
    let (mut project, mut run) = run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)]);
    set_makes(&mut run, make);
    let part = new_item::part(&mut project, &run, new_item::part_kinds().swap_remove(0));
    run.parts.push(Part { leg, station_mm, clock_deg: 0.0, ..part });
    let id = run.id;
    project.runs = vec![run];
    (project, id)
}

#[test]
fn a_bung_and_its_hole_are_marked_at_the_same_place_also_where_the_piece_is_trimmed() {
    let mut trimmed = 0;
    for (leg, fit) in [(0, 1), (1, 1), (0, 4), (1, 4_usize)] {
        let (mut project, id) = with_bung(BendMake::mitred(95.25, 4, Ends::Half), leg, 150.0);
        let welds = build(&project, &project.runs[0]).welds;
        project.runs[0].fit_weld = welds[fit - 1].key;
        (project.settings.allowances.trim_mm, project.settings.allowances.weld_gap_mm) = (6.0, 4.0);
        let report = Report::new(&project);
        let run = report.run(id).unwrap();
        let (part, hole) = (&run.parts[0], &run.holes[0]);
        assert_eq!(part.printed_at_mm.to_bits(), hole.printed_at_mm.to_bits());
        assert_eq!((part.mark_at_mm.to_bits(), part.from_end), (hole.from_edge_mm.to_bits(), hole.from_end));
        // from the edge of the sawn piece, whatever of it is trimmed at that edge
        let fit = run.fit.as_ref().unwrap();
        let first = if fit.piece == part.piece && fit.at.name() == "start" { 6.0 } else { 0.0 };
        trimmed += usize::from(first > 0.0);
        // at a mitred weld half the gap is taken off each piece, along its axis: gap/(2·cos 11.25°); the first piece begins
        // at a face that is not welded
        let at_start = if leg == 0 { 0.0 } else { 2.0 / 11.25_f64.to_radians().cos() };
        let off = hole.printed_at_mm - (hole.from_edge_mm + first - at_start);
        // the tape's step of 0.5, and what rounding the piece moves its middle by
        assert!(off.abs() <= 0.25 + 0.25 + 1e-9, "leg {leg}, fitted at {fit:?}: {off}");
    }
    assert!(trimmed > 0, "one is trimmed at its start");
}

#[test]
fn on_the_far_leg_of_an_elbow_the_tape_starts_at_its_end() {
    let elbow = BendMake::Elbow { elbow: ElbowId(11) };
    let (mut project, id) = with_bung(elbow, 1, 30.0);
    project.elbows[0].leg_mm = 100.0;
    let report = Report::new(&project);
    let hole = &report.run(id).unwrap().holes[0];
    // the leg is 100 long and the station counts from where it begins
    assert!(hole.from_end);
    assert!((hole.from_edge_mm - 70.0).abs() < 1e-6, "{}", hole.from_edge_mm);
    assert!((hole.printed_at_mm - 70.0).abs() < 1e-6, "{}", hole.printed_at_mm);
}

//! Bends of slices that a shop cuts in batches, by their saw angle and by their throat, worked by hand.
//!
//! OD 76.2 (r 38.1), R 114.3 where nothing else is said, legs of 300; tan 7.5° 0.1316525, tan 1° 0.0174551.

use super::checker::faults;
use approx::assert_relative_eq;
use glam::DVec3;
use pipeloft_core::model::{BendMake, Ends, Project, ReadySlice};
use pipeloft_core::report::{PieceReport, Report};
use pipeloft_tests::shop::{run_through, shop};
use serde_json::Value;

/// A bend of slices cut at `saw_deg`, by its radius or by the throat of a whole slice.
fn batch(saw_deg: f64, ends: Ends, throat_mm: Option<f64>) -> BendMake {
    BendMake::Mitred { clr_mm: 114.3, welds: 1, ends, throat_mm, saw_deg: Some(saw_deg) }
}

/// A project with a run of one bend, `leg_mm` to the vertex and on.
fn one_bend(deg: f64, leg_mm: f64, make: BendMake) -> Project {
    let mut project = shop(76.2, 1.65);
    let way = DVec3::new(deg.to_radians().cos(), deg.to_radians().sin(), 0.0);
    let corner = DVec3::X * leg_mm;
    run_through(&mut project, &[DVec3::ZERO, corner, corner + way * leg_mm], make);
    project
}

/// Mark, tilt of start and end in degrees, centreline, long and short side.
type Want = (&'static str, [f64; 2], [f64; 3]);

fn assert_pieces(pieces: &[PieceReport], want: &[Want]) {
    assert_eq!(pieces.len(), want.len());
    for (p, (mark, cuts, [centre, long, short])) in pieces.iter().zip(want) {
        assert_eq!(p.mark, *mark);
        for (what, got, want, within) in [
            ("start cut", p.start_cut_deg, cuts[0], 1e-9),
            ("end cut", p.end_cut_deg, cuts[1], 1e-9),
            ("centreline", p.centre_mm, *centre, 1e-4),
            ("long side", p.long_mm, *long, 1e-4),
            ("short side", p.short_mm, *short, 1e-4),
        ] {
            assert!((got - want).abs() <= within, "{what} of {mark}: {got}, not {want}");
        }
    }
}

/// What is wrong with where the first run ends when an outside checker lays its pieces.
fn end_faults(report: &Report) -> Vec<String> {
    let json: Value = serde_json::from_str(&report.to_json().expect("text")).expect("JSON");
    faults(&json["runs"][0]).into_iter().filter(|f| f.starts_with("end ")).collect()
}

/// 90° are six turns of 15°: six welds, five slices, nothing left.
///
/// Slice 2·114.3·0.1316525 = 30.0958; heel 2·152.4·0.1316525 = 40.1277; throat 2·76.2·0.1316525 = 20.0638.
/// Ends: 300 − 114.3 + 114.3·0.1316525 = 200.7479, one cut: ± 38.1·0.1316525 = 5.0160.
#[test]
fn ninety_degrees_of_slices_at_seven_and_a_half_are_six_welds() {
    let report = Report::new(&one_bend(90.0, 300.0, batch(7.5, Ends::Half, None)));
    let run = &report.runs[0];
    assert_eq!((run.bends[0].welds, run.bends[0].slices, run.welds.len()), (Some(6), Some(5), 6));
    let slice = |mark| (mark, [7.5, 7.5], [30.0958, 40.1277, 20.0638]);
    assert_pieces(
        &run.pieces,
        &[
            ("A1", [0.0, 7.5], [200.7479, 205.7638, 195.7319]),
            slice("A2"),
            slice("A3"),
            slice("A4"),
            slice("A5"),
            slice("A6"),
            ("A7", [7.5, 0.0], [200.7479, 205.7638, 195.7319]),
        ],
    );
    assert!(report.findings.iter().all(|f| f.code != "odd-slice"), "{:?}", report.findings);
    assert_eq!(end_faults(&report), Vec::<String>::new());
}

/// 47° are three turns of 15° and 2° over: the fourth weld is cut at 1°, and the slice before it has two cuts.
///
/// Setback 114.3·tan 23.5° = 49.6991. A1 300 − 49.6991 + 15.0479 = 265.3488 ± 5.0160. Two slices as above. Odd slice
/// 114.3·(0.1316525 + 0.0174551) = 17.0430 ± 38.1·0.1491076 = 5.6810.
/// A5 300 − 49.6991 + 114.3·0.0174551 = 252.2961 ± 38.1·0.0174551 = 0.6650.
#[test]
fn what_a_batch_leaves_of_a_bend_is_turned_at_one_odd_weld() {
    let report = Report::new(&one_bend(47.0, 300.0, batch(7.5, Ends::Half, None)));
    let run = &report.runs[0];
    assert_eq!((run.bends[0].welds, run.bends[0].slices), (Some(4), Some(3)));
    assert_pieces(
        &run.pieces,
        &[
            ("A1", [0.0, 7.5], [265.3488, 270.3648, 260.3329]),
            ("A2", [7.5, 7.5], [30.0958, 40.1277, 20.0638]),
            ("A3", [7.5, 7.5], [30.0958, 40.1277, 20.0638]),
            ("A4", [7.5, 1.0], [17.0430, 22.7240, 11.3620]),
            ("A5", [1.0, 0.0], [252.2961, 252.9611, 251.6310]),
        ],
    );
    let odd = report.findings.iter().find(|f| f.code == "odd-slice").expect("it is said");
    for said in ["turns 47.0°", "cut at 7.5°", "leave 2° over", "one weld of it is cut at 1°", "turns 45°"]
    {
        assert!(odd.text.contains(said), "{said}: {}", odd.text);
    }
    assert_eq!(end_faults(&report), Vec::<String>::new());
}

/// The throat of a whole slice runs at R − r from the bend centre: t = 2(R − r)·tan α with half ends, so
/// R = r + t/(2·tan α) (common practice, no source; derived here). 20 at 7.5°: 38.1 + 20/0.2633050 = 114.0575;
/// 25 in four welds, 11.25°: 38.1 + 25/0.3978247 = 100.9417.
/// Full ends: t = 2R·sin α − OD·tan α, so R = (t + OD·tan α)/(2·sin α): (20 + 10.0319)/0.2610524 = 115.0417.
#[test]
fn the_radius_follows_from_the_throat_that_is_wanted() {
    let in_four =
        BendMake::Mitred { clr_mm: 60.0, welds: 4, ends: Ends::Half, throat_mm: Some(25.0), saw_deg: None };
    for (make, clr_mm, throat_mm) in [
        (batch(7.5, Ends::Half, Some(20.0)), 114.0575, 20.0),
        (in_four, 100.9417, 25.0),
        (batch(7.5, Ends::Full, Some(20.0)), 115.0417, 20.0),
    ] {
        let report = Report::new(&one_bend(90.0, 300.0, make));
        let bend = &report.runs[0].bends[0];
        assert_relative_eq!(bend.clr_mm, clr_mm, epsilon = 1e-4);
        assert_relative_eq!(bend.throat_mm.expect("a throat"), throat_mm, epsilon = 1e-9);
        let slices = report.runs[0].pieces.iter().filter(|p| p.kind.name() == "slice");
        assert!(slices.map(|p| (p.short_mm - throat_mm).abs()).all(|off| off < 1e-9));
        assert_eq!(end_faults(&report), Vec::<String>::new());
    }
}

/// 90° are six slices of 15° on square-cut tube, seven welds: 2·114.3·sin 7.5° = 29.8383 ± 76.2·0.1316525 = 10.0319.
#[test]
fn full_ends_take_whole_slices_of_a_batch_only() {
    let report = Report::new(&one_bend(90.0, 300.0, batch(7.5, Ends::Full, None)));
    let run = &report.runs[0];
    assert_eq!((run.bends[0].welds, run.bends[0].slices, run.pieces.len()), (Some(7), Some(6), 8));
    for slice in &run.pieces[1..7] {
        for (got, want) in [(slice.centre_mm, 29.8383), (slice.long_mm, 39.8702), (slice.short_mm, 19.8064)] {
            assert_relative_eq!(got, want, epsilon = 1e-4);
        }
    }
    assert_eq!((run.pieces[0].end_cut_deg, run.pieces[7].start_cut_deg), (0.0, 0.0));
    assert_eq!(end_faults(&report), Vec::<String>::new());
}

/// 47° lie nearest to three slices, 45°; 55° to four, 60°; 5° to one, 15°.
#[test]
fn full_ends_of_another_angle_are_refused_with_the_nearest_that_can_be_made() {
    for (deg, nearest) in [(47.0, "45°"), (55.0, "60°"), (5.0, "15°"), (91.0, "90°")] {
        let report = Report::new(&one_bend(deg, 400.0, batch(7.5, Ends::Full, None)));
        let finding = report.findings.iter().find(|f| f.code == "not-multiple").expect("it is refused");
        assert_eq!(finding.severity, pipeloft_core::finding::Severity::Stop);
        let said = format!(
            "Bend 1 turns {deg:.1}°, which slices cut at 7.5° cannot make with full ends: move the waypoint so that it turns {nearest},"
        );
        assert!(finding.text.starts_with(&said), "{}", finding.text);
        assert!(report.runs[0].pieces.is_empty());
    }
}

/// Five slices are wanted in each of two runs, and seven lie ready: five go into the first, two into the second.
#[test]
fn ready_slices_are_used_up_before_new_ones_are_sawn() {
    let make = batch(7.5, Ends::Half, Some(20.0));
    let mut project = one_bend(90.0, 300.0, make);
    let up = DVec3::Z * 500.0;
    run_through(&mut project, &[up, up + DVec3::X * 300.0, up + DVec3::new(300.0, 300.0, 0.0)], make);
    project.tubes[0].slices = vec![
        ReadySlice { saw_deg: 7.5, throat_mm: 20.0, count: 7 },
        // of another angle, and of another size
        ReadySlice { saw_deg: 9.0, throat_mm: 20.0, count: 9 },
        ReadySlice { saw_deg: 7.5, throat_mm: 22.0, count: 9 },
    ];
    let report = Report::new(&project);
    let sources = |run: usize| -> Vec<&str> {
        report.runs[run]
            .printed
            .iter()
            .filter(|p| p.kind.name() == "slice")
            .map(|p| p.source.name())
            .collect()
    };
    assert_eq!(sources(0), ["ready"; 5]);
    assert_eq!(sources(1), ["ready", "ready", "stick", "stick", "stick"]);
    let on_sticks: Vec<&str> =
        report.stock.iter().flat_map(|s| &s.sticks).flat_map(|s| &s.cuts).map(|c| c.mark.as_str()).collect();
    let mut wanted: Vec<&str> = report
        .runs
        .iter()
        .flat_map(|r| &r.printed)
        .filter(|p| p.source.name() == "stick")
        .map(|p| p.mark.as_str())
        .collect();
    let mut found = on_sticks.clone();
    wanted.sort_unstable();
    found.sort_unstable();
    assert_eq!(found, wanted);
    assert_eq!(end_faults(&report), Vec::<String>::new());
}

#[test]
fn bends_of_any_angle_made_of_any_batch_end_where_they_should() {
    let mut checked = 0;
    for saw_deg in [2.5, 5.0, 7.5, 11.25, 15.0] {
        for i in 0..45 {
            let deg = 6.0 + 3.7 * f64::from(i);
            let mut project = one_bend(
                deg,
                300.0 + 115.0 * (deg / 2.0).to_radians().tan(),
                batch(saw_deg, Ends::Half, None),
            );
            project.settings.shortest_throat_mm = 0.0;
            let report = Report::new(&project);
            let run = &report.runs[0];
            assert!(!run.pieces.is_empty(), "{deg}° at {saw_deg}°: {:?}", report.findings);
            assert_eq!(end_faults(&report), Vec::<String>::new(), "{deg}° at {saw_deg}°");
            // every weld but one turns by twice the saw angle
            let turns: Vec<f64> =
                run.pieces.windows(2).map(|p| p[0].end_cut_deg + p[1].start_cut_deg).collect();
            let odd = turns.iter().filter(|t| (**t - 2.0 * saw_deg).abs() > 1e-6).count();
            assert!(odd <= 1, "{deg}° at {saw_deg}°: {turns:?}");
            assert_relative_eq!(turns.iter().sum::<f64>(), deg, epsilon = 1e-6);
            checked += 1;
        }
    }
    assert_eq!(checked, 225);
}

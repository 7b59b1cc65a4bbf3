//! Runs worked by hand, every piece and weld of them. The sums stand in the comments.

use approx::assert_relative_eq;
use glam::DVec3;
use pipeloft_core::model::Project;
use pipeloft_core::report::{PieceReport, Report, RunReport};
use pipeloft_tests::shop::{full, half, run_through, shop};

/// Mark, kind, centreline, long side, short side.
type Want = (&'static str, &'static str, f64, f64, f64);

fn assert_pieces(run: &RunReport, want: &[Want]) {
    let brief = |p: &PieceReport| format!("{} {} {:.4}", p.mark, p.kind, p.centre_mm);
    assert_eq!(run.pieces.len(), want.len(), "{:?}", run.pieces.iter().map(brief).collect::<Vec<_>>());
    for (p, (mark, kind, centre, long, short)) in run.pieces.iter().zip(want) {
        assert_eq!((p.mark.as_str(), p.kind.name()), (*mark, *kind));
        for (what, got, want) in
            [("centreline", p.centre_mm, *centre), ("long", p.long_mm, *long), ("short", p.short_mm, *short)]
        {
            assert!((got - want).abs() <= 1.01e-4, "{what} of {mark}: {got}, not {want}");
        }
    }
}

fn drawn(od_mm: f64, wall_mm: f64, points: &[[f64; 3]], make: pipeloft_core::model::BendMake) -> Project {
    let mut project = shop(od_mm, wall_mm);
    let points: Vec<DVec3> = points.iter().copied().map(DVec3::from).collect();
    run_through(&mut project, &points, make);
    project
}

/// OD 63.5, R 95.25, two bends of 45° in two welds, to the left and back to the right.
///
/// Saw 45/4 = 11.25°, tan 0.1989124. Setback 95.25·tan 22.5° = 39.4538; end of a bend 95.25·0.1989124 = 18.9464;
/// slice 37.8928; bevel 31.75·0.1989124 = 6.3155 a cut.
/// A1 300 − 39.4538 + 18.9464 = 279.4926, one cut: ± 6.3155.
/// A2 37.8928, two cuts: ± 12.6309.
/// A3 250 − 78.9077 + 37.8928 = 208.9851; its cuts lie opposite each other, so all its sides are alike.
/// A4 as A2. A5 280 − 39.4538 + 18.9464 = 259.4926, one cut.
/// Four welds of 201.4500 (241.740004·63.5/76.2): 805.8000.
#[test]
fn an_s_of_two_forty_fives_comes_out_as_worked_by_hand() {
    let k = 250.0 * 0.5_f64.sqrt();
    let points = [[0.0; 3], [300.0, 0.0, 0.0], [300.0 + k, k, 0.0], [580.0 + k, k, 0.0]];
    let report = Report::new(&drawn(63.5, 1.5, &points, half(95.25, 2)));
    let run = &report.runs[0];
    assert_pieces(
        run,
        &[
            ("A1", "straight", 279.4926, 285.8080, 273.1771),
            ("A2", "slice", 37.8928, 50.5237, 25.2619),
            ("A3", "straight", 208.9851, 208.9851, 208.9851),
            ("A4", "slice", 37.8928, 50.5237, 25.2619),
            ("A5", "straight", 259.4926, 265.8080, 253.1771),
        ],
    );
    assert_relative_eq!(run.bends[1].roll_deg.unwrap(), 180.0, epsilon = 1e-9);
    assert_relative_eq!(run.pieces[2].twist_deg.unwrap(), 180.0, epsilon = 1e-9);
    assert_eq!(run.pieces[1].twist_deg.map(f64::round), Some(0.0));
    assert_eq!(run.welds.iter().map(|w| w.mark.as_str()).collect::<Vec<_>>(), ["AW1", "AW2", "AW3", "AW4"]);
    assert_relative_eq!(run.weld_length_mm, 805.8000, epsilon = 1e-4);
    // looking along +X the left turn has its inside at 9 o'clock, so its heel is at 3: a quarter round, 49.8728;
    // the right turn the other way about, 149.6184
    for (weld, clock, arc) in
        [(0, 90.0, 49.8728), (1, 90.0, 49.8728), (2, -90.0, 149.6184), (3, -90.0, 149.6184)]
    {
        assert_relative_eq!(run.welds[weld].heel_clock_deg.unwrap(), clock, epsilon = 1e-9);
        assert_relative_eq!(run.welds[weld].arc_mm.unwrap(), arc, epsilon = 1e-4);
    }
    // 279.4926 + 37.8928 + 208.9851 + 37.8928 + 259.4926
    assert_relative_eq!(run.centreline_mm, 823.7559, epsilon = 2e-4);
    assert_relative_eq!(run.end.position_mm, DVec3::new(580.0 + k, k, 0.0), epsilon = 1e-9);
    assert_relative_eq!(run.end.direction, DVec3::X, epsilon = 1e-12);
}

/// OD 50.8, R 76.2, two bends of 90° in three welds, both to the left: a U.
///
/// Saw 15°, tan 0.2679492. Setback 76.2; end 20.4177; slice 40.8355; bevel 25.4·0.2679492 = 6.8059 a cut.
/// A1 250 − 76.2 + 20.4177 = 194.2177 ± 6.8059. Slices 40.8355 ± 13.6118.
/// A4 250 − 152.4 + 40.8355 = 138.4355; its cuts lie on one side: ± 13.6118.
/// Six welds of 162.4200 (243.630028·50.8/76.2): 974.5201.
#[test]
fn a_u_of_two_ninetys_comes_out_as_worked_by_hand() {
    let points = [[0.0; 3], [250.0, 0.0, 0.0], [250.0, 250.0, 0.0], [0.0, 250.0, 0.0]];
    let report = Report::new(&drawn(50.8, 1.2, &points, half(76.2, 3)));
    let run = &report.runs[0];
    let slice = |mark| (mark, "slice", 40.8355, 54.4473, 27.2236);
    assert_pieces(
        run,
        &[
            ("A1", "straight", 194.2177, 201.0236, 187.4118),
            slice("A2"),
            slice("A3"),
            ("A4", "straight", 138.4355, 152.0473, 124.8236),
            slice("A5"),
            slice("A6"),
            ("A7", "straight", 194.2177, 201.0236, 187.4118),
        ],
    );
    assert_relative_eq!(run.bends[1].roll_deg.unwrap(), 0.0, epsilon = 1e-9);
    assert_relative_eq!(run.pieces[3].twist_deg.unwrap(), 0.0, epsilon = 1e-9);
    assert_relative_eq!(run.weld_length_mm, 974.5201, epsilon = 1e-4);
    assert_relative_eq!(run.end.direction, -DVec3::X, epsilon = 1e-12);
    // the heel stays on the one side all the way round the U
    assert!(run.welds.iter().all(|w| (w.heel_clock_deg.unwrap() - 90.0).abs() < 1e-9));
}

/// OD 76.2, R 114.3, one bend of 90° of five whole slices on square-cut tube.
///
/// Saw 90/10 = 9°, sin 0.1564345, tan 0.1583844. Slice 228.6·0.1564345 = 35.7609; bevel 76.2·0.1583844 = 12.0689:
/// heel 47.8298, throat 23.6920. Straights 400 − 114.3 = 285.7, square at both ends.
/// Six welds round the ellipse of half axes 38.1/cos 9° and 38.1, 240.8837 each (computed with mpmath): 1445.3021.
#[test]
fn whole_slices_on_square_tube_come_out_as_worked_by_hand() {
    let points = [[0.0; 3], [400.0, 0.0, 0.0], [400.0, 0.0, 400.0]];
    let report = Report::new(&drawn(76.2, 1.65, &points, full(114.3, 6)));
    let run = &report.runs[0];
    let slice = |mark| (mark, "slice", 35.7609, 47.8298, 23.6920);
    assert_pieces(
        run,
        &[
            ("A1", "straight", 285.7, 285.7, 285.7),
            slice("A2"),
            slice("A3"),
            slice("A4"),
            slice("A5"),
            slice("A6"),
            ("A7", "straight", 285.7, 285.7, 285.7),
        ],
    );
    let kinds: Vec<_> = run.welds.iter().map(|w| w.kind.name()).collect();
    assert_eq!(kinds, ["mitre on square", "mitre", "mitre", "mitre", "mitre", "mitre on square"]);
    assert_relative_eq!(run.weld_length_mm, 1445.3021, epsilon = 1e-4);
    // the bend goes up, so its heel is at 6 o'clock: half round, 119.6947
    assert_relative_eq!(run.welds[0].arc_mm.unwrap(), 119.6947, epsilon = 1e-4);
    assert_relative_eq!(run.end.position_mm, DVec3::new(400.0, 0.0, 400.0), epsilon = 1e-9);
    assert_relative_eq!(run.end.direction, DVec3::Z, epsilon = 1e-12);
}

/// Two bends of 60°, R 95.25, OD 63.5, two welds each, with nothing straight between; the second goes up.
///
/// Saw 15°, setback 95.25·tan 30° = 54.9926, so the legs' middle is 109.9852 long. End 25.5222; slice 51.0443.
/// The tube between the bends is two ends and no straight: 51.0443 too, its cuts a quarter turn apart. Bevels
/// 31.75·0.2679492 = 8.5074 at right angles add up to 12.0313.
#[test]
fn bends_back_to_back_share_a_slice_turned_against_itself() {
    let m = 109.985_225_4;
    let way = DVec3::new(0.5, 0.75_f64.sqrt(), 0.0);
    let corner = DVec3::X * 300.0;
    let next = corner + way * m;
    let last = next + (way * 0.5 + DVec3::Z * 0.75_f64.sqrt()) * 300.0;
    let mut project = shop(63.5, 1.5);
    run_through(&mut project, &[DVec3::ZERO, corner, next, last], half(95.25, 2));
    let report = Report::new(&project);
    let run = &report.runs[0];
    let slice = |mark| (mark, "slice", 51.0443, 68.0591, 34.0295);
    assert_pieces(
        run,
        &[
            ("A1", "straight", 270.5296, 279.0370, 262.0222),
            slice("A2"),
            ("A3", "slice", 51.0443, 63.0756, 39.0130),
            slice("A4"),
            ("A5", "straight", 270.5296, 279.0370, 262.0222),
        ],
    );
    assert_relative_eq!(run.pieces[2].twist_deg.unwrap().abs(), 90.0, epsilon = 1e-6);
    assert_relative_eq!(run.end.position_mm, last, epsilon = 1e-6);
}

/// A straight run between two ports that face each other is one piece, square at both ends, and no weld.
#[test]
fn ports_that_face_each_other_take_one_square_piece() {
    let points = [[0.0; 3], [100.0, 0.0, 0.0], [412.5, 0.0, 0.0]];
    let report = Report::new(&drawn(63.5, 1.5, &points, half(95.25, 3)));
    let run = &report.runs[0];
    assert_pieces(run, &[("A1", "straight", 412.5, 412.5, 412.5)]);
    assert!(run.welds.is_empty() && run.bends.is_empty());
}

/// The bends need 190.5 of a leg of 150: what is wrong is said with the amount, and nothing is printed.
#[test]
fn bends_that_overlap_are_refused_with_the_amount() {
    let points = [[0.0; 3], [300.0, 0.0, 0.0], [300.0, 150.0, 0.0], [600.0, 150.0, 0.0]];
    let report = Report::new(&drawn(63.5, 1.5, &points, half(95.25, 3)));
    assert!(report.runs[0].pieces.is_empty() && report.runs[0].welds.is_empty());
    let finding = report.findings.iter().find(|f| f.code == "bends-overlap").unwrap();
    assert!(finding.text.contains("overlap by 40.5 mm on leg 2"), "{}", finding.text);
}

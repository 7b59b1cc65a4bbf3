//! Butt-weld elbows of a catalogue in a route.

use approx::assert_relative_eq;
use glam::DVec3;
use pipeloft_core::fab::elbow::{Room, cut_down};
use pipeloft_core::fab::trace;
use pipeloft_core::model::{BendMake, Project};
use pipeloft_core::report::Report;
use pipeloft_core::units::MM_PER_INCH;
use pipeloft_tests::shop::{ELBOW, run_through, shop};

/// NPS in inches; centre to end of the 90° and of the 45° long radius elbow, mm.
///
/// Source: ASME B16.9 sizes as printed in "Catalogue Elbow Butt Weld Fittings", scribd.com/document/727609779; the
/// standard itself was not opened.
const LONG_RADIUS: [(f64, f64, f64); 14] = [
    (0.5, 38.1, 15.7),
    (0.75, 38.1, 19.1),
    (1.0, 38.1, 22.4),
    (1.25, 47.8, 25.4),
    (1.5, 57.2, 28.4),
    (2.0, 76.2, 35.1),
    (2.5, 95.2, 44.4),
    (3.0, 114.3, 50.8),
    (3.5, 133.4, 57.2),
    (4.0, 152.4, 63.5),
    (5.0, 190.5, 79.2),
    (6.0, 228.6, 95.2),
    (8.0, 304.8, 127.0),
    (12.0, 457.2, 190.5),
];

/// Radius in mm that the 45° elbow's centre to end implies, from the same table.
const RADIUS_OF_45: [(f64, f64); 14] = [
    (0.5, 37.9),
    (0.75, 46.11),
    (1.0, 54.08),
    (1.25, 61.32),
    (1.5, 68.56),
    (2.0, 84.74),
    (2.5, 107.19),
    (3.0, 122.64),
    (3.5, 138.09),
    (4.0, 153.3),
    (5.0, 191.21),
    (6.0, 229.83),
    (8.0, 306.61),
    (12.0, 459.91),
];

/// A run with one bend of `deg` from an elbow of the given radius, 1 m to the bend and on.
fn one_bend(od_mm: f64, clr_mm: f64, deg: f64) -> Project {
    let mut project = shop(od_mm, 1.5);
    project.elbows[0].clr_mm = clr_mm;
    project.elbows[0].angle_deg = deg;
    project.elbows[0].leg_mm = 0.0;
    let way = DVec3::new(deg.to_radians().cos(), deg.to_radians().sin(), 0.0);
    let corner = DVec3::X * 1000.0;
    run_through(
        &mut project,
        &[DVec3::ZERO, corner, corner + way * 1000.0],
        BendMake::Elbow { elbow: ELBOW },
    );
    project
}

/// Centre to end of the elbow as the route takes it, mm.
fn centre_to_end_mm(project: &Project) -> f64 {
    let route = trace(project, &project.runs[0]).expect("a route");
    assert!(route.problems.is_empty(), "{:?}", route.problems);
    1000.0 - route.legs[0].straight_mm()
}

#[test]
fn a_long_radius_ninety_takes_one_and_a_half_times_its_nominal_size_from_each_leg() {
    // the smallest two are 38.1 and no rule gives them
    for (nps, a_mm, _) in LONG_RADIUS.into_iter().filter(|row| row.0 >= 1.0) {
        let clr_mm = 1.5 * nps * MM_PER_INCH;
        let got = centre_to_end_mm(&one_bend(nps * MM_PER_INCH, clr_mm, 90.0));
        // the catalogue rounds, at NPS 1 1/4 by 0.175 mm
        assert!((got - a_mm).abs() <= 0.2, "NPS {nps}: {got}, not {a_mm}");
    }
}

#[test]
fn a_forty_five_entered_by_its_own_radius_has_the_catalogue_s_centre_to_end() {
    for ((nps, _, b_mm), (_, clr_mm)) in LONG_RADIUS.into_iter().zip(RADIUS_OF_45) {
        let got = centre_to_end_mm(&one_bend(nps * MM_PER_INCH, clr_mm, 45.0));
        assert!((got - b_mm).abs() <= 0.01, "NPS {nps}: {got}, not {b_mm}");
    }
}

/// Below NPS 4 the 45s of the table are not of the 90s' radius, so nothing derives one from the other.
#[test]
fn a_small_forty_five_is_not_half_a_ninety() {
    for (nps, a_mm, b_mm) in LONG_RADIUS.into_iter().filter(|row| (0.75..4.0).contains(&row.0)) {
        let derived = centre_to_end_mm(&one_bend(nps * MM_PER_INCH, a_mm, 45.0));
        assert!(b_mm - derived > 1.5, "NPS {nps}: {derived} against {b_mm}");
    }
    for (nps, a_mm, b_mm) in LONG_RADIUS.into_iter().filter(|row| row.0 >= 4.0) {
        let derived = centre_to_end_mm(&one_bend(nps * MM_PER_INCH, a_mm, 45.0));
        assert!((b_mm - derived).abs() <= 1.2, "NPS {nps}: {derived} against {b_mm}");
    }
}

/// Source: wermac.org/fittings/dim_elbows_c.html: 180° long radius returns, centre to centre O and back to face K.
#[test]
fn two_ninetys_back_to_back_make_the_catalogue_s_return() {
    for (od_mm, a_mm, o_mm, k_mm) in [(60.3, 76.2, 152.0, 106.0), (114.3, 152.4, 305.0, 210.0)] {
        let mut project = one_bend(od_mm, a_mm, 90.0);
        project.runs.clear();
        let points = [
            DVec3::ZERO,
            DVec3::X * 500.0,
            DVec3::new(500.0, 2.0 * a_mm, 0.0),
            DVec3::new(0.0, 2.0 * a_mm, 0.0),
        ];
        run_through(&mut project, &points, BendMake::Elbow { elbow: ELBOW });
        let report = Report::new(&project);
        let run = &report.runs[0];
        let kinds: Vec<_> = run.pieces.iter().map(|p| p.kind.name()).collect();
        assert_eq!(kinds, ["straight", "elbow", "elbow", "straight"]);
        assert!((run.end.position_mm.y - o_mm).abs() <= 0.5, "O {}", run.end.position_mm.y);
        // heel arc over its angle is the heel radius, which is back to face
        let k = run.pieces[1].long_mm / std::f64::consts::FRAC_PI_2;
        assert!((k - k_mm).abs() <= 0.5, "K {k}");
    }
}

/// Own vector: a 90° elbow R 95.25, OD 63.5, with 30 or 45° cut away. Source of the arcs: computed with mpmath.
#[test]
fn an_elbow_cut_down_is_marked_by_the_arcs_that_come_off() {
    for (removed, heel, throat) in [(30.0, 66.4970, 33.2485), (45.0, 99.7456, 49.8728)] {
        let mut project = shop(63.5, 1.5);
        let way = f64::to_radians(90.0 - removed);
        let corner = DVec3::X * 400.0;
        let on = corner + DVec3::new(way.cos(), way.sin(), 0.0) * 400.0;
        run_through(&mut project, &[DVec3::ZERO, corner, on], BendMake::Elbow { elbow: ELBOW });
        let report = Report::new(&project);
        let elbow = report.runs[0].pieces.iter().find_map(|p| p.bend).unwrap();
        assert_relative_eq!(elbow.removed_deg, removed, epsilon = 1e-9);
        assert_relative_eq!(elbow.removed_heel_mm, heel, epsilon = 5.1e-5);
        assert_relative_eq!(elbow.removed_throat_mm, throat, epsilon = 5.1e-5);
        assert!(elbow.cut_at.is_some());
    }
}

/// Source: computed with mpmath: 90° elbow 76.2 at CLR 114.3.
#[test]
fn a_whole_elbow_measures_its_tabled_arcs() {
    let mut project = shop(76.2, 1.65);
    project.elbows[0].leg_mm = 0.0;
    let corner = DVec3::X * 400.0;
    let points = [DVec3::ZERO, corner, corner + DVec3::Y * 400.0];
    run_through(&mut project, &points, BendMake::Elbow { elbow: ELBOW });
    let report = Report::new(&project);
    let elbow = report.runs[0].pieces.iter().find(|p| p.kind.name() == "elbow").unwrap();
    assert_relative_eq!(elbow.long_mm, 239.389_36, epsilon = 5e-6);
    assert_relative_eq!(elbow.short_mm, 119.694_68, epsilon = 5e-6);
    assert_relative_eq!(elbow.centre_mm, 179.542_02, epsilon = 5e-6);
    // cut on a radial plane its ends are circles: both welds are square butts
    assert!(report.runs[0].welds.iter().all(|w| w.kind.name() == "butt"));
    assert_relative_eq!(
        report.runs[0].weld_length_mm,
        2.0 * std::f64::consts::PI * 76.2,
        max_relative = 1e-12
    );
}

#[test]
fn an_elbow_too_small_for_its_bend_is_refused_not_stretched() {
    let mut project = one_bend(63.5, 95.25, 60.0);
    project.elbows[0].angle_deg = 45.0;
    let report = Report::new(&project);
    assert!(report.findings.iter().any(|f| f.code == "elbow-short"));
    assert!(report.runs[0].pieces.is_empty());
}

#[test]
fn the_legs_of_an_elbow_never_outgrow_the_room_they_have() {
    let stock = shop(63.5, 1.5).elbows[0].clone();
    for (before, after) in [(0.0, 0.0), (10.0, 200.0), (200.0, 10.0), (39.9, 40.1)] {
        for deg in [90.0, 60.0, 20.0] {
            let room = Room { before_mm: before, after_mm: after };
            let cut = cut_down(&stock, f64::to_radians(deg), 0.0, room);
            assert!(cut.lead_mm <= before.min(40.0) && cut.tail_mm <= after.min(40.0), "{cut:?}");
            assert_relative_eq!(
                cut.angle_rad + cut.removed_rad,
                std::f64::consts::FRAC_PI_2,
                epsilon = 1e-12
            );
        }
    }
}

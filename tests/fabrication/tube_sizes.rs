//! Sizes of tube and fittings as standards list them.

use glam::DVec3;
use pipeloft_core::fab::trace;
use pipeloft_core::model::{BendMake, Material, Project};
use pipeloft_core::report::Report;
use pipeloft_core::units::MM_PER_INCH;
use pipeloft_tests::shop::{COUPLER, ELBOW, half, run_through, shop};

/// Densities in g/cm³ of data sheets, and others that other sheets give.
///
/// Source: 304 btimetals.com; 321 tubingchina.com/321-321H-Physical-Property.htm, elsewhere 8.0 and 8.027; 409
/// thyssenkrupp-materials.co.uk/stainless-steel-409-14512.html, elsewhere 7.80 and 0.279 lb/in³ (7.72); titanium grade
/// 2 asm.matweb.com MTU021.
const DENSITIES: [(Material, f64, &[f64]); 4] = [
    (Material::Stainless304, 8.00, &[]),
    (Material::Stainless321, 7.92, &[8.0, 8.027]),
    (Material::Stainless409, 7.70, &[7.80, 7.72]),
    (Material::TitaniumGrade2, 4.51, &[]),
];

#[test]
fn metals_weigh_what_their_data_sheets_say() {
    for (material, density, elsewhere) in DENSITIES {
        let got = material.density_kg_m3() / 1000.0;
        assert!((got - density).abs() < 1e-9, "{}: {got}, not {density}", material.name());
        for other in elsewhere {
            assert!((got - other).abs() < 0.015 * other, "{}: {got} against {other}", material.name());
        }
    }
}

/// Centre to end of a short radius 90° elbow, mm, by NPS in inches.
///
/// Source: ASME B16.9 sizes at wermac.org/fittings/dim_elbows_b.html; the standard itself was not opened.
const SHORT_RADIUS: [(f64, f64); 3] = [(2.0, 51.0), (3.0, 76.0), (4.0, 102.0)];

/// NPS in inches, OD, centre to end of a long radius 90° (A), centre to centre (O) and back to face (K) of a long
/// radius 180° return, mm.
///
/// Source: O and K ASME B16.9 sizes at wermac.org/fittings/dim_elbows_c.html; A as in "Catalogue Elbow Butt Weld
/// Fittings", scribd.com/document/727609779; OD of ASME B36.10 pipe from memory.
const RETURNS: [(f64, f64, f64, f64, f64); 2] =
    [(2.0, 60.3, 76.2, 152.0, 106.0), (4.0, 114.3, 152.4, 305.0, 210.0)];

fn through(od_mm: f64, clr_mm: f64, points: &[DVec3]) -> Project {
    let mut project = shop(od_mm, 1.65);
    project.elbows[0].clr_mm = clr_mm;
    project.elbows[0].leg_mm = 0.0;
    run_through(&mut project, points, BendMake::Elbow { elbow: ELBOW });
    project
}

#[test]
fn a_short_radius_ninety_takes_its_nominal_size_from_each_leg() {
    for (nps, a_mm) in SHORT_RADIUS {
        let corner = DVec3::X * 600.0;
        let project =
            through(nps * MM_PER_INCH, nps * MM_PER_INCH, &[DVec3::ZERO, corner, corner + DVec3::Y * 600.0]);
        let route = trace(&project, &project.runs[0]).expect("a route");
        let got = 600.0 - route.legs[0].straight_mm();
        // the table is in whole millimetres
        assert!((got - a_mm).abs() <= 0.5, "NPS {nps}: {got}, not {a_mm}");
    }
}

/// Two long radius 90s face to face are a return: O apart, K from the faces to the back.
#[test]
fn two_long_radius_nineties_face_to_face_are_the_tabled_return() {
    for (nps, od_mm, a_mm, o_mm, k_mm) in RETURNS {
        let (far, wide) = (DVec3::X * 600.0, DVec3::Y * (2.0 * a_mm));
        let project = through(od_mm, a_mm, &[DVec3::ZERO, far, far + wide, wide]);
        let report = Report::new(&project);
        let run = &report.runs[0];
        assert!(!run.pieces.is_empty(), "{:?}", report.findings);
        assert!(run.legs[1].straight_mm.abs() < 1e-9, "nothing is left between the two");
        let (first, last) = (run.vertices_mm[0], run.end.position_mm);
        assert!((first.distance(last) - o_mm).abs() <= 0.5, "NPS {nps}: {} apart", first.distance(last));
        let back_mm = run.vertices_mm[1].x - run.legs[0].straight_mm + od_mm / 2.0;
        assert!((back_mm - k_mm).abs() <= 0.5, "NPS {nps}: {back_mm} to the back");
    }
}

/// Tube of EN 10312 series 2 and of inch sizes go onto each other: 76.1 and 76.2 are twins, 64 and 63.5 just so.
///
/// Source: sizes 54 x 1.5, 64 x 2, 76.1 x 2, 88.9 x 2, 108 x 2 of EN 10312 tables 1-2 at fsmwmetal.com; tolerance of
/// ASTM A269 tube of OD 38.1 to 88.9 mm ±0.25 mm at moonlighttubes.com/astm-standard, so two of one size may differ by
/// 0.5 mm.
#[test]
fn twins_in_millimetres_and_inches_fit_and_other_sizes_do_not() {
    let misfits = |tube_mm: f64, port_mm: f64| -> Vec<&str> {
        let mut project = shop(port_mm, 1.65);
        let corner = DVec3::X * 400.0;
        run_through(&mut project, &[DVec3::ZERO, corner, corner + DVec3::Y * 400.0], half(1.5 * tube_mm, 4));
        project.runs[0].fittings.push(pipeloft_core::model::Fitting {
            id: pipeloft_core::model::FittingId(900),
            joint: COUPLER,
            leg: 0,
            station_mm: 60.0,
            lobe_clock_deg: 0.0,
        });
        project.tubes[0].od_mm = tube_mm;
        let report = Report::new(&project);
        report.findings.iter().map(|f| f.code).filter(|c| c.ends_with("-size")).collect()
    };
    for (tube_mm, port_mm) in [(76.1, 76.2), (88.9, 88.9), (63.5, 64.0), (76.2 - 0.25, 76.2 + 0.25)] {
        assert_eq!(misfits(tube_mm, port_mm), Vec::<&str>::new(), "{tube_mm} on {port_mm}");
    }
    for (tube_mm, port_mm) in [(54.0, 50.8), (64.0, 76.1), (108.0, 101.6)] {
        let said = misfits(tube_mm, port_mm);
        assert!(
            said.contains(&"port-size") && said.contains(&"joint-size"),
            "{tube_mm} on {port_mm}: {said:?}"
        );
    }
}

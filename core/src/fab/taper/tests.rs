use super::*;
use crate::edit::handle::{Handle, place};
use crate::edit::reshape::{inserted, moved, without};
use crate::fab::{Built, build};
use crate::geom::vector::unit;
use crate::model::{
    BendMake, Ends, Material, Project, Run, Taper, TaperId, TaperMake, Tube, TubeId, Vertex, Waypoint,
    WaypointId,
};
use crate::report::Report;
use crate::testing::run_through;
use approx::assert_relative_eq;
use glam::DVec3;
use proptest::prelude::*;
use std::f64::consts::PI;

/// Legs of 500 mm round corners in space; and a wider tube with the number 20.
fn sample() -> (Project, Run) {
    let (mut project, run) = run_through(&[
        DVec3::ZERO,
        DVec3::X * 500.0,
        DVec3::new(500.0, 500.0, 0.0),
        DVec3::new(500.0, 800.0, 400.0),
        DVec3::new(1000.0, 800.0, 400.0),
    ]);
    let tube = project.tubes[0].clone();
    project.tubes.push(Tube { id: TubeId(20), od_mm: 76.2, ..tube });
    (project, run)
}

fn taper(leg: usize, station_mm: f64) -> Taper {
    Taper {
        id: TaperId(900 + leg as u32),
        leg,
        station_mm,
        length_mm: 80.0,
        tube: TubeId(20),
        wall_mm: 1.65,
        offset_mm: 0.0,
        offset_clock_deg: 0.0,
        make: TaperMake::Bought,
    }
}

fn works(project: &Project, run: &Run) -> Built {
    let built = build(project, run);
    assert!(built.is_buildable(), "{:?}", built.problems);
    built
}

/// Laid piece by piece it ends at the hardpoint, square on its axis.
fn assert_closes(project: &Project, run: &Run) {
    let built = works(project, run);
    let crate::model::RunEnd::Hardpoint { hardpoint, .. } = run.end else { panic!("it ends at one") };
    let port = project.hardpoint(hardpoint).unwrap();
    let end = built.end().unwrap();
    assert_relative_eq!(end.origin, port.position_mm, epsilon = 1e-6);
    assert_relative_eq!(end.travel, -unit(port.direction).unwrap(), epsilon = 1e-9);
    // and begins at the other, along its axis
    let first = built.frames[0].0;
    let start = project.hardpoint(run.start).unwrap();
    assert_relative_eq!(first.origin, start.position_mm, epsilon = 1e-9);
    assert_relative_eq!(first.travel, unit(start.direction).unwrap(), epsilon = 1e-9);
}

fn codes(built: &Built) -> Vec<&'static str> {
    built.problems.iter().map(|(p, ..)| p.code()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn with_tapers_anywhere_the_pieces_still_meet_the_end(
        legs in (0_usize..4, 0_usize..4),
        offsets in (-25.0..25.0_f64, -25.0..25.0_f64),
        clocks in (-180.0..180.0_f64, -180.0..180.0_f64),
        bends in 1_u32..5,
        clock in (-1.0..1.0_f64, -1.0..1.0_f64, -1.0..1.0_f64),
    ) {
        let (mut project, mut run) = sample();
        project.hardpoints[0].clock = DVec3::from(clock);
        crate::testing::set_makes(&mut run, BendMake::mitred(95.25, bends, Ends::Half));
        let mut first = taper(legs.0, 60.0);
        (first.offset_mm, first.offset_clock_deg) = (offsets.0, clocks.0);
        let mut second = taper(legs.1, 160.0);
        (second.offset_mm, second.offset_clock_deg) = (offsets.1, clocks.1);
        (second.id, second.tube) = (TaperId(950), project.tubes[0].id);
        run.tapers = vec![second, first];
        assert_closes(&project, &run);
    }
}

#[test]
fn an_offset_taper_sets_the_rest_aside_by_what_it_says_toward_its_clock() {
    // a straight run along X, 12 o'clock up: clockwise as seen along it, 3 o'clock is -Y
    let (mut project, mut run) = sample();
    run.waypoints.clear();
    let end = project.hardpoints[1].id;
    project.hardpoints[1].position_mm = DVec3::new(600.0, -9.0, 12.0);
    project.hardpoints[1].direction = DVec3::NEG_X;
    run.start_corner.reach_mm = 200.0;
    run.end = crate::model::RunEnd::Hardpoint {
        hardpoint: end,
        corner: crate::model::Corner { reach_mm: 100.0, ..run.start_corner },
    };
    let clock_deg = 9.0_f64.atan2(12.0).to_degrees();
    run.tapers = vec![Taper { offset_mm: 15.0, offset_clock_deg: clock_deg, ..taper(1, 100.0) }];
    let built = works(&project, &run);
    assert_eq!(built.pieces.len(), 3, "{:?}", built.pieces);
    assert_closes(&project, &run);
    // the taper lies from 260 to 340 mm
    let (from, to) = built.frames[1];
    assert_relative_eq!(from.origin, DVec3::X * 260.0, epsilon = 1e-9);
    assert_relative_eq!(to.origin, DVec3::new(340.0, -9.0, 12.0), epsilon = 1e-9);
    let lengths: Vec<f64> = built.pieces.iter().map(|p| p.centre_mm).collect();
    for (is, should) in lengths.iter().zip([260.0, 80.0, 260.0]) {
        assert_relative_eq!(*is, should, epsilon = 1e-9);
    }
    // half way through, half aside
    let route = built.route.as_ref().unwrap();
    assert_relative_eq!(route.at(0, 300.0).unwrap().origin, DVec3::new(300.0, -4.5, 6.0), epsilon = 1e-9);
    assert_relative_eq!(
        route.on_leg(1, 300.0).unwrap().origin,
        DVec3::new(500.0, -9.0, 12.0),
        epsilon = 1e-9
    );
    // set aside the other way is an offset below zero
    run.tapers[0].offset_mm = -15.0;
    run.tapers[0].offset_clock_deg += 180.0;
    assert_closes(&project, &run);
}

#[test]
fn after_a_taper_everything_is_of_the_other_tube() {
    let (mut project, mut run) = sample();
    run.tapers = vec![taper(1, 100.0)];
    let built = works(&project, &run);
    let at = built.pieces.iter().position(|p| matches!(p.kind, PieceKind::Taper(_))).unwrap();
    for (i, piece) in built.pieces.iter().enumerate() {
        let (tube, od_mm) = if i <= at { (TubeId(10), 63.5) } else { (TubeId(20), 76.2) };
        assert_eq!((piece.tube, piece.od_mm), (tube, od_mm), "{}", piece.mark);
    }
    // a slice after it: heel and throat differ by 2·OD·tan of the saw angle
    let slice = built.pieces.iter().skip(at).find(|p| p.kind == PieceKind::Slice).unwrap();
    let (long, short) = slice.long_short_mm();
    assert_relative_eq!(long - short, 2.0 * 76.2 * slice.start.tilt_rad.tan(), epsilon = 1e-9);
    // it is welded round each of its ends
    let weld = |before: usize| built.welds.iter().find(|w| w.before == before).unwrap().length_mm;
    assert_relative_eq!(weld(at), PI * 63.5, epsilon = 1e-9);
    assert_relative_eq!(weld(at + 1), PI * 76.2, epsilon = 1e-9);
    // the end hardpoint takes the first tube, and a joint after the taper would too
    assert!(codes(&built).contains(&"port-size"));
    project.hardpoints[1].od_mm = 76.2;
    assert!(!codes(&works(&project, &run)).contains(&"port-size"));
    run.fittings.push(crate::model::Fitting {
        id: crate::model::FittingId(901),
        joint: project.joints[0].id,
        leg: 3,
        station_mm: 150.0,
        lobe_clock_deg: 0.0,
    });
    assert!(codes(&works(&project, &run)).contains(&"joint-size"));
    // both tubes are sawn, and the taper is of neither
    run.fittings.clear();
    project.runs = vec![run];
    let report = Report::new(&project);
    assert_eq!(report.stock.len(), 2);
    let told = report.runs[0].pieces.iter().find(|p| p.kind.name() == "taper").unwrap();
    let figures = told.taper.unwrap();
    assert_eq!((told.od_mm, figures.end_od_mm, figures.seam_mm), (63.5, 76.2, None));
    // by hand: mean radius of the middle fibre (31.75 + 38.1)/2 less half the wall over the cosine, slant 80.2516
    let slant = 80.0_f64.hypot(6.35);
    let mean = f64::midpoint(31.75, 38.1) - 0.825 * 80.0 / slant;
    assert_relative_eq!(figures.mass_kg, 2.0 * PI * mean * slant * 1.65 * 8000.0e-9, max_relative = 1e-6);
}

#[test]
fn what_cannot_be_made_is_said_with_what_can() {
    let (mut project, mut run) = sample();
    let text = |project: &Project, run: &Run, code: &str| {
        let built = build(project, run);
        let found = built.problems.iter().find(|(p, ..)| p.code() == code);
        found.map_or_else(|| panic!("{code}: {:?}", built.problems), |(p, ..)| p.text(project.settings.units))
    };
    // the straight of leg 1 is 500 − 95.25 − its other tangent
    run.tapers = vec![Taper { length_mm: 600.0, ..taper(0, 200.0) }];
    let said = text(&project, &run, "taper-off-leg");
    assert!(said.contains("leg 1") && said.contains("take one of at most 404.8 mm"), "{said}");
    run.tapers = vec![taper(9, 100.0)];
    assert!(text(&project, &run, "no-such-leg").contains("has only 4 legs"));
    run.tapers = vec![Taper { length_mm: 5.0, offset_mm: 40.0, ..taper(0, 100.0) }];
    assert!(text(&project, &run, "taper-shape").contains("long"));
    run.tapers = vec![Taper { tube: TubeId(10), ..taper(0, 100.0) }];
    assert!(text(&project, &run, "taper-same").contains("does nothing"));
    run.tapers = vec![Taper { length_mm: 20.0, ..taper(0, 100.0) }];
    assert!(text(&project, &run, "taper-wide").contains("longer keeps it on"));
    project.tubes[1].material = Material::Aluminium6061;
    run.tapers = vec![taper(0, 100.0)];
    assert!(text(&project, &run, "taper-metal").contains("same metal"));
    run.tapers = vec![Taper { tube: TubeId(77), ..taper(0, 100.0) }];
    assert!(text(&project, &run, "missing").contains("77"));
    // an offset that its leg is not long enough for
    run.tapers = vec![Taper { offset_mm: 900.0, ..taper(1, 100.0) }];
    assert!(!build(&project, &run).is_buildable());
}

#[test]
fn handles_stand_on_the_pipe_and_tapers_stay_in_place_when_a_bend_is_put_in() {
    let (mut project, mut run) = sample();
    run.tapers = vec![
        Taper { offset_mm: 20.0, ..taper(0, 60.0) },
        Taper {
            id: TaperId(990),
            tube: TubeId(10),
            offset_mm: 12.0,
            offset_clock_deg: 70.0,
            ..taper(3, 100.0)
        },
    ];
    project.runs = vec![run.clone()];
    let points = works(&project, &run).route.unwrap().points;
    for (vertex, point) in [(Vertex::Start, 1), (Vertex::End, 3)] {
        let at = place(&project, Handle::Vertex(run.id, vertex)).unwrap();
        assert_relative_eq!(at, points[point], epsilon = 1e-6);
        // dragged along it follows, and the run still closes
        let dragged = moved(&project, &run, vertex, at + unit(points[point - 1] - at).unwrap() * 20.0);
        assert_closes(&project, &dragged);
    }
    let middle = |run: &Run, i: usize| {
        let route = works(&project, run).route.unwrap();
        let taper = run.tapers[i];
        route.on_leg(taper.leg, taper.station_mm).unwrap().origin
    };
    let waypoint = Waypoint {
        id: WaypointId(991),
        position_mm: DVec3::new(500.0, 250.0, 60.0),
        make: BendMake::mitred(95.25, 2, Ends::Half),
    };
    let before = middle(&run, 1);
    let more = inserted(&project, &run, 1, waypoint).unwrap();
    assert_eq!(more.tapers[1].leg, 4);
    // it stays on its leg at its station; the index line comes there another way, so that half its offset points elsewhere
    assert_relative_eq!(more.tapers[1].station_mm, run.tapers[1].station_mm, epsilon = 1e-9);
    assert!(middle(&more, 1).distance(before) < 12.0);
    let back = without(&project, &more, WaypointId(991));
    for (is, was) in back.tapers.iter().zip(&run.tapers) {
        assert_eq!((is.id, is.leg), (was.id, was.leg));
        assert_relative_eq!(is.station_mm, was.station_mm, epsilon = 1e-9);
    }
}

/// Lines of a cone from circle to circle at the same clock, by trying a great many.
#[test]
fn long_and_short_side_of_a_taper_are_the_extremes_of_its_lines() {
    let (mut project, mut run) = run_through(&[
        DVec3::ZERO,
        DVec3::X * 700.0,
        DVec3::new(700.0, 700.0, 0.0),
        DVec3::new(1400.0, 700.0, 0.0),
    ]);
    let tube = project.tubes[0].clone();
    project.tubes.push(Tube { id: TubeId(20), od_mm: 76.2, ..tube });
    for offset_mm in [0.0, 3.0, 6.35, 15.0] {
        run.tapers = vec![Taper { offset_mm, offset_clock_deg: 40.0, ..taper(1, 200.0) }];
        let built = build(&project, &run);
        let piece = built.pieces.iter().find(|p| p.end_od_mm() > p.od_mm).unwrap();
        let line = |i: u32| {
            let (sin, cos) = (f64::from(i) / 5000.0 * std::f64::consts::TAU).sin_cos();
            // out by half of what the size changes, and aside by the offset
            let (x, y) = (6.35 * cos + offset_mm, 6.35 * sin);
            (80.0_f64.powi(2) + x * x + y * y).sqrt()
        };
        let (long, short) = piece.long_short_mm();
        let all = (0..5000).map(line);
        let (least, most) = all.fold((f64::MAX, f64::MIN), |m, mm| (m.0.min(mm), m.1.max(mm)));
        assert_relative_eq!(long, most, epsilon = 1e-6);
        assert_relative_eq!(short, least, epsilon = 1e-6);
    }
}

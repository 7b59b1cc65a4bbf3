//! Branches on built runs: the ends in space against equations of the header's skin written here.

mod on_wall;

use crate::edit::{Edit, apply};
use crate::fab::limb::Edge;
use crate::fab::{Built, WeldKind, build_all};
use crate::finding::{PieceProblem, Problem, Severity};
use crate::geom::Solid;
use crate::model::{
    BendMake, Corner, ElbowId, Ends, Fitting, FittingId, JointId, Project, RunEnd, RunId, Seat, Spot,
};
use crate::testing::{branch, port, run_through, set_makes, tube};
use glam::DVec3;
use std::f64::consts::TAU;
use std::sync::Arc;

const H: f64 = 63.5 / 2.0;
const CLR: f64 = 95.25;

/// Forward 600 mm, then left.
fn header(elbow: bool) -> (Project, RunId) {
    let (mut project, mut run) = run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)]);
    if elbow {
        set_makes(&mut run, BendMake::Elbow { elbow: ElbowId(11) });
    }
    let id = run.id;
    project.runs = vec![run];
    (project, id)
}

fn seat(run: RunId, spot: Spot, clock_deg: f64, angle_deg: f64, offset_mm: f64) -> Seat {
    Seat::Run { run, spot, clock_deg, angle_deg, offset_mm }
}

fn leg(station_mm: f64) -> Spot {
    Spot::Leg { leg: 0, station_mm }
}

/// Gives the branch a tube of that size.
fn sized(project: &mut Project, id: RunId, od_mm: f64) {
    let tube = tube(project, od_mm);
    project.runs.iter_mut().find(|r| r.id == id).unwrap().tube = tube;
}

/// Turns the branch round: it ends on the header and starts in the open, at a port there.
fn turned_round(project: &mut Project, id: RunId) {
    let run = project.run(id).unwrap().clone();
    let RunEnd::Open { position_mm, .. } = run.end else { panic!("in the open") };
    let face = project.hardpoint(run.start).unwrap().clone();
    let away = port(project, "far", position_mm, -face.direction);
    let make = run.start_corner.make;
    let corner = Corner { reach_mm: run.start_corner.reach_mm, make };
    let end = RunEnd::Hardpoint { hardpoint: run.start, corner };
    let next = crate::model::Run { start: away, end, ..run };
    *project = apply(project, &Edit::PutRun(next)).unwrap();
}

fn all(project: &Project) -> Vec<Arc<Built>> {
    build_all(project)
}

fn of(project: &Project, id: RunId) -> Arc<Built> {
    let at = project.runs.iter().position(|r| r.id == id).unwrap();
    all(project).swap_remove(at)
}

fn said(built: &Built, code: &str) -> (Severity, String) {
    let found = built.problems.iter().find(|(p, ..)| p.code() == code);
    let found = found.map(|(p, ..)| (p.severity(), p.text(crate::units::UnitSystem::Millimetre)));
    found.unwrap_or_else(|| panic!("{code} is not in {:?}", built.problems))
}

/// Numbers that look random and are the same on every machine (a linear congruence, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }
}

/// Distance of a point from the skin of the bench header, mm: two straights and a quarter of a torus between.
fn off_skin(p: DVec3) -> f64 {
    let first = if p.x <= 600.0 - CLR { p.y.hypot(p.z) } else { f64::INFINITY };
    let second = if p.y >= CLR { (p.x - 600.0).hypot(p.z) } else { f64::INFINITY };
    let from = p - DVec3::new(600.0 - CLR, CLR, 0.0);
    let round =
        if from.x >= 0.0 && from.y <= 0.0 { (from.x.hypot(from.y) - CLR).hypot(p.z) } else { f64::INFINITY };
    first.min(second).min(round) - H
}

/// Least distance of a point from the skins of the header's slices, mm; negative inside one.
fn off_slices(header: &Built, p: DVec3) -> f64 {
    let off = |s: &Solid| {
        let Solid::Barrel(b) = s else { return f64::INFINITY };
        let (start, end) = b.axis();
        let beyond = (-(p - start).dot(b.start_normal)).max((p - end).dot(b.end_normal));
        let skin = (p - start).cross(b.start.travel).length() - b.radius_mm;
        if beyond > 1e-6 { f64::INFINITY } else { skin }
    };
    header.solids.iter().map(|s| off(&s.solid)).fold(f64::INFINITY, f64::min)
}

/// Points of an edge in space from where the run's end is and which way it goes, nothing else.
fn points(built: &Built, at_start: bool, edge: Edge, radius_mm: f64, count: u32) -> Vec<DVec3> {
    let route = built.route.as_ref().unwrap();
    let piece = if at_start { built.pieces.first() } else { built.pieces.last() }.unwrap();
    let curve = piece.curves[usize::from(!at_start)].as_ref().unwrap();
    let (leg, n) = (route.legs.last().unwrap(), route.points.len());
    // the index line is carried without twist, and these runs have one leg
    let (face, into) = if at_start { (route.points[0], 1.0) } else { (route.points[n - 1], -1.0) };
    let (travel, twelve) = (leg.frame.travel, leg.frame.index);
    let three = travel.cross(twelve);
    let clocks = (0..count).map(|i| TAU * f64::from(i) / f64::from(count));
    clocks
        .map(|c| {
            face + (twelve * c.cos() + three * c.sin()) * radius_mm + travel * (into * curve.at_mm(edge, c))
        })
        .collect()
}

#[test]
fn thirty_random_ends_lie_on_the_skin_of_their_header() {
    let mut dice = Dice(7);
    for case in 0..30 {
        let elbow = case % 3 != 2;
        let (mut project, run) = header(elbow);
        let on_bend = case % 2 == 1;
        let (spot, od_mm) = if on_bend {
            (Spot::Bend { leg: 0, turn_deg: dice.roll(25.0, 65.0) }, dice.roll(20.0, 32.0))
        } else {
            (leg(dice.roll(150.0, 350.0)), dice.roll(20.0, 50.0))
        };
        let room = H - od_mm / 2.0;
        let offset =
            if on_bend { 0.3 * room * dice.roll(-1.0, 1.0) } else { 0.9 * room * dice.roll(-1.0, 1.0) };
        // on the inside of a tight bend a branch has no way out
        let clock = if on_bend { dice.roll(-20.0, 200.0) } else { dice.roll(-180.0, 180.0) };
        let angle = if on_bend { dice.roll(75.0, 105.0) } else { dice.roll(30.0, 150.0) };
        let id = branch(&mut project, seat(run, spot, clock, angle, offset), 250.0);
        sized(&mut project, id, od_mm);
        let at_start = case % 4 < 2;
        if !at_start {
            turned_round(&mut project, id);
        }
        let (header, built) = (of(&project, run), of(&project, id));
        assert!(built.is_buildable(), "case {case}: {:?}", built.problems);
        let wall = project.tubes[0].wall_mm;
        for (edge, radius) in [(Edge::Outside, od_mm / 2.0), (Edge::Inside, od_mm / 2.0 - wall)] {
            for p in points(&built, at_start, edge, radius, 36) {
                let off = if elbow || !on_bend { off_skin(p) } else { off_slices(&header, p) };
                assert!(off.abs() < 0.05, "case {case}, {edge:?}: {off}");
            }
        }
        // a cut that seats loses no less than either edge at any clock
        let piece = if at_start { built.pieces.first() } else { built.pieces.last() }.unwrap();
        let curve = piece.curves[usize::from(!at_start)].as_ref().unwrap();
        for i in 0..36 {
            let c = TAU * f64::from(i) / 36.0;
            let seat_mm = curve.at_mm(Edge::Seat, c);
            assert!(seat_mm >= curve.at_mm(Edge::Outside, c).max(curve.at_mm(Edge::Inside, c)) - 1e-6);
        }
        // the weld against a dense polyline
        let mut ring = points(&built, at_start, Edge::Outside, od_mm / 2.0, 7200);
        ring.push(ring[0]);
        let length: f64 = ring.windows(2).map(|w| w[0].distance(w[1])).sum();
        let weld = built.welds.iter().find(|w| w.kind == WeldKind::Saddle).unwrap();
        assert!((weld.length_mm - length).abs() < 0.01, "case {case}: {} {length}", weld.length_mm);
        // the hole's middle is where the axis comes through the wall
        let hole = &header.holes[0];
        let frame = header.frames[hole.piece].0;
        if header.pieces[hole.piece].bend.is_none() {
            let middle = frame.forward(hole.along_mm);
            let face = project.hardpoints.iter().find(|h| h.name == "branch").unwrap().position_mm;
            let there = middle.origin + middle.at_clock(hole.clock_rad) * H;
            assert!(there.distance(face) < 1e-6, "case {case}: {there} {face}");
        }
    }
}

#[test]
fn a_square_branch_of_full_size_has_the_sides_and_the_weld_that_are_known() {
    let (mut project, run) = header(false);
    let id = branch(&mut project, seat(run, leg(250.0), 0.0, 90.0, 0.0), 200.0);
    let built = of(&project, id);
    // two tubes of one size: beside the header the bore's edge sits, √(h² − bore²) above its middle; along it the crown.
    // The weld is two half ellipses of 45°
    let (long, short) = built.pieces[0].long_short_mm();
    let inside = H - project.tubes[0].wall_mm;
    assert!((long - (200.0 + H - (H * H - inside * inside).sqrt())).abs() < 1e-6, "{long}");
    assert!((short - 200.0).abs() < 1e-6, "{short}");
    let blank = built.pieces[0].blank();
    assert!((blank.centre_mm - long).abs() < 1e-9 && !blank.is_shaped(), "{}", blank.centre_mm);
    let weld = &built.welds[0];
    let perimeter = crate::geom::ellipse::cut_face_perimeter(H, std::f64::consts::FRAC_PI_4);
    assert!((weld.length_mm - perimeter).abs() < 1e-3, "{} {perimeter}", weld.length_mm);
    assert_eq!((weld.kind, weld.before), (WeldKind::Saddle, 0));
    assert_eq!(weld.between, ["A1".to_owned(), "B1".to_owned()]);
    let header = of(&project, run);
    let hole = &header.holes[0];
    assert_eq!((hole.mark.as_str(), hole.piece), ("AH1", 0));
    assert!((hole.along_mm - 250.0).abs() < 1e-9 && hole.clock_rad.abs() < 1e-9);
    assert_eq!(hole.of, project.run(id).unwrap().name);
}

#[test]
fn holes_are_marked_in_order_along_the_header() {
    let (mut project, run) = header(true);
    for station in [380.0, 120.0, 250.0] {
        let id = branch(&mut project, seat(run, leg(station), 0.0, 90.0, 0.0), 200.0);
        sized(&mut project, id, 38.1);
    }
    let holes = of(&project, run).holes.clone();
    assert_eq!(holes.iter().map(|h| h.mark.as_str()).collect::<Vec<_>>(), ["AH1", "AH2", "AH3"]);
    assert!(holes.is_sorted_by(|a, b| a.along_mm < b.along_mm));
}

#[test]
fn what_does_not_fit_is_said_with_what_would() {
    let (start, run) = header(true);
    let with = |spot, clock, angle, offset, od_mm: f64| {
        let mut project = start.clone();
        let id = branch(&mut project, seat(run, spot, clock, angle, offset), 200.0);
        sized(&mut project, id, od_mm);
        let built = of(&project, id);
        assert!(!built.is_buildable(), "{:?}", built.problems);
        assert!(of(&project, run).holes.is_empty(), "no hole for what does not fit");
        built
    };
    let text = |built: &Built, code: &str| {
        let (severity, text) = said(built, code);
        assert_eq!(severity, Severity::Stop);
        text
    };
    let wide = text(&with(leg(250.0), 0.0, 90.0, 0.0, 76.2), "branch-does-not-fit");
    assert!(wide.contains("no wider than the header"), "{wide}");
    let aside = text(&with(leg(250.0), 0.0, 90.0, 20.0, 38.1), "branch-does-not-fit");
    assert!(aside.contains("offset of at most 12.7 mm"), "{aside}");
    let flat = text(&with(leg(250.0), 0.0, 10.0, 0.0, 38.1), "branch-does-not-fit");
    assert!(flat.contains("at least 15"), "{flat}");
    let end = text(&with(leg(10.0), 0.0, 90.0, 0.0, 38.1), "branch-does-not-fit");
    assert!(end.contains("beyond the end"), "{end}");
    let before = text(&with(leg(-5.0), 0.0, 90.0, 0.0, 38.1), "branch-off-place");
    assert!(before.contains("5.0 mm before") && before.contains("504.8 mm"), "{before}");
    let round = text(&with(Spot::Bend { leg: 0, turn_deg: 100.0 }, 0.0, 90.0, 0.0, 38.1), "branch-off-place");
    assert!(round.contains("90.0°"), "{round}");
}

#[test]
fn joints_elbows_and_lost_headers_are_said() {
    let (mut project, run) = header(true);
    let fitting =
        Fitting { id: FittingId(71), joint: JointId(12), leg: 0, station_mm: 250.0, lobe_clock_deg: 0.0 };
    project.runs[0].fittings.push(fitting);
    let mut on = project.clone();
    let id = branch(&mut on, seat(run, leg(250.0), 0.0, 90.0, 0.0), 200.0);
    assert!(said(&of(&on, id), "branch-on-joint").1.contains("sits on the joint AJ1"));
    let mut onto = project.clone();
    let id = branch(&mut onto, seat(run, leg(250.0 + 15.0 + 20.0), 0.0, 90.0, 0.0), 200.0);
    assert!(said(&of(&onto, id), "branch-on-joint").1.contains("onto the joint AJ1"));
    // a branch that begins with a bend has no tube to cut
    let mut bent = project.clone();
    let id = branch(&mut bent, seat(run, leg(100.0), 0.0, 90.0, 0.0), 200.0);
    let at = bent.runs.iter().position(|r| r.id == id).unwrap();
    bent.runs[at].end = RunEnd::open(DVec3::new(100.0 + 400.0, 0.0, H + CLR));
    bent.runs[at].start_corner = Corner { reach_mm: CLR, make: BendMake::Elbow { elbow: ElbowId(11) } };
    assert!(said(&of(&bent, id), "branch-without-tube").1.contains("an elbow at its start"));
    // a header that cannot be built
    let mut stops = project.clone();
    let id = branch(&mut stops, seat(run, leg(100.0), 0.0, 90.0, 0.0), 200.0);
    set_makes(&mut stops.runs[0], BendMake::mitred(900.0, 4, Ends::Half));
    assert!(said(&of(&stops, id), "branch-header-stops").1.contains("solve its problems first"));
    let mut lost = project.clone();
    let id = branch(&mut lost, seat(run, leg(100.0), 0.0, 90.0, 0.0), 200.0);
    lost.runs.remove(0);
    assert_eq!(said(&of(&lost, id), "branch-without-header").0, Severity::Stop);
}

#[test]
fn a_branch_over_welds_is_told_and_one_too_short_is_checked() {
    let (mut project, run) = header(false);
    let id = branch(&mut project, seat(run, Spot::Bend { leg: 0, turn_deg: 45.0 }, 0.0, 90.0, 0.0), 200.0);
    sized(&mut project, id, 38.1);
    let built = of(&project, id);
    assert!(built.is_buildable(), "{:?}", built.problems);
    let (severity, text) = said(&built, "branch-across-weld");
    assert_eq!(severity, Severity::Note);
    assert!(text.contains("A3"), "{text}");
    // 12 mm above the crown of a header of the same size there is under 12 mm left on the short side
    let (mut project, run) = header(false);
    let id = branch(&mut project, seat(run, leg(250.0), 0.0, 60.0, 0.0), 20.0);
    let built = of(&project, id);
    let told = built.problems.iter().any(|(p, ..)| {
        matches!(p, Problem::Piece(PieceProblem::ThroatShort { .. } | PieceProblem::CutsCross { .. }))
    });
    assert!(told, "{:?}", built.problems);
}

#[test]
fn a_branch_may_sit_on_a_branch() {
    let (mut project, run) = header(false);
    let first = branch(&mut project, seat(run, leg(250.0), 0.0, 90.0, 0.0), 300.0);
    let id = branch(&mut project, seat(first, leg(150.0), 0.0, 90.0, 0.0), 200.0);
    sized(&mut project, id, 38.1);
    let built = all(&project);
    assert!(
        built.iter().all(|built| built.is_buildable()),
        "{:?}",
        built.iter().map(|b| &b.problems).collect::<Vec<_>>()
    );
    assert_eq!(built.iter().map(|b| b.holes.len()).collect::<Vec<_>>(), [1, 1, 0]);
}

/// A bung far beyond the run's first leg, which stops the run.
fn stop(project: &mut Project, id: RunId) {
    use crate::edit::new_item::{part, part_kinds};
    let run = project.run(id).unwrap().clone();
    let bung = part(project, &run, part_kinds().swap_remove(0));
    let at = project.runs.iter().position(|r| r.id == id).unwrap();
    project.runs[at].parts.push(crate::model::Part { leg: 0, station_mm: 5000.0, ..bung });
}

#[test]
fn what_stops_late_leaves_no_hole_and_tells_what_sits_on_it() {
    let (mut project, run) = header(false);
    let first = branch(&mut project, seat(run, leg(250.0), 0.0, 90.0, 0.0), 300.0);
    let second = branch(&mut project, seat(first, leg(150.0), 0.0, 90.0, 0.0), 200.0);
    sized(&mut project, second, 38.1);
    // the one that sits on another stops: that needs no hole
    let mut top = project.clone();
    stop(&mut top, second);
    assert_eq!(all(&top).iter().map(|b| b.holes.len()).collect::<Vec<_>>(), [1, 0, 0]);
    // the header stops: both are told, the second by way of the first
    stop(&mut project, run);
    for (id, of_what) in [(first, "Run"), (second, &*project.run(first).unwrap().name)] {
        let built = of(&project, id);
        let (severity, text) = said(&built, "branch-header-stops");
        assert_eq!((severity, built.is_buildable()), (Severity::Stop, false));
        assert!(text.starts_with(&format!("{of_what}, which")), "{text}");
    }
}

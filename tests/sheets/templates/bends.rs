//! Holes in bends as written, laid back on the bend: by ways along a torus in its own two angles, and in the bend's plane.

use super::{Point, read};
use glam::{DVec2, DVec3};
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::model::{
    Attachment, BendMake, ElbowId, Hardpoint, HardpointId, Project, RunId, Seat, Spot, Tube, TubeId,
};
use pipeloft_core::report::Report;
use pipeloft_core::sheet::all_patterns;
use pipeloft_core::sheet::template::Pattern;
use pipeloft_tests::shop::{half, into_the_open, port, run_through, shop};

pub(super) const OD_MM: f64 = 63.5;
pub(super) const CLR_MM: f64 = 95.25;
/// Middle of the bend: forward 600, then left.
pub(super) const CENTRE: DVec3 = DVec3::new(600.0 - CLR_MM, CLR_MM, 0.0);

/// A bend of 90° with a branch of 38.1 by 1.5 on it at a clock, `turn_deg` round it.
fn scene(make: BendMake, turn_deg: f64, clock_deg: f64, angle_deg: f64) -> (Project, RunId, HardpointId) {
    let mut project = shop(OD_MM, 2.0);
    let points = [DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 600.0, 0.0)];
    let header = run_through(&mut project, &points, make);
    let tube = TubeId(project.fresh_id());
    project.tubes.push(Tube { id: tube, od_mm: 38.1, wall_mm: 1.5, ..project.tubes[0].clone() });
    let id = port(&mut project, "branch", DVec3::ZERO, DVec3::X);
    let spot = Spot::Bend { leg: 0, turn_deg };
    let seat = Some(Seat::Run { run: header, spot, clock_deg, angle_deg, offset_mm: 0.0 });
    let at = Hardpoint {
        seat,
        attachment: Attachment::Welded,
        od_mm: 38.1,
        ..project.hardpoint(id).unwrap().clone()
    };
    project = apply(&project, &Edit::PutHardpoint(at)).unwrap();
    into_the_open(&mut project, id, tube, 300.0);
    (project, header, id)
}

fn elbow(project: &Project) -> BendMake {
    let fits = |e: &&pipeloft_core::model::ElbowStock| (e.clr_mm - CLR_MM).abs() < 0.1;
    BendMake::Elbow { elbow: project.elbows.iter().find(fits).map_or(ElbowId(0), |e| e.id) }
}

fn the_hole(project: &Project, report: &Report) -> (Pattern, Vec<Point>) {
    let patterns = all_patterns(project, report);
    let [hole] = &patterns[..] else { panic!("{:?}", report.findings) };
    let outline = read::dxf_outline(&hole.dxf());
    let drawn = &hole.outlines[0];
    let shift = (outline[0].0 - drawn[0].0, outline[0].1 - drawn[0].1);
    let wider = 1.0 + project.settings.allowances.paper_mm / OD_MM;
    (hole.clone(), outline.iter().map(|p| ((p.0 - shift.0) / wider, p.1 - shift.1)).collect())
}

/// Angles on the torus: round the bend, and round the tube from its outside towards +Z.
pub(super) fn on_torus(round: f64, tube: f64) -> DVec3 {
    let r = OD_MM / 2.0;
    let out = DVec3::new(round.sin(), -round.cos(), 0.0);
    CENTRE + out * (CLR_MM + r * tube.cos()) + DVec3::Z * (r * tube.sin())
}

/// Where a way of a length comes to on the torus that sets out from a place in a direction of its tangent plane: along the
/// bend and round the tube. Runge and Kutta's rule of fourth order on the geodesic equations of a torus (from memory).
pub(super) fn go((round, tube): (f64, f64), along: f64, about: f64) -> DVec3 {
    let r = OD_MM / 2.0;
    let wide = |tube: f64| CLR_MM + r * tube.cos();
    let slope = |s: [f64; 4]| {
        let [_, v, dr, dt] = s;
        [dr, dt, 2.0 * r * v.sin() / wide(v) * dt * dr, -wide(v) * v.sin() / r * dr * dr]
    };
    let mut s = [round, tube, along / wide(tube), about / r];
    let h = 1.0 / 200.0;
    for _ in 0..200 {
        let plus = |k: [f64; 4], f: f64| std::array::from_fn(|i| s[i] + k[i] * f);
        let a = slope(s);
        let b = slope(plus(a, h / 2.0));
        let c = slope(plus(b, h / 2.0));
        let d = slope(plus(c, h));
        for i in 0..4 {
            s[i] += h / 6.0 * (a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i]);
        }
    }
    on_torus(s[0], s[1])
}

#[test]
fn a_hole_drawn_for_an_elbow_lies_on_the_bore_of_its_branch() {
    // with 12 o'clock up and the bend to the left: 90° is right, its outside, 270° its inside
    for (clock, angle, turn) in
        [(90.0, 90.0, 45.0), (270.0, 90.0, 45.0), (0.0, 90.0, 45.0), (30.0, 60.0, 40.0), (220.0, 75.0, 50.0)]
    {
        let make = elbow(&shop(OD_MM, 2.0));
        let (project, header, id) = scene(make, turn, clock, angle);
        let report = Report::new(&project);
        let (hole, outline) = the_hole(&project, &report);
        let at = project.hardpoint(id).unwrap();
        let (middle, axis) = (at.position_mm, at.direction / at.direction.length());
        let from = middle - CENTRE;
        let round = from.x.atan2(-from.y);
        let tube = from.z.atan2(from.x.hypot(from.y) - CLR_MM);
        assert!(on_torus(round, tube).distance(middle) < 1e-3, "the branch begins on the skin");
        // the clock grows from up to the right, which is the outside of the bend: against the angle from there to +Z
        let mut worst = 0.0_f64;
        for (x, y) in &outline {
            let p = go((round, tube), *y, -*x);
            worst = worst.max(((p - middle).cross(axis).length() - (38.1 / 2.0 - 1.5)).abs());
        }
        assert!(worst < 0.05, "clock {clock} angle {angle}: {worst}");
        assert!(outline.len() > 60);
        let told = &report.run(header).unwrap().holes[0];
        let size = |pick: fn(&Point) -> f64| {
            let all = outline.iter().map(pick);
            all.clone().fold(f64::MIN, f64::max) - all.fold(f64::MAX, f64::min)
        };
        assert!((size(|p| p.1) - told.length_mm).abs() < 0.6, "{} {}", size(|p| p.1), told.length_mm);
        if (angle - 90.0_f64).abs() < 1e-9 {
            assert!((35.0..36.7).contains(&told.length_mm), "clock {clock}: {}", told.length_mm);
        }
        assert!(format!("{hole:?}").contains("Check: on the pipe the hole measures"));
    }
}

/// On the outside and the inside of a mitred bend, in the bend's plane: the skin is a line with corners there, and the bore
/// comes through it at two places.
#[test]
fn a_hole_drawn_over_mitre_welds_is_as_long_as_the_skin_between_the_walls_of_the_bore() {
    for (clock, outside) in [(90.0, true), (270.0, false)] {
        let (project, header, id) = scene(half(CLR_MM, 4), 45.0, clock, 90.0);
        let report = Report::new(&project);
        let (_, outline) = the_hole(&project, &report);
        let run = report.run(header).unwrap();
        let flat = |v: DVec3| DVec2::new(v.x, v.y);
        let corners: Vec<DVec2> = run.built.frames.iter().map(|f| flat(f.0.origin)).collect();
        let last = run.built.frames.last().map(|f| flat(f.1.origin)).unwrap();
        let line: Vec<DVec2> = corners.into_iter().chain([last]).collect();
        // the skin: each straight moved out by the radius, met with the next
        let side = if outside { -1.0 } else { 1.0 };
        let moved = |w: &[DVec2]| {
            let d = (w[1] - w[0]).normalize();
            (w[0] + d.perp() * side * OD_MM / 2.0, d)
        };
        let straights: Vec<(DVec2, DVec2)> = line.windows(2).map(moved).collect();
        let meet = |a: (DVec2, DVec2), b: (DVec2, DVec2)| {
            let t = (b.0 - a.0).perp_dot(b.1) / a.1.perp_dot(b.1);
            a.0 + a.1 * t
        };
        let mut skin = vec![straights[0].0];
        skin.extend(straights.windows(2).map(|w| meet(w[0], w[1])));
        skin.push(flat(run.built.frames.last().unwrap().1.origin));
        let at = project.hardpoint(id).unwrap();
        let (middle, axis) = (flat(at.position_mm), flat(at.direction).normalize());
        let off = |p: DVec2| (p - middle).perp_dot(axis);
        let bore = 38.1 / 2.0 - 1.5;
        // length of the skin within the bore
        let mut length = 0.0;
        for w in skin[..skin.len() - 1].windows(2) {
            let steps = 4000;
            let part = w[0].distance(w[1]) / f64::from(steps);
            for i in 0..steps {
                let p = w[0].lerp(w[1], (f64::from(i) + 0.5) / f64::from(steps));
                let near = (p - middle).length() < 60.0;
                length += if near && off(p).abs() < bore { part } else { 0.0 };
            }
        }
        let on_line: Vec<f64> = outline
            .windows(2)
            .filter(|w| w[0].0 * w[1].0 <= 0.0)
            .map(|w| w[0].1 + (w[1].1 - w[0].1) * (w[0].0 / (w[0].0 - w[1].0)))
            .collect();
        let drawn = on_line.iter().copied().fold(f64::MIN, f64::max)
            - on_line.iter().copied().fold(f64::MAX, f64::min);
        assert!((drawn - length).abs() < 0.2, "clock {clock}: {drawn} for {length}");
        assert!((35.0..37.5).contains(&length), "{length}");
        let told = run.holes[0].length_mm;
        assert!((told - length).abs() < 0.6, "clock {clock}: told {told} for {length}");
    }
}

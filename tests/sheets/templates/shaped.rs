//! What is written of ends that are shaped to other pipes, of holes and of rolled flats: read back and laid on the
//! surfaces themselves.

use super::{OFF_MM, Point, read};
use glam::DVec3;
use pipeloft_core::edit::{Edit, apply, new_item};
use pipeloft_core::model::{
    Attachment, Bar, BarCorner, BarEndMake, BarId, Hardpoint, HardpointId, Merge, MergeArm, Onto, Project,
    RunId, Seat, ShapedLine, Spot, TaperMake, Tube, TubeId,
};
use pipeloft_core::report::Report;
use pipeloft_core::sheet::template::{Part, Pattern, Template, dxf, svg};
use pipeloft_core::sheet::{all_patterns, all_templates};
use pipeloft_tests::shop::{half, into_the_open, port, run_through, shop};
use std::f64::consts::{PI, TAU};

/// No cut reaches further along a tube than this, mm.
const FAR_MM: f64 = 400.0;

/// Radii of a wall that are looked at for what is furthest in.
const RADII: u32 = 20;

fn unit(v: DVec3) -> DVec3 {
    v / v.length()
}

/// A tube whose end is to be cut: a point of its axis, the way its run travels, its index line, and which way it lies
/// from the end: +1 along the travel.
#[derive(Clone, Copy)]
struct Limb {
    at: DVec3,
    travel: DVec3,
    index: DVec3,
    lies: f64,
    radius_mm: f64,
    wall_mm: f64,
}

impl Limb {
    fn point(&self, radius_mm: f64, clock: f64, along_mm: f64) -> DVec3 {
        let three = self.travel.cross(self.index);
        let out = self.index * clock.cos() + three * clock.sin();
        self.at + out * radius_mm + self.travel * (self.lies * along_mm)
    }

    /// Where the line at a clock leaves what `inside` says it begins in, mm along the tube: by halving.
    fn leaves_mm(&self, radius_mm: f64, clock: f64, inside: &dyn Fn(DVec3) -> bool) -> f64 {
        let (mut low, mut high) = (-FAR_MM, FAR_MM);
        // the last place inside counts: in from far off until the first place inside
        for step in 0..=(2.0 * FAR_MM) as i32 {
            let along = FAR_MM - f64::from(step);
            if inside(self.point(radius_mm, clock, along)) {
                (low, high) = (along, along + 1.0);
                break;
            }
        }
        for _ in 0..40 {
            let middle = f64::midpoint(low, high);
            if inside(self.point(radius_mm, clock, middle)) { low = middle } else { high = middle }
        }
        f64::midpoint(low, high)
    }

    /// What a line of the template loses at a clock, mm.
    fn lost_mm(&self, line: ShapedLine, clock: f64, inside: &dyn Fn(DVec3) -> bool) -> f64 {
        let at = |radius: f64| self.leaves_mm(radius, clock, inside);
        match line {
            ShapedLine::Outside => at(self.radius_mm),
            ShapedLine::Inside => at(self.radius_mm - self.wall_mm),
            ShapedLine::Seat => {
                let radii =
                    (0..=RADII).map(|k| self.radius_mm - self.wall_mm * f64::from(k) / f64::from(RADII));
                radii.map(at).fold(f64::MIN, f64::max)
            }
        }
    }
}

/// What an end loses at a clock, mm; nothing for an end that is not cut.
type Lost<'a> = Option<&'a dyn Fn(f64) -> f64>;

/// How far the edges of a strip are off, mm: every corner against what is cut in space, laid on each other at the index
/// line. `lost` gives what the start and the end lose at a clock, whichever of them is cut.
fn miss(outline: &[Point], width_mm: f64, (start, end): (Lost<'_>, Lost<'_>)) -> f64 {
    let left = outline[0].0;
    let turn = outline.windows(2).position(|w| w[1].0 <= w[0].0).unwrap() + 1;
    let (lower, upper) = outline.split_at(turn);
    let mut worst = (lower.last().unwrap().0 - left - width_mm).abs();
    for (chain, lost, sign) in [(lower, start, 1.0), (upper, end, -1.0)] {
        let Some(lost) = lost else { continue };
        let clock = |p: &Point| (p.0 - left) / width_mm * TAU;
        let first = chain.iter().min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
        let base = first.1 - sign * lost(clock(first));
        // each hundredth corner or so: halving is slow
        for p in chain.iter().step_by((chain.len() / 60).max(1)) {
            worst = worst.max((p.1 - base - sign * lost(clock(p))).abs());
        }
    }
    worst
}

/// Both written files of a strip, mm.
fn outlines(template: &Template) -> [Vec<Point>; 2] {
    [read::svg_outline(&svg(template)), read::dxf_outline(&dxf(template))]
}

fn written(pattern: &Pattern) -> [Vec<Point>; 2] {
    [read::svg_outline(&pattern.svg()), read::dxf_outline(&pattern.dxf())]
}

fn another_tube(project: &mut Project, od_mm: f64, wall_mm: f64) -> TubeId {
    let id = TubeId(project.fresh_id());
    let tube = Tube { id, od_mm, wall_mm, ..project.tubes[0].clone() };
    project.tubes.push(tube);
    id
}

/// A header of 76.2 forward along X, then left; branches of some sizes, angles and offsets on its first leg.
fn with_branch(
    od_mm: f64,
    (clock_deg, angle_deg, offset_mm): (f64, f64, f64),
) -> (Project, RunId, HardpointId) {
    let mut project = shop(76.2, 1.65);
    let header = run_through(
        &mut project,
        &[DVec3::ZERO, DVec3::X * 900.0, DVec3::new(900.0, 500.0, 0.0)],
        half(114.3, 4),
    );
    let tube = another_tube(&mut project, od_mm, 2.0);
    let id = port(&mut project, "branch", DVec3::ZERO, DVec3::X);
    let spot = Spot::Leg { leg: 0, station_mm: 400.0 };
    let seat = Some(Seat::Run { run: header, spot, clock_deg, angle_deg, offset_mm });
    let at =
        Hardpoint { seat, attachment: Attachment::Welded, od_mm, ..project.hardpoint(id).unwrap().clone() };
    project = apply(&project, &Edit::PutHardpoint(at)).unwrap();
    let run = into_the_open(&mut project, id, tube, 300.0);
    (project, run, id)
}

fn in_header(p: DVec3) -> bool {
    p.y.hypot(p.z) < 38.1
}

#[test]
fn the_written_cut_of_a_branch_leaves_the_header_where_the_tube_does() {
    let cases = [
        (50.8, (0.0, 90.0, 0.0)),
        (38.1, (37.0, 45.0, 0.0)),
        (50.8, (200.0, 120.0, 8.0)),
        (76.2, (90.0, 60.0, 0.0)),
        (30.0, (300.0, 30.0, -15.0)),
    ];
    for (od_mm, how) in cases {
        let (mut project, run, start) = with_branch(od_mm, how);
        for line in [ShapedLine::Seat, ShapedLine::Outside, ShapedLine::Inside] {
            project.settings.allowances.shaped_edge = line;
            let report = Report::new(&project);
            let told = report.run(run).unwrap();
            let mark = &told.printed[0].mark;
            let all = all_templates(&project, &report);
            let strip = all.iter().find(|t| t.names.contains(mark)).unwrap();
            assert!(matches!(strip.part, Part::Start { .. }), "{:?}", strip.part);
            let at = project.hardpoint(start).unwrap();
            let travel = unit(at.direction);
            let index = unit(at.clock.reject_from(travel));
            let limb =
                Limb { at: at.position_mm, travel, index, lies: 1.0, radius_mm: od_mm / 2.0, wall_mm: 2.0 };
            let lost = |clock: f64| limb.lost_mm(line, clock, &in_header);
            for outline in outlines(strip) {
                let off = miss(&outline, PI * (od_mm + strip.paper_mm), (Some(&lost), None));
                assert!(off < OFF_MM, "OD {od_mm} {how:?} {line:?}: {off}");
            }
        }
    }
}

#[test]
fn the_written_hole_is_what_the_bore_opens() {
    for (od_mm, how) in [(50.8, (0.0, 90.0, 0.0)), (38.1, (37.0, 45.0, 0.0)), (50.8, (200.0, 120.0, 8.0))] {
        let (project, _, start) = with_branch(od_mm, how);
        let patterns = all_patterns(&project, &Report::new(&project));
        let [hole] = &patterns[..] else { panic!("{} patterns", patterns.len()) };
        let at = project.hardpoint(start).unwrap();
        let (middle, axis) = (at.position_mm, unit(at.direction));
        // the branch begins on the skin; clocks from up, right-handed about X
        let clock = (-middle.y).atan2(middle.z);
        let h = 38.1;
        assert!((middle.y.hypot(middle.z) - h).abs() < 1e-6);
        let wider = (76.2 + project.settings.allowances.paper_mm) / 76.2;
        // the file begins its sheet elsewhere: by its first corner it is laid on the pattern, whose middle is at 0
        for outline in written(hole) {
            let drawn = &hole.outlines[0];
            let shift = (outline[0].0 - drawn[0].0, outline[0].1 - drawn[0].1);
            let mut worst = 0.0_f64;
            for p in &outline {
                let (x, y) = (p.0 - shift.0, p.1 - shift.1);
                let turn = clock + x / wider / h;
                let on = DVec3::new(middle.x + y, -h * turn.sin(), h * turn.cos());
                let off = (on - middle).cross(axis).length() - (od_mm / 2.0 - 2.0);
                worst = worst.max(off.abs());
            }
            assert!(worst < OFF_MM, "OD {od_mm} {how:?}: {worst}");
            assert!(outline.len() > 60);
        }
    }
}

/// Equal tubes whose axes meet in one point: each two meet in the plane that halves the angle between them.
#[test]
fn the_written_cuts_of_a_merge_lie_in_the_planes_between_its_tubes() {
    for (first, second) in [(15.0, 15.0), (30.0, 20.0), (60.0, 60.0), (12.0, 40.0)] {
        let mut project = shop(50.8, 1.65);
        let tube = project.tubes[0].id;
        let new = new_item::merge(&mut project, DVec3::new(500.0, 100.0, 50.0));
        project = apply(&project, &new.edit()).unwrap();
        let arms = vec![
            MergeArm { angle_deg: first, clock_deg: 90.0 },
            MergeArm { angle_deg: second, clock_deg: 270.0 },
        ];
        let merge = Merge { arms, ..project.merges[0].clone() };
        project = apply(&project, &Edit::PutMerge(merge.clone())).unwrap();
        let ports: Vec<HardpointId> = new.ports.iter().map(|p| p.id).collect();
        let runs: Vec<RunId> =
            ports.iter().map(|port| into_the_open(&mut project, *port, tube, 250.0)).collect();
        let report = Report::new(&project);
        let all = all_templates(&project, &report);
        // away from the point they meet in; clock 90 is to the left of +X with 12 o'clock up
        let lean = |deg: f64, side: f64| {
            let (sin, cos) = f64::to_radians(deg).sin_cos();
            DVec3::new(-cos, side * sin, 0.0)
        };
        let away = |p: HardpointId| unit(project.hardpoint(p).unwrap().direction);
        let ways: Vec<DVec3> = ports.iter().map(|p| away(*p)).collect();
        for (way, wanted) in ways.iter().zip([lean(first, -1.0), lean(second, 1.0), DVec3::X]) {
            assert!(way.distance(wanted) < 1e-9 || way.distance(wanted * DVec3::new(1.0, -1.0, 1.0)) < 1e-9);
        }
        for (i, run) in runs.iter().enumerate() {
            let told = report.run(*run).unwrap();
            assert!(told.built.is_buildable(), "{first} {second}: {:?}", report.findings);
            let strip = all.iter().find(|t| t.names.contains(&told.printed[0].mark)).unwrap();
            let travel = ways[i];
            let index = told.built.frames[0].0.index;
            let limb =
                Limb { at: merge.position_mm, travel, index, lies: 1.0, radius_mm: 25.4, wall_mm: 1.65 };
            let beyond = |p: DVec3| {
                let from = p - merge.position_mm;
                ways.iter().enumerate().any(|(k, other)| k != i && from.dot(*other) > from.dot(travel))
            };
            let lost = |clock: f64| limb.lost_mm(ShapedLine::Seat, clock, &beyond);
            for outline in outlines(strip) {
                let off = miss(&outline, PI * (50.8 + strip.paper_mm), (Some(&lost), None));
                assert!(off < OFF_MM, "{first} {second} tube {i}: {off}");
            }
        }
    }
}

fn bar_onto(project: &mut Project, ends: [DVec3; 2], wall_mm: Option<f64>, od_mm: f64) -> Bar {
    let mut bar = new_item::bar(project, ends[0]);
    (bar.od_mm, bar.wall_mm, bar.id) = (od_mm, wall_mm, BarId(project.fresh_id()));
    let tubes = [(DVec3::new(0.3, 0.1, 1.0), 60.3), (DVec3::new(-0.2, 1.0, 0.4), 48.3)];
    for ((end, at), (along, od_mm)) in bar.ends.iter_mut().zip(ends).zip(tubes) {
        end.position_mm = at;
        end.make = BarEndMake::Cope { onto: Onto::Tube { through_mm: at, along, od_mm }, pad: None };
    }
    bar
}

fn in_tube(make: &BarEndMake) -> impl Fn(DVec3) -> bool + use<> {
    let BarEndMake::Cope { onto: Onto::Tube { through_mm, along, od_mm }, .. } = *make else {
        panic!("coped onto a tube")
    };
    let along = unit(along);
    move |p: DVec3| (p - through_mm).cross(along).length() < od_mm / 2.0
}

#[test]
fn the_written_copes_of_a_bar_leave_both_tubes_where_it_does() {
    for (length, wall_mm, od_mm) in [(150.0, Some(2.1), 30.0), (400.0, Some(3.0), 38.1), (140.0, None, 25.4)]
    {
        let mut project = shop(50.8, 1.65);
        let travel = unit(DVec3::new(1.0, 0.35, 0.2));
        let ends = [DVec3::new(100.0, 50.0, 0.0), DVec3::new(100.0, 50.0, 0.0) + travel * length];
        let bar = bar_onto(&mut project, ends, wall_mm, od_mm);
        project.bars.push(bar.clone());
        let report = Report::new(&project);
        assert!(report.bars[0].buildable, "{:?}", report.findings);
        let strips = all_templates(&project, &report);
        assert_eq!(strips.len(), if length > 200.0 { 2 } else { 1 });
        let index = unit(DVec3::Z.reject_from(travel));
        let limb = |end: usize| Limb {
            at: ends[end],
            travel,
            index,
            lies: if end == 0 { 1.0 } else { -1.0 },
            radius_mm: od_mm / 2.0,
            wall_mm: wall_mm.unwrap_or(0.0),
        };
        // solid bar is cut to its outside
        let line = if wall_mm.is_some() { ShapedLine::Seat } else { ShapedLine::Outside };
        let (one, two) = (in_tube(&bar.ends[0].make), in_tube(&bar.ends[1].make));
        let start = |clock: f64| limb(0).lost_mm(line, clock, &one);
        let end = |clock: f64| limb(1).lost_mm(line, clock, &two);
        for strip in &strips {
            assert_eq!(strip.names, ["BAR1"]);
            let (first, last): (Lost<'_>, Lost<'_>) = match strip.part {
                Part::Whole => (Some(&start), Some(&end)),
                Part::Start { .. } => (Some(&start), None),
                Part::End { .. } => (None, Some(&end)),
            };
            for outline in outlines(strip) {
                let off = miss(&outline, PI * (od_mm + strip.paper_mm), (first, last));
                assert!(off < OFF_MM, "{length} {:?}: {off}", strip.part);
                if strip.part == Part::Whole {
                    // between the two edges at the seam lies what the saw leaves, printed to the tape's step
                    let rounded = report.bars[0].cut_printed_mm - report.bars[0].cut_mm;
                    let high = outline.last().unwrap().1 - outline[0].1;
                    let want = length - start(0.0) - end(0.0) + rounded;
                    assert!((high - want).abs() < OFF_MM, "{high} for {want}");
                }
            }
        }
    }
}

/// A bar bent in a plane: the strip ends where the bend begins, and shows where its inside is.
#[test]
fn the_strip_of_a_bent_bar_ends_at_the_bend_and_shows_its_inside() {
    let mut project = shop(50.8, 1.65);
    let ends = [DVec3::ZERO, DVec3::new(150.0, 0.0, -300.0)];
    let mut bar = bar_onto(&mut project, ends, Some(2.1), 20.0);
    bar.ends[0].make = BarEndMake::Cope {
        onto: Onto::Tube { through_mm: DVec3::ZERO, along: DVec3::Y, od_mm: 60.0 },
        pad: None,
    };
    bar.ends[1].make = BarEndMake::Plate { stand_off_mm: 0.0 };
    // forward for 150, then down with a centreline radius of 60: the bend begins at 90
    bar.corners.push(BarCorner { position_mm: DVec3::new(150.0, 0.0, 0.0), clr_mm: 60.0 });
    project.bars.push(bar);
    let report = Report::new(&project);
    assert!(report.bars[0].buildable, "{:?}", report.findings);
    let strips = all_templates(&project, &report);
    let [strip] = &strips[..] else { panic!("{} strips", strips.len()) };
    // down is half round from the index line, which is up
    assert!((strip.bend_clock_rad.unwrap() - PI).abs() < 1e-9);
    let words = read::dxf_words(&dxf(strip)).join(" ");
    for part in ["inside of bend 180.0", "where the bend begins", "what it sits on", "BAR1"] {
        assert!(words.contains(part), "{part}: {words}");
    }
    for outline in outlines(strip) {
        // at the top, 10 up, the outside leaves the tube first; the bore, 7.9 up, goes on to √(30² − 7.9²)
        let (low, high) = (outline[0].1, outline.last().unwrap().1);
        assert!((high - low - (90.0 - (900.0 - 7.9_f64 * 7.9).sqrt())).abs() < OFF_MM, "{}", high - low);
    }
}

/// Lengths and areas of a cone's middle fibre by many small triangles in space, against the written flat's own.
#[test]
fn the_written_flat_of_a_taper_is_as_large_as_the_cone_and_as_long_round() {
    for (offset_mm, offset_clock_deg) in [(0.0, 0.0), (9.0, 90.0), (12.7, 200.0)] {
        let mut project = shop(76.2, 1.65);
        let (from, first) = (port(&mut project, "from", DVec3::ZERO, DVec3::X), project.tubes[0].id);
        let run = into_the_open(&mut project, from, first, 800.0);
        let tube = another_tube(&mut project, 50.8, 1.65);
        let mut new = project.run(run).unwrap().clone();
        let taper = new_item::taper(&mut project, &new).unwrap();
        assert_eq!(taper.tube, tube);
        let make = TaperMake::Rolled { seam_clock_deg: 45.0, lap_mm: 0.0 };
        let (length_mm, wall_mm) = (120.0, 2.0);
        new.tapers.push(pipeloft_core::model::Taper {
            offset_mm,
            offset_clock_deg,
            make,
            length_mm,
            wall_mm,
            station_mm: 300.0,
            ..taper
        });
        project = apply(&project, &Edit::PutRun(new)).unwrap();
        let report = Report::new(&project);
        let patterns = all_patterns(&project, &report);
        let [flat] = &patterns[..] else { panic!("{} patterns: {:?}", patterns.len(), report.findings) };

        let out = |clock: f64| DVec3::new(clock.cos(), clock.sin(), 0.0);
        let shift = out(f64::to_radians(offset_clock_deg)) * offset_mm + DVec3::Z * length_mm;
        // half a wall in from both circles, square to the plane that touches them
        let fibre = |clock: f64| {
            let ends = [out(clock) * 38.1, shift + out(clock) * 25.4];
            let round = DVec3::new(-clock.sin(), clock.cos(), 0.0);
            let normal = unit(round.cross(ends[1] - ends[0]));
            ends.map(|p| p - normal * (wall_mm / 2.0))
        };
        let steps = 40_000;
        let (mut area, mut round) = (0.0, 0.0);
        for i in 0..steps {
            let [a, b] = fibre(TAU * f64::from(i) / f64::from(steps));
            let [c, d] = fibre(TAU * f64::from(i + 1) / f64::from(steps));
            area += f64::midpoint((c - a).cross(b - a).length(), (d - b).cross(c - b).length());
            round += a.distance(c) + b.distance(d);
        }
        let [a, b] = fibre(f64::to_radians(45.0));
        let around = round + 2.0 * a.distance(b);
        for outline in written(flat) {
            let next = outline.iter().skip(1).chain(outline.first());
            let (mut twice, mut edge) = (0.0, 0.0);
            for (p, q) in outline.iter().zip(next) {
                twice += p.0 * q.1 - q.0 * p.1;
                edge += (q.0 - p.0).hypot(q.1 - p.1);
            }
            assert!((edge - around).abs() < OFF_MM, "{offset_mm}: {edge} for {around}");
            // 0.05 mm all along the edge
            let off = (twice.abs() / 2.0 - area).abs();
            assert!(off < OFF_MM * around / 4.0, "{offset_mm}: {off} mm² of {area}");
        }
    }
}

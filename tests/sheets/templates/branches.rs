//! Random branches on straights, elbows, slices and tapers, cut along their written templates: whether they touch all round,
//! stand in the header, or leave metal in a bore, and whether the holes are their bores. What the header is, where lines come
//! out of it and how paper lies on it is worked out here, from places and sizes alone.

use super::bends::{CENTRE, CLR_MM, OD_MM, go, on_torus};
use super::meeting::Lines;
use super::{Point, read};
use glam::DVec3;
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::model::{
    Attachment, BendMake, Hardpoint, HardpointId, Project, RunId, Seat, Spot, Taper, TaperId, TaperMake,
    Tube, TubeId,
};
use pipeloft_core::report::{PieceForm, Report};
use pipeloft_core::sheet::template::dxf;
use pipeloft_core::sheet::{all_patterns, all_templates};
use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::{ELBOW, half, into_the_open, port, run_through, shop};
use std::f64::consts::TAU;

/// A seam may be open by this much, mm: what a bead bridges.
const OPEN_MM: f64 = 0.5;
/// Metal may stand in other metal by this much, mm: the corner of a chord.
const DEEP_MM: f64 = 0.05;
/// A hole is the branch's bore within this, mm.
const HOLE_MM: f64 = 0.2;
/// Metal of another branch may stand in a bore by this much beyond its wall, mm.
const IN_BORE_MM: f64 = 0.3;
/// Where the taper begins and ends, mm from the start.
const TAPER: (f64, f64) = (250.0, 370.0);
/// Radius of the tube after it, mm.
const WIDE_MM: f64 = 88.9 / 2.0;

fn unit(v: DVec3) -> DVec3 {
    v / v.length()
}

/// A stretch of a header, with the planes that end it: a point and the way out.
#[derive(Debug, Clone)]
struct Stretch {
    shape: Shape,
    ends: Vec<(DVec3, DVec3)>,
}

#[derive(Debug, Clone)]
enum Shape {
    /// Axis, its way, radius.
    Round(DVec3, DVec3, f64),
    /// The bend of [`CENTRE`].
    Torus,
    /// Circles from the start of [`TAPER`] on that grow and are set off.
    Cone { first_mm: f64, grows: f64, leans: DVec3 },
}

impl Stretch {
    /// Distance from it, mm, below nought inside: exact beside its skin.
    fn off(&self, p: DVec3) -> f64 {
        let skin = match &self.shape {
            Shape::Round(at, way, r) => {
                let from = p - *at;
                (from - *way * from.dot(*way)).length() - r
            }
            Shape::Torus => {
                let from = p - CENTRE;
                (from.x.hypot(from.y) - CLR_MM).hypot(from.z) - OD_MM / 2.0
            }
            Shape::Cone { first_mm, grows, leans } => {
                let z = p.x - TAPER.0;
                let from = DVec3::new(0.0, p.y, p.z) - *leans * z;
                let g = from.length() - first_mm - grows * z;
                let out = unit(from);
                g / 1.0_f64.hypot(out.dot(*leans) + grows)
            }
        };
        self.ends.iter().map(|(at, out)| (p - *at).dot(*out)).fold(skin, f64::max)
    }

    fn round(a: DVec3, b: DVec3, r: f64) -> Self {
        let way = unit(b - a);
        Self { shape: Shape::Round(a, way, r), ends: vec![(a, -way), (b, way)] }
    }
}

fn off(all: &[Stretch], p: DVec3) -> f64 {
    all.iter().map(|s| s.off(p)).fold(f64::INFINITY, f64::min)
}

/// A header with what lays paper on it.
struct Header {
    project: Project,
    run: RunId,
    all: Vec<Stretch>,
    laid: Laid,
}

enum Laid {
    /// Round the axis along X.
    Straight,
    Elbow,
    /// Slices as cylinders: a place of the axis and its way.
    Slices(Vec<(DVec3, DVec3)>),
    /// On one axis: apex on X, and the sine of the half angle.
    Cone(f64, f64),
    /// Nothing is known of how it lies.
    None,
}

fn header(kind: u64, dice: &mut Dice) -> Header {
    let mut project = shop(OD_MM, 2.0);
    let points = [DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 600.0, 0.0)];
    let r = OD_MM / 2.0;
    let make = if kind == 1 { BendMake::Elbow { elbow: ELBOW } } else { half(CLR_MM, 4) };
    let run = run_through(&mut project, &points, make);
    let straight = vec![Stretch::round(DVec3::ZERO, DVec3::X * 480.0, r)];
    match kind {
        1 => {
            let (a, b) = (DVec3::X * (600.0 - CLR_MM), DVec3::new(600.0, CLR_MM, 0.0));
            let all = vec![
                Stretch::round(DVec3::ZERO, a, r),
                Stretch { shape: Shape::Torus, ends: vec![(a, -DVec3::X), (b, DVec3::Y)] },
                Stretch::round(b, DVec3::new(600.0, 600.0, 0.0), r),
            ];
            Header { project, run, all, laid: Laid::Elbow }
        }
        2 => {
            // corners of the polygon that the slices' axes make round the bend
            let report = Report::new(&project);
            let told = report.run(run).unwrap();
            let slices = told.pieces.iter().zip(&told.laid).filter(|(p, _)| p.kind != PieceForm::Joint);
            let axes: Vec<(DVec3, DVec3)> = slices.map(|(_, l)| (l.start.at_mm, l.end.at_mm)).collect();
            let ways: Vec<DVec3> = axes.iter().map(|(a, b)| unit(*b - *a)).collect();
            let all = axes.iter().enumerate().map(|(i, (a, b))| {
                let before = i.checked_sub(1).map_or(ways[i], |k| ways[k]);
                let after = ways.get(i + 1).copied().unwrap_or(ways[i]);
                let ends = vec![(*a, -unit(before + ways[i])), (*b, unit(after + ways[i]))];
                Stretch { shape: Shape::Round(*a, ways[i], r), ends }
            });
            let all = all.collect();
            let laid = Laid::Slices(axes.iter().map(|(a, _)| *a).zip(ways).collect());
            Header { project, run, all, laid }
        }
        3 => {
            let tube = TubeId(project.fresh_id());
            project.tubes.push(Tube { id: tube, od_mm: 2.0 * WIDE_MM, ..project.tubes[0].clone() });
            let offset_mm = if dice.below(3) == 0 { dice.between(2.0, 12.0) } else { 0.0 };
            let offset_clock_deg = dice.between(0.0, 360.0);
            let taper = Taper {
                id: TaperId(project.fresh_id()),
                leg: 0,
                station_mm: f64::midpoint(TAPER.0, TAPER.1),
                length_mm: TAPER.1 - TAPER.0,
                tube,
                wall_mm: 2.0,
                offset_mm,
                offset_clock_deg,
                make: TaperMake::Bought,
            };
            let mut with = project.run(run).unwrap().clone();
            with.tapers.push(taper);
            project = apply(&project, &Edit::PutRun(with)).unwrap();
            let grows = (WIDE_MM - r) / (TAPER.1 - TAPER.0);
            // 12 o'clock is up, and clocks grow to the right, which is −Y
            let (sin, cos) = offset_clock_deg.to_radians().sin_cos();
            let shift = DVec3::new(0.0, -sin, cos) * offset_mm;
            let leans = shift / (TAPER.1 - TAPER.0);
            let (a, b) = (DVec3::X * TAPER.0, DVec3::X * TAPER.1 + shift);
            let all = vec![
                Stretch::round(DVec3::ZERO, a, r),
                Stretch {
                    shape: Shape::Cone { first_mm: r, grows, leans },
                    ends: vec![(a, -DVec3::X), (b, DVec3::X)],
                },
                Stretch::round(b, DVec3::X * 480.0 + shift, WIDE_MM),
            ];
            let on_axis = offset_mm < 1e-9;
            let laid = if on_axis { Laid::Cone(TAPER.0 - r / grows, grows.atan().sin()) } else { Laid::None };
            Header { project, run, all, laid }
        }
        _ => Header { project, run, all: straight, laid: Laid::Straight },
    }
}

/// Sizes of tube for branches, OD and wall, mm.
const SIZES: [(f64, f64); 5] = [(25.4, 1.5), (31.8, 1.65), (38.1, 1.5), (44.45, 2.0), (50.8, 1.65)];

struct Branch {
    run: RunId,
    port: HardpointId,
    radius_mm: f64,
    bore_mm: f64,
}

fn put(header: &mut Header, seat: Seat, (od_mm, wall_mm): (f64, f64)) -> Option<Branch> {
    let project = &mut header.project;
    let tube = TubeId(project.fresh_id());
    project.tubes.push(Tube { id: tube, od_mm, wall_mm, ..project.tubes[0].clone() });
    let id = port(project, "branch", DVec3::ZERO, DVec3::X);
    let at = project.hardpoint(id).unwrap().clone();
    let at = Hardpoint { seat: Some(seat), attachment: Attachment::Welded, od_mm, ..at };
    *project = apply(project, &Edit::PutHardpoint(at)).ok()?;
    let run = into_the_open(project, id, tube, 300.0);
    Some(Branch { run, port: id, radius_mm: od_mm / 2.0, bore_mm: od_mm / 2.0 - wall_mm })
}

/// A branch as it comes from the saw and the files.
struct Cut {
    at: DVec3,
    travel: DVec3,
    index: DVec3,
    radius_mm: f64,
    bore_mm: f64,
    strip: Vec<Point>,
    kept: Lines,
    top_mm: f64,
}

impl Cut {
    fn of(project: &Project, report: &Report, branch: &Branch) -> Self {
        let told = report.run(branch.run).unwrap();
        let frame = told.laid[0].start;
        let strips = all_templates(project, report);
        let strip = strips.iter().find(|t| t.names.contains(&told.printed[0].mark)).unwrap();
        let lines = read::dxf_cuts(&dxf(strip));
        let first = strip.outline()[0];
        let shift = (lines[0][0].0 - first.0, lines[0][0].1 - first.1);
        let width = strip.width_mm();
        let on = |p: &Point| ((p.0 - shift.0) / width * TAU, p.1 - shift.1);
        let lines: Vec<Vec<Point>> = lines.iter().map(|line| line.iter().map(on).collect()).collect();
        let top_mm = lines[0].iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
        Self {
            at: frame.at_mm,
            travel: frame.travel,
            index: frame.index,
            radius_mm: branch.radius_mm,
            bore_mm: branch.bore_mm,
            strip: lines[0].clone(),
            kept: Lines::new(&lines),
            top_mm,
        }
    }

    fn point(&self, clock: f64, along_mm: f64, radius_mm: f64) -> DVec3 {
        let out = self.index * clock.cos() + self.travel.cross(self.index) * clock.sin();
        self.at + self.travel * along_mm + out * radius_mm
    }

    fn off_axis(&self, p: DVec3) -> f64 {
        (p - self.at).cross(self.travel).length()
    }

    /// The shaped edge: clock and place along, close together.
    fn edge(&self) -> Vec<Point> {
        let next = |i: usize| self.strip[(i + 1) % self.strip.len()];
        let on_tube = |p: &Point| p.1 < self.top_mm - 0.5 && p.0 > 1e-6 && p.0 < TAU - 1e-6;
        let dense = (0..self.strip.len()).flat_map(|i| {
            let (a, b) = (self.strip[i], next(i));
            let steps = ((b.0 - a.0).abs() * self.radius_mm).hypot(b.1 - a.1).ceil().clamp(1.0, 300.0);
            (0..steps as u32).map(move |k| {
                let t = f64::from(k) / steps;
                (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t)
            })
        });
        dense.filter(on_tube).collect()
    }
}

#[derive(Debug, Default)]
struct Faults {
    open: (f64, String),
    deep: (f64, String),
    hole: (f64, String),
    in_bore: (f64, String),
}

fn worse(worst: &mut (f64, String), mm: f64, at: impl FnOnce() -> String) {
    if mm > worst.0 {
        *worst = (mm, at());
    }
}

impl Faults {
    fn none(&self) -> bool {
        self.open.0 < OPEN_MM && self.deep.0 < DEEP_MM && self.hole.0 < HOLE_MM && self.in_bore.0 < IN_BORE_MM
    }

    /// The seat of a branch on what it sits on; places that `notched` tells are no seat.
    fn seat(&mut self, cut: &Cut, on: &[Stretch], notched: &dyn Fn(DVec3) -> bool) {
        for (clock, along) in cut.edge() {
            let wall = cut.radius_mm - cut.bore_mm;
            let depths = (0..=8).map(|i| cut.bore_mm + wall * f64::from(i) / 8.0);
            let offs: Vec<f64> = depths.map(|r| off(on, cut.point(clock, along, r))).collect();
            let least = offs.iter().copied().fold(f64::INFINITY, f64::min);
            let at = || format!("{:.1}° {along:.2}", clock.to_degrees());
            worse(&mut self.deep, -least, at);
            if !notched(cut.point(clock, along, cut.radius_mm)) {
                worse(&mut self.open, least, at);
            }
        }
    }

    /// The hole that is drawn for it, laid on the header.
    fn hole(&mut self, header: &Header, report: &Report, branch: &Branch, cut: &Cut) {
        let told = report.run(header.run).unwrap();
        let name = &report.run(branch.run).unwrap().name;
        let hole = told.holes.iter().find(|h| h.of == *name).unwrap();
        let patterns = all_patterns(&header.project, report);
        let title = format!("{} in ", hole.mark);
        let pattern = patterns.iter().find(|p| p.title.starts_with(&title)).unwrap();
        let outline = read::dxf_outline(&pattern.dxf());
        let drawn = pattern.outlines[0][0];
        let shift = (outline[0].0 - drawn.0, outline[0].1 - drawn.1);
        let middle = header.project.hardpoint(branch.port).unwrap().position_mm;
        assert!(off(&header.all, middle).abs() < 1e-3, "the branch begins on the skin: {middle}");
        // half the paper's thickness further out than the skin
        let round_mm = match header.laid {
            Laid::Cone(apex, sine) => (middle.x - apex) * sine.asin().tan(),
            _ => OD_MM / 2.0,
        };
        let wider = 1.0 + header.project.settings.allowances.paper_mm / (2.0 * round_mm);
        let miss = |p: DVec3| (cut.off_axis(p) - cut.bore_mm).abs();
        assert!(outline.len() > 40, "{}", outline.len());
        for p in &outline {
            let (x, y) = ((p.0 - shift.0) / wider, p.1 - shift.1);
            let clock = |at: DVec3, way: DVec3, p: DVec3| {
                let up = DVec3::Z;
                let from = p - at;
                from.dot(way.cross(up)).atan2(from.dot(up))
            };
            let on_round = |at: DVec3, way: DVec3, along: f64, clock: f64| {
                let c = clock + x / (OD_MM / 2.0);
                at + way * along + (DVec3::Z * c.cos() + way.cross(DVec3::Z) * c.sin()) * (OD_MM / 2.0)
            };
            let by = match &header.laid {
                Laid::Straight => {
                    miss(on_round(DVec3::ZERO, DVec3::X, middle.x + y, clock(DVec3::ZERO, DVec3::X, middle)))
                }
                Laid::Elbow => {
                    let from = middle - CENTRE;
                    let round = from.x.atan2(-from.y);
                    let tube = from.z.atan2(from.x.hypot(from.y) - CLR_MM);
                    assert!(on_torus(round, tube).distance(middle) < 1e-3);
                    let p = go((round, tube), y, -x);
                    // beyond the ends of the bend it lies on straight tube, and the ways of a torus lead elsewhere
                    if p.x >= 600.0 - CLR_MM && p.y <= CLR_MM { miss(p) } else { 0.0 }
                }
                Laid::Slices(axes) => {
                    // each slice begins on paper where the one before it ends, on the line at the middle's clock; a chord may
                    // end just beyond its weld
                    let (from_mm, at_clock) = laid_from(&header.all, axes, middle);
                    let candidates =
                        axes.iter().zip(&from_mm).zip(&header.all).filter_map(|((axis, from), own)| {
                            let p = on_round(axis.0, axis.1, y - from, at_clock);
                            (own.off(p) < 0.05).then(|| miss(p))
                        });
                    candidates.fold(f64::INFINITY, f64::min)
                }
                Laid::Cone(apex, sine) => {
                    // the skin of a cone is a sector about its apex
                    let from = middle - DVec3::X * *apex;
                    let slant = from.length() + y;
                    let (far, turn) = (slant.hypot(x), x.atan2(slant) / sine);
                    let c = clock(DVec3::ZERO, DVec3::X, middle) + turn;
                    let out = DVec3::Z * c.cos() - DVec3::Y * c.sin();
                    let p = DVec3::X * (*apex + far * sine.asin().cos()) + out * (far * sine);
                    // beyond its ends the skin is that of the tube there, which lies on no sector
                    if (TAPER.0..=TAPER.1).contains(&p.x) { miss(p) } else { 0.0 }
                }
                Laid::None => 0.0,
            };
            worse(&mut self.hole, by, || format!("x {x:.2} y {y:.2}"));
        }
    }

    /// Metal of one branch in the bore of another, `h` deep in the header at the most.
    fn in_bore(&mut self, cut: &Cut, other: &Cut, on: &[Stretch]) {
        let wall = cut.radius_mm - cut.bore_mm;
        for c in 0..360 {
            for s in 0..200 {
                let (clock, along) =
                    (TAU * (f64::from(c) + 0.31) / 360.0, cut.top_mm - 2.0 - 0.5 * f64::from(s));
                let p = cut.point(clock, along, cut.radius_mm);
                let above = (p - other.at).dot(other.travel) > -OD_MM / 2.0 && off(on, p) > 0.5;
                if above && cut.kept.hold(clock, along) {
                    // a notch cut square to its wall leaves as much as that
                    let by = other.bore_mm - other.off_axis(p) - wall;
                    worse(&mut self.in_bore, by, || format!("{:.1}° {along:.2}", clock.to_degrees()));
                }
            }
        }
    }
}

/// For each slice, where on paper its axis has its own place of naught: what is written there less how far along the axis it
/// lies, mm; and the clock of the middle on its own slice. The middle of the hole is written at naught.
fn laid_from(all: &[Stretch], axes: &[(DVec3, DVec3)], middle: DVec3) -> (Vec<f64>, f64) {
    let own = all.iter().position(|s| s.off(middle).abs() < 1e-2).unwrap();
    let (at, way) = axes[own];
    let clock = (middle - at).dot(way.cross(DVec3::Z)).atan2((middle - at).z);
    let welds = |i: usize| -> [f64; 2] {
        let (at, way) = axes[i];
        let out = (DVec3::Z * clock.cos() + way.cross(DVec3::Z) * clock.sin()) * (OD_MM / 2.0);
        let meets = |(p, n): (DVec3, DVec3)| (p - at - out).dot(n) / way.dot(n);
        [meets(all[i].ends[0]), meets(all[i].ends[1])]
    };
    let mut out = vec![0.0; axes.len()];
    out[own] = -(middle - at).dot(way);
    for i in own + 1..axes.len() {
        out[i] = out[i - 1] + welds(i - 1)[1] - welds(i)[0];
    }
    for i in (0..own).rev() {
        out[i] = out[i + 1] + welds(i + 1)[0] - welds(i)[1];
    }
    (out, clock)
}

struct Scene {
    told: String,
    header: Header,
    branches: Vec<Branch>,
    report: Report,
}

fn roll(dice: &mut Dice) -> Option<Scene> {
    let kind = dice.below(5);
    let mut header = header(kind, dice);
    let spot = match kind {
        1 | 2 => Spot::Bend { leg: 0, turn_deg: dice.between(10.0, 80.0) },
        3 => Spot::Leg { leg: 0, station_mm: dice.between(TAPER.0 - 10.0, TAPER.1 + 10.0) },
        _ => Spot::Leg { leg: 0, station_mm: dice.between(150.0, 300.0) },
    };
    let (clock_deg, angle_deg) = (dice.between(0.0, 360.0), dice.between(45.0, 135.0));
    let size = SIZES[dice.below(SIZES.len() as u64) as usize];
    let most_mm = (OD_MM - size.0) / 2.0;
    let offset_mm = if dice.below(3) == 0 { dice.between(-0.5, 0.5) * most_mm } else { 0.0 };
    let run = header.run;
    let seat = Seat::Run { run, spot, clock_deg, angle_deg, offset_mm };
    let mut told = format!("kind {kind} {size:?} {seat:?}");
    let mut branches = vec![put(&mut header, seat, size)?];
    if kind == 4 {
        // a second one beside it, that leans away round the header or along it
        let Spot::Leg { station_mm, .. } = spot else { return None };
        let (turn, on) = (dice.between(35.0, 110.0), dice.between(-25.0, 25.0));
        let size = SIZES[dice.below(SIZES.len() as u64) as usize];
        let seat = Seat::Run {
            run,
            spot: Spot::Leg { leg: 0, station_mm: station_mm + on },
            clock_deg: clock_deg + turn,
            angle_deg: dice.between(60.0, 120.0),
            offset_mm: 0.0,
        };
        told = format!("{told} and {size:?} {seat:?}");
        branches.push(put(&mut header, seat, size)?);
    }
    let report = Report::new(&header.project);
    let made = |b: &Branch| report.run(b.run).unwrap().built.is_buildable();
    let all_made = branches.iter().all(made) && report.run(run).unwrap().built.is_buildable();
    all_made.then_some(Scene { told, header, branches, report })
}

fn faults(scene: &Scene) -> Faults {
    let Scene { header, branches, report, .. } = scene;
    let cuts: Vec<Cut> = branches.iter().map(|b| Cut::of(&header.project, report, b)).collect();
    let mut faults = Faults::default();
    let mut on = header.all.clone();
    for (i, (branch, cut)) in branches.iter().zip(&cuts).enumerate() {
        // what lies in the bore of one that is put on later is cut away
        let later = &cuts[i + 1..];
        let notched = |p: DVec3| {
            later.iter().any(|o| o.off_axis(p) < o.radius_mm + 0.5 && (p - o.at).dot(o.travel) > -OD_MM / 2.0)
        };
        faults.seat(cut, &on, &notched);
        faults.hole(header, report, branch, cut);
        for other in later {
            faults.in_bore(cut, other, &header.all);
            faults.in_bore(other, cut, &header.all);
        }
        // from the header's axis up
        let sine = cut.travel.cross(DVec3::X).length();
        let from = cut.at - cut.travel * (OD_MM / 2.0 / sine);
        on.push(Stretch::round(from, cut.at + cut.travel * 290.0, cut.radius_mm));
    }
    faults
}

#[test]
fn branches_cut_by_their_templates_seat_and_leave_their_bores_free() {
    let wanted: usize = std::env::var("PIPELOFT_BRANCHES").ok().and_then(|n| n.parse().ok()).unwrap_or(20);
    let mut dice = Dice(0x6272_616e);
    let (mut seen, mut tried, mut met) = (0, 0, 0);
    let (mut wrong, mut worst) = (Vec::new(), [0.0_f64; 4]);
    while seen < wanted && tried < 40 * wanted {
        tried += 1;
        let Some(scene) = roll(&mut dice) else { continue };
        seen += 1;
        met += usize::from(scene.report.findings.iter().any(|f| f.code == "branch-meets-branch"));
        let faults = faults(&scene);
        for (worst, own) in
            worst.iter_mut().zip([&faults.open, &faults.deep, &faults.hole, &faults.in_bore].map(|f| f.0))
        {
            *worst = worst.max(own);
        }
        if !faults.none() {
            wrong.push(format!("{}\n   {faults:?}", scene.told));
        }
    }
    eprintln!("{seen} of {tried}, {met} meet; open, deep, hole, in a bore: {worst:?}");
    assert!(seen == wanted, "only {seen} of {tried} could be made");
    assert!(met > 0, "none meets another");
    assert!(wrong.is_empty(), "{} of {seen} of {tried}:\n{}", wrong.len(), wrong.join("\n"));
}

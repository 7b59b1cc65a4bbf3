//! Gaps in random scenes, of every kind of solid and of pipes made of them to every kind of obstacle and to meshes,
//! against dense sampling that shares nothing with the program.

use super::forms::{self, Form};
use super::reference::{Dice, Place, Plate, SAMPLED_MM, Sampled, Target, chain, holds, least, obstacle};
use super::reference::{shards, sheet, solid, turned};
use glam::{DVec2, DVec3};
use pipeloft_core::geom::tolerance::GAP_MM;
use pipeloft_core::geom::{Barrel, Elbow, Frame, Solid};
use pipeloft_core::model::obstacle::Pose;
use pipeloft_core::space::scan::{PlacedScan, Scan, ScanTree, ScanUnit, Unwatched};
use pipeloft_core::space::{Gap, PlacedShape, tightest};
use std::f64::consts::TAU;
use std::sync::Arc;

/// What a shop needs of a gap, mm.
const SHOP_MM: f64 = 0.1;

/// A question to the program: the tightest gap below a limit, and which solid has it.
type Ask<'a> = &'a dyn Fn(f64) -> Option<(usize, Gap)>;

/// What came of many scenes.
#[derive(Debug, Default)]
struct Tally {
    scenes: usize,
    apart: usize,
    touching: usize,
    /// Furthest above and below the sampled distance, mm.
    over_mm: f64,
    under_mm: f64,
}

impl Tally {
    /// Compares one scene. `name` tells it in a failure.
    fn check(&mut self, solids: &[Solid], target: &Target, ask: Ask<'_>, name: &str) {
        self.scenes += 1;
        let (which, gap) = ask(f64::INFINITY).unwrap_or_else(|| panic!("{name}: no gap"));
        let tell = || format!("{name}: solid {which}, {gap:?}\n{solids:#?}");
        let Sampled::Apart(sampled_mm, nearest) = least(solids, target) else {
            self.touching += 1;
            assert!(gap.gap_mm <= SAMPLED_MM + GAP_MM, "sampling touches, {}", tell());
            return;
        };
        let off_mm = gap.gap_mm - sampled_mm;
        self.over_mm = self.over_mm.max(off_mm);
        self.under_mm = self.under_mm.max(-off_mm);
        assert!(off_mm.abs() < SHOP_MM, "sampled {sampled_mm} at solid {nearest}, {}", tell());
        // the truth lies below the sampled distance by no more than sampling misses, and the program's beside it
        let within = -(SAMPLED_MM + GAP_MM)..GAP_MM;
        assert!(within.contains(&off_mm), "sampled {sampled_mm} at solid {nearest}, {}", tell());
        if gap.gap_mm <= 0.0 {
            self.touching += 1;
            return;
        }
        self.apart += 1;
        let [on_solid, on_target] = [gap.on_first, gap.on_second];
        assert!((on_solid.distance(on_target) - gap.gap_mm).abs() < 1e-6, "{}", tell());
        assert!(holds(&solids[which], on_solid, GAP_MM), "the first point is beside its solid, {}", tell());
        assert!(target.distance_to_all(on_target).abs() < GAP_MM, "the second is off the other, {}", tell());
        // a limit just above it changes nothing, one just below leaves nothing
        let (_, near) = ask(gap.gap_mm + SHOP_MM).unwrap_or_else(|| panic!("cut off, {}", tell()));
        assert!((near.gap_mm - gap.gap_mm).abs() < GAP_MM, "{near:?}, {}", tell());
        let below = ask(gap.gap_mm - SHOP_MM);
        assert!(below.is_none(), "{below:?}, {}", tell());
    }
}

/// One solid of each kind in turn, or a pipe of many.
fn solids(dice: &mut Dice, kind: usize) -> Vec<Solid> {
    if kind % 6 == 5 { chain(dice, 150.0) } else { vec![solid(dice, kind % 6, 150.0)] }
}

/// `count` scenes with an obstacle of each kind in turn, `reach` from the middle.
fn with_obstacles(dice: &mut Dice, count: usize, reach: f64) -> Tally {
    let mut tally = Tally::default();
    for n in 0..count {
        let pose = Pose { position_mm: dice.point(reach), turn_deg: dice.turns() };
        let (shape, target) = obstacle(dice, n, &pose);
        // so that every kind of solid meets every kind of obstacle
        let solids = solids(dice, n / 7);
        let placed = PlacedShape::new(&shape, &pose);
        tally.check(
            &solids,
            &target,
            &|closer_than_mm| tightest(&solids, &placed, closer_than_mm),
            &format!("scene {n}, {shape:?} {pose:?}"),
        );
    }
    tally
}

/// Puts a mesh at `pose`, its file in some unit; and its triangles to sample.
fn placed(form: &Form, pose: &Pose, mm_per_unit: f64) -> (PlacedScan, Target) {
    let in_file: Vec<DVec3> = form.points.iter().map(|&p| p / mm_per_unit).collect();
    let scan = Scan::from_triangles(&in_file, &form.triangles, ScanUnit::Millimetre).unwrap();
    let tree = Arc::new(ScanTree::new(scan, &Unwatched).unwrap());
    let turn = turned(pose.turn_deg);
    let there = form.clone().moved(|p| turn * p + pose.position_mm).corners();
    (PlacedScan::new(tree, pose, mm_per_unit).unwrap(), Target::Mesh(there))
}

fn mesh(dice: &mut Dice, kind: usize) -> Form {
    match kind % 4 {
        0 => sheet(dice, 8),
        1 => shards(dice, 60),
        2 => forms::torus(14, 8, dice.between(120.0, 220.0), dice.between(15.0, 50.0)),
        _ => forms::pipe(4, 20, dice.between(20.0, 90.0), dice.between(100.0, 300.0)),
    }
}

/// `count` scenes with a mesh of each kind in turn.
fn with_meshes(dice: &mut Dice, count: usize) -> Tally {
    let mut tally = Tally::default();
    for n in 0..count {
        let pose = Pose { position_mm: dice.point(150.0), turn_deg: dice.turns() };
        let (scan, target) = placed(&mesh(dice, n), &pose, [1.0, 25.4, 1000.0][n % 3]);
        let solids = solids(dice, n / 4);
        let ask = |closer_than_mm: f64| {
            let found = scan.tightest(&solids, closer_than_mm, None)?;
            Some((found.solid, found.gap))
        };
        tally.check(&solids, &target, &ask, &format!("mesh {n}, {pose:?}"));
    }
    tally
}

#[test]
fn sampling_finds_gaps_that_can_be_written_down() {
    let start = Frame { origin: DVec3::ZERO, travel: DVec3::X, index: DVec3::Z };
    let tube =
        Barrel { start, length_mm: 200.0, radius_mm: 30.0, start_normal: DVec3::X, end_normal: DVec3::X };
    // a tube in a hole 70 wide of a sheet 2 thick, 3 out of its middle
    let sheet = |y: f64| {
        let place = Place { turn: turned(DVec3::Y * 90.0), at: DVec3::new(100.0, 0.0, 0.0) };
        let hole = (DVec2::new(0.0, y), 35.0);
        Target::Plate(place, Plate::new(DVec3::new(300.0, 300.0, 2.0), vec![hole]))
    };
    let ball = |at: DVec3, radius_mm: f64| Target::Hose([at; 2], radius_mm);
    let bend = Elbow { start, toward: DVec3::Y, clr_mm: 114.3, angle_rad: TAU / 4.0, radius_mm: 30.0 };
    // the face's tip of a tube cut at 30° stands out by r tan 30°
    let lean = DVec3::new((TAU / 12.0).cos(), 0.0, -(TAU / 12.0).sin());
    let cut = Solid::Barrel(Barrel { end_normal: lean, ..tube });
    let tip = 200.0 + 30.0 / 3.0_f64.sqrt();
    for (solid, target, gap_mm) in [
        // beside: 100 − 30 − 12; off the rim: 50 − 12
        (Solid::Barrel(tube), ball(DVec3::new(80.0, 60.0, 80.0), 12.0), 58.0),
        (Solid::Barrel(tube), ball(DVec3::new(240.0, 0.0, 60.0), 12.0), 38.0),
        (Solid::Barrel(tube), sheet(3.0), 2.0),
        (cut, Target::HalfSpace([DVec3::X * 250.0, DVec3::NEG_X]), 250.0 - tip),
        (cut, ball(DVec3::new(tip, 0.0, 35.0), 0.0), 5.0),
        // in the middle of the turn, and behind the flat start
        (Solid::Elbow(bend), ball(DVec3::new(0.0, 114.3, 0.0), 10.0), 74.3),
        (Solid::Elbow(bend), ball(DVec3::new(-20.0, 25.0, 0.0), 4.0), 16.0),
    ] {
        let Sampled::Apart(sampled_mm, _) = least(&[solid], &target) else { panic!("{solid:?} touches") };
        assert!((-1e-9..SAMPLED_MM).contains(&(sampled_mm - gap_mm)), "{sampled_mm}, {gap_mm}\n{solid:?}");
    }
    // 6 out of its middle it touches, and a ball within the tube does
    assert_eq!(least(&[Solid::Barrel(tube)], &sheet(6.0)), Sampled::Touching);
    assert_eq!(least(&[Solid::Barrel(tube)], &ball(DVec3::X * 100.0, 5.0)), Sampled::Touching);
}

#[test]
fn two_hundred_and_ten_obstacles_lie_where_sampling_says() {
    let tally = with_obstacles(&mut Dice::new(1), 210, 240.0);
    println!("{tally:?}");
    assert!(tally.apart >= 150 && tally.touching >= 10, "{tally:?}");
}

#[test]
fn ninety_meshes_lie_where_sampling_says() {
    let tally = with_meshes(&mut Dice::new(2), 90);
    println!("{tally:?}");
    assert!(tally.apart >= 50 && tally.touching >= 10, "{tally:?}");
}

#[test]
fn close_by_obstacles_lie_where_sampling_says() {
    let tally = with_obstacles(&mut Dice::new(3), 140, 60.0);
    println!("{tally:?}");
    assert!(tally.apart >= 80 && tally.touching >= 20, "{tally:?}");
}

#[test]
fn what_stands_square_in_the_shop_lies_where_sampling_says() {
    // faces, edges and tubes along each other, where there is no one nearest place
    let tally = with_obstacles(&mut Dice::square(4), 140, 240.0);
    println!("{tally:?}");
    assert!(tally.apart >= 90 && tally.touching >= 5, "{tally:?}");
    let tally = with_meshes(&mut Dice::square(5), 40);
    println!("{tally:?}");
    assert!(tally.apart >= 20, "{tally:?}");
}

//! A run worked by hand, and many built with errors thrown: linear and thrown agree.

use super::*;
use crate::fab::build;
use crate::fab::lay::{along, through};
use crate::geom::vector::turn;
use crate::model::{BendMake, ElbowId, Ends};
use crate::testing::{run_through, set_makes};
use approx::assert_relative_eq;

const NONE: Scatter =
    Scatter { saw_deg: 0.0, length_mm: 0.0, clock_mm: 0.0, elbow_deg: 0.0, pull_deg: 0.0, shrink_mm: 0.0 };

fn made(points: &[DVec3], make: BendMake, scatter: Scatter) -> (Project, Built) {
    let (mut project, mut run) = run_through(points);
    set_makes(&mut run, make);
    project.settings.scatter = scatter;
    project.runs = vec![run];
    let built = build(&project, &project.runs[0]);
    assert!(built.is_buildable(), "{:?}", built.problems);
    (project, built)
}

fn two_bends() -> [DVec3; 4] {
    let corner = DVec3::new(300.0, 400.0, 0.0);
    [DVec3::ZERO, DVec3::X * 300.0, corner, corner + DVec3::Z * 200.0]
}

/// Worked by hand: 300 forward, 400 to the left, 200 up, of two 90° elbows; marks off by σ = 0.7/31.75 rad at four welds.
/// About the first leg's axis the end lies 400 and 200 off and moves by σ·(0, −200, 400); about the second's, twice, it
/// lies 200 off and moves by σ·200 along X; about the last leg's it lies on the axis.
#[test]
fn marks_of_a_run_of_two_bends_worked_by_hand() {
    let scatter = Scatter { clock_mm: 0.7, ..NONE };
    let (project, built) = made(&two_bends(), BendMake::Elbow { elbow: ElbowId(11) }, scatter);
    assert_eq!(built.welds.len(), 4);
    let f = forecast(&project, &project.runs[0], &built, None).unwrap();
    let s = 0.7 / 31.75;
    for (axis, wanted) in [(0, 80_000.0), (1, 40_000.0), (2, 160_000.0)] {
        assert_relative_eq!(f.covariance.col(axis)[axis], wanted * s * s, max_relative = 1e-9);
    }
    assert_relative_eq!(f.covariance.col(1)[2], -80_000.0 * s * s, max_relative = 1e-9);
    assert_relative_eq!(f.distance_mm(), s * 280_000_f64.sqrt(), max_relative = 1e-9);
    let first = &f.sources[f.most[0].0];
    assert_eq!((first.of, first.mark.as_str()), (ErrorOf::Clock, built.welds[0].mark.as_str()));
    // the start is loose, so the pipe can be turned about the first leg: all of the first mark's error goes, and of the
    // second's and third's, which lie across it, nothing
    assert_relative_eq!(f.turned_mm, s * 80_000_f64.sqrt(), max_relative = 1e-6);
    // one length off by half a millimetre along each leg: three straights
    let (project, built) =
        made(&two_bends(), BendMake::Elbow { elbow: ElbowId(11) }, Scatter { length_mm: 0.5, ..NONE });
    let f = forecast(&project, &project.runs[0], &built, None).unwrap();
    for axis in 0..3 {
        assert_relative_eq!(f.covariance.col(axis)[axis], 0.25, max_relative = 1e-9);
    }
}

/// Numbers that look random, by the generator that other tests have, and their bell curve (Box and Muller 1958).
struct Thrown(u64);

impl Thrown {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn bell(&mut self) -> f64 {
        let (a, b) = (1.0 - self.even(), self.even());
        (-2.0 * a.ln()).sqrt() * (TAU * b).cos()
    }
}

/// The end of the run built with errors: pieces laid one after the other with other lengths, cuts and bends, and leant,
/// turned and drawn together at each weld.
fn built_with_errors(project: &Project, built: &Built, dice: &mut Thrown) -> Frame {
    let s = &project.settings.scatter;
    let mut settings: Vec<(f64, f64)> = Vec::new();
    let mut saw = |cut: &Cut, dice: &mut Thrown| {
        if cut.tilt_rad <= 0.0 {
            return *cut;
        }
        let known = settings.iter().find(|(tilt, _)| (tilt - cut.tilt_rad).abs() < 1e-4).map(|k| k.1);
        let off = known.unwrap_or_else(|| {
            let off = s.saw_deg.to_radians() * dice.bell();
            settings.push((cut.tilt_rad, off));
            off
        });
        Cut { tilt_rad: cut.tilt_rad + off, ..*cut }
    };
    let mut frame = built.frames[0].0;
    for (i, piece) in built.pieces.iter().enumerate() {
        let mut p = piece.clone();
        (p.start, p.end) = (saw(&p.start, dice), saw(&p.end, dice));
        if built.welds.iter().any(|w| w.before == i) {
            let free = |p: &Piece| turns_freely(project, p);
            let near_free = free(&p) || i.checked_sub(1).is_some_and(|b| free(&built.pieces[b]));
            let clock = if near_free { 0.0 } else { s.clock_mm / (p.od_mm / 2.0) * dice.bell() };
            frame.index = turn(frame.index, frame.travel, clock);
            for sideways in [false, true] {
                let axis = if sideways { frame.travel.cross(frame.index) } else { frame.index };
                let by = s.pull_deg.to_radians() * dice.bell();
                (frame.travel, frame.index) = (turn(frame.travel, axis, by), turn(frame.index, axis, by));
            }
            frame = frame.forward(s.shrink_mm * dice.bell());
        }
        if i > 0 {
            frame = through(&frame, &p.start);
        }
        match &mut p.kind {
            PieceKind::Elbow(e) => e.angle_rad += s.elbow_deg.to_radians() * dice.bell(),
            PieceKind::Straight | PieceKind::Slice | PieceKind::Taper(_) => {
                p.centre_mm += s.length_mm * dice.bell();
            }
            PieceKind::Joint(_) => {}
        }
        frame = along(&frame, &p);
        if i + 1 < built.pieces.len() {
            frame = through(&frame, &p.end);
        }
    }
    frame
}

fn long_run() -> [DVec3; 5] {
    [
        DVec3::ZERO,
        DVec3::X * 350.0,
        DVec3::new(600.0, 330.0, 40.0),
        DVec3::new(900.0, 400.0, 380.0),
        DVec3::new(1250.0, 300.0, 420.0),
    ]
}

#[test]
fn linear_and_thrown_errors_agree_within_five_percent() {
    let makes = [
        BendMake::Elbow { elbow: ElbowId(11) },
        BendMake::mitred(95.25, 3, Ends::Half),
        BendMake::mitred(95.25, 4, Ends::Full),
    ];
    for (nth, make) in makes.into_iter().enumerate() {
        let (project, built) = made(&long_run(), make, Scatter::default());
        let f = forecast(&project, &project.runs[0], &built, None).unwrap();
        let end = built.end().unwrap();
        let mut dice = Thrown(3 + nth as u64);
        let rounds = 6000;
        let (mut sums, mut leans, mut beyond) = ([0.0; 3], 0.0, 0);
        for _ in 0..rounds {
            let at = built_with_errors(&project, &built, &mut dice);
            let miss = at.origin - end.origin;
            for (sum, by) in sums.iter_mut().zip([miss.x, miss.y, miss.z]) {
                *sum += by * by;
            }
            leans += (at.travel - end.travel).length_squared();
            beyond += usize::from(miss.length() > f.rarely_more_mm());
        }
        let rms = |sum: f64| (sum / f64::from(rounds)).sqrt();
        for (axis, sum) in sums.iter().enumerate() {
            assert_relative_eq!(f.covariance.col(axis)[axis].sqrt(), rms(*sum), max_relative = 0.05);
        }
        assert_relative_eq!(f.lean_rad, rms(leans), max_relative = 0.05);
        assert!(beyond as f64 <= 0.06 * f64::from(rounds), "{beyond}");
    }
}

#[test]
fn the_trim_leaves_the_piece_long_enough_nineteen_times_of_twenty() {
    let (project, built) = made(&long_run(), BendMake::Elbow { elbow: ElbowId(11) }, Scatter::default());
    let before = built.pieces.len() / 2;
    let f = forecast(&project, &project.runs[0], &built, Some(before)).unwrap();
    let extra = f.trim_mm.unwrap() - project.settings.saw.kerf_mm;
    let at = built.frames[before].0;
    let moved: Vec<(DVec3, DVec3)> = f.sources.iter().map(|s| s.moves(at.origin)).collect();
    let mut dice = Thrown(77);
    let short = (0..4000)
        .filter(|_| {
            let zero = (DVec3::ZERO, DVec3::ZERO);
            let (shift, lean) = moved.iter().fold(zero, |(a, b), (s, t)| {
                let off = dice.bell();
                (a + *s * off, b + *t * off)
            });
            // the gap on its widest side: along the axis, and by the lean across the radius
            let wedge = lean.cross(at.travel).length() * 31.75;
            shift.dot(at.travel) + wedge > extra
        })
        .count();
    assert!(short < 200 && extra < 60.0, "{short} of 4000, {extra}");
    assert_eq!(forecast(&project, &project.runs[0], &Built::default(), None), None);
}

#[test]
fn a_joint_that_turns_has_no_mark_and_takes_out_what_it_can() {
    let (mut project, _) = made(&two_bends(), BendMake::Elbow { elbow: ElbowId(11) }, Scatter::default());
    let of = |project: &Project| {
        let built = build(project, &project.runs[0]);
        let f = forecast(project, &project.runs[0], &built, None).unwrap();
        let clocks = f.sources.iter().filter(|s| s.of == ErrorOf::Clock).count();
        (f.distance_mm(), f.turned_mm, clocks, built.welds.len())
    };
    let (_, _, clocks, welds) = of(&project);
    assert_eq!(clocks, welds);
    project.runs[0].fittings.push(crate::model::Fitting {
        id: crate::model::FittingId(900),
        joint: crate::model::JointId(12),
        leg: 1,
        station_mm: 100.0,
        lobe_clock_deg: 0.0,
    });
    let (all, turned, with_joint, more) = of(&project);
    assert_eq!((with_joint, more), (welds, welds + 2), "both halves of the joint are welded and turn freely");
    assert!(turned < all, "{turned} {all}");
    project.joints[0].style = JointStyle::Flange;
    let (_, held, ..) = of(&project);
    assert!(held > turned, "{held} {turned}");
}

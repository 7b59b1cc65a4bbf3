//! Small parts against own vectors, dense points and runs whose places are known by hand.

use super::*;
use crate::fab::build_all;
use crate::finding::{Problem, Severity};
use crate::model::{
    Bead, Bracket, Bung, BungUse, Fitting, FittingId, PartId, Screwed, Service, Shield, Stub,
};
use crate::testing::run_through;
use crate::units::UnitSystem;
use approx::assert_relative_eq;
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

const R: f64 = 31.75;

/// 400 mm along +X, 500 along +Y, 500 along +X; bends of R 95.25 in four welds with half ends.
fn sample() -> Project {
    let points =
        [DVec3::ZERO, DVec3::X * 400.0, DVec3::new(400.0, 500.0, 0.0), DVec3::new(900.0, 500.0, 0.0)];
    run_through(&points).0
}

fn bung() -> Bung {
    Bung {
        purpose: BungUse::Plain,
        thread: "M18 × 1.5".to_owned(),
        boss_mm: 28.0,
        height_mm: 12.0,
        hole_mm: 20.0,
        screwed: Some(Screwed { diameter_mm: 22.0, length_mm: 40.0, removal_mm: 30.0 }),
    }
}

fn stub(angle_deg: f64) -> Stub {
    Stub {
        od_mm: 38.1,
        wall_mm: 1.65,
        length_mm: 60.0,
        angle_deg,
        flange_mm: 60.0,
        flange_thick_mm: 10.0,
        screwed: None,
    }
}

fn add(project: &mut Project, leg: usize, station_mm: f64, clock_deg: f64, kind: PartKind) {
    let id = PartId(project.fresh_id());
    let name = format!("part {}", project.runs[0].parts.len() + 1);
    project.runs[0].parts.push(Part { id, name, leg, station_mm, turn_deg: None, clock_deg, kind });
}

fn built(project: &Project) -> Arc<Built> {
    build_all(project).remove(0)
}

fn with(leg: usize, station_mm: f64, clock_deg: f64, kind: PartKind) -> Arc<Built> {
    let mut project = sample();
    add(&mut project, leg, station_mm, clock_deg, kind);
    built(&project)
}

/// Codes and sentences of what is said about parts.
fn said(built: &Built) -> Vec<(&'static str, Severity, String)> {
    let of = |p: &Problem| match p {
        Problem::Part(_) => Some((p.code(), p.severity(), p.text(UnitSystem::Millimetre))),
        _ => None,
    };
    built.problems.iter().filter_map(|(p, ..)| of(p)).collect()
}

fn codes(built: &Built) -> Vec<&'static str> {
    said(built).iter().map(|s| s.0).collect()
}

/// Length of the curve on which a tube of radius `b`, leaning by `angle` from a tube of radius `h` along x, leaves it:
/// chords between dense points, each put on both cylinders by its own equation.
fn crossing_mm(h: f64, b: f64, angle: f64) -> f64 {
    let (along, across) =
        (DVec3::new(angle.cos(), 0.0, angle.sin()), DVec3::new(-angle.sin(), 0.0, angle.cos()));
    let point = |i: u32| {
        let turn = TAU * f64::from(i) / 200_000.0;
        let foot = across * (b * turn.cos()) + DVec3::Y * (b * turn.sin());
        let up = (h * h - foot.y * foot.y).sqrt();
        foot + along * ((up - foot.z) / angle.sin())
    };
    (0..200_000).map(|i| point(i).distance(point(i + 1))).sum()
}

#[test]
fn welds_follow_the_curve_on_the_tube() {
    let on = with(0, 150.0, 30.0, PartKind::Bung(bung()));
    assert_relative_eq!(on.parts[0].weld_mm, crossing_mm(R, 14.0, PI / 2.0), epsilon = 1e-4);
    for angle in [90.0_f64, 60.0, 130.0] {
        let on = with(0, 150.0, 30.0, PartKind::Stub(Stub { length_mm: 90.0, ..stub(angle) }));
        let curve = crossing_mm(R, 19.05, angle.to_radians());
        assert_relative_eq!(on.parts[0].weld_mm, curve, epsilon = 1e-4);
    }
    let tab = Bracket { along_mm: 40.0, thick_mm: 4.0, height_mm: 30.0, held: None };
    assert_relative_eq!(with(0, 150.0, 0.0, PartKind::Bracket(tab)).parts[0].weld_mm, 88.0);
    let bead = Bead { height_mm: 2.0, width_mm: 6.0 };
    assert_relative_eq!(with(0, 150.0, 0.0, PartKind::Bead(bead)).parts[0].weld_mm, 0.0);
}

#[test]
fn parts_stand_where_their_clock_says_on_every_leg() {
    // looking along +X with Z up the right hand is −Y; after the bend, along +Y, it is +X
    for (leg, clock, out) in [
        (0, 0.0, DVec3::Z),
        (0, 90.0, DVec3::NEG_Y),
        (1, 90.0, DVec3::X),
        (1, 180.0, DVec3::NEG_Z),
        (1, 270.0, DVec3::NEG_X),
    ] {
        let on = with(leg, 100.0, clock, PartKind::Bung(bung()));
        assert_relative_eq!(on.parts[0].out, out, epsilon = 1e-9);
        let start = if leg == 0 { DVec3::X * 100.0 } else { DVec3::new(400.0, 95.25 + 100.0, 0.0) };
        assert_relative_eq!(on.parts[0].frame.origin, start, epsilon = 1e-6);
        let Some(Solid::Drum(boss)) = on.parts[0].solids.first() else { panic!("a boss is round") };
        let face = boss.start.origin + boss.start.travel * boss.length_mm;
        assert_relative_eq!(face, start + out * (R + 12.0), epsilon = 1e-6);
        let Some(Solid::Drum(sensor)) = on.parts[0].screwed else { panic!("a sensor is in") };
        assert_relative_eq!(sensor.start.origin, face, epsilon = 1e-6);
        let Some(Solid::Drum(room)) = on.parts[0].removal else { panic!("it wants room") };
        assert_relative_eq!(room.start.origin, face + out * 40.0, epsilon = 1e-6);
        assert_relative_eq!(room.length_mm, 30.0);
    }
}

#[test]
fn a_leaning_stub_leaves_the_skin_at_its_station() {
    let on = with(0, 150.0, 0.0, PartKind::Stub(Stub { length_mm: 100.0, ..stub(45.0) }));
    let part = &on.parts[0];
    let lean = DVec3::new(1.0, 0.0, 1.0) / 2.0_f64.sqrt();
    assert_relative_eq!(part.out, lean, epsilon = 1e-9);
    let Solid::Drum(flange) = part.solids[1] else { panic!("a flange is round") };
    let skin = DVec3::new(150.0, 0.0, R);
    assert_relative_eq!(flange.start.origin, skin + lean * 90.0, epsilon = 1e-6);
    assert_relative_eq!(flange.length_mm, 10.0, epsilon = 1e-9);
    // the tube of the stub begins inside the pipe, all round
    let Solid::Drum(tube) = part.solids[0] else { panic!("a stub is round") };
    for i in 0..72 {
        let turn = TAU * f64::from(i) / 72.0;
        let rim = tube.start.origin + tube.start.at_clock(turn) * 19.05;
        assert!(rim.y.hypot(rim.z) <= R + 1e-9, "{rim}");
    }
    assert!(matches!(on.holes[..], [HoleCut { shape: HoleShape::Branch { .. }, .. }]));
}

#[test]
fn a_part_lies_on_its_piece() {
    // half ends: the straight after the bend begins half a slice before the tangent point
    let half = PI / 16.0;
    for clock in [0.0, 90.0, 270.0] {
        let on = with(1, 100.0, clock, PartKind::Bung(bung()));
        let part = &on.parts[0];
        assert_relative_eq!(part.along_mm, 95.25 * half.tan() + 100.0, epsilon = 1e-6);
        let (begin, _) = on.frames[part.piece];
        assert_relative_eq!(begin.forward(part.along_mm).origin, part.frame.origin, epsilon = 1e-6);
    }
}

#[test]
fn marks_and_holes_count_along_the_run() {
    let mut project = sample();
    add(&mut project, 2, 200.0, 0.0, PartKind::Bung(bung()));
    add(&mut project, 0, 200.0, 10.0, PartKind::Stub(stub(90.0)));
    let bead = Bead { height_mm: 2.0, width_mm: 6.0 };
    add(&mut project, 0, 40.0, 0.0, PartKind::Bead(bead));
    let on = built(&project);
    let order: Vec<(&str, &str)> = on.parts.iter().map(|p| (p.mark.as_str(), p.name.as_str())).collect();
    assert_eq!(order, [("AP1", "part 3"), ("AP2", "part 2"), ("AP3", "part 1")]);
    let holes: Vec<(&str, &str)> = on.holes.iter().map(|h| (h.mark.as_str(), h.of.as_str())).collect();
    assert_eq!(holes, [("AH1", "part 2"), ("AH2", "part 1")]);
    let found: Vec<Option<&str>> =
        on.parts.iter().map(|p| p.hole(&on.holes).map(|h| h.mark.as_str())).collect();
    assert_eq!(found, [None, Some("AH1"), Some("AH2")]);
    assert_eq!(codes(&on), Vec::<&str>::new());
}

#[test]
fn what_stands_off_its_leg_is_told_the_nearest_station_and_that_one_fits() {
    // the straight of the first leg is 304.75 long; half a slice more is straight before the weld
    for (station, code) in [(320.0, "part-off-leg"), (-8.0, "part-off-leg"), (5.0, "part-off-end")] {
        let on = with(0, station, 90.0, PartKind::Bung(bung()));
        let all = said(&on);
        assert_eq!(all[0].0, code, "{all:?}");
        assert!(on.parts.is_empty(), "such a run is not built");
        let text = &all[0].2;
        let mm: f64 = text.rsplit("is ").next().unwrap().trim_end_matches(" mm.").parse().unwrap();
        assert_eq!(codes(&with(0, mm, 90.0, PartKind::Bung(bung()))), Vec::<&str>::new(), "{text}");
        // and half a millimetre further it does not
        let further = mm + if station > 100.0 { 0.5 } else { -0.5 };
        assert_eq!(codes(&with(0, further, 90.0, PartKind::Bung(bung()))).len(), 1, "{text}");
    }
}

#[test]
fn the_weld_of_a_mitred_end_is_nearer_on_the_inside_of_the_bend() {
    // the bend turns left, so clock 270 is on its inside, 90 on its outside
    let half = (PI / 16.0).tan();
    let off = |clock: f64, station: f64| codes(&with(0, station, clock, PartKind::Bung(bung())));
    let (inside, outside) = (304.75 + (95.25 - R) * half, 304.75 + (95.25 + R) * half);
    // as wide as its boss, the weld counts where it is nearest: at the edge of it
    let edge = (14.0 / R).asin().cos();
    assert_eq!(off(270.0, inside - 14.1), Vec::<&str>::new());
    assert_eq!(off(270.0, inside - 13.9), ["part-over-weld"]);
    let outside = outside - R * half * (1.0 - edge);
    assert!(outside - 14.0 > 304.75, "the middle would be off the straight first");
    assert_eq!(off(90.0, 304.7), Vec::<&str>::new());
}

#[test]
fn joints_and_their_bodies_are_no_place_for_a_part() {
    let mut project = sample();
    let joint = project.joints[0].id;
    // make-up 135 to 165, body 127.5 to 172.5
    project.runs[0].fittings.push(Fitting {
        id: FittingId(900),
        joint,
        leg: 0,
        station_mm: 150.0,
        lobe_clock_deg: 0.0,
    });
    let at = |station: f64, kind: PartKind| {
        let mut project = project.clone();
        add(&mut project, 0, station, 0.0, kind);
        built(&project)
    };
    assert_eq!(codes(&at(150.0, PartKind::Bung(bung()))), ["part-on-joint"]);
    assert_eq!(codes(&at(185.0, PartKind::Bung(bung()))), ["part-under-joint"]);
    assert_eq!(codes(&at(187.0, PartKind::Bung(bung()))), Vec::<&str>::new());
    let text = said(&at(150.0, PartKind::Bung(bung()))).remove(0).2;
    assert!(text.contains("joint AJ1") && text.ends_with("is 113.5 mm."), "{text}");
    // a bead lies under the hose
    let bead = PartKind::Bead(Bead { height_mm: 2.0, width_mm: 4.0 });
    assert_eq!(codes(&at(131.0, bead)), Vec::<&str>::new());
}

#[test]
fn a_shield_may_lie_over_welds_of_straight_tube_but_not_over_a_bend() {
    let shield = |length_mm: f64| {
        PartKind::Shield(Shield {
            length_mm,
            gap_mm: 10.0,
            thick_mm: 0.8,
            around_deg: 360.0,
            hot_gap_mm: 20.0,
        })
    };
    assert_eq!(codes(&with(0, 150.0, 0.0, shield(250.0))), Vec::<&str>::new());
    // half a slice reaches past the tangent point, not further
    let on = with(0, 200.0, 0.0, shield(250.0));
    assert_eq!(codes(&on), ["part-over-weld"]);
    let nothing = with(0, 150.0, 0.0, shield(500.0));
    assert!(said(&nothing)[0].2.contains("no room for it"), "{:?}", said(&nothing));
}

#[test]
fn what_cannot_be_made_is_stopped_with_what_would_do() {
    let cases = [
        (PartKind::Bung(Bung { boss_mm: 64.0, ..bung() }), "part-too-wide", "63.5 mm"),
        (PartKind::Bung(Bung { hole_mm: 28.0, ..bung() }), "part-hole", "drill smaller"),
        (PartKind::Stub(stub(10.0)), "part-too-flat", "between 15° and 165°"),
        // 10 and half the flange
        (PartKind::Stub(Stub { length_mm: 39.0, ..stub(45.0) }), "flange-low", "at least 40.0 mm"),
        (
            PartKind::Bracket(Bracket { along_mm: 40.0, thick_mm: 70.0, height_mm: 3.0, held: None }),
            "part-too-wide",
            "no wider than the tube",
        ),
    ];
    for (kind, code, text) in cases {
        let on = with(0, 150.0, 0.0, kind);
        let all = said(&on);
        assert_eq!((all[0].0, all[0].1), (code, Severity::Stop));
        assert!(all[0].2.contains(text), "{}", all[0].2);
        assert!(!on.is_buildable() && on.parts.is_empty() && on.holes.is_empty());
    }
    let narrow = with(0, 150.0, 0.0, PartKind::Stub(Stub { flange_mm: 38.0, ..stub(90.0) }));
    assert_eq!(codes(&narrow), ["flange-narrow"]);
    assert!(narrow.is_buildable());
    let nowhere = with(7, 150.0, 0.0, PartKind::Bung(bung()));
    assert_eq!(codes(&nowhere), ["part-no-leg"]);
    assert!(said(&nowhere)[0].2.contains("leg 8, but the run has 3"), "{:?}", said(&nowhere));
}

#[test]
fn a_stub_as_wide_as_the_tube_is_made() {
    let on = with(0, 150.0, 0.0, PartKind::Stub(Stub { od_mm: 63.5, flange_mm: 90.0, ..stub(90.0) }));
    assert_eq!(codes(&on), Vec::<&str>::new());
    // two tubes of one size that cross square meet in two half ellipses, each tilted 45°
    let whole = crate::geom::ellipse::cut_face_perimeter(R, PI / 4.0);
    assert_relative_eq!(on.parts[0].weld_mm, whole, epsilon = 1e-3);
}

#[test]
fn a_part_in_a_shield_needs_a_hole_in_it() {
    let mut project = sample();
    project.runs[0].service = Service::Exhaust;
    let shield =
        Shield { length_mm: 120.0, gap_mm: 10.0, thick_mm: 0.8, around_deg: 180.0, hot_gap_mm: 20.0 };
    add(&mut project, 0, 150.0, 0.0, PartKind::Shield(shield));
    add(&mut project, 0, 180.0, 80.0, PartKind::Bung(bung()));
    add(&mut project, 0, 180.0, 180.0, PartKind::Bung(bung()));
    let on = built(&project);
    let through: Vec<String> = said(&on).into_iter().filter(|s| s.0 == "shield-hole").map(|s| s.2).collect();
    assert_eq!(through.len(), 1, "{through:?}");
    assert!(through[0].starts_with("part 2 stands in part 1"), "{through:?}");
    assert!(codes(&on).contains(&"shield-part-round"));
}

#[test]
fn the_flats_of_a_shield_hold_its_true_outside_and_no_more_than_a_hundredth_beyond() {
    let shield = Shield { length_mm: 100.0, gap_mm: 8.0, thick_mm: 1.0, around_deg: 200.0, hot_gap_mm: 20.0 };
    let on = with(0, 150.0, 40.0, PartKind::Shield(shield));
    let part = &on.parts[0];
    let inside = |p: DVec3| {
        part.solids.iter().any(|s| {
            let Solid::Block(b) = s else { panic!("flats are blocks") };
            let from = p - b.centre;
            (0..3).all(|i| from.dot(b.axes[i]).abs() <= b.half_mm[i] + 1e-9)
        })
    };
    let point = |clock: f64, radius: f64| part.frame.origin + part.frame.at_clock(clock) * radius;
    let outer = R + 9.0;
    for i in 0..=400 {
        let off = (f64::from(i) / 2.0 - 100.0).to_radians();
        let clock = 40.0_f64.to_radians() + off;
        assert!(inside(point(clock, outer)) && inside(point(clock, outer - 1.0)), "{i}");
        assert!(!inside(point(clock, outer * 1.01)), "{i}");
    }
    assert!(!inside(point(40.0_f64.to_radians() + PI, outer - 0.5)));
    assert!(part.shields(point(1.0, 80.0)) && !part.shields(point(40.0_f64.to_radians() + PI, 80.0)));
}

/// Behind an offset taper the pipe lies aside of its leg, and a part on it stands on the pipe.
#[test]
fn behind_an_offset_taper_a_part_still_finds_its_pipe() {
    let mut project = sample();
    let wide = crate::testing::tube(&mut project, 76.2);
    project.runs[0].tapers.push(crate::model::Taper {
        id: crate::model::TaperId(90),
        leg: 1,
        station_mm: 80.0,
        length_mm: 80.0,
        tube: wide,
        wall_mm: 1.65,
        offset_mm: 12.0,
        offset_clock_deg: 0.0,
        make: crate::model::TaperMake::Bought,
    });
    add(&mut project, 1, 220.0, 0.0, PartKind::Bung(bung()));
    let on = built(&project);
    assert!(codes(&on).iter().all(|c| !c.starts_with("part")), "{:?}", said(&on));
    let part = &on.parts[0];
    let (begin, _) = on.frames[part.piece];
    assert_relative_eq!(begin.forward(part.along_mm).origin, part.frame.origin, epsilon = 1e-6);
    assert_relative_eq!(on.pieces[part.piece].od_mm, 76.2, epsilon = 1e-9);
}

/// A bracket lower than the gap of a shield ends under it: nothing has to be cut.
#[test]
fn what_ends_beneath_a_shield_needs_no_hole() {
    for (height_mm, holes) in [(8.0, 0), (30.0, 1)] {
        let mut project = sample();
        project.runs[0].service = Service::Exhaust;
        let shield =
            Shield { length_mm: 120.0, gap_mm: 10.0, thick_mm: 0.8, around_deg: 360.0, hot_gap_mm: 20.0 };
        add(&mut project, 0, 150.0, 0.0, PartKind::Shield(shield));
        let tab = Bracket { along_mm: 40.0, thick_mm: 4.0, height_mm, held: None };
        add(&mut project, 0, 150.0, 0.0, PartKind::Bracket(tab));
        let count = codes(&built(&project)).iter().filter(|c| **c == "shield-hole").count();
        assert_eq!(count, holes, "{height_mm}");
    }
}

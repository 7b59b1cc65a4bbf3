//! Branches: on straight headers, bends and slices.

#![expect(clippy::unwrap_used, reason = "what the tests are given must be sound")]

use super::{Dice, exit, from_axis, on_tube, polyline_mm};
use approx::assert_relative_eq;
use glam::DVec3;
use pipeloft_core::fab::limb::{Edge, Goes, Limb};
use pipeloft_core::fab::saddle::{Header, HeaderPart, HoleSize, Placement, Saddle, SaddleError};
use pipeloft_core::geom::ellipse::perimeter;
use pipeloft_core::geom::{Barrel, Elbow, Frame};
use pipeloft_core::units::UnitSystem;
use std::f64::consts::{FRAC_PI_2, TAU};

fn header_frame() -> Frame {
    Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z)
}

/// A branch on a straight header along X, by outside diameters and wall.
fn tee(header_od: f64, branch_od: f64, wall: f64, deg: f64, offset_mm: f64) -> Result<Saddle, SaddleError> {
    let at = Placement { station_mm: 200.0, clock_rad: 0.3, angle_rad: deg.to_radians(), offset_mm };
    let frame = at.frame(&header_frame());
    let branch = Limb { frame, goes: Goes::OnAlongTravel, radius_mm: branch_od / 2.0, wall_mm: wall };
    Saddle::new(branch, Header::straight(header_frame(), header_od / 2.0).unwrap())
}

/// Thirty branches all over space: sizes, angles, offsets, clocks, either way of travel, origins anywhere on the axis.
fn all_over() -> Vec<(Saddle, Frame, f64)> {
    let mut dice = Dice::new(7);
    let mut make = |i: u32| {
        let header = dice.frame();
        let h = dice.roll(20.0, 80.0);
        // every fifth as wide as the header, every seventh flush with its side
        let b = if i.is_multiple_of(5) { h } else { dice.roll(10.0, h) };
        let part = if i.is_multiple_of(7) { 1.0 } else { dice.roll(-1.0, 1.0) };
        let at = Placement {
            station_mm: dice.roll(-300.0, 300.0),
            clock_rad: dice.roll(0.0, TAU),
            angle_rad: dice.roll(15.1, 164.9).to_radians(),
            offset_mm: (h - b) * part,
        };
        let out = at.frame(&header);
        let shift = dice.roll(-100.0, 100.0);
        let (goes, sign) =
            if i.is_multiple_of(2) { (Goes::OnAlongTravel, 1.0) } else { (Goes::BackAgainstTravel, -1.0) };
        let frame = Frame::new(out.origin + out.travel * shift, out.travel * sign, dice.direction());
        let limb = Limb { frame, goes, radius_mm: b, wall_mm: dice.roll(0.05, 0.4) * b };
        (Saddle::new(limb, Header::straight(header, h).unwrap()).unwrap(), header, h)
    };
    (0..30).map(&mut make).collect()
}

#[test]
fn thirty_branches_meet_the_header_where_rays_along_them_leave_it() {
    for (saddle, header, h) in all_over() {
        let limb = saddle.branch();
        for (edge, radius) in [(Edge::Outside, limb.radius_mm), (Edge::Inside, limb.radius_mm - limb.wall_mm)]
        {
            for i in 0..24 {
                let clock = 0.01 + TAU * f64::from(i) / 24.0;
                let outside = |s: f64| from_axis(&header, on_tube(limb, radius, clock, s)) - h;
                let want = exit(outside, saddle.foot_mm(), 6.0 * h);
                let got = saddle.met(edge, clock);
                assert!(
                    (got.at_mm - want).abs() < 1e-5,
                    "{edge:?} at {clock}: {} not {want}\n{limb:?}",
                    got.at_mm
                );
                let step = 1e-5;
                let (a, b) = (saddle.met(edge, clock - step).at_mm, saddle.met(edge, clock + step).at_mm);
                assert_relative_eq!(
                    got.slope_mm,
                    (b - a) / (2.0 * step),
                    epsilon = 1e-2,
                    max_relative = 1e-4
                );
            }
        }
    }
}

#[test]
fn the_seat_is_the_highest_place_in_the_wall() {
    for (saddle, header, h) in all_over() {
        let limb = saddle.branch();
        for i in 0..12 {
            let clock = 0.02 + TAU * f64::from(i) / 12.0;
            let at = |radius: f64| {
                let outside = |s: f64| from_axis(&header, on_tube(limb, radius, clock, s)) - h;
                exit(outside, saddle.foot_mm(), 6.0 * h)
            };
            let wall = |k: i32| limb.radius_mm - limb.wall_mm * f64::from(k) / 60.0;
            let want = (0..=60).map(|k| at(wall(k))).fold(f64::MIN, f64::max);
            let got = saddle.met(Edge::Seat, clock).at_mm;
            assert!(got >= want - 1e-5 && got - want < 0.01, "{got} not {want}");
        }
    }
}

#[test]
fn the_weld_is_as_long_as_a_dense_line_along_the_meeting() {
    for (saddle, header, h) in all_over().into_iter().step_by(3) {
        let limb = saddle.branch();
        // from where the branch's side passes the header's: a full-size branch has its kinks there and half round
        let side = header.travel.cross(limb.away());
        let kink = side.dot(limb.frame.travel.cross(limb.frame.index)).atan2(side.dot(limb.frame.index));
        let point = |i: u32| {
            let clock = kink + TAU * f64::from(i) / 3000.0;
            let outside = |s: f64| from_axis(&header, on_tube(limb, limb.radius_mm, clock, s)) - h;
            on_tube(limb, limb.radius_mm, clock, exit(outside, saddle.foot_mm(), 6.0 * h))
        };
        let line: Vec<DVec3> = (0..=3000).map(point).collect();
        let weld = saddle.weld();
        assert_relative_eq!(weld.value, polyline_mm(&line), max_relative = 2e-6);
        assert!(weld.error < 1.01e-5, "{}", weld.error);
    }
}

/// Own vectors: the closed form in 30 digits, checked against root finding (4e-14 mm) and against solids made with a
/// general-purpose library (2e-5 mm). Header and branch OD, wall, angle; depth outside, inside, seat; weld.
const WORKED: [[f64; 8]; 4] = [
    [60.3, 60.3, 3.9, 90.0, 30.15, 15.3189515, 15.3189515, 230.357927],
    [76.2, 50.8, 1.65, 90.0, 9.70193669, 8.30826457, 8.30826457, 165.263712],
    [76.2, 50.8, 1.65, 45.0, 50.8, 47.5, 49.15, 200.620688],
    [152.4, 50.8, 1.651, 90.0, 4.35795103, 3.79540761, 3.79540761, 160.760997],
];

#[test]
fn worked_branches_come_out() {
    for [header, branch, wall, deg, outside, inside, seat, weld] in WORKED {
        let saddle = tee(header, branch, wall, deg, 0.0).unwrap();
        for (edge, want) in [(Edge::Outside, outside), (Edge::Inside, inside), (Edge::Seat, seat)] {
            assert_relative_eq!(saddle.extremes(edge).depth_mm(), want, epsilon = 1e-6);
        }
        assert_relative_eq!(saddle.weld().value, weld, max_relative = 1e-8);
    }
    // by hand: square, no offset: h − √(h² − b²), 38.1 − √(38.1² − 25.4²)
    let depth = 38.1 - (38.1_f64.powi(2) - 25.4_f64.powi(2)).sqrt();
    assert_relative_eq!(
        tee(76.2, 50.8, 1.65, 90.0, 0.0).unwrap().extremes(Edge::Outside).depth_mm(),
        depth,
        epsilon = 1e-9
    );
}

/// Own vector: equal tubes at a right angle meet in halves of two ellipses with half axes r√2 and r.
#[test]
fn an_equal_tee_is_welded_along_two_half_ellipses() {
    let saddle = tee(63.5, 63.5, 1.65, 90.0, 0.0).unwrap();
    assert_relative_eq!(saddle.weld().value, perimeter(31.75 * 2_f64.sqrt(), 31.75), epsilon = 2e-5);
    // the branch reaches down to the header's axis on both sides and stands h above it fore and aft
    let ends = saddle.extremes(Edge::Outside);
    assert_relative_eq!(ends.longest.at_mm, 0.0, epsilon = 1e-5);
    assert_relative_eq!(ends.shortest.at_mm, 31.75, epsilon = 1e-9);
}

#[test]
fn the_hole_lies_on_header_and_branch_and_is_charted_where_it_is() {
    for (saddle, header, h) in all_over() {
        let limb = saddle.branch();
        for (size, radius) in
            [(HoleSize::Bore, limb.radius_mm - limb.wall_mm), (HoleSize::Outside, limb.radius_mm)]
        {
            let hole = saddle.hole(size, 0.02);
            assert!(hole.edge.len() > 48);
            assert_relative_eq!(hole.header_radius_mm, h);
            for p in &hole.edge {
                assert_relative_eq!(from_axis(&header, p.point), h, epsilon = 2e-5);
                assert_relative_eq!(from_axis(&limb.frame, p.point), radius, epsilon = 1e-9);
                let three = header.travel.cross(header.index);
                let (sin, cos) = p.header_clock_rad.sin_cos();
                let charted =
                    header.origin + header.travel * p.station_mm + (header.index * cos + three * sin) * h;
                assert_relative_eq!(charted, p.point, epsilon = 2e-5);
            }
            for w in hole.edge.windows(2) {
                assert!((w[0].header_clock_rad - w[1].header_clock_rad).abs() < 0.5, "the clock jumps");
            }
            assert_eq!(hole.edge[0].point, hole.edge[hole.edge.len() - 1].point);
        }
    }
    // square on, no offset: the hole of a 2 in bore in a 3 in header is as long as the bore and spans ±asin(b/h)
    let hole = tee(76.2, 50.8, 1.65, 90.0, 0.0).unwrap().hole(HoleSize::Bore, 0.01);
    let (from, to) = hole.stations_mm();
    assert_relative_eq!(to - from, 47.5, epsilon = 1e-3);
    let (from, to) = hole.clocks_rad();
    assert_relative_eq!(to - from, 2.0 * (23.75_f64 / 38.1).asin(), epsilon = 1e-4);
    assert_relative_eq!(f64::midpoint(from, to), 0.3, epsilon = 1e-6);
}

#[test]
fn what_is_drawn_for_the_template_is_the_curve() {
    let saddle = tee(76.2, 76.2, 1.65, 60.0, 0.0).unwrap();
    let drawn = saddle.unrolled(Edge::Seat, 0.005);
    assert_relative_eq!(drawn[drawn.len() - 1].x_mm, TAU * 38.1, max_relative = 1e-12);
    for w in drawn.windows(2) {
        for i in 1..8 {
            let f = f64::from(i) / 8.0;
            let clock = (w[0].x_mm + (w[1].x_mm - w[0].x_mm) * f) / 38.1;
            let (dx, dy) = (w[1].x_mm - w[0].x_mm, w[1].y_mm - w[0].y_mm);
            let off = (saddle.met(Edge::Seat, clock).at_mm - w[0].y_mm - dy * f) * dx / dx.hypot(dy);
            assert!(off.abs() < 0.006, "{off} at {clock}");
        }
    }
}

#[test]
fn a_branch_that_does_not_fit_names_one_that_does() {
    let wide = tee(50.8, 63.5, 1.65, 90.0, 0.0).unwrap_err();
    let largest = wide.largest_branch_mm().unwrap();
    assert!(tee(50.8, 2.0 * largest, 1.65, 90.0, 0.0).is_ok());
    assert!(wide.text(UnitSystem::Millimetre).contains("50.8 mm"), "{}", wide.text(UnitSystem::Millimetre));

    let aside = tee(76.2, 50.8, 1.65, 90.0, -20.0).unwrap_err();
    assert!(matches!(aside, SaddleError::OffSide { .. }), "{aside:?}");
    let (most, largest) = (aside.most_offset_mm().unwrap(), aside.largest_branch_mm().unwrap());
    assert_relative_eq!(most, 12.7, epsilon = 1e-9);
    assert!(
        tee(76.2, 50.8, 1.65, 90.0, -most).is_ok() && tee(76.2, 2.0 * largest, 1.65, 90.0, -20.0).is_ok()
    );
    assert!(tee(76.2, 50.8, 1.65, 90.0, -most - 0.01).is_err());
    let text = aside.text(UnitSystem::Millimetre);
    assert!(text.contains("7.3 mm") && text.contains("12.7 mm") && text.contains("36.2 mm"), "{text}");

    for deg in [14.9, 165.1, 0.0, 180.0] {
        let flat = tee(76.2, 50.8, 1.65, deg, 0.0).unwrap_err();
        assert!(matches!(flat, SaddleError::TooFlat { .. }), "{flat:?}");
        assert!(flat.text(UnitSystem::Millimetre).contains("15.0°"));
    }
    assert!(tee(76.2, 50.8, 1.65, 15.0, 0.0).is_ok());
    for (od, wall, offset) in
        [(f64::NAN, 1.0, 0.0), (50.8, f64::INFINITY, 0.0), (50.8, 1.0, f64::NAN), (50.8, 30.0, 0.0)]
    {
        assert!(matches!(tee(76.2, od, wall, 90.0, offset), Err(SaddleError::Branch(_))));
    }
    assert!(matches!(Header::straight(header_frame(), f64::NAN), Err(SaddleError::NoHeader)));
    assert!(matches!(Header::of_solids(&[]), Err(SaddleError::NoHeader)));
}

/// A bend from the origin along X towards Y, centre (0, clr, 0), and a branch that leaves its middle line.
fn on_bend(clr_mm: f64, h: f64, (around, clock): (f64, f64), lean: DVec3, b: f64) -> (Elbow, Limb) {
    let elbow = Elbow { start: header_frame(), toward: DVec3::Y, clr_mm, angle_rad: FRAC_PI_2, radius_mm: h };
    let at = elbow.frame_at(around);
    let out = (at.at_clock(clock) + lean).normalize_or_zero();
    let frame = Frame::new(at.origin, out, at.travel);
    (elbow, Limb { frame, goes: Goes::OnAlongTravel, radius_mm: b, wall_mm: 0.08 * b })
}

#[test]
fn branches_on_bends_meet_them_where_rays_along_them_leave_the_torus() {
    let mut dice = Dice::new(11);
    for i in 0..30 {
        let h = dice.roll(25.0, 45.0);
        let (clr, b) = (h * dice.roll(1.5, 4.0), h * dice.roll(0.3, 0.75));
        let (around, clock) = (dice.roll(0.6, 0.97), dice.roll(0.0, TAU));
        let lean = dice.direction() * 0.12;
        let (elbow, limb) = on_bend(clr, h, (around, clock), lean, b);
        // the tubes before and after the bend go on
        let legs = |start: Frame, length_mm| {
            HeaderPart::Barrel(Barrel {
                start,
                length_mm,
                radius_mm: h,
                start_normal: start.travel,
                end_normal: start.travel,
            })
        };
        let parts = vec![
            legs(header_frame().forward(-150.0), 150.0),
            HeaderPart::Elbow(elbow),
            legs(elbow.frame_at(FRAC_PI_2), 150.0),
        ];
        let saddle =
            Saddle::new(limb, Header::of_parts(parts).unwrap()).unwrap_or_else(|e| panic!("{i}: {e:?}"));
        let outside = |p: DVec3| {
            // written out: before the bend along X, beyond it along Y at x = clr, else round (0, clr)
            let across = if p.x < 0.0 && p.y < clr {
                p.y
            } else if p.y > clr && p.x > 0.0 {
                p.x - clr
            } else {
                p.x.hypot(p.y - clr) - clr
            };
            across.hypot(p.z) - h
        };
        for k in 0..24 {
            let turn = 0.01 + TAU * f64::from(k) / 24.0;
            let want = exit(|s| outside(on_tube(&limb, b, turn, s)), 0.0, 1.2 * h);
            let got = saddle.met(Edge::Outside, turn);
            assert!((got.at_mm - want).abs() < 1e-4, "{i} at {turn}: {} not {want}", got.at_mm);
            let step = 1e-5;
            let (p, q) =
                (saddle.met(Edge::Outside, turn - step).at_mm, saddle.met(Edge::Outside, turn + step).at_mm);
            assert_relative_eq!(got.slope_mm, (q - p) / (2.0 * step), epsilon = 2e-2, max_relative = 1e-3);
            let bore = 0.92 * b;
            let walls = (0..=40).map(|w| bore + (b - bore) * f64::from(w) / 40.0);
            let want = walls.map(|mm| exit(|s| outside(on_tube(&limb, mm, turn, s)), 0.0, 1.2 * h));
            let want = want.fold(f64::MIN, f64::max);
            let seat = saddle.met(Edge::Seat, turn).at_mm;
            assert!(seat >= want - 1e-5 && seat - want < 0.05, "{i}: seat {seat} not {want}");
        }
        let line: Vec<DVec3> = (0..=2000)
            .map(|k| {
                let turn = TAU * f64::from(k) / 2000.0;
                on_tube(&limb, b, turn, exit(|s| outside(on_tube(&limb, b, turn, s)), 0.0, 1.2 * h))
            })
            .collect();
        assert_relative_eq!(saddle.weld().value, polyline_mm(&line), max_relative = 1e-5);
        for p in &saddle.hole(HoleSize::Bore, 0.05).edge {
            assert!(outside(p.point).abs() < 1e-5);
            if p.part == 1 {
                let at = elbow.frame_at((p.station_mm - 150.0) / clr);
                assert_relative_eq!(at.origin + at.at_clock(p.header_clock_rad) * h, p.point, epsilon = 1e-5);
            }
        }
    }
}

#[test]
fn a_branch_over_a_mitred_corner_follows_both_slices() {
    let (h, tilt) = (38.1, 15_f64.to_radians());
    let start = header_frame();
    let corner = start.forward(200.0);
    let on = corner.tilted(0.0, 2.0 * tilt);
    // square to the plane half way between the two directions
    let plane = corner.tilted(0.0, tilt).travel;
    let slice = |start: Frame, a: DVec3, b: DVec3| {
        HeaderPart::Barrel(Barrel { start, length_mm: 200.0, radius_mm: h, start_normal: a, end_normal: b })
    };
    let parts = vec![slice(start, start.travel, plane), slice(on, plane, on.travel)];
    let frame = Frame::new(corner.origin, -DVec3::Y, DVec3::X);
    let limb = Limb { frame, goes: Goes::OnAlongTravel, radius_mm: 22.0, wall_mm: 1.5 };
    let saddle = Saddle::new(limb, Header::of_parts(parts).unwrap()).unwrap();
    for k in 0..48 {
        let turn = 0.01 + TAU * f64::from(k) / 48.0;
        let outside = |s: f64| {
            let p = on_tube(&limb, 22.0, turn, s);
            let before = (p - corner.origin).dot(plane) < 0.0;
            from_axis(if before { &start } else { &on }, p) - h
        };
        assert_relative_eq!(saddle.met(Edge::Outside, turn).at_mm, exit(outside, 0.0, 60.0), epsilon = 1e-6);
    }
    let hole = saddle.hole(HoleSize::Outside, 0.02);
    assert!(hole.edge.iter().any(|p| p.part == 0) && hole.edge.iter().any(|p| p.part == 1));
}

#[test]
fn a_branch_off_a_bend_or_beyond_its_end_is_refused_with_what_would_do() {
    let (h, clr) = (38.1, 114.3);
    let try_on = |around: f64, shift_mm: f64, b: f64| {
        let (elbow, limb) = on_bend(clr, h, (around, 0.0), DVec3::ZERO, b);
        let at = elbow.frame_at(around);
        let aside = at.travel.cross(at.index) * shift_mm;
        let frame = Frame { origin: limb.frame.origin + aside, ..limb.frame };
        Saddle::new(Limb { frame, ..limb }, Header::of_parts(vec![HeaderPart::Elbow(elbow)]).unwrap())
    };
    assert!(try_on(0.8, 0.0, 25.4).is_ok());
    let aside = try_on(0.8, 22.0, 25.4).unwrap_err();
    assert!(matches!(aside, SaddleError::Misses { .. }), "{aside:?}");
    let largest = aside.largest_branch_mm().unwrap();
    assert!((5.0..25.4).contains(&largest) && try_on(0.8, 22.0, largest - 0.01).is_ok());
    assert!(try_on(0.8, 22.0, largest + 0.3).is_err());
    let end = try_on(0.1, 0.0, 25.4).unwrap_err();
    // the middle lies 114.3·0.1 = 11.43 in from the end on the centreline, so about 14 of the branch hang out
    let SaddleError::OffEnd { beyond_mm, .. } = end else { panic!("{end:?}") };
    assert!((10.0..20.0).contains(&beyond_mm), "{beyond_mm}");
    assert!(matches!(try_on(0.8, 0.0, 50.0), Err(SaddleError::BranchTooLarge { .. })));
}

//! Merges: seams on both tubes, symmetric ones in closed form, what is refused.

use super::{Dice, exit, from_axis, on_tube, polyline_mm};
use approx::assert_relative_eq;
use glam::DVec3;
use pipeloft_core::fab::limb::{Edge, Goes, Limb};
use pipeloft_core::fab::merge::{Merge, MergeError, Neighbours, Other, Outlet, OutletPlane, Stand};
use pipeloft_core::geom::Frame;
use pipeloft_core::geom::ellipse::perimeter;
use pipeloft_core::units::UnitSystem;
use std::f64::consts::{PI, TAU};

/// An arm that flows towards the origin along +X, leaning by `lean` in the direction at clock `around`.
fn arm(radius_mm: f64, lean: f64, around: f64) -> Limb {
    let up = DVec3::new(0.0, around.cos(), around.sin());
    let flow = DVec3::X * lean.cos() - up * lean.sin();
    // given somewhere up the tube, with an index line of its own
    let frame = Frame::new(flow * -150.0, flow, DVec3::new(0.3, 0.2, 0.9));
    Limb { frame, goes: Goes::BackAgainstTravel, radius_mm, wall_mm: 1.5 }
}

fn mouth(radius_mm: f64, stand: Stand) -> Outlet {
    let frame = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    Outlet::Plane(OutletPlane { frame, radius_mm, wall_mm: 1.5, stand })
}

fn ring(n: u32, radius_mm: f64, lean: f64) -> Vec<Limb> {
    (0..n).map(|i| arm(radius_mm, lean, 0.1 + TAU * f64::from(i) / f64::from(n))).collect()
}

/// Own vector: in the plane between them two equal tubes meet in an ellipse with half axes r/sin(γ/2) and r, γ the angle
/// between them; the outlet plane through the meeting point leaves half of it, and half of the ellipse r/cos(γ/2), r of each arm.
#[test]
fn a_y_cut_through_its_meeting_point_has_half_ellipses_all_over() {
    for lean in [10_f64, 15.0, 22.5, 40.0].map(f64::to_radians) {
        let r = 25.4;
        let merge = Merge::new(ring(2, r, lean), &Neighbours::All, mouth(20.0, Stand::At(0.0))).unwrap();
        let seams = merge.seams();
        assert_relative_eq!(seams[0].length.value, perimeter(r / lean.sin(), r) / 2.0, epsilon = 1e-4);
        assert_eq!(seams[0].lines.len(), 1);
        for i in 0..2 {
            assert_relative_eq!(
                merge.outlet_edge(i).value,
                perimeter(r / lean.cos(), r) / 2.0,
                epsilon = 1e-4
            );
        }
        // the crotch is r/sin from the meeting point, straight up the flow; along the arm that is 150 − r/tan from the origin
        // of its frame, counted up the tube
        let ends = merge.extremes(0, Edge::Outside).unwrap();
        assert_relative_eq!(ends.shortest.at_mm, r / lean.tan() - 150.0, epsilon = 1e-6);
        // the longest line is at the sides, where both planes pass through the meeting point
        assert_relative_eq!(ends.longest.at_mm, -150.0, epsilon = 1e-6);
        let bore = |r: f64| PI * (r - 1.5) * (r - 1.5);
        assert_relative_eq!(merge.areas().ratio(), bore(20.0) / (2.0 * bore(r)), max_relative = 1e-12);
    }
}

/// Own vector: three equal tubes 120° apart: each two meet in half of the ellipse r/sin 60°, r.
#[test]
fn a_true_y_of_three_equal_tubes_has_three_equal_half_ellipses() {
    let third = PI / 3.0;
    let outlet = Limb {
        frame: Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z),
        goes: Goes::OnAlongTravel,
        radius_mm: 30.0,
        wall_mm: 1.5,
    };
    let merge = Merge::new(ring(2, 30.0, third), &Neighbours::All, Outlet::Tube(outlet)).unwrap();
    assert_eq!((merge.arms().len(), merge.seams().len()), (3, 3));
    for seam in merge.seams() {
        assert_relative_eq!(seam.length.value, perimeter(30.0 / third.sin(), 30.0) / 2.0, epsilon = 1e-4);
    }
    assert!(merge.outline().is_none());
    assert_relative_eq!(merge.areas().ratio(), 0.5, max_relative = 1e-12);
    // each arm is a mitre of 30° on both sides: r·tan 30° deep at the crotches, and at the sides nothing
    let ends = merge.extremes(2, Edge::Outside).unwrap();
    assert_relative_eq!(ends.shortest.at_mm, 30.0 * (PI / 6.0).tan(), epsilon = 1e-6);
    assert_relative_eq!(ends.longest.at_mm, 0.0, epsilon = 1e-6);
}

#[test]
fn the_lobes_fill_the_mouth_where_the_shop_would_reckon_it() {
    let (r, lean) = (25.4, 15_f64.to_radians());
    let merge = Merge::new(ring(2, r, lean), &Neighbours::All, mouth(38.1, Stand::Inside)).unwrap();
    let outline = merge.outline().unwrap();
    // a lobe's outer tip lies r/cos beyond its middle, which is z·tan off the axis
    assert_relative_eq!(outline.station_mm, (r / lean.cos() - 36.6) / lean.tan(), epsilon = 1e-6);
    assert_relative_eq!(outline.most_mm, 36.6, epsilon = 1e-6);
    // dense: every point of every edge in the plane within the mouth, and one of them at it
    let mut most: f64 = 0.0;
    for i in 0..2 {
        for k in 0..3600 {
            let clock = TAU * f64::from(k) / 3600.0;
            let kept = merge.kept(i, Edge::Outside, clock).unwrap();
            if kept.other == Other::Outlet {
                let p = on_tube(&merge.arms()[i], r, clock, kept.from_mm);
                assert_relative_eq!(p.x, outline.station_mm, epsilon = 1e-9);
                most = most.max(p.y.hypot(p.z));
            }
        }
    }
    assert!(most <= 36.6 + 1e-6 && most > 36.6 - 1e-3, "{most}");
    assert!(!outline.open_middle);

    let over = Merge::new(ring(2, r, lean), &Neighbours::All, mouth(25.0, Stand::Covering)).unwrap();
    let outline = over.outline().unwrap();
    assert_relative_eq!(outline.least_mm, 25.0, epsilon = 1e-6);
    // at the waist the two ellipses cross: half way on the seam's plane, x = ±r·√(1 − (z·tan/(r/cos))²)
    let waist = r * (1.0 - (outline.station_mm * lean.tan() / (r / lean.cos())).powi(2)).sqrt();
    assert!(outline.station_mm < 0.0);
    assert_relative_eq!(waist, 25.0, epsilon = 1e-6);
}

#[test]
fn seams_lie_on_both_tubes_and_both_tubes_end_there() {
    let mut dice = Dice::new(3);
    for n in [2, 3, 4] {
        let r = dice.roll(18.0, 40.0);
        let lean = dice.roll(10.0, 30.0).to_radians();
        let at = Stand::At(dice.roll(-0.7, 0.0) * r / lean.tan());
        let merge = Merge::new(ring(n, r, lean), &Neighbours::All, mouth(45.0, at)).unwrap();
        let mut seen = 0;
        for seam in merge.seams() {
            let [a, b] = seam.arms.map(|i| merge.arms()[i]);
            for p in seam.lines.iter().flatten() {
                assert_relative_eq!(from_axis(&a.frame, *p), r, epsilon = 1e-6);
                assert_relative_eq!(from_axis(&b.frame, *p), r, epsilon = 1e-6);
                // the second arm's own line through the point begins at it
                let on = (*p - b.frame.origin).dot(b.away());
                let kept =
                    merge.kept(seam.arms[1], Edge::Outside, b.frame.clock_of(*p - b.frame.origin)).unwrap();
                assert_relative_eq!(kept.from_mm, on, epsilon = 1e-5);
                seen += 1;
            }
            let dense: f64 = seam.lines.iter().map(|line| polyline_mm(line)).sum();
            assert_relative_eq!(seam.length.value, dense, max_relative = 1e-3, epsilon = 1e-6);
        }
        assert!(seen > 100);
        // nothing of one tube lies inside another where that is kept
        for i in 0..merge.arms().len() {
            for k in 0..180 {
                let clock = TAU * f64::from(k) / 180.0;
                let from = merge.kept(i, Edge::Outside, clock).unwrap().from_mm;
                for s in [0.001, 1.0, 10.0, 50.0] {
                    let p = on_tube(&merge.arms()[i], r, clock, from + s);
                    for other in merge.arms().iter().filter(|o| **o != merge.arms()[i]) {
                        let inside = from_axis(&other.frame, p) < r - 1e-6;
                        assert!(!inside, "{n} arms: {p} of {i}");
                    }
                }
            }
        }
    }
}

#[test]
fn a_smaller_tube_is_cut_where_it_comes_out_of_the_larger() {
    let (a, b) = (19.0, 30.0);
    let mut on_sides = 0;
    for (lean, station) in [(12_f64, -20.0), (20.0, -20.0), (35.0, -20.0), (12.0, -60.0), (20.0, -40.0)] {
        let lean = lean.to_radians();
        let arms = vec![arm(a, lean, 0.4), arm(b, lean, 0.4 + PI)];
        let merge = Merge::new(arms, &Neighbours::All, mouth(40.0, Stand::At(station))).unwrap();
        // one that sits whole on the side leaves the larger tube to a hole of its own
        let on_side = merge.side(0) == Some(1);
        on_sides += u32::from(on_side);
        let [small, large] = [merge.arms()[0], merge.arms()[1]];
        let mut seams = 0;
        for k in 0..360 {
            let clock = 0.003 + TAU * f64::from(k) / 360.0;
            let kept = merge.kept(0, Edge::Outside, clock).unwrap();
            // either out of the larger tube, or on the outlet plane at x = −20, whichever is further up
            let foot = -150.0;
            let out = exit(|s| from_axis(&large.frame, on_tube(&small, a, clock, s)) - b, foot, 400.0);
            let p0 = on_tube(&small, a, clock, 0.0);
            let plane = (station - p0.x) / small.away().x;
            assert_relative_eq!(kept.from_mm, out.max(plane), epsilon = 1e-5);
            seams += u32::from(kept.other == Other::Arm(1));
            // of the larger one nothing is kept inside the smaller, and all else is
            let kept = merge.kept(1, Edge::Outside, clock).unwrap();
            for j in 0..800 {
                let s = -260.0 + f64::from(j) * 0.53;
                let p = on_tube(&large, b, clock, s);
                let up = p.x < station;
                let free = from_axis(&small.frame, p) > a || (p - DVec3::ZERO).dot(small.away()) < 0.0;
                let is = s >= kept.from_mm && !kept.gaps.iter().any(|g| (g.from_mm..g.to_mm).contains(&s));
                let near = (from_axis(&small.frame, p) - a).abs() < 0.01 || (p.x - station).abs() < 0.01;
                assert!(near || is == (up && (free || on_side)), "clock {clock} at {s}: {kept:?}");
            }
        }
        assert!(seams > 30, "{seams}");
        assert!(!on_side || merge.feet(1, Edge::Seat, 0.1).is_empty());
        let seam = &merge.seams()[0];
        for p in seam.lines.iter().flatten() {
            assert_relative_eq!(from_axis(&small.frame, *p), a, epsilon = 1e-6);
            assert_relative_eq!(from_axis(&large.frame, *p), b, epsilon = 1e-6);
        }
        let dense: f64 = seam.lines.iter().map(|line| polyline_mm(line)).sum();
        assert_relative_eq!(seam.length.value, dense, max_relative = 1e-3);
    }
    assert!((1..5).contains(&on_sides), "{on_sides} of 5 on the side: both kinds are looked at");
}

#[test]
fn the_seat_of_a_sawn_seam_is_the_higher_of_its_two_skins() {
    let merge = Merge::new(ring(2, 25.4, 0.3), &Neighbours::All, mouth(38.1, Stand::Inside)).unwrap();
    for k in 0..60 {
        let clock = 0.01 + TAU * f64::from(k) / 60.0;
        let [out, bore, seat] =
            [Edge::Outside, Edge::Inside, Edge::Seat].map(|e| merge.kept(0, e, clock).unwrap().from_mm);
        assert_relative_eq!(seat, out.max(bore), epsilon = 1e-6);
    }
    let drawn = merge.unrolled(0, Edge::Outside, 0.005);
    for p in &drawn {
        assert_relative_eq!(
            p.y_mm,
            merge.kept(0, Edge::Outside, p.x_mm / 25.4).unwrap().from_mm,
            epsilon = 1e-6
        );
    }
    assert!(merge.unrolled(9, Edge::Outside, 0.005).is_empty() && merge.kept(9, Edge::Seat, 0.0).is_none());
}

#[test]
fn four_tubes_that_leave_a_hole_in_the_middle_say_so() {
    let around = Neighbours::Pairs(vec![[0, 1], [1, 2], [2, 3], [3, 0]]);
    let (r, lean) = (25.0, 10_f64.to_radians());
    // the arms' middles pass r/cos off the axis at −144; at −160 the axis is free
    let open = Merge::new(ring(4, r, lean), &around, mouth(60.0, Stand::At(-160.0))).unwrap();
    assert!(open.outline().unwrap().open_middle);
    let lengths: Vec<f64> = open.seams().iter().map(|s| s.length.value).collect();
    for length in &lengths {
        assert_relative_eq!(*length, lengths[0], epsilon = 1e-4);
    }
    // those across touch only on the axis, so it is the same when they count as neighbours
    let all = Merge::new(ring(4, r, lean), &Neighbours::All, mouth(60.0, Stand::At(-160.0))).unwrap();
    assert!(all.outline().unwrap().open_middle);
    let sum = |m: &Merge| m.seams().iter().map(|s| s.length.value).sum::<f64>();
    assert_relative_eq!(sum(&all), sum(&open), epsilon = 1e-4);
    let whole = Merge::new(ring(4, r, lean), &around, mouth(60.0, Stand::At(-60.0))).unwrap();
    assert!(!whole.outline().unwrap().open_middle);
    // of three in a ring each is a neighbour of both others, and one left out shows
    let row = Neighbours::Pairs(vec![[0, 1], [1, 2]]);
    let error = Merge::new(ring(3, r, lean), &row, mouth(60.0, Stand::At(-60.0))).unwrap_err();
    assert_eq!(error, MergeError::Overlap { first: 0, second: 2 });
}

/// In a row the outer two meet the middle one at different places, and each other nowhere before the outlet.
#[test]
fn three_in_a_row_meet_two_at_a_time() {
    let (r, across) = (22.0, 0.4);
    let moved = |limb: Limb, by: f64| Limb {
        frame: Frame { origin: limb.frame.origin + DVec3::X * by, ..limb.frame },
        ..limb
    };
    let arms = vec![arm(r, 0.3, across), arm(r, 0.0, 0.0), moved(arm(r, 0.25, across + PI), -20.0)];
    let row = Neighbours::Pairs(vec![[0, 1], [1, 2]]);
    let merge = Merge::new(arms, &row, mouth(50.0, Stand::At(-40.0))).unwrap();
    assert_relative_eq!(merge.meetings()[0].point, DVec3::ZERO, epsilon = 1e-9);
    assert_relative_eq!(merge.meetings()[1].point, DVec3::X * -20.0, epsilon = 1e-9);
    for seam in merge.seams() {
        let [a, b] = seam.arms.map(|i| merge.arms()[i]);
        assert!(seam.length.value > 20.0, "{:?}", seam.length);
        for p in seam.lines.iter().flatten() {
            assert_relative_eq!(from_axis(&a.frame, *p), r, epsilon = 1e-6);
            assert_relative_eq!(from_axis(&b.frame, *p), r, epsilon = 1e-6);
            let kept =
                merge.kept(seam.arms[1], Edge::Outside, b.frame.clock_of(*p - b.frame.origin)).unwrap();
            assert_relative_eq!(kept.from_mm, (*p - b.frame.origin).dot(b.away()), epsilon = 1e-5);
        }
    }
}

#[test]
fn what_does_not_merge_is_named_with_the_amount() {
    let r = 25.4;
    let with = |arms: Vec<Limb>, outlet| Merge::new(arms, &Neighbours::All, outlet).unwrap_err();
    let text = |e: MergeError| e.text(UnitSystem::Millimetre);
    let at = mouth(38.1, Stand::At(0.0));

    let mut arms = ring(2, r, 0.3);
    let aside = arms[0].away().cross(arms[1].away()).normalize_or_zero();
    arms[0].frame.origin += aside * 0.6;
    let MergeError::Apart { apart_mm, .. } = with(arms.clone(), at) else { panic!() };
    assert_relative_eq!(apart_mm, 0.6, epsilon = 1e-9);
    assert!(text(with(arms.clone(), at)).contains("0.60 mm"));
    arms[0].frame.origin -= aside * 0.2;
    assert!(Merge::new(arms, &Neighbours::All, at).is_ok(), "0.4 is pulled together");

    assert!(matches!(with(ring(2, r, 0.02), at), MergeError::TooNarrow { .. }));
    assert!(matches!(with(ring(2, r, 1.4), at), MergeError::TooSquare { arm: 0, .. }));
    assert!(matches!(with(ring(1, r, 0.3), at), MergeError::TooFew { arms: 1 }));
    assert!(matches!(with(ring(2, f64::NAN, 0.3), at), MergeError::Arm { arm: 0, .. }));
    assert!(matches!(with(ring(2, r, 0.3), mouth(f64::NAN, Stand::Inside)), MergeError::Outlet(_)));
    assert!(matches!(with(ring(2, r, 0.3), mouth(30.0, Stand::At(f64::NAN))), MergeError::Outlet(_)));
    let side_by_side =
        vec![arm(r, 0.0, 0.0), Limb { frame: arm(r, 0.0, 0.0).frame.forward(10.0), ..arm(r, 0.0, 0.0) }];
    assert!(matches!(with(side_by_side, at), MergeError::TooNarrow { .. }));

    let MergeError::MouthTooSmall { least_mm, .. } = with(ring(2, r, 0.3), mouth(27.0, Stand::Inside)) else {
        panic!()
    };
    assert_relative_eq!(least_mm, r / 0.3_f64.cos(), epsilon = 1e-6);
    assert!(Merge::new(ring(2, r, 0.3), &Neighbours::All, mouth(least_mm + 1.5, Stand::Inside)).is_ok());
    let MergeError::MouthTooLarge { most_mm, .. } = with(ring(2, r, 0.3), mouth(90.0, Stand::Inside)) else {
        panic!()
    };
    assert!(Merge::new(ring(2, r, 0.3), &Neighbours::All, mouth(most_mm + 1.499, Stand::Inside)).is_ok());
    assert!(matches!(with(ring(2, r, 0.3), mouth(30.0, Stand::Covering)), MergeError::MouthTooLarge { .. }));
    assert!(matches!(with(ring(2, r, 0.3), mouth(30.0, Stand::At(1.0))), MergeError::Beyond { .. }));
    let MergeError::Parted { from_mm, .. } = with(ring(2, r, 0.3), mouth(30.0, Stand::At(-200.0))) else {
        panic!()
    };
    assert_relative_eq!(from_mm, -r / 0.3_f64.sin(), epsilon = 1e-6);
    let wide = Limb { radius_mm: 30.0, goes: Goes::OnAlongTravel, ..arm(r, 0.0, 0.0) };
    assert!(matches!(with(ring(2, r, 0.3), Outlet::Tube(wide)), MergeError::OutletSize { .. }));
    let on = Limb {
        goes: Goes::OnAlongTravel,
        frame: arm(r, 0.0, 0.0).frame.forward(300.0),
        ..arm(30.0, 0.0, 0.0)
    };
    assert!(matches!(with(vec![arm(r, 0.0, 0.0), on], at), MergeError::InLine { .. }));
    let pairs = |p: Vec<[usize; 2]>| Merge::new(ring(3, r, 0.3), &Neighbours::Pairs(p), at).unwrap_err();
    assert_eq!(pairs(vec![[0, 1]]), MergeError::Alone { arm: 2 });
    assert_eq!(pairs(vec![[0, 1], [1, 7]]), MergeError::NoSuchPair { first: 1, second: 7 });
}

#[test]
fn a_small_tube_on_a_through_tube_is_a_branch() {
    // the outlet goes on straight from the larger arm: their seam is a square butt
    let straight = arm(30.0, 0.0, 0.0);
    let outlet = Limb { goes: Goes::OnAlongTravel, frame: straight.frame.forward(300.0), ..straight };
    let side = arm(20.0, 50_f64.to_radians(), 1.0);
    let merge = Merge::new(vec![straight, side], &Neighbours::All, Outlet::Tube(outlet)).unwrap();
    for k in 0..72 {
        let clock = 0.01 + TAU * f64::from(k) / 72.0;
        let want = exit(|s| from_axis(&straight.frame, on_tube(&side, 20.0, clock, s)) - 30.0, -150.0, 200.0);
        assert_relative_eq!(merge.kept(1, Edge::Outside, clock).unwrap().from_mm, want, epsilon = 1e-6);
    }
    let far = merge.kept(0, Edge::Outside, straight.frame.clock_of(DVec3::new(0.0, -1.0, 0.0))).unwrap();
    assert_eq!(far.other, Other::Arm(2));
    // both halves of the through tube lose what lies in the side tube as it comes in, and nothing on the far side
    for (half, sign) in [(0, -1.0), (2, 1.0)] {
        let tube = merge.arms()[half];
        for k in 0..180 {
            let clock = 0.01 + TAU * f64::from(k) / 180.0;
            let kept = merge.kept(half, Edge::Outside, clock).unwrap();
            for j in 0..300 {
                let s = -151.0 + f64::from(j) * 0.4;
                let p = on_tube(&tube, 30.0, clock, s);
                let free = from_axis(&side.frame, p) > 20.0 || p.dot(side.away()) < 0.0;
                let is = s >= kept.from_mm && !kept.gaps.iter().any(|g| (g.from_mm..g.to_mm).contains(&s));
                let near = (from_axis(&side.frame, p) - 20.0).abs() < 0.01 || p.x.abs() < 0.01;
                assert!(
                    near || is == (p.x * sign > 0.0 && free),
                    "half {half}, clock {clock} at {s}: {kept:?}"
                );
            }
        }
    }
}

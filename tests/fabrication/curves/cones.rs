//! Cones: rolled back up, against the circles they came from, and by lengths.

use super::Dice;
use approx::assert_relative_eq;
use glam::{DVec2, DVec3};
use pipeloft_core::fab::cone::{Cone, ConeError, ConeKind, ConeNote, ConeShape, Flat};
use pipeloft_core::units::UnitSystem;
use std::f64::consts::{PI, TAU};

const PLAIN: ConeShape = ConeShape {
    first_mm: 38.1,
    second_mm: 25.4,
    length_mm: 90.0,
    wall_mm: 1.6,
    offset_mm: 0.0,
    offset_clock_rad: 0.0,
    seam_clock_rad: 0.6,
    lap_mm: 0.0,
};

fn line_mm(points: &[DVec2]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// Rolls the flat up between the planes z = 0 and z = `length`: each next point where its distances from the two known
/// points before it put it in its plane, clockwise seen along the travel. For sheet without thickness.
fn rolled(flat: &Flat, start: [DVec3; 2], middle: DVec3) -> Vec<[DVec3; 2]> {
    let in_plane = |a: DVec3, from_a: f64, b: DVec3, from_b: f64| {
        // circles round a and round b's foot in the plane of a
        let foot = DVec3::new(b.x, b.y, a.z);
        let r2 = from_b * from_b - (b.z - a.z).powi(2);
        let (way, gap) = ((foot - a).normalize_or_zero(), foot.distance(a));
        let along = (from_a * from_a - r2 + gap * gap) / (2.0 * gap);
        let aside = (from_a * from_a - along * along).max(0.0).sqrt();
        [1.0, -1.0].map(|side| a + way * along + DVec3::Z.cross(way) * (aside * side))
    };
    let onwards = |from: DVec3, to: [DVec3; 2], middle: DVec3| {
        let turn = |p: DVec3| (from - middle).cross(p - middle).z;
        if turn(to[0]) > turn(to[1]) { to[0] } else { to[1] }
    };
    let mut out = vec![start];
    for i in 1..flat.first.len() {
        let [a, b] = out[i - 1];
        let (fa, fb) = (flat.first[i], flat.second[i]);
        let (fa0, fb0) = (flat.first[i - 1], flat.second[i - 1]);
        let p = onwards(a, in_plane(a, fa.distance(fa0), b, fa.distance(fb0)), DVec3::ZERO);
        let q = onwards(b, in_plane(b, fb.distance(fb0), p, fb.distance(fa)), middle);
        out.push([p, q]);
    }
    out
}

#[test]
fn a_shifted_cone_rolled_back_up_reaches_both_circles_and_closes() {
    let mut dice = Dice::new(5);
    for _ in 0..12 {
        let shape = ConeShape {
            first_mm: dice.roll(25.0, 60.0),
            second_mm: 25.0,
            length_mm: dice.roll(60.0, 200.0),
            // as good as none: the circles are then those of the fibre
            wall_mm: 1e-7,
            offset_mm: dice.roll(40.0, 70.0),
            offset_clock_rad: dice.roll(0.0, TAU),
            seam_clock_rad: dice.roll(0.0, TAU),
            lap_mm: 0.0,
        };
        let cone = Cone::new(shape).unwrap();
        let flat = cone.flat();
        let (sin, cos) = shape.seam_clock_rad.sin_cos();
        let out = DVec3::new(cos, sin, 0.0);
        let (osin, ocos) = shape.offset_clock_rad.sin_cos();
        let middle = DVec3::new(ocos, osin, 0.0) * shape.offset_mm + DVec3::Z * shape.length_mm;
        let up = rolled(&flat, [out * shape.first_mm, middle + out * shape.second_mm], middle);
        for [a, b] in &up {
            assert!((a.length() - shape.first_mm).abs() < 0.05, "{shape:?}: {a}");
            assert!((b.distance(middle) - shape.second_mm).abs() < 0.05, "{shape:?}: {b}");
        }
        let ([a0, b0], [a1, b1]) = (up[0], up[up.len() - 1]);
        assert!(
            a0.distance(a1) < 0.05 && b0.distance(b1) < 0.05,
            "{shape:?}: {} {}",
            a0.distance(a1),
            b0.distance(b1)
        );
    }
}

/// Written out again: half a wall in from the outside circle along the normal of the plane that touches both circles.
fn fibre(s: &ConeShape, clock: f64) -> [DVec3; 2] {
    let (sin, cos) = clock.sin_cos();
    let out = DVec3::new(cos, sin, 0.0);
    let round = DVec3::new(-sin, cos, 0.0);
    let (osin, ocos) = s.offset_clock_rad.sin_cos();
    let middle = DVec3::new(ocos, osin, 0.0) * s.offset_mm + DVec3::Z * s.length_mm;
    let ends = [out * s.first_mm, middle + out * s.second_mm];
    let normal = round.cross(ends[1] - ends[0]).normalize_or_zero();
    ends.map(|p| p - normal * (s.wall_mm / 2.0))
}

#[test]
fn lines_and_edges_of_a_shifted_cone_keep_their_lengths() {
    let mut dice = Dice::new(9);
    for _ in 0..12 {
        let shape = ConeShape {
            first_mm: dice.roll(15.0, 60.0),
            second_mm: dice.roll(15.0, 60.0),
            length_mm: dice.roll(60.0, 200.0),
            wall_mm: dice.roll(1.0, 3.0),
            offset_mm: dice.roll(-40.0, 40.0),
            offset_clock_rad: dice.roll(0.0, TAU),
            seam_clock_rad: dice.roll(-TAU, TAU),
            lap_mm: 6.0,
        };
        let cone = Cone::new(shape).unwrap();
        assert!(cone.planarity_mm() < 1e-9);
        let flat = cone.flat();
        for (i, clock) in flat.clocks_rad.iter().enumerate() {
            let [a, b] = fibre(&shape, *clock);
            assert_relative_eq!(flat.first[i].distance(flat.second[i]), a.distance(b), epsilon = 1e-9);
        }
        for (end, edge) in [(0, &flat.first), (1, &flat.second)] {
            let n = 40_000;
            let point = |k: i32| fibre(&shape, TAU * f64::from(k) / f64::from(n))[end];
            let round: f64 = (0..n).map(|k| point(k).distance(point(k + 1))).sum();
            assert!((line_mm(edge) - round).abs() <= 0.002, "{} not {round}", line_mm(edge));
        }
        // area by the lines: half the cross product of neighbouring triangles in space
        let n = 20_000;
        let area: f64 = (0..n)
            .map(|k| {
                let [a, b] = fibre(&shape, TAU * f64::from(k) / f64::from(n));
                let [c, d] = fibre(&shape, TAU * f64::from(k + 1) / f64::from(n));
                f64::midpoint((c - a).cross(b - a).length(), (d - c).cross(b - c).length())
            })
            .sum();
        assert_relative_eq!(flat.area_mm2, area, max_relative = 1e-4);
        assert_relative_eq!(cone.mass_kg(7850.0), area * shape.wall_mm * 7.85e-6, max_relative = 1e-4);
        let [[la, lb], [ra, rb]] = flat.seam_sides();
        assert_relative_eq!(la.distance(lb), cone.seam_mm(), epsilon = 1e-9);
        assert_relative_eq!(la.y, ra.y, epsilon = 1e-9);
        let lap = flat.lap.unwrap();
        assert_relative_eq!((lap[3] - ra).dot(rb - ra), 0.0, epsilon = 1e-9);
        assert_relative_eq!(lap[3].distance(ra), 6.0, epsilon = 1e-9);
        assert!((lap[3] - ra).perp_dot(rb - ra) > 0.0, "the lap lies outside on the right");
    }
}

/// The same cone flat of many more lines: with the seam opposite, the two halves swap and must still match.
#[test]
fn a_shifted_cone_has_the_same_flat_cut_along_another_seam() {
    let base = ConeShape { offset_mm: 18.0, offset_clock_rad: 1.1, ..PLAIN };
    let at = |seam: f64| Cone::new(ConeShape { seam_clock_rad: seam, ..base }).unwrap().flat();
    let (one, two) = (at(0.0), at(PI));
    // from 45° to 135° both have the sheet in one piece: all four corners are as far apart
    let corner = |flat: &Flat, deg: u32| flat.marks.iter().find(|m| m.clock_deg == deg).unwrap().ends;
    let apart = |flat: &Flat| {
        let ([a, b], [c, d]) = (corner(flat, 45), corner(flat, 135));
        [a.distance(c), a.distance(d), b.distance(c), b.distance(d)]
    };
    for (x, y) in apart(&one).into_iter().zip(apart(&two)) {
        assert_relative_eq!(x, y, epsilon = 0.002);
    }
    assert_eq!((one.marks.len(), two.marks.len()), (8, 8));
}

#[test]
fn a_frustum_is_part_of_a_ring_with_the_fibre_s_circles_for_arcs() {
    let mut dice = Dice::new(13);
    for i in 0..20 {
        let second = dice.roll(15.0, 60.0);
        let shape = ConeShape {
            first_mm: dice.roll(15.0, 60.0),
            second_mm: second,
            length_mm: dice.roll(40.0, 200.0),
            wall_mm: dice.roll(0.8, 3.0),
            seam_clock_rad: dice.roll(0.0, TAU),
            // now and then as good as a cylinder
            ..if i % 5 == 0 { ConeShape { first_mm: second + 1e-5, ..PLAIN } } else { PLAIN }
        };
        let shape = if i % 5 == 0 { ConeShape { first_mm: second + 1e-5, ..shape } } else { shape };
        let cone = Cone::new(shape).unwrap();
        assert_eq!(cone.kind(), ConeKind::Frustum);
        let flat = cone.flat();
        let slant = shape.length_mm.hypot(shape.first_mm - shape.second_mm);
        let inward = shape.wall_mm / 2.0 * shape.length_mm / slant;
        let [r1, r2] = [shape.first_mm - inward, shape.second_mm - inward];
        for (edge, r) in [(&flat.first, r1), (&flat.second, r2)] {
            assert_relative_eq!(line_mm(edge), TAU * r, max_relative = 2e-5);
        }
        // rolled up again: each line goes to its clock, and points of it to the height that its length says
        for (k, clock) in flat.clocks_rad.iter().enumerate() {
            let (a, b) = (flat.first[k], flat.second[k]);
            assert_relative_eq!(a.distance(b), slant, epsilon = 1e-6);
            // way along the sheet from the seam so far, as an angle of the circle it becomes
            let arc = (clock - shape.seam_clock_rad) * r1;
            assert!((line_mm(&flat.first[..=k]) - arc).abs() < 0.01);
        }
        if (r1 - r2).abs() > 1.0 {
            // the two sides of the seam meet in the ring's middle, at the slant radius of each end
            let [[la, lb], [ra, rb]] = flat.seam_sides();
            let (d, e) = (lb - la, rb - ra);
            let apex = la + d * ((ra - la).perp_dot(e) / d.perp_dot(e));
            let rolled_radius =
                |p: DVec2| p.distance(apex) * (shape.first_mm - shape.second_mm).abs() / slant;
            for (p, q) in flat.first.iter().zip(&flat.second) {
                assert!((rolled_radius(*p) - r1).abs() < 0.05 && (rolled_radius(*q) - r2).abs() < 0.05);
            }
        }
        let middle = flat.first[flat.first.len() / 2];
        assert!(middle.length() < 1.0 && flat.first[0].x < 0.0, "{middle}");
        // by Pappus: the fibre's mean radius times its slant once round, and the wall
        let want = PI * (r1 + r2) * slant * shape.wall_mm * 7.85e-6;
        assert_relative_eq!(cone.mass_kg(7850.0), want, max_relative = 1e-9);
    }
}

/// By hand: 38.1 to 25.4 over 90: slant √(90² + 12.7²) = 90.8916; half a wall square to it, 0.8·90/90.8916 = 0.79215; fibre
/// radii 37.30785 and 24.60785; ring radii 37.30785·90.8916/12.7 = 267.0042 and 176.1126; angle 2π·12.7/90.8916 = 50.302°.
#[test]
fn a_frustum_comes_out_as_worked_by_hand() {
    let cone = Cone::new(PLAIN).unwrap();
    assert_relative_eq!(cone.seam_mm(), 90.8916, epsilon = 1e-4);
    let flat = cone.flat();
    let half = 25.151_f64.to_radians();
    assert_relative_eq!(
        flat.first[0],
        DVec2::new(-267.0042 * half.sin(), 267.0042 * (1.0 - half.cos())),
        epsilon = 2e-2
    );
    assert_relative_eq!(
        flat.second[0].distance(flat.second[flat.second.len() - 1]),
        2.0 * 176.1126 * half.sin(),
        epsilon = 1e-2
    );
    let [first, second] = cone.end_welds_mm();
    assert_relative_eq!(first, 239.3893, epsilon = 1e-4);
    assert_relative_eq!(second, 159.5929, epsilon = 1e-4);
    assert_eq!(flat.outline().len(), flat.first.len() + flat.second.len());
    // 12.7 in 90 is 8.03° a side
    let note = cone.note().unwrap();
    let ConeNote::Wide { calm_mm, .. } = note;
    assert!(note.text(UnitSystem::Millimetre).contains("8.0°"));
    assert!(Cone::new(ConeShape { length_mm: calm_mm, ..PLAIN }).unwrap().note().is_none());
}

#[test]
fn equal_ends_make_a_rectangle_and_shifted_equal_ends_a_wave() {
    let cone = Cone::new(ConeShape { second_mm: 38.1, lap_mm: 10.0, ..PLAIN }).unwrap();
    assert_eq!(cone.kind(), ConeKind::Cylinder);
    let (low, high) = cone.flat().bounds();
    assert_relative_eq!(high.y - low.y, 90.0, epsilon = 1e-9);
    assert_relative_eq!(high.x - low.x, TAU * 37.3 + 10.0, epsilon = 1e-9);
    let wave = Cone::new(ConeShape { second_mm: 38.1, offset_mm: 20.0, ..PLAIN }).unwrap();
    assert_eq!(wave.kind(), ConeKind::ObliqueCylinder);
    // all lines are parallel: the two edges are one curve moved along
    let flat = wave.flat();
    let shift = flat.second[0] - flat.first[0];
    for (a, b) in flat.first.iter().zip(&flat.second) {
        assert_relative_eq!(*b - *a, shift, epsilon = 1e-6);
    }
}

#[test]
fn cones_that_cannot_be_made_say_what_would_do() {
    let make = |shape| Cone::new(shape).unwrap_err();
    let text = |e: ConeError| e.text(UnitSystem::Millimetre);
    let short = make(ConeShape { length_mm: 0.0, ..PLAIN });
    let ConeError::NoLength { least_mm, .. } = short else { panic!("{short:?}") };
    assert!(Cone::new(ConeShape { length_mm: least_mm, ..PLAIN }).is_ok());
    let steep = make(ConeShape { length_mm: 5.0, offset_mm: -9.0, ..PLAIN });
    let ConeError::TooSteep { angle_rad, least_mm, .. } = steep else { panic!("{steep:?}") };
    assert_relative_eq!(angle_rad, (21.7_f64 / 5.0).atan(), epsilon = 1e-12);
    assert_relative_eq!(least_mm, 21.7 / 3_f64.sqrt(), epsilon = 1e-9);
    assert!(Cone::new(ConeShape { length_mm: least_mm, offset_mm: -9.0, ..PLAIN }).is_ok());
    assert!(text(steep).contains("12.5 mm"), "{}", text(steep));
    assert!(matches!(make(ConeShape { second_mm: 0.0, ..PLAIN }), ConeError::NotPositive { .. }));
    assert!(matches!(make(ConeShape { wall_mm: 26.0, ..PLAIN }), ConeError::NoBore { .. }));
    assert!(matches!(make(ConeShape { wall_mm: 0.0, ..PLAIN }), ConeError::NoBore { .. }));
    assert!(matches!(make(ConeShape { lap_mm: -1.0, ..PLAIN }), ConeError::Lap { .. }));
    assert!(matches!(
        make(ConeShape { length_mm: -4.0, second_mm: 38.1, ..PLAIN }),
        ConeError::NoLength { .. }
    ));
    for nan in [f64::NAN, f64::INFINITY] {
        assert_eq!(make(ConeShape { offset_clock_rad: nan, ..PLAIN }), ConeError::NotANumber);
        assert_eq!(make(ConeShape { first_mm: nan, ..PLAIN }), ConeError::NotANumber);
    }
}

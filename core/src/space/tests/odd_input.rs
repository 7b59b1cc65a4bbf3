//! Numbers that should not come, and must do no harm.

use super::*;

fn shapes() -> Vec<Shape> {
    let nan = f64::NAN;
    let mut shapes = Vec::new();
    for size in [0.0, -3.0, 1e-9, 1e7, f64::INFINITY, nan] {
        shapes.push(Shape::Box { size_mm: DVec3::splat(size) });
        shapes.push(Shape::Cylinder { diameter_mm: size, length_mm: 10.0 });
        shapes.push(Shape::Cylinder { diameter_mm: 10.0, length_mm: size });
        shapes.push(Shape::Capsule { diameter_mm: size, length_mm: size });
        shapes.push(Shape::Sphere { diameter_mm: size });
        let holes = vec![crate::model::obstacle::Hole { x_mm: 0.0, y_mm: 0.0, diameter_mm: 20.0 }];
        shapes.push(Shape::Panel { width_mm: size, height_mm: 50.0, thickness_mm: size, holes });
    }
    shapes.push(Shape::HalfSpace);
    shapes
}

fn solids() -> Vec<Solid> {
    let mut solids = Vec::new();
    for size in [0.0, -3.0, 1e-9, 30.0, 1e7, f64::INFINITY, f64::NAN] {
        let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
        let tube = tube_along_x(size, 20.0);
        solids.push(tube.into());
        solids.push(tube_along_x(20.0, size).into());
        solids.push(Barrel { end_normal: DVec3::Y, ..tube }.into());
        solids.push(Barrel { end_normal: DVec3::splat(size), ..tube }.into());
        solids.push(Solid::Drum(Drum { start, length_mm: size, radius_mm: size }));
        solids.push(Solid::Block(Block {
            centre: DVec3::ZERO,
            axes: DVec3::AXES,
            half_mm: DVec3::splat(size),
        }));
        for (clr_mm, angle_rad, radius_mm) in [(size, 1.0, 20.0), (50.0, size, 20.0), (50.0, 1.0, size)] {
            solids.push(Elbow { start, toward: DVec3::Y, clr_mm, angle_rad, radius_mm }.into());
        }
    }
    solids
}

#[test]
fn odd_solids_and_shapes_neither_panic_nor_run_for_ever() {
    let (solids, shapes) = (solids(), shapes());
    for at in [DVec3::ZERO, DVec3::new(70.0, 3.0, 2.0), DVec3::splat(f64::NAN)] {
        for shape in &shapes {
            let shape = placed(shape, at);
            let _ = (shape.bounds(), shape.nearest(DVec3::ONE));
            for solid in &solids {
                if let Some(gap) = gap_to_shape(solid, &shape, 1e12) {
                    assert!(gap.gap_mm.is_finite(), "{solid:?} {shape:?} {gap:?}");
                }
            }
        }
    }
    for a in &solids {
        for b in &solids {
            if let Some(gap) = gap_between(a, b, 1e12) {
                assert!(gap.gap_mm.is_finite(), "{a:?} {b:?} {gap:?}");
            }
        }
    }
}

#[test]
fn no_solids_have_no_gap() {
    assert_eq!(tightest(&[], &placed(&Shape::HalfSpace, DVec3::ZERO), f64::INFINITY), None);
    assert_eq!(tightest_between(&[], &[], f64::INFINITY, &|_, _| false), None);
}

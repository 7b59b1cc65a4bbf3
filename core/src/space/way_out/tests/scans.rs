//! Scans in the way: a mesh of a box stops a section as the box itself does, a curved one as its points say.

use super::*;
use crate::space::scan::{PlacedScan, Scan, ScanTree, ScanUnit, Unwatched};
use crate::space::tests::Dice;
use crate::space::tests::sampling::surface_points;
use std::sync::Arc;

fn scan(points: &[DVec3], triangles: &[[u32; 3]], pose: &Pose) -> PlacedShape {
    let scan = Scan::from_triangles(points, triangles, ScanUnit::Millimetre).unwrap();
    let tree = Arc::new(ScanTree::new(scan, &Unwatched).unwrap());
    PlacedShape::scan(PlacedScan::new(tree, pose, 1.0).unwrap())
}

/// A box as a mesh, each side of `cells` × `cells` squares of two triangles.
fn mesh_box(size_mm: DVec3, pose: &Pose, cells: u32) -> PlacedShape {
    let (mut points, mut triangles) = (Vec::new(), Vec::new());
    for axis in 0..3 {
        let (u, v) = (DVec3::AXES[(axis + 1) % 3], DVec3::AXES[(axis + 2) % 3]);
        for side in [1.0, -1.0] {
            let first = points.len() as u32;
            let along = |i: u32| f64::from(i) / f64::from(cells) - 0.5;
            for j in 0..=cells {
                for i in 0..=cells {
                    points.push((DVec3::AXES[axis] * (side / 2.0) + u * along(i) + v * along(j)) * size_mm);
                }
            }
            for j in 0..cells {
                for i in 0..cells {
                    let at = |i: u32, j: u32| first + j * (cells + 1) + i;
                    triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
                    triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
                }
            }
        }
    }
    scan(&points, &triangles, pose)
}

/// The box between two corners as a mesh.
fn mesh_block(low: [f64; 3], high: [f64; 3], cells: u32) -> PlacedShape {
    let (low, high) = (DVec3::from(low), DVec3::from(high));
    mesh_box(high - low, &Pose::at(low.midpoint(high)), cells)
}

/// The same answer, its numbers to a hundredth or two.
#[track_caller]
fn alike(solid: &Outcome, mesh: &Outcome) {
    assert_eq!((solid.pulls_allowed, solid.pulls_free), (mesh.pulls_allowed, mesh.pulls_free));
    match (&solid.answer, &mesh.answer) {
        (Answer::Pull(a), Answer::Pull(b)) => {
            assert_eq!((a.direction, a.spare_mm), (b.direction, b.spare_mm));
            assert!((a.clear_after_mm - b.clear_after_mm).abs() < 0.02, "{a:?} {b:?}");
        }
        (
            Answer::NoWay(Stop::Runs { direction: a, distance_mm: x, into: i }),
            Answer::NoWay(Stop::Runs { direction: b, distance_mm: y, into: j }),
        ) => {
            assert_eq!((a, i), (b, j));
            assert!((x - y).abs() < 0.03, "{x} {y}");
        }
        (Answer::Way(a), Answer::Way(b)) => assert_eq!(a, b),
        other => panic!("{other:?}"),
    }
}

const POST: ([f64; 3], [f64; 3]) = ([60.0, -90.0, -45.0], [120.0, -50.0, 45.0]);
const LID: ([f64; 3], [f64; 3]) = ([-300.0, -300.0, 45.0], [700.0, 700.0, 60.0]);
const WALL: ([f64; 3], [f64; 3]) = ([190.0, -60.0, -45.0], [230.0, 60.0, 45.0]);

#[test]
fn a_mesh_of_a_box_lets_out_what_the_box_lets_out_and_stops_what_it_stops() {
    for boxes in [&[LID][..], &[LID, POST], &[LID, POST, WALL]] {
        for cells in [1, 7] {
            let yard = |mesh: bool| {
                let mut yard = ell();
                yard.shapes.push(floor(-45.0));
                let one = |(low, high): &([f64; 3], [f64; 3])| {
                    if mesh { mesh_block(*low, *high, cells) } else { block(*low, *high) }
                };
                yard.shapes.extend(boxes.iter().map(one));
                find_way_out(&Task { most_poses: 0, ..yard.task() }, &mut |_| true)
            };
            alike(&yard(false), &yard(true));
        }
    }
}

#[test]
fn out_of_a_channel_of_meshes_on_the_same_way_as_out_of_boxes() {
    let yard = channel();
    let mut meshes = channel();
    for (i, (low, high)) in [
        ([-50.0, -60.0, -45.0], [400.0, -45.0, 60.0]),
        ([-50.0, 45.0, -45.0], [400.0, 60.0, 60.0]),
        ([-50.0, -60.0, 45.0], [60.0, 60.0, 60.0]),
        ([340.0, -60.0, -45.0], [360.0, 60.0, 60.0]),
    ]
    .into_iter()
    .enumerate()
    {
        meshes.shapes[i + 1] = mesh_block(low, high, 3);
    }
    let (solid, mesh) = (yard.outcome(), meshes.outcome());
    assert!(matches!(mesh.answer, Answer::Way(_)), "{mesh:?}");
    alike(&solid, &mesh);
}

#[test]
fn a_turned_mesh_stops_a_pull_where_the_turned_box_does() {
    let mut dice = Dice::new(57);
    let (mut met, mut past) = (0, 0);
    while met < 25 || past < 10 {
        let (size_mm, pose) = (dice.point(90.0).abs() + DVec3::splat(5.0), dice.pose(230.0));
        let boxed = PlacedShape::new(&Shape::Box { size_mm }, &pose);
        let mut yards =
            [boxed, mesh_box(size_mm, &pose, 4)].map(|shape| Yard { shapes: vec![shape], ..ell() });
        for yard in &mut yards {
            yard.need_mm = 3.0;
        }
        let along = (pose.position_mm - at(90.0, 60.0, 0.0) + dice.point(90.0)).try_normalize().unwrap();
        // a mesh has no inside: only what is clear of the box at rest is the same
        let Ok(solid) = drawn(&yards[0].task()) else { continue };
        let mesh = drawn(&yards[1].task()).ok().unwrap();
        let [a, b] = [&solid, &mesh].map(|d| d.scene.slide(&Stance::REST, along, 400.0, 0.0));
        match (a, b) {
            (Some(a), Some(b)) => {
                assert!((a.at_mm - b.at_mm).abs() < 0.03 && a.by == b.by, "{a:?} {b:?}");
                met += usize::from(matches!(a.by, Blocker::Shape(_)));
            }
            (None, None) => past += 1,
            other => panic!("{other:?}"),
        }
        let [a, b] = [&solid, &mesh].map(|d| d.scene.clear_after_mm(&Stance::REST, along, 400.0));
        // boxes round triangles are tighter than the box round all of them
        assert!(b <= a + 0.01, "{a} {b}");
        let to = Stance { shift_mm: along * 60.0, turn_rad: dice.point(0.5) };
        let clear = [&solid, &mesh].map(|d| d.scene.is_clear(&Stance::REST, &to));
        assert_eq!(clear[0], clear[1], "{pose:?} {size_mm}");
    }
}

#[test]
fn a_pull_along_a_rough_skin_ends_where_points_of_the_section_say() {
    // a sheet in waves over the elbow, 40 × 40 squares; each slide against a march of points in steps of 1 mm
    let mut dice = Dice::new(8);
    let cells = 40;
    let mut met = 0;
    for _ in 0..12 {
        let (height, waves) = (dice.between(45.0, 70.0), dice.between(40.0, 90.0));
        let along = |i: u32| 600.0 * (f64::from(i) / f64::from(cells) - 0.5);
        let wave = |x: f64, y: f64| height + 14.0 * (x / waves).sin() * (y / waves).cos();
        let points: Vec<DVec3> = (0..=cells)
            .flat_map(|j| (0..=cells).map(move |i| at(along(i), along(j), wave(along(i), along(j)))))
            .collect();
        let corner = |i: u32, j: u32| j * (cells + 1) + i;
        let squares = (0..cells).flat_map(|j| (0..cells).map(move |i| (i, j)));
        let triangles: Vec<[u32; 3]> = squares
            .flat_map(|(i, j)| {
                let (a, b, c, d) = (corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1));
                [[a, b, c], [a, c, d]]
            })
            .collect();
        let mut yard = ell();
        yard.fixed.clear();
        yard.mates.clear();
        yard.need_mm = 2.0;
        yard.shapes.push(scan(&points, &triangles, &Pose::at(DVec3::ZERO)));
        let task = yard.task();
        let Ok(drawn) = drawn(&task) else { continue };
        let way = (dice.direction() * at(1.0, 1.0, 0.25)).try_normalize().unwrap();
        let Some(contact) = drawn.scene.slide(&Stance::REST, way, 300.0, 0.0) else { continue };
        met += 1;
        let need_mm = drawn.scene.things[0].need_mm;
        let points: Vec<DVec3> = yard.section.iter().flat_map(|s| surface_points(s, 24)).collect();
        let least = |t: f64| {
            let moved = points.iter().map(|p| yard.shapes[0].nearest(*p + way * t).0);
            moved.fold(f64::INFINITY, f64::min)
        };
        let end = least(contact.at_mm);
        assert!(end > need_mm - 0.03 && end < need_mm + 2.5, "{end} {need_mm} {contact:?}");
        for i in 0..20 {
            assert!(least(contact.at_mm * f64::from(i) / 20.0) > need_mm - 0.03);
        }
    }
    assert!(met >= 4, "{met}");
}

#[test]
fn a_scan_that_was_not_read_is_not_in_the_way() {
    let mut yard = ell();
    yard.shapes.push(PlacedShape { form: crate::space::shape::PlacedForm::Unread });
    assert_eq!(yard.outcome(), ell().outcome());
}

//! A project with one of everything, as the text of a file.

use glam::DVec3;
use pipeloft_core::file;
use pipeloft_core::model::{
    BodyId, Fitting, FittingId, Hole, Obstacle, ObstacleId, Offcut, Pose, Project, RunEnd, Shape,
};
use pipeloft_tests::shop::{COUPLER, half, run_through, shop};

/// Two runs (one into the open), five obstacles, a coupler, offcuts.
pub(crate) fn project() -> Project {
    let mut project = shop(63.5, 1.65);
    project.tubes[0].offcuts = vec![Offcut { length_mm: 410.0, count: 2 }];
    project.tubes[0].stick_price = Some(58.5);
    let points = [
        DVec3::ZERO,
        DVec3::X * 300.0,
        DVec3::new(300.0, 350.0, 60.0),
        DVec3::new(700.0, 420.0, 200.0),
        DVec3::new(1100.0, 420.0, 200.0),
    ];
    run_through(&mut project, &points, half(120.0, 4));
    let fitting =
        Fitting { id: FittingId(900), joint: COUPLER, leg: 0, station_mm: 90.0, lobe_clock_deg: 30.0 };
    project.runs[0].fittings.push(fitting);
    let far = DVec3::Z * 600.0;
    run_through(&mut project, &points[..3].iter().map(|p| *p + far).collect::<Vec<_>>(), half(95.25, 3));
    project.runs[1].end = RunEnd::open(DVec3::new(330.0, 420.0, 900.0));
    let holes = vec![Hole { x_mm: 10.0, y_mm: -20.0, diameter_mm: 110.0 }];
    let shapes = [
        Shape::Box { size_mm: DVec3::new(100.0, 80.0, 60.0) },
        Shape::Cylinder { diameter_mm: 90.0, length_mm: 200.0 },
        Shape::Capsule { diameter_mm: 20.0, length_mm: 300.0 },
        Shape::Panel { width_mm: 400.0, height_mm: 300.0, thickness_mm: 1.2, holes },
        Shape::HalfSpace,
    ];
    for (i, shape) in shapes.into_iter().enumerate() {
        project.obstacles.push(Obstacle {
            id: ObstacleId(950 + i as u32),
            name: format!("Obstacle {i}"),
            body: BodyId(1),
            shape,
            pose: Pose::at(DVec3::new(250.0 * i as f64, -200.0, -300.0)),
            gap_mm: 8.0,
            heat_sensitive: i == 2,
            hot_gap_mm: None,
            hidden: false,
        });
    }
    project.next_id = 2000;
    project
}

/// The same as the text of a file.
pub(crate) fn text() -> String {
    file::to_text(&project()).expect("any project can be put into text")
}

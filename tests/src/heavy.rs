//! A heavy scene for benchmarks and comparisons: a scan of a million triangles and a run of ten bends over it.

use glam::DVec3;
use pipeloft_core::geom::{Barrel, Block, Drum, Elbow, Frame, Solid};
use std::path::Path;

/// A sheet of a million triangles, 2.4 m × 1.6 m, as uneven as an engine bay; `rough` 0 makes it flat.
pub fn sheet(rough: f64) -> (Vec<DVec3>, Vec<[u32; 3]>) {
    let (columns, rows) = (1000_u32, 500_u32);
    let mut points = Vec::new();
    for row in 0..=rows {
        for column in 0..=columns {
            let (x, y) = (f64::from(column) * 2.4, f64::from(row) * 3.2);
            let z = 50.0 * (x / 90.0).sin() * (y / 70.0).cos() + 20.0 * (x / 23.0 + y / 31.0).sin();
            points.push(DVec3::new(x, y, rough * z));
        }
    }
    let at = |row: u32, column: u32| row * (columns + 1) + column;
    let mut triangles = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let [a, b] = [at(row, column), at(row, column + 1)];
            let [c, d] = [at(row + 1, column), at(row + 1, column + 1)];
            triangles.extend([[a, b, d], [a, d, c]]);
        }
    }
    (points, triangles)
}

/// A run of ten bends over the sheet: 40 solids. The middle bend is moved up by `lift_mm`.
pub fn run(height_mm: f64, lift_mm: f64) -> Vec<Solid> {
    let radius_mm = 31.75;
    let mut solids = Vec::new();
    let mut at = Frame::new(DVec3::new(150.0, 300.0, height_mm), DVec3::X, DVec3::Z);
    for bend in 0..10 {
        if bend == 5 {
            at.origin.z += lift_mm;
        }
        let square =
            Barrel { start: at, length_mm: 90.0, radius_mm, start_normal: at.travel, end_normal: at.travel };
        solids.push(Solid::Barrel(square));
        at = at.forward(90.0);
        // to the left and to the right in turn, every third up and down a little
        let clock = if bend % 2 == 0 { -1.57 } else { 1.57 };
        let (clr_mm, angle_rad) = (95.0, if bend % 3 == 0 { 0.9 } else { 0.8 });
        let toward = at.at_clock(clock);
        solids.push(Solid::Elbow(Elbow { start: at, toward, clr_mm, angle_rad, radius_mm }));
        at = at.around(clock, clr_mm, angle_rad);
        solids.push(Solid::Drum(Drum { start: at, length_mm: 40.0, radius_mm: 37.0 }));
        let axes = [at.travel, at.index, at.travel.cross(at.index)];
        let half_mm = DVec3::new(12.0, 8.0, 10.0);
        solids.push(Solid::Block(Block { centre: at.forward(20.0).origin + at.index * 44.0, axes, half_mm }));
        at = at.forward(40.0);
    }
    solids
}

/// Writes triangles as a binary STL file; its points are single precision.
///
/// # Errors
/// What the system says where the file cannot be written.
pub fn write_stl(path: &Path, points: &[DVec3], triangles: &[[u32; 3]]) -> std::io::Result<()> {
    let mut stl = vec![b' '; 80];
    stl.extend((triangles.len() as u32).to_le_bytes());
    for corners in triangles {
        stl.extend([0; 12]);
        let corners = corners.iter().flat_map(|&c| points[c as usize].as_vec3().to_array());
        stl.extend(corners.flat_map(f32::to_le_bytes));
        stl.extend([0; 2]);
    }
    std::fs::write(path, stl)
}

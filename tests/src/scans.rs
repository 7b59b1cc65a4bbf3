//! A scan to test with: a block with a stub of tube, as triangles and as a file.

use glam::DVec3;

/// Middle of the stub's mouth, in the axes of the file, mm.
pub const MOUTH: DVec3 = DVec3::new(460.0, 40.0, 90.0);
/// Outside of the stub, mm.
pub const STUB_OD: f64 = 63.5;
/// Inside of the stub, mm.
pub const STUB_ID: f64 = 57.5;
/// Size of the block, mm.
pub const BLOCK: DVec3 = DVec3::new(400.0, 300.0, 200.0);

/// A block with its corner at the origin, and a stub of tube out of its front (+X) with a flat mouth: triangles in mm.
pub fn engine() -> Vec<[DVec3; 3]> {
    let corner = |i: usize| {
        let bit = |n: usize| if i & (1 << n) == 0 { 0.0 } else { 1.0 };
        DVec3::new(bit(0), bit(1), bit(2)) * BLOCK
    };
    let faces = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let mut all = Vec::new();
    for [a, b, c, d] in faces.map(|face| face.map(corner)) {
        all.extend([[a, b, c], [a, c, d]]);
    }
    let at = |radius: f64, back: f64, i: u32| {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 180.0).sin_cos();
        MOUTH + DVec3::new(-back, radius * cos, radius * sin)
    };
    let mut strip = |(inner, inner_back): (f64, f64), (outer, outer_back): (f64, f64)| {
        for i in 0..180 {
            let [a, b] = [i, i + 1].map(|i| at(inner, inner_back, i));
            let [c, d] = [i, i + 1].map(|i| at(outer, outer_back, i));
            all.extend([[a, c, d], [a, d, b]]);
        }
    };
    strip((STUB_ID / 2.0, 0.0), (STUB_OD / 2.0, 0.0));
    strip((STUB_OD / 2.0, 0.0), (STUB_OD / 2.0, 60.0));
    all
}

/// Triangles as a binary STL, which says no unit.
pub fn stl(triangles: &[[DVec3; 3]]) -> Vec<u8> {
    let mut out = vec![b' '; 80];
    out.extend((triangles.len() as u32).to_le_bytes());
    for corners in triangles {
        let numbers = [DVec3::ZERO].iter().chain(corners).flat_map(DVec3::to_array).collect::<Vec<_>>();
        out.extend(numbers.into_iter().flat_map(|v| (v as f32).to_le_bytes()));
        out.extend([0, 0]);
    }
    out
}

/// A place on the flat mouth just within its outside edge, in the axes of the file.
pub fn on_rim(clock_deg: f64) -> DVec3 {
    let (sin, cos) = clock_deg.to_radians().sin_cos();
    // the edge is of 180 chords, which stand 0.005 mm inside
    MOUTH + DVec3::new(0.0, cos, sin) * (STUB_OD / 2.0 - 0.05)
}

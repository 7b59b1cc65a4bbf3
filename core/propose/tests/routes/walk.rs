//! A pipe's middle line from its vertices alone, by formulas of these tests' own; and how long a search has worked.

use glam::DVec3;

/// Points of a run's middle line, no more than a millimetre apart.
pub(crate) fn walk(vertices: &[DVec3], radius_mm: f64) -> Vec<DVec3> {
    let mut out = vec![vertices[0]];
    let mut at = vertices[0];
    let line = |from: DVec3, to: DVec3, out: &mut Vec<DVec3>| {
        let steps = from.distance(to).ceil().max(1.0);
        out.extend((1..=steps as usize).map(|k| from.lerp(to, k as f64 / steps)));
    };
    for i in 1..vertices.len() {
        let way = (vertices[i] - vertices[i - 1]).try_normalize().unwrap();
        let Some(next) = vertices.get(i + 1) else {
            line(at, vertices[i], &mut out);
            break;
        };
        let on = (next - vertices[i]).try_normalize().unwrap();
        let half = way.dot(on).clamp(-1.0, 1.0).acos() / 2.0;
        let tangent = radius_mm * half.tan();
        let (begin, end) = (vertices[i] - way * tangent, vertices[i] + on * tangent);
        assert!((begin - at).dot(way) > -1e-6, "bends run into each other");
        line(at, begin, &mut out);
        let centre = vertices[i] + (on - way).try_normalize().unwrap() * (radius_mm / half.cos());
        let steps = (radius_mm * 2.0 * half).ceil().max(1.0);
        out.extend((1..=steps as usize).map(|k| {
            let chord = (begin - centre).lerp(end - centre, k as f64 / steps);
            centre + chord.try_normalize().unwrap() * radius_mm
        }));
        at = end;
    }
    out
}

/// Seconds that this thread has worked, where the system tells; else since some time.
pub(crate) fn worked_s() -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.as_deref().and_then(|t| t.split(' ').next()).and_then(|n| n.parse::<f64>().ok());
    nanoseconds
        .map_or_else(|| std::time::UNIX_EPOCH.elapsed().map_or(0.0, |d| d.as_secs_f64()), |ns| ns * 1e-9)
}
